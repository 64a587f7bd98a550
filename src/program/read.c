/* read.c - reads an RS-274 program line by line. */
#include "read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_NUMBER_DIGITS = 9, CALLS_LEAST = 1, CALLS_MOST = 100 };

th_program_options th_program_defaults(void) {
    th_program_options options = {.units = TH_MM, .blocks_max = 50000000, .calls_max = 20};

    for (int a = 0; a < 3; a++) {
        options.start[a] = options.home[0][a] = options.home[1][a] = options.machine_zero[a] = NAN;
        for (int i = 0; i < TH_PROGRAM_SYSTEMS; i++) {
            options.systems[i][a] = NAN;
        }
    }
    return options;
}

void th_program_report_free(th_program_report *report) {
    if (report) {
        free(report->warnings);
        th_arena_free(&report->arena);
        *report = (th_program_report){0};
    }
}

/* ---- a line ---- */

/* % begins and ends a program that is sent as a tape; nothing behind it belongs to it. */
static bool read_percent(reader *r, const char *p) {
    const char *rest;
    bool first = !r->worked && !r->framed;

    if (!rs_read_nothing(r, p + 1)) {
        return false;
    }
    if (first) {
        r->framed = true;
        return true;
    }
    r->done = true;
    for (rest = r->next; rest < r->end && (rs_blank(*rest) || *rest == '\n'); rest++) {
    }
    return rest == r->end ||
           rs_warn(r, WARN_AFTER_END, !r->framed, "what follows this %% is not read%s",
                   r->framed ? "" : ": the program has no % on its first line");
}

static bool check_number(reader *r, const char *number) {
    int digits = 0;

    for (const char *p = number + 1; p < r->line_end && (rs_digit(*p) || rs_blank(*p)); p++) {
        digits += rs_digit(*p);
    }
    if (digits == 0 || digits > LINE_NUMBER_DIGITS) {
        char read[RS_ECHO_ROOM];
        return rs_fail(r, TH_BAD_SYNTAX, "\"%s\": a line number has 1 to %d digits",
                       rs_echo(number, r->line_end, read), LINE_NUMBER_DIGITS);
    }
    return true;
}

static bool run_words(reader *r, const char *p) {
    char first = rs_lower(*p);

    if (first == '%') {
        return read_percent(r, p);
    }
    if (first == 'o' || first == ':') {
        return rs_run_o_line(r, p);
    }
    if (!rs_read_line(r, p)) {
        return false;
    }
    r->worked = r->worked || (first != '(' && first != ';');
    return rs_run_block(r);
}

bool rs_count(reader *r) {
    if (++r->report->blocks <= r->options->blocks_max) {
        return true;
    }
    return rs_fail(r, TH_BAD_RANGE,
                   "more than %lld lines are executed: a loop without end, or one too long",
                   r->options->blocks_max);
}

static bool run_line(reader *r) {
    const char *newline = memchr(r->next, '\n', (size_t)(r->end - r->next)), *number, *p;
    bool deleted;

    r->line_start = r->next;
    r->line_end = newline ? newline : r->end;
    r->line = r->next_line;
    r->next = newline ? newline + 1 : r->end;
    r->next_line++;
    r->report->lines = r->line > r->report->lines ? r->line : r->report->lines;
    if (!rs_count(r)) {
        return false;
    }
    if (r->line_end - r->line_start > LINE_USUAL &&
        !rs_warn(r, WARN_LONG_LINE, false,
                 "the line has more than %d characters: machines may cut it "
                 "off",
                 LINE_USUAL)) {
        return false;
    }
    p = rs_line_words(r->line_start, r->line_end, &deleted, &number);
    if (number && !check_number(r, number)) {
        return false;
    }
    if (deleted &&
        !rs_reading(r, r->options->block_delete ? "lines that begin with / are left out"
                                                : "lines that begin with / are executed")) {
        return false;
    }
    return (deleted && r->options->block_delete) || p == r->line_end || run_words(r, p);
}

/* ---- a program ---- */

static bool check_text(reader *r, size_t size) {
    const char *odd;

    if (size > TH_PROGRAM_SIZE_MAX) {
        return th_fail(r->err, TH_BAD_RANGE, "a program of more than 1 GB");
    }
    size = (size_t)(r->end - r->text);
    odd = memchr(r->text, '\r', size);
    if (odd && !memchr(r->text, '\n', size) && odd + 1 < r->end) {
        return th_fail(r->err, TH_BAD_SYNTAX,
                       "the lines end with CR alone: save the program with line "
                       "ends of LF or CR LF");
    }
    return true;
}

