/* program.h - an RS-274 program: read it, sweep the cutter through the stock, hold the loads
 * against the bond.
 *
 * First half: the reader turns the text of a program into moves. The language is RS274/NGC as NIST
 * IR 6556 defines it (Kramer, Proctor, Messina, "The NIST RS274NGC Interpreter - Version 3", 2000)
 * for three axes, with ISO 6983's words and what is common in the field on top: subprograms by
 * M98 and M99, O-words, named parameters, G73, G90.1 and G91.1, G95, G10 L20. Words of one line
 * take effect in the report's order of execution whatever their order on the line.
 * Second half: the sweep takes moves.
 *
 * Moves come one by one through a sink, so memory does not grow with the program.
 */
#ifndef TACKHOLD_PROGRAM_H
#define TACKHOLD_PROGRAM_H

#include "tackhold/base.h"
#include "tackhold/advice.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- moves ----------------------------------------------------------------------------------- */

typedef enum {
    TH_MOVE_RAPID, /* straight, at the machine's own speed */
    TH_MOVE_LINE,  /* straight, at feed */
    TH_MOVE_ARC,   /* circular or helical, at feed */
    TH_MOVE_DWELL, /* stands still for `seconds` */
    TH_MOVE_STOP   /* program stop or tool change: spindle and feed stand, `seconds` unknown (0) */
} th_move_kind;

/* One motion of the tool tip (centre of its end), in mm, in the program's work coordinates (those
 * of [zero] of the job), offsets, units, planes, cycles and cutter compensation all resolved. */
typedef struct {
    th_move_kind kind;
    int line;         /* of the program's text, 1-based, that asked for it */
    double from[3];   /* (mm) */
    double to[3];     /* (mm) */
    double centre[2]; /* of an arc: along axes[0] and axes[1], in this order (mm) */
    int axes[3];      /* of an arc: the two axes of the plane, then the one along, right-handed:
                         {0, 1, 2} is G17, {2, 0, 1} G18, {1, 2, 0} G19. The radii at `from` and
                         `to` may differ by what rounding shows (TH_ARC_SLACK_...) */
    double sweep;     /* of an arc: signed angle, counterclockwise seen from the end of axis axes[2]
                         towards 0, several turns allowed (rad) */
    double feed;      /* along the path (mm/min); 0 for a rapid */
    double speed;     /* spindle (rpm); 0 stopped */
    int spindle;      /* 1 clockwise, -1 counterclockwise, 0 stopped */
    int tool;         /* T number in the spindle, 0 none */
    int coolant;      /* bits: 1 mist, 2 flood */
    double seconds;   /* of a dwell (s) */
    int arrives; /* line of the rapid that came to `from` over a way that nobody knows, and that no
                    move before this one tells of; 0: none */
} th_move;

/* false (with err set) stops the reading. */
typedef bool (*th_move_sink)(void *context, const th_move *move, th_error *err);

/* ---- reading --------------------------------------------------------------------------------- */

/* Radii of an arc's two ends may differ by this much; beyond it is an error, beyond the limits of
 * the NIST report (0.002 mm, 0.0002 in) a warning. The figures are what rounding can do: each of
 * end, start and offset is off by half a last digit in both axes, 4 sqrt(2) halves together, for
 * two decimals of a millimetre or three of an inch. */
#define TH_ARC_SLACK_MM 0.0283
#define TH_ARC_SLACK_INCH 0.00283

enum {
    TH_PROGRAM_SYSTEMS = 9,       /* G54 to G59, G59.1 to G59.3 */
    TH_PROGRAM_WARNINGS_MAX = 20, /* of one kind that the report keeps */
    TH_PROGRAM_TOOLS_MAX = 256,   /* different T numbers */
    TH_PROGRAM_M_MAX = 100        /* M numbers */
};

/* The greatest coordinate (mm) and the greatest size of a program's text (bytes). */
#define TH_PROGRAM_REACH 1e6
#define TH_PROGRAM_SIZE_MAX ((size_t)1 << 30)

typedef enum {
    TH_M98_L,         /* P names the subprogram, L says how often */
    TH_M98_COUNT_IN_P /* the last four digits of P name it, those before say how often */
} th_m98_reading;

/* Corners under G41 and G42 with the tool on the inner side. */
typedef enum {
    TH_INWARD_CROSS, /* the tool turns where its centre is a radius from both moves */
    TH_INWARD_REFUSE /* an error, as in the NIST report */
} th_inward_reading;

/* One tool of the machine's table. */
typedef struct {
    int number;      /* as T, H and D say it */
    double length;   /* (mm), NAN unknown: only where H is not the tool in the spindle */
    double diameter; /* (mm), NAN unknown: only for G41 and G42 */
} th_program_tool;

