/* The answer as text: the short form, made to fit one screen. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "full.h"
#include "record.h"
#include "tackhold/report.h"
#include "utf8.h"
#include "words.h"

/* Characters of a text beside its label that stay on one line, wherever it may break. */
enum { LINE = 68, TWO_LINES = 2 * LINE, THREE_LINES = 3 * LINE };

/* Cautions shown at most, as many as fit. */
enum { CAUTIONS = 8 };

/* How much of each part is shown. The parts shrink one after the other until the text fits. */
typedef struct {
    bool airy;       /* blank lines between the parts */
    size_t cuts;     /* rows of the table of cuts */
    size_t turns;    /* turn-downs */
    size_t cautions; /* beside the one on safety */
    size_t longest;  /* characters of trust, assumed, unchecked: as many items as fit */
    bool bending;
    bool listed; /* trust, assumed, unchecked: by name, else their numbers alone */
    bool record; /* the shop's own; goes last, and says so */
    enum { FULL, TERSE, NO_SUM, NO_HEAT, NO_ASIDES } terse; /* each leaves out more; says so */
} plan;

typedef struct {
    const th_job *job;
    const th_check *check;
    th_units units;
    th_doc *doc;
    const th_words_cut *cuts;   /* of each cut of the job */
    const th_words_cut **worst; /* the same, the worst first, those without a stage last */
} view;

static void part_begins(const view *v, const plan *p) {
    if (p->airy) {
        th_doc_begin(v->doc, NULL);
    }
}

/* ---- answer ---------------------------------------------------------------------------------- */

static void put_weakest(const view *v) {
    const th_stage *stage = th_words_governing(v->check);
    if (stage == NULL) {
        return;
    }
    const char *text = th_words_print(v->doc, "%s: %s", th_words_stage(v->doc, stage),
                                      th_words_failure(v->doc, v->job, stage));
    if (stage->hold_factor <= 0) {
        th_doc_pair(v->doc, "weakest", "%s", text);
        return;
    }
    const char *cutter = th_words_place(v->doc, stage->cutter_at, v->units);
    if (cutter[0] != '\0') {
        bool push = stage->cut != NULL && stage->cut->operation == TH_PUSH;
        text = th_words_print(v->doc, "%s, %s at %s", text, push ? "pushed" : "cutter", cutter);
    }
    if (stage->load == TH_SUSTAINED) {
        text = th_words_print(v->doc, "%s, sustained load (%s)", text,
                              th_words_quantity(v->doc, stage->held, TH_TIME, v->units));
    }
    th_doc_pair(v->doc, "weakest", "%s", text);
}

static void put_full_width(const view *v) {
    const char *note = th_words_full_width(v->check);
    if (note != NULL) {
        th_doc_pair(v->doc, "full width", "%s", note);
    }
}

/* What the sum leaves out, when that is what governs. */
static const char *why_lower(const th_stage *s) {
    return s->hold_factor <= 0       ? ""
           : th_stage_by_tabs(s)     ? "; its tabs break first"
           : th_stage_by_frame(s)    ? "; the frame lets go first"
           : s->way == TH_LIFT       ? "; but it lifts before it slides"
           : s->way == TH_TWIST      ? "; but it twists off before it slides"
           : s->load == TH_SUSTAINED ? "; but it creeps before it slides"
                                     : "";
}

/* Bonded area x design strength against the peak force: the sum that can be done on paper. A cut
 * that only lifts (a drill breaking through) is summed as such. */
static void put_paper_sum(const view *v) {
    const th_stage *s = th_words_governing(v->check);
    if (s == NULL) {
        return;
    }
    bool lifts = !(s->in_plane_peak > 0) && s->lift_peak > 0;
    double rigid = lifts ? s->lift_peak : s->in_plane_peak;
    double strength = lifts ? s->design_lift : s->design_shear;
    const char *text =
        th_words_print(v->doc, "%s bonded x %s = %s against %s; peak force %s (%s x %s)%s",
                       th_words_quantity(v->doc, s->bonded_area, TH_AREA, v->units),
                       th_words_quantity(v->doc, strength, TH_PRESSURE, v->units),
                       th_words_quantity(v->doc, s->bonded_area * strength, TH_FORCE, v->units),
                       lifts ? "lifting" : "sliding",
                       th_words_quantity(v->doc, rigid * s->peak_ratio, TH_FORCE, v->units),
                       th_words_quantity(v->doc, rigid, TH_FORCE, v->units),
                       th_words_number(v->doc, s->peak_ratio, 3), lifts ? "" : why_lower(s));
    th_doc_pair(v->doc, "paper sum", "%s", text);
}

