/* place.h - the directory that a file of the user's own lies in. */
#ifndef FILES_PLACE_H
#define FILES_PLACE_H

#include "tackhold/base.h"

/* Make the directories that lead to a file. Errors: TH_NOT_WRITTEN. */
bool th_make_way(const char *path, th_error *err);
/* Make a new name last: its directory is flushed to disk. Failing that is no failure of the file.
 */
void th_flush_directory(const char *path);

#endif
