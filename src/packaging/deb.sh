#!/bin/sh
# deb.sh FOLDER VERSION SOVERSION: Debian packages in FOLDER from what `make install` put into FOLDER/root.
#
# Three of them. Two releases of a library whose soname differs must be installable side by side, so
# libtackholdN holds the library and nothing else; headers and the static library serve only those
# who compile. Program, tables, manual page and examples are one: the program is linked statically,
# so that it starts fast and needs none of the others, and a few small tables do not ask for a package
# of their own. A program on the library needs the tables too: libtackholdN recommends tackhold.
#
# SOURCE_DATE_EPOCH is the date of every file.
set -eu
folder=${1:?usage: deb.sh FOLDER VERSION SOVERSION}
version=${2:?usage: deb.sh FOLDER VERSION SOVERSION}
soversion=${3:?usage: deb.sh FOLDER VERSION SOVERSION}
: "${SOURCE_DATE_EPOCH:?the date of the packages}"
umask 022
export LC_ALL=C
licence=$(realpath "$(dirname "$0")/copyright")
cd "$folder"
libdir=usr/lib/$(dpkg-architecture -qDEB_HOST_MULTIARCH)
library=libtackhold$soversion
packages="tackhold $library libtackhold-dev"
# shellcheck disable=SC2086 # one word a package
rm -rf ./*.deb debian $packages
mkdir debian

cat >debian/changelog <<END
tackhold ($version) unstable; urgency=medium

  * Packages of version $version.

 -- tackhold developers <tackhold@localhost>  $(date -u -R -d "@$SOURCE_DATE_EPOCH")
END

cat >debian/control <<END
Source: tackhold
Section: science
Priority: optional
Maintainer: tackhold developers <tackhold@localhost>
Standards-Version: 4.6.2

Package: tackhold
Architecture: any
Depends: \${shlibs:Depends}
Description: does a thin plate on tape and glue stay put under the cut
 Thin parts are held for milling by tape and superglue where no clamp can
 reach. tackhold answers before the spindle starts: will this part, on this
 tape, stand these cuts; by how much; what lets go first; what to turn down
 when it will not hold; and which pull by hand proves the bond.

Package: $library
Section: libs
Architecture: any
Multi-Arch: same
Depends: \${shlibs:Depends}
Recommends: tackhold (>= $version)
Description: hold of thin plates on tape and glue, library
 Cutting forces, tractions in the tape, warmth, and the verdict on a whole
 job, for programs of your own.
 .
 The tables of stock, tapes, glues and cutters are in the package tackhold.

Package: libtackhold-dev
Section: libdevel
Architecture: any
Multi-Arch: same
Depends: $library (= \${binary:Version})
Recommends: libexpat1-dev, libiniparser-dev, libopenblas-dev, libsuitesparse-dev
Description: hold of thin plates on tape and glue, headers
 What it takes to compile programs that use libtackhold: headers, a file for
 pkg-config, the shared and the static library. The recommended packages
 are what the static one stands on.
END

mkdir -p tackhold/usr
cp -a root/usr/bin root/usr/share tackhold/usr/
gzip -9n tackhold/usr/share/man/man1/tackhold.1
mkdir -p "$library/$libdir" "libtackhold-dev/$libdir"
cp -a "root/$libdir/libtackhold.so.$soversion" "root/$libdir/libtackhold.so.$version" "$library/$libdir/"
cp -a "root/$libdir/libtackhold.so" "root/$libdir/libtackhold.a" "root/$libdir/pkgconfig" \
    "libtackhold-dev/$libdir/"
cp -a root/usr/include libtackhold-dev/usr/

strip --remove-section=.comment --remove-section=.note tackhold/usr/bin/tackhold
strip --strip-unneeded --remove-section=.comment --remove-section=.note \
    "$library/$libdir/libtackhold.so.$version"
strip --strip-debug --remove-section=.comment --enable-deterministic-archives \
    "libtackhold-dev/$libdir/libtackhold.a"

# pack PACKAGE [BINARY]: documents, control files, archive.
pack() {
    mkdir -p "$1/usr/share/doc/$1" "$1/DEBIAN"
    cp "$licence" "$1/usr/share/doc/$1/copyright"
    gzip -9nc debian/changelog >"$1/usr/share/doc/$1/changelog.gz"
    (cd "$1" && find . -type f ! -path './DEBIAN/*' -printf '%P\0' | sort -z | xargs -0 md5sum) \
        >"$1/DEBIAN/md5sums"
    : >debian/substvars
    if [ $# -gt 1 ]; then dpkg-shlibdeps -Tdebian/substvars -e"$2"; fi
    dpkg-gencontrol -p"$1" -P"$1" -Tdebian/substvars
    find "$1" -newermt "@$SOURCE_DATE_EPOCH" -exec touch -h -d "@$SOURCE_DATE_EPOCH" {} +
    dpkg-deb --root-owner-group --build "$1" .
}
# The loader's cache is told of the new library.
mkdir "$library/DEBIAN"
echo "libtackhold $soversion $library (>= $version)" >"$library/DEBIAN/shlibs"
echo 'activate-noawait ldconfig' >"$library/DEBIAN/triggers"
pack tackhold tackhold/usr/bin/tackhold
pack "$library" "$library/$libdir/libtackhold.so.$version"
pack libtackhold-dev
