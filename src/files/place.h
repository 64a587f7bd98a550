/* place.h - inside files/: what all that write need. */
#ifndef FILES_PLACE_H
#define FILES_PLACE_H

#include "tackhold/base.h"

/* Make the directories that lead to a file. Errors: TH_NOT_WRITTEN. */
bool th_make_way(const char *path, th_error *err);
/* Make a new name last: its directory is flushed to disk. Failing that is no failure of the file.
 */
void th_flush_directory(const char *path);
/* Write all of a text, through signals and short writes; failing that false, errno says why. */
bool th_write_all(int fd, const char *text, size_t size);

#endif
