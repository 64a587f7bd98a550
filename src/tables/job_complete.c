/* job_complete.c - what a job leaves out, and what it cannot ask for. */
#include "job.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { PLACES_MAX = 10000 };

static const char *const operation_names[] = {"slot",  "face",    "pocket",  "outline", "hole",
                                              "drill", "engrave", "chamfer", "push"};

const char *th_operation_name(th_operation operation) {
    return operation_names[operation];
}

/* Error at the entry of [section] key, or at the section when the key was not given. */
static bool fail_at(th_builder *builder, const char *section, const char *key, th_status code,
                    const char *message) {
    const th_entry *entry = th_merged_find(&builder->merged, section, key);

    if (entry) {
        return th_entry_fail(entry, builder->err, code, "%s", message);
    }
    entry = th_merged_find(&builder->merged, section, NULL);
    return th_fail_at(builder->err, code, entry ? entry->file : builder->file,
                      entry ? entry->line : 0, "[%s] %s: %s", section, key, message);
}

static bool given(const th_builder *builder, const char *section, const char *key) {
    return th_merged_find(&builder->merged, section, key) != NULL;
}

static void length_text(const th_builder *builder, double value, char *text, size_t size) {
    th_quantity_print(value, TH_LENGTH, builder->units, 4, text, size);
}

#define DEFAULT(builder, ...)                                                                      \
    (th_lines_add(&(builder)->job->defaults, &(builder)->job->arena, __VA_ARGS__) ||               \
     th_fail_memory((builder)->err))
#define CAUTION(builder, ...)                                                                      \
    (th_lines_add(&(builder)->job->cautions, &(builder)->job->arena, __VA_ARGS__) ||               \
     th_fail_memory((builder)->err))

/* ---- part ------------------------------------------------------------------------------------ */

/* What a job may state but this version cannot judge: refused, never passed over. */
static bool refuse_unjudged(th_builder *builder) {
    static const char *const keys[][3] = {
        {"part", "outline", "shapes other than the rectangle are not judged yet"},
        {"part", "copies", "several parts from one sheet are not judged yet; describe one"},
        {"part", "pitch", "several parts from one sheet are not judged yet; describe one"},
        {"part", "bow", "bent stock is not judged yet; flatten it before taping"},
        {"job", "sway_limit", "sway is not computed yet"},
        {"hold", "taped", "only an even coverage is judged yet; state it with coverage"},
    };

    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        if (given(builder, keys[i][0], keys[i][1])) {
            return fail_at(builder, keys[i][0], keys[i][1], TH_NOT_POSSIBLE, keys[i][2]);
        }
    }
    if (builder->job->head.offcuts == TH_MUST_STAY) {
        return fail_at(
            builder, "job", "offcuts", TH_NOT_POSSIBLE,
            "the hold of slugs and frame is not judged yet; may-go judges the part alone");
    }
    return true;
}

/* Without a place the part lies in the middle of its sheet. */
static bool place_in_sheet(th_builder *builder, const char *key, double room, double *place) {
    char text[40];

    if (!isnan(*place)) {
        return true;
    }
    *place = fmax(room / 2, 0);
    length_text(builder, *place, text, sizeof text);
    return DEFAULT(builder, "part.%s = %s", key, text);
}

