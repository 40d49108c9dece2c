#ifndef STANDARD_OFDM_GRID_H
#define STANDARD_OFDM_GRID_H

/* What follows from an OFDM waveform of any system: times, carriers and pilots as plain numbers.
 * Made once from what was chosen, then handed on: it is all that physics sees of a waveform. */
struct ofdm_grid {
    double sample_rate_hz;
    double useful_us;    /* Tu, the FFT's span */
    double guard_us;     /* Tg */
    double symbol_us;    /* Tu + Tg */
    double spacing_hz;   /* 1 / Tu */
    int carriers;        /* active ones */
    double occupied_mhz; /* carriers times spacing */
    int dx, dy;          /* scattered pilots: carriers apart, and symbols until they come back */
    double pilot_power;  /* a scattered pilot's over a data cell's, ratio */
    double mean_power;   /* all active carriers' mean over a data cell's, ratio */
    double filter_us;    /* length of the filters by which transmitters of a network differ; 0: they
                            send alike. The guard interval above is what they leave of it */
};

#endif
