/* Cells, frames and rates of DVB-T2, ETSI EN 302 755 V1.4.1.
 *
 * A frame lasts T_F = L_F (Tu + Tg) + 2048 T (P1). Its cells are N_P2 C_P2 + (data symbols) C_data,
 * the last data symbol's C_FC where it closes the frame, less what L1 takes; as many whole code
 * blocks as fit carry the PLP. Net rate = blocks (Kbch - 80) / T_F, by 188/187 more in the high
 * efficiency mode, whose packets travel without their sync bytes. Several PLPs part the cells, each
 * with whole blocks of its own; L1-post tells of each.
 *
 * Time interleaver (clause 6.5): at most 2^19 + 2^15 cells an interleaving block, whole code
 * blocks; so many blocks a frame as that takes, each spread over its share of the frame. Where
 * there are several PLPs they are taken as sliced over the whole frame (type 2). A block is filled
 * at the sender while the one before is read, and read at the receiver once it is there: a latency
 * of twice its span. A receiver that has just missed P2 waits a frame for L1, then for a block.
 *
 * Worked number: 8 MHz, 32K extended, 1/128, PP7, 256QAM 2/3, L_F = 60: 1 639 268 cells, L1 2090,
 * 202 blocks; high efficiency 40.215 Mbit/s. */
#include "standard/dvbt2/frame.h"

#include <math.h>

#include "base/text.h"

/* Tables 47 and 51. */
static const struct {
    int cells, symbols;
} p2_rows[T2_FFT_COUNT] = {
    [T2_1K] = {558, 16}, [T2_2K] = {1118, 8},  [T2_4K] = {2236, 4},
    [T2_8K] = {4472, 2}, [T2_16K] = {8944, 1}, [T2_32K] = {22432, 1},
};

/* Tables 48 to 50 by pilot pattern, without tone reservation; 0: not used. */
struct cell_row {
    int data[T2_PILOTS_COUNT], closing_all[T2_PILOTS_COUNT], closing[T2_PILOTS_COUNT];
};
static const struct cell_row cell_rows[T2_FFT_COUNT][2] = {
    [T2_1K][0] = {{764, 768, 798, 804, 818, 0, 0, 0},
                  {568, 710, 710, 780, 780, 0, 0, 0},
                  {402, 654, 490, 707, 544, 0, 0, 0}},
    [T2_2K][0] = {{1522, 1532, 1596, 1602, 1632, 0, 1646, 0},
                  {1136, 1420, 1420, 1562, 1562, 0, 1632, 0},
                  {804, 1309, 980, 1415, 1088, 0, 1396, 0}},
    [T2_4K][0] = {{3084, 3092, 3228, 3234, 3298, 0, 3328, 0},
                  {2272, 2840, 2840, 3124, 3124, 0, 3266, 0},
                  {1609, 2619, 1961, 2831, 2177, 0, 2792, 0}},
    [T2_8K][0] = {{6208, 6214, 6494, 6498, 6634, 0, 6698, 6698},
                  {4544, 5680, 5680, 6248, 6248, 0, 6532, 0},
                  {3218, 5238, 3922, 5662, 4354, 0, 5585, 0}},
    [T2_8K][1] = {{6296, 6298, 6584, 6588, 6728, 0, 6788, 6788},
                  {4608, 5760, 5760, 6336, 6336, 0, 6624, 0},
                  {3264, 5312, 3978, 5742, 4416, 0, 5664, 0}},
    [T2_16K][0] = {{12418, 12436, 12988, 13002, 13272, 13288, 13416, 13406},
                   {9088, 11360, 11360, 12496, 12496, 13064, 13064, 0},
                   {6437, 10476, 7845, 11324, 8709, 11801, 11170, 0}},
    [T2_16K][1] = {{12678, 12698, 13262, 13276, 13552, 13568, 13698, 13688},
                   {9280, 11600, 11600, 12760, 12760, 13340, 13340, 0},
                   {6573, 10697, 8011, 11563, 8893, 12051, 11406, 0}},
    [T2_32K][0] = {{0, 24886, 0, 26022, 0, 26592, 26836, 26812},
                   {0, 22720, 0, 24992, 0, 26128, 0, 0},
                   {0, 20952, 0, 22649, 0, 23603, 0, 0}},
    [T2_32K][1] = {{0, 25412, 0, 26572, 0, 27152, 27404, 27376},
                   {0, 23200, 0, 25520, 0, 26680, 0, 0},
                   {0, 21395, 0, 23127, 0, 24102, 0, 0}},
};

