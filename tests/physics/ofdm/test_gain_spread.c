#include "support/near.h"
#include "support/signals.h"

#include <math.h>

#include "base/complex.h"
#include "base/random.h"
#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "physics/ofdm/echo.h"
#include "physics/ofdm/gain_nodes.h"
#include "scenario/scenario.h"

#define MOST 3000

static struct gain_spread spread;
static struct gain_raster raster;

static void read_curve(enum constellation constellation, int rate_15ths)
{
    struct information_curve curve = information_curve_of(constellation, rate_15ths);
    gain_raster_make(&curve, &raster);
}

static void spread_of(const float *snrs, int count)
{
    gain_spread_clear(&spread);
    gain_spread_add(&spread, snrs, count);
    gain_spread_normalise(&spread);
}

static void a_spread_carries_the_mean_of_its_carriers(void **state)
{
    (void)state;
    static float snrs[MOST];
    struct random random = random_seeded(1, 0);
    for (int set = QPSK; set <= QAM4096; set++) {
        read_curve((enum constellation)set, 9);
        for (int count = 1; count <= MOST; count = 3 * count + 1) {
            double sum = 0.0, capacity = 0.0;
            for (int i = 0; i < count; i++) {
                double db = -20.0 + 60.0 * random_uniform(&random);
                snrs[i] = (float)ratio_from_db(db);
                sum += information_curve_bits(&raster.curve, db);
                capacity += log2(1.0 + ratio_from_db(db));
            }
            spread_of(snrs, count);
            assert_near(gain_spread_information(&spread, &raster), sum / count, 1e-4,
                        "mean of the curve");
            assert_near(gain_capacity(snrs, count), capacity / count, 1e-5, "mean of log2");
        }
    }
}

static void extreme_carriers_neither_fail_nor_count(void **state)
{
    (void)state;
    const float snrs[] = {0.0f, 1e-30f, 1e30f, INFINITY, 1.0f};
    read_curve(QPSK, 9);
    spread_of(snrs, 5);
    double bits = (2.0 + 2.0 + information_curve_bits(&raster.curve, 0.0)) / 5.0;
    assert_near(gain_spread_information(&spread, &raster), bits, 1e-4, "two full, two empty");
}

static void the_effective_snr_of_equal_carriers_is_theirs(void **state)
{
    (void)state;
    for (double db = -20.0; db <= 80.0; db += 3.37) {
        const float snr = (float)ratio_from_db(db);
        read_curve(QAM64, 10);
        spread_of(&snr, 1);
        assert_near(gain_spread_effective_db(&spread, &raster, 13.0), db, 0.001, "steady channel");
        assert_near(gain_spread_required_db(&spread, &raster, 13.0, 21.0), 21.0 - db, 0.001,
                    "steady channel");
    }
}

/* 16QAM 9/15 at 30 dB with one echo of -3 dB: ATSC A/322's constellation carries on average what
 * 20.59 dB carry without echo. The rule above 4.5 dB gives 26.25 dB instead. */
static void far_above_the_threshold_the_continuation_counts(void **state)
{
    (void)state;
    assumes("16QAM 9/15 at 30 dB, one echo of -3 dB; the rule above 4.5 dB is this project's own");
    struct transmission mode = transmission_default();
    mode.plps[0].code.constellation = QAM16;
    mode.plps[0].code.rate_15ths = 9;
    struct echo echo = {.delay_us = 60.0, .level_db = -3.0};
    struct asked asked = asked_for(&mode, &echo, 1, 30.0);
    struct ofdm_echo_result result;
    assert_int_equal(asked_solve(&asked, &result), STATUS_OK);
    double literal_db =
        information_curve_snr_db(&asked.reception.curve, result.mean_information_bits);
    assert_near(literal_db, 20.59, 0.05, "computed apart: literal mean information");
    assert_near(result.effective_snr_db, 26.25, 0.05, "computed apart: the continuation");
    /* One dB of SNR is one dB of effective SNR there. */
    asked.snr_db = 33.0;
    struct ofdm_echo_result more;
    assert_int_equal(asked_solve(&asked, &more), STATUS_OK);
    assert_near(more.effective_snr_db - result.effective_snr_db, 3.0, 0.001, "definition");
}