/* What a program's text does not say. Places are in the coordinates of the moves: the zero of the
 * first coordinate system that the program calls (G54 where it moves before it calls one; the one
 * in which it moves first where neither G10 nor `systems` relates the two), tool tip, mm. NAN: not
 * known. */
typedef struct {
    th_units units;           /* until G20 or G21 */
    bool units_in_doubt;      /* a move before G20 or G21 is a doubt, not a warning */
    bool units_guessed;       /* nobody says that it is `units`: such a move holds a run back */
    th_m98_reading m98;       /* what M98 takes its count from */
    bool arc_centre_absolute; /* I, J, K until G90.1 or G91.1: false increments from the start */
    bool block_delete;        /* lines that begin with / are left out */
    bool dwell_in_ms;         /* P of G4 and of cycles: false seconds */
    bool feed_before_units;   /* F on a line that changes the units: true in the units before */
    th_inward_reading inward; /* corners under cutter compensation */
    const th_program_tool *tools;
    size_t tool_count;
    double start[3];                       /* where the tool stands at first */
    double home[2][3];                     /* where G28 and G30 go */
    double machine_zero[3];                /* zero of G53 */
    double systems[TH_PROGRAM_SYSTEMS][3]; /* zeros of G54 to G59.3 */
    long long blocks_max;                  /* lines executed, repeats counted */
    int calls_max;                         /* calls inside calls, 1 to 100 */
} th_program_options;

/* Millimetres, P and L, increments, no block delete, seconds, inward corners at the crossing, no
 * tool, every place unknown;
 * 50 million lines executed, 20 calls inside each other (the report asks for 10). */
th_program_options th_program_defaults(void);

typedef struct {
    int line;
    bool doubt; /* the meaning is in doubt: no verdict can stand on it */
    const char *text;
} th_program_warning;

/* What was read. Zero it before use. */
typedef struct {
    th_program_warning *warnings; /* in the order found, one for a line and kind */
    size_t warning_count;
    size_t left_off;  /* warnings beyond TH_PROGRAM_WARNINGS_MAX of their kind */
    size_t doubts;    /* warnings with doubt, those left off too */
    int before_units; /* line of the first move, if it comes before G20 and G21; else 0 */
    int taps;         /* line of the first hole of G84; 0: none */
    int blind; /* line of the lowest rapid that goes sideways, at a known height, from a place
                  that is not; 0: none */
    double blind_height; /* of that, where it is lowest (mm) */
    th_lines readings;   /* which reading was taken where dialects differ and it mattered */
    int lines;           /* the farthest line of the text that was reached */
    long long blocks;    /* lines executed */
    long long moves[5];  /* by th_move_kind; dwells and stops out of sight are counted, not given */
    double rapid_length; /* (mm) */
    double feed_length;  /* (mm) */
    double feed_seconds; /* at the feeds as programmed (s) */
    double dwell_seconds;   /* (s) */
    double low[3], high[3]; /* box of the moves at feed, arcs in full (mm); NAN without one */
    bool m_used[TH_PROGRAM_M_MAX];
    const char *zero_of; /* where the program moves in another coordinate system than the one it
                            calls first: that whose zero is the moves', as "G54"; else NULL */
    int tools[TH_PROGRAM_TOOLS_MAX]; /* T numbers put into the spindle, in order of first use */
    size_t tool_count;
    th_arena arena;
} th_program_report;

/* Read `size` bytes of text and give every move to the sink, in order. A word that is not known, a
 * value that cannot be, a loop without end, a call too deep is an error with its line (err->line;
 * err->file is empty); err comes from the sink where that returns false. The report holds what was
 * read until then and must be freed either way.
 *
 * Where the tool stands: until the first absolute word of an axis nobody knows, unless the options
 * say; such a move is given only once all three axes are known, with `from` equal to `to` in the
 * axes that were not. G28, G30 and G53 to a place that the options leave out lead to where it is
 * not known either. A rapid is then told by the next move alone, which begins where it ended
 * (`arrives`); a move at feed is a warning with doubt.
 *
 * Tool length: the tip stands where the program says, as if each tool were touched off, while H is
 * the tool in the spindle or none is used; another H shifts it by the difference of both lengths,
 * which must then be known.
 *
 * Cutter compensation is the report's: contour and tool in the XY plane, an arc round every outward
 * corner, an error at an inward arc into which the tool does not fit. At an inward corner both
 * moves are cut short to where the ways of the tool's centre along them cross, the way in among
 * them; z stays that of the programmed ends, what happens between the two moves (z, dwells, stops)
 * happens there, and it is an error if either way ends before the crossing. So while compensation
 * is on a move is given only once the next is known; the last one goes to its end. */
bool th_program_read(const char *text, size_t size, const th_program_options *options,
                     th_move_sink sink, void *context, th_program_report *report, th_error *err);
void th_program_report_free(th_program_report *report);

