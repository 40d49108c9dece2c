/* The rows: each key of a profile once, in the order in which a screen lists them, and a profile
 * the keys of a section. What is used most stands first; stations and echoes stand last. Where
 * defaults come from is said by study/explain. */
#include "scenario/field.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "base/text.h"
#include "physics/air/fcc.h"
#include "physics/air/p1546.h"
#include "physics/vsb/decision.h"
#include "scenario/scenario.h"
#include "scenario/use.h"
#include "standard/atsc3/injection.h"
#include "standard/rf.h"

#define CHOICE_NAME(function, type)                 \
    static const char *choice_##function(int value) \
    {                                               \
        return function((enum type)value);          \
    }
CHOICE_NAME(fft_name, fft_size)
CHOICE_NAME(guard_name, guard)
CHOICE_NAME(pilots_name, pilots)
CHOICE_NAME(code_length_name, code_length)
CHOICE_NAME(constellation_name, constellation)
CHOICE_NAME(outer_code_name, outer_code)
CHOICE_NAME(interleaver_name, interleaver)
CHOICE_NAME(layer_name, layer)
CHOICE_NAME(miso_name, miso)
CHOICE_NAME(alignment_name, alignment)
CHOICE_NAME(bonding_name, bonding)
CHOICE_NAME(time_info_name, time_info)
CHOICE_NAME(service_channel_name, service_channel)
CHOICE_NAME(man_made_noise_name, man_made_noise)
CHOICE_NAME(vsb_feedback_name, vsb_feedback)
CHOICE_NAME(generation_name, generation)
CHOICE_NAME(building_name, building)
CHOICE_NAME(field_method_name, field_method)
CHOICE_NAME(surroundings_name, surroundings)
CHOICE_NAME(use_name, use)
CHOICE_NAME(pair_name, pair)
CHOICE_NAME(dvbt_fft_name, dvbt_fft)
CHOICE_NAME(dvbt_guard_name, dvbt_guard)
CHOICE_NAME(dvbt_constellation_name, dvbt_constellation)
CHOICE_NAME(dvbt_rate_name, dvbt_rate)
CHOICE_NAME(dvbt_hierarchy_name, dvbt_hierarchy)
CHOICE_NAME(dvbt_priority_name, dvbt_priority)
CHOICE_NAME(t2_fft_name, t2_fft)
CHOICE_NAME(t2_guard_name, t2_guard)
CHOICE_NAME(t2_pilots_name, t2_pilots)
CHOICE_NAME(t2_length_name, t2_length)
CHOICE_NAME(t2_rate_name, t2_rate)
CHOICE_NAME(t2_constellation_name, t2_constellation)
CHOICE_NAME(t2_l1_name, t2_l1)

static const char *choice_yes_no(int value)
{
    return value ? "yes" : "no";
}

/* A site's values hang together: see scenario.h. */
static void put_pair(void *base, double number)
{
    scenario_set_pair(base, (enum pair)number);
}

static void put_channel(void *base, double number)
{
    scenario_set_channel(base, (int)number);
}

static void put_center(void *base, double number)
{
    if (!isnan(number)) { /* else it follows from the channel */
        scenario_set_center(base, number);
    }
}

static void put_bandwidth(void *base, double number)
{
    scenario_set_bandwidth(base, (int)number);
}

/* Channels of the pair's plan; of a station's own, as its base is not the scenario. */
static bool plan_has(enum channel_plan plan, double number, char *allowed, size_t size)
{
    rf_channels_words(plan, allowed, size);
    return rf_channel_exists(plan, (int)number);
}

static bool site_channel_may_be(const void *base, double number, char *allowed, size_t size)
{
    const struct scenario *scenario = base;
    return plan_has(pair_plan(scenario->site.pair), number, allowed, size);
}

static bool station_channel_may_be(const void *base, double number, char *allowed, size_t size)
{
    const struct station *station = base;
    return plan_has(station->plan, number, allowed, size);
}

static bool bandwidth_may_be(const void *base, double number, char *allowed, size_t size)
{
    const struct scenario *scenario = base;
    bool five = scenario->site.pair == PAIR_DVB;
    text_format(allowed, size, "%s6|7|8 MHz", five ? "5|" : "");
    return five || number >= 6.0;
}

