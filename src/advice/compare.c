/* compare.c - what changed between two jobs, and what each change alone does.
 *
 * Values are compared as the jobs were completed, so that a default counts like a stated value. A
 * change is brought into the job before as entries on top of its own; what cannot stand alone is
 * brought together: an id with the values that override its row, a cut or opening that only one job
 * has, a cutter with the first cut that takes it. */
#include "judge.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A difference, and how to make it. */
typedef struct {
    th_difference shown;
    const char *section, *key; /* key NULL: the whole section */
    const char *const *along;  /* keys that come and go with it, three or fewer; NULL: none */
    const char *rival;         /* taken out: a key of the section that excludes this one */
    bool remove;               /* takes the key, or the section, out of the job before */
    bool outline, taped;       /* takes the drawing of the job now */
    th_entry *entries;
    size_t entry_count;
} change;

typedef struct {
    const th_compared *jobs;
    th_arena *arena;
    change *changes;
    size_t count, room;
    bool failed; /* out of memory */
} work;

/* ---- values ---------------------------------------------------------------------------------- */

static const th_job_cutter *cutter_named(const th_job *job, const char *name) {
    for (size_t i = 0; i < job->cutter_count; i++) {
        if (strcmp(job->cutters[i].name, name) == 0) {
            return &job->cutters[i];
        }
    }
    return NULL;
}

/* The struct that holds the keys of a section, or with `row` those of the row that it overrides;
 * NULL: the job has no such section. */
static const void *struct_of(const th_job *job, const char *section, bool row) {
    static const char prefix[] = "cutter.";
    const th_job_cutter *cutter = strncmp(section, prefix, sizeof prefix - 1) == 0
                                      ? cutter_named(job, section + sizeof prefix - 1)
                                      : NULL;

    if (cutter) {
        return row ? (const void *)&cutter->row : cutter;
    }
    if (strcmp(section, "machine") == 0) {
        return row ? (const void *)&job->machine : &job->machine_id;
    }
    for (size_t i = 0; i < job->cut_count; i++) {
        if (strcmp(job->cuts[i].section, section) == 0) {
            return &job->cuts[i];
        }
    }
    for (size_t i = 0; i < job->opening_count; i++) {
        if (strcmp(job->openings[i].section, section) == 0) {
            return &job->openings[i];
        }
    }
    return strcmp(section, "job") == 0    ? (const void *)&job->head
           : strcmp(section, "part") == 0 ? (const void *)&job->part
           : strcmp(section, "hold") == 0 ? (const void *)&job->hold
                                          : NULL;
}

/* One key in one section of both jobs. */
typedef struct {
    const char *section;
    const th_key *key;
    bool cut; /* a key of a cut */
    const void *before, *now;
    const th_key_group *group; /* that the key is of; NULL where nothing goes with it */
} place;

static const char *keep(work *w, const char *text) {
    const char *kept = text ? th_arena_copy(w->arena, text, strlen(text)) : NULL;

    w->failed = w->failed || !kept;
    return kept ? kept : "";
}

static const char *text_of(work *w, const th_job *job, const place *at, th_units units) {
    const void *row = job == w->jobs->before ? at->before : at->now;
    const th_entry *entry = th_entry_of(job, at->section, at->key->name);
    const th_cut *cut = at->cut ? row : NULL;
    th_text text = {0};
    char number[64];
    const char *kept;

    if (at->key->form == TH_FORM_POINTS) { /* as stated: a grid is laid out already */
        return entry ? entry->value : "";
    }
    if (cut && strcmp(at->key->name, "through") == 0) { /* the word may be missing */
        return cut->through ? "yes" : "no";
    }
    if (cut && at->key->form == TH_FORM_CHIP && isnan(cut->chip_reading.value) &&
        !isnan(cut->chip_load)) {
        th_quantity_print(cut->chip_load, TH_CHIP_LOAD, units, 4, number, sizeof number);
        return keep(w, number);
    }
    th_key_print(at->key, row, units, &text);
    kept = keep(w, text.failed ? NULL : text.data ? text.data : ""); /* no flag, no text */
    th_text_free(&text);
    return kept;
}

