/* Idea. A symbol fed back of which a share w of the power is in doubt stays in R (equaliser.c) with
 * that share, and its feedback tap is the smaller by sqrt(1 - w): the best that a decision of
 * correlation sqrt(1 - w) with the symbol does. With c = H' g what forward taps g weigh of the
 * symbols fed back, the taps solve
 *
 *     (R + H W H') g = h.
 *
 * W is small where the code decodes, so that conjugate gradients with R^-1 before them, of which
 * the factor is there already, end within a few steps (Golub and Van Loan, Matrix Computations, the
 * chapter on preconditioning); R times a direction follows from R^-1 times the remainder before it,
 * and is never multiplied out. The doubts are those at the SNR that the taps leave. Taps being the
 * best ones, that SNR hardly hangs on them: it is first found with the taps as they are, which
 * costs little, then the taps go on, until it stands still. Before the columns R is the noise's
 * (within.c), as long as no weight is there: symbols older than those fed back are in doubt
 * altogether.
 *
 * Validity: any doubts; as exact as is asked. Worked number: h = (1, 0.6), noise 0.1, one symbol
 * fed back, 0.19 of it in doubt: SNR 1 / (0.1 + 0.19 0.36) = 5.94, feedback tap 0.54. */
#include "physics/vsb/doubting.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/wide.h"
#include "physics/vsb/stretches.h"

#define ARRAYS 12
#define ROUNDS_MOST 12
#define STANDS_STILL 3e-4 /* of the SNR */
#define STEEP 0.8
#define STEPS_MOST 200
#define STEPS_FIRST 1 /* before the doubts are looked at anew */

/* A change of forward taps, what R makes of it and what it weighs of the symbols fed back. */
struct change {
    double *forward, *through, *weighed;
};

struct doubting {
    struct columns columns;
    double noise, trusting_snr, sure;
    double passes_most;    /* sum of the channel's taps without their signs */
    int n, skipped;        /* forward taps, those before the columns */
    int earlier, last;     /* samples; tap of the channel */
    int feedback, symbols; /* fed back, and those before the wanted one that count */
    bool all_fed_back;     /* R has no older symbols in it */
    struct vsb_doubts doubts;
    const double
        *channel; /* what symbol 1 before the wanted one puts into the first sample, and on */
    const double *wanted;
    struct change all, step;                  /* `all` weighs what the taps do, changed or not */
    double *left, *solved, *doubtful, *image; /* of the right-hand side */
};

/* Symbols before the wanted one in the samples from so much earlier on, of those that R leaves to
 * be counted. */
static int symbols_in(const struct doubting *d, int earlier)
{
    int symbols = earlier + d->last > 0 ? earlier + d->last : 0;
    return d->all_fed_back || symbols < d->feedback ? symbols : d->feedback;
}

/* Symbols that are as much in doubt, of those before the wanted one; by age, then what is older
 * than all that is fed back. */
struct alike {
    int from, count;
    double doubt;
};

INLINED struct alike alike_of(const struct doubting *d, int age)
{
    int oldest = VSB_DOUBT_AGES - 1, known = d->doubts.ages - 1;
    int fed_back = d->feedback < d->symbols ? d->feedback : d->symbols;
    if (age > oldest) {
        return (struct alike){fed_back, d->symbols - fed_back, 1.0};
    }
    int from = age * VSB_DOUBT_SYMBOLS < fed_back ? age * VSB_DOUBT_SYMBOLS : fed_back;
    int to =
        age < oldest && from + VSB_DOUBT_SYMBOLS < fed_back ? from + VSB_DOUBT_SYMBOLS : fed_back;
    double doubt = known < 0 ? 0.0 : d->doubts.doubt[age < known ? age : known];
    return (struct alike){from, to - from, doubt};
}

/* x becomes R^-1 x. */
INLINED void solve_trusting(const struct doubting *d, double *x)
{
    double inverse = 1.0 / d->noise;
    for (int i = 0; i < d->skipped; i++) {
        x[i] *= inverse;
    }
    columns_solve_lower(&d->columns, 0, x + d->skipped);
    columns_solve_upper(&d->columns, x + d->skipped);
}

INLINED void weigh_fed_back(const struct doubting *d, const struct change *change)
{
    memset(change->weighed, 0, (size_t)d->symbols * sizeof *change->weighed);
    add_correlation(change->forward, d->n, d->channel, d->n + d->symbols, change->weighed,
                    d->symbols);
}

/* H W times what is weighed, in `image`. */
INLINED void doubt_image(const struct doubting *d, const double *weighed)
{
    for (int age = 0; age <= VSB_DOUBT_AGES; age++) {
        struct alike alike = alike_of(d, age);
        for (int j = alike.from; j < alike.from + alike.count; j++) {
            d->doubtful[j] = alike.doubt * weighed[j];
        }
    }
    memset(d->image, 0, (size_t)d->n * sizeof *d->image);
    add_correlation(d->doubtful, d->symbols, d->channel, d->n + d->symbols, d->image, d->n);
}

