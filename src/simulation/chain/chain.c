/* Bits lie in planes (bit y of every cell side by side), because the bit interleaver then moves
 * nothing but runs of neighbouring bits: 360 at a time, but for the leftover part of some modes.
 * An ideal equaliser divides each cell by its gain g, so that the receiver sees point + noise / g
 * with the noise power N / |g|^2, which it knows; the phase of g does not matter, as the noise has
 * none. */
#include "simulation/chain/chain.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "simulation/ldpc/bch.h"
#include "simulation/ldpc/encoder.h"
#include "simulation/modem/modem.h"
#include "simulation/modem/noise.h"
#include "standard/atsc3/bit_interleaver.h"
#include "standard/atsc3/ldpc.h"

#define PADDING (2 * KERNEL_LANES)

#define GAIN_POWER_MIN 1e-9f /* a deeper fade says nothing anyway */
#define SHUFFLE_SEED 1       /* order in which cells take carriers */

/* `length` neighbouring bits of the code word that are neighbours in the planes too. */
struct interleaver_run {
    int code, plane, length;
};

struct chain {
    struct chain_setup setup;
    struct ldpc_code code;
    struct bch bch;
    struct modem modem;
    const struct kernels *kernels;
    int payload_bits;
    int cells;
    int stride; /* of a plane: cells, padded */
    int run_count;
    struct interleaver_run *runs;
    float *gain_power; /* by carrier, shuffled; NULL: none */
};

struct chain_worker {
    const struct chain *chain;
    struct ldpc_decoder *decoder;
    uint8_t *bits, *decided, *planes;
    float *re, *im, *noise, *gain_power, *inverse_noise, *llr_planes, *llr;
};

struct chain_setup chain_setup_default(void)
{
    return (struct chain_setup){.length = LENGTH_64800,
                                .constellation = QAM256,
                                .rate_15ths = 10,
                                .outer = OUTER_BCH,
                                .algorithm = LDPC_SUM_PRODUCT,
                                .iterations = 50,
                                .early_stop = true,
                                .demapper = DEMAP_EXACT,
                                .channel = CHANNEL_AWGN};
}

static enum status setup_check(const struct chain_setup *setup)
{
    if (!constellation_is_allowed(setup->length, setup->constellation)) {
        return STATUS_ILLEGAL;
    }
    if (setup->rate_15ths < RATE_MIN_15THS || setup->rate_15ths > RATE_MAX_15THS ||
        setup->iterations < 1 || setup->iterations > CHAIN_ITERATIONS_MAX) {
        return STATUS_OUT_OF_RANGE;
    }
    if (setup->channel == CHANNEL_CARRIERS && (setup->carriers < 1 || !setup->gain_power)) {
        return STATUS_OUT_OF_RANGE;
    }
    return STATUS_OK;
}

/* Cuts the interleaver's order into runs. */
static enum status build_runs(struct chain *chain)
{
    const struct chain_setup *setup = &chain->setup;
    int bits = chain->code.bits, columns = chain->modem.bits;
    struct bit_interleaver interleaver =
        bit_interleaver_of(setup->length, setup->constellation, setup->rate_15ths);
    uint16_t *order = malloc(sizeof *order * (size_t)bits);
    int *place = malloc(sizeof *place * (size_t)bits);
    chain->runs = malloc(sizeof *chain->runs * (size_t)bits);
    enum status status = order && place && chain->runs ? STATUS_OK : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        bit_interleaver_fill(&interleaver, order);
        for (int i = 0; i < bits; i++) {
            place[order[i]] = i % columns * chain->stride + i / columns;
        }
        for (int j = 0; j < bits; j++) {
            if (j > 0 && place[j] == place[j - 1] + 1) {
                chain->runs[chain->run_count - 1].length++;
            } else {
                chain->runs[chain->run_count++] = (struct interleaver_run){j, place[j], 1};
            }
        }
    }
    free(order);
    free(place);
    return status;
}

