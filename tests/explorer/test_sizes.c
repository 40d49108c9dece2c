/* Any size of the screen, and anything that a user may press. */
#include "support/near.h"

#include <stdio.h>
#include <string.h>

#include "base/random.h"
#include "explorer/drive.h"
#include "explorer/frame/screen.h"
#include "support/effort.h"

static void help_and_leaving_are_on_every_screen(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(LAYOUT_ROWS_MIN, LAYOUT_COLUMNS_MIN);
    for (int view = 0; view < view_count(); view++) {
        explorer_show_view(explorer, view);
        for (int columns = LAYOUT_COLUMNS_MIN; columns <= 200; columns += 8) {
            explorer->rows = LAYOUT_ROWS_MIN + columns % 17;
            explorer->columns = columns;
            assert_true(shows(explorer, "? help"));
            assert_true(shows(explorer, "q quit"));
        }
    }
    explorer_free(explorer);
}

static void a_small_screen_asks_for_a_larger_one(void **state)
{
    (void)state;
    struct explorer *explorer = explorer_at(5, 20);
    assert_true(shows(explorer, "20x5 is too small."));
    unsigned revision = explorer->desk.revision;
    explorer_run_script(explorer, "Right Down Right x y z Click:1,1");
    assert_int_equal(explorer->desk.revision, revision); /* what cannot be seen does not change */
    assert_true(explorer_run_script(explorer, "q"));
    explorer_free(explorer);
    explorer = explorer_at(0, 0);
    struct text text = {0};
    screen_of(explorer, &text);
    assert_string_equal(text_string(&text), "");
    text_free(&text);
    explorer_run_script(explorer, "Resize:24x80");
    assert_true(shows(explorer, "FFT size"));
    explorer_free(explorer);
}

static void expect_whole(const struct grid *grid, struct rect area, const char *name)
{
    for (int row = 0; row < grid->rows; row++) {
        for (int column = 0; column < grid->columns; column++) {
            const struct grid_cell *cell = &grid->cells[row * grid->columns + column];
            if (!rect_holds(area, row, column) && (cell->glyph != 'C' || cell->role != ROLE_KEY)) {
                fail_msg("%s in %dx%d writes outside at %d,%d", name, area.columns, area.rows,
                         row - area.row, column - area.column);
            }
        }
    }
}

/* Views draw only inside the rectangle that they get. */
static void canary_cells_around_a_view_stay_whole(void **state)
{
    (void)state;
    int step = (int)effort(5, 5, 1);
    struct explorer *explorer = explorer_at(24, 80);
    explorer_run_script(explorer, "p");
    for (int view = 0; view < view_count(); view++) {
        explorer_show_view(explorer, view);
        for (int rows = LAYOUT_ROWS_MIN; rows <= 60; rows += step) {
            for (int columns = LAYOUT_COLUMNS_MIN; columns <= 200; columns += 4 * step) {
                explorer->rows = rows;
                explorer->columns = columns;
                void *shown = view_state_of(explorer);
                struct rect body = layout_screen(rows, columns).body;
                struct rect area = {3, 3, body.rows, body.columns};
                struct grid grid = {0};
                assert_true(grid_resize(&grid, body.rows + 6, body.columns + 6));
                for (int i = 0; i < grid.rows * grid.columns; i++) {
                    grid.cells[i] = (struct grid_cell){'C', ROLE_KEY};
                }
                view_row(view)->draw(&explorer->desk, shown, &grid, area);
                expect_whole(&grid, area, view_row(view)->name);
                grid_free(&grid);
            }
        }
    }
    explorer_free(explorer);
}

/* ---- Anything a user may press. ---- */

static struct event random_event(struct random *random)
{
    static const char letters[] = "pnNmiurosSx?q0123456789.-+=/ \tabcdewlvtyzEWPVL";
    unsigned roll = (unsigned)(random_bits(random) % 100);
    struct event event = {.kind = EVENT_KEY};
    if (roll < 55) {
        event.key = PRESS_UP + (uint32_t)(random_bits(random) % (PRESS_DELETE - PRESS_UP + 1));
    } else if (roll < 85) {
        event.key = (uint32_t)letters[random_bits(random) % (sizeof letters - 1)];
    } else if (roll < 94) {
        event.kind = EVENT_MOUSE;
        event.mouse = (enum mouse_action)(random_bits(random) % 3);
        event.row = (int)(random_bits(random) % 70) - 3;
        event.column = (int)(random_bits(random) % 220) - 3;
    } else if (roll < 97) {
        event.kind = EVENT_RESIZE;
        event.rows = (int)(random_bits(random) % 62) - 1;
        event.columns = (int)(random_bits(random) % 202) - 1;
    } else if (roll < 98) {
        event.key = (uint32_t)(random_bits(random) % 0x3000);
    } else {
        event.kind = random_bits(random) % 2 ? EVENT_TICK : EVENT_INTERRUPT;
    }
    return event;
}

/* Effects are not carried out: nothing outside changes, and "quit" is pressed often. */
static void random_keys_never_crash(void **state)
{
    (void)state;
    struct random random = random_seeded(2718, 0);
    struct explorer *explorer = explorer_at(24, 80);
    struct grid grid = {0};
    int events = (int)effort(3000, 20000, 1000000);
    for (int i = 0; i < events; i++) {
        struct event event = random_event(&random);
        explorer_step(explorer, &event);
        if (i % 4 == 0) {
            assert_true(explorer_draw(explorer, &grid));
        }
        struct fault fault;
        if (scenario_check(&explorer->desk.profile.scenario, &fault) != STATUS_OK) {
            fail_msg("event %d: %s %s", i, fault.place, fault.wrong);
        }
        if (i % 500 == 0) { /* not for ever in one question or in a tiny window */
            explorer->box = BOX_NONE;
            explorer->desk.prompt.open = false;
            explorer->rows = 10 + i % 51;
            explorer->columns = 40 + i % 161;
        }
    }
    grid_free(&grid);
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(help_and_leaving_are_on_every_screen),
        cmocka_unit_test(a_small_screen_asks_for_a_larger_one),
        cmocka_unit_test(canary_cells_around_a_view_stay_whole),
        cmocka_unit_test(random_keys_never_crash),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
