/* The channel divided among three services over all legal divisions. Budget: one second on one
 * core. */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "profile/profile.h"
#include "study/divide/divide.h"

#define PROFILE "profiles/three-services.ini"
#define ROUNDS 3

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now); /* one core's time, whatever else runs */
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec * 1e-6;
}

static int divide_some(const struct scenario *scenario, int services, struct divisions *divisions)
{
    struct scenario some = *scenario;
    struct fault fault = {0};
    some.service_count = services;
    double start = now_ms();
    for (int i = 0; i < ROUNDS; i++) {
        if (divide_make(&some, divisions, &fault) != STATUS_OK) {
            fprintf(stderr, "bench_divide: %s: %s\n", fault.place, fault.wrong);
            return 0;
        }
    }
    printf("%d services: %d ways, %7.1f ms\n", services, divisions->count,
           (now_ms() - start) / ROUNDS);
    return 1;
}

int main(void)
{
    struct profile profile;
    struct fault fault = {0};
    struct divisions *divisions = malloc(sizeof *divisions);
    int done = 0;
    if (divisions != NULL && profile_read_file(PROFILE, &profile, &fault) == STATUS_OK) {
        done = 1;
        for (int services = 1; services <= profile.scenario.service_count && done; services++) {
            done = divide_some(&profile.scenario, services, divisions);
        }
        profile_free(&profile);
    }
    free(divisions);
    return done ? 0 : 1;
}
