/* Taps that lag leave an error that goes on from symbol to symbol: what the forward taps should
 * have taken away of the symbols before and after the wanted one. A wrong decision is a sign of the
 * error before it, so that what feedback makes of the decision meets what goes on of the error.
 * With rho(j) the correlation of the error with itself j symbols on, over its power, wrong
 * decisions seem to be fed back not by b(j) but by b(j) less some share of rho(j). With x minus the
 * sum of b(j) rho(j), less what it is of the best taps, and E the sum of b(j)^2, the loss therefore
 * counts
 *
 *     1 + MEETS x / E
 *
 * times, and at least LEFT times. The best taps leave hardly any such error.
 *
 * Taps that learn from survivors end where these are doubted (doubting.h). So to taps that lag is
 * added, forward and feedback, what doubts make of the best ones: these leaning taps are the ones
 * that feed back, and what they leave more than those that lag alone is told with the loss.
 *
 * Receivers that learn from decisions also hold on to what happened. While a fall into errors
 * lasts, taps learn what is wrong, and the receiver comes back only where feedback is weak again:
 * where wrong decisions cost less than MENDS_BELOW_DB. Where taps learn fast and there is little
 * noise to keep them together, they have gone astray by then: above ASTRAY_DB - 3.5 log10(step mu /
 * ASTRAY_AT) nothing comes back. So what is left in the end is at most what was left anywhere on
 * the way where nothing mended it since. The way is WAY_SYMBOLS long, what the simulated receiver
 * is given before what counts: it is taken to start anew about as often. A short dip is borne a
 * little better than one that lasts.
 *
 * Validity: limits are fits to the simulated rooms of tests/proof/learner-table.txt,
 * receiver-table.txt and fresh-table.txt whose receivers learn, of which 208 turn, and when
 * receivers come back to three rooms of outage-table.txt as well
 * (tests/simulation/vsb/receiver/test_table.c, tests/published/test_outage.c). One of them in which
 * rays turn is told 3 dB too good: later room 27, whose receiver starts in a fade and does not
 * mend; started before it, or behind, it decodes at 2 dB less (*computed*). Worked number: three
 * rays of up to 2.2 Hz, step 0.2 (fresh room 3): at 22 dB there are 8 dB too few at the worst
 * instant on the way and 3 dB to spare in the end: nothing is decoded, as simulated. */
#include "physics/vsb/way.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/twins.h"
#include "base/units.h"
#include "standard/vsb/signal.h"

#define MEETS 1.4          /* of the loss, for as much met as is fed back */
#define LEFT 0.4           /* of the loss at least, however much less is met */
#define MENDS_BELOW_DB 2.2 /* of loss */
#define MENDS_A_DB 40.0    /* left more from one look to the next, for a decibel below that */
#define ASTRAY_DB 17.1     /* SNR of the data before wrong decisions, at ASTRAY_AT */
#define ASTRAY_AT 7.7e-5   /* step times mu */
#define SHORT_DB 1.1
#define SURELY_DB 1.0 /* more than is left now: of no consequence */

/* Squares of complex numbers' lengths. */
TWINS static void take_powers(const float *re, const float *im, int count, float *powers)
{
    for (int i = 0; i < count; i++) {
        powers[i] = re[i] * re[i] + im[i] * im[i];
    }
}

/* rho[j] = sum over n of e[n] e[n + j], j < count, e the error before the decision, of which the
 * residual symbols lie in the curve. Symbols' part and the noise's are one complex number: its
 * spectrum's power at f and at -f are together twice that of both, and what is odd of it the real
 * part of the transform back does not have. */
static enum status correlate(const struct curve *c, const float *taps, int count,
                             struct vsb_room *room, const float **rho)
{
    int size = VSB_ROOM_SIZE_LEAST;
    int longest = c->symbol_count > c->forward ? c->symbol_count : c->forward;
    while (size < longest + count) {
        size *= 2;
    }
    struct fourier *fourier = vsb_room_fourier(room, size);
    float *values = vsb_room_array(room, ROOM_COLOUR, 3 * ((size_t)size + 2) * sizeof *values);
    if (fourier == NULL || values == NULL) {
        return STATUS_NO_MEMORY;
    }
    float *re = values + size, *im = re + size, amplitude = sqrtf((float)c->learning->noise);
    memset(re, 0, 2 * (size_t)size * sizeof *re);
    memcpy(re, c->symbols, (size_t)c->symbol_count * sizeof *re);
    for (int i = 0; i < c->forward; i++) {
        im[i] = amplitude * taps[i];
    }
    fourier_forward(fourier, re, im);
    take_powers(re, im, size, values);
    fourier_forward_real(fourier, values, re, im);
    *rho = re;
    return STATUS_OK;
}

