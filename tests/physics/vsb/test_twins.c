/* The plain twins of the loops that have others for wider registers: compiled here for a processor
 * that has none of those, under other names, and held against the library's. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/vsb/columns.h"
#include "physics/vsb/curve.h"
#include "physics/vsb/decision.h"
#include "physics/vsb/doubting.h"
#include "physics/vsb/equaliser.h"
#include "physics/vsb/within.h"
#include "standard/vsb/signal.h"

#undef __x86_64__
#define vsb_equaliser_spans(before_us, after_us) plain_equaliser_spans(before_us, after_us)
#define vsb_equaliser_snr plain_equaliser_snr
#define vsb_equaliser_design plain_equaliser_design
#define vsb_equaliser_design_doubting plain_equaliser_design_doubting
#define vsb_equaliser_free plain_equaliser_free
#define vsb_doubting_design plain_doubting_design
struct vsb_equaliser_spans plain_equaliser_spans(double before_us, double after_us);
enum status plain_equaliser_snr(const struct vsb_channel *channel, double noise,
                                struct vsb_equaliser_spans spans, double *snr);
enum status plain_equaliser_design(const struct vsb_channel *channel, double noise,
                                   struct vsb_equaliser_spans spans, struct vsb_equaliser *made);
enum status plain_equaliser_design_doubting(const struct vsb_channel *channel, double noise,
                                            struct vsb_equaliser_spans spans,
                                            vsb_doubts_at *doubts_at, double sure, double least_snr,
                                            struct vsb_equaliser *trusting,
                                            struct vsb_equaliser *doubting);
enum status plain_doubting_design(const struct vsb_channel *channel, double noise,
                                  const struct columns *columns, vsb_doubts_at *doubts_at,
                                  double sure, const struct vsb_equaliser *trusting,
                                  struct vsb_equaliser *doubting);
void plain_equaliser_free(struct vsb_equaliser *equaliser);
#include "physics/vsb/doubting.c"
#undef ARRAYS
#include "physics/vsb/equaliser.c"
#undef vsb_doubting_design
#undef vsb_equaliser_design_doubting
#undef vsb_equaliser_spans
#undef vsb_equaliser_snr
#undef vsb_equaliser_design
#undef vsb_equaliser_free
#define vsb_within(channel, spans) plain_within(channel, spans)
#define vsb_within_solve plain_within_solve
bool plain_within(const struct vsb_channel *channel, struct vsb_equaliser_spans spans);
enum status plain_within_solve(const struct vsb_channel *channel, double noise, int later,
                               struct columns *columns, double *forward, double *snr);
#include "physics/vsb/within.c"
#undef vsb_within
#undef vsb_within_solve
#define curve_make plain_curve_make
#define curve_free plain_curve_free
#define curve_set plain_curve_set
#define curve_put_back plain_curve_put_back
#define curve_weigh_fed_back plain_curve_weigh_fed_back
#define curve_best plain_curve_best
#define curve_doubt plain_curve_doubt
#define curve_lean plain_curve_lean
#define curve_error plain_curve_error
#define curve_gain plain_curve_gain
enum status plain_curve_make(const struct vsb_learning *learning, struct curve *curve);
void plain_curve_free(struct curve *curve);
void plain_curve_set(struct curve *curve, double symbols);
void plain_curve_put_back(struct curve *curve, float *sums);
void plain_curve_weigh_fed_back(struct curve *curve, const float *taps, float *sums);
enum status plain_curve_best(struct curve *curve, float *taps, double *error);
enum status plain_curve_doubt(struct curve *curve, vsb_doubts_at *doubts_at, float *lean);
void plain_curve_lean(const struct curve *curve, const struct vsb_lean *known, float *lean);
double plain_curve_error(struct curve *curve, const float *off);
double plain_curve_gain(const struct curve *curve, const float *taps);
#include "physics/vsb/curve.c"
#undef curve_make
#undef curve_free
#undef curve_set
#undef curve_doubt
#undef curve_lean
#undef curve_put_back
#undef curve_weigh_fed_back

static const struct echo echoes[] = {
    {2.03, -4.0, 80.0, 2.0}, {-3.1, -9.0, 200.0, 0.0}, {11.7, -11.0, 300.0, 3.0}};

static void equalisers_are_alike_to_the_last_bit(void **state)
{
    (void)state;
    const struct vsb_equaliser_spans spans = {61, 62, 131}; /* no multiples of anything */
    struct vsb_channel channel;
    assert_int_equal(vsb_channel_make(echoes, 3, &channel), STATUS_OK);
    struct vsb_equaliser wide_ones[2], plain_ones[2];
    assert_int_equal(vsb_equaliser_design_doubting(&channel, 0.01, spans,
                                                   vsb_decision_survivors_doubt, 1e-9, 0.0,
                                                   &wide_ones[0], &wide_ones[1]),
                     STATUS_OK);
    assert_int_equal(plain_equaliser_design_doubting(&channel, 0.01, spans,
                                                     vsb_decision_survivors_doubt, 1e-9, 0.0,
                                                     &plain_ones[0], &plain_ones[1]),
                     STATUS_OK);
    for (int i = 0; i < 2; i++) {
        assert_memory_equal(wide_ones[i].forward, plain_ones[i].forward, 124 * sizeof(double));
        assert_memory_equal(wide_ones[i].backward, plain_ones[i].backward, 131 * sizeof(double));
        assert_true(wide_ones[i].snr == plain_ones[i].snr);
        vsb_equaliser_free(&wide_ones[i]);
        plain_equaliser_free(&plain_ones[i]);
    }
    vsb_channel_free(&channel);
}

