/* Divisions against brute force on a part of the space: every assignment built as a transmission,
 * its rates read off its frame and its needs off the system's own receivers. */
#include "support/near.h"
#include "support/scenarios.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "physics/information/layers.h"
#include "physics/information/required_snr.h"
#include "scenario/section.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/injection.h"
#include "study/divide/divide.h"
#include "system/atsc3_plps.h"
#include "system/space/atsc3.h"

static struct scenario three_services(void)
{
    struct scenario scenario = scenario_default();
    scenario_say(&scenario, "service phone.rate_mbps", "1.5");
    scenario_say(&scenario, "service phone.snr_db", "5");
    scenario_say(&scenario, "service room.rate_mbps", "4");
    scenario_say(&scenario, "service room.snr_db", "13");
    scenario_say(&scenario, "service roof.snr_db", "21");
    scenario_say(&scenario, "service roof.echo_us", "50");
    scenario_say(&scenario, "mode.l1_detail_bits", "800");
    return scenario;
}

/* ---- A part of the space, and brute force over it. ---- */

static bool takes_waveform(const struct waveform *waveform)
{
    return waveform->boost == 2 && waveform->reduction == 1 &&
           ((waveform->fft == FFT_8K && waveform->guard == GI3_512) ||
            (waveform->fft == FFT_16K && waveform->guard == GI2_384 && waveform->pilots > SP24_2) ||
            (waveform->fft == FFT_32K && waveform->guard == GI3_512));
}

static bool takes_code(const struct code *code)
{
    return code->length == LENGTH_64800 &&
           ((code->constellation == QPSK && (code->rate_15ths == 4 || code->rate_15ths == 8)) ||
            (code->constellation == QAM16 && code->rate_15ths == 10) ||
            (code->constellation == QAM64 && code->rate_15ths == 9) ||
            (code->constellation == QAM256 && code->rate_15ths % 3 == 0));
}
/* The same of the space's own parts. */
static bool takes_geometry(const struct space_geometry *geometry)
{
    struct waveform waveform;
    atsc3_space_waveform(geometry, &waveform);
    return takes_waveform(&waveform);
}

static bool takes_space_code(const struct space_code *own)
{
    struct code code = {.outer = OUTER_BCH};
    atsc3_space_code(own, &code);
    return takes_code(&code);
}
static const struct divide_limits part = {.takes_geometry = takes_geometry,
                                          .takes_code = takes_space_code};

#define LEVEL_STEP 5
static bool takes_level(int level)
{
    return level % LEVEL_STEP == 0;
}

#define MOST 64
struct space {
    int waveforms, codes;
    struct waveform waveform[MOST];
    struct code code[MOST];
};

static struct space list_space(void)
{
    struct space space = {0};
    struct waveform waveform = scenario_default().transmission.subframes[0].waveform;
    for (int i = 0; i < FFT_COUNT * GUARD_COUNT * PILOTS_COUNT; i++) {
        waveform.fft = (enum fft_size)(i / (GUARD_COUNT * PILOTS_COUNT));
        waveform.guard = (enum guard)(i / PILOTS_COUNT % GUARD_COUNT);
        waveform.pilots = (enum pilots)(i % PILOTS_COUNT);
        waveform.boost = 2;
        waveform.reduction = 1;
        if (pilots_are_allowed(waveform.fft, waveform.guard, waveform.pilots) &&
            takes_waveform(&waveform)) {
            space.waveform[space.waveforms++] = waveform;
        }
    }
    for (int i = 0; i < CONSTELLATION_COUNT * RATE_COUNT; i++) {
        struct code code = {LENGTH_64800, RATE_MIN_15THS + i % RATE_COUNT,
                            (enum constellation)(i / RATE_COUNT), OUTER_BCH};
        if (takes_code(&code)) {
            space.code[space.codes++] = code;
        }
    }
    return space;
}

