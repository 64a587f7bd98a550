#!/bin/sh
# package.sh BUILD: what others get: library, headers, pkg-config file, tarball, Debian packages.
# Takes the objects that stand in BUILD; compiles everything once, by clang, in the unpacked tarball.
set -u
build=$(realpath "${1:?usage: package.sh BUILD}")
top=$(realpath "$(dirname "$0")/..")
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$top" || exit 3
export LC_ALL=C XDG_CONFIG_HOME="$work/config" XDG_DATA_HOME="$work/data"
unset TACKHOLD_TABLES TACKHOLD_MATERIALS MAKEFLAGS MAKELEVEL
prefix=$work/prefix
export PKG_CONFIG_PATH="$prefix/lib/pkgconfig"
version=$(sed -n 's/^#define TH_VERSION "\(.*\)"/\1/p' include/tackhold/base.h)
soversion=$(sed -n 's/^SOVERSION := //p' Makefile)
warnings='-Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror'
job=$top/examples/knife-scale-push.ini
passed=0
failed=0
check() {
    name=$1
    shift
    if "$@" >"$work/out" 2>&1; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "failed: $name"
        cat "$work/out"
    fi
}
# again FOLDER WORD...: make there, with the objects of this build, whatever little it has to compile.
again() {
    mkdir -p "$1" || return 1
    [ -e "$1/src" ] || cp -a "$build/src" "$1/" || return 1
    objects=$1
    shift
    make -s -C "$top" BUILD="$objects" "$@"
}
files_in() { (cd "$1" && find . ! -type d | sort); }

