#ifndef EXPLORER_DESK_LIKES_H
#define EXPLORER_DESK_LIKES_H

#include "explorer/desk/desk.h"

/* What the user likes (desk->likes) lies in $XDG_CONFIG_HOME/guardspan/explorer.ini, by default
 * below ~/.config. A damaged file is said and ignored. Nothing of it is read or written where the
 * explorer draws without a terminal. */

void likes_open(struct desk *desk);

/* Keeps what has been changed in desk->likes, as an effect; says what of it. */
void likes_keep(struct desk *desk, const char *what);

#endif
