/* Words about the settings outside the mode: site, first-generation receiver, receiver, stations,
 * place, echoes. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "site.rf_channel",
     .sentence = "The RF channel is the numbered slice of spectrum in which the station sends.",
     .paragraph =
         "US television uses channels 2 to 36, each 6 MHz wide. The channel number that a "
         "receiver shows to viewers may be another one. The frequency sets how much Doppler a "
         "given speed makes. It also sets the band, and with it noise and aerial size.",
     .formula = "RF {site.rf_channel:0}: centre {site.center_mhz:1} MHz, {band}",
     .source = "47 CFR 73.603"},
    {.name = "site.center_mhz",
     .sentence = "The centre frequency is the middle of the channel, in MHz.",
     .paragraph =
         "It may be given in place of an RF channel. A wave is shorter at a higher frequency, so "
         "the same speed in km/h makes more Doppler in Hz.",
     .formula = "wavelength = c / f = 299.792 / {site.center_mhz:1} MHz = {wavelength_m:3} m; "
                "1 km/h makes {hz_per_kmh:3} Hz",
     .source = "c: 299 792 458 m/s by definition of the metre"},
    {.name = "site.bandwidth_mhz",
     .sentence = "The bandwidth is the width of the channel: 6, 7 or 8 MHz, of DVB 5 too.",
     .paragraph =
         "The sample rate follows from it. A wider channel carries more bits, and all times get "
         "shorter: the same guard interval in samples lasts fewer microseconds. 8-VSB exists at "
         "6 MHz only.",
     .formula = "sample rate = 0.384 MHz x (16 + {bsr:0}) = {sample_rate_mhz:3} MHz",
     .source = "ATSC A/322:2024-04 section 7"},
    {.name = "first.threshold_db",
     .sentence = "The threshold is the SNR in dB at which an 8-VSB picture just begins to break "
                 "up.",
     .paragraph =
         "It is taken where one segment in about 5200 is lost (1.93e-4). The value 14.9 dB counts "
         "the pilot as signal; without the pilot it is 0.3 dB less. Other documents say 15.19 dB "
         "or plan with 15 dB. In the echo verdict it is compared with the SNR after the equaliser.",
     .formula = "{first.threshold_db:1} dB with the pilot = {threshold_data_db:1} dB without it",
     .source = "ATSC A/54A; ITU-R BT.1306-6; FCC OET Bulletin 69"},
    {.name = "first.equaliser_before_us",
     .sentence = "The equaliser's reach before is how many microseconds an echo may come ahead of "
                 "the main signal.",
     .paragraph =
         "8-VSB has no guard interval. What it withstands is a property of the receiver, not of "
         "the signal. The default of 29.5 us belongs to one published receiver and to an echo 10 "
         "dB below the main signal. Other receivers differ widely.",
     .formula =
         "{first.equaliser_before_us:1} us = {before_symbols:0} symbols of {vsb_symbol_us:4} us",
     .source = "\"An 8-VSB DTV receiver for indoor and distributed transmission environments\", "
               "IEEE, abstract"},
    {.name = "first.equaliser_after_us",
     .sentence = "The equaliser's reach after is how many microseconds an echo may come behind the "
                 "main signal.",
     .paragraph =
         "Late echoes are taken off with decisions already made, which adds less noise than "
         "working against early ones. The default of 38.5 us belongs to one published receiver "
         "and an echo of -10 dB. Later receivers reach about 50 us.",
     .formula = "{first.equaliser_after_us:1} us = a path {after_km:1} km longer",
     .source = "\"An 8-VSB DTV receiver for indoor and distributed transmission environments\", "
               "IEEE, abstract; later receivers: ATSC A/74, from memory"},
    {.name = "first.tracking_hz",
     .sentence = "The tracking limit is the fastest change of an echo, in Hz, that the 8-VSB "
                 "equaliser follows.",
     .paragraph =
         "It is a property of the receiver, common practice puts it at a few Hz to some tens of "
         "Hz. Aircraft, traffic and swaying trees cause such changes even where the aerial stands "
         "still.",
     .formula = "{first.tracking_hz:1} Hz at {site.center_mhz:1} MHz = {first_speed_kmh:1} km/h",
     .source = "common practice"},
    {.name = "first.adaptation_step",
     .sentence = "The adaptation step says how strongly the equaliser corrects itself at each "
                 "symbol; 0 stands for an ideal one.",
     .paragraph =
         "A large step follows quick changes but is restless, which costs some dB of SNR. A small "
         "step is calm but slow. With 0 the equaliser is taken as perfectly set, which flatters "
         "8-VSB.",
     .formula = "step {first.adaptation_step:4}",
     .source = "least mean squares (LMS) adaptation: common practice"},
    {.name = "first.implementation_loss_db",
     .sentence = "The implementation loss is what a real 8-VSB receiver falls short of the ideal, "
                 "in dB.",
     .paragraph = "It is taken off the SNR after the equaliser. It stands for short "
                  "filters, phase noise and rounding. The default is 0 dB, which is kind to the "
                  "receiver.",
     .formula = "output SNR less {first.implementation_loss_db:1} dB is compared with "
                "{first.threshold_db:1} dB",
     .source = "an assumption that the user sets"},
    {.name = "first.feedback",
     .sentence = "The equaliser takes off the echoes of symbols it has decided: by their trellis "
                 "decoder, by the nearest level, or error-free.",
     .paragraph =
         "A wrong decision adds an echo instead of removing it and may cause the next wrong one. "
         "The verdict counts what that costs: with echoes of -3 dB 2 to 5 dB of SNR for the "
         "nearest level (slicer), 1 to 3 dB for the trellis decoder. Error-free feedback is what "
         "no receiver has: a bound.",
     .formula = "feedback: {first.feedback}",
     .source = "decision feedback: common practice; costs: simulation"},
    {.name = "receiver.noise_figure_db",
     .sentence = "The noise figure is how much noise the receiver adds to that of a perfect one, "
                 "in dB.",
     .paragraph =
         "Noise from warmth alone is -106.2 dBm in 6 MHz at 290 K. A tuner adds 4 to 10 dB to "
         "that in common practice. A mast amplifier helps because its noise figure counts most "
         "and the line loss behind it hardly counts.",
     .formula =
         "noise = {thermal_dbm:1} dBm ({noise_mhz:2} MHz) + {receiver.noise_figure_db:1} dB = "
         "{quiet_dbm:1} dBm",
     .source = "FCC OET Bulletin 69 (planning values 10, 10 and 7 dB)"},
    {.name = "receiver.man_made",
     .sentence = "Man-made noise comes from motors, power lines and electronics: none, rural, "
                 "residential or city.",
     .paragraph =
         "It is strongest at low frequencies, so it hurts low VHF channels most and UHF channels "
         "hardly. The figures are medians in dB over thermal noise; close to a source it is worse.",
     .formula = "kind: {receiver.man_made}; over thermal noise c - 27.7 log10({site.center_mhz:1} "
                "MHz) dB, c = "
                "76.8 city, 72.5 residential, 67.2 rural",
     .source = "ITU-R P.372 Part 6; for a city above 250 MHz edition -8, while ITU-R BT.2033 plans "
               "with 0 to 1 dB "
               "there"},
    {.name = "receiver.antenna_dbd",
     .sentence = "The aerial gain is how much more power the aerial picks up than a half-wave "
                 "dipole, in dBd.",
     .paragraph =
         "Gain comes from favouring one direction. That also weakens echoes from other "
         "directions, often worth more than the gain. A gain in dBi is 2.15 dB larger than the "
         "same gain in dBd.",
     .formula = "{receiver.antenna_dbd:1} dBd = {antenna_dbi:2} dBi",
     .source = "half-wave dipole: 2.15 dBi, common practice"},
    {.name = "receiver.use",
     .sentence = "The use says where and with what the receiver is used: none, rooftop, "
                 "portable-outdoor, portable-indoor, handheld or mobile.",
     .paragraph =
         "It fills the aerial's gain for the site's channel, line loss, noise figure, man-made "
         "noise, "
         "speed, height, building and surroundings where they are not given; each can be changed. "
         "Rooftop: 4, 6 or 10 dBd by band at 10 m. The others: 1.5 m in a suburb; portable -2 dBd "
         "in "
         "high VHF, 0 in UHF; handheld -12 to -9 dBd in UHF and 4 dB for hand and body, told as "
         "line "
         "loss; mobile -5 to -1 dBd. Below 200 MHz no figures are published: judgement.",
     .formula = "{receiver.use}: {receiver.antenna_dbd:1} dBd, {receiver.line_loss_db:1} dB, "
                "{place.receive_height_m:1} m",
     .source = "FCC OET Bulletin 69; ITU-R BT.2033-2 Tables 28 to 30; ITU-R M.2292 (from memory)"},
    {.name = "receiver.intercept_dbm",
     .sentence = "The intercept tells how well the receiver's input bears strong signals: third "
                 "order, in dBm.",
     .paragraph =
         "Two strong signals K and 2 K channels away make a third one on the wanted channel, 2 dB "
         "weaker for each dB more of intercept. Receivers differ by 10 dB; a mast amplifier ahead "
         "lowers it by its gain. At +10 dBm a signal at -5 dBm, the strongest that receivers are "
         "made for, keeps 30 dB over its own products.",
     .formula = "product = 2 U + U - 2 x {receiver.intercept_dbm:0} dBm",
     .source = "common practice"},
    {.name = "receiver.line_loss_db",
     .sentence = "The line loss is what the cable and its splitters take from the signal, in dB.",
     .paragraph =
         "It lowers signal and outside noise alike, but not the receiver's own noise. So each dB "
         "of loss ahead of the first amplifier costs up to one dB of SNR.",
     .formula = "signal x {line_ratio:2} after {receiver.line_loss_db:1} dB",
     .source = "FCC OET Bulletin 69 (planning values 1, 2 and 4 dB)"},
    {.name = "receiver.snr_db",
     .sentence = "The measured SNR is what the receiver reports: received power over noise, in "
                 "dB.",
     .paragraph =
         "What receivers call SNR is usually the modulation error ratio (MER) after the "
         "equaliser. Echoes, motion and the receiver's own faults lower it, and it stops rising "
         "at some high value. Here it is taken as the power of all echoes together over noise. "
         "Compare it with the receiver SNR of the mode: the difference is the margin.",
     .formula = "in noise alone: {receiver.snr_db:1} dB - {second.receiver_snr_db:1} dB = "
                "{second.margin_noise_db:1} dB",
     .source = "common practice; required SNR: ATSC A/327 Annex B"},
    {.name = "receiver.level_dbm",
     .sentence = "The level is the power in the channel at the receiver's input, in dBm.",
     .paragraph =
         "Signal strength does not tell whether the signal decodes. A strong signal with long "
         "echoes or interference can fail, and a weak clean one can work. Without a measured SNR "
         "the level less the noise gives one, but only where noise is all that disturbs.",
     .formula = "SNR = level - noise = {receiver.level_dbm:1} dBm - noise (dBm)",
     .source = "common practice"},
    {.name = "receiver.speed_kmh",
     .sentence = "The speed is how fast the receiver moves, in km/h; 0 is at rest.",
     .paragraph =
         "What is near a receiver that moves scatters each ray: it arrives from all sides, shifted "
         "in frequency by up to the Doppler. On the way its strength comes and goes. The answer is "
         "then a share of the time, at the same SNR. A reflector that moves can shift its echo by "
         "twice as much as a receiver of the same speed.",
     .formula = "{receiver.speed_kmh:0} km/h at {site.center_mhz:1} MHz = {speed_doppler_hz:1} Hz",
     .source = "fd = v f / c"},
    {.name = "receiver.positions",
     .sentence = "Positions are how many spots in the room are tried where an echo's phase is any.",
     .paragraph =
         "With every step an echo's phase changes, so reception is told as a share of positions. "
         "More of them make that share surer and take longer: with 256 it is known within about 6 "
         "%.",
     .formula = "{receiver.positions:0} positions: a share near one half is known within "
                "{position_spread_percent:1} %",
     .source = "spread of a counted share, 1.96 sqrt(p (1 - p) / n)"},
    {.name = "receiver.position_percent",
     .sentence = "The share of positions says at how many out of 100 spots in the room the signal "
                 "must decode.",
     .paragraph =
         "At 50 half of the spots are enough: move the aerial until it works. A receiver that "
         "cannot be moved asks for 90 or 99. The margin at that share, in dB, decides the verdict.",
     .formula = "{receiver.position_percent:1} % of {receiver.positions:0} positions",
     .source = "this project's convention"},
    {.name = "station.generation",
     .sentence = "The generation says whether the station sends 8-VSB (first) or OFDM (second).",
     .paragraph =
         "The two need different receivers and differ in what they withstand. The required SNR in "
         "dB of the first is fixed. That of the second follows from the mode.",
     .formula = "first needs {first.threshold_db:1} dB, second {second.receiver_snr_db:1} dB with "
                "this mode",
     .source = "ATSC A/53 Part 2; ATSC A/322:2024-04"},
    {.name = "station.rf_channel",
     .sentence = "The station's RF channel is the 6 MHz slice of spectrum in which it sends.",
     .paragraph =
         "It may differ from the channel number shown to viewers. US channels are 2 to 36. The "
         "field that a receiver needs, in dBuV/m, is higher on higher channels because their "
         "aerials are smaller.",
     .formula = "channel {station.rf_channel:0}",
     .source = "47 CFR 73.603"},
    {.name = "station.erp_kw",
     .sentence = "The ERP is the power in kW that a half-wave dipole would need to radiate as "
                 "strongly in the main direction.",
     .paragraph =
         "It counts the horizontally polarised wave. Twice the power is 3 dB more field at every "
         "place. ERP is licensed. Compare e.i.r.p., which is 2.15 dB higher for the same signal.",
     .formula = "{station.erp_kw:1} kW = {erp_dbk:1} dB over 1 kW",
     .source = "ITU-R P.525"},
    {.name = "station.erp_vertical_kw",
     .sentence = "The vertical ERP is the power in kW sent with vertical polarisation; 0 is none.",
     .paragraph =
         "A part sent vertically helps small indoor aerials and moving receivers whose rods stand "
         "upright. The level here counts the stronger of the two parts.",
     .formula = "{station.erp_vertical_kw:1} kW vertical beside {station.erp_kw:1} kW horizontal",
     .source = "common practice"},
    {.name = "station.height_m",
     .sentence = "The height is that of the transmitting aerial over average terrain, in m.",
     .paragraph =
         "The horizon is farther from higher up. Beyond it the field falls fast. Often doubling "
         "the height helps far places more than doubling the power.",
     .formula =
         "horizon = 4.12 x (sqrt({station.height_m:0} m) + sqrt({place.receive_height_m:0} m)) = "
         "{horizon_km:1} km",
     .source = "radio horizon for 4/3 earth radius, common practice"},
    {.name = "station.distance_km",
     .sentence = "The distance is that from the station to the place, in km.",
     .paragraph =
         "In free space the field falls by 6 dB each time the distance doubles. Over ground and "
         "beyond the horizon it falls faster.",
     .formula = "free space: 106.92 + {erp_dbk:1} dB - 20 log10({station.distance_km:1} km) = "
                "{free_space_dbuvm:1} dBuV/m",
     .source = "ITU-R P.525"},
    {.name = "station.bearing_deg",
     .sentence =
         "The bearing is the direction in which the station lies from the place, in degrees "
         "clockwise from north.",
     .paragraph =
         "It counts where the aerial's own bearing is given, and where stations of one network are "
         "laid out on a map. none: not known.",
     .formula = "station at {station.bearing_deg:0} degrees",
     .source = "the profile"},
    {.name = "station.network",
     .sentence = "The network is the name that transmitters of one single-frequency network share.",
     .paragraph =
         "Stations of one generation and channel with the same name send the same signal at the "
         "same "
         "time: they do not disturb each other but arrive as rays of one channel, as late as their "
         "ways and static delays differ, and their powers add. What comes later than the guard "
         "interval disturbs.",
     .formula = "delay = (distance - distance of the first) / 0.2998 km per us + static delays",
     .source = "this project; EBU Technical Review 295"},
    {.name = "station.delay_us",
     .sentence = "The static delay is by how many us the transmitter sends later than its network.",
     .paragraph =
         "Planners set it so that the places where two transmitters are equally strong lie where "
         "their signals arrive together. Each microsecond moves these places by 150 m along the "
         "line between the two.",
     .formula = "{station.delay_us:1} us = {station_delay_km:2} km of path",
     .source = "speed of light, 299 792 458 m/s"},
    {.name = "station.terrain",
     .sentence = "The terrain file holds the ground's heights between the station and the place.",
     .paragraph =
         "A line of the text file has a distance from the station in km, from 0 on, and a height "
         "over the sea in m. It is named from the profile's folder. ITU-R P.1546 takes the "
         "aerial's height over the mean ground from it, and the clearance angle at the place. The "
         "station's height_m then counts above the ground at its foot. 1000 lines at most.",
     .formula = "a line: 1.5 212",
     .source = "ITU-R P.1546 Annex 5 sections 3 and 11"},
    {.name = "place.receive_height_m",
     .sentence = "The receiving height is that of the aerial above ground, in m.",
     .paragraph =
         "Planning assumes about 10 m, a roof. At 1.5 m the field is often 10 to 20 dB weaker, "
         "and more echoes come from all sides.",
     .formula = "{place.receive_height_m:1} m",
     .source = "Okumura-Hata model (1 to 10 m); 10 to 20 dB: common practice"},
    {.name = "place.building",
     .sentence = "The building says what stands between the aerial and the outside: none, "
                 "traditional or efficient.",
     .paragraph =
         "Thermally efficient buildings have metal-coated glass and foil in the walls, which costs "
         "far more signal than traditional ones. The loss is a median in dB. Single rooms differ "
         "by 10 dB and more.",
     .formula = "10 log10(10^(m1/10) + 10^(m2/10) + 10^(-0.3)), traditional: m1 = 12.64 + 3.72 "
                "log10(GHz) + 0.96 log10(GHz)^2 dB, m2 = 9.6 + 2.0 log10(GHz) dB; efficient: m1 = "
                "28.19 - 3.00 log10(GHz) + 8.48 log10(GHz)^2 dB, m2 = 13.5 + 3.8 log10(GHz) dB; at "
                "{site.center_mhz:1} MHz",
     .source = "ITU-R P.2109"},
    {.name = "place.entry_loss_db",
     .sentence = "The entry loss is what the building takes from the field, in dB.",
     .paragraph =
         "A measured value may be given here in place of the one that follows from the kind of "
         "building. Near a window that faces the station it can be close to 0 dB.",
     .formula = "given: {place.entry_loss_db:1} dB",
     .source = "ITU-R P.2109"},
    {.name = "place.location_percent",
     .sentence = "The share of locations says in how many places out of 100 the field must "
                 "suffice.",
     .paragraph =
         "The field varies from spot to spot by a spread of 5.5 dB. A prediction is the middle: "
         "half the spots have less. For 95 % of spots plan with 9 dB more. Other editions have "
         "other "
         "rules: 4.6 dB on roofs within 500 m by edition 3, 3.1 dB by edition 6 with terrain data, "
         "8 "
         "to 12 dB without.",
     .formula =
         "{place.location_percent:1} %; 70, 90, 95, 99 % take 0.52, 1.28, 1.64, 2.33 times 5.5 dB",
     .source = "ITU-R P.1546-3 Table 2 (broadcasting, digital); ITU GE06 planning practice"},
    {.name = "place.time_percent",
     .sentence = "The share of time says during how much of it the predicted field is exceeded, in "
                 "%.",
     .paragraph =
         "Now and then the air bends waves far beyond the horizon. What is exceeded for 10 % or 1 "
         "% "
         "of the time tells how strongly a distant station disturbs; what holds for 90 % tells "
         "whether one's own comes in. ITU-R P.1546 knows 1 to 50 %, the curves of 47 CFR 73.699 10 "
         "to "
         "90 %, the other methods the median alone.",
     .formula = "{place.time_percent:1} %, method {place.method}",
     .source = "ITU-R P.1546; 47 CFR 73.619(b), F(50,90)"},
    {.name = "place.surroundings",
     .sentence =
         "The surroundings say what stands around the receiving aerial: open, suburban, urban "
         "or dense.",
     .paragraph =
         "An aerial below the roofs around it gets what comes over them. ITU-R P.1546 takes houses "
         "of 10 m in open land and suburbs, 20 m in a town and 30 m in a dense one. At 1.5 m in a "
         "suburb the field is 12 to 18 dB weaker than at 10 m, from high VHF to UHF.",
     .formula = "{place.surroundings}, aerial at {place.receive_height_m:1} m",
     .source = "ITU-R P.1546 section 9; ITU-R P.1546-3 Annex 7 (Hata)"},
    {.name = "place.method",
     .sentence = "The method says how the field is predicted: auto, p1546, fcc, free-space, "
                 "smooth-earth or hata.",
     .paragraph =
         "ITU-R P.1546 is made of measurements over land and knows heights, surroundings and time: "
         "auto takes it where it holds, and says so. The curves of 47 CFR 73.699 are those that "
         "licences are judged by in the United States, for 9.1 m in the open; another height or "
         "other surroundings are corrected by P.1546's rule. Free space is the most that can "
         "arrive. Smooth earth adds the bend of the earth. Hata is a fit to measurements in towns, "
         "150 to 1500 MHz and up to 100 km. None knows your hills: expect errors of 10 dB.",
     .formula = "method: {place.method}",
     .source = "ITU-R P.1546, P.525, P.526; 47 CFR 73.699"},
    {.name = "place.bearing_deg",
     .sentence = "The bearing says where the receiving aerial points, in degrees clockwise from "
                 "north; none: it hears alike all round.",
     .paragraph =
         "It weakens stations that lie elsewhere, wanted and unwanted alike. A station of which no "
         "bearing is given is taken to lie ahead.",
     .formula = "aerial at {place.bearing_deg:0} degrees",
     .source = "ITU-R BT.419-3 (from memory)"},
    {.name = "place.front_to_back_db",
     .sentence =
         "The front-to-back ratio is how much less the aerial hears from behind, in dB; none: "
         "the planning curve of ITU-R BT.419.",
     .paragraph =
         "With a value the field falls as the fourth power of the cosine of the angle, down to "
         "this "
         "ratio. The United States plan with 10, 12 and 14 dB in low VHF, high VHF and UHF.",
     .formula = "{place.front_to_back_db:1} dB",
     .source = "FCC OET Bulletin 69 (from memory)"},
    {.name = "echo.delay_us",
     .sentence = "The delay says how many microseconds the echo comes after the main signal; "
                 "negative is ahead.",
     .paragraph =
         "Each microsecond is 0.2998 km of longer path. Rooms give tens of nanoseconds, hills "
         "tens of microseconds. In a network of several transmitters it may be some hundreds.",
     .formula = "{echo.delay_us:2} us = a path {echo_path_km:3} km longer",
     .source = "speed of light, 299 792 458 m/s"},
    {.name = "echo.level_db",
     .sentence = "The level is the echo's power over that of the main signal, in dB.",
     .paragraph =
         "At 0 dB both are equally strong and some carriers cancel fully. At -10 dB the dips and "
         "peaks across the channel are 5.7 dB apart at most. Positive levels are allowed.",
     .formula = "{echo.level_db:1} dB: carriers vary from {echo_dip_db:1} to {echo_peak_db:1} dB",
     .source = "two-ray sum: 20 log10(1 -/+ amplitude)"},
    {.name = "echo.phase_deg",
     .sentence = "The phase is that of the echo against the main signal at the middle "
                 "of the channel, in degrees.",
     .paragraph =
         "It decides whether a short echo adds or takes away, and it counts at the middle of the "
         "channel. Nobody knows it in a room, where every step changes it: any says so. With "
         "delays of many microseconds it hardly matters to OFDM.",
     .formula = "{echo.phase_deg:0} degrees",
     .source = "this project's convention"},
    {.name = "echo.doppler_hz",
     .sentence = "The Doppler is the frequency shift of the echo against the main signal, in Hz.",
     .paragraph =
         "It comes from motion of the receiver or of what reflects. A reflector moving towards "
         "both ends shifts by twice v f / c.",
     .formula =
         "{echo.doppler_hz:1} Hz at {site.center_mhz:1} MHz = {echo_kmh:1} km/h of change in "
         "path",
     .source = "fd = v f / c"},
};

const struct explain_table explain_settings_table = {rows, sizeof rows / sizeof rows[0]};
