#!/bin/sh
# counts.sh PROGRAM [record]: instructions that a few runs take, as callgrind counts them, against
# tests/counts.tsv. More than a tenth above the record fails; more than a tenth below asks for a new record.
# Unlike seconds they do not depend on the machine or its load, as long as the same compiler and libraries
# are at work; so the math libraries are kept from choosing by the processor.
set -u
program=${1:?usage: counts.sh PROGRAM [record]}
record=tests/counts.tsv
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
export OPENBLAS_CORETYPE=Prescott OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1
export GLIBC_TUNABLES=glibc.cpu.hwcaps=-AVX2_Usable,-AVX2,-FMA_Usable,-FMA,-FMA4,-AVX512F_Usable,-AVX512F
export XDG_CONFIG_HOME="$work" XDG_DATA_HOME="$work"
passed=0
failed=0
: >"$work/new"

count() {
    name=$1
    shift
    valgrind --tool=callgrind --callgrind-out-file="$work/out" "$program" "$@" >/dev/null 2>"$work/log"
    new=$(sed -n 's/^summary: //p; s/^totals: //p' "$work/out" 2>/dev/null | head -n 1)
    printf '%s\t%s\n' "$name" "$new" >>"$work/new"
    old=$(awk -F '\t' -v name="$name" '$1 == name { print $2 }' $record 2>/dev/null)
    case $(awk -v new="${new:-0}" -v old="${old:-0}" 'BEGIN {
        print (!(new > 0) || !(old > 0) ? "nothing" : (new > 1.1 * old ? "more" : (new < 0.9 * old ? "less" : "alike"))) }') in
    alike) passed=$((passed + 1)) ;;
    less)
        passed=$((passed + 1))
        echo "$name: $new instructions, recorded $old: please make counts"
        ;;
    *)
        failed=$((failed + 1))
        echo "$name: $new instructions, recorded ${old:-none}: over a tenth more"
        ;;
    esac
}

count 'check front-panel' check examples/front-panel.ini --no-shop
count 'check bracket' check examples/bracket.ini --no-shop
count 'limits, one slot' limits tests/counts.ini --no-shop
count 'odds knife-scale-push' odds examples/knife-scale-push.ini --no-shop
count 'program, a slot' program tests/counts.ini tests/counts.ngc --no-shop
if [ "${2:-}" = record ]; then
    { echo "# run	instructions (callgrind, Debian 12)" && cat "$work/new"; } >"$record.new" && mv "$record.new" $record
    exit 0
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
