/* plate.h - the plate in plan: sections, outlines of parts, and outlines turned into cells.
 *
 * Takes points, curves and shapes; gives closed outlines that are known to be sound, their exact
 * area and moments, and what each cell of a rectilinear grid holds of them. Knows nothing of
 * forces, nor of the files that outlines are read from.
 */
#ifndef TACKHOLD_PLATE_H
#define TACKHOLD_PLATE_H

#include "tackhold/base.h"
#include "tackhold/tables.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- a plane section ------------------------------------------------------------------------- */

/* Area, first and second moments about the origin of the job axes. Sections add and subtract. */
typedef struct {
    double area;          /* (mm2) */
    double sx, sy;        /* integral of x, of y (mm3) */
    double sxx, syy, sxy; /* integral of x^2, y^2, x y (mm4) */
} th_section;

/* Polygon by Green's theorem; positive whichever way the points run. count >= 3. */
th_section th_section_polygon(const th_point *points, size_t count);
/* A rectangle by two corners, x0 < x1 and y0 < y1; a disc by its centre (mm). */
th_section th_section_rectangle(double x0, double y0, double x1, double y1);
th_section th_section_disc(double x, double y, double diameter);
/* a + factor x b: factor 1 joins what does not overlap, -1 cuts out what lies inside, a coverage
 * scales. */
th_section th_section_add(th_section a, th_section b, double factor);
/* The same section seen from axes whose origin lies at (-dx, -dy): it moves by (dx, dy). */
th_section th_section_moved(th_section section, double dx, double dy);

/* ---- outlines -------------------------------------------------------------------------------- */

/* One closed polygon; the last point joins the first. Outer rings run counterclockwise, holes
 * clockwise. */
typedef struct {
    th_point *points; /* from the lower left corner of the outline's box (mm) */
    size_t count;
    bool hole;
    int line; /* of the file that drew it, 0 unknown */
} th_ring;

/* Whether a corner of the ring turns by more than TH_SHARP (rad, practice): heat piles up in it. */
#define TH_SHARP 0.5
bool th_ring_sharp(const th_ring *ring);

/* A sound outline: rings that neither cross nor touch, themselves or one another. */
typedef struct {
    th_arena arena;
    th_ring *rings;
    size_t ring_count;
    size_t outer_count;   /* rings that are not holes: 1 for a part, more for strips of tape */
    size_t point_count;   /* of all rings */
    double length, width; /* of the box, along x and y (mm) */
} th_outline;
void th_outline_free(th_outline *outline);

/* Exact for the rings as they stand (Green's theorem), holes taken off. */
th_section th_outline_section(const th_outline *outline);

/* Whether a point lies in the material; a point on an edge may count either way. */
bool th_outline_holds(const th_outline *outline, th_point point);

/* Distance from a point to the nearest edge (mm); `nearest`, if not NULL, gets the place on it. */
double th_outline_distance(const th_outline *outline, th_point point, th_point *nearest);

/* Length of a ring (mm), and its longest edge: the number of the point it starts from; `length`, if
 * not NULL, gets its length (mm). */
double th_ring_length(const th_ring *ring);
size_t th_ring_longest(const th_ring *ring, double *length);

/* ---- drawing an outline ---------------------------------------------------------------------- */

#define TH_OUTLINE_TOLERANCE 0.01  /* how far a flattened curve may stray from the true one (mm) */
#define TH_OUTLINE_JOINT 0.01      /* gap within which two ends are one point (mm) */
#define TH_OUTLINE_LEAST 1.0       /* least length and width of an outline (mm) */
#define TH_OUTLINE_GREATEST 2000.0 /* greatest (mm); curves may stray past it */

enum {
    TH_OUTLINE_POINTS_MAX = 1000000, /* of all rings together */
    TH_OUTLINE_DEPTH_MAX = 64        /* rings inside one another */
};

/* x' = a x + c y + e, y' = b x + d y + f. */
typedef struct {
    double a, b, c, d, e, f;
} th_affine;
/* The identity. */
th_affine th_affine_same(void);
/* First `inner`, then `outer`. */
th_affine th_affine_of(th_affine outer, th_affine inner);
/* Where a point comes to lie. */
th_point th_affine_point(th_affine affine, th_point point);

/* Where the rings of one shape overlap or nest: material where they wind round a point at all, or
 * where an odd number of them hold it. */
typedef enum { TH_NONZERO, TH_EVENODD } th_fill_rule;

typedef struct {
    size_t first, count; /* of the path's points */
    size_t shape;
    int rule; /* th_fill_rule of the shape */
    bool closed;
    int line;
} th_subpath;

/* An outline while it is being drawn. Coordinates given to the functions below go through `affine`,
 * which may be set at any time between subpaths; curves are flattened after it, so the tolerance
 * holds in final mm. The first failure sticks in `problem`; what follows is ignored, and
 * th_path_finish reports it. */
