/* slurp.h - the bytes of a small file. */
#ifndef FILES_SLURP_H
#define FILES_SLURP_H

#include "tackhold/base.h"

/* The bytes of a regular file or pipe ("-": standard input) of at most TH_FILE_SIZE_MAX bytes, to be
 * freed; `name` is the file as shown in messages. NULL on failure: TH_BAD_FILE, TH_NO_MEMORY. */
char *th_file_slurp(const char *path, const char *name, bool may_be_empty, size_t *size,
                    th_error *err);

#endif
