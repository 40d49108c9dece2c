/* The frame around every view: title above, words and keys below. */
#include "explorer/frame/frame.h"

#include <string.h>

#include "explorer/frame/screen.h"
#include "explorer/lesson.h"

static enum role frame_role(enum tone tone)
{
    static const enum role roles[TONE_COUNT] = {[TONE_PLAIN] = ROLE_PLAIN,
                                                [TONE_QUIET] = ROLE_DIM,
                                                [TONE_GOOD] = ROLE_GOOD,
                                                [TONE_WARN] = ROLE_WARN,
                                                [TONE_BAD] = ROLE_BAD};
    return roles[tone];
}

static void draw_title(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const struct desk *desk = &explorer->desk;
    const struct site *site = &desk->profile.scenario.site;
    const struct view *view = view_row(explorer->view);
    const char *path = desk->path[0] ? desk->path : "new profile";
    const char *slash = strrchr(path, '/');
    char channel[32] = "", right[96] = "";
    if (site->rf_channel > 0) {
        text_format(channel, sizeof channel, "RF %d, ", site->rf_channel);
    }
    if (area.columns >= 60 && view->header) {
        view->header(desk, right, sizeof right);
    }
    if (area.columns >= 60 && right[0] == '\0') { /* else the name needs the room */
        text_format(right, sizeof right, "%s%.1f MHz, %s ", channel, site->center_mhz,
                    band_name(rf_band(site->center_mhz)));
    }
    int end = area.column + area.columns - (int)text_columns(right);
    int column = area.column + 1;
    column += grid_write(grid, area.row, column, -1, ROLE_TITLE, "guardspan") + 2;
    column += screen_fit(grid, area.row, column, end - column - 2, ROLE_PLAIN,
                         slash && slash[1] ? slash + 1 : path);
    column += grid_write(grid, area.row, column, -1, ROLE_WARN, desk->changed ? "*" : "") + 2;
    if (column + (int)text_columns(view->title) < end) {
        grid_write(grid, area.row, column, -1, ROLE_DIM, view->title);
    }
    if (end > column) {
        grid_write(grid, area.row, end, -1, ROLE_PLAIN, right);
    }
}

/* The second generation begins a row where all that follows then fits. */
static void draw_verdict(const struct desk *desk, struct grid *grid, struct rect area)
{
    struct rect inside = {area.row, area.column + 1, area.rows, area.columns - 1};
    char words[DESK_VERDICT_PARTS][160];
    enum tone tones[DESK_VERDICT_PARTS];
    int cell = 0, left = 0;
    for (int part = 0; part < DESK_VERDICT_PARTS; part++) {
        tones[part] = desk_say_verdict(desk, part, words[part], sizeof words[part]);
        left += part > 0 ? (int)text_columns(words[part]) + (part > 1) : 0;
    }
    for (int part = 0; part < DESK_VERDICT_PARTS; part++) {
        if (part == 1 && left <= inside.columns && cell + left > inside.columns) {
            cell = inside.columns;
        }
        cell = screen_flow(grid, inside, cell, frame_role(tones[part]), words[part]);
    }
}

/* ---- Words. ---- */

static const char goes_on[] = " … (i)"; /* the key that opens all of it */

/* Marks a row as going on, behind its last character or in place of its last words. */
static void mark_cut(struct grid *grid, int row, int first, int end)
{
    const struct grid_cell *cells = &grid->cells[row * grid->columns];
    int column = end, room = end - (int)text_columns(goes_on);
    while (column > first && cells[column - 1].glyph == ' ') {
        column--;
    }
    if (column > room) {
        column = room;
        while (column > first && cells[column].glyph != ' ') {
            column--;
        }
        column = column > first ? column : room;
    }
    screen_fill(grid, (struct rect){row, column, 1, end - column}, ROLE_PLAIN);
    grid_write(grid, row, column, -1, ROLE_KEY, goes_on);
}

static int rows_of(const struct grid *grid, struct rect area, const char *text)
{
    struct grid none = {.ascii = grid->ascii};
    return screen_text(&none, (struct rect){0, 0, 0, area.columns}, ROLE_PLAIN, text, 0);
}

static void draw_cut(struct grid *grid, struct rect area, enum role role, const char *text)
{
    if (screen_text(grid, area, role, text, 0) > area.rows) {
        grid_tell_cut(grid, text);
        mark_cut(grid, area.row + area.rows - 1, area.column, area.column + area.columns);
    }
}

