/* Where PLPs lie: what is laid side by side, what is refused and at which key, what needs no room
 * of its own. Cells of the plain frame: 1276852 in the list of the one subframe. */
#include "support/near.h"

#include <math.h>
#include <string.h>

#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/pilots.h"
#include "standard/atsc3/signalling.h"

/* A transmission of which the keys of a profile are set, "section.key=value" each. */
static struct transmission with(const char *const *settings)
{
    struct scenario scenario = scenario_default();
    for (; *settings; settings++) {
        char key[64];
        const char *equals = strchr(*settings, '=');
        text_format(key, sizeof key, "%.*s", (int)(equals - *settings), *settings);
        assert_int_equal(scenario_set(&scenario, key, equals + 1, NULL), STATUS_OK);
    }
    return scenario.transmission;
}

static void who_does_not_fit_is_named_by_the_key_that_was_said(void **state)
{
    (void)state;
    static const struct {
        const char *settings[16];
        const char *place;
    } rows[] = {
        {{"frame.frame_ms=5000", "subframe s.fft=8K", "subframe s.guard=GI1_192",
          "subframe s.pilots=SP32_2", "plp a.rate=5/15"},
         "subframe s.symbols"},
        {{"frame.alignment=time", "subframe s.symbols=20", "plp a.rate=5/15"}, "frame.frame_ms"},
        {{"plp a.subslices=2", "plp a.cells=1000", "plp a.subslice_interval=499"},
         "plp a.subslice_interval"},
        {{"plp a.cells=10000", "plp a.start=5000", "plp b.layer=enhanced", "plp b.over=a",
          "plp b.injection_db=4", "plp b.start=4000", "plp b.cells=8000"},
         "plp b.start"},
        {{"plp a.cells=10000", "plp b.layer=enhanced", "plp b.over=a", "plp b.injection_db=4",
          "plp b.cells=12000"},
         "plp b.cells"},
        /* Two dealt out alike, of which the second's pieces run into the first's next. */
        {{"plp a.subslices=2", "plp a.cells=1000", "plp a.subslice_interval=600",
          "plp b.subslices=2", "plp b.cells=1000", "plp b.subslice_interval=600"},
         "plp b.cells"},
        {{"plp a.subslices=2", "plp a.share_percent=1", "plp a.subslice_interval=7000",
          "plp b.subslices=2", "plp b.share_percent=1", "plp b.subslice_interval=7000"},
         "plp b.share_percent"},
        {{"plp a.subslices=2", "plp a.cells=1000", "plp a.subslice_interval=600", "plp b.cells=50",
          "plp b.start=1050", "plp a.start=0"},
         "plp a.start"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct transmission mode = with(rows[i].settings);
        struct frame frame;
        struct fault fault = {0};
        enum status status = frame_build(&mode, &frame, &fault);
        if (status != STATUS_ILLEGAL || strcmp(fault.place, rows[i].place) != 0) {
            print_error("%s: %s: %s, expected at %s\n", rows[i].settings[0], fault.place,
                        fault.wrong, rows[i].place);
            fail();
        }
    }
    struct transmission mode = with((const char *const[]){"plp a.rate=5/15", NULL});
    struct frame frame;
    struct fault fault = {0};
    mode.frame_ms = 4.0; /* less than a profile may say */
    assert_int_equal(frame_build(&mode, &frame, &fault), STATUS_ILLEGAL);
    assert_string_equal(fault.place, "frame.frame_ms");
}

static struct frame built(const struct transmission *mode)
{
    struct frame frame;
    struct fault fault = {0};
    if (frame_build(mode, &frame, &fault) != STATUS_OK) {
        print_error("%s: %s (%s)\n", fault.place, fault.wrong, fault.allowed);
        fail();
    }
    return frame;
}

static void assert_slot(const struct slot *slot, long start, int subslices, long interval)
{
    assert_int_equal(slot->start, start);
    assert_int_equal(slot->subslices, subslices);
    assert_int_equal(slot->interval, interval);
}

/* ATSC A/322:2024-04 section 7.2.6.3, by hand: one behind the other where they are dealt out alike,
 * behind the last piece of the other where not. */
static void pieces_lie_between_those_of_others(void **state)
{
    (void)state;
    struct transmission mode = with((const char *const[]){
        "plp a.subslices=2", "plp a.cells=1000", "plp a.subslice_interval=2000",
        "plp b.subslices=2", "plp b.cells=600", "plp b.subslice_interval=2000", "plp c.subslices=3",
        "plp c.cells=900", "plp c.subslice_interval=2000", "plp d.subslices=2", "plp d.cells=400",
        "plp d.subslice_interval=3000", NULL});
    struct frame frame = built(&mode);
    assert_slot(&frame.slots[0], 0, 2, 2000);
    assert_slot(&frame.slots[1], 500, 2, 2000);
    assert_slot(&frame.slots[2], 2800, 3, 2000);
    assert_slot(&frame.slots[3], 7100, 2, 3000);
    /* What is spread evenly goes behind the piece that ends last, wherever that was said. */
    mode =
        with((const char *const[]){"plp a.cells=1000", "plp a.start=9000", "plp b.cells=1000",
                                   "plp b.start=0", "plp c.subslices=2", "plp c.cells=1000", NULL});
    frame = built(&mode);
    long left = frame.pools[0].cells - 10000;
    assert_slot(&frame.slots[2], 10000, 2, left / 2);
    /* Other pieces may lie between. */
    mode = with((const char *const[]){"plp a.subslices=3", "plp a.cells=900",
                                      "plp a.subslice_interval=1000", "plp b.cells=100",
                                      "plp b.start=2500", NULL});
    frame = built(&mode);
    assert_slot(&frame.slots[1], 2500, 1, frame.slots[1].interval);
}

/* An enhanced PLP as large as its core has the core's pieces; a smaller one is one piece. */
static void layers_lie_over_the_pieces_of_their_core(void **state)
{
    (void)state;
    for (int smaller = 0; smaller < 2; smaller++) {
        struct transmission mode = with((const char *const[]){
            "plp a.subslices=2", "plp a.cells=20000", "plp a.subslice_interval=30000",
            "plp b.layer=enhanced", "plp b.over=a", "plp b.injection_db=4",
            smaller ? "plp b.cells=9000" : "plp b.cells=20000", NULL});
        struct frame frame = built(&mode);
        assert_slot(&frame.slots[1], 0, smaller ? 1 : 2, 30000);
    }
}

/* Cells that lie on the same carriers in all symbols: as wide a part as a piece is of a symbol. */
static void pieces_a_symbol_apart_keep_their_carriers(void **state)
{
    (void)state;
    for (int shift = 0; shift < 3; shift++) {
        struct transmission mode = with((const char *const[]){
            "subframe s.frequency_interleaver=no", "subframe s.first_boundary=yes",
            "plp a.subslices=2", "plp a.cells=2000", "plp a.subslice_interval=20000", NULL});
        long data = cells_data(&mode.subframes[0].waveform);
        struct frame frame = built(&mode);
        mode.plps[0].subslice_interval = (int)(2 * data + (shift == 1));
        mode.plps[0].start =
            (int)(frame.preamble_payload + cells_boundary(&mode.subframes[0].waveform) +
                  (shift == 2 ? data - 10 : 0));
        frame = built(&mode);
        struct carrier_part part = plp_carriers(&mode, &frame, 0);
        double wide = shift == 0 ? 1000.0 / (double)data : 1.0; /* not alike; over a symbol's end */
        assert_near(part.to - part.from, wide, 1e-9, "cells of a piece over cells of a symbol");
    }
}

/* A frame aligned to time takes what its symbols leave into the guard intervals. */
static void said_symbols_are_stretched_to_the_time(void **state)
{
    (void)state;
    struct transmission mode = with((const char *const[]){
        "frame.alignment=time", "subframe s.symbols=97", "plp a.rate=5/15", NULL});
    struct frame frame = built(&mode);
    assert_int_equal(frame.data_symbols, 97);
    assert_near(frame.duration_ms, 250.0, 1e-12, "the time that was said");
    assert_true(frame.excess_samples > 0);
}

/* L1 can be counted before it is legal: a layer without a core counts as its own. */
static void signalling_of_a_layer_without_a_core_is_counted(void **state)
{
    (void)state;
    struct transmission mode = with((const char *const[]){"plp a.layer=enhanced", NULL});
    assert_true(signalling_detail_count(&mode) > 0);
    assert_int_equal(signalling_detail_bits(&mode) % 8, 0);
}

static void pilots_are_counted_as_they_are_mapped(void **state)
{
    (void)state;
    uint8_t kinds[32768];
    for (int fft = 0; fft < FFT_COUNT; fft++) {
        for (int i = 0; i < 4 * PILOTS_COUNT * (REDUCTION_MAX + 1); i++) {
            struct waveform waveform = transmission_default().subframes[0].waveform;
            int kind = i % 4;
            waveform.fft = (enum fft_size)fft;
            waveform.pilots = (enum pilots)(i / 4 % PILOTS_COUNT);
            waveform.reduction = i / 4 / PILOTS_COUNT;
            int carriers = pilots_map(&waveform, (enum symbol_kind)kind, 0, kinds), pilots = 0;
            for (int k = 0; k < carriers; k++) {
                pilots += kinds[k] != CARRIER_DATA;
            }
            assert_int_equal(pilots_count(&waveform, (enum symbol_kind)kind), pilots);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(who_does_not_fit_is_named_by_the_key_that_was_said),
        cmocka_unit_test(pieces_lie_between_those_of_others),
        cmocka_unit_test(layers_lie_over_the_pieces_of_their_core),
        cmocka_unit_test(pieces_a_symbol_apart_keep_their_carriers),
        cmocka_unit_test(said_symbols_are_stretched_to_the_time),
        cmocka_unit_test(signalling_of_a_layer_without_a_core_is_counted),
        cmocka_unit_test(pilots_are_counted_as_they_are_mapped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
