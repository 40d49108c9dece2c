/* Every figure of a division by its name. The names of JSON are a contract: see DEVELOPERS.md. */
#include <math.h>
#include <string.h>

#include "scenario/field.h"
#include "study/divide/divide.h"

/* The first waveform's number of a choice: "guard" of "dvbt2.guard"; NAN: there is none such. */
static double number_of(const void *result, const char *name)
{
    const struct division *division = result;
    for (int c = 0; c < division->space->choice_count; c++) {
        if (!division->space->choices[c].of_code &&
            strcmp(strchr(division->space->choices[c].key, '.') + 1, name) == 0) {
            return division->waveforms[0][c];
        }
    }
    return NAN;
}

static const char *word_of(const void *result, int choice)
{
    const struct division *division = result;
    const struct field *field = field_named(division->space->choices[choice].key);
    return field->choice(division->waveforms[0][choice]);
}

static const char *kind_of(const void *result)
{
    return division_kind_name(((const struct division *)result)->kind);
}

static const char *fft_of(const void *result)
{
    return word_of(result, ((const struct division *)result)->space->fft);
}

static const char *guard_of(const void *result)
{
    return word_of(result, ((const struct division *)result)->space->guard);
}

static const char *pilots_of(const void *result)
{
    return word_of(result, ((const struct division *)result)->space->pilots);
}

static double boost_of(const void *result)
{
    return number_of(result, "boost");
}

static double reduction_of(const void *result)
{
    return number_of(result, "reduction");
}

static double extended_of(const void *result)
{
    return number_of(result, "extended");
}

static double high_of(const void *result)
{
    return number_of(result, "high_efficiency");
}

static const struct figure rows[] = {
    {"kind", "Division", .unit = "", .kind = FIGURE_WORD, .word = kind_of},
    {"fft", "FFT", .unit = "", .kind = FIGURE_WORD, .word = fft_of},
    {"guard", "Guard", .unit = "", .kind = FIGURE_WORD, .word = guard_of},
    {"pilots", "Pilots", .unit = "", .kind = FIGURE_WORD, .word = pilots_of},
    {"boost", "Boost", .unit = "", .kind = FIGURE_WHOLE, .number = boost_of},
    {"reduction", "Reduction", .unit = "", .kind = FIGURE_WHOLE, .number = reduction_of},
    {"extended", "Extended", .unit = "", .kind = FIGURE_YES_NO, .number = extended_of},
    {"high_efficiency", "High efficiency", .unit = "", .kind = FIGURE_YES_NO, .number = high_of},
    {"spare_mbps", "Spare", .better = 1, FIGURE_AT(struct division, spare_mbps, "Mbit/s", 2)},
};
const struct figure_table division_figures = {rows, sizeof rows / sizeof rows[0]};

static const char *name_of(const void *result)
{
    return ((const struct division_service *)result)->name;
}

static const struct figure service_rows[] = {
    {"name", "Service", .unit = "", .kind = FIGURE_WORD, .word = name_of},
    {"layer", "Layer", FIGURE_WORD_AT(struct division_service, layer)},
    {"share", "Share", FIGURE_AT(struct division_service, share, "", 3)},
    {"constellation", "Constellation", FIGURE_WORD_AT(struct division_service, constellation)},
    {"rate", "Code rate", FIGURE_WORD_AT(struct division_service, rate)},
    {"length", "Code length", FIGURE_WHOLE_AT(struct division_service, length)},
    {"injection_db", "Injection", FIGURE_AT(struct division_service, injection_db, "dB", 1)},
    {"net_mbps", "Net rate", FIGURE_AT(struct division_service, net_mbps, "Mbit/s", 2)},
    {"receiver_snr_db", "Needs", FIGURE_AT(struct division_service, receiver_snr_db, "dB", 1)},
    {"margin_db", "Margin", FIGURE_AT(struct division_service, margin_db, "dB", 1)},
};
const struct figure_table division_service_figures = {service_rows,
                                                      sizeof service_rows / sizeof service_rows[0]};
