#!/usr/bin/python3
"""The plate model against a solid model and against another sparse solver, the force model against
NumPy, and whole commands against what they may take; on this machine, now.

    bench.py BENCH EXPORT PROGRAM [kernel] [deepest] [times] [solid] [solver] [sheet]

All by default. BENCH is the program made of bench.c, EXPORT that of ../reference/plate_export.c,
PROGRAM tackhold itself. Every program runs
on one thread. Times are the least of several, theirs and ours in turn; the load average stands
beside them, because what else runs on the machine lengthens both."""

import glob
import json
import os
import resource
import subprocess
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"  # before NumPy starts its threads

import numpy  # noqa: E402
from scipy.sparse.linalg import splu  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "reference"))
import kernel  # noqa: E402
import plate_scipy  # noqa: E402
import solid  # noqa: E402

SOLID_CASES = ("panel-plastic", "step-plastic")
FINENESS = (0.1, 0.15, 0.2, 0.3, 0.45, 2 / 3, 1.0)
GRID = (120, 80)
RIGHT_HAND_SIDES = 60
REPEATS = 3


def ours(program, *arguments):
    run = subprocess.run([program, *arguments], check=True, capture_output=True, text=True)
    return [float(word) for word in run.stdout.split()]


def load():
    return "load average %.1f" % os.getloadavg()[0]


def least_seconds(case, fineness):
    return min(solid.solve(case, fineness, stress=False).seconds for _ in range(REPEATS))


def coarsest(case, exact):
    """Fineness of the coarsest solid mesh whose peaks, like those of the next finer one, are
    within 1 % of the recorded, converged ones."""
    good = None
    for fineness in FINENESS:
        peaks = solid.solve(case, fineness, stress=False)
        if solid.largest_move(exact[:2], peaks[:2]) >= 0.01:
            good = None
        elif good is not None:
            return good
        else:
            good = fineness
    sys.exit(f"{case.name}: no mesh within 1 % is among those tried")


def against_solid(program):
    print("Traction within 1 %: solid model (CalculiX process) against plate")
    exact = solid.recorded()
    for name in SOLID_CASES:
        case = solid.read_cases()[name]
        known = coarsest(case, exact[name])
        theirs = least_seconds(case, known)
        refined, off, single, per_length = ours(program, "refine", solid.CASES, name)
        # Without knowing the answer: two meshes, the second to show that the first had settled.
        search = theirs + least_seconds(case, known * solid.STEP)
        print(f"  {name}: plate refined until settled {1e3 * refined:.1f} ms (off by {100 * off:.2f} %), "
              f"its coarsest grid within 1 % {1e3 * single:.1f} ms ({per_length:.1f} per length)")
        print(f"    coarsest solid mesh within 1 % (fineness {known:.2g}) {theirs:.3f} s: "
              f"{theirs / refined:.0f} x the refined plate, {theirs / single:.0f} x the coarsest; "
              f"{load()}")
        print(f"    that mesh and one {solid.STEP} x finer, to see that it had settled, {search:.3f} s: "
              f"{search / refined:.0f} x the refined plate", flush=True)


# SciPy as it comes, and as suits a symmetric positive definite matrix: no pivoting.
SPLU = {"as it comes": {},
        "at its best": {"permc_spec": "MMD_AT_PLUS_A", "diag_pivot_thresh": 0,
                        "options": {"SymmetricMode": True}}}


def time_splu(matrix, sides, options):
    """Seconds to factor and to solve, and the answers."""
    began = time.perf_counter()
    factor = splu(matrix, **options)
    middle = time.perf_counter()
    found = factor.solve(sides)
    return [middle - began, time.perf_counter() - middle], found