/* Copies gains in the shuffled order. */
static enum status build_carriers(struct chain *chain)
{
    const struct chain_setup *setup = &chain->setup;
    if (setup->channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    size_t count = (size_t)setup->carriers;
    chain->gain_power = malloc(sizeof *chain->gain_power * count);
    if (!chain->gain_power) {
        return STATUS_NO_MEMORY;
    }
    struct random random = random_seeded(SHUFFLE_SEED, 0);
    for (size_t i = 0; i < count; i++) { /* Fisher and Yates, inside out */
        size_t k = (size_t)(random_uniform(&random) * (double)(i + 1));
        chain->gain_power[i] = chain->gain_power[k];
        chain->gain_power[k] = setup->gain_power[i];
    }
    return STATUS_OK;
}

enum status chain_create(const struct chain_setup *setup, struct chain **out)
{
    *out = NULL;
    enum status status = setup_check(setup);
    if (status != STATUS_OK) {
        return status;
    }
    struct chain *chain = calloc(1, sizeof *chain);
    if (!chain) {
        return STATUS_NO_MEMORY;
    }
    chain->setup = *setup;
    chain->kernels = kernels_best();
    modem_build(&chain->modem, setup->constellation, setup->rate_15ths);
    bch_build(&chain->bch, setup->length, setup->rate_15ths);
    chain->payload_bits = setup->outer == OUTER_BCH   ? chain->bch.payload_bits
                          : setup->outer == OUTER_CRC ? chain->bch.code_bits - 32
                                                      : chain->bch.code_bits;
    chain->cells = code_length_bits(setup->length) / chain->modem.bits;
    chain->stride = (chain->cells + PADDING - 1) / PADDING * PADDING;
    status = ldpc_code_build(&chain->code, setup->length, setup->rate_15ths);
    status = status == STATUS_OK ? build_runs(chain) : status;
    status = status == STATUS_OK ? build_carriers(chain) : status;
    chain->setup.gain_power = NULL; /* the caller's */
    if (status != STATUS_OK) {
        chain_free(chain);
        return status;
    }
    *out = chain;
    return STATUS_OK;
}

void chain_free(struct chain *chain)
{
    if (chain) {
        ldpc_code_free(&chain->code);
        free(chain->runs);
        free(chain->gain_power);
        free(chain);
    }
}

int chain_payload_bits(const struct chain *chain)
{
    return chain->payload_bits;
}

int chain_cells(const struct chain *chain)
{
    return chain->cells;
}

struct chain_worker *chain_worker_create(const struct chain *chain)
{
    struct chain_worker *worker = calloc(1, sizeof *worker);
    if (!worker) {
        return NULL;
    }
    size_t bits = (size_t)chain->code.bits, cells = (size_t)chain->stride;
    size_t planes = cells * (size_t)chain->modem.bits;
    worker->chain = chain;
    worker->decoder = ldpc_decoder_create(&chain->code, chain->setup.algorithm);
    worker->bits = calloc(bits, 1);
    worker->decided = calloc(bits, 1);
    worker->planes = calloc(planes, 1);
    float **const buffers[] = {&worker->re,
                               &worker->im,
                               &worker->noise,
                               &worker->gain_power,
                               &worker->inverse_noise,
                               &worker->llr_planes,
                               &worker->llr};
    const size_t sizes[] = {cells, cells, cells, cells, cells, planes, bits};
    int complete = worker->decoder && worker->bits && worker->decided && worker->planes;
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        *buffers[i] = calloc(sizes[i], sizeof(float));
        complete = complete && *buffers[i];
    }
    if (!complete) {
        chain_worker_free(worker);
        return NULL;
    }
    return worker;
}

void chain_worker_free(struct chain_worker *worker)
{
    if (worker) {
        if (worker->decoder) {
            ldpc_decoder_free(worker->decoder);
        }
        free(worker->bits);
        free(worker->decided);
        free(worker->planes);
        free(worker->re);
        free(worker->im);
        free(worker->noise);
        free(worker->gain_power);
        free(worker->inverse_noise);
        free(worker->llr_planes);
        free(worker->llr);
        free(worker);
    }
}

const float *chain_worker_llr(const struct chain_worker *worker)
{
    return worker->llr;
}

const uint8_t *chain_worker_sent(const struct chain_worker *worker)
{
    return worker->bits;
}

/* ---- One code word. ---- */

/* Eight bits to eight bytes at once: bit k of the copy in byte k, then the byte's other bits away.
 */
static void spread_byte(uint64_t byte, uint8_t *bits)
{
    uint64_t own = byte * 0x0101010101010101u & 0x8040201008040201u;
    uint64_t ones = (own + 0x7F7F7F7F7F7F7F7Fu) >> 7 & 0x0101010101010101u;
    for (int k = 0; k < 8; k++) {
        bits[k] = (uint8_t)(ones >> 8 * k);
    }
}

