/* answer_lists.c - what an answer says beside its figures: cautions, what holds the verdict back,
 * what was taken for granted, what is not checked, where the figures come from. */
#include "answer.h"
#include "loads.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Near the limit of tape or glue the hold factor does not fall, it is gone (as advice has it). */
#define HEAT_RESERVE 1.5
#define HOLE_RIM 0.5 /* of the part is at least left round a hole in it (mm) */
#define STRAYS 0.25  /* a wall further in than this is no matter of a worn cutter (mm, estimate) */
#define SURELY 0.1   /* a piece of a lower hold factor comes loose, whatever the tape's scatter */

/* So much deeper beside the stock than over it is no way in (mm). */
#define BESIDE 0.1
/* A rapid down beside the stock that begins a cut goes no further into the plate than a few tenths,
 * if that reaches there (mm; estimate). */
#define DIVES 0.5

#define ADD(lines, ...) (th_lines_add(lines, &a->run->arena, __VA_ARGS__) || th_fail_memory(err))

typedef struct {
    char text[40];
} printed;

static printed print(const answer *a, double value, th_kind kind) {
    printed p = {""};

    th_quantity_print(value, kind, (th_units)a->options->job->head.units, 3, p.text, sizeof p.text);
    return p;
}

/* ---- what holds the verdict back -------------------------------------------------------------
 */

static const char *found_words(th_found_kind kind) {
    static const char *const words[] = {"goes through material at rapid",
                                        "reaches the table",
                                        "cuts with the spindle stopped",
                                        "runs backwards (M4) in the material and does not cut",
                                        "stands deeper in the stock than it has flutes",
                                        "has its shank, which is wider, in the stock"};

    return words[kind];
}

static bool found_holds_back(const answer *a, th_error *err) {
    const th_run *run = a->run;

    for (size_t kind = 0; kind <= TH_FOUND_SHANK; kind++) {
        size_t count = 0;
        int first = 0;
        for (size_t i = 0; i < run->found_count; i++) {
            if ((size_t)run->found[i].kind == kind) {
                first = count == 0 ? run->found[i].line : first;
                count++;
            }
        }
        const char *more =
            count > 1 ? th_arena_print(&a->run->arena, " and %zu more", count - 1) : "";
        if (!more) {
            return th_fail_memory(err);
        }
        if (count > 0 &&
            !ADD(&a->run->held_back, "the cutter %s: line %d%s; what that does is not worked out",
                 found_words((th_found_kind)kind), first, more)) {
            return false;
        }
    }
    return true;
}

/* Copies of the part that never come free, though they are cut through beside. */
static bool tied_hold_back(const answer *a, th_error *err) {
    for (size_t i = 0; i < a->copies; i++) {
        const copy_round *round = &a->rounds[i];
        const char *which = a->copies > 1
                                ? th_arena_print(&a->run->arena, "copy %zu of the part", i + 1)
                                : "the part";
        if (!which) {
            return th_fail_memory(err);
        }
        if (round->line && !round->free &&
            !ADD(&a->run->held_back,
                 "line %d cuts through beside %s, which never comes free: what still joins it to "
                 "the sheet is taken as solid",
                 round->line, which)) {
            return false;
        }
    }
    return true;
}

/* Copies of the job that the program leaves alone, where it cuts others out. */
static bool uncut_caution(const answer *a, th_error *err) {
    size_t cut = 0, first = 0;

    for (size_t i = a->copies; i > 0; i--) {
        cut += a->rounds[i - 1].line > 0;
        first = a->rounds[i - 1].line ? first : i;
    }
    return cut == 0 || cut == a->copies ||
           ADD(&a->run->cautions,
               "cut through beside %zu of the job's %zu copies, and not beside copy %zu", cut,
               a->copies, first);
}

/* "line 7", "lines 7, 9 and 3 more". */
static const char *lines_named(const answer *a, const line_list *list) {
    th_arena *arena = &a->run->arena;
    size_t named = list->count < LINES_NAMED ? list->count : LINES_NAMED;
    const char *text = list->count == 1 ? "line" : "lines";

    for (size_t i = 0; i < named && text; i++) {
        const char *join = i == 0 ? "" : i + 1 == list->count ? " and" : ",";
        text = th_arena_print(arena, "%s%s %d", text, join, list->lines[i]);
    }
    return text && list->count > named
               ? th_arena_print(arena, "%s and %zu more", text, list->count - named)
               : text;
}