def against_scipy(program, export):
    nx, ny = GRID
    matrix, vector, answer = plate_scipy.read_case(export, nx, ny)
    sides = numpy.asfortranarray(numpy.tile(vector[:, None], (1, RIGHT_HAND_SIDES)))
    mine, theirs = numpy.full(2, numpy.inf), {name: numpy.full(2, numpy.inf) for name in SPLU}
    for _ in range(REPEATS):
        mine = numpy.minimum(mine, ours(program, "factor", str(nx), str(ny)))
        for name, options in SPLU.items():
            took, found = time_splu(matrix, sides, options)
            theirs[name] = numpy.minimum(theirs[name], took)
    off = abs(found[:, 0] - answer).max() / abs(answer).max()
    print(f"Factor and {RIGHT_HAND_SIDES} right-hand sides, {len(vector)} unknowns "
          f"(answers agree to {off:.1g}); {load()}")
    print(f"  ours {mine.sum():.3f} s (assembled, factored, checked {mine[0]:.3f}; solved {mine[1]:.3f})")
    for name, took in theirs.items():
        print(f"  SciPy's splu {name} {took.sum():.3f} s (factored {took[0]:.3f}; solved {took[1]:.3f}): "
              f"{took.sum() / mine.sum():.1f} x", flush=True)


def sheet(program):
    seconds, memory, off = min(ours(program, "sweep") for _ in range(2))
    print(f"1,000 places on 300 x 200 x 0.5 mm of plastic: {seconds:.1f} s, {memory:.0f} MB at most, "
          f"within {100 * off:.2f} % of grids refined to 0.2 % (12 places); {load()}", flush=True)


# ---- the force model against NumPy ---------------------------------------------------------------

CUTTER = {"diameter": 6.0, "flutes": 3, "helix": 35.0, "runout": 0.01, "flute_length": 16.0, "stickout": 25.0}
SPEED, SPINDLE_POWER = 18000.0, 300.0
# Name, radial and axial engagement (mm), chip load (mm): invented cuts.
CUTS = (("slot", 6.0, 1.5, 0.03), ("wide wall", 2.0, 2.0, 0.05), ("deep thin wall", 0.3, 6.0, 0.04),
        ("light wall", 0.5, 0.2, 0.05), ("heavy wall", 4.0, 10.0, 0.012))
AIM_KERNEL = 50
AGREE = 1e-6


def cut_words(radial, axial, chip_load):
    stock = [kernel.STOCK[k] for k in ("kc11", "mc", "edge_chip", "friction_angle", "smallest_chip")]
    cutter = [CUTTER[k] for k in ("diameter", "flutes", "helix", "runout", "flute_length", "stickout")]
    return [repr(float(v)) for v in stock + cutter + [radial, axial, chip_load, SPEED, SPINDLE_POWER]]


def lines_of(program, *arguments):
    run = subprocess.run([program, *arguments], check=True, capture_output=True, text=True)
    return [[float(word) for word in line.split()] for line in run.stdout.splitlines()]


def least_of(work, repeats):
    least = float("inf")
    for _ in range(repeats):
        began = time.perf_counter()
        found = work()
        least = min(least, time.perf_counter() - began)
    return least, found


def largest_difference(mine, theirs):
    """Relative to the largest of each column."""
    mine, theirs = numpy.array(mine), numpy.array(theirs)
    assert mine.shape == theirs.shape, "%s samples against %s" % (mine.shape, theirs.shape)
    return float((abs(mine - theirs).max(axis=0) / abs(theirs).max(axis=0)).max())


def against_numpy(program):
    print("One pass through one turn, runout sought: th_turn_run against NumPy over angles and discs")
    ratios = []
    for name, radial, axial, chip_load in CUTS:
        head, *samples = lines_of(program, "turn", *cut_words(radial, axial, chip_load))
        theirs, found = least_of(
            lambda: kernel.turn(kernel.STOCK, CUTTER, radial, axial, chip_load, SPEED), 20)
        off = largest_difference(samples, found["samples"])
        sums = [found[k] for k in ("in_plane_peak", "torque_peak", "power", "max_chip")]
        off = max(off, largest_difference([head[1:]], [sums]))
        assert off <= AGREE, "%s: off by %g" % (name, off)
        ratios.append(theirs / head[0])
        print(f"  {name:15} {1 / head[0]:8.0f} against {1 / theirs:5.0f} passes a second: "
              f"{ratios[-1]:5.1f} x (results agree to {off:.1g}); {load()}", flush=True)
    middle = float(numpy.exp(numpy.mean(numpy.log(ratios))))
    print(f"  geometric mean {middle:.1f} x, aim {AIM_KERNEL} x; least {min(ratios):.1f} x", flush=True)


