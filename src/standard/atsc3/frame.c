/* Cells of symbols and the project's reference frame.
 *
 * Idea: a symbol's cells are its carriers that are not pilots. A boundary symbol has the denser
 * pilots of Dy = 1, so some of its cells stay empty to keep the symbol's power constant (ATSC
 * A/322:2024-04 Annex F): active = min(total, ceil(N_data + (P_data - P_boundary) A^2)), P the
 * numbers of pilots and A^2 the scattered pilots' power. A frame is bootstrap (ATSC A/321: 4
 * symbols of 500 us), preamble symbols, and one subframe of as many whole symbols as fit the asked
 * length. Worked number: 8K, SP3_2, boost 4: 5711 + (1202 - 2353) x 1.950 = 3466.8 -> 3467 active
 * cells.
 */
#include "standard/atsc3/frame.h"

#include <math.h>

#include "base/units.h"
#include "standard/atsc3/numerology.h"
#include "standard/atsc3/pilots.h"

#define BOOTSTRAP_MS 2.0 /* ATSC A/321: 4 symbols of 500 us at any bandwidth */
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

static int boundary_active(const struct mode *mode, int data, int total)
{
    double power = ratio_from_db(pilots_scattered_db(mode->pilots, mode->boost));
    /* P_data - P_boundary = total - data. A sum that is whole but for rounding stays whole. */
    double active = ceil(data + (total - data) * power - 1e-9);
    return active < total ? (int)active : total;
}

struct cell_counts cells_count(const struct mode *mode)
{
    struct cell_counts counts = {.carriers = numerology_carriers(mode->fft, mode->reduction),
                                 .data = cells_data(mode),
                                 .boundary_total = cells_boundary_total(mode),
                                 .first_preamble = cells_first_preamble(mode),
                                 .preamble = cells_preamble(mode)};
    counts.boundary = boundary_active(mode, counts.data, counts.boundary_total);
    return counts;
}

int cells_data(const struct mode *mode)
{
    return numerology_carriers(mode->fft, mode->reduction) - pilots_count(mode, SYMBOL_DATA);
}

int cells_boundary_total(const struct mode *mode)
{
    return numerology_carriers(mode->fft, mode->reduction) - pilots_count(mode, SYMBOL_BOUNDARY);
}

int cells_boundary(const struct mode *mode)
{
    return boundary_active(mode, cells_data(mode), cells_boundary_total(mode));
}

int cells_first_preamble(const struct mode *mode)
{
    return numerology_carriers(mode->fft, REDUCTION_MAX) -
           pilots_count(mode, SYMBOL_FIRST_PREAMBLE);
}

int cells_preamble(const struct mode *mode)
{
    return numerology_carriers(mode->fft, mode->reduction) - pilots_count(mode, SYMBOL_PREAMBLE);
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

int payload_bits(enum code_length length, int rate_15ths, enum outer_code outer)
{
    /* Tables 6.5-6.7: BCH parity 192 and 168 bits, CRC 32. */
    static const int outer_bits[LENGTH_COUNT][OUTER_COUNT] = {
        [LENGTH_64800] = {[OUTER_BCH] = 192, [OUTER_CRC] = 32, [OUTER_NONE] = 0},
        [LENGTH_16200] = {[OUTER_BCH] = 168, [OUTER_CRC] = 32, [OUTER_NONE] = 0}};
    return code_length_bits(length) / 15 * rate_15ths - outer_bits[length][outer];
}

enum status frame_build_counted(const struct mode *mode, const struct cell_counts *counts,
                                struct frame *frame, struct fault *fault)
{
    int l1 = cells_l1_basic(mode->l1_basic_mode) +
             cells_l1_detail(mode->l1_detail_mode, mode->l1_detail_bits);
    int further = l1 - counts->first_preamble;
    int preamble_symbols =
        1 + (further > 0 ? (further + counts->preamble - 1) / counts->preamble : 0);
    double symbol_ms = numerology_symbol_us(mode) / 1e3;
    /* A length that is a whole number of symbols but for rounding counts as whole. */
    double symbols = floor((mode->frame_ms - BOOTSTRAP_MS) / symbol_ms + 1e-9);
    int data_symbols = (int)symbols - preamble_symbols;
    if (data_symbols < 1) {
        return fault_set(fault, STATUS_ILLEGAL, "mode.frame_ms", "a longer frame",
                         "not one data symbol fits into %g ms beside bootstrap and %d preamble "
                         "symbols of %.3f ms",
                         mode->frame_ms, preamble_symbols, symbol_ms);
    }
    int boundary_symbols = mode->first_boundary && data_symbols > 1 ? 2 : 1;
    int preamble_payload = counts->first_preamble + (preamble_symbols - 1) * counts->preamble - l1;
    long cells = preamble_payload + (long)(data_symbols - boundary_symbols) * counts->data +
                 (long)boundary_symbols * counts->boundary;
    double duration_ms = BOOTSTRAP_MS + (preamble_symbols + data_symbols) * symbol_ms;
    double cell_rate_hz = (double)cells / duration_ms * 1e3;
    double blocks_hz =
        cell_rate_hz * constellation_bits(mode->constellation) / code_length_bits(mode->length);
    int payload = payload_bits(mode->length, mode->rate_15ths, mode->outer);
    *frame = (struct frame){.duration_ms = duration_ms,
                            .preamble_symbols = preamble_symbols,
                            .data_symbols = data_symbols,
                            .boundary_symbols = boundary_symbols,
                            .preamble_payload = preamble_payload,
                            .cells = cells,
                            .cell_rate_hz = cell_rate_hz,
                            .plp_mbps = blocks_hz * payload / 1e6,
                            .net_mbps = blocks_hz * (payload - PACKET_HEADER_BITS) / 1e6};
    return STATUS_OK;
}

enum status frame_build(const struct mode *mode, struct frame *frame, struct fault *fault)
{
    struct cell_counts counts = cells_count(mode);
    return frame_build_counted(mode, &counts, frame, fault);
}

double interleaver_span_ms(const struct mode *mode, const struct frame *frame)
{
    double rows = interleaver_rows(mode->interleaver);
    return rows > 0 ? rows * (rows - 1) / frame->cell_rate_hz * 1e3 : 0.0;
}

long interleaver_memory_cells(enum interleaver interleaver)
{
    long rows = interleaver_rows(interleaver);
    return rows > 0 ? rows * (rows - 1) / 2 : 0;
}
