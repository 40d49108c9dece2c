/* What was counted once, on many processors, and kept in tests/proof/counted-table.txt: how far the
 * table of thresholds, extrapolated to a frame error rate of 1e-4, is from counts near that rate,
 * and how much more SNR the box-plus decoder needs than the exact one on the same words; beside it,
 * in min-sum-table.txt, how much more min-sum needs, and in floor-table.txt how rarely it fails far
 * above that. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "physics/information/thresholds.h"
#include "simulation/interval.h"
#include "simulation/waterfall.h"

#define TABLE "tests/proof/counted-table.txt"
#define MIN_SUM_TABLE "tests/proof/min-sum-table.txt"
#define FLOOR_TABLE "tests/proof/floor-table.txt"

struct row {
    const struct threshold *threshold;
    struct waterfall waterfall; /* fitted to the table's own points */
    double snr_db;
    long frames, wrong, other, both;
};

static const struct threshold *named(const char *length, const char *constellation, int rate_15ths,
                                     const char *fading)
{
    for (size_t i = 0; i < threshold_count; i++) {
        const struct threshold *row = &threshold_table[i];
        if (strcmp(code_length_name((enum code_length)row->length), length) == 0 &&
            strcmp(constellation_name((enum constellation)row->constellation), constellation) ==
                0 &&
            row->rate_15ths == rate_15ths &&
            (row->fading == FADING_RAYLEIGH) == (strcmp(fading, "rayleigh") == 0)) {
            return row;
        }
    }
    fail_msg("no threshold of %s %s %d/15 %s", length, constellation, rate_15ths, fading);
    return NULL;
}

static struct waterfall fitted(const struct threshold *threshold)
{
    struct waterfall_point points[THRESHOLD_POINTS_MAX];
    struct waterfall waterfall = {0};
    int count = 0;
    for (; count < THRESHOLD_POINTS_MAX && threshold->points[count].frames > 0; count++) {
        const struct threshold_point *point = &threshold->points[count];
        points[count] =
            (struct waterfall_point){(double)point->snr_db, point->frames, point->errors};
    }
    assert_int_equal(waterfall_fit(points, count, &waterfall), STATUS_OK);
    return waterfall;
}

/* Rows of one kind; how many. */
static int read_rows(const char *table, const char *kind, struct row *rows, int most)
{
    FILE *file = fopen(table, "r");
    char text[128], word[16], length[16], constellation[16], fading[16];
    int count = 0, rate_15ths = 0;
    assert_non_null(file);
    while (fgets(text, sizeof text, file)) {
        struct row row = {0};
        int read = sscanf(text, "%15s %15s %15s %d %15s %lf %ld %ld %ld %ld", word, length,
                          constellation, &rate_15ths, fading, &row.snr_db, &row.frames, &row.wrong,
                          &row.other, &row.both);
        if (read < 8 || strcmp(word, kind) != 0) {
            continue;
        }
        assert_true(count < most);
        row.threshold = named(length, constellation, rate_15ths, fading);
        row.waterfall = fitted(row.threshold);
        rows[count++] = row;
    }
    fclose(file);
    return count;
}

/* How far the SNR of one frame error rate is above that of another, on the entry's own slope. */
static double distance_db(const struct row *row, double rate, double other_rate)
{
    return waterfall_snr_db(&row->waterfall, rate) - waterfall_snr_db(&row->waterfall, other_rate);
}

static const char *source_of(const struct row *row)
{
    static const char *const sources[LENGTH_COUNT][FADING_COUNT] = {
        [LENGTH_64800] = {[FADING_AWGN] = "counted by 30 errors near 1e-4, 64800, white noise",
                          [FADING_RAYLEIGH] = "counted by 30 errors near 1e-4, 64800, Rayleigh"},
        [LENGTH_16200] = {[FADING_AWGN] = "counted by 30 errors near 1e-4, 16200, white noise",
                          [FADING_RAYLEIGH] = "counted by 30 errors near 1e-4, 16200, Rayleigh"}};
    return sources[row->threshold->length][row->threshold->fading];
}

/* Three standard errors of both, and never more than 0.05 dB. The step from the counted rate to
 * 1e-4 is short: the rate is between 5e-5 and 4e-4. */
