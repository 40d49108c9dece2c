#include "explorer/frame/screen.h"

#include "explorer/lesson.h"

#include <stdlib.h>
#include <string.h>

int screen_fit(struct grid *grid, int row, int column, int width, enum role role, const char *text)
{
    int columns = (int)text_columns(text);
    if (width <= 0) {
        return 0;
    }
    if (columns <= width) {
        return grid_write(grid, row, column, width, role, text);
    }
    /* Bytes of the first width - 1 columns, then back to the end of a word if one is near. */
    size_t bytes = 0, space = 0;
    for (int i = 0; i < width - 1; i++) {
        if (text[bytes] == ' ') {
            space = bytes;
        }
        do {
            bytes++;
        } while (((unsigned char)text[bytes] & 0xC0) == 0x80);
    }
    if (space > bytes / 2) {
        bytes = space;
    }
    char part[1024];
    text_format(part, sizeof part, "%.*s…", (int)(bytes < 1000 ? bytes : 1000), text);
    return grid_write(grid, row, column, width, role, part);
}

void screen_right(struct grid *grid, int row, int column, int width, enum role role,
                  const char *text)
{
    int columns = (int)text_columns(text);
    int start = columns < width ? column + width - columns : column;
    grid_write(grid, row, start, column + width - start, role, text);
}

void screen_fill(struct grid *grid, struct rect area, enum role role)
{
    for (int row = 0; row < area.rows; row++) {
        for (int column = 0; column < area.columns; column++) {
            grid_put(grid, area.row + row, area.column + column, ' ', role);
        }
    }
}

void screen_rule(struct grid *grid, struct rect area, const char *words)
{
    for (int column = 0; column < area.columns && area.rows > 0; column++) {
        grid_put(grid, area.row, area.column + column, 0x2500, ROLE_FRAME);
    }
    if (words[0] && area.rows > 0) {
        int written =
            grid_write(grid, area.row, area.column + 2, area.columns - 4, ROLE_FRAME, " ");
        written += grid_write(grid, area.row, area.column + 2 + written, area.columns - 4 - written,
                              ROLE_DIM, words);
        grid_write(grid, area.row, area.column + 2 + written, area.columns - 2 - written,
                   ROLE_FRAME, " ");
    }
}

void screen_divider(struct grid *grid, struct rect area)
{
    for (int row = 0; row < area.rows && area.columns > 0; row++) {
        grid_put(grid, area.row + row, area.column, 0x2502, ROLE_FRAME);
    }
}

int screen_scroll(int first, int selected, int count, int rows)
{
    if (rows <= 0) {
        return selected;
    }
    if (selected < first) {
        first = selected;
    }
    if (selected >= first + rows) {
        first = selected - rows + 1;
    }
    if (first > count - rows) {
        first = count - rows;
    }
    return first > 0 ? first : 0;
}

/* ---- Long texts are drawn aside and then moved into place. ---- */

static void copy_rows(const struct grid *from, int skip, struct grid *grid, struct rect area)
{
    for (int row = 0; row < area.rows && row + skip < from->rows; row++) {
        for (int column = 0; column < area.columns && column < from->columns; column++) {
            const struct grid_cell *cell = &from->cells[(row + skip) * from->columns + column];
            grid_put(grid, area.row + row, area.column + column, cell->glyph,
                     (enum role)cell->role);
        }
    }
}

#define TEXT_ROWS_MAX 400

int screen_text(struct grid *grid, struct rect area, enum role role, const char *text, int skip)
{
    struct grid aside = {.ascii = grid->ascii};
    if (area.columns <= 0 || !grid_resize(&aside, TEXT_ROWS_MAX, area.columns)) {
        return 0;
    }
    int rows =
        grid_write_wrapped(&aside, (struct rect){0, 0, TEXT_ROWS_MAX, area.columns}, role, text);
    copy_rows(&aside, skip, grid, area);
    grid_free(&aside);
    return rows;
}

/* ---- The frame around every view. ---- */

static void draw_title(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const struct site *site = &explorer->profile.scenario.site;
    const struct view *view = view_row(explorer->view);
    const char *path = explorer->path[0] ? explorer->path : "new profile";
    const char *slash = strrchr(path, '/');
    char channel[32] = "", right[96];
    if (site->rf_channel > 0) {
        text_format(channel, sizeof channel, "RF %d, ", site->rf_channel);
    }
    text_format(right, sizeof right, "%s%.1f MHz, %s ", channel, site->center_mhz,
                band_name(rf_band(site->center_mhz)));
    int end = area.column + area.columns - (int)text_columns(right);
    int column = area.column + 1;
    column += grid_write(grid, area.row, column, -1, ROLE_TITLE, "guardspan") + 2;
    column += screen_fit(grid, area.row, column, end - column - 2, ROLE_PLAIN,
                         slash && slash[1] ? slash + 1 : path);
    column += grid_write(grid, area.row, column, -1, ROLE_WARN, explorer->changed ? "*" : "") + 2;
    if (column + (int)text_columns(view->title) < end) {
        grid_write(grid, area.row, column, -1, ROLE_DIM, view->title);
    }
    if (end > column) {
        grid_write(grid, area.row, end, -1, ROLE_PLAIN, right);
    }
}

