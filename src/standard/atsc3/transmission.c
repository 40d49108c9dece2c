/* The legal space of the second generation's transmissions: what may go together (waveform.h,
 * code.h, time_interleaver.h, injection.h). */
#include "standard/atsc3/transmission.h"

#include <math.h>
#include <string.h>
#include <strings.h>

#include "standard/atsc3/frame.h"
#include "standard/atsc3/injection.h"
#include "standard/atsc3/signalling.h"

static const char *const layer_names[LAYER_COUNT] = {
    [LAYER_CORE] = "core", [LAYER_ENHANCED] = "enhanced"};
static const struct {
    const char *name;
    int samples;
} miso_rows[MISO_COUNT] = {
    [MISO_NONE] = {"none", 0}, [MISO_64] = {"64", 64}, [MISO_256] = {"256", 256}};
static const char *const alignment_names[ALIGNMENT_COUNT] = {
    [ALIGNED_TO_SYMBOLS] = "symbol", [ALIGNED_TO_TIME] = "time"};
static const char *const bonding_names[BONDING_COUNT] = {
    [BONDING_NONE] = "none", [BONDING_PLAIN] = "plain", [BONDING_AVERAGED] = "averaged"};
static const char *const time_info_names[TIME_INFO_COUNT] = {
    [TIME_NONE] = "none", [TIME_MS] = "ms", [TIME_US] = "us", [TIME_NS] = "ns"};

const char *layer_name(enum layer layer)
{
    return (unsigned)layer < LAYER_COUNT ? layer_names[layer] : "?";
}

const char *miso_name(enum miso miso)
{
    return (unsigned)miso < MISO_COUNT ? miso_rows[miso].name : "?";
}

const char *alignment_name(enum alignment alignment)
{
    return (unsigned)alignment < ALIGNMENT_COUNT ? alignment_names[alignment] : "?";
}

const char *bonding_name(enum bonding bonding)
{
    return (unsigned)bonding < BONDING_COUNT ? bonding_names[bonding] : "?";
}

const char *time_info_name(enum time_info time_info)
{
    return (unsigned)time_info < TIME_INFO_COUNT ? time_info_names[time_info] : "?";
}

int miso_samples(enum miso miso)
{
    return miso_rows[miso].samples;
}

/* ---- The tree. ---- */

int transmission_subframes(const struct transmission *transmission)
{
    return transmission->subframe_count > 0 ? transmission->subframe_count : 1;
}

int transmission_plps(const struct transmission *transmission)
{
    return transmission->plp_count > 0 ? transmission->plp_count : 1;
}

bool transmission_is_plain(const struct transmission *transmission)
{
    return transmission->subframe_count == 0 && transmission->plp_count == 0;
}

int plp_subframe(const struct transmission *transmission, int plp)
{
    const char *wanted = transmission->plps[plp].subframe;
    for (int i = 0; i < transmission->subframe_count; i++) {
        if (strcasecmp(transmission->subframes[i].name, wanted) == 0) {
            return i;
        }
    }
    return wanted[0] == '\0' ? 0 : -1;
}

int plp_core(const struct transmission *transmission, int plp)
{
    if (transmission->plps[plp].layer == LAYER_CORE) {
        return plp;
    }
    for (int i = 0; i < transmission->plp_count; i++) {
        const struct plp *other = &transmission->plps[i];
        if (other->layer == LAYER_CORE &&
            strcasecmp(other->name, transmission->plps[plp].over) == 0) {
            return i;
        }
    }
    return -1;
}

void subframe_place(const struct transmission *transmission, int subframe, const char *key,
                    char place[PLACE_BYTES])
{
    bool plain = transmission->subframe_count == 0;
    text_format(place, PLACE_BYTES, "%s%s.%s", plain ? "mode" : "subframe ",
                plain ? "" : transmission->subframes[subframe].name, key);
}

void plp_place(const struct transmission *transmission, int plp, const char *key,
               char place[PLACE_BYTES])
{
    bool plain = transmission->plp_count == 0;
    text_format(place, PLACE_BYTES, "%s%s.%s", plain ? "mode" : "plp ",
                plain ? "" : transmission->plps[plp].name, key);
}

/* ---- What goes together. ---- */

/* Appends the names of all values for which `allowed` holds, separated by bars. */
static void list_names(char *buffer, size_t size, int count, const char *(*name)(int),
                       bool (*allowed)(const void *, int), const void *owner)
{
    buffer[0] = '\0';
    for (int i = 0; i < count; i++) {
        if (allowed(owner, i)) {
            text_join(buffer, size, name(i));
        }
    }
}