/* The lines that a view gives, as many as fit; where not even the first one does, it is cut. */
static void draw_lines(struct grid *grid, struct rect area, struct text *text)
{
    bool all = rows_of(grid, area, text_string(text)) <= area.rows;
    if (!all) {
        grid_tell_cut(grid, text_string(text));
    }
    while (text->length > 0 && rows_of(grid, area, text_string(text)) > area.rows) {
        char *last = strrchr(text->data, '\n');
        if (!last) {
            break;
        }
        *last = '\0';
        text->length = (size_t)(last - text->data);
    }
    int rows = screen_text(grid, area, ROLE_PLAIN, text_string(text), 0);
    if (!all && rows > 0) {
        mark_cut(grid, area.row + (rows < area.rows ? rows : area.rows) - 1, area.column,
                 area.column + area.columns);
    }
}

/* What was said stands below and takes the room that it needs. */
static void draw_words(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const struct view *view = view_row(explorer->view);
    const struct desk *desk = &explorer->desk;
    struct rect words = {area.row, area.column + 1, area.rows, area.columns - 2};
    if (desk->message[0]) {
        int rows = rows_of(grid, words, desk->message);
        struct rect message = words;
        message.rows = rows < area.rows ? rows : area.rows;
        words.rows -= message.rows;
        message.row += words.rows;
        draw_cut(grid, message, frame_role(desk->tone), desk->message);
    }
    if (view->words && words.rows > 0) {
        struct text text = {0};
        view->words(desk, explorer->view_state[explorer->view], &text);
        draw_lines(grid, words, &text);
        text_free(&text);
    }
}

/* A message instead of the keys, and where it is long, of the title too. */
static void draw_lesson_rule(const struct explorer *explorer, struct grid *grid, struct rect rule,
                             bool with_message)
{
    const struct lesson_run *run = explorer->lesson;
    const struct desk *desk = &explorer->desk;
    char words[256];
    size_t used = text_format(words, sizeof words, "%s  %d of %d",
                              run->lesson.title[0] ? run->lesson.title : "Lesson", run->scene.stop,
                              run->scene.stop_count);
    for (const struct key *key = lesson_keys; key->keys && !with_message; key++) {
        used += text_format(words + used, sizeof words - used, "%s%s: %s",
                            key == lesson_keys ? "  " : ", ", key->keys, key->what);
    }
    screen_rule(grid, rule, words);
    if (with_message) {
        int from = rule.column + 5 + (int)text_columns(words), end = rule.column + rule.columns - 2;
        if ((int)text_columns(desk->message) >= end - from) {
            screen_rule(grid, rule, "");
            from = rule.column + 2;
        }
        char message[sizeof desk->message + 2];
        text_format(message, sizeof message, " %s ", desk->message);
        screen_fit(grid, rule.row, from, end - from, frame_role(desk->tone), message);
    }
}

static void draw_lesson(const struct explorer *explorer, struct grid *grid, struct rect area)
{
    const struct desk *desk = &explorer->desk;
    struct rect inside = {area.row + 1, area.column + 1, area.rows - 1, area.columns - 2};
    int rows = screen_text(grid, inside, ROLE_PLAIN, explorer->lesson->scene.text, 0);
    if (rows > inside.rows) {
        grid_tell_cut(grid, explorer->lesson->scene.text);
        mark_cut(grid, inside.row + inside.rows - 1, inside.column, inside.column + inside.columns);
    }
    bool full = desk->message[0] && rows >= inside.rows; /* what is said must stay whole */
    draw_lesson_rule(explorer, grid, (struct rect){area.row, area.column, 1, area.columns}, full);
    if (desk->message[0] && !full) {
        screen_fit(grid, inside.row + inside.rows - 1, inside.column, inside.columns,
                   frame_role(desk->tone), desk->message);
    }
}

/* ---- All of it. ---- */

void explorer_update(struct explorer *explorer)
{
    desk_look(&explorer->desk); /* first: how many rows the verdict takes decides what is shown */
    struct layout layout = explorer_layout(explorer);
    if (!layout.too_small) {
        view_row(explorer->view)
            ->update(&explorer->desk, explorer->view_state[explorer->view], layout.body);
        frame_update_page(explorer, layout.body);
    }
}

bool explorer_draw(const struct explorer *explorer, struct grid *grid)
{
    grid->ascii = explorer->ascii;
    if ((grid->rows != explorer->rows || grid->columns != explorer->columns) &&
        !grid_resize(grid, explorer->rows, explorer->columns)) {
        return false;
    }
    grid_clear(grid);
    struct layout layout = explorer_layout(explorer);
    if (layout.too_small) {
        frame_draw_too_small(explorer, grid, layout.body);
        return true;
    }
    if (layout.title.rows > 0) {
        draw_title(explorer, grid, layout.title);
    }
    draw_verdict(&explorer->desk, grid, layout.verdict);
    view_row(explorer->view)
        ->draw(&explorer->desk, explorer->view_state[explorer->view], grid, layout.body);
    (explorer->lesson ? draw_lesson : draw_words)(explorer, grid, layout.words);
    frame_draw_keys(explorer, grid, layout.keys);
    frame_draw_boxes(explorer, grid, layout.body);
    return true;
}
