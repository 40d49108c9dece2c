#ifndef STANDARD_ATSC3_MODE_H
#define STANDARD_ATSC3_MODE_H

#include <stdbool.h>

#include "base/status.h"

/* The choices that make a transmission mode of the second generation (ATSC A/322:2024-04): what
 * was chosen, never what follows from it. Derived values are in numerology.h, cells.h, frame.h
 * and payload.h. */

enum fft_size { FFT_8K, FFT_16K, FFT_32K, FFT_COUNT };

enum guard { /* Table 8.9's names: the number after the underscore is the length in samples */
             GI1_192,
             GI2_384,
             GI3_512,
             GI4_768,
             GI5_1024,
             GI6_1536,
             GI7_2048,
             GI8_2432,
             GI9_3072,
             GI10_3648,
             GI11_4096,
             GI12_4864,
             GUARD_COUNT
};

enum pilots { /* SPx_y: Dx = x carriers apart, the pattern repeats after Dy = y symbols */
              SP3_2,
              SP3_4,
              SP4_2,
              SP4_4,
              SP6_2,
              SP6_4,
              SP8_2,
              SP8_4,
              SP12_2,
              SP12_4,
              SP16_2,
              SP16_4,
              SP24_2,
              SP24_4,
              SP32_2,
              SP32_4,
              PILOTS_COUNT
};

enum constellation { QPSK, QAM16, QAM64, QAM256, QAM1024, QAM4096, CONSTELLATION_COUNT };
enum code_length { LENGTH_64800, LENGTH_16200, LENGTH_COUNT };
enum outer_code { OUTER_BCH, OUTER_CRC, OUTER_NONE, OUTER_COUNT };

enum interleaver { /* convolutional time interleaver depths (rows); EXTENDED is for QPSK only */
                   INTERLEAVER_NONE,
                   CTI_512,
                   CTI_724,
                   CTI_887,
                   CTI_1024,
                   CTI_1254_EXTENDED,
                   CTI_1448_EXTENDED,
                   INTERLEAVER_COUNT
};

#define RATE_MIN_15THS 2
#define RATE_MAX_15THS 13
#define RATE_COUNT (RATE_MAX_15THS - RATE_MIN_15THS + 1)
#define BOOST_MAX 4
#define REDUCTION_MAX 4

struct mode {
    int bandwidth_mhz; /* 6, 7 or 8 */
    enum fft_size fft;
    enum guard guard;
    enum pilots pilots;
    int boost;     /* scattered pilot boost, 0..4 */
    int reduction; /* carrier reduction coefficient c, 0..4 */
    enum code_length length;
    int rate_15ths; /* 2..13 */
    enum constellation constellation;
    enum outer_code outer;
    double frame_ms; /* asked length of the frame, 50..5000 */
    bool first_boundary;
    int l1_basic_mode;  /* 1..7 */
    int l1_detail_mode; /* 1..7 */
    int l1_detail_bits; /* L1-Detail information bits, 200..6312: see frame.h */
    enum interleaver interleaver;
};

/* The default mode of the project's profiles; legal. */
struct mode mode_default(void);

/* Names as in profiles and reports: "16K", "GI5_1024", "SP12_2", "256QAM", "64800", "BCH",
 * "CTI 1024". */
const char *fft_name(enum fft_size fft);
const char *guard_name(enum guard guard);
const char *pilots_name(enum pilots pilots);
const char *constellation_name(enum constellation constellation);
const char *code_length_name(enum code_length length);
const char *outer_code_name(enum outer_code outer);
const char *interleaver_name(enum interleaver interleaver);

/* The other way, ignoring case; -1 where no name fits. */
int fft_from_name(const char *name);
int guard_from_name(const char *name);
int pilots_from_name(const char *name);
int constellation_from_name(const char *name);
int code_length_from_name(const char *name);
int outer_code_from_name(const char *name);
int interleaver_from_name(const char *name);

/* Plain numbers behind the names. */
int fft_points(enum fft_size fft);
int guard_samples(enum guard guard);
int pilots_dx(enum pilots pilots);
int pilots_dy(enum pilots pilots);
int constellation_bits(enum constellation constellation); /* bits per cell: 2, 4, ... 12 */
int code_length_bits(enum code_length length);
int interleaver_rows(enum interleaver interleaver); /* 0 for none */

/* What may go together. */
bool guard_is_allowed(enum fft_size fft, enum guard guard); /* ATSC A/322:2024-04 Table 8.3 */
bool pilots_are_allowed(enum fft_size fft, enum guard guard, enum pilots pilots); /* Table 8.3 */
bool constellation_is_allowed(enum code_length length, enum constellation constellation);
bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver);

/* STATUS_OK for a legal mode; else a fault whose place is the profile's key ("mode.pilots") and
 * whose `allowed` lists what is legal there. */
enum status mode_check(const struct mode *mode, struct fault *fault);

/* Makes a mode legal again after one of its choices changed, by moving the other choices to the
 * nearest legal ones (guard, pilots, constellation, interleaver). Returns how many were moved. */
int mode_repair(struct mode *mode);

#endif