static bool check_options(reader *r) {
    const th_program_options *o = r->options;

    if ((o->units != TH_MM && o->units != TH_INCH) ||
        (o->inward != TH_INWARD_CROSS && o->inward != TH_INWARD_REFUSE) || o->blocks_max < 1 ||
        o->calls_max < CALLS_LEAST || o->calls_max > CALLS_MOST ||
        (o->tool_count > 0 && !o->tools)) {
        return th_fail(r->err, TH_BAD_VALUE,
                       "options of the reader: units mm or inch, inward corners crossed or "
                       "refused, at least 1 line, %d to %d calls",
                       CALLS_LEAST, CALLS_MOST);
    }
    return true;
}

static bool start(reader *r) {
    r->parameters = calloc(PARAMETERS, sizeof *r->parameters);
    r->parameter_set = calloc(PARAMETERS, sizeof *r->parameter_set);
    r->frames = malloc((size_t)r->options->calls_max * sizeof *r->frames);
    if (!r->parameters || !r->parameter_set || !r->frames) {
        return th_fail_memory(r->err);
    }
    r->parameter_set[0] = true; /* #0 is always 0 */
    r->next = r->text;
    r->next_line = 1;
    if (r->end - r->text >= 3 && memcmp(r->text, "\xEF\xBB\xBF", 3) == 0) {
        r->text += 3;
        r->next = r->text;
    }
    r->m = (modes){.motion = 800,
                   .axes = {0, 1, 2},
                   .feed_mode = 94,
                   .next_tool = -1,
                   .inch = r->options->units == TH_INCH,
                   .arc_absolute = r->options->arc_centre_absolute};
    for (int a = 0; a < 3; a++) {
        r->report->low[a] = r->report->high[a] = NAN;
    }
    rs_start_places(r);
    return rs_find_labels(r);
}

/* A tool may be chosen ahead of its change; with feeds after it and no change M6 may be missing. */
static bool say_waiting_tool(reader *r) {
    const modes *m = &r->m;

    return m->next_tool <= 0 || m->next_tool == m->tool || !m->fed_since ||
           rs_warn(r, WARN_TOOL, false,
                   "T%d in line %d is never put into the spindle, as no M6 follows: the feeds after "
                   "it are taken for those of %s",
                   m->next_tool, m->tool_line,
                   m->tool > 0 ? "the tool before" : "what is in the spindle at the start");
}

static bool finish(reader *r) {
    if (!rs_release(r) || !rs_say_corners(r) || !say_waiting_tool(r)) {
        return false;
    }
    if (r->done) {
        return true;
    }
    if (r->depth > 0) {
        return rs_fail(r, TH_MISSING, "the text ends inside a subprogram: %s is missing",
                       r->frames[r->depth - 1].by_m98 ? "M99" : "endsub");
    }
    if (r->loop_count > 0) {
        return rs_fail(r, TH_MISSING, "the text ends inside a loop");
    }
    return rs_warn(r, WARN_NO_END, false, "the text ends without M2 or M30");
}

static bool run(reader *r, size_t size) {
    if (!check_options(r) || !check_text(r, size) || !start(r)) {
        return false;
    }
    while (!r->done && r->next < r->end) {
        if (!run_line(r)) {
            return th_fail_place(r->err, NULL, r->line);
        }
    }
    return finish(r);
}

static void release(reader *r) {
    free(r->parameters);
    free(r->parameter_set);
    free(r->frames);
    free(r->names);
    free(r->o.items);
    free(r->o.by_name);
    free(r);
}

bool th_program_read(const char *text, size_t size, const th_program_options *options,
                     th_move_sink sink, void *context, th_program_report *report, th_error *err) {
    reader *r = calloc(1, sizeof *r);
    bool done;

    *report = (th_program_report){0};
    if (!r) {
        return th_fail_memory(err);
    }
    r->text = text ? text : "";
    r->end = r->text + (text ? size : 0);
    r->options = options;
    r->sink = sink;
    r->context = context;
    r->report = report;
    r->err = err;
    done = run(r, size);
    release(r);
    return done;
}