static bool same_units(const work *w) {
    return w->jobs->before->head.units == w->jobs->now->head.units;
}

/* Places, laid out. */
static bool same_points(const place *at) {
    const th_points *a = (const void *)((const char *)at->before + at->key->offset);
    const th_points *b = (const void *)((const char *)at->now + at->key->offset);
    bool same = a->count == b->count;

    for (size_t i = 0; same && i < a->count; i++) {
        same = fabs(a->items[i].x - b->items[i].x) < 1e-9 &&
               fabs(a->items[i].y - b->items[i].y) < 1e-9;
    }
    return same;
}

static bool same_value(work *w, const place *at) {
    const char *before = text_of(w, w->jobs->before, at, TH_MM);
    const char *now = text_of(w, w->jobs->now, at, TH_MM);

    return (strcmp(before, now) == 0 && (at->key->form != TH_FORM_POINTS || same_units(w))) ||
           (at->key->form == TH_FORM_POINTS && same_points(at));
}

/* The value of the job now as it can be typed into the job before; NULL: it cannot. */
static const char *typed(work *w, const place *at) {
    const th_job *job = w->jobs->now;
    const th_entry *entry = th_entry_of(job, at->section, at->key->name);
    const void *field = (const char *)at->now + at->key->offset;
    bool bare = at->key->form == TH_FORM_SIZE || at->key->form == TH_FORM_POINT ||
                at->key->form == TH_FORM_CHIP || at->key->form == TH_FORM_COUNT_LENGTH;
    const char *text;
    char number[64];

    if (at->key->form == TH_FORM_QUANTITY && !isnan(*(const double *)field)) {
        th_quantity_print(*(const double *)field, (th_kind)at->key->kind, w->jobs->units, 9, number,
                          sizeof number);
        if (w->jobs->units == TH_INCH) { /* printing rounds those */
            th_quantity_write(*(const double *)field, (th_kind)at->key->kind, w->jobs->units,
                              number, sizeof number);
        }
        return keep(w, number);
    }
    if (at->key->form == TH_FORM_POINTS) {
        return entry && same_units(w) ? entry->value : NULL;
    }
    if (entry && bare && same_units(w)) {
        return entry->value;
    }
    text = text_of(w, job, at, TH_MM);
    return text[0] ? text : entry ? entry->value : NULL;
}

/* ---- changes --------------------------------------------------------------------------------- */

static change *add_change(work *w, const char *section, const char *key) {
    change *made;

    if (w->count == w->room) {
        size_t room = 2 * w->room + 16;
        change *more = th_arena_take(w->arena, room * sizeof *more);
        if (!more) {
            w->failed = true;
            return NULL;
        }
        for (size_t i = 0; i < w->count; i++) {
            more[i] = w->changes[i];
        }
        w->changes = more;
        w->room = room;
    }
    made = &w->changes[w->count++];
    *made = (change){.section = section, .key = key};
    made->shown.key = key ? th_arena_print(w->arena, "%s.%s", section, key) : section;
    made->shown.from = made->shown.to = "";
    made->shown.hold_factor = (double)NAN;
    made->entries = th_arena_take(w->arena, (w->jobs->now->entry_count + 4) * sizeof(th_entry));
    w->failed = w->failed || !made->shown.key || !made->entries;
    return made;
}

static void add_entry(work *w, change *c, const char *section, const char *key, const char *value) {
    if (!w->failed) {
        c->entries[c->entry_count++] =
            (th_entry){section, key, keep(w, value), "--set", 0, TH_FROM_SET};
    }
}

/* What cannot be typed is told instead of judged. */
static void add_value(work *w, change *c, const place *at) {
    const char *value = typed(w, at);

    if (value) {
        add_entry(w, c, at->section, at->key->name, value);
    } else {
        c->shown.why_not = "its places are given in other units";
    }
}

