/*
 * Bad calls of measuring and gain. As bad_calls.c.
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"
#include <float.h>
#include <math.h>

static double x, y, number;
static size_t count;
static float covered[64];
static dw_film out_film;
static dw_parts parts;
static dw_details details;
static dw_repeat repeat;
static dw_ring ring;
static dw_overlap overlap;
static dw_growth growth;
static dw_film_file *new_file;
static dw_spectrum *new_spectrum;
static dw_curve *new_curve;

static output *outputs(size_t *many)
{
    static output all[] = {
        OUTPUT(PLAIN, x), OUTPUT(PLAIN, y), OUTPUT(PLAIN, number), OUTPUT(PLAIN, count), OUTPUT(PLAIN, covered),
        OUTPUT(SIZED, out_film), OUTPUT(SIZED, parts), OUTPUT(SIZED, details), OUTPUT(SIZED, repeat), OUTPUT(SIZED, ring),
        OUTPUT(SIZED, overlap), OUTPUT(SIZED, growth),
        OUTPUT(HANDLE, new_file), OUTPUT(HANDLE, new_spectrum), OUTPUT(HANDLE, new_curve),
    };
    *many = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right: a film of noise, one of another size, screens with and without a shape, a curve, a spectrum. */
static uint8_t rows[64 * 8], small_rows[8];
static const dw_film film = {sizeof film, rows, sizeof rows, 8, 64, 64};
static const dw_film small = {sizeof small, small_rows, sizeof small_rows, 1, 8, 8};
static dw_screen *dots, *index_dots;
static dw_curve *curve, *flat;
static dw_spectrum *spectrum;
static const double films[] = {0.2, 0.5}, printed[] = {0.3, 0.7};

static void make_inputs(void)
{
    uint32_t state = 1;
    for (size_t i = 0; i < sizeof rows; i++) {
        state = state * 1664525u + 1013904223u;
        rows[i] = (uint8_t)(state >> 24);
    }
    dw_request *request = NULL;
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_screen_build(request, &dots));
    DONE(dw_request_index(request, 4));
    DONE(dw_screen_build(request, &index_dots));
    dw_request_free(request);
    const double at[] = {0.5, 1}, to[] = {0.6, 1}, early[] = {1, 1};
    DONE(dw_curve_through(at, to, 2, &curve));
    DONE(dw_curve_through(at, early, 2, &flat));
    DONE(dw_film_spectrum(&film, &spectrum));
}

/* A call of a film with one member changed. */
#define BAD_FILMS(call)                                             \
    do {                                                            \
        dw_film f = film;                                           \
        const dw_film *bad = NULL;                                  \
        BAD(REQUEST, call);                                         \
        bad = MISALIGNED(const dw_film, &film);                     \
        BAD(REQUEST, call);                                         \
        bad = &f;                                                   \
        f.struct_size = sizeof f - 1;                               \
        BAD(REQUEST, call);                                         \
        f = film;                                                   \
        f.bits = NULL;                                              \
        BAD(REQUEST, call);                                         \
        f = film;                                                   \
        f.bytes--;                                                  \
        BAD(REQUEST, call);                                         \
        f = film;                                                   \
        f.stride = 7;                                               \
        BAD(REQUEST, call);                                         \
        f = film;                                                   \
        f.width = f.height = SIZE_MAX;                              \
        BAD(REQUEST, call);                                         \
    } while (0)
/* A call of a resolution that is none. */
#define BAD_RESOLUTIONS(call)                                              \
    do {                                                                   \
        const double bad[] = {0, -1, (double)NAN, (double)INFINITY, 1e9};  \
        for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {            \
            double rx = bad[i], ry = 600;                                  \
            BAD(REQUEST, call);                                            \
            rx = 600;                                                      \
            ry = bad[i];                                                   \
            BAD(REQUEST, call);                                            \
        }                                                                  \
    } while (0)

