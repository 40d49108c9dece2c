#ifndef EXPLORER_MAIN_PICTURES_H
#define EXPLORER_MAIN_PICTURES_H

#include "explorer/explorer.h"

/* The pictures of the main view. */

#define MAIN_PICTURES_MAX 8
int main_picture_count(void);
const char *main_picture_name(int which); /* "delays" */

/* False when there is nothing to show or memory runs out. The caller frees the picture. */
bool main_picture_make(int which, const struct explorer *explorer, struct picture *out);

#endif