/* All that the job now states of a section, each key once; with `table` only the keys of a row. */
static void add_section(work *w, change *c, const char *section, int table) {
    const th_key_group *row =
        table < 0 ? NULL : th_key_group_of(th_table_name((th_table)table), false);
    const char *kind = strncmp(section, "cutter.", 7) == 0    ? "cutter"
                       : strncmp(section, "opening.", 8) == 0 ? "opening"
                       : strcmp(section, "machine") == 0      ? "machine"
                                                              : "cut";
    const th_key_group *groups[2] = {th_key_group_of(kind, true), row};

    for (int g = 0; g < 2; g++) {
        const void *from = struct_of(w->jobs->now, section, g == 1);
        for (size_t i = 0; groups[g] && from && i < groups[g]->count; i++) {
            place at = {section, &groups[g]->keys[i], strcmp(kind, "cut") == 0, from, from, NULL};
            if (th_entry_of(w->jobs->now, section, at.key->name) &&
                strcmp(at.key->name, "wear") != 0) {
                add_value(w, c, &at);
            }
        }
    }
}

/* A cutter that the job before does not have comes with what takes it. */
static void add_cutter(work *w, change *c, const char *name) {
    const th_job_cutter *cutter = name ? cutter_named(w->jobs->now, name) : NULL;
    const char *section = cutter ? th_arena_print(w->arena, "cutter.%s", name) : NULL;

    if (!cutter || cutter_named(w->jobs->before, name)) {
        return;
    }
    if (!section) {
        w->failed = true;
        return;
    }
    add_section(w, c, section, TH_CUTTERS);
    if (th_entry_of(w->jobs->now, section, "wear")) {
        add_entry(w, c, section, "wear", th_entry_of(w->jobs->now, section, "wear")->value);
    }
}

static const char *rival_of(const place *at) {
    return !at->cut                                  ? NULL
           : strcmp(at->key->name, "feed") == 0      ? "chip_load"
           : strcmp(at->key->name, "chip_load") == 0 ? "feed"
                                                     : NULL;
}

/* Keys that stand or fall with another one. */
static const struct {
    const char *leader, *others[3];
} companions[] = {{"sheet_length", {"sheet_width", "sheet_x", "sheet_y"}},
                  {"copies", {"pitch", NULL, NULL}},
                  {"grid", {"pitch", NULL, NULL}},
                  {"tabs", {"tab_height", NULL, NULL}},
                  {"shape", {"corner_radius", "points", NULL}}};
enum { COMPANIONS = sizeof companions / sizeof companions[0], OTHERS = 3 };

static bool beside(const place *at, const char *name, place *found) {
    for (size_t i = 0; at->group && i < at->group->count; i++) {
        if (strcmp(at->group->keys[i].name, name) == 0) {
            *found = *at;
            found->key = &at->group->keys[i];
            return true;
        }
    }
    return false;
}

/* Whether a key is there in one of the jobs only; a shape needs only to differ. */
static bool comes_or_goes(work *w, const place *at) {
    bool was = text_of(w, w->jobs->before, at, TH_MM)[0] != '\0';
    bool is = text_of(w, w->jobs->now, at, TH_MM)[0] != '\0';

    return was != is || (strcmp(at->key->name, "shape") == 0 && !same_value(w, at));
}

/* Whether what a key goes with comes or goes. */
static bool goes_with_another(work *w, const place *at) {
    for (size_t i = 0; i < COMPANIONS; i++) {
        for (size_t k = 0; k < OTHERS && companions[i].others[k]; k++) {
            place leader;
            if (strcmp(companions[i].others[k], at->key->name) == 0 &&
                beside(at, companions[i].leader, &leader) && comes_or_goes(w, &leader)) {
                return true;
            }
        }
    }
    return false;
}

static void take_along(work *w, change *c, const place *at) {
    for (size_t i = 0; i < COMPANIONS; i++) {
        if (strcmp(companions[i].leader, at->key->name) != 0 || !at->group ||
            !comes_or_goes(w, at)) {
            continue;
        }
        c->along = companions[i].others;
        for (size_t k = 0; k < OTHERS && c->along[k]; k++) {
            place other;
            if (beside(at, c->along[k], &other) &&
                th_entry_of(w->jobs->now, at->section, c->along[k])) {
                add_value(w, c, &other);
            }
        }
    }
}

