/* output.h - verbs that make a file: -o FILE. */
#ifndef TACKHOLD_CLI_OUTPUT_H
#define TACKHOLD_CLI_OUTPUT_H

#include "cli.h"

/* The common options come first: their parser is given the same address. */
typedef struct {
    th_options common;
    const char *path;   /* -o; NULL: not given */
    const char *what;   /* --what; NULL: not given */
    const char *kind;   /* of file, for messages: "page", "picture" */
    const char *mark;   /* how such a file begins */
    const char *option; /* that names the file; NULL: -o */
} th_output_options;

enum { TH_OPTION_WHAT = 0x400 };

/* Parser for argp: -o, --what and the common ones. */
error_t th_output_parse(int key, char *argument, struct argp_state *state);

/* Whether it may be written there: an existing file is replaced only where it begins as one of the
 * same kind does, so that no job is lost by a slip. Errors: TH_BAD_USAGE. */
bool th_output_fits(const th_output_options *options, th_error *err);

/* Write what was made, or tell what went wrong; frees the text, gives the exit code. */
int th_output_put(const th_output_options *options, bool done, th_text *text, const th_error *err);

#endif
