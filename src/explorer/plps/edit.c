/* Subframes and PLPs come and go; what hangs on them follows. */
#include "explorer/plps/edit.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "system/space/space.h"
#include "system/system.h"

static const struct section *plps(const struct scenario *scenario)
{
    return section_find_in("plp", scenario->site.pair);
}

static const struct section *subframes(void)
{
    return section_find("subframe");
}

/* All that an item says, its name apart. */
static void copy_values(const struct section *section, const struct scenario *from, int like,
                        struct scenario *scenario, int item)
{
    char name[NAME_MAX_BYTES];
    char *at = (char *)scenario + section->names_at + (size_t)item * section->name_bytes;
    memcpy(name, at, sizeof name);
    memcpy(section_item_of(section, scenario, item), section_item(section, from, like),
           section->item_bytes);
    memcpy(at, name, sizeof name);
}

static int add_named(const struct section *section, struct scenario *scenario)
{
    char name[NAME_MAX_BYTES];
    section_free_name(section, scenario, name, sizeof name);
    return section_add(section, scenario, name) ? section_items(section, scenario) - 1 : -1;
}

static void forget(const struct section *section, struct scenario *scenario, int item,
                   const char *key)
{
    const struct field *field = section_field_of(section, key);
    if (field) {
        field_clear(field, section_item_of(section, scenario, item));
    }
}

/* Where in the frame it lies: nothing is said of it. */
static void forget_place(const struct section *section, struct scenario *scenario, int item)
{
    static const char *const keys[] = {"share_percent", "cells", "start", "subslices",
                                       "subslice_interval"};
    for (size_t i = 0; i < sizeof keys / sizeof keys[0]; i++) {
        forget(section, scenario, item, keys[i]);
    }
}

/* A section of its own for what [mode] says; its values stay. */
static void name_plain(const struct section *section, struct scenario *scenario)
{
    const struct scenario before = *scenario;
    if (section_items(section, scenario) == 0) {
        int named = add_named(section, scenario);
        copy_values(section, &before, 0, scenario, named);
        forget_place(section, scenario, named);
    }
}

/* It takes what is left, wherever that is. */
static int add_copy(struct scenario *scenario, int like)
{
    const struct section *section = plps(scenario);
    int added = add_named(section, scenario);
    if (added >= 0) {
        copy_values(section, scenario, like, scenario, added);
        forget_place(section, scenario, added);
    }
    return added;
}

/* Cells enough for a code block of the last PLP, were it of two bits a cell. */
static bool has_room(const struct scenario *scenario)
{
    struct facts made[PLPS_MAX];
    const struct facts *added = &made[section_items(plps(scenario), scenario) - 1];
    return system_of(scenario, GENERATION_SECOND)->space->carry(scenario, made, NULL) ==
               STATUS_OK &&
           added->plp_cells >= added->length / 2.0;
}

/* Room for a new PLP, the last: half of what the item beside it says, where no code block's is
 * left. */
static void leave_room(struct scenario *scenario, const struct section *section, int item,
                       const char *count_key)
{
    const struct field *count = section_field_of(section, count_key);
    const struct field *share = section_field_of(section, "share_percent");
    void *base = section_item_of(section, scenario, item);
    double whole = field_number(count, base), percent = field_number(share, base);
    if (has_room(scenario)) {
        return;
    }
    if (whole > 1.0) {
        field_put(count, base, floor(whole / 2.0));
    } else if (!isnan(percent)) {
        field_put(share, base, floor(percent * 5.0) / 10.0);
    }
}

int plps_add(struct scenario *scenario, int like)
{
    name_plain(plps(scenario), scenario);
    int added = add_copy(scenario, like);
    if (added >= 0) {
        leave_room(scenario, plps(scenario), like, "cells");
    }
    return added;
}

int plps_first_in(const struct transmission *transmission, int subframe)
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
    name_plain(subframes(), scenario);
    name_plain(plps(scenario), scenario);
    int added = add_named(subframes(), scenario);
    int carried = added < 0 ? -1 : add_copy(scenario, plps_first_in(transmission, like));
    if (carried < 0) {
        return -1;
    }
    copy_values(subframes(), scenario, like, scenario, added);
    forget(subframes(), scenario, added, "symbols");
    forget(subframes(), scenario, added, "share_percent");
    for (int i = 0; i < transmission->plp_count; i++) { /* what lay in the one without a name */
        struct plp *plp = &transmission->plps[i];
        if (plp->subframe[0] == '\0') {
            memcpy(plp->subframe, transmission->subframes[0].name, sizeof plp->subframe);
        }
    }
    struct plp *plp = &transmission->plps[carried];
    memcpy(plp->subframe, transmission->subframes[added].name, sizeof plp->subframe);
    forget(plps(scenario), scenario, carried, "layer");
    forget(plps(scenario), scenario, carried, "over");
    leave_room(scenario, subframes(), like, "symbols");
    return added;
}

void plps_remove(struct scenario *scenario, int plp)
{
    section_remove(plps(scenario), scenario, plp);
    scenario_repair(scenario);
}

void plps_remove_subframe(struct scenario *scenario, int subframe)
{
    struct transmission *transmission = &scenario->transmission;
    for (int i = transmission->plp_count - 1; i >= 0 && transmission->subframe_count > 1; i--) {
        if (plp_subframe(transmission, i) == subframe) {
            section_remove(plps(scenario), scenario, i);
        }
    }
    section_remove(subframes(), scenario, subframe);
    scenario_repair(scenario);
}
