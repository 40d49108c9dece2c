# bash completion for guardspan: what fits is asked from the program itself.

_guardspan()
{
    local i line word glued= prefix words=()
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
    # Readline replaces only what stands behind the last = or :.
    [[ -n $glued ]] && word=
    prefix=${words[-1]%"$word"}
    COMPREPLY=()
    while read -r line; do
        word=${words[-1]#"$prefix"}
        case $line in
            FILE) COMPREPLY+=($(compgen -f -- "$word")) ;;
            PROFILE) COMPREPLY+=($(compgen -f -X '!*.ini' -- "$word") $(compgen -d -S / -- "$word")) ;;
            *)
                line=${line%%$'\t'*}
                [[ $line == *= ]] && compopt -o nospace 2>/dev/null
                COMPREPLY+=("$(printf %q "${line#"$prefix"}")")
                ;;
        esac
    done < <("${COMP_WORDS[0]}" --complete "${words[@]}" 2>/dev/null)
}

complete -F _guardspan guardspan
