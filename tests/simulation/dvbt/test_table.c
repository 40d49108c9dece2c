/* DVB-T simulated in four channels: the committed table tests/proof/dvbt-table.txt, from which the
 * needed SNRs come, against the document's, and points of it that come out again. */
#include "support/effort.h"
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/information/dvbt_snr.h"
#include "simulation/dvbt/chain.h"

#define TABLE "tests/proof/dvbt-table.txt"
#define SEED 20
#define ROWS 300

struct row {
    struct dvbt mode;
    char channel[16];
    double need_db;             /* SNR of a data cell at a bit error rate of 2e-4 */
    double snr_db, bits, wrong; /* its first point */
};

static bool read_row(const char *line, struct row *row)
{
    char constellation[16], rate[16], hierarchy[16], priority[16];
    const char *need = strchr(line, '=');
    if (line[0] == '#' || need == NULL ||
        sscanf(line, "t %15s %15s %15s %15s %15s %lf:%lf:%lf", constellation, rate, hierarchy,
               priority, row->channel, &row->snr_db, &row->bits, &row->wrong) != 8) {
        return false;
    }
    row->need_db = atof(need + 1);
    row->mode = (struct dvbt){.fft = DVBT_8K};
    row->mode.constellation =
        (enum dvbt_constellation)choice_named("dvbt.constellation", constellation);
    row->mode.rate = row->mode.low_rate = (enum dvbt_rate)choice_named("dvbt.rate", rate);
    row->mode.hierarchy = (enum dvbt_hierarchy)choice_named("dvbt.hierarchy", hierarchy);
    row->mode.priority = (enum dvbt_priority)choice_named("dvbt.priority", priority);
    return true;
}

static struct row rows[ROWS];
static int row_count;

static int read_table(void **state)
{
    (void)state;
    static char line[2048];
    FILE *table = fopen(TABLE, "r");
    assert_non_null(table);
    while (row_count < ROWS && fgets(line, sizeof line, table)) {
        row_count += read_row(line, &rows[row_count]);
    }
    (void)fclose(table);
    return row_count == ROWS ? 0 : 1;
}

/* Every mode's, both streams of a hierarchy's among them. */
static void ideal_snrs_are_those_of_the_table(void **state)
{
    (void)state;
    int seen = 0;
    for (int i = 0; i < row_count; i++) {
        bool rayleigh = strcmp(rows[i].channel, "rayleigh") == 0;
        if (rayleigh || strcmp(rows[i].channel, "awgn") == 0) {
            struct ideal_snr ideal =
                dvbt_ideal_snr(&rows[i].mode, rayleigh ? FADING_RAYLEIGH : FADING_AWGN);
            assert_near(ideal.db, rows[i].need_db, 1e-9, TABLE);
            seen++;
        }
    }
    assert_int_equal(seen, 2 * 75);
}

/* EN 300 744 V1.6.1 table A.1 (from memory): Ricean F1 and Rayleigh P1, rates 1/2 to 7/8. */
static const double in_f1_and_p1[DVBT_CONSTELLATION_COUNT][DVBT_RATE_COUNT][2] = {
    [DVBT_QPSK] = {{4.1, 5.9}, {6.1, 9.6}, {7.2, 12.4}, {8.5, 15.6}, {9.2, 17.5}},
    [DVBT_16QAM] = {{9.8, 11.8}, {12.1, 15.3}, {13.4, 18.1}, {14.8, 21.3}, {15.7, 23.6}},
    [DVBT_64QAM] = {{14.3, 16.4}, {17.3, 20.3}, {18.9, 23.0}, {20.4, 26.2}, {21.3, 28.6}},
};

static void simulated_needs_in_f1_and_p1_are_those_of_table_a_1(void **state)
{
    (void)state;
    assumes("channel known perfectly, paths at rest, bit error rate 2e-4 behind the inner decoder, "
            "pilots counted in");
    for (int i = 0; i < row_count; i++) {
        const struct dvbt *mode = &rows[i].mode;
        const double *published_db = in_f1_and_p1[mode->constellation][mode->rate];
        double need_db = rows[i].need_db + db_from_ratio(dvbt_grid(mode, 8).mean_power);
        if (mode->hierarchy == DVBT_PLAIN && strcmp(rows[i].channel, "F1") == 0) {
            assert_near(need_db, published_db[0], 0.35,
                        "EN 300 744 V1.6.1 table A.1, Ricean F1 (from memory)");
        }
        if (mode->hierarchy == DVBT_PLAIN && strcmp(rows[i].channel, "P1") == 0) {
            assert_near(need_db, published_db[1], 0.5,
                        "EN 300 744 V1.6.1 table A.1, Rayleigh P1 (from memory)");
        }
    }
}

