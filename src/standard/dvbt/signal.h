#ifndef STANDARD_DVBT_SIGNAL_H
#define STANDARD_DVBT_SIGNAL_H

#include <stdbool.h>
#include <stdint.h>

#include "base/status.h"
#include "standard/ofdm_grid.h"

/* DVB-T, ETSI EN 300 744 V1.6.1: what can be chosen, and what follows from it. */

enum dvbt_fft { DVBT_2K, DVBT_4K, DVBT_8K, DVBT_FFT_COUNT };
enum dvbt_guard { DVBT_1_4, DVBT_1_8, DVBT_1_16, DVBT_1_32, DVBT_GUARD_COUNT };
enum dvbt_constellation { DVBT_QPSK, DVBT_16QAM, DVBT_64QAM, DVBT_CONSTELLATION_COUNT };
enum dvbt_rate { DVBT_1_2, DVBT_2_3, DVBT_3_4, DVBT_5_6, DVBT_7_8, DVBT_RATE_COUNT };
/* Hierarchical: the distance between quadrants over the distance within one is alpha. */
enum dvbt_hierarchy { DVBT_PLAIN, DVBT_ALPHA_1, DVBT_ALPHA_2, DVBT_ALPHA_4, DVBT_HIERARCHY_COUNT };
enum dvbt_priority { DVBT_HIGH, DVBT_LOW, DVBT_PRIORITY_COUNT };

struct dvbt {
    enum dvbt_fft fft;
    enum dvbt_guard guard;
    enum dvbt_constellation constellation;
    enum dvbt_rate rate; /* of the one stream, or of the high priority one */
    enum dvbt_hierarchy hierarchy;
    enum dvbt_priority priority; /* which stream the receiver looks at, where there are two */
    enum dvbt_rate low_rate;
};

/* Names as in profiles: "8K", "1/4", "64QAM", "2/3"; "none", "1", "2", "4"; "high", "low". */
const char *dvbt_fft_name(enum dvbt_fft fft);
const char *dvbt_guard_name(enum dvbt_guard guard);
const char *dvbt_constellation_name(enum dvbt_constellation constellation);
const char *dvbt_rate_name(enum dvbt_rate rate);
const char *dvbt_hierarchy_name(enum dvbt_hierarchy hierarchy);
const char *dvbt_priority_name(enum dvbt_priority priority);

/* Plain numbers behind the names. */
int dvbt_constellation_bits(enum dvbt_constellation constellation);
double dvbt_rate_value(enum dvbt_rate rate);
int dvbt_alpha(enum dvbt_hierarchy hierarchy); /* 1, 2, 4; 1 where there is none */

/* 5 to 8 MHz; a hierarchy needs a constellation with more than four points. */
enum status dvbt_check(const struct dvbt *mode, int bandwidth_mhz, struct fault *fault);

/* Without a hierarchy where the constellation has no room for one. */
void dvbt_repair(struct dvbt *mode);

/* ---- Carriers: EN 300 744 4.4 and 4.5, tables 4 to 8. ---- */

enum dvbt_carrier { DVBT_CELL, DVBT_SCATTERED, DVBT_CONTINUAL, DVBT_TPS };
#define DVBT_CARRIERS_MAX 6817
int dvbt_carriers(enum dvbt_fft fft);   /* 1705, 3409, 6817 */
int dvbt_data_cells(enum dvbt_fft fft); /* 1512, 3024, 6048 in every symbol */
/* What each carrier of symbol `l` (0..67) carries; returns how many carriers there are. */
int dvbt_map(enum dvbt_fft fft, int l, uint8_t *kinds);

/* Over a data carrier's power: pilots have 16/9. */
#define DVBT_PILOT_POWER (16.0 / 9.0)
#define DVBT_DX 3
#define DVBT_DY 4

/* In 5 to 8 MHz: the elementary period is 7/(8 B), 4.4. */
struct ofdm_grid dvbt_grid(const struct dvbt *mode, int bandwidth_mhz);

/* ---- What it carries. ---- */

#define DVBT_FRAME_SYMBOLS 68
/* Bits a cell of the stream that is looked at, and its code rate. */
int dvbt_stream_bits(const struct dvbt *mode);
enum dvbt_rate dvbt_stream_rate(const struct dvbt *mode);
/* Packets of 188 bytes, after RS(204,188); of one stream, or of all. */
double dvbt_stream_mbps(const struct dvbt *mode, int bandwidth_mhz);
double dvbt_net_mbps(const struct dvbt *mode, int bandwidth_mhz);

#endif
