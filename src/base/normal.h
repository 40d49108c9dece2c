#ifndef BASE_NORMAL_H
#define BASE_NORMAL_H

/* The normal distribution's quantile, 0 < probability < 1. */
double normal_quantile(double probability);

#endif
