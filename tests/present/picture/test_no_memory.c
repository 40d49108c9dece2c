/* Every allocation of the proof's picture fails in turn. */
#include "support/failing.h"

#include "present/picture/proof.h"

static struct scenario scenario;
static struct proof_sweep sweep;

static int draw_it(void)
{
    struct picture picture;
    bool made = picture_proof_make(&scenario, &sweep, &picture);
    assert_true(made || (picture.series_count == 0 && picture.title[0] == '\0'));
    picture_free(&picture);
    return made;
}

static void the_picture_stays_empty(void **state)
{
    (void)state;
    const struct proof_choice choice = proof_choice_default();
    scenario = scenario_default();
    assert_int_equal(proof_sweep_plan(&scenario, &choice, &sweep, NULL), STATUS_OK);
    proof_sweep_take(&sweep, 0, &(struct run_counts){.frames = 10, .frame_errors = 9});
    proof_sweep_take(&sweep, 1, &(struct run_counts){.frames = 10, .frame_errors = 4});
    proof_sweep_take(&sweep, 2, &(struct run_counts){.frames = 10});
    fail_each_allocation(draw_it, "picture");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_picture_stays_empty),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
