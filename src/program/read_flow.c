/* read_flow.c - conditions and loops by O-words. */
#include "read.h"

#include <math.h>

void rs_go(reader *r, const char *to, int line) {
    r->next = to;
    r->next_line = line;
}

/* The line after an O line. */
static void go_after(reader *r, const o_line *o) {
    rs_go(r, o->line_end < r->end ? o->line_end + 1 : r->end, o->line + 1);
}

static const char *name_of(const o_line *o, char *safe) {
    return rs_echo(o->name, o->name + o->name_length, safe);
}

static bool refuse_missing(reader *r, const o_line *o, const char *what) {
    char name[RS_ECHO_ROOM];

    return rs_fail(r, TH_MISSING, "O%s has no %s of the same name after it", name_of(o, name),
                   what);
}

static bool read_condition(reader *r, const o_line *o, double *value) {
    const char *p = o->after;

    return rs_read_bracket(r, &p, 0, value) && rs_read_nothing(r, p);
}

/* ---- conditions ---- */

/* Down the branches to the first whose condition holds, or past the end. */
static bool run_if(reader *r, size_t index) {
    double value;

    for (;;) {
        const o_line *o = &r->o.items[index];
        r->line = o->line;
        r->line_end = o->line_end;
        if (!read_condition(r, o, &value)) {
            return false;
        }
        if (value == 0) {
            index = o->branch;
            if (index == r->o.count) {
                return refuse_missing(r, o, "endif");
            }
        }
        if (value != 0 || r->o.items[index].keyword != O_ELSEIF) {
            go_after(r, &r->o.items[index]);
            return true;
        }
        if (!rs_count(r)) {
            return false;
        }
    }
}

/* A branch has been run: past the end of the condition. */
static bool leave_if(reader *r, size_t index) {
    size_t at = r->o.items[index].end;

    if (at == r->o.count) {
        return refuse_missing(r, &r->o.items[index], "endif");
    }
    go_after(r, &r->o.items[at]);
    return true;
}

/* ---- loops ---- */

static size_t base_of_loops(const reader *r) {
    return r->depth > 0 ? r->frames[r->depth - 1].loops : 0;
}

/* The open loop that an O line belongs to by its name; NULL if none. Those inside it are left. */
static loop *find_loop(reader *r, size_t index) {
    for (size_t i = r->loop_count; i-- > base_of_loops(r);) {
        size_t opener = r->loops[i].opener;
        if (opener <= index && r->o.items[opener].name_id == r->o.items[index].name_id) {
            r->loop_count = i + 1;
            return &r->loops[i];
        }
    }
    return NULL;
}

static bool open_loop(reader *r, size_t index, long long left) {
    if (r->loop_count == LOOPS_MAX) {
        return rs_fail(r, TH_BAD_RANGE, "loops inside each other: at most %d", LOOPS_MAX);
    }
    r->loops[r->loop_count++] = (loop){index, left};
    return true;
}

static const char *end_word(o_keyword opener) {
    return opener == O_WHILE ? "endwhile" : opener == O_REPEAT ? "endrepeat" : "while";
}

static bool skip_loop(reader *r, size_t opener) {
    size_t at = r->o.items[opener].end;

    if (at == r->o.count) {
        return refuse_missing(r, &r->o.items[opener], end_word(r->o.items[opener].keyword));
    }
    go_after(r, &r->o.items[at]);
    return true;
}

static bool refuse_no_loop(reader *r, const o_line *o) {
    char name[RS_ECHO_ROOM];

    return rs_fail(
        r, TH_CONTRADICTION,
        "O%s ends, leaves or goes on with a loop that is not open: its while, do or repeat "
        "is missing before it",
        name_of(o, name));
}

static bool run_while(reader *r, size_t index) {
    const o_line *o = &r->o.items[index];
    loop *open = find_loop(r, index);
    double value;

    if (o->closes && !open) {
        return refuse_no_loop(r, o);
    }
    if (!read_condition(r, o, &value)) {
        return false;
    }
    if (o->closes) {
        if (value != 0) {
            go_after(r, &r->o.items[open->opener]);
        } else {
            r->loop_count--;
        }
        return true;
    }
    if (value != 0) {
        return open || open_loop(r, index, 0);
    }
    r->loop_count -= open ? 1 : 0;
    return skip_loop(r, index);
}

static bool run_do(reader *r, size_t index) {
    return rs_read_nothing(r, r->o.items[index].after) && open_loop(r, index, 0);
}

static bool run_repeat(reader *r, size_t index) {
    double value;
    long long count;

    if (!read_condition(r, &r->o.items[index], &value)) {
        return false;
    }
    if (!rs_whole(value, -1e15, 1e15, &count)) {
        return rs_fail(r, TH_BAD_RANGE, "repeat [%g]: it takes a whole number", value);
    }
    return count > 0 ? open_loop(r, index, count) : skip_loop(r, index);
}

