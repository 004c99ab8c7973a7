/*
 * Wedges with numbers that are known from elsewhere: worked numbers of Murray-Davies and Yule-Nielsen, measured ramps of two
 * characterisation data sets, white ink on black, a wedge screened, scanned and read.
 *
 *     wedges murray_davies_examples.csv tvi_from_debian_ti3.csv
 */
#include "check.h"
#include <math.h>

#define NEAR(value, expected, error) CHECK(fabs((value) - (expected)) <= (error))

static dw_wedge *measured(const dw_readings *readings)
{
    dw_wedge *wedge = NULL;
    DONE(dw_readings_measure(readings, &wedge));
    return wedge;
}

static dw_wedge_info told(const dw_wedge *wedge)
{
    dw_wedge_info info;
    info.struct_size = sizeof info;
    DONE(dw_wedge_get_info(wedge, &info));
    return info;
}

static dw_wedge_patch patch_of(const dw_wedge *wedge, size_t index)
{
    dw_wedge_patch patch;
    patch.struct_size = sizeof patch;
    DONE(dw_wedge_get_patch(wedge, index, &patch));
    return patch;
}

/* A file without its line of headings. */
static FILE *table(const char *path)
{
    char heading[256];
    FILE *file = fopen(path, "r");
    CHECK(file != NULL && fgets(heading, sizeof heading, file) != NULL);
    return file;
}

/* D_paper, D_solid, D_tint, n, percent: tests/reference/README.md. */
static void worked_numbers(const char *path)
{
    FILE *file = table(path);
    double paper, solid, tint, n, percent, coverage;
    int rows = 0;
    while (fscanf(file, "%lf,%lf,%lf,%lf,%lf", &paper, &solid, &tint, &n, &percent) == 5) {
        DONE(dw_density_coverage(paper, solid, tint, n, &coverage));
        NEAR(100 * coverage, percent, 5e-5);
        /* The same by a wedge of one tint. */
        dw_readings *readings = NULL;
        DONE(dw_readings_new(DW_SCALE_DENSITY, &readings));
        DONE(dw_readings_yule_nielsen(readings, n));
        DONE(dw_readings_add(readings, 0, &paper, 1));
        DONE(dw_readings_add(readings, 0.5, &tint, 1));
        DONE(dw_readings_add(readings, 1, &solid, 1));
        dw_wedge *wedge = measured(readings);
        NEAR(patch_of(wedge, 1).printed, coverage, 1e-12);
        CHECK(told(wedge).direction == DW_INK_DARKER && told(wedge).channel == 0 && !told(wedge).noise_known);
        dw_readings_free(readings);
        dw_wedge_free(wedge);
        rows++;
    }
    CHECK(rows > 30);
    fclose(file);
}

/* One ramp that has been read whole: tone values to 0.01 point, the channel of ISO 12647-1, and a film that makes it straight. */
static int ramp(const char *set, char ink, dw_readings *readings, const double *films, const double *tones, size_t count)
{
    dw_wedge *wedge = measured(readings);
    dw_curve *press = NULL, *ask = NULL;
    const char *channels = "CMKY";
    const int64_t expected[] = {0, 1, 1, 2};
    double asked, printed;
    CHECK(told(wedge).patches == count && told(wedge).channel == expected[strchr(channels, ink) - channels]);
    DONE(dw_wedge_curve(wedge, &press));
    DONE(dw_curve_compensation(press, NULL, &ask));
    for (size_t i = 0; i < count; i++) {
        dw_wedge_patch patch = patch_of(wedge, i);
        CHECK(patch.film == films[i] && patch.repeats == 1 && isnan(patch.spread));
        NEAR(patch.printed, tones[i], 1e-4);
        DONE(dw_curve_eval(ask, tones[i], &asked));
        NEAR(asked, films[i], 1e-3);
        DONE(dw_curve_eval(press, asked, &printed));
        NEAR(printed, tones[i], 1e-4);
    }
    dw_curve_free(press);
    dw_curve_free(ask);
    dw_wedge_free(wedge);

    /* ISO 20654's form (from memory), computed elsewhere on two of the ramps at 50 %. */
    if ((ink == 'C' && strcmp(set, "TR006") == 0) || (ink == 'K' && strcmp(set, "FOGRA39L") == 0)) {
        DONE(dw_readings_spot_colour(readings));
        wedge = measured(readings);
        size_t half = 0;
        while (films[half] != 0.5)
            half++;
        NEAR(100 * patch_of(wedge, half).printed, ink == 'C' ? 50.08 : 42.00, 0.005);
        CHECK(told(wedge).channel == -1);
        dw_wedge_free(wedge);
        return 1;
    }
    return 0;
}

