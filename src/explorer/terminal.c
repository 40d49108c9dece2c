/* The one file that knows curses: it copies the grid to the screen and turns keys, the mouse and
 * signals into events. Signals only write a byte into a pipe; everything is done in the loop, so
 * that the terminal is always given back as it was found. */
#include <errno.h>
#include <fcntl.h>
#include <langinfo.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <curses.h>

#include "explorer/desk/rescue.h"
#include "explorer/frame/frame.h"
#include "explorer/lesson.h"
#include "explorer/opening.h"
#include "explorer/run.h"
#include "explorer/terminal.h"

#define TICK_MS 40

/* ---- Roles as attributes: with colours, and without (NO_COLOR, or a terminal that has none). */

static const struct {
    short colour; /* -1: the terminal's own */
    attr_t with_colour, without;
} looks[ROLE_COUNT] = {
    [ROLE_PLAIN] = {-1, A_NORMAL, A_NORMAL},
    [ROLE_TITLE] = {-1, A_BOLD, A_BOLD},
    [ROLE_DIM] = {-1, A_DIM, A_NORMAL},
    [ROLE_SELECTED] = {-1, A_REVERSE, A_REVERSE},
    [ROLE_GOOD] = {COLOR_GREEN, A_NORMAL, A_NORMAL},
    [ROLE_WARN] = {COLOR_YELLOW, A_BOLD, A_BOLD},
    [ROLE_BAD] = {COLOR_RED, A_BOLD, A_UNDERLINE},
    [ROLE_FIRST] = {COLOR_YELLOW, A_NORMAL, A_NORMAL},
    [ROLE_SECOND] = {COLOR_CYAN, A_NORMAL, A_NORMAL},
    [ROLE_PINNED] = {COLOR_MAGENTA, A_NORMAL, A_NORMAL},
    [ROLE_FRAME] = {-1, A_DIM, A_NORMAL},
    [ROLE_KEY] = {-1, A_BOLD, A_BOLD},
};

static bool start_colours(void)
{
    const char *without = getenv("NO_COLOR");
    if ((without && without[0]) || !has_colors() || start_color() == ERR) {
        return false;
    }
    bool own = use_default_colors() == OK;
    for (int role = 1; role < ROLE_COUNT; role++) {
        short colour = looks[role].colour;
        init_pair((short)role,
                  colour >= 0 ? colour
                  : own       ? -1
                              : COLOR_WHITE,
                  own ? -1 : COLOR_BLACK);
    }
    return true;
}

static void copy_grid(const struct grid *grid, bool colours)
{
    int rows = grid->rows < LINES ? grid->rows : LINES;
    int columns = grid->columns < COLS ? grid->columns : COLS;
    for (int row = 0; row < rows; row++) {
        for (int column = 0; column < columns; column++) {
            const struct grid_cell *cell = &grid->cells[row * grid->columns + column];
            wchar_t glyph[2] = {(wchar_t)cell->glyph, L'\0'};
            attr_t look = colours ? looks[cell->role].with_colour : looks[cell->role].without;
            cchar_t character;
            setcchar(&character, glyph, look, colours ? (short)cell->role : 0, NULL);
            mvadd_wch(row, column, &character);
        }
    }
    refresh();
}

/* ---- Signals. ---- */

static int signal_pipe[2] = {-1, -1}; /* written by handlers, so it must be global */

static const int caught[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGWINCH, SIGTSTP, SIGCONT};

static void on_signal(int number)
{
    int saved = errno;
    unsigned char byte = (unsigned char)number;
    ssize_t written = write(signal_pipe[1], &byte, 1);
    (void)written; /* a full pipe already holds enough to wake the loop */
    errno = saved;
}

static void set_handler(int number, void (*handler)(int))
{
    struct sigaction action = {.sa_handler = handler, .sa_flags = SA_RESTART};
    sigemptyset(&action.sa_mask);
    sigaction(number, &action, NULL);
}

static bool catch_signals(void)
{
    if (pipe(signal_pipe) != 0) {
        return false;
    }
    for (int i = 0; i < 2; i++) {
        fcntl(signal_pipe[i], F_SETFL, O_NONBLOCK);
        fcntl(signal_pipe[i], F_SETFD, FD_CLOEXEC);
    }
    for (size_t i = 0; i < sizeof caught / sizeof caught[0]; i++) {
        set_handler(caught[i], on_signal);
    }
    set_handler(SIGPIPE, SIG_IGN);
    return true;
}

static void release_signals(void)
{
    for (size_t i = 0; i < sizeof caught / sizeof caught[0]; i++) {
        set_handler(caught[i], SIG_DFL);
    }
    close(signal_pipe[0]);
    close(signal_pipe[1]);
}

/* ---- Events. ---- */

struct terminal {
    struct explorer *explorer;
    struct grid grid;
    bool colours, mouse;
    bool ended;
    int end_signal; /* the signal that ended the program; 0: none */
};

