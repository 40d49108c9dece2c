#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>

/* UTF-8 as RFC 3629 defines it: no overlong forms, no surrogates, at most U+10FFFF. */

/* Bytes at the start of `bytes` that are whole, well-formed characters: `count` when all are. */
size_t utf8_valid_prefix(const char *bytes, size_t count);

/* A character that would move a terminal's cursor or hide text: C0 and C1 controls, DEL, line and
 * paragraph separators, and marks that change the direction of text. `bytes` is well-formed;
 * `length` receives the character's bytes. */
bool utf8_is_control(const char *bytes, size_t *length);

#endif
