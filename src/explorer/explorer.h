#ifndef EXPLORER_EXPLORER_H
#define EXPLORER_EXPLORER_H

/* How to add a view.
 *
 * 1. Write src/explorer/view_NAME.c with `const struct view view_NAME = {...}` (fields below).
 * 2. Declare it at the end of this file and give it a row in views.c. Its key must not be one of
 *    the explorer's own (explorer_keys in explorer.c); a test looks for that.
 *
 * The explorer draws the top line, the line of words above the keys (message, or what `words`
 * gives) and the keys; a view draws the rectangle between. What a view needs:
 *  - scenario: explorer->profile.scenario, report: explorer->report (when explorer->report_known);
 *    compute what is shown in `update`, which runs before drawing when something has changed, and
 *    keep it in the view's own state; `draw` only draws.
 *  - change the scenario by explorer_change: it is checked, can be undone, and every view sees it.
 *  - say something by explorer_say; ask for a line of text by explorer_ask.
 *  - files and other outside work: return an effect made by effect_call; `handle` itself must not
 *    touch files, time or the terminal.
 *  - a long computation: a struct job (job.h) in the view's state; while `busy` is true, EVENT_TICK
 *    comes about ten times a second; stop the job in `close`.
 *  - geometry: derive it from the area that `draw` gets and that `handle` gets again, so that the
 *    mouse hits what was drawn. Everything must stay usable at 80x24; smaller areas say so. */

#include "explorer/desk/field.h"
#include "explorer/desk/history.h"
#include "explorer/event.h"
#include "explorer/frame/layout.h"
#include "present/picture/grid.h"
#include "present/picture/picture.h"
#include "profile/profile.h"
#include "study/report/report.h"

struct explorer;
struct lesson_run;

/* What a step asks of the outside. */
enum effect_kind { EFFECT_NONE, EFFECT_QUIT, EFFECT_CALL };
struct effect {
    enum effect_kind kind;
    void (*call)(struct explorer *explorer, const char *argument); /* with EFFECT_CALL */
    char argument[FIELD_BYTES];
};
struct effect effect_none(void);
struct effect effect_call(void (*call)(struct explorer *explorer, const char *argument),
                          const char *argument);

/* A key as the bottom line and the help show it. */
struct key_hint {
    const char *keys; /* "←→" */
    const char *what; /* "change": for the bottom line; NULL: only in the help */
    const char *help; /* a sentence for the help */
    uint32_t key;     /* what a click on it presses; 0: nothing */
};

enum handled { NOT_HANDLED, HANDLED };

struct view {
    const char *name;             /* "main": one word, for the line of views */
    const char *title;            /* "Settings and what they withstand" */
    uint32_t key;                 /* the character that opens it */
    const char *about;            /* a paragraph for the help */
    const struct key_hint *hints; /* ends with a row of NULLs */

    void *(*open)(struct explorer *explorer); /* NULL when memory runs out */
    void (*close)(void *state);
    /* Before every drawing; compare explorer->revision to see whether the scenario is another. */
    void (*update)(struct explorer *explorer, void *state);
    void (*draw)(const struct explorer *explorer, const void *state, struct grid *grid,
                 struct rect area);
    enum handled (*handle)(struct explorer *explorer, void *state, const struct event *event,
                           struct rect area, struct effect *effect);

    /* The rest may be NULL. */
    void (*leave)(void *state); /* another view is shown from now on */
    bool (*busy)(const void *state);
    /* A line or two of plain words about what is selected. */
    void (*words)(const struct explorer *explorer, const void *state, struct text *out);
    /* A longer explanation of what is selected, for `i`. */
    void (*explain)(const struct explorer *explorer, const void *state, struct text *out);
    /* The picture shown, for export as a figure; false: none. The caller frees it. */
    bool (*picture)(const struct explorer *explorer, const void *state, struct picture *out);
    /* Shows the picture of this name (pictures.c) from now on, for lessons; false: not one of
     * its own. */
    bool (*show)(void *state, const char *picture);
    /* True while a typed character belongs to the view (a field is open), so that the explorer's
     * own keys rest. */
    bool (*typing)(const void *state);
};

