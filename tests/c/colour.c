/*
 * Art to plates, proof and sheet: a shelf of inks, a print on a dark garment, separation, the print to expect.
 *
 *     colour shelf.toml art.png
 *
 * Tells the plates' samples, one plate a line, for the Rust library to be held against; leaves sheet.tif.
 */
#include "check.h"
#include <math.h>

#define NEAR(value, expected, error) CHECK(fabs((value) - (expected)) <= (error))

enum { WIDTH = 40, HEIGHT = 30, INKS = 4 };

static const char *const names[INKS] = {"base white", "straw", "rose", "lagoon"};

static dw_colour of(const char *spelling)
{
    dw_colour colour = {.struct_size = sizeof colour};
    DONE(dw_colour_of(spelling, &colour));
    return colour;
}

static void colours(void)
{
    /* IEC 61966-2-1's white under D50, and its red (Bradford). */
    dw_colour white = of("#ffffff"), red = of("#ff0000"), grey = of("xyz(48.21 50 41.245)");
    NEAR(white.x, 96.42, 0.02);
    NEAR(white.y, 100, 0.001);
    NEAR(white.z, 82.49, 0.03);
    CHECK(white.red == 255 && white.green == 255 && white.blue == 255);
    NEAR(red.l, 54.29, 0.02);
    NEAR(red.a, 80.81, 0.05);
    NEAR(red.b, 69.89, 0.05);
    CHECK(red.red == 255 && red.green == 0 && red.blue == 0);
    /* L* = 116 (Y/100)^(1/3) - 16. */
    NEAR(grey.l, 76.0693, 0.0001);
    NEAR(grey.a, 0, 0.02);
    /* G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21, table 1: pairs 1, 17 and 34. */
    static const struct { const char *one, *other; double difference; } pairs[] = {
        {"lab(50 2.6772 -79.7751)", "lab(50 0 -82.7485)", 2.0425},
        {"lab(50 2.5 0)", "lab(73 25 -18)", 27.1492},
        {"lab(2.0776 0.0795 -1.1350)", "lab(0.9033 -0.0636 -0.5514)", 0.9082},
    };
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        double difference = -1;
        DONE(dw_colour_difference(pairs[i].one, pairs[i].other, &difference));
        NEAR(difference, pairs[i].difference, 0.00005);
    }
}

/* An ink gives back its drawdowns, and a light one over blue is something else than over white. */
static void inks(void)
{
    dw_ink *ink = NULL;
    const char *name = NULL;
    dw_colour colour = {.struct_size = sizeof colour};
    DONE(dw_ink_new("straw", "lab(95 0 -2)", "lab(88 -4 60)", "lab(14 0 0)", "lab(40 -6 22)", &ink));
    DONE(dw_ink_name(ink, &name));
    CHECK(strcmp(name, "straw") == 0);
    DONE(dw_ink_over(ink, "lab(95 0 -2)", &colour));
    NEAR(colour.l, 88, 1e-6);
    NEAR(colour.b, 60, 1e-6);
    DONE(dw_ink_over(ink, "lab(35 10 -50)", &colour));
    CHECK(colour.a < -5);
    dw_ink_free(ink);
}

/* The shelf's inks on a dark garment, dried between. */
static dw_print *made_print(const char *path, dw_screen *const *screens)
{
    dw_shelf *shelf = NULL;
    dw_printing *printing = NULL;
    dw_print *print = NULL;
    size_t count = 0;
    DONE(dw_shelf_read(path, &shelf));
    DONE(dw_shelf_count(shelf, &count));
    CHECK(count >= 12);
    DONE(dw_printing_new("#101010", &printing));
    for (int i = 0; i < INKS; i++) {
        dw_ink *ink = NULL;
        DONE(dw_shelf_find(shelf, names[i], &ink));
        DONE(dw_printing_ink(printing, ink));
        if (i == 0)
            DONE(dw_printing_flash(printing));
        dw_ink_free(ink);
    }
    DONE(dw_printing_wet(printing, 0.8));
    DONE(dw_print_build(printing, (const dw_screen *const *)screens, screens ? INKS : 0, &print));
    dw_printing_free(printing);
    dw_shelf_free(shelf);
    return print;
}

