/* judge.c - every operation of a job held against its bond. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cautions.h"
#include "stage.h"
#include "warmth.h"

#define MOST_PASSES 1e6

/* Grids that settle to 1 % may show a cooler and shorter look as so much the worse. */
#define KNOWN_RESERVE 1.02

/* So many copies, evenly spread over the row order, are tried to find the worst one; where tape is
 * not everywhere so many of those that have least of it, too. */
enum { COPIES_TRIED = 9, COPIES_BARE = 8 };

/* ---- loads of one operation ------------------------------------------------------------------ */

static th_stage loads_of(const th_bench *bench, const th_cut *cut) {
    th_stage stage = {.cut = cut, .copy = 1, .counts = true, .hold_factor = -1};

    stage.temperature = bench->temperature;
    stage.part_temperature = bench->part_temperature;
    stage.local_rise = bench->local_rise;
    stage.power = stage.mean_chip = stage.max_chip = stage.removal = (double)NAN;
    stage.spindle_margin = stage.deflection_margin = stage.chip_margin = (double)NAN;
    stage.torque_margin = stage.breakage_margin = (double)NAN;
    stage.force_angle = stage.offcut_margin = stage.alone_factor = (double)NAN;
    stage.tied_factor = stage.frame_factor = (double)NAN;
    stage.time_factor = 1;
    return stage;
}

static th_stages no_stages(void) {
    th_stages stages;

    for (int kind = 0; kind < TH_PIECE_KINDS; kind++) {
        stages.kinds[kind] = (th_stage){.hold_factor = -1};
    }
    return stages;
}

static void set_margins(const th_job *job, th_stage *stage) {
    const th_cutter *cutter = &stage->cut->cutter->row;
    double force = stage->in_plane_peak, ratio = job->machine.peak_ratio;

    stage->spindle_margin = job->machine.spindle_power * job->machine.efficiency / stage->power;
    stage->torque_margin =
        job->machine.spindle_torque / th_torque_of(stage->power, stage->cut->speed);
    stage->chip_margin = stage->max_chip / job->part.stock->smallest_chip;
    if (force > 0) {
        stage->deflection_margin = 0.01 * cutter->diameter / th_cutter_deflection(cutter, force);
        stage->breakage_margin =
            th_cutter_strength(cutter) /
            th_cutter_stress(cutter, ratio * force, ratio * stage->torque_peak);
    }
}

static void set_loads(const th_job *job, const th_turn *turn, th_stage *stage) {
    stage->x_mean = turn->x_mean;
    stage->y_mean = turn->y_mean;
    stage->z_mean = turn->z_mean;
    stage->in_plane_peak = turn->in_plane_peak;
    stage->lift_peak = turn->lift_peak;
    stage->torque_peak = turn->torque_peak;
    stage->power = turn->power;
    stage->mean_chip = turn->mean_chip;
    stage->max_chip = turn->max_chip;
    stage->removal = turn->removal;
    set_margins(job, stage);
}

/* How long the load has acted by the end of a cut (s). */
static double held_time(const th_bench *bench, const th_cut *cut) {
    double minutes = bench->passed + th_duration_of(bench->ground, cut).cutting;
    return isnan(bench->job->hold.cutting_time) ? minutes * 60 : bench->job->hold.cutting_time;
}

/* One pass to be judged: how it engages, at which height, on which state of the bond. */
typedef struct {
    const char *which; /* "first pass", ...; NULL: the operation has only one */
    double radial, axial, chip_load, floor;
    const th_bond_state *state;
    unsigned kinds; /* of pieces that it is held against; 0 all */
    int copy;       /* that it works on; 0 all */
} th_shot;

th_pass th_pass_of(const th_job *job, const th_cut *cut, double radial, double axial,
                   double chip_load) {
    const th_cutter *cutter = &cut->cutter->row;
    th_pass pass = {.stock = job->part.stock,
                    .cutter = cutter,
                    .wear = cut->cutter->wear,
                    .radial = radial,
                    .axial = axial,
                    .chip_load = chip_load,
                    .speed = cut->speed,
                    .climb = cut->direction == TH_CLIMB,
                    .resolution = 1};

    if (cut->operation == TH_CHAMFERING) {
        double half = tan(cutter->tip_angle / 2 * TH_PI / 180);
        double cone = (cutter->diameter - cutter->tip_flat) / 2 / half;
        pass.chamfer_width = cut->width;
        pass.radial = cutter->diameter;
        pass.base = fmax(cone - cut->axial, 0) / 2;
    }
    return pass;
}

static bool same_pass(const th_pass *a, const th_pass *b) {
    return a->stock == b->stock && a->cutter == b->cutter && a->wear == b->wear &&
           a->radial == b->radial && a->axial == b->axial && a->chip_load == b->chip_load &&
           a->speed == b->speed && a->climb == b->climb && a->base == b->base &&
           a->chamfer_width == b->chamfer_width;
}

/* The turn of a pass, kept in the bench until another one is asked for. */
static bool run_turn(th_bench *bench, const th_pass *pass) {
    if (bench->turn.samples && same_pass(pass, &bench->pass)) {
        return true;
    }
    th_turn_free(&bench->turn);
    bench->turn = (th_turn){.samples = NULL};
    bench->pass = *pass;
    return th_turn_run(pass, &bench->turn, bench->err);
}

static const char *shot_name(const th_bench *bench, const th_cut *cut, const th_shot *shot) {
    const char *name = th_operation_name((th_operation)cut->operation);

    if (!shot->which) {
        return name;
    }
    name = th_arena_print(bench->arena, "%s, %s", name, shot->which);
    if (!name) {
        th_fail_memory(bench->err);
    }
    return name;
}

static th_pass pass_of_shot(const th_bench *bench, const th_cut *cut, const th_shot *shot) {
    double below_top = bench->job->part.thickness - shot->floor;

    return th_pass_of(bench->job, cut, shot->radial, th_engaged_height(cut, shot->axial, below_top),
                      shot->chip_load);
}