/* Up to 4.5 dB above the threshold it is literal, and at the seam there is no step. */
static void up_to_the_seam_the_rule_is_literal(void **state)
{
    (void)state;
    static float snrs[400];
    double ideal_db = 12.0, before_db = -INFINITY;
    read_curve(QAM64, 9);
    for (double snr_db = 5.0; snr_db < 30.0; snr_db += 0.1) {
        for (int i = 0; i < 400; i++) {
            double gain = 1.25 + cos(PI * (i + 0.5) / 400.0);
            snrs[i] = (float)(gain / 1.25 * ratio_from_db(snr_db));
        }
        spread_of(snrs, 400);
        double effective_db = gain_spread_effective_db(&spread, &raster, ideal_db);
        if (effective_db <= ideal_db + GAIN_LITERAL_DB) {
            double bits = gain_spread_information(&spread, &raster);
            assert_near(effective_db, information_curve_snr_db(&raster.curve, bits), 0.001,
                        "mean mutual information");
        }
        double required_db = gain_spread_required_db(&spread, &raster, ideal_db, effective_db);
        assert_near(required_db, 0.0, 0.001, "the inverse");
        assert_true(effective_db > before_db);
        assert_true(snr_db < 5.05 || effective_db < before_db + 0.11); /* 0.1 dB each */
        before_db = effective_db;
    }
}

static void an_isotropic_channel_needs_what_the_exponential_mean_says(void **state)
{
    (void)state;
    assumes("powers of carriers are exponential, the channel is known");
    for (int set = QPSK; set <= QAM1024; set++) {
        for (int rate = 3; rate <= 12; rate += 3) {
            struct information_curve curve = information_curve_of((enum constellation)set, rate);
            double ideal_db = information_curve_snr_db(
                &curve, rate / 15.0 * constellation_bits((enum constellation)set));
            for (double more_db = 0.0; more_db <= 4.5; more_db += 0.7) {
                double bits = information_curve_bits(&curve, ideal_db + more_db);
                struct doppler_need need =
                    gain_rayleigh_need_of(&curve, ideal_db, ideal_db + more_db);
                assert_near(-db_from_ratio(need.noise),
                            information_curve_rayleigh_snr_db(&curve, bits), 0.02,
                            "mean over exponential powers");
                assert_true(need.gain > 0.0 && need.gain < 2.0);
            }
            struct doppler_need at = gain_rayleigh_need_of(&curve, ideal_db, ideal_db + 4.5);
            struct doppler_need above = gain_rayleigh_need_of(&curve, ideal_db, ideal_db + 6.5);
            assert_near(db_from_ratio(at.noise / above.noise), 2.0, 1e-9, "dB for dB above");
        }
    }
}

/* Of a rotated set the two parts of a cell lie on any two carriers: the mean is over all pairs. */
static void a_rotated_set_carries_the_mean_over_pairs_of_carriers(void **state)
{
    (void)state;
    static const double carriers_db[] = {-45.0, -20.3, 0.04, 7.0, 13.3, 29.9, 64.0};
    enum { COUNT = sizeof carriers_db / sizeof carriers_db[0] };
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        struct information_curve curve = t2_curve(
            &(struct t2_code){.constellation = (enum t2_constellation)set, .rotation = true});
        float snrs[COUNT];
        double mean = 0.0;
        for (int i = 0; i < COUNT; i++) {
            snrs[i] = (float)ratio_from_db(carriers_db[i]);
            for (int k = 0; k < COUNT; k++) {
                mean += surface_bits(curve.apart, carriers_db[i], carriers_db[k]) / (COUNT * COUNT);
            }
        }
        gain_raster_make(&curve, &raster);
        spread_of(snrs, COUNT);
        assert_near(gain_spread_information(&spread, &raster), mean, 1e-4, "mean over all pairs");
        double offset_db = gain_spread_offset_db(&spread, &raster, mean);
        assert_near(offset_db, 0.0, 0.01, "no more is needed for what is there");
    }
}

/* Mean gain of one part's power, weighed by what a dB changes of the information there while the
 * other part has any power: by its definition, in steps of a dB. */
static double deciding_gain(const struct information_surface *surface, double snr_db)
{
    double weights = 0.0, sum = 0.0;
    for (int a = -40; a <= 14; a++) {
        double g = ratio_from_db(a), rise = 0.0;
        for (int b = -40; b <= 14; b++) {
            double h = ratio_from_db(b);
            rise += h * exp(-h) *
                    (surface_bits(surface, snr_db + a + 0.1, snr_db + b) -
                     surface_bits(surface, snr_db + a - 0.1, snr_db + b));
        }
        weights += g * exp(-g) * rise;
        sum += g * exp(-g) * rise * g;
    }
    return sum / weights;
}