/* One ink covers half: half the light of the garment and half that of the solid, by chance and n = 1. */
static void halves(const dw_print *print)
{
    dw_colour colours[3];
    for (int i = 0; i < 3; i++) {
        const double coverages[INKS] = {0.5 * i};
        colours[i].struct_size = sizeof colours[i];
        DONE(dw_print_colour(print, coverages, INKS, &colours[i]));
    }
    NEAR(colours[1].x, (colours[0].x + colours[2].x) / 2, 1e-9);
    NEAR(colours[1].y, (colours[0].y + colours[2].y) / 2, 1e-9);
    CHECK(colours[0].red == 0x10 && colours[0].green == 0x10 && colours[0].blue == 0x10);
}

int main(int count, char **words)
{
    CHECK(count == 3);
    colours();
    inks();

    dw_request *request = NULL;
    dw_screen *screens[INKS] = {NULL};
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_request_lines(request, 45));
    for (int i = 0; i < INKS; i++) {
        DONE(dw_request_angle(request, 22.5 * i));
        DONE(dw_screen_build(request, &screens[i]));
    }
    dw_request_free(request);

    dw_print *print = made_print(words[1], screens), *by_chance = made_print(words[1], NULL);
    halves(print);
    halves(by_chance);

    /* Art of colours that the print has: each pixel is what random coverages print. Rows stand apart; the last column is transparent. */
    static uint8_t samples[HEIGHT][WIDTH * 4 + 12];
    unsigned state = 1;
    for (int y = 0; y < HEIGHT; y++) {
        for (int x = 0; x < WIDTH; x++) {
            double coverages[INKS];
            dw_colour colour = {.struct_size = sizeof colour};
            for (int i = 0; i < INKS; i++) {
                state = state * 1664525u + 1013904223u;
                coverages[i] = (state >> 16) / 65535.0;
            }
            DONE(dw_print_colour(print, coverages, INKS, &colour));
            uint8_t *pixel = &samples[y][4 * x];
            pixel[0] = colour.red, pixel[1] = colour.green, pixel[2] = colour.blue, pixel[3] = x + 1 < WIDTH ? 255 : 0;
        }
    }
    const dw_art art = {.struct_size = sizeof art, .sample = DW_SAMPLE_U8, .channels = 4, .samples = samples, .bytes = sizeof samples,
                        .stride = sizeof samples[0], .width = WIDTH, .height = HEIGHT};

    dw_separating *separating = NULL;
    dw_separation *separation = NULL;
    DONE(dw_separating_new(print, &separating));
    DONE(dw_separating_intent(separating, DW_INTENT_ABSOLUTE));
    DONE(dw_separating_knee(separating, 0.95));
    DONE(dw_separating_ink_price(separating, 0.1));
    DONE(dw_separating_smoothness(separating, 50));
    DONE(dw_separation_build(separating, &separation));
    dw_separating_free(separating);

    static uint8_t bytes[INKS][HEIGHT][WIDTH + 3];
    dw_plate_out outs[INKS];
    dw_plate plates[INKS];
    memset(plates, 0, sizeof plates);
    for (int i = 0; i < INKS; i++) {
        outs[i] = (dw_plate_out){sizeof outs[i], DW_SAMPLE_U8, bytes[i], sizeof bytes[i], sizeof bytes[i][0], WIDTH, HEIGHT};
        plates[i].struct_size = sizeof plates[i];
        plates[i].sample = DW_SAMPLE_U8;
        plates[i].samples = bytes[i];
        plates[i].bytes = sizeof bytes[i];
        plates[i].stride = sizeof bytes[i][0];
        plates[i].width = WIDTH;
        plates[i].height = HEIGHT;
    }
    DONE(dw_separation_run(separation, &art, NULL, outs, INKS));
    for (int i = 0; i < INKS; i++) {
        for (int y = 0; y < HEIGHT; y++) {
            CHECK(bytes[i][y][WIDTH - 1] == 0); /* transparent: garment */
            CHECK(bytes[i][y][WIDTH] == 0);     /* between the rows */
            for (int x = 0; x < WIDTH; x++)
                printf("%d ", bytes[i][y][x]);
        }
        printf("\n");
    }

    /* The proof has the art's colours. */
    dw_picture *picture = NULL, *seen = NULL;
    size_t width = 0, height = 0;
    static uint8_t codes[HEIGHT][WIDTH][3];
    DONE(dw_proof_plates(print, plates, INKS, &picture));
    DONE(dw_picture_size(picture, &width, &height));
    CHECK(width == WIDTH && height == HEIGHT);
    DONE(dw_picture_srgb(picture, &codes[0][0][0], sizeof codes));
    int near = 0;
    for (int y = 0; y < HEIGHT; y++) {
        for (int x = 0; x + 1 < WIDTH; x++) {
            char one[8], other[8];
            double difference = 0;
            const uint8_t *p = &samples[y][4 * x], *q = codes[y][x];
            sprintf(one, "#%02x%02x%02x", p[0], p[1], p[2]);
            sprintf(other, "#%02x%02x%02x", q[0], q[1], q[2]);
            DONE(dw_colour_difference(one, other, &difference));
            near += difference < 2;
        }
        CHECK(codes[y][WIDTH - 1][0] == 0x10);
    }
    CHECK(near > HEIGHT * (WIDTH - 1) * 8 / 10);

    /* From far away little is left of the noise; a picture is not off from itself. */
    dw_differences off = {.struct_size = sizeof off};
    DONE(dw_picture_seen(picture, 30, 30, 2000, &seen));
    DONE(dw_picture_differences(picture, seen, 5, &off));
    CHECK(off.mean > 1 && off.percentile_95 >= off.mean && off.worst >= off.mean);
    CHECK(off.worst_x + 5 <= WIDTH && off.worst_y + 5 <= HEIGHT);
    DONE(dw_picture_differences(picture, picture, 5, &off));
    CHECK(off.mean == 0 && off.percentile_95 == 0 && off.worst == 0);

    /* A file of art, and its background knocked out. */
    dw_art_file *file = NULL, *freed = NULL;
    dw_art held = {.struct_size = sizeof held}, own = {.struct_size = sizeof own};
    DONE(dw_art_read(words[2], &file));
    DONE(dw_art_file_get(file, &held));
    CHECK(held.width > 0 && held.height > 0 && held.channels == 4 && held.bytes == held.stride * held.height);
    dw_art solid = art;
    static uint8_t opaque[20][20][3];
    memset(opaque, 200, sizeof opaque);
    memset(opaque[8], 30, sizeof opaque[8]);
    solid.samples = opaque, solid.channels = 3, solid.bytes = sizeof opaque, solid.stride = sizeof opaque[0], solid.width = solid.height = 20;
    DONE(dw_art_knock_out(&solid, "#c8c8c8", 2, 0, 0, &freed));
    DONE(dw_art_file_get(freed, &own));
    CHECK(own.channels == 4 && own.width == 20 && own.stride == 80 && own.sample == DW_SAMPLE_U8);
    const uint8_t *pixels = own.samples;
    CHECK(pixels[3] == 0 && pixels[8 * 80 + 3] == 255 && pixels[8 * 80] == 30);
    dw_art_free(freed);
    dw_art_free(file);

    /* A film of the first plate on its sheet. */
    static uint8_t bits[600][(800 + 7) / 8];
    static uint8_t tones[600][800];
    for (int y = 0; y < 600; y++)
        for (int x = 0; x < 800; x++)
            tones[y][x] = (uint8_t)(x * 255 / 799);
    dw_plate whole = {.struct_size = sizeof whole, .sample = DW_SAMPLE_U8, .samples = tones, .bytes = sizeof tones, .stride = sizeof tones[0],
                      .width = 800, .height = 600};
    const dw_film_out out = {sizeof out, bits[0], sizeof bits, sizeof bits[0], 800, 600};
    const dw_film film = {sizeof film, bits[0], sizeof bits, sizeof bits[0], 800, 600};
    DONE(dw_screen_run(screens[0], &whole, 0, 0, &out));
    const dw_sheet sheet = {.struct_size = sizeof sheet, .ink = names[0], .place = 1, .inks = INKS, .job = "A job", .margin_mm = 12};
    DONE(dw_sheet_write(&film, 600, 600, screens[0], &sheet, "sheet.tif", DW_FORMAT_TIFF_T6));

    dw_picture_free(seen);
    dw_picture_free(picture);
    dw_separation_free(separation);
    dw_print_free(by_chance);
    dw_print_free(print);
    for (int i = 0; i < INKS; i++)
        dw_screen_free(screens[i]);
    return 0;
}
