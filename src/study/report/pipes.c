/* Verdicts on the pipes of a transmission, each alone. */
#include <stdlib.h>

#include "study/report/report.h"

enum status pipes_make(const struct scenario *scenario, enum generation generation,
                       struct pipes *pipes, struct fault *fault)
{
    const struct system *system = system_of(scenario, generation);
    *pipes = (struct pipes){0};
    if (system->pipes == NULL) {
        return STATUS_OK;
    }
    int count = system->pipes(scenario);
    pipes->verdicts = malloc((size_t)count * sizeof *pipes->verdicts);
    if (pipes->verdicts == NULL) {
        return fault_of_status(fault, STATUS_NO_MEMORY);
    }
    enum status status = STATUS_OK;
    for (; pipes->count < count && status == STATUS_OK; pipes->count++) {
        struct verdict *verdict = &pipes->verdicts[pipes->count];
        status = verdict_make_pipe(scenario, generation, pipes->count, verdict, fault);
        if (status == STATUS_OK) {
            verdict_make_exact(scenario, generation, pipes->count, verdict);
        }
    }
    if (status != STATUS_OK) {
        pipes_free(pipes);
    }
    return status;
}

void pipes_free(struct pipes *pipes)
{
    free(pipes->verdicts);
    *pipes = (struct pipes){0};
}

void pipes_words(const struct pipes *pipes, const struct verdict *told, struct text *out)
{
    int decoding = 0;
    if (pipes->count < 2 || !told->known) {
        return;
    }
    for (int i = 0; i < pipes->count; i++) {
        decoding += pipes->verdicts[i].works;
    }
    text_printf(out, " Of %s's %d PLPs %d %s; its margin is that of %s, the most robust.",
                told->reception.system->name, pipes->count, decoding,
                decoding == 1 ? "decodes" : "decode", told->facts.plp);
}
