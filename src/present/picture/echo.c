/* Builds the pictures of echoes from a verdict: reaches and rays, carriers, what is borne,
 * margins over delay. */
#include "present/picture/echo.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"

static const struct verdict *first_of(const struct verdicts *verdicts)
{
    return &verdicts->of[GENERATION_FIRST];
}

static const struct verdict *second_of(const struct verdicts *verdicts)
{
    return &verdicts->of[GENERATION_SECOND];
}

/* ---- Rays. ---- */

#define FLOOR_DB (-40.0)

static void add_reaches(const struct verdicts *verdicts, struct picture *out)
{
    const struct first_receiver *receiver = &first_of(verdicts)->reception.vsb;
    const struct ofdm_window *window = &second_of(verdicts)->fare.ofdm.window;
    double reference_us = first_of(verdicts)->fare.vsb.reference_us;
    char label[64];
    text_format(label, sizeof label, "8-VSB equaliser %.1f to %.1f us",
                reference_us - receiver->equaliser_before_us,
                reference_us + receiver->equaliser_after_us);
    picture_add_band(out, ROLE_FIRST, label, reference_us - receiver->equaliser_before_us,
                     reference_us + receiver->equaliser_after_us);
    text_format(label, sizeof label, "OFDM guard interval %.1f us",
                window->guard_end_us - window->start_us);
    picture_add_band(out, ROLE_SECOND, label, window->start_us, window->guard_end_us);
    text_format(label, sizeof label, "pilots' reach %.1f us",
                window->reach_to_us - window->reach_from_us);
    picture_add_band(out, ROLE_DIM, label, window->reach_from_us, window->reach_to_us);
}

static bool add_rays(const struct verdicts *verdicts, struct picture *out)
{
    const struct ofdm_rays *rays = &second_of(verdicts)->fare.ofdm.rays;
    size_t count = (size_t)rays->count;
    struct series *whole = picture_add_series(out, SERIES_STEMS, ROLE_WARN, "ray", count);
    struct series *useful =
        picture_add_series(out, SERIES_POINTS, ROLE_SECOND, "useful in OFDM", count);
    if (!whole || !useful) {
        return false;
    }
    whole->glyph = 'x';
    useful->glyph = 'o';
    for (size_t i = 0; i < count; i++) {
        const struct ofdm_ray *ray = &rays->rays[i];
        double share = ray->weight * ray->coherent;
        whole->x[i] = useful->x[i] = ray->delay_us;
        whole->y[i] = db_from_ratio(ray->power);
        useful->y[i] = share > 0.0 ? whole->y[i] + db_from_ratio(share) : NAN;
    }
    return true;
}

static bool draw_rays(const struct verdicts *verdicts, struct picture *out)
{
    const struct ofdm_rays *rays = &second_of(verdicts)->fare.ofdm.rays;
    const struct first_receiver *receiver = &first_of(verdicts)->reception.vsb;
    const struct ofdm_window *window = &second_of(verdicts)->fare.ofdm.window;
    double low = fmin(first_of(verdicts)->fare.vsb.reference_us - receiver->equaliser_before_us,
                      fmin(window->start_us, rays->rays[0].delay_us));
    double high = fmax(first_of(verdicts)->fare.vsb.reference_us + receiver->equaliser_after_us,
                       fmax(window->guard_end_us, rays->rays[rays->count - 1].delay_us));
    double lowest = -20.0, highest = 0.0;
    for (int i = 0; i < rays->count; i++) {
        double level_db = db_from_ratio(rays->rays[i].power);
        lowest = fmin(lowest, level_db - 3.0);
        highest = fmax(highest, level_db);
    }
    double edge = 0.05 * (high - low);
    text_format(out->title, sizeof out->title, "Rays, and what each generation makes of them");
    text_format(out->note, sizeof out->note,
                "Self-interference is the part of a ray that is not useful. The FFT window stands "
                "where it serves best.");
    out->x = (struct axis){.label = "delay", .unit = "us", .low = low - edge, .high = high + edge};
    out->y = (struct axis){
        .label = "level", .unit = "dB", .low = fmax(lowest, FLOOR_DB), .high = highest + 3.0};
    add_reaches(verdicts, out);
    if (!add_rays(verdicts, out)) {
        picture_free(out);
        return false;
    }
    return true;
}

