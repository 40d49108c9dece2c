/* Where the rows of the main view stand. */
#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "explorer/main/pictures.h"
#include "explorer/main/state.h"

int main_row_count(enum focus focus)
{
    return focus == FOCUS_SETTINGS ? setting_count() : quantity_count();
}

static const char *group_of(enum focus focus, int i)
{
    return focus == FOCUS_SETTINGS ? setting_row(i)->group : quantity_row(i)->group;
}

/* ---- Rows: with a heading for each group where the height allows, else rows only. ---- */

/* Every row under its heading, with blank lines between the groups or without. */
static int lines_with_headings(enum focus focus, bool blanks, struct line *lines)
{
    int count = 0;
    const char *group = NULL;
    for (int i = 0; i < main_row_count(focus); i++) {
        if (group_of(focus, i) != group) {
            group = group_of(focus, i);
            if (count > 0 && blanks) {
                lines[count++] = (struct line){.row = -2};
            }
            lines[count++] = (struct line){.row = -1, .heading = group};
        }
        lines[count++] = (struct line){.row = i};
    }
    return count;
}

/* The lines of a panel of `height` lines, its own head line not counted. */
int main_lines(enum focus focus, int height, int first, struct line *lines)
{
    int count = lines_with_headings(focus, true, lines);
    if (count > height) {
        count = lines_with_headings(focus, false, lines);
    }
    if (count <= height) {
        return count;
    }
    count = 0;
    for (int i = first; i < main_row_count(focus) && count < height; i++) {
        lines[count++] = (struct line){.row = i};
    }
    return count;
}

struct rect main_panel(const struct main_layout *layout, enum focus focus)
{
    return focus == FOCUS_SETTINGS || layout->one_panel ? layout->settings : layout->quantities;
}

struct rect main_track(struct rect panel)
{
    int value_end = 1 + 14 + (panel.columns >= 44 ? 12 : 10);
    return (struct rect){panel.row, panel.column + value_end + 1, 1,
                         panel.columns - value_end - 2 > 12 ? panel.columns - value_end - 2 : 12};
}

#define TRACK_MOST 16

int main_track_width(struct rect panel)
{
    int columns = main_track(panel).columns;
    return columns > TRACK_MOST ? TRACK_MOST : columns;
}

int main_second_picture(int picture)
{
    return (picture + 1) % main_picture_count();
}
