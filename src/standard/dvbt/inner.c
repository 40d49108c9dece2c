/* Inner code and interleaver of DVB-T by their tables, ETSI EN 300 744 V1.6.1. */
#include "standard/dvbt/inner.h"

#include <math.h>

#include "standard/register_order.h"

/* Table 2. */
static const struct dvbt_puncture puncture_rows[DVBT_RATE_COUNT] = {
    [DVBT_1_2] = {1, 1, 1},       [DVBT_2_3] = {2, 0x1, 0x3},   [DVBT_3_4] = {3, 0x5, 0x3},
    [DVBT_5_6] = {5, 0x15, 0x0B}, [DVBT_7_8] = {7, 0x51, 0x2F},
};

struct dvbt_puncture dvbt_puncture(enum dvbt_rate rate)
{
    return puncture_rows[rate];
}

/* 4.3.4.1. */
struct dvbt_demux dvbt_demux(const struct dvbt *mode)
{
    static const struct dvbt_demux plain[DVBT_CONSTELLATION_COUNT] = {
        [DVBT_QPSK] = {2, {0, 1}},
        [DVBT_16QAM] = {4, {0, 2, 1, 3}},
        [DVBT_64QAM] = {6, {0, 2, 4, 1, 3, 5}},
    };
    static const struct dvbt_demux low[DVBT_CONSTELLATION_COUNT] = {
        [DVBT_16QAM] = {2, {2, 3}},
        [DVBT_64QAM] = {4, {2, 4, 3, 5}},
    };
    if (mode->hierarchy == DVBT_PLAIN) {
        return plain[mode->constellation];
    }
    return mode->priority == DVBT_HIGH ? plain[DVBT_QPSK] : low[mode->constellation];
}

int dvbt_bit_from(int stream, int w)
{
    static const int shifts[6] = {0, 63, 105, 42, 21, 84};
    return (w + shifts[stream]) % DVBT_BIT_BLOCK;
}

/* 4.3.4.2: register bits that feed back, and where each bit of R', from the top one down, goes. */
static const struct {
    int bits;
    unsigned feedback;
    uint8_t wires[12];
} order_rows[DVBT_FFT_COUNT] = {
    [DVBT_2K] = {10, 0x009, {0, 7, 5, 1, 8, 2, 6, 9, 3, 4}},
    [DVBT_4K] = {11, 0x005, {7, 10, 5, 8, 1, 2, 4, 9, 0, 3, 6}},
    [DVBT_8K] = {12, 0x053, {5, 11, 3, 0, 10, 8, 6, 9, 2, 4, 1, 7}},
};

void dvbt_symbol_order(enum dvbt_fft fft, uint16_t *order)
{
    const struct register_order rule = {order_rows[fft].bits, order_rows[fft].feedback,
                                        order_rows[fft].wires};
    register_order_fill(&rule, dvbt_data_cells(fft), order);
}

/* 4.3.5: Gray codes as DVB-T2's table 14; a hierarchy's quadrants lie alpha - 1 further out. */
int dvbt_levels(const struct dvbt *mode, double *levels)
{
    int count = 1 << (dvbt_constellation_bits(mode->constellation) / 2), half = count / 2;
    double power = 0.0;
    for (int i = 0; i < half; i++) {
        int place = i ^ i >> 1;
        levels[i] = 2 * (half - 1 - place) + dvbt_alpha(mode->hierarchy);
        power += 2.0 * levels[i] * levels[i] / half;
    }
    for (int i = 0; i < half; i++) {
        levels[i] /= sqrt(power);
        levels[half + i] = -levels[i];
    }
    return count;
}
