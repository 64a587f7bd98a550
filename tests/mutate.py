"""mutate.py [COUNT] [SEED]: how much of what the model says do the tests notice?

Changes one operator or one number of the layers cutting, bond, heat and advice at a time, runs the unit
tests against it, and counts the changes that make one fail. COUNT changes are drawn evenly: every
n-th of all places in the order of files and lines, beginning at one that SEED picks; tried in an order
that SEED shuffles, so that a run that is stopped has still looked evenly. A change that
compiles to the same machine code is no change, and the next place is taken. One that does not compile
proves nothing either.

Which lines each test reaches is measured first, with gcov: a change is shown to the tests that reach its
line, those that noticed most in the same layer first. They are linked once, against the library as a shared
object that is made anew for each change. What no quick test notices is looked at again at the end, by the
slow ones and by the sets of jobs that run the program as a whole. mutants.known lists changes that
no test can notice, each with a reason; they are shown to the quick tests all the same.

Ends with "N noticed, M survived, K argued", names each survivor, and exits 1 where fewer than nine in
ten are noticed of those not argued. Works in a copy of the tree under $BUILD/mutants; the tree itself stays as it is.
"""

import bisect
import concurrent.futures
import glob
import json
import os
import random
import re
import shutil
import subprocess
import sys
import threading

LAYERS = ["cutting", "bond", "heat", "advice"]
WORKERS = int(os.environ.get("WORKERS", os.cpu_count() or 1))
BUILD = os.path.abspath(os.environ.get("BUILD", "build"))
ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), ".."))
PATIENCE = 12  # times what a test takes unchanged; an endless loop is noticed too
QUICK = 4.0  # a test that takes longer waits until all changes were shown to the quick ones (s)
LIBRARIES = ["-liniparser", "-lexpat", "-lcholmod", "-lopenblas", "-lgomp", "-lsuitesparseconfig", "-lm"]
# Not about the model: readers, pictures and cards, the page, the program's language.
OTHERS = ("test_ini", "test_files", "test_files_write", "test_base", "test_quantity", "test_page",
          "test_picture", "test_log", "test_pulls_read", "test_key_print", "test_program_bad",
          "test_program_flow", "test_program_points", "test_program_read", "test_outline",
          "test_outline_large", "test_region", "test_program_card")
SCRIPTS = ("tests/practice/run.sh", "tests/cli/run.sh")

SWAPS = {
    " + ": " - ", " - ": " + ", " * ": " / ", " / ": " * ",
    " < ": " >= ", " > ": " <= ", " <= ": " > ", " >= ": " < ", " == ": " != ", " != ": " == ",
    " && ": " || ", " || ": " && ", " += ": " -= ", " -= ": " += ", " *= ": " /= ",
    "fmin(": "fmax(", "fmax(": "fmin(", "sin(": "cos(", "cos(": "sin(", "sqrt(": "fabs(",
}
PLACE = re.compile(
    "|".join([r"(?<=\S)" + re.escape(s) + r"(?=\S)" for s in SWAPS if s[0] == " "]
             + [r"\b" + re.escape(s) for s in SWAPS if s[0] != " "]
             + [r"(?<![\w.\"'])\d+\.?\d*(?:e-?\d+)?(?![\w.\"'])"]))


def bare(text):
    """The text with comments, strings and directives blanked, of the same length."""
    def blank(match):
        return re.sub(r"[^\n]", " ", match.group())
    return re.sub(r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])+\'|^#(?:\\\n|[^\n])*',
                  blank, text, flags=re.S | re.M)


def changed(found):
    """What takes the place of what was found."""
    if found in SWAPS:
        return SWAPS[found]
    if re.fullmatch(r"\d+", found):
        return str(int(found) + 1)
    return repr(float(found) * 1.25 if float(found) else 1.0)


def places():
    every = []
    for layer in LAYERS:
        folder = os.path.join(ROOT, "src", layer)
        for name in sorted(os.listdir(folder)):
            if name.endswith(".c"):
                path = f"src/{layer}/{name}"
                with open(os.path.join(ROOT, path), encoding="utf-8") as file:
                    text = file.read()
                for match in PLACE.finditer(bare(text)):
                    every.append((path, match.start(), match.group()))
    return every


