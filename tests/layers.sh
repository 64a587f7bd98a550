#!/bin/sh
# layers.sh: includes go only the allowed way, libraries stay behind their fence.
# LAYERS holds the order; a layer may include itself and what stands before it.
set -eu
: "${LAYERS:?the order of the layers}"
awk -v order="$LAYERS" '
BEGIN { n = split(order, name, " "); for (i = 1; i <= n; i++) rank[name[i]] = i }
FNR == 1 {
    split(FILENAME, part, "/")
    mine = part[1] == "src" ? part[2] : part[3]
    sub(/\.h$/, "", mine)
    if (!(mine in rank)) { printf "%s: no such layer: %s\n", FILENAME, mine; bad = 1 }
}
/^[ \t]*#[ \t]*include[ \t]*"tackhold\// {
    other = $0
    sub(/.*"tackhold\//, "", other); sub(/\.h".*/, "", other)
    seen++
    if (!(other in rank)) { printf "%s:%d: no such layer: %s\n", FILENAME, FNR, other; bad = 1 }
    else if (rank[other] > rank[mine]) {
        printf "%s:%d: %s may not include %s\n", FILENAME, FNR, mine, other; bad = 1
    }
    else if (other == "files" && mine != "cli" && mine != "page" && mine != "files") {
        printf "%s:%d: only cli and page may include files\n", FILENAME, FNR; bad = 1
    }
}
/^[ \t]*#[ \t]*include[ \t]*(<tackhold\/|"\.\.)/ {
    printf "%s:%d: write \"tackhold/NAME.h\"; private headers stay in their folder\n", FILENAME, FNR; bad = 1
}
# The page puts a parser of its own in the place of expat, under that name.
(/iniparser\.h/ || (/expat\.h/ && FILENAME !~ /^src\/page\/(expat\/expat\.h|xml_events\.c)$/)) && mine != "files" { printf "%s:%d: only files may see it\n", FILENAME, FNR; bad = 1 }
/cholmod\.h/ && mine != "bond" { printf "%s:%d: only bond may see it\n", FILENAME, FNR; bad = 1 }
mine != "files" && mine != "cli" &&
/(^|[^a-z_])(fopen|open|printf|fprintf|puts|fputs|putchar|fwrite|exit|abort|getenv|setjmp|longjmp|setlocale|rand|strtok)[ \t]*\(/ &&
!/TH_PRINTF|__attribute__/ {
    printf "%s:%d: the core does no I/O and does not exit\n", FILENAME, FNR; bad = 1
}
END { if (!seen) { print "no include seen: the check is broken"; bad = 1 } exit bad }
' $(find src include/tackhold -name '*.[ch]')
