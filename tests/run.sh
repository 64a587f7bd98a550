#!/bin/sh
# run.sh: every test there is, on what stands in $BUILD. Ends with "N passed, N failed".
set -u
build=${BUILD:-build}
log=$build/tests.log
passed=0
failed=0
: >"$log"

# A program of unit tests: counts come from its own closing lines, and a program that stops without
# them has failed.
unit() {
    "$1" >"$log.one" 2>&1
    status=$?
    cat "$log.one" >>"$log"
    good=$(sed -n 's/^\[  PASSED  \] \([0-9]*\) test.*/\1/p' "$log.one" | awk '{ n += $1 } END { print n + 0 }')
    bad=$(sed -n 's/^\[  FAILED  \] \([0-9]*\) test.*/\1/p' "$log.one" | awk '{ n += $1 } END { print n + 0 }')
    if [ "$status" -ne 0 ] && [ "$bad" -eq 0 ]; then bad=1; fi
    if ! grep -q '^\[==========\] [0-9]* test(s) run' "$log.one"; then bad=$((bad + 1)); fi
    if [ "$bad" -gt 0 ]; then cat "$log.one"; fi
    echo "$(basename "$1"): $good passed, $bad failed"
    passed=$((passed + good))
    failed=$((failed + bad))
}

# A script that prints "N passed, N failed" on its last line.
script() {
    name=$1
    shift
    "$@" >"$log.one" 2>&1
    status=$?
    cat "$log.one" >>"$log"
    last=$(tail -n 1 "$log.one")
    good=$(echo "$last" | sed -n 's/^\([0-9]*\) passed, [0-9]* failed$/\1/p')
    bad=$(echo "$last" | sed -n 's/^[0-9]* passed, \([0-9]*\) failed$/\1/p')
    if [ -z "$good" ]; then good=0 bad=1; fi
    if [ "$status" -ne 0 ] && [ "$bad" -eq 0 ]; then bad=1; fi
    if [ "$bad" -gt 0 ]; then cat "$log.one"; fi
    echo "$name: $good passed, $bad failed"
    passed=$((passed + good))
    failed=$((failed + bad))
}

for test in "$build"/tests/test_*; do
    case $test in *.*) continue ;; esac
    unit "$test"
done
if [ -n "${UNITS_ALONE:-}" ]; then
    echo "$passed passed, $failed failed"
    [ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
    exit
fi
script "rules of the house" sh tests/rules.sh
if [ -z "${NO_STATIC:-}" ]; then
    script "static check" sh tests/static.sh "$build"
else
    echo "static check: left to make test"
fi
script "command line" sh tests/cli/run.sh "$build/tackhold"
script "programs" sh tests/cli/program.sh "$build/tackhold"
script "log" sh tests/cli/log.sh "$build/tackhold"
script "manual, completion, install" sh tests/cli/manual.sh "$build/tackhold"
script "cards and pictures" sh tests/card/run.sh "$build/tackhold"
script "bad input" sh tests/bad/run.sh "$build/tackhold"
script "bad pull tests" sh tests/bad_pull/run.sh "$build/tackhold"
script "everyday practice" sh tests/practice/run.sh "$build/tackhold"
script "large jobs" sh tests/large.sh "$build/tackhold"
if [ -z "${NO_TORTURE:-}" ]; then
    script "torture, its quick share" /usr/bin/python3 tests/torture/run.py "$build/tackhold" \
        "$build/torture/faults.so" quick
fi
if [ -z "${NO_FUZZ:-}" ]; then
    script "fuzzing" sh tests/fuzz/run.sh "$build/fuzz"
else
    echo "fuzzing: left to make test"
fi
if [ -z "${NO_PAGE:-}" ]; then
    script "page" sh tests/page/run.sh "$build/tackhold"
else
    echo "page: left to make test"
fi
if [ -z "${NO_PACKAGE:-}" ]; then
    script "packaging" sh tests/package.sh "$build"
else
    echo "packaging: left to make test"
fi
[ -n "${NO_VALGRIND:-}" ] || script "instructions" sh tests/counts.sh "$build/tackhold"
[ -n "${NO_VALGRIND:-}" ] || script "valgrind" sh tests/memory.sh "$build/tackhold"
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
