#ifndef EXPLORER_EXPLORE_H
#define EXPLORER_EXPLORE_H

#include "command/command.h"

/* The terminal explorer, as main.c sees it: runs on an opened invocation of `explore`; takes its
 * profile over. */
enum exit_status explorer_main(struct invocation *invocation);

#endif
