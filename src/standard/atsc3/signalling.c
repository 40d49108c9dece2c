/* L1-Detail's length, field by field, and the preamble's structure.
 *
 * Length (ATSC A/322:2024-04 Tables 9.8 and 9.9; field widths confirmed by three stations' own):
 *     7 + 19 a bonded channel + time + sum over subframes [33 but for the first + 1 where there are
 *     several + 1 + 13 with a boundary symbol + 6 + sum over PLPs] + 16 + 32
 * Worked number: one PLP with a convolutional interleaver, no time: 7 + 1 + 13 + 6 + 110 + 16 + 32
 * = 185 bits, sent as 25 bytes. */
#include "standard/atsc3/signalling.h"

#include "standard/atsc3/pilots.h"

enum {
    HEAD_BITS = 4 + 3,        /* version, num_rf */
    BONDED_BITS = 16 + 3,     /* for the other channel */
    LATER_SUBFRAME_BITS = 33, /* what L1-Basic tells of the first */
    NULL_CELLS_BITS = 13,     /* with a boundary symbol */
    PLP_COUNT_BITS = 6,
    PLP_BITS = 73,                   /* to L1D_plp_TI_mode */
    PLP_NO_TI_BITS = 15,             /* where the first block starts */
    PLP_CTI_BITS = 22,               /* the same */
    PLP_BONDED_BITS = 3 + 2 + 2 * 3, /* channels, format, a number for each channel */
    PLP_TYPE_BITS = 1,
    PLP_DISPERSED_BITS = 14 + 24,
    PLP_EXTENDED_BITS = 1,
    PLP_CTI_CORE_BITS = 3 + 11,
    PLP_HTI_BITS = 1 + 4 + 12 + 1, /* and 12 for each number of code blocks */
    PLP_HTI_BLOCKS_BITS = 12,
    PLP_ENHANCED_BITS = 5,
    BSID_BITS = 16,
    CRC_BITS = 32,
    DETAIL_BYTES_MIN = 25
};

static const int time_bits[TIME_INFO_COUNT] = {
    [TIME_NONE] = 0, [TIME_MS] = 42, [TIME_US] = 52, [TIME_NS] = 62};

static int core_bits(const struct plp *plp)
{
    enum interleaver_kind kind = interleaver_kind(plp->interleaver);
    int bits = PLP_TYPE_BITS + (plp->subslices > 1 ? PLP_DISPERSED_BITS : 0);
    if (kind != INTERLEAVES_NOT && plp->code.constellation == QPSK) {
        bits += PLP_EXTENDED_BITS;
    }
    if (kind == INTERLEAVES_ROWS) {
        bits += PLP_CTI_CORE_BITS;
    } else if (kind == INTERLEAVES_BLOCKS) {
        int told =
            interleaver_is_inter(plp->interleaver) ? interleaver_ti_blocks(plp->interleaver) : 1;
        bits += PLP_HTI_BITS + told * PLP_HTI_BLOCKS_BITS;
    }
    return bits;
}

static int plp_bits(const struct transmission *transmission, int i)
{
    const struct plp *plp = &transmission->plps[i];
    int core = plp_core(transmission, i);
    enum interleaver_kind kind =
        interleaver_kind(transmission->plps[core < 0 ? i : core].interleaver);
    int bits = PLP_BITS;
    bits += kind == INTERLEAVES_NOT ? PLP_NO_TI_BITS : kind == INTERLEAVES_ROWS ? PLP_CTI_BITS : 0;
    bits += transmission->bonding != BONDING_NONE ? PLP_BONDED_BITS : 0;
    return bits + (plp->layer == LAYER_CORE ? core_bits(plp) : PLP_ENHANCED_BITS);
}

