/* The explorer's state and what an event does to it. Nothing here knows a terminal, and files are
 * touched only by the effects that a step returns. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "explorer/desk/files.h"
#include "explorer/desk/same.h"
#include "explorer/explorer.h"
#include "explorer/frame/screen.h"
#include "explorer/lesson.h"

const struct key_hint explorer_keys[] = {
    {"u", "undo", "undo the last change", 'u'},
    {"s", "save", "save the profile; asks for a name when it has none", 's'},
    {"?", "help", "this help", '?'},
    {"q", "quit", "leave; asks when something would be lost", 'q'},
    {"i", "explain", "explain the selected row at length, with its formula and source", 'i'},
    {"o", "open", "open a profile", 'o'},
    {"x", "export",
     "write this screen to a text file, or the picture to a name ending in .svg, .pdf or .png",
     'x'},
    {"r", NULL, "redo what was undone", 'r'},
    {"S", NULL, "save under another name", 'S'},
    {"Escape", NULL, "close what is open; back to the main view", PRESS_ESCAPE},
    {NULL, NULL, NULL, 0},
};

struct effect effect_none(void)
{
    return (struct effect){.kind = EFFECT_NONE};
}

struct effect effect_call(void (*call)(struct explorer *explorer, const char *argument),
                          const char *argument)
{
    struct effect effect = {.kind = EFFECT_CALL, .call = call};
    text_format(effect.argument, sizeof effect.argument, "%s", argument);
    return effect;
}

void explorer_say(struct explorer *explorer, enum role role, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(explorer->message, sizeof explorer->message, format, arguments);
    va_end(arguments);
    explorer->message_role = role;
}

void explorer_say_fault(struct explorer *explorer, const struct fault *fault)
{
    bool allowed = fault->allowed[0] != '\0';
    explorer_say(explorer, ROLE_WARN, "%s%s%s%s%s%s", fault->place, fault->place[0] ? ": " : "",
                 fault->wrong[0] ? fault->wrong : status_message(fault->status),
                 allowed ? " (" : "", fault->allowed, allowed ? ")" : "");
}

void explorer_say_file_fault(struct explorer *explorer, const char *path, const struct fault *fault)
{
    char words[sizeof explorer->message];
    explorer_say_fault(explorer, fault);
    text_format(words, sizeof words, "%s", explorer->message);
    explorer_say(explorer, ROLE_WARN, "%s: %s", path, words);
}

/* ---- The scenario. ---- */

static void refresh(struct explorer *explorer)
{
    const struct scenario *now = &explorer->profile.scenario;
    explorer->revision++;
    explorer->changed = !scenarios_are_same(now, explorer->saved);
    explorer->report_known = report_make(now, &explorer->report, &explorer->fault) == STATUS_OK;
    if (!explorer->report_known) {
        explorer_say_fault(explorer, &explorer->fault);
    }
    if (explorer->pinned) { /* the channel and the measured SNR are common to both columns */
        struct scenario *pinned = explorer->pinned;
        struct mode mode = pinned->mode;
        *pinned = *now;
        pinned->mode = mode;
        scenario_set_bandwidth(pinned, mode.bandwidth_mhz);
        if (report_make(pinned, &explorer->pinned_report, NULL) != STATUS_OK) {
            explorer_unpin(explorer);
        }
    }
}

bool explorer_change(struct explorer *explorer, const struct scenario *next)
{
    struct fault fault;
    if (scenario_check(next, &fault) != STATUS_OK) {
        explorer_say_fault(explorer, &fault);
        return false;
    }
    if (!history_remember(&explorer->history, &explorer->profile.scenario)) {
        explorer_say(explorer, ROLE_WARN, "Out of memory: this change cannot be undone.");
    }
    explorer->profile.scenario = *next;
    refresh(explorer);
    return true;
}

void explorer_pin(struct explorer *explorer)
{
    explorer_pin_scenario(explorer, &explorer->profile.scenario);
}

void explorer_pin_scenario(struct explorer *explorer, const struct scenario *scenario)
{
    if (!explorer->pinned) {
        explorer->pinned = malloc(sizeof *explorer->pinned);
    }
    if (!explorer->pinned) {
        explorer_say(explorer, ROLE_WARN, "Out of memory: nothing is pinned.");
        return;
    }
    *explorer->pinned = *scenario;
    refresh(explorer);
}

void explorer_unpin(struct explorer *explorer)
{
    free(explorer->pinned);
    explorer->pinned = NULL;
}

void explorer_mark_saved(struct explorer *explorer, const char *path)
{
    if (path != explorer->path) {
        text_format(explorer->path, sizeof explorer->path, "%s", path);
    }
    *explorer->saved = explorer->profile.scenario;
    explorer->changed = false;
}

void explorer_take_profile(struct explorer *explorer, struct profile *profile, const char *path)
{
    profile_free(&explorer->profile);
    explorer->profile = *profile;
    *profile = (struct profile){.scenario = explorer->profile.scenario};
    history_clear(&explorer->history);
    explorer_mark_saved(explorer, path ? path : "");
    refresh(explorer);
}