static bool check_sheet(th_builder *builder) {
    th_part *part = &builder->job->part;
    bool sheet = !isnan(part->sheet_length);
    char message[300];

    if (sheet != !isnan(part->sheet_width)) {
        return fail_at(builder, "part", sheet ? "sheet_length" : "sheet_width", TH_CONTRADICTION,
                       "a sheet needs both sheet_length and sheet_width");
    }
    if (!sheet && (!isnan(part->sheet_x) || !isnan(part->sheet_y))) {
        return fail_at(builder, "part", isnan(part->sheet_x) ? "sheet_y" : "sheet_x",
                       TH_CONTRADICTION, "there is no sheet; give sheet_length and sheet_width");
    }
    if (!sheet) {
        return true;
    }
    if (!place_in_sheet(builder, "sheet_x", part->sheet_length - part->length, &part->sheet_x) ||
        !place_in_sheet(builder, "sheet_y", part->sheet_width - part->width, &part->sheet_y)) {
        return false;
    }
    if (part->sheet_x + part->length > part->sheet_length + 1e-9 ||
        part->sheet_y + part->width > part->sheet_width + 1e-9) {
        char x[40], y[40], length[40], width[40];
        length_text(builder, part->sheet_x + part->length, x, sizeof x);
        length_text(builder, part->sheet_y + part->width, y, sizeof y);
        length_text(builder, part->sheet_length, length, sizeof length);
        length_text(builder, part->sheet_width, width, sizeof width);
        snprintf(message, sizeof message,
                 "the part reaches to %s x %s, beyond its sheet of %s x %s", x, y, length, width);
        return fail_at(builder, "part",
                       part->sheet_x + part->length > part->sheet_length + 1e-9 ? "sheet_length"
                                                                                : "sheet_width",
                       TH_CONTRADICTION, message);
    }
    return true;
}

bool th_part_complete(th_builder *builder) {
    th_part *part = &builder->job->part;

    part->stock = th_builder_row(builder, "part", "stock", TH_STOCKS, part->stock_id);
    if (!part->stock || !refuse_unjudged(builder)) {
        return false;
    }
    if (!CAUTION(builder, "%s: %s", part->stock->head.name, part->stock->caution)) {
        return false;
    }
    if (part->stock->adhesion < 1 &&
        !CAUTION(builder, "tape holds badly on %s: %g of its hold on metal is counted",
                 part->stock->head.name, part->stock->adhesion)) {
        return false;
    }
    return check_sheet(builder);
}

/* ---- hold ------------------------------------------------------------------------------------ */

static bool find_hold_rows(th_builder *builder) {
    th_hold *hold = &builder->job->hold;

    hold->tape = th_builder_row(builder, "hold", "tape", TH_TAPES, hold->tape_id);
    hold->glue =
        hold->tape ? th_builder_row(builder, "hold", "glue", TH_GLUES, hold->glue_id) : NULL;
    hold->coolant = hold->glue
                        ? th_builder_row(builder, "hold", "cooling", TH_COOLANTS, hold->cooling_id)
                        : NULL;
    hold->plate =
        hold->coolant ? th_builder_row(builder, "hold", "plate", TH_PLATES, hold->plate_id) : NULL;
    return hold->plate != NULL;
}

static bool check_layers(th_builder *builder) {
    th_hold *hold = &builder->job->hold;

    if (hold->glue->absent && hold->tape_below_id) {
        return fail_at(builder, "hold", "tape_below", TH_CONTRADICTION,
                       "with glue = none there is one tape; leave tape_below out");
    }
    if (hold->glue->absent && hold->tape->sides != 2) {
        return fail_at(builder, "hold", "glue", TH_CONTRADICTION,
                       "without glue the tape must be double-sided (sides = 2), e.g. "
                       "tape = double-film-acrylic; a single-sided tape needs e.g. glue = ca-thin");
    }
    if (hold->glue->absent) {
        return true;
    }
    if (!hold->tape_below_id) {
        hold->tape_below = hold->tape;
        hold->tape_below_id = hold->tape_id;
        if (!DEFAULT(builder, "hold.tape_below = %s", hold->tape_id)) {
            return false;
        }
    } else {
        hold->tape_below =
            th_builder_row(builder, "hold", "tape_below", TH_TAPES, hold->tape_below_id);
        if (!hold->tape_below) {
            return false;
        }
    }
    if (hold->tape->sides == 2 || hold->tape_below->sides == 2) {
        return CAUTION(builder, "a double-sided tape needs no glue: glue = none uses it alone");
    }
    return true;
}

