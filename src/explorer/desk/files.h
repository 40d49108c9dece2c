#ifndef EXPLORER_DESK_FILES_H
#define EXPLORER_DESK_FILES_H

#include "explorer/desk/desk.h"

/* Opening and saving: the questions, and the effects that do the work. */

/* Opens the profile of this name (call->text), with nothing to undo. */
void files_open(const struct call *call);
void files_ask_save(struct desk *desk);

/* Saves under the name that was opened; asks for one when there is none, and before what somebody
 * else has written there meanwhile is lost. */
void files_save(struct desk *desk);

/* Leaves; asks when something would be lost. */
void files_leave(struct desk *desk);

/* False, and said, where a typed name is missing or would destroy a file that was not opened. */
bool files_may_write(struct desk *desk, const char *path);

#endif
