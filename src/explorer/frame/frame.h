#ifndef EXPLORER_FRAME_FRAME_H
#define EXPLORER_FRAME_FRAME_H

#include "explorer/explorer.h"

/* The whole screen: title, view, words, keys, and the boxes that may lie over the view. */

/* Brings what is shown up to date with the desk and the size; after every change. */
void explorer_update(struct explorer *explorer);

/* Draws everything into a grid, which is brought to the explorer's size. False: no memory. */
bool explorer_draw(const struct explorer *explorer, struct grid *grid);

/* The key that a click on the bottom lines presses; 0 for none. */
uint32_t frame_key_at(const struct explorer *explorer, int row, int column);

/* ---- Its parts. ---- */

/* The keys at the bottom: hints.c */
void frame_draw_keys(const struct explorer *explorer, struct grid *grid, struct rect area);

/* What lies over the view: boxes.c. The page of help or explanation is made before it is drawn. */
void frame_update_page(struct explorer *explorer, struct rect body);
void frame_draw_boxes(const struct explorer *explorer, struct grid *grid, struct rect body);

/* The row of the list to choose from that stands there; -1: none. */
int frame_offer_at(struct rect body, const struct offer *offer, int row, int column);

/* "Not everything is saved": where there is no room for a box. */
void frame_draw_too_small(const struct explorer *explorer, struct grid *grid, struct rect area);

#endif