/* Load and pattern of a shot. */
static bool prepare(th_bench *bench, const th_cut *cut, const th_shot *shot, th_trial *pattern,
                    th_stage *loads) {
    th_pass pass = pass_of_shot(bench, cut, shot);

    if (!run_turn(bench, &pass)) {
        return false;
    }
    *loads = loads_of(bench, cut);
    set_loads(bench->job, &bench->turn, loads);
    *pattern = (th_trial){.cut = cut,
                          .ratio = bench->job->machine.peak_ratio,
                          .held = held_time(bench, cut),
                          .samples = bench->turn.samples,
                          .count = bench->turn.count,
                          .floor = shot->floor - pass.base,
                          .copy = shot->copy,
                          .name = shot_name(bench, cut, shot)};
    pattern->pressing = cut->cutter->row.helix_pulls == TH_DOWN ? TH_PRESSING_SHARE : 0;
    return pattern->name != NULL;
}

/* A quick look has no use for what does not count. */
static unsigned every_kind(const th_bench *bench) {
    bool all = !bench->quick || bench->job->head.offcuts == TH_MUST_STAY;

    return all ? TH_EVERY_KIND : 1u << TH_PIECE_PART | 1u << TH_PIECE_STOCK;
}

static void tell_progress(const th_bench *bench) {
    if (bench->options->progress) {
        bench->options->progress(bench->options->context);
    }
}

static bool try_pass(th_bench *bench, const th_cut *cut, const th_shot *shot, th_stages *stages) {
    th_trial pattern;
    th_stage loads;

    tell_progress(bench);
    return prepare(bench, cut, shot, &pattern, &loads) &&
           th_stages_try(bench, shot->state, &pattern, &loads,
                         shot->kinds ? shot->kinds : every_kind(bench), stages);
}

/* ---- operations ------------------------------------------------------------------------------ */

/* The first pass at the top and the last at the bottom: the index is convex in the height of the
 * force, so they bound those between. The one in which a round end is buried first has all the
 * force of those below. */
static bool judge_levels(th_bench *bench, const th_cut *cut, const th_bond_state *first,
                         const th_bond_state *after, th_stages *stages) {
    double thickness = bench->job->part.thickness;
    bool several = cut->through || cut->depth > cut->axial * (1 + 1e-9);
    th_shot top = {several ? "first pass" : NULL,   cut->radial, cut->axial, cut->chip_load,
                   fmax(thickness - cut->axial, 0), first,       0,          0};
    th_shot bottom = top;

    bottom.which = cut->through ? "freeing pass" : "last pass";
    bottom.floor = cut->through ? 0 : fmax(thickness - cut->depth, 0);
    bottom.state = after;
    th_shot buried = bottom;
    buried.which = "pass that buries the round end";
    buried.floor = thickness - th_round_end(cut) - cut->axial;
    bool between = th_round_end(cut) > 0 && several && buried.floor > bottom.floor;
    return try_pass(bench, cut, &top, stages) &&
           (!between || try_pass(bench, cut, &buried, stages)) &&
           (!several || try_pass(bench, cut, &bottom, stages));
}

/* An outline of one copy, from the state before it. */
typedef struct {
    const th_cut *cut;
    int copy;
    const th_bond_state *before; /* as the first pass finds it */
    const th_bond_state *above;  /* as the pass above the skin or the last metal finds it */
    const th_bond_state *freed;  /* as the freeing pass leaves it; NULL: a skin holds on */
    double left;                 /* metal under the pass above (mm) */
} th_round;

/* The state before a copy's turn: those before it have been cut. */
static const th_bond_state *before_copy(th_ground *ground, const th_cut *cut, int copy,
                                        const th_bond_state *start) {
    const th_outline *grooves;

    if (!ground->sheet || copy == 1) {
        return start;
    }
    if (th_cut_opens(ground->job, cut)) {
        return th_state_opened(ground, start, cut, 1, copy - 1);
    }
    grooves = th_kerf_of(ground, cut, 1, copy - 1);
    return grooves ? th_state_thinned(ground, start, (th_floor){grooves, cut->skin, true}) : NULL;
}

static bool make_round(th_bench *bench, const th_cut *cut, int copy, const th_bond_state *start,
                       th_round *round) {
    th_ground *ground = bench->ground;
    double thickness = bench->job->part.thickness;
    const th_outline *groove;

    *round = (th_round){.cut = cut, .copy = copy};
    round->left = fmin(cut->through ? cut->last_axial : cut->skin, thickness);
    round->before = before_copy(ground, cut, copy, start);
    if (!round->before) {
        return false;
    }
    if (th_cut_opens(ground->job, cut)) {
        round->freed = th_state_opened(ground, round->before, cut, copy, copy);
        round->above = round->freed;
        if (!round->freed) {
            return false;
        }
    }
    if (round->left >= TH_SKIN_COUNTS * (1 - 1e-9)) {
        groove = th_kerf_of(ground, cut, copy, copy);
        round->above =
            groove ? th_state_thinned(ground, round->before, (th_floor){groove, round->left, true})
                   : NULL;
    }
    return round->above != NULL;
}

/* The last metal is too thin to count, and tabs stand in the kerf by the time that the pass above
 * it goes round. */
static bool tabs_before_last(const th_round *round) {
    return round->freed && round->above == round->freed && round->cut->tabs.count > 0 &&
           round->cut->tab_height > round->left * (1 + 1e-9);
}

/* The pass above the skin or the last metal. */
static th_shot shot_above(const th_round *round) {
    const th_cut *cut = round->cut;
    const char *which = cut->through ? "last pass before breakthrough" : "pass above the skin";

    return (th_shot){which,       cut->radial,  cut->axial, cut->chip_load,
                     round->left, round->above, 0,          round->copy};
}

/* Passes before the part is free. */
static bool judge_round_top(th_bench *bench, const th_round *round, th_stages *stages) {
    const th_cut *cut = round->cut;
    unsigned held = bench->ground->sheet ? 1u << TH_PIECE_STOCK : 0;
    th_shot top = {"first pass",
                   cut->radial,
                   cut->axial,
                   cut->chip_load,
                   fmax(bench->job->part.thickness - cut->axial, 0),
                   round->before,
                   held,
                   round->copy};
    th_shot above = shot_above(round);

    above.kinds = round->above != round->freed ? held
                  : tabs_before_last(round)    ? every_kind(bench) & ~(1u << TH_PIECE_PART)
                                               : 0;
    return try_pass(bench, cut, &top, stages) && try_pass(bench, cut, &above, stages);
}

