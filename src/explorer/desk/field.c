/* Editing a line of text: the cursor always stands before a whole character. */
#include "explorer/desk/field.h"

#include <string.h>

#include "base/text.h"

void field_set(struct field *field, const char *text)
{
    field->length = (int)text_format(field->text, sizeof field->text, "%s", text);
    field->cursor = field->length;
}

static bool is_inside_character(char byte)
{
    return ((unsigned char)byte & 0xC0) == 0x80;
}

/* Where the character before `at` begins. */
static int before(const char *text, int at)
{
    const char *byte = text + at;
    while (byte > text && is_inside_character(*--byte)) {
    }
    return (int)(byte - text);
}

int field_after(const struct field *field, int at)
{
    if (at < field->length) {
        do {
            at++;
        } while (is_inside_character(field->text[at]));
    }
    return at;
}

static void take_out(struct field *field, int from, int to)
{
    memmove(field->text + from, field->text + to, (size_t)field->length - (size_t)to + 1);
    field->length -= to - from;
    field->cursor = from;
}

static void put_in(struct field *field, uint32_t glyph)
{
    char bytes[4];
    int count = glyph < 0x80 ? 1 : glyph < 0x800 ? 2 : glyph < 0x10000 ? 3 : 4;
    static const unsigned char first[] = {0, 0, 0xC0, 0xE0, 0xF0};
    for (int i = count - 1; i > 0; i--) {
        bytes[i] = (char)(0x80 | (glyph & 0x3F));
        glyph >>= 6;
    }
    bytes[0] = (char)(first[count] | glyph);
    if (field->length + count >= FIELD_BYTES) {
        return;
    }
    memmove(field->text + field->cursor + count, field->text + field->cursor,
            (size_t)field->length - (size_t)field->cursor + 1);
    memcpy(field->text + field->cursor, bytes, (size_t)count);
    field->cursor += count;
    field->length += count;
}

bool field_key(struct field *field, uint32_t key)
{
    switch (key) {
    case PRESS_LEFT:
        field->cursor = before(field->text, field->cursor);
        return true;
    case PRESS_RIGHT:
        field->cursor = field_after(field, field->cursor);
        return true;
    case PRESS_HOME:
        field->cursor = 0;
        return true;
    case PRESS_END:
        field->cursor = field->length;
        return true;
    case PRESS_BACKSPACE:
        take_out(field, before(field->text, field->cursor), field->cursor);
        return true;
    case PRESS_DELETE:
        take_out(field, field->cursor, field_after(field, field->cursor));
        return true;
    default:
        if ((key >= 0x20 && key < 0x7F) || (key >= 0xA0 && key < PRESS_UP)) {
            put_in(field, key);
            return true;
        }
        return false;
    }
}
