/* Phrases that the text reports share. */
#include "words.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "utf8.h"

/* ---- numbers --------------------------------------------------------------------------------- */

/* Power of ten, exact enough for scaling to significant digits. */
static double ten_to(int exponent) {
    return pow(10.0, exponent);
}

/* `value` > 0 rounded down to `digits` significant digits. A value that sits on a step but for the
 * last bits of its binary form counts as the step unless `strict`. */
static double rounded_down(double value, int digits, bool strict) {
    int exponent = digits - 1 - (int)floor(log10(value));
    double scale = ten_to(exponent < 0 ? -exponent : exponent);
    double scaled = exponent < 0 ? value / scale : value * scale;
    double steps = floor(strict ? scaled : scaled * (1 + 1e-12));
    return exponent < 0 ? steps * scale : steps / scale;
}

static bool same_side(double a, double b, double edge) {
    return (a < edge) == (b < edge);
}

/* As many digits as were needed, with at least one after the point for small numbers: 2 -> 2.0. */
static void print_factor(double value, int digits, char *text, size_t size) {
    char number[48];
    th_number_print(value, digits, number, sizeof number);
    bool whole = strspn(number, "0123456789") == strlen(number);
    snprintf(text, size, "%s%s", number, whole && value < 10 && value > 0 ? ".0" : "");
}

void th_hold_factor_print(double factor, double asked, char *text, size_t size) {
    if (!isfinite(factor) || factor <= 0) {
        snprintf(text, size, "%s", isfinite(factor) ? "0" : "-");
        return;
    }
    for (int digits = 2; digits <= 7; digits++) {
        double down = rounded_down(factor, digits, false);
        if (down > factor && !(same_side(down, factor, asked) && same_side(down, factor, 1))) {
            down = rounded_down(factor * (1 - 1e-12), digits, true);
        }
        if (same_side(down, factor, asked) && same_side(down, factor, 1)) {
            print_factor(down, digits, text, size);
            return;
        }
    }
    print_factor(rounded_down(factor, 12, true), 12, text, size);
}

const char *th_words_print(th_doc *doc, const char *format, ...) {
    va_list list;
    va_start(list, format);
    va_list again;
    va_copy(again, list);
    int length = th_vprint(NULL, 0, format, list);
    va_end(list);
    char *text = length < 0 ? NULL : th_arena_take(&doc->arena, (size_t)length + 1);
    if (text != NULL) {
        th_vprint(text, (size_t)length + 1, format, again);
    } else {
        doc->failed = true;
    }
    va_end(again);
    return text == NULL ? "" : text;
}

const char *th_words_quantity(th_doc *doc, double value, th_kind kind, th_units units) {
    char text[64];
    th_quantity_print(value, kind, units, 3, text, sizeof text);
    return th_words_print(doc, "%s", text);
}

const char *th_words_bare(th_doc *doc, double value, th_kind kind, th_units units) {
    const char *text = th_words_quantity(doc, value, kind, units);
    return th_words_print(doc, "%.*s", (int)strcspn(text, " "), text);
}

const char *th_words_unit(th_doc *doc, double value, th_kind kind, th_units units) {
    const char *text = th_words_quantity(doc, value, kind, units);
    const char *blank = strchr(text, ' ');
    return blank == NULL ? "" : blank + 1;
}

const char *th_words_number(th_doc *doc, double value, int digits) {
    char text[48];
    th_number_print(value, digits, text, sizeof text);
    return th_words_print(doc, "%s", text);
}

const char *th_words_factor(th_doc *doc, double factor, double asked) {
    char text[48];
    th_hold_factor_print(factor, asked, text, sizeof text);
    return th_words_print(doc, "%s", text);
}

const char *th_words_height(th_doc *doc, double value, th_units units) {
    double shown = fabs(units == TH_INCH ? value / 25.4 : value);
    int decimals = units == TH_INCH ? 4 : 2;
    int whole = shown > 0 ? (int)floor(log10(shown)) + 1 : 0;
    char text[64];
    th_quantity_print(value, TH_LENGTH, units, whole + decimals, text, sizeof text);
    return th_words_print(doc, "%s", text);
}

/* A place to a hundredth of a mm or a thousandth of an inch is told well enough. */
static int place_digits(double value, th_units units) {
    return fabs(units == TH_INCH ? value / 25.4 : value) < (units == TH_INCH ? 1 : 10) ? 3 : 4;
}

