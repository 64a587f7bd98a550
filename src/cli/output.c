/* Verbs that make a file: -o FILE. */
#define _POSIX_C_SOURCE 200809L

#include "output.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

error_t th_output_parse(int key, char *argument, struct argp_state *state) {
    th_output_options *options = state->input;
    switch (key) {
    case 'o':
        if (options->path != NULL) {
            argp_error(state, "-o stands twice; there is one file to write");
        }
        if (argument[0] == '\0') {
            argp_error(state, "-o needs the name of a file; -o - is standard output");
        }
        options->path = argument;
        return 0;
    case TH_OPTION_WHAT:
        options->what = argument;
        return 0;
    case ARGP_KEY_END:
        if (options->common.word_count > 0 && options->path == NULL) {
            argp_error(state, "it needs -o FILE, the file to write; -o - is standard output");
        }
        return th_options_parse(key, argument, state);
    default:
        return th_options_parse(key, argument, state);
    }
}

static bool to_standard_output(const th_output_options *options) {
    return strcmp(options->path, "-") == 0;
}

/* A pipe would keep whoever opens it waiting for its other end. */
static int open_plain(const char *path) {
    struct stat info;

    return stat(path, &info) == 0 && S_ISREG(info.st_mode) ? open(path, O_RDONLY | O_CLOEXEC) : -1;
}

bool th_output_fits(const th_output_options *options, th_error *err) {
    char head[32] = "";
    size_t length = strlen(options->mark);
    int fd = to_standard_output(options) ? -1 : open_plain(options->path);
    if (fd < 0) {
        return true; /* what cannot be written is told when it is */
    }
    ssize_t got = read(fd, head, length < sizeof head ? length : sizeof head);
    (void)close(fd);
    return got == 0 || (got == (ssize_t)length && memcmp(head, options->mark, length) == 0) ||
           th_fail_at(
               err, TH_BAD_USAGE, options->path, 0,
               "exists already and is no %s of tackhold's: not replaced; give %s another name",
               options->kind, options->option ? options->option : "-o");
}

int th_output_put(const th_output_options *options, bool done, th_text *text, const th_error *err) {
    th_text said = {0};
    th_error late;
    if (done && to_standard_output(options)) {
        return th_cli_output(text, TH_EXIT_DONE);
    }
    th_text_add(&said, "wrote %s\n", options->path);
    if (done && ((said.failed && !th_fail_memory(&late)) ||
                 !th_file_write(options->path, text->data, text->size, true, &late))) {
        done = false;
        err = &late;
    }
    th_text_free(text);
    if (!done) {
        th_text_free(&said);
        return th_cli_fail(err);
    }
    return th_cli_output(&said, TH_EXIT_DONE);
}
