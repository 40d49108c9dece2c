#ifndef EXPLORER_DESK_OFFER_H
#define EXPLORER_DESK_OFFER_H

#include "base/text.h"
#include "explorer/event.h"

/* A list to choose from beside typing: shown are the rows that have every word typed, in their name
 * or in what is said of them, those with all of them in the name first. Starts zeroed. */

struct offered {
    char name[80];
    char what[260]; /* a line about it */
    char *text;     /* what is handed on when it is taken; owned; NULL: the name */
};

struct offer {
    struct offered *rows; /* owned */
    int count, capacity;
    bool failed; /* no memory: a row is missing */

    bool or_typed; /* what is typed may be taken itself: a file's name */
    int *shown;    /* owned: the rows that are shown */
    int shown_count;
    int at; /* of those shown: the selected one */
};

void offer_add(struct offer *offer, const char *name, const char *what, const char *text);
void offer_free(struct offer *offer);

/* Shows what has all the words typed, from the first on. */
void offer_match(struct offer *offer, const char *typed);

/* The n-th row shown; NULL: there is none. */
const struct offered *offer_row(const struct offer *offer, int n);

/* What is taken of it when `typed` is in the line. */
const char *offer_taken(const struct offer *offer, const char *typed);

#endif