/* A machine asked for more goes on with what it has, and nobody sees it: force and time are then
 * not those of the text. */
static bool machine_holds_back(const answer *a, th_error *err) {
    const th_machine *machine = &a->options->job->machine;
    const char *fast = lines_named(a, &a->fast), *spinning = lines_named(a, &a->spinning);

    if (!fast || !spinning) {
        return th_fail_memory(err);
    }
    if (a->fast.count > 0 &&
        !ADD(&a->run->held_back,
             "the machine feeds at %s at most, and %s ask%s for more: what it does then is not "
             "known",
             print(a, machine->feed_max, TH_FEED).text, fast, a->fast.count == 1 ? "s" : "")) {
        return false;
    }
    return a->spinning.count == 0 ||
           ADD(&a->run->held_back,
               "the spindle runs at %.6g to %.6g rpm, and %s ask%s for another speed: what it does "
               "then is not known",
               machine->speed_min, machine->speed_max, spinning, a->spinning.count == 1 ? "s" : "");
}

/* Warmth and strength of the tape are those of the job's cooling, and not of what runs. */
static bool coolant_holds_back(const answer *a, th_error *err) {
    const th_coolant *coolant = a->options->job->hold.coolant;
    const char *id = coolant->head.id;
    static const char *const on_there[] = {"", "M7 alone", "M8", "M7 and M8"};
    int word = coolant->kind == TH_COOL_MIST ? 7 : 8;

    if (coolant->kind == TH_COOL_DRY) {
        return !a->coolant_line ||
               ADD(&a->run->held_back,
                   "line %d cuts with coolant on, and the job says %s: set hold.cooling to what is "
                   "used",
                   a->coolant_line, id);
    }
    for (int on = 1; on < 4; on++) {
        if (a->other_lines[on] &&
            !ADD(&a->run->held_back,
                 "line %d cuts with %s on, and the job says %s, which is M%d: set hold.cooling "
                 "to what is used, or write M%d%s",
                 a->other_lines[on], on_there[on], id, word, word, on == 3 ? " alone" : "")) {
            return false;
        }
    }
    return !a->other_lines[0] ||
           ADD(&a->run->held_back,
               "line %d cuts with coolant off, and the job says %s: put M%d before it (where a "
               "hand switches the coolant too), or judge it dry by --set hold.cooling=dry",
               a->other_lines[0], id, word);
}

/* "T2", or what is in the spindle before any is called. */
static const char *tool_named(const answer *a, int tool) {
    return tool > 0 ? th_arena_print(&a->run->arena, "T%d", tool) : "what is in the spindle first";
}

/* One cutter serves a program that has one tool; of the second one nobody said what it is. */
static bool tools_hold_back(const answer *a, th_error *err) {
    const th_tool_use *first = &a->tools[0].use, *other = &a->tools[1].use;

    if (a->options->job->tool_count > 0 || a->tool_count < 2) {
        return true;
    }
    const char *one = tool_named(a, first->tool), *two = tool_named(a, other->tool);
    if (!one || !two) {
        return th_fail_memory(err);
    }
    return ADD(&a->run->held_back,
               "line %d cuts with %s and line %d with %s, and the job has one cutter for both: "
               "write [tool.%d] with cutter = NAME, and so for each T",
               first->first_line, one, other->first_line, two, other->tool);
}

/* Read in the other unit it would be a program 25 times as large or as small. */
static bool units_hold_back(const answer *a, th_error *err) {
    int line = a->run->reading.before_units;

    return !a->options->reading.units_guessed || line == 0 ||
           ADD(&a->run->held_back,
               "line %d moves before any G20 or G21, and %s is a guess: write G%d before it, or "
               "say --units=mm or --units=inch",
               line, a->options->reading.units == TH_INCH ? "inch" : "mm",
               a->options->reading.units == TH_INCH ? 20 : 21);
}