/* The taker's net rate if all services are served; negative where they are not. */
static double taker_mbps(const struct scenario *scenario, const struct transmission *transmission)
{
    static struct frame frame;
    if (transmission_check(transmission, NULL) != STATUS_OK ||
        frame_build(transmission, &frame, NULL) != STATUS_OK) {
        return -1.0;
    }
    double taken = 0.0;
    for (int s = 0; s < scenario->service_count; s++) {
        const struct service *service = &scenario->services[s];
        struct atsc3_plp plp;
        atsc3_plp_make(transmission, &frame, s, &plp);
        double net = plp_carried(transmission, &frame, s).net_mbps;
        if (plp.needed_db > service->snr_db || plp.grid.guard_us < service->echo_us ||
            plp.grid.useful_us / plp.grid.dx < service->echo_us ||
            (!isnan(service->rate_mbps) && net < service->rate_mbps - 1e-9)) {
            return -1.0;
        }
        taken = isnan(service->rate_mbps) ? net : taken;
    }
    return taken;
}

static void name_plps(const struct scenario *scenario, struct transmission *transmission)
{
    transmission->plp_count = scenario->service_count;
    for (int s = 0; s < scenario->service_count; s++) {
        transmission->plps[s] = transmission->plps[0];
        text_format(transmission->plps[s].name, NAME_MAX_BYTES, "%s", scenario->services[s].name);
    }
}

static int cells_for(const struct service *service, const struct code *code, double frame_ms)
{
    double bits =
        (double)(payload_bits(code) - PACKET_HEADER_BITS) / (double)code_block_cells(code);
    return isnan(service->rate_mbps) ? 0
                                     : (int)ceil(service->rate_mbps * 1e3 * frame_ms / bits - 1e-9);
}

static void whole_frame(const struct transmission *transmission, struct frame *frame)
{
    struct transmission plain = *transmission;
    plain.plp_count = 0;
    assert_int_equal(frame_build(&plain, frame, NULL), STATUS_OK);
}

static double brute_time(const struct scenario *scenario, const struct space *space)
{
    double best = -1.0;
    static struct frame frame;
    for (int w = 0; w < space->waveforms; w++) {
        struct transmission transmission = scenario->transmission;
        transmission.subframes[0].waveform = space->waveform[w];
        whole_frame(&transmission, &frame);
        name_plps(scenario, &transmission);
        for (int i = 0; i < space->codes * space->codes * space->codes; i++) {
            int rest = i;
            for (int s = 0; s < 3; s++, rest /= space->codes) {
                transmission.plps[s].code = space->code[rest % space->codes];
                transmission.plps[s].cells = cells_for(
                    &scenario->services[s], &transmission.plps[s].code, frame.duration_ms);
            }
            best = fmax(best, taker_mbps(scenario, &transmission));
        }
    }
    return best;
}