#define CHOICE(stem, type, owner_type, test)                    \
    static const char *stem##_choice_name(int i)                \
    {                                                           \
        return stem##_name((enum type)i);                       \
    }                                                           \
    static bool stem##_choice_allowed(const void *owner, int i) \
    {                                                           \
        const struct owner_type *of = owner;                    \
        return test;                                            \
    }
CHOICE(guard, guard, waveform, guard_is_allowed(of->fft, (enum guard)i))
CHOICE(pilots, pilots, waveform, pilots_are_allowed(of->fft, of->guard, (enum pilots)i))
CHOICE(constellation, constellation, code,
       constellation_is_allowed(of->length, (enum constellation)i))
static enum status check_subframe(const struct transmission *transmission, int i,
                                  struct fault *fault)
{
    const struct subframe *subframe = &transmission->subframes[i];
    const struct waveform *waveform = &subframe->waveform;
    char allowed[256], place[PLACE_BYTES];
    if (!guard_is_allowed(waveform->fft, waveform->guard)) {
        list_names(allowed, sizeof allowed, GUARD_COUNT, guard_choice_name, guard_choice_allowed,
                   waveform);
        subframe_place(transmission, i, "guard", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed, "%s does not go with FFT %s",
                         guard_name(waveform->guard), fft_name(waveform->fft));
    }
    if (!pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        list_names(allowed, sizeof allowed, PILOTS_COUNT, pilots_choice_name, pilots_choice_allowed,
                   waveform);
        subframe_place(transmission, i, "pilots", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed,
                         "%s does not go with FFT %s and guard %s", pilots_name(waveform->pilots),
                         fft_name(waveform->fft), guard_name(waveform->guard));
    }
    if (miso_samples(subframe->miso) >= guard_samples(waveform->guard)) {
        subframe_place(transmission, i, "miso", place);
        return fault_set(fault, STATUS_ILLEGAL, place, "none, or a longer guard interval",
                         "filters of %d samples fill the guard interval of %d",
                         miso_samples(subframe->miso), guard_samples(waveform->guard));
    }
    return STATUS_OK;
}

static enum status check_code(const struct transmission *transmission, int i, struct fault *fault)
{
    const struct plp *plp = &transmission->plps[i];
    const struct code *code = &plp->code;
    char allowed[512], place[PLACE_BYTES];
    if (!constellation_is_allowed(code->length, code->constellation)) {
        list_names(allowed, sizeof allowed, CONSTELLATION_COUNT, constellation_choice_name,
                   constellation_choice_allowed, code);
        plp_place(transmission, i, "constellation", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed,
                         "%s does not go with code length %s",
                         constellation_name(code->constellation), code_length_name(code->length));
    }
    if (plp->layer == LAYER_CORE &&
        !interleaver_is_allowed(code->constellation, plp->interleaver)) {
        text_format(allowed, sizeof allowed,
                    "none|CTI 512|CTI 724|CTI 887|CTI 1024|HTI 1 to HTI 16|"
                    "HTI 2 inter to HTI 16 inter");
        plp_place(transmission, i, "interleaver", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed, "%s is for QPSK only",
                         interleaver_name(plp->interleaver));
    }
    return STATUS_OK;
}

static void list_cores(const struct transmission *transmission, char *buffer, size_t size)
{
    buffer[0] = '\0';
    for (int i = 0; i < transmission->plp_count; i++) {
        if (transmission->plps[i].layer == LAYER_CORE) {
            text_join(buffer, size, transmission->plps[i].name);
        }
    }
    if (buffer[0] == '\0') {
        text_format(buffer, size, "a core PLP: there is none");
    }
}

static enum status check_layers(const struct transmission *transmission, int i, struct fault *fault)
{
    const struct plp *plp = &transmission->plps[i];
    char allowed[256], place[PLACE_BYTES];
    int core = plp_core(transmission, i);
    if (plp->layer == LAYER_CORE) {
        plp_place(transmission, i, "over", place);
        return plp->over[0] == '\0' ? STATUS_OK
                                    : fault_set(fault, STATUS_ILLEGAL, place, "layer = enhanced",
                                                "a core PLP lies over none");
    }
    if (core < 0) {
        list_cores(transmission, allowed, sizeof allowed);
        plp_place(transmission, i, "over", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed,
                         plp->over[0] ? "\"%s\" is no core PLP"
                                      : "an enhanced PLP lies over a core PLP%s",
                         plp->over);
    }
    if (injection_code(plp->injection_db) < 0) {
        plp_place(transmission, i, "injection_db", place);
        return fault_set(fault, STATUS_ILLEGAL, place, "0 to 5 dB by 0.5, 6 to 25 dB by 1",
                         "%g dB is not an injection level", plp->injection_db);
    }
    if (plp_subframe(transmission, core) != plp_subframe(transmission, i)) {
        plp_place(transmission, i, "subframe", place);
        return fault_set(fault, STATUS_ILLEGAL, place, "the core PLP's",
                         "its core \"%s\" is in another subframe", plp->over);
    }
    if (interleaver_is_extended(transmission->plps[core].interleaver)) {
        plp_place(transmission, core, "interleaver", place);
        return fault_set(fault, STATUS_ILLEGAL, place, "another depth",
                         "%s does not go with a layer above it",
                         interleaver_name(transmission->plps[core].interleaver));
    }
    return STATUS_OK;
}