static void put_bending(const view *v) {
    const th_stage *stage = th_words_governing(v->check);
    const char *cause, *text = NULL;
    if (stage != NULL) {
        text = th_words_bending(v->doc, v->job, stage, &cause);
    }
    if (text != NULL) {
        th_doc_pair(v->doc, cause, "%s", text);
    }
}

static void put_asides(const view *v) {
    const th_stage *stage = th_words_governing(v->check);
    const char *bow = stage == NULL ? NULL : th_words_bow(v->doc, v->job, stage);
    if (bow != NULL) {
        th_doc_pair(v->doc, "bow", "%s", bow);
    }
    const char *stops = th_words_stops(v->doc, v->job);
    if (stops != NULL) {
        th_doc_pair(v->doc, "stops", "%s", stops);
    }
}

/* What the shop itself has seen of this hold. */
static void put_record(const view *v) {
    const th_check *check = v->check;
    if (check->record != NULL) {
        th_doc_pair(v->doc, "own record", "%s",
                    th_words_record(v->doc, check->record, check->asked_factor));
    }
}

/* When the tape gets warmest in a cut: "cut.2, after 9.6 min"; the cut alone where nobody followed
 * it. */
static const char *warmest_moment(const view *v, const th_cut *cut) {
    const th_warm_point *most = NULL;
    for (size_t i = 0; i < v->check->warm_count; i++) {
        const th_warm_point *point = &v->check->warm[i];
        if (point->cut == cut && (most == NULL || point->tape > most->tape)) {
            most = point;
        }
    }
    return most == NULL
               ? cut->section
               : th_words_print(v->doc, "%s, after %s", cut->section,
                                th_words_quantity(v->doc, most->seconds, TH_TIME, v->units));
}

/* Other cuts that get the tape warmer than the one that governs by so much are told too (K). */
#define WARMER_TOLD 3.0

static void put_warmer_cuts(const view *v, const th_stage *governing) {
    for (size_t i = 0; i < v->job->cut_count; i++) {
        const th_stage *s = v->cuts[i].stage;
        if (s == NULL || s->cut == governing->cut || !s->counts ||
            !(s->temperature > governing->temperature + WARMER_TOLD)) {
            continue;
        }
        th_doc_pair(v->doc, "heat", "%s in %s, where the hold factor is %s",
                    th_words_quantity(v->doc, s->temperature, TH_TEMPERATURE, v->units),
                    warmest_moment(v, s->cut),
                    th_words_factor(v->doc, s->hold_factor, v->check->asked_factor));
    }
}

/* What the verdict rests on where warmth decides it, and what else it may be. */
static void put_usual_heat(const view *v) {
    const th_usual_heat *usual = &v->check->usual_heat;
    if (!(usual->share > 0)) {
        return;
    }
    th_doc_pair(
        v->doc, "heat",
        "that takes %s %% of the power to warm the part, an upper value; with a usual %s %% "
        "(estimate) the tape gets %s warm, hold factor %s",
        th_words_number(v->doc, 100 * v->job->part.stock->heat_share, 2),
        th_words_number(v->doc, 100 * usual->share, 2),
        th_words_quantity(v->doc, usual->temperature, TH_TEMPERATURE, v->units),
        th_words_factor(v->doc, usual->hold_factor, v->check->asked_factor));
}

/* Warmth, where it takes strength from what governs. */
static void put_heat(const view *v, bool terse) {
    const th_stage *s = th_words_governing(v->check);
    if (s == NULL || !(s->derating.temperature < 0.98) ||
        !(s->hold_factor > 0 || s->way == TH_HEAT)) {
        return;
    }
    const char *left = th_words_print(v->doc, ": strength x %s",
                                      th_words_number(v->doc, s->derating.temperature, 2));
    const char *warmth =
        terse ? "" : th_words_print(v->doc, " (%s)", th_words_warmth(v->doc, s, v->units));
    const char *when = v->job->cut_count > 1 && s->cut->operation != TH_PUSH && !terse
                           ? th_words_print(v->doc, " in %s", warmest_moment(v, s->cut))
                           : "";
    th_doc_pair(v->doc, "heat", "the tape gets %s warm%s%s%s",
                th_words_quantity(v->doc, s->temperature, TH_TEMPERATURE, v->units), when, warmth,
                s->hold_factor > 0 ? left : "");
    if (!terse) {
        put_warmer_cuts(v, s);
    }
    put_usual_heat(v);
}