/* to = by * to + from. */
INLINED void go_on(double *to, const double *from, double by, int count)
{
    for (int i = 0; i < count; i++) {
        to[i] = by * to[i] + from[i];
    }
}

/* to += by * from. */
INLINED void add(double *to, const double *from, double by, int count)
{
    for (int i = 0; i < count; i++) {
        to[i] += by * from[i];
    }
}

/* Of the right-hand side, square: R is no less than the noise. */
static double left_may_be(const struct doubting *d)
{
    return d->noise * d->sure * d->trusting_snr;
}

/* Conjugate gradients from where the taps are, of which the doubts' image is there, until of the
 * right-hand side no more is left than is sure, or for so many steps. Returns how many it took. */
INLINED int approach(struct doubting *d, int steps)
{
    double before = 0.0;
    for (int i = 0; i < d->n; i++) {
        d->left[i] = -d->all.through[i] - d->image[i];
    }
    for (int step = 0; step < steps; step++) {
        if (wide_inner(d->left, d->left, d->n) < left_may_be(d)) {
            return step;
        }
        memcpy(d->solved, d->left, (size_t)d->n * sizeof *d->left);
        solve_trusting(d, d->solved);
        double remainder = wide_inner(d->left, d->solved, d->n);
        if (!(remainder > d->sure * d->trusting_snr)) {
            return step;
        }
        double by = step > 0 ? remainder / before : 0.0;
        go_on(d->step.forward, d->solved, by, d->n);
        go_on(d->step.through, d->left, by, d->n);
        weigh_fed_back(d, &d->step);
        doubt_image(d, d->step.weighed);
        add(d->image, d->step.through, 1.0, d->n);
        double far = remainder / wide_inner(d->step.forward, d->image, d->n);
        add(d->all.forward, d->step.forward, far, d->n);
        add(d->all.through, d->step.through, far, d->n);
        add(d->all.weighed, d->step.weighed, far, d->symbols);
        add(d->left, d->image, -far, d->n);
        before = remainder;
    }
    return steps;
}

/* What the taps leave: gain of the wanted symbol, the noise where nothing is in doubt, and the
 * power of what is fed back, by age. Without doubts the gain is their SNR. */
struct leaves {
    double gain, noise, fed_back[VSB_DOUBT_AGES];
};

INLINED struct leaves leaves_of(const struct doubting *d)
{
    double gain = d->trusting_snr + wide_inner(d->wanted, d->all.forward, d->n);
    struct leaves leaves = {.gain = gain,
                            .noise = 2.0 * gain - d->trusting_snr +
                                     wide_inner(d->all.through, d->all.forward, d->n)};
    for (int age = 0; age <= VSB_DOUBT_AGES; age++) {
        struct alike alike = alike_of(d, age);
        const double *weighed = d->all.weighed + alike.from;
        *(age < VSB_DOUBT_AGES ? &leaves.fed_back[age] : &leaves.noise) +=
            wide_inner(weighed, weighed, alike.count);
    }
    return leaves;
}

/* The SNR that is left, or is as long as no decision is wrong: what the taps hold back of a symbol
 * in doubt is then left of it. */
static double snr_of(const struct doubting *d, const struct leaves *leaves, bool trusting)
{
    double power = leaves->noise;
    for (int age = 0; age < VSB_DOUBT_AGES; age++) {
        double doubt = alike_of(d, age).doubt, held_back = 1.0 - sqrt(1.0 - doubt);
        power += (trusting ? held_back * held_back : doubt) * leaves->fed_back[age];
    }
    return leaves->gain * leaves->gain / power;
}

/* Where a line through two answers would meet the SNR that was asked about; the answer itself where
 * there is but one, or they rise nearly as fast. */
static double next_snr(double snr, double answer, double last_snr, double last_answer)
{
    double slope = (answer - last_answer) / (snr - last_snr);
    return slope > 0.0 && slope < STEEP ? (answer - slope * snr) / (1.0 - slope) : answer;
}

/* Doubts and the SNR that they leave with these taps: as taps are the best ones, theirs hardly
 * changes as doubts do. Looked for from `snr` on. */
INLINED double settle(struct doubting *d, vsb_doubts_at *doubts_at, double snr)
{
    struct leaves leaves = leaves_of(d);
    double last_snr = INFINITY, last_answer = INFINITY;
    for (int round = 0; round < ROUNDS_MOST; round++) {
        doubts_at(snr, &d->doubts);
        double answer = snr_of(d, &leaves, false);
        if (fabs(answer / snr - 1.0) < 0.1 * STANDS_STILL) {
            break;
        }
        double next = round > 0 ? next_snr(snr, answer, last_snr, last_answer) : answer;
        last_answer = answer;
        last_snr = snr;
        snr = next;
    }
    return snr;
}

/* Whether doubts put too little into the right-hand side for the taps to change: at the most what
 * is weighed and in doubt, square, as often as the channel passes a symbol on. */
