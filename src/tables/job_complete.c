/* job_complete.c - what hold and cuts leave out, and what they cannot ask for. */
#include "job.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { TABS_MAX = 100 };

static const char *const operation_names[] = {"slot",  "face",    "pocket",  "outline", "hole",
                                              "drill", "engrave", "chamfer", "push"};

const char *th_operation_name(th_operation operation) {
    return operation_names[operation];
}

bool th_builder_fail(th_builder *builder, const char *section, const char *key, th_status code,
                     const char *format, ...) {
    const th_entry *entry = th_merged_find(&builder->merged, section, key);
    char message[600];
    va_list arguments;

    va_start(arguments, format);
    th_vprint(message, sizeof message, format, arguments);
    va_end(arguments);
    if (entry) {
        return th_entry_fail(entry, builder->err, code, "%s", message);
    }
    entry = th_merged_find(&builder->merged, section, NULL);
    return th_fail_at(builder->err, code, entry ? entry->file : builder->file,
                      entry ? entry->line : 0, "[%s] %s: %s", section, key, message);
}

bool th_builder_given(const th_builder *builder, const char *section, const char *key) {
    return th_merged_find(&builder->merged, section, key) != NULL;
}

th_length_text th_builder_length(const th_builder *builder, double value) {
    th_length_text text = {""};

    th_quantity_print(value, TH_LENGTH, builder->units, 4, text.text, sizeof text.text);
    return text;
}

