# Checks that are counted, for shell tests: source this, call check and is, end with summary.
passed=0 failed=0
check_log=$(mktemp)

count_failure() { # SENTENCE
    failed=$((failed + 1))
    printf 'FAILED: %s\n' "$1"
    if declare -F on_failure >/dev/null; then on_failure; fi
}

# check "SENTENCE" COMMAND...: the command succeeds; what it wrote is shown where it does not.
check() {
    local sentence=$1
    shift
    if "$@" >"$check_log" 2>&1; then
        passed=$((passed + 1))
    else
        count_failure "$sentence"
        sed 's/^/    /' "$check_log"
    fi
}

# is "SENTENCE" WANTED GOT
is() {
    if [ "$2" = "$3" ]; then
        passed=$((passed + 1))
    else
        count_failure "$1"
        printf '    wanted %s\n    got    %s\n' "$2" "$3"
    fi
}

# pause SECONDS: without a process, on a pipe into which nobody writes.
exec {silence}<> <(:)
pause() { read -r -t "$1" -u "$silence"; }

# soon COMMAND...: it succeeds within ten seconds, tried again and again, more seldom later: asking costs
# what the asked one could use.
soon() {
    local attempt pauses=(0.03 0.05 0.05 0.1 0.1 0.2)
    for ((attempt = 0; attempt < 54; attempt++)); do
        "$@" && return 0
        pause "${pauses[attempt]-0.2}"
    done
    return 1
}

summary() {
    rm -f "$check_log"
    printf '%d passed, %d failed\n' "$passed" "$failed"
    [ "$failed" -eq 0 ]
}
