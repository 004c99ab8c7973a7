/*
 * Bad calls of curves, requests, screens and files, a line each: refused with the right status, with words of their own, nothing
 * written, every input as it was.
 *
 *     bad_calls folder
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"
#include <float.h>
#include <math.h>

enum { WIDTH = 40, HEIGHT = 24, STRIDE = 8, ROOM = 1 << 12 };

static union {
    uint8_t bytes[ROOM];
    uint16_t words[ROOM / 2];
    double numbers[ROOM / 8];
} room;
static dw_screen_info info;
static size_t wide, high;
static uint64_t pixels;
static double part;
static dw_curve *new_curve;
static dw_request *new_request;
static dw_screen *new_screen;
static dw_writer *new_writer;

static output *outputs(size_t *count)
{
    static output all[] = {
        OUTPUT(PLAIN, room), OUTPUT(SIZED, info), OUTPUT(PLAIN, wide), OUTPUT(PLAIN, high), OUTPUT(PLAIN, pixels), OUTPUT(PLAIN, part),
        OUTPUT(HANDLE, new_curve), OUTPUT(HANDLE, new_request), OUTPUT(HANDLE, new_screen), OUTPUT(HANDLE, new_writer),
    };
    *count = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right. */
static dw_curve *curve;
static dw_request *request;
static dw_screen *screen;
static dw_writer *writer;
static union {
    uint8_t bytes[4 * WIDTH * HEIGHT];
    float floats[WIDTH * HEIGHT];
} samples;
static uint8_t bits[STRIDE * HEIGHT];
static dw_plate plate;
static dw_film film;
static dw_film_out out;
static char inside[1024], target[1100], nowhere[1100], folder[1100];

/* A plate or film with one member changed, in every call that reads it. */
#define BAD_PLATE(member, value)                                                                       \
    do {                                                                                               \
        dw_plate p = plate;                                                                            \
        p.member = (value);                                                                            \
        BAD(REQUEST, dw_screen_run(screen, &p, p.x, p.y, &out));                                       \
        BAD(REQUEST, dw_screen_run_threaded(screen, &p, p.x, p.y, &out));                              \
        BAD(REQUEST, dw_plate_film_size(&p, &wide, &high));                                            \
        BAD(REQUEST, dw_screen_write(screen, &p, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));        \
    } while (0)
#define BAD_FILM(member, value)                                                                        \
    do {                                                                                               \
        dw_film f = film;                                                                              \
        f.member = (value);                                                                            \
        BAD(REQUEST, dw_film_count(&f, &pixels));                                                      \
        BAD(REQUEST, dw_film_coverage(&f, 0, 0, 1, 1, &part));                                         \
        BAD(REQUEST, dw_writer_rows(writer, &f));                                                      \
    } while (0)
#define BAD_OUT(member, value)                                                                         \
    do {                                                                                               \
        dw_film_out o = out;                                                                           \
        o.member = (value);                                                                            \
        BAD(REQUEST, dw_screen_run(screen, &plate, 0, 0, &o));                                         \
        BAD(REQUEST, dw_screen_run_threaded(screen, &plate, 0, 0, &o));                                \
    } while (0)
/* A request told something that dw_screen_build must refuse. */
#define BAD_BUILD(expected, call)                                                                      \
    do {                                                                                               \
        dw_request *r = NULL;                                                                          \
        DONE(dw_request_new(600, 600, &r));                                                            \
        DONE(call);                                                                                    \
        NO_HANDLE(expected, new_screen, dw_screen_build(r, &new_screen));                              \
        dw_request_free(r);                                                                            \
    } while (0)

static double not_a_number(double x, double y, void *user)
{
    (void)user;
    return x > 0.5 && y > 0.5 ? NAN : x;
}

static double endless(double x, double y, void *user)
{
    (void)x, (void)y, (void)user;
    return INFINITY;
}

/* Another value each time, for the same place: a lie that nothing can tell from a shape. */
static double lies(double x, double y, void *user)
{
    uint32_t *state = user;
    *state = *state * 1664525u + 1013904223u;
    return x * y + (double)*state;
}

