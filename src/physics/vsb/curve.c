/* Idea: with u the weights with which forward taps see each symbol, feedback taps take their own
 * off, and the wanted symbol 1, what is left is the error's part of that symbol; its weights put
 * back through the channel are R w - p (learning.c). Channel taps that never count are left out,
 * and so are equaliser taps far beyond all echoes' places. */
#include "physics/vsb/curve.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "base/wide.h"
#include "standard/vsb/signal.h"

#define NEGLIGIBLE_TAP \
    1e-2 /* of the channel, against the strongest echo that turns, or the noise */
#define NEGLIGIBLE_POWER 1e-3 /* of an echo, against the noise */
#define PULSE_SYMBOLS 20      /* on either side, that count in feedback */
#define TAIL_SYMBOLS 128      /* of a pulse, that are looked at */
#define NEGLIGIBLE_ENDS 1e-2  /* of what is negligible of a tap, sum of squares */
#define REACH_SYMBOLS 40      /* of taps beyond the echoes' own places */
#define REACH_MULTIPLES 4     /* and as often as far as the echoes themselves */
#define EARLIER_MULTIPLES 3   /* of earlier samples, which hold less of the wanted symbol */

void curve_free(struct curve *c)
{
    for (int i = 0; i < c->group_count; i++) {
        free(c->groups[i].now);
        free(c->groups[i].ahead);
    }
    free(c->at);
    free(c->rest);
    free(c->channel);
    free(c->symbols);
    free(c->padded);
    free(c->offsets);
}

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Taps far beyond all echoes' places stay 0. */
static void limit_spans(struct curve *c)
{
    double reach = 0.0;
    for (int i = 0; i < c->learning->count; i++) {
        reach = fmax(reach, fabs(c->learning->echoes[i].delay_us) / vsb_symbol_us());
    }
    int far = (int)fmin(ceil(reach), 1e5), most = REACH_SYMBOLS + REACH_MULTIPLES * far;
    c->spans = c->learning->spans;
    c->spans.earlier = least(c->spans.earlier, REACH_SYMBOLS + EARLIER_MULTIPLES * far);
    c->spans.later = least(c->spans.later, most);
    /* Feedback that reaches all symbols in the earliest sample leaves none of them over. */
    c->spans.feedback = least(c->spans.feedback, most + far + PULSE_SYMBOLS);
    c->forward = c->spans.earlier + c->spans.later + 1;
    c->inputs = c->forward + c->spans.feedback;
}

/* Echoes that drown in the noise may turn as they like. */
static double doppler_of(const struct vsb_learning *learning, int echo)
{
    bool counts =
        ratio_from_db(learning->echoes[echo].level_db) > NEGLIGIBLE_POWER * learning->noise;
    return counts ? learning->echoes[echo].doppler_hz : 0.0;
}

/* Channel taps smaller than that are left out. */
static double least_tap(const struct vsb_learning *learning)
{
    double strongest = 0.0;
    for (int i = 0; i < learning->count; i++) {
        const struct echo *echo = &learning->echoes[i];
        strongest = doppler_of(learning, i) != 0.0
                        ? fmax(strongest, sqrt(ratio_from_db(echo->level_db)))
                        : strongest;
    }
    return NEGLIGIBLE_TAP * fmax(strongest, 0.2 * sqrt(learning->noise));
}

/* Channel taps from the first to the last that may count, whatever the phases. */
struct range {
    int first, count;
};

static struct range range_of(const struct vsb_learning *learning)
{
    int first = 0, last = 0;
    for (int i = 0; i < learning->count; i++) {
        int at = (int)lround(learning->echoes[i].delay_us / vsb_symbol_us());
        first = at < first ? at : first;
        last = at > last ? at : last;
    }
    return (struct range){first - TAIL_SYMBOLS, last - first + 2 * TAIL_SYMBOLS + 1};
}

