#ifndef STANDARD_RF_H
#define STANDARD_RF_H

#include <stdbool.h>
#include <stddef.h>

/* Channel plans, and the bands of the planning factors. */

enum channel_plan {
    PLAN_US,       /* 47 CFR 73.603: 2-36, 6 MHz each */
    PLAN_REGION_1, /* ITU Region 1, GE06: VHF III 5-12, 7 MHz each; UHF 21-48, 8 MHz each */
    PLAN_COUNT
};
enum band { BAND_LOW_VHF, BAND_HIGH_VHF, BAND_UHF, BAND_COUNT };

/* Over all plans. */
#define RF_CHANNEL_MIN 2
#define RF_CHANNEL_MAX 48

bool rf_channel_exists(enum channel_plan plan, int channel);
/* "2 to 36", "5 to 12 or 21 to 48". */
void rf_channels_words(enum channel_plan plan, char *buffer, size_t size);
double rf_center_mhz(enum channel_plan plan, int channel); /* NAN where there is none */
int rf_width_mhz(enum channel_plan plan, int channel);     /* 0 where there is none */
/* From the lowest channel's lower edge to the highest one's upper. */
void rf_span_mhz(enum channel_plan plan, double *low_mhz, double *high_mhz);
/* Whose middle lies within 10 kHz; 0 where there is none. */
int rf_channel_at(enum channel_plan plan, double center_mhz);

enum band rf_band(double center_mhz);  /* below 130 low VHF, below 300 high VHF, else UHF */
const char *band_name(enum band band); /* "low VHF", "high VHF", "UHF" */

#endif