/* Passes that free the part, or go round it once it is free, on one kind of piece. */
static bool judge_round_bottom(th_bench *bench, const th_round *round, const th_bond_state *freed,
                               unsigned kinds, th_stages *stages) {
    const th_cut *cut = round->cut;
    double thickness = bench->job->part.thickness;
    bool skin = !cut->through;
    th_shot last = {"freeing pass", cut->radial, cut->last_axial, cut->last_chip_load, 0,
                    freed,          kinds,       round->copy};
    th_shot lap = {"finishing lap",
                   cut->finish,
                   skin ? thickness - round->left : thickness,
                   cut->last_chip_load,
                   skin ? round->left : 0,
                   skin ? round->above : freed,
                   kinds,
                   round->copy};
    th_shot above = shot_above(round);

    above.state = freed;
    above.kinds = 1u << TH_PIECE_PART;
    return (!tabs_before_last(round) || kinds != above.kinds ||
            try_pass(bench, cut, &above, stages)) &&
           (skin || try_pass(bench, cut, &last, stages)) &&
           (isnan(cut->finish) || try_pass(bench, cut, &lap, stages));
}

typedef struct {
    int *items;
    size_t count;
    int barest; /* that with least tape, 0 where it is everywhere */
} th_copies;

/* A copy, and the tape on its own ground. */
typedef struct {
    int copy;
    const th_outline *taped;
    double area;
} th_own_tape;

/* Copies whose tape lies as that of none before them. */
static bool list_tape(const th_bench *bench, th_own_tape *kinds, int *count) {
    th_ground *ground = bench->ground;

    *count = 0;
    for (int copy = 1; copy <= ground->copies; copy++) {
        const th_outline *filled = th_ground_filled(ground, copy), *own;
        bool known = false;
        own = filled ? th_shapes_overlaid(ground->shapes, ground->taped, filled, TH_INTERSECTION,
                                          bench->err)
                     : NULL;
        if (!own) {
            return false;
        }
        for (int k = 0; k < *count && !known; k++) {
            th_point from = th_copy_offset(bench->job, kinds[k].copy);
            th_point to = th_copy_offset(bench->job, copy);
            known = th_region_same(kinds[k].taped, own, (th_point){to.x - from.x, to.y - from.y});
        }
        if (!known) {
            kinds[(*count)++] = (th_own_tape){copy, own, th_outline_section(own).area};
        }
    }
    return true;
}

static int by_area(const void *a, const void *b) {
    const th_own_tape *p = a, *q = b;

    if (p->area != q->area) {
        return p->area > q->area ? 1 : -1;
    }
    return (p->copy > q->copy) - (p->copy < q->copy);
}

/* Copies evenly spread over the row order, and those with least tape. */
static bool copies_to_try(const th_bench *bench, th_copies *tried) {
    int copies = bench->ground->copies, kinds = 0;
    int spread = copies < COPIES_TRIED ? copies : COPIES_TRIED;
    size_t room = COPIES_TRIED + COPIES_BARE;
    th_own_tape *own = th_arena_take(bench->arena, (size_t)copies * sizeof *own);

    *tried = (th_copies){th_arena_take(bench->arena, room * sizeof *tried->items), 0, 0};
    if (!own || !tried->items) {
        return th_fail_memory(bench->err);
    }
    for (int i = 0; i < spread && spread > 1; i++) {
        tried->items[tried->count++] = 1 + (int)((double)i * (copies - 1) / (spread - 1));
    }
    if (bench->ground->taped && !list_tape(bench, own, &kinds)) {
        return false;
    }
    qsort(own, (size_t)kinds, sizeof *own, by_area);
    tried->barest = kinds ? own[0].copy : 0;
    for (int k = 0; k < kinds && k < COPIES_BARE; k++) {
        bool known = false;
        for (size_t i = 0; i < tried->count && !known; i++) {
            known = tried->items[i] == own[k].copy;
        }
        if (!known) {
            tried->items[tried->count++] = own[k].copy;
        }
    }
    return true;
}

/* How weak the stock is in the turn of a copy, by the area model. */
static bool weak_by_area(th_bench *bench, const th_cut *cut, int copy, const th_bond_state *start,
                         double *index) {
    const th_bond_state *state = before_copy(bench->ground, cut, copy, start);
    th_shot top = {NULL, cut->radial, cut->axial, cut->chip_load, 0, NULL, 0, copy};
    th_trial pattern;
    th_stage loads;

    top.floor = fmax(bench->job->part.thickness - cut->axial, 0);
    return state && prepare(bench, cut, &top, &pattern, &loads) &&
           th_stages_area(bench, state, &pattern, TH_PIECE_STOCK, index);
}

/* The same by a quick look at the plate: where tape is missing under a copy, the hull that the area
 * model goes by does not show it. */
static bool weak_by_plate(th_bench *bench, const th_cut *cut, int copy, const th_bond_state *start,
                          double *index) {
    th_stages stages = no_stages();
    bool quick = bench->quick, fine;
    th_round round;

    bench->quick = true;
    fine = make_round(bench, cut, copy, start, &round) && judge_round_top(bench, &round, &stages);
    bench->quick = quick;
    *index = stages.kinds[TH_PIECE_STOCK].hold_factor < 0
                 ? -1
                 : 1 / stages.kinds[TH_PIECE_STOCK].hold_factor;
    return fine;
}

/* The copy in whose turn the stock is weakest; a quick look takes the one with least tape. */
static bool worst_copy(th_bench *bench, const th_cut *cut, const th_bond_state *start, int *worst) {
    double largest = -1;
    th_copies tried;

    *worst = bench->ground->copies;
    if (!copies_to_try(bench, &tried)) {
        return false;
    }
    if (bench->quick && tried.barest) {
        *worst = tried.barest;
        return true;
    }
    for (size_t i = 0; i < tried.count && tried.count > 1; i++) {
        int copy = tried.items[i];
        double index;
        tell_progress(bench);
        if (!(bench->ground->taped ? weak_by_plate(bench, cut, copy, start, &index)
                                   : weak_by_area(bench, cut, copy, start, &index))) {
            return false;
        }
        if (index > largest || isnan(index) || (index == largest && copy > *worst)) {
            largest = index;
            *worst = copy;
        }
    }
    return true;
}

