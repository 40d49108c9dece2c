/* Where the proof of a mode expects the fall of its error rate, and short simulations around it. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "physics/information/layers.h"
#include "physics/information/required_snr.h"
#include "study/proof/proof.h"

static const struct run_limits few = {
    .frames = 60, .errors = 0, .seed = 7, .threads = 1, .part = 1, .parts = 1};

static struct scenario short_qpsk(void)
{
    struct scenario scenario = scenario_default();
    scenario.transmission.plps[0].code.length = LENGTH_16200;
    scenario.transmission.plps[0].code.constellation = QPSK;
    scenario.transmission.plps[0].code.rate_15ths = 8;
    return scenario;
}

static void add_echo(struct scenario *scenario, double delay_us, double level_db, double phase_deg)
{
    scenario->echoes[scenario->echo_count++] =
        (struct echo){.delay_us = delay_us, .level_db = level_db, .phase_deg = phase_deg};
}

static struct proof_choice choice_of(enum generation generation, enum chain_channel channel)
{
    struct proof_choice choice = proof_choice_default();
    choice.generation = generation;
    choice.channel = channel;
    return choice;
}

static double expected_db(const struct scenario *scenario, enum generation generation,
                          enum chain_channel channel)
{
    struct proof_choice choice = choice_of(generation, channel);
    double snr_db = NAN;
    assert_int_equal(proof_expected_snr_db(scenario, &choice, &snr_db, NULL), STATUS_OK);
    return snr_db;
}

static void names_lead_there_and_back(void **state)
{
    (void)state;
    for (int i = 0; i < CHANNEL_COUNT; i++) {
        assert_int_equal(proof_channel_from_name(proof_channel_name((enum chain_channel)i)), i);
    }
    assert_int_equal(proof_decoder_from_name("Box-Plus"), LDPC_BOX_PLUS);
    assert_int_equal(proof_demapper_from_name("max-log"), DEMAP_MAX_LOG);
    assert_int_equal(proof_other_layer_from_name("known"), OTHER_IS_KNOWN);
    assert_int_equal(proof_channel_from_name("fading"), -1);
}

static void ofdm_is_expected_at_its_ideal_snr(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    assert_near(expected_db(&scenario, GENERATION_SECOND, CHANNEL_AWGN),
                ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_AWGN), 0.0, "the threshold table");
    assert_near(expected_db(&scenario, GENERATION_SECOND, CHANNEL_RAYLEIGH),
                ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_RAYLEIGH), 0.0, "the threshold table");
    /* Without echoes the profile's channel is white noise, to a search's last step. */
    assert_near(expected_db(&scenario, GENERATION_SECOND, CHANNEL_CARRIERS),
                ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_AWGN), 0.01, "the threshold table");
    add_echo(&scenario, 20.0, 0.0, 90.0);
    assert_between(expected_db(&scenario, GENERATION_SECOND, CHANNEL_CARRIERS),
                   ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_AWGN) + 0.5,
                   ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_RAYLEIGH) + 3.0,
                   "two equal rays cost more than one, and end near fading");
}

static void eight_vsb_is_expected_at_14_9_db_behind_the_equaliser(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    assert_near(expected_db(&scenario, GENERATION_FIRST, CHANNEL_AWGN), 14.9, 0.0, "ATSC A/54A");
    assert_near(expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS), 14.9, 0.01,
                "ATSC A/54A; without echoes the equaliser changes nothing");
    add_echo(&scenario, 5.0, -6.0, 0.0);
    double one_db = expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS);
    assert_between(one_db, 15.0, 19.0, "an echo costs some dB");
    /* An implementation loss is not simulated, so not expected either; learning is. */
    scenario.first.implementation_loss_db = 2.0;
    assert_near(expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS), one_db, 0.0,
                "not simulated");
    scenario.first.adaptation_step = 0.1;
    assert_between(expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS) - one_db, 0.15, 0.35,
                   "0.22 dB of noise");
    scenario.first.adaptation_step = 0.0;
    scenario.first.feedback = FEEDBACK_ERROR_FREE;
    double free_db = expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS);
    scenario.first.feedback = FEEDBACK_SLICER;
    assert_between(one_db - free_db, 0.1, 1.0, "tests/proof/receiver-table.txt: 0.3 to 0.5 dB");
    assert_between(expected_db(&scenario, GENERATION_FIRST, CHANNEL_CARRIERS) - one_db, 0.5, 2.0,
                   "tests/proof/receiver-table.txt: 1.0 to 1.2 dB");
}

