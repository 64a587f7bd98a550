"""The load of one pass through one turn of a flat cutter, in NumPy: the same discs, angles, runout
and chip as the program's, vectorised over angles, discs and Gauss points; only teeth and directions
of the runout are looped over."""

import math

import numpy as np

TURN = 2 * math.pi
GAUSS = np.array([0.21132486540518711775, 0.78867513459481288225])
BASE_STEP = math.radians(3)
MOST_LAG = math.radians(15)
WINDOW_LOOKS = 24
DIRECTIONS, LOOKS = 12, 8
ALIKE = 1e-9

# Invented: a soft aluminium by its Kienzle constants, and a spindle.
STOCK = {"kc11": 780.0, "mc": 0.25, "edge_chip": 0.06, "friction_angle": 25.0, "smallest_chip": 0.002}


def edge_line(stock, helix):
    """Kienzle's curve with its tangent below edge_chip; ratios of the oblique cut."""
    tilt, friction = math.radians(helix), math.radians(stock["friction_angle"])
    friction = math.atan(math.tan(friction) * math.cos(tilt))
    slip = math.tan(tilt) * math.sin(friction)
    tangential = math.cos(friction) + math.tan(tilt) * slip
    radial = math.sin(friction) / (math.cos(tilt) * tangential)
    axial = (math.cos(friction) * math.tan(tilt) - slip) / tangential
    axial = max(axial, 0.45 * math.tan(tilt) / math.tan(math.radians(30)))
    kc11, mc, chip = stock["kc11"], stock["mc"], stock["edge_chip"]
    edge = kc11 * mc * chip ** (1 - mc)
    return {"kc11": kc11, "power": 1 - mc, "chip": chip, "rest": edge,
            "tangent": kc11 * (1 - mc) * chip ** -mc,
            "cut": (1.0, max(radial, 0.7), axial),
            "edge": (edge, max(radial, 1.2) * edge, axial * edge)}


class Tooth:
    """Chip over the sine of the tooth angle: the least of several lines."""

    def __init__(self, flutes, runout, chip_load, number, psi):
        over = np.arange(1, flutes + 1)
        pitch = math.pi / flutes
        rise = -runout * np.sin(pitch * (2 * number - over) + psi) * np.sin(pitch * over)
        rise[-1] = 0
        self.feed, self.rise = over * chip_load, rise
        self.least_sine = max(0.0, float(np.max(-rise / self.feed)))
        self.behind = TURN * number / flutes
        self.start = math.asin(min(self.least_sine, 1.0))
        self.bends = self.meetings()

    def meetings(self):
        """Tooth angles up to a right angle where one line gives way to the next as the least."""
        lines, bends = [], []
        for line in zip(self.feed, self.rise):
            if lines and line[1] >= lines[-1][1]:
                continue
            while lines:
                sine = (lines[-1][1] - line[1]) / (line[0] - lines[-1][0])
                if sine < (math.sin(bends[-1]) if bends else 1.0):
                    bends.append(math.asin(sine))
                    break
                lines.pop()
                if bends:
                    bends.pop()
            lines.append(line)
        return bends

    def chip(self, sine):
        return (self.feed * sine[..., None] + self.rise).min(axis=-1)


def slabs(cutter, axial, resolution):
    lead = math.tan(math.radians(cutter["helix"])) / (cutter["diameter"] / 2)
    count = max(1, math.ceil(lead * axial / MOST_LAG * resolution - 1e-9))
    return lead, np.linspace(0, axial, count + 1)


