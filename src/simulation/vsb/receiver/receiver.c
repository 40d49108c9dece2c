/* Idea. A unit is sent through the air (air.c), its pilot taken off, and equalised (equalise.c)
 * with taps designed for the channel as it stands (taps.c). While rays turn, ideal taps are
 * designed anew each time the fastest has turned a little and glide between; learning taps start
 * where their mean is after long learning (physics/vsb/learning.h), for slow ones take a second to
 * get there.
 *
 * The pilot leaves a slowly turning constant in the samples; the mean over PILOT_SYMBOLS takes it
 * off, and with it less than a ten-thousandth of the signal.
 *
 * Validity: rays within some 10 ms, pulses to 60 dB. Worked number: the main signal alone at 15 dB
 * leaves 14.69 dB of the data at the decoder. */
#include "simulation/vsb/receiver/receiver.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/adaptation.h"
#include "simulation/vsb/receiver/air.h"
#include "simulation/vsb/receiver/equalise.h"
#include "simulation/vsb/receiver/frame.h"
#include "simulation/vsb/receiver/survivors.h"
#include "simulation/vsb/receiver/taps.h"
#include "simulation/vsb/trellis.h"

#define PILOT_SYMBOLS 16384
#define DESIGN_TURN 0.04  /* of the fastest ray between two designs, in turns */
#define POWER_INSTANTS 16 /* at which received power is averaged over a turn of two rays */
#define POWER_INSTANTS_MOST 4096
#define TIME_CONSTANTS 4.0 /* of learning taps, before they count as settled */
#define LEAD_SEGMENTS_LEAST 4
#define SETTLING_FIELDS 6
#define CANCELLED 1e-6 /* of the reference ray's power */

struct vsb_receiver {
    const struct vsb_receiver_setup *setup;
    long symbols;
    struct vsb_air *air;
    struct vsb_survivors *survivors;
    uint8_t *lanes;
    float *levels;             /* with pilot */
    float *samples, *believed; /* with room before and after */
    struct vsb_live_taps taps, next;
    /* Of the unit at hand; kept while no unit differs from another. */
    bool designed;
    int reference;
    double noise;
    struct channel channel;
    struct vsb_equaliser design;
};

static bool is_within(double value, double low, double high)
{
    return value >= low && value <= high;
}

enum status vsb_receiver_check(const struct vsb_receiver_setup *setup)
{
    const int span_most = 4096;
    const struct vsb_equaliser_spans *spans = &setup->spans;
    bool good = is_within(setup->snr_db, -30.0, 100.0) &&
                is_within(setup->step, 0.0, VSB_ADAPTATION_STEP_MAX) && setup->tracking_hz >= 0.0 &&
                is_within(spans->earlier, 0, span_most) && is_within(spans->later, 0, span_most) &&
                is_within(spans->feedback, 0, span_most) &&
                is_within(setup->channel.count, 1, CHANNEL_RAYS_MAX);
    for (int i = 0; good && i < setup->channel.count; i++) {
        const struct ray *ray = &setup->channel.rays[i];
        good = isfinite(ray->phase) && isfinite(ray->doppler_hz) && isfinite(ray->gain) &&
               is_within(ray->delay_us, -ECHO_DELAY_MAX_US, ECHO_DELAY_MAX_US) &&
               is_within(ray->gain, i == 0 ? 1e-6 : 0.0, 1e3);
    }
    if (!good) {
        return STATUS_OUT_OF_RANGE;
    }
    return channel_has_positions(&setup->channel) ||
                   vsb_taps_data_power(&setup->channel, 0) > CANCELLED
               ? STATUS_OK
               : STATUS_NO_SOLUTION;
}

/* Mean square norm of what the taps weigh, over the symbols' power. */
static double input_norm(const struct vsb_receiver_setup *setup, double sample_power)
{
    return (setup->spans.earlier + setup->spans.later + 1) * sample_power + setup->spans.feedback;
}

