/* Words about quantities of the second pair, DVB-T and DVB-T2, both OFDM: one entry for the two
 * generations where they have the quantity alike. "dvb.useful_us" explains first.useful_us and
 * second.useful_us of that pair. */
#include "study/explain/tables.h"

#define BOTH(figure, decimals, unit) \
    "DVB-T {first." figure ":" decimals "}, DVB-T2 {second." figure ":" decimals "}" unit
#define NUMEROLOGY "EN 300 744 V1.6.1 tables 4 and 5; EN 302 755 V1.4.1 tables 65 to 67"

static const struct explanation rows[] = {
    {.name = "dvb.channel",
     .title = "RF channel",
     .sentence = "The RF channel is the numbered slice of spectrum in which the station sends.",
     .paragraph = "ITU Region 1: 5 to 12 in VHF III, 7 MHz each, 21 to 48 in UHF, 8 MHz each. What "
                  "lies above 48 has gone to mobile services.",
     .formula = "{site.rf_channel:0}: {site.center_mhz:3} MHz",
     .source = "ITU Region 1, GE06 (from memory)"},
    {.name = "dvb.band",
     .title = "band",
     .sentence = "The band is VHF III, told as high VHF, or UHF: below 300 MHz, or above.",
     .paragraph =
         "VHF has more man-made noise and larger aerials. UHF has small aerials, more loss in "
         "buildings and more Doppler. Planning factors are given by band.",
     .formula = "{site.center_mhz:1} MHz: {band}",
     .source = "ITU Region 1, GE06 (from memory)"},
    {.name = "dvb.system",
     .title = "system",
     .sentence = "Both generations are OFDM: thousands of carriers, each of them slow.",
     .paragraph =
         "Both have a guard interval against echoes and pilots that show the channel. DVB-T (1997) "
         "has a convolutional code and a Reed-Solomon code and no time interleaver. DVB-T2 (2009) "
         "has LDPC and BCH codes close to the limit, longer symbols, denser constellations and a "
         "time interleaver.",
     .formula = BOTH("carriers", "0", " carriers"),
     .source = "EN 300 744; EN 302 755"},
    {.name = "dvb.useful_us",
     .title = "useful symbol time",
     .sentence = "The useful time Tu is the part of a symbol that the receiver evaluates, in us.",
     .paragraph =
         "Within it the carriers are orthogonal: each can be read without the others. The longer "
         "it is, the smaller the share of a given guard interval, and the more a Doppler shift in "
         "Hz disturbs.",
     .formula = "FFT size x 7 / (8 B) us, B in MHz: " BOTH("useful_us", "1", " us"),
     .source = NUMEROLOGY},
    {.name = "dvb.guard_us",
     .title = "guard interval time",
     .sentence = "The guard time Tg is how many microseconds the guard interval lasts.",
     .paragraph = "The guard interval is told as a share of the useful time. It is the longest "
                  "echo without loss, ahead and behind together.",
     .formula = "share x Tu: " BOTH("guard_us", "1", " us"),
     .source = NUMEROLOGY},
    {.name = "dvb.symbol_us",
     .title = "symbol time",
     .sentence = "The symbol time is guard interval and useful time together, in us.",
     .paragraph = "It sets how often the pilots show the channel to the receiver, and so how fast "
                  "the channel may change, in Hz.",
     .formula = "Tg + Tu: " BOTH("symbol_us", "1", " us"),
     .source = NUMEROLOGY},
    {.name = "dvb.spacing_hz",
     .title = "carrier spacing",
     .sentence = "The carrier spacing is the distance from one carrier to the next, in Hz.",
     .paragraph = "It is one over the useful time. A Doppler shift does harm in proportion to its "
                  "share of the spacing, squared.",
     .formula = "1/Tu: " BOTH("spacing_hz", "1", " Hz"),
     .source = NUMEROLOGY},
    {.name = "dvb.carriers",
     .title = "carriers",
     .sentence = "The number of carriers says how many frequencies are sent at once.",
     .paragraph =
         "It follows from the FFT size; DVB-T2 has some more with extended carriers. Some are "
         "pilots and carry no content. The FFT has more points than carriers: the rest is left "
         "empty at the edges of the channel.",
     .formula = BOTH("carriers", "0", ""),
     .source = "EN 300 744 V1.6.1 table 4; EN 302 755 V1.4.1 table 66"},
    {.name = "dvb.occupied_mhz",
     .title = "occupied bandwidth",
     .sentence = "The occupied bandwidth is what the carriers take of the channel, in MHz.",
     .paragraph = "What is left to the width of the channel parts the signal from its neighbours.",
     .formula = "carriers x spacing: " BOTH("occupied_mhz", "3", " MHz"),
     .source = NUMEROLOGY},
    {.name = "dvb.data_cells",
     .title = "data cells",
     .sentence = "The data cells are the carriers of a data symbol that carry content.",
     .paragraph =
         "All carriers less the pilots, and in DVB-T less 17, 34 or 68 that signal the mode. The "
         "number is the same in every data symbol.",
     .formula = BOTH("data_cells", "0", ""),
     .source = "EN 300 744 V1.6.1 4.4 to 4.6; EN 302 755 V1.4.1 table 47"},
    {.name = "dvb.boundary_cells",
     .title = "boundary cells",
     .sentence = "The boundary cells are those with content in the frame closing symbol.",
     .paragraph = "It ends a frame with pilots of its own where guard interval and pilot pattern "
                  "ask for one, and there is none with short guard intervals.",
     .formula = "{second.boundary_cells:0} against {second.data_cells:0} in a data symbol",
     .source = "EN 302 755 V1.4.1 tables 49 and 64"},
    {.name = "dvb.preamble_symbols",
     .title = "preamble symbols",
     .sentence = "The preamble symbols, P2, carry the signalling (L1) that says how to read the "
                 "frame.",
     .paragraph = "Their number follows from the FFT size: 16 with 1K, one with 16K and 32K. Cells "
                  "left over carry payload.",
     .formula = "{second.preamble_symbols:0} in a frame",
     .source = "EN 302 755 V1.4.1 table 45"},
    {.name = "dvb.data_symbols",
     .title = "data symbols",
     .sentence = "The data symbols are those of a frame that carry content only.",
     .paragraph = "A frame of DVB-T has 68 symbols. DVB-T2's has as many as are asked for, or fit "
                  "into 250 ms, less P2.",
     .formula = "DVB-T2 {second.data_symbols:0}",
     .source = "EN 300 744 V1.6.1 4.4; EN 302 755 V1.4.1 8.3"},
    {.name = "dvb.cells_per_frame",
     .title = "cells per frame",
     .sentence = "The cells per frame are all cells that carry payload in one frame.",
     .paragraph = "They are those of the data symbols, of the closing symbol, and what the "
                  "signalling leaves in P2. The rate in Mbit/s is in proportion to them.",
     .formula = "{second.cells_per_frame:0} cells in {second.frame_ms:2} ms",
     .source = "EN 302 755 V1.4.1 8.3"},
    {.name = "dvb.frame_ms",
     .title = "frame length",
     .sentence = "The frame length is the time from one frame to the next, in ms.",
     .paragraph = "DVB-T: 68 symbols. DVB-T2: the P1 symbol of 2048 T and all that follow, at most "
                  "250 ms.",
     .formula = BOTH("frame_ms", "2", " ms"),
     .source = "EN 300 744 V1.6.1 4.4; EN 302 755 V1.4.1 8.3"},
    {.name = "dvb.plp_mbps",
     .title = "PLP rate",
     .sentence = "The PLP rate is the bit rate of the stream that is received, in Mbit/s.",
     .paragraph = "Of DVB-T it is that of the one stream, or of the one that is looked at of a "
                  "hierarchy's two; of DVB-T2 that of the pipe, baseband headers counted. The "
                  "outer code is taken off.",
     .formula = BOTH("plp_mbps", "2", " Mbit/s"),
     .source = "EN 300 744 V1.6.1 table 17; EN 302 755 V1.4.1 5 and 6"},
    {.name = "dvb.net_mbps",
     .title = "net rate",
     .sentence = "The net rate is what remains for packets of 188 bytes, in Mbit/s.",
     .paragraph =
         "DVB-T: bits a cell x code rate x 188/204 x cells a second; of a hierarchy the stream of "
         "high priority alone, or with the one of low priority both. DVB-T2: whole code blocks a "
         "frame, each less its BCH bits and a header of 80 bits; the high efficiency mode saves "
         "the packets' sync bytes.",
     .formula = BOTH("net_mbps", "2", " Mbit/s"),
     .source = "EN 300 744 V1.6.1 table 17; EN 302 755 V1.4.1 5.1 and 6.1"},
    {.name = "dvb.echo_us",
     .title = "echo tolerance",
     .sentence = "The echo tolerance is the longest delay between echoes that does no harm, in us.",
     .paragraph =
         "It is the guard interval. It counts from the first to the last echo of any strength. An "
         "echo a little longer does not end reception: it adds interference that grows with its "
         "power and excess. The receiver must also place its window well.",
     .formula = "Tg: " BOTH("guard_us", "1", " us"),
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "dvb.echo_km",
     .title = "longer path",
     .sentence = "The longer path is the detour of the longest harmless echo, in km.",
     .paragraph = "It is the difference of two paths, not a distance from the tower. In a network "
                  "of several transmitters it limits how far apart they may be.",
     .formula = "0.299792 km/us x Tg: " BOTH("echo_km", "1", " km"),
     .source = "speed of light, 299 792 458 m/s"},
    {.name = "dvb.reach_us",
     .title = "estimation reach",
     .sentence = "The reach is the longest echo that the pilots let the receiver measure, in us.",
     .paragraph =
         "Pilots every Dx carriers, once Dy symbols are put together, sample the channel: echoes "
         "longer than Tu/Dx cannot be told from shorter ones. DVB-T has Dx = 3 and Dy = 4 always; "
         "DVB-T2's pattern chooses. No real filter ends there like a wall: this one passes all up "
         "to 0.9 of it and nothing from 1.1 on.",
     .formula = "Tu / Dx: " BOTH("reach_us", "1", " us"),
     .source = "EN 300 744 V1.6.1 4.5.3; EN 302 755 V1.4.1 table 57; EBU Tech 3348 (from memory)"},
    {.name = "dvb.doppler_pilot_hz",
     .title = "pilots' Doppler limit",
     .sentence = "The pilots' Doppler limit is the fastest change that they can show, in Hz.",
     .paragraph = "Each pilot place is seen once in Dy symbols. By the sampling theorem a change "
                  "faster than half of that rate is misread. A real receiver needs a reserve.",
     .formula = "1 / (2 x Dy x (Tu + Tg)): " BOTH("doppler_pilot_hz", "1", " Hz"),
     .source = "sampling theorem; EN 300 744 V1.6.1 4.5.3; EN 302 755 V1.4.1 table 57"},
    {.name = "dvb.doppler_ici_hz",
     .title = "carriers' Doppler limit",
     .sentence = "The carriers' Doppler limit is where motion alone doubles the required C/N, in "
                 "Hz.",
     .paragraph =
         "When the channel changes during a symbol the carriers leak into each other, by about "
         "(pi fd Tu)^2 / 6 of the power for echoes from all sides. Where the leak takes half of "
         "the noise that the mode stands in a Rayleigh channel, it needs 3 dB more. Short symbols "
         "and robust modes stand more.",
     .formula = BOTH("doppler_ici_hz", "1", " Hz"),
     .source = "Y. Li and L. J. Cimini, IEEE Trans. Commun. 49(3), 2001, their integral"},
    {.name = "dvb.doppler_hz",
     .title = "Doppler limit",
     .sentence =
         "The Doppler limit is the fastest change of the channel that the mode withstands, in Hz.",
     .paragraph =
         "Echoes from all sides are assumed. At the limit the mode needs 3 dB more than at rest: "
         "carriers leak into each other, and the channel estimate, a straight line from pilot to "
         "pilot, errs. Where the pilots' limit is smaller, that one holds.",
     .formula = BOTH("doppler_hz", "1", " Hz"),
     .source = "this project; Clarke and Jakes, Li and Cimini 2001"},
    {.name = "dvb.limit_snr_db",
     .title = "SNR limit",
     .sentence = "The limit SNR is what no code, however good, can go below, in dB.",
     .paragraph =
         "It is where the information that a cell can carry equals the bits that it is asked to "
         "carry, with each bit decoded by itself. Only noise is assumed (AWGN), no echoes. "
         "DVB-T's counts the boosted pilots' power as signal.",
     .formula = BOTH("limit_snr_db", "2", " dB"),
     .source = "bit-interleaved mutual information, computed; constellations: EN 300 744 V1.6.1 "
               "4.3.5, EN 302 755 V1.4.1 tables 14 and 15"},
    {.name = "dvb.ideal_snr_db",
     .title = "SNR ideal",
     .sentence =
         "The ideal SNR is what the standard's code needs with a perfectly known channel, in dB.",
     .paragraph =
         "Only noise is assumed. DVB-T: a bit error rate of 2e-4 ahead of the Reed-Solomon code, "
         "as its document counts, the boosted pilots' power as signal. DVB-T2: one block in ten "
         "thousand lost, demapped once; TS 102 831's own figures know the other bits of a cell "
         "and lie lower.",
     .formula = BOTH("ideal_snr_db", "2", " dB"),
     .source = "this project; compare EN 300 744 V1.6.1 table A.1"},
    {.name = "dvb.ideal_rayleigh_snr_db",
     .title = "SNR ideal, Rayleigh",
     .sentence = "The Rayleigh SNR is the ideal one where echoes make every cell's power random, "
                 "in dB.",
     .paragraph =
         "It stands for reception without line of sight, deep in echoes inside the guard "
         "interval. The mean SNR must be some dB higher, the more so the higher the code rate: "
         "DVB-T's convolutional code pays most.",
     .formula = BOTH("ideal_rayleigh_snr_db", "2", " dB"),
     .source = "this project"},
    {.name = "dvb.receiver_snr_db",
     .title = "required SNR",
     .sentence = "The required SNR is what a real receiver needs, in dB, with one kind of receiver "
                 "for both generations.",
     .paragraph =
         "It adds to the ideal SNR the power spent on pilots and 1.15 dB for channel estimation "
         "and implementation, then the receiver's own noise floor at -33 dB. The 1.15 dB is "
         "fitted to ITU-R BT.2033-2. It assumes noise only: echoes and motion ask for more.",
     .formula = BOTH("required_snr_db", "2", " dB"),
     .source = "the shape of TS 102 831 clause 14 (from memory); ITU-R BT.2033-2 table 2"},
    {.name = "dvb.field_dbuvm",
     .title = "field needed",
     .sentence = "The field needed is the field strength at which the required SNR is reached, in "
                 "dBuV/m.",
     .paragraph = "It uses the planning factors of the band: a roof aerial with gain, a line with "
                  "loss and a receiver with a noise figure. Indoors and with small aerials far "
                  "more is needed. In UHF it follows the frequency, less by 20 log10(650 / f).",
     .formula = "in {band}: " BOTH("field_dbuvm", "1", " dBuV/m"),
     .source = "GE06 and ITU-R BT.2033 (from memory)"},
    {.name = "dvb.interleaver_ms",
     .title = "time interleaving",
     .sentence = "The span is over how many ms DVB-T2's time interleaver spreads a block.",
     .paragraph = "Fades much shorter than the span are averaged out. Whole code blocks fill its "
                  "memory of 557056 cells; one that is full makes several spans a frame. Several "
                  "PLPs are taken as sliced over the whole frame (type 2); one sent in a piece "
                  "spans that piece alone. DVB-T has no time interleaver.",
     .formula = "{second.interleaver_ms:1} ms",
     .source = "EN 302 755 V1.4.1 6.5"},
    {.name = "dvb.margin_db",
     .title = "margin, with echoes and motion",
     .sentence = "The margin is what the SNR has to spare, echoes and motion counted, in dB.",
     .paragraph = "All that the profile says of the place is counted. The account shows step by "
                  "step what takes how much of the SNR. Where positions differ, half of them have "
                  "this margin.",
     .formula = BOTH("margin_db", "1", " dB"),
     .source = "this project"},
    {.name = "dvb.margin_noise_db",
     .title = "margin, noise alone",
     .sentence = "The margin in noise alone is what the SNR has to spare without echoes, in dB.",
     .paragraph = "It is the SNR less what is needed in white noise, with nothing in motion. The "
                  "difference to the other margin is what echoes and motion take.",
     .formula = BOTH("margin_noise_db", "1", " dB"),
     .source = "this project"},
    {.name = "dvb.speed_kmh",
     .title = "speed limit",
     .sentence = "The speed limit is the Doppler limit as a speed on this channel, in km/h.",
     .paragraph = "The same mode stands a higher speed on a lower channel. The figure is for a "
                  "receiver that moves; a moving reflector reaches the limit at half of it.",
     .formula = "c x fd / {site.center_mhz:1} MHz: " BOTH("speed_kmh", "0", " km/h"),
     .source = "v = c fd / f"},
    {.name = "dvb.effective_snr_db",
     .title = "effective SNR",
     .sentence = "The effective SNR is the SNR of plain noise that would be as hard as these "
                 "echoes, in dB.",
     .paragraph = "With echoes each carrier has an SNR of its own. Their information is averaged, "
                  "and the SNR that gives the same average without echoes is the effective one. "
                  "Far above what is needed a dB of SNR is one of it.",
     .formula = BOTH("effective_snr_db", "2", " dB"),
     .source = "mean mutual information (MIESM), checked against simulation by this project"},
    {.name = "dvb.fading_loss_db",
     .title = "lost to unequal carriers",
     .sentence = "This loss is what unequal carriers cost against equal ones, in dB.",
     .paragraph = "Echoes make some carriers weak. Code and interleaver average over them, which "
                  "costs little at low code rates and more at high ones.",
     .formula = BOTH("fading_loss_db", "2", " dB"),
     .source = "mean mutual information (MIESM), checked against simulation by this project"},
    {.name = "dvb.self_loss_db",
     .title = "lost to self-interference",
     .sentence = "This loss is what echoes outside the guard interval take as noise, in dB.",
     .paragraph = "It also holds what the pilots cannot resolve or follow.",
     .formula = BOTH("self_loss_db", "2", " dB"),
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "dvb.self_interference_db",
     .title = "self-interference",
     .sentence = "Self-interference is the power of what falls outside the guard interval, over "
                 "the useful power, in dB.",
     .paragraph = "It acts as noise that no transmitter power can overcome: more power raises "
                  "both. For a good margin it must lie well below minus the needed SNR. The "
                  "figure is the mean; some carriers are disturbed more than others, and that is "
                  "counted carrier by carrier.",
     .formula = BOTH("self_interference_db", "1", " dB"),
     .source = "EBU Technical Review 295 (2003); ITU-R BT.2254"},
    {.name = "dvb.motion_loss_db",
     .title = "lost to motion",
     .sentence = "This loss is what motion within a symbol takes as noise, in dB.",
     .paragraph = "Carriers leak into each other while the channel changes during a symbol.",
     .formula = BOTH("motion_loss_db", "2", " dB"),
     .source = "Li and Cimini, IEEE Trans. Commun. 49(3), 2001"},
    {.name = "dvb.estimation_loss_db",
     .title = "lost to estimation errors",
     .sentence = "This loss is what errors of the channel estimate take as noise, in dB.",
     .paragraph = "Between two pilots the channel turns on; what a straight line in time misses "
                  "is an error. So is an echo that lies beyond the pilots' reach. Noise on the "
                  "pilots is none of it: the receiver's need holds that.",
     .formula = BOTH("estimation_loss_db", "2", " dB"),
     .source = "linear interpolation over Dy symbols, computed by this project"},
    {.name = "dvb.ideal_margin_db",
     .title = "margin, ideal receiver",
     .sentence = "This margin is what an ideal receiver would have to spare here, in dB.",
     .paragraph = "The code's own threshold is what it needs, without a real receiver's losses.",
     .formula = BOTH("ideal_margin_db", "1", " dB"),
     .source = "this project"},
    {.name = "dvb.ideal_required_cn_db",
     .title = "required C/N, ideal receiver",
     .sentence = "This is the SNR from which on an ideal receiver decodes with these echoes, in "
                 "dB.",
     .paragraph = "All rays count as signal, as for the real receiver.",
     .formula = BOTH("ideal_required_cn_db", "2", " dB"),
     .source = "this project"},
    {.name = "dvb.window_us",
     .title = "FFT window",
     .sentence = "The window says for which delay the receiver cuts its symbols, in us.",
     .paragraph = "It stands where most of the power is useful. Rays up to a guard interval later "
                  "do no harm.",
     .formula = "from there on for Tg: " BOTH("window_us", "1", " us"),
     .source = "this project: best useful power"},
    {.name = "dvb.works",
     .title = "works",
     .sentence = "Works says whether what is left of the SNR is at least what is needed.",
     .paragraph = "It is a prediction for the receiver that the profile describes, at the share of "
                  "positions that receiver.position_percent asks for. A margin below 1 dB is too "
                  "close to call.",
     .formula = "margins " BOTH("margin_db", "1", " dB"),
     .source = "this project"},
    {.name = "dvb.needed_snr_db",
     .title = "needed SNR",
     .sentence = "The needed SNR is what the effective SNR must reach for this mode, in dB.",
     .paragraph = "It is the mode's SNR in plain noise. What the echoes cost is already in the "
                  "effective SNR, so it is not counted twice.",
     .formula = BOTH("required_snr_db", "2", " dB"),
     .source = "the planning model of the pair: required SNR"},
    {.name = "dvb.reach_from_us",
     .title = "begin of the reach",
     .sentence = "The reach begins at the earliest delay that the pilots resolve, in us.",
     .paragraph = "Earlier rays cannot be told from later ones.",
     .formula = BOTH("reach_from_us", "1", " us"),
     .source = "sampling theorem; EN 300 744 V1.6.1 4.5.3; EN 302 755 V1.4.1 table 57"},
    {.name = "dvb.reach_to_us",
     .title = "end of the reach",
     .sentence = "The reach ends at the latest delay that the pilots resolve, in us.",
     .paragraph = "Later rays cannot be told from earlier ones.",
     .formula = BOTH("reach_to_us", "1", " us"),
     .source = "sampling theorem; EN 300 744 V1.6.1 4.5.3; EN 302 755 V1.4.1 table 57"},
    {.name = "dvb.meeting_db",
     .title = "power, transmitters meeting",
     .sentence = "Where transmitters of a network meet, this is the power over its mean that 99 % "
                 "of the places receive at least, in dB.",
     .paragraph = "Two equal signals at once add or cancel, as their phases happen to be; margins "
                  "hold for the SNR that is received, so this is apart from them. It is unknown "
                  "where no other transmitter of the network is received.",
     .formula = "99 % of drawn phases receive at least: " BOTH("meeting_db", "1", " dB"),
     .source = "sum of the transmitters' rays over the channel, computed"},
    {.name = "dvb.miso_gain_db",
     .title = "gain of MISO",
     .sentence = "This is by how much MISO raises the power where transmitters meet, in dB.",
     .paragraph = "It is unknown here: DVB-T has none, and DVB-T2's, which sends carriers in pairs "
                  "from two groups of transmitters, is not computed.",
     .formula = "unknown, in dB",
     .source = "EN 302 755 V1.4.1 9.1"},
    {.name = "dvb.station.generation",
     .title = "generation",
     .sentence = "The generation says whether the station sends DVB-T (first) or DVB-T2 (second).",
     .paragraph = "The two need different receivers and differ in what they withstand. The "
                  "required SNR of each follows from its mode.",
     .formula = BOTH("required_snr_db", "1", " dB"),
     .source = "EN 300 744; EN 302 755"},
    {.name = "dvb.place.needed_snr_db",
     .title = "needed SNR",
     .sentence = "The needed SNR is what a station's signal asks for, in dB.",
     .paragraph = "It follows from the mode of that generation, in white noise or with the "
                  "profile's echoes.",
     .formula = BOTH("required_snr_db", "1", " dB"),
     .source = "the planning model of the pair: required SNR"},
    {.name = "dvb.site.bandwidth_mhz",
     .title = "channel bandwidth",
     .sentence = "The bandwidth is the width of the channel: 5, 6, 7 or 8 MHz.",
     .paragraph = "All times follow from it: T = 7 / (8 B) us. A wider channel carries more bits, "
                  "and the same guard interval lasts fewer microseconds.",
     .formula = "T = 7 / (8 x {site.bandwidth_mhz:0} MHz), in us",
     .source = "EN 300 744 V1.6.1 annexes; EN 302 755 V1.4.1 table 65"},
    {.name = "dvb.receiver.snr_db",
     .title = "measured SNR",
     .sentence = "The measured SNR is what the receiver reports: received power over noise, in dB.",
     .paragraph =
         "What receivers call C/N or MER is usually the modulation error ratio after the "
         "equaliser. Echoes, motion and the receiver's own faults lower it, and it stops rising "
         "at some high value. Here it is taken as the power of all echoes together over noise.",
     .formula = "{receiver.snr_db:1} dB; needed: " BOTH("required_snr_db", "1", " dB"),
     .source = "common practice"},
    {.name = "dvb.center_mhz",
     .title = "centre frequency",
     .sentence = "The centre frequency is the middle of the channel, in MHz.",
     .paragraph = "It turns Doppler in Hz into speed in km/h, and it sets the band.",
     .formula = "1 km/h at {site.center_mhz:1} MHz makes {hz_per_kmh:3} Hz",
     .source = "ITU Region 1, GE06 (from memory)"},
    {.name = "dvb.place.headroom_db",
     .title = "room below overload",
     .sentence =
         "The room is by how many dB the levels at the receiver stay below those it is made for.",
     .paragraph =
         "Receivers of 8-VSB are asked to work up to -5 dBm of a wanted signal and with several "
         "unwanted ones of up to -8 dBm each; those of Region 1 are taken as alike, as no figure "
         "of "
         "theirs is at hand. Above, the tuner makes noise of its own, which no margin here counts: "
         "an attenuator of as many dB helps, for the unwanted ones only a filter.",
     .formula =
         "the smaller of -5 dBm less the level and -8 dBm less the strongest other one, in dB",
     .source = "assumed from ATSC A/74:2010 5.1, 5.2"},
    {.name = "dvb.place.interference_dbm",
     .title = "interference",
     .sentence = "The interference is the noise in the channel that would disturb as much as all "
                 "other stations do, in dBm.",
     .paragraph =
         "On the same channel a digital signal acts as noise of its own power. Neighbours disturb "
         "with 48 to 49 dB less: they may be 30 dB stronger than DVB-T with 64QAM 2/3, which needs "
         "19 dB, as GE06 has it, less where the wanted signal is strong. Channels farther off "
         "disturb less still, by what receivers of 8-VSB were asked to bear: figures of Region 1 "
         "are not at hand. Pairs of strong stations K and 2 K channels away make a product on the "
         "channel.",
     .formula = "sum of U (dBm) - 30 dB - 19 dB of neighbours, and of 2 U + U - 2 x "
                "{receiver.intercept_dbm:0} dBm",
     .source = "GE06, ITU-R BT.1368 (from memory); farther channels assumed from ATSC A/74:2010 "
               "(from memory)"},
    {.name = "dvb.readings.needed_snr_db",
     .title = "needed SNR of a log",
     .sentence = "The needed SNR is that from which on the generation decodes under the profile's "
                 "echoes and motion, in dB.",
     .paragraph = "The log's SNRs are held against it, one by one.",
     .formula = "as in echo; in noise alone " BOTH("required_snr_db", "1", " dB"),
     .source = "this program's verdict"},
    {.name = "dvb.simulate.snr_db",
     .title = "simulated SNR",
     .sentence = "The simulated SNR is the signal power over noise power of the run, in dB.",
     .paragraph = "DVB-T's counts the boosted pilots' power as signal, DVB-T2's is that of a data "
                  "cell: as the ideal SNR of each.",
     .formula = "SNR = 10 log10(signal power / noise power) dB",
     .source = "definition; EN 300 744 V1.6.1 annex A"},
    {.name = "dvb.simulate.frames",
     .title = "frames",
     .sentence = "Frames counts the blocks that were simulated: code words of DVB-T2, Reed-Solomon "
                 "words of 204 bytes of DVB-T.",
     .paragraph = "More frames make the error rate surer: its spread falls with their root.",
     .formula = "DVB-T2: {dvbt2.length} bits before they are mapped",
     .source = "this project"},
    {.name = "dvb.simulate.bit_errors",
     .title = "bit errors",
     .sentence = "Bit errors counts the bits that were wrong: of DVB-T2's payload after decoding, "
                 "of DVB-T's before the Reed-Solomon decoder.",
     .paragraph = "Wrong bits come in clumps: of a block of DVB-T2 none or many, and where a "
                  "Viterbi decoder leaves its path some in a row.",
     .formula = "a count",
     .source = "this project; EN 300 744 V1.6.1 4.3"},
    {.name = "dvb.simulate.fer",
     .title = "frame error rate",
     .sentence = "The frame error rate (FER) is the share of blocks lost: of DVB-T2's code words, "
                 "of DVB-T's Reed-Solomon words.",
     .paragraph =
         "Near the threshold it falls from one to nothing within some tenths of a dB. Both "
         "documents ask for quasi error free: less than one uncorrected event an hour, for DVB-T a "
         "bit error rate of 2e-4 before its Reed-Solomon code, for DVB-T2 at 5 Mbit/s a rate of "
         "about 1e-7.",
     .formula = "FER = frame errors / frames",
     .source = "EN 300 744 V1.6.1 4.3; EN 302 755 V1.4.1 4.3"},
    {.name = "dvb.simulate.ber",
     .title = "bit error rate",
     .sentence = "The bit error rate (BER) is the share of bits that were wrong, counted as the "
                 "bit errors are.",
     .paragraph = "Of DVB-T it is that before the Reed-Solomon decoder: 2e-4 is the edge at which "
                  "its document counts.",
     .formula = "BER = bit errors / bits",
     .source = "EN 300 744 V1.6.1 4.3 and annex A"},
    {.name = "dvb.simulate.ser",
     .title = "segment error rate",
     .sentence = "The segment error rate (SER) is not told of this pair: DVB-T's lost packets are "
                 "its lost Reed-Solomon words, told as frame errors.",
     .paragraph = "A packet of 188 bytes is sent in a word of 204; up to 8 wrong bytes are "
                  "repaired. The rate of words lost is the frame error rate.",
     .formula = "(204 - 188) / 2 = 8 bytes",
     .source = "EN 300 744 V1.6.1 4.3.2"},
    {.name = "dvb.page.error_rate",
     .title = "error rate",
     .sentence = "The error rate is the share of bits or blocks that were wrong.",
     .paragraph =
         "Ask where it is counted. Before the code even a good signal has errors; after all codes "
         "there should be none: quasi error free is less than one event an hour.",
     .formula = "errors / all",
     .source = "EN 300 744 V1.6.1 4.3; EN 302 755 V1.4.1 4.3"},
    {.name = "dvb.page.error_rate_after",
     .title = "error rate after the code",
     .sentence = "The error rate after the code is the share of bits or blocks that could not be "
                 "repaired.",
     .paragraph = "It should be 0: quasi error free is less than one event an hour.",
     .formula = "errors left / all",
     .source = "EN 300 744 V1.6.1 4.3; EN 302 755 V1.4.1 4.3"},
    {.name = "dvb.plp.name",
     .title = "PLP",
     .sentence = "A PLP (physical layer pipe) of DVB-T2 is a stream with its own code and "
                 "constellation.",
     .paragraph = "A station may send several with different robustness. DVB-T has one stream, or "
                  "two in a hierarchy.",
     .formula = "one pipe, or as many as have a section",
     .source = "EN 302 755 V1.4.1 4.2"},
    {.name = "dvb.plp.subframe",
     .title = "subframe",
     .sentence = "The subframe is not told of this pair: all pipes of DVB-T2 share one waveform.",
     .paragraph = "What differs from pipe to pipe is the code, the constellation and the share of "
                  "the cells.",
     .formula = "none",
     .source = "EN 302 755 V1.4.1 4.2"},
    {.name = "dvb.plp.layer",
     .title = "layer",
     .sentence = "The layer is not told of this pair: pipes of DVB-T2 have cells of their own.",
     .paragraph = "What comes nearest is the hierarchy of DVB-T, two streams in the same cells.",
     .formula = "core",
     .source = "EN 302 755 V1.4.1 4.2; EN 300 744 V1.6.1 4.3.4"},
    {.name = "dvb.plp.injection_db",
     .title = "injection level",
     .sentence = "The injection level is not told of this pair, in dB or otherwise: no pipe lies "
                 "over another one.",
     .paragraph = "It belongs to layers: by how many dB the lower one is sent weaker.",
     .formula = "no level in dB",
     .source = "EN 302 755 V1.4.1 4.2"},
    {.name = "dvb.plp.latency_ms",
     .title = "latency of interleaving",
     .sentence = "The latency is how long time interleaving and its inverse delay a code block, in "
                 "ms.",
     .paragraph = "A block of the interleaver is filled at the sender and then read, and once more "
                  "at the receiver. A sender that gathers a frame before it signals it adds up to "
                  "a frame.",
     .formula = "2 x the interleaver's span in ms",
     .source = "derived from EN 302 755 V1.4.1 6.5"},
    {.name = "dvb.plp.start_up_ms",
     .title = "longest start-up",
     .sentence = "The start-up is how long a receiver waits at worst for the first code block, in "
                 "ms.",
     .paragraph = "It may just have missed the signalling in P2, and then fills its interleaver.",
     .formula = "{second.frame_ms:1} ms of a frame + the interleaver's span",
     .source = "derived from EN 302 755 V1.4.1 6.5 and 8.3"},
    {.name = "dvb.plp.memory_cells",
     .title = "interleaver's memory",
     .sentence = "The memory is how many cells a receiver keeps to undo time interleaving.",
     .paragraph = "It holds the largest block of the interleaver: so many whole code blocks of a "
                  "frame, parted into as few blocks as the limit allows.",
     .formula = "code blocks of a frame / blocks of the interleaver, rounded up, x cells of a code "
                "block",
     .source = "EN 302 755 V1.4.1 6.5"},
    {.name = "dvb.plp.memory_most_cells",
     .title = "memory at most",
     .sentence = "The memory at most is what the standard lets a receiver be asked to keep, in "
                 "cells.",
     .paragraph = "It is of a data PLP and the common PLP that belongs to it, together.",
     .formula = "2^19 + 2^15 = 557056 cells",
     .source = "EN 302 755 V1.4.1 6.5"},
    {.name = "dvb.plp.share",
     .title = "share of the cells",
     .sentence = "The share says how much of the payload cells the pipe has, from 0 to 1.",
     .paragraph = "Its bit rate is in proportion to it, in whole code blocks a frame.",
     .formula = "cells of the pipe / {second.cells_per_frame:0} cells",
     .source = "EN 302 755 V1.4.1 6.5 and 8.3"},
    {.name = "dvb.plp.cells",
     .title = "cells of the pipe",
     .sentence = "The cells of the pipe carry its payload in one frame.",
     .paragraph = "A cell is one carrier of one symbol. Whole code blocks fill them.",
     .formula = "of {second.cells_per_frame:0} cells in a frame",
     .source = "EN 302 755 V1.4.1 6.5 and 8.3"},
};

const struct explain_table explain_pair_table = {rows, sizeof rows / sizeof rows[0]};
