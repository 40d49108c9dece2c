/* From a page's entries to a mode: what the page says, what it leaves open, and what cannot all be
 * true. A setting that is missing gets a value, moved where the given ones ask for it, but is not
 * said; a given one is never moved. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "scenario/section.h"
#include "standard/rf.h"
#include "study/page/terms/terms.h"
#include "system/system.h"

void page_field_title(const struct field *field, char *buffer, size_t size)
{
    const char *which = strstr(field->title, " of the first generation");
    which = which ? which : strstr(field->title, " of the second generation");
    size_t length = which ? (size_t)(which - field->title) : strlen(field->title);
    text_format(buffer, size, "%.*s", (int)length, field->title);
}

/* The entry is said of this PLP and subframe, or of all. */
static bool is_relevant(const struct settling *s, const struct page_entry *entry)
{
    return (entry->plp == -1 || entry->plp == s->plp) &&
           (entry->subframe == -1 || entry->subframe == s->subframe);
}

const struct page_entry *settling_entry(const struct settling *s, const char *key)
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

/* Readings of one thing that are this far apart are still readings of it. */
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
            char title[PAGE_TITLE_BYTES];
            page_field_title(field, title, sizeof title);
            CONTRADICT(s, "%s is %s (line %d) and also %s (line %d)", title, entry->value,
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

bool settling_is_given(const struct settling *s, const char *key)
{
    return s->given[field_index(key)];
}

void settling_give(struct settling *s, const char *key, double number)
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

void settling_speak(struct settling *s, const char *section)
{
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const char *own = system_of(&s->scenario, (enum generation)g)->section;
        bool speaks = own && strcmp(own, section) == 0;
        s->speaks_of[g] = s->speaks_of[g] || speaks;
        s->settled->speaks_of_mode = s->settled->speaks_of_mode || speaks;
    }
}

static void take_entries(struct settling *s)
{
    for (size_t i = 0; i < field_count(); i++) {
        char key[32];
        field_name(field_at(i), key, sizeof key);
        const struct page_entry *entry = field_at(i)->on_page ? settling_entry(s, key) : NULL;
        if (!entry) {
            continue;
        }
        s->contested[i] = find_conflict(s, field_at(i), entry);
        if (s->contested[i] && is_of(field_at(i), "receiver")) {
            s->readings_apart++; /* it tells against the reading, not against the mode */
            continue;
        }
        settling_give(s, key, entry->number);
        settling_speak(s, field_at(i)->section);
    }
}

/* The plan's channel with this centre, if any, and its width where nobody said another. */
static void take_channel_at(struct settling *s, double center_mhz)
{
    struct site *site = &s->scenario.site;
    enum channel_plan plan = pair_plan(site->pair);
    int channel = rf_channel_at(plan, center_mhz), width_mhz = rf_width_mhz(plan, channel);
    bool follows = site->bandwidth_mhz == rf_width_mhz(plan, s->channel_before);
    if (follows && width_mhz > 0 && !settling_is_given(s, "site.bandwidth_mhz")) {
        scenario_set_bandwidth(&s->scenario, width_mhz);
    }
    site->rf_channel = channel;
}

static void settle_channel(struct settling *s)
{
    const struct site *site = &s->scenario.site;
    const struct page_entry *channel = settling_entry(s, "site.rf_channel");
    if (!settling_is_given(s, "site.center_mhz")) {
        return;
    }
    if (channel &&
        fabs(site->center_mhz - rf_center_mhz(pair_plan(site->pair), (int)channel->number)) >
            site->bandwidth_mhz / 2.0) {
        CONTRADICT(s, "RF channel %.0f is centred at %.6g MHz, not at %.6g MHz", channel->number,
                   rf_center_mhz(pair_plan(site->pair), (int)channel->number), site->center_mhz);
    }
    if (channel) {
        settling_give(s, "site.rf_channel", channel->number);
    } else {
        take_channel_at(s, site->center_mhz);
    }
}

/* ---- Which system it is of. ---- */

/* The first name of one system on the page. */
static const struct page_entry *find_name(struct settling *s)
{
    const struct page_entry *name = NULL;
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *entry = &s->page->entries[i];
        if (strcmp(entry->key, "page.system") != 0 || isnan(entry->number)) {
            continue;
        }
        if (name && entry->number != name->number) {
            CONTRADICT(s, "the page speaks of %s and of %s", name->value, entry->value);
            break;
        }
        name = name ? name : entry;
    }
    return name;
}

/* The page is of one system and gives what only the pair's other one, which has settings, has. */
static void name_foreign_setting(struct settling *s, const char *says, const char *name,
                                 enum generation other)
{
    const char *section = system_of(&s->scenario, other)->section;
    size_t length = strlen(section);
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *entry = &s->page->entries[i];
        if (strncmp(entry->key, section, length) == 0 && entry->key[length] == '.') {
            char title[PAGE_TITLE_BYTES];
            page_field_title(field_named(entry->key), title, sizeof title);
            CONTRADICT(s, "the page %s %s, which has no %s %s", says, name, title, entry->value);
            return;
        }
    }
    CONTRADICT(s, "the page %s %s, which has none of the settings that it gives", says, name);
}

/* By its name, else by what the pair's terms made of it, else by its settings. */
static enum generation generation_of(const struct settling *s, const struct page_entry *name)
{
    int plps[PAGE_PLP_MAX + 1];
    for (int g = 0; name && g < GENERATION_COUNT; g++) {
        if (name->number == page_system_number(s->page->pair, (enum generation)g)) {
            return (enum generation)g;
        }
    }
    /* A page of settings that the first one has too is told by the pair's terms. */
    return s->page->generation != GENERATION_COUNT                           ? s->page->generation
           : s->speaks_of[GENERATION_SECOND] || page_plps(s->page, plps) > 0 ? GENERATION_SECOND
                                                                             : GENERATION_COUNT;
}