const char *th_words_place(th_doc *doc, th_point at, th_units units) {
    if (!isfinite(at.x) || !isfinite(at.y)) {
        return "";
    }
    /* a place within rounding of the corner is the corner */
    double x = fabs(at.x) < 1e-6 ? 0 : at.x, y = fabs(at.y) < 1e-6 ? 0 : at.y;
    char across[48], along[48];
    th_quantity_print(x, TH_LENGTH, units, place_digits(x, units), across, sizeof across);
    th_quantity_print(y, TH_LENGTH, units, place_digits(y, units), along, sizeof along);
    return th_words_print(doc, "x %s, y %s", across, along);
}

/* ---- text ------------------------------------------------------------------------------------ */

const char *th_words_clip(th_doc *doc, const char *text, size_t most) {
    if (th_utf8_width(text, strlen(text)) <= most) {
        return text;
    }
    size_t bytes = 0, end = 0;
    for (size_t width = 0; width + 4 < most; width++) {
        size_t length = th_utf8_length(text + bytes);
        bytes += length == 0 ? 1 : length;
        end = text[bytes] == ' ' ? bytes : end;
    }
    end = end == 0 ? bytes : end;
    return th_words_print(doc, "%.*s ...", (int)end, text);
}

const char *th_words_list(th_doc *doc, const th_lines *lines, size_t most) {
    const char *text = "";
    size_t shown = lines->count < most ? lines->count : most;
    for (size_t i = 0; i < shown; i++) {
        text = th_words_print(doc, "%s%s%s", text, i > 0 ? "; " : "", lines->items[i]);
    }
    if (shown < lines->count) {
        text = th_words_print(doc, "%s%s%zu%s with --all", text, shown > 0 ? "; " : "",
                              lines->count - shown, shown > 0 ? " more" : " defaults, shown");
    }
    return text;
}

const char *th_words_way(th_way way) {
    switch (way) {
    case TH_SLIDE:
        return "slides";
    case TH_LIFT:
        return "lifts off";
    case TH_TWIST:
        return "twists off";
    case TH_HEAT:
        return "tape too warm";
    case TH_WAIT:
        return "not set yet";
    case TH_COOLING:
        return "not to be used with this cooling";
    case TH_ADHESION:
        return "does not stick to this surface";
    }
    return "lets go";
}

const char *th_words_stage(th_doc *doc, const th_stage *stage) {
    const char *section = stage->cut == NULL ? "" : stage->cut->section;
    return th_words_print(doc, "%s %s", section, stage->name);
}

/* ---- pieces ---------------------------------------------------------------------------------- */

static bool in_sheet(const th_job *job) {
    return isfinite(job->part.sheet_length);
}

static int copies_of(const th_job *job) {
    int across = job->part.copies.a, along = job->part.copies.b;
    return (across > 1 ? across : 1) * (along > 1 ? along : 1);
}

const char *th_words_piece(th_doc *doc, const th_job *job, const th_stage *stage) {
    static const char *const names[] = {
        [TH_PIECE_STOCK] = "the stock",
        [TH_PIECE_PART] = "the part",
        [TH_PIECE_FRAME] = "the frame",
        [TH_PIECE_SLUG] = "the slug",
    };
    bool own = stage->piece == TH_PIECE_PART || stage->piece == TH_PIECE_SLUG;
    bool tied = stage->piece == TH_PIECE_PART && isfinite(stage->alone_factor);
    bool freed = stage->piece == TH_PIECE_PART && in_sheet(job);
    bool turn = stage->cut != NULL && stage->cut->operation == TH_OUTLINE;
    const char *text = tied    ? "the part on its tabs"
                       : freed ? "the freed part"
                               : names[stage->piece];
    if (copies_of(job) > 1 && (own || turn)) {
        text = th_words_print(doc, "%s (%scopy %d of %d)", text, own ? "" : "at ", stage->copy,
                              copies_of(job));
    }
    return text;
}

/* ---- bending --------------------------------------------------------------------------------- */

/* 1 where the place lies on one end of a side, else 0. */
static int on_ends(double at, double low, double length) {
    const double near = 0.5; /* about an element of the plate (mm) */
    return fabs(at - low) < near || fabs(at - low - length) < near;
}