static void add_difference(work *w, const place *at) {
    const th_job *before = w->jobs->before, *now = w->jobs->now;
    const char *name = at->key->name, *rival = rival_of(at);
    bool was = th_entry_of(before, at->section, name) != NULL;
    bool is = th_entry_of(now, at->section, name) != NULL;
    bool gave_way = rival && !is && th_entry_of(now, at->section, rival);
    change *c = add_change(w, at->section, name);

    if (!c) {
        return;
    }
    c->shown.from = keep(w, text_of(w, before, at, w->jobs->units));
    c->shown.to = keep(w, text_of(w, now, at, w->jobs->units));
    c->shown.follows = (!was && !is) || gave_way || goes_with_another(w, at);
    if (c->shown.follows) {
        return;
    }
    c->rival = rival && is ? rival : NULL;
    c->remove = !is && !c->shown.to[0];
    if (at->cut && strcmp(name, "cutter") == 0) {
        add_cutter(w, c, c->shown.to);
    }
    if (!c->remove) {
        add_value(w, c, at);
    }
    take_along(w, c, at);
}

/* ---- sections -------------------------------------------------------------------------------- */

static bool either_job(const char *section, const char *key) {
    static const char *const idle[] = {"title", "units"};

    return strcmp(section, "job") != 0 || (strcmp(key, idle[0]) != 0 && strcmp(key, idle[1]) != 0);
}

static bool same_drawing(const th_outline *a, const th_outline *b) {
    size_t rings_a = a ? a->ring_count : 0, rings_b = b ? b->ring_count : 0;

    if (rings_a != rings_b) {
        return false;
    }
    for (size_t r = 0; r < rings_a; r++) {
        const th_ring *x = &a->rings[r], *y = &b->rings[r];
        if (x->count != y->count ||
            memcmp(x->points, y->points, x->count * sizeof *x->points) != 0) {
            return false;
        }
    }
    return true;
}

/* Keys that a drawing goes with. */
static bool drawn_key(const char *section, const char *key, bool outline, bool taped) {
    bool part =
        strcmp(section, "part") == 0 &&
        (strcmp(key, "outline") == 0 || strcmp(key, "length") == 0 || strcmp(key, "width") == 0);
    bool tape =
        strcmp(section, "hold") == 0 && (strcmp(key, "taped") == 0 || strcmp(key, "taped_at") == 0);

    return (outline && part) || (taped && tape);
}

/* Keys of a group, but for those that a drawing has taken along. */
static void compare_keys(work *w, const char *section, const th_key_group *group, bool row,
                         const bool drawn[2]) {
    for (size_t i = 0; i < group->count; i++) {
        place at = {section,
                    &group->keys[i],
                    strcmp(group->section, "cut") == 0,
                    struct_of(w->jobs->before, section, row),
                    struct_of(w->jobs->now, section, row),
                    group};
        if (at.before && at.now && either_job(section, at.key->name) &&
            !drawn_key(section, at.key->name, drawn && drawn[0], drawn && drawn[1]) &&
            !same_value(w, &at)) {
            add_difference(w, &at);
        }
    }
}

/* A drawing with all that must fit it. */
static void compare_drawing(work *w, const char *section, const char *key, bool outline) {
    const th_key_group *group = th_key_group_of(section, true);
    change *c = add_change(w, section, key);

    if (!c) {
        return;
    }
    c->outline = outline;
    c->taped = !outline;
    for (size_t i = 0; i < group->count; i++) {
        place at = {section,
                    &group->keys[i],
                    false,
                    struct_of(w->jobs->before, section, false),
                    struct_of(w->jobs->now, section, false),
                    NULL};
        if (strcmp(at.key->name, key) == 0) {
            c->shown.from = keep(w, text_of(w, w->jobs->before, &at, w->jobs->units));
            c->shown.to = keep(w, text_of(w, w->jobs->now, &at, w->jobs->units));
            c->remove = !c->shown.to[0];
        }
        if (drawn_key(section, at.key->name, outline, !outline) &&
            th_entry_of(w->jobs->now, section, at.key->name)) {
            add_value(w, c, &at);
        }
    }
    /* a place of a drawing that is gone would be refused */
    c->rival = c->remove && !outline ? "taped_at" : NULL;
}

