#include "support/longway.h"
#include "support/near.h"
#include "support/signals.h"

#include <math.h>
#include <string.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/air/propagation.h"
#include "physics/information/required_snr.h"
#include "physics/vsb/echo.h"
#include "study/place/place.h"
#include "support/scenarios.h"

static struct station tower(const char *name, enum generation generation, int channel)
{
    struct station station = station_unset(name);
    station.generation = generation;
    station.rf_channel = channel;
    station.erp_kw = 100.0;
    station.height_m = 200.0;
    station.distance_km = 40.0;
    return station;
}

static struct scenario two_stations(void)
{
    struct scenario scenario = scenario_default();
    scenario.stations[0] = tower("One", GENERATION_FIRST, 24);
    scenario.stations[1] = tower("Two", GENERATION_SECOND, 8); /* too far off to disturb */
    scenario.station_count = 2;
    return scenario;
}

static struct place_study study_of(const struct scenario *scenario)
{
    struct place_study study;
    struct fault fault = {0};
    assert_int_equal(place_study_make(scenario, &study, &fault), STATUS_OK);
    return study;
}

static void a_place_without_stations_is_refused(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct place_study study;
    struct fault fault = {0};
    assert_int_equal(place_study_make(&scenario, &study, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "station");
    assert_non_null(strstr(fault.allowed, "[station NAME]"));
}

/* Every line of the link by hand, in free space: 106.92 + 20 - 32.04 = 94.88 dBuV/m. */
static void the_link_adds_up_line_by_line(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.place.method = METHOD_FREE_SPACE;
    scenario.place.building = BUILDING_TRADITIONAL;
    scenario.place.entry_loss_db = 11.0;
    scenario.place.location_percent = 90.0;
    scenario.receiver.antenna_dbd = 5.0;
    scenario.receiver.line_loss_db = 2.0;
    struct place_study study = study_of(&scenario);
    const struct place_station *one = &study.stations[0];
    assert_near(one->link.field_dbuvm, 106.92 + 20.0 - 20.0 * log10(hypot(40.0, 0.19)), 1e-9,
                "ITU-R P.525, over the way from 200 m to 10 m");
    assert_near(one->link.level_dbm,
                one->link.field_dbuvm - 11.0 - 20.0 * log10(533.0) - 75.07 + 5.0 - 2.0, 0.01,
                "level from field");
    assert_near(one->link.noise_dbm, noise_thermal_dbm(6.0) + 7.0, 1e-9, "noise figure");
    assert_near(one->link.cn_db, one->link.level_dbm - one->link.noise_dbm, 1e-12, "definition");
    assert_true(isinf(one->link.interference_dbm));
    assert_near(one->needed_noise_db, 14.9, 0, "ATSC A/54A");
    assert_near(one->needed_snr_db, 14.9, 0, "without echoes");
    assert_near(one->verdict.margin_db, one->link.cn_db - 14.9 - 5.5 * 1.28155, 1e-4,
                "10 % point, 5.5 dB");
    assert_near(one->lost_db, 0.0, 1e-9, "nothing but noise");
    assert_near(one->needed_field_dbuvm, one->link.field_dbuvm - one->verdict.margin_db, 1e-6,
                "what is to spare of the field");
    const struct place_station *other = &study.stations[1];
    assert_near(other->needed_noise_db, receiver_need_db(&scenario.transmission), 1e-12,
                "receiver SNR");
    assert_near(other->needed_snr_db, other->needed_noise_db, 0, "without echoes");
}

static void the_same_tower_and_power_give_the_same_field(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[1].rf_channel = 24;
    struct place_study study = study_of(&scenario);
    assert_near(study.stations[0].link.field_dbuvm, study.stations[1].link.field_dbuvm, 0,
                "same tower");
    struct text words = {0};
    place_words_difference(&study.stations[0], &study.stations[1], &words);
    assert_non_null(strstr(text_string(&words), "Same power, height and distance"));
    assert_non_null(strstr(text_string(&words), "needed SNR"));
    text_free(&words);
}

static void two_equal_stations_give_equal_figures(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[1] = tower("Two", GENERATION_FIRST, 24);
    struct place_study study = study_of(&scenario);
    const struct place_station *a = &study.stations[0], *b = &study.stations[1];
    assert_near(a->link.field_dbuvm, b->link.field_dbuvm, 0, "equal");
    assert_near(a->link.level_dbm, b->link.level_dbm, 0, "equal");
    assert_near(a->link.noise_dbm, b->link.noise_dbm, 0, "equal");
    assert_near(a->verdict.margin_db, b->verdict.margin_db, 0, "equal");
    assert_near(a->reach_km, b->reach_km, 0, "equal");
    struct text words = {0};
    place_words_difference(a, b, &words);
    assert_non_null(strstr(text_string(&words), "has the same margin"));
    text_free(&words);
}

static void the_larger_polarisation_counts(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[1] = tower("Two", GENERATION_FIRST, 24);
    scenario.stations[1].erp_vertical_kw = 200.0;
    struct place_study study = study_of(&scenario);
    assert_false(study.stations[0].link.vertical);
    assert_true(study.stations[1].link.vertical);
    assert_near(study.stations[1].link.field_dbuvm - study.stations[0].link.field_dbuvm, 3.0103,
                1e-4, "twice the power");
}

static void hata_gives_way_with_words_where_it_does_not_hold(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.place.method = METHOD_HATA;
    scenario.stations[1].rf_channel = 4; /* 69 MHz, below 150 MHz */
    struct place_study study = study_of(&scenario);
    assert_int_equal(study.stations[0].link.choice.method, METHOD_HATA);
    assert_false(study.stations[0].link.choice.changed);
    assert_true(study.stations[1].link.choice.changed);
    assert_int_equal(study.stations[1].link.choice.method, METHOD_P1546);
    struct text words = {0};
    place_words_station(&study.stations[1], &words);
    assert_non_null(strstr(text_string(&words), "150 to 1500 MHz"));
    text_free(&words);
}

static void no_method_exceeds_free_space(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.place.receive_height_m = 10.0; /* Hata's correction for it is 20 dB */
    for (int method = 0; method < METHOD_COUNT; method++) {
        scenario.place.method = (enum field_method)method;
        for (double km = 2.0; km < 100.0; km *= 1.3) {
            scenario.stations[0].distance_km = km;
            struct place_study study = study_of(&scenario);
            assert_true(study.stations[0].link.field_dbuvm <=
                        free_space_field_dbuvm(scenario.stations[0].erp_kw, km) + 1e-9);
        }
    }
}

static void hatas_reach_ends_where_hata_ends(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.place.method = METHOD_HATA;
    scenario.stations[0].erp_kw = 10000.0;
    scenario.receiver.antenna_dbd = 40.0;
    struct place_study study = study_of(&scenario);
    assert_int_equal(study.stations[0].reach, REACH_BEYOND);
    assert_true(isnan(study.stations[0].reach_km));
    assert_near(study.stations[0].reach_end_km, 100.0, 0, "Okumura-Hata's extension");
    char reach[48];
    place_words_reach(&study.stations[0], reach, sizeof reach);
    assert_string_equal(reach, "beyond 100 km");
    scenario.receiver.antenna_dbd = -40.0;
    scenario.stations[0].erp_kw = 1e-6;
    study = study_of(&scenario);
    place_words_reach(&study.stations[0], reach, sizeof reach);
    assert_string_equal(reach, "below 1 km");
}

/* Two on one channel: each is noise for the other, at its own power. Both at 40 km and of the same
 * power: C/(N + I) just below 0 dB; half of the C/I's spread comes from each. */
static void stations_on_one_channel_are_each_others_noise(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[1].rf_channel = 24;
    struct place_study study = study_of(&scenario);
    for (int i = 0; i < 2; i++) {
        const struct link *link = &study.stations[i].link;
        assert_int_equal(link->interferer_count, 1);
        assert_int_equal(link->interferers[0].offset, 0);
        assert_string_equal(link->interferers[0].name, i == 0 ? "Two" : "One");
        assert_near(link->interference_dbm, study.stations[1 - i].link.level_dbm, 1e-9,
                    "its power");
        double noise = ratio_from_db(link->noise_dbm) + ratio_from_db(link->interference_dbm);
        assert_near(link->cn_db, link->level_dbm - db_from_ratio(noise), 1e-9, "sum of powers");
        assert_near(link->interference_db, db_from_ratio(noise) - link->noise_dbm, 1e-9,
                    "its part");
        assert_false(study.stations[i].verdict.works);
        assert_near(study.stations[i].verdict.margin_noise_db - link->interference_db,
                    study.stations[i].verdict.margin_db, 1e-6, "noise alone, less interference");
    }
    scenario.place.location_percent = 95.0;
    study = study_of(&scenario);
    assert_near(study.stations[0].link.location_db, 12.8, 0.02,
                "95 %, both of 5.5 dB: common practice of European planning");
    struct verdict verdict;
    assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &verdict, NULL), STATUS_OK);
    struct account account;
    verdict_account(&verdict, &account);
    assert_string_equal(account.steps[1].step, "Interference");
    assert_near(account.steps[1].change_db, -study.stations[0].link.interference_db, 1e-9,
                "told in the account");
}

