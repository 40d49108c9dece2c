/* Words about the settings of frames, subframes and PLPs. Facts: ATSC A/322:2024-04 as cited in
 * each row. What a subframe or a PLP says as a mode does has the mode's words. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "frame.alignment",
     .sentence = "The alignment says whether a frame ends with a whole symbol or lasts a multiple "
                 "of 5 ms.",
     .paragraph =
         "Whole symbols waste nothing. Whole 5 ms keep frames in step with a clock: what the "
         "symbols leave over goes to their guard intervals, equally, and counts as guard interval "
         "against echoes. The last few samples stay empty.",
     .formula = "alignment: {frame.alignment}; the frame lasts {second.frame_ms:3} ms",
     .source = "ATSC A/322:2024-04 section 7.2, Table 9.2"},
    {.name = "frame.preamble_fft",
     .sentence = "The preamble's FFT size is that of the symbols that carry L1-Basic and "
                 "L1-Detail.",
     .paragraph =
         "With auto it is the first subframe's, as on air. Another one needs symbols of its own "
         "length, and its receivers change the FFT after it. The bootstrap tells it.",
     .formula = "preamble FFT: {frame.preamble_fft}; the first subframe's: {mode.fft}",
     .source = "ATSC A/322:2024-04 Annex H"},
    {.name = "frame.preamble_guard",
     .sentence = "The preamble's guard interval is that of the symbols that carry L1.",
     .paragraph = "With auto it is the first subframe's. It must not be shorter than the echoes, "
                  "in us, that the payload bears: where L1 is lost, all is.",
     .formula = "preamble guard: {frame.preamble_guard}; the first subframe's: {mode.guard}",
     .source = "ATSC A/322:2024-04 Annex H"},
    {.name = "frame.preamble_reduction",
     .sentence = "The preamble's carrier reduction is that of its symbols after the first, 0 to "
                 "4.",
     .paragraph = "The first preamble symbol always leaves out as many carriers as can be, 4 "
                  "steps, because a receiver does not know the number yet. With auto the others "
                  "are like the first subframe's.",
     .formula = "preamble symbols: {second.preamble_symbols:0}; the first subframe's reduction: "
                "{mode.reduction}",
     .source = "ATSC A/322:2024-04 Table 9.2, L1B_preamble_reduced_carriers"},
    {.name = "frame.preamble_symbols",
     .sentence = "Preamble symbols are how many symbols carry L1-Basic and L1-Detail, 1 to 8.",
     .paragraph =
         "With auto there are as many as the signalling needs. Cells that are left of them carry "
         "payload. Many PLPs, or a robust mode of L1-Detail, need more symbols.",
     .formula = "L1-Basic {l1_basic_cells:0} + L1-Detail {l1_detail_cells:0} cells in "
                "{second.preamble_symbols:0} symbols",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "frame.tone_reservation",
     .sentence = "Tone reservation keeps some carriers free of data, so that the transmitter can "
                 "lower the signal's peaks.",
     .paragraph =
         "It costs 72, 144 or 288 carriers a symbol with an FFT of 8K, 16K or 32K, about 1 % of "
         "the bit rate. Receivers ignore them. Nothing is gained in reception but what a cleaner "
         "or stronger transmitter gives.",
     .formula = "reserved: {frame.tone_reservation}; {second.data_cells:0} cells in a data symbol",
     .source = "ATSC A/322:2024-04 Annex G"},
    {.name = "frame.bonding",
     .sentence = "Channel bonding sends a PLP over two RF channels at once: none, plain or "
                 "averaged.",
     .paragraph =
         "Plain bonding shares packets out: the rate is the sum, and each channel must decode on "
         "its own. Averaged bonding deals out the cells of each code block, so that a weak channel "
         "is helped by a strong one: the mean information decides, not the smaller SNR. Both "
         "channels have the same settings.",
     .formula = "bonding: {frame.bonding}; {second.net_mbps:3} Mbit/s in all",
     .source = "ATSC A/322:2024-04 Annex K (from memory)"},
    {.name = "frame.l1_time",
     .sentence = "The time in L1-Detail says how finely a frame tells when it was sent: none, ms, "
                 "us or ns.",
     .paragraph = "Networks of one frequency and exact clocks need it. It takes 42 to 62 bits of "
                  "L1-Detail, which seldom costs as much as a symbol.",
     .formula = "time: {frame.l1_time}; L1-Detail has {l1_detail_bits:0} bits",
     .source = "ATSC A/322:2024-04 Table 9.8"},
    {.name = "subframe.last_boundary",
     .sentence = "A last boundary symbol puts a full set of pilots at the end of the subframe.",
     .paragraph =
         "With it a receiver need not wait for the next subframe, which may have other pilots, to "
         "measure the channel at the end. It costs some data cells.",
     .formula = "data cells: {boundary_cells:0} in a boundary symbol, {data_cells:0} in others",
     .source = "ATSC A/322:2024-04 section 7.2, Annex F"},
    {.name = "subframe.frequency_interleaver",
     .sentence = "The frequency interleaver deals the cells of each symbol out over all carriers.",
     .paragraph =
         "With it every PLP sees the whole channel, dips and peaks in dB. Without it a PLP that "
         "has only some carriers of each symbol sees only that part of the channel. It costs "
         "nothing. A PLP that fills whole symbols does not need it.",
     .formula = "a PLP uses cells of all {second.carriers:0} carriers",
     .source = "ATSC A/322:2024-04 section 7.3"},
    {.name = "subframe.miso",
     .sentence = "MISO filters each transmitter of a network in its own way, with 64 or 256 "
                 "coefficients.",
     .paragraph =
         "Two transmitters that arrive equally strong and at once may cancel each other over the "
         "whole channel. The filters turn each carrier's phase differently, so only some carriers "
         "cancel. It costs no cells, but the filters lengthen every echo: 9.3 or 37 us of guard "
         "interval and pilot reach are used up at 6 MHz. MIMO, two streams on two polarisations, "
         "is outside this program; at most it doubles the bit rate.",
     .formula = "left for echoes: {second.echo_us:1} us of guard interval, {second.reach_us:1} us "
                "of pilot reach",
     .source = "ATSC A/322:2024-04 section 8.2, Annex J"},
    {.name = "subframe.symbols",
     .sentence = "Symbols are how many OFDM symbols the subframe lasts, boundary ones included.",
     .paragraph =
         "A subframe lasts at least four times its pilots' repetition in symbols. Where every "
         "subframe says its symbols the frame's length in ms follows from them.",
     .formula = "{second.data_symbols:0} symbols of {symbol_us:1} us",
     .source = "ATSC A/322:2024-04 Table 9.2; the shortest subframe: from memory"},
    {.name = "subframe.share_percent",
     .sentence = "The share of the time is how much of what bootstrap and preamble leave the "
                 "subframe has, in percent.",
     .paragraph = "It is rounded down to whole symbols. Subframes that say neither a share nor "
                  "symbols part what the others leave, in ms, equally.",
     .formula = "share in % of the time x {second.frame_ms:1} ms / {symbol_us:1} us, rounded down",
     .source = "this project's convention"},
    {.name = "plp.over",
     .sentence = "The core PLP below an enhanced one is the PLP whose cells it shares.",
     .paragraph =
         "Both are sent at the same time on the same cells, the enhanced one weaker by the "
         "injection level in dB. It has the core's time interleaver and place.",
     .formula = "layer: {plp.layer}",
     .source = "ATSC A/322:2024-04 section 6.4"},
    {.name = "plp.share_percent",
     .sentence = "The share of the cells is how much of its subframe's cells the PLP has, in "
                 "percent.",
     .paragraph =
         "PLPs that say neither a share nor cells part what the others leave equally. An enhanced "
         "PLP then has all cells of its core. With a hybrid interleaver whole code blocks only "
         "are used. What no PLP uses is filled with dummies, which cost rate in Mbit/s and "
         "nothing else.",
     .formula = "share in % of the {second.cells_per_frame:0} cells, rounded down",
     .source = "ATSC A/322:2024-04 section 7.2.6"},
    {.name = "plp.start",
     .sentence = "The first cell is where the PLP begins in its subframe's list of data cells.",
     .paragraph = "With auto it begins behind the PLP before it. PLPs must not overlap, but for an "
                  "enhanced one over its core. A late start in a long subframe saves a receiver "
                  "power for some ms, no more.",
     .formula = "0 to {second.cells_per_frame:0}",
     .source = "ATSC A/322:2024-04 Table 9.8, L1D_plp_start"},
    {.name = "plp.subslices",
     .sentence = "Subslices are the pieces that a PLP's cells are dealt out in; 1 is a PLP in one "
                 "piece.",
     .paragraph =
         "A PLP in one piece is on air for a short part of its subframe only. Dealt out in many "
         "pieces it is on air all the time, so that a fade of some ms takes only a part of it. "
         "As many pieces as there are symbols give each its part of the channel's width.",
     .formula = "{second.data_symbols:0} symbols in the subframe",
     .source = "ATSC A/322:2024-04 section 7.2.6.3"},
    {.name = "plp.subslice_interval",
     .sentence = "The subslice interval is the number of cells from one subslice's start to the "
                 "next one's.",
     .paragraph = "With auto the subslices lie evenly over the subframe. PLPs dealt out alike then "
                  "stand one behind the other in each interval, in about the same number of us.",
     .formula = "{second.cells_per_frame:0} cells / subslices",
     .source = "ATSC A/322:2024-04 Table 9.8, L1D_plp_subslice_interval"},
    {.name = "service.rate_mbps",
     .sentence =
         "The rate is what the service needs, in Mbit/s after all codes and headers, or the "
         "rest.",
     .paragraph = "The rest is what the other services leave. One service at most has it; where "
                  "none says so, the one that is received best takes what is left over.",
     .formula = "rate in Mbit/s = cells a frame x net bits a cell / {second.frame_ms:1} ms",
     .source = "this project's convention"},
    {.name = "service.snr_db",
     .sentence = "The SNR is that at which the service must still be received, in dB.",
     .paragraph = "It is the SNR of the whole signal at the poorest place that counts: a handheld "
                  "indoors may have 5 dB, a roof 20 dB and more.",
     .formula = "receiver SNR of its PLP <= this SNR in dB",
     .source = "the planning model of the pair: required SNR"},
    {.name = "service.speed_kmh",
     .sentence = "The speed is that of the service's fastest receivers, in km/h.",
     .paragraph = "It rules out long FFTs, thin pilots and codes that need a high SNR.",
     .formula = "1 km/h makes {hz_per_kmh:3} Hz at {site.center_mhz:1} MHz; {second.speed_kmh:0} "
                "km/h with this mode",
     .source = "fd = v f / c"},
    {.name = "service.echo_us",
     .sentence = "The echo is the longest that the service must bear without loss, in us.",
     .paragraph =
         "The guard interval and the pilots' reach of the symbols that carry it must be as "
         "long.",
     .formula = "this mode bears {second.echo_us:1} us",
     .source = "guard interval and pilots of the pair's second system"},
    {.name = "service.channel",
     .sentence = "The channel says whether the service's SNR is that of plain noise or of a fading "
                 "channel (rayleigh).",
     .paragraph = "In a fading channel carriers differ, and every code needs some dB more.",
     .formula =
         "this mode: {second.ideal_snr_db:1} dB in noise, {second.ideal_rayleigh_snr_db:1} dB "
         "in Rayleigh (ideal receiver)",
     .source = "mean mutual information; simulated codes"},
    {.name = "plp.bonded_snr_db",
     .sentence = "The bonded channel's SNR is what the receiver has on the other RF channel, in "
                 "dB.",
     .paragraph = "None stands for the same SNR as here. It counts where frame.bonding is plain "
                  "or averaged.",
     .formula = "bonding: {frame.bonding}; receiver here: {receiver.snr_db:1} dB",
     .source = "common practice"},
};

const struct explain_table explain_transmission_table = {rows, sizeof rows / sizeof rows[0]};