class Bench:
    """A copy of the tree in which one worker makes its changes."""

    def __init__(self, number):
        self.root = os.path.join(BUILD, "mutants", str(number))
        shutil.rmtree(self.root, ignore_errors=True)
        os.makedirs(self.root)
        for name in ("src", "include", "tests", "materials", "examples"):
            shutil.copytree(os.path.join(ROOT, name), os.path.join(self.root, name))
        os.mkdir(os.path.join(self.root, "build"))
        self.objects = []
        self.tests = {}
        self.paths = {}
        self.reach = None

    def run(self, words, patience=600):
        try:
            return subprocess.run(words, cwd=self.root, stdout=subprocess.DEVNULL,
                                  stderr=subprocess.DEVNULL, timeout=patience, check=False,
                                  env={**os.environ, "LD_LIBRARY_PATH": self.root,
                                       "OPENBLAS_NUM_THREADS": "1"}).returncode
        except subprocess.TimeoutExpired:
            return -1

    def compile(self, path, out, how=()):
        return self.run(["gcc", *how, "-std=c11", "-O1", "-fPIC", "-Iinclude", "-Itests", "-Isrc/bond", "-Isrc/program",
                         '-DTH_DATADIR="/nowhere"', "-c", path, "-o", out]) == 0

    def link(self):
        return self.run(["gcc", "-shared", "-o", "libmutant.so", *self.objects, *LIBRARIES]) == 0

    def link_test(self, source, out, more=()):
        return self.run(["gcc", "-std=c11", "-O1", "-Iinclude", "-Itests", "-Isrc/bond", "-Isrc/program", *source, *more,
                         "-L.", "-lmutant", "-lcmocka", *LIBRARIES, "-o", out]) == 0

    def prepare(self):
        for layer in sorted(os.listdir(os.path.join(self.root, "src"))):
            if layer in ("cli", "page"):
                continue
            for name in sorted(os.listdir(os.path.join(self.root, "src", layer))):
                if name.endswith(".c"):
                    self.add_object(f"src/{layer}/{name}")
        if not self.link():
            sys.exit("mutate.py: the library does not link")
        support = [f"tests/support/{n}" for n in os.listdir(os.path.join(self.root, "tests/support"))
                   if n.endswith(".c")]
        for name in sorted(os.listdir(os.path.join(self.root, "tests/unit"))):
            stem = name[:-2]
            if name.startswith("test_") and name.endswith(".c") and stem not in OTHERS:
                if not self.link_test([f"tests/unit/{name}"], stem, support):
                    sys.exit(f"mutate.py: {name} does not build")
                self.tests[stem] = 0.0
        cli = [f"src/cli/{n}" for n in os.listdir(os.path.join(self.root, "src/cli")) if n.endswith(".c")]
        if not self.link_test(cli, "build/tackhold", ['-DTH_DATADIR="/nowhere"']):
            sys.exit("mutate.py: the program does not build")

    def add_object(self, path):
        out = path[:-2].replace("/", "_") + ".o"
        if not self.compile(path, out):
            sys.exit(f"mutate.py: {path} does not compile")
        self.objects.append(out)
        self.paths[out] = path

    def measure(self):
        """How long each takes and what it reaches; all must pass before anything is changed."""
        self.reach = Reach()
        counted = [self.count_object(o) for o in self.objects]
        for test in self.tests:
            if not self.run(["gcc", "--coverage", *self.sources_of(test), *counted, "-lcmocka", *LIBRARIES,
                             "-o", "counted"]) == 0:
                sys.exit(f"mutate.py: {test} does not link")
            for old in glob.glob(os.path.join(self.root, "*.gcda")):
                os.remove(old)
            before = os.times()
            if self.run(["./counted"], 3600) != 0:
                sys.exit(f"mutate.py: {test} fails before anything is changed")
            self.tests[test] = os.times().elapsed - before.elapsed
            self.reach.add(test, self.root)
        for script in SCRIPTS:
            if self.run(["sh", script, "build/tackhold"], 900) != 0:
                sys.exit(f"mutate.py: {script} fails before anything is changed")

    def sources_of(self, test):
        """A test and what supports it, as objects that count nothing."""
        made = []
        for path in [f"tests/unit/{test}.c", *sorted(glob.glob("tests/support/*.c", root_dir=self.root))]:
            out = os.path.basename(path)[:-2] + ".plain.o"
            if not os.path.exists(os.path.join(self.root, out)) and not self.compile(path, out):
                sys.exit(f"mutate.py: {path} does not compile")
            made.append(out)
        return made

    def count_object(self, name):
        """The object once more, counting the lines that run where its layer is changed."""
        path = self.paths[name]
        out = name[:-2] + ".counted.o"
        how = ["--coverage"] if path.split("/")[1] in LAYERS else []
        if not self.compile(path, out, how):
            sys.exit(f"mutate.py: {path} does not compile")
        return out