/* Marks a row as going on: "…" behind its last character. */
static void mark_cut(struct grid *grid, int row, int first, int end)
{
    int column = end;
    while (column > first && grid->cells[row * grid->columns + column - 1].glyph == ' ') {
        column--;
    }
    grid_put(grid, row, column < end ? column : end - 1, 0x2026, ROLE_PLAIN);
}

/* The lines that a view gives, as many as fit; where not even the first one does, it is cut. */
static void draw_lines(struct grid *grid, struct rect area, struct text *text)
{
    struct rect none = {0, 0, 0, area.columns};
    while (text->length > 0 &&
           screen_text(grid, none, ROLE_PLAIN, text_string(text), 0) > area.rows) {
        char *last = strrchr(text->data, '\n');
        if (!last) {
            break;
        }
        *last = '\0';
        text->length = (size_t)(last - text->data);
    }
    if (screen_text(grid, area, ROLE_PLAIN, text_string(text), 0) > area.rows) {
        mark_cut(grid, area.row + area.rows - 1, area.column, area.column + area.columns);
    }
}

static void draw_words(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const struct view *view = view_row(explorer->view);
    struct rect words = {area.row, area.column + 1, area.rows, area.columns - 2};
    if (explorer->message[0]) {
        words.rows--;
        screen_fit(grid, area.row + words.rows, words.column, words.columns, explorer->message_role,
                   explorer->message);
    }
    if (view->words && words.rows > 0) {
        struct text text = {0};
        view->words(explorer, explorer->view_state[explorer->view], &text);
        draw_lines(grid, words, &text);
        text_free(&text);
    }
}

/* ---- The keys at the bottom. First line: the view's, then those that must always be there; second
 * line: the views, then the explorer's other keys. ---- */

struct hint_place {
    const char *keys, *what;
    uint32_t key;
    int row, column, width;
};

#define HINTS_MAX 40

struct hint_places {
    int count;
    struct hint_place places[HINTS_MAX];
    char names[VIEWS_MAX][2];
};

static int hint_width(const char *keys, const char *what)
{
    return (int)(text_columns(keys) + 1 + text_columns(what));
}

/* Puts a key where the last one of its row ended; false when it does not fit before `end`. */
static bool place_hint(struct hint_places *hints, const char *keys, const char *what, uint32_t key,
                       int row, int end)
{
    int column = 1, width = hint_width(keys, what);
    if (hints->count > 0 && hints->places[hints->count - 1].row == row) {
        const struct hint_place *last = &hints->places[hints->count - 1];
        column = last->column + last->width + 2;
    }
    if (column + width > end || hints->count == HINTS_MAX) {
        return false;
    }
    hints->places[hints->count++] = (struct hint_place){keys, what, key, row, column, width};
    return true;
}

static void place_hints(const struct explorer *explorer, struct rect area,
                        struct hint_places *hints)
{
    int end = area.columns - 1, always = 0;
    int from = area.columns < 60 ? EXPLORER_KEYS_ALWAYS - 2 : 0; /* at least help and quit */
    hints->count = 0;
    for (int i = from; i < EXPLORER_KEYS_ALWAYS; i++) {
        always += hint_width(explorer_keys[i].keys, explorer_keys[i].what) + 2;
    }
    for (const struct key_hint *hint = view_row(explorer->view)->hints; hint->keys; hint++) {
        if (hint->what &&
            !place_hint(hints, hint->keys, hint->what, hint->key, area.row, end - always)) {
            break;
        }
    }
    for (int i = from; i < EXPLORER_KEYS_ALWAYS; i++) {
        place_hint(hints, explorer_keys[i].keys, explorer_keys[i].what, explorer_keys[i].key,
                   area.row, end);
    }
    for (int i = 0; i < view_count() && area.rows > 1; i++) {
        text_format(hints->names[i], sizeof hints->names[i], "%c", (int)view_row(i)->key);
        place_hint(hints, hints->names[i], view_row(i)->name, view_row(i)->key, area.row + 1, end);
    }
    for (const struct key_hint *hint = explorer_keys + EXPLORER_KEYS_ALWAYS;
         hint->keys && area.rows > 1; hint++) {
        if (hint->what) {
            place_hint(hints, hint->keys, hint->what, hint->key, area.row + 1, end);
        }
    }
}

