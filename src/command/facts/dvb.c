/* Tables of the second pair's documents, each read from where the program itself takes it. */
#include <math.h>

#include "base/units.h"
#include "command/facts/facts.h"
#include "physics/information/dvbt2_snr.h"
#include "physics/information/dvbt_snr.h"
#include "standard/dvbt/signal.h"
#include "standard/dvbt2/frame.h"

#define TABLE(columns) table_start(columns, sizeof(columns) / sizeof(columns)[0])
#define WIDTH_MHZ 8 /* of the channel, where one stands for all */

struct table fact_dvbt(void)
{
    static const struct table_column columns[] = {
        {"bandwidth_mhz", "Channel", "MHz", 0},  {"fft", "FFT", NULL, 0},
        {"useful_us", "Useful symbol", "us", 1}, {"guard_us", "Guard 1/4", "us", 1},
        {"spacing_hz", "Spacing", "Hz", 1},      {"occupied_mhz", "Occupied", "MHz", 3},
        {"carriers", "Carriers", NULL, 0},       {"data_cells", "Data cells", NULL, 0}};
    struct table table = TABLE(columns);
    for (int width_mhz = 5; width_mhz <= 8; width_mhz++) {
        for (int fft = 0; fft < DVBT_FFT_COUNT; fft++) {
            struct dvbt mode = {.fft = (enum dvbt_fft)fft, .guard = DVBT_1_4};
            struct ofdm_grid grid = dvbt_grid(&mode, width_mhz);
            table_whole(&table, width_mhz);
            table_word(&table, dvbt_fft_name(mode.fft));
            table_number(&table, grid.useful_us);
            table_number(&table, grid.guard_us);
            table_number(&table, grid.spacing_hz);
            table_number(&table, grid.occupied_mhz);
            table_whole(&table, grid.carriers);
            table_whole(&table, dvbt_data_cells(mode.fft));
        }
    }
    return table;
}

struct table fact_dvbt_rates(void)
{
    static const struct table_column columns[] = {
        {"constellation", "Constellation", NULL, 0}, {"rate", "Code rate", NULL, 0},
        {"guard_1_4", "Guard 1/4", "Mbit/s", 3},     {"guard_1_8", "1/8", "Mbit/s", 3},
        {"guard_1_16", "1/16", "Mbit/s", 3},         {"guard_1_32", "1/32", "Mbit/s", 3}};
    static const enum dvbt_guard guards[] = {DVBT_1_4, DVBT_1_8, DVBT_1_16, DVBT_1_32};
    struct table table = TABLE(columns);
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_RATE_COUNT; i++) {
        struct dvbt mode = {.constellation = (enum dvbt_constellation)(i / DVBT_RATE_COUNT),
                            .rate = (enum dvbt_rate)(i % DVBT_RATE_COUNT)};
        table_word(&table, dvbt_constellation_name(mode.constellation));
        table_word(&table, dvbt_rate_name(mode.rate));
        for (size_t g = 0; g < sizeof guards / sizeof guards[0]; g++) {
            mode.guard = guards[g];
            table_number(&table, dvbt_net_mbps(&mode, WIDTH_MHZ));
        }
    }
    return table;
}

static void add_dvbt_need(struct table *table, const struct dvbt *mode)
{
    double pilots_db = db_from_ratio(dvbt_grid(mode, WIDTH_MHZ).mean_power);
    bool plain = mode->hierarchy == DVBT_PLAIN;
    table_word(table, dvbt_constellation_name(mode->constellation));
    table_word(table, dvbt_rate_name(dvbt_stream_rate(mode)));
    table_word(table, dvbt_hierarchy_name(mode->hierarchy));
    table_word(table, plain ? NULL : dvbt_priority_name(mode->priority));
    table_number(table, dvbt_limit_db(mode, FADING_AWGN) + pilots_db);
    table_number(table, dvbt_ideal_snr(mode, FADING_AWGN).db + pilots_db);
    table_number(table, dvbt_ideal_snr(mode, FADING_RAYLEIGH).db + pilots_db);
    table_number(table, dvbt_published_snr(mode, FADING_AWGN).snr_db);
}

