/* Every allocation fails in turn while a log and pages are read and told: no memory is said, and
 * nothing is left. The space of all modes is made once, before. */
#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "study/reading/log.h"
#include "study/reading/reading.h"
#include "support/failing.h"

static int read_log(void)
{
    static const char bytes[] =
        "0 20\n1 21\n2 20\n3 21\n4 20\n5 21\n6 20\n7 21\n8 20\n9 21\n10 20\n"
        "11 20\n12 21\n13 20\n14 21\n15 20\n16 21\n17 20\n";
    struct reading_log log;
    enum status status = log_read(bytes, strlen(bytes), &log, NULL);
    assert_true(status == STATUS_OK || (status == STATUS_NO_MEMORY && log.time_s == NULL));
    log_free(&log);
    return status == STATUS_OK;
}

static void reading_a_log_says_so(void **state)
{
    (void)state;
    fail_each_allocation(read_log, "reading a log");
}

static struct weigh_space space;

static int read_page_of(enum pair pair, const char *bytes)
{
    struct page page;
    struct reading reading;
    struct page_lines lines = {0};
    const struct scenario base = scenario_default();
    enum status status = page_read(bytes, strlen(bytes), pair, &page, NULL);
    if (status == STATUS_OK) {
        status = reading_make(&page, -1, &base, &space, &reading, NULL);
        if (status == STATUS_OK) {
            struct text words = {0};
            status = reading_contradictions(&reading, &page, &lines);
            reading_write_verdict(&reading, &words);
            status = words.failed ? STATUS_NO_MEMORY : status;
            text_free(&words);
            free(lines.rows);
            reading_free(&reading);
        }
    }
    page_free(&page);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static int read_first(void)
{
    return read_page_of(PAIR_ATSC, "8-VSB SNR 18 dB\nUncorrected blocks: 3\nrate 1/9\nBER 7");
}

static int read_two_plps(void)
{
    return read_page_of(PAIR_ATSC, "FFT 8K\nGI12_4864\nPLP 0: QPSK 4/15, SNR 20 dB\n"
                                   "PLP 1: 256QAM 10/15, SNR 20 dB\nBER 7");
}

static int read_t2(void)
{
    return read_page_of(PAIR_DVB, "DVB-T2 32KE PP7 GI 1/128 256QAM 2/3\nMER 24 dB\nGuard: 13 us");
}

static int read_layers(void)
{
    return read_page_of(PAIR_ATSC, "SNR 24 dB\n16K GI5_1024 SP12_2\nLDM injection: 4 dB\n"
                                   "PLP 0 layer core QPSK 5/15 share 100 % errors 9\n"
                                   "PLP 1 layer enhanced 64QAM 10/15 errors 9\n");
}

static int read_what_does_not_fit(void)
{
    return read_page_of(PAIR_DVB,
                        "DVB-T2 16K 19/128 PP2 62 symbols per frame\nPLP 0: 64QAM 3/5 64K, 400 FEC "
                        "blocks\nPLP 1: 256QAM 3/4 64K, 300 FEC blocks\nC/N 26.3 dB\n");
}

/* What needs memory in a channel with an echo: the verdict of a page, what mends it, and a log. */
static int read_with_an_echo(void)
{
    struct scenario base = scenario_default();
    struct page page;
    struct reading reading;
    base.echoes[0] = (struct echo){.delay_us = 5.0, .level_db = -3.0};
    base.echo_count = 1;
    static const char bytes[] = "8-VSB SNR 13 dB";
    enum status status = page_read(bytes, strlen(bytes), PAIR_ATSC, &page, NULL);
    if (status == STATUS_OK) {
        status = reading_make(&page, -1, &base, &space, &reading, NULL);
    }
    if (status == STATUS_OK) {
        static const double time_s[] = {0.0, 10.0}, snr_db[] = {20.0, 10.0};
        const struct reading_log log = {
            .count = 2, .time_s = (double *)time_s, .snr_db = (double *)snr_db};
        struct text words = {0};
        struct log_held held;
        status = log_hold(&log, &reading_chosen(&reading)->verdict, &held, NULL);
        reading_write_mending(&reading, &words);
        status = words.failed || !strstr(text_string(&words), "would mend it") ? STATUS_NO_MEMORY
                                                                               : status;
        text_free(&words);
        reading_free(&reading);
    }
    page_free(&page);
    assert_true(status == STATUS_OK || status == STATUS_NO_MEMORY);
    return status == STATUS_OK;
}

static void reading_a_page_says_so(void **state)
{
    (void)state;
    fail_each_allocation(read_first, "a page of the first generation");
    fail_each_allocation(read_two_plps, "a page of two PLPs");
    fail_each_allocation(read_t2, "a page of DVB-T2");
    fail_each_allocation(read_layers, "a page of two layers");
    fail_each_allocation(read_what_does_not_fit, "a page of PLPs that do not fit");
    fail_each_allocation(read_with_an_echo, "a page beside an echo");
    weigh_space_free(&space);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_a_log_says_so),
        cmocka_unit_test(reading_a_page_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
