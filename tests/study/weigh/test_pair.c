/* The space of the second pair: all legal modes of DVB-T2, and what is said of each against what
 * the long way says. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "study/weigh/moves.h"
#include "study/weigh/weighed.h"
#include "support/effort.h"

/* Table 58 has 69 waveforms, 50 of them of sizes with extended carriers; 2 lengths, 6 rates, 4
 * constellations, rotated or not, in two modes of the baseband frames. */
static void the_space_has_all_legal_modes_once(void **state)
{
    (void)state;
    for (int bandwidth = 5; bandwidth <= 8; bandwidth++) {
        struct scenario scenario = scenario_default_of(PAIR_DVB);
        scenario_set_bandwidth(&scenario, bandwidth);
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(space->count, (69 + 50) * 2 * 96);
        for (size_t i = 0; i < space->count; i += 7) {
            struct t2_frame frame;
            weigh_put(space, i, &scenario);
            assert_int_equal(t2_frame_build(&scenario.dvbt2, bandwidth, &frame, NULL), STATUS_OK);
            assert_int_equal(weigh_find(space, &scenario), (long)i);
            assert_near(space->modes[i].net_mbps, frame.slots[0].net_mbps, 1e-9, "the frame's own");
        }
        space_end(space);
    }
}

/* Every figure that DVB-T2 tells but those of a place. */
static void figures_are_those_of_the_report(void **state)
{
    (void)state;
    const struct system *system = &system_dvbt2;
    struct random random = random_seeded(5, 1);
    for (int round = 0; round < 4; round++) {
        struct scenario scenario = scenario_default_of(PAIR_DVB);
        scenario.receiver.snr_db = 20.0;
        scenario.dvbt2.symbols = round == 1 ? 60 : round == 2 ? 24 : 0;
        scenario_set_bandwidth(&scenario, 8 - round);
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        struct verdict *fast = malloc(sizeof *fast), *slow = malloc(sizeof *slow);
        assert_true(fast != NULL && slow != NULL);
        for (int sample = 0; sample < 300; sample++) {
            size_t i = (size_t)(random_bits(&random) % space->count);
            weigh_report(space, i, fast);
            weigh_put(space, i, &scenario);
            assert_int_equal(scenario_check(&scenario, NULL), STATUS_OK);
            assert_int_equal(verdict_prepare(&scenario, GENERATION_SECOND, slow, NULL), STATUS_OK);
            for (int f = 0; system->figures[f] != NULL; f++) {
                const struct figure *figure = figure_find(&generation_figures, system->figures[f]);
                double expected = figure_number(figure, slow), got = figure_number(figure, fast);
                if (figure->kind == FIGURE_WORD) {
                    const char *word = figure_word(figure, slow);
                    assert_true(word != NULL);
                    assert_string_equal(figure_word(figure, fast), word);
                } else if (isfinite(expected)) {
                    assert_near(got, expected, 1e-9 * fmax(1.0, fabs(expected)), figure->name);
                } else {
                    assert_true(isnan(expected) == isnan(got));
                }
            }
        }
        free(fast);
        free(slow);
        space_end(space);
    }
}

/* A frame so short that a long block of QPSK does not fit is no mode of the space. */
static void modes_without_a_block_are_left_out(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    scenario.dvbt2.symbols = 23; /* 16 of P2 and 7 of data with 1K: 12 000 cells */
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    assert_in_range(space->count, 20000, (69 + 50) * 2 * 96 - 1);
    scenario.dvbt2.waveform = (struct t2_waveform){T2_1K, false, T2_GI_1_4, T2_PP1};
    scenario.dvbt2.code.constellation = T2_QPSK;
    assert_int_equal(weigh_find(space, &scenario), -1);
    scenario.dvbt2.code.length = T2_16200;
    long found = weigh_find(space, &scenario);
    assert_true(found >= 0);
    struct scenario put = scenario;
    weigh_put(space, (size_t)found, &put);
    assert_memory_equal(&put.dvbt2.waveform, &scenario.dvbt2.waveform, sizeof put.dvbt2.waveform);
    for (size_t i = 0; i < space->count; i++) {
        assert_true(space->modes[i].net_mbps > 0.0);
    }
    /* The first code has no room in the first waveform, so that nothing stands before its place. */
    assert_true(space->modes[0].code > 0 || space->modes[0].geometry > 0);
    space_put(space->choices, space->geometries[0].numbers, space->codes[0].own.numbers, &scenario);
    assert_int_equal(weigh_find(space, &scenario), -1);
    /* Nothing is left of what is kept, with a limit and without. */
    struct weigh_wish wish = weigh_wish_none();
    struct weigh_list list;
    struct text words = {0};
    weigh_space_adopt(space, &scenario);
    wish.fixed = (1u << space->choices->choice_count) - 1;
    for (int limited = 0; limited < 2; limited++) {
        wish.limits[LIMIT_RATE] = limited ? 1.0 : NAN;
        assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
        assert_int_equal(list.count, 0);
        weigh_explain_empty(space, &wish, &list, &words);
        assert_string_equal(text_string(&words), "No legal mode has the fixed settings.");
        text_free(&words);
        weigh_list_free(&list);
    }
    space_end(space);
}

/* A longer guard interval asks for more pilots, which may leave no room for the same code's block.
 */
