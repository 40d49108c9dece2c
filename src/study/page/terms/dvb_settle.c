/* What a page of the DVB pair says of a mode in other ways than by its settings (a guard interval
 * as time, carriers, symbols), and what of that mode goes together. A setting that is missing gets
 * a value, moved where the given ones ask for it, but is not said; a given one is never moved. */
#include "study/page/terms/dvb_settle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "system/system.h"

/* What settling asks of a system, for the settings as they are. */
struct sizes {
    const char *fft, *guard; /* keys */
    double (*guard_us)(const struct scenario *scenario);
    int (*carriers)(const struct scenario *scenario);
};

static double guard_us_of_dvbt(const struct scenario *scenario)
{
    return dvbt_grid(&scenario->dvbt, scenario->site.bandwidth_mhz).guard_us;
}

static int carriers_of_dvbt(const struct scenario *scenario)
{
    return dvbt_carriers(scenario->dvbt.fft);
}

static double guard_us_of_dvbt2(const struct scenario *scenario)
{
    const struct t2_waveform *waveform = &scenario->dvbt2.waveform;
    return t2_guard_share(waveform->guard) * t2_fft_points(waveform->fft) *
           t2_elementary_us(scenario->site.bandwidth_mhz);
}

static int carriers_of_dvbt2(const struct scenario *scenario)
{
    return t2_carriers(&scenario->dvbt2.waveform);
}

static const struct sizes sizes[GENERATION_COUNT] = {
    [GENERATION_FIRST] = {"dvbt.fft", "dvbt.guard", guard_us_of_dvbt, carriers_of_dvbt},
    [GENERATION_SECOND] = {"dvbt2.fft", "dvbt2.guard", guard_us_of_dvbt2, carriers_of_dvbt2},
};

static bool dvbt2_is_legal(const struct scenario *scenario)
{
    return t2_waveform_check(&scenario->dvbt2.waveform, scenario->site.bandwidth_mhz, NULL) ==
           STATUS_OK;
}

static int count_of(const struct field *field)
{
    return (int)field->high + 1;
}

/* ---- Moving what is assumed. ---- */

/* Settings that hang together, and which of them the page gives; the rest may move. */
#define MOVABLE 4
static const char *const movable[MOVABLE] = {"dvbt2.fft", "dvbt2.extended", "dvbt2.guard",
                                             "dvbt2.pilots"};
/* How much a step of each is missed: a page's FFT size most. */
static const double weights[MOVABLE] = {1000.0, 1.0, 30.0, 2.0};

struct waveform_search {
    struct settling *s;
    bool given[MOVABLE];
    double asked[MOVABLE], best[MOVABLE], best_distance;
};

static void search(struct waveform_search *look, int level, double distance)
{
    struct scenario *scenario = &look->s->scenario;
    if (level == MOVABLE) {
        if (!dvbt2_is_legal(scenario)) {
            return;
        }
        if (distance < look->best_distance) {
            look->best_distance = distance;
            for (int i = 0; i < MOVABLE; i++) {
                look->best[i] = field_number(field_named(movable[i]), scenario);
            }
        }
        return;
    }
    const struct field *field = field_named(movable[level]);
    for (int i = 0; i < count_of(field); i++) {
        if (!look->given[level] || i == (int)look->asked[level]) {
            field_put(field, scenario, i);
            search(look, level + 1, distance + weights[level] * fabs(i - look->asked[level]));
        }
    }
}

/* The legal choice nearest to the assumed one that keeps what is given. No guard interval and
 * pilots leave one FFT size only, which would be as good as given. */
static void move_assumed(struct settling *s)
{
    struct waveform_search look = {.s = s, .best_distance = INFINITY};
    for (int i = 0; i < MOVABLE; i++) {
        look.given[i] = settling_is_given(s, movable[i]);
        look.asked[i] = field_number(field_named(movable[i]), &s->scenario);
    }
    if (look.given[0] && !look.given[1]) {
        look.asked[1] = 0.0; /* who says "32K" and not "32KE" means the normal carriers */
    }
    search(&look, 0, 0.0);
    bool found = isfinite(look.best_distance);
    for (int i = 0; i < MOVABLE; i++) {
        field_put(field_named(movable[i]), &s->scenario, found ? look.best[i] : look.asked[i]);
    }
}

/* ---- Said in other ways. ---- */

