"""Factors of one-sided tolerance limits from SciPy's noncentral t distribution, and a limit of
log-normal readings with them.

Prints the numbers that tests/unit/test_pulls.c records. Run: python3 tests/reference/tolerance.py
k = t'(confidence; n - 1, z sqrt n) / sqrt n: NIST/SEMATECH e-Handbook of Statistical Methods,
7.2.6.3; ISO 16269-6. SciPy's nct loses digits where the tail is thin or n large, so that the
quantile is polished here on the integral over the distribution of s by adaptive quadrature.
"""

from math import exp, lgamma, log, sqrt

from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import betaincinv
from scipy.stats import nct, norm


def miss(n, share, k):
    """Chance that mean - k s lies above the quantile."""
    freedom, z = n - 1, norm.ppf(share)
    scale = log(2) + freedom / 2 * log(freedom / 2) - lgamma(freedom / 2)

    def part(s):
        density = exp(scale + (freedom - 1) * log(s) - freedom * s * s / 2) if s > 0 else 0.0
        return density * norm.sf(sqrt(n) * (k * s - z))

    corners = sorted({1e-9, z / k / 4, z / k / 2, z / k, 2 * z / k, 0.5, 1 - 3 / sqrt(2 * freedom), 1.0,
                      1 + 3 / sqrt(2 * freedom), 3.0, 10.0})
    corners = [c for c in corners if c > 0]
    return sum(quad(part, a, b, epsabs=0, epsrel=1e-12, limit=400)[0]
               for a, b in zip([0.0] + corners, corners))


def factor(n, share, confidence):
    rough = nct.ppf(confidence, n - 1, norm.ppf(share) * sqrt(n)) / sqrt(n)
    return rough, brentq(lambda k: miss(n, share, k) / (1 - confidence) - 1,
                         0.9 * rough, 1.1 * rough, xtol=1e-13, rtol=1e-13)


print("n, share, confidence, k by nct, k by quadrature")
for n in (2, 3, 5, 10, 20, 50, 200, 1000):
    for share in (0.90, 0.95, 0.99):
        for confidence in (0.90, 0.95, 0.99):
            rough, k = factor(n, share, confidence)
            print(f"    {{{n}, {share}, {confidence}, {k:.11g}}}, /* {rough:.7g} */")

print("Grubbs, one side, 5 %:")
for n in (3, 8, 20, 100):
    x = betaincinv((n - 2) / 2, 0.5, 2 * 0.05 / n)  # = freedom / (freedom + t^2); t.ppf is coarser
    print(f"    {n}: {(n - 1) / sqrt(n) * sqrt(1 - x):.13g}")

READINGS = (120.0, 131.0, 98.0, 140.0, 111.0, 125.0)  # N on 625 mm2, invented
logs = [log(force / 625) for force in READINGS]
mean = sum(logs) / len(logs)
deviation = sqrt(sum((x - mean) ** 2 for x in logs) / (len(logs) - 1))
k = factor(len(logs), 0.95, 0.95)[1]
print(f"limit of {READINGS}: mean {exp(mean):.11g}, deviation {deviation:.11g}, "
      f"scatter {sqrt(exp(deviation ** 2) - 1):.11g}, k {k:.11g}, "
      f"limit {exp(mean - k * deviation):.11g} MPa")