static void draw_keys(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    struct hint_places hints;
    place_hints(explorer, area, &hints);
    for (int i = 0; i < hints.count; i++) {
        const struct hint_place *place = &hints.places[i];
        bool shown = place->row > area.row && place->key == view_row(explorer->view)->key;
        int written = grid_write(grid, place->row, place->column, -1, ROLE_KEY, place->keys);
        grid_write(grid, place->row, place->column + written + 1, -1, shown ? ROLE_TITLE : ROLE_DIM,
                   place->what);
        if (shown) { /* brackets, so that the open view is seen without colour */
            grid_put(grid, place->row, place->column - 1, '[', ROLE_FRAME);
            grid_put(grid, place->row, place->column + place->width, ']', ROLE_FRAME);
        }
    }
}

uint32_t screen_key_at(const struct explorer *explorer, int row, int column)
{
    struct layout layout = explorer_layout(explorer);
    struct hint_places hints;
    place_hints(explorer, layout.keys, &hints);
    for (int i = 0; i < hints.count; i++) {
        const struct hint_place *place = &hints.places[i];
        if (row == place->row && column >= place->column && column < place->column + place->width) {
            return place->key;
        }
    }
    return 0;
}

/* ---- Boxes over the view. ---- */

/* A framed box in the middle of the body, `rows` high inside if that fits; returns its inside. */
static struct rect draw_box(struct grid *grid, struct rect body, int rows, const char *title,
                            const char *footer)
{
    int columns = body.columns > 100 ? 92 : body.columns - 4;
    if (rows > body.rows - 2) {
        rows = body.rows - 2;
    }
    struct rect box = {body.row + (body.rows - rows - 2) / 2,
                       body.column + (body.columns - columns) / 2, rows + 2, columns};
    screen_fill(grid, box, ROLE_PLAIN);
    int right = box.column + columns - 1, bottom = box.row + rows + 1;
    for (int i = 1; i < columns - 1; i++) {
        grid_put(grid, box.row, box.column + i, 0x2500, ROLE_FRAME);
        grid_put(grid, bottom, box.column + i, 0x2500, ROLE_FRAME);
    }
    for (int i = 1; i <= rows; i++) {
        grid_put(grid, box.row + i, box.column, 0x2502, ROLE_FRAME);
        grid_put(grid, box.row + i, right, 0x2502, ROLE_FRAME);
    }
    grid_put(grid, box.row, box.column, 0x250C, ROLE_FRAME);
    grid_put(grid, box.row, right, 0x2510, ROLE_FRAME);
    grid_put(grid, bottom, box.column, 0x2514, ROLE_FRAME);
    grid_put(grid, bottom, right, 0x2518, ROLE_FRAME);
    grid_printf(grid, box.row, box.column + 2, columns - 4, ROLE_TITLE, " %s ", title);
    grid_printf(grid, bottom, box.column + 2, columns - 4, ROLE_DIM, " %s ", footer);
    return (struct rect){box.row + 1, box.column + 2, rows, columns - 4};
}

#define HELP_KEYS_COLUMNS 14

static int help_keys(struct grid *aside, int row, const struct key_hint *hints)
{
    for (; hints->keys; hints++) {
        grid_write(aside, row, 0, HELP_KEYS_COLUMNS - 2, ROLE_KEY, hints->keys);
        struct rect area = {row, HELP_KEYS_COLUMNS, aside->rows - row,
                            aside->columns - HELP_KEYS_COLUMNS};
        int rows = grid_write_wrapped(aside, area, ROLE_PLAIN, hints->help);
        row += rows > 0 ? rows : 1;
    }
    return row;
}

static const char cautions[] =
    "Predictions are planning aids, not measurements. Transmission parameters, power and antennas "
    "are licensed: local rules and a licensed engineer decide. Antenna and mast work near power "
    "lines, at height or in storms can kill; keep clear of radiating antennas.";

static int help_rows(const struct explorer *explorer, struct grid *aside)
{
    const struct view *view = view_row(explorer->view);
    struct rect area = {0, 0, aside->rows, aside->columns};
    int row = grid_write_wrapped(aside, area, ROLE_PLAIN, view->about) + 1;
    row = help_keys(aside, row, view->hints) + 1;
    grid_write(aside, row++, 0, -1, ROLE_TITLE, "In every view");
    row = help_keys(aside, row, explorer_keys) + 1;
    grid_write(aside, row++, 0, -1, ROLE_TITLE, "Views");
    for (int i = 0; i < view_count(); i++, row++) {
        grid_printf(aside, row, 0, -1, ROLE_KEY, "%c", (int)view_row(i)->key);
        grid_write(aside, row, HELP_KEYS_COLUMNS, -1, ROLE_PLAIN, view_row(i)->title);
    }
    area.row = ++row;
    area.rows = aside->rows - row;
    return row + grid_write_wrapped(aside, area, ROLE_DIM, cautions);
}

