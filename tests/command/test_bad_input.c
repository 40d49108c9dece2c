#include "support/near.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "support/run.h"

/* What a user can get wrong: each ends with status 2, nothing on standard output, and a message
 * that names file, key and what is allowed. */

#define BYTES(text) text, sizeof text - 1

static const struct {
    const char *bytes;
    size_t count;
    const char *message; /* after "guardspan: FILE: " */
} profiles[] = {
    {BYTES("[mod]\nfft=8K\n"),
     "line 1: unknown section \"mod\" (site|mode|frame|subframe NAME|plp "
     "NAME|service NAME|dvbt|dvbt2|first|receiver|place|station NAME|echo NAME)"},
    {BYTES("[mode\nfft=8K\n"), "line 1: the section is not closed ([NAME] alone on its line)"},
    {BYTES("[]\nfft=8K\n"), "line 1: the section has no name ([NAME])"},
    {BYTES("[mode] fft=8K\n"), "line 1: the section is not closed ([NAME] alone on its line)"},
    {BYTES("fft=8K\n"), "line 1: a key before the first section (a [SECTION] line first)"},
    {BYTES("[mode]\nfft 8K\n"),
     "line 2: there is no = in it (KEY = VALUE, [SECTION] or ; comment)"},
    {BYTES("[mode]\n=8K\n"), "line 2: there is no key before = (KEY = VALUE)"},
    {BYTES("[mode]\nfft=\n"), "mode.fft: has no value (8K|16K|32K)"},
    {BYTES("[mode]\nfft=8\n"), "mode.fft: \"8\" is not one of the choices (8K|16K|32K)"},
    {BYTES("[mode]\nfft=8K\nfft=16K\n"),
     "mode.fft: stands twice, again in line 3 (once; first in line 2)"},
    {BYTES("[mode]\nfft=8K\n[Mode]\nboost=1\n"),
     "Mode: stands twice, again in line 3 (once; first in line 1)"},
    {BYTES("[mode]\nfft=\"8K\n"), "line 2: the quote is not closed (the same quote at the end)"},
    {BYTES("[mode]\nfft=\"8K\" 16K\n"),
     "line 2: text after the closing quote (a comment begins with ; or #)"},
    {BYTES("[mode]\nguard_interval=GI4_768\n"),
     "mode.guard_interval: unknown key "
     "(fft|guard|pilots|rate|constellation|length|boost|reduction|interleaver|outer|frame_ms|first_"
     "boundary|l1_basic_mode|l1_detail_mode|l1_detail_bits)"},
    {BYTES("[mode]\nguard=GI4\n"), "mode.guard: \"GI4\" is not one of the choices "
                                   "(GI1_192|GI2_384|GI3_512|GI4_768|GI5_1024|GI6_1536|GI7_2048|"
                                   "GI8_2432|GI9_3072|GI10_3648|GI11_4096|GI12_4864)"},
    {BYTES("[mode]\nguard=GI12_4864\n"), "mode.guard: GI12_4864 does not go with FFT 16K "
                                         "(GI1_192|GI2_384|GI3_512|GI4_768|GI5_1024|GI6_1536|GI7_"
                                         "2048|GI8_2432|GI9_3072|GI10_3648|GI11_4096)"},
    {BYTES("[mode]\npilots=SP3_2\n"),
     "mode.pilots: SP3_2 does not go with FFT 16K and guard GI5_1024 (SP6_2|SP6_4|SP12_2|SP12_4)"},
    {BYTES("[mode]\nboost=5\n"), "mode.boost: \"5\" is out of range (0 to 4)"},
    {BYTES("[mode]\nboost=-1\n"), "mode.boost: \"-1\" is out of range (0 to 4)"},
    {BYTES("[mode]\nboost=1.5\n"), "mode.boost: \"1.5\" is not a whole number (0 to 4)"},
    {BYTES("[mode]\nboost=two\n"), "mode.boost: \"two\" is not a whole number (0 to 4)"},
    {BYTES("[mode]\nreduction=9\n"), "mode.reduction: \"9\" is out of range (0 to 4)"},
    {BYTES("[mode]\nlength=64000\n"),
     "mode.length: \"64000\" is not one of the choices (64800|16200)"},
    {BYTES("[mode]\nlength=16200\nconstellation=1024QAM\n"),
     "mode.constellation: 1024QAM does not go with code length 16200 (QPSK|16QAM|64QAM|256QAM)"},
    {BYTES("[mode]\nrate=10\n"), "mode.rate: \"10\" is not a code rate (2/15 to 13/15)"},
    {BYTES("[mode]\nrate=00000000000000000010/15\n"),
     "mode.rate: \"00000000000000000010/15\" is not a code rate (2/15 to 13/15)"},
    {BYTES("[aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa]\n"),
     "line 1: the section's name is too long (at most 63 bytes)"},
    {BYTES("[mode]\naaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa=1\n"),
     "line 2: the key is too long (KEY = VALUE)"},
    {BYTES("[mode]\nrate=10/16\n"), "mode.rate: \"10/16\" is not a code rate (2/15 to 13/15)"},
    {BYTES("[mode]\nrate=14/15\n"), "mode.rate: \"14/15\" is out of range (2/15 to 13/15)"},
    {BYTES("[mode]\nrate=0x2/15\n"), "mode.rate: \"0x2/15\" is not a code rate (2/15 to 13/15)"},
    {BYTES("[mode]\nconstellation=8PSK\n"), "mode.constellation: \"8PSK\" is not one of the "
                                            "choices (QPSK|16QAM|64QAM|256QAM|1024QAM|4096QAM)"},
    {BYTES("[mode]\nouter=RS\n"), "mode.outer: \"RS\" is not one of the choices (BCH|CRC|none)"},
    {BYTES("[mode]\nframe_ms=49.9\n"), "mode.frame_ms: \"49.9\" is out of range (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=5001\n"), "mode.frame_ms: \"5001\" is out of range (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=nan\n"), "mode.frame_ms: \"nan\" is not a number (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=inf\n"), "mode.frame_ms: \"inf\" is not a number (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=0x50\n"), "mode.frame_ms: \"0x50\" is not a number (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=250 ms\n"),
     "mode.frame_ms: \"250 ms\" is not a number (50 to 5000 ms)"},
    {BYTES("[mode]\nframe_ms=2,5\n"), "mode.frame_ms: \"2,5\" is not a number (50 to 5000 ms)"},
    {BYTES("[mode]\nfirst_boundary=maybe\n"),
     "mode.first_boundary: \"maybe\" is neither yes nor no (yes|no)"},
    {BYTES("[mode]\nl1_basic_mode=0\n"), "mode.l1_basic_mode: \"0\" is out of range (1 to 7)"},
    {BYTES("[mode]\nl1_detail_mode=8\n"), "mode.l1_detail_mode: \"8\" is out of range (1 to 7)"},
    {BYTES("[mode]\nl1_detail_bits=100\n"),
     "mode.l1_detail_bits: \"100\" is out of range (200 to 65528 bits, or auto)"},
    {BYTES("[mode]\ninterleaver=CTI 1448\n"),
     "mode.interleaver: CTI 1448 is for QPSK only (none|CTI 512|CTI 724|CTI 887|CTI 1024|HTI 1 to "
     "HTI 16|HTI 2 inter to HTI 16 inter)"},
    {BYTES("[mode]\ninterleaver=CTI\n"),
     "mode.interleaver: \"CTI\" is not one of the choices (none|CTI 512|CTI 724|CTI 887|CTI "
     "1024|CTI 1254|CTI 1448|HTI 1 to HTI 16|HTI 2 inter to HTI 16 inter)"},
    {BYTES("[plp a]\nshare_percent=70\n[plp b]\nshare_percent=50\n"),
     "plp b.share_percent: its last cell would be number 1532221 (the subframe has 1276852 cells)"},
    {BYTES("[plp a]\ncells=100\n[plp b]\ncells=100\nstart=50\n"),
     "plp b.start: it overlaps another PLP (cells that a leaves)"},
    {BYTES("[plp a]\nlayer=enhanced\n"),
     "plp a.over: an enhanced PLP lies over a core PLP (a core PLP: there is none)"},
    {BYTES("[plp a]\n[plp b]\nlayer=enhanced\nover=c\n"), "plp b.over: \"c\" is no core PLP (a)"},
    {BYTES("[plp a]\n[plp b]\nlayer=enhanced\nover=a\ninjection_db=2.3\n"),
     "plp b.injection_db: 2.3 dB is not an injection level (0 to 5 dB by 0.5, 6 to 25 dB by 1)"},
    {BYTES("[plp a]\ninterleaver=HTI 1\n"), "plp a.interleaver: HTI 1 needs a memory of 1271700 "
                                            "cells (at most 524288 cells: more blocks a "
                                            "subframe, or fewer cells)"},
    {BYTES("[plp a]\ninterleaver=HTI 2\ncells=10000\n"),
     "plp a.cells: 10000 cells are not whole code blocks (a multiple of 8100 with HTI 2)"},
    {BYTES("[plp a]\ninterleaver=HTI 2\ncells=100\n"),
     "plp a.cells: nothing is left for it (room for a code block of 8100 cells, or less for "
     "others)"},
    {BYTES("[plp a]\nover=b\n[plp b]\n"),
     "plp a.over: a core PLP lies over none (layer = enhanced)"},
    {BYTES("[subframe s]\n[subframe t]\n[plp a]\nsubframe=s\n[plp b]\nsubframe=u\n[plp c]\n"
           "subframe=t\n"),
     "plp b.subframe: there is no subframe \"u\" (s|t)"},
    {BYTES("[plp a]\nsubframe=east\n"),
     "plp a.subframe: there is no subframe \"east\" (no name: there is only [mode]'s)"},
    {BYTES("[subframe s]\nsymbols=3\n"),
     "subframe s.symbols: 3 symbols are too short a subframe (at least 8 symbols of 2.519 ms)"},
    {BYTES("[subframe s]\n[subframe t]\n"),
     "subframe t: carries no PLP (a [plp NAME] with subframe = t)"},
    {BYTES("[subframe s]\nmiso=256\nguard=GI1_192\npilots=SP32_2\n"),
     "subframe s.miso: filters of 256 samples fill the guard interval of 192 (none, or a longer "
     "guard interval)"},
    {BYTES("[mode]\nrate=6/15\n[plp a]\n"),
     "mode.rate: stands beside [plp a] (either [plp a] or mode.rate)"},
    {BYTES("[subframe s]\n[mode]\nfft=8K\n"),
     "mode.fft: stands beside [subframe s] (either [subframe s] or mode.fft)"},
    {BYTES("[mode]\nframe_ms=200\n[frame]\nframe_ms=100\n"),
     "frame.frame_ms: stands beside mode.frame_ms (either mode.frame_ms or frame.frame_ms)"},
    {BYTES("[frame]\nalignment=time\nframe_ms=203\n[plp a]\n"),
     "frame.frame_ms: 203 ms is none that a frame aligned to time can last (a multiple of 5 ms)"},
    {BYTES("[site]\nrf_channel=1\n"), "site.rf_channel: \"1\" is out of range (2 to 36)"},
    {BYTES("[site]\nrf_channel=37\n"), "site.rf_channel: \"37\" is out of range (2 to 36)"},
    {BYTES("[site]\nrf_channel=10\ncenter_mhz=195\n"),
     "site.center_mhz: stands beside rf_channel (either rf_channel or center_mhz)"},
    {BYTES("[site]\ncenter_mhz=5000\n"),
     "site.center_mhz: \"5000\" is out of range (30 to 1000 MHz)"},
    {BYTES("[site]\nbandwidth_mhz=5\n"), "site.bandwidth_mhz: \"5\" is out of range (6|7|8 MHz)"},
    {BYTES("[site]\nbandwidth_mhz=6.5\n"),
     "site.bandwidth_mhz: \"6.5\" is not a whole number (6|7|8 MHz)"},
    {BYTES("[first]\nthreshold_db=99\n"),
     "first.threshold_db: \"99\" is out of range (0 to 40 dB)"},
    {BYTES("[first]\nequaliser_before_us=-1\n"),
     "first.equaliser_before_us: \"-1\" is out of range (0 to 100 us)"},
    {BYTES("[first]\nadaptation_step=2\n"),
     "first.adaptation_step: \"2\" is out of range (0 to 1)"},
    {BYTES("[receiver]\nnoise_figure_db=1e999\n"),
     "receiver.noise_figure_db: \"1e999\" is not a number (0 to 30 dB)"},
    {BYTES("[receiver]\nman_made=loud\n"),
     "receiver.man_made: \"loud\" is not one of the choices (none|rural|residential|city)"},
    {BYTES("[receiver]\nsnr_db=100\n"),
     "receiver.snr_db: \"100\" is out of range (-20 to 80 dB, or none)"},
    {BYTES("[receiver]\nlevel_dbm=--70\n"),
     "receiver.level_dbm: \"--70\" is not a number (-140 to 20 dBm, or none)"},
    {BYTES("[receiver]\nspeed_kmh=-3\n"),
     "receiver.speed_kmh: \"-3\" is out of range (0 to 1000 km/h)"},
    {BYTES("[place]\nlocation_percent=100\n"),
     "place.location_percent: \"100\" is out of range (50 to 99.9 %)"},
    {BYTES("[place]\nmethod=guess\n"), "place.method: \"guess\" is not one of the choices "
                                       "(auto|p1546|fcc|free-space|smooth-earth|hata)"},
    {BYTES("[place]\nmethod=p1546\ntime_percent=60\n"),
     "place.time_percent: 60 % is not known to method p1546 (1 to 50 %)"},
    {BYTES("[place]\nmethod=fcc\ntime_percent=5\n"),
     "place.time_percent: 5 % is not known to method fcc (10 to 90 %)"},
    {BYTES("[place]\nmethod=hata\ntime_percent=10\n"),
     "place.time_percent: 10 % is not known to method hata (50 %, or method auto, p1546 or fcc)"},
    {BYTES("[place]\nsurroundings=forest\n"),
     "place.surroundings: \"forest\" is not one of the choices (open|suburban|urban|dense)"},
    {BYTES("[place]\nbuilding=igloo\n"),
     "place.building: \"igloo\" is not one of the choices (none|traditional|efficient)"},
    {BYTES("[station]\nerp_kw=1\n"),
     "line 1: the section has no name (1 to 47 bytes of text without [ ] : ; # = \" ' \\)"},
    {BYTES("[station Pier]\nerp_kw=1\nheight_m=30\ndistance_km=4\n"),
     "station Pier.rf_channel: is missing (2 to 36)"},
    {BYTES("[station Pier]\nrf_channel=14\nheight_m=30\ndistance_km=4\n"),
     "station Pier.erp_kw: is missing (1e-06 to 10000 kW)"},
    {BYTES("[station Pier]\nrf_channel=14\nerp_kw=1\nheight_m=30\ndistance_km=0\n"),
     "station Pier.distance_km: \"0\" is out of range (0.01 to 1000 km)"},
    {BYTES("[station Pier]\ngeneration=third\n"),
     "station Pier.generation: \"third\" is not one of the choices (first|second)"},
    {BYTES("[echo]\ndelay_us=3\n"),
     "line 1: the section has no name (1 to 47 bytes of text without [ ] : ; # = \" ' \\)"},
    {BYTES("[echo hill]\ndelay_us=3\n"), "echo hill.level_db: is missing (-80 to 20 dB)"},
    {BYTES("[echo hill]\nlevel_db=-3\n"), "echo hill.delay_us: is missing (-10000 to 10000 us)"},
    {BYTES("[echo hill]\ndelay_us=30000\nlevel_db=-3\n"),
     "echo hill.delay_us: \"30000\" is out of range (-10000 to 10000 us)"},
    {BYTES("[echo hill]\ndelay_us=3\nlevel_db=21\n"),
     "echo hill.level_db: \"21\" is out of range (-80 to 20 dB)"},
    {BYTES("[echo hill]\ndelay_us=3\nlevel_db=-3\nphase_deg=400\n"),
     "echo hill.phase_deg: \"400\" is out of range (0 to 360 deg, or any)"},
    {BYTES("[echo hill]\ndelay_us=3\nlevel_db=-3\ngain=2\n"),
     "echo hill.gain: unknown key (delay_us|level_db|phase_deg|doppler_hz)"},
    {BYTES("[echo a.very.long.name.that.no.screen.could.ever.show.whole]\ndelay_us=3\n"),
     "line 1: \"a.very.long.name.that.no.screen.could.ever.show.whole\" is not a usable name (1 to "
     "47 bytes of text without [ ] : ; # = \" ' \\)"},
    {BYTES("[echo hill]\ndelay_us=3\nlevel_db=-3\n[ECHO Hill]\ndelay_us=4\nlevel_db=-3\n"),
     "ECHO Hill: stands twice, again in line 4 (once; first in line 1)"},
    {BYTES("[mode]\nfft=8K\\\n"), "line 2: a line must not end in \\ (each line by itself)"},
    {BYTES("; a comment \\\n[mode]\n"), "line 1: a line must not end in \\ (each line by itself)"},
    {BYTES("[mode]\nf ft=8K\n"), "line 2: a character that no key may have (a key is one word)"},
    {BYTES("[mode]\nfft=8K\x01\n"), "line 2: a control character (plain UTF-8 text)"},
    {BYTES("[mode]\nfft=\xff\xfe\n"), "line 2: bytes that are not UTF-8 (plain UTF-8 text)"},
    {BYTES("\x7f"
           "ELF\x02\x01\x01\x00\x00\x00"),
     "not a text file (plain UTF-8 text)"},
    {BYTES("[echo \xe2\x80\xae"
           "evil]\ndelay_us=1\n"),
     "line 1: a control character (plain UTF-8 text)"},
    {BYTES("[mode]\nmode.fft=8K\n"),
     "line 2: a character that no key may have (a key is one word)"},
    {BYTES("[echo a:b]\ndelay_us=1\n"),
     "line 1: a character that no section's name may have (no [ ] : ; # = \" ' \\)"},
};

