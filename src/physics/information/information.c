/* Mutual information by the committed table; curve.c says how it is read. */
#include "physics/information/information.h"

#include <assert.h>

#include "physics/information/sets.h"

int information_set(enum constellation constellation, int rate_15ths)
{
    assert(rate_15ths >= RATE_MIN_15THS && rate_15ths <= RATE_MAX_15THS);
    return constellation == QPSK
               ? 0
               : 1 + ((int)constellation - QAM16) * RATE_COUNT + rate_15ths - RATE_MIN_15THS;
}

struct information_curve information_curve_of(enum constellation constellation, int rate_15ths)
{
    int set = information_set(constellation, rate_15ths);
    return (struct information_curve){
        .microbits = information_microbits + information_starts[set],
        .count = information_starts[set + 1] - information_starts[set],
    };
}

double information_awgn(enum constellation constellation, int rate_15ths, double snr_db)
{
    struct information_curve curve = information_curve_of(constellation, rate_15ths);
    return information_curve_bits(&curve, snr_db);
}

double information_rayleigh(enum constellation constellation, int rate_15ths, double mean_snr_db)
{
    struct information_curve curve = information_curve_of(constellation, rate_15ths);
    return information_curve_rayleigh(&curve, mean_snr_db);
}

double information_inverse_db(enum constellation constellation, int rate_15ths, double bits)
{
    struct information_curve curve = information_curve_of(constellation, rate_15ths);
    return information_curve_snr_db(&curve, bits);
}

double information_inverse_rayleigh_db(enum constellation constellation, int rate_15ths,
                                       double bits)
{
    struct information_curve curve = information_curve_of(constellation, rate_15ths);
    return information_curve_rayleigh_snr_db(&curve, bits);
}