th_length_text th_builder_least(const th_builder *builder, double value) {
    th_length_text text = {""};
    th_reading reading = {0, false};

    for (int step = 0; step <= 10 && reading.value < value * (1 - 1e-12); step++) {
        th_quantity_print(value * (1 + 1e-5 * step), TH_LENGTH, builder->units, 5, text.text,
                          sizeof text.text);
        th_quantity_read(text.text, TH_LENGTH, TH_UNITS_NAMED, &reading, NULL);
    }
    return text;
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

    if (hold->tape_below_id && strcmp(hold->tape_below_id, "none") == 0) {
        hold->tape_below_id = NULL; /* takes back what the job says */
    }
    if (hold->glue->absent && hold->tape_below_id) {
        return th_builder_fail(
            builder, "hold", "tape_below", TH_CONTRADICTION,
            "with glue = none there is one tape; leave tape_below out, or tape_below = none");
    }
    if (hold->glue->absent && hold->tape->sides != 2) {
        return th_builder_fail(
            builder, "hold", "glue", TH_CONTRADICTION,
            "without glue the tape must be double-sided (sides = 2), e.g. "
            "tape = double-film-acrylic; a single-sided tape needs e.g. glue = ca-thin");
    }
    if (hold->glue->absent) {
        return true;
    }
    if (!hold->tape_below_id) {
        hold->tape_below = hold->tape;
        hold->tape_below_id = hold->tape_id;
        if (!TH_DEFAULT(builder, "hold.tape_below = %s", hold->tape_id)) {
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
        return TH_CAUTION(builder, "a double-sided tape needs no glue: glue = none uses it alone");
    }
    return true;
}

static bool check_plate(th_builder *builder) {
    const th_hold *hold = &builder->job->hold;
    double left = hold->plate_thickness - hold->below;

    if (left <= 1e-9) {
        return th_builder_fail(
            builder, "hold", "below", TH_NOT_POSSIBLE,
            "through cuts would reach the table: the sacrificial plate is %s thick",
            th_builder_length(builder, hold->plate_thickness).text);
    }
    if (left < hold->plate_left - 1e-9) {
        return th_builder_fail(
            builder, "hold", "below", TH_NOT_POSSIBLE,
            "through cuts would leave %s of the sacrificial plate; plate_left asks for %s",
            th_builder_length(builder, left).text,
            th_builder_length(builder, hold->plate_left).text);
    }
    return true;
}

/* The drawing of the tape has no place of its own: its corner lies on the part's, or where the job
 * says. */
static bool place_tape(th_builder *builder) {
    th_hold *hold = &builder->job->hold;
    bool placed = !isnan(hold->taped_at.x);

    if (!hold->taped && placed) {
        return th_builder_fail(
            builder, "hold", "taped_at", TH_CONTRADICTION,
            "says where the drawing of the tape lies, but there is none: give taped = "
            "FILE too, or leave it out");
    }
    if (placed) {
        return true;
    }
    hold->taped_at = (th_point){0, 0};
    return !hold->taped || TH_DEFAULT(builder, "hold.taped_at = 0, 0");
}

bool th_hold_complete(th_builder *builder) {
    th_hold *hold = &builder->job->hold;

    if (!find_hold_rows(builder) || !check_layers(builder)) {
        return false;
    }
    if (hold->preparation == 3) {
        return th_builder_fail(
            builder, "hold", "preparation", TH_NOT_POSSIBLE,
            "tape does not hold on an oily surface; degrease it, then wiped or scuffed");
    }
    if (!check_plate(builder) || !place_tape(builder)) {
        return false;
    }
    if (hold->room_temperature < 10 &&
        !TH_CAUTION(builder, "below %s tape grips badly: warm part, plate and tape first",
                    builder->job->head.units == TH_INCH ? "50 F" : "10 C")) {
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

    for (size_t i = 0; i < job->cutter_count; i++) {
        if (strcmp(job->cutters[i].name, cut->cutter_name) == 0) {
            cut->cutter = &job->cutters[i];
            return true;
        }
    }
    return th_builder_fail(
        builder, cut->section, "cutter", TH_MISSING, "there is no section [cutter.%.60s]%s%.60s%s",
        cut->cutter_name, job->cutter_count ? "; there is [cutter." : "",
        job->cutter_count ? job->cutters[0].name : "", job->cutter_count ? "]" : "");
}

static bool check_cutter_kind(th_builder *builder, th_cut *cut) {
    int kind = cut->cutter->row.kind;
    bool drill = kind == TH_DRILL;
    bool cone = kind == TH_CHAMFER || kind == TH_POINT;

    if (cut->operation == TH_DRILLED && !drill) {
        return th_builder_fail(
            builder, cut->section, "cutter", TH_CONTRADICTION,
            "drill needs a cutter of kind drill, e.g. id = drill-3mm; to bore with a "
            "milling cutter write operation = hole");
    }
    if (cut->operation != TH_DRILLED && drill) {
        return th_builder_fail(builder, cut->section, "cutter", TH_CONTRADICTION,
                               "a drill cannot mill; take a milling cutter, or operation = drill");
    }
    if (cut->operation == TH_CHAMFERING && !cone) {
        return th_builder_fail(builder, cut->section, "cutter", TH_CONTRADICTION,
                               "chamfer needs a cutter of kind chamfer or point");
    }
    if (cone && (cut->operation == TH_POCKET || cut->operation == TH_OUTLINE ||
                 cut->operation == TH_HOLE || cut->operation == TH_FACING)) {
        return th_builder_fail(
            builder, cut->section, "cutter", TH_CONTRADICTION,
            "a cutter of kind chamfer or point only chamfers, engraves and slots");
    }
    return true;
}

/* Surface speeds of the stock rows are for carbide; high-speed steel runs at a third. Milling
 * speeds in Carvill's Mechanical Engineer's Data Handbook (1994) are lower still in steel and cast
 * iron, 28 and 20 m/min against 100 to 150 for carbide, and 100 against 600 in aluminium alloy, 100
 * being about a third of the rows' middle. */
static double speed_share(const th_cutter *cutter) {
    return cutter->material == TH_HSS ? 1.0 / 3 : 1.0;
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

    if (isnan(cut->speed)) {
        cut->speed = default_speed(builder, cut);
        bool free = cut->speed > machine->speed_min && cut->speed < machine->speed_max;
        const char *reason = free && cut->cutter->row.material == TH_HSS
                                 ? " (hss: a third of the surface speed for carbide)"
                                 : "";
        if (!TH_DEFAULT(builder, "%s.speed = %.6g rpm%s", cut->section, cut->speed, reason)) {
            return false;
        }
    }
    if (cut->speed < machine->speed_min || cut->speed > machine->speed_max) {
        return th_builder_fail(builder, cut->section, "speed", TH_NOT_POSSIBLE,
                               "the machine runs %.6g to %.6g rpm", machine->speed_min,
                               machine->speed_max);
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
        return TH_CAUTION(builder, "%s: surface speed %s is outside the usual %s to %s",
                          cut->section, speed, low, high);
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
    return TH_DEFAULT(builder, "%s.chip_load = %s", cut->section, load);
}

static bool check_feed(th_builder *builder, th_cut *cut, const char *key, double feed) {
    char text[40], most[40];

    if (feed <= builder->job->machine.feed_max * (1 + 1e-9)) {
        return true;
    }
    th_quantity_print(feed, TH_FEED, builder->units, 4, text, sizeof text);
    th_quantity_print(builder->job->machine.feed_max, TH_FEED, builder->units, 4, most,
                      sizeof most);
    return th_builder_fail(builder, cut->section, key, TH_NOT_POSSIBLE,
                           "a feed of %s is beyond the machine's %s", text, most);
}

static bool set_feed(th_builder *builder, th_cut *cut) {
    const th_stock *stock = builder->job->part.stock;
    double teeth = cut->cutter->row.flutes;
    bool chip_given = !isnan(cut->chip_reading.value);

    if (chip_given && !isnan(cut->feed)) {
        return th_builder_fail(builder, cut->section, "feed", TH_CONTRADICTION,
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
        return TH_CAUTION(builder,
                          "%s: the chip load is over 2.5 times the usual one for this cutter",
                          cut->section);
    }
    return true;
}

/* ---- cuts: engagement and depth ----------------------------------------------------------------
 */

static bool check_radial(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;

    return cut->radial <= diameter * (1 + 1e-9) ||
           th_builder_fail(builder, cut->section, "radial", TH_NOT_POSSIBLE,
                           "is more than the cutter's diameter of %s",
                           th_builder_length(builder, diameter).text);
}

/* Deepest that a cutter may go below the top of the part. */
static double deepest(const th_job *job) {
    return job->part.thickness + job->stack_height + job->hold.plate_thickness -
           job->hold.plate_left;
}

static bool check_axial(th_builder *builder, th_cut *cut, const char *key, double axial) {
    const th_job *job = builder->job;

    if (axial > cut->cutter->row.flute_length * (1 + 1e-9)) {
        return th_builder_fail(builder, cut->section, key, TH_NOT_POSSIBLE,
                               "is more than the cutter's flute length of %s",
                               th_builder_length(builder, cut->cutter->row.flute_length).text);
    }
    if (axial >= (deepest(job) + job->hold.plate_left) * (1 - 1e-9)) {
        return th_builder_fail(builder, cut->section, key, TH_NOT_POSSIBLE,
                               "would reach the table, %s below the top of the part; at most %s",
                               th_builder_length(builder, deepest(job) + job->hold.plate_left).text,
                               th_builder_length(builder, deepest(job)).text);
    }
    if (axial > deepest(job) * (1 + 1e-9)) {
        return th_builder_fail(
            builder, cut->section, key, TH_NOT_POSSIBLE,
            "would cut into the last %s of the sacrificial plate (plate_left); at most %s below "
            "the top of the part",
            th_builder_length(builder, job->hold.plate_left).text,
            th_builder_length(builder, deepest(job)).text);
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

    if (cut->operation != TH_SLOT || !isnan(cut->radial)) {
        return true;
    }
    cut->radial = cut->cutter->row.diameter;
    return TH_DEFAULT(builder, "%s.radial = %s", cut->section,
                      th_builder_length(builder, cut->radial).text);
}

/* A drill goes on by its point, so that the hole has its size all through. */
static double through_depth(const th_job *job, const th_cut *cut) {
    double point = 0;

    if (cut->operation == TH_DRILLED) {
        const th_cutter *drill = &cut->cutter->row;
        point = drill->diameter / 2 / tan(drill->tip_angle / 2 * TH_PI / 180);
    }
    return job->part.thickness + job->stack_height + job->hold.below + point;
}

static bool set_through(th_builder *builder, th_cut *cut) {
    const th_job *job = builder->job;

    cut->depth = through_depth(job, cut);
    if (cut->depth > deepest(job) * (1 + 1e-9)) {
        return th_builder_fail(
            builder, cut->section, "operation", TH_NOT_POSSIBLE,
            "goes %s deep with its point, into the last %s of the sacrificial plate (plate_left), "
            "%s thick; take a thicker plate",
            th_builder_length(builder, cut->depth).text,
            th_builder_length(builder, job->hold.plate_left).text,
            th_builder_length(builder, job->hold.plate_thickness).text);
    }
    return true;
}

/* A blind cut as deep as the part is thick. */
static bool fail_through(th_builder *builder, const th_cut *cut) {
    th_units units = (th_units)builder->job->head.units;
    double thick = builder->job->part.thickness, over = cut->depth - thick;
    char deep[48], part[48], left[48];

    th_quantity_print(cut->depth, TH_LENGTH, units, 6, deep, sizeof deep);
    th_quantity_print(thick, TH_LENGTH, units, 6, part, sizeof part);
    th_quantity_print(over, TH_LENGTH, units, 3, left, sizeof left);
    return th_builder_fail(
        builder, cut->section, th_builder_given(builder, cut->section, "depth") ? "depth" : "axial",
        TH_NOT_POSSIBLE,
        "reaches through the part: %s deep in %s of stock %s%s; say through = yes where the "
        "operation takes it (slot, hole, drill, outline), else stay above the bonded face",
        deep, part, over > 1e-9 * thick ? "is too much by " : "leaves nothing",
        over > 1e-9 * thick ? left : "");
}

static bool set_depth(th_builder *builder, th_cut *cut) {
    th_job *job = builder->job;
    bool by_itself =
        cut->operation == TH_HOLE || cut->operation == TH_DRILLED || cut->operation == TH_OUTLINE;

    cut->through = cut->through_word < 0 ? by_itself : cut->through_word == 1;
    if (cut->operation == TH_OUTLINE && !cut->through) {
        return th_builder_fail(builder, cut->section, "through", TH_CONTRADICTION,
                               "an outline cuts through; to leave metal at the bottom give skin");
    }
    if (!isnan(cut->skin)) {
        if (cut->skin >= job->part.thickness) {
            return th_builder_fail(builder, cut->section, "skin", TH_CONTRADICTION,
                                   "is as thick as the part; nothing would be cut");
        }
        cut->through = false;
        cut->depth = job->part.thickness - cut->skin;
        return true;
    }
    if (cut->through && !isnan(cut->depth)) {
        return th_builder_fail(
            builder, cut->section, "depth", TH_CONTRADICTION,
            "a through cut has no depth of its own; leave depth out, or through = no");
    }
    if (cut->through) {
        return set_through(builder, cut);
    }
    if (isnan(cut->depth) && by_itself) {
        return th_builder_fail(builder, cut->section, "depth", TH_MISSING,
                               "a blind hole needs its depth, e.g. depth = 2 mm");
    }
    cut->depth = isnan(cut->depth) ? cut->axial : cut->depth;
    if (cut->depth >= job->part.thickness * (1 - 1e-9)) {
        return fail_through(builder, cut);
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
        return TH_CAUTION(
            builder, "%s goes deeper than its cutter stands out: the holder would strike the part",
            cut->section);
    }
    return true;
}

/* ---- cuts: the whole ---------------------------------------------------------------------------
 */

static bool complete_push(th_builder *builder, th_cut *cut) {
    th_point place = {cut->at_x, cut->at_y};

    if (!th_inside(builder->job, place, 0, 0)) {
        return th_builder_fail(builder, cut->section, "at_x", TH_CONTRADICTION,
                               "the place at_x, at_y lies off the part");
    }
    if (cut->force_x == 0 && cut->force_y == 0 && cut->force_z == 0) {
        return th_builder_fail(builder, cut->section, "force_x", TH_CONTRADICTION,
                               "a push needs a force: force_x, force_y and force_z are all zero");
    }
    return true;
}

bool th_tabs_fit(const th_job *job, const th_cut *cut, double edge, th_text *why) {
    th_units units = (th_units)job->head.units;
    double kerf = cut->cutter ? cut->cutter->row.diameter : 0, length = cut->tabs.length;
    int count = cut->tabs.count, most = (int)fmin(floor(edge / (length + kerf)), TABS_MAX);
    double longest = floor((edge / count - kerf) * 1000) / 1000;
    char tab[48], gap[48], need[48], have[48];

    if (!count || count * (length + kerf) <= edge * (1 + 1e-9)) {
        return true;
    }
    th_quantity_print(length, TH_LENGTH, units, 4, tab, sizeof tab);
    th_quantity_print(kerf, TH_LENGTH, units, 4, gap, sizeof gap);
    th_quantity_print(count * (length + kerf), TH_LENGTH, units, 4, need, sizeof need);
    th_quantity_print(edge, TH_LENGTH, units, 4, have, sizeof have);
    th_text_add(why, "%d of %s with the cutter's %s between them need %s of edge, the part has %s",
                count, tab, gap, need, have);
    if (most > 0) {
        th_text_add(why, "; at most %d of that length", most);
    }
    if (longest > 0) {
        th_quantity_print(longest * (1 - 5e-3), TH_LENGTH, units, 2, tab, sizeof tab);
        th_text_add(why, "%s%s each for %d", most > 0 ? ", or " : "; at most ", tab, count);
    }
    return false;
}

/* Length round the part, where its own keys draw it (mm); NAN: a file does. */
static double edge_of(const th_part *part) {
    double sum = 0;

    if (part->outline) {
        return (double)NAN;
    }
    if (part->shape == TH_ROUND) {
        return TH_PI * fmin(part->length, part->width);
    }
    if (part->shape == TH_RECTANGLE) {
        return 2 * (part->length + part->width) - (8 - 2 * TH_PI) * part->corner_radius;
    }
    for (size_t i = 0; i < part->points.count; i++) {
        th_point a = part->points.items[i], b = part->points.items[(i + 1) % part->points.count];
        sum += hypot(b.x - a.x, b.y - a.y);
    }
    return sum;
}

static bool check_room_for_tabs(th_builder *builder, const th_cut *cut) {
    double edge = edge_of(&builder->job->part);
    th_text why = {0};
    bool fits = isnan(edge) || th_tabs_fit(builder->job, cut, edge, &why);

    if (!fits && why.failed) {
        th_fail_memory(builder->err);
    } else if (!fits) {
        th_builder_fail(builder, cut->section, "tabs", TH_BAD_RANGE, "%s", why.data);
    }
    th_text_free(&why);
    return fits;
}

/* What tabs must be for the part to hang in its sheet by them. */
static bool check_tabs(th_builder *builder, th_cut *cut) {
    const th_part *part = &builder->job->part;
    const th_count_length *tabs = &cut->tabs;
    double longer = fmax(part->length, part->width);

    if (isnan(part->sheet_length)) {
        return th_builder_fail(builder, cut->section, "tabs", TH_CONTRADICTION,
                               "without a sheet there is nothing to be tied to; give sheet_length "
                               "and sheet_width in [part], or leave tabs out");
    }
    if (!isnan(cut->skin)) {
        return th_builder_fail(builder, cut->section, "tabs", TH_CONTRADICTION,
                               "a skin ties the whole outline already; give skin or tabs");
    }
    if (tabs->count > TABS_MAX) {
        return th_builder_fail(builder, cut->section, "tabs", TH_BAD_RANGE,
                               "the number of tabs must be 1 to %d", TABS_MAX);
    }
    if (tabs->length > longer * (1 + 1e-9)) {
        return th_builder_fail(builder, cut->section, "tabs", TH_BAD_RANGE,
                               "a tab may be as wide as the part's longer side at most, %s",
                               th_builder_length(builder, longer).text);
    }
    if (isnan(part->stock->ultimate)) {
        return th_builder_fail(
            builder, cut->section, "tabs", TH_MISSING,
            "tabs bear by the tensile strength of the stock, and the row %.60s of stock.ini has no "
            "ultimate; add it there, e.g. ultimate = 200 MPa, or leave a skin",
            part->stock_id);
    }
    return check_room_for_tabs(builder, cut);
}

static bool set_tabs(th_builder *builder, th_cut *cut) {
    double thickness = builder->job->part.thickness;

    if (!cut->tabs.count) {
        return isnan(cut->tab_height) ||
               th_builder_fail(builder, cut->section, "tab_height", TH_CONTRADICTION,
                               "there are no tabs; give e.g. tabs = 4 x 5 mm");
    }
    if (!check_tabs(builder, cut)) {
        return false;
    }
    if (isnan(cut->tab_height)) {
        cut->tab_height = fmin(cut->last_axial, thickness);
        return TH_DEFAULT(builder, "%s.tab_height = %s", cut->section,
                          th_builder_length(builder, cut->tab_height).text);
    }
    return cut->tab_height <= thickness * (1 + 1e-9) ||
           th_builder_fail(builder, cut->section, "tab_height", TH_CONTRADICTION,
                           "a tab is as high as the part is thick at most, %s",
                           th_builder_length(builder, thickness).text);
}

static bool complete_outline(th_builder *builder, th_cut *cut) {
    if (cut->side == TH_INSIDE) {
        return th_builder_fail(
            builder, cut->section, "side", TH_NOT_POSSIBLE,
            "an outline goes round the outside of the part; write a round opening as operation = "
            "hole, a straight-sided one as through slots; one that is there already goes into "
            "[opening.1]");
    }
    return set_tabs(builder, cut);
}

static bool opening_cautions(th_builder *builder, th_cut *cut) {
    double diameter = cut->cutter->row.diameter;

    if (!isnan(cut->axial) && cut->axial > cut->depth * (1 + 1e-9) &&
        !TH_CAUTION(builder, "%s: axial is more than the whole depth; it is judged as stated",
                    cut->section)) {
        return false;
    }

    if (!isnan(cut->finish) && cut->finish > diameter) {
        return th_builder_fail(builder, cut->section, "finish", TH_NOT_POSSIBLE,
                               "is more than the cutter's diameter");
    }
    return true;
}

bool th_cut_complete(th_builder *builder, th_cut *cut) {
    if (cut->operation == TH_PUSH) {
        return complete_push(builder, cut);
    }
    return find_cutter(builder, cut) && check_cutter_kind(builder, cut) &&
           set_speed(builder, cut) && set_feed(builder, cut) && set_engagement(builder, cut) &&
           th_cut_places(builder, cut) && opening_cautions(builder, cut) &&
           (cut->operation != TH_OUTLINE || complete_outline(builder, cut)) &&
           (cut->operation != TH_CHAMFERING || cut->side == TH_OUTSIDE ||
            th_builder_fail(builder, cut->section, "side", TH_NOT_POSSIBLE,
                            "a chamfer follows the outside of the part; write one round an opening "
                            "as operation = engrave, with its depth, its length and places at"));
}