/* Fills other keys: see use.h. */
static void put_use(void *base, double number)
{
    struct scenario *scenario = base;
    struct use_at before = use_at(scenario);
    scenario->receiver.use = (enum use)number;
    use_change(scenario, before, use_at(scenario));
}

#define AT(member) .offset = offsetof(struct scenario, member)
/* [mode] is the first subframe and the first PLP, where neither has a section of its own. */
#define FRAME(member) AT(transmission.member)
#define WAVEFORM(member) AT(transmission.subframes[0].waveform.member), .unless = "subframe"
#define CODE(member) AT(transmission.plps[0].code.member), .unless = "plp"
#define OF_SUBFRAME(member) .offset = offsetof(struct subframe, member)
#define OF_SERVICE(member) .offset = offsetof(struct service, member)
/* PLPs are those of the pair's second system. */
#define OF_PLP(member) .pairs = 1u << PAIR_ATSC, .offset = offsetof(struct plp, member)
#define OF_T2_PLP(member) .pairs = 1u << PAIR_DVB, .offset = offsetof(struct t2_plp, member)
#define T2_CODE(member) AT(dvbt2.code.member), .unless = "plp"
#define OF_STATION(member) .offset = offsetof(struct station, member)
#define OF_ECHO(member) .offset = offsetof(struct echo, member)

#define NUMBER(from, to, default_) \
    .type = FIELD_NUMBER, .low = (from), .high = (to), .plain = (default_)
#define WHOLE(from, to, default_) \
    .type = FIELD_WHOLE, .low = (from), .high = (to), .plain = (default_)
#define CHOICE(names, count, default_) \
    .type = FIELD_CHOICE, .high = (count)-1, .plain = (default_), .choice = choice_##names
#define YES_NO(default_) \
    .type = FIELD_YES_NO, .high = 1, .plain = (default_), .choice = choice_yes_no
#define TEXT .type = FIELD_TEXT, .plain = NAN
#define PATH .type = FIELD_PATH, .plain = NAN
#define CELLS_MAX 16777215   /* 24 bits of L1-Detail */
#define L1_DETAIL_MOST 65528 /* 13 bits of L1-Basic, in bytes */
#define INTERLEAVERS                                                                          \
    "none|CTI 512|CTI 724|CTI 887|CTI 1024|CTI 1254|CTI 1448|HTI 1 to HTI 16|HTI 2 inter to " \
    "HTI 16 inter"
#define ONE_DB 1.2589254117941673 /* 10^0.1 */

