#!/usr/bin/python3
"""The plate model against a solid model and against another sparse solver, on this machine, now.

    bench.py BENCH EXPORT [solid] [solver] [sheet]      (all three by default)

BENCH is the program made of bench.c, EXPORT that of ../reference/plate_export.c. Every program runs
on one thread. Times are the least of several, theirs and ours in turn; the load average stands
beside them, because what else runs on the machine lengthens both."""

import os
import subprocess
import sys
import time

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS"):
    os.environ[name] = "1"  # before NumPy starts its threads

import numpy  # noqa: E402
from scipy.sparse.linalg import splu  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.join(HERE, "..", "reference"))
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


def main():
    program, export, wanted = sys.argv[1], sys.argv[2], sys.argv[3:]
    if not wanted or "solver" in wanted:
        against_scipy(program, export)
    if not wanted or "sheet" in wanted:
        sheet(program)
    if not wanted or "solid" in wanted:
        against_solid(program)


if __name__ == "__main__":
    main()
