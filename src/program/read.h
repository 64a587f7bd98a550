/* read.h - the reader of RS-274 programs, inside: the line, the machine's state, the flow. */
#ifndef TACKHOLD_PROGRAM_READ_H
#define TACKHOLD_PROGRAM_READ_H

#include "tackhold/program.h"

#include <stdint.h>

enum {
    LINE_USUAL = 256,        /* characters of a line in the report */
    SETTINGS_MAX = 50,       /* parameters set on one line */
    PARAMETERS = 5603,       /* numbered ones, 0 to 5602 */
    LOCALS = 30,             /* of them, #1 to #30 belong to a call */
    NAMES_MAX = 1000,        /* named parameters at a time */
    NAME_LONGEST = 60,       /* characters of a name */
    LOOPS_MAX = 64,          /* loops inside each other */
    EXPRESSION_DEEPEST = 40, /* brackets inside each other */
    NESTED_LONGEST = 512,    /* characters of a comment in which brackets are paired */
    READINGS_MAX = 24,       /* sentences about readings there are */
    HELD_MOST = 64           /* moves held back at a corner that may be an inward one */
};

/* Modal groups of G words: at most one word of each on a line. */
typedef enum {
    G_ACTION,
    G_MOTION,
    G_CANCEL, /* G80, which the report has in the group of the motions */
    G_PLANE,
    G_DISTANCE,
    G_ARC_CENTRE,
    G_FEED,
    G_UNITS,
    G_RADIUS,
    G_LENGTH,
    G_RETRACT,
    G_SYSTEM,
    G_CONTROL,
    G_NOTHING, /* words that change nothing here */
    G_GROUPS
} g_group;

typedef enum {
    M_STOP,
    M_TOOL,
    M_SPINDLE,
    M_MIST,
    M_FLOOD,
    M_OVERRIDE,
    M_OUTPUT,
    M_CALL,
    M_OTHER,
    M_GROUPS
} m_group;

enum { NO_WORD = -1 };

/* Where a warning belongs; each kind is kept a bounded number of times. */
typedef enum {
    WARN_LONG_LINE,
    WARN_NESTED_COMMENT,
    WARN_AFTER_END,
    WARN_NO_END,
    WARN_ARC_RADII,
    WARN_UNKNOWN_START,
    WARN_LEAVES,
    WARN_PARAMETER,
    WARN_FEED_UNITS,
    WARN_NO_UNITS,
    WARN_NO_EFFECT,
    WARN_TOOL,
    WARN_LENGTH,
    WARN_SPEED,
    WARN_DWELL,
    WARN_KINDS
} warn_kind;

/* A value that a line gives to a parameter once all of the line is read. */
typedef struct {
    int number;       /* of a numbered one, else -1 */
    const char *name; /* in the program's text, blanks and case as written */
    size_t length;
    double value;
} setting;

/* One line, read. */
typedef struct {
    uint32_t seen; /* bit of each letter that has a value */
    double value[26];
    const char *exponent; /* an E that looks like one of a number; NULL: none */
    int g[G_GROUPS];      /* ten times the number, or NO_WORD */
    int m[M_GROUPS];
    setting settings[SETTINGS_MAX];
    size_t setting_count;
} block;

/* A line that begins with O or a colon. */
typedef enum {
    O_LABEL,
    O_SUB,
    O_ENDSUB,
    O_CALL,
    O_RETURN,
    O_IF,
    O_ELSEIF,
    O_ELSE,
    O_ENDIF,
    O_WHILE,
    O_ENDWHILE,
    O_DO,
    O_REPEAT,
    O_ENDREPEAT,
    O_BREAK,
    O_CONTINUE,
    O_UNKNOWN
} o_keyword;

typedef struct {
    const char *start; /* of its line */
    const char *name;  /* in the text: digits without leading zeros, or what stands in <> */
    const char *after; /* what follows the keyword */
    const char *line_end;
    size_t name_length;
    size_t name_id;    /* the first of the same name */
    size_t sub, label; /* the first of the name that is a sub, a plain label; the count if none */
    size_t end;        /* where a sub, a loop, a condition ends; the count if nowhere */
    size_t branch;     /* the next elseif, else, endif */
    int line;
    o_keyword keyword;
    bool named;  /* <name> */
    bool closes; /* a while that ends a do */
    bool stray;  /* else, elseif, endif without if */
} o_line;

