#compdef guardspan
# zsh completion for guardspan: what fits is asked from the program itself.

local line word
local -a offers begun
for line in ${(f)"$(${words[1]} --complete "${(@Q)words[2,CURRENT-1]}" "${(Q)PREFIX}" 2>/dev/null)"}; do
    word=${${line%%$'\t'*}//:/\\:}
    case $line in
        FILE) _files ;;
        PROFILE) _files -g '*.ini' ;;
        *=$'\t'*) begun+=("$word:${line#*$'\t'}") ;;
        *) offers+=("$word:${line#*$'\t'}") ;;
    esac
done
# A value is still to follow what ends in =.
_describe -V setting begun -S ''
_describe -V word offers