/* A tap is no cutter that forces are worked out for. */
static bool taps_hold_back(const answer *a, th_error *err) {
    int line = a->run->reading.taps;

    return line == 0 ||
           ADD(&a->run->held_back,
               "line %d taps (G84): what a tap pulls and twists is not worked out, it is taken for "
               "the cutter of its T, drilling",
               line);
}

/* At a height where stock may stand in the way, which nobody knows. */
static bool blind_hold_back(const answer *a, th_error *err) {
    const th_program_report *reading = &a->run->reading;
    const th_job *job = a->options->job;
    double height = reading->blind_height + job->zero.top;

    return reading->blind == 0 || !(height < job->part.thickness - TH_SWEEP_RAPID_TOUCH) ||
           ADD(&a->run->held_back,
               "line %d goes sideways at rapid, %s under the top of the stock, from a place that "
               "the program does not say: lift the cutter first",
               reading->blind, print(a, job->part.thickness - height, TH_LENGTH).text);
}

/* Whether the plate reaches beside the stock nobody knows; a rapid into it is none to be taken. */
static bool dive_holds_back(const answer *a, th_error *err) {
    const th_run *run = a->run;
    double deep = run->plate_top - run->dived;

    return !(deep > DIVES) || !(run->dived < run->lowest - BESIDE) ||
           ADD(&a->run->held_back,
               "line %d goes at rapid %s under the top of the sacrificial plate, beside the stock: "
               "how far the plate reaches there is not known",
               run->dived_line, print(a, deep, TH_LENGTH).text);
}

static bool holds_back(const answer *a, th_error *err) {
    const th_run *run = a->run;

    if (!found_holds_back(a, err) || !tools_hold_back(a, err) || !coolant_holds_back(a, err) ||
        !units_hold_back(a, err) || !taps_hold_back(a, err) || !blind_hold_back(a, err) ||
        !dive_holds_back(a, err)) {
        return false;
    }
    if (!machine_holds_back(a, err)) {
        return false;
    }
    if (run->worst_count > 0 && run->plates_asked == 0 && run->hold_factor > 0 &&
        !ADD(&a->run->held_back, "the part is taken as stiff: its bending is not in the figures")) {
        return false;
    }
    return tied_hold_back(a, err) &&
           (run->worst_count > 0 ||
            ADD(&a->run->held_back, "the program cuts nothing that is held"));
}

/* ---- cautions --------------------------------------------------------------------------------
 */

/* The map knows no more of a place. */
static double hundredths(double value) {
    return round(100 * value) / 100;
}

/* A skin so near what joins nothing that a depth a little deep makes it so; and a part that is cut
 * round and stays in its sheet. */
static bool skin_caution(const answer *a, th_error *err) {
    const copy_round *round = answer_thin_skin(a);

    if (round && !skin_in_doubt(round->thin)) {
        return ADD(&a->run->cautions,
                   "line %d is the deepest cut beside the part, and leaves %s: the part stays in "
                   "its sheet",
                   round->thin_line, print(a, round->thin, TH_LENGTH).text);
    }
    return !round ||
           ADD(&a->run->cautions,
               "line %d leaves a skin of %s round the part: where it comes out under %s it is as "
               "good as cut through: hold its depth within %s over the whole sheet, or leave %s",
               round->thin_line, print(a, round->thin, TH_LENGTH).text,
               print(a, SKIN_JOINS, TH_LENGTH).text,
               print(a, hundredths(round->thin - SKIN_JOINS), TH_LENGTH).text,
               print(a, SKIN_SURE, TH_LENGTH).text);
}

static bool loose_caution(const answer *a, const th_loose *loose, th_error *err) {
    const char *name = th_piece_name(loose->kind);
    bool surely = loose->hold_factor < SURELY;

    if (!loose->tabs) {
        return ADD(&a->run->cautions,
                   "line %d sets a %s free that %s come loose: pocket it away, or leave a skin or "
                   "tabs",
                   loose->line, name, surely ? "will" : "may");
    }
    if (loose->tabs_line > 0) {
        return ADD(
            &a->run->cautions,
            "line %d leaves a %s on tabs, as the tape alone %s hold it, and line %d cuts the "
            "last of them: leave them, or pocket it away",
            loose->line, name, surely ? "will not" : "may not", loose->tabs_line);
    }
    return ADD(
        &a->run->cautions,
        "line %d leaves a %s that hangs on its tabs, as the tape alone %s hold it: what they "
        "bear is not worked out",
        loose->line, name, surely ? "will not" : "may not");
}

