/* card_steps.c - what to do at the bench and at the machine, in order, and what to beware of; every
 * line follows from the job. */
#include <math.h>
#include <string.h>

#include "card.h"
#include "words.h"

typedef struct {
    const th_job *job;
    const th_check *check;
    th_units units;
    th_doc *doc;
    bool glued;   /* two tapes with glue between; else one double-sided tape */
    bool plastic; /* ISO 513 letter O: solvents and heat harm it */
    bool cuts;    /* something is milled or drilled, not only pushed */
} view;

enum { GROUP_PLASTICS = 6 };

static const char *q(const view *v, double value, th_kind kind) {
    return th_words_quantity(v->doc, value, kind, v->units);
}

static const char *n(const view *v, double value) {
    return th_words_number(v->doc, value, 3);
}

/* Kilograms and pounds, as scales show them. */
static const char *weight(const view *v, double newton) {
    const char *kg = th_words_number(v->doc, newton / 9.80665, 2);
    const char *lb = th_words_number(v->doc, newton / 4.4482216, 2);

    return v->units == TH_INCH ? th_words_print(v->doc, "%s lb (%s kg)", lb, kg)
                               : th_words_print(v->doc, "%s kg (%s lb)", kg, lb);
}

/* ---- before gluing --------------------------------------------------------------------------- */

/* How a plate is made flat and clean; what is not listed gets the plain words. */
typedef struct {
    const char *id, *care;
    bool metal; /* stands solvent */
} plate_care;

static plate_care care_of(const char *id) {
    static const plate_care cares[] = {
        {"skimmed-aluminium",
         "Skim it with a light cut where the stock will lie, until it cleans up; no step, no burr",
         true},
        {"ground-steel", "Stone it, do not mill it; no burr, no nick", true},
        {"plastic", "Mill it flat with a light cut where the stock will lie", false},
        {"sealed-board",
         "Skim it flat, seal it with lacquer, let that dry, sand it smooth and take off all dust",
         false},
        {"raw-board", "Skim it flat and take off all dust with a vacuum cleaner", false},
    };
    for (size_t i = 0; i < sizeof cares / sizeof *cares; i++) {
        if (strcmp(cares[i].id, id) == 0) {
            return cares[i];
        }
    }
    return (plate_care){id, "Make it flat and smooth where the stock will lie", false};
}

static void put_plate(const view *v) {
    const th_hold *hold = &v->job->hold;
    const th_heights *h = &v->check->heights;
    const plate_care care = care_of(hold->plate_id);
    const char *clean = care.metal ? "Clean it with solvent until the cloth stays clean."
                                   : "Wipe it clean and dry; only what it stands, no acetone.";
    const char *left = "";
    if (isfinite(h->through)) {
        left = th_words_print(v->doc, ", %s of it left under the deepest cut (%s asked)",
                              th_words_height(v->doc, h->plate_left, v->units),
                              q(v, hold->plate_left, TH_LENGTH));
    }
    th_doc_step(v->doc, "Sacrificial plate.", "%s. After that it counts as %s thick%s. %s",
                care.care, q(v, hold->plate_thickness, TH_LENGTH), left, clean);
}

static void put_stock(const view *v) {
    static const char *const ways[] = {
        "Scuff the underside dull with fine abrasive, then clean it",
        "Clean the underside",
        ("The job takes the underside as it is, not cleaned (x 0.6 on its grip); cleaning it costs "
         "nothing: do it"),
    };
    const char *with = v->plastic ? "with what its maker allows (solvent cracks some plastics)"
                                  : "with acetone or isopropyl alcohol";
    const char *bow = "";
    if (isfinite(v->job->part.bow)) {
        bow = th_words_print(v->doc, " It is bowed by %s: the tape pulls it flat all the time.",
                             q(v, v->job->part.bow, TH_LENGTH));
    }
    th_doc_step(
        v->doc, "Stock.",
        "Deburr the edges. %s %s, a fresh face of the cloth each wipe. Let it dry; no fingers "
        "on it from here on.%s",
        ways[v->job->hold.preparation], with, bow);
}

