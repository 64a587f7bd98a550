#!/bin/sh
# static.sh BUILD: every source before gcc's analyser, clang-tidy and cppcheck. What they find fails, but for
# the lines of static.known, each of which gives the reason why the finding is wrong; a line of that
# list that finds nothing any more fails too. A source is looked at again when it or a header changed.
set -u
build=${1:?usage: static.sh BUILD}
out=$build/static
known=tests/static.known
passed=0
failed=0
mkdir -p "$out"
newest=$(find src include .clang-tidy -name '*.h' -newer "$out/stamp" -o -name .clang-tidy -newer "$out/stamp" 2>/dev/null)
[ -e "$out/stamp" ] && [ -z "$newest" ] || rm -rf "${out:?}"/gcc "$out"/tidy "$out"/cppcheck
: >"$out/stamp"

# one TOOL SOURCE: the findings into $out/TOOL/SOURCE, written whole or not at all.
cat >"$out/one.sh" <<'ONE'
set -u
tool=$1 source=$2 out=$3
found=$out/$tool/$source
[ ! "$found" -nt "$source" ] || exit 0
mkdir -p "$(dirname "$found")"
flags='-std=c11 -Iinclude -Isrc/page/expat'
case $tool in
# shellcheck disable=SC2086 # one word a flag
gcc) gcc $flags '-DTH_DATADIR="/"' -O0 -fanalyzer -c "$source" -o "$found.o" 2>&1
    rm -f "$found.o" ;;
# shellcheck disable=SC2086
tidy) clang-tidy-14 --quiet "$source" -- $flags '-DTH_DATADIR="/"' 2>/dev/null ;;
# "style" stays out: it takes the smaller of two for a condition that is always false.
cppcheck) cppcheck --quiet --std=c11 --enable=warning,performance,portability -Iinclude \
    --template='{file}:{line}:{column}: {severity}: {message} [{id}]' "$source" 2>&1 ;;
esac |
    sed "s#^$PWD/##" | sed -nE 's#^([^:]*):([0-9]*):[0-9]*: (warning|error|portability|performance): #\1:\2: #p' |
    sort -u >"$found.new"
mv "$found.new" "$found"
ONE

for tool in gcc tidy cppcheck; do
    find src -name '*.c' | sort | xargs -P "$(nproc)" -I{} sh "$out/one.sh" $tool {} "$out"
    # A line of the list: file, check, reason, each after a tab.
    find "$out/$tool" -name '*.c' -exec cat {} + | sort -u >"$out/$tool.all"
    while IFS= read -r line; do
        file=${line%%:*}
        check=${line##*[}
        if ! grep -q "^$file	${check%]}	" $known; then
            echo "$tool: $line"
            failed=$((failed + 1))
        fi
    done <"$out/$tool.all"
    passed=$((passed + $(find "$out/$tool" -name '*.c' | wc -l)))
done
while IFS='	' read -r file check reason; do
    case $file in '#'* | '') continue ;; esac
    if [ -z "$reason" ] || ! cat "$out"/*.all | grep -q "^$file:.*\[$check\]"; then
        echo "$known: nothing is found any more, or no reason is given: $file $check"
        failed=$((failed + 1))
    fi
done <$known
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
