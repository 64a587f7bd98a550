/* path.h - what the files that draw share. */
#ifndef PLATE_PATH_H
#define PLATE_PATH_H

#include "tackhold/plate.h"

/* Twice the room (64 at first) for items of `size` bytes; NULL, and nothing changed, without
 * memory. */
void *th_outline_grow(void *items, size_t size, size_t *capacity);

/* Begin a subpath at the current point if none is being drawn. False once the path failed. */
bool th_outline_path_begin(th_path *path);

/* Add a point in final mm to the subpath being drawn. */
void th_outline_path_put(th_path *path, th_point p);

#endif
