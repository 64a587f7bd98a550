/* fuzz_job.c - no job may crash the reader, hang it or make it use memory without bound. In a job
 * that it accepts every figure lies within the bounds of its key, nothing that the operation needs
 * is absent, and a value given once more, or as it is printed, makes the same job again. */
#include "job_lines.h"
#include "sound.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* ---- every section of a job ------------------------------------------------------------------ */

typedef struct {
    const th_job *job;
    const th_key_group *group;
    const char *name; /* as in the file: "cut.1" */
    const void *row;
    const th_cut *cut; /* NULL in other sections */
    bool whole;        /* every required key stands in the row, given or not */
} section;

typedef void visitor(const section *at, void *context);

static void visit_cutters(const th_job *job, const th_key_group *group, visitor *visit,
                          void *context) {
    for (size_t i = 0; i < job->cutter_count; i++) {
        const th_job_cutter *cutter = &job->cutters[i];
        th_text name = {0};
        th_text_add(&name, "cutter.%s", cutter->name);
        insist(!name.failed);
        visit(&(section){job, group, name.data, cutter, NULL, true}, context);
        visit(
            &(section){job, th_key_group_of("cutter", false), name.data, &cutter->row, NULL, true},
            context);
        th_text_free(&name);
    }
}

static void visit_group(const th_job *job, const th_key_group *group, visitor *visit,
                        void *context) {
    const char *name = group->section;

    if (strcmp(name, "job") == 0) {
        visit(&(section){job, group, name, &job->head, NULL, true}, context);
    } else if (strcmp(name, "part") == 0) {
        visit(&(section){job, group, name, &job->part, NULL, true}, context);
    } else if (strcmp(name, "hold") == 0) {
        visit(&(section){job, group, name, &job->hold, NULL, true}, context);
    } else if (strcmp(name, "machine") == 0) {
        visit(&(section){job, group, name, &job->machine_id, NULL, true}, context);
        visit(&(section){job, th_key_group_of("machine", false), name, &job->machine, NULL, true},
              context);
    } else if (strcmp(name, "cutter") == 0) {
        visit_cutters(job, group, visit, context);
    } else if (strcmp(name, "zero") == 0) {
        visit(&(section){job, group, name, &job->zero, NULL, job->zero.given}, context);
    } else if (strcmp(name, "opening") == 0) {
        for (size_t i = 0; i < job->opening_count; i++) {
            const th_part_opening *opening = &job->openings[i];
            visit(&(section){job, group, opening->section, opening, NULL, true}, context);
        }
    } else if (strcmp(name, "tool") == 0) {
        for (size_t i = 0; i < job->tool_count; i++) {
            const th_job_tool *tool = &job->tools[i];
            visit(&(section){job, group, tool->section, tool, NULL, true}, context);
        }
    } else if (strcmp(name, "cut") == 0) {
        for (size_t i = 0; i < job->cut_count; i++) {
            const th_cut *cut = &job->cuts[i];
            visit(&(section){job, group, cut->section, cut, cut, true}, context);
        }
    } else {
        insist(false); /* a section that this test does not know */
    }
}

static void visit_job(const th_job *job, visitor *visit, void *context) {
    size_t count;
    const th_key_group *groups = th_job_groups(&count);

    for (size_t i = 0; i < count; i++) {
        visit_group(job, &groups[i], visit, context);
    }
}

static bool is_given(const section *at, const th_key *key) {
    for (size_t i = 0; i < at->job->entry_count; i++) {
        const th_entry *entry = &at->job->entries[i];
        if (strcmp(entry->key, key->name) == 0 && strcmp(entry->section, at->name) == 0) {
            return true;
        }
    }
    return false;
}

/* ---- bounds ---------------------------------------------------------------------------------- */

static const void *field(const th_key *key, const void *row) {
    return (const char *)row + key->offset;
}

static void check_number(const th_key *key, double value) {
    insist((key->flags & TH_KEY_ABOVE) ? value > key->least : value >= key->least);
    insist(value <= key->greatest);
}

static int count_words(const char *words) {
    int count = *words != '\0';

    for (; *words; words++) {
        count += *words == ' ';
    }
    return count;
}

