/* outline_dxf.c - the outline that an ASCII DXF draws.
 *
 * The first pass notes units, hidden layers and where blocks and entities begin; the second draws
 * the entities, going into a block wherever one is inserted. */
#include "dxf_pairs.h"
#include "scan.h"
#include "tackhold/files.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum {
    DEEPEST = 16,                 /* blocks inserted in blocks */
    FREE_BYTES = 4 * 1024 * 1024, /* read again for insertions, and */
    MOST_TIMES = 8,               /* so many times the file besides */
    SHOWN = 32                    /* letters of a name in a message */
};

typedef struct {
    dxf_word name;
    th_point base;
    dxf_cursor start; /* of its entities */
} block;

/* What the groups of an entity say; what is absent keeps its default. */
typedef struct {
    dxf_word type, name, layer;
    int line;
    double x, y, x2, y2; /* 10, 20, 11, 21 */
    double r;            /* 40 */
    double v41, v42, v44, v45, v50, v51;
    double nx, ny, nz; /* direction the plane of the entity faces: 210, 220, 230 */
    double flags, v71; /* 70, 71 */
    bool unseen;       /* invisible or in paper space */
} entity;

typedef struct {
    th_point at;
    double bulge;
} corner;

/* A growing array. */
typedef struct {
    void *items;
    size_t count, capacity;
} list;

typedef struct {
    th_path path;
    list blocks;  /* block, sorted by name */
    list hidden;  /* dxf_word: layers, sorted */
    list corners; /* corner: of the polyline being read */
    dxf_cursor entities;
    bool has_entities, ended;
    double mm_per_unit;
    size_t bytes, most_bytes; /* read so far, again and again for insertions, and the limit */
    int depth;
} reader;

static void refuse(reader *r, int line, th_status code, const char *what) {
    r->path.line = line;
    th_path_fail(&r->path, code, "%s", what);
}

static void *add(reader *r, list *l, size_t size) {
    if (l->count == l->capacity) {
        size_t capacity = l->capacity ? 2 * l->capacity : 32;
        void *items = capacity <= SIZE_MAX / size ? realloc(l->items, capacity * size) : NULL;
        if (!items) {
            th_path_fail(&r->path, TH_NO_MEMORY, "%s", th_status_text(TH_NO_MEMORY));
            return NULL;
        }
        l->items = items;
        l->capacity = capacity;
    }
    return (char *)l->items + size * l->count++;
}

/* A name for a message: nothing unprintable, not too long. */
static const char *shown(dxf_word word, char room[SHOWN + 1]) {
    size_t n = word.size < SHOWN ? word.size : SHOWN;

    for (size_t i = 0; i < n; i++) {
        room[i] = word.text[i] >= ' ' && word.text[i] <= '~' ? word.text[i] : '?';
    }
    room[n] = '\0';
    return room;
}

/* The next pair. False at a failure; the end of the file is one too, since EOF must come first. */
static bool next(reader *r, dxf_cursor *c, dxf_pair *pair) {
    const char *start = c->p;
    dxf_found found;

    if (r->path.failed) {
        return false;
    }
    if (r->bytes > r->most_bytes) {
        refuse(r, c->line, TH_BAD_RANGE, "blocks are inserted too often to be followed");
        return false;
    }
    found = th_dxf_next(c, pair);
    r->bytes += (size_t)(c->p - start);
    switch (found) {
    case DXF_PAIR:
        return true;
    case DXF_BAD_CODE:
        refuse(r, c->line, TH_BAD_SYNTAX, "a DXF group code, a whole number, was expected here");
        return false;
    default:
        refuse(r, c->line, TH_BAD_SYNTAX, "the DXF is cut short: it ends before its EOF");
        return false;
    }
}

static double number(reader *r, const dxf_pair *pair) {
    double value = 0;

    if (!th_dxf_number(pair->value, &value)) {
        char room[SHOWN + 1];
        r->path.line = pair->line + 1;
        th_path_fail(&r->path, TH_BAD_VALUE, "\"%s\" is not a number (group code %d)",
                     shown(pair->value, room), pair->code);
    }
    return value;
}

/* ---- first pass ------------------------------------------------------------------------------ */

