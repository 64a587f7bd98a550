/* heat.h - how warm the part, the tape and the sacrificial plate get under the cut.
 *
 * Takes rows of the tables, areas and the cutting power; gives temperatures. Knows nothing of the
 * bond's strength nor of who asks. Rows keep their own units (W/mK, J/kgK, kg/m3, W/m2K, 1/K);
 * everything else here is in mm, W, deg C, s.
 *
 * Two parts add up. The *lumps* say how warm the part becomes as a whole: it and the plate under
 * it are each of one temperature, joined through the tape. The *local rise* says how much warmer
 * it is under the cutter. Every choice that is open leans to the warm side:
 *   - of the plate only the block that the caller is sure of counts: what lies under the stock, and
 *     of that no more than heat reaches in the time. A vice or a table below would take heat too,
 *     but nobody says how well they touch;
 *   - the plate's outer faces lose nothing: in still air (about 10 W/m2K) a block of 12 mm cools
 *     in an hour, longer than most cuts;
 *   - of the part only the top face loses heat, and chips and coolant take no more than the table
 *     of coolants says.
 */
#ifndef TACKHOLD_HEAT_H
#define TACKHOLD_HEAT_H

#include "tackhold/base.h"
#include "tackhold/tables.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- the way through the tape ---------------------------------------------------------------- */

/* Conductance of tape, glue and lower tape in series (W/mm2K). glue and tape_below may be NULL,
 * and glue may be the row `none`: a double-sided tape alone. */
double th_stack_conductance(const th_tape *tape, const th_glue *glue, const th_tape *tape_below);

/* ---- heat into the part ---------------------------------------------------------------------- */

#define TH_HEAT_SHARE_RUBBING 0.5 /* least share where the edge rubs, drills or cuts a plastic */

/* Share of the cutting power that enters the part: the row's, and at least 0.5 where the edge rubs
 * (`chip`, the thickest chip in mm, below the row's smallest; NAN counts as rubbing), in drilling,
 * where the chips stay in the hole, and in plastics and composites. */
double th_heat_share(const th_stock *stock, double chip, bool drilling);

/* ---- lumps ----------------------------------------------------------------------------------- */

typedef struct {
    const th_stock *stock;
    const th_plate *plate;
    const th_coolant *coolant;
    double conductance;     /* of the tape stack (W/mm2K) */
    double volume;          /* of the piece (mm3) */
    double top_area;        /* that loses heat to air or coolant (mm2) */
    double bonded_area;     /* true bonded area, coverage included (mm2), 0: hangs on nothing */
    double plate_area;      /* of the sacrificial plate that warms with it (mm2); never counted as
                               less than the bonded area */
    double plate_thickness; /* (mm) */
    double room;            /* of air and coolant (C) */
} th_lumps_input;

typedef struct {
    double capacity;       /* of the part (J/K) */
    double plate_capacity; /* of the plate under it (J/K) */
    double coupling;       /* part to plate (W/K) */
    double loss;           /* off the part's top (W/K) */
    double plate_loss;     /* off the plate's outer faces (W/K); th_lumps_make sets 0 */
    double room;           /* (C) */
} th_lumps;

typedef struct {
    double part, plate; /* (C) */
} th_lump_state;

/* TH_BAD_RANGE where an area, a volume or a thickness cannot be. */
bool th_lumps_make(const th_lumps_input *input, th_lumps *lumps, th_error *err);

/* The state `seconds` (>= 0) later, `power` (W) entering the part all the while: exact, from the
 * two modes of the linear system, whether losses are 0 or modes coincide. `largest`, if not NULL,
 * receives the highest temperature of each lump within the step, both ends included.
 *
 * From a start at room temperature (or above it) more power, a warmer room and less film never
 * give a lower temperature, at any time. Less bonded area never does while the power is constant;
 * after a rest it may, since a plate that was never warmed has nothing to give back. */
th_lump_state th_lumps_step(const th_lumps *lumps, th_lump_state start, double power,
                            double seconds, th_lump_state *largest);

/* One stretch of the job: cutting (a pass and its share) or rest (0 W). */
typedef struct {
    double power;   /* into the part (W) */
    double seconds; /* (s) */
} th_heat_phase;

typedef struct {
    double seconds;      /* since the start (s) */
    th_lump_state state; /* (C) */
} th_heat_point;

/* Temperatures over time, for a chart; points in order of time, one at each end of a phase. */
typedef struct {
    th_heat_point *points;
    size_t count;
    th_lump_state largest; /* of the whole run, between the points too (C) */
} th_heat_curve;

/* What the lumps go through. */
typedef struct {
    th_lump_state start;
    const th_heat_phase *phases;
    size_t count;
    size_t detail; /* about how many points the curve gets besides those at the ends of phases */
} th_heat_course;

/* Run the phases one after the other. Errors: TH_BAD_RANGE (power or time negative or not a
 * number), TH_NO_MEMORY. */
bool th_heat_run(const th_lumps *lumps, const th_heat_course *course, th_heat_curve *curve,
                 th_error *err);
void th_heat_curve_free(th_heat_curve *curve);

/* ---- local rise under the cutter ------------------------------------------------------------- */

