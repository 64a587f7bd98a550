/* files.h - reading jobs and tables from disk, and writing results.
 *
 * Takes paths, gives entries (tables.h). The only layer that opens files and the only one that
 * knows iniparser.
 */
#ifndef TACKHOLD_FILES_H
#define TACKHOLD_FILES_H

#include "tackhold/base.h"
#include "tackhold/tables.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { TH_FILE_SIZE_MAX = 1024 * 1024 }; /* bytes of one INI file */

/* Entries of one file, in its order. Zero it before first use. */
typedef struct {
    th_arena arena;
    th_entry *items;
    size_t count;
} th_ini;
void th_ini_free(th_ini *ini);

/* Strict scan of INI text in memory: gives entries with line numbers, and refuses with file and
 * line whatever the loader behind it would silently alter: byte order mark, NUL and other control
 * characters, carriage return alone, a line over 900 bytes, a trailing backslash, duplicate section
 * or key (whatever the case of letters), names outside [a-z A-Z 0-9 _ . + -], a header not alone on
 * its line, a key before any section, no '=', an empty value, '#' or ';' in an unquoted value, an
 * unclosed quote, text after a closing quote, a backslash in quotes, a section without keys (but in
 * the shop's defaults), more than 2,000 keys or sections. Names are folded to lower
 * case. `name` is the file as shown in messages. Errors: TH_BAD_SYNTAX, TH_NO_MEMORY. */
bool th_ini_scan(const char *text, size_t size, const char *name, th_origin origin, th_ini *ini,
                 th_error *err);

/* Read a file ("-" is standard input): a regular file or pipe of at most TH_FILE_SIZE_MAX bytes,
 * scanned as above, then loaded by iniparser; the values are the ones iniparser gives, and a
 * difference between the two is an error. Errors: TH_BAD_FILE, TH_BAD_SYNTAX, TH_NO_MEMORY. */
bool th_ini_read(const char *path, th_origin origin, th_ini *ini, th_error *err);

/* Load the shipped tables, then those of each directory in turn (a directory need not hold every
 * file, but must hold one and must exist). The shipped ones are looked for in $TACKHOLD_MATERIALS,
 * beside the program (../materials from a build tree, ../share/tackhold/materials when installed),
 * then in the compiled-in install prefix. directories may be NULL. */
bool th_tables_load(const char *const *directories, size_t count, th_tables **tables,
                    th_error *err);

/* Entries of the user's defaults, $XDG_CONFIG_HOME/tackhold/shop.ini (~/.config without it). A
 * missing file gives no entries and no error. */
bool th_shop_read(th_ini *ini, th_error *err);

/* Read a job file with the shop's defaults and settings on top. shop may be NULL. */
bool th_job_read(const char *path, const th_ini *shop, const char *const *settings, size_t count,
                 const th_tables *tables, th_job **job, th_error *err);

/* Write a whole file or nothing: to a temporary beside it, flushed to disk, then renamed. With
 * `replace` false an existing file is an error (TH_NOT_WRITTEN). */
bool th_file_write(const char *path, const char *text, size_t size, bool replace, th_error *err);

#ifdef __cplusplus
}
#endif
#endif
