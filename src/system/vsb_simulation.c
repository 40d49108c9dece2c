/* 8-VSB simulated: trellis code, interleaver and Reed-Solomon code in white noise, or behind the
 * whole receiver in the rays of the place. */
#include "physics/information/published_snr.h"
#include "physics/vsb/decision.h"
#include "simulation/vsb/chain.h"
#include "system/simulation.h"

#define THRESHOLD_DB 14.9 /* ATSC A/54A's threshold of visibility */

static void describe(const struct scenario *scenario, const struct simulation_choice *choice,
                     struct text *out)
{
    (void)scenario, (void)choice, (void)out; /* nothing can be chosen */
}

static void describe_channel(const struct scenario *scenario,
                             const struct simulation_choice *choice, struct text *out)
{
    (void)choice;
    const struct first_receiver *first = &scenario->first;
    text_printf(out, ", equaliser from -%g to +%g us, %s feedback", first->equaliser_before_us,
                first->equaliser_after_us, vsb_feedback_name(first->feedback));
}

static int enters(const struct reception *reception, const struct scenario *scenario,
                  const struct simulation_choice *choice, double numbers[8])
{
    const struct first_receiver *first = &reception->vsb;
    const double all[] = {first->equaliser_before_us, first->equaliser_after_us, first->tracking_hz,
                          first->adaptation_step, first->feedback};
    int count = (int)(sizeof all / sizeof all[0]);
    (void)scenario, (void)choice;
    for (int i = 0; i < count; i++) {
        numbers[i] = all[i];
    }
    return count;
}

static double expected_db(const struct scenario *scenario, const struct simulation_choice *choice)
{
    (void)scenario, (void)choice;
    return THRESHOLD_DB;
}

/* The input SNR at which the equaliser's output is the threshold. As in the simulation, taps that
 * learn try to follow all echoes, and nothing is lost to an implementation. */
static enum status expected_in(const struct simulation_case *asked, double *snr_db)
{
    struct reception ideal = *asked->reception;
    if (ideal.vsb.adaptation_step > 0.0) {
        ideal.vsb.tracking_hz = TRACKING_MAX_HZ;
    }
    ideal.vsb.implementation_loss_db = 0.0;
    ideal.needed_db = ideal.needed_input_db = ideal.vsb.threshold_db = THRESHOLD_DB;
    return ideal.system->required(&ideal, asked->channel, snr_db);
}

static enum status run(const struct simulation_case *asked, double snr_db,
                       const struct run_limits *limits, struct run_watch *watch,
                       struct run_counts *counts)
{
    const struct first_receiver *first = &asked->reception->vsb;
    struct vsb_point point = {.snr_db = snr_db};
    struct vsb_receiver_setup setup;
    enum status status = STATUS_OK;
    if (asked->choice.channel == CHANNEL_CARRIERS) {
        setup = (struct vsb_receiver_setup){
            .snr_db = snr_db,
            .spans = vsb_equaliser_spans(first->equaliser_before_us, first->equaliser_after_us),
            .feedback = first->feedback,
            .step = first->adaptation_step,
            .tracking_hz = first->tracking_hz,
            .channel = *asked->channel};
        status = vsb_receiver_check(&setup);
        point.receiver = &setup;
    }
    if (status == STATUS_OK) {
        struct run_job job = vsb_run_job(&point);
        status = run_execute(&job, limits, watch, counts);
    }
    return status;
}

/* It falls within 1.5 dB; with echoes the prediction itself may be off by some tenths. */
static struct simulation_spacing spacing(const struct scenario *scenario,
                                         const struct simulation_choice *choice)
{
    (void)scenario;
    return choice->channel == CHANNEL_CARRIERS ? (struct simulation_spacing){0.5, 9, 4}
                                               : (struct simulation_spacing){0.25, 6, 3};
}

static int marks(const struct scenario *scenario, const struct simulation_choice *choice,
                 struct simulation_mark marks[SIMULATION_MARKS_MAX])
{
    struct published_snr published = published_first_snr();
    (void)scenario, (void)choice;
    marks[0] = (struct simulation_mark){MARK_PUBLISHED, published.snr_db, published.mark,
                                        published.source};
    return 1;
}

static void notes(const struct scenario *scenario, bool with_rays, struct text *out)
{
    (void)scenario;
    text_append(out, "S/N: the pilot counts as signal (0.3 dB), as in published thresholds. The "
                     "threshold of visibility is a segment error rate of 1.93e-4, published at "
                     "14.9 dB (ATSC A/54A).\n"
                     "SER: rate of wrong segments. Soft Viterbi decoding, Reed-Solomon decoding by "
                     "counting: a segment with more than 10 wrong bytes is wrong.\n");
    if (with_rays) {
        text_append(out, "The profile's echoes turn with their Doppler and pass a whole receiver: "
                         "equaliser of the profile's reach, step and feedback, wrong decisions fed "
                         "back. Its implementation loss is not counted.\n");
    }
}

const struct system_simulation simulation_vsb = {
    .channels = {[CHANNEL_AWGN] = true, [CHANNEL_CARRIERS] = true},
    .only = "8-VSB is simulated in white noise and with the profile's echoes only",
    .count = {"segments", "segment", "field", VSB_UNIT_SEGMENTS, 1000L * VSB_UNIT_SEGMENTS},
    .decoder = "Viterbi",
    .snr = "S/N",
    .note = "",
    .rays = "It is simulated symbol by symbol with the profile's receiver: echoes turn, taps "
            "follow as it sets them, wrong decisions are fed back.",
    .figures = {"snr_db", "segments", "segment_errors", "ser", "ser_low", "ser_high", NULL,
                "planned", "run", "seed", "part", NULL},
    .notes = notes,
    .needed = {[CHANNEL_AWGN] = "required_snr_db", [CHANNEL_CARRIERS] = "required_snr_db"},
    .error_rate = PUBLISHED_SEGMENT_ERROR_RATE,
    .efforts = {{312, 30}, {3120, 100}, {31200, 100}, {312000, 100}, {3120000, 100}},
    .spacing = spacing,
    .marks = marks,
    .describe = describe,
    .describe_channel = describe_channel,
    .enters = enters,
    .expected_db = expected_db,
    .expected_in = expected_in,
    .run = run,
};
