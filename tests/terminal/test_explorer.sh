#!/usr/bin/env bash
# The explorer in a real terminal: a first user's journey, sizes, character sets, ways to leave.
. "$(dirname "$0")/terminal.bash"
utf8="TERM=tmux-256color LC_ALL=C.UTF-8"

# What the program says that it would show, and what the terminal shows.
same_as_dump() {
    local dump
    dump=$(cd "$work" && "$GUARDSPAN" explore "$@" --dump)
    soon is_screen "$dump" && return 0
    diff <(screen) - <<<"$dump"
    return 1
}
is_screen() { look && [ "$shown" = "$1" ]; }

# ---- The journey: guard interval, echo distance, pin, compare, save.
open 80 24 "$utf8" explore --keys ''
check "the first screen shows settings and figures" shows "longer path, km    11.5    44.4"
check "the keys are on the screen" shows "p pin"
check "the first screen equals the program's dump, braille included" same_as_dump --size 80x24
keys p
check "the pinned column appears" shows "pinned"
keys Down
keys Left
check "another guard interval is chosen" shows "GI4_768"
check "the echo distance follows, the pinned one stays" shows "longer path, km    11.5    33.3    44.4"
check "what was moved with it is said" shows "Also moved: Pilots SP16_2"
check "the screen equals the dump of the same keys" same_as_dump --size 80x24 --keys "p Down Left"
keys n
check "the next picture is shown" shows "Loss against Doppler"
check "its curves equal the dump" same_as_dump --size 80x24 --keys "p Down Left n"
keys s
check "saving asks for a name" shows "Save the profile as"
keys -l journey.ini
keys Enter
check "the profile is saved" shows "Saved journey.ini."
check "the file holds the change" grep -q "guard *= *GI4_768" "$work/journey.ini"
keys q
check "nothing is lost, so q leaves at once" shows "rc=0"
check "the terminal is as it was" shows "sane"

# ---- Unsaved changes.
open 80 24 "$utf8" explore journey.ini
check "the profile's name is shown" shows "journey.ini"
keys Right
check "a change is marked" shows "journey.ini*"
keys q
check "leaving asks" shows "Not everything is saved"
keys Escape
check "Escape stays" hides "Not everything is saved"
keys C-c
check "Ctrl-C asks too" shows "Not everything is saved"
keys C-c
check "Ctrl-C again leaves" shows "rc=0"
check "the terminal is as it was after Ctrl-C" shows "sane"

# ---- With nothing to look at: what there is to begin with.
open 80 24 "$utf8" explore
check "the start offers the plain explorer first" shows "▸The plain explorer"
check "and what comes with the program, each with a line" shows "echo-hill.ini"
keys -l hill
keys Enter
check "typing finds one, Enter opens it" shows "echo-hill.ini"
keys q
open 80 24 "$utf8" explore
check "the start again" shows "Begin with"
keys Escape
check "Escape begins with the plain explorer" hides "Begin with"
keys q
check "and q leaves" shows "rc=0"

# ---- Sizes.
open 80 24 "$utf8" explore --keys ''
check "80x24" shows "FFT size"
resize 20 5
check "20x5 says what is needed" shows "is too small"
keys Right
resize 80 24
check "back at 80x24 everything is there" shows "FFT size             16K"
resize 200 60
check "200x60 uses the space" shows "Second generation (OFDM)"
check "200x60 equals the dump" same_as_dump --size 200x60
resize 40 12
check "40x12 shows one side" shows "Settings"
keys Tab
check "Tab shows the other side" shows "Figures"
keys q
check "leaves from a small screen" shows "rc=0"

# ---- Character sets and looks.
shows_attribute() { look -e && [[ $shown =~ $'\033['[0-9\;]*$1m ]]; }
hides_attribute() { look -e && ! [[ $shown =~ $'\033['[0-9\;]*$1m ]]; }
open 80 24 "TERM=tmux-256color LC_ALL=C" explore --keys ''
check "locale C shows ASCII" shows "@"
check "ASCII only" eval 'look && ! LC_ALL=C grep -q "[^ -~]" <<<"$shown"'
check "ASCII equals the dump" same_as_dump --size 80x24 --ascii
keys q
check "leaves" shows "rc=0"
open 80 24 "$utf8 NO_COLOR=1" explore --keys ''
check "NO_COLOR starts" shows "FFT size"
check "NO_COLOR shows no colour" hides_attribute '3[0-7]'
check "but shows the selection" shows_attribute 7
keys q
check "leaves" shows "rc=0"
open 80 24 "$utf8" explore --keys ''
check "colours otherwise" shows "FFT size"
check "cyan for OFDM" shows_attribute 36
keys q
check "leaves" shows "rc=0"

