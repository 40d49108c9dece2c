/* Facts of the documents: both generations' transmission and the channel plan. */
#include <string.h>

#include "base/units.h"
#include "command/facts/facts.h"
#include "physics/information/layers.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/injection.h"
#include "standard/atsc3/pilots.h"
#include "standard/atsc3/signalling.h"
#include "standard/rf.h"
#include "standard/vsb/signal.h"

#define TABLE(columns) table_start(columns, sizeof(columns) / sizeof(columns)[0])

struct table fact_vsb(void)
{
    static const struct table_column columns[] = {
        {"quantity", "Quantity", NULL, 0}, {"value", "Value", NULL, 0}, {"unit", "Unit", NULL, 0}};
    const struct {
        const char *quantity;
        double value;
        int decimals;
        const char *unit;
    } rows[] = {
        {"symbol rate", vsb_symbol_rate_hz() / 1e6, 6, "MHz"},
        {"symbol", vsb_symbol_us(), 6, "us"},
        {"symbols in a segment", VSB_SEGMENT_SYMBOLS, 0, ""},
        {"data symbols in a segment", VSB_SEGMENT_DATA_SYMBOLS, 0, ""},
        {"segments in a field", VSB_FIELD_SEGMENTS, 0, ""},
        {"data segments in a field", VSB_FIELD_DATA_SEGMENTS, 0, ""},
        {"Reed-Solomon word", VSB_RS_BYTES, 0, "bytes"},
        {"Reed-Solomon data", VSB_RS_DATA_BYTES, 0, "bytes"},
        {"correctable in a word", VSB_RS_CORRECTABLE, 0, "bytes"},
        {"trellis encoders", VSB_TRELLIS_ENCODERS, 0, ""},
        {"byte interleaver depth", VSB_INTERLEAVER_BRANCHES, 0, "segments"},
        {"roll-off", VSB_ROLL_OFF, 4, ""},
        {"pilot level", VSB_PILOT_LEVEL, 2, ""},
        {"pilot's share", vsb_pilot_db(), 3, "dB"},
        {"pilot above the lower edge", vsb_pilot_offset_hz() / 1e3, 2, "kHz"},
        {"net rate", vsb_net_mbps(), 6, "Mbit/s"},
    };
    struct table table = TABLE(columns);
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        table_word(&table, rows[i].quantity);
        table_number_to(&table, rows[i].value, rows[i].decimals);
        table_word(&table, rows[i].unit);
    }
    return table;
}

/* A waveform of which only the geometry matters. */
static struct waveform waveform_of(int bandwidth_mhz, enum fft_size fft, enum guard guard)
{
    struct waveform waveform = transmission_default().subframes[0].waveform;
    waveform.bandwidth_mhz = bandwidth_mhz;
    waveform.fft = fft;
    waveform.guard = guard;
    waveform.pilots = SP3_2;
    while (waveform.pilots < PILOTS_COUNT - 1 && !pilots_are_allowed(fft, guard, waveform.pilots)) {
        waveform.pilots++;
    }
    return waveform;
}

struct table fact_numerology(void)
{
    static const struct table_column columns[] = {
        {"bandwidth_mhz", "Channel", "MHz", 0},  {"fft", "FFT", NULL, 0},
        {"points", "Points", NULL, 0},           {"sample_rate_mhz", "Sample rate", "MHz", 3},
        {"useful_us", "Useful symbol", "us", 2}, {"spacing_hz", "Carrier spacing", "Hz", 2},
        {"occupied_mhz", "Occupied", "MHz", 3}};
    struct table table = TABLE(columns);
    for (int bandwidth = 6; bandwidth <= 8; bandwidth++) {
        for (int fft = 0; fft < FFT_COUNT; fft++) {
            struct waveform waveform = waveform_of(bandwidth, (enum fft_size)fft, GI1_192);
            table_whole(&table, bandwidth);
            table_word(&table, fft_name(waveform.fft));
            table_whole(&table, fft_points(waveform.fft));
            table_number(&table, sample_rate_hz(bandwidth) / 1e6);
            table_number(&table, waveform_grid(&waveform).useful_us);
            table_number(&table, waveform_grid(&waveform).spacing_hz);
            table_number(&table, waveform_grid(&waveform).occupied_mhz);
        }
    }
    return table;
}

struct table fact_carriers(void)
{
    static const struct table_column columns[] = {
        {"fft", "FFT", NULL, 0},       {"reduction_0", "c = 0", NULL, 0},
        {"reduction_1", "1", NULL, 0}, {"reduction_2", "2", NULL, 0},
        {"reduction_3", "3", NULL, 0}, {"reduction_4", "4", NULL, 0}};
    struct table table = TABLE(columns);
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        table_word(&table, fft_name((enum fft_size)fft));
        for (int reduction = 0; reduction <= REDUCTION_MAX; reduction++) {
            table_whole(&table, carriers_count((enum fft_size)fft, reduction));
        }
    }
    return table;
}