static int32_t stop(uint64_t done, uint64_t total, void *user)
{
    (void)done, (void)total, (void)user;
    return -1;
}

static void make_inputs(const char *path)
{
    const double x[] = {0, 1}, y[] = {0, 1};
    snprintf(inside, sizeof inside, "%s", path);
    snprintf(target, sizeof target, "%s/bad.png", inside);
    snprintf(nowhere, sizeof nowhere, "%s/no/such/film.png", inside);
    snprintf(folder, sizeof folder, "%s/folder", inside);
    for (size_t i = 0; i < WIDTH * HEIGHT; i++)
        samples.bytes[i] = (uint8_t)(i % 256);
    plate.struct_size = sizeof plate;
    plate.sample = DW_SAMPLE_U8;
    plate.samples = samples.bytes;
    plate.bytes = WIDTH * HEIGHT;
    plate.stride = plate.width = WIDTH;
    plate.height = HEIGHT;
    film.struct_size = sizeof film;
    film.bits = bits;
    film.bytes = sizeof bits;
    film.stride = STRIDE;
    film.width = WIDTH;
    film.height = HEIGHT;
    out.struct_size = sizeof out;
    out.bits = room.bytes;
    out.bytes = STRIDE * HEIGHT;
    out.stride = STRIDE;
    out.width = WIDTH;
    out.height = HEIGHT;
    DONE(dw_curve_through(x, y, 2, &curve));
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_screen_build(request, &screen));
    DONE(dw_writer_new(target, DW_FORMAT_PNG, WIDTH, HEIGHT, 600, 600, &writer));
}

