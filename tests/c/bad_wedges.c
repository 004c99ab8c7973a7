/*
 * Bad calls of wedges: readings, strips and scans. As bad_calls.c.
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"
#include <float.h>
#include <math.h>

enum { WIDTH = 60, HEIGHT = 40, COUNT = 2 };

static double part, lights[COUNT], spreads[COUNT];
static uint16_t drawn[40 * 40];
static dw_wedge_info info;
static dw_wedge_patch patch;
static dw_strip_info strip_info;
static dw_strip_patch strip_patch;
static dw_readings *new_readings;
static dw_wedge *new_wedge;
static dw_curve *new_curve;
static dw_strip *new_strip;

static output *outputs(size_t *count)
{
    static output all[] = {
        OUTPUT(PLAIN, part), OUTPUT(PLAIN, lights), OUTPUT(PLAIN, spreads), OUTPUT(PLAIN, drawn), OUTPUT(SIZED, info),
        OUTPUT(SIZED, patch), OUTPUT(SIZED, strip_info), OUTPUT(SIZED, strip_patch), OUTPUT(HANDLE, new_readings),
        OUTPUT(HANDLE, new_wedge), OUTPUT(HANDLE, new_curve), OUTPUT(HANDLE, new_strip),
    };
    *count = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right: a wedge of densities and one of L*a*b*, a strip of 4 patches of 10 x 10 with gaps of 2, a scan of 2 patches. */
static dw_readings *readings, *lab;
static dw_wedge *wedge;
static dw_curve *curve;
static dw_strip *strip;
static uint16_t samples[WIDTH * HEIGHT];
static dw_scan scan = {sizeof scan, DW_SAMPLE_U16, DW_ENCODING_SRGB, samples, sizeof samples, 2 * WIDTH, WIDTH, HEIGHT};
static dw_patch_grid grid = {sizeof grid, 15, 20, 30, 0, 0, 0, 20, 20, 2};

static void make_inputs(void)
{
    const double steps[][2] = {{0, 0.05}, {0.5, 0.35}, {1, 1.45}}, black[] = {16, 0, 0}, white[] = {95, 0, 0}, grey[] = {50, 0, 0};
    const double four[] = {0, 0.3, 0.7, 1};
    DONE(dw_readings_new(DW_SCALE_DENSITY, &readings));
    for (size_t i = 0; i < 3; i++)
        DONE(dw_readings_add(readings, steps[i][0], &steps[i][1], 1));
    DONE(dw_readings_measure(readings, &wedge));
    DONE(dw_wedge_curve(wedge, &curve));
    DONE(dw_readings_new(DW_SCALE_LAB, &lab));
    DONE(dw_readings_add(lab, 0, white, 3));
    DONE(dw_readings_add(lab, 0.5, grey, 3));
    DONE(dw_readings_add(lab, 1, black, 3));
    DONE(dw_strip_new(four, 4, 1, 2, 10, 10, 2, &strip));
}

static void bad_densities(void)
{
    BAD(REQUEST, dw_density_coverage(0, 1.4, 0.3, 1, NULL));
    BAD(REQUEST, dw_density_coverage(0, 1.4, 0.3, 1, MISALIGNED(double, drawn)));
    BAD(REQUEST, dw_density_coverage(0, 0, 0.3, 1, &part));
    BAD(REQUEST, dw_density_coverage(NAN, 1.4, 0.3, 1, &part));
    BAD(REQUEST, dw_density_coverage(0, 11, 0.3, 1, &part));
    BAD(REQUEST, dw_density_coverage(0, 1.4, -INFINITY, 1, &part));
    BAD(REQUEST, dw_density_coverage(0, 1.4, 0.3, 0.9, &part));
    BAD(REQUEST, dw_density_coverage(0, 1.4, 0.3, NAN, &part));
}

