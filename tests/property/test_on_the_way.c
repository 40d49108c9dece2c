/* Where a moving receiver is told to decode with something to spare a simulated one does, and where
 * it is told to lack something it does not: a few positions of the rooms of tests/proof/rooms.h,
 * whose table holds many (tests/published/test_outage.c). */
#include "support/near.h"

#include <math.h>

#include "base/units.h"
#include "physics/vsb/echo.h"
#include "proof/rooms.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/receiver/frame.h"
#include "standard/vsb/signal.h"
#include "support/effort.h"
#include "system/simulation.h"

#define KMH 20.0
#define CLEAR_DB 1.5 /* of margin: so near to 0 a field or two tell nothing */

/* ---- 8-VSB. ---- */

static const struct first_receiver receiver = {.threshold_db = 14.9,
                                               .equaliser_before_us = ROOM_REACH_US,
                                               .equaliser_after_us = ROOM_REACH_US,
                                               .tracking_hz = 10.0,
                                               .feedback = FEEDBACK_TRELLIS};

static int wrong_segments(const struct channel *drawn, double snr_db)
{
    struct vsb_receiver_setup setup = {.channel = *drawn,
                                       .snr_db = snr_db,
                                       .spans = vsb_equaliser_spans(ROOM_REACH_US, ROOM_REACH_US),
                                       .feedback = receiver.feedback,
                                       .tracking_hz = receiver.tracking_hz};
    double lead = (double)vsb_air_segments(vsb_receiver_lead_segments(&setup));
    double before = (lead + 0.5 * VSB_FIELD_SEGMENTS) * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz();
    channel_advance(drawn, -before, &setup.channel);
    struct vsb_worker *worker = vsb_worker_create(&setup);
    assert_non_null(worker);
    struct vsb_outcome outcome = vsb_send(worker, snr_db, 29, 0);
    vsb_worker_free(worker);
    assert_int_equal(outcome.status, STATUS_OK);
    return outcome.segment_errors;
}

static void clear_margins_of_8vsb_are_borne_out(void **state)
{
    (void)state;
    const struct reception reception = {
        .system = &system_vsb, .needed_db = receiver.threshold_db, .vsb = receiver};
    int decoding = 0, failing = 0;
    for (int position = 0; position < (int)effort(10, 24, 200); position++) {
        struct channel drawn;
        struct fare_work *work;
        double margin_db;
        motion_draw(known_room_named("flat"), KMH, position, &drawn);
        assert_int_equal(system_vsb.open(&reception, &drawn, &work), STATUS_OK);
        assert_int_equal(system_vsb.margin(&reception, &drawn, 19.0, -INFINITY, work, &margin_db),
                         STATUS_OK);
        system_vsb.close(work);
        if (fabs(margin_db) > CLEAR_DB) {
            assert_int_equal(wrong_segments(&drawn, 19.0) == 0, margin_db > 0.0);
            decoding += margin_db > 0.0;
            failing += margin_db < 0.0;
        }
    }
    assert_true(decoding >= 2 && failing >= 2);
}

/* A field is sent while the channel changes: what is told is what its account tells, and less than
 * at its middle where the way leads out of a good place or into one. */
static void a_field_has_the_margin_of_its_worse_end(void **state)
{
    (void)state;
    const struct reception reception = {
        .system = &system_vsb, .needed_db = receiver.threshold_db, .vsb = receiver};
    int less = 0;
    enum { POSITIONS = 40 };
    for (int position = 0; position < POSITIONS; position++) {
        struct channel drawn;
        struct vsb_echo_result middle;
        static struct fare fare;
        struct fare_work *work;
        double margin_db, sum_db;
        motion_draw(known_room_named("city"), KMH, position, &drawn);
        assert_int_equal(system_vsb.open(&reception, &drawn, &work), STATUS_OK);
        assert_int_equal(system_vsb.margin(&reception, &drawn, 20.0, -INFINITY, work, &margin_db),
                         STATUS_OK);
        assert_int_equal(system_vsb.fare(&reception, &drawn, 20.0, NULL, &fare), STATUS_OK);
        system_vsb.close(work);
        assert_near(fare.margin_db, margin_db, 1e-9, "the account's");
        sum_db = fare.snr_db;
        for (int i = 0; i < fare.loss_count; i++) {
            sum_db -= fare.losses[i].db;
        }
        assert_near(fare.snr_db, 20.0, 0.0, "of the field");
        assert_near(sum_db, fare.left_db, 1e-9, "losses add up");
        assert_int_equal(vsb_echo_solve(&drawn, 20.0, &receiver, &middle), STATUS_OK);
        less += margin_db < middle.margin_db;
    }
    assert_true(less > POSITIONS / 2);
}

