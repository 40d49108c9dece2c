/* The legal modes of DVB-T2: 69 waveforms of table 58, 50 of them with extended carriers too, each
 * in both modes of the baseband frames, and 96 codes: 22 848. */
#include "system/dvbt2.h"
#include <math.h>

#include "base/units.h"
#include "physics/information/dvbt2_snr.h"
#include "system/space/space.h"

enum { CHOICE_FFT, CHOICE_EXTENDED, CHOICE_GUARD, CHOICE_PILOTS, CHOICE_CONSTELLATION };
enum { CHOICE_RATE = CHOICE_CONSTELLATION + 1, CHOICE_LENGTH, CHOICE_ROTATION, CHOICE_HIGH };
#define CHOICE_COUNT (CHOICE_HIGH + 1)

static const char *const extended_marks[] = {"", "E"}, *const rotation_marks[] = {"", " rot"};
static const char *const high_marks[] = {"", " HE"};
static const char *const length_marks[T2_LENGTH_COUNT] = {[T2_64800] = "", [T2_16200] = "s"};

static const struct space_choice choices[CHOICE_COUNT] = {
    [CHOICE_FFT] = {"dvbt2.fft", "FFT", "", NULL, false, false},
    [CHOICE_EXTENDED] = {"dvbt2.extended", "extended", "", extended_marks, false, true},
    [CHOICE_GUARD] = {"dvbt2.guard", "guard", " ", NULL, false, false},
    [CHOICE_PILOTS] = {"dvbt2.pilots", "pilots", " ", NULL, false, false},
    [CHOICE_CONSTELLATION] = {"dvbt2.constellation", "constellation", " ", NULL, true, false},
    [CHOICE_RATE] = {"dvbt2.rate", "rate", " ", NULL, true, false},
    [CHOICE_LENGTH] = {"dvbt2.length", "length", "", length_marks, true, false},
    [CHOICE_ROTATION] = {"dvbt2.rotation", "rotation", "", rotation_marks, true, true},
    [CHOICE_HIGH] = {"dvbt2.high_efficiency", "high efficiency", "", high_marks, false, true},
};

/* Sizes of FFT, normal and extended: the bands differ a little from one to the next. */
#define BANDS (2 * T2_FFT_COUNT)

/* False where the frame has no room for the smallest code block. */
static bool fill_geometry(const struct dvbt2 *mode, int bandwidth_mhz, int which,
                          struct space_geometry *geometry)
{
    const struct t2_waveform *waveform = &mode->waveform;
    struct t2_frame frame;
    if (t2_frame_build(mode, bandwidth_mhz, &frame, NULL) != STATUS_OK) {
        return false;
    }
    geometry->numbers[CHOICE_FFT] = (uint8_t)waveform->fft;
    geometry->numbers[CHOICE_EXTENDED] = waveform->extended;
    geometry->numbers[CHOICE_GUARD] = (uint8_t)waveform->guard;
    geometry->numbers[CHOICE_PILOTS] = (uint8_t)waveform->pilots;
    geometry->numbers[CHOICE_HIGH] = mode->high_efficiency;
    geometry->grid = t2_grid(waveform, bandwidth_mhz);
    dvbt2_describe_frame(mode, &frame, &geometry->grid, &geometry->facts);
    geometry->cells = frame.cells;
    geometry->duration_ms = frame.duration_ms;
    geometry->cell_rate_hz = (double)frame.cells / frame.duration_ms * 1e3;
    geometry->loss_db = receiver_planning_loss_db(&geometry->grid);
    geometry->loss_ratio = ratio_from_db(geometry->loss_db);
    geometry->packing = t2_packing(mode->high_efficiency);
    geometry->which = which;
    geometry->look = 2 * which + waveform->extended;
    geometry->band = 2 * (int)waveform->fft + waveform->extended;
    return true;
}

