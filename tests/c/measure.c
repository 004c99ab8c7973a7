/*
 * What films hold, with numbers that are known from elsewhere: small films that numpy and scipy measured, screens' own angle and line
 * count, link-ups of their formulas, squares.
 *
 *     measure films.csv-folder
 */
#include "check.h"
#include <math.h>

#define NEAR(value, expected, error) CHECK(fabs((value) - (expected)) <= (error))

/* tests/reference/films.py, with scipy.ndimage.label: ink, whole dots, cut ones, pixels of whole ones; whole holes, cut ones. */
static void small_films(const char *folder)
{
    static const struct {
        const char *name;
        uint64_t ink, dots, cut_dots, dot_pixels, holes, cut_holes;
    } films[] = {
        {"dots", 4132, 35, 13, 3115, 0, 1}, {"turned", 4514, 54, 21, 3724, 0, 2}, {"holes", 8193, 0, 2, 0, 54, 21},
        {"noise", 2020, 46, 25, 138, 146, 47}, {"sparse", 105, 94, 8, 97, 0, 1},
    };
    for (size_t i = 0; i < sizeof films / sizeof *films; i++) {
        char path[4096];
        dw_film_file *file = NULL;
        dw_film film;
        dw_parts parts;
        double x, y;
        uint64_t count;
        film.struct_size = sizeof film;
        parts.struct_size = sizeof parts;
        snprintf(path, sizeof path, "%s/%s.pbm", folder, films[i].name);
        DONE(dw_film_read(path, &file));
        DONE(dw_film_file_get(file, &film, &x, &y));
        CHECK(x == 0 && y == 0);
        DONE(dw_film_count(&film, &count));
        CHECK(count == films[i].ink);
        DONE(dw_film_parts(&film, DW_PART_INK, DW_TOUCH_CORNERS, &parts));
        CHECK(parts.whole == films[i].dots && parts.cut == films[i].cut_dots && parts.whole_pixels == films[i].dot_pixels);
        CHECK(parts.smallest <= parts.largest);
        DONE(dw_film_parts(&film, DW_PART_BARE, DW_TOUCH_CORNERS, &parts));
        CHECK(parts.whole == films[i].holes && parts.cut == films[i].cut_holes);
        dw_film_file_free(file);
    }
}

enum { SIDE = 600 };
static uint8_t samples[SIDE * SIDE], bits[SIDE * SIDE / 8], other_bits[SIDE * SIDE / 8];

static dw_film tint(const dw_screen *screen, uint8_t tone, uint8_t *into)
{
    memset(samples, tone, sizeof samples);
    dw_plate plate;
    memset(&plate, 0, sizeof plate);
    plate.struct_size = sizeof plate;
    plate.sample = DW_SAMPLE_U8;
    plate.samples = samples;
    plate.bytes = sizeof samples;
    plate.stride = plate.width = plate.height = SIDE;
    dw_film_out out = {sizeof out, into, sizeof bits, SIDE / 8, SIDE, SIDE};
    DONE(dw_screen_run(screen, &plate, 0, 0, &out));
    dw_film film = {sizeof film, into, sizeof bits, SIDE / 8, SIDE, SIDE};
    return film;
}

