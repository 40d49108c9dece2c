/* A unit is as many whole symbols as its Reed-Solomon words and the outer interleaver's depth take.
 * Cell q of a symbol, before the symbol interleaver, lies on the data carrier H(q) of even symbols;
 * in odd ones the carrier q takes cell H(q). */
#include "simulation/dvbt/chain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "simulation/dvbt/viterbi.h"

#define DEPTH_WORDS 11 /* that the outer interleaver delays its last branch by */
#define WORD_BITS (8 * DVBT_RS_BYTES)

struct dvbt_worker {
    struct dvbt_setup setup;
    int cells, bits; /* a symbol, a cell */
    int symbols, information, coded;
    int level_count;
    double levels[DVBT_LEVELS_MAX];
    struct dvbt_demux demux;
    uint16_t *order;
    int16_t *carriers[DVBT_DY]; /* of the data cells, by symbol of the pilots' cycle */
    uint8_t *sent, *sent_coded, *decided, *cell_bits;
    float *ratios, *cell_ratios;
    uint64_t *decisions;
};

static int unit_symbols(const struct dvbt *mode)
{
    double a_symbol = dvbt_data_cells(mode->fft) * dvbt_stream_bits(mode) *
                      dvbt_rate_value(dvbt_stream_rate(mode));
    return (int)ceil((DVBT_UNIT_WORDS + DEPTH_WORDS) * WORD_BITS / a_symbol - 1e-9);
}

static void fill_carriers(struct dvbt_worker *worker)
{
    uint8_t kinds[DVBT_CARRIERS_MAX];
    for (int l = 0; l < DVBT_DY; l++) {
        int count = 0, carriers = dvbt_map(worker->setup.mode.fft, l, kinds);
        for (int k = 0; k < carriers; k++) {
            if (kinds[k] == DVBT_CELL) {
                worker->carriers[l][count++] = (int16_t)k;
            }
        }
    }
}

struct dvbt_worker *dvbt_worker_create(const struct dvbt_setup *setup)
{
    struct dvbt_worker *w = calloc(1, sizeof *w);
    if (w == NULL) {
        return NULL;
    }
    const struct dvbt *mode = &setup->mode;
    w->setup = *setup;
    w->cells = dvbt_data_cells(mode->fft);
    w->bits = dvbt_constellation_bits(mode->constellation);
    w->symbols = unit_symbols(mode);
    w->coded = w->symbols * w->cells * dvbt_stream_bits(mode);
    w->information = (int)lround(w->coded * dvbt_rate_value(dvbt_stream_rate(mode)));
    w->level_count = dvbt_levels(mode, w->levels);
    w->demux = dvbt_demux(mode);
    size_t all = (size_t)w->symbols * (size_t)w->cells * (size_t)w->bits;
    w->order = calloc((size_t)w->cells, sizeof *w->order);
    w->sent = calloc((size_t)w->information, 1);
    w->decided = calloc((size_t)w->information, 1);
    w->sent_coded = calloc(2 * (size_t)w->information, 1);
    w->cell_bits = calloc(all, 1);
    w->ratios = calloc((size_t)w->coded, sizeof *w->ratios);
    w->cell_ratios = calloc(all, sizeof *w->cell_ratios);
    w->decisions = calloc((size_t)w->information, sizeof *w->decisions);
    bool complete = w->order && w->sent && w->decided && w->sent_coded && w->cell_bits &&
                    w->ratios && w->cell_ratios && w->decisions;
    for (int l = 0; l < DVBT_DY; l++) {
        w->carriers[l] = calloc((size_t)w->cells, sizeof *w->carriers[l]);
        complete = complete && w->carriers[l] != NULL;
    }
    if (!complete) {
        dvbt_worker_free(w);
        return NULL;
    }
    dvbt_symbol_order(mode->fft, w->order);
    fill_carriers(w);
    return w;
}

