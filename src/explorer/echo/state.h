#ifndef EXPLORER_ECHO_STATE_H
#define EXPLORER_ECHO_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/echo/edit.h"
#include "explorer/echo/sweeps.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/gallery.h"
#include "explorer/frame/layout.h"

/* The state of the echo editor: what is selected, and pictures of the verdicts on the desk. */

enum echo_picture {
    ECHO_PICTURE_RAYS,
    ECHO_PICTURE_CARRIERS,
    ECHO_PICTURE_MARGINS,
    ECHO_PICTURE_TOLERATED,
    ECHO_PICTURE_TIME,
    ECHO_PICTURES
};

struct echo_state {
    struct cursor cursor; /* of the SNR and the echoes below it */
    enum echo_column column;
    struct cursor account;  /* at: how many of the account's rows are left out above */
    struct gallery gallery; /* at: enum echo_picture */

    unsigned judged; /* the verdicts (desk->judged) that the pictures show */
    bool made[2];
    struct picture pictures[2]; /* rays, carriers */
    struct echo_sweep sweeps[SWEEP_KINDS];
};

void echo_update(struct desk *desk, void *state, struct rect area);
void echo_forget_pictures(struct echo_state *state);
bool echo_is_busy(const struct echo_state *state);

/* The selected row as edit.h counts: an echo or ECHO_ROW_SNR. */
int echo_selected(const struct echo_state *state);

/* A picture of the gallery; NULL: not (yet) to be had. */
const struct picture *echo_picture_of(const struct echo_state *state, int which);

/* Rows below the accounts, where there are several PLPs: the margin of each. */
int echo_plps(const struct desk *desk);

/* The list at the left and the accounts at the right; one above the other where it is narrow. */
struct main_layout echo_layout(struct rect area);

#endif