# ---- install -----------------------------------------------------------------------------------
install_all() { again "$work/build" PREFIX="$prefix" install; }
installed() {
    {
        echo ./bin/tackhold
        for name in a so "so.$soversion" "so.$version"; do echo "./lib/libtackhold.$name"; done
        echo ./lib/pkgconfig/tackhold.pc
        (cd include && find . -name '*.h' -printf './include/tackhold/%f\n')
        printf './share/tackhold/%s\n' materials/*.ini examples/*
        echo ./share/man/man1/tackhold.1
        echo ./share/bash-completion/completions/tackhold
    } | sort >"$work/expected"
    files_in "$prefix" | diff "$work/expected" -
}
# Another place of the library, below another root: the same files, and the .pc says where.
staged() {
    again "$work/build" PREFIX="$prefix" LIBDIR="$prefix/lib/some-machine" DESTDIR="$work/stage" \
        install || return 1
    files_in "$work/stage$prefix" | sed 's,/some-machine,,' | diff "$work/expected" - || return 1
    grep -qx "libdir=$prefix/lib/some-machine" \
        "$work/stage$prefix/lib/some-machine/pkgconfig/tackhold.pc"
}
unstaged() {
    again "$work/build" PREFIX="$prefix" LIBDIR="$prefix/lib/some-machine" DESTDIR="$work/stage" \
        uninstall || return 1
    [ -z "$(find "$work/stage" ! -type d)" ] && [ -z "$(find "$work/stage" -name '*tackhold*')" ]
}

# ---- library -----------------------------------------------------------------------------------
names_of_map() { sed -n 's/^ *\(th_[a-z0-9_]*\);$/\1/p' src/packaging/tackhold.map | sort; }
map_current() {
    sh tests/symbols.sh src/packaging/tackhold.map "$version" | cmp - src/packaging/tackhold.map ||
        { echo "run make symbols"; return 1; }
}
map_bites() {
    sed '0,/    th_[a-z0-9_]*;/s//    th_gone_since;/' src/packaging/tackhold.map >"$work/map"
    ! sh tests/symbols.sh "$work/map" "$version"
}
# Every name with its version, the versions themselves, and nothing else.
shared_names() {
    nm -D --defined-only "$prefix/lib/libtackhold.so" | awk '$2 != "A" { print $3 }' >"$work/names"
    ! grep -v '@@TACKHOLD_[0-9]*\.[0-9]*$' "$work/names" || return 1
    sed 's/@@.*//' "$work/names" | sort | diff "$work/map-names" -
}
static_names() {
    nm -g --defined-only "$prefix/lib/libtackhold.a" | awk 'NF == 3 { print $3 }' | sort |
        diff "$work/map-names" -
}
soname() { readelf -d "$prefix/lib/libtackhold.so" | grep -q "SONAME.*\[libtackhold.so.$soversion\]"; }
no_text_relocations() { ! readelf -d "$prefix/lib/libtackhold.so" | grep -q TEXTREL; }
no_build_path() {
    ! grep -rlF "$top/" "$build/src" "$build/libtackhold.a" "$build/public/libtackhold.a" \
        "$build/libtackhold.so.$version" "$build/tackhold" "$build/tackhold.1"
}

# ---- headers and example -----------------------------------------------------------------------
header_alone() { # COMPILER LANGUAGE
    for header in "$prefix"/include/tackhold/*.h; do
        # shellcheck disable=SC2046,SC2086 # one word a flag
        printf '#include <tackhold/%s>\n' "$(basename "$header")" |
            $1 $2 $warnings $(pkg-config --cflags tackhold) -fsyntax-only - || return 1
    done
}
# build_example COMPILER LANGUAGE LIBRARIES NAME
build_example() {
    # shellcheck disable=SC2046,SC2086
    $1 $2 $warnings -O1 -g $(pkg-config --cflags tackhold) "$prefix/share/tackhold/examples/hold.c" \
        -x none $3 -o "$work/app/$4"
}
shared_example() {
    build_example "$1" "$2" "$(pkg-config --libs tackhold)" "$3" || return 1
    readelf -d "$work/app/$3" | grep -q "NEEDED.*\[libtackhold.so.$soversion\]"
}
static_example() {
    build_example gcc '-std=c11 -x c' \
        "$(pkg-config --static --libs tackhold | sed s/-ltackhold/-l:libtackhold.a/)" static || return 1
    ! readelf -d "$work/app/static" | grep -q 'NEEDED.*tackhold'
}
# The answer of the command line, from nothing but what was installed.
same_answer() { # WORD...
    (cd "$work/app" && LD_LIBRARY_PATH="$prefix/lib" "$@" "$job") >"$work/answer" 2>"$work/err"
    status=$?
    cat "$work/answer" "$work/err"
    [ -n "$expected_factor" ] && [ "$status" = "$expected_status" ] && [ ! -s "$work/err" ] && grep -q "hold factor $expected_factor," "$work/answer"
}
bad_job() { # PROGRAM
    (cd "$work/app" && LD_LIBRARY_PATH="$prefix/lib" "$1" "$top/tests/bad/tape-unknown.ini") \
        >"$work/answer" 2>"$work/err"
    [ $? = 2 ] && [ ! -s "$work/answer" ] && grep -q 'tape-unknown.ini:[0-9]*: ' "$work/err"
}
memory() { same_answer valgrind -q --leak-check=full --error-exitcode=99 "$1"; }

# ---- without CHOLMOD ---------------------------------------------------------------------------
banded_builds() { again "$work/banded" SOLVER=banded PREFIX="$work/alone" install; }
banded_links() {
    ldd "$work/banded/tackhold" "$work/banded/libtackhold.so.$version" >"$work/ldd" || return 1
    grep -q libexpat "$work/ldd" && ! grep -E 'cholmod|blas|gomp|suitesparse' "$work/ldd"
}
# Only bond may name them (tests/rules.sh); what is compiled of it reads none.
banded_headers() {
    find src/bond -name '*.c' ! -name solve_cholmod.c ! -name solve_fronts.c \
        -exec gcc -std=c11 -DTH_SOLVER_BANDED -Iinclude -M {} + >"$work/headers" || return 1
    grep -q 'solve_banded.c' "$work/headers" &&
        ! grep -iE 'suitesparse|cholmod\.h|cblas|omp\.h' "$work/headers"
}
hold_factor() {
    "$1" check --no-shop "$job" --json |
        sed -n 's/^[^[]*"hold_factor": \([0-9.e+-]*\),.*/\1/p'
}
banded_agrees() {
    ours=$(hold_factor "$build/tackhold")
    other=$(hold_factor "$work/banded/tackhold")
    echo "$ours and $other"
    awk -v a="$ours" -v b="$other" 'BEGIN { d = a - b; exit !(a > 0 && d * d <= 1e-18 * a * a) }'
}
# No part of the system is then without a static library: one file that needs no other.
banded_static() {
    PKG_CONFIG_PATH=$work/alone/lib/pkgconfig
    build_example gcc '-std=c11 -x c' "-static $(pkg-config --static --libs tackhold)" alone
    status=$?
    PKG_CONFIG_PATH=$prefix/lib/pkgconfig
    return "$status"
}

# ---- tarball -----------------------------------------------------------------------------------
tarball() {
    again "$work/build" dist && cp "$work/build/tackhold-$version.tar.gz" "$work/first.tar.gz" &&
        again "$work/build" dist && cmp "$work/first.tar.gz" "$work/build/tackhold-$version.tar.gz" &&
        mkdir "$work/unpacked" && tar -C "$work/unpacked" -xzf "$work/first.tar.gz" || return 1
    [ "$(ls "$work/unpacked")" = "tackhold-$version" ] &&
        [ "$(tar -tzf "$work/first.tar.gz" | grep -vc "^tackhold-$version/")" = 0 ]
}
# By clang, so that one pass over all sources shows both that none is missing and that it warns of none.
tarball_builds() {
    make -s -j"$(nproc)" -C "$work/unpacked/tackhold-$version" CC=clang-14 CFLAGS=-O0 all
}
tarball_tests() {
    cd "$work/unpacked/tackhold-$version" || return 1
    make -s CC=clang-14 CFLAGS=-O0 build/tests/test_quantity && build/tests/test_quantity &&
        [ "$(hold_factor build/tackhold | awk '{ printf "%.3f", $1 }')" = "$expected_factor" ]
    status=$?
    cd "$top" || return 1
    return "$status"
}

# ---- Debian packages ---------------------------------------------------------------------------
# From the objects of this build: how they are laid out, not how they are compiled.
debs() { again "$work/debian" DEB_BUILD="$work/debian" deb; }
deb_of() { echo "$work/debian/deb/${1}_${version}_$(dpkg --print-architecture).deb"; }
deb_depends() { # PACKAGE PATTERN
    dpkg-deb -f "$(deb_of "$1")" Depends | grep -E "$2"
}
debs_together() {
    for package in tackhold "libtackhold$soversion" libtackhold-dev; do
        dpkg-deb -x "$(deb_of "$package")" "$work/debroot" || return 1
        dpkg-deb -e "$(deb_of "$package")" "$work/control-$package" || return 1
        (cd "$work/debroot" && md5sum -c --quiet "$work/control-$package/md5sums") || return 1
    done
    "$work/debroot/usr/bin/tackhold" list tape && cd "$work/debroot" &&
        [ -z "$(find . -path "./usr/local*")" ] && cd "$top" || return 1
}

check "install" install_all
check "what is installed" installed
check "install below DESTDIR" staged
check "uninstall leaves nothing" unstaged
# The staged one has touched only the .pc in the build folder.
check "the list of exported names is current" map_current
check "a name that is gone is seen" map_bites
names_of_map >"$work/map-names"
check "names of the shared library" shared_names
check "names of the static library" static_names
check "soname" soname
check "no text relocations" no_text_relocations
check "no object holds the path of the build" no_build_path
for compiler in gcc clang-14; do check "headers alone, $compiler, C11" header_alone "$compiler" '-std=c11 -x c'; done
for compiler in g++ clang++-14; do check "headers alone, $compiler, C++17" header_alone "$compiler" '-std=c++17 -x c++'; done
mkdir "$work/app"
"$build/tackhold" check --no-shop "$job" >"$work/answer"
expected_status=$?
expected_factor=$(hold_factor "$build/tackhold" | awk '{ printf "%.3f", $1 }')
check "example, shared, C" shared_example gcc '-std=c11 -x c' shared
check "example, shared, C++" shared_example g++ '-std=c++17 -x c++' shared-cxx
check "example, static" static_example
for program in shared shared-cxx static; do
    check "answer of the example, $program" same_answer "./$program"
    check "bad input to the example, $program" bad_job "./$program"
done
check "example under valgrind, shared" memory ./shared
check "example under valgrind, static" memory ./static
check "SOLVER=banded builds" banded_builds
check "SOLVER=banded links no solver" banded_links
check "SOLVER=banded needs no header of a solver" banded_headers
check "SOLVER=banded gives the same hold factor" banded_agrees
check "SOLVER=banded, example in one file" banded_static
check "SOLVER=banded, answer of the example" same_answer ./alone
check "dist gives the same tarball twice" tarball
check "the tarball builds, without a warning of clang" tarball_builds
check "the tarball tests" tarball_tests
check "Debian packages" debs
check "the program's package needs no library of ours" deb_depends tackhold 'libc6.*libcholmod|libcholmod.*libc6'
check "the library's package depends on what it uses" deb_depends "libtackhold$soversion" libiniparser
check "the headers' package wants this very library" deb_depends libtackhold-dev "libtackhold$soversion \(= $version\)"
check "Debian packages fit together" debs_together
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 30 ]
