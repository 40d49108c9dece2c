#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "present/picture/canvas.h"
#include "present/picture/picture.h"

static uint32_t glyph_at(const struct grid *grid, int row, int column)
{
    return grid->cells[row * grid->columns + column].glyph;
}

static void the_grid_clips_on_every_side(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 3, 5));
    grid_put(&grid, -1, 0, 'x', ROLE_PLAIN);
    grid_put(&grid, 0, -1, 'x', ROLE_PLAIN);
    grid_put(&grid, 3, 0, 'x', ROLE_PLAIN);
    grid_put(&grid, 0, 5, 'x', ROLE_PLAIN);
    assert_int_equal(grid_write(&grid, 1, -2, -1, ROLE_GOOD, "abcdefghij"), 7);
    assert_int_equal(grid_write(&grid, 0, 7, -1, ROLE_GOOD, "abc"), 0);
    assert_int_equal(grid_write(&grid, 2, 1, 2, ROLE_GOOD, "abc"), 2);
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), "\ncdefg\n ab\n");
    text_clear(&text);
    grid_dump_roles(&grid, &text);
    assert_string_equal(text_string(&text), "\nggggg\n gg\n");
    text_free(&text);
    grid_free(&grid);
}

static void a_grid_without_cells_takes_everything(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 0, 0));
    grid_put(&grid, 0, 0, 'x', ROLE_PLAIN);
    assert_int_equal(grid_write(&grid, 0, 0, -1, ROLE_PLAIN, "abc"), 0);
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), "");
    text_free(&text);
    grid_free(&grid);
}

/* Escape sequences, broken UTF-8, wide and combining characters never reach the screen. */
static void only_narrow_printable_characters_are_drawn(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 1, 20));
    int columns =
        grid_write(&grid, 0, 0, -1, ROLE_PLAIN,
                   "a\x1b[\t\xC3\xA9\xFF\xC0\xAF\xE2\x82|\xE6\xBC\xA2\xCC\x81\xED\xA0\x80");
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), "a?[?\xC3\xA9????|???\n");
    assert_int_equal(columns, 13);
    text_free(&text);
    grid_free(&grid);
}

static void ascii_grids_hold_ascii_only(void **state)
{
    (void)state;
    struct grid grid = {.ascii = true};
    assert_true(grid_resize(&grid, 1, 8));
    grid_write(&grid, 0, 0, -1, ROLE_PLAIN, "µs ±│├●→");
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), "us ~||@>\n");
    text_free(&text);
    grid_free(&grid);
}

static void text_wraps_between_words(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 4, 8));
    struct rect area = {0, 1, 3, 6};
    assert_int_equal(grid_write_wrapped(&grid, area, ROLE_PLAIN, "one two three\n\nincomparable"),
                     6);
    struct text text = {0};
    grid_dump(&grid, &text);
    assert_string_equal(text_string(&text), " one\n two\n three\n\n");
    text_clear(&text);
    area.rows = 9;
    assert_int_equal(grid_write_wrapped(&grid, area, ROLE_PLAIN, "incomparable x"), 3);
    text_free(&text);
    grid_free(&grid);
}

/* Unicode's braille block: dot 1 top left is bit 0 ... dot 8 bottom right is bit 7. */
static void one_dot_is_one_known_braille_pattern(void **state)
{
    (void)state;
    static const uint32_t expected[4][2] = {
        {0x2801, 0x2808}, {0x2802, 0x2810}, {0x2804, 0x2820}, {0x2840, 0x2880}};
    for (int y = 0; y < 4; y++) {
        for (int x = 0; x < 2; x++) {
            struct grid grid = {0};
            assert_true(grid_resize(&grid, 3, 3));
            struct canvas canvas = {&grid, {1, 1, 1, 1}};
            canvas_dot(&canvas, x, y, ROLE_SECOND);
            assert_int_equal(glyph_at(&grid, 1, 1), expected[y][x]);
            int drawn = 0;
            for (int i = 0; i < 9; i++) {
                drawn += grid.cells[i].glyph != ' ';
            }
            assert_int_equal(drawn, 1);
            grid_free(&grid);
        }
    }
}

