/* One OFDM waveform in a channel: a position's margin, the whole account, and what each further
 * code costs. Budget: 256 positions of both generations in 100 ms, so some 0.15 ms a position. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "scenario/scenario.h"
#include "standard/atsc3/grid.h"

#define POSITIONS 256
#define CARRIERS 1536

/* Of this thread, so that what else runs counts little. */
static double now_us(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1e6 * (double)now.tv_sec + 1e-3 * (double)now.tv_nsec;
}

static struct ofdm_reception reception_of_default(void)
{
    struct transmission mode = transmission_default();
    const struct code *code = &mode.plps[0].code;
    struct ofdm_reception reception = {
        .grid = waveform_grid(&mode.subframes[0].waveform),
        .curve = information_curve_of(code->constellation, code->rate_15ths),
        .ideal_db = ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_AWGN),
        .span_ms = 200.0,
        .carriers_most = CARRIERS,
    };
    reception.needed_db = receiver_snr_from_ideal_db(
        &reception.grid, receiver_backstop_db(code->constellation), reception.ideal_db);
    return reception;
}

static void add_echoes(struct channel *channel, int count, double longest_us, double doppler_hz)
{
    char name[16];
    channel_start(channel, 189e6);
    for (int i = 1; i <= count; i++) {
        struct echo echo = {.delay_us = longest_us * i / count,
                            .level_db = -3.0 - 12.0 * i / count,
                            .phase_deg = NAN,
                            .doppler_hz = doppler_hz * cos(2.0 * PI * i / count)};
        snprintf(name, sizeof name, "%d", i);
        channel_add(channel, &echo, name);
    }
}

static void bench(const char *what, int count, double longest_us, double doppler_hz)
{
    static struct channel channel, drawn;
    static struct ofdm_echo_result result;
    static struct gain_spread spread;
    static struct gain_raster raster;
    struct ofdm_reception reception = reception_of_default(), all = reception;
    struct ofdm_work *work = ofdm_work_new();
    double margin_db, sum_db = 0.0;
    if (!work) {
        return;
    }
    add_echoes(&channel, count, longest_us, doppler_hz);
    double begin = now_us();
    for (uint64_t i = 0; i < POSITIONS; i++) {
        channel_draw(&channel, i, &drawn);
        if (ofdm_echo_margin_db(&reception, &drawn, 24.0, work, &margin_db) == STATUS_OK) {
            sum_db += margin_db;
        }
    }
    double position_us = (now_us() - begin) / POSITIONS;
    all.carriers_most = 0;
    begin = now_us();
    ofdm_echo_solve(&all, &drawn, 24.0, work, &result);
    double account_us = now_us() - begin;
    ofdm_echo_spread(&reception, &drawn, 24.0, work, &spread);
    gain_raster_make(&reception.curve, &raster);
    begin = now_us();
    for (int i = 0; i < 1000; i++) {
        sum_db += gain_spread_effective_db(&spread, &raster, 8.0 + 0.01 * i);
    }
    printf("%-36s a position %7.1f us, the account %7.1f us, a further code %5.2f us  (%.0f)\n",
           what, position_us, account_us, (now_us() - begin) / 1000.0, sum_db / POSITIONS);
    ofdm_work_free(work);
}

int main(void)
{
    bench("6 echoes of a room", 6, 0.4, 0.0);
    bench("6 echoes, some beyond the guard", 6, 240.0, 0.0);
    bench("6 echoes that move", 6, 40.0, 3.0);
    bench("40 echoes", 40, 120.0, 0.0);
    bench("256 echoes", 256, 120.0, 0.0);
    return 0;
}
