# fish completion for guardspan: what fits is asked from the program itself.

function __guardspan_offers
    set -l before (commandline -opc)
    set -l last (commandline -ct)
    for line in ($before[1] --complete $before[2..] "$last" 2>/dev/null)
        switch $line
            case FILE
                __fish_complete_path "$last"
            case PROFILE
                __fish_complete_suffix "$last" .ini
            case '*'
                echo $line
        end
    end
end

complete -c guardspan -f -a '(__guardspan_offers)'
