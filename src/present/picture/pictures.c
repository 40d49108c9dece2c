/* The pictures that show settings: delays, Doppler, rate against SNR. */
#include "present/picture/pictures.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "present/picture/pictures_divide.h"
#include "present/picture/pictures_echo.h"
#include "present/picture/pictures_log.h"
#include "present/picture/pictures_place.h"
#include "present/picture/pictures_weigh.h"
#include "present/picture/rate.h"
#include "present/picture/verdict.h"
#include "scenario/field.h"
#include "system/space/space.h"

struct pipes picture_case_pipes(const struct picture_case *shown)
{
    return shown->pipes != NULL && shown->pipes->count > 1 ? *shown->pipes : (struct pipes){0};
}

const char *picture_case_name(const struct picture_case *shown, enum generation generation)
{
    return shown->name != NULL && generation == GENERATION_SECOND
               ? shown->name
               : shown->report->verdicts.of[generation].reception.system->name;
}

const char *picture_case_pinned_name(const struct picture_case *shown)
{
    return shown->pinned_name ? shown->pinned_name : "pinned";
}

static const struct facts *first_of(const struct picture_case *shown)
{
    return report_facts(shown->report, GENERATION_FIRST);
}

static const struct facts *second_of(const struct picture_case *shown)
{
    return report_facts(shown->report, GENERATION_SECOND);
}

/* ---- Delays against the guard interval and the equaliser's reach. ---- */

struct span {
    double low, high;
};

/* The guard interval where the receiver's window stands: as `echo` and the picture of the rays have
 * it. Where rays cancel each other there is no window; then from the earliest ray on. */
static struct span guard_span(const struct scenario *scenario, const struct verdict *second)
{
    struct ofdm_window window;
    double start_us = 0.0;
    if (pictures_echo_window(scenario, &second->reception, &window)) {
        start_us = window.start_us;
    } else {
        for (int i = 1; i < second->conditions.channel.count; i++) {
            start_us = fmin(start_us, second->conditions.channel.rays[i].delay_us);
        }
    }
    return (struct span){start_us, start_us + second->facts.echo_after_us};
}

static void widen(struct axis *axis, double low, double high)
{
    axis->low = fmin(axis->low, low);
    axis->high = fmax(axis->high, high);
}

/* Bands, and a width of the axis that holds them. */
static void delay_bands(const struct picture_case *shown, struct picture *out)
{
    const struct facts *first = first_of(shown);
    const struct verdict *verdict = &shown->report->verdicts.of[GENERATION_FIRST];
    struct span guard = guard_span(shown->scenario, &shown->report->verdicts.of[GENERATION_SECOND]);
    char label[64];
    if (isfinite(first->guard_us)) { /* OFDM too */
        struct span own = guard_span(shown->scenario, verdict);
        text_format(label, sizeof label, "%s guard interval %.1f us",
                    picture_case_name(shown, GENERATION_FIRST), first->guard_us);
        picture_add_band(out, ROLE_FIRST, label, own.low, own.high);
        widen(&out->x, own.low, own.high);
    } else {
        struct reach reaches[REACHES_MAX] = {{.name = ""}};
        verdict->reception.system->reaches(&verdict->reception, NULL, reaches);
        text_format(label, sizeof label, "%s %s -%.1f to +%.1f us",
                    picture_case_name(shown, GENERATION_FIRST), reaches[0].name,
                    first->echo_before_us, first->echo_after_us);
        picture_add_band(out, ROLE_FIRST, label, -first->echo_before_us, first->echo_after_us);
        widen(&out->x, -first->echo_before_us, first->echo_after_us);
    }
    text_format(label, sizeof label, "%s guard interval %.1f us",
                picture_case_name(shown, GENERATION_SECOND), second_of(shown)->echo_after_us);
    picture_add_band(out, ROLE_SECOND, label, guard.low, guard.high);
    widen(&out->x, guard.low, guard.high);
    if (shown->pinned) {
        struct span pinned =
            guard_span(shown->scenario, &shown->pinned->verdicts.of[GENERATION_SECOND]);
        text_format(label, sizeof label, "%s %.1f us", picture_case_pinned_name(shown),
                    report_facts(shown->pinned, GENERATION_SECOND)->echo_after_us);
        picture_add_band(out, ROLE_PINNED, label, pinned.low, pinned.high);
        widen(&out->x, pinned.low, pinned.high);
    }
}

