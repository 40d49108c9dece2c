/* The legal space of the second generation. The rules of what may go together are ATSC
 * A/322:2024-04 Table 8.3 (scattered pilot patterns by guard interval and FFT size) and Tables
 * 6.8-6.11 (code lengths and constellations). */
#include "standard/atsc3/mode.h"

#include <math.h>
#include <stdint.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"

static const struct {
    const char *name;
    int points;
} fft_rows[FFT_COUNT] = {
    [FFT_8K] = {"8K", 8192}, [FFT_16K] = {"16K", 16384}, [FFT_32K] = {"32K", 32768}};

static const struct {
    const char *name;
    int samples;
} guard_rows[GUARD_COUNT] = {[GI1_192] = {"GI1_192", 192},      [GI2_384] = {"GI2_384", 384},
                             [GI3_512] = {"GI3_512", 512},      [GI4_768] = {"GI4_768", 768},
                             [GI5_1024] = {"GI5_1024", 1024},   [GI6_1536] = {"GI6_1536", 1536},
                             [GI7_2048] = {"GI7_2048", 2048},   [GI8_2432] = {"GI8_2432", 2432},
                             [GI9_3072] = {"GI9_3072", 3072},   [GI10_3648] = {"GI10_3648", 3648},
                             [GI11_4096] = {"GI11_4096", 4096}, [GI12_4864] = {"GI12_4864", 4864}};

static const struct {
    const char *name;
    int dx, dy;
} pilots_rows[PILOTS_COUNT] = {
    [SP3_2] = {"SP3_2", 3, 2},    [SP3_4] = {"SP3_4", 3, 4},    [SP4_2] = {"SP4_2", 4, 2},
    [SP4_4] = {"SP4_4", 4, 4},    [SP6_2] = {"SP6_2", 6, 2},    [SP6_4] = {"SP6_4", 6, 4},
    [SP8_2] = {"SP8_2", 8, 2},    [SP8_4] = {"SP8_4", 8, 4},    [SP12_2] = {"SP12_2", 12, 2},
    [SP12_4] = {"SP12_4", 12, 4}, [SP16_2] = {"SP16_2", 16, 2}, [SP16_4] = {"SP16_4", 16, 4},
    [SP24_2] = {"SP24_2", 24, 2}, [SP24_4] = {"SP24_4", 24, 4}, [SP32_2] = {"SP32_2", 32, 2},
    [SP32_4] = {"SP32_4", 32, 4}};

static const char *const constellation_names[CONSTELLATION_COUNT] = {
    [QPSK] = "QPSK",     [QAM16] = "16QAM",     [QAM64] = "64QAM",
    [QAM256] = "256QAM", [QAM1024] = "1024QAM", [QAM4096] = "4096QAM"};

static const struct {
    const char *name;
    int bits;
} length_rows[LENGTH_COUNT] = {
    [LENGTH_64800] = {"64800", 64800}, [LENGTH_16200] = {"16200", 16200}};

static const char *const outer_names[OUTER_COUNT] = {
    [OUTER_BCH] = "BCH", [OUTER_CRC] = "CRC", [OUTER_NONE] = "none"};

static const struct {
    const char *name;
    int rows;
} interleaver_table[INTERLEAVER_COUNT] = {[INTERLEAVER_NONE] = {"none", 0},
                                          [CTI_512] = {"CTI 512", 512},
                                          [CTI_724] = {"CTI 724", 724},
                                          [CTI_887] = {"CTI 887", 887},
                                          [CTI_1024] = {"CTI 1024", 1024},
                                          [CTI_1254_EXTENDED] = {"CTI 1254", 1254},
                                          [CTI_1448_EXTENDED] = {"CTI 1448", 1448}};

