/* read_labels.c - the lines that begin with O or a colon, found before the program runs: labels of
 * subprograms, loops and conditions, each linked to the next of the same name. */
#include "read.h"

#include <stdlib.h>
#include <string.h>

static const struct {
    const char *word;
    o_keyword keyword;
} keywords[] = {
    {"sub", O_SUB},
    {"endsub", O_ENDSUB},
    {"call", O_CALL},
    {"return", O_RETURN},
    {"if", O_IF},
    {"elseif", O_ELSEIF},
    {"else", O_ELSE},
    {"endif", O_ENDIF},
    {"while", O_WHILE},
    {"do", O_DO},
    {"repeat", O_REPEAT},
    {"endwhile", O_ENDWHILE},
    {"endrepeat", O_ENDREPEAT},
    {"break", O_BREAK},
    {"continue", O_CONTINUE},
};

const char *rs_line_words(const char *p, const char *end, bool *deleted, const char **number) {
    *deleted = false;
    *number = NULL;
    p = rs_skip(p, end);
    if (p < end && *p == '/') {
        *deleted = true;
        p = rs_skip(p + 1, end);
        /* Of the levels /1 to /9 one switch stands for all. */
        if (p < end && rs_digit(*p)) {
            p = rs_skip(p + 1, end);
        }
    }
    if (p < end && rs_lower(*p) == 'n') {
        *number = p;
        for (p++; p < end && (rs_digit(*p) || rs_blank(*p)); p++) {
        }
    }
    return p;
}

static void read_keyword(o_line *o, const char *p) {
    char word[12];
    size_t length = 0;

    p = rs_skip(p, o->line_end);
    o->keyword = O_LABEL;
    o->after = p;
    for (; p < o->line_end && rs_letter(*p) && length < sizeof word - 1; p++) {
        word[length++] = rs_lower(*p);
    }
    word[length] = '\0';
    if (length == 0) {
        return;
    }
    o->keyword = O_UNKNOWN;
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++) {
        if (strcmp(word, keywords[i].word) == 0) {
            o->keyword = keywords[i].keyword;
            o->after = p;
        }
    }
}

/* O100, :100, O<name>; false for what has no such name. p is past the O. */
static bool read_o_name(o_line *o, const char *p) {
    const char *end = o->line_end, *close;

    p = rs_skip(p, end);
    o->named = p < end && *p == '<';
    if (o->named) {
        close = memchr(p, '>', (size_t)(end - p));
        if (!close || close == p + 1) {
            return false;
        }
        o->name = p + 1;
        o->name_length = (size_t)(close - o->name);
        read_keyword(o, close + 1);
        return true;
    }
    while (p + 1 < end && *p == '0' && rs_digit(p[1])) {
        p++;
    }
    o->name = p;
    for (; p < end && rs_digit(*p); p++) {
    }
    o->name_length = (size_t)(p - o->name);
    if (o->name_length == 0) {
        return false;
    }
    read_keyword(o, p);
    return true;
}

static bool add(reader *r, const o_line *o) {
    o_lines *all = &r->o;

    if (all->count == all->capacity) {
        size_t capacity = all->capacity ? 2 * all->capacity : 32;
        o_line *grown = realloc(all->items, capacity * sizeof *grown);
        if (!grown) {
            return th_fail_memory(r->err);
        }
        all->items = grown;
        all->capacity = capacity;
    }
    all->items[all->count++] = *o;
    return true;
}

static int compare_names(const o_line *a, const o_line *b) {
    if (a->named != b->named) {
        return a->named ? 1 : -1;
    }
    if (a->name_length != b->name_length) {
        return a->name_length < b->name_length ? -1 : 1;
    }
    for (size_t i = 0; i < a->name_length; i++) {
        int difference = rs_lower(a->name[i]) - rs_lower(b->name[i]);
        if (difference != 0) {
            return difference;
        }
    }
    return 0;
}

static int compare_lines(const void *a, const void *b) {
    const o_line *first = *(const o_line *const *)a, *second = *(const o_line *const *)b;
    int names = compare_names(first, second);

    return names != 0 ? names : first->line < second->line ? -1 : first->line > second->line;
}