/* ---- cuts ------------------------------------------------------------------------------------ */

/* All in the order of the job, or where they are too many the worst, the worst first. */
static void put_cuts(const view *v, const plan *p) {
    part_begins(v, p);
    th_words_cut_columns(v->doc, v->units);
    bool all = v->job->cut_count <= p->cuts + 1;
    size_t count = 0, most = all ? v->job->cut_count : p->cuts;
    for (size_t i = 0; i < v->job->cut_count; i++) {
        count += v->cuts[i].stage != NULL;
    }
    for (size_t i = 0; i < most; i++) {
        const th_words_cut *cut = all ? &v->cuts[i] : v->worst[i];
        if (cut->stage != NULL) {
            th_words_cut_row(v->doc, cut, v->check->asked_factor, v->units);
        }
    }
    if (!all && most < count) {
        th_doc_line(v->doc, "the worst of %zu cuts; %zu more with --all, %s in all", count,
                    count - most, th_words_minutes(v->doc, v->check->minutes));
    }
}

/* ---- what to turn down ----------------------------------------------------------------------- */

/* Where nothing has to change but the time that it is left to set. */
static void put_waiting(const view *v) {
    for (size_t i = 0; i < v->check->turn_down_count; i++) {
        const th_turn_down *turn = &v->check->turn_downs[i];
        if (strcmp(turn->change, "wait") == 0) {
            th_doc_pair(v->doc, "waiting",
                        "cut %s after gluing instead of %s and it holds as it is (%s)",
                        turn->to_text, turn->from_text,
                        th_words_factor(v->doc, turn->hold_factor, v->check->asked_factor));
            return;
        }
    }
}

static void put_turn_downs(const view *v, const plan *p) {
    const th_check *check = v->check;
    if (!check->turn_downs_tried || v->doc->screen) {
        return;
    }
    part_begins(v, p);
    size_t shown = check->turn_down_count < p->turns ? check->turn_down_count : p->turns;
    const char *title = check->turn_down_count == 1 ? TH_FULL_TURN : TH_FULL_TURNS;
    if (shown < check->turn_down_count) {
        title = th_words_print(v->doc, "%s (%zu more with --all)", title,
                               check->turn_down_count - shown);
    }
    if (p->terse == FULL) {
        put_waiting(v);
    }
    th_full_turn_downs(v->doc, check, (th_full_turns){title, shown, v->units});
}

/* ---- heights --------------------------------------------------------------------------------- */

static bool only_pushes(const th_job *job) {
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].operation != TH_PUSH) {
            return false;
        }
    }
    return true;
}

/* With the work zero on top of the stock, as it mostly is. */
static void put_heights(const view *v) {
    const th_heights *h = &v->check->heights;
    const char *face = th_words_height(v->doc, -h->top, v->units);
    if (only_pushes(v->job)) {
        return;
    }
    if (!isfinite(h->through)) {
        th_doc_pair(v->doc, "Z from top", "bonded face %s, plate %s; no cut goes through", face,
                    th_words_height(v->doc, h->plate_top - h->top, v->units));
        return;
    }
    th_doc_pair(v->doc, "Z from top", "bonded face %s, through to %s, plate left %s", face,
                th_words_height(v->doc, h->through - h->top, v->units),
                th_words_height(v->doc, h->plate_left, v->units));
}

/* ---- the rest -------------------------------------------------------------------------------- */

/* More never fit. */
enum { LISTED_MOST = 16 };

/* As many items as fit, at least one. */
static const char *list_fitting(const view *v, const th_lines *lines, size_t longest) {
    size_t most = lines->count < LISTED_MOST ? lines->count : LISTED_MOST;
    const char *text = th_words_list(v->doc, lines, most);
    for (size_t n = most; n > 1 && th_utf8_width(text, strlen(text)) > longest; n--) {
        text = th_words_list(v->doc, lines, n - 1);
    }
    return th_words_clip(v->doc, text, longest);
}

