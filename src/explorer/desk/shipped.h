#ifndef EXPLORER_DESK_SHIPPED_H
#define EXPLORER_DESK_SHIPPED_H

#include "explorer/desk/offer.h"

/* The scenarios and lessons that come with the program, with the line that each opens with. */

/* The folder that has them: of the installed program, or of the tree it was built in; false: none
 * is found. */
bool shipped_folder(char *path, size_t size);

/* Offers what lies in a folder like that; the names of lessons begin with "Lesson: ". What is
 * handed on is the file's path. */
void shipped_offer_profiles(const char *folder, struct offer *offer);
void shipped_offer_lessons(const char *folder, struct offer *offer);

/* True of a path that shipped_offer_lessons has given. */
bool shipped_is_lesson(const char *path);

#endif
