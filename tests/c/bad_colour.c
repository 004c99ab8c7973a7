/*
 * Bad calls of colour: spellings, inks, shelves, prints, separations, proofs, art and sheets. As bad_calls.c.
 *
 *     bad_colour shelf.toml folder
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"
#include <float.h>
#include <math.h>

static dw_colour colour;
static dw_differences differences;
static dw_art told;
static double number;
static size_t count, width, height;
static const char *name;
static dw_ink *new_ink;
static dw_shelf *new_shelf;
static dw_printing *new_printing;
static dw_print *new_print;
static dw_separating *new_separating;
static dw_separation *new_separation;
static dw_picture *new_picture;
static dw_art_file *new_art;
static uint8_t codes[8 * 8 * 3], plate_samples[2][8][8];
static double room[32];

static output *outputs(size_t *number_of)
{
    static output all[] = {
        OUTPUT(SIZED, colour), OUTPUT(SIZED, differences), OUTPUT(SIZED, told), OUTPUT(PLAIN, number), OUTPUT(PLAIN, count),
        OUTPUT(PLAIN, width), OUTPUT(PLAIN, height), OUTPUT(PLAIN, name), OUTPUT(PLAIN, codes), OUTPUT(PLAIN, plate_samples),
        OUTPUT(PLAIN, room), OUTPUT(HANDLE, new_ink), OUTPUT(HANDLE, new_shelf), OUTPUT(HANDLE, new_printing),
        OUTPUT(HANDLE, new_print), OUTPUT(HANDLE, new_separating), OUTPUT(HANDLE, new_separation), OUTPUT(HANDLE, new_picture),
        OUTPUT(HANDLE, new_art),
    };
    *number_of = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right: two inks, a print of both, what a separation is to be and one with a plate held, pictures, art, a film. */
static dw_shelf *shelf;
static dw_ink *ink;
static dw_printing *printing, *full;
static dw_print *print;
static dw_separating *separating;
static dw_separation *separation, *holding;
static dw_picture *picture, *small;
static dw_art_file *file;
static dw_screen *screen;
static uint8_t art_samples[8][8 * 3], bits[64][8];
static const dw_art art = {.struct_size = sizeof art, .sample = DW_SAMPLE_U8, .channels = 3, .samples = art_samples,
                           .bytes = sizeof art_samples, .stride = sizeof art_samples[0], .width = 8, .height = 8};
static uint8_t tones[2][8][8];
static dw_plate plates[2];
static dw_plate_out outs[2];
static const dw_film film = {sizeof film, bits[0], sizeof bits, sizeof bits[0], 64, 64};
static const dw_sheet sheet = {.struct_size = sizeof sheet, .ink = "rose", .place = 1, .inks = 2, .mark_mm = 3, .margin_mm = 3};

static void make_inputs(const char *path)
{
    DONE(dw_shelf_read(path, &shelf));
    DONE(dw_shelf_find(shelf, "rose", &ink));
    DONE(dw_printing_new("#202020", &printing));
    DONE(dw_printing_ink(printing, ink));
    dw_ink *white = NULL;
    DONE(dw_shelf_find(shelf, "base white", &white));
    DONE(dw_printing_ink(printing, white));
    DONE(dw_printing_new("#202020", &full));
    for (int i = 0; i < 12; i++)
        DONE(dw_printing_ink(full, white));
    dw_ink_free(white);
    DONE(dw_print_build(printing, NULL, 0, &print));
    DONE(dw_separating_new(print, &separating));
    DONE(dw_separation_build(separating, &separation));
    DONE(dw_separating_hold(separating, 0));
    DONE(dw_separation_build(separating, &holding));
    dw_separating_free(separating);
    DONE(dw_separating_new(print, &separating));
    for (int i = 0; i < 2; i++) {
        plates[i] = (dw_plate){.struct_size = sizeof plates[i], .sample = DW_SAMPLE_U8, .samples = tones[i], .bytes = sizeof tones[i],
                               .stride = 8, .width = 8, .height = 8};
        outs[i] = (dw_plate_out){sizeof outs[i], DW_SAMPLE_U8, plate_samples[i], sizeof plate_samples[i], 8, 8, 8};
    }
    DONE(dw_proof_plates(print, plates, 2, &picture));
    dw_plate less[2] = {plates[0], plates[1]};
    less[0].width = less[1].width = 4;
    DONE(dw_proof_plates(print, less, 2, &small));
    art_samples[3][3] = 90;
    DONE(dw_art_knock_out(&art, NULL, 2, 3, 0, &file));
    dw_request *request = NULL;
    DONE(dw_request_new(100, 100, &request));
    DONE(dw_request_lines(request, 20));
    DONE(dw_screen_build(request, &screen));
    dw_request_free(request);
}

