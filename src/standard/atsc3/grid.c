/* Times, frequencies and carriers of an OFDM symbol.
 *
 * Idea: everything follows from the sample rate 0.384 MHz x (16 + bsr) (ATSC A/321), the FFT size
 * N and the guard interval's length in samples: Tu = N / fs, Tg = G / fs, spacing fs / N.
 * Number of carriers: ATSC A/322:2024-04 Table 7.1, largest number less c times the unit.
 * Worked number: 6 MHz, GI4_768: 768 / 6.912 MHz = 111.11 us. */
#include "standard/atsc3/grid.h"

#include "base/units.h"
#include "standard/atsc3/pilots.h"

static const struct {
    int carriers, reduction_unit;
} carrier_rows[FFT_COUNT] = {/* ATSC A/322:2024-04 Table 7.1 */
                             [FFT_8K] = {6913, 96},
                             [FFT_16K] = {13825, 192},
                             [FFT_32K] = {27649, 384}};

double sample_rate_hz(int bandwidth_mhz)
{
    int bsr = 3 * (bandwidth_mhz - 6) + 2; /* ATSC A/321: 2, 5, 8 for 6, 7, 8 MHz */
    return 384000.0 * (16 + bsr);
}

int carriers_count(enum fft_size fft, int reduction)
{
    return carrier_rows[fft].carriers - reduction * carrier_rows[fft].reduction_unit;
}

int carriers_reduction_unit(enum fft_size fft)
{
    return carrier_rows[fft].reduction_unit;
}

struct ofdm_grid waveform_grid(const struct waveform *waveform)
{
    double rate_hz = sample_rate_hz(waveform->bandwidth_mhz);
    int points = fft_points(waveform->fft), guard = guard_samples(waveform->guard);
    int carriers = carriers_count(waveform->fft, waveform->reduction);
    double scattered_db = pilots_scattered_db(waveform->pilots, waveform->boost);
    return (struct ofdm_grid){
        .sample_rate_hz = rate_hz,
        .useful_us = points * 1e6 / rate_hz,
        .guard_us = guard * 1e6 / rate_hz,
        .symbol_us = (points + guard) * 1e6 / rate_hz,
        .spacing_hz = rate_hz / points,
        .carriers = carriers,
        .occupied_mhz = carriers * (rate_hz / points) / 1e6,
        .dx = pilots_dx(waveform->pilots),
        .dy = pilots_dy(waveform->pilots),
        .pilot_power = ratio_from_db(scattered_db),
        .mean_power = ratio_from_db(pilots_mean_power_db(waveform)),
    };
}
