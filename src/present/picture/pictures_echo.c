#include "present/picture/pictures_echo.h"

#include <math.h>
#include <stdlib.h>

#include "present/picture/echo.h"

#define TOLERATED_POINTS 81
#define MARGIN_POINTS 97

static bool from_study(const struct picture_case *shown, struct picture *out,
                       bool (*draw)(const struct echo_study *study, struct picture *out))
{
    struct echo_study *study = malloc(sizeof *study);
    bool made = study != NULL && echo_study_make(shown->scenario, study, NULL) == STATUS_OK &&
                draw(study, out);
    free(study);
    return made;
}

bool pictures_echo_window(const struct scenario *scenario, const struct mode *mode,
                          struct ofdm_window *window)
{
    struct scenario *moded = malloc(sizeof *moded);
    struct echo_input *input = malloc(sizeof *input);
    struct echo_study *study = malloc(sizeof *study);
    bool placed = moded && input && study;
    if (placed) {
        *moded = *scenario;
        moded->mode = *mode;
        placed = echo_input_make(moded, input, NULL) == STATUS_OK;
    }
    if (placed) {
        input->carriers_most = 1; /* the window is placed by a look of its own */
        placed = echo_study_solve_second(input, study, NULL) == STATUS_OK;
        *window = study->second.window;
    }
    free(moded);
    free(input);
    free(study);
    return placed;
}

bool pictures_echo_rays(const struct picture_case *shown, struct picture *out)
{
    return from_study(shown, out, picture_echo_rays);
}

bool pictures_echo_carriers(const struct picture_case *shown, struct picture *out)
{
    /* The first generation's equaliser would take most of the time and is not shown. */
    struct echo_input *input = malloc(sizeof *input);
    struct echo_study *study = calloc(1, sizeof *study);
    bool made = input && study && echo_input_make(shown->scenario, input, NULL) == STATUS_OK &&
                echo_study_solve_second(input, study, NULL) == STATUS_OK &&
                picture_echo_carriers(study, out);
    free(input);
    free(study);
    return made;
}

/* The input of a sweep; NULL without memory or for a bad scenario. The caller frees it. */
static struct echo_input *sweep_input(const struct picture_case *shown)
{
    struct echo_input *input = malloc(sizeof *input);
    if (input != NULL && echo_input_make(shown->scenario, input, NULL) != STATUS_OK) {
        free(input);
        input = NULL;
    }
    return input;
}

bool pictures_echo_tolerance(const struct picture_case *shown, struct picture *out)
{
    struct echo_tolerated points[TOLERATED_POINTS];
    struct echo_input *input = sweep_input(shown);
    bool made = false;
    if (input != NULL) {
        double span_us = picture_echo_span_us(input);
        made =
            echo_sweep_tolerated(input, -span_us, span_us, TOLERATED_POINTS, points) == STATUS_OK &&
            picture_echo_tolerated(input, points, TOLERATED_POINTS, out);
    }
    free(input);
    return made;
}

/* Margins over all carriers, as the echo study has them: a curve must not differ from it. */
static enum status slide_first_echo(const struct echo_input *input, struct echo_margins *points)
{
    double span_us = picture_echo_span_us(input), now_us = input->echoes[0].delay_us;
    enum status status = STATUS_OK;
    for (size_t i = 0; i < MARGIN_POINTS && status == STATUS_OK; i++) {
        double at_us = echo_sweep_at_us(span_us, i, MARGIN_POINTS, now_us);
        status = echo_sweep_margins(input, 0, at_us, at_us, 1, &points[i]);
    }
    return status;
}

bool pictures_echo_margins(const struct picture_case *shown, struct picture *out)
{
    struct echo_margins points[MARGIN_POINTS];
    struct echo_input *input = sweep_input(shown);
    bool made = input != NULL && input->count > 0 && slide_first_echo(input, points) == STATUS_OK &&
                picture_echo_margins(input, points, MARGIN_POINTS, input->echoes[0].delay_us, out);
    free(input);
    return made;
}