/* Copies whose pieces differ in a state, by their shape or by what holds them: the one of the round
 * first. */
static bool unlike_copies(const th_bench *bench, const th_round *round, th_copies *unlike) {
    th_ground *ground = bench->ground;
    int last = ground->sheet ? ground->copies : round->copy;

    *unlike = (th_copies){th_arena_take(bench->arena, (size_t)last * sizeof *unlike->items), 1, 0};
    if (!unlike->items) {
        return th_fail_memory(bench->err);
    }
    unlike->items[0] = round->copy;
    for (int copy = 1; copy <= last; copy++) {
        bool alike = copy == round->copy;
        for (size_t k = 0; k < unlike->count && !alike; k++) {
            if (!th_copies_alike(ground, round->freed, unlike->items[k], copy, &alike)) {
                return false;
            }
        }
        if (!alike) {
            unlike->items[unlike->count++] = copy;
        }
    }
    return true;
}

/* The passes that free a part, on every copy that is unlike the others: all are free by then. */
static bool judge_unlike(th_bench *bench, const th_round *round, const th_copies *unlike,
                         const th_bond_state *freed, unsigned kinds, th_stages *stages) {
    th_round other = *round;

    for (size_t i = 0; i < unlike->count; i++) {
        other.copy = unlike->items[i];
        if (!judge_round_bottom(bench, &other, freed, kinds, stages)) {
            return false;
        }
    }
    return true;
}

/* With tabs the frame comes first: they earn no more than it holds. `stock`: before the outline. */
static bool judge_freed(th_bench *bench, const th_round *round, const th_outline *stock,
                        th_stages *stages, const th_bond_state **after) {
    unsigned part = 1u << TH_PIECE_PART, frame = 1u << TH_PIECE_FRAME | 1u << TH_PIECE_STOCK;
    unsigned others = (every_kind(bench) | (round->cut->tabs.count ? frame : 0)) & ~part;
    double hold = INFINITY;
    th_copies unlike;

    *after = round->freed;
    if (!unlike_copies(bench, round, &unlike) ||
        !judge_unlike(bench, round, &unlike, round->freed, others, stages)) {
        return false;
    }
    if (round->cut->tabs.count) {
        for (int kind = 0; kind < TH_PIECE_KINDS; kind++) {
            if (frame & 1u << kind && stages->kinds[kind].hold_factor >= 0) {
                hold = fmin(hold, stages->kinds[kind].hold_factor);
            }
        }
        *after = th_state_tied(bench->ground, round->freed, round->cut, hold, stock);
    }
    return *after && judge_unlike(bench, round, &unlike, *after, part, stages);
}

static bool add_stages(th_bench *bench, const th_stages *stages, th_judgement *judgement);

/* A part that an outline frees must have been judged; it never vanishes in silence. */
static bool part_found(const th_bench *bench, const th_round *round, const th_stages *stages) {
    th_units units = (th_units)bench->job->head.units;
    char area[40], web[40];

    if (!round->freed || stages->kinds[TH_PIECE_PART].hold_factor >= 0) {
        return true;
    }
    th_quantity_print(1, TH_AREA, units, 2, area, sizeof area);
    th_length_up(TH_LEAST_WEB, units, web, sizeof web);
    return th_refuse_cut(bench->job, round->cut, NULL, bench->err, TH_NOT_POSSIBLE,
                         "frees a part too small to be judged: under %s, or nowhere wider than %s",
                         area, web);
}

/* Whether a hole or a drilling of the job, before or after, covers the place. */
static bool bored_by_any(const th_bench *bench, th_point at) {
    for (size_t i = 0; i < bench->job->cut_count; i++) {
        const th_cut *cut = &bench->job->cuts[i];
        double bore = cut->operation == TH_HOLE      ? cut->size.a
                      : cut->operation == TH_DRILLED ? cut->cutter->row.diameter
                                                     : 0;
        for (size_t k = 0; bore > 0 && k < cut->at.count; k++) {
            if (hypot(cut->at.items[k].x - at.x, cut->at.items[k].y - at.y) < bore / 2) {
                return true;
            }
        }
    }
    return false;
}

static bool note_uncut(th_bench *bench, const th_cut *cut, th_point at, th_judgement *judgement) {
    th_units units = (th_units)bench->job->head.units;
    char x[40], y[40];

    th_quantity_print(at.x, TH_LENGTH, units, 4, x, sizeof x);
    th_quantity_print(at.y, TH_LENGTH, units, 4, y, sizeof y);
    return th_lines_add(&judgement->notes, bench->arena,
                        "%s: the opening at x %s, y %s is narrower than the cutter and stays "
                        "uncut: give it a cut of its own",
                        cut->section, x, y) ||
           th_fail_memory(bench->err);
}

/* Openings of the part that the cutter does not fit into and that nobody has cut yet. */
static bool note_narrow_openings(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                                 th_judgement *judgement) {
    const th_outline *part = bench->ground->part;

    for (size_t i = 0; bench->ground->sheet && i < part->ring_count; i++) {
        const th_ring *ring = &part->rings[i];
        th_point inside;
        bool fits;
        if (!ring->hole) {
            continue;
        }
        if (!th_opening_fits(bench->ground, ring, cut, &fits)) {
            return false;
        }
        inside = th_opening_middle(ring);
        if (!fits && th_outline_holds(before->region, inside) && !bored_by_any(bench, inside) &&
            !note_uncut(bench, cut, inside, judgement)) {
            return false;
        }
    }
    return true;
}

/* The first passes of the worst copy, if it is not the last; round a skin all of them, since tape
 * may be missing under it. */
static bool judge_worst(th_bench *bench, const th_cut *cut, int copy, const th_bond_state *before,
                        th_judgement *judgement) {
    th_stages stages = no_stages();
    th_round round;

    return make_round(bench, cut, copy, before, &round) &&
           judge_round_top(bench, &round, &stages) &&
           (round.freed || !bench->ground->taped ||
            judge_round_bottom(bench, &round, round.above, 0, &stages)) &&
           add_stages(bench, &stages, judgement);
}

