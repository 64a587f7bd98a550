/* Pieces of the manual page, in the mdoc language. */
#include <stdbool.h>
#include <string.h>

#include "rows.h"
#include "tackhold/report.h"

/* Source lines stay below 80 columns, escapes and all. */
enum { LINE_MOST = 76 };

/* ---- letters --------------------------------------------------------------------------------- */

/* `typed`: stands as one would type it, so no letter may turn into a finer one. */
static void put_letters(const char *p, size_t n, bool typed, th_text *page) {
    for (size_t i = 0; i < n; i++) {
        bool option = p[i] == '-' && (i == 0 || p[i - 1] == '-' || p[i - 1] == ' ');
        if (p[i] == '\\') {
            th_text_put(page, "\\e");
        } else if (p[i] == '-' && (typed || option)) {
            th_text_put(page, "\\-");
        } else if (typed && p[i] == '\'') {
            th_text_put(page, "\\(aq");
        } else if (typed && p[i] == '`') {
            th_text_put(page, "\\(ga");
        } else if (p[i] == '"' || p[i] == '~' || p[i] == '^') {
            th_text_put(page, p[i] == '"' ? "\\(dq" : p[i] == '~' ? "\\(ti" : "\\(ha");
        } else {
            th_text_put_n(page, p + i, 1);
        }
    }
}

/* A dot or quote in front would make a request of the line. */
static void guard(char first, th_text *page) {
    th_text_put(page, first == '.' || first == '\'' ? "\\&" : "");
}

void th_manual_word(const char *word, th_text *page) {
    bool apart = strchr(word, ' ') != NULL;
    th_text_put(page, apart ? "\"\\&" : "\\&"); /* so that no word is taken for a macro */
    put_letters(word, strlen(word), true, page);
    th_text_put(page, apart ? "\"" : "");
}

/* ---- running text ---------------------------------------------------------------------------- */

/* After the end of a sentence the source takes a new line. */
static bool sentence_ends(const char *from, size_t n, const char *next) {
    bool mark = n > 0 && strchr(".!?", from[n - 1]) != NULL;
    bool behind = n > 1 && from[n - 1] == ')' && strchr(".!?", from[n - 2]) != NULL;
    return (mark || behind) && *next >= 'A' && *next <= 'Z';
}

static void put_prose(const char *p, size_t n, th_text *page) {
    size_t column = 0;
    for (size_t i = 0; i < n;) {
        size_t length = 0;
        while (i + length < n && p[i + length] != ' ') {
            length++;
        }
        if (column > 0 && column + length >= LINE_MOST - 8) {
            th_text_put(page, "\n");
            column = 0;
        } else if (column > 0) {
            th_text_put(page, " ");
        }
        if (column == 0) {
            guard(p[i], page);
        }
        put_letters(p + i, length, false, page);
        column += length + 1;
        size_t next = i + length;
        while (next < n && p[next] == ' ') {
            next++;
        }
        if (next < n && sentence_ends(p + i, length, p + next)) {
            th_text_put(page, "\n");
            column = 0;
        }
        i = next;
    }
    th_text_put(page, column > 0 ? "\n" : "");
}

typedef struct {
    th_text *page;
    bool literal; /* a block of lines as typed is open */
    bool apart;   /* an empty line was seen: a paragraph begins */
} writer;

static void end_literal(writer *w) {
    if (w->literal) {
        th_text_put(w->page, ".Ed\n");
        w->literal = false;
        w->apart = true;
    }
}

static void put_literal(writer *w, const char *p, size_t n) {
    if (!w->literal) {
        th_text_put(w->page, ".Bd -literal -offset indent\n");
        w->literal = true;
    }
    while (n > 0 && *p == ' ') {
        p++;
        n--;
    }
    guard(*p, w->page);
    put_letters(p, n, true, w->page);
    th_text_put(w->page, "\n");
    w->apart = false;
}

static void put_plain(writer *w, const char *p, size_t n) {
    end_literal(w);
    th_text_put(w->page, w->apart ? ".Pp\n" : "");
    w->apart = false;
    put_prose(p, n, w->page);
}

static void put_line(writer *w, const char *p, size_t n) {
    const char *colon = memchr(p, ':', n);
    bool example = n > 9 && memcmp(p, "Example", 7) == 0 && colon != NULL && colon[1] == ' ';
    if (n == 0) {
        bool open = w->literal;
        end_literal(w);
        w->apart = w->apart || !open;
    } else if (example) {
        put_plain(w, p, (size_t)(colon + 1 - p));
        put_literal(w, colon + 2, (size_t)(p + n - colon - 2));
    } else if (*p == ' ') {
        put_literal(w, p, n);
    } else {
        put_plain(w, p, n);
    }
}

void th_manual_text(const char *prose, th_text *page) {
    writer w = {page, false, false};
    while (*prose != '\0') {
        size_t n = strcspn(prose, "\n");
        put_line(&w, prose, n);
        prose += n + (prose[n] == '\n');
    }
    end_literal(&w);
}

/* ---- keys ------------------------------------------------------------------------------------ */

static void put_key(const th_key_group *group, const th_key *key, th_text *page) {
    th_text line = {0};
    th_text_add(&line, "%s (", key->help);
    th_rows_bounds(group, key, TH_MM, &line);
    th_text_put(&line, ")");
    th_text_put(page, ".It Cm ");
    th_manual_word(key->name, page);
    th_text_put(page, "\n");
    th_manual_text(line.data == NULL ? "" : line.data, page);
    page->failed = page->failed || line.failed;
    th_text_free(&line);
}

static void put_group(const th_key_group *group, const char *title, th_text *page) {
    th_text_put(page, ".Ss ");
    th_manual_word(title, page);
    th_text_put(page, "\n");
    th_manual_text(group->help, page);
    th_text_put(page, ".Bl -tag -width Ds\n");
    for (size_t i = 0; i < group->count; i++) {
        put_key(group, &group->keys[i], page);
    }
    th_text_put(page, ".El\n");
}

static void put_titled(const th_key_group *group, const char *before, const char *behind,
                       th_text *page) {
    th_text title = {0};
    th_text_add(&title, "%s%s%s", before, group->section, behind);
    put_group(group, title.data == NULL ? "" : title.data, page);
    page->failed = page->failed || title.failed;
    th_text_free(&title);
}

void th_manual_job_keys(th_text *page) {
    size_t count;
    const th_key_group *groups = th_job_groups(&count);
    for (size_t i = 0; i < count; i++) {
        put_titled(&groups[i], "section ", "", page);
    }
}

void th_manual_table_keys(th_text *page) {
    for (int table = 0; table < TH_TABLE_COUNT; table++) {
        put_titled(th_key_group_of(th_table_name((th_table)table), false), "", ".ini", page);
    }
}