/* ---- sweep: the stock as a height map
 * ------------------------------------------------------------
 *
 * The sweep takes moves and keeps the stock as a map of heights: one sample a square cell, the
 * height above the bonded face of what still stands there. Samples do not sit in the middle of
 * their cells: that of cell (i, j) lies at (i + frac(g j), j + frac(-g i)) cells from the map's
 * corner, g the golden ratio, so that a straight wall along the grid, too, passes its samples at
 * evenly spread distances. The height left at a sample is exact: the lowest of the cutter's lower
 * surface over the whole move, closed form but for a bull-nosed cutter on a ramp (bisection).
 * Arcs out of the plane of x and y, and helical moves of cutters that are not flat, are taken in
 * chords that stray by no more than TH_SWEEP_CHORD.
 *
 * What is left to err is the counting of samples. Areas of slots, pockets and circles come out
 * within 0.5 cell^2 for every mm of wall; the radial engagement of one step within 1.5 cells (its
 * front is counted, not its side alone), and within half a cell once some steps alike have
 * been averaged, as what one step has too much the next has too little. */

#define TH_SWEEP_CHORD 0.001 /* (mm) */
#define TH_SWEEP_FAR 1e5     /* coordinates beyond are refused (mm) */
#define TH_SWEEP_LONG 1e7    /* and moves longer than this (mm) */
/* A rapid goes through material where the cutter, drawn in sideways by the second, stands deeper
 * in it than the first (mm). The second: paths rounded to 0.01 mm. */
#define TH_SWEEP_RAPID_TOUCH 0.001
#define TH_SWEEP_RAPID_SCRAPE 0.02

/* Metal that a program leaves standing in a kerf, as bits of a grid. */
typedef struct {
    size_t columns, rows;
    double x0, y0, cell;
    unsigned char *bits; /* row by row; NULL: there is none */
} th_tabs;
void th_tabs_free(th_tabs *tabs);
bool th_tabs_at(const th_tabs *tabs, double x, double y);

/* A cutter by the program's number; number -1 serves every number not listed. */
typedef struct {
    int number;
    const th_cutter *cutter; /* borrowed */
    double wear;             /* as in th_pass; the sweep itself has no use for it */
} th_sweep_tool;

typedef struct {
    const th_outline *stock; /* in the job's axes; NULL: the rectangle below; borrowed while made */
    double box[4];           /* x0, y0, x1, y1 of the stock (mm); of an outline: ignored */
    const th_outline *taped; /* where tape is, in the job's axes; NULL: everywhere; borrowed while
                                made */
    double thickness;        /* (mm) */
    double plate_top,
        table;      /* heights of the sacrificial plate's top and of the table (mm), <= 0 */
    double zero[3]; /* the program's zero in the job's axes (mm) */
    const th_sweep_tool *tools;
    size_t tool_count;
    double rapid;        /* speed of rapids (mm/min); 0: they take no time */
    double cell;         /* side of a cell (mm); 0: a 150th of the smallest cutter, 0.02 to 0.2 mm,
                            larger where the memory asks for it */
    double memory;       /* most that the map may take (bytes); 0: 200e6. 6 bytes a cell; loads take
                            4 more where a program cuts on into parts after it has cut through
                            beside some */
    double step;         /* longest step (mm); 0: a twelfth of the cutter's diameter */
    double skin;         /* metal no thicker than this joins nothing (mm) */
    const th_tabs *tabs; /* that join nothing either, and count as not on tape; NULL: none; borrowed
                            while made */
} th_sweep_setup;

/* How a cutter stands in the stock over one step. */
enum { TH_STEP_ZONES = 16 };
typedef struct {
    th_zone zones[TH_STEP_ZONES]; /* from below; none: only its end cuts, or nothing does */
    int zone_count;
    double height;          /* from its lowest point to the top of what it cuts (mm) */
    double radial;          /* widest engaged width of any zone (mm) */
    double end_area;        /* that its end cuts into along the spindle, mean over the step (mm2) */
    unsigned long long key; /* same key: same zones and end_area (of the same cutter) */
} th_engagement;

/* One step: a stretch of path, of one move or of several short ones, over which the engagement is
 * taken to be one. Engagement is read off what the step takes from the map as it was before; widths
 * and heights are rounded to half a percent, so that equal ones are equal. */
enum { TH_STEP_ALSO = 3 };

