/* limits.c - how far each cut of a job may be opened. */
#include "limits.h"

#include <math.h>
#include <string.h>

/* Radial engagements that are looked at, as shares of the cutter's diameter. */
static const double ladder[] = {0.02, 0.04, 0.06, 0.08, 0.1, 0.15, 0.2,
                                0.3,  0.4,  0.5,  0.6,  0.7, 0.85, 1};
enum { RUNGS = sizeof ladder / sizeof ladder[0] };
static const double few[] = {0.05, 0.15, 0.4, 1};
enum { FEW = sizeof few / sizeof few[0] };

const char *th_limiter_name(th_limiter limiter) {
    static const char *const names[TH_LIMITERS] = {
        "bond", "spindle_power", "spindle_torque", "deflection",      "breakage", "chip",
        "heat", "sway",          "flute_length",   "plate_thickness", "helix"};

    return names[limiter];
}

/* ---- bounds -----------------------------------------------------------------------------------
 */

/* No pass is deeper than the flutes, nor than the cut. */
static void set_most(th_bounded *b) {
    const th_job *job = b->job;
    const th_cut *cut = b->cut;
    const th_cutter *cutter = &cut->cutter->row;
    double thickness = job->part.thickness;
    double depth = cut->depth;

    if (b->follows || cut->operation == TH_ENGRAVE) {
        depth =
            thickness - fmin(TH_SKIN_COUNTS, thickness / 2); /* what may be left at the bottom */
    }
    if (cut->operation == TH_CHAMFERING) {
        double half = tan(cutter->tip_angle / 2 * TH_PI / 180);
        double cone = (cutter->diameter - cutter->tip_flat) / 2 / half;
        depth = fmin(thickness, cone) * (1 - 1e-6);
    }
    b->most_by = cutter->flute_length < depth ? TH_BY_FLUTE_LENGTH : TH_BY_PLATE_THICKNESS;
    b->most = th_six_digits(fmin(cutter->flute_length, depth), false);
}

static bool takes_radial(const th_cut *cut) {
    return cut->operation == TH_SLOT || cut->operation == TH_FACING ||
           cut->operation == TH_POCKET || cut->operation == TH_OUTLINE;
}

/* Rungs and the job's own engagement, rising. */
static bool set_radials(const th_bounded *b, th_limit_cut *found) {
    const th_cut *cut = b->cut;
    const double *shares = b->sketch ? few : ladder;
    double diameter = cut->cutter->row.diameter, own = th_six_digits(cut->radial, false);
    size_t count = 0, rungs = b->sketch ? FEW : RUNGS;

    found->first_lap = b->first_lap;
    found->radial_fixed = !takes_radial(cut) || b->first_lap;
    found->points = th_arena_take(b->arena, (RUNGS + 1) * sizeof *found->points);
    if (!found->points) {
        return false;
    }
    for (size_t i = 0; i < rungs && !found->radial_fixed; i++) {
        double rung = th_six_digits(shares[i] * diameter, false);
        double before = count ? found->points[count - 1].radial : 0;
        if (own > before && own < rung * (1 - 1e-4)) {
            found->points[count++].radial = own;
        }
        found->points[count++].radial = fabs(own - rung) <= 1e-4 * rung ? own : rung;
    }
    if (found->radial_fixed) {
        found->points[count++].radial = b->first_lap ? diameter : cut->radial;
    }
    found->point_count = count;
    return true;
}

/* ---- one cut ----------------------------------------------------------------------------------
 */

double th_limit_own_radial(const th_limit_cut *found) {
    return found->first_lap ? found->points[0].radial : found->cut->radial;
}

static size_t own_rung(const th_limit_cut *found) {
    size_t best = 0;

    for (size_t i = 1; i < found->point_count; i++) {
        double now = fabs(found->points[best].radial - found->cut->radial);
        best = fabs(found->points[i].radial - found->cut->radial) < now ? i : best;
    }
    return best;
}

