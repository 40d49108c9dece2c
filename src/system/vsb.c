/* 8-VSB, the first generation of the ATSC pair: ATSC A/53 Part 2, its physics in physics/vsb. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/air/noise.h"
#include "physics/vsb/decision.h"
#include "standard/vsb/signal.h"
#include "system/simulation.h"

#define NOTABLE_DB 0.05 /* smaller losses are not worth a sentence */

static enum status receive(const struct scenario *scenario, int pipe, struct reception *reception,
                           struct fault *fault)
{
    (void)pipe;
    (void)fault; /* nothing of the signal can be chosen */
    *reception = (struct reception){
        .system = &system_vsb,
        .ideal_db = scenario->first.threshold_db,
        .needed_db = scenario->first.threshold_db,
        .needed_input_db = scenario->first.threshold_db + scenario->first.implementation_loss_db,
        .vsb = scenario->first,
    };
    return STATUS_OK;
}

static enum status describe(const struct scenario *scenario, int pipe, struct facts *facts,
                            struct fault *fault)
{
    (void)pipe;
    (void)fault;
    const struct first_receiver *receiver = &scenario->first;
    double center_mhz = scenario->site.center_mhz;
    *facts = facts_none();
    facts->net_mbps = vsb_net_mbps();
    facts->required_snr_db = receiver->threshold_db + receiver->implementation_loss_db;
    facts->implementation_loss_db = receiver->implementation_loss_db;
    facts->echo_before_us = receiver->equaliser_before_us;
    facts->echo_after_us = receiver->equaliser_after_us;
    facts->echo_km = km_from_us(receiver->equaliser_after_us);
    facts->doppler_hz = receiver->tracking_hz;
    facts->speed_kmh = kmh_from_doppler(receiver->tracking_hz, center_mhz * 1e6);
    facts->field_dbuvm =
        planning_field_dbuvm(PLAN_US, facts->required_snr_db, center_mhz, VSB_CHANNEL_MHZ);
    return STATUS_OK;
}

static struct fare_facts facts_of(const struct vsb_echo_result *vsb)
{
    struct fare_facts facts = fare_facts_none();
    facts.echo_loss_db = vsb->echo_loss_db;
    facts.decision_loss_db = vsb->decision_loss_db;
    facts.adaptation_loss_db = vsb->adaptation_loss_db;
    facts.lag_loss_db = vsb->lag_loss_db;
    facts.infinite_snr_db = vsb->infinite_snr_db;
    facts.linear_snr_db = vsb->linear_snr_db;
    facts.outside_reach_db = vsb->outside_db;
    return facts;
}

struct fare_work {
    struct vsb_echo_work echo;
};

static enum status open_work(const struct reception *reception, const struct channel *channel,
                             struct fare_work **work)
{
    (void)reception;
    (void)channel;
    *work = calloc(1, sizeof **work);
    return *work != NULL ? STATUS_OK : STATUS_NO_MEMORY;
}

static void close_work(struct fare_work *work)
{
    if (work != NULL) {
        vsb_echo_work_free(&work->echo);
    }
    free(work);
}

/* ---- A position of a receiver that moves is a field, which comes through where there is margin at
 * its beginning and its end: half a field before the instant at which the rays stand so, and after
 * it; in its middle too where it is long against the way. The SNR is that of what is received of
 * the field; at an instant it is more or less. ---- */

#define SNR_LEAST_DB (-30.0) /* that physics is asked for */
#define SNR_MOST_DB 100.0
#define STANDS_TURN 0.01 /* of the spread within a field: less changes nothing to speak of */
#define LONG_TURN 0.05   /* more may have a fade between */
#define MOMENTS_MOST 3

struct moment {
    struct channel channel;
    double snr_db;
};

static double field_s(void)
{
    return VSB_FIELD_SEGMENTS * VSB_SEGMENT_SYMBOLS / vsb_symbol_rate_hz();
}

static bool learns(const struct reception *reception)
{
    return reception->vsb.adaptation_step > 0.0 && reception->vsb.feedback != FEEDBACK_ERROR_FREE;
}

/* Fills in the moments, earlier ones first; returns how many: none where the rays may be taken as
 * they stand. */
