/* random_job.h - invented jobs from seeded numbers, over every kind of cutter and operation. */
#ifndef TACKHOLD_TESTS_RANDOM_JOB_H
#define TACKHOLD_TESTS_RANDOM_JOB_H

#include "support/draft.h"

/* Adds rows to the tables that jobs are built on: stocks, tapes and glues, all invented. Each has a
 * twin: a stock `ID-hard` with every cutting and edge coefficient larger in one proportion, a tape
 * or glue `ID-weak` with every strength smaller in one proportion and a tape's travels with them,
 * so that its springs stay the same. */
void random_rows(dice *r);

/* Parts up to `longest` (mm). The same numbers give the same job in either unit. Now and then one
 * that the reader refuses. */
draft random_draft(dice *r, double longest, bool inch);

/* The same without those keys that only a whole judgement reads: sheet, openings, bow, second cut;
 * and with a cutting time of its own. */
draft random_single(dice *r, double longest, bool inch);

/* The value of a setting, NULL where there is none. */
const char *setting_of(const draft *d, const char *section, const char *key);

/* Writes the job to stderr as it would stand in a file. */
void show_draft(const draft *d);

#endif
