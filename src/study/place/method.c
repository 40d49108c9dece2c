/* Which method predicts a field, and how far it can be trusted.
 *
 * Where nothing is asked for, ITU-R P.1546 is chosen: of the methods here it alone knows
 * surroundings and heights and times at once, and it holds for every station that a profile can
 * name. For more than half of the time only the regulator's curves have an answer. */
#include "study/place/method.h"

#include <math.h>

#include "base/text.h"
#include "physics/air/fcc.h"
#include "physics/air/p1546.h"

static double to_the_end_km(double time_percent)
{
    (void)time_percent;
    return DISTANCE_MAX_KM;
}

static double hata_far_km(double time_percent)
{
    (void)time_percent;
    return HATA_MAX_KM;
}

static double free_space_dbuvm(const struct path *path, double erp_kw)
{
    return free_space_field_dbuvm(erp_kw, path_slant_km(path));
}

static double smooth_earth_dbuvm(const struct path *path, double erp_kw)
{
    struct path over = *path; /* a smooth earth has no ground that the antenna could be below */
    over.transmit_height_m = fmax(path->transmit_height_m, HEIGHT_MIN_M);
    return free_space_dbuvm(path, erp_kw) - smooth_earth_loss_db(&over);
}

/* With a high receiving antenna the fit exceeds free space, which no field does. */
static double hata_dbuvm(const struct path *path, double erp_kw)
{
    return hata_check(path, NULL) == STATUS_OK
               ? fmin(hata_field_dbuvm(path, erp_kw), free_space_dbuvm(path, erp_kw))
               : NAN;
}

static double p1546_dbuvm(const struct path *path, double erp_kw)
{
    struct path known = *path; /* where it stands in for a method that knows more of the time */
    known.time_percent = fmin(path->time_percent, P1546_TIME_MAX_PERCENT);
    return p1546_field_dbuvm(&known, erp_kw);
}

/* Errors to expect: common practice. The rule itself warns of its curves at UHF beyond 48 km; free
 * space is always too high, the smooth earth mostly. */
static const struct method methods[METHOD_COUNT] = {
    [METHOD_P1546] = {"ITU-R P.1546", DISTANCE_MIN_KM, to_the_end_km, 9.0, 8.0, p1546_dbuvm},
    [METHOD_FCC] = {"47 CFR 73.699 curves", DISTANCE_MIN_KM, fcc_farthest_km, 9.0, 9.0,
                    fcc_field_dbuvm},
    [METHOD_FREE_SPACE] = {"free space (ITU-R P.525)", DISTANCE_MIN_KM, to_the_end_km, 20.0, 20.0,
                           free_space_dbuvm},
    [METHOD_SMOOTH_EARTH] = {"smooth earth (ITU-R P.526)", DISTANCE_MIN_KM, to_the_end_km, 12.0,
                             12.0, smooth_earth_dbuvm},
    [METHOD_HATA] = {"Okumura-Hata (ITU-R P.1546-3 Annex 7)", HATA_MIN_KM, hata_far_km, 8.0, 8.0,
                     hata_dbuvm},
};

const struct method *method_row(enum field_method method)
{
    return &methods[method];
}

double method_error_db(enum field_method method, const struct path *path)
{
    const struct method *row = &methods[method];
    return path->terrain ? row->known_ground_error_db : row->error_db;
}

double method_field_dbuvm(enum field_method method, const struct path *path, double erp_kw)
{
    const struct method *row = &methods[method];
    bool holds =
        path->distance_km >= row->near_km && path->distance_km <= row->far_km(path->time_percent);
    return holds ? row->field_dbuvm(path, erp_kw) : NAN;
}

static struct method_choice chosen(const struct path *path)
{
    struct method_choice choice = {.method = METHOD_P1546};
    if (path->time_percent <= P1546_TIME_MAX_PERCENT) {
        text_format(choice.note, sizeof choice.note,
                    "Auto chose P.1546: it holds here, and knows surroundings and time.");
    } else if (path->distance_km <= fcc_farthest_km(path->time_percent)) {
        choice.method = METHOD_FCC;
        text_format(
            choice.note, sizeof choice.note,
            "Auto chose the curves of 47 CFR 73.699: P.1546 knows no more than 50 %% of the "
            "time.");
    } else {
        text_format(
            choice.note, sizeof choice.note,
            "Auto chose P.1546 at 50 %% of the time: no method here knows %g %% of it beyond "
            "%g km.",
            path->time_percent, fcc_farthest_km(path->time_percent));
    }
    return choice;
}

struct method_choice method_choose(enum field_method asked, const struct path *path)
{
    struct method_choice choice = {.method = asked};
    struct fault fault = {0};
    if (asked == METHOD_AUTO) {
        return chosen(path);
    }
    if (asked == METHOD_HATA && hata_check(path, &fault) != STATUS_OK) {
        choice = (struct method_choice){METHOD_P1546, true, ""};
        text_format(choice.note, sizeof choice.note,
                    "Okumura-Hata does not hold: %s %s (%s). ITU-R P.1546 is taken instead.",
                    fault.place, fault.wrong, fault.allowed);
    }
    if (asked == METHOD_FCC && path->distance_km > fcc_farthest_km(path->time_percent)) {
        choice = (struct method_choice){METHOD_P1546, true, ""};
        text_format(choice.note, sizeof choice.note,
                    "The curves of 47 CFR 73.699 end at %g km. ITU-R P.1546 is taken instead, at "
                    "no more than 50 %% of the time.",
                    fcc_farthest_km(path->time_percent));
    }
    return choice;
}