/* An antenna turned to One: Two, behind it, is weaker by what ITU-R BT.419 has in UHF. */
static void an_antenna_turned_away_hears_less(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[1].rf_channel = 24;
    struct place_study round = study_of(&scenario);
    scenario.place.bearing_deg = 350.0;
    scenario.stations[0].bearing_deg = 350.0;
    scenario.stations[1].bearing_deg = 170.0;
    struct place_study turned = study_of(&scenario);
    assert_near(turned.stations[0].link.level_dbm, round.stations[0].link.level_dbm, 0, "ahead");
    assert_near(turned.stations[1].link.level_dbm, round.stations[1].link.level_dbm - 16.0, 1e-9,
                "ITU-R BT.419-3, from memory");
    assert_near(turned.stations[0].link.interference_dbm, turned.stations[1].link.level_dbm, 1e-9,
                "the interferer too");
    scenario.place.front_to_back_db = 25.0;
    turned = study_of(&scenario);
    assert_near(turned.stations[1].link.discrimination_db, 25.0, 1e-9, "as given");
    scenario.stations[1].bearing_deg = NAN;
    turned = study_of(&scenario);
    assert_near(turned.stations[1].link.discrimination_db, 0.0, 0, "nobody says where it lies");
}

/* Channels 25 and 26 beside 24: with -30 and -30 dBm the product is 2 x -30 - 30 - 2 x 10 dBm. */
static void pairs_of_strong_stations_make_a_product(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.station_count = 3;
    scenario.stations[1] = tower("Near", GENERATION_FIRST, 25);
    scenario.stations[2] = tower("Far", GENERATION_FIRST, 26);
    struct place_study study = study_of(&scenario);
    const struct link *link = &study.stations[0].link;
    assert_int_equal(link->interferer_count, 3);
    const struct interferer *product = &link->interferers[1];
    assert_string_equal(product->name, "Near + Far");
    assert_true(product->is_product);
    assert_near(product->dbm,
                2.0 * study.stations[1].link.level_dbm + study.stations[2].link.level_dbm - 20.0,
                1e-9, "third order at +10 dBm");
    /* One and three channels away: nothing falls upon the wanted one. */
    scenario.stations[2].rf_channel = 27;
    study = study_of(&scenario);
    assert_int_equal(study.stations[0].link.interferer_count, 2);
    /* Channel 5 begins 4 MHz above channel 4: 10 MHz between the middles is no neighbour. */
    scenario.station_count = 2;
    scenario.stations[0].rf_channel = 4;
    scenario.stations[1].rf_channel = 5;
    study = study_of(&scenario);
    assert_int_equal(study.stations[0].link.interferers[0].offset, 2);
}

