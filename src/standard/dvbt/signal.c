/* DVB-T, ETSI EN 300 744 V1.6.1: figures that follow from what is chosen.
 *
 * Everything counts in the elementary period T = 7/(8 B) us, B the channel's width in MHz: the
 * useful part lasts 2048, 4096 or 8192 T. Of the carriers every twelfth is a scattered pilot, three
 * places on from symbol to symbol; with continual pilots and signalling (TPS) that leaves 1512,
 * 3024 or 6048 cells in every symbol. Net rate = cells x bits x code rate x 188/204 / symbol time,
 * the same for all three sizes: 6.75 B/8 x bits x rate x (188/204) / (1 + guard). Worked number: 8
 * MHz, 64QAM 2/3, guard 1/32: 24.128 Mbit/s (table 17). */
#include "standard/dvbt/signal.h"

#include <stddef.h>
#include <string.h>

#include "base/text.h"

/* Tables 4 and 5; annex F for 4K. */
static const struct {
    const char *name;
    int points, carriers, cells;
} fft_rows[DVBT_FFT_COUNT] = {[DVBT_2K] = {"2K", 2048, 1705, 1512},
                              [DVBT_4K] = {"4K", 4096, 3409, 3024},
                              [DVBT_8K] = {"8K", 8192, 6817, 6048}};

static const struct {
    const char *name;
    int divisor;
} guard_rows[DVBT_GUARD_COUNT] = {[DVBT_1_4] = {"1/4", 4},
                                  [DVBT_1_8] = {"1/8", 8},
                                  [DVBT_1_16] = {"1/16", 16},
                                  [DVBT_1_32] = {"1/32", 32}};

static const struct {
    const char *name;
    int bits;
} constellation_rows[DVBT_CONSTELLATION_COUNT] = {
    [DVBT_QPSK] = {"QPSK", 2}, [DVBT_16QAM] = {"16QAM", 4}, [DVBT_64QAM] = {"64QAM", 6}};

static const struct {
    const char *name;
    int kept, of;
} rate_rows[DVBT_RATE_COUNT] = {[DVBT_1_2] = {"1/2", 1, 2},
                                [DVBT_2_3] = {"2/3", 2, 3},
                                [DVBT_3_4] = {"3/4", 3, 4},
                                [DVBT_5_6] = {"5/6", 5, 6},
                                [DVBT_7_8] = {"7/8", 7, 8}};

static const struct {
    const char *name;
    int alpha;
} hierarchy_rows[DVBT_HIERARCHY_COUNT] = {[DVBT_PLAIN] = {"none", 1},
                                          [DVBT_ALPHA_1] = {"1", 1},
                                          [DVBT_ALPHA_2] = {"2", 2},
                                          [DVBT_ALPHA_4] = {"4", 4}};

static const char *const priority_names[DVBT_PRIORITY_COUNT] = {
    [DVBT_HIGH] = "high", [DVBT_LOW] = "low"};

/* Continual pilots and TPS carriers of 2K: tables 7 and 8. The larger sizes repeat them with a
 * period of 1704. */
#define PERIOD 1704
static const int16_t continual[] = {
    0,   48,   54,   87,   141,  156,  192,  201,  255,  279,  282,  333,  432,  450,  483,
    525, 531,  618,  636,  714,  759,  765,  780,  804,  873,  888,  918,  939,  942,  969,
    984, 1050, 1101, 1107, 1110, 1137, 1140, 1146, 1206, 1269, 1323, 1377, 1491, 1683, 1704};
static const int16_t tps[] = {34,  50,   209,  346,  413,  569,  595,  688, 790,
                              901, 1073, 1219, 1262, 1286, 1469, 1594, 1687};

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

const char *dvbt_fft_name(enum dvbt_fft fft)
{
    return (unsigned)fft < DVBT_FFT_COUNT ? fft_rows[fft].name : "?";
}

const char *dvbt_guard_name(enum dvbt_guard guard)
{
    return (unsigned)guard < DVBT_GUARD_COUNT ? guard_rows[guard].name : "?";
}

const char *dvbt_constellation_name(enum dvbt_constellation constellation)
{
    return (unsigned)constellation < DVBT_CONSTELLATION_COUNT
               ? constellation_rows[constellation].name
               : "?";
}

const char *dvbt_rate_name(enum dvbt_rate rate)
{
    return (unsigned)rate < DVBT_RATE_COUNT ? rate_rows[rate].name : "?";
}

const char *dvbt_hierarchy_name(enum dvbt_hierarchy hierarchy)
{
    return (unsigned)hierarchy < DVBT_HIERARCHY_COUNT ? hierarchy_rows[hierarchy].name : "?";
}

const char *dvbt_priority_name(enum dvbt_priority priority)
{
    return (unsigned)priority < DVBT_PRIORITY_COUNT ? priority_names[priority] : "?";
}

int dvbt_constellation_bits(enum dvbt_constellation constellation)
{
    return constellation_rows[constellation].bits;
}

double dvbt_rate_value(enum dvbt_rate rate)
{
    return (double)rate_rows[rate].kept / rate_rows[rate].of;
}

int dvbt_alpha(enum dvbt_hierarchy hierarchy)
{
    return hierarchy_rows[hierarchy].alpha;
}