struct explorer *explorer_new(struct profile *profile, const char *path)
{
    struct explorer *explorer = calloc(1, sizeof *explorer);
    if (!explorer) {
        return NULL;
    }
    explorer->saved = malloc(sizeof *explorer->saved);
    if (!explorer->saved) {
        free(explorer);
        return NULL;
    }
    explorer_take_profile(explorer, profile, path);
    explorer->view_state[0] = view_row(0)->open(explorer);
    if (!explorer->view_state[0]) {
        explorer_free(explorer);
        return NULL;
    }
    return explorer;
}

void explorer_free(struct explorer *explorer)
{
    if (!explorer) {
        return;
    }
    for (int i = 0; i < view_count(); i++) {
        if (explorer->view_state[i]) {
            view_row(i)->close(explorer->view_state[i]);
        }
    }
    lesson_end(explorer);
    history_clear(&explorer->history);
    explorer_unpin(explorer);
    profile_free(&explorer->profile);
    free(explorer->saved);
    free(explorer);
}

void explorer_show_view(struct explorer *explorer, int view)
{
    if (!explorer->view_state[view]) {
        explorer->view_state[view] = view_row(view)->open(explorer);
    }
    if (explorer->view_state[view]) {
        const struct view *left = view_row(explorer->view);
        if (view != explorer->view && left->leave) {
            left->leave(explorer->view_state[explorer->view]);
        }
        explorer->view = view;
    } else {
        explorer_say(explorer, ROLE_WARN, "Out of memory: the view cannot be opened.");
    }
}

bool explorer_busy(const struct explorer *explorer)
{
    for (int i = 0; i < view_count(); i++) {
        if (explorer->view_state[i] && view_row(i)->busy &&
            view_row(i)->busy(explorer->view_state[i])) {
            return true;
        }
    }
    return false;
}

struct layout explorer_layout(const struct explorer *explorer)
{
    return explorer->lesson && explorer->rows >= 14
               ? layout_screen_with(explorer->rows, explorer->columns, LESSON_ROWS)
               : layout_screen(explorer->rows, explorer->columns);
}

/* ---- What is laid over a view. ---- */

void explorer_ask(struct explorer *explorer, const char *label, const char *initial,
                  struct effect (*done)(struct explorer *explorer, const char *text))
{
    text_format(explorer->prompt.label, sizeof explorer->prompt.label, "%s", label);
    field_set(&explorer->prompt.field, initial);
    explorer->prompt.done = done;
    explorer->overlay = OVERLAY_PROMPT;
}

static struct effect step_prompt(struct explorer *explorer, uint32_t key)
{
    if (key == PRESS_ESCAPE) {
        explorer->overlay = OVERLAY_NONE;
        explorer_say(explorer, ROLE_DIM, "Left as it was.");
    } else if (key == PRESS_ENTER) {
        explorer->overlay = OVERLAY_NONE;
        return explorer->prompt.done(explorer, explorer->prompt.field.text);
    } else {
        field_key(&explorer->prompt.field, key);
    }
    return effect_none();
}

static struct effect step_question(struct explorer *explorer, uint32_t key)
{
    switch (key) {
    case 'd':
        return (struct effect){.kind = EFFECT_QUIT};
    case 's':
        explorer->overlay = OVERLAY_NONE;
        return files_save_and_leave(explorer);
    case PRESS_ESCAPE:
        explorer->overlay = OVERLAY_NONE;
        break;
    default:
        break;
    }
    return effect_none();
}

static struct effect step_reading(struct explorer *explorer, uint32_t key)
{
    switch (key) {
    case PRESS_UP:
        explorer->overlay_scroll--;
        break;
    case PRESS_DOWN:
        explorer->overlay_scroll++;
        break;
    case PRESS_PAGE_UP:
        explorer->overlay_scroll -= 10;
        break;
    case PRESS_PAGE_DOWN:
    case ' ':
        explorer->overlay_scroll += 10;
        break;
    case PRESS_HOME:
        explorer->overlay_scroll = 0;
        break;
    case PRESS_ESCAPE:
    case PRESS_ENTER:
    case 'q':
    case 'i':
    case '?':
        explorer->overlay = OVERLAY_NONE;
        break;
    default:
        break;
    }
    if (explorer->overlay_scroll < 0) {
        explorer->overlay_scroll = 0;
    }
    return effect_none();
}

static struct effect step_overlay(struct explorer *explorer, uint32_t key)
{
    static struct effect (*const steps[])(struct explorer *, uint32_t) = {
        [OVERLAY_HELP] = step_reading,
        [OVERLAY_EXPLAIN] = step_reading,
        [OVERLAY_PROMPT] = step_prompt,
        [OVERLAY_QUESTION] = step_question,
    };
    return steps[explorer->overlay](explorer, key);
}

/* ---- Keys. ---- */

static struct effect leave(struct explorer *explorer)
{
    if (!explorer->changed) {
        return (struct effect){.kind = EFFECT_QUIT};
    }
    explorer->overlay = OVERLAY_QUESTION;
    return effect_none();
}