/* The channel of the echoes of that Doppler alone, `turned` degrees on, with the main signal or
 * without, over the range of all. */
static enum status part_make(const struct vsb_learning *learning, double doppler_hz, double turned,
                             bool with_main, const struct range *range, double *taps)
{
    struct echo echoes[ECHOES_MAX];
    struct vsb_channel part;
    int count = 0;
    for (int i = 0; i < learning->count; i++) {
        if (doppler_of(learning, i) == doppler_hz) {
            echoes[count] = learning->echoes[i];
            echoes[count++].phase_deg += turned;
        }
    }
    double least = least_tap(learning);
    enum status status =
        vsb_channel_make_above(echoes, count, NEGLIGIBLE_ENDS * least * least, &part);
    for (int i = 0; i < range->count && status == STATUS_OK; i++) {
        int k = range->first + i;
        taps[i] = vsb_channel_tap(&part, k) - (k == 0 && !with_main ? 1.0 : 0.0);
    }
    vsb_channel_free(&part);
    return status;
}

/* Groups by Doppler, over the range of all echoes. */
static enum status split_channel(struct curve *c, const struct range *range)
{
    const struct vsb_learning *learning = c->learning;
    size_t size = (size_t)range->count * sizeof(double);
    c->rest = malloc(size);
    enum status status =
        c->rest ? part_make(learning, 0.0, 0.0, true, range, c->rest) : STATUS_NO_MEMORY;
    for (int i = 0; i < learning->count && status == STATUS_OK; i++) {
        double doppler_hz = doppler_of(learning, i);
        bool known = doppler_hz == 0.0;
        for (int g = 0; g < c->group_count; g++) {
            known = known || c->groups[g].doppler_hz == doppler_hz;
        }
        if (!known) {
            struct group *group = &c->groups[c->group_count++];
            *group = (struct group){doppler_hz, malloc(size), malloc(size)};
            if (!group->now || !group->ahead) {
                return STATUS_NO_MEMORY;
            }
            status = part_make(learning, doppler_hz, 0.0, false, range, group->now);
            if (status == STATUS_OK) {
                status = part_make(learning, doppler_hz, 90.0, false, range, group->ahead);
            }
        }
    }
    return status;
}

/* Keeps the channel taps that ever count. */
static enum status keep_taps(struct curve *c, const struct range *range)
{
    double least = least_tap(c->learning);
    c->at = calloc((size_t)range->count, sizeof *c->at);
    c->channel = malloc((size_t)range->count * sizeof *c->channel);
    if (!c->at || !c->channel) {
        return STATUS_NO_MEMORY;
    }
    for (int i = 0; i < range->count; i++) {
        double most = fabs(c->rest[i]);
        for (int g = 0; g < c->group_count; g++) {
            most += hypot(c->groups[g].now[i], c->groups[g].ahead[i]);
        }
        if (most > least) {
            c->at[c->tap_count] = range->first + i;
            c->rest[c->tap_count] = c->rest[i];
            for (int g = 0; g < c->group_count; g++) {
                c->groups[g].now[c->tap_count] = c->groups[g].now[i];
                c->groups[g].ahead[c->tap_count] = c->groups[g].ahead[i];
            }
            c->tap_count++;
        }
    }
    return c->tap_count > 0 ? STATUS_OK : STATUS_NO_SOLUTION;
}

/* Room for what the taps weigh, from the first symbol to the last. */
static enum status make_room(struct curve *c)
{
    int last = c->at[c->tap_count - 1] + c->spans.earlier + 1;
    c->range = c->at[c->tap_count - 1] - c->at[0] + 1;
    c->first_symbol = c->at[0] - c->spans.later;
    c->symbol_count = (last > c->spans.feedback ? last : c->spans.feedback + 1) - c->first_symbol;
    size_t symbols = (size_t)c->symbol_count + CURVE_PLACES;
    c->symbols = calloc(symbols, sizeof *c->symbols);
    c->padded = calloc((size_t)c->range + symbols, sizeof *c->padded);
    c->offsets = malloc((size_t)c->tap_count * sizeof *c->offsets);
    return c->symbols && c->padded && c->offsets ? STATUS_OK : STATUS_NO_MEMORY;
}