int signalling_detail_count(const struct transmission *transmission)
{
    int subframes = transmission_subframes(transmission);
    int bits = HEAD_BITS + BSID_BITS + CRC_BITS;
    bits += transmission->bonding != BONDING_NONE ? BONDED_BITS : 0;
    bits += time_bits[transmission->signalling.time_info];
    for (int i = 0; i < subframes; i++) {
        const struct subframe *subframe = &transmission->subframes[i];
        bits += i > 0 ? LATER_SUBFRAME_BITS : 0;
        bits += (subframes > 1) + 1;
        bits += subframe->first_boundary || subframe->last_boundary ? NULL_CELLS_BITS : 0;
        bits += PLP_COUNT_BITS;
    }
    for (int i = 0; i < transmission_plps(transmission); i++) {
        bits += plp_bits(transmission, i);
    }
    return bits;
}

int signalling_detail_bits(const struct transmission *transmission)
{
    int bytes = (signalling_detail_count(transmission) + 7) / 8;
    return 8 * (bytes < DETAIL_BYTES_MIN ? DETAIL_BYTES_MIN : bytes);
}

struct waveform signalling_preamble(const struct transmission *transmission)
{
    const struct signalling *signalling = &transmission->signalling;
    struct waveform waveform = transmission->subframes[0].waveform;
    if (signalling->preamble_fft != CHOSEN_BY_NONE) {
        waveform.fft = (enum fft_size)signalling->preamble_fft;
    }
    if (signalling->preamble_guard != CHOSEN_BY_NONE) {
        waveform.guard = (enum guard)signalling->preamble_guard;
    }
    if (signalling->preamble_reduction != CHOSEN_BY_NONE) {
        waveform.reduction = signalling->preamble_reduction;
    }
    return waveform;
}

/* A/322:2024-04 Table H.1.1: five values a row, one for each of the modes 1 to 5 of L1-Basic. */
#define MODES_TOLD 5
static const struct {
    enum fft_size fft;
    enum guard guard;
    int dx;
} structures[] = {
    {FFT_8K, GI1_192, 16},   {FFT_8K, GI2_384, 8},    {FFT_8K, GI3_512, 6},
    {FFT_8K, GI4_768, 4},    {FFT_8K, GI5_1024, 3},   {FFT_8K, GI6_1536, 4},
    {FFT_8K, GI7_2048, 3},   {FFT_16K, GI1_192, 32},  {FFT_16K, GI2_384, 16},
    {FFT_16K, GI3_512, 12},  {FFT_16K, GI4_768, 8},   {FFT_16K, GI5_1024, 6},
    {FFT_16K, GI6_1536, 4},  {FFT_16K, GI7_2048, 3},  {FFT_16K, GI8_2432, 3},
    {FFT_16K, GI9_3072, 4},  {FFT_16K, GI10_3648, 4}, {FFT_16K, GI11_4096, 3},
    {FFT_32K, GI1_192, 32},  {FFT_32K, GI2_384, 32},  {FFT_32K, GI3_512, 24},
    {FFT_32K, GI4_768, 16},  {FFT_32K, GI5_1024, 12}, {FFT_32K, GI6_1536, 8},
    {FFT_32K, GI7_2048, 6},  {FFT_32K, GI8_2432, 6},  {FFT_32K, GI9_3072, 8},
    {FFT_32K, GI9_3072, 3},  {FFT_32K, GI10_3648, 8}, {FFT_32K, GI10_3648, 3},
    {FFT_32K, GI11_4096, 3}, {FFT_32K, GI12_4864, 3},
};

_Static_assert(sizeof structures / sizeof structures[0] * MODES_TOLD == SIGNALLING_STRUCTURES,
               "values 0 to 159");

struct preamble_structure signalling_structure_of(int value)
{
    int row = value / MODES_TOLD;
    return (struct preamble_structure){structures[row].fft, structures[row].guard,
                                       structures[row].dx, value % MODES_TOLD + 1};
}

int signalling_structure(const struct transmission *transmission)
{
    struct waveform waveform = signalling_preamble(transmission);
    int dx = pilots_preamble_dx(&waveform), mode = transmission->signalling.l1_basic_mode;
    for (int i = 0; i < (int)(sizeof structures / sizeof structures[0]) && mode <= MODES_TOLD;
         i++) {
        if (structures[i].fft == waveform.fft && structures[i].guard == waveform.guard &&
            structures[i].dx == dx) {
            return MODES_TOLD * i + mode - 1;
        }
    }
    return -1;
}
