#include "explorer/field.h"

#include <string.h>

void field_set(struct field *field, const char *text)
{
    field->length = (int)text_format(field->text, sizeof field->text, "%s", text);
    field->cursor = field->length;
}

static void take_out(struct field *field, int at)
{
    memmove(field->text + at, field->text + at + 1, (size_t)field->length - (size_t)at);
    field->length--;
}

static void put_in(struct field *field, char character)
{
    if (field->length + 1 >= FIELD_BYTES) {
        return;
    }
    memmove(field->text + field->cursor + 1, field->text + field->cursor,
            (size_t)field->length - (size_t)field->cursor + 1);
    field->text[field->cursor++] = character;
    field->length++;
}

bool field_key(struct field *field, uint32_t key)
{
    switch (key) {
    case PRESS_LEFT:
        field->cursor -= field->cursor > 0;
        return true;
    case PRESS_RIGHT:
        field->cursor += field->cursor < field->length;
        return true;
    case PRESS_HOME:
        field->cursor = 0;
        return true;
    case PRESS_END:
        field->cursor = field->length;
        return true;
    case PRESS_BACKSPACE:
        if (field->cursor > 0) {
            take_out(field, --field->cursor);
        }
        return true;
    case PRESS_DELETE:
        if (field->cursor < field->length) {
            take_out(field, field->cursor);
        }
        return true;
    default:
        if (key >= 0x20 && key < 0x7F) {
            put_in(field, (char)key);
            return true;
        }
        return false;
    }
}

void field_draw(const struct field *field, struct grid *grid, int row, int column, int width)
{
    if (width < 1) {
        return;
    }
    int from = field->cursor >= width ? field->cursor - width + 1 : 0;
    for (int i = 0; i < width; i++) {
        int at = from + i;
        char character = at < field->length ? field->text[at] : ' ';
        /* An underline stands for the cursor where its cell is blank: seen without colour. */
        bool here = at == field->cursor;
        grid_put(grid, row, column + i, here && character == ' ' ? '_' : (unsigned char)character,
                 here ? ROLE_SELECTED : ROLE_TITLE);
    }
}