struct table fact_dvbt_thresholds(void)
{
    static const struct table_column columns[] = {{"constellation", "Constellation", NULL, 0},
                                                  {"rate", "Code rate", NULL, 0},
                                                  {"alpha", "Alpha", NULL, 0},
                                                  {"priority", "Stream", NULL, 0},
                                                  {"limit_db", "Limit", "dB", 2},
                                                  {"ideal_db", "Ideal", "dB", 2},
                                                  {"rayleigh_db", "Rayleigh", "dB", 2},
                                                  {"published_db", "Table A.1", "dB", 1}};
    struct table table = TABLE(columns);
    for (int i = 0; i < DVBT_CONSTELLATION_COUNT * DVBT_HIERARCHY_COUNT; i++) {
        struct dvbt mode = {.fft = DVBT_8K,
                            .constellation = (enum dvbt_constellation)(i / DVBT_HIERARCHY_COUNT),
                            .hierarchy = (enum dvbt_hierarchy)(i % DVBT_HIERARCHY_COUNT)};
        bool plain = mode.hierarchy == DVBT_PLAIN;
        for (int k = 0; k < DVBT_PRIORITY_COUNT * DVBT_RATE_COUNT; k++) {
            mode.priority = (enum dvbt_priority)(k / DVBT_RATE_COUNT);
            mode.rate = mode.low_rate = (enum dvbt_rate)(k % DVBT_RATE_COUNT);
            bool is = plain ? mode.priority == DVBT_HIGH : mode.constellation != DVBT_QPSK;
            if (is) {
                add_dvbt_need(&table, &mode);
            }
        }
    }
    return table;
}

struct table fact_dvbt2(void)
{
    static const struct table_column columns[] = {
        {"fft", "FFT", NULL, 0},
        {"extended", "Carriers", NULL, 0},
        {"useful_us", "Useful symbol", "us", 1},
        {"spacing_hz", "Spacing", "Hz", 1},
        {"carriers", "Count", NULL, 0},
        {"occupied_mhz", "Occupied", "MHz", 3},
        {"p2_symbols", "P2 symbols", NULL, 0},
        {"p2_cells", "Cells of each", NULL, 0},
    };
    struct table table = TABLE(columns);
    for (int i = 0; i < 2 * T2_FFT_COUNT; i++) {
        struct t2_waveform waveform = {.fft = (enum t2_fft)(i / 2), .extended = i % 2 == 1};
        if (waveform.extended && !t2_extended_is_allowed(waveform.fft)) {
            continue;
        }
        t2_waveform_repair(&waveform);
        struct ofdm_grid grid = t2_grid(&waveform, WIDTH_MHZ);
        table_word(&table, t2_fft_name(waveform.fft));
        table_word(&table, waveform.extended ? "extended" : "normal");
        table_number(&table, grid.useful_us);
        table_number(&table, grid.spacing_hz);
        table_whole(&table, grid.carriers);
        table_number(&table, grid.occupied_mhz);
        table_whole(&table, t2_p2_symbols(waveform.fft));
        table_whole(&table, t2_p2_cells(waveform.fft));
    }
    return table;
}

