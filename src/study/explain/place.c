/* Words about the quantities of a place and of a simulation. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "place.name",
     .title = "station",
     .sentence = "The name is the one that the profile gives to the station.",
     .paragraph = "It has no meaning to the computation.",
     .formula = "[station NAME]",
     .source = "the profile"},
    {.name = "place.field_dbuvm",
     .title = "field strength",
     .sentence = "The field strength is what arrives at the place outside of buildings, in dBuV/m.",
     .paragraph = "It is a median prediction, over even ground unless the station has a terrain "
                  "file. Hills, "
                  "trees and houses change it by 10 dB and more, mostly down.",
     .formula = "free space: 106.92 + 10 log10({station.erp_kw:1} kW) - 20 "
                "log10({station.distance_km:1} km) = "
                "{free_space_dbuvm:1} dBuV/m",
     .source = "ITU-R P.1546, P.525, P.526; 47 CFR 73.699"},
    {.name = "place.error_db",
     .title = "error to expect",
     .sentence =
         "The error to expect is the standard deviation between such predictions and what is "
         "measured, in dB.",
     .paragraph =
         "Two places out of three lie within it, one in twenty beyond twice as much. Methods "
         "without terrain are told with 8 to 12 dB, P.1546 with a terrain file with 8. Free space "
         "is no prediction but a bound: the "
         "field lies below it.",
     .formula = "8 to 20 dB; method {place.method}",
     .source = "common practice"},
    {.name = "place.effective_height_m",
     .title = "height over the ground between",
     .sentence = "The height over the ground between is that of the transmitting aerial over the "
                 "mean ground towards the place, in m.",
     .paragraph =
         "ITU-R P.1546 averages the ground from 3 to 15 km before the mast, of a nearer place from "
         "a fifth of the way on. It is known where the station has a terrain file; other methods "
         "then take it as their height, also the curves of 47 CFR 73.699, whose own rule averages "
         "from 3.2 to 16.1 km. Without a file the station's height is taken for it.",
     .formula = "mast above its ground + ground at the mast - mean ground",
     .source = "ITU-R P.1546 Annex 5 section 3"},
    {.name = "place.clearance_deg",
     .title = "terrain clearance angle",
     .sentence = "The terrain clearance angle is how high the ground stands before the receiving "
                 "aerial, over the straight line to the transmitting one, in degrees.",
     .paragraph =
         "The line from the aerial that just clears all ground within 16 km towards the station is "
         "taken, without the earth's curvature. Less than 0.55 degrees counts as 0.55, for which "
         "the curves were drawn. It needs a terrain file that reaches to the place.",
     .formula = "max atan((ground - aerial) / way to it) - atan((transmitting aerial - aerial) / "
                "distance), in degrees",
     .source = "ITU-R P.1546 Annex 5 section 11; that it counts from the line: from memory"},
    {.name = "place.terrain_db",
     .title = "added by terrain",
     .sentence =
         "What terrain adds is the correction of the field for the ground before the place, "
         "in dB; mostly it takes.",
     .paragraph =
         "It is that of a knife edge at the clearance angle against one at 0.55 degrees. Never "
         "less arrives than the troposphere scatters.",
     .formula =
         "J(0.036 sqrt(MHz)) - J(0.065 x degrees x sqrt(MHz)); J(v) = 6.9 + 20 log10(sqrt((v "
         "- 0.1)^2 + 1) + v - 0.1), in dB",
     .source = "ITU-R P.1546 Annex 5 sections 11 and 13"},
    {.name = "place.level_dbm",
     .title = "level",
     .sentence = "The level is the power that the aerial and its line give to the receiver, in "
                 "dBm.",
     .paragraph =
         "It falls with the square of the frequency for the same field and gain, because aerials "
         "of the same gain get smaller. It says nothing of echoes.",
     .formula =
         "level = field - 20 log10({site.center_mhz:1}) - 75.07 + {receiver.antenna_dbd:1} dBd - "
         "{receiver.line_loss_db:1} dB, in dBm",
     .source = "power of a half-wave dipole in a plane wave"},
    {.name = "place.noise_dbm",
     .title = "noise",
     .sentence = "The noise is the power in the channel against which the signal must stand, in "
                 "dBm.",
     .paragraph =
         "It is the noise of warmth, of the receiver, and what people make, as far as the aerial "
         "picks it up and the line passes it.",
     .formula = "{thermal_dbm:1} dBm ({noise_mhz:2} MHz) + {receiver.noise_figure_db:1} dB, "
                "man-made noise: {receiver.man_made}",
     .source = "k T B at 290 K; ITU-R P.372"},
    {.name = "place.needed_field_dbuvm",
     .title = "field needed there",
     .sentence = "The field needed is the median outdoors at the aerial with which the share of "
                 "locations would just be served in noise, in dBuV/m.",
     .paragraph =
         "The planners' chain: needed SNR, noise, aperture and gain of the aerial, line, building, "
         "share of locations. Interference is not in it. The figures of GE06 and BT.2033, for 10 "
         "m, "
         "are met by the same chain within 1 dB.",
     .formula =
         "SNR + noise (dBm) + line - gain + 20 log10({site.center_mhz:1}) + 75.07 + entry loss + "
         "spread, in dBuV/m",
     .source = "GE06 annex 3.4, ITU-R BT.2033-2 attachment 1"},
    {.name = "place.headroom_db",
     .title = "room below overload",
     .sentence =
         "The room is by how many dB the levels at the receiver stay below those it is made for.",
     .paragraph =
         "Receivers are asked to work up to -5 dBm of a wanted signal and with several unwanted "
         "ones "
         "of up to -8 dBm each. Above, the tuner makes noise of its own, which no margin here "
         "counts: an attenuator of as many dB helps, for the unwanted ones only a filter.",
     .formula =
         "the smaller of -5 dBm less the level and -8 dBm less the strongest other one, in dB",
     .source = "ATSC A/74:2010 5.1, 5.2"},
    {.name = "place.discrimination_db",
     .title = "lost to direction",
     .sentence = "The aerial's direction takes so many dB off a station that it does not point at.",
     .paragraph = "Counted where both bearings are given; else the aerial is taken as turned to "
                  "the station. "
                  "Without a front-to-back ratio the curve of ITU-R BT.419 holds: 6, 12 or 16 dB "
                  "at most in low "
                  "VHF, high VHF and UHF.",
     .formula = "0 dB within 50, 27, 20 degrees; aerial at {place.bearing_deg:0} deg, station at "
                "{station.bearing_deg:0} deg",
     .source = "ITU-R BT.419-3 (from memory)"},
    {.name = "place.antenna_dbm",
     .title = "level of a field of 0 dBuV/m",
     .sentence = "The level of a field of 0 dBuV/m tells what aerial and line make of a field, in "
                 "dBm: it is added to the field in dBuV/m.",
     .paragraph = "An aerial catches less on a higher channel at the same gain: it is smaller. The "
                  "line takes its loss.",
     .formula = "{receiver.antenna_dbd:1} dBd - {receiver.line_loss_db:1} dB - 75.07 - 20 "
                "log10(MHz), in dBm",
     .source = "power of a half-wave dipole in a plane wave"},
    {.name = "place.network_db",
     .title = "added by the rest of the network",
     .sentence = "What the other transmitters of a single-frequency network add to the station's "
                 "own level, in dB.",
     .paragraph = "Powers are summed, of the medians. A station that has no network has none.",
     .formula = "10 log10(sum of the powers / own power), in dB",
     .source = "this project"},
    {.name = "place.network_gain_db",
     .title = "network gain",
     .sentence = "The network gain is by how many dB all transmitters of the network together are "
                 "stronger than the strongest of them.",
     .paragraph = "It adds the powers of the medians: 3 dB for two that are equally strong.",
     .formula = "10 log10(sum of powers) - level of the strongest, in dB",
     .source = "addition of powers"},
    {.name = "place.network_gain_served_db",
     .title = "network gain at the share of locations",
     .sentence =
         "The network gain at the share of locations tells what is exceeded there, all of the "
         "network against the strongest alone, in dB.",
     .paragraph =
         "Where one transmitter is shaded another may not be: at 95 % of the locations two equally "
         "strong ones give 7 dB, by k-LNM with k = 0.7 and a spread of 5.5 dB each, uncorrelated.",
     .formula =
         "k-LNM at {place.location_percent:1} % of the locations, less 5.5 dB's quantile, in dB",
     .source = "EBU Technical Review 295, ITU-R BT.2254 (k from memory; held to simulation)"},
    {.name = "place.interference_dbm",
     .title = "interference",
     .sentence = "The interference is the noise in the channel that would disturb as much as all "
                 "other stations do, in dBm.",
     .paragraph =
         "On the same channel a digital signal acts as noise of its own power. Neighbours disturb "
         "28 and 26 dB less than what 8-VSB needs, channels farther off less still, and more the "
         "stronger the wanted signal is. Pairs of strong stations K and 2 K channels away make a "
         "product on the channel. Receivers of 8-VSB were measured; OFDM is assumed alike.",
     .formula =
         "sum of U (dBm) + D/U - 15.19 dB, and of 2 U + U - 2 x {receiver.intercept_dbm:0} dBm",
     .source = "47 CFR 73.623(c)(2); ATSC A/74:2010 (from memory)"},
    {.name = "place.interference_db",
     .title = "lost to interference",
     .sentence = "Interference takes so many dB off the C/N that noise alone would leave.",
     .paragraph = "Interference as strong as the noise takes 3 dB.",
     .formula = "10 log10(1 + interference / noise) dB",
     .source = "addition of powers"},
    {.name = "place.cn_db",
     .title = "C/N",
     .sentence = "C/N is the power of the signal over that of noise and interference at the "
                 "receiver, in dB.",
     .paragraph = "It is level less noise and interference, added as powers. Echoes are not in it.",
     .formula = "C/N = level (dBm) - 10 log10(noise + interference, in mW)",
     .source = "definition"},
    {.name = "place.needed_snr_db",
     .title = "needed SNR",
     .sentence = "The needed SNR is what a station's signal asks for, in noise alone or with the "
                 "profile's echoes and motion, in dB.",
     .paragraph = "In noise alone 8-VSB has one value, threshold and implementation loss; for OFDM "
                  "it follows from the profile's mode. What echoes ask for beyond it hangs on all "
                  "of them.",
     .formula =
         "in noise alone first {first.required_snr_db:1} dB, second {second.receiver_snr_db:1} dB",
     .source = "ATSC A/54A; ATSC A/327 Annex B"},
    {.name = "place.margin_db",
     .title = "margin",
     .sentence = "The margin is what C/N has to spare over what is needed, in dB.",
     .paragraph =
         "It holds for the share of locations that the profile names. Keep some dB for the "
         "weather and for errors of the prediction.",
     .formula = "margin = C/N - needed SNR - location spread, all in dB, at "
                "{place.location_percent:1} % of places",
     .source = "ITU-R P.1546-3 Table 2, 5.5 dB"},
    {.name = "place.reach_km",
     .title = "reach",
     .sentence = "The reach is the farthest distance at which the margin is not yet gone, in km.",
     .paragraph =
         "It assumes the same place and aerial at each distance, and even ground where no terrain "
         "is known. The rest of a network stays as strong as it is. Behind a ridge, or at the foot "
         "of a tall tower, there may be gaps nearer by: "
         "the "
         "words then say so.",
     .formula =
         "horizon {horizon_km:1} km for {station.height_m:0} m and {place.receive_height_m:0} m",
     .source = "this project, by the method named"},
    {.name = "simulate.snr_db",
     .title = "simulated SNR",
     .sentence = "The simulated SNR is the signal power over noise power of the run, in dB.",
     .paragraph = "For 8-VSB it counts the pilot as signal, like the threshold of 14.9 dB.",
     .formula = "SNR = 10 log10(signal power / noise power) dB",
     .source = "definition"},
    {.name = "simulate.frames",
     .title = "frames",
     .sentence = "Frames counts the code blocks that were simulated.",
     .paragraph = "More frames make the error rate surer: its spread falls with their root.",
     .formula = "one frame: {mode.length:0} bits",
     .source = "this project"},
    {.name = "simulate.planned",
     .title = "frames planned",
     .sentence = "Frames planned is how many frames the run was asked for.",
     .paragraph = "A run that was stopped, or that met enough errors, counts fewer; what it "
                  "counted holds all the same, only less surely.",
     .formula = "counted: at most what was planned",
     .source = "this project"},
    {.name = "simulate.frame_errors",
     .title = "frame errors",
     .sentence = "Frame errors counts the blocks that still had a wrong bit after decoding.",
     .paragraph =
         "About 100 errors give the rate within 20 %. With few errors look at the 95 % range.",
     .formula = "relative spread about 1 / sqrt(errors)",
     .source = "Poisson statistics"},
    {.name = "simulate.bit_errors",
     .title = "bit errors",
     .sentence = "Bit errors counts the payload bits that were wrong after decoding.",
     .paragraph = "Wrong bits come in clumps: a block is fully right or has many of them.",
     .formula = "out of {payload_bits:0} bits a block",
     .source = "this project"},
    {.name = "simulate.fer",
     .title = "frame error rate",
     .sentence = "The frame error rate (FER) is the share of blocks lost.",
     .paragraph =
         "Near the threshold it falls from one to nothing within some tenths of a dB. A rate of "
         "4e-5 loses about 1 % of the seconds of a video.",
     .formula = "FER = frame errors / frames",
     .source = "ATSC A/331 (4e-5 and 1 %)"},
    {.name = "simulate.fer_low",
     .title = "FER, low end",
     .sentence = "The low end is the smallest frame error rate that fits the count at 95 %.",
     .paragraph = "In 95 of 100 such runs the true rate lies between the low and the high end.",
     .formula = "95 % range of a binomial count",
     .source = "binomial statistics"},
    {.name = "simulate.fer_high",
     .title = "FER, high end",
     .sentence = "The high end is the largest frame error rate that fits the count at 95 %.",
     .paragraph = "With no error seen in n frames it is between 3 / n and 4 / n.",
     .formula = "95 % range of a binomial count",
     .source = "binomial statistics"},
    {.name = "simulate.ber",
     .title = "bit error rate",
     .sentence = "The bit error rate (BER) is the share of payload bits that were wrong.",
     .paragraph = "It depends on how blocks fail; the frame error rate tells more to a viewer.",
     .formula = "BER = bit errors / bits",
     .source = "definition"},
    {.name = "simulate.iterations",
     .title = "iterations",
     .sentence = "Iterations is the mean number of rounds that the decoder took for a block.",
     .paragraph = "It rises towards its limit as the SNR in dB falls to the threshold.",
     .formula = "mean over the frames",
     .source = "this project"},
    {.name = "simulate.segments",
     .title = "segments",
     .sentence = "Segments counts the 8-VSB segments (packets of 188 bytes) that were simulated.",
     .paragraph = "8-VSB sends about 12 900 of them a second.",
     .formula = "one segment: 828 symbols, 207 bytes with 20 of repair",
     .source = "ATSC A/53 Part 2"},
    {.name = "simulate.segment_errors",
     .title = "segment errors",
     .sentence = "Segment errors counts the segments that could not be repaired.",
     .paragraph = "The Reed-Solomon code repairs up to 10 wrong bytes in a segment of 207.",
     .formula = "(207 - 187) / 2 = 10 bytes",
     .source = "ATSC A/53 Part 2"},
    {.name = "simulate.ser",
     .title = "segment error rate",
     .sentence = "The segment error rate (SER) is the share of 8-VSB segments lost.",
     .paragraph = "At 1.93e-4, about 2.5 a second, viewers just see errors: the threshold.",
     .formula = "1.93e-4 at {first.threshold_db:1} dB",
     .source = "ATSC A/54A"},
    {.name = "simulate.ser_low",
     .title = "SER, low end",
     .sentence = "The low end is the smallest segment error rate that fits the count at 95 %.",
     .paragraph = "In 95 of 100 such runs the true rate lies between the low and the high end.",
     .formula = "95 % range of a binomial count",
     .source = "binomial statistics"},
    {.name = "simulate.ser_high",
     .title = "SER, high end",
     .sentence = "The high end is the largest segment error rate that fits the count at 95 %.",
     .paragraph = "With no error seen in n segments it is between 3 / n and 4 / n.",
     .formula = "95 % range of a binomial count",
     .source = "binomial statistics"},
};

const struct explain_table explain_place_table = {rows, sizeof rows / sizeof rows[0]};
