/* turn_cut.c - changes of one cut, and of the cutter that it shares with others. */
#include "turn_search.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Nobody takes so many more passes. */
#define LEAST_SHARE 0.005

/* ---- engagement ------------------------------------------------------------------------------ */

/* A length that reads back to exactly itself, without a blank: in the job's unit, or in millimetres
 * where those are far shorter. */
static const char *exact(th_search *search, double length) {
    char text[60], metric[60], unit[60] = "";

    th_quantity_write(length, TH_LENGTH, (th_units)search->job->head.units, text, sizeof text);
    th_quantity_write(length, TH_LENGTH, TH_MM, metric, sizeof metric);
    if (strlen(metric) + 6 < strlen(text)) {
        memcpy(text, metric, sizeof text);
    }
    if (strchr(text, ' ')) {
        snprintf(unit, sizeof unit, "%s", strchr(text, ' ') + 1);
    }
    return th_arena_print(&search->own, "%.*s%s", (int)strcspn(text, " "), text, unit);
}

/* Lighter passes of a slot or face whose depth follows from axial must keep that depth. */
static const char *same_depth(th_search *search, const th_cut *cut) {
    const char *depth = exact(search, cut->depth);

    return depth ? th_arena_print(&search->own, "%s.depth=%s", cut->section, depth) : NULL;
}

static th_ladder length_of(const th_cut *cut, const char *key, double from, double least) {
    return (th_ladder){.change = key,
                       .section = cut->section,
                       .key = key,
                       .cut = cut,
                       .kind = TH_LENGTH,
                       .from = from,
                       .least = least};
}

static bool add_axial(th_search *search, const th_cut *cut) {
    th_ladder axial =
        length_of(cut, "axial", cut->axial, fmax(TH_SHALLOWEST, LEAST_SHARE * cut->axial));
    bool shallow = (cut->operation == TH_SLOT || cut->operation == TH_FACING) && !cut->through &&
                   !th_entry_of(search->job, cut->section, "depth");
    bool two = cut->operation == TH_OUTLINE && cut->through &&
               th_entry_of(search->job, cut->section, "last_axial");

    if (shallow) {
        axial.also = same_depth(search, cut);
        if (!axial.also) {
            return th_fail_memory(search->err);
        }
    }
    if (!th_ladder_add(search, &axial)) {
        return false;
    }
    axial.with = "last_axial"; /* both may have to be lighter */
    axial.from = fmin(cut->axial, cut->last_axial);
    return !two || th_ladder_add(search, &axial);
}

/* Least stepover at which the chip is still as thick as the stock asks for. */
static double least_radial(const th_search *search, const th_cut *cut) {
    double diameter = cut->cutter->row.diameter;
    double share = search->job->part.stock->smallest_chip / cut->chip_load;

    return share < 1 ? diameter * (1 - sqrt(1 - share * share)) / 2 : INFINITY;
}

/* No cure for a pocket: its first strips are as wide as the cutter whatever is stated. */
static bool add_radial(th_search *search, const th_cut *cut) {
    double least = fmax(0.02 * cut->cutter->row.diameter, least_radial(search, cut));
    th_ladder radial = length_of(cut, "radial", cut->radial, least);

    return cut->operation != TH_FACING || th_ladder_add(search, &radial);
}

/* A thinner lap along the wall, still as thick as it cuts. */
static bool add_finish(th_search *search, const th_cut *cut) {
    th_ladder finish =
        length_of(cut, "finish", cut->finish, fmax(TH_SHALLOWEST, least_radial(search, cut)));

    return isnan(cut->finish) || th_ladder_add(search, &finish);
}

/* Lighter, but never so light that it rubs. */
static bool add_chip_load(th_search *search, const th_cut *cut) {
    bool by_feed = th_entry_of(search->job, cut->section, "feed") != NULL;
    double per_tooth = cut->cutter->row.flutes * cut->speed;
    double smallest = search->job->part.stock->smallest_chip;
    th_ladder ladder = {.change = "chip_load",
                        .section = cut->section,
                        .key = by_feed ? "feed" : "chip_load",
                        .cut = cut,
                        .kind = by_feed ? TH_FEED : TH_CHIP_LOAD,
                        .from = by_feed ? cut->feed : cut->chip_load,
                        .least = by_feed ? smallest * per_tooth : smallest};

    return th_ladder_add(search, &ladder);
}

