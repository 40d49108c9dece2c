#ifndef STUDY_PAGE_TERMS_ATSC_SETTLE_H
#define STUDY_PAGE_TERMS_ATSC_SETTLE_H

#include "study/page/settling.h"

void atsc_settle(struct settling *s);

#endif