typedef struct {
    th_affine affine;
    double tolerance; /* (mm) */
    th_point *points; /* after the affine (mm) */
    size_t point_count, point_capacity;
    th_subpath *subpaths;
    size_t subpath_count, subpath_capacity;
    size_t shape; /* number of the current shape */
    int rule, line;
    th_point start, at; /* of the current subpath, before the affine */
    bool drawing;       /* a subpath has been begun and not closed */
    bool moved;         /* a move has set its first point */
    bool failed;
    th_error problem;
} th_path;

/* Affine the identity; a tolerance of 0 is TH_OUTLINE_TOLERANCE. Nothing is allocated yet. */
th_path th_path_new(double tolerance);
void th_path_free(th_path *path);
/* What follows is a shape of its own, drawn at `line` of its file (0 none). Between shapes a ring
 * inside a ring is a hole, a ring inside that an island, and so on; within a shape its rule
 * decides. */
void th_path_shape(th_path *path, th_fill_rule rule, int line);
/* Refuse the drawing from outside, with path->line. Keeps an earlier problem. */
void th_path_fail(th_path *path, th_status code, const char *format, ...) TH_PRINTF(3, 4);

/* Begin a subpath; a straight line, a parabola with one control point or a cubic with two (Bezier)
 * from where it has come to; close it by a line to its beginning. */
void th_path_move(th_path *path, th_point to);
void th_path_line(th_path *path, th_point to);
void th_path_quadratic(th_path *path, th_point control, th_point to);
void th_path_cubic(th_path *path, th_point control1, th_point control2, th_point to);
void th_path_close(th_path *path);

/* Arc of an ellipse by its centre; a line leads from the current point, if there is one, to its
 * first. Angles are those of the circle the ellipse is squeezed from. */
typedef struct {
    th_point centre;
    double rx, ry;   /* half axes (mm) */
    double rotation; /* of the first half axis (deg) */
    double start;    /* from the first half axis (deg) */
    double turn;     /* to the end, + from x to y (deg); at most a full turn counts */
} th_circle_arc;
void th_path_arc(th_path *path, const th_circle_arc *arc);

/* Arc of an ellipse from the current point to another: of the four, the one that is larger than
 * half a turn (or not) and runs from x to y (or not). Radii too small are scaled up until the arc
 * reaches; a radius of 0 draws a line. */
typedef struct {
    double rx, ry, rotation; /* (mm, mm, deg) */
    bool large, positive;
    th_point to;
} th_arc_to;
void th_path_arc_to(th_path *path, const th_arc_to *to);

/* Circular arc to a point; bulge = tan(quarter of the angle it turns), + from x to y, 0 a line. */
void th_path_bulge(th_path *path, th_point to, double bulge);

/* Whole closed subpaths. Arcs of these and of the functions above are flattened so that the polygon
 * has the area of the curve. */
void th_path_ellipse(th_path *path, th_point centre, double rx, double ry);
/* x, y: the corner with the least coordinates; radii beyond half a side count as half a side. */
typedef struct {
    double x, y, length, width; /* (mm) */
    double rx, ry;              /* of the corners (mm), 0 sharp */
} th_box;
void th_path_box(th_path *path, const th_box *box);
/* Points in order (mm), the last joined to the first. */
void th_path_polygon(th_path *path, const th_point *points, size_t count);
/* Slot with round ends; `length` from end to end, at least `width`, lies along `angle`. */
typedef struct {
    th_point at;          /* centre */
    double length, width; /* (mm) */
    double angle;         /* (deg) */
} th_opening;
void th_path_slot(th_path *path, const th_opening *slot);

/* Join open subpaths end to end where two ends lie within `joint` mm; each end is used once, the
 * nearest first. What stays open is left for th_path_finish to report. Errors: TH_BAD_RANGE for
 * more than 100000 open subpaths, TH_NO_MEMORY. */
bool th_path_join(th_path *path, double joint, th_error *err);

/* Turn the drawing into an outline, or say what is wrong with it, where (mm from the lower left
 * corner of the box) and how large the drawing is. Refused: an open subpath whose ends lie further
 * apart than TH_OUTLINE_JOINT, rings that cross, touch or run over each other or themselves, a ring
 * without area, more than TH_OUTLINE_DEPTH_MAX rings inside one another, a drawing below
 * TH_OUTLINE_LEAST or above TH_OUTLINE_GREATEST, nothing drawn. A ring that its fill rule makes no
 * edge (material on both sides) is left out. Crossings are found by a sweep over coordinates
 * rounded to 2 nm in exact arithmetic (Shamos and Hoey 1976), in n log n. The path can be freed
 * afterwards. Errors: TH_CONTRADICTION, TH_BAD_RANGE, TH_MISSING, TH_NO_MEMORY. */
bool th_path_finish(const th_path *path, th_outline *outline, th_error *err);

/* ---- shapes by their sizes ------------------------------------------------------------------- */