static bool add_direction(th_search *search, const th_cut *cut) {
    bool climb = cut->direction == TH_CLIMB;
    const char *from = climb ? "climb" : "conventional", *to = climb ? "conventional" : "climb";
    th_lever lever = {.change = "direction", .cut = cut, .from_text = from};
    const char *text = th_arena_print(&search->own, "%s.direction=%s", cut->section, to);

    return text ? th_lever_words(search, &lever, text, to, 0) : th_fail_memory(search->err);
}

/* ---- the pass that frees the part, and what is left for it -------------------------------------
 */

static bool add_last_pass(th_search *search, const th_cut *cut) {
    th_ladder axial = length_of(cut, "last_axial", cut->last_axial, TH_SKIN_SURE);
    th_ladder feed = {.change = "last pass",
                      .section = cut->section,
                      .key = "last_feed",
                      .cut = cut,
                      .kind = TH_FEED,
                      .from = cut->last_feed};

    if (!cut->through) {
        return true;
    }
    axial.change = feed.change; /* both are of the last pass */
    feed.least = search->job->part.stock->smallest_chip * cut->cutter->row.flutes * cut->speed;
    return th_ladder_add(search, &axial) && th_ladder_add(search, &feed);
}

/* Left at the bottom and taken off by hand later: the job's units in round numbers. */
static bool add_skin(th_search *search, const th_cut *cut) {
    static const double mm[] = {TH_SKIN_SURE, 0.5, 0.8, 1.2, 2};
    static const double inch[] = {0.016, 0.02, 0.03, 0.05, 0.08};
    bool inches = search->job->head.units == TH_INCH;
    double now = isnan(cut->skin) ? 0 : cut->skin;
    th_lever lever = {.change = "skin", .cut = cut, .kind = TH_LENGTH, .from = cut->skin};
    th_lever *added;

    if (cut->tabs.count) {
        return true; /* a skin or tabs, never both */
    }
    lever.climbs = true;
    added = th_lever_add(search, &lever);
    for (size_t i = 0; added && i < sizeof mm / sizeof mm[0]; i++) {
        double value = inches ? inch[i] * 25.4 : mm[i];
        th_rung *rung;
        if (value <= now * (1 + 1e-9) || value > search->job->part.thickness / 2) {
            continue;
        }
        rung = th_rung_add(search, added, value, NULL, now > 0 ? 0 : TH_SKIN_OFF);
        if (!rung || !th_rung_set(search, rung, cut->section, "skin",
                                  th_value_text(search, value, TH_LENGTH))) {
            return false;
        }
    }
    return added != NULL;
}

static bool add_tab_rung(th_search *search, const th_cut *cut, th_lever *lever, int count,
                         const double size[2]) {
    const char *length = th_value_text(search, size[0], TH_LENGTH);
    const char *height = th_value_text(search, size[1], TH_LENGTH);
    const char *tabs = length ? th_arena_print(search->arena, "%dx%s", count, length) : NULL;
    th_rung *rung = tabs ? th_rung_add(search, lever, count * size[0] * size[1], tabs,
                                       cut->tabs.count ? 0 : TH_SKIN_OFF)
                         : NULL;

    if (!rung || !height) {
        return th_fail_memory(search->err);
    }
    return th_rung_set(search, rung, cut->section, "tabs", tabs) &&
           th_rung_set(search, rung, cut->section, "tab_height", height);
}

/* A height that reads well, at most the thickness. */
static double tab_height(const th_search *search, double share) {
    double unit = search->job->head.units == TH_INCH ? 25.4 / 1000 : 0.1;

    return fmax(floor(share * search->job->part.thickness / unit * (1 + 1e-9)), 1) * unit;
}

static bool add_tabs(th_search *search, const th_cut *cut) {
    static const struct {
        int count;
        double mm, inch, share; /* width and height over thickness */
    } sizes[] = {{4, 3, 0.12, 0.33}, {4, 5, 0.2, 0.5}, {4, 8, 0.3, 0.5},
                 {6, 8, 0.3, 0.5},   {8, 8, 0.3, 0.5}, {8, 10, 0.4, 0.75}};
    const th_part *part = &search->job->part;
    double now = cut->tabs.count ? cut->tabs.count * cut->tabs.length * cut->tab_height : 0;
    char from[80] = "none", length[40];
    th_lever lever = {.change = "tabs", .cut = cut, .climbs = true, .from = now}, *added;

    if (isnan(part->sheet_length) || isnan(part->stock->ultimate) || !isnan(cut->skin)) {
        return true;
    }
    th_quantity_print(cut->tabs.length, TH_LENGTH, (th_units)search->job->head.units, 3, length,
                      sizeof length);
    if (cut->tabs.count) {
        snprintf(from, sizeof from, "%d x %s", cut->tabs.count, length);
    }
    lever.from_text = th_arena_copy(search->arena, from, strlen(from));
    added = lever.from_text ? th_lever_add(search, &lever) : NULL;
    for (size_t i = 0; added && i < sizeof sizes / sizeof sizes[0]; i++) {
        double size[2] = {search->job->head.units == TH_INCH ? sizes[i].inch * 25.4 : sizes[i].mm,
                          tab_height(search, sizes[i].share)};
        if (sizes[i].count * size[0] * size[1] > now &&
            !add_tab_rung(search, cut, added, sizes[i].count, size)) {
            return false;
        }
    }
    return added || th_fail_memory(search->err);
}

