/* cautions.c - what an answer warns of beside its verdict, the gravest first. */
#include "cautions.h"
#include "helix.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A piece on less tape than this has none to speak of (mm2). */
#define NEXT_TO_NOTHING 1.0

void th_factor_below(double factor, char *text, size_t size) {
    double scale = factor > 0 ? pow(10, 1 - floor(log10(factor))) : 1;

    th_number_print(floor(factor * scale * (1 + 1e-12)) / scale, 2, text, size);
}

void th_warmer_text(double kelvin, th_units units, char *text, size_t size) {
    bool inch = units == TH_INCH;

    th_print(text, size, "%.1f %s", inch ? 1.8 * kelvin : kelvin, inch ? "F" : "K");
}

void th_length_up(double length, th_units units, char *text, size_t size) {
    double step = units == TH_INCH ? 25.4 / 1000 : 0.01;

    th_quantity_print(ceil(length / step * (1 - 1e-9)) * step, TH_LENGTH, units, 3, text, size);
}

/* ---- the hold -------------------------------------------------------------------------------- */

/* Share of the tape's rise that the part as a whole must have for rest and cooling to be worth a
 * word (estimate): they do little about the rise under the cutter. */
#define WHOLE_WORTH 0.3

/* What cools a tape that is too warm. */
static const char *cures_of_heat(const th_job *job, const th_stage *stage) {
    double whole = stage->part_temperature - job->hold.room_temperature;
    double all = stage->temperature - job->hold.room_temperature;
    bool dry = job->hold.coolant->kind == TH_COOL_DRY;

    return !(whole > WHOLE_WORTH * all)
               ? "%s is too warm to hold, mostly right under the cutter: cut "
                 "lighter, fewer revolutions, a sharper cutter"
           : dry ? "%s is too warm to hold: cut lighter, rest between passes, air blast or mist, a "
                   "sharper cutter"
                 : "%s is too warm to hold: cut lighter, rest between passes, a sharper cutter";
}

/* A plate that coolant ruins is named beside a tape that it ruins too. */
static bool plate_caution(const th_job *job, th_check *check) {
    const th_plate *plate = job->hold.plate;
    bool wet = job->hold.coolant->kind != TH_COOL_DRY && !(plate->wet > 0);

    return !wet || th_lines_add(&check->cautions, &check->arena,
                                "no tape stays on the plate %s when it is wet: cut dry, or take a "
                                "plate of metal, plastic or sealed board",
                                plate->head.id);
}

/* A hold that is not fit for the conditions, in plain words. */
static bool unfit_caution(const th_job *job, th_check *check) {
    const th_stage *stage = &check->stages[check->governs];
    const char *id = stage->row ? stage->row->id : "it";
    const char *format =
        stage->way == TH_COOLING
            ? "%s is not to be used with this cooling: cut dry, or take a film tape"
        : stage->way == TH_HEAT ? cures_of_heat(job, stage)
        : stage->way == TH_WAIT ? "%s has not set yet: wait longer"
                                : "%s does not stick to this surface";

    if (check->hold_factor > 0) {
        return true;
    }
    if (!(stage->bonded_area > 0)) {
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: no tape lies under the %s that it works on", stage->cut->section,
                            th_piece_name(stage->piece));
    }
    bool plate = stage->way == TH_COOLING && stage->row == &job->hold.plate->head;
    return plate_caution(job, check) &&
           (plate || th_lines_add(&check->cautions, &check->arena, format, id));
}

/* What the job says of itself: a collision and a wrong hold come before all else. */
static bool job_cautions(const th_job *job, th_check *check, bool grave) {
    for (size_t i = 0; i < job->cautions.count; i++) {
        const char *text = job->cautions.items[i];
        bool first = strstr(text, "the holder would strike") || strstr(text, "needs no glue");
        if (first == grave && !th_lines_add(&check->cautions, &check->arena, "%s", text)) {
            return false;
        }
    }
    return true;
}

