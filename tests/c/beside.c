/*
 * Four plates side by side: no pixel of two, tones held, the same bits in tiles and on threads, dots of one moved by its seed from
 * those of the ordinary screen. Prints a number for the films, which the Rust library must find too.
 */
#include "check.h"

enum { PLATES = 4, WIDTH = 300, HEIGHT = 200, STRIDE = 40, LEFT = 88 };

static uint8_t samples[PLATES][HEIGHT][WIDTH];
static uint8_t whole[PLATES][HEIGHT][STRIDE], other[PLATES][HEIGHT][STRIDE];
static dw_plate plates[PLATES];
static const dw_plate *of_plates[PLATES];

/* Films of a tile, `width` pixels from column `x` and all rows. */
static void films(const dw_side_by_side *screen, uint8_t (*rows)[HEIGHT][STRIDE], size_t x, size_t width, int threaded)
{
    dw_film_out outs[PLATES];
    const dw_film_out *of_outs[PLATES];
    for (size_t i = 0; i < PLATES; i++) {
        dw_film_out out = {sizeof out, rows[i][0] + x / 8, sizeof rows[i] - x / 8, STRIDE, width, HEIGHT};
        outs[i] = out;
        of_outs[i] = &outs[i];
    }
    if (threaded)
        DONE(dw_side_by_side_run_threaded(screen, of_plates, of_outs, PLATES, plates[0].x + (int64_t)x, plates[0].y));
    else
        DONE(dw_side_by_side_run(screen, of_plates, of_outs, PLATES, plates[0].x + (int64_t)x, plates[0].y));
}

static double coverage(size_t plate)
{
    dw_film film = {sizeof film, whole[plate][0], sizeof whole[plate], STRIDE, WIDTH, HEIGHT};
    double part = 0;
    DONE(dw_film_coverage(&film, 0, 0, WIDTH, HEIGHT, &part));
    return part;
}

static void tints(const uint8_t tones[PLATES])
{
    for (size_t i = 0; i < PLATES; i++)
        memset(samples[i], tones[i], sizeof samples[i]);
}

static void no_two_share(void)
{
    for (size_t y = 0; y < HEIGHT; y++)
        for (size_t at = 0; at < STRIDE; at++) {
            unsigned once = 0;
            for (size_t i = 0; i < PLATES; i++) {
                CHECK((once & whole[i][y][at]) == 0);
                once |= whole[i][y][at];
            }
        }
}

static uint64_t number_of(void)
{
    uint64_t hash = 0xcbf29ce484222325u; /* FNV-1a over the rows */
    for (size_t i = 0; i < PLATES; i++)
        for (size_t y = 0; y < HEIGHT; y++)
            for (size_t at = 0; at < (WIDTH + 7) / 8; at++)
                hash = (hash ^ whole[i][y][at]) * 0x00000100000001b3u;
    return hash;
}

int main(void)
{
    dw_request *request = NULL;
    dw_side_by_side *compact = NULL, *rings = NULL, *curved = NULL;
    dw_screen *ordinary = NULL;
    dw_curve *curve = NULL;
    DONE(dw_request_new(1200, 1200, &request));
    DONE(dw_side_by_side_build(request, PLATES, DW_SHARING_COMPACT, &compact));
    DONE(dw_side_by_side_build(request, PLATES, DW_SHARING_RINGS, &rings));
    DONE(dw_screen_build(request, &ordinary));
    for (size_t i = 0; i < PLATES; i++) {
        dw_plate plate = {0};
        plate.struct_size = sizeof plate;
        plate.sample = DW_SAMPLE_U8;
        plate.samples = samples[i];
        plate.bytes = sizeof samples[i];
        plate.stride = plate.width = WIDTH;
        plate.height = HEIGHT;
        plate.x = -31;
        plate.y = 77;
        plates[i] = plate;
        of_plates[i] = &plates[i];
    }

    /* Ramps, from bare to twice solid. */
    for (size_t i = 0; i < PLATES; i++)
        for (size_t y = 0; y < HEIGHT; y++)
            for (size_t x = 0; x < WIDTH; x++)
                samples[i][y][x] = (uint8_t)((x * (i + 1) + y) / 8 % 128);
    films(compact, whole, 0, WIDTH, 0);
    no_two_share();
    films(compact, other, 0, LEFT, 0);
    films(compact, other, LEFT, WIDTH - LEFT, 0);
    CHECK(memcmp(other, whole, sizeof whole) == 0);
    memset(other, 0, sizeof other);
    films(compact, other, 0, WIDTH, 1);
    CHECK(memcmp(other, whole, sizeof whole) == 0);
    printf("%016llx\n", (unsigned long long)number_of());
    films(rings, whole, 0, WIDTH, 0);
    no_two_share();
    printf("%016llx\n", (unsigned long long)number_of());

    /* Dots apart are those of the ordinary screen, moved. */
    const uint8_t light[PLATES] = {20, 40, 30, 10};
    tints(light);
    films(compact, whole, 0, WIDTH, 0);
    for (size_t i = 0; i < PLATES; i++) {
        int64_t right = 0, down = 0;
        DONE(dw_side_by_side_seed(compact, i, &right, &down));
        CHECK((right == 0 && down == 0) == (i == 0));
        dw_plate moved = plates[i];
        moved.x -= right;
        moved.y -= down;
        dw_film_out out = {sizeof out, other[i][0], sizeof other[i], STRIDE, WIDTH, HEIGHT};
        DONE(dw_screen_run(ordinary, &moved, moved.x, moved.y, &out));
        CHECK(memcmp(other[i], whole[i], sizeof whole[i]) == 0);
    }

    /* Solid in all: a curve gives one plate half of its tone; beyond solid the first plates win. */
    const uint8_t solid[PLATES] = {60, 90, 65, 40};
    tints(solid);
    films(compact, whole, 0, WIDTH, 0);
    for (size_t i = 0; i < PLATES; i++)
        CHECK(coverage(i) > solid[i] / 255.0 - 0.01 && coverage(i) < solid[i] / 255.0 + 0.01);
    const double at[] = {1}, to[] = {0.5};
    DONE(dw_curve_through(at, to, 1, &curve));
    const dw_curve *const curves[PLATES] = {NULL, curve, NULL, NULL};
    DONE(dw_side_by_side_curves(compact, curves, PLATES, &curved));
    films(curved, whole, 0, WIDTH, 0);
    CHECK(coverage(1) > 45 / 255.0 - 0.01 && coverage(1) < 45 / 255.0 + 0.01);
    const uint8_t beyond[PLATES] = {0, 200, 100, 100};
    tints(beyond);
    films(compact, whole, 0, WIDTH, 0);
    no_two_share();
    CHECK(coverage(1) > 200 / 255.0 - 0.01 && coverage(2) < 55 / 255.0 + 0.01 && coverage(3) == 0);
    CHECK(coverage(1) + coverage(2) > 1 - 1e-9);

    dw_curve_free(curve);
    dw_screen_free(ordinary);
    dw_side_by_side_free(curved);
    dw_side_by_side_free(rings);
    dw_side_by_side_free(compact);
    dw_side_by_side_free(NULL);
    dw_request_free(request);
    return 0;
}
