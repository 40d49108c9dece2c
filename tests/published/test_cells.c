/* Cells and pilots against ATSC A/322:2024-04 (Tables 7.2-7.4, 8.5, Annex F) and against the second
 * witness, vectors/cells.py, which was written apart from the program. */
#include "support/near.h"
#include "support/scenarios.h"

#include "standard/atsc3/frame.h"
#include "standard/atsc3/grid.h"
#include "standard/atsc3/pilots.h"

struct cells_vector {
    const char *fft, *pilots;
    int guard, reduction, carriers, data, boundary_total, first_preamble, preamble;
    int boundary[BOOST_MAX + 1];
};

struct detail_vector {
    int mode, bits, cells;
};

struct frame_vector {
    const char *fft, *pilots;
    long cells;
    double duration_ms, plp_mbps, net_mbps;
    int bandwidth_mhz, guard, reduction, boost, frame_ms, first_boundary;
    int l1_basic, l1_detail, l1_detail_bits;
    int bits_per_cell, length, rate_15ths, outer_bits;
    int preamble_symbols, data_symbols;
};

#include "published/vectors/cells.inc"
#include "scenario/scenario.h"

#define COUNT(array) (sizeof(array) / sizeof((array)[0]))

static enum guard guard_of(int samples)
{
    int guard = 0;
    while (guard_samples((enum guard)guard) != samples) {
        guard++;
        assert_true(guard < GUARD_COUNT);
    }
    return (enum guard)guard;
}

static struct transmission mode_of(const char *fft, int guard, const char *pilots, int reduction,
                                   int boost)
{
    struct transmission mode = transmission_default();
    mode.subframes[0].waveform.fft = (enum fft_size)choice_named("mode.fft", fft);
    mode.subframes[0].waveform.guard = guard_of(guard);
    mode.subframes[0].waveform.pilots = (enum pilots)choice_named("mode.pilots", pilots);
    mode.subframes[0].waveform.reduction = reduction;
    mode.subframes[0].waveform.boost = boost;
    assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
    return mode;
}

static void data_cells_are_those_of_tables_7_3_and_7_4(void **state)
{
    (void)state;
    assumes("8K; symbols that are no boundary of a subframe");
    static const struct {
        enum guard guard;
        enum pilots pilots;
        int reduction, cells;
    } rows[] = {{GI7_2048, SP3_2, 0, 5711}, {GI7_2048, SP3_4, 0, 6285}, {GI6_1536, SP4_2, 0, 5999},
                {GI5_1024, SP6_4, 0, 6573}, {GI3_512, SP12_2, 0, 6575}, {GI2_384, SP16_4, 0, 6753},
                {GI1_192, SP32_2, 0, 6755}, {GI1_192, SP32_4, 0, 6807}, {GI6_1536, SP4_4, 1, 6339}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct transmission mode = transmission_default();
        mode.subframes[0].waveform.fft = FFT_8K;
        mode.subframes[0].waveform.guard = rows[i].guard;
        mode.subframes[0].waveform.pilots = rows[i].pilots;
        mode.subframes[0].waveform.reduction = rows[i].reduction;
        assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
        assert_near(cells_data(&mode.subframes[0].waveform), rows[i].cells, 0,
                    "ATSC A/322:2024-04 Tables 7.3, 7.4");
    }
}

static void boundary_cells_are_those_of_annex_f(void **state)
{
    (void)state;
    assumes("cells that carry data; nulls do not count");
    static const struct {
        enum guard guard;
        enum pilots pilots;
        int cells[BOOST_MAX + 1];
    } rows[] = {{GI7_2048, SP3_2, {4560, 4560, 4123, 3801, 3467}},
                {GI7_2048, SP3_4, {4560, 3904, 2922, 2148, 1534}},
                {GI1_192, SP32_4, {6648, 6064, 5757, 5515, 5324}}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int boost = 0; boost <= BOOST_MAX; boost++) {
            struct transmission mode = transmission_default();
            mode.subframes[0].waveform.fft = FFT_8K;
            mode.subframes[0].waveform.guard = rows[i].guard;
            mode.subframes[0].waveform.pilots = rows[i].pilots;
            mode.subframes[0].waveform.boost = boost;
            assert_near(cells_boundary(&mode.subframes[0].waveform), rows[i].cells[boost], 0,
                        "ATSC A/322:2024-04 Annex F, 8K, c = 0");
        }
    }
}