/* As much of the same tilting load as at the neighbour. */
static bool guess_by_load(const th_bounded *b, const th_limit_point *neighbour, double radial,
                          double *guess) {
    double axial = neighbour->axial > 0 ? neighbour->axial : 0.05;
    th_look there, here;

    if (!th_look_at(b, (th_engaged){neighbour->radial, axial, false}, TH_LOOK_CUTTER, &there) ||
        !th_look_at(b, (th_engaged){radial, axial, false}, TH_LOOK_CUTTER, &here)) {
        return false;
    }
    *guess = axial;
    if (here.severity.passes && there.severity.passes && here.severity.of[0][3] > 0) {
        *guess = axial * there.severity.of[0][3] / here.severity.of[0][3];
    }
    return true;
}

static bool by_hold(const th_limit_point *p) {
    return p->axial > 0 && (p->limiter == TH_BY_BOND || p->limiter == TH_BY_HEAT);
}

/* As a power of the radial engagement, through two neighbours that bond or heat limits; 0: they are
 * not two such. */
static double guess_by_power(const th_limit_point *near, const th_limit_point *far, double radial) {
    double power = log(near->axial / far->axial) / log(near->radial / far->radial);

    if (!by_hold(near) || !by_hold(far)) {
        return 0;
    }
    return near->axial * pow(radial / near->radial, power);
}

/* The points from the job's own up (`step` 1) or down (-1). */
static bool find_side(const th_bounded *b, th_limit_cut *found, size_t own, int step,
                      th_guess guess) {
    guess.stated = 0;
    size_t left = step > 0 ? found->point_count - 1 - own : own;
    const th_limit_point *far =
        step < 0 && left + 1 < found->point_count ? found->points + own + 1 : NULL;

    for (th_limit_point *point = found->points + own; left > 0; left--) {
        th_limit_point *near = point;
        point += step;
        guess.axial = far ? guess_by_power(near, far, point->radial) : 0;
        if (!(guess.axial > 0) && !guess_by_load(b, near, point->radial, &guess.axial)) {
            return false;
        }
        if (!th_limit_axial(b, &guess, point)) {
            return false;
        }
        far = near;
    }
    return true;
}

/* A hold that not even the lightest engagement changes: in a few words, why. Warmth is another
 * matter, it depends on the cut. */
static bool find_never(const th_bounded *b, double radial, th_limit_cut *found) {
    th_look seen;

    if (!th_look_at(b, (th_engaged){radial, fmin(TH_SHALLOWEST, b->most), false}, TH_LOOK_WHOLE,
                    &seen)) {
        return false;
    }
    const char *format = seen.way == TH_COOLING    ? "%s is not to be used with this cooling"
                         : seen.way == TH_WAIT     ? "%s has not set yet: wait longer"
                         : seen.way == TH_ADHESION ? "%s does not stick to this surface"
                                                   : NULL;
    found->idle = seen.idle;
    if (seen.idle) {
        found->never = "it touches nothing that has to stay";
        return true;
    }
    if (seen.unfit && format) {
        const th_glue *glue = b->job->hold.glue;
        bool sets = seen.way == TH_WAIT && !glue->absent;
        found->never = th_arena_print(b->arena, format, sets ? glue->head.id : seen.row);
        return found->never || th_fail_memory(b->err);
    }
    return true;
}

static void close_points(th_limit_cut *found) {
    for (size_t i = 0; i < found->point_count; i++) {
        th_limit_point *p = &found->points[i];
        p->axial = p->least = 0;
        p->limiter = TH_BY_BOND;
        p->hold_factor = p->passes = p->minutes = (double)NAN;
    }
}

/* An outline's engagement after its first lap. */
static bool look_at_stated(const th_bounded *b, th_limit_cut *found) {
    th_look seen;

    if (!th_look_at(b, (th_engaged){b->cut->radial, b->cut->axial, false}, TH_LOOK_WHOLE, &seen)) {
        return false;
    }
    found->own_holds = seen.ratio >= 1;
    found->own_limiter = seen.by;
    return true;
}

