/* Every figure of a report by its name. The names of JSON are a contract: see DEVELOPERS.md. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "study/report/report.h"

static const char *word_band(const struct report *report)
{
    return band_name(report->rf.band);
}

static const char *word_system(const struct report *report)
{
    (void)report;
    return "8-VSB";
}

#define MODE_WORD(name, function, choice)                                 \
    static const char *word_##name(const struct report *report)           \
    {                                                                     \
        return function(report->second.transmission.subframes[0].choice); \
    }
MODE_WORD(fft, fft_name, waveform.fft)
MODE_WORD(guard, guard_name, waveform.guard)
MODE_WORD(pilots, pilots_name, waveform.pilots)
MODE_WORD(constellation, constellation_name, plps[0].code.constellation)

static const char *word_rate(const struct report *report)
{
    static const char *const names[RATE_COUNT] = {"2/15",  "3/15",  "4/15",  "5/15",
                                                  "6/15",  "7/15",  "8/15",  "9/15",
                                                  "10/15", "11/15", "12/15", "13/15"};
    return names[report->second.transmission.subframes[0].plps[0].code.rate_15ths - RATE_MIN_15THS];
}

static const char *word_ideal_source(const struct report *report)
{
    return ideal_source_words(report->second.ideal_source);
}

static double number_channel(const struct report *report)
{
    return report->rf.channel ? report->rf.channel : NAN;
}

#define VERDICT_NUMBER(name, generation, value)                           \
    static double number_##name(const struct report *report)              \
    {                                                                     \
        const struct verdict *verdict = &report->verdicts.of[generation]; \
        return value;                                                     \
    }
VERDICT_NUMBER(first_margin, GENERATION_FIRST, verdict->margin_db)
VERDICT_NUMBER(first_margin_noise, GENERATION_FIRST, verdict->margin_noise_db)
VERDICT_NUMBER(second_margin, GENERATION_SECOND, verdict->margin_db)
VERDICT_NUMBER(second_margin_noise, GENERATION_SECOND, verdict->margin_noise_db)

static double number_length(const struct report *report)
{
    return code_length_bits(report->second.transmission.subframes[0].plps[0].code.length);
}

#define AT(field) offsetof(struct report, field)
#define RF FIGURE_RF
#define FIRST FIGURE_FIRST
#define SECOND FIGURE_SECOND
#define WORD(name_, part_, label_, function)                                            \
    {                                                                                   \
        .name = name_, .label = label_, .unit = "", .part = part_, .type = FIGURE_WORD, \
        .word = function                                                                \
    }
#define WHOLE(name_, part_, label_, type_, at)                                                 \
    {                                                                                          \
        .name = name_, .label = label_, .unit = "", .part = part_, .type = type_, .offset = at \
    }
#define NUMBER(name_, part_, label_, unit_, decimals_, at)                                   \
    {                                                                                        \
        .name = name_, .label = label_, .unit = unit_, .part = part_, .type = FIGURE_DOUBLE, \
        .decimals = decimals_, .offset = at                                                  \
    }

#define COMPUTED(name_, part_, label_, unit_, decimals_, function)                           \
    {                                                                                        \
        .name = name_, .label = label_, .unit = unit_, .part = part_, .type = FIGURE_DOUBLE, \
        .decimals = decimals_, .number = function                                            \
    }

static const struct figure_row rows[] = {
    {.name = "channel",
     .label = "RF channel",
     .unit = "",
     .part = RF,
     .type = FIGURE_INT,
     .number = number_channel},
    NUMBER("center_mhz", RF, "Centre frequency", "MHz", 3, AT(rf.center_mhz)),
    WORD("band", RF, "Band", word_band),

    WORD("system", FIRST, "System", word_system),
    NUMBER("net_mbps", FIRST, "Net rate", "Mbit/s", 2, AT(first.net_mbps)),
    NUMBER("required_snr_db", FIRST, "Required SNR", "dB", 1, AT(first.required_snr_db)),
    NUMBER("echo_before_us", FIRST, "Echo ahead", "us", 1, AT(first.echo_before_us)),
    NUMBER("echo_after_us", FIRST, "Echo behind", "us", 1, AT(first.echo_after_us)),
    NUMBER("echo_km", FIRST, "Longer path", "km", 1, AT(first.echo_km)),
    NUMBER("doppler_hz", FIRST, "Doppler", "Hz", 1, AT(first.doppler_hz)),
    NUMBER("speed_kmh", FIRST, "Speed", "km/h", 0, AT(first.speed_kmh)),
    NUMBER("field_dbuvm", FIRST, "Field strength", "dBuV/m", 1, AT(first.field_dbuvm)),
    COMPUTED("margin_noise_db", FIRST, "Margin, noise alone", "dB", 1, number_first_margin_noise),
    COMPUTED("margin_db", FIRST, "Margin, with echoes and motion", "dB", 1, number_first_margin),

    WORD("fft", SECOND, "FFT size", word_fft),
    WORD("guard", SECOND, "Guard interval", word_guard),
    WORD("pilots", SECOND, "Scattered pilots", word_pilots),
    WHOLE("boost", SECOND, "Pilot boost", FIGURE_INT,
          AT(second.transmission.subframes[0].waveform.boost)),
    WHOLE("reduction", SECOND, "Carrier reduction", FIGURE_INT,
          AT(second.transmission.subframes[0].waveform.reduction)),
    {.name = "length",
     .label = "Code length",
     .unit = "bits",
     .part = SECOND,
     .type = FIGURE_INT,
     .number = number_length},
    WORD("rate", SECOND, "Code rate", word_rate),
    WORD("constellation", SECOND, "Constellation", word_constellation),
    NUMBER("useful_us", SECOND, "Useful symbol", "us", 1, AT(second.useful_us)),
    NUMBER("guard_us", SECOND, "Guard interval", "us", 2, AT(second.guard_us)),
    NUMBER("symbol_us", SECOND, "Symbol", "us", 1, AT(second.symbol_us)),
    NUMBER("spacing_hz", SECOND, "Carrier spacing", "Hz", 2, AT(second.spacing_hz)),
    WHOLE("carriers", SECOND, "Carriers", FIGURE_INT, AT(second.carriers)),
    NUMBER("occupied_mhz", SECOND, "Occupied bandwidth", "MHz", 3, AT(second.occupied_mhz)),
    WHOLE("data_cells", SECOND, "Cells, data symbol", FIGURE_INT, AT(second.data_cells)),
    WHOLE("boundary_cells", SECOND, "Cells, boundary symbol", FIGURE_INT,
          AT(second.boundary_cells)),
    WHOLE("preamble_symbols", SECOND, "Preamble symbols", FIGURE_INT, AT(second.preamble_symbols)),
    WHOLE("data_symbols", SECOND, "Data symbols", FIGURE_INT, AT(second.data_symbols)),
    WHOLE("cells_per_frame", SECOND, "Cells in a frame", FIGURE_LONG, AT(second.cells_per_frame)),
    NUMBER("frame_ms", SECOND, "Frame", "ms", 2, AT(second.frame_ms)),
    NUMBER("plp_mbps", SECOND, "PLP rate", "Mbit/s", 2, AT(second.plp_mbps)),
    NUMBER("net_mbps", SECOND, "Net rate", "Mbit/s", 2, AT(second.net_mbps)),
    NUMBER("echo_us", SECOND, "Echo", "us", 1, AT(second.echo_us)),
    NUMBER("echo_km", SECOND, "Longer path", "km", 1, AT(second.echo_km)),
    NUMBER("reach_us", SECOND, "Estimation reach", "us", 1, AT(second.reach_us)),
    NUMBER("doppler_pilot_hz", SECOND, "Doppler, pilots", "Hz", 1, AT(second.doppler_pilot_hz)),
    NUMBER("doppler_ici_hz", SECOND, "Doppler, interference", "Hz", 1, AT(second.doppler_ici_hz)),
    NUMBER("doppler_hz", SECOND, "Doppler", "Hz", 1, AT(second.doppler_hz)),
    NUMBER("speed_kmh", SECOND, "Speed", "km/h", 0, AT(second.speed_kmh)),
    NUMBER("limit_snr_db", SECOND, "SNR limit", "dB", 1, AT(second.limit_snr_db)),
    NUMBER("ideal_snr_db", SECOND, "SNR ideal", "dB", 1, AT(second.ideal_snr_db)),
    NUMBER("ideal_rayleigh_snr_db", SECOND, "SNR ideal, Rayleigh", "dB", 1,
           AT(second.ideal_rayleigh_snr_db)),
    NUMBER("receiver_snr_db", SECOND, "SNR receiver", "dB", 1, AT(second.receiver_snr_db)),
    NUMBER("field_dbuvm", SECOND, "Field strength", "dBuV/m", 1, AT(second.field_dbuvm)),
    COMPUTED("margin_noise_db", SECOND, "Margin, noise alone", "dB", 1, number_second_margin_noise),
    COMPUTED("margin_db", SECOND, "Margin, with echoes and motion", "dB", 1, number_second_margin),
    NUMBER("interleaver_ms", SECOND, "Time interleaving", "ms", 1, AT(second.interleaver_ms)),
    WORD("ideal_source", SECOND, "Source of ideal SNR", word_ideal_source),
};

size_t figure_count(void)
{
    return sizeof rows / sizeof rows[0];
}

const struct figure_row *figure_row(size_t i)
{
    return &rows[i];
}

const struct figure_row *figure_find(enum figure_part part, const char *name)
{
    for (size_t i = 0; i < figure_count(); i++) {
        if (rows[i].part == part && strcmp(rows[i].name, name) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}

double figure_value(const struct figure_row *row, const struct report *report)
{
    if (row->number) {
        return row->number(report);
    }
    const char *at = (const char *)report + row->offset;
    double real = NAN;
    int whole;
    long large;
    switch (row->type) {
    case FIGURE_DOUBLE:
        memcpy(&real, at, sizeof real);
        break;
    case FIGURE_INT:
        memcpy(&whole, at, sizeof whole);
        real = whole;
        break;
    case FIGURE_LONG:
        memcpy(&large, at, sizeof large);
        real = (double)large;
        break;
    case FIGURE_WORD:
        break;
    }
    return real;
}

void figure_words(const struct figure_row *row, const struct report *report, char *buffer,
                  size_t size)
{
    double value = figure_value(row, report);
    if (row->type == FIGURE_WORD) {
        text_format(buffer, size, "%s", row->word(report));
    } else if (!isfinite(value)) {
        text_format(buffer, size, "-");
    } else {
        text_format(buffer, size, "%.*f", row->decimals, value);
    }
}
