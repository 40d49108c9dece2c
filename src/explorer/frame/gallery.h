#ifndef EXPLORER_FRAME_GALLERY_H
#define EXPLORER_FRAME_GALLERY_H

#include "present/picture/pictures.h"

/* The pictures that a view turns through, each by its row in the table of kinds. */

#define GALLERY_MAX 8

struct gallery {
    const struct picture_kind *kinds[GALLERY_MAX];
    int zooms[GALLERY_MAX]; /* steps, as picture_zoom has them */
    int count, at;
};

/* Kinds of these names; all kinds that belong to this view. */
void gallery_add(struct gallery *gallery, const char *const *names, int count);
void gallery_add_of_view(struct gallery *gallery, const char *view);

void gallery_turn(struct gallery *gallery, int by);
int gallery_second(const struct gallery *gallery); /* shown beside the first one */

/* Brings what is shown nearer (`by` 1) or takes it farther off (-1), as far as there is sense in
 * it. */
void gallery_zoom(struct gallery *gallery, int by);

/* A picture of the gallery as near as it is shown. */
void gallery_draw(const struct gallery *gallery, int which, const struct picture *picture,
                  struct grid *grid, struct rect area);

/* Shows the picture of this name from now on; false: not one of these. */
bool gallery_show(struct gallery *gallery, const char *name);

/* The rule above the picture, or two: what there is, what is shown, and a note ("": none). */
void gallery_rule(const struct gallery *gallery, bool two, const char *note, struct grid *grid,
                  struct rect rule);

#endif
