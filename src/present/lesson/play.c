/* Playing a lesson: a pure function of the lesson, the scenario that it begins from and the stop.
 */
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"
#include "present/lesson/lesson.h"

struct player {
    const struct lesson_step *step;
    struct lesson_scene *scene;
    int wanted;
    struct scenario now; /* goes on to the end, for the number of stops */
    bool pinned;
    struct scenario pin;
    const char *picture, *selected, *text;
    int stop;
    bool pending; /* a slide has moved, and its stop is still to be made */
    struct fault *fault;
};

static enum status line_fault(const struct player *player, const struct fault *cause)
{
    char place[200];
    text_format(place, sizeof place, "line %d: %s", player->step->line, cause->place);
    return fault_set(player->fault, cause->status, place, cause->allowed, "%s", cause->wrong);
}

/* A moment that the user sees: the scenario must be whole and legal. */
static enum status make_stop(struct player *player)
{
    struct fault cause;
    if (scenario_check(&player->now, &cause) != STATUS_OK) {
        return line_fault(player, &cause);
    }
    player->stop++;
    player->pending = false;
    if (player->stop <= player->wanted) {
        struct lesson_scene *scene = player->scene;
        scene->scenario = player->now;
        scene->pinned = player->pinned;
        if (player->pinned) {
            scene->pinned_scenario = player->pin;
        }
        scene->picture = player->picture;
        scene->selected = player->selected;
        scene->text = player->text;
        scene->stop = player->stop;
    }
    return STATUS_OK;
}

/* A slide's step is seen before the next one moves; what is said right after the last one is seen
 * together with it. */
static enum status make_pending_stop(struct player *player)
{
    return player->pending ? make_stop(player) : STATUS_OK;
}

static enum status set_value(struct player *player, const char *value)
{
    struct fault cause;
    if (profile_set(&player->now, player->step->name, value, &cause) != STATUS_OK) {
        return line_fault(player, &cause);
    }
    transmission_repair(&player->now.transmission);
    return STATUS_OK;
}

/* ---- Slides. ---- */

/* The table's row of a key and the struct that its offset counts in. */
static const struct key_row *find_key(const struct scenario *scenario, const char *name,
                                      const void **base)
{
    const char *point = strrchr(name, '.');
    char section[96];
    text_format(section, sizeof section, "%.*s", (int)(point - name), name);
    *base = scenario;
    char *blank = strchr(section, ' ');
    if (blank) {
        *blank = '\0';
        const char *wanted = blank + 1 + strspn(blank + 1, " ");
        for (int i = 0; i < scenario->echo_count; i++) {
            if (strcasecmp(scenario->echo_names[i], wanted) == 0 &&
                strcasecmp(section, "echo") == 0) {
                *base = &scenario->echoes[i];
                return key_find(section, point + 1);
            }
        }
        for (int i = 0; i < scenario->station_count; i++) {
            if (strcasecmp(scenario->stations[i].name, wanted) == 0 &&
                strcasecmp(section, "station") == 0) {
                *base = &scenario->stations[i];
                return key_find(section, point + 1);
            }
        }
        return NULL;
    }
    return key_find(section, point + 1);
}

static bool number_of(const struct key_row *row, const void *base, double *value)
{
    char text[64];
    key_format(row, base, text, sizeof text);
    return number_read_double(text, value);
}

static enum status slide_number(struct player *player, double from, double to, int count)
{
    enum status status = STATUS_OK;
    for (int i = 1; i <= count && status == STATUS_OK; i++) {
        double share = (double)i / count;
        char text[32];
        status = make_pending_stop(player);
        if (status != STATUS_OK) {
            break;
        }
        /* Six digits are plenty on the screen; the last step is exact. */
        text_format(text, sizeof text, "%.6g", from + share * (to - from));
        status = set_value(player, i == count ? player->step->value : text);
        player->pending = true;
    }
    return status;
}

/* The position of a value among the choices of a row; -1: none. */
static int choice_at(const struct key_row *row, const char *value)
{
    for (int i = 0; i < row->choice_count; i++) {
        if (strcasecmp(row->choice_name(i), value) == 0) {
            return i;
        }
    }
    return -1;
}