enum status curve_make(const struct vsb_learning *learning, struct curve *c)
{
    memset(c, 0, sizeof *c);
    c->learning = learning;
    limit_spans(c);
    enum status status = echoes_check(learning->echoes, learning->count, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    struct range range = range_of(learning);
    if (status == STATUS_OK) {
        status = split_channel(c, &range);
    }
    if (status == STATUS_OK) {
        status = keep_taps(c, &range);
    }
    if (status == STATUS_OK) {
        status = make_room(c);
    }
    return status;
}

void curve_set(struct curve *c, double symbols)
{
    for (int t = 0; t < c->tap_count; t++) {
        c->channel[t] = (float)c->rest[t];
    }
    for (int g = 0; g < c->group_count; g++) {
        const struct group *group = &c->groups[g];
        double turns = group->doppler_hz * symbols / vsb_symbol_rate_hz();
        double angle = 2.0 * PI * fmod(turns, 1.0), now = cos(angle), ahead = sin(angle);
        for (int t = 0; t < c->tap_count; t++) {
            c->channel[t] += (float)(now * group->now[t] + ahead * group->ahead[t]);
        }
    }
}

#define LANES 16
typedef float lanes __attribute__((vector_size(4 * LANES)));
#define SUMS 4 /* registers of them, so that no addition waits for the one before */
_Static_assert(CURVE_PLACES == SUMS * LANES, "all of a pass");

/* sums[i] = sum over channel taps t of channel[t] values[offsets[t] + i], i < count; reads and
 * writes up to CURVE_PLACES - 1 beyond. */
TWINS static void sum_over_channel(const struct curve *c, const int *offsets, const float *values,
                                   int count, float *sums)
{
    for (int i = 0; i < count; i += CURVE_PLACES) {
        lanes sum[SUMS];
        for (int k = 0; k < SUMS; k++) {
            sum[k] = (lanes){0.0f};
        }
        for (int t = 0; t < c->tap_count; t++) {
            const float *from = values + offsets[t] + i;
            float tap = c->channel[t];
            for (int k = 0; k < SUMS; k++) {
                lanes at;
                memcpy(&at, from + k * LANES, sizeof at);
                sum[k] += tap * at;
            }
        }
        for (int k = 0; k < SUMS; k++) {
            memcpy(sums + i + k * LANES, &sum[k], sizeof sum[k]);
        }
    }
}

void curve_put_back(struct curve *c, float *sums)
{
    for (int t = 0; t < c->tap_count; t++) {
        c->offsets[t] = c->at[t] - c->at[0];
    }
    sum_over_channel(c, c->offsets, c->symbols, c->forward, sums);
}

/* What forward taps weigh of `count` symbols from `first` on, that many before the wanted one. */
static void weigh(struct curve *c, const float *restrict taps, int first, int count, float *sums)
{
    for (int t = 0; t < c->tap_count; t++) {
        c->offsets[t] = c->range + c->at[0] - c->at[t];
    }
    memcpy(c->padded + c->range, taps, (size_t)c->forward * sizeof *taps);
    sum_over_channel(c, c->offsets, c->padded + first - c->first_symbol, count, sums);
}

void curve_weigh_fed_back(struct curve *c, const float *taps, float *sums)
{
    weigh(c, taps, 1, c->spans.feedback, sums);
}

typedef float narrow __attribute__((vector_size(4 * WIDE)));

TWINS static double sum_of_squares(const float *values, int count)
{
    wide sums[2] = {{0.0}, {0.0}};
    int i = 0;
    for (; i + 2 * WIDE <= count; i += 2 * WIDE) {
        for (int k = 0; k < 2; k++) {
            narrow x;
            memcpy(&x, values + i + k * WIDE, sizeof x);
            wide at = __builtin_convertvector(x, wide);
            sums[k] += at * at;
        }
    }
    sums[0] += sums[1];
    double sum = (sums[0][0] + sums[0][1]) + (sums[0][2] + sums[0][3]);
    for (; i < count; i++) {
        sum += (double)values[i] * values[i];
    }
    return sum;
}

double curve_error(struct curve *c, const float *off)
{
    weigh(c, off, c->first_symbol, c->symbol_count, c->symbols);
    for (int j = 0; j < c->spans.feedback; j++) {
        c->symbols[1 + j - c->first_symbol] -= off[c->forward + j];
    }
    return c->learning->noise * sum_of_squares(off, c->forward) +
           sum_of_squares(c->symbols, c->symbol_count);
}

#define SURE 1e-6 /* of the SNR, of taps that doubt */

/* The channel set, in place: the owner calls vsb_channel_free. */
static enum status channel_of(const struct curve *c, struct vsb_channel *channel)
{
    *channel =
        (struct vsb_channel){.first = c->at[0], .count = c->at[c->tap_count - 1] - c->at[0] + 1};
    channel->taps = calloc((size_t)channel->count, sizeof *channel->taps);
    for (int t = 0; t < c->tap_count && channel->taps != NULL; t++) {
        channel->taps[c->at[t] - channel->first] = c->channel[t];
    }
    return channel->taps != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

enum status curve_best(struct curve *c, float *taps, double *error)
{
    struct vsb_channel channel;
    struct vsb_equaliser best;
    enum status status = channel_of(c, &channel);
    if (status == STATUS_OK) {
        status = vsb_equaliser_design(&channel, c->learning->noise, c->spans, &best);
        vsb_channel_free(&channel);
    }
    if (status != STATUS_OK) {
        return status;
    }
    *error = 1.0 / (1.0 + best.snr);
    float gain = (float)(best.snr / (1.0 + best.snr));
    for (int i = 0; i < c->forward; i++) {
        taps[c->forward - 1 - i] = gain * (float)best.forward[i];
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        taps[c->forward + j] = gain * (float)best.backward[j];
    }
    vsb_equaliser_free(&best);
    return STATUS_OK;
}

enum status curve_doubt(struct curve *c, vsb_doubts_at *doubts_at, float *lean)
{
    struct vsb_channel channel;
    struct vsb_equaliser best, doubting;
    enum status status = channel_of(c, &channel);
    if (status == STATUS_OK) {
        status = vsb_equaliser_design_doubting(&channel, c->learning->noise, c->spans, doubts_at,
                                               SURE, 0.0, &best, &doubting);
        vsb_channel_free(&channel);
    }
    if (status != STATUS_OK) {
        return status;
    }
    for (int i = 0; i < c->forward; i++) {
        lean[c->forward - 1 - i] = (float)(doubting.forward[i] - best.forward[i]);
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        lean[c->forward + j] = (float)(doubting.backward[j] - best.backward[j]);
    }
    vsb_equaliser_free(&best);
    vsb_equaliser_free(&doubting);
    return STATUS_OK;
}

void curve_lean(const struct curve *c, const struct vsb_lean *known, float *lean)
{
    int skipped = c->learning->spans.earlier - c->spans.earlier;
    for (int i = 0; i < c->forward; i++) {
        lean[c->forward - 1 - i] = (float)known->forward[skipped + i];
    }
    for (int j = 0; j < c->spans.feedback; j++) {
        lean[c->forward + j] = (float)known->backward[j];
    }
}

double curve_gain(const struct curve *c, const float *taps)
{
    double gain = 0.0;
    for (int t = 0; t < c->tap_count; t++) {
        int i = c->spans.later - c->at[t];
        gain += i >= 0 && i < c->forward ? (double)c->channel[t] * taps[i] : 0.0;
    }
    return gain;
}
