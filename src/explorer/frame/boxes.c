/* What lies over a view: help, an explanation, a line to type in, the question before leaving. */
#include <string.h>

#include "explorer/frame/frame.h"
#include "explorer/frame/screen.h"
#include "explorer/keys.h"
#include "explorer/lesson.h"
#include "present/picture/pictures.h"

/* Where a box of `rows` inside stands in the middle of the body, if that fits. */
static struct rect place_box(struct rect body, int rows)
{
    int columns = body.columns > 100 ? 92 : body.columns - 4;
    rows = rows < body.rows - 2 ? rows : body.rows - 2;
    return (struct rect){body.row + (body.rows - rows - 2) / 2,
                         body.column + (body.columns - columns) / 2, rows + 2, columns};
}

static struct rect inside_of(struct rect box)
{
    return (struct rect){box.row + 1, box.column + 2, box.rows - 2, box.columns - 4};
}

static void draw_frame(struct grid *grid, struct rect box, const char *title, const char *footer)
{
    int right = box.column + box.columns - 1, bottom = box.row + box.rows - 1;
    screen_fill(grid, box, ROLE_PLAIN);
    for (int column = box.column + 1; column < right; column++) {
        grid_put(grid, box.row, column, 0x2500, ROLE_FRAME);
        grid_put(grid, bottom, column, 0x2500, ROLE_FRAME);
    }
    for (int row = box.row + 1; row < bottom; row++) {
        grid_put(grid, row, box.column, 0x2502, ROLE_FRAME);
        grid_put(grid, row, right, 0x2502, ROLE_FRAME);
    }
    grid_put(grid, box.row, box.column, 0x250C, ROLE_FRAME);
    grid_put(grid, box.row, right, 0x2510, ROLE_FRAME);
    grid_put(grid, bottom, box.column, 0x2514, ROLE_FRAME);
    grid_put(grid, bottom, right, 0x2518, ROLE_FRAME);
    grid_printf(grid, box.row, box.column + 2, box.columns - 4, ROLE_TITLE, " %s ", title);
    grid_printf(grid, bottom, box.column + 2, box.columns - 4, ROLE_DIM, " %s ", footer);
}

/* ---- Pages to read: help and explanation, made whole and then shown from a row on. ---- */

#define HELP_KEYS_COLUMNS 14

/* `view` NULL: they are none of a view's, and all are told. */
static int write_keys(const struct desk *desk, const struct view *view, struct grid *page, int row,
                      const struct key *keys)
{
    for (; keys->keys; keys++) {
        if (view && view->tells && !view->tells(desk, keys)) {
            continue;
        }
        grid_write(page, row, 0, HELP_KEYS_COLUMNS - 2, ROLE_KEY, keys->keys);
        struct rect area = {row, HELP_KEYS_COLUMNS, page->rows - row,
                            page->columns - HELP_KEYS_COLUMNS};
        int rows = grid_write_wrapped(page, area, ROLE_PLAIN, keys->help);
        row += rows > 0 ? rows : 1;
    }
    return row;
}

static const char cautions[] =
    "Predictions are planning aids, not measurements. Transmission parameters, power and antennas "
    "are licensed: local rules and a licensed engineer decide. Antenna and mast work near power "
    "lines, at height or in storms can kill; keep clear of radiating antennas.";

/* What the view's rules and the title name, where they may lack the room to name it whole. */
static int write_names(const struct explorer *explorer, struct grid *page, int row)
{
    const struct view *view = view_row(explorer->view);
    struct text names = {0};
    for (size_t i = 0; i < picture_kind_count(); i++) {
        const struct picture_kind *kind = picture_kind_row(i);
        if (kind->view && strcmp(kind->view, view->name) == 0) {
            text_printf(&names, "%s%s", names.length ? ", " : "Pictures: ", kind->title);
        }
    }
    text_printf(&names, "%sFile: %s", names.length ? ".\n" : "",
                explorer->desk.path[0] ? explorer->desk.path : "none yet");
    struct rect area = {row, 0, page->rows - row, page->columns};
    row += grid_write_wrapped(page, area, ROLE_PLAIN, text_string(&names));
    text_free(&names);
    return row;
}

static int write_help(const struct explorer *explorer, struct grid *page)
{
    const struct view *view = view_row(explorer->view);
    struct rect area = {0, 0, page->rows, page->columns};
    int row = grid_write_wrapped(page, area, ROLE_PLAIN, view->about) + 1;
    row = write_names(explorer, page, row) + 1;
    row = write_keys(&explorer->desk, view, page, row, view->keys) + 1;
    if (explorer->lesson) {
        grid_write(page, row++, 0, -1, ROLE_TITLE, "In a lesson");
        row = write_keys(&explorer->desk, NULL, page, row, lesson_keys) + 1;
    }
    grid_write(page, row++, 0, -1, ROLE_TITLE, "In every view");
    row = write_keys(&explorer->desk, NULL, page, row, explorer_keys) + 1;
    grid_write(page, row++, 0, -1, ROLE_TITLE, "Views");
    for (int i = 0; i < view_count(); i++, row++) {
        grid_printf(page, row, 0, -1, ROLE_KEY, "%c", (int)view_row(i)->key);
        grid_write(page, row, HELP_KEYS_COLUMNS, -1, ROLE_PLAIN, view_row(i)->title);
    }
    area.row = ++row;
    area.rows = page->rows - row;
    return row + grid_write_wrapped(page, area, ROLE_DIM, cautions);
}