/* dataset, channel, tint %, X, Y, Z, tone value %, increase %: tests/reference/README.md. */
static void measured_ramps(const char *path)
{
    FILE *file = table(path);
    char set[32] = "", ink[8] = "", last_set[32] = "", last_ink[8] = "";
    double row[6], films[64], tones[64];
    size_t count = 0;
    int ramps = 0, spots = 0;
    dw_readings *readings = NULL;
    for (;;) {
        int read = fscanf(file, " %31[^,],%7[^,],%lf,%lf,%lf,%lf,%lf,%lf", set, ink, row, row + 1, row + 2, row + 3, row + 4, row + 5);
        if (readings && (read != 8 || strcmp(set, last_set) != 0 || strcmp(ink, last_ink) != 0)) {
            spots += ramp(last_set, last_ink[0], readings, films, tones, count);
            dw_readings_free(readings);
            readings = NULL;
            count = 0;
            ramps++;
        }
        if (read != 8)
            break;
        CHECK(count < 64);
        if (!readings)
            DONE(dw_readings_new(DW_SCALE_XYZ, &readings));
        films[count] = row[0] / 100;
        tones[count] = row[4] / 100;
        DONE(dw_readings_add(readings, films[count++], row + 1, 3));
        strcpy(last_set, set);
        strcpy(last_ink, ink);
    }
    CHECK(ramps == 8 && spots == 2);
    fclose(file);
}

/* A quarter of white (R = 0.8) and three of black (0.04) reflect 0.23; read twice and more, so that the noise is told. */
static void white_on_black(void)
{
    static const char text[] = "film; density\n# wet\n0; 1.39794\n0; 1.39794\n25; 0.638272\n25; 0.640\n25; 0.6366\n100; 0.09691\n"
                               "100; 0.0970\n100; 0.0968\n";
    const double green[] = {0.04, 0.05, 0.06}, mixed[] = {0.42, 0.075, 0.08}, white[] = {0.8, 0.1, 0.1};
    dw_readings *readings = NULL;
    DONE(dw_readings_from_table("white.csv", text, DW_SCALE_DENSITY, &readings));
    DONE(dw_readings_told(readings, DW_ON_UNDERBASE, DW_STATE_FLASH_DRIED));
    dw_wedge *wedge = measured(readings);
    dw_wedge_info info = told(wedge);
    CHECK(info.patches == 3 && info.direction == DW_INK_LIGHTER && info.on == DW_ON_UNDERBASE && info.state == DW_STATE_FLASH_DRIED);
    NEAR(info.contrast, 0.76, 1e-4);
    /* Two, three and three readings: five degrees of freedom, enough to know. */
    CHECK(info.noise_known && info.noise > 0 && info.noise < 0.01);
    dw_wedge_patch tint = patch_of(wedge, 1);
    NEAR(tint.printed, 0.25, 1e-4);
    CHECK(tint.repeats == 3 && tint.spread > 0 && fabs(tint.residual) <= info.worst_residual);
    dw_wedge_free(wedge);
    dw_readings_free(readings);

    /* Three channels: that of most contrast, unless another is told. */
    DONE(dw_readings_new(DW_SCALE_REFLECTANCE, &readings));
    DONE(dw_readings_add(readings, 0, green, 3));
    DONE(dw_readings_add(readings, 0.5, mixed, 3));
    DONE(dw_readings_add(readings, 1, white, 3));
    wedge = measured(readings);
    CHECK(told(wedge).channel == 0);
    NEAR(patch_of(wedge, 1).printed, 0.5, 1e-12);
    dw_wedge_free(wedge);
    DONE(dw_readings_channel(readings, 2));
    wedge = measured(readings);
    CHECK(told(wedge).channel == 2);
    NEAR(patch_of(wedge, 1).printed, 0.5, 1e-12);
    dw_wedge_free(wedge);
    dw_readings_free(readings);
}

