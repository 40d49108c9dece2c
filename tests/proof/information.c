/* Writes src/physics/information/information_table.c to standard output: mutual information of the
 * 61 sets by quadrature of order 48 (which agrees with order 64 to 5e-6 bit), and the limits that
 * follow; with --uniform the same of evenly spaced sets, uniform_table.c; with --rotated that of
 * rotated sets over the SNRs of both parts, rotated/rotated_table.c, by order 40. `make
 * information` runs it; it takes about five minutes. */
#include <math.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "physics/information/information.h"
#include "physics/information/rotated/rotated.h"
#include "physics/information/sets.h"
#include "physics/information/uniform.h"
#include "simulation/run.h"

#define ORDER 48

struct table {
    uint32_t samples[INFORMATION_SETS][INFORMATION_SAMPLES_MAX];
    struct information_curve curves[INFORMATION_SETS];
};

/* Samples until the set carries all it ever will (to a millionth of a bit), and four more. */
static void sample_set(struct table *table, int set, enum constellation constellation, int rate)
{
    uint32_t *samples = table->samples[set];
    double end = information_by_quadrature(constellation, rate, INFORMATION_LAST_DB, ORDER);
    int count = 0, saturated = 0;
    while (count < INFORMATION_SAMPLES_MAX && saturated < 5) {
        double snr_db = INFORMATION_FIRST_DB + count * INFORMATION_STEP_DB;
        double bits = information_by_quadrature(constellation, rate, snr_db, ORDER);
        samples[count++] = (uint32_t)lround(bits * 1e6);
        saturated += end - bits < 1e-6;
    }
    table->curves[set] = (struct information_curve){.microbits = samples, .count = count};
}

/* ---- Evenly spaced sets. ---- */

static int print_uniform(int set, int bits, int alpha, enum uniform_stream stream)
{
    double end = information_uniform_by_quadrature(bits, alpha, stream, INFORMATION_LAST_DB, ORDER);
    int count = 0, saturated = 0;
    printf("\n    /* set %d: %d bits, alpha %d */", set, bits, alpha);
    while (count < INFORMATION_SAMPLES_MAX && saturated < 5) {
        double snr_db = INFORMATION_FIRST_DB + count * INFORMATION_STEP_DB;
        double has = information_uniform_by_quadrature(bits, alpha, stream, snr_db, ORDER);
        printf("%s%ld,", count % 11 == 0 ? "\n    " : " ", lround(has * 1e6));
        count++;
        saturated += end - has < 1e-6;
    }
    return count;
}

static int write_uniform(void)
{
    static const int alphas[] = {1, 2, 4};
    int starts[UNIFORM_SETS + 1] = {0};
    printf("/* Made by `make information` (tests/proof/information.c): do not edit. Layout in\n"
           " * uniform.h, units in curve.h. */\n#include \"physics/information/uniform.h\"\n\n"
           "/* clang-format off */\nconst uint32_t uniform_microbits[] = {");
    for (int set = 0; set < UNIFORM_SETS; set++) {
        int of = set < 4 ? 0 : set - 4; /* streams: by bits, alpha, stream */
        int count = set < 4 ? print_uniform(set, 2 * (set + 1), 1, STREAM_ALL)
                            : print_uniform(set, 4 + of / 6 * 2, alphas[of % 6 / 2],
                                            of % 2 ? STREAM_LOW : STREAM_HIGH);
        starts[set + 1] = starts[set] + count;
    }
    printf("\n};\n\nconst int uniform_starts[UNIFORM_SETS + 1] = {");
    for (int set = 0; set <= UNIFORM_SETS; set++) {
        printf("%s%d,", set % 12 == 0 ? "\n    " : " ", starts[set]);
    }
    printf("\n};\n");
    return 0;
}

/* ---- Rotated sets. ---- */

#define ROTATED_ORDER 40
#define THREADS_MAX 256

/* Every so many-th sample of a set, for one thread. */
struct share {
    enum t2_constellation constellation;
    int from, step;
    long *microbits;
};

static void *sample_share(void *argument)
{
    const struct share *share = argument;
    for (int i = 0, sample = 0; i < SURFACE_NODES; i++) {
        for (int k = 0; k <= i; k++, sample++) {
            if (sample % share->step == share->from) {
                double bits = rotated_by_quadrature(share->constellation, surface_node_db(i),
                                                    surface_node_db(k), ROTATED_ORDER);
                share->microbits[sample] = lround(fmax(bits, 0.0) * 1e6);
            }
        }
    }
    return NULL;
}

