#include "support/near.h"

#include <string.h>

#include "present/picture/rate.h"
#include "study/reading/reading.h"
#include "study/weigh/moves.h"
#include "study/weigh/weigh.h"
#include "support/failing.h"

static const char page_text[] = "FFT 8K GI5_1024 SP6_2\nwhat is this\nPLP 0 64QAM 9/15 SNR 20 dB\n"
                                "PLP 1 16QAM 99/15\nand this\nFFT 16K carriers 13825\n";

static int read_it(void)
{
    struct page page;
    struct scenario base = scenario_default();
    enum status status = page_read(page_text, strlen(page_text), PAIR_ATSC, &page, NULL);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    if (status == STATUS_OK) {
        struct page_settled settled;
        status = page_settle(&page, -1, &base, &settled);
        assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
        if (status == STATUS_OK) {
            page_settled_free(&settled);
        }
    }
    page_free(&page);
    return status == STATUS_OK;
}

static void reading_a_page_says_so(void **state)
{
    (void)state;
    fail_each_allocation(read_it, "reading a page");
}

static int weigh_it(void)
{
    struct scenario scenario = scenario_default();
    struct weigh_space space;
    enum status status = weigh_space_make(&scenario, SNR_RECEIVER, &space, NULL);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    if (status != STATUS_OK) {
        return 0;
    }
    struct weigh_wish wish = weigh_wish_none();
    struct weigh_list list;
    struct picture picture;
    wish.limits[LIMIT_ECHO] = 100.0;
    status = weigh_pick(&space, &wish, &list, NULL);
    assert_true(status == STATUS_OK || (status == STATUS_NO_MEMORY && list.count == 0));
    const struct picture_rate shown = {.space = &space,
                                       .wish = &wish,
                                       .list = &list,
                                       .selected = -1,
                                       .snr_low_db = 10.0,
                                       .snr_high_db = 20.0};
    bool drawn = picture_rate_make(&shown, &picture);
    picture_free(&picture);
    weigh_list_free(&list);
    weigh_space_free(&space);
    return status == STATUS_OK && drawn;
}

static void weighing_says_so(void **state)
{
    (void)state;
    fail_each_allocation(weigh_it, "weighing");
}

static struct weigh_space modes;

/* Margins in a channel with an echo, of all waveforms alike: some allocations only. */
static int make_margins(void)
{
    struct fault fault = {0};
    enum status status = weigh_echo_margins(&modes, NULL, &fault);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    assert_int_equal(fault.status, status);
    return status == STATUS_OK;
}

static int make_moves(void)
{
    struct move moves[MOVE_COUNT];
    moves_make(&modes, NULL, (uint32_t)weigh_find(&modes, &modes.scenario), moves);
    return moves[MOVE_LONGER_GUARD].exists && moves[MOVE_FASTER].exists;
}

static void margins_and_moves_say_so(void **state)
{
    (void)state;
    struct scenario scenario = scenario_default();
    scenario.receiver.snr_db = 20.0;
    scenario.receiver.positions = 2;
    scenario.echo_count = 1;
    for (int any = 0; any < 2; any++) {
        scenario.echoes[0] = (struct echo){
            .delay_us = any ? 30.0 : 1.0, .level_db = -6.0, .phase_deg = any ? NAN : 0.0};
        assert_int_equal(weigh_space_make(&scenario, SNR_RECEIVER, &modes, NULL), STATUS_OK);
        fail_each_allocation(make_margins, "margins of all modes");
        if (!any) {
            fail_allocations(make_moves, "moves", 12);
        }
        weigh_space_free(&modes);
    }
}

static int judge_it(void)
{
    struct page page;
    struct scenario base = scenario_default();
    struct weigh_space space = {0};
    struct reading reading;
    const char *text = "FFT 8K GI5_1024 SP6_2 64QAM 9/15 SNR 20 dB";
    enum status status = page_read(text, strlen(text), PAIR_ATSC, &page, NULL);
    if (status == STATUS_OK) {
        status = reading_make(&page, -1, &base, &space, &reading, NULL);
        if (status == STATUS_OK) {
            reading_free(&reading);
        }
    }
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    weigh_space_free(&space);
    page_free(&page);
    return status == STATUS_OK;
}

static void judging_a_page_says_so(void **state)
{
    (void)state;
    fail_each_allocation(judge_it, "judging a page");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_a_page_says_so),
        cmocka_unit_test(weighing_says_so),
        cmocka_unit_test(margins_and_moves_say_so),
        cmocka_unit_test(judging_a_page_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
