/* What holds of any frame: cells add up, layers trade one's need for the other's, shares are rates.
 */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/text.h"
#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/required_snr.h"
#include "scenario/section.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/injection.h"
#include "standard/atsc3/signalling.h"
#include "study/report/report.h"
#include "system/atsc3_signalling.h"

/* A frame of some subframes and PLPs; it need not find room. */
static struct scenario drawn(struct random *random)
{
    struct scenario scenario = scenario_default();
    int subframes = 1 + (int)(random_bits(random) % 3), plps = subframes;
    plps += (int)(random_bits(random) % 5);
    char key[64], value[32];
    for (int i = 0; i < subframes; i++) {
        text_format(key, sizeof key, "subframe s%d.fft", i);
        scenario_say(&scenario, key, fft_name((enum fft_size)(random_bits(random) % FFT_COUNT)));
        text_format(key, sizeof key, "subframe s%d.first_boundary", i);
        scenario_say(&scenario, key, random_bits(random) % 2 ? "yes" : "no");
    }
    for (int i = 0; i < plps; i++) {
        text_format(key, sizeof key, "plp p%d.subframe", i);
        text_format(value, sizeof value, "s%d", i % subframes);
        scenario_say(&scenario, key, value);
        text_format(key, sizeof key, "plp p%d.subslices", i);
        scenario_say(&scenario, key, random_bits(random) % 2 ? "1" : "40");
        text_format(key, sizeof key, "plp p%d.interleaver", i);
        scenario_say(&scenario, key, random_bits(random) % 2 ? "CTI 512" : "HTI 8");
        if (random_bits(random) % 2) {
            text_format(key, sizeof key, "plp p%d.share_percent", i);
            scenario_say(&scenario, key, "7.5");
        }
    }
    transmission_repair(&scenario.transmission);
    return scenario;
}

static void mark(char *used, const struct slot *slot)
{
    for (long k = 0; k < slot->cells; k++) {
        long at =
            slot->start + k / slot->subslice_cells * slot->interval + k % slot->subslice_cells;
        assert_int_equal(used[at]++, 0);
    }
}

static void cells_of_pipes_and_dummies_add_up_to_the_pool(void **state)
{
    (void)state;
    struct random random = random_seeded(14, 0);
    int built = 0;
    for (int i = 0; i < 60; i++) {
        struct scenario scenario = drawn(&random);
        const struct transmission *t = &scenario.transmission;
        static struct frame frame;
        if (frame_build(t, &frame, NULL) != STATUS_OK) {
            continue;
        }
        built++;
        long all = 0;
        for (int s = 0; s < transmission_subframes(t); s++) {
            const struct pool *pool = &frame.pools[s];
            char *used = calloc((size_t)pool->cells, 1);
            long dummies = pool->cells;
            for (int p = 0; p < transmission_plps(t); p++) {
                if (frame.slots[p].subframe == s) {
                    mark(used, &frame.slots[p]);
                    dummies -= frame.slots[p].cells;
                }
            }
            free(used);
            assert_int_equal(dummies, pool->dummies);
            assert_true(dummies >= 0);
            /* Null cells of boundary symbols are counted in neither. */
            long null =
                pool->boundary_symbols * (pool->counts.boundary_total - pool->counts.boundary);
            long carried = pool->cells + null - (s == 0 ? frame.preamble_payload : 0);
            assert_int_equal(carried,
                             (long)(pool->symbols - pool->boundary_symbols) * pool->counts.data +
                                 (long)pool->boundary_symbols * pool->counts.boundary_total);
            all += pool->cells;
        }
        assert_int_equal(all, frame.cells);
    }
    assert_true(built > 50);
}

static void two_pipes_of_one_code_have_the_rate_of_one(void **state)
{
    (void)state;
    struct scenario one = scenario_default(), two = scenario_default();
    static struct frame frame;
    scenario_say(&one, "plp a.rate", "7/15");
    scenario_say(&one, "frame.l1_detail_bits", "400");
    scenario_say(&two, "plp a.rate", "7/15");
    scenario_say(&two, "plp b.rate", "7/15");
    scenario_say(&two, "plp a.share_percent", "23");
    scenario_say(&two, "frame.l1_detail_bits", "400");
    assert_int_equal(frame_build(&one.transmission, &frame, NULL), STATUS_OK);
    double whole = plp_carried(&one.transmission, &frame, 0).net_mbps;
    assert_int_equal(frame_build(&two.transmission, &frame, NULL), STATUS_OK);
    double parts = plp_carried(&two.transmission, &frame, 0).net_mbps +
                   plp_carried(&two.transmission, &frame, 1).net_mbps;
    assert_near(parts, whole, 1e-12 * whole, "one pool");
}