/* What table A.2 of the old edition says of 16QAM's two streams in white noise (V1.5.1 and earlier,
 * from memory, not seen elsewhere; without the pilots' power): alpha 2 and 4, high priority 1/2 to
 * 3/4, low priority 1/2 to 7/8. The old edition's uniform figures differ from the new one's by as
 * much as 0.4 dB too.
 *
 * Of the differences to our simulation, -0.38 to 0.19 dB, one part has a cause: the low stream of
 * alpha 4 is QPSK of its own power (below), in the old table too, so there the two differ as their
 * figures of QPSK alone do (-0.16 to 0.07 dB). The other eleven figures lie up to 0.4 dB above what
 * the old edition's own QPSK makes of them by mutual information, by no rule: neither a decoder
 * that takes the nearest point nor one that takes the high stream for plain QPSK needs 0.01 dB more
 * (computed), and with alpha 2 the low stream's 3/4 has 0.4 dB, its 5/6 none. Ours lie within 0.15
 * dB of what our QPSK makes of them. */
static const struct {
    enum dvbt_hierarchy hierarchy;
    enum dvbt_priority priority;
    double needs_db[DVBT_RATE_COUNT];
} of_two_streams[] = {
    {DVBT_ALPHA_2, DVBT_HIGH, {4.8, 7.1, 8.4}},
    {DVBT_ALPHA_2, DVBT_LOW, {13.0, 15.1, 16.3, 16.9, 17.9}},
    {DVBT_ALPHA_4, DVBT_HIGH, {3.8, 5.9, 7.1}},
    {DVBT_ALPHA_4, DVBT_LOW, {17.3, 19.1, 20.1, 21.1, 21.9}},
};

static void both_streams_of_16qam_need_about_what_the_old_table_says(void **state)
{
    (void)state;
    assumes("channel known perfectly; the old edition's bit error rate is today's");
    int seen = 0;
    for (size_t k = 0; k < sizeof of_two_streams / sizeof of_two_streams[0]; k++) {
        for (int i = 0; i < row_count; i++) {
            const struct dvbt *mode = &rows[i].mode;
            double published_db = of_two_streams[k].needs_db[mode->rate];
            if (mode->constellation == DVBT_16QAM && published_db > 0.0 &&
                mode->hierarchy == of_two_streams[k].hierarchy &&
                mode->priority == of_two_streams[k].priority &&
                strcmp(rows[i].channel, "awgn") == 0) {
                assert_near(rows[i].need_db, published_db, 0.4,
                            "EN 300 744 table A.2, old edition, Gaussian (from memory alone)");
                seen++;
            }
        }
    }
    assert_int_equal(seen, 16);
}

/* Quadrants far apart are never confused where the points within are told apart: then the low
 * stream is QPSK with its share of the power, 2 / 52 of it (alpha 4). */
static void the_low_stream_of_far_quadrants_is_qpsk_of_its_own_power(void **state)
{
    (void)state;
    assumes("quadrants are never confused where the points within are told apart");
    static const double old_qpsk_db[DVBT_RATE_COUNT] = {3.1, 4.9, 5.9, 6.9, 7.7};
    for (int rate = 0; rate < DVBT_RATE_COUNT; rate++) {
        struct dvbt low = {.constellation = DVBT_16QAM,
                           .hierarchy = DVBT_ALPHA_4,
                           .priority = DVBT_LOW,
                           .low_rate = (enum dvbt_rate)rate};
        struct dvbt alone = {.constellation = DVBT_QPSK, .rate = (enum dvbt_rate)rate};
        double ours_db =
            dvbt_ideal_snr(&low, FADING_AWGN).db - dvbt_ideal_snr(&alone, FADING_AWGN).db;
        assert_near(ours_db, db_from_ratio(52.0 / 2.0), 0.1, "share of the power, simulation");
        assert_near(of_two_streams[3].needs_db[rate] - old_qpsk_db[rate], db_from_ratio(52.0 / 2.0),
                    0.06,
                    "EN 300 744 tables A.1 and A.2, old edition (from memory), two roundings");
    }
}

/* A stream needs the SNR at which its bits are told as much as those of QPSK, or of 16QAM for the
 * low one of 64QAM, are where these are just decoded. Where the quadrants stand no further apart
 * than the points within, its bits differ much, and a convolutional code makes more of them. */
