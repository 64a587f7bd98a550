/* job.c - from entries to a job: merging origins, binding keys, rows and overrides. */
#include "job.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- settings -------------------------------------------------------------------------------- */

bool th_setting_read(const char *setting, th_arena *arena, th_entry *entry, th_error *err) {
    const char *equals = strchr(setting, '=');
    const char *dot = NULL;
    const char *end;
    char *section, *key;

    for (const char *p = setting; equals && p < equals; p++) {
        dot = *p == '.' ? p : dot;
    }
    if (!equals || !dot || dot == setting || dot + 1 == equals || strlen(setting) > 900) {
        return th_fail(err, TH_BAD_USAGE,
                       "--set %.60s: write SECTION.KEY=VALUE, e.g. cut.1.axial=0.5mm", setting);
    }
    for (end = equals; end > dot + 1 && (end[-1] == ' ' || end[-1] == '\t');) {
        end--;
    }
    section = th_arena_copy(arena, setting, (size_t)(dot - setting));
    key = th_arena_copy(arena, dot + 1, (size_t)(end - dot - 1));
    equals += 1 + strspn(equals + 1, " \t");
    end = equals + strlen(equals);
    while (end > equals && (end[-1] == ' ' || end[-1] == '\t')) {
        end--;
    }
    entry->value = th_arena_copy(arena, equals, (size_t)(end - equals));
    if (!section || !key || !entry->value) {
        return th_fail_memory(err);
    }
    if (end == equals) {
        return th_fail(err, TH_BAD_USAGE, "--set %.60s: the value is missing", setting);
    }
    for (char *p = section; *p; p++) {
        *p = (char)(*p >= 'A' && *p <= 'Z' ? *p - 'A' + 'a' : *p);
    }
    for (char *p = key; *p; p++) {
        *p = (char)(*p >= 'A' && *p <= 'Z' ? *p - 'A' + 'a' : *p);
    }
    entry->section = section;
    entry->key = key;
    entry->file = "--set";
    entry->line = 0;
    entry->origin = TH_FROM_SET;
    return true;
}

/* ---- merging --------------------------------------------------------------------------------- */

/* Same section and key together, the one that counts last: later origin, then later place. */
static int compare_entries(const void *a, const void *b) {
    const th_entry *const *x = a, *const *y = b;
    int order = strcmp((*x)->section, (*y)->section);

    order = order ? order : strcmp((*x)->key, (*y)->key);
    if (order == 0) {
        order = (int)(*x)->origin - (int)(*y)->origin;
    }
    if (order == 0) {
        order = (*x > *y) - (*x < *y);
    }
    return order;
}

static bool same_key(const th_entry *a, const th_entry *b) {
    return strcmp(a->section, b->section) == 0 && strcmp(a->key, b->key) == 0;
}

