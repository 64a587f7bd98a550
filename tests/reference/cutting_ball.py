"""Mean forces of ball-end and cone cuts by nested adaptive quadrature (SciPy).

Prints the numbers that tests/unit/test_cutting.c records. Run: python3 tests/reference/cutting_ball.py
The linear-edge force model and the ball's geometry are those of Altintas, Manufacturing Automation,
ch. 2; the stock is invented.
"""

from math import acos, cos, pi, sin, tan

from scipy.integrate import quad

KTC, KRC, KAC = 800.0, 300.0, 200.0
KTE, KRE, KAE = 15.0, 20.0, 3.0


def arc(r, wall, climb):
    width = acos(max(-1.0, min(1.0, wall / r)))
    return (pi - width, pi) if climb else (0.0, width)


def element(phi, sine, chip_load):
    """Force on the part per length of edge, up-cut helix."""
    h = chip_load * sin(phi) * sine
    cosine = (1.0 - sine * sine) ** 0.5
    ft, fr, fa = KTC * h + KTE, KRC * h + KRE, KAC * h + KAE
    out = fr * sine + fa * cosine
    return (ft * cos(phi) + out * sin(phi), -ft * sin(phi) + out * cos(phi),
            fa * sine - fr * cosine)


def mean(outline, low, high, teeth, chip_load, wall, climb):
    """outline(p) -> (radius, sine of the entering angle, edge length per p)."""
    totals = []
    for axis in range(3):
        def ring(p):
            r, sine, length = outline(p)
            if wall >= r:
                return 0.0
            start, end = arc(r, wall, climb)
            return length * quad(lambda phi: element(phi, sine, chip_load)[axis], start, end,
                                 epsabs=1e-11, epsrel=1e-11)[0]
        points = [p for p in (reach(outline, abs(wall), low, high),) if p is not None]
        totals.append(teeth / (2.0 * pi) * quad(ring, low, high, points=points or None, limit=400,
                                                epsabs=1e-9, epsrel=1e-9)[0])
    return totals


def reach(outline, radius, low, high):
    """Where the outline has that radius, by bisection."""
    if not outline(low)[0] < radius < outline(high)[0]:
        return None
    for _ in range(200):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if outline(middle)[0] < radius else (low, middle)
    return low


def ball(radius):
    return lambda p: (radius * sin(p), sin(p), radius)


def cone(flat, included):
    half = included * pi / 360.0
    return lambda z: (flat / 2.0 + z * tan(half), cos(half), 1.0 / cos(half))


def show(name, values):
    print(name, ", ".join("%.10g" % v for v in values))


top = acos(1.0 - 1.5 / 3.0)  # ball of radius 3 mm, 1.5 mm deep
show("ball slot      ", mean(ball(3.0), 0.0, top, 2, 0.04, -3.0, True))
show("ball climb     ", mean(ball(3.0), 0.0, top, 2, 0.04, -1.0, True))
show("ball wall      ", mean(ball(3.0), 0.0, pi / 2, 3, 0.02, 2.0, False))
show("cone 90 climb  ", mean(cone(1.0, 90.0), 0.0, 2.0, 2, 0.03, 1.0, True))
