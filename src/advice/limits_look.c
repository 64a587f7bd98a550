/* limits_look.c - one engagement of one cut held against everything that limits it. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "helix.h"
#include "limits.h"

/* A coarse grid shows a hold factor this much too large at most (estimate). */
#define QUICK_ENOUGH 1.25
/* A margin above this need not be known any better. */
#define QUICK_SEEN 2.3
/* Where less than this share of the strength is left by warmth, that is what is told (a choice). */
#define WARM 0.5

double th_six_digits(double value, bool up) {
    double scale = value > 0 ? pow(10, 5 - floor(log10(value))) : 1;
    double n = value * scale, whole = nearbyint(n);

    if (fabs(n - whole) > 1e-7) {
        whole = up ? ceil(n) : floor(n);
    }
    return whole / scale;
}

/* ---- the job with the cut so engaged ----------------------------------------------------------
 */

static void change(th_settings *changes, const th_cut *cut, const char *key, double value,
                   int digits) {
    char number[40];
    size_t i = changes->count++;

    th_number_print(value, digits, number, sizeof number);
    snprintf(changes->text[i], TH_SETTING_ROOM, "%s.%s=%smm", cut->section, key, number);
}

th_settings th_limit_settings(const th_bounded *b, th_engaged at) {
    const th_cut *cut = b->cut;
    th_settings changes = {.count = 0};

    if (cut->operation == TH_ENGRAVE) {
        change(&changes, cut, "depth", at.axial, 6);
        return changes;
    }
    if (cut->operation == TH_CHAMFERING) {
        double half = tan(cut->cutter->row.tip_angle / 2 * TH_PI / 180);
        change(&changes, cut, "width", at.axial * half, 15);
        return changes;
    }
    change(&changes, cut, "axial", at.axial, 9);
    if (cut->operation != TH_HOLE) {
        change(&changes, cut, "radial", at.radial, 9);
    }
    if (at.keep_depth && b->follows) {
        change(&changes, cut, "depth", cut->depth, 15);
    }
    return changes;
}

/* NULL with no error in b->err: the job refuses it. */
static th_job *engaged(const th_bounded *b, th_engaged at, bool *memory) {
    th_settings changes = th_limit_settings(b, at);
    const char *list[TH_SETTINGS_MOST];
    th_error inner = {.code = TH_OK};
    th_job *job = NULL;

    for (size_t i = 0; i < changes.count; i++) {
        list[i] = changes.text[i];
    }
    *memory = true;
    if (!th_job_change(b->job, list, changes.count, &job, &inner)) {
        *memory = inner.code != TH_NO_MEMORY || th_fail_memory(b->err);
        return NULL;
    }
    return job;
}

/* ---- spindle, cutter, chip --------------------------------------------------------------------
 */

double th_limit_sound(double margin) {
    return margin >= 0 ? margin : 0;
}

static void lower(th_look *look, double ratio, th_limiter by) {
    double sound = th_limit_sound(ratio);

    if (sound < look->ratio) {
        look->ratio = sound;
        look->by = by;
    }
}

/* What one turn of the cutter asks of spindle and cutter. */
static void weigh(const th_job *job, const th_pass *pass, const th_turn *turn, th_look *look) {
    const th_machine *machine = &job->machine;
    const th_cutter *cutter = pass->cutter;
    double force = turn->in_plane_peak, ratio = machine->peak_ratio;

    lower(look, turn->max_chip / pass->stock->smallest_chip, TH_BY_CHIP);
    if (turn->power > 0) {
        double torque = th_torque_of(turn->power, pass->speed);
        lower(look, machine->spindle_power * machine->efficiency / turn->power,
              TH_BY_SPINDLE_POWER);
        if (!isnan(machine->spindle_torque)) {
            lower(look, machine->spindle_torque / torque, TH_BY_SPINDLE_TORQUE);
        }
    }
    if (force > 0) {
        lower(look, 0.01 * cutter->diameter / th_cutter_deflection(cutter, force),
              TH_BY_DEFLECTION);
        lower(look,
              th_cutter_strength(cutter) /
                  th_cutter_stress(cutter, ratio * force, ratio * turn->torque_peak),
              TH_BY_BREAKAGE);
    }
}

/* The force acts at half the engagement above the floor that it stands on: lever of tilting. */
static void measure(double height, const th_turn *turn, th_severity *severity) {
    double *of = severity->of[severity->passes++];

    of[0] = turn->in_plane_peak;
    of[1] = fmax(turn->lift_peak, 0);
    of[2] = turn->torque_peak;
    of[3] = turn->in_plane_peak * height;
}

