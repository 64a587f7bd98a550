/* files.h - reading jobs and tables from disk, and writing results.
 *
 * Takes paths, gives entries (tables.h) and outlines (plate.h). The only layer that opens files and
 * the only one that knows iniparser and expat.
 */
#ifndef TACKHOLD_FILES_H
#define TACKHOLD_FILES_H

#include "tackhold/base.h"
#include "tackhold/tables.h"
#include "tackhold/plate.h"
#include "tackhold/advice.h"

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

/* The same with the user's own tables, $XDG_CONFIG_HOME/tackhold/tables (~/.config without it),
 * between the shipped ones and those of the directories; their rows have origin TH_FROM_SHOP. That
 * directory need not exist, nor hold anything. */
bool th_tables_load_own(const char *const *directories, size_t count, th_tables **tables,
                        th_error *err);

/* Entries of the user's defaults, $XDG_CONFIG_HOME/tackhold/shop.ini (~/.config without it). A
 * missing file gives no entries and no error. */
bool th_shop_read(th_ini *ini, th_error *err);

/* Read a job file with the shop's defaults and settings on top. shop may be NULL. */
bool th_job_read(const char *path, const th_ini *shop, const char *const *settings, size_t count,
                 const th_tables *tables, th_job **job, th_error *err);
/* The same for a job whose cuts stand in a program (th_job_build_bare). */
bool th_job_read_bare(const char *path, const th_ini *shop, const char *const *settings,
                      size_t count, const th_tables *tables, th_job **job, th_error *err);

/* The text of a program, as it is: a plain file or a pipe ("-": standard input) of at most
 * TH_PROGRAM_FILE_MAX bytes, to be freed. NULL on failure: TH_BAD_FILE, also for what is no text
 * (zero bytes, UTF-16, an archive, a drawing), TH_NO_MEMORY. */
enum { TH_PROGRAM_FILE_MAX = 256 * 1024 * 1024 };
char *th_program_slurp(const char *path, size_t *size, th_error *err);

/* The same from text in memory; `name` is the file as shown in messages. */
bool th_job_scan(const char *text, size_t size, const char *name, const th_ini *shop,
                 const char *const *settings, size_t count, const th_tables *tables, th_job **job,
                 th_error *err);

/* The same from entries that were scanned; settings are kept in the arena of `ini`. */
typedef struct {
    const th_ini *shop; /* NULL none */
    const char *const *settings;
    size_t count;
    bool bare; /* its cuts stand in a program */
} th_job_layers;
bool th_job_of(th_ini *ini, const th_job_layers *on, const th_tables *tables, th_job **job,
               th_error *err);

/* ---- outlines -------------------------------------------------------------------------------- */

enum { TH_OUTLINE_SIZE_MAX = 4 * 1024 * 1024 }; /* bytes of one outline file */

/* Read the outline that a file draws, an SVG or an ASCII DXF; which of them its beginning tells, or
 * else its name. Curves are flattened to TH_OUTLINE_TOLERANCE. The outline is checked as
 * th_path_finish does. Errors, with file and line: TH_BAD_FILE, TH_BAD_SYNTAX, TH_BAD_VALUE for
 * what the reader does not draw, and those of th_path_finish. */
bool th_outline_read(const char *path, th_outline *outline, th_error *err);

/* The same from text in memory; `name` is the file as shown in messages. */
bool th_outline_scan(const char *text, size_t size, const char *name, th_outline *outline,
                     th_error *err);

/* One kind of drawing.
 *
 * SVG: rect, circle, ellipse, polygon, polyline, line, path; g, a and nested svg; transform,
 * viewBox and preserveAspectRatio; lengths in mm, cm, in, pt, pc, px (1/96 in), Q and %. What the
 * screen shows is the part from above: y is turned over, and what is not shown (display none,
 * visibility hidden, neither fill nor stroke, defs and the like) is left out. fill-rule decides
 * within an element; between elements a ring inside a ring is a hole whatever its colour. With
 * stroke alone every line is an edge (evenodd). Open paths are errors even where a fill would close
 * them. The page does not clip. Without a physical size the user unit is the px. Refused: use,
 * text, images, clip paths, masks, CSS transforms, style sheets that hide or reshape, a document
 * type that declares entities.
 *
 * DXF: LINE, ARC, CIRCLE, LWPOLYLINE and POLYLINE with bulges; INSERT of blocks, nested too, with
 * scale and rotation; $INSUNITS (none or 0: mm). Loose ends within TH_OUTLINE_JOINT are joined.
 * Paper space, hidden entities, layers that are off or frozen, and annotation are left out; every
 * other entity is refused by name, binary files too. */
bool th_outline_svg(const char *text, size_t size, const char *name, th_outline *outline,
                    th_error *err);
bool th_outline_dxf(const char *text, size_t size, const char *name, th_outline *outline,
                    th_error *err);

/* Read the drawings that a job names: part.outline and hold.taped. Their paths are relative to the
 * folder of `job_path`, the job file, whoever named them (--set and the shop's defaults too);
 * relative to the working directory when the job came from "-". A drawing that is not named stays
 * empty (ring_count 0). The part keeps its lower left corner in the origin of the job's axes; the
 * tape, which may be of several strips, has its own at hold.taped_at. Errors: those of
 * th_outline_read, with the drawing's file; TH_CONTRADICTION, with the place of the key, for a part
 * of several pieces or one whose box differs from length and width by more than TH_SHAPE_MATCH. */