static const char *tape_words(const view *v, const th_tape *tape) {
    return th_words_print(v->doc, "%s (%s)", tape->head.id, q(v, tape->thickness, TH_LENGTH));
}

static void put_tape(const view *v) {
    const th_hold *hold = &v->job->hold;
    const char *where = hold->taped != NULL
                            ? th_words_print(v->doc, "strips where %s draws them", hold->taped)
                            : "strips side by side all over the underside";
    const char *plate = "";
    if (v->glued) {
        plate = strcmp(hold->tape_id, hold->tape_below_id) == 0
                    ? " The same on the plate under it."
                    : th_words_print(v->doc, " On the plate under it: %s.",
                                     tape_words(v, hold->tape_below));
    }
    th_doc_step(
        v->doc, "Tape.",
        "%s, %s: no overlap (it rocks on one), bubble or crease, gaps as narrow as you can. "
        "%s %% of the area must stick.%s",
        tape_words(v, hold->tape), where, n(v, 100 * hold->coverage), plate);
}

static void put_pressing(const view *v) {
    static const char *const ways[] = {
        "Press every strip down under a flat weight",
        "Roll every strip down hard, both ways, with a hand roller",
        "Rub every strip down with the thumb; a roller would hold more (x 0.9 against x 0.7)",
    };
    const char *liner =
        v->glued ? ""
                 : " Peel the liner, set the stock down in one go, and press or roll it again.";
    th_doc_step(v->doc, "Press the tape.", "%s.%s", ways[v->job->hold.pressed], liner);
}

/* ---- gluing ---------------------------------------------------------------------------------- */

/* The largest area that is bonded at any stage (mm2). */
static double bonded(const th_check *check) {
    double most = 0;
    for (size_t i = 0; i < check->stage_count; i++) {
        most = fmax(most, check->stages[i].bonded_area);
    }
    return most;
}

#define BEAD 1.0        /* usual thickness of a bead from a thin tip (mm; practice) */
#define APART_MOST 20.0 /* beads farther apart do not meet (mm; practice) */
#define PRESSED 0.005   /* that brings the backings together (MPa; practice) */

static void put_glue(const view *v) {
    const th_glue *glue = v->job->hold.glue;
    double apart = fmin(TH_PI / 4 * BEAD * BEAD / glue->thickness, APART_MOST);
    const char *inch = v->units == TH_INCH ? "1/32 to 1/16 in" : "1 mm";
    if (!v->glued) {
        return;
    }
    th_doc_step(
        v->doc, "Glue.",
        "%s on the backing of one tape only: thin beads (%s) about %s apart and as far from "
        "the edge. Turn the stock over, set it down once, in place; do not slide it.",
        glue->head.id, inch,
        v->units == TH_INCH
            ? th_words_print(v->doc, "%s in", th_words_number(v->doc, apart / 25.4, 1))
            : th_words_print(v->doc, "%s mm", th_words_number(v->doc, apart, 2)));
    th_doc_step(v->doc, "Press the glue.",
                "A flat board and about %s on it, or light clamps, for %s at least; no rocking. "
                "Wipe off what comes out.",
                weight(v, PRESSED * bonded(v->check)), q(v, glue->handling_time, TH_TIME));
}

static void put_wait(const view *v) {
    const th_hold *hold = &v->job->hold;
    const th_stage *stage = th_words_governing(v->check);
    const char *counts = "";
    if (stage != NULL) {
        counts = th_words_print(v->doc, " The answer counts %s %% of full strength for it%s.",
                                n(v, round(100 * stage->derating.wait)),
                                stage->derating.wait < 0.9 ? "; longer is stronger" : "");
    }
    th_doc_step(v->doc, "Wait.", "%s from %s to the first cut, no less.%s",
                q(v, hold->wait, TH_TIME), v->glued ? "gluing" : "setting it down", counts);
}

