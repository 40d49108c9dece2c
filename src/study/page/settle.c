/* From a page's entries to a mode: what the page says, what it leaves open, and what cannot all be
 * true. A setting that is missing gets a value, moved where the given ones ask for it, but is not
 * said; a given one is never moved. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scenario/field.h"
#include "standard/atsc3/grid.h"
#include "standard/rf.h"
#include "study/page/page.h"
#include "system/system.h"

struct settling {
    const struct page *page;
    struct page_settled *settled; /* gets `scenario` in the end */
    struct scenario scenario;
    int plp, subframe;
    bool given[FIELDS_MAX];     /* by the field's number: on the page */
    bool contested[FIELDS_MAX]; /* and said in two ways */
    size_t readings_apart;      /* of these, what is no choice of the mode */
    bool failed;
};

#define ADD(s, lines, ...) ((s)->failed |= page_add_line(lines, __VA_ARGS__) != STATUS_OK)
#define CONTRADICT(s, ...) ADD(s, &(s)->settled->contradictions, __VA_ARGS__)

/* The entry is said of this PLP and subframe, or of all. */
static bool is_relevant(const struct settling *s, const struct page_entry *entry)
{
    return (entry->plp == -1 || entry->plp == s->plp) &&
           (entry->subframe == -1 || s->subframe == -1 || entry->subframe == s->subframe);
}

static const struct page_entry *find_relevant(const struct settling *s, const char *key)
{
    const struct page_entry *general = NULL;
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *entry = &s->page->entries[i];
        if (strcmp(entry->key, key) != 0 || !is_relevant(s, entry)) {
            continue;
        }
        if (entry->plp == s->plp) {
            return entry;
        }
        general = general ? general : entry;
    }
    return general;
}

/* Readings of one thing that are this far apart are still readings of it: the first one counts. */
#define READINGS_APART_DB 3.0

/* A second entry of the same standing with another value. */
static bool find_conflict(struct settling *s, const struct field *field,
                          const struct page_entry *entry)
{
    double apart = strcmp(field->section, "receiver") == 0 ? READINGS_APART_DB : 0.0;
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *other = &s->page->entries[i];
        if (strcmp(other->key, entry->key) == 0 && is_relevant(s, other) &&
            other->plp == entry->plp && fabs(other->number - entry->number) > apart) {
            CONTRADICT(s, "%s is %s (line %d) and also %s (line %d)", field->title, entry->value,
                       entry->line, other->value, other->line);
            return true;
        }
    }
    return false;
}

static size_t field_index(const char *key)
{
    return (size_t)(field_named(key) - field_at(0));
}

static bool is_given(const struct settling *s, const char *key)
{
    return s->given[field_index(key)];
}

static void give(struct settling *s, const char *key, double number)
{
    size_t i = field_index(key);
    field_put(field_at(i), &s->scenario, number);
    s->given[i] = true;
}

/* ---- What the page says. ---- */

static bool is_of(const struct field *field, const char *section)
{
    return strcmp(field->section, section) == 0;
}

static void take_entries(struct settling *s)
{
    for (size_t i = 0; i < field_count(); i++) {
        char key[32];
        field_name(field_at(i), key, sizeof key);
        const struct page_entry *entry = field_at(i)->on_page ? find_relevant(s, key) : NULL;
        if (!entry) {
            continue;
        }
        s->contested[i] = find_conflict(s, field_at(i), entry);
        if (s->contested[i] && is_of(field_at(i), "receiver")) {
            s->readings_apart++; /* it tells against the reading, not against the mode */
            continue;
        }
        give(s, key, entry->number);
        s->settled->speaks_of_mode = s->settled->speaks_of_mode || is_of(field_at(i), "mode");
    }
}

static void settle_channel(struct settling *s)
{
    const struct site *site = &s->scenario.site;
    const struct page_entry *channel = find_relevant(s, "site.rf_channel");
    if (!is_given(s, "site.center_mhz")) {
        return;
    }
    if (channel &&
        fabs(site->center_mhz - rf_center_mhz(pair_plan(site->pair), (int)channel->number)) >
            site->bandwidth_mhz / 2.0) {
        CONTRADICT(s, "RF channel %.0f is centred at %.6g MHz, not at %.6g MHz", channel->number,
                   rf_center_mhz(pair_plan(site->pair), (int)channel->number), site->center_mhz);
    }
    if (channel) {
        give(s, "site.rf_channel", channel->number);
    } else {
        s->scenario.site.rf_channel = rf_channel_at(pair_plan(site->pair), site->center_mhz);
    }
}

