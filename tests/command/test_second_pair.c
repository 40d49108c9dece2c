/* Commands with pair DVB, as an engineer of ITU Region 1 would use them: no word, channel or figure
 * of the other pair, and both streams and all PLPs told. */
#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "support/run.h"

#define FEW " --set receiver.positions=9"

/* ATSC A/74 stands for what no figure of the region is at hand for: overload, farther channels. */
static void assert_of_region_1(const char *arguments, const char *out)
{
    static const char *const foreign[] = {"8-VSB",
                                          "VSB",
                                          "A/3",
                                          "A/53",
                                          "OFDM ",
                                          "FCC",
                                          "OET",
                                          "73.6",
                                          "PLAN",
                                          "US ",
                                          "United States",
                                          "Pilot boost",
                                          "Carrier reduction",
                                          "BPR-10"};
    for (size_t i = 0; i < sizeof foreign / sizeof foreign[0]; i++) {
        const char *at = strstr(out, foreign[i]);
        if (at != NULL) {
            fail_msg("%s speaks of %s: %.60s", arguments, foreign[i], at);
        }
    }
}

static void no_command_speaks_of_the_other_pair(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "report profiles/dvb-roof.ini" FEW,
        "report profiles/dvb-room.ini" FEW,
        "report profiles/dvb-network.ini --set dvbt.hierarchy=2" FEW,
        "report profiles/dvb-network.ini --format json" FEW,
        "report profiles/dvb-roof.ini --set site.rf_channel=8 --set dvbt.fft=2K" FEW,
        "report --set site.pair=DVB --set site.bandwidth_mhz=5 --set dvbt2.fft=1K "
        "--set dvbt2.extended=no --set dvbt2.guard=1/16 --set dvbt2.pilots=PP4",
        "report --set site.pair=DVB --set site.bandwidth_mhz=6 --set dvbt.fft=4K",
        "echo profiles/dvb-room.ini" FEW,
        "echo profiles/dvb-network.ini --set dvbt2.fft=16K --set dvbt2.pilots=PP2" FEW,
        "place profiles/dvb-roof.ini" FEW,
        "place profiles/dvb-roof.ini --set receiver.use=portable-indoor" FEW,
        "weigh profiles/dvb-roof.ini --top 3" FEW,
        "simulate profiles/dvb-room.ini --generation first --frames 33 --snr 12:1:12",
        "simulate profiles/dvb-room.ini --generation second --frames 2 --snr 16:1:16",
    };
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        struct run run = run_line(lines[i]);
        if (run.status != 0) {
            fail_msg("%s: %s", lines[i], run.err);
        }
        assert_of_region_1(lines[i], run.out);
        run_free(&run);
    }
}

/* Who receives the high stream has its rate, who receives the low one that of both. */
static void a_hierarchy_is_told_with_both_its_streams(void **state)
{
    (void)state;
    static const struct {
        const char *priority;
        double net_mbps, plp_mbps;
    } rows[] = {{"high", 6.635, 6.635}, {"low", 21.565, 14.930}};
    for (size_t i = 0; i < 2; i++) {
        char line[256];
        snprintf(line, sizeof line,
                 "report profiles/dvb-network.ini --set dvbt.hierarchy=2 --set dvbt.low_rate=3/4 "
                 "--set dvbt.priority=%s" FEW,
                 rows[i].priority);
        struct run run = run_line(line);
        assert_non_null(strstr(run.out, "alpha 2,"));
        assert_non_null(strstr(run.out, "and needs 21.8 dB"));
        run_free(&run);
        snprintf(line + strlen(line), sizeof line - strlen(line), " --format json");
        json_t *page = run_json(line), *first = json_object_get(page, "first");
        assert_near(json_number_value(json_object_get(first, "net_mbps")), rows[i].net_mbps, 0.001,
                    "EN 300 744 table 17: QPSK 2/3, 16QAM 3/4, guard interval 1/4");
        assert_near(json_number_value(json_object_get(first, "plp_mbps")), rows[i].plp_mbps, 0.001,
                    "EN 300 744 table 17: QPSK 2/3, 16QAM 3/4, guard interval 1/4");
        assert_string_equal(json_string_value(json_object_get(first, "hierarchy")), "2");
        assert_string_equal(json_string_value(json_object_get(first, "priority")),
                            rows[i].priority);
        json_decref(page);
    }
}

static const char pipes[] = "[site]\npair = DVB\n[receiver]\nsnr_db = 18\n"
                            "[plp tv]\nrate = 2/3\n"
                            "[plp radio]\nconstellation = QPSK\nrate = 1/2\nshare_percent = 10\n";

static void latency_and_memory_of_each_plp_are_told(void **state)
{
    (void)state;
    run_write_file("pipes.ini", pipes, strlen(pipes));
    json_t *page = run_json("report pipes.ini --format json"), *plp;
    json_t *list = json_object_get(json_object_get(page, "second"), "plps");
    size_t i;
    assert_int_equal(json_array_size(list), 2);
    json_array_foreach(list, i, plp)
    {
        double memory = json_number_value(json_object_get(plp, "memory_cells"));
        assert_true(memory > 0.0 && memory <= 557056.0);
        assert_near(json_number_value(json_object_get(plp, "latency_ms")),
                    2.0 * json_number_value(json_object_get(plp, "interleaver_ms")), 1e-9,
                    "filled, then read");
        assert_true(json_number_value(json_object_get(plp, "start_up_ms")) > 200.0);
    }
    json_decref(page);
}

static long bytes_of(const char *name)
{
    char *text = run_read_file(name);
    assert_non_null(text);
    long bytes = (long)strlen(text);
    free(text);
    return bytes;
}

/* Of either pair: a point for each beside that of the whole. */
static void pictures_show_the_plps(void **state)
{
    (void)state;
    run_write_file("pipes.ini", pipes, strlen(pipes));
    static const char *const lines[] = {
        "draw rate pipes.ini -o two.svg",
        "draw rate -o one.svg --set site.pair=DVB --set receiver.snr_db=18 "
        "--set dvbt2.constellation=QPSK"};
    for (size_t i = 0; i < 2; i++) {
        struct run run = run_line(lines[i]);
        assert_int_equal(run.status, 0);
        run_free(&run);
    }
    assert_true(bytes_of("two.svg") > bytes_of("one.svg") + 1000);
}

/* VHF III has 7 MHz channels: an 8 MHz signal does not go there unsaid. */
static void a_channel_too_narrow_for_the_signal_is_said(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "place profiles/dvb-roof.ini" FEW,
        "place profiles/dvb-roof.ini --set station%20Skell%20T.rf_channel=8" FEW};
    for (size_t i = 0; i < 2; i++) {
        struct run run = run_line(lines[i]);
        assert_int_equal(run.status, 0);
        assert_int_equal(strstr(run.out, "channel 8 is 7 MHz wide") != NULL, i == 1);
        run_free(&run);
    }
}

static int enter(void **state)
{
    (void)state;
    run_enter_folder();
    return 0;
}

static int leave(void **state)
{
    (void)state;
    run_leave_folder();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_command_speaks_of_the_other_pair),
        cmocka_unit_test(a_channel_too_narrow_for_the_signal_is_said),
        cmocka_unit_test(a_hierarchy_is_told_with_both_its_streams),
        cmocka_unit_test_setup_teardown(latency_and_memory_of_each_plp_are_told, enter, leave),
        cmocka_unit_test_setup_teardown(pictures_show_the_plps, enter, leave),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
