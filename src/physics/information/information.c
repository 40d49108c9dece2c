/* Mutual information by the committed table; information_curve.c says how it is read. */
#include "physics/information/information.h"

#include "physics/information/curve.h"

static struct information_curve curve_of(enum constellation constellation, int rate_15ths)
{
    int set = information_set(constellation, rate_15ths);
    return (struct information_curve){
        .microbits = information_microbits + information_starts[set],
        .count = information_starts[set + 1] - information_starts[set],
    };
}

double information_awgn(enum constellation constellation, int rate_15ths, double snr_db)
{
    struct information_curve curve = curve_of(constellation, rate_15ths);
    return information_curve_bits(&curve, snr_db);
}

double information_rayleigh(enum constellation constellation, int rate_15ths, double mean_snr_db)
{
    struct information_curve curve = curve_of(constellation, rate_15ths);
    return information_curve_rayleigh(&curve, mean_snr_db);
}

double information_inverse_db(enum constellation constellation, int rate_15ths, double bits)
{
    struct information_curve curve = curve_of(constellation, rate_15ths);
    return information_curve_snr_db(&curve, bits);
}

double information_inverse_rayleigh_db(enum constellation constellation, int rate_15ths,
                                       double bits)
{
    struct information_curve curve = curve_of(constellation, rate_15ths);
    return information_curve_rayleigh_snr_db(&curve, bits);
}
