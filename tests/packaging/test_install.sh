#!/usr/bin/env bash
# Installing under another root, using what was installed, taking it away; and the Debian package.
# $GUARDSPAN is the built program.
set -u
unset MAKEFLAGS MFLAGS MAKELEVEL
cd "$(dirname "$0")/../.."
build=$(dirname "$GUARDSPAN")
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
. tests/support/counting.bash

is_empty()
{
    [ -z "$(find "$1" ! -type d)" ]
}

root=$folder/root
mkdir -p "$root/usr/share/doc/other"
check "make install" make -s install BUILD="$build" DESTDIR="$root" PREFIX=/usr
check "the program runs from there" "$root/usr/bin/guardspan" report
check "a profile is read from there" "$root/usr/bin/guardspan" report \
    "$root/usr/share/guardspan/profiles/mobile.ini"
check "the manual is there" test -s "$root/usr/share/man/man1/guardspan.1"
check "the profile's manual is there" test -s "$root/usr/share/man/man5/guardspan-profile.5"
check "bash reads the completion" bash -c ". '$root/usr/share/bash-completion/completions/guardspan'"
check "nothing is writable by others" test -z "$(find "$root" -perm /022 ! -type l)"
check "make uninstall" make -s uninstall BUILD="$build" DESTDIR="$root" PREFIX=/usr
check "nothing is left" is_empty "$root"
check "its own folders are gone" test ! -d "$root/usr/share/guardspan"
check "other folders stay" test -d "$root/usr/share/doc/other"
check "uninstalling twice does no harm" make -s uninstall BUILD="$build" DESTDIR="$root" PREFIX=/usr

if command -v mandoc >/dev/null; then
    check "mandoc finds nothing to complain about" \
        bash -c '! mandoc -T lint man/guardspan.1 man/guardspan-profile.5 | grep -v "referenced manual not found"'
fi

if command -v dpkg-deb >/dev/null && command -v dpkg-shlibdeps >/dev/null; then
    check "make deb" make -s deb BUILD="$build"
    package=$(ls "$build"/guardspan_*.deb)
    check "the package unpacks" dpkg-deb -x "$package" "$folder/deb"
    check "the program runs from it" "$folder/deb/usr/bin/guardspan" facts
    check "its manual is complete" gzip -t "$folder/deb/usr/share/man/man1/guardspan.1.gz"
    check "it names the libraries it needs" bash -c "dpkg-deb -f '$package' Depends | grep -q libiniparser"
    check "its sums are right" bash -c "dpkg-deb -e '$package' '$folder/control' && cd '$folder/deb' && md5sum -c --quiet '$folder/control/md5sums'"
fi

summary