static void a_hopeless_channel_is_said(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    add_echo(&scenario, 90.0, 0.0, 0.0); /* outside the equaliser's reach, inside the guard */
    struct proof_choice first = choice_of(GENERATION_FIRST, CHANNEL_CARRIERS);
    double snr_db;
    struct fault fault;
    assert_int_equal(proof_expected_snr_db(&scenario, &first, &snr_db, &fault), STATUS_NO_SOLUTION);
    assert_string_equal(fault.wrong, "no SNR suffices with these echoes");
    assert_string_equal(fault.allowed, "give --snr to see error rates");
    scenario.echoes[0].delay_us = 2000.0; /* outside the guard interval too */
    struct proof_choice second = choice_of(GENERATION_SECOND, CHANNEL_CARRIERS);
    assert_int_equal(proof_expected_snr_db(&scenario, &second, &snr_db, &fault),
                     STATUS_NO_SOLUTION);
    scenario.echoes[0] = (struct echo){.phase_deg = 180.0}; /* the main signal's opposite */
    for (int g = 0; g < GENERATION_COUNT; g++) {
        struct proof_choice choice = choice_of((enum generation)g, CHANNEL_CARRIERS);
        struct run_counts counts;
        assert_int_equal(proof_run(&scenario, &choice, 20.0, &few, NULL, &counts, &fault),
                         STATUS_NO_SOLUTION);
        assert_string_equal(fault.place, "echo");
        assert_int_equal(counts.frames, 0);
    }
}

/* The share of words or segments lost; 8-VSB counts whole fields of segments, so more than asked.
 */
static double rate_at(const struct scenario *scenario, const struct proof_choice *choice,
                      double snr_db)
{
    struct run_counts counts;
    struct fault fault;
    assert_int_equal(proof_run(scenario, choice, snr_db, &few, NULL, &counts, &fault), STATUS_OK);
    assert_true(counts.frames >= few.frames);
    return (double)counts.frame_errors / (double)counts.frames;
}

/* 2 dB below nearly all fails, 2 dB above nothing: what no chance of 60 words can turn round. */
static void the_fall_lies_where_it_is_expected(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    add_echo(&scenario, 3.0, -3.0, 40.0);
    for (int g = 0; g < GENERATION_COUNT; g++) {
        for (int channel = CHANNEL_AWGN; channel < CHANNEL_COUNT; channel++) {
            if (g == GENERATION_FIRST && channel == CHANNEL_RAYLEIGH) {
                continue;
            }
            struct proof_choice choice = choice_of((enum generation)g, (enum chain_channel)channel);
            double middle_db = expected_db(&scenario, choice.generation, choice.channel);
            assert_between(rate_at(&scenario, &choice, middle_db - 2.0), 0.7, 1.0,
                           "well below the expected fall");
            assert_between(rate_at(&scenario, &choice, middle_db + 2.0), 0.0, 0.0,
                           "well above the expected fall");
        }
    }
}

static void the_words_tell_runs_apart(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    add_echo(&scenario, 3.0, -3.0, 40.0);
    struct proof_choice choice = choice_of(GENERATION_SECOND, CHANNEL_CARRIERS);
    choice.demapper = DEMAP_MAX_LOG;
    char words[256];
    proof_describe(&scenario, &choice, words, sizeof words);
    assert_string_equal(words, "OFDM 16200 QPSK 8/15 BCH, sum-product 50 max-log, profile with 1 "
                               "echo, 16K GI5_1024 SP12_2");
    choice.generation = GENERATION_FIRST;
    proof_describe(&scenario, &choice, words, sizeof words);
    assert_string_equal(words, "8-VSB, profile with 1 echo, equaliser from -29.5 to +38.5 us, "
                               "trellis feedback");
}

static void identify(const struct scenario *scenario, enum generation generation, char *words,
                     size_t size)
{
    struct proof_choice choice = choice_of(generation, CHANNEL_CARRIERS);
    struct fault fault;
    assert_int_equal(proof_identify(scenario, &choice, words, size, &fault), STATUS_OK);
}

/* Whether runs of both scenarios have the same name. */
static bool same_run(const struct scenario *one, const struct scenario *other,
                     enum generation generation)
{
    char words[2][256];
    identify(one, generation, words[0], sizeof words[0]);
    identify(other, generation, words[1], sizeof words[1]);
    return strcmp(words[0], words[1]) == 0;
}