static void bad_files(void)
{
    NO_HANDLE(REQUEST, new_file, dw_film_read(NULL, &new_file));
    NO_HANDLE(REQUEST, new_file, dw_film_read("", &new_file));
    NO_HANDLE(REQUEST, new_file, dw_film_read("\xff\xfe", &new_file));
    NO_HANDLE(DW_ERROR_IO, new_file, dw_film_read("no such film", &new_file));
    BAD(REQUEST, dw_film_read("no such film", NULL));
    BAD(REQUEST, dw_film_file_get(NULL, &out_film, &x, &y));
}

static void bad_films(void)
{
    BAD_FILMS(dw_film_perimeter(bad, 600, 600, &number));
    BAD_RESOLUTIONS(dw_film_perimeter(&film, rx, ry, &number));
    BAD(REQUEST, dw_film_perimeter(&film, 600, 600, NULL));

    BAD_FILMS(dw_film_parts(bad, DW_PART_INK, DW_TOUCH_SIDES, &parts));
    BAD(REQUEST, dw_film_parts(&film, 2, DW_TOUCH_SIDES, &parts));
    BAD(REQUEST, dw_film_parts(&film, UINT32_MAX, DW_TOUCH_SIDES, &parts));
    BAD(REQUEST, dw_film_parts(&film, DW_PART_INK, 2, &parts));
    BAD(REQUEST, dw_film_parts(&film, DW_PART_INK, DW_TOUCH_SIDES, NULL));
    TOO_SMALL(parts, dw_film_parts(&film, DW_PART_INK, DW_TOUCH_SIDES, &parts));

    BAD_FILMS(dw_film_details(bad, 600, 600, &details));
    BAD_RESOLUTIONS(dw_film_details(&film, rx, ry, &details));
    BAD(REQUEST, dw_film_details(&film, 600, 600, NULL));
    TOO_SMALL(details, dw_film_details(&film, 600, 600, &details));

    BAD_FILMS(dw_film_grain(bad, 600, 600, 200, &number));
    BAD_RESOLUTIONS(dw_film_grain(&film, rx, ry, 200, &number));
    BAD(REQUEST, dw_film_grain(&film, 600, 600, 0, &number));
    BAD(REQUEST, dw_film_grain(&film, 600, 600, (double)NAN, &number));
    BAD(REQUEST, dw_film_grain(&film, 600, 600, 45, &number)); /* less than ten periods */
    BAD(REQUEST, dw_film_grain(&film, 600, 600, 200, NULL));

    BAD_FILMS(dw_film_repeat(bad, 600, 600, &repeat));
    BAD_RESOLUTIONS(dw_film_repeat(&film, rx, ry, &repeat));
    BAD(DATA, dw_film_repeat(&film, 600, 600, &repeat)); /* noise */
    BAD(REQUEST, dw_film_repeat(&small, 600, 600, &repeat));
    BAD(REQUEST, dw_film_repeat(&film, 600, 600, NULL));
    TOO_SMALL(repeat, dw_film_repeat(&film, 600, 600, &repeat));
}

static void bad_spectra(void)
{
    BAD_FILMS(dw_film_spectrum(bad, &new_spectrum));
    NO_HANDLE(REQUEST, new_spectrum, dw_film_spectrum(&small, &new_spectrum));
    BAD(REQUEST, dw_film_spectrum(&film, NULL));
    BAD(REQUEST, dw_spectrum_count(NULL, &count));
    BAD(REQUEST, dw_spectrum_count(spectrum, NULL));
    BAD(REQUEST, dw_spectrum_get(NULL, 0, &ring));
    BAD(REQUEST, dw_spectrum_get(spectrum, 32, &ring));
    BAD(REQUEST, dw_spectrum_get(spectrum, SIZE_MAX, &ring));
    BAD(REQUEST, dw_spectrum_get(spectrum, 0, NULL));
    TOO_SMALL(ring, dw_spectrum_get(spectrum, 0, &ring));
}