/* What of the error that goes on meets what taps of gain 1 feed back of it, minus the sum of b(j)
 * rho(j), and their energy. */
static enum status error_met(struct curve *c, const float *taps, struct vsb_room *room, double *met,
                             double *energy)
{
    const float *rho, *back = taps + c->forward;
    int count = c->spans.feedback;
    float gain = (float)curve_gain(c, taps);
    curve_error(c, taps);
    c->symbols[-c->first_symbol] -= gain;
    enum status status = correlate(c, taps, count + 1, room, &rho);
    *met = *energy = 0.0;
    for (int j = 0; j < count && status == STATUS_OK; j++) {
        *met -= (double)back[j] * rho[1 + j] / rho[0];
        *energy += (double)back[j] * back[j];
    }
    return status;
}

static struct vsb_pace pace_of(const struct vsb_learning *learning)
{
    double slow = learning->teacher != NULL ? learning->teacher->speed : 1.0;
    return (struct vsb_pace){learning->step, learning->mu / slow};
}

/* Taps of gain 1 that lag and doubt: to their lag is added how doubts let the best ones lean. */
static void lean_taps(const struct curve *c, const float *taps, const float *lean, float *leaning)
{
    float gain = (float)curve_gain(c, taps);
    for (int i = 0; i < c->inputs; i++) {
        leaning[i] = taps[i] / gain + lean[i];
    }
}

/* Noise before the decision, of the wanted symbol's power. */
static double noise_left(struct curve *c, const float *taps)
{
    double gain = curve_gain(c, taps);
    return curve_error(c, taps) / (gain * gain) - 1.0;
}

/* What it costs taps that decisions are wrong. */
static enum status costs_of(struct curve *c, const float *taps, struct vsb_room *room,
                            struct vsb_decision_costs *costs)
{
    const struct vsb_learning *learning = c->learning;
    double gain = curve_gain(c, taps);
    int count = c->spans.feedback;
    double *backward = vsb_room_array(room, ROOM_FEEDBACK, ((size_t)count + 1) * sizeof *backward);
    if (backward == NULL) {
        return STATUS_NO_MEMORY;
    }
    for (int j = 0; j < count; j++) {
        backward[j] = taps[c->forward + j] / gain;
    }
    return vsb_decision_costs(learning->feedback, backward, count, learning->teacher,
                              pace_of(learning), room, costs);
}

/* How the best taps lean in the channel set. */
static enum status find_lean(struct curve *c, float *lean)
{
    if (c->learning->lean == NULL) {
        return curve_doubt(c, vsb_decision_survivors_doubt, lean);
    }
    curve_lean(c, c->learning->lean, lean);
    return STATUS_OK;
}

/* Survivors' costs: taps that lag and doubt are told as one. */
static enum status survivors_costs(struct curve *c, const float *taps, const float *best,
                                   struct vsb_room *room, struct vsb_decision_costs *costs)
{
    double met = 0.0, met_by_best = 0.0, energy = 0.0;
    size_t each = (size_t)c->inputs + CURVE_PLACES;
    float *lean = vsb_room_array(room, ROOM_LEANING, 2 * each * sizeof *lean);
    if (lean == NULL) {
        return STATUS_NO_MEMORY;
    }
    float *leaning = lean + each;
    enum status status = find_lean(c, lean);
    if (status == STATUS_OK && best != NULL) {
        lean_taps(c, best, lean, leaning);
        status = error_met(c, leaning, room, &met_by_best, &energy);
    }
    if (status == STATUS_OK) {
        lean_taps(c, taps, lean, leaning);
        status = error_met(c, leaning, room, &met, &energy);
    }
    if (status == STATUS_OK) {
        status = costs_of(c, leaning, room, costs);
    }
    if (status == STATUS_OK) {
        costs->loss_db *= fmax(LEFT, 1.0 + MEETS * (met - met_by_best) / fmax(energy, 1e-3));
        costs->loss_db += db_from_ratio(noise_left(c, leaning) / noise_left(c, taps));
        costs->loss_db = fmin(fmax(0.0, costs->loss_db), VSB_TRELLIS_MOST_DB);
    }
    return status;
}

enum status way_costs(struct curve *c, const float *taps, const float *best, struct vsb_room *room,
                      struct vsb_decision_costs *costs)
{
    return c->learning->feedback == FEEDBACK_TRELLIS ? survivors_costs(c, taps, best, room, costs)
                                                     : costs_of(c, taps, room, costs);
}

