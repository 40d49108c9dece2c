/* Where sections stand in a scenario, by one row each. */
#include "scenario/section.h"

#include <assert.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "base/utf8.h"

#define NAMES_ALLOWED "1 to 47 bytes of text without [ ] : ; # = \" ' \\"

/* What an item has beside its fields. */
static void fill_subframe(struct scenario *scenario, int item)
{
    scenario->transmission.subframes[item].waveform.bandwidth_mhz = scenario->site.bandwidth_mhz;
}

/* The last one that goes leaves to [mode] what that can say. */
static void leave_subframe(struct scenario *scenario)
{
    struct subframe *first = &scenario->transmission.subframes[0], old = *first;
    *first = (struct subframe){0};
    section_clear(section_find("subframe"), first);
    first->waveform = old.waveform;
    first->first_boundary = old.first_boundary;
}

static void leave_plp(struct scenario *scenario)
{
    struct plp *first = &scenario->transmission.plps[0], old = *first;
    *first = (struct plp){0};
    section_clear(section_find("plp"), first);
    first->code = old.code;
    first->interleaver = old.interleaver;
}

static void leave_t2_plp(struct scenario *scenario)
{
    struct t2_code code = scenario->dvbt2.code;
    scenario->dvbt2.plps[0] = (struct t2_plp){.code = code};
}

static void fill_station(struct scenario *scenario, int item)
{
    scenario->stations[item].plan = pair_plan(scenario->site.pair);
}

#define ATSC (1u << PAIR_ATSC)
#define DVB (1u << PAIR_DVB)
static const struct section sections[] = {
    {.name = "site"},
    {.name = "mode", .pairs = ATSC},
    {.name = "frame", .pairs = ATSC},
    {"subframe", ATSC, SUBFRAMES_MAX, offsetof(struct scenario, transmission.subframe_count),
     offsetof(struct scenario, transmission.subframes), sizeof(struct subframe),
     offsetof(struct scenario, transmission.subframes[0].name), sizeof(struct subframe),
     fill_subframe, leave_subframe},
    {"plp", ATSC, PLPS_MAX, offsetof(struct scenario, transmission.plp_count),
     offsetof(struct scenario, transmission.plps), sizeof(struct plp),
     offsetof(struct scenario, transmission.plps[0].name), sizeof(struct plp), NULL, leave_plp},
    {"plp", DVB, T2_PLPS_MAX, offsetof(struct scenario, dvbt2.plp_count),
     offsetof(struct scenario, dvbt2.plps), sizeof(struct t2_plp),
     offsetof(struct scenario, dvbt2.plps[0].name), sizeof(struct t2_plp), NULL, leave_t2_plp},
    {"service", 0, SERVICES_MAX, offsetof(struct scenario, service_count),
     offsetof(struct scenario, services), sizeof(struct service),
     offsetof(struct scenario, services[0].name), sizeof(struct service), NULL, NULL},
    {.name = "dvbt", .pairs = DVB},
    {.name = "dvbt2", .pairs = DVB},
    {.name = "first", .pairs = ATSC},
    {.name = "receiver"},
    {.name = "place"},
    {"station", 0, STATIONS_MAX, offsetof(struct scenario, station_count),
     offsetof(struct scenario, stations), sizeof(struct station),
     offsetof(struct scenario, stations[0].name), sizeof(struct station), fill_station, NULL},
    {"echo", 0, ECHOES_MAX, offsetof(struct scenario, echo_count),
     offsetof(struct scenario, echoes), sizeof(struct echo), offsetof(struct scenario, echo_names),
     NAME_MAX_BYTES, NULL, NULL},
};

size_t section_count(void)
{
    return sizeof sections / sizeof sections[0];
}

bool section_counts_in(const struct section *section, enum pair pair)
{
    return section->pairs == 0 || (section->pairs >> pair & 1u) != 0;
}

const struct section *section_at(size_t i)
{
    return &sections[i];
}

