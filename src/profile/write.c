/* Writing a profile: the text as read, with changed values replaced in their place, lines of what
 * is gone taken out, and what is new added at the end of its section or of the file. */
#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "base/utf8.h"
#include "profile/profile.h"
#include "profile/scan.h"
#include "scenario/use.h"

struct writer {
    const struct scenario *scenario; /* what is to be written */
    struct scenario *old;            /* what the original says */
    struct scenario *plain;          /* the defaults, with an item of each repeated section */
    struct scan scan;                /* of the original; freed where it is written with */
    const char *text;
    size_t copied; /* bytes of the original that are dealt with */
    const char *feed;
    struct text *out;
    int rested; /* sections that were set aside */
};

/* The item that a heading of the original names, to the letter: another case is another name to a
 * user. NULL where the scenario has none. */
static const void *item_of(const struct scenario *scenario, const struct section *section,
                           const char *name)
{
    int item = section_item_find(section, scenario, name);
    return item >= 0 && strcmp(section_item_name(section, scenario, item), name) == 0
               ? section_item(section, scenario, item)
               : NULL;
}

static void copy_to(struct writer *writer, size_t at)
{
    if (at > writer->copied) {
        text_append_bytes(writer->out, writer->text + writer->copied, at - writer->copied);
        writer->copied = at;
    }
}

static bool ends_with_feed(const struct text *text)
{
    return text->length == 0 || text_string(text)[text->length - 1] == '\n';
}

static bool has_key(const struct scan *scan, const struct field *field)
{
    /* For a section's name any pair will do. */
    const char *heading = "", *name;
    for (size_t i = 0; i < scan->count; i++) {
        const struct item *item = &scan->items[i];
        heading = item->kind == ITEM_SECTION ? item->name : heading;
        const struct section *section = section_of(heading, PAIR_ATSC, &name);
        assert(section != NULL); /* it was read */
        if (strcmp(section->name, field->section) == 0 && item->kind == ITEM_KEY &&
            strcasecmp(item->name, field->name) == 0) {
            return true;
        }
    }
    return false;
}

/* A key that two sections can say is said by the one that has it, else by [mode] in the plain case
 * and by [frame] beside subframes and PLPs. */
static bool is_said_elsewhere(const struct writer *writer, const struct field *field)
{
    const struct field *in_mode = field->same_as ? field_named(field->same_as) : field;
    const struct field *in_frame = field_find("frame", field->name);
    if (!in_frame || !in_frame->same_as) {
        return false;
    }
    assert(field_named(in_frame->same_as) == in_mode);
    const struct field *home = has_key(&writer->scan, in_frame)                         ? in_frame
                               : has_key(&writer->scan, in_mode)                        ? in_mode
                               : transmission_is_plain(&writer->scenario->transmission) ? in_mode
                                                                                        : in_frame;
    return home != field;
}

