"""run.py PROGRAM FAULTS.so quick|usual|full [PART...]: the program where things go wrong around it.

quick takes under a minute, usual some ten, full an hour: there each single request for memory of each
verb is refused once. Ends with "N passed, N failed"."""

import os
import re
import signal
import subprocess
import sys
import tempfile
import time

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))

import bounds  # noqa: E402
import file_faults  # noqa: E402
import memory_faults  # noqa: E402
import names  # noqa: E402
from bench import TOP, Bench  # noqa: E402

# Places at which memory is refused, a verb and way; and those of them looked at for leaks.
PLACES = {"quick": 3, "usual": 25, "full": None}
LEAKS = {"quick": 0, "usual": 2, "full": 40}


def refuse_memory(bench, how):
    memory_faults.torment(bench, PLACES[how])
    if LEAKS[how] and not bench.sanitized:
        memory_faults.leaks(bench, LEAKS[how])


def fuzz(bench, how):
    """The short run that is always the same; the quick share leaves it to whoever calls it."""
    folder = os.path.join(os.path.dirname(bench.program), "fuzz")
    if how == "quick" or not os.path.exists(os.path.join(folder, "fuzz_job")):
        return
    done = subprocess.run(["sh", "tests/fuzz/run.sh", folder], cwd=TOP, check=False, capture_output=True, text=True)
    found = re.search(r"(\d+) passed, (\d+) failed\n$", done.stdout)
    bench.passed += int(found.group(1)) if found else 0
    bench.failed += int(found.group(2)) if found else 1
    print(done.stdout)


PARTS = {"files": file_faults.torment, "names": names.torment, "bounds": bounds.torment, "memory": refuse_memory,
         "fuzz": fuzz}


def hear_signals():
    """Who starts this may have had signals ignored (nohup, a job in the background of a script), which the
    program would inherit and heed."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for each in (signal.SIGHUP, signal.SIGTERM):
        signal.signal(each, signal.SIG_DFL)


def main():
    hear_signals()
    program, faults, how = os.path.abspath(sys.argv[1]), os.path.abspath(sys.argv[2]), sys.argv[3]
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(program, faults, folder)
        for name in sys.argv[4:] or PARTS:
            start = time.monotonic()
            PARTS[name](bench, how)
            print(f"{name}: {time.monotonic() - start:.0f} s")
    print(f"{bench.passed} passed, {bench.failed} failed")
    return 0 if bench.failed == 0 and bench.passed > 0 else 1


sys.exit(main())
