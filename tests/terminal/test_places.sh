#!/usr/bin/env bash
# Places that cannot be written: a disk that is full, a folder that is read-only for this user. The program
# says so, keeps what was there and what was changed, and leaves nothing half written.
. "$(dirname "$0")/terminal.bash"
utf8="TERM=tmux-256color LC_ALL=C.UTF-8"
profiles=$(cd "$(dirname "$0")/../../profiles" && pwd)
install -m 755 "$GUARDSPAN" "$work/guardspan" # where any user may run it
chmod 755 "$work"

# ---- A user without rights: root may write anywhere, so the program runs as nobody then.
as_user=""
if [ "$(id -u)" -eq 0 ]; then
    as_user="setpriv --reuid=65534 --regid=65534 --clear-groups --"
fi
user() { # shellcheck disable=SC2086
    $as_user env -u TMPDIR HOME=/nonexistent XDG_STATE_HOME=/nonexistent "$@"
}
mkdir "$work/locked"
cp "$profiles/mobile.ini" "$work/locked/mobile.ini"
"$GUARDSPAN" draw delays -o "$work/locked/old.svg"
chmod 444 "$work/locked"/*
chmod 555 "$work/locked"
before=$(cat "$work/locked"/* | cksum)
untouched() { [ "$before" = "$(cat "$work/locked"/* | cksum)" ] && [ "$(ls -A "$work/locked" | wc -l)" = 2 ]; }
check "the folder is read-only for this user" bash -c "! $as_user touch '$work/locked/probe' 2>/dev/null"
check "a profile is read there" user "$work/guardspan" report "$work/locked/mobile.ini" >/dev/null
refused() { # WHAT COMMAND...: status 1, a message, no word on standard output
    local what=$1 status
    shift
    user "$@" >"$work/out" 2>"$work/err"
    status=$?
    check "$what is refused" test "$status" = 1
    check "$what: said why" grep -q "^guardspan: .*cannot be written: $why" "$work/err"
    check "$what: no output" test ! -s "$work/out"
}
why="Permission denied"
refused "a new figure" "$work/guardspan" draw delays -o "$work/locked/new.svg"
refused "a figure over an old one" "$work/guardspan" draw delays -o "$work/locked/old.svg"
check "the folder is untouched" untouched

# The explorer there: saving and exporting say why, the change stays, leaving asks.
GUARDSPAN_BEFORE=$GUARDSPAN
cat >"$work/as-user" <<RUN
#!/bin/sh
cd "$work/locked"
exec $as_user env -u TMPDIR HOME=/nonexistent XDG_STATE_HOME="$work/locked/state" "$work/guardspan" "\$@"
RUN
chmod 755 "$work/as-user"
GUARDSPAN=$work/as-user
open 80 24 "$utf8" explore "$work/locked/mobile.ini"
check "opens the read-only profile" shows "mobile.ini"
keys Right s
check "saving says why not" shows "cannot be written: Permission denied"
check "the change is still there" shows "mobile.ini*"
keys x
check "asks where to export" shows "xport"
keys -l seen.svg
keys Enter
check "exporting says why not" shows "cannot be written: Permission denied"
keys q
check "leaving asks" shows "Not everything is saved"
keys Escape
program_of_user() { pgrep -f "^$work/guardspan explore" | tail -n 1; }
kill -TERM "$(program_of_user)"
check "SIGTERM ends it although nothing can be kept" shows "rc=143"
check "sane" shows "sane"
check "the folder is still untouched" untouched
GUARDSPAN=$GUARDSPAN_BEFORE

# ---- A full disk: a small one of its own where this machine lets us mount it, else a limit on files.
disk=$work/disk
mkdir "$disk"
own="unshare --map-root-user --mount"
[ "$(id -u)" -eq 0 ] && own="unshare --mount"
cat >"$work/on-full-disk" <<RUN
#!/bin/bash
mount -t tmpfs -o size=16k,mode=777 none "$disk" && cd "$disk" || exit 99
cp "$profiles/mobile.ini" p.ini
cat /dev/zero >fill 2>/dev/null
"\$@"
rc=\$?
cmp -s p.ini "$profiles/mobile.ini" && echo "p.ini is whole" >>"$work/seen"
ls -A | tr '\n' ' ' >>"$work/seen"
exit \$rc
RUN
chmod 755 "$work/on-full-disk"
if $own "$work/on-full-disk" true; then
    why="No space left on device"
    rm -f "$work/seen"
    $own "$work/on-full-disk" "$GUARDSPAN" draw delays -o new.svg >"$work/out" 2>"$work/err"
    check "a figure on a full disk fails" test $? = 1
    check "it says why" grep -q "new.svg: cannot be written: $why" "$work/err"
    check "no part of it is left" grep -qx "fill p.ini " "$work/seen"
    $own "$work/on-full-disk" bash -c "'$GUARDSPAN' report >r.txt" 2>"$work/err"
    check "output into a full disk fails" test $? = 1
    check "and says why" grep -q "standard output: cannot be written: $why" "$work/err"
    rm -f "$work/seen"
    cat >"$work/full-explorer" <<RUN
#!/bin/sh
exec $own "$work/on-full-disk" env XDG_STATE_HOME="$disk/state" "$GUARDSPAN_BEFORE" "\$@"
RUN
    chmod 755 "$work/full-explorer"
    GUARDSPAN=$work/full-explorer
    open 80 24 "$utf8" explore p.ini
    check "the explorer opens a profile on a full disk" shows "p.ini"
    keys Right s
    check "saving says why not" shows "cannot be written: $why"
    check "the change is still there" shows "p.ini*"
    keys q d
    check "leaves" shows "rc=0"
    check "the old profile is whole" grep -q "p.ini is whole" "$work/seen"
    check "nothing else is left" grep -qx "fill p.ini " <(tail -n 1 "$work/seen")
    GUARDSPAN=$GUARDSPAN_BEFORE
else
    cp "$profiles/mobile.ini" "$work/p.ini"
    (ulimit -f 1; trap '' XFSZ; cd "$work" && "$GUARDSPAN" draw delays -o new.svg) >"$work/out" 2>"$work/err"
    check "a figure that grows too large fails" test $? = 1
    check "it says why" grep -q "new.svg: cannot be written: File too large" "$work/err"
    check "no part of it is left" test ! -e "$work/new.svg"
fi

summary
