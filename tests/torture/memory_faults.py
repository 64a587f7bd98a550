"""memory_faults.py - memory refused, at one request or from one on, in every verb."""

import re
import shutil
import struct
import subprocess

from bench import CASES, told, unharmed
from children import ALONE, Family

NUMBER = re.compile(rb"-?\d+\.\d+(?:e-?\d+)?")


def places(bench, case, **more):
    """Numbers of the requests: all of them, and the first from each place in the code."""
    result = bench.run(case, TORTURE_LIST="list", **more)
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


def same_numbers(ours, theirs):
    """Texts that differ by rounding alone: a solver that had no memory to sort its unknowns well goes on
    with another order of them."""
    if ours == theirs:
        return True
    words, others = NUMBER.split(ours), NUMBER.split(theirs)
    pairs = zip(NUMBER.findall(ours), NUMBER.findall(theirs))
    return words == others and all(abs(float(a) - float(b)) <= 1e-9 * abs(float(b)) for a, b in pairs)


def sound(case, result, normal, before):
    if result.code in (2, 3):
        quiet = not result.out or case.name == "mdoc"
        return result.code == 3 and quiet and told(result.err) and unharmed(case, result, normal, before)
    return (result.code == normal.code and result.files.keys() == normal.files.keys()
            and same_numbers(result.out, normal.out)
            and all(same_numbers(result.files[name], normal.files[name]) for name in normal.files))


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


def one_by_one(bench, case, on, numbers, **more):
    for number in numbers:
        yield number, bench.run(case, TORTURE_MEMORY=number, TORTURE_MEMORY_ON=on, **more)


def every_request(bench, case, on, count, normal):
    """In children as long as the run has written nothing, the rest in runs of their own."""
    family = Family(bench, case, on)
    yield from family.children()
    bench.is_true(family.parent.same_answer(normal), f"{case.name}: with children", family.parent)
    yield from one_by_one(bench, case, on, range(family.count + 1, count + 1), **ALONE)


def torment(bench, most):
    """`most`: places a verb and way, or None for every single request."""
    if bench.sanitized:
        print("memory: the sanitizers hand out memory themselves, so none is refused here")
        return
    for case in CASES:
        normal, count, distinct = places(bench, case, **(ALONE if most is None else {}))
        if case.requests:
            count, distinct = case.requests, range(1, case.requests + 1)
        bench.lay_out(case)
        before = bench.files()
        refused = 0
        codes = {}
        for on in (0, 1):
            if most is None and not case.requests:
                results = every_request(bench, case, on, count, normal)
            else:
                results = one_by_one(bench, case, on, evenly(distinct, most or count))
            for number, result in results:
                refused += 1
                codes[result.code] = codes.get(result.code, 0) + 1
                bench.is_true(sound(case, result, normal, before),
                              f"{case.name}: request {number} of {count} for memory refused"
                              f"{', and all after it' if on else ''}", result)
        print(f"memory, {case.name}: {len(distinct)} places, {count} requests; {refused} refused, "
              f"exit codes {dict(sorted(codes.items(), key=str))}", flush=True)
