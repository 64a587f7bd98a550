"""bounds.py - how much memory each verb takes at most: small, large and hostile inputs, held to what the
manual page says. Peak of the pages held (ru_maxrss), and once more with addresses limited.

All inputs are made up here."""

import os
import pathlib
import re
import resource
import subprocess

from bench import CASES, HEAD, PUSH, ZERO, Case

MB = 1 << 20


# ---- inputs --------------------------------------------------------------------------------------


def put(name, text):
    with open(name, "w", encoding="utf-8") as file:
        file.write(text)


def job(length, width, cuts, thickness=3):
    head = HEAD.replace("length = 40", f"length = {length}").replace("width = 30", f"width = {width}")
    return head.replace("thickness = 3", f"thickness = {thickness}") + cuts


def slots(count, axial):
    return "".join(f"[cut.{i + 1}]\noperation = slot\ncutter = six\naxial = {axial}\n"
                   f"from = 0,{1 + i}\nto = 60,{1 + i}\n" for i in range(count))


def star(points, size):
    """A drawing of so many corners, in and out."""
    ring = []
    for i in range(points):
        x = size * (i if i < points // 2 else points - 1 - i) / (points // 2)
        y = (0.2 * size if i < points // 2 else 0.6 * size) + (0.01 * size if i % 2 else 0)
        ring.append(f"{x:.3f} {y:.3f}")
    return (f'<svg xmlns="http://www.w3.org/2000/svg" width="{size}mm" height="{size}mm" viewBox="0 0 {size} {size}">'
            f'<path d="M{"L".join(ring)}Z"/></svg>')


def bomb():
    """Entities in entities: ten times a thousand million."""
    lines = ['<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a0 "M0 0">']
    lines += [f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 10)]
    return "".join(lines) + ']><svg width="40mm" height="30mm"><path d="&a9;"/></svg>'


def raster(lines):
    body = "".join(f"X{30 if i % 2 else 0} Y{(i % 3000) / 100:.2f}\n" for i in range(lines))
    return "G21 G90 G17\nS9000 M3\nG0 X-5 Y0 Z1\nG1 Z-0.02 F300\n" + body + "G0 Z5\nM30\n"


def make_inputs(bench, how):
    put("large.ini", job(400, 300, slots(12, 0.1)))
    put("three.ini", job(400, 300, slots(3, 0.1)))
    put("widest.ini", job(2000, 2000, PUSH, 1))
    put("cuts.ini", job(2000, 2000, slots(300, 0.1) + "axial = 0\n"))
    put("drills.ini", job(2000, 2000, "[cutter.d]\nid = drill-3mm\n" + "".join(
        f"[cut.{i}]\noperation = drill\ncutter = d\nat = 100,100\ngrid = 30 x 30\npitch = 20\n" for i in range(1, 4))))
    put("keys.ini", "[job]\n" + "".join(f"k{i} = 1\n" for i in range(70000)))
    put("fringed.svg", star(4000, 200))
    put("fringed.ini", job(200, 82, PUSH).replace("thickness = 3", "thickness = 3\noutline = fringed.svg"))
    put("bomb.svg", bomb())
    put("bomb.ini", HEAD.replace("thickness = 3", "thickness = 3\noutline = bomb.svg") + PUSH)
    put("raster.nc", raster(200 if how == "quick" else 2000))
    put("wide.ini", job(400, 300, ZERO))
    put("endless.nc", "G21 G90 G17\nG0 X0 Y0 Z50\nO1 SUB\nG91 G0 X0.001\nO1 ENDSUB\nO2 REPEAT [999999999]\nO1 CALL\nO2 ENDREPEAT\nM30\n")
    put("many.csv", "area [mm2],force [N],kind,failure\n" +
        "".join(f"625,{150 + i % 60},{'lift' if i % 2 else 'shear'},part-tape\n" for i in range(1000)))
    record = bench.made["data/tackhold/log"].decode().splitlines(keepends=True)
    with open("many.log", "w", encoding="utf-8") as file:
        file.write(record[0])
        for _ in range((4 if how == "quick" else 60) * MB // len(record[1])):
            file.write(record[1])
    os.makedirs("tables", exist_ok=True)
    row = re.search(r"(?ms)^\[crepe-masking\]\n(.*?)\n\n", open(os.path.join(
        bench.environment()["TACKHOLD_MATERIALS"], "tape.ini"), encoding="utf-8").read()).group(1)
    put("tables/tape.ini", "".join(f"[t{i}]\n{row}\n" for i in range(60)))


# Copied, not read: what this program holds counts for what it starts.
LOGGED = {"data/tackhold/log": pathlib.Path("many.log")}
# verb, words, whether it is left out of the quick share
LARGE = [
    ("check", "check large.ini", False),
    ("check", "check widest.ini", True),
    ("check", "check cuts.ini", False),
    ("check", "check drills.ini", True),
    ("check", "check keys.ini", False),
    ("check", "check fringed.ini", True),
    ("check", "check bomb.ini", False),
    ("tape", "tape three.ini", True),
    ("limits", "limits three.ini", True),
    ("odds", "odds large.ini", True),
    ("card", "card three.ini -o out/card.html", True),
    ("picture", "picture fringed.ini --what part -o out/p.svg", True),
    ("program", "program zero.ini raster.nc --stiff", False),
    ("program", "program wide.ini raster.nc --stiff", True),
    ("program", "program zero.ini endless.nc", False),
    ("program", "program zero.ini raster.nc --stiff --slow-to out/slow.nc", True),
    ("pull", "pull many.csv --like crepe-masking", False),
    ("list", "list tape --tables tables", False),
    ("show", "show tape t7 --tables tables", False),
    ("log show", "log show --json", False),
    ("log add", "log add push.ini held", False),
]


# ---- measuring -----------------------------------------------------------------------------------


def peak(bench, case, address_limit=None):
    """Exit code and the most memory held, in MB."""
    bench.lay_out(case)

    def limit():
        if address_limit:
            resource.setrlimit(resource.RLIMIT_AS, (address_limit, address_limit))

    with open("measured", "wb") as out:
        process = subprocess.Popen([bench.program] + case.words, stdin=subprocess.PIPE, stdout=out, stderr=out,
                                   env=bench.environment(), preexec_fn=limit)
        process.stdin.write(case.text.encode())
        process.stdin.close()
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    return process.returncode, usage.ru_maxrss / 1024


def stated(bench):
    """Verb and MB, as the manual page says."""
    page = subprocess.run([bench.program, "--mdoc"], env=bench.environment(), check=True, capture_output=True,
                          text=True).stdout
    section = page.split(".Sh MEMORY", 1)[1].split(".Sh", 1)[0]
    found = {}
    for verbs, most in re.findall(r"\.It Li (.*)\n(\d+) MB", section):
        for verb in verbs.replace('"', "").replace("\\&", "").split(", "):
            found[verb] = int(most)
    return found


def verb_of(case):
    words = case.words
    return " ".join(words[:2]) if words[0] == "log" else words[0]


def torment(bench, how):
    if bench.sanitized:
        print("bounds: the sanitizers' own memory hides the program's, so it is not measured here")
        return
    bounds = stated(bench)
    make_inputs(bench, how)
    large = [Case(words, words, LOGGED if verb.startswith("log") else {})
             for verb, words, slow in LARGE if not (slow and how == "quick")]
    most = {}
    for case in [case for case in CASES if not case.words[0].startswith("-")] + large:
        code, memory = peak(bench, case)
        verb = verb_of(case)
        most[verb] = max(most.get(verb, (0, "")), (memory, case.name))
        bench.is_true(code in (0, 1, 2) and memory <= bounds.get(verb, 0),
                      f"{case.name}: {memory:.0f} MB, exit code {code}; the manual page says {bounds.get(verb)} MB")
    for verb, (memory, name) in sorted(most.items()):
        print(f"bounds, {verb}: {memory:.0f} MB of {bounds.get(verb)} ({name})")
    limited(bench)


def limited(bench):
    """Ever fewer addresses: with what the manual page asks for the answer, with less that or a message
    and exit code 3; never half an answer, a crash or a run without end.
    With too few the libraries cannot even be loaded, which is not the program's to tell."""
    for case in CASES:
        if case.name not in ("list", "check", "card", "program"):
            continue
        normal = bench.run(case)
        bench.lay_out(case)
        before = bench.files()
        for megabytes in (400, 350, 300, 280, 260, 250, 240, 220, 200, 180):
            limit = megabytes * MB
            result = bench.run(case, preexec_fn=lambda most=limit: resource.setrlimit(resource.RLIMIT_AS, (most, most)))
            if result.code == 127 or b"OpenBLAS" in result.err:
                break
            fine = result.same_answer(normal) or (megabytes < 400 and result.code == 3 and not result.out
                                                  and result.files == before)
            bench.is_true(fine and b"tackhold" in result.err + b"tackhold" * (result.code != 3),
                          f"{case.name}: {megabytes} MB of addresses", result)
