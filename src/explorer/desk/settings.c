/* Which settings the main view offers, and how a value becomes the next one. */
#include "explorer/desk/settings.h"

#include <math.h>
#include <string.h>

#include "base/number.h"

static const char mode_group[] = "Second generation (OFDM)", site_group[] = "Channel",
                  receiver_group[] = "Receiver", vsb_group[] = "First-generation receiver (8-VSB)",
                  frame_group[] = "Frame and signalling";

/* What is used most stands first: short screens show ten rows. */
static const struct setting rows[] = {
    {mode_group, "mode", "fft", "FFT size", 0},
    {mode_group, "mode", "guard", "Guard", 0},
    {mode_group, "mode", "pilots", "Pilots", 0},
    {mode_group, "mode", "rate", "Code rate", 0},
    {mode_group, "mode", "constellation", "Constellation", 0},
    {mode_group, "mode", "length", "Code length", 0},
    {mode_group, "mode", "boost", "Pilot boost", 0},
    {mode_group, "mode", "reduction", "Reduction", 0},
    {site_group, "site", "rf_channel", "RF channel", 1},
    {site_group, "site", "center_mhz", "Centre", 0.1},
    {site_group, "site", "bandwidth_mhz", "Bandwidth", 0},
    {receiver_group, "receiver", "snr_db", "Measured SNR", 0.5},
    {receiver_group, "receiver", "level_dbm", "Measured level", 1},
    {receiver_group, "receiver", "speed_kmh", "Speed", 5},
    {receiver_group, "receiver", "noise_figure_db", "Noise figure", 0.5},
    {receiver_group, "receiver", "man_made", "Man-made noise", 0},
    {receiver_group, "receiver", "antenna_dbd", "Antenna gain", 0.5},
    {receiver_group, "receiver", "line_loss_db", "Line loss", 0.5},
    {vsb_group, "first", "threshold_db", "Threshold", 0.1},
    {vsb_group, "first", "equaliser_before_us", "Reach ahead", 0.5},
    {vsb_group, "first", "equaliser_after_us", "Reach after", 0.5},
    {vsb_group, "first", "tracking_hz", "Tracking", 1},
    {vsb_group, "first", "adaptation_step", "LMS step", 0.001},
    {vsb_group, "first", "implementation_loss_db", "Implem. loss", 0.1},
    {vsb_group, "first", "feedback", "Feedback", 0},
    {frame_group, "mode", "interleaver", "Interleaver", 0},
    {frame_group, "mode", "outer", "Outer code", 0},
    {frame_group, "mode", "frame_ms", "Frame", 10},
    {frame_group, "mode", "first_boundary", "First boundary", 0},
    {frame_group, "mode", "l1_basic_mode", "L1-Basic mode", 0},
    {frame_group, "mode", "l1_detail_mode", "L1-Detail mode", 0},
    {frame_group, "mode", "l1_detail_bits", "L1-Detail bits", 8},
};

int setting_count(void)
{
    return (int)(sizeof rows / sizeof rows[0]);
}

const struct setting *setting_row(int i)
{
    return &rows[i];
}

const struct key_row *setting_key(int i)
{
    return key_find(rows[i].section, rows[i].key);
}

void setting_name(int i, char *buffer, size_t size)
{
    text_format(buffer, size, "%s.%s", rows[i].section, rows[i].key);
}

void setting_text(int i, const struct scenario *scenario, char *buffer, size_t size)
{
    const struct key_row *key = setting_key(i);
    char value[64];
    key_format(key, scenario, value, sizeof value);
    bool unit = key->unit[0] && strcmp(value, "none") != 0;
    text_format(buffer, size, "%s%s%s", value, unit ? " " : "", unit ? key->unit : "");
}

bool setting_is_number(int i)
{
    const struct key_row *key = setting_key(i);
    return key->type == KEY_DOUBLE || key->type == KEY_OPTIONAL_DOUBLE ||
           (key->type == KEY_INT && key->high - key->low >= SETTING_CHOICES_MAX);
}

/* Every value of a choice as text, legal or not; returns how many. */
static int all_choices(const struct key_row *key, int n, char *buffer, size_t size)
{
    int low = (int)key->low, count = (int)key->high - low + 1;
    if (n >= count) {
        return count;
    }
    switch (key->type) {
    case KEY_BOOL:
        text_format(buffer, size, "%s", n ? "yes" : "no");
        return 2;
    case KEY_CHOICE:
        text_format(buffer, size, "%s", key->choice_name(n));
        return key->choice_count;
    case KEY_RATE:
        text_format(buffer, size, "%d/15", low + n);
        return count;
    default:
        text_format(buffer, size, "%d", low + n);
        return count;
    }
}

