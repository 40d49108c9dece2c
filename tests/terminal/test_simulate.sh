#!/usr/bin/env bash
# simulate in a real terminal: the line of progress, Ctrl-C, and the same by signals without a terminal.
. "$(dirname "$0")/terminal.bash"
utf8="TERM=tmux-256color LC_ALL=C.UTF-8"
small=(--set mode.length=16200 --set mode.constellation=QPSK --set mode.rate=8/15)
endless=(simulate "${small[@]}" --snr 0.6:1:1.6 --frames 2000000000 --errors 0 --threads 1)

# What a pattern finds on the screen, within ten seconds.
matches() { soon finds "$1"; }
finds() { screen | grep -qE -- "$1"; }

# ---- Progress on the terminal, and Ctrl-C.
open 120 24 "$utf8" "${endless[@]}"
check "the line of progress has place, SNR, bar, counts and rates" matches \
    '^1 of 2: 0\.60 dB \[[#.]{20}\] [0-9]+, [0-9]+ wrong; [0-9]+ code words/s, [0-9]+\.[0-9] Mbit/s; (over 1000 h|[0-9]+ [sh]|-) left at this SNR$'
first=$(screen | sed -n 's/.*\] \([0-9]*\), .*/\1/p')
grows() {
    local i now
    for ((i = 0; i < 200; i++)); do
        now=$(screen | sed -n 's/.*\] \([0-9]*\), .*/\1/p')
        [ "${now:-0}" -gt "${first:-0}" ] && return 0
        pause 0.05
    done
    return 1
}
check "its count grows, on the same line" grows
check "there is one line" test "$(screen | grep -c ' of 2: ')" = 1
keys C-c
check "Ctrl-C ends it with status 1" shows "rc=1"
check "it says what the counts are" shows "stopped: the counts are those up to there"
check "the counts are there" matches '^0\.60 +[1-9][0-9]* +[0-9]+ '
check "the SNR that was not begun is not" hides "1.60  "
check "the line of progress is gone" hides " left"
check "the terminal is sane" shows "sane"

# ---- In a narrow terminal the line is shorter, and still one line.
open 60 24 "$utf8" "${endless[@]}"
check "the narrow line has place, SNR and counts" matches '^1 of 2: 0\.60 dB [0-9]+, [0-9]+ wrong'
sleep 1
check "it does not wrap" test "$(screen | grep -c .)" = 1
keys C-c
check "Ctrl-C ends it with status 1" shows "rc=1"

# ---- Progress to its end.
open 100 24 "$utf8" simulate "${small[@]}" --snr 0.6:1:1.6 --frames 30 --errors 0
check "a run that ends exits with 0" shows "rc=0"
check "nothing of the progress stays" hides " of 2: "
check "both SNRs are counted" matches '^1\.60 +30 '

# ---- Without a terminal: no progress; SIGINT ends with what was counted.
catches_interrupts() { # bit 2 of the signals caught
    local caught
    caught=$(sed -n 's/^SigCgt:[[:space:]]*//p' "/proc/$pid/status" 2>/dev/null)
    ((0x${caught:-0} & 2))
}
for format in text json csv markdown; do
    "$GUARDSPAN" "${endless[@]}" --format "$format" >"$work/out" 2>"$work/err" &
    pid=$!
    soon catches_interrupts
    sleep 0.3
    kill -INT "$pid"
    wait "$pid"
    check "$format: SIGINT gives status 1" test $? = 1
    check "$format: and says so, without a line of progress" test \
        "$(cat "$work/err")" = "guardspan: stopped: the counts are those up to there"
    check "$format: and writes what was counted" grep -q '0\.6' "$work/out"
done
"$GUARDSPAN" "${endless[@]}" --format json >"$work/out" 2>"$work/err" &
pid=$!
sleep 1
kill -INT "$pid"
wait "$pid"
frames=$(python3 -c 'import json, sys; rows = json.load(open(sys.argv[1])); assert len(rows) == 1; print(rows[0]["frames"])' "$work/out")
check "JSON of a stopped run is whole" test "${frames:-0}" -gt 0
"$GUARDSPAN" simulate "${small[@]}" --snr 0.6 --frames "${frames:-1}" --errors 0 --format json >"$work/again"
sed -i 's/"planned": [0-9]*/"planned": 0/' "$work/out" "$work/again" # the one was to be longer
check "and a run of so many frames counts the same" cmp "$work/out" "$work/again"

summary
