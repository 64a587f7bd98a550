/* read_call.c - subprograms: O-word sub and call, M98 and M99. */
#include "read.h"

#include <stdio.h>
#include <string.h>

static bool push(reader *r, const frame *call) {
    if (r->depth == r->options->calls_max) {
        return rs_fail(r, TH_BAD_RANGE, "calls inside each other: at most %d",
                       r->options->calls_max);
    }
    r->frames[r->depth] = *call;
    r->frames[r->depth].loops = r->loop_count;
    memcpy(r->frames[r->depth].locals, r->parameters + 1, sizeof call->locals);
    memcpy(r->frames[r->depth].locals_set, r->parameter_set + 1, sizeof call->locals_set);
    r->depth++;
    return true;
}

/* Up to 30 values in brackets, for #1 to #30. Those not given are 0. */
static bool read_arguments(reader *r, const char *p, double *values) {
    int count = 0;

    memset(values, 0, LOCALS * sizeof *values);
    for (p = rs_skip(p, r->line_end); p < r->line_end && *p == '['; p = rs_skip(p, r->line_end)) {
        if (count == LOCALS) {
            return rs_fail(r, TH_BAD_RANGE, "a call takes at most %d values", LOCALS);
        }
        if (!rs_read_bracket(r, &p, 0, &values[count++])) {
            return false;
        }
    }
    return rs_read_nothing(r, p);
}

bool rs_call(reader *r, size_t index) {
    const o_line *o = &r->o.items[index];
    size_t at = o->sub;
    double values[LOCALS];
    char name[RS_ECHO_ROOM];

    if (at == r->o.count) {
        return rs_fail(r, TH_MISSING,
                       "O%s sub is not in this file: subprograms of other files are not read",
                       rs_echo(o->name, o->name + o->name_length, name));
    }
    if (!read_arguments(r, o->after, values) ||
        !push(r, &(frame){.back = r->next, .back_line = r->next_line})) {
        return false;
    }
    for (int i = 0; i < LOCALS; i++) {
        r->parameters[i + 1] = values[i];
        r->parameter_set[i + 1] = true;
    }
    o = &r->o.items[at];
    rs_go(r, o->line_end < r->end ? o->line_end + 1 : r->end, o->line + 1);
    return true;
}

static void pop(reader *r) {
    const frame *call = &r->frames[r->depth - 1];

    if (!call->by_m98) {
        memcpy(r->parameters + 1, call->locals, sizeof call->locals);
        memcpy(r->parameter_set + 1, call->locals_set, sizeof call->locals_set);
        rs_drop_names(r, r->depth);
    }
    r->loop_count = call->loops;
    rs_go(r, call->back, call->back_line);
    r->depth--;
}

bool rs_end_sub(reader *r, size_t index) {
    const o_line *o = &r->o.items[index];
    const char *p = rs_skip(o->after, r->line_end);
    char name[RS_ECHO_ROOM];
    double value;

    if (r->depth == 0 || r->frames[r->depth - 1].by_m98) {
        return rs_fail(r, TH_CONTRADICTION, "O%s returns from a subprogram that was not called",
                       rs_echo(o->name, o->name + o->name_length, name));
    }
    if (p < r->line_end && *p == '[' &&
        (!rs_read_bracket(r, &p, 0, &value) || !rs_set_named(r, "_value", value))) {
        return false;
    }
    if (!rs_read_nothing(r, p)) {
        return false;
    }
    pop(r);
    return true;
}

/* ---- M98 and M99 ---- */

/* Which subprogram and how often, by the reading of the options. */
static bool read_call_words(reader *r, long long *number, long long *times) {
    bool in_p = r->options->m98 == TH_M98_COUNT_IN_P;
    long long p;

    if (!rs_seen(r, 'p') || !rs_whole(rs_value(r, 'p'), 0, 99999999, &p)) {
        return rs_fail(r, TH_MISSING, "M98 takes the number of a subprogram as P, as M98 P2001");
    }
    *number = in_p ? p % 10000 : p;
    *times = in_p && p >= 10000 ? p / 10000 : 1;
    if (rs_seen(r, 'l')) {
        if (in_p) {
            return rs_fail(r, TH_CONTRADICTION,
                           "M98 with L, where the count is read from P: leave L "
                           "out or choose the reading with L");
        }
        if (!rs_whole(rs_value(r, 'l'), 1, 1e9, times)) {
            return rs_fail(r, TH_BAD_RANGE, "L%g of M98: a whole number from 1 says how often",
                           rs_value(r, 'l'));
        }
    }
    return rs_reading(r,
                      in_p ? "M98: the last four digits of P are the subprogram, those before say "
                             "how often"
                           : "M98: P is the subprogram, L says how often");
}

bool rs_call_m98(reader *r) {
    long long number = 0, times = 1;
    char digits[24];
    size_t at;
    const o_line *o;
    frame call;

    if (!read_call_words(r, &number, &times)) {
        return false;
    }
    snprintf(digits, sizeof digits, "%lld", number);
    at = rs_find_label(r, digits, strlen(digits));
    if (at == r->o.count) {
        return rs_fail(r, TH_MISSING, "M98 P%lld: O%lld is not in this file%s", number, number,
                       number > 9999
                           ? "; should the first digits say how often, read it so by --m98=p"
                           : "; subprograms of other files are not read");
    }
    o = &r->o.items[at];
    call = (frame){.back = r->next, .back_line = r->next_line, .left = times, .by_m98 = true};
    call.again = o->line_end < r->end ? o->line_end + 1 : r->end;
    call.again_line = o->line + 1;
    if (!push(r, &call)) {
        return false;
    }
    rs_go(r, call.again, call.again_line);
    return true;
}

bool rs_end_m99(reader *r) {
    frame *call = r->depth > 0 ? &r->frames[r->depth - 1] : NULL;

    if (rs_seen(r, 'p')) {
        return rs_fail(r, TH_BAD_SYNTAX, "M99 with P, a jump to a line number, is not read");
    }
    if (!call) {
        r->done = true;
        return rs_warn(
            r, WARN_NO_END, false,
            "M99 outside a subprogram starts the program again on the machine; it is taken "
            "to end here");
    }
    if (!call->by_m98) {
        return rs_fail(r, TH_CONTRADICTION,
                       "M99 inside an O-word subprogram: endsub or return ends it");
    }
    if (--call->left > 0) {
        rs_go(r, call->again, call->again_line);
        return true;
    }
    pop(r);
    return true;
}
