/* tables.h - rows of the materials tables and the job, as plain structs, and the one table that
 * describes every key of both.
 *
 * Takes entries (section, key, text, place) from whoever read them: a file, a page, a command
 * line. Gives checked structs. Knows nothing of files and nothing of physics.
 */
#ifndef TACKHOLD_TABLES_H
#define TACKHOLD_TABLES_H

#include "tackhold/base.h"
#include "tackhold/quantity.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- entries: text as the user gave it ------------------------------------------------------ */

/* Where an entry came from. A later one in this list overrides an earlier one. */
typedef enum { TH_FROM_TABLE, TH_FROM_SHOP, TH_FROM_JOB, TH_FROM_SET } th_origin;

typedef struct {
    const char *section; /* lower case, without brackets */
    const char *key;     /* lower case */
    const char *value;   /* without surrounding blanks and quotes */
    const char *file;    /* as shown in messages; "--set" for TH_FROM_SET */
    int line;            /* 1-based, 0 for TH_FROM_SET */
    th_origin origin;
} th_entry;

/* ---- rows ------------------------------------------------------------------------------------ */

/* How far a figure can be trusted, weakest last. */
typedef enum {
    TH_MEASURED,  /* the user's own pull test */
    TH_PUBLISHED, /* read in the named publication */
    TH_PRACTICE,  /* common practice, no source */
    TH_MEMORY,    /* recalled from a named publication, not re-read */
    TH_ESTIMATE   /* derived; the reasoning stands in a comment of the table */
} th_trust;
/* "measured", "published", "practice", "memory", "estimate". */
const char *th_trust_name(th_trust trust);
/* True for trust below `published` (practice, memory, estimate). */
bool th_trust_weak(th_trust trust);

typedef struct {
    const char *id;
    const char *name;
    const char *source;
    int trust;  /* th_trust */
    int origin; /* th_origin: TH_FROM_SHOP for a row of the user's own tables */
} th_row_head;

typedef struct {
    th_row_head head;
    int group;              /* ISO 513: 0 P, 1 M, 2 K, 3 N, 4 S, 5 H; 6 O: plastics, composites */
    double kc11;            /* specific cutting force at 1 mm chip and width (MPa) */
    double mc;              /* exponent of the chip thickness (-), 0 to 0.6 */
    double ktc, krc, kac;   /* cutting coefficients (MPa); all six given, or all NAN */
    double kte, kre, kae;   /* edge coefficients (N/mm) */
    double friction_angle;  /* chip on rake face (deg) */
    double elastic_modulus; /* (MPa) */
    double poisson;         /* (-) */
    double density;         /* (kg/m3) */
    double heat_capacity;   /* (J/kgK) */
    double conductivity;    /* (W/mK) */
    double heat_share;      /* share of cutting power that enters the part (-) */
    double smallest_chip;   /* below it the edge rubs (mm) */
    double edge_chip;       /* below it the force line is the tangent (mm) */
    double adhesion;        /* factor on the tape's hold on this surface (-) */
    double expansion;       /* (1/K), NAN unknown */
    double speed_low, speed_high;  /* surface speed for carbide (m/min) */
    double chip_load_per_diameter; /* (-) */
    double ultimate;               /* tensile strength (MPa), NAN unknown */
    const char *caution;
} th_stock;

typedef struct {
    th_row_head head;
    int sides;                    /* 1 or 2 sticky faces */
    double thickness;             /* backing and adhesive (mm) */
    double adhesive_thickness;    /* of one layer (mm) */
    double shear_strength;        /* 3 s, 23 C, lower bound (MPa) */
    double lift_strength;         /* 3 s, 23 C, lower bound (MPa) */
    double peel;                  /* peel energy per area (N/mm) */
    double shear_travel;          /* separation at shear_strength (mm) */
    double lift_travel;           /* separation at lift_strength (mm) */
    double shear_modulus;         /* small strain, of the adhesive (MPa) */
    double temperature_max;       /* (C) */
    double strength_hot;          /* share of strength left at temperature_max (-) */
    double dry, mist, water, oil; /* factors by cooling, 0 = not to be used (-) */
    double backing_shear;         /* strength inside the backing (MPa) */
    double backing_lift;          /* (MPa) */
    double conductivity;          /* (W/mK) */
    double load_time_exponent;    /* n of (t / 3 s)^-n (-) */
    double spread;                /* coefficient of variation of strength (-) */
} th_tape;

