/* 8-VSB, ATSC A/53 Part 2: figures that follow from its structure.
 *
 * The symbol rate is tied to the colour television line: 4.5 MHz x 684 / 286 = 10.762237 MHz. A
 * segment of 832 symbols carries one Reed-Solomon word: 828 symbols x 2 bits = 207 bytes, 187 of
 * them data, standing for a packet of 188 bytes whose sync byte is not sent; 312 of the 313
 * segments of a field carry data. Net rate = symbol rate / 832 x 312 / 313 x 188 x 8 =
 * 19.392658 Mbit/s. */
#include "standard/vsb/signal.h"

#include <math.h>

_Static_assert(VSB_SEGMENT_DATA_SYMBOLS *VSB_BITS_PER_SYMBOL_CODED == VSB_RS_BYTES * 8,
               "a segment carries one Reed-Solomon word");
_Static_assert(VSB_RS_BYTES - VSB_RS_DATA_BYTES == 2 * VSB_RS_CORRECTABLE,
               "two parity bytes for each byte that can be corrected");
_Static_assert(VSB_RS_DATA_BYTES == VSB_PACKET_BYTES - 1, "the sync byte is not sent");

double vsb_symbol_rate_hz(void)
{
    return 4.5e6 * 684.0 / 286.0;
}

double vsb_symbol_us(void)
{
    return 1e6 / vsb_symbol_rate_hz();
}

double vsb_net_mbps(void)
{
    double segments_hz = vsb_symbol_rate_hz() / VSB_SEGMENT_SYMBOLS;
    double packets_hz = segments_hz * VSB_FIELD_DATA_SEGMENTS / VSB_FIELD_SEGMENTS;
    return packets_hz * VSB_PACKET_BYTES * 8 / 1e6;
}

double vsb_pilot_db(void)
{
    double data_power = (1.0 + 9.0 + 25.0 + 49.0) / 4.0; /* levels +-1, 3, 5, 7 */
    return 10.0 * log10(1.0 + VSB_PILOT_LEVEL * VSB_PILOT_LEVEL / data_power);
}

double vsb_pilot_offset_hz(void)
{
    /* The Nyquist band, half the symbol rate, lies in the middle of the channel. */
    return (VSB_CHANNEL_MHZ * 1e6 - vsb_symbol_rate_hz() / 2.0) / 2.0;
}

double vsb_pilot_below_hz(void)
{
    return 3e6 - vsb_pilot_offset_hz();
}
