/* loads_plate.c - a step held against the flexible plate, its cells filled from the map. */
#include "loads.h"
#include "sweep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The contact is a strip along the wall, and a smaller patch is the safer one; a drill loads the
 * rim of its hole. As shares of the diameter. */
#define PATCH 0.5
#define DRILL_PATCH 1.25

/* A patch has room where this share of it is metal; a wall that has is looked for in so many
 * directions, and so many times as far as the nearest one. */
#define ROOM 0.5
#define FIRM 2.0
enum { RAYS = 48 };

#define WALLS 1.5 /* so many times as far as the one wall the other is as near */
#define GONE 1.5  /* diameters round the cutter, in which what goes is gone when it cuts through */
#define THINNEST 0.15 /* share of the thickness that an element need resolve */
#define MEMORY 600e6  /* (bytes) */

/* ---- cells
 * ---------------------------------------------------------------------------------------- */

typedef struct {
    th_height_map map;
    const height_map *cells; /* the same, with what is tabs */
    size_t piece;
    double coverage;
    const th_tabs *goes; /* NULL: not known */
    th_point cutter;
    double without; /* so far from the cutter what goes is left out; 0: nothing is (mm) */
} plate_fill;

/* Cell of a grid of rising lines that holds x; `count` where none does. */
static size_t line_of(const double *lines, size_t count, double x) {
    if (x < lines[0] || x > lines[count - 1]) {
        return count;
    }
    return th_grid_interval(lines, count - 1, x);
}

static bool goes_at(const plate_fill *fill, th_point at) {
    return fill->goes && th_tabs_at(fill->goes, at.x, at.y);
}

/* Whether the material at a sample is of the piece: tabs bear nothing, and what pulls at one pulls
 * at the piece where it ends; in the pass that cuts through, what goes beside the cutter is gone.
 */
static bool of_piece(const plate_fill *fill, size_t sample) {
    const th_height_map *map = &fill->map;

    if (!((double)map->heights[sample] > SKIN_JOINS && map->pieces[sample] == fill->piece) ||
        map_apart(fill->cells, sample)) {
        return false;
    }
    if (!(fill->without > 0)) {
        return true;
    }
    th_point at = th_map_sample(map, sample % map->columns, sample / map->columns);
    return hypot(at.x - fill->cutter.x, at.y - fill->cutter.y) > fill->without ||
           !goes_at(fill, at);
}

/* Sums of one cell, in the fields that hold the means in the end. */
static void add_sample(const plate_fill *fill, size_t sample, double area, th_plate_cell *cell) {
    if (of_piece(fill, sample)) {
        cell->filled += area;
        cell->thickness += area * (double)fill->map.heights[sample];
        cell->bonded += th_map_taped(&fill->map, sample) ? area : 0;
    }
}

static void finish_cells(const th_grid_lines *lines, double coverage, th_plate_cell *cells) {
    for (size_t j = 0; j + 1 < lines->y_count; j++) {
        for (size_t i = 0; i + 1 < lines->x_count; i++) {
            th_plate_cell *cell = &cells[j * (lines->x_count - 1) + i];
            double area = (lines->xs[i + 1] - lines->xs[i]) * (lines->ys[j + 1] - lines->ys[j]);
            cell->thickness = cell->filled > 0 ? cell->thickness / cell->filled : 0;
            cell->filled = fmin(cell->filled / area, 1);
            cell->bonded = fmin(cell->bonded / area, cell->filled) * coverage;
        }
    }
}

static bool fill_cells(void *context, const th_grid_lines *lines, th_plate_cell *cells,
                       th_error *err) {
    const plate_fill *fill = context;
    const th_height_map *map = &fill->map;
    size_t wide = lines->x_count - 1, *columns = malloc(map->columns * sizeof *columns);

    if (!columns) {
        return th_fail_memory(err);
    }
    memset(cells, 0, wide * (lines->y_count - 1) * sizeof *cells);
    for (size_t i = 0; i < map->columns; i++) {
        columns[i] = line_of(lines->xs, lines->x_count, map->x0 + ((double)i + 0.5) * map->cell);
    }
    for (size_t row = 0; row < map->rows; row++) {
        size_t j = line_of(lines->ys, lines->y_count, map->y0 + ((double)row + 0.5) * map->cell);
        for (size_t i = 0; i < map->columns && j < lines->y_count; i++) {
            if (columns[i] < lines->x_count) {
                add_sample(fill, row * map->columns + i, map->cell * map->cell,
                           &cells[j * wide + columns[i]]);
            }
        }
    }
    finish_cells(lines, fill->coverage, cells);
    free(columns);
    return true;
}