typedef struct {
    o_line *items;
    size_t *by_name; /* sorted by name, then as in the text */
    size_t count, capacity;
} o_lines;

typedef struct {
    size_t opener; /* index of the O line */
    long long left;
} loop;

/* A call under way. */
typedef struct {
    const char *back; /* where to go on */
    int back_line;
    const char *again; /* start of an M98 subprogram */
    int again_line;
    long long left; /* runs of it still to come */
    bool by_m98;
    size_t loops; /* that were open before */
    double locals[LOCALS];
    bool locals_set[LOCALS];
} frame;

typedef struct {
    char name[NAME_LONGEST + 1];
    int scope; /* depth of the call that it belongs to, -1 for all */
    double value;
} named_parameter;

typedef struct {
    bool on;               /* a series is under way */
    int code;              /* its G word, ten times */
    double depth, retract; /* along the axis (mm, moves' frame) */
    double initial;        /* height before the series */
    double dwell, peck;
    double aside[2], top; /* I, J, K of G87 */
} cycle_state;

typedef struct {
    int motion; /* ten times the G word; 800 none */
    int axes[3];
    bool incremental, arc_absolute, inch, units_said;
    int feed_mode; /* 93, 94, 95 */
    double feed;   /* mm/min, mm/rev or 1/min; 0 not set */
    double speed;
    int spindle;
    int tool, next_tool; /* next_tool -1: no T yet */
    int tool_line;       /* of the T word that chose it */
    bool fed_since;
    int coolant;
    bool retract_to_r; /* G99 */
    int system;        /* 0 is G54 */
} modes;

typedef struct {
    double at[3]; /* the tool's tip (mm) */
    bool known[3];
    int arrived; /* line of a rapid to there over a way that is not known, not told yet; 0 */
    int first;   /* the system that the program calls first, -1 before it calls or uses one */
    int base;    /* the system whose zero is that of the moves, -1 before the first move */
    double zero[TH_PROGRAM_SYSTEMS][3];    /* of each system (mm), NAN unknown */
    double machine[TH_PROGRAM_SYSTEMS][3]; /* what G10 L2 said of it, NAN nothing */
    double machine_base[3];                /* machine coordinates of the moves' zero, NAN unknown */
    double shift[3], shift_kept[3];        /* G92 */
    bool shift_lost[3];                    /* what G92 set, no one knows from where */
    double lift;                           /* of the tip by another tool's length offset */
    int length_word;                       /* H in use, -1 none */
    int lift_tool;                         /* in the spindle when lift was found */
    bool length_used;
} places;

/* The way of the tool's centre beside one move of the contour, seen from a corner at its end. */
typedef struct {
    bool arc;
    double corner[2]; /* its end there */
    double away[2];   /* of a line: the direction away from the corner */
    double centre[2], radius;
    int turn;      /* of an arc, away from the corner: 1 counterclockwise */
    double length; /* (mm) */
} centre_way;

/* Cutter compensation. */
typedef struct {
    int side; /* 1 left, -1 right, 0 off */
    double radius;
    bool entered;
    double at[2];    /* of the contour (mm) */
    centre_way last; /* beside the last move of the contour, from its end back */
    int last_line;
    bool last_held; /* that move is the first of those held back */
    bool last_gone; /* it is held back no more, as too much came after it */
} compensation;

typedef struct {
    const char *text, *end;
    const th_program_options *options;
    th_move_sink sink;
    void *context;
    th_program_report *report;
    th_error *err;

    const char *next; /* the line to come */
    const char *line_start, *line_end;
    int line, next_line;
    bool done, framed; /* framed: the first line is % */
    bool worked;       /* a line with words has been met */
    int change_line;   /* M6 there stopped the spindle, nothing has started it since; 0: none */
    block b;
    modes m;
    places p;
    compensation comp;
    th_move held[HELD_MOST]; /* a move of the contour, and what stood at its end since */
    int held_count;
    long long corners;   /* inward ones turned at the crossing */
    int corner_lines[2]; /* of the two moves at the first */
    cycle_state cycle;
    o_lines o;
    frame *frames;
    int depth;
    loop loops[LOOPS_MAX];
    size_t loop_count;
    double *parameters;
    bool *parameter_set;
    named_parameter *names;
    size_t name_count, name_capacity;
    int warned[WARN_KINDS];
    int warned_lines[WARN_KINDS][TH_PROGRAM_WARNINGS_MAX];
    size_t warning_capacity;
    const char *readings[READINGS_MAX]; /* said already */
    size_t reading_count;
} reader;

