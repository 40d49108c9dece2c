/* The channel's taps are cut PULSE_TAIL symbols from each echo, where they are below 6e-6 of its
 * amplitude; the equaliser is designed for the whole ones. */
#include "simulation/vsb/line.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/units.h"
#include "physics/vsb/channel.h"
#include "simulation/vsb/inner.h"
#include "standard/vsb/signal.h"

#define PULSE_TAIL 160
#define PULSE_TAPS (2 * PULSE_TAIL + 1)

/* One echo: symbols from n - from on, oldest first, weigh into sample n. */
struct line_ray {
    long from;
    double taps[PULSE_TAPS];
};

struct vsb_line {
    int ray_count;
    struct line_ray *rays;
    long margin; /* of zeros before and after the symbols */
    double deviation;
    double output_snr_db;
    struct vsb_equaliser equaliser; /* feedback taps oldest symbol first */
};

void vsb_line_free(struct vsb_line *line)
{
    if (line) {
        free(line->rays);
        vsb_equaliser_free(&line->equaliser);
        free(line);
    }
}

static void fill_ray(const struct echo *echo, struct line_ray *ray)
{
    double delay = echo->delay_us / vsb_symbol_us(),
           amplitude = sqrt(ratio_from_db(echo->level_db));
    double phase = echo->phase_deg * PI / 180.0;
    ray->from = lround(delay) + PULSE_TAIL;
    for (int i = 0; i < PULSE_TAPS; i++) {
        double at = (double)(ray->from - i) - delay;
        ray->taps[i] = amplitude * (cos(phase) * vsb_pulse_in_phase(at) -
                                    sin(phase) * vsb_pulse_quadrature(at));
    }
}

/* Equaliser, its feedback taps turned round to lie along the symbols. */
static enum status design(const struct vsb_line_setup *setup, double noise, struct vsb_line *line)
{
    struct vsb_channel channel;
    enum status status = vsb_channel_make(setup->echoes, setup->count, &channel);
    if (status != STATUS_OK) {
        return status;
    }
    status = vsb_equaliser_design(&channel, noise / setup->symbol_power, setup->spans, NULL,
                                  &line->equaliser);
    vsb_channel_free(&channel);
    if (status != STATUS_OK) {
        return status;
    }
    double *backward = line->equaliser.backward;
    for (int i = 0, j = setup->spans.feedback - 1; i < j; i++, j--) {
        double kept = backward[i];
        backward[i] = backward[j];
        backward[j] = kept;
    }
    line->output_snr_db =
        db_from_ratio(line->equaliser.snr * (1.0 + setup->pilot_power / setup->symbol_power));
    return STATUS_OK;
}

enum status vsb_line_create(const struct vsb_line_setup *setup, struct vsb_line **line)
{
    *line = NULL;
    enum status status = vsb_echoes_check(setup->echoes, setup->count, NULL);
    if (status != STATUS_OK) {
        return status;
    }
    double power = vsb_received_power(setup->echoes, setup->count);
    if (!(power > 1e-6)) {
        return STATUS_NO_SOLUTION;
    }
    struct vsb_line *made = calloc(1, sizeof *made);
    if (made) {
        made->rays = calloc((size_t)setup->count + 1, sizeof *made->rays);
    }
    if (!made || !made->rays) {
        vsb_line_free(made);
        return STATUS_NO_MEMORY;
    }
    double noise =
        power * (setup->symbol_power + setup->pilot_power) / ratio_from_db(setup->snr_db);
    made->deviation = sqrt(noise);
    made->margin = setup->spans.earlier + setup->spans.later + setup->spans.feedback + 1;
    made->ray_count = setup->count;
    for (int i = 0; i < setup->count; i++) {
        fill_ray(&setup->echoes[i], &made->rays[i]);
        long reach = labs(made->rays[i].from) + PULSE_TAPS + made->margin;
        made->margin = reach > made->margin ? reach : made->margin;
    }
    status = design(setup, noise, made);
    if (status != STATUS_OK) {
        vsb_line_free(made);
        return status;
    }
    *line = made;
    return STATUS_OK;
}

double vsb_line_output_snr_db(const struct vsb_line *line)
{
    return line->output_snr_db;
}

size_t vsb_line_room(const struct vsb_line *line, long count)
{
    return 2 * (size_t)(count + 2 * line->margin);
}

void vsb_line_send(const struct vsb_line *line, const double *sent, long count,
                   struct random *random, double *room, double *received)
{
    const struct vsb_equaliser_spans *spans = &line->equaliser.spans;
    long whole = count + 2 * line->margin;
    double *symbols = room + line->margin, *samples = room + whole + line->margin;
    memset(room, 0, (size_t)(2 * whole) * sizeof *room);
    memcpy(symbols, sent, (size_t)count * sizeof *symbols);
    for (long n = -spans->earlier; n < count + spans->later; n++) {
        samples[n] = symbols[n] + line->deviation * random_normal(random);
        for (int i = 0; i < line->ray_count; i++) {
            const struct line_ray *ray = &line->rays[i];
            samples[n] += inner_product(ray->taps, symbols + n - ray->from, PULSE_TAPS);
        }
    }
    for (long n = 0; n < count; n++) {
        received[n] =
            inner_product(line->equaliser.forward, samples + n - spans->earlier,
                          spans->earlier + spans->later + 1) -
            inner_product(line->equaliser.backward, symbols + n - spans->feedback, spans->feedback);
    }
}
