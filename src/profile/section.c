#include "profile/section.h"

#include <string.h>
#include <strings.h>

#include "base/utf8.h"

#define SECTIONS_ALLOWED "site|mode|first|receiver|place|station NAME|echo NAME"
#define NAMES_ALLOWED "1 to 47 bytes of text without [ ] : ; # = \" ' \\"

static const char *const plain_sections[] = {"site", "mode", "first", "receiver", "place"};

bool section_name_is_usable(const char *name)
{
    size_t count = strlen(name);
    if (count == 0 || count >= NAME_MAX_BYTES || utf8_valid_prefix(name, count) != count ||
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

static enum status open_station(struct scenario *scenario, const char *name, const char *place,
                                struct section *section, struct fault *fault)
{
    section->kind = "station";
    for (int i = 0; i < scenario->station_count; i++) {
        if (strcasecmp(scenario->stations[i].name, name) == 0) {
            section->base = &scenario->stations[i];
            return STATUS_OK;
        }
    }
    if (scenario->station_count == STATIONS_MAX) {
        char allowed[48];
        text_format(allowed, sizeof allowed, "at most %d", STATIONS_MAX);
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "one station too many");
    }
    struct station *station = &scenario->stations[scenario->station_count++];
    *station = station_unset(name);
    section->base = station;
    return STATUS_OK;
}

static enum status open_echo(struct scenario *scenario, const char *name, const char *place,
                             struct section *section, struct fault *fault)
{
    section->kind = "echo";
    for (int i = 0; i < scenario->echo_count; i++) {
        if (strcasecmp(scenario->echo_names[i], name) == 0) {
            section->base = &scenario->echoes[i];
            return STATUS_OK;
        }
    }
    if (scenario->echo_count == ECHOES_MAX) {
        char allowed[48];
        text_format(allowed, sizeof allowed, "at most %d", ECHOES_MAX);
        return fault_set(fault, STATUS_OUT_OF_RANGE, place, allowed, "one echo too many");
    }
    int i = scenario->echo_count++;
    scenario->echoes[i] = echo_unset();
    memset(scenario->echo_names[i], 0, sizeof scenario->echo_names[i]);
    text_format(scenario->echo_names[i], sizeof scenario->echo_names[i], "%s", name);
    section->base = &scenario->echoes[i];
    return STATUS_OK;
}

enum status section_open(struct scenario *scenario, const char *written, const char *place,
                         struct section *section, struct fault *fault)
{
    for (size_t i = 0; i < sizeof plain_sections / sizeof plain_sections[0]; i++) {
        if (strcasecmp(written, plain_sections[i]) == 0) {
            section->kind = plain_sections[i];
            section->base = scenario;
            return STATUS_OK;
        }
    }
    size_t word = strcspn(written, " \t");
    bool is_station = word == strlen("station") && strncasecmp(written, "station", word) == 0;
    bool is_echo = word == strlen("echo") && strncasecmp(written, "echo", word) == 0;
    if (!is_station && !is_echo) {
        return fault_set(fault, STATUS_UNKNOWN_NAME, place, SECTIONS_ALLOWED,
                         "unknown section \"%s\"", written);
    }
    const char *name = written + word + strspn(written + word, " \t");
    if (!section_name_is_usable(name)) {
        return fault_set(fault, STATUS_MALFORMED, place, NAMES_ALLOWED,
                         name[0] ? "\"%s\" is not a usable name" : "the section has no name%s",
                         name);
    }
    return is_station ? open_station(scenario, name, place, section, fault)
                      : open_echo(scenario, name, place, section, fault);
}

enum status section_key(const struct section *section, const char *key, const char *place,
                        const struct key_row **row, struct fault *fault)
{
    *row = key_find(section->kind, key);
    if (*row) {
        return STATUS_OK;
    }
    char allowed[384] = "";
    size_t used = 0;
    for (size_t i = 0; i < key_count(); i++) {
        if (strcmp(key_row(i)->section, section->kind) == 0) {
            used += text_format(allowed + used, sizeof allowed - used, "%s%s", used ? "|" : "",
                                key_row(i)->key);
        }
    }
    return fault_set(fault, STATUS_UNKNOWN_NAME, place, allowed, "unknown key");
}
