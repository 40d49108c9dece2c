/* Writing a profile: the text as read, with changed values replaced in their place, lines of what
 * is gone taken out, and what is new added at the end of its section or of the file. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "profile/scan.h"
#include "profile/section.h"

#define VALUE_BYTES 64

struct writer {
    const struct scenario *scenario; /* what is to be written */
    struct scenario *old;            /* what the original says */
    struct scenario *defaults;
    const char *text;
    size_t copied; /* bytes of the original that are dealt with */
    const char *feed;
    struct text *out;
};

/* A section of a scenario and, for comparison, the same one of the defaults. */
struct pair {
    const char *kind;
    const void *base, *plain;
};

static const struct station plain_station = {.generation = GENERATION_SECOND};

static enum status no_memory(struct fault *fault)
{
    return fault_set(fault, STATUS_NO_MEMORY, "", NULL, "out of memory");
}

/* True for what a profile has to say: channel or centre frequency, not both. */
static bool has_value(const struct key_row *row, const void *base)
{
    char value[VALUE_BYTES];
    key_format(row, base, value, sizeof value);
    if (strcmp(row->section, "site") == 0 && strcmp(row->key, "center_mhz") == 0) {
        return ((const struct scenario *)base)->site.rf_channel == 0;
    }
    return row->type == KEY_CHOICE || strcmp(value, "none") != 0;
}

static bool is_same(const struct key_row *row, const void *a, const void *b)
{
    char value_a[VALUE_BYTES], value_b[VALUE_BYTES];
    key_format(row, a, value_a, sizeof value_a);
    key_format(row, b, value_b, sizeof value_b);
    return strcmp(value_a, value_b) == 0;
}

static const void *find_named(const struct scenario *scenario, bool station, const char *name)
{
    int count = station ? scenario->station_count : scenario->echo_count;
    for (int i = 0; i < count; i++) {
        const char *has = station ? scenario->stations[i].name : scenario->echo_names[i];
        if (strcmp(has, name) == 0) {
            return station ? (const void *)&scenario->stations[i]
                           : (const void *)&scenario->echoes[i];
        }
    }
    return NULL;
}

/* The section that a heading of the original names, in a scenario; `base` is NULL where the
 * scenario has no such station or echo. */
static struct pair pair_of(const struct writer *writer, const struct scenario *scenario,
                           const char *written)
{
    static const struct echo plain_echo = {0};
    for (size_t i = 0; i < key_count(); i++) {
        if (strcasecmp(key_row(i)->section, written) == 0) {
            return (struct pair){key_row(i)->section, scenario, writer->defaults};
        }
    }
    size_t word = strcspn(written, " \t");
    const char *name = written + word + strspn(written + word, " \t");
    bool station = strncasecmp(written, "station", word) == 0;
    return (struct pair){station ? "station" : "echo", find_named(scenario, station, name),
                         station ? (const void *)&plain_station : (const void *)&plain_echo};
}

static void copy_to(struct writer *writer, size_t at)
{
    if (at > writer->copied) {
        text_append_bytes(writer->out, writer->text + writer->copied, at - writer->copied);
        writer->copied = at;
    }
}

static void write_line(struct writer *writer, const struct key_row *row, const void *base)
{
    char value[VALUE_BYTES];
    key_format(row, base, value, sizeof value);
    text_printf(writer->out, "%s = %s%s", row->key, value, writer->feed);
}

static bool ends_with_feed(const struct text *text)
{
    return text->length == 0 || text_string(text)[text->length - 1] == '\n';
}

/* Keys that the original's section lacks and that now have something to say. */
static void write_missing(struct writer *writer, const struct pair *now, const struct item *items,
                          size_t count)
{
    for (size_t i = 0; i < key_count(); i++) {
        const struct key_row *row = key_row(i);
        if (strcmp(row->section, now->kind) != 0 || !has_value(row, now->base) ||
            is_same(row, now->base, now->plain)) {
            continue;
        }
        bool stands = false;
        for (size_t k = 0; k < count; k++) {
            stands = stands || strcasecmp(items[k].name, row->key) == 0;
        }
        if (!stands) {
            if (!ends_with_feed(writer->out)) {
                text_append(writer->out, writer->feed);
            }
            write_line(writer, row, now->base);
        }
    }
}

