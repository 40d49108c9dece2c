#!/usr/bin/env bash
# Installing under another root, using what was installed, taking it away; and the Debian package.
# $GUARDSPAN is the built program.
set -u
unset MAKEFLAGS MFLAGS MAKELEVEL
cd "$(dirname "$0")/../.."
build=$(realpath --relative-to=. "$(dirname "$GUARDSPAN")") # as make calls it by itself: what is built hangs on names
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
check "zsh reads the completion" zsh --no-exec "$root/usr/share/zsh/site-functions/_guardspan"
offered=$(HOME=$folder XDG_DATA_DIRS=$root/usr/share:/usr/share PATH=$root/usr/bin:$PATH fish -c 'complete -C "guardspan rep"')
is "fish finds the completion" report "${offered%%$'\t'*}"
check "every lesson is there" diff -r demo/lessons "$root/usr/share/guardspan/demo/lessons"
check "every page is there" diff -r demo/pages "$root/usr/share/guardspan/demo/pages"
# What the README and the manual name is found from the folder that they name.
check "the README's tours can be followed" bash -c "grep -qF 'in \`/usr/share/guardspan\`' '$root/usr/share/doc/guardspan/README.md' &&
    cd '$root/usr/share/guardspan' && ! grep -oE '(profiles|demo)/[a-z0-9/-]+\.(ini|txt)' '$root/usr/share/doc/guardspan/README.md' |
    xargs -n 1 ls 2>&1 | grep 'No such'"
check "the README's links lead to files" bash -c "cd '$root/usr/share/doc/guardspan' && ! grep -oE '\]\([^)]+\)' README.md |
    tr -d '])(' | xargs -n 1 ls 2>&1 | grep 'No such'"
check "the manual names the prefix" bash -c "grep -q '^.It Pa /usr/share/guardspan/profiles' '$root/usr/share/man/man1/guardspan.1' &&
    ! grep -r /usr/local '$root/usr/share'"
check "nothing is writable by others" test -z "$(find "$root" -perm /022 ! -type l)"
check "make uninstall" make -s uninstall BUILD="$build" DESTDIR="$root" PREFIX=/usr
check "nothing is left" is_empty "$root"
check "its own folders are gone" test ! -d "$root/usr/share/guardspan"
check "other folders stay" test -d "$root/usr/share/doc/other"
check "uninstalling twice does no harm" make -s uninstall BUILD="$build" DESTDIR="$root" PREFIX=/usr

is "mandoc finds nothing to complain about" "" \
    "$(mandoc -T lint man/* 2>&1 | grep -v -e 'referenced manual not found' -e 'outdated mandoc.db')"
for page in man/*; do
    for device in utf8 ascii; do
        is "groff sets $page for $device without complaint" "" "$(groff -mandoc -ww -z -T$device "$page" 2>&1)"
    done
done

# Compiled in another folder, the same bytes come out; tests/package/build-twice compares all of it.
mkdir -p "$folder/elsewhere/deeper"
cp -r Makefile src tests "$folder/elsewhere/deeper"
objects="src/main.o src/base/text.o src/physics/information/information_table.o src/simulation/run.o"
# shellcheck disable=SC2086
make -s -C "$folder/elsewhere/deeper" BUILD="$folder/again" $(printf "$folder/again/%s " $objects)
for object in $objects; do
    strip -g -o "$folder/here.o" "$build/$object"
    strip -g -o "$folder/there.o" "$folder/again/$object"
    check "$object is the same, wherever it is compiled" cmp "$folder/here.o" "$folder/there.o"
done

# refuses_deb "SENTENCE" PATH "WORDS": make deb fails, says this and leaves no package.
refuses_deb()
{
    local said
    if said=$(PATH=$2 make -s deb BUILD="$build" 2>&1); then
        count_failure "$1: make deb succeeds"
    fi
    case $said in
        *"$3"*) passed=$((passed + 1)) ;;
        *) count_failure "$1: it says '$said', not '$3'" ;;
    esac
    check "$1: no package is left" bash -c "! ls '$build'/guardspan_*.deb 2>/dev/null"
}

if command -v dpkg-deb >/dev/null && command -v dpkg-shlibdeps >/dev/null; then
    mkdir "$folder/failing" "$folder/silent" "$folder/without"
    printf '#!/bin/sh\necho "no debian/control" >&2\nexit 2\n' >"$folder/failing/dpkg-shlibdeps"
    printf '#!/bin/sh\necho shlibs:Depends=\n' >"$folder/silent/dpkg-shlibdeps"
    chmod +x "$folder"/*/dpkg-shlibdeps
    ln -s /usr/bin/* "$folder/without"
    rm "$folder/without/dpkg-shlibdeps"
    refuses_deb "dpkg-shlibdeps fails" "$folder/failing:$PATH" "make deb: dpkg-shlibdeps failed"
    refuses_deb "dpkg-shlibdeps finds nothing" "$folder/silent:$PATH" "names no package to depend on"
    refuses_deb "dpkg-shlibdeps is absent" "$folder/without" \
        "dpkg-shlibdeps is missing; please install the package dpkg-dev"
    check "a version without notes is refused" bash -c "make -s deb BUILD='$build' VERSION=9.9 2>&1 |
        grep -F 'src/package/changelog begins with version'"
    check "make deb for somebody" make -s deb BUILD="$build" MAINTAINER="A Builder <builder@example.org>"
    package=$(ls "$build"/guardspan_*.deb)
    is "who builds it is named" "A Builder <builder@example.org>" "$(dpkg-deb -f "$package" Maintainer)"
    check "make deb" bash -c "umask 077; TZ=Asia/Tokyo make -s deb BUILD='$build'"
    cp "$package" "$folder/first.deb"
    check "make deb again" bash -c "umask 022; TZ=UTC make -s deb BUILD='$build'"
    check "both have the same bytes" cmp "$package" "$folder/first.deb"
    is "nobody is named who did not ask" "" "$(dpkg-deb -f "$package" Maintainer Homepage)"
    # O: an error that the package itself says is meant.
    is "lintian misses nothing but the name" "O:bogus-mail-host-in-debian-changelog O:required-field" \
        "$(lintian --allow-root --show-overrides "$package" | sed -n 's/^\([EWO]:\) guardspan: \([^ ]*\).*/\1\2/p' | sort | xargs)"
    documents=$folder/deb/usr/share/doc/guardspan
    check "the package unpacks" dpkg-deb -x "$package" "$folder/deb"
    check "the program runs from it" "$folder/deb/usr/bin/guardspan" facts
    check "its manual is complete" gzip -t "$folder/deb/usr/share/man/man1/guardspan.1.gz"
    check "it names the libraries it needs" bash -c "dpkg-deb -f '$package' Depends | grep -q libiniparser"
    check "its sums are right" bash -c "dpkg-deb -e '$package' '$folder/control' && cd '$folder/deb' && md5sum -c --quiet '$folder/control/md5sums'"
    check "it has notes on its version" bash -c "zcat '$documents/changelog.gz' |
        grep -qF \"guardspan (\$(dpkg-deb -f '$package' Version))\""
    check "the README names the licence's file" bash -c "grep -qF 'see \`copyright\`' '$documents/README.md' && test -s '$documents/copyright'"
    check "its program has no needless sections" bash -c "! readelf -S '$folder/deb/usr/bin/guardspan' | grep -F .comment"
    check "a lesson is in it" test -s "$folder/deb/usr/share/guardspan/demo/lessons/guard-interval.txt"
fi

summary
