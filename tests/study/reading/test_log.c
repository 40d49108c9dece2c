#include "support/near.h"

#include <math.h>
#include <string.h>

#include "base/file.h"
#include "study/reading/log.h"

/* Logs of readings: every form of time, every fault with its line, and shares against sums by hand.
 */

static struct reading_log read(const char *bytes)
{
    struct reading_log log;
    struct fault fault = {0};
    if (log_read(bytes, strlen(bytes), &log, &fault) != STATUS_OK) {
        fail_msg("\"%s\": %s: %s", bytes, fault.place, fault.wrong);
    }
    return log;
}

static void every_form_of_time_is_understood(void **state)
{
    (void)state;
    static const char *const logs[] = {
        "0 20.5\n5 21\n",
        "10.0,20.5\n15.0,21.0\n",
        "3;20,5\n8;21,0\n",
        "10,5;20,5\n15,5;21,0\n",
        "12s 20.5dB\n17s 21dB\n",
        "# made up\ntime, SNR\n20:15:02 20.5 dB\n20:15:07 21 dB # better\n\n",
        "20:15:02.5\t20,5\r\n20:15:07.5\t21,0\r\n",
        "23:59:58 20.5\n00:00:03 21\n",
        "2026-03-01T23:59:58Z 20.5\n2026-03-02T00:00:03Z 21\n",
        "2026-02-28 23:59:58 20.5 dB\n2026-03-01 00:00:03 21 dB\n",
        "2026-02-28 23:59:58Z 20.5 db\n2026-03-01 00:00:03Z 21 db\n",
        "2026-01-01 00:00:00 20.5dBdB\n2026-01-01 00:00:05 21\n",
    };
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        struct reading_log log = read(logs[i]);
        assert_int_equal(log.count, 2);
        assert_near(log.time_s[0], 0.0, 0.0, "the first reading");
        assert_near(log.time_s[1], 5.0, 1e-6, logs[i]);
        assert_near(log.snr_db[0], 20.5, 1e-12, logs[i]);
        assert_near(log.snr_db[1], 21.0, 1e-12, logs[i]);
        log_free(&log);
    }
}