/* Two independent powers: the same by other sums. */
static void a_rotated_set_needs_its_two_powers_mean_in_an_isotropic_channel(void **state)
{
    (void)state;
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {.constellation = (enum t2_constellation)(i / T2_PLP_RATES),
                               .rate = (enum t2_rate)(i % T2_PLP_RATES),
                               .rotation = true};
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        struct information_curve curve = t2_curve(&code);
        struct doppler_need need = gain_rayleigh_need_of(&curve, ideal_db, ideal_db);
        double bits = information_curve_bits(&curve, ideal_db);
        double snr_db = information_curve_rayleigh_snr_db(&curve, bits);
        assert_near(-db_from_ratio(need.noise), snr_db, 0.02, "mean over two powers");
        if (code.rate == T2_5_6 || i == 0) {
            double gain = deciding_gain(curve.apart, snr_db);
            assert_near(need.gain, gain, 0.02 * gain, "by its definition");
        }
    }
}

/* Carriers that are alike are white noise, where rotation changes nothing but what the surface's
 * interpolation leaves. */
static void equal_carriers_make_nothing_of_rotation(void **state)
{
    (void)state;
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {.constellation = (enum t2_constellation)(i / T2_PLP_RATES),
                               .rate = (enum t2_rate)(i % T2_PLP_RATES),
                               .rotation = true};
        struct information_curve curve = t2_curve(&code);
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        gain_raster_make(&curve, &raster);
        for (double more_db = -2.0; more_db < 6.0; more_db += 0.7) {
            const float snr = (float)ratio_from_db(ideal_db + more_db);
            spread_of(&snr, 1);
            assert_near(gain_spread_effective_db(&spread, &raster, ideal_db), ideal_db + more_db,
                        0.01, "its own SNR");
        }
    }
}

/* ---- Estimates for the order of many. ---- */

/* Carriers of a few echoes, some deep notches, from far below a code's threshold to far above. */
static int some_carriers(struct random *random, float *snrs)
{
    double level_db = -12.0 + 55.0 * random_uniform(random), echo = random_uniform(random);
    double more = 0.5 * random_uniform(random), phase = 6.0 * random_uniform(random);
    int count = 1 + (int)(200.0 * random_uniform(random));
    for (int i = 0; i < count; i++) {
        double complex sum =
            1.0 + echo * cexp(CMPLX(0.0, 0.21 * i)) + more * cexp(CMPLX(0.0, phase + 0.045 * i));
        snrs[i] = (float)(ratio_from_db(level_db) * pow(cabs(sum), 2.0));
    }
    return count;
}

static void estimates_are_as_near_as_they_say(void **state)
{
    (void)state;
    static float snrs[MOST];
    static struct gain_ladder ladder;
    struct gain_nodes *nodes = gain_nodes_new(1);
    struct random random = random_seeded(31, 0);
    double worst_db = 0.0;
    int literal = 0, above = 0, off = 0;
    for (int trial = 0; trial < 1000; trial++) {
        enum constellation set = (enum constellation)(trial % CONSTELLATION_COUNT);
        int rate = 2 + trial / CONSTELLATION_COUNT % 12;
        read_curve(set, rate);
        gain_ladder_make(&raster.curve, &ladder);
        spread_of(snrs, some_carriers(&random, snrs));
        gain_nodes_clear(nodes);
        gain_nodes_put(nodes, 0, &spread);
        double ideal_db = ideal_snr_db(LENGTH_64800, set, rate, FADING_AWGN);
        for (double more_db = 0.0; isfinite(ideal_db) && more_db < 1.0; more_db += 0.3) {
            struct gain_rung rung = gain_rung_make(&raster.curve, ideal_db + more_db);
            double exact_db = gain_spread_effective_db(&spread, &raster, ideal_db + more_db);
            double rank = gain_nodes_stand(nodes, &ladder, &rung, 0).rank;
            double estimate_db = gain_rank_effective_db(&rung, &raster, rank);
            worst_db = fmax(worst_db, fabs(estimate_db - exact_db));
            if (rank <= 0.0) {
                assert_near(rank + rung.literal_bits, gain_spread_information(&spread, &raster),
                            GAIN_NODES_ERROR_BITS, "the exact mean information");
            }
            off += fabs(estimate_db - exact_db) > GAIN_NODES_ERROR_DB;
            assert_near(estimate_db, exact_db, 20.0 * GAIN_NODES_ERROR_DB, "the exact SNR");
            *(rank > 0.0 ? &above : &literal) += 1;
            double bits = information_curve_bits(&raster.curve, rung.literal_db);
            for (double off_db = 0.0; off_db < 8.0; off_db += 3.3) { /* whatever is guessed */
                double exact = gain_spread_rank(&spread, &raster, bits, rank + off_db);
                exact = exact > 0.0 ? rung.literal_db + exact
                                    : gain_raster_snr_db(&raster, exact + bits);
                assert_near(exact, exact_db, 1e-6, "the exact effective SNR");
            }
        }
    }
    gain_nodes_free(nodes);
    assert_true(literal > 700 && above > 700);
    assert_true(off <= 0.015 * (literal + above));
    print_message("estimates differ by at most %.1e dB, %d of %d by more than %.1e dB\n", worst_db,
                  off, literal + above, GAIN_NODES_ERROR_DB);
}