/* Letters, blanks, words. */
static inline bool rs_blank(char c) {
    return c == ' ' || c == '\t' || c == '\r';
}
static inline bool rs_digit(char c) {
    return c >= '0' && c <= '9';
}
/* Lower case of a letter; any other character is never one of a to z. */
static inline char rs_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}
static inline bool rs_letter(char c) {
    c = rs_lower(c);
    return c >= 'a' && c <= 'z';
}
static inline const char *rs_skip(const char *p, const char *end) {
    while (p < end && rs_blank(*p)) {
        p++;
    }
    return p;
}
static inline bool rs_seen(const reader *r, char letter) {
    return (r->b.seen >> (letter - 'a')) & 1U;
}
static inline double rs_value(const reader *r, char letter) {
    return r->b.value[letter - 'a'];
}
static inline double rs_unit(const reader *r) {
    return r->m.inch ? 25.4 : 1.0;
}
/* "mm" or "in", for lengths in messages: value / rs_unit(r). */
static inline const char *rs_unit_name(const reader *r) {
    return r->m.inch ? "in" : "mm";
}
/* Zero of the active system along an axis, with G92 and tool length; NAN unknown (mm). */
static inline double rs_origin(const reader *r, int axis) {
    return r->p.zero[r->m.system][axis] + r->p.shift[axis] + (axis == 2 ? r->p.lift : 0);
}

/* One more line executed, repeats counted; false beyond the most there may be. */
bool rs_count(reader *r);

/* ---- messages: read_report.c ---- */

enum { RS_ECHO = 40, RS_ECHO_ROOM = 4 * RS_ECHO + 8 };
/* A piece of the program as a message may repeat it: short, printable. safe has RS_ECHO_ROOM. */
const char *rs_echo(const char *from, const char *to, char *safe);
/* Fail at the line under way. */
bool rs_fail(reader *r, th_status code, const char *format, ...) TH_PRINTF(3, 4);
bool rs_warn(reader *r, warn_kind kind, bool doubt, const char *format, ...) TH_PRINTF(4, 5);
/* Which reading is taken: a constant text, listed once. */
bool rs_reading(reader *r, const char *text);
/* The state under way put to the move; handed on, or held back under compensation. */
bool rs_emit(reader *r, th_move *move);
/* Count the move and hand it on. */
bool rs_deliver(reader *r, const th_move *move);

/* ---- text: read_value.c, read_line.c, read_comment.c, read_codes.c ---- */

/* A number, parameter, [expression] or function at *p; moves *p past it. */
bool rs_read_value(reader *r, const char **p, double *value);
/* Whether an E at p stands in a number, as other languages write powers of ten; and why not. */
bool rs_exponent(const reader *r, const char *p);
bool rs_refuse_exponent(reader *r, const char *p);
/* A bracketed expression, where nothing else will do. */
bool rs_read_bracket(reader *r, const char **p, int depth, double *value);
bool rs_read_real(reader *r, const char **p, int depth, double *value);
bool rs_read_decimal(reader *r, const char **p, double *value);
/* A function's name at *p. */
bool rs_read_function(reader *r, const char **p, int depth, double *value);
/* Past a comment that starts at *p with ( or ;. */
bool rs_read_comment(reader *r, const char **p);
/* All of a line from p on, into r->b. */
bool rs_read_line(reader *r, const char *p);
/* Nothing but comments may follow. */
bool rs_read_nothing(reader *r, const char *p);
/* Put a G or M word into the block. */
bool rs_take_g(reader *r, double value, const char *from, const char *to);
bool rs_take_m(reader *r, double value, const char *from, const char *to);
/* A whole number within 0.0001. */
bool rs_whole(double value, double least, double greatest, long long *whole);

/* ---- parameters: read_parameters.c ---- */