long vsb_receiver_lead_segments(const struct vsb_receiver_setup *setup)
{
    if (!(setup->step > 0.0)) {
        return LEAD_SEGMENTS_LEAST;
    }
    if (setup->feedback != FEEDBACK_ERROR_FREE && channel_moves(&setup->channel)) {
        long fields = setup->settling_fields > 0 ? setup->settling_fields : SETTLING_FIELDS;
        return fields * VSB_FIELD_DATA_SEGMENTS;
    }
    double power = channel_power(&setup->channel) * (1.0 + 1.0 / ratio_from_db(setup->snr_db));
    double symbols = TIME_CONSTANTS * input_norm(setup, power) / setup->step;
    double segments = LEAD_SEGMENTS_LEAST + ceil(symbols / VSB_SEGMENT_SYMBOLS);
    return segments < VSB_FIELD_DATA_SEGMENTS ? (long)segments : VSB_FIELD_DATA_SEGMENTS;
}

void vsb_receiver_free(struct vsb_receiver *receiver)
{
    if (receiver) {
        vsb_air_free(receiver->air);
        vsb_survivors_free(receiver->survivors);
        free(receiver->lanes);
        free(receiver->levels);
        free(receiver->samples);
        free(receiver->believed);
        vsb_live_taps_free(&receiver->taps);
        vsb_live_taps_free(&receiver->next);
        vsb_equaliser_free(&receiver->design);
        free(receiver);
    }
}

/* The last symbols' survivors never change what is older than what feedback weighs. */
static bool make_parts(struct vsb_receiver *receiver)
{
    const struct vsb_receiver_setup *setup = receiver->setup;
    const struct vsb_equaliser_spans *spans = &setup->spans;
    long n = receiver->symbols;
    int steps = (int)(n / VSB_TRELLIS_ENCODERS) + 1;
    enum status taps = vsb_live_taps_make(*spans, &receiver->taps);
    enum status next = vsb_live_taps_make(*spans, &receiver->next);
    receiver->air = vsb_air_create(n);
    receiver->survivors = vsb_survivors_create(steps, spans->feedback / VSB_TRELLIS_ENCODERS + 2);
    receiver->lanes = malloc((size_t)n);
    receiver->levels = malloc((size_t)n * sizeof(float));
    /* Or what is right, as far before as feedback reaches: where nothing goes through the air. */
    receiver->samples = calloc((size_t)(n + spans->earlier + spans->later + spans->feedback),
                               sizeof *receiver->samples);
    receiver->believed = calloc((size_t)(n + spans->feedback), sizeof *receiver->believed);
    return taps == STATUS_OK && next == STATUS_OK && receiver->air && receiver->survivors &&
           receiver->lanes && receiver->levels && receiver->samples && receiver->believed;
}

struct vsb_receiver *vsb_receiver_create(const struct vsb_receiver_setup *setup, long symbols)
{
    struct vsb_receiver *receiver = calloc(1, sizeof *receiver);
    if (!receiver) {
        return NULL;
    }
    receiver->setup = setup;
    receiver->symbols = symbols;
    if (!make_parts(receiver)) {
        vsb_receiver_free(receiver);
        return NULL;
    }
    for (long at = 0; at < symbols; at++) {
        struct vsb_air_place place = vsb_air_place(at);
        receiver->lanes[at] = place.known ? VSB_SYNC : (uint8_t)place.lane;
    }
    return receiver;
}

/* The rays at the unit's beginning. */
static void place_unit(struct vsb_receiver *receiver, uint64_t unit)
{
    const struct channel *channel = &receiver->setup->channel;
    const double field_s = VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz();
    if (channel_has_positions(channel)) {
        channel_draw(channel, unit, &receiver->channel);
    } else {
        channel_advance(channel, (double)unit * field_s, &receiver->channel);
    }
}

/* At which a unit's received power is averaged: close enough that no two rays, turning against each
 * other, pass unseen between them. */
