#ifndef STANDARD_ATSC3_WAVEFORM_H
#define STANDARD_ATSC3_WAVEFORM_H

#include <stdbool.h>

/* What is chosen of an OFDM waveform of the second generation (ATSC A/322:2024-04 sections 7 and
 * 8), never what follows from it: that is in grid.h and cells.h. */

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

#define BOOST_MAX 4
#define REDUCTION_MAX 4

struct waveform {
    int bandwidth_mhz; /* 6, 7 or 8 */
    enum fft_size fft;
    enum guard guard;
    enum pilots pilots;
    int boost;     /* scattered pilot boost, 0..4 */
    int reduction; /* carrier reduction coefficient c, 0..4 */
};

/* Names as in profiles and reports: "16K", "GI5_1024", "SP12_2". */
const char *fft_name(enum fft_size fft);
const char *guard_name(enum guard guard);
const char *pilots_name(enum pilots pilots);

/* Plain numbers behind the names. */
int fft_points(enum fft_size fft);
int guard_samples(enum guard guard);
int pilots_dx(enum pilots pilots);
int pilots_dy(enum pilots pilots);

/* What may go together. */
bool guard_is_allowed(enum fft_size fft, enum guard guard); /* ATSC A/322:2024-04 Table 8.3 */
bool pilots_are_allowed(enum fft_size fft, enum guard guard, enum pilots pilots); /* Table 8.3 */

/* The pattern allowed with the waveform's FFT size and guard interval that is nearest to its own:
 * same repetition Dy before same spacing Dx, and the spacing by its ratio. */
enum pilots pilots_nearest(const struct waveform *waveform);

#endif
