#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "study/verdict/sweep.h"
#include "support/scenarios.h"
#include "support/signals.h"

static struct verdicts study;
static const struct verdict *const first = &study.of[GENERATION_FIRST];
static const struct verdict *const second = &study.of[GENERATION_SECOND];

static void solve(const struct scenario *scenario)
{
    struct fault fault = {0};
    enum status status = verdicts_make(scenario, &study, &fault);
    if (status != STATUS_OK) {
        print_error("%s: %s\n", fault.place, fault.wrong);
    }
    assert_int_equal(status, STATUS_OK);
}

static struct scenario scenario_with(double snr_db, int count, struct echo echo)
{
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = snr_db;
    scenario.echo_count = count;
    scenario.echoes[0] = echo;
    return scenario;
}

static void without_echoes_both_keep_their_snr(void **state)
{
    (void)state;
    for (double snr_db = 0.0; snr_db <= 40.0; snr_db += 8.0) {
        struct scenario scenario = scenario_with(snr_db, 0, (struct echo){0});
        solve(&scenario);
        assert_near(first->fare.left_db, snr_db, 0.01, "nothing disturbs");
        assert_near(second->fare.left_db, snr_db, 0.01, "nothing disturbs");
        double needed_db = receiver_need_db(&scenario.transmission);
        assert_int_equal(first->works, snr_db >= 14.9);
        assert_int_equal(second->works, snr_db >= needed_db);
        assert_near(first->margin_noise_db, snr_db - 14.9, 1e-9, "ATSC A/54A");
        assert_near(second->margin_noise_db, snr_db - needed_db, 1e-9, "the receiver's need");
        assert_near(first->margin_db, first->margin_noise_db, 0.01, "noise is all there is");
        assert_near(second->margin_db, second->margin_noise_db, 0.01, "noise is all there is");
    }
}

static void losses_lead_from_input_to_margin(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(
        24.0, 1, (struct echo){.delay_us = 170.0, .level_db = -12.0, .doppler_hz = 3});
    scenario.first.implementation_loss_db = 1.2;
    scenario.first.adaptation_step = 0.05;
    solve(&scenario);
    for (int generation = 0; generation < GENERATION_COUNT; generation++) {
        const struct verdict *verdict = &study.of[generation];
        struct account account;
        verdict_account(verdict, &account);
        const struct account_step *steps = account.steps;
        double db = steps[0].snr_db;
        assert_near(db, 24.0, 1e-9, "the profile's SNR");
        int i = 1;
        for (; i < account.count && steps[i].is_loss; i++) {
            assert_true(steps[i].change_db <= 1e-6);
            db += steps[i].change_db;
            assert_near(steps[i].snr_db, db, 1e-9, "what is left after the step");
        }
        assert_int_equal(i, account.count - 3); /* left, needed, to spare */
        assert_true(i > 3);                     /* each system names its losses one by one */
        assert_near(steps[i].snr_db, db, 1e-6, "sum of the lines above");
        assert_near(steps[i + 2].snr_db, steps[i].snr_db - steps[i + 1].snr_db, 1e-9, "margin");
        assert_near(steps[i + 2].snr_db, verdict->margin_db, 0.0, "the verdict's own");
    }
    assert_near(first->margin_noise_db, 24.0 - 14.9 - 1.2, 1e-9, "the receiver's own loss counts");
}

static struct station station_of(enum generation generation, int rf_channel, double distance_km)
{
    struct station station = station_unset("Tower");
    station.generation = generation;
    station.rf_channel = rf_channel;
    station.erp_kw = 100.0;
    station.height_m = 300.0;
    station.distance_km = distance_km;
    return station;
}