static const struct {
    const char *arguments;
    const char *message; /* after "guardspan: "; the beginning is enough */
} options[] = {
    {"reprot", "\"reprot\" is neither a command nor a file (explore"},
    {"report --frobnicate",
     "report: unknown option --frobnicate (--set --format --help --version)"},
    {"report --format", "--format: needs a value (text|json|csv|markdown)"},
    {"report --format xml", "--format: no such format (text|json|csv|markdown)"},
    {"report --format=", "--format: no such format (text|json|csv|markdown)"},
    {"report --help=yes", "--help: takes no value (--help)"},
    {"report --set", "--set: needs a value (SECTION.KEY=VALUE)"},
    {"report --set mode.fft", "--set: there is no = in it (SECTION.KEY=VALUE)"},
    {"report --set =8K", "--set: there is no key before = (SECTION.KEY=VALUE)"},
    {"report --set fft=8K",
     "--set fft: is not a section and a key (SECTION.KEY=VALUE, e.g. mode.fft=16K)"},
    {"report --set mode.=8K",
     "--set mode.: is not a section and a key (SECTION.KEY=VALUE, e.g. mode.fft=16K)"},
    {"report --set .fft=8K",
     "--set .fft: is not a section and a key (SECTION.KEY=VALUE, e.g. mode.fft=16K)"},
    {"report --set mode.fft=9K", "--set mode.fft: \"9K\" is not one of the choices (8K|16K|32K)"},
    {"report --set mode.fft=", "--set mode.fft: has no value (8K|16K|32K)"},
    {"report --set mode.fast=1",
     "--set mode.fast: unknown key "
     "(fft|guard|pilots|rate|constellation|length|boost|reduction|interleaver|outer|frame_ms|first_"
     "boundary|l1_basic_mode|l1_detail_mode|l1_detail_bits)"},
    {"report --set modem.fft=8K", "--set modem.fft: unknown section \"modem\" "
                                  "(site|mode|frame|subframe NAME|plp NAME|service "
                                  "NAME|dvbt|dvbt2|first|receiver|place|station NAME|echo NAME)"},
    {"report --set mode.fft=8K --set site.pair=DVB",
     "--set mode.fft: pair DVB has no section [mode] (dvbt.fft|dvbt2.fft)"},
    {"report --set site.pair=DVB --set first.feedback=slicer",
     "--set first.feedback: pair DVB has no section [first] (plp NAME|dvbt|dvbt2)"},
    {"report --set dvbt2.fft=8K",
     "--set dvbt2.fft: pair ATSC has no section [dvbt2] (mode.fft|subframe NAME.fft)"},
    {"report --set mode.guard=GI9_3072",
     "mode.pilots: SP12_2 does not go with FFT 16K and guard GI9_3072 (SP4_2|SP4_4)"},
    {"report --set mode.guard=GI12_4864 --set mode.fft=8K",
     "mode.guard: GI12_4864 does not go with FFT 8K "
     "(GI1_192|GI2_384|GI3_512|GI4_768|GI5_1024|GI6_1536|GI7_2048)"},
    {"report --set echo%20hill.delay_us=12", "echo hill.level_db: is missing (-80 to 20 dB)"},
    {"report --set echo.delay_us=12", "--set echo.delay_us: the section has no name (1 to 47 bytes "
                                      "of text without [ ] : ; # = \" ' \\)"},
    {"report --set echo%20.delay_us=12", "--set echo .delay_us: the section has no name (1 to 47 "
                                         "bytes of text without [ ] : ; # = \" ' \\)"},
    {"report --set station%20Pier.rf_channel=99",
     "--set station Pier.rf_channel: \"99\" is out of range (2 to 36)"},
    {"report --set site.center_mhz=abc",
     "--set site.center_mhz: \"abc\" is not a number (30 to 1000 MHz)"},
    {"report --set receiver.snr_db=1e9",
     "--set receiver.snr_db: \"1e9\" is out of range (-20 to 80 dB, or none)"},
    {"report --set "
     "mode."
     "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"
     "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa=1",
     "--set: the key is too long (SECTION.KEY=VALUE)"},
    {"report a.ini b.ini", "report: one operand too many: \"b.ini\" ([PROFILE])"},
    {"report -x", "report: unknown option -x (--set --format --help --version)"},
    {"report --Set mode.fft=8K", "report: unknown option --Set (--set --format --help --version)"},
    {"report --format json --format yaml", "--format: no such format (text|json|csv|markdown)"},
    {"explore --profile a.ini", "explore: unknown option --profile (--"},
    {"--format=pdf report", "--format: no such format (text|json|csv|markdown)"},
    {"--nothing", "explore: unknown option --nothing (--"},
    {"report --set mode.frame_ms=50 --set mode.l1_detail_bits=6312 --set mode.fft=8K --set "
     "mode.guard=GI1_192 --set mode.pilots=SP32_2 --set mode.frame_ms=0",
     "--set mode.frame_ms: \"0\" is out of range (50 to 5000 ms)"},
};