typedef struct {
    int line; /* of the program's text */
    int tool; /* T number */
    const th_cutter *cutter;
    double at[3];           /* lowest point of the cutter half way (mm, job axes) */
    double low;             /* lowest that it comes (mm) */
    double heading;         /* of the feed, counterclockwise from +x (rad); 0 straight down */
    double length;          /* along the path (mm) */
    double across;          /* along the path in plan (mm) */
    double down;            /* that it sinks (mm), below 0: it rises */
    double feed;            /* along the path (mm/min) */
    double speed;           /* (rpm) */
    int spindle, coolant;   /* as in th_move */
    double seconds;         /* it takes (s) */
    double removed;         /* (mm3) */
    double of_tabs;         /* of it off tabs (mm3) */
    double of_skin;         /* of it off what a kerf has left and joins nothing; this counts to the
                               piece that the kerf was cut into (mm3) */
    double opened;          /* bonded face cut away (mm2) */
    int piece;              /* that it cuts most of, see th_sweep_piece; -1: none */
    int also[TH_STEP_ALSO]; /* others that it cuts more than a twentieth of all of; -1: none */
    th_engagement engagement;
} th_step;

/* One connected piece of what is left. Piece 0 is the stock as it was; when a cut parts a piece,
 * the larger side keeps its number. */
typedef struct {
    th_section bonded; /* its face on the tape, coverage not counted */
    double box[4]; /* x0, y0, x1, y1: as it came loose, what was still to be cut off it included;
                      after th_sweep_end as it is (mm) */
    int from;      /* the piece it was part of; -1: the stock */
    int line;      /* that set it free; 0: the stock */
} th_sweep_piece;

typedef enum {
    TH_FOUND_RAPID,     /* a rapid through material */
    TH_FOUND_TABLE,     /* the cutter reaches the table */
    TH_FOUND_STOPPED,   /* a cut with the spindle stopped */
    TH_FOUND_BACKWARDS, /* a cut with the spindle running counterclockwise */
    TH_FOUND_FLUTES,    /* the stock reaches over the cutter's flutes */
    TH_FOUND_SHANK /* the stock reaches over them beside the cutter, where its shank is wider */
} th_found_kind;

typedef struct {
    th_found_kind kind;
    int line;
    double at[3]; /* of the cutter's lowest point (mm, job axes) */
    double depth; /* most that it takes off in height, goes into the table, or stands over the
                     flutes (mm) */
} th_found;

/* Receives what the sweep finds, in order. False stops with the error that it filled. Any may be
 * NULL. `loose` comes after the steps up to the one that set the piece free; `stands` for every
 * dwell and stop, after the steps before it. */
typedef struct {
    bool (*step)(void *context, const th_step *step, th_error *err);
    bool (*loose)(void *context, int piece, const th_sweep_piece *about, th_error *err);
    bool (*stands)(void *context, const th_move *move, th_error *err);
    void *context;
} th_sweep_sink;

typedef struct th_sweep th_sweep;

/* Errors: TH_BAD_RANGE (a box, thickness, cell that cannot be), TH_NOT_POSSIBLE (a stock that the
 * memory allows no cell of 2 mm for), TH_NO_MEMORY. Setup's tools and cutters must outlive it. */
bool th_sweep_make(const th_sweep_setup *setup, const th_sweep_sink *sink, th_sweep **sweep,
                   th_error *err);
void th_sweep_free(th_sweep *sweep);

/* One move; a th_move_sink. Errors, with the line of the move: TH_BAD_RANGE for coordinates that
 * are no numbers or beyond TH_SWEEP_FAR, a sweep or feed that cannot be, a move longer than
 * TH_SWEEP_LONG; TH_MISSING for a cut with a tool that the setup does not know; what the sink
 * reports; TH_NO_MEMORY. */
bool th_sweep_move(void *sweep, const th_move *move, th_error *err);
/* Steps that are still being put together go to the sink, and pieces are measured anew. */
bool th_sweep_end(th_sweep *sweep, th_error *err);

/* ---- what is left -----------------------------------------------------------------------------
 */

typedef struct {
    size_t columns, rows;
    double x0, y0, cell;          /* corner of the map and side of a cell (mm) */
    const float *heights;         /* row by row (mm); 0: cut through, or no stock */
    const unsigned short *pieces; /* which piece a cell belonged to last */
    const unsigned char *bare;    /* a bit a cell, set where no tape is; NULL: tape everywhere */
    size_t bytes;                 /* that the map takes */
} th_height_map;
/* As it is now; belongs to the sweep and changes with its next move. */
th_height_map th_sweep_map(const th_sweep *sweep);
/* Whether there is tape under a cell (its number, row by row). */
bool th_map_taped(const th_height_map *map, size_t cell);
/* Where the sample of a cell lies. */
th_point th_map_sample(const th_height_map *map, size_t column, size_t row);

/* How many pieces there have been, those cut up since among them. */
size_t th_sweep_piece_count(const th_sweep *sweep);
/* As it is now. NULL: there is none of that number. */
const th_sweep_piece *th_sweep_piece_at(const th_sweep *sweep, size_t piece);
/* Corners of the convex hull of a piece's bonded samples, counterclockwise, in an array that the
 * caller frees. Takes milliseconds. */
bool th_sweep_hull(const th_sweep *sweep, size_t piece, th_point **corners, size_t *count,
                   th_error *err);

