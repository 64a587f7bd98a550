#!/bin/sh
# keys.sh PROGRAM KIND: a materials table with its block of keys made anew. What follows an empty comment
# are the keys of a job's section of that name.
set -eu
program=$1 kind=$2
"$program" show "$kind" | sed '/^#$/,$d' >"${TMPDIR:-/tmp}/keys.$$"
awk -v block="${TMPDIR:-/tmp}/keys.$$" '
/^# >>> keys/ { print; while ((getline line < block) > 0) print line; skip = 1; next }
/^# <<< keys/ { skip = 0 }
!skip { print }
' "materials/$kind.ini"
rm -f "${TMPDIR:-/tmp}/keys.$$"
