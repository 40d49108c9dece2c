/* The main view: settings at the left, what follows from them at the right, a picture below. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/pictures.h"
#include "explorer/quantities.h"
#include "explorer/screen.h"
#include "explorer/settings.h"
#include "explorer/view.h"
#include "explorer/words.h"

enum focus { FOCUS_SETTINGS, FOCUS_QUANTITIES };

#define PICTURES_MAX 8

struct main_state {
    enum focus focus;
    int selected[2]; /* by focus */
    int first[2];    /* the first row shown, by focus */
    int picture;
    bool editing;
    struct field field;
    unsigned revision; /* of the scenario that the pictures show */
    bool pictures_made[PICTURES_MAX];
    struct picture pictures[PICTURES_MAX];
};

static int row_count(enum focus focus)
{
    return focus == FOCUS_SETTINGS ? setting_count() : quantity_count();
}

static const char *group_of(enum focus focus, int i)
{
    return focus == FOCUS_SETTINGS ? setting_row(i)->group : quantity_row(i)->group;
}

/* ---- Rows: with a heading for each group where the height allows, else rows only. ---- */

#define LINES_MAX 80

struct line {
    int row; /* of the settings or quantities; -1: a heading, -2: a blank line */
    const char *heading;
};

/* Every row under its heading, with blank lines between the groups or without. */
static int lines_with_headings(enum focus focus, bool blanks, struct line *lines)
{
    int count = 0;
    const char *group = NULL;
    for (int i = 0; i < row_count(focus); i++) {
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
static int panel_lines(enum focus focus, int height, int first, struct line *lines)
{
    int count = lines_with_headings(focus, true, lines);
    if (count > height) {
        count = lines_with_headings(focus, false, lines);
    }
    if (count <= height) {
        return count;
    }
    count = 0;
    for (int i = first; i < row_count(focus) && count < height; i++) {
        lines[count++] = (struct line){.row = i};
    }
    return count;
}

static struct rect panel_of(const struct main_layout *layout, enum focus focus)
{
    return focus == FOCUS_SETTINGS || layout->one_panel ? layout->settings : layout->quantities;
}

/* ---- Opening, closing, updating. ---- */

static void *open_main(struct explorer *explorer)
{
    (void)explorer;
    return calloc(1, sizeof(struct main_state));
}

static void forget_pictures(struct main_state *state)
{
    for (int i = 0; i < PICTURES_MAX; i++) {
        picture_free(&state->pictures[i]);
        state->pictures_made[i] = false;
    }
}

static void close_main(void *opaque)
{
    struct main_state *state = opaque;
    forget_pictures(state);
    free(state);
}

static void make_picture(struct explorer *explorer, struct main_state *state, int which)
{
    if (!state->pictures_made[which]) {
        state->pictures_made[which] = true;
        main_picture_make(which, explorer, &state->pictures[which]);
    }
}

static int second_of(int picture)
{
    return (picture + 1) % main_picture_count();
}

static void update_main(struct explorer *explorer, void *opaque)
{
    struct main_state *state = opaque;
    struct layout screen = layout_screen(explorer->rows, explorer->columns);
    struct main_layout layout = layout_main(screen.body);
    for (int focus = 0; focus < 2; focus++) {
        int height = panel_of(&layout, (enum focus)focus).rows - 1;
        state->first[focus] = screen_scroll(state->first[focus], state->selected[focus],
                                            row_count((enum focus)focus), height);
    }
    if (state->revision != explorer->revision) {
        forget_pictures(state);
        state->revision = explorer->revision;
    }
    if (layout.picture.rows > 0) {
        make_picture(explorer, state, state->picture);
    }
    if (layout.second_picture.columns > 0) {
        make_picture(explorer, state, second_of(state->picture));
    }
}

/* ---- Drawing. ---- */

/* How many rows stand above and below those shown. */
static void draw_more(struct grid *grid, struct rect panel, const struct line *lines, int count,
                      int total)
{
    int above = lines[0].row, below = total - 1 - lines[count - 1].row;
    char up[24] = "", down[24] = "", text[64];
    if (above > 0) {
        text_format(up, sizeof up, "↑%d ", above);
    }
    if (below > 0) {
        text_format(down, sizeof down, "↓%d ", below);
    }
    text_format(text, sizeof text, "%s%s%s", up, down, above > 0 && below > 0 ? "" : "more");
    grid_write(grid, panel.row, panel.column + 10, panel.columns - 10, ROLE_DIM, text);
}

static enum role row_role(bool selected, enum role otherwise)
{
    return selected ? ROLE_SELECTED : otherwise;
}

static struct rect track_of(struct rect panel)
{
    int value_end = 1 + 14 + (panel.columns >= 44 ? 12 : 10);
    return (struct rect){panel.row, panel.column + value_end + 1, 1,
                         panel.columns - value_end - 2 > 12 ? panel.columns - value_end - 2 : 12};
}

#define TRACK_MOST 16

static int track_width(struct rect panel)
{
    int columns = track_of(panel).columns;
    return columns > TRACK_MOST ? TRACK_MOST : columns;
}

static void draw_track(struct grid *grid, int row, struct rect panel, int setting,
                       const struct scenario *scenario, enum role role)
{
    int column = track_of(panel).column, width = track_width(panel);
    if (setting_is_number(setting)) {
        double share = setting_position(setting, scenario);
        int at = isnan(share) ? -1 : (int)lround(share * (width - 1));
        for (int i = 0; i < width; i++) {
            grid_put(grid, row, column + i, i == at ? 0x25CF : 0x00B7, role);
        }
        return;
    }
    struct setting_choices choices;
    setting_choices(setting, scenario, &choices);
    for (int i = 0; i < choices.count && i < width; i++) {
        grid_put(grid, row, column + i, i == choices.at ? 0x25CF : 0x25CB, role);
    }
}

static void draw_setting(const struct explorer *explorer, const struct main_state *state,
                         struct grid *grid, struct rect panel, int row, int setting, bool selected)
{
    const struct scenario *scenario = &explorer->profile.scenario;
    if (selected) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
        grid_put(grid, row, panel.column, 0x25B8, ROLE_SELECTED);
    }
    const char *label = setting_row(setting)->label;
    int width = (int)text_columns(label), end = track_of(panel).column - 1;
    grid_write(grid, row, panel.column + 1, -1, row_role(selected, ROLE_PLAIN), label);
    int column = panel.column + 1 + width + 1;
    if (selected && state->editing) {
        field_draw(&state->field, grid, row, column, end - column);
    } else {
        char text[64];
        setting_text(setting, scenario, text, sizeof text);
        screen_right(grid, row, column, end - column, row_role(selected, ROLE_TITLE), text);
    }
    draw_track(grid, row, panel, setting, scenario, row_role(selected, ROLE_DIM));
}

/* Where the columns of figures end, from the panel's left. */
struct figure_columns {
    int count, width, end[4];
};

static struct figure_columns figure_columns(struct rect panel)
{
    struct figure_columns columns = {.count = panel.columns >= 56 ? 4 : 3};
    columns.width = panel.columns >= 66 ? 11 : panel.columns >= 56 ? 10 : 8;
    for (int i = 0; i < columns.count; i++) {
        columns.end[i] =
            panel.columns >= 56 ? 24 + columns.width * (i + 1) : panel.columns - 8 * (2 - i);
    }
    return columns;
}

static const enum role column_roles[] = {ROLE_FIRST, ROLE_SECOND, ROLE_PINNED, ROLE_PLAIN};

static void draw_figure(struct grid *grid, int row, struct rect panel, int i, enum role role,
                        const char *text)
{
    struct figure_columns columns = figure_columns(panel);
    if (i < columns.count) {
        screen_right(grid, row, panel.column + columns.end[i] - columns.width + 1,
                     columns.width - 1, role, text);
    }
}

static enum role change_role(const struct explorer *explorer, int quantity)
{
    double change = quantity_value(quantity, COLUMN_SECOND, &explorer->report) -
                    quantity_value(quantity, COLUMN_SECOND, &explorer->pinned_report);
    int better = quantity_row(quantity)->better;
    return better == 0 || change == 0.0 ? ROLE_DIM : change * better > 0.0 ? ROLE_GOOD : ROLE_BAD;
}

static void draw_quantity(const struct explorer *explorer, struct grid *grid, struct rect panel,
                          int row, int quantity, bool selected)
{
    const struct quantity *q = quantity_row(quantity);
    if (selected) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
        grid_put(grid, row, panel.column, 0x25B8, ROLE_SELECTED);
    }
    int column = panel.column + 1;
    column += grid_write(grid, row, column, -1, row_role(selected, ROLE_PLAIN), q->label);
    if (q->unit[0]) {
        grid_printf(grid, row, column, -1, row_role(selected, ROLE_DIM), ", %s", q->unit);
    }
    if (!explorer->report_known) {
        return;
    }
    char text[32];
    quantity_text(quantity, COLUMN_FIRST, &explorer->report, text, sizeof text);
    draw_figure(grid, row, panel, 0, row_role(selected, ROLE_FIRST), text);
    quantity_text(quantity, COLUMN_SECOND, &explorer->report, text, sizeof text);
    draw_figure(grid, row, panel, 1, row_role(selected, ROLE_SECOND), text);
    if (explorer->pinned) {
        quantity_text(quantity, COLUMN_SECOND, &explorer->pinned_report, text, sizeof text);
        draw_figure(grid, row, panel, 2, row_role(selected, ROLE_PINNED), text);
        quantity_change(quantity, &explorer->report, &explorer->pinned_report, text, sizeof text);
        draw_figure(grid, row, panel, 3, row_role(selected, change_role(explorer, quantity)), text);
    }
}