struct table fact_guard(void)
{
    static const struct table_column columns[] = {
        {"guard", "Guard", NULL, 0},   {"samples", "Samples", NULL, 0},
        {"us_6mhz", "6 MHz", "us", 2}, {"us_7mhz", "7 MHz", "us", 2},
        {"us_8mhz", "8 MHz", "us", 2}, {"km_6mhz", "Longer path, 6 MHz", "km", 2},
        {"ffts", "FFT sizes", NULL, 0}};
    struct table table = TABLE(columns);
    for (int guard = 0; guard < GUARD_COUNT; guard++) {
        char ffts[32] = "";
        size_t used = 0;
        for (int fft = 0; fft < FFT_COUNT; fft++) {
            if (guard_is_allowed((enum fft_size)fft, (enum guard)guard)) {
                used += text_format(ffts + used, sizeof ffts - used, "%s%s", used ? " " : "",
                                    fft_name((enum fft_size)fft));
            }
        }
        table_word(&table, guard_name((enum guard)guard));
        table_whole(&table, guard_samples((enum guard)guard));
        struct waveform waveform = waveform_of(6, FFT_32K, (enum guard)guard);
        for (waveform.bandwidth_mhz = 6; waveform.bandwidth_mhz <= 8; waveform.bandwidth_mhz++) {
            table_number(&table, waveform_grid(&waveform).guard_us);
        }
        waveform.bandwidth_mhz = 6;
        table_number(&table, km_from_us(waveform_grid(&waveform).guard_us));
        table_word(&table, ffts);
    }
    return table;
}

struct table fact_pilots(void)
{
    static const struct table_column columns[] = {{"guard", "Guard", NULL, 0},
                                                  {"fft_8k", "8K", NULL, 0},
                                                  {"fft_16k", "16K", NULL, 0},
                                                  {"fft_32k", "32K", NULL, 0}};
    struct table table = TABLE(columns);
    for (int guard = 0; guard < GUARD_COUNT; guard++) {
        table_word(&table, guard_name((enum guard)guard));
        for (int fft = 0; fft < FFT_COUNT; fft++) {
            char patterns[128] = "";
            size_t used = 0;
            for (int i = 0; i < PILOTS_COUNT; i++) {
                if (pilots_are_allowed((enum fft_size)fft, (enum guard)guard, (enum pilots)i)) {
                    used += text_format(patterns + used, sizeof patterns - used, "%s%s",
                                        used ? " " : "", pilots_name((enum pilots)i));
                }
            }
            table_word(&table, used ? patterns : NULL);
        }
    }
    return table;
}

struct table fact_boosts(void)
{
    static const struct table_column columns[] = {
        {"pilots", "Pattern", NULL, 0}, {"dx", "Dx", NULL, 0},
        {"dy", "Dy", NULL, 0},          {"boost_0_db", "Boost 0", "dB", 1},
        {"boost_1_db", "1", "dB", 1},   {"boost_2_db", "2", "dB", 1},
        {"boost_3_db", "3", "dB", 1},   {"boost_4_db", "4", "dB", 1}};
    struct table table = TABLE(columns);
    for (int i = 0; i < PILOTS_COUNT; i++) {
        table_word(&table, pilots_name((enum pilots)i));
        table_whole(&table, pilots_dx((enum pilots)i));
        table_whole(&table, pilots_dy((enum pilots)i));
        for (int boost = 0; boost <= BOOST_MAX; boost++) {
            table_number(&table, pilots_scattered_db((enum pilots)i, boost));
        }
    }
    table_word(&table, "continual");
    table_null(&table);
    table_null(&table);
    for (int boost = 0; boost <= BOOST_MAX; boost++) {
        table_number_to(&table, pilots_continual_db(), 2);
    }
    return table;
}