/* A source moving through a plate so thin that it has one temperature through its thickness,
 * losing heat through its faces. With a = k / (rho c), t the thickness and h the loss:
 *   T(x, y) = q / (2 pi k t) exp(-v x / 2a) K0(r sqrt((v / 2a)^2 + h / (k t))),
 * x ahead of the source (Rosenthal 1946, Trans. ASME 68, 849; Carslaw and Jaeger, Conduction of
 * Heat in Solids, ch. 10). Spread evenly over a square patch it follows from the same authors'
 * integral over time of instantaneous sources, in which both averages become error functions; the
 * logarithm at the line never appears, and a source that has not run long is covered as well.
 *
 * Thin means h t / k well below 1 (`biot`). Above about 0.2 (plastics) the face on the tape lags
 * behind: the formula then overstates the tape's peak as the cutter passes, and the warmth lasts
 * longer than it says. Heat that enters near the tape, in the last pass or in a breakthrough, has
 * not yet spread upwards: `thickness` is therefore what stands in front of the cutter in that
 * pass (its axial engagement and the floor below it), not the whole plate. */
typedef struct {
    const th_stock *stock;
    double thickness; /* that the heat spreads in (mm) */
    double loss;      /* through the faces: the tape stack's conductance, and the film's if
                         wanted (W/mm2K) */
    double power;     /* into the part (W) */
    double feed;      /* of the source (mm/min); 0 stands still */
    double seconds;   /* since it began (s); INFINITY: steady */
    double patch;     /* side of the square patch: the engaged width (mm) */
    int edges;        /* of the piece within `reach`: 0, 1, or 2 (a corner) */
    double strip;     /* width of a narrow piece whose far edge throws heat back too (mm);
                         INFINITY: wide */
} th_heat_source;

typedef struct {
    double mean;    /* a line source's rise averaged over the patch around it, which equals that in
                       the middle of a source spread over the patch (K) */
    double hottest; /* highest within the patch of the spread source: at slow feeds the same, at
                       fast ones up to twice the mean, at the trailing edge (K) */
    double reach;   /* an edge nearer than this to the cutter's axis counts (mm) */
    double biot;    /* loss x thickness / conductivity (-) */
} th_local_rise;

/* `hottest` is the highest of nine places and at most 2 % low.
 *
 * Edges throw the heat back: one doubles, a corner gives four times the rise, as a mirrored source
 * at the same place would. In a strip narrower than `reach` the mirrored sources form a row, which
 * adds no more than the heat spread over the strip's width.
 * Relative error of each place below 1e-8. INFINITY where nothing bounds it: no feed, no loss, no
 * end of time. */
th_local_rise th_local_heat(const th_heat_source *source);

/* The same mean at the bonded face, of heat that enters between the heights `low` and `high` above
 * it (0 <= low < high <= thickness, mm) and has yet to spread through the thickness: the mean over
 * the thickness and eight cosine modes (up to 32 for thin layers), mode n being a plate that loses
 * k (n pi/t)^2 t more (separation of variables: Carslaw and Jaeger, ch. 3; the tape's own loss is
 * taken from each mode as from the mean). What is between modes is cut off at 0, which is right: it
 * is heat that has not come down yet. In plastics the modes left out make it warmer, up to twice;
 * in stainless steel up to 3 % cooler. */
double th_local_at_bond(const th_heat_source *source, double low, double high);

/* Bound of the rise at the tape under a floor of that height (mm): heat on top of it spreads in its
 * depth too before it gets down. The largest value that a line of heat E' laid on the face of a
 * body reaches at depth z is 2 E'/(pi e rho c z^2) (Carslaw and Jaeger, 10.3); the tape, taken to
 * keep all heat in, doubles it; what further mirrors add, 0.03 %, is left out. INFINITY for no
 * floor. */
double th_local_under_floor(const th_heat_source *source, double floor);

/* What a pass has left at the bonded face on its own path, `behind` mm behind the cutter (K): heat
 * that entered between `low` and `high` as in th_local_at_bond, by the same modes of the line
 * source, averaged across the patch and thrown back by the source's edges; no more than under a
 * floor of that height. After the age behind/feed a line has spread to exp(-y^2/4 a age), whose
 * mean over a patch of half width b is sqrt(pi) w/(2 b) erf(b/w) of its middle, w = sqrt(4 a age).
 * The patch cannot hold more than what was laid on it: power/(feed x patch) over its thickness,
 * twice for an edge and four times at a corner. */
double th_local_left(const th_heat_source *source, double low, double high, double behind);

/* The line source's steady field at (x, y) mm from it, x along the feed (K): the formula above. */
double th_line_source(const th_heat_source *source, double x, double y);

/* Modified Bessel function K0 of x > 0, to 1e-12 from 1e-6 to 700; INFINITY at 0. */
double th_bessel_k0(double x);

/* ---- expansion ------------------------------------------------------------------------------- */

#define TH_SLIP_SHARE 0.25 /* of the tape's shear travel that unequal growth may use up */

typedef struct {
    bool known;     /* false: the stock's expansion is not in its row, nothing is said */
    double slip;    /* of the farthest corner over the plate (mm) */
    double allowed; /* a quarter of the shear travel (mm) */
    bool exceeds;
} th_expansion;

/* Part and plate grow from the temperature at which they were joined, about their middle.
 * half_diagonal: from the middle of the piece to its farthest bonded corner (mm). A plate without
 * expansion in its row counts as not growing, which overstates the slip of a part that is the
 * warmer. shear_travel: of the tape (mm), the smaller one of two. */
th_expansion th_expansion_slip(const th_stock *stock, const th_plate *plate, th_lump_state state,
                               double joined_at, double half_diagonal, double shear_travel);

#ifdef __cplusplus
}
#endif
#endif