static void draw_heads(const struct explorer *explorer, const struct main_state *state,
                       struct grid *grid, const struct main_layout *layout, enum focus focus)
{
    struct rect panel = panel_of(layout, focus);
    enum role role = state->focus == focus ? ROLE_TITLE : ROLE_DIM;
    if (focus == FOCUS_SETTINGS) {
        grid_write(grid, panel.row, panel.column + 1, -1, role, "Settings");
        return;
    }
    grid_write(grid, panel.row, panel.column + 1, -1, role, "Figures");
    static const char *const names[] = {"8-VSB", "OFDM", "pinned", "change"};
    for (int i = 0; i < (explorer->pinned ? 4 : 2); i++) {
        draw_figure(grid, panel.row, panel, i, column_roles[i], names[i]);
    }
}

static void draw_panel(const struct explorer *explorer, const struct main_state *state,
                       struct grid *grid, const struct main_layout *layout, enum focus focus)
{
    struct rect panel = panel_of(layout, focus);
    struct line lines[LINES_MAX];
    int count = panel_lines(focus, panel.rows - 1, state->first[focus], lines);
    draw_heads(explorer, state, grid, layout, focus);
    for (int i = 0; i < count; i++) {
        int row = panel.row + 1 + i;
        bool selected = state->focus == focus && lines[i].row == state->selected[focus];
        if (lines[i].row == -1) {
            grid_printf(grid, row, panel.column + 1, panel.columns - 1, ROLE_DIM, "── %s",
                        lines[i].heading);
        } else if (lines[i].row >= 0 && focus == FOCUS_SETTINGS) {
            draw_setting(explorer, state, grid, panel, row, lines[i].row, selected);
        } else if (lines[i].row >= 0) {
            draw_quantity(explorer, grid, panel, row, lines[i].row, selected);
        }
    }
    if (count > 0 && lines[0].row >= 0) {
        draw_more(grid, panel, lines, count, row_count(focus));
    }
}

