/* Limits as JSON, always metric. */
#include "limits.h"

static void put_point(th_json *json, const th_limit_point *p) {
    th_json_object(json);
    th_json_value(json, "radial_mm", p->radial);
    th_json_value(json, "axial_mm", p->axial);
    th_json_text(json, "limited_by", th_limiter_name(p->limiter));
    th_json_value(json, "axial_least_mm", p->least);
    th_json_value(json, "passes", p->passes);
    th_json_value(json, "minutes", p->minutes);
    th_json_value(json, "hold_factor", p->hold_factor);
    th_json_end(json);
}

static void put_fastest(th_json *json, const th_limit_cut *cut, th_doc *doc) {
    const th_limit_point *p = &cut->fastest;
    const char *settings[3];

    th_json_key(json, "fastest");
    if (!cut->possible) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_value(json, "radial_mm", p->radial);
    th_json_value(json, "axial_mm", p->axial);
    th_json_value(json, "passes", p->passes);
    th_json_value(json, "minutes", p->minutes);
    th_json_value(json, "hold_factor", p->hold_factor);
    th_json_value(json, "speed_rpm", cut->cut->speed);
    th_json_value(json, "feed_mm_min", cut->cut->feed);
    th_json_key(json, "set");
    th_json_array(json);
    size_t count = th_limits_settings(doc, cut, TH_MM, settings);
    for (size_t i = 0; i < count; i++) {
        th_json_string(json, settings[i]);
    }
    th_json_end(json);
    th_json_end(json);
}

static void put_cut(th_json *json, const th_limit_cut *cut, th_doc *doc) {
    th_json_object(json);
    th_json_text(json, "name", cut->cut->section);
    th_json_text(json, "operation", th_operation_name((th_operation)cut->cut->operation));
    th_json_text(json, "cutter", cut->cut->cutter->id);
    th_json_key(json, "as_stated");
    th_json_object(json);
    th_json_value(json, "radial_mm", cut->cut->radial);
    th_json_value(json, "axial_mm", cut->cut->axial);
    th_json_flag(json, "holds", cut->own_holds);
    th_json_text(json, "limited_by", cut->own_holds ? NULL : th_limiter_name(cut->own_limiter));
    th_json_end(json);
    if (cut->first_lap) {
        th_json_flag(json, "first_lap_holds", cut->lap_holds);
    } else {
        th_json_key(json, "first_lap_holds");
        th_json_null(json);
    }
    th_json_value(json, "first_strip_mm", cut->first_strip);
    th_json_flag(json, "radial_fixed", cut->radial_fixed);
    th_json_key(json, "points");
    th_json_array(json);
    for (size_t i = 0; i < cut->point_count; i++) {
        put_point(json, &cut->points[i]);
    }
    th_json_end(json);
    put_fastest(json, cut, doc);
    th_json_end(json);
}

static void put_together(th_json *json, const th_limits *limits) {
    th_json_key(json, "together");
    if (!limits->together.any) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    th_json_value(json, "hold_factor", limits->together.hold_factor);
    th_json_value(json, "minutes", limits->together.minutes);
    th_json_lines(json, "aside", &limits->together.aside);
    th_json_end(json);
}

bool th_report_limits_json(const th_job *job, const th_limits *limits, th_text *text,
                           th_error *err) {
    th_json json = {.text = text};
    th_doc scratch = {0}; /* its arena holds the settings */

    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "job", job->head.title);
    th_json_value(&json, "asked_factor", limits->asked_factor);
    put_together(&json, limits);
    th_json_key(&json, "cuts");
    th_json_array(&json);
    for (size_t i = 0; i < limits->cut_count; i++) {
        put_cut(&json, &limits->cuts[i], &scratch);
    }
    th_json_end(&json);
    th_json_lines(&json, "notes", &limits->notes);
    th_json_end(&json);
    th_text_put(text, "\n");
    bool failed = scratch.failed || json.failed || text->failed;
    th_doc_free(&scratch);
    return !failed || th_fail_memory(err);
}
