/* Seeds of the generators side by side. */
#include "simulation/modem/noise.h"

struct noise noise_seeded(struct random *random)
{
    struct noise noise;
    for (int l = 0; l < KERNEL_LANES; l++) {
        for (int i = 0; i < 4; i += 2) {
            uint64_t bits = random_bits(random);
            noise.state[i][l] = (uint32_t)bits;
            noise.state[i + 1][l] = (uint32_t)(bits >> 32);
        }
        noise.state[0][l] |= 1; /* a state of zeros would stay there */
    }
    return noise;
}
