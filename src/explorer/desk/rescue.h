#ifndef EXPLORER_DESK_RESCUE_H
#define EXPLORER_DESK_RESCUE_H

#include <stdio.h>

#include "explorer/desk/desk.h"

/* When the program is made to end (SIGTERM, a vanished terminal), unsaved changes are kept in
 * $XDG_STATE_HOME/guardspan/unsaved.ini (by default below ~/.local/state). The next run mentions
 * them once, and keeps them there under another name until they are saved. */

void rescue_unsaved(const struct desk *desk, FILE *err);

/* Says so when such work lies there from an earlier run and has not been mentioned yet. */
void rescue_mention(struct desk *desk);

/* Where unsaved work of an earlier run lies; false: there is none. */
bool rescue_find(char *path, size_t size);

/* Takes it over as what it was: not saved, and without a name. */
void rescue_open(const struct call *call);

/* Unsaved work that was opened lies in a file of the user's now. */
void rescue_is_saved(struct desk *desk);

#endif