static void draw_help(struct explorer *explorer, struct grid *grid, struct rect body)
{
    struct rect inside = draw_box(grid, body, body.rows, "Help", "↑↓ more, Escape closes");
    struct grid aside = {.ascii = grid->ascii};
    if (!grid_resize(&aside, TEXT_ROWS_MAX, inside.columns)) {
        return;
    }
    int most = help_rows(explorer, &aside) - inside.rows;
    if (explorer->overlay_scroll > most) {
        explorer->overlay_scroll = most > 0 ? most : 0;
    }
    copy_rows(&aside, explorer->overlay_scroll, grid, inside);
    grid_free(&aside);
}

static void draw_explanation(struct explorer *explorer, struct grid *grid, struct rect body)
{
    const struct view *view = view_row(explorer->view);
    struct text text = {0};
    if (view->explain) {
        view->explain(explorer, explorer->view_state[explorer->view], &text);
    }
    if (text.length == 0) {
        text_append(&text, "Nothing is selected that has a longer explanation.");
    }
    int columns = body.columns > 100 ? 88 : body.columns - 8;
    int rows =
        screen_text(grid, (struct rect){0, 0, 0, columns}, ROLE_PLAIN, text_string(&text), 0);
    struct rect inside =
        draw_box(grid, body, rows, "Explanation",
                 rows > body.rows - 2 ? "↑↓ more, Escape closes" : "Escape closes");
    int most = rows - inside.rows;
    if (explorer->overlay_scroll > most) {
        explorer->overlay_scroll = most > 0 ? most : 0;
    }
    screen_text(grid, inside, ROLE_PLAIN, text_string(&text), explorer->overlay_scroll);
    text_free(&text);
}

static void draw_prompt(struct explorer *explorer, struct grid *grid, struct rect body)
{
    struct rect inside =
        draw_box(grid, body, 1, explorer->prompt.label, "Enter, or Escape to leave");
    field_draw(&explorer->prompt.field, grid, inside.row, inside.column, inside.columns);
}

static const char question[] = "Not everything is saved: s saves and leaves, d leaves without "
                               "saving, Escape stays.";

static void draw_question(struct explorer *explorer, struct grid *grid, struct rect body)
{
    (void)explorer;
    struct rect inside =
        draw_box(grid, body, body.columns > 90 ? 1 : 3, "Leave?", "s, d or Escape");
    grid_write_wrapped(grid, inside, ROLE_WARN, question);
}

static void draw_too_small(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    if (explorer->overlay == OVERLAY_QUESTION) {
        grid_write_wrapped(grid, area, ROLE_WARN, "Not saved: s save, d discard, Escape stay.");
        return;
    }
    char text[160];
    text_format(text, sizeof text, "%dx%d is too small. guardspan needs %dx%d. q quits.",
                explorer->columns, explorer->rows, LAYOUT_COLUMNS_MIN, LAYOUT_ROWS_MIN);
    grid_write_wrapped(grid, area, ROLE_PLAIN, text);
}

bool explorer_draw(struct explorer *explorer, struct grid *grid)
{
    grid->ascii = explorer->ascii;
    if ((grid->rows != explorer->rows || grid->columns != explorer->columns) &&
        !grid_resize(grid, explorer->rows, explorer->columns)) {
        return false;
    }
    grid_clear(grid);
    struct layout layout = explorer_layout(explorer);
    if (layout.too_small) {
        draw_too_small(explorer, grid, layout.body);
        return true;
    }
    const struct view *view = view_row(explorer->view);
    void *state = explorer->view_state[explorer->view];
    view->update(explorer, state);
    draw_title(explorer, grid, layout.title);
    view->draw(explorer, state, grid, layout.body);
    if (explorer->lesson) {
        lesson_draw(explorer, grid, layout.words);
    } else {
        draw_words(explorer, grid, layout.words);
    }
    draw_keys(explorer, grid, layout.keys);
    static void (*const overlays[])(struct explorer *, struct grid *, struct rect) = {
        [OVERLAY_HELP] = draw_help,
        [OVERLAY_EXPLAIN] = draw_explanation,
        [OVERLAY_PROMPT] = draw_prompt,
        [OVERLAY_QUESTION] = draw_question,
    };
    if (explorer->overlay != OVERLAY_NONE) {
        overlays[explorer->overlay](explorer, grid, layout.body);
    }
    return true;
}
