/* grip.h - what the area model's index and the plate model's share. */
#ifndef TACKHOLD_BOND_GRIP_H
#define TACKHOLD_BOND_GRIP_H

#include "tackhold/bond.h"

#include <math.h>

/* An interface that may govern. */
typedef struct {
    size_t number;        /* in the stack */
    double lift2, shear2; /* 1/strength^2 (1/MPa2) */
    double exponent;      /* of the mean over the history; 0: the largest */
} bond_rival;

typedef struct {
    bond_rival items[TH_INTERFACES_MAX];
    size_t count;
} bond_rivals;

/* The interfaces that may govern under a load of one kind, nearest the part first. */
bond_rivals th_bond_rivals_of(const th_stack *stack, th_load_kind load, double seconds);

/* Least and greatest of each component of the load, in the order of the unit loads. */
typedef struct {
    double low[TH_UNITS], high[TH_UNITS];
    double odd; /* 0, or NaN where a load is not finite */
} bond_range;

/* Over the instants from `first` up to `end`, at least one. */
bond_range th_bond_range_of(const th_history *history, size_t first, size_t end);
void th_bond_range_join(bond_range *range, const bond_range *with);

/* The part of the index that is largest. */
th_way th_bond_way_of(const th_interface *i, const th_traction *t);

/* A power to raise to. Whole and half ones, such as the usual n = 0.2 asks, are spared the
 * library's pow, which is where a check spends its time. */
typedef struct {
    double power;
    int whole; /* -1: by the library */
    bool half; /* half of one on top */
} bond_power;

static inline bond_power bond_power_of(double power) {
    bond_power p = {power, -1, false};

    if (power >= 0 && power <= 32 && 2 * power == floor(2 * power)) {
        p.whole = (int)power;
        p.half = power > p.whole;
    }
    return p;
}

static inline double bond_raise(const bond_power *p, double x) {
    double result = p->half ? sqrt(x) : 1;

    if (p->whole < 0) {
        return pow(x, p->power);
    }
    for (int left = p->whole; left > 0; left--) {
        result *= x;
    }
    return result;
}

/* Compression earns nothing; a NaN stays one, so that it shows in the result. */
static inline double bond_pull(double lift) {
    return lift < 0 ? 0 : lift;
}

static inline double bond_square(const bond_rival *r, double pull, double shear2) {
    return pull * pull * r->lift2 + shear2 * r->shear2;
}

/* Written so that a NaN counts as larger than any number and is then kept. */
static inline bool bond_exceeds(double value, double largest) {
    return !(value <= largest) && !isnan(largest);
}

#endif
