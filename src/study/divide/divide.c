/* The best division of each kind, and what each gives its services. */
#include "study/divide/divide.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "study/divide/space.h"
#include "system/system.h"

const char *division_kind_name(enum division_kind kind)
{
    static const char *const names[DIVISION_KIND_COUNT] = {[DIVISION_ONE] = "one",
                                                           [DIVISION_TIME] = "time",
                                                           [DIVISION_SUBFRAMES] = "subframes",
                                                           [DIVISION_LAYERS] = "layers"};
    return (unsigned)kind < DIVISION_KIND_COUNT ? names[kind] : "?";
}

/* ---- What a division gives. ---- */

static double needed_db(const struct divide_space *space, const struct divide_choice *choice,
                        int service)
{
    const struct divide_geometry *geometry = &space->geometries[choice->geometry[service]];
    enum service_channel channel = space->scenario->services[service].channel;
    double db = divide_needed_db(space, geometry, choice->code[service], choice->role[service],
                                 choice->level, channel);
    if (choice->role[service] == ROLE_ABOVE) { /* its core has to be taken away first */
        db = fmax(db, divide_needed_db(space, geometry, choice->code[choice->core], ROLE_CORE,
                                       choice->level, channel));
    }
    return db;
}

static void tell_service(const struct divide_space *space, const struct divide_choice *choice,
                         const struct facts *facts, int service, struct division *division)
{
    const struct facts *of = &facts[division->kind == DIVISION_ONE ? 0 : service];
    struct division_service *told = &division->services[service];
    *told = (struct division_service){
        .layer = of->layer,
        .constellation = of->constellation,
        .rate = of->rate,
        .length = of->length,
        .share = of->plp_cells / of->cells_per_frame,
        .injection_db = of->injection_db,
        .net_mbps = of->net_mbps,
        .receiver_snr_db = needed_db(space, choice, service),
    };
    text_format(told->name, sizeof told->name, "%s", space->scenario->services[service].name);
    told->margin_db = space->scenario->services[service].snr_db - told->receiver_snr_db;
}

/* Of one PLP for all, each has what it asked for and the taker the others' rest. */
static void part_one(const struct divide_space *space, struct division *division)
{
    double whole_mbps = division->services[0].net_mbps, left_mbps = whole_mbps;
    for (int s = 0; s < space->count; s++) {
        if (s != space->taker) {
            division->services[s].net_mbps = space->scenario->services[s].rate_mbps;
            left_mbps -= division->services[s].net_mbps;
        }
    }
    division->services[space->taker].net_mbps = left_mbps;
    for (int s = 0; s < space->count; s++) {
        division->services[s].share *= division->services[s].net_mbps / whole_mbps;
    }
}

/* Facts of the pipes of what is sent, which the caller frees; NULL: no room, or no memory. */
static struct facts *carried_by(struct divide_space *space, const struct division *division)
{
    struct scenario *sent = malloc(sizeof *sent);
    struct facts *facts = malloc(SERVICES_MAX * sizeof *facts);
    bool made = sent != NULL && facts != NULL;
    space->no_memory |= !made;
    if (made) {
        *sent = space->plain;
        division_put(division, sent);
        made = space->row->carry(sent, facts, NULL) == STATUS_OK;
    }
    free(sent);
    if (!made) {
        free(facts);
    }
    return made ? facts : NULL;
}

bool divide_tell(struct divide_space *space, const struct divide_choice *choice,
                 struct division *division)
{
    struct facts *facts = carried_by(space, division);
    if (facts == NULL) {
        return false;
    }
    division->count = space->count;
    for (int s = 0; s < space->count; s++) {
        tell_service(space, choice, facts, s, division);
    }
    free(facts);
    if (division->kind == DIVISION_ONE) {
        part_one(space, division);
    }
    double asked_mbps = space->scenario->services[space->taker].rate_mbps;
    division->spare_mbps =
        division->services[space->taker].net_mbps - (isnan(asked_mbps) ? 0.0 : asked_mbps);
    return true;
}

void divide_keep_waveform(const struct divide_space *space, size_t geometry,
                          struct division *division)
{
    division->waveform_count = 1;
    memcpy(division->waveforms[0], space->geometries[geometry].own.numbers,
           sizeof division->waveforms[0]);
}

