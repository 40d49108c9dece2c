/* Times and carriers of DVB-T2, ETSI EN 302 755 V1.4.1.
 *
 * As with DVB-T, everything counts in the elementary period T = 7/(8 B) us (table 65). Worked
 * number: 8 MHz, 32K, guard 1/16: useful part 3584 us, guard interval 224 us, spacing 279 Hz. */
#include "standard/dvbt2/waveform.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/text.h"

/* Table 66. */
static const struct {
    const char *name;
    int points, carriers, extension;
} fft_rows[T2_FFT_COUNT] = {
    [T2_1K] = {"1K", 1024, 853, 0},        [T2_2K] = {"2K", 2048, 1705, 0},
    [T2_4K] = {"4K", 4096, 3409, 0},       [T2_8K] = {"8K", 8192, 6817, 48},
    [T2_16K] = {"16K", 16384, 13633, 144}, [T2_32K] = {"32K", 32768, 27265, 288}};

/* Table 67. */
static const struct {
    const char *name;
    int part, of;
} guard_rows[T2_GUARD_COUNT] = {
    [T2_GI_1_128] = {"1/128", 1, 128}, [T2_GI_1_32] = {"1/32", 1, 32},
    [T2_GI_1_16] = {"1/16", 1, 16},    [T2_GI_19_256] = {"19/256", 19, 256},
    [T2_GI_1_8] = {"1/8", 1, 8},       [T2_GI_19_128] = {"19/128", 19, 128},
    [T2_GI_1_4] = {"1/4", 1, 4},
};

/* Scattered pilot patterns allowed by FFT size and guard interval, one antenna: table 58. */
#define P(n) (1u << T2_PP##n)
static const uint8_t allowed[T2_FFT_COUNT][T2_GUARD_COUNT] = {
    [T2_32K] = {P(7), P(4) | P(6), P(2) | P(8) | P(4), P(2) | P(8) | P(4), P(2) | P(8), P(2) | P(8),
                0},
    [T2_16K] = {P(7), P(7) | P(4) | P(6), P(2) | P(8) | P(4) | P(5), P(2) | P(8) | P(4) | P(5),
                P(2) | P(3) | P(8), P(2) | P(3) | P(8), P(1) | P(8)},
    [T2_8K] = {P(7), P(7) | P(4), P(8) | P(4) | P(5), P(8) | P(4) | P(5), P(2) | P(3) | P(8),
               P(2) | P(3) | P(8), P(1) | P(8)},
    [T2_4K] = {0, P(7) | P(4), P(4) | P(5), 0, P(2) | P(3), 0, P(1)},
    [T2_2K] = {0, P(7) | P(4), P(4) | P(5), 0, P(2) | P(3), 0, P(1)},
    [T2_1K] = {0, 0, P(4) | P(5), 0, P(2) | P(3), 0, P(1)},
};
#undef P

const char *t2_fft_name(enum t2_fft fft)
{
    return (unsigned)fft < T2_FFT_COUNT ? fft_rows[fft].name : "?";
}

const char *t2_guard_name(enum t2_guard guard)
{
    return (unsigned)guard < T2_GUARD_COUNT ? guard_rows[guard].name : "?";
}

int t2_fft_points(enum t2_fft fft)
{
    return fft_rows[fft].points;
}

double t2_guard_share(enum t2_guard guard)
{
    return (double)guard_rows[guard].part / guard_rows[guard].of;
}

bool t2_guard_is_allowed(enum t2_fft fft, enum t2_guard guard)
{
    return allowed[fft][guard] != 0;
}

bool t2_pilots_are_allowed(enum t2_fft fft, enum t2_guard guard, enum t2_pilots pilots)
{
    return (allowed[fft][guard] >> pilots & 1u) != 0;
}

bool t2_extended_is_allowed(enum t2_fft fft)
{
    return fft_rows[fft].extension > 0;
}

/* "1/32|1/16". */
static void list_guards(enum t2_fft fft, char *buffer, size_t size)
{
    buffer[0] = '\0';
    for (int i = 0; i < T2_GUARD_COUNT; i++) {
        if (t2_guard_is_allowed(fft, (enum t2_guard)i)) {
            text_join(buffer, size, guard_rows[i].name);
        }
    }
}

static void list_pilots(enum t2_fft fft, enum t2_guard guard, char *buffer, size_t size)
{
    buffer[0] = '\0';
    for (int i = 0; i < T2_PILOTS_COUNT; i++) {
        if (t2_pilots_are_allowed(fft, guard, (enum t2_pilots)i)) {
            text_join(buffer, size, t2_pilots_name((enum t2_pilots)i));
        }
    }
}

