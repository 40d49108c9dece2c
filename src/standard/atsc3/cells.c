/* Cells of symbols.
 *
 * Idea: a symbol's cells are its carriers that are not pilots. A boundary symbol has the denser
 * pilots of Dy = 1, so some of its cells stay empty to keep the symbol's power constant (ATSC
 * A/322:2024-04 Annex F): active = min(total, ceil(N_data + (P_data - P_boundary) A^2)), P the
 * numbers of pilots and A^2 the scattered pilots' power. Worked number: 8K, SP3_2, boost 4: 5711 +
 * (1202 - 2353) x 1.950 = 3466.8 -> 3467 active cells. */
#include "standard/atsc3/cells.h"

#include <math.h>

#include "base/units.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"

#define L1_MODES 7

static const int l1_basic_cells[L1_MODES] = {/* ATSC A/322:2024-04 Table 6.17 */
                                             3820, 934, 484, 259, 163, 112, 69};

/* ATSC A/322:2024-04 section 6.5.2.8: puncturing A and B, parity and information length of the
 * code, bits per cell. Longer signalling is cut into blocks of at most `segment` bits (section
 * 6.5.2.1; the three lengths from memory). */
static const struct {
    int a_numerator, a_denominator, b, parity, information, bits_per_cell, segment;
} l1_detail_rows[L1_MODES] = {
    {7, 2, 0, 12960, 3240, 2, 2352},      {2, 1, 6036, 12960, 3240, 2, 3072},
    {11, 16, 4653, 9720, 6480, 2, 6312},  {29, 32, 3200, 9720, 6480, 4, 6312},
    {3, 4, 4284, 9720, 6480, 6, 6312},    {11, 16, 4900, 9720, 6480, 8, 6312},
    {49, 256, 8246, 9720, 6480, 8, 6312},
};
#define L1_OUTER_PARITY 168

static int boundary_active(const struct waveform *waveform, int data, int total)
{
    double power = ratio_from_db(pilots_scattered_db(waveform->pilots, waveform->boost));
    /* P_data - P_boundary = total - data. A sum that is whole but for rounding stays whole. */
    double active = ceil(data + (total - data) * power - 1e-9);
    return active < total ? (int)active : total;
}

struct cell_counts cells_count(const struct waveform *waveform)
{
    struct cell_counts counts = {.carriers = carriers_count(waveform->fft, waveform->reduction),
                                 .data = cells_data(waveform),
                                 .boundary_total = cells_boundary_total(waveform),
                                 .first_preamble = cells_first_preamble(waveform),
                                 .preamble = cells_preamble(waveform)};
    counts.boundary = boundary_active(waveform, counts.data, counts.boundary_total);
    return counts;
}

int cells_data(const struct waveform *waveform)
{
    return carriers_count(waveform->fft, waveform->reduction) - pilots_count(waveform, SYMBOL_DATA);
}

int cells_boundary_total(const struct waveform *waveform)
{
    return carriers_count(waveform->fft, waveform->reduction) -
           pilots_count(waveform, SYMBOL_BOUNDARY);
}

int cells_boundary(const struct waveform *waveform)
{
    return boundary_active(waveform, cells_data(waveform), cells_boundary_total(waveform));
}

int cells_first_preamble(const struct waveform *waveform)
{
    return carriers_count(waveform->fft, REDUCTION_MAX) -
           pilots_count(waveform, SYMBOL_FIRST_PREAMBLE);
}

int cells_preamble(const struct waveform *waveform)
{
    return carriers_count(waveform->fft, waveform->reduction) -
           pilots_count(waveform, SYMBOL_PREAMBLE);
}

int cells_l1_basic(int l1_basic_mode)
{
    return l1_basic_cells[l1_basic_mode - 1];
}

int cells_l1_detail(int l1_detail_mode, int l1_detail_bits)
{
    int row = l1_detail_mode - 1;
    int blocks = (l1_detail_bits + l1_detail_rows[row].segment - 1) / l1_detail_rows[row].segment;
    int outer = (l1_detail_bits + blocks - 1) / blocks + L1_OUTER_PARITY;
    int shortened = l1_detail_rows[row].information - outer;
    int punctured =
        l1_detail_rows[row].a_numerator * shortened / l1_detail_rows[row].a_denominator +
        l1_detail_rows[row].b;
    int bits_per_cell = l1_detail_rows[row].bits_per_cell;
    int cells =
        (outer + l1_detail_rows[row].parity - punctured + bits_per_cell - 1) / bits_per_cell;
    if (l1_detail_mode == 1) { /* the only one with repetition */
        cells += (2 * (61 * outer / 16) - 508) / bits_per_cell;
    }
    return blocks * cells;
}
