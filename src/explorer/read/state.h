#ifndef EXPLORER_READ_STATE_H
#define EXPLORER_READ_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/desk/errand.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/layout.h"
#include "study/reading/reading.h"

/* The state of the reading view: the page as it came, and what was read of it. */

struct read_state {
    struct text bytes; /* the page as it came */
    bool pasting;
    bool stale;            /* to be read again */
    struct errand picture; /* letters of a picture, read beside the interface */
    bool read;             /* page and reading are there */
    struct page page;
    struct reading reading;
    struct page_lines wrong; /* what cannot be; owned */
    struct weigh_space space;
    int plp; /* -1: the first */
    struct cursor rows;
    struct text answer;   /* what follows from the page, or what to do */
    struct cursor scroll; /* at: how many of the answer's rows are left out above */
};

void read_update(struct desk *desk, void *state, struct rect area);

/* A page as it came in a file: takes the bytes over. A picture's letters come from beside. */
void read_take(struct desk *desk, struct read_state *state, const char *path, struct text *bytes);

/* Forgets what was read; the page stays. */
void read_forget(struct read_state *state);

/* The list's rows, in this order. */
enum read_row_kind {
    READ_CONTRADICTION,
    READ_ENTRY,
    READ_UNREAD,
    READ_MISSING,
    READ_ASSUMED,
    READ_KIND_COUNT
};

struct read_row {
    enum read_row_kind kind;
    const struct page_entry *entry; /* of an entry */
    const char *line;               /* of the others */
};

struct read_row read_row(const struct read_state *state, int row);

/* The list's first row is its head; the answer has a column of its own to the left. */
struct read_layout {
    struct rect list, divider, answer;
};
struct read_layout read_layout(struct rect area);

#endif