bool th_cut_levers(th_search *search, const th_cut *cut) {
    bool shaped = cut->operation == TH_ENGRAVE || cut->operation == TH_CHAMFERING;
    bool drilled = cut->operation == TH_DRILLED;

    if (cut->operation == TH_PUSH) {
        return true;
    }
    if (!add_chip_load(search, cut)) {
        return false;
    }
    return drilled ||
           (add_radial(search, cut) && (shaped || add_axial(search, cut)) &&
            add_direction(search, cut) && add_finish(search, cut) &&
            (cut->operation != TH_OUTLINE ||
             (add_last_pass(search, cut) && add_skin(search, cut) && add_tabs(search, cut))));
}

/* ---- heat ------------------------------------------------------------------------------------ */

/* Fewer revolutions, the feed along with them where it is stated. */
static bool add_speed(th_search *search, const th_cut *cut) {
    static const char *const feeds[] = {"feed", "last_feed"};
    const double values[] = {cut->feed, cut->last_feed};
    th_ladder speed = {.change = "speed",
                       .section = cut->section,
                       .key = "speed",
                       .cut = cut,
                       .kind = TH_SPINDLE_SPEED,
                       .from = cut->speed,
                       .least = search->job->machine.speed_min};
    size_t own = search->lever_count;
    th_lever *lever;

    if (!th_ladder_add(search, &speed)) {
        return false;
    }
    lever = own < search->lever_count ? search->levers[own] : NULL;
    for (size_t i = 0; lever && i < lever->count; i++) {
        for (size_t k = 0; k < 2; k++) {
            double value = values[k] * lever->rungs[i].to / cut->speed;
            if (th_entry_of(search->job, cut->section, feeds[k]) &&
                !th_rung_set(search, &lever->rungs[i], cut->section, feeds[k],
                             th_value_text(search, value, TH_FEED))) {
                return false;
            }
        }
    }
    return true;
}

/* What the sacrificial plate has taken in by then goes through to the table. */
static bool add_rest(th_search *search, const th_cut *cut) {
    static const double seconds[] = {2,  5,   10,  15,  20,  30,  45,  60,
                                     90, 120, 180, 300, 600, 900, 1800};
    double now = isnan(cut->rest) ? 0 : cut->rest;
    th_lever lever = {.change = "rest", .cut = cut, .climbs = true, .kind = TH_TIME, .from = now};
    th_lever *added = th_lever_add(search, &lever);

    for (size_t i = 0; added && i < sizeof seconds / sizeof seconds[0]; i++) {
        th_rung *rung;
        char text[40];
        if (seconds[i] <= now) {
            continue;
        }
        th_print(text, sizeof text, "%.0fs", seconds[i]);
        rung = th_rung_add(search, added, seconds[i], NULL, 0);
        if (!rung || !th_rung_set(search, rung, cut->section, "rest", text)) {
            return false;
        }
    }
    return added != NULL;
}

bool th_heat_levers(th_search *search, const th_cut *cut) {
    return cut->operation == TH_PUSH || (add_speed(search, cut) && add_rest(search, cut));
}

/* ---- cutters ----------------------------------------------------------------------------------
 */

/* The cutter that comes out of a change, diameter NAN where the job refuses it. False only when
 * memory ran out. */
static bool cutter_with(th_search *search, const th_job_cutter *cutter, const th_rung *rung,
                        th_cutter *row) {
    th_error inner = {.code = TH_OK};
    th_job *changed;

    *row = (th_cutter){.diameter = (double)NAN};
    if (!th_job_change(search->job, rung->settings, rung->count, &changed, &inner)) {
        return inner.code != TH_NO_MEMORY || th_fail_memory(search->err);
    }
    for (size_t i = 0; i < changed->cutter_count; i++) {
        if (strcmp(changed->cutters[i].name, cutter->name) == 0) {
            *row = changed->cutters[i].row;
        }
    }
    th_job_free(changed);
    return true;
}