static int power_instants(const struct channel *channel, double length_s)
{
    double slowest_hz = INFINITY, fastest_hz = -INFINITY;
    for (int i = 0; i < channel->count; i++) {
        slowest_hz = fmin(slowest_hz, channel->rays[i].doppler_hz);
        fastest_hz = fmax(fastest_hz, channel->rays[i].doppler_hz);
    }
    double turns = ceil((fastest_hz - slowest_hz) * length_s);
    return turns > 0.0 ? (int)fmin(POWER_INSTANTS * turns, POWER_INSTANTS_MOST) : 1;
}

/* The noise variance of a sample over the data's mean square, were `reference` 1. */
static double noise_of(const struct vsb_receiver *receiver, int reference)
{
    const double pilot = VSB_PILOT_LEVEL * VSB_PILOT_LEVEL / VSB_LEVEL_POWER;
    double length_s = (double)receiver->symbols / vsb_symbol_rate_hz(), power = 0.0;
    int instants = power_instants(&receiver->channel, length_s);
    for (int i = 0; i < instants; i++) {
        struct channel then;
        channel_advance(&receiver->channel, length_s * (i + 0.5) / instants, &then);
        power +=
            vsb_taps_data_power(&then, reference) + pilot * vsb_taps_pilot_power(&then, reference);
    }
    return power / instants / ratio_from_db(receiver->setup->snr_db);
}

/* Taps for the channel `seconds` into the unit. */
static enum status design_at(struct vsb_receiver *receiver, int reference, double noise,
                             double seconds, struct vsb_equaliser *design)
{
    const struct vsb_receiver_setup *setup = receiver->setup;
    const struct vsb_taps_wish wish = {setup->spans, setup->feedback, setup->tracking_hz};
    struct channel then;
    channel_advance(&receiver->channel, seconds, &then);
    return vsb_taps_design(&then, reference, noise, &wish, design);
}

/* Chooses the reference and designs the first taps, unless those of the unit before serve. */
static enum status design_first(struct vsb_receiver *receiver, uint64_t unit)
{
    const struct channel *channel = &receiver->setup->channel;
    if (receiver->designed && !channel_has_positions(channel) && !channel_moves(channel)) {
        return STATUS_OK;
    }
    place_unit(receiver, unit);
    int references[] = {0, channel_strongest(&receiver->channel)};
    enum status status = STATUS_OK;
    receiver->designed = false;
    vsb_equaliser_free(&receiver->design);
    for (int i = 0; i < 2 && status == STATUS_OK; i++) {
        struct vsb_equaliser design = {0};
        int reference = references[i];
        if (i == 1 && reference == references[0]) {
            break;
        }
        double noise = noise_of(receiver, reference);
        status =
            noise > 0.0 ? design_at(receiver, reference, noise, 0.0, &design) : STATUS_NO_SOLUTION;
        if (status == STATUS_OK && (i == 0 || design.snr > receiver->design.snr)) {
            vsb_equaliser_free(&receiver->design);
            receiver->design = design;
            receiver->reference = reference;
            receiver->noise = noise;
        } else {
            vsb_equaliser_free(&design);
        }
    }
    if (status == STATUS_OK) {
        status = vsb_air_set(receiver->air, &receiver->channel, receiver->reference);
    }
    receiver->designed = status == STATUS_OK;
    return status;
}

/* Takes the mean over PILOT_SYMBOLS around each sample off it; `kept` is room. */
static void take_off_pilot(float *samples, long count, float *kept)
{
    const long half = PILOT_SYMBOLS / 2;
    double sum = 0.0;
    long inside = 0;
    memcpy(kept, samples, (size_t)count * sizeof *kept);
    for (long n = 0; n < half && n < count; n++) {
        sum += kept[n];
        inside++;
    }
    for (long n = 0; n < count; n++) {
        if (n + half < count) {
            sum += kept[n + half];
            inside++;
        }
        if (n - half - 1 >= 0) {
            sum -= kept[n - half - 1];
            inside--;
        }
        samples[n] = (float)(kept[n] - sum / (double)inside);
    }
}

