/* The view that proves a mode's required SNR, as a pure chain of events; the worker is real. */
#include "support/near.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "explorer/drive.h"
#include "explorer/prove/draw.h"
#include "physics/information/published_snr.h"
#include "simulation/interval.h"

/* Keys to the view with the fast decoder chosen. */
#define FAST "c Down Down Right Up Up"

/* With a mode whose simulation takes little time: short words of a sparse constellation. */
static struct explorer *prove_after(const char *keys)
{
    struct scenario scenario = scenario_default();
    scenario.transmission.plps[0].code.length = LENGTH_16200;
    scenario.transmission.plps[0].code.constellation = QPSK;
    scenario.transmission.plps[0].code.rate_15ths = 8;
    return explorer_with(&scenario, keys, 24, 80);
}

/* The view's state, brought up to date. */
static struct prove_state *prove_of(struct explorer *explorer)
{
    return view_state_of(explorer);
}

static long frames_of(const struct prove_state *state)
{
    long frames = 0;
    for (int i = 0; i < state->sweep.count; i++) {
        frames += state->sweep.points[i].counts.frames;
    }
    return frames;
}

static void pass_a_tick(struct explorer *explorer)
{
    const struct timespec pause = {.tv_nsec = 2000000};
    nanosleep(&pause, NULL);
    happens(explorer, (struct event){.kind = EVENT_TICK});
}

/* Ticks until so many words have been counted, or nothing runs; half a minute at most. */
static struct prove_state *tick_until(struct explorer *explorer, long frames)
{
    struct prove_state *state = prove_of(explorer);
    for (int i = 0; i < 15000 && state->work && frames_of(state) < frames; i++) {
        pass_a_tick(explorer);
        state = prove_of(explorer);
    }
    return state;
}

static struct prove_state *tick_until_idle(struct explorer *explorer)
{
    for (int i = 0; i < 15000 && explorer_busy(explorer); i++) {
        pass_a_tick(explorer);
    }
    assert_false(explorer_busy(explorer));
    return prove_of(explorer);
}

static void the_curve_grows_until_it_is_told_to_stop(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after(FAST);
    struct prove_state *prove = prove_of(explorer);
    assert_int_equal(prove->phase, PROVE_READY);
    assert_false(explorer_busy(explorer));
    assert_true(shows(explorer, "Enter starts"));
    assert_int_equal(prove->picture.series_count, 0);
    explorer_run_script(explorer, "Enter");
    assert_true(explorer_busy(explorer));
    prove = tick_until(explorer, 100);
    assert_true(frames_of(prove) >= 100);
    assert_int_equal(prove->phase, PROVE_RUNNING);
    assert_true(prove->picture.series_count >= 3);
    assert_true(prove->progress.rate_hz > 0.0 && prove->progress.mbit_s > 0.0);
    assert_true(shows(explorer, " of 5 ["));
    assert_true(shows(explorer, "/s, "));
    long before = frames_of(prove);
    prove = tick_until(explorer, before + 200);
    assert_true(frames_of(prove) >= before + 200);

    explorer_run_script(explorer, "Enter");
    prove = tick_until_idle(explorer);
    assert_int_equal(prove->phase, PROVE_STOPPED);
    assert_true(shows(explorer, "Stopped. Enter goes on."));
    long stopped = frames_of(prove);
    pass_a_tick(explorer);
    assert_int_equal(frames_of(prove_of(explorer)), stopped);

    explorer_run_script(explorer, "Enter");
    prove = tick_until(explorer, stopped + 100);
    assert_true(frames_of(prove) >= stopped + 100); /* goes on, forgets nothing */
    explorer_free(explorer);                        /* while it runs */
}

static void points_are_what_simulate_counts(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after(FAST " Enter");
    tick_until(explorer, 600);
    explorer_run_script(explorer, "Enter");
    struct prove_state *prove = tick_until_idle(explorer);
    int compared = 0;
    for (int i = 0; i < prove->sweep.count; i++) {
        const struct proof_point *point = &prove->sweep.points[i];
        struct run_limits limits = {.frames = point->counts.frames,
                                    .seed = PROOF_SWEEP_SEED,
                                    .threads = 2,
                                    .part = 1,
                                    .parts = 1};
        struct run_counts again;
        if (point->counts.frames > 0) {
            assert_int_equal(proof_run(&explorer->desk.profile.scenario, &prove->choice,
                                       point->snr_db, &limits, NULL, &again, NULL),
                             STATUS_OK);
            assert_int_equal(again.frames, point->counts.frames);
            assert_int_equal(again.frame_errors, point->counts.frame_errors);
            assert_int_equal(again.bit_errors, point->counts.bit_errors);
            compared++;
        }
    }
    assert_true(compared >= 5);
    explorer_free(explorer);
}