typedef struct {
    th_row_head head;
    bool absent;                  /* the row `none`: nothing but the head is set */
    double shear_strength;        /* 3 s, 23 C, lower bound (MPa) */
    double lift_strength;         /* (MPa) */
    double thickness;             /* (mm) */
    double temperature_max;       /* (C) */
    double strength_hot;          /* (-) */
    double handling_time;         /* no strength before it (s) */
    double full_time;             /* (s) */
    double dry, mist, water, oil; /* (-) */
    double conductivity;          /* (W/mK) */
} th_glue;

typedef enum { TH_FLAT, TH_BALL, TH_BULL, TH_CHAMFER, TH_POINT, TH_FACE, TH_DRILL } th_cutter_kind;

typedef enum { TH_UP, TH_DOWN, TH_STRAIGHT } th_helix_pull;

typedef enum { TH_CARBIDE, TH_HSS } th_cutter_material;

typedef struct {
    th_row_head head;
    int kind;             /* th_cutter_kind */
    double diameter;      /* (mm) */
    int flutes;           /* teeth; lips of a drill */
    double helix;         /* (deg) */
    double rake;          /* (deg) */
    int helix_pulls;      /* th_helix_pull: where the flutes pull the chips and the part */
    double corner_radius; /* (mm); bull only, else 0 */
    double stickout;      /* from the holder (mm) */
    double flute_length;  /* (mm); NAN in a row that leaves it out; the stickout in a job */
    double shank;         /* shank diameter (mm); NAN likewise; the diameter in a job */
    double tip_flat;      /* diameter of the flat at the tip (mm); chamfer and point */
    double runout;        /* total indicated, at the edge (mm) */
    double edge_radius;   /* of the cutting edge (mm) */
    double tip_angle;     /* included (deg); chamfer, point, drill */
    int material;         /* th_cutter_material */
} th_cutter;

typedef struct {
    th_row_head head;
    double spindle_power;  /* at the motor (W) */
    double speed_min;      /* (rpm) */
    double speed_max;      /* (rpm) */
    double feed_max;       /* (mm/min) */
    double efficiency;     /* motor to cutter (-) */
    double peak_ratio;     /* measured over rigid peak force (-), 1.3 stiff to 2.0 loose */
    double spindle_torque; /* most at the cutter, whatever the speed (N mm); NAN unknown */
} th_machine;

typedef enum { TH_COOL_DRY, TH_COOL_MIST, TH_COOL_WATER, TH_COOL_OIL } th_coolant_kind;

typedef struct {
    th_row_head head;
    int kind;                /* th_coolant_kind */
    double film_coefficient; /* (W/m2K) */
} th_coolant;

typedef struct {
    th_row_head head;
    double adhesion;      /* factor on the tape's hold (-) */
    double wet;           /* factor when not cut dry (-), 0 = not to be used */
    double conductivity;  /* (W/mK) */
    double density;       /* (kg/m3) */
    double heat_capacity; /* (J/kgK) */
    double expansion;     /* (1/K), NAN unknown */
} th_plate;

/* ---- the tables ------------------------------------------------------------------------------ */

typedef enum {
    TH_STOCKS,
    TH_TAPES,
    TH_GLUES,
    TH_CUTTERS,
    TH_MACHINES,
    TH_COOLANTS,
    TH_PLATES,
    TH_TABLE_COUNT
} th_table;

/* Word for a table: "stock", "tape", ... (also the file's stem), and back; -1 if unknown. */
const char *th_table_name(th_table table);
int th_table_of(const char *name);

/* All rows. Opaque; rows stay where they are until th_tables_free. */
typedef struct th_tables th_tables;
th_tables *th_tables_new(void); /* NULL when out of memory */
void th_tables_free(th_tables *tables);

/* Add the rows that the entries of one file describe; a row with an id that exists replaces it for
 * later look-ups. Every row is checked whole: TH_BAD_KEY, TH_MISSING, TH_BAD_VALUE, TH_BAD_RANGE,
 * TH_CONTRADICTION, each with file and line. On failure nothing is added. */
