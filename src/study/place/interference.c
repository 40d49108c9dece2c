/* Who disturbs a signal, and how much.
 *
 * Levels are those of the same prediction at the same place, by the antenna as it stands, for the
 * share of time that is left to the wanted signal: where that is to come in for 90 % of the time,
 * an interferer counts with what it exceeds for 10 % (47 CFR 73.623 does so); at 50 % both are
 * medians. Channels are told apart by their frequencies, so that the gaps of the plan (4/5, 6/7,
 * 13/14) count. A tuner's selectivity is not known: third-order products count however far the two
 * channels are. */
#include "study/place/interference.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/units.h"
#include "physics/air/interference.h"
#include "study/place/network.h"

static double channels_off(const struct scenario *scenario, const struct link *wanted,
                           const struct link *other)
{
    return (other->center_mhz - wanted->center_mhz) / scenario->site.bandwidth_mhz;
}

static void add(struct link *link, const char *name, double offset, double level_dbm, bool product)
{
    if (link->interferer_count == INTERFERERS_MAX) {
        return;
    }
    struct interferer *interferer = &link->interferers[link->interferer_count++];
    *interferer = (struct interferer){
        .offset = (int)lround(offset), .level_dbm = level_dbm, .is_product = product};
    text_format(interferer->name, sizeof interferer->name, "%s", name);
}

/* Two others, K and 2 K channels away to within half a channel, make a product on the wanted one.
 */
static void add_product(const struct scenario *scenario, struct link *link, const struct link *near,
                        const struct link *far)
{
    double near_off = channels_off(scenario, link, near),
           far_off = channels_off(scenario, link, far);
    if (fabs(near_off) < 0.5 || fabs(2.0 * near_off - far_off) > 0.5) {
        return;
    }
    char name[sizeof link->interferers[0].name];
    text_format(name, sizeof name, "%s + %s", near->tower.name, far->tower.name);
    add(link, name, near_off,
        interference_third_order_dbm(near->level_dbm, far->level_dbm,
                                     scenario->receiver.intercept_dbm),
        true);
}

static bool disturbs(const struct link *link, const struct station *station)
{
    return strcmp(station->name, link->tower.name) != 0 && !network_joins(&link->tower, station);
}

void interference_find(const struct scenario *scenario, struct link *link)
{
    double percent = fmin(scenario->place.time_percent, 100.0 - scenario->place.time_percent);
    struct link others[STATIONS_MAX];
    int count = 0;
    link->interferer_count = 0;
    link->strongest_other_dbm = -INFINITY;
    for (int i = 0; i < scenario->station_count; i++) {
        if (!disturbs(link, &scenario->stations[i])) {
            continue;
        }
        struct link *other = &others[count];
        link_send(scenario, &scenario->stations[i], link->choice.method, percent, other);
        link->strongest_other_dbm = fmax(link->strongest_other_dbm, other->level_dbm);
        count++;
    }
    for (int i = 0; i < count; i++) {
        double offset = channels_off(scenario, link, &others[i]);
        if (fabs(offset) < INTERFERENCE_OFFSET_MAX + 0.5) {
            add(link, others[i].tower.name, offset, others[i].level_dbm, false);
        }
        for (int k = 0; k < count; k++) {
            if (k != i) {
                add_product(scenario, link, &others[i], &others[k]);
            }
        }
    }
}

double interference_sum_dbm(struct link *link, double desired_dbm)
{
    double sum = 0.0;
    for (int i = 0; i < link->interferer_count; i++) {
        struct interferer *interferer = &link->interferers[i];
        interferer->dbm = interferer->is_product
                              ? interferer->level_dbm
                              : interference_as_noise_dbm(link->tower.plan, interferer->offset,
                                                          interferer->level_dbm, desired_dbm);
        sum += ratio_from_db(interferer->dbm);
    }
    return sum > 0.0 ? db_from_ratio(sum) : -INFINITY;
}
