/* The answer for a program as JSON: always metric, every field always present. */
#include <math.h>

#include "json_parts.h"

static void put_slow_line(th_json *json, const th_slow_line *line) {
    th_json_object(json);
    th_json_value(json, "line", line->line);
    th_json_value(json, "feed_mm_min", line->from);
    th_json_value(json, "to_mm_min", line->why_not ? (double)NAN : line->to);
    th_json_value(json, "hold_factor", line->hold_factor);
    th_json_text(json, "why_not", line->why_not);
    th_json_end(json);
}

/* As the text tells it: by the plate where it was asked and there is strength to fail. */
static th_way way_of(const th_worst_line *line) {
    return line->asked && line->load.hold_factor > 0 ? line->bent.way : line->load.way;
}

static void put_load(th_json *json, const th_worst_line *line) {
    const th_step_load *load = &line->load;
    const double bond[2] = {load->bond_at.x, load->bond_at.y};

    th_json_value(json, "tool", load->tool);
    th_numbers_json(json, "at_mm", load->at, 3);
    th_json_value(json, "radial_mm", load->radial);
    th_json_value(json, "low_mm", load->low);
    th_json_value(json, "high_mm", load->high);
    th_json_value(json, "chip_load_mm", load->chip_load);
    th_json_value(json, "max_chip_mm", load->max_chip);
    th_json_key(json, "force_N");
    th_json_object(json);
    th_json_value(json, "in_plane_peak", load->in_plane_peak);
    th_json_value(json, "lift_peak", load->lift_peak);
    th_json_end(json);
    th_json_value(json, "torque_Nmm_peak", load->torque_peak);
    th_json_value(json, "power_W", load->power);
    th_json_value(json, "bonded_area_mm2", load->bonded_area);
    th_json_text(json, "way", th_way_name(way_of(line)));
    th_json_text(json, "load", th_load_name(load->load));
    th_json_text(json, "interface", load->interface);
    th_numbers_json(json, "bond_at_mm", bond, 2);
    th_json_value(json, "tape_temperature_C", load->temperature);
    th_json_text(json, "piece", th_piece_name(load->kind));
    th_json_flag(json, "freeing", load->freeing);
}

static void put_worst(th_json *json, const th_run *run) {
    th_json_key(json, "worst");
    th_json_array(json);
    for (size_t i = 0; i < run->worst_count; i++) {
        const th_worst_line *line = &run->worst[i];
        th_json_object(json);
        th_json_value(json, "line", line->load.line);
        th_json_text(json, "text", line->text);
        th_json_value(json, "hold_factor", line->hold_factor);
        th_json_value(json, "area_hold_factor", line->load.hold_factor);
        th_json_value(json, "plate_hold_factor",
                      line->asked ? line->bent.hold_factor : (double)NAN);
        put_load(json, line);
        th_json_end(json);
    }
    th_json_end(json);
}

static void put_strip(th_json *json, const th_run *run) {
    th_json_key(json, "strip");
    th_json_array(json);
    for (size_t i = 0; i < run->strip_count; i++) {
        const th_strip_bin *bin = &run->strip[i];
        th_json_object(json);
        th_json_value(json, "from_line", bin->from_line);
        th_json_value(json, "to_line", bin->to_line);
        th_json_value(json, "hold_factor", bin->hold_factor);
        th_json_end(json);
    }
    th_json_end(json);
}

static void put_loose(th_json *json, const th_run *run) {
    th_json_key(json, "loose");
    th_json_array(json);
    for (size_t i = 0; i < run->loose_count; i++) {
        const th_loose *loose = &run->loose[i];
        th_json_object(json);
        th_json_value(json, "line", loose->line);
        th_json_text(json, "piece", th_piece_name(loose->kind));
        th_json_value(json, "copy", loose->copy);
        th_json_flag(json, "counts", loose->counts);
        th_json_flag(json, "tabs", loose->tabs);
        th_json_value(json, "tabs_cut_line",
                      loose->tabs_line > 0 ? (double)loose->tabs_line : (double)NAN);
        th_json_value(json, "bonded_area_mm2", loose->area);
        th_numbers_json(json, "box_mm", loose->stands, 4);
        th_json_value(json, "hold_factor", loose->hold_factor);
        th_json_end(json);
    }
    th_json_end(json);
}