static void draw_pictures(const struct main_state *state, struct grid *grid,
                          const struct main_layout *layout)
{
    if (layout->picture.rows <= 0) {
        return;
    }
    char words[160];
    size_t used = text_format(words, sizeof words, "picture");
    for (int i = 0; i < main_picture_count(); i++) {
        bool shown = i == state->picture ||
                     (layout->second_picture.columns > 0 && i == second_of(state->picture));
        used += text_format(words + used, sizeof words - used, shown ? " [%s]" : "  %s ",
                            main_picture_name(i));
    }
    text_format(words + used, sizeof words - used, "  n next");
    screen_rule(grid, layout->rule, words);
    picture_draw_grid(&state->pictures[state->picture], grid, layout->picture);
    if (layout->second_picture.columns > 0) {
        picture_draw_grid(&state->pictures[second_of(state->picture)], grid,
                          layout->second_picture);
    }
}

static void selected_name(const struct main_state *state, char *buffer, size_t size)
{
    int selected = state->selected[state->focus];
    if (state->focus == FOCUS_SETTINGS) {
        setting_name(selected, buffer, size);
    } else {
        const struct quantity *q = quantity_row(selected);
        text_format(buffer, size, "%s.%s", q->second ? "second" : "first",
                    q->second ? q->second : q->first);
    }
}

