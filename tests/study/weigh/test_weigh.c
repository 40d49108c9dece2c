#include "support/longway.h"
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "base/units.h"
#include "study/weigh/frontier.h"
#include "study/weigh/weighed.h"

/* Bits of a wish, by the choices of A/322's space. */
enum { KEEP_FFT = 1, KEEP_PILOTS = 4, KEEP_BOOST = 8, KEEP_CONSTELLATION = 32, KEEP_RATE = 64 };
enum { KEEP_LENGTH = 128 };

static void the_space_has_all_legal_modes_once(void **state)
{
    (void)state;
    for (int bandwidth = 6; bandwidth <= 8; bandwidth++) {
        struct scenario scenario = scenario_default();
        scenario.site.bandwidth_mhz = scenario.transmission.subframes[0].waveform.bandwidth_mhz =
            bandwidth;
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        assert_int_equal(space->count, 243000); /* 81 x 5 x 5 x 120 */
        for (size_t i = 0; i < space->count; i += 37) {
            struct transmission mode = mode_of(space, i);
            assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
            assert_int_equal(mode.subframes[0].waveform.bandwidth_mhz, bandwidth);
            scenario.transmission = mode;
            assert_int_equal(weigh_find(space, &scenario), (long)i);
        }
        space_end(space);
    }
}

static const char *const fact_names[] = {
    "boost",           "reduction",        "length",         "useful_us",
    "guard_us",        "symbol_us",        "spacing_hz",     "carriers",
    "occupied_mhz",    "data_cells",       "boundary_cells", "preamble_symbols",
    "data_symbols",    "cells_per_frame",  "frame_ms",       "plp_mbps",
    "net_mbps",        "echo_us",          "echo_before_us", "echo_km",
    "reach_us",        "doppler_pilot_hz", "doppler_ici_hz", "doppler_hz",
    "speed_kmh",       "limit_snr_db",     "ideal_snr_db",   "ideal_rayleigh_snr_db",
    "receiver_snr_db", "field_dbuvm",      "interleaver_ms", "cells"};

/* Every figure of a sample of modes against facts_with, which goes the long way. */
static void figures_are_those_of_the_report(void **state)
{
    (void)state;
    struct random random = random_seeded(3, 1);
    for (int round = 0; round < 6; round++) {
        struct scenario scenario = scenario_default();
        scenario.site.bandwidth_mhz = scenario.transmission.subframes[0].waveform.bandwidth_mhz =
            6 + round % 3;
        scenario.transmission.plps[0].code.outer = (enum outer_code)(round % OUTER_COUNT);
        scenario.transmission.frame_ms = 60.0 + 700.0 * round;
        scenario.transmission.subframes[0].first_boundary = round % 2 == 1;
        scenario.receiver.snr_db = 20.0;
        if (round == 4) {
            scenario.transmission.plps[0].code.constellation = QPSK;
            scenario.transmission.plps[0].interleaver = CTI_1448_EXTENDED;
        }
        struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
        for (int sample = 0; sample < 600; sample++) {
            size_t i = (size_t)(random_bits(&random) % space->count);
            struct verdict fast, slow;
            struct transmission mode = mode_of(space, i);
            memset(&fast, 0x3f, sizeof fast);
            weigh_report(space, i, &fast);
            assert_true(isnan(fast.fare.facts.fade_ms));
            assert_int_equal(facts_with(&scenario, &mode, &slow.facts, NULL), STATUS_OK);
            for (size_t f = 0; f < sizeof fact_names / sizeof fact_names[0]; f++) {
                const struct figure *figure = figure_find(&generation_figures, fact_names[f]);
                double expected = figure_number(figure, &slow);
                if (isfinite(expected)) {
                    assert_near(figure_number(figure, &fast), expected,
                                1e-9 * fmax(1.0, fabs(expected)), figure->name);
                } else {
                    assert_true(isnan(expected) == isnan(figure_number(figure, &fast)));
                }
            }
            assert_string_equal(fast.facts.rate, slow.facts.rate);
            assert_string_equal(fast.facts.constellation, slow.facts.constellation);
            assert_string_equal(fast.facts.guard, slow.facts.guard);
            assert_near(fast.margin_noise_db, 20.0 - slow.facts.required_snr_db, 1e-9, "report");
            assert_near(space->modes[i].net_mbps, slow.facts.net_mbps, 1e-9, "report");
            assert_near(space->modes[i].speed_kmh, slow.facts.speed_kmh, 1e-6, "report");
            assert_near(space->modes[i].snr_db, slow.facts.required_snr_db, 1e-9, "report");
        }
        space_end(space);
    }
}

