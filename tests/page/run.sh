#!/bin/sh
# run.sh PROGRAM: the page in a browser, against the program. Ends with "N passed, N failed".
set -u
program=${1:?usage: run.sh PROGRAM}
build=${BUILD:-build}
tools=$build/page-tools
make -s --no-print-directory BUILD="$build" page-test-packages page >&2 || exit 3

# Two libraries of the tests, at fixed versions that Debian's node will run, into the build directory alone.
playwright=1.61.1
axe=4.14.1
has() { grep -qF "\"version\": \"$2\"" "$tools/node_modules/$1/package.json" 2>/dev/null; }
{ has playwright-core $playwright && has axe-core $axe; } ||
    npm install --no-save --no-package-lock --ignore-scripts --no-audit --no-fund --loglevel=error \
        --prefix "$tools" playwright-core@$playwright axe-core@$axe >&2 || exit 3

NODE_PATH=$(cd "$tools" && pwd)/node_modules TACKHOLD_MATERIALS="${TACKHOLD_MATERIALS:-$PWD/materials}" \
    exec node tests/page/main.js "$program" "$build/tackhold.html"