/* Even an ideal receiver in noise needs more than some service has: no frame need be built. */
static bool is_hopeless(const struct scenario *scenario, const struct transmission *transmission,
                        int core, unsigned above, double injection)
{
    for (int s = 0; s < 3; s++) {
        const struct code *code = &transmission->plps[s].code;
        double db = ideal_snr_db(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
        db = s == core           ? layered_core_snr_db(db, injection)
             : (above >> s) & 1u ? layered_enhanced_snr_db(db, injection)
                                 : db;
        if (db > scenario->services[s].snr_db) {
            return true;
        }
    }
    return false;
}

/* One core, some above, others beside, and the group's size between its extremes. */
static double brute_group(const struct scenario *scenario, struct transmission *transmission,
                          const struct frame *frame, int core, unsigned above)
{
    double best = -1.0;
    long least = 0, over = 0, beside = 0;
    for (int s = 0; s < 3; s++) {
        struct plp *plp = &transmission->plps[s];
        plp->cells = cells_for(&scenario->services[s], &plp->code, frame->duration_ms);
        over += (above >> s) & 1u ? plp->cells : 0;
        beside += s != core && !((above >> s) & 1u) ? plp->cells : 0;
    }
    least = transmission->plps[core].cells > over ? transmission->plps[core].cells : over;
    for (int step = 0; step <= 3; step++) {
        long group = least + (frame->cells - beside - least) * step / 3;
        struct transmission trial = *transmission;
        if (group < 1 || group + beside > frame->cells) {
            continue;
        }
        trial.plps[core].cells = (int)group;
        for (int s = 0; s < 3; s++) { /* the taker has what is left where it is */
            if (isnan(scenario->services[s].rate_mbps) && s != core) {
                long left = (above >> s) & 1u ? group - over : frame->cells - beside - group;
                trial.plps[s].cells = left > 0 ? (int)left : 1;
            }
        }
        best = fmax(best, taker_mbps(scenario, &trial));
    }
    return best;
}

static double brute_layers(const struct scenario *scenario, const struct space *space)
{
    double best = -1.0;
    static struct frame frame;
    for (int w = 0; w < space->waveforms; w += 3) {
        struct transmission transmission = scenario->transmission;
        transmission.subframes[0].waveform = space->waveform[w];
        whole_frame(&transmission, &frame);
        for (int core = 0; core < 3; core++) {
            for (unsigned above = 1; above < 8; above++) {
                for (int level = 0; level < INJECTION_LEVELS && !((above >> core) & 1u);
                     level += LEVEL_STEP) {
                    transmission.plps[0] = scenario->transmission.plps[0];
                    name_plps(scenario, &transmission);
                    for (int s = 0; s < 3; s++) {
                        if ((above >> s) & 1u) {
                            transmission.plps[s].layer = LAYER_ENHANCED;
                            transmission.plps[s].injection_db = injection_db(level);
                            text_format(transmission.plps[s].over, NAME_MAX_BYTES, "%s",
                                        scenario->services[core].name);
                        }
                    }
                    for (int i = 0; i < space->codes * space->codes * space->codes; i++) {
                        int rest = i;
                        for (int s = 0; s < 3; s++, rest /= space->codes) {
                            transmission.plps[s].code = space->code[rest % space->codes];
                        }
                        if (is_hopeless(scenario, &transmission, core, above,
                                        injection_db(level))) {
                            continue;
                        }
                        best =
                            fmax(best, brute_group(scenario, &transmission, &frame, core, above));
                    }
                }
            }
        }
    }
    return best;
}

/* The fewest symbols that serve the fixed ones, then as many as fit for the taker. */
static double brute_parts(const struct scenario *scenario, struct transmission *transmission,
                          const int at[3])
{
    static struct frame frame;
    int taker = 2;
    for (int s = 0; s < 3; s++) {
        transmission->subframes[at[s]].symbols =
            4 * pilots_dy(transmission->subframes[at[s]].waveform.pilots);
    }
    for (int s = 0; s < 3; s++) {
        if (s == taker) {
            continue;
        }
        int wanted =
            cells_for(&scenario->services[s], &transmission->plps[s].code, transmission->frame_ms);
        struct subframe *subframe = &transmission->subframes[at[s]];
        do {
            if (frame_build(transmission, &frame, NULL) != STATUS_OK) {
                return -1.0;
            }
            subframe->symbols += frame.slots[s].cells < wanted;
        } while (frame.slots[s].cells < wanted);
    }
    double best = -1.0;
    for (;; transmission->subframes[at[taker]].symbols++) {
        if (frame_build(transmission, &frame, NULL) != STATUS_OK ||
            frame.duration_ms > transmission->frame_ms + 1e-9) {
            return best;
        }
        best = taker_mbps(scenario, transmission);
        /* A jump to near the end: a symbol more is always better. */
        struct pool *pool = &frame.pools[at[taker]];
        double left =
            (transmission->frame_ms - frame.duration_ms) / (pool->duration_ms / pool->symbols);
        transmission->subframes[at[taker]].symbols += left > 2.0 ? (int)left - 1 : 0;
    }
}

static double brute_subframes(const struct scenario *scenario, const struct space *space)
{
    static const int orders[3][3] = {{0, 1, 2}, {1, 0, 2}, {1, 2, 0}}; /* who is first matters */
    double best = -1.0;
    int w = space->waveforms;
    for (int i = 0; i < w * w * w; i++) {
        for (int order = 0; order < 3; order++) {
            struct transmission transmission = scenario->transmission;
            name_plps(scenario, &transmission);
            transmission.subframe_count = 3;
            int rest = i;
            for (int s = 0; s < 3; s++, rest /= w) {
                struct subframe *subframe = &transmission.subframes[orders[order][s]];
                *subframe = scenario->transmission.subframes[0];
                text_format(subframe->name, NAME_MAX_BYTES, "%s", scenario->services[s].name);
                text_format(transmission.plps[s].subframe, NAME_MAX_BYTES, "%s", subframe->name);
                subframe->waveform = space->waveform[rest % w];
            }
            /* Codes: each service's own choice does not bear on another's need. */
            for (int s = 0; s < 3; s++) {
                double most = 0.0;
                for (int c = 0; c < space->codes; c++) {
                    struct transmission alone = scenario->transmission;
                    static struct frame frame;
                    struct atsc3_plp plp;
                    alone.subframes[0].waveform = transmission.subframes[orders[order][s]].waveform;
                    alone.plps[0].code = space->code[c];
                    assert_int_equal(frame_build(&alone, &frame, NULL), STATUS_OK);
                    atsc3_plp_make(&alone, &frame, 0, &plp);
                    double rate = plp_carried(&alone, &frame, 0).net_mbps;
                    if (plp.needed_db <= scenario->services[s].snr_db && rate > most) {
                        most = rate;
                        transmission.plps[s].code = space->code[c];
                    }
                }
            }
            best = fmax(best, brute_parts(scenario, &transmission, orders[order]));
        }
    }
    return best;
}

static const struct division *find(const struct divisions *divisions, enum division_kind kind)
{
    for (int i = 0; i < divisions->count; i++) {
        if (divisions->best[i].kind == kind) {
            return &divisions->best[i];
        }
    }
    return NULL;
}

/* A third of the waveforms, as brute_layers takes them. */
static struct space thinned;
static bool takes_every_third(const struct space_geometry *geometry)
{
    struct waveform waveform = thinned.waveform[0];
    atsc3_space_waveform(geometry, &waveform);
    for (int w = 0; w < thinned.waveforms; w += 3) {
        if (memcmp(&thinned.waveform[w], &waveform, sizeof waveform) == 0) {
            return true;
        }
    }
    return false;
}

static void every_kind_is_the_best_that_brute_force_finds(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = three_services();
    struct space space = list_space();
    assert_true(space.waveforms >= 5 && space.codes >= 6);
    assert_int_equal(divide_make_limited(&scenario, &part, &divisions, NULL), STATUS_OK);
    assert_near(find(&divisions, DIVISION_TIME)->spare_mbps, brute_time(&scenario, &space), 1e-9,
                "brute force");
    assert_near(find(&divisions, DIVISION_SUBFRAMES)->spare_mbps,
                brute_subframes(&scenario, &space), 1e-9, "brute force");
}

static void layers_are_the_best_that_brute_force_finds(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = three_services();
    thinned = list_space();
    const struct divide_limits limits = {.takes_geometry = takes_every_third,
                                         .takes_code = takes_space_code,
                                         .takes_level = takes_level};
    assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, NULL), STATUS_OK);
    assert_near(find(&divisions, DIVISION_LAYERS)->spare_mbps, brute_layers(&scenario, &thinned),
                1e-9, "brute force");
}

