/* The legal modes of A/322: 81 waveforms x 5 boosts x 5 reductions x 120 codes = 243 000. */
#include <math.h>

#include "base/units.h"
#include "physics/information/information.h"
#include "physics/information/required_snr.h"
#include "standard/atsc3/frame.h"
#include "standard/atsc3/signalling.h"
#include "system/atsc3.h"
#include "system/atsc3_plps.h"
#include "system/space/atsc3.h"

enum { CHOICE_FFT, CHOICE_GUARD, CHOICE_PILOTS, CHOICE_BOOST, CHOICE_REDUCTION };
enum { CHOICE_CONSTELLATION = CHOICE_REDUCTION + 1, CHOICE_RATE, CHOICE_LENGTH, CHOICE_COUNT };

static const char *const length_marks[LENGTH_COUNT] = {[LENGTH_64800] = "", [LENGTH_16200] = "s"};

static const struct space_choice choices[CHOICE_COUNT] = {
    [CHOICE_FFT] = {"mode.fft", "FFT", "", NULL, false, false},
    [CHOICE_GUARD] = {"mode.guard", "guard", " ", NULL, false, false},
    [CHOICE_PILOTS] = {"mode.pilots", "pilots", " ", NULL, false, false},
    [CHOICE_BOOST] = {"mode.boost", "boost", " b", NULL, false, true},
    [CHOICE_REDUCTION] = {"mode.reduction", "reduction", "c", NULL, false, true},
    [CHOICE_CONSTELLATION] = {"mode.constellation", "constellation", " ", NULL, true, false},
    [CHOICE_RATE] = {"mode.rate", "rate", " ", NULL, true, false},
    [CHOICE_LENGTH] = {"mode.length", "length", "", length_marks, true, false},
};

static bool fill_geometry(const struct transmission *mode, int which,
                          struct space_geometry *geometry)
{
    const struct waveform *waveform = &mode->subframes[0].waveform;
    struct frame frame;
    if (transmission_check(mode, NULL) != STATUS_OK ||
        frame_build(mode, &frame, NULL) != STATUS_OK) {
        return false;
    }
    geometry->numbers[CHOICE_FFT] = (uint8_t)waveform->fft;
    geometry->numbers[CHOICE_GUARD] = (uint8_t)waveform->guard;
    geometry->numbers[CHOICE_PILOTS] = (uint8_t)waveform->pilots;
    geometry->numbers[CHOICE_BOOST] = (uint8_t)waveform->boost;
    geometry->numbers[CHOICE_REDUCTION] = (uint8_t)waveform->reduction;
    atsc3_describe_plp(mode, &frame, 0, &geometry->facts);
    geometry->cells = frame.cells;
    geometry->duration_ms = frame.duration_ms;
    geometry->cell_rate_hz = frame.cell_rate_hz;
    geometry->grid = frame_grid(mode, &frame, 0);
    geometry->loss_db = receiver_loss_db(&geometry->grid);
    geometry->loss_ratio = ratio_from_db(geometry->loss_db);
    geometry->packing = 1.0;
    geometry->which = which;
    geometry->look = which * (REDUCTION_MAX + 1) + waveform->reduction;
    geometry->band = waveform->reduction;
    return true;
}

static size_t fill_variants(struct transmission *mode, int which, struct space_geometry *geometries)
{
    size_t count = 0;
    for (int i = 0; i < (BOOST_MAX + 1) * (REDUCTION_MAX + 1); i++) {
        mode->subframes[0].waveform.boost = i / (REDUCTION_MAX + 1);
        mode->subframes[0].waveform.reduction = i % (REDUCTION_MAX + 1);
        count += fill_geometry(mode, which, &geometries[count]);
    }
    return count;
}

