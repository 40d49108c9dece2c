/* Rows of values: their scales drawn, and hit where they were drawn. */
#include "explorer/frame/values.h"

#include <math.h>

#include "explorer/frame/screen.h"

/* The scale in its panel, and how many of its columns are used. */
static struct rect values_track(struct rect panel)
{
    int value_end = 1 + 14 + (panel.columns >= 44 ? 12 : 10);
    return (struct rect){panel.row, panel.column + value_end + 1, 1,
                         panel.columns - value_end - 2 > 12 ? panel.columns - value_end - 2 : 12};
}

#define TRACK_MOST 16

static int values_track_width(struct rect panel)
{
    int columns = values_track(panel).columns;
    return columns > TRACK_MOST ? TRACK_MOST : columns;
}

/* The first choice shown: the present one is in sight. */
static int first_choice(const struct choices *choices, int width)
{
    return choices->at >= width ? choices->at - width + 1 : 0;
}

static void draw_track(const struct scenario *scenario, struct grid *grid, int row,
                       struct rect panel, const struct value *value, enum role role)
{
    int column = values_track(panel).column, width = values_track_width(panel);
    if (value_kind(value) == VALUE_TYPED) {
        return;
    }
    if (value_kind(value) == VALUE_NUMBER) {
        double share = value_position(value, scenario);
        int at = isnan(share) ? -1 : (int)lround(share * (width - 1));
        for (int i = 0; i < width; i++) {
            grid_put(grid, row, column + i, i == at ? 0x25CF : 0x00B7, role);
        }
        return;
    }
    struct choices choices;
    value_choices(value, scenario, &choices);
    int from = first_choice(&choices, width);
    for (int i = from; i < choices.count && i - from < width; i++) {
        grid_put(grid, row, column + i - from, i == choices.at ? 0x25CF : 0x25CB, role);
    }
}

void values_draw_row(const struct desk *desk, struct grid *grid, struct rect panel, int row,
                     const struct value *value, bool selected)
{
    const struct scenario *scenario = &desk->profile.scenario;
    if (selected) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
        screen_mark(grid, row, panel.column, true);
    }
    char label[32];
    value_label(value, label, sizeof label);
    int width = (int)text_columns(label), end = values_track(panel).column - 1;
    grid_write(grid, row, panel.column + 1, -1, selected ? ROLE_SELECTED : ROLE_PLAIN, label);
    int column = panel.column + 1 + width + 1;
    end = value_kind(value) == VALUE_TYPED ? panel.column + panel.columns - 1 : end;
    if (selected && desk_types_in_place(desk)) {
        screen_typing(grid, row, column, end - column, &desk->prompt.typing);
    } else {
        char text[FIELD_TEXT_BYTES + 16];
        value_text(value, scenario, text, sizeof text);
        int room = end - column, start = column;
        if (value_kind(value) == VALUE_TYPED) {
            start = panel.column + 16;
            room = end - start;
        }
        if ((int)text_columns(text) > room) {
            screen_fit(grid, row, start, room, selected ? ROLE_SELECTED : ROLE_TITLE, text);
        } else if (value_kind(value) == VALUE_TYPED) {
            grid_write(grid, row, start, room, selected ? ROLE_SELECTED : ROLE_TITLE, text);
        } else {
            screen_right(grid, row, start, room, selected ? ROLE_SELECTED : ROLE_TITLE, text);
        }
    }
    draw_track(scenario, grid, row, panel, value, selected ? ROLE_SELECTED : ROLE_DIM);
}

void values_click(struct desk *desk, struct rect panel, int column, const struct value *value)
{
    int at = column - values_track(panel).column, width = values_track_width(panel);
    if (at < 0 || at >= width) {
        return;
    }
    if (value_kind(value) == VALUE_NUMBER) {
        edit_set_share(desk, value, (double)at / (width - 1));
    } else if (value_kind(value) == VALUE_CHOSEN) {
        struct choices choices;
        value_choices(value, &desk->profile.scenario, &choices);
        edit_set_choice(desk, value, at + first_choice(&choices, width));
    }
}

void values_draw_more(struct grid *grid, struct rect panel, int above, int below)
{
    char up[24] = "", down[24] = "", text[64];
    if (above <= 0 && below <= 0) {
        return;
    }
    if (above > 0) {
        text_format(up, sizeof up, "↑%d ", above);
    }
    if (below > 0) {
        text_format(down, sizeof down, "↓%d ", below);
    }
    text_format(text, sizeof text, "%s%s%s", up, down, (above > 0) != (below > 0) ? "more" : "");
    grid_write(grid, panel.row, panel.column + 10, panel.columns - 10, ROLE_DIM, text);
}