/* Copy after copy, in row order: the worst one, if it is not the last, the last, and what is left
 * then. */
static bool judge_outline(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                          th_judgement *judgement, const th_bond_state **after) {
    th_stages stages = no_stages();
    th_round round;
    int last = bench->ground->sheet ? bench->ground->copies : 1, worst = last;

    if (!note_narrow_openings(bench, cut, before, judgement) ||
        (bench->ground->sheet && !worst_copy(bench, cut, before, &worst))) {
        return false;
    }
    if (worst != last && !judge_worst(bench, cut, worst, before, judgement)) {
        return false;
    }
    if (!make_round(bench, cut, last, before, &round) || !judge_round_top(bench, &round, &stages)) {
        return false;
    }
    *after = round.above;
    return (round.freed ? judge_freed(bench, &round, before->region, &stages, after)
                        : judge_round_bottom(bench, &round, round.above, 0, &stages)) &&
           part_found(bench, &round, &stages) && add_stages(bench, &stages, judgement);
}

static bool check_milling(th_bench *bench, const th_cut *cut, const th_bond_state *before) {
    double thickness = bench->job->part.thickness;
    bool floors =
        cut->operation == TH_POCKET || cut->operation == TH_FACING || cut->operation == TH_ENGRAVE;

    if (floors && thickness - cut->depth < fmin(TH_SKIN_COUNTS, thickness / 2)) {
        char least[40];
        th_length_up(TH_SKIN_COUNTS, (th_units)bench->job->head.units, least, sizeof least);
        return th_refuse_cut(bench->job, cut, NULL, bench->err, TH_NOT_POSSIBLE,
                             "leaves less than %s of metal, which holds nothing together: leave "
                             "more, or cut through",
                             least);
    }
    if (cut->operation == TH_CHAMFERING && before->freed < bench->ground->copies) {
        return th_refuse_cut(bench->job, cut, NULL, bench->err, TH_NOT_POSSIBLE,
                             "breaks an edge that is still inside the sheet: put it after the "
                             "outline, or describe the groove as engrave");
    }
    return true;
}

static bool judge_milling(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                          const th_bond_state *after, th_stages *stages) {
    /* A hole counts as already free while it is bored. */
    if (!judge_levels(bench, cut, cut->operation == TH_HOLE ? after : before, after, stages)) {
        return false;
    }
    if (cut->operation == TH_POCKET && !isnan(cut->finish)) {
        th_shot lap = {"finishing lap",
                       cut->finish,
                       cut->depth,
                       cut->chip_load,
                       bench->job->part.thickness - cut->depth,
                       after,
                       0,
                       0};
        return try_pass(bench, cut, &lap, stages);
    }
    return true;
}

static bool judge_drilling(th_bench *bench, const th_cut *cut, const th_bond_state *state,
                           th_stages *stages) {
    const th_job *job = bench->job;
    th_drilling drilling = {job->part.stock, &cut->cutter->row, cut->cutter->wear, cut->chip_load,
                            cut->speed};
    th_trial pattern = {.name = "drill", .cut = cut, .count = 1, .ratio = job->machine.peak_ratio};
    th_stage loads = loads_of(bench, cut);
    th_sample sample = {.weight = 1};
    th_drill_load load;

    if (!th_drill_run(&drilling, &load, bench->err)) {
        return false;
    }
    /* Thrust presses and earns nothing. At breakthrough the flutes pull, for a moment only; the
     * sustained load is overstated by counting that pull as held. */
    sample.mz = -load.torque;
    sample.fz = cut->through ? load.breakthrough_lift : 0;
    loads.z_mean = -load.thrust;
    loads.lift_peak = sample.fz;
    loads.torque_peak = load.torque;
    loads.power = load.power;
    loads.mean_chip = loads.max_chip = load.chip;
    loads.removal = load.removal;
    set_margins(job, &loads);
    pattern.samples = &sample;
    pattern.held = held_time(bench, cut);
    return th_stages_try(bench, state, &pattern, &loads, every_kind(bench), stages);
}

static bool judge_push(th_bench *bench, const th_cut *cut, const th_bond_state *state,
                       bool only_pushes, th_stages *stages) {
    th_trial pattern = {.name = "push", .cut = cut, .count = 1, .ratio = 1, .pressing = 1};
    th_stage loads = loads_of(bench, cut);
    th_sample sample = {.weight = 1, .fx = cut->force_x, .fy = cut->force_y, .fz = cut->force_z};

    loads.counts = only_pushes;
    loads.x_mean = cut->force_x;
    loads.y_mean = cut->force_y;
    loads.z_mean = loads.lift_peak = cut->force_z;
    loads.in_plane_peak = hypot(cut->force_x, cut->force_y);
    pattern.samples = &sample;
    pattern.floor = bench->job->part.thickness;
    pattern.held = cut->seconds;
    return th_stages_try(bench, state, &pattern, &loads, every_kind(bench), stages);
}

/* ---- heat ------------------------------------------------------------------------------------ */

/* Stands in for a stack without strength, so that tractions can still be shown. */
static const th_stack unit_stack = {.interfaces = {{.name = "", .shear = 1, .lift = 1}},
                                    .count = 1};

th_stack th_job_stack(const th_job *job, double temperature) {
    const th_hold *hold = &job->hold;
    th_hold_state state = {.above = hold->tape,
                           .below = hold->tape_below,
                           .glue = hold->glue,
                           .plate = hold->plate,
                           .adhesion = job->part.stock->adhesion,
                           .cooling = hold->coolant->kind,
                           .preparation = hold->preparation,
                           .pressed = hold->pressed,
                           .wait = hold->wait,
                           .temperature = temperature};

    return th_stack_of(&state);
}

static bool drill_warming(th_bench *bench, const th_cut *cut, th_warming_pass *pass) {
    th_drilling drilling = {bench->job->part.stock, &cut->cutter->row, cut->cutter->wear,
                            cut->chip_load, cut->speed};
    th_drill_load load;

    if (!th_drill_run(&drilling, &load, bench->err)) {
        return false;
    }
    *pass = (th_warming_pass){load.power, load.chip, cut->cutter->row.diameter,
                              cut->depth, 0,         cut->feed};
    return true;
}