static size_t geometries(const struct scenario *plain, struct space_geometry *out)
{
    struct transmission mode = plain->transmission;
    size_t count = 0;
    int which = 0;
    mode.plps[0].code.length = LENGTH_64800;
    mode.plps[0].code.constellation = QPSK;    /* goes with every interleaver */
    if (mode.signalling.l1_detail_bits == 0) { /* the code does not change it */
        mode.signalling.l1_detail_bits = signalling_detail_bits(&mode);
    }
    mode.plps[0].interleaver = INTERLEAVER_NONE; /* all cells: see space_used_share */
    for (int i = 0; i < FFT_COUNT * GUARD_COUNT * PILOTS_COUNT; i++) {
        struct waveform *waveform = &mode.subframes[0].waveform;
        waveform->fft = (enum fft_size)(i / PILOTS_COUNT / GUARD_COUNT);
        waveform->guard = (enum guard)(i / PILOTS_COUNT % GUARD_COUNT);
        waveform->pilots = (enum pilots)(i % PILOTS_COUNT);
        if (pilots_are_allowed(waveform->fft, waveform->guard, waveform->pilots)) {
            count += fill_variants(&mode, which++, &out[count]);
        }
    }
    return count;
}

static void fill_code(const struct plp *plp, struct space_code *code)
{
    const struct code *chosen = &plp->code;
    double block_bits = code_length_bits(chosen->length);
    double cell_bits = constellation_bits(chosen->constellation), payload = payload_bits(chosen);
    enum interleaver interleaver = interleaver_is_allowed(chosen->constellation, plp->interleaver)
                                       ? plp->interleaver
                                       : CTI_1024;
    code->numbers[CHOICE_CONSTELLATION] = (uint8_t)chosen->constellation;
    code->numbers[CHOICE_RATE] = (uint8_t)chosen->rate_15ths;
    code->numbers[CHOICE_LENGTH] = (uint8_t)chosen->length;
    code->facts = facts_none();
    atsc3_describe_code(chosen, &code->facts);
    code->curve = information_curve_of(chosen->constellation, chosen->rate_15ths);
    code->backstop_db = receiver_backstop_db(chosen->constellation);
    code->block_cells = code_block_cells(chosen);
    code->whole_blocks = interleaver_kind(interleaver) == INTERLEAVES_BLOCKS;
    code->plp_bits = cell_bits / block_bits * payload;
    code->net_bits = cell_bits / block_bits * (payload - PACKET_HEADER_BITS);
    code->interleaver = (int)interleaver;
}

static int codes(const struct scenario *plain, struct space_code *out)
{
    struct plp plp = plain->transmission.plps[0];
    int count = 0;
    for (int i = 0; i < LENGTH_COUNT * CONSTELLATION_COUNT * RATE_COUNT; i++) {
        plp.code.length = (enum code_length)(i / RATE_COUNT / CONSTELLATION_COUNT);
        plp.code.constellation = (enum constellation)(i / RATE_COUNT % CONSTELLATION_COUNT);
        plp.code.rate_15ths = RATE_MIN_15THS + i % RATE_COUNT;
        if (constellation_is_allowed(plp.code.length, plp.code.constellation)) {
            fill_code(&plp, &out[count]);
            out[count].fold = count;
            count++;
        }
    }
    return count;
}

/* A hybrid interleaver takes as many code blocks at once as the mode's frame lets it. */
static void settle(const struct space_geometry *geometry, const struct space_code *code,
                   struct scenario *mode)
{
    struct plp *plp = &mode->transmission.plps[0];
    plp->interleaver = (enum interleaver)code->interleaver;
    if (code->whole_blocks) {
        plp->interleaver = hybrid_fitting(plp->interleaver, plp->code.constellation,
                                          geometry->cells, code->block_cells);
    }
}

void atsc3_space_waveform(const struct space_geometry *geometry, struct waveform *waveform)
{
    waveform->fft = (enum fft_size)geometry->numbers[CHOICE_FFT];
    waveform->guard = (enum guard)geometry->numbers[CHOICE_GUARD];
    waveform->pilots = (enum pilots)geometry->numbers[CHOICE_PILOTS];
    waveform->boost = geometry->numbers[CHOICE_BOOST];
    waveform->reduction = geometry->numbers[CHOICE_REDUCTION];
}

void atsc3_space_code(const struct space_code *code, struct code *chosen)
{
    chosen->constellation = (enum constellation)code->numbers[CHOICE_CONSTELLATION];
    chosen->rate_15ths = code->numbers[CHOICE_RATE];
    chosen->length = (enum code_length)code->numbers[CHOICE_LENGTH];
}

