#ifndef SIMULATION_MODEM_SUPERPOSED_H
#define SIMULATION_MODEM_SUPERPOSED_H

#include "simulation/modem/modem.h"

/* One constellation sent upon another: cells lower + alpha x upper. */

/* Log-likelihood ratios of the lower one's bits, whatever the upper one's are: all points of both
 * are summed over, exactly. `cells` a multiple of KERNEL_LANES, in units of the lower one. */
void superposed_demap(const struct modem *lower, const struct modem *upper, float alpha,
                      struct received cells, struct bit_planes to);

/* The same by definition, in double precision, of one cell. */
void superposed_demap_by_definition(const struct modem *lower, const struct modem *upper,
                                    double alpha, double re, double im, double inverse_noise,
                                    double *llr);

#endif