/* A film printer that holds too little and a press that prints too much, each by its own wedge; undone, a tone prints as itself. */
static void film_and_press(void)
{
    const char *film = "0 0.04\n0.25 0.13\n0.5 0.28\n0.75 0.55\n1 4.0\n"; /* transmission */
    const char *print = "0 0.06\n0.25 0.25\n0.5 0.52\n0.75 0.95\n1 1.50\n";
    dw_readings *readings = NULL;
    dw_curve *device = NULL, *press = NULL, *ask = NULL, *chain = NULL, *both = NULL;
    double value;
    DONE(dw_readings_from_table("film", film, DW_SCALE_DENSITY, &readings));
    dw_wedge *wedge = measured(readings);
    DONE(dw_wedge_curve(wedge, &device));
    double on_film = patch_of(wedge, 2).printed;
    NEAR(on_film, (1 - pow(10, -0.24)) / (1 - pow(10, -3.96)), 1e-12);
    dw_wedge_free(wedge);
    dw_readings_free(readings);

    DONE(dw_readings_from_table("print", print, DW_SCALE_DENSITY, &readings));
    DONE(dw_readings_asked_of(readings, device));
    DONE(dw_readings_noise(readings, 0.0001));
    wedge = measured(readings);
    NEAR(patch_of(wedge, 2).film, on_film, 1e-12); /* what the film held, not what was asked */
    DONE(dw_wedge_curve(wedge, &press));
    dw_wedge_free(wedge);
    dw_readings_free(readings);

    DONE(dw_curve_compensation(press, device, &ask));
    DONE(dw_curve_then(ask, device, &chain));
    DONE(dw_curve_then(chain, press, &both));
    for (int tone = 0; tone <= 100; tone++) {
        DONE(dw_curve_eval(both, tone / 100.0, &value));
        NEAR(value, tone / 100.0, 1e-9);
    }
    dw_curve_free(device);
    dw_curve_free(press);
    dw_curve_free(ask);
    dw_curve_free(chain);
    dw_curve_free(both);
}

