/* Options that several verbs take, messages, and output. */
#define _POSIX_C_SOURCE 200809L

#include <errno.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"

/* ---- options --------------------------------------------------------------------------------- */

/* Cut a copy of TACKHOLD_TABLES at its colons; empty parts are passed over. */
static bool read_environment(th_options *options, const char *list) {
    options->environment = strdup(list);
    if (options->environment == NULL) {
        return false;
    }
    char *rest = options->environment;
    char *place = NULL;
    for (char *part = strtok_r(rest, ":", &place); part != NULL;
         part = strtok_r(NULL, ":", &place)) {
        options->tables[options->table_count++] = part;
    }
    return true;
}

bool th_options_init(th_options *options, int argc, th_error *err) {
    const char *list = getenv("TACKHOLD_TABLES");
    size_t most = (size_t)argc + 1;
    options->settings = calloc(most, sizeof *options->settings);
    options->tables = calloc(most + (list == NULL ? 0 : strlen(list) + 1), sizeof *options->tables);
    if (options->settings == NULL || options->tables == NULL) {
        return th_fail_memory(err);
    }
    return list == NULL || read_environment(options, list) || th_fail_memory(err);
}

void th_options_free(th_options *options) {
    free(options->settings);
    free(options->tables);
    free(options->environment);
    *options = (th_options){0};
}

static void take_word(th_options *options, const char *word, struct argp_state *state) {
    bool setting = strchr(word, '=') != NULL && strchr(word, '.') < strchr(word, '=');
    if (options->word_count == options->words_most && setting && strchr(word, '.') != NULL) {
        argp_error(state, "%s is a setting and needs --set before it: --set %s", word, word);
    }
    if (options->word_count == options->words_most && options->setting_count > 0) {
        argp_error(state,
                   "one argument too many: %s; put a setting with blanks in quotes, e.g. --set "
                   "\"%s %s ...\"",
                   word, options->settings[options->setting_count - 1], word);
    }
    if (options->word_count == options->words_most) {
        argp_error(state, "one argument too many: %s", word);
    }
    options->words[options->word_count++] = word;
}

static error_t take_setting(th_options *options, const char *setting, struct argp_state *state) {
    th_arena arena = {0};
    th_entry entry;
    th_error err;
    bool good = th_setting_read(setting, &arena, &entry, &err);
    th_arena_free(&arena);
    if (!good && err.code == TH_NO_MEMORY) {
        return ENOMEM;
    }
    if (!good) {
        argp_error(state, "%s", err.message);
    }
    options->settings[options->setting_count++] = setting;
    return 0;
}

error_t th_options_parse(int key, char *argument, struct argp_state *state) {
    th_options *options = state->input;
    switch (key) {
    case TH_OPTION_SET:
        return take_setting(options, argument, state);
    case TH_OPTION_TABLES:
        options->tables[options->table_count++] = argument;
        break;
    case TH_OPTION_JSON:
        options->json = true;
        break;
    case TH_OPTION_ALL:
        options->all = true;
        break;
    case TH_OPTION_NO_SHOP:
        options->no_shop = true;
        break;
    case TH_OPTION_TAB:
        options->tab = true;
        break;
    case TH_OPTION_INCH:
        options->inch = true;
        break;
    case TH_OPTION_CUTTER:
        options->cutter = argument;
        break;
    case TH_OPTION_FORCE:
        options->force = true;
        break;
    case ARGP_KEY_ARG:
        take_word(options, argument, state);
        break;
    case ARGP_KEY_END:
        if (options->word_count < options->words_needed) {
            argp_error(state, "it needs %s", options->needs);
        }
        if (options->json && options->tab) {
            argp_error(state, "--json and --tab exclude each other");
        }
        break;
    default:
        return ARGP_ERR_UNKNOWN;
    }
    return 0;
}

bool th_cli_table(const char *verb, const char *word, th_table *table, th_error *err) {
    const char *names[TH_TABLE_COUNT], *nearest;
    int found = th_table_of(word);

    if (found >= 0) {
        *table = (th_table)found;
        return true;
    }
    for (int i = 0; i < TH_TABLE_COUNT; i++) {
        names[i] = th_table_name((th_table)i);
    }
    nearest = th_nearest(word, names, TH_TABLE_COUNT);
    return nearest != NULL
               ? th_fail(err, TH_BAD_USAGE,
                         "there is no table \"%.60s\"; did you mean: tackhold %s %s", word, verb,
                         nearest)
               : th_fail(err, TH_BAD_USAGE,
                         "there is no table \"%.60s\"; known are stock, tape, glue, cutter, "
                         "machine, coolant, plate",
                         word);
}

bool th_options_tables(const th_options *options, th_tables **tables, th_error *err) {
    return options->no_shop
               ? th_tables_load(options->tables, options->table_count, tables, err)
               : th_tables_load_own(options->tables, options->table_count, tables, err);
}

/* ---- messages and output --------------------------------------------------------------------- */

/* A message is one line, which scripts and editors want; where a person reads it, it is broken
 * between words. Bytes are counted, which breaks sooner where there are more of them than letters.
 */
static void put_message(const char *message) {
    const size_t width = isatty(STDERR_FILENO) ? 80 : SIZE_MAX;
    size_t used = 0;

    while (*message != '\0') {
        size_t n = strcspn(message, " "), gap = strspn(message + n, " ");
        size_t next = n + gap + strcspn(message + n + gap, " ");
        bool fits = used + next <= width;
        fprintf(stderr, "%.*s", (int)(fits ? n + gap : n), message);
        used = fits ? used + n + gap : 0;
        message += n + gap;
        if (!fits && *message != '\0') {
            fputc('\n', stderr);
        }
    }
    fputc('\n', stderr);
}

int th_cli_fail(const th_error *err) {
    char text[1100]; /* file and message at their longest */

    fflush(stdout);
    if (err->file[0] != '\0' && err->line > 0) {
        snprintf(text, sizeof text, "tackhold: %s:%d: %s", err->file, err->line, err->message);
    } else {
        snprintf(text, sizeof text, "tackhold: %s%s%s", err->file, err->file[0] == '\0' ? "" : ": ",
                 err->message);
    }
    put_message(text);
    return th_status_exit(err->code);
}

int th_cli_output(th_text *text, int code) {
    th_error err;
    if (text->failed) {
        th_text_free(text);
        (void)th_fail_memory(&err);
        return th_cli_fail(&err);
    }
    bool written = text->size == 0 || fwrite(text->data, 1, text->size, stdout) == text->size;
    th_text_free(text);
    if (!written || fflush(stdout) != 0 || ferror(stdout)) {
        if (errno != EPIPE) { /* a reader that had enough needs no telling */
            fprintf(stderr, "tackhold: standard output cannot be written: %s\n", strerror(errno));
        }
        clearerr(stdout);
        return TH_EXIT_FAILED;
    }
    return code;
}
