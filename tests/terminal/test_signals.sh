#!/usr/bin/env bash
# What may happen to a program in a terminal: signals, a vanishing terminal, old terminals, a full
# disk. Each time the terminal is left as it was, and nothing that was changed is lost.
. "$(dirname "$0")/terminal.bash"
utf8="TERM=tmux-256color LC_ALL=C.UTF-8"
unsaved=$work/state/guardspan/unsaved.ini
lessons=$(cd "$(dirname "$0")/../../demo/lessons" && pwd)
# Nobody may have asked yet how it ended.
has_ended() {
    local state
    { read -r _ _ state _ <"/proc/$1/stat"; } 2>/dev/null || return 0
    [ "$state" = Z ]
}
gone() { soon has_ended "$1"; }
kept() { soon test -s "$unsaved"; }

# ---- SIGTERM: the terminal sane, the work kept, said so on the next start.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys Right
check "a change" shows "new profile*"
kill -TERM "$(program)"
check "SIGTERM ends it, and whoever waits sees the signal" shows "rc=143"
check "the terminal is sane" shows "sane"
check "what was unsaved is kept" grep -q "fft *= *32K" "$unsaved"
open 80 24 "$utf8" explore --keys ''
check "the next start says so" shows "Unsaved work of an earlier run"
keys q
check "leaves" shows "rc=0"
rm -f "$unsaved"
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
kill -TERM "$(program)"
check "SIGTERM without changes" shows "rc=143"
check "keeps nothing" test ! -e "$unsaved"

# ---- Signals in a row, as a vanishing terminal sends them: the work is kept all the same.
for i in 1 2 3 4; do
    rm -f "$unsaved"
    open 80 24 "$utf8" explore --keys ''
    check "starts" shows "FFT size"
    keys Right
    check "a change" shows "new profile*"
    pid=$(program)
    for j in 1 2 3 4 5 6 7 8 9; do
        kill -HUP "$pid" 2>/dev/null
        [ $((j % 3)) = 0 ] && sleep 0.001
    done
    check "several SIGHUPs end it" shows "rc=129"
    check "what was unsaved is kept, time $i" test -s "$unsaved"
done
rm -f "$unsaved"

# ---- Ctrl-\ ends it as hard as it may, but not with a broken terminal.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys 'C-\'
check "SIGQUIT ends it" shows "rc=131"
check "the terminal is sane" shows "sane"

# ---- SIGINT from outside asks, as Ctrl-C does.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys Right
check "a change" shows "new profile*"
kill -INT "$(program)"
check "SIGINT asks" shows "Not everything is saved"
keys d
check "leaves" shows "rc=0"

# ---- Stopped and continued, by the user's key in a shell with jobs and by SIGSTOP.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
kill -STOP "$(program)"
kill -CONT "$(program)"
keys Down Right
check "goes on after SIGSTOP and SIGCONT" shows "GI6_1536"
keys q d
check "leaves" shows "rc=0"
check "sane" shows "sane"
cat >"$work/jobs.sh" <<JOBS
cd "$work"
env $utf8 XDG_STATE_HOME="$work/state" "$GUARDSPAN" explore --keys ''
status=\$?
stty -a >stopped
echo "stopped with \$status"
read -r line
fg >/dev/null
echo "rc=\$?"
exec cat
JOBS
open_terminal 80 24 bash -c "stty -a >'$work/before'; exec bash -m '$work/jobs.sh'"
check "starts in a shell with jobs" shows "FFT size"
keys C-z
check "Ctrl-Z gives the shell back" shows "stopped with 148"
check "with a sane terminal" cmp -s "$work/before" "$work/stopped"
keys Enter
check "fg brings the screen back" shows "FFT size"
resize 100 30
check "and it follows a new size" shows "Measured SNR"
keys Right
check "and keys" shows "32K"
keys q d
check "leaves" shows "rc=0"

# ---- A broken pipe elsewhere, and many new sizes at once.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
kill -PIPE "$(program)"
for size in "20 5" "200 60" "40 12" "1 1" "132 43" "200 60"; do
    # shellcheck disable=SC2086
    resize $size
    kill -WINCH "$(program)"