static void draw_payload(struct random *random, uint8_t *bits, int count)
{
    for (int i = 0; i < count; i += 64) {
        uint64_t word = random_bits(random);
        int part = count - i < 64 ? count - i : 64; /* whole bytes */
        for (int k = 0; k < part; k += 8) {
            spread_byte(word >> k & 0xFF, bits + i + k);
        }
    }
}

/* Power gains of the cells, and the noise power over each. */
static void draw_gains(struct chain_worker *worker, struct random *random, struct noise *noise,
                       float noise_power)
{
    const struct chain *chain = worker->chain;
    float *gain = worker->gain_power;
    int place = 0;
    switch (chain->setup.channel) {
    case CHANNEL_RAYLEIGH:
        chain->kernels->exponential(noise, gain, chain->stride);
        break;
    case CHANNEL_CARRIERS:
        place = (int)(random_uniform(random) * chain->setup.carriers);
        for (int i = 0; i < chain->stride; i++) {
            gain[i] = chain->gain_power[place];
            place = place + 1 < chain->setup.carriers ? place + 1 : 0;
        }
        break;
    default:
        for (int i = 0; i < chain->stride; i++) {
            gain[i] = 1.0f;
        }
    }
    for (int i = 0; i < chain->stride; i++) {
        gain[i] = gain[i] > GAIN_POWER_MIN ? gain[i] : GAIN_POWER_MIN;
        worker->inverse_noise[i] = gain[i] / noise_power;
    }
}

static void pass_channel(struct chain_worker *worker, double snr_db, struct random *random)
{
    const struct chain *chain = worker->chain;
    const struct kernels *kernels = chain->kernels;
    struct noise noise = noise_seeded(random);
    double noise_power = chain->modem.mean_power / ratio_from_db(snr_db);
    float sigma = (float)sqrt(noise_power / 2.0);
    draw_gains(worker, random, &noise, (float)noise_power);
    kernels->normal(&noise, worker->noise, chain->stride);
    kernels->add_noise(worker->re, worker->noise, worker->gain_power, sigma, chain->stride);
    kernels->normal(&noise, worker->noise, chain->stride);
    kernels->add_noise(worker->im, worker->noise, worker->gain_power, sigma, chain->stride);
}

void chain_transmit(struct chain_worker *worker, double snr_db, uint64_t seed, uint64_t word)
{
    const struct chain *chain = worker->chain;
    struct random random = random_seeded(seed, word);
    if (chain->setup.outer == OUTER_BCH) {
        draw_payload(&random, worker->bits, chain->payload_bits);
        bch_encode(&chain->bch, worker->bits);
    } else {
        draw_payload(&random, worker->bits, chain->bch.code_bits);
    }
    ldpc_encode(&chain->code, worker->bits);
    for (int i = 0; i < chain->run_count; i++) {
        const struct interleaver_run *run = &chain->runs[i];
        memcpy(worker->planes + run->plane, worker->bits + run->code, (size_t)run->length);
    }
    modem_map(&chain->modem, worker->planes, chain->stride, chain->cells, worker->re, worker->im);
    pass_channel(worker, snr_db, &random);
    chain->kernels->demap(&chain->modem.demapper, chain->setup.demapper,
                          (struct received){.re = worker->re,
                                            .im = worker->im,
                                            .inverse_noise = worker->inverse_noise,
                                            .count = chain->stride},
                          (struct bit_planes){worker->llr_planes, chain->stride});
    for (int i = 0; i < chain->run_count; i++) {
        const struct interleaver_run *run = &chain->runs[i];
        memcpy(worker->llr + run->code, worker->llr_planes + run->plane,
               sizeof(float) * (size_t)run->length);
    }
}

struct chain_outcome chain_send(struct chain_worker *worker, double snr_db, uint64_t seed,
                                uint64_t word)
{
    const struct chain *chain = worker->chain;
    chain_transmit(worker, snr_db, seed, word);
    struct ldpc_outcome decoded = ldpc_decode(worker->decoder, worker->llr, chain->setup.iterations,
                                              chain->setup.early_stop, worker->decided);
    struct chain_outcome outcome = {
        .ldpc_errors = bch_count_errors(&chain->bch, worker->bits, worker->decided),
        .iterations = decoded.iterations,
        .converged = decoded.converged};
    outcome.frame_error =
        outcome.ldpc_errors > (chain->setup.outer == OUTER_BCH ? BCH_CORRECTABLE : 0);
    if (outcome.frame_error) {
        for (int i = 0; i < chain->payload_bits; i++) {
            outcome.bit_errors += worker->bits[i] != worker->decided[i];
        }
    }
    return outcome;
}
