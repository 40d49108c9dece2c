/* Who stands where: the loops for wide registers against their plain twins, compiled here under
 * other names. */
#include "support/near.h"

#include <math.h>
#include <stdlib.h>

#include "base/random.h"
#include "base/units.h"
#include "physics/information/information.h"
#include "physics/ofdm/gain_nodes.h"
#include "physics/ofdm/gain_spread.h"

#undef __x86_64__
#define gain_nodes_new plain_nodes_new
#define gain_nodes_free plain_nodes_free
#define gain_nodes_clear plain_nodes_clear
#define gain_nodes_put plain_nodes_put
#define gain_nodes_stand plain_nodes_stand
#define gain_nodes_near plain_nodes_near
#define gain_stands_order plain_stands_order
#define gain_ladder_make plain_ladder_make
#define gain_rung_make plain_rung_make
#define gain_rank_effective_db plain_rank_effective_db
struct gain_nodes *plain_nodes_new(int positions);
void plain_nodes_free(struct gain_nodes *nodes);
void plain_nodes_clear(struct gain_nodes *nodes);
void plain_nodes_put(struct gain_nodes *nodes, int position, const struct gain_spread *spread);
struct gain_stand plain_nodes_stand(struct gain_nodes *nodes, const struct gain_ladder *ladder,
                                    const struct gain_rung *rung, int place);
int plain_nodes_near(struct gain_nodes *nodes, const struct gain_rung *rung,
                     const struct gain_stand *one, struct gain_stand *near);
void plain_stands_order(struct gain_stand *stands, int count);
void plain_ladder_make(const struct information_curve *curve, struct gain_ladder *ladder);
struct gain_rung plain_rung_make(const struct information_curve *curve, double ideal_db);
double plain_rank_effective_db(const struct gain_rung *rung, const struct gain_raster *raster,
                               double rank);
#include "physics/ofdm/gain_nodes.c"
#undef gain_nodes_new
#undef gain_nodes_free
#undef gain_nodes_clear
#undef gain_nodes_put
#undef gain_nodes_stand
#undef gain_nodes_near
#undef gain_ladder_make
#undef gain_rung_make

enum { POSITIONS = 70, CARRIERS = 200 };

/* A level of its own at each position, and fading. */
static void put_some(struct gain_nodes *nodes, struct gain_nodes *plain, struct random *random)
{
    static struct gain_spread spread;
    float snrs[CARRIERS];
    for (int p = 0; p < POSITIONS; p++) {
        double level_db = 4.0 + 22.0 * random_uniform(random);
        for (int i = 0; i < CARRIERS; i++) {
            snrs[i] = (float)(-log(1.0 - random_uniform(random)) * ratio_from_db(level_db));
        }
        gain_spread_clear(&spread);
        gain_spread_add(&spread, snrs, CARRIERS);
        gain_spread_normalise(&spread);
        gain_nodes_put(nodes, p, &spread);
        plain_nodes_put(plain, p, &spread);
    }
}

static void wide_registers_find_the_same_stands(void **state)
{
    (void)state;
    static struct gain_ladder ladder;
    struct random random = random_seeded(33, 0);
    struct gain_nodes *nodes = gain_nodes_new(POSITIONS), *plain = plain_nodes_new(POSITIONS);
    put_some(nodes, plain, &random);
    for (int rate = 2; rate <= 13; rate += 3) {
        struct information_curve curve =
            information_curve_of((enum constellation)(rate % CONSTELLATION_COUNT), rate);
        gain_ladder_make(&curve, &ladder);
        for (double ideal_db = 0.0; ideal_db < 20.0; ideal_db += 4.0) {
            struct gain_rung rung = gain_rung_make(&curve, ideal_db);
            for (int place = 0; place < POSITIONS; place++) {
                struct gain_stand a = gain_nodes_stand(nodes, &ladder, &rung, place);
                struct gain_stand b = plain_nodes_stand(plain, &ladder, &rung, place);
                struct gain_stand near[2][POSITIONS];
                assert_true(a.rank == b.rank && a.position == b.position);
                assert_int_equal(gain_nodes_near(nodes, &rung, &a, near[0]),
                                 plain_nodes_near(plain, &rung, &b, near[1]));
            }
        }
    }
    gain_nodes_free(nodes);
    plain_nodes_free(plain);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(wide_registers_find_the_same_stands),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
