/* The generator xoshiro256++, seeded by splitmix64, and the distributions drawn from it. */
#include "base/random.h"

#include <math.h>

static uint64_t splitmix64(uint64_t *state)
{
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

struct random random_seeded(uint64_t seed, uint64_t stream)
{
    struct random random = {{0}, 0.0, 0};
    uint64_t mix = seed;
    uint64_t base = splitmix64(&mix);
    mix = base ^ (stream * 0xD1342543DE82EF95u + 0x632BE59BD9B4E019u);
    for (int i = 0; i < 4; i++) {
        random.state[i] = splitmix64(&mix);
    }
    return random;
}

static uint64_t rotate_left(uint64_t value, int by)
{
    return (value << by) | (value >> (64 - by));
}

uint64_t random_bits(struct random *random)
{
    uint64_t *s = random->state;
    uint64_t result = rotate_left(s[0] + s[3], 23) + s[0];
    uint64_t t = s[1] << 17;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = rotate_left(s[3], 45);
    return result;
}

double random_uniform(struct random *random)
{
    return (double)(random_bits(random) >> 11) * 0x1.0p-53;
}

double random_normal(struct random *random)
{
    if (random->has_spare) {
        random->has_spare = 0;
        return random->spare;
    }
    double u, v, square;
    do {
        u = 2.0 * random_uniform(random) - 1.0;
        v = 2.0 * random_uniform(random) - 1.0;
        square = u * u + v * v;
    } while (square >= 1.0 || square == 0.0);
    double factor = sqrt(-2.0 * log(square) / square);
    random->spare = v * factor;
    random->has_spare = 1;
    return u * factor;
}
