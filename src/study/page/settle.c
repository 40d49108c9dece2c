/* From a page's entries to a mode: what the page says, what it leaves open, and what cannot all be
 * true. A setting that is missing is assumed, and moved where the given ones ask for it; a given
 * one is never moved. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "standard/atsc3/grid.h"
#include "standard/rf.h"
#include "study/page/page.h"

enum place_type { PLACE_INT, PLACE_DOUBLE, PLACE_BOOL };

/* Settings that a page can give: where they go in a scenario. Enumerations have an int's size. */
static const struct place_row {
    const char *key, *title;
    enum place_type type;
    size_t offset;
} places[] = {
#define PLACE(key, title, type, member)                     \
    {                                                       \
        key, title, type, offsetof(struct scenario, member) \
    }
    PLACE("site.bandwidth_mhz", "bandwidth", PLACE_INT,
          transmission.subframes[0].waveform.bandwidth_mhz),
    PLACE("mode.fft", "FFT size", PLACE_INT, transmission.subframes[0].waveform.fft),
    PLACE("mode.guard", "guard interval", PLACE_INT, transmission.subframes[0].waveform.guard),
    PLACE("mode.pilots", "scattered pilots", PLACE_INT, transmission.subframes[0].waveform.pilots),
    PLACE("mode.boost", "pilot boost", PLACE_INT, transmission.subframes[0].waveform.boost),
    PLACE("mode.reduction", "carrier reduction", PLACE_INT,
          transmission.subframes[0].waveform.reduction),
    PLACE("mode.length", "code length", PLACE_INT, transmission.subframes[0].plps[0].code.length),
    PLACE("mode.rate", "code rate", PLACE_INT, transmission.subframes[0].plps[0].code.rate_15ths),
    PLACE("mode.constellation", "constellation", PLACE_INT,
          transmission.subframes[0].plps[0].code.constellation),
    PLACE("mode.outer", "outer code", PLACE_INT, transmission.subframes[0].plps[0].code.outer),
    PLACE("mode.frame_ms", "frame length", PLACE_DOUBLE, transmission.frame_ms),
    PLACE("mode.first_boundary", "first boundary symbol", PLACE_BOOL,
          transmission.subframes[0].first_boundary),
    PLACE("mode.l1_basic_mode", "L1-Basic mode", PLACE_INT, transmission.signalling.l1_basic_mode),
    PLACE("mode.l1_detail_mode", "L1-Detail mode", PLACE_INT,
          transmission.signalling.l1_detail_mode),
    PLACE("mode.interleaver", "time interleaver", PLACE_INT,
          transmission.subframes[0].plps[0].interleaver),
    PLACE("receiver.snr_db", "measured SNR", PLACE_DOUBLE, receiver.snr_db),
    PLACE("receiver.level_dbm", "measured level", PLACE_DOUBLE, receiver.level_dbm),
    PLACE("site.rf_channel", "RF channel", PLACE_INT, site.rf_channel),
    PLACE("site.center_mhz", "centre frequency", PLACE_DOUBLE, site.center_mhz),
#undef PLACE
};

#define PLACE_COUNT (sizeof places / sizeof places[0])
_Static_assert(sizeof(enum fft_size) == sizeof(int), "places[] takes enumerations as int");

struct settling {
    const struct page *page;
    struct page_settled *settled; /* gets `scenario` in the end */
    struct scenario scenario;
    int plp, subframe;
    bool given[PLACE_COUNT];
    bool failed;
};

static void add_line(struct settling *s, struct page_lines *lines, const char *line)
{
    bool full = (lines->count & (lines->count - 1)) == 0;
    void *rows = lines->rows;
    if (full) {
        rows = realloc(rows, (lines->count ? 2 * lines->count : 1) * sizeof lines->rows[0]);
    }
    if (!rows) {
        s->failed = true;
        return;
    }
    lines->rows = rows;
    text_format(lines->rows[lines->count++], sizeof lines->rows[0], "%s", line);
}

#define ADD(s, lines, ...)                             \
    do {                                               \
        char line_[PAGE_TEXT_BYTES * 2];               \
        text_format(line_, sizeof line_, __VA_ARGS__); \
        add_line(s, lines, line_);                     \
    } while (0)
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

/* A second entry of the same standing with another value. */
static void find_conflict(struct settling *s, const struct place_row *row,
                          const struct page_entry *entry)
{
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *other = &s->page->entries[i];
        if (strcmp(other->key, row->key) == 0 && is_relevant(s, other) &&
            other->plp == entry->plp && other->number != entry->number) {
            CONTRADICT(s, "%s is %s (line %d) and also %s (line %d)", row->title, entry->value,
                       entry->line, other->value, other->line);
            return;
        }
    }
}

static void put_number(const struct place_row *row, struct scenario *scenario, double number)
{
    char *at = (char *)scenario + row->offset;
    int whole = (int)number;
    bool yes = number != 0.0;
    if (row->type == PLACE_INT) {
        memcpy(at, &whole, sizeof whole);
    } else if (row->type == PLACE_BOOL) {
        memcpy(at, &yes, sizeof yes);
    } else {
        memcpy(at, &number, sizeof number);
    }
}

