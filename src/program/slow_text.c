/* slow_text.c - feed words in the text of a program: where they stand, which moves they feed, and
 * the text with some of them changed. All else stays byte for byte. */
#include "slow.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define INCH 25.4

#define CHIP_SLACK 0.002 /* that a chip may be under the smallest, as it is rounded by more (-) */

enum { DIGITS_MOST = 6, DECIMALS_MOST = 15, SETTLINGS = 20, NUMBER_ROOM = 400 };

/* ---- words of a line -------------------------------------------------------------------------
 */

static bool blank(char c) {
    return c == ' ' || c == '\t' || c == '\r';
}

static char upper(char c) {
    return (char)(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
}

static bool digit(char c) {
    return c >= '0' && c <= '9';
}

/* Behind what is no word: a comment, an expression in brackets, a name. NULL: it is a word, or the
 * rest is comment (`*ends`). */
static const char *pass_over(const char *p, const char *end, bool *ends) {
    char close = *p == '(' ? ')' : *p == '<' ? '>' : '\0';
    int depth = 0;

    *ends = *p == ';';
    if (*p == '[') {
        for (; p < end; p++) {
            depth += (*p == '[') - (*p == ']');
            if (depth == 0) {
                return p + 1;
            }
        }
        return end;
    }
    if (close == '\0') {
        return NULL;
    }
    const char *stop = memchr(p, close, (size_t)(end - p));
    return stop ? stop + 1 : end;
}

/* The number at p, blanks inside it not among it; 0: none. */
static size_t number_at(const char *p, const char *end) {
    const char *from = p;
    bool any = false;

    if (p < end && (*p == '+' || *p == '-')) {
        p++;
    }
    for (; p < end && (digit(*p) || *p == '.'); p++) {
        any = any || digit(*p);
    }
    return any ? (size_t)(p - from) : 0;
}

static void take_f(const slow_program *program, slow_text_line *line, const char *p,
                   const char *end) {
    while (p < end && blank(*p)) {
        p++;
    }
    size_t length = number_at(p, end);
    const char *behind = p + length;
    while (behind < end && blank(*behind)) {
        behind++;
    }
    line->odd = line->own || length == 0 || (behind < end && (digit(*behind) || *behind == '.'));
    line->own = true;
    line->at = (size_t)(p - program->text);
    line->length = length;
}

static void take_g(slow_program *program, const char *p, const char *end, bool *metric) {
    while (p < end && blank(*p)) {
        p++;
    }
    int code = 0;
    for (; p < end && digit(*p) && code < 1000; p++) {
        code = 10 * code + (*p - '0');
    }
    *metric = *metric || code == 21;
    program->inch = program->inch || code == 20;
    if (code == 93 || code == 95) {
        program->unfit = "the program feeds by inverse time or by the turn (G93, G95)";
    }
}

static void scan_line(slow_program *program, slow_text_line *line, const char *p, const char *end,
                      bool *metric) {
    bool ends = false, value = false; /* behind #: a name or number of a parameter */
    const char *next;

    line->scale = 1;
    line->code_end = (size_t)(p - program->text);
    while (p < end && !ends) {
        bool comment = *p == '(' || *p == ';';
        next = pass_over(p, end, &ends);
        if (next == NULL && !ends) {
            char letter = upper(*p);
            if (letter == '=') { /* what is set is no word */
                line->code_end = (size_t)(end - program->text);
                return;
            }
            if (letter == 'F' && !value) {
                take_f(program, line, p + 1, end);
            } else if (letter == 'G') {
                take_g(program, p + 1, end, metric);
            }
            value = letter == '#';
            next = p + 1;
        }
        if (!comment && !blank(*p)) {
            line->code_end = (size_t)((next && next < end ? next : end) - program->text);
        }
        p = next ? next : end;
    }
}

static size_t lines_in(const char *text, size_t size) {
    size_t count = 0;

    for (const char *p = text, *end = text + size; p < end; count++) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        p = stop ? stop + 1 : end;
    }
    return count;
}

