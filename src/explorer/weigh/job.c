/* Margins of all modes with the profile's echoes, made beside the interface. */
#include <math.h>
#include <stdlib.h>

#include "explorer/weigh/state.h"

void weigh_job_drop(struct weigh_state *state)
{
    job_stop(&state->job);
    job_finished(&state->job);
    if (state->margins) {
        weigh_space_free(&state->margins->space);
        free(state->margins);
        state->margins = NULL;
    }
}

static bool keep_on(void *owner, double share)
{
    struct job *job = owner;
    job_set_progress(job, share);
    return !job_is_stopped(job);
}

static void work(struct job *job, void *context)
{
    struct weigh_margins *margins = context;
    const struct weigh_progress progress = {keep_on, job};
    margins->status = weigh_space_make(&margins->scenario, SNR_RECEIVER, &margins->space, NULL);
    if (margins->status == STATUS_OK) {
        margins->status = weigh_echo_margins(&margins->space, &progress, NULL);
    }
}

void weigh_job_begin(const struct explorer *explorer, struct weigh_state *state)
{
    weigh_job_drop(state);
    state->margins = calloc(1, sizeof *state->margins);
    if (state->margins) {
        state->margins->scenario = explorer->profile.scenario;
        if (!job_start(&state->job, work, state->margins)) {
            weigh_job_drop(state);
        }
    }
}

void weigh_job_end(struct explorer *explorer, struct weigh_state *state)
{
    if (!state->margins || !job_finished(&state->job)) {
        return;
    }
    if (state->margins->status == STATUS_OK) {
        weigh_space_free(&state->space);
        state->space = state->margins->space;
        state->margins->space = (struct weigh_space){0};
        weigh_space_adopt(&state->space, &explorer->profile.scenario);
        state->listed = false;
    } else {
        explorer_say(explorer, ROLE_WARN, "No margins with these echoes: %s.",
                     status_message(state->margins->status));
        state->wish.limits[LIMIT_MARGIN] = NAN;
    }
    weigh_job_drop(state);
}
