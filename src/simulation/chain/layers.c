/* With r = 10^(-IL/10) the core has 1/(1 + r) of the power, the enhanced layer r/(1 + r)
 * (standard/atsc3/injection.h). For the core the received cell is divided by the core's amplitude,
 * and the other layer's power, where it counts as noise, is added to that of the noise. Then the
 * core's word, as decoded, is encoded again and its cells are taken away, wrong ones too; what is
 * left is divided by the enhanced layer's amplitude.
 *
 * Code words of both layers rarely fill the same number of cells, so a unit has as many of each as
 * the least common multiple holds: at most 32400 cells. Words are drawn again when they are held
 * against what was decoded, instead of being kept. */
#include "simulation/chain/layers.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "simulation/modem/superposed.h"
#include "standard/atsc3/injection.h"

struct layers {
    struct layers_setup setup;
    struct chain *core, *enhanced;
    struct air air;
    int cells, core_words, enhanced_words; /* of a unit */
    double core_power, enhanced_power;
};

struct layers_worker {
    const struct layers_point *point;
    struct chain_worker *core, *enhanced;
    struct air_cells air;
    float *core_re, *core_im; /* as decoded; NULL where nobody asks for it */
};

static int least_common_multiple(int a, int b)
{
    int x = a, y = b;
    while (y != 0) {
        int rest = x % y;
        x = y;
        y = rest;
    }
    return a / x * b;
}

enum status layers_create(const struct layers_setup *setup, struct layers **out)
{
    struct layers *layers = calloc(1, sizeof *layers);
    struct chain_setup core = setup->core, enhanced = setup->enhanced;
    *out = NULL;
    if (layers == NULL) {
        return STATUS_NO_MEMORY;
    }
    core.channel = enhanced.channel = CHANNEL_AWGN; /* both go through the same */
    layers->setup = *setup;
    layers->core_power = injection_core_share(setup->injection_db);
    layers->enhanced_power = injection_enhanced_share(setup->injection_db);
    enum status status = chain_create(&core, &layers->core);
    if (status == STATUS_OK) {
        status = chain_create(&enhanced, &layers->enhanced);
    }
    if (status == STATUS_OK) {
        status = air_make(setup->core.channel, setup->core.gain_power, setup->core.carriers, 0,
                          &layers->air);
    }
    if (status != STATUS_OK) {
        layers_free(layers);
        return status;
    }
    int core_cells = chain_cells(layers->core), enhanced_cells = chain_cells(layers->enhanced);
    layers->cells = least_common_multiple(core_cells, enhanced_cells);
    layers->core_words = layers->cells / core_cells;
    layers->enhanced_words = layers->cells / enhanced_cells;
    layers->setup.core.gain_power = layers->setup.enhanced.gain_power = NULL; /* the caller's */
    *out = layers;
    return STATUS_OK;
}

void layers_free(struct layers *layers)
{
    if (layers != NULL) {
        chain_free(layers->core);
        chain_free(layers->enhanced);
        air_free(&layers->air);
        free(layers);
    }
}

/* ---- A thread's own. ---- */

static void worker_free(void *context)
{
    struct layers_worker *worker = context;
    chain_worker_free(worker->core);
    chain_worker_free(worker->enhanced);
    air_cells_free(&worker->air);
    free(worker->core_re);
    free(worker->core_im);
    free(worker);
}

static void *worker_create(const void *context)
{
    const struct layers_point *point = context;
    const struct layers *layers = point->layers;
    struct layers_worker *worker = calloc(1, sizeof *worker);
    if (worker == NULL) {
        return NULL;
    }
    worker->point = point;
    worker->core = chain_worker_create(layers->core);
    worker->enhanced = chain_worker_create(layers->enhanced);
    worker->core_re = calloc((size_t)layers->cells, sizeof(float));
    worker->core_im = calloc((size_t)layers->cells, sizeof(float));
    if (!air_cells_make(layers->cells, &worker->air) || worker->core == NULL ||
        worker->enhanced == NULL || worker->core_re == NULL || worker->core_im == NULL) {
        worker_free(worker);
        return NULL;
    }
    return worker;
}

/* ---- One unit. ---- */

/* Random numbers of a unit: a stream for each word of each layer, and one for the channel. */
struct streams {
    uint64_t seed, first;
};

static void draw_core(const struct layers_worker *worker, const struct streams *streams, int word)
{
    struct random random = random_seeded(streams->seed, streams->first + (uint64_t)word);
    chain_draw_word(worker->core, &random);
}

static void draw_enhanced(const struct layers_worker *worker, const struct streams *streams,
                          int word)
{
    uint64_t before = (uint64_t)worker->point->layers->core_words;
    struct random random = random_seeded(streams->seed, streams->first + before + (uint64_t)word);
    chain_draw_word(worker->enhanced, &random);
}

/* Adds a word's cells, with their share of the power. */
static void add_cells(const struct air_cells *cells, int count, double power, float *re, float *im)
{
    float amplitude = (float)sqrt(power);
    for (int i = 0; i < count; i++) {
        re[i] += amplitude * cells->re[i];
        im[i] += amplitude * cells->im[i];
    }
}