static void bad_readings(void)
{
    const double values[] = {0.3, 0.4, 0.5}, odd[] = {0.3, NAN, 0.5}, large[] = {0.3, 0.4, 11};
    NO_HANDLE(REQUEST, new_readings, dw_readings_new(DW_SCALE_LAB + 1, &new_readings));
    NO_HANDLE(REQUEST, new_readings, dw_readings_new(UINT32_MAX, &new_readings));
    BAD(REQUEST, dw_readings_new(DW_SCALE_LAB, NULL));
    BAD(REQUEST, dw_readings_new(DW_SCALE_LAB, MISALIGNED(dw_readings *, drawn)));

    BAD(REQUEST, dw_readings_add(NULL, 0.5, values, 1));
    BAD(REQUEST, dw_readings_add(MISALIGNED(dw_readings, readings), 0.5, values, 1));
    BAD(REQUEST, dw_readings_add(readings, -0.1, values, 1));
    BAD(REQUEST, dw_readings_add(readings, 50, values, 1));
    BAD(REQUEST, dw_readings_add(readings, NAN, values, 1));
    BAD(REQUEST, dw_readings_add(readings, 0.5, NULL, 1));
    BAD(REQUEST, dw_readings_add(readings, 0.5, values, 0));
    BAD(REQUEST, dw_readings_add(readings, 0.5, values, 2)); /* the first has one */
    BAD(REQUEST, dw_readings_add(readings, 0.5, odd + 1, 1));
    BAD(REQUEST, dw_readings_add(readings, 0.5, large + 2, 1));
    BAD(REQUEST, dw_readings_add(readings, 0.5, MISALIGNED(const double, values), 1));
    BAD(REQUEST, dw_readings_add(readings, 0.5, values, SIZE_MAX));
    BAD(REQUEST, dw_readings_add(readings, 0.5, values, SIZE_MAX / 8 + 1));
    BAD(REQUEST, dw_readings_add(lab, 0.5, values, 2));
    BAD(REQUEST, dw_readings_add(lab, 0.5, odd, 3));

    BAD(REQUEST, dw_readings_yule_nielsen(NULL, 2));
    BAD(REQUEST, dw_readings_yule_nielsen(readings, 0.5));
    BAD(REQUEST, dw_readings_yule_nielsen(readings, 1001));
    BAD(REQUEST, dw_readings_yule_nielsen(readings, NAN));
    BAD(REQUEST, dw_readings_spot_colour(NULL));
    BAD(REQUEST, dw_readings_spot_colour(readings)); /* densities */
    BAD(REQUEST, dw_readings_channel(NULL, 0));
    BAD(REQUEST, dw_readings_white(NULL, 96, 100, 82));
    BAD(REQUEST, dw_readings_white(lab, 96, NAN, 82));
    BAD(REQUEST, dw_readings_white(lab, 0, 100, 82));
    BAD(REQUEST, dw_readings_white(lab, 96, 100, 201));
    BAD(REQUEST, dw_readings_noise(NULL, 0.01));
    BAD(REQUEST, dw_readings_noise(readings, 0));
    BAD(REQUEST, dw_readings_noise(readings, 0.06));
    BAD(REQUEST, dw_readings_noise(readings, NAN));
    BAD(REQUEST, dw_readings_asked_of(NULL, curve));
    BAD(REQUEST, dw_readings_asked_of(readings, NULL));
    BAD(REQUEST, dw_readings_asked_of(readings, MISALIGNED(dw_curve, curve)));
    BAD(REQUEST, dw_readings_told(NULL, DW_ON_BARE, DW_STATE_WET));
    BAD(REQUEST, dw_readings_told(readings, DW_ON_UNDERBASE + 1, DW_STATE_WET));
    BAD(REQUEST, dw_readings_told(readings, DW_ON_BARE, DW_STATE_CURED + 1));
}

