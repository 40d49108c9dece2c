/* Rotated sets whose parts meet SNRs of their own: the committed surface against its quadrature,
 * the unrotated curve, and an integration by another library. */
#include "support/near.h"

#include <math.h>

#include <gsl/gsl_integration.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/rotated/rotated.h"
#include "support/effort.h"

static struct information_curve curve_of(enum t2_constellation constellation, bool rotation)
{
    return t2_curve(&(struct t2_code){.constellation = constellation, .rotation = rotation});
}

static void the_surface_is_its_quadrature_between_the_nodes(void **state)
{
    (void)state;
    struct random random = random_seeded(1, 0);
    for (int i = 0, count = (int)effort(40, 200, 2000); i < count; i++) {
        /* The largest takes a tenth of a second. */
        enum t2_constellation set = i % 20 == 0 ? T2_256QAM : (enum t2_constellation)(i % 3);
        double re_db = -24.0 + 80.0 * random_uniform(&random);
        double im_db = i % 4 ? -24.0 + 80.0 * random_uniform(&random) : -INFINITY;
        assert_near(surface_bits(rotated_surface(set), re_db, im_db),
                    rotated_by_quadrature(set, re_db, im_db, 40), 0.0015, "quadrature, order 40");
    }
}

static void parts_that_arrive_alike_carry_what_the_unrotated_set_does(void **state)
{
    (void)state;
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        struct information_curve plain = curve_of((enum t2_constellation)set, false);
        for (double snr_db = -40.0; snr_db <= 62.0; snr_db += 0.25) {
            assert_near(surface_bits(rotated_surface((enum t2_constellation)set), snr_db, snr_db),
                        information_curve_bits(&plain, snr_db), 0.0015,
                        "white noise: the unrotated set");
        }
    }
}

/* ---- One part lost: an integral over the other, of differential entropies. ---- */

struct part {
    int bits;
    double noise, values[256];
};

static double density(double received, void *context)
{
    const struct part *part = context;
    double densities[256], sum = 0.0;
    for (int i = 0; i < 1 << part->bits; i++) {
        double apart = received - part->values[i];
        densities[i] =
            exp(-apart * apart / part->noise) / sqrt(PI * part->noise) / (double)(1 << part->bits);
    }
    for (int bit = 0; bit < part->bits; bit++) {
        double given[2] = {0.0, 0.0};
        for (int i = 0; i < 1 << part->bits; i++) {
            given[i >> bit & 1] += 2.0 * densities[i];
        }
        for (int b = 0; b < 2; b++) {
            sum += given[b] > 0.0 ? 0.5 * given[b] * log2(2.0 * given[b] / (given[0] + given[1]))
                                  : 0.0;
        }
    }
    return sum;
}

static void one_part_alone_carries_what_gsl_says(void **state)
{
    (void)state;
    gsl_integration_workspace *room = gsl_integration_workspace_alloc(1000);
    assert_non_null(room);
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        struct part part = {.bits = t2_constellation_bits((enum t2_constellation)set)};
        double levels[T2_LEVELS_MAX];
        double angle = t2_rotation_degrees((enum t2_constellation)set) * PI / 180.0;
        int count = t2_levels((enum t2_constellation)set, levels);
        for (int i = 0; i < count * count; i++) {
            part.values[i] = levels[i / count] * cos(angle) - levels[i % count] * sin(angle);
        }
        for (double snr_db = 0.0; snr_db <= 40.0; snr_db += 8.0) {
            gsl_function function = {density, &part};
            double bits = 0.0, piece, error;
            part.noise = ratio_from_db(-snr_db);
            double end = 2.0 + 7.0 * sqrt(part.noise);
            for (int i = 0; i < 64; i++) { /* in pieces, so that no narrow peak is missed */
                gsl_integration_qag(&function, end * (i - 32) / 32.0, end * (i - 31) / 32.0, 1e-9,
                                    1e-6, 1000, GSL_INTEG_GAUSS21, room, &piece, &error);
                bits += piece;
            }
            assert_near(
                surface_bits(rotated_surface((enum t2_constellation)set), snr_db, -INFINITY), bits,
                0.0005, "GSL integration of entropies, one part lost");
        }
    }
    gsl_integration_workspace_free(room);
}

static void more_snr_never_carries_less(void **state)
{
    (void)state;
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        const int32_t *samples = rotated_surface((enum t2_constellation)set)->microbits;
        for (int i = 1; i < SURFACE_NODES; i++) {
            for (int k = 0; k < i; k++) {
                int32_t here = samples[i * (i + 1) / 2 + k];
                assert_true(here + 200 >= samples[(i - 1) * i / 2 + k]); /* but for the rule */
                assert_true(samples[i * (i + 1) / 2 + k + 1] + 200 >= here);
            }
        }
        assert_int_equal(samples[0], 0);
        assert_near(1e-6 * samples[SURFACE_SAMPLES - 1],
                    t2_constellation_bits((enum t2_constellation)set), 1e-6, "all of its bits");
    }
}