static void compare_drawings(work *w, bool drawn[2]) {
    const th_compared *j = w->jobs;
    const th_hold *a = &j->before->hold, *b = &j->now->hold;
    bool moved =
        a->taped && b->taped &&
        (fabs(a->taped_at.x - b->taped_at.x) > 0 || fabs(a->taped_at.y - b->taped_at.y) > 0);

    drawn[0] = !same_drawing(j->before_options->outline, j->now_options->outline);
    drawn[1] = moved || !same_drawing(j->before_options->taped, j->now_options->taped);
    if (drawn[0]) {
        compare_drawing(w, "part", "outline", true);
    }
    if (drawn[1]) {
        bool same_file = a->taped && b->taped && strcmp(a->taped, b->taped) == 0;
        compare_drawing(w, "hold", moved && same_file ? "taped_at" : "taped", false);
    }
}

/* A section with an id: the id takes along what overrides its row. */
static void compare_row(work *w, const char *section, th_table table) {
    const th_key_group *own = th_key_group_of(table == TH_MACHINES ? "machine" : "cutter", true);
    size_t first = w->count;

    compare_keys(w, section, own, false, NULL);
    if (w->count > first && strcmp(w->changes[first].key, "id") == 0) {
        change *c = &w->changes[first];
        c->entry_count = 0;
        add_section(w, c, section, (int)table);
    } else {
        compare_keys(w, section, th_key_group_of(th_table_name(table), false), true, NULL);
    }
}

/* A cut or opening that only one of the jobs has, or a cut that has become another operation. */
static void compare_whole(work *w, const char *section, const char *from, const char *to,
                          const char *cutter) {
    change *c = add_change(w, section, NULL);

    if (c) {
        c->shown.from = from;
        c->shown.to = to;
        c->remove = from[0] != '\0';
        if (to[0]) {
            add_cutter(w, c, cutter);
            add_section(w, c, section, -1);
        }
    }
}

static const th_cut *cut_named(const th_job *job, const char *section) {
    const void *found = struct_of(job, section, false);

    return found;
}

static void compare_cuts(work *w) {
    const th_job *before = w->jobs->before, *now = w->jobs->now;

    for (size_t i = 0; i < now->cut_count; i++) {
        const th_cut *cut = &now->cuts[i], *old = cut_named(before, cut->section);
        const char *to = th_operation_name((th_operation)cut->operation);
        if (!old || old->operation != cut->operation) {
            compare_whole(w, cut->section,
                          old ? th_operation_name((th_operation)old->operation) : "", to,
                          cut->cutter_name);
        } else {
            compare_keys(w, cut->section, th_key_group_of("cut", true), false, NULL);
        }
    }
    for (size_t i = 0; i < before->cut_count; i++) {
        const th_cut *cut = &before->cuts[i];
        if (!cut_named(now, cut->section)) {
            compare_whole(w, cut->section, th_operation_name((th_operation)cut->operation), "",
                          NULL);
        }
    }
}

static void compare_openings(work *w) {
    const th_job *before = w->jobs->before, *now = w->jobs->now;

    for (size_t i = 0; i < now->opening_count; i++) {
        const char *section = now->openings[i].section;
        if (struct_of(before, section, false)) {
            compare_keys(w, section, th_key_group_of("opening", true), false, NULL);
        } else {
            compare_whole(w, section, "", "opening", NULL);
        }
    }
    for (size_t i = 0; i < before->opening_count; i++) {
        if (!struct_of(now, before->openings[i].section, false)) {
            compare_whole(w, before->openings[i].section, "opening", "", NULL);
        }
    }
}

static bool cutter_used(const th_job *job, const th_job_cutter *cutter) {
    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].cutter == cutter) {
            return true;
        }
    }
    return false;
}

static void compare_cutters(work *w) {
    const th_job *before = w->jobs->before, *now = w->jobs->now;

    for (size_t i = 0; i < now->cutter_count; i++) {
        const th_job_cutter *cutter = &now->cutters[i], *old = cutter_named(before, cutter->name);
        const char *section = th_arena_print(w->arena, "cutter.%s", cutter->name);
        w->failed = w->failed || !section;
        if (section && old && (cutter_used(now, cutter) || cutter_used(before, old))) {
            compare_row(w, section, TH_CUTTERS);
        }
    }
}

