/* answer_tools.c - what every cutter of a program does: its lines, the holes of a drill, where one
 * breaks through. */
#include "answer.h"
#include "loads.h"

#include <math.h>

#define SAME_HOLE 0.1 /* share of the diameter */

const th_cutter *answer_cutter_of(const th_loads *loads, int tool) {
    const th_cutter *any = NULL;

    for (size_t i = 0; i < loads->tool_count; i++) {
        if (loads->tools[i].number == tool) {
            return loads->tools[i].cutter;
        }
        any = loads->tools[i].number == -1 ? loads->tools[i].cutter : any;
    }
    return any;
}

/* Where a drill breaks through. */
static void note_through(answer *a, const th_cutter *cutter, const th_step_load *load) {
    for (size_t i = 0; i < a->drill_count; i++) {
        if (a->drills[i].cutter == cutter) {
            a->drills[i].lift = fmax(a->drills[i].lift, load->lift_peak);
            return;
        }
    }
    if (a->drill_count < DRILLS_MOST) {
        a->drills[a->drill_count++] = (drill_through){cutter, load->line, load->lift_peak};
    }
}

/* The hole in hand goes on, or a new one begins. */
static void note_hole(answer *a, tool_notes *notes, const th_step_load *load) {
    th_tool_use *use = &notes->use;
    th_point at = {load->at[0], load->at[1]};
    bool same = use->holes > 0 && hypot(at.x - notes->hole.x, at.y - notes->hole.y) <
                                      SAME_HOLE * use->cutter->diameter;

    if (!same) {
        notes->hole = at;
        notes->open = false;
        if (use->holes < TH_HOLES_NAMED) {
            use->places[use->holes] = at;
        }
        use->holes++;
    }
    if (load->low <= SKIN_JOINS && !notes->open) {
        notes->open = true;
        use->through++;
    }
    if (load->low <= SKIN_JOINS) {
        note_through(a, use->cutter, load);
    }
}

static tool_notes *notes_of(answer *a, const th_step_load *load) {
    for (size_t i = 0; i < a->tool_count; i++) {
        if (a->tools[i].use.tool == load->tool) {
            return &a->tools[i];
        }
    }
    if (a->tool_count == TH_TOOLS_TOLD) {
        return NULL;
    }
    a->tools[a->tool_count] = (tool_notes){.use = {.tool = load->tool,
                                                   .cutter = answer_cutter_of(a->loads, load->tool),
                                                   .first_line = load->line,
                                                   .lowest = INFINITY}};
    return &a->tools[a->tool_count++];
}

/* Whether the job's cooling is what the program has on: M8 for all that floods, beside which mist
 * is nothing, and M7 alone for mist. Nobody sees a dry job's air. */
static bool cooled_as_said(th_coolant_kind kind, int coolant) {
    return kind == TH_COOL_DRY || (kind == TH_COOL_MIST ? coolant == 1 : (coolant & 2) != 0);
}

static void note_coolant(answer *a, const th_step_load *load) {
    th_coolant_kind kind = (th_coolant_kind)a->options->job->hold.coolant->kind;

    int *line = &a->other_lines[load->coolant & 3];

    if (!*line && !cooled_as_said(kind, load->coolant)) {
        *line = load->line;
    }
}

/* As the job's cuts are told. */
static void note_bending(const answer *a, tool_notes *notes, const th_step_load *load) {
    const th_cutter *cutter = notes->use.cutter;
    double ratio = a->options->job->machine.peak_ratio, force = load->in_plane_peak;
    double springs = th_cutter_deflection(cutter, force) / (0.01 * cutter->diameter);
    double breaks = th_cutter_stress(cutter, ratio * force, ratio * load->torque_peak) /
                    th_cutter_strength(cutter);

    if (breaks > notes->breaks) {
        notes->breaks = breaks;
        notes->breaks_line = load->line;
    }
    if (springs > notes->springs) {
        notes->springs = springs;
        notes->springs_line = load->line;
    }
}

void note_tool(answer *a, const th_step_load *load) {
    tool_notes *notes = load->freeing ? NULL : notes_of(a, load);

    note_coolant(a, load);

    if (!notes || !notes->use.cutter) {
        return;
    }
    notes->use.last_line = load->line;
    notes->use.lowest = fmin(notes->use.lowest, load->at[2]);
    if (load->in_plane_peak > 0) {
        note_bending(a, notes, load);
    }
    if (notes->use.cutter->kind == TH_DRILL && !(load->chip_load > 0)) {
        note_hole(a, notes, load);
    }
}

bool answer_tell_tools(const answer *a, th_error *err) {
    th_run *run = a->run;

    run->tools = th_arena_take(&run->arena, (a->tool_count + 1) * sizeof *run->tools);
    if (!run->tools) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < a->tool_count; i++) {
        run->tools[i] = a->tools[i].use;
    }
    run->tool_count = a->tool_count;
    return true;
}
