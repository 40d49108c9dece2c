#ifndef STANDARD_RF_H
#define STANDARD_RF_H

#include <stdbool.h>

/* The US channel plan, 47 CFR 73.603: 2-36, 6 MHz each; and the bands of the planning factors. */

enum band { BAND_LOW_VHF, BAND_HIGH_VHF, BAND_UHF, BAND_COUNT };

#define RF_CHANNEL_MIN 2
#define RF_CHANNEL_MAX 36

bool rf_channel_exists(int channel);
double rf_center_mhz(int channel);
int rf_channel_at(double center_mhz);  /* whose middle lies within 10 kHz; 0 where there is none */
enum band rf_band(double center_mhz);  /* below 130 low VHF, below 300 high VHF, else UHF */
const char *band_name(enum band band); /* "low VHF", "high VHF", "UHF" */

#endif