/* A number of symbols that the waveform cannot have gives way to the nearest one that it can. */
static struct dvbt2 fitting(const struct dvbt2 *mode, int bandwidth_mhz)
{
    struct dvbt2 fitted = *mode;
    t2_repair(&fitted, bandwidth_mhz);
    return fitted;
}

static size_t fill_variants(const struct dvbt2 *mode, int bandwidth_mhz, int which,
                            struct space_geometry *geometries)
{
    size_t count = 0;
    for (int i = 0; i < 4; i++) {
        struct dvbt2 variant = *mode;
        variant.waveform.extended = i / 2 != 0;
        variant.high_efficiency = i % 2 != 0;
        if (variant.waveform.extended && !t2_extended_is_allowed(mode->waveform.fft)) {
            continue;
        }
        variant = fitting(&variant, bandwidth_mhz);
        count += fill_geometry(&variant, bandwidth_mhz, which, &geometries[count]);
    }
    return count;
}

static size_t geometries(const struct scenario *plain, struct space_geometry *out)
{
    struct dvbt2 mode = plain->dvbt2;
    size_t count = 0;
    int which = 0;
    mode.code.length = T2_16200;
    mode.code.constellation = T2_256QAM; /* the smallest block: see space_used_share */
    for (int i = 0; i < T2_FFT_COUNT * T2_GUARD_COUNT * T2_PILOTS_COUNT; i++) {
        struct t2_waveform *waveform = &mode.waveform;
        waveform->fft = (enum t2_fft)(i / T2_PILOTS_COUNT / T2_GUARD_COUNT);
        waveform->guard = (enum t2_guard)(i / T2_PILOTS_COUNT % T2_GUARD_COUNT);
        waveform->pilots = (enum t2_pilots)(i % T2_PILOTS_COUNT);
        if (t2_pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
            count += fill_variants(&mode, plain->site.bandwidth_mhz, which++, &out[count]);
        }
    }
    return count;
}

static void fill_code(const struct t2_code *chosen, struct space_code *code)
{
    double cells = t2_block_cells(chosen), payload = t2_bch_bits(chosen->length, chosen->rate);
    code->numbers[CHOICE_CONSTELLATION] = (uint8_t)chosen->constellation;
    code->numbers[CHOICE_RATE] = (uint8_t)chosen->rate;
    code->numbers[CHOICE_LENGTH] = (uint8_t)chosen->length;
    code->numbers[CHOICE_ROTATION] = chosen->rotation;
    code->facts = facts_none();
    dvbt2_describe_code(chosen, &code->facts);
    code->curve = t2_curve(chosen);
    code->backstop_db = RECEIVER_PLANNING_FLOOR_DB;
    code->block_cells = t2_block_cells(chosen);
    code->whole_blocks = true;
    code->plp_bits = payload / cells;
    code->net_bits = (payload - T2_HEADER_BITS) / cells;
}

/* The two of a rotation stand side by side, first the rotated one: where nothing tells them apart
 * it is the safe choice. */
static int codes(const struct scenario *plain, struct space_code *out)
{
    (void)plain;
    int count = 0;
    for (int i = 0; i < T2_LENGTH_COUNT * T2_CONSTELLATION_COUNT * T2_PLP_RATES; i++) {
        struct t2_code code = {
            .length = (enum t2_length)(i / T2_PLP_RATES / T2_CONSTELLATION_COUNT),
            .rate = (enum t2_rate)(i % T2_PLP_RATES),
            .constellation = (enum t2_constellation)(i / T2_PLP_RATES % T2_CONSTELLATION_COUNT)};
        for (int k = 0; k < 2; k++) {
            code.rotation = k == 0;
            fill_code(&code, &out[count]);
            out[count].fold = count - k;
            count++;
        }
    }
    return count;
}

static struct t2_code code_of(const struct space_code *code)
{
    return (struct t2_code){.length = (enum t2_length)code->numbers[CHOICE_LENGTH],
                            .rate = (enum t2_rate)code->numbers[CHOICE_RATE],
                            .constellation =
                                (enum t2_constellation)code->numbers[CHOICE_CONSTELLATION],
                            .rotation = code->numbers[CHOICE_ROTATION] != 0};
}

