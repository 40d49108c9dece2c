/* The keys at the bottom. First line: the view's, then those that must always be there; second
 * line: the views, then the explorer's other keys. */
#include "explorer/frame/frame.h"
#include "explorer/keys.h"

struct hint {
    const char *keys, *what;
    uint32_t press; /* by a click; 0: nothing */
    int row, column, width;
};

#define HINTS_MAX 40

struct hints {
    int count;
    struct hint places[HINTS_MAX];
    char names[VIEWS_MAX][2];
};

static int hint_width(const char *keys, const char *what)
{
    return (int)(text_columns(keys) + 1 + text_columns(what));
}

/* Puts a hint where the last one of its row ended; false when it does not fit before `end`. */
static bool place(struct hints *hints, struct hint hint, int row, int end)
{
    hint.row = row;
    hint.column = 1;
    hint.width = hint_width(hint.keys, hint.what);
    if (hints->count > 0 && hints->places[hints->count - 1].row == row) {
        const struct hint *last = &hints->places[hints->count - 1];
        hint.column = last->column + last->width + 2;
    }
    if (hint.column + hint.width > end || hints->count == HINTS_MAX) {
        return false;
    }
    hints->places[hints->count++] = hint;
    return true;
}

static bool place_key(struct hints *hints, const struct key *key, int row, int end)
{
    return !key->what ||
           place(hints, (struct hint){key->keys, key->what, key_click(key), 0, 0, 0}, row, end);
}

static void place_all(const struct explorer *explorer, struct rect area, struct hints *hints)
{
    int end = area.columns - 1, always = 0;
    int from = area.columns < 60 ? EXPLORER_KEYS_ALWAYS - 2 : 0; /* at least help and quit */
    hints->count = 0;
    for (int i = from; i < EXPLORER_KEYS_ALWAYS; i++) {
        always += hint_width(explorer_keys[i].keys, explorer_keys[i].what) + 2;
    }
    const struct view *open = view_row(explorer->view);
    const struct key *key = open->keys;
    while (key->keys && ((open->tells && !open->tells(&explorer->desk, key)) ||
                         place_key(hints, key, area.row, end - always))) {
        key++;
    }
    for (int i = from; i < EXPLORER_KEYS_ALWAYS; i++) {
        place_key(hints, &explorer_keys[i], area.row, end);
    }
    for (int i = 0; i < view_count() && area.rows > 1; i++) {
        const struct view *view = view_row(i);
        text_format(hints->names[i], sizeof hints->names[i], "%c", (int)view->key);
        place(hints, (struct hint){hints->names[i], view->name, view->key, 0, 0, 0}, area.row + 1,
              end);
    }
    for (key = explorer_keys + EXPLORER_KEYS_ALWAYS; key->keys && area.rows > 1; key++) {
        place_key(hints, key, area.row + 1, end);
    }
}

void frame_draw_keys(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    struct hints hints;
    place_all(explorer, area, &hints);
    for (int i = 0; i < hints.count; i++) {
        const struct hint *hint = &hints.places[i];
        bool shown = hint->row > area.row && hint->press == view_row(explorer->view)->key;
        int written = grid_write(grid, hint->row, hint->column, -1, ROLE_KEY, hint->keys);
        grid_write(grid, hint->row, hint->column + written + 1, -1, shown ? ROLE_TITLE : ROLE_DIM,
                   hint->what);
        if (shown) { /* brackets, so that the open view is seen without colour */
            grid_put(grid, hint->row, hint->column - 1, '[', ROLE_FRAME);
            grid_put(grid, hint->row, hint->column + hint->width, ']', ROLE_FRAME);
        }
    }
}

uint32_t frame_key_at(const struct explorer *explorer, int row, int column)
{
    struct hints hints;
    place_all(explorer, explorer_layout(explorer).keys, &hints);
    for (int i = 0; i < hints.count; i++) {
        const struct hint *hint = &hints.places[i];
        if (row == hint->row && column >= hint->column && column < hint->column + hint->width) {
            return hint->press;
        }
    }
    return 0;
}
