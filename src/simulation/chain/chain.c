/* Bits lie in planes (bit y of every cell side by side), because the bit interleaver then moves
 * nothing but runs of neighbouring bits: 360 at a time, but for the leftover part of some modes.
 */
#include "simulation/chain/chain.h"

#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "simulation/ldpc/bch.h"
#include "simulation/ldpc/encoder.h"
#include "simulation/modem/modem.h"
#include "standard/ldpc.h"

/* `length` neighbouring bits of the code word that are neighbours in the planes too. */
struct interleaver_run {
    int code, plane, length;
};

struct chain {
    struct chain_setup setup;
    struct coding coding;
    struct ldpc_code code;
    struct bch bch;
    struct modem modem;
    const struct kernels *kernels;
    int payload_bits;
    int cells;
    int stride; /* of a plane: cells, padded */
    int run_count;
    struct interleaver_run *runs;
    struct air air;
};

struct chain_worker {
    const struct chain *chain;
    struct ldpc_decoder *decoder;
    struct air_cells cells;
    uint8_t *bits, *decided, *planes;
    float *llr_planes, *llr;
    float *late_im, *late_inverse_noise; /* imaginary parts back at their real ones */
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
    bool own = setup->coding != NULL;
    if (own ? setup->coding->table == NULL
            : !constellation_is_allowed(setup->length, setup->constellation)) {
        return STATUS_ILLEGAL;
    }
    if ((!own && (setup->rate_15ths < RATE_MIN_15THS || setup->rate_15ths > RATE_MAX_15THS)) ||
        setup->iterations < 1 || setup->iterations > CHAIN_ITERATIONS_MAX) {
        return STATUS_OUT_OF_RANGE;
    }
    return STATUS_OK;
}