static bool same_size(const th_cutter *a, const th_cutter *b) {
    return fabs(a->diameter - b->diameter) < 0.005 * b->diameter;
}

static th_lever *cutter_lever(th_search *search, const char *change, const char *from) {
    th_lever lever = {.change = change, .from_text = from};

    return th_lever_add(search, &lever);
}

/* Add a row of the table as a value, if the job takes it and `fits` says so of what comes out. */
static bool add_row(th_search *search, const th_job_cutter *cutter, const th_cutter *row,
                    th_lever *lever, bool (*fits)(const th_cutter *now, const th_cutter *then)) {
    const char *section = th_arena_print(&search->own, "cutter.%s", cutter->name);
    th_rung *rung = th_rung_add(search, lever, row->diameter, row->head.id, TH_CUTTER_CHANGE);
    th_cutter then;

    if (!section || !rung) {
        return th_fail_memory(search->err);
    }
    if (!th_rung_set(search, rung, section, "id", row->head.id)) {
        return false;
    }
    for (size_t i = 0; i < search->job->cut_count; i++) { /* full width stays full width */
        const th_cut *cut = &search->job->cuts[i];
        bool wide = cut->cutter == cutter && cut->operation != TH_HOLE &&
                    cut->operation != TH_SLOT && cut->radial > row->diameter;
        if (wide &&
            (rung->count >= TH_RUNG_SETTINGS ||
             !th_rung_set(search, rung, cut->section, "radial", exact(search, row->diameter)))) {
            lever->count--;
            return rung->count >= TH_RUNG_SETTINGS;
        }
    }
    if (!cutter_with(search, cutter, rung, &then)) {
        return false;
    }
    if (isnan(then.diameter) || !fits(&cutter->row, &then)) {
        lever->count--;
    }
    return true;
}

static bool is_smaller(const th_cutter *now, const th_cutter *then) {
    return then->diameter < 0.995 * now->diameter;
}

static bool has_fewer(const th_cutter *now, const th_cutter *then) {
    return then->flutes < now->flutes && same_size(then, now);
}

/* A smaller cutter makes the same part only where its width is not the width of what it cuts. */
static bool size_is_free(const th_job *job, const th_job_cutter *cutter) {
    bool used = false;

    for (size_t i = 0; i < job->cut_count; i++) {
        const th_cut *cut = &job->cuts[i];
        bool wide = cut->operation == TH_FACING || cut->operation == TH_POCKET ||
                    cut->operation == TH_OUTLINE || cut->operation == TH_HOLE;
        if (cut->cutter == cutter && !wide) {
            return false;
        }
        used = used || cut->cutter == cutter;
    }
    return used;
}

/* The next smaller row of the same kind: of as many flutes, if there is one. */
static const th_cutter *next_smaller(const th_search *search, const th_cutter *now, double below) {
    const th_tables *tables = search->job->tables;
    const th_cutter *found = NULL;

    for (size_t i = 0; i < th_tables_count(tables, TH_CUTTERS); i++) {
        const th_cutter *row = th_tables_row(tables, TH_CUTTERS, i);
        bool like = row->kind == now->kind && row->helix_pulls == now->helix_pulls &&
                    row->material == now->material && row->diameter < 0.995 * below;
        bool better = found && same_size(row, found) && found->flutes != now->flutes &&
                      row->flutes == now->flutes;
        if (like && (!found || row->diameter > 1.005 * found->diameter || better)) {
            found = row;
        }
    }
    return found;
}

/* A chip load that is stated must suit the smaller cutter too. */
static bool chip_suits(const th_search *search, const th_job_cutter *cutter, double diameter) {
    double usual = search->job->part.stock->chip_load_per_diameter * diameter;

    for (size_t i = 0; i < search->job->cut_count; i++) {
        const th_cut *cut = &search->job->cuts[i];
        bool stated =
            cut->cutter == cutter && (th_entry_of(search->job, cut->section, "feed") ||
                                      th_entry_of(search->job, cut->section, "chip_load"));
        if (stated && cut->chip_load > 2.5 * usual) {
            return false;
        }
    }
    return true;
}

static bool add_smaller(th_search *search, const th_job_cutter *cutter) {
    th_lever *lever;
    double least = cutter->row.diameter / 5; /* nobody cuts for a day */

    if (!size_is_free(search->job, cutter)) {
        return true;
    }
    lever = cutter_lever(search, "smaller cutter", cutter->id);
    if (lever) {
        lever->climbs = true;
        lever->from = cutter->row.diameter;
    }
    for (const th_cutter *row = next_smaller(search, &cutter->row, cutter->row.diameter);
         lever && row && row->diameter >= least;
         row = next_smaller(search, &cutter->row, row->diameter)) {
        if (chip_suits(search, cutter, row->diameter) &&
            !add_row(search, cutter, row, lever, is_smaller)) {
            return false;
        }
    }
    return lever != NULL;
}

