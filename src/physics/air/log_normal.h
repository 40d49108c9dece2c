#ifndef PHYSICS_AIR_LOG_NORMAL_H
#define PHYSICS_AIR_LOG_NORMAL_H

#include <stddef.h>

/* Powers that are normally distributed in dB over locations. */
struct log_normal {
    double mean_db, deviation_db;
};

/* The sum of uncorrelated ones, itself taken as log-normal: k-LNM. */
struct log_normal log_normal_sum(const struct log_normal *parts, size_t count, double k);

/* What planners take for k: 0.7 at a deviation of 5.5 dB. */
#define LOG_NORMAL_K 0.7

/* What is exceeded at a share 0..1 of the locations. */
double log_normal_exceeded_db(const struct log_normal *power, double share);

#endif