static void the_core_needs_less_and_the_enhanced_more_the_deeper_it_lies(void **state)
{
    (void)state;
    for (double alone_db = -6.0; alone_db <= 20.0; alone_db += 0.5) {
        for (int code = 1; code < INJECTION_LEVELS; code++) {
            double db = injection_db(code), before = injection_db(code - 1);
            double core = layered_core_snr_db(alone_db, db);
            assert_true(core <= layered_core_snr_db(alone_db, before));
            assert_true(core > alone_db);
            if (alone_db != db) { /* at which rounding decides */
                assert_int_equal(isfinite(core), alone_db < db);
            }
            assert_true(layered_enhanced_snr_db(alone_db, db) >
                        layered_enhanced_snr_db(alone_db, before));
        }
        if (alone_db < 2.0) {
            assert_between(layered_core_snr_db(alone_db, 25.0) - alone_db, 0.0, 0.04,
                           "a layer 25 dB below");
        }
    }
}

static void layers_need_what_the_formulas_published_examples_give(void **state)
{
    (void)state;
    /* From what the codes need alone; an open receiver gives 3.91 and 12.98 dB of SNR more. */
    assert_near(layered_core_snr_db(4.6, 5.0), 16.35, 0.05, "published by an open receiver");
    assert_near(layered_core_snr_db(2.5, 5.0), 7.28, 0.005, "published by an open receiver");
    assert_near(layered_core_snr_db(-1.70, 2.0), 2.84, 0.005, "A/327 Table 4.3, by its IL of 2 dB");
    assert_near(layered_enhanced_snr_db(12.88, 2.0), 17.00, 0.005,
                "A/327 Table 4.3, by its IL of 2 dB");
    static const double extra[][2] = {
        {0, 3.01}, {2, 4.12}, {3, 4.76},   {3.5, 5.10}, {4, 5.46},   {4.5, 5.82}, {5, 6.19},
        {6, 6.97}, {8, 8.64}, {10, 10.41}, {15, 15.14}, {20, 20.04}, {25, 25.01}};
    for (size_t i = 0; i < sizeof extra / sizeof extra[0]; i++) {
        assert_near(layered_enhanced_snr_db(0.0, extra[i][0]), extra[i][1], 0.006,
                    "10 log10(1 + 10^(IL/10))");
    }
}

/* The curve of a layer and the closed form say the same of steady channels. */
static void a_layers_curve_agrees_with_its_closed_form(void **state)
{
    (void)state;
    struct information_curve alone = information_curve_of(QPSK, 6);
    for (int code = 6; code < INJECTION_LEVELS; code++) {
        double db = injection_db(code);
        struct information_curve core = layered_core_curve(alone, db);
        struct information_curve over = layered_enhanced_curve(alone, db);
        for (double snr_db = -5.0; snr_db < 2.0; snr_db += 1.0) {
            double bits = information_curve_bits(&alone, snr_db);
            assert_near(information_curve_snr_db(&core, bits), layered_core_snr_db(snr_db, db),
                        1e-6, "core");
            assert_near(information_curve_snr_db(&over, bits), layered_enhanced_snr_db(snr_db, db),
                        1e-6, "enhanced");
        }
    }
}

