/* Fuzzing entry for logs of readings: whatever bytes are read, nothing crashes; what is accepted
 * has times that rise and SNRs that are numbers, and what is refused is refused in words. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/fuzz.h"
#include "study/reading/log.h"

static void log_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_log: %s\n", what);
        abort();
    }
}

int fuzz_log(const uint8_t *data, size_t size)
{
    struct reading_log log = {0};
    struct fault fault = {0};
    enum status status = log_read((const char *)data, size, &log, &fault);
    if (status == STATUS_OK) {
        log_require(log.count >= 2 && log.time_s[0] == 0.0, "a log does not begin");
        for (size_t i = 0; i < log.count; i++) {
            log_require(isfinite(log.time_s[i]) && isfinite(log.snr_db[i]), "no number");
            log_require(i == 0 || log.time_s[i] >= log.time_s[i - 1], "time goes back");
        }
        double span_s = log_span_s(&log);
        log_require(span_s >= log.time_s[log.count - 1], "a log ends before its last reading");
    } else {
        log_require(fault.status == status && fault.wrong[0] != '\0', "a fault without words");
    }
    log_free(&log);
    return 0;
}
