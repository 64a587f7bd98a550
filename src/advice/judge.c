/* judge.c - every operation of a job held against its bond. */
#include "judge.h"

#include <math.h>
#include <string.h>

/* Share of a down-cut helix's pressing that counts; all other pressing earns nothing. */
#define PRESSING_SHARE 0.5

/* Equivalent diameter of an end mill's fluted length for bending, as a share of its diameter (Kops
 * and Vo 1990, from memory), and the modulus of the tool materials (MPa; handbook values). */
#define BENDING_DIAMETER 0.8
static const double tool_modulus[] = {580000, 210000};

typedef struct {
    const th_job *job;
    th_arena *arena;
    th_error *err;
    const th_stack *stack;      /* as it is: names, strengths, why unusable */
    const th_stack *grip_stack; /* the same, or unit strengths where it is unusable, so that
                                   tractions can still be shown */
    double passed;              /* cutting time of the cuts before this one (min) */
    double enough; /* a stage whose hold factor falls below this need not be searched on */
    th_pass pass;  /* the pass that `turn` was made for: first and last pass are often alike */
    th_turn turn;
} th_bench;

/* One pass at one height, seen from every spot: what grips must bear. */
typedef struct {
    const char *name;
    const th_sample *samples;
    size_t count;
    double floor;    /* height of the cutter's lowest point above the bonded face (mm) */
    double pressing; /* share of a downward force that counts (-) */
    double ratio;    /* peak_ratio (-) */
    double held;     /* (s) */
    int stops;       /* edge stops that the piece still leans on */
    th_bonded bonded;
    th_spots spots;
} th_trial;

/* ---- wrenches -------------------------------------------------------------------------------- */

/* Load of one sample, the spindle at the spot. `ratio` scales the in-plane force, the torque and a
 * lifting force; a pressing one counts by its share alone. */
static th_wrench wrench_at(const th_trial *trial, const th_sample *sample, const th_spot *spot,
                           double ratio) {
    double c = cos(spot->heading), s = sin(spot->heading);
    double vertical = sample->fz > 0 ? ratio : trial->pressing;
    double fx = ratio * (c * sample->fx - s * sample->fy);
    double fy = ratio * (s * sample->fx + c * sample->fy);
    double fz = vertical * sample->fz;
    double px = ratio * (c * sample->px - s * sample->py) + trial->floor * fx;
    double py = ratio * (s * sample->px + c * sample->py) + trial->floor * fy;
    double qx = vertical * (c * sample->qx - s * sample->qy) + spot->at.x * fz;
    double qy = vertical * (s * sample->qx + c * sample->qy) + spot->at.y * fz;
    th_wrench wrench = {fx,      fy,      fz,
                        qy - py, px - qx, spot->at.x * fy - spot->at.y * fx + ratio * sample->mz};

    return wrench;
}

/* An edge stop takes the in-plane force that pushes towards it, along the line through the
 * centroid; torque and tilting stay with the tape. */
static void apply_stops(int stops, const th_bonded *bonded, th_wrench *wrench) {
    if ((wrench->fx < 0 && (stops & TH_STOP_LEFT)) || (wrench->fx > 0 && (stops & TH_STOP_RIGHT))) {
        wrench->mz += bonded->cy * wrench->fx;
        wrench->fx = 0;
    }
    if ((wrench->fy < 0 && (stops & TH_STOP_FRONT)) || (wrench->fy > 0 && (stops & TH_STOP_BACK))) {
        wrench->mz -= bonded->cx * wrench->fy;
        wrench->fy = 0;
    }
}

/* ---- one trial ------------------------------------------------------------------------------- */

typedef struct {
    th_grip grip;
    th_load_kind load;
    const th_spot *spot;
    double peak_index, sustained_index;
    double shear_peak, lift_peak;
    double force_angle; /* (deg), NAN none */
} th_outcome;

static void fill(const th_trial *trial, const th_spot *spot, double ratio, th_wrench *wrenches) {
    for (size_t i = 0; i < trial->count; i++) {
        wrenches[i] = wrench_at(trial, &trial->samples[i], spot, ratio);
        if (trial->stops) {
            apply_stops(trial->stops, &trial->bonded, &wrenches[i]);
        }
    }
}

