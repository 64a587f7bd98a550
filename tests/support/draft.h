/* draft.h - jobs for tests, made from settings, judged, and rows of tables to go with them. */
#ifndef TACKHOLD_TESTS_DRAFT_H
#define TACKHOLD_TESTS_DRAFT_H

#include "support/near.h"
#include "tackhold/advice.h"

enum { DRAFT_MAX = 80, TEXT_MAX = 160 };

/* Settings of a job to be; a later one of the same key replaces the earlier. */
typedef struct {
    char section[DRAFT_MAX][24], key[DRAFT_MAX][24], value[DRAFT_MAX][TEXT_MAX];
    size_t count;
    bool inch; /* lengths are put in inches */
} draft;

void put(draft *d, const char *section, const char *key, const char *value);
void drop(draft *d, const char *section, const char *key);
void put_number(draft *d, const char *section, const char *key, double value, const char *unit);
/* A bare length, in the job's unit. */
void put_length(draft *d, const char *section, const char *key, double mm);
void put_point(draft *d, const char *section, const char *key, double x, double y);

/* A plate without a cut yet; held by al-6061-t6 on polyester-acrylic unless told otherwise. */
draft plate(double length, double width, double thickness);
void add_push(draft *d, const char *section, const double force[3], double x, double y);
/* Takes the cutter `em`, which becomes the row `cutter`. */
void add_cut(draft *d, const char *section, const char *operation, const char *cutter);
/* The part is cut out of a sheet, its corner at x, y in it. */
void add_sheet(draft *d, double length, double width, double x, double y);

typedef struct {
    th_job *job;
    th_check check;
} answer;

bool build(const draft *d, th_job **job, th_error *err);
/* Fails the running test where the job is refused. */
th_job *built(const draft *d);
void judge(th_job *job, bool turn_downs, answer *result);
/* A turn-down of `a` typed back, which holds as it says, at the time that it says. The caller frees
 * `then`. */
void type_back(const answer *a, const th_turn_down *turn, answer *then);
void run(const draft *d, bool turn_downs, answer *result);
/* Tape where `taped` says. */
void run_taped(const draft *d, const th_outline *taped, answer *result);
void answer_free(answer *result);

/* The stage of a cut on one kind of piece; fails the test if there is none. */
const th_stage *stage_of(const answer *a, const char *section, th_piece_kind piece);
bool has_stage(const answer *a, const char *section, th_piece_kind piece);

/* The tables that jobs are built on: the shipped ones with rows of our own (invented): stock
 * `linear`, tapes `film`, `film-weak` (0.8 of its strength), `film-lasting` (no loss with time),
 * all three unmoved by heat, and `film-tender`, which is not. */
th_tables *draft_tables(void);
void add_rows(th_table table, const char *text); /* lines "id|key|value" */
/* With set_up the tapes and glues do not mind how warm the cut makes them, so that all else can be
 * told apart from it; with set_up_warm they are as shipped. */
int set_up(void **state);
int set_up_warm(void **state);
int tear_down(void **state);

/* Seeded numbers from 0 to 1. */
typedef struct {
    unsigned long long state;
} dice;

double roll(dice *r);
double between(dice *r, double low, double high);

#endif
