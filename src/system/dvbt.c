/* DVB-T, ETSI EN 300 744, the first generation of the DVB pair, its physics in physics/ofdm. */
#include "base/units.h"
#include "physics/information/dvbt_snr.h"
#include "system/ofdm.h"
#include "system/simulation.h"

/* The document counts the power of the boosted pilots as signal, and so do the figures: that much
 * above the SNR of a data cell. */
static double pilots_db(const struct ofdm_grid *grid)
{
    return db_from_ratio(grid->mean_power);
}

static enum status receive(const struct scenario *scenario, int pipe, struct reception *reception,
                           struct fault *fault)
{
    (void)pipe;
    const struct dvbt *mode = &scenario->dvbt;
    enum status status = dvbt_check(mode, scenario->site.bandwidth_mhz, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct ofdm_grid grid = dvbt_grid(mode, scenario->site.bandwidth_mhz);
    double cell_db = dvbt_ideal_snr(mode, FADING_AWGN).db;
    double needed_db = receiver_planning_snr_db(&grid, cell_db);
    *reception = (struct reception){
        .system = &system_dvbt,
        .ideal_db = cell_db + pilots_db(&grid),
        .needed_db = needed_db,
        .needed_input_db = needed_db,
        .ofdm = {.grid = grid,
                 .curve = dvbt_curve(mode),
                 .ideal_db = cell_db,
                 .needed_db = needed_db,
                 .span_ms = 0.0, /* there is no time interleaver */
                 .part = {0.0, 1.0}},
    };
    return STATUS_OK;
}

static void describe_needs(const struct scenario *scenario, const struct ofdm_grid *grid,
                           struct facts *facts)
{
    const struct dvbt *mode = &scenario->dvbt;
    struct information_curve curve = dvbt_curve(mode);
    struct ideal_snr ideal = dvbt_ideal_snr(mode, FADING_AWGN);
    facts->limit_snr_db = dvbt_limit_db(mode, FADING_AWGN) + pilots_db(grid);
    facts->ideal_snr_db = ideal.db + pilots_db(grid);
    facts->ideal_source = ideal_source_words(ideal.source);
    facts->ideal_rayleigh_snr_db = dvbt_ideal_snr(mode, FADING_RAYLEIGH).db + pilots_db(grid);
    facts->required_snr_db = receiver_planning_snr_db(grid, ideal.db);
    ofdm_describe_motion(grid, &curve, ideal.db, &scenario->site, facts);
}

static void choices(const struct scenario *scenario, struct facts *facts)
{
    const struct dvbt *mode = &scenario->dvbt;
    facts->fft = dvbt_fft_name(mode->fft);
    facts->guard = dvbt_guard_name(mode->guard);
    facts->constellation = dvbt_constellation_name(mode->constellation);
    facts->rate = dvbt_rate_name(dvbt_stream_rate(mode));
    if (mode->hierarchy != DVBT_PLAIN) {
        facts->hierarchy = dvbt_hierarchy_name(mode->hierarchy);
        facts->priority = dvbt_priority_name(mode->priority);
    }
}

static enum status describe(const struct scenario *scenario, int pipe, struct facts *facts,
                            struct fault *fault)
{
    (void)pipe;
    const struct dvbt *mode = &scenario->dvbt;
    int bandwidth_mhz = scenario->site.bandwidth_mhz;
    enum status status = dvbt_check(mode, bandwidth_mhz, fault);
    if (status != STATUS_OK) {
        return status;
    }
    struct ofdm_grid grid = dvbt_grid(mode, bandwidth_mhz);
    *facts = facts_none();
    ofdm_describe_grid(&grid, facts);
    choices(scenario, facts);
    facts->data_cells = dvbt_data_cells(mode->fft);
    facts->data_symbols = DVBT_FRAME_SYMBOLS;
    facts->frame_ms = DVBT_FRAME_SYMBOLS * grid.symbol_us / 1e3;
    facts->cells_per_frame = facts->data_cells * DVBT_FRAME_SYMBOLS;
    facts->plp_mbps = dvbt_stream_mbps(mode, bandwidth_mhz);
    /* Who receives the low stream has the robust one too; who receives that one has no other. */
    facts->net_mbps = mode->hierarchy != DVBT_PLAIN && mode->priority == DVBT_HIGH
                          ? facts->plp_mbps
                          : dvbt_net_mbps(mode, bandwidth_mhz);
    describe_needs(scenario, &grid, facts);
    return STATUS_OK;
}

static void notes(const struct scenario *scenario, struct text *out)
{
    const struct dvbt *mode = &scenario->dvbt;
    text_append(out, "There is no time interleaver: a fade of all carriers that lasts a symbol is "
                     "an error.");
    if (mode->hierarchy == DVBT_PLAIN) {
        return;
    }
    struct ofdm_grid grid = dvbt_grid(mode, scenario->site.bandwidth_mhz);
    text_printf(out, " Of the two streams the one of %s priority is received:",
                dvbt_priority_name(mode->priority));
    for (int i = 0; i < DVBT_PRIORITY_COUNT; i++) {
        struct dvbt stream = *mode;
        stream.priority = (enum dvbt_priority)i;
        double ideal_db = dvbt_ideal_snr(&stream, FADING_AWGN).db;
        text_printf(out, "%s %s carries %.2f Mbit/s and needs %.1f dB", i > 0 ? "," : "",
                    dvbt_priority_name(stream.priority),
                    dvbt_stream_mbps(&stream, scenario->site.bandwidth_mhz),
                    receiver_planning_snr_db(&grid, ideal_db));
    }
    text_append(out, ".");
}

static const char *const figures[] = {"system",
                                      "snr_db",
                                      "snr_source",
                                      "fft",
                                      "guard",
                                      "rate",
                                      "constellation",
                                      "hierarchy",
                                      "priority",
                                      OFDM_TIMES_AND_CARRIERS,
                                      "data_cells",
                                      "frame_ms",
                                      "plp_mbps",
                                      "net_mbps",
                                      "required_snr_db",
                                      "echo_before_us",
                                      "echo_after_us",
                                      "echo_km",
                                      OFDM_BEARS_AND_NEEDS,
                                      "ideal_source",
                                      NULL};

const struct system system_dvbt = {
    .name = "DVB-T",
    .title = "DVB-T (ETSI EN 300 744)",
    .glyph = 'T',
    .section = "dvbt",
    .choices = choices,
    .needs_by =
        "the planning model of the pair (ideal decoding, the pilots' power, 1.15 dB for a real "
        "receiver and a noise floor at -33 dB)",
    .harmless_inner = 2e-4,  /* EN 300 744 4.3: quasi error free behind the outer code, */
    .harmless_after = 1e-11, /* which then leaves this */
    .receive = receive,
    .describe = describe,
    .notes = notes,
    OFDM_ROW,
    .simulation = &simulation_dvbt,
    .assumes = "net rate in packets of 188 bytes, after the Reed-Solomon code. Required SNR: quasi "
               "error free, the boosted pilots' power counted as signal, as the document does. It "
               "has no time interleaver, so each symbol stands alone.",
    .figures = figures,
};
