/* Fuzzing entry for profiles: whatever bytes are read, nothing crashes; what is accepted is written
 * back byte for byte, and a changed value leaves a profile that reads again with that value.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "profile/profile.h"

static void profile_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_profile: %s\n", what);
        abort();
    }
}

static void change_and_read(struct profile *profile)
{
    struct text text = {0};
    struct fault fault = {0};
    struct profile again;
    profile->scenario.transmission.subframes[0].waveform.boost =
        (profile->scenario.transmission.subframes[0].waveform.boost + 1) % (BOOST_MAX + 1);
    if (profile_write_text(profile, &text, &fault) == STATUS_OK) {
        enum status status = profile_read_text(text_string(&text), text.length, &again, &fault);
        profile_require(status == STATUS_OK, "a written profile is not read");
        profile_require(again.scenario.transmission.subframes[0].waveform.boost ==
                            profile->scenario.transmission.subframes[0].waveform.boost,
                        "a value got lost");
        profile_require(again.scenario.echo_count == profile->scenario.echo_count,
                        "an echo got lost");
        profile_free(&again);
    } else {
        /* Only what has no room left may fail. */
        profile_require(fault.status == STATUS_OUT_OF_RANGE, "a read profile is not written");
    }
    text_free(&text);
}

int fuzz_profile(const uint8_t *data, size_t size)
{
    struct profile profile;
    struct fault fault = {0};
    enum status status = profile_read_text((const char *)data, size, &profile, &fault);
    if (status != STATUS_OK) {
        profile_require(fault.status == status && fault.wrong[0] != '\0', "a fault without words");
        return 0;
    }
    struct text text = {0};
    profile_require(profile_write_text(&profile, &text, &fault) == STATUS_OK, "not written back");
    profile_require(text.length == size && (size == 0 || memcmp(text.data, data, size) == 0),
                    "written back otherwise");
    text_free(&text);
    change_and_read(&profile);
    profile_free(&profile);
    return 0;
}
