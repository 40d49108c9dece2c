# bash completion for guardspan. Commands, options, keys and values are asked from the program
# itself, so they are always its own.

_guardspan_commands()
{
    "$1" --help 2>/dev/null | sed -n '/^commands:/,/^$/s/^  \([a-z]*\) .*/\1/p'
}

_guardspan_options()
{
    "$1" ${2:+"$2"} --help 2>/dev/null | sed -n 's/^  \(--\{0,1\}[a-z][a-z-]*\).*/\1/p'
}

# SECTION.KEY=, and once the key stands there, what a choice allows.
_guardspan_set()
{
    local word=$2 key values
    if [[ $word == *=* ]]; then
        key=${word%%=*}
        values=$("$1" facts keys --format csv 2>/dev/null | tr -d '\r' |
            awk -F, -v key="$key" '$1 "." $2 == key && $4 ~ /\|/ {print $4}')
        values=${values// MHz/}
        # Readline takes = as the end of a word: complete what follows it.
        COMPREPLY=($(IFS='|'; compgen -W "${values// /\\ }" -- "${word#*=}"))
    else
        COMPREPLY=($(compgen -S = -W "$("$1" facts keys --format csv 2>/dev/null | tail -n +2 |
            awk -F, '$1 != "echo" && $1 != "station" {print $1 "." $2}')" -- "$word"))
        compopt -o nospace 2>/dev/null
    fi
}

_guardspan()
{
    local program=${COMP_WORDS[0]} current=${COMP_WORDS[COMP_CWORD]} previous command= i word
    # --set mode.fft=8K comes as the words --set, mode.fft, =, 8K.
    local joined=$current from=$COMP_CWORD
    if [[ $current == = ]]; then
        joined=${COMP_WORDS[COMP_CWORD - 1]}=
        from=$((COMP_CWORD - 1))
    elif ((COMP_CWORD > 1)) && [[ ${COMP_WORDS[COMP_CWORD - 1]} == = ]]; then
        joined=${COMP_WORDS[COMP_CWORD - 2]}=$current
        from=$((COMP_CWORD - 2))
    fi
    previous=${COMP_WORDS[from - 1]}
    for ((i = 1; i < from; i++)); do
        word=${COMP_WORDS[i]}
        if [[ $word != -* ]] && [[ ${COMP_WORDS[i - 1]} != --set && ${COMP_WORDS[i - 1]} != --format ]]; then
            command=$word
            break
        fi
    done
    COMPREPLY=()
    case $previous in
        --set)
            _guardspan_set "$program" "$joined"
            return
            ;;
        --fix)
            _guardspan_set "$program" "$joined"
            COMPREPLY=("${COMPREPLY[@]%=}")
            return
            ;;
        --format)
            COMPREPLY=($(compgen -W "text json csv markdown" -- "$current"))
            return
            ;;
        -o | --merge | --against | --beside | --lesson)
            COMPREPLY=($(compgen -f -- "$current"))
            return
            ;;
    esac
    if [[ $current == -* ]]; then
        COMPREPLY=($(compgen -W "$(_guardspan_options "$program" "$command")" -- "$current"))
    elif [[ -z $command ]]; then
        COMPREPLY=($(compgen -W "$(_guardspan_commands "$program")" -- "$current")
            $(compgen -f -X '!*.ini' -- "$current") $(compgen -d -S / -- "$current"))
    elif [[ $command == facts ]]; then
        COMPREPLY=($(compgen -W "$("$program" facts --format csv 2>/dev/null | tail -n +2 |
            cut -d, -f1)" -- "$current"))
    elif [[ $command == draw && $previous == draw ]]; then
        COMPREPLY=($(compgen -W "delays doppler rate frontier rays carriers tolerance margin sheet" -- "$current"))
    elif [[ $command == read ]]; then
        COMPREPLY=($(compgen -f -- "$current"))
    else
        COMPREPLY=($(compgen -f -X '!*.ini' -- "$current") $(compgen -d -S / -- "$current"))
    fi
}

complete -F _guardspan guardspan