static void each_pipe_has_its_own_verdict(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    scenario_say(&scenario, "receiver.snr_db", "15");
    scenario_say(&scenario, "plp phone.constellation", "QPSK");
    scenario_say(&scenario, "plp phone.rate", "6/15");
    scenario_say(&scenario, "plp phone.share_percent", "30");
    scenario_say(&scenario, "plp roof.rate", "10/15");
    struct report *report = malloc(sizeof *report);
    struct pipes pipes;
    assert_int_equal(report_make(&scenario, report, &fault), STATUS_OK);
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, &fault), STATUS_OK);
    assert_int_equal(pipes.count, 2);
    const struct verdict *phone = &pipes.verdicts[0], *roof = &pipes.verdicts[1];
    const struct verdict *whole = &report->verdicts.of[GENERATION_SECOND];
    assert_true(phone->works && !roof->works);
    assert_near(phone->margin_db, whole->margin_db, 0.0, "the most robust one's");
    assert_near(phone->facts.net_mbps + roof->facts.net_mbps, whole->facts.net_mbps, 1e-9, "sum");
    assert_near(phone->facts.plp_share, 0.3, 1e-5, "as said");
    assert_string_equal(phone->facts.plp, "phone");
    pipes_free(&pipes);
    assert_int_equal(pipes_make(&scenario, GENERATION_FIRST, &pipes, &fault), STATUS_OK);
    assert_int_equal(pipes.count, 0);
    pipes_free(&pipes);
    free(report);
}

/* Where a layer leaves its core less than its code needs, that is said, and no number stands for
 * it. */
static void a_core_under_too_strong_a_layer_is_told_its_ceiling(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    struct text words = {0};
    scenario_say(&scenario, "receiver.snr_db", "30");
    scenario_say(&scenario, "plp core.constellation", "QPSK");
    scenario_say(&scenario, "plp core.rate", "9/15");
    scenario_say(&scenario, "plp over.layer", "enhanced");
    scenario_say(&scenario, "plp over.over", "core");
    scenario_say(&scenario, "plp over.injection_db", "1");
    assert_int_equal(verdicts_make(&scenario, verdicts, NULL), STATUS_OK);
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    assert_false(second->works);
    assert_true(isinf(second->reception.needed_db));
    verdict_words(verdicts, &words);
    verdict_words_decision(verdicts, &words);
    verdict_words_steps(second, &words);
    assert_non_null(strstr(text_string(&words), "no SNR suffices"));
    assert_non_null(strstr(text_string(&words), "leaves the core 1.0 dB at most"));
    assert_null(strstr(text_string(&words), "inf"));
    assert_null(strstr(text_string(&words), "cancel"));
    text_free(&words);
    free(verdicts);
}

static void deeper_interleavers_survive_longer_fades(void **state)
{
    (void)state;
    double before = 0.0;
    static const char *const depths[] = {"none", "CTI 512", "CTI 724", "CTI 887", "CTI 1024"};
    for (int i = 0; i < 5; i++) {
        struct scenario scenario = scenario_default();
        struct verdict *verdict = malloc(sizeof *verdict);
        scenario_say(&scenario, "receiver.snr_db", "40");
        scenario_say(&scenario, "mode.rate", "6/15");
        scenario_say(&scenario, "mode.interleaver", depths[i]);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, verdict, NULL), STATUS_OK);
        double fade = verdict->fare.facts.fade_ms, span = verdict->facts.interleaver_ms;
        assert_true(i == 0 ? fade == 0.0 : fade > before);
        assert_true(fade <= span * (1.0 - 6.0 / 15.0) + 1e-9);
        before = fade;
        free(verdict);
    }
}