/* A usual wedge, twice, with or without labels, of 16-bit samples with room between the rows; screened; scanned as it lies; read. */
static void printed_and_scanned(int with_labels)
{
    enum { SIDE = 260, GAP = 40, EXTRA = 3 };
    dw_strip *strip = NULL;
    dw_strip_info info;
    dw_strip_patch patch, second;
    info.struct_size = sizeof info;
    patch.struct_size = second.struct_size = sizeof patch;
    DONE(dw_strip_new(NULL, 0, 2, 10, SIDE, SIDE, GAP, &strip));
    DONE(dw_strip_get_info(strip, &info));
    CHECK(info.patches == 38 && info.columns == 10 && info.rows == 4);
    CHECK(info.width == 10 * (SIDE + GAP) + GAP && info.height == 4 * (SIDE + GAP) + GAP);
    if (with_labels) {
        dw_strip *labelled = NULL;
        size_t plain = info.height;
        DONE(dw_strip_labelled(strip, 2.5, 600, 600, &labelled));
        dw_strip_free(strip);
        strip = labelled;
        DONE(dw_strip_get_info(strip, &info));
        /* Four rows of letters of 59 samples, and what keeps them clear. */
        CHECK(info.height > plain + 4 * 59 && info.patches == 38);
    }
    DONE(dw_strip_get_patch(strip, 0, &patch));
    DONE(dw_strip_get_patch(strip, info.columns, &second));
    double x = (double)patch.x, y = (double)patch.y, down = (double)(second.y - patch.y);
    DONE(dw_strip_get_patch(strip, 6, &patch));
    DONE(dw_strip_get_patch(strip, 7, &second));
    CHECK(strcmp(patch.label, "10") == 0 && strcmp(second.label, "15") == 0 && second.x - patch.x == SIDE + GAP);

    size_t row = info.width + EXTRA, bytes = 2 * (row * (info.height - 1) + info.width);
    uint16_t *samples = malloc(2 * row * info.height);
    CHECK(samples != NULL);
    memset(samples, 0xa5, 2 * row * info.height);
    DONE(dw_strip_plate(strip, DW_SAMPLE_U16, samples, bytes, 2 * row, info.width, info.height));
    size_t inked = 0; /* above the first row of patches */
    for (size_t i = 0; i < row * (size_t)y; i++)
        inked += i % row < info.width && samples[i] == 65535;
    CHECK((inked > 0) == with_labels);
    CHECK(samples[0] == 0 && samples[info.width] == 0xa5a5 && samples[row * info.height - 1] == 0xa5a5);
    CHECK(samples[patch.y * row + patch.x] == 6554); /* a tenth of 65535, to nearest */

    dw_request *request = NULL;
    dw_screen *screen = NULL;
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_screen_build(request, &screen));
    dw_request_free(request);
    dw_plate plate = {0};
    plate.struct_size = sizeof plate;
    plate.sample = DW_SAMPLE_U16;
    plate.samples = samples;
    plate.bytes = bytes;
    plate.stride = 2 * row;
    plate.width = info.width;
    plate.height = info.height;
    size_t stride = (info.width + 7) / 8;
    uint8_t *bits = malloc(stride * info.height), *grey = malloc(info.width * info.height);
    CHECK(bits && grey);
    dw_film_out out = {sizeof out, bits, stride * info.height, stride, info.width, info.height};
    DONE(dw_screen_run(screen, &plate, 0, 0, &out));
    dw_screen_free(screen);
    for (size_t y = 0; y < info.height; y++)
        for (size_t x = 0; x < info.width; x++)
            grey[y * info.width + x] = bits[y * stride + x / 8] & (0x80 >> x % 8) ? 205 : 30; /* white ink on black */

    dw_scan scan = {sizeof scan, DW_SAMPLE_U8, DW_ENCODING_SRGB, grey, info.width * info.height, info.width, info.width, info.height};
    /* A little off and a little turned. */
    dw_patch_grid grid = {sizeof grid, x + SIDE / 2 + 3, y + SIDE / 2 - 3, SIDE + GAP, 0.3, -0.3, down, SIDE, SIDE, 10};
    double lights[38], spreads[38];
    DONE(dw_scan_read(&scan, &grid, 38, lights, spreads));
    dw_readings *readings = NULL;
    DONE(dw_readings_new(DW_SCALE_REFLECTANCE, &readings));
    for (size_t i = 0; i < 38; i++) {
        DONE(dw_strip_get_patch(strip, i, &patch));
        DONE(dw_readings_add(readings, patch.coverage, &lights[i], 1));
        CHECK(spreads[i] < 0.02);
    }
    dw_strip_free(strip);
    dw_wedge *wedge = measured(readings);
    CHECK(told(wedge).patches == 19 && told(wedge).direction == DW_INK_LIGHTER && told(wedge).noise_known);
    for (size_t i = 0; i < 19; i++) {
        dw_wedge_patch read = patch_of(wedge, i);
        CHECK(read.repeats == 2);
        NEAR(read.printed, read.film, 0.003);
    }
    dw_wedge_free(wedge);
    dw_readings_free(readings);
    free(samples);
    free(bits);
    free(grey);
}

int main(int count, char **words)
{
    CHECK(count == 3);
    worked_numbers(words[1]);
    measured_ramps(words[2]);
    white_on_black();
    film_and_press();
    printed_and_scanned(0);
    printed_and_scanned(1);
    return 0;
}
