"""Heat of a kerf in three dimensions, and of a part on a board in layers, by SciPy and NumPy.

Prints the numbers that tests/unit/test_heat.c and test_warmth.c record.
Run: python3 tests/reference/kerf_heat.py (half a minute). Cuts are invented; properties of the
stocks are usual handbook values.

The kerf: a plate whose top keeps its heat in and whose bottom loses it to a tape. Through the
thickness the temperature is a sum of cosines that obey the tape's boundary condition (Carslaw and
Jaeger, Conduction of Heat in Solids, 3.9); along and across the feed heat spreads as from
instantaneous sources (ch. 10), summed over the time since the cutter passed. The cutter's heat
enters evenly over a square as wide as the cutter, between two heights; a second, mirrored one
makes the square the wall of a kerf. Nothing of the program is used, nor its way: it takes modes of
a plate that keeps heat in, one moving source for each, and lets the tape drain them all alike.
"""

from math import e, erf, exp, pi, sqrt

import numpy as np
import scipy.sparse as sparse
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar
from scipy.sparse.linalg import splu
from scipy.special import erf as erfs

STOCKS = {  # W/mmK, J/mm3K
    "aluminium": (167e-3, 2700e-9 * 896),
    "brass": (115e-3, 8490e-9 * 380),
    "steel": (50e-3, 7850e-9 * 480),
    "stainless": (16e-3, 7900e-9 * 500),
    "acrylic": (0.19e-3, 1180e-9 * 1470),
}
TAPE = 1e-3 / (0.14 / 0.12 + 0.02 / 0.1 + 0.14 / 0.12)  # paper tape, glue, paper tape (W/mm2K)


def robin_roots(t, ratio, count):
    """b with b tan(b t) = ratio, one in each branch of the tangent."""
    def miss(b):
        return b * np.sin(b * t) - ratio * np.cos(b * t)

    return np.array([brentq(miss, n * pi / t + 1e-12, (n + 0.5) * pi / t - 1e-12, xtol=1e-15)
                     for n in range(count)])


def kerf(stock, t, feed, side, low, high, loss=TAPE, count=400):
    """Kelvin per watt at the tape's face under the middle of the square, one wall."""
    k, heat = STOCKS[stock]
    a = k / heat
    b = robin_roots(t, loss / k, count)
    norm = t / 2 + np.sin(2 * b * t) / (4 * b)
    shed = (np.sin(b * (t - low)) - np.sin(b * (t - high))) / (b * (high - low))
    weight = np.cos(b * t) * shed / norm

    def at_age(root):  # of s = root^2 (s): 2 root makes the integrand smooth at 0
        s = root * root
        through = weight @ np.exp(-a * b * b * s)
        wide = 2 * sqrt(a) * root
        half = side / 2
        along = (erf((half + feed * s) / wide) + erf((half - feed * s) / wide)) / (2 * side)
        across = erf(half / wide) / side
        return 2 * root * through * along * across

    # The rest falls at least as fast as the slowest mode does.
    last = sqrt(45 / (a * b[0] ** 2))
    ends = np.concatenate(([0.0], np.geomspace(1e-4, last, 70)))
    total = sum(quad(at_age, p, q, epsabs=1e-14, epsrel=1e-9, limit=200)[0]
                for p, q in zip(ends[:-1], ends[1:]))
    return 2 * total / heat


def kerf_by_mirrors(stock, t, feed, side, low, high, seconds):
    """The same without a tape, ended after a time: mirrored sources, no modes."""
    k, heat = STOCKS[stock]
    a = k / heat
    n = np.arange(-200, 201)

    def at_age(root):
        s, wide, half = root * root, 2 * sqrt(a) * root, side / 2
        up = erfs((2 * n * t + high) / wide) - erfs((2 * n * t + low) / wide)
        through = np.sum(up) / (high - low)  # both the source and its mirror below the face
        along = (erf((half + feed * s) / wide) + erf((half - feed * s) / wide)) / (2 * side)
        return 2 * root * through * along * erf(half / wide) / side

    ends = np.concatenate(([0.0], np.geomspace(1e-4, sqrt(seconds), 50)))
    return 2 / heat * sum(quad(at_age, p, q, epsabs=1e-14, epsrel=1e-9, limit=200)[0]
                          for p, q in zip(ends[:-1], ends[1:]))