static void overload_is_warned_of(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.stations[0].distance_km = 0.3;
    scenario.receiver.antenna_dbd = 12.0;
    struct place_study study = study_of(&scenario);
    assert_near(study.stations[0].link.headroom_db, -5.0 - study.stations[0].link.level_dbm, 1e-9,
                "ATSC A/74 5.1");
    assert_near(study.stations[1].link.headroom_db, -8.0 - study.stations[0].link.level_dbm, 1e-9,
                "ATSC A/74 5.2");
    assert_true(study.stations[0].link.headroom_db < 0.0);
    struct text words = {0};
    place_words_station(&study.stations[0], &words);
    assert_non_null(strstr(text_string(&words), "Overload"));
    text_clear(&words);
    verdict_words_short(&study.stations[0].verdict, &words);
    assert_non_null(strstr(text_string(&words), "is overloaded by"));
    text_free(&words);
}

static struct scenario network_of(int count)
{
    struct scenario scenario = scenario_default();
    static const char *const names[] = {"One", "Two", "Three"};
    for (int i = 0; i < count; i++) {
        scenario.stations[i] = tower(names[i], GENERATION_SECOND, 24);
        text_format(scenario.stations[i].network, NAME_MAX_BYTES, "Valley");
    }
    scenario.station_count = count;
    return scenario;
}