static void set_units(reader *r, const dxf_pair *pair) {
    static const double mm[] = {1,      25.4,  304.8, 1609344, 1,    10,  1000, 1e6, 25.4e-6,
                                0.0254, 914.4, 1e-7,  1e-6,    1e-3, 100, 1e4,  1e5};
    const size_t units = sizeof mm / sizeof *mm;
    double unit = number(r, pair);

    if (!(unit >= 0 && unit < (double)units) || unit != floor(unit)) {
        refuse(r, pair->line + 1, TH_BAD_VALUE,
               "$INSUNITS names a unit that no part is drawn in; use 4 (mm) or 1 (inch)");
        return;
    }
    r->mm_per_unit = mm[(int)unit];
}

static bool ends_section(const dxf_pair *pair) {
    return pair->code == 0 && th_dxf_is(pair->value, "ENDSEC");
}

static void read_header(reader *r, dxf_cursor *c) {
    dxf_pair pair;
    bool units = false;

    while (next(r, c, &pair) && !ends_section(&pair)) {
        if (pair.code == 9) {
            units = th_dxf_is(pair.value, "$INSUNITS");
        } else if (units && pair.code == 70) {
            set_units(r, &pair);
        }
    }
}

static void note_layer(reader *r, dxf_word name, bool hidden) {
    dxf_word *word = hidden ? add(r, &r->hidden, sizeof *word) : NULL;

    if (word) {
        *word = name;
    }
}

/* A layer is hidden when it is frozen (flag 1) or off (negative colour). */
static void read_tables(reader *r, dxf_cursor *c) {
    dxf_pair pair;
    dxf_word name = {0};
    bool layer = false, hidden = false;

    while (next(r, c, &pair) && !ends_section(&pair)) {
        if (pair.code == 0) {
            note_layer(r, name, layer && hidden);
            layer = th_dxf_is(pair.value, "LAYER");
            hidden = false;
        } else if (pair.code == 2) {
            name = pair.value;
        } else if (layer && pair.code == 70) {
            hidden = hidden || fmod(fabs(number(r, &pair)), 2) >= 1;
        } else if (layer && pair.code == 62) {
            hidden = hidden || number(r, &pair) < 0;
        }
    }
    note_layer(r, name, layer && hidden);
}

static void read_block(reader *r, dxf_cursor *c) {
    block *b = add(r, &r->blocks, sizeof *b);
    dxf_cursor before = *c;
    dxf_pair pair;

    if (!b) {
        return;
    }
    *b = (block){.name = {"", 0}};
    while (next(r, c, &pair) && pair.code != 0) {
        if (pair.code == 2) {
            b->name = pair.value;
        } else if (pair.code == 10) {
            b->base.x = number(r, &pair);
        } else if (pair.code == 20) {
            b->base.y = number(r, &pair);
        }
        before = *c;
    }
    *c = b->start = before;
}

static void read_blocks(reader *r, dxf_cursor *c) {
    dxf_pair pair;

    while (next(r, c, &pair) && !ends_section(&pair)) {
        if (pair.code == 0 && th_dxf_is(pair.value, "BLOCK")) {
            read_block(r, c);
        }
    }
}

static void pass_over(reader *r, dxf_cursor *c) {
    dxf_pair pair;

    while (next(r, c, &pair) && !ends_section(&pair)) {
    }
}

static void read_section(reader *r, dxf_cursor *c) {
    dxf_pair pair;

    if (!next(r, c, &pair)) {
        return;
    }
    if (pair.code != 2) {
        refuse(r, pair.line, TH_BAD_SYNTAX, "a section of a DXF must begin with its name");
    } else if (th_dxf_is(pair.value, "HEADER")) {
        read_header(r, c);
    } else if (th_dxf_is(pair.value, "TABLES")) {
        read_tables(r, c);
    } else if (th_dxf_is(pair.value, "BLOCKS")) {
        read_blocks(r, c);
    } else {
        if (th_dxf_is(pair.value, "ENTITIES")) {
            r->entities = *c;
            r->has_entities = true;
        }
        pass_over(r, c);
    }
}

static int compare_words(const void *a, const void *b) {
    const dxf_word *v = a, *w = b;
    size_t n = v->size < w->size ? v->size : w->size;

    for (size_t i = 0; i < n; i++) {
        char c = th_scan_lower(v->text[i]), d = th_scan_lower(w->text[i]);
        if (c != d) {
            return c < d ? -1 : 1;
        }
    }
    return v->size < w->size ? -1 : v->size > w->size;
}