/* ---- The frontier. ---- */

static bool beats(const struct frontier_point *a, const struct frontier_point *b)
{
    bool as_good =
        a->rate >= b->rate && a->snr <= b->snr && a->echo >= b->echo && a->speed >= b->speed;
    return as_good &&
           (a->rate > b->rate || a->snr < b->snr || a->echo > b->echo || a->speed > b->speed);
}

/* As frontier_mark, by comparing all pairs. */
static void mark_slowly(const struct frontier_point *points, size_t count, bool *on_frontier)
{
    for (size_t i = 0; i < count; i++) {
        on_frontier[i] = true;
        for (size_t other = 0; other < count && on_frontier[i]; other++) {
            on_frontier[i] = !beats(&points[other], &points[i]);
        }
    }
}

static void frontier_equals_comparing_all_pairs(void **state)
{
    (void)state;
    struct random random = random_seeded(11, 0);
    struct frontier_point points[600];
    bool fast[600], slow[600];
    for (int round = 0; round < 300; round++) {
        size_t count = (size_t)(random_bits(&random) % 600);
        int levels = 2 + (int)(random_bits(&random) % 30); /* few: many ties */
        for (size_t i = 0; i < count; i++) {
            points[i] = (struct frontier_point){
                (double)(random_bits(&random) % (uint64_t)levels),
                -(double)(random_bits(&random) % (uint64_t)levels),
                (double)(random_bits(&random) % 12),
                random_uniform(&random) < 0.1 ? INFINITY
                                              : (double)(random_bits(&random) % (uint64_t)levels)};
        }
        assert_int_equal(frontier_mark(points, count, fast), STATUS_OK);
        mark_slowly(points, count, slow);
        for (size_t i = 0; i < count; i++) {
            assert_int_equal(fast[i], slow[i]);
        }
    }
    const struct frontier_point point = {1.0, 1.0, 1.0, 1.0};
    const struct frontier_point better[] = {
        {2.0, 1.0, 1.0, 1.0}, {1.0, 0.0, 1.0, 1.0}, {1.0, 1.0, 2.0, 1.0}, {1.0, 1.0, 1.0, 2.0}};
    assert_false(frontier_beats(&point, &point)); /* as good in all, and better in none */
    for (size_t i = 0; i < sizeof better / sizeof better[0]; i++) {
        assert_true(frontier_beats(&better[i], &point));
        assert_false(frontier_beats(&point, &better[i]));
    }
    for (int member = 0; member < 4; member++) {
        points[0] = (struct frontier_point){1.0, 1.0, 1.0, 1.0};
        *(member == 0   ? &points[0].rate
          : member == 1 ? &points[0].snr
          : member == 2 ? &points[0].echo
                        : &points[0].speed) = NAN;
        assert_int_equal(frontier_mark(points, 1, fast), STATUS_OUT_OF_RANGE);
    }
    for (int i = 0; i < 600; i++) { /* each a step: slower, and for less SNR, than all before */
        points[i] = (struct frontier_point){-i, -i, 1.0, -i};
    }
    assert_int_equal(frontier_mark(points, 600, fast), STATUS_OK);
    for (int i = 0; i < 600; i++) {
        assert_true(fast[i]);
    }
    for (int i = 0; i < 600; i++) {
        points[i] = (struct frontier_point){.echo = i};
    }
    assert_int_equal(frontier_mark(points, 600, fast), STATUS_OUT_OF_RANGE);
}

static void ordering_puts_the_largest_first_and_keeps_ties(void **state)
{
    (void)state;
    const double values[] = {1.0, -0.0, INFINITY, 0.0, -3.5, 1.0, -INFINITY, 1e-300};
    const uint32_t expected[] = {2, 0, 5, 7, 1, 3, 4, 6};
    uint32_t order[8];
    assert_int_equal(order_by_largest(values, 8, order), STATUS_OK);
    assert_memory_equal(order, expected, sizeof expected);
    assert_int_equal(order_by_largest(values, 0, order), STATUS_OK);
}

/* Every mode on the space's frontier has no better one among all 243 000, and a sample of those off
 * it has one; by the figures of the report. */
