/* The reading view on the grid: what the page says at the left, what follows at the right. */
#include "explorer/frame/screen.h"
#include "explorer/read/state.h"
#include "study/explain/explain.h"

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

/* ---- The list. ---- */

static const struct {
    enum role role;
    const char *mark; /* so that colour never tells alone */
} kinds[READ_KIND_COUNT] = {
    [READ_CONTRADICTION] = {ROLE_BAD, "! "}, [READ_WRONG] = {ROLE_BAD, "! "},
    [READ_ENTRY] = {ROLE_PLAIN, ""},         [READ_UNREAD] = {ROLE_WARN, "? "},
    [READ_MISSING] = {ROLE_DIM, "- "},
};

static void draw_row(const struct read_state *state, struct grid *grid, struct rect list, int at,
                     int index)
{
    struct read_row row = read_row(state, index);
    bool selected = index == state->selected;
    enum role role = selected ? ROLE_SELECTED : kinds[row.kind].role;
    char words[320];
    if (row.entry) {
        const struct explanation *words_of = explain_find(row.entry->key);
        char plp[16] = "";
        if (row.entry->plp >= 0) {
            text_format(plp, sizeof plp, "PLP %d ", row.entry->plp);
        }
        text_format(words, sizeof words, "%s%s: %s", plp,
                    words_of ? words_of->title : row.entry->key, row.entry->value);
    } else {
        text_format(words, sizeof words, "%s%s", kinds[row.kind].mark, row.line);
    }
    grid_put(grid, at, list.column, selected ? 0x25B8 : ' ', ROLE_SELECTED);
    screen_fit(grid, at, list.column + 1, list.columns - 1, role, words);
}

static void draw_list(const struct read_state *state, struct grid *grid, struct rect list)
{
    int count = read_row_count(state);
    if (list.rows < 1) {
        return;
    }
    screen_fit(grid, list.row, list.column + 1, list.columns - 1, ROLE_TITLE,
               "The page (! cannot be, ? unread, - missing)");
    for (int i = 0; i + 1 < list.rows && state->first + i < count; i++) {
        draw_row(state, grid, list, list.row + 1 + i, state->first + i);
    }
}

/* ---- The answer. ---- */

static void write_answer(const struct read_state *state, struct text *out)
{
    reading_write_verdict(&state->reading, out);
    if (!state->reading.known) {
        return;
    }
    text_append(out, "\n\nWhat would break it: ");
    reading_write_limits(&state->reading, out);
    text_append(out, "\n\nWhat was given up: ");
    reading_write_cost(&state->reading, out);
}

static void draw_answer(const struct read_state *state, struct grid *grid, struct rect answer)
{
    struct text words = {0};
    struct rect area = {answer.row, answer.column + 1, answer.rows, answer.columns - 1};
    if (state->pasting) {
        text_printf(&words, "%zu bytes so far. Escape ends the page.\n\n", state->bytes.length);
    } else if (state->read) {
        write_answer(state, &words);
    } else {
        text_append(&words, "No page yet. v: paste or type what a receiver shows on its technical "
                            "page; Escape ends it. f: read it from a file.");
    }
    int rows =
        screen_text(grid, (struct rect){0, 0, 0, area.columns}, ROLE_PLAIN, text_string(&words), 0);
    int most = rows > area.rows ? rows - area.rows : 0;
    screen_text(grid, area, ROLE_PLAIN, text_string(&words),
                state->scroll < most ? state->scroll : most);
    text_free(&words);
}

/* The end of what is being pasted, cleaned like any page. */
static void draw_pasted(const struct read_state *state, struct grid *grid, struct rect list)
{
    struct text clean = {0};
    struct rect area = {list.row + 1, list.column + 1, list.rows - 1, list.columns - 1};
    const char *bytes = text_string(&state->bytes);
    size_t length = state->bytes.length, from = length > 2000 ? length - 2000 : 0;
    screen_fit(grid, list.row, list.column + 1, list.columns - 1, ROLE_TITLE, "Pasted so far");
    if (page_clean(bytes + from, length - from, &clean, NULL) == STATUS_OK) {
        int rows = screen_text(grid, (struct rect){0, 0, 0, area.columns}, ROLE_PLAIN,
                               text_string(&clean), 0);
        screen_text(grid, area, ROLE_PLAIN, text_string(&clean),
                    rows > area.rows ? rows - area.rows : 0);
    }
    text_free(&clean);
}

void read_draw(const struct explorer *explorer, const void *opaque, struct grid *grid,
               struct rect area)
{
    (void)explorer;
    const struct read_state *state = opaque;
    struct read_layout layout = read_layout(area);
    if (state->pasting) {
        draw_pasted(state, grid, layout.list);
    } else {
        draw_list(state, grid, layout.list);
    }
    screen_divider(grid, layout.divider);
    draw_answer(state, grid, layout.answer);
}

/* ---- Words. ---- */

static void write_meaning(const struct read_state *state, bool longer, struct text *out)
{
    static const char *const others[READ_KIND_COUNT] = {
        [READ_CONTRADICTION] = "This cannot be true together; the page is not guessed into shape.",
        [READ_WRONG] = "Such a value does not exist.",
        [READ_UNREAD] = "This was not understood and has no part in the answer.",
        [READ_MISSING] = "The page does not say this.",
    };
    if (!state->read || state->selected >= read_row_count(state)) {
        return;
    }
    struct read_row row = read_row(state, state->selected);
    if (row.entry) {
        if (longer) {
            text_printf(out, "%s\n\n", row.entry->text);
        }
        reading_write_meaning(row.entry, &state->reading, longer, out);
    } else {
        text_printf(out, "%s\n%s", row.line, others[row.kind]);
    }
}

void read_words(const struct explorer *explorer, const void *opaque, struct text *out)
{
    (void)explorer;
    write_meaning(opaque, false, out);
}

void read_long_words(const struct explorer *explorer, const void *opaque, struct text *out)
{
    (void)explorer;
    write_meaning(opaque, true, out);
}
