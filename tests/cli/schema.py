"""Check the JSON on standard input against what the command line promises.

usage: schema.py check|rows|keys|odds|pull|tape|limits|log|program
"""
import json
import math
import sys

NUMBER = (int, float)
MAYBE = (int, float, type(None))
TEXT = (str, type(None))

DERATING = dict.fromkeys(
    "temperature cooling preparation adhesion pressing time wait".split(), MAYBE)
STAGE = {
    "name": str, "operation": str, "cut": str, "offcut": str, "copy": int,
    "counts": bool,
    "bonded_area_mm2": NUMBER,
    "force_N": dict.fromkeys("x_mean y_mean z_mean in_plane_peak lift_peak".split(), MAYBE),
    "torque_Nmm_peak": MAYBE, "power_W": MAYBE, "mean_chip_mm": MAYBE, "max_chip_mm": MAYBE,
    "removal_mm3_min": MAYBE, "average_shear_kPa": MAYBE, "shear_peak_kPa": MAYBE,
    "lift_peak_kPa": MAYBE,
    "area_model": {"shear_peak_kPa": MAYBE, "lift_peak_kPa": MAYBE, "hold_factor": MAYBE},
    "standing_lift_kPa": NUMBER, "unsettled": NUMBER,
    "design_shear_kPa": MAYBE, "design_lift_kPa": MAYBE, "derating": DERATING,
    "tape_temperature_C": MAYBE, "part_temperature_C": MAYBE, "local_rise_K": MAYBE, "sway_mm": MAYBE, "creep_mm": MAYBE, "hold_factor": NUMBER,
    "alone_hold_factor": MAYBE,
    "other_margins": dict.fromkeys(
        "spindle_power spindle_torque deflection breakage chip offcut".split(), MAYBE),
}
TURN_DOWN = {"change": str, "set": [str], "from": (int, float, str, type(None)),
             "to": (int, float, str, type(None)), "hold_factor": NUMBER, "time_ratio": MAYBE,
             "sway_mm": NUMBER, "sways": bool}
ORDER = {"cut": str, "hold_factor": NUMBER, "moved_hold_factor": NUMBER}
BEFORE = {
    "job": TEXT, "hold_factor": NUMBER, "asked_factor": NUMBER, "verdict": str,
    "governs": {"cut": TEXT, "name": str, "offcut": str, "way": str, "load": str,
                "interface": TEXT, "at_mm": (list, type(None))},
    "changes": [{"key": str, "set": [str], "from": TEXT, "to": TEXT, "follows": bool,
                 "hold_factor_alone": MAYBE, "not_alone": TEXT}],
    "all_ratio": MAYBE, "each_ratio": MAYBE, "interaction": MAYBE,
}
RECORD = {"held": int, "moved": int, "let_go": int, "lowest_held": MAYBE, "lowest_failed": MAYBE,
          "highest_failed": MAYBE}
CHECK = {
    "tackhold": str, "job": TEXT, "verdict": str, "estimate": bool, "hold_factor": NUMBER,
    "asked_factor": NUMBER,
    "governs": {"stage": int, "way": str, "load": str, "interface": TEXT,
                "at_mm": (list, type(None))},
    "stages": [STAGE], "turn_downs": [TURN_DOWN], "advice": [str],
    "proof_pull": {"at_mm": (list, type(None)), "force_N": (list, type(None)), "safe": bool},
    "order": (ORDER, None),
    "heights_mm": {"top": NUMBER, "stack": NUMBER, "plate_top": NUMBER, "through": MAYBE,
                   "into_plate": MAYBE, "plate_left": NUMBER, "table": NUMBER},
    "warmth": [{"cut": str, "time_s": NUMBER, "part_C": NUMBER, "plate_C": NUMBER,
                "tape_C": NUMBER}],
    "usual_heat": ({"share": NUMBER, "temperature_C": NUMBER, "hold_factor": NUMBER}, None),
    "full_width_hold_factor": MAYBE,
    "defaults": [str], "not_checked": [str], "flips_if": TEXT, "cautions": [str],
    "sources": [{"row": str, "source": str, "trust": str}],
    "record": (RECORD, None),
    "before": (BEFORE, None), "before_refused": TEXT,
}
ROWS = {"tackhold": str, "table": str, "rows": [{
    "id": str, "name": str, "source": str, "trust": str, "own": bool,
    "values": [{"key": str, "value": (int, float, str, type(None)), "unit": TEXT}]}]}
FASTEST = {"radial_mm": NUMBER, "axial_mm": NUMBER, "passes": NUMBER, "minutes": NUMBER,
           "hold_factor": NUMBER, "speed_rpm": NUMBER, "feed_mm_min": NUMBER, "set": [str]}
