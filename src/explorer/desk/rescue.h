#ifndef EXPLORER_DESK_RESCUE_H
#define EXPLORER_DESK_RESCUE_H

#include <stdio.h>

#include "explorer/desk/desk.h"

/* When the program is made to end (SIGTERM, a vanished terminal), unsaved changes are kept in
 * $XDG_STATE_HOME/guardspan/unsaved.ini (by default below ~/.local/state). Nothing else is written
 * outside what the user names. */

void rescue_unsaved(const struct desk *desk, FILE *err);

/* Says so when such a file lies there from an earlier run. */
void rescue_mention(struct desk *desk);

#endif
