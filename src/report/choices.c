/* Which tape and glue, as text and JSON. */
#include <math.h>
#include <string.h>

#include "tackhold/report.h"
#include "words.h"

/* Where the job states no limit none is overstepped. */
static bool sways_too_far(const th_job *job, const th_hold_choice *choice) {
    return choice->sway > job->head.sway_limit;
}

static const char *answer_of(th_doc *doc, const th_job *job, const th_hold_choice *choice) {
    const char *verdict =
        th_verdict_name(th_verdict_of(choice->hold_factor, job->head.asked_factor));

    if (!choice->usable) {
        return choice->why;
    }
    return sways_too_far(job, choice) ? th_words_print(doc, "%s, sways", verdict) : verdict;
}

static void put_choice(th_doc *doc, const th_job *job, const th_hold_choice *choice) {
    th_units units = job->head.units == TH_INCH ? TH_INCH : TH_MM;
    const char *cells[] = {
        choice->own ? "*" : "",
        choice->tape->head.id,
        choice->glue->head.id,
        choice->usable ? th_words_factor(doc, choice->hold_factor, job->head.asked_factor) : "",
        isfinite(choice->temperature)
            ? th_words_quantity(doc, choice->temperature, TH_TEMPERATURE, units)
            : "",
        choice->usable ? th_words_quantity(doc, choice->sway, TH_LENGTH, units) : "",
        answer_of(doc, job, choice)};

    th_doc_row(doc, cells);
}

static bool tape_seen(const th_hold_choices *choices, size_t before) {
    for (size_t i = 0; i < before; i++) {
        if (choices->items[i].tape == choices->items[before].tape) {
            return true;
        }
    }
    return false;
}

static void put_table(th_doc *doc, const th_job *job, const th_hold_choices *choices, bool all) {
    static const th_doc_column columns[] = {
        {"", NULL, false, false},          {"tape", NULL, false, false},
        {"glue", NULL, false, false},      {"hold", "factor", true, false},
        {"tape up to", NULL, true, false}, {"sways", NULL, true, false},
        {"answer", NULL, false, true},
    };

    th_doc_columns(doc, columns, sizeof columns / sizeof columns[0]);
    for (size_t i = 0; i < choices->count; i++) {
        const th_hold_choice *choice = &choices->items[i];
        if (all || choice->own || !tape_seen(choices, i)) {
            put_choice(doc, job, choice);
        }
    }
}

/* The best of them that sways no farther than it may; NULL: none holds at all. */
static const th_hold_choice *best_of(const th_job *job, const th_hold_choices *choices) {
    for (size_t i = 0; i < choices->count; i++) {
        const th_hold_choice *choice = &choices->items[i];
        if (choice->usable && choice->hold_factor > 0 && !sways_too_far(job, choice)) {
            return choice;
        }
    }
    return NULL;
}

/* How to take the best of them, where that is not the job's own hold. */
static void put_setting(th_doc *doc, const th_job *job, const th_hold_choices *choices) {
    const th_hold_choice *best = best_of(job, choices);
    bool below = job->hold.tape_below != NULL && job->hold.tape_below != job->hold.tape;

    if (best == NULL || best->own) {
        return;
    }
    th_doc_pair(doc, "to take", "%s %s%s%s",
                th_words_setting(doc, th_words_print(doc, "hold.tape=%s", best->tape->head.id)),
                th_words_setting(doc, th_words_print(doc, "hold.glue=%s", best->glue->head.id)),
                below ? " " : "", below ? th_words_setting(doc, "hold.tape_below=none") : "");
}

/* What the table does not say by itself. */
static void put_notes(th_doc *doc, const th_job *job, const th_hold_choices *choices) {
    const char *limit;
    bool sways = false;

    for (size_t i = 0; i < choices->count; i++) {
        sways = sways || (choices->items[i].usable && sways_too_far(job, &choices->items[i]));
    }
    if (sways) {
        limit = th_words_quantity(doc, job->head.sway_limit, TH_LENGTH, (th_units)job->head.units);
        th_doc_line(doc, "\"sways\": farther under the cut than job.sway_limit = %s", limit);
    } else if (isnan(job->head.sway_limit)) {
        th_doc_line(doc, "The softer the tape, the farther the part sways: job.sway_limit says how "
                         "far it may.");
    }
    if (job->hold.coolant->kind == TH_COOL_DRY) {
        th_doc_line(doc, "Judged dry. For coolant: %s",
                    th_words_setting(doc, "hold.cooling=flood"));
    }
}

bool th_report_choices(const th_job *job, const th_hold_choices *choices, bool all, th_doc *doc,
                       th_error *err) {
    th_units units = job->head.units == TH_INCH ? TH_INCH : TH_MM;

    th_doc_line(doc, "Tapes and glues for \"%s\", cooling %s, asked %s", job->head.title,
                job->hold.cooling_id, th_words_number(doc, job->head.asked_factor, 3));
    if (isfinite(choices->wait)) {
        th_doc_line(
            doc,
            "No other tape is needed: the bond is still growing. Wait %s instead of %s after "
            "gluing, and the job's own hold reaches %s.",
            th_words_quantity(doc, choices->wait, TH_TIME, units),
            th_words_quantity(doc, job->hold.wait, TH_TIME, units),
            th_words_factor(doc, choices->waited_factor, job->head.asked_factor));
    }
    th_doc_begin(doc, NULL);
    put_table(doc, job, choices, all);
    th_doc_begin(doc, NULL);
    put_setting(doc, job, choices);
    th_doc_line(doc, "%s",
                all ? "* the job's own hold"
                    : "* the job's own hold; the best glue for each tape, --all shows "
                      "every pair");
    put_notes(doc, job, choices);
    th_doc_line(doc, "%s", TH_WORDS_SAFETY);
    return !doc->failed || th_fail_memory(err);
}

bool th_report_choices_json(const th_job *job, const th_hold_choices *choices, th_text *text,
                            th_error *err) {
    th_json json = {.text = text};

    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "job", job->head.title);
    th_json_value(&json, "asked_factor", job->head.asked_factor);
    th_json_key(&json, "choices");
    th_json_array(&json);
    for (size_t i = 0; i < choices->count; i++) {
        const th_hold_choice *choice = &choices->items[i];
        th_json_object(&json);
        th_json_text(&json, "tape", choice->tape->head.id);
        th_json_text(&json, "glue", choice->glue->head.id);
        th_json_flag(&json, "usable", choice->usable);
        th_json_text(&json, "why", choice->why);
        th_json_value(&json, "hold_factor", choice->hold_factor);
        th_json_value(&json, "temperature_C", choice->temperature);
        th_json_value(&json, "sway_mm", choice->sway);
        th_json_flag(&json, "own", choice->own);
        th_json_end(&json);
    }
    th_json_end(&json);
    th_json_value(&json, "wait_s", choices->wait);
    th_json_value(&json, "waited_factor", choices->waited_factor);
    th_json_end(&json);
    th_text_put(text, "\n");
    return (!json.failed && !text->failed) || th_fail_memory(err);
}