def add_tooth(tooth, line, cutter, arc, lead, heights, angles, sums):
    """Add one tooth's load at every angle; the edge of each disc is split where the chip bends."""
    low_z, high_z = heights[:-1], heights[1:]
    tip = angles[:, None] - tooth.behind
    least = tip - lead * high_z
    shift = TURN * np.floor(least / TURN)
    shift = np.where(least - shift > math.pi, shift + TURN, shift)
    first = tip - shift - lead * low_z  # angle at the disc's lower end, falling upwards
    sweep = lead * (high_z - low_z)
    start, end = max(arc[0], tooth.start), min(arc[1], math.pi - tooth.start)
    if tooth.least_sine >= 1 or end <= start:
        return
    inner = [b for b in tooth.bends] + [math.pi - b for b in tooth.bends]
    marks = np.array([start] + sorted(b for b in inner if start < b < end) + [end])
    # Share of each disc at which the edge stands at each mark: piece k lies between two of them.
    at = np.clip((first[..., None] - marks) / sweep[:, None], 0, 1)
    begin, width = at[..., 1:], at[..., :-1] - at[..., 1:]
    which = np.nonzero(width > 0)
    begin, width = begin[which], width[which]
    tall = (high_z - low_z)[which[1]]
    share = begin[:, None] + width[:, None] * GAUSS
    phi = first[which[0], which[1]][:, None] - share * sweep[which[1]][:, None]
    z = low_z[which[1]][:, None] + share * tall[:, None]
    length = (tall * width / 2)[:, None]
    s, c = np.sin(phi), np.cos(phi)
    h = tooth.chip(s)
    held = h > 0
    h = np.where(held, h, line["chip"])
    u = np.where(h < line["chip"], line["tangent"] * h, line["kc11"] * h ** line["power"] - line["rest"])
    ft, fr, fa = ((line["cut"][i] * u + line["edge"][i]) * length * held for i in range(3))
    r = cutter["diameter"] / 2
    fx, fy = ft * c + fr * s, fr * c - ft * s
    columns = (fx, fy, fa, -r * ft, z * fx, z * fy, r * s * fa, r * c * fa)
    for column, values in enumerate(columns):
        sums[column] += np.bincount(which[0], values.sum(axis=1), len(angles))


def loads(teeth, line, cutter, arc, lead, heights, angles):
    sums = np.zeros((8, len(angles)))
    for tooth in teeth:
        add_tooth(tooth, line, cutter, arc, lead, heights, angles, sums)
    return sums


def teeth_of(cutter, chip_load, psi):
    return [Tooth(cutter["flutes"], cutter["runout"], chip_load, j, psi) for j in range(cutter["flutes"])]


def largest_chip(teeth, arc):
    right = math.pi / 2
    sine = 1.0 if arc[0] <= right <= arc[1] else max(math.sin(arc[0]), math.sin(arc[1]))
    chips = [float(tooth.chip(np.array(sine))) for tooth in teeth]
    best = 0
    for j, chip in enumerate(chips):
        best = j if chip > chips[best] * (1 + ALIKE) else best
    return teeth[best], chips[best]


def events_of(tooth, arc, lead, axial):
    """Where either end of the edge of a tooth begins or ends to cut."""
    start, end = max(arc[0], tooth.start), min(arc[1], math.pi - tooth.start)
    if end < start:
        return np.zeros(0)
    return np.array([a + lag for lag in (0.0, lead * axial) for a in (start, end)]) + tooth.behind


def worst_teeth(line, cutter, chip_load, arc, axial):
    """The direction of the runout that gives the largest force in the plane."""
    lead, heights = slabs(cutter, axial, 0.5)
    step = TURN / cutter["flutes"] / DIRECTIONS
    last = min(arc[1] + lead * axial, arc[0] + TURN)
    looks = arc[0] + (last - arc[0]) * (np.arange(LOOKS) + 0.5) / LOOKS

    def peak(psi):
        teeth = teeth_of(cutter, chip_load, psi)
        fullest, _ = largest_chip(teeth, arc)
        angles = np.concatenate([looks + fullest.behind] + [events_of(t, arc, lead, axial) for t in teeth])
        sums = loads(teeth, line, cutter, arc, lead, heights, angles)
        return float(np.hypot(sums[0], sums[1]).max())

    peaks = [peak(i * step) for i in range(DIRECTIONS)]
    best = 0
    for i in range(DIRECTIONS):
        best = i if peaks[i] > peaks[best] * (1 + ALIKE) else best
    before, after = peaks[best - 1], peaks[(best + 1) % DIRECTIONS]
    bend, moved = before - 2 * peaks[best] + after, 0.0
    if bend < -ALIKE * peaks[best]:
        moved = min(max(0.5 * (before - after) / bend, -0.5), 0.5)
    if moved and peak((best + moved) * step) < peaks[best] * (1 + ALIKE):
        moved = 0.0
    return teeth_of(cutter, chip_load, (best + moved) * step)


