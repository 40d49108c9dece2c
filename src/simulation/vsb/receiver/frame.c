/* Field sync (ATSC A/53 Part 2, from memory): four symbols of segment sync, a pseudo-random
 * sequence of 511, three of 63 (the second upside down in every other field), then what tells the
 * mode, is reserved, or repeats symbols: 128 in all, which a receiver knows as well; here the first
 * sequence goes on in their place. Generators x^9 + x^7 + x^6 + x^4 + x^3 + x + 1 and x^6 + x + 1.
 */
#include "simulation/vsb/receiver/frame.h"

#define LONG_SEQUENCE 511
#define SHORT_SEQUENCE 63
#define SHORT_ONES 3

struct vsb_air_place vsb_air_place(long at)
{
    long segment = at / VSB_SEGMENT_SYMBOLS, field = segment / VSB_FIELD_SEGMENTS;
    int within = (int)(at % VSB_SEGMENT_SYMBOLS) - 4;
    if (segment % VSB_FIELD_SEGMENTS == 0 || within < 0) {
        return (struct vsb_air_place){.known = true};
    }
    long data_segment = segment - field - 1;
    return (struct vsb_air_place){.lane = (int)((within + 4 * data_segment) % VSB_TRELLIS_ENCODERS),
                                  .step = (int)(VSB_SEGMENT_STEPS * data_segment) +
                                          within / VSB_TRELLIS_ENCODERS};
}

/* Chip `n` of the sequence of a shift register: `taps` say which cells are added to its input. */
static int chip(int n, int cells, unsigned taps, unsigned start)
{
    unsigned state = start;
    for (int i = 0; i < n; i++) {
        unsigned sum = state & taps;
        sum ^= sum >> 8;
        sum ^= sum >> 4;
        sum ^= sum >> 2;
        sum ^= sum >> 1;
        state = (state << 1 | (sum & 1)) & ((1u << cells) - 1);
    }
    return (int)(state >> (cells - 1) & 1);
}

float vsb_air_sync(long at)
{
    static const float segment_sync[4] = {5.0f, -5.0f, -5.0f, 5.0f};
    long segment = at / VSB_SEGMENT_SYMBOLS;
    int within = (int)(at % VSB_SEGMENT_SYMBOLS);
    if (within < 4) {
        return segment_sync[within];
    }
    int n = within - 4, up;
    if (n >= LONG_SEQUENCE && n < LONG_SEQUENCE + SHORT_ONES * SHORT_SEQUENCE) {
        n -= LONG_SEQUENCE;
        up = chip(n % SHORT_SEQUENCE, 6, 0x21, 0x27);
        up ^= n / SHORT_SEQUENCE == 1 && segment / VSB_FIELD_SEGMENTS % 2 == 1;
    } else {
        up = chip(n % LONG_SEQUENCE, 9, 0x16D, 0x080);
    }
    return up ? 5.0f : -5.0f;
}
