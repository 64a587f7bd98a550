/* cutting.h - chip geometry, specific cutting force, force on the part through one turn of the
 * cutter, drilling, power.
 *
 * Takes a cutter, a stock row and one pass; gives the load on the part in the frame of the cut.
 * Knows nothing of the bond. All structs are plain values; nothing here allocates but th_turn.
 *
 * Frame of the cut: x along the feed, y to the left of it, z up along the spindle from the lowest
 * point of the cutter, origin on the spindle axis. The spindle turns clockwise seen from above. The
 * tooth angle phi is counted from the left (+y) through the front (+x): conventional (up) milling
 * enters at 0, climb milling leaves at 180 deg, a slot takes 0 to 180 deg.
 */
#ifndef TACKHOLD_CUTTING_H
#define TACKHOLD_CUTTING_H

#include "tackhold/base.h"
#include "tackhold/tables.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- force per width of edge ---------------------------------------------------------------- */

/* Force per width of edge as a function of chip thickness h (mm):
 *   F(h) = cutting part C(h) + edge part.
 * From explicit coefficients (linear-edge form: Altintas, Manufacturing Automation, ch. 2; Budak,
 * Altintas, Armarego 1996): Ft = Ktc h + Kte, radial and axial alike, used as they stand.
 * From kc1.1 and mc (Kienzle): kc11 h^(1-mc) above h0 = edge_chip and the tangent to that curve
 * below, which leaves the edge part Kte = kc11 mc h0^(1-mc) at h = 0; C(h) is the rest. Rake below
 * 0 deg raises all of it 1.5 % a degree; a larger rake earns nothing. Radial and axial: from the
 * oblique ratios with chip flow equal to the inclination (Stabler; Armarego), the rake taken as
 * min(rake, 0), but radial >= 0.7 of the cutting part and >= 1.2 of the edge part, and axial >=
 * 0.45 tan(helix)/tan(30 deg) of the tangential force, both parts. `wear` multiplies everything.
 * A straight-fluted cutter has no axial part. */
typedef struct {
    bool explicit_form;                          /* linear-edge coefficients below, else Kienzle */
    double kc11, mc, edge_chip;                  /* MPa, -, mm; rake and wear already in kc11 */
    double edge;                                 /* tangential edge part Kte (N/mm) */
    double ktc, krc, kac;                        /* explicit form, with wear (MPa) */
    double kre, kae;                             /* explicit form, with wear (N/mm) */
    double radial_cut, radial_edge, axial_ratio; /* Kienzle form: ratios to the tangential parts */
} th_edge_force;

/* wear > 0 (1.0 new, 1.3 used, 1.6 worn). */
th_edge_force th_edge_force_of(const th_stock *stock, const th_cutter *cutter, double wear);

/* Tangential, radial and axial force per width (N/mm) at chip thickness h (mm). All zero for
 * h <= 0: a tooth out of the chip exerts nothing. The axial part is its magnitude. */
void th_edge_force_at(const th_edge_force *edge, double h, double force[3]);

/* Specific cutting force Ft/h (MPa) at chip thickness h > 0. */
double th_specific_force(const th_edge_force *edge, double h);

/* ---- chip geometry --------------------------------------------------------------------------- */

/* Engaged arc (rad, entry < exit) of a disc of radius r whose stock lies beyond `wall` (mm from the
 * axis towards the stock; negative: past the axis). In a pass wall = r of its widest engaged disc
 * less the radial engagement. climb: the stock lies to the right. Returns false (empty arc) where
 * nothing is engaged. */
typedef struct {
    double entry, exit; /* rad, 0 to pi */
} th_arc;
bool th_engaged_arc(double r, double wall, bool climb, th_arc *arc);

/* Mean chip thickness over the arc, fz (cos entry - cos exit)/(exit - entry) (mm). */
double th_mean_chip(double chip_load, th_arc arc);

/* A slice of the engaged height with the arcs over which the cutter is in the stock there, for an
 * engagement of any shape. */
enum { TH_ZONE_ARCS = 3, TH_ZONES_MAX = 32 };
typedef struct {
    double low, high;          /* above the cutter's lowest point (mm), low < high */
    th_arc arcs[TH_ZONE_ARCS]; /* rising, apart from one another */
    int arc_count;             /* at least 1 */
} th_zone;
/* The arcs of a zone at its lower and its upper end, those between straight from one to the other.
 */
