/* Words about the conditions, and about how each generation fares under them. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "conditions.echoes",
     .title = "echoes",
     .sentence = "Echoes counts the rays that arrive beside the main signal.",
     .paragraph = "They are those of the profile. The main signal itself is not counted.",
     .formula = "one for each [echo NAME]",
     .source = "the profile"},
    {.name = "conditions.positions",
     .title = "positions",
     .sentence = "Positions counts the places of the aerial, some steps apart, that were tried.",
     .paragraph =
         "A step of the aerial changes how echoes meet, and nobody knows their phases. With one "
         "position nothing is left to chance.",
     .formula = "one position: all phases are given",
     .source = "this project"},
    {.name = "first.snr_db",
     .title = "SNR",
     .sentence = "The SNR is the power of all rays over that of the noise, in dB.",
     .paragraph =
         "It is what arrives, before any echo or motion takes its part. It is unknown where "
         "neither an SNR, nor a level, nor a station is given.",
     .formula = "{first.snr_db:1} dB for the first generation, {second.snr_db:1} dB for the second",
     .source = "definition"},
    {.name = "first.snr_source",
     .title = "source of the SNR",
     .sentence = "The source says where the SNR comes from.",
     .paragraph =
         "A measured SNR comes first. Else it follows from the measured level, less the noise of "
         "the receiver. Else it is predicted for the first station of the generation.",
     .formula = "measured, level, station or none",
     .source = "this project"},
    {.name = "first.margin_db",
     .title = "margin, with echoes and motion",
     .sentence = "The margin is what the SNR has to spare, echoes and motion counted, in dB.",
     .paragraph =
         "All that the profile says of the place is counted. The account shows step by step what "
         "takes how much of the SNR. Where positions differ, half of them have this margin.",
     .formula = "{first.output_snr_db:1} dB left - {first.threshold_db:1} dB needed = "
                "{first.margin_db:1} dB",
     .source = "this project"},
    {.name = "second.margin_db",
     .title = "margin, with echoes and motion",
     .sentence = "The margin is what the SNR has to spare, echoes and motion counted, in dB.",
     .paragraph =
         "All that the profile says of the place is counted. The account shows step by step what "
         "takes how much of the SNR. Where positions differ, half of them have this margin.",
     .formula = "{second.effective_snr_db:1} dB left - {second.needed_snr_db:1} dB needed = "
                "{second.margin_db:1} dB",
     .source = "this project"},
    {.name = "first.margin_noise_db",
     .title = "margin, noise alone",
     .sentence = "The margin in noise alone is what the SNR has to spare without echoes, in dB.",
     .paragraph = "It is the SNR less what is needed in white noise, with nothing in motion. The "
                  "difference to the other margin is what echoes and motion take.",
     .formula = "{first.snr_db:1} - {first.required_snr_db:1} = {first.margin_noise_db:1} dB",
     .source = "this project"},
    {.name = "second.margin_noise_db",
     .title = "margin, noise alone",
     .sentence = "The margin in noise alone is what the SNR has to spare without echoes, in dB.",
     .paragraph = "It is the SNR less what is needed in white noise, with nothing in motion. The "
                  "difference to the other margin is what echoes and motion take.",
     .formula = "{second.snr_db:1} - {second.receiver_snr_db:1} = {second.margin_noise_db:1} dB",
     .source = "this project"},
    {.name = "first.margin_90_db",
     .title = "margin at 90 %",
     .sentence = "The margin at 90 % is the one that nine of ten positions have, in dB.",
     .paragraph = "One of ten positions is worse or, where rays move, a tenth of the time is. It "
                  "shows how steady the reception is.",
     .formula = "first {first.margin_90_db:1} dB, second {second.margin_90_db:1} dB",
     .source = "this project"},
    {.name = "first.margin_99_db",
     .title = "margin at 99 %",
     .sentence = "The margin at 99 % is the one that 99 of 100 positions have, in dB.",
     .paragraph = "One of a hundred positions is worse or, where rays move, a hundredth of the "
                  "time is. It shows how steady the reception is.",
     .formula = "first {first.margin_99_db:1} dB, second {second.margin_99_db:1} dB",
     .source = "this project"},
    {.name = "first.positions_share",
     .title = "share of positions",
     .sentence = "The share of positions says at how many of all positions the signal decodes.",
     .paragraph =
         "From 0 %, nowhere, to 100 %, everywhere (0 to 1 in JSON). Where rays move it is "
         "a share of the time. A receiver whose taps learn from its own decisions must then "
         "have decoded a field, 24 ms, before as well: wrong ones spoil its taps.",
     .formula = "first {first.positions_share:3}, second {second.positions_share:3} (of 1)",
     .source = "this project"},
    {.name = "first.required_cn_db",
     .title = "required C/N here",
     .sentence = "The required C/N is the SNR from which on it decodes with these echoes, in dB.",
     .paragraph =
         "All rays count as signal. It is unknown where no SNR suffices, because echoes out of "
         "reach are as strong as ever.",
     .formula = "in white noise first {first.required_snr_db:1} dB, second "
                "{second.receiver_snr_db:1} dB",
     .source = "this project"},
    {.name = "first.echo_loss_db",
     .title = "lost to echoes",
     .sentence = "The loss to echoes is what they take even of an ideal equaliser, in dB.",
     .paragraph =
         "Undoing echoes makes the noise grow, and what lies out of reach stays. A little below 0 "
         "dB means that close echoes help.",
     .formula = "{first.echo_loss_db:2} dB",
     .source = "decision-feedback equaliser, Cioffi et al., IEEE Trans. Commun. 43, 1995"},
    {.name = "first.decision_loss_db",
     .title = "lost to decisions",
     .sentence = "The loss to decisions is what wrong ones cost when they are fed back, in dB.",
     .paragraph =
         "A wrong decision adds an echo instead of removing it and may cause the next wrong one. "
         "It is counted as the SNR that the threshold needs more. Strong echoes cost most, and "
         "taps that lag behind moving ones may cost much at one instant and little at the next.",
     .formula = "{first.decision_loss_db:2} dB, feedback: {first.feedback}",
     .source = "fitted to the simulated receiver in 271 channels, this project"},
    {.name = "first.adaptation_loss_db",
     .title = "lost to adaptation",
     .sentence = "The loss to adaptation is the noise of taps that never stand still, in dB.",
     .paragraph = "The taps learn from the signal. A larger step follows faster and is noisier.",
     .formula = "{first.adaptation_loss_db:2} dB at a step of {first.adaptation_step:2}",
     .source = "LMS, as published for adaptive filters"},
    {.name = "first.lag_loss_db",
     .title = "lost to lag",
     .sentence = "The loss to lag is what taps lose that come late behind moving echoes, in dB.",
     .paragraph =
         "It is that of one instant, the phases given. Weakly driven taps are slow and come "
         "late by much. Echoes faster than the tracking limit are not followed at all.",
     .formula = "{first.lag_loss_db:2} dB; tracking limit {first.tracking_hz:1} Hz",
     .source = "LMS, as published for adaptive filters"},
    {.name = "first.infinite_snr_db",
     .title = "infinite equaliser",
     .sentence = "This is what a decision-feedback equaliser without end would leave, in dB.",
     .paragraph = "It is the most that this kind of receiver could reach here.",
     .formula = "{first.infinite_snr_db:2} dB",
     .source = "decision-feedback equaliser, Cioffi et al., IEEE Trans. Commun. 43, 1995"},
    {.name = "first.linear_snr_db",
     .title = "linear equaliser",
     .sentence = "This is what a linear equaliser without end would leave, in dB.",
     .paragraph = "A linear equaliser feeds no decisions back, so strong echoes cost it more.",
     .formula = "{first.linear_snr_db:2} dB",
     .source = "minimum mean square error, linear, of infinite length"},
    {.name = "first.outside_reach_db",
     .title = "outside the reach",
     .sentence = "This is the power of echoes that the equaliser cannot reach, in dB.",
     .paragraph =
         "It counts against the ray that the receiver locks to, and acts as noise. It is unknown "
         "where all echoes are in reach.",
     .formula = "{first.outside_reach_db:1} dB outside {first.equaliser_before_us:1} us before to "
                "{first.equaliser_after_us:1} us after",
     .source = "the profile's equaliser"},
    {.name = "second.fading_loss_db",
     .title = "lost to unequal carriers",
     .sentence = "This loss is what unequal carriers cost against equal ones, in dB.",
     .paragraph =
         "Echoes make some carriers weak. Code and interleaver average over them, which costs "
         "little at low code rates and more at high ones.",
     .formula = "{second.fading_loss_db:2} dB",
     .source = "mean mutual information (MIESM), checked against simulation by this project"},
    {.name = "second.self_loss_db",
     .title = "lost to self-interference",
     .sentence = "This loss is what echoes outside the guard interval take as noise, in dB.",
     .paragraph = "It also holds what the pilots cannot resolve or follow.",
     .formula = "{second.self_loss_db:2} dB",
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "second.motion_loss_db",
     .title = "lost to motion",
     .sentence = "This loss is what motion within a symbol takes as noise, in dB.",
     .paragraph = "Carriers leak into each other while the channel changes during a symbol.",
     .formula = "{second.motion_loss_db:2} dB",
     .source = "Li and Cimini, IEEE Trans. Commun. 49(3), 2001"},
    {.name = "second.estimation_loss_db",
     .title = "lost to estimation errors",
     .sentence = "This loss is what errors of the channel estimate take as noise, in dB.",
     .paragraph = "Between two pilots the channel turns on; what a straight line in time misses "
                  "is an error. So is an echo that lies beyond the pilots' reach. Noise on the "
                  "pilots is none of it: the receiver's need holds that.",
     .formula = "{second.estimation_loss_db:2} dB",
     .source = "linear interpolation over Dy symbols, computed by this project"},
    {.name = "second.ideal_margin_db",
     .title = "margin, ideal receiver",
     .sentence = "This margin is what an ideal receiver would have to spare here, in dB.",
     .paragraph = "The code's own threshold is what it needs, without a real receiver's losses.",
     .formula = "{second.effective_snr_db:1} - {second.ideal_snr_db:1} = "
                "{second.ideal_margin_db:1} dB",
     .source = "this project"},
    {.name = "second.ideal_required_cn_db",
     .title = "required C/N, ideal receiver",
     .sentence = "This is the SNR from which on an ideal receiver decodes with these echoes, in "
                 "dB.",
     .paragraph = "All rays count as signal, as for the real receiver.",
     .formula = "{second.ideal_required_cn_db:2} dB, in white noise {second.ideal_snr_db:2} dB",
     .source = "this project"},
    {.name = "second.window_us",
     .title = "FFT window",
     .sentence = "The window says for which delay the receiver cuts its symbols, in us.",
     .paragraph = "It stands where most of the power is useful. Rays up to a guard interval later "
                  "do no harm.",
     .formula = "from {second.window_us:1} us on, for {guard_us:1} us",
     .source = "this project: best useful power"},
    {.name = "second.reach_from_us",
     .title = "reach from",
     .sentence = "The reach begins at the earliest delay that the pilots resolve, in us.",
     .paragraph = "Earlier rays cannot be told from later ones.",
     .formula = "{second.reach_from_us:1} us to {second.reach_to_us:1} us",
     .source = "sampling theorem; pilots: ATSC A/322:2024-04 Table 8.3"},
    {.name = "second.reach_to_us",
     .title = "reach to",
     .sentence = "The reach ends at the latest delay that the pilots resolve, in us.",
     .paragraph = "Later rays cannot be told from earlier ones.",
     .formula = "{second.reach_from_us:1} us to {second.reach_to_us:1} us",
     .source = "sampling theorem; pilots: ATSC A/322:2024-04 Table 8.3"},
    {.name = "second.time_interpolation",
     .title = "time interpolation",
     .sentence = "This says whether the receiver uses pilots of several symbols at once.",
     .paragraph =
         "With them it resolves longer echoes; without, it follows faster changes. It does what "
         "serves it best.",
     .formula = "pilots come back after Dy = {dy:0} symbols",
     .source = "this project: best useful power"},
    {.name = "second.meeting_db",
     .title = "power, transmitters meeting",
     .sentence =
         "Where transmitters of a network meet, this is the power over its mean that 99 % of "
         "the places receive at least, in dB.",
     .paragraph =
         "Two equal signals at once add or cancel, as their phases happen to be; margins hold for "
         "the SNR that is received, so this is apart from them. It is unknown where no other "
         "transmitter of the network is received.",
     .formula = "99 % of drawn phases receive {second.meeting_db:1} dB or more",
     .source = "sum of the transmitters' rays over the channel, computed"},
    {.name = "second.miso_gain_db",
     .title = "gained by MISO there",
     .sentence =
         "This is by how much MISO's filters raise the power at the worst 1 % of the places "
         "where transmitters meet, in dB.",
     .paragraph =
         "Each transmitter turns each carrier otherwise, so that equal signals cancel on some "
         "carriers only. It is unknown without MISO or without another transmitter.",
     .formula = "{second.miso_gain_db:1} dB; the filters take {subframe.miso} samples of guard "
                "interval",
     .source = "ATSC A/322:2024-04 section 8.2; even phases stand for Annex J's coefficients"},
    {.name = "plp.name",
     .title = "PLP",
     .sentence = "A PLP (physical layer pipe) is a stream with its own code and constellation.",
     .paragraph = "A station may send several with different robustness.",
     .formula = "one pipe in one subframe",
     .source = "ATSC A/322:2024-04 section 7"},
    {.name = "plp.subframe",
     .title = "subframe",
     .sentence = "The subframe is the part of the frame that holds the pipe.",
     .paragraph = "Each subframe may have an FFT size and a guard interval of its own.",
     .formula = "one subframe in a frame",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "plp.layer",
     .title = "layer",
     .sentence = "The layer says whether the pipe lies below another one, in the same cells.",
     .paragraph = "The core layer is received first. An enhanced layer is sent weaker over it.",
     .formula = "core or enhanced",
     .source = "ATSC A/322:2024-04 section 6.4"},
    {.name = "plp.share",
     .title = "share of the cells",
     .sentence = "The share says how much of the payload cells the pipe has, from 0 to 1.",
     .paragraph = "Its bit rate is in proportion to it.",
     .formula = "cells of the pipe / {second.cells_per_frame:0} cells",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "plp.injection_db",
     .title = "injection level",
     .sentence = "The injection level is by how much the enhanced layer is sent weaker, in dB.",
     .paragraph = "Both layers share the cells: each dB more helps the core and takes a dB from "
                  "the enhanced "
                  "one. Without an enhanced layer there is none.",
     .formula = "core power / enhanced power, in dB",
     .source = "ATSC A/322:2024-04 section 6.4"},
    {.name = "plp.ideal_exact_snr_db",
     .title = "SNR ideal, layers known",
     .sentence =
         "This is the SNR that an ideal receiver of a layer needs if it knows the points of "
         "the other one, in dB.",
     .paragraph = "The plain ideal SNR takes the other layer for noise of its power. To know its "
                  "points helps a core under a strong layer, little under a weak one: where noise "
                  "of that power would forbid the core, it may still work, at a high SNR.",
     .formula = "dB at which the core's bits find in both layers' points what they need alone",
     .source = "mutual information of the superposed constellation, computed"},
    {.name = "plp.latency_ms",
     .title = "latency of interleaving",
     .sentence = "The latency is how long time interleaving and its inverse delay each cell, and a "
                 "code block to gather, in ms.",
     .paragraph = "A pipe of few cells waits longer for a deep interleaver to fill than one of "
                  "many.",
     .formula = "convolutional: rows x (rows - 1) cells + one block; hybrid: two blocks of the "
                "interleaver; by the pipe's own cells a ms",
     .source = "ATSC A/322:2024-04 section 7.1"},
    {.name = "plp.start_up_ms",
     .title = "longest start-up",
     .sentence = "The start-up is how long a receiver waits at worst for the first code block, in "
                 "ms.",
     .paragraph = "It may just have missed a bootstrap, and then fills its interleaver.",
     .formula = "{second.frame_ms:1} ms of a frame + the latency",
     .source = "derived from ATSC A/322:2024-04 section 7.1"},
    {.name = "plp.memory_cells",
     .title = "interleaver's memory",
     .sentence = "The memory is how many cells a receiver keeps to undo time interleaving.",
     .paragraph =
         "A convolutional interleaver of so many rows keeps half of rows x (rows - 1) cells; a "
         "hybrid one its largest block, and one that spreads blocks over subframes what its delay "
         "lines hold beside it. Layers share the cells of their core, and its memory.",
     .formula = "cells of the pipe's interleaver, at most 2^19, twice that of QPSK without layers",
     .source = "ATSC A/322:2024-04 section 7.1; the limit from memory"},
    {.name = "plp.memory_most_cells",
     .title = "memory at most",
     .sentence = "This is the memory that receivers have for one product, in cells.",
     .paragraph =
         "A product is a core PLP with the enhanced ones over it; each has a memory of its own, "
         "and "
         "each may go without interleaver, or have a convolutional or a hybrid one. The extended "
         "depths of 1254 and 1448 rows, and twice the memory, are for QPSK without a layer above. "
         "With a hybrid one code blocks are whole. Its cell interleaver, which shifts the cells of "
         "each block otherwise, changes neither memory nor span.",
     .formula = "2^19 cells, 2^20 for QPSK without layers",
     .source = "ATSC A/322:2024-04 section 7.1 (from memory)"},
    {.name = "plp.fade_ms",
     .title = "longest fade survived",
     .sentence = "This is the longest complete loss of the signal that time interleaving bridges, "
                 "in ms.",
     .paragraph =
         "Each code block has cells from the whole span, and lives on those that are left as long "
         "as they tell enough. More SNR to spare bridges more, up to the span times one less the "
         "code rate. Without an interleaver it is none.",
     .formula = "span x (1 - information needed / information had), span {second.interleaver_ms:1} "
                "ms",
     .source = "mean information over a block's cells: common practice"},
    {.name = "plp.cells",
     .title = "cells of the pipe",
     .sentence = "The cells of the pipe carry its payload in one frame.",
     .paragraph = "A cell is one carrier of one symbol.",
     .formula = "of {second.cells_per_frame:0} cells in a frame",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "place.horizon_km",
     .title = "radio horizon",
     .sentence = "The radio horizon is how far the smooth earth lets both aerials see, in km.",
     .paragraph = "Waves bend a little around the earth, so it lies beyond what the eye sees.",
     .formula = "4.12 (sqrt({station.height_m:0} m) + sqrt({place.receive_height_m:0} m)) = "
                "{horizon_km:1} km",
     .source = "four thirds of the earth's radius, common practice"},
    {.name = "place.lost_db",
     .title = "lost to echoes and motion",
     .sentence = "This is what the profile's echoes and motion take of the margin, in dB.",
     .paragraph = "Without echoes and with nothing in motion it is 0 dB.",
     .formula = "margin in noise alone - margin, in dB",
     .source = "this project"},
    {.name = "place.location_db",
     .title = "for the share of locations",
     .sentence = "This is taken off the C/N so that it holds at the asked share of locations, in "
                 "dB.",
     .paragraph = "Fields vary from place to place even nearby. At half of the places it is 0 dB.",
     .formula = "for {place.location_percent:1} % of the places, spread 5.5 dB",
     .source = "ITU-R P.1546-3 Table 2 (broadcasting, digital), log-normal"},
};

const struct explain_table explain_fare_table = {rows, sizeof rows / sizeof rows[0]};
