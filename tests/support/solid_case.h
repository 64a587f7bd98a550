/* solid_case.h - the parts of tests/reference/solid_cases.txt as sheets for the plate model. */
#ifndef TACKHOLD_TESTS_SOLID_CASE_H
#define TACKHOLD_TESTS_SOLID_CASE_H

#include "tackhold/bond.h"

#include <stdio.h>

enum { SOLID_BOXES = 4, SOLID_LINE = 512 };

/* A rectangle of one thickness; 0: an opening. */
typedef struct {
    double x0, y0, x1, y1, thickness;
} solid_box;

typedef struct {
    char name[64];
    th_plate_material material;
    solid_box boxes[SOLID_BOXES]; /* painted one over the other */
    size_t box_count;
    th_plate_load load; /* on the top face */
    double shear_strength, lift_strength;
    double xs[2 * SOLID_BOXES], ys[2 * SOLID_BOXES]; /* edges of the boxes */
} solid_case;

/* The next line that is no comment and not empty; false at the end. */
bool solid_next_line(FILE *file, char line[SOLID_LINE]);

/* False for a line that is no case. */
bool solid_read_case(const char *line, solid_case *c);

/* The case of that name in the file at `path`; false when there is none. */
bool solid_find_case(const char *path, const char *name, solid_case *c);

/* The part laid out; refers to the case. */
th_plate_sheet solid_sheet(solid_case *c);

#endif
