/* The reading view: a receiver's technical page, pasted or from a file; what it says, what it
 * means, what cannot be; its mode to take over. */
#include <stdlib.h>

#include "base/file.h"
#include "explorer/frame/screen.h"
#include "explorer/read/state.h"

/* ---- Opening, closing, reading. ---- */

static void *open_read(struct explorer *explorer)
{
    (void)explorer;
    struct read_state *state = calloc(1, sizeof *state);
    if (state) {
        state->plp = -1;
    }
    return state;
}

static void forget_reading(struct read_state *state)
{
    if (state->read) {
        reading_free(&state->reading);
        page_free(&state->page);
        state->read = false;
    }
}

static void close_read(void *opaque)
{
    struct read_state *state = opaque;
    forget_reading(state);
    weigh_space_free(&state->space);
    text_free(&state->bytes);
    free(state);
}

static void read_page(struct explorer *explorer, struct read_state *state)
{
    struct fault fault = {0};
    struct scenario *base = malloc(sizeof *base);
    forget_reading(state);
    enum status status = STATUS_NO_MEMORY;
    if (base) {
        *base = scenario_default();
        status = page_read(text_string(&state->bytes), state->bytes.length, &state->page, &fault);
        if (status == STATUS_OK) {
            status = reading_make(&state->page, state->plp, base, &state->space, &state->reading,
                                  &fault);
        }
    }
    free(base);
    state->read = status == STATUS_OK;
    if (!state->read) {
        page_free(&state->page);
        explorer_say(explorer, ROLE_BAD, "The page cannot be read: %s.",
                     fault.wrong[0] ? fault.wrong : status_message(status));
    }
}

static void update_read(struct explorer *explorer, void *opaque)
{
    struct read_state *state = opaque;
    if (state->stale) {
        state->stale = false;
        state->scroll = 0;
        read_page(explorer, state);
    }
    int count = read_row_count(state);
    state->selected = state->selected >= count ? count - 1 : state->selected;
    state->selected = state->selected < 0 ? 0 : state->selected;
    struct rect list = read_layout(explorer_layout(explorer).body).list;
    state->first = screen_scroll(state->first, state->selected, count, list.rows - 1);
}

/* ---- Rows. ---- */

static const struct page_lines *lines_of(const struct read_state *state, enum read_row_kind kind)
{
    return kind == READ_CONTRADICTION ? &state->reading.settled.contradictions
           : kind == READ_WRONG       ? &state->page.wrong
           : kind == READ_UNREAD      ? &state->page.unread
                                      : &state->reading.settled.missing;
}

static size_t count_of(const struct read_state *state, enum read_row_kind kind)
{
    return kind == READ_ENTRY ? state->page.entry_count : lines_of(state, kind)->count;
}

int read_row_count(const struct read_state *state)
{
    size_t count = 0;
    for (int kind = 0; state->read && kind < READ_KIND_COUNT; kind++) {
        count += count_of(state, (enum read_row_kind)kind);
    }
    return (int)count;
}

struct read_row read_row(const struct read_state *state, int row)
{
    size_t left = (size_t)row;
    int kind = 0;
    while (kind < READ_KIND_COUNT - 1 && left >= count_of(state, (enum read_row_kind)kind)) {
        left -= count_of(state, (enum read_row_kind)kind);
        kind++;
    }
    struct read_row found = {.kind = (enum read_row_kind)kind};
    if (found.kind == READ_ENTRY) {
        found.entry = &state->page.entries[left];
    } else {
        found.line = lines_of(state, found.kind)->rows[left];
    }
    return found;
}

/* ---- A file, or what is pasted. ---- */

static struct read_state *present_state(struct explorer *explorer)
{
    return view_row(explorer->view) == &view_read ? explorer->view_state[explorer->view] : NULL;
}

static void open_file(struct explorer *explorer, const char *path)
{
    struct read_state *state = present_state(explorer);
    struct text bytes = {0};
    struct fault fault = {0};
    if (!state) {
        return;
    }
    if (file_read(path, PAGE_BYTES_MAX, &bytes, &fault) != STATUS_OK) {
        explorer_say_file_fault(explorer, path, &fault);
        text_free(&bytes);
        return;
    }
    text_free(&state->bytes);
    state->bytes = bytes;
    state->plp = -1;
    state->selected = 0;
    state->stale = true;
    explorer_say(explorer, ROLE_GOOD, "Read %s.", path);
}

static struct effect open_named(struct explorer *explorer, const char *path)
{
    if (path[0] == '\0') {
        explorer_say(explorer, ROLE_DIM, "No name, nothing read.");
        return effect_none();
    }
    return effect_call(open_file, path);
}

static void append_point(struct text *out, uint32_t point)
{
    char bytes[5] = {0};
    if (point < 0x80) {
        bytes[0] = (char)point;
    } else if (point < 0x800) {
        bytes[0] = (char)(0xC0 | point >> 6);
        bytes[1] = (char)(0x80 | (point & 0x3F));
    } else if (point < 0x10000) {
        bytes[0] = (char)(0xE0 | point >> 12);
        bytes[1] = (char)(0x80 | (point >> 6 & 0x3F));
        bytes[2] = (char)(0x80 | (point & 0x3F));
    } else {
        bytes[0] = (char)(0xF0 | point >> 18);
        bytes[1] = (char)(0x80 | (point >> 12 & 0x3F));
        bytes[2] = (char)(0x80 | (point >> 6 & 0x3F));
        bytes[3] = (char)(0x80 | (point & 0x3F));
    }
    text_append(out, bytes);
}

