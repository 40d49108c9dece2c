/* Pieces of a screen that views and the frame draw with: texts that fit, rules, rows, fields. */
#include "explorer/frame/screen.h"

#include <string.h>

int screen_fit(struct grid *grid, int row, int column, int width, enum role role, const char *text)
{
    int columns = (int)text_columns(text);
    if (width <= 0) {
        return 0;
    }
    if (columns <= width) {
        return grid_write(grid, row, column, width, role, text);
    }
    grid_tell_cut(grid, text);
    /* Bytes of the first width - 1 columns, then back to the end of a word if one is near. */
    size_t bytes = 0, space = 0;
    for (int i = 0; i < width - 1; i++) {
        if (text[bytes] == ' ') {
            space = bytes;
        }
        do {
            bytes++;
        } while (((unsigned char)text[bytes] & 0xC0) == 0x80);
    }
    if (space > bytes / 2) {
        bytes = space;
    }
    char part[1024];
    text_format(part, sizeof part, "%.*s…", (int)(bytes < 1000 ? bytes : 1000), text);
    return grid_write(grid, row, column, width, role, part);
}

void screen_right(struct grid *grid, int row, int column, int width, enum role role,
                  const char *text)
{
    int columns = (int)text_columns(text);
    int start = columns < width ? column + width - columns : column;
    grid_write(grid, row, start, column + width - start, role, text);
}

int screen_flow(struct grid *grid, struct rect area, int cell, enum role role, const char *text)
{
    const char *whole = text;
    bool cut = false;
    while (*text && area.columns > 0) {
        char word[64];
        size_t bytes = strcspn(text, " ");
        text_format(word, sizeof word, "%.*s", (int)bytes, text);
        int width = (int)text_columns(word), column = cell % area.columns;
        if (column + width > area.columns) {
            cell += area.columns - column;
            column = 0;
        }
        if (cell / area.columns < area.rows) {
            grid_write(grid, area.row + cell / area.columns, area.column + column, -1, role, word);
        } else if (!cut) {
            cut = true;
            grid_tell_cut(grid, whole);
        }
        cell += width + (column + width < area.columns);
        text += bytes + (text[bytes] == ' ');
    }
    return cell;
}

void screen_fill(struct grid *grid, struct rect area, enum role role)
{
    for (int row = 0; row < area.rows; row++) {
        for (int column = 0; column < area.columns; column++) {
            grid_put(grid, area.row + row, area.column + column, ' ', role);
        }
    }
}

void screen_rule(struct grid *grid, struct rect area, const char *words)
{
    for (int column = 0; column < area.columns && area.rows > 0; column++) {
        grid_put(grid, area.row, area.column + column, 0x2500, ROLE_FRAME);
    }
    if (words[0] && area.rows > 0) {
        int written =
            grid_write(grid, area.row, area.column + 2, area.columns - 4, ROLE_FRAME, " ");
        written += grid_write(grid, area.row, area.column + 2 + written, area.columns - 4 - written,
                              ROLE_DIM, words);
        grid_write(grid, area.row, area.column + 2 + written, area.columns - 2 - written,
                   ROLE_FRAME, " ");
    }
}

void screen_divider(struct grid *grid, struct rect area)
{
    for (int row = 0; row < area.rows && area.columns > 0; row++) {
        grid_put(grid, area.row + row, area.column, 0x2502, ROLE_FRAME);
    }
}

void screen_mark(struct grid *grid, int row, int column, bool selected)
{
    grid_put(grid, row, column, selected ? 0x25B8 : ' ', ROLE_SELECTED);
}

void screen_mark_in(struct grid *grid, int row, int column, bool selected, bool has_keys)
{
    screen_mark(grid, row, column, selected);
    if (selected && !has_keys) {
        grid_put(grid, row, column, 0x00B7, ROLE_TITLE);
    }
}

void screen_typing(struct grid *grid, int row, int column, int width, const struct typing *typing)
{
    if (width < 1) {
        return;
    }
    int cursor = 0, from = 0;
    for (int at = 0; at < typing->cursor; at = typing_after(typing, at)) {
        cursor++;
    }
    for (; cursor >= width; cursor--) {
        from = typing_after(typing, from);
    }
    struct text *cuts = grid->cuts; /* a line that is typed follows the cursor: nothing is lost */
    grid->cuts = NULL;
    screen_fill(grid, (struct rect){row, column, 1, width}, ROLE_TITLE);
    grid_write(grid, row, column, width, ROLE_TITLE, typing->text + from);
    grid->cuts = cuts;
    /* The cursor's cell is marked; where it is blank by an underline, seen without colour. */
    char under[8];
    text_format(under, sizeof under, "%.*s", typing_after(typing, typing->cursor) - typing->cursor,
                typing->text + typing->cursor);
    grid_write(grid, row, column + cursor, 1, ROLE_SELECTED,
               under[0] && under[0] != ' ' ? under : "_");
}

/* ---- Long texts are drawn aside and then moved into place. ---- */

void screen_copy(struct grid *grid, struct rect area, const struct grid *from, int skip)
{
    for (int row = 0; row < area.rows && row + skip < from->rows; row++) {
        for (int column = 0; column < area.columns && column < from->columns; column++) {
            const struct grid_cell *cell = &from->cells[(row + skip) * from->columns + column];
            grid_put(grid, area.row + row, area.column + column, cell->glyph,
                     (enum role)cell->role);
        }
    }
}

int screen_text(struct grid *grid, struct rect area, enum role role, const char *text, int skip)
{
    struct grid aside = {.ascii = grid->ascii, .cuts = grid->cuts};
    if (area.columns <= 0 || !grid_resize(&aside, SCREEN_TEXT_ROWS, area.columns)) {
        return 0;
    }
    int rows =
        grid_write_wrapped(&aside, (struct rect){0, 0, SCREEN_TEXT_ROWS, area.columns}, role, text);
    screen_copy(grid, area, &aside, skip);
    grid_free(&aside);
    return rows;
}

void screen_text_or_key(struct grid *grid, struct rect area, const char *text)
{
    int rows = screen_text(grid, area, ROLE_PLAIN, text, 0);
    if (rows > area.rows && area.rows > 0) {
        int last = area.row + area.rows - 1;
        grid_tell_cut(grid, text);
        screen_fill(grid, (struct rect){last, area.column, 1, area.columns}, ROLE_PLAIN);
        grid_write(grid, last, area.column, area.columns, ROLE_KEY, "… (i opens all of it)");
    }
}