bool th_tables_add(th_tables *tables, th_table table, const th_entry *entries, size_t count,
                   th_error *err);

/* How many rows a table has. */
size_t th_tables_count(const th_tables *tables, th_table table);
/* Row by position (in order of first appearance) or by id: pointers to th_stock, th_tape, ...
 * (every row starts with its th_row_head); NULL if there is none. */
const void *th_tables_row(const th_tables *tables, th_table table, size_t position);
const void *th_tables_find(const th_tables *tables, th_table table, const char *id);
enum { TH_HINT = 480 };
/* What `word`, which is no row, may have meant, ids in `quote`s: "did you mean a or b?"; where
 * nothing is like it and the table is short "write a, b or c"; else "". False: out of memory. */
bool th_tables_hint(const th_tables *tables, th_table table, const char *word, const char *quote,
                    char hint[TH_HINT]);

/* ---- keys ------------------------------------------------------------------------------------ */

/* How the text of a key is read, and the field it fills. */
typedef enum {
    TH_FORM_QUANTITY,    /* double */
    TH_FORM_COUNT,       /* int */
    TH_FORM_WORD,        /* int: position in `words` */
    TH_FORM_FLAGS,       /* int: bit set of positions in `words` */
    TH_FORM_TEXT,        /* const char * */
    TH_FORM_ROW,         /* const char *: id of a row of the table numbered `kind` */
    TH_FORM_CHIP,        /* th_reading */
    TH_FORM_POINT,       /* th_point: "x,y" */
    TH_FORM_POINTS,      /* th_points: "x,y x,y" */
    TH_FORM_SIZE,        /* th_size: "a x b", or "d" */
    TH_FORM_COUNTS,      /* th_counts: "n x m" */
    TH_FORM_COUNT_LENGTH /* th_count_length: "n x length" */
} th_form;

typedef struct {
    double x, y; /* (mm) */
} th_point;

typedef struct {
    th_point *items;
    size_t count;
} th_points;

typedef struct {
    double a, b; /* (mm); NAN when not given */
    bool single; /* one number was given: a diameter; b equals a */
} th_size;

typedef struct {
    int a, b; /* 0 when not given */
} th_counts;

typedef struct {
    int count;     /* 0 when not given */
    double length; /* (mm) */
} th_count_length;

enum { TH_KEY_REQUIRED = 1, TH_KEY_ABOVE = 2 }; /* ABOVE: must exceed `least` */

typedef struct {
    const char *name;
    th_form form;
    int kind; /* th_kind, or th_table for TH_FORM_ROW */
    unsigned flags;
    double least, greatest; /* in the core unit, of each number the form reads */
    const char *initial; /* default as one would type it; NULL: required, or absent if left out */
    const char *words;   /* words of TH_FORM_WORD and TH_FORM_FLAGS, blank-separated */
    const char *help;    /* one line */
    size_t offset;       /* of the field in its struct */
    unsigned needed_by, taken_by; /* cut keys: bit set of th_operation */
} th_key;

typedef struct {
    const char *section; /* "stock" ... "plate" for tables; "job", "part", "opening", "hold",
                            "machine", "cutter", "cut", "zero", "tool" for jobs */
    bool job;            /* a section of a job, not of a table */
    const char *help;
    const th_key *keys;
    size_t count;
} th_key_group;

/* The group of a table ("stock", ...) or of a job's section ("part", ...); NULL if unknown. */
const th_key_group *th_key_group_of(const char *section, bool job);
/* The groups of a job's sections, in the order a job is written. */
const th_key_group *th_job_groups(size_t *count);

/* Bounds, default and units of a key in words, e.g. "length, above 0 up to 50 mm, required". The
 * bounds are in `units`, a default as it is written. */
void th_key_describe(const th_key *key, th_units units, th_text *text);

/* The value of a key in a row or section struct, printed; "" where it is absent. */
void th_key_print(const th_key *key, const void *row, th_units units, th_text *text);

/* ---- the job --------------------------------------------------------------------------------- */

typedef enum {
    TH_SLOT,
    TH_FACING,
    TH_POCKET,
    TH_OUTLINE,
    TH_HOLE,
    TH_DRILLED,
    TH_ENGRAVE,
    TH_CHAMFERING,
    TH_PUSH
} th_operation;
/* "slot", "face", ... as a job has it. */
const char *th_operation_name(th_operation operation);