/* On the middle line between two equal transmitters: 0 dB at 0 us. Farther by 6 km: 20.01 us. */
static void transmitters_of_a_network_are_rays_of_one_another(void **state)
{
    (void)state;
    struct scenario scenario = network_of(2);
    struct place_study study = study_of(&scenario);
    for (int i = 0; i < 2; i++) {
        const struct link *link = &study.stations[i].link;
        const struct channel *channel = &study.stations[i].verdict.conditions.channel;
        assert_int_equal(channel->count, 2);
        assert_near(channel->rays[1].gain, 1.0, 1e-12, "as strong");
        assert_near(channel->rays[1].delay_us, 0.0, 1e-12, "as far");
        assert_true(channel->rays[1].any_phase);
        assert_int_equal(link->interferer_count, 0);
        assert_near(link->network_gain_db, 3.0103, 1e-4, "twice the power");
        assert_near(link->cn_db, link->level_dbm + 3.0103 - link->noise_dbm, 1e-4, "powers add");
    }
    scenario.stations[1].distance_km = 46.0;
    scenario.stations[1].delay_us = -15.0;
    study = study_of(&scenario);
    const struct ray *ray = &study.stations[0].verdict.conditions.channel.rays[1];
    assert_near(ray->delay_us, 6.0 / 0.299792458 - 15.0, 1e-9, "6 km at the speed of light");
    assert_near(20.0 * log10(ray->gain),
                study.stations[1].link.level_dbm - study.stations[0].link.level_dbm, 1e-9,
                "as their levels");
    /* Each row tells the one verdict of the network, which is that of the whole profile. */
    struct verdict verdict;
    assert_int_equal(verdict_make(&scenario, GENERATION_SECOND, &verdict, NULL), STATUS_OK);
    for (int i = 0; i < 2; i++) {
        assert_near(study.stations[i].verdict.margin_db, verdict.margin_db, 1e-9, "verdict_make");
        assert_near(study.stations[i].needed_snr_db, study.stations[0].needed_snr_db, 0,
                    "the same");
    }
    /* The other generation is asked in the same channel. */
    assert_int_equal(verdict_make(&scenario, GENERATION_FIRST, &verdict, NULL), STATUS_OK);
    assert_int_equal(verdict.conditions.channel.count, 2);
    /* Without the network's name the other is noise. */
    scenario.stations[1].network[0] = '\0';
    study = study_of(&scenario);
    assert_int_equal(study.stations[0].link.interferer_count, 1);
    assert_int_equal(study.stations[0].verdict.conditions.channel.count, 1);
}

