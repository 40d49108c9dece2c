#!/usr/bin/env bash
# The most memory that a simulation holds at any time, as Linux tells it of the running program:
# under 200 MB, whatever is simulated. $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../../.."
. tests/support/counting.bash

# Most kilobytes ever resident while `simulate` with these options runs, which takes some tenths of
# a second. The last look is a few milliseconds before the end, long after all is allocated.
peak_kb()
{
    local peak=0 now
    "$GUARDSPAN" simulate "$@" >/dev/null 2>&1 &
    while now=$(sed -n 's/^VmHWM:[[:space:]]*\([0-9]*\) kB$/\1/p' "/proc/$!/status" 2>/dev/null) && [ -n "$now" ]; do
        [ "$now" -gt "$peak" ] && peak=$now
        sleep 0.005
    done
    wait $! || peak=failed
    echo "$peak"
}

stays_small() # SENTENCE OPTION...
{
    local sentence=$1 peak
    shift
    peak=$(peak_kb "$@")
    check "$sentence ($peak kB) under 200 MB, and seen at all" test "$peak" -gt 2000 -a "$peak" -lt 200000
}

long="--set mode.length=64800 --frames 40 --errors 0"
# shellcheck disable=SC2086
{
    stays_small "QPSK 2/15" $long --set mode.constellation=QPSK --set mode.rate=2/15 --snr -4 --threads 4
    stays_small "4096QAM 13/15" $long --set mode.constellation=4096QAM --set mode.rate=13/15 --snr 27:2:31 --threads 4
    stays_small "min-sum in fading" $long --set mode.constellation=256QAM --set mode.rate=10/15 --snr 20 \
        --decoder min-sum --channel rayleigh --threads 4
    stays_small "32 processors" $long --set mode.constellation=256QAM --set mode.rate=8/15 --snr 16 --threads 32
    stays_small "8-VSB" --generation first --snr 15 --frames 12480 --errors 0 --threads 4
}
summary