const struct section *section_find(const char *name)
{
    for (size_t i = 0; i < section_count(); i++) {
        if (strcasecmp(sections[i].name, name) == 0) {
            return &sections[i];
        }
    }
    return NULL;
}

const struct section *section_find_in(const char *name, enum pair pair)
{
    for (size_t i = 0; i < section_count(); i++) {
        if (strcasecmp(sections[i].name, name) == 0 && section_counts_in(&sections[i], pair)) {
            return &sections[i];
        }
    }
    return section_find(name);
}

static bool has_field(const struct section *section, const struct field *field)
{
    return field->section[0] == section->name[0] && strcmp(field->section, section->name) == 0 &&
           (field->pairs == 0 || (field->pairs & section->pairs) != 0);
}

const struct field *section_field_after(const struct section *section, const struct field *before)
{
    const struct field *field = before ? before + 1 : field_at(0);
    const struct field *end = field_at(0) + field_count();
    while (field < end && !has_field(section, field)) {
        field++;
    }
    return field < end ? field : NULL;
}

const struct field *section_field_at(const struct section *section, int i)
{
    const struct field *field = section_field_after(section, NULL);
    while (field != NULL && i-- > 0) {
        field = section_field_after(section, field);
    }
    return field;
}

const struct field *section_field_of(const struct section *section, const char *name)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
        if (strcasecmp(field->name, name) == 0) {
            return field;
        }
    }
    return NULL;
}

/* Of the pair that the field's own section counts in. */
static const struct section *instead(const struct field *field)
{
    const struct section *own = section_find(field->section), *found = sections;
    assert(own != NULL);
    while (strcmp(found->name, field->unless) != 0 || (found->pairs & own->pairs) != own->pairs) {
        found++;
    }
    assert(found < sections + section_count());
    return found;
}

bool section_has_instead(const struct field *field, const struct scenario *scenario)
{
    return field->unless != NULL && section_items(instead(field), scenario) > 0;
}

/* ---- Items. ---- */

int section_items(const struct section *section, const struct scenario *scenario)
{
    int count = 1;
    if (section->most > 0) {
        memcpy(&count, (const char *)scenario + section->count_at, sizeof count);
    }
    return count;
}

static void set_items(const struct section *section, struct scenario *scenario, int count)
{
    memcpy((char *)scenario + section->count_at, &count, sizeof count);
}

static size_t item_at(const struct section *section, int item)
{
    return section->items_at + (size_t)item * section->item_bytes;
}

static size_t name_at(const struct section *section, int item)
{
    return section->names_at + (size_t)item * section->name_bytes;
}

const void *section_item(const struct section *section, const struct scenario *scenario, int item)
{
    return (const char *)scenario + item_at(section, item);
}

void *section_item_of(const struct section *section, struct scenario *scenario, int item)
{
    return (char *)scenario + item_at(section, item);
}

const char *section_item_name(const struct section *section, const struct scenario *scenario,
                              int item)
{
    return section->most > 0 ? (const char *)scenario + name_at(section, item) : "";
}

int section_item_find(const struct section *section, const struct scenario *scenario,
                      const char *name)
{
    for (int i = 0; i < section_items(section, scenario); i++) {
        if (strcasecmp(section_item_name(section, scenario, i), name) == 0) {
            return i;
        }
    }
    return -1;
}

void section_item_title(const struct section *section, const struct scenario *scenario, int item,
                        char *buffer, size_t size)
{
    text_format(buffer, size, "%s%s%s", section->name, section->most > 0 ? " " : "",
                section_item_name(section, scenario, item));
}

void section_clear(const struct section *section, void *base)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
        field_clear(field, base);
    }
}

/* Zero between the values too: scenarios can be compared whole. */
static void blank(const struct section *section, struct scenario *scenario, int item)
{
    memset((char *)scenario + item_at(section, item), 0, section->item_bytes);
    memset((char *)scenario + name_at(section, item), 0, NAME_MAX_BYTES);
}

