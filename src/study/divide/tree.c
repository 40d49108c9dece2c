/* What only a system with subframes and layers needs of a division: the tree of A/322. */
#include "standard/atsc3/grid.h"
#include "standard/atsc3/signalling.h"
#include "study/divide/space.h"
#include "system/space/atsc3.h"

int divide_detail_bits(const struct divide_space *space, enum division_kind kind)
{
    struct transmission transmission;
    int said = space->base->signalling.l1_detail_bits;
    divide_template(space, kind, &transmission);
    for (int i = 0; i < transmission.plp_count; i++) {
        transmission.plps[i].code.constellation = QPSK; /* takes a bit more to tell */
    }
    return said > 0 ? said : signalling_detail_bits(&transmission);
}

void divide_template(const struct divide_space *space, enum division_kind kind,
                     struct transmission *transmission)
{
    *transmission = *space->base;
    transmission->plp_count = space->count;
    for (int i = 0; i < transmission->plp_count; i++) {
        struct plp *plp = &transmission->plps[i];
        *plp = space->base->plps[0];
        text_format(plp->name, sizeof plp->name, "%s", space->scenario->services[i].name);
    }
    if (kind == DIVISION_SUBFRAMES) {
        transmission->subframe_count = space->count;
        for (int i = 0; i < space->count; i++) {
            struct subframe *subframe = &transmission->subframes[i];
            *subframe = space->base->subframes[0];
            text_format(subframe->name, sizeof subframe->name, "%s",
                        space->scenario->services[i].name);
            text_format(transmission->plps[i].subframe, NAME_MAX_BYTES, "%s", subframe->name);
        }
    }
}

/* The frame of one subframe that the kind has, with signalling for it. */
static bool build_frame(const struct divide_space *space, enum division_kind kind,
                        const struct divide_geometry *geometry, struct transmission *transmission,
                        struct frame *frame)
{
    *transmission = *space->base;
    atsc3_space_waveform(&geometry->own, &transmission->subframes[0].waveform);
    transmission->signalling.l1_detail_bits = divide_detail_bits(space, kind);
    return frame_build(transmission, frame, NULL) == STATUS_OK;
}

void divide_fill_tree(const struct divide_space *space, struct divide_geometry *geometry)
{
    struct transmission transmission;
    struct frame frame;
    if (build_frame(space, DIVISION_LAYERS, geometry, &transmission, &frame)) {
        geometry->cells[DIVISION_LAYERS] = frame.cells;
    }
    struct waveform waveform = space->base->subframes[0].waveform;
    atsc3_space_waveform(&geometry->own, &waveform);
    struct ofdm_grid symbol = waveform_grid(&waveform);
    geometry->symbol_ms = symbol.symbol_us / 1e3;
    geometry->counts = frame_counts(space->base, &waveform); /* whatever its preamble can tell */
    geometry->preamble_payload = -1;
    if (build_frame(space, DIVISION_SUBFRAMES, geometry, &transmission, &frame)) {
        struct waveform preamble = signalling_preamble(&transmission);
        struct ofdm_grid grid = waveform_grid(&preamble);
        geometry->cells[DIVISION_SUBFRAMES] = frame.cells;
        geometry->preamble_payload = frame.preamble_payload;
        geometry->preamble_ms = frame.preamble_symbols * grid.symbol_us / 1e3;
    }
}
