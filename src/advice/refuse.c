/* refuse.c - errors that name the place of a cut in the job. */
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "judge.h"

/* Of a section its first entry; of a key the one that gave it its value: of the latest origin, and
 * there the last one. */
const th_entry *th_entry_of(const th_job *job, const char *section, const char *key) {
    const th_entry *found = NULL;

    for (size_t i = 0; i < job->entry_count; i++) {
        const th_entry *entry = &job->entries[i];
        bool here = strcmp(entry->section, section) == 0 && (!key || strcmp(entry->key, key) == 0);
        if (here && (!found || (key && entry->origin >= found->origin))) {
            found = entry;
        }
    }
    return found;
}

bool th_refuse_cut(const th_job *job, const th_cut *cut, const char *key, th_error *err,
                   th_status code, const char *format, ...) {
    const th_entry *entry = th_entry_of(job, cut->section, key);
    char text[512];
    va_list arguments;

    va_start(arguments, format);
    th_vprint(text, sizeof text, format, arguments);
    va_end(arguments);
    return th_fail_at(err, code, entry ? entry->file : NULL, entry ? entry->line : 0, "[%s]%s%s %s",
                      cut->section, key ? " " : "", key ? key : "", text);
}
