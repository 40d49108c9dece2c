/* The project's reference frame: bootstrap (ATSC A/321: 4 symbols of 500 us), preamble symbols, and
 * one subframe of as many whole symbols as fit the asked length. */
#include "standard/atsc3/frame.h"

#include <math.h>

#include "standard/atsc3/grid.h"

#define BOOTSTRAP_MS 2.0 /* ATSC A/321: 4 symbols of 500 us at any bandwidth */

static double symbol_us(const struct waveform *waveform)
{
    return (fft_points(waveform->fft) + guard_samples(waveform->guard)) * 1e6 /
           sample_rate_hz(waveform->bandwidth_mhz);
}

enum status frame_build_counted(const struct transmission *transmission,
                                const struct cell_counts *counts, struct frame *frame,
                                struct fault *fault)
{
    const struct signalling *signalling = &transmission->signalling;
    const struct subframe *subframe = &transmission->subframes[0];
    int l1 = cells_l1_basic(signalling->l1_basic_mode) +
             cells_l1_detail(signalling->l1_detail_mode, signalling->l1_detail_bits);
    int further = l1 - counts->first_preamble;
    int preamble_symbols =
        1 + (further > 0 ? (further + counts->preamble - 1) / counts->preamble : 0);
    double symbol_ms = symbol_us(&subframe->waveform) / 1e3;
    /* A length that is a whole number of symbols but for rounding counts as whole. */
    double symbols = floor((transmission->frame_ms - BOOTSTRAP_MS) / symbol_ms + 1e-9);
    int data_symbols = (int)symbols - preamble_symbols;
    if (data_symbols < 1) {
        return fault_set(fault, STATUS_ILLEGAL, "mode.frame_ms", "a longer frame",
                         "not one data symbol fits into %g ms beside bootstrap and %d preamble "
                         "symbols of %.3f ms",
                         transmission->frame_ms, preamble_symbols, symbol_ms);
    }
    int boundary_symbols = subframe->first_boundary && data_symbols > 1 ? 2 : 1;
    int preamble_payload = counts->first_preamble + (preamble_symbols - 1) * counts->preamble - l1;
    long cells = preamble_payload + (long)(data_symbols - boundary_symbols) * counts->data +
                 (long)boundary_symbols * counts->boundary;
    double duration_ms = BOOTSTRAP_MS + (preamble_symbols + data_symbols) * symbol_ms;
    double cell_rate_hz = (double)cells / duration_ms * 1e3;
    *frame = (struct frame){.duration_ms = duration_ms,
                            .preamble_symbols = preamble_symbols,
                            .data_symbols = data_symbols,
                            .boundary_symbols = boundary_symbols,
                            .preamble_payload = preamble_payload,
                            .cells = cells,
                            .cell_rate_hz = cell_rate_hz};
    return STATUS_OK;
}

enum status frame_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault)
{
    struct cell_counts counts = cells_count(&transmission->subframes[0].waveform);
    return frame_build_counted(transmission, &counts, frame, fault);
}

struct carried code_carried(const struct code *code, double cell_rate_hz)
{
    double blocks_hz =
        cell_rate_hz * constellation_bits(code->constellation) / code_length_bits(code->length);
    int payload = payload_bits(code);
    return (struct carried){.plp_mbps = blocks_hz * payload / 1e6,
                            .net_mbps = blocks_hz * (payload - PACKET_HEADER_BITS) / 1e6};
}