static size_t place_of(const char *key)
{
    size_t i = 0;
    while (strcmp(places[i].key, key) != 0) {
        i++;
    }
    return i;
}

static bool is_given(const struct settling *s, const char *key)
{
    return s->given[place_of(key)];
}

static void give(struct settling *s, const char *key, double number)
{
    size_t i = place_of(key);
    put_number(&places[i], &s->scenario, number);
    s->given[i] = true;
}

/* ---- What the page says. ---- */

static void take_entries(struct settling *s)
{
    for (size_t i = 0; i < PLACE_COUNT; i++) {
        const struct page_entry *entry = find_relevant(s, places[i].key);
        if (!entry) {
            continue;
        }
        find_conflict(s, &places[i], entry);
        give(s, places[i].key, entry->number);
        s->settled->speaks_of_mode =
            s->settled->speaks_of_mode || strncmp(places[i].key, "mode.", 5) == 0;
    }
    s->scenario.site.bandwidth_mhz = s->scenario.transmission.subframes[0].waveform.bandwidth_mhz;
}

static void settle_channel(struct settling *s)
{
    struct site *site = &s->scenario.site;
    bool channel = is_given(s, "site.rf_channel"), frequency = is_given(s, "site.center_mhz");
    if (channel && frequency &&
        fabs(site->center_mhz - rf_center_mhz(site->rf_channel)) > site->bandwidth_mhz / 2.0) {
        CONTRADICT(s, "RF channel %d is centred at %.6g MHz, not at %.6g MHz", site->rf_channel,
                   rf_center_mhz(site->rf_channel), site->center_mhz);
    }
    if (channel) {
        site->center_mhz = rf_center_mhz(site->rf_channel);
    } else if (frequency) {
        site->rf_channel = rf_channel_at(site->center_mhz);
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
            CONTRADICT(s, "guard interval %s lasts %.1f us at %d MHz, not %s",
                       guard_name(s->scenario.transmission.subframes[0].waveform.guard),
                       waveform_grid(&s->scenario.transmission.subframes[0].waveform).guard_us,
                       mode.subframes[0].waveform.bandwidth_mhz, entry->value);
        }
        give(s, "mode.guard", i);
        s->settled->speaks_of_mode = true;
        return;
    }
    CONTRADICT(s, "no guard interval lasts %s at %d MHz", entry->value,
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

/* The legal choice of FFT size, guard interval and pilots nearest to the assumed one that keeps
 * what is given; false where there is none. */
static bool move_assumed_waveform(struct settling *s)
{
    const struct transmission asked = s->scenario.transmission;
    double best = INFINITY;
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int guard = 0; guard < GUARD_COUNT; guard++) {
            for (int pilots = 0; pilots < PILOTS_COUNT; pilots++) {
                bool kept =
                    (!is_given(s, "mode.fft") || fft == (int)asked.subframes[0].waveform.fft) &&
                    (!is_given(s, "mode.guard") ||
                     guard == (int)asked.subframes[0].waveform.guard) &&
                    (!is_given(s, "mode.pilots") ||
                     pilots == (int)asked.subframes[0].waveform.pilots);
                if (!kept || !pilots_are_allowed((enum fft_size)fft, (enum guard)guard,
                                                 (enum pilots)pilots)) {
                    continue;
                }
                double distance = 100.0 * abs(fft - (int)asked.subframes[0].waveform.fft) +
                                  10.0 * abs(guard - (int)asked.subframes[0].waveform.guard) +
                                  fabs(log2((double)pilots_dx((enum pilots)pilots) /
                                            pilots_dx(asked.subframes[0].waveform.pilots))) +
                                  abs(pilots_dy((enum pilots)pilots) -
                                      pilots_dy(asked.subframes[0].waveform.pilots));
                if (distance < best) {
                    best = distance;
                    s->scenario.transmission.subframes[0].waveform.fft = (enum fft_size)fft;
                    s->scenario.transmission.subframes[0].waveform.guard = (enum guard)guard;
                    s->scenario.transmission.subframes[0].waveform.pilots = (enum pilots)pilots;
                }
            }
        }
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
    if (!constellation_is_allowed(mode->subframes[0].plps[0].code.length,
                                  mode->subframes[0].plps[0].code.constellation)) {
        if (is_given(s, "mode.length") && is_given(s, "mode.constellation")) {
            CONTRADICT(s, "constellation %s does not go with code length %s",
                       constellation_name(mode->subframes[0].plps[0].code.constellation),
                       code_length_name(mode->subframes[0].plps[0].code.length));
        } else if (is_given(s, "mode.constellation")) {
            mode->subframes[0].plps[0].code.length = LENGTH_64800;
        } else {
            mode->subframes[0].plps[0].code.constellation = QAM256;
        }
    }
    if (!interleaver_is_allowed(mode->subframes[0].plps[0].code.constellation,
                                mode->subframes[0].plps[0].interleaver)) {
        if (is_given(s, "mode.interleaver") && is_given(s, "mode.constellation")) {
            CONTRADICT(s, "time interleaver %s is for QPSK, not for %s",
                       interleaver_name(mode->subframes[0].plps[0].interleaver),
                       constellation_name(mode->subframes[0].plps[0].code.constellation));
        } else if (is_given(s, "mode.interleaver")) {
            mode->subframes[0].plps[0].code.constellation = QPSK;
        } else {
            mode->subframes[0].plps[0].interleaver = CTI_1024;
        }
    }
}

