/* The name of a run. A profile's echoes are too many to be spelled out in it, so a digest (FNV-1a)
 * stands for them. What is digested is decimal text, the same on every machine. */
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "base/text.h"
#include "study/proof/proof.h"
#include "study/verdict/conditions.h"

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

static void digest_channel(struct digest *digest, struct channel *channel)
{
    channel_draw(channel, 0, channel); /* the position that is simulated */
    digest_number(digest, channel->spread_hz);
    for (int i = 0; i < channel->count; i++) {
        const struct ray *ray = &channel->rays[i];
        digest_number(digest, ray->delay_us);
        digest_number(digest, ray->gain);
        digest_number(digest, ray->phase);
        digest_number(digest, ray->doppler_hz);
    }
}

static enum status digest_place(struct digest *digest, const struct scenario *scenario,
                                const struct proof_choice *choice, struct fault *fault)
{
    const struct system *system = system_of(scenario, choice->generation);
    struct simulation_choice asked = proof_asked(choice);
    struct conditions *conditions = malloc(sizeof *conditions);
    struct reception reception;
    if (conditions == NULL) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    enum status status = conditions_make(scenario, choice->generation, conditions, fault);
    if (status == STATUS_OK) {
        status = proof_receive(scenario, choice, &reception, fault);
    }
    if (status == STATUS_OK) {
        double numbers[8];
        int count = system->simulation->enters(&reception, scenario, &asked, numbers);
        for (int i = 0; i < count; i++) {
            digest_number(digest, numbers[i]);
        }
        digest_channel(digest, &conditions->channel);
    }
    free(conditions);
    return status;
}

enum status proof_identify(const struct scenario *scenario, const struct proof_choice *choice,
                           char *buffer, size_t size, struct fault *fault)
{
    struct digest digest = {0xCBF29CE484222325u};
    proof_describe(scenario, choice, buffer, size);
    if (choice->channel != CHANNEL_CARRIERS) {
        return STATUS_OK;
    }
    enum status status = digest_place(&digest, scenario, choice, fault);
    size_t used = strlen(buffer);
    text_format(buffer + used, size - used, "%s%08lx", PROOF_CHANNEL_MARK,
                (unsigned long)((digest.value ^ digest.value >> 32) & 0xFFFFFFFFu));
    return status;
}
