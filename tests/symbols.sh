#!/bin/sh
# symbols.sh LIST VERSION: the list of exported names, LIST, brought up to date with the headers and printed.
# Each name stands in the version in which it first appeared. A new one goes to VERSION (its first two
# numbers); one that is gone is an error, as programs may call it: see "Releases" in DEVELOPERS.md.
set -eu
list=${1:?usage: symbols.sh LIST VERSION}
node=TACKHOLD_$(echo "${2:?usage: symbols.sh LIST VERSION}" | cut -d . -f 1,2)
# Functions as the compiler sees them: a declarator followed by its arguments, comments gone.
declared=$(for header in include/tackhold/*.h; do
    ${CC:-gcc} -std=c11 -E -P -Iinclude "$header"
done | tr '\n' ' ' | grep -oE '\bth_[a-z0-9_]+ ?\(' | tr -d ' (' | LC_ALL=C sort -u)
[ -n "$declared" ] || { echo "no function seen in the headers" >&2; exit 1; }
echo "$declared" | awk -v node="$node" '
FNR == NR { declared[$1] = 1; order[++count] = $1; next }
/^TACKHOLD_.* \{$/ { version = $1; nodes[++versions] = version; next }
/^ +th_[a-z0-9_]+;$/ {
    name = $1; sub(/;/, "", name)
    if (!(name in declared)) { print "gone from the headers: " name >"/dev/stderr"; bad = 1 }
    since[name] = version
}
END {
    if (bad) exit 1
    for (i = 1; i <= count; i++) if (!(order[i] in since)) { since[order[i]] = node; fresh = 1 }
    if (fresh && nodes[versions] != node) nodes[++versions] = node
    print "/* Names that the library exports, by the version they appeared in. Kept by `make symbols`. */"
    for (v = 1; v <= versions; v++) {
        print nodes[v] " {\nglobal:"
        for (i = 1; i <= count; i++) if (since[order[i]] == nodes[v]) print "    " order[i] ";"
        if (v == 1) print "local:\n    *;"
        print "}" (v > 1 ? " " nodes[v - 1] : "") ";"
    }
}' - "$list"