static bool loose_cautions(const answer *a, th_error *err) {
    const th_run *run = a->run;

    for (size_t i = 0; i < run->loose_count; i++) {
        const th_loose *loose = &run->loose[i];
        if (loose->counts || loose->kind == TH_PIECE_PART || th_loose_is_crumb(loose) ||
            !(loose->hold_factor < run->asked_factor)) {
            continue;
        }
        if (!loose_caution(a, loose, err)) {
            return false;
        }
        if (run->cautions.count >= 8) {
            return ADD(&a->run->cautions, "more pieces come loose: the table has them");
        }
    }
    return true;
}

/* Whether a piece of the part lies within it, with something of the part all round. */
static bool hole_in_part(const th_job *job, const th_loose *loose) {
    th_point by = th_copy_offset(job, loose->copy > 0 ? loose->copy : 1);

    return (loose->kind == TH_PIECE_PART || loose->untold) && loose->box[0] > by.x + HOLE_RIM &&
           loose->box[1] > by.y + HOLE_RIM && loose->box[2] < by.x + job->part.length - HOLE_RIM &&
           loose->box[3] < by.y + job->part.width - HOLE_RIM;
}

/* How far the piece of a part stays within the box that the job gives that (mm). */
static double falls_short(const th_job *job, const th_loose *loose) {
    th_point by = th_copy_offset(job, loose->copy);
    const double *box = loose->stands;

    return fmax(fmax(box[0] - by.x, box[1] - by.y),
                fmax(by.x + job->part.length - box[2], by.y + job->part.width - box[3]));
}

/* A path on the line and not beside it, or a zero that lies elsewhere. */
static bool cut_into_caution(const answer *a, th_error *err) {
    const th_part *part = &a->options->job->part;

    for (size_t i = 0; i < a->run->loose_count; i++) {
        const th_loose *loose = &a->run->loose[i];
        const double *box = loose->stands;
        th_point by = th_copy_offset(a->options->job, loose->copy > 0 ? loose->copy : 1);
        if (loose->kind == TH_PIECE_PART && loose->copy > 0 && !th_loose_is_crumb(loose) &&
            !hole_in_part(a->options->job, loose) && falls_short(a->options->job, loose) > STRAYS) {
            return ADD(&a->run->cautions,
                       "the part that line %d frees is %s x %s from x %s, y %s in the end, the "
                       "job's %s x %s from x %s, y %s: the program cuts into it, or its zero lies "
                       "elsewhere than [zero] says",
                       loose->line, print(a, box[2] - box[0], TH_LENGTH).text,
                       print(a, box[3] - box[1], TH_LENGTH).text,
                       print(a, hundredths(box[0]), TH_LENGTH).text,
                       print(a, hundredths(box[1]), TH_LENGTH).text,
                       print(a, part->length, TH_LENGTH).text,
                       print(a, part->width, TH_LENGTH).text, print(a, by.x, TH_LENGTH).text,
                       print(a, by.y, TH_LENGTH).text);
        }
    }
    return true;
}

/* What comes out of a hole counts as part, unless the job tells of the hole or it is small. */
static bool hole_cautions(const answer *a, th_error *err) {
    const th_job *job = a->options->job;
    const th_loose *first = NULL;
    size_t more = 0;

    for (size_t i = 0; i < a->run->loose_count; i++) {
        const th_loose *loose = &a->run->loose[i];
        if (hole_in_part(job, loose)) {
            more += first != NULL;
            first = first ? first : loose;
        }
    }
    return !first ||
           ADD(&a->run->cautions,
               "line %d frees a piece of %s x %s inside the part that the job does not tell of%s, "
               "and it counts as %s: %s %s",
               first->line, print(a, first->stands[2] - first->stands[0], TH_LENGTH).text,
               print(a, first->stands[3] - first->stands[1], TH_LENGTH).text,
               more ? th_arena_print(&a->run->arena, " (and %zu more)", more) : "",
               first->untold ? first->counts ? "what must stay" : "a slug, as it is small" : "part",
               job->part.outline ? "an opening drawn there in its outline" : "an [opening.N] there",
               first->untold ? "says so" : "makes it a slug");
}