/* ATSC A/322:2024-04 Table 8.3 (SISO), as sets of patterns by guard interval and FFT size. */
#define P(pattern) (1u << (pattern))
#define BOTH(x) (P(SP##x##_2) | P(SP##x##_4))
static const uint16_t allowed_pilots[GUARD_COUNT][FFT_COUNT] = {
    [GI1_192] = {BOTH(32) | BOTH(16), BOTH(32), P(SP32_2)},
    [GI2_384] = {BOTH(16) | BOTH(8), BOTH(32) | BOTH(16), P(SP32_2)},
    [GI3_512] = {BOTH(12) | BOTH(6), BOTH(24) | BOTH(12), P(SP24_2)},
    [GI4_768] = {BOTH(8) | BOTH(4), BOTH(16) | BOTH(8), P(SP32_2) | P(SP16_2)},
    [GI5_1024] = {BOTH(6) | BOTH(3), BOTH(12) | BOTH(6), P(SP24_2) | P(SP12_2)},
    [GI6_1536] = {BOTH(4), BOTH(8) | BOTH(4), P(SP16_2) | P(SP8_2)},
    [GI7_2048] = {BOTH(3), BOTH(6) | BOTH(3), P(SP12_2) | P(SP6_2)},
    [GI8_2432] = {0, BOTH(6) | BOTH(3), P(SP12_2) | P(SP6_2)},
    [GI9_3072] = {0, BOTH(4), P(SP8_2) | P(SP3_2)},
    [GI10_3648] = {0, BOTH(4), P(SP8_2) | P(SP3_2)},
    [GI11_4096] = {0, BOTH(3), P(SP6_2) | P(SP3_2)},
    [GI12_4864] = {0, 0, P(SP6_2) | P(SP3_2)},
};
#undef P
#undef BOTH

struct mode mode_default(void)
{
    return (struct mode){.bandwidth_mhz = 6,
                         .fft = FFT_16K,
                         .guard = GI5_1024,
                         .pilots = SP12_2,
                         .boost = 4,
                         .reduction = 0,
                         .length = LENGTH_64800,
                         .rate_15ths = 10,
                         .constellation = QAM256,
                         .outer = OUTER_BCH,
                         .frame_ms = 250.0,
                         .first_boundary = false,
                         .l1_basic_mode = 1,
                         .l1_detail_mode = 1,
                         .l1_detail_bits = 320,
                         .interleaver = CTI_1024};
}

#define NAME_FUNCTIONS(stem, type, count, name_of)                         \
    const char *stem##_name(enum type value)                               \
    {                                                                      \
        return (unsigned)value < (count) ? name_of((unsigned)value) : "?"; \
    }                                                                      \
    int stem##_from_name(const char *name)                                 \
    {                                                                      \
        for (int i = 0; i < (count); i++) {                                \
            if (strcasecmp(name, name_of(i)) == 0) {                       \
                return i;                                                  \
            }                                                              \
        }                                                                  \
        return -1;                                                         \
    }
#define FFT_NAME_OF(i) fft_rows[i].name
#define GUARD_NAME_OF(i) guard_rows[i].name
#define PILOTS_NAME_OF(i) pilots_rows[i].name
#define CONSTELLATION_NAME_OF(i) constellation_names[i]
#define LENGTH_NAME_OF(i) length_rows[i].name
#define OUTER_NAME_OF(i) outer_names[i]
#define INTERLEAVER_NAME_OF(i) interleaver_table[i].name
NAME_FUNCTIONS(fft, fft_size, FFT_COUNT, FFT_NAME_OF)
NAME_FUNCTIONS(guard, guard, GUARD_COUNT, GUARD_NAME_OF)
NAME_FUNCTIONS(pilots, pilots, PILOTS_COUNT, PILOTS_NAME_OF)
NAME_FUNCTIONS(constellation, constellation, CONSTELLATION_COUNT, CONSTELLATION_NAME_OF)
NAME_FUNCTIONS(code_length, code_length, LENGTH_COUNT, LENGTH_NAME_OF)
NAME_FUNCTIONS(outer_code, outer_code, OUTER_COUNT, OUTER_NAME_OF)
NAME_FUNCTIONS(interleaver, interleaver, INTERLEAVER_COUNT, INTERLEAVER_NAME_OF)

int fft_points(enum fft_size fft)
{
    return fft_rows[fft].points;
}