/* A block begins with its name, so it is compared as a word. */
static void sort(list *l, size_t size) {
    if (l->count > 0) {
        qsort(l->items, l->count, size, compare_words);
    }
}

static const void *find(const list *l, size_t size, dxf_word name) {
    return l->count > 0 ? bsearch(&name, l->items, l->count, size, compare_words) : NULL;
}

static void read_sections(reader *r, dxf_cursor *c) {
    dxf_pair pair;

    while (!r->ended && next(r, c, &pair)) {
        if (pair.code == 0 && th_dxf_is(pair.value, "EOF")) {
            r->ended = true;
        } else if (pair.code == 0 && th_dxf_is(pair.value, "SECTION")) {
            read_section(r, c);
        } else {
            refuse(r, pair.line, TH_BAD_SYNTAX,
                   "a section of a DXF (0, SECTION) was expected here");
        }
    }
    sort(&r->blocks, sizeof(block));
    sort(&r->hidden, sizeof(dxf_word));
}

/* ---- entities -------------------------------------------------------------------------------- */

static double *number_of(entity *e, int code) {
    switch (code) {
    case 10:
        return &e->x;
    case 20:
        return &e->y;
    case 11:
        return &e->x2;
    case 21:
        return &e->y2;
    case 40:
        return &e->r;
    case 41:
        return &e->v41;
    case 42:
        return &e->v42;
    case 44:
        return &e->v44;
    case 45:
        return &e->v45;
    case 50:
        return &e->v50;
    case 51:
        return &e->v51;
    case 70:
        return &e->flags;
    case 71:
        return &e->v71;
    case 210:
        return &e->nx;
    case 220:
        return &e->ny;
    case 230:
        return &e->nz;
    default:
        return NULL;
    }
}

static bool has_flag(double flags, int flag) {
    return flags >= 0 && flags < 1e6 && ((int)flags & flag) != 0;
}

static bool is_type(const entity *e, const char *type) {
    return th_dxf_is(e->type, type);
}

/* The corners of a light polyline stand in the entity itself. */
static void take_corner(reader *r, const dxf_pair *pair, double value) {
    corner *c = r->corners.items;
    corner *last = r->corners.count > 0 ? &c[r->corners.count - 1] : NULL;

    if (pair->code == 10) {
        last = add(r, &r->corners, sizeof *last);
        if (last) {
            *last = (corner){{value, 0}, 0};
        }
    } else if (last && pair->code == 20) {
        last->at.y = value;
    } else if (last && pair->code == 42) {
        last->bulge = value;
    }
}

/* An entity whose type has just been read: all its groups, up to the next code 0. */
static bool read_entity(reader *r, dxf_cursor *c, const dxf_pair *head, entity *e) {
    dxf_cursor before = *c;
    dxf_pair pair;
    bool light;

    *e = (entity){.type = head->value, .line = head->line, .v41 = NAN, .v42 = NAN, .nz = 1};
    light = is_type(e, "LWPOLYLINE");
    while (next(r, c, &pair) && pair.code != 0) {
        double *field = number_of(e, pair.code);
        if (field) {
            *field = number(r, &pair);
        }
        if (light && field) {
            take_corner(r, &pair, *field);
        } else if (pair.code == 2) {
            e->name = pair.value;
        } else if (pair.code == 8) {
            e->layer = pair.value;
        } else if (pair.code == 60 || pair.code == 67) {
            e->unseen = e->unseen || number(r, &pair) != 0;
        }
        before = *c;
    }
    *c = before;
    return !r->path.failed;
}

/* Entities may be drawn in a plane that faces down: x then runs the other way. */
static bool face(reader *r, const entity *e, th_affine *affine) {
    bool upright = fabs(e->nx) < 1e-6 && fabs(e->ny) < 1e-6 && e->nz != 0;

    if (!upright) {
        char room[SHOWN + 1];
        r->path.line = e->line;
        th_path_fail(&r->path, TH_BAD_VALUE, "%s lies in a tilted plane; draw the part flat",
                     shown(e->type, room));
        return false;
    }
    if (e->nz < 0) {
        *affine = th_affine_of(*affine, (th_affine){-1, 0, 0, 1, 0, 0});
    }
    return true;
}

