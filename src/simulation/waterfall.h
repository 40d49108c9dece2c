#ifndef SIMULATION_WATERFALL_H
#define SIMULATION_WATERFALL_H

#include "base/status.h"

/* The frame error rate of a long code against SNR: a normal distribution function, as the law of
 * finite-length scaling has it (Amraoui, Montanari, Richardson, Urbanke, IEEE Trans. Inf. Theory
 * 55(2), 2009): FER = Q(steepness (SNR dB - middle)). Fitted to counts by maximum likelihood. */

struct waterfall_point {
    double snr_db;
    long frames, errors;
};

struct waterfall {
    double middle_db;        /* SNR at a frame error rate of one half */
    double steepness;        /* standard deviations a dB, positive */
    double covariance[2][2]; /* of the fit's own parameters, z = p[0] + p[1] (SNR - pivot) */
    double pivot_db;
};

/* STATUS_NO_SOLUTION unless the counts show a fall: two SNR at least, with errors at one and good
 * frames at one, falling towards high SNR. */
enum status waterfall_fit(const struct waterfall_point *points, int count, struct waterfall *fit);

/* The SNR of a frame error rate in (0, 1) and the standard error of it that the counts leave. */
double waterfall_snr_db(const struct waterfall *fit, double frame_error_rate);
double waterfall_error_db(const struct waterfall *fit, double frame_error_rate);

#endif
