/* read_value.c - numbers and expressions.
 *
 * Digits are added up as whole numbers and scaled by a power of ten, so that no locale has a say.
 */
#include "read.h"

#include <float.h>
#include <math.h>
#include <string.h>

enum { DIGITS_HELD = 19, WHOLE_DIGITS_MAX = 15, FRACTION_DIGITS_MAX = 22 };

/* Powers of ten that a double holds exactly. */
static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                              1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                              1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

/* Digits met so far; those beyond what can be held are below the last place of a double. */
typedef struct {
    uint64_t sum;
    int held, fraction, whole;
} digits;

/* Digits may have blanks between them. */
static const char *scan_digits(const char *p, const char *end, digits *d, bool fraction) {
    for (; p < end; p++) {
        if (rs_digit(*p)) {
            d->whole += !fraction && (d->whole > 0 || *p != '0') ? 1 : 0;
            if (d->held < DIGITS_HELD && d->fraction < FRACTION_DIGITS_MAX) {
                d->sum = 10 * d->sum + (uint64_t)(*p - '0');
                d->held += d->sum > 0 ? 1 : 0;
                d->fraction += fraction ? 1 : 0;
            }
        } else if (!rs_blank(*p)) {
            break;
        }
    }
    return p;
}

static bool refuse_value(reader *r, const char *p) {
    char read[RS_ECHO_ROOM];

    rs_echo(p, r->line_end, read);
    return rs_fail(r, TH_BAD_SYNTAX,
                   "\"%s\" is read where a value belongs: write a decimal number as 12.5, a "
                   "parameter as #1, an expression as [#1 + 2] or a function as SIN[30]",
                   read);
}

bool rs_read_decimal(reader *r, const char **p, double *value) {
    const char *start = *p, *q = start, *end = r->line_end, *before;
    bool negative = *q == '-', any;
    digits d = {0};
    char read[RS_ECHO_ROOM];

    if (*q == '+' || *q == '-') {
        q = rs_skip(q + 1, end);
    }
    before = q;
    q = scan_digits(q, end, &d, false);
    any = q > before;
    if (q < end && *q == '.') {
        before = q + 1;
        q = scan_digits(q + 1, end, &d, true);
        any = any || rs_skip(before, end) < q;
    }
    if (!any) {
        return refuse_value(r, start);
    }
    if (d.whole > WHOLE_DIGITS_MAX) {
        return rs_fail(r, TH_BAD_RANGE,
                       "the number %s is too large: at most %d digits before the point",
                       rs_echo(start, q, read), WHOLE_DIGITS_MAX);
    }
    *value = (double)d.sum / tens[d.fraction];
    *value = negative && d.sum > 0 ? -*value : *value;
    *p = q;
    return true;
}

bool rs_exponent(const reader *r, const char *p) {
    const char *after = p + 1;

    if (p == r->line_end || rs_lower(*p) != 'e' || p == r->line_start ||
        !(rs_digit(p[-1]) || p[-1] == '.')) {
        return false;
    }
    after += after < r->line_end && (*after == '+' || *after == '-');
    return after < r->line_end && rs_digit(*after);
}

bool rs_refuse_exponent(reader *r, const char *p) {
    char read[RS_ECHO_ROOM];
    const char *from = p, *to = p + 2;

    while (from > r->line_start && (rs_digit(from[-1]) || from[-1] == '.')) {
        from--;
    }
    while (to < r->line_end && rs_digit(*to)) {
        to++;
    }
    return rs_fail(r, TH_BAD_SYNTAX,
                   "\"%s\": numbers have no exponent in this language: write all digits, as 0.0012",
                   rs_echo(from, to, read));
}

/* A value without its sign dealt with: number, parameter, bracket, function. */
bool rs_read_real(reader *r, const char **p, int depth, double *value) {
    const char *q = rs_skip(*p, r->line_end), *inner;
    double inside;

    *p = q;
    if (q == r->line_end) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "the line ends where a value belongs: write a number, "
                       "a parameter as #1 or an expression as [#1 + 2]");
    }
    if (*q == '#') {
        *p = q + 1;
        return rs_read_parameter(r, p, depth, value);
    }
    if (*q == '[') {
        return rs_read_bracket(r, p, depth, value);
    }
    if (rs_letter(*q)) {
        return rs_read_function(r, p, depth, value);
    }
    inner = rs_skip(q + 1, r->line_end);
    if ((*q == '+' || *q == '-') && inner < r->line_end &&
        (*inner == '#' || *inner == '[' || rs_letter(*inner))) {
        *p = inner;
        if (!rs_read_real(r, p, depth + 1, &inside)) {
            return false;
        }
        *value = *q == '-' ? -inside : inside;
        return true;
    }
    return rs_read_decimal(r, p, value);
}

bool rs_read_value(reader *r, const char **p, double *value) {
    return rs_read_real(r, p, 0, value);
}

/* ---- operators ---- */