typedef struct {
    double removed; /* of the stock so far (mm3) */
    double lowest;  /* of all cuts, and below the stock of all moves over the box that the stock
                       takes up, to which the sacrificial plate is taken to reach (mm); INFINITY:
                       none yet */
    int lowest_line;
    double reached; /* of all moves, beside that box too (mm); INFINITY: none yet */
    int reached_line;
    double dived; /* of rapids, likewise */
    int dived_line;
    double seconds;    /* of cuts, dwells and, with a speed for them, rapids (s) */
    double cutting;    /* of them with the cutter in the stock (s) */
    size_t steps;      /* that took something */
    size_t labellings; /* how often the whole map was searched for pieces */
} th_sweep_sums;
/* All moves so far. */
th_sweep_sums th_sweep_sums_of(const th_sweep *sweep);

/* One of a kind for every line, the deepest place. At most TH_FOUND_MOST are kept. */
enum { TH_FOUND_MOST = 10000 };
const th_found *th_sweep_found(const th_sweep *sweep, size_t *count);

/* ---- loads: the force of every step held against the bond ---------------------------------------
 *
 * The rigid area model (bond.h) at every step: the turn of the step's engagement (cutting.h), seen
 * from where the cutter stands, on the bonded area of the piece that it cuts as the step leaves it.
 * Chips come from the feed in plan. Feeding downwards presses, which earns nothing; its torque is
 * that of a drill (cutting.h) in proportion to the area of the end that cuts, an end mill's by the
 * specific force at a chip not below the stock's smallest (on a ramp of up to 2 deg, the dish of
 * its bottom teeth, at that of the side; in between by share). Where it goes straight through more
 * than a skin it lifts as a drill does. Steps with the spindle backwards have a finding and no
 * load. When a piece comes loose the steps that cut through beside it (at a sharp corner of the
 * path, too) are held again against the piece, and against what it came off, as if it had been free
 * all along: in the pass that frees a piece it counts as free.
 *
 * Warmth: two lumps (heat.h) as small as the smallest piece that counts, warmed by every step and
 * cooling in dwells (rapids take no time), and on top the local rise of the step's own pass by the
 * model of a job's cuts. What kind of cut it is shows in the map: a kerf has a wall on both sides,
 * or one and nothing beyond, spreads its heat in what stands beside it, throws it back at its edge
 * and, where heat spreads as far as the cut is wide, at corners, and finds what passes before have
 * left there; a floor spreads it in what stands in front, with what the sides of the part throw
 * back and what all passes of the place have brought; a spot is drilled, or bored in a circle of
 * up to two cutters. */

struct th_step_load;

typedef struct {
    const th_job *job;                 /* its cuts are not looked at */
    const th_outline *outline, *taped; /* as in th_check_options; borrowed */
    const th_sweep_tool *tools;        /* borrowed */
    size_t tool_count;
    double cell, memory, step; /* as of the sweep; 0: its own */
    const th_tabs *tabs;       /* as of the sweep */
    const th_tabs *goes; /* where pieces come free that need not stay, and what is cut away: the
                            plate takes the load on the other wall, and in the pass that cuts
                            through is without what goes beside the cutter; NULL: not known;
                            borrowed */
    /* Receives every step as it is held, and again those that freed a piece; NULL: nobody does.
     * False stops with the error that it filled. */
    bool (*each)(void *context, const struct th_step_load *load, th_error *err);
    void *context;
} th_load_setup;

/* A step, or several of one line, as the bond sees it. */
typedef struct th_step_load {
    int line;
    int tool;
    double at[3];                                 /* lowest point of the cutter (mm, job axes) */
    double heading;                               /* counterclockwise from +x (deg) */
    double radial;                                /* engaged width (mm) */
    double low, high;                             /* engaged heights over the bonded face (mm) */
    double chip_load;                             /* per tooth, in plan (mm); 0 straight down */
    double in_plane_peak, lift_peak, torque_peak; /* of the rigid model (N, N mm) */
    double power;                                 /* at the cutter (W) */
    double max_chip;                              /* (mm) */
    double shear_peak, lift_peak_traction;        /* largest under the peak load (MPa) */
    double hold_factor;                           /* the lower of peak and sustained */
    double peak_factor, sustained_factor;
    th_load_kind load;
    th_way way;
    const char *interface;
    th_point bond_at;                    /* that lets go first (mm) */
    double bonded_area;                  /* x coverage (mm2) */
    double held;                         /* how long the load has acted (s) */
    double sway;                         /* of the part under the cutter (mm) */
    double temperature;                  /* of the tape under it; of the part's, at most as at its
                                            edge, where the cutter is beyond and frames may go (C) */
    double part_temperature, local_rise; /* of the part as a whole (C), and above it there (K) */
    int piece;                           /* of the sweep */
    th_piece_kind kind;                  /* of it */
    bool counts;  /* enters the hold factor: slugs and frame only where they must stay */
    bool freeing; /* held against a piece that was not free yet */
    int coolant;  /* that is on, as in th_move */
} th_step_load;