static void bad_curves(void)
{
    const double half[] = {0.5}, falls[] = {0, 0.6, 0.4, 1}, up[] = {0, 0.3, 0.6, 1}, not[] = {0, 0.3, NAN, 1};
    const double wrong[] = {0, 0.3, 0.6, 1.5}, below[] = {-0.1, 0.3, 0.6, 1}, ends[] = {0, 1}, odd[] = {0.2, 0.5, 0.7, 3};
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(NULL, up, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, NULL, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(NULL, NULL, 0, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(half, half, 1, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(falls, up, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, falls, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, not, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(not, up, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(wrong, up, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, wrong, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(below, up, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, up, SIZE_MAX, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(up, up, SIZE_MAX / 8 + 1, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_through(MISALIGNED(double, up), up, 2, &new_curve));
    BAD(REQUEST, dw_curve_through(up, up, 4, NULL));
    BAD(REQUEST, dw_curve_through(up, up, 4, MISALIGNED(dw_curve *, &new_curve)));
    NO_HANDLE(REQUEST, new_curve, dw_curve_from_wedge(up, NULL, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_from_wedge(ends, ends, 2, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_from_wedge(up, odd, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_from_wedge(up, not, 4, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_from_wedge(up, up, 0, &new_curve));
    BAD(REQUEST, dw_curve_from_wedge(up, up, 4, NULL));
    NO_HANDLE(REQUEST, new_curve, dw_curve_inverse(NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_inverse(MISALIGNED(dw_curve, curve), &new_curve));
    BAD(REQUEST, dw_curve_inverse(curve, NULL));
    NO_HANDLE(REQUEST, new_curve, dw_curve_then(curve, NULL, &new_curve));
    NO_HANDLE(REQUEST, new_curve, dw_curve_then(NULL, curve, &new_curve));
    BAD(REQUEST, dw_curve_then(curve, curve, NULL));
    NO_HANDLE(REQUEST, new_curve, dw_curve_compensation(NULL, curve, &new_curve));
    BAD(REQUEST, dw_curve_compensation(curve, curve, NULL));
    BAD(REQUEST, dw_curve_eval(NULL, 0.5, &part));
    BAD(REQUEST, dw_curve_eval(curve, 0.5, NULL));
    BAD(REQUEST, dw_curve_eval(curve, 0.5, MISALIGNED(double, room.numbers)));
}

/* Curves within curves until the library says that it is enough; `both` takes a curve twice, so that the work doubles. */
static void wound_up(int both, int turned)
{
    dw_curve *inner = NULL, *outer = NULL, *turn = NULL;
    const double x[] = {0, 0.5, 1}, y[] = {0, 0.6, 1};
    DONE(dw_curve_through(x, y, 3, &inner));
    int times = 0;
    while (dw_curve_then(inner, both ? inner : curve, &outer) == DW_OK) {
        CHECK(++times < 1000);
        dw_curve_free(inner);
        inner = outer;
        if (turned && dw_curve_inverse(inner, &turn) == DW_OK) {
            dw_curve_free(inner);
            inner = turn;
        }
    }
    CHECK(times >= 2);
    NO_HANDLE(DW_ERROR_LIMIT, new_curve, dw_curve_then(inner, both ? inner : curve, &new_curve));
    if (turned)
        NO_HANDLE(DW_ERROR_LIMIT, new_curve, dw_curve_inverse(inner, &new_curve));
    DONE(dw_curve_eval(inner, 0.5, &part));
    dw_curve_free(inner);
}

static void bad_requests(void)
{
    const uint32_t array[] = {1, 2, 3, 4, 5, 6};
    NO_HANDLE(REQUEST, new_request, dw_request_new(0, 600, &new_request));
    NO_HANDLE(REQUEST, new_request, dw_request_new(600, NAN, &new_request));
    NO_HANDLE(REQUEST, new_request, dw_request_new(-600, 600, &new_request));
    NO_HANDLE(REQUEST, new_request, dw_request_new(INFINITY, 600, &new_request));
    NO_HANDLE(REQUEST, new_request, dw_request_new(600, DBL_MAX, &new_request));
    BAD(REQUEST, dw_request_new(600, 600, NULL));
    BAD(REQUEST, dw_request_lines(NULL, 45));
    BAD(REQUEST, dw_request_lines(request, 0));
    BAD(REQUEST, dw_request_lines(request, -45));
    BAD(REQUEST, dw_request_lines(request, NAN));
    BAD(REQUEST, dw_request_lines(MISALIGNED(dw_request, request), 45));
    BAD(REQUEST, dw_request_angle(NULL, 45));
    BAD(REQUEST, dw_request_angle(request, NAN));
    BAD(REQUEST, dw_request_angle(request, -INFINITY));
    BAD(REQUEST, dw_request_dot(NULL, DW_DOT_ROUND));
    BAD(REQUEST, dw_request_dot(request, DW_DOT_SQUARE + 1));
    BAD(REQUEST, dw_request_dot(request, UINT32_MAX));
    BAD(REQUEST, dw_request_ellipse(NULL, 0.4, 0.6));
    BAD(REQUEST, dw_request_ellipse(request, 0.6, 0.4));
    BAD(REQUEST, dw_request_ellipse(request, NAN, 0.6));
    BAD(REQUEST, dw_request_ellipse(request, 0.4, 1.6));
    BAD(REQUEST, dw_request_spot(NULL, endless, NULL));
    BAD(REQUEST, dw_request_spot(request, NULL, NULL));
    BAD(REQUEST, dw_request_index(NULL, 2));
    BAD(REQUEST, dw_request_index_pitch(NULL, 100));
    BAD(REQUEST, dw_request_index_cells(NULL));
    BAD(REQUEST, dw_request_mode(NULL, DW_MODE_NORMAL));
    BAD(REQUEST, dw_request_mode(request, 2));
    BAD(REQUEST, dw_request_mode(request, UINT32_MAX));
    BAD(REQUEST, dw_request_curve(NULL, curve));
    BAD(REQUEST, dw_request_curve(request, MISALIGNED(dw_curve, curve)));
    BAD(REQUEST, dw_request_tolerance(NULL, 0.1, 0.1));
    BAD(REQUEST, dw_request_tolerance(request, 0, 0.1));
    BAD(REQUEST, dw_request_tolerance(request, NAN, 0.1));
    BAD(REQUEST, dw_request_tolerance(request, 1e-300, 1e-300));
    BAD(REQUEST, dw_request_tolerance(request, 0.1, 2));
    BAD(REQUEST, dw_request_limit(NULL, 1000));
    BAD(REQUEST, dw_request_growth(NULL, DW_GROWTH_EVEN));
    BAD(REQUEST, dw_request_growth(request, DW_GROWTH_STRAIGHT + 1));
    BAD(REQUEST, dw_request_smallest(NULL, 50, 50, 0));
    BAD(REQUEST, dw_request_smallest(request, NAN, 50, 0));
    BAD(REQUEST, dw_request_smallest(request, 50, INFINITY, 1));

    BAD(REQUEST, dw_request_array(NULL, array, sizeof array, 12, 3, 2));
    BAD(REQUEST, dw_request_array(request, NULL, sizeof array, 12, 3, 2));
    BAD(REQUEST, dw_request_array(request, NULL, 0, 0, 0, 0));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 12, 0, 2));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 12, 3, 3));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 8, 3, 2));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 0, 3, 2));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 13, 3, 1));
    BAD(REQUEST, dw_request_array(request, array, 23, 12, 3, 2));
    BAD(REQUEST, dw_request_array(request, MISALIGNED(const uint32_t, array), 12, 12, 3, 1));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, SIZE_MAX - 3, 3, 3));
    BAD(REQUEST, dw_request_array(request, array, sizeof array, 12, 3, SIZE_MAX));
    BAD(REQUEST, dw_request_array(request, array, SIZE_MAX, SIZE_MAX - 3, SIZE_MAX / 4, 1));
    BAD(REQUEST, dw_request_array(request, array, SIZE_MAX, 4, SIZE_MAX / 2, 2));
}