def kerf_ended(stock, t, feed, side, low, high, seconds, count=400):
    """The modes' sum, as far as without a tape it can be had: the tape next to none."""
    k, heat = STOCKS[stock]
    a = k / heat
    b = robin_roots(t, 1e-9 / k, count)
    shed = (np.sin(b * (t - low)) - np.sin(b * (t - high))) / (b * (high - low))
    weight = np.cos(b * t) * shed / (t / 2 + np.sin(2 * b * t) / (4 * b))

    def at_age(root):
        s, wide, half = root * root, 2 * sqrt(a) * root, side / 2
        along = (erf((half + feed * s) / wide) + erf((half - feed * s) / wide)) / (2 * side)
        return 2 * root * (weight @ np.exp(-a * b * b * s)) * along * erf(half / wide) / side

    ends = np.concatenate(([0.0], np.geomspace(1e-4, sqrt(seconds), 50)))
    return 2 / heat * sum(quad(at_age, p, q, epsabs=1e-14, epsrel=1e-9, limit=200)[0]
                          for p, q in zip(ends[:-1], ends[1:]))


CUTS = [  # stock, thickness (mm), feed (mm/s), cutter (mm), axial (mm)
    ("aluminium", 2.0, 7.2, 3.0, 0.2),
    ("aluminium", 3.0, 7.2, 3.0, 0.4),
    ("aluminium", 6.0, 12.0, 6.0, 0.3),
    ("aluminium", 6.0, 12.0, 6.0, 0.15),
    ("brass", 1.5, 7.2, 3.0, 0.2),
    ("brass", 3.0, 7.2, 3.0, 0.2),
    ("steel", 3.0, 4.0, 3.0, 0.2),
    ("stainless", 2.0, 3.0, 3.0, 0.2),
]

print("wall of a kerf: K/W at the tape, freeing pass and first pass")
for stock, t, feed, side, axial in CUTS:
    print("  %-9s %g mm, %g mm/s, %g mm cutter, %g mm deep: %.6g %.6g"
          % (stock, t, feed, side, axial, kerf(stock, t, feed, side, 0.0, axial),
             kerf(stock, t, feed, side, t - axial, t)))
print("wall of a kerf, layers that lie anywhere: K/W at the tape")
for stock, t, low, high, feed, side in (("acrylic", 6, 0, 0.4, 20, 6), ("acrylic", 3, 0, 1, 20, 3),
                                        ("acrylic", 10, 0.1, 0.5, 10, 6),
                                        ("acrylic", 2, 0.05, 0.3, 10, 3),
                                        ("acrylic", 5, 0.5, 1, 20, 3),
                                        ("acrylic", 3, 2, 2.5, 10, 3),
                                        ("stainless", 5, 0.5, 1, 20, 3),
                                        ("stainless", 10, 0.1, 0.5, 10, 6)):
    print("  %-9s %g mm, %g to %g mm, %g mm/s, %g mm cutter: %.6g"
          % (stock, t, low, high, feed, side, kerf(stock, t, feed, side, low, high)))
print("floor of a pocket, no wall: K/W at the tape")
for stock, floor, feed, side, axial in (("aluminium", 2.0, 12.0, 6.0, 0.5),
                                        ("brass", 1.0, 7.2, 3.0, 0.3),
                                        ("steel", 3.0, 4.0, 3.0, 0.3)):
    print("  %-9s %g mm left, %g mm/s, %g mm, %g mm deep: %.6g"
          % (stock, floor, feed, side, axial,
             kerf(stock, floor + axial, feed, side, floor, floor + axial) / 2))
