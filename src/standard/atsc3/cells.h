#ifndef STANDARD_ATSC3_CELLS_H
#define STANDARD_ATSC3_CELLS_H

#include "standard/atsc3/waveform.h"

/* Cells of symbols, and of the signalling. ATSC A/322:2024-04 sections 6.5, 7.2, 8, Annex F. */

/* All counts at once, so that who walks through many codes computes them once and hands them on. */
struct cell_counts {
    int carriers;
    int data;           /* data cells of a data symbol (Tables 7.3, 7.4) */
    int boundary_total; /* of a subframe boundary symbol */
    int boundary;       /* its active ones (Annex F) */
    int first_preamble; /* Table 7.2, c = 4 */
    int preamble;       /* Table 7.2, further preamble symbols */
};
struct cell_counts cells_count(const struct waveform *waveform);

int cells_data(const struct waveform *waveform);           /* of a data symbol (Tables 7.3, 7.4) */
int cells_boundary_total(const struct waveform *waveform); /* of a subframe boundary symbol */
int cells_boundary(const struct waveform *waveform);       /* its active ones (Annex F) */
int cells_first_preamble(const struct waveform *waveform); /* Table 7.2, c = 4 */
int cells_preamble(const struct waveform *waveform);       /* Table 7.2, further preamble symbols */

int cells_l1_basic(int l1_basic_mode);                       /* Table 6.17, modes 1..7 */
int cells_l1_detail(int l1_detail_mode, int l1_detail_bits); /* section 6.5.2.8 */

#endif
