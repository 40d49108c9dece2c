/* The vocabulary of labels. A phrase is written as its atoms: "l 1 basic mode". Between its atoms a
 * page may have a space, a dash, an underscore, a slash, a full stop or nothing. */
#include <string.h>

#include "study/page/fields.h"

static const struct {
    const char *phrase;
    enum field field;
} labels[] = {
    {"parameter", FIELD_NOTHING},
    {"value", FIELD_NOTHING},
    {"unit", FIELD_NOTHING},
    {"setting", FIELD_NOTHING},
    {"item", FIELD_NOTHING},

    {"fft", FIELD_FFT},
    {"fft size", FIELD_FFT},
    {"fftsize", FIELD_FFT},
    {"fft mode", FIELD_FFT},
    {"fft length", FIELD_FFT},
    {"ifft", FIELD_FFT},
    {"ifft size", FIELD_FFT},
    {"transform size", FIELD_FFT},
    {"transmission mode", FIELD_FFT},
    {"carrier mode", FIELD_FFT},

    {"guard interval", FIELD_GUARD},
    {"guardinterval", FIELD_GUARD},
    {"guard interval length", FIELD_GUARD},
    {"guard int", FIELD_GUARD},
    {"guard", FIELD_GUARD},
    {"gi", FIELD_GUARD},
    {"gi length", FIELD_GUARD},
    {"cyclic prefix", FIELD_GUARD},

    {"scattered pilot pattern", FIELD_PILOTS},
    {"scattered pilots", FIELD_PILOTS},
    {"scattered pilot", FIELD_PILOTS},
    {"pilot pattern", FIELD_PILOTS},
    {"pilotpattern", FIELD_PILOTS},
    {"pilots", FIELD_PILOTS},
    {"pilot", FIELD_PILOTS},
    {"sp pattern", FIELD_PILOTS},
    {"sp", FIELD_PILOTS},

    {"pilot boost", FIELD_BOOST},
    {"pilot boosting", FIELD_BOOST},
    {"scattered pilot boost", FIELD_BOOST},
    {"sp boost", FIELD_BOOST},
    {"boost", FIELD_BOOST},
    {"pilot boost level", FIELD_BOOST},

    {"carrier reduction", FIELD_REDUCTION},
    {"carrier reduction coefficient", FIELD_REDUCTION},
    {"reduced carriers", FIELD_REDUCTION},
    {"reduced carrier coefficient", FIELD_REDUCTION},
    {"cred", FIELD_REDUCTION},
    {"cred coeff", FIELD_REDUCTION},
    {"c red", FIELD_REDUCTION},
    {"c red coeff", FIELD_REDUCTION},
    {"reduction", FIELD_REDUCTION},

    {"bandwidth", FIELD_BANDWIDTH},
    {"channel bandwidth", FIELD_BANDWIDTH},
    {"system bandwidth", FIELD_BANDWIDTH},
    {"channel width", FIELD_BANDWIDTH},
    {"bw", FIELD_BANDWIDTH},

    {"rf channel", FIELD_CHANNEL},
    {"rf ch", FIELD_CHANNEL},
    {"rfchannel", FIELD_CHANNEL},
    {"physical channel", FIELD_CHANNEL},
    {"phys ch", FIELD_CHANNEL},
    {"phys channel", FIELD_CHANNEL},
    {"channel", FIELD_CHANNEL},
    {"ch", FIELD_CHANNEL},
    {"chan", FIELD_CHANNEL},
    {"rf", FIELD_RF},
    {"virtual channel", FIELD_VIRTUAL},
    {"virtual", FIELD_VIRTUAL},
    {"major channel", FIELD_VIRTUAL},
    {"display channel", FIELD_VIRTUAL},
    {"virtual ch", FIELD_VIRTUAL},
    {"logical channel", FIELD_VIRTUAL},

    {"frequency", FIELD_FREQUENCY},
    {"freq", FIELD_FREQUENCY},
    {"centre frequency", FIELD_FREQUENCY},
    {"center frequency", FIELD_FREQUENCY},
    {"centre freq", FIELD_FREQUENCY},
    {"center freq", FIELD_FREQUENCY},
    {"rf frequency", FIELD_FREQUENCY},
    {"rf freq", FIELD_FREQUENCY},
    {"tuned frequency", FIELD_FREQUENCY},
    {"carrier frequency", FIELD_FREQUENCY},

    {"snr", FIELD_SNR},
    {"s n", FIELD_SNR},
    {"s n r", FIELD_SNR},
    {"sn ratio", FIELD_SNR},
    {"mer", FIELD_SNR},
    {"c n", FIELD_SNR},
    {"cn", FIELD_SNR},
    {"cnr", FIELD_SNR},
    {"c n ratio", FIELD_SNR},
    {"signal to noise", FIELD_SNR},
    {"signal to noise ratio", FIELD_SNR},
    {"signal noise ratio", FIELD_SNR},
    {"carrier to noise", FIELD_SNR},
    {"carrier to noise ratio", FIELD_SNR},
    {"modulation error ratio", FIELD_SNR},
    {"snr mer", FIELD_SNR},

    {"level", FIELD_LEVEL},
    {"signal level", FIELD_LEVEL},
    {"rf level", FIELD_LEVEL},
    {"input level", FIELD_LEVEL},
    {"rx level", FIELD_LEVEL},
    {"signal strength", FIELD_LEVEL},
    {"strength", FIELD_LEVEL},
    {"power", FIELD_LEVEL},
    {"signal power", FIELD_LEVEL},
    {"rf power", FIELD_LEVEL},
    {"rx power", FIELD_LEVEL},
    {"received power", FIELD_LEVEL},
    {"input power", FIELD_LEVEL},
    {"rssi", FIELD_LEVEL},
    {"quality", FIELD_QUALITY},
    {"signal quality", FIELD_QUALITY},
    {"sqi", FIELD_QUALITY},

    {"modulation", FIELD_CONSTELLATION},
    {"plp modulation", FIELD_CONSTELLATION},
    {"modulation type", FIELD_CONSTELLATION},
    {"mod", FIELD_CONSTELLATION},
    {"constellation", FIELD_CONSTELLATION},
    {"const", FIELD_CONSTELLATION},
    {"mapping", FIELD_CONSTELLATION},

    {"code rate", FIELD_RATE},
    {"coderate", FIELD_RATE},
    {"coding rate", FIELD_RATE},
    {"plp code rate", FIELD_RATE},
    {"ldpc rate", FIELD_RATE},
    {"ldpc code rate", FIELD_RATE},
    {"fec rate", FIELD_RATE},
    {"fec code rate", FIELD_RATE},
    {"rate", FIELD_RATE},
    {"cr", FIELD_RATE},
    {"cod", FIELD_RATE},

    {"code length", FIELD_LENGTH},
    {"codelength", FIELD_LENGTH},
    {"code size", FIELD_LENGTH},
    {"code block", FIELD_LENGTH},
    {"block length", FIELD_LENGTH},
    {"ldpc", FIELD_LENGTH},
    {"ldpc length", FIELD_LENGTH},
    {"ldpc size", FIELD_LENGTH},
    {"ldpc block", FIELD_LENGTH},
    {"ldpc code length", FIELD_LENGTH},
    {"fec", FIELD_LENGTH},
    {"fec type", FIELD_LENGTH},
    {"fec length", FIELD_LENGTH},
    {"fec size", FIELD_LENGTH},
    {"fec frame", FIELD_LENGTH},
    {"inner code", FIELD_LENGTH},
    {"outer code", FIELD_OUTER},
    {"outer fec", FIELD_OUTER},

    {"plp", FIELD_PLP},
    {"plp id", FIELD_PLP},
    {"plpid", FIELD_PLP},
    {"plp no", FIELD_PLP},
    {"plp number", FIELD_PLP},
    {"plp index", FIELD_PLP},
    {"pipe", FIELD_PLP},
    {"plps", FIELD_PLP_COUNT},
    {"number of plps", FIELD_PLP_COUNT},
    {"number of plp", FIELD_PLP_COUNT},
    {"num plp", FIELD_PLP_COUNT},
    {"num plps", FIELD_PLP_COUNT},
    {"plp count", FIELD_PLP_COUNT},
    {"subframe", FIELD_SUBFRAME},
    {"sub frame", FIELD_SUBFRAME},
    {"subframe id", FIELD_SUBFRAME},
    {"subframe index", FIELD_SUBFRAME},

    {"l 1 basic", FIELD_L1_BASIC},
    {"l 1 basic mode", FIELD_L1_BASIC},
    {"l 1 basic fec", FIELD_L1_BASIC},
    {"l 1 basic fec mode", FIELD_L1_BASIC},
    {"l 1 basic fec type", FIELD_L1_BASIC},
    {"l 1 b", FIELD_L1_BASIC},
    {"l 1 b mode", FIELD_L1_BASIC},
    {"l 1 b fec", FIELD_L1_BASIC},
    {"l 1 b fec type", FIELD_L1_BASIC},
    {"l 1 detail", FIELD_L1_DETAIL},
    {"l 1 detail mode", FIELD_L1_DETAIL},
    {"l 1 detail fec", FIELD_L1_DETAIL},
    {"l 1 detail fec mode", FIELD_L1_DETAIL},
    {"l 1 detail fec type", FIELD_L1_DETAIL},
    {"l 1 d", FIELD_L1_DETAIL},
    {"l 1 d mode", FIELD_L1_DETAIL},
    {"l 1 d fec", FIELD_L1_DETAIL},
    {"l 1 d fec type", FIELD_L1_DETAIL},
    {"l 1", FIELD_L1},
    {"l 1 mode", FIELD_L1},
    {"l 1 fec mode", FIELD_L1},
    {"signalling mode", FIELD_L1},
    {"signaling mode", FIELD_L1},

    {"first boundary symbol", FIELD_FIRST_BOUNDARY},
    {"first boundary", FIELD_FIRST_BOUNDARY},
    {"boundary symbol first", FIELD_FIRST_BOUNDARY},
    {"first sbs", FIELD_FIRST_BOUNDARY},
    {"sbs first", FIELD_FIRST_BOUNDARY},
    {"first subframe boundary symbol", FIELD_FIRST_BOUNDARY},
    {"last boundary symbol", FIELD_LAST_BOUNDARY},
    {"last boundary", FIELD_LAST_BOUNDARY},
    {"last sbs", FIELD_LAST_BOUNDARY},
    {"sbs last", FIELD_LAST_BOUNDARY},
    {"frame length", FIELD_FRAME},
    {"frame duration", FIELD_FRAME},
    {"frame time", FIELD_FRAME},
    {"frame", FIELD_FRAME},
    {"symbols", FIELD_SYMBOLS},
    {"data symbols", FIELD_SYMBOLS},
    {"ofdm symbols", FIELD_SYMBOLS},
    {"number of symbols", FIELD_SYMBOLS},
    {"num symbols", FIELD_SYMBOLS},
    {"carriers", FIELD_CARRIERS},
    {"number of carriers", FIELD_CARRIERS},
    {"noc", FIELD_CARRIERS},

    {"time interleaver", FIELD_INTERLEAVER},
    {"time interleaving", FIELD_INTERLEAVER},
    {"time interleaver mode", FIELD_INTERLEAVER},
    {"time interleaver depth", FIELD_INTERLEAVER},
    {"interleaver", FIELD_INTERLEAVER},
    {"interleaver depth", FIELD_INTERLEAVER},
    {"interleaving", FIELD_INTERLEAVER},
    {"ti", FIELD_INTERLEAVER},
    {"ti mode", FIELD_INTERLEAVER},
    {"ti depth", FIELD_INTERLEAVER},
    {"cti", FIELD_INTERLEAVER},
    {"cti depth", FIELD_INTERLEAVER},
    {"cti rows", FIELD_INTERLEAVER},

    {"system", FIELD_SYSTEM},
    {"standard", FIELD_SYSTEM},
    {"signal type", FIELD_SYSTEM},
    {"tv system", FIELD_SYSTEM},
    {"lock", FIELD_LOCK},
    {"locked", FIELD_LOCK},
    {"lock status", FIELD_LOCK},
    {"plp lock", FIELD_LOCK},
    {"demod lock", FIELD_LOCK},
    {"ber", FIELD_ERROR_RATE},
    {"bit error rate", FIELD_ERROR_RATE},
    {"pre ber", FIELD_ERROR_RATE},
    {"post ber", FIELD_ERROR_RATE},
    {"fer", FIELD_ERROR_RATE},
    {"per", FIELD_ERROR_RATE},
    {"frame error rate", FIELD_ERROR_RATE},
    {"packet error rate", FIELD_ERROR_RATE},
    {"errors", FIELD_ERRORS},
    {"packet errors", FIELD_ERRORS},
    {"block errors", FIELD_ERRORS},
    {"fec errors", FIELD_ERRORS},
    {"uncorrected", FIELD_ERRORS},
    {"uncorrected blocks", FIELD_ERRORS},
    {"bit rate", FIELD_BIT_RATE},
    {"bitrate", FIELD_BIT_RATE},
    {"data rate", FIELD_BIT_RATE},
    {"net rate", FIELD_BIT_RATE},
    {"throughput", FIELD_BIT_RATE},
    {"bsid", FIELD_IDENTITY},
    {"tsid", FIELD_IDENTITY},
    {"service id", FIELD_IDENTITY},
    {"station", FIELD_IDENTITY},
    {"service", FIELD_IDENTITY},
    {"call sign", FIELD_IDENTITY},
    {"callsign", FIELD_IDENTITY},
    {"firmware", FIELD_IDENTITY},
    {"miso", FIELD_UNMODELLED},
    {"ldm", FIELD_UNMODELLED},
    {"papr", FIELD_UNMODELLED},
    {"frequency interleaver", FIELD_UNMODELLED},
};