/* 95 % of the locations, 5.5 dB each: two equal ones 57.93 - 50.95 dB by k-LNM with k = 0.7. */
static void a_network_serves_more_locations(void **state)
{
    (void)state;
    struct scenario scenario = network_of(2);
    scenario.place.location_percent = 95.0;
    struct place_study study = study_of(&scenario);
    assert_near(study.stations[0].link.network_gain_served_db, 57.93 - 50.95, 0.01,
                "k-LNM, computed apart");
    assert_near(study.stations[0].link.location_db, 1.64485 * 4.054, 0.01, "k-LNM, computed apart");
    scenario = network_of(3);
    scenario.place.location_percent = 95.0;
    study = study_of(&scenario);
    assert_near(study.stations[0].link.network_gain_served_db, 61.04 - 50.95, 0.01,
                "k-LNM, computed apart");
}

static void a_moved_transmitter_changes_what_its_network_needs(void **state)
{
    (void)state;
    struct scenario scenario = network_of(2);
    struct place_study before = study_of(&scenario), again;
    scenario.stations[1].distance_km = 96.0; /* outside the guard interval of 44 km */
    scenario.stations[1].erp_kw = 1000.0;
    struct place_study anew = study_of(&scenario);
    assert_int_equal(place_study_make_again(&scenario, &before, &again, NULL), STATUS_OK);
    assert_true(isfinite(anew.stations[0].needed_snr_db));
    assert_near(again.stations[0].needed_snr_db, anew.stations[0].needed_snr_db, 1e-9, "anew");
    assert_true(anew.stations[0].needed_snr_db > before.stations[0].needed_snr_db);
}

static void free_space_beyond_the_horizon_is_called_too_kind(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.place.method = METHOD_FREE_SPACE;
    scenario.stations[0].distance_km = 150.0;
    struct place_study study = study_of(&scenario);
    struct text words = {0};
    place_words_station(&study.stations[0], &words);
    assert_non_null(strstr(text_string(&words), "beyond the radio horizon"));
    text_free(&words);
}

static void echoes_within_the_guard_cost_the_second_generation_less(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 45.0, .level_db = -10.0};
    struct place_study study = study_of(&scenario);
    assert_true(study.has_echoes);
    /* 45 us lies outside the first generation's equaliser: -10 dB of interference forbid 14.9 dB.
     */
    assert_true(isinf(study.stations[0].needed_snr_db));
    assert_int_equal(study.stations[0].reach, REACH_NOWHERE);
    /* Noise n of all that is received, x of echo: 1 / (n (1 + x) + x) are left. Sideband filter and
     * equaliser shape the echo a little. */
    double cn_db = study.stations[0].link.cn_db - study.stations[0].link.location_db;
    double noise = ratio_from_db(-cn_db), echo = ratio_from_db(-10.0);
    double left_db = -db_from_ratio(noise * (1.0 + echo) + echo);
    assert_near(study.stations[0].verdict.margin_db, left_db - 14.9, 0.6, "sum of noise powers");
    assert_false(study.stations[0].verdict.works);
    for (int i = 0; i < 2; i++) {
        const struct place_station *station = &study.stations[i];
        const struct link *link = &station->link;
        assert_near(link->cn_db - link->location_db - station->needed_noise_db - station->lost_db,
                    station->verdict.margin_db, 1e-9, "step by step");
        assert_true(station->lost_db > 0.0);
    }
    assert_between(study.stations[1].needed_snr_db - study.stations[1].needed_noise_db, 0.0, 2.0,
                   "within the guard interval of 148 us");
}

/* The needed SNR, given to the station as its C/N, leaves no margin: found and fed back. */
static void the_first_generations_need_under_echoes_is_where_it_just_decodes(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 8.0, .level_db = -6.0, .phase_deg = 40.0};
    struct place_study study = study_of(&scenario);
    double needed_db = study.stations[0].needed_snr_db;
    assert_between(needed_db, 14.9, 20.0, "an echo within reach costs little");
    struct channel channel = channel_of(scenario.echoes, 1);
    struct vsb_echo_result result;
    assert_int_equal(vsb_echo_solve(&channel, needed_db, &scenario.first, &result), STATUS_OK);
    assert_near(result.margin_db, 0.0, 0.001, "found and fed back");
    assert_near(study.stations[0].needed_noise_db, 14.9, 0.0, "without the echo");
}

