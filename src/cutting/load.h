/* load.h - the load of all teeth on the part at one angle of the cutter. */
#ifndef TACKHOLD_CUTTING_LOAD_H
#define TACKHOLD_CUTTING_LOAD_H

#include "edge_line.h"
#include "slabs.h"
#include "teeth.h"

typedef struct {
    slab_list slabs;
    tooth_set teeth;
    edge_line line;
    bool down; /* the helix presses */
} cut_model;

/* Adds tooth `one` to the sample, whose angle is set. */
void th_load_add_tooth(const cut_model *model, const tooth *one, th_sample *sample);

/* All teeth; fills everything but the weight. */
th_sample th_load_at(const cut_model *model, double angle);

#endif
