/* DVB-T2's frame divided among services, against brute force on a part of its modes: each division
 * built as a scenario and judged by the row's own account of its PLPs. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/divide/divide.h"
#include "study/report/report.h"

static struct scenario two_services(void)
{
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    scenario_say(&scenario, "service pocket.rate_mbps", "2.1");
    scenario_say(&scenario, "service pocket.snr_db", "7");
    scenario_say(&scenario, "service roof.snr_db", "21");
    scenario_say(&scenario, "service roof.echo_us", "60");
    return scenario;
}

/* ---- A part of the space. ---- */

static bool takes_dvbt2(const struct dvbt2 *mode)
{
    const struct t2_waveform *waveform = &mode->waveform;
    return mode->high_efficiency && waveform->extended &&
           ((waveform->fft == T2_16K && waveform->guard == T2_GI_1_32) ||
            (waveform->fft == T2_8K && waveform->guard == T2_GI_1_8));
}

static bool takes_t2_code(const struct t2_code *code)
{
    return code->rotation && (code->constellation == T2_QPSK || code->constellation == T2_256QAM) &&
           (code->rate == T2_1_2 || code->rate == T2_3_5);
}

static struct scenario part_scenario;

static bool takes_geometry(const struct space_geometry *geometry)
{
    space_put(&space_dvbt2, geometry->numbers, NULL, &part_scenario);
    return takes_dvbt2(&part_scenario.dvbt2);
}

static bool takes_code(const struct space_code *code)
{
    space_put(&space_dvbt2, NULL, code->numbers, &part_scenario);
    return takes_t2_code(&part_scenario.dvbt2.code);
}

static const struct divide_limits part = {.takes_geometry = takes_geometry,
                                          .takes_code = takes_code};

/* ---- Brute force. ---- */

/* PLP 0 is the pocket's, with just so many blocks as carry its rate, found by trying; the roof has
 * what is left. Its rate; negative where there is no room. */
static double roof_mbps(const struct scenario *scenario, struct dvbt2 *mode)
{
    struct t2_frame frame;
    int block = t2_block_cells(&mode->plps[0].code);
    mode->plps[0].cells = 0;
    do {
        mode->plps[0].cells += block;
        if (t2_frame_build(mode, 8, &frame, NULL) != STATUS_OK) {
            return -1.0;
        }
    } while (frame.slots[0].net_mbps < scenario->services[0].rate_mbps);
    return frame.slots[1].net_mbps;
}

/* Both are received with their codes. */
static bool are_served(const struct scenario *scenario)
{
    for (int i = 0; i < 2; i++) {
        const struct service *service = &scenario->services[i];
        struct reception reception;
        assert_int_equal(system_dvbt2.receive(scenario, i, &reception, NULL), STATUS_OK);
        const struct ofdm_grid *grid = &reception.ofdm.grid;
        if (reception.needed_db > service->snr_db || grid->guard_us < service->echo_us ||
            grid->useful_us / grid->dx < service->echo_us) {
            return false;
        }
    }
    return true;
}

static double brute_time(struct scenario *scenario)
{
    struct dvbt2 *mode = &scenario->dvbt2;
    double best_mbps = -1.0;
    struct t2_code codes[96];
    int count = 0;
    for (int i = 0; i < T2_LENGTH_COUNT * T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {(enum t2_length)(i % T2_LENGTH_COUNT),
                               (enum t2_rate)(i / T2_LENGTH_COUNT % T2_PLP_RATES),
                               (enum t2_constellation)(i / T2_LENGTH_COUNT / T2_PLP_RATES), true};
        if (takes_t2_code(&code)) {
            codes[count++] = code;
        }
    }
    for (int i = 0; i < T2_FFT_COUNT * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        mode->waveform =
            (struct t2_waveform){(enum t2_fft)(i / T2_PILOTS_COUNT / T2_GUARD_COUNT), true,
                                 (enum t2_guard)(i / T2_PILOTS_COUNT % T2_GUARD_COUNT),
                                 (enum t2_pilots)(i % T2_PILOTS_COUNT)};
        if (!takes_dvbt2(mode) || t2_check(mode, 8, NULL) != STATUS_OK) {
            continue;
        }
        for (int k = 0; k < count * count; k++) {
            mode->plp_count = 2;
            for (int p = 0; p < 2; p++) {
                mode->plps[p] =
                    (struct t2_plp){.code = codes[p ? k / count : k % count], .share_percent = NAN};
            }
            if (are_served(scenario)) {
                best_mbps = fmax(best_mbps, roof_mbps(scenario, mode));
            }
        }
    }
    return best_mbps;
}

