#ifndef EXPLORER_FRAME_SCREEN_H
#define EXPLORER_FRAME_SCREEN_H

#include "explorer/desk/typing.h"
#include "present/picture/grid.h"

/* Pieces that views and the frame draw with. */

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

/* The mark before a selected row, or a blank. */
void screen_mark(struct grid *grid, int row, int column, bool selected);
/* The same of a list that has the keys or not: seen without colour. */
void screen_mark_in(struct grid *grid, int row, int column, bool selected, bool has_keys);

/* A line being typed: the end of the text that fits, with the cursor's cell marked. */
void screen_typing(struct grid *grid, int row, int column, int width, const struct typing *typing);

/* Writes a text from a cell of the area on (counted row by row), each word that does not fit into
 * the next row. Returns the cell after it. Words below the area are left out. */
int screen_flow(struct grid *grid, struct rect area, int cell, enum role role, const char *text);

/* A wrapped text of which the first `skip` rows are left out. Returns the rows of the whole. */
#define SCREEN_TEXT_ROWS 400
int screen_text(struct grid *grid, struct rect area, enum role role, const char *text, int skip);

/* A text of which what has no room is opened by `i`, which the last row says. */
void screen_text_or_key(struct grid *grid, struct rect area, const char *text);

/* What was drawn aside, without its first `skip` rows. */
void screen_copy(struct grid *grid, struct rect area, const struct grid *from, int skip);

#endif
