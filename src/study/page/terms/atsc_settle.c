/* What a page of the ATSC pair says of an ATSC 3.0 mode in other ways than by its settings, and
 * what of that mode goes together. A setting that is missing gets a value, moved where the given
 * ones ask for it, but is not said; a given one is never moved. */
#include <math.h>
#include <stdlib.h>

#include "standard/atsc3/grid.h"
#include "study/page/terms/atsc_settle.h"

static void settle_guard_time(struct settling *s)
{
    const struct page_entry *entry = settling_entry(s, "second.guard_us");
    if (!entry) {
        return;
    }
    struct transmission mode = s->scenario.transmission;
    for (int i = 0; i < GUARD_COUNT; i++) {
        mode.subframes[0].waveform.guard = (enum guard)i;
        double us = waveform_grid(&mode.subframes[0].waveform).guard_us;
        if (fabs(us - entry->number) > GUARD_TIME_TOLERANCE * us) {
            continue;
        }
        if (settling_is_given(s, "mode.guard") &&
            s->scenario.transmission.subframes[0].waveform.guard !=
                mode.subframes[0].waveform.guard) {
            CONTRADICT(s, "guard interval %s lasts %.1f us at %d MHz, not %s us",
                       guard_name(s->scenario.transmission.subframes[0].waveform.guard),
                       waveform_grid(&s->scenario.transmission.subframes[0].waveform).guard_us,
                       mode.subframes[0].waveform.bandwidth_mhz, entry->value);
        }
        settling_give(s, "mode.guard", i);
        settling_speak(s, "mode");
        return;
    }
    CONTRADICT(s, "no guard interval lasts %s us at %d MHz", entry->value,
               mode.subframes[0].waveform.bandwidth_mhz);
}

static void settle_carriers(struct settling *s)
{
    const struct page_entry *entry = settling_entry(s, "second.carriers");
    if (!entry) {
        return;
    }
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int c = 0; c <= REDUCTION_MAX; c++) {
            if (carriers_count((enum fft_size)fft, c) != (int)entry->number) {
                continue;
            }
            const struct transmission *mode = &s->scenario.transmission;
            if ((settling_is_given(s, "mode.fft") && (int)mode->subframes[0].waveform.fft != fft) ||
                (settling_is_given(s, "mode.reduction") &&
                 mode->subframes[0].waveform.reduction != c)) {
                CONTRADICT(s, "%s carriers belong to FFT size %s with reduction %d", entry->value,
                           fft_name((enum fft_size)fft), c);
            }
            settling_give(s, "mode.fft", fft);
            settling_give(s, "mode.reduction", c);
            return;
        }
    }
    CONTRADICT(s, "no FFT size has %s carriers", entry->value);
}

/* ---- What goes together. ---- */

static double distance_of(const struct waveform *asked, int fft, int guard, int pilots)
{
    return 100.0 * abs(fft - (int)asked->fft) + 10.0 * abs(guard - (int)asked->guard) +
           fabs(log2((double)pilots_dx((enum pilots)pilots) / pilots_dx(asked->pilots))) +
           abs(pilots_dy((enum pilots)pilots) - pilots_dy(asked->pilots));
}

/* Which of the three are given: a look at the fields' table for each of 576 would take long. */
struct waveform_given {
    bool fft, guard, pilots;
};

static bool goes_with_given(const struct waveform_given *given, const struct waveform *asked,
                            int fft, int guard, int pilots)
{
    return (!given->fft || fft == (int)asked->fft) &&
           (!given->guard || guard == (int)asked->guard) &&
           (!given->pilots || pilots == (int)asked->pilots) &&
           pilots_are_allowed((enum fft_size)fft, (enum guard)guard, (enum pilots)pilots);
}

/* The legal choice of FFT size, guard interval and pilots nearest to the assumed one that keeps
 * what is given; false where there is none. Where only one FFT size is left it is as good as given.
 */
static bool move_assumed_waveform(struct settling *s)
{
    struct waveform *waveform = &s->scenario.transmission.subframes[0].waveform;
    const struct waveform asked = *waveform;
    const struct waveform_given given = {settling_is_given(s, "mode.fft"),
                                         settling_is_given(s, "mode.guard"),
                                         settling_is_given(s, "mode.pilots")};
    bool left[FFT_COUNT] = {false}; /* FFT sizes that go with what is given */
    int left_count = 0;
    double best = INFINITY;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                if (!goes_with_given(&given, &asked, fft, guard, pilots)) {
                    continue;
                }
                left_count += !left[fft];
                left[fft] = true;
                double distance = distance_of(&asked, fft, guard, pilots);
                if (distance < best) {
                    best = distance;
                    waveform->fft = (enum fft_size)fft;
                    waveform->guard = (enum guard)guard;
                    waveform->pilots = (enum pilots)pilots;
                }
            }
        }
    }
    if (left_count == 1 && !given.fft) {
        settling_give(s, "mode.fft", (double)waveform->fft);
    }
    return isfinite(best);
}

static void name_waveform_contradiction(struct settling *s)
{
    const struct transmission *mode = &s->scenario.transmission;
    if (settling_is_given(s, "mode.fft") && settling_is_given(s, "mode.guard") &&
        !guard_is_allowed(mode->subframes[0].waveform.fft, mode->subframes[0].waveform.guard)) {
        CONTRADICT(s, "FFT size %s does not go with guard interval %s",
                   fft_name(mode->subframes[0].waveform.fft),
                   guard_name(mode->subframes[0].waveform.guard));
    } else if (settling_is_given(s, "mode.fft") && settling_is_given(s, "mode.guard")) {
        CONTRADICT(s, "scattered pilots %s do not go with FFT size %s and guard interval %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   fft_name(mode->subframes[0].waveform.fft),
                   guard_name(mode->subframes[0].waveform.guard));
    } else if (settling_is_given(s, "mode.fft")) {
        CONTRADICT(s, "scattered pilots %s do not go with FFT size %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   fft_name(mode->subframes[0].waveform.fft));
    } else {
        CONTRADICT(s, "scattered pilots %s do not go with guard interval %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   guard_name(mode->subframes[0].waveform.guard));
    }
}

static void settle_code(struct settling *s)
{
    struct transmission *mode = &s->scenario.transmission;
    if (!constellation_is_allowed(mode->plps[0].code.length, mode->plps[0].code.constellation)) {
        if (settling_is_given(s, "mode.length") && settling_is_given(s, "mode.constellation")) {
            CONTRADICT(s, "constellation %s does not go with code length %s",
                       constellation_name(mode->plps[0].code.constellation),
                       code_length_name(mode->plps[0].code.length));
        } else if (settling_is_given(s, "mode.constellation")) {
            mode->plps[0].code.length = LENGTH_64800;
        } else {
            mode->plps[0].code.constellation = QAM256;
        }
    }
    if (!interleaver_is_allowed(mode->plps[0].code.constellation, mode->plps[0].interleaver)) {
        if (settling_is_given(s, "mode.interleaver") &&
            settling_is_given(s, "mode.constellation")) {
            CONTRADICT(s, "time interleaver %s is for QPSK, not for %s",
                       interleaver_name(mode->plps[0].interleaver),
                       constellation_name(mode->plps[0].code.constellation));
        } else if (settling_is_given(s, "mode.interleaver")) {
            mode->plps[0].code.constellation = QPSK;
        } else {
            mode->plps[0].interleaver = CTI_1024;
        }
    }
}

void atsc_settle(struct settling *s)
{
    settle_guard_time(s);
    settle_carriers(s);
    if (!move_assumed_waveform(s)) {
        name_waveform_contradiction(s);
    }
    settle_code(s);
}
