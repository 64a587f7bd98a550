/* slow.c - how far feeds must come down, by running the program again and again. */
#include "slow.h"
#include "answer.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROUNDS = 7, TIGHTER = 3, WHOLE_RUNS = 8 };

#define COARSER 2.5 /* cells of the search: it is the run at the end that counts */

#define FIRST_TRY 0.5
#define LEAST_SCALE 0.05 /* of a feed that cuts no chip in the plane */
#define NEAR 0.04        /* between what holds and what does not */
#define CHIP_SLACK 0.01  /* feeds and chips are rounded to half a percent (-) */

static const char too_thin[] = "it would rub (below the smallest chip) before it holds";

/* A line on its way down. */
typedef struct {
    int line;
    double ratio;     /* by which bending lowers its hold factor */
    double margin;    /* over the asked factor */
    double least;     /* scale at which its chip is the stock's smallest */
    double tried;     /* scale of the run at hand */
    double good, bad; /* scales that hold, or do not; good 0: none yet */
    double good_index, bad_index;
    bool hopeless;
    bool newly; /* it was well while nothing was slower; a trial made it short */
} descent;

typedef struct {
    const th_run_options *options;
    const th_run *run; /* the first one */
    slow_program program;
    descent *lines;
    size_t count, capacity;
    float *scale;
    size_t runs;
} search;

/* ---- descents --------------------------------------------------------------------------------
 */

static double index_of(double factor) {
    return factor > 1e-6 ? 1 / factor : 1e6;
}

static bool add_line(search *s, const th_line_load *load, size_t line, bool newly, th_error *err) {
    double chip = load->plunges ? INFINITY : (double)load->max_chip;
    double area = (double)load->area_factor;
    double smallest = s->options->job->part.stock->smallest_chip;
    descent d = {.line = (int)line,
                 .ratio = load->hold_factor > 0 ? area / (double)load->hold_factor : 1,
                 .margin = 1.005,
                 .least = chip > 0 ? smallest / chip : LEAST_SCALE,
                 .bad = 1,
                 .bad_index = index_of(area),
                 .newly = newly};

    if (s->count == s->capacity) {
        size_t capacity = s->capacity ? 2 * s->capacity : 64;
        descent *lines = realloc(s->lines, capacity * sizeof *lines);
        if (!lines) {
            return th_fail_memory(err);
        }
        s->lines = lines;
        s->capacity = capacity;
    }
    d.least = fmax(d.least, LEAST_SCALE);
    s->program.lines[line].least = d.least;
    d.hopeless = d.least >= 0.99 || s->program.lines[line].why_not != NULL ||
                 !(s->program.lines[line].feed > 0);
    d.tried = d.hopeless ? 1 : fmax(FIRST_TRY, d.least);
    s->program.lines[line].searched = true;
    s->lines[s->count++] = d;
    s->scale[line] = (float)d.tried;
    return true;
}

static double wanted_index(const search *s, const descent *d) {
    return 1 / (s->run->asked_factor * d->ratio * d->margin);
}

/* The index is near to a straight line over the feed. */
static double next_scale(const search *s, const descent *d) {
    double wanted = 0.995 * wanted_index(s, d), lower = d->least, upper = d->bad, next;

    if (d->good > 0) {
        double span = d->bad - d->good;
        if (d->bad_index >= index_of(0)) {
            return d->good + 0.5 * span; /* too warm, by how much it does not say */
        }
        next = d->good + span * (wanted - d->good_index) / (d->bad_index - d->good_index);
        return fmin(fmax(next, d->good + 0.1 * span), d->bad - 0.1 * span);
    }
    double first = index_of((double)s->run->lines[d->line].area_factor);
    double slope = (first - d->bad_index) / (1 - d->bad);
    next = slope > 0 ? d->bad - 1.02 * (d->bad_index - wanted) / slope : lower;
    return fmin(fmax(next, lower), 0.9 * upper);
}

/* What a run says of a line; true: it is to be run again. */
static bool step_down(const search *s, descent *d, const th_run *run) {
    double index =
        (size_t)d->line < run->line_count ? index_of((double)run->lines[d->line].area_factor) : 0;

    if (d->hopeless) {
        return false;
    }
    if (index <= wanted_index(s, d)) {
        d->good = d->tried;
        d->good_index = index;
    } else {
        d->bad = d->tried;
        d->bad_index = index;
    }
    if (d->good > 0 && d->bad - d->good < NEAR) {
        d->tried = d->good;
        return false;
    }
    if (!(d->good > 0) && d->bad <= d->least * 1.001) {
        d->hopeless = true;
        d->tried = 1;
        return true;
    }
    d->tried = next_scale(s, d);
    d->tried = fmax(d->tried, d->least);
    return true;
}

/* ---- runs ------------------------------------------------------------------------------------
 */

static bool try_run(search *s, th_run *run, th_error *err) {
    th_run_options options = *s->options;

    options.scale = s->scale;
    options.scale_count = s->program.count;
    options.plates = 0;
    options.cell = COARSER * s->run->cell;
    s->runs++;
    return th_run_program(s->program.text, s->program.size, &options, run, err);
}

