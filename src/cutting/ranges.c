#include <math.h>

#include "ranges.h"

static const double most_diameters = 50.0; /* engaged height: no cutter is that slender */

bool th_check_within(const check_range *range, th_error *err) {
    if (range->value > range->above && range->value <= range->greatest) {
        return true;
    }
    return th_fail(err, TH_BAD_RANGE, "%s is %.6g%s: it must be above %.6g and at most %.6g%s",
                   range->name, range->value, range->unit, range->above, range->greatest,
                   range->unit);
}

bool th_check_from(const check_range *range, th_error *err) {
    if (range->value >= range->above && range->value <= range->greatest) {
        return true;
    }
    return th_fail(err, TH_BAD_RANGE, "%s is %.6g%s: it must be from %.6g to %.6g%s", range->name,
                   range->value, range->unit, range->above, range->greatest, range->unit);
}

bool th_check_above(const char *name, const char *unit, double value, th_error *err) {
    if (value > 0.0 && isfinite(value)) {
        return true;
    }
    return th_fail(err, TH_BAD_RANGE, "%s is %.6g%s: it must be above 0", name, value, unit);
}

const char *th_check_id(const th_row_head *head) {
    return head->id != NULL ? head->id : "(unnamed)";
}

static bool check_coefficients(const th_stock *stock, th_error *err) {
    const double values[] = {stock->ktc, stock->krc, stock->kac,
                             stock->kte, stock->kre, stock->kae};

    for (int i = 0; i < 6; i++) {
        if (!isfinite(values[i])) {
            return th_fail(err, TH_BAD_RANGE,
                           "stock %s has ktc but not all of ktc, krc, kac, kte, kre, kae: give "
                           "all six or none",
                           th_check_id(&stock->head));
        }
    }
    return true;
}

bool th_check_stock(const th_stock *stock, th_error *err) {
    if (isfinite(stock->ktc)) {
        return check_coefficients(stock, err);
    }
    return th_check_above("kc11", " MPa", stock->kc11, err) &&
           th_check_from(&(check_range){"mc", "", stock->mc, 0.0, 0.6}, err) &&
           th_check_from(&(check_range){"friction_angle", " deg", stock->friction_angle, 0.0, 60.0},
                         err);
}

bool th_check_cutter(const th_cutter *cutter, th_error *err) {
    return th_check_above("diameter", " mm", cutter->diameter, err) &&
           th_check_from(&(check_range){"flutes", "", cutter->flutes, 1.0, MOST_FLUTES}, err) &&
           th_check_from(&(check_range){"helix", " deg", cutter->helix, 0.0, 75.0}, err) &&
           th_check_from(&(check_range){"rake", " deg", cutter->rake, -45.0, 45.0}, err) &&
           th_check_from(&(check_range){"runout", " mm", cutter->runout, 0.0, cutter->diameter},
                         err);
}

static bool check_shape(const th_cutter *cutter, th_error *err) {
    switch ((th_cutter_kind)cutter->kind) {
    case TH_DRILL:
        return th_fail(err, TH_BAD_RANGE,
                       "cutter %s is a drill: a pass takes a flat, ball, bull, chamfer, point or "
                       "face cutter",
                       th_check_id(&cutter->head));
    case TH_BULL:
        return th_check_from(&(check_range){"corner_radius", " mm", cutter->corner_radius, 0.0,
                                            cutter->diameter / 2.0},
                             err);
    case TH_CHAMFER:
    case TH_POINT:
        return th_check_within(&(check_range){"tip_angle", " deg", cutter->tip_angle, 0.0, 179.0},
                               err) &&
               (isnan(cutter->tip_flat) ||
                th_check_from(
                    &(check_range){"tip_flat", " mm", cutter->tip_flat, 0.0, cutter->diameter},
                    err));
    case TH_FLAT:
    case TH_BALL:
    case TH_FACE:
        break;
    }
    return true;
}

