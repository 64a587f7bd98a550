/* ground.c - the shapes of a job, and what its cuts take away or thin. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- regions --------------------------------------------------------------------------------- */

static const th_outline *overlaid(th_ground *ground, const th_outline *a, const th_outline *b,
                                  th_overlay how) {
    return th_shapes_overlaid(ground->shapes, a, b, how, ground->err);
}

static const th_outline *grown(th_ground *ground, const th_outline *of, double distance) {
    return th_shapes_grown(ground->shapes, of, distance, ground->err);
}

/* What a path winds round; the path is freed. */
static const th_outline *region_of(th_ground *ground, th_path *path) {
    th_outline made = {0};
    bool fine = th_region_of_path(path, &made, ground->err);

    th_path_free(path);
    return fine ? th_shapes_drawn(ground->shapes, &made, ground->err) : NULL;
}

/* Add copies of rings, moved; `holes` and `outers` say which of them. */
static bool add_rings(th_outline *to, const th_outline *from, th_point by, bool outers,
                      bool holes) {
    for (size_t i = 0; i < from->ring_count; i++) {
        const th_ring *ring = &from->rings[i];
        th_ring *copy = &to->rings[to->ring_count];
        if (ring->hole ? !holes : !outers) {
            continue;
        }
        *copy = *ring;
        copy->points = th_arena_take(&to->arena, ring->count * sizeof *copy->points);
        if (!copy->points) {
            return false;
        }
        for (size_t k = 0; k < ring->count; k++) {
            copy->points[k] = (th_point){ring->points[k].x + by.x, ring->points[k].y + by.y};
        }
        to->ring_count++;
        to->outer_count += !ring->hole;
        to->point_count += ring->count;
    }
    return true;
}

/* The same rings at the places of copies first to last, as one bag. */
static const th_outline *at_copies(th_ground *ground, const th_outline *of, int first, int last,
                                   bool holes) {
    th_outline made = {0};
    size_t times = (size_t)(last - first) + 1;
    bool fine;

    made.rings = th_arena_take(&made.arena, (times * of->ring_count + 1) * sizeof *made.rings);
    fine = made.rings != NULL;
    for (int copy = first; fine && copy <= last; copy++) {
        fine = add_rings(&made, of, th_copy_offset(ground->job, copy), true, holes);
    }
    if (!fine) {
        th_outline_free(&made);
        th_fail_memory(ground->err);
        return NULL;
    }
    return th_shapes_drawn(ground->shapes, &made, ground->err);
}

/* ---- the part -------------------------------------------------------------------------------- */

static th_opening opening_of(const th_part_opening *given, th_point at) {
    return (th_opening){at, given->size.a, given->size.b, given->angle};
}

bool th_part_region(const th_job *job, const th_outline *drawn, th_outline *part, th_error *err) {
    th_shape shape = {.kind = job->part.shape,
                      .length = job->part.length,
                      .width = job->part.width,
                      .corner_radius = job->part.corner_radius,
                      .points = job->part.points.items,
                      .point_count = job->part.points.count};
    size_t count = 0, used = 0;
    th_opening *openings;
    bool fine;

    if (job->part.outline) {
        return drawn && drawn->ring_count
                   ? th_region_moved(drawn, 0, 0, part, err)
                   : th_fail(err, TH_MISSING, "the outline %s was not read", job->part.outline);
    }
    for (size_t i = 0; i < job->opening_count; i++) {
        count += job->openings[i].at.count;
    }
    openings = malloc((count + 1) * sizeof *openings);
    if (!openings) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < job->opening_count; i++) {
        for (size_t k = 0; k < job->openings[i].at.count; k++) {
            openings[used++] = opening_of(&job->openings[i], job->openings[i].at.items[k]);
        }
    }
    shape.openings = openings;
    shape.opening_count = count;
    fine = th_shape_outline(&shape, 0, part, err);
    free(openings);
    return fine;
}

bool th_stock_region(const th_job *job, const th_outline *drawn, th_outline *stock, th_error *err) {
    const th_part *part = &job->part;
    th_path path = th_path_new(0);
    bool done;

    if (isnan(part->sheet_length)) {
        return th_part_region(job, drawn, stock, err);
    }
    th_path_box(&path, &(th_box){-part->sheet_x, -part->sheet_y, part->sheet_length,
                                 part->sheet_width, 0, 0});
    done = th_region_of_path(&path, stock, err);
    th_path_free(&path);
    return done;
}

th_point th_copy_offset(const th_job *job, int copy) {
    int columns = job->part.copies.a > 0 ? job->part.copies.a : 1;
    int column = (copy - 1) % columns, row = (copy - 1) / columns;

    return (th_point){column ? column * job->part.pitch.a : 0, row ? row * job->part.pitch.b : 0};
}

/* Bending length of a plate on springs (D/kn)^(1/4). */
static double decay_of(const th_job *job) {
    const th_stock *stock = job->part.stock;
    double t = job->part.thickness, kn, ks;
    double bending =
        stock->elastic_modulus * t * t * t / (12 * (1 - stock->poisson * stock->poisson));

    th_hold_stiffness(job->hold.tape, job->hold.tape_below, &kn, &ks);
    return pow(bending / kn, 0.25);
}

