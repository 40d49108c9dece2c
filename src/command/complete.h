#ifndef COMMAND_COMPLETE_H
#define COMMAND_COMPLETE_H

#include "command/command.h"

/* What a shell's completion asks: `guardspan --complete WORD...` writes what the last of the words
 * may become, a line each: the word, a tab, its meaning. A line without a tab, FILE or PROFILE,
 * says which files the shell adds. */

/* Appends a word to those on offer; `meaning` may be NULL. */
void offer_word(struct text *offers, const char *word, const char *meaning);
/* The shell's own files, of a kind: "FILE" any, "PROFILE" profiles. */
void offer_files(struct text *offers, const char *kind);

/* Writes what the last word may become; `words` are the arguments behind --complete. */
enum exit_status complete(const struct invocation *invocation, int count, char **words);

#endif
