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
    if (scenario_set(&player->now, player->step->name, value, &cause) != STATUS_OK) {
        return line_fault(player, &cause);
    }
    transmission_repair(&player->now.transmission);
    return STATUS_OK;
}

/* ---- Slides. ---- */

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

/* One legal choice after the other; what mode_repair moves back is left out. */
static enum status slide_choice(struct player *player, const struct field *field, int from, int to)
{
    int direction = to > from ? 1 : -1;
    for (int i = from + direction; from != to && i != to + direction; i += direction) {
        char wanted[FIELD_TEXT_BYTES];
        field_write(field, i, wanted, sizeof wanted);
        enum status status = make_pending_stop(player);
        struct transmission before = player->now.transmission;
        if (status == STATUS_OK) {
            status = set_value(player, wanted);
        }
        if (status != STATUS_OK) {
            return status;
        }
        if (field_number(field, &player->now) != i) {
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
    const struct field *field = scenario_field(&player->now, step->name, &base);
    if (!field) {
        struct fault cause;
        fault_set(&cause, STATUS_ILLEGAL, step->name, "set it first",
                  "it has no value to start from");
        return line_fault(player, &cause);
    }
    double from = field_number(field, base), to = NAN;
    bool known = field_read(field, step->value, &to) == STATUS_OK && !isnan(from) && !isnan(to);
    if (known && (field->type == FIELD_CHOICE || field->type == FIELD_RATE)) {
        return slide_choice(player, field, (int)from, (int)to);
    }
    if (known && field->type == FIELD_WHOLE) { /* as many steps as there are, or a single one */
        double apart = fabs(to - from);
        return slide_number(player, from, to,
                            apart > 100.0  ? 1
                            : apart >= 1.0 ? (int)apart
                                           : step->count);
    }
    if (known && field->type == FIELD_NUMBER) {
        return slide_number(player, from, to, step->count);
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