static void all_that_enters_the_channel_is_in_the_name(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk(), other;
    add_echo(&scenario, 3.0, -3.0, 40.0);
    char words[256];
    identify(&scenario, GENERATION_SECOND, words, sizeof words);
    assert_non_null(strstr(words, ", profile with 1 echo, 16K GI5_1024 SP12_2" PROOF_CHANNEL_MARK));
    const size_t fields[] = {offsetof(struct echo, delay_us), offsetof(struct echo, level_db),
                             offsetof(struct echo, phase_deg), offsetof(struct echo, doppler_hz)};
    for (size_t i = 0; i < sizeof fields / sizeof fields[0]; i++) {
        other = scenario;
        double *field = (double *)(void *)((char *)&other.echoes[0] + fields[i]);
        *field += 1e-9;
        assert_false(same_run(&scenario, &other, GENERATION_SECOND));
        assert_false(same_run(&scenario, &other, GENERATION_FIRST));
    }
    other = scenario;
    other.transmission.subframes[0].waveform.reduction = 1;
    assert_false(same_run(&scenario, &other, GENERATION_SECOND));
    assert_true(same_run(&scenario, &other, GENERATION_FIRST));
    other = scenario;
    scenario_set_bandwidth(&other, 8);
    assert_false(same_run(&scenario, &other, GENERATION_SECOND));
    other = scenario;
    other.transmission.plps[0].interleaver = CTI_512;
    assert_false(same_run(&scenario, &other, GENERATION_SECOND));
    other = scenario;
    other.first.equaliser_after_us += 1e-9;
    assert_false(same_run(&scenario, &other, GENERATION_FIRST));
    assert_true(same_run(&scenario, &other, GENERATION_SECOND));
    other = scenario; /* what the receiver hears besides is none of the run's */
    other.receiver.noise_figure_db += 1.0;
    other.echoes[0].phase_deg = 0.0;
    scenario.echoes[0].phase_deg = -0.0;
    assert_true(same_run(&scenario, &other, GENERATION_SECOND));
}

static void what_cannot_be_simulated_is_refused(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct run_counts counts;
    struct fault fault;
    struct proof_choice choice = choice_of(GENERATION_FIRST, CHANNEL_RAYLEIGH);
    assert_int_equal(proof_run(&scenario, &choice, 10.0, &few, NULL, &counts, &fault),
                     STATUS_ILLEGAL);
    assert_string_equal(fault.place, "--channel");
    choice = proof_choice_default();
    assert_int_equal(proof_run(&scenario, &choice, NAN, &few, NULL, &counts, &fault),
                     STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "--snr");
    choice.iterations = 0;
    assert_int_equal(proof_run(&scenario, &choice, 10.0, &few, NULL, &counts, &fault),
                     STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "--iterations");
}

/* What cannot be received, sent or heard has no run and no name. */
static void what_cannot_be_has_no_run(void **state)
{
    (void)state;
    struct scenario scenario = short_qpsk();
    struct run_counts counts;
    struct fault fault;
    char words[256];
    double snr_db;
    struct proof_choice choice = choice_of(GENERATION_SECOND, CHANNEL_CARRIERS);
    add_echo(&scenario, 0.0, 0.0, 180.0);
    assert_int_equal(proof_expected_snr_db(&scenario, &choice, &snr_db, &fault),
                     STATUS_NO_SOLUTION);
    assert_string_equal(fault.wrong, "the rays cancel each other");
    scenario.echoes[0].delay_us = 1e9;
    assert_int_not_equal(proof_run(&scenario, &choice, 10.0, &few, NULL, &counts, &fault),
                         STATUS_OK);
    assert_int_not_equal(proof_identify(&scenario, &choice, words, sizeof words, &fault),
                         STATUS_OK);
    scenario.echoes[0].delay_us = 1.0;
    scenario.transmission.plps[0].interleaver = HTI_1;
    scenario.transmission.plps[0].code.constellation = QAM256; /* more memory than there is */
    assert_int_equal(proof_run(&scenario, &choice, 10.0, &few, NULL, &counts, &fault),
                     STATUS_ILLEGAL);
    assert_int_equal(proof_identify(&scenario, &choice, words, sizeof words, &fault),
                     STATUS_ILLEGAL);
    choice.pipe = -1;
    assert_int_equal(proof_check(&scenario, &choice, &fault), STATUS_OUT_OF_RANGE);
    assert_int_equal(proof_run(&scenario, &choice, 10.0, &few, NULL, &counts, &fault),
                     STATUS_OUT_OF_RANGE);
    choice.pipe = 0;
    const struct run_limits none = {.frames = 0, .threads = 1, .part = 1, .parts = 1};
    assert_int_not_equal(proof_run(&scenario, &choice, 10.0, &none, NULL, &counts, &fault),
                         STATUS_OK);
    assert_int_equal(
        proof_run(&scenario, &choice, PROOF_SNR_MAX_DB + 1.0, &few, NULL, &counts, &fault),
        STATUS_OUT_OF_RANGE);
    assert_int_equal(
        proof_run(&scenario, &choice, PROOF_SNR_MIN_DB - 1.0, &few, NULL, &counts, &fault),
        STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "--snr");
}