static void explain_main(const struct explorer *explorer, const void *opaque, struct text *out)
{
    const struct main_state *state = opaque;
    char name[64];
    selected_name(state, name, sizeof name);
    words_long(explorer, name, out);
    if (state->focus == FOCUS_QUANTITIES) {
        const struct quantity *q = quantity_row(state->selected[state->focus]);
        if (q->first && q->second) {
            text_format(name, sizeof name, "first.%s", q->first);
            text_append(out, "\n");
            words_long(explorer, name, out);
        }
    }
}

static void draw_main(const struct explorer *explorer, const void *opaque, struct grid *grid,
                      struct rect area)
{
    const struct main_state *state = opaque;
    struct main_layout layout = layout_main(area);
    if (!layout.one_panel || state->focus == FOCUS_SETTINGS) {
        draw_panel(explorer, state, grid, &layout, FOCUS_SETTINGS);
    }
    if (!layout.one_panel || state->focus == FOCUS_QUANTITIES) {
        draw_panel(explorer, state, grid, &layout, FOCUS_QUANTITIES);
    }
    screen_divider(grid, layout.divider);
    screen_divider(grid, layout.explain_divider);
    if (layout.explain.columns > 0) {
        struct text text = {0};
        struct rect area_inside = layout.explain;
        area_inside.column++;
        area_inside.columns -= 2;
        explain_main(explorer, state, &text);
        screen_text(grid, area_inside, ROLE_PLAIN, text_string(&text), 0);
        text_free(&text);
    }
    draw_pictures(state, grid, &layout);
}

static void words_main(const struct explorer *explorer, const void *opaque, struct text *out)
{
    const struct main_state *state = opaque;
    char name[64];
    selected_name(state, name, sizeof name);
    words_short(explorer, name, out);
}

/* ---- Keys. ---- */

static void take_change(struct explorer *explorer, int setting, const struct scenario *next)
{
    char moved[192];
    setting_moved(setting, &explorer->profile.scenario, next, moved, sizeof moved);
    if (explorer_change(explorer, next) && moved[0]) {
        explorer_say(explorer, ROLE_WARN, "Also moved: %s (to stay legal).", moved);
    }
}

static void step_setting(struct explorer *explorer, struct main_state *state, int direction)
{
    struct scenario next;
    int setting = state->selected[FOCUS_SETTINGS];
    if (setting_step(setting, &explorer->profile.scenario, direction, &next)) {
        take_change(explorer, setting, &next);
    } else {
        explorer_say(explorer, ROLE_DIM, "%s: this is the %s legal value.",
                     setting_row(setting)->label, direction > 0 ? "last" : "first");
    }
}

static void begin_edit(struct explorer *explorer, struct main_state *state, const char *text)
{
    int setting = state->selected[FOCUS_SETTINGS];
    if (!setting_is_number(setting)) {
        explorer_say(explorer, ROLE_DIM, "Choose with the left and right arrows.");
        return;
    }
    char allowed[128];
    key_allowed(setting_key(setting), allowed, sizeof allowed);
    field_set(&state->field, text);
    state->editing = true;
    explorer_say(explorer, ROLE_PLAIN, "Type %s, then Enter; Escape leaves it as it was.", allowed);
}