/* Of two PLPs side by side on the carriers, one has the dip of an echo and the other the rise. */
static void without_the_frequency_interleaver_a_pipe_has_its_own_carriers(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"receiver.snr_db", "20"},          {"echo e.delay_us", "0.08"},
        {"echo e.level_db", "-1"},          {"echo e.phase_deg", "90"},
        {"plp low.subslices", "60"},        {"plp high.subslices", "60"},
        {"subframe s.symbols", "62"},       {"subframe s.fft", "16K"},
        {"plp low.rate", "7/15"},           {"plp high.rate", "7/15"},
        {"subframe s.last_boundary", "no"},
    };
    struct scenario scenario = scenario_default();
    static struct frame frame;
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        scenario_say(&scenario, keys[i][0], keys[i][1]);
    }
    assert_int_equal(frame_build(&scenario.transmission, &frame, NULL), STATUS_OK);
    int data = frame.pools[0].counts.data, half = data / 2;
    char text[32];
    static const char *const names[] = {"low", "high"};
    for (int i = 0; i < 2; i++) {
        char key[64];
        text_format(key, sizeof key, "plp %s.subslice_interval", names[i]);
        text_format(text, sizeof text, "%d", data);
        scenario_say(&scenario, key, text);
        text_format(key, sizeof key, "plp %s.cells", names[i]);
        text_format(text, sizeof text, "%d", 60 * half);
        scenario_say(&scenario, key, text);
        text_format(key, sizeof key, "plp %s.start", names[i]);
        text_format(text, sizeof text, "%d", frame.preamble_payload + i * half);
        scenario_say(&scenario, key, text);
    }
    struct pipes pipes;
    double margins_db[2][2];
    for (int off = 0; off < 2; off++) {
        scenario_say(&scenario, "subframe s.frequency_interleaver", off ? "no" : "yes");
        assert_int_equal(frame_build(&scenario.transmission, &frame, NULL), STATUS_OK);
        for (int i = 0; i < 2; i++) {
            struct carrier_part part = plp_carriers(&scenario.transmission, &frame, i);
            assert_near(part.from, off && i == 1 ? 0.5 : 0.0, 1e-3, "half of the carriers");
            assert_near(part.to, off && i == 0 ? 0.5 : 1.0, 1e-3, "half of the carriers");
        }
        assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
        for (int i = 0; i < 2; i++) {
            margins_db[off][i] = pipes.verdicts[i].margin_db;
        }
        pipes_free(&pipes);
    }
    assert_near(margins_db[0][0], margins_db[0][1], 0.01, "both have all carriers");
    double worse = fmin(margins_db[1][0], margins_db[1][1]);
    double better = fmax(margins_db[1][0], margins_db[1][1]);
    assert_true(worse < margins_db[0][0] - 1.0 && better > margins_db[0][0] + 1.0);
}

/* An echo that turns within the interleaver's span is averaged; one that turns slower is a matter
 * of the moment. */
static void what_turns_within_the_span_is_averaged(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"receiver.snr_db", "22"},
        {"echo e.delay_us", "0.05"},
        {"echo e.level_db", "-2"},
        {"receiver.positions", "64"},
    };
    double spread_db[3];
    static const char *const dopplers[] = {"0.2", "20", "20"};
    static const char *const interleavers[] = {"CTI 1024", "CTI 1024", "none"};
    for (int i = 0; i < 3; i++) {
        struct scenario scenario = scenario_default();
        struct verdict *verdict = malloc(sizeof *verdict);
        for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
            scenario_say(&scenario, keys[k][0], keys[k][1]);
        }
        scenario_say(&scenario, "echo e.doppler_hz", dopplers[i]);
        scenario_say(&scenario, "mode.interleaver", interleavers[i]);
        assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, verdict, NULL), STATUS_OK);
        spread_db[i] = verdict->margin_db - verdict->margin_99_db;
        free(verdict);
    }
    assert_true(spread_db[0] > 1.0);          /* 5 s a turn: where it stands counts */
    assert_true(spread_db[1] < 0.3);          /* four turns within 200 ms */
    assert_true(spread_db[2] > spread_db[1]); /* nothing is averaged without interleaving */
}

static void every_preamble_structure_is_found_again(void **state)
{
    (void)state;
    for (int value = 0; value < SIGNALLING_STRUCTURES; value++) {
        struct preamble_structure told = signalling_structure_of(value);
        struct transmission transmission = transmission_default();
        transmission.subframes[0].waveform.fft = told.fft;
        transmission.subframes[0].waveform.guard = told.guard;
        transmission.subframes[0].waveform.pilots = told.dx == 3 ? SP3_2 : SP8_2;
        transmission.signalling.l1_basic_mode = told.l1_basic_mode;
        assert_true(guard_is_allowed(told.fft, told.guard));
        assert_int_equal(signalling_structure(&transmission), value);
    }
    struct transmission transmission = transmission_default();
    transmission.signalling.l1_basic_mode = 6;
    assert_int_equal(signalling_structure(&transmission), -1);
}

static double needed_with(const char *bonding, const char *there_db)
{
    struct scenario scenario = scenario_default();
    struct reception reception;
    scenario_say(&scenario, "plp a.rate", "7/15");
    scenario_say(&scenario, "plp a.bonded_snr_db", there_db);
    scenario_say(&scenario, "frame.bonding", bonding);
    assert_int_equal(system_of(&scenario, GENERATION_SECOND)
                         ->receive(&scenario, PIPE_MOST_ROBUST, &reception, NULL),
                     STATUS_OK);
    return reception.needed_db;
}

