/* The proving view on the grid: choices and status above, the curve below. */
#include "explorer/prove/draw.h"

#include <math.h>
#include <string.h>

#include "explorer/desk/words.h"
#include "explorer/frame/screen.h"

#define BAR_COLUMNS 20

static const struct system_simulation *simulation_of(const struct desk *desk,
                                                     const struct prove_state *state)
{
    return proof_simulation(&desk->profile.scenario, &state->choice);
}

/* ---- Choices. ---- */

static void draw_choices(const struct desk *desk, const struct prove_state *state,
                         struct grid *grid, struct rect area)
{
    for (int i = 0; i < area.rows; i++) {
        enum prove_row row = (enum prove_row)(state->rows.first + i);
        bool selected = (int)row == state->rows.at;
        screen_mark(grid, area.row + i, area.column, selected);
        grid_write(grid, area.row + i, area.column + 1, 11, ROLE_PLAIN, prove_choice_label(row));
        screen_fit(grid, area.row + i, area.column + 13, area.columns - 14,
                   selected ? ROLE_SELECTED : ROLE_TITLE, prove_choice_value(desk, state, row));
    }
}

/* ---- Status. ---- */

/* With echoes the worker first finds where the fall is expected. */
static bool is_planning(const struct prove_state *state)
{
    return state->work && state->sweep.count == 0;
}

static void write_phase(const struct prove_state *state, char *buffer, size_t size)
{
    static const char *const words[PROVE_PHASE_COUNT] = {
        [PROVE_READY] = "Enter starts the simulation.",
        [PROVE_STOPPING] = "Stopping ...",
        [PROVE_STOPPED] = "Stopped. Enter goes on.",
        [PROVE_DONE] = "Done: all rounds.",
    };
    if (state->phase == PROVE_FAILED) {
        text_format(buffer, size, "%s%s%s", state->fault.place, state->fault.place[0] ? ": " : "",
                    state->fault.wrong);
    } else if (state->phase == PROVE_RUNNING && is_planning(state)) {
        text_format(buffer, size, "Finding the expected SNR ...");
    } else if (state->phase == PROVE_RUNNING) {
        char bar[BAR_COLUMNS + 1];
        for (int i = 0; i < BAR_COLUMNS; i++) {
            bar[i] = i < (int)(state->progress.share * BAR_COLUMNS) ? '#' : '.';
        }
        bar[BAR_COLUMNS] = '\0';
        text_format(buffer, size, "Round %d of %d [%s]", state->progress.step.round + 1,
                    PROOF_SWEEP_ROUNDS, bar);
    } else {
        text_format(buffer, size, "%s", words[state->phase]);
    }
}

static struct run_counts all_counts(const struct prove_state *state)
{
    struct run_counts all = {0};
    for (int i = 0; i < state->sweep.count; i++) {
        run_counts_add(&all, &state->sweep.points[i].counts);
    }
    return all;
}

static void draw_status(const struct desk *desk, const struct prove_state *state, struct grid *grid,
                        struct rect area)
{
    const struct prove_progress *progress = &state->progress;
    const char *frames = simulation_of(desk, state)->count.frames;
    char words[160];
    enum role role = state->phase == PROVE_FAILED ? ROLE_WARN
                     : state->phase == PROVE_DONE ? ROLE_GOOD
                                                  : ROLE_TITLE;
    int column = area.column + 1, width = area.columns - 2;
    write_phase(state, words, sizeof words);
    screen_fit(grid, area.row, column, width, role, words);
    struct run_counts all = all_counts(state);
    bool begun = !state->work || all.frames > 0 || progress->frames > 0;
    if (state->work) {
        text_format(words, sizeof words, "%.2f dB: %ld %s, %ld wrong", progress->step.snr_db,
                    progress->frames, frames, progress->errors);
    } else if (all.frames > 0) {
        text_format(words, sizeof words, "%ld %s, %ld wrong", all.frames, frames, all.frame_errors);
    } else {
        text_format(words, sizeof words, "%d points around %.2f dB", state->sweep.count,
                    state->sweep.expected_db);
    }
    if (state->sweep.count > 0 && begun) {
        screen_fit(grid, area.row + 1, column, width, ROLE_PLAIN, words);
    }
    if (state->work && !is_planning(state) && begun && area.rows > 2) {
        text_format(words, sizeof words, "%.0f/s, %.1f Mbit/s on %d %s", progress->rate_hz,
                    progress->mbit_s, state->work->threads,
                    state->work->threads == 1 ? "thread" : "threads");
        screen_fit(grid, area.row + 2, column, width, ROLE_DIM, words);
    }
}

/* ---- The points as a table. ---- */

static void rate_text(double rate, char *buffer, size_t size)
{
    text_format(buffer, size, rate > 0.0 ? "%.1e" : "0", rate);
}