/* What a strip as wide as the cutter stands. */
static double first_strip(const th_limit_cut *found) {
    const th_limit_point *widest = &found->points[found->point_count - 1];
    bool full = widest->radial > 0.999 * found->cut->cutter->row.diameter;

    return found->cut->operation == TH_POCKET && full ? widest->axial : (double)NAN;
}

static bool find_points(const th_bounded *b, th_limit_cut *found) {
    size_t own = own_rung(found);
    th_guess guess = {.steepness = 1};
    th_look seen;

    if (!th_look_at(b, (th_engaged){found->points[own].radial, b->cut->axial, false}, TH_LOOK_WHOLE,
                    &seen)) {
        return false;
    }
    found->own_holds = found->lap_holds = seen.ratio >= 1;
    found->own_limiter = found->lap_limiter = seen.by;
    if (!(seen.bond > 0) && !find_never(b, found->points[own].radial, found)) {
        return false;
    }
    if (!found->never && found->first_lap && !look_at_stated(b, found)) {
        return false;
    }
    if (found->never) {
        found->own_limiter = found->lap_limiter = TH_BY_BOND;
        close_points(found);
        return true;
    }
    guess.axial = b->cut->axial * (seen.bond > 0 ? fmin(seen.bond, 50) : 0.25);
    guess.stated = found->lap_holds ? th_six_digits(b->cut->axial, false) : 0;
    return th_limit_axial(b, &guess, &found->points[own]) && find_side(b, found, own, 1, guess) &&
           find_side(b, found, own, -1, guess);
}

bool th_limit_note(th_lines *notes, th_arena *arena, const char *line) {
    for (size_t i = 0; line && i < notes->count; i++) {
        if (strcmp(notes->items[i], line) == 0) {
            return true;
        }
    }
    return line && th_lines_add(notes, arena, "%s", line);
}

/* ---- the job ----------------------------------------------------------------------------------
 */

/* What is to be bounded: all cuts, those with one cutter, or one alone. */
typedef struct {
    const char *cutter; /* NULL: whatever it is */
    const th_cut *cut;  /* NULL: whichever it is */
    bool sketch;
} asking;

static bool asked_for(const th_cut *cut, const asking *asked) {
    const char *cutter = asked->cutter;

    return (!asked->cut || asked->cut == cut) && cut->operation != TH_PUSH &&
           cut->operation != TH_DRILLED &&
           (!cutter || strcmp(cut->cutter->name, cutter) == 0 ||
            strcmp(cut->cutter->id, cutter) == 0);
}

/* Which cuts fail as the job stands. */
static bool find_failing(const th_job *job, const th_judging *judging, th_arena *arena, bool *fails,
                         th_error *err) {
    th_judgement judgement;

    if (!th_judge(job, judging, arena, 0, &judgement, err)) {
        return false;
    }
    for (size_t i = 0; i < judgement.count; i++) {
        const th_stage *stage = &judgement.stages[i];
        if (stage->counts && !(th_kept_factor(job, stage) >= job->head.asked_factor)) {
            fails[stage->cut - job->cuts] = true;
        }
    }
    return true;
}

/* How the other cuts are judged. What is known of them stands as long as the axial engagement
 * shapes nothing that they are judged on. */
static bool set_judgings(th_bounded *b, const th_judging *judging, th_known *known) {
    const th_job *job = b->job;
    bool drawn = b->cut->operation == TH_ENGRAVE || b->cut->operation == TH_CHAMFERING;
    bool tabs = th_any_tabs(job);
    bool *skip = th_arena_take(b->arena, (job->cut_count + 1) * sizeof *skip);
    bool *later = th_arena_take(b->arena, (job->cut_count + 1) * sizeof *later);

    if (!skip || !later) {
        return th_fail_memory(b->err);
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        skip[i] = !tabs && i != b->which && b->fails_anyway[i];
        later[i] = skip[i] || i <= b->which;
    }
    b->whole = *judging;
    b->whole.skip = skip;
    b->whole.skip_always = true;
    b->whole.factors_only = isnan(job->head.sway_limit);
    b->whole.changed = b->which;
    b->whole.known = b->follows || b->slow || drawn || tabs ? NULL : known;
    b->later = b->whole;
    if (b->whole.known) {
        b->later.skip = later;
    }
    return true;
}