static const char *const noise[] = {"technical",
                                    "information",
                                    "info",
                                    "status",
                                    "tuner",
                                    "receiver",
                                    "details",
                                    "detail",
                                    "page",
                                    "diagnostics",
                                    "menu",
                                    "mode",
                                    "current",
                                    "the",
                                    "a",
                                    "of",
                                    "and",
                                    "is",
                                    "at",
                                    "with",
                                    "in",
                                    "for",
                                    "on",
                                    "signal",
                                    "physical",
                                    "layer",
                                    "size",
                                    "type",
                                    "data",
                                    "report",
                                    "reading",
                                    "readings",
                                    "overview",
                                    "screen",
                                    "tv",
                                    "ofdm",
                                    "yes",
                                    "ok",
                                    "good",
                                    "samples",
                                    "symbol",
                                    "us",
                                    "approx",
                                    "measured",
                                    "parameters",
                                    "transmission",
                                    "received",
                                    "channel",
                                    "frame",
                                    "config",
                                    "configuration",
                                    "summary",
                                    "n"};

bool word_is_noise(const char *word)
{
    for (size_t i = 0; i < sizeof noise / sizeof noise[0]; i++) {
        if (strcmp(noise[i], word) == 0) {
            return true;
        }
    }
    return false;
}

/* The phrase's next atom, as a word; its length. */
static size_t phrase_word(const char *phrase)
{
    return strcspn(phrase, " ");
}

