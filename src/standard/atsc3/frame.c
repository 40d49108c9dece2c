/* The frame: bootstrap (ATSC A/321: 4 symbols of 500 us), preamble symbols, subframes.
 *
 * Time: what bootstrap and preamble leave of the asked length is the subframes'. One that says its
 * symbols has these; one that says a share has as many whole symbols as fit into it; the others
 * part what is left equally. Where all say their symbols the length follows from them. Aligned to
 * time, a frame lasts a multiple of 5 ms, and what the symbols leave of it goes to their guard
 * intervals, equally and in whole samples (A/322:2024-04 section 7.2).
 * Cells: preamble cells left after L1 come first in the first subframe, then data and active
 * boundary cells. Tone reservation takes 72, 144 or 288 carriers of every symbol but the first of
 * the preamble (Annex G).
 * Worked number: 8K GI5_1024 SP3_4, two preamble symbols, 72 symbols of which the last is a
 * boundary symbol: 4307 + 4560 - 3820 - 2787 + 71 x 6285 + 1534 = 450029 cells in 100.6667 ms. */
#include "standard/atsc3/frame.h"

#include <math.h>

#include "standard/atsc3/grid.h"
#include "standard/atsc3/signalling.h"
#include "standard/atsc3/slots.h"

#define BOOTSTRAP_MS 2.0 /* ATSC A/321: 4 symbols of 500 us at any bandwidth */
#define FRAME_LEAST_MS 50.0
#define FRAME_MOST_MS 5000.0
#define EXCESS_SAMPLES_MAX 8191 /* L1B_excess_samples_per_symbol has 13 bits */
#define SYMBOLS_MAX 2048        /* L1B_first_sub_num_ofdm_symbols has 11 bits */
#define PREAMBLE_SYMBOLS_MAX 8
#define LEAST_PATTERNS 4 /* a subframe is at least so many times Dy symbols long (from memory) */

/* A length that is a whole number of symbols but for rounding counts as whole. */
#define ROUNDING 1e-9

static int symbol_samples(const struct waveform *waveform)
{
    return fft_points(waveform->fft) + guard_samples(waveform->guard);
}

static double symbol_ms(const struct waveform *waveform)
{
    return symbol_samples(waveform) * 1e3 / sample_rate_hz(waveform->bandwidth_mhz);
}

static const char *frame_section(const struct transmission *transmission)
{
    return transmission_is_plain(transmission) ? "mode.frame_ms" : "frame.frame_ms";
}

/* ---- Preamble. ---- */

static int reserved_tones(const struct transmission *transmission, const struct waveform *waveform)
{
    static const int tones[FFT_COUNT] = {[FFT_8K] = 72, [FFT_16K] = 144, [FFT_32K] = 288};
    return transmission->tone_reservation ? tones[waveform->fft] : 0;
}

struct cell_counts frame_counts(const struct transmission *transmission,
                                const struct waveform *waveform)
{
    struct cell_counts counts = cells_count(waveform);
    int tones = reserved_tones(transmission, waveform);
    counts.data -= tones;
    counts.boundary_total -= tones;
    counts.boundary -= tones;
    counts.preamble -= tones;
    return counts;
}

static enum status build_preamble(const struct transmission *transmission, struct frame *frame,
                                  struct fault *fault)
{
    const struct signalling *signalling = &transmission->signalling;
    struct waveform waveform = signalling_preamble(transmission);
    int first = cells_first_preamble(&waveform);
    int each = cells_preamble(&waveform) - reserved_tones(transmission, &waveform);
    frame->l1_detail_bits = signalling->l1_detail_bits > 0 ? signalling->l1_detail_bits
                                                           : signalling_detail_bits(transmission);
    int l1 = cells_l1_basic(signalling->l1_basic_mode) +
             cells_l1_detail(signalling->l1_detail_mode, frame->l1_detail_bits);
    int further = l1 - first;
    int needed = 1 + (further > 0 ? (further + each - 1) / each : 0);
    frame->preamble_symbols =
        signalling->preamble_symbols > 0 ? signalling->preamble_symbols : needed;
    if (frame->preamble_symbols < needed || needed > PREAMBLE_SYMBOLS_MAX) {
        char allowed[48];
        text_format(allowed, sizeof allowed,
                    needed > PREAMBLE_SYMBOLS_MAX ? "at most 8: a leaner mode of L1, or fewer PLPs"
                                                  : "%d to 8, or auto",
                    needed);
        return fault_set(fault, STATUS_ILLEGAL, "frame.preamble_symbols", allowed,
                         "L1 takes %d cells, %d preamble symbols", l1, needed);
    }
    frame->preamble_payload = first + (frame->preamble_symbols - 1) * each - l1;
    return STATUS_OK;
}

