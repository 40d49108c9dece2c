/* The keys of a profile: one row each, for reading, writing, --set, the explorer and the manual. */
#include <string.h>
#include <strings.h>

#include "physics/vsb/decision.h"
#include "scenario/keys.h"
#include "scenario/scenario.h"
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
CHOICE_NAME(man_made_noise_name, man_made_noise)
CHOICE_NAME(vsb_feedback_name, vsb_feedback)
CHOICE_NAME(generation_name, generation)
CHOICE_NAME(building_name, building)
CHOICE_NAME(field_method_name, field_method)

#define IN(field) offsetof(struct scenario, field)
#define INT(s, k, u, lo, hi, at, help_)                                                          \
    {                                                                                            \
        .section = s, .key = k, .type = KEY_INT, .unit = u, .low = lo, .high = hi, .offset = at, \
        .help = help_                                                                            \
    }
#define DOUBLE(s, k, u, lo, hi, at, help_)                                            \
    {                                                                                 \
        .section = s, .key = k, .type = KEY_DOUBLE, .unit = u, .low = lo, .high = hi, \
        .offset = at, .help = help_                                                   \
    }
#define OPTIONAL(s, k, u, lo, hi, at, help_)                                                   \
    {                                                                                          \
        .section = s, .key = k, .type = KEY_OPTIONAL_DOUBLE, .unit = u, .low = lo, .high = hi, \
        .offset = at, .help = help_                                                            \
    }
#define CHOICE(s, k, count, name, at, help_)                                                 \
    {                                                                                        \
        .section = s, .key = k, .type = KEY_CHOICE, .unit = "", .low = 0, .high = (count)-1, \
        .offset = at, .choice_count = count, .choice_name = choice_##name, .help = help_     \
    }

