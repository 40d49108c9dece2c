/* Words about the settings of a mode. Facts: ATSC A/322:2024-04 and A/327 as cited in each row. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "mode.fft",
     .sentence = "The FFT size sets how many carriers share the channel and how long a symbol "
                 "lasts.",
     .paragraph =
         "A longer FFT alone does not tolerate longer echoes: the guard interval does that. What "
         "it does is make a given guard interval a smaller share of the symbol, and so cheaper in "
         "bit rate. It also puts the carriers closer together, so motion (Doppler) does more "
         "harm. 32K suits aerials that stand still. 8K suits fast motion.",
     .formula = "Tu = {fft_points:0} samples / {sample_rate_mhz:3} MHz = {useful_us:1} us; carrier "
                "spacing 1/Tu = {spacing_hz:1} Hz",
     .source = "ATSC A/322:2024-04 Table 7.1"},
    {.name = "mode.guard",
     .sentence = "The guard interval is the time before each symbol in which echoes of the last "
                 "one may still arrive without harm.",
     .paragraph =
         "It is filled with a copy of the end of the symbol. An echo that is late by less than the "
         "guard interval only changes the strength and phase of each carrier, and the receiver "
         "corrects that. A later echo spills into the next symbol and acts as noise. The guard "
         "interval carries no data of its own, so it costs bit rate. Each microsecond is worth "
         "0.2998 km of longer path.",
     .formula = "Tg = {guard_samples:0} samples / {sample_rate_mhz:3} MHz = {guard_us:1} us, a "
                "path {echo_km:1} km longer; cost Tg / (Tu + Tg) = {guard_us:1} / {symbol_us:1} = "
                "{guard_share:1} % of the time",
     .source = "ATSC A/322:2024-04 Table 8.9"},
    {.name = "mode.pilots",
     .sentence = "Scattered pilots are known carriers from which the receiver measures the "
                 "channel; SPx_y has one in every x carriers once y symbols are put together.",
     .paragraph =
         "A small x measures longer echoes: up to Tu/x where the receiver follows the channel "
         "from symbol to symbol. A small y follows faster motion. Both cost data cells, because "
         "one carrier in x times y is a pilot in every symbol. Only some patterns are legal with "
         "an FFT size and a guard interval.",
     .formula = "reach Tu/Dx = {useful_us:1} us / {dx:0} = {second.reach_us:1} us; Doppler "
                "1/(2 x {dy:0} x {symbol_us:1} us) = {second.doppler_pilot_hz:1} Hz; 1 carrier in "
                "{dx_dy:0} is a pilot",
     .source = "ATSC A/322:2024-04 Table 8.3"},
    {.name = "mode.boost",
     .sentence = "The pilot boost says how much stronger the scattered pilots are than the data, "
                 "in steps 0 to 4.",
     .paragraph =
         "Stronger pilots let the receiver measure the channel with less noise. The total power "
         "stays the same, so the data get a little less of it. The receiver SNR shows the sum of "
         "both effects, in dB. A boundary symbol also has fewer active data cells when the boost "
         "is high.",
     .formula =
         "step {mode.boost:0} with {mode.pilots}: pilots {scattered_db:1} dB over data; loss from "
         "noisy pilots {estimation_loss_db:2} dB, power spent on pilots "
         "{pilot_power_db:2} dB",
     .source = "ATSC A/322:2024-04 Table 8.4; ATSC A/327 Annex B"},
    {.name = "mode.reduction",
     .sentence = "Carrier reduction leaves out carriers at both edges of the channel, in steps 0 "
                 "to 4.",
     .paragraph =
         "A narrower signal keeps a larger distance to the neighbouring channels, in kHz, and is "
         "easier to filter. Each step costs about 1.4 % of the carriers and of the bit rate. It "
         "changes neither the echo nor the Doppler limit.",
     .formula = "carriers = {carriers_full:0} - {mode.reduction:0} x {reduction_unit:0} = "
                "{carriers:0}; x {spacing_hz:1} Hz = {occupied_mhz:3} MHz",
     .source = "ATSC A/322:2024-04 Table 7.1"},
    {.name = "mode.length",
     .sentence = "The code length is the size of one error-correcting block: 64800 or 16200 bits.",
     .paragraph =
         "A long block averages the noise over more bits. That lowers the required SNR by a few "
         "tenths of a dB, no more; the code rate moves it by many dB. A short block needs less "
         "memory and is complete sooner. 1024QAM and 4096QAM exist with 64800 only.",
     .formula =
         "one block: {mode.length:0} bits in {cells_per_block:0} cells, {payload_bits:0} of them "
         "payload",
     .source = "ATSC A/322:2024-04 section 6.2; required SNR: ATSC A/327 Tables 4.3-4.6"},
    {.name = "mode.rate",
     .sentence = "The code rate is the share of the sent bits that is content; the rest is there "
                 "to repair errors.",
     .paragraph =
         "At 2/15 most bits are repair bits and the signal decodes far below the noise with QPSK. "
         "At 13/15 few are, and more bit rate remains. The code rate and the constellation move "
         "the required SNR by many dB. The code length moves it by tenths of a dB.",
     .formula = "{bits:0} bits x {mode.rate} = {bits_per_cell:2} information bits a cell; no code "
                "does this below {second.limit_snr_db:1} dB",
     .source = "ATSC A/322:2024-04 section 6.2; required SNR: ATSC A/327 Annex A"},
    {.name = "mode.constellation",
     .sentence = "The constellation sets how many bits a cell carries, from 2 (QPSK) to 12 "
                 "(4096QAM).",
     .paragraph =
         "A cell is one carrier for the time of one symbol. More points mean more bits, but the "
         "points stand closer together, so a little noise confuses them. From 16QAM up the points "
         "do not lie on a regular grid (non-uniform constellation, NUC). Their places are chosen "
         "for each code rate to need less SNR, in dB.",
     .formula = "log2({points:0} points) = {bits:0} bits a cell; x {mode.rate} = "
                "{bits_per_cell:2} information bits a cell",
     .source = "ATSC A/322:2024-04 Annex C"},
    {.name = "mode.outer",
     .sentence = "The outer code deals with the few bit errors that the main (LDPC) code leaves.",
     .paragraph =
         "BCH repairs up to 12 bit errors in a block. CRC, 32 bits, only tells that the block is "
         "wrong. None does neither, and saves the bits. The required SNR in dB hardly depends on "
         "it. It is not a substitute for a lower code rate.",
     .formula =
         "{mode.length:0} bits x {mode.rate} = {code_bits:0}; less {outer_bits:0} bits of outer "
         "code ({mode.outer}) = {payload_bits:0} payload bits",
     .source = "ATSC A/322:2024-04 section 6.1, Tables 6.5-6.7"},
    {.name = "mode.frame_ms",
     .sentence = "The frame length is the time from one bootstrap to the next, 50 to 5000 ms.",
     .paragraph =
         "Every frame starts with a bootstrap of 2 ms and a preamble, which say how to read the "
         "rest. Long frames repeat these less often, so a little more bit rate remains. Short "
         "frames let a receiver start sooner after a channel change or a fade. Only whole symbols "
         "are sent, so the true length is at most the one asked for.",
     .formula = "2 ms + ({second.preamble_symbols:0} + {second.data_symbols:0}) symbols x "
                "{symbol_us:1} us = "
                "{second.frame_ms:2} ms, asked {mode.frame_ms:0} ms",
     .source = "ATSC A/321; ATSC A/322:2024-04 section 7.2; frame of one subframe and one PLP: "
               "this project's reference"},
    {.name = "mode.first_boundary",
     .sentence = "A first boundary symbol puts a full set of pilots at the start of the subframe.",
     .paragraph =
         "In a boundary symbol one carrier in Dx is a pilot, so that one symbol is enough to "
         "measure the channel. The last symbol of a subframe is always of this kind here. The "
         "first one is optional, because the preamble before it has many pilots too. It costs "
         "some data cells and changes no echo limit in us.",
     .formula = "data cells: {boundary_cells:0} in a boundary symbol, {data_cells:0} in others",
     .source = "ATSC A/322:2024-04 section 7.2, Annex F"},
    {.name = "mode.l1_basic_mode",
     .sentence = "The L1-Basic mode sets how strongly the first signalling of a frame is "
                 "protected: 1 most, 7 least.",
     .paragraph =
         "L1-Basic tells the receiver how to read the rest of the preamble. Where it is lost the "
         "whole frame is lost, however robust the payload is. Mode 1 decodes at about -9.2 dB and "
         "takes the most cells. Choose it at least as robust as the most robust PLP. A "
         "transmitter's identification (TxID), a sequence 9 to 45 dB below the first preamble "
         "symbol, costs it 0.1 dB at most in mode 1, and up to 0.6 dB where it needs 0 dB.",
     .formula = "mode {mode.l1_basic_mode:0} takes {l1_basic_cells:0} preamble cells a frame",
     .source = "ATSC A/322:2024-04 Table 6.17; ATSC A/327 Table 4.10"},
    {.name = "mode.l1_detail_mode",
     .sentence = "The L1-Detail mode sets how strongly the description of the subframes and PLPs "
                 "is protected: 1 most, 7 least.",
     .paragraph =
         "L1-Detail names the FFT size, guard interval, pilots, code and constellation of every "
         "subframe and PLP. Mode 1 decodes at about -9.0 dB. It should never be the weakest part "
         "of the frame.",
     .formula = "mode {mode.l1_detail_mode:0} takes {l1_detail_cells:0} preamble cells a frame",
     .source = "ATSC A/322:2024-04 section 6.5.2.8; ATSC A/327 Table 4.10"},
    {.name = "mode.l1_detail_bits",
     .sentence = "The L1-Detail size is the number of bits that describe subframes and PLPs.",
     .paragraph =
         "It grows with the number of subframes and PLPs. With auto it is counted from what has to "
         "be told, in whole bytes and at least 25 of them: 200 bits for one subframe with one PLP. "
         "More bits take more preamble cells, and in short frames that costs a little bit rate.",
     .formula = "{l1_detail_bits:0} bits + 168 bits of outer code take {l1_detail_cells:0} cells "
                "in mode {mode.l1_detail_mode:0}",
     .source = "ATSC A/322:2024-04 section 6.5.2.8, Tables 9.2 and 9.8"},
    {.name = "mode.interleaver",
     .sentence = "The time interleaver spreads each block over time, so that a short fade does not "
                 "hit all of it.",
     .paragraph =
         "It does nothing against echoes and steady noise. Against fades, bursts of noise and "
         "passing vehicles it helps as long as they are much shorter than its span in ms. More "
         "rows spread further and take more memory and delay. The extended depths, 1254 and 1448 "
         "rows, are for QPSK only.",
     .formula = "{rows:0} rows x ({rows:0} - 1) cells / {cell_rate_mhz:3} Mcells/s = "
                "{second.interleaver_ms:1} ms",
     .source = "ATSC A/322:2024-04 section 7.1.4"},
};

const struct explain_table explain_mode_table = {rows, sizeof rows / sizeof rows[0]};
