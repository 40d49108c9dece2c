/* The digest in the name of a run follows all that enters the simulated channel, and nothing else:
 * counts may be added where it is the same, and only there. */
#include "support/near.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "scenario/section.h"
#include "standard/atsc3/frame.h"
#include "study/proof/proof.h"
#include "study/verdict/changes.h"

static void identify(const struct scenario *scenario, enum generation generation, char *buffer,
                     size_t size)
{
    struct proof_choice choice = proof_choice_default();
    struct fault fault = {0};
    choice.generation = generation;
    choice.channel = CHANNEL_CARRIERS;
    if (proof_identify(scenario, &choice, buffer, size, &fault) != STATUS_OK) {
        fail_msg("%s: %s", fault.place, fault.wrong);
    }
}

/* What the name tells of the channel: from "profile with 2 echoes" on. */
static bool is_same_channel(const struct scenario *a, const struct scenario *b,
                            enum generation generation)
{
    char one[512], other[512];
    identify(a, generation, one, sizeof one);
    identify(b, generation, other, sizeof other);
    const char *from = strstr(one, "profile with"), *to = strstr(other, "profile with");
    assert_non_null(from);
    assert_non_null(to);
    assert_non_null(strstr(from, PROOF_CHANNEL_MARK));
    return strcmp(from, to) == 0;
}

/* ---- Named keys: what must be followed, and what must not. ---- */

enum { FOLLOWED_BY_FIRST = 1 << GENERATION_FIRST, FOLLOWED_BY_SECOND = 1 << GENERATION_SECOND };
#define BOTH (FOLLOWED_BY_FIRST | FOLLOWED_BY_SECOND)

/* Of one pair's own keys only scenarios of that pair are asked. */
static const struct {
    const char *key, *value;
    int followed;
} keys_at_rest[] = {
    {"echo.delay_us", "3.25", BOTH},
    {"echo.level_db", "-7.5", BOTH},
    {"echo.phase_deg", "77", BOTH},
    {"echo.doppler_hz", "4.5", BOTH},
    {"receiver.speed_kmh", "43", BOTH},
    {"first.equaliser_before_us", "17.5", FOLLOWED_BY_FIRST},
    {"first.equaliser_after_us", "21.5", FOLLOWED_BY_FIRST},
    {"first.threshold_db", "15.7", 0},
    {"first.tracking_hz", "3.5", FOLLOWED_BY_FIRST},
    {"first.adaptation_step", "0.07", FOLLOWED_BY_FIRST},
    {"first.feedback", "slicer", FOLLOWED_BY_FIRST},
    {"first.implementation_loss_db", "2.5", 0},
    {"mode.fft", "32K", FOLLOWED_BY_SECOND},
    {"mode.reduction", "2", FOLLOWED_BY_SECOND},
    {"mode.rate", "4/15", 0},
    {"mode.constellation", "QPSK", 0},
    {"mode.length", "16200", 0},
    {"mode.outer", "none", 0},
    {"dvbt.fft", "2K", FOLLOWED_BY_FIRST},
    {"dvbt.guard", "1/8", FOLLOWED_BY_FIRST},
    {"dvbt.constellation", "QPSK", 0},
    {"dvbt.rate", "1/2", 0},
    {"dvbt2.fft", "8K", FOLLOWED_BY_SECOND},
    {"dvbt2.constellation", "QPSK", 0},
    {"dvbt2.rate", "1/2", 0},
    {"site.rf_channel", "33", 0},
    {"site.bandwidth_mhz", "7", FOLLOWED_BY_SECOND},
    {"receiver.snr_db", "31.5", 0},
    {"receiver.level_dbm", "-66", 0},
    {"receiver.noise_figure_db", "9.5", 0},
    {"receiver.man_made", "city", 0},
    {"receiver.antenna_dbd", "3.5", 0},
    {"receiver.line_loss_db", "1.5", 0},
    {"place.receive_height_m", "4.5", 0},
    {"place.building", "efficient", 0},
    {"place.location_percent", "91", 0},
    {"place.method", "free-space", 0},
    {"station.erp_kw", "3.5", 0},
    {"station.rf_channel", "19", 0},
};

