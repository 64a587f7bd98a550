#!/bin/sh
# large.sh PROGRAM: jobs as large as they come, made up here, are read within 2 s for every 100 kB
# of processor time and within bounded memory. Most end in a fault, so that they are read whole and
# not judged.
set -u
program=$(realpath "${1:?usage: large.sh PROGRAM}")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
export LC_ALL=C XDG_CONFIG_HOME="$work/config"
unset TACKHOLD_TABLES
passed=0
failed=0
memory=400000 # kB of addresses, the libraries' own among them

# A sanitized program claims all the addresses there are before it starts. The inner shell is to
# report how it died, where nobody reads it.
if ! sh -c 'ulimit -v "$1" && "$2" list tape; exit $?' sh "$memory" "$program" >/dev/null 2>&1; then
    "$program" list tape >/dev/null || exit 3
    echo "memory is not limited: this program does not start in $memory kB"
    memory=unlimited
fi

# job BYTES KIND: a job of some kind, made that large.
job() {
    awk -v bytes="$1" -v kind="$2" '
    function put(text) { printf "%s\n", text; size += length(text) + 1 }
    function many(text, count) { while (length(text) < count) text = text text; return substr(text, 1, count) }
    function fill() { while (size < bytes) put("# " many("-", 80)) }
    function head(side) {
        put("[job]"); put("title = large"); put("units = mm"); put("[part]"); put("stock = al-6061-t6")
        put("length = " side); put("width = " side); put("thickness = 3"); put("[hold]")
        put("tape = painters-paper"); put("glue = ca-thin"); put("cooling = dry"); put("coverage = 0.9")
        put("[machine]"); put("id = bench-mill"); put("[cutter.a]"); put("id = flat-6mm-3")
        put("[cutter.d]"); put("id = drill-3mm")
    }
    function slot(n) {
        put("[cut." n "]"); put("operation = slot"); put("cutter = a"); put("axial = 0.3")
        put("from = 0," n); put("to = 60," n)
    }
    function drill(n) {
        put("[cut." n "]"); put("operation = drill"); put("cutter = d"); put("at = 100,100")
    }
    BEGIN {
        if (kind == "comments") { head(200); fill(); drill(100) }
        if (kind == "cutters") {
            head(200); for (i = 1; i <= 1900; i++) { put("[cutter.c" i "]"); put("id = flat-6mm-3") }
            drill(100); fill()
        }
        if (kind == "cuts") { head(2000); for (i = 1; i <= 300; i++) slot(i); fill(); put("axial = 0") }
        if (kind == "wrong at last") {
            head(2000); for (i = 1; i <= 320; i++) slot(i); fill(); put("[cut.321]"); put("operation = none")
        }
        if (kind == "places") {
            head(2000)
            for (i = 1; size < bytes * 0.9 && i < 600; i++) {
                put("[cut." i "]"); put("operation = drill"); put("cutter = d")
                for (text = "at ="; length(text) < 880;) text = text " " (length(text) % 90 + 9) "," i
                put(text)
            }
            fill()
        }
        if (kind == "grids") {
            head(2000)
            for (i = 1; i <= 230; i++) {
                put("[cut." i "]"); put("operation = hole"); put("cutter = a"); put("axial = 0.3")
                put("size = 7"); put("at = 10,10"); put("grid = 30 x 30"); put("pitch = 20")
            }
            fill()
        }
        if (kind == "titles") {
            head(2000); for (i = 1; i < 1980; i++) put("k" i " = " many("ab ", int(bytes / 2100) - 12) "c"); fill()
        }
        if (kind == "names") {
            put("[job]"); for (i = 1; size < bytes; i++) put(many("abc", 880) i " = 1")
        }
        if (kind == "sections") { for (i = 1; size < bytes; i++) { put("[s" i "]"); put("a = 1") } }
        if (kind == "headers") { for (i = 1; size < bytes; i++) { put("[" many("abc", 880) i "]"); put("a = 1") } }
        if (kind == "twice") {
            head(2000); for (i = 1; i <= 1900; i++) { put("[s" i "]"); put("a = 1") }
            fill(); put("[job]"); put("a = 1")
        }
        if (kind == "keys") { put("[job]"); for (i = 1; size < bytes; i++) put("k" i " = 1") }
        if (kind == "lines") { while (size < bytes) put("") }
        if (kind == "one line") put("[job" many("x", bytes))
        if (kind == "quotes") { put("[job]"); put("title = " many("\"", bytes)) }
        if (kind == "pairs") {
            head(2000); slot(1); put("[cut.2]"); put("operation = drill"); put("cutter = d")
            put("at = " many("1 ", 880)); fill()
        }
    }'
}

# large BYTES KIND CODE FRAGMENT: a job of a kind, that large, ends so.
large() {
    bytes=$1 kind=$2 code=$3 fragment=$4
    job "$bytes" "$kind" >"$work/job.ini"
    size=$(wc -c <"$work/job.ini")
    (
        ulimit -t $(((bytes * 2 + 99999) / 100000)) && ulimit -v $memory || exit 9
        exec "$program" check --no-shop "$work/job.ini"
    ) >"$work/out" 2>&1
    status=$?
    if [ "$size" -lt "$bytes" ] || [ "$size" -gt $((bytes + 1000)) ]; then
        echo "FAILED: $kind: $size bytes where $bytes were meant"
    elif [ "$status" != "$code" ] || ! grep -qF -- "$fragment" "$work/out"; then
        echo "FAILED: $kind, $size bytes: exit code $status, not $code, \"$fragment\":"
        head -n 3 "$work/out" | cut -c 1-300
    else
        passed=$((passed + 1))
        return
    fi
    failed=$((failed + 1))
}

for bytes in 100000 1000000; do
    large $bytes comments 0 HOLDS
    large $bytes cutters 0 HOLDS
    large $bytes cuts 2 '[cut.300] axial stands twice; the first is on line'
    large $bytes 'wrong at last' 2 '[cut.321] operation = none: is none of'
    large $bytes grids 2 'more than 10,000 places in the whole job'
    large $bytes titles 2 '[cutter.d] has no key "k1'
    large $bytes names 2 '[job] has no key "abcabc'
    large $bytes headers 2 'there is no section [abcabc'
    large $bytes twice 2 'the section [job] stands twice'
    large $bytes keys 2 'more than 2,000 keys'
    large $bytes sections 2 'more than 2,000 sections'
    large $bytes lines 2 'the file holds no keys'
    large $bytes 'one line' 2 ":1: a line of $((bytes + 4)) bytes"
    large $bytes quotes 2 ":2: a line of $((bytes + 8)) bytes"
    large $bytes pairs 2 '[cut.2] at = 1 1 1 '
done
large 100000 places 2 'more than 10,000 places in the whole job'
large 1000000 places 2 'more than 10,000 places in the whole job'
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
