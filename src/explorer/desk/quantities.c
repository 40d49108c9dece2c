/* Which figures of a report the main view shows, side by side. */
#include "explorer/desk/quantities.h"

#include <math.h>
#include <string.h>

#include "base/text.h"

static const char withstands[] = "Withstands", carries[] = "Carries", needs[] = "Needs";
static const char symbol[] = "The OFDM symbol", frame[] = "The frame";

static const struct quantity rows[] = {
    {withstands, "echo after", "us", "echo_after_us", "echo_us", NULL, 1},
    {withstands, "echo ahead", "us", "echo_before_us", NULL, "shared", 1},
    {withstands, "longer path", "km", "echo_km", "echo_km", NULL, 1},
    {withstands, "Doppler", "Hz", "doppler_hz", "doppler_hz", NULL, 1},
    {withstands, "speed", "km/h", "speed_kmh", "speed_kmh", NULL, 1},
    {carries, "net rate", "Mbit/s", "net_mbps", "net_mbps", NULL, 1},
    {needs, "ideal SNR", "dB", NULL, "ideal_snr_db", NULL, -1},
    {needs, "receiver SNR", "dB", "required_snr_db", "receiver_snr_db", NULL, -1},
    {needs, "field", "dBuV/m", "field_dbuvm", "field_dbuvm", NULL, -1},
    {needs, "margin", "dB", "margin_db", "margin_db", NULL, 1},
    {needs, "limit SNR", "dB", NULL, "limit_snr_db", NULL, -1},
    {needs, "ideal, fading", "dB", NULL, "ideal_rayleigh_snr_db", NULL, -1},
    {symbol, "useful part", "us", NULL, "useful_us", NULL, 0},
    {symbol, "guard", "us", NULL, "guard_us", NULL, 0},
    {symbol, "whole symbol", "us", NULL, "symbol_us", NULL, 0},
    {symbol, "spacing", "Hz", NULL, "spacing_hz", NULL, 0},
    {symbol, "carriers", "", NULL, "carriers", NULL, 0},
    {symbol, "occupied", "MHz", NULL, "occupied_mhz", NULL, 0},
    {symbol, "echo reach", "us", NULL, "reach_us", NULL, 1},
    {symbol, "pilot Doppler", "Hz", NULL, "doppler_pilot_hz", NULL, 1},
    {symbol, "ICI Doppler", "Hz", NULL, "doppler_ici_hz", NULL, 1},
    {frame, "frame", "ms", NULL, "frame_ms", NULL, 0},
    {frame, "preamble", "symb.", NULL, "preamble_symbols", NULL, 0},
    {frame, "data", "symb.", NULL, "data_symbols", NULL, 0},
    {frame, "data symb.", "cells", NULL, "data_cells", NULL, 0},
    {frame, "boundary", "cells", NULL, "boundary_cells", NULL, 0},
    {frame, "frame", "cells", NULL, "cells_per_frame", NULL, 0},
    {frame, "PLP rate", "Mbit/s", NULL, "plp_mbps", NULL, 1},
};

int quantity_count(void)
{
    return (int)(sizeof rows / sizeof rows[0]);
}

const struct quantity *quantity_row(int i)
{
    return &rows[i];
}

void quantity_name(int i, char *buffer, size_t size)
{
    text_format(buffer, size, rows[i].second ? "second.%s" : "first.%s",
                rows[i].second ? rows[i].second : rows[i].first);
}

static const struct figure_row *figure_of(int i, enum quantity_column column)
{
    const char *name = column == COLUMN_FIRST ? rows[i].first : rows[i].second;
    return name ? figure_find(column == COLUMN_FIRST ? FIGURE_FIRST : FIGURE_SECOND, name) : NULL;
}

double quantity_value(int i, enum quantity_column column, const struct report *report)
{
    const struct figure_row *figure = figure_of(i, column);
    return figure ? figure_value(figure, report) : NAN;
}

void quantity_text(int i, enum quantity_column column, const struct report *report, char *buffer,
                   size_t size)
{
    const struct figure_row *figure = figure_of(i, column);
    double value = figure ? figure_value(figure, report) : NAN;
    if (!figure && column == COLUMN_SECOND && rows[i].second_words) {
        text_format(buffer, size, "%s", rows[i].second_words);
    } else if (!figure || !isfinite(value)) {
        text_format(buffer, size, "-");
    } else {
        text_format(buffer, size, "%.*f", figure->decimals, value);
    }
}

void quantity_change(int i, const struct report *report, const struct report *pinned, char *buffer,
                     size_t size)
{
    const struct figure_row *figure = figure_of(i, COLUMN_SECOND);
    double change =
        quantity_value(i, COLUMN_SECOND, report) - quantity_value(i, COLUMN_SECOND, pinned);
    if (!figure || !isfinite(change)) {
        buffer[0] = '\0';
        return;
    }
    text_format(buffer, size, "%+.*f", figure->decimals, change);
    if (strspn(buffer, "+-0.") == strlen(buffer)) {
        text_format(buffer, size, "same");
    }
}