enum { POSITIONS = 150 };

/* Spreads as some SNRs have them; some are another one's, one has no carriers. */
static void put_some(struct gain_nodes *nodes, struct gain_nodes *one, float level_db,
                     const struct gain_ladder *ladder, const struct gain_rung *rung,
                     struct random *random, struct gain_stand *stands)
{
    static float snrs[MOST];
    gain_nodes_clear(nodes);
    for (int i = 0; i < POSITIONS; i++) {
        stands[i] = (struct gain_stand){-INFINITY, i};
        int count = i % 10 == 3 ? 0 : some_carriers(random, snrs);
        for (int k = 0; k < count; k++) {
            snrs[k] =
                (float)ratio_from_db(level_db) * (1.0f + 0.05f * (snrs[k] / (1.0f + snrs[k])));
        }
        if (count > 0) {
            spread_of(snrs, count);
        }
        if (i != 40) { /* without carriers of its own: what was before it */
            gain_nodes_clear(one);
            gain_nodes_put(one, 0, &spread);
            gain_nodes_put(nodes, i, &spread);
            stands[i].rank = gain_nodes_stand(one, ladder, rung, 0).rank;
        }
    }
    gain_stands_order(stands, POSITIONS);
}

static void places_are_those_of_all_in_order(void **state)
{
    (void)state;
    static struct gain_ladder ladder;
    struct gain_nodes *nodes = gain_nodes_new(POSITIONS), *one = gain_nodes_new(1);
    struct gain_stand stands[POSITIONS], near[POSITIONS];
    struct random random = random_seeded(32, 0);
    int many = 0;
    for (int trial = 0; trial < 60; trial++) {
        int rate = 2 + trial % 12;
        read_curve((enum constellation)(trial % 4), rate);
        gain_ladder_make(&raster.curve, &ladder);
        double ideal_db =
            ideal_snr_db(LENGTH_64800, (enum constellation)(trial % 4), rate, FADING_AWGN);
        struct gain_rung rung = gain_rung_make(&raster.curve, ideal_db);
        /* Around the literal end, where some are above it and some below, and far above it. */
        double level_db = ideal_db + GAIN_LITERAL_DB - 0.1 + (trial % 5) * (trial % 2) * 5.0;
        put_some(nodes, one, (float)level_db, &ladder, &rung, &random, stands);
        for (int place = 0; place < POSITIONS; place++) {
            struct gain_stand stand = gain_nodes_stand(nodes, &ladder, &rung, place);
            assert_true(stand.rank == stands[place].rank);
            assert_int_equal(stand.position, stands[place].position);
            int first = place, last = place;
            double apart = 2.0 * (stand.rank < -2.0 * GAIN_NODES_ERROR_BITS ? GAIN_NODES_ERROR_BITS
                                                                            : GAIN_NODES_ERROR_DB);
            while (first > 0 && stands[first - 1].rank - stand.rank < apart) {
                first--;
            }
            while (last < POSITIONS - 1 && stand.rank - stands[last + 1].rank < apart) {
                last++;
            }
            int count = gain_nodes_near(nodes, &rung, &stand, near);
            assert_int_equal(count, last - first + 1);
            for (int i = 0; i < count; i++) {
                assert_int_equal(near[i].position, stands[first + i].position);
            }
            many += count > 1 && isfinite(stand.rank);
        }
    }
    assert_true(many > 500);
    gain_nodes_free(nodes);
    gain_nodes_free(one);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_rotated_set_carries_the_mean_over_pairs_of_carriers),
        cmocka_unit_test(a_rotated_set_needs_its_two_powers_mean_in_an_isotropic_channel),
        cmocka_unit_test(equal_carriers_make_nothing_of_rotation),
        cmocka_unit_test(a_spread_carries_the_mean_of_its_carriers),
        cmocka_unit_test(extreme_carriers_neither_fail_nor_count),
        cmocka_unit_test(the_effective_snr_of_equal_carriers_is_theirs),
        cmocka_unit_test(far_above_the_threshold_the_continuation_counts),
        cmocka_unit_test(up_to_the_seam_the_rule_is_literal),
        cmocka_unit_test(estimates_are_as_near_as_they_say),
        cmocka_unit_test(places_are_those_of_all_in_order),
        cmocka_unit_test(an_isotropic_channel_needs_what_the_exponential_mean_says),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