static void bad_colours(void)
{
    static const char *const spellings[] = {"", "red", "#12345", "#1234567", "#12345g", "lab(50 0)", "lab(50 0 0 0)", "lab(101 0 0)",
                                            "lab(50 300 0)", "lab(nan 0 0)", "xyz(1 2)", "xyz(-1 2 3)", "rgb(1 2 3)", "lab(50 0 0", "\xff"};
    for (size_t i = 0; i < sizeof spellings / sizeof *spellings; i++) {
        BAD(REQUEST, dw_colour_of(spellings[i], &colour));
        BAD(REQUEST, dw_colour_difference("#000000", spellings[i], &number));
        NO_HANDLE(REQUEST, new_printing, dw_printing_new(spellings[i], &new_printing));
        BAD(REQUEST, dw_ink_over(ink, spellings[i], &colour));
    }
    BAD(REQUEST, dw_colour_of(NULL, &colour));
    BAD(REQUEST, dw_colour_of("#000000", NULL));
    BAD(REQUEST, dw_colour_of("#000000", MISALIGNED(dw_colour, room)));
    TOO_SMALL(colour, dw_colour_of("#000000", &colour));
    BAD(REQUEST, dw_colour_difference(NULL, "#000000", &number));
    BAD(REQUEST, dw_colour_difference("#000000", "#000000", NULL));
}