static bool order_caution(th_check *check) {
    char now[40], moved[40];

    if (!check->order.cut) {
        return true;
    }
    th_factor_below(check->order.hold_factor, now, sizeof now);
    th_factor_below(check->order.moved_hold_factor, moved, sizeof moved);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s frees the part before other cuts are done: hold factor %s; %s %s",
                        check->order.cut->section, now,
                        check->order.moved_hold_factor > check->order.hold_factor * 1.01
                            ? "moved last"
                            : "moving it last gains nothing:",
                        moved);
}

/* ---- pieces ---------------------------------------------------------------------------------- */

/* A piece that need not stay, and will not. */
static bool offcut_caution(th_check *check, const th_stage *stage) {
    bool offcut = stage->piece == TH_PIECE_FRAME || stage->piece == TH_PIECE_SLUG;
    const char *piece = th_piece_name(stage->piece), *section = stage->cut->section;
    bool hole = stage->cut->operation == TH_HOLE;
    const char *remedy = stage->piece == TH_PIECE_SLUG && hole
                             ? "pocket it away, or leave its bottom uncut (through = no)"
                         : stage->piece == TH_PIECE_SLUG ? "pocket it away, or leave a skin"
                         : stage->cut->tabs.count
                             ? "keep more of it taped"
                             : "leave a skin or tabs, or keep more of it taped";
    char factor[40];

    if (!offcut || stage->hold_factor >= check->asked_factor) {
        return true;
    }
    if (!(stage->bonded_area > NEXT_TO_NOTHING)) {
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: the %s comes loose: %s tape lies under it; %s", section, piece,
                            stage->bonded_area > 0 ? "next to no" : "no", remedy);
    }
    th_factor_below(stage->hold_factor, factor, sizeof factor);
    return th_lines_add(&check->cautions, &check->arena, "%s: the %s %s (hold factor %s): %s",
                        section, piece, stage->hold_factor < 1 ? "lets go" : "may come loose",
                        factor, remedy);
}

/* A skin that is too thin to count, or so near it that a depth cut a little deep makes it so. */
static bool skin_caution(const th_job *job, th_check *check, const th_stage *stage) {
    th_units units = (th_units)job->head.units;
    const th_cut *cut = stage->cut;
    char skin[48], least[48], sure[48], play[48];

    if (cut->operation != TH_OUTLINE || !(cut->skin < TH_SKIN_SURE * (1 - 1e-9))) {
        return true;
    }
    th_quantity_print(cut->skin, TH_LENGTH, units, 3, skin, sizeof skin);
    th_length_up(TH_SKIN_COUNTS, units, least, sizeof least);
    th_length_up(TH_SKIN_SURE, units, sure, sizeof sure);
    if (cut->skin < TH_SKIN_COUNTS) {
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: a skin of %s is too weak to count and is judged as cut through; "
                            "leave %s or more",
                            cut->section, skin, sure);
    }
    th_quantity_print(cut->skin - TH_SKIN_COUNTS, TH_LENGTH, units, 2, play, sizeof play);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: a skin of %s that comes out under %s is as good as cut through: hold "
                        "its depth within %s over the whole sheet, or leave %s",
                        cut->section, skin, least, play, sure);
}

/* A last pass so light that the heavier one above it may be through already. */
static bool last_pass_caution(const th_job *job, th_check *check, const th_stage *stage) {
    th_units units = (th_units)job->head.units;
    const th_cut *cut = stage->cut;
    bool lighter = cut->last_axial < cut->axial * (1 - 1e-9);
    bool near_through =
        cut->last_axial >= TH_SKIN_COUNTS && cut->last_axial < TH_SKIN_SURE * (1 - 1e-9);
    char last[48], least[48], sure[48];

    if (cut->operation != TH_OUTLINE || !cut->through || !lighter || !near_through) {
        return true;
    }
    th_quantity_print(cut->last_axial, TH_LENGTH, units, 3, last, sizeof last);
    th_length_up(TH_SKIN_COUNTS, units, least, sizeof least);
    th_length_up(TH_SKIN_SURE, units, sure, sizeof sure);
    return th_lines_add(&check->cautions, &check->arena,
                        "%s: where the pass above leaves under %s instead of %s, it is through and "
                        "the part hangs on its tape in a heavier pass than is judged: hold its "
                        "depth, or leave %s",
                        cut->section, least, last, sure);
}

