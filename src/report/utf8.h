/* utf8.h - lengths of UTF-8 sequences, for the writers of this folder. */
#ifndef TACKHOLD_REPORT_UTF8_H
#define TACKHOLD_REPORT_UTF8_H

#include <stddef.h>

/* Bytes of the well-formed UTF-8 sequence (RFC 3629) at `text`: 1 to 4, or 0 if there is none. */
size_t th_utf8_length(const char *text);
/* Characters of a text, a byte that is not UTF-8 counting as one. */
size_t th_utf8_width(const char *text, size_t bytes);

#endif