static enum handled key_while_pasting(struct explorer *explorer, struct read_state *state,
                                      uint32_t key)
{
    if (key == PRESS_ESCAPE) {
        state->pasting = false;
        state->stale = true;
        explorer_say(explorer, ROLE_GOOD, "Read what was pasted.");
    } else if (state->bytes.length >= PAGE_BYTES_MAX) {
        explorer_say(explorer, ROLE_WARN, "A page has at most 10 MB.");
    } else if (key == PRESS_ENTER) {
        text_append(&state->bytes, "\n");
    } else if (key == PRESS_TAB) {
        text_append(&state->bytes, "\t");
    } else if (key == PRESS_BACKSPACE && state->bytes.length > 0) {
        state->bytes.data[--state->bytes.length] = '\0';
    } else if (key >= ' ' && key < PRESS_UP) {
        append_point(&state->bytes, key);
    }
    return HANDLED;
}

/* ---- Keys. ---- */

static void take_over(struct explorer *explorer, const struct read_state *state)
{
    if (!state->read || !state->reading.known || state->reading.settled.first_generation) {
        explorer_say(explorer, ROLE_WARN, "There is no mode to take over.");
        return;
    }
    struct scenario *next = malloc(sizeof *next);
    if (!next) {
        return;
    }
    const struct scenario *page = &state->reading.settled.scenario;
    *next = explorer->profile.scenario;
    next->site = page->site;
    next->mode = page->mode;
    next->receiver.snr_db = page->receiver.snr_db;
    next->receiver.level_dbm = page->receiver.level_dbm;
    if (explorer_change(explorer, next)) {
        explorer_say(explorer, ROLE_GOOD, "Taken over: channel, mode and readings; u goes back.");
    }
    free(next);
}

static void next_plp(struct explorer *explorer, struct read_state *state)
{
    int plps[PAGE_PLP_MAX + 1];
    int count = state->read ? page_plps(&state->page, plps) : 0;
    if (count < 2) {
        explorer_say(explorer, ROLE_DIM, "The page does not name several PLPs.");
        return;
    }
    int at = 0;
    while (at < count && plps[at] != state->reading.plp) {
        at++;
    }
    state->plp = plps[(at + 1) % count];
    state->stale = true;
}

static void move(struct read_state *state, int by)
{
    int last = read_row_count(state) - 1;
    int to = state->selected + by;
    state->selected = to > last ? last : to;
    state->selected = state->selected < 0 ? 0 : state->selected;
}

static enum handled key_press(struct explorer *explorer, struct read_state *state, uint32_t key)
{
    switch (key) {
    case PRESS_UP:
    case PRESS_DOWN:
        move(state, key == PRESS_DOWN ? 1 : -1);
        return HANDLED;
    case PRESS_PAGE_UP:
    case PRESS_PAGE_DOWN:
        move(state, key == PRESS_PAGE_DOWN ? 10 : -10);
        return HANDLED;
    case PRESS_HOME:
    case PRESS_END:
        move(state, key == PRESS_END ? 1000000 : -1000000);
        return HANDLED;
    case PRESS_LEFT:
    case PRESS_RIGHT:
        state->scroll += key == PRESS_RIGHT ? 4 : -4;
        state->scroll = state->scroll < 0 ? 0 : state->scroll > 40 ? 40 : state->scroll;
        return HANDLED;
    case PRESS_ENTER:
        take_over(explorer, state);
        return HANDLED;
    case 'n':
        next_plp(explorer, state);
        return HANDLED;
    case 'f':
        explorer_ask(explorer, "Read a page from a file", "", open_named);
        return HANDLED;
    case 'v':
        text_clear(&state->bytes);
        forget_reading(state);
        state->plp = -1;
        state->pasting = true;
        explorer_say(explorer, ROLE_PLAIN, "Paste or type the page; Escape ends it.");
        return HANDLED;
    default:
        return NOT_HANDLED;
    }
}

static enum handled handle_read(struct explorer *explorer, void *opaque, const struct event *event,
                                struct rect area, struct effect *effect)
{
    (void)effect;
    struct read_state *state = opaque;
    if (event->kind == EVENT_KEY) {
        return state->pasting ? key_while_pasting(explorer, state, event->key)
                              : key_press(explorer, state, event->key);
    }
    struct rect list = read_layout(area).list;
    if (event->kind != EVENT_MOUSE || !rect_holds(list, event->row, event->column)) {
        return NOT_HANDLED;
    }
    if (event->mouse == MOUSE_CLICK) {
        state->selected = state->first + event->row - list.row - 1;
        move(state, 0);
    } else {
        move(state, event->mouse == MOUSE_WHEEL_UP ? -1 : 1);
    }
    return HANDLED;
}

static bool typing_read(const void *opaque)
{
    const struct read_state *state = opaque;
    return state->pasting;
}

static const struct key_hint hints[] = {
    {"v", "paste", "paste or type a page; Escape ends it", 'v'},
    {"f", "file", "read a page from a file", 'f'},
    {"Enter", "take", "take over channel, mode and readings", PRESS_ENTER},
    {"n", "PLP", "the next PLP of the page", 'n'},
    {"↑↓", "row", "select a row: its meaning stands below", 0},
    {"←→", NULL, "scroll what follows from the page", 0},
    {"mouse", NULL, "a click selects, the wheel moves", 0},
    {NULL, NULL, NULL, 0},
};

const struct view view_read = {
    .name = "read",
    .title = "Read a receiver's technical page",
    .key = 't',
    .about = "A page as receivers show it, in any order and form: labels and values, tables, one "
             "or many a line. At the left what it says, what cannot be, what was not understood "
             "and what is missing; at the right what follows from it.",
    .hints = hints,
    .open = open_read,
    .close = close_read,
    .update = update_read,
    .draw = read_draw,
    .handle = handle_read,
    .words = read_words,
    .explain = read_long_words,
    .typing = typing_read,
};
