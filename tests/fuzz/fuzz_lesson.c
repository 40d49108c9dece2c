/* Fuzzing entry for lessons: whatever bytes are read, nothing crashes; what is accepted plays, or
 * is refused with its line, and every stop is a legal scenario that is the same when played again.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz/fuzz.h"
#include "present/lesson/lesson.h"

static void require_of_lesson(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_lesson: %s\n", what);
        abort();
    }
}

static void play_lesson(const struct lesson *lesson)
{
    static struct lesson_scene scene;
    static struct scenario begin;
    struct fault fault = {0};
    begin = scenario_default();
    if (lesson_play(lesson, &begin, 1, &scene, &fault) != STATUS_OK) {
        require_of_lesson(strncmp(fault.place, "line ", 5) == 0, "a fault without its line");
        return;
    }
    int stops = scene.stop_count;
    require_of_lesson(stops >= 0 && stops <= 100 * LESSON_STEPS_MAX, "too many stops");
    for (int stop = 1; stop <= stops && stop <= 3; stop++) {
        require_of_lesson(lesson_play(lesson, &begin, stop, &scene, &fault) == STATUS_OK,
                          "a played lesson does not play again");
        require_of_lesson(scene.stop == stop && scene.stop_count == stops, "stops have moved");
        require_of_lesson(scenario_check(&scene.scenario, &fault) == STATUS_OK,
                          "a stop is not legal");
    }
}

int fuzz_lesson(const uint8_t *data, size_t size)
{
    struct lesson lesson;
    struct fault fault = {0};
    if (lesson_read_text((const char *)data, size, &lesson, &fault) == STATUS_OK) {
        play_lesson(&lesson);
    } else {
        require_of_lesson(fault.wrong[0] != '\0', "a refusal without words");
    }
    lesson_free(&lesson);
    return 0;
}