static void bad_screens(void)
{
    BAD_FILMS(dw_films_overlap(bad, dots, &film, dots, &overlap));
    BAD_FILMS(dw_films_overlap(&film, dots, bad, dots, &overlap));
    BAD(REQUEST, dw_films_overlap(&film, NULL, &film, dots, &overlap));
    BAD(REQUEST, dw_films_overlap(&film, dots, &film, NULL, &overlap));
    BAD(REQUEST, dw_films_overlap(&film, dots, &small, dots, &overlap));
    BAD(REQUEST, dw_films_overlap(&film, dots, &film, dots, NULL));
    TOO_SMALL(overlap, dw_films_overlap(&film, dots, &film, dots, &overlap));

    BAD(REQUEST, dw_screen_link_ups(NULL, &x, &y));
    BAD(REQUEST, dw_screen_link_ups(index_dots, &x, &y));
    BAD(REQUEST, dw_screen_link_ups(dots, NULL, &y));
    BAD(REQUEST, dw_screen_link_ups(dots, &x, NULL));
}

static void bad_gains(void)
{
    const double gains[] = {-0.5, 0.5, (double)NAN, (double)INFINITY};
    for (size_t i = 0; i < sizeof gains / sizeof *gains; i++)
        NO_HANDLE(REQUEST, new_curve, dw_curve_of_gain(gains[i], &new_curve));
    BAD(REQUEST, dw_curve_of_gain(0.2, NULL));

    const double growths[] = {1e6, -1e6, (double)NAN, -(double)INFINITY};
    for (size_t i = 0; i < sizeof growths / sizeof *growths; i++)
        NO_HANDLE(REQUEST, new_curve, dw_curve_of_growth(dots, growths[i], &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_of_growth(NULL, 10, &new_curve));
    BAD(REQUEST, dw_curve_of_growth(dots, 10, NULL));

    BAD(REQUEST, dw_growth_fit(NULL, films, printed, 2, &growth));
    BAD(REQUEST, dw_growth_fit(dots, NULL, printed, 2, &growth));
    BAD(REQUEST, dw_growth_fit(dots, films, NULL, 2, &growth));
    BAD(REQUEST, dw_growth_fit(dots, films, printed, SIZE_MAX, &growth));
    BAD(REQUEST, dw_growth_fit(dots, films, printed, 2, NULL));
    TOO_SMALL(growth, dw_growth_fit(dots, films, printed, 2, &growth));

    BAD_FILMS(dw_film_grown(bad, 600, 600, 10, covered, 64 * 64));
    BAD(REQUEST, dw_film_grown(&small, 600, 600, 10, covered, 63));
    BAD(REQUEST, dw_film_grown(&small, 600, 600, 10, NULL, 64));
    BAD(REQUEST, dw_film_grown(&small, 600, 600, 10, MISALIGNED(float, covered), 63));
    BAD(REQUEST, dw_film_grown(&small, 600, 600, (double)NAN, covered, 64));
    BAD_RESOLUTIONS(dw_film_grown(&small, rx, ry, 10, covered, 64));

    NO_HANDLE(REQUEST, new_curve, dw_curve_compensation_to(NULL, curve, NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_compensation_to(curve, NULL, NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_compensation_to(curve, curve, MISALIGNED(dw_curve, curve), &new_curve));
    BAD(REQUEST, dw_curve_compensation_to(curve, curve, NULL, NULL));
    NO_HANDLE(REQUEST, new_curve, dw_curve_refined(NULL, curve, NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_refined(curve, NULL, NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_refined(curve, flat, NULL, &new_curve)); /* solid from a tint on */
    BAD(REQUEST, dw_curve_refined(curve, curve, NULL, NULL));
}

int main(void)
{
    make_inputs();
    bad_files();
    bad_films();
    bad_spectra();
    bad_screens();
    bad_gains();

    dw_film_file_free(NULL);
    dw_spectrum_free(NULL);
    dw_screen_free(dots);
    dw_screen_free(index_dots);
    dw_curve_free(curve);
    dw_curve_free(flat);
    dw_spectrum_free(spectrum);
    printf("%d bad calls refused\n", refused);
    return 0;
}
