#!/usr/bin/env bash
# Ctrl-C in a sweep of points that take some milliseconds each: wherever it comes, also between two
# points, the sweep ends and what was counted is written. $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../../.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
. tests/support/counting.bash

# Bit 2 of the signals caught: the sweep has begun.
is_at_work()
{
    local caught
    caught=$(sed -n 's/^SigCgt:[[:space:]]*//p' "/proc/$pid/status" 2>/dev/null)
    ((0x${caught:-0} & 2))
}

stops() # SENTENCE POINTS OPTION...
{
    local sentence=$1 points=$2 rows
    shift 2
    "$GUARDSPAN" simulate --threads 1 --format csv "$@" >"$folder/out" 2>"$folder/err" &
    pid=$!
    soon is_at_work
    sleep 0.5
    kill -INT "$pid"
    wait "$pid"
    is "$sentence: status 1" 1 $?
    is "$sentence: it says so" "guardspan: stopped: the counts are those up to there" "$(cat "$folder/err")"
    rows=$(($(wc -l <"$folder/out") - 1))
    check "$sentence: $rows of $points points are written" test "$rows" -gt 0 -a "$rows" -lt "$points"
}

for attempt in 1 2 3; do
    stops "OFDM, attempt $attempt" 981 --set mode.length=16200 --set mode.constellation=QPSK \
        --snr 5:0.05:54 --frames 20
done
stops "8-VSB" 981 --generation first --snr 5:0.05:54 --frames 312

# A part that was stopped is merged as what it is: not all of the part.
"$GUARDSPAN" simulate --set mode.length=16200 --snr 30 --frames 2000000 --part 1/2 --format json >"$folder/part.json" 2>/dev/null &
pid=$!
soon is_at_work
sleep 0.5
kill -INT "$pid"
wait "$pid"
"$GUARDSPAN" simulate --merge "$folder/part.json" >"$folder/merged"
check "a stopped part says that it is not whole" grep -q '^part 1/2, seed 1, stopped early: not all 1000000 code words' "$folder/merged"

# A clock that is an hour ahead when asked, and then set right again: the run still hears Ctrl-C.
cat >"$folder/clock.c" <<'CLOCK'
#define _GNU_SOURCE
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>
int clock_gettime(clockid_t id, struct timespec *now)
{
    int result = (int)syscall(SYS_clock_gettime, id, now);
    now->tv_sec += id == CLOCK_REALTIME ? 3600 : 0;
    return result;
}
CLOCK
gcc -shared -fPIC -o "$folder/clock.so" "$folder/clock.c"
LD_PRELOAD=$folder/clock.so "$GUARDSPAN" simulate --set mode.length=16200 --snr 30 --frames 2000000 --format json \
    >"$folder/jumped.json" 2>/dev/null &
pid=$!
soon is_at_work
sleep 0.5
kill -INT "$pid"
is_over() { ! kill -0 "$pid" 2>/dev/null; }
check "a clock that jumps keeps no run from ending" soon is_over
kill -KILL "$pid" 2>/dev/null
wait "$pid" 2>/dev/null
check "and what was counted is written" grep -q '"planned": 2000000' "$folder/jumped.json"

summary
