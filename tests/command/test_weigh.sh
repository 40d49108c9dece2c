#!/usr/bin/env bash
# guardspan weigh as users call it.
set -u
. "$(dirname "$0")/../support/counting.bash"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
run() { "$GUARDSPAN" weigh "$@" >"$folder/out" 2>"$folder/err"; }
says() { grep -q -- "$1" "$folder/out"; }
refuses() { # OPTION...: status 2, a message, nothing on standard output
    run "$@"
    [ $? -eq 2 ] && [ -s "$folder/err" ] && [ ! -s "$folder/out" ]
}

run --top 3
check "text ends well" [ $? -eq 0 ]
check "text counts the space" says "243000 of 243000 legal modes of 6 MHz"
check "moves are named" says "same robustness, more bits"
check "a step of guard interval has its cost" says "one more step of guard interval: -"
run --top 4 --format json
check "JSON reads" python3 -c 'import json,sys
rows = json.load(open(sys.argv[1]))
assert len(rows) == 4
rates = [row["net_mbps"] for row in rows]
assert rates == sorted(rates, reverse=True)
assert all(isinstance(row["frontier"], bool) for row in rows)
assert all(name in rows[0] for name in ("fft", "guard", "pilots", "echo_us", "receiver_snr_db"))' \
    "$folder/out"
run --echo-at-least 30km --speed-at-least 120 --snr-at-most 15 --order receiver_snr_db --top 5 \
    --rate-at-least 5 --format json
check "limits hold" python3 -c 'import json,sys
rows = json.load(open(sys.argv[1]))
assert len(rows) == 5
assert all(r["echo_km"] >= 30 and r["speed_kmh"] >= 120 and r["receiver_snr_db"] <= 15
           and r["net_mbps"] >= 5 for r in rows)
needs = [r["receiver_snr_db"] for r in rows]
assert needs == sorted(needs)' "$folder/out"
run --set mode.fft=8K --set mode.guard=GI6_1536 --set mode.pilots=SP4_4 --fix mode.fft \
    --fix mode.constellation --format json --top 10
check "fixed settings stay" python3 -c 'import json,sys
rows = json.load(open(sys.argv[1]))
assert len(rows) == 10 and all(r["fft"] == "8K" and r["constellation"] == "256QAM" for r in rows)' \
    "$folder/out"
run --top 30 --unfold --format csv
check "CSV has its rows" [ "$(wc -l <"$folder/out")" -eq 31 ]
run --top 2 --format markdown
check "Markdown has a table" says "^| Mode"
run --rate-at-least 40 --snr-at-most 20
check "an empty list is no error" [ $? -eq 0 ]
check "an empty list says what to relax" says "net rate excludes most"
run --rate-at-least 40 --snr-at-most 20 --format json
check "an empty list is an empty array" python3 -c 'import json,sys
assert json.load(open(sys.argv[1])) == []' "$folder/out"
run profiles/echo-two-transmitters.ini --set receiver.snr_db=22 --margin-at-least 2 --top 3
check "the profile's echoes can be the limit" says "Margin: with the profile's echoes"
check "margins have their column" says "Margin  F"
run profiles/echo-two-transmitters.ini --order margin_db --top 5 --format json
check "JSON holds the margin that was used, and the names of a report's second" python3 -c 'import json,sys
rows = json.load(open(sys.argv[1]))
names = set(json.load(open(sys.argv[2]))["second"])
margins = [r["margin_db"] for r in rows]
assert len(rows) == 5 and margins == sorted(margins, reverse=True)
assert all(set(r) == names | {"frontier"} for r in rows)
assert all(r["works"] == (r["margin_db"] >= 0) for r in rows)
assert all(len(r["plps"]) == 1 and r["plps"][0]["net_mbps"] == r["net_mbps"] for r in rows)' \
    "$folder/out" <("$GUARDSPAN" report --format json)
check "a margin needs an SNR" refuses --margin-at-least 3
check "and says so" grep -q "receiver.snr_db: .*SNR" "$folder/err"
check "an order by margin needs one too" refuses --order margin_db
run --beside profiles/mobile.ini
check "modes stand side by side" says "Net rate"
run profiles/echo-hill.ini --beside profiles/mobile.ini --beside profiles/low-vhf.ini --beside profiles/rooftop-high-rate.ini \
    --beside profiles/single-frequency-network.ini
check "several have a table each" [ "$(grep -c "^Now beside profiles/" "$folder/out")" -eq 4 ]
check "which fits a terminal of 80 columns" [ "$(awk '{ if (length($0) > w) w = length($0) } END { print w + 0 }' "$folder/out")" -le 80 ]
run profiles/indoor-high-vhf.ini --beside profiles/rooftop-high-rate.ini
check "no difference of nothing" bash -c "! grep -E '[+-]0(\.0+)?\$' '$folder/out'"
run --beside profiles/mobile.ini --beside profiles/low-vhf.ini --format csv
check "programs get one table" [ "$(head -n 1 "$folder/out" | tr -cd , | wc -c)" -eq 6 ]
for bandwidth in 7 8; do
    run --set site.bandwidth_mhz=$bandwidth --top 1
    check "$bandwidth MHz" says "of 243000 legal modes of $bandwidth MHz"
done
check "echo without a unit" refuses --echo-at-least 100
check "echo below nothing" refuses --echo-at-least -5us
check "speed that is none" refuses --speed-at-least fast
check "unknown order" refuses --order colour
check "and it names every figure" bash -c '"$GUARDSPAN" weigh --top 1 --format json | python3 -c "import json,sys
names = [n for n in json.load(sys.stdin)[0] if n not in (\"frontier\", \"account\", \"plps\")]
said = open(sys.argv[1]).read().replace(\"(\", \" \").replace(\")\", \" \").split()
assert len(names) > 40 and all(n in said for n in names), [n for n in names if n not in said]
print(*names)" "$0" >"$0.names"' "$folder/err"
run --order doppler_hz --top 1
check "the list says by which figure it is ordered" bash -c 'tr "\n" " " <"$0" | grep -q "ordered by Doppler (doppler_hz)"' "$folder/out"
run --order rate --top 1 --rate-at-least 1
check "a word orders by its number" says "13/15"
run --set mode.fft=16K --rate-at-least 30 --fix mode.constellation --top 1
check "a move that breaks a limit is not offered" bash -c 'tr -s "\n " " " <"$0" | grep -q "breaks a limit or what is to be kept"' "$folder/out"
check "unknown key" refuses --fix mode.colour
check "rows below none" refuses --top -1
check "unknown kind" refuses --snr-kind best
check "missing profile" bash -c '! "$GUARDSPAN" weigh --beside nothing.ini'
summary
