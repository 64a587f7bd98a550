#!/bin/sh
# rules.sh: what the project asks of itself and a script can see.
set -u
passed=0
failed=0
check() {
    name=$1
    shift
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)); echo "failed: $name"; fi
}
layers() { make -s --no-print-directory layers; }
# The layer check must catch what goes the wrong way: tried on a copy.
layers_bite() {
    copy=$(mktemp -d) || return 1
    order=$(sed -n 's/^LAYERS := //p' Makefile)
    caught=0
    for line in '#include "tackhold/advice.h"' '#include <tackhold/base.h>' \
        '#include "../advice/judge.h"' '#include <iniparser/iniparser.h>' 'int x = printf("x");'; do
        rm -rf "$copy/src" "$copy/include"
        cp -r src include "$copy/"
        printf '%s\n' "$line" >"$copy/src/base/wrong.c"
        if (cd "$copy" && LAYERS=$order sh "$OLDPWD/tests/layers.sh" >/dev/null 2>&1); then
            echo "not caught: $line"
        else
            caught=$((caught + 1))
        fi
    done
    rm -rf "$copy"
    [ "$caught" -eq 5 ]
}
keys_current() {
    for kind in stock tape glue cutter machine coolant plate; do
        sh tests/keys.sh "${BUILD:-build}/tackhold" "$kind" | cmp -s - "materials/$kind.ini" || {
            echo "materials/$kind.ini: run make keys"
            return 1
        }
    done
}
headers_alone() {
    for header in include/tackhold/*.h; do
        printf '#include "tackhold/%s"\n' "$(basename "$header")" |
            ${CC:-gcc} -std=c11 -Wall -Wextra -Wpedantic -Werror -Iinclude -fsyntax-only -x c - || return 1
    done
}
no_private_paths() { ! grep -rnE '/(work|farm|home|root)/' Makefile README.md DEVELOPERS.md src include tests materials examples --include='*' | grep -v 'tests/rules.sh'; }
# printf looks at the host's locale for its decimal point: in the core th_print() alone may make a
# number with one (and what takes nothing but digits from it). Statements are looked at whole.
own_printing() {
    find src -path src/cli -prune -o -path src/files -prune -o -path src/page -prune -o -name '*.c' -print |
        grep -vE '^src/(base/format|quantity/print|report/json)\.c$' | xargs awk '
        FNR == 1 { call = "" }
        /(^|[^a-z_])(v?snprintf|v?sprintf|v?f?printf) *\(/ { call = ""; on = 1; start = FNR }
        on { call = call $0 }
        on && /;/ {
            if (call ~ /(^|[^a-z_])v(sn|s|f)?printf/ || call ~ /%[-+ #0-9.*]*[aefgAEFG]/) {
                print FILENAME ":" start ": " call; bad = 1
            }
            on = 0
        }
        END { exit bad }'
}
own_printing_bites() {
    other=$(mktemp -d) || return 1
    caught=0
    for line in 'snprintf(t, n, "%.1f", x);' 'snprintf(t, n, "%-8.*G", 3, x);' 'vsnprintf(t, n, f, list);'; do
        mkdir -p "$other/src/advice"
        printf 'void f(void) {\n    %s\n}\n' "$line" >"$other/src/advice/wrong.c"
        (cd "$other" && own_printing >/dev/null) || caught=$((caught + 1))
    done
    printf 'void f(void) {\n    snprintf(t, n, "%%d %%s", 1, "a");\n    th_print(t, n, "%%g", x);\n}\n' \
        >"$other/src/advice/wrong.c"
    (cd "$other" && own_printing >/dev/null) && caught=$((caught + 1))
    rm -rf "$other"
    [ "$caught" -eq 4 ]
}
# The first job of the README is one that runs.
readme_job() {
    awk '/^    \[job\]/ { on = 1 } on && !/^    / { exit } on { sub(/^    /, ""); print }' README.md \
        >"${BUILD:-build}/readme.ini"
    "${BUILD:-build}/tackhold" check --no-shop "${BUILD:-build}/readme.ini" >/dev/null
    status=$?
    [ $status = 0 ] || [ $status = 1 ]
}
# A function of more than 60 lines of code says on the line above it why: "Long: ...".
short_functions() {
    find src tests -name '*.[ch]' -exec awk '
        FNR == 1 { body = 0; why = 0 }
        !body && /\) \{$/ { body = 1; lines = 0; start = FNR }
        body && !/^ *(\/\*.*|\*.*|\/\/.*)?$/ { lines++ }
        body && /^}/ { if (lines > 62 && !why) { print FILENAME ":" start ": " lines " lines"; bad = 1 } body = 0; why = 0 }
        !body && /Long: / { why = 1 }
        END { exit bad }' {} +
}
short_functions_bite() {
    long=$(mktemp -d) || return 1
    mkdir "$long/src" "$long/tests"
    { echo 'int f(int x) {'; yes '    x++;' | head -n 61; echo '    return x;'; echo '}'; } >"$long/src/long.c"
    ! (cd "$long" && short_functions >/dev/null)
    status=$?
    rm -rf "$long"
    return $status
}
check "layers" layers
check "the layer check bites" layers_bite
check "no function of over 60 lines" short_functions
check "the check of lengths bites" short_functions_bite
check "numbers of the core are printed without the locale" own_printing
check "the check of printing bites" own_printing_bites
check "blocks of keys in materials are current" keys_current
check "the job in the README runs" readme_job
check "headers compile alone" headers_alone
check "no path of one machine" no_private_paths
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
