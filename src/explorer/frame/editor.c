/* A list of items and the values of one of them: moving, changing, clicking. */
#include "explorer/frame/editor.h"

#include <string.h>

#include "explorer/frame/screen.h"

void editor_begin(struct editor *editor)
{
    editor->count = 0;
}

void editor_add(struct editor *editor, const struct section *section, int item, int depth)
{
    if (editor->count < EDITOR_ROWS_MAX) {
        editor->rows[editor->count++] = (struct editor_row){section, item, depth};
    }
}

const struct editor_row *editor_selected(const struct editor *editor)
{
    return editor->items.at < editor->count ? &editor->rows[editor->items.at] : NULL;
}

void editor_select(struct editor *editor, const char *section, int item)
{
    for (int i = 0; i < editor->count; i++) {
        if (editor->rows[i].item == item && strcmp(editor->rows[i].section->name, section) == 0) {
            editor->items.at = i;
        }
    }
}

/* What [mode], or what the pair has in its place, says as long as none of the sections stands. */
static bool mode_value_at(const struct section *section, int n, struct value *value)
{
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (field->unless && strcmp(field->unless, section->name) == 0 &&
            (section_find(field->section)->pairs & section->pairs) != 0 && n-- == 0) {
            *value = value_of(field);
            return true;
        }
    }
    return false;
}

/* The selected item's n-th value. False: there is none. */
static bool editor_value_at(const struct editor *editor, int n, struct value *value)
{
    const struct editor_row *row = editor_selected(editor);
    return row && (row->item < 0 ? mode_value_at(row->section, n, value)
                                 : value_at(row->section, row->item, n, value));
}

bool editor_value(const struct editor *editor, struct value *value)
{
    return editor_value_at(editor, editor->values.at, value);
}

void editor_fit(struct editor *editor, struct rect list, struct rect values)
{
    struct value value;
    int count = 0;
    cursor_fit(&editor->items, editor->count, list.rows - 1);
    while (editor_value_at(editor, count, &value)) {
        count++;
    }
    cursor_fit(&editor->values, count, values.rows - 1);
    editor->inside = editor->inside && count > 0;
}

/* ---- On the grid. ---- */

enum role editor_mark_row(const struct editor *editor, struct grid *grid, struct rect panel, int i,
                          bool has_keys)
{
    int row = panel.row + 1 + i - editor->items.first;
    bool here = i == editor->items.at;
    if (here && has_keys) {
        screen_fill(grid, (struct rect){row, panel.column, 1, panel.columns}, ROLE_SELECTED);
    }
    screen_mark_in(grid, row, panel.column, here, has_keys);
    return here && has_keys ? ROLE_SELECTED : here ? ROLE_TITLE : ROLE_PLAIN;
}

void editor_draw_values(const struct desk *desk, const struct editor *editor, struct grid *grid,
                        struct rect panel)
{
    const struct cursor *cursor = &editor->values;
    struct value value;
    grid_write(grid, panel.row, panel.column + 1, -1, editor->inside ? ROLE_TITLE : ROLE_DIM,
               "Values");
    for (int i = cursor->first; i < cursor->count && i - cursor->first < panel.rows - 1; i++) {
        if (editor_value_at(editor, i, &value)) {
            values_draw_row(desk, grid, panel, panel.row + 1 + i - cursor->first, &value,
                            editor->inside && i == cursor->at);
        }
    }
    values_draw_more(grid, panel, cursor->first, cursor->count - cursor->first - cursor->rows);
}

/* ---- Keys. ---- */

void editor_press_row(const struct call *call)
{
    struct editor *editor = call->owner;
    if (!editor->inside) {
        editor->values.at = editor->values.first = 0;
    }
    cursor_key(editor->inside ? &editor->values : &editor->items, call->key);
}

void editor_press_side(const struct call *call)
{
    struct editor *editor = call->owner;
    editor->inside = !editor->inside && editor->values.count > 0;
}

void editor_press_step(const struct call *call)
{
    const struct editor *editor = call->owner;
    struct value value;
    if (editor->inside && editor_value(editor, &value)) {
        edit_step(call->desk, &value, call->key == PRESS_RIGHT ? 1 : -1);
    } else if (editor_value(editor, &value)) {
        desk_say(call->desk, TONE_QUIET, "Tab goes to the values.");
    }
}

static void take_typed(const struct call *call)
{
    struct value value;
    if (editor_value(call->owner, &value)) {
        edit_set(call->desk, &value, call->text);
    }
}

void editor_press_type(const struct call *call)
{
    struct editor *editor = call->owner;
    struct value value;
    if (!editor->inside) {
        editor_press_side(call);
    } else if (editor_value(editor, &value)) {
        edit_type(call->desk, &value, call->key, take_typed, editor);
    }
}

void editor_press_forget(const struct call *call)
{
    struct value value;
    if (editor_value(call->owner, &value)) {
        edit_forget(call->desk, &value);
    }
}

/* ---- The mouse. ---- */

bool editor_mouse(struct desk *desk, struct editor *editor, const struct event *event,
                  struct rect list, struct rect values)
{
    int wheel = event_wheel(event);
    struct value value;
    if (rect_holds(list, event->row, event->column)) {
        editor->inside = false;
        if (wheel != 0) {
            cursor_move(&editor->items, wheel);
        } else if (cursor_click(&editor->items, event->row - list.row - 1)) {
            editor->values.at = editor->values.first = 0;
        }
        return true;
    }
    if (!rect_holds(values, event->row, event->column)) {
        return false;
    }
    if (cursor_click(&editor->values, event->row - values.row - 1) &&
        editor_value(editor, &value)) {
        editor->inside = true;
        if (wheel != 0) {
            edit_step(desk, &value, -wheel);
        } else {
            values_click(desk, values, event->column, &value);
        }
    }
    return true;
}