static const struct field fields[] = {
    {"mode", "fft", "", "FFT size", CHOICE(fft_name, FFT_COUNT, FFT_16K), .on_page = true,
     WAVEFORM(fft)},
    {"mode", "guard", "", "guard interval", "guard", CHOICE(guard_name, GUARD_COUNT, GI5_1024),
     .on_page = true, WAVEFORM(guard)},
    {"mode", "pilots", "", "scattered pilots", "pilots", CHOICE(pilots_name, PILOTS_COUNT, SP12_2),
     .on_page = true, WAVEFORM(pilots)},
    {"mode", "rate", "", "code rate", .type = FIELD_RATE, .low = RATE_MIN_15THS,
     .high = RATE_MAX_15THS, .plain = 10, .on_page = true, CODE(rate_15ths)},
    {"mode", "constellation", "", "constellation",
     CHOICE(constellation_name, CONSTELLATION_COUNT, QAM256), .on_page = true, CODE(constellation)},
    {"mode", "length", "", "code length", CHOICE(code_length_name, LENGTH_COUNT, LENGTH_64800),
     .on_page = true, CODE(length)},
    {"mode", "boost", "", "pilot boost", WHOLE(0, BOOST_MAX, 4), .step = 1, .on_page = true,
     WAVEFORM(boost)},
    {"mode", "reduction", "", "carrier reduction", "reduction", WHOLE(0, REDUCTION_MAX, 0),
     .step = 1, .on_page = true, WAVEFORM(reduction)},

    {"dvbt2", "fft", "", "FFT size of the second generation", "FFT size",
     CHOICE(t2_fft_name, T2_FFT_COUNT, T2_32K), .on_page = true, AT(dvbt2.waveform.fft)},
    {"dvbt2", "extended", "", "extended carriers", "extended", YES_NO(true), .on_page = true,
     AT(dvbt2.waveform.extended)},
    {"dvbt2", "guard", "", "guard interval of the second generation", "guard",
     CHOICE(t2_guard_name, T2_GUARD_COUNT, T2_GI_1_16), .on_page = true, AT(dvbt2.waveform.guard)},
    {"dvbt2", "pilots", "", "pilot pattern", "pilots",
     CHOICE(t2_pilots_name, T2_PILOTS_COUNT, T2_PP4), .on_page = true, AT(dvbt2.waveform.pilots)},
    {"dvbt2", "rate", "", "code rate of the second generation", "code rate",
     CHOICE(t2_rate_name, T2_PLP_RATES, T2_2_3), .on_page = true, T2_CODE(rate)},
    {"dvbt2", "constellation", "", "constellation of the second generation", "constellation",
     CHOICE(t2_constellation_name, T2_CONSTELLATION_COUNT, T2_256QAM), .on_page = true,
     T2_CODE(constellation)},
    {"dvbt2", "length", "", "code length of the second generation", "code length",
     CHOICE(t2_length_name, T2_LENGTH_COUNT, T2_64800), .on_page = true, T2_CODE(length)},
    {"dvbt2", "rotation", "", "rotated constellation", "rotation", YES_NO(true), .on_page = true,
     T2_CODE(rotation)},
    {"dvbt2", "high_efficiency", "", "high efficiency mode", "high effic.", YES_NO(true),
     .on_page = true, AT(dvbt2.high_efficiency)},
    {"dvbt2", "symbols", "", "symbols of a frame", "symbols", WHOLE(4, 2098, NAN), .word = "auto",
     .step = 2, .on_page = true, AT(dvbt2.symbols)},
    {"dvbt2", "l1_constellation", "", "constellation of L1", "L1",
     CHOICE(t2_l1_name, T2_L1_COUNT, T2_L1_64QAM), .on_page = true, AT(dvbt2.l1)},

    {"site", "rf_channel", "", "RF channel", WHOLE(RF_CHANNEL_MIN, RF_CHANNEL_MAX, 10), .step = 1,
     .on_page = true, AT(site.rf_channel), .put = put_channel, .may_be = site_channel_may_be},
    {"site", "center_mhz", "MHz", "centre frequency", "centre", NUMBER(30, 1000, NAN), .step = 0.1,
     .instead_of = "rf_channel", .on_page = true, AT(site.center_mhz), .put = put_center},
    {"site", "bandwidth_mhz", "MHz", "channel bandwidth", "bandwidth", WHOLE(5, 8, 6), .step = 1,
     .on_page = true, AT(site.bandwidth_mhz), .put = put_bandwidth, .may_be = bandwidth_may_be},

    {"receiver", "use", "", "use of the receiver", "use", CHOICE(use_name, USE_COUNT, USE_NONE),
     AT(receiver.use), .put = put_use},
    {"receiver", "snr_db", "dB", "measured SNR", NUMBER(-20, 80, NAN), .word = "none", .step = 0.5,
     .on_page = true, AT(receiver.snr_db)},
    {"receiver", "level_dbm", "dBm", "measured level", NUMBER(-140, 20, NAN), .word = "none",
     .step = 1, .on_page = true, AT(receiver.level_dbm)},
    {"receiver", "speed_kmh", "km/h", "speed", NUMBER(0, 1000, 0), .step = 5,
     AT(receiver.speed_kmh)},
    {"receiver", "noise_figure_db", "dB", "noise figure", NUMBER(0, 30, 7), .step = 0.5,
     AT(receiver.noise_figure_db)},
    {"receiver", "man_made", "", "man-made noise",
     CHOICE(man_made_noise_name, MAN_MADE_COUNT, MAN_MADE_NONE), AT(receiver.man_made)},
    {"receiver", "antenna_dbd", "dBd", "aerial gain", NUMBER(-40, 40, 0), .step = 0.5,
     AT(receiver.antenna_dbd)},
    {"receiver", "line_loss_db", "dB", "line loss", NUMBER(0, 60, 0), .step = 0.5,
     AT(receiver.line_loss_db)},
    {"receiver", "intercept_dbm", "dBm", "third-order intercept", "intercept", NUMBER(-60, 60, 10),
     .step = 1, AT(receiver.intercept_dbm)},
    {"receiver", "positions", "", "positions drawn", "positions", WHOLE(1, POSITIONS_MAX, 256),
     .ratio = 2, AT(receiver.positions)},
    {"receiver", "position_percent", "%", "share of positions", "share served", NUMBER(1, 99.9, 50),
     .step = 1, AT(receiver.position_percent)},

    {"place", "receive_height_m", "m", "receiving height", "aerial height",
     NUMBER(HEIGHT_MIN_M, 500, 10), .step = 0.5, AT(place.receive_height_m)},
    {"place", "building", "", "building", CHOICE(building_name, BUILDING_COUNT, BUILDING_NONE),
     AT(place.building)},
    {"place", "entry_loss_db", "dB", "entry loss", NUMBER(0, 80, NAN), .word = "none", .step = 1,
     AT(place.entry_loss_db)},
    {"place", "location_percent", "%", "share of locations", "locations",
     NUMBER(50, LOCATION_MAX_PERCENT, 50), .step = 1, AT(place.location_percent)},
    {"place", "time_percent", "%", "share of time",
     NUMBER(P1546_TIME_MIN_PERCENT, FCC_TIME_MAX_PERCENT, 50), .step = 1, AT(place.time_percent)},
    {"place", "surroundings", "", "surroundings",
     CHOICE(surroundings_name, SURROUNDINGS_COUNT, SURROUNDINGS_OPEN), AT(place.surroundings)},
    {"place", "method", "", "prediction method", "prediction",
     CHOICE(field_method_name, METHOD_COUNT, METHOD_AUTO), AT(place.method)},
    {"place", "bearing_deg", "deg", "aerial's bearing", "bearing", NUMBER(-360, 360, NAN),
     .word = "none", .step = 5, .turn = 360, AT(place.bearing_deg)},
    {"place", "front_to_back_db", "dB", "front-to-back ratio", "front to back", NUMBER(0, 60, NAN),
     .word = "none", .step = 1, AT(place.front_to_back_db)},

    {"dvbt", "fft", "", "FFT size of the first generation", "DVB-T FFT",
     CHOICE(dvbt_fft_name, DVBT_FFT_COUNT, DVBT_8K), .on_page = true, AT(dvbt.fft)},
    {"dvbt", "guard", "", "guard interval of the first generation", "DVB-T guard",
     CHOICE(dvbt_guard_name, DVBT_GUARD_COUNT, DVBT_1_4), .on_page = true, AT(dvbt.guard)},
    {"dvbt", "constellation", "", "constellation of the first generation", "DVB-T constel.",
     CHOICE(dvbt_constellation_name, DVBT_CONSTELLATION_COUNT, DVBT_64QAM), .on_page = true,
     AT(dvbt.constellation)},
    {"dvbt", "rate", "", "code rate of the first generation", "DVB-T rate",
     CHOICE(dvbt_rate_name, DVBT_RATE_COUNT, DVBT_2_3), .on_page = true, AT(dvbt.rate)},
    {"dvbt", "hierarchy", "", "hierarchy",
     CHOICE(dvbt_hierarchy_name, DVBT_HIERARCHY_COUNT, DVBT_PLAIN), .on_page = true,
     AT(dvbt.hierarchy)},
    {"dvbt", "priority", "", "stream received", "priority",
     CHOICE(dvbt_priority_name, DVBT_PRIORITY_COUNT, DVBT_HIGH), .on_page = true,
     AT(dvbt.priority)},
    {"dvbt", "low_rate", "", "code rate of the low priority", "low-prio. rate",
     CHOICE(dvbt_rate_name, DVBT_RATE_COUNT, DVBT_2_3), .on_page = true, AT(dvbt.low_rate)},

    {"first", "threshold_db", "dB", "threshold of visibility", "threshold", NUMBER(0, 40, 14.9),
     .step = 0.1, AT(first.threshold_db)},
    {"first", "equaliser_before_us", "us", "equaliser reach before", "reach ahead",
     NUMBER(0, 100, 29.5), .step = 0.5, AT(first.equaliser_before_us)},
    {"first", "equaliser_after_us", "us", "equaliser reach after", "reach after",
     NUMBER(0, 100, 38.5), .step = 0.5, AT(first.equaliser_after_us)},
    {"first", "tracking_hz", "Hz", "equaliser tracking", "tracking", NUMBER(0, TRACKING_MAX_HZ, 10),
     .step = 1, AT(first.tracking_hz)},
    {"first", "adaptation_step", "", "adaptation step", "LMS step", NUMBER(0, 1, 0), .step = 0.001,
     AT(first.adaptation_step)},
    {"first", "implementation_loss_db", "dB", "implementation loss", "implem. loss",
     NUMBER(0, 10, 0), .step = 0.1, AT(first.implementation_loss_db)},
    {"first", "feedback", "", "decisions fed back", "feedback",
     CHOICE(vsb_feedback_name, FEEDBACK_COUNT, FEEDBACK_TRELLIS), AT(first.feedback)},

    {"mode", "interleaver", "", "time interleaver", "interleaver",
     CHOICE(interleaver_name, INTERLEAVER_COUNT, CTI_1024), .told = INTERLEAVERS, .on_page = true,
     AT(transmission.plps[0].interleaver), .unless = "plp"},
    {"mode", "outer", "", "outer code", CHOICE(outer_code_name, OUTER_COUNT, OUTER_BCH),
     .on_page = true, CODE(outer)},
    {"mode", "frame_ms", "ms", "frame length", NUMBER(50, 5000, 250), .step = 10, .on_page = true,
     AT(transmission.frame_ms)},
    {"mode", "first_boundary", "", "first boundary symbol", "first boundary", YES_NO(false),
     .on_page = true, AT(transmission.subframes[0].first_boundary), .unless = "subframe"},
    {"mode", "l1_basic_mode", "", "L1-Basic mode", WHOLE(1, 7, 1), .step = 1, .on_page = true,
     AT(transmission.signalling.l1_basic_mode)},
    {"mode", "l1_detail_mode", "", "L1-Detail mode", WHOLE(1, 7, 1), .step = 1, .on_page = true,
     AT(transmission.signalling.l1_detail_mode)},
    {"mode", "l1_detail_bits", "bits", "L1-Detail size", WHOLE(200, L1_DETAIL_MOST, NAN),
     .word = "auto", .step = 8, FRAME(signalling.l1_detail_bits)},

    {"frame", "alignment", "", "frame alignment", "alignment",
     CHOICE(alignment_name, ALIGNMENT_COUNT, ALIGNED_TO_SYMBOLS), FRAME(alignment)},
    {"frame", "preamble_fft", "", "preamble FFT size", "preamble FFT",
     CHOICE(fft_name, FFT_COUNT, NAN), .word = "auto", FRAME(signalling.preamble_fft)},
    {"frame", "preamble_guard", "", "preamble guard interval", "preamble guard",
     CHOICE(guard_name, GUARD_COUNT, NAN), .word = "auto", FRAME(signalling.preamble_guard)},
    {"frame", "preamble_reduction", "", "preamble carrier reduction", "preamble red.",
     WHOLE(0, REDUCTION_MAX, NAN), .word = "auto", .step = 1, FRAME(signalling.preamble_reduction)},
    {"frame", "preamble_symbols", "", "preamble symbols", "preamble", WHOLE(1, 8, NAN),
     .word = "auto", .step = 1, FRAME(signalling.preamble_symbols)},
    {"frame", "tone_reservation", "", "tone reservation", "reserved tones", YES_NO(false),
     FRAME(tone_reservation)},
    {"frame", "bonding", "", "channel bonding", "bonding",
     CHOICE(bonding_name, BONDING_COUNT, BONDING_NONE), FRAME(bonding)},
    {"frame", "l1_time", "", "time in L1-Detail", "time in L1",
     CHOICE(time_info_name, TIME_INFO_COUNT, TIME_NONE), FRAME(signalling.time_info)},

    {"site", "pair", "", "pair of generations", "pair", CHOICE(pair_name, PAIR_COUNT, PAIR_ATSC),
     AT(site.pair), .put = put_pair},

    {"station", "generation", "", "generation",
     CHOICE(generation_name, GENERATION_COUNT, GENERATION_SECOND), OF_STATION(generation)},
    {"station", "rf_channel", "", "station's RF channel", "RF channel",
     WHOLE(RF_CHANNEL_MIN, RF_CHANNEL_MAX, NAN), .step = 1, OF_STATION(rf_channel),
     .may_be = station_channel_may_be},
    {"station", "erp_kw", "kW", "radiated power", "ERP", NUMBER(1e-6, 10000, NAN), .ratio = ONE_DB,
     OF_STATION(erp_kw)},
    {"station", "erp_vertical_kw", "kW", "vertical radiated power", "vertical ERP",
     NUMBER(0, 10000, 0), .step = 1, .finest = 0.01, OF_STATION(erp_vertical_kw)},
    {"station", "height_m", "m", "transmitter height", "height", NUMBER(HEIGHT_MIN_M, 3000, NAN),
     .ratio = 1.1, OF_STATION(height_m)},
    {"station", "distance_km", "km", "distance", NUMBER(DISTANCE_MIN_KM, DISTANCE_MAX_KM, NAN),
     .ratio = 1.1, OF_STATION(distance_km)},
    {"station", "bearing_deg", "deg", "station's bearing", "bearing", NUMBER(-360, 360, NAN),
     .word = "none", .step = 5, .turn = 360, OF_STATION(bearing_deg)},
    {"station", "network", "", "network", TEXT, OF_STATION(network)},
    {"station", "delay_us", "us", "static delay", "static delay",
     NUMBER(-STATIC_DELAY_MAX_US, STATIC_DELAY_MAX_US, 0), .step = 1, .finest = 0.01,
     OF_STATION(delay_us)},
    {"station", "terrain", "", "terrain file", "terrain", PATH, .word = "none",
     OF_STATION(terrain_file)},

    {"echo", "delay_us", "us", "echo delay", "delay",
     NUMBER(-ECHO_DELAY_MAX_US, ECHO_DELAY_MAX_US, NAN), .step = 1, .finest = 0.01,
     OF_ECHO(delay_us)},
    {"echo", "level_db", "dB", "echo level", "level",
     NUMBER(ECHO_LEVEL_MIN_DB, ECHO_LEVEL_MAX_DB, NAN), .step = 0.5, OF_ECHO(level_db)},
    {"echo", "phase_deg", "deg", "echo phase", "phase", NUMBER(-360, 360, NAN), .word = "any",
     .step = 5, .turn = 360, OF_ECHO(phase_deg)},
    {"echo", "doppler_hz", "Hz", "echo Doppler", "Doppler", NUMBER(-1000, 1000, 0), .step = 0.5,
     OF_ECHO(doppler_hz)},

    {"frame", "frame_ms", "ms", "length of the frame", "frame length", NUMBER(50, 5000, 250),
     .step = 10, .same_as = "mode.frame_ms", FRAME(frame_ms)},
    {"frame", "l1_basic_mode", "", "mode of L1-Basic", "L1-Basic", WHOLE(1, 7, 1), .step = 1,
     .same_as = "mode.l1_basic_mode", FRAME(signalling.l1_basic_mode)},
    {"frame", "l1_detail_mode", "", "mode of L1-Detail", "L1-Detail", WHOLE(1, 7, 1), .step = 1,
     .same_as = "mode.l1_detail_mode", FRAME(signalling.l1_detail_mode)},
    {"frame", "l1_detail_bits", "bits", "size of L1-Detail", "L1-Detail size",
     WHOLE(200, L1_DETAIL_MOST, NAN), .word = "auto", .step = 8, .same_as = "mode.l1_detail_bits",
     FRAME(signalling.l1_detail_bits)},

    {"subframe", "fft", "", "subframe's FFT size", "FFT size", CHOICE(fft_name, FFT_COUNT, FFT_16K),
     OF_SUBFRAME(waveform.fft)},
    {"subframe", "guard", "", "subframe's guard interval", "guard",
     CHOICE(guard_name, GUARD_COUNT, GI5_1024), OF_SUBFRAME(waveform.guard)},
    {"subframe", "pilots", "", "subframe's scattered pilots", "pilots",
     CHOICE(pilots_name, PILOTS_COUNT, SP12_2), OF_SUBFRAME(waveform.pilots)},
    {"subframe", "boost", "", "subframe's pilot boost", "pilot boost", WHOLE(0, BOOST_MAX, 4),
     .step = 1, OF_SUBFRAME(waveform.boost)},
    {"subframe", "reduction", "", "subframe's carrier reduction", "reduction",
     WHOLE(0, REDUCTION_MAX, 0), .step = 1, OF_SUBFRAME(waveform.reduction)},
    {"subframe", "first_boundary", "", "first symbol a boundary", "first boundary", YES_NO(false),
     OF_SUBFRAME(first_boundary)},
    {"subframe", "last_boundary", "", "last symbol a boundary", "last boundary", YES_NO(true),
     OF_SUBFRAME(last_boundary)},
    {"subframe", "frequency_interleaver", "", "frequency interleaver", "freq. interl.",
     YES_NO(true), OF_SUBFRAME(frequency_interleaver)},
    {"subframe", "miso", "", "MISO coefficients", "MISO", CHOICE(miso_name, MISO_COUNT, MISO_NONE),
     OF_SUBFRAME(miso)},
    {"subframe", "symbols", "", "symbols of the subframe", "symbols", WHOLE(1, 2048, NAN),
     .step = 1, OF_SUBFRAME(symbols)},
    {"subframe", "share_percent", "%", "share of the time", "share", NUMBER(0, 100, NAN),
     .word = "auto", .step = 5, .instead_of = "symbols", OF_SUBFRAME(share_percent)},

    {"plp", "subframe", "", "subframe of the PLP", "subframe", TEXT, .names_of = "subframe",
     OF_PLP(subframe)},
    {"plp", "constellation", "", "PLP's constellation", "constellation",
     CHOICE(constellation_name, CONSTELLATION_COUNT, QAM256), OF_PLP(code.constellation)},
    {"plp", "rate", "", "PLP's code rate", "code rate", .type = FIELD_RATE, .low = RATE_MIN_15THS,
     .high = RATE_MAX_15THS, .plain = 10, OF_PLP(code.rate_15ths)},
    {"plp", "length", "", "PLP's code length", "code length",
     CHOICE(code_length_name, LENGTH_COUNT, LENGTH_64800), OF_PLP(code.length)},
    {"plp", "outer", "", "PLP's outer code", "outer code",
     CHOICE(outer_code_name, OUTER_COUNT, OUTER_BCH), OF_PLP(code.outer)},
    {"plp", "interleaver", "", "PLP's time interleaver", "interleaver",
     CHOICE(interleaver_name, INTERLEAVER_COUNT, CTI_1024), .told = INTERLEAVERS,
     OF_PLP(interleaver)},
    {"plp", "layer", "", "layer", CHOICE(layer_name, LAYER_COUNT, LAYER_CORE), OF_PLP(layer)},
    {"plp", "over", "", "core PLP below it", "over", TEXT, .names_of = "plp", OF_PLP(over)},
    {"plp", "injection_db", "dB", "injection level", "injection", NUMBER(0, INJECTION_MAX_DB, 4),
     .step = 0.5, OF_PLP(injection_db)},
    {"plp", "cells", "", "cells of the PLP", "cells", WHOLE(1, CELLS_MAX, NAN), .step = 1000,
     OF_PLP(cells)},
    {"plp", "share_percent", "%", "share of the cells", "share", NUMBER(0, 100, NAN),
     .word = "auto", .step = 5, .instead_of = "cells", OF_PLP(share_percent)},
    {"plp", "start", "", "first cell", WHOLE(0, CELLS_MAX, NAN), .word = "auto", .step = 1000,
     OF_PLP(start)},
    {"plp", "subslices", "", "subslices", WHOLE(1, 16384, 1), .ratio = 2, OF_PLP(subslices)},
    {"plp", "subslice_interval", "", "cells from subslice to subslice", "interval",
     WHOLE(1, CELLS_MAX, NAN), .word = "auto", .step = 100, OF_PLP(subslice_interval)},
    {"plp", "bonded_snr_db", "dB", "SNR of the bonded channel", "bonded SNR", NUMBER(-20, 80, NAN),
     .word = "none", .step = 0.5, OF_PLP(bonded_snr_db)},

    {"plp", "constellation", "", "PLP's constellation", "constellation",
     CHOICE(t2_constellation_name, T2_CONSTELLATION_COUNT, T2_256QAM),
     OF_T2_PLP(code.constellation)},
    {"plp", "rate", "", "PLP's code rate", "code rate", CHOICE(t2_rate_name, T2_PLP_RATES, T2_2_3),
     OF_T2_PLP(code.rate)},
    {"plp", "length", "", "PLP's code length", "code length",
     CHOICE(t2_length_name, T2_LENGTH_COUNT, T2_64800), OF_T2_PLP(code.length)},
    {"plp", "rotation", "", "PLP's rotated constellation", "rotation", YES_NO(true),
     OF_T2_PLP(code.rotation)},
    {"plp", "cells", "", "cells of the PLP", "cells", WHOLE(1, CELLS_MAX, NAN), .step = 1000,
     OF_T2_PLP(cells)},
    {"plp", "share_percent", "%", "share of the cells", "share", NUMBER(0, 100, NAN),
     .word = "auto", .step = 5, .instead_of = "cells", OF_T2_PLP(share_percent)},

    {"service", "rate_mbps", "Mbit/s", "net rate of the service", "rate", NUMBER(0.001, 200, NAN),
     .word = "rest", .step = 0.1, OF_SERVICE(rate_mbps)},
    {"service", "snr_db", "dB", "SNR it must work at", "SNR", NUMBER(-20, 80, NAN), .step = 0.5,
     OF_SERVICE(snr_db)},
    {"service", "speed_kmh", "km/h", "speed of its receivers", "speed", NUMBER(0, 1000, 0),
     .step = 5, OF_SERVICE(speed_kmh)},
    {"service", "echo_us", "us", "echo it must bear", "echo", NUMBER(0, 1000, 0), .step = 5,
     OF_SERVICE(echo_us)},
    {"service", "channel", "", "channel it is received in", "channel",
     CHOICE(service_channel_name, SERVICE_CHANNEL_COUNT, SERVICE_IN_NOISE), OF_SERVICE(channel)},
};
_Static_assert(sizeof fields / sizeof fields[0] <= FIELDS_MAX, "FIELDS_MAX tells how many fit");

