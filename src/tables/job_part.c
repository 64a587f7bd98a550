/* job_part.c - the part: its shape, the openings in it, its sheet and its copies. */
#include "job.h"

#include <math.h>

enum { COPIES_MAX = 10000 };

/* ---- shape ----------------------------------------------------------------------------------- */

static bool check_outline_alone(th_builder *builder) {
    static const char *const keys[] = {"shape", "corner_radius", "points"};

    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        if (th_builder_given(builder, "part", keys[i])) {
            return th_builder_fail(builder, "part", keys[i], TH_CONTRADICTION,
                                   "the file given by outline draws the part; leave %s out",
                                   keys[i]);
        }
    }
    return true;
}

static bool check_rectangle(th_builder *builder) {
    th_part *part = &builder->job->part;
    double most = fmin(part->length, part->width) / 2;

    if (isnan(part->corner_radius)) {
        part->corner_radius = 0;
    }
    if (part->corner_radius > most * (1 + 1e-9)) {
        return th_builder_fail(builder, "part", "corner_radius", TH_CONTRADICTION,
                               "may be half the shorter side at most, %s",
                               th_builder_length(builder, most).text);
    }
    part->corner_radius = fmin(part->corner_radius, most);
    return true;
}

static bool check_disc(th_builder *builder) {
    const th_part *part = &builder->job->part;

    return fabs(part->length - part->width) <= TH_SHAPE_MATCH + 1e-9 ||
           th_builder_fail(builder, "part", "shape", TH_CONTRADICTION,
                           "a disc is as long as it is wide, not %s x %s; give its diameter as "
                           "length and as width",
                           th_builder_length(builder, part->length).text,
                           th_builder_length(builder, part->width).text);
}

