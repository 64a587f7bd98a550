/* shape.c - whole figures by their sizes. */
#include "path.h"

#include <math.h>

void th_path_polygon(th_path *path, const th_point *points, size_t count) {
    for (size_t i = 0; i < count; i++) {
        if (i == 0) {
            th_path_move(path, points[0]);
        } else {
            th_path_line(path, points[i]);
        }
    }
    th_path_close(path);
}

static void corner(th_path *path, double rx, double ry, double x, double y) {
    th_path_arc_to(path, &(th_arc_to){.rx = rx, .ry = ry, .positive = true, .to = {x, y}});
}

static void line_unless_there(th_path *path, double x, double y) {
    if (path->at.x != x || path->at.y != y) {
        th_path_line(path, (th_point){x, y});
    }
}

void th_path_box(th_path *path, const th_box *box) {
    double x0 = box->x, y0 = box->y, x1 = box->x + box->length, y1 = box->y + box->width;
    double rx = fmin(box->rx, box->length / 2), ry = fmin(box->ry, box->width / 2);

    if (!(rx > 0 && ry > 0)) {
        th_path_polygon(path, (th_point[]){{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, 4);
        return;
    }
    th_path_move(path, (th_point){x0 + rx, y0});
    line_unless_there(path, x1 - rx, y0);
    corner(path, rx, ry, x1, y0 + ry);
    line_unless_there(path, x1, y1 - ry);
    corner(path, rx, ry, x1 - rx, y1);
    line_unless_there(path, x0 + rx, y1);
    corner(path, rx, ry, x0, y1 - ry);
    line_unless_there(path, x0, y0 + ry);
    corner(path, rx, ry, x0 + rx, y0);
    th_path_close(path);
}

void th_path_slot(th_path *path, const th_opening *slot) {
    double r = slot->width / 2;
    double reach = fmax(0, slot->length / 2 - r);
    double c = cos(slot->angle * (TH_PI / 180)), s = sin(slot->angle * (TH_PI / 180));
    th_affine placed = {c, s, -s, c, slot->at.x, slot->at.y};
    th_affine kept = path->affine;

    path->affine = th_affine_of(kept, placed);
    if (reach > 0) {
        th_path_move(path, (th_point){-reach, -r});
        th_path_line(path, (th_point){reach, -r});
        th_path_arc(path, &(th_circle_arc){{reach, 0}, r, r, 0, -90, 180});
        th_path_line(path, (th_point){-reach, r});
        th_path_arc(path, &(th_circle_arc){{-reach, 0}, r, r, 0, 90, 180});
        th_path_close(path);
    } else {
        th_path_ellipse(path, (th_point){0, 0}, r, r);
    }
    path->affine = kept;
}

static bool positive(double value) {
    return value > 0 && isfinite(value);
}

static bool check_sizes(const th_shape *shape, th_error *err) {
    bool rectangle = shape->kind == TH_SHAPE_RECTANGLE;

    if (shape->kind == TH_SHAPE_POLYGON) {
        return shape->point_count >= 3 ||
               th_fail(err, TH_BAD_RANGE, "a polygon needs at least 3 points, this one has %zu",
                       shape->point_count);
    }
    if (!positive(shape->length) || (rectangle && !positive(shape->width))) {
        return th_fail(err, TH_BAD_RANGE, "the sizes of the part must be above 0 mm");
    }
    if (rectangle && !(shape->corner_radius >= 0 &&
                       2 * shape->corner_radius <= fmin(shape->length, shape->width))) {
        return th_fail(err, TH_BAD_RANGE,
                       "a corner radius of %g mm does not fit a part of %g mm x %g mm; it may be 0 "
                       "to %g mm",
                       shape->corner_radius, shape->length, shape->width,
                       fmin(shape->length, shape->width) / 2);
    }
    return true;
}

static bool check_openings(const th_shape *shape, th_error *err) {
    for (size_t i = 0; i < shape->opening_count; i++) {
        const th_opening *o = &shape->openings[i];
        if (!positive(o->width) || !(o->length >= o->width) || !isfinite(o->length)) {
            return th_fail(
                err, TH_BAD_RANGE,
                "the opening at (%g, %g) is %g mm x %g mm; its width must be above 0 and "
                "its length at least its width",
                o->at.x, o->at.y, o->length, o->width);
        }
    }
    return true;
}

static void draw_part(th_path *path, const th_shape *shape) {
    double r = shape->length / 2;

    th_path_shape(path, TH_EVENODD, 0);
    switch (shape->kind) {
    case TH_SHAPE_DISC:
        th_path_ellipse(path, (th_point){r, r}, r, r);
        break;
    case TH_SHAPE_POLYGON:
        th_path_polygon(path, shape->points, shape->point_count);
        break;
    default:
        th_path_box(path, &(th_box){0, 0, shape->length, shape->width, shape->corner_radius,
                                    shape->corner_radius});
    }
}

/* Each opening must have become a hole; one that lies beside the part is an outer ring of its own,
 * one inside another opening an island. */
static bool check_holes(const th_shape *shape, const th_outline *outline, th_error *err) {
    for (size_t i = 0; i < outline->ring_count; i++) {
        int number = outline->rings[i].line;
        if (number > 0 && !outline->rings[i].hole) {
            const th_opening *o = &shape->openings[number - 1];
            return th_fail(err, TH_CONTRADICTION,
                           "the opening at (%g, %g), %g mm x %g mm, lies outside the part of %g mm "
                           "x %g mm or inside another opening",
                           o->at.x, o->at.y, o->length, o->width, outline->length, outline->width);
        }
    }
    return true;
}

bool th_shape_outline(const th_shape *shape, double tolerance, th_outline *outline, th_error *err) {
    th_path path = th_path_new(tolerance);
    bool done;

    *outline = (th_outline){0};
    if (!check_sizes(shape, err) || !check_openings(shape, err)) {
        return false;
    }
    draw_part(&path, shape);
    for (size_t i = 0; i < shape->opening_count; i++) {
        /* The number of the opening stands in for a line, to find its ring again. */
        th_path_shape(&path, TH_EVENODD, (int)i + 1);
        th_path_slot(&path, &shape->openings[i]);
    }
    done = th_path_finish(&path, outline, err) && check_holes(shape, outline, err);
    th_path_free(&path);
    if (!done && err) {
        err->line = 0;
    }
    for (size_t i = 0; i < outline->ring_count; i++) {
        outline->rings[i].line = 0;
    }
    return done;
}
