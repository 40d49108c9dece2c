/* Twelve of the sixteen lanes are the encoders; byte n of the interleaved stream goes to encoder n
 * mod 12 and is sent as four of its symbols, first the two high bits. In white noise the order of
 * symbols in the air does not matter. */
#include "simulation/vsb/chain.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "simulation/modem/kernels.h"
#include "simulation/modem/noise.h"
#include "simulation/vsb/trellis.h"
#include "standard/vsb/signal.h"

#define BYTE_SYMBOLS 4
#define FIELD_BYTES (VSB_UNIT_SEGMENTS * VSB_RS_BYTES)
#define BRANCH_DELAY (VSB_INTERLEAVER_BRANCHES * VSB_INTERLEAVER_UNIT) /* per branch, bytes */
#define LAST_DELAY ((VSB_INTERLEAVER_BRANCHES - 1) * BRANCH_DELAY)
#define GUARD_BYTES 192 /* sent before and after what counts: decoders start and end there */
#define SENT_BYTES (GUARD_BYTES + FIELD_BYTES + LAST_DELAY + GUARD_BYTES)
#define LANE_BYTES ((SENT_BYTES + VSB_TRELLIS_ENCODERS - 1) / VSB_TRELLIS_ENCODERS)
#define STEPS (LANE_BYTES * BYTE_SYMBOLS)

struct vsb_worker {
    const struct kernels *kernels;
    struct vsb_viterbi viterbi;
    uint8_t *sent, *decided; /* STEPS x lanes, two bits each */
    float *received;
    const struct vsb_line *line;    /* NULL: white noise alone */
    double *air, *equalised, *room; /* with a line only */
    uint16_t errors[VSB_UNIT_SEGMENTS];
};

#define AIR_SYMBOLS ((long)STEPS * VSB_TRELLIS_ENCODERS)

struct vsb_worker *vsb_worker_create(void)
{
    return vsb_worker_create_on(NULL);
}

/* Room for the symbols in the order of the air. */
static bool make_air(struct vsb_worker *worker)
{
    worker->air = malloc(AIR_SYMBOLS * sizeof *worker->air);
    worker->equalised = malloc(AIR_SYMBOLS * sizeof *worker->equalised);
    worker->room = malloc(vsb_line_room(worker->line, AIR_SYMBOLS) * sizeof *worker->room);
    return worker->air && worker->equalised && worker->room;
}

struct vsb_worker *vsb_worker_create_on(const struct vsb_line *line)
{
    struct vsb_worker *worker = calloc(1, sizeof *worker);
    if (!worker) {
        return NULL;
    }
    worker->line = line;
    size_t count = (size_t)STEPS * VSB_LANES;
    worker->kernels = kernels_best();
    enum status status = vsb_viterbi_create(&worker->viterbi, STEPS);
    worker->sent = malloc(count);
    worker->decided = malloc(count);
    worker->received = malloc(count * sizeof *worker->received);
    if (status != STATUS_OK || !worker->sent || !worker->decided || !worker->received ||
        (line && !make_air(worker))) {
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
        free(worker->air);
        free(worker->equalised);
        free(worker->room);
        free(worker);
    }
}

long vsb_deinterleaved(long p)
{
    long branch =
        (p % VSB_INTERLEAVER_BRANCHES + VSB_INTERLEAVER_BRANCHES) % VSB_INTERLEAVER_BRANCHES;
    return p - branch * BRANCH_DELAY;
}

static void transmit(struct vsb_worker *worker, double noise_power, struct random *random)
{
    struct vsb_encoder encoders[VSB_LANES];
    struct noise noise = noise_seeded(random);
    float sigma = (float)sqrt(noise_power);
    memset(encoders, 0, sizeof encoders);
    worker->kernels->normal(&noise, worker->received, STEPS * VSB_LANES);
    for (int step = 0; step < STEPS; step++) {
        uint64_t bits = random_bits(random);
        for (int l = 0; l < VSB_LANES; l++) {
            size_t i = (size_t)step * VSB_LANES + (size_t)l;
            worker->sent[i] = bits >> (2 * l) & 3;
            float level = (float)vsb_level(vsb_encode(&encoders[l], worker->sent[i]));
            worker->received[i] = level + sigma * worker->received[i];
        }
    }
}