static void handle(struct terminal *terminal, const struct event *event)
{
    terminal->ended |= explorer_run_event(terminal->explorer, event, &terminal->grid);
}

static void take_size(struct terminal *terminal)
{
    struct winsize size;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_row > 0 && size.ws_col > 0) {
        resizeterm(size.ws_row, size.ws_col);
    }
    struct event event = {.kind = EVENT_RESIZE, .rows = LINES, .columns = COLS};
    handle(terminal, &event);
}

/* Gives the terminal back, stops as if nothing had been caught, and comes back to a new screen. */
static void stop_here(struct terminal *terminal)
{
    endwin();
    set_handler(SIGTSTP, SIG_DFL);
    kill(getpid(), SIGTSTP);
    set_handler(SIGTSTP, on_signal);
    clearok(curscr, TRUE);
    take_size(terminal);
}

static void take_signal(struct terminal *terminal, int number)
{
    struct event event = {.kind = EVENT_NONE};
    switch (number) {
    case SIGINT:
        event.kind = EVENT_INTERRUPT;
        handle(terminal, &event);
        break;
    case SIGTERM:
    case SIGHUP:
    case SIGQUIT:
        terminal->end_signal = number;
        terminal->ended = true;
        break;
    case SIGTSTP:
        stop_here(terminal);
        break;
    case SIGCONT: /* also after a SIGSTOP, which cannot be caught */
        reset_prog_mode();
        clearok(curscr, TRUE);
        take_size(terminal);
        break;
    default:
        take_size(terminal);
        break;
    }
}

static void take_signals(struct terminal *terminal)
{
    unsigned char number;
    while (!terminal->ended && read(signal_pipe[0], &number, 1) == 1) {
        take_signal(terminal, number);
    }
}

static bool mouse_event(struct event *event)
{
    MEVENT mouse;
    if (getmouse(&mouse) != OK) {
        return false;
    }
    *event = (struct event){.kind = EVENT_MOUSE, .row = mouse.y, .column = mouse.x};
    if (mouse.bstate & (BUTTON1_PRESSED | BUTTON1_CLICKED)) {
        event->mouse = MOUSE_CLICK;
    } else if (mouse.bstate & BUTTON4_PRESSED) {
        event->mouse = MOUSE_WHEEL_UP;
    } else if (mouse.bstate & BUTTON5_PRESSED) {
        event->mouse = MOUSE_WHEEL_DOWN;
    } else {
        return false;
    }
    return true;
}

static uint32_t press_of(wint_t code)
{
    static const struct {
        wint_t code;
        uint32_t press;
    } presses[] = {
        {KEY_UP, PRESS_UP},         {KEY_DOWN, PRESS_DOWN},
        {KEY_LEFT, PRESS_LEFT},     {KEY_RIGHT, PRESS_RIGHT},
        {KEY_PPAGE, PRESS_PAGE_UP}, {KEY_NPAGE, PRESS_PAGE_DOWN},
        {KEY_HOME, PRESS_HOME},     {KEY_END, PRESS_END},
        {KEY_ENTER, PRESS_ENTER},   {KEY_BACKSPACE, PRESS_BACKSPACE},
        {KEY_DC, PRESS_DELETE},     {KEY_BTAB, PRESS_BACK_TAB},
    };
    for (size_t i = 0; i < sizeof presses / sizeof presses[0]; i++) {
        if (presses[i].code == code) {
            return presses[i].press;
        }
    }
    return 0;
}

static uint32_t press_of_character(wint_t character)
{
    switch (character) {
    case L'\r':
    case L'\n':
        return PRESS_ENTER;
    case 0x1B:
        return PRESS_ESCAPE;
    case L'\t':
        return PRESS_TAB;
    case 0x08:
    case 0x7F:
        return PRESS_BACKSPACE;
    default:
        return character < 0x20 ? 0 : (uint32_t)character;
    }
}

/* Takes what has been typed; returns false when nothing was there. */
static bool take_keys(struct terminal *terminal)
{
    bool any = false;
    wint_t code;
    int kind;
    while (!terminal->ended && (kind = get_wch(&code)) != ERR) {
        struct event event = {.kind = EVENT_KEY};
        any = true;
        if (kind == KEY_CODE_YES && code == KEY_MOUSE) {
            if (!mouse_event(&event)) {
                continue;
            }
        } else if (kind == KEY_CODE_YES) {
            event.key = press_of(code);
        } else {
            event.key = press_of_character(code);
        }
        if (event.kind == EVENT_MOUSE || event.key != 0) {
            handle(terminal, &event);
        }
    }
    return any;
}