/* ---- Symbols. ---- */

static double preamble_ms(const struct transmission *transmission, const struct frame *frame)
{
    struct waveform waveform = signalling_preamble(transmission);
    return frame->preamble_symbols * symbol_ms(&waveform);
}

static enum status too_short(const struct transmission *transmission, const struct frame *frame,
                             int i, int least, struct fault *fault)
{
    const struct subframe *subframe = &transmission->subframes[i];
    double symbol = symbol_ms(&subframe->waveform);
    char allowed[64], place[PLACE_BYTES];
    if (transmission_subframes(transmission) == 1 && frame->pools[i].symbols < 1) {
        return fault_set(fault, STATUS_ILLEGAL, frame_section(transmission), "a longer frame",
                         "not one data symbol fits into %g ms beside bootstrap and %d preamble "
                         "symbols of %.3f ms",
                         transmission->frame_ms, frame->preamble_symbols, symbol);
    }
    text_format(allowed, sizeof allowed, "at least %d symbols of %.3f ms", least, symbol);
    subframe_place(transmission, i, subframe->symbols > 0 ? "symbols" : "share_percent", place);
    return fault_set(fault, STATUS_ILLEGAL, place, allowed, "%d symbols are too short a subframe",
                     frame->pools[i].symbols);
}

/* The least that a subframe may have: one where there is no other to part the frame with. */
static int least_symbols(const struct transmission *transmission, int i)
{
    return transmission->subframe_count > 0
               ? LEAST_PATTERNS * pilots_dy(transmission->subframes[i].waveform.pilots)
               : 1;
}

static enum status check_symbols(const struct transmission *transmission, const struct frame *frame,
                                 struct fault *fault)
{
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        int least = least_symbols(transmission, i), symbols = frame->pools[i].symbols;
        if (symbols < least) {
            return too_short(transmission, frame, i, least, fault);
        }
        if (symbols > SYMBOLS_MAX && transmission->subframe_count > 0) {
            char place[PLACE_BYTES];
            subframe_place(transmission, i, "symbols", place);
            return fault_set(fault, STATUS_ILLEGAL, place, "at most 2048",
                             "%d symbols cannot be signalled", symbols);
        }
    }
    return STATUS_OK;
}

/* Symbols for all, from what is said and the time they have. */
static enum status divide_time(const struct transmission *transmission, double room_ms,
                               struct frame *frame, struct fault *fault)
{
    int count = transmission_subframes(transmission), unsaid = 0;
    double left_ms = room_ms;
    for (int i = 0; i < count; i++) {
        const struct subframe *subframe = &transmission->subframes[i];
        double symbol = symbol_ms(&subframe->waveform);
        int symbols = subframe->symbols;
        if (symbols == 0 && isnan(subframe->share_percent)) {
            unsaid++;
            continue;
        }
        if (symbols == 0) {
            symbols = (int)floor(subframe->share_percent / 100.0 * room_ms / symbol + ROUNDING);
        }
        frame->pools[i].symbols = symbols;
        left_ms -= symbols * symbol;
        if (left_ms < -ROUNDING * room_ms) {
            char place[PLACE_BYTES], allowed[64];
            text_format(allowed, sizeof allowed, "together at most %.3f ms, or a longer frame",
                        room_ms);
            subframe_place(transmission, i, subframe->symbols > 0 ? "symbols" : "share_percent",
                           place);
            return fault_set(fault, STATUS_ILLEGAL, place, allowed,
                             "the subframes are longer than what the frame leaves them");
        }
    }
    for (int i = 0; i < count; i++) {
        const struct subframe *subframe = &transmission->subframes[i];
        if (subframe->symbols == 0 && isnan(subframe->share_percent)) {
            double symbol = symbol_ms(&subframe->waveform);
            frame->pools[i].symbols = (int)floor(left_ms / unsaid / symbol + ROUNDING);
            left_ms -= frame->pools[i].symbols * symbol;
            unsaid--;
        }
    }
    return STATUS_OK;
}

