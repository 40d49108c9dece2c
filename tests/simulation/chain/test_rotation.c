/* Rotated constellations simulated where carriers fade or are lost, against what mean information
 * over pairs of carriers predicts: the committed table tests/proof/rotation-table.txt, and a point
 * of it that comes out again. */
#include "support/effort.h"
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "physics/information/dvbt2_snr.h"
#include "physics/ofdm/gain_spread.h"
#include "proof/erasures.h"
#include "simulation/chain/chain_run.h"
#include "simulation/waterfall.h"

#define TABLE "tests/proof/rotation-table.txt"
#define SEED 22
#define FRAME_ERROR_RATE 0.1
#define POINTS 3
#define ROWS 88

struct row {
    struct t2_code code;
    bool rayleigh;
    int lost_percent;
    struct waterfall_point points[POINTS];
    double need_db; /* for the frame error rate */
};

static struct row rows[ROWS];
static int row_count;

static bool read_row(const char *line, struct row *row)
{
    char length[16], constellation[16], rate[16], rotated[16], fading[16];
    struct waterfall_point *p = row->points;
    struct waterfall fit;
    if (sscanf(line, "%15s %15s %15s | %15s | %15s %d | %lf %ld %ld %lf %ld %ld %lf %ld %ld",
               length, constellation, rate, rotated, fading, &row->lost_percent, &p[0].snr_db,
               &p[0].frames, &p[0].errors, &p[1].snr_db, &p[1].frames, &p[1].errors, &p[2].snr_db,
               &p[2].frames, &p[2].errors) != 15) {
        return false;
    }
    row->code = (struct t2_code){.length = strcmp(length, "64800") == 0 ? T2_64800 : T2_16200,
                                 .rotation = strcmp(rotated, "rotated") == 0};
    for (int i = 0; i < T2_CONSTELLATION_COUNT; i++) {
        if (strcmp(t2_constellation_name((enum t2_constellation)i), constellation) == 0) {
            row->code.constellation = (enum t2_constellation)i;
        }
    }
    for (int i = 0; i < T2_PLP_RATES; i++) {
        row->code.rate =
            strcmp(t2_rate_name((enum t2_rate)i), rate) == 0 ? (enum t2_rate)i : row->code.rate;
    }
    row->rayleigh = strcmp(fading, "rayleigh") == 0;
    assert_int_equal(waterfall_fit(p, POINTS, &fit), STATUS_OK);
    row->need_db = waterfall_snr_db(&fit, FRAME_ERROR_RATE);
    return true;
}

static int read_table(void **state)
{
    (void)state;
    char line[256];
    FILE *table = fopen(TABLE, "r");
    assert_non_null(table);
    while (row_count < ROWS && fgets(line, sizeof line, table)) {
        row_count += read_row(line, &rows[row_count]);
    }
    (void)fclose(table);
    return row_count == ROWS ? 0 : 1;
}

static bool is_code(const struct row *a, const struct row *b)
{
    return a->code.length == b->code.length && a->code.rate == b->code.rate &&
           a->code.constellation == b->code.constellation;
}

/* The row of the same code, rotated or not, in a channel. */
static const struct row *row_like(const struct row *row, bool rotated, bool rayleigh, int lost)
{
    for (int i = 0; i < row_count; i++) {
        if (is_code(&rows[i], row) && rows[i].code.rotation == rotated &&
            rows[i].rayleigh == rayleigh && rows[i].lost_percent == lost) {
            return &rows[i];
        }
    }
    fail_msg("a row is missing");
    return NULL;
}

/* The SNR at which the channel carries what the code needs in white noise without rotation. */
static double predicted_db(const struct row *row)
{
    static float gains[ERASURES_CARRIERS];
    static struct gain_spread spread;
    static struct gain_raster raster;
    struct information_curve curve = t2_curve(&row->code);
    double bits = information_curve_bits(&curve, row_like(row, false, false, 0)->need_db);
    erasures_fill(row->rayleigh, row->lost_percent, gains);
    gain_spread_clear(&spread);
    gain_spread_add(&spread, gains, ERASURES_CARRIERS);
    gain_spread_normalise(&spread);
    gain_raster_make(&curve, &raster);
    return gain_spread_offset_db(&spread, &raster, bits);
}