static void equalisers_within_their_reach_are_alike_to_the_last_bit(void **state)
{
    (void)state;
    struct vsb_channel channel;
    double wide_one[512], plain_one[512], wide_snr, plain_snr;
    assert_int_equal(vsb_channel_make_above(echoes, 3, 1e-6, &channel), STATUS_OK);
    for (int later = 0; later <= 150; later += 75) {
        size_t size = (size_t)(later + 1 - channel.first) * sizeof *wide_one;
        struct columns columns[2];
        assert_int_equal(vsb_within_solve(&channel, 0.01, later, &columns[0], wide_one, &wide_snr),
                         STATUS_OK);
        assert_int_equal(
            plain_within_solve(&channel, 0.01, later, &columns[1], plain_one, &plain_snr),
            STATUS_OK);
        columns_free(&columns[0]);
        columns_free(&columns[1]);
        assert_memory_equal(wide_one, plain_one, size);
        assert_true(wide_snr == plain_snr);
    }
    vsb_channel_free(&channel);
}

static void learning_curves_are_alike_to_the_last_bit(void **state)
{
    (void)state;
    const struct vsb_learning learning = {.echoes = echoes,
                                          .count = 3,
                                          .noise = 0.01,
                                          .spans = {61, 62, 131},
                                          .mu = 1e-4,
                                          .feedback = FEEDBACK_TRELLIS};
    struct curve wide_one, plain_one;
    struct random random = random_seeded(41, 0);
    assert_int_equal(curve_make(&learning, &wide_one), STATUS_OK);
    assert_int_equal(plain_curve_make(&learning, &plain_one), STATUS_OK);
    size_t count = (size_t)wide_one.inputs, size = (count + CURVE_PLACES) * sizeof(float);
    float *taps = malloc(size), *sums = malloc(size), *plain_sums = malloc(size);
    assert_true(taps && sums && plain_sums);
    for (size_t i = 0; i < count; i++) {
        taps[i] = (float)random_normal(&random);
    }
    curve_set(&wide_one, 1000.0);
    plain_curve_set(&plain_one, 1000.0);
    curve_weigh_fed_back(&wide_one, taps, sums);
    plain_curve_weigh_fed_back(&plain_one, taps, plain_sums);
    assert_memory_equal(sums, plain_sums, (size_t)wide_one.spans.feedback * sizeof(float));
    assert_true(curve_error(&wide_one, taps) == plain_curve_error(&plain_one, taps));
    curve_put_back(&wide_one, sums); /* what has just been weighed */
    plain_curve_put_back(&plain_one, plain_sums);
    assert_memory_equal(sums, plain_sums, (size_t)wide_one.forward * sizeof(float));
    free(taps);
    free(sums);
    free(plain_sums);
    curve_free(&wide_one);
    plain_curve_free(&plain_one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(equalisers_are_alike_to_the_last_bit),
        cmocka_unit_test(equalisers_within_their_reach_are_alike_to_the_last_bit),
        cmocka_unit_test(learning_curves_are_alike_to_the_last_bit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