/* The lowest temperature at which a layer of the hold holds nothing (C). */
static double warmest_of(const th_hold *hold) {
    double most = hold->tape->temperature_max;

    if (hold->tape_below) {
        most = fmin(most, hold->tape_below->temperature_max);
    }
    return hold->glue->absent ? most : fmin(most, hold->glue->temperature_max);
}

static bool heat_caution(const answer *a, th_error *err) {
    const th_job *job = a->options->job;
    double room = job->hold.room_temperature, most = warmest_of(&job->hold);
    double now = a->run->warmest;

    return !(now > room) || (now - room) * HEAT_RESERVE < most - room ||
           ADD(&a->run->cautions, "the tape warms to %s%s; above %s nothing holds",
               now > TH_TOLD_WARMEST ? "over " : "",
               print(a, fmin(now, TH_TOLD_WARMEST), TH_TEMPERATURE).text,
               print(a, most, TH_TEMPERATURE).text);
}

/* Lines with chips under what the edge can cut: lighter rubs. */
static bool rub_caution(const answer *a, th_error *err) {
    const th_run *run = a->run;
    double least = a->options->job->part.stock->smallest_chip;
    size_t count = 0, first = 0;

    for (size_t i = 0; i < run->line_count; i++) {
        const th_line_load *line = &run->lines[i];
        if (isfinite(line->area_factor) && line->max_chip > 0 && (double)line->max_chip < least) {
            first = count == 0 ? i : first;
            count++;
        }
    }
    return count == 0 || ADD(&a->run->cautions,
                             "the edge rubs, its chip is thinner than it can cut: line %zu, %zu in "
                             "all",
                             first, count);
}

static bool machine_cautions(const answer *a, th_error *err) {
    const th_job *job = a->options->job;

    if (a->run->peak_power > job->machine.spindle_power * job->machine.efficiency &&
        !ADD(&a->run->cautions, "more power is asked than the spindle has: %s at the cutter",
             print(a, a->run->peak_power, TH_POWER).text)) {
        return false;
    }
    return true;
}

static bool bending_cautions(const answer *a, th_error *err) {
    for (size_t i = 0; i < a->tool_count; i++) {
        const tool_notes *notes = &a->tools[i];
        const char *name = a->tool_count > 1 ? tool_named(a, notes->use.tool) : "the cutter";
        if (!name) {
            return th_fail_memory(err);
        }
        if (notes->breaks > 1 &&
            !ADD(&a->run->cautions, "%s may break in line %d: it bends too hard", name,
                 notes->breaks_line)) {
            return false;
        }
        if (notes->springs > 1 &&
            !ADD(
                &a->run->cautions,
                "%s springs by over 1 %% of its diameter in line %d: expect walls out of true, and "
                "chatter",
                name, notes->springs_line)) {
            return false;
        }
    }
    return true;
}

static bool depth_caution(const answer *a, th_error *err) {
    const th_run *run = a->run;
    double least = a->options->job->hold.plate_left, left = fmax(run->lowest - run->table, 0);

    if (!isfinite(run->lowest) || !(left < least)) {
        return true;
    }
    return ADD(&a->run->cautions,
               "line %d cuts so deep that %s of the sacrificial plate is left; the job asks for %s",
               run->lowest_line, print(a, left, TH_LENGTH).text, print(a, least, TH_LENGTH).text);
}

/* How far the plate reaches beside the stock is not known. */
static bool beside_caution(const answer *a, th_error *err) {
    const th_run *run = a->run;
    double deep = run->plate_top - run->reached;

    return !(deep > BESIDE) || !(run->reached < run->lowest - BESIDE) ||
           ADD(&a->run->cautions,
               "line %d goes %s under the top of the sacrificial plate, beside the stock, where "
               "the plate is taken to end: whether it meets plate or clamps there is not looked at",
               run->reached_line, print(a, deep, TH_LENGTH).text);
}

