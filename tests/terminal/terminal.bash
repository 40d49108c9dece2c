# A real terminal for tests: tmux on a private socket, no configuration, polled with a deadline, through one
# client that stays: what is asked many times a second starts no process.
# Source this file; the program to test is in $GUARDSPAN.

set -u
work=$(mktemp -d)
. "$(dirname "${BASH_SOURCE[0]}")/../support/counting.bash"

socket=guardspan-test-$$
coproc tmux -u -f /dev/null -L "$socket" -C new-session -s client "exec cat" \; set -g status off
exec {from_tmux}<&"${COPROC[0]}" {to_tmux}>&"${COPROC[1]}" # a coprocess's own are not there in subshells

# Of what tmux writes: one answer, into $answer. Whatever it tells unasked goes by.
hear() {
    local line
    answer=
    while IFS= read -r -t 10 -u "$from_tmux" line; do
        case $line in
            %begin*) answer= ;;
            %end*) return 0 ;;
            %error*) return 1 ;;
            *) answer+=$line ;;
        esac
    done
    return 1
}
# ask COMMAND [ARGUMENT...]: a command of tmux; what it answers in one line is in $answer.
ask() {
    local word line=
    for word; do line+=" '${word//\'/\'\\\'\'}'"; done
    printf '%s\n' "${line# }" >&"$to_tmux" && hear
}
hear && hear # the session of its own and its setting

terminals=0
session=
close_terminal() { [ -z "$session" ] || ask kill-session -t "$session"; }
# open_terminal COLUMNS ROWS COMMAND [ARGUMENT...]: a new one in the old one's place.
open_terminal() {
    local columns=$1 rows=$2
    shift 2
    close_terminal
    terminals=$((terminals + 1))
    session=terminal-$terminals
    ask new-session -d -s "$session" -x "$columns" -y "$rows" "$@"
}
finish() {
    ask kill-server
    rm -f "${TMUX_TMPDIR:-/tmp}/tmux-$EUID/$socket"
    chmod -R u+rwx "$work"
    rm -rf "$work"
}
trap finish EXIT

# run-in WORK ENVIRONMENT GUARDSPAN [ARGUMENT...]: in the test's own folder; when the program ends, the
# terminal shows rc=STATUS and whether stty's settings are what they were (less its size, the window's own affair).
cat >"$work/run" <<'RUN'
cd "$1"
work=$1 environment=$2
shift 2
before=$(stty -g)
(
    echo "$BASHPID" >pid
    # shellcheck disable=SC2086
    exec env -u NO_COLOR XDG_STATE_HOME="$work/state" XDG_CONFIG_HOME="$work/config" $environment "$@"
)
rc=$?
after=$(stty -g)
[ "$before" = "$after" ] && echo sane || printf 'changed:\n%s\n%s\n' "$before" "$after"
echo "rc=$rc"
read -r
RUN
# open COLUMNS ROWS "ENVIRONMENT" [ARGUMENT...]: starts the program in a new terminal.
open() {
    local columns=$1 rows=$2 environment=$3
    shift 3
    open_terminal "$columns" "$rows" bash "$work/run" "$work" "$environment" "$GUARDSPAN" "$@"
}

# Looks at the screen, into $shown: by a file, for a shell reads a pipe byte by byte. -e: with its colours.
look() {
    shown=
    ask capture-pane -t "$session" -b screen "$@" && ask save-buffer -b screen "$work/screen" || return
    IFS= read -r -d '' shown <"$work/screen"
    while [[ $shown == *$'\n' ]]; do shown=${shown%$'\n'}; done
}
screen() { look && printf '%s\n' "$shown"; }
keys() { ask send-keys -t "$session" "$@"; }
resize() { ask resize-window -t "$session" -x "$1" -y "$2"; }

# What the screen shows, or no longer shows, soon.
on_screen() { look && [[ $shown == *"$1"* ]]; }
off_screen() { look && [[ $shown != *"$1"* ]]; }
shows() { soon on_screen "$1"; }
hides() { soon off_screen "$1"; }

# The terminal's own state, as tmux names it: terminal_has FORMAT VALUE.
terminal_has() { ask display-message -p -t "$session" "#{$1}" && [ "$answer" = "$2" ]; }

# The process of the program (not of the shell around it).
program() { cat "$work/pid"; }

on_failure() { screen | sed 's/^/    |/'; }
