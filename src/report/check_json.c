/* The answer as JSON: always metric, every field always present. */
#include <math.h>

#include "compare.h"
#include "json_parts.h"
#include "record.h"
#include "tackhold/report.h"

static void put_stress(th_json *json, const char *key, double megapascal) {
    th_json_value(json, key, 1000 * megapascal);
}

static void put_governs(th_json *json, const th_check *check) {
    th_json_key(json, "governs");
    if (check->governs >= check->stage_count) {
        th_json_null(json);
        return;
    }
    const th_stage *stage = &check->stages[check->governs];
    th_json_object(json);
    th_json_value(json, "stage", (double)check->governs);
    th_weakest_json(json, stage);
    th_json_end(json);
}

static void put_loads(th_json *json, const th_stage *s) {
    th_json_key(json, "force_N");
    th_json_object(json);
    th_json_value(json, "x_mean", s->x_mean);
    th_json_value(json, "y_mean", s->y_mean);
    th_json_value(json, "z_mean", s->z_mean);
    th_json_value(json, "in_plane_peak", s->in_plane_peak);
    th_json_value(json, "lift_peak", s->lift_peak);
    th_json_end(json);
    th_json_value(json, "torque_Nmm_peak", s->torque_peak);
    th_json_value(json, "power_W", s->power);
    th_json_value(json, "mean_chip_mm", s->mean_chip);
    th_json_value(json, "max_chip_mm", s->max_chip);
    th_json_value(json, "removal_mm3_min", s->removal);
}

static void put_bond(th_json *json, const th_stage *s) {
    put_stress(json, "average_shear_kPa", s->average_shear);
    put_stress(json, "shear_peak_kPa", s->shear_peak);
    put_stress(json, "lift_peak_kPa", s->lift_peak_traction);
    th_json_key(json, "area_model");
    th_json_object(json);
    put_stress(json, "shear_peak_kPa", s->area_shear_peak);
    put_stress(json, "lift_peak_kPa", s->area_lift_peak);
    th_json_value(json, "hold_factor", s->area_hold_factor);
    th_json_end(json);
    put_stress(json, "standing_lift_kPa", s->standing_lift);
    th_json_value(json, "unsettled", s->unsettled);
    put_stress(json, "design_shear_kPa", s->design_shear);
    put_stress(json, "design_lift_kPa", s->design_lift);
    th_json_key(json, "derating");
    th_json_object(json);
    th_json_value(json, "temperature", s->derating.temperature);
    th_json_value(json, "cooling", s->derating.cooling);
    th_json_value(json, "preparation", s->derating.preparation);
    th_json_value(json, "adhesion", s->derating.adhesion);
    th_json_value(json, "pressing", s->derating.pressing);
    th_json_value(json, "time", s->time_factor);
    th_json_value(json, "wait", s->derating.wait);
    th_json_end(json);
}

static void put_stage(th_json *json, const th_stage *s) {
    th_json_object(json);
    th_json_text(json, "name", s->name);
    th_json_text(json, "operation",
                 s->cut == NULL ? NULL : th_operation_name((th_operation)s->cut->operation));
    th_json_text(json, "cut", s->cut == NULL ? NULL : s->cut->section);
    th_json_text(json, "offcut", th_piece_name(s->piece));
    th_json_value(json, "copy", s->copy);
    th_json_flag(json, "counts", s->counts);
    th_json_value(json, "bonded_area_mm2", s->bonded_area);
    put_loads(json, s);
    put_bond(json, s);
    th_json_value(json, "tape_temperature_C", s->temperature);
    th_json_value(json, "part_temperature_C", s->part_temperature);
    th_json_value(json, "local_rise_K", s->local_rise);
    th_json_value(json, "sway_mm", s->sway);
    th_json_value(json, "creep_mm", s->creep);
    th_json_value(json, "hold_factor", s->hold_factor);
    th_json_value(json, "alone_hold_factor", s->alone_factor);
    th_json_key(json, "other_margins");
    th_json_object(json);
    th_json_value(json, "spindle_power", s->spindle_margin);
    th_json_value(json, "spindle_torque", s->torque_margin);
    th_json_value(json, "deflection", s->deflection_margin);
    th_json_value(json, "breakage", s->breakage_margin);
    th_json_value(json, "chip", s->chip_margin);
    th_json_value(json, "offcut", s->offcut_margin);
    th_json_end(json);
    th_json_end(json);
}

