#ifndef EXPLORER_READ_STATE_H
#define EXPLORER_READ_STATE_H

#include "explorer/explorer.h"
#include "study/page/reading.h"

/* What the files of the reading view share. */

struct read_state {
    struct text bytes; /* the page as it came */
    bool pasting;
    bool stale; /* to be read again */
    bool read;  /* page and reading are there */
    struct page page;
    struct reading reading;
    struct weigh_space space;
    int plp; /* -1: the first */
    int selected, first;
    int scroll; /* rows of the answer that are left out */
};

/* The list's rows, in this order. */
enum read_row_kind {
    READ_CONTRADICTION,
    READ_WRONG,
    READ_ENTRY,
    READ_UNREAD,
    READ_MISSING,
    READ_KIND_COUNT
};

struct read_row {
    enum read_row_kind kind;
    const struct page_entry *entry; /* of an entry */
    const char *line;               /* of the others */
};

int read_row_count(const struct read_state *state);
struct read_row read_row(const struct read_state *state, int row);

struct read_layout {
    struct rect list, divider, answer;
};
struct read_layout read_layout(struct rect area);

void read_draw(const struct explorer *explorer, const void *state, struct grid *grid,
               struct rect area);
void read_words(const struct explorer *explorer, const void *state, struct text *out);
void read_long_words(const struct explorer *explorer, const void *state, struct text *out);

#endif
