/* section.c - area and moments of plane figures. */
#include "tackhold/plate.h"

#include <math.h>

th_section th_section_moved(th_section s, double dx, double dy) {
    th_section moved = s;

    moved.sx = s.sx + dx * s.area;
    moved.sy = s.sy + dy * s.area;
    moved.sxx = s.sxx + 2 * dx * s.sx + dx * dx * s.area;
    moved.syy = s.syy + 2 * dy * s.sy + dy * dy * s.area;
    moved.sxy = s.sxy + dx * s.sy + dy * s.sx + dx * dy * s.area;
    return moved;
}

/* The triangle from the origin over one edge, signed: positive where the edge runs
 * counterclockwise. */
static void add_triangle(th_section *sum, th_point p, th_point q) {
    double cross = p.x * q.y - q.x * p.y;

    sum->area += cross / 2;
    sum->sx += cross * (p.x + q.x) / 6;
    sum->sy += cross * (p.y + q.y) / 6;
    sum->sxx += cross * (p.x * p.x + p.x * q.x + q.x * q.x) / 12;
    sum->syy += cross * (p.y * p.y + p.y * q.y + q.y * q.y) / 12;
    sum->sxy += cross * (2 * p.x * p.y + p.x * q.y + q.x * p.y + 2 * q.x * q.y) / 24;
}

/* Summed from the first point, then moved: far from the origin the triangles would be large and
 * their difference small. */
th_section th_section_polygon(const th_point *points, size_t count) {
    th_section sum = {0};
    th_point first = points[0];

    for (size_t i = 1; i + 1 < count; i++) {
        th_point p = {points[i].x - first.x, points[i].y - first.y};
        th_point q = {points[i + 1].x - first.x, points[i + 1].y - first.y};
        add_triangle(&sum, p, q);
    }
    if (sum.area < 0) {
        sum = th_section_add((th_section){0}, sum, -1);
    }
    return th_section_moved(sum, first.x, first.y);
}

th_section th_section_rectangle(double x0, double y0, double x1, double y1) {
    double length = fabs(x1 - x0), width = fabs(y1 - y0); /* corners in any order */
    th_section centred = {.area = length * width};

    centred.sxx = centred.area * length * length / 12;
    centred.syy = centred.area * width * width / 12;
    return th_section_moved(centred, (x0 + x1) / 2, (y0 + y1) / 2);
}

th_section th_section_disc(double x, double y, double diameter) {
    th_section centred = {.area = TH_PI * diameter * diameter / 4};

    centred.sxx = centred.syy = centred.area * diameter * diameter / 16;
    return th_section_moved(centred, x, y);
}

th_section th_section_add(th_section a, th_section b, double factor) {
    a.area += factor * b.area;
    a.sx += factor * b.sx;
    a.sy += factor * b.sy;
    a.sxx += factor * b.sxx;
    a.syy += factor * b.syy;
    a.sxy += factor * b.sxy;
    return a;
}