static enum status check_plp(const struct transmission *transmission, int i, struct fault *fault)
{
    enum status status = check_code(transmission, i, fault);
    if (status == STATUS_OK && plp_subframe(transmission, i) < 0) {
        char allowed[256] = "", place[PLACE_BYTES];
        for (int k = 0; k < transmission->subframe_count; k++) {
            text_join(allowed, sizeof allowed, transmission->subframes[k].name);
        }
        if (transmission->subframe_count == 0) {
            text_format(allowed, sizeof allowed, "no name: there is only [mode]'s");
        }
        plp_place(transmission, i, "subframe", place);
        return fault_set(fault, STATUS_ILLEGAL, place, allowed, "there is no subframe \"%s\"",
                         transmission->plps[i].subframe);
    }
    return status == STATUS_OK ? check_layers(transmission, i, fault) : status;
}

static enum status check_preamble(const struct transmission *transmission, struct fault *fault)
{
    struct waveform waveform = signalling_preamble(transmission);
    if (!guard_is_allowed(waveform.fft, waveform.guard)) {
        char allowed[256];
        list_names(allowed, sizeof allowed, GUARD_COUNT, guard_choice_name, guard_choice_allowed,
                   &waveform);
        return fault_set(fault, STATUS_ILLEGAL, "frame.preamble_guard", allowed,
                         "%s does not go with a preamble of FFT %s", guard_name(waveform.guard),
                         fft_name(waveform.fft));
    }
    return STATUS_OK;
}

enum status transmission_check(const struct transmission *transmission, struct fault *fault)
{
    enum status status = STATUS_OK;
    for (int i = 0; i < transmission_subframes(transmission) && status == STATUS_OK; i++) {
        status = check_subframe(transmission, i, fault);
    }
    for (int i = 0; i < transmission_plps(transmission) && status == STATUS_OK; i++) {
        status = check_plp(transmission, i, fault);
    }
    if (status == STATUS_OK) {
        status = check_preamble(transmission, fault);
    }
    return status;
}

/* ---- Repair. ---- */

static int repair_waveform(struct waveform *waveform)
{
    int moved = 0;
    if (!guard_is_allowed(waveform->fft, waveform->guard)) {
        while (!guard_is_allowed(waveform->fft, waveform->guard)) {
            waveform->guard = (enum guard)(waveform->guard - 1);
        }
        moved++;
    }
    if (!pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
        waveform->pilots = pilots_nearest(waveform);
        moved++;
    }
    return moved;
}

static int repair_plp(struct plp *plp)
{
    struct code *code = &plp->code;
    int moved = 0;
    if (!constellation_is_allowed(code->length, code->constellation)) {
        code->constellation = QAM256;
        moved++;
    }
    if (!interleaver_is_allowed(code->constellation, plp->interleaver)) {
        plp->interleaver = CTI_1024;
        moved++;
    }
    return moved;
}

static int repair_preamble(struct transmission *transmission)
{
    struct signalling *signalling = &transmission->signalling;
    int moved = 0;
    if (check_preamble(transmission, NULL) != STATUS_OK &&
        signalling->preamble_guard != CHOSEN_BY_NONE) {
        signalling->preamble_guard = CHOSEN_BY_NONE;
        moved++;
    }
    if (check_preamble(transmission, NULL) != STATUS_OK) {
        signalling->preamble_fft = CHOSEN_BY_NONE;
        moved++;
    }
    return moved;
}

static int take_name(char name[NAME_MAX_BYTES], const char *other)
{
    char copy[NAME_MAX_BYTES] = "";
    text_format(copy, sizeof copy, "%s", other);
    memcpy(name, copy, sizeof copy); /* zero behind it too: transmissions are compared whole */
    return 1;
}

