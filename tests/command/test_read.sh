#!/usr/bin/env bash
# guardspan read as users call it, over the sample pages.
set -u
. "$(dirname "$0")/../support/counting.bash"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
run() { "$GUARDSPAN" read "$@" >"$folder/out" 2>"$folder/err"; }
says() { tr '\n' ' ' <"$folder/out" | grep -q -- "$1"; }

for page in demo/pages/*.txt; do
    for format in text json csv markdown; do
        run --format $format "$page"
        check "$page as $format" [ $? -eq 0 ]
        check "$page as $format draws nothing raw" bash -c \
            '! LC_ALL=C grep -q $'"'[\\x01-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f]'"' "$1"' - "$folder/out"
        if [ $format = json ]; then
            check "$page is JSON as promised" python3 -c 'import json,sys
page = json.load(open(sys.argv[1]))
assert set(page) >= {"mode", "margin_db", "entries", "unread"}
assert all(set(e) >= {"text", "key", "value", "meaning"} and e["meaning"] for e in page["entries"])
assert all(isinstance(line, str) for line in page["unread"])' "$folder/out"
        fi
    done
    run --long "$page"
    check "$page at length" [ $? -eq 0 ]
done

run demo/pages/01-one-a-line.txt
check "the margin is told" says "25.6 dB against 19.6 dB needed: 6.0 dB to spare"
check "what breaks it is told" says "spread over more than 148.1 us"
check "what it cost is told" says "it gives up"
run --format json demo/pages/01-one-a-line.txt
check "figures and margin" python3 -c 'import json,sys
page = json.load(open(sys.argv[1]))
assert page["mode"]["fft"] == "16K" and abs(page["mode"]["echo_us"] - 148.148) < 0.001
assert abs(page["mode"]["margin_noise_db"] - (25.6 - page["mode"]["receiver_snr_db"])) < 1e-6
assert page["margin_db"] == page["mode"]["margin_db"]
# a page tells of no echoes; the margin with them is solved, that in noise alone is not
assert abs(page["margin_db"] - page["mode"]["margin_noise_db"]) < 1e-4' "$folder/out"
run demo/pages/09-guard-too-long.txt
check "a contradiction is named" says "FFT size 8K does not go with guard interval GI12_4864"
run --format json demo/pages/09-guard-too-long.txt
check "and not guessed away" python3 -c 'import json,sys
page = json.load(open(sys.argv[1]))
assert page["mode"] is None and page["margin_db"] is None' "$folder/out"
run --plp 4 demo/pages/03-rows-of-plps.txt
check "another PLP" says "PLP 4: 32K, GI7_2048"
"$GUARDSPAN" read <demo/pages/12-short-forms.txt >"$folder/out" 2>&1
check "standard input" says "32K, GI4_768, SP16_2"
"$GUARDSPAN" read - <demo/pages/12-short-forms.txt >"$folder/out" 2>&1
check "standard input by its name" says "32K, GI4_768, SP16_2"
: | "$GUARDSPAN" read >"$folder/out" 2>&1
check "nothing at all" says "says nothing of the mode"

refused() { # STATUS ARGUMENT...: that status, a message, nothing on standard output
    local status=$1
    shift
    run "$@"
    [ $? -eq "$status" ] && [ -s "$folder/err" ] && [ ! -s "$folder/out" ]
}
printf 'FFT\0008K' >"$folder/zero"
head -c 3000 /dev/urandom >"$folder/noise"
head -c 10000001 /dev/zero | tr '\0' 'x' >"$folder/large"
check "bytes that are no text" refused 2 "$folder/zero"
check "noise" refused 2 "$folder/noise"
check "more than 10 MB" refused 2 "$folder/large"
check "a file that is not there" refused 1 "$folder/missing"
check "no such PLP number" refused 2 --plp 64 demo/pages/01-one-a-line.txt
check "two files" refused 2 demo/pages/01-one-a-line.txt demo/pages/02-all-in-one-line.txt
summary
