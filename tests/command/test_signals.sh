#!/usr/bin/env bash
# Signals to a command at work: a long simulation, stopped in every way.
# $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
. tests/support/counting.bash

# A simulation that would take hours; `pid` is its process. What a script starts in the background ignores SIGINT,
# what outlives its terminal ignores SIGHUP, and SIGTSTP does nothing in a process group that nobody in its session
# watches, as in a batch job: so python gives the first two back their meaning and makes a group that this script
# watches.
long=(simulate --generation second --channel awgn --snr 30 --frames 100000000 --errors 0 --seed 3 --threads 1 --format json)
begin()
{
    python3 -c 'import os, signal, sys
for number in signal.SIGINT, signal.SIGHUP:
    signal.signal(number, signal.SIG_DFL)
os.setpgid(0, 0)
os.execv(sys.argv[1], sys.argv[1:])' "$GUARDSPAN" "${long[@]}" >"$folder/out" 2>"$folder/err" &
    pid=$!
    soon is_at_work
}
ticks() { awk '{print $14}' "/proc/$pid/stat" 2>/dev/null || echo 0; }
state() { awk '{print $3}' "/proc/$pid/stat" 2>/dev/null || echo gone; }
is_at_work() { [ "$(ticks)" -gt 20 ]; } # it has used some processor time
has_state() { [[ $(state) == [$1] ]]; }
becomes() { soon has_state "$1" || state; }

# SIGINT: what was counted is written, and the status says that it was stopped.
begin
kill -INT "$pid"
wait "$pid"
is "SIGINT stops it with status 1" 1 $?
is "what was counted is whole JSON" True \
    "$(python3 -c 'import json, sys; print(json.load(sys.stdin)[0]["frames"] > 0)' <"$folder/out")"
is "and it says that it was stopped" 1 "$(grep -c "stopped" "$folder/err")"

# SIGTERM and SIGHUP end it; nothing half is on standard output.
for signal in TERM HUP; do
    begin
    kill -$signal "$pid"
    wait "$pid" 2>/dev/null
    status=$?
    is "SIG$signal ends it by the signal" $((128 + $(kill -l $signal))) $status
    is "SIG$signal leaves nothing half written" 0 "$(wc -c <"$folder/out" | tr -d ' ')"
done

# SIGWINCH does nothing; stopped and continued it goes on where it was, to the same counts.
long=(simulate --generation second --channel awgn --snr 18.6 --frames 400 --errors 0 --seed 3 --threads 1 --format json)
"$GUARDSPAN" "${long[@]}" >"$folder/alone"
begin
kill -WINCH "$pid"
kill -TSTP "$pid"
is "SIGTSTP stops it" "" "$(becomes T)"
kill -CONT "$pid"
is "SIGCONT lets it go on" "" "$(becomes RSD)"
wait "$pid"
is "to its end" 0 $?
is "with the counts of a run that was left alone" "$(cksum <"$folder/alone")" "$(cksum <"$folder/out")"

summary
