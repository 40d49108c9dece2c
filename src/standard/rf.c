/* The US channel plan, 47 CFR 73.603, and the bands of the planning factors. */
#include "standard/rf.h"

#include <math.h>
#include <stddef.h>

#define CHANNEL_MHZ 6.0
#define CENTER_TOLERANCE_MHZ 0.010

static const struct {
    int first, last;
    double low_mhz; /* lower edge of the first channel */
} plan_rows[] = {{2, 4, 54.0}, {5, 6, 76.0}, {7, 13, 174.0}, {14, 36, 470.0}}; /* 47 CFR 73.603 */

#define PLAN_ROWS (sizeof plan_rows / sizeof plan_rows[0])

static const struct {
    const char *name;
    double below_mhz;
} band_rows[BAND_COUNT] = {[BAND_LOW_VHF] = {"low VHF", 130.0},
                           [BAND_HIGH_VHF] = {"high VHF", 300.0},
                           [BAND_UHF] = {"UHF", INFINITY}};

bool rf_channel_exists(int channel)
{
    return channel >= RF_CHANNEL_MIN && channel <= RF_CHANNEL_MAX;
}

double rf_center_mhz(int channel)
{
    for (size_t i = 0; i < PLAN_ROWS; i++) {
        if (channel >= plan_rows[i].first && channel <= plan_rows[i].last) {
            return plan_rows[i].low_mhz + CHANNEL_MHZ * (channel - plan_rows[i].first + 0.5);
        }
    }
    return NAN;
}

int rf_channel_at(double center_mhz)
{
    for (int channel = RF_CHANNEL_MIN; channel <= RF_CHANNEL_MAX; channel++) {
        if (fabs(rf_center_mhz(channel) - center_mhz) <= CENTER_TOLERANCE_MHZ) {
            return channel;
        }
    }
    return 0;
}

enum band rf_band(double center_mhz)
{
    int band = BAND_LOW_VHF;
    while (band < BAND_UHF && center_mhz >= band_rows[band].below_mhz) {
        band++;
    }
    return (enum band)band;
}

const char *band_name(enum band band)
{
    return (unsigned)band < BAND_COUNT ? band_rows[band].name : "?";
}
