/* scan.h - numbers and letters in text, read alike in every locale. */
#ifndef FILES_SCAN_H
#define FILES_SCAN_H

#include <stdbool.h>
#include <stddef.h>

/* Reads a decimal number (sign, digits with or without a point, exponent) at *text, which must not
 * reach `end`; moves *text behind it. False, and nothing moved, if there is none. A number beyond
 * the range of double gives infinity. */
bool th_scan_number(const char **text, const char *end, double *value);

/* Length of the valid UTF-8 sequence at text, of which `left` bytes are there; 0 if it is none. */
size_t th_scan_utf8(const unsigned char *text, size_t left);

/* Bytes of the byte order mark that UTF-8 text begins with, as some editors put it there; 0: none.
 */
size_t th_scan_mark(const char *text, size_t size);

/* ASCII, in any locale. */
bool th_scan_blank(char c);
bool th_scan_digit(char c);
char th_scan_lower(char c);
/* Whether the n letters at text spell `word`, whatever their case. */
bool th_scan_word(const char *text, size_t n, const char *word);

#endif
