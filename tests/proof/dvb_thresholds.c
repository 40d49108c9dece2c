/* Needed SNRs of the second pair by simulation. Each line tells the points of one code: SNR, what
 * was counted, what of it was wrong; of DVB-T then the SNR where a line through the logarithms of
 * the last points meets the document's bit error rate. Arguments: "t" (DVB-T), "hierarchy" (DVB-T's
 * two streams), "t2" or "rotated" (DVB-T2's rotated constellations, in fading alone), else all of
 * them; how many threads, how many errors and frames at most a point of DVB-T2. White noise, then
 * independent Rayleigh cells. The steps begin where the mutual information says that nothing
 * decodes and end below the rate asked for. `make build/dvb_thresholds-static` builds it for a
 * machine with many processors. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/complex.h"
#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/dvbt_snr.h"
#include "proof/annex_b.h"
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
    printf("t2%s %s %s %s %s", code->rotation ? "r" : "", t2_length_name(code->length),
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

#define BIT_ERROR_RATE 2e-4
#define FITTED 6
#define UNITS 30 /* 2 million bits */

/* A line by least squares through the logarithms of the last points' rates. */
struct fall {
    int count;
    double snr_db[FITTED], log_rate[FITTED];
};

static void fall_add(struct fall *fall, double snr_db, double rate)
{
    int at = fall->count++ % FITTED;
    fall->snr_db[at] = snr_db;
    fall->log_rate[at] = log10(rate);
}

static double fall_need_db(const struct fall *fall)
{
    int count = fall->count < FITTED ? fall->count : FITTED;
    double x = 0.0, y = 0.0, xx = 0.0, xy = 0.0;
    for (int i = 0; i < count; i++) {
        x += fall->snr_db[i] / count;
        y += fall->log_rate[i] / count;
    }
    for (int i = 0; i < count; i++) {
        xx += (fall->snr_db[i] - x) * (fall->snr_db[i] - x);
        xy += (fall->snr_db[i] - x) * (fall->log_rate[i] - y);
    }
    return x + (log10(BIT_ERROR_RATE) - y) * xx / xy;
}

static double bit_error_rate(const struct dvbt_setup *setup, double snr_db)
{
    struct dvbt_point point = {.cell_snr_db = snr_db, .setup = setup};
    struct run_job job = dvbt_run_job(&point);
    struct run_limits whole = limits;
    struct run_watch watch;
    struct run_counts counts;
    whole.errors = 0;
    whole.frames = (long)UNITS * DVBT_UNIT_WORDS;
    run_watch_clear(&watch);
    if (run_execute(&job, &whole, &watch, &counts) != STATUS_OK) {
        exit(1);
    }
    double rate = run_bit_error_rate(&counts);
    if (rate < 10.0 * BIT_ERROR_RATE && rate > 0.0) {
        print_point(snr_db, (long)counts.bits, (long)counts.bit_errors);
    }
    return rate;
}

/* ---- DVB-T's channels: white noise, the two of annex B, independent Rayleigh cells. ---- */

enum place { PLACE_AWGN, PLACE_F1, PLACE_P1, PLACE_RAYLEIGH, PLACE_COUNT };
static const struct {
    const char *name;
    double step_db;
} places[PLACE_COUNT] = {[PLACE_AWGN] = {"awgn", 0.1},
                         [PLACE_F1] = {"F1", 0.1},
                         [PLACE_P1] = {"P1", 0.25},
                         [PLACE_RAYLEIGH] = {"rayleigh", 0.25}};

/* Power by carrier, over that of all paths. */
static void fill_gains(const struct dvbt *mode, bool direct, float *gains)
{
    struct ofdm_grid grid = dvbt_grid(mode, 8);
    double power = 0.0;
    for (int i = 0; i < ANNEX_B_PATHS; i++) {
        power += annex_b[i][0] * annex_b[i][0];
    }
    for (int k = 0; k < grid.carriers; k++) {
        double mhz = (k - (grid.carriers - 1) / 2) * grid.spacing_hz * 1e-6;
        double complex sum = direct ? sqrt(10.0 * power) : 0.0;
        for (int i = 0; i < ANNEX_B_PATHS; i++) {
            double angle = -annex_b[i][2] - 2.0 * PI * mhz * annex_b[i][1];
            sum += annex_b[i][0] * CMPLX(cos(angle), sin(angle));
        }
        gains[k] = (float)(creal(sum * conj(sum)) / (direct ? 11.0 * power : power));
    }
}

