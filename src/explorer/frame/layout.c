/* How a screen is cut into rectangles, by tables of what fits. */
#include "explorer/frame/layout.h"

bool rect_holds(struct rect rect, int row, int column)
{
    return row >= rect.row && row < rect.row + rect.rows && column >= rect.column &&
           column < rect.column + rect.columns;
}

bool layout_on_pictures(const struct main_layout *layout, int row, int column)
{
    return rect_holds(layout->rule, row, column) || rect_holds(layout->picture, row, column) ||
           rect_holds(layout->second_picture, row, column);
}

struct layout layout_screen(int rows, int columns)
{
    return layout_screen_with(rows, columns, layout_words(rows), layout_verdict(columns));
}

int layout_words(int rows)
{
    return rows >= 12 ? 2 : 1;
}

int layout_verdict(int columns)
{
    return columns >= 80 ? 1 : 2;
}

struct layout layout_screen_with(int rows, int columns, int words, int verdict)
{
    struct layout layout = {0};
    if (rows < LAYOUT_ROWS_MIN || columns < LAYOUT_COLUMNS_MIN) {
        layout.too_small = true;
        layout.body = (struct rect){0, 0, rows > 0 ? rows : 0, columns > 0 ? columns : 0};
        return layout;
    }
    int keys = rows >= 20 ? 2 : 1;
    int title = rows >= 12 || columns >= 80, above = title + verdict;
    layout.title = (struct rect){0, 0, title, columns};
    layout.verdict = (struct rect){title, 0, verdict, columns};
    layout.body = (struct rect){above, 0, rows - above - words - keys, columns};
    layout.words = (struct rect){rows - words - keys, 0, words, columns};
    layout.keys = (struct rect){rows - keys, 0, keys, columns};
    return layout;
}

/* How the height is shared: the pictures' rows by the rows of the body. */
static int picture_rows(int body_rows)
{
    static const struct {
        int from_body_rows, rows;
    } table[] = {{40, 15}, {30, 12}, {24, 9}, {16, 7}};
    for (unsigned i = 0; i < sizeof table / sizeof table[0]; i++) {
        if (body_rows >= table[i].from_body_rows) {
            return table[i].rows;
        }
    }
    return 0;
}

/* Columns of the settings, the explanation and the second picture by the width of the body. */
static const struct {
    int from_columns, settings, explain;
    bool two_pictures;
} widths[] = {
    {190, 52, 62, true}, {160, 48, 48, true}, {140, 46, 0, true},
    {110, 46, 0, false}, {90, 42, 0, false},  {76, 39, 0, false},
};

struct main_layout layout_main(struct rect area)
{
    struct main_layout layout = {.one_panel = true};
    int pictures = picture_rows(area.rows), upper = area.rows - pictures - (pictures > 0);
    struct rect top = {area.row, area.column, upper, area.columns};
    layout.settings = layout.quantities = top;
    layout.quantities.rows = layout.quantities.columns = 0;
    layout.rule = (struct rect){area.row + upper, area.column, pictures > 0, area.columns};
    layout.picture = (struct rect){area.row + upper + 1, area.column, pictures, area.columns};
    for (unsigned i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        if (area.columns < widths[i].from_columns) {
            continue;
        }
        layout.one_panel = false;
        int explain = widths[i].explain, end = area.column + area.columns;
        layout.settings.columns = widths[i].settings;
        layout.divider = (struct rect){top.row, area.column + widths[i].settings, upper, 1};
        layout.quantities = top;
        layout.quantities.column = layout.divider.column + 1;
        layout.quantities.columns =
            area.columns - widths[i].settings - 1 - (explain > 0 ? explain + 1 : 0);
        if (explain > 0) {
            layout.explain_divider = (struct rect){top.row, end - explain - 1, upper, 1};
            layout.explain = (struct rect){top.row, end - explain, upper, explain};
        }
        if (widths[i].two_pictures && pictures > 0) {
            int half = (area.columns - 2) / 2;
            layout.second_picture = layout.picture;
            layout.picture.columns = half;
            layout.picture_gap = (struct rect){layout.picture.row, area.column + half, pictures, 2};
            layout.second_picture.column = area.column + half + 2;
            layout.second_picture.columns = area.columns - half - 2;
        }
        break;
    }
    return layout;
}