struct table fact_cells(void)
{
    static const struct table_column columns[] = {{"fft", "FFT", NULL, 0},
                                                  {"guard", "Guard", NULL, 0},
                                                  {"pilots", "Pilots", NULL, 0},
                                                  {"reduction", "c", NULL, 0},
                                                  {"data_cells", "Data symbol", NULL, 0},
                                                  {"boundary_0", "Boundary, boost 0", NULL, 0},
                                                  {"boundary_1", "1", NULL, 0},
                                                  {"boundary_2", "2", NULL, 0},
                                                  {"boundary_3", "3", NULL, 0},
                                                  {"boundary_4", "4", NULL, 0}};
    struct table table = TABLE(columns);
    struct waveform waveform = transmission_default().subframes[0].waveform;
    for (int i = 0; i < FFT_COUNT * GUARD_COUNT * PILOTS_COUNT * (REDUCTION_MAX + 1); i++) {
        waveform.reduction = i % (REDUCTION_MAX + 1);
        waveform.pilots = (enum pilots)(i / (REDUCTION_MAX + 1) % PILOTS_COUNT);
        waveform.guard = (enum guard)(i / (REDUCTION_MAX + 1) / PILOTS_COUNT % GUARD_COUNT);
        waveform.fft = (enum fft_size)(i / (REDUCTION_MAX + 1) / PILOTS_COUNT / GUARD_COUNT);
        if (!pilots_are_allowed(waveform.fft, waveform.guard, waveform.pilots)) {
            continue;
        }
        table_word(&table, fft_name(waveform.fft));
        table_word(&table, guard_name(waveform.guard));
        table_word(&table, pilots_name(waveform.pilots));
        table_whole(&table, waveform.reduction);
        table_whole(&table, cells_data(&waveform));
        for (waveform.boost = 0; waveform.boost <= BOOST_MAX; waveform.boost++) {
            table_whole(&table, cells_boundary(&waveform));
        }
    }
    return table;
}

/* With the pattern of the widest spacing that goes with FFT size and guard interval, and, where a
 * pattern of spacing 3 has a preamble of its own, with that. */
static void preamble_row(struct table *table, struct waveform waveform)
{
    table_word(table, fft_name(waveform.fft));
    table_word(table, guard_name(waveform.guard));
    table_word(table, pilots_name(waveform.pilots));
    table_whole(table, pilots_preamble_dx(&waveform));
    table_whole(table, cells_first_preamble(&waveform));
    for (waveform.reduction = 0; waveform.reduction <= REDUCTION_MAX; waveform.reduction++) {
        table_whole(table, cells_preamble(&waveform));
    }
}

struct table fact_preamble(void)
{
    static const struct table_column columns[] = {{"fft", "FFT", NULL, 0},
                                                  {"guard", "Guard", NULL, 0},
                                                  {"pilots", "With", NULL, 0},
                                                  {"preamble_dx", "Dx", NULL, 0},
                                                  {"first", "First symbol", NULL, 0},
                                                  {"further_0", "Further, c = 0", NULL, 0},
                                                  {"further_1", "1", NULL, 0},
                                                  {"further_2", "2", NULL, 0},
                                                  {"further_3", "3", NULL, 0},
                                                  {"further_4", "4", NULL, 0}};
    struct table table = TABLE(columns);
    for (int i = 0; i < FFT_COUNT * GUARD_COUNT; i++) {
        struct waveform waveform = transmission_default().subframes[0].waveform;
        waveform.fft = (enum fft_size)(i / GUARD_COUNT);
        waveform.guard = (enum guard)(i % GUARD_COUNT);
        waveform.reduction = 0;
        int before = -1;
        for (int pilots = PILOTS_COUNT - 1; pilots >= 0; pilots--) {
            waveform.pilots = (enum pilots)pilots;
            if (pilots_are_allowed(waveform.fft, waveform.guard, waveform.pilots) &&
                pilots_preamble_dx(&waveform) != before) {
                before = pilots_preamble_dx(&waveform);
                preamble_row(&table, waveform);
            }
        }
    }
    return table;
}

struct table fact_l1(void)
{
    static const struct table_column columns[] = {
        {"mode", "FEC mode", NULL, 0},
        {"l1_basic_cells", "L1-Basic", "cells", 0},
        {"l1_detail_cells_200", "L1-Detail, 200 bits", "cells", 0},
        {"l1_detail_cells_1000", "1000 bits", "cells", 0}};
    struct table table = TABLE(columns);
    for (int mode = 1; mode <= 7; mode++) {
        table_whole(&table, mode);
        table_whole(&table, cells_l1_basic(mode));
        table_whole(&table, cells_l1_detail(mode, 200));
        table_whole(&table, cells_l1_detail(mode, 1000));
    }
    return table;
}

/* Five values a row: modes 1 to 5 of L1-Basic. */
struct table fact_structures(void)
{
    static const struct table_column columns[] = {{"first", "From", NULL, 0},
                                                  {"last", "to", NULL, 0},
                                                  {"fft", "FFT", NULL, 0},
                                                  {"guard", "Guard", NULL, 0},
                                                  {"dx", "Pilots apart", "carriers", 0}};
    struct table table = TABLE(columns);
    for (int value = 0; value < SIGNALLING_STRUCTURES; value += 5) {
        struct preamble_structure told = signalling_structure_of(value);
        table_whole(&table, value);
        table_whole(&table, value + 4);
        table_word(&table, fft_name(told.fft));
        table_word(&table, guard_name(told.guard));
        table_whole(&table, told.dx);
    }
    return table;
}

