"""file_faults.py - disks that are full, streams that are closed, places where nobody may write, and
signals: a file is there whole or as it was, and nothing is left lying about."""

import errno
import os
import resource
import shutil
import signal
import subprocess
import time

from bench import CASES, told, unharmed

WRITES = [case for case in CASES if case.makes]


# ---- each call that touches a file ---------------------------------------------------------------


def calls_of(bench, case):
    result = bench.run(case, TORTURE_CALLS="calls")
    with open("calls", encoding="ascii") as file:
        return result, int(file.read())


def one_fault(bench, case, spot, fault, normal, before):
    """`fault` at call `spot`: an errno, or below 0 a signal."""
    number, count = spot
    # with a thread of the library's about, that would take a signal which the program only masks
    result = bench.run(case, TORTURE_CALL=number, TORTURE_DO=fault, OPENBLAS_NUM_THREADS=2)
    if fault < 0:
        fine = result.code == fault and unharmed(case, result, normal, before)
    elif result.code == 3:
        fine = not result.out and told(result.err) and unharmed(case, result, normal, before)
    else:  # a call that may fail
        fine = result.same_answer(normal)
    name = signal.Signals(-fault).name if fault < 0 else errno.errorcode[fault]
    bench.is_true(fine, f"{case.name}: {name} at call {number} of {count}", result)


def killed(bench, case, spot, normal, before):
    """SIGKILL waits for nobody: the file is whole or as it was; the temporary beside it may stay.
    How many did."""
    number, count = spot
    result = bench.run(case, TORTURE_CALL=number, TORTURE_DO=-int(signal.SIGKILL))
    extra = [path for path in result.files if path not in before and path not in normal.files]
    result.files = {path: text for path, text in result.files.items() if path not in extra}
    named = all(path.rsplit(".", 1)[0] in case.makes for path in extra)
    fine = result.code == -signal.SIGKILL and named and unharmed(case, result, normal, before)
    bench.is_true(fine, f"{case.name}: SIGKILL at call {number} of {count}", result)
    return len(extra)


FAULTS = (errno.ENOSPC, -signal.SIGTERM, errno.EIO, -signal.SIGINT, -signal.SIGHUP)


def at_each_call(bench, how):
    """The calls that write come last; those before read tables, the same in every verb: all are
    tried in one verb, in the others the last 14 (quick: the last 8, one fault each in turn)."""
    if bench.sanitized:
        print("files: nothing can be put between the program and the sanitizers, so no call fails here")
        return
    left = 0
    for case in WRITES:
        normal, count = calls_of(bench, case)
        bench.lay_out(case)
        before = bench.files()
        bench.is_true(set(case.makes) <= set(normal.files), f"{case.name}: writes {case.makes}", normal)
        short = bench.run(case, TORTURE_SHORT=1)
        bench.is_true(short.same_answer(normal), f"{case.name}: write() takes 100 bytes at a time", short)
        whole = how == "full" or (how == "usual" and case.name == "log add, the first")
        first = 1 if whole else max(1, count - (7 if how == "quick" else 13))
        for number in range(first, count + 1):
            faults = FAULTS if how != "quick" else FAULTS[number % 5:number % 5 + 1]
            for fault in faults:
                one_fault(bench, case, (number, count), int(fault), normal, before)
            if how != "quick":
                left += killed(bench, case, (number, count), normal, before)
        print(f"files, {case.name}: {count - first + 1} of {count} calls")
    if how != "quick":
        print(f"files: SIGKILL left {left} temporaries, each beside a file that is whole or as it was")


# ---- streams -------------------------------------------------------------------------------------


def closed(*streams):
    def close():
        for stream in streams:
            os.close(stream)
    return close


def streams(bench):
    for case in CASES:
        normal = bench.run(case)
        bench.lay_out(case)
        before = bench.files()

        def judge(what, result, talks=True):
            fine = result.code == 3 and unharmed(case, result, normal, before)
            bench.is_true(fine and (told(result.err) if talks else True), f"{case.name}: {what}", result)

        with open("/dev/full", "wb") as full:
            judge("standard output on a full disk", bench.run(case, stdout=full), case.name != "help")
            result = bench.run(case, stderr=full)
            bench.is_true(result.same_answer(normal), f"{case.name}: standard error on a full disk", result)
        judge("standard output closed", bench.run(case, preexec_fn=closed(1)), case.name != "help")
        result = bench.run(case, preexec_fn=closed(2))
        bench.is_true(result.same_answer(normal), f"{case.name}: standard error closed", result)
        judge("both closed", bench.run(case, preexec_fn=closed(1, 2)), False)
        if not case.text:
            result = bench.run(case, preexec_fn=closed(0))
            bench.is_true(result.same_answer(normal), f"{case.name}: standard input closed", result)
        reader, writer = os.pipe()
        os.close(reader)
        with os.fdopen(writer, "wb") as nobody:
            judge("nobody reads standard output", bench.run(case, stdout=nobody), False)