static void the_frontier_of_the_space_is_right(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    size_t on_frontier = 0;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        on_frontier += mode->frontier;
        if (i % (mode->frontier ? 41 : 4999) != 0) {
            continue;
        }
        bool beaten = false;
        for (size_t o = 0; o < space->count && !beaten; o++) {
            const struct weighed *other = &space->modes[o];
            double echo = weigh_echo_us(space, i), other_echo = weigh_echo_us(space, o);
            beaten = other->net_mbps >= mode->net_mbps && other->snr_db <= mode->snr_db &&
                     other_echo >= echo && other->speed_kmh >= mode->speed_kmh &&
                     (other->net_mbps > mode->net_mbps || other->snr_db < mode->snr_db ||
                      other_echo > echo || other->speed_kmh > mode->speed_kmh);
        }
        assert_int_equal(mode->frontier, !beaten);
    }
    assert_between((double)on_frontier, 100.0, 50000.0, "some modes, not all");
    space_end(space);
}

/* ---- Choosing. ---- */

static double best_order_value(const struct figure *row, const struct facts *facts)
{
    struct verdict verdict;
    verdict.facts = *facts;
    double value = figure_number(row, &verdict);
    return row->better < 0 ? -value : value;
}

static bool is_within(const struct weigh_wish *wish, const struct scenario *scenario,
                      enum snr_kind kind, const struct facts *second)
{
    const struct subframe *fixed = &scenario->transmission.subframes[0];
    const struct code *code = &scenario->transmission.plps[0].code;
    double snr = kind == SNR_RECEIVER ? second->required_snr_db
                 : kind == SNR_IDEAL  ? second->ideal_snr_db
                                      : second->ideal_rayleigh_snr_db;
    return !(second->echo_after_us < wish->limits[LIMIT_ECHO]) &&
           !(second->speed_kmh < wish->limits[LIMIT_SPEED]) &&
           !(second->net_mbps < wish->limits[LIMIT_RATE]) && !(snr > wish->limits[LIMIT_SNR]) &&
           !((wish->fixed & KEEP_FFT) && second->fft != fft_name(fixed->waveform.fft)) &&
           !((wish->fixed & KEEP_CONSTELLATION) &&
             second->constellation != constellation_name(code->constellation)) &&
           !((wish->fixed & KEEP_RATE) && second->rate != code_rate_name(code->rate_15ths)) &&
           !((wish->fixed & KEEP_BOOST) && second->boost != fixed->waveform.boost);
}

/* The reports of all modes. Those of the space's own making are held against the long way above;
 * here every 61st comes from facts_with, with a start that covers each code. */
static struct facts *make_all_reports(const struct scenario *scenario, size_t *count)
{
    struct weigh_space *space = space_of(scenario, SNR_RECEIVER);
    struct facts *reports = malloc(space->count * sizeof *reports);
    assert_non_null(reports);
    *count = space->count;
    for (size_t i = 0; i < space->count; i++) {
        struct transmission mode = mode_of(space, i);
        if (i % 61 == 0) {
            assert_int_equal(facts_with(scenario, &mode, &reports[i], NULL), STATUS_OK);
        } else {
            struct verdict verdict;
            weigh_report(space, i, &verdict);
            reports[i] = verdict.facts;
        }
    }
    space_end(space);
    return reports;
}

