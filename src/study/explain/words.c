/* Entries by the words that people read: what stands on a screen, in a table or in a picture.
 * Titles and labels find their own; the rest is told here, a row a word. */
#include <ctype.h>
#include <string.h>
#include <strings.h>

#include "scenario/field.h"
#include "study/divide/divide.h"
#include "study/explain/explain.h"
#include "study/place/place.h"
#include "study/reading/log.h"

static const struct {
    const char *words, *entry;
} screen_words[] = {
    /* Verdicts and accounts. */
    {"verdict", "second.works"},
    {"decodes", "second.works"},
    {"fails", "second.works"},
    {"to spare", "second.margin_db"},
    {"short", "second.margin_db"},
    {"account", "second.margin_db"},
    {"from the SNR to what is to spare", "second.margin_db"},
    {"SNR of all rays", "receiver.snr_db"},
    {"interference", "place.interference_db"},
    {"echoes", "first.echo_loss_db"},
    {"echoes, ideal equaliser", "first.echo_loss_db"},
    {"wrong decisions", "first.decision_loss_db"},
    {"decisions fed back", "first.decision_loss_db"},
    {"adaptation", "first.adaptation_loss_db"},
    {"adaptation noise", "first.adaptation_loss_db"},
    {"lag behind moving echoes", "first.lag_loss_db"},
    {"motion", "second.motion_loss_db"},
    {"interference by motion", "second.motion_loss_db"},
    {"estimation", "second.estimation_loss_db"},
    {"channel estimation", "second.estimation_loss_db"},
    {"implementation", "first.implementation_loss_db"},
    {"unequal carriers", "second.fading_loss_db"},
    {"left", "second.effective_snr_db"},
    {"left for the decision", "second.effective_snr_db"},
    {"effective", "second.effective_snr_db"},
    {"needed", "second.needed_snr_db"},
    {"needs", "second.needed_snr_db"},
    {"needed in white noise", "second.needed_snr_db"},
    {"if ideal", "second.ideal_margin_db"},
    /* Rays and what bears them. */
    {"main signal", "echo.delay_us"},
    {"ray", "echo.delay_us"},
    {"rays", "echo.delay_us"},
    {"delays", "echo.delay_us"},
    {"echo", "echo.delay_us"},
    {"delay", "echo.delay_us"},
    {"equaliser", "first.equaliser_after_us"},
    {"guard interval, either way", "mode.guard"},
    {"pilots' reach", "second.reach_us"},
    {"useful", "second.self_interference_db"},
    {"path", "second.echo_km"},
    {"doppler", "second.doppler_hz"},
    {"reflector", "second.doppler_hz"},
    /* Pictures: what their axes and lines are. */
    {"best rate", "second.frontier"},
    {"all modes", "second.frontier"},
    {"any mode", "second.frontier"},
    {"rate and SNR", "second.net_mbps"},
    {"this symbol, other codes", "mode.rate"},
    {"from the channel's centre", "site.center_mhz"},
    {"strongest carriers", "second.fading_loss_db"},
    {"weakest carriers", "second.fading_loss_db"},
    {"its carriers", "second.fading_loss_db"},
    {"as it arrives", "first.echo_loss_db"},
    {"decodes from here on", "second.works"},
    {"useful in", "second.self_interference_db"},
    {"time", "second.positions_share"},
    {"share of positions", "second.positions_share"},
    {"share of the time that it decodes", "second.positions_share"},
    {"margin at 90 % of the time", "second.margin_90_db"},
    {"margin at 99 % of the time", "second.margin_99_db"},
    {"share of the time", "readings.share"},
    {"loss by loss", "second.margin_db"},
    {"step", "second.margin_db"},
    {"loss", "second.motion_loss_db"},
    {"tolerance", "second.echo_us"},
    {"distance", "station.distance_km"},
    {"field", "second.field_dbuvm"},
    {"reach", "place.reach_km"},
    {"speed", "receiver.speed_kmh"},
    {"level", "receiver.level_dbm"},
    /* Columns. */
    {"net", "second.net_mbps"},
    {"code", "mode.rate"},
    {"mode", "mode.fft"},
    {"plp", "plp.name"},
    {"its PLPs", "plp.name"},
    {"MIMO", "subframe.miso"},
    {"TxID", "mode.l1_basic_mode"},
    {"transmitter identification", "mode.l1_basic_mode"},
    {"service", "service.rate_mbps"},
    {"over time", "divide.spare_mbps"},
    {"injection", "plp.injection_db"},
    {"channel", "site.rf_channel"},
    {"channels off", "place.interference_db"},
    {"as noise", "place.interference_db"},
    {"disturbed by", "place.interference_db"},
    {"alike", "second.frontier"},
    {"limits", "weigh.limits"},
    {"at", "service.snr_db"},
    {"at, dB", "service.snr_db"},
    {"below", "plp.injection_db"},
    {"below, dB", "plp.injection_db"},
    {"limit", "second.limit_snr_db"},
    {"ideal", "second.ideal_snr_db"},
    {"foliage", "second.doppler_hz"},
    {"hand", "second.doppler_hz"},
    {"person", "second.doppler_hz"},
    {"car", "second.doppler_hz"},
    {"aircraft", "second.doppler_hz"},
    {"predicted", "first.snr_source"},
    {"by level", "first.snr_source"},
    {"measured", "first.snr_source"},
    {"8-VSB", "first.system"},
    {"OFDM", "second.system"},
    {"DVB-T", "dvb.system"},
    {"DVB-T2", "dvb.system"},
    {"missing", "page.marks"},
    {"unread", "page.marks"},
    {"not understood", "page.marks"},
    {"wrong", "page.marks"},
    {"guess", "page.marks"},
    {"contradiction", "page.marks"},
    {"assumed", "page.marks"},
    /* Units that head a column. */
    {"Mbit/s", "second.net_mbps"},
    {"dB", "second.required_snr_db"},
    {"us", "second.echo_us"},
    {"km", "second.echo_km"},
    {"km/h", "second.speed_kmh"},
    {"Hz", "second.doppler_hz"},
    {"deg", "echo.phase_deg"},
    {"dBm", "receiver.level_dbm"},
    {"dBuV", "receiver.level_dbm"},
    {"dBuV/m", "second.field_dbuvm"},
    {"dBd", "receiver.antenna_dbd"},
    {"f", "second.frontier"},
    /* What receivers' pages call things. */
    {"MER", "receiver.snr_db"},
    {"C/N", "receiver.snr_db"},
    {"S/N", "receiver.snr_db"},
    {"RSSI", "receiver.level_dbm"},
    {"UCB", "page.errors"},
    {"PER", "page.errors"},
    {"CBER", "page.error_rate_before"},
    {"VBER", "page.error_rate_inner"},
    {"LDPC", "mode.length"},
    {"FEC", "mode.rate"},
    {"GI", "mode.guard"},
    {"alpha", "dvbt.hierarchy"},
    {"LBER", "page.error_rate_inner"},
    {"BCHBER", "page.error_rate_after"},
    {"Viterbi", "page.error_rate_inner"},
    {"Reed-Solomon", "page.error_rate_inner"},
    {"QEF", "page.error_rate_inner"},
    {"quasi error free", "page.error_rate_inner"},
    {"uncorrected", "page.errors"},
    {"uncorrected blocks", "page.errors"},
    {"EVM", "page.not_computed"},
    {"AGC", "page.not_computed"},
    {"TOV", "first.threshold_db"},
    {"threshold of visibility", "first.threshold_db"},
    {"CTI", "mode.interleaver"},
    {"HTI", "mode.interleaver"},
    {"TI", "mode.interleaver"},
    {"bootstrap", "mode.frame_ms"},
    {"MODCOD", "mode.rate"},
    {"LDM", "plp.injection_db"},
    /* What people call things. */
    {"multipath", "echo.delay_us"},
    {"ghost", "echo.delay_us"},
    {"SFN", "station.network"},
    {"single-frequency network", "station.network"},
    {"wind", "second.doppler_hz"},
    {"leaves", "second.doppler_hz"},
    {"lag", "first.lag_loss_db"},
    {"taps", "first.equaliser_after_us"},
    {"location", "place.location_percent"},
    {"locations of a place", "place.location_percent"},
    {"man-made", "receiver.man_made"},
    {"headroom", "place.headroom_db"},
    {"horizon", "place.horizon_km"},
    {"aerial", "receiver.antenna_dbd"},
    {"antenna", "receiver.antenna_dbd"},
};