static bool check_engagement(const th_pass *pass, th_error *err) {
    double d = pass->cutter->diameter;
    double most_axial = most_diameters * d;
    bool chamfering = pass->chamfer_width > 0.0;
    check_range width = {chamfering ? "chamfer_width" : "radial", " mm",
                         chamfering ? pass->chamfer_width : pass->radial, 0.0, d};

    if (pass->chamfer_width < 0.0) {
        return th_fail(err, TH_BAD_RANGE,
                       "chamfer_width is %.6g mm: it must be 0 (no chamfer) or above",
                       pass->chamfer_width);
    }
    return th_check_within(&width, err) &&
           th_check_within(&(check_range){"axial", " mm", pass->axial, 0.0, most_axial}, err) &&
           th_check_from(&(check_range){"base", " mm", pass->base, 0.0, most_axial}, err);
}

static bool check_arcs(const th_zone *zone, th_error *err) {
    double before = 0.0;

    if (zone->arc_count < 1 || zone->arc_count > TH_ZONE_ARCS) {
        return th_fail(err, TH_BAD_RANGE, "a zone has %d arcs: it must have 1 to %d",
                       zone->arc_count, TH_ZONE_ARCS);
    }
    for (int k = 0; k < zone->arc_count; k++) {
        if (!(zone->arcs[k].entry >= before && zone->arcs[k].exit >= zone->arcs[k].entry &&
              zone->arcs[k].exit <= TH_PI * (1.0 + 1e-12))) {
            return th_fail(err, TH_BAD_RANGE,
                           "an arc of a zone goes from %.6g to %.6g rad: arcs must rise, from 0 to "
                           "pi, and not overlap",
                           zone->arcs[k].entry, zone->arcs[k].exit);
        }
        before = zone->arcs[k].exit;
    }
    return true;
}

static bool rises(const th_arc *arc) {
    return arc->entry >= 0.0 && arc->exit >= arc->entry && arc->exit <= TH_PI * (1.0 + 1e-12);
}

static bool check_slant(const th_zone_slant *slant, int arcs, th_error *err) {
    for (int k = 0; k < arcs; k++) {
        if (!rises(&slant->low[k]) || !rises(&slant->high[k])) {
            return th_fail(err, TH_BAD_RANGE,
                           "an arc at the end of a zone goes from %.6g to %.6g rad, and from %.6g "
                           "to %.6g rad: arcs must rise, from 0 to pi",
                           slant->low[k].entry, slant->low[k].exit, slant->high[k].entry,
                           slant->high[k].exit);
        }
    }
    return true;
}

static bool check_zones(const th_pass *pass, th_error *err) {
    double before = 0.0, most = most_diameters * pass->cutter->diameter;

    if (pass->zone_count < 1 || pass->zone_count > TH_ZONES_MAX) {
        return th_fail(err, TH_BAD_RANGE, "there are %d zones: there must be 1 to %d",
                       pass->zone_count, TH_ZONES_MAX);
    }
    for (int i = 0; i < pass->zone_count; i++) {
        const th_zone *zone = &pass->zones[i];

        if (!(zone->low >= before && zone->high > zone->low && zone->high <= most)) {
            return th_fail(err, TH_BAD_RANGE,
                           "a zone goes from %.6g to %.6g mm: zones must rise from 0 to at most "
                           "%.6g mm, and not overlap",
                           zone->low, zone->high, most);
        }
        if (!check_arcs(zone, err) ||
            (pass->slants && !check_slant(&pass->slants[i], zone->arc_count, err))) {
            return false;
        }
        before = zone->high;
    }
    return true;
}

bool th_check_pass(const th_pass *pass, th_error *err) {
    return th_check_cutter(pass->cutter, err) && check_shape(pass->cutter, err) &&
           th_check_stock(pass->stock, err) && th_check_above("wear", "", pass->wear, err) &&
           (pass->zones != NULL ? check_zones(pass, err) : check_engagement(pass, err)) &&
           th_check_above("chip_load", " mm per tooth", pass->chip_load, err) &&
           th_check_above("speed", " rpm", pass->speed, err) &&
           th_check_from(&(check_range){"resolution", "", pass->resolution, 0.25, 64.0}, err);
}
