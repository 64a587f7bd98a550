/* check.c - the whole answer: verdict, what governs, what was assumed, what is not checked. */
#include "cautions.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Judgements that the bow to come down to is sought with. */
enum { BOW_LOOKS = 3 };

static bool add_source(th_check *check, const th_row_head *row, th_table table) {
    for (size_t i = 0; i < check->source_count; i++) {
        if (check->sources[i].row == row) {
            return true;
        }
    }
    check->sources[check->source_count++] = (th_source){row, table};
    return true;
}

static bool list_sources(const th_job *job, th_check *check) {
    const th_hold *hold = &job->hold;

    check->sources = th_arena_take(&check->arena, (8 + job->cut_count) * sizeof *check->sources);
    if (!check->sources) {
        return false;
    }
    add_source(check, &job->part.stock->head, TH_STOCKS);
    add_source(check, &hold->tape->head, TH_TAPES);
    if (hold->tape_below) {
        add_source(check, &hold->tape_below->head, TH_TAPES);
    }
    if (!hold->glue->absent) {
        add_source(check, &hold->glue->head, TH_GLUES);
    }
    add_source(check, &hold->plate->head, TH_PLATES);
    add_source(check, &hold->coolant->head, TH_COOLANTS);
    add_source(check, &job->machine.head, TH_MACHINES);
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].cutter) {
            const th_cutter *cutter =
                th_tables_find(job->tables, TH_CUTTERS, job->cuts[i].cutter->id);
            add_source(check, &cutter->head, TH_CUTTERS);
        }
    }
    return true;
}

/* ---- what is assumed and not checked -----------------------------------------------------------
 */