static void what_streams_need_follows_from_sets_alone(void **state)
{
    (void)state;
    assumes("what a code needs is mean information of its bits, whatever the set");
    for (int i = 0; i < 2 * DVBT_PRIORITY_COUNT * DVBT_RATE_COUNT * 3; i++) {
        struct dvbt mode = {
            .constellation = i % 2 ? DVBT_64QAM : DVBT_16QAM,
            .priority = (enum dvbt_priority)(i / 2 % DVBT_PRIORITY_COUNT),
            .rate = (enum dvbt_rate)(i / (2 * DVBT_PRIORITY_COUNT) % DVBT_RATE_COUNT),
            .low_rate = (enum dvbt_rate)(i / (2 * DVBT_PRIORITY_COUNT) % DVBT_RATE_COUNT),
            .hierarchy = (enum dvbt_hierarchy)(DVBT_ALPHA_1 +
                                               i / (2 * DVBT_PRIORITY_COUNT * DVBT_RATE_COUNT))};
        bool four = mode.priority == DVBT_LOW && mode.constellation == DVBT_64QAM;
        struct dvbt alone = {.constellation = four ? DVBT_16QAM : DVBT_QPSK, .rate = mode.rate};
        struct information_curve stream = dvbt_curve(&mode), whole = dvbt_curve(&alone);
        double bits = information_curve_bits(&whole, dvbt_ideal_snr(&alone, FADING_AWGN).db);
        double off_db =
            dvbt_ideal_snr(&mode, FADING_AWGN).db - information_curve_snr_db(&stream, bits);
        if (mode.hierarchy > DVBT_ALPHA_1 || mode.priority == DVBT_LOW) {
            assert_near(off_db, 0.0, 0.25, "mutual information of QPSK and 16QAM alone");
        } else {
            assert_between(off_db, -0.7, 0.1, "mutual information of QPSK alone, alpha 1");
        }
    }
}

/* The other stream is what disturbs: the further the quadrants lie apart, the less does the high
 * priority need and the more the low one; both need more than QPSK and the whole set alone. */
static void distance_helps_one_stream_at_the_cost_of_the_other(void **state)
{
    (void)state;
    for (int i = 0; i < 2 * DVBT_RATE_COUNT * FADING_COUNT; i++) {
        enum fading fading = (enum fading)(i / (2 * DVBT_RATE_COUNT));
        struct dvbt mode = {.constellation = i % 2 ? DVBT_64QAM : DVBT_16QAM,
                            .rate = (enum dvbt_rate)(i / 2 % DVBT_RATE_COUNT),
                            .low_rate = (enum dvbt_rate)(i / 2 % DVBT_RATE_COUNT)};
        struct dvbt alone = {.constellation = DVBT_QPSK, .rate = mode.rate};
        double high_db = INFINITY, low_db = -INFINITY;
        for (int alpha = DVBT_ALPHA_1; alpha < DVBT_HIERARCHY_COUNT; alpha++) {
            mode.hierarchy = (enum dvbt_hierarchy)alpha;
            mode.priority = DVBT_HIGH;
            double high_now_db = dvbt_ideal_snr(&mode, fading).db;
            mode.priority = DVBT_LOW;
            double low_now_db = dvbt_ideal_snr(&mode, fading).db;
            assert_true(high_now_db < high_db - 0.5 && low_now_db > low_db + 1.0);
            high_db = high_now_db;
            low_db = low_now_db;
        }
        assert_true(high_db > dvbt_ideal_snr(&alone, fading).db + 0.4);
    }
}

/* Units of 2 million bits, which the tool simulates at each point. */
#define UNITS 30

static void points_of_the_table_come_out_again(void **state)
{
    (void)state;
    size_t step = ROWS / effort(1, 4, ROWS);
    for (size_t i = 0; i < ROWS; i += step) {
        const struct row *row = &rows[i];
        bool rayleigh = strcmp(row->channel, "rayleigh") == 0;
        if (!rayleigh && strcmp(row->channel, "awgn") != 0) {
            continue;
        }
        struct dvbt_setup setup = {.mode = row->mode,
                                   .channel = rayleigh ? CHANNEL_RAYLEIGH : CHANNEL_AWGN};
        struct dvbt_point point = {.cell_snr_db = row->snr_db, .setup = &setup};
        struct run_job job = dvbt_run_job(&point);
        struct run_limits limits = {.frames = (long)UNITS * DVBT_UNIT_WORDS,
                                    .seed = SEED,
                                    .threads = run_processors(),
                                    .part = 1,
                                    .parts = 1};
        struct run_watch watch;
        struct run_counts counts;
        run_watch_clear(&watch);
        assert_int_equal(run_execute(&job, &limits, &watch, &counts), STATUS_OK);
        assert_near((double)counts.bits, row->bits, 0.0, TABLE);
        assert_near((double)counts.bit_errors, row->wrong, 0.0, TABLE);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ideal_snrs_are_those_of_the_table),
        cmocka_unit_test(simulated_needs_in_f1_and_p1_are_those_of_table_a_1),
        cmocka_unit_test(both_streams_of_16qam_need_about_what_the_old_table_says),
        cmocka_unit_test(the_low_stream_of_far_quadrants_is_qpsk_of_its_own_power),
        cmocka_unit_test(what_streams_need_follows_from_sets_alone),
        cmocka_unit_test(distance_helps_one_stream_at_the_cost_of_the_other),
        cmocka_unit_test(points_of_the_table_come_out_again),
    };
    return cmocka_run_group_tests(tests, read_table, NULL);
}
