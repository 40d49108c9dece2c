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
    const char *setting; /* known too where this one of the system is said */
} rows[] = {
    {"fft", KNOWS_NOTHING_MORE, "fft"},
    {"guard", KNOWS_NOTHING_MORE, "guard"},
    {"constellation", KNOWS_NOTHING_MORE, "constellation"},
    {"rate", KNOWS_NOTHING_MORE, "rate"},
    {"pilots", WAVEFORM, "pilots"},
    {"boost", WAVEFORM, "boost"},
    {"reduction", WAVEFORM, "reduction"},
    {"length", KNOWS_CODE, "length"},
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
    {"frame_ms", WAVEFORM, "frame_ms"},
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
        bool said = rows[i].setting && page_says_choice(settled, rows[i].setting);
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

/* The settings of a code that may be open, of the page's system. */
struct code_fields {
    enum generation generation;
    const struct field *constellation, *rate;
};

static void see_code(const struct scenario *scenario, const struct code_fields *fields,
                     double snr_db, struct code_span *span, double *best_mbps)
{
    struct verdict verdict;
    if (verdict_prepare(scenario, fields->generation, &verdict, NULL) != STATUS_OK ||
        !isfinite(verdict.reception.needed_input_db)) {
        return;
    }
    char name[24], constellation[FIELD_TEXT_BYTES], rate[FIELD_TEXT_BYTES];
    double needed_db = verdict.reception.needed_input_db;
    field_format(fields->constellation, scenario, constellation, sizeof constellation);
    field_format(fields->rate, scenario, rate, sizeof rate);
    text_format(name, sizeof name, "%.11s %.11s", constellation, rate);
    if (!(needed_db >= span->least_db)) {
        span->least_db = needed_db;
        memcpy(span->least, name, sizeof name);
    }
    if (!(needed_db <= span->most_db)) {
        span->most_db = needed_db;
        memcpy(span->most, name, sizeof name);
    }
    if (needed_db <= snr_db && verdict.facts.plp_mbps > *best_mbps) {
        *best_mbps = verdict.facts.plp_mbps;
        memcpy(span->best, name, sizeof name);
    }
}

void known_span(const struct page_settled *settled, unsigned known, double snr_db,
                struct code_span *span)
{
    bool told = settled->generation != GENERATION_COUNT;
    enum generation generation = told ? settled->generation : GENERATION_SECOND;
    const char *section = system_of(&settled->scenario, generation)->section;
    const struct code_fields fields = {generation, field_find(section, "constellation"),
                                       field_find(section, "rate")};
    struct scenario scenario = settled->scenario;
    double best_mbps = 0.0;
    *span = (struct code_span){
        .open = (known & KNOWS_CODE) != KNOWS_CODE, .least_db = NAN, .most_db = NAN};
    int constellations = (int)fields.constellation->high, rates = (int)fields.rate->high;
    for (int c = (int)fields.constellation->low; span->open && c <= constellations; c++) {
        for (int rate = (int)fields.rate->low; rate <= rates; rate++) {
            bool kept =
                (!(known & KNOWS_CONSTELLATION) ||
                 c == field_number(fields.constellation, &settled->scenario)) &&
                (!(known & KNOWS_RATE) || rate == field_number(fields.rate, &settled->scenario));
            field_put(fields.constellation, &scenario, c);
            field_put(fields.rate, &scenario, rate);
            if (kept) {
                see_code(&scenario, &fields, snr_db, span, &best_mbps);
            }
        }
    }
}