# ---- The mouse, on and off.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
check "the mouse is asked for" terminal_has mouse_any_flag 1
# A click, as a terminal of this type reports it: button 0 at column 27, row 5 (from 1), each + 32.
keys -l $'\033[M ;%'
check "a click on the scale chooses" shows "GI1_192"
keys u
check "the change can be undone" shows "GI5_1024"
keys q
check "leaves" shows "rc=0"
open 80 24 "$utf8" explore --no-mouse --keys ''
check "starts" shows "FFT size"
check "the mouse is left alone" terminal_has mouse_any_flag 0
keys q
check "leaves" shows "rc=0"

# ---- Proof by simulation beside the interface.
cat >"$work/short.ini" <<PROFILE
[mode]
length = 16200
constellation = QPSK
rate = 8/15
PROFILE
counted() { screen | sed -n 's/.* \([0-9]*\) code words, .*/\1/p'; }
differs_from() { look && [ "$shown" != "$1" ]; }
moves_on() { look && soon differs_from "$shown"; }
open 80 24 "$utf8" explore short.ini
check "starts" shows "FFT size"
keys c
check "c shows what would be proved" shows "OFDM 16200 QPSK 8/15"
check "and equals the dump" same_as_dump short.ini --size 80x24 --keys c
keys Enter
check "Enter starts it" shows "Round "
check "points appear" shows "o simulated"
check "with the rate of work" shows "Mbit/s on"
check "it goes on by itself" moves_on
keys Enter
check "Enter stops it" shows "Stopped. Enter goes on."
check "what was counted stays" test "$(counted)" -gt 0
keys Enter
check "Enter goes on" shows "Round "
keys C-c
check "Ctrl-C leaves while it runs" shows "rc=0"
check "with a sane terminal" shows "sane"
open 80 24 "$utf8" explore short.ini
check "starts" shows "FFT size"
keys c Enter
check "runs" shows "Round "
keys m
check "leaving the view" shows "FFT size"
keys c
check "has stopped the run" shows "Stopped. Enter goes on."
resize 40 12
check "40x12 shows the curve" shows "SNR, dB"
keys q
check "leaves" shows "rc=0"

# ---- Subframes, PLPs and layers; the channel divided among services beside the interface.
open 80 24 "$utf8" explore --keys ''
check "starts" shows "FFT size"
keys b
check "b shows the frame's parts" shows "PLPs            share, %"
keys a A
check "PLPs and a subframe are added" shows "subframe 2"
check "the screen equals the dump" same_as_dump --size 80x24 --keys "b a A"
keys g a
check "services are offered and divided" shows "Enter on one takes it over"
keys Tab Tab Enter
check "a division is taken over" shows "Taken over"
keys b
check "its PLPs stand in the frame" shows "plp roof"
keys u
check "one step goes back" shows "subframe 2"
keys g Down Tab Down Down Right
check "a change is computed anew" shows "Enter on one takes it over"
keys C-c
check "Ctrl-C asks" shows "Not everything is saved"
keys d
check "and leaves" shows "rc=0"
check "with a sane terminal" shows "sane"

# ---- No terminal that could show it.
open 80 24 "TERM=dumb" explore --keys ''
check "TERM=dumb is refused with a reason" shows "cannot place its cursor"
check "with status 2" shows "rc=2"
check "and leaves the terminal sane" shows "sane"
open 80 24 "TERM=no-such-terminal" explore --keys ''
check "an unknown terminal is refused" shows "is not known"
check "with status 2" shows "rc=2"
check "no terminal: a message and status 2" bash -c \
    '"$0" explore </dev/null >/dev/null 2>"$1"; [ $? -eq 2 ] && grep -q "needs a terminal" "$1"' "$GUARDSPAN" "$work/err"

summary