static double db_of(const struct ray *ray)
{
    return 2.0 * db_from_ratio(ray->gain);
}

static bool make_delays(const struct picture_case *shown, struct picture *out)
{
    const struct channel *channel =
        &shown->report->verdicts.of[GENERATION_SECOND].conditions.channel;
    double lowest = -30.0, highest = 0.0;
    out->x = (struct axis){.label = "delay", .unit = "us"};
    for (int i = 1; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        widen(&out->x, ray->delay_us, ray->delay_us);
        lowest = fmin(lowest, db_of(ray) - 5.0);
        highest = fmax(highest, db_of(ray));
    }
    delay_bands(shown, out);
    double margin = 0.06 * (out->x.high - out->x.low);
    widen(&out->x, out->x.low - margin, out->x.high + margin);
    text_format(out->title, sizeof out->title, "Delays and what withstands them");
    text_format(out->note, sizeof out->note, "%s",
                isfinite(first_of(shown)->guard_us)
                    ? "The guard intervals stand where they serve best."
                    : "The guard interval stands where it serves best, the profile's equaliser "
                      "about the main signal.");
    out->y = (struct axis){.label = "level", .unit = "dB", .low = lowest, .high = highest + 3.0};
    struct series *main_signal =
        picture_add_series(out, SERIES_STEMS, ROLE_PLAIN, "main signal", 1);
    struct series *echoes = picture_add_series(
        out, SERIES_STEMS, ROLE_WARN, channel->count > 1 ? "echo" : "", (size_t)channel->count - 1);
    if (!main_signal || !echoes) {
        return false;
    }
    main_signal->glyph = 'o';
    echoes->glyph = 'x';
    bool named = true;
    for (int i = 1; i < channel->count; i++) {
        echoes->x[i - 1] = channel->rays[i].delay_us;
        echoes->y[i - 1] = db_of(&channel->rays[i]);
        named = named && series_name(echoes, (size_t)i - 1,
                                     conditions_ray_name(shown->scenario, GENERATION_SECOND, i));
    }
    return named;
}

/* ---- Loss against Doppler. ---- */

#define DOPPLER_POINTS 120
#define LOSS_MOST_DB 6.0

static bool add_loss(struct picture *out, enum role role, const char *label,
                     const struct report *report, enum generation generation)
{
    const struct reception *reception = &report->verdicts.of[generation].reception;
    if (!reception->system->motion_losses) {
        return true; /* the mark tells what it follows */
    }
    struct series *series = picture_add_series(out, SERIES_LINE, role, label, DOPPLER_POINTS);
    if (!series) {
        return false;
    }
    for (int i = 0; i < DOPPLER_POINTS; i++) {
        series->x[i] = out->x.high * i / (DOPPLER_POINTS - 1);
    }
    reception->system->motion_losses(reception, DOPPLER_POINTS, series->x, series->y);
    for (int i = 0; i < DOPPLER_POINTS; i++) {
        series->y[i] = isinf(series->y[i]) ? 10.0 * LOSS_MOST_DB : series->y[i];
    }
    return true;
}