/* Where less does not matter no more of a field is asked than shows that it is less. */
static void margins_that_do_not_matter_are_too_great_at_most(void **state)
{
    (void)state;
    const struct reception reception = {
        .system = &system_vsb, .needed_db = receiver.threshold_db, .vsb = receiver};
    int told_otherwise = 0;
    for (int position = 0; position < 20; position++) {
        struct channel drawn;
        struct fare_work *work;
        double margin_db, above_db, below_db;
        motion_draw(known_room_named("city"), KMH, position, &drawn);
        assert_int_equal(system_vsb.open(&reception, &drawn, &work), STATUS_OK);
        assert_int_equal(system_vsb.margin(&reception, &drawn, 20.0, -INFINITY, work, &margin_db),
                         STATUS_OK);
        assert_int_equal(
            system_vsb.margin(&reception, &drawn, 20.0, margin_db - 0.01, work, &below_db),
            STATUS_OK);
        assert_int_equal(
            system_vsb.margin(&reception, &drawn, 20.0, margin_db + 3.0, work, &above_db),
            STATUS_OK);
        system_vsb.close(work);
        assert_near(below_db, margin_db, 0.0, "what matters");
        assert_true(above_db >= margin_db && above_db < margin_db + 3.0);
        told_otherwise += above_db > margin_db;
    }
    assert_true(told_otherwise > 0);
}

/* ---- OFDM: waves as rays of their own, with shifts of their own. ---- */

static void clear_margins_of_ofdm_are_borne_out(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    struct reception reception;
    int decoding = 0, failing = 0;
    scenario.transmission.plps[0].code.constellation = QAM64;
    assert_int_equal(system_atsc3.receive(&scenario, PIPE_MOST_ROBUST, &reception, NULL),
                     STATUS_OK);
    reception.needed_db = reception.ofdm.needed_db = reception.ideal_db; /* as is simulated */
    for (int position = 0; position < (int)effort(12, 40, 200); position++) {
        double snr_db = position % 2 == 0 ? 13.0 : 19.0, margin_db;
        struct channel drawn;
        struct fare_work *work;
        motion_draw(known_room_named("flat"), KMH, position, &drawn);
        assert_int_equal(system_atsc3.open(&reception, &drawn, &work), STATUS_OK);
        assert_int_equal(
            system_atsc3.margin(&reception, &drawn, snr_db, -INFINITY, work, &margin_db),
            STATUS_OK);
        system_atsc3.close(work);
        if (fabs(margin_db) < CLEAR_DB / 3.0) {
            continue;
        }
        drawn.waves = 0;
        drawn.spread_hz = 0.0;
        const struct simulation_case asked = {.scenario = &scenario,
                                              .choice = {.channel = CHANNEL_CARRIERS,
                                                         .algorithm = LDPC_SUM_PRODUCT,
                                                         .iterations = 50},
                                              .reception = &reception,
                                              .channel = &drawn};
        const struct run_limits limits = {
            .frames = 4, .seed = 31, .threads = 1, .part = 1, .parts = 1};
        struct run_counts counts = {0};
        assert_int_equal(system_atsc3.simulation->run(&asked, snr_db, &limits, NULL, &counts),
                         STATUS_OK);
        assert_int_equal(counts.frame_errors, margin_db > 0.0 ? 0 : counts.frames);
        decoding += margin_db > 0.0;
        failing += margin_db < 0.0;
    }
    assert_true(decoding >= 3 && failing >= 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(clear_margins_of_8vsb_are_borne_out),
        cmocka_unit_test(a_field_has_the_margin_of_its_worse_end),
        cmocka_unit_test(margins_that_do_not_matter_are_too_great_at_most),
        cmocka_unit_test(clear_margins_of_ofdm_are_borne_out),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
