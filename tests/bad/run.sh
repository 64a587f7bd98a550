#!/bin/sh
# Jobs with one fault each: the program must refuse every one with exit code 2, an empty standard
# output and one line on standard error that names the file and the line and says what is wrong.
# usage: run.sh PROGRAM
# A job states what it expects: "# expect: FRAGMENT" of the message on its first line, "# line: N" on
# its second, 0 where the fault has no line. "# file: NAME" on its third: the fault lies in that file,
# which the job names.
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

say() {
    [ -z "$why" ] && echo "FAILED: $shown: expected \"$fragment\", line $line"
    why=$1
    echo "    $why"
}

# refused PATH SHOWN LINE FRAGMENT: one file, its name in the message, where, and what.
refused() {
    path=$1 shown=$2 line=$3 fragment=$4 why=
    "$program" check "$path" >"$work/out" 2>"$work/err"
    code=$?
    [ "$code" = 2 ] || say "exit code $code"
    [ -s "$work/out" ] && say "something on standard output"
    [ "$(wc -l <"$work/err")" = 1 ] || say "$(wc -l <"$work/err") lines on standard error"
    place="tackhold: $shown: "
    [ "$line" = 0 ] || place="tackhold: $shown:$line: "
    case $(cat "$work/err") in "$place"*) ;; *) say "the place \"$place\" is not named" ;; esac
    grep -qF -- "$fragment" "$work/err" || say "the message is another one"
    if [ -z "$why" ]; then
        passed=$((passed + 1))
    else
        sed 's/^/    err: /' "$work/err"
        failed=$((failed + 1))
    fi
}

# A fault may lie in the line ends or before the first letter, so these are looked past.
header() {
    tr '\r' '\n' <"$1" | sed -n "$2s/^.*# $3: //p;$2q"
}

for file in *.ini; do
    [ -f "$file" ] || continue
    files=$((files + 1))
    fragment=$(header "$file" 1 expect)
    line=$(header "$file" 2 line)
    if [ -z "$fragment" ] || [ -z "$line" ]; then
        echo "FAILED: $file: says not what to expect"
        failed=$((failed + 1))
        continue
    fi
    named=$(header "$file" 3 file)
    refused "$file" "${named:-$file}" "$line" "$fragment"
done

: >"$work/empty.ini"
mkdir "$work/directory.ini"
head -c 1048577 /dev/zero | tr '\0' '#' >"$work/large.ini"
head -c 300 /dev/zero >"$work/zeros.ini"
printf '[job]\ntitle = "x' >"$work/cut-off.ini"
refused "$work/missing.ini" "$work/missing.ini" 0 'there is no such file'
refused "$work/empty.ini" "$work/empty.ini" 0 'is empty'
refused "$work/directory.ini" "$work/directory.ini" 0 'is a directory'
refused /dev/null /dev/null 0 'is neither a plain file nor a pipe'
refused "$work/large.ini" "$work/large.ini" 0 'is larger than 1 MiB'
refused "$work/zeros.ini" "$work/zeros.ini" 1 'a control character (byte 0)'
refused "$work/cut-off.ini" "$work/cut-off.ini" 2 'a quote is opened and not closed'
if [ "$(wc -c <"$program")" -gt 1048576 ]; then
    refused "$program" "$program" 0 'is larger than 1 MiB'
else
    refused "$program" "$program" 1 'a control character (byte 127)'
fi
head -c 1000 "$program" >"$work/program.ini"
refused "$work/program.ini" "$work/program.ini" 1 'a control character (byte 127)'
refused - 'standard input' 3 'neither a [section] nor KEY = VALUE' <<'JOB'
[job]
title = from a pipe
units
JOB

# The job all of these were made from is a good one: without that they would prove little.
grep -v '^wear' wear-too-large.ini >"$work/good.ini"
"$program" check "$work/good.ini" >"$work/out" 2>"$work/err"
code=$?
if [ "$code" -le 1 ] && [ -s "$work/out" ] && [ ! -s "$work/err" ]; then
    passed=$((passed + 1))
else
    echo "FAILED: the good job: exit code $code: $(cat "$work/err")"
    failed=$((failed + 1))
fi
if [ "$files" -lt 40 ]; then
    echo "FAILED: only $files files with a fault"
    failed=$((failed + 1))
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