static void set_value(struct explorer *explorer, int setting, const char *text)
{
    struct scenario next;
    struct fault fault;
    if (setting_set(setting, &explorer->profile.scenario, text, &next, &fault) == STATUS_OK) {
        take_change(explorer, setting, &next);
    } else {
        explorer_say_fault(explorer, &fault);
    }
}

static enum handled edit_key(struct explorer *explorer, struct main_state *state, uint32_t key)
{
    switch (key) {
    case PRESS_ESCAPE:
        state->editing = false;
        return HANDLED;
    case PRESS_ENTER:
    case PRESS_TAB:
    case PRESS_UP:
    case PRESS_DOWN:
        state->editing = false;
        set_value(explorer, state->selected[FOCUS_SETTINGS], state->field.text);
        return HANDLED;
    default:
        field_key(&state->field, key);
        return HANDLED;
    }
}

static void move(struct main_state *state, int by)
{
    int selected = state->selected[state->focus] + by, last = row_count(state->focus) - 1;
    state->selected[state->focus] = selected < 0 ? 0 : selected > last ? last : selected;
}

static enum handled setting_key_press(struct explorer *explorer, struct main_state *state,
                                      uint32_t key)
{
    int setting = state->selected[FOCUS_SETTINGS];
    const struct key_row *row = setting_key(setting);
    char text[64];
    if ((key >= '0' && key <= '9') || key == '.' || (key == '-' && row->low < 0.0)) {
        text_format(text, sizeof text, "%c", (int)key);
        begin_edit(explorer, state, text);
        return HANDLED;
    }
    switch (key) {
    case PRESS_LEFT:
    case '-':
        step_setting(explorer, state, -1);
        return HANDLED;
    case PRESS_RIGHT:
    case '+':
    case '=':
        step_setting(explorer, state, 1);
        return HANDLED;
    case PRESS_ENTER:
        key_format(row, &explorer->profile.scenario, text, sizeof text);
        begin_edit(explorer, state, strcmp(text, "none") == 0 ? "" : text);
        return HANDLED;
    case PRESS_DELETE:
    case PRESS_BACKSPACE:
        if (row->type == KEY_OPTIONAL_DOUBLE) {
            set_value(explorer, setting, "none");
        }
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static void next_picture(struct main_state *state, int by)
{
    int count = main_picture_count();
    state->picture = (state->picture + by + count) % count;
}

static void pin_or_unpin(struct explorer *explorer)
{
    if (explorer->pinned) {
        explorer_unpin(explorer);
        explorer->revision++;
        explorer_say(explorer, ROLE_DIM, "Nothing is pinned any more.");
    } else {
        explorer_pin(explorer);
        explorer_say(explorer, ROLE_GOOD,
                     "Pinned: change settings and compare. p takes the pin off.");
    }
}

static enum handled main_key(struct explorer *explorer, struct main_state *state, uint32_t key)
{
    struct main_layout layout = layout_main(layout_screen(explorer->rows, explorer->columns).body);
    int page = panel_of(&layout, state->focus).rows - 2;
    if (state->editing) {
        return edit_key(explorer, state, key);
    }
    if (state->focus == FOCUS_SETTINGS && setting_key_press(explorer, state, key) == HANDLED) {
        return HANDLED;
    }
    switch (key) {
    case PRESS_UP:
        move(state, -1);
        return HANDLED;
    case PRESS_DOWN:
        move(state, 1);
        return HANDLED;
    case PRESS_PAGE_UP:
        move(state, -page);
        return HANDLED;
    case PRESS_PAGE_DOWN:
        move(state, page);
        return HANDLED;
    case PRESS_HOME:
        move(state, -LINES_MAX);
        return HANDLED;
    case PRESS_END:
        move(state, LINES_MAX);
        return HANDLED;
    case PRESS_TAB:
    case PRESS_BACK_TAB:
        state->focus = state->focus == FOCUS_SETTINGS ? FOCUS_QUANTITIES : FOCUS_SETTINGS;
        return HANDLED;
    case 'p':
        pin_or_unpin(explorer);
        return HANDLED;
    case 'n':
        next_picture(state, 1);
        return HANDLED;
    case 'N':
        next_picture(state, -1);
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

/* ---- The mouse. ---- */

static void click_track(struct explorer *explorer, struct main_state *state, struct rect panel,
                        int column)
{
    int setting = state->selected[FOCUS_SETTINGS], at = column - track_of(panel).column;
    int width = track_width(panel);
    struct scenario next;
    if (at < 0 || at >= width) {
        return;
    }
    bool changed = setting_is_number(setting)
                       ? setting_set_share(setting, &explorer->profile.scenario,
                                           (double)at / (width - 1), &next)
                       : setting_set_choice(setting, &explorer->profile.scenario, at, &next);
    if (changed) {
        take_change(explorer, setting, &next);
    }
}

static enum handled main_mouse(struct explorer *explorer, struct main_state *state,
                               const struct event *event, struct rect area)
{
    struct main_layout layout = layout_main(area);
    state->editing = false;
    if (rect_holds(layout.rule, event->row, event->column) ||
        rect_holds(layout.picture, event->row, event->column) ||
        rect_holds(layout.second_picture, event->row, event->column)) {
        next_picture(state, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
        return HANDLED;
    }
    enum focus focus = layout.one_panel                                           ? state->focus
                       : rect_holds(layout.quantities, event->row, event->column) ? FOCUS_QUANTITIES
                                                                                  : FOCUS_SETTINGS;
    struct rect panel = panel_of(&layout, focus);
    struct line lines[LINES_MAX];
    int count = panel_lines(focus, panel.rows - 1, state->first[focus], lines);
    int i = event->row - panel.row - 1;
    if (!rect_holds(panel, event->row, event->column) || i < 0 || i >= count || lines[i].row < 0) {
        return NOT_HANDLED;
    }
    state->focus = focus;
    state->selected[focus] = lines[i].row;
    if (focus == FOCUS_SETTINGS && event->mouse == MOUSE_CLICK) {
        click_track(explorer, state, panel, event->column);
    } else if (focus == FOCUS_SETTINGS) {
        step_setting(explorer, state, event->mouse == MOUSE_WHEEL_UP ? 1 : -1);
    }
    return HANDLED;
}

static enum handled handle_main(struct explorer *explorer, void *opaque, const struct event *event,
                                struct rect area, struct effect *effect)
{
    (void)effect;
    struct main_state *state = opaque;
    switch (event->kind) {
    case EVENT_KEY:
        return main_key(explorer, state, event->key);
    case EVENT_MOUSE:
        return main_mouse(explorer, state, event, area);
    default:
        return NOT_HANDLED;
    }
}

static bool picture_main(const struct explorer *explorer, const void *opaque, struct picture *out)
{
    const struct main_state *state = opaque;
    return main_picture_make(state->picture, explorer, out);
}

static bool typing_main(const void *opaque)
{
    const struct main_state *state = opaque;
    return state->editing;
}

static const struct key_hint hints[] = {
    {"←→", "change", "change the selected setting; + and - do the same", 0},
    {"Tab", "side", "go to the figures and back", PRESS_TAB},
    {"↑↓", "row", "select a row", 0},
    {"p", "pin", "keep this mode beside the next ones to compare; again: take the pin off", 'p'},
    {"n", "picture", "the next picture; N: the one before", 'n'},
    {"0-9 Enter", NULL, "type the value of a numeric setting", 0},
    {"Delete", NULL, "a measured value is not known any more", 0},
    {"mouse", NULL,
     "a click selects a row or, on its scale, a value; the wheel steps a setting; a click on a key "
     "at the bottom presses it",
     0},
    {NULL, NULL, NULL, 0},
};

const struct view view_main = {
    .name = "main",
    .title = "",
    .key = 'm',
    .about = "Settings stand at the left, with the choices that are legal now (○) and the present "
             "one (●), or where a number stands in its range. At the right is what follows from "
             "them, for 8-VSB, for OFDM and for a pinned mode. Every change shows at once.",
    .hints = hints,
    .open = open_main,
    .close = close_main,
    .update = update_main,
    .draw = draw_main,
    .handle = handle_main,
    .words = words_main,
    .explain = explain_main,
    .picture = picture_main,
    .typing = typing_main,
};