static void bad_tables(void)
{
    const uint32_t density = DW_SCALE_DENSITY;
    NO_HANDLE(REQUEST, new_readings, dw_readings_from_table(NULL, "0 0\n", density, &new_readings));
    NO_HANDLE(REQUEST, new_readings, dw_readings_from_table("w", NULL, density, &new_readings));
    NO_HANDLE(REQUEST, new_readings, dw_readings_from_table("w", "\xff 0\n", density, &new_readings));
    NO_HANDLE(REQUEST, new_readings, dw_readings_from_table("\xfe", "0 0\n", density, &new_readings));
    NO_HANDLE(REQUEST, new_readings, dw_readings_from_table("w", "0 0\n", 4, &new_readings));
    BAD(REQUEST, dw_readings_from_table("w", "0 0\n", density, NULL));
    NO_HANDLE(DATA, new_readings, dw_readings_from_table("w", "", density, &new_readings));
    NO_HANDLE(DATA, new_readings, dw_readings_from_table("w", "0 0\n50 ?\n", density, &new_readings));
    CHECK(strstr(dw_last_error(), "w, line 2") != NULL);
    NO_HANDLE(DATA, new_readings, dw_readings_from_table("w", "0 0\n50 1 2\n", density, &new_readings));
    NO_HANDLE(DATA, new_readings, dw_readings_from_table("w", "0 90 0 0\n50 60\n", DW_SCALE_LAB, &new_readings));
}

/* A table that is read, and a wedge that cannot be. */
static void bad_wedge(const char *table, uint32_t scale, const char *words)
{
    dw_readings *bad = NULL;
    DONE(dw_readings_from_table("wedge", table, scale, &bad));
    NO_HANDLE(DATA, new_wedge, dw_readings_measure(bad, &new_wedge));
    CHECK(strstr(dw_last_error(), words) != NULL);
    dw_readings_free(bad);
}

static void bad_wedges(void)
{
    dw_readings *bad = NULL;
    NO_HANDLE(REQUEST, new_wedge, dw_readings_measure(NULL, &new_wedge));
    NO_HANDLE(REQUEST, new_wedge, dw_readings_measure(MISALIGNED(dw_readings, readings), &new_wedge));
    BAD(REQUEST, dw_readings_measure(readings, NULL));
    bad_wedge("50 0.3\n100 1.4\n", DW_SCALE_DENSITY, "bare ground");
    bad_wedge("0 0.05\n50 0.3\n", DW_SCALE_DENSITY, "the solid");
    bad_wedge("0 0.05\n100 1.4\n", DW_SCALE_DENSITY, "tint");
    bad_wedge("0 0.30\n50 0.302\n100 0.305\n", DW_SCALE_DENSITY, "too little contrast");
    bad_wedge("0 50 0 0\n50 51 0 0\n100 52 0 0\n", DW_SCALE_LAB, "too little contrast");
    bad_wedge("0 0.05\n50 0.01\n100 1.4\n", DW_SCALE_DENSITY, "beyond the ground");
    bad_wedge("0 0.05\n95 1.8\n100 1.0\n", DW_SCALE_DENSITY, "beyond the solid");
    bad_wedge("0 0.05\n50 0.2\n50 0.6\n50 0.2\n50 0.6\n50 0.4\n100 1.4\n", DW_SCALE_DENSITY, "repeats differ");
    DONE(dw_readings_from_table("wedge", "0 0.05\n50 0.3\n100 1.4\n", DW_SCALE_DENSITY, &bad));
    DONE(dw_readings_channel(bad, 1)); /* there is one, 0 */
    NO_HANDLE(REQUEST, new_wedge, dw_readings_measure(bad, &new_wedge));
    DONE(dw_readings_channel(bad, SIZE_MAX));
    NO_HANDLE(REQUEST, new_wedge, dw_readings_measure(bad, &new_wedge));
    dw_readings_free(bad);

    BAD(REQUEST, dw_wedge_get_info(NULL, &info));
    BAD(REQUEST, dw_wedge_get_info(wedge, NULL));
    BAD(REQUEST, dw_wedge_get_info(wedge, MISALIGNED(dw_wedge_info, drawn)));
    TOO_SMALL(info, dw_wedge_get_info(wedge, &info));
    BAD(REQUEST, dw_wedge_get_patch(NULL, 0, &patch));
    BAD(REQUEST, dw_wedge_get_patch(wedge, 0, NULL));
    BAD(REQUEST, dw_wedge_get_patch(wedge, 3, &patch));
    BAD(REQUEST, dw_wedge_get_patch(wedge, SIZE_MAX, &patch));
    TOO_SMALL(patch, dw_wedge_get_patch(wedge, 0, &patch));
    NO_HANDLE(REQUEST, new_curve, dw_wedge_curve(NULL, &new_curve));
    BAD(REQUEST, dw_wedge_curve(wedge, NULL));
}

