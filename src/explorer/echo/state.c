#include "explorer/echo/state.h"

#include "present/picture/echo.h"

int echo_selected(const struct echo_state *state)
{
    return state->cursor.at - 1;
}

struct main_layout echo_layout(struct rect area)
{
    struct main_layout layout = layout_main(area);
    if (layout.one_panel) {
        int lower = layout.settings.rows / 2;
        layout.quantities = layout.settings;
        layout.settings.rows -= lower;
        layout.quantities.row += layout.settings.rows;
        layout.quantities.rows = lower;
    }
    return layout;
}

/* ---- Pictures. ---- */

const struct picture *echo_picture_of(const struct echo_state *state, int which)
{
    const struct picture *picture = which < ECHO_PICTURE_MARGINS ? &state->pictures[which]
                                    : which == ECHO_PICTURE_MARGINS
                                        ? &state->sweeps.done[SWEEP_MARGINS].picture
                                        : &state->sweeps.done[SWEEP_TOLERATED].picture;
    return picture->series_count > 0 ? picture : NULL;
}

void echo_forget_pictures(struct echo_state *state)
{
    for (int i = 0; i < 2; i++) {
        picture_free(&state->pictures[i]);
        state->made[i] = false;
    }
}

/* Margins are those of the selected echo as it slides, or of the first one. */
static void keep_picture(struct echo_state *state, const struct verdicts *verdicts, int which)
{
    int swept = echo_selected(state) == ECHO_ROW_SNR ? 0 : echo_selected(state);
    int echoes = verdicts->of[GENERATION_FIRST].conditions.channel.count - 1;
    if (which == ECHO_PICTURE_MARGINS && swept < echoes) {
        echo_sweeps_want(&state->sweeps, SWEEP_MARGINS, verdicts, state->judged, swept);
    } else if (which == ECHO_PICTURE_TOLERATED) {
        echo_sweeps_want(&state->sweeps, SWEEP_TOLERATED, verdicts, state->judged, 0);
    } else if (which < ECHO_PICTURE_MARGINS && !state->made[which]) {
        state->made[which] = true;
        (which == ECHO_PICTURE_RAYS ? picture_echo_rays
                                    : picture_echo_carriers)(verdicts, &state->pictures[which]);
    }
}

/* ---- What is shown follows the scenario. ---- */

void echo_update(struct desk *desk, void *opaque, struct rect area)
{
    struct echo_state *state = opaque;
    const struct verdicts *verdicts = desk_verdicts(desk);
    struct main_layout layout = echo_layout(area);
    cursor_fit(&state->cursor, desk->profile.scenario.echo_count + 1, layout.settings.rows - 1);
    if (state->judged != desk->judged) {
        echo_forget_pictures(state);
        state->judged = desk->judged;
    }
    bool drawn = verdicts && verdicts->of[GENERATION_SECOND].known;
    if (drawn && layout.picture.rows > 0) {
        keep_picture(state, verdicts, state->gallery.at);
    }
    if (drawn && layout.second_picture.columns > 0) {
        keep_picture(state, verdicts, gallery_second(&state->gallery));
    }
    if (echo_sweeps_busy(&state->sweeps) && !job_is_running(&state->sweeps.job)) {
        /* Ended, and its picture is no longer on the screen: taken over all the same. */
        echo_sweeps_want(&state->sweeps, state->sweeps.running, &state->sweeps.verdicts,
                         state->sweeps.running_revision, state->sweeps.running_echo);
    }
}
