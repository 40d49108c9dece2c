/* Every allocation of a simulation and of what it expects fails in turn. */
#include "support/failing.h"

#include "study/proof/proof.h"

static struct scenario scenario;
static struct proof_choice choice;

/* True where it worked; else memory was short and nothing was counted. */
static int did(enum status status, const struct run_counts *counts, const struct fault *fault)
{
    if (status != STATUS_OK) {
        assert_int_equal(status, STATUS_NO_MEMORY);
        assert_int_equal(fault->status, STATUS_NO_MEMORY);
        assert_int_equal(counts->frames, 0);
    }
    return status == STATUS_OK;
}

static int run_it(void)
{
    const struct run_limits limits = {.frames = 1, .seed = 1, .threads = 1, .part = 1, .parts = 1};
    struct run_counts counts;
    struct fault fault;
    enum status status = proof_run(&scenario, &choice, 30.0, &limits, NULL, &counts, &fault);
    return did(status, &counts, &fault);
}

static int expect_it(void)
{
    struct run_counts counts = {0};
    struct fault fault;
    double snr_db;
    return did(proof_expected_snr_db(&scenario, &choice, &snr_db, &fault), &counts, &fault);
}

static int identify_it(void)
{
    struct run_counts counts = {0};
    struct fault fault;
    char words[256];
    return did(proof_identify(&scenario, &choice, words, sizeof words, &fault), &counts, &fault);
}

static void simulating_says_so(void **state)
{
    (void)state;
    scenario = scenario_default();
    scenario.transmission.plps[0].code.length = LENGTH_16200;
    scenario.transmission.plps[0].code.constellation = QPSK;
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 3.0, .level_db = -12.0};
    choice = proof_choice_default();
    for (int channel = CHANNEL_AWGN; channel < CHANNEL_COUNT; channel++) {
        choice.channel = (enum chain_channel)channel;
        fail_each_allocation(run_it, "OFDM");
    }
    fail_each_allocation(expect_it, "expectation of OFDM");
    fail_each_allocation(identify_it, "the name of a run");
    choice.generation = GENERATION_FIRST;
    fail_each_allocation(run_it, "8-VSB");
    fail_each_allocation(expect_it, "expectation of 8-VSB");
}

static void simulating_layers_says_so(void **state)
{
    (void)state;
    static const char *const keys[][2] = {
        {"plp core.constellation", "QPSK"}, {"plp core.rate", "6/15"},
        {"plp core.length", "16200"},       {"plp over.layer", "enhanced"},
        {"plp over.over", "core"},          {"plp over.length", "16200"},
        {"plp over.constellation", "QPSK"}, {"plp over.injection_db", "8"},
    };
    scenario = scenario_default();
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        assert_int_equal(scenario_set(&scenario, keys[i][0], keys[i][1], NULL), STATUS_OK);
    }
    choice = proof_choice_default();
    choice.pipe = 1;
    choice.other = OTHER_IS_KNOWN;
    fail_each_allocation(run_it, "layers");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(simulating_says_so),
        cmocka_unit_test(simulating_layers_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