static void every_fault_names_its_line(void **state)
{
    (void)state;
    static const struct {
        const char *bytes, *place, *wrong;
    } rows[] = {
        {"0 20\nx 21\n", "line 2", "is no reading"},
        {"0 20\n1 21 MHz\n", "line 2", "is no reading"},
        {"0 20\n1 2l\n", "line 2", "is no reading"},
        {"0 20\n2026-13-01 00:00 21\n", "line 2", "is no reading"},
        {"0 20\n2026-00-01 00:00 21\n", "line 2", "is no reading"},
        {"0 20\n2026-01-00 00:00 21\n", "line 2", "is no reading"},
        {"0 20\n2026-01-32 00:00 21\n", "line 2", "is no reading"},
        {"0 20\n10:00:61 21\n", "line 2", "is no reading"},
        {"0 20\n10:00:-1 21\n", "line 2", "is no reading"},
        {"0 20\n1 -21\n", "line 2", "has no possible SNR"},
        {"0 20\nab:00 21\n", "line 2", "is no reading"},
        {"0 20\n1/:00 21\n", "line 2", "is no reading"},
        {"0 20\n/1:00 21\n", "line 2", "is no reading"},
        {"0 20\n1a:00 21\n", "line 2", "is no reading"},
        {"0 20\n10:60 21\n", "line 2", "is no reading"},
        {"0 20\n10-00 21\n", "line 2", "is no reading"},
        {"0 20\n10:00x00 21\n", "line 2", "is no reading"},
        {"0 20\n10:00:x 21\n", "line 2", "is no reading"},
        {"0 20\n2026/03/01 10:00 21\n", "line 2", "is no reading"},
        {"0 20\n2026-03/01 10:00 21\n", "line 2", "is no reading"},
        {"0 20\nxx26-03-01 10:00 21\n", "line 2", "is no reading"},
        {"0 20\n20xx-03-01 10:00 21\n", "line 2", "is no reading"},
        {"0 20\n2026-03-01 noon 21\n", "line 2", "is no reading"},
        {"0 20\n2026-03-01Tnoon. 21\n", "line 2", "is no reading"},
        {"0 20\nThursday: 21\n", "line 2", "is no reading"},
        {"0 20\n1,x 21\n", "line 2", "is no reading"},
        {"0 20\n1:2,5 21\n", "line 2", "is no reading"},
        {"0 20\n1,\n", "line 2", "is no reading"},
        {"0 20\n1\n", "line 2", "is no reading"},
        {"0 20\n1 20 21\n", "line 2", "is no reading"},
        {"0 20\n25:00 20\n", "line 2", "is no reading"},
        {"0 20\n\n# nothing\n1 99\n", "line 4", "has no possible SNR"},
        {"5 20\n5 21\n", "line 2", "goes back in time"},
        {"5 20\n4 21\n", "line 2", "goes back in time"},
        {"5 20\n", "", "there are fewer than two readings"},
        {"time SNR\n", "", "there are fewer than two readings"},
        {"", "", "there are fewer than two readings"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct reading_log log;
        struct fault fault = {0};
        assert_int_not_equal(log_read(rows[i].bytes, strlen(rows[i].bytes), &log, &fault),
                             STATUS_OK);
        assert_string_equal(fault.place, rows[i].place);
        assert_string_equal(fault.wrong, rows[i].wrong);
        assert_int_equal(log.count, 0);
    }
}

/* Readings at 0, 10 and 20 s hold for 10 s each; 8-VSB needs its threshold where nothing echoes. */
static void shares_are_those_of_time_not_of_readings(void **state)
{
    (void)state;
    const struct scenario scenario = scenario_default();
    struct verdict verdict;
    struct log_held held;
    struct fault fault;
    assert_int_equal(verdict_prepare(&scenario, GENERATION_FIRST, &verdict, &fault), STATUS_OK);
    struct reading_log log = read("0 20\n10 10\n20 20\n");
    assert_int_equal(log_hold(&log, &verdict, &held, &fault), STATUS_OK);
    assert_near(held.needed_snr_db, scenario.first.threshold_db, 0.01, "A/53: the threshold");
    assert_near(held.share, 2.0 / 3.0, 1e-12, "closed form");
    assert_near(held.losses, 1.0, 0.0, "closed form");
    assert_near(held.longest_loss_s, 10.0, 1e-12, "closed form");
    log_free(&log);
    log = read("0 10\n1 20\n3 10\n9 10\n12 20\n"); /* 5 readings in 12 s: the last holds 3 s */
    assert_int_equal(log_hold(&log, &verdict, &held, &fault), STATUS_OK);
    assert_near(log_span_s(&log), 15.0, 1e-12, "closed form");
    assert_near(held.share, 5.0 / 15.0, 1e-12, "closed form");
    assert_near(held.losses, 2.0, 0.0, "closed form");
    assert_near(held.longest_loss_s, 9.0, 1e-12, "closed form");
    log_free(&log);
}

/* Of what holds all the time no loss is told, and of what holds at no SNR no share. */
static void what_holds_always_or_never_is_told_so(void **state)
{
    (void)state;
    const struct scenario scenario = scenario_default();
    struct log_held held[GENERATION_COUNT];
    struct verdict verdict;
    struct text words = {0};
    struct reading_log log = read("0 20\n10 20\n20 20\n");
    for (int i = 0; i < GENERATION_COUNT; i++) {
        assert_int_equal(verdict_prepare(&scenario, (enum generation)i, &verdict, NULL), STATUS_OK);
        assert_int_equal(log_hold(&log, &verdict, &held[i], NULL), STATUS_OK);
    }
    held[GENERATION_SECOND].needed_snr_db = INFINITY;
    log_write_words(&log, held, &words);
    assert_string_equal(text_string(&words),
                        "3 readings in 30 s. 8-VSB needs 14.9 dB and would have held for 100.0 % "
                        "of the time. OFDM holds at no SNR in these conditions.");
    log_free(&log);
    text_free(&words);
}

static void the_shipped_log_tells_a_story_for_both(void **state)
{
    (void)state;
    struct text bytes = {0}, words = {0};
    struct scenario scenario = scenario_default();
    struct log_held held[GENERATION_COUNT];
    struct fault fault;
    assert_int_equal(
        file_read("demo/readings/a-hand-and-the-wind.txt", LOG_BYTES_MAX, &bytes, &fault),
        STATUS_OK);
    scenario.transmission.plps[0].code.constellation = QAM64;
    scenario.transmission.plps[0].code.rate_15ths = 8;
    struct reading_log log = read(text_string(&bytes));
    for (int i = 0; i < GENERATION_COUNT; i++) {
        struct verdict verdict;
        assert_int_equal(verdict_prepare(&scenario, (enum generation)i, &verdict, &fault),
                         STATUS_OK);
        assert_int_equal(log_hold(&log, &verdict, &held[i], &fault), STATUS_OK);
    }
    assert_int_equal(log.count, 240);
    assert_true(held[GENERATION_SECOND].needed_snr_db < held[GENERATION_FIRST].needed_snr_db);
    assert_true(held[GENERATION_SECOND].share > held[GENERATION_FIRST].share);
    assert_near(held[GENERATION_FIRST].share, 0.9, 1e-9, "24 of 240 readings lie below 14.9 dB");
    log_write_words(&log, held, &words);
    assert_non_null(strstr(text_string(&words), "would have held for 90.0 % of the time"));
    log_free(&log);
    text_free(&bytes);
    text_free(&words);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form_of_time_is_understood),
        cmocka_unit_test(every_fault_names_its_line),
        cmocka_unit_test(shares_are_those_of_time_not_of_readings),
        cmocka_unit_test(what_holds_always_or_never_is_told_so),
        cmocka_unit_test(the_shipped_log_tells_a_story_for_both),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
