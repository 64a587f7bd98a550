/* path.c - an outline while it is being drawn: points, subpaths, straight lines. */
#include "path.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* Beyond it a drawing is refused at once; well above the greatest size, as drawings may lie far
 * from their origin. */
#define FARTHEST 1e7

th_affine th_affine_same(void) {
    return (th_affine){.a = 1, .d = 1};
}

th_affine th_affine_of(th_affine o, th_affine i) {
    return (th_affine){
        .a = o.a * i.a + o.c * i.b,
        .b = o.b * i.a + o.d * i.b,
        .c = o.a * i.c + o.c * i.d,
        .d = o.b * i.c + o.d * i.d,
        .e = o.a * i.e + o.c * i.f + o.e,
        .f = o.b * i.e + o.d * i.f + o.f,
    };
}

th_point th_affine_point(th_affine affine, th_point point) {
    return (th_point){affine.a * point.x + affine.c * point.y + affine.e,
                      affine.b * point.x + affine.d * point.y + affine.f};
}

th_path th_path_new(double tolerance) {
    return (th_path){.affine = th_affine_same(),
                     .tolerance = tolerance > 0 ? tolerance : TH_OUTLINE_TOLERANCE,
                     .rule = TH_EVENODD};
}

void th_path_free(th_path *path) {
    if (path) {
        free(path->points);
        free(path->subpaths);
        *path = (th_path){0};
    }
}

void th_path_fail(th_path *path, th_status code, const char *format, ...) {
    char message[sizeof path->problem.message];
    va_list arguments;

    if (path->failed) {
        return;
    }
    va_start(arguments, format);
    th_vprint(message, sizeof message, format, arguments);
    va_end(arguments);
    path->failed = true;
    th_fail_at(&path->problem, code, NULL, path->line, "%s", message);
}

void th_path_shape(th_path *path, th_fill_rule rule, int line) {
    path->shape++;
    path->rule = (int)rule;
    path->line = line;
    path->drawing = path->moved = false;
    path->start = path->at = (th_point){0, 0};
}

void *th_outline_grow(void *items, size_t size, size_t *capacity) {
    size_t wanted = *capacity ? 2 * *capacity : 64;
    void *grown = wanted <= SIZE_MAX / size ? realloc(items, wanted * size) : NULL;

    if (grown) {
        *capacity = wanted;
    }
    return grown;
}

static bool room_for_point(th_path *path) {
    th_point *grown;

    if (path->point_count >= TH_OUTLINE_POINTS_MAX) {
        th_path_fail(path, TH_BAD_RANGE,
                     "the outline takes more than %d points; draw it with fewer or plainer curves",
                     TH_OUTLINE_POINTS_MAX);
        return false;
    }
    if (path->point_count < path->point_capacity) {
        return true;
    }
    grown = th_outline_grow(path->points, sizeof *path->points, &path->point_capacity);
    if (!grown) {
        th_path_fail(path, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
        return false;
    }
    path->points = grown;
    return true;
}

void th_outline_path_put(th_path *path, th_point p) {
    if (path->failed) {
        return;
    }
    if (!(fabs(p.x) <= FARTHEST && fabs(p.y) <= FARTHEST)) {
        th_path_fail(path, TH_BAD_RANGE,
                     "the outline reaches beyond %g m; check its units (it may be at most %g mm x "
                     "%g mm)",
                     FARTHEST / 1000, TH_OUTLINE_GREATEST, TH_OUTLINE_GREATEST);
        return;
    }
    if (room_for_point(path)) {
        path->points[path->point_count++] = p;
        path->subpaths[path->subpath_count - 1].count++;
    }
}

/* A subpath comes into being with its first line, so that a move alone leaves no trace. */
bool th_outline_path_begin(th_path *path) {
    th_subpath *grown;

    if (path->failed || path->drawing) {
        return !path->failed;
    }
    if (path->subpath_count == path->subpath_capacity) {
        grown = th_outline_grow(path->subpaths, sizeof *path->subpaths, &path->subpath_capacity);
        if (!grown) {
            th_path_fail(path, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
            return false;
        }
        path->subpaths = grown;
    }
    path->subpaths[path->subpath_count++] = (th_subpath){
        .first = path->point_count, .shape = path->shape, .rule = path->rule, .line = path->line};
    path->drawing = true;
    th_outline_path_put(path, th_affine_point(path->affine, path->at));
    return !path->failed;
}

void th_path_move(th_path *path, th_point to) {
    path->drawing = false;
    path->moved = true;
    path->start = path->at = to;
}

void th_path_line(th_path *path, th_point to) {
    if (th_outline_path_begin(path)) {
        th_outline_path_put(path, th_affine_point(path->affine, to));
    }
    path->at = to;
}

void th_path_close(th_path *path) {
    if (path->drawing && !path->failed) {
        path->subpaths[path->subpath_count - 1].closed = true;
    }
    path->drawing = path->moved = false;
    path->at = path->start;
}