void *section_add(const struct section *section, struct scenario *scenario, const char *name)
{
    int item = section_items(section, scenario);
    if (item >= section->most) {
        return NULL;
    }
    set_items(section, scenario, item + 1);
    blank(section, scenario, item);
    text_format((char *)scenario + name_at(section, item), NAME_MAX_BYTES, "%s", name);
    void *base = section_item_of(section, scenario, item);
    section_clear(section, base);
    if (section->fill) {
        section->fill(scenario, item);
    }
    return base;
}

static void move_down(char *first, size_t bytes, int item, int last)
{
    memmove(first + (size_t)item * bytes, first + (size_t)(item + 1) * bytes,
            (size_t)(last - item) * bytes);
}

void section_remove(const struct section *section, struct scenario *scenario, int item)
{
    int last = section_items(section, scenario) - 1;
    if (last == 0 && section->leave) {
        section->leave(scenario);
        set_items(section, scenario, 0);
        return;
    }
    move_down((char *)scenario + section->items_at, section->item_bytes, item, last);
    if (section->name_bytes != section->item_bytes) { /* names apart from the items */
        move_down((char *)scenario + section->names_at, section->name_bytes, item, last);
    }
    blank(section, scenario, last);
    set_items(section, scenario, last);
}

/* ---- As a user writes them. ---- */

bool section_text_is_usable(const char *name, size_t room)
{
    size_t count = strlen(name);
    if (count == 0 || count >= room || utf8_valid_prefix(name, count) != count ||
        strpbrk(name, "[]:;#=\"'\\") || name[0] == ' ' || name[count - 1] == ' ') {
        return false;
    }
    for (size_t at = 0, length; at < count; at += length) {
        if (utf8_is_control(name + at, &length)) {
            return false;
        }
    }
    return true;
}

bool section_name_is_usable(const char *name)
{
    return section_text_is_usable(name, NAME_MAX_BYTES);
}

/* ---- Names. ---- */

/* Every text of the section that names the item takes the other name. */
static void follow_name(const struct section *section, struct scenario *scenario,
                        const char *names_of, const char *before, const char *after)
{
    const struct field *field;
    for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
        for (int item = 0; field->names_of && strcmp(field->names_of, names_of) == 0 &&
                           item < section_items(section, scenario);
             item++) {
            char *text = (char *)section_item_of(section, scenario, item) + field->offset;
            if (strcasecmp(text, before) == 0) {
                memset(text, 0, NAME_MAX_BYTES);
                text_format(text, NAME_MAX_BYTES, "%s", after);
            }
        }
    }
}

enum status section_rename(const struct section *section, struct scenario *scenario, int item,
                           const char *name, struct fault *fault)
{
    char title[NAME_MAX_BYTES + 16], before[NAME_MAX_BYTES];
    section_item_title(section, scenario, item, title, sizeof title);
    text_format(before, sizeof before, "%s", section_item_name(section, scenario, item));
    if (!section_name_is_usable(name)) {
        return fault_set(fault, STATUS_MALFORMED, title, NAMES_ALLOWED,
                         "\"%s\" is not a usable name", name);
    }
    int other = section_item_find(section, scenario, name);
    if (other >= 0 && other != item) {
        return fault_set(fault, STATUS_ILLEGAL, title, "a name of its own",
                         "another %s is called \"%s\"", section->name, name);
    }
    char *at = (char *)scenario + name_at(section, item);
    memset(at, 0, NAME_MAX_BYTES);
    text_format(at, NAME_MAX_BYTES, "%s", name);
    for (size_t i = 0; i < section_count() && before[0]; i++) {
        follow_name(&sections[i], scenario, section->name, before, name);
    }
    return STATUS_OK;
}

void section_free_name(const struct section *section, const struct scenario *scenario, char *name,
                       size_t size)
{
    int number = section_items(section, scenario);
    do {
        text_format(name, size, "%d", ++number);
    } while (section_item_find(section, scenario, name) >= 0);
}

