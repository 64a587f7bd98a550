"""bench.py - jobs, verbs and how a run is judged, for what torments the program. Jobs are invented."""

import glob
import os
import re
import shutil
import subprocess
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
TOP = os.path.dirname(os.path.dirname(HERE))

HEAD = """[job]
title = invented plate
units = mm
[part]
stock = al-6061-t6
length = 40
width = 30
thickness = 3
[hold]
tape = polyester-silicone
glue = ca-thin
cooling = dry
coverage = 0.95
wait = 12 h
[machine]
id = bench-mill
[cutter.six]
id = flat-6mm-3
"""
PUSH = """[cut.1]
operation = push
force_x = 2 N
force_y = 0 N
force_z = 1 N
at_x = 30
at_y = 20
patch = 5
"""
SLOT = """[cut.1]
operation = slot
cutter = six
axial = %s
"""
ZERO = """[zero]
at = 0,0
top = 3
"""
PROGRAM = """G21 G90 G17
S9000 M3
G0 X-5 Y15 Z1
G1 Z-0.05 F60
X30 F%s
G0 Z5
M30
"""
PULLS = """area [mm2],force [N],kind,failure,cooling,hold [s]
625,182,shear,part-tape,dry,8
625,171,shear,backing,dry,7
625,188,shear,part-tape,dry,8
625,88,lift,part-tape,dry,8
625,79,lift,tape-plate,dry,8
625,92,lift,part-tape,dry,8
"""
OUTLINE = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">
<path d="M0 0H40V30H0Z M10 10a4 4 0 1 0 8 0a4 4 0 1 0 -8 0Z"/></svg>
"""
INPUTS = {
    "push.ini": HEAD + PUSH,
    "slot.ini": HEAD + SLOT % "0.3",
    "weak.ini": HEAD + SLOT % "2.5",
    "drawn.ini": HEAD.replace("thickness = 3", "thickness = 3\noutline = drawn.svg") + PUSH,
    "drawn.svg": OUTLINE,
    "zero.ini": HEAD + ZERO,
    "light.nc": PROGRAM % 300,
    "fast.nc": PROGRAM % 1500,
    "pulls.csv": PULLS,
}


class Case:
    """One call of a verb: words, what it writes (in the folder `out`), what comes on its input."""

    def __init__(self, name, words, before=None, text="", makes=(), requests=None):
        self.name, self.words, self.text = name, words.split(), text
        self.before = before or {}  # files of `out` before the call
        self.makes = makes  # files of `out` after it
        self.requests = requests  # for memory that are the program's own; None: all


OLD_PAGE, OLD_PICTURE = "<!DOCTYPE html>\nold\n", "<?xml old\n"
CASES = [
    Case("help", "--help", requests=2),  # the rest are argp's, which does not look
    Case("mdoc", "--mdoc"),
    Case("words", "check --words"),
    Case("list", "list tape"),
    Case("list --tab", "list stock --tab"),
    Case("show", "show cutter flat-6mm-3"),
    Case("show keys", "show cut"),
    Case("check, a push", "check push.ini"),
    Case("check, a drawing", "check drawn.ini --json"),
    Case("check", "check slot.ini --all"),
    Case("check, turned down", "check weak.ini"),
    Case("check --before", "check push.ini --before slot.ini --set hold.coverage=0.8"),
    Case("tape", "tape push.ini --all"),
    Case("limits", "limits slot.ini --json"),
    Case("odds", "odds push.ini --samples 2048"),
    Case("program", "program zero.ini light.nc"),
    Case("program --slow-to", "program zero.ini fast.nc --slow-to out/slow.nc", makes=("slow.nc",)),
    Case("program --force", "program zero.ini fast.nc --slow-to out/slow.nc --force",
         {"slow.nc": "(old)\n"}, makes=("slow.nc",)),
    Case("program --card", "program zero.ini fast.nc --lower-feeds --card out/card.html",
         {"card.html": OLD_PAGE}, makes=("card.html",)),
    Case("card", "card slot.ini -o out/card.html", {"card.html": OLD_PAGE}, makes=("card.html",)),
    Case("picture", "picture slot.ini --what part -o out/p.svg", makes=("p.svg",)),
    Case("picture again", "picture slot.ini --what heat -o out/p.svg", {"p.svg": OLD_PICTURE},
         makes=("p.svg",)),
    Case("pull", "pull pulls.csv --like crepe-masking"),
    Case("pull -o", "pull pulls.csv --like crepe-masking -o mine", makes=("config/tackhold/tables/tape.ini",)),
    Case("pull --replace", "pull pulls.csv --like crepe-masking -o mine --replace",
         {"config/tackhold/tables/tape.ini": None}, makes=("config/tackhold/tables/tape.ini",)),
    Case("log add, the first", "log add push.ini held", makes=("data/tackhold/log",)),
    Case("log add", "log add push.ini moved --note twice", {"data/tackhold/log": None},
         makes=("data/tackhold/log",)),
    Case("log show", "log show --json", {"data/tackhold/log": None}),
    Case("new", "new out/part.ini", text="\n" * 12, makes=("part.ini",)),
    Case("new --force", "new out/part.ini --force", {"part.ini": "# old\n"}, "\n" * 12,
         makes=("part.ini",)),
]
MADE_BY = {"config/tackhold/tables/tape.ini": "pull -o", "data/tackhold/log": "log add, the first"}
TIME = re.compile(rb"\d{4}-\d\d-\d\d(T\d\d:\d\d:\d\dZ)?")


def dateless(text):
    return TIME.sub(b"DATE", text)


class Result:
    def __init__(self, code, out, err, files):
        self.code, self.out, self.err, self.files = code, out, err, files

    def same_answer(self, other):
        return self.code == other.code and self.out == other.out and self.files == other.files


class Bench:
    """A folder to work in, the program, and a count of what passed."""

    def __init__(self, program, faults, folder):
        """Of both a copy is used: they may be built anew meanwhile, and another user may run them."""
        self.folder = folder
        self.program = shutil.copy(program, os.path.join(folder, "tackhold"))
        self.faults = shutil.copy(faults, os.path.join(folder, "faults.so"))
        self.passed = self.failed = 0
        with open(program, "rb") as file:
            self.sanitized = b"__asan_init" in file.read()
        self.made = {}
        os.chdir(folder)
        for name, text in INPUTS.items():
            with open(name, "w", encoding="utf-8") as file:
                file.write(text)
        for path, name in MADE_BY.items():
            case = next(case for case in CASES if case.name == name)
            result = self.run(case)
            if result.code != 0:
                sys.exit(f"{name}: {result.err.decode()}")
            with open(os.path.join("out", path), "rb") as file:
                self.made[path] = file.read()

    def environment(self, **more):
        names = ("PATH", "TMPDIR", "LSAN_OPTIONS")
        kept = {name: os.environ[name] for name in names if name in os.environ}
        out = os.path.join(self.folder, "out")
        kept.update(LC_ALL="C", HOME=self.folder, XDG_CONFIG_HOME=out + "/config", XDG_DATA_HOME=out + "/data",
                    TACKHOLD_MATERIALS=os.path.join(TOP, "materials"), OPENBLAS_NUM_THREADS="1")
        if any(name.startswith("TORTURE_") for name in more):
            kept["LD_PRELOAD"] = self.faults
        if self.sanitized:
            kept["ASAN_OPTIONS"] = "verify_asan_link_order=0:allocator_may_return_null=1"
        kept.update({name: str(value) for name, value in more.items()})
        return kept

    def lay_out(self, case):
        """The folder `out` as it is to be before the call."""
        shutil.rmtree("out", ignore_errors=True)
        os.mkdir("out")
        for path, text in case.before.items():
            os.makedirs(os.path.dirname(os.path.join("out", path)), exist_ok=True)
            if isinstance(text, os.PathLike):
                shutil.copy(text, os.path.join("out", path))
                continue
            with open(os.path.join("out", path), "wb") as file:
                file.write(self.made[path] if text is None else text.encode())

    @staticmethod
    def files():
        """What stands in `out`, dates taken out."""
        found = {}
        for path in glob.glob("out/**", recursive=True, include_hidden=True):
            if os.path.isfile(path):
                with open(path, "rb") as file:
                    found[path[4:]] = dateless(file.read())
        return found

    def run(self, case, limit=120, words=None, **more):
        self.lay_out(case)
        before = self.files()
        options = {key: more.pop(key) for key in ("preexec_fn", "stdout", "stderr") if key in more}
        options.setdefault("stdout", subprocess.PIPE)
        options.setdefault("stderr", subprocess.PIPE)
        try:
            done = subprocess.run([self.program] + (words or case.words), input=case.text.encode(),
                                  env=self.environment(**more), timeout=limit, check=False, **options)
        except subprocess.TimeoutExpired:
            return Result("hangs", b"", b"", before)
        return Result(done.returncode, dateless(done.stdout or b""), done.stderr or b"", self.files())

    def is_true(self, holds, what, result=None):
        if holds:
            self.passed += 1
            return
        self.failed += 1
        print(f"FAILED: {what}")
        if result is not None:
            print(f"    exit code {result.code}, {len(result.out)} bytes out, files {sorted(result.files)}")
            print("    " + result.err.decode(errors="replace")[-1500:].replace("\n", "\n    "))
        sys.stdout.flush()


def told(err):
    """A message of the program's own, or argp's, and none of a library's."""
    lines = [line for line in err.decode(errors="replace").splitlines() if line]
    own = [line for line in lines if line.startswith(("tackhold: ", "Try `tackhold", "libgomp: Out of"))]
    return bool(own) and own[-1] == lines[-1] and (len(own) == len(lines) or "Inch or metric?" in lines)


def unharmed(case, result, normal, before):
    """Every file is as it was before or as it is to be after; nothing else lies about."""
    for path, text in result.files.items():
        if path not in before and path not in normal.files:
            return False
        if path == "data/tackhold/log" and path not in before and not text:
            continue  # a log without a record is none
        if text not in (before.get(path), normal.files.get(path)):
            return False
    return all(path in result.files for path in before)