/* What there is to know of a cut before it is looked at. */
static void describe_cut(th_bounded *b, bool *skip) {
    const th_cut *cut = b->cut;

    for (size_t i = 0; i < b->job->cut_count; i++) {
        skip[i] = i != b->which;
    }
    b->first_lap = b->first_laps[b->which];
    b->own.skip = skip;
    b->own.skip_always = true;
    b->follows = (cut->operation == TH_SLOT || cut->operation == TH_FACING) && !cut->through &&
                 !th_entry_of(b->job, cut->section, "depth");
    b->slow = cut->operation == TH_OUTLINE && isnan(cut->skin) &&
              !th_entry_of(b->job, cut->section, "last_axial");
    set_most(b);
}

static bool bound_cut(th_bounded *b, th_limit_cut *found, th_lines *notes) {
    const th_cut *cut = b->cut;

    found->cut = cut;
    found->first_strip = (double)NAN;
    found->own_bond_holds = !b->fails_anyway[b->which];
    found->depth_follows = b->follows;
    found->sketched = b->sketch;
    if (!(set_radials(b, found) || th_fail_memory(b->err)) || !find_points(b, found)) {
        return false;
    }
    found->first_strip = first_strip(found);
    return found->never || b->sketch ||
           (th_limit_others(b, found, notes) && th_limit_fastest(b, found));
}

static bool note_failing(const th_job *job, const bool *fails, th_limits *limits) {
    const char *names = "";
    size_t count = 0;

    for (size_t i = 0; i < job->cut_count && names; i++) {
        bool others = limits->cut_count > 1 ||
                      (limits->cut_count == 1 && limits->cuts[0].cut != &job->cuts[i]);
        if (fails[i] && others) {
            names = th_arena_print(&limits->arena, "%s%s%s", names, count ? ", " : "",
                                   job->cuts[i].section);
            count++;
        }
    }
    return names &&
           (count == 0 ||
            th_lines_add(&limits->notes, &limits->arena,
                         count == 1 ? "%s does not hold as stated, or keeps no reserve of heat: "
                                      "the limits of the other cuts "
                                      "reckon with its time and warmth as stated, not with its hold"
                                    : "%s do not hold as stated, or keep no reserve of heat: the "
                                      "limits of each cut reckon with "
                                      "the time and warmth of the others as stated, not with their "
                                      "hold",
                         names));
}

/* What keeps a cut from holding at all: once, however many cuts it keeps. */
static bool note_never(th_limits *limits) {
    for (size_t i = 0; i < limits->cut_count; i++) {
        const char *why = limits->cuts[i].never;
        if (why && !limits->cuts[i].idle &&
            !th_limit_note(
                &limits->notes, &limits->arena,
                th_arena_print(&limits->arena, "nothing holds at any engagement: %s", why))) {
            return false;
        }
    }
    return true;
}

/* What no engagement changes. */
static bool note_bow(const th_job *job, th_limits *limits) {
    char bow[40];
    bool none = false;

    for (size_t i = 0; i < limits->cut_count; i++) {
        const th_limit_cut *cut = &limits->cuts[i];
        none = none || (!cut->possible && !cut->never && !cut->sketched);
    }
    if (!none || !(job->part.bow > 0)) {
        return true;
    }
    th_quantity_print(job->part.bow, TH_LENGTH, (th_units)job->head.units, 3, bow, sizeof bow);
    return th_lines_add(&limits->notes, &limits->arena,
                        "the stock is bowed by %s and pulls at its bond all the time, whatever "
                        "the engagement: flatter stock may hold (bow)",
                        bow);
}

static bool note_torque(const th_job *job, th_limits *limits) {
    return !isnan(job->machine.spindle_torque) ||
           th_lines_add(&limits->notes, &limits->arena,
                        "the torque of the spindle is not checked: %s gives no spindle_torque",
                        job->machine.head.id);
}