static int moments_of(const struct reception *reception, const struct channel *channel,
                      double snr_db, struct moment moments[MOMENTS_MOST])
{
    static const double weights[MOMENTS_MOST] = {1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0}; /* Simpson's */
    double turn = channel->spread_hz * field_s(), mean = 0.0, received[MOMENTS_MOST];
    if (channel->waves == 0 || (turn < STANDS_TURN && !learns(reception))) {
        return 0;
    }
    for (int i = 0; i < MOMENTS_MOST; i++) {
        channel_advance(channel, 0.5 * (i - 1) * field_s(), &moments[i].channel);
        received[i] = vsb_echo_received(&moments[i].channel);
        mean += weights[i] * received[i];
    }
    for (int i = 0; i < MOMENTS_MOST; i++) {
        double at_db = snr_db + db_from_ratio(received[i] / mean);
        moments[i].snr_db = fmin(fmax(at_db, SNR_LEAST_DB), SNR_MOST_DB);
    }
    if (turn > LONG_TURN) {
        return MOMENTS_MOST;
    }
    moments[1] = moments[2];
    return MOMENTS_MOST - 1;
}

static enum status fare_at(const struct reception *reception, const struct channel *channel,
                           double snr_db, struct fare_work *work, struct fare *fare)
{
    *fare = (struct fare){.snr_db = snr_db, .left_db = NAN, .margin_db = NAN};
    struct vsb_echo_result *vsb = &fare->vsb;
    enum status status =
        work != NULL ? vsb_echo_solve_position(channel, snr_db, &reception->vsb, &work->echo, vsb)
                     : vsb_echo_solve(channel, snr_db, &reception->vsb, vsb);
    if (status == STATUS_OK) {
        const struct loss losses[] = {
            {LOSS_ECHOES, "Echoes, ideal equaliser", vsb->echo_loss_db},
            {LOSS_DECISIONS, "Decisions fed back", vsb->decision_loss_db},
            {LOSS_ADAPTATION, "Adaptation noise", vsb->adaptation_loss_db},
            {LOSS_MOTION, "Lag behind moving echoes", vsb->lag_loss_db},
            {LOSS_IMPLEMENTATION, "Implementation", vsb->implementation_loss_db},
        };
        fare->loss_count = (int)(sizeof losses / sizeof losses[0]);
        for (int i = 0; i < fare->loss_count; i++) {
            fare->losses[i] = losses[i];
        }
        fare->facts = facts_of(vsb);
        fare->left_db = vsb->output_snr_db;
        fare->lost = vsb->lost;
        fare->margin_db = vsb->output_snr_db - reception->needed_db;
    }
    return status;
}

static enum status fare_in(const struct reception *reception, const struct channel *channel,
                           double snr_db, struct fare_work *work, struct fare *fare)
{
    struct moment moments[MOMENTS_MOST];
    int count = moments_of(reception, channel, snr_db, moments);
    if (count == 0) {
        return fare_at(reception, channel, snr_db, work, fare);
    }
    struct fare *other = malloc(sizeof *other);
    if (work != NULL) {
        work->echo.field_snr_db = snr_db;
    }
    enum status status = other != NULL ? STATUS_OK : STATUS_NO_MEMORY;
    for (int i = 0; i < count && status == STATUS_OK; i++) {
        struct fare *at = i == 0 ? fare : other;
        status = fare_at(reception, &moments[i].channel, moments[i].snr_db, work, at);
        at->snr_db = snr_db;
        if (status == STATUS_OK) { /* what less is received then is the rays' doing */
            at->vsb.echo_loss_db += snr_db - moments[i].snr_db;
            at->facts.echo_loss_db = at->losses[0].db = at->vsb.echo_loss_db;
        }
        if (status == STATUS_OK && at->margin_db < fare->margin_db) {
            *fare = *at;
        }
    }
    free(other);
    return status;
}

/* Where its decisions have been wrong they have spoilt taps that learn from them: what the way here
 * did to them is in an instant's margin already (physics/vsb/way.h), but a field that ends now
 * comes through only where there was margin at its beginning as well
 * (tests/published/test_outage.c). */
static double memory_s(const struct reception *reception, const struct channel *channel)
{
    bool own_motion = channel->spread_hz > 0.0; /* its moments are those of a field already */
    return learns(reception) && channel_moves(channel) && !own_motion ? field_s() : 0.0;
}

