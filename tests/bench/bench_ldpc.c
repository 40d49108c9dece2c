/* LDPC decoding: information Mbit/s for each kind of vector instructions, with 25 fixed iterations
 * and with early stop 0.3 dB above the threshold, and millions of edges a second of one thread's
 * fixed iterations in the best round, which compare codes of unequal density: three of the first
 * pair's, and all of DVB-T2's. Quote ratios of one run: clocks drift and machines are shared, so
 * each figure is the median of several rounds that take turns. */
#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "base/number.h"
#include "base/random.h"
#include "simulation/ldpc/decoder.h"
#include "simulation/ldpc/encoder.h"
#include "standard/atsc3/table/ldpc.h"
#include "standard/dvbt2/code.h"

enum { WORDS = 8, ROUNDS = 5, THREADS = 2, FIXED = 25, MOST = 50 };

static const char *const decoder_names[LDPC_ALGORITHM_COUNT] = {
    [LDPC_SUM_PRODUCT] = "sum-product", [LDPC_BOX_PLUS] = "box-plus", [LDPC_MIN_SUM] = "min-sum"};

struct job {
    const struct ldpc_code *code;
    enum ldpc_algorithm algorithm;
    enum simd_kind kind;
    const float *llr; /* WORDS codewords */
    int max_iterations;
    bool early_stop;
    double seconds; /* to spend */
    /* results */
    double mbps;
    double iterations; /* mean */
};

static double now_s(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now); /* others may share the processor */
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static void *run_job(void *argument)
{
    struct job *job = argument;
    struct ldpc_decoder *decoder = ldpc_decoder_create_with(job->code, job->algorithm, job->kind);
    uint8_t *bits = malloc((size_t)job->code->bits);
    job->mbps = NAN;
    if (decoder && bits) {
        long words = 0, iterations = 0;
        double start = now_s(), spent = 0;
        while (spent < job->seconds) {
            const float *llr = job->llr + (size_t)(words % WORDS) * (size_t)job->code->bits;
            iterations +=
                ldpc_decode(decoder, llr, job->max_iterations, job->early_stop, bits).iterations;
            words++;
            spent = now_s() - start;
        }
        job->mbps = (double)words * job->code->information_bits / spent * 1e-6;
        job->iterations = (double)iterations / (double)words;
    }
    free(bits);
    ldpc_decoder_free(decoder);
    return NULL;
}

