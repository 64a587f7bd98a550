/* odds_case.c - jobs whose chance of letting go is asked for. */
#include "support/odds_case.h"

draft odds_pushed(double factor) {
    double force[3] = {1000, 0, 0};
    draft d = plate(60, 40, 5);
    answer a;

    put(&d, "hold", "wait", "24 h");
    add_push(&d, "cut.1", force, 30, 20);
    run(&d, false, &a);
    force[0] *= a.check.hold_factor / factor;
    answer_free(&a);
    drop(&d, "cut.1", "force_x");
    put_number(&d, "cut.1", "force_x", force[0], "N");
    return d;
}

th_odds odds_with(const draft *d, const th_odds_options *options) {
    static const th_check_options check = {.turn_downs = false};
    th_odds_options own = *options;
    th_job *job = built(d);
    th_odds odds;
    th_error err;

    own.check = &check;
    if (!th_odds_run(job, &own, &odds, &err)) {
        fail_msg("no odds: %s", err.message);
    }
    th_job_free(job);
    return odds;
}

th_odds_options odds_two_spreads(double strength, double force) {
    return (th_odds_options){.samples = 65536,
                             .spreads = {strength, strength, strength, force, NONE, NONE, NONE}};
}

draft odds_grooved(const char *speed) {
    draft d = plate(70, 50, 2);

    put(&d, "hold", "wait", "24 h");
    add_cut(&d, "cut.1", "slot", "flat-3mm-2");
    put(&d, "cut.1", "axial", "0.4");
    put(&d, "cut.1", "speed", speed);
    return d;
}