static void screens(void)
{
    dw_request *request = NULL;
    dw_screen *screen = NULL, *inverted = NULL;
    dw_screen_info info;
    dw_repeat repeat;
    dw_details details;
    dw_overlap overlap;
    dw_growth growth;
    dw_spectrum *spectrum = NULL;
    dw_ring ring;
    double first, second, grain, mm;
    size_t count;
    info.struct_size = sizeof info;
    repeat.struct_size = sizeof repeat;
    details.struct_size = sizeof details;
    overlap.struct_size = sizeof overlap;
    growth.struct_size = sizeof growth;
    ring.struct_size = sizeof ring;

    DONE(dw_request_new(600, 600, &request));
    DONE(dw_request_lines(request, 45));
    DONE(dw_request_angle(request, 22.5));
    DONE(dw_request_dot(request, DW_DOT_ROUND));
    DONE(dw_screen_build(request, &screen));
    DONE(dw_screen_again(screen, DW_MODE_INVERTED, NULL, &inverted));
    DONE(dw_screen_get_info(screen, &info));

    /* On one square inch. */
    dw_film film = tint(screen, 90, bits);
    DONE(dw_film_repeat(&film, 600, 600, &repeat));
    CHECK(repeat.modulus == 90);
    NEAR(repeat.degrees, info.degrees, 0.01);
    NEAR(repeat.lines_per_inch / info.lines_per_inch, 1, 1e-4);
    NEAR(repeat.second[0] - repeat.first[0], 90, 0.01);
    DONE(dw_film_grain(&film, 600, 600, 45, &grain));
    CHECK(grain > 0 && grain < 0.0005);
    /* Dots of 35 % in cells of 564.4 um are 377.6 um across. */
    DONE(dw_film_details(&film, 600, 600, &details));
    /* In a dot of 9 pixels to 1.5 pixels of 42.3 um. */
    NEAR(details.line_um, 2 * 25400 / info.lines_per_inch * sqrt(90 / 255.0 / 3.14159265), 64);
    CHECK(details.gap_um > 100 && details.gap_um < 300);
    /* Round dots: perimeter 2 sqrt(pi a) for each of 45 x 45 cells an inch. */
    DONE(dw_film_perimeter(&film, 600, 600, &mm));
    NEAR(mm / (45 * 2 * sqrt(3.14159265 * 90 / 255.0) * 25.4), 1, 0.03);

    /* ISO 32000-2 SimpleDot: pi/4; in its gaps 1 - pi/4. */
    DONE(dw_screen_link_ups(screen, &first, &second));
    NEAR(first, 0.7854, 0.01);
    NEAR(second, 0.7854, 0.01);
    DONE(dw_screen_link_ups(inverted, &first, &second));
    NEAR(first, 0.2146, 0.01);

    dw_film gaps = tint(inverted, 200, other_bits);
    DONE(dw_films_overlap(&film, screen, &gaps, inverted, &overlap));
    NEAR(overlap.expected, 90 / 255.0 + 200 / 255.0 - 1, 0.001);
    NEAR(overlap.both, overlap.expected, 0.001);
    DONE(dw_films_overlap(&film, screen, &film, screen, &overlap));
    CHECK(overlap.both == overlap.expected && overlap.coverages[0] == overlap.both);

    DONE(dw_film_spectrum(&film, &spectrum));
    DONE(dw_spectrum_count(spectrum, &count));
    CHECK(count == 300);
    /* The strongest ring is that of the screen: 45 lines of 600 pixels. */
    double strongest = 0, at = 0;
    for (size_t i = 0; i < count; i++) {
        DONE(dw_spectrum_get(spectrum, i, &ring));
        if (ring.power > strongest) {
            strongest = ring.power;
            at = ring.frequency;
        }
    }
    NEAR(at, 45 / 600.0, 0.002);
    dw_spectrum_free(spectrum);

    /* Tints that grew by 20 um on the film, away from its border; what is fitted is that growth. */
    static float covered[SIDE * SIDE];
    const uint8_t tones[] = {51, 102, 153};
    double films[3], printed[3];
    for (int i = 0; i < 3; i++) {
        film = tint(screen, tones[i], bits);
        films[i] = tones[i] / 255.0;
        DONE(dw_film_grown(&film, 600, 600, 20, covered, SIDE * SIDE));
        double sum = 0;
        for (int row = 20; row < SIDE - 20; row++)
            for (int x = 20; x < SIDE - 20; x++)
                sum += covered[row * SIDE + x];
        printed[i] = sum / (SIDE - 40) / (SIDE - 40);
    }
    DONE(dw_growth_fit(screen, films, printed, 3, &growth));
    NEAR(growth.growth_um, 20, 0.5);
    dw_curve *curve = NULL;
    DONE(dw_curve_of_growth(screen, 20, &curve));
    for (int i = 0; i < 3; i++) {
        double value;
        DONE(dw_curve_eval(curve, films[i], &value));
        NEAR(value, printed[i], 0.005);
    }
    dw_curve_free(curve);
    CHECK(growth.rms < 0.005);

    dw_request_free(request);
    dw_screen_free(screen);
    dw_screen_free(inverted);
}

static void edges(void)
{
    /* A square of 2 x 2 pixels of 10 um grows by 5 um: half of each pixel at its sides, a quarter disc at its corners. */
    static const uint8_t square[] = {0, 0, 0x18, 0x18, 0, 0};
    const dw_film film = {sizeof film, square, sizeof square, 1, 8, 6};
    float covered[48];
    DONE(dw_film_grown(&film, 2540, 2540, 5, covered, 48));
    double sum = 0;
    for (int i = 0; i < 48; i++)
        sum += covered[i];
    NEAR(sum, 4 + 4 + 3.14159265 / 4, 0.01);
    NEAR(covered[8 * 2 + 3], 1, 1e-6);
    NEAR(covered[8 * 1 + 3], 0.5, 1e-3);
    NEAR(covered[8 * 1 + 2], 3.14159265 / 16, 5e-3);
}

static void curves(void)
{
    dw_curve *press = NULL, *aim = NULL, *asked = NULL, *again = NULL, *printed = NULL;
    double value, wanted;
    DONE(dw_curve_of_gain(0.35, &press));
    DONE(dw_curve_eval(press, 0.5, &value));
    NEAR(value, 0.85, 1e-9);
    DONE(dw_curve_of_gain(0.2, &aim));
    DONE(dw_curve_eval(aim, 0.25, &value));
    NEAR(value, 0.25 + 4 * 0.2 * 0.25 * 0.75, 1e-3);
    DONE(dw_curve_compensation_to(aim, press, NULL, &asked));
    DONE(dw_curve_then(asked, press, &printed));
    for (int i = 0; i <= 100; i++) {
        DONE(dw_curve_eval(printed, i / 100.0, &value));
        DONE(dw_curve_eval(aim, i / 100.0, &wanted));
        NEAR(value, wanted, 1e-6);
    }
    /* A print that is right needs no other round. */
    DONE(dw_curve_refined(asked, printed, aim, &again));
    for (int i = 0; i <= 20; i++) {
        DONE(dw_curve_eval(asked, i / 20.0, &value));
        DONE(dw_curve_eval(again, i / 20.0, &wanted));
        NEAR(value, wanted, 1e-6);
    }
    dw_curve_free(press);
    dw_curve_free(aim);
    dw_curve_free(asked);
    dw_curve_free(again);
    dw_curve_free(printed);
}

int main(int argc, char **argv)
{
    CHECK(argc == 2);
    small_films(argv[1]);
    screens();
    edges();
    curves();
    return 0;
}