bool th_hold_complete(th_builder *builder) {
    th_hold *hold = &builder->job->hold;

    if (!find_hold_rows(builder) || !check_layers(builder)) {
        return false;
    }
    if (hold->preparation == 3) {
        return fail_at(builder, "hold", "preparation", TH_NOT_POSSIBLE,
                       "tape does not hold on an oily surface; degrease it, then wiped or scuffed");
    }
    if (hold->plate_thickness - hold->below < hold->plate_left) {
        char message[200], left[40], asked[40];
        length_text(builder, hold->plate_thickness - hold->below, left, sizeof left);
        length_text(builder, hold->plate_left, asked, sizeof asked);
        snprintf(message, sizeof message,
                 "through cuts would leave %s of the sacrificial plate; plate_left asks for %s",
                 left, asked);
        return fail_at(builder, "hold", "below", TH_NOT_POSSIBLE, message);
    }
    if (hold->room_temperature < 10 &&
        !CAUTION(builder, "below 10 C tape grips badly: warm part, plate and tape first")) {
        return false;
    }
    builder->job->stack_height = hold->tape->thickness;
    if (!hold->glue->absent) {
        builder->job->stack_height += hold->glue->thickness + hold->tape_below->thickness;
    }
    return true;
}

/* ---- cuts: cutter, speed and feed --------------------------------------------------------------
 */

static bool find_cutter(th_builder *builder, th_cut *cut) {
    th_job *job = builder->job;
    char message[200];

    for (size_t i = 0; i < job->cutter_count; i++) {
        if (strcmp(job->cutters[i].name, cut->cutter_name) == 0) {
            cut->cutter = &job->cutters[i];
            return true;
        }
    }
    snprintf(message, sizeof message, "there is no section [cutter.%.60s]%s%.60s%s",
             cut->cutter_name, job->cutter_count ? "; there is [cutter." : "",
             job->cutter_count ? job->cutters[0].name : "", job->cutter_count ? "]" : "");
    return fail_at(builder, cut->section, "cutter", TH_MISSING, message);
}

static bool check_cutter_kind(th_builder *builder, th_cut *cut) {
    int kind = cut->cutter->row.kind;
    bool drill = kind == TH_DRILL;
    bool cone = kind == TH_CHAMFER || kind == TH_POINT;

    if (cut->operation == TH_DRILLED && !drill) {
        return fail_at(builder, cut->section, "cutter", TH_CONTRADICTION,
                       "drill needs a cutter of kind drill, e.g. id = drill-3mm; to bore with a "
                       "milling cutter write operation = hole");
    }
    if (cut->operation != TH_DRILLED && drill) {
        return fail_at(builder, cut->section, "cutter", TH_CONTRADICTION,
                       "a drill cannot mill; take a milling cutter, or operation = drill");
    }
    if (cut->operation == TH_CHAMFERING && !cone) {
        return fail_at(builder, cut->section, "cutter", TH_CONTRADICTION,
                       "chamfer needs a cutter of kind chamfer or point");
    }
    if (cone && (cut->operation == TH_POCKET || cut->operation == TH_OUTLINE ||
                 cut->operation == TH_HOLE || cut->operation == TH_FACING)) {
        return fail_at(builder, cut->section, "cutter", TH_CONTRADICTION,
                       "a cutter of kind chamfer or point only chamfers, engraves and slots");
    }
    return true;
}

/* Surface speeds of the stock rows are for carbide; high-speed steel runs at half (practice). */
static double speed_share(const th_cutter *cutter) {
    return cutter->material == TH_HSS ? 0.5 : 1.0;
}

static double surface_speed(const th_cut *cut) {
    return cut->speed * TH_PI * cut->cutter->row.diameter / 1000;
}

static double default_speed(const th_builder *builder, const th_cut *cut) {
    const th_stock *stock = builder->job->part.stock;
    const th_machine *machine = &builder->job->machine;
    double surface = (stock->speed_low + stock->speed_high) / 2 * speed_share(&cut->cutter->row);
    double speed = surface * 1000 / (TH_PI * cut->cutter->row.diameter);
    double step = speed >= 1000 ? 100 : 10;

    speed = floor(fmin(speed, machine->speed_max) / step) * step;
    return fmax(speed, machine->speed_min);
}