print("modes against mirrors, without a tape, 20 s:",
      ["%.8g %.8g" % (kerf_ended("steel", 3.0, 4.0, 3.0, low, low + 0.2, 20.0),
                      kerf_by_mirrors("steel", 3.0, 4.0, 3.0, low, low + 0.2, 20.0))
       for low in (0.0, 2.8)])


# A point of heat that runs over the top of a floor whose bottom keeps all heat in.

def under_floor(stock, floor, feed):
    """Highest K/W at the bottom, on the path's line: instantaneous points summed over time."""
    k, heat = STOCKS[stock]
    a = k / heat
    odd = (2 * np.arange(40) + 1) * floor

    def at(behind):
        def age(root):
            s = root * root
            # Each mirrored pair lies at +-odd; a point on a face that keeps heat in counts twice.
            down = 4 * np.sum(np.exp(-odd ** 2 / (4 * a * s)))
            return 2 * root * down * exp(-(behind - feed * s) ** 2 / (4 * a * s)) / (
                8 * (pi * a * s) ** 1.5)
        near = sqrt(floor ** 2 / a)
        ends = near * np.geomspace(1e-2, 300, 120)
        return sum(quad(age, p, q, epsabs=0, epsrel=1e-9, limit=100)[0]
                   for p, q in zip(ends[:-1], ends[1:])) / heat

    scale = max(feed * floor ** 2 / (4 * a), floor)
    best = minimize_scalar(lambda x: -at(x), bounds=(-floor, 4 * scale), method="bounded",
                           options={"xatol": 1e-3 * scale})
    return -best.fun


print("under a floor: K/W, and share of the line's bound 4/(pi e heat z^2 v)")
for stock, floor, feed in (("steel", 0.5, 4.0), ("stainless", 1.0, 20.0), ("stainless", 2.0, 200.0),
                           ("aluminium", 1.0, 12.0)):
    most = under_floor(stock, floor, feed)
    print("  %-9s %g mm, %g mm/s: %.6g %.4f"
          % (stock, floor, feed, most, most * pi * e * STOCKS[stock][1] * floor ** 2 * feed / 4))


def on_board(part, tape, film, flux, seconds, board, depth, cells=300, steps=1200):
    """Rise of a part (J/mm2K) over a board in layers, heat entering evenly (W/mm2)."""
    k, heat = board
    dz = depth / cells
    inside = k / dz
    first = 1 / (1 / tape + dz / (2 * k))
    hold = np.concatenate(([part], np.full(cells, heat * dz)))
    flow = np.concatenate(([first], np.full(cells - 1, inside)))
    out = np.zeros(cells + 1)
    out[0] = film
    out[:-1] += flow
    out[1:] += flow
    a = sparse.diags([flow, -out, flow], [-1, 0, 1])
    dt = seconds / steps
    c = sparse.diags(hold)
    # Trapezoidal in time: second order, and the start is smooth enough for it.
    left = splu(sparse.csc_matrix(c - dt / 2 * a))
    right = sparse.csr_matrix(c + dt / 2 * a)
    into = np.zeros(cells + 1)
    into[0] = flux * dt
    x = np.zeros(cells + 1)
    for _ in range(steps):
        x = left.solve(right @ x + into)
    return x[0]


TAPES = 1e-3 / (0.08 / 0.15 + 0.02 / 0.1 + 0.08 / 0.15)
print("part on a board: K for 1 W/cm2 over 123 s, cells halved beside it")
for depth in (12.0, 18.0):
    case = (3 * 2700e-9 * 896, TAPES, 12e-6, 0.01, 123.0, (0.15e-3, 750e-9 * 1700), depth)
    print("  aluminium 3 mm, board %g mm: %.6g %.6g" % (depth, on_board(*case),
                                                        on_board(*case, 150, 600)))
