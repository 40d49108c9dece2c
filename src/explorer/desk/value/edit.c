/* One value changed, and what is said of it. */
#include "explorer/desk/value/edit.h"

#include <stdlib.h>

static bool nothing_to_choose(const struct value *value, const struct scenario *scenario)
{
    struct choices choices;
    value_choices(value, scenario, &choices);
    return choices.count == 0;
}

static void take(struct desk *desk, const struct value *value, const struct scenario *next,
                 const struct fault *short_of)
{
    char moved[192];
    value_moved(value, &desk->profile.scenario, next, moved, sizeof moved);
    if (!desk_change(desk, next)) {
        return;
    }
    if (short_of && short_of->status != STATUS_OK) {
        desk_say(desk, TONE_WARN, "No further: %s %s.", short_of->place, short_of->wrong);
    } else if (moved[0]) {
        desk_say(desk, TONE_WARN, "Also moved: %s (to stay legal).", moved);
    }
}

/* A scenario is large: it is made on the heap. */
static struct scenario *room(struct desk *desk)
{
    struct scenario *next = malloc(sizeof *next);
    if (!next) {
        desk_say(desk, TONE_WARN, "Out of memory: nothing is changed.");
    }
    return next;
}

void edit_step(struct desk *desk, const struct value *value, int direction)
{
    struct scenario *next = room(desk);
    struct fault short_of;
    char label[32];
    value_label(value, label, sizeof label);
    if (!next) {
        return;
    }
    if (value_step(value, &desk->profile.scenario, direction, next, &short_of)) {
        take(desk, value, next, &short_of);
    } else if (value_kind(value) == VALUE_TYPED) {
        desk_say(desk, TONE_QUIET, "%s: Enter types it.", label);
    } else if (short_of.status != STATUS_OK) {
        desk_say(desk, TONE_WARN, "No further: %s %s.", short_of.place, short_of.wrong);
    } else if (value_kind(value) == VALUE_CHOSEN &&
               nothing_to_choose(value, &desk->profile.scenario)) {
        desk_say(desk, TONE_QUIET, "%s: there is nothing to choose from here.", label);
    } else {
        desk_say(desk, TONE_QUIET, "%s: this is the %s legal value.", label,
                 direction > 0 ? "last" : "first");
    }
    free(next);
}

void edit_set(struct desk *desk, const struct value *value, const char *text)
{
    struct scenario *next = room(desk);
    struct fault fault;
    if (!next) {
        return;
    }
    if (value_set(value, &desk->profile.scenario, text, next, &fault) == STATUS_OK) {
        take(desk, value, next, NULL);
    } else {
        desk_say_fault(desk, &fault);
    }
    free(next);
}

void edit_set_share(struct desk *desk, const struct value *value, double share)
{
    struct scenario *next = room(desk);
    struct fault short_of;
    if (next && value_set_share(value, &desk->profile.scenario, share, next, &short_of)) {
        take(desk, value, next, &short_of);
    }
    free(next);
}

void edit_set_choice(struct desk *desk, const struct value *value, int choice)
{
    struct scenario *next = room(desk);
    if (next && value_set_choice(value, &desk->profile.scenario, choice, next)) {
        take(desk, value, next, NULL);
    }
    free(next);
}

void edit_forget(struct desk *desk, const struct value *value)
{
    struct scenario *next = room(desk);
    if (next && value_forget(value, &desk->profile.scenario, next)) {
        take(desk, value, next, NULL);
    }
    free(next);
}

void edit_type(struct desk *desk, const struct value *value, uint32_t key,
               void (*done)(const struct call *call), void *owner)
{
    char text[FIELD_TEXT_BYTES] = {key == PRESS_ENTER ? '\0' : (char)key, '\0'};
    char allowed[384];
    if (value_kind(value) == VALUE_CHOSEN) {
        desk_say(desk, TONE_QUIET, "Choose with the left and right arrows.");
        return;
    }
    if (key == PRESS_ENTER) {
        value_typed(value, &desk->profile.scenario, text, sizeof text);
    }
    value_allowed(value, allowed, sizeof allowed);
    desk_ask(desk, NULL, text, done, owner);
    desk_say(desk, TONE_PLAIN, "Type %s, then Enter; Escape leaves it as it was.", allowed);
}