/* The weakest first. */
static void order_moments(struct moment *moments, int count)
{
    for (int i = 1; i < count; i++) {
        for (int k = i; k > 0 && moments[k].snr_db < moments[k - 1].snr_db; k--) {
            struct moment stronger = moments[k - 1];
            moments[k - 1] = moments[k];
            moments[k] = stronger;
        }
    }
}

static enum status margin(const struct reception *reception, const struct channel *channel,
                          double snr_db, double least_db, struct fare_work *work, double *margin_db)
{
    double more_db = reception->vsb.threshold_db - reception->needed_db;
    if (channel->spread_hz > reception->vsb.tracking_hz) {
        *margin_db = VSB_LOST_DB; /* whatever the phases */
        return STATUS_OK;
    }
    struct moment moments[MOMENTS_MOST];
    int count = moments_of(reception, channel, snr_db, moments);
    enum status status = STATUS_OK;
    work->echo.field_snr_db = snr_db;
    *margin_db = INFINITY;
    if (count == 0) {
        status = vsb_echo_margin_db(channel, snr_db, &reception->vsb, least_db - more_db,
                                    &work->echo, margin_db);
    }
    if (reception->vsb.adaptation_step > 0.0) {
        least_db = -INFINITY; /* taps are followed from one moment to the next */
    } else {
        order_moments(moments, count);
    }
    for (int i = 0; i < count && status == STATUS_OK && *margin_db + more_db >= least_db; i++) {
        double at_db;
        status = vsb_echo_margin_db(&moments[i].channel, moments[i].snr_db, &reception->vsb,
                                    least_db - more_db, &work->echo, &at_db);
        *margin_db = fmin(*margin_db, at_db);
    }
    *margin_db += more_db;
    return status;
}

/* The output SNR rises with the input SNR, so the input that gives the threshold is found by regula
 * falsi (Illinois) between the threshold itself, which echoes can hardly lower, and MOST_DB: what
 * is not decoded there never is, because echoes outside the equaliser's reach are as strong as
 * ever. */
#define MOST_DB 70.0
#define CLOSE_DB 1e-4
#define STEPS_MAX 40

struct bracket {
    double low, high, low_margin, high_margin;
    int side;
};

static double bracket_middle(const struct bracket *b)
{
    return (b->low * b->high_margin - b->high * b->low_margin) / (b->high_margin - b->low_margin);
}

static void bracket_narrow(struct bracket *b, double middle, double margin)
{
    if (margin < 0.0) {
        b->low = middle;
        b->low_margin = margin;
        b->high_margin *= b->side < 0 ? 0.5 : 1.0;
        b->side = -1;
    } else {
        b->high = middle;
        b->high_margin = margin;
        b->low_margin *= b->side > 0 ? 0.5 : 1.0;
        b->side = 1;
    }
}

static enum status required_with(const struct reception *reception, const struct channel *channel,
                                 struct fare_work *work, double *snr_db)
{
    struct bracket b = {.low = reception->needed_input_db - 1.0, .high = MOST_DB};
    enum status status = margin(reception, channel, b.low, -INFINITY, work, &b.low_margin);
    if (status == STATUS_OK) {
        status = margin(reception, channel, b.high, -INFINITY, work, &b.high_margin);
    }
    if (status != STATUS_OK) {
        return status;
    }
    if (b.high_margin < 0.0 || b.low_margin >= 0.0) {
        *snr_db = b.high_margin < 0.0 ? INFINITY : b.low;
        return STATUS_OK;
    }
    for (int i = 0; i < STEPS_MAX && b.high - b.low > CLOSE_DB; i++) {
        double middle = bracket_middle(&b), margin_db;
        status = margin(reception, channel, middle, -INFINITY, work, &margin_db);
        if (status != STATUS_OK) {
            return status;
        }
        bracket_narrow(&b, middle, margin_db);
        if (fabs(margin_db) < CLOSE_DB) {
            b.high = middle;
            break;
        }
    }
    *snr_db = b.high;
    return STATUS_OK;
}

static enum status required(const struct reception *reception, const struct channel *channel,
                            double *snr_db)
{
    struct fare_work *work;
    *snr_db = NAN;
    enum status status = open_work(reception, channel, &work);
    if (status == STATUS_OK) {
        status = required_with(reception, channel, work, snr_db);
    }
    close_work(work);
    return status;
}

