#ifndef PROOF_ANNEX_B_H
#define PROOF_ANNEX_B_H

/* The fixed channels of EN 300 744 annex B, used by the tool that simulates DVB-T in them and by
 * the test that holds it against the document's table. Table B.1: amplitude, delay in us, phase in
 * radians, read as exp(-j phase). F1 has a direct path besides, ten times as strong as all these
 * together; P1 has none. */
#define ANNEX_B_PATHS 20
static const double annex_b[ANNEX_B_PATHS][3] = {
    {0.057662, 1.003019, 4.855121}, {0.176809, 5.422091, 3.419109}, {0.407163, 0.518650, 5.864470},
    {0.303585, 2.751772, 2.215894}, {0.258782, 0.602895, 3.758058}, {0.061831, 1.016585, 5.430202},
    {0.150340, 0.143556, 3.952093}, {0.051534, 0.153832, 1.093586}, {0.185074, 3.324866, 5.775198},
    {0.400967, 1.935570, 0.154459}, {0.295723, 0.429948, 5.928383}, {0.350825, 3.228872, 3.053023},
    {0.262909, 0.848831, 0.628578}, {0.225894, 0.073883, 2.128544}, {0.170996, 0.203952, 1.099463},
    {0.149723, 0.194207, 3.462951}, {0.240140, 0.924450, 3.664773}, {0.116587, 1.381320, 2.833799},
    {0.221155, 0.640512, 3.334290}, {0.259730, 1.368671, 0.393889}};

#endif