/* A guard interval given as time: 1 % is closer than any two of them are. */
#define GUARD_TIME_TOLERANCE 0.01

static void settle_guard_time(struct settling *s)
{
    const struct page_entry *entry = find_relevant(s, "second.guard_us");
    if (!entry) {
        return;
    }
    struct transmission mode = s->scenario.transmission;
    for (int i = 0; i < GUARD_COUNT; i++) {
        mode.subframes[0].waveform.guard = (enum guard)i;
        double us = waveform_grid(&mode.subframes[0].waveform).guard_us;
        if (fabs(us - entry->number) > GUARD_TIME_TOLERANCE * us) {
            continue;
        }
        if (is_given(s, "mode.guard") && s->scenario.transmission.subframes[0].waveform.guard !=
                                             mode.subframes[0].waveform.guard) {
            CONTRADICT(s, "guard interval %s lasts %.1f us at %d MHz, not %s us",
                       guard_name(s->scenario.transmission.subframes[0].waveform.guard),
                       waveform_grid(&s->scenario.transmission.subframes[0].waveform).guard_us,
                       mode.subframes[0].waveform.bandwidth_mhz, entry->value);
        }
        give(s, "mode.guard", i);
        s->settled->speaks_of_mode = true;
        return;
    }
    CONTRADICT(s, "no guard interval lasts %s us at %d MHz", entry->value,
               mode.subframes[0].waveform.bandwidth_mhz);
}

static void settle_carriers(struct settling *s)
{
    const struct page_entry *entry = find_relevant(s, "second.carriers");
    if (!entry) {
        return;
    }
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int c = 0; c <= REDUCTION_MAX; c++) {
            if (carriers_count((enum fft_size)fft, c) != (int)entry->number) {
                continue;
            }
            const struct transmission *mode = &s->scenario.transmission;
            if ((is_given(s, "mode.fft") && (int)mode->subframes[0].waveform.fft != fft) ||
                (is_given(s, "mode.reduction") && mode->subframes[0].waveform.reduction != c)) {
                CONTRADICT(s, "%s carriers belong to FFT size %s with reduction %d", entry->value,
                           fft_name((enum fft_size)fft), c);
            }
            give(s, "mode.fft", fft);
            give(s, "mode.reduction", c);
            return;
        }
    }
    CONTRADICT(s, "no FFT size has %s carriers", entry->value);
}

/* ---- What goes together. ---- */

static double distance_of(const struct waveform *asked, int fft, int guard, int pilots)
{
    return 100.0 * abs(fft - (int)asked->fft) + 10.0 * abs(guard - (int)asked->guard) +
           fabs(log2((double)pilots_dx((enum pilots)pilots) / pilots_dx(asked->pilots))) +
           abs(pilots_dy((enum pilots)pilots) - pilots_dy(asked->pilots));
}

/* Which of the three are given: a look at the fields' table for each of 576 would take long. */
struct waveform_given {
    bool fft, guard, pilots;
};

static bool goes_with_given(const struct waveform_given *given, const struct waveform *asked,
                            int fft, int guard, int pilots)
{
    return (!given->fft || fft == (int)asked->fft) &&
           (!given->guard || guard == (int)asked->guard) &&
           (!given->pilots || pilots == (int)asked->pilots) &&
           pilots_are_allowed((enum fft_size)fft, (enum guard)guard, (enum pilots)pilots);
}

/* The legal choice of FFT size, guard interval and pilots nearest to the assumed one that keeps
 * what is given; false where there is none. Where only one FFT size is left it is as good as given.
 */