int guard_samples(enum guard guard)
{
    return guard_rows[guard].samples;
}

int pilots_dx(enum pilots pilots)
{
    return pilots_rows[pilots].dx;
}

int pilots_dy(enum pilots pilots)
{
    return pilots_rows[pilots].dy;
}

int constellation_bits(enum constellation constellation)
{
    return 2 * ((int)constellation + 1);
}

int code_length_bits(enum code_length length)
{
    return length_rows[length].bits;
}

int interleaver_rows(enum interleaver interleaver)
{
    return interleaver_table[interleaver].rows;
}

bool guard_is_allowed(enum fft_size fft, enum guard guard)
{
    return allowed_pilots[guard][fft] != 0;
}

bool pilots_are_allowed(enum fft_size fft, enum guard guard, enum pilots pilots)
{
    return (allowed_pilots[guard][fft] >> pilots) & 1u;
}

bool constellation_is_allowed(enum code_length length, enum constellation constellation)
{
    return length == LENGTH_64800 || constellation <= QAM256;
}

bool interleaver_is_allowed(enum constellation constellation, enum interleaver interleaver)
{
    return interleaver < CTI_1254_EXTENDED || constellation == QPSK;
}

/* Appends the names of all values for which `allowed` holds, separated by bars. */
static void list_names(char *buffer, size_t size, int count, const char *(*name)(int),
                       bool (*allowed)(const struct mode *, int), const struct mode *mode)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int i = 0; i < count && used < size; i++) {
        if (allowed(mode, i)) {
            used += text_format(buffer + used, size - used, "%s%s", used ? "|" : "", name(i));
        }
    }
}

#define CHOICE(stem, type, test)                                      \
    static const char *stem##_choice_name(int i)                      \
    {                                                                 \
        return stem##_name((enum type)i);                             \
    }                                                                 \
    static bool stem##_choice_allowed(const struct mode *mode, int i) \
    {                                                                 \
        return test;                                                  \
    }
CHOICE(guard, guard, guard_is_allowed(mode->fft, (enum guard)i))
CHOICE(pilots, pilots, pilots_are_allowed(mode->fft, mode->guard, (enum pilots)i))
CHOICE(constellation, constellation, constellation_is_allowed(mode->length, (enum constellation)i))
CHOICE(interleaver, interleaver, interleaver_is_allowed(mode->constellation, (enum interleaver)i))

static enum status check_int(int value, int low, int high, const char *place, struct fault *fault)
{
    if (value >= low && value <= high) {
        return STATUS_OK;
    }
    char allowed[64];
    text_format(allowed, sizeof allowed, "%d to %d", low, high);
    return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "%d is out of range", value);
}

static enum status check_ranges(const struct mode *mode, struct fault *fault)
{
    const struct {
        int value, low, high;
        const char *place;
    } rows[] = {
        {mode->bandwidth_mhz, 6, 8, "site.bandwidth_mhz"},
        {(int)mode->fft, 0, FFT_COUNT - 1, "mode.fft"},
        {(int)mode->guard, 0, GUARD_COUNT - 1, "mode.guard"},
        {(int)mode->pilots, 0, PILOTS_COUNT - 1, "mode.pilots"},
        {mode->boost, 0, BOOST_MAX, "mode.boost"},
        {mode->reduction, 0, REDUCTION_MAX, "mode.reduction"},
        {(int)mode->length, 0, LENGTH_COUNT - 1, "mode.length"},
        {mode->rate_15ths, RATE_MIN_15THS, RATE_MAX_15THS, "mode.rate"},
        {(int)mode->constellation, 0, CONSTELLATION_COUNT - 1, "mode.constellation"},
        {(int)mode->outer, 0, OUTER_COUNT - 1, "mode.outer"},
        {mode->l1_basic_mode, 1, 7, "mode.l1_basic_mode"},
        {mode->l1_detail_mode, 1, 7, "mode.l1_detail_mode"},
        {mode->l1_detail_bits, 200, 6312, "mode.l1_detail_bits"},
        {(int)mode->interleaver, 0, INTERLEAVER_COUNT - 1, "mode.interleaver"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        enum status status =
            check_int(rows[i].value, rows[i].low, rows[i].high, rows[i].place, fault);
        if (status != STATUS_OK) {
            return status;
        }
    }
    if (!(mode->frame_ms >= 50.0 && mode->frame_ms <= 5000.0)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "mode.frame_ms", "50 to 5000 ms",
                         "%g ms is out of range", mode->frame_ms);
    }
    return STATUS_OK;
}