/* ---- Tests. ---- */

static const struct division *find(const struct divisions *divisions, enum division_kind kind)
{
    for (int i = 0; i < divisions->count; i++) {
        if (divisions->best[i].kind == kind) {
            return &divisions->best[i];
        }
    }
    return NULL;
}

static void a_frame_in_two_is_the_best_that_brute_force_finds(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = two_services();
    part_scenario = scenario;
    assert_int_equal(divide_make_limited(&scenario, &part, &divisions, NULL), STATUS_OK);
    assert_near(find(&divisions, DIVISION_TIME)->spare_mbps, brute_time(&scenario), 1e-9,
                "brute force");
}

static void only_kinds_that_the_system_has_are_offered(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = two_services();
    assert_int_equal(divide_make(&scenario, &divisions, NULL), STATUS_OK);
    assert_int_equal(divisions.count, 2);
    assert_non_null(find(&divisions, DIVISION_ONE));
    assert_non_null(find(&divisions, DIVISION_TIME));
}

/* What is taken over is a legal scenario that carries and needs what the division says. */
static void a_division_is_what_a_report_says_of_it(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = two_services(), sent = scenario;
    assert_int_equal(divide_make(&scenario, &divisions, NULL), STATUS_OK);
    for (int i = 0; i < divisions.count; i++) {
        const struct division *division = &divisions.best[i];
        bool one = division->kind == DIVISION_ONE;
        double mbps = 0.0;
        division_put(division, &sent);
        assert_int_equal(scenario_check(&sent, NULL), STATUS_OK);
        for (int s = 0; s < division->count; s++) {
            const struct division_service *service = &division->services[s];
            struct facts facts;
            assert_int_equal(system_dvbt2.describe(&sent, one ? 0 : s, &facts, NULL), STATUS_OK);
            assert_near(service->receiver_snr_db, facts.required_snr_db, 1e-9, "report");
            assert_string_equal(service->constellation, facts.constellation);
            assert_string_equal(service->rate, facts.rate);
            assert_true(service->margin_db >= 0.0);
            mbps += service->net_mbps;
            if (!one) {
                assert_near(service->net_mbps, facts.net_mbps, 1e-9, "report");
            } else if (s == division->count - 1) {
                assert_near(mbps, facts.net_mbps, 1e-9, "report");
            }
        }
        assert_true(division->services[0].net_mbps >= 2.1 - 1e-9);
    }
}

static void words_tell_its_own_choices(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = two_services();
    struct text words = {0};
    part_scenario = scenario;
    assert_int_equal(divide_make_limited(&scenario, &part, &divisions, NULL), STATUS_OK);
    const struct division *division = find(&divisions, DIVISION_TIME);
    division_words_waveform(division, &words);
    assert_non_null(strstr(text_string(&words), ", extended yes, high efficiency yes"));
    const struct figure *boost = figure_find(&division_figures, "boost");
    assert_true(isnan(figure_number(boost, division)));
    assert_near(figure_number(figure_find(&division_figures, "extended"), division), 1.0, 0.0,
                "as taken");
    text_clear(&words);
    division_assumes(&scenario, &words);
    assert_null(strstr(text_string(&words), "injection"));
    text_free(&words);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_frame_in_two_is_the_best_that_brute_force_finds),
        cmocka_unit_test(only_kinds_that_the_system_has_are_offered),
        cmocka_unit_test(a_division_is_what_a_report_says_of_it),
        cmocka_unit_test(words_tell_its_own_choices),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
