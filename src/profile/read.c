/* Reading a profile: a strict look at the text (scan.c), then the values (ini.c), each by its
 * field. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "profile/ini.h"
#include "profile/profile.h"
#include "profile/scan.h"
#include "profile/terrain.h"

void profile_free(struct profile *profile)
{
    text_free(&profile->original);
}

/* A section that was opened: as it is written, and where its values lie. */
struct opened {
    const char *written;
    const struct section *section;
    void *base;
};

static enum status open_written(struct scenario *scenario, const struct item *heading,
                                struct opened *opened, struct fault *fault)
{
    char place[32];
    text_format(place, sizeof place, "line %d", heading->line);
    opened->written = heading->name;
    return section_open(scenario, heading->name, place, &opened->section, &opened->base, fault);
}

static enum status read_key(const struct opened *at, const struct ini *values,
                            const struct item *item, struct fault *fault)
{
    char place[SECTION_BYTES_MAX + KEY_BYTES_MAX + 2];
    text_format(place, sizeof place, "%s.%s", at->written, item->name);
    const struct field *field;
    const char *value;
    enum status status = section_field(at->section, item->name, place, &field, fault);
    if (status == STATUS_OK) {
        status = ini_value(values, at->written, item, place, &value, fault);
    }
    return status == STATUS_OK ? field_take(field, at->base, place, value, fault) : status;
}

static enum status both_stand(const struct field *field, const char *title, const char *other,
                              struct fault *fault)
{
    char place[SECTION_BYTES_MAX + KEY_BYTES_MAX + 2];
    char allowed[2 * (SECTION_BYTES_MAX + KEY_BYTES_MAX) + 16];
    text_format(place, sizeof place, "%s.%s", title, field->name);
    text_format(allowed, sizeof allowed, "either %s or %s", other,
                field->instead_of ? field->name : place);
    return fault_set(fault, STATUS_ILLEGAL, place, allowed, "stands beside %s", other);
}

/* The heading of a key, or its section where `key` is NULL, wherever it stands; NULL: nowhere. */
static const struct item *find_heading(const struct scan *scan, const char *section,
                                       const char *key)
{
    const struct item *heading = NULL;
    for (size_t i = 0; i < scan->count; i++) {
        const struct item *item = &scan->items[i];
        const char *name;
        heading = item->kind == ITEM_SECTION ? item : heading;
        const struct section *of = section_of(heading->name, PAIR_ATSC, &name); /* for its name */
        if (of && strcasecmp(of->name, section) == 0 &&
            (key ? item != heading && strcasecmp(item->name, key) == 0 : true)) {
            return heading;
        }
    }
    return NULL;
}

/* The key that the field stands in place of, further down in the same section. */
static bool has_replaced(const struct field *field, const struct item *heading,
                         const struct item *end)
{
    for (const struct item *other = heading + 1; other < end && other->kind == ITEM_KEY; other++) {
        if (strcasecmp(other->name, field->instead_of) == 0) {
            return true;
        }
    }
    return false;
}

static bool has_same(const struct scan *scan, const struct field *field)
{
    const struct field *same = field_named(field->same_as);
    return find_heading(scan, same->section, same->name) != NULL;
}

/* Of two keys of which one stands in place of the other, or says the same, only one may stand. */
static enum status refuse_both(const struct scan *scan, enum pair pair, struct fault *fault)
{
    if (scan->count == 0) {
        return STATUS_OK; /* and there is no list to count from */
    }
    const struct item *heading = scan->items, *end = scan->items + scan->count;
    for (const struct item *item = scan->items; item < end; item++) {
        heading = item->kind == ITEM_SECTION ? item : heading;
        const char *name;
        const struct section *section = section_of(heading->name, pair, &name);
        const struct field *field = section ? section_field_of(section, item->name) : NULL;
        if (item == heading || !field) {
            continue;
        }
        if (field->instead_of && has_replaced(field, heading, end)) {
            return both_stand(field, heading->name, field->instead_of, fault);
        }
        if (field->same_as && has_same(scan, field)) {
            return both_stand(field, heading->name, field->same_as, fault);
        }
        bool counts = section_counts_in(section, pair); /* else it is of the other pair */
        const struct item *own =
            field->unless && counts ? find_heading(scan, field->unless, NULL) : NULL;
        if (own) {
            char other[SECTION_BYTES_MAX + 2];
            text_format(other, sizeof other, "[%s]", own->name);
            return both_stand(field, heading->name, other, fault);
        }
    }
    return STATUS_OK;
}