static bool make_doppler(const struct picture_case *shown, struct picture *out)
{
    const struct report *report = shown->report;
    const struct facts *pinned =
        shown->pinned ? report_facts(shown->pinned, GENERATION_SECOND) : NULL;
    const struct facts *first = first_of(shown), *second = second_of(shown);
    double speed_kmh = shown->scenario->receiver.speed_kmh;
    double present_hz = doppler_from_kmh(speed_kmh, report->rf.center_mhz * 1e6);
    double high = fmax(second->doppler_hz, first->doppler_hz);
    high = fmax(high, pinned ? pinned->doppler_hz : 0.0);
    text_format(out->title, sizeof out->title, "Loss against Doppler");
    text_format(
        out->note, sizeof out->note,
        "Extra SNR for leaking carriers and errors of the estimate; a line ends where pilots no "
        "longer follow. %.0f km/h: %.1f Hz.",
        100.0, doppler_from_kmh(100.0, report->rf.center_mhz * 1e6));
    out->x = (struct axis){
        .label = "Doppler", .unit = "Hz", .low = 0.0, .high = 1.3 * fmax(high, present_hz)};
    out->y = (struct axis){.label = "loss", .unit = "dB", .low = 0.0, .high = LOSS_MOST_DB};
    if (!(out->x.high > 0.0)) {
        return false;
    }
    char label[64];
    text_format(label, sizeof label, "%s %.0f Hz", picture_case_name(shown, GENERATION_FIRST),
                first->doppler_hz);
    picture_add_mark(out, ROLE_FIRST, label, true, first->doppler_hz);
    text_format(label, sizeof label, "%s %.1f Hz", picture_case_name(shown, GENERATION_SECOND),
                second->doppler_hz);
    picture_add_mark(out, ROLE_SECOND, label, true, second->doppler_hz);
    if (pinned) {
        text_format(label, sizeof label, "%s %.1f Hz", picture_case_pinned_name(shown),
                    pinned->doppler_hz);
        picture_add_mark(out, ROLE_PINNED, label, true, pinned->doppler_hz);
    }
    if (speed_kmh > 0.0) {
        text_format(label, sizeof label, "%g km/h", speed_kmh);
        picture_add_mark(out, ROLE_WARN, label, true, present_hz);
    }
    return add_loss(out, ROLE_FIRST, picture_case_name(shown, GENERATION_FIRST), report,
                    GENERATION_FIRST) &&
           add_loss(out, ROLE_SECOND, picture_case_name(shown, GENERATION_SECOND), report,
                    GENERATION_SECOND) &&
           (!pinned || add_loss(out, ROLE_PINNED, picture_case_pinned_name(shown), shown->pinned,
                                GENERATION_SECOND));
}

/* ---- Bit rate against required SNR. ---- */

static bool add_point(struct picture *out, enum role role, const char *label, char glyph,
                      const struct facts *facts)
{
    struct series *series = picture_add_series(out, SERIES_POINTS, role, label, 1);
    if (!series) {
        return false;
    }
    series->glyph = glyph;
    series->x[0] = facts->required_snr_db;
    series->y[0] = facts->net_mbps;
    return true;
}

bool pictures_add_modes(const struct picture_case *shown, struct picture *out)
{
    return (!shown->pinned || add_point(out, ROLE_PINNED, picture_case_pinned_name(shown), 'P',
                                        report_facts(shown->pinned, GENERATION_SECOND))) &&
           add_point(out, ROLE_FIRST, picture_case_name(shown, GENERATION_FIRST),
                     system_of(shown->scenario, GENERATION_FIRST)->glyph, first_of(shown)) &&
           add_point(out, ROLE_SECOND, picture_case_name(shown, GENERATION_SECOND),
                     system_of(shown->scenario, GENERATION_SECOND)->glyph, second_of(shown));
}

static void widen_to(struct picture *out, const struct facts *facts)
{
    out->x.low = fmin(out->x.low, facts->required_snr_db);
    if (isfinite(facts->required_snr_db)) {
        out->x.high = fmax(out->x.high, facts->required_snr_db);
    }
    out->y.high = fmax(out->y.high, facts->net_mbps);
}

/* The scenario with another code, made legal by what hangs on that. */
static enum status describe_with(const struct scenario *scenario, const struct space_code *code,
                                 struct facts *facts)
{
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    struct scenario *mode = malloc(sizeof *mode);
    if (mode == NULL) {
        return STATUS_NO_MEMORY;
    }
    *mode = *scenario;
    for (int c = 0; c < system->space->choice_count; c++) {
        if (system->space->choices[c].of_code) {
            field_put(field_named(system->space->choices[c].key), mode, code->numbers[c]);
        }
    }
    scenario_repair(mode);
    enum status status = system->describe(mode, PIPE_MOST_ROBUST, facts, NULL);
    free(mode);
    return status;
}

