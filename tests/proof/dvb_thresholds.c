/* Needed SNRs of the second pair by simulation. Without an argument both systems, white noise and
 * independent Rayleigh cells; each line tells the points of one code: SNR, what was counted, what
 * of it was wrong. Arguments: "t" or "t2", how many threads, how many errors and frames at most a
 * point. The steps begin where the mutual information says that nothing decodes and end below the
 * rate asked for. `make
 * build/dvb-thresholds-static` builds it for a machine with many processors. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/dvbt_snr.h"
#include "simulation/chain/chain_run.h"
#include "simulation/dvbt/chain.h"

#define SEED 20

static struct run_limits limits = {.seed = SEED, .parts = 1, .part = 1};

static void print_point(double snr_db, long of, long wrong)
{
    printf(" %.2f:%ld:%ld", snr_db, of, wrong);
    fflush(stdout);
}

/* Down to a frame error rate of 1e-4 or what the frames allow. */
static void sweep_t2(const struct t2_code *code, enum fading fading)
{
    struct coding coding = coding_of_t2(code);
    struct chain_setup setup = chain_setup_default();
    struct chain *chain = NULL;
    double step_db = code->length == T2_64800 ? 0.05 : 0.1;
    double snr_db = round((t2_limit_db(code, fading) + 0.3) / step_db) * step_db;
    setup.coding = &coding;
    setup.channel = fading == FADING_RAYLEIGH ? CHANNEL_RAYLEIGH : CHANNEL_AWGN;
    if (chain_create(&setup, &chain) != STATUS_OK) {
        exit(1);
    }
    printf("t2 %s %s %s %s", t2_length_name(code->length),
           t2_constellation_name(code->constellation), t2_rate_name(code->rate),
           fading == FADING_RAYLEIGH ? "rayleigh" : "awgn");
    for (double rate = 1.0; rate > 2e-4; snr_db += step_db) {
        struct chain_point point = {.chain = chain, .snr_db = snr_db};
        struct run_job job = chain_run_job(&point);
        struct run_watch watch;
        struct run_counts counts;
        run_watch_clear(&watch);
        if (run_execute(&job, &limits, &watch, &counts) != STATUS_OK) {
            exit(1);
        }
        rate = run_frame_error_rate(&counts);
        if (rate < 0.9) {
            print_point(snr_db, counts.frames, counts.frame_errors);
        }
    }
    printf("\n");
    chain_free(chain);
}

/* Down to a bit error rate of 2e-4. */
static void sweep_t(const struct dvbt *mode, enum fading fading)
{
    struct dvbt_setup setup = {
        .mode = *mode, .channel = fading == FADING_RAYLEIGH ? CHANNEL_RAYLEIGH : CHANNEL_AWGN};
    double step_db = fading == FADING_RAYLEIGH ? 0.25 : 0.1;
    double snr_db = round((dvbt_limit_db(mode, fading) + 2.0) / step_db) * step_db;
    struct run_limits whole = limits;
    whole.errors = 0;
    whole.frames = 30L * DVBT_UNIT_WORDS;
    printf("t %s %s %s %d %s", dvbt_constellation_name(mode->constellation),
           dvbt_rate_name(dvbt_stream_rate(mode)), dvbt_hierarchy_name(mode->hierarchy),
           mode->priority, fading == FADING_RAYLEIGH ? "rayleigh" : "awgn");
    for (double rate = 1.0; rate > 2e-4; snr_db += step_db) {
        struct dvbt_point point = {.cell_snr_db = snr_db, .setup = &setup};
        struct run_job job = dvbt_run_job(&point);
        struct run_watch watch;
        struct run_counts counts;
        run_watch_clear(&watch);
        if (run_execute(&job, &whole, &watch, &counts) != STATUS_OK) {
            exit(1);
        }
        rate = run_bit_error_rate(&counts);
        if (rate < 2e-3) {
            print_point(snr_db, (long)counts.bits, (long)counts.bit_errors);
        }
    }
    printf("\n");
}

static void sweep_all_t(enum fading fading)
{
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_RATE_COUNT; i++) {
        sweep_t(&(struct dvbt){.fft = DVBT_2K,
                               .constellation = (enum dvbt_constellation)(i / DVBT_RATE_COUNT),
                               .rate = (enum dvbt_rate)(i % DVBT_RATE_COUNT)},
                fading);
    }
}

static void sweep_all_t2(enum fading fading)
{
    for (int i = 0; i < T2_LENGTH_COUNT * T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        sweep_t2(
            &(struct t2_code){
                .length = (enum t2_length)(i / (T2_CONSTELLATION_COUNT * T2_PLP_RATES)),
                .constellation = (enum t2_constellation)(i / T2_PLP_RATES % T2_CONSTELLATION_COUNT),
                .rate = (enum t2_rate)(i % T2_PLP_RATES)},
            fading);
    }
}

int main(int argc, char **argv)
{
    const char *which = argc > 1 ? argv[1] : "";
    limits.threads = argc > 2 ? atoi(argv[2]) : run_processors();
    limits.errors = argc > 3 ? atol(argv[3]) : 40;
    limits.frames = argc > 4 ? atol(argv[4]) : 20000;
    for (int fading = 0; fading < FADING_COUNT; fading++) {
        if (strcmp(which, "t2") != 0) {
            sweep_all_t((enum fading)fading);
        }
        if (strcmp(which, "t") != 0) {
            sweep_all_t2((enum fading)fading);
        }
    }
    return 0;
}