/* Corner or edge of what is a rectangle, else only a place. */
static const char *spot_of(const th_job *job, const th_stage *stage) {
    static const char *const names[] = {"place", "edge", "corner"};
    const th_part *part = &job->part;
    bool whole = stage->piece == TH_PIECE_STOCK || stage->piece == TH_PIECE_FRAME;
    double x = -part->sheet_x, y = -part->sheet_y;
    double length = part->sheet_length, width = part->sheet_width;
    if (!whole) {
        int across = part->copies.a > 1 ? part->copies.a : 1, turn = stage->copy - 1;
        int row = turn / across;
        x = across > 1 ? turn % across * part->pitch.a : 0;
        y = row > 0 ? row * part->pitch.b : 0;
        length = part->length;
        width = part->width;
    }
    bool square = whole || (stage->piece == TH_PIECE_PART && part->shape == TH_RECTANGLE &&
                            part->outline == NULL && !(part->corner_radius > 0));
    return square ? names[on_ends(stage->at.x, x, length) + on_ends(stage->at.y, y, width)]
                  : names[0];
}

const char *th_words_bending(th_doc *doc, const th_job *job, const th_stage *stage,
                             const char **cause) {
    const double much = 1.2;
    bool lifts = stage->way == TH_LIFT, shears = stage->way == TH_SLIDE || stage->way == TH_TWIST;
    double plate = lifts ? stage->lift_peak_traction : stage->shear_peak;
    double rigid = lifts ? stage->area_lift_peak : stage->area_shear_peak;
    *cause = isfinite(stage->alone_factor) ? "tabs" : "bending";
    if (isfinite(stage->alone_factor)) {
        return th_words_print(doc, "without them the hold factor is %s",
                              th_words_factor(doc, stage->alone_factor, job->head.asked_factor));
    }
    if (!(lifts || shears) || stage->hold_factor <= 0 || !(plate > 0) ||
        (plate <= much * rigid && rigid <= much * plate)) {
        return NULL;
    }
    const char *spot = spot_of(job, stage);
    if (!(rigid > 0)) {
        return lifts ? th_words_print(doc, "lifts the %s; a rigid plate stays down", spot) : NULL;
    }
    return th_words_print(doc, "the %s sees %s times the peak %s of a rigid plate", spot,
                          th_words_number(doc, plate / rigid, 2), lifts ? "lift" : "shear");
}

const char *th_words_stops(th_doc *doc, const th_job *job) {
    static const char *const names[] = {"left", "right", "front", "back"};
    const char *text = "";
    bool freed = false;
    for (int i = 0; i < 4; i++) {
        if (job->hold.stops & 1 << i) {
            text = th_words_print(doc, "%s%s%s", text, text[0] == '\0' ? "" : " ", names[i]);
        }
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        freed = freed || (job->cuts[i].operation == TH_OUTLINE && job->cuts[i].through);
    }
    return text[0] == '\0'
               ? NULL
               : th_words_print(doc,
                                "%s: bear the push towards them%s; lifting stays with the tape",
                                text, freed ? " until the part is free" : "");
}

const char *th_words_bow(th_doc *doc, const th_job *job, const th_stage *stage) {
    double share = stage->standing_lift / stage->design_lift;
    if (!(stage->hold_factor > 0) || !(share >= 0.05)) {
        return NULL;
    }
    return th_words_print(
        doc, "lifts the ends with %s all the time, %s %% of the bond",
        th_words_quantity(doc, stage->standing_lift, TH_PRESSURE, (th_units)job->head.units),
        th_words_number(doc, 100 * share, 2));
}

/* Tabs, or the frame behind them: not a place in the bond. NULL where they are not what gives. */
static const char *tied_failure(th_doc *doc, const char *piece, const th_stage *stage) {
    bool does = stage->hold_factor < 1;
    if (th_stage_by_tabs(stage)) {
        return th_words_print(doc, "%s: the tabs %s", piece, does ? "break" : "would break");
    }
    return isfinite(stage->alone_factor) && th_stage_by_frame(stage)
               ? th_words_print(doc, "%s %s with the frame", piece, does ? "goes" : "would go")
               : NULL;
}