static bool atom_is_part(const struct atom *atom, const char *word, size_t length)
{
    if (atom->kind == ATOM_WORD) {
        return strlen(atom->word) == length && memcmp(atom->word, word, length) == 0;
    }
    return atom->kind == ATOM_NUMBER && length == 1 && atom->whole &&
           atom->number == (double)(word[0] - '0');
}

/* Atoms that a phrase takes at `at`; 0 where it does not stand there. */
static int match(const char *phrase, const struct atom *atoms, int count, int at)
{
    int i = at;
    for (;;) {
        size_t length = phrase_word(phrase);
        if (i >= count || !atom_is_part(&atoms[i], phrase, length)) {
            return 0;
        }
        i++;
        if (phrase[length] == '\0') {
            return i - at;
        }
        phrase += length + 1;
        if (i < count && atoms[i].kind == ATOM_MARK && strchr("-_/.", atoms[i].mark)) {
            i++;
        }
    }
}

enum field label_at(const struct atom *atoms, int count, int at, int *taken)
{
    enum field field = FIELD_NOTHING;
    *taken = 0;
    if (atoms[at].kind != ATOM_WORD) {
        return field;
    }
    for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++) {
        if (labels[i].phrase[0] != atoms[at].word[0]) {
            continue;
        }
        int atoms_taken = match(labels[i].phrase, atoms, count, at);
        if (atoms_taken > *taken) {
            *taken = atoms_taken;
            field = labels[i].field;
        }
    }
    return field;
}