bool slow_program_scan(slow_program *program, th_error *err) {
    const char *p = program->text, *end = program->text + program->size;
    bool metric = false;

    program->count = lines_in(program->text, program->size) + 1;
    program->lines = calloc(program->count, sizeof *program->lines);
    program->with_f = calloc(program->count + 1, sizeof *program->with_f);
    if (!program->lines || !program->with_f) {
        return th_fail_memory(err);
    }
    for (size_t i = 1; i < program->count; i++) {
        const char *stop = memchr(p, '\n', (size_t)(end - p));
        stop = stop ? stop : end;
        scan_line(program, &program->lines[i], p, stop, &metric);
        program->with_f[i + 1] = program->with_f[i] + program->lines[i].own;
        p = stop < end ? stop + 1 : end;
    }
    if (metric && program->inch) {
        program->unfit = "the program changes between inch and mm";
    }
    program->inch = program->inch || (!metric && program->reading->units == TH_INCH);
    return true;
}

void slow_program_free(slow_program *program) {
    free(program->lines);
    free(program->with_f);
    *program = (slow_program){.text = NULL};
}

/* ---- feeds ------------------------------------------------------------------------------------
 */

static bool feeds(const th_move *move) {
    return (move->kind == TH_MOVE_LINE || move->kind == TH_MOVE_ARC) && move->feed > 0;
}

static slow_text_line *line_of(const slow_program *program, const th_move *move) {
    return move->line > 0 && (size_t)move->line < program->count ? &program->lines[move->line]
                                                                 : NULL;
}

static bool take_feed(void *context, const th_move *move, th_error *err) {
    slow_program *program = context;
    slow_text_line *line = line_of(program, move);

    (void)err;
    if (line && feeds(move)) {
        line->varies = line->varies || (line->feed > 0 && line->feed != move->feed);
        line->feed = move->feed;
    }
    return true;
}

static bool read_moves(const slow_program *program, const char *text, size_t size,
                       th_move_sink sink, void *context, th_error *err) {
    th_program_report report = {0};
    bool fine = th_program_read(text, size, program->reading, sink, context, &report, err);

    th_program_report_free(&report);
    return fine;
}

bool slow_program_trace(slow_program *program, th_error *err) {
    return read_moves(program, program->text, program->size, take_feed, program, err);
}

/* Two digits, rounded down, in the program's unit: neighbours come out alike more often. Where that
 * would make the chip too thin, a digit more. */
double slow_feed(const slow_program *program, size_t at) {
    const slow_text_line *line = &program->lines[at];
    double unit = program->inch ? INCH : 1, whole = line->feed / unit;
    double feed = whole * (double)line->scale, least = whole * line->least;

    if (!(line->scale < 1)) {
        return line->feed;
    }
    for (int digits = 2; digits <= DIGITS_MOST; digits++) {
        double step = pow(10, floor(log10(feed)) - (digits - 1));
        double rounded = floor(feed / step * (1 + 1e-9)) * step;
        if (rounded >= least * (1 - CHIP_SLACK)) {
            return rounded * unit;
        }
    }
    return fmax(feed, least) * unit;
}

/* ---- where an F must be put in ----------------------------------------------------------------
 */

typedef struct {
    slow_program *program;
    int before; /* line of the move at feed before; 0 none */
    bool again; /* some line was given back */
} settling;

static void give_back(settling *s, int line, const char *why) {
    slow_text_line *of = &s->program->lines[line];

    if (of->scale < 1) {
        of->scale = 1;
        of->why_not = why;
        s->again = true;
    }
}

static void give_back_all(settling *s) {
    for (size_t i = 1; i < s->program->count; i++) {
        give_back(s, (int)i,
                  "its feed cannot be told from that of lines that run at different ones");
    }
}

/* The feed that a line without F finds. */
static double found_feed(const settling *s, const th_move *move) {
    const slow_program *program = s->program;
    bool between =
        s->before < move->line && program->with_f[move->line] > program->with_f[s->before + 1];

    return s->before == 0 || between ? move->feed : slow_feed(program, (size_t)s->before);
}

static bool settle_move(void *context, const th_move *move, th_error *err) {
    settling *s = context;
    slow_text_line *line = line_of(s->program, move);

    (void)err;
    if (!line || !feeds(move)) {
        return true;
    }
    if (line->scale < 1 && (line->varies || line->odd)) {
        give_back(s, move->line,
                  line->odd ? "its F is no plain number" : "it runs at different feeds");
    }
    double wanted = line->varies ? move->feed : slow_feed(s->program, (size_t)move->line);
    if (!line->own && s->before != move->line &&
        fabs(found_feed(s, move) - wanted) > 1e-9 * wanted) {
        line->put = true;
        if (line->varies) {
            give_back(s, s->before, "the line after it runs at different feeds");
        }
    }
    s->before = move->line;
    return true;
}

