/* Margins of all modes in the profile's own channel. What a channel does to the carriers follows
 * from FFT, guard interval, pilots and carrier reduction; a code then reads the same carriers by
 * its own curve of information, and the boost moves but what the receiver needs. So one look at the
 * channel for each of 405 waveforms serves all codes, and gives each mode the very margin that its
 * own verdict has. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "physics/ofdm/echo.h"
#include "study/weigh/weigh.h"

#define LOOKS ((REDUCTION_MAX + 1) * WEIGH_WAVEFORMS)
#define CURVES (CONSTELLATION_COUNT * RATE_COUNT)

struct looking {
    struct weigh_space *space;
    struct ofdm_work *work;
    struct gain_spread *spread;
    struct gain_raster *rasters; /* by constellation and rate */
    float *effective_db;         /* by look and code */
};

static size_t look_of(const struct weigh_geometry *geometry)
{
    int reduction = geometry->waveform.reduction;
    return (size_t)(geometry->which * (REDUCTION_MAX + 1) + reduction);
}

/* The first geometry of each look, whatever its boost; -1 where there is none. */
static void find_geometries(const struct weigh_space *space, long first[LOOKS])
{
    for (int i = 0; i < LOOKS; i++) {
        first[i] = -1;
    }
    for (size_t g = space->geometry_count; g-- > 0;) {
        first[look_of(&space->geometries[g])] = (long)g;
    }
}

static struct gain_raster *raster_of(const struct looking *l, const struct weigh_code *code)
{
    return &l->rasters[(int)code->constellation * RATE_COUNT + code->rate_15ths - RATE_MIN_15THS];
}

static void fill_rasters(struct looking *l)
{
    for (size_t c = 0; c < WEIGH_CODES; c++) {
        const struct weigh_code *code = &l->space->codes[c];
        struct gain_raster *raster = raster_of(l, code);
        if (raster->curve.microbits == NULL) {
            struct information_curve curve =
                information_curve_of(code->constellation, code->rate_15ths);
            gain_raster_make(&curve, raster);
        }
    }
}

static enum status look(struct looking *l, const struct weigh_geometry *geometry, double span_ms)
{
    const struct ofdm_reception reception = {.grid = geometry->grid, .span_ms = span_ms};
    const struct conditions *conditions = &l->space->conditions;
    return ofdm_echo_spread(&reception, &conditions->channel, conditions->snr_db, l->work,
                            l->spread);
}

/* Codes see the same carriers, but where rays move and an interleaver is longer than the others'.
 */
static enum status fill_look(struct looking *l, int which, const struct weigh_geometry *geometry)
{
    double seen_ms = -1.0;
    for (size_t c = 0; c < WEIGH_CODES; c++) {
        const struct weigh_code *code = &l->space->codes[c];
        double span_ms = interleaver_span_ms(code->interleaver, geometry->cell_rate_hz);
        if (span_ms != seen_ms) {
            enum status status = look(l, geometry, span_ms);
            if (status != STATUS_OK) {
                return status;
            }
            seen_ms = span_ms;
        }
        l->effective_db[(size_t)which * WEIGH_CODES + c] = (float)gain_spread_effective_db(
            l->spread, raster_of(l, code), code->facts.ideal_snr_db);
    }
    return STATUS_OK;
}

static enum status fill_looks(struct looking *l, const struct weigh_progress *progress)
{
    long first[LOOKS];
    find_geometries(l->space, first);
    fill_rasters(l);
    for (int which = 0; which < LOOKS; which++) {
        if (progress && progress->keep_on &&
            !progress->keep_on(progress->owner, which / (double)LOOKS)) {
            return STATUS_STOPPED;
        }
        enum status status =
            first[which] < 0 ? STATUS_OK : fill_look(l, which, &l->space->geometries[first[which]]);
        if (status != STATUS_OK) {
            return status;
        }
    }
    return STATUS_OK;
}

static void fill_margins(const struct looking *l, float *margins)
{
    const struct weigh_space *space = l->space;
    for (size_t i = 0; i < space->count; i++) {
        const struct weighed *mode = &space->modes[i];
        const struct weigh_geometry *geometry = &space->geometries[mode->geometry];
        const struct weigh_code *code = &space->codes[mode->code];
        double inverse = code->ideal_inverse / geometry->snr_loss_ratio - code->backstop;
        double needed_db = inverse > 0.0 ? -db_from_ratio(inverse) : INFINITY;
        size_t at = look_of(geometry) * WEIGH_CODES + mode->code;
        margins[i] = (float)((double)l->effective_db[at] - needed_db);
    }
}

enum status weigh_echo_margins(struct weigh_space *space, const struct weigh_progress *progress,
                               struct fault *fault)
{
    if (isnan(space->conditions.snr_db)) {
        return fault_set(fault, STATUS_ILLEGAL, "receiver.snr_db",
                         "an SNR, a level (receiver.level_dbm) or a station",
                         "no margin can be told without an SNR");
    }
    struct looking l = {.space = space,
                        .work = ofdm_work_new(),
                        .spread = malloc(sizeof *l.spread),
                        .rasters = calloc(CURVES, sizeof *l.rasters),
                        .effective_db = calloc((size_t)LOOKS * WEIGH_CODES, sizeof(float))};
    float *margins = malloc(space->count * sizeof *margins);
    enum status status = STATUS_NO_MEMORY;
    if (l.work && l.spread && l.rasters && l.effective_db && margins) {
        status = fill_looks(&l, progress);
    }
    if (status == STATUS_OK) {
        fill_margins(&l, margins);
        free(space->echo_margins);
        space->echo_margins = margins;
        margins = NULL;
    } else {
        fault_set(fault, status, "echo", NULL, "%s", status_message(status));
    }
    free(margins);
    ofdm_work_free(l.work);
    free(l.spread);
    free(l.rasters);
    free(l.effective_db);
    return status;
}