static const char *const l1_names[T2_L1_COUNT] = {
    [T2_L1_BPSK] = "BPSK", [T2_L1_QPSK] = "QPSK", [T2_L1_16QAM] = "16QAM", [T2_L1_64QAM] = "64QAM"};
static const int l1_bits[T2_L1_COUNT] = {
    [T2_L1_BPSK] = 1, [T2_L1_QPSK] = 2, [T2_L1_16QAM] = 4, [T2_L1_64QAM] = 6};

#define P1_SAMPLES 2048
#define L1_PRE_CELLS 1840

const char *t2_l1_name(enum t2_l1 l1)
{
    return (unsigned)l1 < T2_L1_COUNT ? l1_names[l1] : "?";
}

int t2_p2_symbols(enum t2_fft fft)
{
    return p2_rows[fft].symbols;
}

int t2_p2_cells(enum t2_fft fft)
{
    return p2_rows[fft].cells;
}

static const struct cell_row *row_of(const struct t2_waveform *waveform)
{
    return &cell_rows[waveform->fft][waveform->extended];
}

int t2_data_cells(const struct t2_waveform *waveform)
{
    return row_of(waveform)->data[waveform->pilots];
}

int t2_closing_cells(const struct t2_waveform *waveform)
{
    return row_of(waveform)->closing[waveform->pilots];
}

int t2_closing_cells_all(const struct t2_waveform *waveform)
{
    return row_of(waveform)->closing_all[waveform->pilots];
}

/* Note 4 of table 59 gives table 64: pilots so sparse that the guard interval outruns what one
 * symbol resolves. */
bool t2_has_closing(const struct t2_waveform *waveform)
{
    double apart = t2_pilots_dx(waveform->pilots) * t2_pilots_dy(waveform->pilots);
    return waveform->pilots != T2_PP8 && apart * t2_guard_share(waveform->guard) >= 1.0;
}

static double symbol_us(const struct t2_waveform *waveform, int bandwidth_mhz)
{
    return t2_fft_points(waveform->fft) * t2_elementary_us(bandwidth_mhz) *
           (1.0 + t2_guard_share(waveform->guard));
}

static double p1_us(int bandwidth_mhz)
{
    return P1_SAMPLES * t2_elementary_us(bandwidth_mhz);
}

int t2_symbols_max(const struct t2_waveform *waveform, int bandwidth_mhz)
{
    double room_us = T2_FRAME_MAX_MS * 1e3 - p1_us(bandwidth_mhz);
    int symbols = (int)floor(room_us / symbol_us(waveform, bandwidth_mhz) + 1e-9);
    return waveform->fft == T2_32K ? symbols / 2 * 2 : symbols;
}

int t2_symbols_min(enum t2_fft fft)
{
    return fft == T2_32K ? 4 : t2_p2_symbols(fft) + 7;
}

/* Fields of L1-post on one frequency without auxiliary streams and future extension frames, tables
 * 29 and 32 (the names and widths from memory; one PLP's add up to the 350 bits that the published
 * greatest rates were counted with). */
static const struct {
    const char *name;
    int bits;
    bool of_each_plp;
} l1_post_fields[] = {
    /* Configurable. */
    {"SUB_SLICES_PER_FRAME", 15, false},
    {"NUM_PLP", 8, false},
    {"NUM_AUX", 4, false},
    {"AUX_CONFIG_RFU", 8, false},
    {"RF_IDX", 3, false},
    {"FREQUENCY", 32, false},
    {"PLP_ID", 8, true},
    {"PLP_TYPE", 3, true},
    {"PLP_PAYLOAD_TYPE", 5, true},
    {"FF_FLAG", 1, true},
    {"FIRST_RF_IDX", 3, true},
    {"FIRST_FRAME_IDX", 8, true},
    {"PLP_GROUP_ID", 8, true},
    {"PLP_COD", 3, true},
    {"PLP_MOD", 3, true},
    {"PLP_ROTATION", 1, true},
    {"PLP_FEC_TYPE", 2, true},
    {"PLP_NUM_BLOCKS_MAX", 10, true},
    {"FRAME_INTERVAL", 8, true},
    {"TIME_IL_LENGTH", 8, true},
    {"TIME_IL_TYPE", 1, true},
    {"IN_BAND_A_FLAG", 1, true},
    {"IN_BAND_B_FLAG", 1, true},
    {"RESERVED_1", 11, true},
    {"PLP_MODE", 2, true},
    {"STATIC_FLAG", 1, true},
    {"STATIC_PADDING_FLAG", 1, true},
    {"FEF_LENGTH_MSB", 2, false},
    {"RESERVED_2", 30, false},
    /* Dynamic. */
    {"FRAME_IDX", 8, false},
    {"SUB_SLICE_INTERVAL", 22, false},
    {"TYPE_2_START", 22, false},
    {"L1_CHANGE_COUNTER", 8, false},
    {"START_RF_IDX", 3, false},
    {"RESERVED_1", 8, false},
    {"PLP_ID", 8, true},
    {"PLP_START", 22, true},
    {"PLP_NUM_BLOCKS", 10, true},
    {"RESERVED_2", 8, true},
    {"RESERVED_3", 8, false},
    {"CRC_32", 32, false},
};