TOGETHER = {"hold_factor": NUMBER, "minutes": NUMBER, "aside": [str]}
LIMITS = {"tackhold": str, "job": TEXT, "asked_factor": NUMBER, "together": (TOGETHER, None), "cuts": [{
    "name": str, "operation": str, "cutter": str,
    "as_stated": {"radial_mm": NUMBER, "axial_mm": NUMBER, "holds": bool, "limited_by": TEXT},
    "first_lap_holds": (bool, type(None)),
    "first_strip_mm": MAYBE,
    "radial_fixed": bool,
    "points": [{"radial_mm": NUMBER, "axial_mm": NUMBER, "limited_by": str,
                "axial_least_mm": NUMBER, "passes": MAYBE, "minutes": MAYBE,
                "hold_factor": MAYBE}],
    "fastest": (FASTEST, None)}], "notes": [str]}
LIMITERS = ("bond spindle_power spindle_torque deflection breakage chip heat sway flute_length "
            "plate_thickness helix").split()
KEYS = {"tackhold": str, "keys": [{"section": str, "key": str, "help": str, "bounds": TEXT,
                                   "required": bool, "default": TEXT, "words": TEXT,
                                   "form": str, "kind": TEXT, "least": MAYBE, "greatest": MAYBE,
                                   "needed_by": [str], "taken_by": [str]}]}
ODDS_INPUT = {"name": str, "law": str, "middle": MAYBE, "spread": NUMBER, "lets_go_at": MAYBE,
              "share": MAYBE, "source": str, "trust": str}
ODDS = {"tackhold": str, "job": TEXT, "verdict": str, "hold_factor": NUMBER,
        "asked_factor": NUMBER,
        "odds": ({"chance": MAYBE, "under": MAYBE, "interval": [NUMBER],
                  "first_order": {"chance": MAYBE, "chance_most": MAYBE, "beta": NUMBER,
                                  "settled": bool, "stage": str, "layer": str},
                  "samples": NUMBER, "randomisations": int, "seed": int, "table_error": NUMBER,
                  "table_judgements": int}, None),
        "why": TEXT, "inputs": [ODDS_INPUT], "assumed": [str], "left_out": [str]}

CHOICES = {"tackhold": str, "job": TEXT, "asked_factor": NUMBER, "choices": [
    {"tape": str, "glue": str, "usable": bool, "why": str, "hold_factor": NUMBER,
     "temperature_C": MAYBE, "sway_mm": MAYBE, "full_width_hold_factor": MAYBE, "own": bool}],
    "wait_s": MAYBE, "waited_factor": MAYBE}
LOG = {"tackhold": str, "log": str, "records": [{
    "line": int, "time": str, "outcome": str, "job": TEXT, "verdict": str, "estimate": bool,
    "hold_factor": NUMBER, "asked_factor": NUMBER, "stage": TEXT, "offcut": TEXT, "way": TEXT,
    "load": TEXT, "interface": TEXT, "stock": TEXT, "tape": TEXT, "tape_below": TEXT, "glue": TEXT,
    "cooling": TEXT, "cooling_kind": str, "plate": TEXT, "preparation": TEXT, "machine": TEXT,
    "cutter": TEXT, "coverage": NUMBER, "wait_s": NUMBER, "bonded_area_mm2": MAYBE,
    "tape_temperature_C": MAYBE, "minutes": MAYBE, "program": TEXT, "note": TEXT}],
    "all": int, "skipped": int, "torn": int}
PULL = {"tackhold": str, "file": str, "share": NUMBER, "confidence": NUMBER,
        "groups": [{**dict.fromkeys(
            ["kind", "tests", "mean_kPa", "lowest_kPa", "highest_kPa", "log_deviation", "scatter",
             "k", "limit_kPa", "short_hold", "strength_kPa"], NUMBER), "kind": str,
            "failures": dict.fromkeys("part-tape backing tape-glue glue tape-plate".split(), NUMBER),
            "outlier_line": MAYBE}],
        "row": ({"id": TEXT, "like": str, "name": str, "source": str, "trust": str,
                 **dict.fromkeys(["shear_strength_kPa", "lift_strength_kPa", "shear_travel_mm",
                                  "lift_travel_mm", "backing_shear_kPa", "backing_lift_kPa",
                                  "spread"], NUMBER)}, None),
        "written": TEXT, "cautions": [str], "defaults": [str]}

