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
# Turn-downs are searched once, below: under valgrind they take their time.
for job in examples/bracket.ini examples/front-panel.ini examples/knife-scale-push.ini; do
    run "0 1" check "$job" --set job.asked_factor=1
done
run "0 1" check tests/practice/daily-skim.ini --json
run "0 1" check examples/knife-scale-push.ini --set hold.wait=9h --json \
    --before examples/knife-scale-push.ini
run 0 odds examples/knife-scale-push.ini --samples 2048
run 0 list tape
run 0 show cutter flat-6mm-3
run 0 pull examples/pull-tests.csv --like crepe-masking
run 0 pull examples/pull-tests.csv --json
run 2 pull tests/bad_pull/decimal-comma.csv
# A log of its own, with a line that was cut short.
data=$(mktemp -d) || exit 3
run_logged() { XDG_DATA_HOME=$data run "$@"; }
run_logged 0 log add examples/knife-scale-push.ini held --note 'a	note'
truncate -s -9 "$data/tackhold/log"
run_logged 0 log add examples/knife-scale-push.ini moved
run_logged 0 log show --tab
run_logged 0 log show --json
run_logged "0 1" check examples/knife-scale-push.ini
rm -r "$data"
run 0 --mdoc
run 0 check --words
# Every eighth: the sanitizers see all of them.
n=0
for job in tests/bad/*.ini; do
    n=$((n + 1))
    [ $((n % 8)) -ne 0 ] || run 2 check "$job"
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