/* Solves what could not be for want of an SNR. */
static bool place_receivers(struct verdicts *verdicts)
{
    for (int i = 0; i < GENERATION_COUNT; i++) {
        struct verdict *verdict = &verdicts->of[i];
        if (!verdict->known) {
            verdict->conditions.snr_db = PICTURE_UNKNOWN_SNR_DB;
            if (verdict_solve(verdict, NULL) != STATUS_OK) {
                return false;
            }
        }
    }
    return true;
}

bool picture_echo_rays(const struct verdicts *verdicts, struct picture *out)
{
    *out = (struct picture){0};
    struct verdicts *placed = malloc(sizeof *placed);
    bool made = placed != NULL;
    if (made) {
        *placed = *verdicts;
        made = place_receivers(placed) && draw_rays(placed, out);
    }
    free(placed);
    return made;
}

/* ---- Carriers. ---- */

#define CARRIER_GROUPS 240
#define CARRIERS_LOOKED_AT 4800

static bool add_carriers(const struct verdicts *verdicts, const double *snrs, int count,
                         struct picture *out)
{
    int groups = count < CARRIER_GROUPS ? count : CARRIER_GROUPS;
    struct series *best =
        picture_add_series(out, SERIES_LINE, ROLE_DIM, "strongest carriers", (size_t)groups);
    struct series *worst =
        picture_add_series(out, SERIES_LINE, ROLE_SECOND, "weakest carriers", (size_t)groups);
    if (!best || !worst) {
        return false;
    }
    double occupied_mhz = second_of(verdicts)->reception.ofdm.grid.occupied_mhz;
    for (int g = 0; g < groups; g++) {
        int from = (int)((long)g * count / groups), to = (int)((long)(g + 1) * count / groups);
        best->x[g] = worst->x[g] = occupied_mhz * ((g + 0.5) / groups - 0.5);
        best->y[g] = worst->y[g] = snrs[from];
        for (int i = from + 1; i < to; i++) {
            best->y[g] = fmax(best->y[g], snrs[i]);
            worst->y[g] = fmin(worst->y[g], snrs[i]);
        }
        out->y.high = fmax(out->y.high, best->y[g] + 2.0);
        out->y.low = fmin(out->y.low,
                          fmax(worst->y[g] - 2.0, second_of(verdicts)->conditions.snr_db - 30.0));
    }
    return true;
}

bool picture_echo_carriers(const struct verdicts *verdicts, struct picture *out)
{
    *out = (struct picture){0};
    const struct verdict *second = second_of(verdicts);
    const struct ofdm_grid *grid = &second->reception.ofdm.grid;
    int carriers = grid->carriers;
    int step = (carriers + CARRIERS_LOOKED_AT - 1) / CARRIERS_LOOKED_AT;
    double *snrs = malloc(CARRIERS_LOOKED_AT * sizeof *snrs);
    if (!snrs) {
        return false;
    }
    int count = ofdm_echo_carriers(grid, &second->fare.ofdm, step, snrs, CARRIERS_LOOKED_AT);
    text_format(out->title, sizeof out->title, "SNR by carrier");
    text_format(out->note, sizeof out->note,
                "Noise and interference included. Effective: the steady SNR in which cells carry "
                "the same mean information.");
    double half_mhz = 0.5 * grid->occupied_mhz;
    out->x = (struct axis){
        .label = "from the channel's centre", .unit = "MHz", .low = -half_mhz, .high = half_mhz};
    out->y = (struct axis){.label = "SNR",
                           .unit = "dB",
                           .low = fmin(second->reception.needed_db, second->fare.left_db) - 3.0,
                           .high = second->conditions.snr_db + 3.0};
    char label[64];
    text_format(label, sizeof label, "effective %.1f dB", second->fare.left_db);
    picture_add_mark(out, second->works ? ROLE_GOOD : ROLE_BAD, label, false, second->fare.left_db);
    text_format(label, sizeof label, "needed %.1f dB", second->reception.needed_db);
    picture_add_mark(out, ROLE_WARN, label, false, second->reception.needed_db);
    bool made = add_carriers(verdicts, snrs, count, out);
    free(snrs);
    if (!made) {
        picture_free(out);
    }
    return made;
}

/* ---- Sweeps. ---- */

double picture_echo_span_us(const struct verdicts *verdicts)
{
    const struct first_receiver *receiver = &first_of(verdicts)->reception.vsb;
    const struct channel *channel = &first_of(verdicts)->conditions.channel;
    double span_us = fmax(second_of(verdicts)->reception.ofdm.grid.guard_us,
                          fmax(receiver->equaliser_before_us, receiver->equaliser_after_us));
    for (int i = 0; i < channel->count; i++) {
        span_us = fmax(span_us, fabs(channel->rays[i].delay_us));
    }
    return ceil(span_us * 1.25 / 10.0) * 10.0;
}