static void preamble_cells_are_those_of_table_7_2(void **state)
{
    (void)state;
    assumes("the first symbol of the preamble has the fewest carriers, whatever the mode");
    static const struct {
        enum fft_size fft;
        enum pilots pilots;
        int cells[REDUCTION_MAX + 1];
    } rows[] = {{FFT_8K, SP16_2, {6432, 6342, 6253, 6164, 6075}},
                {FFT_16K, SP32_2, {13296, 13110, 12927, 12742, 12558}}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int c = 0; c <= REDUCTION_MAX; c++) {
            struct transmission mode = transmission_default();
            mode.subframes[0].waveform.fft = rows[i].fft;
            mode.subframes[0].waveform.guard = GI1_192;
            mode.subframes[0].waveform.pilots = rows[i].pilots;
            mode.subframes[0].waveform.reduction = c;
            assert_near(cells_preamble(&mode.subframes[0].waveform), rows[i].cells[c], 0,
                        "ATSC A/322:2024-04 Table 7.2, GI1_192");
            assert_near(cells_first_preamble(&mode.subframes[0].waveform),
                        rows[i].cells[REDUCTION_MAX], 0,
                        "ATSC A/322:2024-04 Table 7.2, GI1_192, c = 4");
        }
    }
}

static void l1_basic_cells_are_those_of_table_6_17(void **state)
{
    (void)state;
    assumes("the seven modes of the table");
    static const int cells[] = {3820, 934, 484, 259, 163, 112, 69};
    for (int mode = 1; mode <= 7; mode++) {
        assert_near(cells_l1_basic(mode), cells[mode - 1], 0, "ATSC A/322:2024-04 Table 6.17");
    }
}

static int bits_of(enum code_length length, int rate_15ths, enum outer_code outer)
{
    return payload_bits(
        &(const struct code){.length = length, .rate_15ths = rate_15ths, .outer = outer});
}
static void block_payloads_are_those_of_tables_6_5_to_6_7(void **state)
{
    (void)state;
    assert_int_equal(bits_of(LENGTH_64800, 2, OUTER_BCH), 8448);
    assert_int_equal(bits_of(LENGTH_64800, 13, OUTER_BCH), 55968);
    assert_int_equal(bits_of(LENGTH_16200, 2, OUTER_BCH), 1992);
    assert_int_equal(bits_of(LENGTH_16200, 10, OUTER_CRC), 10800 - 32);
    assert_int_equal(bits_of(LENGTH_64800, 10, OUTER_NONE), 43200);
}

static void continual_pilots_have_the_power_of_table_8_5(void **state)
{
    (void)state;
    assumes("an amplitude of 8/3 of a data cell's");
    assert_near(pilots_continual_db(), 8.52, 0, "ATSC A/322:2024-04 Table 8.5");
}

static void every_legal_geometry_agrees_with_the_second_witness(void **state)
{
    (void)state;
    assumes("both read the same document, each on its own");
    assert_int_equal(COUNT(cells_vectors), 81 * (REDUCTION_MAX + 1));
    for (size_t i = 0; i < COUNT(cells_vectors); i++) {
        const struct cells_vector *v = &cells_vectors[i];
        for (int boost = 0; boost <= BOOST_MAX; boost++) {
            struct transmission mode = mode_of(v->fft, v->guard, v->pilots, v->reduction, boost);
            struct cell_counts counts = cells_count(&mode.subframes[0].waveform);
            assert_near(counts.carriers, v->carriers, 0, "vectors/cells.py");
            assert_near(counts.data, v->data, 0, "vectors/cells.py");
            assert_near(counts.boundary_total, v->boundary_total, 0, "vectors/cells.py");
            assert_near(counts.boundary, v->boundary[boost], 0, "vectors/cells.py");
            assert_near(counts.first_preamble, v->first_preamble, 0, "vectors/cells.py");
            assert_near(counts.preamble, v->preamble, 0, "vectors/cells.py");
        }
    }
}