/* Symbols until the fastest ray that is followed has turned by DESIGN_TURN, half a unit at most;
 * all where none turns. */
static long design_symbols(const struct vsb_receiver *receiver)
{
    const struct channel *channel = &receiver->channel;
    double fastest = 0.0, drift_hz = channel_drift_hz(channel, receiver->reference);
    for (int i = 0; i < channel->count; i++) {
        double turn_hz =
            channel->rays[i].doppler_hz - channel->rays[receiver->reference].doppler_hz;
        if (fabs(turn_hz - drift_hz) <= receiver->setup->tracking_hz) {
            fastest = fmax(fastest, fabs(turn_hz));
        }
    }
    double half = 0.5 * (double)receiver->symbols;
    return fastest > 0.0 ? (long)fmin(DESIGN_TURN / fastest * vsb_symbol_rate_hz(), half) + 1
                         : receiver->symbols;
}

static enum status equalise_ideally(struct vsb_receiver *receiver, const struct vsb_equalising *run)
{
    long apart = design_symbols(receiver);
    enum status status = STATUS_OK;
    for (long from = 0; from < receiver->symbols && status == STATUS_OK; from += apart) {
        long to = from + apart < receiver->symbols ? from + apart : receiver->symbols;
        if (apart == receiver->symbols) {
            vsb_equalise(run, &receiver->taps, from, to, NULL, 0.0f);
            break;
        }
        struct vsb_equaliser design = {0};
        status = design_at(receiver, receiver->reference, receiver->noise,
                           (double)(from + apart) / vsb_symbol_rate_hz(), &design);
        if (status == STATUS_OK) {
            vsb_live_taps_set(&receiver->next, &design, 1.0, 1.0);
            vsb_equaliser_free(&design);
            vsb_equalise(run, &receiver->taps, from, to, &receiver->next, 0.0f);
        }
    }
    return status;
}

/* mu, of inputs in levels. */
static double learning_step(const struct vsb_receiver *receiver)
{
    double power = 0.0;
    for (long n = 0; n < receiver->symbols; n++) {
        double sample = receiver->samples[receiver->setup->spans.earlier + n];
        power += sample * sample;
    }
    power /= (double)receiver->symbols * VSB_LEVEL_POWER;
    return receiver->setup->step / input_norm(receiver->setup, power) / VSB_LEVEL_POWER;
}

/* Sets the first taps: as designed, or where learning ends (of least mean square error), or where
 * learning that follows turning rays has come. */
static enum status set_taps(struct vsb_receiver *receiver, double mu)
{
    const struct vsb_equaliser *design = &receiver->design;
    if (!(mu > 0.0) || !channel_moves(&receiver->channel)) {
        double factor = mu > 0.0 ? design->snr / (1.0 + design->snr) : 1.0;
        vsb_live_taps_set(&receiver->taps, design, factor, 1.0);
        return STATUS_OK;
    }
    struct vsb_equaliser learnt;
    double gain;
    enum status status =
        vsb_taps_learnt(&receiver->channel, receiver->reference, receiver->noise,
                        receiver->setup->spans, mu * VSB_LEVEL_POWER, &learnt, &gain);
    if (status == STATUS_OK) {
        vsb_live_taps_set(&receiver->taps, &learnt, 1.0, gain);
        vsb_equaliser_free(&learnt);
    }
    return status;
}

static void measure_unit(const struct vsb_receiver *receiver, const float *sent,
                         const float *output, const float *believed, long settled,
                         struct vsb_receiver_measure *measure)
{
    double cross = 0.0, power = 0.0, out = 0.0, wrong = 0.0;
    for (long n = settled; n < receiver->symbols - receiver->setup->spans.later; n++) {
        if (receiver->lanes[n] != VSB_SYNC) {
            double difference = believed[n] - sent[n];
            cross += (double)output[n] * sent[n];
            power += (double)sent[n] * sent[n];
            out += (double)output[n] * output[n];
            wrong += difference * difference;
        }
    }
    double useful = cross * cross / power;
    measure->snr = useful / (out - useful);
    measure->wrong = wrong / power;
    measure->taps_snr = receiver->design.snr;
    measure->taps_energy = 0.0;
    for (int i = 0; i < receiver->setup->spans.feedback; i++) {
        measure->taps_energy += receiver->design.backward[i] * receiver->design.backward[i];
    }
}