/* The margin is that of the verdict where the station gives the SNR, by the other way to it; and
 * where the margin is gone, the C/N is what is needed. */
static void margins_are_those_of_the_verdict_at_the_stations_snr(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 8.0, .level_db = -6.0, .phase_deg = 40.0};
    for (int moving = 0; moving < 2; moving++) {
        scenario.receiver.speed_kmh = moving ? 3.0 : 0.0;
        struct place_study study = study_of(&scenario);
        for (int i = 0; i < 2; i++) {
            struct place_station *station = &study.stations[i];
            struct verdict verdict;
            assert_int_equal(
                verdict_make(&scenario, station->link.tower.generation, &verdict, NULL), STATUS_OK);
            assert_int_equal(verdict.conditions.source, SNR_STATION);
            assert_near(station->verdict.margin_db, verdict.margin_db, 1e-9, "verdict_make");
            verdict.conditions.snr_db = station->needed_snr_db;
            assert_int_equal(verdict_solve(&verdict, NULL), STATUS_OK);
            assert_near(verdict.margin_db, 0.0, 0.02, "at the needed SNR");
            double km = station->link.tower.distance_km;
            assert_near(margin_at_db(&scenario, station, km), station->verdict.margin_db, 1e-9,
                        "at its own distance");
        }
    }
}

/* Along the distance most margins lie on a curve through a few that are solved. */
static void margins_along_the_distance_are_those_of_each_distance(void **state)
{
    (void)state;
    static const struct {
        int count;
        struct echo echoes[3];
        double speed_kmh;
    } channels[] = {
        {0, {{0}}, 0.0},
        {1, {{.delay_us = 8.0, .level_db = -6.0}}, 0.0},
        {1, {{.delay_us = 8.0, .level_db = 4.0}}, 0.0}, /* it may lock to either */
        {2, {{.delay_us = 90.0, .level_db = -3.0}, {.delay_us = -20.0, .level_db = -9.0}}, 40.0},
        {3,
         {{.delay_us = 260.0, .level_db = -16.0},
          {.delay_us = 410.0, .level_db = -19.0},
          {.delay_us = 0.4}},
         0.0},
    };
    enum { DISTANCES = 60 };
    double distances[DISTANCES], margins[DISTANCES];
    for (int i = 0; i < DISTANCES; i++) {
        distances[i] = 0.02 * pow(50000.0, (double)i / (DISTANCES - 1)); /* to 1000 km */
    }
    for (size_t c = 0; c < sizeof channels / sizeof channels[0]; c++) {
        struct scenario scenario = two_stations();
        scenario.echo_count = channels[c].count;
        memcpy(scenario.echoes, channels[c].echoes, sizeof channels[c].echoes);
        scenario.receiver.speed_kmh = channels[c].speed_kmh;
        struct place_study study = study_of(&scenario);
        for (int s = 0; s < 2; s++) {
            const struct place_station *station = &study.stations[s];
            assert_int_equal(place_margins_at_db(&scenario, station, distances, DISTANCES, margins),
                             STATUS_OK);
            for (int i = 0; i < DISTANCES; i++) {
                struct verdict there = station->verdict;
                verdict_hold_position(&there);
                there.conditions.snr_db = place_snr_at_db(&scenario, station, distances[i]);
                assert_int_equal(verdict_solve(&there, NULL), STATUS_OK);
                if (!isfinite(there.margin_db)) { /* it cannot follow the motion */
                    assert_true(margins[i] == there.margin_db);
                    assert_true(margin_at_db(&scenario, station, distances[i]) == there.margin_db);
                    continue;
                }
                assert_near(margin_at_db(&scenario, station, distances[i]), there.margin_db, 1e-4,
                            "the verdict there");
                assert_near(margins[i], there.margin_db, 0.01, "the verdict there");
            }
            assert_int_equal(place_margins_at_db(&scenario, station, distances + 40, 1, margins),
                             STATUS_OK);
            double alone_db = margin_at_db(&scenario, station, distances[40]);
            assert_true(margins[0] == alone_db || fabs(margins[0] - alone_db) < 0.01);
        }
    }
}

