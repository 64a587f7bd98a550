/* The answer in full: every stage, every factor, every source. */
#include "full.h"

#include <math.h>
#include <string.h>

#include "record.h"
#include "words.h"

typedef struct {
    th_doc *doc;
    const th_job *job;
    const th_check *check;
    th_units units;
} view;

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *n(const view *v, double value) {
    return th_words_number(v->doc, value, 3);
}

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->check->asked_factor);
}

/* Whether it is the change, or one of several. */
static bool is_change(const th_turn_down *turn, const char *name) {
    const char *next = turn->change;

    while (next != NULL) {
        const char *plus = strstr(next, " + ");
        size_t length = plus == NULL ? strlen(next) : (size_t)(plus - next);
        if (strlen(name) == length && strncmp(next, name, length) == 0) {
            return true;
        }
        next = plus == NULL ? NULL : plus + 3;
    }
    return false;
}

/* What a setting does not say by itself: which other cutter goes in. */
static const char *change_words(const th_turn_down *turn) {
    static const char *const cutters[][2] = {{"helix", "cutter with another helix: "},
                                             {"smaller cutter", "smaller cutter: "},
                                             {"fewer flutes", "cutter with fewer flutes: "},
                                             {"wear", "sharp cutter: "}};

    for (size_t i = 0; i < sizeof cutters / sizeof cutters[0]; i++) {
        if (is_change(turn, cutters[i][0])) {
            return cutters[i][1];
        }
    }
    return "";
}

/* One turn-down a line, settings last so that they can be copied whole; a second setting goes onto
 * a line of its own only where both do not fit. */
static void put_turn_down(th_doc *doc, const th_check *check, const th_turn_down *turn,
                          th_units units) {
    double asked = check->asked_factor;
    const char *slow = th_words_slow(doc, check, turn);
    const char *sways = th_words_sways(doc, turn, units);
    bool both = slow[0] != '\0' && sways[0] != '\0', none = slow[0] == '\0' && sways[0] == '\0';
    const char *change = th_words_print(doc, "%s%s%s%s%s", slow, both ? ", " : "", sways,
                                        none ? "" : ": ", change_words(turn));
    const size_t room = TH_TEXT_WIDTH - 13 - strlen(change);
    const char *numbers =
        th_words_print(doc, "%s  x %s", th_words_factor(doc, turn->hold_factor, asked),
                       th_words_number(doc, turn->time_ratio, 3));
    const char *line = "";

    for (size_t i = 0; i < turn->setting_count; i++) {
        const char *setting = th_words_setting(doc, turn->settings[i]);
        bool fits = strlen(line) + strlen(setting) + 1 <= room;
        if (line[0] != '\0' && !fits) {
            th_doc_line(doc, "%-12s %s%s", numbers, change, line);
            numbers = "with";
            change = line = "";
        }
        line = line[0] == '\0' ? setting : th_words_print(doc, "%s %s", line, setting);
    }
    th_doc_line(doc, "%-12s %s%s", numbers, change, line);
}

/* Whether a turn-down that is shown leaves a skin. */
static bool any_skin(const th_check *check, size_t shown) {
    for (size_t i = 0; i < shown && i < check->turn_down_count; i++) {
        for (size_t k = 0; k < check->turn_downs[i].setting_count; k++) {
            if (strstr(check->turn_downs[i].settings[k], ".skin=") != NULL) {
                return true;
            }
        }
    }
    return false;
}

void th_full_turn_downs(th_doc *doc, const th_check *check, th_full_turns turns) {
    const char *asked = th_words_factor(doc, check->asked_factor, check->asked_factor);
    size_t changes = check->turn_down_count > 0 ? th_words_changes(&check->turn_downs[0]) : 0;

    if (check->turn_down_count == 0) {
        th_doc_line(doc, "no single change tried reaches %s, nor two%s", asked,
                    check->best_step ? "; best step: factor, time, setting"
                                     : "; none gains anything");
    } else if (changes > 2) {
        th_doc_line(doc, "no one or two changes reach %s; these together do: %s", asked,
                    check->turn_downs[0].change);
    } else if (changes == 2 && th_words_singles(check)) {
        th_doc_line(doc, "two changes make it hold, or one that takes long or sways: factor, time, "
                         "setting");
    } else if (changes == 2) {
        th_doc_line(doc, "no single change reaches %s; the cheapest two that do: %s", asked,
                    check->turn_downs[0].change);
    } else {
        th_doc_line(doc, "%s", turns.title);
    }
    if (check->turn_down_count == 0 && check->best_step) {
        put_turn_down(doc, check, check->best_step, turns.units);
    }
    for (size_t i = 0; i < turns.shown && i < check->turn_down_count; i++) {
        put_turn_down(doc, check, &check->turn_downs[i], turns.units);
    }
    for (size_t i = 0; i < check->advice.count; i++) {
        const char *line = check->advice.items[i];
        if (line != check->skin_note || any_skin(check, turns.shown)) {
            th_doc_pair(doc, "note", "%s", th_words_advice(doc, line));
        }
    }
}

