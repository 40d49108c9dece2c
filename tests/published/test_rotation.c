/* Rotated constellations of DVB-T2 against the two published tables that count them.
 *
 * ETSI TS 102 831 table 44 was simulated with a demapper that knows a cell's other bits: of each
 * bit two points are left, as far apart as that bit sets them, and what it learns has a closed
 * form. For two points that lie D apart before they are turned by an angle, along one axis, it is
 * the information of one of QPSK's bits where its axis has the power D^2 (c^2 g + s^2 h) / 4, c
 * and s the angle's cosine and sine, g and h the power gains that the two parts meet. So the
 * table's columns for fading follow from its Gaussian one: Rayleigh cells that fade on their own,
 * and Ricean ones whose direct path has ten times the power of all others. A set that is not
 * rotated would need up to 2 dB more. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/gauss_hermite.h"
#include "physics/information/uniform.h"
#include "standard/dvbt2/waveform.h"

/* ---- How cells fade: power gains and their weights. ---- */

#define GAINS_MAX 160
struct fading_law {
    int count;
    double gains[GAINS_MAX], weights[GAINS_MAX];
};

static void make_steady(struct fading_law *law)
{
    *law = (struct fading_law){.count = 1, .gains = {1.0}, .weights = {1.0}};
}

/* Exponential, by the trapezoidal rule over decibels (curve.c). */
static void make_rayleigh(struct fading_law *law)
{
    law->count = 0;
    for (double db = -40.0; db <= 15.0; db += 0.5) {
        double gain = ratio_from_db(db);
        law->gains[law->count] = gain;
        law->weights[law->count++] = gain * exp(-gain) * 0.5 * log(10.0) / 10.0;
    }
}

/* |direct + scattered|^2, a direct path of ten times the power of what is scattered, a complex
 * Gaussian. */
static void make_ricean(struct fading_law *law)
{
    enum { ORDER = 12 };
    double nodes[GAUSS_HERMITE_ORDER_MAX], weights[GAUSS_HERMITE_ORDER_MAX];
    gauss_hermite(ORDER, nodes, weights);
    law->count = 0;
    for (int i = 0; i < ORDER; i++) {
        for (int k = 0; k < ORDER; k++) {
            double re = (sqrt(10.0) + nodes[i]) / sqrt(11.0), im = nodes[k] / sqrt(11.0);
            law->gains[law->count] = re * re + im * im;
            law->weights[law->count++] = weights[i] * weights[k];
        }
    }
}

/* ---- What a bit whose cell's other bits are known learns. ---- */

#define STEP_DB 0.5
#define FIRST_DB (-30.0)
#define STEPS 180

/* By the SNR of a QPSK cell whose axes have two points as far apart, mean over both gains. */
struct known_bit {
    double bits[STEPS];
};

static void make_known_bit(const struct fading_law *law, double turned_degrees,
                           struct known_bit *known)
{
    const struct information_curve qpsk = information_curve_uniform(2, 1, STREAM_ALL);
    double c2 = pow(cos(turned_degrees * PI / 180.0), 2.0);
    double shares[STEPS] = {0.0}; /* of joint gains, in the same steps: 0 dB at the middle */
    for (int i = 0; i < law->count; i++) {
        for (int k = 0; k < law->count; k++) {
            double db = db_from_ratio(c2 * law->gains[i] + (1.0 - c2) * law->gains[k]);
            double at = fmax(0.0, fmin(STEPS - 1.001, db / STEP_DB + STEPS / 2.0));
            double weight = law->weights[i] * law->weights[k];
            shares[(int)at] += weight * (1.0 - (at - floor(at)));
            shares[(int)at + 1] += weight * (at - floor(at));
        }
    }
    for (int step = 0; step < STEPS; step++) {
        known->bits[step] = 0.0;
        for (int i = 0; i < STEPS; i++) {
            double db = FIRST_DB + (step + i - STEPS / 2) * STEP_DB;
            known->bits[step] +=
                shares[i] > 0.0 ? 0.5 * shares[i] * information_curve_bits(&qpsk, db) : 0.0;
        }
    }
}

static double known_bit_at(const struct known_bit *known, double snr_db)
{
    double at = fmax(0.0, fmin(STEPS - 1.001, (snr_db - FIRST_DB) / STEP_DB));
    int i = (int)at;
    return known->bits[i] + (at - i) * (known->bits[i + 1] - known->bits[i]);
}

/* Bits a cell: over all points and bits of an axis the two points that the bit chooses from. */
static double cell_bits(enum t2_constellation constellation, const struct known_bit *known,
                        double snr_db)
{
    double levels[T2_LEVELS_MAX], sum = 0.0;
    int count = t2_levels(constellation, levels);
    for (int bit = 1; bit < count; bit *= 2) {
        for (int i = 0; i < count; i++) {
            double apart = levels[i] - levels[i ^ bit];
            sum += known_bit_at(known, snr_db + db_from_ratio(0.5 * apart * apart)) / count;
        }
    }
    return 2.0 * sum;
}