static void lines_are_clipped_to_their_canvas(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 12, 12));
    for (int i = 0; i < 144; i++) {
        grid.cells[i].glyph = 'C';
    }
    struct canvas canvas = {&grid, {3, 3, 6, 6}};
    struct random random = random_seeded(11, 0);
    for (int i = 0; i < 3000; i++) {
        double scale = i % 2 ? 40.0 : 1e12;
        struct canvas_pen pen = {ROLE_FIRST, LINE_SOLID, 0};
        double at[4];
        for (int k = 0; k < 4; k++) {
            at[k] = 6 * (1 + k % 2) + (random_uniform(&random) - 0.5) * scale;
        }
        canvas_line(&canvas, &pen, at[0], at[1], at[2], at[3]);
    }
    struct canvas_pen pen = {ROLE_FIRST, LINE_SOLID, 0};
    canvas_line(&canvas, &pen, NAN, 0, 1, 1);
    int inside = 0;
    for (int row = 0; row < 12; row++) {
        for (int column = 0; column < 12; column++) {
            if (row < 3 || row > 8 || column < 3 || column > 8) {
                assert_int_equal(glyph_at(&grid, row, column), 'C');
            } else {
                inside += glyph_at(&grid, row, column) != 'C';
            }
        }
    }
    assert_int_equal(inside, 36);
    grid_free(&grid);
}

static void a_diagonal_runs_from_corner_to_corner(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 1, 2));
    struct canvas canvas = {&grid, {0, 0, 1, 2}};
    struct canvas_pen pen = {ROLE_FIRST, LINE_SOLID, 0};
    canvas_line(&canvas, &pen, 0, 0, 3, 3);
    assert_int_equal(glyph_at(&grid, 0, 0), 0x2811); /* dots 1 and 5 */
    assert_int_equal(glyph_at(&grid, 0, 1), 0x2884); /* dots 3 and 8 */
    grid_free(&grid);
}

static void ticks_are_round_and_inside(void **state)
{
    (void)state;
    double ticks[16];
    assert_int_equal(picture_ticks(0.0, 10.0, 6, ticks), 6);
    for (int i = 0; i < 6; i++) {
        assert_near(ticks[i], 2.0 * i, 1e-12, "multiples of 2");
    }
    assert_int_equal(picture_ticks(5.0, 5.0, 6, ticks), 0);
    assert_int_equal(picture_ticks(5.0, 1.0, 6, ticks), 0);
    assert_int_equal(picture_ticks(NAN, 1.0, 6, ticks), 0);
    assert_int_equal(picture_ticks(0.0, INFINITY, 6, ticks), 0);
    assert_int_equal(picture_ticks(0.0, 1.0, 0, ticks), 0);
    struct random random = random_seeded(5, 0);
    for (int k = 0; k < 5000; k++) {
        double low = (random_uniform(&random) - 0.5) * pow(10.0, k % 12 - 8);
        double high = low + random_uniform(&random) * pow(10.0, k % 9 - 4) + 1e-6;
        int most = 2 + k % 12;
        int count = picture_ticks(low, high, most, ticks);
        assert_true(count >= 1 && count <= most);
        for (int i = 0; i < count; i++) {
            double slack = 1e-8 * (high - low);
            assert_between(ticks[i], low - slack, high + slack, "inside the axis");
        }
        if (count > 1) { /* the step is 1, 2 or 5 times a power of ten */
            double step = ticks[1] - ticks[0];
            double digit = step / pow(10.0, floor(log10(step) + 1e-6));
            assert_true(fabs(digit - 1) < 1e-4 || fabs(digit - 2) < 1e-4 || fabs(digit - 5) < 1e-4);
        }
    }
}

