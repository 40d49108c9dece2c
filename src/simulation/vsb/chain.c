/* Twelve of the sixteen lanes are the encoders; byte n of the interleaved stream goes to encoder n
 * mod 12 and is sent as four of its symbols, first the two high bits. In white noise the order of
 * symbols in the air does not matter; a receiver gets them in that order, syncs between them. */
#include "simulation/vsb/chain.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "simulation/modem/kernels.h"
#include "simulation/modem/noise.h"
#include "simulation/vsb/receiver/frame.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

#define BYTE_SYMBOLS 4
#define FIELD_BYTES (VSB_UNIT_SEGMENTS * VSB_RS_BYTES)
#define BRANCH_DELAY (VSB_INTERLEAVER_BRANCHES * VSB_INTERLEAVER_UNIT) /* per branch, bytes */
#define LAST_DELAY ((VSB_INTERLEAVER_BRANCHES - 1) * BRANCH_DELAY)
#define LEAD_SEGMENTS 1 /* sent before what counts, in white noise: decoders start there */
#define TAIL_BYTES (LAST_DELAY + 192)

struct vsb_worker {
    const struct kernels *kernels;
    long lead, segments; /* data segments before what counts, and in all */
    int steps;           /* symbols of an encoder */
    struct vsb_viterbi viterbi;
    uint8_t *sent, *decided; /* steps x lanes, two bits each */
    float *received;
    struct vsb_receiver *receiver; /* NULL: white noise alone */
    float *air, *output;           /* with a receiver only */
    uint16_t errors[VSB_UNIT_SEGMENTS];
};

static long air_symbols(const struct vsb_worker *worker)
{
    return vsb_air_segments(worker->segments) * VSB_SEGMENT_SYMBOLS;
}

/* The receiver and room for the symbols in the order of the air. */
static bool make_receiver(struct vsb_worker *worker, const struct vsb_receiver_setup *setup)
{
    size_t symbols = (size_t)air_symbols(worker);
    worker->receiver = vsb_receiver_create(setup, (long)symbols);
    worker->air = malloc(symbols * sizeof *worker->air);
    worker->output = malloc(symbols * sizeof *worker->output);
    return worker->receiver && worker->air && worker->output;
}

struct vsb_worker *vsb_worker_create(const struct vsb_receiver_setup *receiver)
{
    struct vsb_worker *worker = calloc(1, sizeof *worker);
    if (!worker) {
        return NULL;
    }
    int later = receiver ? receiver->spans.later : 0;
    long tail = (TAIL_BYTES + VSB_RS_BYTES - 1) / VSB_RS_BYTES;
    tail += (later + VSB_SEGMENT_SYMBOLS - 1) / VSB_SEGMENT_SYMBOLS;
    worker->lead = receiver ? vsb_receiver_lead_segments(receiver) : LEAD_SEGMENTS;
    worker->segments = worker->lead + VSB_UNIT_SEGMENTS + tail;
    worker->steps = (int)worker->segments * VSB_SEGMENT_STEPS;
    size_t count = (size_t)worker->steps * VSB_LANES;
    worker->kernels = kernels_best();
    enum status status = vsb_viterbi_create(&worker->viterbi, worker->steps);
    worker->sent = malloc(count);
    worker->decided = malloc(count);
    worker->received = malloc(count * sizeof *worker->received);
    if (status != STATUS_OK || !worker->sent || !worker->decided || !worker->received ||
        (receiver && !make_receiver(worker, receiver))) {
        vsb_worker_free(worker);
        return NULL;
    }
    return worker;
}

void vsb_worker_free(struct vsb_worker *worker)
{
    if (worker) {
        vsb_viterbi_free(&worker->viterbi);
        free(worker->sent);
        free(worker->decided);
        free(worker->received);
        vsb_receiver_free(worker->receiver);
        free(worker->air);
        free(worker->output);
        free(worker);
    }
}

long vsb_deinterleaved(long p)
{
    long branch =
        (p % VSB_INTERLEAVER_BRANCHES + VSB_INTERLEAVER_BRANCHES) % VSB_INTERLEAVER_BRANCHES;
    return p - branch * BRANCH_DELAY;
}

/* Fills sent[] with random bits and received[] with the levels they become. */
static void encode(struct vsb_worker *worker, struct random *random)
{
    struct vsb_encoder encoders[VSB_LANES];
    memset(encoders, 0, sizeof encoders);
    for (int step = 0; step < worker->steps; step++) {
        uint64_t bits = random_bits(random);
        for (int l = 0; l < VSB_LANES; l++) {
            size_t i = (size_t)step * VSB_LANES + (size_t)l;
            worker->sent[i] = bits >> (2 * l) & 3;
            worker->received[i] = (float)vsb_level(vsb_encode(&encoders[l], worker->sent[i]));
        }
    }
}

static void add_noise(struct vsb_worker *worker, double noise_power, struct random *random)
{
    enum { CHUNK = 2 * KERNEL_LANES };
    struct noise noise = noise_seeded(random);
    float sigma = (float)sqrt(noise_power), normal[CHUNK];
    for (int i = 0; i < worker->steps * VSB_LANES; i += CHUNK) {
        int count = worker->steps * VSB_LANES - i < CHUNK ? worker->steps * VSB_LANES - i : CHUNK;
        worker->kernels->normal(&noise, normal, CHUNK);
        for (int j = 0; j < count; j++) {
            worker->received[i + j] += sigma * normal[j];
        }
    }
}

