/* What a division is, in words. */
#include "study/divide/divide.h"

const char *division_kind_words(enum division_kind kind)
{
    static const char *const words[DIVISION_KIND_COUNT] = {
        [DIVISION_ONE] = "One PLP for all",
        [DIVISION_TIME] = "Time: a PLP each in one subframe",
        [DIVISION_SUBFRAMES] = "Subframes: a waveform each",
        [DIVISION_LAYERS] = "Layers: over a core, or beside"};
    return words[kind];
}

void division_words_waveform(const struct division *division, struct text *out)
{
    const struct transmission *transmission = &division->transmission;
    const char *join = "";
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        const struct subframe *subframe = &transmission->subframes[i];
        text_printf(out, "%s%s%s%s %s %s, boost %d, reduction %d", join, subframe->name,
                    subframe->name[0] ? ": " : "", fft_name(subframe->waveform.fft),
                    guard_name(subframe->waveform.guard), pilots_name(subframe->waveform.pilots),
                    subframe->waveform.boost, subframe->waveform.reduction);
        if (subframe->symbols > 0) {
            text_printf(out, ", %d symbols", subframe->symbols);
        }
        join = "; ";
    }
}

const char division_assumes[] =
    "Over all legal waveforms, codes and injection levels; the best of each kind. A service is "
    "received where a real receiver (ATSC A/327 Annex B) needs no more than its SNR, in noise or "
    "in a fading channel as it says, its echo fits into guard interval and pilots' reach, and "
    "motion costs no more than 3 dB. The core's other layer counts as noise.";

const char division_spares[] =
    "What is to spare goes to the service with the rest, else to the one with the highest SNR, "
    "beyond the rate that it asks for.";
