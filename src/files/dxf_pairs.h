/* dxf_pairs.h - a DXF as what it is: lines in pairs, a group code and its value. */
#ifndef FILES_DXF_PAIRS_H
#define FILES_DXF_PAIRS_H

#include "tackhold/base.h"

typedef struct {
    const char *text; /* not terminated */
    size_t size;
} dxf_word;

typedef struct {
    int code;
    dxf_word value; /* without blanks at its ends */
    int line;       /* of the code */
} dxf_pair;

/* A place in the file; copy it to come back. */
typedef struct {
    const char *p, *end;
    int line; /* of what comes next, from 1 */
} dxf_cursor;

typedef enum { DXF_PAIR, DXF_END, DXF_BAD_CODE, DXF_NO_VALUE } dxf_found;

/* The next pair; comments (code 999) are passed over. On a failure the cursor stands at its line.
 */
dxf_found th_dxf_next(dxf_cursor *cursor, dxf_pair *pair);

bool th_dxf_is(dxf_word word, const char *expected);
/* The whole word as a number. */
bool th_dxf_number(dxf_word word, double *value);

#endif