static bool fill_neighbours(const struct picture_case *shown, const struct space_code *codes,
                            int code_count, struct series *series, struct picture *out)
{
    series->count = 0;
    for (int c = 0; c < code_count; c++) {
        struct facts second;
        if (codes[c].fold != c || codes[c].facts.length != second_of(shown)->length) {
            continue;
        }
        enum status status = describe_with(shown->scenario, &codes[c], &second);
        if (status == STATUS_OK) {
            series->x[series->count] = second.required_snr_db;
            series->y[series->count++] = second.net_mbps;
            widen_to(out, &second);
        } else if (status == STATUS_NO_MEMORY) {
            return false;
        }
    }
    return true;
}

/* The same symbol and frame with every constellation and code rate. */
static bool add_neighbours(const struct picture_case *shown, struct picture *out)
{
    struct series *series = picture_add_series(out, SERIES_POINTS, ROLE_DIM,
                                               "this symbol, other codes", SPACE_CODES_MAX);
    struct space_code *codes = malloc(SPACE_CODES_MAX * sizeof *codes);
    bool added = series != NULL && codes != NULL;
    if (added) {
        const struct system_space *space = system_of(shown->scenario, GENERATION_SECOND)->space;
        series->glyph = '.';
        added = fill_neighbours(shown, codes, space->codes(shown->scenario, codes), series, out);
    }
    free(codes);
    return added;
}

/* Each pipe at its own need and rate; what no SNR suffices for has no place. */
static bool add_pipes(const struct picture_case *shown, struct picture *out)
{
    struct pipes pipes = picture_case_pipes(shown);
    struct series *points = pipes.count > 0 ? picture_add_series(out, SERIES_POINTS, ROLE_SECOND,
                                                                 "its PLPs", (size_t)pipes.count)
                                            : NULL;
    for (int i = 0; i < pipes.count && points != NULL; i++) {
        const struct verdict *verdict = &pipes.verdicts[i];
        double snr_db = verdict->facts.required_snr_db;
        points->glyph = '+';
        points->x[i] = isfinite(snr_db) ? snr_db : NAN;
        points->y[i] = verdict->facts.net_mbps;
        if (isfinite(snr_db)) {
            widen(&out->x, snr_db, snr_db);
        }
        if (!series_name(points, (size_t)i, verdict->facts.plp)) {
            return false;
        }
    }
    return pipes.count == 0 || points != NULL;
}

static bool make_rates(const struct picture_case *shown, struct picture *out)
{
    text_format(out->title, sizeof out->title, "Bit rate against required SNR");
    text_format(out->note, sizeof out->note,
                "Receiver SNR without echoes. Dots: this symbol with every constellation and code "
                "rate.");
    out->x = (struct axis){.label = "receiver SNR", .unit = "dB", .low = 0.0, .high = 20.0};
    out->y = (struct axis){.label = "net rate", .unit = "Mbit/s", .low = 0.0, .high = 20.0};
    if (!add_neighbours(shown, out)) {
        return false;
    }
    out->x.low -= 1.0;
    out->x.high += 1.0;
    out->y.high *= 1.05;
    return pictures_add_modes(shown, out) && add_pipes(shown, out);
}

/* The frontier of the whole legal space, with the present mode in it. */
static bool make_frontier(const struct picture_case *shown, struct picture *out)
{
    struct weigh_space space;
    if (weigh_space_make(shown->scenario, SNR_RECEIVER, &space, NULL) != STATUS_OK) {
        return false;
    }
    const struct picture_rate rate = {.space = &space,
                                      .current = shown->report,
                                      .pinned = shown->pinned,
                                      .current_name = picture_case_name(shown, GENERATION_SECOND),
                                      .pinned_name = shown->pinned_name,
                                      .selected = -1,
                                      .snr_low_db = NAN,
                                      .snr_high_db = NAN};
    bool made = picture_rate_make(&rate, out);
    weigh_space_free(&space);
    return made;
}

static bool make_account(const struct picture_case *shown, struct picture *out)
{
    return picture_account(&shown->report->verdicts, out);
}

