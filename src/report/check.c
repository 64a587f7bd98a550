/* The answer as text: the short form, made to fit one screen. */
#include <math.h>
#include <string.h>

#include "full.h"
#include "tackhold/report.h"
#include "words.h"

/* How much of each part is shown. The parts shrink one after the other until the text fits. */
typedef struct {
    bool airy;       /* blank lines between the parts */
    size_t cuts;     /* rows of the table of cuts */
    size_t turns;    /* turn-downs */
    size_t cautions; /* beside the one on safety */
    size_t defaults; /* named */
    size_t sources;  /* named */
    size_t longest;  /* characters of what may be cut short: trust, assumed, unchecked */
} plan;

typedef struct {
    const th_job *job;
    const th_check *check;
    th_units units;
    th_doc *doc;
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
    const char *text = th_words_print(v->doc, "%s: %s, %s", th_words_stage(v->doc, stage),
                                      stage->interface == NULL ? "bond" : stage->interface,
                                      th_words_way(stage->way));
    if (stage->hold_factor <= 0) {
        th_doc_pair(v->doc, "weakest", "%s", text);
        return;
    }
    const char *place = th_words_place(v->doc, stage->at, v->units);
    if (place[0] != '\0') {
        text = th_words_print(v->doc, "%s at %s", text, place);
    }
    const char *cutter = th_words_place(v->doc, stage->cutter_at, v->units);
    if (cutter[0] != '\0') {
        bool push = stage->cut != NULL && stage->cut->operation == TH_PUSH;
        text = th_words_print(v->doc, "%s, %s at %s", text, push ? "pushed" : "cutter", cutter);
    }
    if (stage->load == TH_SUSTAINED) {
        text = th_words_print(v->doc, "%s, sustained load (%s)", text,
                              th_words_quantity(v->doc, stage->held, TH_TIME, v->units));
    } else if (stage->hold_factor > 0) {
        text = th_words_print(v->doc, "%s, peak load", text);
    }
    th_doc_pair(v->doc, "weakest", "%s", text);
}

/* What the sum leaves out, when that is what governs. */
static const char *why_lower(const th_stage *s) {
    return s->hold_factor <= 0       ? ""
           : s->way == TH_LIFT       ? "; it lifts first"
           : s->way == TH_TWIST      ? "; it twists first"
           : s->load == TH_SUSTAINED ? "; it creeps first"
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

/* ---- cuts ------------------------------------------------------------------------------------ */

/* The stage shown for a cut: the worst that counts, else the worst. */
static const th_stage *stage_of_cut(const th_check *check, const th_cut *cut) {
    const th_stage *worst = NULL;
    for (size_t i = 0; i < check->stage_count; i++) {
        const th_stage *stage = &check->stages[i];
        if (stage->cut != cut || (worst != NULL && worst->counts && !stage->counts)) {
            continue;
        }
        bool better = worst != NULL && stage->counts && !worst->counts;
        if (worst == NULL || better || stage->hold_factor < worst->hold_factor) {
            worst = stage;
        }
    }
    return worst;
}

/* Whether a cut is among the `most` worst ones; earlier ones come first among equals. */
static bool among_worst(const view *v, size_t position, size_t most) {
    const th_stage *own = stage_of_cut(v->check, &v->job->cuts[position]);
    size_t worse = 0;
    for (size_t i = 0; i < v->job->cut_count && own != NULL; i++) {
        const th_stage *other = stage_of_cut(v->check, &v->job->cuts[i]);
        if (other == NULL || i == position) {
            continue;
        }
        if (other->hold_factor < own->hold_factor ||
            (!(other->hold_factor > own->hold_factor) && i < position)) {
            worse++;
        }
    }
    return own != NULL && worse < most;
}

static void put_cuts(const view *v, const plan *p) {
    part_begins(v, p);
    th_words_cut_columns(v->doc, v->units);
    size_t shown = 0, all = 0;
    for (size_t i = 0; i < v->job->cut_count; i++) {
        const th_stage *stage = stage_of_cut(v->check, &v->job->cuts[i]);
        all += stage != NULL;
        bool wanted = v->job->cut_count <= p->cuts || among_worst(v, i, p->cuts);
        if (stage != NULL && wanted) {
            th_words_cut_row(v->doc, stage, v->check, v->units);
            shown++;
        }
    }
    if (shown < all) {
        th_doc_line(v->doc, "the worst of %zu cuts; %zu more with --all, %s min in all", all,
                    all - shown, th_words_number(v->doc, v->check->minutes, 3));
    }
}

/* ---- what to turn down ----------------------------------------------------------------------- */

static void put_turn_downs(const view *v, const plan *p) {
    const th_check *check = v->check;
    if (!check->turn_downs_tried) {
        return;
    }
    part_begins(v, p);
    size_t shown = check->turn_down_count < p->turns ? check->turn_down_count : p->turns;
    const char *title = "turn down, any one: hold factor and cutting time with it";
    if (shown < check->turn_down_count) {
        title = th_words_print(v->doc, "%s (%zu more with --all)", title,
                               check->turn_down_count - shown);
    }
    th_full_turn_downs(v->doc, check, (th_full_turns){title, shown});
}

/* ---- the rest -------------------------------------------------------------------------------- */

/* Rows below `published`, weakest first. */
static const char *weak_rows(const view *v, const plan *p) {
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
            if (count++ < p->sources) {
                text = th_words_print(v->doc, "%s%s%s.%s: %s", text, count > 1 ? ", " : "",
                                      th_table_name(source->table), source->row->id,
                                      th_trust_name((th_trust)trust));
            }
        }
    }
    if (count > p->sources) {
        text = th_words_print(v->doc, "%s; %zu more with --all", text, count - p->sources);
    }
    return count == 0 ? "every row is measured or published" : text;
}