size_t field_count(void)
{
    return sizeof fields / sizeof fields[0];
}

const struct field *field_at(size_t i)
{
    return &fields[i];
}

/* Names are looked up at every key press and for every key of a file, and few begin alike. */
const struct field *field_find(const char *section, const char *name)
{
    int first = tolower((unsigned char)name[0]);
    for (size_t i = 0; i < field_count(); i++) {
        if (fields[i].name[0] == first && strcasecmp(fields[i].section, section) == 0 &&
            strcasecmp(fields[i].name, name) == 0) {
            return &fields[i];
        }
    }
    return NULL;
}

const struct field *field_beside(const struct field *field, const char *name)
{
    for (size_t i = 0; i < field_count(); i++) {
        if (fields[i].pairs == field->pairs && strcasecmp(fields[i].section, field->section) == 0 &&
            strcasecmp(fields[i].name, name) == 0) {
            return &fields[i];
        }
    }
    return NULL;
}

const struct field *field_named(const char *section_and_name)
{
    const char *point = strchr(section_and_name, '.');
    char section[16];
    text_format(section, sizeof section, "%.*s", point ? (int)(point - section_and_name) : 0,
                section_and_name);
    return point ? field_find(section, point + 1) : NULL;
}

const char *field_label(const struct field *field)
{
    return field->label ? field->label : field->title;
}

void field_name(const struct field *field, char *buffer, size_t size)
{
    text_format(buffer, size, "%s.%s", field->section, field->name);
}
