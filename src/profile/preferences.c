/* Preferences as INI text: the same strict look and the same library as a profile's. */
#include "profile/preferences.h"

#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "base/file.h"
#include "profile/ini.h"
#include "profile/scan.h"

static const char section[] = "explorer";

/* A key is a word, or one of two that stand for no and yes. */
static const struct key {
    const char *name, *no, *yes; /* NULL: a word */
    size_t at;
} keys[] = {
    {"picture", NULL, NULL, offsetof(struct preferences, picture)},
    {"characters", "terminal", "ascii", offsetof(struct preferences, ascii)},
    {"mouse", "no", "yes", offsetof(struct preferences, mouse)},
};
#define KEY_COUNT (sizeof keys / sizeof keys[0])

struct preferences preferences_default(void)
{
    return (struct preferences){.mouse = true};
}

static enum status take(const struct key *key, const char *value, struct preferences *preferences,
                        struct fault *fault)
{
    char *at = (char *)preferences + key->at, place[64], allowed[64];
    text_format(place, sizeof place, "%s.%s", section, key->name);
    if (!key->yes) {
        if (strlen(value) >= NAME_MAX_BYTES) {
            return fault_set(fault, STATUS_OUT_OF_RANGE, place, "at most 47 bytes",
                             "the name is too long");
        }
        memcpy(at, value, strlen(value) + 1);
        return STATUS_OK;
    }
    bool yes = strcasecmp(value, key->yes) == 0;
    if (!yes && strcasecmp(value, key->no) != 0) {
        text_format(allowed, sizeof allowed, "%s or %s", key->yes, key->no);
        return fault_set(fault, STATUS_UNKNOWN_NAME, place, allowed, "\"%s\" is neither", value);
    }
    memcpy(at, &yes, sizeof yes);
    return STATUS_OK;
}

static enum status read_item(const struct item *item, const char *heading, const struct ini *values,
                             struct preferences *preferences, struct fault *fault)
{
    char place[SECTION_BYTES_MAX + KEY_BYTES_MAX + 2];
    text_format(place, sizeof place, "%s%s%s", heading, item->kind == ITEM_KEY ? "." : "",
                item->kind == ITEM_KEY ? item->name : "");
    if (strcasecmp(heading, section) != 0) {
        return fault_set(fault, STATUS_UNKNOWN_NAME, place, "[explorer]", "an unknown section");
    }
    for (size_t i = 0; item->kind == ITEM_KEY && i < KEY_COUNT; i++) {
        if (strcasecmp(keys[i].name, item->name) == 0) {
            const char *value;
            enum status status = ini_value(values, heading, item, place, &value, fault);
            return status == STATUS_OK ? take(&keys[i], value, preferences, fault) : status;
        }
    }
    return item->kind == ITEM_SECTION ? STATUS_OK
                                      : fault_set(fault, STATUS_UNKNOWN_NAME, place,
                                                  "picture, characters or mouse", "an unknown key");
}

enum status preferences_read_text(const char *text, size_t length, struct preferences *preferences,
                                  struct fault *fault)
{
    struct preferences read = preferences_default();
    struct scan scan = {0};
    struct ini values = {0};
    const char *heading = "";
    *preferences = read;
    enum status status = scan_text(text, length, &scan, fault);
    if (status == STATUS_OK) {
        status = ini_load(text, length, scan.count, &values, fault);
    }
    for (size_t i = 0; i < scan.count && status == STATUS_OK; i++) {
        heading = scan.items[i].kind == ITEM_SECTION ? scan.items[i].name : heading;
        status = read_item(&scan.items[i], heading, &values, &read, fault);
    }
    ini_free(&values);
    scan_free(&scan);
    if (status == STATUS_OK) {
        *preferences = read;
    }
    return status;
}

enum status preferences_read_file(const char *path, struct preferences *preferences,
                                  struct fault *fault)
{
    struct text text = {0};
    *preferences = preferences_default();
    if (access(path, F_OK) != 0) {
        return STATUS_OK;
    }
    enum status status = file_read(path, PROFILE_BYTES_MAX, &text, fault);
    if (status == STATUS_OK) {
        status = preferences_read_text(text_string(&text), text.length, preferences, fault);
    }
    text_free(&text);
    return status;
}

enum status preferences_save(const struct preferences *preferences, const char *path,
                             struct fault *fault)
{
    struct text text = {0};
    text_printf(&text,
                "; What guardspan's explorer remembers; its keys P, U and M write this.\n"
                "[%s]\n",
                section);
    for (size_t i = 0; i < KEY_COUNT; i++) {
        const char *at = (const char *)preferences + keys[i].at;
        bool yes = false;
        memcpy(&yes, at, keys[i].yes ? sizeof yes : 0);
        if (keys[i].yes || at[0]) {
            text_printf(&text, "%s = %s\n", keys[i].name,
                        !keys[i].yes ? at
                        : yes        ? keys[i].yes
                                     : keys[i].no);
        }
    }
    enum status status = text.failed ? fault_of_status(fault, STATUS_NO_MEMORY)
                                     : file_replace(path, text_string(&text), text.length, fault);
    text_free(&text);
    return status;
}