static double span_ms(const struct scenario *plain, const struct space_geometry *geometry,
                      const struct space_code *code)
{
    (void)plain;
    struct t2_code chosen = code_of(code);
    int pieces = t2_interleaving_blocks(&chosen, geometry->cells / code->block_cells);
    return geometry->duration_ms / pieces;
}

static void settle(const struct space_geometry *geometry, const struct space_code *code,
                   struct scenario *mode)
{
    (void)geometry;
    (void)code;
    mode->dvbt2 = fitting(&mode->dvbt2, mode->site.bandwidth_mhz);
}

/* ---- Pipes of one frame. ---- */

static long cells_for(const struct scenario *plain, const struct space_geometry *geometry,
                      int pipes, double *duration_ms)
{
    enum t2_fft fft = (enum t2_fft)geometry->numbers[CHOICE_FFT];
    enum t2_l1 l1 = plain->dvbt2.l1;
    long more =
        t2_l1_cells(fft, l1, t2_l1_post_bits(pipes)) - t2_l1_cells(fft, l1, t2_l1_post_bits(1));
    *duration_ms = geometry->duration_ms;
    return geometry->cells > more ? geometry->cells - more : 0;
}

static void put_pipes(const struct space_pipe *pipes, int count, struct scenario *plain)
{
    struct dvbt2 *mode = &plain->dvbt2;
    *mode = fitting(mode, plain->site.bandwidth_mhz);
    mode->plp_count = count;
    for (int i = 0; i < count; i++) {
        mode->plps[i] = (struct t2_plp){
            .code = code_of(pipes[i].code), .cells = (int)pipes[i].cells, .share_percent = NAN};
        text_format(mode->plps[i].name, sizeof mode->plps[i].name, "%s", pipes[i].name);
    }
}

static enum status carry(const struct scenario *scenario, struct facts *facts, struct fault *fault)
{
    const struct dvbt2 *mode = &scenario->dvbt2;
    struct t2_frame frame;
    enum status status = t2_frame_build(mode, scenario->site.bandwidth_mhz, &frame, fault);
    for (int i = 0; facts != NULL && status == STATUS_OK && i < t2_plps(mode); i++) {
        const struct t2_code *code = &mode->plps[i].code;
        facts[i] = facts_none();
        facts[i].frame_ms = frame.duration_ms;
        facts[i].constellation = t2_constellation_name(code->constellation);
        facts[i].rate = t2_rate_name(code->rate);
        facts[i].length = t2_length_bits(code->length);
        facts[i].cells_per_frame = (double)frame.cells;
        dvbt2_describe_slot(&mode->plps[i], &frame, &frame.slots[i], &facts[i]);
    }
    return status;
}

const struct system_space space_dvbt2 = {
    .choices = choices,
    .choice_count = CHOICE_COUNT,
    .fft = CHOICE_FFT,
    .pilots = CHOICE_PILOTS,
    .guard = CHOICE_GUARD,
    .constellation = CHOICE_CONSTELLATION,
    .geometries_most = (size_t)SPACE_WAVEFORMS_MAX * 4,
    .geometries = geometries,
    .codes = codes,
    .looks = 2 * SPACE_WAVEFORMS_MAX,
    .bands = BANDS,
    .span_ms = span_ms,
    .settle = settle,
    .cells_for = cells_for,
    .put_pipes = put_pipes,
    .carry = carry,
    .frame_key = "dvbt2.symbols",
    .kept = "L1 and the number of symbols as in the profile (auto: as many as 250 ms hold; where a "
            "waveform cannot have it, the nearest that it can); one PLP.",
    .names = "E is extended carriers, s the short code, rot a rotated constellation, HE the high "
             "efficiency mode.",
    .folded = "extended carriers, rotation and high efficiency",
};
