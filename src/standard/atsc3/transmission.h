#ifndef STANDARD_ATSC3_TRANSMISSION_H
#define STANDARD_ATSC3_TRANSMISSION_H

#include <stdbool.h>

#include "base/status.h"
#include "base/text.h"
#include "standard/atsc3/code.h"
#include "standard/atsc3/time_interleaver.h"
#include "standard/atsc3/waveform.h"

/* All that is chosen of a transmission of the second generation (ATSC A/322:2024-04), as a tree:
 * frame -> subframes -> physical layer pipes (PLPs). One subframe with one PLP is the plain case,
 * not another type: it is what a profile's [mode] says, in the first of each list. What follows
 * from the choices is in grid.h, cells.h, signalling.h and frame.h. */

#define SUBFRAMES_MAX 16 /* the standard's limit is 256; more than these nobody needs here */
#define PLPS_MAX 64      /* L1D_plp_id has six bits */

/* Numbers that a choice may leave to what follows from the others. */
#define CHOSEN_BY_NONE (-1)

enum layer { LAYER_CORE, LAYER_ENHANCED, LAYER_COUNT };
enum miso { MISO_NONE, MISO_64, MISO_256, MISO_COUNT };
enum alignment { ALIGNED_TO_SYMBOLS, ALIGNED_TO_TIME, ALIGNMENT_COUNT };
enum bonding { BONDING_NONE, BONDING_PLAIN, BONDING_AVERAGED, BONDING_COUNT };
enum time_info { TIME_NONE, TIME_MS, TIME_US, TIME_NS, TIME_INFO_COUNT };

struct plp {
    char name[NAME_MAX_BYTES];     /* "" in the plain case */
    char subframe[NAME_MAX_BYTES]; /* which carries it; "": the first */
    char over[NAME_MAX_BYTES];     /* of an enhanced one: its core PLP */
    struct code code;
    enum interleaver interleaver; /* an enhanced one has its core's */
    enum layer layer;
    double injection_db;   /* how far an enhanced one lies below its core: injection.h */
    double share_percent;  /* of its subframe's cells; NAN: an equal part of what others leave */
    int cells;             /* 0: by share */
    int start;             /* in the list of cells; CHOSEN_BY_NONE: after the one before */
    int subslices;         /* 1: in one piece */
    int subslice_interval; /* from start to start; 0: evenly over the subframe */
    double bonded_snr_db;  /* of the other channel; NAN: the same as here */
};

struct subframe {
    char name[NAME_MAX_BYTES]; /* "" in the plain case */
    struct waveform waveform;
    bool first_boundary, last_boundary; /* that symbol is a boundary symbol */
    bool frequency_interleaver;
    enum miso miso;
    int symbols;          /* boundary ones included; 0: by share */
    double share_percent; /* of the time that subframes have; NAN: an equal part of the rest */
};

struct signalling {
    int l1_basic_mode;  /* 1..7 */
    int l1_detail_mode; /* 1..7 */
    int l1_detail_bits; /* L1-Detail information bits; 0: counted (signalling.h) */
    enum time_info time_info;
    int preamble_fft, preamble_guard, preamble_reduction; /* CHOSEN_BY_NONE: the subframe's */
    int preamble_symbols;                                 /* 0: as many as L1 needs */
};

struct transmission {
    double frame_ms; /* asked length of the frame, 50..5000 */
    enum alignment alignment;
    bool tone_reservation;
    enum bonding bonding;
    struct signalling signalling;
    int subframe_count; /* that have a name; 0: the plain case, the first counts */
    struct subframe subframes[SUBFRAMES_MAX];
    int plp_count; /* likewise */
    struct plp plps[PLPS_MAX];
};

/* How many there are, the plain one counted. */
int transmission_subframes(const struct transmission *transmission);
int transmission_plps(const struct transmission *transmission);

/* Nothing but one subframe with one PLP, as [mode] says. */
bool transmission_is_plain(const struct transmission *transmission);

/* Where a PLP is sent, and the core PLP whose cells it uses (itself, if it is one); -1: there is
 * none of that name. */
int plp_subframe(const struct transmission *transmission, int plp);
int plp_core(const struct transmission *transmission, int plp);

/* Words as in profiles: "core", "none", "symbol", "averaged", "ns". */
const char *layer_name(enum layer layer);
const char *miso_name(enum miso miso);
const char *alignment_name(enum alignment alignment);
const char *bonding_name(enum bonding bonding);
const char *time_info_name(enum time_info info);

/* By how many samples MISO's filters lengthen the channel's response (A/322:2024-04 section 8.2).
 */
int miso_samples(enum miso miso);

/* "mode.guard" in the plain case, else "subframe NAME.guard", "plp NAME.rate". */
#define PLACE_BYTES (NAME_MAX_BYTES + 40)
void subframe_place(const struct transmission *transmission, int subframe, const char *key,
                    char place[PLACE_BYTES]);
void plp_place(const struct transmission *transmission, int plp, const char *key,
               char place[PLACE_BYTES]);

/* STATUS_OK where the choices, each in its range, go together; else a fault whose place is the
 * profile's key ("mode.pilots", "plp phone.over") and whose `allowed` lists what is legal there.
 * Whether all finds room is frame_build's to say. */
enum status transmission_check(const struct transmission *transmission, struct fault *fault);

/* Makes a transmission legal again after one of its choices changed, by moving the other choices to
 * the nearest legal ones (guard, pilots, MISO, constellation, interleaver, injection level; a PLP
 * whose subframe or core is gone takes another one, or becomes a core). Returns how many were
 * moved. Sizes and shares are left as they are. */
int transmission_repair(struct transmission *transmission);

#endif