/* A piece that came loose. */
typedef struct {
    int piece, from, line;
    th_piece_kind kind;
    int copy; /* of the part, 1-based; 0: none */
    bool counts;
    bool tabs;        /* it is free but for its tabs */
    int tabs_line;    /* that cuts the last of those; 0: none does */
    bool untold;      /* a slug amid the part that the job tells of no opening for */
    double area;      /* bonded face x coverage (mm2) */
    double box[4];    /* x0, y0, x1, y1: of all it was, the kerf beside it too (mm) */
    double stands[4]; /* the same of what stands of it after th_loads_end, skins in kerfs left out;
                         where nothing does, as `box`; of stock, which is cut up still, what stood
                         after the line that freed it (mm) */
    double hold_factor; /* lowest over the steps that cut it free or cut it later; INFINITY: none */
    int worst_line;     /* of them, 0 none */
} th_loose;

/* Narrower pieces are none that anybody catches; the next step eats them (mm). */
#define TH_CRUMB 1.0
bool th_loose_is_crumb(const th_loose *loose);

enum { TH_WORST_LINES = 10 };

/* What is warmer is told as over that (C): tape and stock are no longer what the model knows. */
#define TH_TOLD_WARMEST 300.0

typedef struct {
    th_step_load worst[TH_WORST_LINES]; /* of different lines, the lowest hold factor first */
    size_t worst_count;
    th_loose *loose;
    size_t loose_count;
    const float *by_line; /* lowest hold factor of a line, counted ones alone; INFINITY none */
    size_t line_count;    /* by_line[line], line from 0 on */
    double hold_factor;   /* of all that counts; INFINITY: nothing was cut */
    double peak_force, peak_power; /* largest of all steps (N, W) */
    double sway;                   /* (mm) */
    int sway_line;                 /* 0: none cuts */
    double warmest;                /* that the tape gets under what counts (C) */
    int warmest_line;              /* 0: none cuts */
    double passed_over;            /* steps that freed a piece and were too many to be held again */
    size_t turns;                  /* of the cutter computed */
} th_load_result;

typedef struct th_loads th_loads;
/* Errors: those of th_sweep_make and th_stock_region. */
bool th_loads_make(const th_load_setup *setup, th_loads **loads, th_error *err);
void th_loads_free(th_loads *loads);
/* One move; a th_move_sink. Errors, with the line: those of th_sweep_move, TH_BAD_RANGE for an
 * engagement that the force model cannot take, TH_NOT_POSSIBLE for a drill fed sideways. */
bool th_loads_move(void *loads, const th_move *move, th_error *err);
/* The same for the steps still being put together, as th_sweep_end. */
bool th_loads_end(th_loads *loads, th_error *err);
/* After th_loads_end: the tabs that a program left beside the parts of a sheet, without bits where
 * it left none; the caller frees them. Metal beside the parts that is thinner than most of what
 * stands round them counts as tabs where it is less than what is cut through round a piece, and
 * smaller than this. Where a part came free after all, by a cut later than others into it or its
 * wall, what was taken off since counts as tabs too, of any thickness, if more than half of the
 * outline was open when the first of those was made. With tabs given, only the latter are looked
 * for. A second run that is given them holds what they tie by its bond alone. That is about the
 * safe side, for tabs at the bonded face: a tab is one more spring, so no place gives more under a
 * load of its own, and what a load does elsewhere is at most what such loads do in their own places
 * (the compliance is a positive definite matrix: |c_ij|^2 <= c_ii c_jj); the pass that frees a
 * piece goes all round it and visits them. Tried on rigid plates with tabs at random, the tape
 * bears at most 0.4 % more with them than without. Where they pull above it, on parts of 8 mm under
 * tape that lifts at two fifths of what it shears at (no shipped one at less), it is up to 2 % at
 * half a millimetre and 14 % at one: for high tabs on small parts it is not the safe side. */
bool th_loads_tabs(const th_loads *loads, th_tabs *tabs, th_error *err);
/* After th_loads_end: where pieces have come free that need not stay, and where the stock is cut
 * through, for th_load_setup of a second run; without bits where there is neither. The caller
 * frees it. */
bool th_loads_goes(th_loads *loads, th_tabs *goes, th_error *err);
/* The sweep under the loads; belongs to them. */
const th_sweep *th_loads_sweep(const th_loads *loads);

/* A step held against the flexible plate on its tape (bond.h), as the map has it at that moment:
 * thinned floors, what is cut away. One grid of five elements a decay length, not refined; without
 * tabs. */
