#ifndef PHYSICS_AIR_NOISE_H
#define PHYSICS_AIR_NOISE_H

#include "physics/receiver.h"
#include "standard/rf.h"

/* Noise, level and planning factors. */

double noise_thermal_dbm(double bandwidth_mhz); /* kTB at 290 K: -106.2 dBm in 6 MHz */

/* Man-made noise over kTB in dB (ITU-R P.372); -INFINITY for none. */
double noise_man_made_db(enum man_made_noise kind, double center_mhz);

/* Thermal noise with the noise figure, plus man-made noise received by the antenna less line loss:
 * power referred to the receiver's input, dBm. */
double noise_total_dbm(const struct receiver *receiver, double bandwidth_mhz, double center_mhz);

struct planning_factors {
    double mean_mhz, dipole_db, gain_dbd, line_db, noise_figure_db, man_made_db; /* an allowance */
};
/* Low VHF is not used in Region 1: its factors are those of high VHF. */
const struct planning_factors *planning_factors(enum channel_plan plan, enum band band);
const char *planning_source(enum channel_plan plan);

/* Of the channel's width, that in which the plan counts noise: in Region 1 what carriers occupy,
 * 7.61 of 8 MHz (BT.2033). */
double noise_bandwidth_mhz(enum channel_plan plan, double bandwidth_mhz);

/* Field strength that a C/N asks for with the plan's factors of the band, dBuV/m. The noise follows
 * the channel's width; that of OET Bulletin 69, whose channels are of 6 MHz, from there. */
double planning_field_dbuvm(enum channel_plan plan, double cn_db, double center_mhz,
                            double bandwidth_mhz);

/* Level from field: dBm = dBuV/m - 20 log10(MHz) - 75.07 + gain (dBd) - line loss. */
double level_from_field_dbm(double field_dbuvm, double center_mhz, double gain_dbd, double line_db);

#endif
