/* nearest.c - the known name that a misspelt word most likely meant. */
#include "tackhold/base.h"

#include <string.h>

enum { LONGEST = 63 };

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Fewest insertions, deletions and replacements of one letter that turn a into b (Wagner and
 * Fischer 1974), one row of the table at a time. b has at most LONGEST letters. */
static size_t edit_distance(const char *a, const char *b) {
    size_t row[LONGEST + 1];
    size_t columns = strlen(b);

    for (size_t j = 0; j <= columns; j++) {
        row[j] = j;
    }
    for (size_t i = 0; a[i] != '\0'; i++) {
        size_t diagonal = row[0];
        row[0] = i + 1;
        for (size_t j = 1; j <= columns; j++) {
            size_t replaced = diagonal + (a[i] == b[j - 1] ? 0 : 1);
            diagonal = row[j];
            row[j] = least(replaced, 1 + least(row[j], row[j - 1]));
        }
    }
    return row[columns];
}

const char *th_nearest(const char *word, const char *const *names, size_t count) {
    const char *best = NULL;
    size_t letters = word ? strlen(word) : 0;
    size_t reach = letters / 3 > 2 ? letters / 3 : 2;

    if (letters == 0 || letters > LONGEST) {
        return NULL;
    }
    for (size_t i = 0; i < count; i++) {
        size_t length = names[i] ? strlen(names[i]) : 0;
        if (length == 0 || length > LONGEST) {
            continue;
        }
        size_t distance = edit_distance(word, names[i]);
        /* Two names without one letter in common are no slip, however short they are. */
        bool alike = distance < (letters > length ? letters : length);
        if (alike && distance <= reach) {
            best = names[i];
            if (distance == 0) {
                break;
            }
            reach = distance - 1; /* only a nearer one replaces it: the first of equals wins */
        }
    }
    return best;
}
