/* job_outlines.c - the drawings that a job names: the part, and where tape is. */
#include "tackhold/files.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The entry that gave a key its value: of the latest origin, and there the last one. */
static const th_entry *entry_of(const th_job *job, const char *section, const char *key) {
    const th_entry *found = NULL;

    for (size_t i = 0; i < job->entry_count; i++) {
        const th_entry *entry = &job->entries[i];
        if (strcmp(entry->section, section) == 0 && strcmp(entry->key, key) == 0 &&
            (!found || entry->origin >= found->origin)) {
            found = entry;
        }
    }
    return found;
}

static void size_text(const th_job *job, double length, double width, char text[100]) {
    char x[40], y[40];

    th_quantity_print(length, TH_LENGTH, (th_units)job->head.units, 5, x, sizeof x);
    th_quantity_print(width, TH_LENGTH, (th_units)job->head.units, 5, y, sizeof y);
    snprintf(text, 100, "%s x %s", x, y);
}

static bool scaled(double drawn, double stated, double scale) {
    return fabs(drawn - stated * scale) <= 0.005 * drawn;
}

/* Why a drawing may be of another size: numbers taken in another unit. */
static const char *size_hint(const th_outline *outline, const th_part *part) {
    static const struct {
        double scale;
        const char *hint;
    } hints[] = {
        {25.4 / 96, "; an SVG without units is read as pixels, 96 to the inch: give its width and "
                    "height in mm or in, with a viewBox"},
        {72.0 / 96,
         "; drawn at 72 pixels to the inch? give the SVG's width and height in mm or in"},
        {25.4 / 72, "; drawn in points? give the drawing's size in mm or in"},
        {1 / 25.4, "; drawn in inches and read as mm?"},
        {25.4, "; drawn in mm and read as inches?"},
    };

    for (size_t i = 0; i < sizeof hints / sizeof hints[0]; i++) {
        if (scaled(outline->length, part->length, hints[i].scale) &&
            scaled(outline->width, part->width, hints[i].scale)) {
            return hints[i].hint;
        }
    }
    return "";
}

/* Length round the outside (mm). */
static double edge_length(const th_outline *outline) {
    double sum = 0;

    for (size_t r = 0; r < outline->ring_count; r++) {
        const th_ring *ring = &outline->rings[r];
        for (size_t i = 0; i < ring->count && !ring->hole; i++) {
            th_point a = ring->points[i], b = ring->points[(i + 1) % ring->count];
            sum += hypot(b.x - a.x, b.y - a.y);
        }
    }
    return sum;
}

static bool check_tabs(const th_job *job, const th_outline *outline, th_error *err) {
    double edge = edge_length(outline);

    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        const th_entry *entry = entry_of(job, cut->section, "tabs");
        th_text text = {0};
        bool fits = th_tabs_fit(job, cut, edge, &text);
        if (!fits) {
            th_fail_at(err, text.failed ? TH_NO_MEMORY : TH_BAD_RANGE, entry ? entry->file : NULL,
                       entry ? entry->line : 0, "[%s] tabs = %.60s: %s", cut->section,
                       entry ? entry->value : "", text.data ? text.data : "out of memory");
        }
        th_text_free(&text);
        if (!fits) {
            return false;
        }
    }
    return true;
}

/* A drawing of the part must be of one piece and of the size that the job states. */
static bool check_part(const th_job *job, const th_outline *outline, th_error *err) {
    const th_part *part = &job->part;
    const th_entry *entry = entry_of(job, "part", "outline");
    const char *file = entry ? entry->file : NULL;
    int line = entry ? entry->line : 0;
    char drawn[100], stated[100];

    if (outline->outer_count > 1) {
        return th_fail_at(
            err, TH_CONTRADICTION, file, line,
            "[part] outline = %.100s: draws %zu separate pieces; a part is one piece, "
            "several alike are copies",
            part->outline, outline->outer_count);
    }
    if (fabs(outline->length - part->length) > TH_SHAPE_MATCH + 1e-9 ||
        fabs(outline->width - part->width) > TH_SHAPE_MATCH + 1e-9) {
        size_text(job, outline->length, outline->width, drawn);
        size_text(job, part->length, part->width, stated);
        return th_fail_at(err, TH_CONTRADICTION, file, line,
                          "[part] outline = %.100s: the drawing is %s, length and width say %s%s",
                          part->outline, drawn, stated, size_hint(outline, part));
    }
    return check_tabs(job, outline, err);
}

static void move(th_outline *outline, th_point by) {
    for (size_t r = 0; r < outline->ring_count; r++) {
        for (size_t i = 0; i < outline->rings[r].count; i++) {
            outline->rings[r].points[i].x += by.x;
            outline->rings[r].points[i].y += by.y;
        }
    }
}

/* What is wrong in the drawing of the tape, in words of the tape. */
static bool name_tape(th_error *err) {
    static const char *const of_part =
        "two outlines (of the part or of an opening) cross, touch or overlap";
    static const char *const of_tape = "two strips overlap or touch, draw them as one shape:";
    char told[sizeof err->message];
    bool strips = strncmp(err->message, of_part, strlen(of_part)) == 0;

    snprintf(told, sizeof told, "%s", err->message + (strips ? strlen(of_part) : 0));
    snprintf(err->message, sizeof err->message, "the drawing of the tape: %s%.650s",
             strips ? of_tape : "", told);
    return false;
}

bool th_job_outlines_take(const th_job *job, const th_drawings *drawings, th_outline *part,
                          th_outline *taped, th_error *err) {
    *part = *taped = (th_outline){0};
    if (job->part.outline &&
        (!drawings->read(drawings->context, entry_of(job, "part", "outline"), part, err) ||
         !check_part(job, part, err))) {
        return false;
    }
    if (job->hold.taped) {
        const th_entry *entry = entry_of(job, "hold", "taped");
        if (!drawings->read(drawings->context, entry, taped, err)) {
            return err->code == TH_BAD_FILE ? false : name_tape(err);
        }
        move(taped, job->hold.taped_at);
    }
    return true;
}
