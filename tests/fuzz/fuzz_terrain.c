/* Fuzzing entry for height profiles: whatever bytes are read, nothing crashes; what is read begins
 * at the station, grows, and gives finite figures at every distance. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "fuzz/fuzz.h"
#include "physics/air/p1546.h"
#include "profile/terrain.h"

static void terrain_require(bool holds, const char *what)
{
    if (!holds) {
        fprintf(stderr, "fuzz_terrain: %s\n", what);
        abort();
    }
}

static void require_figures(const struct terrain *terrain)
{
    for (double km = 0.02; km < 1000.0; km *= 3.0) {
        struct path path = {.center_mhz = 600.0,
                            .transmit_height_m = terrain_effective_m(terrain, 100.0, km),
                            .receive_height_m = 10.0,
                            .distance_km = km,
                            .time_percent = 50.0,
                            .terrain = terrain,
                            .mast_m = 100.0};
        terrain_require(isfinite(p1546_field_dbuvm(&path, 1.0)), "a field is no number");
    }
}

int fuzz_terrain(const uint8_t *data, size_t size)
{
    static struct terrain terrain;
    struct fault fault = {0};
    enum status status = terrain_read_text((const char *)data, size, &terrain, &fault);
    if (status != STATUS_OK) {
        terrain_require(fault.status == status && fault.wrong[0] != '\0', "a fault without words");
        return 0;
    }
    terrain_require(terrain.count >= 2 && terrain.count <= TERRAIN_POINTS_MAX, "an odd count");
    terrain_require(terrain.km[0] == 0.0F, "it does not begin at the station");
    for (int i = 1; i < terrain.count; i++) {
        terrain_require(terrain.km[i] > terrain.km[i - 1], "distances do not grow");
    }
    require_figures(&terrain);
    return 0;
}