static void draw_arc(reader *r, const entity *e, bool whole) {
    double turn = fmod(e->v51 - e->v50, 360);

    if (!(e->r > 0)) {
        refuse(r, e->line, TH_BAD_VALUE, "a circle or arc has a radius that is not above 0");
    } else if (whole) {
        th_path_ellipse(&r->path, (th_point){e->x, e->y}, e->r, e->r);
    } else {
        turn = turn <= 0 ? turn + 360 : turn;
        th_path_arc(&r->path, &(th_circle_arc){{e->x, e->y}, e->r, e->r, 0, e->v50, turn});
    }
}

static void draw_corners(reader *r, bool closed) {
    const corner *c = r->corners.items;
    size_t count = r->corners.count;

    if (count < 2) {
        return;
    }
    th_path_move(&r->path, c[0].at);
    for (size_t i = 1; i < count; i++) {
        th_path_bulge(&r->path, c[i].at, c[i - 1].bulge);
    }
    if (closed) {
        th_path_bulge(&r->path, c[0].at, c[count - 1].bulge);
        th_path_close(&r->path);
    }
}

/* The corners of an old polyline follow as entities of their own; those of a spline's frame (flag
 * 16) are no part of the line. */
static void read_vertices(reader *r, dxf_cursor *c) {
    dxf_pair pair;

    while (next(r, c, &pair)) {
        entity e;
        if (pair.code != 0) {
            continue;
        }
        if (!th_dxf_is(pair.value, "VERTEX")) {
            if (!th_dxf_is(pair.value, "SEQEND")) {
                refuse(r, pair.line, TH_BAD_SYNTAX, "POLYLINE has no SEQEND");
            }
            return;
        }
        if (read_entity(r, c, &pair, &e) && !has_flag(e.flags, 16)) {
            corner *added = add(r, &r->corners, sizeof *added);
            if (added) {
                *added = (corner){{e.x, e.y}, isnan(e.v42) ? 0 : e.v42};
            }
        }
    }
}

static void draw_entities(reader *r, dxf_cursor c, th_affine affine);

static th_affine placed(const entity *e, const block *b, double dx, double dy) {
    double angle = e->v50 * (TH_PI / 180);
    double co = cos(angle), si = sin(angle);
    double sx = isnan(e->v41) ? 1 : e->v41, sy = isnan(e->v42) ? 1 : e->v42;

    if (fmod(e->v50, 90) == 0) {
        co = round(co);
        si = round(si);
    }
    return th_affine_of(
        (th_affine){co, si, -si, co, e->x + co * dx - si * dy, e->y + si * dx + co * dy},
        (th_affine){sx, 0, 0, sy, -sx * b->base.x, -sy * b->base.y});
}

static void draw_insert(reader *r, const entity *e, th_affine affine) {
    const block *b = find(&r->blocks, sizeof *b, e->name);
    double columns = fmax(1, e->flags), rows = fmax(1, e->v71);
    char room[SHOWN + 1];

    if (!b) {
        r->path.line = e->line;
        th_path_fail(&r->path, TH_BAD_VALUE, "INSERT of the block \"%s\", which is not there",
                     shown(e->name, room));
        return;
    }
    if (r->depth >= DEEPEST) {
        refuse(r, e->line, TH_BAD_RANGE, "blocks are inserted in one another too deeply");
        return;
    }
    r->depth++;
    for (double j = 0; j < rows && !r->path.failed; j++) {
        for (double i = 0; i < columns && !r->path.failed; i++) {
            draw_entities(r, b->start, th_affine_of(affine, placed(e, b, i * e->v44, j * e->v45)));
        }
    }
    r->depth--;
}

static bool is_annotation(const entity *e) {
    static const char *const names[] = {
        "TEXT",          "MTEXT",     "ATTDEF", "ATTRIB",      "SEQEND", "POINT",   "DIMENSION",
        "ARC_DIMENSION", "TOLERANCE", "LEADER", "MULTILEADER", "HATCH",  "VIEWPORT"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (is_type(e, names[i])) {
            return true;
        }
    }
    return false;
}

static void refuse_type(reader *r, const entity *e) {
    char room[SHOWN + 1];
    bool curve = is_type(e, "SPLINE") || is_type(e, "ELLIPSE");

    r->path.line = e->line;
    th_path_fail(&r->path, TH_BAD_VALUE, "%s is not drawn here; %s", shown(e->type, room),
                 curve ? "turn it into a polyline or arcs"
                       : "use LINE, ARC, CIRCLE, LWPOLYLINE or POLYLINE");
}

