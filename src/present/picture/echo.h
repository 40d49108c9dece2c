#ifndef PRESENT_PICTURE_ECHO_H
#define PRESENT_PICTURE_ECHO_H

#include "present/picture/picture.h"
#include "study/verdict/sweep.h"

/* Pictures of an echo study. False when memory runs out; the picture is then empty. The caller
 * frees it. */

/* Where no SNR is known, the receivers stand among the rays as at this one: what they lock to
 * hardly depends on it. */
#define PICTURE_UNKNOWN_SNR_DB 20.0

/* Rays by name, delay and level, the useful part of each in OFDM, the equaliser's reach, the guard
 * interval where the window stands, and the pilots' reach. The axis is that of the rays, however
 * short they are; reaches go on beyond it. False also where the rays cancel each other. */
bool picture_echo_rays(const struct scenario *scenario, const struct verdicts *verdicts,
                       struct picture *out);

/* SNR over the channel's width: strongest and weakest of neighbouring carriers, what they amount
 * to, and what the mode needs. The second generation's SNR must be known. */
bool picture_echo_carriers(const struct verdicts *verdicts, struct picture *out);

/* Level of the strongest echo that each generation bears, by its delay; margins as one echo slides,
 * which is named: the wish says which was made. */
bool picture_echo_lines(const struct verdicts *verdicts, const struct echo_lines_wish *wish,
                        const char *echo, const struct echo_lines *lines, struct picture *out);

/* Delays worth showing: beyond guard interval, equaliser and every echo. */
double picture_echo_span_us(const struct verdicts *verdicts);

#endif