void dvbt_worker_free(struct dvbt_worker *worker)
{
    if (worker == NULL) {
        return;
    }
    for (int l = 0; l < DVBT_DY; l++) {
        free(worker->carriers[l]);
    }
    free(worker->order);
    free(worker->sent);
    free(worker->decided);
    free(worker->sent_coded);
    free(worker->cell_bits);
    free(worker->ratios);
    free(worker->cell_ratios);
    free(worker->decisions);
    free(worker);
}

/* Where coded bit k of the unit stands among the bits of all cells, in the order of carriers. */
static size_t place_of(const struct dvbt_worker *w, int k)
{
    int stream = w->demux.streams[k % w->demux.bits], n = k / w->demux.bits;
    int symbol = n / w->cells, inside = n % w->cells;
    /* Output w of a block is read from place (w + shift): so place p goes to (p - shift). */
    int shift = dvbt_bit_from(stream, 0);
    int block = inside / DVBT_BIT_BLOCK, p = inside % DVBT_BIT_BLOCK;
    int q = block * DVBT_BIT_BLOCK + (p - shift + DVBT_BIT_BLOCK) % DVBT_BIT_BLOCK;
    return ((size_t)symbol * (size_t)w->cells + (size_t)q) * (size_t)w->bits + (size_t)stream;
}

static void fill_random(struct random *random, uint8_t *bits, size_t count)
{
    for (size_t i = 0; i < count; i += 64) {
        uint64_t word = random_bits(random);
        for (size_t k = i; k < count && k < i + 64; k++) {
            bits[k] = word >> (k - i) & 1;
        }
    }
}

/* The power gain that cell q of a symbol meets. */
static double gain_of(const struct dvbt_worker *w, int symbol, int q, const uint16_t *inverse,
                      struct random *random)
{
    switch (w->setup.channel) {
    case CHANNEL_RAYLEIGH:
        return -log(1.0 - random_uniform(random));
    case CHANNEL_CARRIERS: {
        int carrier = symbol % 2 == 0 ? w->order[q] : inverse[q];
        return (double)w->setup.gain_power[w->carriers[symbol % DVBT_DY][carrier]];
    }
    default:
        return 1.0;
    }
}

/* Log-likelihood ratios of an axis's bits from what was received there, exact. */
static void demap_axis(const struct dvbt_worker *w, double received, double gain,
                       double inverse_noise, float *ratios)
{
    double exponents[DVBT_LEVELS_MAX], largest = -INFINITY;
    int bits = w->bits / 2;
    for (int i = 0; i < w->level_count; i++) {
        double apart = received - gain * w->levels[i];
        exponents[i] = -apart * apart * inverse_noise;
        largest = fmax(largest, exponents[i]);
    }
    for (int i = 0; i < w->level_count; i++) {
        exponents[i] = exp(exponents[i] - largest);
    }
    for (int b = 0; b < bits; b++) {
        double sums[2] = {1e-30, 1e-30};
        for (int i = 0; i < w->level_count; i++) {
            sums[i >> (bits - 1 - b) & 1] += exponents[i];
        }
        ratios[2 * b] = (float)log(sums[0] / sums[1]);
    }
}

static int level_index(const uint8_t *bits, int count)
{
    int index = 0;
    for (int b = 0; b < count; b++) {
        index = index << 1 | bits[2 * b];
    }
    return index;
}

/* One cell through the channel: bits 0, 2, 4 on the real axis, 1, 3, 5 on the other. */
static void pass_cell(const struct dvbt_worker *w, size_t cell, double power, double noise_power,
                      struct random *random)
{
    const uint8_t *bits = w->cell_bits + cell * (size_t)w->bits;
    float *ratios = w->cell_ratios + cell * (size_t)w->bits;
    double gain = sqrt(power), sigma = sqrt(noise_power / 2.0);
    for (int axis = 0; axis < 2; axis++) {
        double sent = w->levels[level_index(bits + axis, w->bits / 2)];
        demap_axis(w, gain * sent + sigma * random_normal(random), gain, 1.0 / noise_power,
                   ratios + axis);
    }
}

