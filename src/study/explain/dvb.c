/* Words about the settings of the second pair. Facts: ETSI EN 300 744 and EN 302 755 as cited. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "site.pair",
     .sentence = "The pair says which two generations of television stand side by side.",
     .paragraph =
         "ATSC: 8-VSB and ATSC 3.0, with the channel plan of the United States. DVB: DVB-T and "
         "DVB-T2, with that of ITU Region 1: VHF III in steps of 7 MHz, UHF in steps of 8 MHz. A "
         "pair brings its plan's default channel. What other sections say of the other pair stays "
         "in the profile and does not count.",
     .formula = "{site.pair}, centre {site.center_mhz} MHz",
     .source = "47 CFR 73.603; ITU Region 1, GE06 (from memory)"},
    {.name = "dvbt.fft",
     .sentence = "The FFT size of DVB-T sets how many carriers share the channel: 2K, 4K or 8K.",
     .paragraph =
         "A larger one makes symbols longer, so that the same guard interval in microseconds costs "
         "less, and carriers closer, so that motion (in Hz) does more harm. The bit rate is the "
         "same with all three. 4K came with handheld reception.",
     .formula = "{dvbt.fft}; at 8 MHz Tu = 224 us with 2K, 448 us with 4K, 896 us with 8K",
     .source = "EN 300 744 V1.6.1 tables 4 and 5"},
    {.name = "dvbt.guard",
     .sentence = "The guard interval of DVB-T is a share of the useful symbol in which echoes do "
                 "no harm.",
     .paragraph =
         "1/4 of 8K bears echoes of 224 us, a path 67 km longer, and costs a fifth of the time. "
         "1/32 bears 28 us and costs 3 %.",
     .formula = "{dvbt.guard} of the useful symbol",
     .source = "EN 300 744 V1.6.1 table 5"},
    {.name = "dvbt.constellation",
     .sentence = "The constellation of DVB-T says how many bits a cell carries: QPSK 2, 16QAM 4, "
                 "64QAM 6.",
     .paragraph = "Each step more needs about 6 dB more SNR.",
     .formula = "{dvbt.constellation}",
     .source = "EN 300 744 V1.6.1 4.3.5"},
    {.name = "dvbt.rate",
     .sentence = "The code rate of DVB-T is the share of the inner code's bits that is data.",
     .paragraph =
         "The inner code is convolutional with 64 states, punctured to 2/3, 3/4, 5/6 or 7/8; a "
         "Reed-Solomon code around it takes another 16 of 204 bytes. With a hierarchy it is the "
         "rate of the high priority stream. A high rate needs more SNR, and most of all where "
         "echoes make carriers unequal: there are fewer bits left to bridge the weak ones.",
     .formula = "{dvbt.rate}",
     .source = "EN 300 744 V1.6.1 table 2"},
    {.name = "dvbt.hierarchy",
     .sentence =
         "A hierarchy sends two streams in one signal: a robust one in the quadrants of the "
         "constellation, a second one within them.",
     .paragraph =
         "The number is alpha: the distance between quadrants over that within one. With 2 or 4 "
         "the "
         "robust stream needs fewer dB and the other more. Both have a code rate of their own.",
     .formula = "alpha {dvbt.hierarchy}",
     .source = "EN 300 744 V1.6.1 4.3.4 and table 6"},
    {.name = "dvbt.priority",
     .sentence = "The stream received says of which of a hierarchy's two streams the verdict is.",
     .paragraph = "High is the one in the quadrants, which needs fewer dB; low the one within.",
     .formula = "{dvbt.priority}",
     .source = "EN 300 744 V1.6.1 4.3.4"},
    {.name = "dvbt.low_rate",
     .sentence = "The code rate of the low priority is that of a hierarchy's second stream.",
     .paragraph = "Without a hierarchy it does not count.",
     .formula = "{dvbt.low_rate}",
     .source = "EN 300 744 V1.6.1 table 2"},
    {.name = "dvbt2.fft",
     .sentence = "The FFT size of DVB-T2 sets how many carriers share the channel, 1K to 32K.",
     .paragraph =
         "32K makes a guard interval cheapest in bit rate and is for aerials that stand still; 16K "
         "and 8K bear more motion, in Hz, as their carriers stand further apart.",
     .formula = "Tu = {second.useful_us:1} us, carriers {second.spacing_hz:1} Hz apart",
     .source = "EN 302 755 V1.4.1 tables 65 to 67"},
    {.name = "dvbt2.extended",
     .sentence = "Extended carriers use more of the channel's edges: 8K, 16K and 32K only.",
     .paragraph =
         "At 8 MHz 32K occupies 7.77 instead of 7.61 MHz: 2 % more bits. The steeper edges of the "
         "longer FFT make room for them.",
     .formula = "{second.carriers:0} carriers, {second.occupied_mhz:3} MHz",
     .source = "EN 302 755 V1.4.1 table 66"},
    {.name = "dvbt2.guard",
     .sentence = "The guard interval of DVB-T2 is a share of the useful symbol in which echoes do "
                 "no harm.",
     .paragraph =
         "32K with 1/16 bears 224 us at 8 MHz, as much as 8K with 1/4, for 6 % of the time instead "
         "of 20 %. 32K has no 1/4; the smaller sizes lack some of the short ones.",
     .formula = "{dvbt2.guard}: Tg = {second.guard_us:1} us",
     .source = "EN 302 755 V1.4.1 table 67"},
    {.name = "dvbt2.pilots",
     .sentence = "The pilot pattern, PP1 to PP8, says how densely known carriers lie from which "
                 "the receiver learns the channel.",
     .paragraph =
         "PP1 has one in 3 carriers once 4 symbols are put together, PP7 one in 24. A dense one "
         "reaches longer echoes (Tu/Dx) and costs cells; one that comes back after 2 symbols (PP2, "
         "PP4, PP6) follows faster motion than one after 4. PP8 comes back after 16 and wants a "
         "receiver that learns from the data. Which are legal hangs on FFT and guard interval.",
     .formula = "reach {second.reach_us:1} us, Doppler {second.doppler_pilot_hz:1} Hz",
     .source = "EN 302 755 V1.4.1 tables 57, 58 and 60"},
    {.name = "dvbt2.rate",
     .sentence = "The code rate of DVB-T2 is the share of the LDPC code's bits that is data.",
     .paragraph =
         "With the short code it is a label: \"1/2\" is 4/9. A low rate needs fewer dB and carries "
         "fewer bits.",
     .formula = "{dvbt2.rate}, {dvbt2.length} bits",
     .source = "EN 302 755 V1.4.1 table 6"},
    {.name = "dvbt2.constellation",
     .sentence = "The constellation of DVB-T2 says how many bits a cell carries: QPSK 2 to 256QAM "
                 "8.",
     .paragraph = "Each step more needs about 5 dB more SNR at the same code rate.",
     .formula = "{dvbt2.constellation}",
     .source = "EN 302 755 V1.4.1 tables 14 and 15"},
    {.name = "dvbt2.length",
     .sentence = "The code length of DVB-T2 is the number of bits in a code block: 64800 or 16200.",
     .paragraph =
         "The short code fits low rates and short delays; it needs some tenths of a dB more.",
     .formula = "{dvbt2.length} bits",
     .source = "EN 302 755 V1.4.1 tables 6 and 7"},
    {.name = "dvbt2.rotation",
     .sentence = "A rotated constellation sends the two axes of a cell on different carriers.",
     .paragraph =
         "Turned by some degrees, each axis tells all bits; where one carrier is lost to a fade "
         "the "
         "other still knows the cell. In white noise it changes nothing. Where carriers fade it "
         "gains 1.5 dB with QPSK at high rates, 0.7 dB with 16QAM, next to nothing with 256QAM, "
         "and "
         "more where some are lost; at low rates of large constellations it costs a tenth of a dB. "
         "In a channel the figures count it: by mean information over all pairs of carriers.",
     .formula = "{dvbt2.rotation}",
     .source = "EN 302 755 V1.4.1 6.3 and table 16"},
    {.name = "dvbt2.high_efficiency",
     .sentence = "The high efficiency mode sends packets without their sync bytes and checksums.",
     .paragraph = "188 bytes of a packet travel as 187: 0.5 % more rate.",
     .formula = "rate x 188/187 if yes: {second.net_mbps:2} Mbit/s",
     .source = "EN 302 755 V1.4.1 5.1"},
    {.name = "dvbt2.symbols",
     .sentence = "The symbols of a frame count its P2, data and closing symbols, without P1.",
     .paragraph =
         "A frame lasts at most 250 ms; auto takes as many as fit, an even number with 32K. Whole "
         "code blocks fill it, so now and then fewer symbols carry more.",
     .formula = "{second.preamble_symbols:0} + {second.data_symbols:0} symbols, "
                "{second.frame_ms:1} ms",
     .source = "EN 302 755 V1.4.1 8.3 and table 46"},
    {.name = "dvbt2.l1_constellation",
     .sentence = "The constellation of L1 is that of the signalling in the P2 symbols.",
     .paragraph = "The signalling must outlive the data it describes. L1-pre is always BPSK; of "
                  "L1-post this "
                  "says it. About 350 bits with one PLP: 250 cells with 64QAM.",
     .formula = "{dvbt2.l1_constellation}",
     .source = "EN 302 755 V1.4.1 7.2 and 7.3"},
    {.name = "dvb.site.rf_channel",
     .title = "RF channel",
     .sentence = "The RF channel is the numbered slice of spectrum in which the station sends.",
     .paragraph =
         "ITU Region 1: 5 to 12 in VHF III, 7 MHz each, 21 to 48 in UHF, 8 MHz each. The number "
         "that a receiver shows to viewers may be another one. The frequency sets how much Doppler "
         "a given speed makes. It also sets the band, and with it noise and aerial size.",
     .formula = "RF {site.rf_channel:0}: centre {site.center_mhz:1} MHz, {band}",
     .source = "ITU Region 1, GE06 (from memory)"},
    {.name = "dvb.station.rf_channel",
     .title = "RF channel",
     .sentence = "The station's RF channel is the 7 or 8 MHz slice of spectrum in which it sends.",
     .paragraph =
         "ITU Region 1: 5 to 12 in VHF III, 21 to 48 in UHF. The field that a receiver needs, in "
         "dBuV/m, is higher on higher channels because their aerials are smaller.",
     .formula = "RF {station.rf_channel:0}",
     .source = "ITU Region 1, GE06 (from memory)"},
    {.name = "dvb.receiver.use",
     .title = "use of the receiver",
     .sentence = "The use says where and with what the receiver is used: none, rooftop, "
                 "portable-outdoor, portable-indoor, handheld or mobile.",
     .paragraph =
         "It fills the aerial's gain for the site's channel, line loss, noise figure (6 dB), "
         "man-made noise, speed, height, building and surroundings where they are not given; each "
         "can be changed. Rooftop: at 10 m 7 dBd behind 2 dB of line in VHF, with residential "
         "noise, for the 2 dB that planners allow, 11 dBd behind 4 dB in UHF. The others: 1.5 m in "
         "a suburb; portable -2 dBd in VHF, 0 in UHF; handheld -12 to -9 dBd in UHF and 4 dB for "
         "hand and body, told as line loss; mobile -5 to -1 dBd. Of a handheld in VHF no figure is "
         "published: judgement. Indoors the building takes 14 dB (ITU-R P.2109); BT.2033 plans "
         "with 7, 11 or 15 dB in UHF and 9 dB in VHF: place.entry_loss_db.",
     .formula = "{receiver.use}: {receiver.antenna_dbd:1} dBd, {receiver.line_loss_db:1} dB, "
                "{place.receive_height_m:1} m",
     .source = "ITU-R BT.2033-2 attachment 1 and Tables 26 to 32, GE06 annex 3.4 (one witness); "
               "ITU-R M.2292 (from memory)"},
    {.name = "dvb.receiver.noise_figure_db",
     .title = "noise figure",
     .sentence = "The noise figure is how much noise the receiver adds to that of a perfect one, "
                 "in dB.",
     .paragraph =
         "Noise from warmth alone is -105.2 dBm in the 7.61 MHz that the carriers of an 8 MHz "
         "channel take, at 290 K. Planners count 6 dB for DVB-T2 and counted 7 dB for DVB-T. A "
         "mast amplifier helps because its noise figure counts most and the line loss behind it "
         "hardly counts.",
     .formula = "noise = {thermal_dbm:1} dBm ({noise_mhz:2} MHz) + {receiver.noise_figure_db:1} dB "
                "= {quiet_dbm:1} dBm",
     .source = "ITU-R BT.2033-2 (6 dB); GE06 (7 dB, from memory)"},
    {.name = "dvb.receiver.line_loss_db",
     .title = "line loss",
     .sentence = "The line loss is what the cable and its splitters take from the signal, in dB.",
     .paragraph =
         "It lowers signal and outside noise alike, but not the receiver's own noise. So each dB "
         "of loss ahead of the first amplifier costs up to one dB of SNR.",
     .formula = "signal x {line_ratio:2} after {receiver.line_loss_db:1} dB",
     .source = "ITU-R BT.2036-5 (planning values 2, 3 and 5 dB at 200, 500 and 800 MHz)"},
    {.name = "dvb.place.front_to_back_db",
     .title = "front-to-back ratio",
     .sentence =
         "The front-to-back ratio is how much less the aerial hears from behind, in dB; none: "
         "the planning curve of ITU-R BT.419.",
     .paragraph = "Region 1 plans with that curve: 12 dB from 60 degrees on in VHF III, 16 dB in "
                  "UHF. With a value the field falls as the fourth power of the cosine of the "
                  "angle, down to this ratio.",
     .formula = "{place.front_to_back_db:1} dB",
     .source = "ITU-R BT.419-3 (from memory)"},
    {.name = "dvb.plp.share_percent",
     .title = "share of the cells",
     .sentence = "The share of the cells is how much of the frame's cells the PLP has, in percent.",
     .paragraph =
         "PLPs that say neither a share nor cells part what the others leave equally. Whole code "
         "blocks only are sent; what is left over is filled with dummies, which cost rate in "
         "Mbit/s and nothing else.",
     .formula = "share in % of the {second.cells_per_frame:0} cells, rounded down",
     .source = "EN 302 755 V1.4.1 6.5 and 8.3"},
};
const struct explain_table explain_dvb_table = {rows, sizeof rows / sizeof rows[0]};
