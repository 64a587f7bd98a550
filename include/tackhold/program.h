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

/* One tool of the machine's table. */
typedef struct {
    int number;      /* as T, H and D say it */
    double length;   /* (mm), NAN unknown: only where H is not the tool in the spindle */
    double diameter; /* (mm), NAN unknown: only for G41 and G42 */
} th_program_tool;

/* What a program's text does not say. Places are in the coordinates of the moves: the zero of the
 * first coordinate system in which the program moves, tool tip, mm. NAN: not known. */
typedef struct {
    th_units units;           /* until G20 or G21 */
    th_m98_reading m98;       /* what M98 takes its count from */
    bool arc_centre_absolute; /* I, J, K until G90.1 or G91.1: false increments from the start */
    bool block_delete;        /* lines that begin with / are left out */
    bool dwell_in_ms;         /* P of G4 and of cycles: false seconds */
    bool feed_before_units;   /* F on a line that changes the units: true in the units before */
    const th_program_tool *tools;
    size_t tool_count;
    double start[3];                       /* where the tool stands at first */
    double home[2][3];                     /* where G28 and G30 go */
    double machine_zero[3];                /* zero of G53 */
    double systems[TH_PROGRAM_SYSTEMS][3]; /* zeros of G54 to G59.3 */
    long long blocks_max;                  /* lines executed, repeats counted */
    int calls_max;                         /* calls inside calls, 1 to 100 */
} th_program_options;

/* Millimetres, P and L, increments, no block delete, seconds, no tool, every place unknown;
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
    size_t left_off;     /* warnings beyond TH_PROGRAM_WARNINGS_MAX of their kind */
    size_t doubts;       /* warnings with doubt, those left off too */
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
 * not known either. A rapid is then just not seen; a move at feed is a warning with doubt.
 *
 * Tool length: the tip stands where the program says, as if each tool were touched off, while H is
 * the tool in the spindle or none is used; another H shifts it by the difference of both lengths,
 * which must then be known.
 *
 * Cutter compensation is the report's: contour and tool in the XY plane, an arc round every outward
 * corner, an error at an inward corner or arc into which the tool does not fit. */
bool th_program_read(const char *text, size_t size, const th_program_options *options,
                     th_move_sink sink, void *context, th_program_report *report, th_error *err);
void th_program_report_free(th_program_report *report);

#ifdef __cplusplus
}
#endif
#endif
