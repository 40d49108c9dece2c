#ifndef COMMAND_ECHO_FIGURES_H
#define COMMAND_ECHO_FIGURES_H

#include <stddef.h>

#include "present/table/table.h"
#include "study/verdict/echo_study.h"

/* The figures of an echo verdict by name, for JSON and CSV: the contract's and the losses. */

enum echo_part { ECHO_PART_SNR, ECHO_PART_FIRST, ECHO_PART_SECOND, ECHO_PART_COUNT };

const char *echo_part_name(enum echo_part part);

enum status echo_figures_json(const struct echo_study *study, struct text *out);
enum status echo_figures_csv(const struct echo_study *study, struct text *out);

const char *echo_snr_source_name(enum echo_snr_source source); /* "measured", "level", "assumed" */

#endif