struct table fact_dvbt2_pilots(void)
{
    static const struct table_column columns[] = {
        {"fft", "FFT", NULL, 0},
        {"guard", "Guard", NULL, 0},
        {"guard_us", "Guard", "us", 1},
        {"pilots", "Pilots", NULL, 0},
        {"dx", "Dx", NULL, 0},
        {"dy", "Dy", NULL, 0},
        {"power_db", "Power", "dB", 2},
        {"data_cells", "Data cells", NULL, 0},
        {"closing_cells", "Closing symbol", NULL, 0},
    };
    struct table table = TABLE(columns);
    for (int i = 0; i < T2_FFT_COUNT * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        struct t2_waveform waveform = {.fft = (enum t2_fft)(i / T2_PILOTS_COUNT / T2_GUARD_COUNT),
                                       .guard =
                                           (enum t2_guard)(i / T2_PILOTS_COUNT % T2_GUARD_COUNT),
                                       .pilots = (enum t2_pilots)(i % T2_PILOTS_COUNT)};
        if (!t2_pilots_are_allowed(waveform.fft, waveform.guard, waveform.pilots)) {
            continue;
        }
        table_word(&table, t2_fft_name(waveform.fft));
        table_word(&table, t2_guard_name(waveform.guard));
        table_number(&table, t2_grid(&waveform, WIDTH_MHZ).guard_us);
        table_word(&table, t2_pilots_name(waveform.pilots));
        table_whole(&table, t2_pilots_dx(waveform.pilots));
        table_whole(&table, t2_pilots_dy(waveform.pilots));
        table_number(&table, db_from_ratio(t2_pilots_power(waveform.pilots)));
        table_whole(&table, t2_data_cells(&waveform));
        table_number(&table, t2_has_closing(&waveform) ? (double)t2_closing_cells(&waveform) : NAN);
    }
    return table;
}

struct table fact_dvbt2_codes(void)
{
    static const struct table_column columns[] = {
        {"length", "Length", "bits", 0},        {"rate", "Code rate", NULL, 0},
        {"true_rate", "True rate", NULL, 4},    {"ldpc_bits", "LDPC carries", "bits", 0},
        {"bch_bits", "BCH carries", "bits", 0}, {"corrects", "BCH repairs", "bits", 0}};
    struct table table = TABLE(columns);
    for (int i = 0; i < T2_LENGTH_COUNT * T2_PLP_RATES; i++) {
        enum t2_length length = (enum t2_length)(i / T2_PLP_RATES);
        enum t2_rate rate = (enum t2_rate)(i % T2_PLP_RATES);
        table_whole(&table, t2_length_bits(length));
        table_word(&table, t2_rate_name(rate));
        table_number(&table, t2_true_rate(length, rate));
        table_whole(&table, t2_ldpc_bits(length, rate));
        table_whole(&table, t2_bch_bits(length, rate));
        table_whole(&table, t2_bch_correctable(length, rate));
    }
    return table;
}

struct table fact_dvbt2_thresholds(void)
{
    static const struct table_column columns[] = {{"constellation", "Constellation", NULL, 0},
                                                  {"length", "Length", "bits", 0},
                                                  {"rate", "Code rate", NULL, 0},
                                                  {"limit_db", "Limit", "dB", 2},
                                                  {"ideal_db", "Ideal", "dB", 2},
                                                  {"rayleigh_db", "Rayleigh", "dB", 2},
                                                  {"rotated_db", "Rotated", "dB", 2},
                                                  {"published_db", "Genie-aided", "dB", 1}};
    struct table table = TABLE(columns);
    for (int i = 0; i < T2_CONSTELLATION_COUNT * T2_LENGTH_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {.length = (enum t2_length)(i / T2_PLP_RATES % T2_LENGTH_COUNT),
                               .constellation =
                                   (enum t2_constellation)(i / T2_PLP_RATES / T2_LENGTH_COUNT),
                               .rate = (enum t2_rate)(i % T2_PLP_RATES)};
        table_word(&table, t2_constellation_name(code.constellation));
        table_whole(&table, t2_length_bits(code.length));
        table_word(&table, t2_rate_name(code.rate));
        table_number(&table, t2_limit_db(&code, FADING_AWGN));
        table_number(&table, t2_ideal_snr(&code, FADING_AWGN).db);
        table_number(&table, t2_ideal_snr(&code, FADING_RAYLEIGH).db);
        code.rotation = true;
        table_number(&table, t2_ideal_snr(&code, FADING_RAYLEIGH).db);
        table_number(&table, t2_published_snr(&code, FADING_AWGN).snr_db);
    }
    return table;
}
