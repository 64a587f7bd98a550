/* One plain question, one answer line. */
#define _POSIX_C_SOURCE 200809L

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "ask.h"

/* ---- one line -------------------------------------------------------------------------------- */

static const char *trimmed(th_arena *arena, const char *line, size_t n) {
    while (n > 0 && strchr(" \t\r\n", line[n - 1]) != NULL) {
        n--;
    }
    while (n > 0 && strchr(" \t", *line) != NULL) {
        line++;
        n--;
    }
    return th_arena_copy(arena, line, n);
}

static bool read_answer(const th_asker *asker, const char **answer, th_error *err) {
    char *line = NULL;
    size_t room = 0;
    errno = 0;
    ssize_t n = getline(&line, &room, stdin);
    int reason = n < 0 ? errno : 0;
    *answer = n < 0 ? NULL : trimmed(asker->arena, line, (size_t)n);
    free(line);
    if (n < 0) {
        fprintf(stderr, "\n");
        if (reason == ENOMEM) {
            return th_fail_memory(err);
        }
        return th_fail(err, TH_BAD_FILE, "the input ended before the last answer; nothing written");
    }
    return *answer != NULL || th_fail_memory(err);
}

bool th_ask(const th_asker *asker, const char *question, const char *initial, th_judge judge,
            const void *with, const char **answer, th_error *err) {
    for (;;) {
        fprintf(stderr, "%s [%s]: ", question, initial);
        fflush(stderr);
        if (!read_answer(asker, answer, err)) {
            return false;
        }
        if (!asker->patient) {
            fprintf(stderr, "\n"); /* nobody's Enter key ended the line */
        }
        if ((*answer)[0] == '\0') {
            *answer = initial;
        }
        if (judge == NULL || judge(asker, with, *answer, err)) {
            return true;
        }
        if (!asker->patient) {
            return false;
        }
        fprintf(stderr, "  %s\n", err == NULL ? "that will not do" : err->message);
    }
}

/* ---- choices --------------------------------------------------------------------------------- */

/* Position of an answer by number (from 1) or name; `count` if it is neither. */
static size_t chosen(const th_choice *choice, const char *answer) {
    for (size_t i = 0; i < choice->count; i++) {
        char number[24];
        snprintf(number, sizeof number, "%zu", i + 1);
        if (strcmp(answer, number) == 0 || strcmp(answer, choice->ids[i]) == 0) {
            return i;
        }
    }
    return choice->count;
}

/* Whether a row's id or name has a word in it, whole at its beginning, in letters of either case.
 */
static bool has_word(const char *text, const char *word, size_t n) {
    for (size_t i = 0; text[i] != '\0'; i++) {
        bool begins = i == 0 || strchr(" -,(/", text[i - 1]) != NULL;
        if (begins && strncasecmp(text + i, word, n) == 0) {
            return true;
        }
    }
    return false;
}

/* The row that shares most words with an answer, the first of equals; NULL: none shares any. */
static const char *nearest_by_words(const th_choice *choice, const char *answer) {
    const char *best = NULL;
    size_t most = 0;
    for (size_t i = 0; i < choice->count; i++) {
        size_t shared = 0;
        for (const char *word = answer; *word != '\0';) {
            size_t n = strcspn(word, " ");
            const char *name = choice->names == NULL ? "" : choice->names[i];
            shared += n > 0 && (has_word(choice->ids[i], word, n) || has_word(name, word, n));
            word += n;
            word += strspn(word, " ");
        }
        if (shared > most) {
            most = shared;
            best = choice->ids[i];
        }
    }
    return best;
}