typedef enum { TH_MAY_GO, TH_MUST_STAY } th_offcuts;
enum { TH_STOP_LEFT = 1, TH_STOP_RIGHT = 2, TH_STOP_FRONT = 4, TH_STOP_BACK = 8 };
typedef enum { TH_CLIMB, TH_CONVENTIONAL } th_direction;
typedef enum { TH_PLUNGE, TH_RAMP, TH_HELIX } th_entry_move;
typedef enum { TH_OUTSIDE, TH_INSIDE } th_side;

typedef struct {
    const char *title;
    int units;           /* th_units: TH_MM or TH_INCH */
    double asked_factor; /* (-) */
    double sway_limit;   /* (mm), NAN none stated */
    int offcuts;         /* th_offcuts */
} th_job_head;

typedef struct {
    const char *stock_id;
    const th_stock *stock;
    double length, width, thickness;  /* x, y, z (mm) */
    int shape;                        /* th_part_shape */
    double corner_radius;             /* of a rectangle (mm), 0 sharp */
    th_points points;                 /* of a polygon, in the job's axes (mm) */
    const char *outline;              /* file, NULL: shape and openings of the job itself */
    double sheet_length, sheet_width; /* (mm), NAN: the stock is the part itself */
    double sheet_x, sheet_y;          /* the part's corner in the sheet (mm) */
    th_counts copies;                 /* 1 x 1 when not given */
    th_size pitch;                    /* (mm) */
    double bow;                       /* (mm), NAN none */
} th_part;

typedef enum { TH_RECTANGLE, TH_ROUND, TH_POLYGON } th_part_shape;

#define TH_SHAPE_MATCH 0.1 /* how far a shape's box may differ from length and width (mm) */

/* Holes and slots that belong to the part's shape. */
typedef struct {
    int number;          /* N of [opening.N] */
    const char *section; /* "opening.N" */
    th_points at;        /* centres, grid laid out (mm) */
    th_size size;        /* a hole's diameter, or a slot's length x width (mm) */
    double angle;        /* of a slot, counterclockwise from x (deg) */
    th_counts grid;
    th_size pitch; /* (mm) */
} th_part_opening;

typedef struct {
    const char *tape_id, *tape_below_id, *glue_id, *cooling_id, *plate_id;
    const th_tape *tape;
    const th_tape *tape_below; /* NULL without glue */
    const th_glue *glue;       /* the row `none` (absent) without glue */
    const th_coolant *coolant;
    const th_plate *plate;
    double coverage;         /* (-), above 0 to 1 */
    const char *taped;       /* file that draws where tape is, NULL everywhere */
    th_point taped_at;       /* lower left corner of that drawing in the job's axes (mm) */
    int preparation;         /* th_preparation of bond.h, same order: scuffed wiped as-is oily */
    int pressed;             /* weight roller hand */
    double wait;             /* (s) */
    int stops;               /* bit set TH_STOP_... */
    double plate_thickness;  /* (mm) */
    double below;            /* how far through cuts go under the lower tape (mm) */
    double plate_left;       /* least left of the plate (mm) */
    double cutting_time;     /* (s), NAN: from the cuts */
    double room_temperature; /* (C) */
} th_hold;

typedef struct {
    const char *name; /* NAME of [cutter.NAME] */
    const char *id;
    double wear;   /* (-) */
    th_cutter row; /* with the section's overrides */
} th_job_cutter;

