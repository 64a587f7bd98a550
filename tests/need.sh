#!/bin/sh
# need.sh PACKAGE...: make sure that these Debian packages are installed.
set -eu
if ! command -v dpkg-query >/dev/null 2>&1; then
    echo "Not a Debian system: please see to it that you have what these packages hold: $*" >&2
    exit 0
fi
missing=
for package in "$@"; do
    state=$(dpkg-query -W -f '${Status}' "$package" 2>/dev/null || true)
    [ "$state" = "install ok installed" ] || missing="$missing $package"
done
[ -n "$missing" ] || exit 0
as_root=
[ "$(id -u)" = 0 ] || as_root=sudo
echo "Installing:$missing" >&2
$as_root apt-get update -q >&2
# shellcheck disable=SC2086 # one word a package
DEBIAN_FRONTEND=noninteractive $as_root apt-get install -y -q --no-install-recommends $missing >&2
