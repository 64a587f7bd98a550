#!/usr/bin/python3
"""The plate's stiffness matrix solved again by SciPy's sparse LU.

    plate_scipy.py PLATE_EXPORT        compare on job-like cases, print the figures to record

Prints, for each case, the largest difference over all unknowns relative to the largest of its kind
(displacements, slopes), the time of SciPy's factor and solve, and the largest displacement of each
kind by SciPy. Fails above 1e-9."""

import subprocess
import sys
import time

import numpy
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

CASES = [(36, 25), (30, 44), (90, 60)]


def read_case(program, nx, ny):
    text = subprocess.run([program, str(nx), str(ny)], check=True, capture_output=True).stdout
    numbers = numpy.array(text.split(), dtype=float)
    n, entries = int(numbers[0]), int(numbers[1])
    triples = numbers[2 : 2 + 3 * entries].reshape(-1, 3)
    row, column, value = triples[:, 0].astype(int), triples[:, 1].astype(int), triples[:, 2]
    off = row != column
    matrix = csc_matrix(
        (
            numpy.concatenate([value, value[off]]),
            (numpy.concatenate([row, column[off]]), numpy.concatenate([column, row[off]])),
        ),
        shape=(n, n),
    )
    tail = numbers[2 + 3 * entries :].reshape(n, 2)
    return matrix, tail[:, 0], tail[:, 1]


def main():
    fine = True
    for nx, ny in CASES:
        matrix, load, answer = read_case(sys.argv[1], nx, ny)
        began = time.perf_counter()
        factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
        other = factor.solve(load)
        other += factor.solve(load - matrix @ other)
        took = time.perf_counter() - began
        kinds = [numpy.arange(len(load)) % 5 < 3, numpy.arange(len(load)) % 5 >= 3]
        off = max(abs(other - answer)[kind].max() / abs(other[kind]).max() for kind in kinds)
        largest = " ".join(f"{abs(other[k::5]).max():.15g}" for k in range(5))
        print(f"{nx} {ny} {len(load)} {off:.3g} {took:.3f}s {largest}")
        fine = fine and off <= 1e-9
    return 0 if fine else 1


if __name__ == "__main__":
    sys.exit(main())
