#ifndef EXPLORER_EVENT_H
#define EXPLORER_EVENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What reaches the explorer from outside: a key, the mouse, a new size, time, a signal. */

enum event_kind {
    EVENT_NONE,
    EVENT_KEY,
    EVENT_MOUSE,
    EVENT_RESIZE,
    EVENT_TICK,      /* some time has passed: sent while a view is busy */
    EVENT_WAIT,      /* scripts only: ticks until no view is busy */
    EVENT_INTERRUPT, /* Ctrl-C */
    EVENT_STOP,      /* the program is asked to end at once (SIGTERM, SIGHUP) */
};

/* Keys that are no characters; they lie above Unicode. */
enum press {
    PRESS_UP = 0x110000,
    PRESS_DOWN,
    PRESS_LEFT,
    PRESS_RIGHT,
    PRESS_PAGE_UP,
    PRESS_PAGE_DOWN,
    PRESS_HOME,
    PRESS_END,
    PRESS_ENTER,
    PRESS_ESCAPE,
    PRESS_TAB,
    PRESS_BACK_TAB,
    PRESS_BACKSPACE,
    PRESS_DELETE,
};

enum mouse_action { MOUSE_CLICK, MOUSE_WHEEL_UP, MOUSE_WHEEL_DOWN };

struct event {
    enum event_kind kind;
    uint32_t key; /* a code point or an enum press */
    enum mouse_action mouse;
    int row, column;   /* of the mouse */
    int rows, columns; /* of the new size */
};

struct event event_key(uint32_t key);

/* -1: the wheel was turned up, 1: down, 0: neither. */
int event_wheel(const struct event *event);

/* A script of events as words between spaces: a key's name ("Up", "PageDown", "Enter", "Escape",
 * "Space", "Ctrl-C", ...), "Click:ROW,COLUMN", "WheelUp:ROW,COLUMN", "WheelDown:...",
 * "Resize:ROWSxCOLUMNS", "Tick", "Wait"; any other word is typed character by character, and so is
 * what follows "text:" or the quotes of "'like this'". Takes one event off the script; false at its
 * end. `inside` keeps what was begun: start with a zeroed one. */
struct script {
    const char *at;
    bool typing, quoted;
};
bool script_next(struct script *script, struct event *event);

#endif
