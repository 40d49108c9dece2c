/* The reading view on the grid: what the page says at the left, what follows at the right. */
#include "explorer/read/draw.h"

#include "explorer/frame/screen.h"

/* ---- The list. ---- */

static const struct {
    enum role role;
    const char *mark; /* so that colour never tells alone */
} kinds[READ_KIND_COUNT] = {
    [READ_CONTRADICTION] = {ROLE_BAD, "! "}, [READ_ENTRY] = {ROLE_PLAIN, ""},
    [READ_UNREAD] = {ROLE_WARN, "? "},       [READ_MISSING] = {ROLE_WARN, "- "},
    [READ_ASSUMED] = {ROLE_DIM, "= "},
};

static void draw_row(const struct read_state *state, struct grid *grid, struct rect list, int at,
                     int index)
{
    struct read_row row = read_row(state, index);
    bool selected = index == state->rows.at;
    enum role role = selected ? ROLE_SELECTED : kinds[row.kind].role;
    char words[320];
    if (row.entry) {
        char plp[16] = "", title[READING_TITLE_BYTES];
        if (row.entry->plp >= 0) {
            text_format(plp, sizeof plp, "PLP %d ", row.entry->plp);
        }
        text_format(words, sizeof words, "%s%s: %s%s%s%s", plp,
                    reading_title(row.entry, title, sizeof title), row.entry->value,
                    row.entry->unit[0] ? " " : "", row.entry->unit,
                    row.entry->guess ? " (guess)" : "");
    } else {
        text_format(words, sizeof words, "%s%s", kinds[row.kind].mark, row.line);
    }
    screen_mark(grid, at, list.column, selected);
    screen_fit(grid, at, list.column + 1, list.columns - 1, role, words);
}

static void draw_list(const struct read_state *state, struct grid *grid, struct rect list)
{
    const struct cursor *rows = &state->rows;
    if (list.rows < 1) {
        return;
    }
    screen_fit(grid, list.row, list.column + 1, list.columns - 1, ROLE_TITLE,
               "The page: ! wrong ? unread - missing");
    for (int i = 0; i + 1 < list.rows && rows->first + i < rows->count; i++) {
        draw_row(state, grid, list, list.row + 1 + i, rows->first + i);
    }
}

/* ---- The answer. ---- */

static void draw_answer(const struct read_state *state, struct grid *grid, struct rect answer)
{
    struct rect area = {answer.row, answer.column + 1, answer.rows, answer.columns - 1};
    screen_text(grid, area, ROLE_PLAIN, text_string(&state->answer), state->scroll.at);
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

void read_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    (void)desk;
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
        [READ_UNREAD] = "This was not understood and has no part in the answer.",
        [READ_MISSING] = "The page does not say this, and no figure assumes it.",
        [READ_ASSUMED] = "The page does not say this; the figures assume it.",
    };
    if (!state->read || state->rows.count == 0) {
        return;
    }
    struct read_row row = read_row(state, state->rows.at);
    if (row.entry) {
        if (longer) {
            text_printf(out, "%s\n\n", row.entry->text);
        }
        reading_write_meaning(row.entry, &state->reading, longer, out);
    } else {
        text_printf(out, "%s\n%s", row.line, others[row.kind]);
    }
}

void read_words(const struct desk *desk, const void *opaque, struct text *out)
{
    (void)desk;
    write_meaning(opaque, false, out);
}

void read_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    (void)desk;
    write_meaning(opaque, true, out);
}
