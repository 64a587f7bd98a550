/* job_keys.c - the one description of every key: sections of a job. */
#include "keys.h"

#define REQUIRED TH_KEY_REQUIRED
#define ABOVE TH_KEY_ABOVE
#define NEEDED (TH_KEY_REQUIRED | TH_KEY_ABOVE)

#define BIT(operation) (1u << (operation))
#define MILLED                                                                                     \
    (BIT(TH_SLOT) | BIT(TH_FACING) | BIT(TH_POCKET) | BIT(TH_OUTLINE) | BIT(TH_HOLE) |             \
     BIT(TH_ENGRAVE) | BIT(TH_CHAMFERING))
#define CUTS (MILLED | BIT(TH_DRILLED))
#define SPOTS (BIT(TH_POCKET) | BIT(TH_HOLE) | BIT(TH_DRILLED))

#define KEY(type, name, form, kind, flags, least, greatest, initial, words, help)                  \
    { #name, form, kind, flags, least, greatest, initial, words, help, offsetof(type, name), 0, 0 }
#define QUANTITY(type, name, kind, flags, least, greatest, initial, help)                          \
    KEY(type, name, TH_FORM_QUANTITY, kind, flags, least, greatest, initial, NULL, help)
#define WORD(type, name, flags, initial, words, help)                                              \
    KEY(type, name, TH_FORM_WORD, 0, flags, 0, 0, initial, words, help)
#define ROW(type, name, field, table, flags, initial, help)                                        \
    { name, TH_FORM_ROW, table, flags, 0, 0, initial, NULL, help, offsetof(type, field), 0, 0 }

static const th_key head_keys[] = {
    KEY(th_job_head, title, TH_FORM_TEXT, 0, REQUIRED, 0, 0, NULL, NULL, "what the job is called"),
    WORD(th_job_head, units, REQUIRED, NULL, "mm inch", "unit of bare lengths, and of the report"),
    QUANTITY(th_job_head, asked_factor, TH_RATIO, 0, 1, 20, "2",
             "the hold factor to reach; the only reserve anywhere"),
    QUANTITY(th_job_head, sway_limit, TH_LENGTH, ABOVE, 0, 10, NULL,
             "how far the part may spring sideways"),
    WORD(th_job_head, offcuts, 0, "may-go", "may-go must-stay",
         "whether slugs and frame pieces must stay put too"),
};

static const th_key part_keys[] = {
    ROW(th_part, "stock", stock_id, TH_STOCKS, REQUIRED, NULL, "row of stock.ini"),
    QUANTITY(th_part, length, TH_LENGTH, REQUIRED, 1, 2000, NULL, "along x"),
    QUANTITY(th_part, width, TH_LENGTH, REQUIRED, 1, 2000, NULL, "along y"),
    QUANTITY(th_part, thickness, TH_LENGTH, REQUIRED, 0.05, 50, NULL, "of the stock"),
    WORD(th_part, shape, 0, NULL, "rectangle disc polygon", "without it a rectangle"),
    QUANTITY(th_part, corner_radius, TH_LENGTH, 0, 0, 1000, NULL, "of a rectangle's corners"),
    KEY(th_part, points, TH_FORM_POINTS, TH_LENGTH, 0, -4000, 4000, NULL, NULL,
        "corners of a polygon, x,y x,y x,y ..., in the job's axes"),
    KEY(th_part, outline, TH_FORM_TEXT, 0, 0, 0, 0, NULL, NULL,
        "file that draws the part with its openings, an SVG or DXF beside the job file"),
    QUANTITY(th_part, sheet_length, TH_LENGTH, 0, 1, 4000, NULL,
             "of the sheet it is cut from; without it the stock is the part itself"),
    QUANTITY(th_part, sheet_width, TH_LENGTH, 0, 1, 4000, NULL, "of the sheet"),
    QUANTITY(th_part, sheet_x, TH_LENGTH, 0, 0, 4000, NULL, "the part's corner in the sheet"),
    QUANTITY(th_part, sheet_y, TH_LENGTH, 0, 0, 4000, NULL, "the part's corner in the sheet"),
    KEY(th_part, copies, TH_FORM_COUNTS, TH_COUNT, 0, 1, 1000, NULL, NULL, "columns x rows"),
    KEY(th_part, pitch, TH_FORM_SIZE, TH_LENGTH, ABOVE, 0, 4000, NULL, NULL,
        "from copy to copy, along x and y"),
    QUANTITY(th_part, bow, TH_LENGTH, ABOVE, 0, 10, NULL,
             "how far the stock is bent, over its longer side, when free"),
};

static const th_key opening_keys[] = {
    KEY(th_part_opening, at, TH_FORM_POINTS, TH_LENGTH, REQUIRED, -4000, 4000, NULL, NULL,
        "centres x,y x,y ..."),
    KEY(th_part_opening, size, TH_FORM_SIZE, TH_LENGTH, NEEDED, 0, 2000, NULL, NULL,
        "diameter of a hole, or length x width of a slot with round ends"),
    QUANTITY(th_part_opening, angle, TH_ANGLE, 0, -360, 360, NULL,
             "of a slot, counterclockwise from x; without it 0"),
    KEY(th_part_opening, grid, TH_FORM_COUNTS, TH_COUNT, 0, 1, 1000, NULL, NULL,
        "columns x rows, each place the lower left one"),
    KEY(th_part_opening, pitch, TH_FORM_SIZE, TH_LENGTH, ABOVE, 0, 4000, NULL, NULL,
        "of the grid, along x and y"),
};

static const th_key hold_keys[] = {
    ROW(th_hold, "tape", tape_id, TH_TAPES, REQUIRED, NULL, "row of tape.ini, on the part"),
    ROW(th_hold, "tape_below", tape_below_id, TH_TAPES, 0, NULL,
        "on the sacrificial plate; without it the same tape"),
    ROW(th_hold, "glue", glue_id, TH_GLUES, REQUIRED, NULL,
        "row of glue.ini; none for a double-sided tape"),
    ROW(th_hold, "cooling", cooling_id, TH_COOLANTS, REQUIRED, NULL, "row of coolant.ini"),
    QUANTITY(th_hold, coverage, TH_RATIO, NEEDED, 0, 1, NULL, "share of the underside bonded"),
    KEY(th_hold, taped, TH_FORM_TEXT, 0, 0, 0, 0, NULL, NULL, "file that draws where tape is"),
    KEY(th_hold, taped_at, TH_FORM_POINT, TH_LENGTH, 0, -4000, 4000, NULL, NULL,
        "where that drawing's lower left corner lies, x,y; without it on the part's"),
    WORD(th_hold, preparation, 0, "wiped", "scuffed wiped as-is oily",
         "of both surfaces under the tape"),
    WORD(th_hold, pressed, 0, "roller", "weight roller hand", "how the tape was pressed down"),
    QUANTITY(th_hold, wait, TH_TIME, ABOVE, 0, 3e6, "1 h", "from gluing to cutting"),
    KEY(th_hold, stops, TH_FORM_FLAGS, 0, 0, 0, 0, NULL, "left right front back",
        "edges of the stock that stand against a fixed stop"),
    ROW(th_hold, "plate", plate_id, TH_PLATES, 0, "skimmed-aluminium",
        "row of plate.ini: the sacrificial plate"),
    QUANTITY(th_hold, plate_thickness, TH_LENGTH, ABOVE, 0, 500, "12 mm",
             "of the sacrificial plate"),
    QUANTITY(th_hold, below, TH_LENGTH, ABOVE, 0, 10, "0.2 mm",
             "how far through cuts go under the lower tape"),
    QUANTITY(th_hold, plate_left, TH_LENGTH, ABOVE, 0, 500, "3 mm",
             "least left of the sacrificial plate"),
    QUANTITY(th_hold, cutting_time, TH_TIME, ABOVE, 0, 1e7, NULL,
             "how long the load acts; without it from the cuts"),
    QUANTITY(th_hold, room_temperature, TH_TEMPERATURE, 0, -20, 60, "21 C", "of the shop"),
};

static const th_key machine_keys[] = {
    {"id", TH_FORM_ROW, TH_MACHINES, REQUIRED, 0, 0, NULL, NULL,
     "row of machine.ini; any key of that table may follow to override it", 0, 0, 0},
};

static const th_key cutter_keys[] = {
    ROW(th_job_cutter, "id", id, TH_CUTTERS, REQUIRED, NULL,
        "row of cutter.ini; any key of that table may follow to override it"),
    QUANTITY(th_job_cutter, wear, TH_RATIO, ABOVE, 0, 5, "1.3",
             "factor on the cutting force: 1.0 new, 1.3 used, 1.6 worn"),
};

#define CUT(name, form, kind, flags, least, greatest, initial, words, help, needed, taken)         \
    {                                                                                              \
#name, form, kind, flags, least, greatest, initial, words, help, offsetof(th_cut, name),   \
            needed, (needed) | (taken)                                                             \
    }
#define CUT_LENGTH(name, flags, least, greatest, help, needed, taken)                              \
    CUT(name, TH_FORM_QUANTITY, TH_LENGTH, flags, least, greatest, NULL, NULL, help, needed, taken)

static const th_key cut_keys[] = {
    {"operation", TH_FORM_WORD, 0, REQUIRED, 0, 0, NULL,
     "slot face pocket outline hole drill engrave chamfer push", "what is done",
     offsetof(th_cut, operation), 0, ~0u},
    {"cutter", TH_FORM_TEXT, 0, 0, 0, 0, NULL, NULL, "NAME of a [cutter.NAME] section",
     offsetof(th_cut, cutter_name), CUTS, CUTS},
    CUT_LENGTH(radial, ABOVE, 0, 100, "radial engagement (stepover); a slot takes the diameter",
               BIT(TH_FACING) | BIT(TH_POCKET) | BIT(TH_OUTLINE), BIT(TH_SLOT)),
    CUT_LENGTH(axial, ABOVE, 0, 100, "axial engagement (depth of cut) of a pass",
               BIT(TH_SLOT) | BIT(TH_FACING) | BIT(TH_POCKET) | BIT(TH_OUTLINE) | BIT(TH_HOLE), 0),
    CUT_LENGTH(depth, ABOVE, 0, 50,
               "total depth below the top; a slot or face without it is one pass",
               BIT(TH_POCKET) | BIT(TH_ENGRAVE),
               BIT(TH_SLOT) | BIT(TH_FACING) | BIT(TH_HOLE) | BIT(TH_DRILLED)),
    {"through", TH_FORM_WORD, 0, 0, 0, 0, NULL, "no yes",
     "cut through part and tape; a hole, a drilling and an outline do unless told otherwise",
     offsetof(th_cut, through_word), 0,
     BIT(TH_SLOT) | BIT(TH_OUTLINE) | BIT(TH_HOLE) | BIT(TH_DRILLED)},
    CUT(from, TH_FORM_POINT, TH_LENGTH, 0, -4000, 4000, NULL, NULL,
        "start x,y; without it the middle of the left edge", 0, BIT(TH_SLOT)),
    CUT(to, TH_FORM_POINT, TH_LENGTH, 0, -4000, 4000, NULL, NULL,
        "end x,y; without it the middle of the right edge", 0, BIT(TH_SLOT)),
    CUT(at, TH_FORM_POINTS, TH_LENGTH, 0, -4000, 4000, NULL, NULL,
        "centres x,y x,y ... from the part's lower left corner",
        BIT(TH_POCKET) | BIT(TH_HOLE) | BIT(TH_DRILLED), BIT(TH_ENGRAVE)),
    CUT(size, TH_FORM_SIZE, TH_LENGTH, ABOVE, 0, 4000, NULL, NULL,
        "pocket: length x width about each centre, or the diameter of a round one; hole: diameter",
        BIT(TH_POCKET) | BIT(TH_HOLE), 0),
    CUT(grid, TH_FORM_COUNTS, TH_COUNT, 0, 1, 1000, NULL, NULL,
        "columns x rows, each place the lower left one", 0, SPOTS),
    CUT(pitch, TH_FORM_SIZE, TH_LENGTH, ABOVE, 0, 4000, NULL, NULL, "of the grid, along x and y", 0,
        SPOTS),
    CUT(circle, TH_FORM_COUNT_LENGTH, TH_LENGTH, ABOVE, 0, 4000, NULL, NULL,
        "number x diameter: places on a circle round each place", 0,
        BIT(TH_HOLE) | BIT(TH_DRILLED)),
    CUT_LENGTH(finish, ABOVE, 0, 10, "left at the wall for a last lap at full depth", 0,
               BIT(TH_POCKET) | BIT(TH_OUTLINE)),
    CUT(entry, TH_FORM_WORD, 0, 0, 0, 0, "plunge", "plunge ramp helix", "how the cutter goes in", 0,
        BIT(TH_POCKET)),
    CUT(side, TH_FORM_WORD, 0, 0, 0, 0, "outside", "outside inside", "side of the line", 0,
        BIT(TH_OUTLINE) | BIT(TH_CHAMFERING)),
    CUT_LENGTH(skin, ABOVE, 0, 50, "thickness left at the bottom of the outline", 0,
               BIT(TH_OUTLINE)),
    CUT(tabs, TH_FORM_COUNT_LENGTH, TH_LENGTH, ABOVE, 0, 1000, NULL, NULL,
        "number x width of the bridges left standing", 0, BIT(TH_OUTLINE)),
    CUT_LENGTH(tab_height, ABOVE, 0, 50, "of the tabs; without it last_axial", 0, BIT(TH_OUTLINE)),
    CUT_LENGTH(last_axial, ABOVE, 0, 100,
               "metal left for the pass that frees the part, which then cuts on through the tape",
               0, BIT(TH_OUTLINE)),
    CUT(last_feed, TH_FORM_QUANTITY, TH_FEED, ABOVE, 0, 1e6, NULL, NULL,
        "feed of the pass that frees the part", 0, BIT(TH_OUTLINE)),
    CUT_LENGTH(width, ABOVE, 0, 50, "of the chamfer, seen from above", BIT(TH_CHAMFERING), 0),
    CUT_LENGTH(length, ABOVE, 0, 1e6, "of the whole engraved path", BIT(TH_ENGRAVE), 0),
    CUT_LENGTH(peck, 0, 0.01, 100, "depth drilled at a time, then out for the chips: costs time", 0,
               BIT(TH_DRILLED)),
    CUT(force_x, TH_FORM_QUANTITY, TH_FORCE, 0, -1e6, 1e6, NULL, NULL, "force on the part",
        BIT(TH_PUSH), 0),
    CUT(force_y, TH_FORM_QUANTITY, TH_FORCE, 0, -1e6, 1e6, NULL, NULL, "force on the part",
        BIT(TH_PUSH), 0),
    CUT(force_z, TH_FORM_QUANTITY, TH_FORCE, 0, -1e6, 1e6, NULL, NULL, "force on the part, + lifts",
        BIT(TH_PUSH), 0),
    CUT_LENGTH(at_x, 0, -4000, 4000, "where it acts", BIT(TH_PUSH), 0),
    CUT_LENGTH(at_y, 0, -4000, 4000, "where it acts", BIT(TH_PUSH), 0),
    CUT_LENGTH(patch, ABOVE, 0, 2000, "side of the square it is spread over", BIT(TH_PUSH), 0),
    CUT(seconds, TH_FORM_QUANTITY, TH_TIME, ABOVE, 0, 1e7, "3 s", NULL, "how long it is held", 0,
        BIT(TH_PUSH)),
    CUT(speed, TH_FORM_QUANTITY, TH_SPINDLE_SPEED, ABOVE, 0, 3e5, NULL, NULL,
        "spindle speed; without it from the stock row", 0, CUTS),
    {"chip_load", TH_FORM_CHIP, TH_CHIP_LOAD, ABOVE, 0, 5, NULL, NULL,
     "feed per tooth or lip; without it and without feed from the stock row",
     offsetof(th_cut, chip_reading), 0, CUTS},
    CUT(feed, TH_FORM_QUANTITY, TH_FEED, ABOVE, 0, 1e6, NULL, NULL,
        "feed rate, instead of chip_load", 0, CUTS),
    CUT(direction, TH_FORM_WORD, 0, 0, 0, 0, "climb", "climb conventional", "of milling", 0,
        MILLED),
    CUT(rest, TH_FORM_QUANTITY, TH_TIME, ABOVE, 0, 1e5, NULL, NULL, "pause between passes", 0,
        CUTS),
};

static const th_key zero_keys[] = {
    KEY(th_zero, at, TH_FORM_POINT, TH_LENGTH, REQUIRED, -4000, 4000, NULL, NULL,
        "where the program's zero lies, x,y"),
    QUANTITY(th_zero, top, TH_LENGTH, REQUIRED, -500, 500, NULL,
             "height of the program's zero above the bonded face"),
};

static const th_key tool_keys[] = {
    {"cutter", TH_FORM_TEXT, 0, REQUIRED, 0, 0, NULL, NULL, "NAME of a [cutter.NAME] section",
     offsetof(th_job_tool, cutter_name), 0, 0},
    QUANTITY(th_job_tool, length, TH_LENGTH, 0, -1000, 1000, NULL,
             "as the machine's table has it; needed where G43 takes the H of another tool"),
    QUANTITY(th_job_tool, diameter, TH_LENGTH, ABOVE, 0, 200, NULL,
             "for G41 and G42; without it the cutter's own"),
};

#define GROUP(section, keys, help)                                                                 \
    { section, true, help, keys, sizeof(keys) / sizeof(keys)[0] }

static const th_key_group job_groups[] = {
    GROUP("job", head_keys, "the job as a whole"),
    GROUP("part", part_keys, "the part and its stock"),
    GROUP("opening", opening_keys, "[opening.N]: a hole or slot of the part's shape"),
    GROUP("hold", hold_keys, "how it is held"),
    GROUP("machine", machine_keys, "the machine"),
    GROUP("cutter", cutter_keys, "[cutter.NAME]: a cutter in use"),
    GROUP("cut", cut_keys, "[cut.N]: an operation; run in the order of N"),
    GROUP("zero", zero_keys, "where a program's zero lies"),
    GROUP("tool", tool_keys, "[tool.N]: the cutter that a program's TN stands for"),
};

const th_key_group *th_job_groups(size_t *count) {
    *count = sizeof job_groups / sizeof job_groups[0];
    return job_groups;
}
