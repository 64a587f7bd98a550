/* warmth_local.c - how much warmer the tape gets right under the cutter. */
#include <math.h>

#include "warmth.h"

/* ISO 513's place for plastics and composites in th_stock.group. */
enum { GROUP_O = 6 };

/* A frame that stands no further than this beside the kerf is no wall that takes heat, as a share
 * of the cutter's diameter beyond its own width (estimate). */
#define LEAST_RIM 1.1

bool th_warmth_plastic(const th_stock *stock) {
    return stock->group == GROUP_O;
}

static double diffusivity(double conductivity, double density, double heat_capacity) {
    return conductivity / (density * heat_capacity) * 1e6; /* (mm2/s) */
}

double th_warmth_spread(double conductivity, double density, double heat_capacity, double seconds) {
    return sqrt(TH_PI * diffusivity(conductivity, density, heat_capacity) * seconds) / 2;
}

/* ---- edges ----------------------------------------------------------------------------------- */

static bool has_corner(const th_outline *part) {
    for (size_t r = 0; r < part->ring_count; r++) {
        if (th_ring_sharp(&part->rings[r])) {
            return true;
        }
    }
    return false;
}

/* The kerf of an outline or slot is an edge, its corner two, if heat spreads far enough to see
 * both. */
static int edges_at(const th_ground *ground, const th_cut *cut, double reach, double width) {
    bool corner =
        cut->operation == TH_SLOT || cut->operation == TH_FACING || has_corner(ground->filled);

    return reach > width / 2 && corner ? 2 : 1;
}

/* Share of the steady rise at a distance that a source of so many seconds can have brought: the
 * instantaneous source integrated over them, E1(r^2/4 a t) q/(4 pi k d), E1(x) < exp(-x) ln(1 +
 * 1/x) (Abramowitz and Stegun 5.1.20) (K). */
static double brought_by_then(const th_heat_source *source, double away) {
    const th_stock *stock = source->stock;
    double a = diffusivity(stock->conductivity, stock->density, stock->heat_capacity);
    double x = away * away / (4 * a * source->seconds);

    return source->power / (4 * TH_PI * stock->conductivity * 1e-3 * source->thickness) * exp(-x) *
           log1p(1 / x);
}

/* What the edges of the part throw back on a cut in its middle: sources mirrored at the sides of
 * its box and at its corners, as far away as they are (K). */
static double thrown_back(const th_ground *ground, const th_cut *cut,
                          const th_heat_source *source) {
    double box[4], worst = 0;

    if (!th_region_box(ground->filled, box)) {
        return INFINITY;
    }
    for (size_t i = 0; i < cut->at.count; i++) {
        bool wide_cut = cut->operation == TH_POCKET || cut->operation == TH_HOLE;
        double half_a = wide_cut ? cut->size.a / 2 : 0;
        double half_b = wide_cut && !cut->size.single ? cut->size.b / 2 : half_a;
        double x = cut->at.items[i].x, y = cut->at.items[i].y, sum = 0;
        double wide[3] = {0, 2 * (x - half_a - box[0]), 2 * (box[2] - x - half_a)};
        double deep[3] = {0, 2 * (y - half_b - box[1]), 2 * (box[3] - y - half_b)};
        for (int k = 1; k < 9; k++) {
            double away = fmax(hypot(wide[k % 3], deep[k / 3]), source->patch / 2);
            double steady = th_line_source(source, 0, away);
            sum += isfinite(source->seconds) ? fmin(steady, brought_by_then(source, away)) : steady;
        }
        worst = fmax(worst, sum);
    }
    return worst;
}

/* ---- earlier passes ------------------------------------------------------------------------- */

/* Passes before this one: so many, one level of `step` above the other, `path` once round (mm). */
typedef struct {
    double count, step, path;
} th_levels;

/* Warmth that earlier passes left on the path (K). */
static double left_behind(const th_heat_source *source, const th_warming_pass *pass,
                          const th_levels *levels) {
    const th_stock *stock = source->stock;
    double a = diffusivity(stock->conductivity, stock->density, stock->heat_capacity);
    double thickness = source->thickness, step = fmin(levels->step, thickness), sum = 0;
    /* Heat that is younger has not got through yet: an older pass may still bring more. */
    double through = thickness * thickness / a * source->feed / 60;
    double most = fmin(levels->count, 1000);

    for (int n = 1; n <= most; n++) {
        double low = fmin(pass->under + pass->axial + (n - 1) * step, thickness - step);
        double more = th_local_left(source, low, low + step, n * levels->path);
        double rest = more * (most - n); /* those older bring less each, but there may be many */
        sum += more;
        if (n * levels->path > through && (!(rest > 1e-3 * sum) || rest < 1e-3)) {
            break;
        }
    }
    return sum;
}

/* ---- kinds of cut ------------------------------------------------------------------------------
 */

/* Side of the patch that a kerf's rise is averaged over: the contact. A plastic keeps the heat in a
 * skin of the kerf much narrower than the length over which the bond shares its load; there it is
 * averaged over that length. */
static double patch_of(const th_ground *ground, double contact) {
    return th_warmth_plastic(ground->job->part.stock) ? fmax(contact, ground->decay) : contact;
}

