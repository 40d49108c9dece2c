/* The frontier as a picture: for each required SNR the best rate, and the best that bears echoes.
 */
#include "present/picture/pictures_weigh.h"

#include <math.h>

#include "study/weigh/weigh.h"

#define SNR_LOW_DB (-10.0)
#define SNR_STEP_DB 0.25
#define SNR_STEPS 201 /* to 40 dB */

/* Fills y with the best rate of the modes that need at most the SNR of each step and bear at least
 * `echo_us`; NAN before the first of them. */
static void fill_best(const struct weigh_space *space, double echo_us, struct series *series)
{
    for (size_t i = 0; i < SNR_STEPS; i++) {
        series->x[i] = SNR_LOW_DB + SNR_STEP_DB * (double)i;
        series->y[i] = NAN;
    }
    for (size_t i = 0; i < space->count; i++) {
        double step = ceil((space->modes[i].snr_db - SNR_LOW_DB) / SNR_STEP_DB);
        if (!(step < SNR_STEPS) || weigh_echo_us(space, i) < echo_us) {
            continue;
        }
        size_t at = step > 0.0 ? (size_t)step : 0;
        series->y[at] = fmax(series->y[at], space->modes[i].net_mbps); /* fmax leaves NAN out */
    }
    for (size_t i = 1; i < SNR_STEPS; i++) {
        series->y[i] = fmax(series->y[i], series->y[i - 1]);
    }
}

bool pictures_frontier(const struct picture_case *shown, struct picture *out)
{
    struct weigh_space space;
    if (weigh_space_make(shown->scenario, SNR_RECEIVER, &space, NULL) != STATUS_OK) {
        return false;
    }
    double echo_us = report_facts(shown->report, GENERATION_SECOND)->echo_after_us;
    char label[64];
    text_format(label, sizeof label, "echoes up to %.1f us", echo_us);
    struct series *best = picture_add_series(out, SERIES_STEPS, ROLE_DIM, "any mode", SNR_STEPS);
    struct series *bearing = picture_add_series(out, SERIES_STEPS, ROLE_GOOD, label, SNR_STEPS);
    bool made = best && bearing;
    if (made) {
        fill_best(&space, -1.0, best);
        fill_best(&space, echo_us - 1e-9, bearing);
        double most = best->y[SNR_STEPS - 1];
        text_format(out->title, sizeof out->title, "The best bit rate at each SNR");
        text_format(out->note, sizeof out->note,
                    "Of all legal modes of the bandwidth. Receiver SNR without echoes.");
        out->x = (struct axis){.label = "receiver SNR", .unit = "dB", .low = -10.0, .high = 40.0};
        out->y = (struct axis){
            .label = "net rate", .unit = "Mbit/s", .low = 0.0, .high = 1.05 * fmax(most, 20.0)};
        made = pictures_add_modes(shown, out);
    }
    weigh_space_free(&space);
    return made;
}