/* Lines that were well and are not, because others changed. */
static bool add_newly_short(search *s, const th_run *run, bool *again, th_error *err) {
    for (size_t i = 1; i < run->line_count && i < s->program.count && i < s->run->line_count; i++) {
        const th_line_load *first = &s->run->lines[i];
        double ratio =
            first->hold_factor > 0 ? (double)first->area_factor / (double)first->hold_factor : 1;
        if ((double)run->lines[i].area_factor < s->run->asked_factor * ratio &&
            !s->program.lines[i].searched) {
            *again = true;
            if (!add_line(s, first, i, true, err)) {
                return false;
            }
        }
    }
    return true;
}

static bool one_round(search *s, bool *again, th_error *err) {
    th_run run;
    bool fine;

    if (!try_run(s, &run, err)) {
        return false;
    }
    *again = false;
    for (size_t i = 0; i < s->count; i++) {
        *again = step_down(s, &s->lines[i], &run) || *again;
        s->scale[s->lines[i].line] = (float)s->lines[i].tried;
    }
    fine = add_newly_short(s, &run, again, err);
    th_run_free(&run);
    return fine;
}

static bool go_down(search *s, th_error *err) {
    bool again = s->count > 0;

    for (int round = 0; again && round < ROUNDS; round++) {
        if (!one_round(s, &again, err)) {
            return false;
        }
    }
    for (size_t i = 0; i < s->count; i++) {
        descent *d = &s->lines[i];
        d->hopeless = d->hopeless || !(d->good > 0);
        d->tried = d->hopeless ? 1 : d->good;
        s->scale[d->line] = d->newly ? 1 : (float)d->tried; /* unless it turns out short */
    }
    return true;
}

/* ---- the text --------------------------------------------------------------------------------
 */

static bool write_text(search *s, th_slow *slow, th_error *err) {
    for (size_t i = 1; i < s->program.count; i++) {
        s->program.lines[i].scale = s->scale[i];
    }
    th_text_free(&slow->text);
    slow->text = (th_text){0};
    return slow_program_settle(&s->program, err) &&
           slow_program_write(&s->program, &slow->text, err) &&
           slow_program_same(&s->program, &slow->text, err);
}

/* Lines that came out short when all was put together come down a little more, and such as were to
 * be left as they are come down at all. */
static bool tighten(search *s, const th_run *after) {
    bool again = false;

    for (size_t i = 0; i < s->count; i++) {
        descent *d = &s->lines[i];
        bool changed = s->program.lines[d->line].scale < 1;
        bool come_down = changed || (d->newly && d->tried < 1);
        double got = come_down && (size_t)d->line < after->line_count
                         ? (double)after->lines[d->line].hold_factor / s->run->asked_factor
                         : 1;
        if (got < 1) {
            again = true;
            /* the edge's own force does not go with the feed */
            d->tried = changed ? fmax(d->tried * fmax(0.97 * got * got, 0.5), d->least) : d->tried;
            s->scale[d->line] = (float)d->tried;
        }
    }
    return again;
}

static size_t changed_lines(const search *s) {
    size_t count = 0;

    for (size_t i = 0; i < s->count; i++) {
        count += s->program.lines[s->lines[i].line].scale < 1;
    }
    return count;
}

/* A chip that comes out thinner than the edge cuts, as the line is engaged otherwise than it was:
 * the feed of such a line is given back. */
static bool give_back_thin(search *s, const th_run *after) {
    double smallest = s->options->job->part.stock->smallest_chip;
    bool again = false;

    for (size_t i = 0; i < s->count; i++) {
        descent *d = &s->lines[i];
        slow_text_line *line = &s->program.lines[d->line];
        double chip =
            line->scale < 1 && (size_t)d->line < after->line_count && !after->lines[d->line].plunges
                ? (double)after->lines[d->line].max_chip
                : INFINITY;
        if (chip < smallest * (1 - CHIP_SLACK)) {
            line->why_not = too_thin;
            d->tried = 1;
            s->scale[d->line] = 1;
            again = true;
        }
    }
    return again;
}

static void give_back_all(search *s) {
    for (size_t i = 0; i < s->count; i++) {
        slow_text_line *line = &s->program.lines[s->lines[i].line];
        line->why_not = line->scale < 1 ? too_thin : line->why_not;
        s->scale[s->lines[i].line] = 1;
    }
}

/* Runs it whole; where lines come out short they are brought down further, a few times. */
static bool run_text(search *s, th_slow *slow, th_error *err) {
    bool again = true;

    for (int i = 0; again; i++) { /* ends, as lines given back stay so */
        th_run_options options = *s->options;
        th_run_free(&slow->after);
        if (i == WHOLE_RUNS) {
            give_back_all(s);
        }
        if (!write_text(s, slow, err)) {
            return false;
        }
        slow->changed = changed_lines(s);
        if (slow->changed == 0) {
            return true;
        }
        options.scale = NULL;
        s->runs++;
        if (!th_run_program(slow->text.data, slow->text.size, &options, &slow->after, err)) {
            return false;
        }
        again = i < TIGHTER && tighten(s, &slow->after);
        again = give_back_thin(s, &slow->after) || again;
    }
    return true;
}

