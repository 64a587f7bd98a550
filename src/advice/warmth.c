/* warmth.c - the heat of one cut: which piece it goes into, and for how long. */
#include "warmth.h"

#include <math.h>

/* More passes than these are taken together. */
enum { PHASES_MOST = 100, CURVE_DETAIL = 40 };

/* ---- the piece ------------------------------------------------------------------------------- */

typedef struct {
    double area, bonded; /* (mm2) */
    double plate;        /* of the sacrificial plate that warms with it (mm2) */
    double plate_deep;   /* how deep it does (mm) */
    double volume;       /* (mm3) */
} th_body;

/* Of what an area of the whole stock has lost to pockets: as much as all of it (mm). */
static double thinned(const th_ground *ground, const th_bond_state *state) {
    double lost = 0, area = th_outline_section(state->region).area;

    for (size_t i = 0; i < state->floor_count; i++) {
        lost += th_outline_section(state->floors[i].region).area *
                (ground->job->part.thickness - state->floors[i].thickness);
    }
    return area > 0 ? lost / area : 0;
}

/* How long the cut works on one copy (s). */
static double seconds_of(const th_ground *ground, const th_cut *cut) {
    bool whole = cut->operation == TH_FACING || !ground->sheet;

    return th_duration_of(ground, cut).cutting * 60 / (whole ? 1 : ground->copies);
}

/* How far heat gets in the sacrificial plate while the cut runs (mm). */
static double reach_in_plate(const th_ground *ground, const th_cut *cut) {
    const th_plate *plate = ground->job->hold.plate;

    return th_warmth_spread(plate->conductivity, plate->density, plate->heat_capacity,
                            seconds_of(ground, cut));
}

/* Of the sacrificial plate: what lies under the stock, and of it no more than heat reaches while
 * the cut runs (mm2). */
static double plate_area(const th_ground *ground, const th_cut *cut, double bonded,
                         double stock_area) {
    double wide = sqrt(bonded) + 2 * reach_in_plate(ground, cut);

    return fmax(bonded, fmin(wide * wide, stock_area / ground->copies));
}

static th_body body_of(th_ground *ground, const th_bond_state *after, const th_cut *cut,
                       double stock_area) {
    double thickness = ground->job->part.thickness;
    double left = fmax(thickness - thinned(ground, after), 0.2 * thickness);
    double part = th_outline_section(ground->part).area, share = ground->job->hold.coverage;
    th_body body = {.area = INFINITY};

    for (size_t i = 0; i < after->piece_count; i++) {
        const th_piece *piece = &after->pieces[i];
        double area = th_outline_section(piece->region).area;
        if ((piece->kind == TH_PIECE_PART || piece->kind == TH_PIECE_STOCK) && area < body.area) {
            body.area = area;
            share = piece->held ? piece->bonded.area / area : 0;
        }
    }
    if (!(cut->operation == TH_FACING && ground->sheet) || isinf(body.area)) {
        body.area = fmin(body.area, part);
    }
    body.bonded = body.area * share;
    body.volume = body.area * left;
    body.plate = plate_area(ground, cut, body.bonded, stock_area);
    body.plate_deep = fmin(ground->job->hold.plate_thickness, reach_in_plate(ground, cut));
    return body;
}

/* ---- lumps ----------------------------------------------------------------------------------- */

/* Cutting and resting in turn. `saw`: what taking passes together hides, the rise within one of
 * them (J). */
typedef struct {
    th_heat_phase list[2 * PHASES_MOST];
    size_t count;
    double saw;
} th_phases;

static void lay_phases(const th_ground *ground, const th_cut *cut, double power,
                       th_phases *phases) {
    th_duration duration = th_duration_of(ground, cut);
    double passes = fmax(duration.passes, 1);
    double cutting = seconds_of(ground, cut) / passes;
    double rest = isnan(cut->rest) ? 0 : cut->rest;
    double together = ceil(passes / PHASES_MOST);

    *phases = (th_phases){.saw = together > 1 && rest > 0 ? power * cutting : 0};
    for (double done = 0; done < passes && phases->count / 2 < PHASES_MOST; done += together) {
        double now = fmin(together, passes - done);
        double pause = rest * (now - (done + now >= passes ? 1 : 0));
        if (together > 1) {
            double span = now * cutting + pause;
            phases->list[phases->count++] =
                (th_heat_phase){span > 0 ? power * now * cutting / span : 0, span};
            continue;
        }
        phases->list[phases->count++] = (th_heat_phase){power, cutting};
        phases->list[phases->count++] = (th_heat_phase){0, pause};
    }
}

static bool warm_lumps(const th_ground *ground, const th_body *body, const th_phases *phases,
                       th_lump_state start, th_warmth *warmth, th_heat_curve *kept) {
    const th_job *job = ground->job;
    double conductance = th_stack_conductance(job->hold.tape, job->hold.glue, job->hold.tape_below);
    th_heat_course course = {start, phases->list, phases->count, kept ? CURVE_DETAIL : 0};
    th_lumps_input input = {.stock = job->part.stock,
                            .plate = job->hold.plate,
                            .coolant = job->hold.coolant,
                            .conductance = conductance,
                            .volume = body->volume,
                            .top_area = body->area,
                            .bonded_area = body->bonded,
                            .plate_area = body->plate,
                            .plate_thickness = body->plate_deep,
                            .room = job->hold.room_temperature};
    th_heat_curve curve = {NULL, 0, start};
    th_lumps lumps;

    if (!th_lumps_make(&input, &lumps, ground->err) ||
        !th_heat_run(&lumps, &course, &curve, ground->err)) {
        return false;
    }
    warmth->end = curve.count ? curve.points[curve.count - 1].state : start;
    warmth->largest = curve.largest;
    warmth->largest.part += phases->saw / lumps.capacity;
    if (kept) {
        *kept = curve;
    } else {
        th_heat_curve_free(&curve);
    }
    return true;
}

