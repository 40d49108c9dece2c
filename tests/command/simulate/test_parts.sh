#!/usr/bin/env bash
# The manual's examples of a simulation in parts, run as they stand, by GNU parallel. Slurm
# has a check of its own, tests/support/run-slurm. $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../../.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
. tests/support/counting.bash

# The examples name neither mode nor SNR: the program that they find asks for little.
mkdir "$folder/bin"
cat >"$folder/bin/guardspan" <<PROGRAM
#!/bin/sh
case "\$*" in
*--merge*) exec "$GUARDSPAN" "\$@" ;;
esac
exec "$GUARDSPAN" "\$@" --set mode.length=16200 --set mode.constellation=QPSK --set mode.rate=8/15 \\
    --snr 0.8:0.2:1 --frames 90
PROGRAM
chmod +x "$folder/bin/guardspan"
export PATH=$folder/bin:$PATH
export PARALLEL_HOME=$folder/parallel LC_ALL=C
mkdir "$PARALLEL_HOME"
: >"$PARALLEL_HOME/will-cite"

# What the manual shows: from the line that begins with $1 to the one that begins with $2.
example()
{
    mandoc -T ascii -O width=200 man/guardspan.1 | sed 's/.\x08//g; s/^ *//' |
        awk -v from="$1" -v to="$2" 'index($0, from) == 1 { on = 1 } on { print } on && index($0, to) == 1 { exit }'
}

guardspan simulate --errors 0 --format json >"$folder/whole.json"
guardspan simulate --errors 0 | sed '/^What the figures assume/,$d' >"$folder/whole.txt"
check "the whole run counts 90 frames at two SNR" test "$(grep -c '"frames": 90' "$folder/whole.json")" = 2

# ---- GNU parallel.
mkdir "$folder/parallel-run"
example "parallel guardspan" "guardspan simulate --merge" >"$folder/parallel.sh"
check "the manual has an example of GNU parallel" test "$(wc -l <"$folder/parallel.sh")" = 3
(cd "$folder/parallel-run" && sh -e ../parallel.sh >merged.txt 2>err) </dev/null
check "it exits with 0" test $? = 0
check "it makes four parts" test "$(ls "$folder/parallel-run" | grep -c '^part[1-4].json$')" = 4
check "each has its share" grep -q '"part": "4/4"' "$folder/parallel-run/part4.json"
check "a sum claims no limit of another mode" test "$(grep -c 'Limit of this constellation' "$folder/parallel-run/merged.txt")" = 0
sed -i '/^What the figures assume/,$d' "$folder/parallel-run/merged.txt"
check "their sum is exactly the whole run" cmp "$folder/parallel-run/merged.txt" "$folder/whole.txt"

# ---- The line that the program's own help shows.
mkdir "$folder/help-run"
guardspan simulate --help | sed -n '/^ *parallel /,/::: /s/^ *//p' >"$folder/help.sh"
check "the help has an example" grep -q '^parallel ' "$folder/help.sh"
(cd "$folder/help-run" && sh -e ../help.sh && guardspan simulate --merge part*.json) </dev/null 2>"$folder/err" |
    sed '/^What the figures assume/,$d' >"$folder/help.txt"
check "its sum is exactly the whole run" cmp "$folder/help.txt" "$folder/whole.txt"

summary
