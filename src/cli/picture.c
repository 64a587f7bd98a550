/* tackhold picture: one picture of a job as SVG. */
#include <string.h>

#include "output.h"
#include "tackhold/advice.h"
#include "tackhold/report.h"

static bool draw_part(const th_cli_job *opened, const th_check *check, th_text *text,
                      th_error *err) {
    th_map map = {0};
    bool done = th_map_run(opened->job, &opened->how, check, &map, err) &&
                th_picture_part(opened->job, check, &map, text, err);
    th_map_free(&map);
    return done;
}

static bool draw_stack(const th_cli_job *opened, const th_check *check, th_text *text,
                       th_error *err) {
    return th_picture_stack(opened->job, check, text, err);
}

static bool draw_limits(const th_cli_job *opened, const th_check *check, th_text *text,
                        th_error *err) {
    th_limits limits = {0};
    bool done = th_limits_run(opened->job, &opened->how, NULL, &limits, err) &&
                th_picture_limits(opened->job, check, &limits, text, err);
    th_limits_free(&limits);
    return done;
}

static bool draw_heat(const th_cli_job *opened, const th_check *check, th_text *text,
                      th_error *err) {
    return th_picture_heat(opened->job, check, text, err);
}

static const struct {
    const char *name;
    bool (*draw)(const th_cli_job *opened, const th_check *check, th_text *text, th_error *err);
} pictures[] = {
    {"part", draw_part}, {"stack", draw_stack}, {"limits", draw_limits}, {"heat", draw_heat}};
enum { PICTURES = sizeof pictures / sizeof *pictures };

/* Position in `pictures`; PICTURES where there is none, with the error. */
static size_t picture_of(const char *what, th_error *err) {
    size_t i = 0;
    while (i < PICTURES && what != NULL && strcmp(what, pictures[i].name) != 0) {
        i++;
    }
    if (what == NULL) {
        i = PICTURES;
    }
    if (i == PICTURES) {
        th_fail(err, TH_BAD_USAGE, "--what takes part, stack, limits or heat%s%.40s%s",
                what == NULL ? "" : ", not \"", what == NULL ? "" : what, what == NULL ? "" : "\"");
    }
    return i;
}

static bool draw(const th_output_options *options, size_t which, th_text *text, th_error *err) {
    th_cli_job opened;
    th_check check = {0};
    bool done = th_cli_job_open(options->common.words[0], &options->common, &opened, err) &&
                th_check_run(opened.job, &opened.how, &check, err) &&
                pictures[which].draw(&opened, &check, text, err);
    th_check_free(&check);
    th_cli_job_close(&opened);
    return done;
}

static int picture(const void *input) {
    const th_output_options *options = input;
    th_text text = {0};
    th_error err = {0};
    size_t which = picture_of(options->what, &err);
    bool done = which < PICTURES && th_output_fits(options, &err);
    if (done) {
        th_text_put(&text, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
        done = draw(options, which, &text, &err);
    }
    return th_output_put(options, done, &text, &err);
}

int th_verb_picture(int argc, char **argv) {
    static const struct argp_option own[] = {
        {"what", TH_OPTION_WHAT, "PICTURE", 0,
         "part: from above, what is still stuck down at each stage and how hard the tape is "
         "loaded; "
         "stack: from the side, with Z values; limits: how far each cut may be opened; heat: "
         "temperatures over time",
         0},
        {NULL, 'o', "FILE", 0,
         "Write to this file, - for standard output; a picture there is replaced", 0},
        {0},
    };
    static const th_cli_verb verb = {
        .own = own,
        .takes = TH_TAKES_SET,
        .parser = th_output_parse,
        .words_needed = 1,
        .words_most = 1,
        .needs = TH_JOB_NEEDED,
        .run = picture,
        .args_doc = "JOB --what part|stack|limits|heat -o FILE.svg",
        .doc =
            "Draw one picture of a job, as SVG with a text for those who cannot see it. JOB is a "
            "file, or - for standard input.\v"
            "Examples: tackhold picture examples/bracket.ini --what part -o bracket.svg\n"
            "          tackhold picture part.ini --what limits -o limits.svg\n\n"
            "Exit codes: 0 done, whatever the verdict; 2 bad input, 3 failure.",
    };
    th_output_options options = {.kind = "picture", .mark = "<?xml"};
    return th_cli_run(&verb, argc, argv, &options);
}