def deepest_against_numpy(program):
    """What `limits` does before it looks at the bond: the search over axial engagements at every radial
    one for spindle power, springing, breakage and chip. Neither plate nor bond nor job file is in it."""
    most, chip_load = 12.0, 0.03
    (mine,), *found = lines_of(program, "deepest", *cut_words(1.0, most, chip_load))
    radials = [CUTTER["diameter"] * (i + 1) / len(found) for i in range(len(found))]
    theirs, expected = least_of(
        lambda: [kernel.deepest(kernel.STOCK, CUTTER, SPINDLE_POWER, radial, chip_load, SPEED, 0.02, most)
                 for radial in radials], 2)
    off = largest_difference(found, [[e] for e in expected])
    assert off <= AGREE, "off by %g" % off
    print(f"Deepest cut that spindle, cutter and chip allow, {len(found)} radial engagements, no bond: "
          f"{1e3 * mine:.1f} ms against {1e3 * theirs:.0f} ms in NumPy: {theirs / mine:.0f} x "
          f"(results agree to {off:.1g}); {load()}", flush=True)


# ---- whole commands ------------------------------------------------------------------------------

AIM_LIMITS, AIM_CHECK, AIM_PAIRS, AIM_ODDS = 0.3, 1.0, 5.0, 8.0


def command(*arguments):
    """Seconds, seconds of processor, exit code and output of one run."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    began = time.perf_counter()
    run = subprocess.run(arguments, capture_output=True, text=True)
    took = time.perf_counter() - began
    return took, resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before, run.returncode, run.stdout


def print_time(what, took, used, aim):
    print(f"  {what:34} {took:6.2f} s, aim {aim:.1f} s: {took / aim:5.2f} of it "
          f"({used:.2f} s of processor); {load()}", flush=True)


def pairs_of(answer):
    """A job that no single change mends is searched for pairs."""
    changes = answer.get("turn_downs") or []
    single = any(len(change.get("set") or []) == 1 for change in changes)
    return answer["verdict"] != "holds" and not single


def times(program):
    jobs = sorted(glob.glob(os.path.join(HERE, "..", "..", "examples", "*.ini")))
    print("Whole commands, one run each")
    for name in ("slot", "pocket"):
        took, used, code, _ = command(program, "limits", "--no-shop", os.path.join(HERE, name + ".ini"))
        assert code == 0, "limits %s ended with %d" % (name, code)
        print_time("limits, " + name, took, used, AIM_LIMITS)
    for job in jobs:
        took, used, code, output = command(program, "check", "--no-shop", "--json", job)
        assert code in (0, 1), "check %s ended with %d" % (job, code)
        pairs = pairs_of(json.loads(output))
        name = os.path.splitext(os.path.basename(job))[0]
        print_time(f"check, {name}{' (pairs)' if pairs else ''}", took, used,
                   AIM_PAIRS if pairs else AIM_CHECK)
    for job in jobs:
        took, used, code, output = command(program, "odds", "--no-shop", "--json", "--samples=1e6", job)
        assert code == 0, "odds %s ended with %d" % (job, code)
        name = os.path.splitext(os.path.basename(job))[0]
        if json.loads(output)["odds"] is None:
            print(f"  odds, {name}: gives none")
        else:
            print_time(f"odds of 1e6 samples, {name}", took, used, AIM_ODDS)


def main():
    bench, export, program, wanted = sys.argv[1], sys.argv[2], sys.argv[3], sys.argv[4:]
    parts = {"kernel": lambda: against_numpy(bench), "deepest": lambda: deepest_against_numpy(bench),
             "times": lambda: times(program), "solver": lambda: against_scipy(bench, export),
             "sheet": lambda: sheet(bench), "solid": lambda: against_solid(bench)}
    for name, part in parts.items():
        if not wanted or name in wanted:
            part()


if __name__ == "__main__":
    main()
