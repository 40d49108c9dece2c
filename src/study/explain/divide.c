/* Words about the figures of divisions, and about choosing among modes. */
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
    {.name = "weigh.limits",
     .title = "limits",
     .sentence = "Limits are what a mode must at least bear or carry to stand in the list.",
     .paragraph = "An echo, a speed, a rate and a margin are at least as high as the limit, an SNR "
                  "at most. A limit of none lets all modes pass.",
     .formula = "echo in us, speed in km/h, rate in Mbit/s, SNR and margin in dB",
     .source = "this project"},
    {.name = "weigh.order",
     .title = "order",
     .sentence = "The order says by which figure the list goes, the better modes first.",
     .paragraph = "Of rate, echo, speed and margin more is better, of SNR less.",
     .formula = "rate in Mbit/s, SNR in dB, echo in us, speed in km/h or margin in dB",
     .source = "this project"},
    {.name = "weigh.keep",
     .title = "keep",
     .sentence = "Keep says which settings all modes of the list share with the present one.",
     .paragraph = "A station may not be free to change its FFT size or its guard interval, for "
                  "its network rests on them.",
     .formula = "nothing, FFT, guard, both, constellation, code",
     .source = "this project"},
    {.name = "weigh.moves",
     .title = "moves",
     .sentence = "Moves are the modes near the present one that are better in what is asked for.",
     .paragraph = "Few settings change, and each move says what it wins and what it costs, in "
                  "Mbit/s, dB, us and km/h.",
     .formula = "within the limits, the fewest changes first",
     .source = "this project"},
};

const struct explain_table explain_divide_table = {rows, sizeof rows / sizeof rows[0]};
