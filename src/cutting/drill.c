#include <math.h>

#include "tackhold/cutting.h"
#include "ranges.h"

static const double thrust_share = 3.65; /* of M/D: see th_drill_run */

static bool check_drilling(const th_drilling *drilling, th_error *err) {
    const th_cutter *drill = drilling->cutter;

    if (drill->kind != TH_DRILL) {
        return th_fail(err, TH_BAD_RANGE,
                       "cutter %s is no drill: drilling takes a cutter of kind drill",
                       th_check_id(&drill->head));
    }
    return th_check_cutter(drill, err) &&
           th_check_within(&(check_range){"tip_angle", " deg", drill->tip_angle, 0.0, 180.0},
                           err) &&
           th_check_stock(drilling->stock, err) &&
           th_check_above("wear", "", drilling->wear, err) &&
           th_check_above("chip_load", " mm per lip", drilling->chip_load, err) &&
           th_check_above("speed", " rpm", drilling->speed, err);
}

bool th_drill_run(const th_drilling *drilling, th_drill_load *load, th_error *err) {
    *load = (th_drill_load){0};
    if (!check_drilling(drilling, err)) {
        return false;
    }
    const th_cutter *drill = drilling->cutter;
    th_edge_force edge = th_edge_force_of(drilling->stock, drill, drilling->wear);
    double lean = sin(drill->tip_angle * TH_PI / 360.0);
    double feed = drilling->chip_load * drill->flutes; /* a turn */
    double d = drill->diameter;

    load->chip = drilling->chip_load * lean;
    double kc = th_specific_force(&edge, load->chip);

    load->torque = feed * kc * d * d / 8.0;
    load->thrust = thrust_share * load->torque / d;
    load->power = load->torque * 2.0 * TH_PI * drilling->speed / 60.0 / 1000.0;
    load->removal = TH_PI * d * d / 4.0 * feed * drilling->speed;
    if (drill->helix_pulls == TH_UP) {
        load->breakthrough_lift = 2.0 * load->torque / d * tan(drill->helix * TH_PI / 180.0);
    }
    return true;
}

double th_drill_point(const th_cutter *drill) {
    return drill->diameter / 2 / tan(drill->tip_angle * TH_PI / 360.0);
}
