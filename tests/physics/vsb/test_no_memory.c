#include "support/near.h"
#include "support/signals.h"

#include "physics/vsb/echo.h"
#include "simulation/vsb/chain.h"
#include "support/failing.h"

static const struct echo echoes[] = {{2.0, -6.0, 10.0, 5.0}, {-1.0, 3.0, 90.0, 80.0}};

static int solve_it(void)
{
    const struct first_receiver receiver = {14.9, 5.0, 5.0, 10.0, 0.1, 0.5, FEEDBACK_TRELLIS};
    struct vsb_echo_result result;
    enum status status = vsb_solve_echoes(echoes, 2, 20.0, &receiver, &result);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void solving_echoes_says_so(void **state)
{
    (void)state;
    fail_each_allocation(solve_it, "solving echoes");
}

/* Echoes short against the reach, one moving: taps from the spectrum, and a lag. */
static int solve_a_room(void)
{
    const struct echo room[] = {{0.1, -6.0, 10.0, 2.0}, {0.3, -10.0, 90.0, 0.0}};
    const struct first_receiver receiver = {14.9, 20.0, 20.0, 10.0, 0.1, 0.5, FEEDBACK_TRELLIS};
    struct vsb_echo_result result;
    enum status status = vsb_solve_echoes(room, 2, 20.0, &receiver, &result);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void solving_a_room_says_so(void **state)
{
    (void)state;
    fail_each_allocation(solve_a_room, "solving a room");
}

static int receive_it(void)
{
    struct vsb_receiver_setup setup = {
        .snr_db = 20.0, .spans = {10, 10, 10}, .feedback = FEEDBACK_TRELLIS, .tracking_hz = 10.0};
    channel_start(&setup.channel, 189e6);
    channel_add(&setup.channel, &echoes[0], "slow");
    struct vsb_worker *worker = vsb_worker_create(&setup);
    if (!worker) {
        return 0;
    }
    enum status status = vsb_send(worker, 20.0, 1, 0).status;
    vsb_worker_free(worker);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void receiving_says_so(void **state)
{
    (void)state;
    fail_each_allocation(receive_it, "receiving");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solving_echoes_says_so),
        cmocka_unit_test(solving_a_room_says_so),
        cmocka_unit_test(receiving_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
