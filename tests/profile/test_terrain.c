#include "support/near.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "profile/profile.h"
#include "profile/terrain.h"
#include "scenario/section.h"

/* Height profiles: what is read, and what is refused with which words. */

static enum status read_points(const char *text, size_t length, struct terrain *terrain,
                               struct fault *fault)
{
    *fault = (struct fault){0};
    memset(terrain, 0, sizeof *terrain);
    return terrain_read_text(text, length, terrain, fault);
}

static void blanks_commas_comments_and_a_heading_are_understood(void **state)
{
    (void)state;
    static const char text[] = "# a hill\n distance_km height_m\r\n0 100\n\n 1.5,212.5 # top\r\n"
                               "2e0;-3\n+3\t1e2";
    struct terrain terrain;
    struct fault fault;
    assert_int_equal(read_points(text, strlen(text), &terrain, &fault), STATUS_OK);
    static const float km[] = {0.0F, 1.5F, 2.0F, 3.0F}, m[] = {100.0F, 212.5F, -3.0F, 100.0F};
    assert_int_equal(terrain.count, 4);
    assert_memory_equal(terrain.km, km, sizeof km);
    assert_memory_equal(terrain.m, m, sizeof m);
}

static void what_is_wrong_is_told_with_its_line(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        enum status status;
        const char *place, *wrong;
    } rows[] = {
        {"", STATUS_MALFORMED, "", "fewer than two points"},
        {"0 1\n", STATUS_MALFORMED, "", "fewer than two points"},
        {"0 1\n1 2\n1 3\n", STATUS_ILLEGAL, "line 3", "no farther than the line before"},
        {"0 1\n2 2\n1 3\n", STATUS_ILLEGAL, "line 3", "no farther than the line before"},
        {"1 1\n2 2\n", STATUS_ILLEGAL, "line 1", "does not begin at the station"},
        {"0 1\n1 nan\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\ninf 2\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\n1\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\n1 2 3\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\n\t1,, 2\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\n0000000000000000000000000000001.0 2\n", STATUS_MALFORMED, "line 2",
         "not a distance and a height"},
        {"0 1\n1,,2\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\nkm m\n", STATUS_MALFORMED, "line 2", "not a distance and a height"},
        {"0 1\n1001 2\n", STATUS_OUT_OF_RANGE, "line 2", "no possible distance"},
        {"0 1\n-1 2\n", STATUS_OUT_OF_RANGE, "line 2", "no possible distance"},
        {"0 1\n1 9001\n", STATUS_OUT_OF_RANGE, "line 2", "no possible height"},
        {"0 1\n1 -501\n", STATUS_OUT_OF_RANGE, "line 2", "no possible height"},
        {"0 1\n1 \x01\n", STATUS_MALFORMED, "line 2", "is not text"},
    };
    struct terrain terrain;
    struct fault fault;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(read_points(rows[i].text, strlen(rows[i].text), &terrain, &fault),
                         rows[i].status);
        assert_string_equal(fault.place, rows[i].place);
        assert_non_null(strstr(fault.wrong, rows[i].wrong));
        assert_true(fault.allowed[0] != '\0');
        assert_int_equal(terrain.count, 0); /* left alone */
    }
    assert_int_equal(read_points("0 1\n\0 2", 8, &terrain, &fault), STATUS_MALFORMED);
    assert_string_equal(fault.place, "line 2");
}

static void a_thousand_points_are_read_and_one_more_is_too_many(void **state)
{
    (void)state;
    struct text text = {0};
    struct terrain terrain;
    struct fault fault;
    for (int i = 0; i < TERRAIN_POINTS_MAX; i++) {
        text_printf(&text, "%d %d\n", i, i % 300);
    }
    assert_int_equal(read_points(text_string(&text), text.length, &terrain, &fault), STATUS_OK);
    assert_int_equal(terrain.count, TERRAIN_POINTS_MAX);
    text_append(&text, "1000 1\n");
    assert_int_equal(read_points(text_string(&text), text.length, &terrain, &fault),
                     STATUS_OUT_OF_RANGE);
    assert_string_equal(fault.place, "line 1001");
    text_free(&text);
}

/* ---- Files, beside a profile in a folder of its own. ---- */

static void write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

#define STATION "[station Hill]\nrf_channel=24\nerp_kw=1\nheight_m=80\ndistance_km=3\nterrain="

static enum status read_with(const char *folder, const char *name, struct profile *profile,
                             struct fault *fault)
{
    char path[300], text[400];
    snprintf(path, sizeof path, "%s/p.ini", folder);
    snprintf(text, sizeof text, STATION "%s\n", name);
    write_file(path, text);
    *fault = (struct fault){0};
    return profile_read_file(path, profile, fault);
}

/* Without a profile, without a file, or where its whole name is none that a profile may say, the
 * name stays. */
