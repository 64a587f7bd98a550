/* section.c - area and moments of plane sections. */
#include "tackhold/bond.h"

#include <math.h>

/* Green's theorem turns the area integrals into sums over the edges. The points are taken relative
 * to the first one, so that a small outline far from the origin keeps its digits in the products.
 */
th_section th_section_polygon(const th_point *points, size_t count) {
    th_section s = {0};
    double x0 = points[0].x, y0 = points[0].y;
    double sx, sy;

    for (size_t i = 0; i < count; i++) {
        const th_point *p = &points[i];
        const th_point *q = &points[i + 1 < count ? i + 1 : 0];
        double px = p->x - x0, py = p->y - y0, qx = q->x - x0, qy = q->y - y0;
        double cross = px * qy - qx * py;

        s.area += cross / 2;
        s.sx += cross * (px + qx) / 6;
        s.sy += cross * (py + qy) / 6;
        s.sxx += cross * (px * px + px * qx + qx * qx) / 12;
        s.syy += cross * (py * py + py * qy + qy * qy) / 12;
        s.sxy += cross * (px * qy + 2 * px * py + 2 * qx * qy + qx * py) / 24;
    }
    if (s.area < 0) {
        s = th_section_add((th_section){0}, s, -1);
    }
    sx = s.sx;
    sy = s.sy;
    s.sxx += 2 * x0 * sx + x0 * x0 * s.area;
    s.syy += 2 * y0 * sy + y0 * y0 * s.area;
    s.sxy += x0 * sy + y0 * sx + x0 * y0 * s.area;
    s.sx += x0 * s.area;
    s.sy += y0 * s.area;
    return s;
}

th_section th_section_rectangle(double x0, double y0, double x1, double y1) {
    double a = fabs(x1 - x0), b = fabs(y1 - y0);
    double x = (x0 + x1) / 2, y = (y0 + y1) / 2;
    double area = a * b;
    th_section s = {
        area,        area * x, area * y, area * (x * x + a * a / 12), area * (y * y + b * b / 12),
        area * x * y};

    return s;
}

th_section th_section_disc(double x, double y, double diameter) {
    double square = diameter * diameter;
    double area = TH_PI * square / 4;
    th_section s = {
        area,        area * x, area * y, area * (x * x + square / 16), area * (y * y + square / 16),
        area * x * y};

    return s;
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
