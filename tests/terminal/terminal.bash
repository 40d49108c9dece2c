# A real terminal for tests: tmux on a private socket, no configuration, polled with a deadline.
# Source this file; the program to test is in $GUARDSPAN.

set -u
socket=guardspan-test-$$
work=$(mktemp -d)
passed=0 failed=0
tmux_() { tmux -f /dev/null -L "$socket" "$@"; }
finish() {
    tmux_ kill-server 2>/dev/null
    chmod -R u+rwx "$work"
    rm -rf "$work"
    rm -f "${TMUX_TMPDIR:-/tmp}/tmux-$(id -u)/$socket"
}
trap finish EXIT

# open COLUMNS ROWS "ENVIRONMENT" [ARGUMENT...]: starts the program in a new terminal, in the test's
# own folder; when it ends, the terminal shows rc=STATUS and, between marks, stty's settings before and after.
open() {
    local columns=$1 rows=$2 environment=$3
    shift 3
    tmux_ kill-server 2>/dev/null
    cat >"$work/run.sh" <<RUN
cd "$work"
stty -a >before
env -u NO_COLOR XDG_STATE_HOME="$work/state" $environment "$GUARDSPAN" "\$@"
rc=\$?
stty -a >after
cmp -s before after && echo sane || echo changed
echo "rc=\$rc"
exec cat
RUN
    tmux_ new-session -d -x "$columns" -y "$rows" "bash '$work/run.sh' $(printf '%q ' "$@")"
    tmux_ set -g status off
    tmux_ set -g window-size manual 2>/dev/null
}
screen() { tmux_ capture-pane -p; }
keys() { tmux_ send-keys "$@"; }
resize() { tmux_ resize-window -x "$1" -y "$2"; }

# Waits until the screen shows a text; ten seconds at most.
shows() {
    local i
    for ((i = 0; i < 200; i++)); do
        screen | grep -qF -- "$1" && return 0
        sleep 0.05
    done
    return 1
}
hides() {
    local i
    for ((i = 0; i < 200; i++)); do
        screen | grep -qF -- "$1" || return 0
        sleep 0.05
    done
    return 1
}

# The process of the program (not of the shell around it).
program() { pgrep -P "$(tmux_ display-message -p '#{pane_pid}')" -x guardspan; }

# check "SENTENCE" COMMAND...: counts whether the command succeeds.
check() {
    local sentence=$1
    shift
    if "$@"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        printf 'FAILED: %s\n' "$sentence"
        screen 2>/dev/null | sed 's/^/    |/'
    fi
}
summary() {
    printf '%d passed, %d failed\n' "$passed" "$failed"
    [ "$failed" -eq 0 ]
}
