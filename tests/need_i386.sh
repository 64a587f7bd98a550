#!/bin/sh
# need_i386.sh: let dpkg know the architecture i386.
set -eu
if dpkg --print-foreign-architectures | grep -qx i386; then exit 0; fi
as_root=
[ "$(id -u)" = 0 ] || as_root=sudo
echo "Adding the architecture i386" >&2
$as_root dpkg --add-architecture i386
$as_root apt-get update -q >&2