/* What one tab bears at most (N): the section in shear by von Mises. */
static double tab_bears(const th_job *job, const th_cut *cut) {
    return job->part.stock->ultimate / sqrt(3.0) * cut->tabs.length * cut->tab_height;
}

/* Why tabs are left out that add nothing, and what would help; NULL when out of memory. */
static const char *why_no_tabs(const th_job *job, th_check *check, const th_stage *stage) {
    const th_cut *cut = stage->cut;
    bool low = cut->tab_height < job->part.thickness * 0.999;
    char frame[40], with[40], bears[48], high[48];

    if (!(stage->hold_factor > 0)) {
        return "the tape has no strength to share the load with them: mend the hold first";
    }
    th_quantity_print(cut->tab_height, TH_LENGTH, (th_units)job->head.units, 3, high, sizeof high);
    if (isnan(stage->tied_factor)) { /* a pass that finds none */
        return th_arena_print(&check->arena,
                              "%s high, they are not there yet in the pass above, which leaves too "
                              "little metal to count; raise %s.tab_height",
                              high, cut->section);
    }
    if (stage->frame_factor <= stage->hold_factor * 1.01) {
        th_factor_below(stage->frame_factor, frame, sizeof frame);
        return th_arena_print(&check->arena,
                              "the frame that they hang on holds less than the part's own tape "
                              "(hold factor %s): leave a wider frame, tape more of it",
                              frame);
    }
    if (!stage->tabs_first) {
        th_factor_below(stage->tied_factor, with, sizeof with);
        return th_arena_print(&check->arena,
                              "the tape under the part is loaded as hard with them (hold factor "
                              "%s): more of them, and nearer to where it goes, may help",
                              with);
    }
    th_quantity_print(tab_bears(job, cut), TH_FORCE, (th_units)job->head.units, 2, bears,
                      sizeof bears);
    return th_arena_print(&check->arena,
                          "%s%s high, a tab shears at %s, and they break before the tape alone "
                          "lets go; %s %s.%s",
                          low ? "only " : "", high, bears,
                          low ? "raise" : "widen them:", cut->section, low ? "tab_height" : "tabs");
}

static bool tab_caution(const th_job *job, th_check *check, const th_stage *stage) {
    const th_cut *cut = stage->cut;
    bool freed = stage->piece == TH_PIECE_PART && cut->operation == TH_OUTLINE && cut->tabs.count;
    const char *why;
    char alone[40];

    if (stage->alone_factor < check->asked_factor) {
        th_factor_below(stage->alone_factor, alone, sizeof alone);
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: the part hangs on its tabs; without them the hold factor is %s",
                            cut->section, alone);
    }
    if (!freed || !isnan(stage->alone_factor)) {
        return true;
    }
    why = why_no_tabs(job, check, stage);
    return why && th_lines_add(&check->cautions, &check->arena,
                               "%s: the tabs add nothing and are left out: %s", cut->section, why);
}

/* Near the limit of tape or glue the hold factor does not fall, it is gone: a reserve in strength
 * is none against heat. */
#define HEAT_RESERVE 1.5

/* The stage of a cut that counts and gets warmest; NULL where there is none. A push makes no heat.
 */
static const th_stage *warmest_stage(const th_check *check) {
    const th_stage *warmest = NULL;

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (stage->counts && stage->hold_factor > 0 && stage->cut->operation != TH_PUSH &&
            (!warmest || stage->temperature > warmest->temperature)) {
            warmest = stage;
        }
    }
    return warmest;
}