static bool list_not_checked(const th_job *job, th_check *check) {
    static const char *const always[] = {"chatter", "a chipped cutter", "a lifted tape edge",
                                         "oil under the tape", "entry moves"};

    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        if (!th_lines_add(&check->not_checked, &check->arena, "%s", always[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool presses =
            cut->cutter && cut->cutter->row.kind != TH_FLAT && cut->cutter->row.kind != TH_FACE;
        if (presses && !th_lines_add(&check->not_checked, &check->arena,
                                     "tilting under a cutter that presses")) {
            return false;
        }
    }
    return true;
}

/* Without a sheet the stock is the part itself. */
static bool list_no_frame(const th_job *job, th_check *check) {
    for (size_t i = 0; isnan(job->part.sheet_length) && i < job->cut_count; i++) {
        if (job->cuts[i].operation == TH_OUTLINE) {
            return th_lines_add(&check->defaults, &check->arena,
                                "no sheet: the stock is the part itself, no frame is judged");
        }
    }
    return true;
}

/* The ones that move the answer most come first. */
static bool list_defaults(const th_job *job, th_check *check) {
    static const char *const telling[] = {
        "hold.wait", "hold.preparation", ".speed", ".chip_load", "hold.pressed", ".wear", ""};

    for (size_t t = 0; t < sizeof telling / sizeof telling[0]; t++) {
        for (size_t i = 0; i < job->defaults.count; i++) {
            if (strstr(job->defaults.items[i], telling[t]) &&
                !th_lines_add(&check->defaults, &check->arena, "%s", job->defaults.items[i])) {
                return false;
            }
        }
    }
    return true;
}

/* Share of the bond that bowed stock asks for by itself in a stage, whatever is cut: of what time
 * leaves of it, the wait too, where the load is a sustained one. */
static double standing_of(const th_job *job, const th_stage *stage, th_load_kind load) {
    double lasting = stage->time_factor > 0 ? fmin(stage->time_factor, 1) : 1;

    if (!(stage->standing_lift > 0) || !(stage->design_lift > 0)) {
        return 0;
    }
    return load == TH_PEAK ? stage->standing_lift / stage->design_lift
                           : th_standing_aged(job, stage->standing_lift, stage->held) /
                                 (stage->design_lift * lasting);
}

/* The same at the worst place. */
static double standing_share(const th_job *job, const th_check *check) {
    double share = 0;

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *s = &check->stages[i];
        if (s->counts) {
            share = fmax(share, standing_of(job, s, TH_SUSTAINED));
        }
    }
    return share;
}

/* Hold factor of the same job with another bow. */
static bool bowed_factor(const th_job *job, const th_judging *judging, double bow, double *factor,
                         th_error *err) {
    th_job other = *job;
    th_arena arena = {NULL};
    th_judgement judgement;
    bool fine;

    other.part.bow = bow;
    fine = th_judge(&other, judging, &arena, 0, &judgement, err);
    *factor = fine ? judgement.hold_factor : 0;
    th_arena_free(&arena);
    return fine;
}

/* A bow between one that holds and one that does not. Demand is convex in it, so that one read off
 * the chord from the one to the other holds; it hardly grows while the cut asks for more than the
 * bow, and the chord is drawn ever nearer to where it does. `flat`, `now`: hold factors flat and as
 * it is. */
static bool bow_that_holds(const th_job *job, const th_judging *judging, double asked, double flat,
                           double now, double *bow, th_error *err) {
    double low = 0, high = job->part.bow, at_low = 1 / flat, at_high = 1 / now;

    for (int looks = 0;; looks++) {
        double factor, chord = low + (high - low) * (1 / asked - at_low) / (at_high - at_low);
        double middle = sqrt(chord * high);
        *bow = chord;
        if (looks == BOW_LOOKS) {
            return true;
        }
        if (!bowed_factor(job, judging, middle, &factor, err)) {
            return false;
        }
        if (!(factor > 0)) {
            return true;
        }
        if (factor > asked) {
            low = middle;
            at_low = 1 / factor;
        } else {
            high = middle;
            at_high = 1 / factor;
        }
    }
}

/* The bow alone asks for more than the asked factor leaves: no lighter cut helps. */
static bool flips_if_flatter(const th_job *job, const th_judging *judging, th_check *check,
                             th_error *err) {
    const char *why = "its bow alone asks too much";
    double asked = check->asked_factor, flat, bow;
    char text[48];

    if (!bowed_factor(job, judging, (double)NAN, &flat, err)) {
        return false;
    }
    if (flat < asked) {
        th_factor_below(100 * flat / asked, text, sizeof text);
        check->flips_if = th_arena_print(
            &check->arena,
            "the stock is flat, %s, and the forces come down to %s %% of these (then it holds)",
            why, text);
        return true;
    }
    if (flat < asked * 1.01) {
        check->flips_if = th_arena_print(
            &check->arena, "the stock is flattened, %s: flat, without `bow', it holds", why);
        return true;
    }
    if (!bow_that_holds(job, judging, asked, flat, check->hold_factor, &bow, err)) {
        return false;
    }
    th_quantity_print(bow * 0.95, TH_LENGTH, (th_units)job->head.units, 2, text, sizeof text);
    check->flips_if =
        th_arena_print(&check->arena,
                       "the stock is flattened to a bow of %s (then it holds): now %s, whatever "
                       "is cut",
                       text, why);
    return true;
}

/* A hold without any strength. */
static const char *flips_if_fit(th_check *check) {
    const th_stage *stage = &check->stages[check->governs];

    return stage->bonded_area > 0 && stage->way == TH_HEAT
               ? th_arena_print(&check->arena,
                                "the cut warms the tape less, or the hold stands more warmth")
           : stage->bonded_area > 0
               ? th_arena_print(&check->arena,
                                "the hold is made fit for these conditions, nothing less")
               : th_arena_print(&check->arena,
                                "tape lies under the %s that %s works on, nothing less",
                                th_piece_name(stage->piece), stage->cut->section);
}

/* Index of a stage under `forces` times the forces it has. Each load grows from what the bow asks
 * for by itself; of the two the one that does not govern may yet. */
static double index_under(const th_job *job, const th_stage *stage, double forces) {
    const double factors[] = {
        [TH_PEAK] = stage->peak_factor, [TH_SUSTAINED] = stage->sustained_factor};
    double index = 0;

    for (int load = TH_PEAK; load <= TH_SUSTAINED; load++) {
        bool governs = (th_load_kind)load == stage->load;
        double now = 1 / (governs ? stage->hold_factor : fmax(factors[load], stage->hold_factor));
        double standing = fmin(standing_of(job, stage, (th_load_kind)load), now);
        index = fmax(index, (now - standing) * forces + standing);
    }
    return index;
}

/* Forces of all stages, on these, at which the hold factor is `bound`: they pull harder and warm
 * the tape more, by the stage that governs; what bowed stock pulls they do not change. */
static double forces_at(const th_job *job, const th_check *check, double bound) {
    const th_stage *stage = &check->stages[check->governs];
    double room = job->hold.room_temperature, rise = stage->temperature - room;
    double low = 0, high = 1000;

    for (int i = 0; i < 60; i++) {
        double forces = (low + high) / 2;
        double kept = th_hold_warmed(job, stage->temperature, room + rise * forces);
        double index = index_under(job, stage, forces);
        for (size_t k = 0; k < check->stage_count; k++) {
            if (check->stages[k].counts) {
                index = fmax(index, index_under(job, &check->stages[k], forces));
            }
        }
        if (kept > 0 && index / kept <= 1 / bound) {
            low = forces;
        } else {
            high = forces;
        }
    }
    return low;
}

/* What a machinist takes a room or a hold to be known by: warmth that is nearer than another change
 * is in this measure flips the answer first. */
typedef struct {
    double
        share; /* of the rise of the tape, at least of 20 K: as the reserve of heat is reckoned */
    const char *text;
} th_warmer;

/* `then`: what it is then. NULL text when out of memory. */
static th_warmer warmer_flip(const th_job *job, th_check *check, double bound, const char *then) {
    th_units units = (th_units)job->head.units;
    double room = job->hold.room_temperature, least = 0.1, more, at = -INFINITY;
    bool gone;
    th_warmer flip = {INFINITY, ""};
    char warmer[40], limit[40];

    more = th_warmer_until(job, check, bound, &gone);
    for (size_t i = 0; i < check->stage_count; i++) {
        at = check->stages[i].counts ? fmax(at, check->stages[i].temperature) : at;
    }
    if (isfinite(more)) {
        more = fmax(ceil(more / least - 1e-6) * least, least);
        flip.share = 0.1 * more / th_heat_reserve(job, at);
        th_warmer_text(more, units, warmer, sizeof warmer);
        th_quantity_print(room + more, TH_TEMPERATURE, units, 3, limit, sizeof limit);
        flip.text = th_arena_print(&check->arena, "the tape gets %s warmer: room at %s (then %s)",
                                   warmer, limit, gone ? "it lets go" : then);
    }
    return flip;
}

/* The hold factor is in proportion to strength, so the change of it that reaches the next bound is
 * exact. */
static const char *flips_if(const th_job *job, th_check *check, double standing) {
    double asked = check->asked_factor, now = check->hold_factor;
    double forces = forces_at(job, check, asked);
    th_arena *arena = &check->arena;
    th_warmer warmer = {INFINITY, ""};
    char text[40];

    if (now >= 1) {
        warmer = warmer_flip(job, check, now >= asked ? asked : 1,
                             now >= asked ? "unproven" : "it lets go");
    }
    if (now >= asked) {
        bool nearer = warmer.share < forces - 1 || warmer.share < 0.1; /* forces warm as well */
        if (nearer && warmer.share < 1 - asked / now) {
            return warmer.text;
        }
        if (now / asked < 1.02 || forces < 1.02) {
            return th_arena_print(arena, "anything is worse than stated (then unproven)");
        }
        if (standing > 0.99 / now) {
            return th_arena_print(arena, "the bond is %.0f %% weaker (then unproven)",
                                  ceil((1 - asked / now) * 100));
        }
        return th_arena_print(arena,
                              "the bond is %.0f %% weaker or the forces %.0f %% higher (then %s)",
                              ceil((1 - asked / now) * 100), ceil((forces - 1) * 100),
                              forces_at(job, check, 1) > forces * 1.01 ? "unproven" : "too warm");
    }
    if (now >= 1 && warmer.share < 1 - 1 / now) {
        return warmer.text
                   ? th_arena_print(arena, "the bond is %.0f %% stronger (then it holds), or %s",
                                    ceil((asked / now - 1) * 100), warmer.text)
                   : NULL;
    }
    if (now >= 1) {
        return th_arena_print(
            arena, "the bond is %.0f %% stronger (then it holds) or %.0f %% weaker (lets go)",
            ceil((asked / now - 1) * 100), ceil((1 - 1 / now) * 100));
    }
    th_factor_below(100 * forces, text, sizeof text);
    return th_arena_print(arena, "the forces come down to %s %% of these (then it holds)", text);
}

static bool find_flip(const th_job *job, const th_judging *judging, th_check *check,
                      th_error *err) {
    double standing = standing_share(job, check);

    if (!(check->hold_factor > 0)) {
        check->flips_if = flips_if_fit(check);
    } else if (check->hold_factor < 1 && standing * check->asked_factor > 0.99) {
        return flips_if_flatter(job, judging, check, err) &&
               (check->flips_if || th_fail_memory(err));
    } else {
        check->flips_if = flips_if(job, check, standing);
    }
    return check->flips_if || th_fail_memory(err);
}

static void set_estimate(const th_job *job, th_check *check) {
    const th_stage *stage = &check->stages[check->governs];

    check->estimate = (stage->row && th_trust_weak((th_trust)stage->row->trust)) ||
                      (stage->cut->operation != TH_PUSH &&
                       (th_trust_weak((th_trust)job->part.stock->head.trust) ||
                        th_trust_weak((th_trust)job->machine.head.trust)));
}

static th_heights heights_of(const th_job *job) {
    const th_hold *hold = &job->hold;
    th_heights heights = {.top = job->part.thickness,
                          .stack = job->stack_height,
                          .plate_top = -job->stack_height,
                          .through = (double)NAN,
                          .into_plate = (double)NAN,
                          .plate_left = hold->plate_thickness,
                          .table = -job->stack_height - hold->plate_thickness};

    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].through) {
            double under =
                job->cuts[i].depth - job->part.thickness; /* a drill's point is longest */
            heights.through = fmin(-under, isnan(heights.through) ? 0 : heights.through);
            heights.into_plate = -heights.through - job->stack_height;
            heights.plate_left = hold->plate_thickness - heights.into_plate;
        }
    }
    return heights;
}