static void bad_inks(void)
{
    const char *w = "#ffffff", *b = "#000000";
    NO_HANDLE(REQUEST, new_ink, dw_ink_new(NULL, w, "#808080", b, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("", w, "#808080", b, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("two\nlines", w, "#808080", b, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("x", NULL, "#808080", b, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("x", w, NULL, b, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("x", w, "#808080", NULL, "#404040", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("x", w, "#808080", b, NULL, &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_ink_new("x", w, "#80808", b, "#404040", &new_ink));
    /* Lighter over black than over white: no layer does that. */
    NO_HANDLE(DATA, new_ink, dw_ink_new("x", w, "#404040", b, "#808080", &new_ink));
    BAD(REQUEST, dw_ink_new("x", w, "#808080", b, "#404040", NULL));
    BAD(REQUEST, dw_ink_name(NULL, &name));
    BAD(REQUEST, dw_ink_name(ink, NULL));
    BAD(REQUEST, dw_ink_over(NULL, w, &colour));
    BAD(REQUEST, dw_ink_over(ink, w, NULL));
    BAD(REQUEST, dw_ink_over(MISALIGNED(dw_ink, ink), w, &colour));
    TOO_SMALL(colour, dw_ink_over(ink, w, &colour));
}

static void bad_shelves(const char *folder)
{
    size_t inks = 0;
    DONE(dw_shelf_count(shelf, &inks));
    NO_HANDLE(REQUEST, new_shelf, dw_shelf_read(NULL, &new_shelf));
    NO_HANDLE(REQUEST, new_shelf, dw_shelf_read("", &new_shelf));
    NO_HANDLE(DW_ERROR_IO, new_shelf, dw_shelf_read("no-such-shelf.toml", &new_shelf));
    NO_HANDLE(DW_ERROR_IO, new_shelf, dw_shelf_read(folder, &new_shelf));
    BAD(REQUEST, dw_shelf_read("no-such-shelf.toml", NULL));
    BAD(REQUEST, dw_shelf_count(NULL, &count));
    BAD(REQUEST, dw_shelf_count(shelf, NULL));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_get(NULL, 0, &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_get(shelf, inks, &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_get(shelf, SIZE_MAX, &new_ink));
    BAD(REQUEST, dw_shelf_get(shelf, 0, NULL));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_find(NULL, "rose", &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_find(shelf, NULL, &new_ink));
    NO_HANDLE(REQUEST, new_ink, dw_shelf_find(shelf, "no such ink", &new_ink));
    BAD(REQUEST, dw_shelf_find(shelf, "rose", NULL));
}

static void bad_prints(void)
{
    const size_t both[] = {0, 1}, far[] = {5}, many[13] = {0};
    const double coverages[] = {0.5, 0.5}, outside[] = {0.5, 1.5}, none[] = {NAN, 0};
    const dw_screen *two[] = {screen, screen}, *with_null[] = {screen, NULL};
    dw_printing *bare = NULL;
    DONE(dw_printing_new("#202020", &bare));
    NO_HANDLE(REQUEST, new_printing, dw_printing_new(NULL, &new_printing));
    BAD(REQUEST, dw_printing_new("#202020", NULL));
    BAD(REQUEST, dw_printing_ink(NULL, ink));
    BAD(REQUEST, dw_printing_ink(printing, NULL));
    BAD(REQUEST, dw_printing_ink(full, ink)); /* the thirteenth */
    BAD(REQUEST, dw_printing_flash(NULL));
    BAD(REQUEST, dw_printing_wet(NULL, 0.5));
    BAD(REQUEST, dw_printing_yule_nielsen(NULL, 1));
    BAD(REQUEST, dw_printing_overprint(NULL, both, 2, "#000000"));
    BAD(REQUEST, dw_printing_overprint(printing, NULL, 2, "#000000"));
    BAD(REQUEST, dw_printing_overprint(printing, both, 0, "#000000"));
    BAD(REQUEST, dw_printing_overprint(printing, many, 13, "#000000"));
    BAD(REQUEST, dw_printing_overprint(printing, both, SIZE_MAX, "#000000"));
    BAD(REQUEST, dw_printing_overprint(printing, both, 2, NULL));
    BAD(REQUEST, dw_printing_overprint(printing, both, 2, "black"));
    NO_HANDLE(REQUEST, new_print, dw_print_build(NULL, NULL, 0, &new_print));
    NO_HANDLE(REQUEST, new_print, dw_print_build(bare, NULL, 0, &new_print)); /* no inks */
    NO_HANDLE(REQUEST, new_print, dw_print_build(printing, NULL, 2, &new_print));
    NO_HANDLE(REQUEST, new_print, dw_print_build(printing, two, 1, &new_print)); /* one screen too few */
    NO_HANDLE(REQUEST, new_print, dw_print_build(printing, with_null, 2, &new_print));
    NO_HANDLE(REQUEST, new_print, dw_print_build(printing, two, SIZE_MAX, &new_print));
    BAD(REQUEST, dw_print_build(printing, two, 2, NULL));
    /* What is told is checked when it is built. */
    static const double wets[] = {-0.1, 1.1, NAN, INFINITY}, ns[] = {0.9, 11, NAN, -INFINITY};
    for (int i = 0; i < 4; i++) {
        DONE(dw_printing_wet(printing, wets[i]));
        NO_HANDLE(REQUEST, new_print, dw_print_build(printing, NULL, 0, &new_print));
        DONE(dw_printing_wet(printing, 1));
        DONE(dw_printing_yule_nielsen(printing, ns[i]));
        NO_HANDLE(REQUEST, new_print, dw_print_build(printing, NULL, 0, &new_print));
        DONE(dw_printing_yule_nielsen(printing, 1));
    }
    DONE(dw_printing_ink(bare, ink));
    DONE(dw_printing_overprint(bare, far, 1, "#808080")); /* an ink that is not there */
    NO_HANDLE(REQUEST, new_print, dw_print_build(bare, NULL, 0, &new_print));
    dw_printing_free(bare);

    BAD(REQUEST, dw_print_colour(NULL, coverages, 2, &colour));
    BAD(REQUEST, dw_print_colour(print, NULL, 2, &colour));
    BAD(REQUEST, dw_print_colour(print, coverages, 1, &colour));
    BAD(REQUEST, dw_print_colour(print, coverages, 3, &colour));
    BAD(REQUEST, dw_print_colour(print, outside, 2, &colour));
    BAD(REQUEST, dw_print_colour(print, none, 2, &colour));
    BAD(REQUEST, dw_print_colour(print, coverages, 2, NULL));
    TOO_SMALL(colour, dw_print_colour(print, coverages, 2, &colour));
}

/* A value that is told, and refused when it is built. */
#define BAD_TOLD(call)                                                                           \
    do {                                                                                         \
        dw_separating *other = NULL;                                                             \
        DONE(dw_separating_new(print, &other));                                                  \
        DONE(call);                                                                              \
        NO_HANDLE(REQUEST, new_separation, dw_separation_build(other, &new_separation));         \
        dw_separating_free(other);                                                               \
    } while (0)

static void bad_separations(void)
{
    NO_HANDLE(REQUEST, new_separating, dw_separating_new(NULL, &new_separating));
    BAD(REQUEST, dw_separating_new(print, NULL));
    BAD(REQUEST, dw_separating_intent(NULL, DW_INTENT_ADAPTED));
    BAD(REQUEST, dw_separating_intent(separating, 2));
    BAD(REQUEST, dw_separating_intent(separating, UINT32_MAX));
    BAD(REQUEST, dw_separating_knee(NULL, 0.5));
    BAD(REQUEST, dw_separating_ink_price(NULL, 0.5));
    BAD(REQUEST, dw_separating_grey_price(NULL, 0.5));
    BAD(REQUEST, dw_separating_black(NULL, 0));
    BAD(REQUEST, dw_separating_smoothness(NULL, 100));
    BAD(REQUEST, dw_separating_floor(NULL, 0.05));
    BAD(REQUEST, dw_separating_pin(NULL, 1, 2, 3, 0));
    BAD(REQUEST, dw_separating_hold(NULL, 0));
    BAD(REQUEST, dw_separating_trim(NULL, 0, NULL, 0, 1));
    BAD(REQUEST, dw_separating_trim(separating, 0, MISALIGNED(dw_curve, room), 0, 1));
    BAD_TOLD(dw_separating_knee(other, 1));
    BAD_TOLD(dw_separating_knee(other, NAN));
    BAD_TOLD(dw_separating_ink_price(other, -1));
    BAD_TOLD(dw_separating_ink_price(other, INFINITY));
    BAD_TOLD(dw_separating_grey_price(other, 101));
    BAD_TOLD(dw_separating_smoothness(other, 0));
    BAD_TOLD(dw_separating_smoothness(other, NAN));
    BAD_TOLD(dw_separating_floor(other, 0.3));
    BAD_TOLD(dw_separating_black(other, 2));
    BAD_TOLD(dw_separating_pin(other, 1, 2, 3, 2));
    BAD_TOLD(dw_separating_hold(other, SIZE_MAX));
    BAD_TOLD(dw_separating_trim(other, 7, NULL, 0, 1));
    BAD_TOLD(dw_separating_trim(other, 0, NULL, 0.5, 0.4));
    BAD_TOLD(dw_separating_trim(other, 0, NULL, NAN, 1));
    NO_HANDLE(REQUEST, new_separation, dw_separation_build(NULL, &new_separation));
    BAD(REQUEST, dw_separation_build(separating, NULL));

    BAD(REQUEST, dw_separation_run(NULL, &art, NULL, outs, 2));
    BAD(REQUEST, dw_separation_run(separation, NULL, NULL, outs, 2));
    BAD(REQUEST, dw_separation_run(separation, &art, NULL, NULL, 2));
    BAD(REQUEST, dw_separation_run(separation, &art, NULL, outs, 1));
    BAD(REQUEST, dw_separation_run(separation, &art, NULL, outs, SIZE_MAX));
    BAD(REQUEST, dw_separation_run(separation, &art, plates, outs, 2)); /* none is held */
    BAD(REQUEST, dw_separation_run(holding, &art, NULL, outs, 2));      /* one is */
}

/* Art, or a plate to write, with one member changed. */
#define BAD_ART(member, value)                                                                          \
    do {                                                                                                \
        dw_art a = art;                                                                                 \
        a.member = (value);                                                                             \
        BAD(REQUEST, dw_separation_run(separation, &a, NULL, outs, 2));                                 \
        NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&a, NULL, 2, 3, 0, &new_art));                     \
    } while (0)
#define BAD_OUT(member, value)                                               \
    do {                                                                     \
        dw_plate_out o[2] = {outs[0], outs[1]};                              \
        o[1].member = (value);                                               \
        BAD(REQUEST, dw_separation_run(separation, &art, NULL, o, 2));       \
    } while (0)
#define BAD_HELD(member, value)                                              \
    do {                                                                     \
        dw_plate p = plates[0];                                              \
        p.member = (value);                                                  \
        BAD(REQUEST, dw_separation_run(holding, &art, &p, outs, 2));         \
    } while (0)

static void bad_art(const char *folder)
{
    BAD_ART(struct_size, 0);
    BAD_ART(struct_size, sizeof art - 1);
    BAD_ART(sample, DW_SAMPLE_F32);
    BAD_ART(sample, 99);
    BAD_ART(channels, 1);
    BAD_ART(channels, 5);
    BAD_ART(channels, UINT32_MAX);
    BAD_ART(samples, NULL);
    BAD_ART(bytes, sizeof art_samples - 1);
    BAD_ART(bytes, 0);
    BAD_ART(stride, 23);
    BAD_ART(stride, 0);
    BAD_ART(stride, SIZE_MAX);
    BAD_ART(width, 9);
    BAD_ART(width, SIZE_MAX);
    BAD_ART(height, 9);
    BAD_ART(height, SIZE_MAX);
    BAD_OUT(struct_size, sizeof(dw_plate_out) - 1);
    BAD_OUT(sample, DW_SAMPLE_U16); /* the art has bytes */
    BAD_OUT(sample, DW_SAMPLE_F32);
    BAD_OUT(samples, NULL);
    BAD_OUT(bytes, 63);
    BAD_OUT(stride, 7);
    BAD_OUT(width, 7);
    BAD_OUT(height, 7);
    BAD_HELD(struct_size, 0);
    BAD_HELD(sample, DW_SAMPLE_U16);
    BAD_HELD(sample, 99);
    BAD_HELD(width, 7);
    BAD_HELD(height, 7);
    BAD_HELD(bytes, 1);

    NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&art, "white", 2, 3, 0, &new_art));
    NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&art, NULL, -1, 3, 0, &new_art));
    NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&art, NULL, NAN, 3, 0, &new_art));
    NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&art, NULL, 2, 65, 0, &new_art));
    NO_HANDLE(REQUEST, new_art, dw_art_knock_out(&art, NULL, 2, 256, 0, &new_art)); /* none, if it were cut to a byte */
    BAD(REQUEST, dw_art_knock_out(&art, NULL, 2, 3, 0, NULL));
    NO_HANDLE(REQUEST, new_art, dw_art_read(NULL, &new_art));
    NO_HANDLE(REQUEST, new_art, dw_art_read("", &new_art));
    NO_HANDLE(DW_ERROR_IO, new_art, dw_art_read("no-such-art.png", &new_art));
    NO_HANDLE(DW_ERROR_IO, new_art, dw_art_read(folder, &new_art));
    BAD(REQUEST, dw_art_read("no-such-art.png", NULL));
    BAD(REQUEST, dw_art_file_get(NULL, &told));
    BAD(REQUEST, dw_art_file_get(file, NULL));
    TOO_SMALL(told, dw_art_file_get(file, &told));
}