static double span_ms(const struct scenario *plain, const struct space_geometry *geometry,
                      const struct space_code *code)
{
    if (!code->whole_blocks) {
        return interleaver_span_ms((enum interleaver)code->interleaver, geometry->cell_rate_hz);
    }
    struct frame frame;
    struct scenario mode = *plain;
    atsc3_space_waveform(geometry, &mode.transmission.subframes[0].waveform);
    atsc3_space_code(code, &mode.transmission.plps[0].code);
    settle(geometry, code, &mode);
    return frame_build(&mode.transmission, &frame, NULL) == STATUS_OK
               ? plp_interleaving(&mode.transmission, &frame, 0).span_ms
               : NAN;
}

/* ---- Pipes beside each other in one subframe. ---- */

/* L1-Detail for so many PLPs suffices whatever their codes. */
static int detail_bits(const struct transmission *plain, int pipes)
{
    struct transmission transmission = *plain;
    transmission.plp_count = pipes;
    for (int i = 0; i < pipes; i++) {
        transmission.plps[i] = plain->plps[0];
        transmission.plps[i].code.constellation = QPSK; /* takes a bit more to tell */
    }
    return plain->signalling.l1_detail_bits > 0 ? plain->signalling.l1_detail_bits
                                                : signalling_detail_bits(&transmission);
}

static long cells_for(const struct scenario *plain, const struct space_geometry *geometry,
                      int pipes, double *duration_ms)
{
    struct transmission transmission = plain->transmission;
    struct frame frame;
    atsc3_space_waveform(geometry, &transmission.subframes[0].waveform);
    transmission.signalling.l1_detail_bits = detail_bits(&transmission, pipes);
    if (frame_build(&transmission, &frame, NULL) != STATUS_OK) {
        return 0;
    }
    *duration_ms = frame.duration_ms;
    return frame.cells;
}

static void put_pipes(const struct space_pipe *pipes, int count, struct scenario *plain)
{
    struct transmission *transmission = &plain->transmission;
    const struct plp like = transmission->plps[0];
    transmission->signalling.l1_detail_bits = detail_bits(transmission, count);
    transmission->plp_count = count;
    for (int i = 0; i < count; i++) {
        struct plp *plp = &transmission->plps[i];
        *plp = like;
        plp->cells = (int)pipes[i].cells;
        atsc3_space_code(pipes[i].code, &plp->code);
        text_format(plp->name, sizeof plp->name, "%s", pipes[i].name);
    }
}

static enum status carry(const struct scenario *scenario, struct facts *facts, struct fault *fault)
{
    const struct transmission *transmission = &scenario->transmission;
    struct frame frame;
    enum status status = transmission_check(transmission, fault);
    status = status == STATUS_OK ? frame_build(transmission, &frame, fault) : status;
    for (int i = 0; facts != NULL && status == STATUS_OK && i < transmission_plps(transmission);
         i++) {
        const struct code *code = &transmission->plps[i].code;
        atsc3_describe_plp(transmission, &frame, i, &facts[i]);
        facts[i].constellation = constellation_name(code->constellation);
        facts[i].rate = code_rate_name(code->rate_15ths);
        facts[i].length = code_length_bits(code->length);
    }
    return status;
}

const struct system_space space_atsc3 = {
    .choices = choices,
    .choice_count = CHOICE_COUNT,
    .fft = CHOICE_FFT,
    .pilots = CHOICE_PILOTS,
    .guard = CHOICE_GUARD,
    .constellation = CHOICE_CONSTELLATION,
    .geometries_most = (size_t)SPACE_WAVEFORMS_MAX * (BOOST_MAX + 1) * (REDUCTION_MAX + 1),
    .geometries = geometries,
    .codes = codes,
    .looks = SPACE_WAVEFORMS_MAX * (REDUCTION_MAX + 1),
    .bands = REDUCTION_MAX + 1,
    .span_ms = span_ms,
    .settle = settle,
    .cells_for = cells_for,
    .put_pipes = put_pipes,
    .carry = carry,
    .subframes = true,
    .frame_key = "mode.frame_ms",
    .kept = "Outer code, frame length, signalling and time interleaver as in the profile; one "
            "subframe, one PLP.",
    .names = "b is the pilot boost, c the carrier reduction, s the short code.",
    .folded = "boost and reduction",
};