static bool bound_all(const th_job *job, const th_judging *judging, const asking *asked,
                      th_limits *limits, th_error *err) {
    th_arena *arena = &limits->arena;
    th_ground ground;
    th_bounded b = {.job = job,
                    .own = *judging,
                    .whole = *judging,
                    .arena = arena,
                    .err = err,
                    .sketch = asked->sketch};
    bool *skip = th_arena_take(arena, (job->cut_count + 1) * sizeof *skip);
    th_bounded *bounds = th_arena_take(arena, (job->cut_count + 1) * sizeof *bounds);
    th_known *known = th_arena_take(arena, (job->cut_count + 1) * sizeof *known);

    b.fails_anyway = th_arena_take(arena, (job->cut_count + 1) * sizeof *b.fails_anyway);
    limits->cuts = th_arena_take(arena, (job->cut_count + 1) * sizeof *limits->cuts);
    b.first_laps = th_arena_take(arena, (job->cut_count + 1) * sizeof *b.first_laps);
    if (!skip || !bounds || !known || !b.fails_anyway || !b.first_laps || !limits->cuts) {
        return th_fail_memory(err);
    }
    b.ground = &ground;
    b.whole.factors_only = isnan(job->head.sway_limit);
    b.whole.known = known;
    b.whole.changed = job->cut_count;
    if (!th_ground_make(job, judging, arena, &ground, err) ||
        !th_first_laps(&ground, b.first_laps) ||
        !find_failing(job, &b.whole, arena, b.fails_anyway, err)) {
        return false;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        b.cut = &job->cuts[i];
        b.which = i;
        b.own = *judging;
        if (!asked_for(b.cut, asked)) {
            continue;
        }
        describe_cut(&b, skip);
        if (!set_judgings(&b, judging, known) ||
            !bound_cut(&b, &limits->cuts[limits->cut_count++], &limits->notes)) {
            return false;
        }
        bounds[limits->cut_count - 1] = b;
    }
    if (limits->cut_count == 0 && asked->cutter) {
        return th_fail(err, TH_MISSING, "no milling cut of the job uses a cutter \"%.60s\"",
                       asked->cutter);
    }
    if (asked->sketch) {
        return note_never(limits) || th_fail_memory(err);
    }
    return th_limit_together(bounds, limits) &&
           ((note_never(limits) && note_failing(job, b.fails_anyway, limits) &&
             note_bow(job, limits) && note_torque(job, limits)) ||
            th_fail_memory(err));
}

static bool find_limits(const th_job *job, const th_check_options *options, const asking *asked,
                        th_limits *limits, th_error *err) {
    th_judging judging = {.options = options};
    bool fine;

    *limits = (th_limits){.asked_factor = job->head.asked_factor};
    fine = th_work_begin(&judging) ? bound_all(job, &judging, asked, limits, err)
                                   : th_fail_memory(err);
    th_work_end(&judging);
    if (!fine) {
        th_limits_free(limits);
    }
    return fine;
}

bool th_limits_run(const th_job *job, const th_check_options *options, const char *cutter,
                   th_limits *limits, th_error *err) {
    const asking asked = {.cutter = cutter};

    return find_limits(job, options, &asked, limits, err);
}

static bool opens(const th_stage *stage) {
    return stage->cut != NULL && stage->cut->operation != TH_PUSH &&
           stage->cut->operation != TH_DRILLED;
}

const th_cut *th_limits_worth(const th_check *check) {
    const th_stage *weakest = NULL;

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (i == check->governs && opens(stage)) {
            return stage->cut;
        }
        if (stage->counts && opens(stage) &&
            (weakest == NULL || stage->hold_factor < weakest->hold_factor)) {
            weakest = stage;
        }
    }
    return weakest == NULL ? NULL : weakest->cut;
}

bool th_limits_sketch(const th_job *job, const th_check_options *options, const th_cut *cut,
                      th_limits *limits, th_error *err) {
    const asking asked = {.cut = cut, .sketch = true};

    return find_limits(job, options, &asked, limits, err);
}

void th_limits_free(th_limits *limits) {
    if (limits) {
        th_arena_free(&limits->arena);
        *limits = (th_limits){0};
    }
}
