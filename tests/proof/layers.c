/* Layers simulated: for each pair of codes and each injection level, points down the fall of the
 * frame error rate of the core, its other layer taken for noise and known, and of the enhanced
 * layer after the core was decoded, encoded again and taken away. `make layers` keeps them in
 * tests/proof/layers-table.txt, against which the closed forms of physics/information are tested.
 * Usage: layers [FRAMES [FIRST]], FIRST the pair to begin with. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "physics/information/information.h"
#include "physics/information/layers.h"
#include "physics/information/superposed.h"
#include "physics/information/thresholds.h"
#include "simulation/chain/layers.h"
#include "simulation/waterfall.h"

#define SEED 14
#define FRAME_ERROR_RATE 0.1
#define SHORT_FRAMES 200 /* of long code words a quarter */

static const struct {
    struct code core, enhanced;
    double injection_db;
    double step_db; /* of the points: the fall of a core that lives on knowing is slow */
} pairs[] = {
    {{LENGTH_16200, 8, QPSK, OUTER_BCH}, {LENGTH_16200, 8, QPSK, OUTER_BCH}, 4.0, 0.05},
    {{LENGTH_16200, 5, QPSK, OUTER_BCH}, {LENGTH_16200, 7, QAM16, OUTER_BCH}, 3.0, 0.05},
    {{LENGTH_16200, 6, QPSK, OUTER_BCH}, {LENGTH_16200, 6, QAM64, OUTER_BCH}, 4.0, 0.05},
    {{LENGTH_16200, 3, QPSK, OUTER_BCH}, {LENGTH_16200, 9, QAM64, OUTER_BCH}, 0.0, 0.05},
    {{LENGTH_16200, 5, QAM16, OUTER_BCH}, {LENGTH_16200, 10, QAM64, OUTER_BCH}, 10.0, 0.05},
    {{LENGTH_64800, 9, QPSK, OUTER_BCH}, {LENGTH_64800, 9, QAM256, OUTER_BCH}, 5.0, 0.05},
    {{LENGTH_64800, 2, QPSK, OUTER_BCH}, {LENGTH_64800, 9, QAM1024, OUTER_BCH}, 2.0, 0.05},
    {{LENGTH_16200, 9, QPSK, OUTER_BCH}, {LENGTH_16200, 7, QAM64, OUTER_BCH}, 1.0, 0.2},
};

/* What a code alone needs for the rate, read off the committed points of its threshold. */
static double alone_db(const struct code *code)
{
    const struct threshold *row =
        threshold_find(code->length, code->constellation, code->rate_15ths, FADING_AWGN);
    struct waterfall_point points[THRESHOLD_POINTS_MAX];
    struct waterfall fit;
    int count = 0;
    for (int i = 0; i < THRESHOLD_POINTS_MAX && row->points[i].frames > 0; i++) {
        points[count++] = (struct waterfall_point){(double)row->points[i].snr_db,
                                                   row->points[i].frames, row->points[i].errors};
    }
    return waterfall_fit(points, count, &fit) == STATUS_OK
               ? waterfall_snr_db(&fit, FRAME_ERROR_RATE)
               : NAN;
}

static struct chain_setup setup_of(const struct code *code)
{
    struct chain_setup setup = chain_setup_default();
    setup.length = code->length;
    setup.constellation = code->constellation;
    setup.rate_15ths = code->rate_15ths;
    return setup;
}

static void tell_code(const struct code *code)
{
    printf("%s %s %d/15 | ", code_length_name(code->length),
           constellation_name(code->constellation), code->rate_15ths);
}

static long run_at(const struct layers *layers, double snr_db, long frames,
                   struct run_counts *counts)
{
    const struct layers_point point = {layers, snr_db};
    const struct run_job job = layers_run_job(&point);
    const struct run_limits limits = {
        .frames = frames, .seed = SEED, .threads = run_processors(), .part = 1, .parts = 1};
    if (run_execute(&job, &limits, NULL, counts) != STATUS_OK) {
        exit(1);
    }
    return counts->frame_errors;
}

/* Three points around the rate, from a guess: while too many or too few fail it is moved. */
static void tell_curve(const char *what, const struct layers_setup *setup, double guess_db,
                       double step_db, long frames)
{
    struct layers *layers;
    struct run_counts counts;
    if (layers_create(setup, &layers) != STATUS_OK) {
        exit(1);
    }
    double snr_db = round(guess_db * 20.0) / 20.0;
    for (int i = 0; i < 20; i++) {
        double rate = (double)run_at(layers, snr_db, frames / 5, &counts) / (double)counts.frames;
        if (rate > 0.02 && rate < 0.5) {
            break;
        }
        snr_db += rate >= 0.5 ? 0.1 : -0.1;
    }
    printf("%s", what);
    for (int i = -1; i <= 1; i++) {
        double at_db = round((snr_db + step_db * i) * 100.0) / 100.0;
        run_at(layers, at_db, frames, &counts);
        printf(" %.2f %ld %ld", at_db, counts.frames, counts.frame_errors);
    }
    printf("\n");
    fflush(stdout);
    layers_free(layers);
}

static void tell_pair(size_t i, long frames)
{
    const struct code *core = &pairs[i].core, *enhanced = &pairs[i].enhanced;
    double level_db = pairs[i].injection_db, core_alone_db = alone_db(core);
    struct information_curve alone = information_curve_of(core->constellation, core->rate_15ths);
    const struct superposed both = {core->constellation, enhanced->constellation, core->rate_15ths,
                                    enhanced->rate_15ths, level_db};
    struct layers_setup setup = {
        .core = setup_of(core), .enhanced = setup_of(enhanced), .injection_db = level_db};
    static const char *const names[] = {"noise", "known", "enhanced"};
    const double guesses_db[] = {
        layered_core_snr_db(core_alone_db, level_db),
        superposed_core_snr_db(&both, information_curve_bits(&alone, core_alone_db), core_alone_db),
        layered_enhanced_snr_db(alone_db(enhanced), level_db)};
    for (int kind = 0; kind < 3; kind++) {
        /* Noise of that power may forbid the core; the layer above needs its core too. */
        if (!isfinite(guesses_db[kind]) || (kind == 2 && guesses_db[2] < guesses_db[1])) {
            continue;
        }
        tell_code(core);
        tell_code(enhanced);
        printf("%g | ", level_db);
        setup.other = kind == 0 ? OTHER_IS_NOISE : OTHER_IS_KNOWN;
        setup.enhanced_counts = kind == 2;
        if (kind == 2) { /* the core is far above its own need there */
            setup.other = OTHER_IS_NOISE;
        }
        tell_curve(names[kind], &setup, guesses_db[kind], pairs[i].step_db, frames);
    }
}

int main(int argc, char **argv)
{
    long frames = argc > 1 ? atol(argv[1]) : SHORT_FRAMES;
    size_t first = argc > 2 ? (size_t)atol(argv[2]) : 0;
    if (frames < 20) {
        fprintf(stderr, "usage: layers [FRAMES]: 20 or more\n");
        return 2;
    }
    for (size_t i = first; i < sizeof pairs / sizeof pairs[0]; i++) {
        tell_pair(i, pairs[i].core.length == LENGTH_64800 ? frames / 4 : frames);
    }
    return 0;
}
