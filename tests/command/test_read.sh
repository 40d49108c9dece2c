#!/usr/bin/env bash
# guardspan read as users call it, over the sample pages.
set -u
. "$(dirname "$0")/../support/counting.bash"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
run() { "$GUARDSPAN" read "$@" >"$folder/out" 2>"$folder/err"; }
draws_nothing_raw() { ! LC_ALL=C grep -q $'[\x01-\x08\x0b\x0c\x0e-\x1f\x7f]' "$folder/out"; }
says() { tr '\n' ' ' <"$folder/out" | grep -q -- "$1"; }

refused() { # STATUS ARGUMENT...: that status, a message, nothing on standard output
    local status=$1
    shift
    run "$@"
    [ $? -eq "$status" ] && [ -s "$folder/err" ] && [ ! -s "$folder/out" ]
}

# Each page as JSON, and every third in another form, in turn: each time it is held against all modes.
others=("--format text" "--format csv" --long "--format markdown") turn=0
for page in demo/pages/*.txt; do
    turn=$((turn + 1))
    forms=("--format json")
    [ $((turn % 3)) -gt 0 ] || forms+=("${others[turn / 3 % ${#others[@]}]}")
    for form in "${forms[@]}"; do
        # shellcheck disable=SC2086
        run $form "$page"
        check "$page with $form" [ $? -eq 0 ]
        check "$page with $form draws nothing raw" draws_nothing_raw
        [ "$form" != "--format json" ] || cp "$folder/out" "$folder/$(basename "$page" .txt).json"
    done
done
check "all JSON is as promised" python3 -c 'import json,sys
assert len(sys.argv) > 20
for path in sys.argv[1:]:
    page = json.load(open(path))
    assert set(page) == {"mode", "margin_db", "generation", "verdict", "entries", "contradictions",
                         "missing", "unread"}
    assert set(page["mode"]) >= {"fft", "rate", "net_mbps", "margin_db", "account", "plps"}
    assert page["generation"] in ("first", "second", None) and page["verdict"]
    names = {"text", "key", "value", "unit", "meaning", "plp", "line"}
    assert all(set(e) >= names and e["meaning"] for e in page["entries"])
    assert all(isinstance(line, str) for line in page["unread"])' "$folder"/*.json

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
run demo/pages/20-commas.txt
check "whose what follows is stands apart from the list" \
    grep -q "the count is old  What follows" <(tr '\n' ' ' <"$folder/out")
run demo/pages/09-guard-too-long.txt
check "a contradiction is named" says "FFT size 8K does not go with guard interval GI12_4864"
run --format json demo/pages/09-guard-too-long.txt
check "and not guessed away" python3 -c 'import json,sys
page = json.load(open(sys.argv[1]))
assert page["mode"]["fft"] == "8K" and page["mode"]["net_mbps"] is None
assert page["margin_db"] is None and page["contradictions"]' "$folder/out"
run --plp 4 demo/pages/03-rows-of-plps.txt
check "another PLP" says "PLP 4: 32K, GI7_2048"
"$GUARDSPAN" read <demo/pages/12-short-forms.txt >"$folder/out" 2>&1
check "standard input" says "32K, GI4_768, SP16_2"
"$GUARDSPAN" read - <demo/pages/12-short-forms.txt >"$folder/out" 2>&1
check "standard input by its name" says "32K, GI4_768, SP16_2"
: | "$GUARDSPAN" read >"$folder/out" 2>&1
check "nothing at all" says "says nothing of the mode"
echo "FFT 16K, SNR 22.4 dB" >"$folder/little"
run --format json "$folder/little"
check "what is not on the page is not made up" python3 -c 'import json,sys
page = json.load(open(sys.argv[1]))
mode = page["mode"]
assert mode["fft"] == "16K" and mode["snr_db"] == 22.4 and page["generation"] == "second"
for name in ("guard", "pilots", "constellation", "rate", "length", "net_mbps", "receiver_snr_db",
             "margin_db", "margin_noise_db", "works"):
    assert mode[name] is None, name
assert page["margin_db"] is None and "between" in page["verdict"]
assert "constellation: not on the page" in page["missing"]' "$folder/out"
run --set mode.constellation=64QAM --set mode.rate=7/15 "$folder/little"
check "what --set adds is known" says "It comes in"
run --format json demo/pages/03-rows-of-plps.txt
check "every PLP has its margin" python3 -c 'import json,sys
plps = json.load(open(sys.argv[1]))["mode"]["plps"]
assert [p["name"] for p in plps] == ["PLP 0", "PLP 1", "PLP 4"]
assert all(p["margin_db"] > 0 for p in plps) and plps[0]["margin_db"] > plps[2]["margin_db"]' "$folder/out"

check "a log is held against both needs" run --log demo/readings/a-hand-and-the-wind.txt
check "and told in shares of time" says "would have held for 90.0 % of the time"
run --log --format json demo/readings/a-hand-and-the-wind.txt
check "a log as JSON" python3 -c 'import json,sys
log = json.load(open(sys.argv[1]))
assert log["readings"] == 240 and log["span_s"] == 120 and log["first"]["share"] == 0.9' "$folder/out"
"$GUARDSPAN" draw readings --readings demo/readings/a-hand-and-the-wind.txt -o "$folder/log.svg" 2>"$folder/err"
check "and drawn" grep -q "90.0 %" "$folder/log.svg"
printf '1 20\n2 x\n' >"$folder/bad-log"
check "a bad line of a log" refused 2 --log "$folder/bad-log"
check "is named" grep -q "line 2: is no reading" "$folder/err"
printf '\x89PNG\r\n\x1a\nbroken' >"$folder/broken.png"
check "a broken picture" refused 1 "$folder/broken.png"
(PATH=/nowhere "$GUARDSPAN" read "$folder/broken.png" >"$folder/out" 2>"$folder/err")
check "without tesseract its package is named" grep -q "not installed.*tesseract-ocr" "$folder/err"
printf 'FFT\0008K' >"$folder/zero"
head -c 3000 /dev/urandom >"$folder/noise"
head -c 10000001 /dev/zero | tr '\0' 'x' >"$folder/large"
check "bytes that are no text" refused 2 "$folder/zero"
check "noise" refused 2 "$folder/noise"
check "more than 10 MB" refused 2 "$folder/large"
check "a file that is not there" refused 1 "$folder/missing"
check "no such PLP number" refused 2 --plp 64 demo/pages/01-one-a-line.txt
check "a PLP that the page does not have" refused 2 --plp 9 demo/pages/03-rows-of-plps.txt
check "which names those there are" grep -q "no PLP 9 (there are 0 1 4)" "$folder/err"
check "a PLP of a page that names none" refused 2 --plp 0 demo/pages/12-short-forms.txt
check "two files" refused 2 demo/pages/01-one-a-line.txt demo/pages/02-all-in-one-line.txt
summary
