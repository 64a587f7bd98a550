/* words.h - phrases that the text reports share. */
#ifndef TACKHOLD_REPORT_WORDS_H
#define TACKHOLD_REPORT_WORDS_H

#include "tackhold/report.h"

/* The functions below give text in the document's arena, never NULL; when memory runs out the
 * document is marked failed and the text is "". */
const char *th_words_print(th_doc *doc, const char *format, ...) TH_PRINTF(2, 3);
/* Minutes as a time in the unit that reads best, alike everywhere. */
const char *th_words_minutes(th_doc *doc, double minutes);
/* A quantity with three significant digits and its unit. */
const char *th_words_quantity(th_doc *doc, double value, th_kind kind, th_units units);
/* The same without its unit, and the unit alone (of a value of that kind). */
const char *th_words_bare(th_doc *doc, double value, th_kind kind, th_units units);
const char *th_words_unit(th_doc *doc, double value, th_kind kind, th_units units);
/* A plain number. */
const char *th_words_number(th_doc *doc, double value, int digits);
const char *th_words_factor(th_doc *doc, double factor, double asked);
/* "x 12 mm, y 3 mm", or "" for a place that is not known. */
const char *th_words_place(th_doc *doc, th_point at, th_units units);
/* The first `most` characters or fewer, ending in "..." if anything is left off. */
const char *th_words_clip(th_doc *doc, const char *text, size_t most);
/* The first `most` items joined by "; ", and how many more there are. */
const char *th_words_list(th_doc *doc, const th_lines *lines, size_t most);
/* "lifts off", "tape too warm", ... */
const char *th_words_way(th_way way);
/* "cut.2 outline, freeing pass". */
const char *th_words_stage(th_doc *doc, const th_stage *stage);
/* "the freed part (copy 6 of 6)". */
const char *th_words_piece(th_doc *doc, const th_job *job, const th_stage *stage);
/* A height, to what a machine's dial shows (0.01 mm, 0.0001 in). */
const char *th_words_height(th_doc *doc, double value, th_units units);
/* What lets go first, where, and in which layer: "the part lifts off at x 0 mm, y 0 mm (tape)". */
const char *th_words_failure(th_doc *doc, const th_job *job, const th_stage *stage);
/* What bending (or tabs) makes of the load at the place that lets go first, and which of them; NULL
 * where a rigid part on its tape would tell much the same. */
const char *th_words_bending(th_doc *doc, const th_job *job, const th_stage *stage,
                             const char **cause);
/* What edge stops do for the job, and what bowed stock asks of the stage by itself; NULL where
 * there is nothing to say. */
const char *th_words_stops(th_doc *doc, const th_job *job);
const char *th_words_bow(th_doc *doc, const th_job *job, const th_stage *stage);
/* "the part 28 C, 75 K more under the cutter"; in F where inches are used. */
const char *th_words_warmth(th_doc *doc, const th_stage *stage, th_units units);
/* The answer: verdict, hold factor, asked factor, and what makes it an estimate. */
const char *th_words_answer(th_doc *doc, const th_check *check);
/* The pull by hand. */
const char *th_words_proof(th_doc *doc, const th_proof_pull *proof, th_units units);
/* A setting of a turn-down as an option that can be typed back. */
const char *th_words_setting(th_doc *doc, const char *setting);
/* A line of advice; on a screen without the words of the command line. */
const char *th_words_advice(th_doc *doc, const char *line);
/* Changes that a turn-down makes at once: 1, 2, or more where another hold comes first. */
size_t th_words_changes(const th_turn_down *turn);
/* "takes 2.1 h", of a change that makes the cut very long; "": it does not. */
const char *th_words_slow(th_doc *doc, const th_check *check, const th_turn_down *turn);
/* "sways 0.7 mm" of one that sways too far; of others "". */
const char *th_words_sways(th_doc *doc, const th_turn_down *turn, th_units units);
/* Whether a single change is among the turn-downs. */
bool th_words_singles(const th_check *check);
/* What check tells right beneath a verdict that would be another at full width; else NULL. */
const char *th_words_full_width(const th_check *check);
/* The stage that governs, or NULL when there is none. */
const th_stage *th_words_governing(const th_check *check);

/* One line for every report: what no figure can take over. */
#define TH_WORDS_SAFETY "Eyes protected, stand clear: parts fly. Heed manual and data sheets."

/* What the words of trust mean. */
#define TH_WORDS_TRUST                                                                             \
    "measured: your own pull test; published: read in the source named; practice: common use, no " \
    "source; memory: recalled from the source, not re-read; estimate: worked out, see the table"

/* What the table of cuts shows of one operation. */
typedef struct {
    const th_stage *stage; /* the worst that counts, else the worst; NULL: it has none */
    double minutes;        /* of all its stages */
} th_words_cut;
th_words_cut th_words_cut_of(const th_check *check, const th_cut *cut);

/* Whether it is a frame or slug that does not even stay on by the figures. */
bool th_words_goes(const th_stage *stage);
/* "the slug lets go (0.84)", of all such pieces of a cut; "": it has none. */
const char *th_words_gone(th_doc *doc, const th_check *check, const th_cut *cut);

/* Columns and row of the table of cuts. */
enum { TH_CUT_COLUMNS = 8 };
void th_words_cut_columns(th_doc *doc, th_units units);
void th_words_cut_row(th_doc *doc, const th_words_cut *shown, double asked, th_units units);

#endif