/* ---- the sheet and the spot
 * ------------------------------------------------------------------------ */

static double thinnest_of(const plate_fill *fill, double thickness) {
    double least = thickness, floor = fmax(THINNEST * thickness, SKIN_JOINS);

    for (size_t k = 0; k < fill->map.columns * fill->map.rows; k++) {
        double height = (double)fill->map.heights[k];
        least = height > floor && height < least && of_piece(fill, k) ? height : least;
    }
    return least;
}

typedef struct {
    th_point at;
    double away; /* INFINITY: none */
} near_sample;

static size_t clamped(double at, size_t count) {
    return (size_t)fmin(fmax(floor(at), 0), (double)(count - 1));
}

/* The sample of the piece that is nearest, of those within a square of that reach; of what stays
 * alone, too. */
static near_sample nearest_within(const plate_fill *fill, const th_stance *from, double reach,
                                  bool stays) {
    const th_height_map *map = &fill->map;
    size_t i0 = clamped((from->x - reach - map->x0) / map->cell, map->columns);
    size_t i1 = clamped((from->x + reach - map->x0) / map->cell, map->columns);
    size_t j0 = clamped((from->y - reach - map->y0) / map->cell, map->rows);
    size_t j1 = clamped((from->y + reach - map->y0) / map->cell, map->rows);
    near_sample found = {{0, 0}, INFINITY};

    for (size_t row = j0; row <= j1; row++) {
        for (size_t i = i0; i <= i1; i++) {
            if (!of_piece(fill, row * map->columns + i)) {
                continue;
            }
            th_point at = th_map_sample(map, i, row);
            double away = hypot(at.x - from->x, at.y - from->y);
            if (away < found.away && !(stays && goes_at(fill, at))) {
                found = (near_sample){at, away};
            }
        }
    }
    return found;
}

/* Share of a patch that is metal of the piece. */
static double filled(const plate_fill *fill, const th_plate_spot *spot) {
    const th_height_map *map = &fill->map;
    double half = spot->patch / 2, inside = 0, all = pow(spot->patch / map->cell, 2);
    size_t i0 = clamped((spot->x - half - map->x0) / map->cell, map->columns);
    size_t i1 = clamped((spot->x + half - map->x0) / map->cell, map->columns);
    size_t j0 = clamped((spot->y - half - map->y0) / map->cell, map->rows);
    size_t j1 = clamped((spot->y + half - map->y0) / map->cell, map->rows);

    for (size_t row = j0; row <= j1; row++) {
        for (size_t i = i0; i <= i1; i++) {
            inside += of_piece(fill, row * map->columns + i);
        }
    }
    return fmin(inside / all, 1);
}

/* A patch just inside a wall. */
static th_plate_spot inside_of(const th_stance *from, const near_sample *wall, double patch) {
    double in = patch / 2 / wall->away;

    return (th_plate_spot){wall->at.x + in * (wall->at.x - from->x),
                           wall->at.y + in * (wall->at.y - from->y), patch};
}

/* The first sample of the piece in one direction. */
static near_sample wall_toward(const plate_fill *fill, const th_stance *from, double angle,
                               double reach) {
    const th_height_map *map = &fill->map;
    near_sample none = {{0, 0}, INFINITY};

    for (int k = 1; k * map->cell < reach; k++) {
        double away = k * map->cell;
        th_point at = {from->x + away * cos(angle), from->y + away * sin(angle)};
        double column = (at.x - map->x0) / map->cell, row = (at.y - map->y0) / map->cell;
        if (column >= 0 && row >= 0 && column < (double)map->columns && row < (double)map->rows &&
            of_piece(fill, (size_t)row * map->columns + (size_t)column)) {
            return (near_sample){at, away};
        }
    }
    return none;
}

/* What is left of a kerf between two cuts is a sliver that no patch finds room on, and gone as soon
 * as it is pushed at: then the nearest wall that has room. */
