#ifndef EXPLORER_MAIN_STATE_H
#define EXPLORER_MAIN_STATE_H

#include "explorer/explorer.h"
#include "explorer/main/pictures.h"

/* What the files of the main view share: its state, and where its rows stand. */

enum focus { FOCUS_SETTINGS, FOCUS_QUANTITIES };

struct main_state {
    enum focus focus;
    int selected[2]; /* by focus */
    int first[2];    /* the first row shown, by focus */
    int picture;
    bool editing;
    struct field field;
    unsigned revision; /* of the scenario that the pictures show */
    bool pictures_made[MAIN_PICTURES_MAX];
    struct picture pictures[MAIN_PICTURES_MAX];
};

int main_row_count(enum focus focus);

#define LINES_MAX 80

/* A line of a panel. */
struct line {
    int row; /* of the settings or quantities; -1: a heading, -2: a blank line */
    const char *heading;
};

/* The lines of a panel of `height` lines, its own head line not counted: under headings where the
 * height allows, else rows only, from `first` on. */
int main_lines(enum focus focus, int height, int first, struct line *lines);

struct rect main_panel(const struct main_layout *layout, enum focus focus);

/* The scale of a setting in its panel, and how many of its columns are used. */
struct rect main_track(struct rect panel);
int main_track_width(struct rect panel);

/* The picture beside the first one. */
int main_second_picture(int picture);

/* Selects a row by name; what is not there changes nothing. */
void main_select(struct explorer *explorer, const char *name);

/* struct view's functions that draw. */
void main_draw(const struct explorer *explorer, const void *state, struct grid *grid,
               struct rect area);
void main_words(const struct explorer *explorer, const void *state, struct text *out);
void main_explain(const struct explorer *explorer, const void *state, struct text *out);

#endif
