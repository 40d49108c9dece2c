#ifndef STUDY_PLACE_PLACE_H
#define STUDY_PLACE_PLACE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "study/figure.h"
#include "study/place/link.h"
#include "study/verdict/verdict.h"

/* Stations at a place, side by side: from the tower to the margin. What is assumed:
 * - Fields are medians outside of buildings, over even ground where a station has no terrain file.
 *   ITU-R P.1546 and Okumura-Hata know the surroundings.
 * - The receiving antenna is turned to the station, unless the place says where it points, and to
 *   the stronger of its polarisations; its gain and line loss are the same on every channel.
 * - Every other station disturbs (study/place/interference.h), but those of its own network, which
 *   are received with it (study/place/network.h): its reach is that of its own field alone, the
 *   others as strong and as late as they are.
 * - Noise bandwidth is the channel's. Needed SNR: first generation threshold and implementation
 *   loss, second receiver SNR; with echoes in the profile what these ask for under the echoes.
 * - The margin is the verdict's (study/verdict/verdict.h) at the C/N of the asked share of
 *   locations: C/N - share of locations - needed in noise - lost to echoes and motion. */

enum place_reach {
    REACH_FOUND,
    REACH_BEYOND, /* still a margin at the farthest distance that the method knows */
    REACH_NOWHERE /* none at the nearest */
};

struct place_station {
    struct link link;
    struct verdict
        verdict;          /* under the profile's conditions, at the C/N of the share of locations */
    double needed_snr_db; /* with the profile's echoes and motion; INFINITY: no SNR suffices */
    double needed_noise_db;    /* in white noise alone */
    double needed_field_dbuvm; /* outdoors at the antenna, for the share of locations; noise as it
                                  is, no interference */
    double lost_db; /* what echoes and motion take of the margin in noise and interference */
    enum place_reach reach;
    double reach_km;     /* the farthest where the margin is 0; NAN where not found */
    bool reach_has_gaps; /* nearer by it does not decode everywhere */
    double reach_end_km; /* the distance that REACH_BEYOND and REACH_NOWHERE speak of */
};

struct place_study {
    int count;
    struct place_station stations[STATIONS_MAX];
    bool has_echoes;
};

/* Of struct place_station and of struct interferer: figures.c. */
extern const struct figure_table place_figures, interferer_figures;
/* A figure that is unknown for a station without a terrain file. */
bool place_figure_is_of_terrain(const struct figure *figure);

/* STATUS_ILLEGAL without a station or for an illegal mode. */
enum status place_study_make(const struct scenario *scenario, struct place_study *study,
                             struct fault *fault);

/* The same where only stations have changed since `known` was made of the same scenario: what a
 * signal needs under the echoes, by far the longest part, is taken from there. */
enum status place_study_make_again(const struct scenario *scenario, const struct place_study *known,
                                   struct place_study *study, struct fault *fault);

/* One station at the scenario's place, whether the scenario has it or not; and once more where all
 * that differs from `known` is how its field is predicted. */
enum status place_station_make(const struct scenario *scenario, const struct station *station,
                               struct place_station *result, struct fault *fault);
enum status place_station_make_again(const struct scenario *scenario,
                                     const struct place_station *known,
                                     struct place_station *result, struct fault *fault);

/* Field and SNR of the share of locations at another distance, all else equal; NAN where the method
 * does not reach. */
double place_field_at_dbuvm(const struct scenario *scenario, const struct place_station *station,
                            double distance_km);
double place_snr_at_db(const struct scenario *scenario, const struct place_station *station,
                       double distance_km);

/* Margins at many distances, of the position where the verdict's account stands: a few are solved
 * and the others lie on a curve through them, within 0.01 dB. STATUS_NO_MEMORY. */
enum status place_margins_at_db(const struct scenario *scenario,
                                const struct place_station *station, const double *distance_km,
                                size_t count, double *margin_db);

/* The same station and antenna on one channel of each band: 3, 10, 24. */
int place_band_channel(const struct scenario *scenario, enum band band); /* 0: none in the plan */
enum status place_bands_make(const struct scenario *scenario, const struct station *station,
                             struct place_station results[BAND_COUNT], struct fault *fault);

/* ---- Why one comes in better: parts that sum up to the difference of margins. */

enum place_part {
    PART_POWER,
    PART_WAY,       /* distance, height, frequency: what lies between the antennas */
    PART_ANTENNA,   /* the same gain catches less on a higher channel */
    PART_DIRECTION, /* how far the antenna is turned away */
    PART_NETWORK,
    PART_BUILDING,
    PART_NOISE,
    PART_INTERFERENCE,
    PART_LOCATIONS, /* interference widens the spread */
    PART_NEED,      /* of the mode or threshold, without echoes */
    PART_ECHOES,
    PART_COUNT
};
/* dB by which `other` is better off than `one`, part by part. */
void place_difference(const struct place_station *one, const struct place_station *other,
                      double parts_db[PART_COUNT]);
const char *place_part_name(enum place_part part);

/* ---- Words: words.c. Each appends full sentences. */
void place_words_station(const struct place_station *station, struct text *out);
void place_words_difference(const struct place_station *one, const struct place_station *other,
                            struct text *out);
/* The reach in words: "71.3 km", "beyond 1000 km", "none". */
void place_words_reach(const struct place_station *station, char *buffer, size_t size);
/* What moves near the path, held against the station's Doppler limit. */
void place_words_motion(const struct place_station *station, struct text *out);
/* Cautions on antenna and mast work: shown wherever someone may be moved to climb. */
const char *place_words_caution(void);

#endif
