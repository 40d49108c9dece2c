/* Least mean squares: taps += mu error inputs, the error against the level that is believed (a
 * known one in the syncs). A glide moves the taps every GLIDE symbols by a straight line's share.
 */
#include "simulation/vsb/receiver/equalise.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define GLIDE 64
#define OUTPUT_MOST 1e3f /* beyond it taps have run away; the decoder sees this */

enum status vsb_live_taps_make(struct vsb_equaliser_spans spans, struct vsb_live_taps *taps)
{
    *taps = (struct vsb_live_taps){.spans = spans, .scale = 1.0f};
    taps->forward = calloc((size_t)(spans.earlier + spans.later) + 1, sizeof *taps->forward);
    taps->backward = calloc((size_t)spans.feedback + 1, sizeof *taps->backward);
    return taps->forward && taps->backward ? STATUS_OK : STATUS_NO_MEMORY;
}

void vsb_live_taps_free(struct vsb_live_taps *taps)
{
    free(taps->forward);
    free(taps->backward);
    *taps = (struct vsb_live_taps){0};
}

void vsb_live_taps_set(struct vsb_live_taps *taps, const struct vsb_equaliser *design,
                       double factor, double gain)
{
    int forward = taps->spans.earlier + taps->spans.later + 1, backward = taps->spans.feedback;
    for (int i = 0; i < forward; i++) {
        taps->forward[i] = (float)(factor * design->forward[i]);
    }
    for (int i = 0; i < backward; i++) {
        taps->backward[i] = (float)(factor * design->backward[backward - 1 - i]);
    }
    taps->scale = (float)(1.0 / (factor * gain));
}

/* Sixteen sums side by side: vector registers, and the same order of additions everywhere. */
static float inner(const float *restrict a, const float *restrict b, int n)
{
    float sums[16] = {0}, sum = 0.0f;
    int i = 0;
    for (; i + 16 <= n; i += 16) {
        for (int j = 0; j < 16; j++) {
            sums[j] += a[i + j] * b[i + j];
        }
    }
    for (; i < n; i++) {
        sum += a[i] * b[i];
    }
    for (int j = 0; j < 16; j++) {
        sum += sums[j];
    }
    return sum;
}

float vsb_live_taps_fed_back(const struct vsb_live_taps *taps, const float *symbols)
{
    return inner(taps->backward, symbols - taps->spans.feedback, taps->spans.feedback);
}

static void add_scaled(float *restrict a, float scale, const float *restrict b, int n)
{
    for (int i = 0; i < n; i++) {
        a[i] += scale * b[i];
    }
}

static float nearest_level(float value)
{
    float level = 2.0f * floorf(0.5f * value + 4.0f) - 7.0f;
    return level > 7.0f ? 7.0f : level < -7.0f ? -7.0f : level;
}

/* Writes what is believed of symbol n, and of older ones where a survivor says so. */
static void decide(const struct vsb_equalising *run, long n, float value)
{
    if (run->lanes[n] == VSB_SYNC || run->feedback == FEEDBACK_ERROR_FREE) {
        run->believed[n] = run->sent[n];
    } else if (run->feedback == FEEDBACK_TRELLIS) {
        vsb_survivors_take(run->survivors, run->lanes[n], n, value, run->believed);
    } else {
        run->believed[n] = nearest_level(value);
    }
}

static void glide(struct vsb_live_taps *taps, const struct vsb_live_taps *next, float share)
{
    int forward = taps->spans.earlier + taps->spans.later + 1, backward = taps->spans.feedback;
    for (int i = 0; i < forward; i++) {
        taps->forward[i] += share * (next->forward[i] - taps->forward[i]);
    }
    for (int i = 0; i < backward; i++) {
        taps->backward[i] += share * (next->backward[i] - taps->backward[i]);
    }
}

void vsb_equalise(const struct vsb_equalising *run, struct vsb_live_taps *taps, long from, long to,
                  const struct vsb_live_taps *next, float mu)
{
    int forward = taps->spans.earlier + taps->spans.later + 1, backward = taps->spans.feedback;
    for (long n = from; n < to; n++) {
        const float *samples = run->samples + n - taps->spans.earlier;
        const float *fed_back = run->believed + n - backward;
        if (next && (n - from) % GLIDE == 0) {
            long left = (to - n + GLIDE - 1) / GLIDE; /* steps, the last one cut off */
            glide(taps, next, 1.0f / (float)left);
        }
        float output =
            inner(taps->forward, samples, forward) - inner(taps->backward, fed_back, backward);
        float value = taps->scale * output;
        if (!(fabsf(value) < OUTPUT_MOST)) {
            value = output = OUTPUT_MOST;
        }
        run->output[n] = value;
        decide(run, n, value);
        if (mu > 0.0f) {
            float change = mu * (run->believed[n] - output);
            add_scaled(taps->forward, change, samples, forward);
            add_scaled(taps->backward, -change, fed_back, backward);
        }
    }
}
