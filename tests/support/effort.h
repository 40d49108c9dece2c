#ifndef SUPPORT_EFFORT_H
#define SUPPORT_EFFORT_H

#include <stddef.h>

/* How much of a long test is done: a sample in `make check`, more in `make check-long`, all of it
 * in `make prove`. The environment's EFFORT says which: more, all, or nothing of the kind. */
size_t effort(size_t sample, size_t more, size_t all);

#endif
