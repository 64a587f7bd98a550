/* lumps.c - part and plate, each of one temperature, joined by the tape. */
#include "tackhold/heat.h"

#include <math.h>

#include "units.h"

static bool above(double value) {
    return isfinite(value) && value > 0;
}

static bool not_below(double value) {
    return isfinite(value) && value >= 0;
}

bool th_lumps_make(const th_lumps_input *input, th_lumps *lumps, th_error *err) {
    const th_stock *stock = input->stock;
    const th_plate *plate = input->plate;
    double block = fmax(input->plate_area, input->bonded_area) * input->plate_thickness;

    if (!above(input->volume)) {
        return th_fail(err, TH_BAD_RANGE, "the piece has no volume to warm (%g mm3)",
                       input->volume);
    }
    if (!not_below(input->top_area) || !not_below(input->bonded_area) ||
        !not_below(input->plate_area)) {
        return th_fail(err, TH_BAD_RANGE, "areas must not be negative: top %g mm2, bonded %g mm2",
                       input->top_area, input->bonded_area);
    }
    if (!above(input->plate_thickness) || !not_below(input->conductance) ||
        !isfinite(input->room)) {
        return th_fail(err, TH_BAD_RANGE,
                       "plate %g mm thick, tape conducting %g W/mm2K, room at %g C: out of range",
                       input->plate_thickness, input->conductance, input->room);
    }
    lumps->capacity = input->volume * PER_MM3 * stock->density * stock->heat_capacity;
    lumps->plate_capacity = block * PER_MM3 * plate->density * plate->heat_capacity;
    lumps->coupling = input->conductance * input->bonded_area;
    lumps->loss = input->coolant->film_coefficient * PER_MM2 * input->top_area;
    lumps->plate_loss = 0;
    lumps->room = input->room;
    return true;
}

/* The system in coordinates sqrt(capacity) x (temperature - room), where it is symmetric: its two
 * modes are then at right angles however close their rates are. */
typedef struct {
    double scale[2];   /* sqrt of the capacities */
    double turn[2][2]; /* turn[lump][mode] */
    double rate[2];    /* at which the modes decay (1/s), >= 0, the slower first */
} modes;

static modes modes_of(const th_lumps *lumps) {
    /* A plate of no mass has no area either: nothing passes, any mass will do. */
    double c0 = lumps->capacity, c1 = lumps->plate_capacity > 0 ? lumps->plate_capacity : 1;
    double g = lumps->coupling, l0 = lumps->loss, l1 = lumps->plate_loss;
    double a = (g + l0) / c0, b = g / sqrt(c0 * c1), d = (g + l1) / c1;
    double fast = 0.5 * (a + d + hypot(a - d, 2 * b));
    /* The slow rate from the determinant, which has no difference of like numbers. */
    double slow = fast > 0 ? (g * l0 + g * l1 + l0 * l1) / (c0 * c1) / fast : 0;
    double angle = 0.5 * atan2(2 * b, d - a);
    modes m = {{sqrt(c0), sqrt(c1)},
               {{cos(angle), -sin(angle)}, {sin(angle), cos(angle)}},
               {fmin(slow, fast), fast}};

    return m;
}

/* Integral of exp(-rate s) over s from 0 to t. */
static double decay_integral(double rate, double t) {
    return rate * t > 1e-300 ? -expm1(-rate * t) / rate : t;
}

typedef struct {
    double start[2]; /* each mode at the start of the step */
    double slope[2]; /* and its rate of change there */
} course;

static course course_of(const modes *m, const th_lumps *lumps, th_lump_state start, double power) {
    double over[2] = {start.part - lumps->room, start.plate - lumps->room};
    course c;

    for (int i = 0; i < 2; i++) {
        c.start[i] = m->turn[0][i] * m->scale[0] * over[0] + m->turn[1][i] * m->scale[1] * over[1];
        c.slope[i] = m->turn[0][i] * power / m->scale[0] - m->rate[i] * c.start[i];
    }
    return c;
}

static double lump_at(const modes *m, const course *c, int lump, double t) {
    double sum = 0;

    for (int i = 0; i < 2; i++) {
        sum += m->turn[lump][i] * (c->start[i] + c->slope[i] * decay_integral(m->rate[i], t));
    }
    return sum / m->scale[lump];
}

/* Its rate of change is a sum of two exponentials, which is zero once at most. */
static double lump_largest(const modes *m, const course *c, int lump, double t) {
    double slow = m->turn[lump][0] * c->slope[0], fast = m->turn[lump][1] * c->slope[1];
    double best = fmax(lump_at(m, c, lump, 0), lump_at(m, c, lump, t));
    double gap = m->rate[1] - m->rate[0];

    if (slow * fast < 0 && gap > 0) {
        double turning = log(-fast / slow) / gap;

        if (turning > 0 && turning < t) {
            best = fmax(best, lump_at(m, c, lump, turning));
        }
    }
    return best;
}

th_lump_state th_lumps_step(const th_lumps *lumps, th_lump_state start, double power,
                            double seconds, th_lump_state *largest) {
    modes m = modes_of(lumps);
    course c = course_of(&m, lumps, start, power);
    th_lump_state end = {lumps->room + lump_at(&m, &c, 0, seconds),
                         lumps->room + lump_at(&m, &c, 1, seconds)};

    if (largest != NULL) {
        largest->part = lumps->room + lump_largest(&m, &c, 0, seconds);
        largest->plate = lumps->room + lump_largest(&m, &c, 1, seconds);
    }
    return end;
}