static double cell_snr_db(enum t2_constellation constellation, const struct known_bit *known,
                          double bits)
{
    double low = -10.0, high = 50.0;
    while (high - low > 1e-4) {
        double middle = 0.5 * (low + high);
        *(cell_bits(constellation, known, middle) < bits ? &low : &high) = middle;
    }
    return low;
}

/* ---- The tables, by rates 1/2 to 5/6. ---- */

enum column { GAUSSIAN, RICEAN, RAYLEIGH, COLUMN_COUNT };

/* TS 102 831 V1.2.1 table 44 (from memory). */
static const double simulated[T2_CONSTELLATION_COUNT][T2_PLP_RATES][COLUMN_COUNT] = {
    [T2_QPSK] = {{1.0, 1.2, 2.0},
                 {2.3, 2.5, 3.6},
                 {3.1, 3.4, 4.9},
                 {4.1, 4.4, 6.2},
                 {4.7, 5.1, 7.1},
                 {5.2, 5.6, 7.9}},
    [T2_16QAM] = {{6.0, 6.2, 7.5},
                  {7.6, 7.8, 9.3},
                  {8.9, 9.1, 10.8},
                  {10.0, 10.4, 12.4},
                  {10.8, 11.2, 13.6},
                  {11.4, 11.8, 14.5}},
    [T2_64QAM] = {{9.9, 10.2, 11.9},
                  {12.0, 12.3, 14.0},
                  {13.5, 13.8, 15.6},
                  {15.1, 15.4, 17.7},
                  {16.1, 16.6, 19.2},
                  {16.8, 17.2, 20.2}},
    [T2_256QAM] = {{13.2, 13.6, 15.6},
                   {16.1, 16.3, 18.3},
                   {17.8, 18.1, 20.0},
                   {20.0, 20.3, 22.6},
                   {21.3, 21.7, 24.3},
                   {22.0, 22.4, 25.4}},
};

/* ITU-R BT.2033-2 table 2 (one public witness). */
static const double planned[T2_CONSTELLATION_COUNT][T2_PLP_RATES][COLUMN_COUNT] = {
    [T2_QPSK] = {{2.4, 2.6, 3.4},
                 {3.6, 3.8, 4.9},
                 {4.5, 4.8, 6.3},
                 {5.5, 5.8, 7.6},
                 {6.1, 6.5, 8.5},
                 {6.6, 7.0, 9.3}},
    [T2_16QAM] = {{7.6, 7.8, 9.1},
                  {9.0, 9.2, 10.7},
                  {10.3, 10.5, 12.2},
                  {11.4, 11.8, 13.9},
                  {12.2, 12.6, 15.1},
                  {12.7, 13.1, 15.9}},
    [T2_64QAM] = {{11.9, 12.2, 14.0},
                  {13.8, 14.1, 15.8},
                  {15.1, 15.4, 17.2},
                  {16.6, 16.9, 19.3},
                  {17.6, 18.1, 20.9},
                  {18.2, 18.7, 21.8}},
    [T2_256QAM] = {{15.9, 16.3, 18.3},
                   {18.2, 18.4, 20.5},
                   {19.7, 20.0, 22.1},
                   {21.7, 22.0, 24.6},
                   {23.1, 23.6, 26.6},
                   {23.9, 24.4, 28.0}},
};

static const char *const column_names[2][COLUMN_COUNT] = {
    {"TS 102 831 table 44, Gaussian", "TS 102 831 table 44, Ricean (from memory)",
     "TS 102 831 table 44, Rayleigh (from memory)"},
    {"ITU-R BT.2033-2 table 2, Gaussian", "ITU-R BT.2033-2 table 2, Ricean",
     "ITU-R BT.2033-2 table 2, Rayleigh"}};

/* What fading adds to a need in white noise where a cell's other bits are known: the same
 * information, turned by the set's angle or not. */
static double added_db(const struct t2_code *code, enum column column)
{
    static void (*const make[COLUMN_COUNT])(struct fading_law *) = {make_steady, make_ricean,
                                                                    make_rayleigh};
    static struct known_bit steady, faded;
    struct fading_law law;
    double degrees = code->rotation ? t2_rotation_degrees(code->constellation) : 0.0;
    double raw_db = simulated[code->constellation][code->rate][GAUSSIAN];
    make_steady(&law);
    make_known_bit(&law, degrees, &steady);
    make[column](&law);
    make_known_bit(&law, degrees, &faded);
    double bits = cell_bits(code->constellation, &steady, raw_db);
    return cell_snr_db(code->constellation, &faded, bits) - raw_db;
}

#define CODES (T2_CONSTELLATION_COUNT * T2_PLP_RATES)

/* Limits of mutual information computed apart: white noise, white noise where a cell's other bits
 * are known, Rayleigh cells that are not rotated; by quadrature, to 0.02 dB, the last to 0.05 dB.
 */
