#!/bin/sh
# Eleven everyday jobs against what shops know (common practice, no source): what runs daily may not be
# said to let go, what tears off may not be said to hold. usage: run.sh PROGRAM. All jobs are invented.
set -u
program=$(realpath "${1:?usage: run.sh PROGRAM}")
cd "$(dirname "$(realpath "$0")")" || exit 3
passed=0
failed=0

verdict() {
    "$program" check --no-shop --json "$1" 2>/dev/null |
        sed -n 's/.*"verdict": *"\([a-z ]*\)".*/\1/p' | head -n 1
}

for job in daily-*.ini tears-*.ini; do
    said=$(verdict "$job")
    case $job:$said in
    daily-*:holds | daily-*:unproven | tears-*:unproven | tears-*:"lets go") passed=$((passed + 1)) ;;
    *)
        echo "FAILED: $job: the verdict is \"$said\""
        failed=$((failed + 1))
        ;;
    esac
done
[ "$((passed + failed))" -eq 11 ] || failed=$((failed + 1))
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