/* Rows below `published`, weakest first, the first `most` of them named. */
static const char *weak_rows(const view *v, size_t most) {
    const th_check *check = v->check;
    const char *text = "";
    size_t count = 0;
    for (int trust = TH_ESTIMATE; trust >= TH_MEASURED; trust--) {
        if (!th_trust_weak((th_trust)trust)) {
            continue;
        }
        for (size_t i = 0; i < check->source_count; i++) {
            const th_source *source = &check->sources[i];
            if (source->row->trust != trust) {
                continue;
            }
            if (count++ < most) {
                text = th_words_print(v->doc, "%s%s%s.%s: %s", text, count > 1 ? ", " : "",
                                      th_table_name(source->table), source->row->id,
                                      th_trust_name((th_trust)trust));
            }
        }
    }
    if (count > most) {
        text = th_words_print(v->doc, "%s; %zu more with --all", text, count - most);
    }
    return count == 0 ? "every row is measured or published" : text;
}

static size_t count_weak(const th_check *check) {
    size_t count = 0;
    for (size_t i = 0; i < check->source_count; i++) {
        count += th_trust_weak((th_trust)check->sources[i].row->trust);
    }
    return count;
}

static const char *weak_rows_fitting(const view *v, size_t longest) {
    size_t most = v->check->source_count;
    const char *text = weak_rows(v, most);
    while (most > 1 && th_utf8_width(text, strlen(text)) > longest) {
        text = weak_rows(v, --most);
    }
    return th_words_clip(v->doc, text, longest);
}

static void put_lists(const view *v, const plan *p) {
    const th_check *check = v->check;
    if (check->defaults.count > 0) {
        th_doc_pair(v->doc, "assumed", "%s", list_fitting(v, &check->defaults, p->longest));
    }
    th_doc_pair(v->doc, "trust", "%s", weak_rows_fitting(v, p->longest));
    if (check->not_checked.count > 0) {
        th_doc_pair(v->doc, "unchecked", "%s", list_fitting(v, &check->not_checked, p->longest));
    }
}

static void put_rest(const view *v, const plan *p) {
    const th_check *check = v->check;
    part_begins(v, p);
    put_heights(v);
    th_doc_pair(v->doc, "proof pull", "%s", th_words_proof(v->doc, &check->proof, v->units));
    if (p->listed) {
        put_lists(v, p);
    } else if (!v->doc->screen) {
        static const char *const gone[] = {"", "", "paper sum; ", "paper sum, heat; ",
                                           "paper sum, heat, bow, stops; "};
        th_doc_pair(v->doc, "with --all",
                    "%s%s%zu assumed, %zu rows below published, %zu unchecked", gone[p->terse],
                    check->record != NULL && !p->record ? "own record; " : "",
                    check->defaults.count, count_weak(check), check->not_checked.count);
    }
    if (check->flips_if != NULL) {
        th_doc_pair(v->doc, "flips if", "%s", check->flips_if);
    }
}

/* Directly under the verdict, that does not know of it. */
static void put_heat_first(const view *v) {
    if (v->check->heat_first) {
        th_doc_pair(v->doc, "caution", "%s", v->check->cautions.items[0]);
    }
}

/* A caution is shown whole or not at all: cut short it may say the opposite. */
static void put_cautions(const view *v, const plan *p) {
    const th_lines *cautions = &v->check->cautions;
    const char *above = th_words_full_width(v->check);
    size_t first = v->check->heat_first ? 1 : 0, shown = 0;
    size_t all = cautions->count - first - (above != NULL);
    for (size_t i = first; i < cautions->count && shown < p->cautions; i++) {
        if (cautions->items[i] == above) {
            continue;
        }
        const char *more = ++shown == p->cautions && shown < all
                               ? th_words_print(v->doc, " (%zu more with --all)", all - shown)
                               : "";
        th_doc_pair(v->doc, "caution", "%s%s", cautions->items[i], more);
    }
    th_doc_pair(v->doc, "safety", "%s", TH_WORDS_SAFETY);
}

/* ---- fitting --------------------------------------------------------------------------------- */

static void build(const view *v, const plan *p) {
    th_doc_line(v->doc, "%s", th_words_answer(v->doc, v->check));
    put_heat_first(v);
    put_weakest(v);
    put_full_width(v);
    if (p->terse < NO_SUM) {
        put_paper_sum(v);
    }
    if (p->bending) {
        put_bending(v);
    }
    if (p->terse < NO_HEAT) {
        put_heat(v, p->terse >= TERSE);
    }
    if (p->terse < NO_ASIDES) {
        put_asides(v);
    }
    if (p->record) {
        put_record(v);
    }
    put_cuts(v, p);
    put_turn_downs(v, p);
    put_rest(v, p);
    put_cautions(v, p);
}

