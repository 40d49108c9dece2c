/* Events, and scripts of them for tests and dumps. */
#include "explorer/event.h"

#include <stdlib.h>
#include <string.h>

static const struct {
    const char *name;
    uint32_t key;
} names[] = {
    {"Up", PRESS_UP},
    {"Down", PRESS_DOWN},
    {"Left", PRESS_LEFT},
    {"Right", PRESS_RIGHT},
    {"PageUp", PRESS_PAGE_UP},
    {"PageDown", PRESS_PAGE_DOWN},
    {"Home", PRESS_HOME},
    {"End", PRESS_END},
    {"Enter", PRESS_ENTER},
    {"Escape", PRESS_ESCAPE},
    {"Tab", PRESS_TAB},
    {"BackTab", PRESS_BACK_TAB},
    {"Backspace", PRESS_BACKSPACE},
    {"Delete", PRESS_DELETE},
    {"Space", ' '},
};

struct event event_key(uint32_t key)
{
    return (struct event){.kind = EVENT_KEY, .key = key};
}

int event_wheel(const struct event *event)
{
    bool mouse = event->kind == EVENT_MOUSE;
    return !mouse ? 0 : (event->mouse == MOUSE_WHEEL_DOWN) - (event->mouse == MOUSE_WHEEL_UP);
}

static bool is_word(const char *word, size_t length, const char *name)
{
    return strlen(name) == length && memcmp(word, name, length) == 0;
}

/* "NAME:A,B" or "NAME:AxB": the two numbers behind the colon. */
static bool pair_after(const char *word, size_t length, const char *name, int *a, int *b)
{
    size_t named = strlen(name);
    if (length <= named || memcmp(word, name, named) != 0) {
        return false;
    }
    char *end;
    long first = strtol(word + named, &end, 10);
    if (end == word + named || (*end != ',' && *end != 'x')) {
        return false;
    }
    char *second_end;
    long second = strtol(end + 1, &second_end, 10);
    if (second_end != word + length || labs(first) > 10000 || labs(second) > 10000) {
        return false;
    }
    *a = (int)first;
    *b = (int)second;
    return true;
}

static bool named_event(const char *word, size_t length, struct event *event)
{
    static const struct {
        const char *name;
        enum event_kind kind;
    } kinds[] = {{"Tick", EVENT_TICK},
                 {"Wait", EVENT_WAIT},
                 {"Ctrl-C", EVENT_INTERRUPT},
                 {"Terminate", EVENT_STOP}};
    static const struct {
        const char *name;
        enum mouse_action action;
    } mouse[] = {
        {"Click:", MOUSE_CLICK}, {"WheelUp:", MOUSE_WHEEL_UP}, {"WheelDown:", MOUSE_WHEEL_DOWN}};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
        if (is_word(word, length, names[i].name)) {
            *event = event_key(names[i].key);
            return true;
        }
    }
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        if (is_word(word, length, kinds[i].name)) {
            *event = (struct event){.kind = kinds[i].kind};
            return true;
        }
    }
    *event = (struct event){.kind = EVENT_MOUSE};
    for (size_t i = 0; i < sizeof mouse / sizeof mouse[0]; i++) {
        if (pair_after(word, length, mouse[i].name, &event->row, &event->column)) {
            event->mouse = mouse[i].action;
            return true;
        }
    }
    *event = (struct event){.kind = EVENT_RESIZE};
    return pair_after(word, length, "Resize:", &event->rows, &event->columns);
}

bool script_next(struct script *script, struct event *event)
{
    if (!script->typing) {
        script->at += strspn(script->at, " \t\n");
        if (*script->at == '\0') {
            return false;
        }
        size_t length = strcspn(script->at, " \t\n");
        if (named_event(script->at, length, event)) {
            script->at += length;
            return true;
        }
        script->quoted = *script->at == '\'' && length > 1;
        if (script->quoted) {
            script->at++;
        } else if (length > 5 && memcmp(script->at, "text:", 5) == 0) {
            script->at += 5;
        }
        script->typing = true;
    }
    *event = event_key((unsigned char)*script->at);
    script->at++;
    if (script->quoted && *script->at == '\'') {
        script->at++;
        script->typing = script->quoted = false;
    }
    if (*script->at == '\0' || (!script->quoted && strchr(" \t\n", *script->at))) {
        script->typing = script->quoted = false;
    }
    return true;
}