static void logarithmic_ticks_are_decades_or_finer(void **state)
{
    (void)state;
    struct axis axis = {.low = 1e-5, .high = 1.0, .logarithmic = true};
    double ticks[16];
    assert_int_equal(picture_axis_ticks(&axis, 6, ticks), 6);
    char text[32];
    picture_tick_text(&axis, ticks, 6, 0, text, sizeof text);
    assert_string_equal(text, "1e-5");
    picture_tick_text(&axis, ticks, 6, 5, text, sizeof text);
    assert_string_equal(text, "1");
    assert_int_equal(picture_axis_ticks(&axis, 3, ticks), 3);
    axis.low = 1.0;
    axis.high = 100.0;
    assert_int_equal(picture_axis_ticks(&axis, 9, ticks), 7); /* 1 2 5 10 20 50 100 */
    assert_near(picture_axis_place(&axis, 10.0), 0.5, 1e-12, "middle of two decades");
    assert_true(isnan(picture_axis_place(&axis, 0.0)));
    axis.low = 0.0;
    assert_int_equal(picture_axis_ticks(&axis, 9, ticks), 0);
}

static struct picture simple_picture(enum series_kind kind, char glyph)
{
    struct picture picture = {.title = "T",
                              .x = {.label = "x", .unit = "us", .low = 0, .high = 10},
                              .y = {.label = "y", .unit = "dB", .low = 0, .high = 10}};
    struct series *series = picture_add_series(&picture, kind, ROLE_SECOND, "", 1);
    assert_non_null(series);
    series->glyph = glyph;
    return picture;
}

static int count_glyphs(const struct grid *grid, uint32_t low, uint32_t high)
{
    int count = 0;
    for (int i = 0; i < grid->rows * grid->columns; i++) {
        count += grid->cells[i].glyph >= low && grid->cells[i].glyph <= high;
    }
    return count;
}

static void one_plotted_point_is_one_known_dot(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 12, 40));
    struct rect area = {1, 2, 10, 36};
    struct picture picture = simple_picture(SERIES_POINTS, 0);
    picture.series[0].x[0] = 0.0;
    picture.series[0].y[0] = 0.0;
    picture_draw_grid(&picture, &grid, area);
    assert_int_equal(count_glyphs(&grid, 0x2800, 0x28FF), 1);
    /* Ten rows: title, plot, axis, ticks. The gutter holds "10" and the axis. */
    assert_int_equal(glyph_at(&grid, 8, 5), 0x2840); /* bottom left dot */
    grid_clear(&grid);
    picture.series[0].x[0] = 10.0;
    picture.series[0].y[0] = 10.0;
    picture_draw_grid(&picture, &grid, area);
    assert_int_equal(glyph_at(&grid, 2, 5 + 36 - 4 - 1), 0x2808); /* top right dot */
    grid_clear(&grid);
    picture.series[0].x[0] = 10.4; /* off the axis */
    picture_draw_grid(&picture, &grid, area);
    assert_int_equal(count_glyphs(&grid, 0x2800, 0x28FF), 0);
    picture_free(&picture);
    grid_free(&grid);
}

static void unknown_values_break_a_line(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 10, 40));
    struct picture picture = simple_picture(SERIES_POINTS, 0);
    struct series *line = picture_add_series(&picture, SERIES_LINE, ROLE_FIRST, "a", 3);
    assert_non_null(line);
    for (int i = 0; i < 3; i++) {
        line->x[i] = 5.0 * i;
        line->y[i] = i == 1 ? NAN : 5.0;
    }
    picture.series[0].x[0] = NAN;
    picture_draw_grid(&picture, &grid, (struct rect){0, 0, 10, 40});
    assert_int_equal(count_glyphs(&grid, 0x2800, 0x28FF), 0);
    picture_free(&picture);
    grid_free(&grid);
}

