/* nearest.c - the known name that a misspelt word most likely meant. */
#include "tackhold/base.h"

#include <stdio.h>
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

/* ---- words within names ---------------------------------------------------------------------- */

enum { SHORTEST = 3, SLIP = 6 }; /* letters: of a part that counts, for each slip in it */

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

static bool is_part(char c) {
    return (c >= '0' && c <= '9') || (lower(c) >= 'a' && lower(c) <= 'z');
}

/* The next run of letters and digits in `text` from *at on, in lower case; its length, 0 at the
 * end. What does not fit is cut off. */
static size_t next_part(const char *text, size_t *at, char part[LONGEST + 1]) {
    size_t n = 0;

    while (text[*at] != '\0' && !is_part(text[*at])) {
        (*at)++;
    }
    for (; is_part(text[*at]); (*at)++) {
        if (n < LONGEST) {
            part[n++] = lower(text[*at]);
        }
    }
    part[n] = '\0';
    return n;
}

/* Whether a part stands somewhere in a text, or one of its long words but for a slip. */
static bool stands_in(const char *part, size_t n, const char *text) {
    char word[LONGEST + 1];

    for (size_t at = 0; next_part(text, &at, word) > 0;) {
        if (strstr(word, part) != NULL || (n >= SLIP && edit_distance(part, word) <= n / SLIP)) {
            return true;
        }
    }
    return false;
}

static size_t shared(const char *word, const char *id, const char *name) {
    char part[LONGEST + 1];
    size_t count = 0, n;

    for (size_t at = 0; (n = next_part(word, &at, part)) > 0;) {
        count += n >= SHORTEST && (stands_in(part, n, id) || (name && stands_in(part, n, name)));
    }
    return count;
}

static size_t meant_by(const char *word, const char *const *ids, const char *const *names,
                       size_t count, const char *meant[TH_MEANT_MOST]) {
    size_t found = 0, most = 1;

    meant[0] = th_nearest(word, ids, count);
    if (meant[0] != NULL || word == NULL) {
        return meant[0] != NULL;
    }
    for (size_t i = 0; i < count; i++) {
        size_t own = shared(word, ids[i], names ? names[i] : NULL);
        if (own > most) {
            most = own;
            found = 0;
        }
        if (own == most && found < TH_MEANT_MOST) {
            meant[found++] = ids[i];
        }
    }
    return found;
}

size_t th_meant(const char *word, const char *const *ids, const char *const *names, size_t count,
                const char *meant[TH_MEANT_MOST]) {
    const char *usual = th_usual_word(word);
    size_t found = usual != word ? meant_by(usual, ids, names, count, meant) : 0;

    return found > 0 ? found : meant_by(word, ids, names, count, meant);
}

void th_meant_text(const char *const *meant, size_t count, const char *quote, char *text,
                   size_t size) {
    size_t used = 0;

    if (size > 0) {
        text[0] = '\0';
    }
    for (size_t i = 0; i < count && used < size; i++) {
        int n = snprintf(text + used, size - used, "%s%s%.60s%s",
                         i == 0           ? ""
                         : i + 1 == count ? " or "
                                          : ", ",
                         quote, meant[i], quote);
        used += n > 0 ? (size_t)n : 0;
    }
}
