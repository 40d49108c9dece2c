/* Scenarios are compared as they would be written: by the table of keys. */
#include "explorer/desk/same.h"

#include <string.h>

#include "profile/profile.h"

/* The keys of a section hold the same. */
static bool same_section(const char *section, const void *a, const void *b)
{
    for (size_t i = 0; i < key_count(); i++) {
        const struct key_row *row = key_row(i);
        char text_a[64], text_b[64];
        if (strcmp(row->section, section) != 0) {
            continue;
        }
        key_format(row, a, text_a, sizeof text_a);
        key_format(row, b, text_b, sizeof text_b);
        if (strcmp(text_a, text_b) != 0) {
            return false;
        }
    }
    return true;
}

bool scenarios_are_same(const struct scenario *a, const struct scenario *b)
{
    static const char *const sections[] = {"site", "mode", "first", "receiver", "place"};
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        if (!same_section(sections[i], a, b)) {
            return false;
        }
    }
    if (a->station_count != b->station_count || a->echo_count != b->echo_count) {
        return false;
    }
    for (int i = 0; i < a->station_count; i++) {
        if (strcmp(a->stations[i].name, b->stations[i].name) != 0 ||
            !same_section("station", &a->stations[i], &b->stations[i])) {
            return false;
        }
    }
    for (int i = 0; i < a->echo_count; i++) {
        if (strcmp(a->echo_names[i], b->echo_names[i]) != 0 ||
            !same_section("echo", &a->echoes[i], &b->echoes[i])) {
            return false;
        }
    }
    return true;
}