bool th_job_outlines_read(const th_job *job, const char *job_path, th_outline *part,
                          th_outline *taped, th_error *err);

/* Where a job's drawings come from: `read` gives the outline that an entry (part.outline or
 * hold.taped) names, or fails. */
typedef struct {
    bool (*read)(void *context, const th_entry *entry, th_outline *outline, th_error *err);
    void *context;
} th_drawings;

/* The same from anywhere. */
bool th_job_outlines_take(const th_job *job, const th_drawings *drawings, th_outline *part,
                          th_outline *taped, th_error *err);

/* Write a whole file or nothing: to a temporary beside it, flushed to disk, then renamed. With
 * `replace` false an existing file is an error (TH_NOT_WRITTEN), as is whatever else keeps it from
 * being written; a folder that is not there is TH_BAD_FILE. A link is replaced itself. Signals that
 * would end the program meanwhile wait: one write at a time. */
bool th_file_write(const char *path, const char *text, size_t size, bool replace, th_error *err);

/* ---- own pull tests -------------------------------------------------------------------------- */

/* Tests in the order of their file. Zero it before first use. */
typedef struct {
    th_arena arena;
    th_pull *items;
    size_t count;
} th_pulls;
void th_pulls_free(th_pulls *pulls);

/* Read pull tests from a table with columns parted by commas, semicolons or tabs: area (or length
 * and width), force, kind, failure, and, where noted, temperature, cooling, hold, date, note. Every
 * quantity names its unit, in its cell or once in the head of its column ("force [N]"). Lines that
 * start with # and empty ones are passed over; a byte order mark and CRLF are taken. "-" is
 * standard input. Errors, with file and line: TH_BAD_FILE, TH_BAD_SYNTAX, TH_BAD_KEY (a column),
 * TH_MISSING, TH_BAD_VALUE, TH_BAD_RANGE, TH_NO_MEMORY. */
bool th_pulls_read(const char *path, th_pulls *pulls, th_error *err);
/* The same from text in memory. */
bool th_pulls_scan(const char *text, size_t size, const char *name, th_pulls *pulls, th_error *err);

/* A row for the user's own tables. */
typedef struct {
    th_table table;
    const char *id;
    const char *section; /* the row as text: comment lines, "[id]", keys */
    bool replace;
} th_own_row;

/* Put one row into the user's own tables (th_tables_load_own), directories made as needed. Every
 * other line of the file stays as it is, byte for byte; a row of that id is replaced with `replace`
 * (with the comment lines right above it), else it is an error (TH_BAD_USAGE). The whole file is
 * read back as a table before it is written, atomically. `path` gets the file's name. Errors:
 * TH_NOT_WRITTEN, and whatever is wrong with the file or the row. */
bool th_own_row_write(const th_own_row *row, char *path, size_t size, th_error *err);

/* ---- the shop's own log ---------------------------------------------------------------------- */

enum {
    TH_LOG_FORMAT = 1,                  /* version in front of every record */
    TH_LOG_SIZE_MAX = 64 * 1024 * 1024, /* bytes of the log */
    TH_LOG_NOTE_MAX = 1000,             /* bytes of a note */
    TH_LOG_FAULTS_MAX = 20              /* messages kept */
};

/* Records in the order of their file, which is that of time. Zero it before first use. */
typedef struct {
    th_arena arena;
    th_log_record *items;
    size_t count;
    th_lines faults; /* "FILE:LINE: why", the first TH_LOG_FAULTS_MAX lines not understood */
    size_t skipped;  /* lines not understood, all of them */
    size_t torn;     /* records cut short while they were written, marked or last */
    size_t torn_lines[TH_LOG_FAULTS_MAX]; /* where the first of them stand */
} th_log;
void th_log_free(th_log *log);

/* Where the log lies: $XDG_DATA_HOME/tackhold/log, ~/.local/share without it. Errors:
 * TH_BAD_FILE where neither is set. */
bool th_log_path(char *path, size_t size, th_error *err);

/* Read a log from text in memory; `name` is the file as shown in messages. One line a record, cells
 * parted by tabs in a fixed order, the first TH_LOG_FORMAT, the last "end": without it a record is
 * torn. In a cell stand \t, \n, \r, \\ and \xHH (other control characters, bytes that are not
 * UTF-8). Lines that start with # and empty ones are passed over; a line that ends in a cell
 * "#torn" was cut short once. What cannot be understood is skipped and told in `faults`. Errors:
 * TH_NO_MEMORY. */
bool th_log_scan(const char *text, size_t size, const char *name, th_log *log, th_error *err);
/* The same from a file, locked meanwhile against a program that writes. No file is an empty log.
 * Errors: TH_BAD_FILE, TH_NO_MEMORY. */
bool th_log_read(const char *path, th_log *log, th_error *err);

/* A record as one line of the log, with its newline. */
void th_log_line(const th_log_record *record, th_text *text);
/* Append a record: file and directories made as needed, the file locked (10 s are waited for it),
 * flushed to disk. A last line without newline is ended first: as it is where it is whole, else
 * with the mark "#torn"; nothing is ever taken out. On failure the file is as long as it was.
 * Errors: TH_NOT_WRITTEN, TH_BAD_RANGE for a note that is too long, TH_NO_MEMORY. */
bool th_log_append(const char *path, const th_log_record *record, th_error *err);

#ifdef __cplusplus
}
#endif
#endif