/* Which ends what, seen from the top: a while ends an open do, else, elseif and endif need an if.
 */
static void mark_run(o_line **run, size_t count) {
    bool in_do = false, in_if = false;

    for (size_t i = 0; i < count; i++) {
        o_line *o = run[i];
        o->closes = o->keyword == O_WHILE && in_do;
        in_do = o->keyword == O_DO || (in_do && !o->closes);
        o->stray =
            !in_if && (o->keyword == O_ELSEIF || o->keyword == O_ELSE || o->keyword == O_ENDIF);
        in_if = o->keyword == O_IF || (in_if && o->keyword != O_ENDIF);
    }
}

/* The keyword that ends another; O_DO stands for the while that ends it. */
static o_keyword end_of(const o_line *o) {
    switch (o->keyword) {
    case O_SUB:
        return O_ENDSUB;
    case O_REPEAT:
        return O_ENDREPEAT;
    case O_WHILE:
        return O_ENDWHILE;
    case O_DO:
        return O_DO;
    default:
        return O_ENDIF;
    }
}

static size_t nearest(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Those of one name stand together, in the order of the text; linked from the bottom up. */
static void link_run(const o_lines *all, o_line **run, size_t count) {
    size_t next[O_UNKNOWN + 1], first = (size_t)(run[0] - all->items);

    for (int i = 0; i <= O_UNKNOWN; i++) {
        next[i] = all->count;
    }
    mark_run(run, count);
    for (size_t i = count; i-- > 0;) {
        o_line *o = run[i];
        o->name_id = first;
        o->end = next[end_of(o)];
        o->branch = nearest(nearest(next[O_ELSEIF], next[O_ELSE]), next[O_ENDIF]);
        if (o->keyword != O_DO) {
            next[o->closes ? O_DO : o->keyword] = (size_t)(o - all->items);
        }
    }
    for (size_t i = 0; i < count; i++) {
        run[i]->sub = next[O_SUB];
        run[i]->label = next[O_LABEL];
    }
}

static bool link_names(reader *r) {
    o_lines *all = &r->o;
    o_line **sorted = malloc((all->count + 1) * sizeof *sorted);
    size_t from = 0;

    all->by_name = malloc((all->count + 1) * sizeof *all->by_name);
    if (!sorted || !all->by_name) {
        free(sorted);
        return th_fail_memory(r->err);
    }
    for (size_t i = 0; i < all->count; i++) {
        sorted[i] = &all->items[i];
    }
    qsort(sorted, all->count, sizeof *sorted, compare_lines);
    for (size_t i = 0; i < all->count; i++) {
        all->by_name[i] = (size_t)(sorted[i] - all->items);
        if (i + 1 == all->count || compare_names(sorted[i], sorted[i + 1]) != 0) {
            link_run(all, sorted + from, i + 1 - from);
            from = i + 1;
        }
    }
    free(sorted);
    return true;
}

size_t rs_find_label(const reader *r, const char *digits, size_t length) {
    const o_line like = {.name = digits, .name_length = length};
    size_t low = 0, high = r->o.count;

    while (low < high) {
        size_t middle = (low + high) / 2;
        if (compare_names(&r->o.items[r->o.by_name[middle]], &like) < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    if (low == r->o.count || compare_names(&r->o.items[r->o.by_name[low]], &like) != 0) {
        return r->o.count;
    }
    return r->o.items[r->o.by_name[low]].label;
}

bool rs_find_labels(reader *r) {
    const char *p = r->text;
    int line = 1;

    while (p < r->end) {
        const char *end = memchr(p, '\n', (size_t)(r->end - p)), *words, *number;
        o_line o = {.start = p, .line = line};
        bool deleted;
        o.line_end = end ? end : r->end;
        words = rs_line_words(p, o.line_end, &deleted, &number);
        if (words < o.line_end && (rs_lower(*words) == 'o' || *words == ':') &&
            read_o_name(&o, words + 1) && !add(r, &o)) {
            return false;
        }
        p = end ? end + 1 : r->end;
        line++;
    }
    return link_names(r);
}
