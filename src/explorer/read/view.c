/* The reading view: a receiver's technical page, pasted or from a file; what it says, what it
 * means, what cannot be; its mode to take over. */
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "explorer/frame/view.h"
#include "explorer/read/draw.h"
#include "study/page/picture.h"

static void open_read(const struct desk *desk, void *opaque)
{
    (void)desk;
    struct read_state *state = opaque;
    state->plp = -1;
}

static void close_read(void *opaque)
{
    struct read_state *state = opaque;
    errand_free(&state->picture);
    read_forget(state);
    weigh_space_free(&state->space);
    text_free(&state->bytes);
    text_free(&state->answer);
}

/* ---- A page from a file. ---- */

static void read_file(const struct call *call)
{
    struct read_state *state = call->owner;
    struct text bytes = {0};
    struct fault fault = {0};
    if (call->text[0] == '\0') {
        desk_say(call->desk, TONE_QUIET, "No name, nothing read.");
    } else if (file_read(call->text, PICTURE_BYTES_MAX, &bytes, &fault) != STATUS_OK) {
        desk_say_file_fault(call->desk, call->text, &fault);
        text_free(&bytes);
    } else {
        read_take(call->desk, state, call->text, &bytes);
    }
}

static void stop_picture(const struct call *call)
{
    struct read_state *state = call->owner;
    if (state->picture.pending) {
        errand_want(&state->picture, NULL, 0.0);
        desk_say(call->desk, TONE_QUIET, "Stopped: the picture is not read.");
    }
}

static void ask_file(const struct call *call)
{
    desk_ask_outside(call->desk, "Read a page from a file", "", read_file, call->owner);
}

/* ---- A page that is pasted. ---- */