enum overlay { OVERLAY_NONE, OVERLAY_HELP, OVERLAY_EXPLAIN, OVERLAY_PROMPT, OVERLAY_QUESTION };

struct prompt {
    char label[96];
    struct field field;
    struct effect (*done)(struct explorer *explorer, const char *text);
};

#define VIEWS_MAX 12

struct explorer {
    struct profile profile;
    char path[FIELD_BYTES]; /* of the profile; "": none yet */
    struct scenario *saved; /* owned: what was opened or saved last */
    bool changed;           /* against that */
    unsigned revision;      /* grows with every change of the scenario */
    struct history history;

    bool report_known; /* else `fault` says why there is none */
    struct report report;
    struct fault fault;

    struct scenario *pinned; /* owned; NULL: nothing pinned */
    struct report pinned_report;

    int view;
    void *view_state[VIEWS_MAX]; /* NULL: not yet opened */

    enum overlay overlay;
    int overlay_scroll;
    struct prompt prompt;

    char message[256];
    enum role message_role;

    struct lesson_run *lesson; /* owned; NULL: none is played */

    int rows, columns;
    bool ascii;
    bool leave; /* the program ends as soon as what was asked of the outside is done */
};

/* ---- For views. ---- */

/* Takes over another scenario: checked, undoable. False when it is refused; then the message says
 * why and nothing has changed. */
bool explorer_change(struct explorer *explorer, const struct scenario *next);

void explorer_say(struct explorer *explorer, enum role role, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void explorer_say_fault(struct explorer *explorer, const struct fault *fault);
void explorer_say_file_fault(struct explorer *explorer, const char *path,
                             const struct fault *fault);

/* Opens a line to type in; `done` gets the text when Enter is pressed. */
void explorer_ask(struct explorer *explorer, const char *label, const char *initial,
                  struct effect (*done)(struct explorer *explorer, const char *text));

/* Takes over a profile that was read, with nothing to undo; the explorer becomes its owner. */
void explorer_take_profile(struct explorer *explorer, struct profile *profile, const char *path);

/* What is there now counts as saved under this name. */
void explorer_mark_saved(struct explorer *explorer, const char *path);

/* Keeps the present mode as the one to compare with; or forgets the one that was kept. */
void explorer_pin(struct explorer *explorer);
void explorer_pin_scenario(struct explorer *explorer, const struct scenario *scenario);
void explorer_unpin(struct explorer *explorer);

/* Where things stand on the explorer's screen. */
struct layout explorer_layout(const struct explorer *explorer);

/* Shows another view; opens it where it was not yet. */
void explorer_show_view(struct explorer *explorer, int view);

/* ---- The chain. ---- */

/* NULL when memory runs out. Takes the profile over. `path` may be NULL. */
struct explorer *explorer_new(struct profile *profile, const char *path);
void explorer_free(struct explorer *explorer);

/* One event. Changes nothing outside. */
struct effect explorer_step(struct explorer *explorer, const struct event *event);

/* Draws everything into a grid, which is brought to the explorer's size. False: no memory. */
bool explorer_draw(struct explorer *explorer, struct grid *grid);

/* The explorer's own keys, for the bottom lines and the help; ends with a row of NULLs. The first
 * EXPLORER_KEYS_ALWAYS stand on the bottom whatever else does. */
#define EXPLORER_KEYS_ALWAYS 4
extern const struct key_hint explorer_keys[];

/* True while ticks are wanted. */
bool explorer_busy(const struct explorer *explorer);

/* ---- The table of views. ---- */
int view_count(void);
const struct view *view_row(int i);

extern const struct view view_main;
extern const struct view view_weigh;
extern const struct view view_read;
extern const struct view view_echo;
extern const struct view view_place;
extern const struct view view_prove;

#endif