static void check_points(const th_points *points) {
    for (size_t i = 0; i < points->count; i++) {
        insist(isfinite(points->items[i].x) && isfinite(points->items[i].y));
    }
}

/* What holds of a field whether it was typed, taken from a table or worked out. */
static void check_any(const section *at, const th_key *key) {
    const void *value = field(key, at->row);
    int number;

    if (key->form == TH_FORM_QUANTITY) {
        insist(!isinf(*(const double *)value));
    } else if (key->form == TH_FORM_POINTS) {
        check_points(value);
    } else if (key->form == TH_FORM_WORD) {
        number = *(const int *)value;
        insist(number >= -1 && number < count_words(key->words));
    } else if (key->form == TH_FORM_FLAGS) {
        number = *(const int *)value;
        insist(number >= 0 && number < 1 << count_words(key->words));
    }
}

/* What holds of a field that must be there. */
static void check_present(const section *at, const th_key *key) {
    const void *value = field(key, at->row);
    const char *text;

    if (key->form == TH_FORM_QUANTITY || key->form == TH_FORM_CHIP) {
        insist(!isnan(*(const double *)value)); /* a th_reading begins with its value */
    } else if (key->form == TH_FORM_WORD) {
        insist(*(const int *)value >= 0);
    } else if (key->form == TH_FORM_TEXT || key->form == TH_FORM_ROW) {
        text = *(const char *const *)value;
        insist(text && *text);
        insist(key->form == TH_FORM_TEXT ||
               th_tables_find(at->job->tables, (th_table)key->kind, text));
    } else if (key->form == TH_FORM_POINTS) {
        insist(((const th_points *)value)->count > 0);
    }
}

/* What holds of a field as it was typed, or as its default stands. */
static void check_bounds(const section *at, const th_key *key) {
    const void *value = field(key, at->row);

    switch (key->form) {
    case TH_FORM_QUANTITY:
    case TH_FORM_CHIP:
        check_number(key, *(const double *)value);
        break;
    case TH_FORM_COUNT:
        check_number(key, *(const int *)value);
        break;
    case TH_FORM_POINT:
        check_number(key, ((const th_point *)value)->x);
        check_number(key, ((const th_point *)value)->y);
        break;
    case TH_FORM_SIZE:
        check_number(key, ((const th_size *)value)->a);
        check_number(key, ((const th_size *)value)->b);
        break;
    case TH_FORM_COUNTS:
        check_number(key, ((const th_counts *)value)->a);
        check_number(key, ((const th_counts *)value)->b);
        break;
    case TH_FORM_COUNT_LENGTH:
        insist(((const th_count_length *)value)->count >= 1);
        check_number(key, ((const th_count_length *)value)->length);
        break;
    default:
        break;
    }
}

static bool is_taken(const section *at, const th_key *key) {
    return !at->cut || key->name == at->group->keys[0].name ||
           (key->taken_by & (1u << at->cut->operation));
}

static bool is_needed(const section *at, const th_key *key) {
    return at->whole && ((key->flags & TH_KEY_REQUIRED) || (key->initial && is_taken(at, key)) ||
                         (at->cut && (key->needed_by & (1u << at->cut->operation))));
}

static void check_section(const section *at, void *context) {
    (void)context;
    for (size_t i = 0; i < at->group->count; i++) {
        const th_key *key = &at->group->keys[i];
        bool given = is_given(at, key);
        insist(!given || is_taken(at, key));
        check_any(at, key);
        if (given || is_needed(at, key)) {
            check_present(at, key);
        }
        if (given || (at->whole && key->initial)) {
            check_bounds(at, key);
        }
    }
}

/* ---- across keys ----------------------------------------------------------------------------- */

