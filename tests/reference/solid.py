#!/usr/bin/python3
"""Parts on tape as three-dimensional solids, solved by CalculiX: an outside check of the plate.

    solid.py write            solve every case, write solid.txt
    solid.py compare          solve again, compare with solid.txt
    solid.py CASE...          solve these, print

The part is of twenty-node bricks (C3D20R), at least two through each step of thickness. The tape is
one layer of twenty-node bricks (C3D20) of thickness h = 0.001 x the part's least thickness, fixed at
its bottom: E3 = kn h, G13 = G23 = ks h, no Poisson's ratio, a millionth of E3 in the plane, so that
it is a bed of springs and the edge is not singular. The load is a uniform traction on the top face.

Traction is k x displacement of the nodes of the bonded face. It is held against the stress that
CalculiX itself prints at the layer's integration points (column `stress`: largest difference over
largest traction), and its sum over the face against the load (column `balance`). The mesh is refined
until neither peak nor the hold factor moves by more than 1 % (column `moved`)."""

import os
import subprocess
import sys
import tempfile
import time
from collections import namedtuple

import numpy

HERE = os.path.dirname(os.path.abspath(__file__))
CASES = os.path.join(HERE, "solid_cases.txt")
RECORD = os.path.join(HERE, "solid.txt")
FIRST = 2 / 3  # fineness of the first mesh, 1 having three bricks through each step of thickness
STEP = 1.5  # from one mesh to the next
SETTLED = 0.01
SAME = 1e-3  # a recorded figure must come out again within this

Case = namedtuple("Case", "name modulus poisson kn ks boxes at patch force shear_strength lift_strength")
Answer = namedtuple("Answer", "shear lift factor shear_at lift_at nodes balance stress seconds")

# Corners of a brick on the grid of half elements, counter-clockwise, then the edges between them.
BRICK = [(0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2)]
BRICK += [(1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2)]
BRICK += [(0, 0, 1), (2, 0, 1), (2, 2, 1), (0, 2, 1)]
# Share of a uniform load that each node of an eight-node face takes.
FACE = [(i, j, -1 / 12 if i != 1 and j != 1 else 1 / 3)
        for i in range(3) for j in range(3) if (i, j) != (1, 1)]


def numbers(text):
    return [float(word) for word in text.split(",")]


def read_cases():
    cases = {}
    with open(CASES, encoding="utf-8") as lines:
        for line in lines:
            if line.strip() and not line.startswith("#"):
                c = line.rstrip("\n").split("\t")
                boxes = [numbers(box) for box in c[5].split()]
                cases[c[0]] = Case(c[0], *map(float, c[1:5]), boxes, numbers(c[6]), float(c[7]),
                                   numbers(c[8]), float(c[9]), float(c[10]))
    return cases


# ---- mesh -----------------------------------------------------------------------------------------


def spread_lines(fixed, size):
    """Lines from the first of `fixed` to the last, through all, that follow size(x)."""
    lines = [fixed[0]]
    for low, high in zip(fixed, fixed[1:]):
        x = numpy.linspace(low, high, 2001)
        wanted = numpy.concatenate([[0], numpy.cumsum((high - low) / 2000 / size((x[1:] + x[:-1]) / 2))])
        count = max(1, int(numpy.ceil(wanted[-1] - 1e-9)))
        lines += list(numpy.interp(wanted[-1] * numpy.arange(1, count) / count, wanted, x)) + [high]
    return numpy.array(lines)