/* One without points where the picture has none of that name: how far the run came by then, and so
 * whether any of its points is without an error, is chance. */
static const struct series *series_called(const struct picture *picture, const char *label)
{
    static const struct series none;
    for (size_t i = 0; i < picture->series_count; i++) {
        if (strcmp(picture->series[i].label, label) == 0) {
            return &picture->series[i];
        }
    }
    return &none;
}

static void the_picture_has_points_intervals_and_bounds(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after(FAST " Enter");
    tick_until(explorer, 600);
    explorer_run_script(explorer, "Enter");
    struct prove_state *prove = tick_until_idle(explorer);
    const struct picture *picture = &prove->picture;
    const struct series *dots = series_called(picture, "simulated");
    const struct series *bars = series_called(picture, "95 % interval");
    const struct series *clean = series_called(picture, "upper end, none wrong");
    size_t wrong = 0, good = 0;
    assert_true(picture->y.logarithmic);
    for (int i = 0; i < prove->sweep.count; i++) {
        const struct proof_point *point = &prove->sweep.points[i];
        const struct run_counts *counts = &point->counts;
        struct interval interval = interval_of_rate(counts->frame_errors, counts->frames, 0.95);
        if (counts->frame_errors > 0) {
            assert_true(wrong < dots->count);
            double rate = (double)counts->frame_errors / (double)counts->frames;
            assert_near(dots->x[wrong], point->snr_db, 0.0, "the point");
            assert_near(dots->y[wrong], rate, 1e-12, "definition");
            assert_near(bars->y[2 * wrong], interval.low, 1e-12, "Clopper and Pearson");
            assert_near(bars->y[2 * wrong + 1], interval.high, 1e-12, "Clopper and Pearson");
            wrong++;
        } else if (counts->frames > 0) {
            assert_true(good < clean->count);
            assert_near(clean->y[good], 1.0 - pow(0.025, 1.0 / (double)counts->frames), 1e-9,
                        "none wrong of n");
            good++;
        }
    }
    assert_true(wrong + good > 0);
    assert_int_equal(wrong, dots->count);
    assert_int_equal(good, clean->count);
    explorer_free(explorer);
}

static const struct mark *mark_called(const struct picture *picture, const char *label)
{
    for (size_t i = 0; i < picture->mark_count; i++) {
        if (strcmp(picture->marks[i].label, label) == 0) {
            return &picture->marks[i];
        }
    }
    fail_msg("no mark \"%s\"", label);
    return NULL;
}

static void limit_ideal_and_published_value_are_marked(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c");
    struct scenario *next = &(struct scenario){0};
    *next = explorer->desk.profile.scenario;
    next->transmission.plps[0].code.constellation = QAM64;
    next->transmission.plps[0].code.rate_15ths = 11;
    assert_true(desk_change(&explorer->desk, next));
    const struct picture *picture = &prove_of(explorer)->picture;
    char label[64];
    double limit_db = limit_snr_db(QAM64, 11, FADING_AWGN);
    double ideal_db = ideal_snr_db(LENGTH_16200, QAM64, 11, FADING_AWGN);
    snprintf(label, sizeof label, "limit %.2f", limit_db);
    assert_near(mark_called(picture, label)->at, limit_db, 0.0, "mutual information");
    snprintf(label, sizeof label, "ideal %.2f", ideal_db);
    assert_near(mark_called(picture, label)->at, ideal_db, 0.0, "the table");
    assert_near(mark_called(picture, "A/327 14.52")->at, 14.52, 0.0, "ATSC A/327 Tables 4.3-4.6");
    assert_near(mark_called(picture, "")->at, 1e-4, 1e-15, "frame error rate of the table");
    assert_true(shows(explorer, "Published: 14.52 dB (ATSC A/327 Tables 4.3-4.6)."));
    /* All of them are inside. */
    for (size_t i = 0; i < picture->mark_count; i++) {
        const struct axis *axis = picture->marks[i].vertical ? &picture->x : &picture->y;
        assert_between(picture->marks[i].at, axis->low, axis->high, "the axis");
    }
    explorer_run_script(explorer, "Right"); /* Rayleigh: nothing is published */
    picture = &prove_of(explorer)->picture;
    assert_int_equal(picture->mark_count, 3);
    snprintf(label, sizeof label, "ideal %.2f",
             ideal_snr_db(LENGTH_16200, QAM64, 11, FADING_RAYLEIGH));
    mark_called(picture, label);
    explorer_run_script(explorer, "Left Down Right");
    picture = &prove_of(explorer)->picture;
    assert_near(mark_called(picture, "A/54A 14.90")->at, 14.9, 0.0, "ATSC A/54A");
    assert_near(mark_called(picture, "")->at, 1.93e-4, 1e-15, "ATSC A/54A");
    explorer_free(explorer);
}

