/* Words about the second generation's quantities: report, weighing and echo verdict. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "second.system",
     .title = "system",
     .sentence = "The second generation is OFDM: thousands of carriers, each of them slow.",
     .paragraph =
         "Much can be chosen, from very robust to very fast. A guard interval keeps echoes from "
         "doing harm, and pilots show the channel to the receiver.",
     .formula = "{carriers:0} carriers, {symbol_us:1} us a symbol",
     .source = "ATSC A/322:2024-04"},
    {.name = "second.useful_us",
     .title = "useful symbol time",
     .sentence = "The useful time Tu is the part of a symbol that the receiver evaluates, in us.",
     .paragraph =
         "Within it the carriers are orthogonal: each can be read without the others. The "
         "longer it is, the smaller the share of a given guard interval, and the more a Doppler "
         "shift in Hz disturbs.",
     .formula = "Tu = {fft_points:0} / {sample_rate_mhz:3} MHz = {useful_us:1} us",
     .source = "ATSC A/322:2024-04 section 7"},
    {.name = "second.guard_us",
     .title = "guard interval time",
     .sentence = "The guard time Tg is how many microseconds the guard interval lasts.",
     .paragraph =
         "The samples are fixed by the guard interval's name; the time also depends on the channel "
         "bandwidth. It is the longest echo without loss.",
     .formula = "Tg = {guard_samples:0} / {sample_rate_mhz:3} MHz = {guard_us:1} us",
     .source = "ATSC A/322:2024-04 Table 8.9"},
    {.name = "second.symbol_us",
     .title = "symbol time",
     .sentence = "The symbol time is guard interval and useful time together, in us.",
     .paragraph =
         "It sets how often the pilots show the channel to the receiver. So it also sets how fast "
         "the channel may change, in Hz.",
     .formula = "Tg + Tu = {guard_us:1} + {useful_us:1} = {symbol_us:1} us",
     .source = "ATSC A/322:2024-04 section 7"},
    {.name = "second.spacing_hz",
     .title = "carrier spacing",
     .sentence = "The carrier spacing is the distance from one carrier to the next, in Hz.",
     .paragraph =
         "It is one over the useful time. A Doppler shift does harm in proportion to its share of "
         "the spacing, squared.",
     .formula = "1/Tu = 1 / {useful_us:1} us = {spacing_hz:1} Hz",
     .source = "ATSC A/322:2024-04 section 7"},
    {.name = "second.carriers",
     .title = "carriers",
     .sentence = "The number of carriers says how many frequencies are sent at once.",
     .paragraph =
         "It follows from the FFT size and the carrier reduction. Some of the carriers are pilots "
         "and carry no content. The FFT has more points than carriers: the rest is left empty at "
         "the edges of the channel.",
     .formula = "{carriers_full:0} - {mode.reduction:0} x {reduction_unit:0} = {carriers:0}",
     .source = "ATSC A/322:2024-04 Table 7.1"},
    {.name = "second.occupied_mhz",
     .title = "occupied bandwidth",
     .sentence = "The occupied bandwidth is what the carriers take of the channel, in MHz.",
     .paragraph =
         "What is left to the width of the channel parts the signal from its neighbours. 8-VSB "
         "occupies about 5.38 MHz between its half-power points, half of its symbol rate.",
     .formula = "{carriers:0} x {spacing_hz:2} Hz = {occupied_mhz:3} MHz",
     .source = "ATSC A/322:2024-04 Table 7.1"},
    {.name = "second.data_cells",
     .title = "data cells",
     .sentence = "The data cells are the carriers of a data symbol that carry content.",
     .paragraph =
         "All carriers less the pilots. The number is the same in every data symbol. A denser "
         "pilot pattern leaves fewer cells, and the bit rate in Mbit/s falls with them.",
     .formula = "{carriers:0} - {pilot_carriers:0} pilots = {data_cells:0}",
     .source = "ATSC A/322:2024-04 Tables 7.3 and 7.4"},
    {.name = "second.boundary_cells",
     .title = "boundary cells",
     .sentence = "The boundary cells are the cells with content in a subframe boundary symbol.",
     .paragraph =
         "A boundary symbol has more pilots. To keep its power the same, some of its cells stay "
         "empty when the pilots are boosted. There are one or two such symbols a frame.",
     .formula = "{boundary_cells:0} against {data_cells:0} in a data symbol",
     .source = "ATSC A/322:2024-04 Annex F"},
    {.name = "second.preamble_symbols",
     .title = "preamble symbols",
     .sentence = "The preamble symbols carry the signalling (L1) that says how to read the frame.",
     .paragraph =
         "Their number follows from the size of L1-Basic and L1-Detail at their modes. Cells left "
         "over carry payload.",
     .formula =
         "L1 takes {l1_basic_cells:0} + {l1_detail_cells:0} cells: {second.preamble_symbols:0} "
         "symbol(s)",
     .source = "ATSC A/322:2024-04 section 6.5, Table 7.2"},
    {.name = "second.data_symbols",
     .title = "data symbols",
     .sentence = "The data symbols are the symbols of the subframe, boundary ones included.",
     .paragraph =
         "As many are sent as fit the asked frame length in ms, after the bootstrap and the "
         "preamble.",
     .formula = "({second.frame_ms:2} - 2) ms / {symbol_us:1} us - {second.preamble_symbols:0} = "
                "{second.data_symbols:0}",
     .source = "ATSC A/322:2024-04 section 7.2; frame of one subframe: this project's reference"},
    {.name = "second.cells_per_frame",
     .title = "cells per frame",
     .sentence = "The cells per frame are all cells that carry payload in one frame.",
     .paragraph =
         "They are those of the data symbols, of the boundary symbols, and what the signalling "
         "leaves in the preamble. The PLP rate in Mbit/s is in proportion to them.",
     .formula = "{second.cells_per_frame:0} cells in {second.frame_ms:2} ms",
     .source = "ATSC A/322:2024-04 section 7.2"},
    {.name = "second.frame_ms",
     .title = "reached frame length",
     .sentence = "The reached frame length is the true time from one bootstrap to the next, in ms.",
     .paragraph = "Only whole symbols are sent, so it is at most the length asked for.",
     .formula =
         "2 ms + ({second.preamble_symbols:0} + {second.data_symbols:0}) x {symbol_us:1} us = "
         "{second.frame_ms:2} ms, asked {mode.frame_ms:0} ms",
     .source = "ATSC A/321; ATSC A/322:2024-04 section 7.2"},
    {.name = "second.plp_mbps",
     .title = "PLP rate",
     .sentence = "The PLP rate is the bit rate of the pipe that carries the content, in Mbit/s.",
     .paragraph =
         "A PLP is a physical layer pipe: a stream with its own code and constellation. A station "
         "may send several with different robustness. Here all cells go to one. The outer code is "
         "already taken off.",
     .formula =
         "{second.cells_per_frame:0} cells x {bits:0} bits / {mode.length:0} x {payload_bits:0} / "
         "{second.frame_ms:2} ms = {second.plp_mbps:3} Mbit/s",
     .source = "ATSC A/322:2024-04 sections 6 and 7"},
    {.name = "second.net_mbps",
     .title = "net rate",
     .sentence = "The net rate is what remains for programmes after packet headers, in Mbit/s.",
     .paragraph =
         "Each baseband packet, one a code block, has a header of 2 bytes. Further layers (IP, "
         "ROUTE) take some more that is not counted here.",
     .formula = "{second.plp_mbps:3} x ({payload_bits:0} - 16) / {payload_bits:0} = "
                "{second.net_mbps:3} Mbit/s",
     .source = "ATSC A/322:2024-04 section 5.2"},
    {.name = "second.echo_us",
     .title = "echo tolerance",
     .sentence = "The echo tolerance is the longest delay between echoes that does no harm, in us.",
     .paragraph =
         "It is the guard interval. It counts from the first to the last echo of any strength. An "
         "echo a little longer does not end reception: it adds interference that grows with its "
         "power and excess. The receiver must also place its window well.",
     .formula = "Tg = {guard_samples:0} / {sample_rate_mhz:3} MHz = {second.echo_us:1} us",
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "second.echo_km",
     .title = "longer path",
     .sentence = "The longer path is the detour of the longest harmless echo, in km.",
     .paragraph =
         "It is the difference of two paths, not a distance from the tower. In a network of "
         "several transmitters it limits how far apart they may be.",
     .formula = "0.299792 km/us x {second.echo_us:1} us = {echo_km:1} km",
     .source = "speed of light, 299 792 458 m/s"},
    {.name = "second.reach_us",
     .title = "estimation reach",
     .sentence = "The reach is the longest echo that the pilots let the receiver measure, in us.",
     .paragraph =
         "Pilots every Dx carriers sample the channel across frequency. Echoes longer than Tu/Dx "
         "cannot be told from shorter ones. No real filter ends there like a wall: this one passes "
         "all up to 0.9 of it, half at its edge, nothing from 1.1 on. This holds with "
         "interpolation "
         "in time; with a single symbol the reach is Dy times shorter. The legal patterns keep the "
         "guard interval below 0.9 of it.",
     .formula = "Tu / Dx = {useful_us:1} us / {dx:0} = {second.reach_us:1} us, guard interval "
                "{guard_us:1} us",
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "second.doppler_pilot_hz",
     .title = "Doppler limit of the pilots",
     .sentence = "The pilots' Doppler limit is the fastest change that they can show, in Hz.",
     .paragraph =
         "Each pilot place is seen once in Dy symbols. By the sampling theorem a change faster "
         "than half of that rate is misread. A real receiver needs a reserve.",
     .formula = "1 / (2 x Dy x (Tu + Tg)) = 1 / (2 x {dy:0} x {symbol_us:1} us) = "
                "{second.doppler_pilot_hz:1} Hz",
     .source = "sampling theorem; pilots: ATSC A/322:2024-04 Table 8.3"},
    {.name = "second.doppler_ici_hz",
     .title = "Doppler limit of the carriers",
     .sentence = "The carriers' Doppler limit is where motion alone doubles the required C/N, in "
                 "Hz.",
     .paragraph =
         "When the channel changes during a symbol the carriers leak into each other, by about "
         "(pi fd Tu)^2 / 6 of the power for echoes from all sides. Such echoes make a Rayleigh "
         "channel, so the C/N in question is the one needed there. Where the leak P takes half of "
         "the noise that the mode stands, the mode needs 3 dB more. Short symbols and robust modes "
         "stand more.",
     .formula =
         "(1 - P) / {gamma:1} - P = 1 / (2 x {gamma:1}) at fd = {second.doppler_ici_hz:1} Hz; "
         "{gamma:1} is {rayleigh_need_db:1} dB",
     .source = "Y. Li and L. J. Cimini, IEEE Trans. Commun. 49(3), 2001, their integral"},
    {.name = "second.doppler_hz",
     .title = "Doppler limit",
     .sentence = "The Doppler limit is the fastest change of the channel that the mode withstands, "
                 "in Hz.",
     .paragraph =
         "Echoes from all sides are assumed. At the limit the mode needs 3 dB more than at rest. "
         "Two things cost that: carriers leak into each other, and the channel estimate errs. It "
         "is drawn as a straight line from pilot to pilot while the channel turns. Where the "
         "pilots' limit is smaller, that one holds. ATSC A/327 leaves a receiver free to weigh "
         "several pilots instead (Wiener's filter), which errs less.",
     .formula =
         "{second.doppler_hz:1} Hz: leak {leak_db:1} dB, estimate {linear_error_db:1} dB (Wiener, "
         "4 pilots: {wiener_error_db:1} dB) against a need of {rayleigh_need_db:1} dB; "
         "pilots' limit {second.doppler_pilot_hz:1} Hz",
     .source = "this project; Clarke and Jakes, Li and Cimini 2001, ATSC A/327 Annex B"},
    {.name = "second.speed_kmh",
     .title = "speed limit",
     .sentence = "The speed limit is the Doppler limit as a speed on this channel, in km/h.",
     .paragraph =
         "The same mode stands a higher speed on a lower channel. The figure is for a receiver "
         "that moves; a moving reflector reaches the limit at half of it.",
     .formula =
         "c x {second.doppler_hz:1} Hz / {site.center_mhz:1} MHz = {second.speed_kmh:0} km/h",
     .source = "v = c fd / f"},
    {.name = "second.limit_snr_db",
     .title = "limit SNR",
     .sentence = "The limit SNR is what no code, however good, can go below, in dB.",
     .paragraph =
         "It is where the information that a cell can carry equals the bits that it is asked to "
         "carry, with each bit decoded by itself. Only noise is assumed (AWGN), no echoes.",
     .formula = "information({second.limit_snr_db:2} dB) = {bits:0} x {mode.rate} = "
                "{bits_per_cell:2} bits "
                "a cell",
     .source = "bit-interleaved mutual information, computed; constellations: ATSC A/322:2024-04 "
               "Annex C"},
    {.name = "second.ideal_snr_db",
     .title = "ideal SNR",
     .sentence = "The ideal SNR is what the standard's code needs with a perfectly known channel, "
                 "in dB.",
     .paragraph =
         "It is for the standard's code and constellation, noise only, one block in ten thousand "
         "lost. The formula says whether the simulation reached that error rate or was "
         "extrapolated from a higher one. Long blocks come some "
         "tenths of a dB closer to the limit than short ones.",
     .formula = "{second.ideal_snr_db:2} dB, {over_limit_db:2} dB above the limit of "
                "{second.limit_snr_db:2} dB; "
                "{ideal_source}",
     .source = "this project; compare ATSC A/327 Annex A"},
    {.name = "second.ideal_rayleigh_snr_db",
     .title = "ideal SNR, Rayleigh",
     .sentence = "The Rayleigh SNR is the ideal one where echoes make every cell's power random, "
                 "in dB.",
     .paragraph =
         "It stands for reception without line of sight, deep in echoes inside the guard interval. "
         "The mean SNR must be some dB higher, the more so the higher the code rate, because weak "
         "cells must be repaired by the code.",
     .formula =
         "{second.ideal_rayleigh_snr_db:2} dB, {rayleigh_over_db:2} dB more than without fading; "
         "{rayleigh_source}",
     .source = "this project"},
    {.name = "second.receiver_snr_db",
     .title = "receiver SNR",
     .sentence = "The receiver SNR is what a real receiver needs, in dB.",
     .paragraph =
         "It adds to the ideal SNR what real receivers lose: 0.5 dB of general loss, the power "
         "spent on pilots, noisy channel estimates and the receiver's own noise floor. It still "
         "assumes noise only: echoes and motion ask for more.",
     .formula = "{second.ideal_snr_db:2} + 0.5 + pilots {pilot_power_db:2} + estimate "
                "{estimation_loss_db:2} + 0.5 dB, own noise at {backstop_db:0} dB: "
                "{second.receiver_snr_db:2} dB",
     .source = "ATSC A/327 Annex B"},
    {.name = "second.field_dbuvm",
     .title = "field needed",
     .sentence = "The field needed is the field strength at which the receiver SNR is reached, in "
                 "dBuV/m.",
     .paragraph =
         "It uses the planning factors of the band: a roof aerial with gain, a line with loss and "
         "a receiver with a noise figure. Indoors and with small aerials far more is needed. "
         "In UHF it follows the frequency, less by 20 log10(615 / f); the rule for 8-VSB is flat "
         "there, 41 dBuV/m.",
     .formula = "{second.receiver_snr_db:1} dB C/N in {band} = {second.field_dbuvm:1} dBuV/m",
     .source = "FCC OET Bulletin 69; BPR-10 Appendix 8; 47 CFR 73.619(c)"},
    {.name = "second.interleaver_ms",
     .title = "interleaver span",
     .sentence = "The span is over how many ms the time interleaver spreads a block.",
     .paragraph =
         "Fades much shorter than the span are averaged out. The wait at tuning in grows with "
         "it too.",
     .formula = "{rows:0} x ({rows:0} - 1) cells / {cell_rate_mhz:3} Mcells/s = "
                "{second.interleaver_ms:1} ms",
     .source = "ATSC A/322:2024-04 section 7.1.4"},
    {.name = "second.frontier",
     .title = "frontier",
     .sentence = "A mode is on the frontier when no other legal mode is as good in all of net "
                 "rate, SNR, echo and speed, and better in one.",
     .paragraph =
         "A mode off the frontier gives something away: another one carries more Mbit/s, needs "
         "fewer dB, stands longer echoes in us or more km/h, and is worse in none of these. There "
         "may be good reasons for it that these four do not show.",
     .formula = "compared: {second.net_mbps:2} Mbit/s, {second.receiver_snr_db:1} dB, "
                "{second.echo_us:1} us, "
                "{second.speed_kmh:0} km/h",
     .source = "this project"},
    {.name = "second.effective_snr_db",
     .title = "effective SNR",
     .sentence = "The effective SNR is the SNR of plain noise that would be as hard as these "
                 "echoes, in dB.",
     .paragraph =
         "With echoes each carrier has an SNR of its own. Their information is averaged, and the "
         "SNR that gives the same average without echoes is the effective one. A few lost "
         "carriers do not matter much; a strong echo near 0 dB costs some dB. More than 4.5 dB "
         "above the ideal SNR information nears its end and no longer tells good from better. From "
         "there on it is the 4.5 dB, and by how many dB all carriers could be weaker until the "
         "average says just these.",
     .formula = "mean information over the carriers = information(SNR) up to {literal_db:2} dB, "
                "then dB for dB: {second.effective_snr_db:2} dB",
     .source = "mean mutual information (MIESM), checked against simulation by this project"},
    {.name = "second.needed_snr_db",
     .title = "needed SNR",
     .sentence = "The needed SNR is what the effective SNR must reach for this mode, in dB.",
     .paragraph =
         "It is the mode's SNR in plain noise. What the echoes cost is already in the effective "
         "SNR, so it is not counted twice.",
     .formula = "ideal {second.ideal_snr_db:2} dB, receiver {second.receiver_snr_db:2} dB",
     .source = "ATSC A/327 Annex B"},
    {.name = "second.works",
     .title = "works",
     .sentence = "Works says whether what echoes and motion leave of the SNR is enough.",
     .paragraph = "It is a prediction. A margin below 1 dB is too close to call: phases "
                  "change with the weather.",
     .formula =
         "effective {second.effective_snr_db:2} dB against needed {second.receiver_snr_db:2} dB",
     .source = "this project"},
    {.name = "second.inside_guard",
     .title = "inside the guard interval",
     .sentence = "Inside says whether all echoes fit into the guard interval, in us.",
     .paragraph =
         "From the earliest to the latest echo, at the best place of the receiver's window. "
         "Echoes inside do not interfere, but can still cost SNR by making dips.",
     .formula = "guard interval {guard_us:1} us",
     .source = "EBU Technical Review 295 (2003)"},
    {.name = "second.self_interference_db",
     .title = "self-interference",
     .sentence = "Self-interference is the power of what falls outside the guard interval, over "
                 "the useful power, in dB.",
     .paragraph =
         "It acts as noise that no transmitter power can overcome: more power raises both. For a "
         "good margin it must lie well below minus the needed SNR. The figure is the mean; late "
         "echoes that lie close together disturb some carriers more than others, and that is "
         "counted carrier by carrier.",
     .formula =
         "{second.self_interference_db:1} dB against a needed SNR of {second.receiver_snr_db:1} dB",
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
};

const struct explain_table explain_second_table = {rows, sizeof rows / sizeof rows[0]};
