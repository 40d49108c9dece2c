#!/usr/bin/env bash
# Installing under another root, using what was installed, taking it away.
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

summary