static void draw_polyline(reader *r, const entity *e, dxf_cursor *c, bool seen) {
    if (is_type(e, "POLYLINE")) {
        read_vertices(r, c);
        if (has_flag(e->flags, 16 | 64)) {
            refuse(r, e->line, TH_BAD_VALUE, "POLYLINE is a mesh; draw the outline alone");
        }
    }
    if (seen) {
        th_path_shape(&r->path, TH_EVENODD, e->line);
        draw_corners(r, has_flag(e->flags, 1));
    }
}

static void draw_entity(reader *r, const entity *e, dxf_cursor *c, th_affine affine) {
    bool seen = !e->unseen && !find(&r->hidden, sizeof(dxf_word), e->layer);
    bool poly = is_type(e, "LWPOLYLINE") || is_type(e, "POLYLINE");

    if (is_annotation(e) || (!seen && !poly)) {
        return;
    }
    if (is_type(e, "LINE")) {
        th_path_shape(&r->path, TH_EVENODD, e->line);
        r->path.affine = affine;
        th_path_move(&r->path, (th_point){e->x, e->y});
        th_path_line(&r->path, (th_point){e->x2, e->y2});
        return;
    }
    if (!poly && !is_type(e, "ARC") && !is_type(e, "CIRCLE") && !is_type(e, "INSERT")) {
        refuse_type(r, e);
        return;
    }
    if (!face(r, e, &affine)) {
        return;
    }
    r->path.affine = affine;
    if (poly) {
        draw_polyline(r, e, c, seen);
    } else if (is_type(e, "INSERT")) {
        draw_insert(r, e, affine);
    } else {
        th_path_shape(&r->path, TH_EVENODD, e->line);
        draw_arc(r, e, is_type(e, "CIRCLE"));
    }
}

/* All entities from the cursor to the end of their section or block. */
static void draw_entities(reader *r, dxf_cursor c, th_affine affine) {
    dxf_pair pair;

    while (next(r, &c, &pair)) {
        entity e;
        if (pair.code != 0) {
            refuse(r, pair.line, TH_BAD_SYNTAX, "an entity (group code 0) was expected here");
            return;
        }
        if (th_dxf_is(pair.value, "ENDSEC") || th_dxf_is(pair.value, "ENDBLK")) {
            return;
        }
        r->corners.count = 0;
        if (read_entity(r, &c, &pair, &e)) {
            draw_entity(r, &e, &c, affine);
        }
    }
}

static void draw_all(reader *r) {
    th_affine scale = th_affine_same();

    if (!r->has_entities) {
        th_path_fail(&r->path, TH_MISSING, "the DXF has no section ENTITIES");
        return;
    }
    scale.a = scale.d = r->mm_per_unit;
    draw_entities(r, r->entities, scale);
}

bool th_outline_dxf(const char *text, size_t size, const char *name, th_outline *outline,
                    th_error *err) {
    reader r = {.path = th_path_new(0), .mm_per_unit = 1};
    dxf_cursor start = {text, text + size, 1};
    bool done;

    *outline = (th_outline){0};
    if (size > TH_OUTLINE_SIZE_MAX) {
        return th_fail_at(err, TH_BAD_FILE, name, 0, "the file is larger than %d MiB",
                          TH_OUTLINE_SIZE_MAX / (1024 * 1024));
    }
    if (memchr(text, '\0', size)) {
        return th_fail_at(err, TH_BAD_SYNTAX, name, 0,
                          "this is a binary DXF or no DXF at all; save it as ASCII DXF");
    }
    start.p += th_scan_mark(text, size);
    r.most_bytes = FREE_BYTES + MOST_TIMES * size;
    read_sections(&r, &start);
    if (!r.path.failed) {
        draw_all(&r);
    }
    done = th_path_join(&r.path, TH_OUTLINE_JOINT, err) && th_path_finish(&r.path, outline, err);
    if (!done) {
        th_fail_place(err, name, 0);
    }
    th_path_free(&r.path);
    free(r.blocks.items);
    free(r.hidden.items);
    free(r.corners.items);
    return done;
}