static bool all_say_their_symbols(const struct transmission *transmission)
{
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        if (transmission->subframes[i].symbols == 0) {
            return false;
        }
    }
    return true;
}

static enum status build_symbols(const struct transmission *transmission, struct frame *frame,
                                 struct fault *fault)
{
    bool said =
        all_say_their_symbols(transmission) && transmission->alignment == ALIGNED_TO_SYMBOLS;
    double used_ms = BOOTSTRAP_MS + preamble_ms(transmission, frame);
    enum status status = divide_time(
        transmission, (said ? FRAME_MOST_MS : transmission->frame_ms) - used_ms, frame, fault);
    if (status == STATUS_OK) {
        status = check_symbols(transmission, frame, fault);
    }
    return status;
}

/* ---- Durations. ---- */

static enum status align_to_time(const struct transmission *transmission, long samples, int symbols,
                                 struct frame *frame, struct fault *fault)
{
    double rate_hz = sample_rate_hz(transmission->subframes[0].waveform.bandwidth_mhz);
    double units = transmission->frame_ms / FRAME_UNIT_MS;
    if (units != floor(units)) {
        return fault_set(fault, STATUS_ILLEGAL, "frame.frame_ms", "a multiple of 5 ms",
                         "%g ms is none that a frame aligned to time can last",
                         transmission->frame_ms);
    }
    long excess = lround(transmission->frame_ms * 1e-3 * rate_hz) - samples;
    frame->excess_samples = (int)(excess / (symbols > 0 ? symbols : 1));
    if (frame->excess_samples > EXCESS_SAMPLES_MAX) {
        return fault_set(
            fault, STATUS_ILLEGAL, "frame.frame_ms", "a shorter frame, or more symbols",
            "%d samples more for each guard interval cannot be signalled", frame->excess_samples);
    }
    frame->duration_ms = transmission->frame_ms;
    return STATUS_OK;
}

static enum status build_durations(const struct transmission *transmission, struct frame *frame,
                                   struct fault *fault)
{
    double rate_hz = sample_rate_hz(transmission->subframes[0].waveform.bandwidth_mhz);
    struct waveform preamble = signalling_preamble(transmission);
    long samples = lround(BOOTSTRAP_MS * 1e-3 * rate_hz) +
                   (long)frame->preamble_symbols * symbol_samples(&preamble);
    double start_ms = samples * 1e3 / rate_hz;
    int symbols = 0, count = transmission_subframes(transmission);
    for (int i = 0; i < count; i++) {
        samples +=
            (long)frame->pools[i].symbols * symbol_samples(&transmission->subframes[i].waveform);
        symbols += frame->pools[i].symbols;
    }
    enum status status = STATUS_OK;
    frame->duration_ms = samples * 1e3 / rate_hz;
    if (transmission->alignment == ALIGNED_TO_TIME) {
        status = align_to_time(transmission, samples, symbols, frame, fault);
    } else if (frame->duration_ms < FRAME_LEAST_MS && !transmission_is_plain(transmission)) {
        status = fault_set(fault, STATUS_ILLEGAL, "frame.frame_ms", "50 to 5000 ms",
                           "the frame lasts %.3f ms only", frame->duration_ms);
    }
    for (int i = 0; i < count; i++) {
        int each = symbol_samples(&transmission->subframes[i].waveform) + frame->excess_samples;
        frame->pools[i].start_ms = start_ms;
        frame->pools[i].duration_ms = frame->pools[i].symbols * (each * 1e3 / rate_hz);
        start_ms += frame->pools[i].duration_ms;
    }
    return status;
}