static void send(struct layers_worker *worker, const struct streams *streams)
{
    const struct layers *layers = worker->point->layers;
    struct air_cells *air = &worker->air;
    int core_cells = chain_cells(layers->core), enhanced_cells = chain_cells(layers->enhanced);
    memset(air->re, 0, sizeof(float) * (size_t)air->count);
    memset(air->im, 0, sizeof(float) * (size_t)air->count);
    for (int word = 0; word < layers->core_words; word++) {
        draw_core(worker, streams, word);
        add_cells(chain_worker_cells(worker->core), core_cells, layers->core_power,
                  air->re + word * core_cells, air->im + word * core_cells);
    }
    for (int word = 0; word < layers->enhanced_words; word++) {
        draw_enhanced(worker, streams, word);
        add_cells(chain_worker_cells(worker->enhanced), enhanced_cells, layers->enhanced_power,
                  air->re + word * enhanced_cells, air->im + word * enhanced_cells);
    }
    double power = layers->core_power * chain_modem(layers->core)->mean_power +
                   layers->enhanced_power * chain_modem(layers->enhanced)->mean_power;
    uint64_t words = (uint64_t)layers->core_words + (uint64_t)layers->enhanced_words;
    struct random random = random_seeded(streams->seed, streams->first + words);
    air_pass(&layers->air, air, power / ratio_from_db(worker->point->snr_db), &random);
}

static struct chain_outcome receive_core(struct layers_worker *worker, int word)
{
    const struct layers *layers = worker->point->layers;
    struct air_cells *cells = chain_worker_cells(worker->core);
    const struct air_cells *air = &worker->air;
    int count = chain_cells(layers->core), first = word * count;
    bool known = layers->setup.other == OTHER_IS_KNOWN;
    float power = (float)layers->core_power, scale = 1.0f / sqrtf(power);
    float other = known ? 0.0f : (float)layers->enhanced_power;
    for (int i = 0; i < count; i++) {
        cells->re[i] = air->re[first + i] * scale;
        cells->im[i] = air->im[first + i] * scale;
        cells->inverse_noise[i] = power / (1.0f / air->inverse_noise[first + i] + other);
    }
    if (known) {
        superposed_demap(
            chain_modem(layers->core), chain_modem(layers->enhanced),
            (float)sqrt(ratio_from_db(-layers->setup.injection_db)),
            (struct received){cells->re, cells->im, cells->inverse_noise, cells->count},
            chain_worker_planes(worker->core));
        chain_order_bits(worker->core);
    } else {
        chain_demap(worker->core);
    }
    return chain_decode(worker->core);
}

static struct chain_outcome receive_enhanced(struct layers_worker *worker, int word)
{
    const struct layers *layers = worker->point->layers;
    struct air_cells *cells = chain_worker_cells(worker->enhanced);
    const struct air_cells *air = &worker->air;
    int count = chain_cells(layers->enhanced), first = word * count;
    float power = (float)layers->enhanced_power, scale = 1.0f / sqrtf(power);
    for (int i = 0; i < count; i++) {
        cells->re[i] = (air->re[first + i] - worker->core_re[first + i]) * scale;
        cells->im[i] = (air->im[first + i] - worker->core_im[first + i]) * scale;
        cells->inverse_noise[i] = power * air->inverse_noise[first + i];
    }
    chain_demap(worker->enhanced);
    return chain_decode(worker->enhanced);
}

/* What there is to take away of the core's word. */
static void keep_decoded(struct layers_worker *worker, int word)
{
    const struct layers *layers = worker->point->layers;
    int count = chain_cells(layers->core), first = word * count;
    chain_remap(worker->core);
    memset(worker->core_re + first, 0, sizeof(float) * (size_t)count);
    memset(worker->core_im + first, 0, sizeof(float) * (size_t)count);
    add_cells(chain_worker_cells(worker->core), count, layers->core_power, worker->core_re + first,
              worker->core_im + first);
}

static void count_word(const struct chain_outcome *outcome, const struct chain *chain,
                       struct run_counts *counts)
{
    run_counts_add(counts, &(struct run_counts){.frames = 1,
                                                .frame_errors = outcome->frame_error,
                                                .bits = chain_payload_bits(chain),
                                                .bit_errors = outcome->bit_errors,
                                                .iterations = outcome->iterations});
}

static struct run_counts unit(const void *context, void *own, uint64_t seed, uint64_t number)
{
    struct layers_worker *worker = own;
    const struct layers_point *point = context;
    const struct layers *layers = point->layers;
    uint64_t each = (uint64_t)layers->core_words + (uint64_t)layers->enhanced_words + 1;
    struct streams streams = {run_seed_of_snr(seed, point->snr_db), number * each};
    struct run_counts counts = {0};
    bool enhanced = layers->setup.enhanced_counts;
    send(worker, &streams);
    for (int word = 0; word < layers->core_words; word++) {
        draw_core(worker, &streams, word);
        struct chain_outcome outcome = receive_core(worker, word);
        if (enhanced) {
            keep_decoded(worker, word);
        } else {
            count_word(&outcome, layers->core, &counts);
        }
    }
    for (int word = 0; word < layers->enhanced_words && enhanced; word++) {
        draw_enhanced(worker, &streams, word);
        struct chain_outcome outcome = receive_enhanced(worker, word);
        count_word(&outcome, layers->enhanced, &counts);
    }
    return counts;
}

struct run_job layers_run_job(const struct layers_point *point)
{
    const struct layers *layers = point->layers;
    bool enhanced = layers->setup.enhanced_counts;
    return (struct run_job){.context = point,
                            .worker_create = worker_create,
                            .worker_free = worker_free,
                            .unit = unit,
                            .frames_per_unit =
                                enhanced ? layers->enhanced_words : layers->core_words};
}