/* What it does, or would do under a greater load. */
static const char *failing(const th_stage *stage) {
    static const char *const would[] = {
        [TH_SLIDE] = "would slide", [TH_LIFT] = "would lift off", [TH_TWIST] = "would twist off"};
    size_t way = (size_t)stage->way;
    bool does = stage->hold_factor < 1 || way >= sizeof would / sizeof would[0] || !would[way];

    return does ? th_words_way(stage->way) : would[way];
}

const char *th_words_failure(th_doc *doc, const th_job *job, const th_stage *stage) {
    const char *piece = th_words_piece(doc, job, stage);
    const char *interface = stage->interface == NULL ? "bond" : stage->interface;
    const char *way = failing(stage);
    const char *tied = tied_failure(doc, piece, stage);
    const char *place = th_words_place(doc, stage->at, (th_units)job->head.units);
    if (stage->hold_factor <= 0) {
        bool bare = !(stage->bonded_area > 0);
        return th_words_print(doc, "%s, %s", bare ? piece : interface,
                              bare ? "no tape under it" : way);
    }
    if (tied != NULL) {
        return tied;
    }
    return th_words_print(doc, "%s %s%s%s (%s)", piece, way, place[0] == '\0' ? "" : " at ", place,
                          interface);
}

const th_stage *th_words_governing(const th_check *check) {
    return check->governs < check->stage_count ? &check->stages[check->governs] : NULL;
}

/* ---- the answer ------------------------------------------------------------------------------ */

static bool weak_source(const th_source *source) {
    return th_trust_weak((th_trust)source->row->trust);
}

/* What is an estimate: the row that governs if it is weak, else what its load rests on, never
 * another row of the hold. */
static const char *estimated(const th_check *check) {
    static const char *const words[TH_TABLE_COUNT] = {
        [TH_STOCKS] = "cutting force is",     [TH_TAPES] = "tape strength is",
        [TH_GLUES] = "glue strength is",      [TH_CUTTERS] = "the cutter's shape is",
        [TH_MACHINES] = "the peak ratio is",  [TH_COOLANTS] = "the cooling is",
        [TH_PLATES] = "grip on the plate is",
    };
    const th_stage *stage = th_words_governing(check);
    const th_source *found = NULL;
    for (size_t i = 0; i < check->source_count; i++) {
        const th_source *source = &check->sources[i];
        if (weak_source(source) && stage != NULL && source->row == stage->row) {
            found = source;
        }
    }
    for (size_t i = 0; i < check->source_count && found == NULL; i++) {
        const th_source *source = &check->sources[i];
        bool load = source->table == TH_STOCKS || source->table == TH_MACHINES;
        found = load && weak_source(source) ? source : NULL;
    }
    return found == NULL ? "this is" : words[found->table];
}

const char *th_words_warmth(th_doc *doc, const th_stage *stage, th_units units) {
    double rise = stage->temperature - stage->part_temperature;
    bool inch = units == TH_INCH;

    return th_words_print(doc, "the part %s, %s %s more under the cutter",
                          th_words_quantity(doc, stage->part_temperature, TH_TEMPERATURE, units),
                          th_words_number(doc, (inch ? 1.8 : 1) * rise, 2), inch ? "F" : "K");
}

const char *th_words_answer(th_doc *doc, const th_check *check) {
    static const char *const verdicts[] = {"HOLDS", "UNPROVEN", "LETS GO"};
    char asked[48];
    print_factor(check->asked_factor, 6, asked, sizeof asked);
    const char *text =
        th_words_print(doc, "%s  hold factor %s, asked %s", verdicts[check->verdict],
                       th_words_factor(doc, check->hold_factor, check->asked_factor), asked);
    if (check->estimate) {
        text = th_words_print(doc, "%s (%s an estimate)", text, estimated(check));
    }
    return text;
}

/* ---- proof pull ------------------------------------------------------------------------------ */

/* "12 N (1.22 kgf)", or "2.7 lbf": as a hand scale reads. */
static const char *pull_of(th_doc *doc, double newton, th_units units) {
    const double newton_a_kgf = 9.80665;
    const char *force = th_words_quantity(doc, newton, TH_FORCE, units);
    return units == TH_INCH ? force
                            : th_words_print(doc, "%s (%s kgf)", force,
                                             th_words_number(doc, newton / newton_a_kgf, 3));
}

static double pull_size(const th_proof_pull *proof) {
    return sqrt(proof->force[0] * proof->force[0] + proof->force[1] * proof->force[1] +
                proof->force[2] * proof->force[2]);
}

