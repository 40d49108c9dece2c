#ifndef STUDY_VERDICT_CHANGES_H
#define STUDY_VERDICT_CHANGES_H

/* Every profile that comes along, with changes of one key each. For test programs that include it
 * once. */

#include <glob.h>
#include <stdio.h>
#include <string.h>

#include "profile/profile.h"
#include "study/verdict/verdict.h"
#include "support/effort.h"
#include "support/near.h"

#define PROFILES_LEAST 8
#define EVERY_CHANGE 5 /* one out of so many in `make check` */
/* Drawn where phases are any: what is held here does not hang on how many. */
#define POSITIONS_EACH "receiver.positions", "5"

/* "echo.KEY" stands for the first echo's, "station.KEY" for the first station's; NULL: nothing. */
struct change {
    const char *key, *value;
};

/* `set` is the change as words for run_line: " --set KEY=VALUE", or nothing. */
typedef void visitor(const struct scenario *scenario, const char *path, const char *set);

/* The change's key as the scenario has it; false where it, or its pair, has no such section. */
static inline bool change_key(const char *key, const struct scenario *scenario, char *buffer,
                              size_t size)
{
    const char *rest = strchr(key, '.');
    if (strncmp(key, "echo.", 5) == 0) {
        snprintf(buffer, size, "echo %s%s", scenario->echo_names[0], rest);
        return scenario->echo_count > 0;
    }
    if (strncmp(key, "station.", 8) == 0) {
        snprintf(buffer, size, "station %s%s", scenario->stations[0].name, rest);
        return scenario->station_count > 0;
    }
    snprintf(buffer, size, "%s", key);
    return scenario_counts(scenario, key, NULL) == STATUS_OK;
}

static inline void change_words(const char *key, const char *value, char *words, size_t size)
{
    size_t used = (size_t)snprintf(words, size, " --set ");
    for (; *key && used + 4 < size; key++) {
        used += (size_t)snprintf(words + used, size - used, *key == ' ' ? "%%20" : "%c", *key);
    }
    snprintf(words + used, size - used, "=%s", value);
}

/* True where the change can be made and leaves a legal scenario. */
static inline bool change_apply(const struct change *change, struct scenario *scenario, char *words,
                                size_t size)
{
    char key[128];
    *words = '\0';
    if (change->key == NULL) {
        return true;
    }
    if (!change_key(change->key, scenario, key, sizeof key)) {
        return false;
    }
    struct fault fault = {0};
    if (scenario_set(scenario, key, change->value, &fault) != STATUS_OK) {
        fail_msg("%s=%s: %s", key, change->value, fault.wrong);
    }
    change_words(key, change->value, words, size);
    return scenario_check(scenario, NULL) == STATUS_OK;
}

static inline void draw_few_positions(struct scenario *scenario, char *words, size_t size)
{
    const struct change few = {POSITIONS_EACH};
    assert_true(change_apply(&few, scenario, words, size));
}

/* Returns how many were visited: every profile, and of the changes a sample that moves on from
 * profile to profile, so that each is made somewhere. */
static inline int each_change(const struct change *changes, size_t count, visitor *visit)
{
    glob_t paths;
    int visited = 0;
    assert_int_equal(glob("profiles/*.ini", 0, NULL, &paths), 0);
    assert_true(paths.gl_pathc >= PROFILES_LEAST);
    for (size_t p = 0; p < paths.gl_pathc; p++) {
        struct profile profile;
        assert_int_equal(profile_read_file(paths.gl_pathv[p], &profile, NULL), STATUS_OK);
        size_t step = count > EVERY_CHANGE ? effort(EVERY_CHANGE, 2, 1) : 1;
        for (size_t c = p % step; c < count; c += step) {
            static struct scenario scenario;
            char words[256];
            scenario = profile.scenario;
            draw_few_positions(&scenario, words, sizeof words);
            size_t used = strlen(words);
            if (change_apply(&changes[c], &scenario, words + used, sizeof words - used)) {
                visit(&scenario, paths.gl_pathv[p], words);
                visited++;
            }
        }
        profile_free(&profile);
    }
    globfree(&paths);
    return visited;
}

#endif
