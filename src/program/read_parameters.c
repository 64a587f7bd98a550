/* read_parameters.c - numbered and named parameters. */
#include "read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
    HOME_FIRST = 5161, /* places that the machine keeps: G28, G30, G92, coordinate systems */
    HOME_LAST = 5390,
    SHIFT_FIRST = 5211,
    SYSTEM_NUMBER = 5220,
    TOOL_NUMBER = 5400,
    TOOL_LENGTH = 5403,
    TOOL_DIAMETER = 5410,
    POSITION_FIRST = 5420
};

/* Where # or a named parameter leads, without its value. */
typedef struct {
    int number; /* -1: named */
    char name[NAME_LONGEST + 1];
    const char *from; /* in the text */
    const char *to;
} reference;

/* What stands between < and >, in lower case and without blanks. */
static bool read_name(reader *r, const char **p, reference *at) {
    const char *close = memchr(*p, '>', (size_t)(r->line_end - *p));
    size_t length = 0;
    char read[RS_ECHO_ROOM];

    if (!close) {
        return rs_fail(r, TH_BAD_SYNTAX, "the name of a parameter ends with >, as #<depth>");
    }
    for (const char *q = *p + 1; q < close; q++) {
        if (rs_blank(*q)) {
            continue;
        }
        if (!rs_letter(*q) && !rs_digit(*q) && *q != '_' && *q != '-') {
            return rs_fail(r, TH_BAD_SYNTAX,
                           "%s is no name of a parameter: letters, digits, _ and - are taken",
                           rs_echo(*p, close + 1, read));
        }
        if (length == NAME_LONGEST) {
            return rs_fail(r, TH_BAD_RANGE, "the name %s is longer than %d characters",
                           rs_echo(*p, close + 1, read), NAME_LONGEST);
        }
        at->name[length++] = rs_lower(*q);
    }
    if (length == 0) {
        return rs_fail(r, TH_BAD_SYNTAX, "#<> has no name: write it as #<depth>");
    }
    at->name[length] = '\0';
    *p = close + 1;
    at->to = *p;
    return true;
}

/* What follows #: a name, or a value that is the number. */
static bool read_reference(reader *r, const char **p, int depth, reference *at) {
    double value;
    long long whole;

    *p = rs_skip(*p, r->line_end);
    at->from = *p;
    at->number = -1;
    if (*p < r->line_end && **p == '<') {
        return read_name(r, p, at);
    }
    if (depth >= EXPRESSION_DEEPEST) {
        return rs_fail(r, TH_BAD_RANGE, "# after #: at most %d", EXPRESSION_DEEPEST);
    }
    if (!rs_read_real(r, p, depth + 1, &value)) {
        return false;
    }
    if (!rs_whole(value, 0, PARAMETERS - 1, &whole)) {
        return rs_fail(r, TH_BAD_RANGE, "#%g: parameters have whole numbers from 1 to %d", value,
                       PARAMETERS - 1);
    }
    at->number = (int)whole;
    at->to = *p;
    return true;
}

static named_parameter *find_named(reader *r, const char *name) {
    int scope = name[0] == '_' ? -1 : r->depth;

    for (size_t i = r->name_count; i-- > 0;) {
        if (r->names[i].scope == scope && strcmp(r->names[i].name, name) == 0) {
            return &r->names[i];
        }
    }
    return NULL;
}

bool rs_set_named(reader *r, const char *name, double value) {
    named_parameter *known = find_named(r, name);

    if (known) {
        known->value = value;
        return true;
    }
    if (r->name_count == NAMES_MAX) {
        return rs_fail(r, TH_BAD_RANGE,
                       "#<%s> is one named parameter too many: at most %d at a time", name,
                       NAMES_MAX);
    }
    if (r->name_count == r->name_capacity) {
        size_t capacity = r->name_capacity ? 2 * r->name_capacity : 32;
        named_parameter *grown = realloc(r->names, capacity * sizeof *grown);
        if (!grown) {
            return th_fail_memory(r->err);
        }
        r->names = grown;
        r->name_capacity = capacity;
    }
    known = &r->names[r->name_count++];
    *known = (named_parameter){.scope = name[0] == '_' ? -1 : r->depth, .value = value};
    memcpy(known->name, name, strlen(name) + 1);
    return true;
}

void rs_drop_names(reader *r, int scope) {
    size_t kept = 0;

    for (size_t i = 0; i < r->name_count; i++) {
        if (r->names[i].scope != scope) {
            r->names[kept++] = r->names[i];
        }
    }
    r->name_count = kept;
}