static bool sample_rotated(enum t2_constellation constellation, int threads, long *microbits)
{
    struct share shares[THREADS_MAX];
    pthread_t ids[THREADS_MAX];
    int started = 0;
    for (; started < threads; started++) {
        shares[started] = (struct share){constellation, started, threads, microbits};
        if (pthread_create(&ids[started], NULL, sample_share, &shares[started]) != 0) {
            break;
        }
    }
    for (int i = 0; i < started; i++) {
        pthread_join(ids[i], NULL);
    }
    return started == threads;
}

static int write_rotated(void)
{
    static long microbits[SURFACE_SAMPLES];
    int threads = run_processors() < THREADS_MAX ? run_processors() : THREADS_MAX;
    printf("/* Made by `make information` (tests/proof/information.c): do not edit. Layout in\n"
           " * surface.h. */\n#include \"physics/information/rotated/rotated.h\"\n\n"
           "/* clang-format off */\n"
           "const struct information_surface rotated_surfaces[T2_CONSTELLATION_COUNT] = {");
    for (int set = 0; set < T2_CONSTELLATION_COUNT; set++) {
        if (!sample_rotated((enum t2_constellation)set, threads, microbits)) {
            return 1;
        }
        printf("\n    /* %s */\n    {{", t2_constellation_name((enum t2_constellation)set));
        for (int i = 0; i < SURFACE_SAMPLES; i++) {
            printf("%s%ld,", i % 11 == 0 ? "\n    " : " ", microbits[i]);
        }
        printf("\n    }},");
    }
    printf("\n};\n");
    return 0;
}

static void print_samples(const struct table *table)
{
    printf("const uint32_t information_microbits[] = {");
    for (int set = 0; set < INFORMATION_SETS; set++) {
        printf("\n    /* set %d */", set);
        for (int i = 0; i < table->curves[set].count; i++) {
            printf("%s%u,", i % 11 == 0 ? "\n    " : " ", table->samples[set][i]);
        }
    }
    printf("\n};\n\nconst int information_starts[INFORMATION_SETS + 1] = {");
    int start = 0;
    for (int set = 0; set <= INFORMATION_SETS; set++) {
        printf("%s%d,", set % 12 == 0 ? "\n    " : " ", start);
        start += set < INFORMATION_SETS ? table->curves[set].count : 0;
    }
    printf("\n};\n\n");
}

static void print_limits(const struct table *table)
{
    printf("const double information_limits_db[2][CONSTELLATION_COUNT][RATE_COUNT] = {\n");
    for (int rayleigh = 0; rayleigh < 2; rayleigh++) {
        printf("    {\n");
        for (int c = 0; c < CONSTELLATION_COUNT; c++) {
            printf("        {");
            for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
                int set = information_set((enum constellation)c, rate);
                const struct information_curve *curve = &table->curves[set];
                double bits = rate / 15.0 * constellation_bits((enum constellation)c);
                printf("%.4f, ", rayleigh ? information_curve_rayleigh_snr_db(curve, bits)
                                          : information_curve_snr_db(curve, bits));
            }
            printf("},\n");
        }
        printf("    },\n");
    }
    printf("};\n");
}

int main(int argc, char **argv)
{
    static struct table table;
    if (argc > 1 && strcmp(argv[1], "--uniform") == 0) {
        return write_uniform();
    }
    if (argc > 1 && strcmp(argv[1], "--rotated") == 0) {
        return write_rotated();
    }
    for (int c = 0; c < CONSTELLATION_COUNT; c++) {
        for (int rate = RATE_MIN_15THS; rate <= RATE_MAX_15THS; rate++) {
            if (c != QPSK || rate == RATE_MIN_15THS) {
                int set = information_set((enum constellation)c, rate);
                sample_set(&table, set, (enum constellation)c, rate);
            }
        }
    }
    printf("/* Made by `make information` (tests/proof/information.c): do not edit. Layout and "
           "units in\n"
           " * curve.h. */\n"
           "#include \"physics/information/sets.h\"\n\n"
           "/* clang-format off */\n");
    print_samples(&table);
    print_limits(&table);
    return 0;
}
