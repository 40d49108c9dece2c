#ifndef STUDY_PLACE_METHOD_H
#define STUDY_PLACE_METHOD_H

#include "physics/air/propagation.h"
#include "scenario/scenario.h"

/* The methods that predict a field, a row each. */

struct method {
    const char *title; /* "ITU-R P.1546" */
    double near_km;    /* between these it holds */
    double (*far_km)(double time_percent);
    double error_db; /* standard deviation to expect between prediction and measurement */
    double known_ground_error_db; /* the same where it has the ground's profile */
    double (*field_dbuvm)(const struct path *path, double erp_kw);
};

/* Of any method but METHOD_AUTO, which is a choice among them. */
const struct method *method_row(enum field_method method);

/* The method that the scenario asks for, or what takes its place on this path: where it is another
 * one than was asked for, `changed`, and `note` says why; so it does for a choice. */
struct method_choice {
    enum field_method method;
    bool changed;
    char note[256];
};
struct method_choice method_choose(enum field_method asked, const struct path *path);

double method_error_db(enum field_method method, const struct path *path);

/* NAN where the method does not reach. */
double method_field_dbuvm(enum field_method method, const struct path *path, double erp_kw);

#endif
