/* The echo pictures of a scenario: asks the verdicts, then lets echo.c build. */
#include "present/picture/pictures_echo.h"

#include <math.h>
#include <stdlib.h>

#include "present/picture/echo.h"

static bool any_snr(const struct verdicts *verdicts)
{
    return verdicts->of[GENERATION_FIRST].known || verdicts->of[GENERATION_SECOND].known;
}

bool pictures_echo_window(const struct scenario *scenario, const struct reception *reception,
                          struct ofdm_window *window)
{
    struct verdict *verdict = malloc(sizeof *verdict);
    bool placed = verdict != NULL && conditions_make(scenario, GENERATION_SECOND,
                                                     &verdict->conditions, NULL) == STATUS_OK;
    if (placed) {
        struct conditions *conditions = &verdict->conditions;
        verdict->reception = *reception;
        channel_draw(&conditions->channel, 0, &conditions->channel);
        verdict->reception.ofdm.carriers_most = 1; /* the window is placed by a look of its own */
        if (isnan(conditions->snr_db)) {
            conditions->snr_db = PICTURE_UNKNOWN_SNR_DB;
        }
        placed = verdict_solve(verdict, NULL) == STATUS_OK;
        *window = verdict->fare.ofdm.window;
    }
    free(verdict);
    return placed;
}

bool pictures_echo_rays(const struct picture_case *shown, struct picture *out)
{
    return picture_echo_rays(shown->scenario, &shown->report->verdicts, out);
}

bool pictures_echo_carriers(const struct picture_case *shown, struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    return verdicts->of[GENERATION_SECOND].known && picture_echo_carriers(verdicts, out);
}

/* Over what was asked for, else beyond all reaches. */
static bool make_lines(const struct picture_case *shown, struct echo_lines_wish wish,
                       struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    double span_us = picture_echo_span_us(verdicts);
    bool part = shown->stretch.high > shown->stretch.low;
    wish.from_us = part ? shown->stretch.low : -span_us;
    wish.to_us = part ? shown->stretch.high : span_us;
    const char *echo = wish.kind == ECHO_LINES_MARGINS
                           ? conditions_ray_name(shown->scenario, GENERATION_SECOND, 1)
                           : ""; /* a lone one, that is none of the profile's */
    struct echo_lines *lines = malloc(sizeof *lines);
    bool made = lines != NULL && echo_lines_make(verdicts, &wish, lines) == STATUS_OK &&
                picture_echo_lines(verdicts, &wish, echo, lines, out);
    free(lines);
    return made;
}

bool pictures_echo_tolerance(const struct picture_case *shown, struct picture *out)
{
    const struct echo_lines_wish wish = {.kind = ECHO_LINES_TOLERATED, .now_us = NAN};
    const struct verdict *of = shown->report->verdicts.of; /* prepared will do */
    bool any = !isnan(of[GENERATION_FIRST].conditions.snr_db) ||
               !isnan(of[GENERATION_SECOND].conditions.snr_db);
    return any && make_lines(shown, wish, out);
}

bool pictures_echo_margins(const struct picture_case *shown, struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    const struct channel *channel = &verdicts->of[GENERATION_FIRST].conditions.channel;
    const struct echo_lines_wish wish = {.kind = ECHO_LINES_MARGINS,
                                         .now_us = channel->rays[1].delay_us};
    return any_snr(verdicts) && shown->scenario->echo_count > 0 && make_lines(shown, wish, out);
}