WORST = {
    "line": int, "text": str, "hold_factor": NUMBER, "area_hold_factor": NUMBER,
    "plate_hold_factor": MAYBE, "tool": int, "at_mm": [NUMBER], "radial_mm": NUMBER,
    "low_mm": NUMBER, "high_mm": NUMBER, "chip_load_mm": NUMBER, "max_chip_mm": NUMBER,
    "force_N": {"in_plane_peak": NUMBER, "lift_peak": NUMBER}, "torque_Nmm_peak": NUMBER,
    "power_W": NUMBER, "bonded_area_mm2": NUMBER, "way": str, "load": str, "interface": TEXT,
    "bond_at_mm": [NUMBER], "tape_temperature_C": NUMBER, "piece": str, "freeing": bool}
LOOSE = {"line": int, "piece": str, "copy": int, "counts": bool, "tabs": bool, "bonded_area_mm2": NUMBER,
         "box_mm": [NUMBER], "hold_factor": MAYBE}
FOUND = {"line": int, "kind": str, "depth_mm": NUMBER, "at_mm": [NUMBER]}
SLOW = {"line": int, "feed_mm_min": NUMBER, "to_mm_min": MAYBE, "hold_factor": NUMBER,
        "why_not": TEXT}
PROGRAM = {
    "tackhold": str, "job": str, "program": str, "verdict": str, "estimate": bool,
    "held_back": [str], "hold_factor": MAYBE, "asked_factor": NUMBER, "area_hold_factor": MAYBE,
    "bending": MAYBE, "plates_asked": int, "lines_below": int, "worst": [WORST],
    "strip": [{"from_line": int, "to_line": int, "hold_factor": MAYBE}], "loose": [LOOSE],
    "found": [FOUND],
    "heights_mm": {"lowest": MAYBE, "lowest_line": int, "plate_top": NUMBER, "table": NUMBER},
    "time_s": NUMBER, "cutting_s": NUMBER, "removed_mm3": NUMBER, "force_peak_N": NUMBER,
    "power_peak_W": NUMBER, "sway_mm": NUMBER, "tape_temperature_C": NUMBER, "warmest_line": int,
    "cell_mm": NUMBER,
    "steps": int, "lines": int, "blocks": int, "slowed": (dict, type(None)),
    "defaults": [str], "not_checked": [str], "cautions": [str],
    "sources": [{"row": str, "source": str, "trust": str}]}