static void moves_lead_to_no_mode_without_room(void **state)
{
    (void)state;
    for (int symbols = 18; symbols < 26; symbols++) {
        struct scenario scenario = scenario_default_of(PAIR_DVB);
        scenario.dvbt2.symbols = symbols;
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        for (uint32_t from = 0; from < 400; from += 5) {
            struct move moves[MOVE_COUNT];
            moves_make(space, NULL, from, moves);
            for (int i = 0; i < MOVE_COUNT; i++) {
                assert_true(!moves[i].exists || moves[i].mode < space->count);
            }
        }
        space_end(space);
    }
}

/* ETSI TS 102 831, table of absolute maximum rates, from memory: 50.345 Mbit/s, with the symbols
 * that the document has; auto takes two more. */
static void the_fastest_mode_is_the_published_one(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    scenario.dvbt2.symbols = 68;
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    struct weigh_wish wish = weigh_wish_none();
    struct weigh_list list;
    char name[64];
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    weigh_name(space, list.rows[0].mode, PARTS_OF_MODE, false, name, sizeof name);
    assert_string_equal(name, "32K 1/128 PP7 256QAM 5/6");
    assert_near(space->modes[list.rows[0].mode].net_mbps, 50.345, 0.001,
                "TS 102 831, maximum rates, from memory");
    weigh_list_free(&list);
    space_end(space);
}

/* The margin of a mode here is the one that its own verdict has: known phases to 0.01 dB, positions
 * too, as the same are drawn. */
static void margins_are_those_of_the_verdict(void **state)
{
    (void)state;
    static const struct {
        double delays[2], levels[2];
        bool any;
    } channels[] = {
        {{0.5, 5.0}, {-2.0, -10.0}, false},
        {{60.0, 180.0}, {-3.0, -12.0}, false}, /* partly beyond short guard intervals */
        {{3.0, 5.5}, {-4.0, -9.0}, true},      /* phases any */
    };
    struct random random = random_seeded(9, 2);
    struct verdict *verdict = malloc(sizeof *verdict);
    double worst_db = 0.0;
    assert_non_null(verdict);
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++) {
        struct scenario scenario = scenario_default_of(PAIR_DVB);
        scenario.receiver.snr_db = 18.0;
        scenario.receiver.positions = 64;
        scenario.echo_count = 2;
        for (int i = 0; i < 2; i++) {
            scenario.echoes[i] = (struct echo){.delay_us = channels[c].delays[i],
                                               .level_db = channels[c].levels[i],
                                               .phase_deg = channels[c].any ? NAN : 70.0 * i};
        }
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(weigh_echo_margins(space, NULL, NULL), STATUS_OK);
        for (size_t sample = 0; sample < effort(12, 60, 2000);) {
            size_t i = (size_t)(random_bits(&random) % space->count);
            double margin_db = weigh_margin_db(space, i);
            if (!(fabs(margin_db) < 15.0)) {
                continue; /* far from deciding anything */
            }
            weigh_put(space, i, &scenario);
            assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, verdict, NULL), STATUS_OK);
            worst_db = fmax(worst_db, fabs(verdict->margin_db - margin_db));
            assert_near(margin_db, verdict->margin_db, 0.01, "verdict on the single mode");
            sample++;
        }
        space_end(space);
    }
    free(verdict);
    print_message("largest difference from the single verdict: %.4f dB\n", worst_db);
}

static void moves_change_what_they_say(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    long from = weigh_find(space, &scenario);
    assert_true(from >= 0);
    struct move moves[MOVE_COUNT];
    struct text words = {0};
    moves_make(space, NULL, (uint32_t)from, moves);
    assert_true(moves[MOVE_LONGER_GUARD].exists && moves[MOVE_FASTER].exists);
    moves_write_changes(space, (uint32_t)from, moves[MOVE_LONGER_GUARD].mode, &words);
    assert_string_equal(text_string(&words), "guard 1/16 to 19/256");
    text_clear(&words);
    moves_write_changes(space, (uint32_t)from, moves[MOVE_FASTER].mode, &words);
    assert_string_equal(text_string(&words), "FFT 32K to 16K");
    text_free(&words);
    space_end(space);
}

/* Fixed settings by the pair's own keys. */
static void fixed_settings_stay(void **state)
{
    (void)state;
    static const char *const keys[] = {"dvbt2.fft", "dvbt2.extended", "dvbt2.rate",
                                       "dvbt2.rotation"};
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    struct weigh_wish wish = weigh_wish_none();
    struct weigh_list list;
    wish.unfolded = true;
    wish.most = 0;
    for (size_t k = 0; k < sizeof keys / sizeof keys[0]; k++) {
        wish.fixed |= (unsigned)weigh_factor_of_key(&scenario, keys[k]);
    }
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    /* 13 waveforms of 32K in two modes; 4 constellations of 2 lengths. */
    assert_int_equal(list.count, 13 * 2 * 4 * 2);
    for (size_t i = 0; i < list.count; i++) {
        struct scenario mode = scenario;
        weigh_put(space, list.rows[i].mode, &mode);
        assert_true(mode.dvbt2.waveform.fft == T2_32K && mode.dvbt2.waveform.extended &&
                    mode.dvbt2.code.rate == T2_2_3 && mode.dvbt2.code.rotation);
    }
    weigh_list_free(&list);
    space_end(space);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_space_has_all_legal_modes_once),
        cmocka_unit_test(figures_are_those_of_the_report),
        cmocka_unit_test(modes_without_a_block_are_left_out),
        cmocka_unit_test(moves_lead_to_no_mode_without_room),
        cmocka_unit_test(the_fastest_mode_is_the_published_one),
        cmocka_unit_test(margins_are_those_of_the_verdict),
        cmocka_unit_test(moves_change_what_they_say),
        cmocka_unit_test(fixed_settings_stay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
