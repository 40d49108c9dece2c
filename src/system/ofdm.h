#ifndef SYSTEM_OFDM_H
#define SYSTEM_OFDM_H

#include "system/system.h"

/* What the rows of all OFDM systems have in common: how a reception (its member `ofdm`, a grid and
 * needs as plain numbers) fares in a channel. */

/* What physics is asked for in place of an SNR that no signal has, as where a layer is too strong
 * for its core; the margin is then told apart. */
#define OUT_OF_REACH_DB 70.0

extern const char *const ofdm_fare_figures[];

/* Members of every OFDM system's row, and figures that each of them has, in order. */
#define OFDM_ROW                                                                      \
    .open = ofdm_open, .close = ofdm_close, .fare = ofdm_fare, .margin = ofdm_margin, \
    .required = ofdm_required, .words = ofdm_words, .reaches = ofdm_reaches,          \
    .ideal_margin_db = ofdm_ideal_margin_db, .ray_share = ofdm_ray_share,             \
    .motion_losses = ofdm_motion_losses, .spectrum = ofdm_spectrum,                   \
    .fare_figures = ofdm_fare_figures
#define OFDM_TIMES_AND_CARRIERS \
    "useful_us", "guard_us", "symbol_us", "spacing_hz", "carriers", "occupied_mhz"
#define OFDM_BEARS_AND_NEEDS                                                                     \
    "reach_us", "doppler_pilot_hz", "doppler_ici_hz", "doppler_hz", "speed_kmh", "limit_snr_db", \
        "ideal_snr_db", "ideal_rayleigh_snr_db", "receiver_snr_db", "field_dbuvm",               \
        "margin_noise_db", "margin_db", "margin_90_db", "margin_99_db", "works", "positions_share"

enum status ofdm_open(const struct reception *reception, const struct channel *channel,
                      struct fare_work **work);
void ofdm_close(struct fare_work *work);
enum status ofdm_fare(const struct reception *reception, const struct channel *channel,
                      double snr_db, struct fare_work *work, struct fare *fare);
enum status ofdm_margin(const struct reception *reception, const struct channel *channel,
                        double snr_db, double least_db, struct fare_work *work, double *margin_db);
enum status ofdm_required(const struct reception *reception, const struct channel *channel,
                          double *snr_db);
void ofdm_words(const struct reception *reception, const struct channel *channel,
                const struct fare *fare, struct text *out);
void ofdm_motion_losses(const struct reception *reception, int count, const double *doppler_hz,
                        double *loss_db);
double ofdm_ideal_margin_db(const struct reception *reception, const struct fare *fare);
int ofdm_reaches(const struct reception *reception, const struct fare *fare,
                 struct reach reaches[REACHES_MAX]);
double ofdm_ray_share(const struct reception *reception, const struct fare *fare,
                      const struct ray *ray, const char **words);
int ofdm_spectrum(const struct reception *reception, const struct channel *channel,
                  const struct fare *fare, int most, double *mhz, double *snr_db);

/* Doppler, speed and field of facts that have their needed SNRs; `ideal_db` is a data cell's. */
void ofdm_describe_motion(const struct ofdm_grid *grid, const struct information_curve *curve,
                          double ideal_db, const struct site *site, struct facts *facts);

/* Times and carriers. */
void ofdm_describe_grid(const struct ofdm_grid *grid, struct facts *facts);

#endif