static void a_mean_over_parts_is_the_mean_over_their_pairs(void **state)
{
    (void)state;
    static const double snrs_db[] = {-INFINITY, -33.0, -3.7, 8.2, 21.9, 70.0};
    static const double shares[] = {0.1, 0.05, 0.2, 0.25, 0.3, 0.1};
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        const struct information_surface *surface = rotated_surface((enum t2_constellation)set);
        struct surface_spread spread = {{0.0}};
        double mean = 0.0;
        for (int i = 0; i < 6; i++) {
            struct surface_place place = surface_place(snrs_db[i]);
            surface_add(&spread, &place, shares[i]);
            for (int k = 0; k < 6; k++) {
                mean += shares[i] * shares[k] * surface_bits(surface, snrs_db[i], snrs_db[k]);
            }
        }
        assert_near(surface_mean(surface, &spread), mean, 1e-12, "sum over all pairs");
    }
}

static void rayleigh_fading_is_the_mean_over_two_powers(void **state)
{
    (void)state;
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        struct information_curve curve = curve_of((enum t2_constellation)set, true);
        double mean = 0.0, width = log(10.0) / 10.0;
        for (int a = -45; a <= 12; a++) {
            for (int b = -45; b <= 12; b++) {
                double g = ratio_from_db(a), h = ratio_from_db(b);
                mean += g * exp(-g) * h * exp(-h) * width * width *
                        surface_bits(curve.apart, 12.0 + a, 12.0 + b);
            }
        }
        assert_near(information_curve_rayleigh(&curve, 12.0), mean, 0.002,
                    "sum over both powers, steps of a dB");
    }
}

/* What rotation is for: high rates of small sets. Low rates of large ones lose a little. */
static void rotation_helps_high_rates_of_small_sets(void **state)
{
    (void)state;
    static const struct {
        enum t2_constellation constellation;
        enum t2_rate rate;
        double low_db, high_db; /* by which the limit falls */
    } rows[] = {{T2_QPSK, T2_5_6, 1.0, 1.5},
                {T2_16QAM, T2_5_6, 0.4, 0.6},
                {T2_64QAM, T2_5_6, 0.05, 0.25},
                {T2_16QAM, T2_1_2, -0.3, -0.1},
                {T2_256QAM, T2_1_2, -0.1, 0.0}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct t2_code code = {.constellation = rows[i].constellation, .rate = rows[i].rate};
        double plain_db = t2_limit_db(&code, FADING_RAYLEIGH);
        double awgn_db = t2_limit_db(&code, FADING_AWGN);
        code.rotation = true;
        assert_between(plain_db - t2_limit_db(&code, FADING_RAYLEIGH), rows[i].low_db,
                       rows[i].high_db, "the two limits in Rayleigh fading");
        assert_near(t2_limit_db(&code, FADING_AWGN), awgn_db, 0.0, "nothing in white noise");
    }
}

/* A fade that takes cells takes single parts of rotated ones. */
static void lost_cells_cost_a_rotated_set_less(void **state)
{
    (void)state;
    struct information_curve plain = curve_of(T2_QPSK, false), rotated = curve_of(T2_QPSK, true);
    double both = information_curve_bits(&plain, 15.0);
    double one = surface_bits(rotated.apart, 15.0, -INFINITY);
    double bits = 0.49 * both + 0.42 * one; /* each part is lost on its own */
    assert_near(information_curve_loss_borne(&rotated, 15.0, bits), 0.3, 1e-12, "0.3 of the cells");
    assert_near(information_curve_loss_borne(&plain, 15.0, 0.7 * both), 0.3, 1e-12,
                "all of the cell is lost");
    assert_near(information_curve_loss_borne(&rotated, 15.0, both + 0.1), 0.0, 0.0, "never enough");
    assert_true(one > 1.8);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_surface_is_its_quadrature_between_the_nodes),
        cmocka_unit_test(parts_that_arrive_alike_carry_what_the_unrotated_set_does),
        cmocka_unit_test(one_part_alone_carries_what_gsl_says),
        cmocka_unit_test(more_snr_never_carries_less),
        cmocka_unit_test(a_mean_over_parts_is_the_mean_over_their_pairs),
        cmocka_unit_test(rayleigh_fading_is_the_mean_over_two_powers),
        cmocka_unit_test(rotation_helps_high_rates_of_small_sets),
        cmocka_unit_test(lost_cells_cost_a_rotated_set_less),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
