/* What a division is, in words. */
#include "scenario/field.h"
#include "study/divide/divide.h"
#include "system/system.h"

const char *division_kind_words(enum division_kind kind)
{
    static const char *const words[DIVISION_KIND_COUNT] = {
        [DIVISION_ONE] = "One PLP for all",
        [DIVISION_TIME] = "Time: a PLP each, one waveform",
        [DIVISION_SUBFRAMES] = "Subframes: a waveform each",
        [DIVISION_LAYERS] = "Layers: over a core, or beside"};
    return words[kind];
}

static void waveform_words(const struct division *division, const uint8_t *numbers,
                           struct text *out)
{
    const struct system_space *space = division->space;
    char name[64], value[FIELD_TEXT_BYTES];
    space_name(space, numbers, NULL, false, name, sizeof name);
    text_append(out, name);
    for (int c = 0; c < space->choice_count; c++) {
        if (space->choices[c].folds && !space->choices[c].of_code) {
            field_write(field_named(space->choices[c].key), numbers[c], value, sizeof value);
            text_printf(out, ", %s %s", space->choices[c].word, value);
        }
    }
}

void division_words_waveform(const struct division *division, struct text *out)
{
    const char *join = "";
    for (int i = 0; i < division->waveform_count; i++) {
        const struct subframe *subframe = &division->transmission.subframes[i];
        bool named = division->kind == DIVISION_SUBFRAMES;
        text_printf(out, "%s%s%s", join, named ? subframe->name : "", named ? ": " : "");
        waveform_words(division, division->waveforms[i], out);
        if (named) {
            text_printf(out, ", %d symbols", subframe->symbols);
        }
        join = "; ";
    }
}

void division_assumes(const struct scenario *scenario, struct text *out)
{
    const struct system *system = system_of(scenario, GENERATION_SECOND);
    text_printf(
        out,
        "Over all legal waveforms%s; the best of each kind. A service is received where a "
        "real receiver, by %s, needs no more than its SNR, in noise or in a fading channel "
        "as it says, its echo fits into guard interval and pilots' reach, and motion costs no "
        "more than 3 dB.%s",
        system->space->subframes ? ", codes and injection levels" : " and codes", system->needs_by,
        system->space->subframes ? " The core's other layer counts as noise." : "");
}

const char division_spares[] =
    "What is to spare goes to the service with the rest, else to the one with the highest SNR, "
    "beyond the rate that it asks for.";
