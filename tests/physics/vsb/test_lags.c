#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/echo.h"
#include "support/effort.h"

static const struct first_receiver learning = {14.9, 12.0, 16.0, 10.0, 0.05, 0.0, FEEDBACK_TRELLIS};

static void room_make(const struct echo *echoes, int count, struct channel *channel)
{
    static const char *const names[] = {"a", "b", "c"};
    channel_start(channel, 189e6);
    for (int i = 0; i < count; i++) {
        assert_true(channel_add(channel, &echoes[i], names[i]));
    }
}

/* What positions in a row are off their own margins: mean and root mean square. */
struct off {
    double mean_db, rms_db;
    int followed;
};

static struct off off_of(const struct channel *channel, double snr_db, int positions)
{
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct off off = {0.0, 0.0, 0};
    for (int i = 0; i < positions; i++) {
        struct channel drawn;
        struct vsb_echo_result own;
        double margin_db;
        channel_draw(channel, (uint64_t)i, &drawn);
        assert_int_equal(vsb_echo_solve(&drawn, snr_db, &learning, &own), STATUS_OK);
        assert_int_equal(
            vsb_echo_margin_db(&drawn, snr_db, &learning, -INFINITY, &work, &margin_db), STATUS_OK);
        off.mean_db += (margin_db - own.margin_db) / positions;
        off.rms_db += pow(margin_db - own.margin_db, 2.0) / positions;
    }
    off.rms_db = sqrt(off.rms_db);
    off.followed = work.lags[0].count;
    print_message("%d of %d followed: mean %.4f dB, root mean square %.4f dB off\n", off.followed,
                  positions, off.mean_db, off.rms_db);
    vsb_echo_work_free(&work);
    return off;
}

static void a_few_positions_foretell_the_others_where_lag_is_small(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {2.3, -11.0, NAN, 1.0}, {6.1, -12.0, NAN, 0.0}, {9.4, -14.0, NAN, 0.0}};
    struct channel channel;
    int positions = (int)effort(64, 256, 256);
    room_make(echoes, 3, &channel);
    struct off off = off_of(&channel, 22.0, positions);
    assert_between(off.followed, 16, positions / 2, "most of them are foretold");
    assert_near(off.mean_db, 0.0, 0.01, "each position's own");
    assert_between(off.rms_db, 0.0, 0.03, "each position's own");
}

static void positions_find_their_own_where_none_foretells_another(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {0.1, -5.0, NAN, 0.6}, {0.2, -7.0, NAN, -1.1}, {0.4, -6.0, NAN, 0.0}};
    struct channel channel;
    room_make(echoes, 3, &channel);
    struct off off = off_of(&channel, 18.0, 64);
    assert_int_equal(off.followed, 64);
    assert_near(off.rms_db, 0.0, 0.0, "each position's own");
}

/* Rays far apart, whose power hardly hangs on their phases, at one instant and a moment later. */
static void taps_go_on_from_where_they_were_a_moment_before(void **state)
{
    (void)state;
    const struct echo echoes[] = {
        {2.3, -5.0, NAN, 1.0}, {6.1, -8.0, NAN, 0.0}, {4.4, -7.0, NAN, -2.0}};
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel;
    double off_db = 0.0;
    int gone_on = 0; /* followed anew it would be the same to the last bit */
    room_make(echoes, 3, &channel);
    for (int i = 0; i < 8; i++) {
        struct channel drawn, later;
        struct vsb_echo_result own;
        double margin_db;
        channel_draw(&channel, (uint64_t)i, &drawn);
        channel_advance(&drawn, 0.05, &later);
        assert_int_equal(vsb_echo_margin_db(&drawn, 20.0, &learning, -INFINITY, &work, &margin_db),
                         STATUS_OK);
        assert_int_equal(vsb_echo_margin_db(&later, 20.0, &learning, -INFINITY, &work, &margin_db),
                         STATUS_OK);
        assert_int_equal(vsb_echo_solve(&later, 20.0, &learning, &own), STATUS_OK);
        assert_near(margin_db, own.margin_db, 0.1, "followed anew");
        off_db += (margin_db - own.margin_db) / 8.0;
        gone_on += margin_db != own.margin_db;
    }
    assert_true(gone_on >= 4);
    assert_near(off_db, 0.0, 0.02, "followed anew");
    vsb_echo_work_free(&work);
}

static void another_snr_makes_it_forget(void **state)
{
    (void)state;
    const struct echo echo = {2.3, -8.0, NAN, 1.0};
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel, drawn;
    double margin_db, again_db;
    room_make(&echo, 1, &channel);
    channel_draw(&channel, 0, &drawn);
    assert_int_equal(vsb_echo_margin_db(&drawn, 22.0, &learning, -INFINITY, &work, &margin_db),
                     STATUS_OK);
    assert_int_equal(vsb_echo_margin_db(&drawn, 22.0, &learning, -INFINITY, &work, &again_db),
                     STATUS_OK);
    assert_int_equal(work.lags[0].count, 1); /* the same position is not followed twice */
    assert_near(again_db, margin_db, 0.0, "the same position");
    assert_int_equal(vsb_echo_margin_db(&drawn, 24.0, &learning, -INFINITY, &work, &margin_db),
                     STATUS_OK);
    assert_int_equal(work.lags[0].count, 1);
    vsb_echo_work_free(&work);
}

#define MOVING_DB 17.5

/* Each position of a receiver that moves has waves of its own: after the first 192 they take what
 * happened to one like them, and the share that decodes is as if all had been followed. */
static void moving_positions_not_followed_decode_as_often_as_those_that_are(void **state)
{
    (void)state;
    enum { FOLLOWED = 192, OTHERS = 128 };
    const struct echo echoes[] = {
        {0.061, -5.0, NAN, 0.0}, {0.17, -4.0, NAN, 0.0}, {0.42, -6.0, NAN, 0.0}};
    struct vsb_echo_work work = {.lags = {{.count = 0}}};
    struct channel channel, drawn;
    int counted = 0, told = 0, own_told = 0;
    room_make(echoes, 3, &channel);
    channel.spread_hz = 0.35; /* 2 km/h */
    for (int i = 0; i < FOLLOWED + OTHERS; i++) {
        struct vsb_echo_result own;
        double margin_db;
        channel_draw(&channel, (uint64_t)i, &drawn);
        assert_int_equal(
            vsb_echo_margin_db(&drawn, MOVING_DB, &learning, -INFINITY, &work, &margin_db),
            STATUS_OK);
        if (work.lags[0].count + work.lags[1].count < FOLLOWED) {
            continue;
        }
        assert_int_equal(vsb_echo_solve(&drawn, MOVING_DB, &learning, &own), STATUS_OK);
        counted++;
        told += margin_db >= 0.0;
        own_told += own.margin_db >= 0.0;
    }
    assert_true(work.lags[0].count <= FOLLOWED && work.lags[1].count <= FOLLOWED);
    print_message("%d of %d told, %d of their own\n", told, counted, own_told);
    assert_true(counted > 64 && own_told > 0.2 * counted && own_told < 0.9 * counted);
    assert_near((double)told / counted, (double)own_told / counted, 0.05, "each followed");
    vsb_echo_work_free(&work);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_few_positions_foretell_the_others_where_lag_is_small),
        cmocka_unit_test(positions_find_their_own_where_none_foretells_another),
        cmocka_unit_test(taps_go_on_from_where_they_were_a_moment_before),
        cmocka_unit_test(another_snr_makes_it_forget),
        cmocka_unit_test(moving_positions_not_followed_decode_as_often_as_those_that_are),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
