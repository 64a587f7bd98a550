/* fuzz_program.c - no text may crash the reader of programs or make it run without bound. In one
 * that it accepts every move is a number within reach, cuts have a feed, and each begins where the
 * last one ended unless the report says that the tool was out of sight. */
#include "sound.h"

#include "tackhold/program.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct {
    bool any, jumped;
    double at[3];
    long long count;
} seen;

static bool check_move(void *context, const th_move *move, th_error *err) {
    seen *s = context;
    bool cuts = move->kind == TH_MOVE_LINE || move->kind == TH_MOVE_ARC;

    (void)err;
    insist(move->kind >= TH_MOVE_RAPID && move->kind <= TH_MOVE_STOP && move->line >= 1);
    insist(cuts == (move->feed > 0) && isfinite(move->feed) && isfinite(move->sweep));
    insist(move->seconds >= 0 && move->seconds <= 1e6 && move->speed >= 0 && move->speed <= 1e6);
    for (int a = 0; a < 3; a++) {
        insist(fabs(move->from[a]) <= 4 * TH_PROGRAM_REACH);
        insist(fabs(move->to[a]) <= 4 * TH_PROGRAM_REACH);
        s->jumped = s->jumped || (s->any && move->from[a] != s->at[a]);
        s->at[a] = move->to[a];
    }
    if (move->kind == TH_MOVE_ARC) {
        insist(fabs(move->centre[0]) <= 4 * TH_PROGRAM_REACH);
        insist(fabs(move->centre[1]) <= 4 * TH_PROGRAM_REACH);
        insist(move->sweep != 0);
    }
    s->any = true;
    s->count++;
    return true;
}

static bool out_of_sight(const th_program_report *report) {
    bool found = report->left_off > 0;

    for (size_t i = 0; i < report->warning_count; i++) {
        insist(report->warnings[i].line >= 0 && report->warnings[i].text[0] != '\0');
        found = found || strstr(report->warnings[i].text, "not known");
    }
    return found;
}

static void check_read(const uint8_t *data, size_t size, const th_program_options *options) {
    th_program_report report;
    th_error err = {0};
    seen s = {0};
    long long total = 0;

    if (th_program_read((const char *)data, size, options, check_move, &s, &report, &err)) {
        insist(!s.jumped || isnan(options->start[0]) || out_of_sight(&report));
        insist(report.blocks <= 2 * options->blocks_max);
        for (int kind = 0; kind < 5; kind++) {
            total += report.moves[kind];
        }
        insist(total >= s.count);
        insist(report.feed_length >= 0 && isfinite(report.feed_length));
        insist(!(report.low[0] > report.high[0]));
    } else {
        insist(err.code != TH_OK && err.message[0] != '\0' && err.line >= 0);
    }
    th_program_report_free(&report);
}

/* Invented. */
static const th_program_tool tools[] = {{1, 50, 6}, {2, 60, 3}, {3, NAN, 0.5}};

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    th_program_options options = th_program_defaults();

    options.blocks_max = 3000;
    options.m98 = TH_M98_COUNT_IN_P;
    options.block_delete = true;
    options.arc_centre_absolute = true;
    options.inward = TH_INWARD_REFUSE;
    check_read(data, size, &options);
    options = th_program_defaults();
    options.blocks_max = 3000;
    options.tools = tools;
    options.tool_count = 3;
    for (int a = 0; a < 3; a++) {
        options.start[a] = 10;
        options.machine_zero[a] = 100;
        options.home[0][a] = 50;
    }
    check_read(data, size, &options);
    return 0;
}
