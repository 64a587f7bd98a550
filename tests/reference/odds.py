"""Figures that tests/unit/test_chance.c records: the normal distribution, Sobol points and design
points by SciPy.

usage: python3 odds.py
"""
import numpy
from scipy import optimize, special
from scipy.stats import qmc


def quantiles():
    print("quantiles (scipy.special.ndtri)")
    for p in (1e-300, 1e-20, 1e-9, 1e-4, 0.01, 0.05, 0.3, 0.5, 0.9, 0.975, 0.9999):
        print(f"    {{{p!r}, {special.ndtri(p)!r}}},")


def sobol():
    print("Sobol points 0 to 15, not scrambled, times 2^32 (scipy.stats.qmc.Sobol)")
    points = qmc.Sobol(8, scramble=False, bits=32).random(16)
    for point in points:
        print("    {" + ", ".join(f"{int(x * 2**32)}u" for x in point) + "},")


def design_point(name, limit, start):
    """The nearest point of the limit surface, by a general optimiser."""
    found = optimize.minimize(lambda u: u @ u, start, method="SLSQP", tol=1e-14,
                              constraints={"type": "eq", "fun": limit})
    print(f"{name}: beta {numpy.sqrt(found.fun)!r} at {found.x!r}")


def main():
    quantiles()
    sobol()
    design_point("cubic", lambda u: (10 + 5 * u[0])**3 + (9.9 + 5 * u[1])**3 - 18,
                 numpy.array([-1.5, -1.5]))
    design_point("exponential", lambda u: numpy.exp(0.2 * u[0] + 1.4) - u[1],
                 numpy.array([0.0, 1.0]))


if __name__ == "__main__":
    main()