/* The shape of the part; an error without a place gets that of [part]. */
static const th_outline *part_of(th_ground *ground, const th_outline *drawn) {
    const th_entry *entry = th_entry_of(ground->job, "part", NULL);
    th_outline made = {0};

    if (!th_part_region(ground->job, drawn, &made, ground->err)) {
        th_outline_free(&made);
        th_fail_place(ground->err, entry ? entry->file : NULL, entry ? entry->line : 0);
        return NULL;
    }
    if (made.point_count > TH_PART_POINTS_MAX ||
        made.point_count * (size_t)ground->copies > TH_ALL_POINTS_MAX) {
        th_fail_at(ground->err, TH_NOT_POSSIBLE, entry ? entry->file : NULL,
                   entry ? entry->line : 0,
                   "the part's outline has %zu points, in %d copies; at most %d points, and %d in "
                   "all copies together: draw it with fewer, longer lines or arcs",
                   made.point_count, ground->copies, TH_PART_POINTS_MAX, TH_ALL_POINTS_MAX);
        th_outline_free(&made);
        return NULL;
    }
    return th_shapes_drawn(ground->shapes, &made, ground->err);
}

bool th_ground_make(const th_job *job, const th_judging *judging, th_arena *arena,
                    th_ground *ground, th_error *err) {
    const th_check_options *options = judging->options;
    th_counts copies = job->part.copies;

    *ground = (th_ground){.job = job, .shapes = judging->shapes, .arena = arena, .err = err};
    ground->taped = options->taped && options->taped->ring_count ? options->taped : NULL;
    ground->sheet = !isnan(job->part.sheet_length);
    ground->decay = decay_of(job);
    ground->copies = (copies.a > 0 ? copies.a : 1) * (copies.b > 0 ? copies.b : 1);
    if (job->hold.taped && !ground->taped) {
        return th_fail(err, TH_MISSING, "the outline %s was not read", job->hold.taped);
    }
    ground->part = part_of(ground, options->outline);
    ground->filled = ground->part ? at_copies(ground, ground->part, 1, 1, false) : NULL;
    ground->parts =
        ground->filled ? at_copies(ground, ground->filled, 1, ground->copies, true) : NULL;
    return ground->parts != NULL;
}

/* ---- drawing with a path --------------------------------------------------------------------- */

typedef void th_draw(th_path *path, const th_cut *cut, th_point at, double grow);

static void draw_disc(th_path *path, const th_cut *cut, th_point at, double grow) {
    double diameter = cut->operation == TH_DRILLED ? cut->cutter->row.diameter : cut->size.a;

    th_path_ellipse(path, at, diameter / 2 + grow, diameter / 2 + grow);
}

static void draw_slot(th_path *path, const th_cut *cut, th_point at, double grow) {
    double dx = cut->to.x - cut->from.x, dy = cut->to.y - cut->from.y;
    double width = cut->cutter->row.diameter + 2 * grow;
    th_opening slot = {{(cut->from.x + cut->to.x) / 2 + at.x, (cut->from.y + cut->to.y) / 2 + at.y},
                       hypot(dx, dy) + width,
                       width,
                       atan2(dy, dx) * 180 / TH_PI};

    th_path_slot(path, &slot);
}

static void draw_pocket(th_path *path, const th_cut *cut, th_point at, double grow) {
    double corner = cut->cutter->row.diameter / 2;

    if (cut->size.single) {
        draw_disc(path, cut, at, grow);
    } else {
        th_path_box(path, &(th_box){at.x - cut->size.a / 2, at.y - cut->size.b / 2, cut->size.a,
                                    cut->size.b, corner, corner});
    }
}

/* What `draw` draws at every place of a cut in every copy, joined. */
static const th_outline *drawn_at(th_ground *ground, const th_cut *cut, th_draw *draw,
                                  double grow) {
    static const th_point origin = {0, 0};
    const th_point *places = cut->operation == TH_SLOT ? &origin : cut->at.items;
    size_t count = cut->operation == TH_SLOT ? 1 : cut->at.count;
    th_path path = th_path_new(0);

    for (int copy = 1; copy <= ground->copies; copy++) {
        th_point by = th_copy_offset(ground->job, copy);
        for (size_t i = 0; i < count; i++) {
            th_path_shape(&path, TH_NONZERO, 0);
            draw(&path, cut, (th_point){places[i].x + by.x, places[i].y + by.y}, grow);
        }
    }
    return region_of(ground, &path);
}

const th_outline *th_ground_filled(th_ground *ground, int copy) {
    return at_copies(ground, ground->filled, copy, copy, true);
}

/* ---- kerfs ----------------------------------------------------------------------------------- */

/* An opening of the part as a region of its own. */
static const th_outline *opened_up(th_ground *ground, const th_ring *ring) {
    th_path path = th_path_new(0);

    th_path_polygon(&path, ring->points, ring->count);
    return region_of(ground, &path);
}

