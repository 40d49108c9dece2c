/* PLPs of DVB-T2 as a profile says them: what a report tells of each against what a profile with
 * that code alone tells, and what is refused. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "study/proof/proof.h"
#include "study/report/report.h"

static const char text[] = "[site]\npair = DVB\n"
                           "[plp home]\nconstellation = 256QAM\nrate = 2/3\nshare_percent = 70\n"
                           "[plp pocket]\nconstellation = QPSK\nrate = 1/2\nlength = 16200\n"
                           "rotation = no\n"
                           "[receiver]\nsnr_db = 20\n"
                           "[echo a]\ndelay_us = 3\nlevel_db = -6\nphase_deg = 40\n";

static struct scenario read_all(const char *profile_text)
{
    struct profile profile;
    struct fault fault = {0};
    enum status status = profile_read_text(profile_text, strlen(profile_text), &profile, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
    }
    assert_int_equal(status, STATUS_OK);
    struct scenario scenario = profile.scenario;
    profile_free(&profile);
    return scenario;
}

/* What a PLP needs and spares does not hang on the other; rates and cells add up. */
static void each_plp_fares_as_if_it_were_alone(void **state)
{
    (void)state;
    struct scenario scenario = read_all(text);
    struct pipes pipes;
    struct verdict *whole = malloc(sizeof *whole), *alone = malloc(sizeof *alone);
    assert_true(whole != NULL && alone != NULL);
    assert_int_equal(pipes_make(&scenario, GENERATION_SECOND, &pipes, NULL), STATUS_OK);
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, whole, NULL), STATUS_OK);
    assert_int_equal(pipes.count, 2);
    double mbps = 0.0;
    for (int i = 0; i < pipes.count; i++) {
        const struct verdict *pipe = &pipes.verdicts[i];
        struct scenario single = scenario;
        single.dvbt2.plp_count = 0;
        single.dvbt2.code = scenario.dvbt2.plps[i].code;
        assert_int_equal(verdict_make(&single, GENERATION_SECOND, alone, NULL), STATUS_OK);
        assert_string_equal(pipe->facts.plp, scenario.dvbt2.plps[i].name);
        assert_near(pipe->margin_db, alone->margin_db, 1e-9, "the same code alone");
        assert_near(pipe->facts.required_snr_db, alone->facts.required_snr_db, 0.0, "the same");
        assert_true(pipe->facts.net_mbps < alone->facts.net_mbps);
        mbps += pipe->facts.net_mbps;
    }
    assert_near(whole->facts.net_mbps, mbps, 1e-9, "the sum of both");
    assert_string_equal(whole->facts.plp, "pocket"); /* the most robust one */
    assert_near(whole->margin_db, pipes.verdicts[1].margin_db, 0.0, "and its margin");
    assert_true(pipes.verdicts[1].margin_db > pipes.verdicts[0].margin_db + 10.0);
    pipes_free(&pipes);
    free(whole);
    free(alone);
}

static void what_it_does_not_have_is_no_key(void **state)
{
    (void)state;
    static const char *const keys[] = {"layer",    "over",         "outer",        "interleaver",
                                       "subframe", "injection_db", "bonded_snr_db"};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        struct scenario scenario = read_all(text);
        struct fault fault = {0};
        char key[64];
        text_format(key, sizeof key, "plp home.%s", keys[i]);
        assert_int_equal(scenario_set(&scenario, key, "none", &fault), STATUS_UNKNOWN_NAME);
        assert_string_equal(fault.place, key);
        assert_non_null(strstr(fault.allowed, "rotation"));
    }
}

/* [dvbt2] and [plp] do not say the same; the other pair's sections say nothing. */
static void a_code_is_said_once(void **state)
{
    (void)state;
    static const char both[] = "[dvbt2]\nrate = 1/2\n[plp a]\nrate = 2/3\n[site]\npair = DVB\n";
    static const char other[] = "[mode]\nrate = 9/15\n[plp a]\nrate = 2/3\n[site]\npair = DVB\n";
    static const char atsc[] = "[dvbt2]\nrate = 1/2\n[plp a]\nrate = 9/15\n";
    struct profile profile;
    struct fault fault = {0};
    assert_int_equal(profile_read_text(both, sizeof both - 1, &profile, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "dvbt2.rate");
    struct scenario scenario = read_all(other);
    assert_int_equal(scenario.dvbt2.plp_count, 1);
    assert_int_equal(scenario.dvbt2.plps[0].code.rate, T2_2_3);
    scenario = read_all(atsc);
    assert_int_equal(scenario.transmission.plp_count, 1);
    assert_int_equal(scenario.dvbt2.plp_count, 0);
}

static void a_simulation_finds_them_by_name(void **state)
{
    (void)state;
    struct scenario scenario = read_all(text);
    struct proof_choice choice = proof_choice_default();
    char words[256];
    assert_int_equal(proof_pipe_from_name(&scenario, "pocket"), 1);
    assert_int_equal(proof_pipe_from_name(&scenario, "attic"), -1);
    choice.pipe = proof_pipe_from_name(&scenario, "POCKET");
    assert_int_equal(proof_check(&scenario, &choice, NULL), STATUS_OK);
    proof_describe(&scenario, &choice, words, sizeof words);
    assert_non_null(strstr(words, "16200 QPSK 1/2"));
    choice.pipe = 2;
    assert_int_equal(proof_check(&scenario, &choice, NULL), STATUS_OUT_OF_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_plp_fares_as_if_it_were_alone),
        cmocka_unit_test(what_it_does_not_have_is_no_key),
        cmocka_unit_test(a_code_is_said_once),
        cmocka_unit_test(a_simulation_finds_them_by_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