static void settle_generation(struct settling *s)
{
    bool first = false, second = false;
    for (size_t i = 0; i < s->page->entry_count; i++) {
        const struct page_entry *entry = &s->page->entries[i];
        if (strcmp(entry->key, "page.system") == 0) {
            first = first || entry->number == 1.0;
            second = second || entry->number == 3.0;
        }
    }
    s->settled->first_generation = first && !second;
    if (first && second) {
        CONTRADICT(s, "the page speaks of ATSC 3.0 and of ATSC 1.0 (8-VSB)");
    } else if (first && s->settled->speaks_of_mode) {
        CONTRADICT(s, "the page says 8-VSB (ATSC 1.0), which has none of the OFDM settings that it "
                      "gives");
    }
}

/* ---- What is missing. ---- */

static void format_assumed(const struct scenario *scenario, const char *key, char *buffer,
                           size_t size)
{
    const struct transmission *mode = &scenario->transmission;
    const struct {
        const char *key, *word;
    } words[] = {
        {"mode.fft", fft_name(mode->subframes[0].waveform.fft)},
        {"mode.guard", guard_name(mode->subframes[0].waveform.guard)},
        {"mode.pilots", pilots_name(mode->subframes[0].waveform.pilots)},
        {"mode.length", code_length_name(mode->subframes[0].plps[0].code.length)},
        {"mode.constellation", constellation_name(mode->subframes[0].plps[0].code.constellation)},
        {"mode.outer", outer_code_name(mode->subframes[0].plps[0].code.outer)},
        {"mode.interleaver", interleaver_name(mode->subframes[0].plps[0].interleaver)},
        {"mode.first_boundary", mode->subframes[0].first_boundary ? "yes" : "no"}};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        if (strcmp(words[i].key, key) == 0) {
            text_format(buffer, size, "%s", words[i].word);
            return;
        }
    }
    const struct place_row *row = &places[place_of(key)];
    const char *at = (const char *)scenario + row->offset;
    int whole = 0;
    double number = NAN;
    if (row->type == PLACE_DOUBLE) {
        memcpy(&number, at, sizeof number);
    } else {
        memcpy(&whole, at, sizeof whole);
        number = whole;
    }
    const char *unit = strstr(key, "_mhz") ? " MHz" : strstr(key, "_ms") ? " ms" : "";
    text_format(buffer, size, "%.6g%s%s", number, strcmp(key, "mode.rate") == 0 ? "/15" : "", unit);
}

static void list_missing(struct settling *s)
{
    struct page_lines *missing = &s->settled->missing;
    for (size_t i = 0; i < PLACE_COUNT; i++) {
        const struct place_row *row = &places[i];
        bool of_mode = strncmp(row->key, "mode.", 5) == 0;
        if (s->given[i] || (of_mode && s->settled->first_generation)) {
            continue;
        }
        if (strncmp(row->key, "receiver.", 9) == 0) {
            ADD(s, missing, "%s: not on the page", row->title);
        } else if (strncmp(row->key, "site.", 5) != 0 ||
                   strcmp(row->key, "site.bandwidth_mhz") == 0 ||
                   (strcmp(row->key, "site.rf_channel") == 0 && !is_given(s, "site.center_mhz"))) {
            char value[48];
            format_assumed(&s->scenario, row->key, value, sizeof value);
            ADD(s, missing, "%s: not on the page, %s assumed", row->title, value);
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
    int plps[PAGE_PLP_MAX + 1];
    int count = page_plps(page, plps);
    struct settling s = {.page = page, .settled = settled, .scenario = *base, .plp = plp};
    s.scenario.receiver.snr_db = NAN;
    s.scenario.receiver.level_dbm = NAN;
    if (plp < 0 && count > 1) {
        s.plp = plps[0];
    }
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
    list_missing(&s);
    settled->scenario = s.scenario;
    settled->legal = settled->contradictions.count == 0 && !page->wrong_mode;
    if (s.failed) {
        page_settled_free(settled);
        return STATUS_NO_MEMORY;
    }
    return STATUS_OK;
}

void page_settled_free(struct page_settled *settled)
{
    free(settled->missing.rows);
    free(settled->contradictions.rows);
    settled->missing = settled->contradictions = (struct page_lines){0};
}