static void bad_strips(void)
{
    const double good[] = {0, 0.5, 1}, odd[] = {0, NAN, 1}, large[] = {0, 50, 100};
    dw_strip *huge = NULL;
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(NULL, 3, 1, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 0, 1, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(odd, 3, 1, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(large, 3, 1, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 0, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, SIZE_MAX, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 1, 0, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 1, SIZE_MAX, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 1, 3, 0, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 1, 3, 10, SIZE_MAX, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, 3, 1, 3, 10, 10, SIZE_MAX, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(good, SIZE_MAX / 8 + 1, 1, 3, 10, 10, 0, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_new(MISALIGNED(const double, good), 2, 1, 3, 10, 10, 0, &new_strip));
    BAD(REQUEST, dw_strip_new(good, 3, 1, 3, 10, 10, 0, NULL));

    BAD(REQUEST, dw_strip_get_info(NULL, &strip_info));
    BAD(REQUEST, dw_strip_get_info(strip, NULL));
    TOO_SMALL(strip_info, dw_strip_get_info(strip, &strip_info));
    BAD(REQUEST, dw_strip_get_patch(NULL, 0, &strip_patch));
    BAD(REQUEST, dw_strip_get_patch(strip, 0, NULL));
    BAD(REQUEST, dw_strip_get_patch(strip, 4, &strip_patch));
    BAD(REQUEST, dw_strip_get_patch(strip, SIZE_MAX, &strip_patch));
    TOO_SMALL(strip_patch, dw_strip_get_patch(strip, 0, &strip_patch));

    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(NULL, 1, 300, 300, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(strip, 0, 300, 300, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(strip, NAN, 300, 300, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(strip, 1, 0, 300, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(strip, 1, 300, NAN, &new_strip));
    NO_HANDLE(REQUEST, new_strip, dw_strip_labelled(strip, 5, 300, 300, &new_strip)); /* wider than a patch */
    BAD(REQUEST, dw_strip_labelled(strip, 0.1, 300, 300, NULL));

    const uint32_t u16 = DW_SAMPLE_U16;
    BAD(REQUEST, dw_strip_plate(NULL, u16, drawn, sizeof drawn, 80, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, DW_SAMPLE_F32, drawn, sizeof drawn, 104, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, NULL, sizeof drawn, 80, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, (char *)drawn + 1, sizeof drawn - 1, 80, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, 80 * 25 + 51, 80, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, 51, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, 50, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, SIZE_MAX - 1, 26, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, 80, 25, 26));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, 80, 26, 27));
    BAD(REQUEST, dw_strip_plate(strip, u16, drawn, sizeof drawn, 80, 0, 0));
    /* Longer than any plate may be. */
    DONE(dw_strip_new(NULL, 0, 1, 19, 1 << 20, 1, 0, &huge));
    BAD(DW_ERROR_LIMIT, dw_strip_plate(huge, u16, drawn, sizeof drawn, 38 << 20, 19 << 20, 1));
    dw_strip_free(huge);
}

#define BAD_SCAN(member, value)                                             \
    do {                                                                    \
        dw_scan s = scan;                                                   \
        s.member = (value);                                                 \
        BAD(REQUEST, dw_scan_read(&s, &grid, COUNT, lights, spreads));      \
    } while (0)
#define BAD_GRID(member, value)                                             \
    do {                                                                    \
        dw_patch_grid g = grid;                                             \
        g.member = (value);                                                 \
        BAD(REQUEST, dw_scan_read(&scan, &g, COUNT, lights, NULL));         \
    } while (0)

static void bad_scans(void)
{
    BAD(REQUEST, dw_scan_read(NULL, &grid, COUNT, lights, spreads));
    BAD(REQUEST, dw_scan_read(&scan, NULL, COUNT, lights, spreads));
    BAD(REQUEST, dw_scan_read(&scan, &grid, COUNT, NULL, spreads));
    BAD(REQUEST, dw_scan_read(&scan, &grid, COUNT, MISALIGNED(double, drawn), spreads));
    BAD(REQUEST, dw_scan_read(&scan, &grid, COUNT, lights, MISALIGNED(double, drawn)));
    BAD(REQUEST, dw_scan_read(&scan, &grid, 0, lights, spreads));
    BAD(REQUEST, dw_scan_read(&scan, &grid, SIZE_MAX, lights, spreads));
    BAD_SCAN(struct_size, sizeof scan - 1);
    BAD_SCAN(sample, DW_SAMPLE_F32);
    BAD_SCAN(encoding, DW_ENCODING_SRGB + 1);
    BAD_SCAN(samples, NULL);
    BAD_SCAN(samples, (char *)samples + 1);
    BAD_SCAN(bytes, sizeof samples - 1);
    BAD_SCAN(stride, 2 * WIDTH - 2);
    BAD_SCAN(stride, 2 * WIDTH + 1);
    BAD_SCAN(width, SIZE_MAX);
    BAD_SCAN(height, SIZE_MAX);
    BAD_SCAN(width, 0);
    BAD_SCAN(width, WIDTH - 6); /* the second patch leaves it */
    BAD_GRID(struct_size, 0);
    BAD_GRID(first_x, NAN);
    BAD_GRID(first_y, DBL_MAX);
    BAD_GRID(along_x, INFINITY);
    BAD_GRID(along_y, 11);
    BAD_GRID(down_x, NAN);
    BAD_GRID(patch_width, 7);
    BAD_GRID(patch_height, -20);
    BAD_GRID(columns, 0);
}

/* What is odd, but right. */
static void odd_calls(void)
{
    dw_readings_free(NULL);
    dw_wedge_free(NULL);
    dw_strip_free(NULL);
    dw_scan wide = scan;
    dw_wedge_info longer[2];
    wide.struct_size += 40; /* of a later header */
    DONE(dw_scan_read(&wide, &grid, COUNT, lights, NULL));
    longer[0].struct_size = sizeof longer;
    DONE(dw_wedge_get_info(wedge, longer));
    CHECK(longer[0].patches == 3 && longer[0].struct_size == sizeof longer);
}

int main(void)
{
    dw_wedge *after = NULL;
    dw_wedge_patch before[3], now;
    make_inputs();
    for (size_t i = 0; i < 3; i++) {
        before[i].struct_size = now.struct_size = sizeof now;
        DONE(dw_wedge_get_patch(wedge, i, &before[i]));
    }
    bad_densities();
    bad_readings();
    bad_tables();
    bad_wedges();
    bad_strips();
    bad_scans();
    odd_calls();

    /* The readings are what they were before. */
    DONE(dw_readings_measure(readings, &after));
    for (size_t i = 0; i < 3; i++) {
        DONE(dw_wedge_get_patch(after, i, &now));
        CHECK(now.printed == before[i].printed && now.repeats == 1);
    }
    dw_wedge_free(after);
    dw_wedge_free(wedge);
    dw_readings_free(readings);
    dw_readings_free(lab);
    dw_curve_free(curve);
    dw_strip_free(strip);
    printf("%d bad calls refused\n", refused);
    return 0;
}