/* A core and what lies over it: each is expected where its layers need it, and its name says so. */
static void layers_are_expected_where_both_are_heard(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"plp core.constellation", "QPSK"}, {"plp core.rate", "6/15"},
        {"plp core.length", "16200"},       {"plp over.layer", "enhanced"},
        {"plp over.over", "core"},          {"plp over.constellation", "QPSK"},
        {"plp over.length", "16200"},       {"plp over.rate", "8/15"},
        {"plp over.injection_db", "3"},
    };
    struct scenario scenario = scenario_default();
    struct fault fault = {0};
    char words[512];
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        assert_int_equal(scenario_set(&scenario, keys[i][0], keys[i][1], NULL), STATUS_OK);
    }
    double core_db = ideal_snr_db(LENGTH_16200, QPSK, 6, FADING_AWGN);
    double over_db = ideal_snr_db(LENGTH_16200, QPSK, 8, FADING_AWGN), snr_db;
    struct proof_choice choice = choice_of(GENERATION_SECOND, CHANNEL_AWGN);
    choice.pipe = proof_pipe_from_name(&scenario, "Core");
    assert_int_equal(choice.pipe, 0);
    assert_int_equal(proof_expected_snr_db(&scenario, &choice, &snr_db, &fault), STATUS_OK);
    assert_near(snr_db, layered_core_snr_db(core_db, 3.0), 1e-9, "the other layer as noise");
    choice.other = OTHER_IS_KNOWN;
    double known_db;
    assert_int_equal(proof_expected_snr_db(&scenario, &choice, &known_db, &fault), STATUS_OK);
    assert_between(snr_db - known_db, 0.01, 0.5, "QPSK tells itself from noise");
    proof_describe(&scenario, &choice, words, sizeof words);
    assert_non_null(strstr(words, "under 16200 QPSK 8/15 at 3 dB, other layer known"));
    choice.pipe = proof_pipe_from_name(&scenario, "over");
    assert_int_equal(proof_expected_snr_db(&scenario, &choice, &snr_db, &fault), STATUS_OK);
    assert_near(snr_db, layered_enhanced_snr_db(over_db, 3.0), 1e-9, "noise alone");
    assert_int_equal(proof_pipe_from_name(&scenario, "nobody"), -1);
    /* Noise of that power lets no core of 8/15 through. */
    assert_int_equal(scenario_set(&scenario, "plp core.rate", "8/15", NULL), STATUS_OK);
    assert_int_equal(scenario_set(&scenario, "plp over.injection_db", "0", NULL), STATUS_OK);
    choice = choice_of(GENERATION_SECOND, CHANNEL_AWGN);
    assert_int_equal(proof_expected_snr_db(&scenario, &choice, &snr_db, &fault),
                     STATUS_NO_SOLUTION);
    assert_string_equal(fault.place, "plp.injection_db");
    choice.pipe = 2;
    assert_int_equal(proof_check(&scenario, &choice, &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "--plp");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(names_lead_there_and_back),
        cmocka_unit_test(ofdm_is_expected_at_its_ideal_snr),
        cmocka_unit_test(eight_vsb_is_expected_at_14_9_db_behind_the_equaliser),
        cmocka_unit_test(a_hopeless_channel_is_said),
        cmocka_unit_test(the_fall_lies_where_it_is_expected),
        cmocka_unit_test(the_words_tell_runs_apart),
        cmocka_unit_test(all_that_enters_the_channel_is_in_the_name),
        cmocka_unit_test(what_cannot_be_simulated_is_refused),
        cmocka_unit_test(what_cannot_be_has_no_run),
        cmocka_unit_test(layers_are_expected_where_both_are_heard),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
