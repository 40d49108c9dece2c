/* Subframes and PLPs come and go; what hangs on them follows. */
#include "explorer/plps/edit.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "standard/atsc3/frame.h"

static const struct section *plps(void)
{
    return section_find("plp");
}

static const struct section *subframes(void)
{
    return section_find("subframe");
}

/* A section of its own for what [mode] says; its values stay. */
static void name_plain(const struct section *section, struct scenario *scenario)
{
    char name[NAME_MAX_BYTES];
    struct transmission *transmission = &scenario->transmission;
    struct subframe subframe = transmission->subframes[0];
    struct plp plp = transmission->plps[0];
    if (section_items(section, scenario) > 0) {
        return;
    }
    section_free_name(section, scenario, name, sizeof name);
    section_add(section, scenario, name);
    memcpy(subframe.name, transmission->subframes[0].name, sizeof subframe.name);
    memcpy(plp.name, transmission->plps[0].name, sizeof plp.name);
    transmission->subframes[0] = subframe;
    transmission->plps[0] = plp;
}

/* Room for a new PLP, the last: half of what the one beside it says, where not even a code block is
 * left. */
static void leave_room(struct scenario *scenario, int *count, double *share_percent)
{
    const struct transmission *transmission = &scenario->transmission;
    int added = transmission->plp_count - 1;
    struct frame frame;
    if (frame_build(transmission, &frame, NULL) == STATUS_OK &&
        frame.slots[added].cells >= code_block_cells(&transmission->plps[added].code)) {
        return;
    }
    if (*count > 1) {
        *count /= 2;
    } else if (!isnan(*share_percent)) {
        *share_percent = floor(*share_percent * 5.0) / 10.0;
    }
}

static struct plp *add_copy(struct scenario *scenario, int like)
{
    char name[NAME_MAX_BYTES];
    section_free_name(plps(), scenario, name, sizeof name);
    struct plp *added = section_add(plps(), scenario, name);
    if (added) {
        struct plp copy = scenario->transmission.plps[like];
        memcpy(copy.name, added->name, sizeof copy.name);
        copy.share_percent = NAN;
        copy.cells = copy.subslice_interval = 0;
        copy.start = CHOSEN_BY_NONE;
        copy.subslices = 1;
        *added = copy;
    }
    return added;
}

int plps_add(struct scenario *scenario, int like)
{
    name_plain(plps(), scenario);
    if (!add_copy(scenario, like)) {
        return -1;
    }
    struct plp *beside = &scenario->transmission.plps[like];
    leave_room(scenario, &beside->cells, &beside->share_percent);
    return scenario->transmission.plp_count - 1;
}

static int first_plp_of(const struct transmission *transmission, int subframe)
{
    int plp = 0;
    while (plp < transmission->plp_count - 1 && plp_subframe(transmission, plp) != subframe) {
        plp++;
    }
    return plp;
}

int plps_add_subframe(struct scenario *scenario, int like)
{
    struct transmission *transmission = &scenario->transmission;
    char name[NAME_MAX_BYTES];
    name_plain(subframes(), scenario);
    name_plain(plps(), scenario);
    section_free_name(subframes(), scenario, name, sizeof name);
    struct subframe *added = section_add(subframes(), scenario, name);
    struct plp *carried = added ? add_copy(scenario, first_plp_of(transmission, like)) : NULL;
    if (!carried) {
        return -1;
    }
    struct subframe copy = transmission->subframes[like];
    memcpy(copy.name, added->name, sizeof copy.name);
    copy.symbols = 0;
    copy.share_percent = NAN;
    *added = copy;
    for (int i = 0; i < transmission->plp_count; i++) { /* what lay in the one without a name */
        struct plp *plp = &transmission->plps[i];
        if (plp->subframe[0] == '\0') {
            memcpy(plp->subframe, transmission->subframes[0].name, sizeof plp->subframe);
        }
    }
    memcpy(carried->subframe, added->name, sizeof carried->subframe);
    carried->layer = LAYER_CORE;
    memset(carried->over, 0, sizeof carried->over);
    struct subframe *beside = &transmission->subframes[like];
    leave_room(scenario, &beside->symbols, &beside->share_percent);
    return transmission->subframe_count - 1;
}

void plps_remove(struct scenario *scenario, int plp)
{
    section_remove(plps(), scenario, plp);
    scenario_repair(scenario);
}

void plps_remove_subframe(struct scenario *scenario, int subframe)
{
    struct transmission *transmission = &scenario->transmission;
    for (int i = transmission->plp_count - 1; i >= 0 && transmission->subframe_count > 1; i--) {
        if (plp_subframe(transmission, i) == subframe) {
            section_remove(plps(), scenario, i);
        }
    }
    section_remove(subframes(), scenario, subframe);
    scenario_repair(scenario);
}