/* `grave`: only where the reserve of heat is short; else only where it is not. */
static bool heat_caution(const th_job *job, th_check *check, bool grave) {
    th_units units = (th_units)job->head.units;
    double room = job->hold.room_temperature, most = th_hold_warmest(job);
    const th_stage *warmest = warmest_stage(check);
    char now[40], limit[40], more[40];

    if (!warmest || !(check->hold_factor > 0) || grave == th_heat_kept(job, warmest) ||
        (!grave && (warmest->temperature - room) * HEAT_RESERVE < most - room)) {
        return true;
    }
    th_quantity_print(warmest->temperature, TH_TEMPERATURE, units, 3, now, sizeof now);
    th_quantity_print(most, TH_TEMPERATURE, units, 3, limit, sizeof limit);
    th_warmer_text(ceil((most - warmest->temperature) * 10) / 10, units, more, sizeof more);
    check->heat_first = grave;
    return grave ? th_lines_add(&check->cautions, &check->arena,
                                "%s warms the tape to %s; above %s nothing holds, and that is %s "
                                "more: the warmth is not known that well",
                                warmest->cut->section, now, limit, more)
                 : th_lines_add(&check->cautions, &check->arena,
                                "%s warms the tape to %s of %s at most, above which nothing "
                                "holds: %.0f %% more heat is enough",
                                warmest->cut->section, now, limit,
                                floor(100 * ((most - room) / (warmest->temperature - room) - 1)));
}

/* Pieces that may be thrown. */
static bool offcut_cautions(th_check *check) {
    bool fine = true;

    for (size_t i = 0; fine && i < check->stage_count; i++) {
        fine = offcut_caution(check, &check->stages[i]);
    }
    return fine;
}

static bool piece_cautions(const th_job *job, th_check *check) {
    bool fine = true;

    for (size_t i = 0; fine && i < check->stage_count; i++) {
        fine = tab_caution(job, check, &check->stages[i]);
    }
    for (size_t i = 0; fine && i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        bool first = i == 0 || check->stages[i - 1].cut != stage->cut;
        fine = !first || (skin_caution(job, check, stage) && last_pass_caution(job, check, stage));
    }
    return fine && th_sway_cautions(job, check);
}

/* ---- cuts: one line for all that share a fault ------------------------------------------------
 */

static bool rubs(const th_stage *stage) {
    return stage->chip_margin < 1;
}

static bool stalls(const th_stage *stage) {
    return stage->spindle_margin < 1;
}

static bool lacks_torque(const th_stage *stage) {
    return stage->torque_margin < 1;
}

static bool may_break(const th_stage *stage) {
    return stage->breakage_margin < 1;
}

static bool springs(const th_stage *stage) {
    return stage->deflection_margin < 1;
}

/* "cut.1, cut.3": the cuts with a stage at fault; "" none, NULL when out of memory. */
static const char *cuts_at_fault(th_check *check, bool (*at_fault)(const th_stage *)) {
    const th_cut *last = NULL;
    const char *names = "";

    for (size_t i = 0; names && i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (stage->cut != last && at_fault(stage)) {
            names = th_arena_print(&check->arena, "%s%s%s", names, last ? ", " : "",
                                   stage->cut->section);
            last = stage->cut;
        }
    }
    return names;
}

/* A shank that is wider than what the flutes cut, in it. */
static bool shank_rubs(const th_stage *stage) {
    return th_shank_rubs(stage->cut);
}

typedef struct {
    bool (*at_fault)(const th_stage *);
    const char *text;
} th_fault;

static bool fault_cautions(th_check *check, const th_fault *faults, size_t count) {
    for (size_t i = 0; i < count; i++) {
        const char *names = cuts_at_fault(check, faults[i].at_fault);
        if (!names || (names[0] && !th_lines_add(&check->cautions, &check->arena, "%s: %s", names,
                                                 faults[i].text))) {
            return false;
        }
    }
    return true;
}

static bool break_cautions(th_check *check) {
    static const th_fault faults[] = {
        {may_break, "the cutter may break: it bends too hard"},
    };

    return fault_cautions(check, faults, sizeof faults / sizeof faults[0]);
}

static bool shank_cautions(th_check *check) {
    static const th_fault faults[] = {
        {shank_rubs, "goes deeper than the flutes are long, and the shank is wider than what they "
                     "cut: it rubs on the walls, heats, and may break; take a longer or a necked "
                     "cutter"},
    };

    return fault_cautions(check, faults, sizeof faults / sizeof faults[0]);
}

static bool cut_cautions(th_check *check) {
    static const th_fault faults[] = {
        {stalls, "more power is asked than the spindle has"},
        {lacks_torque, "more torque is asked than the spindle has"},
        {rubs,
         "the edge rubs, its chip is thinner than it can cut; a larger chip load cuts easier, "
         "a smaller one makes it worse"},
        {springs, "the cutter springs by over 1 % of its diameter: expect walls out of true, and "
                  "chatter"},
    };

    return fault_cautions(check, faults, sizeof faults / sizeof faults[0]);
}

