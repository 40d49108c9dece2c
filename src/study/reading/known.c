/* What follows from what a page says: which figures, and how far needed SNR can lie where the code
 * is not wholly known. A figure asks for pieces of the mode; where one of them is neither on the
 * page nor given by who called, the figure is unknown. Pilots, boost, reduction, code length and
 * frame may be assumed, and are told as assumed. */
#include <math.h>
#include <string.h>

#include "study/reading/reading.h"

#define WAVEFORM (KNOWS_FFT | KNOWS_GUARD)
#define NEED (KNOWS_CODE | KNOWS_LAYER)

static const struct {
    const char *figure;
    unsigned needs;
    const char *key; /* known too where this key is said */
} rows[] = {
    {"fft", KNOWS_NOTHING_MORE, "mode.fft"},
    {"guard", KNOWS_NOTHING_MORE, "mode.guard"},
    {"constellation", KNOWS_NOTHING_MORE, "mode.constellation"},
    {"rate", KNOWS_NOTHING_MORE, "mode.rate"},
    {"pilots", WAVEFORM, "mode.pilots"},
    {"boost", WAVEFORM, "mode.boost"},
    {"reduction", WAVEFORM, "mode.reduction"},
    {"length", KNOWS_CODE, "mode.length"},
    {"useful_us", KNOWS_FFT, NULL},
    {"spacing_hz", KNOWS_FFT, NULL},
    {"carriers", KNOWS_FFT, NULL},
    {"occupied_mhz", KNOWS_FFT, NULL},
    {"guard_us", KNOWS_GUARD, NULL},
    {"echo_us", KNOWS_GUARD, NULL},
    {"echo_before_us", KNOWS_GUARD, NULL},
    {"echo_km", KNOWS_GUARD, NULL},
    {"symbol_us", WAVEFORM, NULL},
    {"data_cells", WAVEFORM, NULL},
    {"boundary_cells", WAVEFORM, NULL},
    {"preamble_symbols", WAVEFORM, NULL},
    {"data_symbols", WAVEFORM, NULL},
    {"cells_per_frame", WAVEFORM, NULL},
    {"frame_ms", WAVEFORM, "mode.frame_ms"},
    {"reach_us", WAVEFORM, NULL},
    {"doppler_pilot_hz", WAVEFORM, NULL},
    {"doppler_ici_hz", KNOWS_FFT | NEED, NULL},
    {"doppler_hz", WAVEFORM | NEED, NULL},
    {"speed_kmh", WAVEFORM | NEED | KNOWS_CHANNEL, NULL},
    {"limit_snr_db", NEED, NULL},
    {"ideal_snr_db", NEED, NULL},
    {"ideal_source", NEED, NULL},
    {"ideal_rayleigh_snr_db", NEED, NULL},
    {"required_snr_db", NEED, NULL},
    {"field_dbuvm", NEED | KNOWS_CHANNEL, NULL},
    {"plp_mbps", WAVEFORM | KNOWS_CODE | KNOWS_SHARE, NULL},
    {"net_mbps", WAVEFORM | KNOWS_CODE | KNOWS_SHARE, NULL},
    {"interleaver_ms", WAVEFORM | KNOWS_SHARE, NULL},
    {"cells", WAVEFORM | KNOWS_SHARE, NULL},
    {"share", KNOWS_SHARE, NULL},
};

static void blank(const struct figure *figure, struct verdict *verdict)
{
    char *member = (char *)verdict + figure->offset;
    if (figure->kind == FIGURE_WORD) {
        const char *none = NULL;
        memcpy(member, &none, sizeof none);
    } else {
        double unknown = NAN;
        memcpy(member, &unknown, sizeof unknown);
    }
}

void known_blank(const struct page_settled *settled, unsigned known, struct verdict *verdict)
{
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        bool said = rows[i].key && page_says(settled, rows[i].key);
        if (!said && (rows[i].needs & ~known) != 0) {
            blank(figure_find(&generation_figures, rows[i].figure), verdict);
        }
    }
    if ((known & NEED) != NEED) {
        verdict->known = verdict->works = false;
        verdict->margin_db = verdict->margin_noise_db = NAN;
        verdict->margin_90_db = verdict->margin_99_db = verdict->positions_share = NAN;
    }
}

/* ---- Spans. ---- */

static void see_code(const struct scenario *scenario, double snr_db, struct code_span *span,
                     double *best_bits)
{
    const struct code *code = &scenario->transmission.plps[0].code;
    struct verdict verdict;
    if (verdict_prepare(scenario, GENERATION_SECOND, &verdict, NULL) != STATUS_OK ||
        !isfinite(verdict.reception.needed_input_db)) {
        return;
    }
    char name[24];
    double needed_db = verdict.reception.needed_input_db;
    double bits = constellation_bits(code->constellation) * code->rate_15ths / 15.0;
    text_format(name, sizeof name, "%s %d/15", constellation_name(code->constellation),
                code->rate_15ths);
    if (!(needed_db >= span->least_db)) {
        span->least_db = needed_db;
        memcpy(span->least, name, sizeof name);
    }
    if (!(needed_db <= span->most_db)) {
        span->most_db = needed_db;
        memcpy(span->most, name, sizeof name);
    }
    if (needed_db <= snr_db && bits > *best_bits) {
        *best_bits = bits;
        memcpy(span->best, name, sizeof name);
    }
}

void known_span(const struct page_settled *settled, unsigned known, double snr_db,
                struct code_span *span)
{
    *span = (struct code_span){
        .open = (known & KNOWS_CODE) != KNOWS_CODE, .least_db = NAN, .most_db = NAN};
    struct scenario scenario = settled->scenario;
    struct plp *plp = &scenario.transmission.plps[0];
    const struct plp asked = *plp;
    double best_bits = 0.0;
    for (int c = 0; span->open && c < CONSTELLATION_COUNT; c++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            plp->code.constellation = (enum constellation)c;
            plp->code.rate_15ths = rate;
            plp->interleaver = interleaver_is_allowed((enum constellation)c, asked.interleaver)
                                   ? asked.interleaver
                                   : CTI_1024;
            bool kept = (!(known & KNOWS_CONSTELLATION) || c == (int)asked.code.constellation) &&
                        (!(known & KNOWS_RATE) || rate == asked.code.rate_15ths);
            if (kept && constellation_is_allowed(asked.code.length, (enum constellation)c)) {
                see_code(&scenario, snr_db, span, &best_bits);
            }
        }
    }
}
