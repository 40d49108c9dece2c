/* Margins of all modes in the profile's own channel. What a channel does to the carriers follows
 * from the waveform and a little from the carrier reduction; a code then reads the same carriers by
 * its own curve of information. So three looks at the channel for each of 81 waveforms, at
 * reductions 0, 2 and 4, serve all codes; reductions 1 and 3 lie between, and the boost moves but
 * what the receiver needs. The window is placed for one code in the middle: another code might
 * place it a little better where echoes fall outside the guard interval. */
#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "study/weigh/weigh.h"

/* Deep notches decide about high code rates: 4000 carriers missed them by up to 0.48 dB, 8000 err
 * by less than 0.1 dB and take a tenth longer. */
#define CARRIERS_LOOKED_AT 8000
#define RATE_OF_WINDOW 9 /* fifteenths: the middle */

struct looking {
    struct weigh_space *space;
    struct gain_spread *spread;
    struct ofdm_echo_result *result;
    float *effective_db; /* by look and code */
};

/* Looks at each waveform: at every second reduction. */
enum { LOOKS_EACH = REDUCTION_MAX / 2 + 1, LOOKS = LOOKS_EACH * WEIGH_WAVEFORMS };

/* The first geometry of each look; -1 where there is none. */
static void find_geometries(const struct weigh_space *space, long first[LOOKS])
{
    for (int i = 0; i < LOOKS; i++) {
        first[i] = -1;
    }
    for (size_t g = space->geometry_count; g-- > 0;) {
        const struct weigh_geometry *geometry = &space->geometries[g];
        if (geometry->waveform.reduction % 2 == 0) {
            int which = geometry->waveform.reduction / 2;
            first[LOOKS_EACH * geometry->which + which] = (long)g;
        }
    }
}

static const struct weigh_code *code_of_window(const struct weigh_space *space)
{
    size_t c = 0;
    while (space->codes[c].constellation != QAM64 || space->codes[c].length != LENGTH_64800 ||
           space->codes[c].rate_15ths != RATE_OF_WINDOW) {
        c++;
    }
    return &space->codes[c];
}

static enum status look(struct looking *l, const struct weigh_geometry *geometry,
                        double *disturbance)
{
    const struct weigh_code *code = code_of_window(l->space);
    const struct ofdm_reception reception = {
        .grid = geometry->grid,
        .curve = information_curve_of(code->constellation, code->rate_15ths),
        .ideal_db = code->facts.ideal_snr_db,
        .needed_db = code->facts.ideal_snr_db,
        .span_ms = interleaver_span_ms(code->interleaver, geometry->cell_rate_hz),
        .carriers_most = CARRIERS_LOOKED_AT,
    };
    const struct conditions *conditions = &l->space->conditions;
    return ofdm_echo_spread(&reception, &conditions->channel, conditions->snr_db, l->result,
                            l->spread, disturbance);
}

static enum status fill_look(struct looking *l, int which, size_t geometry)
{
    double disturbance;
    enum status status = look(l, &l->space->geometries[geometry], &disturbance);
    for (size_t c = 0; c < WEIGH_CODES && status == STATUS_OK; c++) {
        const struct weigh_code *code = &l->space->codes[c];
        struct information_curve curve =
            information_curve_of(code->constellation, code->rate_15ths);
        l->effective_db[(size_t)which * WEIGH_CODES + c] = (float)gain_spread_effective_db(
            l->spread, &curve, code->facts.ideal_snr_db, -db_from_ratio(disturbance));
    }
    return status;
}

static enum status fill_looks(struct looking *l, const struct weigh_progress *progress)
{
    long first[LOOKS];
    find_geometries(l->space, first);
    for (int which = 0; which < LOOKS; which++) {
        if (progress && progress->keep_on &&
            !progress->keep_on(progress->owner, which / (double)LOOKS)) {
            return STATUS_STOPPED;
        }
        enum status status =
            first[which] < 0 ? STATUS_OK : fill_look(l, which, (size_t)first[which]);
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
        int reduction = geometry->waveform.reduction;
        size_t look = LOOKS_EACH * (size_t)geometry->which + (size_t)reduction / 2;
        double here = (double)l->effective_db[look * WEIGH_CODES + mode->code];
        double next =
            reduction % 2 ? (double)l->effective_db[(look + 1) * WEIGH_CODES + mode->code] : here;
        margins[i] = (float)((here + next) / 2.0 - needed_db);
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
                        .spread = malloc(sizeof *l.spread),
                        .result = malloc(sizeof *l.result),
                        .effective_db = calloc((size_t)LOOKS * WEIGH_CODES, sizeof(float))};
    float *margins = malloc(space->count * sizeof *margins);
    enum status status = STATUS_NO_MEMORY;
    if (l.spread && l.result && l.effective_db && margins) {
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
    free(l.spread);
    free(l.result);
    free(l.effective_db);
    return status;
}