def angles_of(cutter, teeth, arc, lead, axial):
    steps = math.ceil(TURN / BASE_STEP - 1e-9)
    found = [TURN * (np.arange(steps) + 0.5) / steps]
    first, last = arc[0], arc[1] + lead * axial
    window = np.zeros(0)
    if last - first < WINDOW_LOOKS * BASE_STEP:
        share = 0.5 - 0.5 * np.cos(math.pi * np.arange(1, WINDOW_LOOKS) / WINDOW_LOOKS)
        window = first + share * (last - first)
    for tooth in teeth:
        found += [events_of(tooth, arc, lead, axial), window + tooth.behind]
    angles = np.concatenate(found)
    angles = angles - TURN * np.floor(angles / TURN)
    angles = np.sort(np.where(angles < TURN, angles, 0.0))
    return angles[np.concatenate(([True], np.diff(angles) > 1e-9))]


def turn(stock, cutter, radial, axial, chip_load, speed):
    """Samples of one turn, one a row: angle, weight, and the eight sums of the load; with what is
    asked of spindle and cutter. Up milling, a cutter with runout and a helix that lifts."""
    line = edge_line(stock, cutter["helix"])
    wall = cutter["diameter"] / 2 - radial
    arc = (0.0, math.acos(min(max(wall / (cutter["diameter"] / 2), -1.0), 1.0)))
    teeth = worst_teeth(line, cutter, chip_load, arc, axial)
    lead, heights = slabs(cutter, axial, 1)
    angles = angles_of(cutter, teeth, arc, lead, axial)
    sums = loads(teeth, line, cutter, arc, lead, heights, angles)
    before = np.concatenate(([angles[-1] - TURN], angles[:-1]))
    after = np.concatenate((angles[1:], [angles[0] + TURN]))
    weights = 0.5 * (after - before) / TURN
    return {"samples": np.column_stack((angles, weights, sums.T)),
            "in_plane_peak": float(np.hypot(sums[0], sums[1]).max()),
            "torque_peak": float(np.abs(sums[3]).max()),
            "power": float(-(weights * sums[3]).sum() * TURN * speed / 60 / 1000),
            "max_chip": largest_chip(teeth, arc)[1]}


# ---- what spindle, cutter and chip allow ---------------------------------------------------------


def principal(d, moment, torque):
    bending, shear = 32 * moment / (math.pi * d ** 3), 16 * torque / (math.pi * d ** 3)
    return 0.5 * bending + math.hypot(0.5 * bending, shear)


def margin(stock, cutter, spindle_power, found):
    """The lowest margin of spindle, springing, breakage (carbide) and chip; peak ratio 1."""
    force, d = found["in_plane_peak"], cutter["diameter"]
    fluted, whole = cutter["flute_length"], cutter["stickout"]

    def second(d):
        return math.pi * d ** 4 / 64

    springing = force * (fluted ** 3 / second(0.8 * d) + (whole ** 3 - fluted ** 3) / second(d))
    stress = max(principal(0.8 * d, force * fluted, found["torque_peak"]),
                 principal(d, force * whole, found["torque_peak"]))
    return min(spindle_power / found["power"], 0.01 * d / (springing / (3 * 580000.0)),
               1000.0 / stress, found["max_chip"] / stock["smallest_chip"])


def deepest(stock, cutter, spindle_power, radial, chip_load, speed, least, most):
    """The largest axial engagement whose margins hold, by halving in the logarithm."""

    def holds(axial):
        return margin(stock, cutter, spindle_power, turn(stock, cutter, radial, axial, chip_load, speed)) >= 1

    if holds(most):
        return most
    if not holds(least):
        return 0.0
    for _ in range(14):
        if most / least <= 1.0005:
            break
        middle = math.sqrt(least * most)
        least, most = (middle, most) if holds(middle) else (least, middle)
    return least