static bool mill_warming(th_bench *bench, const th_cut *cut, const th_shot *shot,
                         th_warming_pass *warming) {
    double below_top = bench->job->part.thickness - shot->floor;
    th_pass pass = th_pass_of(bench->job, cut, shot->radial,
                              th_warming_height(cut, shot->axial, below_top), shot->chip_load);

    if (!run_turn(bench, &pass)) {
        return false;
    }
    *warming = (th_warming_pass){bench->turn.power, bench->turn.max_chip, shot->radial,
                                 shot->axial,       shot->floor,          cut->feed};
    return true;
}

/* All of the height at once, in a thin layer. */
static bool lap_warming(th_bench *bench, const th_cut *cut, th_warming *warming) {
    double thickness = bench->job->part.thickness;
    double left = cut->through ? 0 : fmax(thickness - cut->depth, 0);
    bool outline = cut->operation == TH_OUTLINE;
    th_shot lap = {.radial = cut->finish,
                   .axial = thickness - left,
                   .chip_load = outline ? cut->last_chip_load : cut->chip_load,
                   .floor = left};

    if (!mill_warming(bench, cut, &lap, &warming->passes[warming->count])) {
        return false;
    }
    warming->passes[warming->count++].feed = outline ? cut->last_feed : cut->feed;
    return true;
}

/* The usual pass comes last, so that its turn is at hand when it is judged. */
static bool warming_of(th_bench *bench, const th_cut *cut, th_warming *warming) {
    double thickness = bench->job->part.thickness;
    double under = cut->through ? 0 : fmax(thickness - cut->depth, 0);
    th_shot pass = {.radial = cut->radial,
                    .axial = fmin(cut->axial, thickness),
                    .chip_load = cut->chip_load,
                    .floor = under};
    th_shot last = pass;

    *warming = (th_warming){.count = 0};
    if (cut->operation == TH_PUSH) {
        return true;
    }
    if (cut->operation == TH_DRILLED) {
        return drill_warming(bench, cut, &warming->passes[warming->count++]);
    }
    if (cut->operation == TH_OUTLINE && cut->through) {
        last.axial = fmin(cut->last_axial, thickness);
        last.chip_load = cut->last_chip_load;
        pass.floor = fmin(cut->last_axial, fmax(thickness - cut->axial, 0));
        if (!mill_warming(bench, cut, &last, &warming->passes[warming->count])) {
            return false;
        }
        warming->passes[warming->count++].feed = cut->last_feed;
    }
    if ((cut->operation == TH_OUTLINE || cut->operation == TH_POCKET) && !isnan(cut->finish) &&
        !lap_warming(bench, cut, warming)) {
        return false;
    }
    return mill_warming(bench, cut, &pass, &warming->passes[warming->count++]);
}

/* Append the temperatures of a cut to the curve of the job. */
static bool keep_curve(th_bench *bench, const th_cut *cut, const th_warmth *warmth,
                       const th_heat_curve *curve, th_judgement *judgement) {
    size_t count = judgement->warm_count + curve->count;
    th_warm_point *all = th_arena_take(bench->arena, (count + 1) * sizeof *all);

    if (!all) {
        return th_fail_memory(bench->err);
    }
    for (size_t i = 0; i < judgement->warm_count; i++) {
        all[i] = judgement->warm[i];
    }
    for (size_t i = 0; i < curve->count; i++) {
        all[judgement->warm_count + i] = (th_warm_point){
            cut, bench->warm_seconds + curve->points[i].seconds, curve->points[i].state.part,
            curve->points[i].state.plate, curve->points[i].state.part + warmth->local};
    }
    if (curve->count) {
        bench->warm_seconds += curve->points[curve->count - 1].seconds;
    }
    judgement->warm = all;
    judgement->warm_count = count;
    return true;
}

static bool note_growth(th_bench *bench, const th_cut *cut, const th_warmth *warmth,
                        th_judgement *judgement) {
    const double *box = bench->bounds;
    double half = hypot(box[2] - box[0], box[3] - box[1]) / 2;
    th_expansion growth = th_warmth_slip(bench->ground, warmth, half);

    if (bench->quick || !growth.exceeds) {
        return true;
    }
    return th_lines_add(&judgement->notes, bench->arena,
                        "[%s] warms the part to %.0f C: at its corners it grows over the "
                        "sacrificial plate by up to %.3f mm, more than a quarter of what the tape "
                        "gives (%.3f mm)",
                        cut->section, warmth->largest.part, growth.slip, growth.allowed) ||
           th_fail_memory(bench->err);
}

/* Temperature comes first, strength follows. */
static bool warm_up(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                    th_judgement *judgement) {
    const th_bond_state *after =
        cut->operation == TH_OUTLINE ? before : th_state_after(bench->ground, before, cut);
    th_heat_curve curve = {.points = NULL};
    th_warming warming;
    th_warmed_cut warmed = {cut, &warming, before, after, bench->warmth};
    th_warmth warmth;
    bool fine;

    if (!after || !warming_of(bench, cut, &warming) ||
        !th_warmth_of(bench->ground, &warmed, &warmth, bench->quick ? NULL : &curve)) {
        return false;
    }
    bench->warmth = warmth.end;
    bench->temperature = warmth.tape;
    bench->part_temperature = warmth.largest.part;
    bench->local_rise = warmth.local;
    bench->warmed = th_job_stack(bench->job, warmth.tape);
    bench->stack = &bench->warmed;
    bench->grip_stack = bench->warmed.unusable == TH_USABLE ? &bench->warmed : &unit_stack;
    fine = keep_curve(bench, cut, &warmth, &curve, judgement) &&
           note_growth(bench, cut, &warmth, judgement);
    th_heat_curve_free(&curve);
    return fine;
}

/* ---- the job --------------------------------------------------------------------------------- */

static bool finite_stage(const th_stage *stage) {
    return isfinite(stage->hold_factor) && isfinite(stage->in_plane_peak) &&
           isfinite(stage->bonded_area) && isfinite(stage->average_shear) &&
           isfinite(stage->x_mean + stage->y_mean + stage->z_mean) &&
           isfinite(stage->lift_peak + stage->torque_peak);
}