static void keep(th_outcome *outcome, const th_grip *grip, th_load_kind load, const th_spot *spot,
                 const th_wrench *wrenches) {
    const th_wrench *wrench = &wrenches[grip->instant];

    outcome->grip = *grip;
    outcome->load = load;
    outcome->spot = spot;
    outcome->force_angle = hypot(wrench->fx, wrench->fy) > 0
                               ? atan2(wrench->fy, wrench->fx) * 180 / TH_PI
                               : (double)NAN;
}

/* The larger, or what is not a number: that must show, not vanish. */
static double larger(double largest, double value) {
    return value <= largest || isnan(largest) ? largest : value;
}

static bool try_spots(const th_bench *bench, const th_trial *trial, th_outcome *outcome) {
    th_wrench *wrenches = th_arena_take(bench->arena, trial->count * sizeof *wrenches);
    double *weights = th_arena_take(bench->arena, trial->count * sizeof *weights);
    th_history history = {wrenches, weights, trial->count};
    double weakest = 1; /* smallest time factor of any interface */
    double no_matter =
        bench->enough > 0 ? 1 / bench->enough : 0; /* sustained index of no interest */

    if (!wrenches || !weights) {
        return th_fail_memory(bench->err);
    }
    for (size_t i = 0; i < trial->count; i++) {
        weights[i] = trial->samples[i].weight;
    }
    *outcome = (th_outcome){.grip = {.index = -1}, .force_angle = (double)NAN};
    for (size_t i = 0; i < bench->grip_stack->count; i++) {
        weakest = fmin(weakest,
                       th_time_factor(trial->held, bench->grip_stack->interfaces[i].time_exponent));
    }
    for (size_t i = 0; i < trial->spots.count; i++) {
        const th_spot *spot = &trial->spots.items[i];
        th_grip grip;
        if (outcome->grip.index * bench->enough > 1) {
            break;
        }
        fill(trial, spot, trial->ratio, wrenches);
        grip = th_grip_peak(&trial->bonded, bench->grip_stack, &history);
        outcome->shear_peak = larger(outcome->shear_peak, grip.shear_peak);
        outcome->lift_peak = larger(outcome->lift_peak, grip.lift_peak);
        outcome->peak_index = larger(outcome->peak_index, grip.index);
        if (grip.index > outcome->grip.index) {
            keep(outcome, &grip, TH_PEAK, spot, wrenches);
        }
        if (trial->pressing == 0 &&
            grip.index <= fmax(outcome->sustained_index, no_matter) * weakest) {
            continue; /* without pressing the peak load is the rigid one scaled up */
        }
        fill(trial, spot, 1, wrenches);
        grip = th_grip_sustained(&trial->bonded, bench->grip_stack, &history, trial->held,
                                 fmax(outcome->sustained_index, no_matter));
        outcome->sustained_index = larger(outcome->sustained_index, grip.index);
        if (grip.index > outcome->grip.index) {
            keep(outcome, &grip, TH_SUSTAINED, spot, wrenches);
        }
    }
    return true;
}

/* A hold without strength: no figure of the load matters. */
static void describe_unusable(const th_bench *bench, th_stage *stage) {
    const th_interface *culprit = &bench->stack->interfaces[bench->stack->culprit];

    stage->hold_factor = stage->peak_factor = stage->sustained_factor = 0;
    stage->area_hold_factor = 0;
    stage->way = th_unusable_way(bench->stack->unusable);
    stage->load = TH_PEAK;
    stage->interface = culprit->name;
    stage->row = culprit->row;
    stage->design_shear = culprit->shear;
    stage->design_lift = culprit->lift;
    stage->derating = culprit->derating;
    stage->time_factor = 1;
}