static void a_name_that_cannot_be_made_whole_stays(void **state)
{
    (void)state;
    char folder[] = "/tmp/guardspan=terrain-XXXXXX", path[300];
    assert_non_null(mkdtemp(folder));
    struct scenario scenario = scenario_default();
    for (int i = 0; i < 4; i++) {
        char name[] = {(char)('a' + i), '\0'};
        assert_non_null(section_add(section_find("station"), &scenario, name));
    }
    snprintf(path, sizeof path, "%s/hill.txt", folder);
    write_file(path, "0 10\n1 2\n");
    strcpy(scenario.stations[1].terrain_file, path);
    strcpy(scenario.stations[2].terrain_file, "not-there.txt");
    strcpy(scenario.stations[3].terrain_file, "/dev/null");
    struct scenario before = scenario;
    terrain_name_whole(&scenario, NULL);
    terrain_name_whole(&scenario, "p.ini");
    for (int i = 0; i < 4; i++) {
        assert_string_equal(scenario.stations[i].terrain_file, before.stations[i].terrain_file);
    }
    assert_string_equal(scenario.stations[3].terrain_read, "/dev/null");
    assert_int_equal(unlink(path) + rmdir(folder), 0);
}

static void a_file_is_named_from_the_profiles_folder(void **state)
{
    (void)state;
    char folder[] = "/tmp/guardspan-terrain-XXXXXX", path[300];
    assert_non_null(mkdtemp(folder));
    struct profile profile, moved;
    struct fault fault;
    assert_int_equal(read_with(folder, "hill.txt", &profile, &fault), STATUS_UNREADABLE);
    assert_string_equal(fault.place, "station Hill.terrain");
    assert_non_null(strstr(fault.wrong, "hill.txt cannot be read: No such file"));
    snprintf(path, sizeof path, "%s/hill.txt", folder);
    write_file(path, "0 10\n1 x\n");
    assert_int_equal(read_with(folder, "hill.txt", &profile, &fault), STATUS_MALFORMED);
    assert_string_equal(fault.wrong, "hill.txt:2: is not a distance and a height");
    assert_int_equal(read_with(folder, ".", &profile, &fault), STATUS_UNREADABLE);
    assert_non_null(strstr(fault.wrong, "not a regular file"));
    write_file(path, "0 10\n1.5 20\n3 15\n");
    assert_int_equal(read_with(folder, "hill.txt", &profile, &fault), STATUS_OK);
    assert_int_equal(profile.scenario.stations[0].terrain.count, 3);
    /* Saved into another folder it is found there too. */
    char other[300], *whole = realpath(path, NULL);
    assert_non_null(whole);
    snprintf(path, sizeof path, "%s/p.ini", folder);
    snprintf(other, sizeof other, "%s/further", folder);
    assert_int_equal(mkdir(other, 0700), 0);
    snprintf(other, sizeof other, "%s/further/p.ini", folder);
    terrain_name_whole(&profile.scenario, path);
    assert_string_equal(profile.scenario.stations[0].terrain_file, whole);
    assert_int_equal(scenario_check(&profile.scenario, &fault), STATUS_OK);
    assert_int_equal(profile_save(&profile, other, &fault), STATUS_OK);
    assert_int_equal(profile_read_file(other, &moved, &fault), STATUS_OK);
    assert_memory_equal(&moved.scenario.stations[0].terrain, &profile.scenario.stations[0].terrain,
                        sizeof(struct terrain));
    /* A name alone is nothing that figures may be made of. */
    assert_int_equal(scenario_set(&moved.scenario, "station Hill.terrain", "gone.txt", &fault),
                     STATUS_OK);
    assert_int_equal(scenario_check(&moved.scenario, &fault), STATUS_UNREADABLE);
    assert_int_equal(scenario_set(&moved.scenario, "station Hill.terrain", "none", &fault),
                     STATUS_OK);
    assert_int_equal(terrain_fetch(&moved.scenario, other, &fault), STATUS_OK);
    assert_int_equal(moved.scenario.stations[0].terrain.count, 0);
    assert_int_equal(scenario_check(&moved.scenario, &fault), STATUS_OK);
    profile_free(&profile);
    profile_free(&moved);
    unlink(path);
    unlink(other);
    unlink(whole);
    free(whole);
    snprintf(other, sizeof other, "%s/further", folder);
    rmdir(other);
    rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blanks_commas_comments_and_a_heading_are_understood),
        cmocka_unit_test(what_is_wrong_is_told_with_its_line),
        cmocka_unit_test(a_thousand_points_are_read_and_one_more_is_too_many),
        cmocka_unit_test(a_name_that_cannot_be_made_whole_stays),
        cmocka_unit_test(a_file_is_named_from_the_profiles_folder),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
