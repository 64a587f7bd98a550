/* read_line.c - one line of a program: line number, words, parameters set, comments. */
#include "read.h"

#include <string.h>

/* The report ends a comment at the first ) and forbids ( inside; programs in the field have it.
 * Where the brackets of the rest of the line balance, the outer ones count. */
static const char *comment_end(const char *p, const char *end, bool *nested) {
    const char *first = NULL, *start = p;
    int depth = 0;

    *nested = false;
    for (; p < end && (!first || p - start < NESTED_LONGEST); p++) {
        if (*p == '(') {
            *nested = depth > 0 || *nested;
            depth++;
        } else if (*p == ')') {
            first = first ? first : p + 1;
            depth--;
            if (depth == 0 || !*nested) {
                return p + 1;
            }
        }
    }
    return first;
}

bool rs_read_comment(reader *r, const char **p) {
    bool nested;
    const char *end;
    char read[RS_ECHO_ROOM];

    if (**p == ';') {
        *p = r->line_end;
        return true;
    }
    end = comment_end(*p, r->line_end, &nested);
    if (!end) {
        return rs_fail(r, TH_BAD_SYNTAX, "the comment %s is not closed: ) is missing",
                       rs_echo(*p, r->line_end, read));
    }
    if (nested && !rs_warn(r, WARN_NESTED_COMMENT, false,
                           "a ( inside the comment %s; the comment is taken to end with its own )",
                           rs_echo(*p, end, read))) {
        return false;
    }
    *p = end;
    return true;
}

static bool refuse_character(reader *r, const char *p) {
    char read[RS_ECHO_ROOM];

    if ((unsigned char)*p < 0x20 || *p == 0x7F) {
        return rs_fail(r, TH_BAD_SYNTAX, "a byte (%d) that no program holds", (unsigned char)*p);
    }
    return rs_fail(r, TH_BAD_SYNTAX, "\"%s\" is read where a word belongs, as X12.5",
                   rs_echo(p, r->line_end, read));
}

static bool refuse_letter(reader *r, const char *p) {
    char read[RS_ECHO_ROOM];
    char letter = rs_lower(*p);

    rs_echo(p, r->line_end, read);
    if (strchr("abcuvw", letter)) {
        return rs_fail(r, TH_BAD_SYNTAX, "\"%s\": only the axes X, Y, Z are read", read);
    }
    if (letter == 'n') {
        return rs_fail(r, TH_BAD_SYNTAX, "\"%s\": a line number stands first on its line", read);
    }
    return rs_fail(r, TH_BAD_SYNTAX,
                   "\"%s\" is not read: words start with D F G H I J K L M P Q R S T X Y Z, E only "
                   "with M67 and M68",
                   read);
}

/* Words that other dialects jump and loop by. */
static bool jumps(const char *p, const char *end) {
    static const char *const words[] = {"goto", "if", "while", "then", "do", "end"};

    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        size_t n = 0;
        while (words[i][n] && p + n < end && rs_lower(p[n]) == words[i][n]) {
            n++;
        }
        if (!words[i][n]) {
            return true;
        }
    }
    return false;
}

/* Letters that may carry a value besides G and M. */
static const uint32_t letters =
    1U << ('d' - 'a') | 1U << ('e' - 'a') | 1U << ('f' - 'a') | 1U << ('h' - 'a') |
    1U << ('i' - 'a') | 1U << ('j' - 'a') | 1U << ('k' - 'a') | 1U << ('l' - 'a') |
    1U << ('p' - 'a') | 1U << ('q' - 'a') | 1U << ('r' - 'a') | 1U << ('s' - 'a') |
    1U << ('t' - 'a') | 1U << ('x' - 'a') | 1U << ('y' - 'a') | 1U << ('z' - 'a');

static bool read_word(reader *r, const char **p) {
    const char *from = *p;
    char letter = rs_lower(*from), read[RS_ECHO_ROOM];
    uint32_t bit = 1U << (letter - 'a');
    double value;

    if (jumps(from, r->line_end)) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "\"%s\" is of another dialect: jumps are not read, loops and conditions as "
                       "O-words: o1 while [#1 LT 3], o1 endwhile; o2 if [#1 EQ 3], o2 endif",
                       rs_echo(from, r->line_end, read));
    }
    if (letter != 'g' && letter != 'm' && !(letters & bit)) {
        return refuse_letter(r, from);
    }
    (*p)++;
    if (!rs_read_value(r, p, &value)) {
        return false;
    }
    if (letter == 'g') {
        return rs_take_g(r, value, from, *p);
    }
    if (letter == 'm') {
        return rs_take_m(r, value, from, *p);
    }
    if (letter == 'e' && rs_exponent(r, from)) {
        r->b.exponent = from;
    }
    if (r->b.seen & bit) {
        return r->b.exponent ? rs_refuse_exponent(r, r->b.exponent)
                             : rs_fail(r, TH_CONTRADICTION, "%s: the line has another %c already",
                                       rs_echo(from, *p, read), letter - 32);
    }
    r->b.seen |= bit;
    r->b.value[letter - 'a'] = value;
    return true;
}

static bool read_piece(reader *r, const char **p) {
    if (**p == '(' || **p == ';') {
        return rs_read_comment(r, p);
    }
    if (**p == '#') {
        return rs_read_setting(r, p);
    }
    return rs_letter(**p) ? read_word(r, p) : refuse_character(r, *p);
}

bool rs_read_line(reader *r, const char *p) {
    r->b.seen = 0;
    r->b.exponent = NULL;
    r->b.setting_count = 0;
    memset(r->b.g, 0xFF, sizeof r->b.g); /* NO_WORD in each */
    memset(r->b.m, 0xFF, sizeof r->b.m);
    for (p = rs_skip(p, r->line_end); p < r->line_end; p = rs_skip(p, r->line_end)) {
        if (!read_piece(r, &p)) {
            return false;
        }
    }
    return r->b.setting_count == 0 || rs_apply_settings(r);
}

bool rs_read_nothing(reader *r, const char *p) {
    char read[RS_ECHO_ROOM];

    for (p = rs_skip(p, r->line_end); p < r->line_end; p = rs_skip(p, r->line_end)) {
        if (*p != '(' && *p != ';') {
            return rs_fail(r, TH_BAD_SYNTAX, "\"%s\" is read where the line should end",
                           rs_echo(p, r->line_end, read));
        }
        if (!rs_read_comment(r, &p)) {
            return false;
        }
    }
    return true;
}
