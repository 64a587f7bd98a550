"""Check the JSON on standard input against what the command line promises.

usage: schema.py check|rows|keys
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
    "tape_temperature_C": MAYBE, "sway_mm": MAYBE, "creep_mm": MAYBE, "hold_factor": NUMBER,
    "alone_hold_factor": MAYBE,
    "other_margins": dict.fromkeys("spindle_power deflection chip offcut".split(), MAYBE),
}
TURN_DOWN = {"change": str, "set": [str], "from": (int, float, str, type(None)),
             "to": (int, float, str, type(None)), "hold_factor": NUMBER, "time_ratio": MAYBE}
ORDER = {"cut": str, "hold_factor": NUMBER, "moved_hold_factor": NUMBER}
CHECK = {
    "tackhold": str, "job": TEXT, "verdict": str, "estimate": bool, "hold_factor": NUMBER,
    "asked_factor": NUMBER,
    "governs": {"stage": int, "way": str, "load": str, "interface": TEXT,
                "at_mm": (list, type(None))},
    "stages": [STAGE], "turn_downs": [TURN_DOWN],
    "proof_pull": {"at_mm": (list, type(None)), "force_N": (list, type(None)), "safe": bool},
    "order": (ORDER, None),
    "heights_mm": {"top": NUMBER, "stack": NUMBER, "plate_top": NUMBER, "through": MAYBE,
                   "into_plate": MAYBE, "plate_left": NUMBER, "table": NUMBER},
    "defaults": [str], "not_checked": [str], "flips_if": TEXT, "cautions": [str],
    "sources": [{"row": str, "source": str, "trust": str}],
}
ROWS = {"tackhold": str, "table": str, "rows": [{
    "id": str, "name": str, "source": str, "trust": str,
    "values": [{"key": str, "value": (int, float, str, type(None)), "unit": TEXT}]}]}
KEYS = {"tackhold": str, "keys": [{"section": str, "key": str, "help": str, "bounds": TEXT,
                                   "required": bool, "default": TEXT, "words": TEXT}]}


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


def main():
    def refuse(word):
        raise ValueError(f"{word} is no JSON")
    document = json.load(sys.stdin, parse_constant=refuse)
    compare(document, {"check": CHECK, "rows": ROWS, "keys": KEYS}[sys.argv[1]], sys.argv[1])
    if sys.argv[1] == "check":
        meaning(document)


if __name__ == "__main__":
    main()