static void assert_refused(const char *what, struct run *run, const char *prefix,
                           const char *message, bool whole)
{
    size_t skip = strlen(prefix), length = strlen(message);
    bool right = run->status == 2 && run->out_length == 0 && run->err &&
                 strncmp(run->err, prefix, skip) == 0 &&
                 strncmp(run->err + skip, message, length) == 0 &&
                 (!whole || strcmp(run->err + skip + length, "\n") == 0) &&
                 strchr(run->err, '\n') == run->err + strlen(run->err) - 1;
    if (!right) {
        print_error("%s: status %d, %zu bytes of output, message:\n%sexpected:\n%s%s\n", what,
                    run->status, run->out_length, run->err ? run->err : "(none)\n", prefix,
                    message);
        fail();
    }
}

static void bad_profiles_name_file_key_and_what_is_allowed(void **state)
{
    (void)state;
    run_enter_folder();
    for (size_t i = 0; i < sizeof profiles / sizeof profiles[0]; i++) {
        run_write_file("bad.ini", profiles[i].bytes, profiles[i].count);
        struct run run = run_line("report bad.ini");
        assert_refused(profiles[i].bytes, &run, "guardspan: bad.ini: ", profiles[i].message, true);
        assert_non_null(strchr(profiles[i].message, '('));
        run_free(&run);
    }
    run_leave_folder();
}

