# A real terminal for tests: tmux on a private socket, no configuration, polled with a deadline.
# Source this file; the program to test is in $GUARDSPAN.

set -u
terminals=0
socket=guardspan-test-$$-0
work=$(mktemp -d)
. "$(dirname "${BASH_SOURCE[0]}")/../support/counting.bash"
tmux_() { tmux -f /dev/null -L "$socket" "$@"; }
close_terminal() {
    tmux_ kill-server 2>/dev/null
    rm -f "${TMUX_TMPDIR:-/tmp}/tmux-$(id -u)/$socket"
}
# A new server for each terminal: an old one may still be ending.
open_terminal() {
    close_terminal
    terminals=$((terminals + 1))
    socket=guardspan-test-$$-$terminals
    tmux_ new-session -d -x "$1" -y "$2" "$3" \; set -g status off
}
finish() {
    close_terminal
    chmod -R u+rwx "$work"
    rm -rf "$work"
}
trap finish EXIT

# open COLUMNS ROWS "ENVIRONMENT" [ARGUMENT...]: starts the program in a new terminal, in the test's
# own folder; when it ends, the terminal shows rc=STATUS and, between marks, stty's settings before and after.
open() {
    local columns=$1 rows=$2 environment=$3
    shift 3
    cat >"$work/run.sh" <<RUN
cd "$work"
stty -a | sed 's/rows [0-9]*; columns [0-9]*;//' >before # the size is the window's own affair
env -u NO_COLOR XDG_STATE_HOME="$work/state" XDG_CONFIG_HOME="$work/config" $environment "$GUARDSPAN" "\$@"
rc=\$?
stty -a | sed 's/rows [0-9]*; columns [0-9]*;//' >after
cmp -s before after && echo sane || { echo changed; diff before after; }
echo "rc=\$rc"
exec cat
RUN
    open_terminal "$columns" "$rows" "bash '$work/run.sh' $(printf '%q ' "$@")"
}
screen() { tmux_ capture-pane -p 2>/dev/null; }
keys() { tmux_ send-keys "$@"; }
resize() { tmux_ resize-window -x "$1" -y "$2"; }

# What the screen shows, or no longer shows, soon.
on_screen() { [[ $(screen) == *"$1"* ]]; } # asked often: no process more than tmux
off_screen() { ! on_screen "$1"; }
shows() { soon on_screen "$1"; }
hides() { soon off_screen "$1"; }

# The process of the program (not of the shell around it).
program() { pgrep -P "$(tmux_ display-message -p '#{pane_pid}')" -x guardspan; }

on_failure() { screen | sed 's/^/    |/'; }