/* Keys that the original's section lacks and that now have something to say. */
static void write_missing(struct writer *writer, const struct section *section, const void *base,
                          const struct item *items, size_t count)
{
    const void *plain = section_item(section, writer->plain, 0);
    const struct field *field;
    for (field = NULL; (field = section_field_after(section, field)) != NULL;) {
        bool stands = !field_is_said(field, base) || field_is_same(field, base, plain) ||
                      is_said_elsewhere(writer, field);
        for (size_t k = 0; k < count && !stands; k++) {
            stands = strcasecmp(items[k].name, field->name) == 0;
        }
        if (!stands) {
            char value[FIELD_TEXT_BYTES];
            field_format(field, base, value, sizeof value);
            text_append(writer->out, ends_with_feed(writer->out) ? "" : writer->feed);
            text_printf(writer->out, "%s = %s%s", field->name, value, writer->feed);
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

/* The section is of the pair that was left, and what it says means nothing in the new one: its
 * lines stay as comments, where a user finds them again. */
static void set_aside(struct writer *writer, const struct item *heading, const struct item *last)
{
    copy_to(writer, heading->line_at);
    text_printf(writer->out, "; Set aside, of pair %s:%s", pair_name(writer->old->site.pair),
                writer->feed);
    while (writer->copied < last->line_end) {
        const char *line = writer->text + writer->copied;
        size_t length = strcspn(line, "\r\n"), rest = strspn(line + length, "\r");
        if (length > strspn(line, " \t") && line[0] != ';') {
            text_append(writer->out, "; ");
        }
        /* The remark at the end of a line that has no room for two bytes more loses some. */
        size_t kept = length + 2 > PROFILE_LINE_BYTES_MAX
                          ? utf8_valid_prefix(line, PROFILE_LINE_BYTES_MAX - 3)
                          : length;
        text_append_bytes(writer->out, line, kept);
        text_append_bytes(writer->out, line + length, rest);
        writer->copied += length + rest;
        copy_to(writer, writer->copied + (writer->copied < last->line_end ? 1 : 0));
    }
    writer->rested++;
}

/* One section of the original: its heading and the `count` keys after it. */
static void write_section(struct writer *writer, const struct item *heading, size_t count,
                          size_t length)
{
    const struct item *items = heading + 1, *last = heading + count;
    const char *name;
    const struct section *section = section_of(heading->name, writer->scenario->site.pair, &name);
    const void *now = item_of(writer->scenario, section, name);
    const void *old = item_of(writer->old, section, name);
    if (section_find_in(section->name, writer->old->site.pair) != section) {
        set_aside(writer, heading, last);
        return;
    }
    if (!now || !old) {
        drop_section(writer, heading, last, length);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        const struct field *field = section_field_of(section, items[i].name);
        if (!field_is_said(field, now) && field_is_said(field, old)) {
            copy_to(writer, items[i].line_at);
            writer->copied = items[i].line_end;
        } else if (!field_is_same(field, now, old)) {
            char value[FIELD_TEXT_BYTES];
            field_format(field, now, value, sizeof value);
            copy_to(writer, items[i].at);
            text_append(writer->out, value);
            writer->copied = items[i].end;
        }
    }
    copy_to(writer, last->line_end);
    write_missing(writer, section, now, items, count);
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

static void write_new_section(struct writer *writer, const struct section *section, int item)
{
    struct text body = {0}, *out = writer->out;
    char heading[NAME_MAX_BYTES + 16];
    section_item_title(section, writer->scenario, item, heading, sizeof heading);
    writer->out = &body;
    write_missing(writer, section, section_item(section, writer->scenario, item), NULL, 0);
    writer->out = out;
    if (body.length > 0 || section->most > 0) { /* an item stands by its name alone */
        text_append(out, ends_with_feed(out) ? "" : writer->feed);
        text_printf(out, "%s[%s]%s", out->length ? writer->feed : "", heading, writer->feed);
        text_append_bytes(out, text_string(&body), body.length);
    }
    out->failed = out->failed || body.failed;
    text_free(&body);
}

/* Sections that stand once, then the items that the original does not have. */
static void write_new_sections(struct writer *writer, const struct scan *scan)
{
    for (size_t i = 0; i < section_count(); i++) {
        const struct section *section = section_at(i);
        bool other =
            section_find_in(section->name, writer->scenario->site.pair) != section; /* pair's */
        for (int item = 0; !other && item < section_items(section, writer->scenario); item++) {
            const char *name = section_item_name(section, writer->scenario, item);
            bool stands = section->most > 0 ? item_of(writer->old, section, name) != NULL
                                            : has_heading(scan, section->name);
            if (!stands) {
                write_new_section(writer, section, item);
            }
        }
    }
}

static enum status check_names(const struct scenario *scenario, const struct section *section,
                               struct fault *fault)
{
    for (int i = 0; i < section_items(section, scenario); i++) {
        const char *name = section_item_name(section, scenario, i);
        if (!section_name_is_usable(name)) {
            return fault_set(fault, STATUS_MALFORMED, section->name, NULL,
                             "\"%s\" is not a usable name", name);
        }
        if (section_item_find(section, scenario, name) != i) {
            return fault_set(fault, STATUS_ILLEGAL, section->name, "each name once",
                             "two have the name \"%s\"", name);
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
}

static enum status write_with(struct writer *writer, const struct text *original,
                              struct fault *fault)
{
    writer->scan = (struct scan){0};
    enum status status = scan_text(text_string(original), original->length, &writer->scan, fault);
    if (status == STATUS_OK) {
        write_all(writer, &writer->scan, original->length);
        if (writer->out->failed) {
            status = fault_of_status(fault, STATUS_NO_MEMORY);
        } else if (writer->out->length > PROFILE_BYTES_MAX) {
            status = fault_set(fault, STATUS_OUT_OF_RANGE, "", "at most 262144 bytes",
                               "the profile has grown too large");
        }
    }
    scan_free(&writer->scan);
    return status;
}

/* `old` and `plain` are room to work in. */
static enum status write_against(const struct profile *profile, struct profile *old,
                                 struct scenario *plain, struct text *out, int *rested,
                                 struct fault *fault)
{
    const struct text *original = &profile->original;
    *plain = scenario_default_of(profile->scenario.site.pair);
    plain->site.pair = PAIR_ATSC; /* what it brings is not said again, but it is itself */
    int width_mhz =
        rf_width_mhz(pair_plan(profile->scenario.site.pair), profile->scenario.site.rf_channel);
    plain->site.bandwidth_mhz = width_mhz > 0 ? width_mhz : plain->site.bandwidth_mhz;
    /* What a use fills in is not said again. */
    use_change(plain, (struct use_at){.use = USE_NONE}, use_at(&profile->scenario));
    for (size_t i = 0; i < section_count(); i++) {
        (void)section_add(section_at(i), plain, "plain"); /* only where it is repeated */
    }
    enum status status = profile_read_text(text_string(original), original->length, old, fault);
    if (status != STATUS_OK) {
        return status;
    }
    bool returns = strstr(text_string(original), "\r\n") != NULL;
    struct writer writer = {.scenario = &profile->scenario,
                            .old = &old->scenario,
                            .plain = plain,
                            .text = text_string(original),
                            .feed = returns ? "\r\n" : "\n",
                            .out = out};
    status = write_with(&writer, original, fault);
    *rested = writer.rested;
    profile_free(old);
    return status;
}

static enum status write_text(const struct profile *profile, struct text *out, int *rested,
                              struct fault *fault)
{
    *rested = 0;
    enum status status = scenario_check(&profile->scenario, fault);
    for (size_t i = 0; i < section_count() && status == STATUS_OK; i++) {
        if (section_at(i)->most > 0) {
            status = check_names(&profile->scenario, section_at(i), fault);
        }
    }
    if (status != STATUS_OK) {
        return status;
    }
    struct profile *old = malloc(sizeof *old);
    struct scenario *plain = malloc(sizeof *plain);
    status = old && plain ? write_against(profile, old, plain, out, rested, fault)
                          : fault_of_status(fault, STATUS_NO_MEMORY);
    free(old);
    free(plain);
    return status;
}

enum status profile_write_text(const struct profile *profile, struct text *out, struct fault *fault)
{
    int rested;
    return write_text(profile, out, &rested, fault);
}

static enum status save(struct profile *profile, const char *path, bool unchanged,
                        struct fault *fault)
{
    struct text text = {0};
    int rested;
    enum status status = write_text(profile, &text, &rested, fault);
    if (status == STATUS_OK && unchanged) {
        status =
            file_replace_expected(path, &profile->original, text_string(&text), text.length, fault);
    } else if (status == STATUS_OK) {
        status = file_replace(path, text_string(&text), text.length, fault);
    }
    if (status == STATUS_OK) {
        text_free(&profile->original);
        profile->original = text;
        profile->rested = rested;
    } else {
        text_free(&text);
    }
    return status;
}

enum status profile_save(struct profile *profile, const char *path, struct fault *fault)
{
    return save(profile, path, false, fault);
}

enum status profile_save_unchanged(struct profile *profile, const char *path, struct fault *fault)
{
    return save(profile, path, true, fault);
}