void division_put(const struct division *division, struct scenario *scenario)
{
    scenario->transmission = division->transmission;
    scenario->dvbt2 = division->dvbt2;
}

/* ---- All kinds. ---- */

static enum status check_services(const struct scenario *scenario, struct fault *fault)
{
    int rests = 0;
    if (scenario->service_count == 0) {
        return fault_set(fault, STATUS_ILLEGAL, "service", "[service NAME] with snr_db",
                         "there is no service to divide the channel among");
    }
    for (int s = 0; s < scenario->service_count; s++) {
        rests += isnan(scenario->services[s].rate_mbps);
        if (rests > 1) {
            char place[PLACE_BYTES];
            text_format(place, sizeof place, "service %s.rate_mbps", scenario->services[s].name);
            return fault_set(fault, STATUS_ILLEGAL, place, "a rate: one service has the rest",
                             "a second service would have the rest");
        }
    }
    return STATUS_OK;
}

static void insert(struct divisions *divisions, const struct division *division)
{
    int at = divisions->count++;
    for (; at > 0 && divisions->best[at - 1].spare_mbps < division->spare_mbps; at--) {
        divisions->best[at] = divisions->best[at - 1];
    }
    divisions->best[at] = *division;
}

static int find_taker(const struct scenario *scenario)
{
    int taker = 0;
    for (int s = 0; s < scenario->service_count; s++) {
        if (isnan(scenario->services[s].rate_mbps)) {
            return s;
        }
        if (scenario->services[s].snr_db > scenario->services[taker].snr_db) {
            taker = s;
        }
    }
    return taker;
}

const char *division_taker(const struct scenario *scenario)
{
    return scenario->service_count > 0 ? scenario->services[find_taker(scenario)].name : NULL;
}

enum status divide_solve(struct divide_space *space, struct divisions *divisions,
                         struct fault *fault)
{
    static bool (*const kinds[DIVISION_KIND_COUNT])(struct divide_space *, struct division *) = {
        [DIVISION_ONE] = divide_in_one,
        [DIVISION_TIME] = divide_in_time,
        [DIVISION_SUBFRAMES] = divide_in_subframes,
        [DIVISION_LAYERS] = divide_in_layers};
    enum status status = check_services(space->scenario, fault);
    struct division *division = malloc(sizeof *division);
    divisions->count = 0;
    space->taker = find_taker(space->scenario);
    if (status == STATUS_OK && division == NULL) {
        status = fault_of_status(fault, STATUS_NO_MEMORY);
    }
    for (int kind = 0; kind < DIVISION_KIND_COUNT && division && status == STATUS_OK; kind++) {
        bool tree = kind == DIVISION_SUBFRAMES || kind == DIVISION_LAYERS;
        *division = (struct division){.kind = (enum division_kind)kind,
                                      .space = space->row,
                                      .transmission = space->plain.transmission,
                                      .dvbt2 = space->plain.dvbt2};
        if ((kind == DIVISION_ONE || space->count > 1) && (space->row->subframes || !tree) &&
            kinds[kind](space, division)) {
            insert(divisions, division);
        }
        if (space->stopped) {
            status = fault_set(fault, STATUS_STOPPED, "", NULL, "stopped");
        }
    }
    if (status == STATUS_OK && space->no_memory) {
        status = fault_of_status(fault, STATUS_NO_MEMORY);
    }
    free(division);
    if (status == STATUS_OK && divisions->count == 0) {
        return fault_set(fault, STATUS_NO_SOLUTION, "service",
                         "lower rates, higher SNRs, slower receivers or shorter echoes",
                         "no division of the channel gives every service what it asks for");
    }
    return status;
}

enum status divide_make_limited(const struct scenario *scenario, const struct divide_limits *limits,
                                struct divisions *divisions, struct fault *fault)
{
    enum status status = check_services(scenario, fault);
    divisions->count = 0;
    struct divide_space *space =
        status == STATUS_OK ? divide_space_new(scenario, limits, &status, fault) : NULL;
    if (space != NULL) {
        status = divide_solve(space, divisions, fault);
    }
    divide_space_free(space);
    return status;
}

enum status divide_make(const struct scenario *scenario, struct divisions *divisions,
                        struct fault *fault)
{
    return divide_make_limited(scenario, &(const struct divide_limits){0}, divisions, fault);
}