/* What is left more after a look at which so much is left before wrong decisions, and these cost so
 * much. */
static double mends_db(const struct vsb_learning *learning, double snr_db, double loss_db)
{
    struct vsb_pace pace = pace_of(learning);
    double astray_db = ASTRAY_DB - 3.5 * log10(pace.step * pace.mu / ASTRAY_AT);
    return MENDS_A_DB * fmax(0.0, fmin(MENDS_BELOW_DB - loss_db, astray_db - snr_db));
}

enum status way_make(struct way *way, const struct curve *c)
{
    size_t each = (size_t)c->inputs + CURVE_PLACES;
    way->memory = calloc(WAY_LOOKS * each, sizeof *way->memory);
    for (int i = 0; i < WAY_LOOKS && way->memory != NULL; i++) {
        way->looks[i].taps = way->memory + (size_t)i * each;
    }
    return way->memory != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

void way_free(struct way *way)
{
    free(way->memory);
    *way = (struct way){.count = 0};
}

void way_look(struct way *way, struct curve *c, double symbols, const float *taps)
{
    const struct vsb_learning *learning = c->learning;
    curve_set(c, symbols);
    double gain = curve_gain(c, taps), noise = curve_error(c, taps) - gain * gain;
    if (!(gain > 0.0 && noise > 0.0)) {
        return;
    }
    if (way->count == WAY_LOOKS) {
        struct way_look first = way->looks[0];
        memmove(way->looks, way->looks + 1, (WAY_LOOKS - 1) * sizeof way->looks[0]);
        way->looks[--way->count].taps = first.taps;
    }
    struct way_look *look = &way->looks[way->count++];
    memcpy(look->taps, taps, (size_t)c->inputs * sizeof *taps);
    look->learning = *learning;
    look->learning.lean = NULL; /* that of another instant */
    look->teacher = learning->teacher != NULL ? *learning->teacher : (struct vsb_teacher){0};
    look->symbols = symbols;
    look->snr_db = db_from_ratio(gain * gain / noise * (1.0 - 0.5 * learning->step));
    look->judged = false;
}

void way_go_on(struct way *way, double symbols)
{
    for (int i = 0; i < way->count; i++) {
        way->looks[i].symbols -= symbols;
    }
}

/* What wrong decisions cost the taps then. */
static enum status judge(struct way_look *look, struct curve *c, struct vsb_room *room)
{
    const struct vsb_learning *now = c->learning;
    struct vsb_learning then = look->learning;
    struct vsb_decision_costs costs = {0.0, 0.0};
    then.echoes = now->echoes; /* as they stand at 0: the instant tells how they stood */
    then.teacher = now->teacher != NULL ? &look->teacher : NULL;
    then.lean = now->lean; /* hardly another */
    c->learning = &then;
    curve_set(c, look->symbols);
    enum status status = way_costs(c, look->taps, NULL, room, &costs);
    c->learning = now;
    look->left_db = look->snr_db - costs.loss_db - costs.unrest_db + SHORT_DB;
    look->mends_db = mends_db(&then, look->snr_db, costs.loss_db);
    look->judged = true;
    return status;
}

/* What wrong decisions cost at most: the trellis decoder's teaching does not hang on the taps. */
static double costs_most_db(const struct curve *c, const struct vsb_decision_costs *now)
{
    return c->learning->feedback == FEEDBACK_TRELLIS ? VSB_TRELLIS_MOST_DB + now->unrest_db
                                                     : 2.0 * VSB_SLICER_MOST_DB;
}

enum status way_held_db(struct way *way, struct curve *c, double snr_db,
                        const struct vsb_decision_costs *now, struct vsb_room *room,
                        double *held_db)
{
    double mended_db = mends_db(c->learning, snr_db, now->loss_db), most_db = costs_most_db(c, now);
    *held_db = INFINITY; /* the least that was left anywhere and was not mended since */
    for (int i = way->count - 1; i >= 0; i--) {
        struct way_look *look = &way->looks[i];
        double least_db = look->snr_db - most_db + mended_db;
        if (!look->judged && !(least_db > snr_db + SURELY_DB)) {
            enum status status = judge(look, c, room);
            if (status != STATUS_OK) {
                return status;
            }
        }
        if (look->judged) {
            *held_db = fmin(*held_db, look->left_db + mended_db);
            mended_db += look->mends_db;
        }
    }
    return STATUS_OK;
}