/* Takes the section's lines out, and one empty line after it. */
static void drop_section(struct writer *writer, const struct item *heading, const struct item *last,
                         size_t length)
{
    copy_to(writer, heading->line_at);
    size_t end = last->line_end;
    if (end < length && writer->text[end] == '\n') {
        end++;
    } else if (end + 1 < length && memcmp(writer->text + end, "\r\n", 2) == 0) {
        end += 2;
    }
    writer->copied = end;
}

/* One section of the original: its heading and the `count` keys after it. */
static void write_section(struct writer *writer, const struct item *heading, size_t count,
                          size_t length)
{
    const struct item *items = heading + 1, *last = heading + count;
    struct pair now = pair_of(writer, writer->scenario, heading->name);
    struct pair old = pair_of(writer, writer->old, heading->name);
    if (!now.base) {
        drop_section(writer, heading, last, length);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        const struct key_row *row = key_find(now.kind, items[i].name);
        if (!has_value(row, now.base) && has_value(row, old.base)) {
            copy_to(writer, items[i].line_at);
            writer->copied = items[i].line_end;
        } else if (!is_same(row, now.base, old.base)) {
            char value[VALUE_BYTES];
            key_format(row, now.base, value, sizeof value);
            copy_to(writer, items[i].at);
            text_append(writer->out, value);
            writer->copied = items[i].end;
        }
    }
    copy_to(writer, last->line_end);
    write_missing(writer, &now, items, count);
}

static bool has_heading(const struct scan *scan, const char *heading)
{
    for (size_t i = 0; i < scan->count; i++) {
        const struct item *item = &scan->items[i];
        if (item->kind == ITEM_SECTION && strcasecmp(item->name, heading) == 0) {
            return true;
        }
    }
    return false;
}

static void write_new_section(struct writer *writer, const char *heading, const struct pair *pair)
{
    struct text body = {0}, *out = writer->out;
    writer->out = &body;
    write_missing(writer, pair, NULL, 0);
    writer->out = out;
    if (body.length > 0) {
        text_append(out, ends_with_feed(out) ? "" : writer->feed);
        text_printf(out, "%s[%s]%s", out->length ? writer->feed : "", heading, writer->feed);
        text_append_bytes(out, text_string(&body), body.length);
    }
    out->failed = out->failed || body.failed;
    text_free(&body);
}

static void write_new_sections(struct writer *writer, const struct scan *scan)
{
    const char *section = "";
    for (size_t i = 0; i < key_count(); i++) {
        const char *next = key_row(i)->section;
        if (strcmp(next, section) != 0 && strcmp(next, "station") != 0 &&
            strcmp(next, "echo") != 0 && !has_heading(scan, next)) {
            struct pair pair = {next, writer->scenario, writer->defaults};
            write_new_section(writer, next, &pair);
        }
        section = next;
    }
}

static void write_new_stations(struct writer *writer)
{
    const struct scenario *scenario = writer->scenario;
    char heading[NAME_MAX_BYTES + 16];
    for (int i = 0; i < scenario->station_count; i++) {
        const struct station *station = &scenario->stations[i];
        if (!find_named(writer->old, true, station->name)) {
            struct station unset = station_unset(station->name);
            struct pair pair = {"station", station, &unset};
            text_format(heading, sizeof heading, "station %s", station->name);
            write_new_section(writer, heading, &pair);
        }
    }
}

static void write_new_echoes(struct writer *writer)
{
    const struct scenario *scenario = writer->scenario;
    struct echo unset = echo_unset();
    char heading[NAME_MAX_BYTES + 16];
    for (int i = 0; i < scenario->echo_count; i++) {
        if (!find_named(writer->old, false, scenario->echo_names[i])) {
            struct pair pair = {"echo", &scenario->echoes[i], &unset};
            text_format(heading, sizeof heading, "echo %s", scenario->echo_names[i]);
            write_new_section(writer, heading, &pair);
        }
    }
}

