#!/bin/sh
# bench.sh PROGRAM: whole-process time of `check` on each example, in milliseconds (best of 20). A
# check that does not end with a verdict is no measurement.
set -eu
program=$1
for job in examples/*.ini; do
    python3 - "$program" "$job" <<'P'
import subprocess, sys, time
program, job = sys.argv[1:]
times = []
for _ in range(20):
    start = time.perf_counter()
    run = subprocess.run([program, "check", "--no-shop", job], stdout=subprocess.DEVNULL)
    times.append((time.perf_counter() - start) * 1000)
    if run.returncode not in (0, 1):
        sys.exit("%s: check ended with %d" % (job, run.returncode))
times.sort()
print("%-34s least %6.1f ms   median %6.1f ms" % (job, times[0], times[len(times) // 2]))
P
done