/* Letters and digits alike, in either case; what lies between them is one blank. */
static bool is_same(const char *one, const char *other)
{
    while (*one != '\0' || *other != '\0') {
        bool a = isalnum((unsigned char)*one), b = isalnum((unsigned char)*other);
        if (!a && !b) {
            one += strcspn(one, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789");
            other +=
                strcspn(other, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789");
        } else if (tolower((unsigned char)*one) != tolower((unsigned char)*other)) {
            return false;
        } else {
            one++;
            other++;
        }
    }
    return true;
}

static const struct explanation *of_screen(const char *words)
{
    for (size_t i = 0; i < sizeof screen_words / sizeof screen_words[0]; i++) {
        if (is_same(screen_words[i].words, words)) {
            return explain_find(screen_words[i].entry);
        }
    }
    return NULL;
}

static const struct explanation *of_setting(const char *words)
{
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        if (is_same(field->title, words) || (field->label && is_same(field->label, words))) {
            char name[96];
            text_format(name, sizeof name, "%s.%s", field->section, field->name);
            return explain_find(name);
        }
    }
    return NULL;
}

/* What settings are set to: "256QAM", "GI5_1024", "trellis"; of those that share a name the first.
 * Nothing is explained by what many can be. */
static const struct explanation *of_value(const char *words)
{
    if (strcasecmp(words, "none") == 0 || strcasecmp(words, "auto") == 0) {
        return NULL;
    }
    for (size_t i = 0; i < field_count(); i++) {
        const struct field *field = field_at(i);
        for (int k = (int)field->low; field->type == FIELD_CHOICE && k <= (int)field->high; k++) {
            if (strcasecmp(field->choice(k), words) == 0) {
                char name[96];
                text_format(name, sizeof name, "%s.%s", field->section, field->name);
                return explain_find(name);
            }
        }
    }
    return NULL;
}

static const struct explanation *of_figure(const char *words)
{
    const struct {
        const char *part;
        const struct figure_table *table;
    } tables[] = {{"second", &generation_figures},
                  {"conditions", &conditions_figures},
                  {"rf", &rf_figures},
                  {"place", &place_figures},
                  {"readings", &log_figures},
                  {"divide", &division_figures},
                  {"divide", &division_service_figures}};
    for (size_t t = 0; t < sizeof tables / sizeof tables[0]; t++) {
        for (size_t i = 0; i < tables[t].table->count; i++) {
            const struct figure *figure = &tables[t].table->rows[i];
            if (is_same(figure->label, words) || is_same(figure_brief(figure), words)) {
                char name[96];
                text_format(name, sizeof name, "%s.%s", tables[t].part, figure->name);
                const struct explanation *entry = explain_find(name);
                return entry ? entry : explain_find(figure->name);
            }
        }
    }
    return NULL;
}

static const struct explanation *of_title(const char *words)
{
    for (size_t i = 0; i < explain_count(); i++) {
        if (is_same(explain_title(explain_at(i)), words)) {
            return explain_at(i);
        }
    }
    return NULL;
}

const struct explanation *explain_find_words(const char *words)
{
    static const struct explanation *(*const ways[])(const char *) = {
        of_screen, of_figure, explain_find, of_setting, of_title, of_value};
    /* "plp.rate" is a setting, "PLP rate" a figure. */
    const struct explanation *entry = strchr(words, '.') ? explain_find(words) : NULL;
    for (size_t i = 0; i < sizeof ways / sizeof ways[0] && entry == NULL; i++) {
        entry = ways[i](words);
    }
    return entry;
}

static bool holds(const char *title, const char *words)
{
    size_t length = strlen(words);
    for (; *title != '\0'; title++) {
        if (strncasecmp(title, words, length) == 0) {
            return true;
        }
    }
    return false;
}

void explain_near_words(const char *words, char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (size_t i = 0; i < explain_count(); i++) {
        const char *title = explain_title(explain_at(i));
        if (words[0] != '\0' && holds(title, words) && used + strlen(title) + 3 < size &&
            strstr(buffer, title) == NULL) {
            used += text_format(buffer + used, size - used, "%s%s", used ? ", " : "", title);
        }
    }
}
