#!/usr/bin/env bash
# The program as a process: streams, pipes, signals, full and read-only places.
# $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../.."
folder=$(mktemp -d)
trap 'chmod -R u+w "$folder"; rm -rf "$folder"' EXIT
. tests/support/counting.bash

# A reader that leaves early: the program ends by SIGPIPE, quietly, as others do.
"$GUARDSPAN" facts cells 2>"$folder/err" | head -n 1 >"$folder/out"
statuses=("${PIPESTATUS[@]}")
is "a reader that leaves early is no error message" "" "$(cat "$folder/err")"
case ${statuses[0]} in 0 | 141) ended=quietly ;; *) ended=${statuses[0]} ;; esac
is "it ends with the pipe" quietly "$ended"

# The same where SIGPIPE is ignored: an error of its own.
exec 9> >(exec sleep 0)
sleep 0.2
message=$( (trap '' PIPE; "$GUARDSPAN" facts cells >&9) 2>&1); status=$?
exec 9>&-
is "an ignored SIGPIPE is a failed write" 1 "$status"
is "and says so" "guardspan: standard output: cannot be written: Broken pipe" "$message"

message=$("$GUARDSPAN" report 2>&1 >/dev/full); status=$?
is "a full device fails" 1 "$status"
is "a full device is said" "guardspan: standard output: cannot be written: No space left on device" "$message"

message=$("$GUARDSPAN" report profiles/mobile.ini 2>&1 >&-); status=$?
is "a closed standard output fails" 1 "$status"
is "a closed standard output is said" "guardspan: standard output: cannot be written: Bad file descriptor" "$message"

cp profiles/mobile.ini "$folder/p.ini"
"$GUARDSPAN" report "$folder/p.ini" >&- 2>&-
"$GUARDSPAN" report "$folder/p.ini" <&- >"$folder/out" 2>"$folder/err"
is "closed streams leave the profile alone" "$(cksum <profiles/mobile.ini)" "$(cksum <"$folder/p.ini")"
is "without standard input all is well" "0 0" "$(wc -c <"$folder/err" | tr -d ' ') $?"

# Nothing is written but what the user named.
mkdir "$folder/home" "$folder/work"
(cd "$folder/work" && HOME=$folder/home XDG_STATE_HOME=$folder/home TMPDIR=$folder/home \
    "$GUARDSPAN" report "$folder/p.ini" >/dev/null)
is "a report writes no file" "" "$(find "$folder/home" "$folder/work" -type f)"

# A profile that is a pipe is read to its end.
report=$("$GUARDSPAN" report --format csv <(cat profiles/mobile.ini))
is "a pipe is a profile" "$("$GUARDSPAN" report --format csv profiles/mobile.ini)" "$report"

# One that never ends is refused.
message=$("$GUARDSPAN" report /dev/zero 2>&1); status=$?
is "an endless file is refused" 2 "$status"
is "with the limit" "guardspan: /dev/zero: the file is too large (at most 262144 bytes)" "$message"

# A number is the same in every locale.
is "no locale changes a number" "$(LC_ALL=C "$GUARDSPAN" report --format csv)" \
    "$(LC_ALL=de_DE.UTF-8 "$GUARDSPAN" report --format csv)"

summary