static void random_limits_equal_brute_force(void **state)
{
    (void)state;
    static const char *const orders[] = {
        "net_mbps",     "receiver_snr_db", "speed_kmh",   "echo_km",   "plp_mbps",
        "limit_snr_db", "data_cells",      "field_dbuvm", "symbol_us", "doppler_ici_hz"};
    struct scenario scenario = scenario_default();
    size_t count;
    struct facts *all = make_all_reports(&scenario, &count);
    assert_int_equal(count, 243000);
    struct random random = random_seeded(8, 8);
    struct weigh_space *spaces[SNR_KIND_COUNT];
    for (int kind = 0; kind < SNR_KIND_COUNT; kind++) {
        spaces[kind] = space_of(&scenario, (enum snr_kind)kind);
    }
    for (int round = 0; round < 30; round++) {
        enum snr_kind kind = (enum snr_kind)(round % SNR_KIND_COUNT);
        const struct weigh_space *space = spaces[kind];
        struct weigh_wish wish = weigh_wish_none();
        const double tops[] = {500.0, 800.0, 40.0, 35.0};
        for (int limit = 0; limit < 4; limit++) {
            if (random_uniform(&random) < 0.6) {
                wish.limits[limit] = random_uniform(&random) * tops[limit];
            }
        }
        static const unsigned fixed[] = {0, 0, KEEP_FFT, KEEP_CONSTELLATION | KEEP_RATE,
                                         KEEP_BOOST};
        wish.fixed = fixed[random_bits(&random) % 5];
        wish.order = figure_find(&generation_figures, orders[round % 10]);
        wish.unfolded = true;
        wish.most = 1 + (size_t)(random_bits(&random) % 300);
        struct weigh_list list;
        assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
        size_t matching = 0;
        for (size_t i = 0; i < count; i++) {
            matching += is_within(&wish, &scenario, kind, &all[i]);
        }
        assert_int_equal(list.matching, matching);
        assert_int_equal(list.count, matching < wish.most ? matching : wish.most);
        /* The rows are within, in order, and what is left out is no better than the last. */
        double last = INFINITY;
        for (size_t i = 0; i < list.count; i++) {
            struct verdict verdict;
            weigh_report(space, list.rows[i].mode, &verdict);
            assert_true(is_within(&wish, &scenario, kind, &verdict.facts));
            double value = best_order_value(wish.order, &verdict.facts);
            assert_true(value <= last);
            last = value;
        }
        size_t better = 0;
        for (size_t i = 0; i < count; i++) {
            better += is_within(&wish, &scenario, kind, &all[i]) &&
                      best_order_value(wish.order, &all[i]) > last + 1e-9 * (1.0 + fabs(last));
        }
        assert_true(better <= list.count);
        if (round == 7 || round == 21) { /* with folding: the same best row, fewer rows */
            struct weigh_list folded;
            wish.unfolded = false;
            wish.most = 0;
            assert_int_equal(weigh_pick(space, &wish, &folded, NULL), STATUS_OK);
            size_t members = 0;
            for (size_t i = 0; i < folded.count; i++) {
                members += 1 + folded.rows[i].folded;
            }
            assert_int_equal(members, matching);
            assert_true(folded.count == 0 || folded.rows[0].mode == list.rows[0].mode);
            weigh_list_free(&folded);
        }
        weigh_list_free(&list);
    }
    for (int kind = 0; kind < SNR_KIND_COUNT; kind++) {
        space_end(spaces[kind]);
    }
    free(all);
}

static void an_empty_list_says_what_to_relax(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    struct weigh_wish wish = weigh_wish_none();
    wish.limits[LIMIT_RATE] = 40.0;
    wish.limits[LIMIT_SNR] = 20.0;
    struct weigh_list list;
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    assert_int_equal(list.count, 0);
    /* By brute force: the most that 20 dB carry, and the least dB for 40 Mbit/s. */
    double rate = 0.0, snr = INFINITY;
    size_t slow = 0, weak = 0;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        slow += mode->net_mbps < 40.0;
        weak += mode->snr_db > 20.0;
        if (mode->snr_db <= 20.0) {
            rate = fmax(rate, mode->net_mbps);
        }
        if (mode->net_mbps >= 40.0) {
            snr = fmin(snr, mode->snr_db);
        }
    }
    assert_near(list.relaxations[LIMIT_RATE].attainable, rate, 1e-12, "brute force");
    assert_near(list.relaxations[LIMIT_SNR].attainable, snr, 1e-12, "brute force");
    assert_int_equal(list.relaxations[LIMIT_RATE].excluded, slow);
    assert_int_equal(list.relaxations[LIMIT_SNR].excluded, weak);
    assert_int_equal(weigh_tightest_limit(&wish, &list), slow > weak ? LIMIT_RATE : LIMIT_SNR);
    struct text words = {0};
    weigh_explain_empty(space, &wish, &list, &words);
    assert_non_null(strstr(text_string(&words), "net rate excludes most"));
    text_clear(&words);
    weigh_list_free(&list);

    /* What it says to ask for is there. */
    wish.limits[LIMIT_RATE] = floor(rate * 100.0) / 100.0;
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    assert_true(list.count > 0);
    weigh_list_free(&list);

    wish = weigh_wish_none(); /* the one named last excludes most */
    wish.limits[LIMIT_ECHO] = 1.0;
    wish.limits[LIMIT_SNR] = -10.0;
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    assert_int_equal(list.count, 0);
    assert_int_equal(weigh_tightest_limit(&wish, &list), LIMIT_SNR);
    weigh_list_free(&list);
    wish = weigh_wish_none(); /* a word that no mode has orders nothing */
    wish.order = figure_find(&generation_figures, "hierarchy");
    wish.most = 3;
    assert_non_null(wish.order);
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    assert_int_equal(list.count, 3);
    weigh_list_free(&list);

    wish = weigh_wish_none();
    wish.limits[LIMIT_ECHO] = 2000.0;
    wish.limits[LIMIT_RATE] = 100.0;
    assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
    weigh_explain_empty(space, &wish, &list, &words);
    assert_non_null(strstr(text_string(&words), "Relaxing one of them alone is not enough."));
    weigh_list_free(&list);
    text_free(&words);
    space_end(space);
}