static const double limits[T2_CONSTELLATION_COUNT][T2_PLP_RATES][3] = {
    [T2_QPSK] = {{0.19, 0.19, 1.83},
                 {1.47, 1.47, 3.64},
                 {2.31, 2.31, 4.92},
                 {3.39, 3.39, 6.71},
                 {4.08, 4.08, 7.98},
                 {4.58, 4.58, 8.96}},
    [T2_16QAM] = {{5.28, 4.93, 7.12},
                  {6.89, 6.76, 9.12},
                  {7.95, 7.91, 10.51},
                  {9.31, 9.30, 12.42},
                  {10.16, 10.16, 13.76},
                  {10.76, 10.76, 14.78}},
    [T2_64QAM] = {{9.44, 8.50, 11.39},
                  {11.41, 10.94, 13.67},
                  {12.72, 12.50, 15.22},
                  {14.39, 14.34, 17.31},
                  {15.43, 15.41, 18.73},
                  {16.14, 16.14, 19.81}},
    [T2_256QAM] = {{13.25, 11.73, 15.27},
                   {15.68, 14.71, 17.92},
                   {17.25, 16.69, 19.69},
                   {19.25, 19.08, 22.01},
                   {20.49, 20.44, 23.55},
                   {21.34, 21.32, 24.70}},
};

static struct t2_code code_of(int number)
{
    return (struct t2_code){.constellation = (enum t2_constellation)(number / T2_PLP_RATES),
                            .rate = (enum t2_rate)(number % T2_PLP_RATES),
                            .rotation = true};
}

/* Of the long codes; and what bits whose cell's others are known learn, by the closed form. */
static void limits_are_those_computed_apart(void **state)
{
    (void)state;
    assumes("white noise, points equally likely; Rayleigh cells fade each on its own");
    struct fading_law law;
    static struct known_bit steady;
    make_steady(&law);
    make_known_bit(&law, 0.0, &steady);
    for (int i = 0; i < CODES; i++) {
        struct t2_code code = code_of(i);
        const double *row = limits[code.constellation][code.rate];
        double bits = t2_constellation_bits(code.constellation) * t2_true_rate(T2_64800, code.rate);
        code.rotation = false;
        assert_near(t2_limit_db(&code, FADING_AWGN), row[0], 0.025, "computed apart, white noise");
        assert_near(cell_snr_db(code.constellation, &steady, bits), row[1], 0.025,
                    "computed apart, a cell's other bits known");
        assert_near(t2_limit_db(&code, FADING_RAYLEIGH), row[2], 0.05,
                    "computed apart, Rayleigh cells");
    }
}

static void published_needs_in_fading_are_those_of_rotated_sets(void **state)
{
    (void)state;
    assumes("the demapper knows a cell's other bits; its two parts fade each on its own");
    for (int i = 0; i < CODES; i++) {
        struct t2_code code = code_of(i);
        const double *row = simulated[code.constellation][code.rate];
        for (int column = RICEAN; column < COLUMN_COUNT; column++) {
            assert_near(row[GAUSSIAN] + added_db(&code, (enum column)column), row[column], 0.25,
                        column_names[0][column]);
        }
        code.rotation =
            false; /* not those of sets that are not turned, but where it hardly counts */
        double plain_db = row[GAUSSIAN] + added_db(&code, RAYLEIGH);
        assert_true(code.constellation > T2_16QAM || plain_db > row[RAYLEIGH] + 0.4);
    }
}

/* The planned values' own derivation: the simulated need of the column, a fixed loss, pilots, and
 * the noise floor. Our ideal needs in white noise (dvbt2_snr.h), by as much more as table 44 has in
 * fading, and what a receiver adds (receiver_snr.c). What is computed for fading instead lies up to
 * 0.2 dB off table 44 (above): cells there fade each on its own, the table's channels are fixed
 * paths, and its figures are rounded to 0.1 dB. With it three of the 72 would be 0.30 to 0.39 dB
 * off: QPSK 3/5 Rayleigh, 16QAM 5/6 Ricean and Rayleigh. */
static void receivers_need_in_fading_what_is_planned_for_them(void **state)
{
    (void)state;
    assumes(
        "fading adds what TS 102 831 table 44 says; 32K extended, PP4: the table tells no mode");
    struct t2_waveform waveform = {
        .fft = T2_32K, .extended = true, .guard = T2_GI_1_16, .pilots = T2_PP4};
    struct ofdm_grid grid = t2_grid(&waveform, 8);
    for (int i = 0; i < CODES; i++) {
        struct t2_code code = code_of(i);
        const double *row = simulated[code.constellation][code.rate];
        double ideal_db = t2_ideal_snr(&code, FADING_AWGN).db;
        for (int column = GAUSSIAN; column < COLUMN_COUNT; column++) {
            assert_near(receiver_planning_snr_db(&grid, ideal_db + row[column] - row[GAUSSIAN]),
                        planned[code.constellation][code.rate][column], 0.3,
                        column_names[1][column]);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(limits_are_those_computed_apart),
        cmocka_unit_test(published_needs_in_fading_are_those_of_rotated_sets),
        cmocka_unit_test(receivers_need_in_fading_what_is_planned_for_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