/* The levels through channel and receiver: the twelve encoders' symbols follow each other. */
static enum status pass_receiver(struct vsb_worker *worker, uint64_t unit, struct random *random,
                                 struct vsb_receiver_measure *measure)
{
    long symbols = air_symbols(worker);
    for (long at = 0; at < symbols; at++) {
        struct vsb_air_place place = vsb_air_place(at);
        worker->air[at] =
            place.known ? vsb_air_sync(at) : worker->received[place.step * VSB_LANES + place.lane];
    }
    long settled = vsb_air_segments(worker->lead) * VSB_SEGMENT_SYMBOLS;
    enum status status = vsb_receiver_run(worker->receiver, unit, random, worker->air,
                                          worker->output, settled, measure);
    for (long at = 0; at < symbols && status == STATUS_OK; at++) {
        struct vsb_air_place place = vsb_air_place(at);
        if (!place.known) {
            worker->received[place.step * VSB_LANES + place.lane] = worker->output[at];
        }
    }
    return status;
}

/* Wrong bits of byte n of a lane. */
static int wrong_bits(const struct vsb_worker *worker, int lane, int n)
{
    int wrong = 0;
    for (int i = 0; i < BYTE_SYMBOLS; i++) {
        size_t place = (size_t)(n * BYTE_SYMBOLS + i) * VSB_LANES + (size_t)lane;
        int difference = worker->sent[place] ^ worker->decided[place];
        wrong += (difference & 1) + (difference >> 1);
    }
    return wrong;
}

/* Counts what the decoder left wrong, each byte where its segment is. */
static void count_errors(struct vsb_worker *worker, struct vsb_outcome *outcome)
{
    memset(worker->errors, 0, sizeof worker->errors);
    for (int n = 0; n < worker->steps / BYTE_SYMBOLS; n++) {
        for (int lane = 0; lane < VSB_TRELLIS_ENCODERS; lane++) {
            int wrong = wrong_bits(worker, lane, n);
            long place = vsb_deinterleaved((long)n * VSB_TRELLIS_ENCODERS + lane -
                                           worker->lead * VSB_RS_BYTES);
            if (wrong && place >= 0 && place < FIELD_BYTES) {
                worker->errors[place / VSB_RS_BYTES]++;
                outcome->byte_errors++;
                outcome->bit_errors += wrong;
            }
        }
    }
    for (int segment = 0; segment < VSB_UNIT_SEGMENTS; segment++) {
        uint16_t errors = worker->errors[segment];
        outcome->segment_errors += errors > VSB_RS_CORRECTABLE;
        outcome->most_errors = errors > outcome->most_errors ? errors : outcome->most_errors;
    }
}

struct vsb_outcome vsb_send(struct vsb_worker *worker, double snr_db, uint64_t seed, uint64_t unit)
{
    struct random random = random_seeded(seed, unit);
    struct vsb_outcome outcome = {.status = STATUS_OK};
    encode(worker, &random);
    if (worker->receiver) {
        outcome.status = pass_receiver(worker, unit, &random, &outcome.measure);
    } else {
        double power = VSB_LEVEL_POWER + VSB_PILOT_LEVEL * VSB_PILOT_LEVEL;
        add_noise(worker, power / ratio_from_db(snr_db), &random);
    }
    if (outcome.status != STATUS_OK) {
        outcome.segment_errors = VSB_UNIT_SEGMENTS;
        outcome.byte_errors = FIELD_BYTES;
        outcome.bit_errors = 4LL * FIELD_BYTES; /* a guess hits half of them */
        outcome.most_errors = VSB_RS_BYTES;
        return outcome;
    }
    vsb_viterbi_decode(&worker->viterbi, worker->received, worker->steps, worker->decided);
    count_errors(worker, &outcome);
    return outcome;
}

/* ---- Runs. ---- */

static void *worker_create(const void *context)
{
    const struct vsb_point *point = context;
    return vsb_worker_create(point->receiver);
}

static void worker_free(void *worker)
{
    vsb_worker_free(worker);
}

static struct run_counts count_unit(const void *context, void *worker, uint64_t seed,
                                    uint64_t number)
{
    const struct vsb_point *point = context;
    struct vsb_outcome outcome =
        vsb_send(worker, point->snr_db, run_seed_of_snr(seed, point->snr_db), number);
    if (outcome.status == STATUS_NO_MEMORY) {
        return (struct run_counts){0};
    }
    return (struct run_counts){.frames = VSB_UNIT_SEGMENTS,
                               .frame_errors = outcome.segment_errors,
                               .bits = 8LL * FIELD_BYTES,
                               .bit_errors = outcome.bit_errors};
}

struct run_job vsb_run_job(const struct vsb_point *point)
{
    return (struct run_job){.context = point,
                            .worker_create = worker_create,
                            .worker_free = worker_free,
                            .unit = count_unit,
                            .frames_per_unit = VSB_UNIT_SEGMENTS};
}