static void draw_table(const struct desk *desk, const struct prove_state *state, struct grid *grid,
                       struct rect area)
{
    static const struct {
        const char *head;
        int end; /* columns from the left */
    } cells[] = {{"dB", 7}, {NULL, 19}, {"wrong", 26}, {"rate", 34}, {"95 % from", 45}, {"to", 53}};
    const char *frames = simulation_of(desk, state)->count.frames;
    for (int i = 0; i < 6; i++) {
        screen_right(grid, area.row, area.column, cells[i].end, ROLE_DIM,
                     cells[i].head ? cells[i].head : frames);
    }
    for (int i = 0; i < state->sweep.count && i + 1 < area.rows; i++) {
        const struct proof_point *point = &state->sweep.points[i];
        const struct run_counts *counts = &point->counts;
        struct interval interval = proof_interval(counts);
        char texts[6][24];
        int filled = counts->frames > 0 ? 6 : 1;
        text_format(texts[0], sizeof texts[0], "%.2f", point->snr_db);
        text_format(texts[1], sizeof texts[1], "%ld", counts->frames);
        text_format(texts[2], sizeof texts[2], "%ld", counts->frame_errors);
        rate_text(run_frame_error_rate(counts), texts[3], sizeof texts[3]);
        rate_text(interval.low, texts[4], sizeof texts[4]);
        rate_text(interval.high, texts[5], sizeof texts[5]);
        for (int k = 0; k < filled; k++) {
            screen_right(grid, area.row + 1 + i, area.column, cells[k].end, ROLE_PLAIN, texts[k]);
        }
    }
}

void prove_draw(const struct desk *desk, const void *opaque, struct grid *grid, struct rect area)
{
    const struct prove_state *state = opaque;
    struct prove_layout layout = prove_layout(area);
    draw_choices(desk, state, grid, layout.choices);
    screen_divider(grid, layout.divider);
    draw_status(desk, state, grid, layout.status);
    screen_rule(grid, layout.rule, "Error rate against SNR");
    if (state->picture.title[0]) {
        picture_draw_grid(&state->picture, grid, layout.picture);
    }
    screen_divider(grid, layout.table_divider);
    if (layout.table.columns > 0) {
        draw_table(desk, state, grid, layout.table);
    }
}

/* ---- Words. ---- */

static void write_published(const struct desk *desk, const struct prove_state *state,
                            struct text *out)
{
    struct simulation_mark marks[SIMULATION_MARKS_MAX];
    struct simulation_choice asked = proof_asked(&state->choice);
    int count = asked.channel != CHANNEL_CARRIERS
                    ? simulation_of(desk, state)->marks(&desk->profile.scenario, &asked, marks)
                    : 0;
    for (int i = 0; i < count; i++) {
        if (marks[i].kind == MARK_PUBLISHED) {
            const char *memory = strstr(marks[i].source, ", from memory");
            int length = (int)(memory ? memory - marks[i].source : (long)strlen(marks[i].source));
            text_printf(out, "Published%s: %.2f dB (%.*s). ",
                        memory ? ", quoted without the table at hand" : "", marks[i].snr_db, length,
                        marks[i].source);
        }
    }
}

/* What must be known to compare: one line. */
static void write_remarks(const struct desk *desk, const struct prove_state *state,
                          struct text *out)
{
    write_published(desk, state, out);
    if (proof_has_decoders(&desk->profile.scenario, &state->choice) &&
        state->choice.algorithm == LDPC_MIN_SUM) {
        text_append(out, "Expected: by sum-product. ");
    }
    text_append(out, proof_echoes_note(&desk->profile.scenario, &state->choice));
}

void prove_words(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct prove_state *state = opaque;
    const struct proof_sweep *sweep = &state->sweep;
    const struct axis *axis = &state->picture.y;
    struct proof_threshold threshold;
    char rate[32];
    if (sweep->count == 0) {
        text_append(out, state->phase == PROVE_FAILED
                             ? "Nothing is simulated until the echoes or the settings change."
                             : "With echoes the expected SNR is found first, by calculation.");
        return;
    }
    picture_tick_text(axis, &sweep->error_rate, 1, 0, rate, sizeof rate);
    if (proof_sweep_threshold(sweep, &threshold)) {
        text_printf(out, "%s %s: %.2f dB, standard error %.2f dB; expected %.2f dB.\n",
                    threshold.extrapolated ? "Extrapolated to" : "Simulated at", rate,
                    threshold.snr_db, ceil(threshold.error_db * 100.0) / 100.0, sweep->expected_db);
    } else {
        text_printf(out, "A rate of %s is expected at %.2f dB.\n", rate, sweep->expected_db);
    }
    write_remarks(desk, state, out);
}

/* How echoes are taken; the explanation that follows knows none. */
static void write_long_echoes(const struct desk *desk, const struct prove_state *state,
                              struct text *out)
{
    if (state->sweep.count > 0) {
        text_printf(out, "Expected with the profile's echoes: %.2f dB (predicted). ",
                    state->sweep.expected_db);
    }
    text_append(out, simulation_of(desk, state)->rays);
    text_append(out, " What follows is for white noise alone.\n\n");
}

void prove_explain(const struct desk *desk, const void *opaque, struct text *out)
{
    const struct prove_state *state = opaque;
    text_printf(out, "%s.\n\n", state->picture.title);
    if (state->choice.channel == CHANNEL_CARRIERS) {
        write_long_echoes(desk, state, out);
    }
    char name[64];
    text_format(name, sizeof name, "%s.%s", generation_name(state->choice.generation),
                simulation_of(desk, state)->needed[state->choice.channel]);
    words_long(desk, name, out);
}