static void l1_detail_cells_agree_with_the_second_witness(void **state)
{
    (void)state;
    assumes("both read the same document, each on its own");
    for (size_t i = 0; i < COUNT(detail_vectors); i++) {
        const struct detail_vector *v = &detail_vectors[i];
        assert_near(cells_l1_detail(v->mode, v->bits), v->cells, 0, "vectors/cells.py");
    }
}

static struct transmission mode_of_frame(const struct frame_vector *v)
{
    struct transmission mode = mode_of(v->fft, v->guard, v->pilots, v->reduction, v->boost);
    mode.subframes[0].waveform.bandwidth_mhz = v->bandwidth_mhz;
    mode.frame_ms = v->frame_ms;
    mode.subframes[0].first_boundary = v->first_boundary;
    mode.signalling.l1_basic_mode = v->l1_basic;
    mode.signalling.l1_detail_mode = v->l1_detail;
    mode.signalling.l1_detail_bits = v->l1_detail_bits;
    mode.plps[0].code.constellation = (enum constellation)(v->bits_per_cell / 2 - 1);
    mode.plps[0].code.length = v->length == 64800 ? LENGTH_64800 : LENGTH_16200;
    mode.plps[0].code.rate_15ths = v->rate_15ths;
    mode.plps[0].code.outer = v->outer_bits == 0    ? OUTER_NONE
                              : v->outer_bits == 32 ? OUTER_CRC
                                                    : OUTER_BCH;
    mode.plps[0].interleaver = CTI_512;
    assert_int_equal(transmission_check(&mode, NULL), STATUS_OK);
    return mode;
}

static void frames_and_rates_agree_with_the_second_witness(void **state)
{
    (void)state;
    assumes("one subframe with one PLP and CTI 512, in modes that the second witness drew");
    for (size_t i = 0; i < COUNT(frame_vectors); i++) {
        const struct frame_vector *v = &frame_vectors[i];
        struct transmission mode = mode_of_frame(v);
        struct frame frame;
        assert_int_equal(frame_build(&mode, &frame, NULL), STATUS_OK);
        assert_near(frame.preamble_symbols, v->preamble_symbols, 0, "vectors/cells.py");
        assert_near(frame.data_symbols, v->data_symbols, 0, "vectors/cells.py");
        assert_near((double)frame.cells, (double)v->cells, 0, "vectors/cells.py");
        assert_near(frame.duration_ms, v->duration_ms, 1e-9, "vectors/cells.py");
        struct carried carried = code_carried(&mode.plps[0].code, frame.cell_rate_hz);
        assert_near(carried.plp_mbps, v->plp_mbps, 1e-10, "vectors/cells.py");
        assert_near(carried.net_mbps, v->net_mbps, 1e-10, "vectors/cells.py");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(data_cells_are_those_of_tables_7_3_and_7_4),
        cmocka_unit_test(boundary_cells_are_those_of_annex_f),
        cmocka_unit_test(preamble_cells_are_those_of_table_7_2),
        cmocka_unit_test(l1_basic_cells_are_those_of_table_6_17),
        cmocka_unit_test(block_payloads_are_those_of_tables_6_5_to_6_7),
        cmocka_unit_test(continual_pilots_have_the_power_of_table_8_5),
        cmocka_unit_test(every_legal_geometry_agrees_with_the_second_witness),
        cmocka_unit_test(l1_detail_cells_agree_with_the_second_witness),
        cmocka_unit_test(frames_and_rates_agree_with_the_second_witness),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
