/* The accounts of both generations in one table: what comes in, the losses by their kind, what is
 * left, needed and to spare. Each one's own causes, in its own words, are its account's. */
#include <math.h>

#include "study/report/report.h"

static void add(struct account_rows *beside, const char *step, double first_db, double second_db)
{
    beside->rows[beside->count++] = (struct account_row){
        .step = step, .db = {[GENERATION_FIRST] = first_db, [GENERATION_SECOND] = second_db}};
}

void account_row_text(const struct account_row *row, enum generation generation, char *buffer,
                      size_t size)
{
    double db = row->db[generation];
    if (row->is_loss && isnan(db) && !isnan(row->db[GENERATION_COUNT - 1 - generation])) {
        text_format(buffer, size, "none");
    } else if (db == -INFINITY) {
        text_format(buffer, size, row->is_loss ? "all" : "none");
    } else {
        figure_number_text(db, "dB", 1, buffer, size);
    }
}

#define SHOWN_DB 0.05 /* what rounds to nothing is left out */

void accounts_beside(const struct verdicts *verdicts, struct account_rows *beside)
{
    const struct verdict *first = &verdicts->of[GENERATION_FIRST];
    const struct verdict *second = &verdicts->of[GENERATION_SECOND];
    beside->count = 0;
    if (!first->known && !second->known) {
        return;
    }
    add(beside, "SNR of all rays", first->conditions.snr_db, second->conditions.snr_db);
    for (int kind = 0; kind < LOSS_KIND_COUNT; kind++) {
        double first_db = -verdict_loss_db(first, (enum loss_kind)kind);
        double second_db = -verdict_loss_db(second, (enum loss_kind)kind);
        if (fabs(first_db) >= SHOWN_DB || fabs(second_db) >= SHOWN_DB) { /* NAN never is */
            add(beside, loss_kind_name((enum loss_kind)kind), first_db, second_db);
            beside->rows[beside->count - 1].is_loss = true;
        }
    }
    add(beside, "left", first->fare.left_db, second->fare.left_db);
    add(beside, "needed", first->reception.needed_db, second->reception.needed_db);
    add(beside, "margin", first->margin_db, second->margin_db);
}
