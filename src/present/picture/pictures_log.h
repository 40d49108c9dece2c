#ifndef PRESENT_PICTURE_PICTURES_LOG_H
#define PRESENT_PICTURE_PICTURES_LOG_H

#include "present/picture/pictures.h"

/* Readings over time with what both generations need. */
bool pictures_log_readings(const struct picture_case *shown, struct picture *out);

#endif