static bool lines_of(const th_doc *doc, size_t *lines, th_error *err) {
    th_text text = {0};
    bool done = th_doc_text(doc, &text, err);
    *lines = 0;
    for (size_t i = 0; done && i < text.size; i++) {
        *lines += text.data[i] == '\n';
    }
    th_text_free(&text);
    return done;
}

static bool lower(size_t *value, size_t least) {
    if (*value > least) {
        --*value;
        return true;
    }
    return false;
}

/* One step less of what is missed least. False when nothing can go any more: verdict, heights,
 * proof pull and two cautions always stay; heat, bow and stops go last and not unsaid. */
static bool shrink(plan *p) {
    if (p->longest > TWO_LINES) {
        p->longest = TWO_LINES;
    } else if (lower(&p->cautions, 2) || lower(&p->turns, 3)) {
        return true;
    } else if (p->airy) {
        p->airy = false;
    } else if (p->longest > LINE) {
        p->longest = LINE;
    } else if (lower(&p->cuts, 4) || lower(&p->turns, 2) || lower(&p->cuts, 2)) {
        return true;
    } else if (p->listed) {
        p->listed = false;
    } else if (p->bending) {
        p->bending = false;
    } else if (lower(&p->turns, 1) || lower(&p->cuts, 1)) {
        return true;
    } else if (p->terse < NO_ASIDES) {
        p->terse++;
    } else if (p->record) {
        p->record = false;
    } else {
        return false;
    }
    return true;
}

/* The worse first, of equals the earlier; cuts without a stage last. */
/* Of those that hold nothing the warmest is the one that the answer names. */
static int by_hold(const void *first, const void *second) {
    const th_words_cut *a = *(const th_words_cut *const *)first;
    const th_words_cut *b = *(const th_words_cut *const *)second;
    double x = a->stage != NULL ? a->stage->hold_factor : INFINITY;
    double y = b->stage != NULL ? b->stage->hold_factor : INFINITY;

    if (a->stage && b->stage && !(x > 0) && !(y > 0) &&
        a->stage->temperature != b->stage->temperature) {
        return a->stage->temperature > b->stage->temperature ? -1 : 1;
    }
    return x < y ? -1 : x > y ? 1 : a < b ? -1 : a > b;
}

static bool list_cuts(const th_job *job, const th_check *check, th_arena *arena, view *v) {
    th_words_cut *list = th_arena_take(arena, (job->cut_count + 1) * sizeof *list);
    const th_words_cut **worst = th_arena_take(arena, (job->cut_count + 1) * sizeof *worst);

    if (list == NULL || worst == NULL) {
        return false;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        list[i] = th_words_cut_of(check, &job->cuts[i]);
        worst[i] = &list[i];
    }
    if (job->cut_count > 1) {
        qsort(worst, job->cut_count, sizeof *worst, by_hold);
    }
    v->cuts = list;
    v->worst = worst;
    return true;
}

static bool screen_report(const th_job *job, const th_check *check, th_doc *doc, th_error *err) {
    const size_t every = (size_t)-1 / 2;
    const plan p = {true, every, 0, every, 0, true, false, false, FULL};
    th_arena arena = {0};
    view v = {.job = job, .check = check, .units = (th_units)job->head.units, .doc = doc};
    bool fine = list_cuts(job, check, &arena, &v) || th_fail_memory(err);

    if (fine) {
        build(&v, &p);
    }
    th_arena_free(&arena);
    return fine && (!doc->failed || th_fail_memory(err));
}

static bool short_report(const th_job *job, const th_check *check, th_doc *doc, th_error *err) {
    plan p = {true, 20, 5, CAUTIONS, THREE_LINES, true, true, check->record != NULL, FULL};
    th_arena arena = {0};
    view v = {.job = job, .check = check, .units = (th_units)job->head.units, .doc = doc};
    size_t lines = 0;
    bool fine = list_cuts(job, check, &arena, &v) || th_fail_memory(err);
    do {
        th_doc_free(doc);
        if (fine) {
            build(&v, &p);
            fine = lines_of(doc, &lines, err);
        }
    } while (fine && lines > TH_TEXT_LINES && shrink(&p));
    th_arena_free(&arena);
    return fine;
}

bool th_report_check(const th_job *job, const th_check *check, bool all, th_doc *doc,
                     th_error *err) {
    if (!all) {
        return doc->screen ? screen_report(job, check, doc, err)
                           : short_report(job, check, doc, err);
    }
    th_full_report(job, check, doc);
    return !doc->failed || th_fail_memory(err);
}
