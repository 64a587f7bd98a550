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
    int length = vsnprintf(NULL, 0, format, list);
    va_end(list);
    char *text = length < 0 ? NULL : th_arena_take(&doc->arena, (size_t)length + 1);
    if (text != NULL) {
        vsnprintf(text, (size_t)length + 1, format, again);
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

const char *th_words_place(th_doc *doc, th_point at, th_units units) {
    if (!isfinite(at.x) || !isfinite(at.y)) {
        return "";
    }
    /* a place within rounding of the corner is the corner */
    double x = fabs(at.x) < 1e-6 ? 0 : at.x, y = fabs(at.y) < 1e-6 ? 0 : at.y;
    char across[48], along[48];
    th_quantity_print(x, TH_LENGTH, units, 4, across, sizeof across);
    th_quantity_print(y, TH_LENGTH, units, 4, along, sizeof along);
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
        return "too warm to hold";
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
    const char *text = th_words_print(doc, "%s %s", section, stage->name);
    bool main_piece = strcmp(stage->piece, "part") == 0 || strcmp(stage->piece, "stock") == 0;
    if (!main_piece || stage->copy > 1) {
        text = th_words_print(doc, "%s, %s %d", text, stage->piece, stage->copy);
    }
    return text;
}

const th_stage *th_words_governing(const th_check *check) {
    return check->governs < check->stage_count ? &check->stages[check->governs] : NULL;
}

/* ---- the answer ------------------------------------------------------------------------------ */

static bool weak_source(const th_source *source) {
    return th_trust_weak((th_trust)source->row->trust);
}

/* What is an estimate: the row that governs if it is weak, else the first weak one. */
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
        found = weak_source(&check->sources[i]) ? &check->sources[i] : NULL;
    }
    return found == NULL ? "this is" : words[found->table];
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

/* "12 N (1.22 kgf)", or "2.7 lbf (12 N)". */
static const char *pull_of(th_doc *doc, double newton, th_units units) {
    const double newton_a_kgf = 9.80665;
    const char *force = th_words_quantity(doc, newton, TH_FORCE, units);
    if (units == TH_INCH) {
        return th_words_print(doc, "%s (%s)", force,
                              th_words_quantity(doc, newton, TH_FORCE, TH_MM));
    }
    return th_words_print(doc, "%s (%s kgf)", force,
                          th_words_number(doc, newton / newton_a_kgf, 3));
}

const char *th_words_proof(th_doc *doc, const th_proof_pull *proof, th_units units) {
    static const char *const ways[3][2] = {
        {"to the left", "to the right"}, {"to the front", "to the back"}, {"down", "straight up"}};
    if (!proof->possible) {
        return "no pull can prove it: the hold has no strength to prove";
    }
    double size = sqrt(proof->force[0] * proof->force[0] + proof->force[1] * proof->force[1] +
                       proof->force[2] * proof->force[2]);
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
    const char *place = th_words_place(doc, proof->at, units);
    if (!proof->safe) {
        return th_words_print(doc,
                              "none is both safe and enough; at most %s at %s, half of what the "
                              "bond can bear, tells a bad bond from a good one only in part",
                              pull, place);
    }
    return th_words_print(doc, "before cutting pull %s at %s for 3 s; it must not move", pull,
                          place);
}

/* ---- turn-downs ------------------------------------------------------------------------------ */

const char *th_words_setting(th_doc *doc, const char *setting) {
    const char *quote = strpbrk(setting, " \t\"'") != NULL ? "\"" : "";
    return th_words_print(doc, "--set %s%s%s", quote, setting, quote);
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
        {"time", "min", true, false},
        {"hold", "factor", true, false},
    };
    th_doc_columns(doc, columns, TH_CUT_COLUMNS);
}

void th_words_cut_row(th_doc *doc, const th_stage *stage, const th_check *check, th_units units) {
    const th_cut *cut = stage->cut;
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
        push ? "-" : th_words_number(doc, stage->minutes, 2),
        th_words_factor(doc, stage->hold_factor, check->asked_factor),
    };
    th_doc_row(doc, cells);
}
