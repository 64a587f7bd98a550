#!/bin/sh
# reproducible.sh BUILD: the tarball unpacked and built twice, in folders with names of different
# length: program, libraries, manual page, page, tarball and Debian packages are the same, byte by byte.
set -eu
build=$(realpath "${1:?usage: reproducible.sh BUILD}")
version=$(sed -n 's/^#define TH_VERSION "\(.*\)"/\1/p' include/tackhold/base.h)
soversion=$(sed -n 's/^SOVERSION := //p' Makefile)
machine=$(dpkg --print-architecture)
first=$build/reproducible/one
second=$build/reproducible/another-place
unset MAKEFLAGS MAKELEVEL
make -s dist BUILD="$build"
rm -rf "$build/reproducible"
for folder in "$first" "$second"; do
    mkdir -p "$folder"
    tar -C "$folder" --strip-components=1 -xzf "$build/tackhold-$version.tar.gz"
    echo "building in $folder"
    # Neither the hour nor the rights of new files nor the language may matter.
    case $folder in
    "$first") (umask 022 && TZ=UTC LC_ALL=C make -s -j"$(nproc)" -C "$folder" all page dist deb) ;;
    *) (umask 077 && TZ=Asia/Tokyo LC_ALL=C.UTF-8 make -s -C "$folder" all page dist deb) ;;
    esac >"$folder.log" 2>&1 || { tail -n 20 "$folder.log"; exit 1; }
done
passed=0
failed=0
for file in tackhold libtackhold.a public/libtackhold.a "libtackhold.so.$version" tackhold.1 tackhold.html \
    "tackhold-$version.tar.gz" "deb/tackhold_${version}_$machine.deb" \
    "deb/libtackhold${soversion}_${version}_$machine.deb" "deb/libtackhold-dev_${version}_$machine.deb"; do
    if cmp "$first/build/$file" "$second/build/$file"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
    fi
done
if cmp "$build/tackhold-$version.tar.gz" "$first/build/tackhold-$version.tar.gz"; then
    passed=$((passed + 1))
else
    failed=$((failed + 1))
fi
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