static bool only_pushes(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].operation != TH_PUSH) {
            return false;
        }
    }
    return true;
}

/* NAN: none; fmin passes it over. */
static double offcut_factor(const th_stages *stages, th_piece_kind kind) {
    double factor = stages->kinds[kind].hold_factor;

    return factor < 0 ? (double)NAN : factor;
}

/* In time order: what the cut worked on before what it set free. */
static bool add_stages(th_bench *bench, const th_stages *stages, th_judgement *judgement) {
    for (int kind = 0; kind < TH_PIECE_KINDS; kind++) {
        const th_stage *found = &stages->kinds[kind];
        th_stage *stage = &judgement->stages[judgement->count];
        if (found->hold_factor < 0) {
            continue;
        }
        if (!finite_stage(found)) {
            return th_fail(bench->err, TH_NOT_SOLVED, "[%s] gave a figure that is not a number",
                           found->cut->section);
        }
        *stage = *found;
        if (kind == TH_PIECE_PART || kind == TH_PIECE_STOCK) {
            stage->offcut_margin =
                fmin(offcut_factor(stages, TH_PIECE_FRAME), offcut_factor(stages, TH_PIECE_SLUG));
        }
        if (stage->counts && (isinf(judgement->hold_factor) ||
                              th_stage_weaker(stage, &judgement->stages[judgement->governs]))) {
            judgement->hold_factor = stage->hold_factor;
            judgement->governs = judgement->count;
        }
        judgement->count++;
    }
    return true;
}

/* An operation other than an outline. */
static bool judge_other(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                        th_judgement *judgement, const th_bond_state **after) {
    th_stages stages = no_stages();
    bool fine;

    *after = th_state_after(bench->ground, before, cut);
    if (!*after) {
        return false;
    }
    fine = cut->operation == TH_PUSH
               ? judge_push(bench, cut, before, only_pushes(bench->job), &stages)
           : cut->operation == TH_DRILLED ? judge_drilling(bench, cut, *after, &stages)
                                          : judge_milling(bench, cut, before, *after, &stages);
    return fine && add_stages(bench, &stages, judgement);
}

/* What a cut leaves behind, and the time it takes. */
static bool leave_behind(th_bench *bench, const th_cut *cut, const th_bond_state **state,
                         th_judgement *judgement) {
    th_duration duration = th_duration_of(bench->ground, cut);

    judgement->minutes += duration.minutes;
    bench->passed += duration.cutting;
    *state = th_state_after(bench->ground, *state, cut);
    return *state != NULL;
}

/* No more than that. */
static bool pass_over(th_bench *bench, const th_cut *cut, const th_bond_state **state,
                      th_judgement *judgement) {
    return warm_up(bench, cut, *state, judgement) && leave_behind(bench, cut, state, judgement);
}

/* What is kept of a cut between judgements; NULL: nothing. */
static th_known *known_of(const th_bench *bench, const th_cut *cut) {
    size_t which = (size_t)(cut - bench->job->cuts);

    return bench->known && which != bench->changed ? &bench->known[which] : NULL;
}

/* What an earlier look leaves of a hold factor now: no strength falls faster with time than the
 * greatest exponent says, nor with warmth than that of the layer that loses most. What bowed stock
 * pulls weighs less in a longer load, where strength falls slower than that. */
static double left_of(const th_bench *bench, const struct th_known_look *look, double held) {
    const th_hold *hold = &bench->job->hold;
    double n = fmax(hold->tape->load_time_exponent,
                    hold->tape_below ? hold->tape_below->load_time_exponent : 0);
    double ratio = held / look->held;
    double longer = fmax(ratio, isnan(bench->job->part.bow) ? 1 : 1 / ratio);
    double warmer = fmax(bench->temperature, look->temperature);

    return look->factor * pow(longer, -n) * th_hold_warmed(bench->job, look->temperature, warmer);
}

/* Whether it keeps its reserve of heat: it adds no more to what it finds than in earlier looks. */
static bool surely_cool(const th_bench *bench, const th_known *known) {
    th_stage stage = {.temperature = -INFINITY};

    for (size_t i = 0; i < known->count && i < TH_KNOWN_MOST; i++) {
        double added = known->looks[i].warmest - known->looks[i].temperature;
        stage.temperature = fmax(stage.temperature, bench->temperature + added);
    }
    return th_heat_kept(bench->job, &stage);
}

/* Whether a cut that is warmed up is known to hold. */
static bool surely_holds(const th_bench *bench, const th_cut *cut) {
    th_known *known = known_of(bench, cut);
    double held = held_time(bench, cut), most = 0;

    for (size_t i = 0; known && i < known->count && i < TH_KNOWN_MOST; i++) {
        most = fmax(most, left_of(bench, &known->looks[i], held));
    }
    if (!(most >= KNOWN_RESERVE * bench->job->head.asked_factor) || !surely_cool(bench, known)) {
        return false;
    }
    known->least = most;
    return true;
}

/* `first`: its first stage. */
static void get_known(const th_bench *bench, const th_cut *cut, const th_judgement *judgement,
                      size_t first) {
    th_known *known = known_of(bench, cut);
    struct th_known_look look = {bench->temperature, held_time(bench, cut), INFINITY, -INFINITY};

    for (size_t i = first; i < judgement->count; i++) {
        double factor = judgement->stages[i].hold_factor;
        if (judgement->stages[i].counts) {
            look.factor = fmin(look.factor, factor);
            look.warmest = fmax(look.warmest, judgement->stages[i].temperature);
        }
    }
    if (known && isfinite(look.factor)) {
        known->looks[known->count++ % TH_KNOWN_MOST] = look; /* the newest stay */
    }
}