/* The same through the line: the twelve encoders' symbols follow each other in the air. */
static void transmit_on_line(struct vsb_worker *worker, struct random *random)
{
    struct vsb_encoder encoders[VSB_LANES];
    memset(encoders, 0, sizeof encoders);
    for (int step = 0; step < STEPS; step++) {
        uint64_t bits = random_bits(random);
        for (int l = 0; l < VSB_LANES; l++) {
            size_t i = (size_t)step * VSB_LANES + (size_t)l;
            worker->sent[i] = bits >> (2 * l) & 3;
            double level = vsb_level(vsb_encode(&encoders[l], worker->sent[i]));
            worker->received[i] = (float)level;
            if (l < VSB_TRELLIS_ENCODERS) {
                worker->air[(long)step * VSB_TRELLIS_ENCODERS + l] = level;
            }
        }
    }
    vsb_line_send(worker->line, worker->air, AIR_SYMBOLS, random, worker->room, worker->equalised);
    for (int step = 0; step < STEPS; step++) {
        for (int l = 0; l < VSB_TRELLIS_ENCODERS; l++) {
            worker->received[(size_t)step * VSB_LANES + (size_t)l] =
                (float)worker->equalised[(long)step * VSB_TRELLIS_ENCODERS + l];
        }
    }
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

struct vsb_outcome vsb_send(struct vsb_worker *worker, double snr_db, uint64_t seed, uint64_t unit)
{
    struct random random = random_seeded(seed, unit);
    double power = VSB_LEVEL_POWER + VSB_PILOT_LEVEL * VSB_PILOT_LEVEL;
    if (worker->line) {
        transmit_on_line(worker, &random);
    } else {
        transmit(worker, power / ratio_from_db(snr_db), &random);
    }
    vsb_viterbi_decode(&worker->viterbi, worker->received, STEPS, worker->decided);
    struct vsb_outcome outcome = {0};
    memset(worker->errors, 0, sizeof worker->errors);
    for (int n = 0; n < LANE_BYTES; n++) {
        for (int lane = 0; lane < VSB_TRELLIS_ENCODERS; lane++) {
            int wrong = wrong_bits(worker, lane, n);
            long place = vsb_deinterleaved((long)n * VSB_TRELLIS_ENCODERS + lane - GUARD_BYTES);
            if (wrong && place >= 0 && place < FIELD_BYTES) {
                worker->errors[place / VSB_RS_BYTES]++;
                outcome.byte_errors++;
                outcome.bit_errors += wrong;
            }
        }
    }
    for (int segment = 0; segment < VSB_UNIT_SEGMENTS; segment++) {
        uint16_t errors = worker->errors[segment];
        outcome.segment_errors += errors > VSB_RS_CORRECTABLE;
        outcome.most_errors = errors > outcome.most_errors ? errors : outcome.most_errors;
    }
    return outcome;
}

/* ---- Runs. ---- */

struct point_worker {
    double snr_db;
    struct vsb_worker *vsb;
};

static void *point_worker_create(const void *context)
{
    const struct vsb_point *point = context;
    struct point_worker *worker = malloc(sizeof *worker);
    if (!worker) {
        return NULL;
    }
    worker->snr_db = point->snr_db;
    worker->vsb = vsb_worker_create_on(point->line);
    if (!worker->vsb) {
        free(worker);
        return NULL;
    }
    return worker;
}

static void point_worker_free(void *context)
{
    struct point_worker *worker = context;
    vsb_worker_free(worker->vsb);
    free(worker);
}

static struct run_counts point_unit(void *context, uint64_t seed, uint64_t number)
{
    struct point_worker *worker = context;
    struct vsb_outcome outcome =
        vsb_send(worker->vsb, worker->snr_db, run_seed_of_snr(seed, worker->snr_db), number);
    return (struct run_counts){.frames = VSB_UNIT_SEGMENTS,
                               .frame_errors = outcome.segment_errors,
                               .bits = 8LL * FIELD_BYTES,
                               .bit_errors = outcome.bit_errors};
}

struct run_job vsb_run_job(const struct vsb_point *point)
{
    return (struct run_job){.context = point,
                            .worker_create = point_worker_create,
                            .worker_free = point_worker_free,
                            .unit = point_unit,
                            .frames_per_unit = VSB_UNIT_SEGMENTS};
}
