#ifndef EXPLORER_KEYS_H
#define EXPLORER_KEYS_H

#include "explorer/explorer.h"

/* The explorer's own keys: `state` is the explorer. The first EXPLORER_KEYS_ALWAYS stand on the
 * bottom whatever else does. */
#define EXPLORER_KEYS_ALWAYS 4
extern const struct key explorer_keys[];

#endif