static void bad_options_name_what_is_allowed(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++) {
        struct run run = run_line(options[i].arguments);
        assert_refused(options[i].arguments, &run, "guardspan: ", options[i].message, false);
        assert_non_null(strchr(options[i].message, '('));
        run_free(&run);
    }
}

static void too_much_of_anything_is_refused(void **state)
{
    (void)state;
    static char bytes[400000];
    run_enter_folder();
    memset(bytes, ';', sizeof bytes);
    for (size_t i = 100; i < sizeof bytes; i += 100) {
        bytes[i] = '\n';
    }
    run_write_file("bad.ini", bytes, sizeof bytes);
    struct run run = run_line("report bad.ini");
    assert_refused("large file", &run,
                   "guardspan: bad.ini: ", "the file is too large (at most 262144 bytes)", true);
    run_free(&run);

    memset(bytes, ';', 501);
    run_write_file("bad.ini", bytes, 501);
    run = run_line("report bad.ini");
    assert_refused("long line", &run,
                   "guardspan: bad.ini: ", "line 1: the line is too long (at most 500 bytes)",
                   true);
    run_free(&run);

    size_t count = 0;
    for (int i = 0; i < 257; i++) {
        count += (size_t)sprintf(bytes + count, "[echo e%d]\ndelay_us=%d\nlevel_db=-9\n", i, i);
    }
    run_write_file("bad.ini", bytes, count);
    run = run_line("report bad.ini");
    assert_refused("echoes", &run,
                   "guardspan: bad.ini: ", "line 769: one echo too many (at most 256)", true);
    run_free(&run);

    count = 0;
    for (int i = 0; i < 65; i++) {
        count += (size_t)sprintf(bytes + count, "[plp p%d]\nrate=5/15\n", i);
    }
    run_write_file("bad.ini", bytes, count);
    run = run_line("report bad.ini");
    assert_refused("PLPs", &run, "guardspan: bad.ini: ", "line 129: one plp too many (at most 64)",
                   true);
    run_free(&run);

    count = 0;
    for (int i = 0; i < 9; i++) {
        count += (size_t)sprintf(bytes + count,
                                 "[station s%d]\nrf_channel=14\nerp_kw=1\nheight_m=9\n"
                                 "distance_km=9\n",
                                 i);
    }
    run_write_file("bad.ini", bytes, count);
    run = run_line("report bad.ini");
    assert_refused("stations", &run,
                   "guardspan: bad.ini: ", "line 41: one station too many (at most 8)", true);
    run_free(&run);
    run_leave_folder();
}

