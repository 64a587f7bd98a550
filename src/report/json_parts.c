/* Members that the JSON of several answers shares. */
#include "json_parts.h"

#include <math.h>

void th_numbers_json(th_json *json, const char *key, const double *values, size_t count) {
    th_json_key(json, key);
    th_json_array(json);
    for (size_t i = 0; i < count; i++) {
        th_json_number(json, values[i]);
    }
    th_json_end(json);
}

void th_place_json(th_json *json, const char *key, th_point at) {
    const double place[2] = {at.x, at.y};

    if (isfinite(at.x) && isfinite(at.y)) {
        th_numbers_json(json, key, place, 2);
    } else {
        th_json_value(json, key, (double)NAN);
    }
}

void th_texts_json(th_json *json, const char *key, const char *const *texts, size_t count) {
    th_json_key(json, key);
    th_json_array(json);
    for (size_t i = 0; i < count; i++) {
        th_json_string(json, texts[i]);
    }
    th_json_end(json);
}

void th_weakest_json(th_json *json, const th_stage *stage) {
    th_json_text(json, "way", th_way_name(stage->way));
    th_json_text(json, "load", th_load_name(stage->load));
    th_json_text(json, "interface", stage->interface);
    th_place_json(json, "at_mm", stage->at);
}

void th_sources_json(th_json *json, const th_source *sources, size_t count, th_arena *arena) {
    th_json_key(json, "sources");
    th_json_array(json);
    for (size_t i = 0; i < count; i++) {
        const th_row_head *head = sources[i].row;
        const char *row = th_arena_print(arena, "%s.%s", th_table_name(sources[i].table), head->id);
        json->failed = json->failed || row == NULL;
        th_json_object(json);
        th_json_text(json, "row", row);
        th_json_text(json, "source", head->source);
        th_json_text(json, "trust", th_trust_name((th_trust)head->trust));
        th_json_end(json);
    }
    th_json_end(json);
}