static void settle_guard_time(struct settling *s, const struct sizes *of)
{
    const struct page_entry *entry = settling_entry(s, "second.guard_us");
    const struct field *field = field_named(of->guard);
    if (!entry) {
        return;
    }
    double kept = field_number(field, &s->scenario);
    for (int i = 0; i < count_of(field); i++) {
        field_put(field, &s->scenario, i);
        double us = of->guard_us(&s->scenario);
        if (fabs(us - entry->number) > GUARD_TIME_TOLERANCE * us) {
            continue;
        }
        if (settling_is_given(s, of->guard) && kept != i) {
            break;
        }
        settling_give(s, of->guard, i);
        settling_speak(s, field->section);
        return;
    }
    field_put(field, &s->scenario, kept);
    if (settling_is_given(s, of->guard) && settling_is_given(s, of->fft)) {
        CONTRADICT(s, "guard interval %s lasts %.1f us at %d MHz, not %s us",
                   field->choice((int)kept), of->guard_us(&s->scenario),
                   s->scenario.site.bandwidth_mhz, entry->value);
    } else if (settling_is_given(s, of->fft)) {
        CONTRADICT(s, "no guard interval lasts %s us at %d MHz", entry->value,
                   s->scenario.site.bandwidth_mhz);
    }
}

static void settle_carriers(struct settling *s, const struct sizes *of)
{
    const struct page_entry *entry = settling_entry(s, "second.carriers");
    const struct field *fft = field_named(of->fft), *extended = field_named("dvbt2.extended");
    double kept_fft = field_number(fft, &s->scenario);
    double kept_extended = field_number(extended, &s->scenario);
    for (int i = 0; entry && i < 2 * count_of(fft); i++) {
        int size = i / 2;
        field_put(fft, &s->scenario, size);
        field_put(extended, &s->scenario, i % 2);
        if (of->carriers(&s->scenario) != (int)entry->number) {
            continue;
        }
        if ((settling_is_given(s, of->fft) && kept_fft != size) ||
            (settling_is_given(s, "dvbt2.extended") && kept_extended != i % 2)) {
            CONTRADICT(s, "%s carriers belong to FFT size %s", entry->value, fft->choice(size));
        }
        settling_give(s, of->fft, size);
        if (strcmp(fft->section, extended->section) == 0) {
            settling_give(s, "dvbt2.extended", i % 2);
        } else {
            field_put(extended, &s->scenario, kept_extended);
        }
        settling_speak(s, fft->section);
        return;
    }
    field_put(fft, &s->scenario, kept_fft);
    field_put(extended, &s->scenario, kept_extended);
    if (entry) {
        CONTRADICT(s, "no FFT size has %s carriers", entry->value);
    }
}

/* Data symbols, and P2 symbols of that FFT size, are the frame's. */
static void settle_symbols(struct settling *s)
{
    const struct page_entry *entry = settling_entry(s, "second.data_symbols");
    const struct field *field = field_named("dvbt2.symbols");
    double symbols = entry ? entry->number + t2_p2_symbols(s->scenario.dvbt2.waveform.fft) : 0.0;
    bool knows = entry && settling_is_given(s, "dvbt2.fft");
    if (knows && !settling_is_given(s, "dvbt2.symbols") && symbols >= field->low &&
        symbols <= field->high) {
        settling_give(s, "dvbt2.symbols", symbols);
    }
}

/* ---- All of it. ---- */

/* What the system itself says against the settings. */
static void ask_system(struct settling *s, const struct system *system)
{
    struct reception reception;
    struct fault fault = {0};
    if (system->receive(&s->scenario, PIPE_MOST_ROBUST, &reception, &fault) == STATUS_ILLEGAL) {
        const struct field *field = field_named(fault.place);
        char title[PAGE_TITLE_BYTES] = "";
        if (field) {
            page_field_title(field, title, sizeof title);
        }
        CONTRADICT(s, "%s: %s (legal: %s)", field ? title : fault.place, fault.wrong,
                   fault.allowed);
    }
}

void dvb_settle(struct settling *s)
{
    enum generation generation =
        s->page->generation == GENERATION_COUNT ? GENERATION_SECOND : s->page->generation;
    const struct sizes *of = &sizes[generation];
    settle_carriers(s, of);
    settle_guard_time(s, of);
    if (generation == GENERATION_SECOND) {
        move_assumed(s);
        settle_symbols(s);
    }
    if (s->settled->contradictions.count == s->readings_apart) {
        ask_system(s, system_of(&s->scenario, generation));
    }
}