typedef struct {
    double hold_factor, peak_factor, sustained_factor;
    double shear_peak, lift_peak; /* largest under the peak load (MPa) */
    th_way way;
    th_point at; /* in the bond that lets go first (mm) */
} th_bent_load;
/* Only inside `each`, of the step that it was given; takes from a tenth of a second to some.
 * Errors: TH_BAD_RANGE where nothing holds the piece or no force was found, those of
 * th_plate_table_make. */
bool th_loads_plate(th_loads *loads, th_bent_load *load, th_error *err);

/* So far; belongs to the loads. */
const th_load_result *th_loads_result(th_loads *loads);

/* ---- the answer: a program held against its job -----------------------------------------------
 */

enum {
    TH_RUN_WORST_MOST = 100,
    TH_STRIP_MOST = 600,    /* bins of the strip of a run */
    TH_BOND_MAP_SIDE = 400, /* cells of a bond map along its longer side, at most */
    TH_LOOSE_SHOWN = 26     /* pieces whose place in the map is looked for */
};

/* The step of a line that holds least. */
typedef struct {
    float area_factor;       /* by the area model; INFINITY: it takes nothing that must stay */
    float hold_factor;       /* the same with the bending of the part, see th_run */
    float force;             /* the larger of push in the plane and lift, at most, of the rigid
                                model (N) */
    float radial, low, high; /* as in th_step_load (mm) */
    float max_chip;          /* (mm) */
    float temperature;       /* (C) */
    float at[3];             /* of the cutter (mm, job axes) */
    bool plunges;            /* an end mill goes straight down: its bottom rubs at any feed */
} th_line_load;

typedef struct {
    th_step_load load;  /* by the area model */
    double hold_factor; /* with the bending of the part */
    bool asked;         /* the plate was asked at this very step, nothing is carried over */
    th_bent_load bent;  /* then: what it said */
    const char *text;   /* the line as it stands, control characters as '?', the end left off */
} th_worst_line;

/* Lines that follow one another, and the least that any of them holds. */
typedef struct {
    int from_line, to_line; /* both included */
    double hold_factor;     /* bending in it; INFINITY: none of them cuts what must stay */
    int worst_line;         /* that holds least, 0 none */
} th_strip_bin;

/* Lines 1 to `last` in at most `most` bins of equally many lines (the last bin may have fewer), the
 * fewest lines that make do; lines[i] is line i, what lies beyond line_count cuts nothing. Gives
 * the number of bins; 0 where `last` or `most` is below 1. */
size_t th_strip_of(const th_line_load *lines, size_t line_count, int last, th_strip_bin *bins,
                   size_t most);

/* The stock at one moment in cells of bounded number, row by row from the lower left one on: which
 * share of each, in 255ths, stands (is not cut through), is held (stands, with tape under it), is
 * thinned (cut into and not through). */
typedef struct {
    size_t columns, rows;
    double x0, y0, cell; /* corner, and side of a cell (mm) */
    unsigned char *stands, *held, *thinned;
    double
        thinnest; /* mean of a cell, the least of cells thinned over half (mm); INFINITY: none is */
    double area;  /* bonded, times coverage (mm2) */
} th_bond_map;

/* What a cutter does in a program, and the holes that a drill sinks. */
enum { TH_HOLES_NAMED = 12, TH_TOOLS_TOLD = 24 };
typedef struct {
    int tool;                /* T number; 0: none was called */
    const th_cutter *cutter; /* belongs to the job */
    int first_line, last_line;
    double lowest;  /* that it comes in the stock, above the bonded face (mm) */
    size_t holes;   /* drilled; one that is drilled twice with others between may count twice */
    size_t through; /* of them */
    th_point places[TH_HOLES_NAMED]; /* of the first ones (mm) */
} th_tool_use;

typedef struct {
    const th_job *job;                 /* with [zero] */
    const th_outline *outline, *taped; /* as in th_check_options; borrowed */
    th_program_options reading;        /* its tools are left to the job */
    size_t worst;                      /* lines told in full, 1 to TH_RUN_WORST_MOST; 0: 10 */
    const float *scale;                /* the feed of line i times scale[i]; NULL: as programmed */
    size_t scale_count;
    size_t plates; /* steps at most that the plate is asked at, and half as many again, see th_run;
                      0: the part is taken as stiff */
    bool maps;     /* keep the stock as it is at the worst step and at the end: one more sweep, on
                      larger cells */
    double cell, memory, step;                     /* as of the sweep; 0: its own */
    void (*progress)(void *context, double share); /* now and then; NULL: not */
    void *context;
} th_run_options;