static int checked;

static bool is_of_pair(const struct scenario *scenario, size_t k)
{
    static const struct {
        const char *start;
        enum pair pair;
    } owned[] = {{"first.", PAIR_ATSC},
                 {"mode.", PAIR_ATSC},
                 {"station.rf_channel", PAIR_ATSC}, /* the other plan has no channel 19 */
                 {"site.bandwidth_mhz", PAIR_ATSC},
                 {"dvbt", PAIR_DVB}};
    for (size_t i = 0; i < sizeof owned / sizeof owned[0]; i++) {
        if (strncmp(keys_at_rest[k].key, owned[i].start, strlen(owned[i].start)) == 0) {
            return scenario->site.pair == owned[i].pair;
        }
    }
    return true;
}

static void check_named(const struct scenario *given, const char *path, const char *set)
{
    (void)set;
    struct scenario scenario = *given;
    if (scenario.echo_count == 0) {
        return;
    }
    scenario.receiver.speed_kmh = 0.0;
    for (int i = 0; i < scenario.echo_count; i++) {
        scenario.echoes[i].doppler_hz = 0.0; /* of its own it would keep, whatever the speed */
    }
    for (size_t k = 0; k < sizeof keys_at_rest / sizeof keys_at_rest[0]; k++) {
        struct scenario other = scenario;
        const struct change change = {keys_at_rest[k].key, keys_at_rest[k].value};
        char words[192];
        if (!is_of_pair(&scenario, k) || !change_apply(&change, &other, words, sizeof words) ||
            memcmp(&other, &scenario, sizeof other) == 0) {
            continue; /* not there, not legal, or so already */
        }
        for (int i = 0; i < GENERATION_COUNT; i++) {
            bool followed = keys_at_rest[k].followed & 1 << i;
            if (is_same_channel(&scenario, &other, (enum generation)i) == followed) {
                fail_msg("%s%s: %s, and it is%s", path, words,
                         followed ? "enters the channel" : "does not enter the channel",
                         followed ? " not followed" : " followed");
            }
            checked++;
        }
    }
}

static void keys_that_enter_the_channel_are_followed_and_no_others(void **state)
{
    (void)state;
    static const struct change nothing = {NULL, NULL};
    checked = 0;
    each_change(&nothing, 1, check_named);
    assert_true(checked > 800);
}

/* ---- Every key there is, against what the simulation is given. ---- */

/* What of a scenario the simulated channel is made from. */
struct given {
    struct channel channel;
    struct ofdm_grid grid; /* of a system of carriers */
    double span_ms;
    struct first_receiver first; /* of one that has none */
};

static bool given_by(const struct scenario *scenario, enum generation generation,
                     struct given *given)
{
    static struct conditions conditions;
    static struct reception reception;
    const struct system *system = system_of(scenario, generation);
    assert_int_equal(conditions_make(scenario, generation, &conditions, NULL), STATUS_OK);
    channel_draw(&conditions.channel, 0, &given->channel); /* the position that is simulated */
    if (system->receive(scenario, PIPE_MOST_ROBUST, &reception, NULL) != STATUS_OK) {
        return false;
    }
    given->grid = system->one_mode ? (struct ofdm_grid){0} : reception.ofdm.grid;
    given->span_ms = system->one_mode ? 0.0 : reception.ofdm.span_ms;
    given->first = system->one_mode ? scenario->first : (struct first_receiver){0};
    return true;
}

static bool is_same_rays(const struct channel *a, const struct channel *b)
{
    bool same = a->count == b->count && a->spread_hz == b->spread_hz;
    for (int i = 0; same && i < a->count; i++) {
        same = a->rays[i].delay_us == b->rays[i].delay_us && a->rays[i].gain == b->rays[i].gain &&
               a->rays[i].phase == b->rays[i].phase &&
               a->rays[i].doppler_hz == b->rays[i].doppler_hz;
    }
    return same;
}

