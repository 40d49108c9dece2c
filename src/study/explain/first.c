/* Words about the channel's and the first generation's quantities: report and echo verdict. */
#include "study/explain/tables.h"

static const struct explanation rows[] = {
    {.name = "rf.channel",
     .title = "RF channel",
     .sentence = "The RF channel is the numbered slice of spectrum in use, 6 MHz wide in the US.",
     .paragraph =
         "It need not be the number that a receiver shows to viewers. It is unknown where only a "
         "centre frequency in MHz was given that fits no channel.",
     .formula = "RF {site.rf_channel:0} is centred at {site.center_mhz:1} MHz",
     .source = "47 CFR 73.603"},
    {.name = "rf.center_mhz",
     .title = "centre frequency",
     .sentence = "The centre frequency is the middle of the channel, in MHz.",
     .paragraph = "It turns Doppler in Hz into speed in km/h, and it sets the band.",
     .formula = "1 km/h at {site.center_mhz:1} MHz makes {hz_per_kmh:3} Hz",
     .source = "47 CFR 73.603"},
    {.name = "rf.band",
     .title = "band",
     .sentence = "The band is low VHF, high VHF or UHF: below 130 MHz, below 300 MHz, or above.",
     .paragraph =
         "Low VHF has much man-made noise and needs large aerials. UHF has small aerials, more "
         "loss in buildings and more Doppler. Planning factors are given by band.",
     .formula = "{site.center_mhz:1} MHz: {band}",
     .source = "47 CFR 73.603; FCC OET Bulletin 69"},
    {.name = "first.system",
     .title = "system",
     .sentence = "The first generation is 8-VSB in 6 MHz: one carrier with eight levels.",
     .paragraph =
         "Nothing can be chosen: one rate, one robustness. Symbols follow each other every 0.093 "
         "us, without a guard interval. Echoes are undone by the receiver's equaliser alone.",
     .formula = "{vsb_symbol_us:4} us a symbol, {first_net_mbps:2} Mbit/s",
     .source = "ATSC A/53 Part 2"},
    {.name = "first.net_mbps",
     .title = "net rate",
     .sentence = "The net rate of 8-VSB is fixed: 19.39 Mbit/s of transport packets.",
     .paragraph =
         "It follows from the symbol rate, the trellis code, the Reed-Solomon code and the sync "
         "segments. Robustness cannot be bought with it.",
     .formula = "10.762 Msymbols/s x 828/832 x 312/313 x 2 bits x 188/207 = "
                "{first_net_mbps:3} Mbit/s",
     .source = "ATSC A/53 Part 2"},
    {.name = "first.required_snr_db",
     .title = "required SNR",
     .sentence = "The required SNR of 8-VSB is its threshold of visible errors and what the "
                 "receiver's implementation takes, in dB.",
     .paragraph =
         "It counts the pilot as signal and assumes noise only. With echoes the equaliser makes "
         "the noise grow, and the SNR ahead of it must be higher.",
     .formula = "{first.threshold_db:1} dB + {first.implementation_loss_db:1} dB = "
                "{first.required_snr_db:1} dB",
     .source = "ATSC A/54A"},
    {.name = "first.echo_before_us",
     .title = "echo ahead",
     .sentence = "Echoes may come this many microseconds ahead of the main signal.",
     .paragraph = "It is the reach of the receiver's equaliser. The signal itself sets no limit.",
     .formula = "-{first.equaliser_before_us:1} us",
     .source = "a receiver's property: the profile's value"},
    {.name = "first.echo_after_us",
     .title = "echo behind",
     .sentence = "Echoes may come this many microseconds behind the main signal.",
     .paragraph = "It is the reach of the receiver's equaliser. Near 0 dB it withstands less.",
     .formula = "+{first.equaliser_after_us:1} us",
     .source = "a receiver's property: the profile's value"},
    {.name = "first.echo_km",
     .title = "longer path",
     .sentence = "The longer path is the detour of the latest echo within reach, in km.",
     .paragraph = "It is a difference of two paths, not a distance from the tower.",
     .formula = "0.299792 km/us x {first.equaliser_after_us:1} us = {after_km:1} km",
     .source = "speed of light, 299 792 458 m/s"},
    {.name = "first.doppler_hz",
     .title = "Doppler limit",
     .sentence = "The Doppler limit is the fastest change that the equaliser follows, in Hz.",
     .paragraph =
         "8-VSB was made for fixed aerials. Its limit is a property of the receiver, some Hz to "
         "some tens of Hz.",
     .formula = "{first.tracking_hz:1} Hz",
     .source = "common practice"},
    {.name = "first.speed_kmh",
     .title = "speed limit",
     .sentence = "The speed limit is the Doppler limit as a speed on this channel, in km/h.",
     .paragraph = "A reflector that moves reaches it at half of this speed.",
     .formula = "c x {first.tracking_hz:1} Hz / {site.center_mhz:1} MHz = {first_speed_kmh:0} km/h",
     .source = "v = c fd / f"},
    {.name = "first.field_dbuvm",
     .title = "field needed",
     .sentence = "The field needed is the field strength at which the required SNR is reached, in "
                 "dBuV/m.",
     .paragraph =
         "It assumes the planning factors of the band, a roof aerial among them, and no echoes. "
         "With 15 dB the classic values are 28, 36 and 41 dBuV/m in low VHF, high VHF and UHF. The "
         "rule since 2024 says 41 on all UHF channels; here a UHF field still follows its "
         "frequency, less by 20 log10(615 / f), as OET Bulletin 69 has it.",
     .formula = "{first.required_snr_db:1} dB C/N in {band} = {first.field_dbuvm:1} dBuV/m",
     .source = "FCC OET Bulletin 69; 47 CFR 73.622(e), 73.619(c)"},
    {.name = "first.output_snr_db",
     .title = "output SNR",
     .sentence = "The output SNR is what the equaliser leaves after undoing the echoes, in dB.",
     .paragraph =
         "The equaliser cancels echoes within its reach but makes the noise grow. Echoes outside "
         "its reach stay as interference. What wrong decisions, restless taps and the "
         "implementation cost is taken off. The pilot is counted as in the threshold.",
     .formula = "{first.output_snr_db:2} dB against {first.threshold_db:1} dB",
     .source = "decision-feedback equaliser, Cioffi et al., IEEE Trans. Commun. 43, 1995"},
    {.name = "first.works",
     .title = "works",
     .sentence = "Works says whether the SNR after the equaliser reaches the threshold.",
     .paragraph =
         "It is a prediction for the receiver that the profile describes. A margin below 1 "
         "dB is too close to call.",
     .formula = "{first.output_snr_db:2} dB against {first.threshold_db:1} dB",
     .source = "this project"},
};

const struct explain_table explain_first_table = {rows, sizeof rows / sizeof rows[0]};
