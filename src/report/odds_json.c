/* The odds as JSON: always metric, every field always present, chances no finer than known. */
#include <math.h>

#include "odds.h"

static void put_chance(th_json *json, const char *key, double chance, double unit) {
    bool told = chance >= TH_CHANCE_LEAST && unit <= chance;

    th_json_value(json, key, told ? th_chance_round(chance, unit) : (double)NAN);
}

static void put_first_order(th_json *json, const th_odds *o) {
    double most = o->first_order_most;

    th_json_key(json, "first_order");
    th_json_object(json);
    put_chance(json, "chance", o->first_order, th_chance_unit(o->first_order, 1, 0));
    put_chance(json, "chance_most", most, th_chance_unit(most, 1, 0));
    th_json_value(json, "beta", o->beta);
    th_json_flag(json, "settled", o->settled);
    th_json_text(json, "stage", o->weakest);
    th_json_text(json, "layer", o->where);
    th_json_end(json);
}

static void put_odds(th_json *json, const th_odds *o) {
    th_json_key(json, "odds");
    if (!o->possible) {
        th_json_null(json);
        return;
    }
    th_json_object(json);
    put_chance(json, "chance", o->chance, th_chance_unit(o->chance, o->low, o->high));
    th_json_value(json, "under",
                  o->chance < TH_CHANCE_LEAST
                      ? fmax(th_chance_outward(o->high, true), TH_CHANCE_LEAST)
                      : (double)NAN);
    th_json_key(json, "interval");
    th_json_array(json);
    th_json_number(json, o->low < TH_CHANCE_LEAST ? 0 : th_chance_outward(o->low, false));
    th_json_number(json, fmax(th_chance_outward(o->high, true), TH_CHANCE_LEAST));
    th_json_end(json);
    put_first_order(json, o);
    th_json_value(json, "samples", o->samples);
    th_json_value(json, "randomisations", o->randomisations);
    th_json_value(json, "seed", (double)o->seed);
    th_json_value(json, "table_error", o->response_error);
    th_json_value(json, "table_judgements", (double)o->judgements);
    th_json_end(json);
}

static void put_inputs(th_json *json, const th_odds *o) {
    th_json_key(json, "inputs");
    th_json_array(json);
    for (int i = 0; i < TH_ODDS_INPUTS; i++) {
        const th_odds_input *input = &o->inputs[i];
        th_json_object(json);
        th_json_text(json, "name", input->name);
        th_json_text(json, "law", input->law);
        th_json_value(json, "middle", o->possible ? input->middle : (double)NAN);
        th_json_value(json, "spread", input->spread);
        th_json_value(json, "lets_go_at", o->possible ? input->decides : (double)NAN);
        th_json_value(json, "share", o->possible ? input->share : (double)NAN);
        th_json_text(json, "source", input->source);
        th_json_text(json, "trust", th_trust_name((th_trust)input->trust));
        th_json_end(json);
    }
    th_json_end(json);
}

bool th_report_odds_json(const th_job *job, const th_odds *odds, th_text *text, th_error *err) {
    th_json json = {.text = text};

    th_json_object(&json);
    th_json_text(&json, "tackhold", TH_VERSION);
    th_json_text(&json, "job", job->head.title);
    th_json_text(&json, "verdict", th_verdict_name(odds->verdict));
    th_json_value(&json, "hold_factor", odds->hold_factor);
    th_json_value(&json, "asked_factor", odds->asked_factor);
    put_odds(&json, odds);
    th_json_text(&json, "why", odds->why);
    put_inputs(&json, odds);
    th_json_lines(&json, "assumed", &odds->assumed);
    th_json_lines(&json, "left_out", &odds->left_out);
    th_json_end(&json);
    th_text_put(text, "\n");
    return !(json.failed || text->failed) || th_fail_memory(err);
}