static void put_found(th_json *json, const th_run *run) {
    static const char *const names[] = {"rapid", "table", "spindle stopped", "spindle backwards",
                                        "flutes", "shank"};

    th_json_key(json, "found");
    th_json_array(json);
    for (size_t i = 0; i < run->found_count; i++) {
        const th_found *found = &run->found[i];
        th_json_object(json);
        th_json_value(json, "line", found->line);
        th_json_text(json, "kind", names[found->kind]);
        th_json_value(json, "depth_mm", found->depth);
        th_numbers_json(json, "at_mm", found->at, 3);
        th_json_end(json);
    }
    th_json_end(json);
}

static void put_slow(th_json *json, const th_program_shown *shown) {
    const th_slow *slow = shown->slow;

    th_json_key(json, "slowed");
    if (!slow) {
        th_json_null(json);
        return;
    }
    bool any = slow->changed > 0;
    th_json_object(json);
    th_json_text(json, "file", shown->slow_written ? shown->slow_to : NULL);
    th_json_text(json, "verdict", any ? th_verdict_name(slow->after.verdict) : NULL);
    th_json_value(json, "hold_factor", any ? slow->after.hold_factor : (double)NAN);
    th_json_value(json, "time_s", any ? slow->after.seconds : (double)NAN);
    th_json_value(json, "changed", (double)slow->changed);
    th_json_key(json, "lines");
    th_json_array(json);
    for (size_t i = 0; i < slow->count; i++) {
        put_slow_line(json, &slow->lines[i]);
    }
    th_json_end(json);
    th_json_end(json);
}

static void put_figures(th_json *json, const th_run *run) {
    th_json_key(json, "heights_mm");
    th_json_object(json);
    th_json_value(json, "lowest", run->lowest);
    th_json_value(json, "lowest_line", run->lowest_line);
    th_json_value(json, "plate_top", run->plate_top);
    th_json_value(json, "table", run->table);
    th_json_end(json);
    th_json_value(json, "time_s", run->seconds);
    th_json_value(json, "cutting_s", run->cutting);
    th_json_value(json, "removed_mm3", run->removed);
    th_json_value(json, "force_peak_N", run->peak_force);
    th_json_value(json, "power_peak_W", run->peak_power);
    th_json_value(json, "sway_mm", run->sway);
    th_json_value(json, "tape_temperature_C", run->warmest);
    th_json_value(json, "warmest_line", run->warmest_line);
    th_json_value(json, "cell_mm", run->cell);
    th_json_value(json, "steps", (double)run->steps);
    th_json_value(json, "lines", run->reading.lines);
    th_json_value(json, "blocks", (double)run->reading.blocks);
}

bool th_report_program_json(const th_program_shown *shown, th_text *text, th_error *err) {
    const th_run *run = shown->run;
    th_json json = {.text = text};
    th_arena arena = {0};

    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "job", shown->job->head.title);
    th_json_text(&json, "program", shown->file);
    th_json_text(&json, "verdict", th_verdict_name(run->verdict));
    th_json_flag(&json, "estimate", run->estimate);
    th_json_lines(&json, "held_back", &run->held_back);
    th_json_value(&json, "hold_factor", run->hold_factor);
    th_json_value(&json, "asked_factor", run->asked_factor);
    th_json_value(&json, "area_hold_factor", run->area_factor);
    th_json_value(&json, "bending", run->bending);
    th_json_value(&json, "plates_asked", (double)run->plates_asked);
    th_json_value(&json, "lines_below", (double)run->short_lines);
    put_worst(&json, run);
    put_strip(&json, run);
    put_loose(&json, run);
    put_found(&json, run);
    put_figures(&json, run);
    put_slow(&json, shown);
    th_json_lines(&json, "defaults", &run->defaults);
    th_json_lines(&json, "not_checked", &run->not_checked);
    th_json_lines(&json, "cautions", &run->cautions);
    th_sources_json(&json, run->sources, run->source_count, &arena);
    th_json_end(&json);
    th_text_put(text, "\n");
    th_arena_free(&arena);
    return !(json.failed || text->failed) || th_fail_memory(err);
}
