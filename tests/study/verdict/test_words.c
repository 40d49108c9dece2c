/* Words of a verdict, of verdicts as they may come out: one of the default mode's, with one figure
 * at a time put as another place would have it. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/verdict/verdict.h"

static struct verdicts *made(void)
{
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    struct scenario scenario = scenario_default();
    assert_non_null(verdicts);
    assert_int_equal(scenario_set(&scenario, "receiver.snr_db", "24", NULL), STATUS_OK);
    assert_int_equal(verdicts_make(&scenario, verdicts, NULL), STATUS_OK);
    return verdicts;
}

/* Ends the text and the verdicts. */
static void assert_told(struct verdicts *verdicts, struct text *words, const char *piece, bool says)
{
    if ((strstr(text_string(words), piece) != NULL) != says) {
        print_error("\"%s\" %s \"%s\"\n", text_string(words), says ? "lacks" : "has", piece);
        fail();
    }
    text_free(words);
    free(verdicts);
}

static void shares_that_round_to_all_or_nothing_are_not(void **state)
{
    (void)state;
    static const double shares[] = {0.0, 0.001, 0.5, 0.999, 1.0};
    static const int percents[] = {0, 1, 50, 99, 100};
    for (size_t i = 0; i < sizeof shares / sizeof shares[0]; i++) {
        struct verdicts *verdicts = made();
        verdicts->of[0].positions_share = shares[i];
        assert_int_equal(verdict_percent(&verdicts->of[0]), percents[i]);
        free(verdicts);
    }
}

static void what_fails_is_said_with_its_cause(void **state)
{
    (void)state;
    struct text words = {0};
    struct verdicts *verdicts = made();
    struct verdict *verdict = &verdicts->of[GENERATION_FIRST];
    verdict->works = false;
    verdict->margin_db = -INFINITY;
    verdict_words_short(verdict, &words);
    assert_told(verdicts, &words, "the rays cancel each other", true);
    verdicts = made();
    verdict = &verdicts->of[GENERATION_FIRST];
    verdict->works = false;
    verdict->margin_db = -INFINITY;
    verdict->reception.needed_db = INFINITY;
    verdict_words_short(verdict, &words);
    assert_told(verdicts, &words, "no SNR suffices", true);
    verdicts = made();
    verdicts->of[0].reception.needed_db = INFINITY;
    verdict_words_steps(&verdicts->of[0], &words);
    assert_told(verdicts, &words, "but no SNR suffices.", true);
    verdicts = made();
    verdicts->of[0].conditions.headroom_db = -3.0;
    verdict_words_line(&verdicts->of[0], false, &words);
    assert_told(verdicts, &words, "overloaded by 3.0 dB", true);
    verdicts = made();
    verdicts->of[0].conditions.headroom_db = -3.0;
    verdicts->of[0].positions = 256;
    verdict_words_line(&verdicts->of[0], false, &words);
    assert_told(verdicts, &words, "overloaded by 3.0 dB", true);
    verdicts = made();
    verdicts->of[0].conditions.headroom_db = -3.0;
    verdict_words_snr(&verdicts->of[0].conditions, &words);
    assert_told(verdicts, &words, "overload: 3.0 dB above", true);
}

/* Of many positions, with a margin and without. */
static void a_line_has_a_margin_where_there_is_one(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        struct text words = {0};
        struct verdicts *verdicts = made();
        struct verdict *verdict = &verdicts->of[0];
        verdict->positions = 256;
        verdict->positions_share = 0.62;
        verdict->margin_db = i == 1 ? -INFINITY : 1.3;
        verdict->fare.lost = i == 2;
        verdict_words_line(verdict, false, &words);
        assert_non_null(strstr(text_string(&words), "decodes at 62 % of positions"));
        assert_told(verdicts, &words, "(+1.3 dB)", i == 0);
    }
    for (int i = 0; i < 2; i++) { /* at half of them none has a margin */
        struct text words = {0};
        struct verdicts *verdicts = made();
        verdicts->of[0].positions = 256;
        verdicts->of[0].positions_share = i == 0 ? 0.0 : 1.0;
        verdicts->of[0].margin_db = -INFINITY;
        verdict_words_short(&verdicts->of[0], &words);
        assert_told(verdicts, &words,
                    i == 0 ? "fails at all positions" : "decodes at all positions", true);
    }
}