/* A kerf that the cutter follows; `path` once round (mm). */
static double along_kerf(const th_ground *ground, const th_cut *cut, const th_warming_pass *pass,
                         double path, th_heat_source source) {
    bool round = cut->operation == TH_HOLE;
    th_levels levels = {th_duration_of(ground, cut).passes - 1, cut->axial, path};
    double reach;

    source.patch = patch_of(ground, pass->radial);
    source.feed = pass->feed;
    reach = th_local_heat(&source).reach;
    source.edges = round ? 1 : edges_at(ground, cut, reach, pass->radial);
    return fmin(th_local_at_bond(&source, pass->under, pass->under + pass->axial),
                (source.edges == 2 ? 4 : 2) * th_local_under_floor(&source, pass->under)) +
           left_behind(&source, pass, &levels);
}

/* A drill, or a hole hardly wider than its cutter: heat in a spot so small that the bond shares its
 * load over more than it. */
static double on_the_spot(const th_ground *ground, const th_cut *cut, double seconds,
                          th_heat_source source) {
    double size = cut->operation == TH_HOLE ? cut->size.a : cut->cutter->row.diameter;

    source.patch = fmax(size, ground->decay);
    source.seconds = seconds;
    return th_local_heat(&source).mean + thrown_back(ground, cut, &source);
}

/* A cut in the middle that moves about: its pass, and for a pocket what its passes bring side by
 * side. */
static double in_the_middle(const th_ground *ground, const th_cut *cut, const th_warming_pass *pass,
                            double seconds, th_heat_source source) {
    double rise;

    source.patch = patch_of(ground, pass->radial);
    source.feed = pass->feed;
    rise = fmin(th_local_at_bond(&source, pass->under, pass->under + pass->axial) +
                    thrown_back(ground, cut, &source),
                2 * th_local_under_floor(&source, pass->under));
    if (cut->operation == TH_POCKET) {
        double b = cut->size.single ? cut->size.a : cut->size.b;
        source.feed = 0;
        source.patch = patch_of(ground, sqrt(cut->size.a * b));
        source.seconds = seconds;
        rise += th_local_heat(&source).mean;
    }
    return rise;
}

/* All that a face clears, up to the corners of the part. */
static double over_the_face(const th_ground *ground, const th_cut *cut, const th_warming_pass *pass,
                            th_heat_source source) {
    source.patch = patch_of(ground, pass->radial);
    source.feed = pass->feed;
    source.edges = edges_at(ground, cut, th_local_heat(&source).reach, pass->radial);
    return fmin(th_local_at_bond(&source, pass->under, pass->under + pass->axial),
                2 * th_local_under_floor(&source, pass->under));
}

/* Least width of the sheet beside the parts (mm). */
static double rim_of(const th_ground *ground) {
    const th_job *job = ground->job;
    const th_part *part = &job->part;
    th_point last = th_copy_offset(job, ground->copies);
    double right = part->sheet_length - part->sheet_x - last.x - part->length;
    double back = part->sheet_width - part->sheet_y - last.y - part->width;

    return fmin(fmin(part->sheet_x, part->sheet_y), fmin(right, back));
}

bool th_warmth_framed(const th_ground *ground, const th_cut *cut) {
    return cut->operation == TH_OUTLINE && ground->sheet &&
           rim_of(ground) > LEAST_RIM * cut->cutter->row.diameter;
}

double th_warmth_under(const th_ground *ground, const th_cut *cut, const th_warming_pass *pass,
                       double power, double *biot) {
    const th_job *job = ground->job;
    double diameter = cut->cutter->row.diameter, thickness = job->part.thickness;
    double cutting = th_duration_of(ground, cut).cutting * 60;
    double seconds = cutting / fmax((double)cut->at.count, 1) / ground->copies;
    bool floor = cut->operation == TH_POCKET || cut->operation == TH_FACING;
    bool kerf = cut->operation == TH_OUTLINE || cut->operation == TH_SLOT;
    bool two_walls = pass->radial > 0.99 * diameter &&
                     (cut->operation == TH_SLOT || th_warmth_framed(ground, cut));
    th_heat_source source = {
        .stock = job->part.stock,
        .thickness = floor ? fmin(pass->under + pass->axial, thickness) : thickness,
        .loss = th_stack_conductance(job->hold.tape, job->hold.glue, job->hold.tape_below),
        .power = power,
        .seconds = INFINITY,
        .strip = INFINITY};
    double path, rise;

    *biot = source.loss * source.thickness / (job->part.stock->conductivity * 1e-3);
    if (kerf) {
        source.power *= two_walls ? 0.5 : 1;
        path =
            cutting / 60 * cut->feed / fmax(th_duration_of(ground, cut).passes, 1) / ground->copies;
        return along_kerf(ground, cut, pass, path, source);
    }
    if (cut->operation == TH_DRILLED || cut->operation == TH_HOLE) {
        rise = on_the_spot(ground, cut, seconds * th_warmth_in_metal(job, cut), source);
        if (cut->operation == TH_HOLE && cut->size.a > 2 * diameter) {
            source.power *= 0.5;
            rise =
                fmax(rise, along_kerf(ground, cut, pass, TH_PI * (cut->size.a - diameter), source));
        }
        return rise;
    }
    return cut->operation == TH_FACING || cut->operation == TH_CHAMFERING
               ? over_the_face(ground, cut, pass, source)
               : in_the_middle(ground, cut, pass, seconds, source);
}