/* ---- Cells. ---- */

static void build_cells(const struct transmission *transmission, struct frame *frame)
{
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        const struct subframe *subframe = &transmission->subframes[i];
        struct pool *pool = &frame->pools[i];
        int boundaries = subframe->first_boundary + subframe->last_boundary;
        pool->counts = frame_counts(transmission, &subframe->waveform);
        pool->boundary_symbols = boundaries < pool->symbols ? boundaries : pool->symbols;
        pool->cells = (i == 0 ? frame->preamble_payload : 0) +
                      (long)(pool->symbols - pool->boundary_symbols) * pool->counts.data +
                      (long)pool->boundary_symbols * pool->counts.boundary;
        frame->cells += pool->cells;
    }
    frame->data_symbols = frame->pools[0].symbols;
    frame->boundary_symbols = frame->pools[0].boundary_symbols;
    frame->cell_rate_hz = (double)frame->cells / frame->duration_ms * 1e3;
}

enum status frame_build(const struct transmission *transmission, struct frame *frame,
                        struct fault *fault)
{
    *frame = (struct frame){0};
    enum status status = build_preamble(transmission, frame, fault);
    if (status == STATUS_OK) {
        status = build_symbols(transmission, frame, fault);
    }
    if (status == STATUS_OK) {
        status = build_durations(transmission, frame, fault);
    }
    if (status == STATUS_OK) {
        build_cells(transmission, frame);
        status = slots_build(transmission, frame, fault);
    }
    return status;
}

struct ofdm_grid frame_grid(const struct transmission *transmission, const struct frame *frame,
                            int subframe)
{
    const struct subframe *of = &transmission->subframes[subframe];
    struct ofdm_grid grid = waveform_grid(&of->waveform);
    double us = 1e6 / grid.sample_rate_hz;
    grid.guard_us += (frame->excess_samples - miso_samples(of->miso)) * us;
    grid.symbol_us += frame->excess_samples * us;
    grid.filter_us = miso_samples(of->miso) * us;
    return grid;
}

/* The list of cells goes through the symbols, each from its lowest carrier on, behind what is left
 * of the preamble in the first subframe. */
struct carrier_part plp_carriers(const struct transmission *transmission, const struct frame *frame,
                                 int plp)
{
    const struct slot *slot = &frame->slots[plp];
    const struct subframe *subframe = &transmission->subframes[slot->subframe];
    const struct pool *pool = &frame->pools[slot->subframe];
    const struct carrier_part all = {0.0, 1.0};
    long before = (slot->subframe == 0 ? frame->preamble_payload : 0) +
                  (subframe->first_boundary ? pool->counts.boundary - pool->counts.data : 0);
    long from = (slot->start - before) % pool->counts.data;
    from += from < 0 ? pool->counts.data : 0;
    bool alike = slot->subslices == 1 || slot->interval % pool->counts.data == 0;
    if (subframe->frequency_interleaver || !alike ||
        from + slot->subslice_cells > pool->counts.data) {
        return all;
    }
    return (struct carrier_part){
        (double)from / pool->counts.data,
        (double)(from + slot->subslice_cells) / pool->counts.data,
    };
}

struct carried code_carried(const struct code *code, double cell_rate_hz)
{
    double blocks_hz =
        cell_rate_hz * constellation_bits(code->constellation) / code_length_bits(code->length);
    int payload = payload_bits(code);
    return (struct carried){.plp_mbps = blocks_hz * payload / 1e6,
                            .net_mbps = blocks_hz * (payload - PACKET_HEADER_BITS) / 1e6};
}
