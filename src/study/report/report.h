#ifndef STUDY_REPORT_REPORT_H
#define STUDY_REPORT_REPORT_H

#include <stddef.h>

#include "physics/information/required_snr.h"
#include "scenario/scenario.h"
#include "standard/atsc3/frame.h"
#include "standard/rf.h"
#include "study/verdict/verdict.h"

/* Both generations side by side: what each withstands, carries and needs. NAN where unknown.
 *
 * What the figures assume, so that who shows them can say it:
 * - echo_us of the second generation is the guard interval: echoes within it do no harm. The first
 *   generation has none; its reach is the receiver's equaliser (a published receiver by default).
 * - Doppler of the second generation is the smaller of the pilots' limit and of the Doppler at
 *   which inter-carrier interference doubles the receiver's C/N; the first generation's is the
 *   equaliser's tracking. Speed is that on the channel in use.
 * - field_dbuvm: outdoor, with the planning factors of the band, at its median location.
 * - Margins are the verdict's (study/verdict/verdict.h). */

struct report_rf {
    int channel; /* of the site, or the US channel there; 0: none */
    double center_mhz;
    enum band band;
};

struct report_first {
    double net_mbps;
    double required_snr_db; /* threshold and implementation loss, pilot counted as signal */
    double echo_before_us;
    double echo_after_us;
    double echo_km;
    double doppler_hz;
    double speed_kmh;
    double field_dbuvm;
};

struct report_second {
    struct transmission transmission;
    double useful_us, guard_us, symbol_us, spacing_hz;
    int carriers;
    double occupied_mhz;
    int data_cells, boundary_cells;
    int preamble_symbols, data_symbols;
    long cells_per_frame;
    double frame_ms; /* the reached length */
    double plp_mbps, net_mbps;
    double echo_us, echo_km; /* without loss: the guard interval */
    double reach_us;         /* estimation reach with time interpolation */
    double doppler_pilot_hz, doppler_ici_hz, doppler_hz, speed_kmh;
    double limit_snr_db, ideal_snr_db, ideal_rayleigh_snr_db, receiver_snr_db;
    double field_dbuvm;
    double interleaver_ms;
    enum ideal_source ideal_source, ideal_rayleigh_source;
};

struct report {
    struct report_rf rf;
    struct report_first first;
    struct report_second second;
    struct verdicts verdicts; /* under the scenario's conditions */
};

/* STATUS_ILLEGAL where the mode is none or its frame has no room for data. */
enum status report_make(const struct scenario *scenario, struct report *report,
                        struct fault *fault);

/* The same without verdicts, which take the time: no margin is known. */
enum status report_describe(const struct scenario *scenario, struct report *report,
                            struct fault *fault);

/* Only the second generation's column, for one mode on one channel. */
enum status report_second_make(const struct scenario *scenario, const struct transmission *mode,
                               struct report_second *second, struct fault *fault);

/* The part of it that follows without required SNRs and channel (structure, rates, echo, reach, the
 * pilots' Doppler), and the frame: what weighing makes once for many codes. */
enum status report_structure_make(const struct transmission *mode, struct report_second *second,
                                  struct frame *frame, struct fault *fault);

/* ---- Every figure of a report, by name: one table for text, JSON, CSV, the explorer, ordering. */

enum figure_part { FIGURE_RF, FIGURE_FIRST, FIGURE_SECOND };
enum figure_type { FIGURE_DOUBLE, FIGURE_INT, FIGURE_LONG, FIGURE_WORD };

struct figure_row {
    const char *name;  /* JSON name: "plp_mbps" */
    const char *label; /* for people: "PLP rate" */
    const char *unit;  /* "Mbit/s"; "" for none */
    enum figure_part part;
    enum figure_type type;
    int decimals;  /* in text */
    size_t offset; /* in struct report; unused where `word` or `number` is given */
    const char *(*word)(const struct report *report);
    double (*number)(const struct report *report);
};

size_t figure_count(void);
const struct figure_row *figure_row(size_t i);
const struct figure_row *figure_find(enum figure_part part, const char *name); /* NULL: none */

/* A figure as a number: NAN for words and unknown values. The value of a FIGURE_WORD is given by
 * its `word`. */
double figure_value(const struct figure_row *row, const struct report *report);

/* A figure as people read it, with its decimals; "-" for what is not known. */
void figure_words(const struct figure_row *row, const struct report *report, char *buffer,
                  size_t size);

#endif