static bool move_assumed_waveform(struct settling *s)
{
    struct waveform *waveform = &s->scenario.transmission.subframes[0].waveform;
    const struct waveform asked = *waveform;
    const struct waveform_given given = {is_given(s, "mode.fft"), is_given(s, "mode.guard"),
                                         is_given(s, "mode.pilots")};
    bool left[FFT_COUNT] = {false}; /* FFT sizes that go with what is given */
    int left_count = 0;
    double best = INFINITY;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                if (!goes_with_given(&given, &asked, fft, guard, pilots)) {
                    continue;
                }
                left_count += !left[fft];
                left[fft] = true;
                double distance = distance_of(&asked, fft, guard, pilots);
                if (distance < best) {
                    best = distance;
                    waveform->fft = (enum fft_size)fft;
                    waveform->guard = (enum guard)guard;
                    waveform->pilots = (enum pilots)pilots;
                }
            }
        }
    }
    if (left_count == 1 && !given.fft) {
        give(s, "mode.fft", (double)waveform->fft);
    }
    return isfinite(best);
}

static void name_waveform_contradiction(struct settling *s)
{
    const struct transmission *mode = &s->scenario.transmission;
    if (is_given(s, "mode.fft") && is_given(s, "mode.guard") &&
        !guard_is_allowed(mode->subframes[0].waveform.fft, mode->subframes[0].waveform.guard)) {
        CONTRADICT(s, "FFT size %s does not go with guard interval %s",
                   fft_name(mode->subframes[0].waveform.fft),
                   guard_name(mode->subframes[0].waveform.guard));
    } else if (is_given(s, "mode.fft") && is_given(s, "mode.guard")) {
        CONTRADICT(s, "scattered pilots %s do not go with FFT size %s and guard interval %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   fft_name(mode->subframes[0].waveform.fft),
                   guard_name(mode->subframes[0].waveform.guard));
    } else if (is_given(s, "mode.fft")) {
        CONTRADICT(s, "scattered pilots %s do not go with FFT size %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   fft_name(mode->subframes[0].waveform.fft));
    } else {
        CONTRADICT(s, "scattered pilots %s do not go with guard interval %s",
                   pilots_name(mode->subframes[0].waveform.pilots),
                   guard_name(mode->subframes[0].waveform.guard));
    }
}

static void settle_code(struct settling *s)
{
    struct transmission *mode = &s->scenario.transmission;
    if (!constellation_is_allowed(mode->plps[0].code.length, mode->plps[0].code.constellation)) {
        if (is_given(s, "mode.length") && is_given(s, "mode.constellation")) {
            CONTRADICT(s, "constellation %s does not go with code length %s",
                       constellation_name(mode->plps[0].code.constellation),
                       code_length_name(mode->plps[0].code.length));
        } else if (is_given(s, "mode.constellation")) {
            mode->plps[0].code.length = LENGTH_64800;
        } else {
            mode->plps[0].code.constellation = QAM256;
        }
    }
    if (!interleaver_is_allowed(mode->plps[0].code.constellation, mode->plps[0].interleaver)) {
        if (is_given(s, "mode.interleaver") && is_given(s, "mode.constellation")) {
            CONTRADICT(s, "time interleaver %s is for QPSK, not for %s",
                       interleaver_name(mode->plps[0].interleaver),
                       constellation_name(mode->plps[0].code.constellation));
        } else if (is_given(s, "mode.interleaver")) {
            mode->plps[0].code.constellation = QPSK;
        } else {
            mode->plps[0].interleaver = CTI_1024;
        }
    }
}

static void settle_generation(struct settling *s)
{
    bool first = false, second = false;
    int plps[PAGE_PLP_MAX + 1];
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *entry = &s->page->entries[i];
        if (strcmp(entry->key, "page.system") == 0) {
            first = first || entry->number == 1.0;
            second = second || entry->number == 3.0;
        }
    }
    if (first && second) {
        CONTRADICT(s, "the page speaks of ATSC 3.0 and of ATSC 1.0 (8-VSB)");
    } else if (first && s->settled->speaks_of_mode) {
        CONTRADICT(s, "the page says 8-VSB (ATSC 1.0), which has none of the OFDM settings that it "
                      "gives");
    }
    second = second || s->settled->speaks_of_mode || page_plps(s->page, plps) > 0;
    s->settled->generation = first    ? GENERATION_FIRST
                             : second ? GENERATION_SECOND
                                      : GENERATION_COUNT;
}