static bool find_turn_downs(const th_job *job, const th_judging *judging,
                            const th_judgement *judgement, th_check *check, th_error *err) {
    th_turn_downs found;

    check->turn_downs_tried = true;
    if (!th_turn_downs_find(job, judging, judgement, &check->arena, &found, err)) {
        return false;
    }
    check->turn_downs = found.list;
    check->turn_down_count = found.count;
    check->best_step = found.best_step;
    check->advice = found.advice;
    check->skin_note = found.skin_note;
    return true;
}

static void take_judgement(const th_judgement *judgement, th_check *check) {
    check->stages = judgement->stages;
    check->stage_count = judgement->count;
    check->governs = judgement->governs;
    check->hold_factor = judgement->hold_factor;
    check->minutes = judgement->minutes;
    check->warm = judgement->warm;
    check->warm_count = judgement->warm_count;
    check->verdict = th_verdict_of(check->hold_factor, check->asked_factor);
}

static bool find_advice(const th_job *job, const th_judging *judging, const th_judgement *judgement,
                        th_check *check, th_error *err) {
    bool search = check->verdict != TH_HOLDS && judging->options->turn_downs;

    return th_usual_heat_of(job, judging, check, err) &&
           th_proof_pull_of(job, judging, judgement, &check->proof, err) &&
           th_order_of(job, judging, judgement, &check->order, err) &&
           (!search || find_turn_downs(job, judging, judgement, check, err)) &&
           find_flip(job, judging, check, err);
}

