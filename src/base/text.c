/* Grows text buffers, and formats into fixed ones. */
#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool reserve(struct text *text, size_t more)
{
    if (text->failed) {
        return false;
    }
    if (text->capacity - text->length > more) {
        return true;
    }
    size_t capacity = text->capacity ? text->capacity : 256;
    while (capacity - text->length <= more) {
        capacity *= 2;
    }
    char *data = realloc(text->data, capacity);
    if (!data) {
        text->failed = true;
        return false;
    }
    text->data = data;
    text->capacity = capacity;
    return true;
}

void text_append_bytes(struct text *text, const char *bytes, size_t count)
{
    if (!reserve(text, count)) {
        return;
    }
    if (count > 0) {
        memcpy(text->data + text->length, bytes, count);
    }
    text->length += count;
    text->data[text->length] = '\0';
}

void text_append(struct text *text, const char *string)
{
    text_append_bytes(text, string, strlen(string));
}

void text_append_repeated(struct text *text, char character, size_t count)
{
    if (!reserve(text, count)) {
        return;
    }
    memset(text->data + text->length, character, count);
    text->length += count;
    text->data[text->length] = '\0';
}

void text_printf(struct text *text, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    va_list again;
    va_copy(again, arguments);
    int needed = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    if (needed >= 0 && reserve(text, (size_t)needed)) {
        vsnprintf(text->data + text->length, (size_t)needed + 1, format, again);
        text->length += (size_t)needed;
    } else {
        text->failed = true;
    }
    va_end(again);
}

const char *text_string(const struct text *text)
{
    return text->data ? text->data : "";
}

void text_clear(struct text *text)
{
    text->length = 0;
    if (text->data) {
        text->data[0] = '\0';
    }
}

void text_free(struct text *text)
{
    free(text->data);
    *text = (struct text){0};
}

size_t text_format_list(char *buffer, size_t size, const char *format, va_list arguments)
{
    int needed = vsnprintf(buffer, size, format, arguments);
    if (needed < 0) {
        buffer[0] = '\0';
        return 0;
    }
    return (size_t)needed < size ? (size_t)needed : size - 1;
}

size_t text_format(char *buffer, size_t size, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    size_t length = text_format_list(buffer, size, format, arguments);
    va_end(arguments);
    return length;
}

void text_join(char *buffer, size_t size, const char *name)
{
    size_t used = strlen(buffer);
    text_format(buffer + used, size - used, "%s%s", used > 0 ? "|" : "", name);
}

size_t text_columns(const char *utf8)
{
    size_t columns = 0;
    for (; *utf8; utf8++) {
        if (((unsigned char)*utf8 & 0xC0) != 0x80) {
            columns++;
        }
    }
    return columns;
}