/* ---- the whole -------------------------------------------------------------------------------
 */

static int by_line(const void *a, const void *b) {
    const th_slow_line *x = a, *y = b;

    return (x->line > y->line) - (x->line < y->line);
}

static const char *why_not(const search *s, const descent *d) {
    const slow_text_line *line = &s->program.lines[d->line];

    if (line->why_not) {
        return line->why_not;
    }
    return s->program.unfit         ? s->program.unfit
           : !(line->feed > 0)      ? "it moves at rapid"
           : d->least >= 0.99       ? "it rubs already (its chip is the smallest, or below)"
           : d->least > LEAST_SCALE ? too_thin
                                    : "no lower feed is enough";
}

static bool falls_short(const th_slow *slow, size_t line) {
    const th_run *after = &slow->after;

    return line < after->line_count && (double)after->lines[line].hold_factor < after->asked_factor;
}

/* Lines of the changed program that fall short and had not. */
static bool newly_short(const search *s, const th_slow *slow, size_t line) {
    return slow->changed > 0 && line < s->program.count && !s->program.lines[line].searched &&
           falls_short(slow, line);
}

static void list_newly_short(const search *s, th_slow *slow) {
    for (size_t i = 1; i < slow->after.line_count; i++) {
        if (newly_short(s, slow, i)) {
            slow->lines[slow->count++] =
                (th_slow_line){.line = (int)i,
                               .from = s->program.lines[i].feed,
                               .hold_factor = (double)slow->after.lines[i].hold_factor,
                               .why_not = "it falls short where the lines before it are slower"};
        }
    }
}

static bool list_lines(search *s, th_slow *slow, th_error *err) {
    size_t room = s->count + 1;

    for (size_t i = 1; i < slow->after.line_count; i++) {
        room += newly_short(s, slow, i);
    }
    slow->lines = th_arena_take(&slow->arena, room * sizeof *slow->lines);
    if (!slow->lines) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < s->count; i++) {
        const descent *d = &s->lines[i];
        const slow_text_line *line = &s->program.lines[d->line];
        bool changed = line->scale < 1;
        const th_run *run = changed || d->newly ? &slow->after : s->run;
        if (d->newly && !changed && !falls_short(slow, (size_t)d->line)) {
            continue; /* as the feeds are in the end, it is well */
        }
        slow->lines[slow->count++] =
            (th_slow_line){.line = d->line,
                           .from = line->feed,
                           .to = changed ? slow_feed(&s->program, (size_t)d->line) : 0,
                           .hold_factor = (double)run->lines[d->line].hold_factor,
                           .why_not = changed ? NULL : why_not(s, d)};
    }
    list_newly_short(s, slow);
    qsort(slow->lines, slow->count, sizeof *slow->lines, by_line);
    slow->runs = s->runs;
    return true;
}

static bool find(search *s, th_slow *slow, th_error *err) {
    th_arena arena = {0};
    answer_tools tools;
    th_program_options reading = s->options->reading;
    bool fine = answer_tools_of(s->options->job, &arena, &tools, err);

    if (fine) {
        reading.tools = tools.table;
        reading.tool_count = tools.table_count;
        s->program.reading = &reading;
        fine = slow_program_scan(&s->program, err) && slow_program_trace(&s->program, err);
    }
    s->scale = fine ? malloc(s->program.count * sizeof *s->scale) : NULL;
    fine = fine && (s->scale || th_fail_memory(err));
    for (size_t i = 0; fine && i < s->program.count; i++) {
        s->scale[i] = 1;
        s->program.lines[i].why_not = s->program.unfit;
    }
    for (size_t i = 1; fine && i < s->run->line_count && i < s->program.count; i++) {
        if ((double)s->run->lines[i].hold_factor < s->run->asked_factor) {
            fine = add_line(s, &s->run->lines[i], i, false, err);
        }
    }
    fine = fine && go_down(s, err) && run_text(s, slow, err) && list_lines(s, slow, err);
    th_arena_free(&arena);
    return fine;
}

bool th_slow_find(const char *text, size_t size, const th_run_options *options, const th_run *run,
                  th_slow *slow, th_error *err) {
    search s = {.options = options, .run = run, .program = {.text = text, .size = size}};
    bool fine;

    *slow = (th_slow){.count = 0};
    fine = find(&s, slow, err);
    slow_program_free(&s.program);
    free(s.lines);
    free(s.scale);
    if (!fine) {
        th_slow_free(slow);
    }
    return fine;
}

void th_slow_free(th_slow *slow) {
    if (slow) {
        th_run_free(&slow->after);
        th_text_free(&slow->text);
        th_arena_free(&slow->arena);
        *slow = (th_slow){.count = 0};
    }
}