/* A key that others hang on, wherever it stands. */
static enum status read_first(const char *key, struct scenario *scenario, const struct ini *values,
                              const struct scan *scan, struct fault *fault)
{
    const struct item *heading = find_heading(scan, "site", key);
    if (heading == NULL) {
        return STATUS_OK; /* in an empty profile there are no items at all */
    }
    const struct item *end = scan->items + scan->count;
    struct opened opened;
    enum status status = open_written(scenario, heading, &opened, fault);
    for (const struct item *item = heading + 1;
         item < end && item->kind == ITEM_KEY && status == STATUS_OK; item++) {
        if (strcasecmp(item->name, key) == 0) {
            status = read_key(&opened, values, item, fault);
        }
    }
    return status;
}

static enum status read_items(struct scenario *scenario, const struct ini *values,
                              const struct scan *scan, const char *path, struct fault *fault)
{
    struct opened opened = {0};
    /* The pair brings a channel and what PLPs are, and a channel its width. */
    enum status status = read_first("pair", scenario, values, scan, fault);
    if (status == STATUS_OK) {
        status = refuse_both(scan, scenario->site.pair, fault);
    }
    if (status == STATUS_OK) {
        status = read_first("rf_channel", scenario, values, scan, fault);
    }
    for (size_t i = 0; i < scan->count && status == STATUS_OK; i++) {
        const struct item *item = &scan->items[i];
        status = item->kind == ITEM_SECTION ? open_written(scenario, item, &opened, fault)
                                            : read_key(&opened, values, item, fault);
    }
    if (path == NULL) {
        terrain_leave(scenario);
    } else if (status == STATUS_OK) {
        status = terrain_fetch(scenario, path, fault);
    }
    return status == STATUS_OK ? scenario_check(scenario, fault) : status;
}

/* `path` is that of the text's file; NULL: a text alone. */
static enum status read_text(const char *text, size_t length, const char *path,
                             struct profile *profile, struct fault *fault)
{
    *profile = (struct profile){.scenario = scenario_default()};
    struct scan scan = {0};
    enum status status = scan_text(text, length, &scan, fault);
    if (status == STATUS_OK) {
        struct ini values = {0};
        text_append_bytes(&profile->original, text, length);
        status = profile->original.failed ? fault_of_status(fault, STATUS_NO_MEMORY)
                                          : ini_load(text, length, scan.count, &values, fault);
        if (status == STATUS_OK) {
            status = read_items(&profile->scenario, &values, &scan, path, fault);
        }
        ini_free(&values);
    }
    scan_free(&scan);
    if (status != STATUS_OK) {
        profile_free(profile);
    }
    return status;
}

enum status profile_read_text(const char *text, size_t length, struct profile *profile,
                              struct fault *fault)
{
    return read_text(text, length, NULL, profile, fault);
}

enum status profile_read_file(const char *path, struct profile *profile, struct fault *fault)
{
    *profile = (struct profile){.scenario = scenario_default()};
    struct text text = {0};
    enum status status = file_read(path, PROFILE_BYTES_MAX, &text, fault);
    if (status == STATUS_OK) {
        status = read_text(text_string(&text), text.length, path, profile, fault);
    }
    text_free(&text);
    return status;
}