static void bad_builds(void)
{
    NO_HANDLE(REQUEST, new_screen, dw_screen_build(NULL, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_screen_build(MISALIGNED(dw_request, request), &new_screen));
    BAD(REQUEST, dw_screen_build(request, NULL));
    BAD_BUILD(REQUEST, dw_request_lines(r, 400));
    BAD_BUILD(REQUEST, dw_request_smallest(r, -1, 50, 0));
    BAD_BUILD(REQUEST, dw_request_smallest(r, 50, 1e300, 0));
    BAD_BUILD(REQUEST, (dw_request_growth(r, DW_GROWTH_STRAIGHT), dw_request_smallest(r, 50, 50, 1)));
    BAD_BUILD(REQUEST, dw_request_index(r, 0));
    BAD_BUILD(REQUEST, dw_request_index(r, 257));
    BAD_BUILD(REQUEST, dw_request_index(r, SIZE_MAX));
    BAD_BUILD(REQUEST, dw_request_index_pitch(r, 0));
    BAD_BUILD(REQUEST, dw_request_index_pitch(r, NAN));
    BAD_BUILD(REQUEST, dw_request_index_pitch(r, -100));
    BAD_BUILD(REQUEST, dw_request_index_pitch(r, 1e300));
    BAD_BUILD(REQUEST, dw_request_limit(r, 0));
    BAD_BUILD(REQUEST, dw_request_limit(r, UINT64_MAX));
    BAD_BUILD(DW_ERROR_LIMIT, dw_request_limit(r, 16));
    BAD_BUILD(DW_ERROR_LIMIT, (dw_request_limit(r, 5000), dw_request_tolerance(r, 1e-5, 1e-5)));
    BAD_BUILD(REQUEST, dw_request_spot(r, not_a_number, NULL));
    BAD_BUILD(REQUEST, dw_request_spot(r, endless, NULL));
    BAD_BUILD(REQUEST, (dw_request_index_cells(r), dw_request_limit(r, UINT64_MAX)));
    NO_HANDLE(REQUEST, new_screen, dw_screen_again(NULL, DW_MODE_NORMAL, NULL, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_screen_again(screen, 7, NULL, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_screen_again(screen, 0, MISALIGNED(dw_curve, curve), &new_screen));
    BAD(REQUEST, dw_screen_again(screen, DW_MODE_NORMAL, NULL, NULL));
}

static void bad_tellings(void)
{
    size_t count = 0;
    dw_screen_info good;
    good.struct_size = sizeof good;
    DONE(dw_screen_get_info(screen, &good));
    count = good.brick_width * good.brick_height;
    BAD(REQUEST, dw_screen_get_info(NULL, &info));
    BAD(REQUEST, dw_screen_get_info(screen, NULL));
    BAD(REQUEST, dw_screen_get_info(screen, MISALIGNED(dw_screen_info, room.bytes)));
    TOO_SMALL(info, dw_screen_get_info(screen, &info));
    /* Counts that are wrong are refused before the buffer is looked at, so that it may be shorter than they say. */
    BAD(REQUEST, dw_screen_thresholds_u8(NULL, room.bytes, 1));
    BAD(REQUEST, dw_screen_thresholds_u8(screen, NULL, count));
    BAD(REQUEST, dw_screen_thresholds_u8(screen, NULL, 0));
    BAD(REQUEST, dw_screen_thresholds_u8(screen, room.bytes, 0));
    BAD(REQUEST, dw_screen_thresholds_u8(screen, room.bytes, 5));
    BAD(REQUEST, dw_screen_thresholds_u8(screen, room.bytes, SIZE_MAX));
    BAD(REQUEST, dw_screen_thresholds_u16(NULL, room.words, 1));
    BAD(REQUEST, dw_screen_thresholds_u16(screen, room.words, 5));
    BAD(REQUEST, dw_screen_thresholds_u16(screen, MISALIGNED(uint16_t, room.words), 5));
    BAD(REQUEST, dw_screen_thresholds_u16(screen, room.words, SIZE_MAX / 2 + 1));
    BAD(REQUEST, dw_screen_type16(NULL, room.bytes, 1));
    BAD(REQUEST, dw_screen_type16(screen, room.bytes, 5));
    BAD(REQUEST, dw_screen_type16(screen, NULL, 2 * count));
}

static void bad_plates(void)
{
    BAD_PLATE(struct_size, 0);
    BAD_PLATE(struct_size, sizeof plate - 1);
    BAD_PLATE(sample, 3);
    BAD_PLATE(sample, UINT32_MAX);
    BAD_PLATE(sampling, 2);
    BAD_PLATE(samples, NULL);
    BAD_PLATE(bytes, 0);
    BAD_PLATE(bytes, WIDTH * HEIGHT - 1);
    BAD_PLATE(stride, 0);
    BAD_PLATE(stride, WIDTH - 1);
    BAD_PLATE(stride, WIDTH + 1);            /* more than there are bytes */
    BAD_PLATE(stride, SIZE_MAX / HEIGHT + 9); /* stride x rows overflows to a few bytes */
    BAD_PLATE(stride, SIZE_MAX);
    BAD_PLATE(width, SIZE_MAX);
    BAD_PLATE(height, SIZE_MAX);
    BAD_PLATE(height, SIZE_MAX / WIDTH + 2);
    BAD_PLATE(plate_x_per_inch, 300); /* one of four */
    BAD_PLATE(plate_y_per_inch, NAN);
    BAD_PLATE(film_x_per_inch, INFINITY);
    BAD_PLATE(film_y_per_inch, -1);

    const dw_plate good = plate;
    plate.sample = DW_SAMPLE_U16;
    plate.stride = 2 * WIDTH;
    plate.bytes = 2 * WIDTH * HEIGHT;
    DONE(dw_screen_run(screen, &plate, 0, 0, &out));
    BAD_PLATE(samples, samples.bytes + 1); /* misaligned */
    BAD_PLATE(stride, 2 * WIDTH + 1);      /* no multiple of a sample */
    BAD_PLATE(stride, 2 * WIDTH - 2);
    BAD_PLATE(width, SIZE_MAX / 2 + 1);    /* width x 2 overflows to 0 */
    plate.sample = DW_SAMPLE_F32;
    plate.stride = 4 * WIDTH;
    plate.bytes = 4 * WIDTH * HEIGHT;
    DONE(dw_screen_run(screen, &plate, 0, 0, &out));
    BAD_PLATE(samples, samples.bytes + 2);
    BAD_PLATE(stride, 4 * WIDTH + 2);
    BAD_PLATE(width, SIZE_MAX / 4 + 1);
    plate = good;

    /* A film of 100000 px/inch of a plate of 1 px/inch, 2^31 wide and more: honest but too large. */
    plate.plate_x_per_inch = plate.plate_y_per_inch = 1;
    plate.film_x_per_inch = plate.film_y_per_inch = 100000;
    plate.width = 30000;
    plate.height = 1;
    static uint8_t row[30000];
    plate.samples = row;
    plate.bytes = plate.stride = sizeof row;
    BAD(DW_ERROR_LIMIT, dw_plate_film_size(&plate, &wide, &high));
    BAD(DW_ERROR_LIMIT, dw_screen_run(screen, &plate, 0, 0, &out));
    plate = good;

    plate.width = 0; /* without extent there is no film to write */
    BAD(REQUEST, dw_screen_write(screen, &plate, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(REQUEST, dw_screen_run(screen, &plate, 0, 0, &out));
    plate = good;
    BAD(REQUEST, dw_plate_film_size(NULL, &wide, &high));
    BAD(REQUEST, dw_plate_film_size(&plate, NULL, &high));
    BAD(REQUEST, dw_plate_film_size(&plate, &wide, NULL));
    BAD(REQUEST, dw_plate_film_size(MISALIGNED(dw_plate, room.bytes), &wide, &high));
}

static void bad_runs(void)
{
    BAD(REQUEST, dw_screen_run(NULL, &plate, 0, 0, &out));
    BAD(REQUEST, dw_screen_run(screen, NULL, 0, 0, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, 0, 0, NULL));
    BAD(REQUEST, dw_screen_run(MISALIGNED(dw_screen, screen), &plate, 0, 0, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, 0, 0, MISALIGNED(dw_film_out, room.bytes)));
    BAD(REQUEST, dw_screen_run(screen, &plate, -1, 0, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, 0, 1, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, INT64_MAX, INT64_MAX, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, INT64_MIN, 0, &out));
    BAD(REQUEST, dw_screen_run_threaded(screen, &plate, 0, INT64_MIN, &out));
    const dw_plate good = plate;
    plate.x = INT64_MAX; /* its own right side has no 64-bit place */
    BAD(REQUEST, dw_screen_run(screen, &plate, INT64_MAX, 0, &out));
    BAD(REQUEST, dw_screen_run(screen, &plate, INT64_MIN, 0, &out));
    BAD(REQUEST, dw_screen_write(screen, &plate, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    plate.x = 0;
    plate.y = INT64_MAX - 3;
    BAD(REQUEST, dw_screen_run(screen, &plate, 0, INT64_MAX - 3, &out));
    BAD(REQUEST, dw_screen_write(screen, &plate, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    plate = good;

    BAD_OUT(struct_size, sizeof out - 1);
    BAD_OUT(bits, NULL);
    BAD_OUT(bytes, 0);
    BAD_OUT(bytes, STRIDE * (HEIGHT - 1) + WIDTH / 8 - 1);
    BAD_OUT(bytes, SIZE_MAX);
    BAD_OUT(stride, 0);
    BAD_OUT(stride, WIDTH / 8 - 1);
    BAD_OUT(stride, SIZE_MAX);
    BAD_OUT(stride, SIZE_MAX / HEIGHT + 9);
    BAD_OUT(width, SIZE_MAX);
    BAD_OUT(height, SIZE_MAX);
    BAD_OUT(height, HEIGHT + 1);
    BAD_OUT(width, WIDTH + 1); /* fits the stride, not the plate */
}

static void bad_films(void)
{
    BAD_FILM(struct_size, 0);
    BAD_FILM(struct_size, sizeof film - 1);
    BAD_FILM(bits, NULL);
    BAD_FILM(bytes, 0);
    BAD_FILM(bytes, STRIDE * (HEIGHT - 1) + WIDTH / 8 - 1);
    BAD_FILM(bytes, SIZE_MAX);
    BAD_FILM(stride, WIDTH / 8 - 1);
    BAD_FILM(stride, SIZE_MAX);
    BAD_FILM(width, SIZE_MAX);
    BAD_FILM(height, SIZE_MAX);
    BAD_FILM(height, HEIGHT + 1);
    BAD(REQUEST, dw_film_count(NULL, &pixels));
    BAD(REQUEST, dw_film_count(&film, NULL));
    BAD(REQUEST, dw_film_count(&film, MISALIGNED(uint64_t, room.bytes)));
    BAD(REQUEST, dw_film_coverage(NULL, 0, 0, 1, 1, &part));
    BAD(REQUEST, dw_film_coverage(&film, 0, 0, 1, 1, NULL));
    BAD(REQUEST, dw_film_coverage(&film, 0, 0, WIDTH + 1, 1, &part));
    BAD(REQUEST, dw_film_coverage(&film, 0, HEIGHT, 1, 1, &part));
    BAD(REQUEST, dw_film_coverage(&film, SIZE_MAX, 0, 2, 1, &part));
    BAD(REQUEST, dw_film_coverage(&film, 0, 2, 1, SIZE_MAX, &part));
}

static void bad_files(void)
{
    dw_writer *w = NULL;
    dw_film half = film, wide_film = film;
    half.height = HEIGHT / 2;
    wide_film.width = WIDTH + 1;

    NO_HANDLE(REQUEST, new_writer, dw_writer_new(NULL, DW_FORMAT_PNG, 8, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new("", DW_FORMAT_PNG, 8, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new("\xff\xfe.png", DW_FORMAT_PNG, 8, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PBM + 1, 8, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PNG, 0, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PNG, 8, 0, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PBM, SIZE_MAX, 8, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_TIFF, 8, SIZE_MAX, 600, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PNG, 8, 8, NAN, 600, &new_writer));
    NO_HANDLE(REQUEST, new_writer, dw_writer_new(target, DW_FORMAT_PNG, 8, 8, 600, 0, &new_writer));
    NO_HANDLE(DW_ERROR_IO, new_writer, dw_writer_new(nowhere, DW_FORMAT_PNG, 8, 8, 600, 600, &new_writer));
    BAD(REQUEST, dw_writer_new(target, DW_FORMAT_PNG, 8, 8, 600, 600, NULL));
    BAD(REQUEST, dw_writer_rows(NULL, &film));
    BAD(REQUEST, dw_writer_rows(writer, NULL));
    BAD(REQUEST, dw_writer_rows(writer, &wide_film));
    BAD(REQUEST, dw_writer_rows(MISALIGNED(dw_writer, writer), &film));
    BAD(REQUEST, dw_writer_finish(NULL));

    /* Ended with rows missing: nothing can be added any more, and no file is there. */
    DONE(dw_writer_new(target, DW_FORMAT_TIFF_T6, WIDTH, HEIGHT, 600, 600, &w));
    DONE(dw_writer_rows(w, &half));
    BAD(REQUEST, dw_writer_rows(w, &film)); /* more rows than are left */
    BAD(REQUEST, dw_writer_finish(w));
    BAD(REQUEST, dw_writer_rows(w, &half));
    BAD(REQUEST, dw_writer_finish(w));
    dw_writer_free(w);

    /* Finished, then used again. The writer with which everything above was tried is still sound. */
    DONE(dw_writer_rows(writer, &film));
    BAD(REQUEST, dw_writer_rows(writer, &half));
    CHECK(fopen(target, "rb") == NULL);
    DONE(dw_writer_finish(writer));
    BAD(REQUEST, dw_writer_finish(writer));
    BAD(REQUEST, dw_writer_rows(writer, &half));
    CHECK(remove(target) == 0);
    dw_writer_free(writer);

    /* A folder stands under the name. */
    NO_HANDLE(DW_ERROR_IO, new_writer, dw_writer_new(folder, DW_FORMAT_PNG, WIDTH, HEIGHT, 600, 600, &new_writer));
    BAD(REQUEST, dw_screen_write(NULL, &plate, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(REQUEST, dw_screen_write(screen, NULL, target, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(REQUEST, dw_screen_write(screen, &plate, NULL, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(REQUEST, dw_screen_write(screen, &plate, target, UINT32_MAX, 600, 600, NULL, NULL));
    BAD(REQUEST, dw_screen_write(screen, &plate, target, DW_FORMAT_PNG, NAN, 600, NULL, NULL));
    BAD(DW_ERROR_IO, dw_screen_write(screen, &plate, nowhere, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(DW_ERROR_IO, dw_screen_write(screen, &plate, folder, DW_FORMAT_PNG, 600, 600, NULL, NULL));
    BAD(DW_CANCELLED, dw_screen_write(screen, &plate, target, DW_FORMAT_PNG, 600, 600, stop, NULL));
    CHECK(fopen(target, "rb") == NULL);
}

/* What is odd, but right. */
static void odd_calls(void)
{
    uint32_t state = 1;
    dw_request *r = NULL;
    dw_screen *s = NULL;
    dw_plate p = plate;
    dw_film_out o = out;
    dw_film empty = {0};
    dw_curve_free(NULL);
    dw_request_free(NULL);
    dw_screen_free(NULL);
    dw_writer_free(NULL);

    DONE(dw_request_new(600, 600, &r));
    DONE(dw_request_spot(r, lies, &state));
    DONE(dw_screen_build(r, &s));
    DONE(dw_screen_run(s, &plate, 0, 0, &out));
    dw_screen_free(s);
    dw_request_free(r);

    p.x = INT64_MIN;
    p.y = INT64_MAX - HEIGHT + 1;
    DONE(dw_screen_run(screen, &p, p.x, p.y, &out));
    p = plate;
    p.height = 1;
    p.stride = SIZE_MAX; /* never stepped over */
    o.height = 1;
    o.stride = SIZE_MAX;
    DONE(dw_screen_run(screen, &p, 0, 0, &o));

    /* Structures of a later header are longer. */
    p = plate;
    p.struct_size += 64;
    DONE(dw_screen_run(screen, &p, 0, 0, &out));

    o = out;
    o.bits = NULL;
    o.bytes = o.width = 0;
    DONE(dw_screen_run(screen, &plate, -5, 99, &o));
    empty.struct_size = sizeof empty;
    DONE(dw_film_count(&empty, &pixels));
    CHECK(pixels == 0);
    DONE(dw_film_coverage(&empty, 0, 0, 0, 0, &part));
    CHECK(part == 0);
    memset(&p, 0, sizeof p);
    p.struct_size = sizeof p;
    DONE(dw_plate_film_size(&p, &wide, &high));
    CHECK(wide == 0 && high == 0);
    DONE(dw_curve_eval(curve, NAN, &part));
    CHECK(part == 0);
}

int main(int count, char **words)
{
    dw_screen *after = NULL;
    static uint8_t first[STRIDE * HEIGHT];
    CHECK(count == 2);
    make_inputs(words[1]);
    DONE(dw_screen_run(screen, &plate, 0, 0, &out));
    memcpy(first, room.bytes, sizeof first);

    bad_curves();
    wound_up(0, 0);
    wound_up(1, 0);
    wound_up(1, 1);
    bad_requests();
    bad_builds();
    bad_tellings();
    bad_plates();
    bad_runs();
    bad_films();
    bad_files();
    odd_calls();

    /* The request and the screen are what they were before. */
    DONE(dw_screen_build(request, &after));
    for (int i = 0; i < 2; i++) {
        memset(&room, 0, sizeof room);
        DONE(dw_screen_run(i ? screen : after, &plate, 0, 0, &out));
        CHECK(memcmp(room.bytes, first, sizeof first) == 0);
    }
    dw_screen_free(after);
    dw_screen_free(screen);
    dw_request_free(request);
    dw_curve_free(curve);
    printf("%d bad calls refused\n", refused);
    return 0;
}
