#ifndef PRESENT_PICTURE_PICTURES_ECHO_H
#define PRESENT_PICTURE_PICTURES_ECHO_H

#include "physics/ofdm/window.h"
#include "present/picture/pictures.h"

/* The pictures of a scenario's echoes as kinds, of the report's verdicts. False also where, but for
 * the rays, no SNR is known. */

/* Where the FFT window of a reception stands among the scenario's echoes, as the verdict places it;
 * within a key press. False where there is no solution. */
bool pictures_echo_window(const struct scenario *scenario, const struct reception *reception,
                          struct ofdm_window *window);

bool pictures_echo_rays(const struct picture_case *shown, struct picture *out);
bool pictures_echo_carriers(const struct picture_case *shown, struct picture *out);
bool pictures_echo_tolerance(const struct picture_case *shown, struct picture *out);

/* Slides the scenario's first echo; false without one. */
bool pictures_echo_margins(const struct picture_case *shown, struct picture *out);

#endif