/* What the machine's state says, in the program's units. False: nothing is known of it. */
static bool state_value(const reader *r, int number, double *value) {
    const th_program_tool *tool;

    if (number >= SHIFT_FIRST && number < SHIFT_FIRST + 3) {
        *value = r->p.shift[number - SHIFT_FIRST] / rs_unit(r);
    } else if (number == SYSTEM_NUMBER) {
        *value = r->m.system + 1;
    } else if (number == TOOL_NUMBER) {
        *value = r->m.tool;
    } else if (number == TOOL_LENGTH) {
        tool = r->p.length_word >= 0 ? rs_tool(r, r->p.length_word) : NULL;
        *value = r->p.length_word < 0 ? 0 : tool ? tool->length / rs_unit(r) : NAN;
    } else if (number == TOOL_DIAMETER) {
        tool = rs_tool(r, r->m.tool);
        *value = tool ? tool->diameter / rs_unit(r) : NAN;
    } else if (number >= POSITION_FIRST && number < POSITION_FIRST + 3) {
        *value = rs_position_value(r, number - POSITION_FIRST);
    } else {
        return false;
    }
    return isfinite(*value);
}

static bool numbered_value(reader *r, int number, double *value) {
    if (r->parameter_set[number]) {
        *value = r->parameters[number];
        return true;
    }
    if (state_value(r, number, value)) {
        return true;
    }
    *value = 0;
    return rs_warn(r, WARN_PARAMETER, true,
                   "#%d is read before the program sets it; what the machine holds there is not "
                   "known, 0 is taken",
                   number);
}

bool rs_read_parameter(reader *r, const char **p, int depth, double *value) {
    reference at;
    named_parameter *known;

    if (!read_reference(r, p, depth, &at)) {
        return false;
    }
    if (at.number >= 0) {
        return numbered_value(r, at.number, value);
    }
    known = find_named(r, at.name);
    if (!known) {
        return rs_fail(r, TH_MISSING, "#<%s> is read before the program sets it", at.name);
    }
    *value = known->value;
    return true;
}

bool rs_read_exists(reader *r, const char **p, int depth, double *value) {
    reference at;
    const char *q = rs_skip(*p, r->line_end);

    if (q < r->line_end && *q == '[') {
        q = rs_skip(q + 1, r->line_end);
        if (q < r->line_end && *q == '#') {
            q++;
            if (!read_reference(r, &q, depth, &at)) {
                return false;
            }
            q = rs_skip(q, r->line_end);
            if (q < r->line_end && *q == ']') {
                *p = q + 1;
                *value =
                    at.number >= 0 ? r->parameter_set[at.number] : find_named(r, at.name) != NULL;
                return true;
            }
        }
    }
    return rs_fail(r, TH_BAD_SYNTAX, "EXISTS takes one parameter, as EXISTS[#<depth>]");
}

/* #3 = 15: noted now, set once the line is read. */
bool rs_read_setting(reader *r, const char **p) {
    setting *s = &r->b.settings[r->b.setting_count];
    reference at;

    (*p)++;
    if (!read_reference(r, p, 0, &at)) {
        return false;
    }
    *p = rs_skip(*p, r->line_end);
    if (*p == r->line_end || **p != '=') {
        return rs_fail(r, TH_BAD_SYNTAX, "= is missing after a parameter: write #3 = 15");
    }
    if (r->b.setting_count == SETTINGS_MAX) {
        return rs_fail(r, TH_BAD_RANGE, "more than %d parameters are set on one line",
                       SETTINGS_MAX);
    }
    if (at.number == 0) {
        return rs_fail(r, TH_BAD_RANGE, "#0 cannot be set: parameters are set from #1");
    }
    if (at.number >= HOME_FIRST && at.number <= HOME_LAST) {
        return rs_fail(r, TH_BAD_RANGE,
                       "#%d is a place that the machine keeps, set by parameter: not read; G10 and "
                       "G92 are",
                       at.number);
    }
    (*p)++;
    *s = (setting){.number = at.number, .name = at.from, .length = (size_t)(at.to - at.from)};
    r->b.setting_count++;
    return rs_read_value(r, p, &s->value);
}

bool rs_apply_settings(reader *r) {
    for (size_t i = 0; i < r->b.setting_count; i++) {
        setting *s = &r->b.settings[i];
        const char *p = s->name;
        reference at;

        if (s->number >= 0) {
            r->parameters[s->number] = s->value;
            r->parameter_set[s->number] = true;
        } else if (!read_name(r, &p, &at) || !rs_set_named(r, at.name, s->value)) {
            return false;
        }
    }
    return true;
}
