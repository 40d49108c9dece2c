/* Two layers simulated, against the closed forms of physics/information: points of the committed
 * table tests/proof/layers-table.txt, which come out again, and a few words at once. */
#include "support/effort.h"
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/random.h"
#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/superposed.h"
#include "physics/information/thresholds.h"
#include "simulation/chain/layers.h"
#include "simulation/modem/superposed.h"
#include "simulation/waterfall.h"

#define TABLE "tests/proof/layers-table.txt"
#define SEED 14
#define FRAME_ERROR_RATE 0.1
#define POINTS 3

enum kind { KIND_NOISE, KIND_KNOWN, KIND_ENHANCED, KIND_COUNT };
static const char *const kind_names[] = {"noise", "known", "enhanced"};

struct row {
    struct code core, enhanced;
    double injection_db;
    enum kind kind;
    struct waterfall_point points[POINTS];
};

static struct code read_code(const char *length, const char *constellation, int rate_15ths)
{
    struct code code = {.length = strcmp(length, "16200") == 0 ? LENGTH_16200 : LENGTH_64800,
                        .rate_15ths = rate_15ths};
    code.constellation = (enum constellation)choice_named("mode.constellation", constellation);
    return code;
}

static bool read_row(const char *line, struct row *row)
{
    char lengths[2][16], sets[2][16], kind[16];
    int rates[2];
    struct waterfall_point *p = row->points;
    if (sscanf(line,
               "%15s %15s %d/15 | %15s %15s %d/15 | %lf | %15s %lf %ld %ld %lf %ld %ld %lf %ld %ld",
               lengths[0], sets[0], &rates[0], lengths[1], sets[1], &rates[1], &row->injection_db,
               kind, &p[0].snr_db, &p[0].frames, &p[0].errors, &p[1].snr_db, &p[1].frames,
               &p[1].errors, &p[2].snr_db, &p[2].frames, &p[2].errors) != 17) {
        return false;
    }
    row->core = read_code(lengths[0], sets[0], rates[0]);
    row->enhanced = read_code(lengths[1], sets[1], rates[1]);
    for (int i = 0; i < KIND_COUNT; i++) {
        if (strcmp(kind, kind_names[i]) == 0) {
            row->kind = (enum kind)i;
        }
    }
    return true;
}