/* What the whole program does to the part. The rigid area model is asked at every step; the
 * flexible plate, as the map has it then, at the worst steps of every kind of place: stock, part,
 * frame or slug (and small pieces cut out of a part); amid it, at an edge, at a corner; in steps of
 * 1.5 by what is left under the cutter, or cut through; by quarters of the turn that it is fed to.
 * Where that leaves steps that may hold less still, at up to 1.6 times the bending of their kind,
 * it is asked once more, at these. Worst is what may hold least with bending: under a load on a
 * small patch the traction of a plate on springs goes as its thickness to the power -1.5 (P / (8
 * l^2), l^4 = D / k: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, art. 58). What
 * the plate holds less than the area model there (1 at least) divides the hold factor of every step
 * of that kind close by; the most of all steps asked at such a place, that of steps with none asked
 * close by. A thickness not asked takes what one as thin or thinner was told at such a place, or by
 * that power what a thicker one was; places where none was asked the most of any. */
typedef struct {
    th_arena arena;
    th_program_report reading;
    bool judged; /* false: the reading is in doubt (reading.doubts); nothing below is filled in */
    th_verdict verdict;
    bool estimate;      /* a row that governs is below `published` */
    th_lines held_back; /* why the verdict is no better than `unproven`, whatever the factor */
    double hold_factor; /* lowest of all steps that count, bending in it; INFINITY: no cut */
    double area_factor; /* the same by the area model */
    double bending;     /* by which the plate holds less, at most, 1 or more; NAN: not asked */
    size_t plates_asked;
    double asked_factor;
    th_worst_line *worst; /* of different lines, the lowest hold factor first */
    size_t worst_count;
    th_line_load *lines; /* lines[i]: line i, from 0 on */
    size_t line_count;
    size_t short_lines; /* lines below the asked factor */
    th_loose *loose;    /* the hold factors of those that count with the bending in them */
    size_t loose_count;
    th_found *found;
    size_t found_count;
    double lowest; /* as in th_sweep_sums, above the bonded face (mm); INFINITY: none */
    int lowest_line;
    double plate_top, table; /* (mm) */
    double seconds;          /* of cuts, dwells, and of rapids at the machine's feed_max (s) */
    double cutting;          /* with the cutter in the stock (s) */
    double removed;          /* (mm3) */
    double cell;             /* of the height map (mm) */
    double reached, dived;   /* likewise */
    int reached_line, dived_line;
    double peak_force, peak_power, sway, warmest; /* as in th_load_result */
    int sway_line, warmest_line;
    size_t steps;
    th_tool_use *tools; /* in order of their first cut, TH_TOOLS_TOLD at most */
    size_t tool_count;
    th_strip_bin *strip; /* all lines of the text, th_strip_of with TH_STRIP_MOST */
    size_t strip_count;
    bool mapped;              /* false: nothing of what follows up to loose_at is filled in */
    th_outline stock, part;   /* of copy 1, as the job has them; job axes */
    th_bond_map at_worst;     /* as worst[0] leaves it; without cells where nothing is cut */
    th_bond_map at_end;       /* when the program is through */
    const th_point *loose_at; /* for the first TH_LOOSE_SHOWN of `loose`: a place on what is left of
                                 it at the end, well inside (mm); NAN: nothing is */
    th_lines cautions, not_checked, defaults;
    th_source *sources;
    size_t source_count;
} th_run;

/* Read, sweep and judge. Text, job and outlines must outlive the run. Errors: those of
 * th_program_read and of th_loads_..., with the line; TH_MISSING for a job without [zero] or
 * without a cutter for the program's tools. */
bool th_run_program(const char *text, size_t size, const th_run_options *options, th_run *run,
                    th_error *err);
void th_run_free(th_run *run);

/* A line whose feed is to come down, or cannot. */
typedef struct {
    int line;
    double from, to;     /* (mm/min); `to` is 0 where no lower feed was found */
    double hold_factor;  /* with it; without one of the line as it is */
    const char *why_not; /* NULL: it is changed */
} th_slow_line;

typedef struct {
    th_arena arena;
    th_slow_line *lines; /* in order of the text */
    size_t count, changed;
    th_text text; /* the program with its feed words changed; empty where none was */
    size_t runs;  /* how often the program was run */
    th_run after; /* of that text; meant only where `changed` is not 0 */
} th_slow;

/* The lowest change of feeds that brings every line to the asked factor, by running the program
 * again and again; then the text with only feed words changed, put in and put back, read and run
 * again. A line is left as it is, and told, where no feed down to the stock's smallest chip is
 * enough, and where a change would not be plain: an expression for F, inverse time or feed a turn
 * (G93, G95), both inch and mm, a line that runs at different feeds, or whose follower does.
 * Errors: those of th_run_program; TH_NOT_SOLVED where the text, read again, does not make the same
 * moves. */
bool th_slow_find(const char *text, size_t size, const th_run_options *options, const th_run *run,
                  th_slow *slow, th_error *err);
void th_slow_free(th_slow *slow);

#ifdef __cplusplus
}
#endif
#endif