static void describe_outcome(const th_bench *bench, const th_trial *trial,
                             const th_outcome *outcome, th_stage *stage) {
    const th_interface *interface = &bench->grip_stack->interfaces[outcome->grip.interface];

    stage->peak_factor = th_hold_factor(outcome->peak_index);
    stage->sustained_factor = th_hold_factor(outcome->sustained_index);
    stage->hold_factor = fmin(stage->peak_factor, stage->sustained_factor);
    stage->area_hold_factor = stage->hold_factor;
    stage->way = outcome->grip.way;
    stage->load = outcome->load;
    stage->interface = interface->name;
    stage->row = interface->row;
    stage->design_shear = interface->shear;
    stage->design_lift = interface->lift;
    stage->derating = interface->derating;
    stage->time_factor = th_time_factor(trial->held, interface->time_exponent);
    stage->shear_peak = outcome->shear_peak;
    stage->lift_peak_traction = outcome->lift_peak;
    stage->at = outcome->grip.at;
    stage->force_angle = outcome->force_angle;
    if (outcome->spot) {
        stage->cutter_at = outcome->spot->at;
        stage->heading = outcome->spot->heading * 180 / TH_PI;
    }
}

/* The state with the lower hold factor is shown; the lowest peak and sustained factors are kept
 * whichever state they belong to. */
static void keep_worse(th_stage *stage, const th_stage *fresh) {
    bool first = stage->hold_factor < 0;
    double peak = first ? fresh->peak_factor : fmin(stage->peak_factor, fresh->peak_factor);
    double sustained =
        first ? fresh->sustained_factor : fmin(stage->sustained_factor, fresh->sustained_factor);

    if (first || fresh->hold_factor < stage->hold_factor) {
        *stage = *fresh;
    }
    stage->peak_factor = peak;
    stage->sustained_factor = sustained;
}

/* Try one state of an operation; `stage` keeps the worst seen so far (hold_factor < 0: none yet).
 */
static bool try_state(const th_bench *bench, const th_trial *trial, const th_stage *loads,
                      th_stage *stage) {
    th_stage fresh = *loads;
    th_outcome outcome;

    fresh.name = trial->name;
    fresh.bonded_area = trial->bonded.area;
    fresh.held = trial->held;
    fresh.peak_ratio = trial->ratio;
    fresh.average_shear = loads->in_plane_peak * trial->ratio / trial->bonded.area;
    fresh.at = (th_point){trial->bonded.cx, trial->bonded.cy};
    if (!try_spots(bench, trial, &outcome)) {
        return false;
    }
    if (trial->spots.count == 0 || trial->count == 0 || !isfinite(outcome.peak_index) ||
        !isfinite(outcome.sustained_index)) {
        return th_fail(bench->err, TH_NOT_SOLVED, "[%s] gave no figure for the bond",
                       loads->cut->section);
    }
    describe_outcome(bench, trial, &outcome, &fresh);
    if (bench->stack->unusable != TH_USABLE) {
        describe_unusable(bench, &fresh);
    }
    keep_worse(stage, &fresh);
    return true;
}

/* ---- loads of one operation -------------------------------------------------------------------
 */

static th_stage stage_of(const th_bench *bench, const th_cut *cut) {
    const th_hold *hold = &bench->job->hold;
    th_stage stage = {.cut = cut, .piece = "part", .copy = 1, .counts = true, .hold_factor = -1};

    stage.temperature = hold->room_temperature;
    stage.sway = stage.creep = (double)NAN;
    stage.power = stage.mean_chip = stage.max_chip = stage.removal = (double)NAN;
    stage.spindle_margin = stage.deflection_margin = stage.chip_margin = (double)NAN;
    stage.force_angle = (double)NAN;
    stage.time_factor = 1;
    return stage;
}

/* Springing of the cutter as a cantilever of the stickout, loaded at the tip. */
static double deflection(const th_cutter *cutter, double force) {
    double d = BENDING_DIAMETER * cutter->diameter;
    double second_moment = TH_PI * d * d * d * d / 64;
    return force * pow(cutter->stickout, 3) / (3 * tool_modulus[cutter->material] * second_moment);
}