/* A cap at each end that is inside; an end outside is cut off, and so is what lies beside. */
static void bars_have_caps_and_are_clipped(void **state)
{
    (void)state;
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 12, 40));
    struct picture picture = simple_picture(SERIES_BARS, 0);
    picture.series[0].count = 0;
    struct series *bars = picture_add_series(&picture, SERIES_BARS, ROLE_SECOND, "", 8);
    assert_non_null(bars);
    static const double ends[8][2] = {{2, 3},  {2, 8},  {5, -4}, {5, 6},
                                      {8, 11}, {8, 12}, {11, 3}, {11, 8}};
    for (int i = 0; i < 8; i++) {
        bars->x[i] = ends[i][0];
        bars->y[i] = ends[i][1];
    }
    picture_draw_grid(&picture, &grid, (struct rect){0, 0, 12, 40});
    struct text text = {0};
    grid_dump(&grid, &text);
    /* Row 1 is 10, row 9 is 0; column 3 is 0, column 38 is 10. */
    for (int row = 1; row <= 9; row++) {
        uint32_t both = row == 2 ? 0x252C : row == 7 ? 0x2534 : row > 2 && row < 7 ? 0x2502 : ' ';
        uint32_t upper = row == 4 ? 0x252C : row > 4 ? 0x2502 : ' ';
        assert_int_equal(glyph_at(&grid, row, 10), both);
        assert_int_equal(glyph_at(&grid, row, 21), upper);
        assert_int_equal(glyph_at(&grid, row, 31), ' ');
    }
    text_free(&text);
    picture_free(&picture);
    grid_free(&grid);
}

static void a_full_picture(struct picture *picture)
{
    *picture = (struct picture){.title = "Delays",
                                .note = "a note",
                                .x = {.label = "delay", .unit = "us", .low = -40, .high = 160},
                                .y = {.label = "level", .unit = "dB", .low = -40, .high = 5}};
    picture_add_band(picture, ROLE_FIRST, "equaliser -29.5..+38.5 us", -29.5, 38.5);
    picture_add_band(picture, ROLE_SECOND, "guard interval 148.1 us", 0, 148.1);
    picture_add_mark(picture, ROLE_WARN, "threshold", false, -20);
    picture_add_mark(picture, ROLE_WARN, "limit", true, 120);
    struct series *stems = picture_add_series(picture, SERIES_STEMS, ROLE_PLAIN, "echo", 3);
    struct series *line = picture_add_series(picture, SERIES_LINE, ROLE_SECOND, "OFDM", 50);
    assert_non_null(stems);
    assert_non_null(line);
    stems->glyph = 'o';
    for (int i = 0; i < 3; i++) {
        stems->x[i] = 30 * i;
        stems->y[i] = -6 * i;
    }
    for (int i = 0; i < 50; i++) {
        line->x[i] = -40 + 4 * i;
        line->y[i] = -20 + 15 * sin(i / 5.0);
    }
}

/* Whatever the rectangle, nothing outside it changes. */
static void pictures_stay_inside_their_rectangle(void **state)
{
    (void)state;
    struct picture picture;
    a_full_picture(&picture);
    struct grid grid = {0};
    for (int ascii = 0; ascii < 2; ascii++) {
        grid.ascii = ascii;
        for (int rows = 0; rows <= 24; rows++) {
            for (int columns = 0; columns <= 90; columns += 3) {
                assert_true(grid_resize(&grid, rows + 4, columns + 4));
                for (int i = 0; i < grid.rows * grid.columns; i++) {
                    grid.cells[i].role = ROLE_KEY;
                }
                picture_draw_grid(&picture, &grid, (struct rect){2, 2, rows, columns});
                for (int r = 0; r < grid.rows; r++) {
                    for (int c = 0; c < grid.columns; c++) {
                        const struct grid_cell *cell = &grid.cells[r * grid.columns + c];
                        if (r < 2 || r >= rows + 2 || c < 2 || c >= columns + 2) {
                            assert_int_equal(cell->glyph, ' ');
                            assert_int_equal(cell->role, ROLE_KEY);
                        }
                        assert_true(!ascii || cell->glyph < 0x7F);
                    }
                }
            }
        }
    }
    grid_free(&grid);
    picture_free(&picture);
}

