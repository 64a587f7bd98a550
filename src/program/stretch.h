/* stretch.h - inside program/: a short way of the cutter, taken off the map. */
#ifndef TACKHOLD_PROGRAM_STRETCH_H
#define TACKHOLD_PROGRAM_STRETCH_H

#include "height_map.h"
#include "tool_shape.h"

/* Straight, straight down, or an arc in plan of at most STRETCH_TURN, which may sink or rise if the
 * cutter is flat. */
typedef struct {
    const tool_shape *shape;
    double from[3], to[3]; /* of the lowest point, job axes (mm) */
    bool arc;
    double centre[2], radius; /* of an arc (mm) */
    double start, turn;       /* its first angle, and how far it turns, + counterclockwise (rad) */
    bool cleared; /* the cutter has just been at `from`, at this height: its flat end left nothing
                     there */
} stretch_of_path;

#define STRETCH_TURN (TH_PI / 6)

/* Length in plan (mm). */
double stretch_across(const stretch_of_path *way);
/* Direction of the feed half way, from +x (rad). */
double stretch_heading(const stretch_of_path *way);
/* Half way (mm). */
void stretch_middle(const stretch_of_path *way, double at[3]);

/* What one sample gave. A tooth of the disc of radius r takes it at the angle whose cosine is
 * `across` / r, whatever the path: on an arc of radius R a sample at distance d from its centre has
 * (R^2 + r^2 - d^2)/(2 R) (law of cosines), and steps take equal areas for equal `across`. */
typedef struct {
    float across;    /* (mm), + left of the feed */
    float low, high; /* of what was taken, above the cutter's lowest point at the start (mm) */
} taken_sample;

enum { STRETCH_PIECES = 4 };

typedef struct {
    taken_sample *items; /* what the side of the cutter took; kept from stretch to stretch */
    size_t count, capacity;
    double removed; /* (mm3) */
    double of_tabs; /* of it off tabs (mm3) */
    double of_skin; /* of it off what a kerf has left, that joins nothing (mm3) */
    double end;     /* of it below the height at which a stretch began (mm3) */
    double depth;   /* most in height (mm) */
    size_t opened;  /* samples whose face on the tape went */
    size_t parted;  /* samples that fell to the skin or below */
    struct {
        int label;
        double removed; /* (mm3) */
    } pieces[STRETCH_PIECES];
    int piece_count;
    bool failed; /* no memory */
} taken;

/* `pieces` by label: from their bonded area the opened samples are taken. */
typedef struct {
    height_map *map;
    double skin;
    th_sweep_piece *pieces;
} stretch_ground;

/* Cells that a stretch may reach. */
map_window stretch_window(const height_map *map, const stretch_of_path *way);
/* How deep in the stock the cutter would stand at most, on its way (mm). */
double stretch_meets(height_map *map, const stretch_of_path *way);
/* Lower the map under the way; adds to `into`. */
void stretch_cut(const stretch_ground *ground, const stretch_of_path *way, taken *into);

#endif
