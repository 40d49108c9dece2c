#ifndef EXPLORER_TERMINAL_H
#define EXPLORER_TERMINAL_H

#include "command/command.h"
#include "present/lesson/lesson.h"

/* The explorer on a terminal, until the user leaves. Takes the invocation's profile and the
 * lesson (NULL: none) over. */
enum exit_status terminal_run(struct invocation *invocation, struct lesson *lesson);

#endif
