/* Channel plans: of the United States, 47 CFR 73.603, and of ITU Region 1 (Geneva 2006, from
 * memory; UHF above channel 48 has gone to mobile services); and the bands of the planning factors.
 */
#include "standard/rf.h"

#include <math.h>

#include "base/text.h"

#define CENTER_TOLERANCE_MHZ 0.010
#define RUNS_MAX 4

/* Channels side by side; all zero behind the last run. 47 CFR 73.603; ITU Region 1, GE06: from
 * memory. */
static const struct run {
    int first, last, width_mhz;
    double low_mhz; /* lower edge of the first channel */
} plans[PLAN_COUNT][RUNS_MAX] = {
    [PLAN_US] = {{2, 4, 6, 54.0}, {5, 6, 6, 76.0}, {7, 13, 6, 174.0}, {14, 36, 6, 470.0}},
    [PLAN_REGION_1] = {{5, 12, 7, 174.0}, {21, 48, 8, 470.0}},
};

static const struct {
    const char *name;
    double below_mhz;
} band_rows[BAND_COUNT] = {[BAND_LOW_VHF] = {"low VHF", 130.0},
                           [BAND_HIGH_VHF] = {"high VHF", 300.0},
                           [BAND_UHF] = {"UHF", INFINITY}};

static const struct run *run_of(enum channel_plan plan, int channel)
{
    for (int i = 0; i < RUNS_MAX; i++) {
        const struct run *run = &plans[plan][i];
        if (run->first > 0 && channel >= run->first && channel <= run->last) {
            return run;
        }
    }
    return NULL;
}

bool rf_channel_exists(enum channel_plan plan, int channel)
{
    return run_of(plan, channel) != NULL;
}

void rf_channels_words(enum channel_plan plan, char *buffer, size_t size)
{
    size_t used = 0;
    const struct run *runs = plans[plan];
    for (int i = 0, last; i < RUNS_MAX && runs[i].first > 0; i = last + 1) {
        for (last = i; last + 1 < RUNS_MAX && runs[last + 1].first == runs[last].last + 1; last++) {
        }
        used += text_format(buffer + used, size - used, "%s%d to %d", i > 0 ? " or " : "",
                            runs[i].first, runs[last].last);
    }
}

double rf_center_mhz(enum channel_plan plan, int channel)
{
    const struct run *run = run_of(plan, channel);
    return run != NULL ? run->low_mhz + run->width_mhz * (channel - run->first + 0.5) : NAN;
}

int rf_width_mhz(enum channel_plan plan, int channel)
{
    const struct run *run = run_of(plan, channel);
    return run != NULL ? run->width_mhz : 0;
}

void rf_span_mhz(enum channel_plan plan, double *low_mhz, double *high_mhz)
{
    *low_mhz = INFINITY;
    *high_mhz = -INFINITY;
    for (int channel = RF_CHANNEL_MIN; channel <= RF_CHANNEL_MAX; channel++) {
        double center_mhz = rf_center_mhz(plan, channel),
               half_mhz = rf_width_mhz(plan, channel) / 2.0;
        *low_mhz = fmin(*low_mhz, center_mhz - half_mhz); /* past NAN */
        *high_mhz = fmax(*high_mhz, center_mhz + half_mhz);
    }
}

int rf_channel_at(enum channel_plan plan, double center_mhz)
{
    for (int channel = RF_CHANNEL_MIN; channel <= RF_CHANNEL_MAX; channel++) {
        if (fabs(rf_center_mhz(plan, channel) - center_mhz) <= CENTER_TOLERANCE_MHZ) {
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
