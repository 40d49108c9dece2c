#ifndef PRESENT_PAPER_SHEET_H
#define PRESENT_PAPER_SHEET_H

#include "present/picture/pictures.h"

/* One page to hand out: title and date, stations and place, both verdicts, settings, PLPs, figures
 * in columns, the account, the delays and, where there is room, bit rate against SNR. Shows both
 * generations or, where `pinned` is given, two modes of the second beside the first. */

#define COMPARISON_LEAST_MM 120.0 /* to either side: smaller, nobody could read it */

/* STATUS_OUT_OF_RANGE for a paper too small, STATUS_UNWRITABLE, STATUS_NO_MEMORY. */
enum status comparison_sheet_draw(const struct picture_case *shown, const struct paper *paper,
                                  const char *path, struct fault *fault);

#endif