static void add_fixed_reaches(const struct verdicts *verdicts, struct picture *out)
{
    const struct first_receiver *receiver = &first_of(verdicts)->reception.vsb;
    double guard_us = second_of(verdicts)->reception.ofdm.grid.guard_us;
    picture_add_band(out, ROLE_FIRST, "8-VSB equaliser", -receiver->equaliser_before_us,
                     receiver->equaliser_after_us);
    picture_add_band(out, ROLE_SECOND, "OFDM guard, either way", -guard_us, guard_us);
}

/* "SNR 20.0 dB", of each where they differ; nothing where none is known. */
static void snr_words(const struct verdicts *verdicts, char *buffer, size_t size)
{
    double first_db = first_of(verdicts)->conditions.snr_db;
    double second_db = second_of(verdicts)->conditions.snr_db;
    if (first_db == second_db || isnan(second_db)) {
        text_format(buffer, size, "SNR %.1f dB", first_db);
    } else if (isnan(first_db)) {
        text_format(buffer, size, "SNR %.1f dB", second_db);
    } else {
        text_format(buffer, size, "SNR %.1f dB for 8-VSB, %.1f dB for OFDM", first_db, second_db);
    }
}

bool picture_echo_tolerated(const struct verdicts *verdicts, const struct echo_tolerated *points,
                            size_t count, struct picture *out)
{
    *out = (struct picture){0};
    char snr[64];
    snr_words(verdicts, snr, sizeof snr);
    text_format(out->title, sizeof out->title, "Strongest echo borne, by its delay");
    text_format(out->note, sizeof out->note,
                "A lone echo at rest, %s, any phase. 0 dB: as strong as the main signal. "
                "No line: not even %g dB.",
                snr, ECHO_TOLERATED_LEAST_DB);
    out->x = (struct axis){.label = "delay",
                           .unit = "us",
                           .low = points[0].delay_us,
                           .high = points[count - 1].delay_us};
    out->y =
        (struct axis){.label = "level", .unit = "dB", .low = ECHO_TOLERATED_LEAST_DB, .high = 3.0};
    add_fixed_reaches(verdicts, out);
    struct series *first = picture_add_series(out, SERIES_LINE, ROLE_FIRST, "8-VSB", count);
    struct series *second = picture_add_series(out, SERIES_LINE, ROLE_SECOND, "OFDM", count);
    if (!first || !second) {
        picture_free(out);
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        first->x[i] = second->x[i] = points[i].delay_us;
        first->y[i] = points[i].db[GENERATION_FIRST];
        second->y[i] = points[i].db[GENERATION_SECOND];
    }
    return true;
}

bool picture_echo_margins(const struct verdicts *verdicts, const struct echo_margins *points,
                          size_t count, double now_us, struct picture *out)
{
    *out = (struct picture){0};
    char snr[64];
    snr_words(verdicts, snr, sizeof snr);
    text_format(out->title, sizeof out->title, "Margins as this echo slides");
    text_format(out->note, sizeof out->note,
                "Its level and phase, and the other echoes, stay as they are. %s.", snr);
    out->x = (struct axis){.label = "delay",
                           .unit = "us",
                           .low = points[0].delay_us,
                           .high = points[count - 1].delay_us};
    out->y = (struct axis){.label = "margin", .unit = "dB", .low = -5.0, .high = 5.0};
    add_fixed_reaches(verdicts, out);
    picture_add_mark(out, ROLE_WARN, "needed", false, 0.0);
    picture_add_mark(out, ROLE_SELECTED, "now", true, now_us);
    struct series *first = picture_add_series(out, SERIES_LINE, ROLE_FIRST, "8-VSB", count);
    struct series *second = picture_add_series(out, SERIES_LINE, ROLE_SECOND, "OFDM", count);
    if (!first || !second) {
        picture_free(out);
        return false;
    }
    for (size_t i = 0; i < count; i++) {
        first->x[i] = second->x[i] = points[i].delay_us;
        first->y[i] = points[i].db[GENERATION_FIRST];
        second->y[i] = points[i].db[GENERATION_SECOND];
        /* NAN leaves fmin and fmax alone */
        out->y.low = fmax(fmin(out->y.low, fmin(first->y[i], second->y[i]) - 1.0), -30.0);
        out->y.high = fmax(out->y.high, fmax(first->y[i], second->y[i]) + 1.0);
    }
    return true;
}