static void what_decides_is_told_of_whom_it_hits(void **state)
{
    (void)state;
    struct text words = {0};
    for (int generation = 0; generation < GENERATION_COUNT; generation++) {
        struct verdicts *verdicts = made();
        verdicts->of[generation].known = false;
        verdict_words_decision(verdicts, &words);
        assert_told(verdicts, &words, "Without an SNR for both", true);
        verdicts = made();
        verdicts->of[generation].fare.lost = true;
        verdicts->of[0].positions = verdicts->of[1].positions = 256;
        verdict_words_decision(verdicts, &words);
        assert_told(verdicts, &words, "cannot follow the motion, at any SNR.", true);
    }
    struct verdicts *verdicts = made();
    verdicts->of[0].reception.needed_db = verdicts->of[1].reception.needed_db = INFINITY;
    verdicts->of[0].positions = verdicts->of[1].positions = 256;
    verdict_words_decision(verdicts, &words);
    assert_non_null(strstr(text_string(&words), "decodes at no SNR, whatever the channel. "));
    assert_told(verdicts, &words, "decodes at no SNR, ", true);
    verdicts = made();
    verdicts->of[0].fare.lost = verdicts->of[1].fare.lost = true;
    verdict_words_decision(verdicts, &words);
    assert_told(verdicts, &words, "nine of ten", false);
    verdicts = made();
    verdicts->of[0].positions = 256;
    verdicts->of[0].margin_90_db = -INFINITY;
    verdicts->of[1].margin_90_db = -2.0;
    verdict_words_decision(verdicts, &words);
    assert_non_null(strstr(text_string(&words), "may meet rays that cancel each other"));
    assert_told(verdicts, &words, "is at most 2.0 dB short", true);
    verdicts = made();
    verdicts->of[0].positions = 256;
    verdicts->of[0].works = verdicts->of[1].works = false;
    verdicts->of[0].margin_db = verdicts->of[0].margin_noise_db = 1.0;
    verdicts->of[1].margin_db = verdicts->of[1].margin_noise_db - 2.0;
    verdict_words_decision(verdicts, &words);
    assert_non_null(strstr(text_string(&words), "Neither decodes at 50 % of the positions. "));
    assert_told(verdicts, &words, "or more", false);
}

/* Where another share than half is asked for it is said who reaches it, and a margin at half of
 * them, a real receiver's or an ideal one's, is no answer. */
static void what_is_asked_is_said_where_it_is_not_half(void **state)
{
    (void)state;
    struct text words = {0};
    struct verdicts *verdicts = made();
    for (int g = 0; g < GENERATION_COUNT; g++) {
        struct verdict *verdict = &verdicts->of[g];
        verdict->positions = 256;
        verdict->positions_share = 0.84;
        verdict->conditions.position_percent = 99.0;
    }
    verdicts->of[0].works = false;
    verdict_words_decision(verdicts, &words);
    assert_non_null(strstr(text_string(&words), "Only OFDM decodes at 99 % of the positions or "));
    assert_null(strstr(text_string(&words), "An ideal receiver"));
    text_clear(&words);
    verdict_words_short(&verdicts->of[0], &words);
    assert_non_null(strstr(text_string(&words), "at 84 % of the positions, fewer than the 99 % "
                                                "asked for, "));
    text_clear(&words);
    verdicts->of[0].conditions.channel.spread_hz = 2.0; /* then it is a share of the time */
    verdict_words_short(&verdicts->of[0], &words);
    assert_non_null(strstr(text_string(&words), "84 % of the time, less than the 99 % asked for"));
    text_clear(&words);
    verdict_words_short(&verdicts->of[1], &words);
    assert_told(verdicts, &words, "asked for", false);
    verdicts = made();
    verdicts->of[0].works = false;
    verdicts->of[0].positions = 256;
    verdicts->of[0].positions_share = 0.4;
    verdict_words_decision(verdicts, &words);
    assert_non_null(strstr(text_string(&words), "An ideal receiver of 8-VSB"));
    text_clear(&words);
    verdict_words_short(&verdicts->of[0], &words);
    assert_told(verdicts, &words, "asked for", false);
}

/* Without echoes it is the motion alone that takes what is lost, and one that has no positions
 * stands beside one that has. */
static void motion_alone_is_named_alone(void **state)
{
    (void)state;
    struct text words = {0};
    struct scenario scenario = scenario_default_of(PAIR_DVB);
    struct verdicts *verdicts = malloc(sizeof *verdicts);
    assert_non_null(verdicts);
    scenario.receiver.snr_db = 30.0;
    scenario.receiver.speed_kmh = 40.0;
    scenario.receiver.positions = 4;
    assert_int_equal(verdicts_make(&scenario, verdicts, NULL), STATUS_OK);
    verdict_words_decision(verdicts, &words);
    assert_told(verdicts, &words, "dB to motion; ", true);
    verdicts = made();
    verdicts->of[GENERATION_SECOND].positions = 256;
    verdict_words_decision(verdicts, &words);
    assert_told(verdicts, &words, " At nine of ten positions ", true);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_that_round_to_all_or_nothing_are_not),
        cmocka_unit_test(what_fails_is_said_with_its_cause),
        cmocka_unit_test(a_line_has_a_margin_where_there_is_one),
        cmocka_unit_test(what_decides_is_told_of_whom_it_hits),
        cmocka_unit_test(what_is_asked_is_said_where_it_is_not_half),
        cmocka_unit_test(motion_alone_is_named_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