int t2_l1_post_bits(int plps)
{
    int bits = 0;
    for (size_t i = 0; i < sizeof l1_post_fields / sizeof l1_post_fields[0]; i++) {
        bits += l1_post_fields[i].bits * (l1_post_fields[i].of_each_plp ? plps : 1);
    }
    return bits;
}

/* Clause 7.3: L1-post is shortened and punctured so that it spreads evenly over the P2 symbols. */
int t2_l1_cells(enum t2_fft fft, enum t2_l1 l1, int post_bits)
{
    int symbols = t2_p2_symbols(fft), bits = l1_bits[l1];
    int whole = symbols == 1 ? 2 * bits : symbols * bits;
    int outer = t2_bch_bits(T2_16200, T2_1_2), inner = t2_ldpc_bits(T2_16200, T2_1_2);
    int punctured = 6 * (outer - post_bits) / 5;
    punctured = punctured > whole - 1 ? punctured : whole - 1;
    int sent = post_bits + (inner - outer) + (t2_length_bits(T2_16200) - inner) - punctured;
    sent = (sent + whole - 1) / whole * whole;
    return L1_PRE_CELLS + sent / bits;
}

enum status t2_check(const struct dvbt2 *mode, int bandwidth_mhz, struct fault *fault)
{
    enum status status = t2_waveform_check(&mode->waveform, bandwidth_mhz, fault);
    if (status != STATUS_OK || mode->symbols == 0) {
        return status;
    }
    int least = t2_symbols_min(mode->waveform.fft);
    int most = t2_symbols_max(&mode->waveform, bandwidth_mhz);
    bool odd = mode->waveform.fft == T2_32K && mode->symbols % 2 != 0;
    if (mode->symbols >= least && mode->symbols <= most && !odd) {
        return STATUS_OK;
    }
    char list[64];
    text_format(list, sizeof list, "%s%d to %d, or auto", odd ? "even, " : "", least, most);
    return fault_set(fault, STATUS_ILLEGAL, "dvbt2.symbols", list,
                     "a frame cannot have %d symbols of this size", mode->symbols);
}

void t2_repair(struct dvbt2 *mode, int bandwidth_mhz)
{
    t2_waveform_repair(&mode->waveform);
    if (mode->symbols > 0) {
        int least = t2_symbols_min(mode->waveform.fft);
        int most = t2_symbols_max(&mode->waveform, bandwidth_mhz);
        mode->symbols = mode->symbols < least ? least : mode->symbols > most ? most : mode->symbols;
        mode->symbols -= mode->waveform.fft == T2_32K ? mode->symbols % 2 : 0;
    }
}

int t2_interleaving_blocks(const struct t2_code *code, long blocks)
{
    long most = T2_MEMORY_CELLS / t2_block_cells(code);
    return (int)((blocks + most - 1) / most);
}

double t2_packing(bool high_efficiency)
{
    return high_efficiency ? 188.0 / 187.0 : 1.0;
}

int t2_plps(const struct dvbt2 *mode)
{
    return mode->plp_count > 0 ? mode->plp_count : 1;
}

static void plp_place(const struct t2_plp *plp, const char *key, char *place, size_t size)
{
    text_format(place, size, "plp %s.%s", plp->name, key);
}

#define AN_EQUAL_PART (-1)

static long asked_cells(const struct dvbt2 *mode, const struct t2_frame *frame, int i)
{
    const struct t2_plp *plp = &mode->plps[i];
    if (mode->plp_count > 0 && plp->cells > 0) {
        return plp->cells;
    }
    return mode->plp_count == 0 || isnan(plp->share_percent)
               ? AN_EQUAL_PART
               : (long)((double)frame->cells * plp->share_percent / 100.0 + 1e-6);
}