static void a_picture_of_seven_rows_keeps_its_words(void **state)
{
    (void)state;
    struct picture picture;
    a_full_picture(&picture);
    struct grid grid = {0};
    assert_true(grid_resize(&grid, 7, 78));
    picture_draw_grid(&picture, &grid, (struct rect){0, 0, 7, 78});
    struct text text = {0};
    grid_dump(&grid, &text);
    static const char *const words[] = {
        "Delays", "level, dB", "delay, us", "equaliser -29.5..+38.5 us", "guard interval 148.1 us",
        "o echo", "OFDM",      "100"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        assert_non_null(strstr(text_string(&text), words[i]));
    }
    text_free(&text);
    grid_free(&grid);
    picture_free(&picture);
}

/* Five entries of 112 columns: one row is not enough. */
static void a_legend_is_whole_or_left_out(void **state)
{
    (void)state;
    static const struct {
        int more, rows, columns; /* series with labels of 31 columns beside the picture's own */
        const char *shown, *missing;
    } cases[] = {{3, 12, 78, "number 3", "~"},     /* on two rows */
                 {3, 7, 78, "Delays", "number"},   /* no room for a row */
                 {0, 7, 30, "-- OFDM", "Delays"}}; /* in the title's place */
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct picture picture;
        struct grid grid = {.ascii = true};
        struct text text = {0};
        a_full_picture(&picture);
        for (int k = 0; k < cases[i].more; k++) {
            struct series *line = picture_add_series(&picture, SERIES_LINE, ROLE_PLAIN, "", 2);
            assert_non_null(line);
            text_format(line->label, sizeof line->label, "a line of many words, number %d", k + 1);
        }
        assert_true(grid_resize(&grid, cases[i].rows, cases[i].columns));
        picture_draw_grid(&picture, &grid, (struct rect){0, 0, cases[i].rows, cases[i].columns});
        grid_dump(&grid, &text);
        assert_non_null(strstr(text_string(&text), cases[i].shown));
        assert_null(strstr(text_string(&text), cases[i].missing));
        text_free(&text);
        grid_free(&grid);
        picture_free(&picture);
    }
}

static void labels_of_lines_keep_apart(void **state)
{
    (void)state;
    struct picture picture = {.title = "SNR",
                              .x = {.label = "at", .unit = "MHz", .low = -3, .high = 3},
                              .y = {.label = "SNR", .unit = "dB", .low = 0, .high = 40}};
    picture_add_mark(&picture, ROLE_GOOD, "effective 17.6 dB", false, 17.6);
    picture_add_mark(&picture, ROLE_WARN, "needed 13.9 dB", false, 13.9);
    struct grid grid = {0};
    for (int rows = 6; rows < 20; rows++) {
        struct text text = {0};
        assert_true(grid_resize(&grid, rows, 60));
        picture_draw_grid(&picture, &grid, (struct rect){0, 0, rows, 60});
        grid_dump(&grid, &text);
        assert_non_null(strstr(text_string(&text), "effective 17.6 dB"));
        assert_non_null(strstr(text_string(&text), "needed 13.9 dB"));
        assert_null(strstr(text_string(&text), "dBe"));
        assert_null(strstr(text_string(&text), "dBn"));
        text_free(&text);
    }
    grid_free(&grid);
    picture_free(&picture);
}

static void draw_small(const struct picture *picture, int rows, int columns, struct text *text)
{
    struct grid grid = {0};
    assert_true(grid_resize(&grid, rows, columns));
    picture_draw_grid(picture, &grid, (struct rect){0, 0, rows, columns});
    grid_dump(&grid, text);
    grid_free(&grid);
}

