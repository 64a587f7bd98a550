#!/bin/sh
# bench.sh PROGRAM: whole-process time of `check` on each example, in milliseconds (best of 20).
set -eu
program=$1
for job in examples/*.ini; do
    python3 - "$program" "$job" <<'P'
import subprocess, sys, time
program, job = sys.argv[1:]
times = []
for _ in range(20):
    start = time.perf_counter()
    subprocess.run([program, "check", job], stdout=subprocess.DEVNULL)
    times.append((time.perf_counter() - start) * 1000)
times.sort()
print("%-34s least %6.1f ms   median %6.1f ms" % (job, times[0], times[len(times) // 2]))
P
done