/* A drill that breaks through: in a sheet thinner than its point is high, or than half its
 * diameter, nothing guides it when it does. */
static bool drill_caution(const th_job *job, th_check *check, const th_stage *stage) {
    const th_cut *cut = stage->cut;
    char force[40], limit[40], lift[80] = "";

    if (cut->operation != TH_DRILLED || !cut->through) {
        return true;
    }
    double point = th_drill_point(&cut->cutter->row), half = cut->cutter->row.diameter / 2;
    bool through_first = job->part.thickness < point;

    if (stage->lift_peak > 0) {
        th_quantity_print(stage->lift_peak, TH_FORCE, (th_units)job->head.units, 2, force,
                          sizeof force);
        snprintf(lift, sizeof lift, " and lifts with about %s (estimate)", force);
    }
    if (!through_first && job->part.thickness >= half) {
        return th_lines_add(&check->cautions, &check->arena,
                            "%s: a drill grabs as it breaks through%s; slow down for the last "
                            "turns",
                            cut->section, lift);
    }
    th_quantity_print(through_first ? point : half, TH_LENGTH, (th_units)job->head.units, 2, limit,
                      sizeof limit);
    return th_lines_add(
        &check->cautions, &check->arena,
        "%s drills thin sheet (under %s, %s): the point is through before the full diameter %s; "
        "it grabs%s, and leaves a three-lobed hole: take a flatter or spur point, the plate flat "
        "under it, slow down at the end, or bore it with an end mill",
        cut->section, limit, through_first ? "its drill's point" : "half its drill's diameter",
        through_first ? "cuts" : "is guided", lift);
}

static bool drill_cautions(const th_job *job, th_check *check) {
    for (size_t i = 0; i < check->stage_count; i++) {
        if ((i == 0 || check->stages[i - 1].cut != check->stages[i].cut) &&
            !drill_caution(job, check, &check->stages[i])) {
            return false;
        }
    }
    return true;
}

/* Holes and pockets with hardly room for their cutter. */
static bool helix_cautions(const th_job *job, th_check *check) {
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool failed;
        const char *text = th_helix_words(job, cut, &check->arena, &failed);
        if (failed || (text && !th_lines_add(&check->cautions, &check->arena, "%s: %s",
                                             cut->section, text))) {
            return false;
        }
    }
    return true;
}

/* How far the worst stage of a cut was from settled. */
static bool unsettled_caution(th_check *check) {
    double worst = 0;

    for (size_t i = 0; i < check->stage_count; i++) {
        worst = fmax(worst, check->stages[i].unsettled);
    }
    return !(worst > 0) ||
           th_lines_add(&check->cautions, &check->arena,
                        "the bending is worked out to %.0f %% only, taken on the safe side",
                        ceil(100 * worst));
}

/* ---- the whole ------------------------------------------------------------------------------- */

static bool add_notes(const th_lines *notes, th_check *check) {
    for (size_t i = 0; i < notes->count; i++) {
        if (!th_lines_add(&check->cautions, &check->arena, "%s", notes->items[i])) {
            return false;
        }
    }
    return true;
}

bool th_cautions_list(const th_job *job, const th_judging *judging, const th_lines *notes,
                      th_check *check, th_error *err) {
    bool grave;

    if (!heat_caution(job, check, true)) {
        return th_fail_memory(err);
    }
    if (!th_lap_caution(job, judging, check, err)) {
        return false;
    }
    grave = offcut_cautions(check) && break_cautions(check) && job_cautions(job, check, true) &&
            shank_cautions(check) && unfit_caution(job, check) && heat_caution(job, check, false);

    if (!grave) {
        return th_fail_memory(err);
    }
    return th_openings_compared(job, judging, check, err) &&
           ((order_caution(check) && piece_cautions(job, check) && add_notes(notes, check) &&
             cut_cautions(check) && helix_cautions(job, check) && drill_cautions(job, check) &&
             job_cautions(job, check, false) && unsettled_caution(check)) ||
            th_fail_memory(err));
}
