/* Which tape and glue, as text and JSON. */
#include <math.h>
#include <string.h>

#include "tackhold/report.h"
#include "words.h"

static bool sways_too_far(const th_job *job, const th_hold_choice *choice) {
    return choice->sway > th_sway_limit(job);
}

static bool holds(const th_job *job, const th_hold_choice *choice) {
    return choice->usable && th_verdict_of(choice->hold_factor, job->head.asked_factor) == TH_HOLDS;
}

/* Outlines out of a sheet and levels of pockets begin as wide as the cutter. */
static bool begins_too_wide(const th_job *job, const th_hold_choice *choice) {
    return choice->full_width < job->head.asked_factor;
}

static const char *answer_of(th_doc *doc, const th_job *job, const th_hold_choice *choice) {
    const char *verdict =
        th_verdict_name(th_verdict_of(choice->hold_factor, job->head.asked_factor));

    if (!choice->usable) {
        return choice->why;
    }
    if (begins_too_wide(job, choice)) {
        verdict = th_words_print(doc, "%s, %s at full width", verdict,
                                 th_words_factor(doc, choice->full_width, job->head.asked_factor));
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

/* Of those that hold the best that does so at full width and sways no farther than it may, or else
 * one that holds at full width, or else the best; of none that holds NULL. */
static const th_hold_choice *best_of(const th_job *job, const th_hold_choices *choices) {
    const th_hold_choice *best = NULL;

    for (size_t i = 0; i < choices->count; i++) {
        const th_hold_choice *choice = &choices->items[i];
        bool wide = holds(job, choice) && !begins_too_wide(job, choice);
        if (wide && !sways_too_far(job, choice)) {
            return choice;
        }
        if (holds(job, choice) && (best == NULL || (wide && begins_too_wide(job, best)))) {
            best = choice;
        }
    }
    return best;
}

static const char *settings_of(th_doc *doc, const th_job *job, const th_hold_choice *choice) {
    bool below = job->hold.tape_below != NULL && job->hold.tape_below != job->hold.tape;

    return th_words_print(
        doc, "%s %s%s%s",
        th_words_setting(doc, th_words_print(doc, "hold.tape=%s", choice->tape->head.id)),
        th_words_setting(doc, th_words_print(doc, "hold.glue=%s", choice->glue->head.id)),
        below ? " " : "", below ? th_words_setting(doc, "hold.tape_below=none") : "");
}

/* What comes nearest is no tape to take. */
static void put_nearest(th_doc *doc, const th_job *job, const th_hold_choices *choices) {
    const th_hold_choice *nearest = choices->count > 0 ? &choices->items[0] : NULL;
    const char *own = "the job's own hold";

    if (nearest == NULL || !nearest->usable || !(nearest->hold_factor > 0)) {
        th_doc_pair(doc, "none holds", "check says what to turn down");
        return;
    }
    th_doc_pair(doc, "none holds",
                "nearest %s, hold factor %s of %s; lighter cuts first: check "
                "says what to turn down",
                nearest->own ? own : settings_of(doc, job, nearest),
                th_words_factor(doc, nearest->hold_factor, job->head.asked_factor),
                th_words_number(doc, job->head.asked_factor, 3));
}

/* How to take the best of them, where that is not the job's own hold. */
static void put_setting(th_doc *doc, const th_job *job, const th_hold_choices *choices) {
    const th_hold_choice *best = best_of(job, choices);

    if (best == NULL) {
        put_nearest(doc, job, choices);
        return;
    }
    if (!best->own) {
        th_doc_pair(doc, "to take", "%s", settings_of(doc, job, best));
    }
    if (begins_too_wide(job, best)) {
        th_doc_pair(doc, "but",
                    "as wide as its cutter, as a first lap out of a sheet and the first strip of a "
                    "pocket's level are, it holds %s: check says what to turn down",
                    th_words_factor(doc, best->full_width, job->head.asked_factor));
    }
    if (sways_too_far(job, best)) {
        th_doc_pair(doc, "but", "none that holds sways less than it should: %s sways %s",
                    best->own ? "the job's own" : "this one",
                    th_words_quantity(doc, best->sway, TH_LENGTH, (th_units)job->head.units));
    }
}

/* What the table does not say by itself. */
static void put_notes(th_doc *doc, const th_job *job, const th_hold_choices *choices) {
    const char *limit =
        th_words_quantity(doc, th_sway_limit(job), TH_LENGTH, (th_units)job->head.units);
    bool sways = false, stated = !isnan(job->head.sway_limit);

    for (size_t i = 0; i < choices->count; i++) {
        sways = sways || (choices->items[i].usable && sways_too_far(job, &choices->items[i]));
    }
    if (sways && stated) {
        th_doc_line(doc, "\"sways\": farther under the cut than job.sway_limit = %s", limit);
    } else if (sways) {
        th_doc_line(doc,
                    "\"sways\": farther under the cut than %s (practice; job.sway_limit sets "
                    "another)",
                    limit);
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
        th_json_value(&json, "full_width_hold_factor", choice->full_width);
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
