/* The pairs of systems that are compared. */
#include "system/system.h"

static const struct system_pair pairs[] = {
    {"ATSC", {[GENERATION_FIRST] = &system_vsb, [GENERATION_SECOND] = &system_atsc3}},
};

const struct system *system_of(const struct scenario *scenario, enum generation generation)
{
    (void)scenario; /* there is one pair so far */
    return pairs[0].systems[generation];
}