static bool find_changes(work *w, th_error *err) {
    bool drawn[2];

    compare_keys(w, "job", th_key_group_of("job", true), false, NULL);
    compare_drawings(w, drawn);
    compare_keys(w, "part", th_key_group_of("part", true), false, drawn);
    compare_openings(w);
    compare_keys(w, "hold", th_key_group_of("hold", true), false, drawn);
    compare_row(w, "machine", TH_MACHINES);
    compare_cutters(w);
    compare_cuts(w);
    return !w->failed || th_fail_memory(err);
}

/* ---- one change alone ------------------------------------------------------------------------ */

static bool dropped(const change *c, const th_entry *entry) {
    bool here = strcmp(entry->section, c->section) == 0, along = false;

    for (size_t i = 0; c->along && i < OTHERS && c->along[i]; i++) {
        along = along || strcmp(entry->key, c->along[i]) == 0;
    }
    return here && (along || (c->remove && (!c->key || strcmp(entry->key, c->key) == 0)) ||
                    (c->rival && strcmp(entry->key, c->rival) == 0));
}

/* The job before with one change. */
static bool build_alone(work *w, const change *c, th_job **job, th_error *err) {
    const th_job *before = w->jobs->before;
    size_t count = 0;
    th_entry *entries = malloc((before->entry_count + c->entry_count + 1) * sizeof *entries);
    bool built;

    if (!entries) {
        return th_fail_memory(err);
    }
    for (size_t i = 0; i < before->entry_count; i++) {
        if (!dropped(c, &before->entries[i])) {
            entries[count++] = before->entries[i];
        }
    }
    for (size_t i = 0; i < c->entry_count; i++) {
        entries[count++] = c->entries[i];
    }
    built = th_job_build(entries, count, before->tables, job, err);
    free(entries);
    return built;
}

static bool judge_alone(work *w, change *c, const th_job *job, th_error *err) {
    const th_compared *j = w->jobs;
    th_check_options options = *j->before_options;
    th_judging judging = {
        .options = &options, .shapes = th_shapes_new(), .cache = th_plate_cache_new()};
    th_judgement judgement;
    th_arena arena = {0};
    bool fine;

    options.outline = c->outline ? j->now_options->outline : options.outline;
    options.taped = c->taped ? j->now_options->taped : options.taped;
    fine = (judging.shapes && judging.cache) || th_fail_memory(err);
    if (fine && th_judge(job, &judging, &arena, 0, &judgement, err)) {
        c->shown.hold_factor = judgement.hold_factor;
    } else {
        fine = false;
    }
    th_arena_free(&arena);
    th_plate_cache_free(judging.cache);
    th_shapes_free(judging.shapes);
    return fine;
}

/* A job that cannot be is no failure, want of memory is. */
static bool try_alone(work *w, change *c, th_error *err) {
    th_error inner = {0};
    th_job *job = NULL;
    bool fine = build_alone(w, c, &job, &inner);

    if (fine) {
        fine = judge_alone(w, c, job, &inner);
        th_job_free(job);
    }
    if (!fine && th_status_exit(inner.code) != 2) {
        return th_fail(err, inner.code, "%s", inner.message);
    }
    if (!fine) {
        c->shown.why_not = keep(w, inner.message);
    }
    return !w->failed || th_fail_memory(err);
}

/* What brings a change into the job before, where settings can: they take nothing out. */
static bool list_settings(work *w, change *c) {
    const char **settings = th_arena_take(w->arena, (c->entry_count + 1) * sizeof *settings);
    bool takes_out = c->remove;

    for (size_t i = 0; i < w->jobs->before->entry_count; i++) {
        takes_out = takes_out || dropped(c, &w->jobs->before->entries[i]);
    }
    for (size_t i = 0; settings && i < c->entry_count && !takes_out; i++) {
        const th_entry *entry = &c->entries[i];
        settings[i] =
            th_arena_print(w->arena, "%s.%s=%s", entry->section, entry->key, entry->value);
        if (!settings[i]) {
            return false;
        }
    }
    c->shown.settings = settings;
    c->shown.setting_count = takes_out ? 0 : c->entry_count;
    return settings != NULL;
}

