#include "support/near.h"

#include <stdlib.h>
#include <string.h>

#include "command/simulate/simulate.h"

/* The line of progress, of a point that is half done. */

/* Of the defaults: the progress asks what its system counts. */
static struct invocation asked;

static int open_invocation(void **state)
{
    (void)state;
    asked.profile.scenario = scenario_default();
    return 0;
}

static struct simulate_progress half_done(const struct simulate_task *task)
{
    return (struct simulate_progress){.task = task,
                                      .elapsed_s = 100.0,
                                      .frames = task->limits->frames / 2,
                                      .errors = 12,
                                      .bits = 250000000};
}

static void what_matters_less_is_left_out_first(void **state)
{
    (void)state;
    const struct proof_choice choice = proof_choice_default();
    const struct run_limits limits = {.frames = 10000, .errors = 100, .part = 1, .parts = 1};
    const struct simulate_task task = {.invocation = &asked,
                                       .choice = &choice,
                                       .limits = &limits,
                                       .snr_db = 18.3,
                                       .decimals = 2,
                                       .point = 3,
                                       .points = 8};
    static const struct {
        int columns;
        const char *line;
    } rows[] = {
        {200,
         "3 of 8: 18.30 dB [##########..........] 5000, 12 wrong; 50 code words/s, 2.5 Mbit/s; "
         "100 s left at this SNR"},
        {100,
         "3 of 8: 18.30 dB [#####.....] 5000, 12 wrong; 50 code words/s, 2.5 Mbit/s; 100 s left "
         "at this SNR"},
        {85,
         "3 of 8: 18.30 dB [#####.....] 5000, 12 wrong; 50 code words/s; 100 s left at this SNR"},
        {79, "3 of 8: 18.30 dB 5000, 12 wrong; 50 code words/s; 100 s left at this SNR"},
        {60, "3 of 8: 18.30 dB 5000, 12 wrong; 100 s left at this SNR"},
        {10, "3 of 8: 18"},
        {0, ""},
    };
    const struct simulate_progress progress = half_done(&task);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char line[256];
        simulate_progress_format(&progress, rows[i].columns, line, sizeof line);
        assert_string_equal(line, rows[i].line);
    }
}

static void eight_vsb_counts_segments(void **state)
{
    (void)state;
    struct proof_choice choice = proof_choice_default();
    choice.generation = GENERATION_FIRST;
    const struct run_limits limits = {.frames = 312000, .errors = 0, .part = 1, .parts = 1};
    const struct simulate_task task = {.invocation = &asked,
                                       .choice = &choice,
                                       .limits = &limits,
                                       .snr_db = 15.0,
                                       .point = 1,
                                       .points = 1};
    struct simulate_progress progress = half_done(&task);
    char line[256];
    simulate_progress_format(&progress, 200, line, sizeof line);
    assert_non_null(strstr(line, "; 1560 segments/s, "));
    progress.frames = progress.errors = 0; /* nothing is known yet */
    simulate_progress_format(&progress, 200, line, sizeof line);
    assert_non_null(strstr(line, "; - left at this SNR"));
    progress.elapsed_s = 8640.0;
    progress.frames = 3120;
    simulate_progress_format(&progress, 200, line, sizeof line);
    assert_non_null(strstr(line, "; 238 h left at this SNR"));
}

/* Every number as large as it gets, in every width. */
static void no_line_is_too_wide(void **state)
{
    (void)state;
    const struct proof_choice choice = proof_choice_default();
    const struct run_limits limits = {
        .frames = 2147483647, .errors = 0, .part = 1, .parts = 1000000};
    const struct simulate_task task = {.invocation = &asked,
                                       .choice = &choice,
                                       .limits = &limits,
                                       .snr_db = -29.999,
                                       .decimals = 3,
                                       .point = 1000,
                                       .points = 1000};
    const struct simulate_progress progress = {.task = &task,
                                               .elapsed_s = 1e-9,
                                               .frames = 2147,
                                               .errors = 2147,
                                               .bits = 9000000000000000000};
    for (int columns = 0; columns < 300; columns++) {
        char line[256];
        simulate_progress_format(&progress, columns, line, sizeof line);
        assert_true(strlen(line) <= (size_t)columns);
        assert_true(columns < 60 || strstr(line, "1000 of 1000: -29.999 dB"));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_matters_less_is_left_out_first),
        cmocka_unit_test(eight_vsb_counts_segments),
        cmocka_unit_test(no_line_is_too_wide),
    };
    return cmocka_run_group_tests(tests, open_invocation, NULL);
}
