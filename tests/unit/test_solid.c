/* test_solid.c - the plate on a layer against three-dimensional solids on the same tape.
 *
 * Reads tests/reference/solid_cases.txt (invented parts) and tests/reference/solid.txt (what
 * CalculiX, an independent finite element program, makes of them: tests/reference/solid.py). */
#include "support/near.h"
#include "support/solid_case.h"

#include <math.h>
#include <string.h>

static const char *const cases_path = "tests/reference/solid_cases.txt";
static const char *const record_path = "tests/reference/solid.txt";

typedef struct {
    double shear_peak, lift_peak, hold_factor;
} th_peaks;

static th_peaks read_record(const char *name) {
    FILE *file = fopen(record_path, "r");
    char line[SOLID_LINE], word[64];
    th_peaks peaks = {0};
    bool found = false;

    assert_non_null(file);
    while (!found && solid_next_line(file, line)) {
        found = sscanf(line, "%63s %lf %lf %lf", word, &peaks.shear_peak, &peaks.lift_peak,
                       &peaks.hold_factor) == 4 &&
                strcmp(word, name) == 0;
    }
    fclose(file);
    if (!found) {
        fail_msg("no record of %s", name);
    }
    return peaks;
}

/* Hold factor by the quadratic index on the grid that settled. */
static double hold_factor(const solid_case *c, const th_plate_sheet *sheet, double per_length) {
    th_plate_options options = {.per_length = per_length};
    th_plate_model *model = NULL;
    th_plate_field field;
    th_plate_mesh mesh;
    double worst = 0;
    th_error err;

    if (!th_plate_mesh_make(sheet, &c->load.spot, 1, &options, &mesh, &err) ||
        !th_plate_model_make(&mesh.grid, &options, &model, &err) ||
        !th_plate_solve(model, &c->load, 1, &field, &err)) {
        fail_msg("%s: %s", c->name, err.message);
    }
    for (size_t n = 0; n < field.count; n++) {
        worst = fmax(worst, hypot(hypot(field.shear_x[n], field.shear_y[n]) / c->shear_strength,
                                  fmax(field.lift[n], 0) / c->lift_strength));
    }
    th_plate_field_free(&field);
    th_plate_model_free(model);
    th_plate_mesh_free(&mesh);
    return 1 / worst;
}

static th_peaks plate_peaks(solid_case *c) {
    th_plate_sheet sheet = solid_sheet(c);
    th_plate_answer answer;
    th_error err;

    if (!th_plate_refine(&sheet, &c->load, 1, NULL, &answer, &err)) {
        fail_msg("%s: %s", c->name, err.message);
    }
    return (th_peaks){answer.shear_peak, answer.lift_peak,
                      hold_factor(c, &sheet, answer.per_length)};
}

static bool near_by(const char *name, const char *what, double plate, double solid) {
    double off = plate / solid - 1;

    print_message("%-20s %-11s solid %.5g, plate %+.2f %%\n", name, what, solid, 100 * off);
    return fabs(off) <= 0.025;
}

/* Within 2.5 % (at most 2 % when recorded), all cases looked at before any fails. What plate theory
 * leaves out reaches no further than about a thickness from the load or a step. */
static void plates_match_solids(void **state) {
    FILE *file = fopen(cases_path, "r");
    char line[SOLID_LINE];
    int count = 0, good = 0;

    (void)state;
    assert_non_null(file);
    for (; solid_next_line(file, line); count++) {
        th_peaks solid, plate;
        solid_case c;

        if (!solid_read_case(line, &c)) {
            fail_msg("not a case: %s", line);
        }
        solid = read_record(c.name);
        plate = plate_peaks(&c);
        good += near_by(c.name, "shear peak", plate.shear_peak, solid.shear_peak);
        good += near_by(c.name, "lift peak", plate.lift_peak, solid.lift_peak);
        good += near_by(c.name, "hold factor", plate.hold_factor, solid.hold_factor);
    }
    fclose(file);
    assert_true(count >= 6);
    assert_int_equal(good, 3 * count);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(plates_match_solids)};

    return cmocka_run_group_tests(tests, NULL, NULL);
}
