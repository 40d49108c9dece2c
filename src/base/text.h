#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

#define NAME_MAX_BYTES 48 /* of what users give a name, its end included */

/* A growing text buffer. Start from `struct text text = {0};`. A failed allocation is remembered
 * in `failed` and later appends do nothing, so a writer checks once at the end. The owner calls
 * text_free. `data` is NULL while nothing was appended, else always terminated by a zero byte. */
struct text {
    char *data;
    size_t length;
    size_t capacity;
    bool failed;
};

void text_append(struct text *text, const char *string);
void text_append_bytes(struct text *text, const char *bytes, size_t count);
void text_append_repeated(struct text *text, char character, size_t count);
void text_printf(struct text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The text, "" while empty; valid until the next append or text_free. */
const char *text_string(const struct text *text);

/* Empties the buffer but keeps its memory. */
void text_clear(struct text *text);
void text_free(struct text *text);

/* Formats into a fixed buffer, always terminated, cut where it does not fit. Returns the length
 * that stands there. The layers that do not know stdio format with this. */
size_t text_format(char *buffer, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
size_t text_format_list(char *buffer, size_t size, const char *format, va_list arguments)
    __attribute__((format(printf, 3, 0)));

/* Appends a name to the list in the buffer, behind a bar where it is not the first. */
void text_join(char *buffer, size_t size, const char *name);

/* Columns that a UTF-8 string takes on a terminal, counting one per code point (the project's own
 * texts use no wide or combining characters). */
size_t text_columns(const char *utf8);

#endif