/* A core PLP over which an enhanced one may lie in its subframe: the one that it names, else the
 * first; -1: none. */
static int core_beside(const struct transmission *transmission, int plp)
{
    int named = plp_core(transmission, plp), subframe = plp_subframe(transmission, plp);
    if (named >= 0 && plp_subframe(transmission, named) == subframe) {
        return named;
    }
    for (int i = 0; i < transmission->plp_count; i++) {
        if (i != plp && transmission->plps[i].layer == LAYER_CORE &&
            plp_subframe(transmission, i) == subframe) {
            return i;
        }
    }
    return -1;
}

static double nearest_level_db(double db)
{
    int best = 0;
    for (int code = 1; code < INJECTION_LEVELS; code++) {
        best = fabs(injection_db(code) - db) < fabs(injection_db(best) - db) ? code : best;
    }
    return injection_db(best);
}

/* An enhanced PLP follows its core into another subframe where none other is left to lie over, and
 * becomes one where there is none at all. */
static int repair_layer(struct transmission *transmission, int i)
{
    struct plp *plp = &transmission->plps[i];
    int moved = 0, core = core_beside(transmission, i), named = plp_core(transmission, i);
    if (plp->layer == LAYER_ENHANCED && core < 0 && named >= 0) {
        moved += take_name(plp->subframe, transmission->plps[named].subframe);
        core = named;
    }
    if (plp->layer == LAYER_ENHANCED && core < 0) {
        plp->layer = LAYER_CORE;
        moved++;
    }
    if (plp->layer == LAYER_CORE) {
        return moved + (plp->over[0] ? take_name(plp->over, "") : 0);
    }
    moved += core != named ? take_name(plp->over, transmission->plps[core].name) : 0;
    if (injection_code(plp->injection_db) < 0) {
        plp->injection_db = nearest_level_db(plp->injection_db);
        moved++;
    }
    if (interleaver_is_extended(transmission->plps[core].interleaver)) {
        transmission->plps[core].interleaver = CTI_1024;
        moved++;
    }
    return moved;
}

static int repair_links(struct transmission *transmission)
{
    int moved = 0;
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        struct subframe *subframe = &transmission->subframes[i];
        if (miso_samples(subframe->miso) >= guard_samples(subframe->waveform.guard)) {
            subframe->miso = MISO_NONE;
            moved++;
        }
    }
    for (int i = 0; i < transmission_plps(transmission); i++) {
        if (plp_subframe(transmission, i) < 0) {
            moved += take_name(transmission->plps[i].subframe, transmission->subframes[0].name);
        }
    }
    for (int i = 0; i < transmission_plps(transmission); i++) {
        moved += repair_layer(transmission, i);
    }
    return moved;
}

/* A frame's length in time, preamble symbols, and a hybrid interleaver's memory: where the plain
 * frame has no room for what is asked. */
static int repair_room(struct transmission *transmission)
{
    struct plp *plp = &transmission->plps[0];
    enum interleaver wanted = plp->interleaver;
    double frame_ms = transmission->frame_ms;
    int symbols = transmission->signalling.preamble_symbols;
    bool blocks = interleaver_kind(wanted) == INTERLEAVES_BLOCKS;
    struct frame frame;
    if (transmission->alignment == ALIGNED_TO_TIME) {
        transmission->frame_ms = FRAME_UNIT_MS * round(frame_ms / FRAME_UNIT_MS);
    }
    plp->interleaver = blocks ? INTERLEAVER_NONE : wanted;
    if (symbols > 0 && frame_build(transmission, &frame, NULL) != STATUS_OK) {
        transmission->signalling.preamble_symbols = 0;
    }
    if (blocks) {
        plp->interleaver = frame_build(transmission, &frame, NULL) == STATUS_OK
                               ? hybrid_fitting(wanted, plp->code.constellation, frame.cells,
                                                code_block_cells(&plp->code))
                               : wanted;
    }
    return (plp->interleaver != wanted) + (transmission->frame_ms != frame_ms) +
           (transmission->signalling.preamble_symbols != symbols);
}

int transmission_repair(struct transmission *transmission)
{
    int moved = 0;
    for (int i = 0; i < transmission_subframes(transmission); i++) {
        moved += repair_waveform(&transmission->subframes[i].waveform);
    }
    for (int i = 0; i < transmission_plps(transmission); i++) {
        moved += repair_plp(&transmission->plps[i]);
    }
    moved += repair_links(transmission) + repair_preamble(transmission);
    return moved + (transmission_is_plain(transmission) ? repair_room(transmission) : 0);
}