bool slow_program_settle(slow_program *program, th_error *err) {
    settling s = {program, 0, true};

    for (int round = 0; s.again; round++) {
        if (round == SETTLINGS) { /* one gives back the one before it, and so on: all of them */
            give_back_all(&s);
        }
        s.again = false;
        s.before = 0;
        for (size_t i = 0; i < program->count; i++) {
            program->lines[i].put = false;
        }
        if (!read_moves(program, program->text, program->size, settle_move, &s, err)) {
            return false;
        }
    }
    return true;
}

/* ---- the text ---------------------------------------------------------------------------------
 */

/* Ten digits, never an exponent, which the language has not. */
static void put_feed(const slow_program *program, size_t line, th_text *text) {
    double feed = slow_feed(program, line) / (program->inch ? INCH : 1);
    int decimals = 9 - (int)floor(log10(feed));
    char number[NUMBER_ROOM];
    size_t end;

    decimals = decimals < 0 ? 0 : decimals < DECIMALS_MOST ? decimals : DECIMALS_MOST;
    th_print(number, sizeof number, "%.*f", decimals, feed);
    end = strlen(number);
    if (strchr(number, '.')) {
        while (number[end - 1] == '0') {
            end--;
        }
        end -= number[end - 1] == '.';
    }
    th_text_put_n(text, number, end);
}

bool slow_program_write(const slow_program *program, th_text *text, th_error *err) {
    size_t done = 0;

    for (size_t i = 1; i < program->count; i++) {
        const slow_text_line *line = &program->lines[i];
        if (line->own && line->scale < 1) {
            th_text_put_n(text, program->text + done, line->at - done);
            put_feed(program, i, text);
            done = line->at + line->length;
        } else if (!line->own && line->put) {
            th_text_put_n(text, program->text + done, line->code_end - done);
            th_text_put(text, " F");
            put_feed(program, i, text);
            done = line->code_end;
        }
    }
    th_text_put_n(text, program->text + done, program->size - done);
    return !text->failed || th_fail_memory(err);
}

/* ---- the same moves -------------------------------------------------------------------------- */

typedef struct {
    const slow_program *program;
    bool changed; /* the moves are those of the changed text */
    uint64_t print;
} fingerprint;

static void stir(fingerprint *f, const void *bytes, size_t count) {
    const unsigned char *b = bytes;

    for (size_t i = 0; i < count; i++) { /* FNV-1a */
        f->print = (f->print ^ b[i]) * 1099511628211u;
    }
}

static bool stir_move(void *context, const th_move *move, th_error *err) {
    fingerprint *f = context;
    const slow_text_line *line = line_of(f->program, move);
    bool slower = line && feeds(move) && line->scale < 1;
    double feed = slower ? slow_feed(f->program, (size_t)move->line) : move->feed;
    long long rounded = llround(feed * 1e4);

    if (slower && f->changed && fabs(move->feed - feed) > 1e-6 * feed) {
        return th_fail_at(err, TH_NOT_SOLVED, NULL, move->line,
                          "the slowed program feeds %.6g mm/min here instead of %.6g; nothing is "
                          "written",
                          move->feed, feed);
    }
    stir(f, &move->line, sizeof move->line);
    stir(f, move->to, sizeof move->to);
    stir(f, &move->sweep, sizeof move->sweep);
    stir(f, &rounded, sizeof rounded);
    return true;
}

bool slow_program_same(const slow_program *program, const th_text *text, th_error *err) {
    fingerprint before = {program, false, 14695981039346656037u};
    fingerprint after = {program, true, 14695981039346656037u};

    if (!read_moves(program, program->text, program->size, stir_move, &before, err) ||
        !read_moves(program, text->data, text->size, stir_move, &after, err)) {
        return false;
    }
    return before.print == after.print ||
           th_fail(err, TH_NOT_SOLVED,
                   "the slowed program does not make the same moves; nothing is written");
}