# ---- disks and places ----------------------------------------------------------------------------


def grows_to(size):
    def limit():
        signal.signal(signal.SIGXFSZ, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
    return limit


def full_disk(bench):
    """No file may grow beyond so many bytes: what is written stops in its middle. The INI library
    reads from a file in memory, so the first sizes stop the reading."""
    for case in WRITES:
        normal = bench.run(case)
        bench.lay_out(case)
        before = bench.files()
        whole = max(len(normal.files[path]) for path in case.makes)
        for size in sorted({0, 1, 1000, 4096, whole // 2, max(whole - 40, 0)}):
            result = bench.run(case, preexec_fn=grows_to(size))
            fine = result.code in (2, 3) and not result.out and told(result.err)
            bench.is_true(fine and result.files == before, f"{case.name}: files end at {size} bytes", result)


def as_nobody():
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(65534)
        os.setuid(65534)


def read_only(bench):
    """Where the folder may not be written. Root may everywhere, so it is another who tries."""
    if not reachable(bench):
        print("files: the program cannot be run as another user here, so no folder is read-only")
        return
    for case in WRITES:
        bench.lay_out(case)
        before = bench.files()
        result = bench.run(case, preexec_fn=as_nobody_in_locked_out)
        fine = result.code == 3 and not result.out and told(result.err) and result.files == before
        bench.is_true(fine, f"{case.name}: a folder that may not be written", result)
        os.chmod("out", 0o755)


def as_nobody_in_locked_out():
    os.chmod("out", 0o555)
    as_nobody()


def reachable(bench):
    os.chmod(bench.folder, 0o755)
    done = subprocess.run([bench.program, "list", "tape"], env=bench.environment(), preexec_fn=as_nobody,
                          check=False, capture_output=True)
    return done.returncode == 0


def small_disk(bench):
    """A disk of 64 kB with 8 kB left, where one can be mounted."""
    os.makedirs("disk", exist_ok=True)
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", "disk"], check=False,
                      capture_output=True).returncode != 0:
        print("files: no disk can be mounted here")
        return
    try:
        with open("disk/filler", "wb") as file:
            file.write(b"x" * 56 * 1024)
        case = next(case for case in CASES if case.name == "card")
        result = bench.run(case, words=["card", "slot.ini", "-o", "disk/card.html"])
        fine = result.code == 3 and told(result.err) and b"No space left" in result.err
        bench.is_true(fine and os.listdir("disk") == ["filler"], "card: a disk that is full", result)
    finally:
        subprocess.run(["umount", "disk"], check=False)


# ---- signals at any time -------------------------------------------------------------------------


def signals_at_any_time(bench, times):
    """Ended from outside, after ever longer times: with the worker threads of the libraries about."""
    for case in WRITES:
        start = time.monotonic()
        normal = bench.run(case)
        whole = time.monotonic() - start
        bench.lay_out(case)
        before = bench.files()
        for i in range(times):
            bench.lay_out(case)
            with subprocess.Popen([bench.program] + case.words, stdin=subprocess.PIPE,
                                  stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                                  env=bench.environment(OPENBLAS_NUM_THREADS=2)) as process:
                process.stdin.write(case.text.encode())
                process.stdin.flush()
                time.sleep(whole * (i + 1) / (times + 1) * 0.9)
                process.send_signal(signal.SIGTERM)
                process.stdin.close()
                code = process.wait()
            result = type(normal)(code, b"", b"", bench.files())
            bench.is_true(code in (-signal.SIGTERM, normal.code) and unharmed(case, result, normal, before),
                          f"{case.name}: SIGTERM after {i + 1}/{times + 1} of its time", result)


def torment(bench, how):
    at_each_call(bench, how)
    if how == "quick":
        return
    streams(bench)
    full_disk(bench)
    read_only(bench)
    small_disk(bench)
    signals_at_any_time(bench, 6 if how == "usual" else 40)
    shutil.rmtree("out", ignore_errors=True)
