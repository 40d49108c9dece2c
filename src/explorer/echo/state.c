/* What the echo editor shows: where, and which pictures of the verdicts. */
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
    if (which >= ECHO_PICTURE_MARGINS) {
        return echo_sweep_picture(&state->sweeps[which - ECHO_PICTURE_MARGINS]);
    }
    return state->pictures[which].series_count > 0 ? &state->pictures[which] : NULL;
}

bool echo_is_busy(const struct echo_state *state)
{
    bool busy = false;
    for (int kind = 0; kind < SWEEP_KINDS; kind++) {
        busy = busy || state->sweeps[kind].errand.pending;
    }
    return busy;
}

void echo_forget_pictures(struct echo_state *state)
{
    for (int i = 0; i < 2; i++) {
        picture_free(&state->pictures[i]);
        state->made[i] = false;
    }
}

/* Margins are those of the selected echo as it slides, or of the first one. */
static void keep_picture(struct echo_state *state, const struct scenario *scenario,
                         const struct verdicts *verdicts, int which)
{
    int swept = echo_selected(state) == ECHO_ROW_SNR ? 0 : echo_selected(state);
    int echoes = verdicts->of[GENERATION_FIRST].conditions.channel.count - 1;
    if (which == ECHO_PICTURE_MARGINS && swept < echoes) {
        struct sweep_part part = {swept, state->gallery.zooms[which], ""};
        text_format(part.name, sizeof part.name, "%s",
                    conditions_ray_name(scenario, GENERATION_FIRST, swept + 1));
        echo_sweep_want(&state->sweeps[SWEEP_MARGINS], SWEEP_MARGINS, verdicts, state->judged,
                        part);
    } else if (which > ECHO_PICTURE_MARGINS && which < ECHO_PICTURES) {
        enum sweep_kind kind = (enum sweep_kind)(which - ECHO_PICTURE_MARGINS);
        int zoom = kind == SWEEP_TIME ? 0 : state->gallery.zooms[which];
        echo_sweep_want(&state->sweeps[kind], kind, verdicts, state->judged,
                        (struct sweep_part){0, zoom, ""});
    } else if (which < ECHO_PICTURE_MARGINS && !state->made[which]) {
        state->made[which] = true;
        struct picture *picture = &state->pictures[which];
        if (which == ECHO_PICTURE_RAYS) {
            picture_echo_rays(scenario, verdicts, picture);
        } else {
            picture_echo_carriers(verdicts, picture);
        }
    }
}

/* ---- What is shown follows the scenario. ---- */

int echo_plps(const struct desk *desk)
{
    const struct pipes *pipes = desk_pipes(desk);
    return pipes ? pipes->count : 0;
}

void echo_update(struct desk *desk, void *opaque, struct rect area)
{
    struct echo_state *state = opaque;
    const struct verdicts *verdicts = desk_verdicts(desk);
    struct main_layout layout = echo_layout(area);
    cursor_fit(&state->cursor, desk->profile.scenario.echo_count + 1, layout.settings.rows - 1);
    struct account_rows account = {0};
    if (verdicts) {
        accounts_beside(verdicts, &account);
    }
    /* With the margin of ideal receivers below it, and the verdict above. */
    cursor_fit(&state->account,
               account.count + 1 + echo_plps(desk) - (layout.quantities.rows - 2) + 1, 1);
    if (state->judged != desk->judged) {
        echo_forget_pictures(state);
        state->judged = desk->judged;
    }
    const struct {
        bool shown;
        int which;
    } pictures[] = {{layout.picture.rows > 0, state->gallery.at},
                    {layout.second_picture.columns > 0, gallery_second(&state->gallery)}};
    for (int i = 0; i < 2; i++) { /* the rays are there whatever the SNR */
        int which = pictures[i].which;
        if (pictures[i].shown && verdicts &&
            (verdicts->of[GENERATION_SECOND].known || which == ECHO_PICTURE_RAYS)) {
            keep_picture(state, &desk->profile.scenario, verdicts, which);
        }
    }
    for (int kind = 0; kind < SWEEP_KINDS; kind++) {
        errand_look(&state->sweeps[kind].errand);
    }
}