typedef struct {
    th_arc low[TH_ZONE_ARCS], high[TH_ZONE_ARCS]; /* rad, 0 to pi, entry at most exit */
} th_zone_slant;

/* ---- one pass -------------------------------------------------------------------------------- */

typedef struct {
    const th_stock *stock;
    const th_cutter *cutter; /* not a drill */
    double wear;             /* > 0 */
    double radial;           /* radial engagement at the widest engaged disc (mm), above 0 up to the
                                diameter; the diameter is a full slot at every height */
    double axial;            /* axial engagement (mm), > 0 */
    double chip_load;        /* feed per tooth (mm), > 0 */
    double speed;            /* (rpm), > 0 */
    bool climb;              /* which side the stock lies; no matter in a full slot */
    double chamfer_width;    /* > 0: the edge of the part is being broken to this width (mm); the
                                engaged width then grows from 0 at the lower end of the axial
                                engagement to chamfer_width at its upper end */
    double base;             /* height of the engaged zone above the cutter's lowest point (mm) */
    double resolution;       /* 1 normal; 2 doubles angles and discs (for convergence checks) */
    const th_zone *zones;    /* from below, apart from one another: instead of radial, axial, climb,
                                chamfer_width and base, which are then not looked at; NULL: by them */
    const th_zone_slant *slants; /* of each zone, whose own arcs are then those amid it; NULL: they
                                    are the same over all its height */
    int zone_count;              /* 1 to TH_ZONES_MAX */
} th_pass;

/* Load on the part at one angle of the cutter: the sum over all engaged edge elements. */
typedef struct {
    double angle;  /* of the cutter (rad) */
    double weight; /* share of the turn this sample stands for; all weights sum to 1 */
    double fx, fy; /* in-plane force (N) */
    double fz;     /* vertical force, + lifts the part (N) */
    double mz;     /* torque of the in-plane forces about the spindle axis, + counterclockwise
                      seen from above (N mm) */
    double px, py; /* first moments in height: sum of z dFx, z dFy (N mm) */
    double qx, qy; /* first moments in plan: sum of x dFz, y dFz (N mm) */
} th_sample;

typedef struct {
    th_sample *samples; /* one whole turn, in order of angle */
    size_t count;
    double x_mean, y_mean, z_mean; /* signed means over the turn (N) */
    double in_plane_peak;          /* largest hypot(fx, fy) (N) */
    double lift_peak;              /* largest fz, signed (N) */
    double torque_peak;            /* largest |mz| (N mm) */
    double power;                  /* mean at the cutter: tangential force times edge speed (W) */
    double mean_chip, max_chip;    /* (mm); max includes runout; mean by th_mean_chip */
    double removal;                /* radial x axial x feed, of zones their sum (mm3/min) */
} th_turn;

/* Rigid load through one turn (Kline and DeVor 1983 for chip thickness with runout):
 * tooth j at phi has the chip
 *   h_j = min over m = 1..N of [ m fz sin(phi) sin(kappa) + (r_j - r_{j-m}) sin(kappa) ],
 *   r_j = (TIR/2) cos(2 pi j/N + psi), psi the one with the largest in-plane peak; sought in steps,
 * which in the worst of 3000 cuts made up by chance left the peak 1.3 % low.
 * psi is the same at every height; in the paper (memory) the helix turns it. Over 40 cuts made up
 * by chance that put the peak up to 0.7 % low as deep as 0.6 diameters, and 8 % at 1.6. On the
 * part: Fx = dFt cos(phi) + dFr' sin(phi), Fy = -dFt sin(phi) + dFr' cos(phi), with dFr' = dFr
 * sin(kappa) + dFa cos(kappa) and Fz = dFa sin(kappa) - dFr cos(kappa), dFa reversed for a down-cut
 * helix. The edge is sliced into discs; entry and exit angles are breakpoints. Errors:
 * TH_NO_MEMORY, TH_BAD_RANGE (a pass outside the ranges above). */
bool th_turn_run(const th_pass *pass, th_turn *turn, th_error *err);
void th_turn_free(th_turn *turn);

/* ---- drilling -------------------------------------------------------------------------------- */