static bool make_positions(const struct picture_case *shown, struct picture *out)
{
    struct pipes pipes = picture_case_pipes(shown);
    return picture_positions(&shown->report->verdicts, pipes.verdicts, pipes.count, out);
}

static bool make_time(const struct picture_case *shown, struct picture *out)
{
    return picture_time(&shown->report->verdicts, out);
}

static const struct picture_kind kinds[] = {
    {"delays", "delays", "echo delays against the guard interval and the equaliser's reach",
     make_delays, "main", .compares = true},
    {"doppler", "Doppler", "SNR lost to motion", make_doppler, "main", .compares = true},
    {"rate", "rate and SNR", "bit rate against required SNR", make_rates, "main", .compares = true},
    {"carriers", "carriers", "SNR over the channel's width", pictures_echo_carriers, "main",
     .takes_snr = true},
    {"frame", "frame", "the frame: subframes, PLPs and layers over time", pictures_frame, "main",
     .compares = false},
    {"account", "account",
     "both from the SNR, loss by loss, to what is to spare, one under the other", make_account,
     "main", .takes_snr = true},
    {"positions", "positions", "how the margin is spread over positions", make_positions, "main",
     .takes_snr = true},
    {"time", "time", "margin over ten seconds as rays and receiver move", make_time, "echo",
     .takes_snr = true},
    {"frontier", "frontier", "bit rate against required SNR of all legal modes", make_frontier,
     "weigh", .compares = true},
    {"rays", "rays", "the rays and what of each is useful", pictures_echo_rays, "echo",
     .compares = false},
    {"best", "best rate", "the best bit rate of all legal modes at each SNR", pictures_frontier,
     NULL, .compares = true},
    {"tolerance", "tolerance", "the strongest echo borne at each delay", pictures_echo_tolerance,
     "echo", .described = true, .takes_snr = true},
    {"margin", "margin", "margins as the profile's first echo slides", pictures_echo_margins,
     "echo", .takes_snr = true},
    {"field", "field", "field strength of the stations against distance", pictures_place_field,
     "place", .described = true},
    {"reach", "reach", "margin of the stations against distance", pictures_place_margin, "place",
     .described = true},
    {"field-methods", "field, methods", "field of the first station by both methods, 50 and 90 %",
     pictures_place_ways_field, "place", .described = true},
    {"reach-methods", "reach, methods", "margin of the first station by both methods, 50 and 90 %",
     pictures_place_ways_margin, "place", .described = true},
    {"network", "network", "margins along the line between two transmitters of a network",
     pictures_place_network, "place", .described = true},
    {"plan", "plan", "a map of the stations: which generation decodes where", pictures_place_plan,
     "place", .described = true},
    {"motion", "motion", "Doppler of moving reflectors and both generations' limits",
     pictures_place_motion, "place", .described = true},
    {"divide", "services", "rates of two services by division (two [service NAME] sections)",
     pictures_divide, "divide", .compares = false},
    {"readings", "readings", "a log of SNRs over time (--readings FILE) with both needs",
     pictures_log_readings, NULL, .reads_log = true},
};

size_t picture_kind_count(void)
{
    return sizeof kinds / sizeof kinds[0];
}

const struct picture_kind *picture_kind_row(size_t i)
{
    return &kinds[i];
}

const struct picture_kind *picture_kind_find(const char *name)
{
    for (size_t i = 0; i < picture_kind_count(); i++) {
        if (strcmp(kinds[i].name, name) == 0) {
            return &kinds[i];
        }
    }
    return NULL;
}

bool picture_kind_make(const struct picture_kind *kind, const struct picture_case *shown,
                       struct picture *out)
{
    *out = (struct picture){0};
    errno = 0;
    if (kind->make(shown, out)) {
        picture_join_alike(out);
        if (shown->stretch.high > shown->stretch.low) {
            bool has_none = out->x.logarithmic && !(shown->stretch.low > 0.0); /* of zero */
            out->x.low = has_none ? out->x.low : shown->stretch.low;
            out->x.high = shown->stretch.high;
        }
        return true;
    }
    picture_free(out);
    errno = errno == ENOMEM ? ENOMEM : 0;
    return false;
}
