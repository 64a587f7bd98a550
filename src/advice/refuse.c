/* refuse.c - errors that name the place of a cut in the job. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "judge.h"

const th_entry *th_entry_of(const th_job *job, const char *section, const char *key) {
    for (size_t i = 0; i < job->entry_count; i++) {
        if (strcmp(job->entries[i].section, section) == 0 &&
            (!key || strcmp(job->entries[i].key, key) == 0)) {
            return &job->entries[i];
        }
    }
    return NULL;
}

bool th_refuse_cut(const th_job *job, const th_cut *cut, const char *key, th_error *err,
                   th_status code, const char *format, ...) {
    const th_entry *entry = th_entry_of(job, cut->section, key);
    char text[512];
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    return th_fail_at(err, code, entry ? entry->file : NULL, entry ? entry->line : 0, "[%s]%s%s %s",
                      cut->section, key ? " " : "", key ? key : "", text);
}
