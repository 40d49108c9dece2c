/* At which positions the simulated 8-VSB receiver decodes, in rooms whose phases nobody knows, for
 * the share of positions that physics/vsb/echo.h predicts to be held against it
 * (tests/simulation/vsb/receiver/test_outage.c). A line a position: the room, its reach both ways,
 * SNR and step, the position, how many segments were wrong of how many, then delay, level, phase
 * and Doppler of each ray but the main one. Feedback by the trellis. At the threshold of visibility
 * one field in sixteen has a wrong segment, so a position is sent 40 fields, each of the same
 * instant with noise and data of its own; it decodes where at most 2 of their 12480 segments are
 * wrong (1.93e-4), and no more are sent once it does not. Rays stand as the line says when what
 * counts of a field begins. `make outage` runs it on all processors, 3 minutes of 16;
 * outage-table.txt beside this file is what it printed. Usage:
 *
 *     outage FIRST LAST
 *
 * tells of these positions in every room. */
#include <math.h>
#include <stdio.h>

#include "base/number.h"
#include "base/units.h"
#include "simulation/vsb/chain.h"
#include "simulation/vsb/receiver/frame.h"

#define SEED 13
#define RAYS_MAX 11
#define FIELDS 40
#define WRONG_MOST 2 /* of 12480 segments: a rate of 1.93e-4 */

static const struct room {
    const char *name;
    double reach_us, snr_db, step;
    int count;
    struct echo echoes[RAYS_MAX];
} rooms[] = {
    {"flat",
     38.5,
     17.5,
     0.0,
     5,
     {{0.028, -3.0, NAN, 0.0},
      {0.061, -5.0, NAN, 0.0},
      {0.11, -4.0, NAN, 0.0},
      {0.17, -8.0, NAN, 0.0},
      {0.42, -6.0, NAN, 0.0}}},
    {"city",
     38.5,
     18.3,
     0.0,
     5,
     {{-0.2, -3.0, NAN, 0.0},
      {0.3, -2.0, NAN, 0.0},
      {1.4, -6.0, NAN, 0.0},
      {2.1, -8.0, NAN, 0.0},
      {4.8, -10.0, NAN, 0.0}}},
    {"hall",
     38.5,
     18.0,
     0.0,
     8,
     {{0.1, -6.4, NAN, 0.0},
      {0.2, -10.4, NAN, 0.0},
      {0.4, -9.0, NAN, 0.0},
      {0.6, -9.3, NAN, 0.0},
      {0.8, -9.7, NAN, 0.0},
      {1.6, -11.2, NAN, 0.0},
      {3.1, -10.9, NAN, 0.0},
      {9.0, -11.1, NAN, 0.0}}},
    {"flat, people about",
     38.5,
     20.0,
     0.05,
     5,
     {{0.028, -3.0, NAN, 0.0},
      {0.061, -5.0, NAN, 0.6},
      {0.11, -4.0, NAN, 0.0},
      {0.17, -8.0, NAN, -1.1},
      {0.42, -6.0, NAN, 0.0}}},
};

static void any_position(const struct room *room, int position, struct channel *channel)
{
    channel_start(channel, 189e6);
    for (int i = 0; i < room->count; i++) {
        char name[64];
        snprintf(name, sizeof name, "%s %d", room->name, i);
        channel_add(channel, &room->echoes[i], name);
    }
    channel_draw(channel, (uint64_t)position, channel);
}

/* From a unit's beginning to what counts of it. */
static double lead_seconds(const struct vsb_receiver_setup *setup)
{
    long segments = vsb_air_segments(vsb_receiver_lead_segments(setup));
    return (double)(segments * VSB_SEGMENT_SYMBOLS) / vsb_symbol_rate_hz();
}

/* False: a run failed. */
static bool tell(const struct room *room, int position)
{
    struct vsb_receiver_setup setup = {.snr_db = room->snr_db,
                                       .spans = vsb_equaliser_spans(room->reach_us, room->reach_us),
                                       .feedback = FEEDBACK_TRELLIS,
                                       .step = room->step,
                                       .tracking_hz = 1e6};
    struct channel begun;
    any_position(room, position, &begun);
    setup.channel = begun;
    channel_advance(&begun, -lead_seconds(&setup), &setup.channel);
    struct vsb_worker *worker = vsb_worker_create(&setup);
    if (worker == NULL) {
        return false;
    }
    enum status status = STATUS_OK;
    int wrong = 0, segments = 0;
    for (int field = 0; field < FIELDS && wrong <= WRONG_MOST && status == STATUS_OK; field++) {
        struct vsb_outcome outcome = vsb_send(worker, room->snr_db, SEED + (uint64_t)field, 0);
        status = outcome.status;
        wrong += outcome.segment_errors;
        segments += VSB_UNIT_SEGMENTS;
    }
    vsb_worker_free(worker);
    printf("%-20s %4g %4g %4g %3d | %3d %5d |", room->name, room->reach_us, room->snr_db,
           room->step, position, wrong, segments);
    for (int i = 1; i < begun.count; i++) {
        const struct ray *ray = &begun.rays[i];
        printf(" %.9g %.9g %.6f %g", ray->delay_us, 2.0 * db_from_ratio(ray->gain),
               ray->phase * 180.0 / PI, ray->doppler_hz);
    }
    printf("\n");
    fflush(stdout);
    return status == STATUS_OK;
}

int main(int argc, char **argv)
{
    int first, last;
    if (argc != 3 || !number_read_int(argv[1], &first) || !number_read_int(argv[2], &last)) {
        fprintf(stderr, "usage: outage FIRST LAST\n");
        return 2;
    }
    for (size_t i = 0; i < sizeof rooms / sizeof rooms[0]; i++) {
        for (int position = first; position <= last; position++) {
            if (!tell(&rooms[i], position)) {
                fprintf(stderr, "outage: a run failed\n");
                return 1;
            }
        }
    }
    return 0;
}
