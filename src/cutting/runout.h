/* runout.h - the direction of the runout that loads the part most. */
#ifndef TACKHOLD_CUTTING_RUNOUT_H
#define TACKHOLD_CUTTING_RUNOUT_H

#include "load.h"

/* Largest chip that any tooth takes (mm), from the largest engaged disc. */
double th_runout_max_chip(const cut_model *model);

/* Sets model->teeth to the direction with the largest in-plane peak, sought at resolution 0.5
 * whatever the pass asks; model->line stands. Errors: those of th_slabs_build, TH_NO_MEMORY. */
bool th_runout_set_worst(cut_model *model, const th_pass *pass, th_error *err);

#endif