/* What follows # at *p: number or name. */
bool rs_read_parameter(reader *r, const char **p, int depth, double *value);
bool rs_read_setting(reader *r, const char **p);
bool rs_read_exists(reader *r, const char **p, int depth, double *value);
bool rs_apply_settings(reader *r);
bool rs_set_named(reader *r, const char *name, double value);
void rs_drop_names(reader *r, int scope);

/* ---- flow: read_labels.c, read_flow.c, read_call.c ---- */

bool rs_find_labels(reader *r);
/* The plain label of a number's digits; the count of all if there is none. */
size_t rs_find_label(const reader *r, const char *digits, size_t length);
/* Where a line's own words start: past blanks, block delete and line number. */
const char *rs_line_words(const char *p, const char *end, bool *deleted, const char **number);
bool rs_run_o_line(reader *r, const char *p);
bool rs_call(reader *r, size_t index);
bool rs_end_sub(reader *r, size_t index); /* endsub, return */
bool rs_call_m98(reader *r);
bool rs_end_m99(reader *r);
void rs_go(reader *r, const char *to, int line);

/* ---- the machine: read_modes.c, read_places.c, read_motion.c, read_arc.c, read_cycle.c,
 * read_compensation.c, read_corner.c ---- */

bool rs_run_block(reader *r);
void rs_start_places(reader *r);
/* First move: the zero of the system that the program calls first becomes that of the moves; of
 * the active one where nothing says how the two lie. */
void rs_choose_base(reader *r);
bool rs_set_system_zero(reader *r); /* G10 */
bool rs_shift_zero(reader *r);      /* G92 family */
bool rs_go_home(reader *r);         /* G28, G30 */
bool rs_set_length(reader *r);      /* G43, G49 */
const th_program_tool *rs_tool(const reader *r, long long number);
double rs_position_value(const reader *r, int axis); /* for parameters, in program units */

/* The zero of the active system is not known along an axis. */
bool rs_refuse_zero(reader *r, int axis);
/* Where the words of the line lead (mm). */
bool rs_ends(reader *r, double to[3]);
bool rs_move_straight(reader *r, bool rapid);
/* A straight move of the tip itself, all of whose ends are known. */
bool rs_line_to(reader *r, const double to[3], bool rapid);
/* The same where the tool may stand no one knows where; named: axes the line gives. */
bool rs_line_named(reader *r, const double to[3], const bool named[3], bool rapid);
/* To a place part of which may be unknown (NAN). */
bool rs_leave(reader *r, const double to[3], const bool named[3], bool rapid);
bool rs_all_known(const reader *r);
bool rs_feed(reader *r, double length, double *feed);
bool rs_dwell(reader *r, double seconds);
bool rs_stop(reader *r);
double rs_seconds(const reader *r, double value);
bool rs_check_reach(reader *r, const double to[3]);

typedef struct {
    double centre[2]; /* in the plane */
    double to[3];
    bool clockwise;
    int turns; /* 1 as a rule */
} arc_words;
bool rs_read_arc(reader *r, arc_words *arc);
bool rs_move_arc(reader *r);
bool rs_arc_to(reader *r, const arc_words *arc);
/* The radii at both ends of an arc must be alike. */
bool rs_check_radii(reader *r, double first, double last);
/* An arc whose turn is known. */
bool rs_arc_swept(reader *r, const arc_words *arc, double sweep);
/* Signed turn from one direction to another, the way the arc goes. */
double rs_sweep(const double from[2], const double to[2], const arc_words *arc);

bool rs_cycle(reader *r);

bool rs_set_radius(reader *r); /* G40 to G42 */
bool rs_straight_compensated(reader *r, const double to[3], bool rapid);
bool rs_arc_compensated(reader *r, const arc_words *arc);

/* Hold a move back while the one before it may still be cut short; all that is held, handed on. */
bool rs_hold(reader *r, const th_move *move);
bool rs_release(reader *r);
/* The last move of the contour and `next` meet in an inward corner: the tool goes to where both
 * ways cross, which takes `taken` (mm) off the next one. */
bool rs_turn_inward(reader *r, const centre_way *next, double *taken);
/* The reading of inward corners, once all are known. */
bool rs_say_corners(reader *r);

#endif
