/* Moving in a list: the selected row stays inside, and in sight. */
#include "explorer/frame/cursor.h"

#include "explorer/event.h"

static int within(int value, int most)
{
    return value > most ? (most > 0 ? most : 0) : value > 0 ? value : 0;
}

void cursor_fit(struct cursor *cursor, int count, int rows)
{
    cursor->count = count;
    cursor->rows = rows > 0 ? rows : 1;
    cursor_move(cursor, 0);
}

void cursor_move(struct cursor *cursor, int by)
{
    int at = cursor->at = within(cursor->at + by, cursor->count - 1);
    if (at < cursor->first) {
        cursor->first = at;
    }
    if (at >= cursor->first + cursor->rows) {
        cursor->first = at - cursor->rows + 1;
    }
    cursor->first = within(cursor->first, cursor->count - cursor->rows);
}

void cursor_key(struct cursor *cursor, uint32_t key)
{
    int page = cursor->rows > 1 ? cursor->rows - 1 : 1;
    const struct {
        uint32_t key;
        int by;
    } moves[] = {
        {PRESS_UP, -1},
        {PRESS_DOWN, 1},
        {PRESS_PAGE_UP, -page},
        {PRESS_PAGE_DOWN, page},
        {PRESS_HOME, -cursor->count},
        {PRESS_END, cursor->count},
    };
    for (unsigned i = 0; i < sizeof moves / sizeof moves[0]; i++) {
        if (moves[i].key == key) {
            cursor_move(cursor, moves[i].by);
        }
    }
}

bool cursor_click(struct cursor *cursor, int row)
{
    bool there = row >= 0 && row < cursor->rows && cursor->first + row < cursor->count;
    if (there) {
        cursor_move(cursor, cursor->first + row - cursor->at);
    }
    return there;
}
