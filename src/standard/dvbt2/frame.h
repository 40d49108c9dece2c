#ifndef STANDARD_DVBT2_FRAME_H
#define STANDARD_DVBT2_FRAME_H

#include "base/text.h"
#include "standard/dvbt2/code.h"
#include "standard/dvbt2/waveform.h"

/* A DVB-T2 frame and its PLPs on one frequency, ETSI EN 302 755 V1.4.1 clauses 7 and 8: the P1
 * symbol, P2 symbols with the L1 signalling, data symbols, and a frame closing symbol where the
 * pattern asks for one. All that is chosen, and what follows from it. */

enum t2_l1 { T2_L1_BPSK, T2_L1_QPSK, T2_L1_16QAM, T2_L1_64QAM, T2_L1_COUNT };
const char *t2_l1_name(enum t2_l1 l1);

#define T2_PLPS_MAX 16 /* the standard's limit is 255; more than these nobody needs here */

struct t2_plp {
    struct t2_code code;
    char name[NAME_MAX_BYTES]; /* "" in the plain case */
    int cells;                 /* 0: by share */
    double share_percent;      /* of the frame's cells; NAN: an equal part of what others leave */
};

struct dvbt2 {
    struct t2_waveform waveform;
    bool high_efficiency; /* mode of the baseband frames: no sync bytes, no CRC per packet */
    int symbols;          /* of a frame, P2 included, P1 apart; 0: as many as 250 ms hold */
    enum t2_l1 l1;        /* constellation of L1-post */
    int plp_count;        /* that have a name; 0: the plain case, the first counts */
    union {
        struct t2_code code; /* of the first */
        struct t2_plp plps[T2_PLPS_MAX];
    };
};

/* How many there are, the plain one counted. */
int t2_plps(const struct dvbt2 *mode);

#define T2_FRAME_MAX_MS 250.0
#define T2_HEADER_BITS 80 /* of a baseband frame */

/* ---- Cells of symbols: tables 47 to 51. ---- */
int t2_p2_symbols(enum t2_fft fft);
int t2_p2_cells(enum t2_fft fft);
int t2_data_cells(const struct t2_waveform *waveform);
/* Table 64: the last symbol has pilots of its own. */
bool t2_has_closing(const struct t2_waveform *waveform);
int t2_closing_cells(const struct t2_waveform *waveform);     /* C_FC, those that are modulated */
int t2_closing_cells_all(const struct t2_waveform *waveform); /* N_FC */
int t2_symbols_max(const struct t2_waveform *waveform, int bandwidth_mhz); /* table 46 */
int t2_symbols_min(enum t2_fft fft);
int t2_l1_post_bits(int plps); /* on one frequency, CRC included: clause 7.2.3 */
int t2_l1_cells(enum t2_fft fft, enum t2_l1 l1, int post_bits); /* L1-pre and L1-post: D_L1 */

/* What a PLP has of a frame. */
struct t2_slot {
    long cells;              /* that it may use */
    long blocks;             /* code blocks in them */
    int interleaving_blocks; /* time interleaver blocks a frame */
    double interleaver_ms;   /* that a code block's cells are spread over */
    double latency_ms;       /* of interleaving, from sender to receiver: filled, then read */
    double start_up_ms;      /* at worst, from switching on to the first code block */
    long memory_cells;       /* of the largest time interleaver block */
    double plp_mbps;         /* after the outer code is taken off */
    double net_mbps;         /* after baseband frame headers: transport stream packets */
};

struct t2_frame {
    int symbols; /* L_F */
    int p2_symbols, data_symbols;
    double duration_ms;
    long cells; /* payload cells */
    struct t2_slot slots[T2_PLPS_MAX];
};

/* Of a data PLP, and a common one with it, in cells: clause 6.5. */
#define T2_MEMORY_CELLS ((1L << 19) + (1L << 15))

/* Into how many pieces the time interleaver has to part so many code blocks of a frame. */
int t2_interleaving_blocks(const struct t2_code *code, long blocks);
/* Of the net rate where packets travel without their sync bytes, over that with them. */
double t2_packing(bool high_efficiency);

/* Legal, with room for a code block of each PLP. Faults name the profile's keys. */
enum status t2_check(const struct dvbt2 *mode, int bandwidth_mhz, struct fault *fault);
/* The nearest legal waveform and number of symbols. */
void t2_repair(struct dvbt2 *mode, int bandwidth_mhz);
enum status t2_frame_build(const struct dvbt2 *mode, int bandwidth_mhz, struct t2_frame *frame,
                           struct fault *fault);

#endif