/* What a code alone needs for the rate, read off the committed points of its threshold. */
static double alone_db(const struct code *code)
{
    const struct threshold *row =
        threshold_find(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    struct waterfall_point points[THRESHOLD_POINTS_MAX];
    struct waterfall fit;
    int count = 0;
    for (int i = 0; i < THRESHOLD_POINTS_MAX && row->points[i].frames > 0; i++) {
        points[count++] = (struct waterfall_point){(double)row->points[i].snr_db,
                                                   row->points[i].frames, row->points[i].errors};
    }
    assert_int_equal(waterfall_fit(points, count, &fit), STATUS_OK);
    return waterfall_snr_db(&fit, FRAME_ERROR_RATE);
}

static double closed_form_db(const struct row *row)
{
    double core_db = alone_db(&row->core);
    struct information_curve alone =
        information_curve_of(row->core.constellation, row->core.rate_15ths);
    const struct superposed both = {row->core.constellation, row->enhanced.constellation,
                                    row->core.rate_15ths, row->enhanced.rate_15ths,
                                    row->injection_db};
    return row->kind == KIND_NOISE ? layered_core_snr_db(core_db, row->injection_db)
           : row->kind == KIND_KNOWN
               ? superposed_core_snr_db(&both, information_curve_bits(&alone, core_db), core_db)
               : layered_enhanced_snr_db(alone_db(&row->enhanced), row->injection_db);
}

static struct layers *open_layers(const struct row *row)
{
    struct layers_setup setup = {.core = chain_setup_default(),
                                 .enhanced = chain_setup_default(),
                                 .injection_db = row->injection_db,
                                 .other = row->kind == KIND_KNOWN ? OTHER_IS_KNOWN : OTHER_IS_NOISE,
                                 .enhanced_counts = row->kind == KIND_ENHANCED};
    struct layers *layers;
    setup.core.length = row->core.length;
    setup.core.constellation = row->core.constellation;
    setup.core.rate_15ths = row->core.rate_15ths;
    setup.enhanced.length = row->enhanced.length;
    setup.enhanced.constellation = row->enhanced.constellation;
    setup.enhanced.rate_15ths = row->enhanced.rate_15ths;
    assert_int_equal(layers_create(&setup, &layers), STATUS_OK);
    return layers;
}

static struct run_counts count(const struct row *row, double snr_db, long frames, int threads)
{
    struct layers *layers = open_layers(row);
    const struct layers_point point = {layers, snr_db};
    const struct run_job job = layers_run_job(&point);
    const struct run_limits limits = {
        .frames = frames, .seed = SEED, .threads = threads, .part = 1, .parts = 1};
    struct run_counts counts;
    assert_int_equal(run_execute(&job, &limits, NULL, &counts), STATUS_OK);
    layers_free(layers);
    return counts;
}

/* Walks through the table. */
static int each_row(void (*take)(const struct row *row))
{
    char line[256];
    int rows = 0;
    FILE *file = fopen(TABLE, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL) {
        struct row row;
        if (line[0] != '#') {
            assert_true(read_row(line, &row));
            take(&row);
            rows++;
        }
    }
    fclose(file);
    return rows;
}

static void a_layer_needs_what_its_closed_form_says(const struct row *row)
{
    assumes("the other layer is Gaussian noise, or known; the core is taken away without a rest");
    struct waterfall fit;
    char source[160];
    static const char *const words[] = {"core, other layer as noise", "core, other layer known",
                                        "enhanced layer"};
    assert_int_equal(waterfall_fit(row->points, POINTS, &fit), STATUS_OK);
    double layered_snr_db = closed_form_db(row);
    double simulated_db = waterfall_snr_db(&fit, FRAME_ERROR_RATE);
    snprintf(source, sizeof source, "simulated: %s %d/15 under %s %d/15 at %g dB: %s",
             constellation_name(row->core.constellation), row->core.rate_15ths,
             constellation_name(row->enhanced.constellation), row->enhanced.rate_15ths,
             row->injection_db, words[row->kind]);
    print_message("%s: closed form %.3f, simulated %.3f +- %.3f dB\n", source, layered_snr_db,
                  simulated_db, waterfall_error_db(&fit, FRAME_ERROR_RATE));
    /* Where noise of the layer's power forbids the core, it lives on points that are far apart and
     * near to others': mean information then tells less of a code's threshold. */
    bool forbidden = !isfinite(layered_core_snr_db(alone_db(&row->core), row->injection_db));
    assert_near(layered_snr_db, simulated_db, forbidden ? 0.25 : 0.08, source);
}

static void layers_need_what_their_closed_forms_say(void **state)
{
    (void)state;
    assert_true(each_row(a_layer_needs_what_its_closed_form_says) >=
                18); /* six pairs, three ways each */
}

/* ---- The same at once. ---- */

static const struct row sample = {.core = {LENGTH_16200, 6, QPSK, OUTER_BCH},
                                  .enhanced = {LENGTH_16200, 6, QAM64, OUTER_BCH},
                                  .injection_db = 4.0};

static void a_few_words_fail_below_and_pass_above(void **state)
{
    (void)state;
    for (int kind = 0; kind < KIND_COUNT; kind++) {
        struct row row = sample;
        row.kind = (enum kind)kind;
        double needed_db = closed_form_db(&row);
        assert_true(count(&row, needed_db - 0.6, 8, 1).frame_errors >= 5);
        assert_int_equal(count(&row, needed_db + 0.6, 8, 1).frame_errors, 0);
    }
}

static void counts_do_not_depend_on_threads(void **state)
{
    (void)state;
    struct row row = sample;
    row.kind = KIND_ENHANCED;
    struct run_counts one = count(&row, 12.9, 6, 1), two = count(&row, 12.9, 6, 3);
    assert_int_equal(one.bit_errors, two.bit_errors);
    assert_int_equal(one.iterations, two.iterations);
    assert_int_equal(one.frames, 6);
}

/* Words of unlike length share a unit: a core's word of 8100 cells over a sixth of a word more. */
static void words_of_any_two_lengths_fit_together(void **state)
{
    (void)state;
    static const struct {
        struct code core, enhanced;
        long frames[2]; /* of a unit: core, enhanced */
    } rows[] = {
        {{LENGTH_16200, 2, QPSK, OUTER_NONE}, {LENGTH_64800, 2, QAM1024, OUTER_NONE}, {4, 5}},
        {{LENGTH_64800, 2, QPSK, OUTER_NONE}, {LENGTH_16200, 2, QAM64, OUTER_NONE}, {1, 12}},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        for (int enhanced = 0; enhanced < 2; enhanced++) {
            struct row row = {.core = rows[i].core,
                              .enhanced = rows[i].enhanced,
                              .injection_db = 8.0,
                              .kind = enhanced ? KIND_ENHANCED : KIND_NOISE};
            struct run_counts counts = count(&row, 40.0, 1, 1);
            assert_int_equal(counts.frames, rows[i].frames[enhanced]);
            assert_int_equal(counts.frame_errors, 0);
        }
    }
}

static void demapping_two_layers_is_the_sum_over_all_points(void **state)
{
    (void)state;
    static struct modem lower, upper;
    enum { CELLS = KERNEL_LANES };
    static const enum constellation sets[][2] = {{QPSK, QPSK}, {QPSK, QAM64}, {QAM16, QAM16}};
    for (size_t i = 0; i < sizeof sets / sizeof sets[0]; i++) {
        float re[CELLS], im[CELLS], inverse[CELLS], planes[12 * CELLS];
        double expected[12], alpha = 0.4;
        struct random random = random_seeded(3, i);
        modem_build(&lower, sets[i][0], 6);
        modem_build(&upper, sets[i][1], 9);
        for (int k = 0; k < CELLS; k++) {
            re[k] = (float)random_normal(&random);
            im[k] = (float)random_normal(&random);
            inverse[k] = (float)exp(random_normal(&random) + 1.0);
        }
        superposed_demap(&lower, &upper, (float)alpha, (struct received){re, im, inverse, CELLS},
                         (struct bit_planes){planes, CELLS});
        for (int k = 0; k < CELLS; k++) {
            superposed_demap_by_definition(&lower, &upper, alpha, (double)re[k], (double)im[k],
                                           (double)inverse[k], expected);
            for (int y = 0; y < lower.bits; y++) { /* points below 2^-120 are taken for that */
                double floor = lower.points * upper.points * exp(fabs(expected[y]) - 83.0);
                assert_near((double)planes[y * CELLS + k], expected[y],
                            2e-5 * (1.0 + fabs(expected[y])) + floor,
                            "sum over all points of both");
            }
        }
    }
}

static size_t again_most;
static long frames_most;

static void again(const struct row *row)
{
    for (int i = 0; i < POINTS && again_most > 0; i++) {
        const struct waterfall_point *point = &row->points[i];
        if (point->frames <= frames_most) {
            struct run_counts counts = count(row, point->snr_db, point->frames, run_processors());
            assert_int_equal(counts.frames, point->frames);
            assert_int_equal(counts.frame_errors, point->errors);
            again_most--;
        }
    }
}

static void points_come_out_again(void **state)
{
    (void)state;
    again_most = effort(0, 2, 1000);
    frames_most = 100000;
    each_row(again);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(layers_need_what_their_closed_forms_say),
        cmocka_unit_test(a_few_words_fail_below_and_pass_above),
        cmocka_unit_test(counts_do_not_depend_on_threads),
        cmocka_unit_test(words_of_any_two_lengths_fit_together),
        cmocka_unit_test(demapping_two_layers_is_the_sum_over_all_points),
        cmocka_unit_test(points_come_out_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