/* Two lines beside each other at the end: no row has an empty place for both labels. */
static void every_line_in_sight_is_named(void **state)
{
    (void)state;
    struct picture picture = {.x = {.unit = "dB", .low = 0, .high = 70},
                              .y = {.low = 0, .high = 10}};
    struct text text = {0};
    picture_add_mark(&picture, ROLE_GOOD, "ideal 67.02", true, 67.0);
    picture_add_mark(&picture, ROLE_WARN, "published 69.10", true, 69.1);
    picture_add_mark(&picture, ROLE_BAD, "limit 9.5", false, 5.0);
    for (int columns = 60; columns < 90; columns++) {
        draw_small(&picture, 9, columns, &text);
        assert_non_null(strstr(text_string(&text), "ideal 67.02"));
        assert_non_null(strstr(text_string(&text), "published 69.10"));
        assert_non_null(strstr(text_string(&text), "limit 9.5"));
        text_free(&text);
    }
    picture_free(&picture);
}

/* A band that matters less leaves its row where the plot would have one only. */
static void minor_bands_give_way_to_the_plot(void **state)
{
    (void)state;
    struct picture picture = {
        .title = "t", .x = {.low = 0, .high = 70}, .y = {.low = 0, .high = 9}};
    struct text text = {0};
    picture_add_band(&picture, ROLE_FIRST, "first", 10, 50);
    picture_add_band(&picture, ROLE_DIM, "minor", 5, 60);
    picture_add_band(&picture, ROLE_SECOND, "second", 10, 50);
    for (int rows = 5; rows < 9; rows++) {
        draw_small(&picture, rows, 60, &text);
        assert_non_null(strstr(text_string(&text), "first"));
        assert_non_null(strstr(text_string(&text), "second"));
        assert_int_equal(strstr(text_string(&text), "minor") != NULL, rows >= 7);
        text_free(&text);
    }
    picture_free(&picture);
}

static void a_full_picture_refuses_more(void **state)
{
    (void)state;
    struct picture picture = {0};
    for (int i = 0; i < PICTURE_SERIES_MAX; i++) {
        assert_non_null(picture_add_series(&picture, SERIES_LINE, ROLE_PLAIN, "s", 0));
    }
    assert_null(picture_add_series(&picture, SERIES_LINE, ROLE_PLAIN, "s", 0));
    for (int i = 0; i < 40; i++) {
        picture_add_band(&picture, ROLE_PLAIN, "b", 0, 1);
        picture_add_mark(&picture, ROLE_PLAIN, "m", true, 0);
    }
    picture_add_band(&picture, ROLE_PLAIN, "b", 1, 0);
    picture_add_mark(&picture, ROLE_PLAIN, "m", true, NAN);
    assert_int_equal(picture.band_count, PICTURE_BANDS_MAX);
    assert_int_equal(picture.mark_count, PICTURE_MARKS_MAX);
    picture_free(&picture);
}

static void series_that_coincide_become_one(void **state)
{
    (void)state;
    struct picture picture = {0};
    for (int s = 0; s < 3; s++) {
        static const char *const labels[] = {"one", "two", "other"};
        struct series *series =
            picture_add_series(&picture, SERIES_LINE, s ? ROLE_SECOND : ROLE_FIRST, labels[s], 3);
        for (int i = 0; i < 3; i++) {
            series->x[i] = i;
            series->y[i] = i == 1 ? NAN : s == 2 ? 5.0 : 4.0;
        }
    }
    picture_join_alike(&picture);
    assert_int_equal(picture.series_count, 2);
    assert_string_equal(picture.series[0].label, "one; two");
    assert_int_equal(picture.series[0].role, ROLE_PLAIN);
    assert_string_equal(picture.series[1].label, "other");
    picture_free(&picture);
}

