/* Feedback taps over frequency: what errors grow by that follow each other in their rhythm. */
#include "physics/vsb/rhythm.h"

#include <math.h>
#include <string.h>

#include "physics/vsb/equaliser.h"

enum status rhythm_respond(const double *taps, int count, double fade, struct vsb_room *room,
                           struct rhythm_response *response)
{
    int size = VSB_ROOM_SIZE_LEAST;
    while (size < 2 * count) {
        size *= 2;
    }
    struct fourier *fourier = vsb_room_fourier(room, size);
    float *values = vsb_room_array(room, ROOM_RHYTHM, 2 * ((size_t)size + 1) * sizeof *values);
    if (fourier == NULL || values == NULL) {
        return STATUS_NO_MEMORY;
    }
    float *re = values + size, *im = re + size / 2 + 1;
    double weight = 1.0, faded = exp(-fade);
    memset(values, 0, (size_t)size * sizeof *values);
    for (int j = 0; j < count; j++) {
        if (j % VSB_DOUBT_SYMBOLS == 0 && j > 0) {
            weight *= faded;
        }
        values[1 + j] = (float)(taps[j] * weight);
    }
    fourier_forward_real(fourier, values, re, im);
    *response = (struct rhythm_response){size, re, im};
    return STATUS_OK;
}

struct rhythm rhythm_of(const struct rhythm_response *b, double gain)
{
    struct rhythm rhythm = {0.0, 0.0};
    for (int i = 0; i <= b->size / 2; i++) { /* the taps are real: the other half is alike */
        double share = (i == 0 || i == b->size / 2 ? 1.0 : 2.0) / b->size;
        double r = 1.0 + gain * b->re[i], m = gain * b->im[i], growth = share / (r * r + m * m);
        rhythm.growth += growth;
        rhythm.energy += growth * ((double)b->re[i] * b->re[i] + (double)b->im[i] * b->im[i]);
    }
    return rhythm;
}
