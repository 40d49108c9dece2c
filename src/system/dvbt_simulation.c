/* DVB-T simulated: the standard's inner code and interleavers, carriers that each have an SNR of
 * their own. SNRs count the boosted pilots' power, as all figures of the system do. */
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/dvbt_snr.h"
#include "simulation/dvbt/chain.h"
#include "system/ofdm_simulation.h"

static double pilots_db(const struct scenario *scenario)
{
    return db_from_ratio(dvbt_grid(&scenario->dvbt, scenario->site.bandwidth_mhz).mean_power);
}

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    const struct dvbt *mode = &scenario->dvbt;
    (void)choice; /* one decoder, exact demapping */
    text_printf(out, " %s %s %s", dvbt_fft_name(mode->fft),
                dvbt_constellation_name(mode->constellation),
                dvbt_rate_name(dvbt_stream_rate(mode)));
    if (mode->hierarchy != DVBT_PLAIN) {
        text_printf(out, " %s priority of alpha %s", dvbt_priority_name(mode->priority),
                    dvbt_hierarchy_name(mode->hierarchy));
    }
    text_append(out, ", 64-state Viterbi");
}

static void describe_channel(const struct scenario *scenario,
                             const struct simulation_choice *choice, struct text *out)
{
    (void)choice;
    text_printf(out, ", %s %s", dvbt_fft_name(scenario->dvbt.fft),
                dvbt_guard_name(scenario->dvbt.guard));
}

static int enters(const struct reception *reception, const struct scenario *scenario,
                  const struct simulation_choice *choice, double numbers[8])
{
    (void)choice;
    (void)reception;
    numbers[0] = scenario->site.bandwidth_mhz;
    return 1;
}

static double expected_db(const struct scenario *scenario, const struct simulation_choice *choice)
{
    return dvbt_ideal_snr(&scenario->dvbt, ofdm_fading(choice->channel)).db + pilots_db(scenario);
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    struct dvbt_setup setup = {.mode = asked->scenario->dvbt, .channel = asked->choice.channel};
    struct dvbt_point point = {.cell_snr_db = snr_db - pilots_db(asked->scenario), .setup = &setup};
    float *gains = NULL;
    enum status status = STATUS_OK;
    int count = 0;
    if (setup.channel == CHANNEL_CARRIERS) {
        status = ofdm_carrier_gains(asked, snr_db, &gains, &count);
        setup.gain_power = gains;
    }
    if (status == STATUS_OK) {
        struct run_job job = dvbt_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    free(gains);
    return status;
}

/* Bit errors fall by a decade in 0.3 to 0.5 dB; with echoes the prediction itself may be off. */
static struct simulation_spacing spacing(const struct scenario *scenario,
                                         const struct simulation_choice *choice)
{
    (void)scenario;
    return choice->channel == CHANNEL_AWGN ? (struct simulation_spacing){0.25, 8, 2}
                                           : (struct simulation_spacing){0.5, 8, 3};
}

static int marks(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    enum fading fading = ofdm_fading(choice->channel);
    return ofdm_marks(dvbt_limit_db(&scenario->dvbt, fading) + pilots_db(scenario),
                      expected_db(scenario, choice), dvbt_published_snr(&scenario->dvbt, fading),
                      marks);
}

static const char rays[] =
    "Each carrier has an SNR of its own, the same in every symbol. Self-interference, from echoes "
    "outside the guard interval and from Doppler, counts as noise.";

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    (void)scenario;
    text_append(out, "FER: rate of wrong Reed-Solomon words (204 bytes; more than 8 wrong, by "
                     "counting, behind the outer interleaver). BER: rate of wrong bits before the "
                     "Reed-Solomon decoder; quasi error free is 2e-4 of them.\n"
                     "SNR: signal power over noise power, the boosted pilots' power counted.\n"
                     "The receiver knows the channel exactly; exact bit metrics, soft Viterbi "
                     "decoding.\n");
    if (with_rays) {
        text_printf(out, "%s\n", rays);
    }
}

const struct system_simulation simulation_dvbt = {
    OFDM_SIMULATION,
    .count = {"Reed-Solomon words", "frame", "run of words", DVBT_UNIT_WORDS,
              300L * DVBT_UNIT_WORDS},
    .decoder = "Viterbi",
    .snr = "C/N",
    .rays = rays,
    .figures = {"snr_db", "frames", "frame_errors", "bit_errors", "fer", "fer_low", "fer_high",
                "ber", NULL, "bits", "planned", "run", "seed", "part", NULL},
    .notes = notes,
    .error_rate = 1e-4,
    .efforts = {{33, 10}, {330, 30}, {3300, 100}, {33000, 100}, {330000, 100}},
    .spacing = spacing,
    .marks = marks,
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .run = run,
};
