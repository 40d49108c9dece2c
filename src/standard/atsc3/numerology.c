/* Times, frequencies and carriers of an OFDM symbol.
 *
 * Idea: everything follows from the sample rate 0.384 MHz x (16 + bsr) (ATSC A/321), the FFT size
 * N and the guard interval's length in samples: Tu = N / fs, Tg = G / fs, spacing fs / N.
 * Number of carriers: ATSC A/322:2024-04 Table 7.1, largest number less c times the unit.
 * Worked number: 6 MHz, GI4_768: 768 / 6.912 MHz = 111.11 us. */
#include "standard/atsc3/numerology.h"

static const struct {
    int carriers, reduction_unit;
} carrier_rows[FFT_COUNT] = {/* ATSC A/322:2024-04 Table 7.1 */
                             [FFT_8K] = {6913, 96},
                             [FFT_16K] = {13825, 192},
                             [FFT_32K] = {27649, 384}};

double numerology_sample_rate_hz(int bandwidth_mhz)
{
    int bsr = 3 * (bandwidth_mhz - 6) + 2; /* ATSC A/321: 2, 5, 8 for 6, 7, 8 MHz */
    return 384000.0 * (16 + bsr);
}

double numerology_useful_us(const struct mode *mode)
{
    return fft_points(mode->fft) * 1e6 / numerology_sample_rate_hz(mode->bandwidth_mhz);
}

double numerology_guard_us(const struct mode *mode)
{
    return guard_samples(mode->guard) * 1e6 / numerology_sample_rate_hz(mode->bandwidth_mhz);
}

double numerology_symbol_us(const struct mode *mode)
{
    return (fft_points(mode->fft) + guard_samples(mode->guard)) * 1e6 /
           numerology_sample_rate_hz(mode->bandwidth_mhz);
}

double numerology_spacing_hz(const struct mode *mode)
{
    return numerology_sample_rate_hz(mode->bandwidth_mhz) / fft_points(mode->fft);
}

int numerology_carriers(enum fft_size fft, int reduction)
{
    return carrier_rows[fft].carriers - reduction * carrier_rows[fft].reduction_unit;
}

int numerology_reduction_unit(enum fft_size fft)
{
    return carrier_rows[fft].reduction_unit;
}

double numerology_occupied_mhz(const struct mode *mode)
{
    return numerology_carriers(mode->fft, mode->reduction) * numerology_spacing_hz(mode) / 1e6;
}
