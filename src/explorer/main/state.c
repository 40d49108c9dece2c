/* Where the main view's rows stand, and its pictures. */
#include "explorer/main/state.h"

#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"

int main_row_count(enum focus focus)
{
    return focus == FOCUS_SETTINGS ? setting_count() : quantity_count();
}

static const char *group_of(enum focus focus, int i)
{
    return focus == FOCUS_SETTINGS ? setting_group(i) : quantity_row(i)->group;
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

#define HEADINGS_FROM 30 /* lines: on shorter panels a list that does not fit has rows only */

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
    const char *group = height < HEADINGS_FROM ? group_of(focus, first) : NULL;
    count = 0;
    for (int i = first; i < main_row_count(focus) && count < height; i++) {
        if (height >= HEADINGS_FROM && group_of(focus, i) != group) {
            group = group_of(focus, i);
            if (count + 2 > height) {
                break; /* no heading without a row below it */
            }
            lines[count++] = (struct line){.row = -1, .heading = group};
        }
        lines[count++] = (struct line){.row = i};
    }
    return count;
}

/* How many rows are seen at least, wherever the list begins. */
static int rows_seen(enum focus focus, int height)
{
    struct line lines[LINES_MAX];
    int all = lines_with_headings(focus, false, lines);
    return all > height && height >= HEADINGS_FROM ? height - (all - main_row_count(focus))
                                                   : height;
}

struct rect main_panel(const struct main_layout *layout, enum focus focus)
{
    return focus == FOCUS_SETTINGS || layout->one_panel ? layout->settings : layout->quantities;
}

void main_row_name(enum focus focus, int row, char *buffer, size_t size)
{
    if (focus == FOCUS_SETTINGS) {
        struct value value = setting_value(row);
        value_name(&value, buffer, size);
    } else {
        quantity_name(row, buffer, size);
    }
}

/* ---- Pictures. ---- */

bool main_picture_make(const struct picture_kind *kind, const struct desk *desk,
                       struct picture *out)
{
    const struct picture_case shown = {.scenario = &desk->profile.scenario,
                                       .report = &desk->report,
                                       .pinned = desk->pinned ? &desk->pinned_report : NULL};
    *out = (struct picture){0};
    return desk->report_known && picture_kind_make(kind, &shown, out);
}

void main_forget_pictures(struct main_state *state)
{
    for (int i = 0; i < GALLERY_MAX; i++) {
        picture_free(&state->pictures[i]);
        state->pictures_made[i] = false;
    }
}

static void keep_picture(const struct desk *desk, struct main_state *state, int which)
{
    if (!state->pictures_made[which]) {
        state->pictures_made[which] = true;
        main_picture_make(state->gallery.kinds[which], desk, &state->pictures[which]);
    }
}

void main_update(struct desk *desk, void *opaque, struct rect area)
{
    struct main_state *state = opaque;
    struct main_layout layout = layout_main(area);
    for (int focus = 0; focus < 2; focus++) {
        cursor_fit(&state->cursors[focus], main_row_count((enum focus)focus),
                   rows_seen((enum focus)focus, main_panel(&layout, (enum focus)focus).rows - 1));
    }
    if (state->revision != desk->revision || state->judged != desk->judged) {
        main_forget_pictures(state);
        state->revision = desk->revision;
        state->judged = desk->judged;
    }
    if (layout.picture.rows > 0) {
        keep_picture(desk, state, state->gallery.at);
    }
    if (layout.second_picture.columns > 0) {
        keep_picture(desk, state, gallery_second(&state->gallery));
    }
}
