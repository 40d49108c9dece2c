#ifndef EXPLORER_DESK_FOLDERS_H
#define EXPLORER_DESK_FOLDERS_H

#include <stdbool.h>
#include <stddef.h>

/* Folders that a user has for what programs keep (XDG base directories). */

/* "$VARIABLE/guardspan/FILE", or "$HOME/OTHERWISE/guardspan/FILE" where the variable names no
 * folder; false where there is no home or no room. */
bool folder_of_user(const char *variable, const char *otherwise, const char *file, char *path,
                    size_t size);

/* Makes the folders above a file. */
void folders_make(char *path);

#endif