static bool judge_choice(const th_asker *asker, const void *with, const char *answer,
                         th_error *err) {
    const th_choice *choice = with;
    (void)asker;
    if (chosen(choice, answer) < choice->count) {
        return true;
    }
    const char *usual = th_usual_word(answer), *meant[TH_MEANT_MOST];
    char near[240];
    size_t found =
        usual == answer ? 0 : th_meant(usual, choice->ids, choice->names, choice->count, meant);
    if (found == 0) {
        meant[0] = th_nearest(answer, choice->ids, choice->count);
        meant[0] = meant[0] == NULL ? nearest_by_words(choice, answer) : meant[0];
        found = meant[0] != NULL;
    }
    th_meant_text(meant, found, "", near, sizeof near);
    return th_fail(err, TH_BAD_VALUE,
                   "\"%.60s\" is not in the list; a number from 1 to %zu or a name%s%s", answer,
                   choice->count, found == 0 ? "" : ", perhaps ", near);
}

/* A row of the list, its name in lines of at most WIDTH columns. */
static void show_row(size_t number, const char *id, const char *name) {
    enum { WIDTH = 80 };
    int used = fprintf(stderr, "  %2zu  %-21s", number, id);
    int indent = used, lines = 0;

    while (*name != '\0') {
        int n = (int)strcspn(name, " ");
        if (used + 1 + n > WIDTH && lines > 0) {
            fprintf(stderr, "\n%*s", indent, "");
            used = indent;
        }
        used += fprintf(stderr, " %.*s", n, name);
        lines = 1;
        name += n;
        name += strspn(name, " ");
    }
    fputc('\n', stderr);
}

bool th_ask_choice(const th_asker *asker, const char *question, const th_choice *choice,
                   size_t *position, th_error *err) {
    fprintf(stderr, "%s\n", question);
    for (size_t i = 0; i < choice->count; i++) {
        if (choice->names == NULL) {
            fprintf(stderr, "  %2zu  %s\n", i + 1, choice->ids[i]);
        } else {
            show_row(i + 1, choice->ids[i], choice->names[i]);
        }
    }
    const char *answer;
    if (!th_ask(asker, "  number or name", choice->ids[choice->initial], judge_choice, choice,
                &answer, err)) {
        return false;
    }
    *position = chosen(choice, answer);
    return true;
}

/* ---- lengths --------------------------------------------------------------------------------- */

/* The text up to the next 'x' that separates; *rest is behind it, or NULL at the end. */
static const char *next_length(th_arena *arena, const char *text, const char **rest) {
    size_t n = strcspn(text, "xX");
    *rest = text[n] == '\0' ? NULL : text + n + 1;
    return trimmed(arena, text, n);
}

static bool split_lengths(const th_asker *asker, const char *answer, size_t count,
                          const char *lengths[TH_LENGTHS_MAX], th_error *err) {
    const char *rest = answer;
    size_t found = 0;
    if (count > 1 && strcspn(answer, "xX") == strlen(answer)) {
        return th_fail(err, TH_BAD_VALUE, "\"%.60s\": write an x between the %zu lengths%s", answer,
                       count, count == 3 ? ", e.g. 90 x 60 x 3" : ", e.g. 90 x 60");
    }
    while (rest != NULL && found < count) {
        const char *part = next_length(asker->arena, rest, &rest);
        if (part == NULL) {
            return th_fail_memory(err);
        }
        th_reading reading;
        if (!th_quantity_read(part, TH_LENGTH, asker->units, &reading, err)) {
            return false;
        }
        if (reading.value <= 0) {
            return th_fail(err, TH_BAD_RANGE, "%s must be above zero", part);
        }
        lengths[found++] = part;
    }
    if (rest != NULL || found < count) {
        return th_fail(err, TH_BAD_VALUE, "\"%.60s\": %zu length%s wanted%s", answer, count,
                       count == 1 ? "" : "s", count == 1 ? "" : ", with x between them");
    }
    return true;
}

static bool judge_lengths(const th_asker *asker, const void *with, const char *answer,
                          th_error *err) {
    const char *lengths[TH_LENGTHS_MAX];
    return split_lengths(asker, answer, *(const size_t *)with, lengths, err);
}

bool th_ask_lengths(const th_asker *asker, const char *question, const char *initial, size_t count,
                    const char *lengths[TH_LENGTHS_MAX], th_error *err) {
    const char *answer;
    return th_ask(asker, question, initial, judge_lengths, &count, &answer, err) &&
           split_lengths(asker, answer, count, lengths, err);
}