static void an_snr_is_measured_or_from_a_level_or_predicted_in_this_order(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.place.method = METHOD_FREE_SPACE;
    scenario.stations[scenario.station_count++] = station_of(GENERATION_SECOND, 24, 40.0);
    solve(&scenario);
    assert_int_equal(first->conditions.source, SNR_NONE); /* no station of its own */
    assert_int_equal(second->conditions.source, SNR_STATION);
    /* 106.92 dBuV/m at 1 km of 1 kW; 533 MHz; level = E - 20 log10 f - 75.07 (dipole: + 2.15 dB of
     * an isotropic antenna's -77.2); half of the locations. */
    double field_dbuvm = 106.92 + 20.0 - 20.0 * log10(40.0);
    double level_dbm = field_dbuvm - 20.0 * log10(533.0) - 75.07;
    assert_near(second->conditions.snr_db, level_dbm - (-106.2 + 7.0), 0.1, "ITU-R P.525, kTB");
    assert_near(second->conditions.channel.centre_hz, 533e6, 1.0, "channel 24");
    scenario.stations[scenario.station_count++] = station_of(GENERATION_SECOND, 10, 4.0);
    double of_one_db = second->conditions.snr_db;
    solve(&scenario);
    assert_near(second->conditions.snr_db, of_one_db, 0.0, "the first station of the generation");
    scenario.receiver.level_dbm = -80.0;
    solve(&scenario);
    assert_int_equal(second->conditions.source, SNR_LEVEL);
    assert_near(second->conditions.snr_db, -80.0 - (-106.2 + 7.0), 0.05,
                "kTB in 6 MHz, noise figure 7");
    assert_near(second->conditions.noise_dbm, -106.2 + 7.0, 0.05, "kTB in 6 MHz, noise figure 7");
    assert_near(second->conditions.channel.centre_hz, 195e6, 1.0, "the site's channel 10");
    scenario.receiver.snr_db = 17.0;
    solve(&scenario);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_int_equal(study.of[i].conditions.source, SNR_MEASURED);
        assert_near(study.of[i].conditions.snr_db, 17.0, 0.0, "as measured");
    }
}

/* Nothing is assumed: no SNR, no margin, and the words say what to give. */
static void without_an_snr_there_is_no_margin(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(NAN, 1, (struct echo){.delay_us = 5, .level_db = -6});
    solve(&scenario);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &study.of[i];
        struct account account;
        struct text text = {0};
        double required_db;
        assert_int_equal(verdict->conditions.source, SNR_NONE);
        assert_true(isnan(verdict->conditions.snr_db));
        assert_false(verdict->known);
        assert_false(verdict->works);
        assert_true(isnan(verdict->margin_db));
        assert_true(isnan(verdict->margin_noise_db));
        verdict_account(verdict, &account);
        assert_int_equal(account.count, 0);
        verdict_words_snr(&verdict->conditions, &text);
        assert_string_equal(text_string(&text), "no SNR known: give receiver.snr_db, "
                                                "receiver.level_dbm or a station");
        text_clear(&text);
        verdict_words_short(verdict, &text);
        assert_string_equal(text_string(&text), "has no known SNR");
        text_clear(&text);
        verdict_words_steps(verdict, &text);
        assert_string_equal(text_string(&text), "Without an SNR nothing can be said of a margin.");
        text_free(&text);
        /* What the signal asks for can be told all the same. */
        assert_int_equal(verdict_required_db(verdict, &required_db, NULL), STATUS_OK);
        assert_true(required_db > verdict->reception.needed_db);
    }
    struct text text = {0};
    verdict_words(&study, &text);
    assert_string_equal(text_string(&text),
                        "No verdict: no SNR is known. Give a measured SNR, a level or a station.");
    text_clear(&text);
    verdict_words_decision(&study, &text);
    assert_string_equal(text_string(&text),
                        "Without an SNR for both it is open which of them decodes.");
    text_free(&text);
}

/* And what is required is where the margin turns: held against the verdict itself. */
static void from_the_required_snr_on_it_decodes(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(NAN, 1, (struct echo){.delay_us = 8, .level_db = -7});
    scenario.first.implementation_loss_db = 0.7;
    solve(&scenario);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        struct verdict *verdict = &study.of[i];
        double required_db;
        assert_int_equal(verdict_required_db(verdict, &required_db, NULL), STATUS_OK);
        verdict->conditions.snr_db = required_db;
        assert_int_equal(verdict_solve(verdict, NULL), STATUS_OK);
        assert_near(verdict->margin_db, 0.0, 0.02, "from there on");
        verdict->conditions.snr_db = required_db + 0.1;
        assert_int_equal(verdict_solve(verdict, NULL), STATUS_OK);
        assert_true(verdict->works);
        verdict->conditions.snr_db = required_db - 0.1;
        assert_int_equal(verdict_solve(verdict, NULL), STATUS_OK);
        assert_false(verdict->works);
    }
}