static void put_turn_down(th_json *json, const th_turn_down *turn) {
    th_json_object(json);
    th_json_text(json, "change", turn->change);
    th_texts_json(json, "set", turn->settings, turn->setting_count);
    if (turn->words) {
        th_json_text(json, "from", turn->from_text);
        th_json_text(json, "to", turn->to_text);
    } else {
        th_json_value(json, "from", turn->from);
        th_json_value(json, "to", turn->to);
    }
    th_json_value(json, "hold_factor", turn->hold_factor);
    th_json_value(json, "time_ratio", turn->time_ratio);
    th_json_value(json, "sway_mm", turn->sway);
    th_json_flag(json, "sways", turn->sways);
    th_json_end(json);
}

/* A hold without strength has no place and no force to name: null. */
static void put_proof(th_json *json, const th_proof_pull *proof) {
    th_json_key(json, "proof_pull");
    th_json_object(json);
    th_point nowhere = {NAN, NAN};
    th_place_json(json, "at_mm", proof->possible ? proof->at : nowhere);
    if (proof->possible) {
        th_numbers_json(json, "force_N", proof->force, 3);
    } else {
        th_json_value(json, "force_N", (double)NAN);
    }
    th_json_flag(json, "safe", proof->possible && proof->safe);
    th_json_end(json);
}

/* From the bonded face, + up. */
static void put_heights(th_json *json, const th_heights *heights) {
    th_json_key(json, "heights_mm");
    th_json_object(json);
    th_json_value(json, "top", heights->top);
    th_json_value(json, "stack", heights->stack);
    th_json_value(json, "plate_top", heights->plate_top);
    th_json_value(json, "through", heights->through);
    th_json_value(json, "into_plate", heights->into_plate);
    th_json_value(json, "plate_left", heights->plate_left);
    th_json_value(json, "table", heights->table);
    th_json_end(json);
}

static void put_usual_heat(th_json *json, const th_usual_heat *usual) {
    th_json_key(json, "usual_heat");
    if (!(usual->share > 0)) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_value(json, "share", usual->share);
    th_json_value(json, "temperature_C", usual->temperature);
    th_json_value(json, "hold_factor", usual->hold_factor);
    th_json_end(json);
}

static void put_order(th_json *json, const th_order *order) {
    th_json_key(json, "order");
    if (order->cut == NULL) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_text(json, "cut", order->cut->section);
    th_json_value(json, "hold_factor", order->hold_factor);
    th_json_value(json, "moved_hold_factor", order->moved_hold_factor);
    th_json_end(json);
}

static void put_warmth(th_json *json, const th_check *check) {
    th_json_key(json, "warmth");
    th_json_array(json);
    for (size_t i = 0; i < check->warm_count; i++) {
        const th_warm_point *point = &check->warm[i];
        th_json_object(json);
        th_json_text(json, "cut", point->cut->section);
        th_json_value(json, "time_s", point->seconds);
        th_json_value(json, "part_C", point->part);
        th_json_value(json, "plate_C", point->plate);
        th_json_value(json, "tape_C", point->tape);
        th_json_end(json);
    }
    th_json_end(json);
}

bool th_report_check_json(const th_job *job, const th_check *check, th_text *text, th_error *err) {
    th_json json = {.text = text};
    th_arena arena = {0};
    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "job", job->head.title);
    th_json_text(&json, "verdict", th_verdict_name(check->verdict));
    th_json_flag(&json, "estimate", check->estimate);
    th_json_value(&json, "hold_factor", check->hold_factor);
    th_json_value(&json, "asked_factor", check->asked_factor);
    put_governs(&json, check);
    th_json_key(&json, "stages");
    th_json_array(&json);
    for (size_t i = 0; i < check->stage_count; i++) {
        put_stage(&json, &check->stages[i]);
    }
    th_json_end(&json);
    th_json_key(&json, "turn_downs");
    th_json_array(&json);
    for (size_t i = 0; i < check->turn_down_count; i++) {
        put_turn_down(&json, &check->turn_downs[i]);
    }
    th_json_end(&json);
    th_json_lines(&json, "advice", &check->advice);
    put_proof(&json, &check->proof);
    put_order(&json, &check->order);
    put_heights(&json, &check->heights);
    put_warmth(&json, check);
    put_usual_heat(&json, &check->usual_heat);
    th_json_value(&json, "full_width_hold_factor", check->full_width);
    th_json_lines(&json, "defaults", &check->defaults);
    th_json_lines(&json, "not_checked", &check->not_checked);
    th_json_text(&json, "flips_if", check->flips_if);
    th_json_lines(&json, "cautions", &check->cautions);
    th_sources_json(&json, check->sources, check->source_count, &arena);
    th_record_json(&json, check->record);
    th_before_json(&json, check->before);
    th_json_text(&json, "before_refused", check->before_refused);
    th_json_end(&json);
    th_text_put(text, "\n");
    th_arena_free(&arena);
    return !(json.failed || text->failed) || th_fail_memory(err);
}
