#include <math.h>

#include "teeth.h"

static void set_even(tooth *one, double chip_load) {
    one->lines = 1;
    one->line[0] = (chip_line){chip_load, 0.0};
    one->least_sine = 0.0;
}

/* r_j - r_(j-m) = -TIR sin(pi (2j - m)/N + psi) sin(pi m/N). */
static double rise_over(const th_pass *pass, int j, int m, double psi) {
    double pitch = TH_PI / pass->cutter->flutes;

    return -pass->cutter->runout * sin(pitch * (2 * j - m) + psi) * sin(pitch * m);
}

/* Sine of the tooth angle at which two lines meet; the flatter one is the lesser above it. */
static double meeting(const chip_line *flat, const chip_line *steep) {
    return (flat->rise - steep->rise) / (steep->feed - flat->feed);
}

/* Put a steeper line on top of the kept ones; drop those that it, or the whole range of the sine,
 * leaves nowhere the least. */
static void put_line(tooth *one, const chip_line *line) {
    if (one->lines > 0 && line->rise >= one->line[one->lines - 1].rise) {
        return;
    }
    while (one->lines > 0) {
        double sine = meeting(&one->line[one->lines - 1], line);
        double before = one->lines > 1 ? sin(one->bend[one->lines - 2]) : 1.0;

        if (sine < before) {
            one->bend[one->lines - 1] = asin(sine);
            break;
        }
        one->lines--;
    }
    one->line[one->lines++] = *line;
}

static void set_uneven(tooth *one, const th_pass *pass, int j, double psi) {
    int n = pass->cutter->flutes;

    one->lines = 0;
    one->least_sine = 0.0;
    for (int m = 1; m <= n; m++) {
        chip_line line = {m * pass->chip_load, m == n ? 0.0 : rise_over(pass, j, m, psi)};

        put_line(one, &line);
        one->least_sine = fmax(one->least_sine, -line.rise / line.feed);
    }
}

void th_teeth_set(tooth_set *teeth, const th_pass *pass, double psi) {
    int n = pass->cutter->flutes;

    teeth->count = n;
    teeth->even = n == 1 || !(pass->cutter->runout > 0.0);
    for (int j = 0; j < n; j++) {
        tooth *one = &teeth->items[j];

        one->behind = 2.0 * TH_PI * j / n;
        if (teeth->even) {
            set_even(one, pass->chip_load);
        } else {
            set_uneven(one, pass, j, psi);
        }
        one->from = asin(fmin(one->least_sine, 1.0));
        one->to = TH_PI - one->from;
    }
}
