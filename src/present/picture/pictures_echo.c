/* The echo pictures of a scenario: asks the verdicts, then lets echo.c build. */
#include "present/picture/pictures_echo.h"

#include <math.h>
#include <stdlib.h>

#include "present/picture/echo.h"

#define TOLERATED_POINTS 81
#define MARGIN_POINTS 97

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
    return picture_echo_rays(&shown->report->verdicts, out);
}

bool pictures_echo_carriers(const struct picture_case *shown, struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    return verdicts->of[GENERATION_SECOND].known && picture_echo_carriers(verdicts, out);
}

bool pictures_echo_tolerance(const struct picture_case *shown, struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    struct echo_tolerated points[TOLERATED_POINTS];
    double span_us = picture_echo_span_us(verdicts);
    return any_snr(verdicts) &&
           echo_sweep_tolerated(verdicts, -span_us, span_us, TOLERATED_POINTS, points) ==
               STATUS_OK &&
           picture_echo_tolerated(verdicts, points, TOLERATED_POINTS, out);
}

static double first_delay_us(const struct verdicts *verdicts)
{
    return verdicts->of[GENERATION_FIRST].conditions.channel.rays[1].delay_us;
}

/* Margins over all carriers, as the verdict has them: a curve must not differ from it. */
static enum status slide_first_echo(const struct verdicts *verdicts, struct echo_margins *points)
{
    double span_us = picture_echo_span_us(verdicts), now_us = first_delay_us(verdicts);
    enum status status = STATUS_OK;
    for (size_t i = 0; i < MARGIN_POINTS && status == STATUS_OK; i++) {
        double at_us = echo_sweep_at_us(span_us, i, MARGIN_POINTS, now_us);
        status = echo_sweep_margins(verdicts, 0, at_us, at_us, 1, &points[i]);
    }
    return status;
}

bool pictures_echo_margins(const struct picture_case *shown, struct picture *out)
{
    const struct verdicts *verdicts = &shown->report->verdicts;
    struct echo_margins points[MARGIN_POINTS];
    return any_snr(verdicts) && shown->scenario->echo_count > 0 &&
           slide_first_echo(verdicts, points) == STATUS_OK &&
           picture_echo_margins(verdicts, points, MARGIN_POINTS, first_delay_us(verdicts), out);
}
