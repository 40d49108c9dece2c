/* The legal space of the second generation's transmissions: each choice in its range, and what may
 * go together (waveform.h, code.h, time_interleaver.h). */
#include "standard/atsc3/transmission.h"

#include <math.h>

#include "base/text.h"

struct transmission transmission_default(void)
{
    return (struct transmission){
        .frame_ms = 250.0,
        .signalling = {.l1_basic_mode = 1, .l1_detail_mode = 1, .l1_detail_bits = 320},
        .subframe_count = 1,
        .subframes = {{
            .waveform = {.bandwidth_mhz = 6,
                         .fft = FFT_16K,
                         .guard = GI5_1024,
                         .pilots = SP12_2,
                         .boost = 4,
                         .reduction = 0},
            .first_boundary = false,
            .plp_count = 1,
            .plps = {{.code = {.length = LENGTH_64800,
                               .rate_15ths = 10,
                               .constellation = QAM256,
                               .outer = OUTER_BCH},
                      .interleaver = CTI_1024}},
        }},
    };
}

/* Appends the names of all values for which `allowed` holds, separated by bars. */
static void list_names(char *buffer, size_t size, int count, const char *(*name)(int),
                       bool (*allowed)(const struct subframe *, int),
                       const struct subframe *subframe)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int i = 0; i < count && used < size; i++) {
        if (allowed(subframe, i)) {
            used += text_format(buffer + used, size - used, "%s%s", used ? "|" : "", name(i));
        }
    }
}

#define CHOICE(stem, type, test)                                              \
    static const char *stem##_choice_name(int i)                              \
    {                                                                         \
        return stem##_name((enum type)i);                                     \
    }                                                                         \
    static bool stem##_choice_allowed(const struct subframe *subframe, int i) \
    {                                                                         \
        return test;                                                          \
    }
CHOICE(guard, guard, guard_is_allowed(subframe->waveform.fft, (enum guard)i))
CHOICE(pilots, pilots,
       pilots_are_allowed(subframe->waveform.fft, subframe->waveform.guard, (enum pilots)i))
CHOICE(constellation, constellation,
       constellation_is_allowed(subframe->plps[0].code.length, (enum constellation)i))
CHOICE(interleaver, interleaver,
       interleaver_is_allowed(subframe->plps[0].code.constellation, (enum interleaver)i))

static enum status check_int(int value, int low, int high, const char *place, struct fault *fault)
{
    if (value >= low && value <= high) {
        return STATUS_OK;
    }
    char allowed[64];
    text_format(allowed, sizeof allowed, "%d to %d", low, high);
    return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "%d is out of range", value);
}

static enum status check_ranges(const struct transmission *transmission, struct fault *fault)
{
    const struct signalling *signalling = &transmission->signalling;
    const struct subframe *subframe = &transmission->subframes[0];
    const struct waveform *waveform = &subframe->waveform;
    const struct plp *plp = &subframe->plps[0];
    const struct code *code = &plp->code;
    const struct {
        int value, low, high;
        const char *place;
    } rows[] = {
        {waveform->bandwidth_mhz, 6, 8, "site.bandwidth_mhz"},
        {(int)waveform->fft, 0, FFT_COUNT - 1, "mode.fft"},
        {(int)waveform->guard, 0, GUARD_COUNT - 1, "mode.guard"},
        {(int)waveform->pilots, 0, PILOTS_COUNT - 1, "mode.pilots"},
        {waveform->boost, 0, BOOST_MAX, "mode.boost"},
        {waveform->reduction, 0, REDUCTION_MAX, "mode.reduction"},
        {(int)code->length, 0, LENGTH_COUNT - 1, "mode.length"},
        {code->rate_15ths, RATE_MIN_15THS, RATE_MAX_15THS, "mode.rate"},
        {(int)code->constellation, 0, CONSTELLATION_COUNT - 1, "mode.constellation"},
        {(int)code->outer, 0, OUTER_COUNT - 1, "mode.outer"},
        {signalling->l1_basic_mode, 1, 7, "mode.l1_basic_mode"},
        {signalling->l1_detail_mode, 1, 7, "mode.l1_detail_mode"},
        {signalling->l1_detail_bits, 200, 6312, "mode.l1_detail_bits"},
        {(int)plp->interleaver, 0, INTERLEAVER_COUNT - 1, "mode.interleaver"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        enum status status =
            check_int(rows[i].value, rows[i].low, rows[i].high, rows[i].place, fault);
        if (status != STATUS_OK) {
            return status;
        }
    }
    if (!(transmission->frame_ms >= 50.0 && transmission->frame_ms <= 5000.0)) {
        return fault_set(fault, STATUS_OUT_OF_RANGE, "mode.frame_ms", "50 to 5000 ms",
                         "%g ms is out of range", transmission->frame_ms);
    }
    return STATUS_OK;
}

enum status transmission_check(const struct transmission *transmission, struct fault *fault)
{
    enum status status = check_ranges(transmission, fault);
    if (status != STATUS_OK) {
        return status;
    }
    const struct subframe *subframe = &transmission->subframes[0];
    const struct waveform *waveform = &subframe->waveform;
    const struct plp *plp = &subframe->plps[0];
    const struct code *code = &plp->code;
    char allowed[256];
    if (!guard_is_allowed(waveform->fft, waveform->guard)) {
        list_names(allowed, sizeof allowed, GUARD_COUNT, guard_choice_name, guard_choice_allowed,
                   subframe);
        return fault_set(fault, STATUS_ILLEGAL, "mode.guard", allowed, "%s does not go with FFT %s",
                         guard_name(waveform->guard), fft_name(waveform->fft));
    }
    if (!pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        list_names(allowed, sizeof allowed, PILOTS_COUNT, pilots_choice_name, pilots_choice_allowed,
                   subframe);
        return fault_set(fault, STATUS_ILLEGAL, "mode.pilots", allowed,
                         "%s does not go with FFT %s and guard %s", pilots_name(waveform->pilots),
                         fft_name(waveform->fft), guard_name(waveform->guard));
    }
    if (!constellation_is_allowed(code->length, code->constellation)) {
        list_names(allowed, sizeof allowed, CONSTELLATION_COUNT, constellation_choice_name,
                   constellation_choice_allowed, subframe);
        return fault_set(fault, STATUS_ILLEGAL, "mode.constellation", allowed,
                         "%s does not go with code length %s",
                         constellation_name(code->constellation), code_length_name(code->length));
    }
    if (!interleaver_is_allowed(code->constellation, plp->interleaver)) {
        list_names(allowed, sizeof allowed, INTERLEAVER_COUNT, interleaver_choice_name,
                   interleaver_choice_allowed, subframe);
        return fault_set(fault, STATUS_ILLEGAL, "mode.interleaver", allowed, "%s is for QPSK only",
                         interleaver_name(plp->interleaver));
    }
    return STATUS_OK;
}

int transmission_repair(struct transmission *transmission)
{
    struct waveform *waveform = &transmission->subframes[0].waveform;
    struct plp *plp = &transmission->subframes[0].plps[0];
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
