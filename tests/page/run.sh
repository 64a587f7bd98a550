#!/bin/sh
# run.sh PROGRAM: the page in a browser, against the program. Ends with "N passed, N failed".
set -u
program=${1:?usage: run.sh PROGRAM}
build=${BUILD:-build}
tools=$build/page-tools
make -s --no-print-directory BUILD="$build" page-test-packages page >&2 || exit 3

# Two libraries of the tests, at fixed versions, into the build directory alone.
[ -f "$tools/node_modules/playwright-core/package.json" ] && [ -f "$tools/node_modules/axe-core/package.json" ] ||
    npm install --no-save --no-package-lock --ignore-scripts --no-audit --no-fund --loglevel=error \
        --prefix "$tools" playwright-core@1.65.1 axe-core@4.14.1 >&2 || exit 3

NODE_PATH=$(cd "$tools" && pwd)/node_modules TACKHOLD_MATERIALS="${TACKHOLD_MATERIALS:-$PWD/materials}" \
    exec node tests/page/main.js "$program" "$build/tackhold.html"