static void a_file_that_cannot_be_read_fails_with_the_reason(void **state)
{
    (void)state;
    static const char *const cases[][2] = {
        {"report /nowhere/at/all.ini",
         "guardspan: /nowhere/at/all.ini: cannot be read: No such file or directory\n"},
        {"report /", "guardspan: /: cannot be read: Is a directory\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct run run = run_line(cases[i][0]);
        assert_int_equal(run.status, 1);
        assert_int_equal(run.out_length, 0);
        assert_string_equal(run.err, cases[i][1]);
        run_free(&run);
    }
}

static void messages_carry_no_control_characters(void **state)
{
    (void)state;
    char program[] = "guardspan", report[] = "report", set[] = "--set";
    char value[] = "mode.fft=\033[31m\xff\n8K", name[] = "a\033]0;b\a.ini";
    char *with_value[] = {program, report, set, value, NULL};
    struct run run = run_arguments(4, with_value);
    assert_int_equal(run.status, 2);
    assert_string_equal(run.err, "guardspan: --set mode.fft: \"?[31m??8K\" is not one of the "
                                 "choices (8K|16K|32K)\n");
    run_free(&run);
    char *with_name[] = {program, report, name, NULL};
    run = run_arguments(3, with_name);
    assert_int_equal(run.status, 1);
    assert_string_equal(run.err,
                        "guardspan: a?]0;b?.ini: cannot be read: No such file or directory\n");
    run_free(&run);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(bad_profiles_name_file_key_and_what_is_allowed),
        cmocka_unit_test(bad_options_name_what_is_allowed),
        cmocka_unit_test(too_much_of_anything_is_refused),
        cmocka_unit_test(a_file_that_cannot_be_read_fails_with_the_reason),
        cmocka_unit_test(messages_carry_no_control_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
