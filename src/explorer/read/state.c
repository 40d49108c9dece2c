/* Reading the page that was pasted, and the words of what follows from it. */
#include "explorer/read/state.h"

#include <stdlib.h>

#include "explorer/frame/screen.h"
#include "study/page/picture.h"

struct read_layout read_layout(struct rect area)
{
    struct read_layout layout = {0};
    if (area.columns < 60) { /* one above the other */
        int top = area.rows / 2;
        layout.answer = (struct rect){area.row, area.column, area.rows - top, area.columns};
        layout.list = (struct rect){area.row + area.rows - top, area.column, top, area.columns};
        return layout;
    }
    int left = area.columns / 2;
    layout.list = (struct rect){area.row, area.column, area.rows, left};
    layout.divider = (struct rect){area.row, area.column + left, area.rows, 1};
    layout.answer =
        (struct rect){area.row, area.column + left + 1, area.rows, area.columns - left - 1};
    return layout;
}

/* ---- Reading. ---- */

void read_forget(struct read_state *state)
{
    if (state->read) {
        reading_free(&state->reading);
        page_free(&state->page);
        free(state->wrong.rows);
        state->wrong = (struct page_lines){0};
        state->read = false;
    }
}

static void read_page(struct desk *desk, struct read_state *state)
{
    struct fault fault = {0};
    struct scenario *base = malloc(sizeof *base);
    read_forget(state);
    enum status status = STATUS_NO_MEMORY;
    if (base) {
        enum pair pair = desk->profile.scenario.site.pair;
        *base = scenario_default_of(pair);
        status =
            page_read(text_string(&state->bytes), state->bytes.length, pair, &state->page, &fault);
        if (status == STATUS_OK) {
            status = reading_make(&state->page, state->plp, base, &state->space, &state->reading,
                                  &fault);
        }
        if (status == STATUS_OK) {
            status = reading_contradictions(&state->reading, &state->page, &state->wrong);
        }
    }
    free(base);
    state->read = status == STATUS_OK;
    state->stale = false;
    state->scroll.at = 0;
    if (!state->read) {
        page_free(&state->page);
        desk_say(desk, TONE_WARN, "The page cannot be read: %s.",
                 fault.wrong[0] ? fault.wrong : status_message(status));
    }
}

/* ---- A page from a file. ---- */

struct picture_box {
    char path[TYPING_BYTES];
    struct text bytes;
    enum status status;
    struct fault fault;
};

static bool keep_on(void *owner)
{
    return !job_is_stopped(owner);
}

static void read_letters(struct job *job, void *opaque)
{
    struct picture_box *box = opaque;
    const struct program_watch watch = {keep_on, job};
    box->status = page_take_picture(&box->bytes, &watch, &box->fault);
}

static void drop_picture(void *opaque)
{
    struct picture_box *box = opaque;
    text_free(&box->bytes);
}

static void take_text(struct desk *desk, struct read_state *state, const char *path,
                      struct text *bytes)
{
    text_free(&state->bytes);
    state->bytes = *bytes;
    *bytes = (struct text){0};
    state->plp = -1;
    state->rows.at = 0;
    state->stale = true;
    desk_say(desk, TONE_GOOD, "Read %s.", path);
}

void read_take(struct desk *desk, struct read_state *state, const char *path, struct text *bytes)
{
    if (!page_is_picture(bytes)) {
        take_text(desk, state, path, bytes);
        return;
    }
    struct picture_box *box = calloc(1, sizeof *box);
    if (box) {
        text_format(box->path, sizeof box->path, "%s", path);
        box->bytes = *bytes;
        *bytes = (struct text){0};
    }
    state->picture.work = read_letters;
    state->picture.drop = drop_picture;
    errand_want(&state->picture, box, 0.0);
    text_free(bytes);
}

static void look_for_letters(struct desk *desk, struct read_state *state)
{
    struct picture_box *box = errand_look(&state->picture) ? state->picture.done : NULL;
    if (box && box->status == STATUS_OK) {
        take_text(desk, state, box->path, &box->bytes);
    } else if (box) {
        desk_say_file_fault(desk, box->path, &box->fault);
    }
}

/* ---- Rows. ---- */

static const struct page_lines *lines_of(const struct read_state *state, enum read_row_kind kind)
{
    const struct page_settled *settled = &reading_chosen(&state->reading)->settled;
    return kind == READ_CONTRADICTION ? &state->wrong
           : kind == READ_UNREAD      ? &state->page.unread
           : kind == READ_MISSING     ? &settled->missing
                                      : &settled->assumed;
}

static size_t count_of(const struct read_state *state, enum read_row_kind kind)
{
    return kind == READ_ENTRY ? state->page.entry_count : lines_of(state, kind)->count;
}

static int row_count(const struct read_state *state)
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

/* ---- The answer. ---- */

static void write_part(const char *heading,
                       void (*write)(const struct reading *reading, struct text *out),
                       const struct reading *reading, struct text *out)
{
    struct text words = {0};
    write(reading, &words);
    if (words.length > 0) {
        text_printf(out, "\n\n%s%s", heading, text_string(&words));
    }
    out->failed |= words.failed;
    text_free(&words);
}

static void write_reading(const struct read_state *state, struct text *out)
{
    const struct reading *reading = &state->reading;
    reading_write_verdict(reading, out);
    text_append(out, "\n\n");
    reading_write_pipe(reading_chosen(reading), out);
    write_part("What would break it: ", reading_write_limits, reading, out);
    write_part("What would mend it: ", reading_write_mending, reading, out);
    write_part("The other generation: ", reading_write_other, reading, out);
    write_part("What was given up: ", reading_write_cost, reading, out);
}

static void write_answer(struct read_state *state)
{
    text_clear(&state->answer);
    if (state->pasting) {
        text_printf(&state->answer, "%zu bytes so far. Escape ends the page.\n\n",
                    state->bytes.length);
    } else if (state->picture.pending) {
        text_append(&state->answer, "Reading the letters of the picture with tesseract ... Delete "
                                    "stops it; meanwhile all else can be used.");
    } else if (state->read) {
        write_reading(state, &state->answer);
    } else {
        text_append(&state->answer,
                    "No page yet. v: paste or type what a receiver shows on its technical "
                    "page; Escape ends it. f: read it from a file.");
    }
}

void read_update(struct desk *desk, void *opaque, struct rect area)
{
    struct read_state *state = opaque;
    struct read_layout layout = read_layout(area);
    look_for_letters(desk, state);
    if (state->stale) {
        read_page(desk, state);
    }
    write_answer(state);
    struct grid none = {0};
    struct rect width = {0, 0, 0, layout.answer.columns - 1};
    int rows = screen_text(&none, width, ROLE_PLAIN, text_string(&state->answer), 0);
    cursor_fit(&state->scroll, rows - layout.answer.rows + 1, layout.answer.rows);
    cursor_fit(&state->rows, row_count(state), layout.list.rows - 1);
}
