/* Evaluations of mutual information a second: by the table, its inverse, the Rayleigh mean, and by
 * the quadrature that the table comes from. */
#include <stdio.h>
#include <time.h>

#include "physics/information/information.h"

static double seconds(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

static double awgn(int i)
{
    return information_awgn(QAM256, 10, 5.0 + 1e-5 * i);
}

static double inverse(int i)
{
    return information_inverse_db(QAM256, 10, 2.0 + 4e-6 * i);
}

static double rayleigh(int i)
{
    return information_rayleigh(QAM256, 10, 5.0 + 1e-3 * i);
}

static double rayleigh_inverse(int i)
{
    return information_inverse_rayleigh_db(QAM256, 10, 2.0 + 4e-3 * i);
}

static double quadrature(int i)
{
    return information_by_quadrature(QAM256, 10, 5.0 + i, 32);
}

int main(void)
{
    static const struct {
        const char *name;
        double (*run)(int i);
        int count;
    } rows[] = {
        {"information_awgn", awgn, 1000000},
        {"information_inverse_db", inverse, 1000000},
        {"information_rayleigh", rayleigh, 10000},
        {"information_inverse_rayleigh_db", rayleigh_inverse, 1000},
        {"information_by_quadrature, order 32, 256QAM", quadrature, 10},
    };
    for (size_t row = 0; row < sizeof rows / sizeof rows[0]; row++) {
        double begin = seconds(), sum = 0.0;
        for (int i = 0; i < rows[row].count; i++) {
            sum += rows[row].run(i);
        }
        double each = (seconds() - begin) / rows[row].count;
        printf("%-45s %12.0f a second, %10.1f ns each (mean %.4f)\n", rows[row].name, 1.0 / each,
               1e9 * each, sum / rows[row].count);
    }
    return 0;
}
