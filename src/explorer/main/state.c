/* Where the main view's rows stand, and its pictures. */
#include "explorer/main/state.h"

#include "explorer/desk/quantities.h"
#include "explorer/desk/settings.h"
#include "system/system.h"

int main_row_count(const struct main_state *state, enum focus focus)
{
    return focus == FOCUS_SETTINGS ? setting_count(state->pair) : state->plps + quantity_count();
}

static const char *group_of(const struct main_state *state, enum focus focus, int i)
{
    static const char plps[] = "Margins of the PLPs";
    return focus == FOCUS_SETTINGS ? setting_group(i, state->pair)
           : i < state->plps       ? plps
                                   : quantity_row(i - state->plps)->group;
}

int main_plps(const struct desk *desk)
{
    const struct scenario *scenario = &desk->profile.scenario;
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    int count = system->pipes != NULL ? system->pipes(scenario) : 0;
    return count > 1 ? count : 0;
}

/* ---- Rows: with a heading for each group where the height allows, else rows only. ---- */

/* Every row under its heading, with blank lines between the groups or without. */
static int lines_with_headings(const struct main_state *state, enum focus focus, bool blanks,
                               struct line *lines)
{
    int count = 0;
    const char *group = NULL;
    for (int i = 0; i < main_row_count(state, focus); i++) {
        if (group_of(state, focus, i) != group) {
            group = group_of(state, focus, i);
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
int main_lines(const struct main_state *state, enum focus focus, int height, struct line *lines)
{
    int count = lines_with_headings(state, focus, true, lines), first = state->cursors[focus].first;
    if (count > height) {
        count = lines_with_headings(state, focus, false, lines);
    }
    if (count <= height) {
        return count;
    }
    const char *group = height < HEADINGS_FROM ? group_of(state, focus, first) : NULL;
    count = 0;
    for (int i = first; i < main_row_count(state, focus) && count < height; i++) {
        if (height >= HEADINGS_FROM && group_of(state, focus, i) != group) {
            group = group_of(state, focus, i);
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
static int rows_seen(const struct main_state *state, enum focus focus, int height)
{
    struct line lines[LINES_MAX];
    int all = lines_with_headings(state, focus, false, lines);
    return all > height && height >= HEADINGS_FROM ? height - (all - main_row_count(state, focus))
                                                   : height;
}

struct rect main_panel(const struct main_layout *layout, enum focus focus)
{
    return focus == FOCUS_SETTINGS || layout->one_panel ? layout->settings : layout->quantities;
}

void main_row_name(const struct main_state *state, enum focus focus, int row, char *buffer,
                   size_t size)
{
    if (focus == FOCUS_SETTINGS) {
        struct value value = setting_value(row, state->pair);
        value_name(&value, buffer, size);
    } else if (row < state->plps) {
        text_format(buffer, size, "second.margin_db");
    } else {
        quantity_name(row - state->plps, buffer, size);
    }
}

/* ---- Pictures. ---- */

bool main_picture_make(const struct picture_kind *kind, const struct desk *desk,
                       struct picture *out)
{
    const struct picture_case shown = {.scenario = &desk->profile.scenario,
                                       .report = &desk->report,
                                       .pipes = desk_pipes(desk),
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
    state->pair = desk->profile.scenario.site.pair;
    state->plps = main_plps(desk);
    for (int focus = 0; focus < 2; focus++) {
        cursor_fit(
            &state->cursors[focus], main_row_count(state, (enum focus)focus),
            rows_seen(state, (enum focus)focus, main_panel(&layout, (enum focus)focus).rows - 1));
    }
    if (state->revision != desk->revision || state->judged != desk->judged ||
        state->piped != desk->piped) {
        main_forget_pictures(state);
        state->piped = desk->piped;
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
