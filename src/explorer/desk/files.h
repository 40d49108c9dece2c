#ifndef EXPLORER_DESK_FILES_H
#define EXPLORER_DESK_FILES_H

#include "explorer/explorer.h"

/* Opening, saving and exporting: the questions, and the effects that do the work. */

void files_ask_open(struct explorer *explorer);
void files_ask_save(struct explorer *explorer);
void files_ask_export(struct explorer *explorer);

/* Saves under the name that was opened; asks for one when there is none. */
struct effect files_save(struct explorer *explorer);
struct effect files_save_and_leave(struct explorer *explorer);

#endif