static void settle_generation(struct settling *s)
{
    const struct page_entry *name = find_name(s);
    enum generation generation = generation_of(s, name);
    s->settled->generation = generation;
    enum generation other = generation == GENERATION_FIRST ? GENERATION_SECOND : GENERATION_FIRST;
    if (generation != GENERATION_COUNT && s->speaks_of[other]) {
        name_foreign_setting(s, name ? "says" : "has settings of",
                             name ? name->value : system_of(&s->scenario, generation)->name, other);
    }
}

/* ---- What is missing. ---- */

/* What decides what a mode carries and needs is never assumed. */
static bool may_be_assumed(const struct field *field)
{
    static const char *const never[] = {"fft", "guard", "rate", "constellation", "rf_channel"};
    for (size_t i = 0; i < sizeof never / sizeof never[0]; i++) {
        if (strcmp(field->name, never[i]) == 0) {
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
    const struct scenario plain = scenario_default_of(s->page->pair);
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        bool here = is_of_scenario(field);
        bool asked = here && !field->instead_of && !field_is_same(field, base, &plain);
        s->settled->said[i] = (s->given[i] || asked) && !s->contested[i];
    }
    s->settled->said[field_index("site.rf_channel")] |= settling_is_given(s, "site.center_mhz");
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

/* Where one generation has nothing to choose, settings are the other's. */
static const char *section_of_page(const struct page_settled *settled)
{
    const char *own = settled->generation == GENERATION_COUNT
                          ? NULL
                          : system_of(&settled->scenario, settled->generation)->section;
    return own ? own : system_of(&settled->scenario, GENERATION_SECOND)->section;
}

bool page_says_choice(const struct page_settled *settled, const char *name)
{
    const struct field *field = field_find(section_of_page(settled), name);
    return field && settled->said[(size_t)(field - field_at(0))];
}

/* The field tells what is sent, by this system; NULL: by any. */
static bool tells_signal(const struct field *field, const struct system *system)
{
    unsigned pairs = section_find(field->section)->pairs;
    return system ? system->section && is_of(field, system->section) : pairs != 0;
}

/* A number, or what follows from the others where none is said. */
static bool has_value(const struct field *field, const struct scenario *scenario)
{
    return !isnan(field_number(field, scenario)) || strcmp(field->word, "auto") == 0;
}

bool page_has_choice(const struct page_settled *settled, const char *name)
{
    return field_find(section_of_page(settled), name) != NULL;
}

/* "RF channel 52: ...": the page has a value of that title that cannot be. */
static bool names_what_is_not(const struct page *page, const char *title)
{
    size_t length = strlen(title);
    bool names = false;
    for (size_t i = 0; i < page->wrong.count && !names; i++) {
        names = strncmp(page->wrong.rows[i], title, length) == 0;
    }
    return names;
}

/* Of two readings close to one another, as C/N before and MER behind the equaliser are, the lower
 * counts. */
static void take_lower_reading(struct settling *s)
{
    static const char key[] = "receiver.snr_db";
    const struct page_entry *first = settling_entry(s, key), *low = first, *high = first;
    for (size_t i = 0; first && settling_is_given(s, key) && i < s->page->entry_count; i++) {
        const struct page_entry *other = &s->page->entries[i];
        if (strcmp(other->key, key) == 0 && is_relevant(s, other) && other->plp == first->plp) {
            low = other->number < low->number ? other : low;
            high = other->number > high->number ? other : high;
        }
    }
    if (low != high) {
        settling_give(s, key, low->number);
        ADD(s, &s->settled->assumed, "that of two SNRs the lower counts (%s dB, not %s dB)",
            low->value, high->value);
    }
}

static void list_missing(struct settling *s)
{
    struct page_settled *settled = s->settled;
    const struct terms *terms = terms_of(s->page->pair);
    bool told = settled->generation != GENERATION_COUNT;
    const struct system *system =
        system_of(&s->scenario, told ? settled->generation : GENERATION_SECOND);
    if (s->page->generation_assumed) {
        ADD(s, &settled->assumed, "system %s", system->name);
    }
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        bool of_mode = tells_signal(field, NULL);
        if (!field->on_page || field->instead_of || settled->said[i] || s->given[i] ||
            (of_mode && !tells_signal(field, system)) ||
            (terms->counts && !terms->counts(&s->scenario, field))) {
            continue;
        }
        bool used = of_mode ? settled->speaks_of_mode : told;
        char title[PAGE_TITLE_BYTES];
        page_field_title(field, title, sizeof title);
        if (s->contested[i]) {
            ADD(s, &settled->missing, "%s: the page says two things", title);
        } else if (names_what_is_not(s->page, title)) {
            ADD(s, &settled->missing, "%s: the one on the page does not exist", title);
        } else if (!has_value(field, &s->scenario) || !may_be_assumed(field) || !used) {
            ADD(s, &settled->missing, "%s: not on the page", title);
        } else {
            char value[FIELD_TEXT_BYTES];
            field_format_unit(field, &s->scenario, value, sizeof value);
            ADD(s, &settled->assumed, "%s %s", title, value);
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
    settled->generation = GENERATION_COUNT;
    scenario_set_pair(&s.scenario, page->pair);
    s.channel_before = s.scenario.site.rf_channel;
    const struct scenario asked = s.scenario;
    s.subframe = choose_subframe(page, s.plp);
    take_entries(&s);
    settle_channel(&s);
    terms_of(page->pair)->settle(&s);
    settle_generation(&s);
    tell_said(&s, &asked);
    list_missing(&s);
    take_lower_reading(&s);
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