/* By halving: a job may have thousands of entries, and every key of every section is looked up. */
const th_entry *th_merged_find(const th_merged *merged, const char *section, const char *key) {
    size_t low = 0, high = merged->count;
    const th_entry *found;

    while (low < high) {
        size_t middle = low + (high - low) / 2;
        const th_entry *entry = merged->items[middle];
        int order = strcmp(entry->section, section);
        order = order || !key ? order : strcmp(entry->key, key);
        if (order < 0) {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    found = low < merged->count ? merged->items[low] : NULL;
    return found && strcmp(found->section, section) == 0 && (!key || strcmp(found->key, key) == 0)
               ? found
               : NULL;
}

/* An `id` that a later origin sets makes the row overrides of earlier origins meaningless. */
static bool outdated(const th_merged *merged, const th_entry *entry) {
    const th_entry *id;

    if (strcmp(entry->section, "machine") != 0 && strncmp(entry->section, "cutter.", 7) != 0) {
        return false;
    }
    id = th_merged_find(merged, entry->section, "id");
    return id && id->origin > entry->origin && strcmp(entry->key, "wear") != 0;
}

static bool merge(th_builder *builder) {
    th_job *job = builder->job;
    const th_entry **all = th_arena_take(&job->arena, (job->entry_count + 1) * sizeof *all);
    const th_entry **kept = th_arena_take(&job->arena, (job->entry_count + 1) * sizeof *kept);
    size_t count = 0, used = 0;

    if (!all || !kept) {
        return th_fail_memory(builder->err);
    }
    for (size_t i = 0; i < job->entry_count; i++) {
        all[i] = &job->entries[i];
    }
    qsort(all, job->entry_count, sizeof *all, compare_entries);
    for (size_t i = 0; i < job->entry_count; i++) {
        bool last = i + 1 == job->entry_count || !same_key(all[i], all[i + 1]);
        if (!last && all[i]->origin == all[i + 1]->origin && all[i]->origin != TH_FROM_SET) {
            return th_entry_fail(all[i + 1], builder->err, TH_BAD_SYNTAX, "stands twice");
        }
        if (last) {
            all[count++] = all[i];
        }
    }
    builder->merged = (th_merged){all, count};
    for (size_t i = 0; i < count; i++) {
        if (!outdated(&builder->merged, all[i])) {
            kept[used++] = all[i];
        }
    }
    builder->merged = (th_merged){kept, used};
    return true;
}

/* ---- sections -------------------------------------------------------------------------------- */

/* "cut.12" -> 12 for the prefix "cut.", else 0. */
static int section_number(const char *section, const char *prefix) {
    size_t n = strlen(prefix);
    int number = 0;

    if (strncmp(section, prefix, n) != 0 || section[n] == '\0' || strlen(section) > n + 4) {
        return 0;
    }
    for (const char *p = section + n; *p; p++) {
        if (*p < '0' || *p > '9') {
            return 0;
        }
        number = number * 10 + (*p - '0');
    }
    return section[n] == '0' ? 0 : number;
}

static bool check_section(const th_entry *entry, th_error *err) {
    static const char *const names[] = {"job",     "part",  "hold",      "machine", "zero",
                                        "cutter.", "cut.1", "opening.1", "tool.1"};
    static const char *const shop[] = {"job", "hold", "machine", "cutter.NAME"};
    bool known = section_number(entry->section, "cut.") > 0 ||
                 section_number(entry->section, "opening.") > 0 ||
                 section_number(entry->section, "tool.") > 0 ||
                 (strncmp(entry->section, "cutter.", 7) == 0 && entry->section[7]);
    bool in_shop = strncmp(entry->section, "cutter.", 7) == 0;
    const char *near;

    for (size_t i = 0; i < 5; i++) {
        known = known || strcmp(names[i], entry->section) == 0;
    }
    for (size_t i = 0; i < 3; i++) {
        in_shop = in_shop || strcmp(shop[i], entry->section) == 0;
    }
    if (known && entry->origin == TH_FROM_SHOP && !in_shop) {
        return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                          "[%s] does not belong into the shop's defaults; they hold [hold], "
                          "[machine], [cutter.NAME] and [job]",
                          entry->section);
    }
    if (known) {
        return true;
    }
    near = th_nearest(entry->section, names, sizeof names / sizeof names[0]);
    return th_fail_at(err, TH_BAD_KEY, entry->file, entry->line,
                      "there is no section [%.60s]%s%s%s job has [job], [part], "
                      "[opening.1] ..., [hold], [machine], [cutter.NAME], [cut.1], [cut.2] ..., "
                      "[zero] and [tool.1] ...",
                      entry->section, near ? "; did you mean [" : "", near ? near : "",
                      near ? "]? A" : "; a");
}

/* Defaults are listed where a person could have chosen otherwise, in the job's units. */
static bool list_default(th_builder *builder, const char *section, const th_key *key,
                         const void *row) {
    th_text value = {NULL, 0, 0, false};
    bool fine;

    th_key_print(key, row, builder->units, &value);
    fine = !value.failed && th_lines_add(&builder->job->defaults, &builder->job->arena,
                                         "%s.%s = %s", section, key->name, value.data);
    th_text_free(&value);
    return fine || th_fail_memory(builder->err);
}

static bool list_shop_value(th_builder *builder, const th_entry *entry) {
    return entry->origin != TH_FROM_SHOP ||
           th_lines_add(&builder->job->defaults, &builder->job->arena, "%s.%s = %s (%s)",
                        entry->section, entry->key, entry->value, entry->file) ||
           th_fail_memory(builder->err);
}

/* The entry of a section that stands first in its file. */
static const th_entry *section_start(const th_merged *merged, const char *section) {
    const th_entry *start = NULL;

    for (size_t i = 0; i < merged->count; i++) {
        const th_entry *entry = merged->items[i];
        if (strcmp(entry->section, section) == 0 &&
            (!start || entry->origin < start->origin ||
             (entry->origin == start->origin && entry->line < start->line))) {
            start = entry;
        }
    }
    return start;
}

static bool fail_missing(th_builder *builder, const char *section, const th_key *key) {
    const th_entry *start = section_start(&builder->merged, section);
    th_text how = {NULL, 0, 0, false};

    th_key_form_text(key, builder->units, &how);
    if (start) {
        bool set = start->origin == TH_FROM_SET; /* mostly a slip in its name */
        th_fail_at(builder->err, TH_MISSING, start->file, start->line,
                   "%s[%s] needs the key %s (%s): %s",
                   set ? "the job has no such section; a new " : "", section, key->name, key->help,
                   how.data ? how.data : "");
    } else {
        th_fail_at(builder->err, TH_MISSING, builder->file, 0,
                   "the section [%s] is missing; it needs the key %s: %s", section, key->name,
                   how.data ? how.data : "");
    }
    th_text_free(&how);
    return false;
}

/* Fill a section's struct from its entries; defaults where nothing was given. */
static bool bind_section(th_builder *builder, const char *section, const th_key_group *group,
                         void *row) {
    for (size_t i = 0; i < group->count; i++) {
        const th_key *key = &group->keys[i];
        const th_entry *entry = th_merged_find(&builder->merged, section, key->name);
        if (!th_key_reset(key, &builder->job->arena, row, builder->err)) {
            return false;
        }
        if (entry) {
            if (!th_entry_read(entry, key, builder->units, &builder->job->arena, row,
                               builder->err) ||
                !list_shop_value(builder, entry)) {
                return false;
            }
        } else if (key->flags & TH_KEY_REQUIRED) {
            return fail_missing(builder, section, key);
        } else if (key->initial && !list_default(builder, section, key, row)) {
            return false;
        }
    }
    return true;
}

/* Every entry of a section must be a key of one of the groups. */
static bool check_keys(th_builder *builder, const char *section, const th_key_group *const *groups,
                       size_t count) {
    for (size_t i = 0; i < builder->merged.count; i++) {
        const th_entry *entry = builder->merged.items[i];
        bool known = strcmp(entry->section, section) != 0;
        for (size_t g = 0; g < count && !known; g++) {
            known = th_key_find(groups[g], entry->key) != NULL;
        }
        if (!known) {
            return th_unknown_key(entry, groups, count, builder->err);
        }
    }
    return true;
}

static bool bind_plain(th_builder *builder, const char *section, void *row) {
    const th_key_group *group = th_key_group_of(section, true);
    return check_keys(builder, section, &group, 1) && bind_section(builder, section, group, row);
}

/* ---- rows ------------------------------------------------------------------------------------ */

const void *th_builder_row(th_builder *builder, const char *section, const char *key,
                           th_table table, const char *id) {
    const void *row = th_tables_find(builder->job->tables, table, id);
    const th_entry *entry = th_merged_find(&builder->merged, section, key);
    char hint[TH_HINT];

    if (row) {
        return row;
    }
    if (!th_tables_hint(builder->job->tables, table, id, "\"", hint)) {
        th_fail_memory(builder->err);
        return NULL;
    }
    bool asks = strchr(hint, '?') != NULL;
    th_fail_at(builder->err, TH_UNKNOWN_ROW, entry ? entry->file : builder->file,
               entry ? entry->line : 0,
               "[%s] %s = %.60s: no such row in %s.ini%s%s%s are listed by: tackhold list %s",
               section, key, id, th_table_name(table), hint[0] ? "; " : "", hint,
               asks ? " All" : "; all", th_table_name(table));
    return NULL;
}

/* Keys of a row that a section of the job overrides. */
static bool override_row(th_builder *builder, const char *section, th_table table, void *row) {
    const th_key_group *group = th_row_group(table);
    th_error inner = {TH_OK, 0, "", ""};
    const th_entry *last = NULL;

    for (size_t i = 0; i < group->count; i++) {
        const th_entry *entry = th_merged_find(&builder->merged, section, group->keys[i].name);
        if (!entry) {
            continue;
        }
        last = entry;
        if (!th_entry_read(entry, &group->keys[i], builder->units, &builder->job->arena, row,
                           builder->err) ||
            !list_shop_value(builder, entry)) {
            return false;
        }
    }
    if (last && !th_row_check(table, row, &inner)) {
        return th_fail_at(builder->err, inner.code, last->file, last->line, "[%s]: %s", section,
                          inner.message);
    }
    return true;
}

static bool bind_machine(th_builder *builder) {
    const th_key_group *groups[] = {th_key_group_of("machine", true), th_row_group(TH_MACHINES)};
    th_job *job = builder->job;
    const void *row;

    if (!check_keys(builder, "machine", groups, 2) ||
        !bind_section(builder, "machine", groups[0], &job->machine_id)) {
        return false;
    }
    row = th_builder_row(builder, "machine", "id", TH_MACHINES, job->machine_id);
    if (!row) {
        return false;
    }
    job->machine = *(const th_machine *)row;
    return override_row(builder, "machine", TH_MACHINES, &job->machine);
}

static bool bind_cutter(th_builder *builder, th_job_cutter *cutter, const char *section) {
    const th_key_group *groups[] = {th_key_group_of("cutter", true), th_row_group(TH_CUTTERS)};
    const void *row;

    cutter->name = section + strlen("cutter.");
    if (!check_keys(builder, section, groups, 2) ||
        !bind_section(builder, section, groups[0], cutter)) {
        return false;
    }
    row = th_builder_row(builder, section, "id", TH_CUTTERS, cutter->id);
    if (!row) {
        return false;
    }
    cutter->row = *(const th_cutter *)row;
    if (!override_row(builder, section, TH_CUTTERS, &cutter->row)) {
        return false;
    }
    cutter->row.flute_length =
        isnan(cutter->row.flute_length) ? cutter->row.stickout : cutter->row.flute_length;
    cutter->row.shank = isnan(cutter->row.shank) ? cutter->row.diameter : cutter->row.shank;
    return true;
}

/* The next section with a prefix from `*place` on, NULL when there is none; sections lie together
 * in the merged (sorted) entries. */
static const char *next_section(const th_merged *merged, const char *prefix, size_t *place) {
    for (size_t i = *place; i < merged->count; i++) {
        const char *section = merged->items[i]->section;
        if (strncmp(section, prefix, strlen(prefix)) == 0 &&
            (i == 0 || strcmp(merged->items[i - 1]->section, section) != 0)) {
            *place = i + 1;
            return section;
        }
    }
    *place = merged->count;
    return NULL;
}

/* Room for a struct of each section with a prefix; their number goes to `count`. */
static void *take_sections(th_builder *builder, const char *prefix, size_t bytes, size_t *count) {
    void *room;

    *count = 0;
    for (size_t place = 0; next_section(&builder->merged, prefix, &place);) {
        (*count)++;
    }
    room = th_arena_take(&builder->job->arena, (*count + 1) * bytes);
    if (!room) {
        th_fail_memory(builder->err);
    }
    return room;
}

static bool bind_cutters(th_builder *builder) {
    th_job *job = builder->job;
    const char *section;
    size_t count;

    job->cutters = take_sections(builder, "cutter.", sizeof *job->cutters, &count);
    if (!job->cutters) {
        return false;
    }
    for (size_t place = 0; (section = next_section(&builder->merged, "cutter.", &place));) {
        if (!bind_cutter(builder, &job->cutters[job->cutter_count], section)) {
            return false;
        }
        job->cutter_count++;
    }
    return true;
}

/* ---- cuts ------------------------------------------------------------------------------------ */

static bool check_cut_key(th_builder *builder, const th_entry *entry, const th_key *key,
                          int operation) {
    const th_key_group *group = th_key_group_of("cut", true);
    th_text takes = {NULL, 0, 0, false};

    if (key->taken_by & (1u << operation)) {
        return true;
    }
    for (size_t i = 0; i < group->count; i++) {
        if (group->keys[i].taken_by & (1u << operation)) {
            th_text_add(&takes, "%s%s", takes.size ? ", " : "", group->keys[i].name);
        }
    }
    th_entry_fail(entry, builder->err, TH_CONTRADICTION, "%s takes no %s; it takes %s",
                  th_operation_name((th_operation)operation), key->name,
                  takes.data ? takes.data : "");
    th_text_free(&takes);
    return false;
}

static bool bind_cut_key(th_builder *builder, th_cut *cut, const th_key *key) {
    const th_entry *entry = th_merged_find(&builder->merged, cut->section, key->name);
    unsigned bit = 1u << cut->operation;

    if (entry) {
        return check_cut_key(builder, entry, key, cut->operation) &&
               th_entry_read(entry, key, builder->units, &builder->job->arena, cut, builder->err);
    }
    if (key->needed_by & bit) {
        return fail_missing(builder, cut->section, key);
    }
    if (key->initial && (key->taken_by & bit)) {
        return list_default(builder, cut->section, key, cut);
    }
    return true;
}

static bool bind_cut(th_builder *builder, th_cut *cut, const char *section) {
    const th_key_group *group = th_key_group_of("cut", true);
    const th_key *operation = &group->keys[0];
    const th_entry *entry = th_merged_find(&builder->merged, section, operation->name);

    cut->section = section;
    cut->number = section_number(section, "cut.");
    if (!check_keys(builder, section, &group, 1)) {
        return false;
    }
    for (size_t i = 0; i < group->count; i++) {
        if (!th_key_reset(&group->keys[i], &builder->job->arena, cut, builder->err)) {
            return false;
        }
    }
    if (!entry) {
        return fail_missing(builder, section, operation);
    }
    if (!th_entry_read(entry, operation, builder->units, &builder->job->arena, cut, builder->err)) {
        return false;
    }
    for (size_t i = 1; i < group->count; i++) {
        if (!bind_cut_key(builder, cut, &group->keys[i])) {
            return false;
        }
    }
    return th_cut_complete(builder, cut);
}

/* Cuts and openings alike begin with their number. */
static int compare_numbers(const void *a, const void *b) {
    int x = *(const int *)a, y = *(const int *)b;
    return (x > y) - (x < y);
}

static bool bind_cuts(th_builder *builder) {
    th_job *job = builder->job;
    const char *section;
    size_t count;

    job->cuts = take_sections(builder, "cut.", sizeof *job->cuts, &count);
    if (!job->cuts) {
        return false;
    }
    if (count == 0 && !builder->bare) {
        return th_fail_at(builder->err, TH_MISSING, builder->file, 0,
                          "there is no [cut.1]; a job needs at least one cut");
    }
    for (size_t place = 0; (section = next_section(&builder->merged, "cut.", &place));) {
        if (!bind_cut(builder, &job->cuts[job->cut_count], section)) {
            return false;
        }
        job->cut_count++;
    }
    qsort(job->cuts, count, sizeof *job->cuts, compare_numbers);
    return true;
}

/* ---- openings -------------------------------------------------------------------------------- */

static bool bind_opening(th_builder *builder, th_part_opening *opening, const char *section) {
    const th_key_group *group = th_key_group_of("opening", true);

    opening->section = section;
    opening->number = section_number(section, "opening.");
    return check_keys(builder, section, &group, 1) &&
           bind_section(builder, section, group, opening) && th_opening_complete(builder, opening);
}

static bool bind_openings(th_builder *builder) {
    th_job *job = builder->job;
    const char *section;
    size_t count;

    job->openings = take_sections(builder, "opening.", sizeof *job->openings, &count);
    if (!job->openings) {
        return false;
    }
    for (size_t place = 0; (section = next_section(&builder->merged, "opening.", &place));) {
        if (!bind_opening(builder, &job->openings[job->opening_count], section)) {
            return false;
        }
        job->opening_count++;
    }
    qsort(job->openings, count, sizeof *job->openings, compare_numbers);
    return true;
}

/* ---- tools of a program -----------------------------------------------------------------------
 */

static bool bind_tool(th_builder *builder, th_job_tool *tool, const char *section) {
    const th_key_group *group = th_key_group_of("tool", true);
    const th_job *job = builder->job;
    const char *names = "";

    tool->section = section;
    tool->number = section_number(section, "tool.");
    if (!check_keys(builder, section, &group, 1) || !bind_section(builder, section, group, tool)) {
        return false;
    }
    for (size_t i = 0; names && i < job->cutter_count; i++) {
        if (strcmp(job->cutters[i].name, tool->cutter_name) == 0) {
            tool->cutter = &job->cutters[i];
            tool->diameter = isnan(tool->diameter) ? tool->cutter->row.diameter : tool->diameter;
            return true;
        }
        names = th_arena_print(&builder->job->arena, "%s%s%s", names, i ? ", " : "",
                               job->cutters[i].name);
    }
    if (!names) {
        return th_fail_memory(builder->err);
    }
    return th_builder_fail(builder, section, "cutter", TH_CONTRADICTION,
                           "%.60s: there is no [cutter.%.60s]; the job has %.300s",
                           tool->cutter_name, tool->cutter_name, names[0] ? names : "none");
}

static bool bind_tools(th_builder *builder) {
    th_job *job = builder->job;
    const char *section;
    size_t count;

    job->tools = take_sections(builder, "tool.", sizeof *job->tools, &count);
    if (!job->tools) {
        return false;
    }
    for (size_t place = 0; (section = next_section(&builder->merged, "tool.", &place));) {
        if (!bind_tool(builder, &job->tools[job->tool_count], section)) {
            return false;
        }
        job->tool_count++;
    }
    qsort(job->tools, count, sizeof *job->tools, compare_numbers);
    return true;
}

/* ---- the whole ------------------------------------------------------------------------------- */

static bool bind_units(th_builder *builder) {
    const th_key_group *group = th_key_group_of("job", true);

    builder->units = TH_UNITS_NAMED;
    for (size_t i = 0; i < group->count; i++) {
        const th_entry *entry = th_merged_find(&builder->merged, "job", "units");
        if (strcmp(group->keys[i].name, "units") == 0 && entry) {
            th_job_head head;
            if (!th_entry_read(entry, &group->keys[i], TH_MM, &builder->job->arena, &head,
                               builder->err)) {
                return false;
            }
            builder->units = (th_units)head.units;
        }
    }
    return true;
}

static bool build(th_builder *builder) {
    th_job *job = builder->job;

    if (!merge(builder)) {
        return false;
    }
    for (size_t i = 0; i < builder->merged.count; i++) {
        if (!check_section(builder->merged.items[i], builder->err)) {
            return false;
        }
    }
    if (!bind_units(builder) || !bind_plain(builder, "job", &job->head) ||
        !bind_plain(builder, "part", &job->part) || !bind_plain(builder, "hold", &job->hold) ||
        !th_part_complete(builder) || !bind_openings(builder) || !th_hold_complete(builder) ||
        !bind_machine(builder) || !bind_cutters(builder) || !bind_cuts(builder) ||
        !bind_tools(builder) || !th_sheet_complete(builder)) {
        return false;
    }
    if (th_merged_find(&builder->merged, "zero", NULL)) {
        job->zero.given = true;
        return bind_plain(builder, "zero", &job->zero);
    }
    return true;
}

static bool copy_entries(th_job *job, const th_entry *entries, size_t count, th_entry *copies) {
    for (size_t i = 0; i < count; i++) {
        const th_entry *from = &entries[i];
        copies[i] = *from;
        copies[i].section = th_arena_copy(&job->arena, from->section, strlen(from->section));
        copies[i].key = th_arena_copy(&job->arena, from->key, strlen(from->key));
        copies[i].value = th_arena_copy(&job->arena, from->value, strlen(from->value));
        copies[i].file = th_arena_copy(&job->arena, from->file, strlen(from->file));
        if (!copies[i].section || !copies[i].key || !copies[i].value || !copies[i].file) {
            return false;
        }
    }
    return true;
}

static const char *job_file(const th_job *job) {
    for (size_t i = 0; i < job->entry_count; i++) {
        if (job->entries[i].origin == TH_FROM_JOB) {
            return job->entries[i].file;
        }
    }
    return "";
}

/* Build from entries that already live in the job's arena. */
static bool finish(th_job *job, bool bare, th_job **result, th_error *err) {
    th_builder builder = {job, {NULL, 0}, TH_MM, job_file(job), bare, err};

    if (!build(&builder)) {
        th_job_free(job);
        return false;
    }
    *result = job;
    return true;
}

static th_job *start(const th_entry *entries, size_t count, size_t more, const th_tables *tables) {
    th_job *job = calloc(1, sizeof *job);
    th_entry *copies = job ? th_arena_take(&job->arena, (count + more + 1) * sizeof *copies) : NULL;

    if (!copies || !copy_entries(job, entries, count, copies)) {
        th_job_free(job);
        return NULL;
    }
    job->tables = tables;
    job->entries = copies;
    job->entry_count = count;
    return job;
}

bool th_job_build(const th_entry *entries, size_t count, const th_tables *tables, th_job **job,
                  th_error *err) {
    th_job *fresh = start(entries, count, 0, tables);
    return fresh ? finish(fresh, false, job, err) : th_fail_memory(err);
}

bool th_job_build_bare(const th_entry *entries, size_t count, const th_tables *tables, th_job **job,
                       th_error *err) {
    th_job *fresh = start(entries, count, 0, tables);
    return fresh ? finish(fresh, true, job, err) : th_fail_memory(err);
}

bool th_job_change(const th_job *job, const char *const *settings, size_t count, th_job **changed,
                   th_error *err) {
    th_job *fresh = start(job->entries, job->entry_count, count, job->tables);
    th_entry *entries;

    if (!fresh) {
        return th_fail_memory(err);
    }
    entries = (th_entry *)fresh->entries;
    for (size_t i = 0; i < count; i++) {
        if (!th_setting_read(settings[i], &fresh->arena, &entries[fresh->entry_count], err)) {
            th_job_free(fresh);
            return false;
        }
        fresh->entry_count++;
    }
    return finish(fresh, false, changed, err);
}

void th_job_free(th_job *job) {
    if (job) {
        th_arena_free(&job->arena);
        free(job);
    }
}