const struct section *section_of(const char *written, enum pair pair, const char **name)
{
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = &sections[i];
        size_t word = section->most > 0 ? strcspn(written, " \t") : strlen(written);
        if (word == strlen(section->name) && strncasecmp(written, section->name, word) == 0) {
            *name = written + word + strspn(written + word, " \t");
            return section_find_in(section->name, pair);
        }
    }
    return NULL;
}

static enum status unknown_section(const char *written, const char *place, struct fault *fault)
{
    char allowed[192] = "", name[32];
    for (size_t i = 0; i < section_count(); i++) {
        if (section_find(sections[i].name) == &sections[i]) { /* pairs may have one each */
            text_format(name, sizeof name, "%s%s", sections[i].name,
                        sections[i].most > 0 ? " NAME" : "");
            text_join(allowed, sizeof allowed, name);
        }
    }
    return fault_set(fault, STATUS_UNKNOWN_NAME, place, allowed, "unknown section \"%s\"", written);
}

enum status section_open(struct scenario *scenario, const char *written, const char *place,
                         const struct section **section, void **base, struct fault *fault)
{
    const char *name;
    *section = section_of(written, scenario->site.pair, &name);
    if (!*section) {
        return unknown_section(written, place, fault);
    }
    if ((*section)->most > 0 && !section_name_is_usable(name)) {
        return fault_set(fault, STATUS_MALFORMED, place, NAMES_ALLOWED,
                         name[0] ? "\"%s\" is not a usable name" : "the section has no name%s",
                         name);
    }
    int item = section_item_find(*section, scenario, name);
    *base = item >= 0 ? section_item_of(*section, scenario, item)
                      : section_add(*section, scenario, name);
    if (!*base) {
        char allowed[48];
        text_format(allowed, sizeof allowed, "at most %d", (*section)->most);
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "one %s too many",
                         (*section)->name);
    }
    return STATUS_OK;
}

enum status section_field(const struct section *section, const char *key, const char *place,
                          const struct field **field, struct fault *fault)
{
    *field = section_field_of(section, key);
    if (*field) {
        return STATUS_OK;
    }
    char allowed[384] = "";
    const struct field *known;
    for (known = NULL; (known = section_field_after(section, known)) != NULL;) {
        text_join(allowed, sizeof allowed, known->name);
    }
    return fault_set(fault, STATUS_UNKNOWN_NAME, place, allowed, "unknown key");
}

static enum status refuse_beside(const struct field *mode, const char *place, const char *other,
                                 struct fault *fault)
{
    char allowed[96];
    text_format(allowed, sizeof allowed, "either %s.%s or [%s NAME]", mode->section, mode->name,
                mode->unless);
    return fault_set(fault, STATUS_ILLEGAL, place, allowed, "stands beside %s", other);
}

enum status section_refuse_beside(const struct scenario *scenario, const struct section *section,
                                  const struct field *field, const char *place, struct fault *fault)
{
    char other[NAME_MAX_BYTES + 24];
    if (section_has_instead(field, scenario)) {
        section_item_title(instead(field), scenario, 0, other, sizeof other);
        return refuse_beside(field, place, other, fault);
    }
    if (section->most == 0 || section_items(section, scenario) > 0) {
        return STATUS_OK;
    }
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *mode = field_at(i);
        if (mode->unless && instead(mode) == section &&
            field_number(mode, scenario) != mode->plain) {
            field_name(mode, other, sizeof other);
            return refuse_beside(mode, place, other, fault);
        }
    }
    return STATUS_OK;
}

const struct field *scenario_field(const struct scenario *scenario, const char *name,
                                   const void **base)
{
    const char *point = strrchr(name, '.'), *item_name;
    char written[NAME_MAX_BYTES + 16];
    text_format(written, sizeof written, "%.*s", point ? (int)(point - name) : 0, name);
    const struct section *section = section_of(written, scenario->site.pair, &item_name);
    int item = section ? section_item_find(section, scenario, item_name) : -1;
    if (item < 0 || point == NULL) {
        return NULL;
    }
    *base = section_item(section, scenario, item);
    return section_field_of(section, point + 1);
}