enum status setting_set(int i, const struct scenario *scenario, const char *text,
                        struct scenario *next, struct fault *fault)
{
    char name[64];
    setting_name(i, name, sizeof name);
    *next = *scenario;
    enum status status = profile_set(next, name, text, fault);
    if (status == STATUS_OK) {
        transmission_repair(&next->transmission);
    }
    return status;
}

void setting_choices(int i, const struct scenario *scenario, struct setting_choices *choices)
{
    const struct key_row *key = setting_key(i);
    char wanted[20], got[64], now[64], name[64];
    struct scenario trial = *scenario;
    *choices = (struct setting_choices){.at = -1};
    setting_name(i, name, sizeof name);
    key_format(key, scenario, now, sizeof now);
    int count = all_choices(key, 0, wanted, sizeof wanted);
    for (int n = 0; n < count && choices->count < SETTING_CHOICES_MAX; n++) {
        all_choices(key, n, wanted, sizeof wanted);
        trial.transmission = scenario->transmission;
        if (profile_set(&trial, name, wanted, NULL) != STATUS_OK) {
            continue;
        }
        transmission_repair(&trial.transmission); /* what is moved back was not legal */
        key_format(key, &trial, got, sizeof got);
        if (strcmp(got, wanted) == 0) {
            if (strcmp(wanted, now) == 0) {
                choices->at = choices->count;
            }
            text_format(choices->text[choices->count++], sizeof choices->text[0], "%s", wanted);
        }
    }
}

static bool number_of(int i, const struct scenario *scenario, double *value)
{
    char text[64];
    key_format(setting_key(i), scenario, text, sizeof text);
    return number_read_double(text, value);
}

double setting_position(int i, const struct scenario *scenario)
{
    const struct key_row *key = setting_key(i);
    double value;
    if (!number_of(i, scenario, &value)) {
        return NAN;
    }
    double share = (value - key->low) / (key->high - key->low);
    return share < 0.0 ? 0.0 : share > 1.0 ? 1.0 : share;
}

static bool set_number(int i, const struct scenario *scenario, double value, struct scenario *next)
{
    const struct key_row *key = setting_key(i);
    double before;
    value = fmin(fmax(value, key->low), key->high);
    if (number_of(i, scenario, &before) && before == value) {
        return false;
    }
    char text[32];
    number_write_double(text, sizeof text, value);
    return setting_set(i, scenario, text, next, NULL) == STATUS_OK;
}

/* A multiple of the step, without the crumbs of binary fractions. */
static double multiple_of(double step, double count)
{
    return step < 1.0 ? count / round(1.0 / step) : count * step;
}

bool setting_step(int i, const struct scenario *scenario, int direction, struct scenario *next)
{
    if (!setting_is_number(i)) {
        struct setting_choices choices;
        setting_choices(i, scenario, &choices);
        return setting_set_choice(i, scenario, choices.at + direction, next);
    }
    const struct key_row *key = setting_key(i);
    double step = rows[i].step, value;
    if (!number_of(i, scenario, &value)) { /* from "none" to the middle of the range */
        double middle = multiple_of(step, round((key->low + key->high) / 2 / step));
        return set_number(i, scenario, middle, next);
    }
    double count = value / step;
    double to = direction > 0 ? floor(count + 1e-6) + 1 : ceil(count - 1e-6) - 1;
    return set_number(i, scenario, multiple_of(step, to), next);
}

bool setting_set_share(int i, const struct scenario *scenario, double share, struct scenario *next)
{
    const struct key_row *key = setting_key(i);
    double value = key->low + share * (key->high - key->low), step = rows[i].step;
    return set_number(i, scenario, multiple_of(step, round(value / step)), next);
}

bool setting_set_choice(int i, const struct scenario *scenario, int choice, struct scenario *next)
{
    struct setting_choices choices;
    setting_choices(i, scenario, &choices);
    return choice >= 0 && choice < choices.count && choice != choices.at &&
           setting_set(i, scenario, choices.text[choice], next, NULL) == STATUS_OK;
}

void setting_moved(int i, const struct scenario *before, const struct scenario *after, char *buffer,
                   size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (int k = 0; k < setting_count(); k++) {
        char was[64], is[64];
        setting_text(k, before, was, sizeof was);
        setting_text(k, after, is, sizeof is);
        if (k != i && strcmp(was, is) != 0) {
            used += text_format(buffer + used, size - used, "%s%s %s", used ? ", " : "",
                                rows[k].label, is);
        }
    }
}