enum status mode_check(const struct mode *mode, struct fault *fault)
{
    enum status status = check_ranges(mode, fault);
    if (status != STATUS_OK) {
        return status;
    }
    char allowed[256];
    if (!guard_is_allowed(mode->fft, mode->guard)) {
        list_names(allowed, sizeof allowed, GUARD_COUNT, guard_choice_name, guard_choice_allowed,
                   mode);
        return fault_set(fault, STATUS_ILLEGAL, "mode.guard", allowed, "%s does not go with FFT %s",
                         guard_name(mode->guard), fft_name(mode->fft));
    }
    if (!pilots_are_allowed(mode->fft, mode->guard, mode->pilots)) {
        list_names(allowed, sizeof allowed, PILOTS_COUNT, pilots_choice_name, pilots_choice_allowed,
                   mode);
        return fault_set(fault, STATUS_ILLEGAL, "mode.pilots", allowed,
                         "%s does not go with FFT %s and guard %s", pilots_name(mode->pilots),
                         fft_name(mode->fft), guard_name(mode->guard));
    }
    if (!constellation_is_allowed(mode->length, mode->constellation)) {
        list_names(allowed, sizeof allowed, CONSTELLATION_COUNT, constellation_choice_name,
                   constellation_choice_allowed, mode);
        return fault_set(fault, STATUS_ILLEGAL, "mode.constellation", allowed,
                         "%s does not go with code length %s",
                         constellation_name(mode->constellation), code_length_name(mode->length));
    }
    if (!interleaver_is_allowed(mode->constellation, mode->interleaver)) {
        list_names(allowed, sizeof allowed, INTERLEAVER_COUNT, interleaver_choice_name,
                   interleaver_choice_allowed, mode);
        return fault_set(fault, STATUS_ILLEGAL, "mode.interleaver", allowed, "%s is for QPSK only",
                         interleaver_name(mode->interleaver));
    }
    return STATUS_OK;
}

/* The allowed pattern nearest to the wanted one: same repetition Dy before same spacing Dx, and the
 * spacing by its ratio. */
static enum pilots nearest_pilots(const struct mode *mode)
{
    enum pilots best = mode->pilots;
    double best_distance = INFINITY;
    for (int i = 0; i < PILOTS_COUNT; i++) {
        if (!pilots_are_allowed(mode->fft, mode->guard, (enum pilots)i)) {
            continue;
        }
        double distance = fabs(log2((double)pilots_dx((enum pilots)i) / pilots_dx(mode->pilots)));
        distance += pilots_dy((enum pilots)i) == pilots_dy(mode->pilots) ? 0.0 : 10.0;
        if (distance < best_distance) {
            best_distance = distance;
            best = (enum pilots)i;
        }
    }
    return best;
}

int mode_repair(struct mode *mode)
{
    int moved = 0;
    if (!guard_is_allowed(mode->fft, mode->guard)) {
        while (!guard_is_allowed(mode->fft, mode->guard)) {
            mode->guard = (enum guard)(mode->guard - 1);
        }
        moved++;
    }
    if (!pilots_are_allowed(mode->fft, mode->guard, mode->pilots)) {
        mode->pilots = nearest_pilots(mode);
        moved++;
    }
    if (!constellation_is_allowed(mode->length, mode->constellation)) {
        mode->constellation = QAM256;
        moved++;
    }
    if (!interleaver_is_allowed(mode->constellation, mode->interleaver)) {
        mode->interleaver = CTI_1024;
        moved++;
    }
    return moved;
}
