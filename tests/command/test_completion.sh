#!/usr/bin/env bash
# Completion offers what the program has. $GUARDSPAN is the built program.
set -u
cd "$(dirname "$0")/../.."
. completion/guardspan.bash
. tests/support/counting.bash

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
offers "doppler" draw do
offers "frontier" draw ""
offers "demo/pages" read demo/pa

summary