static enum status check_names(const struct scenario *scenario, bool station, struct fault *fault)
{
    const char *kind = station ? "station" : "echo";
    int count = station ? scenario->station_count : scenario->echo_count;
    for (int i = 0; i < count; i++) {
        const char *name = station ? scenario->stations[i].name : scenario->echo_names[i];
        if (!section_name_is_usable(name)) {
            return fault_set(fault, STATUS_MALFORMED, kind, NULL, "\"%s\" is not a usable name",
                             name);
        }
        for (int k = 0; k < i; k++) {
            const char *other = station ? scenario->stations[k].name : scenario->echo_names[k];
            if (strcasecmp(name, other) == 0) {
                return fault_set(fault, STATUS_ILLEGAL, kind, "each name once",
                                 "two have the name \"%s\"", name);
            }
        }
    }
    return STATUS_OK;
}

static void write_all(struct writer *writer, const struct scan *scan, size_t length)
{
    for (size_t i = 0; i < scan->count;) {
        size_t count = 0;
        while (i + 1 + count < scan->count && scan->items[i + 1 + count].kind == ITEM_KEY) {
            count++;
        }
        write_section(writer, &scan->items[i], count, length);
        i += 1 + count;
    }
    copy_to(writer, length);
    write_new_sections(writer, scan);
    write_new_stations(writer);
    write_new_echoes(writer);
}

static enum status write_with(struct writer *writer, const struct text *original,
                              struct fault *fault)
{
    struct scan scan = {0};
    enum status status = scan_text(text_string(original), original->length, &scan, fault);
    if (status == STATUS_OK) {
        write_all(writer, &scan, original->length);
        if (writer->out->failed) {
            status = no_memory(fault);
        } else if (writer->out->length > PROFILE_BYTES_MAX) {
            status = fault_set(fault, STATUS_OUT_OF_RANGE, "", "at most 262144 bytes",
                               "the profile has grown too large");
        }
    }
    scan_free(&scan);
    return status;
}

/* `old` and `defaults` are room to work in. */
static enum status write_against(const struct profile *profile, struct profile *old,
                                 struct scenario *defaults, struct text *out, struct fault *fault)
{
    const struct text *original = &profile->original;
    *defaults = scenario_default();
    enum status status = profile_read_text(text_string(original), original->length, old, fault);
    if (status != STATUS_OK) {
        return status;
    }
    bool returns = strstr(text_string(original), "\r\n") != NULL;
    struct writer writer = {.scenario = &profile->scenario,
                            .old = &old->scenario,
                            .defaults = defaults,
                            .text = text_string(original),
                            .feed = returns ? "\r\n" : "\n",
                            .out = out};
    status = write_with(&writer, original, fault);
    profile_free(old);
    return status;
}

enum status profile_write_text(const struct profile *profile, struct text *out, struct fault *fault)
{
    enum status status = scenario_check(&profile->scenario, fault);
    if (status == STATUS_OK) {
        status = check_names(&profile->scenario, true, fault);
    }
    if (status == STATUS_OK) {
        status = check_names(&profile->scenario, false, fault);
    }
    if (status != STATUS_OK) {
        return status;
    }
    struct profile *old = malloc(sizeof *old);
    struct scenario *defaults = malloc(sizeof *defaults);
    status = old && defaults ? write_against(profile, old, defaults, out, fault) : no_memory(fault);
    free(old);
    free(defaults);
    return status;
}

enum status profile_save(struct profile *profile, const char *path, struct fault *fault)
{
    struct text text = {0};
    enum status status = profile_write_text(profile, &text, fault);
    if (status == STATUS_OK) {
        status = file_replace(path, text_string(&text), text.length, fault);
    }
    if (status == STATUS_OK) {
        text_free(&profile->original);
        profile->original = text;
    } else {
        text_free(&text);
    }
    return status;
}
