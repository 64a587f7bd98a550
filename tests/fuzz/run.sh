#!/bin/sh
# run.sh DIRECTORY [SECONDS]: fuzz each reader with the programs that stand in DIRECTORY.
# With SECONDS for that long each; inputs worth keeping are kept in DIRECTORY. Without, a run that
# is the same every time: so many inputs, from one seed of the dice, starting from the seeds alone.
set -u
directory=${1:?usage: run.sh DIRECTORY [SECONDS]}
seconds=${2:-}
passed=0
failed=0
export LC_ALL=C TACKHOLD_MATERIALS="${TACKHOLD_MATERIALS:-materials}"
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT

# What the fuzzer tries next depends on addresses too.
fixed='setarch -R'
if [ -n "$seconds" ]; then
    fixed=
elif ! $fixed true 2>/dev/null; then
    fixed=
    echo "addresses cannot be fixed here, so the inputs differ from run to run"
fi

# Time is for one input. A reader has 2 s for 100 kB, and these are far smaller; but a few lines of
# a drawing may ask for all the points an outline may have, which takes up to 1 s, and many times
# that under the sanitizers and on a machine that is shared. Memory counts the sanitizers' own, some
# 400 MB by the end.
fuzz() {
    kind=$1 length=$2 seconds_each=$3 runs=$4
    program=$directory/fuzz_$kind
    if [ -n "$seconds" ]; then
        corpus=$directory/corpus/$kind runs=1
        set -- "-max_total_time=$seconds"
    else
        corpus=$work/corpus/$kind
        set -- -seed=1 -reload=0 "-runs=$runs"
    fi
    mkdir -p "$corpus" "$directory/found"
    $fixed "$program" "$@" "-max_len=$length" "-timeout=$seconds_each" -rss_limit_mb=1000 -malloc_limit_mb=100 \
        "-artifact_prefix=$directory/found/$kind-" -print_final_stats=1 \
        "$corpus" "tests/fuzz/seeds/$kind" >"$work/log" 2>&1
    status=$?
    tail -n 12 "$work/log" | sed -n 's/^stat::\([a-z_]*\): *\([0-9]*\)$/\1 \2/p' >"$work/stat"
    inputs=$(sed -n 's/^number_of_executed_units //p' "$work/stat")
    if [ "$status" -eq 0 ] && [ "${inputs:-0}" -ge "$runs" ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        [ -n "$inputs" ] && [ "$status" -eq 0 ] && echo "only $inputs inputs"
        grep -v '^#[0-9]' "$work/log" | tail -n 60
    fi
    echo "$kind: ${inputs:-0} inputs, exit code $status"
    sed 's/^/    /' "$work/stat"
}

# The seeds of jobs alone, each of which must be accepted.
if FUZZ_ALL_ACCEPTED=1 "$directory/fuzz_job" tests/fuzz/seeds/job/* >"$work/log" 2>&1; then
    passed=$((passed + 1))
else
    failed=$((failed + 1))
    grep -E '^Running|does not hold' "$work/log" | tail -n 2
fi
#    reader, longest input (bytes), longest time (s), inputs of the run that is always the same
fuzz svg 2048 10 10000
fuzz dxf 2048 10 10000
fuzz job 4096 2 20000
fuzz pulls 2048 2 20000
fuzz log 2048 2 20000
fuzz tables 2048 2 20000
fuzz program 1024 2 10000
for program in tests/fuzz/fuzz_*.c; do
    kind=$(basename "$program" .c)
    grep -q "^fuzz ${kind#fuzz_} " tests/fuzz/run.sh || {
        failed=$((failed + 1))
        echo "$program is not run"
    }
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