static near_sample firm_wall(const plate_fill *fill, const th_stance *from, near_sample found,
                             double patch) {
    th_plate_spot spot = inside_of(from, &found, patch);
    double reach = FIRM * found.away + patch;
    near_sample firm = {{0, 0}, INFINITY};

    if (filled(fill, &spot) >= ROOM) {
        return found;
    }
    for (int k = 0; k < RAYS; k++) {
        near_sample wall = wall_toward(fill, from, 2 * TH_PI * k / RAYS, fmin(reach, firm.away));
        if (isfinite(wall.away)) {
            spot = inside_of(from, &wall, patch);
            firm = filled(fill, &spot) >= ROOM ? wall : firm;
        }
    }
    return isfinite(firm.away) ? firm : found;
}

/* Where the nearest wall is that of a slug or frame about to come free, and another is as near (at
 * a corner of the path, root 2 radii away): the other one, on which the piece is held that stays.
 */
static near_sample other_wall(const plate_fill *fill, const th_stance *from, near_sample found) {
    double reach = WALLS * found.away + 2 * fill->map.cell;
    near_sample stays = found;

    if (found.away > fill->map.cell && isfinite(found.away) && goes_at(fill, found.at)) {
        stays = nearest_within(fill, from, reach, true);
    }
    return stays.away <= reach ? stays : found;
}

/* A cutter amid the material loads the place below it, one beside a wall a patch just inside it. */
static bool find_spot(const plate_fill *fill, const grip_case *one, th_plate_spot *spot) {
    double patch = (one->drills ? DRILL_PATCH : PATCH) * one->diameter;
    const th_height_map *map = &fill->map;
    double most = map->cell * (double)(map->columns + map->rows) + 4 * one->diameter;
    near_sample found = {{0, 0}, INFINITY};
    double reach = one->diameter;

    while (found.away > reach) {
        found = nearest_within(fill, &one->at, reach, false);
        if (reach > 2 * most) {
            break; /* the whole map was seen */
        }
        reach *= 4;
    }
    if (!isfinite(found.away)) {
        return false;
    }
    if (found.away <= map->cell) {
        *spot = (th_plate_spot){one->at.x, one->at.y, patch};
        return true;
    }
    found = other_wall(fill, &one->at, found);
    found = firm_wall(fill, &one->at, found, patch);
    *spot = inside_of(&one->at, &found, patch);
    return true;
}

/* Whether nothing of the piece that stays is beside the cutter: what was left out is what it cuts.
 */
static bool stays_afar(const plate_fill *fill, const grip_case *one) {
    return nearest_within(fill, &one->at, fill->without, false).away > fill->without;
}

/* Where all of a piece that the cutter is at goes, it is held as it stands. */
static bool find_any_spot(plate_fill *fill, const grip_case *one, th_plate_spot *spot) {
    bool found = !(fill->without > 0 && stays_afar(fill, one)) && find_spot(fill, one, spot);

    if (!found && fill->without > 0) {
        fill->without = 0;
        found = find_spot(fill, one, spot);
    }
    return found;
}

/* Of the samples of the piece; of a row the first and the last say all. */
static void box_of(const plate_fill *fill, double box[4]) {
    const th_height_map *map = &fill->map;

    for (size_t row = 0; row < map->rows; row++) {
        size_t start = row * map->columns, first = 0, last = map->columns;
        while (first < map->columns && !of_piece(fill, start + first)) {
            first++;
        }
        while (last > first && !of_piece(fill, start + last - 1)) {
            last--;
        }
        for (size_t k = 0; k < 2 && last > first; k++) {
            th_point at = th_map_sample(map, k ? last - 1 : first, row);
            box[0] = fmin(box[0], at.x);
            box[1] = fmin(box[1], at.y);
            box[2] = fmax(box[2], at.x);
            box[3] = fmax(box[3], at.y);
        }
    }
}

static void make_sheet(const th_loads *loads, plate_fill *fill, th_plate_sheet *sheet) {
    const th_job *job = loads->job;
    th_plate_material material = {.elastic_modulus = job->part.stock->elastic_modulus,
                                  .poisson = job->part.stock->poisson,
                                  .shear_scale = 1};
    double half = 0.5 * fill->map.cell;
    double box[4] = {INFINITY, INFINITY, -INFINITY, -INFINITY};

    box_of(fill, box);
    th_hold_stiffness(job->hold.tape, job->hold.tape_below, &material.kn, &material.ks);
    *sheet = (th_plate_sheet){.x0 = box[0] - half,
                              .y0 = box[1] - half,
                              .x1 = box[2] + half,
                              .y1 = box[3] + half,
                              .thickness = thinnest_of(fill, job->part.thickness),
                              .material = material,
                              .fill = fill_cells,
                              .context = fill,
                              .coverage = job->hold.coverage};
}