/* The lines of the words below the view that the explanation does not hold: these may have had no
 * room there. */
static void append_new(const char *words, const char *explanation, struct text *out)
{
    bool any = false;
    while (*words) {
        char line[1024];
        size_t length = strcspn(words, "\n");
        text_format(line, sizeof line, "%.*s", (int)length, words);
        if (line[0] && !strstr(explanation, line)) {
            text_printf(out, "%s\n", line);
            any = true;
        }
        words += length + (words[length] == '\n');
    }
    text_append(out, any ? "\n" : "");
}

/* The picture's title and note: below the picture there may have been no room for them. */
static void append_picture(const struct explorer *explorer, struct text *out)
{
    const struct view *view = view_row(explorer->view);
    struct picture picture = {0};
    if (view->picture == NULL ||
        !view->picture(&explorer->desk, explorer->view_state[explorer->view], &picture)) {
        return;
    }
    if (picture.note[0]) {
        text_printf(out, "%sThe picture, %s: %s\n", out->length > 0 ? "\n" : "", picture.title,
                    picture.note);
    }
    picture_free(&picture);
}

static int write_explanation(const struct explorer *explorer, struct grid *page)
{
    const struct view *view = view_row(explorer->view);
    struct rect area = {0, 0, page->rows, page->columns};
    struct text text = {0}, words = {0}, long_words = {0};
    const void *state = explorer->view_state[explorer->view];
    if (explorer->lesson) {
        text_printf(&text, "%s\n\n", explorer->lesson->scene.text);
    }
    if (explorer->said[0]) {
        text_printf(&text, "%s\n\n", explorer->said);
    }
    if (view->words) {
        view->words(&explorer->desk, state, &words);
    }
    if (view->explain) {
        view->explain(&explorer->desk, state, &long_words);
    }
    append_new(text_string(&words), text_string(&long_words), &text);
    text_append(&text, text_string(&long_words));
    append_picture(explorer, &text);
    text.failed |= words.failed || long_words.failed;
    text_free(&words);
    text_free(&long_words);
    if (text.length == 0) {
        text_append(&text, "Nothing is selected that has a longer explanation.");
    }
    int rows = grid_write_wrapped(page, area, ROLE_PLAIN, text_string(&text));
    text_free(&text);
    return rows;
}

/* A page's row count while it is shown is that of the grid it is kept in. */
void frame_update_page(struct explorer *explorer, struct rect body)
{
    bool help = explorer->box == BOX_HELP;
    if (!help && explorer->box != BOX_EXPLANATION) {
        return;
    }
    struct rect inside = inside_of(place_box(body, body.rows));
    explorer->page.ascii = explorer->ascii;
    if (!grid_resize(&explorer->page, SCREEN_TEXT_ROWS, inside.columns)) {
        return;
    }
    grid_clear(&explorer->page);
    int rows = (help ? write_help : write_explanation)(explorer, &explorer->page);
    explorer->page_rows = rows;
    /* The cursor stands at the first row shown. */
    cursor_fit(&explorer->reading, rows - inside.rows + 1, inside.rows);
}

static void draw_page(const struct explorer *explorer, struct grid *grid, struct rect body)
{
    bool help = explorer->box == BOX_HELP;
    struct rect box = place_box(body, help ? body.rows : explorer->page_rows);
    draw_frame(grid, box, help ? "Help" : "Explanation",
               explorer->page_rows > box.rows - 2 ? "↑↓ more, Escape closes" : "Escape closes");
    screen_copy(grid, inside_of(box), &explorer->page, explorer->reading.at);
}

/* ---- What asks. ---- */

/* What it is about and every reply in words; returns the rows that it takes. */
static int write_question(const struct question *question, struct grid *grid, struct rect area)
{
    struct text words = {0};
    bool stays = false; /* a reply says that nothing happens; else Escape does so */
    text_append(&words, question->text);
    for (const struct reply *reply = question->replies; reply->what; reply++) {
        text_printf(&words, "%s %s", reply == question->replies ? "" : ",", reply->what);
        stays = stays || !reply->done;
    }
    text_append(&words, stays ? "." : ", Escape leaves both as they are.");
    int rows = screen_text(grid, area, ROLE_WARN, text_string(&words), 0);
    text_free(&words);
    return rows;
}