/* Symbols alone, behind taps that stand: noise, and where something within the feedback's reach is
 * believed wrongly what it makes of that. */
static void run_behind(struct vsb_receiver *receiver, struct random *random, const float *sent,
                       float *output)
{
    const struct vsb_equaliser *behind = receiver->setup->behind;
    const int reach = receiver->setup->spans.feedback;
    const float sigma = (float)sqrt(VSB_LEVEL_POWER / behind->trusting_snr);
    float *believed = receiver->believed + reach, *right = receiver->samples + reach;
    long last_wrong = -reach - 1;
    double whole = 1.0;
    const struct vsb_equaliser taps = {.forward = &whole, .backward = behind->backward};
    vsb_live_taps_set(&receiver->taps, &taps, 1.0, 1.0);
    memcpy(right, sent, (size_t)receiver->symbols * sizeof *right);
    vsb_survivors_restart(receiver->survivors);
    for (long n = 0; n < receiver->symbols; n++) {
        long from = n;
        output[n] = sent[n] + sigma * (float)random_normal(random);
        if (n - last_wrong <= reach) {
            output[n] += vsb_live_taps_fed_back(&receiver->taps, right + n) -
                         vsb_live_taps_fed_back(&receiver->taps, believed + n);
        }
        believed[n] = sent[n];
        if (receiver->lanes[n] != VSB_SYNC && receiver->setup->feedback == FEEDBACK_TRELLIS) {
            from =
                vsb_survivors_take(receiver->survivors, receiver->lanes[n], n, output[n], believed);
        }
        for (long at = from; at <= n; at++) {
            last_wrong = believed[at] != sent[at] && at > last_wrong ? at : last_wrong;
        }
    }
}

enum status vsb_receiver_run(struct vsb_receiver *receiver, uint64_t unit, struct random *random,
                             const float *sent, float *output, long settled,
                             struct vsb_receiver_measure *measure)
{
    const struct vsb_receiver_setup *setup = receiver->setup;
    if (setup->behind != NULL) {
        run_behind(receiver, random, sent, output);
        return STATUS_OK;
    }
    enum status status = design_first(receiver, unit);
    if (status != STATUS_OK) {
        return status;
    }
    float *samples = receiver->samples + setup->spans.earlier;
    float *believed = receiver->believed + setup->spans.feedback;
    for (long n = 0; n < receiver->symbols; n++) {
        receiver->levels[n] = sent[n] + (float)VSB_PILOT_LEVEL;
    }
    vsb_air_send(receiver->air, receiver->levels, receiver->noise * VSB_LEVEL_POWER, random,
                 samples);
    take_off_pilot(samples, receiver->symbols, receiver->levels);
    vsb_survivors_restart(receiver->survivors);
    double mu = setup->step > 0.0 ? learning_step(receiver) : 0.0;
    status = set_taps(receiver, mu);
    if (status != STATUS_OK) {
        return status;
    }
    const struct vsb_equalising run = {.symbols = receiver->symbols,
                                       .samples = samples,
                                       .sent = sent,
                                       .lanes = receiver->lanes,
                                       .believed = believed,
                                       .output = output,
                                       .feedback = setup->feedback,
                                       .survivors = receiver->survivors};
    if (setup->step > 0.0) {
        vsb_equalise(&run, &receiver->taps, 0, receiver->symbols, NULL, (float)mu);
    } else {
        status = equalise_ideally(receiver, &run);
    }
    if (status == STATUS_OK && measure) {
        measure_unit(receiver, sent, output, believed, settled, measure);
    }
    return status;
}
