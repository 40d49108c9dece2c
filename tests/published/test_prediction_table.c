/* What mean mutual information predicts for OFDM in many channels, against the simulation of the
 * same carriers as kept in tests/proof/prediction-table.txt, and in rooms drawn by a seed,
 * fresh-table.txt beside it. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "profile/profile.h"
#include "study/verdict/verdict.h"

#define TABLE "tests/proof/prediction-table.txt"
#define FRESH "tests/proof/fresh-table.txt"
#define LINE_BYTES 4096
#define MODES_MAX 8

/* The differences of one mode over all channels. */
struct tally {
    char mode[32];
    int channels;
    double low_db, high_db;
};

/* Fills in the channel and mode that a line holds; what it needs there and in white noise. */
static void read_line(const char *line, struct scenario *scenario, char *mode, size_t size,
                      double *awgn_db, double *simulated_db)
{
    char fft[16], guard[16], pilots[16], constellation[16];
    int rate_15ths, used = 0;
    struct waveform *waveform = &scenario->transmission.subframes[0].waveform;
    struct code *code = &scenario->transmission.plps[0].code;
    assert_int_equal(sscanf(line, "%*s %*d | %15s %15s %15s | %15s %d | %lf %lf %*f |%n", fft,
                            guard, pilots, constellation, &rate_15ths, awgn_db, simulated_db,
                            &used),
                     7);
    waveform->fft = (enum fft_size)choice_named("mode.fft", fft);
    waveform->guard = (enum guard)choice_named("mode.guard", guard);
    waveform->pilots = (enum pilots)choice_named("mode.pilots", pilots);
    code->constellation = (enum constellation)choice_named("mode.constellation", constellation);
    code->rate_15ths = rate_15ths;
    snprintf(mode, size, "%s %d/15", constellation, rate_15ths);
    struct echo echo = {0};
    for (int more = 0; sscanf(line + used, "%lf %lf %lf %lf%n", &echo.delay_us, &echo.level_db,
                              &echo.phase_deg, &echo.doppler_hz, &more) == 4;
         used += more) {
        assert_true(scenario->echo_count < ECHOES_MAX);
        scenario->echoes[scenario->echo_count++] = echo;
    }
}

/* From the threshold in white noise to the SNR that the channel asks for. */
static double predict(const struct scenario *scenario, double awgn_db)
{
    static struct conditions conditions;
    struct reception reception;
    double required_db;
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    assert_int_equal(system->receive(scenario, PIPE_MOST_ROBUST, &reception, NULL), STATUS_OK);
    assert_int_equal(conditions_make(scenario, GENERATION_SECOND, &conditions, NULL), STATUS_OK);
    reception.needed_db = reception.ofdm.ideal_db = reception.ofdm.needed_db = awgn_db;
    assert_int_equal(system->required(&reception, &conditions.channel, &required_db), STATUS_OK);
    return required_db;
}

static struct tally *tally_of(struct tally *tallies, const char *mode)
{
    int i = 0;
    while (tallies[i].channels > 0 && strcmp(tallies[i].mode, mode) != 0) {
        i++;
    }
    assert_true(i < MODES_MAX);
    snprintf(tallies[i].mode, sizeof tallies[i].mode, "%s", mode);
    return &tallies[i];
}

static double difference_of(const char *line, char *mode, size_t size)
{
    struct scenario scenario = scenario_default();
    double awgn_db, simulated_db;
    read_line(line, &scenario, mode, size, &awgn_db, &simulated_db);
    double difference_db = predict(&scenario, awgn_db) - simulated_db;
    if (fabs(difference_db) > 0.2) {
        print_message("%+.2f dB: %.60s\n", difference_db, line);
    }
    return difference_db;
}

/* The table's lines that begin so, by their modes, or all in one. */
static void compare_lines(const char *table, const char *start, bool by_mode, struct tally *tallies)
{
    char line[LINE_BYTES], mode[32];
    FILE *file = fopen(table, "r");
    assert_non_null(file);
    while (fgets(line, sizeof line, file) != NULL) {
        if (line[0] == '#' || strncmp(line, start, strlen(start)) != 0) {
            continue;
        }
        double difference_db = difference_of(line, mode, sizeof mode);
        struct tally *tally = tally_of(tallies, by_mode ? mode : "rooms never seen");
        tally->low_db = fmin(tally->low_db, difference_db);
        tally->high_db = fmax(tally->high_db, difference_db);
        tally->channels++;
    }
    fclose(file);
}

static void hold_tally(const struct tally *t)
{
    assumes("the channel is known at each carrier; each mode's threshold in white noise is the "
            "simulated one");
    char source[128];
    snprintf(source, sizeof source, "%.24s: simulated in %d channels, most above it", t->mode,
             t->channels);
    assert_near(t->high_db, 0.0, 0.3, source);
    snprintf(source, sizeof source, "%.24s: simulated in %d channels, most below it", t->mode,
             t->channels);
    assert_near(t->low_db, 0.0, 0.3, source);
    assert_true(t->channels >= 40);
}

static void a_mode_in_echoes_needs_what_mean_information_predicts(void **state)
{
    (void)state;
    struct tally tallies[MODES_MAX + 1] = {{.channels = 0}};
    int modes = 0;
    compare_lines(TABLE, "", true, tallies);
    for (struct tally *t = tallies; t->channels > 0; t++, modes++) {
        hold_tally(t);
    }
    assert_true(modes >= 5);
}

static void so_does_one_in_rooms_never_seen(void **state)
{
    (void)state;
    struct tally tallies[MODES_MAX + 1] = {{.channels = 0}};
    compare_lines(FRESH, "fresh", false, tallies);
    hold_tally(&tallies[0]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_mode_in_echoes_needs_what_mean_information_predicts),
        cmocka_unit_test(so_does_one_in_rooms_never_seen),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