static bool run_loop_end(reader *r, size_t index) {
    const o_line *o = &r->o.items[index];
    loop *open = find_loop(r, index);
    const o_line *opener = open ? &r->o.items[open->opener] : NULL;

    if (!opener || opener->keyword != (o->keyword == O_ENDWHILE ? O_WHILE : O_REPEAT)) {
        return refuse_no_loop(r, o);
    }
    if (!rs_read_nothing(r, o->after)) {
        return false;
    }
    if (o->keyword == O_ENDWHILE) {
        rs_go(r, opener->start, opener->line);
    } else if (--open->left > 0) {
        go_after(r, opener);
    } else {
        r->loop_count--;
    }
    return true;
}

static bool run_leave(reader *r, size_t index) {
    const o_line *o = &r->o.items[index];
    loop *open = find_loop(r, index);
    size_t at;

    if (!open) {
        return refuse_no_loop(r, o);
    }
    if (!rs_read_nothing(r, o->after)) {
        return false;
    }
    if (o->keyword == O_BREAK) {
        r->loop_count--;
        return skip_loop(r, open->opener);
    }
    at = r->o.items[open->opener].end;
    if (at == r->o.count) {
        return skip_loop(r, open->opener);
    }
    rs_go(r, r->o.items[at].start, r->o.items[at].line);
    return true;
}

/* ---- any O line ---- */

static bool run_sub(reader *r, size_t index) {
    size_t at = r->o.items[index].end;

    if (at == r->o.count) {
        return refuse_missing(r, &r->o.items[index], "endsub");
    }
    go_after(r, &r->o.items[at]);
    return true;
}

/* The number of a program: one may stand on top; whether another ends the program before it, or is
 * passed over, the machine decides. */
static bool run_label(reader *r, size_t index) {
    char name[RS_ECHO_ROOM];
    const o_line *o = &r->o.items[index];

    if (!r->worked) {
        r->worked = true;
        return rs_read_nothing(r, o->after);
    }
    if (r->depth > 0) {
        return rs_fail(r, TH_MISSING, "a subprogram runs into O%s: M99 is missing before it",
                       name_of(o, name));
    }
    return rs_fail(
        r, TH_MISSING,
        "the program runs into O%s, where another begins: M2 or M30 is missing before it, "
        "or the number is to go",
        name_of(o, name));
}

/* else, elseif or endif without if. */
static bool refuse_stray(reader *r, const o_line *o) {
    char name[RS_ECHO_ROOM];

    return rs_fail(r, TH_CONTRADICTION, "O%s has no if of the same name before it",
                   name_of(o, name));
}

static bool refuse_keyword(reader *r, const o_line *o) {
    char name[RS_ECHO_ROOM];

    return rs_fail(r, TH_BAD_SYNTAX,
                   "\"%s\" after O is not read: taken are sub, endsub, call, return, if, elseif, "
                   "else, endif, while, endwhile, do, repeat, endrepeat, break, continue",
                   rs_echo(o->after, o->line_end, name));
}

static size_t find_line(const reader *r, const char *start) {
    size_t low = 0, high = r->o.count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (r->o.items[middle].start < start) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    return low < r->o.count && r->o.items[low].start == start ? low : r->o.count;
}

bool rs_run_o_line(reader *r, const char *p) {
    static bool (*const run[])(reader *, size_t) = {
        [O_LABEL] = run_label,
        [O_SUB] = run_sub,
        [O_ENDSUB] = rs_end_sub,
        [O_CALL] = rs_call,
        [O_RETURN] = rs_end_sub,
        [O_IF] = run_if,
        [O_ELSEIF] = leave_if,
        [O_ELSE] = leave_if,
        [O_ENDIF] = NULL,
        [O_WHILE] = run_while,
        [O_ENDWHILE] = run_loop_end,
        [O_DO] = run_do,
        [O_REPEAT] = run_repeat,
        [O_ENDREPEAT] = run_loop_end,
        [O_BREAK] = run_leave,
        [O_CONTINUE] = run_leave,
        [O_UNKNOWN] = NULL,
    };
    size_t index = find_line(r, r->line_start);
    char read[RS_ECHO_ROOM];
    const o_line *o;

    if (index == r->o.count) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "\"%s\": a number or a <name> belongs after O, as O100 sub",
                       rs_echo(p, r->line_end, read));
    }
    o = &r->o.items[index];
    if (o->keyword == O_UNKNOWN) {
        return refuse_keyword(r, o);
    }
    if (o->stray) {
        return refuse_stray(r, o);
    }
    return run[o->keyword] ? run[o->keyword](r, index) : rs_read_nothing(r, o->after);
}