static void put_proof(const view *v) {
    const th_proof_pull *proof = &v->check->proof;
    double newton = sqrt(proof->force[0] * proof->force[0] + proof->force[1] * proof->force[1] +
                         proof->force[2] * proof->force[2]);
    const char *words = th_words_proof(v->doc, proof, v->units);
    if (!proof->possible || proof->limit == TH_PROOF_USELESS || v->check->hold_factor <= 0) {
        th_doc_step(v->doc, "Proof pull.", "N%s%s.", strncmp(words, "none", 4) == 0 ? "" : "one: ",
                    strncmp(words, "none", 4) == 0 ? words + 1 : words);
        return;
    }
    const char *kg = th_words_print(v->doc, "%s kg", n(v, newton / 9.80665));
    const char *lb = th_words_print(v->doc, "%s lb", n(v, newton / 4.4482216));
    bool inch = v->units == TH_INCH;
    th_doc_step(v->doc, "Proof pull.",
                "%c%s. A spring scale on a loop of strong tape there reads %s, or %s. No jerk. "
                "If it moves, take it off and start again with new tape.",
                words[0] >= 'a' && words[0] <= 'z' ? words[0] - 'a' + 'A' : words[0], words + 1,
                inch ? lb : kg, inch ? kg : lb);
}

/* ---- at the machine -------------------------------------------------------------------------- */

static void put_zero(const view *v) {
    const th_heights *h = &v->check->heights;
    const char *face = th_words_height(v->doc, -h->top, v->units);
    const char *deepest =
        isfinite(h->through)
            ? th_words_print(v->doc, "through cuts end at Z %s, in the plate",
                             th_words_height(v->doc, h->through - h->top, v->units))
            : "no cut goes through";
    th_doc_step(
        v->doc, "Work zero.",
        "Z 0 on top of the stock once it is stuck down: the bonded face is at Z %s, %s. X 0 "
        "Y 0 is the lower left corner of %s.",
        face, deepest,
        v->job->part.copies.a * v->job->part.copies.b > 1 ? "the first part" : "the part");
}

static void put_order(const view *v) {
    const th_order *order = &v->check->order;
    const char *list = "", *early = "";
    for (size_t i = 0; i < v->job->cut_count; i++) {
        const th_cut *cut = &v->job->cuts[i];
        list = th_words_print(v->doc, "%s%s%s %s", list, i > 0 ? ", " : "", cut->section,
                              th_operation_name((th_operation)cut->operation));
    }
    if (order->cut != NULL && order->moved_hold_factor > order->hold_factor) {
        early = th_words_print(
            v->doc, " Better: %s last (hold factor %s in place of %s).", order->cut->section,
            th_words_factor(v->doc, order->moved_hold_factor, v->check->asked_factor),
            th_words_factor(v->doc, order->hold_factor, v->check->asked_factor));
    }
    th_doc_step(v->doc, "Cut.", "In this order: %s, as the table of cuts says.%s Cooling: %s.",
                list, early, v->job->hold.coolant->head.name);
}

#define SEEN 0.01 /* a finger tells no smaller spring (mm; practice) */

static void put_watch(const view *v) {
    const th_stage *stage = th_words_governing(v->check);
    bool tied =
        stage != NULL && isfinite(stage->alone_factor); /* no place in the bond gives first */
    const char *place = stage == NULL || tied ? "" : th_words_place(v->doc, stage->at, v->units);
    const char *where =
        place[0] == '\0' ? "" : th_words_print(v->doc, ", first of all at %s", place);
    const char *sway =
        stage != NULL && stage->sway > SEEN && stage->hold_factor > 0
            ? th_words_print(v->doc, " Under the cutter it may spring %s sideways and come back.",
                             th_words_height(v->doc, stage->sway, v->units))
            : "";
    th_doc_step(
        v->doc, "Between passes.",
        "After the first pass, and before any pass that cuts through, stop the spindle. "
        "Look for a lifted edge, chips or coolant under it; press%s: nothing may move.%s If "
        "it moved, stop for good: tape that moved holds no more.",
        where, sway);
}

/* ---- afterwards ------------------------------------------------------------------------------ */