static bool set_speed(th_builder *builder, th_cut *cut) {
    const th_machine *machine = &builder->job->machine;
    const th_stock *stock = builder->job->part.stock;
    double share = speed_share(&cut->cutter->row);
    char message[200];

    if (isnan(cut->speed)) {
        cut->speed = default_speed(builder, cut);
        if (!DEFAULT(builder, "%s.speed = %.6g rpm", cut->section, cut->speed)) {
            return false;
        }
    }
    if (cut->speed < machine->speed_min || cut->speed > machine->speed_max) {
        snprintf(message, sizeof message, "the machine runs %.6g to %.6g rpm", machine->speed_min,
                 machine->speed_max);
        return fail_at(builder, cut->section, "speed", TH_NOT_POSSIBLE, message);
    }
    if (surface_speed(cut) > stock->speed_high * share * 1.001 ||
        surface_speed(cut) < stock->speed_low * share * 0.1) {
        char speed[40], low[40], high[40];
        th_quantity_print(surface_speed(cut), TH_SURFACE_SPEED, builder->units, 3, speed,
                          sizeof speed);
        th_quantity_print(stock->speed_low * share, TH_SURFACE_SPEED, builder->units, 3, low,
                          sizeof low);
        th_quantity_print(stock->speed_high * share, TH_SURFACE_SPEED, builder->units, 3, high,
                          sizeof high);
        return CAUTION(builder, "%s: surface speed %s is outside the usual %s to %s", cut->section,
                       speed, low, high);
    }
    return true;
}

/* Chip load as typed, from the feed, or from the stock row within the machine's feed. */
static bool set_chip_load(th_builder *builder, th_cut *cut) {
    const th_stock *stock = builder->job->part.stock;
    double teeth = cut->cutter->row.flutes;
    double most = builder->job->machine.feed_max / (cut->speed * teeth);
    char load[40];

    if (!isnan(cut->chip_reading.value)) {
        cut->chip_load = cut->chip_reading.value / (cut->chip_reading.per_rev ? teeth : 1);
        return true;
    }
    if (!isnan(cut->feed)) {
        cut->chip_load = cut->feed / (cut->speed * teeth);
        return true;
    }
    cut->chip_load = fmin(stock->chip_load_per_diameter * cut->cutter->row.diameter, most);
    th_quantity_print(cut->chip_load, TH_CHIP_LOAD, builder->units, 4, load, sizeof load);
    return DEFAULT(builder, "%s.chip_load = %s", cut->section, load);
}

static bool check_feed(th_builder *builder, th_cut *cut, const char *key, double feed) {
    char message[200], text[40], most[40];

    if (feed <= builder->job->machine.feed_max * (1 + 1e-9)) {
        return true;
    }
    th_quantity_print(feed, TH_FEED, builder->units, 4, text, sizeof text);
    th_quantity_print(builder->job->machine.feed_max, TH_FEED, builder->units, 4, most,
                      sizeof most);
    snprintf(message, sizeof message, "a feed of %s is beyond the machine's %s", text, most);
    return fail_at(builder, cut->section, key, TH_NOT_POSSIBLE, message);
}

