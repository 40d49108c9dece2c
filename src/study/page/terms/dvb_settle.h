#ifndef STUDY_PAGE_TERMS_DVB_SETTLE_H
#define STUDY_PAGE_TERMS_DVB_SETTLE_H

#include "study/page/settling.h"

void dvb_settle(struct settling *s);

#endif