static void bad_proofs(void)
{
    dw_plate mixed[2] = {plates[0], plates[1]}, sized[2] = {plates[0], plates[1]}, floats[2] = {plates[0], plates[1]};
    static float zeros[8][8];
    mixed[1].sample = DW_SAMPLE_U16, mixed[1].width = 4;
    sized[1].width = 7;
    for (int i = 0; i < 2; i++)
        floats[i].sample = DW_SAMPLE_F32, floats[i].samples = zeros, floats[i].bytes = sizeof zeros, floats[i].stride = sizeof zeros[0];
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(NULL, plates, 2, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, NULL, 2, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, plates, 1, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, plates, 0, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, mixed, 2, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, sized, 2, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_proof_plates(print, floats, 2, &new_picture));
    BAD(REQUEST, dw_proof_plates(print, plates, 2, NULL));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(NULL, 100, 100, 500, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(picture, 0, 100, 500, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(picture, 100, NAN, 500, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(picture, 100, 100, 0, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(picture, 100, 100, -5, &new_picture));
    NO_HANDLE(REQUEST, new_picture, dw_picture_seen(picture, 100, 100, NAN, &new_picture));
    BAD(REQUEST, dw_picture_seen(picture, 100, 100, 500, NULL));
    BAD(REQUEST, dw_picture_size(NULL, &width, &height));
    BAD(REQUEST, dw_picture_size(picture, NULL, &height));
    BAD(REQUEST, dw_picture_size(picture, &width, NULL));
    BAD(REQUEST, dw_picture_srgb(NULL, codes, sizeof codes));
    BAD(REQUEST, dw_picture_srgb(picture, NULL, sizeof codes));
    BAD(REQUEST, dw_picture_srgb(picture, codes, sizeof codes - 1));
    BAD(REQUEST, dw_picture_srgb(picture, codes, 0));
    BAD(REQUEST, dw_picture_differences(NULL, picture, 1, &differences));
    BAD(REQUEST, dw_picture_differences(picture, NULL, 1, &differences));
    BAD(REQUEST, dw_picture_differences(picture, small, 1, &differences));
    BAD(REQUEST, dw_picture_differences(picture, picture, 0, &differences));
    BAD(REQUEST, dw_picture_differences(picture, picture, 1, NULL));
    TOO_SMALL(differences, dw_picture_differences(picture, picture, 1, &differences));
}

/* A sheet with one member changed. */
#define BAD_SHEET(member, value)                                                                     \
    do {                                                                                             \
        dw_sheet s = sheet;                                                                          \
        s.member = (value);                                                                          \
        BAD(REQUEST, dw_sheet_write(&film, 100, 100, screen, &s, "sheet.tif", DW_FORMAT_TIFF_T6));   \
    } while (0)

static void bad_sheets(void)
{
    BAD_SHEET(struct_size, 0);
    BAD_SHEET(struct_size, sizeof sheet - 1);
    BAD_SHEET(ink, NULL);
    BAD_SHEET(ink, "");
    BAD_SHEET(ink, "two\nlines");
    BAD_SHEET(ink, "\xff");
    BAD_SHEET(place, 0);
    BAD_SHEET(place, 3);
    BAD_SHEET(inks, 0);
    BAD_SHEET(job, "two\nlines");
    BAD_SHEET(date, "\xff");
    BAD_SHEET(margin_mm, -1);
    BAD_SHEET(margin_mm, 1); /* less than the mark */
    BAD_SHEET(margin_mm, 501);
    BAD_SHEET(margin_mm, NAN);
    BAD_SHEET(mark_mm, 51);
    BAD_SHEET(mark_mm, -3);
    BAD_SHEET(mark_mm, INFINITY);
    BAD_SHEET(letters_mm, 21);
    BAD_SHEET(letters_mm, NAN);
    BAD(REQUEST, dw_sheet_write(NULL, 100, 100, screen, &sheet, "sheet.tif", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 0, 100, screen, &sheet, "sheet.tif", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, NAN, screen, &sheet, "sheet.tif", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, 100, MISALIGNED(dw_screen, room), &sheet, "sheet.tif", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, 100, screen, NULL, "sheet.tif", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, 100, screen, &sheet, NULL, DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, 100, screen, &sheet, "", DW_FORMAT_TIFF_T6));
    BAD(REQUEST, dw_sheet_write(&film, 100, 100, screen, &sheet, "sheet.tif", 99));
    BAD(DW_ERROR_IO, dw_sheet_write(&film, 100, 100, screen, &sheet, "no-such-folder/sheet.tif", DW_FORMAT_TIFF_T6));
}

int main(int arguments, char **words)
{
    CHECK(arguments == 3);
    make_inputs(words[1]);
    bad_colours();
    bad_inks();
    bad_shelves(words[2]);
    bad_prints();
    bad_separations();
    bad_art(words[2]);
    bad_proofs();
    bad_sheets();
    dw_screen_free(screen);
    dw_art_free(file);
    dw_picture_free(small);
    dw_picture_free(picture);
    dw_separation_free(holding);
    dw_separation_free(separation);
    dw_separating_free(separating);
    dw_print_free(print);
    dw_printing_free(full);
    dw_printing_free(printing);
    dw_ink_free(ink);
    dw_shelf_free(shelf);
    dw_ink_free(NULL);
    dw_shelf_free(NULL);
    dw_printing_free(NULL);
    dw_print_free(NULL);
    dw_separating_free(NULL);
    dw_separation_free(NULL);
    dw_picture_free(NULL);
    dw_art_free(NULL);
    printf("%d bad calls refused\n", refused);
    return 0;
}
