/* own_row.c - one row in the user's own tables, all else of the file left as it is. */
#define _GNU_SOURCE
#include "config.h"
#include "place.h"
#include "scan.h"
#include "slurp.h"
#include "tackhold/files.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- the place of a row in a file -------------------------------------------------------------
 */

/* A line without the blanks at its ends. */
typedef struct {
    const char *p;
    size_t n;
} line;

static line trimmed(line found) {
    while (found.n > 0 && strchr(" \t\r", found.p[0])) {
        found.p++;
        found.n--;
    }
    while (found.n > 0 && strchr(" \t\r", found.p[found.n - 1])) {
        found.n--;
    }
    return found;
}

static line line_at(const char *text, size_t size, size_t from, size_t *next) {
    const char *end = memchr(text + from, '\n', size - from);
    size_t to = end ? (size_t)(end - text) : size;

    *next = end ? to + 1 : size;
    return trimmed((line){text + from, to - from});
}

static bool is_header(line found) {
    return found.n > 0 && found.p[0] == '[';
}

static bool is_comment(line found) {
    return found.n > 0 && (found.p[0] == '#' || found.p[0] == ';');
}

/* Blanks inside the brackets and capitals make no other name, as the reader takes it. */
static bool names(line header, const char *id) {
    size_t n = strlen(id);
    line name = {header.p + 1, header.n - 1};

    if (name.n == 0 || name.p[name.n - 1] != ']') {
        return false;
    }
    name.n--;
    name = trimmed(name);
    for (size_t i = 0; i < n && i < name.n; i++) {
        char c = name.p[i];
        c = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
        if (c != id[i]) {
            return false;
        }
    }
    return name.n == n;
}

typedef struct {
    size_t from, to; /* the row's comment, header and keys */
    bool found;
} span;

/* The row of that id: from the first of the comment lines right above its header to its last key.
 * What stands between that and the next header belongs to the next row. */
static span find_row(const char *text, size_t size, const char *id) {
    span row = {size, size, false};
    size_t comment = 0; /* start of the run of comment lines that ends here */
    bool inside = false, run = false;

    for (size_t at = th_scan_mark(text, size), next; at < size; at = next) {
        line found = line_at(text, size, at, &next);
        if (is_comment(found)) {
            comment = run ? comment : at;
            run = true;
            continue;
        }
        if (is_header(found)) {
            inside = names(found, id);
            row.from = inside ? (run ? comment : at) : row.from;
            row.found = row.found || inside;
        }
        if (inside && found.n > 0) {
            row.to = next;
        }
        run = false;
    }
    return row;
}

/* ---- the new text -----------------------------------------------------------------------------
 */

static bool ends_line(const th_text *text) {
    return text->size == 0 || text->data[text->size - 1] == '\n';
}

static void put_new_file(th_table table, th_text *made) {
    th_text_add(made,
                "# %s: rows of your own, read after the shipped ones by every command but with\n"
                "# --no-shop. `tackhold show %s' lists the keys.\n\n",
                th_table_name(table), th_table_name(table));
}

static void put_row(const char *old, size_t size, span row, const char *section, th_text *made) {
    th_text_put_n(made, old, row.from);
    if (!row.found) {
        th_text_put(made, ends_line(made) ? "" : "\n");
        th_text_put(made, size > 0 ? "\n" : "");
    }
    th_text_put(made, section);
    th_text_put_n(made, old + row.to, size - row.to);
}

/* What is written must read back as a table. */
static bool try_table(th_table table, const th_text *made, const char *path, th_error *err) {
    th_ini ini = {{NULL}, NULL, 0};
    th_tables *tables = th_tables_new();
    bool fine = (tables || th_fail_memory(err)) &&
                th_ini_scan(made->data, made->size, path, TH_FROM_TABLE, &ini, err) &&
                th_tables_add(tables, table, ini.items, ini.count, err);

    th_ini_free(&ini);
    th_tables_free(tables);
    return fine;
}

/* ---- where it goes ----------------------------------------------------------------------------
 */

static bool own_path(th_table table, char *path, size_t size, th_error *err) {
    char name[48], own[PATH_MAX];

    snprintf(name, sizeof name, "tables/%s.ini", th_table_name(table));
    if (!th_config_path(name, own, sizeof own) || strlen(own) >= size) {
        return th_fail(err, TH_NOT_WRITTEN,
                       "not written: neither XDG_CONFIG_HOME nor HOME names a place for tables of "
                       "your own");
    }
    snprintf(path, size, "%s", own);
    return true;
}

static bool write_row(const th_own_row *own, const char *path, th_error *err) {
    char target[PATH_MAX];
    struct stat info;
    bool there = stat(path, &info) == 0;
    size_t size = 0;
    char *old = there ? th_file_slurp(path, path, true, &size, err) : NULL;
    span row = {0, 0, false};
    th_text made = {NULL, 0, 0, false};
    bool fine = old || !there;

    if (fine && old) {
        row = find_row(old, size, own->id);
    } else if (fine) {
        put_new_file(own->table, &made);
    }
    if (fine && row.found && !own->replace) {
        fine = th_fail_at(err, TH_BAD_USAGE, path, 0,
                          "holds a row %s already; --replace replaces it", own->id);
    }
    if (fine) {
        put_row(old ? old : "", size, row, own->section, &made);
        fine = (!made.failed || th_fail_memory(err)) &&
               (made.size <= TH_FILE_SIZE_MAX ||
                th_fail_at(err, TH_NOT_WRITTEN, path, 0, "not written: it would exceed 1 MiB")) &&
               try_table(own->table, &made, path, err);
    }
    if (fine) {
        /* A link stays a link: what it points to is replaced. */
        bool real = realpath(path, target) != NULL;
        fine = th_file_write(real ? target : path, made.data, made.size, there, err);
    }
    free(old);
    th_text_free(&made);
    return fine;
}

/* Hold the file's directory, so that two programs that put rows into it do not lose one. -1 where
 * it cannot be held: some file systems know no locks, and a single user hardly needs one. */
static int hold_directory(const char *path) {
    char directory[PATH_MAX];

    snprintf(directory, sizeof directory, "%s", path);
    *strrchr(directory, '/') = '\0'; /* there is one before tackhold/ at least */
    int fd = open(directory, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    while (fd >= 0 && flock(fd, LOCK_EX) != 0 && errno == EINTR) {
    }
    return fd;
}

bool th_own_row_write(const th_own_row *row, char *path, size_t size, th_error *err) {
    if (!own_path(row->table, path, size, err) || !th_make_way(path, err)) {
        return false;
    }
    int held = hold_directory(path);
    bool fine = write_row(row, path, err);
    if (held >= 0) {
        close(held); /* which lets go of it */
    }
    return fine;
}
