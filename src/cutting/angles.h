/* angles.h - the angles of the cutter at which the load of a turn is looked at. */
#ifndef TACKHOLD_CUTTING_ANGLES_H
#define TACKHOLD_CUTTING_ANGLES_H

#include "load.h"

typedef struct {
    double *angles;
    size_t count;
    double period; /* one tooth pitch, or the turn with runout (rad) */
} angle_list;

/* Room for the angles of a turn, whatever the direction of the runout; model->slabs stand and the
 * number of teeth is known. False: out of memory. */
bool th_angles_start(angle_list *list, const cut_model *model, double resolution);
/* All those of a period, rising; model->teeth stand. */
void th_angles_turn(angle_list *list, const cut_model *model, double resolution);
/* Those alone at which a tooth's load begins, ends or bends, in no order. */
void th_angles_events(angle_list *list, const cut_model *model);
void th_angles_free(angle_list *list);

#endif