/* ---- one stage ------------------------------------------------------------------------------- */

static void put_forces(const view *v, const th_stage *s) {
    bool push = s->cut != NULL && s->cut->operation == TH_PUSH;
    const char *axes = push ? "x right, y back, z up" : "x along the feed, y left, z up";
    th_doc_pair(v->doc, "mean force", "%s, %s, %s (%s)", q(v, s->x_mean, TH_FORCE),
                q(v, s->y_mean, TH_FORCE), q(v, s->z_mean, TH_FORCE), axes);
    th_doc_pair(v->doc, "largest force", "in the plane %s, lift %s, torque %s; x %s at the peak",
                q(v, s->in_plane_peak, TH_FORCE), q(v, s->lift_peak, TH_FORCE),
                q(v, s->torque_peak, TH_TORQUE), n(v, s->peak_ratio));
    if (!push) {
        th_doc_pair(v->doc, "chip", "mean %s, largest %s", q(v, s->mean_chip, TH_LENGTH),
                    q(v, s->max_chip, TH_LENGTH));
        double volume = v->units == TH_INCH ? s->removal / (25.4 * 25.4 * 25.4) : s->removal / 1000;
        th_doc_pair(v->doc, "power", "%s at the cutter, %s %s removed", q(v, s->power, TH_POWER),
                    n(v, volume), v->units == TH_INCH ? "in3/min" : "cm3/min");
    }
}

/* What the flexible plate knows that the area model does not. */
static void put_bending(const view *v, const th_stage *s) {
    const char *cause, *text = th_words_bending(v->doc, v->job, s, &cause);
    if (text != NULL) {
        th_doc_pair(v->doc, cause, "%s", text);
    }
    if (s->unsettled > 0) {
        th_doc_pair(v->doc, "settled", "to %.0f %% on the finest grid", ceil(100 * s->unsettled));
    }
    if (s->standing_lift > 0) {
        th_doc_pair(v->doc, "standing lift", "%s of bowed stock held flat, part of every lift",
                    q(v, s->standing_lift, TH_PRESSURE));
    }
}

static void put_bond(const view *v, const th_stage *s) {
    th_doc_pair(v->doc, "bonded area", "%s (coverage counted)", q(v, s->bonded_area, TH_AREA));
    th_doc_pair(v->doc, "traction", "shear %s, lift %s; average shear %s",
                q(v, s->shear_peak, TH_PRESSURE), q(v, s->lift_peak_traction, TH_PRESSURE),
                q(v, s->average_shear, TH_PRESSURE));
    th_doc_pair(v->doc, "rigid plate", "shear %s, lift %s; hold factor %s",
                q(v, s->area_shear_peak, TH_PRESSURE), q(v, s->area_lift_peak, TH_PRESSURE),
                factor(v, s->area_hold_factor));
    put_bending(v, s);
    th_doc_pair(v->doc, "design strength", "shear %s, lift %s (%s)",
                q(v, s->design_shear, TH_PRESSURE), q(v, s->design_lift, TH_PRESSURE),
                s->interface == NULL ? "bond" : s->interface);
    const th_derating *d = &s->derating;
    th_doc_pair(v->doc, "factors",
                "temperature %s, cooling %s, preparation %s, adhesion %s, pressing %s, wait %s; "
                "sustained %s after %s",
                n(v, d->temperature), n(v, d->cooling), n(v, d->preparation), n(v, d->adhesion),
                n(v, d->pressing), n(v, d->wait), n(v, s->time_factor), q(v, s->held, TH_TIME));
    th_doc_pair(v->doc, "tape at", "%s: %s", q(v, s->temperature, TH_TEMPERATURE),
                th_words_warmth(v->doc, s, v->units));
    if (isfinite(s->sway) || isfinite(s->creep)) {
        th_doc_pair(v->doc, "moves", "sway %s, creep %s", q(v, s->sway, TH_LENGTH),
                    q(v, s->creep, TH_LENGTH));
    }
}

