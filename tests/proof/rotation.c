/* What rotated constellations of DVB-T2 gain, simulated: for some codes, rotated and not, points
 * down the fall of the frame error rate in white noise, with carriers lost, in Rayleigh fading, and
 * in both. SNRs are those of the carriers that are not lost. `make rotation` keeps them in
 * tests/proof/rotation-table.txt, against which mean information is tested as what a rotated
 * constellation needs. Usage: rotation [FRAMES [CODE]]: at each point, long code words a quarter
 * of them; the one code, counted from 0. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "physics/information/dvbt2_snr.h"
#include "physics/ofdm/gain_spread.h"
#include "proof/erasures.h"
#include "simulation/chain/chain_run.h"

#define SEED 22
#define FRAMES 400
#define STEP_DB 0.1

static const struct {
    enum t2_length length;
    enum t2_constellation constellation;
    enum t2_rate rate;
} codes[] = {
    {T2_16200, T2_QPSK, T2_1_2},   {T2_16200, T2_QPSK, T2_3_4},   {T2_16200, T2_QPSK, T2_5_6},
    {T2_16200, T2_16QAM, T2_1_2},  {T2_16200, T2_16QAM, T2_3_4},  {T2_16200, T2_16QAM, T2_5_6},
    {T2_16200, T2_64QAM, T2_1_2},  {T2_16200, T2_64QAM, T2_5_6},  {T2_16200, T2_256QAM, T2_1_2},
    {T2_16200, T2_256QAM, T2_5_6}, {T2_64800, T2_256QAM, T2_2_3},
};

static const struct {
    bool rayleigh;
    int lost_percent;
} channels[] = {{false, 0}, {false, 10}, {true, 0}, {true, 10}};

/* Where mean information says that the channel carries what the code needs in white noise. */
static double guess_db(const struct t2_code *code, const float *gains)
{
    static struct gain_spread spread;
    static struct gain_raster raster;
    struct information_curve curve = t2_curve(code);
    double ideal_db = t2_ideal_snr(code, FADING_AWGN).db;
    gain_spread_clear(&spread);
    gain_spread_add(&spread, gains, ERASURES_CARRIERS);
    gain_spread_normalise(&spread);
    gain_raster_make(&curve, &raster);
    return gain_spread_offset_db(&spread, &raster, information_curve_bits(&curve, ideal_db)) - 0.2;
}

static double rate_at(const struct chain *chain, double snr_db, long frames,
                      struct run_counts *counts)
{
    const struct chain_point point = {chain, snr_db};
    const struct run_job job = chain_run_job(&point);
    const struct run_limits limits = {
        .frames = frames, .seed = SEED, .threads = run_processors(), .part = 1, .parts = 1};
    if (run_execute(&job, &limits, NULL, counts) != STATUS_OK) {
        exit(1);
    }
    return run_frame_error_rate(counts);
}

/* Three points around a frame error rate of 0.1, from a guess: while too many or too few fail it is
 * moved. */
static void tell_curve(const struct t2_code *code, size_t channel, long frames)
{
    static float gains[ERASURES_CARRIERS];
    struct coding coding = coding_of_t2(code);
    struct chain_setup setup = chain_setup_default();
    struct chain *chain;
    struct run_counts counts;
    erasures_fill(channels[channel].rayleigh, channels[channel].lost_percent, gains);
    double snr_db = round(guess_db(code, gains) / STEP_DB) * STEP_DB;
    if (!isfinite(snr_db)) {
        return; /* no SNR suffices */
    }
    setup.coding = &coding;
    setup.channel = CHANNEL_CARRIERS;
    setup.gain_power = gains;
    setup.carriers = ERASURES_CARRIERS;
    if (chain_create(&setup, &chain) != STATUS_OK) {
        exit(1);
    }
    for (int i = 0; i < 30; i++) {
        double rate = rate_at(chain, snr_db, frames / 2, &counts);
        if (rate > 0.05 && rate < 0.25) {
            break;
        }
        snr_db += rate >= 0.25 ? STEP_DB : -STEP_DB;
    }
    printf("%s %s %s | %s | %s %d |", t2_length_name(code->length),
           t2_constellation_name(code->constellation), t2_rate_name(code->rate),
           code->rotation ? "rotated" : "plain", channels[channel].rayleigh ? "rayleigh" : "flat",
           channels[channel].lost_percent);
    for (int i = -1; i <= 1; i++) {
        (void)rate_at(chain, snr_db + i * STEP_DB, frames, &counts);
        printf(" %.1f %ld %ld", snr_db + i * STEP_DB, counts.frames, counts.frame_errors);
    }
    printf("\n");
    fflush(stdout);
    chain_free(chain);
}

int main(int argc, char **argv)
{
    long frames = argc > 1 ? atol(argv[1]) : FRAMES;
    size_t only = argc > 2 ? (size_t)atol(argv[2]) : sizeof codes / sizeof codes[0];
    if (frames < 20) {
        fprintf(stderr, "usage: rotation [FRAMES [CODE]]: 20 or more\n");
        return 2;
    }
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        for (size_t channel = 0; channel < sizeof channels / sizeof channels[0]; channel++) {
            for (int rotated = 0; rotated < 2 && (only == i || argc <= 2); rotated++) {
                struct t2_code code = {codes[i].length, codes[i].rate, codes[i].constellation,
                                       rotated};
                tell_curve(&code, channel, code.length == T2_64800 ? frames / 4 : frames);
            }
        }
    }
    return 0;
}