/* Without a limit of the job what lets go does not sway. */
static bool sway_caution(const answer *a, th_error *err) {
    const th_run *run = a->run;
    const th_job *job = a->options->job;
    bool stated = !isnan(job->head.sway_limit);

    if (!(run->sway > th_sway_limit(job)) || (!stated && run->hold_factor < 1)) {
        return true;
    }
    return stated ? ADD(&a->run->cautions,
                        "the part sways %s on its tape in line %d; the job allows %s",
                        print(a, run->sway, TH_LENGTH).text, run->sway_line,
                        print(a, job->head.sway_limit, TH_LENGTH).text)
                  : ADD(&a->run->cautions,
                        "the part springs %s sideways on its tape in line %d: sizes come out that "
                        "much off; take a thinner tape or lighter cuts",
                        print(a, run->sway, TH_LENGTH).text, run->sway_line);
}

/* What the reader warned of, and the job; what its cuts say is beside the point. */
static bool given_cautions(const answer *a, th_error *err) {
    const th_run *run = a->run;
    const th_job *job = a->options->job;

    for (size_t i = 0; i < run->reading.warning_count; i++) {
        const th_program_warning *warning = &run->reading.warnings[i];
        if (!ADD(&a->run->cautions, "line %d: %s", warning->line, warning->text)) {
            return false;
        }
    }
    for (size_t i = 0; i < job->cautions.count; i++) {
        if (strncmp(job->cautions.items[i], "cut.", 4) != 0 &&
            !ADD(&a->run->cautions, "%s", job->cautions.items[i])) {
            return false;
        }
    }
    return true;
}

/* In a sheet thinner than its point is high, or than half its diameter, nothing guides a drill when
 * it breaks through. */
static bool drill_caution(const answer *a, const drill_through *drill, th_error *err) {
    const th_job *job = a->options->job;
    double point = th_drill_point(drill->cutter), half = drill->cutter->diameter / 2;
    bool through_first = job->part.thickness < point;
    const char *lift = drill->lift > 0
                           ? th_arena_print(&a->run->arena, " and lifts with about %s (estimate)",
                                            print(a, drill->lift, TH_FORCE).text)
                           : "";

    if (!lift) {
        return th_fail_memory(err);
    }
    if (!through_first && job->part.thickness >= half) {
        return ADD(&a->run->cautions,
                   "line %d: a drill grabs as it breaks through%s; slow down for the last turns",
                   drill->line, lift);
    }
    return ADD(&a->run->cautions,
               "line %d drills thin sheet (under %s, %s): the point is through before the full "
               "diameter %s; it grabs%s, and leaves a three-lobed hole: take a flatter or spur "
               "point, the plate flat under it, slow down at the end, or bore it with an end mill",
               drill->line, print(a, through_first ? point : half, TH_LENGTH).text,
               through_first ? "its drill's point" : "half its drill's diameter",
               through_first ? "cuts" : "is guided", lift);
}

static bool drill_cautions(const answer *a, th_error *err) {
    for (size_t i = 0; i < a->drill_count; i++) {
        if (!drill_caution(a, &a->drills[i], err)) {
            return false;
        }
    }
    return true;
}

/* ---- the rest --------------------------------------------------------------------------------
 */

static bool list_defaults(const answer *a, th_error *err) {
    const th_lines *defaults = &a->options->job->defaults;

    if (a->run->reading.zero_of &&
        !ADD(&a->run->defaults, "[zero] is taken as the zero of %s, of several coordinate systems",
             a->run->reading.zero_of)) {
        return false;
    }
    if (a->tabs.bits &&
        !ADD(&a->run->defaults, "tabs bear nothing: what they tie is held by its own "
                                "tape alone")) {
        return false;
    }
    if (a->tool_count > 1 &&
        !ADD(&a->run->defaults, "the tip of each tool stands where the program says, as if it had "
                                "been touched off")) {
        return false;
    }
    if (a->air_line && !ADD(&a->run->defaults, "M7 is taken as the air that the job says")) {
        return false;
    }
    for (size_t i = 0; i < defaults->count; i++) {
        if (strncmp(defaults->items[i], "cut.", 4) != 0 &&
            !ADD(&a->run->defaults, "%s", defaults->items[i])) {
            return false;
        }
    }
    for (size_t i = 0; i < a->run->reading.readings.count; i++) {
        if (!ADD(&a->run->defaults, "read: %s", a->run->reading.readings.items[i])) {
            return false;
        }
    }
    return true;
}

