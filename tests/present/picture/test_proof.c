/* The picture of an error-rate curve from counts that are known. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "present/picture/proof.h"

static void plan(struct scenario *scenario, const struct proof_choice *choice,
                 struct proof_sweep *sweep)
{
    *scenario = scenario_default();
    if (choice->channel == CHANNEL_CARRIERS) {
        scenario->echoes[scenario->echo_count++] = (struct echo){.delay_us = 30, .level_db = -9};
    }
    assert_int_equal(proof_sweep_plan(scenario, choice, sweep, NULL), STATUS_OK);
}

static struct picture picture_of(const struct scenario *scenario, const struct proof_sweep *sweep)
{
    struct picture picture;
    assert_true(picture_proof_make(scenario, sweep, &picture));
    return picture;
}

static struct text drawn(const struct picture *picture, int rows, int columns)
{
    struct grid grid = {0};
    struct text text = {0};
    assert_true(grid_resize(&grid, rows, columns));
    picture_draw_grid(picture, &grid, (struct rect){0, 0, rows, columns});
    grid_dump(&grid, &text);
    grid_free(&grid);
    return text;
}

static bool has(const struct text *text, const char *words)
{
    return strstr(text_string(text), words) != NULL;
}

/* None wrong of 2 million: below 1.8e-6 with 95 % confidence; one wrong of 3 million: 3e-7. */
static void the_axis_reaches_the_deepest_point_and_bound(void **state)
{
    (void)state;
    static const struct {
        struct run_counts counts;
        double low;
    } deep[] = {{{.frames = 1000, .frame_errors = 3}, 1e-5},
                {{.frames = 200000, .frame_errors = 1}, 1e-6},
                {{.frames = 2000000}, 1e-6},
                {{.frames = 3000000, .frame_errors = 1}, 1e-7}};
    struct proof_choice choice = proof_choice_default();
    for (size_t i = 0; i < sizeof deep / sizeof deep[0]; i++) {
        struct scenario scenario;
        struct proof_sweep sweep;
        plan(&scenario, &choice, &sweep);
        proof_sweep_take(&sweep, 0, &(struct run_counts){.frames = 10, .frame_errors = 9});
        proof_sweep_take(&sweep, 5, &deep[i].counts);
        struct picture picture = picture_of(&scenario, &sweep);
        assert_near(picture.y.low / deep[i].low, 1.0, 1e-9, "whole decades");
        struct text text = drawn(&picture, 17, 80);
        int glyphs = 0;
        const char *plot = strstr(text_string(&text), "1┤");
        for (const char *c = plot; *c && *c != 'A'; c++) { /* up to the note */
            glyphs += *c == 'o' || *c == 'v';
        }
        assert_int_equal(glyphs, 2);
        text_free(&text);
        picture_free(&picture);
    }
}

static void curve_interval_and_points_have_marks_of_their_own(void **state)
{
    (void)state;
    struct scenario scenario;
    struct proof_sweep sweep;
    struct proof_choice choice = proof_choice_default();
    plan(&scenario, &choice, &sweep);
    proof_sweep_take(&sweep, 0, &(struct run_counts){.frames = 10, .frame_errors = 9});
    proof_sweep_take(&sweep, 3, &(struct run_counts){.frames = 1000, .frame_errors = 2});
    proof_sweep_take(&sweep, 4, &(struct run_counts){.frames = 1000});
    struct picture picture = picture_of(&scenario, &sweep);
    struct text text = drawn(&picture, 17, 80);
    assert_true(has(&text, "── curve  ┬│┴ 95 % interval  o simulated  v upper end, none wrong"));
    /* 2 of 1000 is 2.4e-4 to 7.2e-3: both caps stand in the plot. */
    const char *plot = strstr(text_string(&text), "1┤");
    assert_non_null(strstr(plot, "┴"));
    assert_true(strstr(plot, "┬") < strstr(plot, "┴"));
    text_free(&text);
    picture_free(&picture);
}

static void a_long_title_leaves_the_name_of_the_y_axis(void **state)
{
    (void)state;
    struct scenario scenario;
    struct proof_sweep sweep;
    struct proof_choice choice = proof_choice_default();
    choice.channel = CHANNEL_CARRIERS;
    plan(&scenario, &choice, &sweep);
    struct picture picture = picture_of(&scenario, &sweep);
    assert_true(text_columns(picture.title) > 80);
    static const int columns[] = {80, 60, 40};
    for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
        struct text text = drawn(&picture, 14, columns[i]);
        assert_true(has(&text, "…  [frame error rate]\n"));
        assert_int_equal(strstr(text_string(&text), "OFDM 64800") - text_string(&text), 0);
        text_free(&text);
    }
    struct text text = drawn(&picture, 14, 140);
    assert_true(has(&text, "SP12_2  [frame error rate]\n"));
    text_free(&text);
    picture_free(&picture);
}

static void the_note_says_what_a_reader_must_know(void **state)
{
    (void)state;
    struct scenario scenario;
    struct proof_sweep sweep;
    struct proof_choice choice = proof_choice_default();
    plan(&scenario, &choice, &sweep);
    struct picture picture = picture_of(&scenario, &sweep);
    assert_string_equal(picture.note,
                        "Across: an error rate of 1e-4. The receiver knows the channel exactly.");
    picture_free(&picture);
    choice.algorithm = LDPC_MIN_SUM;
    plan(&scenario, &choice, &sweep);
    picture = picture_of(&scenario, &sweep);
    assert_non_null(strstr(picture.note, "Ideal: by sum-product."));
    picture_free(&picture);
    choice.channel = CHANNEL_CARRIERS;
    plan(&scenario, &choice, &sweep);
    picture = picture_of(&scenario, &sweep);
    assert_non_null(strstr(picture.note, "Predicted: by sum-product."));
    assert_non_null(strstr(picture.note, "Self-interference and Doppler count as noise."));
    assert_non_null(strstr(picture.note, "count as noise."));
    picture_free(&picture);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_axis_reaches_the_deepest_point_and_bound),
        cmocka_unit_test(curve_interval_and_points_have_marks_of_their_own),
        cmocka_unit_test(a_long_title_leaves_the_name_of_the_y_axis),
        cmocka_unit_test(the_note_says_what_a_reader_must_know),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