/* What each asks for; who asks for nothing has an equal part of what is left. */
static enum status part_cells(const struct dvbt2 *mode, struct t2_frame *frame, struct fault *fault)
{
    long left = frame->cells;
    int open = 0, count = t2_plps(mode);
    for (int i = 0; i < count; i++) {
        long asked = asked_cells(mode, frame, i);
        frame->slots[i].cells = asked;
        open += asked == AN_EQUAL_PART;
        left -= asked == AN_EQUAL_PART ? 0 : asked;
        if (left < 0) {
            char place[NAME_MAX_BYTES + 24], allowed[48];
            plp_place(&mode->plps[i], mode->plps[i].cells > 0 ? "cells" : "share_percent", place,
                      sizeof place);
            text_format(allowed, sizeof allowed, "%ld cells in all", frame->cells);
            return fault_set(fault, STATUS_ILLEGAL, place, allowed,
                             "the PLPs ask for %ld cells too many", -left);
        }
    }
    for (int i = 0; i < count; i++) {
        if (frame->slots[i].cells == AN_EQUAL_PART) {
            frame->slots[i].cells = left / open;
        }
    }
    return STATUS_OK;
}

static enum status fill_slot(const struct dvbt2 *mode, int i, struct t2_frame *frame,
                             struct fault *fault)
{
    const struct t2_code *code = &mode->plps[i].code;
    struct t2_slot *slot = &frame->slots[i];
    double payload = t2_bch_bits(code->length, code->rate);
    slot->blocks = slot->cells / t2_block_cells(code);
    if (slot->blocks == 0 && mode->plp_count > 0) {
        char place[NAME_MAX_BYTES + 24];
        plp_place(&mode->plps[i], "cells", place, sizeof place);
        return fault_set(fault, STATUS_ILLEGAL, place, "more cells, or a shorter code",
                         "there is no room for a code block");
    }
    if (slot->blocks == 0) {
        return fault_set(fault, STATUS_ILLEGAL, "dvbt2.symbols", "more symbols, or a shorter code",
                         "the frame has no room for a code block");
    }
    slot->plp_mbps = (double)slot->blocks * payload / frame->duration_ms / 1e3;
    slot->net_mbps = (double)slot->blocks * (payload - T2_HEADER_BITS) *
                     t2_packing(mode->high_efficiency) / frame->duration_ms / 1e3;
    slot->interleaving_blocks = t2_interleaving_blocks(code, slot->blocks);
    slot->interleaver_ms = frame->duration_ms / slot->interleaving_blocks;
    slot->latency_ms = 2.0 * slot->interleaver_ms;
    slot->start_up_ms = frame->duration_ms + slot->interleaver_ms;
    long pieces = slot->interleaving_blocks; /* some hold one code block more than others */
    slot->memory_cells = (slot->blocks + pieces - 1) / pieces * t2_block_cells(code);
    return STATUS_OK;
}

enum status t2_frame_build(const struct dvbt2 *mode, int bandwidth_mhz, struct t2_frame *frame,
                           struct fault *fault)
{
    const struct t2_waveform *waveform = &mode->waveform;
    enum status status = t2_check(mode, bandwidth_mhz, fault);
    if (status != STATUS_OK) {
        return status;
    }
    *frame = (struct t2_frame){.p2_symbols = t2_p2_symbols(waveform->fft)};
    frame->symbols = mode->symbols ? mode->symbols : t2_symbols_max(waveform, bandwidth_mhz);
    frame->data_symbols = frame->symbols - frame->p2_symbols;
    frame->duration_ms =
        (frame->symbols * symbol_us(waveform, bandwidth_mhz) + p1_us(bandwidth_mhz)) / 1e3;
    bool closes = t2_has_closing(waveform);
    int post_bits = t2_l1_post_bits(t2_plps(mode));
    frame->cells = (long)frame->p2_symbols * t2_p2_cells(waveform->fft) +
                   (long)(frame->data_symbols - closes) * t2_data_cells(waveform) +
                   (closes ? t2_closing_cells(waveform) : 0) -
                   t2_l1_cells(waveform->fft, mode->l1, post_bits);
    frame->cells = frame->cells > 0 ? frame->cells : 0;
    status = part_cells(mode, frame, fault);
    for (int i = 0; i < t2_plps(mode) && status == STATUS_OK; i++) {
        status = fill_slot(mode, i, frame, fault);
    }
    return status;
}