static void count_words(struct text *out, int count, const char *rest_one, const char *rest_more)
{
    if (count == 1) {
        text_printf(out, "one echo %s", rest_one);
    } else {
        text_printf(out, "%d echoes %s", count, rest_more);
    }
}

static void reach_words(const struct reception *reception, const struct channel *channel,
                        const struct vsb_echo_result *vsb, struct text *out)
{
    const struct first_receiver *receiver = &reception->vsb;
    if (channel_ray_count(channel) == 1) {
        text_append(out, channel->waves > 0
                             ? "There are no echoes, but the signal comes and goes with the way."
                             : "Without echoes the equaliser has nothing to do.");
        return;
    }
    if (vsb->reference_us != 0.0) {
        text_printf(out, "The receiver locks to the stronger ray at %.1f us. ", vsb->reference_us);
    }
    if (vsb->outside_count > 0) {
        text_append(out, "There is no guard interval, and ");
        count_words(out, vsb->outside_count, "lies", "lie");
        text_printf(out,
                    " outside the equaliser's reach (%.1f us before to %.1f us after): what comes "
                    "from there, %.1f dB against the main ray, stays in the signal as noise.",
                    receiver->equaliser_before_us, receiver->equaliser_after_us, vsb->outside_db);
    } else {
        text_printf(out,
                    "All echoes lie within the equaliser's reach (%.1f us before to %.1f us "
                    "after); it takes them out, and what that costs is noise raised where the "
                    "echoes weaken the spectrum.",
                    receiver->equaliser_before_us, receiver->equaliser_after_us);
    }
    if (vsb->too_fast_count > 0) {
        text_append(out, " Also ");
        count_words(out, vsb->too_fast_count, "moves", "move");
        text_printf(out,
                    " faster than the %.0f Hz that it follows: noise to it, of %.1f dB together.",
                    receiver->tracking_hz, vsb->too_fast_db);
    }
}

static void decision_words(const struct reception *reception, const struct vsb_echo_result *vsb,
                           struct text *out)
{
    if (vsb->decision_loss_db >= NOTABLE_DB) {
        text_printf(out,
                    " Now and then it takes off what was not there, because a decision was wrong: "
                    "with its feedback (%s) that costs %.1f dB.",
                    vsb_feedback_name(reception->vsb.feedback), vsb->decision_loss_db);
    }
    if (vsb->diverges) {
        text_append(out, " Here one wrong decision calls up the next: the equaliser diverges. "
                         "A better signal can make that worse before it mends it.");
    }
}

static void words(const struct reception *reception, const struct channel *channel,
                  const struct fare *fare, struct text *out)
{
    const struct vsb_echo_result *vsb = &fare->vsb;
    reach_words(reception, channel, vsb, out);
    if (vsb->echo_loss_db >= NOTABLE_DB) {
        text_printf(out, " %s %.1f dB even an ideal equaliser.",
                    channel_ray_count(channel) == 1 ? "That costs" : "Together the echoes cost",
                    vsb->echo_loss_db);
    }
    decision_words(reception, vsb, out);
    if (vsb->lost) {
        text_printf(out,
                    " The receiver moves, and no ray stays as it is: it would have to follow "
                    "%.1f Hz and follows %.3g Hz, so that nothing of the SNR is left.",
                    channel->spread_hz, reception->vsb.tracking_hz);
        return;
    }
    if (vsb->adaptation_loss_db + vsb->lag_loss_db >= NOTABLE_DB) {
        text_printf(out,
                    " Its taps learn from the signal: their unrest costs %.1f dB and their lag "
                    "behind moving echoes %.1f dB.",
                    vsb->adaptation_loss_db, vsb->lag_loss_db);
    }
    if (vsb->implementation_loss_db >= NOTABLE_DB) {
        text_printf(out, " The receiver's implementation takes %.1f dB.",
                    vsb->implementation_loss_db);
    }
}

static void fare_notes(const struct fare *fare, struct text *out)
{
    text_append(out, "Decision-feedback equaliser");
    if (fare->vsb.error_free) {
        text_append(out, " whose decisions are free of errors, which flatters it");
    }
    text_printf(out, "; of infinite length%s it would leave %.1f dB, a linear one %.1f dB.",
                fare->vsb.error_free ? "" : " and without wrong decisions",
                fare->vsb.infinite_snr_db, fare->vsb.linear_snr_db);
}