def compare(value, shape, place):
    if isinstance(shape, tuple) and shape[-1] is None:  # an object or nothing
        if value is None:
            return
        shape = shape[0]
    if isinstance(shape, dict):
        assert isinstance(value, dict), f"{place}: not an object"
        assert list(value) == list(shape), f"{place}: {list(value)} instead of {list(shape)}"
        for key in shape:
            compare(value[key], shape[key], f"{place}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), f"{place}: not an array"
        for i, item in enumerate(value):
            compare(item, shape[0], f"{place}[{i}]")
    else:
        kinds = shape if isinstance(shape, tuple) else (shape,)
        good = isinstance(value, kinds) and (bool in kinds or not isinstance(value, bool))
        assert good, f"{place}: {value!r}"


def meaning(check):
    if check["before"] is not None:
        before_meaning(check)
    assert check["verdict"] in ("holds", "unproven", "lets go")
    assert check["stages"]
    governing = check["stages"][check["governs"]["stage"]]
    assert governing["hold_factor"] == check["hold_factor"]
    counting = [stage["hold_factor"] for stage in check["stages"] if stage["counts"]]
    assert governing["counts"] and min(counting) == check["hold_factor"]
    for stage in check["stages"]:
        assert stage["offcut"] in ("stock", "part", "frame", "slug") and stage["copy"] >= 1
    heights = check["heights_mm"]
    assert heights["table"] < heights["plate_top"] < 0 < heights["top"]
    assert heights["plate_top"] == -heights["stack"]
    if heights["through"] is None:
        assert heights["into_plate"] is None
    else:
        floor = heights["plate_top"] - heights["into_plate"]
        assert math.isclose(heights["through"], floor)
        assert math.isclose(floor - heights["plate_left"], heights["table"])
    order = check["order"]
    assert order is None or order["hold_factor"] == check["hold_factor"]
    asked = check["asked_factor"]
    factor = check["hold_factor"]
    verdict = "holds" if factor >= asked else "unproven" if factor >= 1 else "lets go"
    assert verdict == check["verdict"], f"{factor} of {asked} is not {check['verdict']}"
    for point in (check["governs"]["at_mm"], check["proof_pull"]["at_mm"]):
        assert point is None or (len(point) == 2 and all(map(math.isfinite, point)))


def before_meaning(check):
    """Each change is judged, or told why not, or follows; the ratios are those of the factors."""
    before = check["before"]
    for change in before["changes"]:
        told = [change["follows"], change["hold_factor_alone"] is not None,
                change["not_alone"] is not None]
        assert told.count(True) == 1, change
        assert change["from"] != change["to"]
    if before["hold_factor"] > 0:
        ratio = check["hold_factor"] / before["hold_factor"]
        assert math.isclose(before["all_ratio"], ratio, rel_tol=1e-9)
        alone = [change["hold_factor_alone"] / before["hold_factor"]
                 for change in before["changes"] if change["hold_factor_alone"] is not None]
        assert not alone or math.isclose(before["each_ratio"], math.prod(alone), rel_tol=1e-9)
        effects = [abs(ratio - 1) for ratio in alone]
        assert effects == sorted(effects, reverse=True), effects


def odds_meaning(document):
    """Odds or the reason for none; no chance finer than two digits, nor below one in a million."""
    odds = document["odds"]
    assert (odds is None) == (document["why"] is not None)
    assert len(document["inputs"]) == 7 and document["left_out"]
    if odds is None:
        assert document["hold_factor"] == 0 or "certain to let go" in document["why"]
        return
    low, high = odds["interval"]
    assert 0 <= low <= high <= 1
    assert (odds["chance"] is None) == (odds["under"] is not None)
    if odds["chance"] is not None:
        least = min(odds["chance"], 1 - odds["chance"])
        assert odds["chance"] >= 1e-6 and math.isclose(least, float(f"{least:.1e}"), rel_tol=1e-9)
    shares = sum(entry["share"] for entry in document["inputs"])
    assert math.isclose(shares, 1, rel_tol=1e-9), shares


def meaning_of_limits(limits):
    for cut in limits["cuts"]:
        radials = [point["radial_mm"] for point in cut["points"]]
        assert radials and radials == sorted(set(radials))
        assert len(radials) == 1 if cut["radial_fixed"] else len(radials) >= 14
        for point in cut["points"]:
            assert point["limited_by"] in LIMITERS
            assert 0 <= point["axial_least_mm"] <= point["axial_mm"]
            if point["axial_mm"] > 0:
                assert point["hold_factor"] >= limits["asked_factor"] and point["minutes"] > 0
            else:
                assert point["hold_factor"] is None and point["passes"] is None
        fastest = cut["fastest"]
        if fastest is not None:
            assert fastest["hold_factor"] >= limits["asked_factor"] and fastest["passes"] >= 1
            assert float("%.6g" % fastest["axial_mm"]) == fastest["axial_mm"]
            assert fastest["hold_factor"] >= limits["together"]["hold_factor"]
    together = limits["together"]
    assert (together is None) == all(cut["fastest"] is None for cut in limits["cuts"])
    assert together is None or together["hold_factor"] >= limits["asked_factor"]


def meaning_of_program(program):
    factors = [line["hold_factor"] for line in program["worst"]]
    assert factors == sorted(factors) and len(factors) <= 100
    if factors:
        assert math.isclose(factors[0], program["hold_factor"], rel_tol=1e-6)
        assert program["hold_factor"] <= program["area_hold_factor"] * (1 + 1e-6)
    ends = [(0, 0)] + [(one["from_line"], one["to_line"]) for one in program["strip"]]
    assert 0 < len(program["strip"]) <= 600 and ends[-1][1] >= program["lines"]
    for before, after in zip(ends, ends[1:]):
        assert before[1] + 1 == after[0] <= after[1], (before, after)
    held = [one["hold_factor"] for one in program["strip"] if one["hold_factor"] is not None]
    assert not factors or math.isclose(min(held), factors[0], rel_tol=1e-6, abs_tol=1e-12)
    wanted = "lets go" if program["hold_factor"] < 1 else "unproven"
    if program["hold_factor"] >= program["asked_factor"] and not program["held_back"]:
        wanted = "holds"
    assert program["verdict"] == wanted, (program["verdict"], wanted)
    assert (program["bending"] is None) == (program["plates_asked"] == 0)


def main():
    def refuse(word):
        raise ValueError(f"{word} is no JSON")
    document = json.load(sys.stdin, parse_constant=refuse)
    kinds = {"check": CHECK, "rows": ROWS, "keys": KEYS, "odds": ODDS, "pull": PULL, "tape": CHOICES,
             "limits": LIMITS, "log": LOG, "program": PROGRAM}
    compare(document, kinds[sys.argv[1]], sys.argv[1])
    meanings = {"check": meaning, "odds": odds_meaning, "limits": meaning_of_limits,
                "program": meaning_of_program}
    if sys.argv[1] in meanings:
        meanings[sys.argv[1]](document)


if __name__ == "__main__":
    main()