enum status t2_waveform_check(const struct t2_waveform *waveform, int bandwidth_mhz,
                              struct fault *fault)
{
    char list[96];
    if (bandwidth_mhz < 5 || bandwidth_mhz > 8) {
        return fault_set(fault, STATUS_ILLEGAL, "site.bandwidth_mhz", "5 to 8 MHz",
                         "%d MHz is no width of this system", bandwidth_mhz);
    }
    if (!t2_guard_is_allowed(waveform->fft, waveform->guard)) {
        list_guards(waveform->fft, list, sizeof list);
        return fault_set(fault, STATUS_ILLEGAL, "dvbt2.guard", list, "%s does not go with FFT %s",
                         t2_guard_name(waveform->guard), t2_fft_name(waveform->fft));
    }
    if (!t2_pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        list_pilots(waveform->fft, waveform->guard, list, sizeof list);
        return fault_set(fault, STATUS_ILLEGAL, "dvbt2.pilots", list,
                         "%s does not go with FFT %s and guard %s",
                         t2_pilots_name(waveform->pilots), t2_fft_name(waveform->fft),
                         t2_guard_name(waveform->guard));
    }
    if (waveform->extended && !t2_extended_is_allowed(waveform->fft)) {
        return fault_set(fault, STATUS_ILLEGAL, "dvbt2.extended", "no, or FFT 8K|16K|32K",
                         "FFT %s has no extended carriers", t2_fft_name(waveform->fft));
    }
    return STATUS_OK;
}

void t2_waveform_repair(struct t2_waveform *waveform)
{
    enum t2_fft fft = waveform->fft;
    enum t2_guard guard = T2_GUARD_COUNT;
    int steps = T2_GUARD_COUNT; /* to the nearest in their order; of two the longer */
    for (int i = 0; i < T2_GUARD_COUNT; i++) {
        int away = abs(i - (int)waveform->guard);
        if (t2_guard_is_allowed(fft, (enum t2_guard)i) && away <= steps) {
            guard = (enum t2_guard)i;
            steps = away;
        }
    }
    waveform->guard = guard;
    waveform->extended = waveform->extended && t2_extended_is_allowed(fft);
    if (t2_pilots_are_allowed(fft, guard, waveform->pilots)) {
        return;
    }
    /* The spacing over all symbols nearest by its ratio. */
    double wanted = log2((double)t2_pilots_dx(waveform->pilots) * t2_pilots_dy(waveform->pilots));
    double best = INFINITY;
    for (int i = 0; i < T2_PILOTS_COUNT; i++) {
        enum t2_pilots pilots = (enum t2_pilots)i;
        double far = fabs(log2((double)t2_pilots_dx(pilots) * t2_pilots_dy(pilots)) - wanted);
        if (t2_pilots_are_allowed(fft, guard, pilots) && far < best) {
            best = far;
            waveform->pilots = pilots;
        }
    }
}

double t2_elementary_us(int bandwidth_mhz)
{
    return 7.0 / (8.0 * bandwidth_mhz);
}

int t2_extension(const struct t2_waveform *waveform)
{
    return waveform->extended ? fft_rows[waveform->fft].extension : 0;
}

int t2_carriers(const struct t2_waveform *waveform)
{
    return fft_rows[waveform->fft].carriers + 2 * t2_extension(waveform);
}

/* Mean power of a data symbol's carriers over a data cell's. */
static double mean_power(const struct t2_waveform *waveform)
{
    unsigned char kinds[T2_CARRIERS_MAX];
    int carriers = t2_map(waveform, 0, kinds), scattered = 0, continual = 0;
    for (int k = 0; k < carriers; k++) {
        scattered += kinds[k] == T2_SCATTERED || kinds[k] == T2_EDGE;
        continual += kinds[k] == T2_CONTINUAL;
    }
    return 1.0 + (scattered * (t2_pilots_power(waveform->pilots) - 1.0) +
                  continual * (t2_continual_power(waveform->fft) - 1.0)) /
                     carriers;
}

struct ofdm_grid t2_grid(const struct t2_waveform *waveform, int bandwidth_mhz)
{
    double period_us = t2_elementary_us(bandwidth_mhz);
    double useful_us = t2_fft_points(waveform->fft) * period_us;
    double guard_us = useful_us * t2_guard_share(waveform->guard);
    int carriers = t2_carriers(waveform);
    return (struct ofdm_grid){
        .sample_rate_hz = 1e6 / period_us,
        .useful_us = useful_us,
        .guard_us = guard_us,
        .symbol_us = useful_us + guard_us,
        .spacing_hz = 1e6 / useful_us,
        .carriers = carriers,
        .occupied_mhz = carriers / useful_us,
        .dx = t2_pilots_dx(waveform->pilots),
        .dy = t2_pilots_dy(waveform->pilots),
        .pilot_power = t2_pilots_power(waveform->pilots),
        .mean_power = mean_power(waveform),
    };
}
