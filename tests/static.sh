#!/bin/sh
# static.sh BUILD: every source before gcc's analyser, clang-tidy and cppcheck. What they find fails, but for
# the lines of static.known, each of which gives the reason why the finding is wrong; a line of that
# list that finds nothing any more fails too. What was found is kept in BUILD/static: a source is looked at
# again when it, a header that it reads, a tool or what the tools are asked has changed.
set -u
build=${1:?usage: static.sh BUILD}
out=$build/static
known=tests/static.known
tools='gcc clang-tidy-14 cppcheck'
for tool in $tools; do
    command -v "$tool" >/dev/null || {
        echo "$tool is not installed"
        echo "0 passed, 1 failed"
        exit 1
    }
done
mkdir -p "$out"

# one SOURCE OUT NAMES: the findings of each tool into OUT/TOOL/SOURCE, the first line what they stand for.
cat >"$out/one.sh" <<'ONE'
set -u
source=$1 out=$2 names=$3
layer=${source#src/}
layer=${layer%%/*}
flags='-std=c11 -Iinclude -DTH_DATADIR="/"'
[ "$layer" != page ] || flags="$flags -Isrc/page/expat"
# static.h tells what returns false; where that is written it cannot be read.
grep -qE "^bool ($names)\(" "$source" || flags="$flags -iquote . -DLAYER_$layer -include tests/static.h"
ask() {
    # shellcheck disable=SC2086 # one word a flag
    case $1 in
    gcc) gcc $flags -O0 -fanalyzer -c "$source" -o "$found.o" ;;
    clang-tidy-14) clang-tidy-14 --quiet "$source" -- $flags 2>/dev/null ;;
    # "style" stays out: it takes the smaller of two for a condition that is always false.
    cppcheck) cppcheck --quiet --std=c11 --enable=warning,performance,portability -Iinclude \
        --template='{file}:{line}:{column}: {severity}: {message} [{id}]' "$source" ;;
    esac >"$found.said" 2>&1
}
# shellcheck disable=SC2086 # one word a flag
reads=$(gcc $flags -MM "$source" 2>/dev/null | sed 's/^[^:]*://; s/\\$//')
# shellcheck disable=SC2086 # one word a file
stand=$(sha256sum "$out/asked" "$source" $reads | sha256sum)
for tool in gcc clang-tidy-14 cppcheck; do
    found=$out/$tool/$source
    stood=
    [ ! -e "$found" ] || IFS= read -r stood <"$found"
    [ "$stood" != "$stand" ] || continue
    mkdir -p "$(dirname "$found")"
    if ask $tool; then first=$stand; else first='again: it did not come to its end'; fi
    {
        echo "$first"
        [ "$first" = "$stand" ] || echo "$source:0: error: $tool failed [$tool]"
        cat "$found.said"
    } | sed "s#^$PWD/##; s#^\./##" | sed -nE -e '1p' \
        -e 's#^([^:]*):([0-9]*):([0-9]*:)? (warning|(fatal )?error|portability|performance): #\1:\2: #p' >"$found.new"
    rm -f "$found.o" "$found.said"
    mv "$found.new" "$found"
done
ONE
{
    for tool in $tools; do "$tool" --version; done
    sha256sum .clang-tidy tests/static.h "$out/one.sh"
} >"$out/asked" || exit 1

passed=0
failed=0
find src -name '*.c' | sort >"$out/sources"
names=$(sed -n 's/^#define \([a-z_]*\)(.*/\1/p' tests/static.h | paste -sd '|')
xargs -P "$(nproc)" -I{} sh "$out/one.sh" {} "$out" "$names" <"$out/sources" || {
    echo "not every source was looked at"
    failed=1
}
: >"$out/found"
for tool in $tools; do
    while IFS= read -r source; do
        if [ -e "$out/$tool/$source" ]; then
            passed=$((passed + 1))
            sed "1d; s/^/$tool	/" "$out/$tool/$source" >>"$out/found"
        else
            echo "$tool said nothing of $source"
            failed=$((failed + 1))
        fi
    done <"$out/sources"
done
# A line of the list: file, check, reason, a tab between them.
sort -u "$out/found" | awk -F '\t' -v known="$known" '
    BEGIN {
        while ((getline line < known) > 0)
            if (line !~ /^(#|$)/) {
                split(line, part, "\t")
                if (part[3] == "") print known ": no reason is given: " line
                else waits[part[1] "\t" part[2]] = 1
            }
    }
    {
        file = $2; sub(/:.*/, "", file)
        check = $2; sub(/.*\[/, "", check); sub(/\]$/, "", check)
        if (file "\t" check in waits) met[file "\t" check] = 1
        else print $1 ": " $2
    }
    END { for (line in waits) if (!(line in met)) print known ": nothing is found any more: " line }' >"$out/wrong"
cat "$out/wrong"
failed=$((failed + $(wc -l <"$out/wrong")))
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