static void a_zoom_closes_in_on_the_focus(void **state)
{
    (void)state;
    struct picture picture = {.x = {.low = -8.0, .high = 24.0, .focus = 0.0}};
    picture_zoom(&picture, 3);
    assert_near(picture.x.low, -1.0, 1e-12, "an eighth");
    assert_near(picture.x.high, 3.0, 1e-12, "an eighth");
    picture_zoom(&picture, -3);
    assert_near(picture.x.low, -8.0, 1e-12, "and back");
    assert_near(picture.x.high, 24.0, 1e-12, "and back");
    picture.x.focus = 100.0; /* beyond what is there: its nearest end */
    picture_zoom(&picture, 1);
    assert_near(picture.x.high, 24.0, 1e-12, "the end");
    assert_near(picture.x.low, 8.0, 1e-12, "half");
}

static void points_carry_their_names_where_there_is_room(void **state)
{
    (void)state;
    struct picture picture = {.title = "t", .x = {.high = 10.0}, .y = {.high = 10.0}};
    struct series *series = picture_add_series(&picture, SERIES_POINTS, ROLE_WARN, "p", 3);
    static const char *const names[] = {"one", "other", "outside"};
    static const double xs[] = {2.0, 6.0, 20.0};
    series->glyph = 'x';
    for (size_t i = 0; i < 3; i++) {
        series->x[i] = xs[i];
        series->y[i] = 5.0;
        assert_true(series_name(series, i, names[i]));
    }
    struct picture copy;
    assert_true(picture_copy(&picture, &copy));
    struct grid grid = {0};
    struct text text = {0};
    assert_true(grid_resize(&grid, 12, 40));
    picture_draw_grid(&copy, &grid, (struct rect){0, 0, 12, 40});
    grid_dump(&grid, &text);
    assert_non_null(strstr(text_string(&text), "x one"));
    assert_non_null(strstr(text_string(&text), "x other"));
    assert_null(strstr(text_string(&text), "outside"));
    text_free(&text);
    grid_free(&grid);
    picture_free(&copy);
    picture_free(&picture);
}

int main(int argc, char **argv)
{
    if (argc == 3) { /* test_picture ROWS COLUMNS: shows one, for the eye */
        struct picture picture;
        a_full_picture(&picture);
        struct grid grid = {.ascii = getenv("ASCII") != NULL};
        struct text text = {0};
        int rows = (int)strtol(argv[1], NULL, 10), columns = (int)strtol(argv[2], NULL, 10);
        if (grid_resize(&grid, rows, columns)) {
            picture_draw_grid(&picture, &grid, (struct rect){0, 0, rows, columns});
            grid_dump(&grid, &text);
            puts(text_string(&text));
        }
        text_free(&text);
        grid_free(&grid);
        picture_free(&picture);
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_line_in_sight_is_named),
        cmocka_unit_test(minor_bands_give_way_to_the_plot),
        cmocka_unit_test(series_that_coincide_become_one),
        cmocka_unit_test(a_zoom_closes_in_on_the_focus),
        cmocka_unit_test(points_carry_their_names_where_there_is_room),
        cmocka_unit_test(the_grid_clips_on_every_side),
        cmocka_unit_test(a_grid_without_cells_takes_everything),
        cmocka_unit_test(only_narrow_printable_characters_are_drawn),
        cmocka_unit_test(ascii_grids_hold_ascii_only),
        cmocka_unit_test(text_wraps_between_words),
        cmocka_unit_test(one_dot_is_one_known_braille_pattern),
        cmocka_unit_test(lines_are_clipped_to_their_canvas),
        cmocka_unit_test(a_diagonal_runs_from_corner_to_corner),
        cmocka_unit_test(ticks_are_round_and_inside),
        cmocka_unit_test(logarithmic_ticks_are_decades_or_finer),
        cmocka_unit_test(one_plotted_point_is_one_known_dot),
        cmocka_unit_test(unknown_values_break_a_line),
        cmocka_unit_test(bars_have_caps_and_are_clipped),
        cmocka_unit_test(pictures_stay_inside_their_rectangle),
        cmocka_unit_test(a_picture_of_seven_rows_keeps_its_words),
        cmocka_unit_test(a_legend_is_whole_or_left_out),
        cmocka_unit_test(labels_of_lines_keep_apart),
        cmocka_unit_test(a_full_picture_refuses_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