typedef enum {
    OP_POWER,
    OP_TIMES,
    OP_DIVIDE,
    OP_MOD,
    OP_PLUS,
    OP_MINUS,
    OP_EQ,
    OP_NE,
    OP_GT,
    OP_GE,
    OP_LT,
    OP_LE,
    OP_OR,
    OP_XOR,
    OP_AND,
    OP_END
} op_kind;

typedef struct {
    const char *text;
    int rank; /* the higher binds first */
} operator_word;

/* Ranks of the report; comparisons, which it has not, between its second last and last. Longer
 * words first where one begins another. */
static const operator_word words[] = {
    [OP_POWER] = {"**", 5}, [OP_TIMES] = {"*", 4}, [OP_DIVIDE] = {"/", 4}, [OP_MOD] = {"mod", 4},
    [OP_PLUS] = {"+", 3},   [OP_MINUS] = {"-", 3}, [OP_EQ] = {"eq", 2},    [OP_NE] = {"ne", 2},
    [OP_GT] = {"gt", 2},    [OP_GE] = {"ge", 2},   [OP_LT] = {"lt", 2},    [OP_LE] = {"le", 2},
    [OP_OR] = {"or", 1},    [OP_XOR] = {"xor", 1}, [OP_AND] = {"and", 1},  [OP_END] = {"]", 0},
};

/* Past a word that may have blanks between its letters; NULL if it is not there. */
static const char *match(const char *p, const char *end, const char *word) {
    for (; *word != '\0'; word++) {
        p = rs_skip(p, end);
        if (p == end || rs_lower(*p) != *word) {
            return NULL;
        }
        p++;
    }
    return p;
}

static bool read_operator(reader *r, const char **p, op_kind *op) {
    char read[RS_ECHO_ROOM];

    *p = rs_skip(*p, r->line_end);
    for (int i = 0; i <= OP_END; i++) {
        const char *after = match(*p, r->line_end, words[i].text);
        if (after) {
            *op = (op_kind)i;
            *p = after;
            return true;
        }
    }
    if (*p == r->line_end) {
        return rs_fail(r, TH_BAD_SYNTAX, "the line ends inside an expression: ] is missing");
    }
    if (rs_exponent(r, *p)) {
        return rs_refuse_exponent(r, *p);
    }
    return rs_fail(r, TH_BAD_SYNTAX,
                   "\"%s\" is read where an operator or ] belongs: taken are ** * / MOD + - EQ NE "
                   "GT GE LT LE AND OR XOR",
                   rs_echo(*p, r->line_end, read));
}

static bool finite_result(reader *r, double value, const char *what, double *result) {
    if (!(fabs(value) <= 1e15)) {
        return rs_fail(r, TH_BAD_RANGE, "%s gives no number below 1e15 here", what);
    }
    *result = value == 0 ? 0.0 : value;
    return true;
}

static bool apply_mod(reader *r, double a, double b, double *result) {
    double rest;

    if (b == 0) {
        return rs_fail(r, TH_BAD_RANGE, "MOD by zero");
    }
    rest = fmod(a, b);
    /* The report's remainder is never negative. */
    return finite_result(r, rest < 0 ? rest + fabs(b) : rest, "MOD", result);
}

/* Numbers that differ by less than a last printed digit are the same. */
static bool same(double a, double b) {
    return fabs(a - b) < 1e-6;
}

static double compare(op_kind op, double a, double b) {
    switch (op) {
    case OP_EQ:
        return same(a, b);
    case OP_NE:
        return !same(a, b);
    case OP_GT:
        return a > b && !same(a, b);
    case OP_GE:
        return a > b || same(a, b);
    case OP_LT:
        return a < b && !same(a, b);
    case OP_LE:
        return a < b || same(a, b);
    case OP_OR:
        return a != 0 || b != 0;
    case OP_XOR:
        return (a != 0) != (b != 0);
    default:
        return a != 0 && b != 0;
    }
}

static bool apply(reader *r, op_kind op, double a, double b, double *result) {
    switch (op) {
    case OP_POWER:
        if ((a < 0 && b != floor(b)) || (a == 0 && b < 0)) {
            return rs_fail(r, TH_BAD_RANGE, "%g ** %g has no value", a, b);
        }
        return finite_result(r, pow(a, b), "**", result);
    case OP_TIMES:
        return finite_result(r, a * b, "*", result);
    case OP_DIVIDE:
        if (b == 0) {
            return rs_fail(r, TH_BAD_RANGE, "division of %g by zero", a);
        }
        return finite_result(r, a / b, "/", result);
    case OP_MOD:
        return apply_mod(r, a, b, result);
    case OP_PLUS:
        return finite_result(r, a + b, "+", result);
    case OP_MINUS:
        return finite_result(r, a - b, "-", result);
    default:
        *result = compare(op, a, b);
        return true;
    }
}