bool th_opening_fits(th_ground *ground, const th_ring *ring, const th_cut *cut, bool *fits) {
    const th_outline *solid = opened_up(ground, ring);
    const th_outline *path =
        solid ? grown(ground, solid, -cut->cutter->row.diameter / 2 * (1 - 1e-3)) : NULL;

    *fits = path && path->ring_count > 0;
    return path != NULL;
}

th_point th_opening_middle(const th_ring *ring) {
    th_point low = ring->points[0], high = low;

    for (size_t i = 1; i < ring->count; i++) {
        low = (th_point){fmin(low.x, ring->points[i].x), fmin(low.y, ring->points[i].y)};
        high = (th_point){fmax(high.x, ring->points[i].x), fmax(high.y, ring->points[i].y)};
    }
    return (th_point){(low.x + high.x) / 2, (low.y + high.y) / 2};
}

/* The kerf inside one opening of the part. */
static const th_outline *opening_kerf(th_ground *ground, const th_ring *ring, double diameter) {
    const th_outline *solid = opened_up(ground, ring);
    const th_outline *slug = solid ? grown(ground, solid, -diameter) : NULL;

    return slug ? overlaid(ground, solid, slug, TH_DIFFERENCE) : NULL;
}

/* Round the part, and inside those of its openings that the cutter fits into. */
static const th_outline *outline_kerf(th_ground *ground, const th_cut *cut, int first, int last) {
    double diameter = cut->cutter->row.diameter;
    const th_outline *wide = grown(ground, ground->filled, diameter);
    const th_outline *kerf = wide ? overlaid(ground, wide, ground->filled, TH_DIFFERENCE) : NULL;

    for (size_t i = 0; kerf && i < ground->part->ring_count; i++) {
        const th_ring *ring = &ground->part->rings[i];
        const th_outline *band;
        bool fits;
        if (!ring->hole) {
            continue;
        }
        if (!th_opening_fits(ground, ring, cut, &fits)) {
            return NULL;
        }
        band = fits ? opening_kerf(ground, ring, diameter) : NULL;
        if (fits && !band) {
            return NULL;
        }
        kerf = band ? overlaid(ground, kerf, band, TH_UNION) : kerf;
    }
    return kerf ? at_copies(ground, kerf, first, last, true) : NULL;
}

/* A hole of more than twice the cutter's diameter leaves a slug. */
static bool leaves_slug(const th_cut *cut) {
    return cut->operation == TH_HOLE && cut->size.a > 2 * cut->cutter->row.diameter * (1 + 1e-9);
}

static const th_outline *hole_kerf(th_ground *ground, const th_cut *cut) {
    const th_outline *discs = drawn_at(ground, cut, draw_disc, 0);
    const th_outline *slugs = discs && leaves_slug(cut)
                                  ? drawn_at(ground, cut, draw_disc, -cut->cutter->row.diameter)
                                  : NULL;

    return slugs ? overlaid(ground, discs, slugs, TH_DIFFERENCE) : leaves_slug(cut) ? NULL : discs;
}

const th_outline *th_bored_by(th_ground *ground, const th_cut *cut) {
    return drawn_at(ground, cut, draw_disc, 0);
}

bool th_cut_opens(const th_job *job, const th_cut *cut) {
    bool may = cut->operation == TH_SLOT || cut->operation == TH_HOLE ||
               cut->operation == TH_DRILLED || cut->operation == TH_OUTLINE;
    return may && (cut->through || job->part.thickness - cut->depth < TH_SKIN_COUNTS * (1 - 1e-9));
}

const th_outline *th_kerf_of(th_ground *ground, const th_cut *cut, int first, int last) {
    switch (cut->operation) {
    case TH_SLOT:
        return drawn_at(ground, cut, draw_slot, 0);
    case TH_OUTLINE:
        return outline_kerf(ground, cut, first, last);
    case TH_DRILLED:
        return drawn_at(ground, cut, draw_disc, 0);
    default:
        return hole_kerf(ground, cut);
    }
}

const th_outline *th_ground_stock(th_ground *ground) {
    const th_part *part = &ground->job->part;
    th_path path = th_path_new(0);

    if (!ground->sheet) {
        return ground->part;
    }
    th_path_box(&path, &(th_box){-part->sheet_x, -part->sheet_y, part->sheet_length,
                                 part->sheet_width, 0, 0});
    return region_of(ground, &path);
}

bool th_thinned_by(th_ground *ground, const th_cut *cut, const th_outline **region) {
    *region = NULL;
    switch (cut->operation) {
    case TH_FACING:
        *region = th_ground_stock(ground);
        break;
    case TH_POCKET:
        *region = drawn_at(ground, cut, draw_pocket, 0);
        break;
    case TH_SLOT:
        *region = drawn_at(ground, cut, draw_slot, 0);
        break;
    case TH_HOLE:
        *region = hole_kerf(ground, cut);
        break;
    case TH_DRILLED:
        *region = drawn_at(ground, cut, draw_disc, 0);
        break;
    case TH_OUTLINE:
        *region = outline_kerf(ground, cut, 1, ground->copies);
        break;
    default:
        return true;
    }
    return *region != NULL;
}
