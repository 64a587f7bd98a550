/* read_report.c - what is said about a program: errors, warnings, readings, totals; the way out of
 * every move. */
#include "read.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Bytes of the printable character at p, 0 for what a terminal must not be sent. */
static size_t printable(const char *p, const char *end) {
    const unsigned char *b = (const unsigned char *)p;
    size_t length = 1;

    if (b[0] < 0x80) {
        return b[0] >= 0x20 && b[0] != 0x7F ? 1 : 0;
    }
    if (b[0] < 0xC2 || b[0] > 0xF4) {
        return 0;
    }
    length += b[0] >= 0xF0 ? 3U : b[0] >= 0xE0 ? 2U : 1U;
    if ((size_t)(end - p) < length || (b[0] == 0xC2 && b[1] < 0xA0)) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if ((b[i] & 0xC0) != 0x80) {
            return 0;
        }
    }
    return length;
}

const char *rs_echo(const char *from, const char *to, char *safe) {
    char *put = safe;
    int shown = 0;

    while (to > from && rs_blank(to[-1])) {
        to--;
    }
    while (from < to && shown < RS_ECHO) {
        size_t length = printable(from, to);
        if (length == 0) {
            *put++ = '?';
            from++;
        } else {
            memcpy(put, from, length);
            put += length;
            from += length;
        }
        shown++;
    }
    memcpy(put, from < to ? "..." : "", from < to ? 4 : 1);
    return safe;
}

bool rs_fail(reader *r, th_status code, const char *format, ...) {
    char message[sizeof r->err->message];
    va_list arguments;

    va_start(arguments, format);
    th_vprint(message, sizeof message, format, arguments);
    va_end(arguments);
    return th_fail_at(r->err, code, NULL, r->line, "%s", message);
}

/* Whether a warning of this kind and line is new and has room. */
static bool note_line(reader *r, warn_kind kind) {
    int kept = r->warned[kind];

    for (int i = 0; i < kept; i++) {
        if (r->warned_lines[kind][i] == r->line) {
            return false;
        }
    }
    if (kept == TH_PROGRAM_WARNINGS_MAX) {
        r->report->left_off++;
        return false;
    }
    r->warned_lines[kind][kept] = r->line;
    r->warned[kind]++;
    return true;
}

bool rs_warn(reader *r, warn_kind kind, bool doubt, const char *format, ...) {
    th_program_report *report = r->report;
    char message[sizeof r->err->message];
    va_list arguments;
    const char *text;

    report->doubts += doubt ? 1 : 0;
    if (!note_line(r, kind)) {
        return true;
    }
    if (report->warning_count == r->warning_capacity) {
        size_t capacity = r->warning_capacity ? 2 * r->warning_capacity : 16;
        th_program_warning *grown = realloc(report->warnings, capacity * sizeof *grown);
        if (!grown) {
            return th_fail_memory(r->err);
        }
        report->warnings = grown;
        r->warning_capacity = capacity;
    }
    va_start(arguments, format);
    th_vprint(message, sizeof message, format, arguments);
    va_end(arguments);
    text = th_arena_copy(&report->arena, message, strlen(message));
    if (!text) {
        return th_fail_memory(r->err);
    }
    report->warnings[report->warning_count++] = (th_program_warning){r->line, doubt, text};
    return true;
}

bool rs_reading(reader *r, const char *text) {
    for (size_t i = 0; i < r->reading_count; i++) {
        if (r->readings[i] == text) {
            return true;
        }
    }
    if (r->reading_count < READINGS_MAX) {
        r->readings[r->reading_count++] = text;
    }
    return th_lines_add(&r->report->readings, &r->report->arena, "%s", text) ||
           th_fail_memory(r->err);
}

static void widen(th_program_report *report, int axis, double value) {
    if (!(report->low[axis] <= value)) {
        report->low[axis] = value;
    }
    if (!(report->high[axis] >= value)) {
        report->high[axis] = value;
    }
}

/* Where an arc crosses a line through its centre along an axis it reaches farthest. */
static void widen_arc(th_program_report *report, const th_move *move) {
    int a = move->axes[0], b = move->axes[1];
    double x = move->from[a] - move->centre[0], y = move->from[b] - move->centre[1];
    double start = atan2(y, x), end = start + move->sweep;
    double first = ceil(fmin(start, end) / (TH_PI / 2)), last = fmax(start, end) / (TH_PI / 2);
    double radius =
        fmax(hypot(x, y), hypot(move->to[a] - move->centre[0], move->to[b] - move->centre[1]));

    for (int i = 0; i < 4 && first + i <= last; i++) {
        double quarter = fmod(first + i, 4);
        int side = (int)(quarter < 0 ? quarter + 4 : quarter);
        double reach = side < 2 ? radius : -radius;
        int axis = side % 2;
        widen(report, axis == 0 ? a : b, move->centre[axis] + reach);
    }
}

static double length_of(const th_move *move) {
    double d[3];

    for (int i = 0; i < 3; i++) {
        d[i] = move->to[i] - move->from[i];
    }
    if (move->kind == TH_MOVE_ARC) {
        double radius = hypot(move->from[move->axes[0]] - move->centre[0],
                              move->from[move->axes[1]] - move->centre[1]);
        return hypot(radius * move->sweep, d[move->axes[2]]);
    }
    return sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
}

static void count_feed(th_program_report *report, const th_move *move) {
    double length = length_of(move);

    report->feed_length += length;
    report->feed_seconds += length / move->feed * 60;
    for (int i = 0; i < 3; i++) {
        widen(report, i, move->from[i]);
        widen(report, i, move->to[i]);
    }
    if (move->kind == TH_MOVE_ARC) {
        widen_arc(report, move);
    }
}

bool rs_deliver(reader *r, const th_move *move) {
    th_program_report *report = r->report;

    report->moves[move->kind]++;
    if (move->kind == TH_MOVE_LINE || move->kind == TH_MOVE_ARC) {
        count_feed(report, move);
    } else if (move->kind == TH_MOVE_RAPID) {
        report->rapid_length += length_of(move);
    } else {
        report->dwell_seconds += move->seconds;
    }
    return r->sink(r->context, move, r->err) || th_fail_place(r->err, NULL, move->line);
}

/* A feed after a change of tool with no M3 between: most likely M3 stands before M6. */
static bool look_at_change(reader *r, const th_move *move) {
    int line = r->change_line;

    if (move->kind != TH_MOVE_LINE && move->kind != TH_MOVE_ARC) {
        return true;
    }
    r->m.fed_since = true;
    if (line == 0) {
        return true;
    }
    r->change_line = 0;
    return rs_warn(r, WARN_TOOL, false,
                   "a feed with the spindle stopped, by M6 in line %d: M3 belongs after M6", line);
}

bool rs_emit(reader *r, th_move *move) {
    bool hold = r->comp.entered && r->options->inward == TH_INWARD_CROSS;

    move->line = r->line;
    move->speed = r->m.spindle != 0 ? r->m.speed : 0;
    move->spindle = r->m.spindle;
    move->tool = r->m.tool;
    move->coolant = r->m.coolant;
    if (move->kind != TH_MOVE_DWELL && move->kind != TH_MOVE_STOP) {
        move->arrives = r->p.arrived;
        r->p.arrived = 0;
    }
    return look_at_change(r, move) && (hold ? rs_hold(r, move) : rs_deliver(r, move));
}
