#!/usr/bin/env bash
# Completion offers what the program has, in each shell. $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../.."
. src/package/guardspan.bash
. tests/terminal/terminal.bash

# offers WANTED WORD...: completing the last word offers exactly (or among others) what is wanted
offers()
{
    local wanted=$1
    shift
    COMP_WORDS=("$GUARDSPAN" "$@")
    COMP_CWORD=$#
    _guardspan 2>/dev/null
    case " ${COMPREPLY[*]} " in
        *" $wanted "*) passed=$((passed + 1)) ;;
        *)
            failed=$((failed + 1))
            echo "completing '$*' offers '${COMPREPLY[*]}', not '$wanted'"
            ;;
    esac
}

sorted()
{
    tr ' ' '\n' <<<"$1" | sort | xargs
}

# offers_only "WANTED..." WORD...: completing the last word offers these and nothing else
offers_only()
{
    local wanted
    wanted=$(sorted "$1")
    shift
    COMP_WORDS=("$GUARDSPAN" "$@")
    COMP_CWORD=$#
    _guardspan 2>/dev/null
    is "completing '$*'" "$wanted" "$(sorted "${COMPREPLY[*]}")"
}

offers "report" rep
offers "facts" ""
offers "--set" report --s
offers "--format" --fo
offers "json" report --format j
offers "mode.guard=" report --set mode.gu
offers "GI5_1024" report --set mode.guard = GI5
offers "16K" report --set mode.fft =
offers "8" report --set site.bandwidth_mhz = ""
offers "guard" facts gu
offers "profiles/mobile.ini" report profiles/mo
offers "--dump" explore --du
# Every kind of figure, as the program's own list has it.
kinds=$("$GUARDSPAN" draw sheets -o sheet.svg 2>&1 | sed -n 's/.*(\(.*\)).*/\1/p')
for kind in best field reach motion; do
    offers "$kind" draw "${kind:0:2}"
    is "draw has $kind" yes "$(case " $kinds " in *" $kind "*) echo yes ;; esac)"
done
offers_only "$kinds" draw ""
offers "doppler" draw do
offers "doppler" draw --width 100 do
offers_only "$kinds" draw --width 100 ""
offers_only "" draw --width 1
offers "profiles/mobile.ini" draw delays profiles/mo
offers "profiles/mobile.ini" draw --width 100 delays profiles/mo
# What an option takes comes from the help; a number is nothing to complete.
offers_only "awgn rayleigh profile" simulate --channel ""
offers_only "min-sum" simulate --decoder m
offers_only "second first" simulate --generation ""
offers_only "" simulate --frames ""
offers_only "" simulate --snr 10 : 1 : ""
offers_only "receiver ideal rayleigh" weigh --snr-kind ""
offers_only "receiver_snr_db" weigh --order receiver
offers_only "mode.guard" weigh --fix mode.gu
offers_only "" weigh --top ""
offers_only "" weigh --echo-at-least ""
offers_only "json" report --format = j
offers_only "text json csv markdown" report --format = ""
offers_only "text json csv markdown" report --format =
offers "demo/lessons/guard-interval.txt" explore --lesson demo/lessons/gu
offers "tests/command/test_draw.c" simulate --merge tests/command/test_bad_input.c tests/command/test_dr
# What stands behind --set is no command.
offers_only "draw" --set mode.fft = 8K dr
offers "--dump" --set mode.fft = 8K explore --du
offers_only "report" --format json rep
offers "report" --set "echo far.delay_us" = 3 rep
offers "doppler" --set mode.fft = 8K draw do
offers "--dump" profiles/mobile.ini --du
offers "demo/pages" read demo/pa
offers 'mode.interleaver=CTI\ 1024' report --set mode.interleaver=CTI
offers_only "" report -- --fo

# The other shells ask the same program: a line of each kind, and what it becomes.
lines=(
    "guardspan rep|guardspan report"
    "guardspan report --format=j|guardspan report --format=json"
    "guardspan report --set mode.bo|guardspan report --set mode.boost="
    "guardspan report --set mode.guard=GI5|guardspan report --set mode.guard=GI5_1024"
    "guardspan --set mode.fft=8K draw del|guardspan --set mode.fft=8K draw delays"
    "guardspan draw delays profiles/mobi|guardspan draw delays profiles/mobile.ini"
    "guardspan read demo/readings/a-h|guardspan read demo/readings/a-hand-and-the-wind.txt"
    "guardspan weigh --order receiver|guardspan weigh --order receiver_snr_db"
    "guardspan facts nume|guardspan facts numerology"
)
export PATH="$(dirname "$GUARDSPAN"):$PATH"

for line in "${lines[@]}"; do
    begun=${line%|*} wanted=${line#*|}
    offered=$(fish --no-config -c "source src/package/guardspan.fish; complete -C '$begun'" | cut -f1)
    is "fish: $begun" "${wanted##* }" "$offered"
done
is "fish tells the meaning" "$("$GUARDSPAN" --help | sed -n 's/^  report *//p')" "$(fish --no-config -c \
    "source src/package/guardspan.fish; complete -C 'guardspan rep'" | cut -f2)"

mkdir "$work/zsh"
cp src/package/guardspan.zsh "$work/zsh/_guardspan"
open_terminal 120 24 env "PATH=$PATH" zsh --no-rcs
keys "PS1='read''y> '; fpath=($work/zsh \$fpath); autoload -Uz compinit; compinit -u -D; clear" Enter
check "zsh is ready" shows "ready>"
for line in "${lines[@]}"; do
    keys C-u
    keys -l "${line%|*}"
    keys Tab
    check "zsh: ${line%|*}" shows "ready> ${line#*|}"
done

summary
