/* The vocabulary of labels. A phrase is written as its atoms: "l 1 basic mode". Between its atoms a
 * page may have a space, a dash, an underscore, a slash, a full stop or nothing. */
#include <string.h>

#include "study/page/topics.h"

static const struct {
    const char *phrase;
    enum topic topic;
} labels[] = {
    {"parameter", TOPIC_NOTHING},
    {"value", TOPIC_NOTHING},
    {"unit", TOPIC_NOTHING},
    {"setting", TOPIC_NOTHING},
    {"item", TOPIC_NOTHING},

    {"fft", TOPIC_FFT},
    {"fft size", TOPIC_FFT},
    {"fftsize", TOPIC_FFT},
    {"fft mode", TOPIC_FFT},
    {"fft length", TOPIC_FFT},
    {"ifft", TOPIC_FFT},
    {"ifft size", TOPIC_FFT},
    {"transform size", TOPIC_FFT},
    {"transmission mode", TOPIC_FFT},
    {"carrier mode", TOPIC_FFT},

    {"guard interval", TOPIC_GUARD},
    {"guardinterval", TOPIC_GUARD},
    {"guard interval length", TOPIC_GUARD},
    {"guard int", TOPIC_GUARD},
    {"guard", TOPIC_GUARD},
    {"gi", TOPIC_GUARD},
    {"gi length", TOPIC_GUARD},
    {"cyclic prefix", TOPIC_GUARD},

    {"scattered pilot pattern", TOPIC_PILOTS},
    {"scattered pilots", TOPIC_PILOTS},
    {"scattered pilot", TOPIC_PILOTS},
    {"pilot pattern", TOPIC_PILOTS},
    {"pilotpattern", TOPIC_PILOTS},
    {"pilots", TOPIC_PILOTS},
    {"pilot", TOPIC_PILOTS},
    {"sp pattern", TOPIC_PILOTS},
    {"sp", TOPIC_PILOTS},

    {"pilot boost", TOPIC_BOOST},
    {"pilot boosting", TOPIC_BOOST},
    {"scattered pilot boost", TOPIC_BOOST},
    {"sp boost", TOPIC_BOOST},
    {"boost", TOPIC_BOOST},
    {"pilot boost level", TOPIC_BOOST},

    {"carrier reduction", TOPIC_REDUCTION},
    {"carrier reduction coefficient", TOPIC_REDUCTION},
    {"reduced carriers", TOPIC_REDUCTION},
    {"reduced carrier coefficient", TOPIC_REDUCTION},
    {"cred", TOPIC_REDUCTION},
    {"cred coeff", TOPIC_REDUCTION},
    {"c red", TOPIC_REDUCTION},
    {"c red coeff", TOPIC_REDUCTION},
    {"reduction", TOPIC_REDUCTION},

    {"bandwidth", TOPIC_BANDWIDTH},
    {"channel bandwidth", TOPIC_BANDWIDTH},
    {"system bandwidth", TOPIC_BANDWIDTH},
    {"channel width", TOPIC_BANDWIDTH},
    {"bw", TOPIC_BANDWIDTH},

    {"rf channel", TOPIC_CHANNEL},
    {"rf ch", TOPIC_CHANNEL},
    {"rfchannel", TOPIC_CHANNEL},
    {"physical channel", TOPIC_CHANNEL},
    {"phys ch", TOPIC_CHANNEL},
    {"phys channel", TOPIC_CHANNEL},
    {"channel", TOPIC_CHANNEL},
    {"ch", TOPIC_CHANNEL},
    {"chan", TOPIC_CHANNEL},
    {"rf", TOPIC_RF},
    {"virtual channel", TOPIC_VIRTUAL},
    {"virtual", TOPIC_VIRTUAL},
    {"major channel", TOPIC_VIRTUAL},
    {"display channel", TOPIC_VIRTUAL},
    {"virtual ch", TOPIC_VIRTUAL},
    {"logical channel", TOPIC_VIRTUAL},

    {"frequency", TOPIC_FREQUENCY},
    {"freq", TOPIC_FREQUENCY},
    {"centre frequency", TOPIC_FREQUENCY},
    {"center frequency", TOPIC_FREQUENCY},
    {"centre freq", TOPIC_FREQUENCY},
    {"center freq", TOPIC_FREQUENCY},
    {"rf frequency", TOPIC_FREQUENCY},
    {"rf freq", TOPIC_FREQUENCY},
    {"tuned frequency", TOPIC_FREQUENCY},
    {"carrier frequency", TOPIC_FREQUENCY},

    {"snr", TOPIC_SNR},
    {"s n", TOPIC_SNR},
    {"s n r", TOPIC_SNR},
    {"sn ratio", TOPIC_SNR},
    {"mer", TOPIC_SNR},
    {"c n", TOPIC_SNR},
    {"cn", TOPIC_SNR},
    {"cnr", TOPIC_SNR},
    {"c n ratio", TOPIC_SNR},
    {"signal to noise", TOPIC_SNR},
    {"signal to noise ratio", TOPIC_SNR},
    {"signal noise ratio", TOPIC_SNR},
    {"carrier to noise", TOPIC_SNR},
    {"carrier to noise ratio", TOPIC_SNR},
    {"modulation error ratio", TOPIC_SNR},
    {"snr mer", TOPIC_SNR},

    {"level", TOPIC_LEVEL},
    {"signal level", TOPIC_LEVEL},
    {"rf level", TOPIC_LEVEL},
    {"input level", TOPIC_LEVEL},
    {"rx level", TOPIC_LEVEL},
    {"signal strength", TOPIC_LEVEL},
    {"strength", TOPIC_LEVEL},
    {"power", TOPIC_LEVEL},
    {"signal power", TOPIC_LEVEL},
    {"rf power", TOPIC_LEVEL},
    {"rx power", TOPIC_LEVEL},
    {"received power", TOPIC_LEVEL},
    {"input power", TOPIC_LEVEL},
    {"rssi", TOPIC_LEVEL},
    {"quality", TOPIC_QUALITY},
    {"signal quality", TOPIC_QUALITY},
    {"sqi", TOPIC_QUALITY},

    {"modulation", TOPIC_CONSTELLATION},
    {"plp modulation", TOPIC_CONSTELLATION},
    {"modulation type", TOPIC_CONSTELLATION},
    {"mod", TOPIC_CONSTELLATION},
    {"constellation", TOPIC_CONSTELLATION},
    {"const", TOPIC_CONSTELLATION},
    {"mapping", TOPIC_CONSTELLATION},

    {"code rate", TOPIC_RATE},
    {"coderate", TOPIC_RATE},
    {"coding rate", TOPIC_RATE},
    {"plp code rate", TOPIC_RATE},
    {"ldpc rate", TOPIC_RATE},
    {"ldpc code rate", TOPIC_RATE},
    {"fec rate", TOPIC_RATE},
    {"fec code rate", TOPIC_RATE},
    {"rate", TOPIC_RATE},
    {"cr", TOPIC_RATE},
    {"cod", TOPIC_RATE},

    {"code length", TOPIC_LENGTH},
    {"codelength", TOPIC_LENGTH},
    {"code size", TOPIC_LENGTH},
    {"code block", TOPIC_LENGTH},
    {"block length", TOPIC_LENGTH},
    {"ldpc", TOPIC_LENGTH},
    {"ldpc length", TOPIC_LENGTH},
    {"ldpc size", TOPIC_LENGTH},
    {"ldpc block", TOPIC_LENGTH},
    {"ldpc code length", TOPIC_LENGTH},
    {"fec", TOPIC_LENGTH},
    {"fec type", TOPIC_LENGTH},
    {"fec length", TOPIC_LENGTH},
    {"fec size", TOPIC_LENGTH},
    {"fec frame", TOPIC_LENGTH},
    {"inner code", TOPIC_LENGTH},
    {"outer code", TOPIC_OUTER},
    {"outer fec", TOPIC_OUTER},

    {"plp", TOPIC_PLP},
    {"plp id", TOPIC_PLP},
    {"plpid", TOPIC_PLP},
    {"plp no", TOPIC_PLP},
    {"plp number", TOPIC_PLP},
    {"plp index", TOPIC_PLP},
    {"pipe", TOPIC_PLP},
    {"plps", TOPIC_PLP_COUNT},
    {"number of plps", TOPIC_PLP_COUNT},
    {"number of plp", TOPIC_PLP_COUNT},
    {"num plp", TOPIC_PLP_COUNT},
    {"num plps", TOPIC_PLP_COUNT},
    {"plp count", TOPIC_PLP_COUNT},
    {"subframe", TOPIC_SUBFRAME},
    {"sub frame", TOPIC_SUBFRAME},
    {"subframe id", TOPIC_SUBFRAME},
    {"subframe index", TOPIC_SUBFRAME},

    {"l 1 basic", TOPIC_L1_BASIC},
    {"l 1 basic mode", TOPIC_L1_BASIC},
    {"l 1 basic fec", TOPIC_L1_BASIC},
    {"l 1 basic fec mode", TOPIC_L1_BASIC},
    {"l 1 basic fec type", TOPIC_L1_BASIC},
    {"l 1 b", TOPIC_L1_BASIC},
    {"l 1 b mode", TOPIC_L1_BASIC},
    {"l 1 b fec", TOPIC_L1_BASIC},
    {"l 1 b fec type", TOPIC_L1_BASIC},
    {"l 1 detail", TOPIC_L1_DETAIL},
    {"l 1 detail mode", TOPIC_L1_DETAIL},
    {"l 1 detail fec", TOPIC_L1_DETAIL},
    {"l 1 detail fec mode", TOPIC_L1_DETAIL},
    {"l 1 detail fec type", TOPIC_L1_DETAIL},
    {"l 1 d", TOPIC_L1_DETAIL},
    {"l 1 d mode", TOPIC_L1_DETAIL},
    {"l 1 d fec", TOPIC_L1_DETAIL},
    {"l 1 d fec type", TOPIC_L1_DETAIL},
    {"l 1", TOPIC_L1},
    {"l 1 mode", TOPIC_L1},
    {"l 1 fec mode", TOPIC_L1},
    {"signalling mode", TOPIC_L1},
    {"signaling mode", TOPIC_L1},

    {"first boundary symbol", TOPIC_FIRST_BOUNDARY},
    {"first boundary", TOPIC_FIRST_BOUNDARY},
    {"boundary symbol first", TOPIC_FIRST_BOUNDARY},
    {"first sbs", TOPIC_FIRST_BOUNDARY},
    {"sbs first", TOPIC_FIRST_BOUNDARY},
    {"first subframe boundary symbol", TOPIC_FIRST_BOUNDARY},
    {"last boundary symbol", TOPIC_LAST_BOUNDARY},
    {"last boundary", TOPIC_LAST_BOUNDARY},
    {"last sbs", TOPIC_LAST_BOUNDARY},
    {"sbs last", TOPIC_LAST_BOUNDARY},
    {"frame length", TOPIC_FRAME},
    {"frame duration", TOPIC_FRAME},
    {"frame time", TOPIC_FRAME},
    {"frame", TOPIC_FRAME},
    {"symbols", TOPIC_SYMBOLS},
    {"data symbols", TOPIC_SYMBOLS},
    {"ofdm symbols", TOPIC_SYMBOLS},
    {"number of symbols", TOPIC_SYMBOLS},
    {"num symbols", TOPIC_SYMBOLS},
    {"carriers", TOPIC_CARRIERS},
    {"number of carriers", TOPIC_CARRIERS},
    {"noc", TOPIC_CARRIERS},

    {"time interleaver", TOPIC_INTERLEAVER},
    {"time interleaving", TOPIC_INTERLEAVER},
    {"time interleaver mode", TOPIC_INTERLEAVER},
    {"time interleaver depth", TOPIC_INTERLEAVER},
    {"interleaver", TOPIC_INTERLEAVER},
    {"interleaver depth", TOPIC_INTERLEAVER},
    {"interleaving", TOPIC_INTERLEAVER},
    {"ti", TOPIC_INTERLEAVER},
    {"ti mode", TOPIC_INTERLEAVER},
    {"ti depth", TOPIC_INTERLEAVER},
    {"cti", TOPIC_INTERLEAVER},
    {"cti depth", TOPIC_INTERLEAVER},
    {"cti rows", TOPIC_INTERLEAVER},

    {"system", TOPIC_SYSTEM},
    {"standard", TOPIC_SYSTEM},
    {"signal type", TOPIC_SYSTEM},
    {"tv system", TOPIC_SYSTEM},
    {"lock", TOPIC_LOCK},
    {"locked", TOPIC_LOCK},
    {"lock status", TOPIC_LOCK},
    {"plp lock", TOPIC_LOCK},
    {"demod lock", TOPIC_LOCK},
    {"ber", TOPIC_ERROR_RATE},
    {"bit error rate", TOPIC_ERROR_RATE},
    {"pre ber", TOPIC_ERROR_RATE},
    {"post ber", TOPIC_ERROR_RATE},
    {"fer", TOPIC_ERROR_RATE},
    {"per", TOPIC_ERROR_RATE},
    {"frame error rate", TOPIC_ERROR_RATE},
    {"packet error rate", TOPIC_ERROR_RATE},
    {"errors", TOPIC_ERRORS},
    {"packet errors", TOPIC_ERRORS},
    {"block errors", TOPIC_ERRORS},
    {"fec errors", TOPIC_ERRORS},
    {"uncorrected", TOPIC_ERRORS},
    {"uncorrected blocks", TOPIC_ERRORS},
    {"bit rate", TOPIC_BIT_RATE},
    {"bitrate", TOPIC_BIT_RATE},
    {"data rate", TOPIC_BIT_RATE},
    {"net rate", TOPIC_BIT_RATE},
    {"throughput", TOPIC_BIT_RATE},
    {"bsid", TOPIC_IDENTITY},
    {"tsid", TOPIC_IDENTITY},
    {"service id", TOPIC_IDENTITY},
    {"station", TOPIC_IDENTITY},
    {"service", TOPIC_IDENTITY},
    {"call sign", TOPIC_IDENTITY},
    {"callsign", TOPIC_IDENTITY},
    {"firmware", TOPIC_IDENTITY},
    {"miso", TOPIC_UNMODELLED},
    {"ldm", TOPIC_UNMODELLED},
    {"papr", TOPIC_UNMODELLED},
    {"frequency interleaver", TOPIC_UNMODELLED},
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

enum topic label_at(const struct atom *atoms, int count, int at, int *taken)
{
    enum topic topic = TOPIC_NOTHING;
    *taken = 0;
    if (atoms[at].kind != ATOM_WORD) {
        return topic;
    }
    for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++) {
        if (labels[i].phrase[0] != atoms[at].word[0]) {
            continue;
        }
        int atoms_taken = match(labels[i].phrase, atoms, count, at);
        if (atoms_taken > *taken) {
            *taken = atoms_taken;
            topic = labels[i].topic;
        }
    }
    return topic;
}
