/* The name of a run. A profile's echoes are too many to be spelled out in it, so a digest (FNV-1a)
 * stands for them. What is digested is decimal text, the same on every machine. */
#include <stdint.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "standard/atsc3/frame.h"
#include "study/proof/proof.h"

struct digest {
    uint64_t value;
};

static void digest_number(struct digest *digest, double number)
{
    char written[32];
    number_write_double(written, (int)sizeof written, number + 0.0); /* -0 is 0 */
    for (const char *at = written;; at++) {
        digest->value = (digest->value ^ (unsigned char)*at) * 0x100000001B3u;
        if (*at == '\0') {
            return;
        }
    }
}

static void digest_echoes(struct digest *digest, const struct scenario *scenario)
{
    for (int i = 0; i < scenario->echo_count; i++) {
        const struct echo *echo = &scenario->echoes[i];
        digest_number(digest, echo->delay_us);
        digest_number(digest, echo->level_db);
        digest_number(digest, echo->phase_deg);
        digest_number(digest, echo->doppler_hz);
    }
}

static enum status digest_second(struct digest *digest, const struct scenario *scenario,
                                 struct fault *fault)
{
    const struct mode *mode = &scenario->mode;
    struct frame frame;
    enum status status = frame_build(mode, &frame, fault);
    if (status == STATUS_OK) {
        digest_number(digest, mode->bandwidth_mhz);
        digest_number(digest, mode->reduction);
        digest_number(digest, interleaver_span_ms(mode, &frame));
        digest_echoes(digest, scenario);
    }
    return status;
}

static void digest_first(struct digest *digest, const struct scenario *scenario)
{
    digest_number(digest, scenario->first.equaliser_before_us);
    digest_number(digest, scenario->first.equaliser_after_us);
    digest_number(digest, scenario->first.tracking_hz);
    digest_number(digest, scenario->first.adaptation_step);
    digest_number(digest, scenario->first.feedback);
    digest_echoes(digest, scenario);
}

enum status proof_identify(const struct scenario *scenario, const struct proof_choice *choice,
                           char *buffer, size_t size, struct fault *fault)
{
    struct digest digest = {0xCBF29CE484222325u};
    enum status status = STATUS_OK;
    proof_describe(scenario, choice, buffer, size);
    if (choice->channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    if (choice->generation == GENERATION_FIRST) {
        digest_first(&digest, scenario);
    } else {
        status = digest_second(&digest, scenario, fault);
    }
    size_t used = strlen(buffer);
    text_format(buffer + used, size - used, "%s%08lx", PROOF_CHANNEL_MARK,
                (unsigned long)((digest.value ^ digest.value >> 32) & 0xFFFFFFFFu));
    return status;
}
