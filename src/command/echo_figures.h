#ifndef COMMAND_ECHO_FIGURES_H
#define COMMAND_ECHO_FIGURES_H

#include <stddef.h>

#include "present/table/table.h"
#include "study/verdict/verdict.h"

/* The figures of an echo verdict by name, for JSON and CSV: the contract's and the losses. */

enum echo_part { ECHO_PART_SNR, ECHO_PART_FIRST, ECHO_PART_SECOND, ECHO_PART_COUNT };

const char *echo_part_name(enum echo_part part);

enum status echo_figures_json(const struct verdicts *verdicts, struct text *out,
                              struct fault *fault);
enum status echo_figures_csv(const struct verdicts *verdicts, struct text *out,
                             struct fault *fault);

#endif
