/* Every figure of a division by its name. The names of JSON are a contract: see DEVELOPERS.md. */
#include "study/divide/divide.h"

static const struct waveform *waveform_of(const void *result)
{
    return &((const struct division *)result)->transmission.subframes[0].waveform;
}

static const char *kind_of(const void *result)
{
    return division_kind_name(((const struct division *)result)->kind);
}

static const char *fft_of(const void *result)
{
    return fft_name(waveform_of(result)->fft);
}

static const char *guard_of(const void *result)
{
    return guard_name(waveform_of(result)->guard);
}

static const char *pilots_of(const void *result)
{
    return pilots_name(waveform_of(result)->pilots);
}

static double boost_of(const void *result)
{
    return waveform_of(result)->boost;
}

static double reduction_of(const void *result)
{
    return waveform_of(result)->reduction;
}

static const struct figure rows[] = {
    {"kind", "Division", .unit = "", .kind = FIGURE_WORD, .word = kind_of},
    {"fft", "FFT", .unit = "", .kind = FIGURE_WORD, .word = fft_of},
    {"guard", "Guard", .unit = "", .kind = FIGURE_WORD, .word = guard_of},
    {"pilots", "Pilots", .unit = "", .kind = FIGURE_WORD, .word = pilots_of},
    {"boost", "Boost", .unit = "", .kind = FIGURE_WHOLE, .number = boost_of},
    {"reduction", "Reduction", .unit = "", .kind = FIGURE_WHOLE, .number = reduction_of},
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
