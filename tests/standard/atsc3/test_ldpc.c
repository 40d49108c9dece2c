#include "support/near.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/random.h"
#include "simulation/ldpc/encoder.h"
#include "standard/atsc3/ldpc.h"

#define LANES 360

/* The sizes that ATSC A/322:2024-04 prints for its codes: structure, M1 and M2 of structure A, and
 * the number of address rows. Q, Q1 and Q2 are the printed ones, not divided out here. */
static const struct printed {
    char structure;
    int m1, m2, q1, q2, q;
} printed_64800[] =
    {
        {'A', 1800, 54360, 5, 151, 0}, {'A', 1800, 50040, 5, 139, 0}, {'A', 1800, 45720, 5, 127, 0},
        {'A', 1440, 41760, 4, 116, 0}, {'B', 0, 0, 0, 0, 108},        {'A', 1080, 33480, 3, 93, 0},
        {'B', 0, 0, 0, 0, 84},         {'B', 0, 0, 0, 0, 72},         {'B', 0, 0, 0, 0, 60},
        {'B', 0, 0, 0, 0, 48},         {'B', 0, 0, 0, 0, 36},         {'B', 0, 0, 0, 0, 24},
},
  printed_16200[] = {
      {'A', 3240, 10800, 9, 30, 0}, {'A', 1080, 11880, 3, 33, 0}, {'A', 1080, 10800, 3, 30, 0},
      {'A', 720, 10080, 2, 28, 0},  {'B', 0, 0, 0, 0, 27},        {'B', 0, 0, 0, 0, 24},
      {'B', 0, 0, 0, 0, 21},        {'B', 0, 0, 0, 0, 18},        {'B', 0, 0, 0, 0, 15},
      {'B', 0, 0, 0, 0, 12},        {'B', 0, 0, 0, 0, 9},         {'B', 0, 0, 0, 0, 6},
};

struct one {
    enum code_length length;
    int rate, n, k, m;
    struct printed printed;
    const struct ldpc_table *table;
};

static struct one code_number(int number)
{
    bool is_long = number < RATE_COUNT;
    int rate = RATE_MIN_15THS + number % RATE_COUNT, n = is_long ? 64800 : 16200;
    enum code_length length = is_long ? LENGTH_64800 : LENGTH_16200;
    return (struct one){
        .length = length,
        .rate = rate,
        .n = n,
        .k = n / 15 * rate,
        .m = n - n / 15 * rate,
        .printed = (is_long ? printed_64800 : printed_16200)[number % RATE_COUNT],
        .table = ldpc_table_find(length, rate),
    };
}

static void every_table_has_its_rows_and_addresses_in_range(void **state)
{
    (void)state;
    for (int number = 0; number < 24; number++) {
        struct one one = code_number(number);
        struct printed p = one.printed;
        int rows = (p.structure == 'A' ? one.k + p.m1 : one.k) / LANES, seen = 0;
        assert_int_equal(one.table->structure,
                         p.structure == 'A' ? LDPC_STRUCTURE_A : LDPC_STRUCTURE_B);
        assert_int_equal(one.table->information_bits, one.k);
        assert_int_equal(one.table->accumulated_checks, p.structure == 'A' ? p.m1 : one.m);
        if (p.structure == 'A') {
            assert_int_equal(p.m1 + p.m2, one.m);
            assert_int_equal(p.q1 * LANES, p.m1);
            assert_int_equal(p.q2 * LANES, p.m2);
        } else {
            assert_int_equal(p.q * LANES, one.m);
        }
        for (size_t word = 0; word < one.table->words; seen++) {
            int count = one.table->addresses[word++], previous = -1;
            assert_in_range(count, 1, 32);
            for (int i = 0; i < count; i++) {
                int address = one.table->addresses[word++];
                assert_true(address > previous && address < one.m);
                /* The first M1 parity bits of structure A never add into themselves. */
                assert_true(seen < one.k / LANES || address >= p.m1);
                previous = address;
            }
        }
        assert_int_equal(seen, rows);
    }
}

