#ifndef STANDARD_VSB_SIGNAL_H
#define STANDARD_VSB_SIGNAL_H

/* The first generation's transmission: 8-VSB, ATSC A/53 Part 2. Nothing can be chosen. */

#define VSB_CHANNEL_MHZ 6.0     /* no other is laid down */
#define VSB_SEGMENT_SYMBOLS 832 /* of which 4 are segment sync */
#define VSB_SEGMENT_DATA_SYMBOLS 828
#define VSB_FIELD_SEGMENTS 313 /* of which 1 is field sync */
#define VSB_FIELD_DATA_SEGMENTS 312
#define VSB_RS_BYTES 207
#define VSB_RS_DATA_BYTES 187
#define VSB_RS_CORRECTABLE 10
#define VSB_TRELLIS_ENCODERS 12
#define VSB_INTERLEAVER_BRANCHES 52
#define VSB_INTERLEAVER_UNIT 4
#define VSB_PACKET_BYTES 188
#define VSB_ROLL_OFF 0.1152
#define VSB_PILOT_LEVEL 1.25
#define VSB_BITS_PER_SYMBOL_CODED 2 /* of the rate-2/3 trellis code's 3 */

double vsb_symbol_rate_hz(void); /* 4.5 MHz x 684 / 286 */
double vsb_symbol_us(void);
double vsb_net_mbps(void);        /* 188-byte packets, derived from the structure */
double vsb_pilot_db(void);        /* power with pilot over power without, 0.3 dB */
double vsb_pilot_offset_hz(void); /* above the lower channel edge, 309.44 kHz */
double vsb_pilot_below_hz(void);  /* below the centre of the 6 MHz channel, 2.690559 MHz */

#endif
