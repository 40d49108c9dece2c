#include "support/near.h"

#include <stdlib.h>

#include "simulation/ldpc/decoder.h"
#include "standard/atsc3/ldpc.h"
#include "support/failing.h"

static int build_it(void)
{
    struct ldpc_code code;
    enum status status = ldpc_code_build(&code, LENGTH_16200, 13);
    assert_true(status == STATUS_OK || (status == STATUS_NO_MEMORY && !code.edges));
    ldpc_code_free(&code);
    return status == STATUS_OK;
}

static void building_a_code_says_so(void **state)
{
    (void)state;
    fail_each_allocation(build_it, "building a code");
}

static struct ldpc_code built;
static enum ldpc_algorithm algorithm_to_create;
static enum simd_kind kind_to_create;

static int create_it(void)
{
    struct ldpc_decoder *decoder =
        ldpc_decoder_create_with(&built, algorithm_to_create, kind_to_create);
    ldpc_decoder_free(decoder);
    return decoder != NULL;
}

static void creating_a_decoder_says_so(void **state)
{
    (void)state;
    assert_int_equal(ldpc_code_build(&built, LENGTH_16200, 13), STATUS_OK);
    for (int algorithm = 0; algorithm < LDPC_ALGORITHM_COUNT; algorithm++) {
        for (int kind = 0; kind < SIMD_KIND_COUNT; kind++) {
            algorithm_to_create = (enum ldpc_algorithm)algorithm;
            kind_to_create = (enum simd_kind)kind;
            if (create_it()) {
                fail_each_allocation(create_it, "creating a decoder");
            }
        }
    }
    ldpc_code_free(&built);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(building_a_code_says_so),
        cmocka_unit_test(creating_a_decoder_says_so),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