typedef struct {
    int number;          /* N of [cut.N] */
    const char *section; /* "cut.N" */
    int operation;       /* th_operation */
    const char *cutter_name;
    const th_job_cutter *cutter; /* NULL for a push */
    double radial, axial; /* engagement of the pass (mm); filled in for every cut but drill and
                             push */
    double depth;         /* below the top (mm); for a through cut down to the plate */
    bool through;
    int through_word; /* as typed: 0 no, 1 yes, -1 not given */
    th_point from, to;
    th_points at; /* places, with grid and circle already laid out */
    th_size size; /* pocket: a x b, or a round one; hole: diameter */
    th_counts grid;
    th_size pitch;
    th_count_length circle; /* places on a circle of that diameter round each `at` */
    double finish;          /* left for a last pass (mm), NAN none */
    int entry;              /* th_entry_move */
    int side;               /* th_side */
    double skin;            /* left at the bottom (mm), NAN none */
    th_count_length tabs;
    double tab_height; /* of the bridges (mm); default last_axial, at most the thickness */
    double last_axial; /* of the pass that frees (mm); default axial */
    double last_feed;  /* of that pass (mm/min); default feed */
    double width;      /* chamfer (mm) */
    double length;     /* of the engraved path (mm) */
    double peck;       /* (mm), NAN none */
    double force_x, force_y, force_z; /* push (N) */
    double at_x, at_y, patch;         /* push (mm) */
    double seconds;                   /* push (s) */
    double speed;                     /* (rpm) */
    th_reading chip_reading;          /* chip_load as typed */
    double chip_load;                 /* per tooth or lip (mm) */
    double feed;                      /* (mm/min) */
    double last_chip_load;            /* (mm) */
    int direction;                    /* th_direction */
    double rest;                      /* between passes (s) */
} th_cut;

typedef struct {
    th_point at; /* NAN when not given */
    double top;  /* (mm), NAN when not given */
    bool given;
} th_zero;

/* What a program's T number stands for. */
typedef struct {
    int number;          /* N of [tool.N] */
    const char *section; /* "tool.N" */
    const char *cutter_name;
    const th_job_cutter *cutter;
    double length;   /* as the machine's table has it (mm), NAN not given */
    double diameter; /* for cutter compensation (mm); the cutter's own unless given */
} th_job_tool;

typedef struct {
    th_arena arena;
    th_job_head head;
    th_part part;
    th_hold hold;
    const char *machine_id;
    th_machine machine; /* with the section's overrides */
    th_job_cutter *cutters;
    size_t cutter_count;
    th_part_opening *openings; /* in order of N */
    size_t opening_count;
    th_cut *cuts; /* in order of N */
    size_t cut_count;
    th_zero zero;
    th_job_tool *tools; /* in order of N */
    size_t tool_count;
    double stack_height; /* tape, glue and tape below the part (mm) */
    th_lines defaults;   /* "hold.wait = 1 h" and the like, one a default that was used */
    th_lines cautions;   /* from the rows and from values out of the usual range */
    const th_tables *tables;
    const th_entry *entries; /* all of them, for th_job_change */
    size_t entry_count;
} th_job;

/* Read, complete and check a job. Entries of a later origin override earlier ones key by key;
 * within one origin they must be unique. `tables` must outlive the job. Refused, with file, line,
 * key, what was read and what would do: unknown sections and keys (nearest known name), keys that
 * the operation does not take, missing and unreadable values, values out of bounds, unknown rows,
 * and what cannot be: radial above the diameter, axial above the flute length or below the plate's
 * reserve, feed or speed beyond the machine, both feed and chip_load, an undefined cutter, a place
 * outside the part. */
bool th_job_build(const th_entry *entries, size_t count, const th_tables *tables, th_job **job,
                  th_error *err);

/* The same for a job whose cuts stand in a program: it may have no [cut.N]. What is judged by cuts
 * (th_check_run and all that follows from it) must not be given such a job. */
bool th_job_build_bare(const th_entry *entries, size_t count, const th_tables *tables, th_job **job,
                       th_error *err);

/* Whether the tabs of a cut, its cutter's kerf between them, find room on an edge of that length
 * (mm). If not, `why` says what they need and what would fit. */
bool th_tabs_fit(const th_job *job, const th_cut *cut, double edge, th_text *why);

/* The same job with further settings "SECTION.KEY=VALUE" (the last dot before '=' splits section
 * from key) on top. The original stays as it is. */
bool th_job_change(const th_job *job, const char *const *settings, size_t count, th_job **changed,
                   th_error *err);
void th_job_free(th_job *job);

/* Split one "SECTION.KEY=VALUE" into an entry of origin TH_FROM_SET. Errors: TH_BAD_USAGE. */
bool th_setting_read(const char *setting, th_arena *arena, th_entry *entry, th_error *err);

#ifdef __cplusplus
}
#endif
#endif