/* Cuts the interleaver's order into runs. */
static enum status build_runs(struct chain *chain)
{
    int bits = chain->code.bits, columns = chain->modem.bits;
    uint16_t *order = malloc(sizeof *order * (size_t)bits);
    int *place = malloc(sizeof *place * (size_t)bits);
    chain->runs = malloc(sizeof *chain->runs * (size_t)bits);
    enum status status = order && place && chain->runs ? STATUS_OK : STATUS_NO_MEMORY;
    if (status == STATUS_OK) {
        chain->coding.fill_order(&chain->coding, order);
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

static void build_modem(struct chain *chain)
{
    double complex points[CONSTELLATION_POINTS_MAX];
    int is_product = chain->coding.fill_points(&chain->coding, points);
    modem_make(&chain->modem, chain->coding.cell_bits, points, is_product);
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
    chain->coding = setup->coding ? *setup->coding
                                  : coding_of_atsc3(&(const struct code){
                                        .length = setup->length,
                                        .constellation = setup->constellation,
                                        .rate_15ths = setup->rate_15ths,
                                    });
    chain->setup.coding = NULL; /* the caller's */
    build_modem(chain);
    bch_build(&chain->bch, chain->coding.bits, chain->coding.table->information_bits,
              chain->coding.correctable);
    chain->payload_bits = setup->outer == OUTER_BCH   ? chain->bch.payload_bits
                          : setup->outer == OUTER_CRC ? chain->bch.code_bits - 32
                                                      : chain->bch.code_bits;
    chain->cells = chain->coding.bits / chain->modem.bits;
    chain->stride = (chain->cells + AIR_PADDING - 1) / AIR_PADDING * AIR_PADDING;
    status = ldpc_code_make(&chain->code, chain->coding.table, chain->coding.bits);
    status = status == STATUS_OK ? build_runs(chain) : status;
    if (status == STATUS_OK) {
        status = air_make(setup->channel, setup->gain_power, setup->carriers,
                          setup->in_order ? chain->cells : 0, &chain->air);
    }
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
        air_free(&chain->air);
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
    size_t bits = (size_t)chain->code.bits;
    size_t planes = (size_t)chain->stride * (size_t)chain->modem.bits;
    worker->chain = chain;
    worker->decoder = ldpc_decoder_create(&chain->code, chain->setup.algorithm);
    worker->bits = calloc(bits, 1);
    worker->decided = calloc(bits, 1);
    worker->planes = calloc(planes, 1);
    worker->llr_planes = calloc(planes, sizeof(float));
    worker->llr = calloc(bits, sizeof(float));
    worker->late_im = calloc((size_t)chain->stride, sizeof(float));
    worker->late_inverse_noise = calloc((size_t)chain->stride, sizeof(float));
    bool complete = air_cells_make(chain->cells, &worker->cells);
    complete = complete && worker->decoder && worker->bits && worker->decided && worker->planes &&
               worker->llr_planes && worker->llr && worker->late_im && worker->late_inverse_noise;
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
        air_cells_free(&worker->cells);
        free(worker->llr_planes);
        free(worker->llr);
        free(worker->late_im);
        free(worker->late_inverse_noise);
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

struct air_cells *chain_worker_cells(struct chain_worker *worker)
{
    return &worker->cells;
}

struct bit_planes chain_worker_planes(struct chain_worker *worker)
{
    return (struct bit_planes){worker->llr_planes, worker->chain->stride};
}

const struct modem *chain_modem(const struct chain *chain)
{
    return &chain->modem;
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

static void make_cells(struct chain_worker *worker, const uint8_t *bits)
{
    const struct chain *chain = worker->chain;
    for (int i = 0; i < chain->run_count; i++) {
        const struct interleaver_run *run = &chain->runs[i];
        memcpy(worker->planes + run->plane, bits + run->code, (size_t)run->length);
    }
    modem_map(&chain->modem, worker->planes, chain->stride, chain->cells, worker->cells.re,
              worker->cells.im);
    if (chain->coding.axes_apart) {
        float *im = worker->cells.im, last = im[chain->cells - 1];
        memmove(im + 1, im, sizeof *im * (size_t)(chain->cells - 1));
        im[0] = last;
    }
}

void chain_draw_word(struct chain_worker *worker, struct random *random)
{
    const struct chain *chain = worker->chain;
    if (chain->setup.outer == OUTER_BCH) {
        draw_payload(random, worker->bits, chain->payload_bits);
        bch_encode(&chain->bch, worker->bits);
    } else {
        draw_payload(random, worker->bits, chain->bch.code_bits);
    }
    ldpc_encode(&chain->code, worker->bits);
    make_cells(worker, worker->bits);
}

void chain_order_bits(struct chain_worker *worker)
{
    const struct chain *chain = worker->chain;
    for (int i = 0; i < chain->run_count; i++) {
        const struct interleaver_run *run = &chain->runs[i];
        memcpy(worker->llr + run->code, worker->llr_planes + run->plane,
               sizeof(float) * (size_t)run->length);
    }
}

/* A cell's imaginary part was sent a cell later, the last one's first. */
static void bring_back(const float *sent, int cells, float *back)
{
    memcpy(back, sent + 1, sizeof *back * (size_t)(cells - 1));
    back[cells - 1] = sent[0];
}

static void demap_apart(struct chain_worker *worker)
{
    const struct chain *chain = worker->chain;
    const struct air_cells *cells = &worker->cells;
    bring_back(cells->im, chain->cells, worker->late_im);
    bring_back(cells->inverse_noise, chain->cells, worker->late_inverse_noise);
    chain->kernels->demap_apart(modem_points(&chain->modem), chain->setup.demapper,
                                (struct received_apart){cells->re, cells->inverse_noise,
                                                        worker->late_im, worker->late_inverse_noise,
                                                        chain->stride},
                                chain_worker_planes(worker));
    chain_order_bits(worker);
}

void chain_demap(struct chain_worker *worker)
{
    const struct chain *chain = worker->chain;
    const struct air_cells *cells = &worker->cells;
    if (chain->coding.axes_apart) {
        demap_apart(worker);
        return;
    }
    chain->kernels->demap(&chain->modem.demapper, chain->setup.demapper,
                          (struct received){.re = cells->re,
                                            .im = cells->im,
                                            .inverse_noise = cells->inverse_noise,
                                            .count = chain->stride},
                          chain_worker_planes(worker));
    chain_order_bits(worker);
}

void chain_transmit(struct chain_worker *worker, double snr_db, uint64_t seed, uint64_t word)
{
    const struct chain *chain = worker->chain;
    struct random random = random_seeded(seed, word);
    chain_draw_word(worker, &random);
    air_pass(&chain->air, &worker->cells, chain->modem.mean_power / ratio_from_db(snr_db), &random);
    chain_demap(worker);
}

struct chain_outcome chain_decode(struct chain_worker *worker)
{
    const struct chain *chain = worker->chain;
    struct ldpc_outcome decoded = ldpc_decode(worker->decoder, worker->llr, chain->setup.iterations,
                                              chain->setup.early_stop, worker->decided);
    struct chain_outcome outcome = {
        .ldpc_errors = bch_count_errors(&chain->bch, worker->bits, worker->decided),
        .iterations = decoded.iterations,
        .converged = decoded.converged};
    outcome.frame_error =
        outcome.ldpc_errors > (chain->setup.outer == OUTER_BCH ? chain->bch.correctable : 0);
    for (int i = 0; i < chain->payload_bits && outcome.frame_error; i++) {
        outcome.bit_errors += worker->bits[i] != worker->decided[i];
    }
    return outcome;
}

void chain_remap(struct chain_worker *worker)
{
    const struct chain *chain = worker->chain;
    bool corrected =
        chain->setup.outer == OUTER_BCH &&
        bch_count_errors(&chain->bch, worker->bits, worker->decided) <= BCH_CORRECTABLE;
    if (corrected) {
        memcpy(worker->decided, worker->bits, (size_t)chain->bch.code_bits);
    }
    ldpc_encode(&chain->code, worker->decided);
    make_cells(worker, worker->decided);
}

struct chain_outcome chain_send(struct chain_worker *worker, double snr_db, uint64_t seed,
                                uint64_t word)
{
    chain_transmit(worker, snr_db, seed, word);
    return chain_decode(worker);
}