/* A kerf as wide as the cutter warms two walls alike: half of the heat stays with the part where
 * they belong to two pieces. */
static double share_of_piece(const th_ground *ground, const th_bond_state *before,
                             const th_bond_state *after, const th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    bool slug = cut->operation == TH_HOLE && cut->size.a > 2 * diameter * (1 + 1e-9);
    bool parts = cut->operation == TH_SLOT && after->piece_count > before->piece_count;
    bool frame = th_warmth_framed(ground, cut);
    bool full = cut->operation == TH_HOLE || cut->radial > 0.99 * diameter;

    return full && (slug || parts || frame) ? 0.5 : 1;
}

/* A drill goes on through tape and plate by its point: what it takes of the metal is its full power
 * for the thickness of the part. */
double th_warmth_in_metal(const th_job *job, const th_cut *cut) {
    return cut->operation == TH_DRILLED ? fmin(1, job->part.thickness / cut->depth) : 1;
}

/* ---- the cut --------------------------------------------------------------------------------- */

/* The heaviest pass, as if there were no other (W into the piece). */
static double steady_power(const th_ground *ground, const th_cut *cut, const th_warming *warming) {
    double most = 0;

    for (size_t i = 0; i < warming->count; i++) {
        const th_warming_pass *pass = &warming->passes[i];
        most = fmax(most, pass->power * th_heat_share(ground->job->part.stock, pass->max_chip,
                                                      cut->operation == TH_DRILLED));
    }
    return most;
}

bool th_warmth_of(th_ground *ground, const th_warmed_cut *of, th_warmth *warmth,
                  th_heat_curve *curve) {
    const th_job *job = ground->job;
    const th_cut *cut = of->cut;
    const th_warming *warming = of->warming;
    double power = steady_power(ground, cut, warming);
    const th_outline *stock = th_ground_stock(ground);
    th_body body;
    th_phases phases;

    *warmth = (th_warmth){.end = of->start, .largest = of->start, .tape = of->start.part};
    if (!(power > 0)) {
        return true;
    }
    if (!stock) {
        return false;
    }
    body = body_of(ground, of->after, cut, th_outline_section(stock).area);
    power *=
        th_warmth_in_metal(ground->job, cut) * share_of_piece(ground, of->before, of->after, cut);
    lay_phases(ground, cut, power, &phases);
    if (!warm_lumps(ground, &body, &phases, of->start, warmth, curve)) {
        return false;
    }
    for (size_t i = 0; i < warming->count; i++) {
        const th_warming_pass *pass = &warming->passes[i];
        double into = pass->power *
                      th_heat_share(job->part.stock, pass->max_chip, cut->operation == TH_DRILLED);
        double rise = th_warmth_under(ground, cut, pass, into, &warmth->biot);
        warmth->local =
            rise <= warmth->local ? warmth->local : rise; /* no number stays: too warm */
    }
    /* A plastic conducts so badly that part and cutter hardly share their heat. */
    warmth->tape = th_warmth_plastic(ground->job->part.stock)
                       ? fmax(warmth->largest.part, of->start.part + warmth->local)
                       : warmth->largest.part + warmth->local;
    return true;
}

th_expansion th_warmth_slip(const th_ground *ground, const th_warmth *warmth,
                            double half_diagonal) {
    const th_hold *hold = &ground->job->hold;
    double travel = hold->tape->shear_travel;
    th_lump_state state = {warmth->largest.part, hold->room_temperature};

    if (hold->tape_below) {
        travel = fmin(travel, hold->tape_below->shear_travel);
    }
    return th_expansion_slip(ground->job->part.stock, hold->plate, state, hold->room_temperature,
                             half_diagonal, travel);
}

static double kept(double from, double to, double most, double hot) {
    double before = th_temperature_factor(from, most, hot);

    return before > 0 ? th_temperature_factor(to, most, hot) / before : 0;
}

double th_hold_warmed(const th_job *job, double from, double to) {
    const th_tape *above = job->hold.tape, *below = job->hold.tape_below;
    const th_glue *glue = job->hold.glue;
    double share = kept(from, to, above->temperature_max, above->strength_hot);

    if (below) {
        share = fmin(share, kept(from, to, below->temperature_max, below->strength_hot));
    }
    if (!glue->absent) {
        share = fmin(share, kept(from, to, glue->temperature_max, glue->strength_hot));
    }
    return share;
}

double th_hold_warmest(const th_job *job) {
    double most = job->hold.tape->temperature_max;

    if (job->hold.tape_below) {
        most = fmin(most, job->hold.tape_below->temperature_max);
    }
    return job->hold.glue->absent ? most : fmin(most, job->hold.glue->temperature_max);
}
