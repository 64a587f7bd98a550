/* bench.c - times of the plate model, for bench.py.
 *
 *   bench refine CASES CASE     until the traction settles within 1 %
 *   bench factor NX NY          factor and 60 right-hand sides, on the part of plate_case.h
 *   bench sweep                 1,000 places on a sheet of 300 x 200 x 0.5 mm
 *   bench turn CUT              the load of one pass through one turn
 *   bench deepest CUT           what spindle, cutter and chip allow at 14 radial engagements
 *
 * CUT: kc11 mc edge_chip friction_angle smallest_chip diameter flutes helix runout flute_length
 * stickout radial axial chip_load speed spindle_power. Prints one line of numbers each; turn and
 * deepest print their results below it. */
#define _POSIX_C_SOURCE 200809L
#include "support/plate_case.h"
#include "support/solid_case.h"
#include "tackhold/cutting.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { REPEATS = 7, SPOTS = 10, PLACES_X = 40, PLACES_Y = 25, SAMPLES = 12 };

static double now(void) {
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void stop(const char *what, const th_error *err) {
    fprintf(stderr, "bench: %s: %s\n", what, err ? err->message : "no such thing");
    exit(3);
}

typedef struct {
    double shear, lift;
} th_peaks;

static bool within(th_peaks a, th_peaks exact) {
    return fabs(a.shear / exact.shear - 1) < 0.01 && fabs(a.lift / exact.lift - 1) < 0.01;
}

/* Peaks on one grid of that fineness; seconds are the least of several. */
static th_peaks solve_once(const solid_case *c, const th_plate_sheet *sheet, double per_length,
                           double *seconds) {
    th_plate_options options = {.per_length = per_length, .memory = 4e9};
    th_peaks peaks = {0};

    *seconds = INFINITY;
    for (int r = 0; r < REPEATS; r++) {
        double began = now();
        th_plate_model *model = NULL;
        th_plate_mesh mesh;
        th_plate_field field;
        th_error err;

        if (!th_plate_mesh_make(sheet, &c->load.spot, 1, &options, &mesh, &err) ||
            !th_plate_model_make(&mesh.grid, &options, &model, &err) ||
            !th_plate_solve(model, &c->load, 1, &field, &err)) {
            stop(c->name, &err);
        }
        peaks = (th_peaks){field.shear_peak, field.lift_peak};
        th_plate_field_free(&field);
        th_plate_model_free(model);
        th_plate_mesh_free(&mesh);
        *seconds = fmin(*seconds, now() - began);
    }
    return peaks;
}

/* The coarsest grid whose peaks, like those of the next finer one, are within 1 %. */
static double coarsest(const solid_case *c, const th_plate_sheet *sheet, th_peaks exact,
                       double *seconds) {
    double per_length, before = INFINITY;
    bool good = false;

    for (per_length = 1; per_length < 60; per_length *= 1.5) {
        bool now_good = within(solve_once(c, sheet, per_length, seconds), exact);

        if (good && now_good) {
            break;
        }
        good = now_good;
        before = *seconds;
    }
    *seconds = before;
    return per_length / 1.5;
}

/* Seconds of th_plate_refine at 1 % (least of several), how far its peaks are from those at 0.1 %,
 * then seconds and fineness of the coarsest grid within 1 % of those. */
static void bench_refine(const char *path, const char *name) {
    th_plate_options exact = {.tolerance = 1e-3, .memory = 4e9};
    th_plate_answer answer, close;
    double least = INFINITY, off, seconds, per_length;
    th_plate_sheet sheet;
    solid_case c;
    th_error err;

    if (!solid_find_case(path, name, &c)) {
        stop(name, NULL);
    }
    sheet = solid_sheet(&c);
    for (int r = 0; r < REPEATS; r++) {
        double began = now();

        if (!th_plate_refine(&sheet, &c.load, 1, NULL, &answer, &err)) {
            stop(name, &err);
        }
        least = fmin(least, now() - began);
    }
    if (!th_plate_refine(&sheet, &c.load, 1, &exact, &close, &err)) {
        stop(name, &err);
    }
    off = fmax(fabs(answer.shear_peak / close.shear_peak - 1),
               fabs(answer.lift_peak / close.lift_peak - 1));
    per_length = coarsest(&c, &sheet, (th_peaks){close.shear_peak, close.lift_peak}, &seconds);
    printf("%.6f %.6f %.6f %.4g\n", least, off, seconds, per_length);
}

static bool nothing(void *context, const th_plate_influence *influence, th_error *err) {
    (void)err;
    *(double *)context += influence->unit[TH_UNIT_FZ][2];
    return true;
}

/* Seconds to assemble and factor, and for 60 right-hand sides: least of each. */
static void bench_factor(size_t nx, size_t ny) {
    th_plate_grid grid = plate_case(nx, ny);
    double factor = INFINITY, solve = INFINITY, sum = 0;
    th_plate_sink sink = {nothing, &sum};
    th_plate_spot spots[SPOTS];
    th_error err;

    for (int s = 0; s < SPOTS; s++) {
        spots[s] = (th_plate_spot){3 + 5 * s, 3 + 3 * s, 3};
    }
    for (int r = 0; r < REPEATS; r++) {
        th_plate_model *model;
        double began = now(), middle;

        if (!th_plate_model_make(&grid, NULL, &model, &err)) {
            stop("factor", &err);
        }
        middle = now();
        if (!th_plate_model_influence(model, spots, SPOTS, sink, &err)) {
            stop("solve", &err);
        }
        factor = fmin(factor, middle - began);
        solve = fmin(solve, now() - middle);
        th_plate_model_free(model);
    }
    plate_case_free(&grid);
    printf("%.6f %.6f\n", factor, solve);
}

/* ---- the sheet ------------------------------------------------------------------------------- */

static const th_plate_load push = {.fx = 8, .fy = 3, .fz = 4, .z = 0.5};

typedef struct {
    double shear[PLACES_X * PLACES_Y], lift[PLACES_X * PLACES_Y];
} th_found;

/* Peaks of the push at one place. */
static bool keep(void *context, const th_plate_influence *influence, th_error *err) {
    const double factor[TH_UNITS] = {push.fx,           push.fy,          push.fz,
                                     -push.z * push.fy, push.z * push.fx, 0};
    th_found *found = context;
    double shear = 0, lift = 0;

    (void)err;
    for (size_t n = 0; n < influence->nodes->count; n++) {
        double t[3] = {0};

        for (int u = 0; u < TH_UNITS; u++) {
            for (int k = 0; k < 3; k++) {
                t[k] += factor[u] * influence->unit[u][3 * n + (size_t)k];
            }
        }
        shear = fmax(shear, t[0] * t[0] + t[1] * t[1]);
        lift = fmax(lift, t[2]);
    }
    found->shear[influence->spot] = sqrt(shear);
    found->lift[influence->spot] = lift;
    return true;
}

/* Largest relative error of a peak over some places, against grids refined to 0.2 %. */
static double largest_error(const th_plate_sheet *sheet, const th_plate_spot *spots,
                            const th_found *found) {
    th_plate_options exact = {.per_length = 10, .tolerance = 2e-3, .memory = 4e9};
    double worst = 0;

    for (size_t s = 0; s < SAMPLES; s++) {
        size_t place = s * (PLACES_X * PLACES_Y - 1) / (SAMPLES - 1);
        th_plate_load load = push;
        th_plate_answer answer;
        th_error err;

        load.spot = spots[place];
        if (!th_plate_refine(sheet, &load, 1, &exact, &answer, &err)) {
            stop("sample", &err);
        }
        worst = fmax(worst, fabs(found->shear[place] / answer.shear_peak - 1));
        worst = fmax(worst, fabs(found->lift[place] / answer.lift_peak - 1));
    }
    return worst;
}

/* Peak resident memory of this program (MB); getrusage would count what it was forked from. */
static double peak_memory(void) {
    FILE *file = fopen("/proc/self/status", "r");
    double kilobytes = NAN;
    char line[256];

    while (file && fgets(line, sizeof line, file) && sscanf(line, "VmHWM: %lf", &kilobytes) != 1) {
    }
    if (file) {
        fclose(file);
    }
    return kilobytes / 1024;
}

/* Seconds, peak memory (MB), error. */
static void bench_sweep(void) {
    static th_found found;
    static th_plate_spot spots[PLACES_X * PLACES_Y];
    th_plate_sheet sheet = {.x1 = 300,
                            .y1 = 200,
                            .thickness = 0.5,
                            .material = {3200, 0.37, 0.142, 0.302, 1},
                            .coverage = 1};
    th_plate_sink sink = {keep, &found};
    th_error err;
    double took, memory;

    for (int s = 0; s < PLACES_X * PLACES_Y; s++) {
        spots[s] = (th_plate_spot){1.5 + 297.0 * (s % PLACES_X) / (PLACES_X - 1),
                                   1.5 + 197.0 * (s / PLACES_X) / (PLACES_Y - 1), 3};
    }
    took = now();
    if (!th_plate_sweep(&sheet, spots, PLACES_X * PLACES_Y, NULL, sink, &err)) {
        stop("sweep", &err);
    }
    took = now() - took;
    memory = peak_memory();
    printf("%.3f %.1f %.4g\n", took, memory, largest_error(&sheet, spots, &found));
}

/* ---- the load of a pass -----------------------------------------------------------------------
 */

enum { CUT_WORDS = 16, BATCH = 200, RADIALS = 14 };

typedef struct {
    th_stock stock;
    th_cutter cutter;
    th_pass pass;
    double spindle_power;
} bench_cut;

static void read_cut(char **words, bench_cut *cut) {
    double v[CUT_WORDS];

    for (int i = 0; i < CUT_WORDS; i++) {
        v[i] = strtod(words[i], NULL);
    }
    cut->stock = (th_stock){.kc11 = v[0],
                            .mc = v[1],
                            .edge_chip = v[2],
                            .friction_angle = v[3],
                            .smallest_chip = v[4],
                            .ktc = (double)NAN,
                            .krc = (double)NAN,
                            .kac = (double)NAN,
                            .kte = (double)NAN,
                            .kre = (double)NAN,
                            .kae = (double)NAN};
    cut->cutter = (th_cutter){.kind = TH_FLAT,
                              .diameter = v[5],
                              .flutes = (int)v[6],
                              .helix = v[7],
                              .helix_pulls = TH_UP,
                              .runout = v[8],
                              .flute_length = v[9],
                              .stickout = v[10],
                              .tip_angle = (double)NAN,
                              .tip_flat = (double)NAN,
                              .shank = (double)NAN,
                              .material = TH_CARBIDE};
    cut->pass = (th_pass){.stock = &cut->stock,
                          .cutter = &cut->cutter,
                          .wear = 1,
                          .radial = v[11],
                          .axial = v[12],
                          .chip_load = v[13],
                          .speed = v[14],
                          .resolution = 1};
    cut->spindle_power = v[15];
}

static void run_turn(const th_pass *pass, th_turn *turn) {
    th_error err;

    if (!th_turn_run(pass, turn, &err)) {
        stop("turn", &err);
    }
}

/* Seconds for one turn (least of several batches), then in_plane_peak, torque_peak, power and
 * max_chip; then the samples. */
static void bench_turn(const bench_cut *cut) {
    double least = INFINITY;
    th_turn turn;

    for (int r = 0; r < REPEATS; r++) {
        double began = now();

        for (int i = 0; i < BATCH; i++) {
            run_turn(&cut->pass, &turn);
            th_turn_free(&turn);
        }
        least = fmin(least, (now() - began) / BATCH);
    }
    run_turn(&cut->pass, &turn);
    printf("%.9g %.17g %.17g %.17g %.17g\n", least, turn.in_plane_peak, turn.torque_peak,
           turn.power, turn.max_chip);
    for (size_t i = 0; i < turn.count; i++) {
        const th_sample *s = &turn.samples[i];

        printf("%.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g %.17g\n", s->angle, s->weight,
               s->fx, s->fy, s->fz, s->mz, s->px, s->py, s->qx, s->qy);
    }
    th_turn_free(&turn);
}

/* The lowest margin of spindle, springing, breakage and chip. */
static bool cutter_holds(const bench_cut *cut, double radial, double axial) {
    const th_cutter *cutter = &cut->cutter;
    th_pass pass = cut->pass;
    double margin, force;
    th_turn turn;

    pass.radial = radial;
    pass.axial = axial;
    run_turn(&pass, &turn);
    force = turn.in_plane_peak;
    margin = fmin(cut->spindle_power / turn.power, turn.max_chip / cut->stock.smallest_chip);
    margin = fmin(margin, 0.01 * cutter->diameter / th_cutter_deflection(cutter, force));
    margin = fmin(margin,
                  th_cutter_strength(cutter) / th_cutter_stress(cutter, force, turn.torque_peak));
    th_turn_free(&turn);
    return margin >= 1;
}

/* By halving, as `limits` does. */
static double deepest(const bench_cut *cut, double radial) {
    double low = 0.02, high = cut->pass.axial;

    if (cutter_holds(cut, radial, high)) {
        return high;
    }
    if (!cutter_holds(cut, radial, low)) {
        return 0;
    }
    for (int i = 0; i < 14 && high / low > 1.0005; i++) {
        double middle = sqrt(low * high);
        bool holds = cutter_holds(cut, radial, middle);

        low = holds ? middle : low;
        high = holds ? high : middle;
    }
    return low;
}

/* Seconds for all radial engagements (least of several), then what each allows. */
static void bench_deepest(const bench_cut *cut) {
    double least = INFINITY, found[RADIALS];

    for (int r = 0; r < REPEATS; r++) {
        double began = now();

        for (int i = 0; i < RADIALS; i++) {
            found[i] = deepest(cut, cut->cutter.diameter * (i + 1) / RADIALS);
        }
        least = fmin(least, now() - began);
    }
    printf("%.9g\n", least);
    for (int i = 0; i < RADIALS; i++) {
        printf("%.17g\n", found[i]);
    }
}

int main(int argc, char **argv) {
    bench_cut cut;

    if (argc == 2 + CUT_WORDS) {
        read_cut(argv + 2, &cut);
    }
    if (argc == 2 + CUT_WORDS && strcmp(argv[1], "turn") == 0) {
        bench_turn(&cut);
    } else if (argc == 2 + CUT_WORDS && strcmp(argv[1], "deepest") == 0) {
        bench_deepest(&cut);
    } else if (argc == 4 && strcmp(argv[1], "refine") == 0) {
        bench_refine(argv[2], argv[3]);
    } else if (argc == 4 && strcmp(argv[1], "factor") == 0) {
        bench_factor(strtoul(argv[2], NULL, 10), strtoul(argv[3], NULL, 10));
    } else if (argc == 2 && strcmp(argv[1], "sweep") == 0) {
        bench_sweep();
    } else {
        fprintf(stderr,
                "usage: bench refine CASES CASE | factor NX NY | sweep | turn CUT | deepest CUT\n");
        return 2;
    }
    return 0;
}