static bool set_feed(th_builder *builder, th_cut *cut) {
    const th_stock *stock = builder->job->part.stock;
    double teeth = cut->cutter->row.flutes;
    bool chip_given = !isnan(cut->chip_reading.value);

    if (chip_given && !isnan(cut->feed)) {
        return fail_at(builder, cut->section, "feed", TH_CONTRADICTION,
                       "give feed or chip_load, not both");
    }
    if (!set_chip_load(builder, cut)) {
        return false;
    }
    if (isnan(cut->feed)) {
        cut->feed = cut->chip_load * teeth * cut->speed;
    }
    if (isnan(cut->last_feed)) {
        cut->last_feed = cut->feed;
    }
    cut->last_chip_load = cut->last_feed / (cut->speed * teeth);
    if (!check_feed(builder, cut, chip_given ? "chip_load" : "feed", cut->feed) ||
        !check_feed(builder, cut, "last_feed", cut->last_feed)) {
        return false;
    }
    if (cut->chip_load > 2.5 * stock->chip_load_per_diameter * cut->cutter->row.diameter) {
        return CAUTION(builder, "%s: the chip load is over 2.5 times the usual one for this cutter",
                       cut->section);
    }
    return true;
}

/* ---- cuts: engagement and depth ----------------------------------------------------------------
 */

static bool check_radial(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    char message[200], text[40];

    if (cut->radial <= diameter * (1 + 1e-9)) {
        return true;
    }
    length_text(builder, diameter, text, sizeof text);
    snprintf(message, sizeof message, "is more than the cutter's diameter of %s", text);
    return fail_at(builder, cut->section, "radial", TH_NOT_POSSIBLE, message);
}

/* Deepest that a cutter may go below the top of the part. */
static double deepest(const th_job *job) {
    return job->part.thickness + job->stack_height + job->hold.plate_thickness -
           job->hold.plate_left;
}

static bool check_axial(th_builder *builder, th_cut *cut, const char *key, double axial) {
    char message[200], text[40];

    if (axial > cut->cutter->row.flute_length * (1 + 1e-9)) {
        length_text(builder, cut->cutter->row.flute_length, text, sizeof text);
        snprintf(message, sizeof message, "is more than the cutter's flute length of %s", text);
        return fail_at(builder, cut->section, key, TH_NOT_POSSIBLE, message);
    }
    if (axial > deepest(builder->job) * (1 + 1e-9)) {
        char left[40];
        length_text(builder, deepest(builder->job), text, sizeof text);
        length_text(builder, builder->job->hold.plate_left, left, sizeof left);
        snprintf(
            message, sizeof message,
            "would cut into the last %s of the sacrificial plate (plate_left); at most %s below "
            "the top of the part",
            left, text);
        return fail_at(builder, cut->section, key, TH_NOT_POSSIBLE, message);
    }
    return true;
}

/* Pieces that `engrave` and `chamfer` leave to the cutter's shape. */
static void shape_engagement(th_cut *cut) {
    const th_cutter *cutter = cut->cutter ? &cut->cutter->row : NULL;

    if (cut->operation == TH_ENGRAVE) {
        cut->axial = cut->depth;
        cut->radial = cutter->diameter;
    }
    if (cut->operation == TH_CHAMFERING) {
        cut->axial = cut->width / tan(cutter->tip_angle / 2 * TH_PI / 180);
        cut->radial = cut->width;
        cut->depth = cut->axial;
    }
    if (cut->operation == TH_HOLE) {
        cut->radial = cutter->diameter;
    }
}

static bool default_radial(th_builder *builder, th_cut *cut) {
    char text[40];

    if (cut->operation != TH_SLOT || !isnan(cut->radial)) {
        return true;
    }
    cut->radial = cut->cutter->row.diameter;
    length_text(builder, cut->radial, text, sizeof text);
    return DEFAULT(builder, "%s.radial = %s", cut->section, text);
}

static double through_depth(const th_job *job) {
    return job->part.thickness + job->stack_height + job->hold.below;
}

