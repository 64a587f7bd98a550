#include "support/near.h"

#include <math.h>

void near_check(double actual, double expected, double relative, double absolute, const char *what,
                const char *file, int line) {
    double allowed = absolute + relative * fabs(expected);

    if (isfinite(actual) && isfinite(expected) && fabs(actual - expected) <= allowed) {
        return;
    }
    print_error("%s = %.17g, expected %.17g, off by %.3g, allowed %.3g\n", what, actual, expected,
                fabs(actual - expected), allowed);
    _fail(file, line);
}