static void a_moving_receiver_moves_its_echoes(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(20.0, 1, (struct echo){.delay_us = 2, .level_db = -3});
    solve(&scenario);
    assert_false(channel_moves(&first->conditions.channel));
    scenario.receiver.speed_kmh = 36.0;
    solve(&scenario);
    double most_hz = 10.0 * scenario.site.center_mhz * 1e6 / SPEED_OF_LIGHT_M_S;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct channel *channel = &study.of[i].conditions.channel;
        assert_near(channel->spread_hz, most_hz, 1e-9, "from all sides: v f / c");
        assert_near(channel->rays[1].doppler_hz, 0.0, 0.0, "none of its own");
        assert_true(channel_moves(channel));
        assert_near(study.of[i].conditions.speed_kmh, 36.0, 0.0, "as given");
    }
    scenario.echoes[0].doppler_hz = 1.5;
    solve(&scenario);
    assert_near(first->conditions.channel.rays[1].doppler_hz, 1.5, 0.0, "its own");
}

/* At a station's predicted SNR the receiver moves on that station's channel: with the same speed
 * Doppler goes with frequency. */
static void doppler_is_that_of_the_station_in_question(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(NAN, 1, (struct echo){.delay_us = 2, .level_db = -3});
    scenario.receiver.speed_kmh = 36.0;
    scenario.stations[scenario.station_count++] = station_of(GENERATION_FIRST, 24, 20.0);
    scenario.stations[scenario.station_count++] = station_of(GENERATION_SECOND, 3, 20.0);
    solve(&scenario);
    assert_near(first->conditions.channel.spread_hz, 10.0 * 533e6 / SPEED_OF_LIGHT_M_S, 1e-6,
                "channel 24");
    assert_near(second->conditions.channel.spread_hz, 10.0 * 63e6 / SPEED_OF_LIGHT_M_S, 1e-6,
                "channel 3");
}

static void assert_written(const struct text *text, const char *wanted)
{
    if (!strstr(text_string(text), wanted)) {
        print_error("\"%s\" is not in: %s\n", wanted, text_string(text));
        fail();
    }
}

static void assert_steps(const struct verdict *verdict, const char *wanted)
{
    struct text text = {0};
    verdict_words_steps(verdict, &text);
    assert_written(&text, wanted);
    text_free(&text);
}

static void assert_decision(const char *wanted)
{
    struct text text = {0};
    verdict_words_decision(&study, &text);
    assert_written(&text, wanted);
    text_free(&text);
}

static void words_say_what_the_figures_say(void **state)
{
    (void)state;
    /* 80 us: beyond the equaliser (38.5 us), within the guard interval (148 us). */
    struct scenario scenario =
        scenario_with(22.0, 1, (struct echo){.delay_us = 80, .level_db = -6});
    scenario.transmission.plps[0].code.constellation = QAM64;
    solve(&scenario);
    assert_false(first->works);
    assert_true(second->works);
    struct text text = {0};
    char expected[128];
    verdict_words(&study, &text);
    text_format(expected, sizeof expected,
                "8-VSB fails, %.1f dB short. OFDM decodes, %.1f dB to spare.", -first->margin_db,
                second->margin_db);
    assert_string_equal(text_string(&text), expected);
    text_free(&text);
    assert_steps(first, "one echo lies outside the equaliser's reach");
    text_format(expected, sizeof expected, " %.1f dB are left where 14.9 dB are needed.",
                first->fare.left_db);
    assert_steps(first, expected);
    assert_steps(second, "All rays fit into the guard interval of 148.1 us");
    text_format(expected, sizeof expected, " %.1f dB are left where %.1f dB are needed.",
                second->fare.left_db, second->reception.needed_db);
    assert_steps(second, expected);
    assert_decision("Only OFDM decodes.");
    assert_decision("what puts OFDM ahead is how it bears the channel.");
    scenario.echoes[0].delay_us = 400.0;
    solve(&scenario);
    assert_steps(second, "1 is beyond what the pilots resolve");
    /* -6 dB of interference forbid what needs more than 6 dB. */
    double required_db;
    assert_true(second->reception.needed_db > 6.0);
    assert_int_equal(verdict_required_db(second, &required_db, NULL), STATUS_OK);
    assert_true(required_db == INFINITY);
}

