#ifndef EXPLORER_ECHO_STATE_H
#define EXPLORER_ECHO_STATE_H

#include "explorer/echo/edit.h"
#include "explorer/echo/sweeps.h"
#include "explorer/explorer.h"

/* What the files of the echo editor share. */

enum echo_picture {
    ECHO_PICTURE_RAYS,
    ECHO_PICTURE_CARRIERS,
    ECHO_PICTURE_MARGINS,
    ECHO_PICTURE_TOLERATED,
    ECHO_PICTURES
};

struct echo_state {
    int selected; /* row: ECHO_ROW_SNR or an echo */
    int first;    /* the first echo shown */
    enum echo_field field;
    bool editing;
    struct field typed;
    enum echo_picture picture;

    unsigned revision; /* of what follows */
    bool known;        /* else `fault` says why not */
    struct echo_study study;
    struct fault fault;
    bool made[2];
    struct picture pictures[2]; /* rays, carriers */
    struct echo_sweeps sweeps;
};

/* Echo whose sweep of margins is shown: the selected one, or the first; -1: there is none. */
int echo_swept(const struct echo_state *state, const struct scenario *scenario);

/* The picture shown and the one beside it; NULL: not (yet) to be had. */
const struct picture *echo_picture_of(const struct echo_state *state, enum echo_picture which);
enum echo_picture echo_second_picture(const struct echo_state *state);

/* Rows of the list of echoes that fit into its panel, and the panel's columns of fields. */
int echo_list_rows(struct rect panel);
enum echo_field echo_field_at(struct rect panel, int column);

void echo_draw(const struct explorer *explorer, const void *state, struct grid *grid,
               struct rect area);
void echo_words(const struct explorer *explorer, const void *state, struct text *out);
void echo_explain(const struct explorer *explorer, const void *state, struct text *out);

#endif