static bool judge_changes(work *w, th_comparison *comparison, th_error *err) {
    comparison->whole = true;
    for (size_t i = 0; i < w->count; i++) {
        change *c = &w->changes[i];
        if (c->shown.follows) {
            continue;
        }
        if (!list_settings(w, c)) {
            return th_fail_memory(err);
        }
        if (comparison->judged == TH_DIFFERENCES_JUDGED) {
            c->shown.why_not = "there are too many changes";
        } else if (!c->shown.why_not && !try_alone(w, c, err)) {
            return false;
        }
        comparison->judged += !c->shown.why_not;
        comparison->whole = comparison->whole && !c->shown.why_not;
    }
    return true;
}

/* ---- the whole ------------------------------------------------------------------------------- */

/* Largest effect first; then those not judged; then those that follow. Equal ones keep their
 * order. */
static bool goes_first(const th_difference *a, const th_difference *b, double base) {
    int rank_a = a->follows ? 2 : isnan(a->hold_factor),
        rank_b = b->follows ? 2 : isnan(b->hold_factor);

    return rank_a != rank_b
               ? rank_a < rank_b
               : rank_a == 0 && fabs(a->hold_factor - base) > fabs(b->hold_factor - base);
}

static bool sort_changes(const work *w, th_comparison *comparison) {
    th_difference *items = th_arena_take(&comparison->arena, (w->count + 1) * sizeof *items);

    for (size_t i = 0; items && i < w->count; i++) {
        size_t at = i;
        while (at > 0 &&
               goes_first(&w->changes[i].shown, &items[at - 1], comparison->hold_factor)) {
            items[at] = items[at - 1];
            at--;
        }
        items[at] = w->changes[i].shown;
    }
    comparison->items = items;
    comparison->count = w->count;
    return items != NULL;
}

static void sum_up(th_comparison *c, double now) {
    double base = c->hold_factor;

    c->each = 1;
    for (size_t i = 0; i < c->count; i++) {
        if (!isnan(c->items[i].hold_factor)) {
            c->each *= c->items[i].hold_factor / base;
        }
    }
    c->each = base > 0 && c->judged > 0 ? c->each : (double)NAN;
    c->all = base > 0 ? now / base : (double)NAN;
    c->interaction = c->each > 0 && c->whole ? c->all / c->each : (double)NAN;
}

static bool judge_before(const th_compared *jobs, th_comparison *comparison, th_error *err) {
    th_judging judging = {
        .options = jobs->before_options, .shapes = th_shapes_new(), .cache = th_plate_cache_new()};
    th_judgement judgement;
    bool fine = (judging.shapes && judging.cache) || th_fail_memory(err);

    fine = fine && th_judge(jobs->before, &judging, &comparison->arena, 0, &judgement, err);
    th_plate_cache_free(judging.cache);
    th_shapes_free(judging.shapes);
    if (!fine) {
        return false;
    }
    comparison->title = jobs->before->head.title;
    comparison->hold_factor = judgement.hold_factor;
    comparison->asked_factor = jobs->before->head.asked_factor;
    comparison->verdict = th_verdict_of(judgement.hold_factor, comparison->asked_factor);
    comparison->governs = judgement.stages + judgement.governs;
    return true;
}

bool th_compare(const th_compared *jobs, th_comparison *comparison, th_error *err) {
    work w = {jobs, &comparison->arena, NULL, 0, 0, false};
    bool fine;

    *comparison = (th_comparison){0};
    fine = judge_before(jobs, comparison, err) && find_changes(&w, err) &&
           judge_changes(&w, comparison, err) &&
           (sort_changes(&w, comparison) || th_fail_memory(err));
    if (!fine) {
        th_comparison_free(comparison);
        return false;
    }
    sum_up(comparison, jobs->now_factor);
    return true;
}

void th_comparison_free(th_comparison *comparison) {
    if (comparison) {
        th_arena_free(&comparison->arena);
        *comparison = (th_comparison){0};
    }
}
