#!/bin/sh
# bench.sh PROGRAM: whole-process time of `check` and `card` on each example, in milliseconds (best of
# 20). A check that does not end with a verdict, or a card that is none, is no measurement.
set -eu
program=$1
for job in examples/*.ini; do
    python3 - "$program" "$job" <<'P'
import subprocess, sys, time
program, job = sys.argv[1:]


def measure(verb, more, codes):
    times = []
    for _ in range(20):
        start = time.perf_counter()
        run = subprocess.run([program, verb, "--no-shop", job] + more, stdout=subprocess.DEVNULL)
        times.append((time.perf_counter() - start) * 1000)
        if run.returncode not in codes:
            sys.exit("%s: %s ended with %d" % (job, verb, run.returncode))
    times.sort()
    print("%-34s %-5s least %6.1f ms   median %6.1f ms"
          % (job, verb, times[0], times[len(times) // 2]))


measure("check", [], (0, 1))
measure("card", ["-o", "-"], (0,))
P
done
