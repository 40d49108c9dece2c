#ifndef PHYSICS_RECEIVER_H
#define PHYSICS_RECEIVER_H

/* What is known of the receivers and of the signal they report. Unknown values are NAN. */

enum man_made_noise {
    MAN_MADE_NONE,
    MAN_MADE_RURAL,
    MAN_MADE_RESIDENTIAL,
    MAN_MADE_CITY,
    MAN_MADE_COUNT
};

/* Ways to use a receiver (scenario/use.h). */
enum use {
    USE_NONE,
    USE_ROOFTOP,
    USE_PORTABLE_OUTDOOR,
    USE_PORTABLE_INDOOR,
    USE_HANDHELD,
    USE_MOBILE,
    USE_COUNT
};

#define POSITIONS_MAX 1024

struct receiver {
    enum use use;
    double noise_figure_db;
    enum man_made_noise man_made;
    double antenna_dbd;
    double line_loss_db;
    double snr_db;           /* measured: total received power over noise power; NAN: not known */
    double level_dbm;        /* measured level at the receiver's input; NAN: not known */
    double intercept_dbm;    /* third order, at the input */
    double speed_kmh;        /* 0: at rest */
    int positions;           /* how many are drawn where phases are any, 1..POSITIONS_MAX */
    double position_percent; /* share of them at which it must decode */
};

/* What an 8-VSB receiver's equaliser feeds back for the symbols it has decided: the best survivor
 * of their trellis decoder, the nearest level, or what was really sent, which no receiver knows. */
enum vsb_feedback { FEEDBACK_TRELLIS, FEEDBACK_SLICER, FEEDBACK_ERROR_FREE, FEEDBACK_COUNT };

/* A first-generation receiver: what its equaliser does. */
struct first_receiver {
    double threshold_db; /* S/N of the threshold of visibility, pilot counted as signal */
    double equaliser_before_us;
    double equaliser_after_us;
    double tracking_hz;     /* fastest echo that its equaliser follows */
    double adaptation_step; /* normalised LMS step (physics/vsb/adaptation.h); 0: ideal */
    double implementation_loss_db;
    enum vsb_feedback feedback;
};

#endif