/* A receiver that follows nothing has no figure: what stands in it is a floor. */
static void words_tell_of_a_receiver_that_follows_nothing(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(20.0, 0, (struct echo){0});
    scenario.receiver.speed_kmh = 120.0; /* 21 Hz at 189 MHz, beyond 10 Hz */
    solve(&scenario);
    struct text text = {0};
    verdict_words(&study, &text);
    assert_true(first->fare.lost);
    assert_false(second->fare.lost);
    assert_written(&text, "8-VSB fails all the time, it cannot follow the motion. OFDM ");
    text_free(&text);
    assert_decision("8-VSB cannot follow the motion, at any SNR.");
    assert_steps(first, "so that nothing of the SNR is left.");
    scenario.receiver.positions = 1; /* which has no share of the time */
    solve(&scenario);
    verdict_words(&study, &text);
    assert_written(&text, "8-VSB fails, it cannot follow the motion. OFDM ");
    text_free(&text);
}

static void words_tell_where_the_snr_comes_from(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(20.0, 0, (struct echo){0});
    struct text text = {0};
    solve(&scenario);
    verdict_words_snr(&first->conditions, &text);
    assert_string_equal(text_string(&text), "measured SNR 20.0 dB");
    text_clear(&text);
    scenario.receiver.snr_db = NAN;
    scenario.receiver.level_dbm = -79.2;
    solve(&scenario);
    verdict_words_snr(&first->conditions, &text);
    /* 10 log10(k 290 K 6 MHz) = -106.2 dBm, noise figure 7 dB */
    assert_string_equal(text_string(&text),
                        "SNR 20.0 dB, from the level less the receiver's noise of -99.2 dBm");
    text_clear(&text);
    scenario.receiver.level_dbm = NAN;
    scenario.stations[scenario.station_count++] = station_of(GENERATION_FIRST, 10, 20.0);
    solve(&scenario);
    verdict_words_snr(&first->conditions, &text);
    assert_written(&text, "predicted for the station, less noise of -99.2 dBm");
    text_free(&text);
    static const char *const names[] = {"none", "measured", "level", "station"};
    for (int i = 0; i < SNR_SOURCE_COUNT; i++) {
        assert_string_equal(snr_source_name((enum snr_source)i), names[i]);
    }
    assert_string_equal(snr_source_name(SNR_SOURCE_COUNT), "?");
}

static void words_tell_of_each_trouble(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(30.0, 0, (struct echo){0});
    solve(&scenario);
    assert_steps(first, "Without echoes the equaliser has nothing to do.");
    assert_steps(second, "Without echoes all carriers are alike.");
    scenario = scenario_with(30.0, 1, (struct echo){.delay_us = -35.0, .level_db = 3.0});
    solve(&scenario);
    assert_steps(first, "The receiver locks to the stronger ray at -35.0 us.");
    assert_steps(first, "All echoes lie within the equaliser's reach");
    assert_decision("dB to these echoes; OFDM");
    scenario = scenario_with(30.0, 1,
                             (struct echo){.delay_us = 5.0, .level_db = -10.0, .doppler_hz = 25.0});
    solve(&scenario);
    assert_steps(first, "Also one echo moves faster than the 10 Hz that it follows: "
                        "noise to it, of -10.0 dB together.");
    assert_decision("to these echoes and motion");
    scenario.echoes[scenario.echo_count++] =
        (struct echo){.delay_us = 80.0, .level_db = -10.0, .doppler_hz = 25.0};
    scenario.echoes[scenario.echo_count++] = (struct echo){.delay_us = 90.0, .level_db = -10.0};
    solve(&scenario);
    assert_steps(first, "There is no guard interval, and 2 echoes lie outside the "
                        "equaliser's reach (29.5 us before to 38.5 us after)");
    /* As strong as the main signal and far outside of the guard interval. */
    scenario = scenario_with(60.0, 1, (struct echo){.delay_us = 1500.0});
    solve(&scenario);
    double required_db;
    assert_int_equal(verdict_required_db(second, &required_db, NULL), STATUS_OK);
    assert_true(required_db == INFINITY); /* the interference alone is too strong */
    assert_decision("Both fail.");
    /* The same needs and the same losses. */
    scenario = scenario_with(30.0, 0, (struct echo){0});
    solve(&scenario);
    scenario.first.threshold_db = second->reception.needed_db;
    solve(&scenario);
    assert_decision("the two come out even.");
}