/* What is taken over from before is what would be computed anew. */
static void made_again_is_made_anew(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 8.0, .level_db = -6.0, .phase_deg = 40.0};
    for (int moving = 0; moving < 2; moving++) {
        scenario.receiver.speed_kmh = moving ? 3.0 : 0.0;
        struct place_study before = study_of(&scenario), again;
        scenario.stations[0].distance_km += 7.0;
        scenario.stations[1].rf_channel = 30;
        struct place_study anew = study_of(&scenario);
        assert_int_equal(place_study_make_again(&scenario, &before, &again, NULL), STATUS_OK);
        for (int i = 0; i < 2; i++) {
            struct place_station alone;
            assert_int_equal(place_station_make(&scenario, &scenario.stations[i], &alone, NULL),
                             STATUS_OK);
            assert_near(again.stations[i].needed_snr_db, alone.needed_snr_db, 1e-3, "anew");
            assert_near(anew.stations[i].needed_snr_db, alone.needed_snr_db, 1e-3, "anew");
            assert_near(again.stations[i].verdict.margin_db, alone.verdict.margin_db, 1e-3, "anew");
        }
    }
}

static void lower_bands_are_noisier_for_the_same_antenna(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.receiver.man_made = MAN_MADE_RESIDENTIAL;
    struct place_station bands[BAND_COUNT];
    assert_int_equal(place_bands_make(&scenario, &scenario.stations[0], bands, NULL), STATUS_OK);
    for (int band = 0; band < BAND_COUNT; band++) {
        assert_int_equal(bands[band].link.band, band);
        assert_int_equal(bands[band].link.tower.rf_channel,
                         place_band_channel(&scenario, (enum band)band));
    }
    assert_true(bands[BAND_LOW_VHF].link.noise_dbm > bands[BAND_HIGH_VHF].link.noise_dbm);
    assert_true(bands[BAND_HIGH_VHF].link.noise_dbm > bands[BAND_UHF].link.noise_dbm);
    double parts_db[PART_COUNT];
    place_difference(&bands[BAND_LOW_VHF], &bands[BAND_UHF], parts_db);
    assert_near(parts_db[PART_ANTENNA], 20.0 * log10(63.0 / 533.0), 1e-9, "capture area");
}

/* Of Region 1's plan no channel is low VHF; what a band's channel is told to reach is what a
 * station on that channel reaches. */
static void bands_of_region_1_are_those_of_stations_there(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario_set_pair(&scenario, PAIR_DVB);
    scenario.stations[0].rf_channel = 34;
    scenario.stations[1].rf_channel = 48;
    struct place_station bands[BAND_COUNT];
    assert_int_equal(place_bands_make(&scenario, &scenario.stations[0], bands, NULL), STATUS_OK);
    assert_int_equal(bands[BAND_LOW_VHF].link.tower.rf_channel, 0);
    for (int band = BAND_HIGH_VHF; band < BAND_COUNT; band++) {
        scenario.stations[0].rf_channel = place_band_channel(&scenario, (enum band)band);
        struct place_study study = study_of(&scenario);
        assert_near(bands[band].needed_snr_db, study.stations[0].needed_snr_db, 0, "alike");
        assert_near(bands[band].reach_km, study.stations[0].reach_km, 1e-9, "alike");
    }
    assert_near(bands[BAND_UHF].link.noise_dbm, -105.2 + scenario.receiver.noise_figure_db, 0.05,
                "k T B in 7.61 MHz, ITU-R BT.2033-2");
}