static void choice_text(const struct key_row *row, int i, char *buffer, size_t size)
{
    if (row->type == KEY_CHOICE) {
        text_format(buffer, size, "%s", row->choice_name(i));
    } else {
        text_format(buffer, size, "%d/15", i);
    }
}

/* One legal choice after the other; what mode_repair moves back is left out. */
static enum status slide_choice(struct player *player, const struct key_row *row, int from, int to)
{
    int direction = to > from ? 1 : -1;
    for (int i = from + direction; from != to && i != to + direction; i += direction) {
        char wanted[64], got[64];
        choice_text(row, i, wanted, sizeof wanted);
        enum status status = make_pending_stop(player);
        struct transmission before = player->now.transmission;
        if (status == STATUS_OK) {
            status = set_value(player, wanted);
        }
        if (status != STATUS_OK) {
            return status;
        }
        key_format(row, &player->now, got, sizeof got);
        if (strcmp(got, wanted) != 0) {
            player->now.transmission = before;
            continue;
        }
        player->pending = true;
    }
    return STATUS_OK;
}

static enum status slide(struct player *player)
{
    const struct lesson_step *step = player->step;
    const void *base;
    const struct key_row *row = find_key(&player->now, step->name, &base);
    char now[64];
    double from, to;
    struct fault cause;
    if (!row) {
        fault_set(&cause, STATUS_ILLEGAL, step->name, "set it first",
                  "it has no value to start from");
        return line_fault(player, &cause);
    }
    key_format(row, base, now, sizeof now);
    if (row->type == KEY_CHOICE) {
        return slide_choice(player, row, choice_at(row, now), choice_at(row, step->value));
    }
    if (row->type == KEY_RATE) {
        int begin = RATE_MIN_15THS, end = RATE_MIN_15THS;
        char text[64];
        for (int i = RATE_MIN_15THS; i <= RATE_MAX_15THS; i++) {
            choice_text(row, i, text, sizeof text);
            begin = strcmp(text, now) == 0 ? i : begin;
            end = strcmp(text, step->value) == 0 ? i : end;
        }
        return slide_choice(player, row, begin, end);
    }
    if (row->type != KEY_BOOL && number_of(row, base, &from) &&
        number_read_double(step->value, &to)) {
        /* Whole numbers: as many steps as there are. */
        double apart = fabs(to - from);
        int count =
            row->type == KEY_INT && apart >= 1.0 && apart <= 100.0 ? (int)apart : step->count;
        return slide_number(player, from, to, row->type == KEY_INT && apart > 100.0 ? 1 : count);
    }
    enum status status = make_pending_stop(player);
    if (status == STATUS_OK) {
        status = set_value(player, step->value);
        player->pending = true;
    }
    return status;
}

/* ---- Steps. ---- */

static enum status do_step(struct player *player)
{
    const struct lesson_step *step = player->step;
    switch (step->verb) {
    case LESSON_SAY:
        player->text = step->text;
        return make_stop(player);
    case LESSON_SET:
        return set_value(player, step->value);
    case LESSON_SLIDE:
        return slide(player);
    case LESSON_PIN:
        player->pinned = true;
        player->pin = player->now;
        return STATUS_OK;
    case LESSON_UNPIN:
        player->pinned = false;
        return STATUS_OK;
    case LESSON_SHOW:
        player->picture = step->name;
        return STATUS_OK;
    case LESSON_SELECT:
        player->selected = step->name;
        return STATUS_OK;
    default:
        return STATUS_OK;
    }
}

enum status lesson_play(const struct lesson *lesson, const struct scenario *begin, int stop,
                        struct lesson_scene *scene, struct fault *fault)
{
    struct player player = {
        .scene = scene, .wanted = stop, .now = *begin, .text = "", .fault = fault};
    *scene = (struct lesson_scene){.scenario = *begin, .text = ""};
    enum status status = STATUS_OK;
    for (int i = 0; i < lesson->step_count && status == STATUS_OK; i++) {
        player.step = &lesson->steps[i];
        status = do_step(&player);
    }
    if (status == STATUS_OK) {
        status = make_pending_stop(&player);
    }
    scene->stop_count = player.stop;
    return status;
}