typedef enum { TH_SHAPE_RECTANGLE, TH_SHAPE_DISC, TH_SHAPE_POLYGON } th_shape_kind;

typedef struct {
    int kind;               /* th_shape_kind */
    double length, width;   /* rectangle, from (0, 0); disc: length its diameter (mm) */
    double corner_radius;   /* rectangle (mm) */
    const th_point *points; /* polygon */
    size_t point_count;
    const th_opening *openings; /* holes and slots; round where length equals width */
    size_t opening_count;
} th_shape;

/* The outline of a part given by sizes. Errors: those of th_path_finish, and TH_CONTRADICTION for
 * an opening that lies outside the part. tolerance 0: the default. */
bool th_shape_outline(const th_shape *shape, double tolerance, th_outline *outline, th_error *err);

/* ---- regions: outlines joined and cut --------------------------------------------------------
 *
 * A region is an outline that may be empty, may have several outer rings, and whose rings may touch
 * one another at single points (never run along each other). Its points stay where they are: it is
 * not moved to the origin; length and width are those of its box, 0 when empty. Every sound outline
 * is a region. Overlays are exact on coordinates rounded to 2 nm: crossings are found as for
 * th_path_finish, rounded to that grid, and looked for again until none is left. */

typedef enum { TH_UNION, TH_DIFFERENCE, TH_INTERSECTION } th_overlay;

/* On failure all functions that make regions leave what they make empty.
 *
 * Both at once may be empty; `region` may not be one of them. Rings under 1e-6 mm2, or so thin that
 * roundings may have made them, are dropped. Time grows little faster than the edges and crossings,
 * with the square only of long edges side by side aslant. Errors: TH_NO_MEMORY, TH_BAD_RANGE for
 * coordinates beyond 10 m, TH_NOT_SOLVED if roundings do not settle. */
bool th_region_overlay(const th_outline *a, const th_outline *b, th_overlay how, th_outline *region,
                       th_error *err);

/* What a drawing winds round at all (nonzero), however its subpaths cross, overlap or repeat; each
 * is taken as closed. Windings add up: figures to be joined must all run the same way round, one
 * that runs the other way takes away. Nothing is refused for its size. Errors: those of
 * th_region_overlay, and path->problem. */
bool th_region_of_path(const th_path *path, th_outline *region, th_error *err);

/* Every place within `distance` of the region (its sum with a disc); below 0: what lies further
 * than that inside it. Round corners are tangents of the true arc and stray from it by at most
 * `tolerance` (mm, 0: the default), to the side that moves the edge further: what a cutter takes is
 * not understated, and what it leaves is not overstated, but for the 2 nm of the grid. Errors:
 * those of th_region_overlay. */
bool th_region_grown(const th_outline *of, double distance, double tolerance, th_outline *region,
                     th_error *err);

/* Connected pieces, the largest first; pieces that meet at single points are apart. */
typedef struct {
    th_outline *items;
    size_t count;
} th_pieces;
bool th_region_pieces(const th_outline *region, th_pieces *pieces, th_error *err);
void th_pieces_free(th_pieces *pieces);

/* A copy, moved by (dx, dy). */
bool th_region_moved(const th_outline *of, double dx, double dy, th_outline *region, th_error *err);

/* Corners of the convex hull, counterclockwise, into `hull` (room for point_count); their number.
 * `work` has room for twice as many and two. */
size_t th_region_hull(const th_outline *region, th_point *hull, th_point *work);

/* Box of the region: x0, y0, x1, y1 (mm); false when it is empty. */
bool th_region_box(const th_outline *region, double box[4]);

/* ---- cells ----------------------------------------------------------------------------------- */

/* What each cell of a grid holds of an outline. Cell (i, j) spans xs[i] to xs[i+1], ys[j] to
 * ys[j+1] and stands at j * columns + i. */
typedef struct {
    th_arena arena;
    size_t columns, rows;
    double *xs, *ys;      /* grid lines, columns + 1 and rows + 1 of them (mm) */
    th_section *sections; /* of the outline within the cell, about the origin of the axes */
    double *covered;      /* that area over the cell's, 0 to 1 */
} th_cells;
void th_cells_free(th_cells *cells);

typedef struct {
    const double *xs, *ys;   /* rising grid lines (mm) */
    size_t x_count, y_count; /* at least 2 each */
} th_grid_lines;

/* The interval of rising lines that x lies in: largest i < count with lines[i] <= x, else 0. To ask
 * for cells give the number of cells. */
size_t th_grid_interval(const double *lines, size_t count, double x);

/* Exact clipping of the outline on every cell by integrals along its edges; time goes with edges,
 * with crossings of grid lines and with cells. The sections add up to that of the outline (of the
 * part of it the grid spans). Errors: TH_BAD_RANGE for lines that do not rise, TH_NO_MEMORY. */
bool th_cells_of(const th_outline *outline, const th_grid_lines *lines, th_cells *cells,
                 th_error *err);

#ifdef __cplusplus
}
#endif
#endif
