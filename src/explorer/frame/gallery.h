#ifndef EXPLORER_FRAME_GALLERY_H
#define EXPLORER_FRAME_GALLERY_H

#include "present/picture/pictures.h"

/* The pictures that a view turns through, each by its row in the table of kinds. */

#define GALLERY_MAX 8

struct gallery {
    const struct picture_kind *kinds[GALLERY_MAX];
    int count, at;
};

/* Kinds of these names; all kinds that belong to this view. */
void gallery_add(struct gallery *gallery, const char *const *names, int count);
void gallery_add_of_view(struct gallery *gallery, const char *view);

void gallery_turn(struct gallery *gallery, int by);
int gallery_second(const struct gallery *gallery); /* shown beside the first one */

/* Shows the picture of this name from now on; false: not one of these. */
bool gallery_show(struct gallery *gallery, const char *name);

/* The rule above the picture, or two: what there is, what is shown, and a note ("": none). */
void gallery_rule(const struct gallery *gallery, bool two, const char *note, struct grid *grid,
                  struct rect rule);

#endif