static void words_and_keys(void **state)
{
    (void)state;
    struct scenario atsc = scenario_default(), dvb = scenario_default_of(PAIR_DVB);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.fft"), KEEP_FFT);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.pilots"), KEEP_PILOTS);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.boost"), KEEP_BOOST);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.constellation"), KEEP_CONSTELLATION);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.rate"), KEEP_RATE);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.length"), KEEP_LENGTH);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.outer"), 0);
    assert_int_equal(weigh_factor_of_key(&atsc, "mode.colour"), -1);
    assert_int_equal(weigh_factor_of_key(&atsc, "dvbt2.fft"), -1);
    assert_int_equal(weigh_factor_of_key(&dvb, "dvbt2.fft"), 1);
    assert_int_equal(weigh_factor_of_key(&dvb, "dvbt2.symbols"), 0);
    assert_int_equal(weigh_factor_of_key(&dvb, "mode.fft"), -1);
    for (int i = 0; i < SNR_KIND_COUNT; i++) {
        assert_int_equal(snr_kind_from_name(snr_kind_name((enum snr_kind)i)), i);
    }
    assert_int_equal(snr_kind_from_name("other"), -1);
    struct scenario scenario = scenario_default();
    struct weigh_space *space = space_of(&scenario, SNR_RECEIVER);
    struct fault fault;
    space_end(space);
    scenario.transmission.frame_ms = 2.0; /* the bootstrap alone */
    struct weigh_space none;
    assert_int_equal(weigh_space_make(&scenario, SNR_IDEAL, &none, &fault), STATUS_ILLEGAL);
}

/* A word orders by the number in it; whatever is known of a mode, the list falls. */
static void every_figure_orders_the_list(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct weigh_space *space = malloc(sizeof *space);
    struct verdict *verdict = malloc(sizeof *verdict);
    assert_true(space && verdict);
    assert_int_equal(weigh_space_make(&scenario, SNR_RECEIVER, space, NULL), STATUS_OK);
    struct weigh_wish wish = weigh_wish_none();
    wish.fixed = KEEP_PILOTS | KEEP_LENGTH; /* few, so that it is quick */
    struct figure_list figures =
        figures_named(&generation_figures, system_of(&scenario, GENERATION_SECOND)->figures);
    assert_true(figures.count > 40);
    for (size_t f = 0; f < figures.count; f++) {
        const struct figure *figure = figures.rows[f];
        struct weigh_list list;
        wish.order = figure;
        assert_int_equal(weigh_pick(space, &wish, &list, NULL), STATUS_OK);
        assert_true(list.count == wish.most && weigh_order(&wish) == figure);
        double last = INFINITY;
        for (size_t i = 0; i < list.count; i++) {
            weigh_report(space, list.rows[i].mode, verdict);
            double value = figure->kind != FIGURE_WORD ? figure_number(figure, verdict) : NAN;
            value = figure->better < 0 ? -value : value;
            assert_true(isnan(value) || value <= last);
            last = isnan(value) ? last : value;
        }
        if (strcmp(figure->name, "constellation") == 0) {
            assert_string_equal(figure_word(figure, verdict), "4096QAM");
        }
        weigh_list_free(&list);
    }
    weigh_space_free(space);
    free(space);
    free(verdict);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_figure_orders_the_list),
        cmocka_unit_test(the_space_has_all_legal_modes_once),
        cmocka_unit_test(figures_are_those_of_the_report),
        cmocka_unit_test(frontier_equals_comparing_all_pairs),
        cmocka_unit_test(ordering_puts_the_largest_first_and_keeps_ties),
        cmocka_unit_test(the_frontier_of_the_space_is_right),
        cmocka_unit_test(random_limits_equal_brute_force),
        cmocka_unit_test(an_empty_list_says_what_to_relax),
        cmocka_unit_test(words_and_keys),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
