#ifndef STUDY_VERDICT_POSITIONS_H
#define STUDY_VERDICT_POSITIONS_H

#include "study/verdict/verdict.h"

/* Phases that nobody knows, drawn: how a system fares at each of many positions. The margins of all
 * are estimated quickly and put in order; then the one in the middle is solved as a single answer
 * would be, and by what it differs from its estimate all others are moved. */

/* Solves `verdict` over its positions: channel, fare, the margins and shares. A position where the
 * rays cancel each other counts as one that fails, its margin -INFINITY. STATUS_NO_MEMORY,
 * STATUS_OUT_OF_RANGE. */
enum status positions_solve(struct verdict *verdict);

/* The SNR from which on position_percent of the positions decode; INFINITY: none suffices. Fails as
 * above. */
enum status positions_required_db(const struct verdict *verdict, double *snr_db);

/* Its channel at the position where the account of `other` stands, so that what is told of both is
 * of one place; its own where the two have not the same positions. Then how it fares there, which
 * fails as above and with STATUS_NO_SOLUTION where its rays cancel each other. */
void positions_beside(const struct verdict *verdict, const struct verdict *other,
                      struct channel *channel);
enum status positions_fare(const struct verdict *verdict, const struct channel *channel,
                           struct fare *fare);

/* Margins as the rays move, `count` of them evenly from 0 to `seconds`, from a channel of its rays
 * on; -INFINITY where the rays cancel each other. Estimates like those of the positions. */
enum status positions_over_time(const struct verdict *verdict, const struct channel *from,
                                double seconds, size_t count, double *margin_db);

/* Index, best first, of the last of the `percent` best of so many. */
int positions_place(int count, double percent);

#endif
