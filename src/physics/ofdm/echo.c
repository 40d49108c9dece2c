/* Idea. With the window placed (window.h), each carrier has a gain, the power of the useful rays'
 * sum, and what disturbs it: noise, the leak of all carriers by motion, and on each carrier its own
 * self-interference and estimation error (carriers.h). SNR per carrier, then mean mutual
 * information over them (gain_spread.h).
 *
 * Noise follows from the total received power, so a flat loss costs nothing and two rays that
 * cancel on some carriers do. If rays move against each other, the code sees all their phases that
 * occur during the time interleaver's span: carriers are gathered at instants all over it. Where
 * the receiver moves each ray is a handful of waves, whose sum comes and goes: the code sees that
 * too, at OFDM_INSTANTS of the span, few carriers all over the channel at each, and what leaks and
 * is mistaken is the mean of motion from all sides.
 *
 * The account takes one disturbance after the other: noise alone, then with self-interference, with
 * the leak, with the estimation error. Each loss is what the effective SNR falls by, so they add up
 * exactly.
 *
 * Valid while the response is steady within a symbol up to the first-order leak that is counted,
 * and while cells of a code block are spread evenly over the carriers (A/322's frequency and bit
 * interleavers do that). The leak is taken alike on all carriers, at its mean; where the channel
 * changes most it is more.
 *
 * Worked number: one echo at 0 dB within the guard interval: 64QAM 10/15, ideal threshold 13.0 dB,
 * needs 15.9 dB of total power over noise. */
#include "physics/ofdm/echo.h"

#include <math.h>
#include <stdlib.h>

#include "base/units.h"
#include "physics/ofdm/work.h"

#define SNR_MOST_DB 100.0

static const struct ofdm_disturbance all_counted = {true, true, true};

static enum status check(const struct ofdm_reception *reception, const struct channel *channel,
                         double snr_db)
{
    enum status status = channel_check(channel);
    if (status == STATUS_OK &&
        (!(snr_db >= -30.0 && snr_db <= SNR_MOST_DB) || !(reception->span_ms >= 0.0))) {
        return STATUS_OUT_OF_RANGE;
    }
    return status;
}

static double noise_at(const struct ofdm_work *work, double snr_db)
{
    return work->received_power / ratio_from_db(snr_db);
}

/* Window, carriers and their spread with all that disturbs. */
static enum status look(const struct ofdm_reception *reception, const struct channel *channel,
                        double snr_db, struct ofdm_work *work, struct gain_spread *spread)
{
    enum status status = check(reception, channel, snr_db);
    if (status == STATUS_OK) {
        status = ofdm_work_place(work, reception, channel, snr_db);
    }
    if (status == STATUS_OK) {
        status = ofdm_work_look(work, reception->carriers_most);
    }
    if (status == STATUS_OK) {
        ofdm_work_spread(work, noise_at(work, snr_db), &all_counted, spread);
    }
    return status;
}

static enum status look_for_code(const struct ofdm_reception *reception,
                                 const struct channel *channel, double snr_db,
                                 struct ofdm_work *work)
{
    if (!isfinite(reception->ideal_db) || isnan(reception->needed_db)) {
        return STATUS_OUT_OF_RANGE;
    }
    enum status status = look(reception, channel, snr_db, work, &work->spread);
    if (status == STATUS_OK && !gain_raster_is_of(&work->raster, &reception->curve)) {
        gain_raster_make(&reception->curve, &work->raster);
    }
    return status;
}

enum status ofdm_echo_spread(const struct ofdm_reception *reception, const struct channel *channel,
                             double snr_db, struct ofdm_work *work, struct gain_spread *spread)
{
    return look(reception, channel, snr_db, work, spread);
}

static double effective_db(const struct ofdm_reception *reception, const struct ofdm_work *work)
{
    return gain_spread_effective_db(&work->spread, &work->raster, reception->ideal_db);
}

enum status ofdm_echo_margin_db(const struct ofdm_reception *reception,
                                const struct channel *channel, double snr_db,
                                struct ofdm_work *work, double *margin_db)
{
    enum status status = look_for_code(reception, channel, snr_db, work);
    *margin_db = status == STATUS_OK ? effective_db(reception, work) - reception->needed_db : NAN;
    return status;
}

/* ---- The whole account. ---- */

static double effective_at_db(const struct ofdm_reception *reception, struct ofdm_work *work,
                              double snr_db, const struct ofdm_disturbance *counted)
{
    ofdm_work_spread(work, noise_at(work, snr_db), counted, &work->spread);
    return effective_db(reception, work);
}

/* Total received power over noise at which the effective SNR reaches a threshold. It falls with the
 * noise all the way, nearly dB for dB: a secant of the last two points is next to the answer, and
 * the bracket is halved where it is not. */