static const struct key_row rows[] = {
    INT("site", "rf_channel", "", RF_CHANNEL_MIN, RF_CHANNEL_MAX, IN(site.rf_channel),
        "channel of the US plan"),
    DOUBLE("site", "center_mhz", "MHz", CENTER_MIN_MHZ, CENTER_MAX_MHZ, IN(site.center_mhz),
           "centre frequency, instead of a channel"),
    INT("site", "bandwidth_mhz", "MHz", 6, 8, IN(site.bandwidth_mhz), "channel bandwidth"),
    CHOICE("mode", "fft", FFT_COUNT, fft_name, IN(transmission.subframes[0].waveform.fft),
           "FFT size"),
    CHOICE("mode", "guard", GUARD_COUNT, guard_name, IN(transmission.subframes[0].waveform.guard),
           "guard interval"),
    CHOICE("mode", "pilots", PILOTS_COUNT, pilots_name,
           IN(transmission.subframes[0].waveform.pilots), "scattered pilot pattern"),
    INT("mode", "boost", "", 0, BOOST_MAX, IN(transmission.subframes[0].waveform.boost),
        "scattered pilot boost"),
    INT("mode", "reduction", "", 0, REDUCTION_MAX, IN(transmission.subframes[0].waveform.reduction),
        "carrier reduction coefficient"),
    CHOICE("mode", "length", LENGTH_COUNT, code_length_name,
           IN(transmission.subframes[0].plps[0].code.length), "LDPC code length"),
    {.section = "mode",
     .key = "rate",
     .type = KEY_RATE,
     .unit = "",
     .low = RATE_MIN_15THS,
     .high = RATE_MAX_15THS,
     .offset = IN(transmission.subframes[0].plps[0].code.rate_15ths),
     .help = "LDPC code rate"},
    CHOICE("mode", "constellation", CONSTELLATION_COUNT, constellation_name,
           IN(transmission.subframes[0].plps[0].code.constellation), "constellation"),
    CHOICE("mode", "outer", OUTER_COUNT, outer_code_name,
           IN(transmission.subframes[0].plps[0].code.outer), "outer code"),
    DOUBLE("mode", "frame_ms", "ms", 50, 5000, IN(transmission.frame_ms), "asked frame length"),
    {.section = "mode",
     .key = "first_boundary",
     .type = KEY_BOOL,
     .unit = "",
     .high = 1,
     .offset = IN(transmission.subframes[0].first_boundary),
     .help = "first symbol is a boundary symbol"},
    INT("mode", "l1_basic_mode", "", 1, 7, IN(transmission.signalling.l1_basic_mode),
        "L1-Basic FEC mode"),
    INT("mode", "l1_detail_mode", "", 1, 7, IN(transmission.signalling.l1_detail_mode),
        "L1-Detail FEC mode"),
    INT("mode", "l1_detail_bits", "bits", 200, 6312, IN(transmission.signalling.l1_detail_bits),
        "L1-Detail information bits"),
    CHOICE("mode", "interleaver", INTERLEAVER_COUNT, interleaver_name,
           IN(transmission.subframes[0].plps[0].interleaver), "time interleaver"),
    DOUBLE("first", "threshold_db", "dB", THRESHOLD_MIN_DB, THRESHOLD_MAX_DB,
           IN(first.threshold_db), "8-VSB threshold of visibility, pilot counted as signal"),
    DOUBLE("first", "equaliser_before_us", "us", 0, EQUALISER_MAX_US, IN(first.equaliser_before_us),
           "equaliser reach before the main signal"),
    DOUBLE("first", "equaliser_after_us", "us", 0, EQUALISER_MAX_US, IN(first.equaliser_after_us),
           "equaliser reach after the main signal"),
    DOUBLE("first", "tracking_hz", "Hz", 0, TRACKING_MAX_HZ, IN(first.tracking_hz),
           "fastest echo that the equaliser follows"),
    DOUBLE("first", "adaptation_step", "", 0, ADAPTATION_STEP_MAX, IN(first.adaptation_step),
           "step of the adaptive equaliser; 0: ideal"),
    DOUBLE("first", "implementation_loss_db", "dB", 0, IMPLEMENTATION_LOSS_MAX_DB,
           IN(first.implementation_loss_db), "loss against an ideal 8-VSB receiver"),
    CHOICE("first", "feedback", FEEDBACK_COUNT, vsb_feedback_name, IN(first.feedback),
           "decisions that the equaliser feeds back"),
    DOUBLE("receiver", "noise_figure_db", "dB", 0, NOISE_FIGURE_MAX_DB,
           IN(receiver.noise_figure_db), "receiver noise figure"),
    CHOICE("receiver", "man_made", MAN_MADE_COUNT, man_made_noise_name, IN(receiver.man_made),
           "man-made noise at the antenna"),
    DOUBLE("receiver", "antenna_dbd", "dBd", ANTENNA_MIN_DBD, ANTENNA_MAX_DBD,
           IN(receiver.antenna_dbd), "antenna gain over a half-wave dipole"),
    DOUBLE("receiver", "line_loss_db", "dB", 0, LINE_LOSS_MAX_DB, IN(receiver.line_loss_db),
           "loss between antenna and receiver"),
    OPTIONAL("receiver", "snr_db", "dB", SNR_MIN_DB, SNR_MAX_DB, IN(receiver.snr_db),
             "measured SNR, all echoes counted as signal"),
    OPTIONAL("receiver", "level_dbm", "dBm", LEVEL_MIN_DBM, LEVEL_MAX_DBM, IN(receiver.level_dbm),
             "measured level at the receiver's input"),
    DOUBLE("receiver", "speed_kmh", "km/h", 0, SPEED_MAX_KMH, IN(receiver.speed_kmh),
           "speed of the receiver"),
    DOUBLE("place", "receive_height_m", "m", HEIGHT_MIN_M, RECEIVE_HEIGHT_MAX_M,
           IN(place.receive_height_m), "height of the receiving antenna"),
    CHOICE("place", "building", BUILDING_COUNT, building_name, IN(place.building),
           "building around the receiving antenna"),
    OPTIONAL("place", "entry_loss_db", "dB", 0, ENTRY_LOSS_MAX_DB, IN(place.entry_loss_db),
             "building entry loss, instead of the building's kind"),
    DOUBLE("place", "location_percent", "%", LOCATION_MIN_PERCENT, LOCATION_MAX_PERCENT,
           IN(place.location_percent), "share of locations to be served"),
    CHOICE("place", "method", METHOD_COUNT, field_method_name, IN(place.method),
           "how field strength is predicted"),
    CHOICE("station", "generation", GENERATION_COUNT, generation_name,
           offsetof(struct station, generation), "generation that the station transmits"),
    INT("station", "rf_channel", "", RF_CHANNEL_MIN, RF_CHANNEL_MAX,
        offsetof(struct station, rf_channel), "channel of the US plan"),
    DOUBLE("station", "erp_kw", "kW", ERP_MIN_KW, ERP_MAX_KW, offsetof(struct station, erp_kw),
           "effective radiated power, horizontal"),
    DOUBLE("station", "erp_vertical_kw", "kW", 0, ERP_MAX_KW,
           offsetof(struct station, erp_vertical_kw), "effective radiated power, vertical"),
    DOUBLE("station", "height_m", "m", HEIGHT_MIN_M, HEIGHT_MAX_M,
           offsetof(struct station, height_m), "antenna height above average terrain"),
    DOUBLE("station", "distance_km", "km", DISTANCE_MIN_KM, DISTANCE_MAX_KM,
           offsetof(struct station, distance_km), "distance from the place"),
    DOUBLE("echo", "delay_us", "us", -ECHO_DELAY_MAX_US, ECHO_DELAY_MAX_US,
           offsetof(struct echo, delay_us), "delay; negative: ahead of the main signal"),
    DOUBLE("echo", "level_db", "dB", ECHO_LEVEL_MIN_DB, ECHO_LEVEL_MAX_DB,
           offsetof(struct echo, level_db), "power over the main signal's"),
    DOUBLE("echo", "phase_deg", "deg", -PHASE_MAX_DEG, PHASE_MAX_DEG,
           offsetof(struct echo, phase_deg), "phase against the main signal"),
    DOUBLE("echo", "doppler_hz", "Hz", -ECHO_DOPPLER_MAX_HZ, ECHO_DOPPLER_MAX_HZ,
           offsetof(struct echo, doppler_hz), "Doppler shift against the main signal"),
};

size_t key_count(void)
{
    return sizeof rows / sizeof rows[0];
}

const struct key_row *key_row(size_t i)
{
    return &rows[i];
}

const struct key_row *key_find(const char *section, const char *key)
{
    for (size_t i = 0; i < key_count(); i++) {
        if (strcasecmp(rows[i].section, section) == 0 && strcasecmp(rows[i].key, key) == 0) {
            return &rows[i];
        }
    }
    return NULL;
}