static void read_over(struct explorer *explorer, enum overlay overlay)
{
    explorer->overlay = overlay;
    explorer->overlay_scroll = 0;
}

static void travel(struct explorer *explorer, bool back)
{
    bool (*go)(struct history *, struct scenario *) = back ? history_undo : history_redo;
    if (go(&explorer->history, &explorer->profile.scenario)) {
        explorer_say(explorer, ROLE_DIM, back ? "Undone; r redoes it." : "Redone.");
        refresh(explorer);
    } else {
        explorer_say(explorer, ROLE_DIM, back ? "Nothing to undo." : "Nothing to redo.");
    }
}

static struct effect own_key(struct explorer *explorer, uint32_t key)
{
    for (int i = 0; i < view_count(); i++) {
        if (view_row(i)->key == key) {
            explorer_show_view(explorer, i);
            return effect_none();
        }
    }
    switch (key) {
    case '?':
        read_over(explorer, OVERLAY_HELP);
        break;
    case 'i':
        read_over(explorer, OVERLAY_EXPLAIN);
        break;
    case 'u':
        travel(explorer, true);
        break;
    case 'r':
        travel(explorer, false);
        break;
    case 'o':
        files_ask_open(explorer);
        break;
    case 's':
        return files_save(explorer);
    case 'S':
        files_ask_save(explorer);
        break;
    case 'x':
        files_ask_export(explorer);
        break;
    case 'q':
        return leave(explorer);
    case PRESS_ESCAPE:
        explorer_show_view(explorer, 0);
        break;
    default:
        break;
    }
    return effect_none();
}

static struct effect step_key(struct explorer *explorer, const struct event *event)
{
    struct layout layout = explorer_layout(explorer);
    if (explorer->overlay != OVERLAY_NONE) {
        return step_overlay(explorer, event->key);
    }
    if (layout.too_small) { /* what cannot be seen must not change */
        return event->key == 'q' ? leave(explorer) : effect_none();
    }
    const struct view *view = view_row(explorer->view);
    void *state = explorer->view_state[explorer->view];
    struct effect effect = effect_none();
    bool typing = view->typing && view->typing(state);
    if (explorer->lesson && !typing && lesson_key(explorer, event->key)) {
        return effect;
    }
    if (!typing) { /* what to type stays on the screen */
        explorer->message[0] = '\0';
    }
    if (view->handle(explorer, state, event, layout.body, &effect) == HANDLED) {
        return effect;
    }
    if (view->typing && view->typing(state)) {
        return effect;
    }
    return own_key(explorer, event->key);
}

static struct effect step_mouse(struct explorer *explorer, const struct event *event)
{
    struct layout layout = explorer_layout(explorer);
    if (layout.too_small) {
        return effect_none();
    }
    if (event->mouse == MOUSE_CLICK && rect_holds(layout.keys, event->row, event->column)) {
        uint32_t key = screen_key_at(explorer, event->row, event->column);
        struct event pressed = event_key(key);
        return key ? step_key(explorer, &pressed) : effect_none();
    }
    if (explorer->overlay != OVERLAY_NONE) {
        bool reading = explorer->overlay == OVERLAY_HELP || explorer->overlay == OVERLAY_EXPLAIN;
        static const uint32_t keys[] = {
            [MOUSE_CLICK] = 0, [MOUSE_WHEEL_UP] = PRESS_UP, [MOUSE_WHEEL_DOWN] = PRESS_DOWN};
        return reading && keys[event->mouse] ? step_overlay(explorer, keys[event->mouse])
                                             : effect_none();
    }
    struct effect effect = effect_none();
    if (rect_holds(layout.body, event->row, event->column)) {
        explorer->message[0] = '\0';
        view_row(explorer->view)
            ->handle(explorer, explorer->view_state[explorer->view], event, layout.body, &effect);
    }
    return effect;
}

static void tick(struct explorer *explorer, const struct event *event)
{
    struct layout layout = explorer_layout(explorer);
    struct effect ignored = effect_none();
    for (int i = 0; i < view_count(); i++) {
        void *state = explorer->view_state[i];
        if (state && view_row(i)->busy && view_row(i)->busy(state)) {
            view_row(i)->handle(explorer, state, event, layout.body, &ignored);
        }
    }
}

struct effect explorer_step(struct explorer *explorer, const struct event *event)
{
    switch (event->kind) {
    case EVENT_KEY:
        return step_key(explorer, event);
    case EVENT_MOUSE:
        return step_mouse(explorer, event);
    case EVENT_RESIZE:
        explorer->rows = event->rows > 0 ? event->rows : 0;
        explorer->columns = event->columns > 0 ? event->columns : 0;
        break;
    case EVENT_TICK:
        tick(explorer, event);
        break;
    case EVENT_INTERRUPT: /* asks like q; pressed again at the question, it leaves */
        if (explorer->overlay == OVERLAY_QUESTION) {
            return (struct effect){.kind = EFFECT_QUIT};
        }
        return leave(explorer);
    case EVENT_STOP:
        return (struct effect){.kind = EFFECT_QUIT};
    case EVENT_WAIT:
    case EVENT_NONE:
        break;
    }
    return effect_none();
}