/* Left to right, the higher rank first: what waits is kept with rising rank. */
static bool read_terms(reader *r, const char **p, int depth, double *result) {
    double values[8];
    op_kind waiting[8] = {OP_END};
    op_kind op = OP_END;
    int count = 0;

    do {
        if (!rs_read_real(r, p, depth, &values[count]) || !read_operator(r, p, &op)) {
            return false;
        }
        while (count > 0 && words[waiting[count - 1]].rank >= words[op].rank) {
            count--;
            if (!apply(r, waiting[count], values[count], values[count + 1], &values[count])) {
                return false;
            }
        }
        waiting[count] = op;
        count++;
    } while (op != OP_END);
    *result = values[0];
    return true;
}

bool rs_read_bracket(reader *r, const char **p, int depth, double *value) {
    const char *q = rs_skip(*p, r->line_end);
    char read[RS_ECHO_ROOM];

    if (q == r->line_end || *q != '[') {
        return rs_fail(r, TH_BAD_SYNTAX, "\"%s\" is read where an expression in [ ] belongs",
                       rs_echo(q, r->line_end, read));
    }
    if (depth >= EXPRESSION_DEEPEST) {
        return rs_fail(r, TH_BAD_RANGE, "brackets or functions inside each other: at most %d",
                       EXPRESSION_DEEPEST);
    }
    *p = q + 1;
    return read_terms(r, p, depth + 1, value);
}

/* ---- functions ---- */

typedef enum {
    F_ABS,
    F_ACOS,
    F_ASIN,
    F_ATAN,
    F_COS,
    F_EXISTS,
    F_EXP,
    F_FIX,
    F_FUP,
    F_LN,
    F_ROUND,
    F_SIN,
    F_SQRT,
    F_TAN,
    F_NONE
} function;

static const char *const functions[] = {"abs", "acos", "asin", "atan",  "cos", "exists", "exp",
                                        "fix", "fup",  "ln",   "round", "sin", "sqrt",   "tan"};

static bool outside(reader *r, const char *name, double a, const char *allowed) {
    return rs_fail(r, TH_BAD_RANGE, "%s[%g] has no value: it takes %s", name, a, allowed);
}

static bool evaluate(reader *r, function f, double a, double *value) {
    const double degree = TH_PI / 180;

    switch (f) {
    case F_ACOS:
        return fabs(a) <= 1 ? finite_result(r, acos(a) / degree, "ACOS", value)
                            : outside(r, "ACOS", a, "-1 to 1");
    case F_ASIN:
        return fabs(a) <= 1 ? finite_result(r, asin(a) / degree, "ASIN", value)
                            : outside(r, "ASIN", a, "-1 to 1");
    case F_COS:
        return finite_result(r, cos(a * degree), "COS", value);
    case F_EXP:
        return finite_result(r, exp(a), "EXP", value);
    case F_FIX:
        return finite_result(r, floor(a), "FIX", value);
    case F_FUP:
        return finite_result(r, ceil(a), "FUP", value);
    case F_LN:
        return a > 0 ? finite_result(r, log(a), "LN", value)
                     : outside(r, "LN", a, "numbers above 0");
    case F_ROUND:
        return finite_result(r, round(a), "ROUND", value);
    case F_SIN:
        return finite_result(r, sin(a * degree), "SIN", value);
    case F_SQRT:
        return a >= 0 ? finite_result(r, sqrt(a), "SQRT", value)
                      : outside(r, "SQRT", a, "numbers from 0");
    case F_TAN:
        return finite_result(r, tan(a * degree), "TAN", value);
    default:
        return finite_result(r, fabs(a), "ABS", value);
    }
}

/* ATAN[y]/[x], in degrees from -180 to 180. */
static bool read_atan(reader *r, const char **p, int depth, double y, double *value) {
    double x;

    *p = rs_skip(*p, r->line_end);
    if (*p == r->line_end || **p != '/') {
        return rs_fail(r, TH_BAD_SYNTAX, "ATAN takes two values, as ATAN[1]/[2]");
    }
    (*p)++;
    if (!rs_read_bracket(r, p, depth, &x)) {
        return false;
    }
    if (x == 0 && y == 0) {
        return rs_fail(r, TH_BAD_RANGE, "ATAN[0]/[0] has no value");
    }
    return finite_result(r, atan2(y, x) * 180 / TH_PI, "ATAN", value);
}

bool rs_read_function(reader *r, const char **p, int depth, double *value) {
    const char *after = NULL;
    function f = F_ABS;
    double a;
    char read[RS_ECHO_ROOM];

    for (; f < F_NONE && !after; f = (function)(f + 1)) {
        after = match(*p, r->line_end, functions[f]);
    }
    if (!after) {
        return rs_fail(r, TH_BAD_SYNTAX,
                       "\"%s\" is read where a value belongs: a number, #1, [ ] or one of ABS ACOS "
                       "ASIN ATAN COS EXISTS EXP FIX FUP LN ROUND SIN SQRT TAN",
                       rs_echo(*p, r->line_end, read));
    }
    f = (function)(f - 1);
    *p = after;
    if (f == F_EXISTS) {
        return rs_read_exists(r, p, depth, value);
    }
    if (!rs_read_bracket(r, p, depth, &a)) {
        return false;
    }
    return f == F_ATAN ? read_atan(r, p, depth, a, value) : evaluate(r, f, a, value);
}