static bool look_at_pass(const th_bounded *b, const th_job *job, const th_pass *pass,
                         th_look *look) {
    th_error inner = {.code = TH_OK};
    th_turn turn;

    if (!th_turn_run(pass, &turn, &inner)) {
        lower(look, 0, TH_BY_PLATE_THICKNESS);
        return inner.code != TH_NO_MEMORY || th_fail_memory(b->err);
    }
    weigh(job, pass, &turn, look);
    look->power = fmax(look->power, turn.power);
    measure(job->part.thickness - fmin(pass->axial, job->part.thickness) / 2, &turn,
            &look->severity);
    th_turn_free(&turn);
    return true;
}

/* The passes whose engagement is asked about; a finishing lap has its own. */
static bool look_at_cutter(const th_bounded *b, const th_job *job, const th_cut *cut,
                           th_look *look) {
    th_pass pass = th_pass_of(job, cut, cut->radial, cut->axial, cut->chip_load);
    bool last = cut->operation == TH_OUTLINE && cut->through &&
                (cut->last_axial < cut->axial || cut->last_axial > cut->axial ||
                 cut->last_chip_load < cut->chip_load || cut->last_chip_load > cut->chip_load);

    if (!look_at_pass(b, job, &pass, look)) {
        return false;
    }
    pass.axial =
        th_engaged_height(cut, cut->axial, cut->through ? job->part.thickness : cut->depth);
    if (pass.axial > cut->axial && !look_at_pass(b, job, &pass, look)) {
        return false;
    }
    if (cut->operation == TH_HOLE) {
        lower(look, th_helix_deepest(job, cut) / cut->axial, TH_BY_HELIX);
    }
    pass = th_pass_of(job, cut, cut->radial,
                      th_engaged_height(cut, cut->last_axial, job->part.thickness),
                      cut->last_chip_load);
    return !last || look_at_pass(b, job, &pass, look);
}

bool th_milder(const th_severity *a, const th_severity *b, double grows) {
    for (size_t p = 0; p < a->passes; p++) {
        for (int m = 0; m < TH_MEASURES; m++) {
            if (p >= b->passes || !(a->of[p][m] * grows <= b->of[p][m] * (1 + 1e-9))) {
                return false;
            }
        }
    }
    return true;
}

/* ---- the bond ---------------------------------------------------------------------------------
 */

bool th_limit_too_warm(const th_stage *stage, double ratio) {
    double left = stage->derating.temperature;

    if (!(ratio > 0)) {
        return stage->way == TH_HEAT;
    }
    return left < WARM && ratio < 1 && ratio / left >= 1;
}

double th_limit_sway_margin(const th_job *job, const th_stage *stage) {
    double most = job->head.sway_limit, moved = fmax(stage->sway, stage->creep);

    if (isnan(most)) {
        return INFINITY;
    }
    return isnan(stage->sway) || isnan(stage->creep) ? 0 : most / fmax(moved, 1e-12);
}

/* `sway`: it was worked out. */
static void weigh_stage(const th_job *job, const th_stage *stage, bool sway, th_look *look) {
    double factor = th_limit_sound(stage->hold_factor), ratio = factor / job->head.asked_factor;

    look->hold_factor = fmin(look->hold_factor, factor);
    look->warmest = fmax(look->warmest, stage->temperature);
    look->bond = fmin(look->bond, ratio);
    if (!(ratio > 0)) {
        look->unfit = true;
        look->way = stage->way;
        snprintf(look->row, sizeof look->row, "%s", stage->row ? stage->row->id : "the hold");
    }
    lower(look, ratio, th_limit_too_warm(stage, ratio) ? TH_BY_HEAT : TH_BY_BOND);
    ratio = th_limit_sound(th_kept_factor(job, stage)) / job->head.asked_factor;
    look->bond = fmin(look->bond, ratio);
    lower(look, ratio, TH_BY_HEAT);
    if (sway) {
        ratio = th_limit_sway_margin(job, stage);
        look->bond = fmin(look->bond, ratio);
        lower(look, ratio, TH_BY_SWAY);
    }
}

static bool look_at_bond(const th_bounded *b, const th_job *job, bool quick, th_look *look) {
    th_judging judging = b->own;
    th_arena arena = {NULL};
    th_error inner = {.code = TH_OK};
    th_judgement judgement;
    size_t counted = 0;
    bool fine;

    judging.quick = quick;
    judging.factors_only = isnan(job->head.sway_limit);
    fine = th_judge(job, &judging, &arena, quick ? QUICK_SEEN * job->head.asked_factor : 0,
                    &judgement, &inner);
    look->hold_factor = look->bond = fine ? INFINITY : (double)NAN;
    for (size_t i = 0; fine && i < judgement.count; i++) {
        const th_stage *stage = &judgement.stages[i];
        if (stage->cut == &job->cuts[b->which] && stage->counts) {
            weigh_stage(job, stage, !quick, look);
            counted++;
        }
    }
    look->idle = fine ? counted == 0 : inner.code == TH_CONTRADICTION;
    if (look->idle) {
        look->bond = 0;
    }
    if (!fine || counted == 0) {
        lower(look, 0, inner.code == TH_NOT_POSSIBLE ? TH_BY_PLATE_THICKNESS : TH_BY_BOND);
    }
    th_arena_free(&arena);
    return inner.code != TH_NO_MEMORY || th_fail_memory(b->err);
}

