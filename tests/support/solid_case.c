/* solid_case.c - reads parts made of painted rectangles. */
#include "support/solid_case.h"

#include <math.h>
#include <string.h>

bool solid_next_line(FILE *file, char line[SOLID_LINE]) {
    while (fgets(line, SOLID_LINE, file)) {
        if (line[0] != '#' && line[0] != '\n') {
            return true;
        }
    }
    return false;
}

/* Thickness at a place: that of the last box over it. */
static double thickness_at(const solid_case *c, double x, double y) {
    double t = 0;

    for (size_t b = 0; b < c->box_count; b++) {
        const solid_box *box = &c->boxes[b];

        if (x > box->x0 && x < box->x1 && y > box->y0 && y < box->y1) {
            t = box->thickness;
        }
    }
    return t;
}

static bool read_boxes(solid_case *c, const char *text) {
    int used = 0;

    for (c->box_count = 0; *text; text += used, c->box_count++) {
        solid_box *box = &c->boxes[c->box_count];

        if (c->box_count == SOLID_BOXES ||
            sscanf(text, "%lf,%lf,%lf,%lf,%lf%n", &box->x0, &box->y0, &box->x1, &box->y1,
                   &box->thickness, &used) != 5) {
            return false;
        }
        used += text[used] == ' ';
    }
    return c->box_count > 0;
}

bool solid_read_case(const char *line, solid_case *c) {
    th_plate_load *load = &c->load;
    char boxes[SOLID_LINE];

    *c = (solid_case){.material.shear_scale = 1};
    if (sscanf(line, "%63s %lf %lf %lf %lf %511[^\t] %lf,%lf %lf %lf,%lf,%lf %lf %lf", c->name,
               &c->material.elastic_modulus, &c->material.poisson, &c->material.kn, &c->material.ks,
               boxes, &load->spot.x, &load->spot.y, &load->spot.patch, &load->fx, &load->fy,
               &load->fz, &c->shear_strength, &c->lift_strength) != 14 ||
        !read_boxes(c, boxes)) {
        return false;
    }
    load->z = thickness_at(c, load->spot.x, load->spot.y);
    return true;
}

bool solid_find_case(const char *path, const char *name, solid_case *c) {
    FILE *file = fopen(path, "r");
    char line[SOLID_LINE];
    bool found = false;

    while (file && !found && solid_next_line(file, line)) {
        found = solid_read_case(line, c) && strcmp(c->name, name) == 0;
    }
    if (file) {
        fclose(file);
    }
    return found;
}

static bool fill(void *context, const th_grid_lines *lines, th_plate_cell *cells, th_error *err) {
    (void)err;
    for (size_t j = 0; j + 1 < lines->y_count; j++) {
        for (size_t i = 0; i + 1 < lines->x_count; i++) {
            double t = thickness_at(context, (lines->xs[i] + lines->xs[i + 1]) / 2,
                                    (lines->ys[j] + lines->ys[j + 1]) / 2);

            cells[j * (lines->x_count - 1) + i] = (th_plate_cell){t, t > 0, t > 0};
        }
    }
    return true;
}

th_plate_sheet solid_sheet(solid_case *c) {
    th_plate_sheet sheet = {.thickness = INFINITY,
                            .material = c->material,
                            .lines_x = c->xs,
                            .lines_y = c->ys,
                            .fill = fill,
                            .context = c,
                            .coverage = 1};

    for (size_t b = 0; b < c->box_count; b++) {
        const solid_box *box = &c->boxes[b];

        c->xs[sheet.line_x_count++] = box->x0;
        c->xs[sheet.line_x_count++] = box->x1;
        c->ys[sheet.line_y_count++] = box->y0;
        c->ys[sheet.line_y_count++] = box->y1;
        sheet.x1 = fmax(sheet.x1, box->x1);
        sheet.y1 = fmax(sheet.y1, box->y1);
        sheet.thickness =
            box->thickness > 0 ? fmin(sheet.thickness, box->thickness) : sheet.thickness;
    }
    return sheet;
}
