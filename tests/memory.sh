#!/bin/sh
# memory.sh PROGRAM: `check` on every example and on bad input under valgrind.
set -u
program=$1
passed=0
failed=0
run() {
    want=$1
    shift
    valgrind -q --leak-check=full --error-exitcode=99 "$program" "$@" >/dev/null 2>"${TMPDIR:-/tmp}/valgrind.$$"
    status=$?
    case " $want " in
    *" $status "*) passed=$((passed + 1)) ;;
    *) failed=$((failed + 1)); echo "exit $status: $*"; cat "${TMPDIR:-/tmp}/valgrind.$$" ;;
    esac
    rm -f "${TMPDIR:-/tmp}/valgrind.$$"
}
for job in examples/*.ini; do
    run "0 1" check "$job"
done
run "0 1" check examples/clock-dial.ini --json --set cut.2.axial=0.1mm
run 0 list tape
run 0 show cutter flat-6mm-3
for job in tests/bad/*.ini; do
    run 2 check "$job"
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