static const char *no_proof(th_doc *doc, const th_proof_pull *proof, th_units units) {
    switch (proof->limit) {
    case TH_PROOF_BOWED:
        return "no safe pull: the bow alone asks over half of what the bond bears";
    case TH_PROOF_TABS:
        return "none: the tabs hold it, and they are not there before cutting";
    case TH_PROOF_USELESS:
        return th_words_print(doc,
                              "none is of use: the greatest safe one, %s, shows less than a fifth "
                              "of what the cut will ask (safe is half of what the bond bears, and "
                              "by hand %s at most)",
                              th_words_quantity(doc, pull_size(proof), TH_FORCE, units),
                              th_words_quantity(doc, TH_PROOF_MOST, TH_FORCE, units));
    default:
        return "no pull can prove it: the hold has no strength to prove";
    }
}

/* The force along each axis that it has a part in, with its direction in words. */
static const char *pull_text(th_doc *doc, const th_proof_pull *proof, th_units units) {
    static const char *const ways[3][2] = {
        {"to the left", "to the right"}, {"to the front", "to the back"}, {"down", "straight up"}};
    double size = pull_size(proof);
    const char *pull = "";
    int parts = 0;
    for (int i = 0; i < 3; i++) {
        if (fabs(proof->force[i]) > 1e-3 * size) {
            pull = th_words_print(doc, "%s%s%s %s", pull, parts > 0 ? " and " : "",
                                  pull_of(doc, fabs(proof->force[i]), units),
                                  ways[i][proof->force[i] > 0]);
            parts++;
        }
    }
    return pull;
}

const char *th_words_proof(th_doc *doc, const th_proof_pull *proof, th_units units) {
    if (!proof->possible || proof->limit == TH_PROOF_USELESS) {
        return no_proof(doc, proof, units);
    }
    const char *pull = th_words_print(doc, "pull %s at %s for 3 s", pull_text(doc, proof, units),
                                      th_words_place(doc, proof->at, units));
    if (proof->safe) {
        return th_words_print(doc, "before cutting %s; it must not move", pull);
    }
    const char *hand = proof->limit == TH_PROOF_HAND ? " (more is too much by hand)" : "";
    if (proof->covers >= 1) {
        return th_words_print(doc,
                              "%s before cutting%s: if it stays, the cut's load is proven with "
                              "%.0f %% to spare, not the 25 %% wanted",
                              pull, hand, floor(100 * proof->covers - 100));
    }
    if (proof->covers < 0.5) {
        return th_words_print(
            doc,
            "does not prove the cut: %s%s, and if it stays, %.0f %% of the cut's load is "
            "proven, the rest not",
            pull, hand, floor(100 * proof->covers));
    }
    return th_words_print(
        doc, "%s before cutting%s: if it stays, %.0f %% of the cut's load is proven, the rest not",
        pull, hand, floor(100 * proof->covers));
}

/* ---- turn-downs ------------------------------------------------------------------------------ */

const char *th_words_setting(th_doc *doc, const char *setting) {
    const char *quote = strpbrk(setting, " \t\"'") != NULL ? "\"" : "";
    return doc->screen ? setting : th_words_print(doc, "--set %s%s%s", quote, setting, quote);
}

static const char *with_instead(th_doc *doc, const char *line, const char *word,
                                const char *instead) {
    const char *text = "", *at;
    while ((at = strstr(line, word)) != NULL) {
        text = th_words_print(doc, "%s%.*s%s", text, (int)(at - line), line, instead);
        line = at + strlen(word);
    }
    return th_words_print(doc, "%s%s", text, line);
}

const char *th_words_advice(th_doc *doc, const char *line) {
    if (!doc->screen) {
        return line;
    }
    line = with_instead(doc, line, "`tackhold limits JOB' finds", "the limits have");
    return with_instead(doc, line, "--set ", "");
}

size_t th_words_changes(const th_turn_down *turn) {
    size_t changes = 1;

    for (const char *more = turn->change; (more = strstr(more, " + ")) != NULL; more += 3) {
        changes++;
    }
    return changes;
}

const char *th_words_slow(th_doc *doc, const th_check *check, const th_turn_down *turn) {
    double seconds = 60 * check->minutes * turn->time_ratio;

    return th_turn_down_slow(turn) && check->minutes > 0
               ? th_words_print(doc, "takes %s", th_words_quantity(doc, seconds, TH_TIME, TH_MM))
               : "";
}

