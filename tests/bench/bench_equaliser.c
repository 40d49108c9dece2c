#include <stdio.h>
#include <time.h>

#include "physics/vsb/echo.h"

/* Time of one echo answer of the first generation, which must follow a sliding echo: budget 30 ms
 * with reaches of 50 us. */

static double now_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec * 1e-6;
}

static void measure(const char *name, double reach_us, int count, double step, double doppler_hz)
{
    struct first_receiver receiver = {14.9, reach_us, reach_us, 10.0, step, 0.0, FEEDBACK_TRELLIS};
    struct echo echoes[ECHOES_MAX];
    const int rounds = 20;
    double start = now_ms(), sum = 0.0;
    for (int round = 0; round < rounds; round++) {
        for (int i = 0; i < count; i++) {
            echoes[i] = (struct echo){0.31 * i + 0.1 * round, -6.0 - 0.2 * i, 50.0 * i,
                                      i == 0 ? doppler_hz : 0.0};
        }
        struct channel channel;
        struct vsb_echo_result result;
        channel_start(&channel, 189e6);
        for (int i = 0; i < count; i++) {
            channel_add(&channel, &echoes[i], "ray");
        }
        if (vsb_echo_solve(&channel, 20.0, &receiver, &result) == STATUS_OK) {
            sum += result.output_snr_db;
        }
    }
    double each = (now_ms() - start) / rounds;
    printf("%-44s %8.3f ms  %6.3f of 30 ms  (mean output %.2f dB)\n", name, each, each / 30.0,
           sum / rounds);
}

int main(void)
{
    measure("reach 34 us, no echo", 34.0, 0, 0.0, 0.0);
    measure("reach 50 us, 1 echo", 50.0, 1, 0.0, 0.0);
    measure("reach 50 us, 6 echoes", 50.0, 6, 0.0, 0.0);
    measure("reach 50 us, 64 echoes", 50.0, 64, 0.0, 0.0);
    measure("reach 100 us, 6 echoes", 100.0, 6, 0.0, 0.0);
    measure("reach 50 us, 6 echoes, 1 moving, step 0.05", 50.0, 6, 0.05, 5.0);
    measure("reach 50 us, 6 echoes, 1 too fast", 50.0, 6, 0.0, 50.0);
    return 0;
}