class Mesh:
    """Bricks on a grid of half elements: node (i, j, k) exists where a brick uses it."""

    def __init__(self, case, fineness):
        self.case = case
        self.least = min(box[4] for box in case.boxes if box[4] > 0)
        bending = (case.modulus * self.least**3 / (12 * (1 - case.poisson**2)) / case.kn) ** 0.25
        self.xs = self.lines(0, bending, fineness)
        self.ys = self.lines(1, bending, fineness)
        self.height = 1e-3 * self.least
        steps = sorted({box[4] for box in case.boxes if box[4] > 0})
        layers = max(1, round(3 * fineness))
        self.zs = [-self.height, 0.0]
        for low, high in zip([0.0] + steps, steps):
            self.zs += list(numpy.linspace(low, high, layers + 1)[1:])
        self.zs = numpy.array(self.zs)
        self.number = {}
        self.bricks = {"TAPE": [], "PART": []}
        self.columns = []  # (i, j, top) of what holds material
        self.build()

    def lines(self, axis, bending, fineness):
        c = self.case
        ends = [c.at[axis] - c.patch / 2, c.at[axis] + c.patch / 2]
        fixed = sorted(set(ends) | {box[axis + n] for box in c.boxes for n in (0, 2)})

        def size(x):
            away = numpy.maximum(0, abs(x - c.at[axis]) - c.patch / 2)
            return numpy.minimum(c.patch / 2 + 0.25 * away, 0.4 * bending) / fineness

        return spread_lines(fixed, size)

    def thickness(self, x, y):
        t = 0.0
        for x0, y0, x1, y1, inside in self.case.boxes:
            if x0 < x < x1 and y0 < y < y1:
                t = inside
        return t

    def build(self):
        for j in range(len(self.ys) - 1):
            for i in range(len(self.xs) - 1):
                t = self.thickness(*((a[n] + a[n + 1]) / 2 for a, n in ((self.xs, i), (self.ys, j))))
                top = int(numpy.argmin(abs(self.zs - t)))
                if t == 0:
                    continue
                self.columns.append((i, j, top))
                for k in range(top):
                    nodes = [self.node(2 * i + a, 2 * j + b, 2 * k + c) for a, b, c in BRICK]
                    self.bricks["PART" if k else "TAPE"].append(nodes)

    def node(self, i, j, k):
        return self.number.setdefault((i, j, k), len(self.number) + 1)

    def place(self, lines, half):
        return lines[half // 2] if half % 2 == 0 else (lines[half // 2] + lines[half // 2 + 1]) / 2

    def area(self, i, j):
        return (self.xs[i + 1] - self.xs[i]) * (self.ys[j + 1] - self.ys[j])

    def loads(self):
        """Share of the load on each node of the patch."""
        c, share = self.case, {}
        for i, j, top in self.columns:
            x, y = (self.xs[i] + self.xs[i + 1]) / 2, (self.ys[j] + self.ys[j + 1]) / 2
            if max(abs(x - c.at[0]), abs(y - c.at[1])) < c.patch / 2:
                for a, b, part in FACE:
                    node = self.node(2 * i + a, 2 * j + b, 2 * top)
                    share[node] = share.get(node, 0) + part * self.area(i, j) / c.patch**2
        assert abs(sum(share.values()) - 1) < 1e-9, "the patch is not all on material"
        return share

    def bonded(self):
        """Node -> (x, y, area it stands for) on the bonded face."""
        face = {}
        for i, j, _ in self.columns:
            for a, b, part in FACE:
                node = self.node(2 * i + a, 2 * j + b, 2)
                x, y = self.place(self.xs, 2 * i + a), self.place(self.ys, 2 * j + b)
                face[node] = (x, y, face.get(node, (0, 0, 0))[2] + part * self.area(i, j))
        return face

    def write(self, path, stress):
        c, h = self.case, self.height
        out = ["*NODE, NSET=ALL"]
        for (i, j, k), node in self.number.items():
            at = [self.place(a, n) for a, n in ((self.xs, i), (self.ys, j), (self.zs, k))]
            out.append(f"{node}, {at[0]:.12g}, {at[1]:.12g}, {at[2]:.12g}")
        element = 0
        for kind, name in (("C3D20", "TAPE"), ("C3D20R", "PART")):
            out.append(f"*ELEMENT, TYPE={kind}, ELSET={name}")
            for nodes in self.bricks[name]:
                element += 1
                words = [str(word) for word in [element] + nodes]
                out += [", ".join(words[:11]) + ",", ", ".join(words[11:])]
        for name, level in (("FIXED", 0), ("BOND", 2)):
            out.append(f"*NSET, NSET={name}")
            out += [str(node) for (_, _, k), node in self.number.items() if k == level]
        e3, g, soft = c.kn * h, c.ks * h, 1e-6 * c.kn * h
        out += ["*MATERIAL, NAME=PART", "*ELASTIC", f"{c.modulus}, {c.poisson}",
                "*MATERIAL, NAME=TAPE", "*ELASTIC, TYPE=ENGINEERING CONSTANTS",
                f"{soft:.12g}, {soft:.12g}, {e3:.12g}, 0, 0, 0, {soft:.12g}, {g:.12g},",
                f"{g:.12g}, 0", "*SOLID SECTION, ELSET=PART, MATERIAL=PART",
                "*SOLID SECTION, ELSET=TAPE, MATERIAL=TAPE", "*BOUNDARY", "FIXED, 1, 3",
                "*STEP", "*STATIC", "*CLOAD"]
        for node, share in self.loads().items():
            out += [f"{node}, {n + 1}, {share * f:.12g}" for n, f in enumerate(c.force) if f]
        out += ["*NODE PRINT, NSET=BOND", "U"]
        if stress:
            out += ["*EL PRINT, ELSET=TAPE", "S, COORD"]
        with open(path, "w", encoding="utf-8") as file:
            file.write("\n".join(out + ["*END STEP", ""]))


# ---- solution -------------------------------------------------------------------------------------


def read_tables(path):
    """The tables of a .dat file in their order: name -> rows of numbers."""
    tables, rows = {}, []
    with open(path, encoding="utf-8") as lines:
        for line in lines:
            words = line.split()
            if words and words[0].isalpha():
                rows = tables.setdefault(words[0], [])
            elif words:
                rows.append([float(word) for word in words])
    return {name: numpy.array(rows) for name, rows in tables.items()}


def stress_off(mesh, moved, tables):
    """Largest difference of k x displacement from the layer's printed stress, over the largest
    traction, at its integration points."""
    c = mesh.case
    springs = numpy.array([c.ks, c.ks, c.kn])
    stress, place = tables["stresses"], tables["global"]
    largest = abs(stress[:, [6, 7, 4]]).max()
    worst = 0.0
    for element, (i, j, _) in enumerate(mesh.columns):
        rows = slice(27 * element, 27 * element + 27)
        values = [springs * moved[mesh.node(2 * i + a, 2 * j + b, 2)] for a, b, _ in FACE]
        s = 2 * (place[rows, 2] - mesh.xs[i]) / (mesh.xs[i + 1] - mesh.xs[i]) - 1
        t = 2 * (place[rows, 3] - mesh.ys[j]) / (mesh.ys[j + 1] - mesh.ys[j]) - 1
        here = sum(numpy.outer(serendipity(a - 1, b - 1, s, t), v) for (a, b, _), v in zip(FACE, values))
        worst = max(worst, abs(here - stress[rows][:, [6, 7, 4]]).max())
    return worst / largest


def serendipity(a, b, s, t):
    """Shape function of the eight-node square's node at (a, b)."""
    if a and b:
        return (1 + a * s) * (1 + b * t) * (a * s + b * t - 1) / 4
    return (1 - s * s) * (1 + b * t) / 2 if a == 0 else (1 + a * s) * (1 - t * t) / 2


def run_ccx(folder):
    began = time.perf_counter()
    subprocess.run(["ccx", "-i", "part"], cwd=folder, check=True, stdout=subprocess.DEVNULL,
                   env=dict(os.environ, OMP_NUM_THREADS="1", OPENBLAS_NUM_THREADS="1"))
    return time.perf_counter() - began


def solve(case, fineness, stress=True):
    mesh = Mesh(case, fineness)
    with tempfile.TemporaryDirectory() as folder:
        mesh.write(os.path.join(folder, "part.inp"), stress)
        seconds = run_ccx(folder)
        tables = read_tables(os.path.join(folder, "part.dat"))
    moved = {int(row[0]): row[1:4] for row in tables["displacements"]}
    face = mesh.bonded()
    traction = numpy.array([moved[node] for node in face]) * [case.ks, case.ks, case.kn]
    places = numpy.array(list(face.values()))
    shear, lift = numpy.hypot(traction[:, 0], traction[:, 1]), numpy.maximum(traction[:, 2], 0)
    index = numpy.hypot(shear / case.shear_strength, lift / case.lift_strength)
    off = abs(places[:, 2] @ traction - case.force).max() / numpy.linalg.norm(case.force)
    return Answer(shear.max(), lift.max(), 1 / index.max(), tuple(places[shear.argmax(), :2]),
                  tuple(places[lift.argmax(), :2]), len(mesh.number), off,
                  stress_off(mesh, moved, tables) if stress else 0.0, seconds)


def largest_move(before, now):
    return max(abs(a / b - 1) for a, b in zip(before[:3], now[:3]))


def converge(case):
    """The answer of the first mesh that moves no figure by more than SETTLED, and that move."""
    fineness, last = FIRST, solve(case, FIRST)
    while fineness < 5:
        fineness *= STEP
        now = solve(case, fineness)
        moved = largest_move(last, now)
        if moved < SETTLED:
            return now, moved
        last = now
    sys.exit(f"{case.name}: still moves by {moved:.3g}")


# ---- records --------------------------------------------------------------------------------------

COLUMNS = "case shear_peak lift_peak hold_factor shear_at lift_at moved nodes balance stress".split()


def row_of(case, answer, moved):
    places = ["%.4g,%.4g" % at for at in (answer.shear_at, answer.lift_at)]
    return [case.name, f"{answer.shear:.6g}", f"{answer.lift:.6g}", f"{answer.factor:.6g}", *places,
            f"{moved:.2g}", str(answer.nodes), f"{answer.balance:.2g}", f"{answer.stress:.2g}"]


def ccx_version():
    found = subprocess.run(["dpkg-query", "-W", "-f", "${Version}", "calculix-ccx"],
                           capture_output=True, text=True, check=False)
    return found.stdout or "of unknown version"


def head():
    return (f"# Peaks of traction (MPa) and hold factor by CalculiX (calculix-ccx {ccx_version()}).\n"
            "# Made by: /usr/bin/python3 tests/reference/solid.py write\n"
            "# " + "\t".join(COLUMNS) + "\n")


def recorded():
    with open(RECORD, encoding="utf-8") as lines:
        rows = [line.split("\t") for line in lines if not line.startswith("#")]
    return {row[0]: [float(word) for word in row[1:4]] for row in rows}


def main():
    cases, words = read_cases(), sys.argv[1:] or ["compare"]
    known = recorded() if words == ["compare"] else None
    names = cases if words[0] in ("write", "compare") else words
    rows, bad = [], 0
    for name in names:
        answer, moved = converge(cases[name])
        rows.append("\t".join(row_of(cases[name], answer, moved)))
        print(rows[-1], f"{answer.seconds:.1f}s", flush=True)
        if known is not None and not (name in known and largest_move(known[name], answer) < SAME):
            bad += 1
            print(f"{name}: recorded {known.get(name)}")
    if words == ["write"]:
        with open(RECORD, "w", encoding="utf-8") as file:
            file.write(head() + "\n".join(rows) + "\n")
    if known is not None:
        print(f"{len(names) - bad} passed, {bad + len(set(known) - set(names))} failed")
    return bad > 0


if __name__ == "__main__":
    sys.exit(main())
