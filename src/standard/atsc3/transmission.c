/* The legal space of the second generation's transmissions: what may go together (waveform.h,
 * code.h, time_interleaver.h). */
#include "standard/atsc3/transmission.h"

#include <math.h>

#include "base/text.h"

/* Appends the names of all values for which `allowed` holds, separated by bars. */
static void list_names(char *buffer, size_t size, int count, const char *(*name)(int),
                       bool (*allowed)(const struct transmission *, int),
                       const struct transmission *transmission)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int i = 0; i < count && used < size; i++) {
        if (allowed(transmission, i)) {
            used += text_format(buffer + used, size - used, "%s%s", used ? "|" : "", name(i));
        }
    }
}

#define CHOICE(stem, type, test)                                                      \
    static const char *stem##_choice_name(int i)                                      \
    {                                                                                 \
        return stem##_name((enum type)i);                                             \
    }                                                                                 \
    static bool stem##_choice_allowed(const struct transmission *transmission, int i) \
    {                                                                                 \
        return test;                                                                  \
    }
CHOICE(guard, guard, guard_is_allowed(transmission->subframes[0].waveform.fft, (enum guard)i))
CHOICE(pilots, pilots,
       pilots_are_allowed(transmission->subframes[0].waveform.fft,
                          transmission->subframes[0].waveform.guard, (enum pilots)i))
CHOICE(constellation, constellation,
       constellation_is_allowed(transmission->plps[0].code.length, (enum constellation)i))
CHOICE(interleaver, interleaver,
       interleaver_is_allowed(transmission->plps[0].code.constellation, (enum interleaver)i))

enum status transmission_check(const struct transmission *transmission, struct fault *fault)
{
    const struct waveform *waveform = &transmission->subframes[0].waveform;
    const struct plp *plp = &transmission->plps[0];
    const struct code *code = &plp->code;
    char allowed[256];
    if (!guard_is_allowed(waveform->fft, waveform->guard)) {
        list_names(allowed, sizeof allowed, GUARD_COUNT, guard_choice_name, guard_choice_allowed,
                   transmission);
        return fault_set(fault, STATUS_ILLEGAL, "mode.guard", allowed, "%s does not go with FFT %s",
                         guard_name(waveform->guard), fft_name(waveform->fft));
    }
    if (!pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        list_names(allowed, sizeof allowed, PILOTS_COUNT, pilots_choice_name, pilots_choice_allowed,
                   transmission);
        return fault_set(fault, STATUS_ILLEGAL, "mode.pilots", allowed,
                         "%s does not go with FFT %s and guard %s", pilots_name(waveform->pilots),
                         fft_name(waveform->fft), guard_name(waveform->guard));
    }
    if (!constellation_is_allowed(code->length, code->constellation)) {
        list_names(allowed, sizeof allowed, CONSTELLATION_COUNT, constellation_choice_name,
                   constellation_choice_allowed, transmission);
        return fault_set(fault, STATUS_ILLEGAL, "mode.constellation", allowed,
                         "%s does not go with code length %s",
                         constellation_name(code->constellation), code_length_name(code->length));
    }
    if (!interleaver_is_allowed(code->constellation, plp->interleaver)) {
        list_names(allowed, sizeof allowed, INTERLEAVER_COUNT, interleaver_choice_name,
                   interleaver_choice_allowed, transmission);
        return fault_set(fault, STATUS_ILLEGAL, "mode.interleaver", allowed, "%s is for QPSK only",
                         interleaver_name(plp->interleaver));
    }
    return STATUS_OK;
}

int transmission_repair(struct transmission *transmission)
{
    struct waveform *waveform = &transmission->subframes[0].waveform;
    struct plp *plp = &transmission->plps[0];
    struct code *code = &plp->code;
    int moved = 0;
    if (!guard_is_allowed(waveform->fft, waveform->guard)) {
        while (!guard_is_allowed(waveform->fft, waveform->guard)) {
            waveform->guard = (enum guard)(waveform->guard - 1);
        }
        moved++;
    }
    if (!pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        waveform->pilots = pilots_nearest(waveform);
        moved++;
    }
    if (!constellation_is_allowed(code->length, code->constellation)) {
        code->constellation = QAM256;
        moved++;
    }
    if (!interleaver_is_allowed(code->constellation, plp->interleaver)) {
        plp->interleaver = CTI_1024;
        moved++;
    }
    return moved;
}