static double required_cn_db(const struct ofdm_reception *reception, struct ofdm_work *work,
                             double threshold_db)
{
    double low = -60.0, high = SNR_MOST_DB;
    double low_more = effective_at_db(reception, work, low, &all_counted) - threshold_db;
    double high_more = effective_at_db(reception, work, high, &all_counted) - threshold_db;
    if (!(high_more >= 0.0)) {
        return isnan(threshold_db) ? NAN : INFINITY;
    }
    double snr_db = threshold_db;
    for (int i = 0; i < 60 && high - low > 1e-5; i++) {
        if (!(snr_db > low && snr_db < high)) {
            snr_db = 0.5 * (low + high);
        }
        double more = effective_at_db(reception, work, snr_db, &all_counted) - threshold_db;
        if (fabs(more) < 1e-5) {
            return snr_db;
        }
        double from_db = more < 0.0 ? low : high, from_more = more < 0.0 ? low_more : high_more;
        bool near = i > 0 && fabs(more - from_more) > 1e-9;
        double secant_db = near ? snr_db - more * (snr_db - from_db) / (more - from_more) : NAN;
        if (more < 0.0) {
            low = snr_db;
            low_more = more;
        } else {
            high = snr_db;
            high_more = more;
        }
        bool halve = i % 3 == 2 || !isfinite(secant_db);
        snr_db = i == 0 ? snr_db - more : halve ? 0.5 * (low + high) : secant_db;
    }
    return 0.5 * (low + high);
}

static void fill_losses(const struct ofdm_reception *reception, struct ofdm_work *work,
                        struct ofdm_echo_result *result)
{
    const struct ofdm_window *window = &work->window;
    double snr_db = result->input_snr_db;
    bool self = window->self_interference > 0.0, moved = window->moved > 0.0;
    bool mistaken = window->mistaken > 0.0;
    struct ofdm_disturbance counted = {false, false, false};
    double all_db = effective_db(reception, work);
    double faded_db =
        self || moved || mistaken ? effective_at_db(reception, work, snr_db, &counted) : all_db;
    counted.self = true;
    double self_db = self ? effective_at_db(reception, work, snr_db, &counted) : faded_db;
    counted.moved = true;
    double moved_db = moved ? effective_at_db(reception, work, snr_db, &counted) : self_db;
    result->fading_loss_db = snr_db - faded_db;
    result->self_loss_db = faded_db - self_db;
    result->motion_loss_db = self_db - moved_db;
    result->estimation_loss_db = mistaken ? moved_db - all_db : 0.0;
    result->effective_snr_db = mistaken ? all_db : moved_db;
    result->self_interference_db =
        self ? db_from_ratio(window->self_interference / window->useful) : -INFINITY;
}

static void fill_result(const struct ofdm_reception *reception, struct ofdm_work *work,
                        double snr_db, struct ofdm_echo_result *result)
{
    result->input_snr_db = snr_db;
    result->received_power = work->received_power;
    result->window = work->window;
    result->rays = work->rays;
    result->mean_information_bits = gain_spread_information(&work->spread, &work->raster);
    result->inside_guard = true;
    for (int i = 0; i < work->rays.count; i++) {
        const struct ofdm_ray *ray = &work->rays.rays[i];
        result->inside_guard &= ray->fate == OFDM_RAY_WHOLE;
    }
    fill_losses(reception, work, result);
    result->ideal_margin_db = result->effective_snr_db - reception->ideal_db;
    result->margin_db = result->effective_snr_db - reception->needed_db;
    result->ideal_required_cn_db = required_cn_db(reception, work, reception->ideal_db);
    result->required_cn_db = required_cn_db(reception, work, reception->needed_db);
}

enum status ofdm_echo_solve(const struct ofdm_reception *reception, const struct channel *channel,
                            double snr_db, struct ofdm_work *work, struct ofdm_echo_result *result)
{
    enum status status = look_for_code(reception, channel, snr_db, work);
    if (status == STATUS_OK) {
        fill_result(reception, work, snr_db, result);
    }
    return status;
}

size_t ofdm_echo_traits(const struct ofdm_grid *grid, const struct channel *channel,
                        struct ofdm_work *work, double *traits, size_t most)
{
    const struct ofdm_reception reception = {.grid = *grid};
    if (ofdm_work_keep(work, &reception, channel) != STATUS_OK) {
        return 0;
    }
    const struct ofdm_rays *rays = &work->rays;
    size_t all = 4 + (size_t)work->window_count * (1 + 3 * (size_t)rays->count), count = 0;
    if (all > most) {
        return 0;
    }
    traits[count++] = grid->carriers;
    traits[count++] = grid->spacing_hz;
    traits[count++] = grid->occupied_mhz;
    traits[count++] = grid->filter_us;
    for (int w = 0; w < work->window_count; w++) {
        const struct ofdm_window *window = &work->windows[w];
        ofdm_window_apply(grid, &work->rays, window->time_interpolation, window->start_us);
        traits[count++] = window->time_interpolation;
        for (int i = 0; i < rays->count; i++) {
            traits[count++] = rays->rays[i].outside_us;
            traits[count++] = rays->rays[i].known;
            traits[count++] = rays->rays[i].mistaken;
        }
    }
    return count;
}

int ofdm_echo_carriers(const struct ofdm_grid *grid, const struct ofdm_echo_result *result,
                       double at_ms, int step, double *snr_db, int most)
{
    int carriers = grid->carriers, count = 0;
    const struct ofdm_window *window = &result->window;
    double noise = result->received_power / ratio_from_db(result->input_snr_db);
    double level = noise + window->moved;
    int middle = (carriers - 1) / 2;
    for (int k = 0; k < carriers && count < most; k += step) {
        double hz = (k - middle) * grid->spacing_hz;
        struct ofdm_powers powers = ofdm_carrier_powers(grid, &result->rays, hz, at_ms);
        snr_db[count++] =
            db_from_ratio(powers.useful / (level + fmax(powers.self, 0.0) + powers.mistaken));
    }
    return count;
}
