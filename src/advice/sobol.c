/* sobol.c - low-discrepancy points, scrambled. */
#include <string.h>

#include "tackhold/advice.h"

/* Primitive polynomial of a dimension and its first direction numbers: degree s, inner
 * coefficients a, m_1 ... m_s (Joe and Kuo 2008, table new-joe-kuo-6, dimensions 2 to 8). */
typedef struct {
    unsigned degree, inner, first[5];
} polynomial;

static const polynomial polynomials[TH_SOBOL_MOST - 1] = {
    {1, 0, {1}},          {2, 1, {1, 3}},        {3, 1, {1, 3, 1}},       {3, 2, {1, 1, 1}},
    {4, 1, {1, 1, 3, 3}}, {4, 4, {1, 3, 5, 13}}, {5, 2, {1, 1, 5, 5, 17}}};

static void directions_of(int dimension, unsigned *v) {
    const polynomial *p = dimension > 0 ? &polynomials[dimension - 1] : NULL;

    for (unsigned i = 0; i < TH_SOBOL_BITS; i++) {
        unsigned top = TH_SOBOL_BITS - 1 - i;
        if (!p) {
            v[i] = 1u << top;
        } else if (i < p->degree) {
            v[i] = p->first[i] << top;
        } else {
            v[i] = v[i - p->degree] ^ (v[i - p->degree] >> p->degree);
            for (unsigned k = 1; k < p->degree; k++) {
                v[i] ^= (p->inner >> (p->degree - 1 - k) & 1u) * v[i - k];
            }
        }
    }
}

/* Steele, Lea and Flood 2014 (splitmix64). */
static unsigned long long next_random(unsigned long long *state) {
    unsigned long long z = *state += 0x9E3779B97F4A7C15ull;

    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9ull;
    z = (z ^ z >> 27) * 0x94D049BB133111EBull;
    return z ^ z >> 31;
}

static unsigned parity(unsigned x) {
    for (unsigned shift = 16; shift > 0; shift /= 2) {
        x ^= x >> shift;
    }
    return x & 1u;
}

/* Digits of every direction, the highest first, through one random lower triangular matrix with
 * ones on its diagonal: row r takes digit r and any digits above it. */
static void scramble(unsigned *v, unsigned long long *state) {
    unsigned rows[TH_SOBOL_BITS], mixed[TH_SOBOL_BITS] = {0};

    for (unsigned r = 0; r < TH_SOBOL_BITS; r++) {
        unsigned own = 1u << (TH_SOBOL_BITS - 1 - r), above = r > 0 ? ~(2 * own - 1) : 0;
        rows[r] = own | (above & (unsigned)(next_random(state) >> 32));
    }
    for (unsigned i = 0; i < TH_SOBOL_BITS; i++) {
        for (unsigned r = 0; r < TH_SOBOL_BITS; r++) {
            mixed[i] |= parity(rows[r] & v[i]) << (TH_SOBOL_BITS - 1 - r);
        }
    }
    memcpy(v, mixed, sizeof mixed);
}

void th_sobol_start(th_sobol *sobol, int dimensions, unsigned long long seed, unsigned stream) {
    unsigned long long state = seed;

    *sobol = (th_sobol){.dimensions = dimensions};
    state = next_random(&state) + stream;
    for (int d = 0; d < dimensions; d++) {
        directions_of(d, sobol->directions[d]);
        if (seed != 0) {
            scramble(sobol->directions[d], &state);
            sobol->state[d] = (unsigned)(next_random(&state) >> 32);
        }
    }
}

void th_sobol_next(th_sobol *sobol, double *point) {
    unsigned long long index = sobol->index++;
    int bit = 0;

    for (int d = 0; d < sobol->dimensions; d++) {
        point[d] = ((double)sobol->state[d] + 0.5) / 4294967296.0;
    }
    while (index & 1u) { /* the lowest zero: the digit that the next Gray code flips */
        index >>= 1;
        bit++;
    }
    bit = bit < TH_SOBOL_BITS ? bit : TH_SOBOL_BITS - 1;
    for (int d = 0; d < sobol->dimensions; d++) {
        sobol->state[d] ^= sobol->directions[d][bit];
    }
}