static const char *const channel_names[2][2] = {
    {"simulated: white noise", "simulated: 10 % of the cells lost"},
    {"simulated: Rayleigh cells", "simulated: Rayleigh cells, 10 % lost besides"}};

static const char *name_of(const struct row *row)
{
    return channel_names[row->rayleigh][row->lost_percent > 0];
}

/* The more a channel takes, the less does a dB of SNR change what is left. */
static double tolerance_of(const struct row *row)
{
    return row->lost_percent == 0 ? 0.2 : row->rayleigh ? 0.45 : 0.3;
}

static void rotated_sets_need_what_mean_information_predicts(void **state)
{
    (void)state;
    assumes("channel known perfectly; the demapper looks once, at the plane");
    for (int i = 0; i < row_count; i++) {
        if (rows[i].code.rotation) {
            assert_near(predicted_db(&rows[i]), rows[i].need_db, tolerance_of(&rows[i]),
                        name_of(&rows[i]));
        }
    }
}

/* By how much less SNR a rotated set needs. EN 302 755 says of white noise that it changes nothing;
 * the counts leave 0.05 dB. Where a dB of SNR changes little, as for QPSK 5/6 that hardly decodes
 * unrotated, the prediction of the gain is coarse. */
static void rotation_gains_nothing_in_white_noise_and_decibels_in_deep_fades(void **state)
{
    (void)state;
    assumes("channel known perfectly; a cell's two parts fade each on its own");
    double most_db = 0.0;
    for (int i = 0; i < row_count; i++) {
        const struct row *rotated = &rows[i];
        const struct row *plain =
            row_like(rotated, false, rotated->rayleigh, rotated->lost_percent);
        double gain_db = plain->need_db - rotated->need_db;
        if (!rotated->code.rotation) {
            continue;
        }
        if (!rotated->rayleigh && rotated->lost_percent == 0) {
            assert_near(gain_db, 0.0, 0.05, "EN 302 755: nothing in white noise");
        }
        if (rotated->rayleigh) {
            char source[128];
            (void)snprintf(source, sizeof source, "%s, gain of %s %s %s", name_of(rotated),
                           t2_length_name(rotated->code.length),
                           t2_constellation_name(rotated->code.constellation),
                           t2_rate_name(rotated->code.rate));
            assert_near(predicted_db(plain) - predicted_db(rotated), gain_db,
                        rotated->lost_percent > 0 ? 1.0 : 0.2, source);
        }
        most_db = fmax(most_db, gain_db);
    }
    assert_true(most_db > 3.5 && most_db < 5.0); /* QPSK 5/6 in Rayleigh cells, some lost besides */
}

static void points_of_the_table_come_out_again(void **state)
{
    (void)state;
    static float gains[ERASURES_CARRIERS];
    size_t step = ROWS / effort(1, 8, ROWS);
    for (size_t i = 1; i < ROWS; i += step) {
        const struct row *row = &rows[i];
        struct coding coding = coding_of_t2(&row->code);
        struct chain_setup setup = chain_setup_default();
        struct chain *chain;
        erasures_fill(row->rayleigh, row->lost_percent, gains);
        setup.coding = &coding;
        setup.channel = CHANNEL_CARRIERS;
        setup.gain_power = gains;
        setup.carriers = ERASURES_CARRIERS;
        assert_int_equal(chain_create(&setup, &chain), STATUS_OK);
        const struct chain_point point = {chain, row->points[1].snr_db};
        const struct run_job job = chain_run_job(&point);
        const struct run_limits limits = {.frames = row->points[1].frames,
                                          .seed = SEED,
                                          .threads = run_processors(),
                                          .part = 1,
                                          .parts = 1};
        struct run_counts counts;
        assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
        assert_near((double)counts.frame_errors, (double)row->points[1].errors, 0.0, TABLE);
        chain_free(chain);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rotated_sets_need_what_mean_information_predicts),
        cmocka_unit_test(rotation_gains_nothing_in_white_noise_and_decibels_in_deep_fades),
        cmocka_unit_test(points_of_the_table_come_out_again),
    };
    return cmocka_run_group_tests(tests, read_table, NULL);
}