const char *th_words_sways(th_doc *doc, const th_turn_down *turn, th_units units) {
    char text[48];

    th_quantity_print(turn->sway, TH_LENGTH, units, 2, text, sizeof text);
    return turn->sways ? th_words_print(doc, "sways %s", text) : "";
}

bool th_words_singles(const th_check *check) {
    for (size_t i = 0; i < check->turn_down_count; i++) {
        if (th_words_changes(&check->turn_downs[i]) == 1) {
            return true;
        }
    }
    return false;
}

const char *th_words_full_width(const th_check *check) {
    return check->full_width < check->asked_factor ? check->full_width_note : NULL;
}

/* In a table: two digits say enough, and the line is full. */
static const char *short_time(th_doc *doc, double minutes) {
    char text[48];
    th_quantity_print(60 * minutes, TH_TIME, TH_MM, 2, text, sizeof text);
    return th_words_print(doc, "%s", text);
}

const char *th_words_minutes(th_doc *doc, double minutes) {
    return th_words_quantity(doc, 60 * minutes, TH_TIME, TH_MM);
}

/* ---- table of cuts --------------------------------------------------------------------------- */

void th_words_cut_columns(th_doc *doc, th_units units) {
    const th_doc_column columns[TH_CUT_COLUMNS] = {
        {"cut", NULL, false, false},
        {"cutter", NULL, false, false},
        {"speed", "rpm", true, false},
        {"feed", th_words_unit(doc, 100, TH_FEED, units), true, false},
        {"chip load", th_words_unit(doc, 0.1, TH_CHIP_LOAD, units), true, false},
        {"surface", th_words_unit(doc, 100, TH_SURFACE_SPEED, units), true, false},
        {"time", NULL, true, false},
        {"hold", "factor", true, false},
    };
    th_doc_columns(doc, columns, TH_CUT_COLUMNS);
}

th_words_cut th_words_cut_of(const th_check *check, const th_cut *cut) {
    th_words_cut shown = {NULL, 0};
    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i], *worst = shown.stage;
        if (stage->cut != cut) {
            continue;
        }
        shown.minutes += stage->minutes;
        if (worst == NULL || (stage->counts && !worst->counts) ||
            (stage->counts == worst->counts && stage->hold_factor < worst->hold_factor)) {
            shown.stage = stage;
        }
    }
    return shown;
}

void th_words_cut_row(th_doc *doc, const th_words_cut *shown, double asked, th_units units) {
    const th_cut *cut = shown->stage->cut;
    bool push = cut->operation == TH_PUSH || cut->cutter == NULL;
    double diameter = push ? NAN : cut->cutter->row.diameter;
    const char *cells[TH_CUT_COLUMNS] = {
        th_words_print(doc, "%s %s", th_words_clip(doc, cut->section, 8),
                       th_operation_name((th_operation)cut->operation)),
        push ? "-" : th_words_clip(doc, cut->cutter_name, 12),
        push ? "-" : th_words_number(doc, cut->speed, 5),
        push ? "-" : th_words_bare(doc, cut->feed, TH_FEED, units),
        push ? "-" : th_words_bare(doc, cut->chip_load, TH_CHIP_LOAD, units),
        push ? "-"
             : th_words_bare(doc, TH_PI * diameter * cut->speed / 1000, TH_SURFACE_SPEED, units),
        push ? "-" : short_time(doc, shown->minutes),
        th_words_factor(doc, shown->stage->hold_factor, asked),
    };
    th_doc_row(doc, cells);
}

bool th_words_goes(const th_stage *stage) {
    bool offcut = stage->piece == TH_PIECE_FRAME || stage->piece == TH_PIECE_SLUG;

    return offcut && stage->hold_factor < 1;
}

const char *th_words_gone(th_doc *doc, const th_check *check, const th_cut *cut) {
    const char *text = "";

    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (stage->cut == cut && th_words_goes(stage)) {
            text = th_words_print(doc, "%s%sthe %s lets go (%s)", text, text[0] == '\0' ? "" : ", ",
                                  th_piece_name(stage->piece),
                                  th_words_factor(doc, stage->hold_factor, check->asked_factor));
        }
    }
    return text;
}