static void extrapolated_thresholds_are_the_counted_ones(void **state)
{
    (void)state;
    assumes("the error rate falls like a normal distribution's tail over SNR in dB, below what was "
            "simulated too");
    struct row rows[64];
    int count = read_rows(TABLE, "counted", rows, 64);
    double sum_db = 0.0;
    for (int i = 0; i < count; i++) {
        const struct row *row = &rows[i];
        double rate = (double)row->wrong / (double)row->frames;
        assert_true(row->wrong >= 30 && rate > 5e-5 && rate < 4e-4);
        double counted_snr_db = row->snr_db + distance_db(row, THRESHOLD_FRAME_ERROR_RATE, rate);
        double spread = 1.0 / sqrt((double)row->wrong);
        double counted_error_db = distance_db(row, rate, rate * (1.0 + spread));
        double allowed_db = 3.0 * hypot(counted_error_db, (double)row->threshold->error_db) + 0.002;
        assert_near((double)row->threshold->snr_db, counted_snr_db, fmin(allowed_db, 0.05),
                    source_of(row));
        sum_db += (double)row->threshold->snr_db - counted_snr_db;
    }
    assert_true(count >= 40);
    double mean_error_db = sum_db / count;
    assert_near(mean_error_db, 0.0, 0.01, "all that were counted, on average");
}

/* Wrong words of both drop out of the difference: what one decoder alone gets wrong decides. */
static void the_box_plus_decoder_needs_hardly_more_than_the_exact_one(void **state)
{
    (void)state;
    assumes("the exact decoder's own slope turns a ratio of error rates into decibels");
    struct row rows[128];
    int count = read_rows(TABLE, "paired", rows, 128);
    double sum_db = 0.0;
    for (int i = 0; i < count; i++) {
        const struct row *row = &rows[i];
        assert_true(row->wrong >= 40 && row->both <= row->wrong && row->both <= row->other);
        double exact = (double)row->wrong / (double)row->frames;
        double loss_db = distance_db(row, exact, (double)row->other / (double)row->frames);
        assert_between(loss_db, -0.02, 0.02,
                       row->threshold->length == LENGTH_64800
                           ? "the exact decoder on the same words, 64800"
                           : "the exact decoder on the same words, 16200");
        sum_db += loss_db;
    }
    assert_true(count >= 76);
    double mean_loss_db = sum_db / count;
    assert_between(mean_loss_db, -0.005, 0.005, "all pairs, on average");
}

/* Each at the rate that it has itself at an SNR. Rows of one rate follow each other. */
static void the_min_sum_decoder_needs_more_the_more_bits_a_cell_has(void **state)
{
    (void)state;
    assumes("the distance is that at a frame error rate of 0.5 to 7 %, behind BCH");
    struct row rows[64];
    int count = read_rows(MIN_SUM_TABLE, "min-sum", rows, 64);
    double before_db = 0.0;
    for (int i = 0; i < count; i++) {
        const struct row *row = &rows[i];
        double rate = (double)row->wrong / (double)row->frames;
        assert_true(row->wrong >= 8 && rate < 0.07);
        double loss_db = row->snr_db - waterfall_snr_db(&row->waterfall, rate);
        char source[64];
        snprintf(source, sizeof source, "the exact decoder, %s %d/15",
                 constellation_name((enum constellation)row->threshold->constellation),
                 row->threshold->rate_15ths);
        assert_between(loss_db, 0.0, 1.0, source);
        assert_true(row->threshold->constellation == QPSK || loss_db > before_db);
        before_db = loss_db;
    }
    assert_int_equal(count, 12 + 5 * 5);
}

/* A floor would be an error rate that more SNR does not lower: messages of one byte cannot break
 * every ring of bits that hold each other wrong. */
static void behind_bch_the_min_sum_decoder_has_no_floor_that_was_met(void **state)
{
    (void)state;
    assumes("two-valued symbols in white noise; upper ends of exact 95 % intervals");
    FILE *file = fopen(FLOOR_TABLE, "r");
    char text[256], source[96];
    int rows = 0, rate_15ths = 0;
    double es_n0_db = 0.0;
    long frames = 0, wrong = 0, other_words = 0, for_bch = 0;
    assert_non_null(file);
    while (fgets(text, sizeof text, file)) {
        int read = sscanf(text,
                          "64800 %d/15 min-sum Es/N0 %lf dB: frames %ld errors %ld (wrong "
                          "words %ld, for BCH %ld)",
                          &rate_15ths, &es_n0_db, &frames, &wrong, &other_words, &for_bch);
        if (read != 6) {
            continue;
        }
        snprintf(source, sizeof source, "%ld words counted, %d/15 at %.1f dB", frames, rate_15ths,
                 es_n0_db);
        assert_int_equal(wrong, for_bch);
        double most_left = interval_of_rate(wrong - for_bch, frames, 0.95).high;
        assert_between(most_left, 0.0, 2e-5, source);
        rows++;
    }
    fclose(file);
    assert_int_equal(rows, 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(extrapolated_thresholds_are_the_counted_ones),
        cmocka_unit_test(the_box_plus_decoder_needs_hardly_more_than_the_exact_one),
        cmocka_unit_test(the_min_sum_decoder_needs_more_the_more_bits_a_cell_has),
        cmocka_unit_test(behind_bch_the_min_sum_decoder_has_no_floor_that_was_met),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