static void put_rest(const view *v, const plan *p) {
    const th_check *check = v->check;
    part_begins(v, p);
    th_doc_pair(v->doc, "proof pull", "%s", th_words_proof(v->doc, &check->proof, v->units));
    if (check->defaults.count > 0) {
        const char *text = th_words_list(v->doc, &check->defaults, p->defaults);
        th_doc_pair(v->doc, "assumed", "%s", th_words_clip(v->doc, text, p->longest));
    }
    th_doc_pair(v->doc, "trust", "%s", th_words_clip(v->doc, weak_rows(v, p), p->longest));
    const char *text = th_words_list(v->doc, &check->not_checked, check->not_checked.count);
    if (text[0] != '\0') {
        th_doc_pair(v->doc, "unchecked", "%s", th_words_clip(v->doc, text, p->longest));
    }
    if (check->flips_if != NULL) {
        th_doc_pair(v->doc, "flips if", "%s", check->flips_if);
    }
}

/* A caution is shown whole or not at all: cut short it may say the opposite. */
static void put_cautions(const view *v, const plan *p) {
    const th_lines *cautions = &v->check->cautions;
    size_t shown = cautions->count < p->cautions ? cautions->count : p->cautions;
    for (size_t i = 0; i < shown; i++) {
        const char *more = "";
        if (i + 1 == shown && shown < cautions->count) {
            more = th_words_print(v->doc, " (%zu more with --all)", cautions->count - shown);
        }
        th_doc_pair(v->doc, "caution", "%s%s", cautions->items[i], more);
    }
    th_doc_pair(v->doc, "safety", "%s", TH_WORDS_SAFETY);
}

/* ---- fitting --------------------------------------------------------------------------------- */

static void build(const view *v, const plan *p) {
    th_doc_line(v->doc, "%s", th_words_answer(v->doc, v->check));
    put_weakest(v);
    put_paper_sum(v);
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

/* One step less of what is missed least. False when nothing can go any more. */
static bool shrink(plan *p) {
    if (lower(&p->sources, 2) || lower(&p->defaults, 2) || lower(&p->cautions, 2) ||
        lower(&p->turns, 3)) {
        return true;
    }
    if (p->airy) {
        p->airy = false;
        return true;
    }
    if (p->longest > 67) {
        p->longest -= 67;
        return true;
    }
    return lower(&p->sources, 1) || lower(&p->cuts, 4) || lower(&p->cautions, 1) ||
           lower(&p->defaults, 0) || lower(&p->turns, 2) || lower(&p->cuts, 2) ||
           lower(&p->turns, 1) || lower(&p->cuts, 1);
}

static bool short_report(const th_job *job, const th_check *check, th_doc *doc, th_error *err) {
    plan p = {true, 20, 4, 4, 6, 6, 3 * 67};
    size_t lines;
    do {
        th_doc_free(doc);
        view v = {job, check, (th_units)job->head.units, doc};
        build(&v, &p);
        if (!lines_of(doc, &lines, err)) {
            return false;
        }
    } while (lines > TH_TEXT_LINES && shrink(&p));
    return true;
}

bool th_report_check(const th_job *job, const th_check *check, bool all, th_doc *doc,
                     th_error *err) {
    if (!all) {
        return short_report(job, check, doc, err);
    }
    th_full_report(job, check, doc);
    return !doc->failed || th_fail_memory(err);
}