/* A sum over every number, weighted by its place, taken from the standard's tables by a separate
 * script: it changes with any address. */
static void the_tables_have_their_checksum(void **state)
{
    (void)state;
    uint64_t sum = 0, place = 1;
    for (int number = 0; number < 24; number++) {
        const struct ldpc_table *table = code_number(number).table;
        for (size_t word = 0; word < table->words; word++) {
            sum += place++ * table->addresses[word];
        }
    }
    assert_int_equal(place - 1, 11073);
    assert_true(sum == UINT64_C(451000961064));
}

static int compare_edges(const void *a, const void *b)
{
    return memcmp(a, b, sizeof(struct ldpc_edge));
}

static void every_code_is_built_without_a_repeated_edge(void **state)
{
    (void)state;
    for (int number = 0; number < 24; number++) {
        struct one one = code_number(number);
        struct ldpc_code code;
        assert_int_equal(ldpc_code_build(&code, one.length, one.rate), STATUS_OK);
        assert_int_equal(code.bits, one.n);
        assert_int_equal(code.information_bits, one.k);
        assert_int_equal(code.checks, one.m);
        assert_int_equal(code.block_columns * LANES, one.n);
        assert_int_equal(code.block_rows * LANES, one.m);
        int groups = (int)one.table->words, row_count = 0;
        for (size_t word = 0; word < one.table->words; word += 1 + one.table->addresses[word]) {
            row_count++;
        }
        groups -= row_count; /* addresses alone */
        assert_int_equal(code.edge_count, groups + code.block_rows + code.accumulated_rows);
        assert_int_equal(code.row_start[code.block_rows], code.edge_count);
        for (int row = 0; row < code.block_rows; row++) {
            struct ldpc_edge *edges = &code.edges[code.row_start[row]];
            int degree = code.row_start[row + 1] - code.row_start[row];
            assert_true(degree >= 2);
            for (int i = 0; i < degree; i++) {
                assert_true(edges[i].column < code.block_columns && edges[i].shift < LANES);
                assert_true(i == 0 || edges[i].column >= edges[i - 1].column);
            }
            qsort(edges, (size_t)degree, sizeof *edges, compare_edges);
            for (int i = 1; i < degree; i++) {
                assert_int_not_equal(compare_edges(&edges[i - 1], &edges[i]), 0);
            }
        }
        ldpc_code_free(&code);
        assert_null(code.edges);
    }
}

/* The parity checks of the standard, bit by bit, from 6.1.3's own words and not from the
 * quasi-cyclic form: all zero for a codeword in transmitted order. Returns how many fail. */
static int failing_checks(const struct one *one, const uint8_t *word)
{
    struct printed p = one->printed;
    uint8_t *sums = calloc((size_t)one->m, 1), *parity = calloc((size_t)one->m, 1);
    assert_non_null(sums);
    assert_non_null(parity);
    if (p.structure == 'B') { /* undo the reordering: position K + 360 t + s took p[Q s + t] */
        for (int t = 0; t < p.q; t++) {
            for (int s = 0; s < LANES; s++) {
                parity[p.q * s + t] = word[one->k + LANES * t + s];
            }
        }
    } else {
        for (int t = 0; t < p.q1; t++) {
            for (int s = 0; s < LANES; s++) {
                parity[p.q1 * s + t] = word[one->k + LANES * t + s];
            }
        }
        for (int t = 0; t < p.q2; t++) {
            for (int s = 0; s < LANES; s++) {
                parity[p.m1 + p.q2 * s + t] = word[one->k + p.m1 + LANES * t + s];
            }
        }
    }
    size_t place = 0;
    for (int first = 0; place < one->table->words; first += LANES) {
        int count = one->table->addresses[place++];
        for (int i = 0; i < count; i++) {
            int x = one->table->addresses[place++];
            for (int m = 0; m < LANES; m++) {
                int j = p.structure == 'B' ? (x + m * p.q) % one->m
                        : x < p.m1         ? (x + m * p.q1) % p.m1
                                           : p.m1 + (x - p.m1 + m * p.q2) % p.m2;
                sums[j] ^= word[first + m];
            }
        }
    }
    int accumulated = p.structure == 'B' ? one->m : p.m1, failing = 0;
    for (int j = 0; j < one->m; j++) {
        int previous = j > 0 && j < accumulated ? parity[j - 1] : 0;
        failing += sums[j] ^ parity[j] ^ previous;
    }
    free(sums);
    free(parity);
    return failing;
}