static bool set_depth(th_builder *builder, th_cut *cut) {
    th_job *job = builder->job;
    bool by_itself =
        cut->operation == TH_HOLE || cut->operation == TH_DRILLED || cut->operation == TH_OUTLINE;

    cut->through = cut->through_word < 0 ? by_itself : cut->through_word == 1;
    if (cut->operation == TH_OUTLINE && !cut->through) {
        return fail_at(builder, cut->section, "through", TH_CONTRADICTION,
                       "an outline cuts through; to leave metal at the bottom give skin");
    }
    if (!isnan(cut->skin)) {
        if (cut->skin >= job->part.thickness) {
            return fail_at(builder, cut->section, "skin", TH_CONTRADICTION,
                           "is as thick as the part; nothing would be cut");
        }
        cut->through = false;
        cut->depth = job->part.thickness - cut->skin;
        return true;
    }
    if (cut->through && !isnan(cut->depth)) {
        return fail_at(builder, cut->section, "depth", TH_CONTRADICTION,
                       "a through cut has no depth of its own; leave depth out, or through = no");
    }
    if (cut->through) {
        cut->depth = through_depth(job);
        return true;
    }
    if (isnan(cut->depth) && by_itself) {
        return fail_at(builder, cut->section, "depth", TH_MISSING,
                       "a blind hole needs its depth, e.g. depth = 2 mm");
    }
    cut->depth = isnan(cut->depth) ? cut->axial : cut->depth;
    if (cut->depth >= job->part.thickness * (1 - 1e-9)) {
        return fail_at(builder, cut->section,
                       given(builder, cut->section, "depth") ? "depth" : "axial", TH_NOT_POSSIBLE,
                       "reaches through the part; say through = yes where the operation takes it "
                       "(slot, hole, drill, outline), else stay above the bonded face");
    }
    return true;
}

static bool set_engagement(th_builder *builder, th_cut *cut) {
    shape_engagement(cut);
    if (!default_radial(builder, cut)) {
        return false;
    }
    if (cut->operation != TH_DRILLED) {
        if (!check_radial(builder, cut) || !check_axial(builder, cut, "axial", cut->axial)) {
            return false;
        }
        if (cut->operation == TH_OUTLINE && isnan(cut->last_axial)) {
            cut->last_axial = cut->axial;
        }
        if (cut->operation == TH_OUTLINE &&
            !check_axial(builder, cut, "last_axial", cut->last_axial)) {
            return false;
        }
    }
    if (!set_depth(builder, cut)) {
        return false;
    }
    if (cut->depth > cut->cutter->row.stickout) {
        return CAUTION(
            builder, "%s goes deeper than its cutter stands out: the holder would strike the part",
            cut->section);
    }
    return true;
}

/* ---- cuts: places ------------------------------------------------------------------------------
 */

static bool inside(const th_job *job, th_point place, double half_x, double half_y) {
    double slack = 1e-6;
    return place.x - half_x >= -slack && place.x + half_x <= job->part.length + slack &&
           place.y - half_y >= -slack && place.y + half_y <= job->part.width + slack;
}

static size_t add_circle(const th_cut *cut, th_point centre, th_point *places) {
    int count = cut->circle.count;

    if (count == 0) {
        places[0] = centre;
        return 1;
    }
    for (int i = 0; i < count; i++) {
        double angle = 2 * TH_PI * i / count;
        places[i] = (th_point){centre.x + cut->circle.length / 2 * cos(angle),
                               centre.y + cut->circle.length / 2 * sin(angle)};
    }
    return (size_t)count;
}

/* Lay out grid and circle round every place given. */
static bool expand_places(th_builder *builder, th_cut *cut) {
    size_t columns = cut->grid.a ? (size_t)cut->grid.a : 1;
    size_t rows = cut->grid.b ? (size_t)cut->grid.b : 1;
    size_t ring = cut->circle.count ? (size_t)cut->circle.count : 1;
    size_t total = cut->at.count * columns * rows * ring;
    th_points places = {NULL, 0};

    if (cut->grid.a && isnan(cut->pitch.a) && columns * rows > 1) {
        return fail_at(builder, cut->section, "grid", TH_MISSING,
                       "a grid needs its pitch, e.g. pitch = 24 mm x 19 mm");
    }
    if (total > PLACES_MAX) {
        return fail_at(builder, cut->section, "at", TH_BAD_RANGE, "more than 10,000 places");
    }
    places.items = th_arena_take(&builder->job->arena, (total + 1) * sizeof *places.items);
    if (!places.items) {
        return th_fail_memory(builder->err);
    }
    for (size_t i = 0; i < cut->at.count * columns * rows; i++) {
        th_point place = cut->at.items[i / (columns * rows)];
        size_t step = i % (columns * rows);
        place.x += columns > 1 ? (double)(step % columns) * cut->pitch.a : 0;
        place.y += rows > 1 ? (double)(step / columns) * cut->pitch.b : 0;
        places.count += add_circle(cut, place, places.items + places.count);
    }
    cut->at = places;
    return true;
}

