/* test_program_points.c - an invented program of some 400 lines, read by us and by an independent
 * interpreter of the language, the npm package gcode-toolpath 3.0.0: the same ends and centres.
 * tests/reference/program_points.js made the program and the record, and says how. */
#include "support/near.h"
#include "tackhold/program.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    FILE *record;
    int lines, arcs;
} comparison;

/* The record's next move that goes somewhere; its centre where it is an arc. */
static bool next_record(FILE *record, char *kind, double from[3], double to[3], double centre[2],
                        char plane[8]) {
    char line[400];

    while (fgets(line, sizeof line, record)) {
        *kind = line[0];
        if (*kind == 'A') {
            assert_int_equal(sscanf(line, "A %7s %lf %lf %lf %lf %lf %lf %lf %lf", plane, &from[0],
                                    &from[1], &from[2], &to[0], &to[1], &to[2], &centre[0],
                                    &centre[1]),
                             9);
            return true;
        }
        assert_int_equal(sscanf(line, "L %lf %lf %lf %lf %lf %lf", &from[0], &from[1], &from[2],
                                &to[0], &to[1], &to[2]),
                         6);
        if (memcmp(from, to, 3 * sizeof *from) != 0) {
            return true;
        }
    }
    return false;
}

static bool compare(void *context, const th_move *move, th_error *err) {
    comparison *c = context;
    double from[3], to[3], centre[2];
    char kind, plane[8] = "G17";
    (void)err;

    assert_true(next_record(c->record, &kind, from, to, centre, plane));
    assert_int_equal(kind == 'A', move->kind == TH_MOVE_ARC);
    for (int i = 0; i < 3; i++) {
        int axis = kind == 'A' ? move->axes[i] : i;
        assert_near(move->from[axis], from[i], 0, 2e-9);
        assert_near(move->to[axis], to[i], 0, 2e-9);
    }
    c->lines++;
    if (kind == 'A') {
        c->arcs++;
        assert_int_equal(move->axes[2], '9' - plane[2]);
        assert_near(move->centre[0], centre[0], 0, 2e-9);
        assert_near(move->centre[1], centre[1], 0, 2e-9);
    }
    return true;
}

static char *slurp(const char *path, size_t *size) {
    FILE *file = fopen(path, "rb");
    char *text = malloc(100000);

    assert_non_null(file);
    assert_non_null(text);
    *size = fread(text, 1, 100000, file);
    fclose(file);
    return text;
}

static void test_same_points(void **state) {
    th_program_options options = th_program_defaults();
    comparison c = {.record = fopen("tests/reference/program_points.txt", "r")};
    th_program_report report;
    size_t size;
    char *text = slurp("tests/reference/program_points.nc", &size), kind, plane[8];
    double point[3], centre[2];
    th_error err = {0};
    (void)state;
    assert_non_null(c.record);
    memset(options.start, 0, sizeof options.start);
    assert_true(th_program_read(text, size, &options, compare, &c, &report, &err));
    assert_false(next_record(c.record, &kind, point, point, centre, plane));
    assert_true(c.lines > 300 && c.arcs > 100);
    th_program_report_free(&report);
    fclose(c.record);
    free(text);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_same_points)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
