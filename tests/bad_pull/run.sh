#!/bin/sh
# Tables of pull tests with one fault each: `pull` must refuse every one with exit code 2, an empty
# standard output and one line on standard error that names the file and the line and says what is
# wrong.
# usage: run.sh PROGRAM
# A table says what it expects in the comments of its first two lines: "# expect: FRAGMENT" of the
# message, "# line: N", 0 where the fault has no line. All figures are invented.
set -u
program=$(realpath "${1:?usage: run.sh PROGRAM}")
cd "$(dirname "$0")" || exit 3
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
export LC_ALL=C XDG_CONFIG_HOME="$work/config"
unset TACKHOLD_TABLES TACKHOLD_MATERIALS
passed=0
failed=0
files=0

# refused PATH LINE FRAGMENT
refused() {
    place="tackhold: $1: "
    [ "$2" = 0 ] || place="tackhold: $1:$2: "
    why=
    "$program" pull "$1" --like crepe-masking -o bad >"$work/out" 2>"$work/err"
    code=$?
    [ "$code" = 2 ] || why="exit code $code"
    [ ! -s "$work/out" ] || why="something on standard output"
    [ "$(wc -l <"$work/err")" = 1 ] || why="not one line on standard error"
    case $(cat "$work/err") in "$place"*) ;; *) why="the place \"$place\" is not named" ;; esac
    grep -qF -- "$3" "$work/err" || why="the message is another one"
    [ ! -e "$work/config" ] || why="something was written"
    if [ -z "$why" ]; then
        passed=$((passed + 1))
    else
        echo "FAILED: $1: expected \"$3\", line $2: $why"
        sed 's/^/    err: /' "$work/err"
        failed=$((failed + 1))
    fi
}

for file in *.csv; do
    files=$((files + 1))
    refused "$file" "$(sed -n '2s/^# line: //p' "$file")" "$(sed -n '1s/^# expect: //p' "$file")"
done
mkdir "$work/directory.csv"
head -c 1048577 /dev/zero | tr '\0' '#' >"$work/large.csv"
head -c 300 /dev/zero >"$work/zeros.csv"
printf '\377\376a\000' >"$work/wide.csv"
: >"$work/empty.csv"
refused "$work/missing.csv" 0 'there is no such file'
refused "$work/directory.csv" 0 'is a directory'
refused "$work/large.csv" 0 'is larger than 1 MiB'
refused "$work/zeros.csv" 1 'a control character (byte 0)'
refused "$work/wide.csv" 1 'is in UTF-16'
refused "$work/empty.csv" 0 'is empty'

# The table all of these were made from is a good one: without that they would prove little.
{ sed -n '3,$p' one-test.csv; echo '625 mm2,110 N,shear,glue'; } >"$work/good.csv"
if "$program" pull "$work/good.csv" >"$work/out" 2>"$work/err" && [ -s "$work/out" ] &&
    [ ! -s "$work/err" ]; then
    passed=$((passed + 1))
else
    echo "FAILED: the good table: $(cat "$work/err")"
    failed=$((failed + 1))
fi
if [ "$files" -lt 30 ]; then
    echo "FAILED: only $files files with a fault"
    failed=$((failed + 1))
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