static void draw_question(const struct question *question, struct grid *grid, struct rect body)
{
    struct grid none = {.ascii = grid->ascii};
    struct rect width = inside_of(place_box(body, 1));
    width.rows = 0;
    struct rect box = place_box(body, write_question(question, &none, width));
    draw_frame(grid, box, question->title, "press one of these keys");
    write_question(question, grid, inside_of(box));
}

/* ---- A list to choose from: the line to type in, the rows page by page, and below them what is
 * said of the selected one, all of it. ---- */

#define OFFER_WORDS_ROWS 4

struct offer_layout {
    struct rect box, typing, rows, words;
    int first; /* row shown at the top */
};

static struct offer_layout lay_out_offer(struct rect body, const struct offer *offer)
{
    struct offer_layout layout = {.box = place_box(body, body.rows)};
    struct rect inside = inside_of(layout.box);
    int words = inside.rows >= 10 ? OFFER_WORDS_ROWS : inside.rows >= 4 ? 1 : 0;
    layout.typing = layout.rows = layout.words = inside;
    layout.typing.rows = 1;
    layout.rows.row++;
    layout.rows.rows = inside.rows - 1 - words;
    layout.words.row = inside.row + inside.rows - words;
    layout.words.rows = words;
    int page = layout.rows.rows > 0 ? layout.rows.rows : 1;
    layout.first = offer->at / page * page;
    return layout;
}

int frame_offer_at(struct rect body, const struct offer *offer, int row, int column)
{
    struct offer_layout layout = lay_out_offer(body, offer);
    int n = layout.first + row - layout.rows.row;
    return rect_holds(layout.rows, row, column) && n < offer->shown_count ? n : -1;
}

#define OFFER_NAME_COLUMNS 34

static void draw_offer(const struct prompt *prompt, struct grid *grid, struct rect body)
{
    const struct offer *offer = &prompt->offer;
    struct offer_layout layout = lay_out_offer(body, offer);
    struct rect rows = layout.rows;
    char footer[96];
    text_format(footer, sizeof footer, "%d of %d; type to find, ↑↓ Enter, Escape",
                offer->shown_count > 0 ? offer->at + 1 : 0, offer->shown_count);
    draw_frame(grid, layout.box, prompt->label, footer);
    screen_typing(grid, layout.typing.row, layout.typing.column, layout.typing.columns,
                  &prompt->typing);
    for (int i = 0; i < rows.rows; i++) {
        const struct offered *row = offer_row(offer, layout.first + i);
        if (row) {
            bool selected = layout.first + i == offer->at;
            int name = rows.columns < 60 ? rows.columns - 1 : OFFER_NAME_COLUMNS;
            screen_mark(grid, rows.row + i, rows.column, selected);
            screen_fit(grid, rows.row + i, rows.column + 1, name - 1,
                       selected ? ROLE_SELECTED : ROLE_PLAIN, row->name);
            screen_fit(grid, rows.row + i, rows.column + 1 + name, rows.columns - name - 1,
                       ROLE_DIM, row->what);
        }
    }
    const struct offered *here = offer_row(offer, offer->at);
    char words[400];
    if (here) {
        text_format(words, sizeof words, "%s%s%s", here->name, here->what[0] ? ": " : ".",
                    here->what);
    } else {
        text_format(words, sizeof words,
                    offer->or_typed ? "Nothing here is called so: Enter takes it as a file's name."
                                    : "Nothing has all these words.");
    }
    grid_write_wrapped(grid, layout.words, ROLE_PLAIN, words);
}

void frame_draw_boxes(const struct explorer *explorer, struct grid *grid, struct rect body)
{
    const struct prompt *prompt = &explorer->desk.prompt;
    if (explorer->desk.question.replies) {
        draw_question(&explorer->desk.question, grid, body);
    } else if (explorer->box != BOX_NONE) {
        draw_page(explorer, grid, body);
    } else if (prompt->open && prompt->offer.count > 0) {
        draw_offer(prompt, grid, body);
    } else if (prompt->open && prompt->label[0]) {
        struct rect box = place_box(body, 1), inside = inside_of(box);
        draw_frame(grid, box, prompt->label, "Enter, or Escape to leave");
        screen_typing(grid, inside.row, inside.column, inside.columns, &prompt->typing);
    }
}

void frame_draw_too_small(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    if (explorer->desk.question.replies) {
        write_question(&explorer->desk.question, grid, area);
        return;
    }
    char text[160];
    text_format(text, sizeof text, "%dx%d is too small. guardspan needs %dx%d. q quits.",
                explorer->columns, explorer->rows, LAYOUT_COLUMNS_MIN, LAYOUT_ROWS_MIN);
    grid_write_wrapped(grid, area, ROLE_PLAIN, text);
}
