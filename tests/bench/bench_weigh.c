/* Weighing the whole legal space of a bandwidth. Budget: 100 ms on one core for all of it. */
#include <stdio.h>
#include <time.h>

#include "study/report/report.h"
#include "study/weigh/weigh.h"

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now); /* one core's time, whatever else runs */
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec * 1e-6;
}

#define ROUNDS 5

struct costs {
    double space_ms, pick_ms, order_ms, unfolded_ms;
    size_t modes;
};

static int weigh_once(int bandwidth_mhz, struct costs *costs)
{
    struct scenario scenario = scenario_default();
    scenario.site.bandwidth_mhz = scenario.transmission.subframes[0].waveform.bandwidth_mhz =
        bandwidth_mhz;
    struct weigh_space space;
    double start = now_ms();
    if (weigh_space_make(&scenario, SNR_RECEIVER, &space, NULL) != STATUS_OK) {
        return 0;
    }
    double made = now_ms();
    struct weigh_wish wish = weigh_wish_none();
    struct weigh_list list;
    wish.limits[LIMIT_ECHO] = 100.0;
    wish.limits[LIMIT_SPEED] = 100.0;
    weigh_pick(&space, &wish, &list, NULL);
    weigh_list_free(&list);
    double picked = now_ms();
    wish.order = figure_find(&generation_figures, "interleaver_ms");
    weigh_pick(&space, &wish, &list, NULL);
    weigh_list_free(&list);
    double ordered = now_ms();
    wish.order = NULL;
    wish.unfolded = true;
    weigh_pick(&space, &wish, &list, NULL);
    weigh_list_free(&list);
    double unfolded = now_ms();
    costs->space_ms += made - start;
    costs->pick_ms += picked - made;
    costs->order_ms += ordered - picked;
    costs->unfolded_ms += unfolded - ordered;
    costs->modes += space.count;
    weigh_space_free(&space);
    return 1;
}

static void report_line(const char *name, const struct costs *costs, int rounds)
{
    double whole = (costs->space_ms + costs->pick_ms) / rounds;
    printf("%-12s %8zu modes  space %6.2f ms  pick %6.2f ms  by any figure %6.2f ms  unfolded "
           "%6.2f ms  whole %6.2f of 100 ms  %5.0f ns a mode\n",
           name, costs->modes / (size_t)rounds, costs->space_ms / rounds, costs->pick_ms / rounds,
           costs->order_ms / rounds, costs->unfolded_ms / rounds, whole,
           whole * 1e6 / ((double)costs->modes / rounds));
}

int main(void)
{
    struct costs all = {0};
    for (int bandwidth = 6; bandwidth <= 8; bandwidth++) {
        struct costs costs = {0};
        char name[16];
        for (int round = 0; round < ROUNDS; round++) {
            if (!weigh_once(bandwidth, &costs) || !weigh_once(bandwidth, &all)) {
                return 1;
            }
        }
        snprintf(name, sizeof name, "%d MHz", bandwidth);
        report_line(name, &costs, ROUNDS);
    }
    report_line("6, 7, 8 MHz", &all, ROUNDS); /* three bandwidths in a row: three times the cost */
    return 0;
}