static const char *const figures[] = {
    "system",         "snr_db",          "snr_source", "net_mbps",     "required_snr_db",
    "echo_before_us", "echo_after_us",   "echo_km",    "doppler_hz",   "speed_kmh",
    "field_dbuvm",    "margin_noise_db", "margin_db",  "margin_90_db", "margin_99_db",
    "works",          "positions_share", NULL};

static const char *const fare_figures[] = {"output_snr_db",    "threshold_db",
                                           "required_cn_db",   "margin_db",
                                           "margin_90_db",     "margin_99_db",
                                           "margin_noise_db",  "works",
                                           "positions_share",  "echo_loss_db",
                                           "decision_loss_db", "adaptation_loss_db",
                                           "lag_loss_db",      "implementation_loss_db",
                                           "infinite_snr_db",  "linear_snr_db",
                                           "outside_reach_db", NULL};

static double ideal_margin_db(const struct reception *reception, const struct fare *fare)
{
    return fare->vsb.static_snr_db - reception->ideal_db;
}

static int reaches(const struct reception *reception, const struct fare *fare,
                   struct reach reaches[REACHES_MAX])
{
    double from_us = fare != NULL ? fare->vsb.reference_us : 0.0;
    reaches[0] = (struct reach){"equaliser", from_us - reception->vsb.equaliser_before_us,
                                from_us + reception->vsb.equaliser_after_us, false};
    return 1;
}

static double ray_share(const struct reception *reception, const struct fare *fare,
                        const struct ray *ray, const char **words)
{
    struct reach reach[REACHES_MAX];
    reaches(reception, fare, reach);
    bool reached = ray->delay_us >= reach[0].from_us && ray->delay_us <= reach[0].to_us;
    bool reference = fabs(ray->delay_us - fare->vsb.reference_us) < 1e-9;
    *words = reference ? "reference" : reached ? "in reach" : "out of reach";
    return reached ? 1.0 : 0.0;
}

/* What arrives over the noise, before the equaliser: between the signal's half-power points. */
static int spectrum(const struct reception *reception, const struct channel *channel,
                    const struct fare *fare, int most, double *mhz, double *snr_db)
{
    (void)reception;
    double half_mhz = vsb_pilot_below_hz() * 1e-6, mean = 0.0;
    for (int i = 0; i < most; i++) {
        mhz[i] = half_mhz * (2.0 * (i + 0.5) / most - 1.0);
        double gain = cabs(channel_response(channel, mhz[i] * 1e6, 0.0));
        snr_db[i] = gain * gain;
        mean += snr_db[i] / most;
    }
    for (int i = 0; i < most; i++) {
        snr_db[i] = fare->snr_db + db_from_ratio(snr_db[i] / mean);
    }
    return most;
}

static void limit_words(const struct facts *facts, struct text *out)
{
    text_printf(
        out,
        "Echoes outside the equaliser's reach, -%.1f to +%.1f us with the receiver assumed, "
        "and strong ones within. Motion: changes faster than %.0f Hz.",
        facts->echo_before_us, facts->echo_after_us, facts->doppler_hz);
}

const struct system system_vsb = {
    .name = "8-VSB",
    .title = "8-VSB (ATSC A/53)",
    .glyph = 'V',
    .needs_by = "the profile's threshold of visibility",
    .one_mode = true,
    .channel_mhz = VSB_CHANNEL_MHZ,
    .limit_words = limit_words,
    .receive = receive,
    .describe = describe,
    .open = open_work,
    .close = close_work,
    .fare = fare_in,
    .margin = margin,
    .memory_s = memory_s,
    .margin_is_full = true,
    .symbol_us = vsb_symbol_us,
    .required = required,
    .words = words,
    .fare_notes = fare_notes,
    .ideal_margin_db = ideal_margin_db,
    .simulation = &simulation_vsb,
    .reaches = reaches,
    .ray_share = ray_share,
    .spectrum = spectrum,
    .assumes = "net rate in packets of 188 bytes. Required SNR at the threshold of visibility, "
               "pilot counted as signal. It has no guard interval: its echoes are the reach of the "
               "receiver's equaliser ([first] of the profile), and an echo within costs SNR. "
               "Doppler: what the equaliser follows.",
    .figures = figures,
    .fare_figures = fare_figures,
};
