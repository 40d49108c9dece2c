# bash completion for guardspan. Commands, options, what they take, kinds of figures, keys and values
# are asked from the program itself, so they are always its own.

_guardspan_commands()
{
    "$1" --help 2>/dev/null | sed -n '/^commands:/,/^$/s/^  \([a-z]*\) .*/\1/p'
}

# The kinds of figures that draw has.
_guardspan_kinds()
{
    "$1" draw --help 2>/dev/null | sed -n '/^KIND is/,$s/^  \([a-z][a-z]*\)  .*/\1/p'
}

# The figures to order by, as a refusal of weigh lists them.
_guardspan_orders()
{
    "$1" weigh --order '?' 2>&1 | sed -n 's/.*(\(.*\)).*/\1/p'
}

# The options of a help text.
_guardspan_options()
{
    sed -n 's/^  \(--\{0,1\}[a-z][a-z-]*\).*/\1/p' <<<"$1"
}

# What an option takes, as a help text says it: second|first, N, FILE; nothing for a switch.
_guardspan_argument()
{
    local option=$2
    [[ $option =~ ^--?[a-z][a-z-]*$ ]] && sed -n "s/^  $option \([^ ][^ ]*\).*/\1/p" <<<"$1"
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
            awk -F, '$1 !~ /^(echo|station|subframe|plp|service)$/ {print $1 "." $2}')" -- "$word"))
        compopt -o nospace 2>/dev/null
    fi
}

# _guardspan_value PROGRAM OPTION ARGUMENT WORD: what an option takes; nothing where that is a number.
_guardspan_value()
{
    case $3 in
        SECTION.KEY=VALUE) _guardspan_set "$1" "$4" ;;
        SECTION.KEY)
            _guardspan_set "$1" "$4"
            COMPREPLY=("${COMPREPLY[@]%=}")
            ;;
        FILE* | PROFILE) COMPREPLY=($(compgen -f -- "$4")) ;;
        *)
            if [[ $2 == --order ]]; then
                COMPREPLY=($(compgen -W "$(_guardspan_orders "$1")" -- "$4"))
            elif [[ $3 == *\|* && $3 != *[A-Z]* ]]; then
                COMPREPLY=($(compgen -W "${3//|/ }" -- "$4"))
            fi
            ;;
    esac
}

# _guardspan_operand PROGRAM COMMAND BEFORE WORD: a word that is no option, behind so many others.
_guardspan_operand()
{
    case $2:$3 in
        :*)
            COMPREPLY=($(compgen -W "$(_guardspan_commands "$1")" -- "$4"))
            ;;
        facts:*)
            COMPREPLY=($(compgen -W "$("$1" facts --format csv 2>/dev/null | tail -n +2 |
                cut -d, -f1)" -- "$4"))
            return
            ;;
        draw:0)
            COMPREPLY=($(compgen -W "$(_guardspan_kinds "$1")" -- "$4"))
            return
            ;;
        read:*)
            COMPREPLY=($(compgen -f -- "$4"))
            return
            ;;
    esac
    COMPREPLY+=($(compgen -f -X '!*.ini' -- "$4") $(compgen -d -S / -- "$4"))
}

_guardspan()
{
    local program=${COMP_WORDS[0]} command= help option= argument= value= files= glued= operands=0
    local i word words=()
    # --set mode.fft=8K comes as the words --set, mode.fft, =, 8K: put together again.
    for ((i = 1; i <= COMP_CWORD; i++)); do
        word=${COMP_WORDS[i]}
        if ((${#words[@]} > 0)) && [[ -n $glued || $word =~ ^[=:]+$ ]]; then
            words[-1]+=$word
        else
            words+=("$word")
        fi
        [[ $word =~ ^[=:]+$ ]] && glued=yes || glued=
    done
    local last=${words[-1]}
    unset 'words[-1]'
    COMPREPLY=()
    help=$("$program" --help 2>/dev/null)
    for word in "${words[@]}"; do
        if [[ -n $argument ]]; then
            argument= # this word was it
        elif [[ $word == -* ]]; then
            option=$word
            argument=$(_guardspan_argument "$help" "$word")
            [[ $argument == *... ]] && files=yes
        elif [[ -z $command ]]; then
            # What is no command is a profile for the explorer.
            command=explore
            [[ " "$(_guardspan_commands "$program" | tr '\n' ' ') == *" $word "* ]] && command=$word
            help=$("$program" "$command" --help 2>/dev/null)
        else
            operands=$((operands + 1))
        fi
    done
    value=$last
    if [[ -z $argument && $last == --*=* ]]; then
        option=${last%%=*} value=${last#*=}
        argument=$(_guardspan_argument "$help" "$option")
    fi
    if [[ -n $argument ]]; then
        _guardspan_value "$program" "$option" "$argument" "$value"
    elif [[ $last == -* ]]; then
        COMPREPLY=($(compgen -W "$(_guardspan_options "$help")" -- "$last"))
    elif [[ -n $files ]]; then
        COMPREPLY=($(compgen -f -- "$last"))
    else
        _guardspan_operand "$program" "$command" "$operands" "$last"
    fi
}

complete -F _guardspan guardspan
