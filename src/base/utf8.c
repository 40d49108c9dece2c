/* Decodes UTF-8 strictly, one character at a time. */
#include "base/utf8.h"

#include <stdint.h>

/* Length of the character that starts with a byte; 0 where none can. */
static size_t length_from_first(unsigned char byte)
{
    if (byte < 0x80) {
        return 1;
    }
    if (byte >= 0xC2 && byte <= 0xDF) {
        return 2;
    }
    if (byte >= 0xE0 && byte <= 0xEF) {
        return 3;
    }
    return byte >= 0xF0 && byte <= 0xF4 ? 4 : 0;
}

static uint32_t decode(const unsigned char *bytes, size_t length)
{
    static const unsigned char masks[5] = {0, 0x7F, 0x1F, 0x0F, 0x07};
    uint32_t point = bytes[0] & masks[length];
    for (size_t i = 1; i < length; i++) {
        point = point << 6 | (bytes[i] & 0x3Fu);
    }
    return point;
}

size_t utf8_valid_prefix(const char *bytes, size_t count)
{
    static const uint32_t lowest[5] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char *string = (const unsigned char *)bytes;
    size_t at = 0;
    while (at < count) {
        size_t length = length_from_first(string[at]);
        if (length == 0 || length > count - at) {
            return at;
        }
        for (size_t i = 1; i < length; i++) {
            if ((string[at + i] & 0xC0) != 0x80) {
                return at;
            }
        }
        uint32_t point = decode(string + at, length);
        if (point < lowest[length] || point > 0x10FFFF || (point >= 0xD800 && point <= 0xDFFF)) {
            return at;
        }
        at += length;
    }
    return at;
}

bool utf8_is_control(const char *bytes, size_t *length)
{
    const unsigned char *string = (const unsigned char *)bytes;
    *length = length_from_first(string[0]);
    uint32_t point = decode(string, *length);
    return point < 0x20 || (point >= 0x7F && point < 0xA0) || point == 0x2028 || point == 0x2029 ||
           point == 0x200E || point == 0x200F || (point >= 0x202A && point <= 0x202E) ||
           (point >= 0x2066 && point <= 0x2069) || point == 0xFEFF;
}
