/* test_rivals.c - which interface of a stack may govern, and where the grid has its lines. */
#include <math.h>

#include "grip.h"
#include "support/near.h"

/* What is stronger than another interface in one way, and no weaker in any, is never told, whatever
 * side of it lies nearer the part; of two alike the one nearer the part is. Under a second no
 * strength is lost with time. */
static void what_is_nowhere_weaker_never_governs(void **state) {
    const th_interface weak = {.name = "weak", .shear = 1, .lift = 0.5, .time_exponent = 0.1};

    (void)state;
    for (int way = 0; way < 4; way++) {
        for (size_t first = 0; first < 2; first++) {
            th_stack stack = {.count = 2, .interfaces = {weak, weak}};
            th_interface *strong = &stack.interfaces[first];
            bond_rivals field;
            strong->shear *= way == 0 ? 2 : 1;
            strong->lift *= way == 1 ? 2 : 1;
            strong->time_exponent *= way == 2 ? 2 : 1;
            field = th_bond_rivals_of(&stack, TH_SUSTAINED, 1);
            assert_int_equal(field.count, 1);
            assert_int_equal(field.items[0].number, way == 3 ? 0 : 1 - first);
        }
    }
}

/* Neither of two may be left out where each is the weaker one in something. */
static void each_that_is_weaker_somewhere_may_govern(void **state) {
    const th_interface weak = {.name = "weak", .shear = 1, .lift = 0.5, .time_exponent = 0.1};

    (void)state;
    for (int way = 0; way < 3; way++) {
        th_stack stack = {.count = 2, .interfaces = {weak, weak}};
        stack.interfaces[0].shear *= way == 0 ? 1 : 2;
        stack.interfaces[0].lift *= way == 1 ? 1 : 2;
        stack.interfaces[1].shear *= way == 0 ? 2 : 1;
        stack.interfaces[1].lift *= way == 1 ? 2 : 1;
        stack.interfaces[way == 2].time_exponent = 0.2;
        assert_int_equal(th_bond_rivals_of(&stack, TH_SUSTAINED, 1).count, 2);
    }
}

static double nearest_line(const double *at, size_t count, double x) {
    double nearest = INFINITY;

    for (size_t i = 0; i < count; i++) {
        nearest = fmin(nearest, fabs(at[i] - x));
    }
    return nearest;
}

/* A load that stands alone stands on a line of the grid in either direction, so that its middle is
 * a node: the deflection is steepest there. */
static void a_load_stands_on_lines(void **state) {
    th_plate_sheet sheet = {.x1 = 80, .y1 = 50, .thickness = 3, .coverage = 1};

    (void)state;
    sheet.material = (th_plate_material){70000, 0.33, 0.5, 0.8, 1};
    for (int i = 0; i < 40; i++) {
        th_plate_spot spot = {20 + 0.77 * i, 10.3 + 0.61 * i, 2};
        th_plate_mesh mesh;
        th_error err;
        assert_true(th_plate_mesh_make(&sheet, &spot, 1, NULL, &mesh, &err));
        assert_near(nearest_line(mesh.grid.xs, mesh.grid.nx + 1, spot.x), 0, 0, 1e-9);
        assert_near(nearest_line(mesh.grid.ys, mesh.grid.ny + 1, spot.y), 0, 0, 1e-9);
        th_plate_mesh_free(&mesh);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_nowhere_weaker_never_governs),
        cmocka_unit_test(each_that_is_weaker_somewhere_may_govern),
        cmocka_unit_test(a_load_stands_on_lines),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