static bool is_same_given(const struct given *a, const struct given *b)
{
    const struct first_receiver *p = &a->first, *q = &b->first;
    const struct ofdm_grid *g = &a->grid, *h = &b->grid;
    return is_same_rays(&a->channel, &b->channel) &&
           p->equaliser_before_us == q->equaliser_before_us &&
           p->equaliser_after_us == q->equaliser_after_us && p->tracking_hz == q->tracking_hz &&
           p->adaptation_step == q->adaptation_step && p->feedback == q->feedback &&
           g->useful_us == h->useful_us && g->guard_us == h->guard_us &&
           g->carriers == h->carriers && g->dx == h->dx && g->dy == h->dy &&
           a->span_ms == b->span_ms;
}

/* Another value of the key that is legal where `scenario` is; false where none is found. */
static bool change_field_somehow(const struct field *field, struct scenario *scenario)
{
    const struct section *section = section_find(field->section);
    for (int trial = 0; trial < 12 && section_items(section, scenario) > 0; trial++) {
        struct scenario other = *scenario;
        double share = 0.31 + 0.03 * trial, low = field->low, high = field->high;
        double number = field->type == FIELD_NUMBER ? low + share * (high - low)
                                                    : low + trial % (int)(high - low + 1.0);
        struct frame frame;
        field_put(field, section_item_of(section, &other, 0), number);
        if (!field_is_same(field, section_item(section, &other, 0),
                           section_item(section, scenario, 0)) &&
            scenario_check(&other, NULL) == STATUS_OK &&
            frame_build(&other.transmission, &frame, NULL) == STATUS_OK) {
            *scenario = other;
            return true;
        }
    }
    return false;
}

static int differed[GENERATION_COUNT], alike[GENERATION_COUNT];

static void check_every_key(const struct scenario *scenario, const char *path, const char *set)
{
    static struct given before, after;
    if (scenario->echo_count == 0) {
        return;
    }
    for (size_t k = 0; k < field_count(); k++) {
        const struct field *field = field_at(k);
        struct scenario other = *scenario;
        if (!change_field_somehow(field, &other) || other.site.pair != scenario->site.pair) {
            continue; /* another pair's runs have other names altogether */
        }
        for (int i = 0; i < GENERATION_COUNT; i++) {
            enum generation generation = (enum generation)i;
            if (!given_by(scenario, generation, &before) || !given_by(&other, generation, &after)) {
                continue;
            }
            bool same = is_same_given(&before, &after);
            if (is_same_channel(scenario, &other, generation) != same) {
                fail_msg("%s%s: %s.%s: the channel is %s, its name is not", path, set,
                         field->section, field->name, same ? "the same" : "another");
            }
            *(same ? &alike[i] : &differed[i]) += 1;
        }
    }
}

static void the_name_is_the_same_where_the_channel_is(void **state)
{
    (void)state;
    static const struct change few[] = {{NULL, NULL},
                                        {"receiver.speed_kmh", "27"},
                                        {"receiver.snr_db", "none"},
                                        {"echo.doppler_hz", "2"}};
    each_change(few, 4, check_every_key);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_true(differed[i] > 200 && alike[i] > 1000);
    }
}

/* Doppler follows the channel's frequency where a receiver moves, and then so does the name. */
static void a_moving_receivers_channel_number_is_followed(void **state)
{
    (void)state;
    struct profile profile;
    assert_int_equal(profile_read_file("profiles/echo-hill.ini", &profile, NULL), STATUS_OK);
    profile.scenario.receiver.speed_kmh = 50.0;
    struct scenario other = profile.scenario;
    scenario_set_channel(&other, profile.scenario.site.rf_channel == 33 ? 34 : 33);
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_false(is_same_channel(&profile.scenario, &other, (enum generation)i));
    }
    profile_free(&profile);
}

/* What is near a receiver that moves scatters the main signal too. */
static void motion_is_followed_without_echoes(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default(), other = scenario;
    other.receiver.speed_kmh = 100.0;
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_false(is_same_channel(&scenario, &other, (enum generation)i));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_that_enter_the_channel_are_followed_and_no_others),
        cmocka_unit_test(the_name_is_the_same_where_the_channel_is),
        cmocka_unit_test(a_moving_receivers_channel_number_is_followed),
        cmocka_unit_test(motion_is_followed_without_echoes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