/* All that is wanted, the dearer only where the cheaper finds nothing. */
static bool look_at_job(const th_bounded *b, const th_job *job, th_looking how, th_look *look) {
    bool fine = look_at_cutter(b, job, &job->cuts[b->which], look);

    if (fine && how == TH_LOOK_QUICK && look->ratio >= 1) {
        fine = look_at_bond(b, job, true, look);
    }
    if (fine && (how == TH_LOOK_WHOLE || look->bond < QUICK_ENOUGH) && look->ratio >= 1) {
        fine = look_at_bond(b, job, false, look);
    }
    return fine;
}

bool th_look_at(const th_bounded *b, th_engaged at, th_looking how, th_look *look) {
    bool fine;
    th_job *job = engaged(b, at, &fine);
    th_ground ground = *b->ground;
    th_duration duration;

    *look = (th_look){.ratio = INFINITY, .by = TH_BY_BOND};
    look->hold_factor = look->bond = look->warmest = (double)NAN;
    if (!job) {
        lower(look, 0, TH_BY_PLATE_THICKNESS);
        return fine;
    }
    ground.job = job; /* what it measures is the same, but its cuts must be those of the job */
    duration = th_duration_of(&ground, &job->cuts[b->which]);
    look->passes = duration.passes;
    look->minutes = duration.minutes;
    look->cutting = duration.cutting;
    fine = look_at_job(b, job, how, look);
    th_job_free(job);
    return fine;
}

/* ---- the other cuts ---------------------------------------------------------------------------
 */

static void weigh_other(const th_bounded *b, size_t which, double factor, th_limiter by,
                        th_all *all) {
    double ratio = factor / b->job->head.asked_factor;

    if (!b->fails_anyway[which] && ratio < all->other) {
        all->other = ratio;
        all->which = which;
        all->by = by;
    }
}

/* `own`: the cut itself was to be judged. */
static void weigh_all(const th_bounded *b, const th_job *job, const th_judgement *judgement,
                      bool own, th_all *all) {
    const th_known *known = b->whole.known;
    size_t counted = 0;

    for (size_t i = 0; i < judgement->count; i++) {
        const th_stage *stage = &judgement->stages[i];
        size_t which = (size_t)(stage->cut - job->cuts);
        double factor = th_limit_sound(stage->hold_factor);
        double kept = th_limit_sound(th_kept_factor(job, stage));
        double ratio = kept / job->head.asked_factor;
        bool warm = kept < factor || th_limit_too_warm(stage, ratio);
        if (stage->counts && which == b->which) {
            all->hold_factor = fmin(all->hold_factor, factor);
            all->holds = all->holds && ratio >= 1 && th_limit_sway_margin(job, stage) >= 1;
            counted++;
        } else if (stage->counts) {
            weigh_other(b, which, kept, warm ? TH_BY_HEAT : TH_BY_BOND, all);
        }
    }
    for (size_t i = 0; known && i < job->cut_count; i++) {
        if (!isnan(known[i].least)) {
            weigh_other(b, i, known[i].least, TH_BY_BOND, all);
        }
    }
    all->holds = all->holds && (counted > 0 || !own) && all->other >= 1;
}

static bool look_at_all(const th_bounded *b, th_engaged at, const th_judging *judging,
                        th_all *all) {
    bool fine;
    th_job *job = engaged(b, at, &fine);
    th_arena arena = {NULL};
    th_error inner = {.code = TH_OK};
    th_judgement judgement;

    *all = (th_all){false, INFINITY, INFINITY, b->which, TH_BY_BOND};
    if (!job) {
        return fine;
    }
    all->holds = th_judge(job, judging, &arena, 0, &judgement, &inner);
    if (all->holds) {
        weigh_all(b, job, &judgement, !(judging->skip_always && judging->skip[b->which]), all);
    }
    th_arena_free(&arena);
    th_job_free(job);
    return inner.code != TH_NO_MEMORY || th_fail_memory(b->err);
}

bool th_look_all(const th_bounded *b, th_engaged at, th_all *all) {
    return look_at_all(b, at, &b->whole, all);
}

bool th_look_later(const th_bounded *b, th_engaged at, th_all *all) {
    return look_at_all(b, at, &b->later, all);
}