static void pass_channel(struct dvbt_worker *w, double cell_snr_db, struct random *random)
{
    uint16_t inverse[6048];
    double noise_power = ratio_from_db(-cell_snr_db);
    for (int q = 0; q < w->cells; q++) {
        inverse[w->order[q]] = (uint16_t)q;
    }
    for (int symbol = 0; symbol < w->symbols; symbol++) {
        for (int q = 0; q < w->cells; q++) {
            double power = gain_of(w, symbol, q, inverse, random);
            pass_cell(w, (size_t)symbol * (size_t)w->cells + (size_t)q, power, noise_power, random);
        }
    }
}

/* Words with more wrong bytes than can be corrected. Byte n of the stream before the outer
 * interleaver lies n mod 12 times 17 x 12 bytes later behind it. */
static int count_words(const struct dvbt_worker *w)
{
    int lost = 0;
    for (int word = 0; word < DVBT_UNIT_WORDS; word++) {
        int wrong = 0;
        for (int i = 0; i < DVBT_RS_BYTES; i++) {
            int n = word * DVBT_RS_BYTES + i;
            int branch = n % DVBT_OUTER_BRANCHES;
            int at = 8 * (n + branch * DVBT_OUTER_UNIT * DVBT_OUTER_BRANCHES);
            wrong += memcmp(w->sent + at, w->decided + at, 8) != 0;
        }
        lost += wrong > DVBT_RS_CORRECTABLE;
    }
    return lost;
}

struct dvbt_outcome dvbt_send(struct dvbt_worker *w, double cell_snr_db, uint64_t seed,
                              uint64_t unit)
{
    struct random random = random_seeded(seed, unit);
    enum dvbt_rate rate = dvbt_stream_rate(&w->setup.mode);
    size_t all = (size_t)w->symbols * (size_t)w->cells * (size_t)w->bits;
    fill_random(&random, w->sent, (size_t)w->information);
    (void)viterbi_encode(rate, w->sent, w->information, w->sent_coded);
    fill_random(&random, w->cell_bits, all); /* what the other stream sends */
    for (int k = 0; k < w->coded; k++) {
        w->cell_bits[place_of(w, k)] = w->sent_coded[k];
    }
    pass_channel(w, cell_snr_db, &random);
    for (int k = 0; k < w->coded; k++) {
        w->ratios[k] = w->cell_ratios[place_of(w, k)];
    }
    viterbi_decode(rate, w->ratios, w->information, w->decisions, w->decided);
    struct dvbt_outcome outcome = {.word_errors = count_words(w),
                                   .bits = (DVBT_UNIT_WORDS + DEPTH_WORDS) * WORD_BITS};
    outcome.bits = outcome.bits < w->information ? outcome.bits : w->information;
    for (int i = 0; i < outcome.bits; i++) {
        outcome.bit_errors += w->sent[i] != w->decided[i];
    }
    return outcome;
}

/* ---- As a job. ---- */

static void *worker_create(const void *context)
{
    const struct dvbt_point *point = context;
    return dvbt_worker_create(point->setup);
}

static void worker_free(void *worker)
{
    dvbt_worker_free(worker);
}

static struct run_counts count_unit(const void *context, void *worker, uint64_t seed,
                                    uint64_t number)
{
    const struct dvbt_point *point = context;
    double snr_db = point->cell_snr_db;
    struct dvbt_outcome outcome = dvbt_send(worker, snr_db, run_seed_of_snr(seed, snr_db), number);
    return (struct run_counts){.frames = DVBT_UNIT_WORDS,
                               .frame_errors = outcome.word_errors,
                               .bits = outcome.bits,
                               .bit_errors = outcome.bit_errors};
}

struct run_job dvbt_run_job(const struct dvbt_point *point)
{
    return (struct run_job){.context = point,
                            .worker_create = worker_create,
                            .worker_free = worker_free,
                            .unit = count_unit,
                            .frames_per_unit = DVBT_UNIT_WORDS};
}
