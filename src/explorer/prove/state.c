/* Where the proving view stands on the screen, and what may be chosen in it. */
#include "explorer/prove/state.h"

#define CHOICES_COLUMNS 28
#define TABLE_COLUMNS 54
#define STATUS_ROWS 3

struct prove_layout prove_layout(struct rect area)
{
    struct prove_layout layout = {0};
    int top = PROVE_ROW_COUNT, rule = area.rows >= 16;
    if (area.columns >= 60) {
        layout.choices = (struct rect){area.row, area.column, top, CHOICES_COLUMNS};
        layout.divider = (struct rect){area.row, area.column + CHOICES_COLUMNS, top, 1};
        layout.status = (struct rect){area.row, area.column + CHOICES_COLUMNS + 1, top,
                                      area.columns - CHOICES_COLUMNS - 1};
    } else { /* one above the other */
        int choices = area.rows >= 14 ? PROVE_ROW_COUNT : 1, status = choices > 1 ? STATUS_ROWS : 2;
        layout.choices = (struct rect){area.row, area.column, choices, area.columns};
        layout.status = (struct rect){area.row + choices, area.column, status, area.columns};
        top = choices + status;
    }
    int below = area.row + top + rule, rows = area.rows - top - rule;
    int table = area.columns >= 110 ? TABLE_COLUMNS : 0;
    layout.rule = (struct rect){area.row + top, area.column, rule, area.columns};
    layout.picture = (struct rect){below, area.column, rows, area.columns - table - (table > 0)};
    layout.table_divider =
        (struct rect){below, area.column + area.columns - table - 1, rows, table > 0};
    layout.table = (struct rect){below, area.column + area.columns - table, rows, table};
    return layout;
}

/* ---- Choices. ---- */

const char *prove_choice_label(enum prove_row row)
{
    static const char *const labels[PROVE_ROW_COUNT] = {[PROVE_CHANNEL] = "Channel",
                                                        [PROVE_GENERATION] = "Generation",
                                                        [PROVE_DECODER] = "Decoder"};
    return labels[row];
}

const char *prove_choice_value(const struct desk *desk, const struct prove_state *state,
                               enum prove_row row)
{
    switch (row) {
    case PROVE_CHANNEL:
        return proof_channel_name(state->choice.channel);
    case PROVE_GENERATION:
        return generation_name(state->choice.generation);
    default:
        return proof_decoder_used(&desk->profile.scenario, &state->choice);
    }
}

void prove_turn(const struct desk *desk, struct prove_state *state, int by)
{
    struct proof_choice *choice = &state->choice;
    if (state->rows.at == PROVE_GENERATION) {
        choice->generation = (enum generation)(GENERATION_COUNT - 1 - (int)choice->generation);
        if (proof_check(&desk->profile.scenario, choice, NULL) != STATUS_OK) {
            choice->channel = CHANNEL_AWGN;
        }
    } else if (state->rows.at == PROVE_DECODER) {
        choice->algorithm = (enum ldpc_algorithm)(
            ((int)choice->algorithm + by + LDPC_ALGORITHM_COUNT) % LDPC_ALGORITHM_COUNT);
    } else {
        do {
            choice->channel =
                (enum chain_channel)(((int)choice->channel + by + CHANNEL_COUNT) % CHANNEL_COUNT);
        } while (proof_check(&desk->profile.scenario, choice, NULL) != STATUS_OK);
    }
}
