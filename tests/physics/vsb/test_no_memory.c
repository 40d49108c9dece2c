#include "support/near.h"

#include "physics/vsb/echo.h"
#include "simulation/vsb/line.h"
#include "simulation/vsb/symbols.h"
#include "support/failing.h"

static const struct echo echoes[] = {{2.0, -6.0, 10.0, 5.0}, {-1.0, 3.0, 90.0, 80.0}};

static int solve_it(void)
{
    const struct first_receiver receiver = {14.9, 5.0, 5.0, 10.0, 0.1, 0.5};
    struct vsb_echo_result result;
    enum status status = vsb_echo_solve(echoes, 2, 20.0, &receiver, &result);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void solving_echoes_says_so(void **state)
{
    (void)state;
    fail_each_allocation(solve_it, "solving echoes");
}

static int simulate_it(void)
{
    const struct vsb_symbols_run run = {.echoes = echoes,
                                        .echo_count = 2,
                                        .snr_db = 20.0,
                                        .spans = {10, 10, 10},
                                        .step = 0.1,
                                        .symbols = 100,
                                        .seed = 1};
    struct vsb_symbols_result result;
    enum status status = vsb_symbols_simulate(&run, &result);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void simulating_symbols_says_so(void **state)
{
    (void)state;
    fail_each_allocation(simulate_it, "simulating symbols");
}

static int make_line(void)
{
    const struct vsb_line_setup setup = {
        .echoes = echoes, .count = 2, .symbol_power = 1.0, .snr_db = 20.0, .spans = {10, 10, 10}};
    struct vsb_line *line;
    enum status status = vsb_line_create(&setup, &line);
    assert_true(status == STATUS_OK || (status == STATUS_NO_MEMORY && line == NULL));
    vsb_line_free(line);
    return status == STATUS_OK;
}

static void making_a_line_says_so(void **state)
{
    (void)state;
    fail_each_allocation(make_line, "making a line");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(solving_echoes_says_so),
        cmocka_unit_test(simulating_symbols_says_so),
        cmocka_unit_test(making_a_line_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