enum status dvbt_check(const struct dvbt *mode, int bandwidth_mhz, struct fault *fault)
{
    if (bandwidth_mhz < 5 || bandwidth_mhz > 8) {
        return fault_set(fault, STATUS_ILLEGAL, "site.bandwidth_mhz", "5 to 8 MHz",
                         "%d MHz is no width of this system", bandwidth_mhz);
    }
    if (mode->hierarchy != DVBT_PLAIN && mode->constellation == DVBT_QPSK) {
        return fault_set(fault, STATUS_ILLEGAL, "dvbt.hierarchy", "none, or 16QAM or 64QAM",
                         "QPSK has no second stream");
    }
    return STATUS_OK;
}

void dvbt_repair(struct dvbt *mode)
{
    if (mode->constellation == DVBT_QPSK) {
        mode->hierarchy = DVBT_PLAIN;
    }
}

int dvbt_carriers(enum dvbt_fft fft)
{
    return fft_rows[fft].carriers;
}

int dvbt_data_cells(enum dvbt_fft fft)
{
    return fft_rows[fft].cells;
}

static void repeat(const int16_t *list, size_t count, int carriers, enum dvbt_carrier kind,
                   uint8_t *kinds)
{
    for (size_t i = 0; i < count; i++) {
        for (int k = list[i]; k < carriers; k += PERIOD) {
            kinds[k] = (uint8_t)kind;
        }
    }
}

int dvbt_map(enum dvbt_fft fft, int l, uint8_t *kinds)
{
    int carriers = dvbt_carriers(fft);
    memset(kinds, DVBT_CELL, (size_t)carriers);
    for (int k = DVBT_DX * (l % DVBT_DY); k < carriers; k += DVBT_DX * DVBT_DY) {
        kinds[k] = DVBT_SCATTERED;
    }
    repeat(continual, COUNT(continual), carriers, DVBT_CONTINUAL, kinds);
    repeat(tps, COUNT(tps), carriers, DVBT_TPS, kinds);
    return carriers;
}

/* Mean power of all carriers over a data carrier's; TPS carriers have that of data. */
static double mean_power(enum dvbt_fft fft)
{
    uint8_t kinds[DVBT_CARRIERS_MAX];
    int pilots = 0, carriers = dvbt_map(fft, 0, kinds);
    for (int k = 0; k < carriers; k++) {
        pilots += kinds[k] == DVBT_SCATTERED || kinds[k] == DVBT_CONTINUAL;
    }
    return 1.0 + pilots * (DVBT_PILOT_POWER - 1.0) / carriers;
}

struct ofdm_grid dvbt_grid(const struct dvbt *mode, int bandwidth_mhz)
{
    double rate_hz = bandwidth_mhz * 8e6 / 7.0;
    int points = fft_rows[mode->fft].points, carriers = dvbt_carriers(mode->fft);
    double useful_us = points * 1e6 / rate_hz;
    double guard_us = useful_us / guard_rows[mode->guard].divisor;
    return (struct ofdm_grid){
        .sample_rate_hz = rate_hz,
        .useful_us = useful_us,
        .guard_us = guard_us,
        .symbol_us = useful_us + guard_us,
        .spacing_hz = rate_hz / points,
        .carriers = carriers,
        .occupied_mhz = carriers * (rate_hz / points) / 1e6,
        .dx = DVBT_DX,
        .dy = DVBT_DY,
        .pilot_power = DVBT_PILOT_POWER,
        .mean_power = mean_power(mode->fft),
    };
}

int dvbt_stream_bits(const struct dvbt *mode)
{
    int bits = dvbt_constellation_bits(mode->constellation);
    if (mode->hierarchy == DVBT_PLAIN) {
        return bits;
    }
    return mode->priority == DVBT_HIGH ? 2 : bits - 2;
}

enum dvbt_rate dvbt_stream_rate(const struct dvbt *mode)
{
    bool low = mode->hierarchy != DVBT_PLAIN && mode->priority == DVBT_LOW;
    return low ? mode->low_rate : mode->rate;
}

#define PACKET_BYTES 188.0
#define CODED_PACKET_BYTES 204.0

static double mbps(const struct dvbt *mode, int bandwidth_mhz, int bits, enum dvbt_rate rate)
{
    double useful_us = fft_rows[mode->fft].points * 7.0 / (8.0 * bandwidth_mhz);
    double symbol_us = useful_us * (1.0 + 1.0 / guard_rows[mode->guard].divisor);
    return dvbt_data_cells(mode->fft) * bits * dvbt_rate_value(rate) *
           (PACKET_BYTES / CODED_PACKET_BYTES) / symbol_us;
}

double dvbt_stream_mbps(const struct dvbt *mode, int bandwidth_mhz)
{
    return mbps(mode, bandwidth_mhz, dvbt_stream_bits(mode), dvbt_stream_rate(mode));
}

double dvbt_net_mbps(const struct dvbt *mode, int bandwidth_mhz)
{
    int bits = dvbt_constellation_bits(mode->constellation);
    if (mode->hierarchy == DVBT_PLAIN) {
        return mbps(mode, bandwidth_mhz, bits, mode->rate);
    }
    return mbps(mode, bandwidth_mhz, 2, mode->rate) +
           mbps(mode, bandwidth_mhz, bits - 2, mode->low_rate);
}