/* The sum of the threads' rates. */
static double run_threads(const struct job *job, int threads, double *iterations)
{
    struct job jobs[THREADS];
    pthread_t ids[THREADS];
    double sum = 0;
    for (int i = 0; i < threads; i++) {
        jobs[i] = *job;
        if (i > 0 && pthread_create(&ids[i], NULL, run_job, &jobs[i]) != 0) {
            return NAN;
        }
    }
    run_job(&jobs[0]);
    for (int i = 0; i < threads; i++) {
        if (i > 0) {
            pthread_join(ids[i], NULL);
        }
        sum += jobs[i].mbps;
    }
    *iterations = jobs[0].iterations;
    return sum;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void fill_words(const struct ldpc_code *code, double es_n0_db, float *llr)
{
    struct random random = random_seeded(25, (uint64_t)code->information_bits);
    double variance = pow(10.0, -es_n0_db / 10) / 2;
    uint8_t *word = calloc((size_t)code->bits, 1);
    for (int w = 0; word && w < WORDS; w++) {
        for (int i = 0; i < code->information_bits; i++) {
            word[i] = random_bits(&random) & 1;
        }
        ldpc_encode(code, word);
        for (int i = 0; i < code->bits; i++) {
            double received = (word[i] ? -1 : 1) + sqrt(variance) * random_normal(&random);
            *llr++ = (float)(2 * received / variance);
        }
    }
    free(word);
}

static void bench_code(const char *name, const struct ldpc_table *table, int bits,
                       double threshold_db, double seconds)
{
    struct ldpc_code code;
    if (ldpc_code_make(&code, table, bits) != STATUS_OK) {
        return;
    }
    float *llr = calloc((size_t)WORDS * (size_t)code.bits, sizeof *llr);
    if (llr) {
        fill_words(&code, threshold_db + 0.3, llr);
    }
    for (int algorithm = LDPC_ALGORITHM_COUNT - 1; llr && algorithm >= 0; algorithm--) {
        for (int kind = SIMD_KIND_COUNT - 1; kind >= 0; kind--) {
            struct job job = {.code = &code,
                              .algorithm = (enum ldpc_algorithm)algorithm,
                              .kind = (enum simd_kind)kind,
                              .llr = llr,
                              .seconds = seconds};
            double figures[4][ROUNDS], iterations = 0;
            if (!simd_is_available(job.kind)) {
                continue;
            }
            for (int round = 0; round < ROUNDS; round++) {
                for (int figure = 0; figure < 4; figure++) {
                    job.early_stop = figure / 2;
                    job.max_iterations = job.early_stop ? MOST : FIXED;
                    figures[figure][round] = run_threads(&job, 1 + figure % 2, &iterations);
                }
            }
            printf("%-14s  %-11s  %-7s", name, decoder_names[algorithm], simd_name(job.kind));
            for (int figure = 0; figure < 4; figure++) {
                qsort(figures[figure], ROUNDS, sizeof(double), compare);
                printf("  %7.1f", figures[figure][ROUNDS / 2]);
            }
            printf("  %5.1f  %7.0f\n", iterations,
                   figures[0][ROUNDS - 1] / code.information_bits * FIXED * code.edge_count *
                       LDPC_LANES);
            fflush(stdout);
        }
    }
    free(llr);
    ldpc_code_free(&code);
}

/* The needs of QPSK in white noise, less 3 dB for one axis of it (physics/information/dvbt2_snr.c),
 * nearly enough also for the three rates that no PLP has. */
static void bench_t2(double seconds)
{
    static const double thresholds_db[T2_LENGTH_COUNT][T2_RATE_COUNT] = {
        [T2_64800] = {-2.14, -0.90, 0.01, 0.96, 1.60, 2.11},
        [T2_16200] = {-2.53, -0.81, 0.20, 1.15, 1.74, 2.32, -6.5, -4.0, -3.1},
    };
    for (int i = 0; i < T2_LENGTH_COUNT * T2_RATE_COUNT; i++) {
        enum t2_length length = (enum t2_length)(i / T2_RATE_COUNT);
        enum t2_rate rate = (enum t2_rate)(i % T2_RATE_COUNT);
        char name[32];
        (void)snprintf(name, sizeof name, "T2 %s %s", t2_length_name(length), t2_rate_name(rate));
        if (t2_ldpc_table(length, rate) != NULL) {
            bench_code(name, t2_ldpc_table(length, rate), t2_length_bits(length),
                       thresholds_db[length][rate], seconds);
        }
    }
}

/* A number of seconds for each measurement may be given; default 0.1. */
int main(int count, char **arguments)
{
    /* Es/N0 of +-1 signalling where a tenth of the words fail with sum-product and 50 iterations:
     * computed with tests/proof/ldpc_fer. */
    static const struct {
        const char *name;
        enum code_length length;
        int rate_15ths;
        double threshold_db;
    } codes[] = {{"A/322 64800 8", LENGTH_64800, 8, -2.03},
                 {"A/322 64800 10", LENGTH_64800, 10, -0.41},
                 {"A/322 64800 13", LENGTH_64800, 13, 2.39},
                 {"A/322 16200 8", LENGTH_16200, 8, -1.7}};
    double seconds = 0.1;
    if (count > 1 && !number_read_double(arguments[1], &seconds)) {
        fprintf(stderr, "usage: bench_ldpc [SECONDS]\n");
        return 2;
    }
    printf("information Mbit/s, medians of %d; million edges a second\n", ROUNDS);
    printf("                                      %d fixed iterations   early stop, threshold + "
           "0.3 dB\n",
           FIXED);
    printf("code            decoder      kind     1 thread 2 threads 1 thread 2 threads iterations "
           "edges\n");
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        bench_code(codes[i].name, ldpc_table_find(codes[i].length, codes[i].rate_15ths),
                   code_length_bits(codes[i].length), codes[i].threshold_db, seconds);
    }
    bench_t2(seconds);
    return 0;
}