static double side_of(th_point a, th_point b, th_point c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/* Whether two edges cross between their ends; the place of it goes into `at`. */
static bool edges_cross(th_point a, th_point b, th_point c, th_point d, th_point *at) {
    double ca = side_of(c, d, a), cb = side_of(c, d, b);
    double ac = side_of(a, b, c), ad = side_of(a, b, d);
    double share = ca / (ca - cb);

    if (!(ca * cb < 0) || !(ac * ad < 0)) {
        return false;
    }
    *at = (th_point){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
    return true;
}

/* What only touches itself is left to whoever works out the region. */
static bool check_crossing(th_builder *builder) {
    const th_points *points = &builder->job->part.points;
    size_t n = points->count;
    th_point at;

    for (size_t i = 0; i < n; i++) {
        for (size_t k = i + 2; k < n; k++) {
            if (edges_cross(points->items[i], points->items[i + 1], points->items[k],
                            points->items[(k + 1) % n], &at)) {
                return th_builder_fail(builder, "part", "points", TH_CONTRADICTION,
                                       "the edges from corner %zu and from corner %zu cross at "
                                       "%s, %s; give the corners in order round the part",
                                       i + 1, k + 1, th_builder_length(builder, at.x).text,
                                       th_builder_length(builder, at.y).text);
            }
        }
    }
    return true;
}

static bool check_polygon(th_builder *builder) {
    const th_part *part = &builder->job->part;
    const th_points *points = &part->points;
    double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY;

    if (!th_builder_given(builder, "part", "points")) {
        return th_builder_fail(builder, "part", "shape", TH_MISSING,
                               "a polygon needs its corners, e.g. points = 0,0 %s,0 0,%s",
                               th_builder_length(builder, part->length).text,
                               th_builder_length(builder, part->width).text);
    }
    if (points->count < 3) {
        return th_builder_fail(builder, "part", "points", TH_BAD_RANGE,
                               "a polygon has at least 3 corners");
    }
    for (size_t i = 0; i < points->count; i++) {
        x0 = fmin(x0, points->items[i].x);
        y0 = fmin(y0, points->items[i].y);
        x1 = fmax(x1, points->items[i].x);
        y1 = fmax(y1, points->items[i].y);
    }
    if (fmax(fabs(x0), fabs(y0)) > TH_SHAPE_MATCH + 1e-9 ||
        fmax(fabs(x1 - part->length), fabs(y1 - part->width)) > TH_SHAPE_MATCH + 1e-9) {
        return th_builder_fail(
            builder, "part", "points", TH_CONTRADICTION,
            "the corners span from %s, %s to %s, %s; length and width say 0, 0 to %s, %s",
            th_builder_length(builder, x0).text, th_builder_length(builder, y0).text,
            th_builder_length(builder, x1).text, th_builder_length(builder, y1).text,
            th_builder_length(builder, part->length).text,
            th_builder_length(builder, part->width).text);
    }
    return check_crossing(builder);
}

/* A key that only another shape has. */
static bool refuse_of_other(th_builder *builder, const char *key, int shape, const char *word) {
    return builder->job->part.shape == shape || !th_builder_given(builder, "part", key) ||
           th_builder_fail(builder, "part", key, TH_CONTRADICTION,
                           "only shape = %s has %s; leave it out", word, key);
}

static bool check_shape(th_builder *builder) {
    th_part *part = &builder->job->part;

    if (part->outline && !check_outline_alone(builder)) {
        return false;
    }
    part->shape = part->shape < 0 ? TH_RECTANGLE : part->shape;
    if (!refuse_of_other(builder, "corner_radius", TH_RECTANGLE, "rectangle") ||
        !refuse_of_other(builder, "points", TH_POLYGON, "polygon")) {
        return false;
    }
    if (part->shape == TH_RECTANGLE) {
        return check_rectangle(builder);
    }
    part->corner_radius = 0;
    return part->shape == TH_ROUND ? check_disc(builder) : check_polygon(builder);
}

static bool bow_caution(th_builder *builder) {
    const th_part *part = &builder->job->part;
    bool sheet = !isnan(part->sheet_length) && !isnan(part->sheet_width);
    double longer =
        sheet ? fmax(part->sheet_length, part->sheet_width) : fmax(part->length, part->width);

    return isnan(part->bow) || part->bow <= 0.01 * longer ||
           TH_CAUTION(
               builder, "the stock is bent by %s, more than 1 %% of its %s: straighten it first",
               th_builder_length(builder, part->bow).text, th_builder_length(builder, longer).text);
}

bool th_part_complete(th_builder *builder) {
    th_part *part = &builder->job->part;

    part->stock = th_builder_row(builder, "part", "stock", TH_STOCKS, part->stock_id);
    if (!part->stock || !check_shape(builder)) {
        return false;
    }
    if (!TH_CAUTION(builder, "%s: %s", part->stock->head.name, part->stock->caution)) {
        return false;
    }
    if (part->stock->adhesion < 1 &&
        !TH_CAUTION(builder, "tape holds %s on %s than on metal: %g of that is counted",
                    part->stock->adhesion < 0.5 ? "far worse" : "less well",
                    part->stock->head.name, part->stock->adhesion)) {
        return false;
    }
    return bow_caution(builder);
}

/* ---- openings -------------------------------------------------------------------------------- */

static bool check_slot_size(th_builder *builder, th_part_opening *opening) {
    bool turned = !isnan(opening->angle);

    opening->angle = turned ? opening->angle : 0;
    if (opening->size.single) {
        return !turned ||
               th_builder_fail(builder, opening->section, "angle", TH_CONTRADICTION,
                               "a round hole has no angle; a slot is e.g. size = 12 x 4");
    }
    if (opening->size.a < opening->size.b) {
        return th_builder_fail(builder, opening->section, "size", TH_CONTRADICTION,
                               "a slot is at least as long as it is wide: size = length x width, "
                               "and angle = 90 deg to stand it up");
    }
    return turned || TH_DEFAULT(builder, "%s.angle = 0 deg", opening->section);
}

/* From the centre of a slot to that of its round end; 0 for a hole. */
static th_point arm_of(const th_part_opening *opening) {
    double reach = (opening->size.a - opening->size.b) / 2, angle = opening->angle * TH_PI / 180;
    th_point arm = {reach * cos(angle), reach * sin(angle)};

    return arm;
}

static double from_segment(th_point p, th_point middle, th_point arm) {
    double square = arm.x * arm.x + arm.y * arm.y;
    double along = (p.x - middle.x) * arm.x + (p.y - middle.y) * arm.y;
    double share = square > 0 ? fmin(fmax(along / square, -1), 1) : 0;

    return hypot(p.x - middle.x - share * arm.x, p.y - middle.y - share * arm.y);
}

/* Whether the middle lines of two slots cross; those of holes are points and never do. */
static bool lines_cross(th_point a, th_point arm, th_point b, th_point other) {
    double dx = b.x - a.x, dy = b.y - a.y;
    double turn = arm.x * other.y - arm.y * other.x;

    return fabs(turn) > 1e-12 && fabs((dx * other.y - dy * other.x) / turn) <= 1 &&
           fabs((dx * arm.y - dy * arm.x) / turn) <= 1;
}

static double apart(th_point a, th_point arm, th_point b, th_point other) {
    double least = INFINITY;

    for (int sign = -1; sign <= 1; sign += 2) {
        th_point end = {a.x + sign * arm.x, a.y + sign * arm.y};
        th_point far = {b.x + sign * other.x, b.y + sign * other.y};
        least = fmin(least, fmin(from_segment(end, b, other), from_segment(far, a, arm)));
    }
    return lines_cross(a, arm, b, other) ? 0 : least;
}

/* Where two openings run into each other the drawing would say so, but not in the job's words. */
static bool clear_of(th_builder *builder, const th_part_opening *opening,
                     const th_part_opening *before) {
    th_point arm = arm_of(opening), other = arm_of(before);
    double least = (opening->size.b + before->size.b) / 2;

    for (size_t i = 0; i < opening->at.count; i++) {
        size_t last = before == opening ? i : before->at.count;
        for (size_t k = 0; k < last; k++) {
            th_point at = opening->at.items[i], there = before->at.items[k];
            if (apart(at, arm, there, other) <= least + 1e-9) {
                return th_builder_fail(
                    builder, opening->section, "at", TH_CONTRADICTION,
                    "the opening at %s, %s runs into that of [%s] at %s, %s: keep them apart, or "
                    "write one opening for both",
                    th_builder_length(builder, at.x).text, th_builder_length(builder, at.y).text,
                    before->section, th_builder_length(builder, there.x).text,
                    th_builder_length(builder, there.y).text);
            }
        }
    }
    return true;
}

/* So many openings are left to the check of the whole shape. */
enum { OPENINGS_LOOKED_AT = 2000 };

/* `opening` is the last one so far. */
static bool clear_of_all(th_builder *builder, const th_part_opening *opening) {
    const th_part_opening *before = builder->job->openings;
    bool fine = opening->at.count >= OPENINGS_LOOKED_AT || clear_of(builder, opening, opening);

    for (; fine && opening->at.count < OPENINGS_LOOKED_AT && before != opening; before++) {
        fine = before->at.count >= OPENINGS_LOOKED_AT || clear_of(builder, opening, before);
    }
    return fine;
}

bool th_opening_complete(th_builder *builder, th_part_opening *opening) {
    const th_laying laying = {opening->section, &opening->at, &opening->grid, &opening->pitch,
                              NULL};
    double radius = opening->size.b / 2;
    double reach = opening->size.a / 2 - radius; /* from the centre to that of a round end */
    double angle;

    if (builder->job->part.outline) {
        return th_builder_fail(builder, opening->section, "at", TH_CONTRADICTION,
                               "the file given by outline in [part] draws the openings too; leave "
                               "[%s] out",
                               opening->section);
    }
    if (!check_slot_size(builder, opening) || !th_places_lay(builder, &laying)) {
        return false;
    }
    angle = opening->angle * (TH_PI / 180);
    return th_places_check(builder, opening->section, &opening->at,
                           radius + reach * fabs(cos(angle)), radius + reach * fabs(sin(angle))) &&
           clear_of_all(builder, opening);
}

/* ---- copies ---------------------------------------------------------------------------------- */

/* What a cutter takes between two copies. */
static double widest_kerf(const th_job *job) {
    double widest = 0;

    for (size_t i = 0; i < job->cut_count; i++) {
        if (job->cuts[i].operation == TH_OUTLINE) {
            widest = fmax(widest, job->cuts[i].cutter->row.diameter);
        }
    }
    return widest;
}

static bool check_pitch(th_builder *builder) {
    const th_part *part = &builder->job->part;
    double kerf = widest_kerf(builder->job);
    double x = part->length + kerf, y = part->width + kerf;

    if (isnan(part->pitch.a)) {
        return th_builder_fail(builder, "part", "copies", TH_MISSING,
                               "copies need their pitch, at least pitch = %s x %s",
                               th_builder_least(builder, x).text,
                               th_builder_least(builder, y).text);
    }
    if ((part->copies.a > 1 && part->pitch.a < x * (1 - 1e-9)) ||
        (part->copies.b > 1 && part->pitch.b < y * (1 - 1e-9))) {
        return th_builder_fail(builder, "part", "pitch", TH_CONTRADICTION,
                               "the copies%s run into each other; at least %s x %s",
                               kerf > 0 ? " and the cut between them" : "",
                               th_builder_least(builder, x).text,
                               th_builder_least(builder, y).text);
    }
    return true;
}

static bool check_copies(th_builder *builder) {
    th_part *part = &builder->job->part;

    if (!th_builder_given(builder, "part", "copies")) {
        part->copies = (th_counts){1, 1};
        return isnan(part->pitch.a) || th_builder_fail(builder, "part", "pitch", TH_MISSING,
                                                       "a pitch needs copies, e.g. copies = 4 x 3");
    }
    if (part->copies.a * part->copies.b > COPIES_MAX) {
        return th_builder_fail(builder, "part", "copies", TH_BAD_RANGE,
                               "at most 10,000 copies; these are %d",
                               part->copies.a * part->copies.b);
    }
    if (part->copies.a * part->copies.b == 1) {
        return true;
    }
    if (isnan(part->sheet_length)) {
        return th_builder_fail(builder, "part", "copies", TH_MISSING,
                               "copies are cut from a sheet; give sheet_length and sheet_width");
    }
    return check_pitch(builder);
}

/* ---- sheet ----------------------------------------------------------------------------------- */

static bool check_sheet_whole(th_builder *builder) {
    const th_part *part = &builder->job->part;
    bool sheet = !isnan(part->sheet_length);

    if (sheet != !isnan(part->sheet_width)) {
        return th_builder_fail(builder, "part", sheet ? "sheet_length" : "sheet_width",
                               TH_CONTRADICTION, "a sheet needs both sheet_length and sheet_width");
    }
    if (!sheet && (!isnan(part->sheet_x) || !isnan(part->sheet_y))) {
        return th_builder_fail(builder, "part", isnan(part->sheet_x) ? "sheet_y" : "sheet_x",
                               TH_CONTRADICTION,
                               "there is no sheet; give sheet_length and sheet_width");
    }
    return true;
}

/* Without a place the copies lie in the middle of the sheet. */
static bool place_in_sheet(th_builder *builder, const char *key, double room, double *place) {
    if (!isnan(*place)) {
        return true;
    }
    *place = fmax(room / 2, 0);
    return TH_DEFAULT(builder, "part.%s = %s", key, th_builder_length(builder, *place).text);
}

/* From the first copy's near edge to the last one's far edge. */
static double span(int count, double pitch, double size) {
    return count > 1 ? (count - 1) * pitch + size : size;
}

/* x, y: how far the copies reach in the sheet; wherever they lie if no place was given. */
static bool check_sheet_size(th_builder *builder, double x, double y) {
    const th_part *part = &builder->job->part;
    bool one = part->copies.a * part->copies.b == 1;
    bool long_enough = x <= part->sheet_length + 1e-9;

    if (long_enough && y <= part->sheet_width + 1e-9) {
        return true;
    }
    return th_builder_fail(
        builder, "part", long_enough ? "sheet_width" : "sheet_length", TH_CONTRADICTION,
        "%s to %s x %s, beyond %s sheet of %s x %s", one ? "the part reaches" : "the copies reach",
        th_builder_least(builder, x).text, th_builder_least(builder, y).text, one ? "its" : "their",
        th_builder_length(builder, part->sheet_length).text,
        th_builder_length(builder, part->sheet_width).text);
}

bool th_sheet_complete(th_builder *builder) {
    th_part *part = &builder->job->part;
    double x, y;

    if (!check_sheet_whole(builder) || !check_copies(builder)) {
        return false;
    }
    if (isnan(part->sheet_length)) {
        return true;
    }
    x = span(part->copies.a, part->pitch.a, part->length);
    y = span(part->copies.b, part->pitch.b, part->width);
    return check_sheet_size(builder, x + (isnan(part->sheet_x) ? 0 : part->sheet_x),
                            y + (isnan(part->sheet_y) ? 0 : part->sheet_y)) &&
           place_in_sheet(builder, "sheet_x", part->sheet_length - x, &part->sheet_x) &&
           place_in_sheet(builder, "sheet_y", part->sheet_width - y, &part->sheet_y);
}
