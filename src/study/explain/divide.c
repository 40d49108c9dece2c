/* Words about the figures of divisions. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "divide.kind",
     .title = "division",
     .sentence = "The division says how the channel is parted: one, time, subframes or layers.",
     .paragraph =
         "One PLP for all has the code of the poorest receiver. In time each service has a PLP of "
         "its own. In subframes it has a waveform of its own too, which costs boundary symbols. In "
         "layers a weak layer is sent over a robust core in the same cells, and both have all the "
         "time.",
     .formula = "one, time, subframes, layers: the best of each over all that is legal",
     .source = "ATSC A/322:2024-04 sections 6.4 and 7.2"},
    {.name = "divide.spare_mbps",
     .title = "spare",
     .sentence = "The spare rate is what a division leaves when every service has what it asks "
                 "for, in Mbit/s.",
     .paragraph = "It goes to the service with the rest, else to the one with the highest SNR. A "
                  "division is better the more it leaves.",
     .formula = "net rate of that service - what it asks for, Mbit/s",
     .source = "this project's measure"},
    {.name = "divide.margin_db",
     .title = "margin of the service",
     .sentence = "The margin is the SNR at which the service must work less what its PLP needs, in "
                 "dB.",
     .paragraph = "It is what the next faster code did not fit into. Of a layer both layers' needs "
                  "count.",
     .formula = "SNR of the service - receiver SNR, dB",
     .source = "required SNR: ATSC A/327 Annex B"},
};

const struct explain_table explain_divide_table = {rows, sizeof rows / sizeof rows[0]};