/* ---- What is missing. ---- */

/* What decides what a mode carries and needs is never assumed. */
static bool may_be_assumed(const struct field *field)
{
    static const char *const never[] = {"mode.fft", "mode.guard", "mode.rate", "mode.constellation",
                                        "site.rf_channel"};
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++) {
        if (field == field_named(never[i])) {
            return false;
        }
    }
    return true;
}

/* Not of a list: stations, echoes, subframes, PLPs. */
static bool is_of_scenario(const struct field *field)
{
    static const char *const lists[] = {"station", "echo", "subframe", "plp"};
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++) {
        if (is_of(field, lists[i])) {
            return false;
        }
    }
    return true;
}

/* Said on the page, or by who called: what differs from the defaults was asked for. */
static void tell_said(struct settling *s, const struct scenario *base)
{
    const struct scenario plain = scenario_default();
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        bool here = is_of_scenario(field);
        bool asked = here && !field->instead_of && !field_is_same(field, base, &plain);
        s->settled->said[i] = (s->given[i] || asked) && !s->contested[i];
    }
    s->settled->said[field_index("site.rf_channel")] |= is_given(s, "site.center_mhz");
}

bool page_has_one_mode(const struct page_settled *settled)
{
    return settled->generation != GENERATION_COUNT &&
           system_of(&settled->scenario, settled->generation)->one_mode;
}

bool page_says(const struct page_settled *settled, const char *key)
{
    return settled->said[field_index(key)];
}

static void list_missing(struct settling *s)
{
    struct page_settled *settled = s->settled;
    bool first = page_has_one_mode(settled);
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        bool of_mode = is_of(field, "mode");
        if (!field->on_page || field->instead_of || settled->said[i] || s->given[i] ||
            (of_mode && first)) {
            continue;
        }
        bool used = of_mode ? settled->speaks_of_mode : settled->generation != GENERATION_COUNT;
        if (isnan(field_number(field, &s->scenario)) || !may_be_assumed(field) || !used) {
            ADD(s, &settled->missing, "%s: not on the page", field->title);
        } else {
            char value[FIELD_TEXT_BYTES];
            field_format_unit(field, &s->scenario, value, sizeof value);
            ADD(s, &settled->assumed, "%s %s", field->title, value);
        }
    }
}

/* The subframe of the PLP, else the first that has settings; -1: the page names none. */
static int choose_subframe(const struct page *page, int plp)
{
    int lowest = -1;
    for (size_t i = 0; i < page->entry_count; i++) {
        const struct page_entry *entry = &page->entries[i];
        if (entry->subframe < 0) {
            continue;
        }
        if (plp >= 0 && entry->plp == plp) {
            return entry->subframe;
        }
        lowest = lowest < 0 || entry->subframe < lowest ? entry->subframe : lowest;
    }
    return lowest;
}

enum status page_settle(const struct page *page, int plp, const struct scenario *base,
                        struct page_settled *settled)
{
    *settled = (struct page_settled){0};
    struct settling s = {.page = page, .settled = settled, .scenario = *base, .plp = plp};
    s.subframe = choose_subframe(page, s.plp);
    take_entries(&s);
    settle_channel(&s);
    settle_guard_time(&s);
    settle_carriers(&s);
    if (!move_assumed_waveform(&s)) {
        name_waveform_contradiction(&s);
    }
    settle_code(&s);
    settle_generation(&s);
    tell_said(&s, base);
    list_missing(&s);
    settled->scenario = s.scenario;
    settled->legal = settled->contradictions.count == s.readings_apart && !page->wrong_mode &&
                     !(s.plp >= 0 && page->wrong_plp[s.plp]);
    if (s.failed) {
        page_settled_free(settled);
        return STATUS_NO_MEMORY;
    }
    return STATUS_OK;
}

void page_settled_free(struct page_settled *settled)
{
    free(settled->missing.rows);
    free(settled->assumed.rows);
    free(settled->contradictions.rows);
    settled->missing = settled->assumed = settled->contradictions = (struct page_lines){0};
}
