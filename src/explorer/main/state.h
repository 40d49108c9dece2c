#ifndef EXPLORER_MAIN_STATE_H
#define EXPLORER_MAIN_STATE_H

#include "explorer/desk/desk.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/gallery.h"
#include "explorer/frame/layout.h"

/* The state of the main view: where its rows stand, and its pictures. */

enum focus { FOCUS_SETTINGS, FOCUS_QUANTITIES };

struct main_state {
    enum pair pair; /* whose settings are listed: the desk's */
    enum focus focus;
    struct cursor cursors[2]; /* by focus */
    struct gallery gallery;
    int plps;                         /* rows of PLPs before the figures */
    unsigned revision, judged, piped; /* of what the pictures show */
    bool pictures_made[GALLERY_MAX];
    struct picture pictures[GALLERY_MAX];
};

void main_update(struct desk *desk, void *state, struct rect area);
void main_forget_pictures(struct main_state *state);

/* ---- Rows. ---- */

#define LINES_MAX 192

/* A line of a panel. */
struct line {
    int row; /* of the settings or quantities; -1: a heading, -2: a blank line */
    const char *heading;
};

/* The lines of a panel of `height` lines, its own head line not counted: under headings where the
 * height allows, else rows only, from the first one that is seen on. */
int main_lines(const struct main_state *state, enum focus focus, int height, struct line *lines);
int main_row_count(const struct main_state *state, enum focus focus);

/* The first rows of the figures, where there are several PLPs: the margin of each. */
int main_plps(const struct desk *desk);

/* The name that explanations and lessons know a row by: "mode.guard", "second.echo_us". */
void main_row_name(const struct main_state *state, enum focus focus, int row, char *buffer,
                   size_t size);

struct rect main_panel(const struct main_layout *layout, enum focus focus);

/* ---- Pictures. ---- */

/* False when there is nothing to show or memory runs out. The caller frees the picture. */
bool main_picture_make(const struct picture_kind *kind, const struct desk *desk,
                       struct picture *out);

#endif