/* A row of the same size with so many flutes, pulling so; 0 flutes: as many as now if there is
 * one. NULL: there is none. */
static const th_cutter *same_size_row(const th_search *search, const th_cutter *now, int flutes,
                                      int pulls) {
    const th_tables *tables = search->job->tables;
    const th_cutter *found = NULL;

    for (size_t i = 0; i < th_tables_count(tables, TH_CUTTERS); i++) {
        const th_cutter *row = th_tables_row(tables, TH_CUTTERS, i);
        bool like = row->kind == now->kind && row->helix_pulls == pulls &&
                    row->material == now->material && same_size(row, now) &&
                    (flutes == 0 || row->flutes == flutes);
        if (like && (!found || (found->flutes != now->flutes && row->flutes == now->flutes))) {
            found = row;
        }
    }
    return found;
}

static bool add_described(th_search *search, const th_job_cutter *cutter, th_lever *lever,
                          int flutes) {
    const char *section = th_arena_print(&search->own, "cutter.%s", cutter->name);
    th_rung *rung;
    char text[24];

    snprintf(text, sizeof text, "%d", flutes);
    rung = th_rung_add(search, lever, 0, text, TH_CUTTER_CHANGE);
    return section && rung ? th_rung_set(search, rung, section, "flutes", text)
                           : th_fail_memory(search->err);
}

/* By a row of the table if it has some, else described. */
static bool add_fewer(th_search *search, const th_job_cutter *cutter) {
    th_lever *lever = cutter_lever(search, "fewer flutes", cutter->id);
    size_t rows;

    if (!lever) {
        return false;
    }
    for (int flutes = cutter->row.flutes - 1; flutes >= 1; flutes--) {
        const th_cutter *row = same_size_row(search, &cutter->row, flutes, cutter->row.helix_pulls);
        if (row && !add_row(search, cutter, row, lever, has_fewer)) {
            return false;
        }
    }
    rows = lever->count;
    for (int flutes = cutter->row.flutes - 1; flutes >= 1 && rows == 0; flutes--) {
        if (!add_described(search, cutter, lever, flutes)) {
            return false;
        }
    }
    return true;
}

/* Flutes that do not lift: named by its row, or described where the tables have none. */
static bool add_helix(th_search *search, const th_job_cutter *cutter, int pulls, const char *word) {
    const th_cutter *row = same_size_row(search, &cutter->row, 0, pulls);
    const char *section = th_arena_print(&search->own, "cutter.%s", cutter->name);
    th_lever *lever = cutter_lever(search, "helix", row ? cutter->id : "up");
    th_rung *rung =
        lever ? th_rung_add(search, lever, 0, row ? row->head.id : word, TH_CUTTER_CHANGE) : NULL;

    if (!section || !rung) {
        return th_fail_memory(search->err);
    }
    if (row) {
        return th_rung_set(search, rung, section, "id", row->head.id);
    }
    return th_rung_set(search, rung, section, "helix_pulls", word) &&
           (pulls != TH_STRAIGHT || th_rung_set(search, rung, section, "helix", "0deg"));
}

/* A new edge in place of a used one. */
static bool add_wear(th_search *search, const th_job_cutter *cutter) {
    th_lever lever = {.change = "wear", .kind = TH_RATIO, .from = cutter->wear};
    const char *section = th_arena_print(&search->own, "cutter.%s", cutter->name);
    th_lever *added;
    th_rung *rung;

    if (!(cutter->wear > 1)) {
        return true;
    }
    added = section ? th_lever_add(search, &lever) : NULL;
    rung = added ? th_rung_add(search, added, 1, NULL, TH_CUTTER_CHANGE) : NULL;
    return rung ? th_rung_set(search, rung, section, "wear", "1") : th_fail_memory(search->err);
}

bool th_cutter_levers(th_search *search, const th_job_cutter *cutter) {
    const th_cutter *row = &cutter->row;

    if (row->kind == TH_DRILL) {
        return add_wear(search, cutter);
    }
    return (row->helix_pulls != TH_UP || (add_helix(search, cutter, TH_DOWN, "down") &&
                                          add_helix(search, cutter, TH_STRAIGHT, "straight"))) &&
           add_smaller(search, cutter) && add_fewer(search, cutter) && add_wear(search, cutter);
}
