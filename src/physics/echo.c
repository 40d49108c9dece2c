/* What an echo may be. */
#include "physics/echo.h"

#include <math.h>
#include <stddef.h>

#include "base/text.h"

enum status echoes_check(const struct echo *echoes, int count, struct fault *fault)
{
    if (count < 0 || count > ECHOES_MAX || (count > 0 && echoes == NULL)) {
        char allowed[32];
        text_format(allowed, sizeof allowed, "0 to %d", ECHOES_MAX);
        return fault_set(fault, STATUS_OUT_OF_RANGE, "echoes", allowed, "%d echoes", count);
    }
    for (int i = 0; i < count; i++) {
        const struct echo *echo = &echoes[i];
        char place[32], allowed[64];
        text_format(place, sizeof place, "echo %d", i + 1);
        if (!(fabs(echo->delay_us) <= ECHO_DELAY_MAX_US)) {
            text_format(allowed, sizeof allowed, "-%g to %g us", ECHO_DELAY_MAX_US,
                        ECHO_DELAY_MAX_US);
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "delay %g us",
                             echo->delay_us);
        }
        if (!(echo->level_db >= ECHO_LEVEL_MIN_DB && echo->level_db <= ECHO_LEVEL_MAX_DB)) {
            text_format(allowed, sizeof allowed, "%g to %g dB", ECHO_LEVEL_MIN_DB,
                        ECHO_LEVEL_MAX_DB);
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "level %g dB",
                             echo->level_db);
        }
        if (isinf(echo->phase_deg) || !isfinite(echo->doppler_hz)) {
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, "a finite number",
                             "phase %g deg, Doppler %g Hz", echo->phase_deg, echo->doppler_hz);
        }
    }
    return STATUS_OK;
}