struct table fact_layers(void)
{
    static const struct table_column columns[] = {{"code", "Code", NULL, 0},
                                                  {"injection_db", "Level", "dB", 1},
                                                  {"alpha", "alpha", NULL, 7},
                                                  {"beta", "beta", NULL, 7},
                                                  {"core_share", "Core's power", NULL, 4},
                                                  {"enhanced_db", "Enhanced needs more", "dB", 2}};
    struct table table = TABLE(columns);
    for (int code = 0; code < INJECTION_LEVELS; code++) {
        table_whole(&table, code);
        table_number(&table, injection_db(code));
        table_number(&table, injection_alpha(code));
        table_number(&table, injection_beta(code));
        table_number(&table, injection_core_share(injection_db(code)));
        table_number(&table, layered_enhanced_snr_db(0.0, injection_db(code)));
    }
    return table;
}

struct table fact_codes(void)
{
    static const struct table_column columns[] = {{"length", "Length", "bits", 0},
                                                  {"rate", "Rate", NULL, 0},
                                                  {"payload_bch", "BCH", "bits", 0},
                                                  {"payload_crc", "CRC", "bits", 0},
                                                  {"payload_none", "none", "bits", 0}};
    struct table table = TABLE(columns);
    for (int length = 0; length < LENGTH_COUNT; length++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            char word[16];
            text_format(word, sizeof word, "%d/15", rate);
            table_whole(&table, code_length_bits((enum code_length)length));
            table_word(&table, word);
            for (int outer = 0; outer < OUTER_COUNT; outer++) {
                table_whole(&table,
                            payload_bits(&(const struct code){.length = (enum code_length)length,
                                                              .rate_15ths = rate,
                                                              .outer = (enum outer_code)outer}));
            }
        }
    }
    return table;
}

struct table fact_constellations(void)
{
    static const struct table_column columns[] = {{"constellation", "Constellation", NULL, 0},
                                                  {"bits", "Bits a cell", NULL, 0},
                                                  {"length_64800", "64800", NULL, 0},
                                                  {"length_16200", "16200", NULL, 0}};
    struct table table = TABLE(columns);
    for (int i = 0; i < CONSTELLATION_COUNT; i++) {
        table_word(&table, constellation_name((enum constellation)i));
        table_whole(&table, constellation_bits((enum constellation)i));
        table_bool(&table, constellation_is_allowed(LENGTH_64800, (enum constellation)i));
        table_bool(&table, constellation_is_allowed(LENGTH_16200, (enum constellation)i));
    }
    return table;
}

struct table fact_interleavers(void)
{
    static const struct table_column columns[] = {{"interleaver", "Interleaver", NULL, 0},
                                                  {"rows", "Rows", NULL, 0},
                                                  {"memory_cells", "Memory", "cells", 0},
                                                  {"qpsk_only", "QPSK only", NULL, 0}};
    struct table table = TABLE(columns);
    for (int i = 0; i < HTI_1; i++) {
        table_word(&table, interleaver_name((enum interleaver)i));
        table_whole(&table, interleaver_rows((enum interleaver)i));
        table_whole(&table, interleaver_memory_cells((enum interleaver)i));
        table_bool(&table, !interleaver_is_allowed(QAM256, (enum interleaver)i));
    }
    return table;
}

struct table fact_channels(void)
{
    static const struct table_column columns[] = {
        {"channel", "Channel", NULL, 0}, {"low_mhz", "From", "MHz", 0},
        {"high_mhz", "To", "MHz", 0},    {"center_mhz", "Centre", "MHz", 1},
        {"band", "Band", NULL, 0},       {"pair", "Pair", NULL, 0}};
    struct table table = TABLE(columns);
    for (int i = 0; i < PAIR_COUNT * (RF_CHANNEL_MAX + 1); i++) {
        int channel = i % (RF_CHANNEL_MAX + 1);
        enum pair pair = (enum pair)(i / (RF_CHANNEL_MAX + 1));
        if (!rf_channel_exists(pair_plan(pair), channel)) {
            continue;
        }
        double center_mhz = rf_center_mhz(pair_plan(pair), channel);
        double half_mhz = rf_width_mhz(pair_plan(pair), channel) / 2.0;
        table_whole(&table, channel);
        table_number(&table, center_mhz - half_mhz);
        table_number(&table, center_mhz + half_mhz);
        table_number(&table, center_mhz);
        table_word(&table, band_name(rf_band(center_mhz)));
        table_word(&table, pair_name(pair));
    }
    return table;
}