static void encoded_words_satisfy_the_standards_own_checks(void **state)
{
    (void)state;
    struct random random = random_seeded(322, 1);
    for (int number = 0; number < 24; number++) {
        struct one one = code_number(number);
        struct ldpc_code code;
        assert_int_equal(ldpc_code_build(&code, one.length, one.rate), STATUS_OK);
        uint8_t *word = malloc((size_t)one.n);
        assert_non_null(word);
        for (int trial = 0; trial < 4; trial++) {
            memset(word, 0xA5, (size_t)one.n);
            for (int i = 0; i < one.k; i++) {
                word[i] = trial == 0 ? i == 777 : random_bits(&random) & 1;
            }
            ldpc_encode(&code, word);
            int ones = 0;
            for (int i = 0; i < one.n; i++) {
                assert_true(word[i] <= 1);
                ones += word[i];
            }
            assert_true(ones > 5);
            assert_int_equal(failing_checks(&one, word), 0);
            /* The check can fail: any single error shows, as often as the bit has edges. */
            int flipped = (int)(random_bits(&random) % (uint64_t)one.n);
            word[flipped] ^= 1;
            assert_in_range(failing_checks(&one, word), 1, 32);
        }
        free(word);
        ldpc_code_free(&code);
    }
}

static void the_quasi_cyclic_edges_are_the_standards_checks(void **state)
{
    (void)state;
    struct random random = random_seeded(322, 2);
    for (int number = 0; number < 24; number++) {
        struct one one = code_number(number);
        struct ldpc_code code;
        assert_int_equal(ldpc_code_build(&code, one.length, one.rate), STATUS_OK);
        uint8_t *word = malloc((size_t)one.n);
        assert_non_null(word);
        /* No codeword at all: both must count the same failing checks. */
        for (int i = 0; i < one.n; i++) {
            word[i] = random_bits(&random) & 1;
        }
        int failing = 0;
        for (int row = 0; row < code.block_rows; row++) {
            for (int lane = 0; lane < LANES; lane++) {
                int sum = 0;
                for (int edge = code.row_start[row]; edge < code.row_start[row + 1]; edge++) {
                    struct ldpc_edge e = code.edges[edge];
                    if (edge != code.open_edge || lane != 0) {
                        sum ^= word[e.column * LANES + (lane + e.shift) % LANES];
                    }
                }
                failing += sum;
            }
        }
        assert_int_equal(failing, failing_checks(&one, word));
        assert_true(failing > one.m / 3);
        free(word);
        ldpc_code_free(&code);
    }
}

static void a_rate_outside_the_standard_is_refused(void **state)
{
    (void)state;
    struct ldpc_code code;
    assert_int_equal(ldpc_code_build(&code, LENGTH_64800, 1), STATUS_OUT_OF_RANGE);
    assert_int_equal(ldpc_code_build(&code, LENGTH_16200, 14), STATUS_OUT_OF_RANGE);
    assert_null(code.edges);
    ldpc_code_free(&code);
    ldpc_code_free(&code);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_table_has_its_rows_and_addresses_in_range),
        cmocka_unit_test(the_tables_have_their_checksum),
        cmocka_unit_test(every_code_is_built_without_a_repeated_edge),
        cmocka_unit_test(encoded_words_satisfy_the_standards_own_checks),
        cmocka_unit_test(the_quasi_cyclic_edges_are_the_standards_checks),
        cmocka_unit_test(a_rate_outside_the_standard_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
