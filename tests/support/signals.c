#include "support/signals.h"

#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "standard/atsc3/grid.h"
#include "standard/vsb/signal.h"

double ideal_need_db(const struct transmission *transmission)
{
    const struct code *code = &transmission->plps[0].code;
    return ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
}

struct ofdm_reception reception_of(const struct transmission *transmission)
{
    const struct code *code = &transmission->plps[0].code;
    struct ofdm_reception reception = {
        .grid = waveform_grid(&transmission->subframes[0].waveform),
        .curve = information_curve_of(code->constellation, code->rate_15ths),
        .ideal_db = ideal_need_db(transmission),
    };
    reception.needed_db = receiver_snr_from_ideal_db(
        &reception.grid, receiver_backstop_db(code->constellation), reception.ideal_db);
    return reception;
}

double receiver_need_db(const struct transmission *transmission)
{
    return reception_of(transmission).needed_db;
}

struct channel channel_of(const struct echo *echoes, int count)
{
    struct channel channel;
    channel_start(&channel, 189e6);
    for (int i = 0; i < count; i++) {
        channel_add(&channel, &echoes[i], "ray");
    }
    return channel;
}

struct channel channel_at_pilot(const struct echo *echoes, int count)
{
    struct channel channel;
    channel_start(&channel, 189e6);
    for (int i = 0; i < count; i++) {
        struct echo echo = echoes[i];
        echo.phase_deg -= 360.0 * vsb_pilot_below_hz() * 1e-6 * echo.delay_us;
        channel_add(&channel, &echo, "ray");
    }
    return channel;
}

struct asked asked_for(const struct transmission *transmission, const struct echo *echoes,
                       int count, double snr_db)
{
    return (struct asked){reception_of(transmission), channel_of(echoes, count), snr_db};
}

enum status asked_solve(const struct asked *asked, struct ofdm_echo_result *result)
{
    struct ofdm_work *work = ofdm_work_new();
    enum status status = work != NULL ? ofdm_echo_solve(&asked->reception, &asked->channel,
                                                        asked->snr_db, work, result)
                                      : STATUS_NO_MEMORY;
    ofdm_work_free(work);
    return status;
}

enum status vsb_solve_echoes(const struct echo *echoes, int count, double snr_db,
                             const struct first_receiver *receiver, struct vsb_echo_result *result)
{
    struct channel channel = channel_at_pilot(echoes, count);
    return vsb_echo_solve(&channel, snr_db, receiver, result);
}
