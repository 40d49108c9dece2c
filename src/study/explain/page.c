/* Words about what a receiver's page can say besides the settings of a mode. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "page.marks",
     .title = "marks of a page",
     .sentence = "The marks tell what was read, what is wrong, not understood, missing or assumed.",
     .paragraph =
         "Wrong is a value that cannot be, or two that contradict each other. Not understood are "
         "words that no rule here reads. Missing is what the page does not say; what had to be "
         "assumed for it stands apart. A guess is a damaged word that can be mended in one way "
         "only.",
     .formula = "! wrong, ? unread, - missing, = assumed",
     .source = "this project"},
    {.name = "page.system",
     .title = "system",
     .sentence = "The system is the standard by which the signal is sent: one of the two "
                 "generations of a pair.",
     .paragraph =
         "8-VSB and ATSC 3.0 are a pair, DVB-T and DVB-T2 another. A name on the page chooses the "
         "pair by whose terms it is read; without one, words and forms that only one of them has "
         "do, and else site.pair. 8-VSB has one rate and one threshold; the others have a mode "
         "that the station chooses.",
     .formula = "8-VSB, ATSC 3.0, DVB-T or DVB-T2",
     .source = "ATSC A/53 Part 2; ATSC A/322:2024-04; EN 300 744; EN 302 755"},
    {.name = "page.lock",
     .title = "lock",
     .sentence = "Lock says whether the receiver follows the signal.",
     .paragraph =
         "Without lock the other readings are old or have no meaning. A receiver can be locked to "
         "the frame and still lose the blocks of a PLP that needs more dB.",
     .formula = "yes or no",
     .source = "common practice"},
    {.name = "page.level_percent",
     .title = "strength on the receiver's own scale",
     .sentence = "The strength in % is a scale of the receiver's maker, not a power.",
     .paragraph =
         "It cannot be turned into dBm, and two receivers cannot be compared by it. A high value "
         "does not tell that the signal decodes.",
     .formula = "0 to 100 %",
     .source = "common practice"},
    {.name = "page.quality_percent",
     .title = "quality on the receiver's own scale",
     .sentence = "The quality in % is a scale of the receiver's maker, mostly made of SNR and "
                 "errors.",
     .paragraph = "It cannot be turned into dB. Near the threshold it falls quickly.",
     .formula = "0 to 100 %",
     .source = "common practice"},
    {.name = "page.error_rate",
     .title = "error rate",
     .sentence = "The error rate is the share of bits or blocks that were wrong.",
     .paragraph =
         "Ask where it is counted. Before the code even a good signal has errors; after it there "
         "should be none. 4e-5 of the blocks lost is about 1 % of the seconds of a video.",
     .formula = "errors / all",
     .source = "ATSC A/331 (4e-5 and 1 %)"},
    {.name = "page.error_rate_before",
     .title = "error rate before the code",
     .sentence =
         "The error rate before the code is the share of bits that arrive wrong and are then "
         "repaired.",
     .paragraph =
         "It is never zero at a useful SNR, and it alone is no fault: repairing it is what "
         "the code is for. It grows long before the picture fails.",
     .formula = "wrong bits / all",
     .source = "common practice"},
    {.name = "page.error_rate_after",
     .title = "error rate after the code",
     .sentence = "The error rate after the code is the share of bits or blocks that could not be "
                 "repaired.",
     .paragraph = "It should be 0. 4e-5 of the blocks lost is about 1 % of the seconds of a video.",
     .formula = "errors left / all",
     .source = "ATSC A/331 (4e-5 and 1 %)"},
    {.name = "page.error_rate_inner",
     .title = "error rate after the inner code",
     .sentence = "The error rate after the inner code is the share of bits that are still wrong "
                 "behind the Viterbi decoder and before the Reed-Solomon code.",
     .paragraph = "Up to 2e-4 the Reed-Solomon code repairs them and nothing is lost: that is the "
                  "edge at which the needed SNR is counted.",
     .formula = "wrong bits / all; 2e-4 at the edge",
     .source = "EN 300 744 V1.6.1 4.3"},
    {.name = "page.iterations",
     .title = "iterations of the decoder",
     .sentence = "The iterations are how often the LDPC decoder went over a code block until it "
                 "was repaired.",
     .paragraph = "Few tell of reserve; as many as the decoder allows tell that it gives up. How "
                  "many that are is the maker's choice.",
     .formula = "a count",
     .source = "common practice"},
    {.name = "page.corrected",
     .title = "errors repaired",
     .sentence = "Errors repaired counts what the code put right.",
     .paragraph = "They do no harm. Many of them tell that the reserve is small.",
     .formula = "a count",
     .source = "common practice"},
    {.name = "page.receiver_margin_db",
     .title = "the receiver's own margin",
     .sentence =
         "The receiver's own margin is what it takes to be to spare, in dB, by a need of its "
         "maker's.",
     .paragraph =
         "The margin that this program tells is SNR less the need of its own receiver model. The "
         "two differ where the needs do.",
     .formula = "SNR less a threshold, in dB",
     .source = "common practice"},
    {.name = "page.needed_snr_db",
     .title = "the receiver's own need",
     .sentence = "The receiver's own need is the SNR from which on it takes the signal to decode, "
                 "in dB.",
     .paragraph = "It is its maker's threshold. The margin told here goes by the need of this "
                  "program's receiver model.",
     .formula = "a threshold, in dB",
     .source = "common practice"},
    {.name = "page.errors",
     .title = "errors",
     .sentence = "Errors counts what could not be repaired since the count was started.",
     .paragraph = "A count that stands still is fine. One that grows means dropouts now.",
     .formula = "a count",
     .source = "common practice"},
    {.name = "page.bit_rate_mbps",
     .title = "reported bit rate",
     .sentence = "The reported bit rate is what the receiver says arrives, in Mbit/s.",
     .paragraph =
         "It may count one PLP or all, with or without headers. Compare it with the PLP rate and "
         "the net rate of the mode.",
     .formula = "PLP rate {second.plp_mbps:2} Mbit/s, net rate {second.net_mbps:2} Mbit/s if one "
                "PLP has all "
                "cells",
     .source = "common practice"},
    {.name = "page.virtual_channel",
     .title = "virtual channel",
     .sentence = "The virtual channel is the number that viewers see; it is not the RF channel.",
     .paragraph = "Stations kept their old numbers when they moved. It says nothing of the "
                  "frequency in MHz.",
     .formula = "major.minor",
     .source = "common practice"},
    {.name = "page.identity",
     .title = "identity",
     .sentence = "The identity names the station, the stream or the receiver.",
     .paragraph = "It says nothing of the mode or of reception.",
     .formula = "a name or a number",
     .source = "common practice"},
    {.name = "page.plp",
     .title = "PLP number",
     .sentence = "A PLP is a pipe of the signal with a code and a constellation of its own.",
     .paragraph =
         "A station may send up to 64, numbered 0 to 63, and a receiver shows those of its "
         "programme. A robust one, for sound or for moving receivers, may decode where another "
         "does not.",
     .formula = "0 to 63",
     .source = "ATSC A/322:2024-04 section 5"},
    {.name = "page.plp_count",
     .title = "number of PLPs",
     .sentence = "The number of PLPs says into how many pipes the signal is split.",
     .paragraph =
         "They share the cells of the frame. Without the share of each none of their rates "
         "in Mbit/s follows.",
     .formula = "1 to 64",
     .source = "ATSC A/322:2024-04 section 5"},
    {.name = "page.signalling",
     .title = "field of the signalling",
     .sentence = "This is a field of the L1 signalling that no figure here depends on.",
     .paragraph = "The L1 signalling tells a receiver how the frame is made. A dump of it has many "
                  "fields.",
     .formula = "a code",
     .source = "ATSC A/322:2024-04 section 9"},
    {.name = "page.fec_blocks",
     .title = "code blocks of the PLP",
     .sentence = "The code blocks of the pipe say how much of a frame of DVB-T2 it has.",
     .paragraph = "A block of 64800 or 16200 bits takes its bits over the bits a cell in cells. "
                  "Counted an interleaving frame, which is taken as one frame.",
     .formula = "cells = blocks x length / bits a cell",
     .source = "EN 302 755 section 6.5"},
    {.name = "page.subframe_count",
     .title = "number of subframes",
     .sentence = "The number of subframes says into how many parts, one after the other, the frame "
                 "is cut.",
     .paragraph = "Each may have its own FFT size, guard interval and pilots.",
     .formula = "1 to 256",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "page.ofdm_symbols",
     .title = "OFDM symbols",
     .sentence = "The OFDM symbols are those of the subframe, boundary symbols included.",
     .paragraph = "Times the length of a symbol they give the time that the subframe takes.",
     .formula = "1 to 2048",
     .source = "ATSC A/322:2024-04 Table 9.2"},
    {.name = "page.subframe",
     .title = "subframe",
     .sentence = "A subframe is a part of the frame with its own FFT size, guard interval and "
                 "pilots.",
     .paragraph = "One frame may hold several, each for another kind of reception. They follow "
                  "each other in time.",
     .formula = "0 to 255",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "page.last_boundary",
     .title = "last boundary symbol",
     .sentence = "A last boundary symbol has a full set of pilots at the end of the subframe.",
     .paragraph = "This program takes it as always there.",
     .formula = "{boundary_cells:0} data cells in it, {data_cells:0} in others",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "page.hybrid_interleaver",
     .title = "hybrid time interleaver",
     .sentence = "The hybrid time interleaver spreads the blocks of several PLPs over time.",
     .paragraph = "It works in whole frames. This program computes the span of the convolutional "
                  "one only.",
     .formula = "at most 2^19 cells",
     .source = "ATSC A/322:2024-04 section 7.1"},
    {.name = "readings.needed_snr_db",
     .title = "needed SNR of a log",
     .sentence = "The needed SNR is that from which on the generation decodes under the profile's "
                 "echoes and motion, in dB.",
     .paragraph = "The log's SNRs are held against it, one by one.",
     .formula = "as in echo: {first.required_snr_db:1} dB for 8-VSB without echoes",
     .source = "this program's verdict"},
    {.name = "readings.share",
     .title = "share of the time held",
     .sentence = "The share is the part of the log's time in which the SNR suffices.",
     .paragraph = "A reading holds until the next one, the last as long as the others on the "
                  "average. What a receiver takes to lock again is not counted.",
     .formula = "time at or above the needed SNR / all",
     .source = "this program's definition"},
    {.name = "readings.losses",
     .title = "losses",
     .sentence = "Losses counts how often the SNR falls below what is needed.",
     .paragraph = "Losses shorter than the readings lie apart are not seen.",
     .formula = "a count",
     .source = "this program's definition"},
    {.name = "readings.longest_loss_s",
     .title = "longest loss",
     .sentence = "The longest loss is the longest time without a sufficient reading.",
     .paragraph =
         "A time interleaver bridges what is shorter than its span; it is not counted here.",
     .formula = "readings in a row, in s",
     .source = "this program's definition"},
    {.name = "page.snr_before",
     .title = "SNR before the equaliser",
     .sentence = "Echoes count in it: the margin goes by the SNR behind the equaliser, in dB.",
     .paragraph = "Ahead of the equaliser an echo is a disturbance; behind it only what the "
                  "equaliser left of it. The two tell together how much the equaliser does.",
     .formula = "of no use for the margin",
     .source = "common practice"},
    {.name = "page.not_computed",
     .title = "known, not computed with",
     .sentence = "This is known, and this program does not compute with it.",
     .paragraph = "MISO and peak reduction (PAPR) change what a mode withstands or carries; the "
                  "figures in dB hold without them. Gain control, taps of an equaliser and "
                  "frequency offsets tell how hard a receiver works, on scales of its maker's.",
     .formula = "none",
     .source = "common practice"},
};

const struct explain_table explain_page_table = {rows, sizeof rows / sizeof rows[0]};