/* ---- grips
 * ----------------------------------------------------------------------------------------- */

/* About the spot at the bonded face. */
static void move_wrenches(th_wrench *wrenches, size_t count, const th_plate_spot *spot) {
    for (size_t i = 0; i < count; i++) {
        th_wrench *w = &wrenches[i];
        w->mx -= spot->y * w->fz;
        w->my += spot->x * w->fz;
        w->mz -= spot->x * w->fy - spot->y * w->fx;
    }
}

static th_plate_grip grip_of(th_loads *loads, const grip_case *one,
                             const th_plate_influence *influence, th_load_kind kind) {
    double standing = kind == TH_PEAK ? one->standing_lift
                                      : th_standing_aged(loads->job, one->standing_lift, one->held);
    th_history history = {loads->wrenches, loads->weights, one->force->count, standing};
    th_plate_ask ask = {.stack = one->stack,
                        .history = &history,
                        .load = kind,
                        .seconds = one->held,
                        .shear_seen = 0,
                        .lift_seen = 0};

    loads_wrenches(loads, one, kind == TH_PEAK ? loads->job->machine.peak_ratio : 1);
    move_wrenches(loads->wrenches, one->force->count, &influence->place);
    return th_grip_plate(influence, &ask);
}

/* A stop that leaves more to bear than none, as in advice, is as good as none. */
static th_grip better_grip(th_loads *loads, const grip_case *one,
                           const th_plate_influence *influence, th_load_kind kind) {
    th_grip grip = grip_of(loads, one, influence, kind).grip;
    grip_case alone = *one;

    alone.stops = 0;
    th_grip other = one->stops ? grip_of(loads, &alone, influence, kind).grip : grip;
    return other.index < grip.index ? other : grip;
}

static void conclude(const th_loads *loads, const th_grip *peak, const th_grip *sustained,
                     th_bent_load *load) {
    const th_grip *worse = sustained->index > peak->index ? sustained : peak;
    bool usable = loads->stack.unusable == TH_USABLE;

    load->peak_factor = usable ? th_hold_factor(peak->index) : 0;
    load->sustained_factor = usable ? th_hold_factor(sustained->index) : 0;
    load->hold_factor = fmin(load->peak_factor, load->sustained_factor);
    load->shear_peak = peak->shear_peak;
    load->lift_peak = peak->lift_peak;
    load->way = usable ? worse->way : th_unusable_way(loads->stack.unusable);
    load->at = worse->at;
}

bool th_loads_plate(th_loads *loads, th_bent_load *load, th_error *err) {
    const grip_case *one = &loads->last;
    plate_fill fill = {.map = th_sweep_map(loads->sweep),
                       .cells = &loads->sweep->map,
                       .piece = one->piece,
                       .coverage = loads->job->hold.coverage,
                       .goes = loads->goes && loads->goes->bits ? loads->goes : NULL,
                       .cutter = {one->at.x, one->at.y}};
    th_plate_options options = {.memory = MEMORY};
    th_plate_sheet sheet;
    th_plate_spot spot;
    th_plate_table *table;

    fill.without = fill.goes && one->opens ? GONE * one->diameter : 0;
    if (!one->force || !find_any_spot(&fill, one, &spot)) {
        return th_fail(err, TH_BAD_RANGE,
                       "there is no step at hand, or nothing is left of its piece");
    }
    make_sheet(loads, &fill, &sheet);
    if (!th_plate_table_make(&sheet, &spot, 1, &options, &table, err)) {
        return false;
    }
    const th_plate_influence *influence = th_plate_table_at(table, 0);
    th_grip peak = better_grip(loads, one, influence, TH_PEAK);
    th_grip sustained = better_grip(loads, one, influence, TH_SUSTAINED);
    conclude(loads, &peak, &sustained, load);
    th_plate_table_free(table);
    return true;
}