/* A receiver that a lag or a loss of its own keeps from decoding: the words name it. */
static void words_tell_what_an_ideal_receiver_would_do(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(17.0, 0, (struct echo){0});
    scenario.first.implementation_loss_db = 3.0;
    solve(&scenario);
    assert_false(first->works);
    assert_decision("An ideal receiver of 8-VSB would have 2.1 dB to spare"); /* 17 - 14.9 */
}

/* SNR less needed less lost is what is to spare, in the words too: a receiver's own loss is nothing
 * that echoes take. */
static void needs_and_losses_in_words_add_up(void **state)
{
    (void)state;
    struct scenario scenario =
        scenario_with(25.0, 1, (struct echo){.delay_us = 6.0, .level_db = -6.0});
    scenario.first.implementation_loss_db = 1.5;
    solve(&scenario);
    double needs_db = 14.9 + 1.5, lost_db = 25.0 - needs_db - first->margin_db;
    char expected[96];
    text_format(expected, sizeof expected,
                "In noise alone 8-VSB needs %.1f dB, and it loses %.1f dB to these echoes;",
                needs_db, lost_db);
    assert_decision(expected);
    /* At rest, an ideal equaliser: the same loss as without the fault. */
    scenario.first.implementation_loss_db = 0.0;
    solve(&scenario);
    assert_near(25.0 - 14.9 - first->margin_db, lost_db, 1e-9, "the echo's loss alone");
}

/* Two stations: the stronger signal decides, not need or channel. */
static void words_tell_that_the_stronger_signal_decides(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.stations[scenario.station_count++] = station_of(GENERATION_FIRST, 10, 60.0);
    scenario.stations[scenario.station_count++] = station_of(GENERATION_SECOND, 10, 6.0);
    solve(&scenario);
    assert_true(second->conditions.snr_db > first->conditions.snr_db + 20.0); /* 20 log10 10 */
    assert_decision("what puts OFDM ahead is the stronger signal.");
}

static void rays_that_cancel_fail_and_leave_no_account(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(20.0, 1, (struct echo){.phase_deg = 180.0});
    solve(&scenario);
    struct account account;
    struct text words = {0};
    for (int i = 0; i < GENERATION_COUNT; i++) {
        const struct verdict *verdict = &study.of[i];
        assert_true(verdict->known && !verdict->works);
        assert_true(isinf(verdict->margin_db) && verdict->margin_db < 0.0);
        assert_near(verdict->positions_share, 0.0, 0.0, "at none");
        verdict_account(verdict, &account);
        assert_int_equal(account.count, 0);
        double snr_db;
        assert_int_equal(verdict_required_db(verdict, &snr_db, NULL), STATUS_OK);
        assert_true(isinf(snr_db));
        verdict_words_short(verdict, &words);
    }
    assert_string_equal(text_string(&words), "fails, the rays cancel each otherfails, the rays "
                                             "cancel each other");
    text_free(&words);
}

static void bad_echoes_are_refused(void **state)
{
    (void)state;
    struct fault fault = {0};
    struct scenario scenario = scenario_with(20.0, 1, (struct echo){.level_db = 60.0});
    assert_int_equal(verdicts_make(&scenario, &study, &fault), STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "echo 1");
    scenario = scenario_with(20.0, 10000, (struct echo){0});
    assert_int_equal(verdicts_make(&scenario, &study, &fault), STATUS_OUT_OF_RANGE);
    scenario = scenario_default();
    scenario.transmission.subframes[0].waveform.pilots = SP32_4;
    assert_int_equal(verdicts_make(&scenario, &study, &fault), STATUS_ILLEGAL);
}

/* Beyond what physics is asked each dB of SNR is one of margin. */
static void an_snr_out_of_reason_still_has_a_margin(void **state)
{
    (void)state;
    const double ends_db[2] = {SNR_LEAST_DB, SNR_MOST_DB};
    for (int end = 0; end < 2; end++) {
        double out_db = end ? 400.0 : -400.0;
        struct scenario scenario =
            scenario_with(ends_db[end], 1, (struct echo){.delay_us = 3, .level_db = -9});
        solve(&scenario);
        double at_end_db[GENERATION_COUNT] = {first->margin_db, second->margin_db};
        scenario.receiver.snr_db += out_db;
        solve(&scenario);
        for (int i = 0; i < GENERATION_COUNT; i++) {
            assert_near(study.of[i].margin_db - at_end_db[i], out_db, 1e-9, "dB for dB");
            assert_int_equal(study.of[i].works, end == 1);
            struct account account;
            verdict_account(&study.of[i], &account);
            assert_near(account.steps[0].snr_db, ends_db[end] + out_db, 1e-9, "as given");
        }
    }
}

