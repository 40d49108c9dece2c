#define _GNU_SOURCE /* memfd_create, in fuzz_parts.c. NOLINT(bugprone-reserved-identifier) */
#include "support/near.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/random.h"
#include "fuzz/fuzz.h"
#include "support/effort.h"

/* The fuzzing targets without libFuzzer: over the corpus, and over seeded mutations of it. */

/* NOLINTBEGIN(bugprone-suspicious-include): the targets are built by themselves for libFuzzer. */
#include "fuzz/fuzz_lesson.c"
#include "fuzz/fuzz_log.c"
#include "fuzz/fuzz_options.c"
#include "fuzz/fuzz_page.c"
#include "fuzz/fuzz_parts.c"
#include "fuzz/fuzz_plps.c"
#include "fuzz/fuzz_profile.c"
#include "fuzz/fuzz_terrain.c"
/* NOLINTEND(bugprone-suspicious-include) */

typedef int target(const uint8_t *data, size_t size);

static void mutate(struct random *random, struct text *bytes)
{
    static const char *const words[] = {"[",    "]",          "=",           "\n",    ";", "\"",
                                        "\\\n", "[echo x]\n", "delay_us=",   "1e999", "-", "\xFF",
                                        "\r\n", "--set",      "mode.fft=8K", "/15"};
    int changes = 1 + (int)(random_uniform(random) * 4);
    while (changes-- > 0 && bytes->length > 0) {
        size_t at = (size_t)(random_uniform(random) * (double)bytes->length);
        switch ((int)(random_uniform(random) * 4)) {
        case 0:
            bytes->data[at] = (char)(random_bits(random) & 0xFF);
            break;
        case 1: /* cut out */
            memmove(bytes->data + at, bytes->data + at + 1, bytes->length - at);
            bytes->length--;
            break;
        case 2: /* cut off */
            bytes->length = at;
            bytes->data[at] = '\0';
            break;
        default: { /* put a word in */
            const char *word = words[random_bits(random) % (sizeof words / sizeof words[0])];
            struct text longer = {0};
            text_append_bytes(&longer, bytes->data, at);
            text_append(&longer, word);
            text_append_bytes(&longer, bytes->data + at, bytes->length - at);
            text_free(bytes);
            *bytes = longer;
        }
        }
    }
}

static int run_over(const char *folder, target *run)
{
    int count = 0;
    size_t mutations = effort(150, 1000, 30000); /* libFuzzer makes more of them in check-fuzz */
    struct random random = random_seeded(21, 0);
    DIR *directory = opendir(folder);
    assert_non_null(directory);
    for (struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        char path[400];
        struct text seed = {0};
        struct fault fault;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (entry->d_name[0] == '.' || file_read(path, 1 << 20, &seed, &fault) != STATUS_OK) {
            continue;
        }
        run((const uint8_t *)text_string(&seed), seed.length);
        for (size_t i = 0; i < mutations; i++) {
            struct text bytes = {0};
            text_append_bytes(&bytes, text_string(&seed), seed.length);
            mutate(&random, &bytes);
            run((const uint8_t *)text_string(&bytes), bytes.length);
            text_free(&bytes);
        }
        text_free(&seed);
        count++;
    }
    closedir(directory);
    return count;
}

static void profiles_never_crash_and_come_back_as_they_were(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/profile", fuzz_profile) >= 20);
    assert_true(run_over("profiles", fuzz_profile) >= 8);
}

static void arguments_end_in_output_or_in_a_message(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/options", fuzz_options) >= 10);
}

static void pages_never_crash_and_settle_to_legal_modes(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/page", fuzz_page) >= 3);
    assert_true(run_over("demo/pages", fuzz_page) >= 12);
}

static void each_plp_of_a_page_settles_by_itself(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/plps", fuzz_plps) >= 4);
}

static void merged_parts_stay_as_they_are_when_merged_again(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/parts", fuzz_parts) >= 4);
}

static void logs_of_readings_rise_in_time_or_are_refused(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/log", fuzz_log) >= 4);
}

static void lessons_play_or_are_refused(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/lesson", fuzz_lesson) >= 5);
    assert_true(run_over("demo/lessons", fuzz_lesson) >= 3);
}

static void height_profiles_are_read_or_refused(void **state)
{
    (void)state;
    assert_true(run_over("tests/fuzz/corpus/terrain", fuzz_terrain) >= 4);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(profiles_never_crash_and_come_back_as_they_were),
        cmocka_unit_test(pages_never_crash_and_settle_to_legal_modes),
        cmocka_unit_test(each_plp_of_a_page_settles_by_itself),
        cmocka_unit_test(merged_parts_stay_as_they_are_when_merged_again),
        cmocka_unit_test(logs_of_readings_rise_in_time_or_are_refused),
        cmocka_unit_test(lessons_play_or_are_refused),
        cmocka_unit_test(height_profiles_are_read_or_refused),
        cmocka_unit_test(arguments_end_in_output_or_in_a_message),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
