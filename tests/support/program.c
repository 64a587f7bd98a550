/* program.c - programs read in tests. */
#include "support/program.h"

#include <math.h>
#include <string.h>

th_program_options starting_at(double x, double y, double z) {
    th_program_options options = th_program_defaults();

    options.start[0] = x;
    options.start[1] = y;
    options.start[2] = z;
    return options;
}

static bool keep(void *context, const th_move *move, th_error *err) {
    program_reading *result = context;

    (void)err;
    if (result->count < MOVES_KEPT) {
        result->moves[result->count] = *move;
    }
    result->count++;
    return true;
}

static void check_arc(const th_move *m) {
    double x = m->from[m->axes[0]] - m->centre[0], y = m->from[m->axes[1]] - m->centre[1];
    double end[2] = {m->to[m->axes[0]] - m->centre[0], m->to[m->axes[1]] - m->centre[1]};
    double scale = hypot(end[0], end[1]) / hypot(x, y);

    assert_near(scale * (x * cos(m->sweep) - y * sin(m->sweep)), end[0], 1e-9, 1e-9);
    assert_near(scale * (x * sin(m->sweep) + y * cos(m->sweep)), end[1], 1e-9, 1e-9);
    assert_true(m->sweep != 0);
}

static void check_moves(const program_reading *result) {
    size_t kept = result->count < MOVES_KEPT ? result->count : MOVES_KEPT;

    for (size_t i = 0; i < kept; i++) {
        const th_move *m = &result->moves[i];
        bool cuts = m->kind == TH_MOVE_LINE || m->kind == TH_MOVE_ARC;
        assert_true(m->line >= 1 && m->line <= result->report.lines);
        assert_true(cuts == (m->feed > 0));
        for (int a = 0; a < 3; a++) {
            assert_true(isfinite(m->from[a]) && isfinite(m->to[a]));
        }
        if (m->kind == TH_MOVE_ARC) {
            check_arc(m);
        }
    }
}

void read_any(const char *text, const th_program_options *options, program_reading *result) {
    th_program_options zero = starting_at(0, 0, 0);

    memset(result, 0, sizeof *result);
    result->done = th_program_read(text, strlen(text), options ? options : &zero, keep, result,
                                   &result->report, &result->err);
    check_moves(result);
}

void read_good(const char *text, const th_program_options *options, program_reading *result) {
    read_any(text, options, result);
    if (!result->done) {
        fail_msg("line %d: %s", result->err.line, result->err.message);
    }
}

void read_bad(const char *text, const th_program_options *options, int line, const char *piece) {
    program_reading result;

    read_any(text, options, &result);
    if (result.done) {
        fail_msg("accepted: %s", text);
    }
    if (result.err.line != line || !strstr(result.err.message, piece)) {
        fail_msg("%s: line %d: %s", text, result.err.line, result.err.message);
    }
    program_reading_free(&result);
}

void assert_warned(const program_reading *result, int line, bool doubt, const char *piece) {
    for (size_t i = 0; i < result->report.warning_count; i++) {
        const th_program_warning *w = &result->report.warnings[i];
        if (w->line == line && w->doubt == doubt && strstr(w->text, piece)) {
            return;
        }
    }
    fail_msg("line %d: no warning with \"%s\" (%d of %d in doubt)", line, piece,
             (int)result->report.doubts, (int)result->report.warning_count);
}

void assert_reading(const program_reading *result, const char *piece) {
    for (size_t i = 0; i < result->report.readings.count; i++) {
        if (strstr(result->report.readings.items[i], piece)) {
            return;
        }
    }
    fail_msg("no reading with \"%s\"", piece);
}

void assert_move(const program_reading *result, size_t index, th_move_kind kind, double x, double y,
                 double z) {
    const th_move *m = &result->moves[index];

    assert_true(index < result->count);
    assert_int_equal(m->kind, kind);
    assert_near(m->to[0], x, 0, 1e-9);
    assert_near(m->to[1], y, 0, 1e-9);
    assert_near(m->to[2], z, 0, 1e-9);
}

void assert_arc(const program_reading *result, size_t index, double first, double second,
                double sweep) {
    const th_move *m = &result->moves[index];

    assert_true(index < result->count);
    assert_int_equal(m->kind, TH_MOVE_ARC);
    assert_near(m->centre[0], first, 0, 1e-9);
    assert_near(m->centre[1], second, 0, 1e-9);
    assert_near(m->sweep, sweep, 0, 1e-9);
}

void program_reading_free(program_reading *result) {
    th_program_report_free(&result->report);
}