static bool list_not_checked(const answer *a, th_error *err) {
    static const char *const always[] = {"chatter",
                                         "a chipped cutter",
                                         "a lifted tape edge",
                                         "oil under the tape",
                                         "clamps, holder and machine in the cutter's way",
                                         "tilting under a cutter that presses"};

    for (size_t i = 0; i < sizeof always / sizeof always[0]; i++) {
        if (!ADD(&a->run->not_checked, "%s", always[i])) {
            return false;
        }
    }
    return true;
}

static void add_source(th_run *run, const th_row_head *row, th_table table) {
    for (size_t i = 0; row && i < run->source_count; i++) {
        if (run->sources[i].row == row) {
            return;
        }
    }
    if (row) {
        run->sources[run->source_count++] = (th_source){row, table};
        run->estimate = run->estimate || th_trust_weak((th_trust)row->trust);
    }
}

static bool list_sources(const answer *a, th_error *err) {
    const th_job *job = a->options->job;
    const th_hold *hold = &job->hold;
    th_run *run = a->run;

    run->sources = th_arena_take(&run->arena, (8 + job->cutter_count) * sizeof *run->sources);
    if (!run->sources) {
        return th_fail_memory(err);
    }
    add_source(run, &job->part.stock->head, TH_STOCKS);
    add_source(run, &hold->tape->head, TH_TAPES);
    add_source(run, hold->tape_below ? &hold->tape_below->head : NULL, TH_TAPES);
    add_source(run, hold->glue->absent ? NULL : &hold->glue->head, TH_GLUES);
    add_source(run, &hold->plate->head, TH_PLATES);
    add_source(run, &hold->coolant->head, TH_COOLANTS);
    add_source(run, &job->machine.head, TH_MACHINES);
    for (size_t i = 0; i < job->cutter_count; i++) {
        const th_cutter *row = th_tables_find(job->tables, TH_CUTTERS, job->cutters[i].id);
        add_source(run, row ? &row->head : NULL, TH_CUTTERS);
    }
    return true;
}

/* A path that goes further beyond the stock than that is long is of another part, unit or zero. */
static bool far_caution(const answer *a, th_error *err) {
    const th_program_report *reading = &a->run->reading;
    const th_job *job = a->options->job;
    const double zero[2] = {job->zero.at.x, job->zero.at.y};
    const double *stock = a->loads->bounds;
    double longer = fmax(stock[2] - stock[0], stock[3] - stock[1]), most = 0;

    for (int i = 0; i < 2 && isfinite(reading->low[i]); i++) {
        most = fmax(most, fmax(stock[i] - (reading->low[i] + zero[i]),
                               reading->high[i] + zero[i] - stock[i + 2]));
    }
    return !(most > longer) ||
           ADD(&a->run->cautions,
               "the program feeds %s beyond the stock, which is %s long: is it that of this part, "
               "in its unit and from its zero?",
               print(a, most, TH_LENGTH).text, print(a, longer, TH_LENGTH).text);
}

bool answer_lists(const answer *a, th_error *err) {
    return holds_back(a, err) && heat_caution(a, err) && depth_caution(a, err) &&
           beside_caution(a, err) && far_caution(a, err) && skin_caution(a, err) &&
           cut_into_caution(a, err) && loose_cautions(a, err) && hole_cautions(a, err) &&
           uncut_caution(a, err) && drill_cautions(a, err) && rub_caution(a, err) &&
           machine_cautions(a, err) && bending_cautions(a, err) && sway_caution(a, err) &&
           given_cautions(a, err) && list_defaults(a, err) && list_not_checked(a, err) &&
           list_sources(a, err);
}
