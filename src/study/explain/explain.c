/* Finds the words of a setting or a quantity in the tables by subject, and writes them. */
#include "study/explain/explain.h"

#include <string.h>
#include <strings.h>

#include "scenario/field.h"
#include "study/explain/tables.h"
#include "system/system.h"

static const struct explain_table *const tables[] = {
    &explain_mode_table,   &explain_settings_table, &explain_transmission_table,
    &explain_second_table, &explain_first_table,    &explain_place_table,
    &explain_fare_table,   &explain_page_table,     &explain_divide_table,
    &explain_dvb_table,    &explain_pair_table};

#define TABLE_COUNT (sizeof tables / sizeof tables[0])

/* Quantities that repeat a setting, or another quantity, share its entry. */
static const struct {
    const char *name, *entry;
} aliases[] = {
    {"second.fft", "mode.fft"},
    {"second.guard", "mode.guard"},
    {"second.pilots", "mode.pilots"},
    {"second.boost", "mode.boost"},
    {"second.reduction", "mode.reduction"},
    {"second.length", "mode.length"},
    {"second.extended", "dvbt2.extended"},
    {"second.rotation", "dvbt2.rotation"},
    {"first.hierarchy", "dvbt.hierarchy"},
    {"first.priority", "dvbt.priority"},
    {"second.high_efficiency", "dvbt2.high_efficiency"},
    {"second.rate", "mode.rate"},
    {"second.constellation", "mode.constellation"},
    {"second.outer", "mode.outer"},
    {"second.interleaver", "mode.interleaver"},
    {"mode.bandwidth_mhz", "site.bandwidth_mhz"},
    {"subframe.fft", "mode.fft"},
    {"subframe.guard", "mode.guard"},
    {"subframe.pilots", "mode.pilots"},
    {"subframe.boost", "mode.boost"},
    {"subframe.reduction", "mode.reduction"},
    {"subframe.first_boundary", "mode.first_boundary"},
    {"plp.constellation", "mode.constellation"},
    {"plp.rate", "mode.rate"},
    {"plp.length", "mode.length"},
    {"plp.outer", "mode.outer"},
    {"plp.rotation", "dvbt2.rotation"},
    {"plp.interleaver", "mode.interleaver"},
    {"frame.frame_ms", "mode.frame_ms"},
    {"frame.l1_basic_mode", "mode.l1_basic_mode"},
    {"frame.l1_detail_mode", "mode.l1_detail_mode"},
    {"frame.l1_detail_bits", "mode.l1_detail_bits"},
    {"divide.fft", "mode.fft"},
    {"divide.guard", "mode.guard"},
    {"divide.pilots", "mode.pilots"},
    {"divide.boost", "mode.boost"},
    {"divide.reduction", "mode.reduction"},
    {"divide.name", "service.rate_mbps"},
    {"divide.layer", "plp.layer"},
    {"divide.extended", "dvbt2.extended"},
    {"divide.high_efficiency", "dvbt2.high_efficiency"},
    {"divide.share", "plp.share"},
    {"divide.constellation", "mode.constellation"},
    {"divide.rate", "mode.rate"},
    {"divide.length", "mode.length"},
    {"divide.injection_db", "plp.injection_db"},
    {"divide.net_mbps", "second.net_mbps"},
    {"divide.receiver_snr_db", "second.receiver_snr_db"},
    {"second.ideal_source", "second.ideal_snr_db"},
    {"second.ideal_rayleigh_source", "second.ideal_rayleigh_snr_db"},
    {"place.generation", "station.generation"},
    {"place.center_mhz", "site.center_mhz"},
    {"place.system", "station.generation"},
    {"place.rf_channel", "station.rf_channel"},
    {"place.band", "rf.band"},
    {"place.erp_kw", "station.erp_kw"},
    {"place.erp_vertical_kw", "station.erp_vertical_kw"},
    {"place.height_m", "station.height_m"},
    {"place.distance_km", "station.distance_km"},
    {"place.needed_noise_db", "place.needed_snr_db"},
    {"place.margin_noise_db", "second.margin_noise_db"},
    {"place.works", "place.margin_db"},
    {"place.net_mbps", "second.net_mbps"},
    {"place.doppler_hz", "second.doppler_hz"},
    {"conditions.speed_kmh", "receiver.speed_kmh"},
    {"second.required_snr_db", "second.receiver_snr_db"},
    {"second.echo_before_us", "second.echo_us"},
    {"second.echo_after_us", "second.echo_us"},
};

/* The same among the second pair's own entries. */
static const struct {
    const char *name, *entry;
} own_aliases[] = {
    {"required_snr_db", "dvb.receiver_snr_db"},
    {"echo_before_us", "dvb.echo_us"},
    {"echo_after_us", "dvb.echo_us"},
    {"ideal_source", "dvb.ideal_snr_db"},
    {"ideal_rayleigh_source", "dvb.ideal_rayleigh_snr_db"},
};

/* The order in which a bare name is looked for. */
static const char *const parts[] = {
    "mode",     "second", "first",      "rf",  "site",  "receiver", "station", "place", "echo",
    "simulate", "page",   "conditions", "plp", "frame", "subframe", "service", "divide"};

size_t explain_count(void)
{
    size_t count = 0;
    for (size_t i = 0; i < TABLE_COUNT; i++) {
        count += tables[i]->count;
    }
    return count;
}

const struct explanation *explain_at(size_t i)
{
    for (size_t t = 0; t < TABLE_COUNT; t++) {
        if (i < tables[t]->count) {
            return &tables[t]->rows[i];
        }
        i -= tables[t]->count;
    }
    return NULL;
}

