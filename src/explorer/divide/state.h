#ifndef EXPLORER_DIVIDE_STATE_H
#define EXPLORER_DIVIDE_STATE_H

#include "explorer/desk/errand.h"
#include "explorer/frame/editor.h"
#include "explorer/frame/gallery.h"
#include "present/picture/picture.h"
#include "study/divide/divide.h"

/* The state of the view of divisions: the services, what was found for them beside the interface,
 * and pictures of it. */

/* What a worker is asked and answers: a box of the errand. */
struct divide_answer {
    struct scenario scenario;
    enum status status; /* STATUS_OK, or `fault` says why there are none */
    struct fault fault;
    struct divisions divisions;
    struct picture rates; /* of two services by division; empty: none could be made */
};

enum divide_page { PAGE_DETAILS, PAGE_FRAME, PAGE_RATES, PAGE_COUNT };

struct divide_state {
    struct editor editor;   /* first: its keys' functions find it here */
    bool in_table;          /* the divisions have the keys, else the editor */
    struct cursor division; /* of the divisions found */
    int sideways;           /* columns of the tables that are moved out of sight */
    enum divide_page page;
    struct errand errand;
    unsigned revision; /* asked for */
    bool stopped;      /* by hand: until something changes, or it is begun again */
    struct picture frame;
    const struct divide_answer *framed; /* what it was made of */
    int framed_division;
};

void divide_open(struct divide_state *state);
void divide_close(struct divide_state *state);
void divide_update(struct desk *desk, void *state, struct rect area);
/* Rows of the services on the desk now. */
void divide_follow(const struct desk *desk, struct divide_state *state);

/* Asks for the divisions of what is on the desk; stops asking. */
void divide_begin(const struct desk *desk, struct divide_state *state);
void divide_stop(struct divide_state *state);

/* The last answer, though it be of other services; NULL: none yet. */
const struct divide_answer *divide_last(const struct divide_state *state);
/* The selected division of what is on the desk; NULL: there is none, or it is not yet known. */
const struct division *divide_selected(const struct divide_state *state);

/* Services at the top, divisions below them, then the page; on tall screens the details, and
 * pictures below. */
struct divide_layout {
    struct rect list, divider, values, head, table, rule, details, picture_rule, picture;
};
struct divide_layout divide_layout(const struct divide_state *state, struct rect area);

const struct picture *divide_picture(const struct divide_state *state);

#endif
