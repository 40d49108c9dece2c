/* Looks entries of threshold_table.c up, and says how far down their counts reach. */
#include "physics/information/thresholds.h"

#include <math.h>

const struct threshold *threshold_find(enum code_length length, enum constellation constellation,
                                       int rate_15ths, enum fading fading)
{
    for (size_t i = 0; i < threshold_count; i++) {
        const struct threshold *row = &threshold_table[i];
        if (row->length == length && row->constellation == constellation &&
            row->rate_15ths == rate_15ths && row->fading == fading) {
            return row;
        }
    }
    return NULL;
}

double threshold_snr_db(enum code_length length, enum constellation constellation, int rate_15ths,
                        enum fading fading)
{
    const struct threshold *row = threshold_find(length, constellation, rate_15ths, fading);
    return row ? (double)row->snr_db : NAN;
}

double threshold_counted_rate(const struct threshold *threshold)
{
    double lowest = 1.0;
    for (int i = 0; i < THRESHOLD_POINTS_MAX; i++) {
        const struct threshold_point *point = &threshold->points[i];
        if (point->errors >= THRESHOLD_TELLING_ERRORS) {
            lowest = fmin(lowest, (double)point->errors / (double)point->frames);
        }
    }
    return lowest;
}

int threshold_is_extrapolated(const struct threshold *threshold)
{
    return threshold_counted_rate(threshold) > THRESHOLD_FRAME_ERROR_RATE;
}