static void a_division_serves_every_service(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct scenario scenario = three_services();
    assert_int_equal(divide_make(&scenario, &divisions, NULL), STATUS_OK);
    assert_true(divisions.count >= 3);
    for (int i = 0; i < divisions.count; i++) {
        const struct division *division = &divisions.best[i];
        assert_true(i == 0 || division->spare_mbps <= divisions.best[i - 1].spare_mbps);
        if (division->kind != DIVISION_ONE) {
            assert_near(taker_mbps(&scenario, &division->transmission), division->spare_mbps, 1e-9,
                        "its frame");
        }
        for (int s = 0; s < division->count; s++) {
            assert_true(division->services[s].margin_db >= -1e-9);
        }
    }
    assert_true(find(&divisions, DIVISION_LAYERS)->spare_mbps >
                find(&divisions, DIVISION_TIME)->spare_mbps);
}

static void what_asks_for_more_leaves_less(void **state)
{
    (void)state;
    static struct divisions divisions, harder;
    static const char *const changes[][2] = {{"service phone.rate_mbps", "2.5"},
                                             {"service phone.snr_db", "3"},
                                             {"service phone.channel", "rayleigh"},
                                             {"service phone.speed_kmh", "80"},
                                             {"service room.echo_us", "120"}};
    struct scenario scenario = three_services();
    assert_int_equal(divide_make(&scenario, &divisions, NULL), STATUS_OK);
    for (size_t i = 0; i < sizeof changes / sizeof changes[0]; i++) {
        struct scenario changed = scenario;
        scenario_say(&changed, changes[i][0], changes[i][1]);
        assert_int_equal(divide_make(&changed, &harder, NULL), STATUS_OK);
        for (int k = 0; k < harder.count; k++) {
            const struct division *before = find(&divisions, harder.best[k].kind);
            assert_non_null(before);
            assert_true(harder.best[k].spare_mbps <= before->spare_mbps + 1e-9);
        }
    }
}

