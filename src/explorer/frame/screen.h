#ifndef EXPLORER_FRAME_SCREEN_H
#define EXPLORER_FRAME_SCREEN_H

#include "explorer/explorer.h"

/* Pieces that views draw with. */

/* Writes a text into `width` columns; what does not fit ends at a word with "…". */
int screen_fit(struct grid *grid, int row, int column, int width, enum role role, const char *text);

/* Right-aligned in `width` columns. */
void screen_right(struct grid *grid, int row, int column, int width, enum role role,
                  const char *text);

/* Fills with blanks of a role. */
void screen_fill(struct grid *grid, struct rect area, enum role role);

/* A rule of one row with words in it, a divider of one column. */
void screen_rule(struct grid *grid, struct rect area, const char *words);
void screen_divider(struct grid *grid, struct rect area);

/* A wrapped text of which the first `skip` rows are left out. Returns the rows of the whole. */
int screen_text(struct grid *grid, struct rect area, enum role role, const char *text, int skip);

/* The key that a click on the bottom line presses; 0 for none. */
uint32_t screen_key_at(const struct explorer *explorer, int row, int column);

/* A list of rows of which one is selected and not all fit: moves `first` so that the selected one
 * is seen. */
int screen_scroll(int first, int selected, int count, int rows);

#endif