static bool answer(const th_job *job, const th_judging *judging, th_check *check, th_error *err) {
    th_judging first = *judging;
    th_judgement judgement;

    first.keep_scenes = true;
    if (!th_judge(job, &first, &check->arena, 0, &judgement, err)) {
        return false;
    }
    take_judgement(&judgement, check);
    check->heights = heights_of(job);
    set_estimate(job, check);
    if (!judging->options->rigid && !find_advice(job, judging, &judgement, check, err)) {
        return false;
    }
    return th_cautions_list(job, judging, &judgement.notes, check, err) &&
           ((list_sources(job, check) && list_not_checked(job, check) &&
             list_no_frame(job, check) && list_defaults(job, check)) ||
            th_fail_memory(err));
}

bool th_check_run(const th_job *job, const th_check_options *options, th_check *check,
                  th_error *err) {
    th_judging judging = {.options = options};
    bool fine;

    *check = (th_check){.asked_factor = job->head.asked_factor};
    fine = th_work_begin(&judging) ? answer(job, &judging, check, err) : th_fail_memory(err);
    check->shapes = judging.shapes; /* the scenes stand on them */
    check->shapes_kept = options->work != NULL;
    judging.shapes = NULL;
    th_work_end(&judging);
    if (!fine) {
        th_check_free(check);
    }
    return fine;
}

void th_check_free(th_check *check) {
    if (check) {
        th_arena_free(&check->arena);
        th_shapes_free(check->shapes_kept ? NULL : check->shapes);
        *check = (th_check){0};
    }
}