static void another_mode_clears_the_curve(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after(FAST " Enter");
    struct prove_state *prove = tick_until(explorer, 100);
    struct scenario next = explorer->desk.profile.scenario;
    next.transmission.subframes[0].waveform.boost =
        0; /* plain noise does not know pilots: the same simulation */
    assert_true(desk_change(&explorer->desk, &next));
    prove = prove_of(explorer);
    assert_non_null(prove->work);
    assert_true(frames_of(prove) >= 100);
    double before_db = prove->sweep.expected_db;
    next.transmission.plps[0].code.rate_15ths = 9;
    assert_true(desk_change(&explorer->desk, &next));
    prove = prove_of(explorer);
    assert_null(prove->work); /* stopped */
    assert_false(explorer_busy(explorer));
    assert_int_equal(prove->phase, PROVE_READY);
    assert_int_equal(frames_of(prove), 0);
    assert_true(prove->sweep.expected_db > before_db + 0.5);
    assert_true(shows(explorer, "QPSK 9/15"));
    explorer_run_script(explorer, "Enter");
    tick_until(explorer, 50);
    explorer_run_script(explorer, "u"); /* undone: the other curve again, from the beginning */
    prove = prove_of(explorer);
    assert_null(prove->work);
    assert_int_equal(frames_of(prove), 0);
    assert_near(prove->sweep.expected_db, before_db, 0.0, "the mode before");
    explorer_run_script(explorer, "Enter");
    tick_until(explorer, 50);
    explorer_run_script(explorer, "Delete");
    prove = prove_of(explorer);
    assert_null(prove->work);
    assert_int_equal(frames_of(prove), 0);
    explorer_free(explorer);
}

static void leaving_the_view_stops_the_run(void **state)
{
    (void)state;
    static const char *const ways[] = {"m", "e", "Escape", "w"};
    struct explorer *explorer = prove_after(FAST);
    long frames = 0;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        explorer_run_script(explorer, "Enter");
        tick_until(explorer, frames + 50);
        assert_true(explorer_busy(explorer));
        explorer_run_script(explorer, ways[i]);
        assert_false(explorer_busy(explorer));
        explorer_run_script(explorer, "c");
        struct prove_state *prove = prove_of(explorer);
        assert_int_equal(prove->phase, PROVE_STOPPED);
        assert_true(frames_of(prove) >= frames + 50); /* kept */
        frames = frames_of(prove);
    }
    explorer_run_script(explorer, "Enter c ? Escape i Escape"); /* the same view, help over it */
    assert_true(explorer_busy(explorer));
    explorer_free(explorer);
}

static void a_stop_is_obeyed_whenever_it_comes(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after(FAST);
    for (int i = 0; i < 60; i++) {
        const struct timespec pause = {.tv_nsec = 50000L * i};
        explorer_run_script(explorer, "Enter");
        assert_true(explorer_busy(explorer));
        nanosleep(&pause, NULL);
        explorer_run_script(explorer, i % 2 ? "m c" : "Enter");
        tick_until_idle(explorer);
    }
    explorer_free(explorer);
}

static void the_first_generation_is_counted_in_segments(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c Down Right Enter");
    struct prove_state *prove = tick_until(explorer, 1000);
    assert_int_equal(prove->choice.generation, GENERATION_FIRST);
    assert_true(shows(explorer, "segments, "));
    assert_true(shows(explorer, "Viterbi"));
    assert_true(shows(explorer, "Published: 14.90 dB (ATSC A/54A)."));
    explorer_run_script(explorer, "Up Right"); /* no Rayleigh there: on to the echoes */
    assert_int_equal(prove_of(explorer)->choice.channel, CHANNEL_CARRIERS);
    explorer_run_script(explorer, "Left");
    assert_int_equal(prove_of(explorer)->choice.channel, CHANNEL_AWGN);
    explorer_run_script(explorer, "Down Left Up Right"); /* the second generation has it */
    assert_int_equal(prove_of(explorer)->choice.channel, CHANNEL_RAYLEIGH);
    explorer_run_script(explorer, "Down Right"); /* and loses it to the first */
    assert_int_equal(prove_of(explorer)->choice.channel, CHANNEL_AWGN);
    explorer_free(explorer);
}

