"""Heat of a groove that runs into another one, in a plate whose thickness goes by place, by NumPy.

Prints the figure that tests/unit/test_loads_heat.c records as CROSSED.
Run: python3 tests/reference/groove_heat.py (half a minute). The cut is invented; properties of
aluminium are usual handbook values.

A sheet of 2 mm is grooved along x and along y, 6 mm wide, down to 0.3 mm; a cutter goes along the
groove in y and takes 0.1 mm more, past where the other one begins. It brings 1 W, at its front.
Finite differences, explicit in time: cells of even temperature through their thickness, which the
cutter lowers as it comes; what it takes off carries its heat away. The tape under it all drains
heat. Heat that came in is compared with what is left, drained and carried away.
"""

import numpy as np

CONDUCTIVITY, CAPACITY, TAPE = 0.167, 2700e-9 * 896, 0.0013077  # W/mmK, J/mm3K, W/mm2K
SHEET, LOW, LEVEL, RADIUS, FEED = 2.0, 0.2, 0.1, 3.0, 5.0  # mm, mm/s
AXIS, FROM, TO, CORNER = -3.0, -15.0, 16.0, -3.0  # of the groove in y; of the other one


def groove(x, y):
    along = np.hypot(x - AXIS, np.maximum(-18 - y, 0))
    across = np.hypot(np.maximum(AXIS - x, 0), y - CORNER)
    return np.minimum(along, across) < RADIUS


def between(values):
    """Conductances from cell to cell, along both axes."""
    pair = [(values[1:], values[:-1]), (values[:, 1:], values[:, :-1])]
    return [CONDUCTIVITY * 2 * a * b / (a + b) for a, b in pair]


def hottest(cell):
    x, y = np.meshgrid(
        np.arange(-15 + cell / 2, 45, cell), np.arange(-15 + cell / 2, 55, cell), indexing="ij"
    )
    walls = ~groove(x, y)
    thick = np.where(walls, SHEET, LOW + LEVEL)
    rise = np.zeros_like(x)
    step = 0.2 * cell**2 * CAPACITY / CONDUCTIVITY
    most = drained = carried = 0.0
    for i in range(int((TO - FROM) / FEED / step)):
        at = FROM + FEED * step * i
        away = np.hypot(x - AXIS, y - at)
        cut = np.where(away < RADIUS, np.minimum(thick, LOW), thick)
        carried += ((thick - cut) * CAPACITY * rise).sum() * cell**2
        thick = cut
        front = (np.abs(away - RADIUS + 0.25) < 0.3) & (y > at)
        flow = front / front.sum() / cell**2 - TAPE * rise
        for axis, conductance in enumerate(between(thick)):
            over = conductance * np.diff(rise, axis=axis) / cell**2
            pad = [(0, 0), (0, 0)]
            pad[axis] = (0, 1)
            flow += np.pad(over, pad)
            pad[axis] = (1, 0)
            flow -= np.pad(over, pad)
        drained += step * TAPE * rise.sum() * cell**2
        rise = rise + step * flow / (CAPACITY * thick)
        if at > CORNER - 2 * RADIUS:
            most = max(most, rise[walls].max())
    kept = (CAPACITY * thick * rise).sum() * cell**2
    brought = step * (int((TO - FROM) / FEED / step))
    print(
        f"cells of {cell} mm: walls {most:.3f} K/W at most;"
        f" {brought:.4f} J came in, {kept + drained + carried:.4f} found"
    )


for size in (0.375, 0.25):
    hottest(size)
