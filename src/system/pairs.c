/* The pairs of systems that are compared, and what systems have in common. */
#include "system/system.h"

#include <ctype.h>
#include <string.h>

static const struct system_pair pairs[PAIR_COUNT] = {
    [PAIR_ATSC] = {{[GENERATION_FIRST] = &system_vsb, [GENERATION_SECOND] = &system_atsc3}},
    [PAIR_DVB] = {{[GENERATION_FIRST] = &system_dvbt, [GENERATION_SECOND] = &system_dvbt2}},
};

const struct system *system_of(const struct scenario *scenario, enum generation generation)
{
    return pairs[scenario->site.pair].systems[generation];
}

double system_channel_mhz(const struct scenario *scenario, enum generation generation)
{
    double mhz = system_of(scenario, generation)->channel_mhz;
    return mhz != 0.0 ? mhz : scenario->site.bandwidth_mhz;
}

const struct system *system_named_in(const char *words)
{
    for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
        for (int g = 0; g < GENERATION_COUNT; g++) {
            const struct system *system = pairs[i].systems[g];
            size_t length = strlen(system->name);
            if (strncmp(words, system->name, length) == 0 &&
                !isalnum((unsigned char)words[length])) {
                return system;
            }
        }
    }
    return NULL;
}

const char *loss_kind_name(enum loss_kind kind)
{
    static const char *const names[LOSS_KIND_COUNT] = {
        [LOSS_ECHOES] = "echoes",
        [LOSS_SELF_INTERFERENCE] = "self-interference",
        [LOSS_DECISIONS] = "wrong decisions",
        [LOSS_ADAPTATION] = "adaptation",
        [LOSS_MOTION] = "motion",
        [LOSS_ESTIMATION] = "estimation",
        [LOSS_IMPLEMENTATION] = "implementation",
    };
    return (unsigned)kind < LOSS_KIND_COUNT ? names[kind] : "?";
}