static void check_milled(const th_job *job, const th_cut *cut) {
    const th_cutter *cutter = &cut->cutter->row;

    insist(cut->speed >= job->machine.speed_min && cut->speed <= job->machine.speed_max);
    insist(cut->feed > 0 && cut->feed <= job->machine.feed_max * (1 + 1e-6));
    insist(cut->chip_load > 0 && isfinite(cut->chip_load));
    insist(cut->last_feed > 0 && cut->last_feed <= job->machine.feed_max * (1 + 1e-6));
    insist(cut->depth > 0 && isfinite(cut->depth));
    if (cut->operation != TH_DRILLED) {
        insist(cut->radial > 0 && cut->radial <= cutter->diameter * (1 + 1e-6));
        insist(cut->axial > 0 && cut->axial <= cutter->flute_length * (1 + 1e-6));
    }
    for (size_t i = 0; i < cut->at.count; i++) {
        insist(cut->at.items[i].x >= -1e-3 && cut->at.items[i].x <= job->part.length + 1e-3);
        insist(cut->at.items[i].y >= -1e-3 && cut->at.items[i].y <= job->part.width + 1e-3);
    }
}

static void check_job(const th_job *job) {
    insist(job->cut_count > 0 && job->stack_height > 0 && isfinite(job->stack_height));
    insist(!job->defaults.failed && !job->cautions.failed);
    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        insist(cut->number >= 1 && (i == 0 || cut->number > cut[-1].number));
        insist((cut->operation == TH_PUSH) == !cut->cutter);
        if (cut->cutter) {
            check_milled(job, cut);
        }
    }
    visit_job(job, check_section, NULL);
}

/* ---- printing, and giving again -------------------------------------------------------------- */

static bool is_absent(const section *at, const th_key *key) {
    const void *value = field(key, at->row);

    switch (key->form) {
    case TH_FORM_QUANTITY:
    case TH_FORM_CHIP:
    case TH_FORM_POINT:
    case TH_FORM_SIZE: /* all of them begin with a double */
        return isnan(*(const double *)value);
    case TH_FORM_COUNTS:
    case TH_FORM_COUNT_LENGTH:
        return *(const int *)value == 0;
    default:
        return false;
    }
}

/* Text may lose blanks at its ends on the way; the rest prints the same or is not the same. */
static void print_section(const section *at, void *context) {
    th_text *text = context;

    for (size_t i = 0; i < at->group->count; i++) {
        const th_key *key = &at->group->keys[i];
        size_t before = text->size;
        if (key->form != TH_FORM_TEXT) {
            th_text_add(text, "%s.%s=", at->name, key->name);
            before = text->size;
            th_key_print(key, at->row, (th_units)at->job->head.units, text);
            th_text_put(text, "\n");
            insist(!is_given(at, key) || text->size > before + 1);
            insist(!is_absent(at, key) || text->size == before + 1);
        }
    }
}

typedef struct {
    const th_entry *entry;
    th_text text;  /* of the value, printed */
    double number; /* the first of a quantity, chip load, point or size, else NAN */
    bool per_rev;
    const th_key *key;
} place;

static void find_entry(const section *at, void *context) {
    place *found = context;

    for (size_t i = 0; i < at->group->count && strcmp(at->name, found->entry->section) == 0; i++) {
        const th_key *key = &at->group->keys[i];
        if (strcmp(key->name, found->entry->key) != 0) {
            continue;
        }
        found->key = key;
        found->number = (double)NAN;
        if (key->form == TH_FORM_QUANTITY || key->form == TH_FORM_CHIP ||
            key->form == TH_FORM_POINT || key->form == TH_FORM_SIZE) {
            found->number = *(const double *)field(key, at->row);
        }
        if (key->form == TH_FORM_CHIP) {
            found->per_rev = ((const th_reading *)field(key, at->row))->per_rev;
        }
        th_text_free(&found->text);
        th_key_print(key, at->row, (th_units)at->job->head.units, &found->text);
    }
}

static bool change(const th_job *job, const th_entry *entry, const char *value, th_job **changed,
                   th_error *err) {
    th_text setting = {0};
    const char *list[1];
    bool done;

    th_text_add(&setting, "%s.%s=%s", entry->section, entry->key, value);
    insist(!setting.failed);
    list[0] = setting.data;
    done = th_job_change(job, list, 1, changed, err);
    insist(done || err->code != TH_BAD_USAGE || setting.size > 900);
    th_text_free(&setting);
    return done;
}