class Reach:
    """Which test runs which line."""

    def __init__(self):
        self.lines = {}  # file: lines that can run, rising
        self.tests = {}  # file, line: tests that run it

    def add(self, test, root):
        for data in glob.glob(os.path.join(root, "*.gcda")):
            told = subprocess.run(["gcov", "--json-format", "--stdout", data], cwd=root, check=True,
                                  stdout=subprocess.PIPE, stderr=subprocess.DEVNULL).stdout
            for file in json.loads(told)["files"]:
                known = self.lines.setdefault(file["file"], set())
                for line in file["lines"]:
                    known.add(line["line_number"])
                    if line["count"] > 0:
                        self.tests.setdefault((file["file"], line["line_number"]), set()).add(test)

    def of(self, path, line):
        """Tests that run a line, or the statement that it goes on with; None: it belongs to none."""
        known = sorted(self.lines.get(path, ()))
        at = bisect.bisect_right(known, line) - 1
        if at < 0 or line - known[at] > 6:
            return None
        return self.tests.get((path, known[at]), set())


class Score:
    """Which test noticed how much in which layer, so that it runs early next time."""

    def __init__(self):
        self.lock = threading.Lock()
        self.noticed = {}

    def add(self, layer, test):
        with self.lock:
            self.noticed[layer, test] = self.noticed.get((layer, test), 0) + 1

    def order(self, layer, tests, seconds):
        with self.lock:
            return sorted(tests, key=lambda t: (seconds[t] + 0.2) / (self.noticed.get((layer, t), 0) + 0.2))


def worth_running(bench, place):
    """Tests that can notice a change: all, where no line is known to run it."""
    path, at, _ = place
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        reached = bench.reach.of(path, file.read().count("\n", 0, at) + 1)
    return set(bench.tests) if reached is None else reached


def quick_look(bench, score, place):
    """The name of the test that noticed, or "". """
    layer = place[0].split("/")[1]
    quick = [t for t in worth_running(bench, place) if bench.tests[t] <= QUICK]
    for test in score.order(layer, quick, bench.tests):
        if bench.run(["./" + test], 20 + PATIENCE * bench.tests[test]) != 0:
            score.add(layer, test)
            return test
    return ""


def long_look(bench, _score, place):
    slow = [t for t in worth_running(bench, place) if bench.tests[t] > QUICK]
    for test in sorted(slow, key=bench.tests.get):
        if bench.run(["./" + test], 60 + PATIENCE * bench.tests[test]) != 0:
            return test
    for script in SCRIPTS:
        if bench.run(["sh", script, "build/tackhold"], 900) != 0:
            return script
    return ""