static void echoes_are_planned_beside_and_any_change_counts(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("e a c Left");
    struct prove_state *prove = prove_of(explorer);
    assert_int_equal(prove->choice.channel, CHANNEL_CARRIERS);
    assert_int_equal(prove->sweep.count, 0);
    assert_true(shows(explorer, "the expected SNR is found first"));
    explorer_run_script(explorer, "Enter");
    prove = tick_until(explorer, 100);
    assert_true(frames_of(prove) >= 100);
    assert_true(shows(explorer, "Self-interference and Doppler count as noise."));
    explorer_run_script(explorer, "i");
    assert_true(shows(explorer, "Expected with the profile's echoes: "));
    assert_true(shows(explorer, "white noise alone"));
    explorer_run_script(explorer, "Escape");
    assert_true(strncmp(prove->picture.marks[0].label, "predicted ", 10) == 0);
    struct scenario next = explorer->desk.profile.scenario;
    next.echoes[0].level_db -= 1.0;
    assert_true(desk_change(&explorer->desk, &next));
    prove = prove_of(explorer);
    assert_null(prove->work);
    assert_int_equal(frames_of(prove), 0);
    explorer_free(explorer);
}

/* The worker's first task; the status must not speak of a round at 0 dB. */
static void the_plan_is_said(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("e a c Left");
    struct prove_work work = {0};
    struct prove_state *prove = prove_of(explorer);
    prove->work = &work; /* stands for a worker that has not planned yet */
    prove->phase = PROVE_RUNNING;
    struct grid grid = {0};
    struct text screen = {0};
    assert_true(grid_resize(&grid, 20, 80));
    prove_draw(&explorer->desk, prove, &grid, (struct rect){0, 0, 20, 80});
    grid_dump(&grid, &screen);
    prove->work = NULL;
    assert_non_null(strstr(text_string(&screen), "Finding the expected SNR ..."));
    assert_null(strstr(text_string(&screen), "Round"));
    assert_null(strstr(text_string(&screen), "0.00 dB"));
    assert_null(strstr(text_string(&screen), "/s"));
    text_free(&screen);
    grid_free(&grid);
    explorer_free(explorer);
}

static void impossible_echoes_are_said_in_short(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c");
    struct scenario next = explorer->desk.profile.scenario;
    next.echo_count = 1;
    next.echoes[0] = (struct echo){.delay_us = 2000.0, .level_db = 0.0};
    snprintf(next.echo_names[0], sizeof next.echo_names[0], "far");
    assert_true(desk_change(&explorer->desk, &next));
    for (int first = 0; first < 2; first++) {
        explorer_run_script(explorer, first ? "Down Right Up Enter" : "Left Enter");
        assert_int_equal(tick_until_idle(explorer)->phase, PROVE_FAILED);
        assert_true(shows(explorer, "│ echo: no SNR suffices with these echoes\n"));
        assert_true(shows(explorer, "Nothing is simulated until the echoes or the settings"));
        struct text screen = {0};
        screen_of(explorer, &screen);
        assert_null(strstr(text_string(&screen), "expected SNR"));
        text_free(&screen);
    }
    explorer_free(explorer);
}

static void show_counts(struct explorer *explorer, int point, long frames, long errors)
{
    proof_sweep_take(&prove_of(explorer)->sweep, point,
                     &(struct run_counts){.frames = frames, .frame_errors = errors});
}

/* Each line fits 80 columns, and says whether points reach the rate and which decoder is meant. */
static void the_threshold_is_said_with_what_it_rests_on(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c");
    show_counts(explorer, 5, 2000, 800);
    show_counts(explorer, 6, 2000, 200);
    assert_true(shows(explorer, " Extrapolated to 1e-4: 1."));
    assert_true(shows(explorer, " dB, standard error 0.0"));
    show_counts(explorer, 7, 200000, 20);
    assert_true(shows(explorer, " Simulated at 1e-4: "));
    explorer_run_script(explorer, "Down Right");
    show_counts(explorer, 3, 6864, 1024);
    show_counts(explorer, 4, 48984, 1001);
    assert_true(shows(explorer, " Extrapolated to 1.93e-4: 14."));
    assert_true(shows(explorer, " dB; expected 14.90 dB.\n"));
    explorer_run_script(explorer, "Left Down Right"); /* min-sum */
    assert_true(shows(explorer, "Expected: by sum-product.\n"));
    explorer_free(explorer);
}

