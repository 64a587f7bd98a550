"""Heat by SciPy: Bessel function, two lumps, moving line source averaged over a square.

Prints the numbers that tests/unit/test_heat.c records. Run: python3 tests/reference/heat.py
Stocks and hold are invented. The source's field is that of Rosenthal 1946 (Carslaw and Jaeger,
Conduction of Heat in Solids, ch. 10), here with SciPy's K0 or exponential integral.
"""

from math import exp, hypot, pi, sqrt

import numpy as np
from scipy.integrate import dblquad, solve_ivp
from scipy.linalg import expm
from scipy.optimize import minimize_scalar
from scipy.special import exp1, k0, k0e


def show(name, *values):
    print(name, ", ".join("%.15g" % v for v in values))


for x in (1e-6, 1e-3, 0.1, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0, 300.0, 700.0):
    show("K0 %g" % x, k0(x))

# Lumps: part 9 J/K, plate 40 J/K, coupling 0.5 W/K, losses 0.03 and 0.08 W/K, room 21 C.
C, G, L, ROOM = (9.0, 40.0), 0.5, (0.03, 0.08), 21.0


def matrix(losses):
    return np.array([[-(G + losses[0]) / C[0], G / C[0], 0.0],
                     [G / C[1], -(G + losses[1]) / C[1], 0.0], [0.0, 0.0, 0.0]])


def by_expm(losses, start, power, seconds):
    a = matrix(losses)
    a[0, 2] = power / C[0]
    over = expm(a * seconds) @ np.array([start[0] - ROOM, start[1] - ROOM, 1.0])
    return over[0] + ROOM, over[1] + ROOM


show("lumps 60 W 45 s", *by_expm(L, (21.0, 21.0), 60.0, 45.0))
show("lumps rest 300 s", *by_expm(L, by_expm(L, (21.0, 21.0), 60.0, 45.0), 0.0, 300.0))
show("lumps no loss 1000 s", *by_expm((0.0, 0.0), (21.0, 21.0), 60.0, 1000.0))

# The same by stepping, and the plate's top temperature after the cut: its peak lies in the rest.
hot = by_expm(L, (21.0, 21.0), 60.0, 45.0)


def slope(_, y):
    return [(-G * (y[0] - y[1]) - L[0] * (y[0] - ROOM)) / C[0],
            (G * (y[0] - y[1]) - L[1] * (y[1] - ROOM)) / C[1]]


def top(t, y):
    return slope(t, y)[1]


run = solve_ivp(slope, (0.0, 300.0), hot, rtol=1e-12, atol=1e-12, events=top, method="DOP853")
show("lumps rest 300 s, solve_ivp", *run.y[:, -1])
show("plate's peak in the rest: C, s", run.y_events[0][0][1], run.t_events[0][0])


def patch(stock, t, loss, q, v, side, x0=0.0, seconds=None):
    """Average of the line source's field over the square round (x0, 0)."""
    k, heat = stock[0] * 1e-3, stock[1] * stock[2] * 1e-9
    a = k / heat
    drift, fade = v / (2 * a), loss / (k * t)
    rate = sqrt(drift * drift + fade)

    def field(y, x):
        r = hypot(x, y)
        if seconds is None:
            return q / (2 * pi * k * t) * exp(-drift * x - rate * r) * k0e(rate * r)
        return q / (4 * pi * k * t) * exp1(r * r / (4 * a * seconds))  # at rest, no loss

    b = side / 2
    cuts = sorted({x0 - b, x0 + b, *(p for p in (0.0,) if x0 - b < 0.0 < x0 + b)})
    total = 0.0
    for low, high in zip(cuts, cuts[1:]):
        # QUADPACK meets the logarithm, which is integrable, at a corner only.
        total += 2 * dblquad(field, low, high, 0.0, b, epsabs=1e-12, epsrel=1e-10)[0]
    return total / side ** 2


ALUMINIUM = (167.0, 2700.0, 896.0)
STEEL = (52.0, 7870.0, 486.0)
PLASTIC = (0.19, 1190.0, 1470.0)
show("aluminium 3 mm, 40 W, 20 mm/s, 6 mm", patch(ALUMINIUM, 3.0, 4.5e-4, 40.0, 20.0, 6.0))
show("aluminium at rest", patch(ALUMINIUM, 3.0, 4.5e-4, 40.0, 0.0, 6.0))
show("aluminium trailing edge", patch(ALUMINIUM, 3.0, 4.5e-4, 40.0, 20.0, 6.0, -3.0))
show("steel 2 mm, 60 W, 8 mm/s, 3 mm", patch(STEEL, 2.0, 4.5e-4, 60.0, 8.0, 3.0))
show("plastic 3 mm, 5 W, 0.5 mm/s, 2 mm", patch(PLASTIC, 3.0, 4.5e-4, 5.0, 0.5, 2.0))
show("aluminium at rest, no loss, 10 s", patch(ALUMINIUM, 3.0, 0.0, 40.0, 0.0, 6.0, 0.0, 10.0))


def hottest(*case):
    found = minimize_scalar(lambda x: -patch(*case, x), bounds=(-case[-1] / 2, 0.0),
                            method="bounded", options={"xatol": 1e-3})
    return -found.fun, found.x


show("aluminium hottest: K, mm", *hottest(ALUMINIUM, 3.0, 4.5e-4, 40.0, 20.0, 6.0))
show("steel hottest: K, mm", *hottest(STEEL, 2.0, 4.5e-4, 60.0, 8.0, 3.0))