def try_one(bench, score, place, look):
    """"same", "broken", the name of what noticed, or "" """
    path, at, found = place
    full = os.path.join(bench.root, path)
    out = path[:-2].replace("/", "_") + ".o"
    with open(full, encoding="utf-8") as file:
        text = file.read()
    with open(os.path.join(bench.root, out), "rb") as file:
        before = file.read()
    try:
        with open(full, "w", encoding="utf-8") as file:
            file.write(text[:at] + changed(found) + text[at + len(found):])
        if not bench.compile(path, out):
            return "broken"
        with open(os.path.join(bench.root, out), "rb") as file:
            if file.read() == before:
                return "same"
        return look(bench, score, place) if bench.link() else "broken"
    finally:
        with open(full, "w", encoding="utf-8") as file:
            file.write(text)
        with open(os.path.join(bench.root, out), "wb") as file:
            file.write(before)


def shown(place):
    path, at, found = place
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        text = file.read()
    line = text.count("\n", 0, at) + 1
    return f"{path}:{line}: {found.strip()} -> {changed(found).strip()}: {text.splitlines()[line - 1].strip()}"


def line_of(place):
    path, at, _ = place
    with open(os.path.join(ROOT, path), encoding="utf-8") as file:
        text = file.read()
    return text.splitlines()[text.count("\n", 0, at)].strip()


def argued(every):
    """The places of mutants.known. One that is not found any more ends the run."""
    alike, listed = {}, set()
    for place in every:
        change = f"{place[2].strip()} -> {changed(place[2]).strip()}"
        alike.setdefault((place[0], change, line_of(place)), []).append(place)
    with open(os.path.join(ROOT, "tests/mutants.known"), encoding="utf-8") as file:
        for entry in file:
            if not entry.startswith("#"):
                path, change, which, line, _ = entry.rstrip("\n").split("\t")
                found = alike.get((path, change, line), [])
                if len(found) < int(which):
                    sys.exit(f"mutants.known: {path} has no such change any more: {change}: {line}")
                listed.add(found[int(which) - 1])
    return listed


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    every = places()
    known = argued(every)
    step = len(every) / count
    dice = random.Random(seed)
    start = dice.random() * step
    drawn = [int(start + i * step) for i in range(count)]
    dice.shuffle(drawn)
    print(f"{len(every)} places, every {step:.1f}th of them", flush=True)
    benches = [Bench(n) for n in range(min(WORKERS, count))]
    with concurrent.futures.ThreadPoolExecutor(len(benches)) as pool:
        list(pool.map(Bench.prepare, benches))
    benches[0].measure()
    for bench in benches[1:]:
        bench.tests, bench.reach = dict(benches[0].tests), benches[0].reach
    score, lock, free = Score(), threading.Lock(), list(benches)
    noticed, survivors, skipped = 0, [], 0

    def with_bench(place, look):
        with lock:
            bench = free.pop()
        try:
            return try_one(bench, score, place, look)
        finally:
            with lock:
                free.append(bench)

    def one(first):
        nonlocal noticed, skipped
        for at in range(first, min(first + int(step), len(every))):
            result = with_bench(every[at], quick_look)
            with lock:
                if result in ("same", "broken"):
                    skipped += 1
                    continue
                if result:
                    noticed += 1
                else:
                    survivors.append(every[at])
                print(f"{noticed + len(survivors)}: {result or 'not noticed so far'}: {shown(every[at])}", flush=True)
            return

    def again(place):
        nonlocal noticed
        result = with_bench(place, long_look)
        with lock:
            if result:
                noticed += 1
                survivors.remove(place)
            print(f"again: {result or 'SURVIVED'}: {shown(place)}", flush=True)

    with concurrent.futures.ThreadPoolExecutor(len(benches)) as pool:
        list(pool.map(one, drawn))
        print(f"{noticed} noticed, {len(survivors)} not by the quick tests", flush=True)
        left = [place for place in survivors if place in known]
        survivors = [place for place in survivors if place not in known]
        list(pool.map(again, list(survivors)))
    print("Survivors:")
    for place in sorted(survivors):
        print("  " + shown(place))
    print(f"{skipped} left out: the same code, or none")
    print(f"{noticed} noticed, {len(survivors)} survived, {len(left)} argued")
    sys.exit(0 if noticed >= 9 * len(survivors) and noticed else 1)


if __name__ == "__main__":
    main()
