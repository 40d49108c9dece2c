/* Editing a line of text: the cursor always stands before a whole character. */
#include "explorer/desk/typing.h"

#include <string.h>

#include "base/text.h"

void typing_set(struct typing *typing, const char *text)
{
    typing->length = (int)text_format(typing->text, sizeof typing->text, "%s", text);
    typing->cursor = typing->length;
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

int typing_after(const struct typing *typing, int at)
{
    if (at < typing->length) {
        do {
            at++;
        } while (is_inside_character(typing->text[at]));
    }
    return at;
}

static void take_out(struct typing *typing, int from, int to)
{
    memmove(typing->text + from, typing->text + to, (size_t)typing->length - (size_t)to + 1);
    typing->length -= to - from;
    typing->cursor = from;
}

static void put_in(struct typing *typing, uint32_t glyph)
{
    char bytes[4];
    int count = glyph < 0x80 ? 1 : glyph < 0x800 ? 2 : glyph < 0x10000 ? 3 : 4;
    static const unsigned char first[] = {0, 0, 0xC0, 0xE0, 0xF0};
    for (int i = count - 1; i > 0; i--) {
        bytes[i] = (char)(0x80 | (glyph & 0x3F));
        glyph >>= 6;
    }
    bytes[0] = (char)(first[count] | glyph);
    if (typing->length + count >= TYPING_BYTES) {
        return;
    }
    memmove(typing->text + typing->cursor + count, typing->text + typing->cursor,
            (size_t)typing->length - (size_t)typing->cursor + 1);
    memcpy(typing->text + typing->cursor, bytes, (size_t)count);
    typing->cursor += count;
    typing->length += count;
}

bool typing_key(struct typing *typing, uint32_t key)
{
    switch (key) {
    case PRESS_LEFT:
        typing->cursor = before(typing->text, typing->cursor);
        return true;
    case PRESS_RIGHT:
        typing->cursor = typing_after(typing, typing->cursor);
        return true;
    case PRESS_HOME:
        typing->cursor = 0;
        return true;
    case PRESS_END:
        typing->cursor = typing->length;
        return true;
    case PRESS_BACKSPACE:
        take_out(typing, before(typing->text, typing->cursor), typing->cursor);
        return true;
    case PRESS_DELETE:
        take_out(typing, typing->cursor, typing_after(typing, typing->cursor));
        return true;
    default:
        if ((key >= 0x20 && key < 0x7F) || (key >= 0xA0 && key < PRESS_UP)) {
            put_in(typing, key);
            return true;
        }
        return false;
    }
}
