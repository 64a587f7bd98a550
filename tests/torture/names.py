"""names.py - odd file names, another locale, several runs at once on one log."""

import os
import shutil
import signal
import subprocess
import time

from bench import CASES, Case

NAMES = ["a job.ini", "Maß \u00e4\u4e2d.ini", "-x.ini", "50%s%n.ini", "it's \"q\" & <b>.ini", "a:1.ini", "\u202eabc.ini",
         "new\nline.ini", "x" * 250 + ".ini"]


def names(bench):
    """The same answer whatever the files are called; messages name them."""
    plain = bench.run(next(case for case in CASES if case.name == "check, a push"))
    for name in NAMES:
        shutil.copy("push.ini", name)
        first = ["--"] if name.startswith("-") else []
        case = Case(name, "check")
        result = bench.run(case, words=["check", *first, name])
        bench.is_true(result.code == plain.code and result.out == plain.out, f"check {name!r}", result)
        bad = name + ".none"
        result = bench.run(case, words=["check", *first, bad])
        bench.is_true(result.code == 2 and not result.out and result.err.startswith(b"tackhold: "),
                      f"check {bad!r}", result)
        writing(bench, name, first)
        os.remove(name)


def writing(bench, name, first):
    page = "out/" + name.replace(".ini", ".html")
    result = bench.run(Case(name, "card"), words=["card", "-o", page, *first, name])
    there = name.replace(".ini", ".html") in result.files
    # 255 bytes are what a name may have, and the temporary's is longer
    fine = result.code == 0 and there if len(name.encode()) < 200 else result.code in (0, 3)
    bench.is_true(fine and len(result.files) == (1 if there else 0), f"card -o {page!r}", result)
    result = bench.run(Case(name, "log"), words=["log", "add", "--note", name, *first, name, "held"])
    log = result.files.get("data/tackhold/log", b"")
    bench.is_true(result.code == 0 and log.count(b"\n") == 2, f"log add {name!r}", result)


# ---- locale --------------------------------------------------------------------------------------


def make_locale(bench):
    """Where German is not installed, made here; None where that cannot be either."""
    where = os.path.join(bench.folder, "locale")
    os.makedirs(where, exist_ok=True)
    subprocess.run(["localedef", "-i", "de_DE", "-f", "UTF-8", os.path.join(where, "de_DE.UTF-8")], check=False,
                   capture_output=True)
    told = subprocess.run(["locale", "decimal_point"], check=False, capture_output=True,
                          env={"PATH": os.environ["PATH"], "LC_ALL": "de_DE.UTF-8", "LOCPATH": where})
    return where if told.stdout.strip() == b"," else None


def locale(bench):
    """The program never asks for the locale."""
    where = make_locale(bench)
    bench.is_true(where is not None, "a German locale can be made (package locales)")
    if where is None:
        return
    for case in CASES:
        normal = bench.run(case)
        result = bench.run(case, LC_ALL="de_DE.UTF-8", LANG="de_DE.UTF-8", LANGUAGE="de", LOCPATH=where)
        bench.is_true(result.same_answer(normal), f"{case.name}: in German", result)
    refused = Case("a comma", "check push.ini --set hold.coverage=0,9")
    result = bench.run(refused, LC_ALL="de_DE.UTF-8", LOCPATH=where)
    bench.is_true(result.code == 2, "a decimal comma is refused in German too", result)


# ---- one log -------------------------------------------------------------------------------------


def one_log(bench, each):
    """Four that add, one that reads, one that is ended again and again: every record is there once."""
    bench.lay_out(Case("log", "log"))
    add = [bench.program, "log", "add", "push.ini", "held", "--note"]
    script = 'i=0; while [ $i -lt "$1" ]; do i=$((i + 1)); "$2" log add push.ini held --note "$3-$i" || exit 1; done'
    environment = bench.environment()
    adders = [subprocess.Popen(["sh", "-c", script, "sh", str(each), bench.program, str(n)], env=environment,
                               stdout=subprocess.DEVNULL) for n in range(4)]
    ended = held = 0
    while any(adder.poll() is None for adder in adders):
        with subprocess.Popen(add + ["cut short"], env=environment, stdout=subprocess.DEVNULL) as short:
            time.sleep(0.01 * (ended % 8))
            short.send_signal(signal.SIGTERM if ended % 2 else signal.SIGKILL)
            held += short.wait() == 0
        ended += 1
        shown = subprocess.run([bench.program, "log", "show", "--json"], env=environment, check=False,
                               capture_output=True)
        bench.is_true(shown.returncode == 0 and b'"skipped": 0' in shown.stdout, "log show while others add")
    with open("out/data/tackhold/log", encoding="utf-8") as file:
        lines = file.read().splitlines()
    for n in range(4):
        for i in range(1, each + 1):
            count = sum(f"\t{n}-{i}\t" in line for line in lines)
            bench.is_true(count == 1, f"record {n}-{i} stands {count} times")
    short = sum("\tcut short\t" in line for line in lines)
    bench.is_true(held <= short <= ended and len(lines) == 1 + 4 * each + short and
                  all(adder.returncode == 0 for adder in adders),
                  f"{len(lines)} lines, {short} of {ended} that were ended, {held} of them done")
    print(f"names: 4 times {each} records at once, {ended} more ended meanwhile, of which {short} stand whole")


def torment(bench, how):
    names(bench)
    one_log(bench, 5 if how == "quick" else 40)
    if how != "quick":
        locale(bench)
