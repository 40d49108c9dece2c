/* The whole chain against the bare decoder: decoded information bits a second of one core, 64800
 * bits at 10/15, 25 iterations whatever happens, and with early stop 0.3 dB above the threshold.
 * Then the first generation. Processor time, so that a busy machine does not count. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "physics/information/required_snr.h"
#include "simulation/chain/chain.h"
#include "simulation/vsb/chain.h"
#include "standard/atsc3/ldpc.h"

#define WORDS_MIN 20
#define SECONDS_MIN 0.4

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

struct row {
    const char *name;
    enum constellation constellation;
    enum ldpc_algorithm algorithm;
    enum demapper_method demapper;
    bool early_stop;
};

struct bare {
    struct ldpc_code code;
    struct ldpc_decoder *decoder;
    uint8_t *bits;
};

/* Seconds a word: sending and demapping alone, decoding alone, all of it. */
static void measure(const struct row *row, double *rest, double *decode, double *whole)
{
    struct chain_setup setup = chain_setup_default();
    struct chain *chain;
    struct bare bare;
    setup.constellation = row->constellation;
    setup.algorithm = row->algorithm;
    setup.demapper = row->demapper;
    setup.iterations = row->early_stop ? 50 : 25;
    setup.early_stop = row->early_stop;
    double snr_db = ideal_snr_db(setup.length, setup.constellation, setup.rate_15ths, FADING_AWGN);
    snr_db += 0.3;
    if (chain_create(&setup, &chain) != STATUS_OK ||
        ldpc_code_build(&bare.code, setup.length, setup.rate_15ths) != STATUS_OK) {
        exit(1);
    }
    struct chain_worker *worker = chain_worker_create(chain);
    bare.decoder = ldpc_decoder_create(&bare.code, setup.algorithm);
    bare.bits = malloc((size_t)bare.code.bits);
    if (!worker || !bare.decoder || !bare.bits) {
        exit(1);
    }
    int words = 0;
    *rest = *decode = *whole = 0.0;
    for (; words < WORDS_MIN || *whole < SECONDS_MIN; words++) {
        double begin = seconds();
        chain_transmit(worker, snr_db, 1, (uint64_t)words);
        double sent = seconds();
        ldpc_decode(bare.decoder, chain_worker_llr(worker), setup.iterations, setup.early_stop,
                    bare.bits);
        double decoded = seconds();
        chain_send(worker, snr_db, 1, (uint64_t)words);
        *rest += sent - begin;
        *decode += decoded - sent;
        *whole += seconds() - decoded;
    }
    *rest /= words;
    *decode /= words;
    *whole /= words;
    free(bare.bits);
    ldpc_decoder_free(bare.decoder);
    ldpc_code_free(&bare.code);
    chain_worker_free(worker);
    chain_free(chain);
}

static void measure_first(void)
{
    struct vsb_worker *worker = vsb_worker_create(NULL);
    if (!worker) {
        exit(1);
    }
    double begin = seconds();
    int units = 0;
    for (; seconds() - begin < SECONDS_MIN; units++) {
        vsb_send(worker, 14.9, 1, (uint64_t)units);
    }
    double each = (seconds() - begin) / (units * (double)VSB_UNIT_SEGMENTS);
    printf("8-VSB %.0f segments/s, %.1f Mbit/s\n", 1.0 / each, 187.0 * 8.0 / each * 1e-6);
    vsb_worker_free(worker);
}

int main(void)
{
    static const struct row rows[] = {
        {"QPSK    min-sum     25 iterations, max-log", QPSK, LDPC_MIN_SUM, DEMAP_MAX_LOG, false},
        {"256QAM  min-sum     25 iterations, max-log", QAM256, LDPC_MIN_SUM, DEMAP_MAX_LOG, false},
        {"256QAM  min-sum     25 iterations, exact", QAM256, LDPC_MIN_SUM, DEMAP_EXACT, false},
        {"256QAM  min-sum     early stop, max-log", QAM256, LDPC_MIN_SUM, DEMAP_MAX_LOG, true},
        {"4096QAM min-sum     25 iterations, max-log", QAM4096, LDPC_MIN_SUM, DEMAP_MAX_LOG, false},
        {"QPSK    sum-product 25 iterations, exact", QPSK, LDPC_SUM_PRODUCT, DEMAP_EXACT, false},
        {"256QAM  sum-product 25 iterations, exact", QAM256, LDPC_SUM_PRODUCT, DEMAP_EXACT, false},
        {"256QAM  sum-product early stop, exact", QAM256, LDPC_SUM_PRODUCT, DEMAP_EXACT, true},
        {"4096QAM sum-product 25 iterations, exact", QAM4096, LDPC_SUM_PRODUCT, DEMAP_EXACT, false},
    };
    printf("one core, %s; 64800 10/15, 43008 information bits a word\n", simd_name(simd_best()));
    printf("%-45s %10s %10s %10s %8s\n", "", "rest us", "decoder us", "Mbit/s", "ratio");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        double rest, decode, whole;
        measure(&rows[i], &rest, &decode, &whole);
        printf("%-45s %10.0f %10.0f %10.1f %8.2f\n", rows[i].name, 1e6 * rest, 1e6 * decode,
               43008e-6 / whole, whole / decode);
    }
    measure_first();
    return 0;
}