/* The very text that stands in the file, given on the command line. */
static void repeat(const th_job *job, const th_entry *entry) {
    th_text before = {0}, after = {0};
    th_job *changed = NULL;
    th_error err = {0};

    if (change(job, entry, entry->value, &changed, &err)) {
        visit_job(job, print_section, &before);
        visit_job(changed, print_section, &after);
        insist(!before.failed && !after.failed && strcmp(before.data, after.data) == 0);
        th_text_free(&before);
        th_text_free(&after);
        th_job_free(changed);
    } else {
        insist(err.code == TH_BAD_USAGE); /* too long for a setting */
    }
}

/* To four digits, as inches are printed; a temperature to a digit of its unit. */
static bool is_near(const place *a, const place *b) {
    double slack = 6e-4 * fabs(a->number) + (a->key->kind == TH_TEMPERATURE ? 0.06 : 0);

    return a->per_rev == b->per_rev && isnan(a->number) == isnan(b->number) &&
           !(fabs(a->number - b->number) > slack);
}

/* The value as the program prints it: rounded, so it may now miss a limit by that much. */
static void reenter(const th_job *job, const th_entry *entry) {
    place before = {.entry = entry}, after = {.entry = entry};
    th_job *changed = NULL;
    th_error err = {0};

    visit_job(job, find_entry, &before);
    insist(before.key && !before.text.failed && before.text.data);
    if (before.key->form == TH_FORM_POINTS) {
        th_text_free(&before.text); /* only counted in print */
        return;
    }
    if (change(job, entry, before.text.data, &changed, &err)) {
        visit_job(changed, find_entry, &after);
        insist(is_near(&before, &after));
        th_job_free(changed);
    } else {
        insist(err.code == TH_BAD_RANGE || err.code == TH_CONTRADICTION ||
               err.code == TH_NOT_POSSIBLE || err.code == TH_BAD_USAGE);
    }
    th_text_free(&before.text);
    th_text_free(&after.text);
}

/* A new row makes the figures that followed the old one meaningless, so `id` is left alone. */
static void check_changes(const th_job *job, size_t pick) {
    const th_entry *entry = &job->entries[pick % job->entry_count];

    if (strcmp(entry->key, "id") != 0) {
        repeat(job, entry);
        reenter(job, entry);
    }
}

/* ---- the whole ------------------------------------------------------------------------------- */

static const th_tables *tables(void) {
    static th_tables *loaded;
    th_error err = {0};

    if (!loaded && !th_tables_load(NULL, 0, &loaded, &err)) {
        fprintf(stderr, "%s: %s\n", err.file, err.message);
        exit(3);
    }
    return loaded;
}

static void check_refusal(const th_error *err) {
    insist(err->code != TH_OK && err->message[0] != '\0' && strcmp(err->file, "fuzz.ini") == 0);
    insist(err->line >= 0);
    for (const char *p = err->message; *p; p++) {
        insist(((unsigned char)*p >= ' ' && *p != 127) || *p == '\t');
    }
}

/* Of the seeds every entry is given again, and none may be refused: what is refused teaches little
 * of what comes after the refusal. Of other inputs one entry, whichever the bytes add up to. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_ini ini = {{NULL}, NULL, 0};
    th_job *job = NULL;
    th_error err = {0};
    bool seeds = getenv("FUZZ_ALL_ACCEPTED") != NULL;
    size_t pick = size;

    for (size_t i = 0; i < size; i++) {
        pick = pick * 31 + data[i];
    }
    if (th_ini_scan((const char *)data, size, "fuzz.ini", TH_FROM_JOB, &ini, &err) &&
        th_job_build(ini.items, ini.count, tables(), &job, &err)) {
        th_ini_free(&ini); /* the job must stand on its own */
        check_job(job);
        for (size_t i = 0; i < (seeds ? job->entry_count : 1); i++) {
            check_changes(job, pick + i);
        }
        th_job_free(job);
    } else {
        check_refusal(&err);
        insist(!seeds);
    }
    th_ini_free(&ini);
    return 0;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t room, unsigned seed) {
    return seed % 2 ? LLVMFuzzerMutate(data, size, room)
                    : put_line(data, size, room, tables(), seed / 2);
}
