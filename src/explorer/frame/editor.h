#ifndef EXPLORER_FRAME_EDITOR_H
#define EXPLORER_FRAME_EDITOR_H

#include "explorer/event.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/values.h"

/* The editor of sections that are repeated: a list of their items, and the values of the selected
 * one, by the table of fields. A view says which items there are and draws the list; it begins its
 * state with the editor, so that the keys' functions below find it. */

#define EDITOR_ROWS_MAX 96

struct editor_row {
    const struct section *section;
    int item;  /* -1: none stands there yet, and [mode] says the values */
    int depth; /* in the list */
};

struct editor {
    bool inside; /* the values have the keys, else the list */
    int count;
    struct editor_row rows[EDITOR_ROWS_MAX];
    struct cursor items, values;
};

/* The rows anew: begin, add each. Then both lists are fitted to their panels. */
void editor_begin(struct editor *editor);
void editor_add(struct editor *editor, const struct section *section, int item, int depth);
void editor_fit(struct editor *editor, struct rect list, struct rect values);

/* NULL: there are no rows. */
const struct editor_row *editor_selected(const struct editor *editor);
void editor_select(struct editor *editor, const char *section, int item);
/* The value that is selected. False: there is none. */
bool editor_value(const struct editor *editor, struct value *value);

void editor_draw_values(const struct desk *desk, const struct editor *editor, struct grid *grid,
                        struct rect panel);
/* Marks a row of the list, which has the keys or not, and returns the role that it is written in.
 */
enum role editor_mark_row(const struct editor *editor, struct grid *grid, struct rect panel, int i,
                          bool has_keys);

/* ---- Functions of keys; call->owner is the state of the view. */
void editor_press_row(const struct call *call);    /* KEYS_OF_A_LIST */
void editor_press_side(const struct call *call);   /* Tab: to the values and back */
void editor_press_step(const struct call *call);   /* Right, Left */
void editor_press_type(const struct call *call);   /* a character or Enter */
void editor_press_forget(const struct call *call); /* Delete, of a value */

/* True where the event was on the list or the values. */
bool editor_mouse(struct desk *desk, struct editor *editor, const struct event *event,
                  struct rect list, struct rect values);

#endif