static bool check_places(th_builder *builder, th_cut *cut) {
    bool sized = cut->operation == TH_POCKET || cut->operation == TH_HOLE;
    double half_x = sized ? cut->size.a / 2 : 0;
    double half_y = sized ? cut->size.b / 2 : 0;
    char message[300];

    for (size_t i = 0; i < cut->at.count; i++) {
        th_point place = cut->at.items[i];
        if (!inside(builder->job, place, half_x, half_y)) {
            char x[40], y[40], length[40], width[40];
            length_text(builder, place.x, x, sizeof x);
            length_text(builder, place.y, y, sizeof y);
            length_text(builder, builder->job->part.length, length, sizeof length);
            length_text(builder, builder->job->part.width, width, sizeof width);
            snprintf(message, sizeof message, "the place %s, %s reaches beyond the part of %s x %s",
                     x, y, length, width);
            return fail_at(builder, cut->section, "at", TH_CONTRADICTION, message);
        }
    }
    return true;
}

static bool check_size(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    char message[200], text[40];

    length_text(builder, diameter, text, sizeof text);

    if (cut->operation == TH_HOLE && !cut->size.single) {
        return fail_at(builder, cut->section, "size", TH_BAD_VALUE,
                       "a hole is round: give its diameter, e.g. size = 8 mm");
    }
    if (cut->operation == TH_HOLE && cut->size.a < diameter * (1 + 1e-6)) {
        return fail_at(
            builder, cut->section, "size", TH_CONTRADICTION,
            "a bored hole must be wider than its cutter; take a smaller cutter or drill");
    }
    if (cut->operation == TH_POCKET && fmin(cut->size.a, cut->size.b) < diameter * (1 - 1e-9)) {
        snprintf(message, sizeof message,
                 "the pocket is narrower than its cutter of %s; take a smaller cutter", text);
        return fail_at(builder, cut->section, "size", TH_CONTRADICTION, message);
    }
    return true;
}

static bool set_slot_ends(th_builder *builder, th_cut *cut) {
    const th_part *part = &builder->job->part;
    double reach = cut->cutter->row.diameter;
    th_point *ends[] = {&cut->from, &cut->to};
    const char *const keys[] = {"from", "to"};

    for (int i = 0; i < 2; i++) {
        if (isnan(ends[i]->x)) {
            *ends[i] = (th_point){i ? part->length : 0, part->width / 2};
            if (!DEFAULT(builder, "%s.%s = middle of the %s edge", cut->section, keys[i],
                         i ? "right" : "left")) {
                return false;
            }
        }
        if (!inside(builder->job, *ends[i], -reach, -reach)) {
            return fail_at(builder, cut->section, keys[i], TH_CONTRADICTION,
                           "lies more than a cutter's diameter off the part");
        }
    }
    if (hypot(cut->to.x - cut->from.x, cut->to.y - cut->from.y) < 1e-6) {
        return fail_at(builder, cut->section, "to", TH_CONTRADICTION,
                       "the slot starts and ends at the same place");
    }
    return true;
}