/* The mouse is taken or given back as the user likes. */
static void follow_mouse(struct terminal *terminal)
{
    if (terminal->mouse != terminal->explorer->mouse) {
        terminal->mouse = terminal->explorer->mouse;
        mousemask(terminal->mouse
                      ? BUTTON1_PRESSED | BUTTON1_CLICKED | BUTTON4_PRESSED | BUTTON5_PRESSED
                      : 0,
                  NULL);
        mouseinterval(0);
    }
}

static void loop(struct terminal *terminal)
{
    take_size(terminal);
    while (!terminal->ended) {
        follow_mouse(terminal);
        if (explorer_draw(terminal->explorer, &terminal->grid)) {
            copy_grid(&terminal->grid, terminal->colours);
        }
        struct pollfd sources[2] = {{.fd = STDIN_FILENO, .events = POLLIN},
                                    {.fd = signal_pipe[0], .events = POLLIN}};
        bool busy = explorer_busy(terminal->explorer);
        int ready = poll(sources, 2, busy ? TICK_MS : -1);
        if (ready == 0) {
            struct event tick = {.kind = EVENT_TICK};
            handle(terminal, &tick);
            continue;
        }
        take_signals(terminal);
        bool typed = !terminal->ended && take_keys(terminal);
        if (ready > 0 && !typed && (sources[0].revents & (POLLHUP | POLLERR | POLLNVAL))) {
            terminal->end_signal = SIGHUP; /* the terminal has gone */
            terminal->ended = true;
        }
    }
}

/* ---- Start and end. ---- */

static enum exit_status refuse(const struct invocation *invocation, const char *wrong,
                               const char *instead)
{
    struct fault fault;
    fault_set(&fault, STATUS_ILLEGAL, "explore", instead, "%s", wrong);
    return invocation_fault_in(invocation, NULL, &fault);
}

static const char instead[] = "guardspan report shows the same figures as text";

/* A terminal that cannot place its cursor (TERM=dumb) can show no screen. */
static bool can_place_cursor(void)
{
    const char *address = tigetstr("cup");
    return address && address != (char *)-1;
}

static SCREEN *open_screen(struct terminal *terminal)
{
    SCREEN *screen = newterm(NULL, stdout, stdin);
    if (!screen) {
        return NULL;
    }
    set_escdelay(25);
    cbreak();
    noecho();
    nonl();
    keypad(stdscr, TRUE);
    nodelay(stdscr, TRUE);
    curs_set(0);
    terminal->colours = start_colours();
    return screen;
}

static enum exit_status run_on_screen(struct terminal *terminal,
                                      const struct invocation *invocation)
{
    if (!catch_signals()) {
        return refuse(invocation, "no pipe can be opened", NULL);
    }
    SCREEN *screen = open_screen(terminal);
    if (!screen || !can_place_cursor()) {
        if (screen) {
            endwin();
            delscreen(screen);
        }
        release_signals();
        return refuse(invocation,
                      screen ? "this terminal cannot place its cursor"
                             : "the terminal's type, as TERM says it, is not known",
                      instead);
    }
    const char *keys = invocation_option(invocation, "--keys");
    if (!invocation->profile_path && !terminal->explorer->lesson && !keys) {
        opening_start(terminal->explorer);
    }
    rescue_mention(&terminal->explorer->desk);
    take_size(terminal);
    if (keys) {
        terminal->ended = explorer_run_script(terminal->explorer, keys);
    }
    loop(terminal);
    endwin();
    delscreen(screen);
    /* Still with signals caught: a terminal that vanishes sends SIGHUP more than once. */
    if (terminal->end_signal != 0) {
        rescue_unsaved(&terminal->explorer->desk, invocation->err);
    }
    release_signals();
    return EXIT_DONE;
}

enum exit_status terminal_run(struct invocation *invocation, struct lesson *lesson)
{
    /* Numbers keep their point: only the kind of characters comes from the environment. */
    setlocale(LC_CTYPE, "");
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO)) {
        return refuse(invocation, "needs a terminal", instead);
    }
    struct terminal terminal = {0};
    terminal.explorer = explorer_new(&invocation->profile, invocation->profile_path);
    if (!terminal.explorer) {
        return refuse(invocation, "out of memory", NULL);
    }
    struct fault fault;
    if (lesson && lesson_begin(terminal.explorer, lesson, &fault) != STATUS_OK) {
        explorer_free(terminal.explorer);
        return invocation_fault_in(invocation, invocation_option(invocation, "--lesson"), &fault);
    }
    explorer_like(terminal.explorer, strcmp(nl_langinfo(CODESET), "UTF-8") != 0,
                  invocation_option(invocation, "--no-mouse") != NULL);
    enum exit_status status = run_on_screen(&terminal, invocation);
    explorer_free(terminal.explorer);
    grid_free(&terminal.grid);
    if (terminal.end_signal != 0) {
        /* End as the signal asked, for whoever waits for this program. */
        raise(terminal.end_signal);
    }
    return status;
}
