#ifndef STUDY_WEIGH_WEIGHED_H
#define STUDY_WEIGH_WEIGHED_H

/* The space of a scenario's modes, for tests that walk it. */

#include <stdlib.h>

#include "study/weigh/weigh.h"
#include "support/near.h"

static inline struct weigh_space *space_of(const struct scenario *scenario, enum snr_kind kind)
{
    struct weigh_space *space = malloc(sizeof *space);
    assert_non_null(space);
    assert_int_equal(weigh_space_make(scenario, kind, space, NULL), STATUS_OK);
    return space;
}

static inline void space_end(struct weigh_space *space)
{
    weigh_space_free(space);
    free(space);
}

static inline struct transmission mode_of(const struct weigh_space *space, size_t i)
{
    struct scenario scenario = space->scenario;
    weigh_put(space, i, &scenario);
    return scenario.transmission;
}

#endif