/* Two rays of the same power and opposite sign at no delay leave nothing to receive. */
static void what_cannot_be_simulated_is_said(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c");
    struct scenario next = explorer->desk.profile.scenario;
    next.echo_count = 1;
    next.echoes[0] = (struct echo){.delay_us = 0.0, .level_db = 0.0, .phase_deg = 180.0};
    snprintf(next.echo_names[0], sizeof next.echo_names[0], "mirror");
    assert_true(desk_change(&explorer->desk, &next));
    explorer_run_script(explorer, "Left Enter");
    struct prove_state *prove = tick_until_idle(explorer);
    assert_int_equal(prove->phase, PROVE_FAILED);
    assert_true(prove->fault.wrong[0] != '\0');
    assert_true(shows(explorer, prove->fault.wrong));
    explorer_free(explorer);
}

static void every_size_shows_choice_status_and_curve(void **state)
{
    (void)state;
    static const struct {
        int rows, columns;
    } sizes[] = {{10, 40}, {12, 40}, {24, 80}, {40, 120}, {60, 200}, {60, 40}, {10, 200}};
    struct explorer *explorer = prove_after(FAST " Enter");
    tick_until(explorer, 500);
    explorer_run_script(explorer, "Enter");
    tick_until_idle(explorer);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        struct text screen = {0};
        explorer->rows = sizes[i].rows;
        explorer->columns = sizes[i].columns;
        for (int ascii = 0; ascii < 2; ascii++) {
            explorer->ascii = ascii;
            assert_true(shows(explorer, "Channel"));
            assert_true(shows(explorer, "Stopped."));
            assert_true(shows(explorer, " wrong"));
            assert_true(shows(explorer, "SNR, dB"));
            assert_true(sizes[i].rows < 12 || shows(explorer, "1e-4"));
            assert_true(shows(explorer, "o"));
        }
        screen_of(explorer, &screen);
        for (size_t k = 0; k < screen.length; k++) {
            assert_true(screen.data[k] == '\n' || (screen.data[k] >= ' ' && screen.data[k] < 0x7F));
        }
        text_free(&screen);
    }
    assert_int_equal(explorer->columns, 200);
    explorer->rows = 60;
    assert_true(shows(explorer, "95 % from")); /* the table beside the curve */
    explorer_free(explorer);
}

static void the_mouse_selects_changes_and_starts(void **state)
{
    (void)state;
    struct explorer *explorer = prove_after("c");
    struct prove_layout layout = prove_layout(explorer_layout(explorer).body);
    char keys[128];
    snprintf(keys, sizeof keys, "Click:%d,%d WheelUp:%d,%d", layout.choices.row + 2,
             layout.choices.column + 3, layout.choices.row + 2, layout.choices.column + 3);
    explorer_run_script(explorer, keys);
    assert_int_equal(prove_of(explorer)->choice.algorithm, LDPC_MIN_SUM);
    snprintf(keys, sizeof keys, "Click:%d,%d", layout.status.row, layout.status.column + 2);
    explorer_run_script(explorer, keys);
    assert_true(explorer_busy(explorer));
    explorer_run_script(explorer, keys);
    tick_until_idle(explorer);
    explorer_free(explorer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_curve_grows_until_it_is_told_to_stop),
        cmocka_unit_test(points_are_what_simulate_counts),
        cmocka_unit_test(the_picture_has_points_intervals_and_bounds),
        cmocka_unit_test(limit_ideal_and_published_value_are_marked),
        cmocka_unit_test(another_mode_clears_the_curve),
        cmocka_unit_test(leaving_the_view_stops_the_run),
        cmocka_unit_test(a_stop_is_obeyed_whenever_it_comes),
        cmocka_unit_test(the_first_generation_is_counted_in_segments),
        cmocka_unit_test(echoes_are_planned_beside_and_any_change_counts),
        cmocka_unit_test(the_plan_is_said),
        cmocka_unit_test(impossible_echoes_are_said_in_short),
        cmocka_unit_test(the_threshold_is_said_with_what_it_rests_on),
        cmocka_unit_test(what_cannot_be_simulated_is_said),
        cmocka_unit_test(every_size_shows_choice_status_and_curve),
        cmocka_unit_test(the_mouse_selects_changes_and_starts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
