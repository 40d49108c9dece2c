#ifndef EXPLORER_DESK_WORDS_H
#define EXPLORER_DESK_WORDS_H

#include "explorer/desk/desk.h"

/* Plain words about a setting ("mode.guard") or a quantity ("second.echo_us") with the numbers of
 * the present scenario. */
void words_short(const struct desk *desk, const char *name, struct text *out);
void words_long(const struct desk *desk, const char *name, struct text *out);

/* A PLP of the second generation, by its place in the profile: what it is, what it carries and
 * needs, and whether it decodes. */
void words_plp(const struct desk *desk, int plp, struct text *out);

#endif