static const struct explanation *find_entry(const char *name)
{
    for (size_t t = 0; t < TABLE_COUNT; t++) {
        for (size_t i = 0; i < tables[t]->count; i++) {
            if (strcasecmp(tables[t]->rows[i].name, name) == 0) {
                return &tables[t]->rows[i];
            }
        }
    }
    return NULL;
}

/* Figures of which the same is said of the next part. */
static const char *const shared[][2] = {{"plp.", "second."}, {"second.", "first."}};

static const struct explanation *find_dotted(const char *name)
{
    for (size_t i = 0; i < sizeof aliases / sizeof aliases[0]; i++) {
        if (strcasecmp(aliases[i].name, name) == 0) {
            return find_entry(aliases[i].entry);
        }
    }
    const struct explanation *entry = find_entry(name);
    for (size_t i = 0; entry == NULL && i < sizeof shared / sizeof shared[0]; i++) {
        size_t length = strlen(shared[i][0]);
        if (strncasecmp(name, shared[i][0], length) == 0) {
            char other[96];
            text_format(other, sizeof other, "%s%s", shared[i][1], name + length);
            return find_dotted(other);
        }
    }
    return entry;
}

/* A pair's own entries for quantities of either generation begin with this; NULL: the general ones
 * are of it. */
static const char *const own_prefix[PAIR_COUNT] = {[PAIR_DVB] = "dvb."};
static const char *const generation_prefix[GENERATION_COUNT] = {"first.", "second."};

/* What "first.guard", "second.guard" and "mode.guard" are in a pair with entries of its own, of
 * which both systems have settings: a setting of that generation's, else an entry of the pair's. */
static const struct explanation *find_own(enum pair pair, const char *name)
{
    const struct scenario scenario = {.site.pair = pair};
    const char *point = strchr(name, '.');
    for (int g = 0; g < GENERATION_COUNT; g++) {
        const char *section = system_of(&scenario, (enum generation)g)->section;
        bool of_mode = g == GENERATION_SECOND && strncasecmp(name, "mode.", 5) == 0;
        size_t length = strlen(generation_prefix[g]);
        char dotted[96];
        text_format(dotted, sizeof dotted, "%s.%s", section, point + 1);
        if ((of_mode || strncasecmp(name, generation_prefix[g], length) == 0) &&
            find_entry(dotted)) {
            return find_entry(dotted);
        }
    }
    char own[96];
    text_format(own, sizeof own, "%s%s", own_prefix[pair], point + 1);
    const struct explanation *entry = find_entry(own);
    for (size_t i = 0; !entry && i < sizeof own_aliases / sizeof own_aliases[0]; i++) {
        if (strcasecmp(own_aliases[i].name, point + 1) == 0) {
            entry = find_entry(own_aliases[i].entry);
        }
    }
    return entry;
}

const struct explanation *explain_find_in(enum pair pair, const char *name)
{
    static const char *const shared_parts[] = {"first.", "second.", "rf.", "mode."};
    const struct explanation *general = explain_find(name), *entry = NULL;
    const char *dotted = strchr(name, '.') ? name : general ? general->name : "";
    char other[96];
    if (!own_prefix[pair]) {
        return general;
    }
    for (size_t i = 0; i < sizeof shared_parts / sizeof shared_parts[0] && !entry; i++) {
        if (strncasecmp(dotted, shared_parts[i], strlen(shared_parts[i])) == 0) {
            entry = find_own(pair, dotted);
        }
    }
    if (!entry && strncasecmp(dotted, "first.", 6) == 0) { /* of generations of one kind */
        text_format(other, sizeof other, "second.%s", dotted + 6);
        entry = find_dotted(other);
    }
    if (!entry) {
        text_format(other, sizeof other, "%s%s", own_prefix[pair], general ? general->name : name);
        entry = find_entry(other);
    }
    if (!entry && general &&
        strcasecmp(general->name, name) != 0) { /* what it shares an entry with */
        return explain_find_in(pair, general->name);
    }
    return entry ? entry : general;
}

const struct explanation *explain_find(const char *name)
{
    if (strchr(name, '.')) {
        return find_dotted(name);
    }
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        char dotted[96];
        text_format(dotted, sizeof dotted, "%s.%s", parts[i], name);
        const struct explanation *entry = find_dotted(dotted);
        if (entry) {
            return entry;
        }
    }
    return NULL;
}

const char *explain_title(const struct explanation *entry)
{
    return entry->title ? entry->title : field_named(entry->name)->title;
}

bool explain_formula(const struct explanation *entry, const struct explain_context *context,
                     struct text *out)
{
    bool known = true;
    const char *at = entry->formula;
    size_t begin = out->length;
    while (*at) {
        size_t plain = strcspn(at, "{");
        text_append_bytes(out, at, plain);
        at += plain;
        if (*at == '\0') {
            break;
        }
        const char *name = at + 1;
        const char *end = strchr(name, '}');
        if (!end) {
            return false;
        }
        size_t length = (size_t)(end - name);
        int decimals = 0;
        if (length > 2 && name[length - 2] == ':') {
            decimals = name[length - 1] - '0';
            length -= 2;
        }
        known = explain_append_value(name, length, decimals, context, out) && known;
        at = end + 1;
    }
    if (out->length > begin && strchr(text_string(out) + begin, '?')) {
        text_append(out, " (?: not said here)");
    }
    return known;
}
