/* What changed against the job before, and what each change alone does. */
#include <math.h>
#include <string.h>

#include "compare.h"
#include "json_parts.h"
#include "words.h"

/* Changes shown without `all`, and characters of a value in the table. */
enum { SHOWN = 8, VALUE = 20 };

typedef struct {
    const th_compared *jobs;
    const th_comparison *before;
    const th_check *check;
    bool all;
    th_doc *doc;
} view;

static const char *factor(const view *v, double value) {
    return th_words_factor(v->doc, value, v->check->asked_factor);
}

static const char *value_text(const view *v, const char *value) {
    return value[0] == '\0' ? "-" : v->all ? value : th_words_clip(v->doc, value, VALUE);
}

static void put_answers(const view *v) {
    const th_comparison *b = v->before;
    const th_stage *then = b->governs, *now = th_words_governing(v->check);
    const char *asked = th_words_factor(v->doc, b->asked_factor, b->asked_factor);

    th_doc_pair(v->doc, "before", "%s: %s, hold factor %s, asked %s", b->title,
                th_verdict_name(b->verdict),
                th_words_factor(v->doc, b->hold_factor, b->asked_factor), asked);
    th_doc_pair(v->doc, "weakest then", "%s: %s", th_words_stage(v->doc, then),
                th_words_failure(v->doc, v->jobs->before, then));
    asked = th_words_factor(v->doc, v->check->asked_factor, v->check->asked_factor);
    th_doc_pair(v->doc, "now", "%s, hold factor %s, asked %s", th_verdict_name(v->check->verdict),
                factor(v, v->check->hold_factor), asked);
    if (now != NULL) {
        th_doc_pair(v->doc, "weakest now", "%s: %s", th_words_stage(v->doc, now),
                    th_words_failure(v->doc, v->jobs->now, now));
    }
}

static void put_changes(const view *v, size_t shown) {
    const th_doc_column columns[] = {
        {"change", NULL, false, false},
        {"before", NULL, false, true},
        {"now", NULL, false, true},
        {"alone", NULL, true, false},
    };

    th_doc_columns(v->doc, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < shown; i++) {
        const th_difference *d = &v->before->items[i];
        const char *cells[] = {d->key, value_text(v, d->from), value_text(v, d->to),
                               d->follows              ? "follows"
                               : isnan(d->hold_factor) ? "not judged"
                                                       : factor(v, d->hold_factor)};
        th_doc_row(v->doc, cells);
    }
}

/* Why a change was not judged; a long message says it in its last words no better. */
static void put_reasons(const view *v) {
    for (size_t i = 0; i < v->before->count && v->all; i++) {
        const th_difference *d = &v->before->items[i];
        if (d->why_not != NULL) {
            th_doc_pair(v->doc, "not judged", "%s: %s", d->key, d->why_not);
        }
    }
}

static const char *times(const view *v, double ratio) {
    return th_words_print(v->doc, "x %s", th_words_number(v->doc, ratio, 3));
}

static void put_sum(const view *v) {
    const th_comparison *b = v->before;
    bool told = isfinite(b->all) && isfinite(b->each);

    if (b->all == 0) {
        th_doc_pair(v->doc, "together", "x 0: nothing of the hold is left");
    } else if (told && isfinite(b->interaction) && fabs(b->interaction - 1) < 0.005) {
        th_doc_pair(v->doc, "together", "%s%s", times(v, b->all),
                    b->judged > 1 ? ", what they do one by one: no interaction" : "");
    } else if (told && isfinite(b->interaction)) {
        th_doc_pair(v->doc, "together", "%s; one by one they make %s, the rest, %s, is interaction",
                    times(v, b->all), times(v, b->each), times(v, b->interaction));
    } else if (told) {
        th_doc_pair(v->doc, "together",
                    "%s; those judged make %s one by one, the rest is the others and interaction",
                    times(v, b->all), times(v, b->each));
    } else if (isfinite(b->all)) {
        th_doc_pair(v->doc, "together", "%s", times(v, b->all));
    } else {
        th_doc_pair(v->doc, "together", "no ratio: nothing held before");
    }
}

/* What is known of those not shown, of which `follow` follow from others. */
static const char *kind_of_rest(size_t rest, size_t follow) {
    return follow == 0     ? ""
           : follow < rest ? follow == 1 ? ", one of them follows from another"
                                         : ", some of them follow from others"
           : rest == 1     ? ", which follows from these"
                           : ", which follow from these";
}

static void build(const view *v) {
    size_t count = v->before->count, own = 0;
    size_t most;

    while (own < count && !v->before->items[own].follows) {
        own++;
    }
    most = v->all ? count : own < SHOWN ? own : SHOWN;
    put_answers(v);
    if (count == 0) {
        th_doc_line(v->doc, "no value differs that the answer depends on");
        return;
    }
    th_doc_begin(v->doc, NULL);
    if (most > 0) {
        th_doc_line(v->doc, "last column: hold factor of the job before with that change and no "
                            "other");
        put_changes(v, most);
    }
    if (most < count) {
        th_doc_line(v->doc, "with --all: %zu more%s", count - most,
                    kind_of_rest(count - most, count - own));
    }
    put_reasons(v);
    if (own > 0) {
        put_sum(v);
    }
}

bool th_report_before(const th_compared *jobs, const th_check *check, bool all, th_doc *doc,
                      th_error *err) {
    view v = {jobs, check->before, check, all, doc};

    doc->title = "before and after";
    if (check->before == NULL) {
        th_doc_pair(doc, "before", "cannot be judged, so nothing is compared: %s",
                    check->before_refused);
    } else {
        build(&v);
    }
    return !doc->failed || th_fail_memory(err);
}

/* ---- JSON ------------------------------------------------------------------------------------ */

static void put_governs(th_json *json, const th_stage *stage) {
    th_json_key(json, "governs");
    th_json_object(json);
    th_json_text(json, "cut", stage->cut == NULL ? NULL : stage->cut->section);
    th_json_text(json, "name", stage->name);
    th_json_text(json, "offcut", th_piece_name(stage->piece));
    th_weakest_json(json, stage);
    th_json_end(json);
}

static void put_difference(th_json *json, const th_difference *d) {
    th_json_object(json);
    th_json_text(json, "key", d->key);
    th_texts_json(json, "set", d->settings, d->setting_count);
    th_json_text(json, "from", d->from[0] == '\0' ? NULL : d->from);
    th_json_text(json, "to", d->to[0] == '\0' ? NULL : d->to);
    th_json_flag(json, "follows", d->follows);
    th_json_value(json, "hold_factor_alone", d->hold_factor);
    th_json_text(json, "not_alone", d->why_not);
    th_json_end(json);
}

void th_before_json(th_json *json, const th_comparison *before) {
    th_json_key(json, "before");
    if (before == NULL) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_text(json, "job", before->title);
    th_json_value(json, "hold_factor", before->hold_factor);
    th_json_value(json, "asked_factor", before->asked_factor);
    th_json_text(json, "verdict", th_verdict_name(before->verdict));
    put_governs(json, before->governs);
    th_json_key(json, "changes");
    th_json_array(json);
    for (size_t i = 0; i < before->count; i++) {
        put_difference(json, &before->items[i]);
    }
    th_json_end(json);
    th_json_value(json, "all_ratio", before->all);
    th_json_value(json, "each_ratio", before->each);
    th_json_value(json, "interaction", before->interaction);
    th_json_end(json);
}