/* What cutter and spindle make of the stage, in words: the bond is what this is about. */
static void put_cutter(const view *v, const th_stage *s) {
    if (!isfinite(s->spindle_margin)) {
        return;
    }
    const char *torque =
        isfinite(s->torque_margin)
            ? th_words_print(v->doc, " and %s times the torque", n(v, s->torque_margin))
            : "";
    th_doc_pair(v->doc, "spindle", "has %s times the power that this takes%s",
                n(v, s->spindle_margin), torque);
    if (isfinite(s->deflection_margin)) {
        th_doc_pair(v->doc, "cutter",
                    "springs %s %% of its diameter, breaks at %s times the load; thickest chip %s "
                    "times the least that it cuts",
                    n(v, 1 / s->deflection_margin), n(v, s->breakage_margin), n(v, s->chip_margin));
    }
}

static void put_margins(const view *v, const th_stage *s) {
    th_doc_pair(v->doc, "hold factor", "%s: peak %s, sustained %s", factor(v, s->hold_factor),
                factor(v, s->peak_factor), factor(v, s->sustained_factor));
    const char *text = th_words_failure(v->doc, v->job, s);
    const char *cutter = th_words_place(v->doc, s->cutter_at, v->units);
    if (cutter[0] != '\0') {
        text = th_words_print(v->doc, "%s; cutter at %s", text, cutter);
    }
    if (isfinite(s->force_angle)) {
        text = th_words_print(v->doc, "%s, force towards %s", text, q(v, s->force_angle, TH_ANGLE));
    }
    th_doc_pair(v->doc, "weakest", "%s", text);
    put_cutter(v, s);
    if (isfinite(s->offcut_margin)) {
        th_doc_pair(v->doc, "offcuts", "hold factor %s, of frame and slugs the lowest",
                    factor(v, s->offcut_margin));
    }
}

static void put_stage(const view *v, const th_stage *s, size_t number) {
    const char *title =
        th_words_print(v->doc, "stage %zu: %s: %s%s%s", number, th_words_stage(v->doc, s),
                       th_words_piece(v->doc, v->job, s), th_words_goes(s) ? "; lets go" : "",
                       s->counts ? "" : "; does not enter the job's hold factor");
    th_doc_begin(v->doc, title);
    if (s->passes > 0) {
        th_doc_pair(v->doc, "passes", "%.0f, %s", s->passes, th_words_minutes(v->doc, s->minutes));
    }
    put_forces(v, s);
    put_bond(v, s);
    put_margins(v, s);
}

/* ---- the whole ------------------------------------------------------------------------------- */

static void put_cuts(const view *v) {
    th_doc_begin(v->doc, "cuts");
    th_words_cut_columns(v->doc, v->units);
    for (size_t i = 0; i < v->job->cut_count; i++) {
        th_words_cut shown = th_words_cut_of(v->check, &v->job->cuts[i]);
        if (shown.stage != NULL) {
            th_words_cut_row(v->doc, &shown, v->check->asked_factor, v->units);
        }
    }
    for (size_t i = 0; i < v->job->cut_count; i++) {
        const char *gone = th_words_gone(v->doc, v->check, &v->job->cuts[i]);
        if (gone[0] != '\0') {
            th_doc_line(v->doc, "%s: %s", v->job->cuts[i].section, gone);
        }
    }
    th_doc_line(v->doc, "cutting time %s in all", th_words_minutes(v->doc, v->check->minutes));
}

static void put_turns(const view *v) {
    if (!v->check->turn_downs_tried) {
        return;
    }
    th_doc_begin(v->doc, NULL);
    size_t count = v->check->turn_down_count;
    th_full_turns turns = {count == 1 ? TH_FULL_TURN : TH_FULL_TURNS, count, v->units};
    th_full_turn_downs(v->doc, v->check, turns);
}

static void put_order(const view *v) {
    const th_order *order = &v->check->order;
    if (order->cut == NULL) {
        return;
    }
    bool gains = order->moved_hold_factor > order->hold_factor;
    th_doc_pair(v->doc, "order",
                "%s frees the part early: hold factor %s; moved last "
                "%s%s",
                order->cut->section, factor(v, order->hold_factor),
                factor(v, order->moved_hold_factor), gains ? "" : ", which gains nothing");
}

/* ---- heights --------------------------------------------------------------------------------- */