static void set_margins(const th_job *job, th_stage *stage) {
    const th_cutter *cutter = &stage->cut->cutter->row;
    double springs = deflection(cutter, stage->in_plane_peak);

    stage->spindle_margin = job->machine.spindle_power * job->machine.efficiency / stage->power;
    stage->chip_margin = stage->max_chip / job->part.stock->smallest_chip;
    if (springs > 0) {
        stage->deflection_margin = 0.01 * cutter->diameter / springs;
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
    double minutes = bench->passed + th_duration_of(bench->job, cut).cutting;
    return isnan(bench->job->hold.cutting_time) ? minutes * 60 : bench->job->hold.cutting_time;
}

/* One pass to be judged: how it engages, at which height, on which state of the bond. */
typedef struct {
    const char *which; /* "first pass", ...; NULL: the operation has only one */
    double radial, axial, chip_load, floor;
    const th_bond_state *state;
} th_shot;

static th_pass pass_of(const th_job *job, const th_cut *cut, const th_shot *shot) {
    const th_cutter *cutter = &cut->cutter->row;
    th_pass pass = {.stock = job->part.stock,
                    .cutter = cutter,
                    .wear = cut->cutter->wear,
                    .radial = shot->radial,
                    .axial = shot->axial,
                    .chip_load = shot->chip_load,
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

/* Stops stand against the stock: they are gone once an outline has been cut. */
static int stops_of(const th_job *job, const th_bond_state *state) {
    return state->outlined ? 0 : job->hold.stops;
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

static bool try_pass(th_bench *bench, const th_cut *cut, const th_shot *shot, th_stage *stage) {
    const th_job *job = bench->job;
    const char *name = th_operation_name((th_operation)cut->operation);
    th_pass pass = pass_of(job, cut, shot);
    th_stage loads = stage_of(bench, cut);
    th_trial trial = {.ratio = job->machine.peak_ratio, .held = held_time(bench, cut)};
    bool fine;

    if (!run_turn(bench, &pass)) {
        return false;
    }
    set_loads(job, &bench->turn, &loads);
    loads.piece = shot->state->freed ? "part" : "stock";
    trial.samples = bench->turn.samples;
    trial.count = bench->turn.count;
    trial.pressing = cut->cutter->row.helix_pulls == TH_DOWN ? PRESSING_SHARE : 0;
    trial.floor = shot->floor - pass.base;
    trial.name = shot->which ? th_arena_print(bench->arena, "%s, %s", name, shot->which) : name;
    trial.stops = stops_of(job, shot->state);
    fine = trial.name || th_fail_memory(bench->err);
    fine = fine && th_bond_state_bonded(job, shot->state, &trial.bonded, bench->err);
    if (fine && !th_spots_of(job, cut, shot->state->bounds, bench->arena, &trial.spots)) {
        fine = th_fail_memory(bench->err);
    }
    return fine && try_state(bench, &trial, &loads, stage);
}

/* The first pass at the top and the last at the bottom: the index is convex in the height of the
 * force, so they bound those between. */
static bool judge_levels(th_bench *bench, const th_cut *cut, const th_bond_state *first,
                         const th_bond_state *after, th_stage *stage) {
    double thickness = bench->job->part.thickness;
    bool several = cut->through || cut->depth > cut->axial * (1 + 1e-9);
    th_shot top = {several ? "first pass" : NULL,   cut->radial, cut->axial, cut->chip_load,
                   fmax(thickness - cut->axial, 0), first};
    th_shot bottom = top;

    bottom.which = cut->through ? "freeing pass" : "last pass";
    bottom.floor = cut->through ? 0 : fmax(thickness - cut->depth, 0);
    bottom.state = after;
    return try_pass(bench, cut, &top, stage) && (!several || try_pass(bench, cut, &bottom, stage));
}

/* An outline: the first pass, the full pass above the metal left for the last one (or above the
 * skin), the freeing pass, and a finishing lap round the free part. Thin metal counts as cut. */
static bool judge_outline(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                          th_stage *stage) {
    double thickness = bench->job->part.thickness;
    bool skin = !cut->through;
    double left = fmin(skin ? cut->skin : cut->last_axial, thickness);
    th_bond_state freed = *before;
    th_cut whole = *cut;
    th_shot top = {
        "first pass", cut->radial, cut->axial, cut->chip_load, fmax(thickness - cut->axial, 0),
        before};
    th_shot above = top, last = top, lap = top;

    whole.through = true;
    th_bond_state_cut(bench->job, &whole, &freed);
    above.which = skin ? "pass above the skin" : "pass above the last metal";
    above.floor = left;
    above.state = left < TH_SKIN_COUNTS ? &freed : before;
    last = (th_shot){"freeing pass", cut->radial, cut->last_axial, cut->last_chip_load, 0, &freed};
    lap = (th_shot){"finishing lap",     cut->finish,     skin ? thickness - left : thickness,
                    cut->last_chip_load, skin ? left : 0, skin ? above.state : &freed};
    return try_pass(bench, cut, &top, stage) && try_pass(bench, cut, &above, stage) &&
           (skin || try_pass(bench, cut, &last, stage)) &&
           (isnan(cut->finish) || try_pass(bench, cut, &lap, stage));
}

static bool judge_milling(th_bench *bench, const th_cut *cut, const th_bond_state *before,
                          const th_bond_state *after, th_stage *stage) {
    double thickness = bench->job->part.thickness, thickness_left = thickness - cut->depth;
    bool floors =
        cut->operation == TH_POCKET || cut->operation == TH_FACING || cut->operation == TH_ENGRAVE;

    if (floors && thickness_left < fmin(TH_SKIN_COUNTS, thickness / 2)) {
        const th_entry *entry = th_entry_of(bench->job, cut->section, NULL);
        return th_fail_at(
            bench->err, TH_NOT_POSSIBLE, entry ? entry->file : NULL, entry ? entry->line : 0,
            "[%s] leaves less than 0.2 mm of metal, which holds nothing together: leave "
            "more, or cut through and describe each piece as a job of its own",
            cut->section);
    }
    if (cut->operation == TH_CHAMFERING && !before->freed) {
        const th_entry *entry = th_entry_of(bench->job, cut->section, NULL);
        return th_fail_at(bench->err, TH_NOT_POSSIBLE, entry ? entry->file : NULL,
                          entry ? entry->line : 0,
                          "[%s] breaks an edge that is still inside the sheet: put it after the "
                          "outline, or describe the groove as engrave",
                          cut->section);
    }
    if (cut->operation == TH_OUTLINE) {
        return judge_outline(bench, cut, before, stage);
    }
    /* A hole counts as already free while it is bored. */
    if (!judge_levels(bench, cut, cut->operation == TH_HOLE ? after : before, after, stage)) {
        return false;
    }
    if (cut->operation == TH_POCKET && !isnan(cut->finish)) {
        th_shot lap = {"finishing lap", cut->finish,    cut->depth,
                       cut->chip_load,  thickness_left, after};
        return try_pass(bench, cut, &lap, stage);
    }
    return true;
}

static bool judge_drilling(th_bench *bench, const th_cut *cut, const th_bond_state *state,
                           th_stage *stage) {
    const th_job *job = bench->job;
    th_drilling drilling = {job->part.stock, &cut->cutter->row, cut->cutter->wear, cut->chip_load,
                            cut->speed};
    th_trial trial = {.name = "drill", .count = 1, .ratio = job->machine.peak_ratio};
    th_stage loads = stage_of(bench, cut);
    th_sample sample = {.weight = 1};
    th_drill_load load;

    if (!th_drill_run(&drilling, &load, bench->err) ||
        !th_bond_state_bonded(job, state, &trial.bonded, bench->err)) {
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
    loads.piece = state->freed ? "part" : "stock";
    set_margins(job, &loads);
    trial.samples = &sample;
    trial.held = held_time(bench, cut);
    trial.stops = stops_of(job, state);
    if (!th_spots_of(job, cut, state->bounds, bench->arena, &trial.spots)) {
        return th_fail_memory(bench->err);
    }
    return try_state(bench, &trial, &loads, stage);
}

static bool judge_push(th_bench *bench, const th_cut *cut, const th_bond_state *state,
                       th_stage *stage) {
    th_trial trial = {.name = "push", .count = 1, .ratio = 1, .pressing = 1};
    th_stage loads = stage_of(bench, cut);
    th_sample sample = {.weight = 1, .fx = cut->force_x, .fy = cut->force_y, .fz = cut->force_z};
    th_spot spot = {{cut->at_x, cut->at_y}, 0};

    loads.x_mean = cut->force_x;
    loads.y_mean = cut->force_y;
    loads.z_mean = loads.lift_peak = cut->force_z;
    loads.in_plane_peak = hypot(cut->force_x, cut->force_y);
    loads.piece = state->freed ? "part" : "stock";
    trial.samples = &sample;
    trial.floor = bench->job->part.thickness;
    trial.held = cut->seconds;
    trial.stops = stops_of(bench->job, state);
    trial.spots = (th_spots){&spot, 1};
    return th_bond_state_bonded(bench->job, state, &trial.bonded, bench->err) &&
           try_state(bench, &trial, &loads, stage);
}

/* ---- the job --------------------------------------------------------------------------------- */

static th_stack stack_of(const th_job *job) {
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
                           .temperature = hold->room_temperature};

    return th_stack_of(&state);
}

static const th_stack unit_stack = {.interfaces = {{.name = "", .shear = 1, .lift = 1}},
                                    .count = 1};

#define MOST_PASSES 1e6

static bool judge_cut(th_bench *bench, const th_cut *cut, th_bond_state *state, th_stage *stage) {
    th_bond_state after = *state;
    th_duration duration = th_duration_of(bench->job, cut);
    bool fine;

    *stage = stage_of(bench, cut);
    if (duration.passes > MOST_PASSES) {
        const th_entry *entry = th_entry_of(bench->job, cut->section, NULL);
        return th_fail_at(
            bench->err, TH_NOT_POSSIBLE, entry ? entry->file : NULL, entry ? entry->line : 0,
            "[%s] would take over a million passes; open radial or axial", cut->section);
    }
    th_bond_state_cut(bench->job, cut, &after);
    if (cut->operation == TH_PUSH) {
        fine = judge_push(bench, cut, state, stage);
    } else if (cut->operation == TH_DRILLED) {
        fine = judge_drilling(bench, cut, &after, stage);
    } else {
        fine = judge_milling(bench, cut, state, &after, stage);
    }
    stage->passes = duration.passes;
    stage->minutes = duration.minutes;
    bench->passed += duration.cutting;
    *state = after;
    return fine;
}

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

/* One cut after the other; `state` goes with them. */
static bool judge_cuts(th_bench *bench, th_bond_state state, th_judgement *judgement) {
    bool pushes = only_pushes(bench->job);

    for (size_t i = 0; i < bench->job->cut_count; i++) {
        const th_cut *cut = &bench->job->cuts[i];
        th_stage *stage = &judgement->stages[judgement->count];
        if (!judge_cut(bench, cut, &state, stage)) {
            return false;
        }
        if (!finite_stage(stage)) {
            return th_fail(bench->err, TH_NOT_SOLVED, "[%s] gave a figure that is not a number",
                           cut->section);
        }
        stage->counts = pushes || cut->operation != TH_PUSH;
        if (stage->counts && stage->hold_factor < judgement->hold_factor) {
            judgement->hold_factor = stage->hold_factor;
            judgement->governs = judgement->count;
        }
        judgement->minutes += stage->minutes;
        judgement->count++;
        if (judgement->hold_factor < bench->enough) {
            break;
        }
    }
    return true;
}

bool th_judge(const th_job *job, th_arena *arena, double enough, th_judgement *judgement,
              th_error *err) {
    th_bench bench = {.job = job, .arena = arena, .err = err, .enough = enough};
    th_bond_state *start = th_arena_take(arena, sizeof *start);
    bool fine;

    *judgement = (th_judgement){.hold_factor = INFINITY, .stack = stack_of(job)};
    judgement->stages = th_arena_take(arena, job->cut_count * sizeof *judgement->stages);
    if (!judgement->stages || !start) {
        return th_fail_memory(err);
    }
    bench.stack = &judgement->stack;
    bench.grip_stack = bench.stack->unusable == TH_USABLE ? bench.stack : &unit_stack;
    th_bond_state_start(job, start);
    for (int i = 0; i < 4; i++) {
        judgement->bounds[i] = start->bounds[i];
    }
    fine = th_openings_check(job, err) &&
           th_bond_state_bonded(job, start, &judgement->first, err) &&
           judge_cuts(&bench, *start, judgement);
    th_turn_free(&bench.turn);
    return fine;
}
