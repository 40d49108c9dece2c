/* A report is the verdicts of both generations, each with its facts, and the channel they stand
 * on. */
#include "study/report/report.h"

#include <math.h>

static struct report_rf rf_part(const struct site *site)
{
    int channel = site->rf_channel ? site->rf_channel
                                   : rf_channel_at(pair_plan(site->pair), site->center_mhz);
    return (struct report_rf){.channel = channel > 0 ? channel : NAN,
                              .center_mhz = site->center_mhz,
                              .band = rf_band(site->center_mhz),
                              .bandwidth_mhz = site->bandwidth_mhz};
}

enum status report_describe(const struct scenario *scenario, struct report *report,
                            struct fault *fault)
{
    enum status status = STATUS_OK;
    report->rf = rf_part(&scenario->site);
    for (int i = 0; i < GENERATION_COUNT && status == STATUS_OK; i++) {
        status = verdict_prepare(scenario, (enum generation)i, &report->verdicts.of[i], fault);
    }
    return status;
}

enum status report_make(const struct scenario *scenario, struct report *report, struct fault *fault)
{
    report->rf = rf_part(&scenario->site);
    return verdicts_make(scenario, &report->verdicts, fault);
}

void report_words_rf(const struct report_rf *rf, struct text *out)
{
    if (!isnan(rf->channel)) {
        text_printf(out, "RF channel %.0f, ", rf->channel);
    }
    text_printf(out, "%.3f MHz, %s", rf->center_mhz, band_name(rf->band));
}
