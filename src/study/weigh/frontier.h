#ifndef STUDY_WEIGH_FRONTIER_H
#define STUDY_WEIGH_FRONTIER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/status.h"

/* Which of many points no other point beats: at least as good in all four of rate, SNR, echo and
 * speed, and better in one. Points that are equal in all four stand or fall together. */

struct frontier_point {
    double rate;  /* more is better */
    double snr;   /* less is better */
    double echo;  /* more is better; few distinct values, at most FRONTIER_ECHOES_MAX */
    double speed; /* more is better */
};

/* One point is at least as good as another in all, and better in one. */
bool frontier_beats(const struct frontier_point *a, const struct frontier_point *b);

#define FRONTIER_ECHOES_MAX 64

/* Marks the points on the frontier. Sorted by rate, every point meets only those of a higher rate;
 * of these a staircase of (SNR, speed) is kept for each echo value: O(n log n) but for insertions
 * into the staircases. STATUS_NO_MEMORY; STATUS_OUT_OF_RANGE for more echo values or NAN. */
enum status frontier_mark(const struct frontier_point *points, size_t count, bool *on_frontier);

/* Writes the indices of doubles into `order`, largest first, equal ones in their old order. NANs
 * are not allowed. STATUS_NO_MEMORY. */
enum status order_by_largest(const double *values, size_t count, uint32_t *order);

#endif