static void begin_paste(const struct call *call)
{
    struct read_state *state = call->owner;
    text_clear(&state->bytes);
    read_forget(state);
    state->plp = -1;
    state->pasting = true;
    desk_say(call->desk, TONE_PLAIN, "Paste or type the page; Escape ends it.");
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

static void paste(const struct call *call)
{
    struct read_state *state = call->owner;
    if (call->key == PRESS_ESCAPE) {
        state->pasting = false;
        state->stale = true;
        desk_say(call->desk, TONE_GOOD, "Read what was pasted.");
    } else if (call->key == PRESS_BACKSPACE && state->bytes.length > 0) {
        state->bytes.data[--state->bytes.length] = '\0';
    } else if (state->bytes.length >= PAGE_BYTES_MAX) {
        desk_say(call->desk, TONE_WARN, "A page has at most 10 MB.");
    } else if (call->key == PRESS_ENTER || call->key == PRESS_TAB) {
        text_append(&state->bytes, call->key == PRESS_ENTER ? "\n" : "\t");
    } else if (call->key >= ' ' && call->key < PRESS_UP) {
        append_point(&state->bytes, call->key);
    }
}

static bool typing_read(const void *opaque)
{
    const struct read_state *state = opaque;
    return state->pasting;
}

/* ---- What is done with it. ---- */

/* All that decides what is sent is on the page, of a system that has a choice. */
static bool has_mode(const struct reading *reading)
{
    const struct reading_pipe *pipe = reading_chosen(reading);
    unsigned whole = KNOWS_FFT | KNOWS_GUARD | KNOWS_CODE;
    return pipe->settled.legal && !page_has_one_mode(&pipe->settled) &&
           (pipe->known & whole) == whole;
}

/* The settings of the system that the page is of; the other one's stay as they are. */
static void take_mode(const struct page_settled *settled, struct scenario *next)
{
    const char *section = system_of(&settled->scenario, settled->generation)->section;
    for (size_t i = 0; section && i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (strcmp(field->section, section) == 0) {
            field_put(field, next, field_number(field, &settled->scenario));
        }
    }
}

static void take_over(const struct call *call)
{
    const struct read_state *state = call->owner;
    if (!state->read || (!has_mode(&state->reading) && !state->reading.joined)) {
        desk_say(call->desk, TONE_WARN, "There is no mode to take over.");
        return;
    }
    struct scenario *next = malloc(sizeof *next);
    if (!next) {
        return;
    }
    const struct scenario *page = &reading_chosen(&state->reading)->settled.scenario;
    *next = call->desk->profile.scenario;
    scenario_set_pair(next, page->site.pair);
    next->site = page->site;
    if (state->reading.joined) {
        next->transmission = state->reading.transmission;
        next->dvbt2 = state->reading.dvbt2;
    } else {
        take_mode(&reading_chosen(&state->reading)->settled, next);
    }
    scenario_set_bandwidth(next, page->site.bandwidth_mhz);
    next->receiver.snr_db = page->receiver.snr_db;
    next->receiver.level_dbm = page->receiver.level_dbm;
    if (desk_change(call->desk, next)) {
        desk_say(call->desk, TONE_GOOD, "Taken over: channel, mode and readings; u goes back.");
    }
    free(next);
}

static void turn_plp(const struct call *call)
{
    struct read_state *state = call->owner;
    int plps[PAGE_PLP_MAX + 1];
    int count = state->read ? page_plps(&state->page, plps) : 0;
    if (count < 2) {
        desk_say(call->desk, TONE_QUIET, "The page does not name several PLPs.");
        return;
    }
    int at = 0;
    while (at < count && plps[at] != reading_chosen(&state->reading)->plp) {
        at++;
    }
    state->plp = plps[(at + 1) % count];
    state->stale = true;
}

static void select_row(const struct call *call)
{
    struct read_state *state = call->owner;
    cursor_key(&state->rows, call->key);
}

static void scroll(const struct call *call)
{
    struct read_state *state = call->owner;
    cursor_move(&state->scroll, call->key == PRESS_RIGHT ? 4 : -4);
}

static const struct key keys[] = {
    {"v", "paste", "paste or type a page; Escape ends it", "v", begin_paste},
    {"f", "file", "read a page from a file: text, PNG or JPEG", "f", ask_file},
    {"Enter", "take", "take over channel, mode and readings", "Enter", take_over},
    {"n", "PLP", "the next PLP of the page", "n", turn_plp},
    {"↑↓", "row", "select a row: its meaning stands below", KEYS_OF_A_LIST, select_row},
    {"Delete", NULL, "stop reading a picture", "Delete", stop_picture},
    {"←→", NULL, "scroll what follows from the page", "Right Left", scroll},
    {"mouse", NULL, "a click selects, the wheel moves", "", NULL},
    {0},
};

static void mouse(struct desk *desk, void *opaque, const struct event *event, struct rect area)
{
    (void)desk;
    struct read_state *state = opaque;
    struct read_layout layout = read_layout(area);
    int wheel = event_wheel(event);
    if (rect_holds(layout.answer, event->row, event->column)) {
        cursor_move(&state->scroll, wheel);
    } else if (rect_holds(layout.list, event->row, event->column)) {
        if (wheel != 0) {
            cursor_move(&state->rows, wheel);
        } else {
            cursor_click(&state->rows, event->row - layout.list.row - 1);
        }
    }
}

static bool busy_read(const void *opaque)
{
    const struct read_state *state = opaque;
    return state->picture.pending;
}

const struct view view_read = {
    .name = "read",
    .title = "Read a receiver's technical page",
    .key = 't',
    .about = "A page as receivers show it, in any order and form: labels and values, tables, one "
             "or many a line. At the left what it says, what cannot be, what was not understood "
             "and what is missing; at the right what follows from it.",
    .keys = keys,
    .state_size = sizeof(struct read_state),
    .open = open_read,
    .close = close_read,
    .update = read_update,
    .draw = read_draw,
    .mouse = mouse,
    .busy = busy_read,
    .words = read_words,
    .explain = read_explain,
    .typing = typing_read,
    .type = paste,
};
