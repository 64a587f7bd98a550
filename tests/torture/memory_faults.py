"""memory_faults.py - memory refused, at one request or from one on, in every verb."""

import shutil
import struct
import subprocess

from bench import CASES, told, unharmed


def places(bench, case):
    """Numbers of the requests: all of them, and the first from each place in the code."""
    result = bench.run(case, TORTURE_LIST="list")
    with open("list", "rb") as file:
        raw = file.read()
    first = {}
    for number, place in enumerate(struct.unpack(f"={len(raw) // 8}Q", raw), 1):
        first.setdefault(place, number)
    return result, len(raw) // 8, sorted(first.values())


def evenly(items, most):
    """At most so many of a list, the first and the last among them."""
    if len(items) <= most:
        return list(items)
    return [items[i * (len(items) - 1) // max(most - 1, 1)] for i in range(most)]


def sound(case, result, normal, before):
    if result.code in (2, 3):
        quiet = not result.out or case.name == "mdoc"
        return result.code == 3 and quiet and told(result.err) and unharmed(case, result, normal, before)
    return result.code == normal.code and result.out == normal.out and result.files == normal.files


def leaks(bench, most):
    """What was refused memory has given back what it had: under valgrind, at so many places a verb."""
    if not shutil.which("valgrind"):
        print("memory: without valgrind nobody looks for leaks")
        return
    valgrind = ["valgrind", "-q", "--leak-check=full", "--error-exitcode=99",
                "--soname-synonyms=somalloc=nouserintercepts", bench.program]
    for case in CASES:
        if case.requests:
            continue
        _, _, distinct = places(bench, case)
        for number in evenly(distinct[1:-1], most):
            bench.lay_out(case)
            done = subprocess.run(valgrind + case.words, input=case.text.encode(), capture_output=True, check=False,
                                  env=bench.environment(TORTURE_MEMORY=number))
            bench.is_true(done.returncode in (0, 1, 3) and b"==" not in done.stderr,
                          f"{case.name}: request {number} for memory refused, under valgrind\n"
                          + done.stderr.decode(errors="replace")[-3000:])


def torment(bench, most):
    """`most`: places a verb and way, or None for every single request."""
    if bench.sanitized:
        print("memory: the sanitizers hand out memory themselves, so none is refused here")
        return
    for case in CASES:
        normal, count, distinct = places(bench, case)
        if case.requests:
            count, distinct = case.requests, range(1, case.requests + 1)
        bench.lay_out(case)
        before = bench.files()
        chosen = range(1, count + 1) if most is None else evenly(distinct, most)
        codes = {}
        for on in (0, 1):
            for number in chosen:
                result = bench.run(case, TORTURE_MEMORY=number, TORTURE_MEMORY_ON=on)
                codes[result.code] = codes.get(result.code, 0) + 1
                bench.is_true(sound(case, result, normal, before),
                              f"{case.name}: request {number} of {count} for memory refused"
                              f"{', and all after it' if on else ''}", result)
        print(f"memory, {case.name}: {len(chosen)} of {len(distinct)} places, {count} requests; "
              f"exit codes {dict(sorted(codes.items(), key=str))}")