static void margins_follow_a_sliding_echo(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 1, (struct echo){.level_db = -8});
    static struct verdicts at_rest;
    assert_int_equal(verdicts_make(&scenario, &at_rest, NULL), STATUS_OK);
    struct echo_margins margins[25];
    assert_int_equal(echo_sweep_margins(&at_rest, 0, -120.0, 360.0, 25, margins), STATUS_OK);
    for (int i = 0; i < 25; i++) {
        assert_near(margins[i].delay_us, -120.0 + 20.0 * i, 1e-9, "even steps");
        scenario.echoes[0].delay_us = margins[i].delay_us;
        solve(&scenario);
        for (int generation = 0; generation < GENERATION_COUNT; generation++) {
            assert_near(margins[i].db[generation], study.of[generation].margin_db, 1e-9,
                        "the verdict itself");
        }
    }
}

static void without_an_snr_no_sweep_has_a_value(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(NAN, 1, (struct echo){.level_db = -8});
    solve(&scenario);
    struct echo_margins margins[3];
    struct echo_tolerated points[3];
    assert_int_equal(echo_sweep_margins(&study, 0, 0.0, 10.0, 3, margins), STATUS_OK);
    assert_int_equal(echo_sweep_tolerated(&study, 0.0, 10.0, 3, points), STATUS_OK);
    for (int i = 0; i < 3; i++) {
        for (int generation = 0; generation < GENERATION_COUNT; generation++) {
            assert_true(isnan(margins[i].db[generation]));
            assert_true(isnan(points[i].db[generation]));
        }
    }
}

/* An echo out of everybody's reach is noise: the level at which noise and echo leave the threshold.
 */
static void far_echoes_are_borne_as_noise(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 0, (struct echo){0});
    solve(&scenario);
    struct echo_tolerated points[2];
    assert_int_equal(echo_sweep_tolerated(&study, 3000.0, 4000.0, 2, points), STATUS_OK);
    for (int generation = 0; generation < GENERATION_COUNT; generation++) {
        double needed_db = generation ? receiver_need_db(&scenario.transmission) : 14.9;
        /* 1 / (n (1 + x) + x) = needed, n the noise over total power */
        double noise = ratio_from_db(-24.0), needed = ratio_from_db(needed_db);
        double level_db = db_from_ratio((1.0 / needed - noise) / (1.0 + noise));
        for (int i = 0; i < 2; i++) {
            /* Sideband filter and equaliser shape 8-VSB's echo a little. */
            assert_near(points[i].db[generation], level_db, generation ? 0.1 : 0.6,
                        "sum of noise powers");
        }
    }
}

static void echoes_in_reach_are_borne_and_others_are_not(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 0, (struct echo){0});
    scenario.transmission.plps[0].code.constellation = QAM64;
    solve(&scenario);
    struct echo_tolerated points[3];
    assert_int_equal(echo_sweep_tolerated(&study, 38.0, 52.0, 3, points), STATUS_OK);
    /* The published receiver: -10 dB at 38 us and not at 45 us. */
    assert_true(points[0].db[GENERATION_FIRST] > -10.0);
    assert_true(points[1].db[GENERATION_FIRST] < -10.0);
    assert_true(points[2].db[GENERATION_FIRST] < -10.0);
    for (int i = 0; i < 3; i++) {
        assert_near(points[i].db[GENERATION_SECOND], ECHO_TOLERATED_MOST_DB, 0.0,
                    "within the guard interval");
    }
}

/* 8-VSB's least margin in the stands that are tried: on a whole symbol or a half, phases at the
 * pilot, a quarter of the symbol rate below the centre. */