typedef struct {
    const th_stock *stock;
    const th_cutter *cutter; /* a drill */
    double wear;             /* > 0 */
    double chip_load;        /* feed per lip (mm) */
    double speed;            /* (rpm) */
} th_drilling;

typedef struct {
    double thrust;            /* presses the part down (N) */
    double torque;            /* (N mm) */
    double power;             /* (W) */
    double breakthrough_lift; /* screw action of the flutes, 2 M/D tan(helix): an estimate (N) */
    double chip;              /* chip_load x sin(tip_angle/2) (mm) */
    double removal;           /* (mm3/min) */
} th_drill_load;

/* Torque M = f kc D^2/8, kc at the chip above, f the feed a turn (drill makers' form of the Kienzle
 * relation). Thrust 3.65 M/D, an upper value. A maker's formulas for twist drills, M = K D^2 (0.630
 * + 16.84 f)/100 Nm and 570 K D f^0.85 N (Tungaloy catalogue 2020-21, p. 1656), make it 2.1 M/D at
 * 0.02 mm a turn and never more than 3.63 M/D; Machinery's Handbook, 31st ed., pp. 1152-1153, at
 * its standard point 2.7 to 3.6 M/D up to 22 mm with feeds of 1 to 3 % of the diameter, and 4.3 at
 * most with half a percent. Makers' form without a chisel edge, 0.63 f kc D/2 sin(tip_angle/2),
 * falls short of them. An upper value must not earn anything. A straight-fluted or down-pulling
 * drill does not lift at breakthrough. Errors: TH_BAD_RANGE. */
bool th_drill_run(const th_drilling *drilling, th_drill_load *load, th_error *err);

/* Height of the drill's point, from its tip to where the full diameter begins (mm). */
double th_drill_point(const th_cutter *drill);

/* ---- pecking --------------------------------------------------------------------------------- */

/* Drilling in steps: after every peck but the last the drill comes out TH_PECK_ABOVE over the top
 * at `rapid`, goes back at `rapid` to TH_PECK_GAP short of where it was and feeds on from there.
 * The rule and both figures are common practice. */
#define TH_PECK_ABOVE 1.0 /* (mm) */
#define TH_PECK_GAP 0.5   /* (mm) */
typedef struct {
    double depth; /* of the hole (mm), > 0 */
    double peck;  /* drilled at a time (mm); NAN: in one go */
    double feed;  /* (mm/min), > 0 */
    double rapid; /* (mm/min), > 0; INFINITY: the moves take no time, the least it can cost */
} th_pecking;

/* How often the drill comes out of one hole. */
double th_peck_outs(const th_pecking *pecking);
/* Time spent out of the cut in one hole (min). */
double th_peck_away(const th_pecking *pecking);
/* Share of the time in which the drill cuts, above 0 to 1; 1 without pecking. For heat the safe
 * value of `rapid` is a large one: it leaves the part less time to cool. */
double th_peck_duty(const th_pecking *pecking);

/* ---- what cutter and spindle bear --------------------------------------------------------------
 */

/* The cutter as a cantilever of its stickout with a sideways force at its tip: flute_length (or the
 * stickout, where it is NAN or longer) of equivalent diameter, behind it the shank (the diameter,
 * where it is NAN). The equivalent diameter of the fluted part is 0.8 of the cutting diameter,
 * found for two and four flutes alike (Kops and Vo, "Determination of the equivalent diameter of an
 * end mill based on its compliance", CIRP Annals 39/1, 1990). */

/* Sideways springing of the tip under `force` (N): the sum of both lengths,
 * F/(3 E) [a^3/I1 + (L^3 - a^3)/I2] (mm). */
double th_cutter_deflection(const th_cutter *cutter, double force);

/* Largest principal stress from bending and torsion, of the end of the flutes and the clamping the
 * worse (MPa). The equivalent diameter is one for compliance; for strength it is an estimate. */
double th_cutter_stress(const th_cutter *cutter, double force, double torque);

/* What the material of the cutter bears turn after turn (MPa, estimate): of the low end of bending
 * strengths (carbide 2000, high-speed steel 3000; from memory of makers' sheets) the half for
 * carbide and a third for steel, as the stress comes and goes with every turn. */
double th_cutter_strength(const th_cutter *cutter);

/* Mean torque that a mean power asks for at a speed (N mm). */
double th_torque_of(double power, double speed);

#ifdef __cplusplus
}
#endif
#endif