/* Nobody said where: the corners are the worst places. */
static bool engrave_corners(th_builder *builder, th_cut *cut) {
    double x = builder->job->part.length, y = builder->job->part.width;
    const th_point corners[4] = {{0, 0}, {x, 0}, {x, y}, {0, y}};

    cut->at.items = th_arena_take(&builder->job->arena, sizeof corners);
    if (!cut->at.items) {
        return th_fail_memory(builder->err);
    }
    memcpy(cut->at.items, corners, sizeof corners);
    cut->at.count = 4;
    return DEFAULT(builder, "%s.at = the corners of the part", cut->section);
}

static bool set_places(th_builder *builder, th_cut *cut) {
    if (cut->operation == TH_SLOT) {
        return set_slot_ends(builder, cut);
    }
    if (cut->operation == TH_ENGRAVE && cut->at.count == 0 && !engrave_corners(builder, cut)) {
        return false;
    }
    if (cut->at.count == 0) {
        return true;
    }
    return check_size(builder, cut) && expand_places(builder, cut) && check_places(builder, cut);
}

/* ---- cuts: the whole ---------------------------------------------------------------------------
 */

static bool complete_push(th_builder *builder, th_cut *cut) {
    th_point place = {cut->at_x, cut->at_y};

    if (!inside(builder->job, place, 0, 0)) {
        return fail_at(builder, cut->section, "at_x", TH_CONTRADICTION,
                       "the place at_x, at_y lies off the part");
    }
    if (cut->force_x == 0 && cut->force_y == 0 && cut->force_z == 0) {
        return fail_at(builder, cut->section, "force_x", TH_CONTRADICTION,
                       "a push needs a force: force_x, force_y and force_z are all zero");
    }
    return true;
}

static bool outline_cautions(th_builder *builder, th_cut *cut) {
    if (cut->tabs.count) {
        return fail_at(builder, cut->section, "tabs", TH_NOT_POSSIBLE,
                       "tabs are not judged yet; leave a skin instead");
    }
    if (cut->side == TH_INSIDE) {
        return fail_at(builder, cut->section, "side", TH_NOT_POSSIBLE,
                       "the inside of an outline is not judged yet; a round opening is a hole");
    }
    if (!isnan(builder->job->part.sheet_length) &&
        cut->radial < cut->cutter->row.diameter * 0.999) {
        return CAUTION(builder,
                       "%s: cutting a part out of a sheet is a full-width slot unless the kerf is "
                       "widened; radial = the diameter is the safe figure",
                       cut->section);
    }
    return true;
}

static bool opening_cautions(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;

    if (!isnan(cut->axial) && cut->axial > cut->depth * (1 + 1e-9) &&
        !CAUTION(builder, "%s: axial is more than the whole depth; it is judged as stated",
                 cut->section)) {
        return false;
    }

    if (!isnan(cut->finish) && cut->finish > diameter) {
        return fail_at(builder, cut->section, "finish", TH_NOT_POSSIBLE,
                       "is more than the cutter's diameter");
    }
    if (cut->operation == TH_POCKET && cut->radial < diameter * 0.999) {
        return CAUTION(
            builder,
            "%s: the first strip of each level and a ramp or helix entry cut full width; "
            "radial = the diameter judges them",
            cut->section);
    }
    if (cut->operation == TH_HOLE && cut->through && cut->size.a > 2 * diameter) {
        return CAUTION(builder,
                       "%s leaves a slug that comes loose: pocket it away, or leave a skin",
                       cut->section);
    }
    return true;
}

bool th_cut_complete(th_builder *builder, th_cut *cut) {
    if (cut->operation == TH_PUSH) {
        return complete_push(builder, cut);
    }
    return find_cutter(builder, cut) && check_cutter_kind(builder, cut) &&
           set_speed(builder, cut) && set_feed(builder, cut) && set_engagement(builder, cut) &&
           set_places(builder, cut) && opening_cautions(builder, cut) &&
           (cut->operation != TH_OUTLINE || outline_cautions(builder, cut)) &&
           (cut->operation != TH_CHAMFERING || cut->side == TH_OUTSIDE ||
            fail_at(builder, cut->section, "side", TH_NOT_POSSIBLE,
                    "only the outside edge is judged yet"));
}