static double least_of_stands_db(struct scenario *scenario, double level_db)
{
    static const double stands[][2] = {
        {0.0, 0.0}, {180.0, 0.0}, {270.0, 0.0}, {0.0, 0.5}, {270.0, 0.5}};
    const double symbol_us = study.of[GENERATION_FIRST].reception.system->symbol_us();
    const double whole = round(scenario->echoes[0].delay_us / symbol_us);
    double least_db = INFINITY;
    scenario->echoes[0].level_db = level_db;
    for (size_t i = 0; i < sizeof stands / sizeof stands[0]; i++) {
        scenario->echoes[0].delay_us = (whole + stands[i][1]) * symbol_us;
        scenario->echoes[0].phase_deg = fmod(stands[i][0] - 90.0 * whole, 360.0);
        solve(scenario);
        least_db = fmin(least_db, study.of[GENERATION_FIRST].margin_db);
    }
    scenario->echoes[0].delay_us = whole * symbol_us;
    return least_db;
}

/* An 8-VSB receiver bears an echo ahead when it is weak, and again when it is as strong as the main
 * signal, for which it then passes; between it fails. What is told as borne is so with all below.
 */
static void an_echo_is_borne_with_all_weaker_ones(void **state)
{
    (void)state;
    struct scenario scenario = scenario_with(24.0, 1, (struct echo){.delay_us = -17.2});
    solve(&scenario);
    assert_true(study.of[GENERATION_FIRST].margin_db > 0.0);
    struct echo_tolerated points[2];
    assert_int_equal(echo_sweep_tolerated(&study, -17.2, -17.1, 2, points), STATUS_OK);
    double borne_db = points[0].db[GENERATION_FIRST];
    assert_true(borne_db < -4.0);
    for (int i = 0; i < 6; i++) {
        scenario.echoes[0].level_db = borne_db - 2.0 * i;
        solve(&scenario);
        assert_true(study.of[GENERATION_FIRST].margin_db >= -0.02);
    }
    assert_true(least_of_stands_db(&scenario, borne_db) >= -0.02);
    assert_true(least_of_stands_db(&scenario, borne_db + 0.1) < 0.02);
}

static void a_second_transmitter_is_an_echo_by_distance_and_power(void **state)
{
    (void)state;
    struct echo_transmitter near = {10.0, 5.0, 0.0}, far = {20.0, 20.0, 7.0};
    struct echo echo = echo_from_transmitter(&near, &far);
    assert_near(echo.delay_us, 10e3 / SPEED_OF_LIGHT_M_S * 1e6 + 7.0, 1e-9, "path over c");
    assert_near(echo.level_db, 0.0, 1e-9, "four times the power at twice the distance");
    echo = echo_from_transmitter(&far, &near);
    assert_near(echo.delay_us, -10e3 / SPEED_OF_LIGHT_M_S * 1e6 - 7.0, 1e-9, "the other way");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_echoes_both_keep_their_snr),
        cmocka_unit_test(losses_lead_from_input_to_margin),
        cmocka_unit_test(an_snr_is_measured_or_from_a_level_or_predicted_in_this_order),
        cmocka_unit_test(without_an_snr_there_is_no_margin),
        cmocka_unit_test(from_the_required_snr_on_it_decodes),
        cmocka_unit_test(a_moving_receiver_moves_its_echoes),
        cmocka_unit_test(doppler_is_that_of_the_station_in_question),
        cmocka_unit_test(words_say_what_the_figures_say),
        cmocka_unit_test(words_tell_of_a_receiver_that_follows_nothing),
        cmocka_unit_test(words_tell_where_the_snr_comes_from),
        cmocka_unit_test(words_tell_of_each_trouble),
        cmocka_unit_test(words_tell_what_an_ideal_receiver_would_do),
        cmocka_unit_test(needs_and_losses_in_words_add_up),
        cmocka_unit_test(words_tell_that_the_stronger_signal_decides),
        cmocka_unit_test(rays_that_cancel_fail_and_leave_no_account),
        cmocka_unit_test(bad_echoes_are_refused),
        cmocka_unit_test(an_snr_out_of_reason_still_has_a_margin),
        cmocka_unit_test(margins_follow_a_sliding_echo),
        cmocka_unit_test(without_an_snr_no_sweep_has_a_value),
        cmocka_unit_test(far_echoes_are_borne_as_noise),
        cmocka_unit_test(echoes_in_reach_are_borne_and_others_are_not),
        cmocka_unit_test(an_echo_is_borne_with_all_weaker_ones),
        cmocka_unit_test(a_second_transmitter_is_an_echo_by_distance_and_power),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