static void sweep_t(const struct dvbt *mode, enum place place)
{
    static float gains[DVBT_CARRIERS_MAX];
    struct dvbt_setup setup = {.mode = *mode,
                               .channel = place == PLACE_AWGN       ? CHANNEL_AWGN
                                          : place == PLACE_RAYLEIGH ? CHANNEL_RAYLEIGH
                                                                    : CHANNEL_CARRIERS,
                               .gain_power = gains};
    double step_db = places[place].step_db;
    double start_db = dvbt_limit_db(mode, place < PLACE_P1 ? FADING_AWGN : FADING_RAYLEIGH) + 1.5;
    double snr_db = round(start_db / step_db) * step_db;
    struct fall fall = {0};
    fill_gains(mode, place == PLACE_F1, gains);
    printf("t %s %s %s %s %s", dvbt_constellation_name(mode->constellation),
           dvbt_rate_name(dvbt_stream_rate(mode)), dvbt_hierarchy_name(mode->hierarchy),
           dvbt_priority_name(mode->priority), places[place].name);
    for (double rate = 1.0; rate > BIT_ERROR_RATE; snr_db += step_db) {
        rate = bit_error_rate(&setup, snr_db);
        if (rate < 10.0 * BIT_ERROR_RATE && rate > 0.0) {
            fall_add(&fall, snr_db, rate);
        }
    }
    printf(" = %.2f\n", fall_need_db(&fall));
}

static void sweep_all_t(enum place place)
{
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_RATE_COUNT; i++) {
        sweep_t(&(struct dvbt){.fft = DVBT_8K,
                               .constellation = (enum dvbt_constellation)(i / DVBT_RATE_COUNT),
                               .rate = (enum dvbt_rate)(i % DVBT_RATE_COUNT)},
                place);
    }
}

/* Both streams of each constellation that has two, at each distance. */
static void sweep_hierarchies(enum place place)
{
    for (int i = 0; i < DVBT_HIERARCHY_COUNT * DVBT_PRIORITY_COUNT * DVBT_RATE_COUNT * 2; i++) {
        enum dvbt_rate rate = (enum dvbt_rate)(i % DVBT_RATE_COUNT);
        struct dvbt mode = {
            .fft = DVBT_8K,
            .constellation = i / DVBT_RATE_COUNT % 2 ? DVBT_64QAM : DVBT_16QAM,
            .priority = i / DVBT_RATE_COUNT / 2 % 2 ? DVBT_LOW : DVBT_HIGH,
            .hierarchy = (enum dvbt_hierarchy)(i / DVBT_RATE_COUNT / 4),
            .rate = rate,
            .low_rate = rate,
        };
        if (mode.hierarchy != DVBT_PLAIN) {
            sweep_t(&mode, place);
        }
    }
}

static void sweep_all_t2(bool rotation, enum fading fading)
{
    for (int i = 0; i < T2_LENGTH_COUNT * T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        sweep_t2(
            &(struct t2_code){
                .length = (enum t2_length)(i / (T2_CONSTELLATION_COUNT * T2_PLP_RATES)),
                .constellation = (enum t2_constellation)(i / T2_PLP_RATES % T2_CONSTELLATION_COUNT),
                .rate = (enum t2_rate)(i % T2_PLP_RATES),
                .rotation = rotation},
            fading);
    }
}

int main(int argc, char **argv)
{
    const char *which = argc > 1 ? argv[1] : "";
    limits.threads = argc > 2 ? atoi(argv[2]) : run_processors();
    limits.errors = argc > 3 ? atol(argv[3]) : 40;
    limits.frames = argc > 4 ? atol(argv[4]) : 20000;
    bool t = strcmp(which, "t") == 0, hierarchy = strcmp(which, "hierarchy") == 0;
    bool t2 = strcmp(which, "t2") == 0, rotated = strcmp(which, "rotated") == 0;
    bool all = !t && !hierarchy && !t2 && !rotated;
    for (int place = 0; place < PLACE_COUNT; place++) {
        if (all || t) {
            sweep_all_t((enum place)place);
        }
        if (all || hierarchy) {
            sweep_hierarchies((enum place)place);
        }
    }
    for (int fading = 0; fading < FADING_COUNT && (all || t2); fading++) {
        sweep_all_t2(false, (enum fading)fading);
    }
    if (all || rotated) {
        sweep_all_t2(true, FADING_RAYLEIGH);
    }
    return 0;
}