static void a_bonded_channel_helps_where_cells_are_averaged_alone(void **state)
{
    (void)state;
    char same[32];
    double alone_db = needed_with("none", "none");
    assert_near(needed_with("plain", "none"), alone_db, 0.0, "alike");
    assert_near(needed_with("plain", "40"), alone_db, 0.0, "each decodes its own");
    assert_false(isfinite(needed_with("plain", "0")));
    text_format(same, sizeof same, "%.12f", alone_db);
    assert_near(needed_with("averaged", same), alone_db, 1e-6, "both have what is needed");
    double before_db = INFINITY;
    for (int there_db = (int)alone_db - 6; there_db < 40; there_db += 2) {
        char text[32];
        text_format(text, sizeof text, "%d", there_db);
        double db = needed_with("averaged", text);
        assert_true(db <= before_db);
        before_db = db;
    }
    assert_true(before_db < alone_db - 3.0);
    struct scenario one = scenario_default(), two = one;
    static struct frame frame;
    scenario_say(&one, "mode.l1_detail_bits", "400");
    scenario_say(&two, "mode.l1_detail_bits", "400");
    scenario_say(&two, "frame.bonding", "plain");
    assert_int_equal(frame_build(&one.transmission, &frame, NULL), STATUS_OK);
    double rate = plp_carried(&one.transmission, &frame, 0).net_mbps;
    assert_int_equal(frame_build(&two.transmission, &frame, NULL), STATUS_OK);
    assert_near(plp_carried(&two.transmission, &frame, 0).net_mbps, 2.0 * rate, 1e-9, "both");
}

static void signalling_is_as_robust_as_its_table(void **state)
{
    (void)state;
    assert_near(atsc3_l1_basic_snr_db(1), -9.2, 0.5, "A/327 Table 4.10 (published)");
    for (int mode = 1; mode < 7; mode++) {
        assert_true(atsc3_l1_basic_snr_db(mode) < atsc3_l1_basic_snr_db(mode + 1));
        assert_true(atsc3_l1_detail_snr_db(mode, 320) < atsc3_l1_detail_snr_db(mode + 1, 320));
        for (int bits = 200; bits < 1400; bits += 8) {
            assert_true(atsc3_l1_detail_snr_db(mode, bits) <=
                        atsc3_l1_detail_snr_db(mode, bits + 8));
        }
    }
    static const double losses[][3] = {{0.0, 9.0, 0.58},  {0.0, 12.0, 0.28},  {0.0, 15.0, 0.14},
                                       {0.0, 18.0, 0.07}, {0.0, 30.0, 0.004}, {-9.2, 9.0, 0.065}};
    for (size_t i = 0; i < sizeof losses / sizeof losses[0]; i++) {
        assert_near(atsc3_identification_loss_db(losses[i][0], losses[i][1]), losses[i][2], 0.006,
                    "g / (1 - g 10^(-IL/10)), computed");
    }
    assert_false(isfinite(atsc3_identification_loss_db(9.5, 9.0)));
    struct scenario scenario = scenario_default();
    assert_near(atsc3_signalling_snr_db(&scenario.transmission), -8.18, 1e-9,
                "L1-Detail, 200 bits");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cells_of_pipes_and_dummies_add_up_to_the_pool),
        cmocka_unit_test(two_pipes_of_one_code_have_the_rate_of_one),
        cmocka_unit_test(the_core_needs_less_and_the_enhanced_more_the_deeper_it_lies),
        cmocka_unit_test(layers_need_what_the_formulas_published_examples_give),
        cmocka_unit_test(a_layers_curve_agrees_with_its_closed_form),
        cmocka_unit_test(each_pipe_has_its_own_verdict),
        cmocka_unit_test(a_core_under_too_strong_a_layer_is_told_its_ceiling),
        cmocka_unit_test(deeper_interleavers_survive_longer_fades),
        cmocka_unit_test(a_bonded_channel_helps_where_cells_are_averaged_alone),
        cmocka_unit_test(without_the_frequency_interleaver_a_pipe_has_its_own_carriers),
        cmocka_unit_test(what_turns_within_the_span_is_averaged),
        cmocka_unit_test(every_preamble_structure_is_found_again),
        cmocka_unit_test(signalling_is_as_robust_as_its_table),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