INLINED bool leaves_taps_alone(const struct doubting *d)
{
    struct leaves leaves = leaves_of(d);
    double squares = 0.0;
    for (int age = 0; age < VSB_DOUBT_AGES; age++) {
        double doubt = alike_of(d, age).doubt;
        squares += doubt * doubt * leaves.fed_back[age];
    }
    return squares * d->passes_most * d->passes_most < left_may_be(d);
}

TWINS static void find(struct doubting *d, vsb_doubts_at *doubts_at)
{
    double snr = settle(d, doubts_at, d->trusting_snr), last = INFINITY;
    if (leaves_taps_alone(d)) {
        return;
    }
    doubt_image(d, d->all.weighed);
    d->symbols = symbols_in(d, d->earlier); /* rows before the columns change too from here on */
    for (int round = 0; round < ROUNDS_MOST; round++) {
        last = snr;
        if (approach(d, round > 0 ? STEPS_MOST : STEPS_FIRST) == 0) {
            return; /* nor do the doubts change */
        }
        snr = settle(d, doubts_at, snr);
        if (round > 0 && fabs(snr / last - 1.0) < STANDS_STILL) {
            return;
        }
        doubt_image(d, d->all.weighed);
    }
}

static void fill(const struct doubting *d, const struct vsb_equaliser *trusting,
                 struct vsb_equaliser *doubting)
{
    struct leaves leaves = leaves_of(d);
    double gain = leaves.gain, kept = trusting->snr / gain;
    int count = trusting->spans.earlier + trusting->spans.later + 1;
    doubting->snr = snr_of(d, &leaves, false);
    doubting->trusting_snr = snr_of(d, &leaves, true);
    for (int i = 0; i < count; i++) {
        doubting->forward[i] = trusting->forward[i] * kept;
    }
    for (int i = 0; i < d->n; i++) {
        doubting->forward[i] += d->all.forward[i] / gain;
    }
    for (int age = 0; age < VSB_DOUBT_AGES; age++) {
        struct alike alike = alike_of(d, age);
        double fed_back = sqrt(1.0 - alike.doubt) / gain;
        for (int j = alike.from; j < alike.from + alike.count; j++) {
            doubting->backward[j] = d->all.weighed[j] * fed_back;
        }
    }
}

/* Numbers of the channel from tap `from` on. */
static void copy_taps(const struct vsb_channel *channel, int from, int count, double *taps)
{
    int skipped = from < channel->first ? channel->first - from : 0;
    int first = from + skipped - channel->first;
    int there = channel->count - first < count - skipped ? channel->count - first : count - skipped;
    if (there > 0) {
        memcpy(taps + skipped, channel->taps + first, (size_t)there * sizeof *taps);
    }
}

/* The taps as they are without doubts, in arrays of `most` numbers each. */
static void start(struct doubting *d, const struct vsb_channel *channel,
                  const struct vsb_equaliser *trusting, double *memory, int most)
{
    double *arrays[ARRAYS];
    for (int i = 0; i < ARRAYS; i++) {
        arrays[i] = memory + (size_t)i * ((size_t)most + WIDE);
    }
    copy_taps(channel, 1 - d->earlier, most, arrays[0]);
    copy_taps(channel, -d->earlier, d->n, arrays[1]);
    d->symbols = symbols_in(d, d->earlier - d->skipped);
    for (int j = 0; j < d->symbols && j < d->feedback; j++) {
        arrays[2][j] = trusting->snr * trusting->backward[j];
    }
    d->channel = arrays[0];
    d->wanted = arrays[1];
    d->all = (struct change){arrays[3], arrays[4], arrays[2]};
    d->step = (struct change){arrays[5], arrays[6], arrays[7]};
    d->left = arrays[8];
    d->solved = arrays[9];
    d->doubtful = arrays[10];
    d->image = arrays[11];
}

enum status vsb_doubting_design(const struct vsb_channel *channel, double noise,
                                const struct columns *columns, vsb_doubts_at *doubts_at,
                                double sure, const struct vsb_equaliser *trusting,
                                struct vsb_equaliser *doubting)
{
    int earlier = trusting->spans.earlier, n = earlier + trusting->spans.later + 1;
    struct doubting d = {.columns = *columns,
                         .noise = noise,
                         .trusting_snr = trusting->snr,
                         .sure = sure,
                         .n = n,
                         .skipped = n - columns->n,
                         .earlier = earlier,
                         .last = channel->first + channel->count - 1,
                         .feedback = trusting->spans.feedback,
                         .all_fed_back = n > columns->n};
    int most = n + symbols_in(&d, earlier);
    double *memory = calloc(ARRAYS * ((size_t)most + WIDE), sizeof *memory);
    if (memory == NULL) {
        return STATUS_NO_MEMORY;
    }
    start(&d, channel, trusting, memory, most);
    for (int i = 0; i < channel->count; i++) {
        d.passes_most += fabs(channel->taps[i]);
    }
    find(&d, doubts_at);
    fill(&d, trusting, doubting);
    free(memory);
    return isfinite(doubting->snr) ? STATUS_OK : STATUS_NO_SOLUTION;
}
