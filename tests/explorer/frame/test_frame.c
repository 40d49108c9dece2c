/* Pieces of a screen: where things stand, lists, lines being typed. */
#include "support/near.h"

#include <string.h>

#include "base/random.h"
#include "explorer/event.h"
#include "explorer/frame/cursor.h"
#include "explorer/frame/layout.h"
#include "explorer/frame/screen.h"

#define TILE_ROWS 60
#define TILE_COLUMNS 200

static unsigned char covered[TILE_ROWS][TILE_COLUMNS];

static void cover(struct rect rect)
{
    for (int row = rect.row; row < rect.row + rect.rows; row++) {
        for (int column = rect.column; column < rect.column + rect.columns; column++) {
            assert_in_range(row, 0, TILE_ROWS - 1);
            assert_in_range(column, 0, TILE_COLUMNS - 1);
            covered[row][column]++;
        }
    }
}

static void expect_tiled(int rows, int columns)
{
    for (int row = 0; row < TILE_ROWS; row++) {
        for (int column = 0; column < TILE_COLUMNS; column++) {
            int expected = row < rows && column < columns;
            if (covered[row][column] != expected) {
                fail_msg("%dx%d: cell %d,%d is covered %d times", columns, rows, row, column,
                         covered[row][column]);
            }
        }
    }
}

static void rectangles_tile_without_overlap(void **state)
{
    (void)state;
    for (int rows = 0; rows <= TILE_ROWS; rows++) {
        for (int columns = 0; columns <= TILE_COLUMNS; columns++) {
            struct layout screen = layout_screen(rows, columns);
            memset(covered, 0, sizeof covered);
            cover(screen.title);
            cover(screen.verdict);
            cover(screen.words);
            cover(screen.keys);
            if (screen.too_small) {
                cover(screen.body);
                expect_tiled(rows, columns);
                continue;
            }
            struct main_layout main = layout_main(screen.body);
            const struct rect parts[] = {
                main.settings, main.divider, main.quantities,  main.explain_divider, main.explain,
                main.rule,     main.picture, main.picture_gap, main.second_picture};
            for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
                cover(parts[i]);
            }
            expect_tiled(rows, columns);
        }
    }
}

static void a_larger_screen_shows_more(void **state)
{
    (void)state;
    struct main_layout small = layout_main(layout_screen(12, 40).body);
    struct main_layout usual = layout_main(layout_screen(24, 80).body);
    struct main_layout large = layout_main(layout_screen(60, 200).body);
    assert_true(small.one_panel && small.picture.rows == 0);
    assert_true(!usual.one_panel && usual.picture.rows >= 7 && usual.settings.rows >= 10);
    assert_true(large.second_picture.columns >= 90 && large.explain.columns >= 50);
}

/* ---- Cursor. ---- */

static void a_cursor_stays_inside_and_in_sight(void **state)
{
    (void)state;
    static const uint32_t keys[] = {PRESS_UP,        PRESS_DOWN, PRESS_PAGE_UP,
                                    PRESS_PAGE_DOWN, PRESS_HOME, PRESS_END};
    struct random random = random_seeded(7, 0);
    struct cursor cursor = {0};
    for (int i = 0; i < 5000; i++) {
        unsigned roll = (unsigned)(random_bits(&random) % 8);
        if (roll < 6) {
            cursor_key(&cursor, keys[roll]);
        } else if (roll == 6) {
            cursor_fit(&cursor, (int)(random_bits(&random) % 30), (int)(random_bits(&random) % 12));
        } else {
            cursor_click(&cursor, (int)(random_bits(&random) % 14) - 1);
        }
        assert_true(cursor.at >= 0 && (cursor.at < cursor.count || cursor.at == 0));
        assert_true(cursor.at >= cursor.first && cursor.at <= cursor.first + cursor.rows);
        assert_true(cursor.first == 0 || cursor.first + cursor.rows <= cursor.count);
    }
}

static void a_page_keeps_one_row_of_the_last(void **state)
{
    (void)state;
    struct cursor cursor = {0};
    cursor_fit(&cursor, 100, 10);
    cursor_key(&cursor, PRESS_PAGE_DOWN);
    assert_int_equal(cursor.at, 9);
    cursor_key(&cursor, PRESS_PAGE_DOWN);
    assert_int_equal(cursor.at, 18);
    assert_int_equal(cursor.first, 9);
    assert_true(cursor_click(&cursor, 0));
    assert_int_equal(cursor.at, 9);
    assert_false(cursor_click(&cursor, 10));
    cursor_key(&cursor, PRESS_END);
    assert_int_equal(cursor.first, 90);
    cursor_key(&cursor, PRESS_HOME);
    assert_int_equal(cursor.first, 0);
}

static void a_long_typed_line_shows_where_the_cursor_is(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 1, 8));
    struct typing typing = {0};
    typing_set(&typing, "abcdefghij");
    screen_typing(&grid, 0, 1, 5, &typing);
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), " ghij_\n");
    text_free(&text);
    grid_free(&grid);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rectangles_tile_without_overlap),
        cmocka_unit_test(a_larger_screen_shows_more),
        cmocka_unit_test(a_cursor_stays_inside_and_in_sight),
        cmocka_unit_test(a_page_keeps_one_row_of_the_last),
        cmocka_unit_test(a_long_typed_line_shows_where_the_cursor_is),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