static const char *freed_by(const view *v) {
    const char *text = "";
    for (size_t i = 0; i < v->job->cut_count; i++) {
        const th_cut *cut = &v->job->cuts[i];
        if (cut->operation == TH_OUTLINE && cut->tabs.count > 0) {
            text = " Part and frame come off together; saw through the tabs after that.";
        } else if (cut->operation == TH_OUTLINE && cut->skin > 0) {
            text = " File the skin away afterwards.";
        }
    }
    return text;
}

static void put_off(const view *v) {
    const char *whose;
    double most = th_card_warmest(v->job, &whose);
    const char *how;
    if (v->plastic) {
        how =
            "Let plastics keep cool: no heat gun, no acetone. Start at a corner with a thin thread "
            "or a plastic card and time";
    } else {
        how = th_words_print(
            v->doc,
            "Warm plate and part evenly (gloves) to a little over %s, where the %s begins to "
            "give%s",
            q(v, most, TH_TEMPERATURE), whose,
            v->glued ? ", or soak the edges in acetone, which softens superglue"
                     : ", or soak the edges in a solvent that the tape's data sheet names");
    }
    th_doc_step(v->doc, "Take it off flat.",
                "%s. Twist it in its plane, slowly; never pry: a lever bends thin stock.%s", how,
                freed_by(v));
}

static void put_clean_up(const view *v) {
    th_doc_step(
        v->doc, "Clean up.",
        "Peel the tape off, rub off what stays, wipe part and plate. Take chips and dust up, "
        "do not blow them about. Skim the plate again once grooves lie where the next part "
        "goes.");
}

void th_card_steps(const th_card *card, th_doc *doc) {
    view v = {card->job,
              card->check,
              (th_units)card->job->head.units,
              doc,
              !card->job->hold.glue->absent,
              card->job->part.stock->group == GROUP_PLASTICS,
              false};
    for (size_t i = 0; i < v.job->cut_count; i++) {
        v.cuts = v.cuts || v.job->cuts[i].operation != TH_PUSH;
    }
    th_doc_begin(doc, v.check->verdict == TH_HOLDS ? "Steps" : "Steps, once it holds");
    put_plate(&v);
    put_stock(&v);
    put_tape(&v);
    put_pressing(&v);
    put_glue(&v);
    put_wait(&v);
    put_proof(&v);
    if (v.cuts) {
        put_zero(&v);
        put_order(&v);
        put_watch(&v);
    }
    put_off(&v);
    put_clean_up(&v);
}

/* ---- cautions -------------------------------------------------------------------------------- */

static void put_fumes(const view *v) {
    if (v->glued) {
        th_doc_pair(
            v->doc, "-",
            "Superglue: fumes sting eyes and lungs, air the room. It bonds skin at once, and "
            "heats up on cotton and wool: no such gloves.");
    }
    th_doc_pair(
        v->doc, "-",
        "Solvents: their fumes are harmful and burn. Air, no flame, no spark, lid on; never "
        "with a heat gun nearby.");
}

void th_card_cautions(const th_card *card, th_doc *doc) {
    view v = {
        card->job, card->check, (th_units)card->job->head.units, doc, !card->job->hold.glue->absent,
        false,     false};
    const th_lines *own = &card->check->cautions;
    const th_coolant *coolant = card->job->hold.coolant;
    th_doc_begin(doc, "Cautions");
    th_doc_pair(
        doc, "-",
        "A part let loose is thrown. Eye protection on, covers shut, nobody in the plane of "
        "the cutter; a hand on the stop for the first pass.");
    for (size_t i = 0; i < own->count; i++) {
        th_doc_pair(doc, "-", "%s", own->items[i]);
    }
    put_fumes(&v);
    if (coolant->kind != TH_COOL_DRY) {
        th_doc_pair(doc, "-",
                    "Coolant (%s): keep it off skin and out of the lungs; it creeps under "
                    "lifted tape.",
                    coolant->head.name);
    }
    th_doc_pair(doc, "-",
                "The manual of the machine, the data sheets of stock, tape, glue, solvent and "
                "coolant, and local rules come before this card.");
}
