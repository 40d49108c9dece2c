/* One verdict from one set of conditions. Study adds nothing to what a system's row says of its
 * losses: margin = SNR - losses - needed, the same sum that the account shows. */
#include "study/verdict/verdict.h"

#include <math.h>

#include "study/verdict/positions.h"

static enum status solved(enum status status, struct fault *fault)
{
    if (status == STATUS_NO_SOLUTION) {
        return fault_set(fault, status, "echo", "other phases, levels or delays",
                         "the rays cancel each other");
    }
    if (status != STATUS_OK) {
        return fault_set(fault, status, "echo", NULL, "%s", status_message(status));
    }
    return STATUS_OK;
}

/* Nothing is known yet but what white noise leaves. */
static void forget(struct verdict *verdict)
{
    verdict->known = verdict->works = false;
    verdict->margin_db = verdict->margin_90_db = verdict->margin_99_db = NAN;
    verdict->positions_share = verdict->required_cn_db = NAN;
    verdict->positions = 1;
    channel_draw(&verdict->conditions.channel, 0, &verdict->channel);
    verdict->fare.loss_count = 0;
    verdict->fare.left_db = NAN;
    verdict->fare.facts = fare_facts_none();
    verdict->margin_noise_db = verdict->conditions.snr_db + verdict->conditions.interference_db -
                               verdict->reception.needed_input_db;
}

enum status verdict_solve(struct verdict *verdict, struct fault *fault)
{
    forget(verdict);
    verdict->known = !isnan(verdict->conditions.snr_db);
    return verdict->known ? solved(positions_solve(verdict), fault) : STATUS_OK;
}

static enum status prepare(const struct scenario *scenario, enum generation generation, int pipe,
                           struct verdict *verdict, struct fault *fault)
{
    const struct system *system = system_of(scenario, generation);
    enum status status = system->receive(scenario, pipe, &verdict->reception, fault);
    if (status == STATUS_OK) {
        status = system->describe(scenario, pipe, &verdict->facts, fault);
    }
    if (status == STATUS_OK) {
        status = conditions_make(scenario, generation, &verdict->conditions, fault);
    }
    if (status == STATUS_OK) {
        forget(verdict);
    }
    return status;
}

enum status verdict_prepare(const struct scenario *scenario, enum generation generation,
                            struct verdict *verdict, struct fault *fault)
{
    return prepare(scenario, generation, PIPE_MOST_ROBUST, verdict, fault);
}

enum status verdict_make(const struct scenario *scenario, enum generation generation,
                         struct verdict *verdict, struct fault *fault)
{
    return verdict_make_pipe(scenario, generation, PIPE_MOST_ROBUST, verdict, fault);
}

void verdict_make_exact(const struct scenario *scenario, enum generation generation, int pipe,
                        struct verdict *verdict)
{
    const struct system *system = system_of(scenario, generation);
    if (system->exact_pipe_db != NULL) {
        verdict->facts.ideal_exact_snr_db = system->exact_pipe_db(scenario, pipe);
    }
}

enum status verdict_make_pipe(const struct scenario *scenario, enum generation generation, int pipe,
                              struct verdict *verdict, struct fault *fault)
{
    enum status status = prepare(scenario, generation, pipe, verdict, fault);
    return status == STATUS_OK ? verdict_solve(verdict, fault) : status;
}

enum status verdicts_make(const struct scenario *scenario, struct verdicts *verdicts,
                          struct fault *fault)
{
    enum status status = STATUS_OK;
    for (int i = 0; i < GENERATION_COUNT && status == STATUS_OK; i++) {
        status = verdict_make(scenario, (enum generation)i, &verdicts->of[i], fault);
    }
    return status;
}

void verdict_hold_position(struct verdict *verdict)
{
    verdict->conditions.channel = verdict->channel;
}

enum status verdict_required_db(const struct verdict *verdict, double *snr_db, struct fault *fault)
{
    return solved(positions_required_db(verdict, snr_db), fault);
}

static void add_level(struct account *account, const char *step, double snr_db)
{
    account->steps[account->count++] = (struct account_step){step, snr_db, 0.0, false};
}

void verdict_account(const struct verdict *verdict, struct account *account)
{
    const struct fare *fare = &verdict->fare;
    account->count = 0;
    if (isnan(fare->left_db)) {
        return; /* no SNR is known, or the rays cancel each other */
    }
    double snr_db = fare->snr_db, interference_db = verdict->conditions.interference_db;
    add_level(account, "SNR of all rays", snr_db + interference_db);
    if (interference_db > 0.0) {
        account->steps[account->count++] =
            (struct account_step){"Interference", snr_db, -interference_db, true};
    }
    for (int i = 0; i < fare->loss_count; i++) {
        snr_db -= fare->losses[i].db;
        account->steps[account->count++] =
            (struct account_step){fare->losses[i].cause, snr_db, -fare->losses[i].db, true};
    }
    add_level(account, "Left for the decision", fare->left_db);
    add_level(account, "Needed in white noise", verdict->reception.needed_db);
    add_level(account, "To spare", verdict->margin_db);
}

double verdict_loss_db(const struct verdict *verdict, enum loss_kind kind)
{
    const struct fare *fare = &verdict->fare;
    for (int i = 0; verdict->known && i < fare->loss_count; i++) {
        if (fare->losses[i].kind == kind) {
            return fare->losses[i].db;
        }
    }
    return NAN;
}