static void words_about_motion_name_what_is_too_fast(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    struct place_study study = study_of(&scenario);
    struct text words = {0};
    place_words_motion(&study.stations[0], &words); /* tracks 10 Hz at 533 MHz */
    assert_non_null(strstr(text_string(&words), "car"));
    assert_non_null(strstr(text_string(&words), "aircraft"));
    assert_null(strstr(text_string(&words), "person"));
    text_free(&words);
}

static void the_caution_speaks_of_power_lines_storms_and_masts(void **state)
{
    (void)state;
    const char *caution = place_words_caution();
    assert_non_null(strstr(caution, "power lines"));
    assert_non_null(strstr(caution, "storms"));
    assert_non_null(strstr(caution, "masts"));
    assert_non_null(strstr(caution, "radiate"));
}

/* An echo as strong as the main signal and far outside of guard interval and equaliser. */
static void hopeless_echoes_are_said_of_whom_they_hit(void **state)
{
    (void)state;
    struct scenario scenario = two_stations();
    scenario.echo_count = 1;
    scenario.echoes[0] = (struct echo){.delay_us = 90.0};
    struct place_study study = study_of(&scenario);
    struct text words = {0};
    place_words_difference(&study.stations[0], &study.stations[1], &words);
    assert_non_null(strstr(text_string(&words),
                           "Two against One: under these echoes no SNR suffices for One."));
    char reach[32];
    place_words_reach(&study.stations[0], reach, sizeof reach);
    assert_string_equal(reach, "none");
    scenario.echoes[0].delay_us = 2000.0;
    study = study_of(&scenario);
    text_clear(&words);
    place_words_difference(&study.stations[0], &study.stations[1], &words);
    assert_non_null(strstr(text_string(&words), "under these echoes no SNR suffices for either."));
    text_free(&words);
    scenario.echoes[0] = (struct echo){.phase_deg = 180.0}; /* cancels the main signal */
    study = study_of(&scenario);
    assert_false(study.stations[0].verdict.works);
    assert_true(isinf(study.stations[0].verdict.margin_db));
    assert_true(isinf(study.stations[0].needed_snr_db));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_place_without_stations_is_refused),
        cmocka_unit_test(the_link_adds_up_line_by_line),
        cmocka_unit_test(the_same_tower_and_power_give_the_same_field),
        cmocka_unit_test(two_equal_stations_give_equal_figures),
        cmocka_unit_test(the_larger_polarisation_counts),
        cmocka_unit_test(hata_gives_way_with_words_where_it_does_not_hold),
        cmocka_unit_test(no_method_exceeds_free_space),
        cmocka_unit_test(hatas_reach_ends_where_hata_ends),
        cmocka_unit_test(stations_on_one_channel_are_each_others_noise),
        cmocka_unit_test(an_antenna_turned_away_hears_less),
        cmocka_unit_test(pairs_of_strong_stations_make_a_product),
        cmocka_unit_test(overload_is_warned_of),
        cmocka_unit_test(transmitters_of_a_network_are_rays_of_one_another),
        cmocka_unit_test(a_network_serves_more_locations),
        cmocka_unit_test(a_moved_transmitter_changes_what_its_network_needs),
        cmocka_unit_test(free_space_beyond_the_horizon_is_called_too_kind),
        cmocka_unit_test(echoes_within_the_guard_cost_the_second_generation_less),
        cmocka_unit_test(the_first_generations_need_under_echoes_is_where_it_just_decodes),
        cmocka_unit_test(margins_are_those_of_the_verdict_at_the_stations_snr),
        cmocka_unit_test(margins_along_the_distance_are_those_of_each_distance),
        cmocka_unit_test(made_again_is_made_anew),
        cmocka_unit_test(lower_bands_are_noisier_for_the_same_antenna),
        cmocka_unit_test(bands_of_region_1_are_those_of_stations_there),
        cmocka_unit_test(words_about_motion_name_what_is_too_fast),
        cmocka_unit_test(the_caution_speaks_of_power_lines_storms_and_masts),
        cmocka_unit_test(hopeless_echoes_are_said_of_whom_they_hit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