static bool judge_cut(th_bench *bench, const th_cut *cut, const th_bond_state **state,
                      th_judgement *judgement) {
    th_duration duration = th_duration_of(bench->ground, cut);
    const th_bond_state *after = NULL;
    size_t first = judgement->count;

    if (duration.passes > MOST_PASSES) {
        return th_refuse_cut(bench->job, cut, NULL, bench->err, TH_NOT_POSSIBLE,
                             "would take over a million passes; open radial or axial");
    }
    if (!check_milling(bench, cut, *state) || !warm_up(bench, cut, *state, judgement)) {
        return false;
    }
    if (surely_holds(bench, cut)) {
        return leave_behind(bench, cut, state, judgement);
    }
    if (!(cut->operation == TH_OUTLINE ? judge_outline(bench, cut, *state, judgement, &after)
                                       : judge_other(bench, cut, *state, judgement, &after))) {
        return false;
    }
    if (judgement->count == first) {
        return th_refuse_cut(bench->job, cut, NULL, bench->err, TH_CONTRADICTION,
                             "touches nothing that is still stuck down");
    }
    get_known(bench, cut, judgement, first);
    judgement->stages[first].passes = duration.passes;
    judgement->stages[first].minutes = duration.minutes;
    judgement->minutes += duration.minutes;
    bench->passed += duration.cutting;
    *state = after;
    return true;
}

static bool refuse_place(const th_bench *bench, const th_cut *cut, const char *key, th_point at) {
    th_units units = (th_units)bench->job->head.units;
    char x[40], y[40];

    th_quantity_print(at.x, TH_LENGTH, units, 6, x, sizeof x);
    th_quantity_print(at.y, TH_LENGTH, units, 6, y, sizeof y);
    return th_refuse_cut(bench->job, cut, key, bench->err, TH_CONTRADICTION,
                         "the place x %s, y %s lies off the material", x, y);
}

/* Places off the material would be cuts in the air. */
static bool check_places(const th_bench *bench, const th_cut *cut, const th_bond_state *start) {
    double reach = cut->operation == TH_DRILLED ? cut->cutter->row.diameter / 2
                   : cut->operation == TH_HOLE || cut->operation == TH_POCKET
                       ? fmin(cut->size.a, cut->size.b) / 2
                       : INFINITY;
    th_point push = {cut->at_x, cut->at_y};

    for (size_t i = 0; i < cut->at.count; i++) {
        th_point at = cut->at.items[i];
        if (!th_outline_holds(start->region, at) &&
            th_outline_distance(start->region, at, NULL) >= reach) {
            return refuse_place(bench, cut, "at", at);
        }
    }
    if (cut->operation == TH_PUSH && !th_outline_holds(start->region, push) &&
        th_outline_distance(start->region, push, NULL) > 1e-3) {
        return refuse_place(bench, cut, "at_x", push);
    }
    return true;
}

static bool judge_cuts(th_bench *bench, const th_bond_state *state, th_judgement *judgement) {
    for (size_t i = 0; i < bench->job->cut_count; i++) {
        if (!check_places(bench, &bench->job->cuts[i], state)) {
            return false;
        }
    }
    for (size_t i = 0; i < bench->job->cut_count; i++) {
        const th_cut *cut = &bench->job->cuts[i];
        if (bench->known) {
            bench->known[i].least = (double)NAN;
        }
        if (!(bench->skip && bench->skip[i] ? pass_over(bench, cut, &state, judgement)
                                            : judge_cut(bench, cut, &state, judgement))) {
            return false;
        }
        if (judgement->hold_factor < bench->enough) {
            break;
        }
    }
    return true;
}

static bool judge_on(th_bench *bench, th_judgement *judgement) {
    const th_bond_state *start = th_state_start(bench->ground);

    if (!start) {
        return false;
    }
    th_region_box(start->region, judgement->bounds);
    th_region_box(start->region, bench->bounds);
    bench->bowed_over = fmax(judgement->bounds[2] - judgement->bounds[0],
                             judgement->bounds[3] - judgement->bounds[1]);
    judgement->standing_lift = th_standing_lift(bench->job, bench->bowed_over, judgement->bounds);
    return judge_cuts(bench, start, judgement);
}

bool th_judge(const th_job *job, const th_judging *judging, th_arena *arena, double enough,
              th_judgement *judgement, th_error *err) {
    th_ground ground;
    th_bench bench = {.job = job,
                      .ground = &ground,
                      .cache = judging->cache,
                      .arena = arena,
                      .err = err,
                      .enough = enough,
                      .quick = judging->quick,
                      .factors_only = judging->quick || judging->factors_only,
                      .keep_scenes = judging->keep_scenes && !judging->quick,
                      .options = judging->options,
                      .known = judging->quick ? NULL : judging->known,
                      .changed = judging->changed,
                      .skip = judging->quick || judging->skip_always ? judging->skip : NULL};
    size_t most = job->cut_count * 2 * TH_PIECE_KINDS; /* an outline of copies gives two sets */
    bool fine;

    *judgement = (th_judgement){.hold_factor = INFINITY,
                                .stack = th_job_stack(job, job->hold.room_temperature)};
    judgement->stages = th_arena_take(arena, (most + 1) * sizeof *judgement->stages);
    if (!judgement->stages) {
        return th_fail_memory(err);
    }
    bench.warmth = (th_lump_state){job->hold.room_temperature, job->hold.room_temperature};
    bench.sway_stiffness = th_hold_sway_stiffness(job->hold.tape, job->hold.tape_below);
    fine = th_ground_make(job, judging, arena, &ground, err) && judge_on(&bench, judgement);
    if (fine && !judging->quick && !judging->known && isinf(judgement->hold_factor)) {
        fine = th_fail(err, TH_CONTRADICTION,
                       "no cut of the job touches the part or the stock that holds it");
    }
    th_turn_free(&bench.turn);
    return fine;
}

bool th_any_tabs(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].tabs.count > 0) {
            return true;
        }
    }
    return false;
}

static bool factor_of(const th_job *job, const th_judging *judging, double enough,
                      double *hold_factor, double *minutes, th_error *err) {
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine = th_judge(job, judging, &arena, enough, &judgement, err);

    *hold_factor = fine ? judgement.hold_factor : 0;
    *minutes = fine ? judgement.minutes : INFINITY;
    th_arena_free(&arena);
    return fine;
}

bool th_judge_factor(const th_job *job, const th_judging *judging, double enough,
                     double *hold_factor, double *minutes, th_error *err) {
    th_judging look = *judging;

    look.factors_only = true;
    look.quick = judging->quick || enough > 0;
    if (judging->options->progress) {
        judging->options->progress(judging->options->context);
    }
    return factor_of(job, &look, enough, hold_factor, minutes, err);
}