done
check "the whole screen comes back after a storm of sizes" shows "Second generation (OFDM)"
resize 80 24
check "and at the usual size" hides "Second generation (OFDM)"
keys Down Right
check "it goes on after SIGPIPE" shows "GI6_1536"
keys q d
check "leaves" shows "rc=0"
check "sane" shows "sane"

# ---- The terminal vanishes: in each view, while something is computed, typed or asked.
views=$(sed -n "s/^    \.key = '\(.\)',/\1/p" "$(dirname "$0")"/../../src/explorer/*/view.c)
check "there are views to try" test "$(echo "$views" | wc -l)" -ge 8
# shellcheck disable=SC2086
for where in $views "c Enter" "w Down Down Down Down 1 Enter" "e a n n n n" "t v text:SNR" o "?" q "s text:name"; do
    rm -rf "$work/state"
    open 80 24 "$utf8" explore --keys "m Right $where"
    check "a change, then $where" shows "new profile*"
    pid=$(program)
    close_terminal
    check "the program ends with its terminal after $where" gone "$pid"
    check "what was unsaved is kept after $where" kept
done
rm -f "$unsaved"

# ---- A state folder that cannot be written: it still ends.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys Right
check "a change" shows "new profile*"
rm -rf "$work/state"
: >"$work/state"
kill -TERM "$(program)"
check "ends although nothing can be kept" shows "rc=143"
rm -f "$work/state"

# ---- Saving where nothing can be written.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys Right s
check "asks for a name" shows "Save the profile as"
keys -l /dev/full
keys Enter
check "a file that was not opened is left alone" shows "exists and was not opened here"
keys s
keys -l no-such-folder/x.ini
keys Enter
check "a missing folder is named" shows "no-such-folder/x.ini"
check "the change is still there" shows "new profile*"
keys q d
check "leaves" shows "rc=0"

# ---- Old and other terminals.
for terminal in vt100 xterm-256color screen xterm linux; do
    open 80 24 "TERM=$terminal LC_ALL=C.UTF-8" explore --keys ''
    check "TERM=$terminal" shows "longer path, km    11.5    44.4"
    keys q
    check "TERM=$terminal leaves" shows "rc=0"
    check "TERM=$terminal sane" shows "sane"
done
open 80 24 "TERM=vt100 LC_ALL=C" explore --keys ''
check "vt100 in locale C" shows "longer path, km    11.5    44.4"
keys Down Right
check "keys in locale C" shows "GI6_1536"
keys q d
check "leaves" shows "rc=0"
open 80 24 "TERM=tmux-256color LC_ALL=xx_YY.UTF-8" explore --keys ''
check "a locale that this machine lacks" shows "longer path, km    11.5    44.4"
keys q
check "leaves" shows "rc=0"
for terminal in "TERM=" "TERM=no-such-terminal"; do
    open 80 24 "$terminal LC_ALL=C.UTF-8" explore --keys ''
    check "env $terminal is refused" shows "rc=2"
    check "env $terminal: sane" shows "sane"
done
for utf8_or_c in "$utf8" "TERM=vt100 LC_ALL=C"; do
    open 20 5 "$utf8_or_c" explore --keys ''
    check "starts in 20x5" shows "is too small"
    keys e w t l m n p
    check "keys do no harm in 20x5" shows "is too small"
    keys q q
    check "leaves" shows "rc=0"
    check "sane" shows "sane"
done

# ---- A reader that goes away.
check "a dump into a closed pipe ends quietly" bash -c \
    'set -o pipefail; "$0" explore --dump 2>"$1" | true; [ ! -s "$1" ] || ! grep -qi "abort\|segmentation" "$1"' "$GUARDSPAN" "$work/err"

# ---- A lesson in the terminal.
open 80 24 "$utf8" explore --lesson "$lessons/guard-interval.txt"
check "a lesson starts" shows "The guard interval  1 of"
keys Space
check "Space goes on" shows "2 of"
keys BSpace
check "Backspace goes back" shows "1 of"
keys Escape
check "Escape ends it" shows "The lesson has ended"
keys q
check "and nothing is asked" shows "rc=0"
open 80 24 "$utf8" explore --lesson /dev/null
check "an empty lesson is refused by name" shows "/dev/null: nothing happens in it"
check "with status 2" shows "rc=2"

summary