static void what_cannot_be_is_said(void **state)
{
    (void)state;
    static struct divisions divisions;
    struct fault fault = {0};
    struct scenario scenario = scenario_default();
    assert_int_equal(divide_make(&scenario, &divisions, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "service");
    scenario = three_services();
    scenario_say(&scenario, "service room.rate_mbps", "rest");
    assert_int_equal(divide_make(&scenario, &divisions, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "service roof.rate_mbps");
    scenario_say(&scenario, "service room.rate_mbps", "60");
    assert_int_equal(divide_make(&scenario, &divisions, &fault), STATUS_NO_SOLUTION);
}

/* ---- Somebody watches. ---- */

struct watched {
    double last;
    int calls, most;
};

static bool watch(void *opaque, double share)
{
    struct watched *watched = opaque;
    assert_true(share >= watched->last && share <= 1.0);
    watched->last = share;
    return ++watched->calls <= watched->most;
}

/* Progress grows to the end; whenever it is stopped, it stops there. */
static void it_tells_how_far_it_is_and_can_be_stopped(void **state)
{
    (void)state;
    struct scenario scenario = three_services();
    struct watched watched = {.most = 1000000};
    struct divide_limits limits = part;
    struct divisions divisions;
    limits.goes_on = watch;
    limits.watcher = &watched;
    assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, NULL), STATUS_OK);
    assert_true(watched.calls > 10);
    for (int most = 0, all = watched.calls; most < all; most += 1 + all / 8) {
        struct fault fault;
        watched = (struct watched){.most = most};
        assert_int_equal(divide_make_limited(&scenario, &limits, &divisions, &fault),
                         STATUS_STOPPED);
        assert_int_equal(watched.calls, most + 1);
    }
}

/* Other rates in the same space give what a new space gives. */
static void a_space_serves_other_rates(void **state)
{
    (void)state;
    struct scenario scenario = three_services();
    enum status status;
    struct divide_space *space = divide_space_new(&scenario, &part, &status, NULL);
    assert_non_null(space);
    for (int k = 0; k < 3; k++) {
        struct divisions again, anew;
        scenario.services[0].rate_mbps = 0.5 + k;
        assert_int_equal(divide_solve(space, &again, NULL),
                         divide_make_limited(&scenario, &part, &anew, NULL));
        assert_int_equal(again.count, anew.count);
        for (int i = 0; i < anew.count; i++) {
            assert_near(again.best[i].spare_mbps, anew.best[i].spare_mbps, 0, "the same");
        }
    }
    divide_space_free(space);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(it_tells_how_far_it_is_and_can_be_stopped),
        cmocka_unit_test(a_space_serves_other_rates),
        cmocka_unit_test(every_kind_is_the_best_that_brute_force_finds),
        cmocka_unit_test(layers_are_the_best_that_brute_force_finds),
        cmocka_unit_test(a_division_serves_every_service),
        cmocka_unit_test(what_asks_for_more_leaves_less),
        cmocka_unit_test(what_cannot_be_is_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
