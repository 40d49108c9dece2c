/* The thresholds that others have published, each with its source. */
#include "physics/information/published_snr.h"

#include <math.h>
#include <stddef.h>

/* White noise, simulation, frame error rate 1e-4. */
static const struct row {
    enum code_length length;
    enum constellation constellation;
    int rate_15ths;
    double snr_db;
    const char *source;
} rows[] = {
    {LENGTH_64800, QPSK, 2, -6.1, "ATSC A/327 Annex A"},
    {LENGTH_64800, QAM64, 11, 14.4, "ATSC A/327 Annex A"},
    {LENGTH_64800, QAM256, 11, 18.9, "ATSC A/327 Annex A"},
    {LENGTH_64800, QAM4096, 13, 33.1, "ATSC A/327 Annex A"},
    {LENGTH_16200, QAM64, 11, 14.52, "ATSC A/327 Tables 4.3-4.6"},
};

/* The long code in white noise, rates 2/15 to 13/15: A/327 Table 4.3, from memory. */
static const double remembered[][RATE_COUNT] = {
    [QPSK] = {-6.23, -4.32, -2.89, -1.70, -0.54, 0.30, 1.16, 1.97, 2.77, 3.60, 4.49, 5.53},
    [QAM16] = {-2.73, -0.25, 1.46, 2.82, 4.21, 5.21, 6.30, 7.32, 8.36, 9.50, 10.57, 11.83},
};

struct published_snr published_snr(enum code_length length, enum constellation constellation,
                                   int rate_15ths, enum fading fading)
{
    const struct published_snr none = {.snr_db = NAN};
    if (fading != FADING_AWGN || rate_15ths < RATE_MIN_15THS || rate_15ths > RATE_MAX_15THS) {
        return none;
    }
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (rows[i].length == length && rows[i].constellation == constellation &&
            rows[i].rate_15ths == rate_15ths) {
            return (struct published_snr){rows[i].snr_db, rows[i].source, "A/327"};
        }
    }
    if (length == LENGTH_64800 && (constellation == QPSK || constellation == QAM16)) {
        return (struct published_snr){remembered[constellation][rate_15ths - RATE_MIN_15THS],
                                      "ATSC A/327 Table 4.3, from memory", "A/327 (memory)"};
    }
    return none;
}

struct published_snr published_first_snr(void)
{
    return (struct published_snr){14.9, "ATSC A/54A", "A/54A"};
}