/* A height from the bonded face, and the same from the top of the stock. */
static void put_height(const view *v, const char *what, double height) {
    const char *face = th_words_height(v->doc, height, v->units);
    const char *top = th_words_height(v->doc, height - v->check->heights.top, v->units);
    const char *cells[] = {what, th_words_print(v->doc, "%.*s", (int)strcspn(face, " "), face),
                           th_words_print(v->doc, "%.*s", (int)strcspn(top, " "), top)};
    if (isfinite(height)) {
        th_doc_row(v->doc, cells);
    }
}

static void put_heights(const view *v) {
    const th_heights *h = &v->check->heights;
    const char *unit = th_words_unit(v->doc, 1, TH_LENGTH, v->units);
    const th_doc_column columns[] = {{"Z of", NULL, false, false},
                                     {"from the bonded face", unit, true, false},
                                     {"from the top", unit, true, false}};
    th_doc_begin(v->doc, "heights");
    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    put_height(v, "top of the stock", h->top);
    put_height(v, "bonded face", 0);
    put_height(v, "top of the sacrificial plate", h->plate_top);
    put_height(v, "bottom of through cuts", h->through);
    put_height(v, "machine table", h->table);
    const char *left = th_words_height(v->doc, h->plate_left, v->units);
    th_doc_pair(v->doc, "tape and glue", "%s high", th_words_height(v->doc, h->stack, v->units));
    if (isfinite(h->through)) {
        th_doc_pair(v->doc, "into the plate", "%s by through cuts, %s left of it",
                    th_words_height(v->doc, h->into_plate, v->units), left);
    } else {
        th_doc_pair(v->doc, "into the plate", "none: no cut goes through its %s", left);
    }
}

static void put_list(const view *v, const char *title, const th_lines *lines) {
    if (lines->count == 0) {
        return;
    }
    th_doc_begin(v->doc, title);
    for (size_t i = 0; i < lines->count; i++) {
        th_doc_pair(v->doc, "-", "%s", lines->items[i]);
    }
}

static void put_sources(const view *v) {
    th_doc_begin(v->doc, "sources");
    for (size_t i = 0; i < v->check->source_count; i++) {
        const th_source *source = &v->check->sources[i];
        const char *row =
            th_words_print(v->doc, "%s.%s", th_table_name(source->table), source->row->id);
        th_doc_pair(v->doc, row, "%s: %s%s", th_trust_name((th_trust)source->row->trust),
                    source->row->source,
                    source->row->origin == TH_FROM_SHOP ? " (your own tables)" : "");
    }
    th_doc_line(v->doc, "%s", TH_WORDS_TRUST);
}

void th_full_report(const th_job *job, const th_check *check, th_doc *doc) {
    view v = {doc, job, check, (th_units)job->head.units};
    th_doc_begin(doc, NULL);
    th_doc_line(doc, "%s", th_words_answer(doc, check));
    if (check->heat_first) {
        th_doc_pair(doc, "caution", "%s", check->cautions.items[0]);
    }
    const char *wide = th_words_full_width(check);
    if (wide != NULL) {
        th_doc_pair(doc, "full width", "%s", wide);
    }
    if (job->head.title != NULL) {
        th_doc_line(doc, "%s", job->head.title);
    }
    put_cuts(&v);
    put_turns(&v);
    th_doc_begin(doc, NULL);
    th_doc_pair(doc, "proof pull", "%s", th_words_proof(doc, &check->proof, v.units));
    if (check->flips_if != NULL) {
        th_doc_pair(doc, "flips if", "%s", check->flips_if);
    }
    if (check->record != NULL) {
        th_doc_pair(doc, "own record", "%s (same tapes and glue, same kind of cooling)",
                    th_words_record(doc, check->record, check->asked_factor));
    }
    put_order(&v);
    const char *stops = th_words_stops(doc, job);
    if (stops != NULL) {
        th_doc_pair(doc, "stops", "%s", stops);
    }
    put_heights(&v);
    for (size_t i = 0; i < check->stage_count; i++) {
        put_stage(&v, &check->stages[i], i + 1);
    }
    put_list(&v, "assumed", &check->defaults);
    put_sources(&v);
    put_list(&v, "not checked", &check->not_checked);
    th_doc_begin(doc, "cautions");
    th_doc_pair(doc, "-", "%s", TH_WORDS_SAFETY);
    for (size_t i = 0; i < check->cautions.count; i++) {
        th_doc_pair(doc, "-", "%s", check->cautions.items[i]);
    }
}
