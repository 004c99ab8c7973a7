/*
 * Bad calls of plates side by side. As bad_calls.c.
 *
 * Ends with "N bad calls refused".
 */
#include "bad.h"

enum { WIDTH = 64, HEIGHT = 8, STRIDE = 8 };

static uint8_t rows[2][HEIGHT * STRIDE];
static int64_t right, down;
static dw_side_by_side *new_screen;

static output *outputs(size_t *many)
{
    static output all[] = {OUTPUT(PLAIN, rows), OUTPUT(PLAIN, right), OUTPUT(PLAIN, down), OUTPUT(HANDLE, new_screen)};
    *many = sizeof all / sizeof *all;
    return all;
}

/* Inputs that are right: two plates, two films, a screen for them. */
static uint8_t samples[WIDTH * HEIGHT];
static dw_plate plates[2];
static dw_film_out outs[2];
static const dw_plate *of_plates[2] = {&plates[0], &plates[1]};
static const dw_film_out *of_outs[2] = {&outs[0], &outs[1]};
static dw_side_by_side *screen;
static dw_curve *curve;

static void make_inputs(void)
{
    for (size_t i = 0; i < 2; i++) {
        plates[i].struct_size = sizeof plates[i];
        plates[i].sample = DW_SAMPLE_U8;
        plates[i].samples = samples;
        plates[i].bytes = sizeof samples;
        plates[i].stride = plates[i].width = WIDTH;
        plates[i].height = HEIGHT;
        outs[i].struct_size = sizeof outs[i];
        outs[i].bits = rows[i];
        outs[i].bytes = sizeof rows[i];
        outs[i].stride = STRIDE;
        outs[i].width = WIDTH;
        outs[i].height = HEIGHT;
    }
    dw_request *request = NULL;
    DONE(dw_request_new(600, 600, &request));
    DONE(dw_side_by_side_build(request, 2, DW_SHARING_COMPACT, &screen));
    dw_request_free(request);
    const double at[] = {1}, to[] = {0.8};
    DONE(dw_curve_through(at, to, 1, &curve));
}

/* A run, on one thread and on many. */
#define BAD_RUN(screen, plates, outs, count, x, y)                                  \
    do {                                                                            \
        BAD(REQUEST, dw_side_by_side_run(screen, plates, outs, count, x, y));          \
        BAD(REQUEST, dw_side_by_side_run_threaded(screen, plates, outs, count, x, y)); \
    } while (0)
/* A run with a member of the second plate or film changed. */
#define BAD_MEMBER(structure, member, value)                \
    do {                                                    \
        const dw_plate keep_plate = plates[1];              \
        const dw_film_out keep_out = outs[1];               \
        structure[1].member = (value);                      \
        BAD_RUN(screen, of_plates, of_outs, 2, 0, 0);       \
        plates[1] = keep_plate;                             \
        outs[1] = keep_out;                                 \
    } while (0)
/* A request told something that two plates side by side must refuse. */
#define BAD_BUILD(plates, sharing, call)                                                  \
    do {                                                                                  \
        dw_request *r = NULL;                                                             \
        DONE(dw_request_new(600, 600, &r));                                               \
        DONE(call);                                                                       \
        NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(r, plates, sharing, &new_screen)); \
        dw_request_free(r);                                                               \
    } while (0)

static void building(void)
{
    dw_request *request = NULL;
    DONE(dw_request_new(600, 600, &request));
    const size_t counts[] = {0, 13, SIZE_MAX};
    for (size_t i = 0; i < 3; i++) {
        NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(request, counts[i], DW_SHARING_COMPACT, &new_screen));
        NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(request, counts[i], DW_SHARING_RINGS, &new_screen));
    }
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(request, 2, 2, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(request, 2, UINT32_MAX, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_build(NULL, 2, DW_SHARING_COMPACT, &new_screen));
    BAD(REQUEST, dw_side_by_side_build(request, 2, DW_SHARING_COMPACT, NULL));
    dw_request_free(request);
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_mode(r, DW_MODE_INVERTED));
    BAD_BUILD(2, DW_SHARING_RINGS, dw_request_mode(r, DW_MODE_INVERTED));
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_dot(r, DW_DOT_LINE));
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_ellipse(r, 0.4, 0.6));
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_index(r, 3));
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_index_cells(r));
    BAD_BUILD(2, DW_SHARING_RINGS, dw_request_index(r, 0));
    BAD_BUILD(2, DW_SHARING_COMPACT, dw_request_lines(r, 599));

    const dw_curve *const curves[3] = {NULL, curve, NULL};
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_curves(NULL, curves, 2, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_curves(screen, NULL, 2, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_curves(screen, curves, 0, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_curves(screen, curves, 3, &new_screen));
    NO_HANDLE(REQUEST, new_screen, dw_side_by_side_curves(screen, curves, SIZE_MAX, &new_screen));
    BAD(REQUEST, dw_side_by_side_curves(screen, curves, 2, NULL));

    BAD(REQUEST, dw_side_by_side_seed(NULL, 0, &right, &down));
    BAD(REQUEST, dw_side_by_side_seed(screen, 2, &right, &down));
    BAD(REQUEST, dw_side_by_side_seed(screen, SIZE_MAX, &right, &down));
    BAD(REQUEST, dw_side_by_side_seed(screen, 0, NULL, &down));
    BAD(REQUEST, dw_side_by_side_seed(screen, 0, &right, NULL));
    BAD(REQUEST, dw_side_by_side_seed(screen, 0, MISALIGNED(int64_t, &right), &down));
}

static void running(void)
{
    BAD_RUN(NULL, of_plates, of_outs, 2, 0, 0);
    BAD_RUN(screen, NULL, of_outs, 2, 0, 0);
    BAD_RUN(screen, of_plates, NULL, 2, 0, 0);
    const size_t counts[] = {0, 1, 3, SIZE_MAX};
    for (size_t i = 0; i < 4; i++)
        BAD_RUN(screen, of_plates, of_outs, counts[i], 0, 0);
    const int64_t places[] = {1, -1, INT64_MAX, INT64_MIN};
    for (size_t i = 0; i < 4; i++) {
        BAD_RUN(screen, of_plates, of_outs, 2, places[i], 0);
        BAD_RUN(screen, of_plates, of_outs, 2, 0, places[i]);
    }
    of_plates[1] = NULL;
    BAD_RUN(screen, of_plates, of_outs, 2, 0, 0);
    of_plates[1] = MISALIGNED(const dw_plate, &plates[1]);
    BAD_RUN(screen, of_plates, of_outs, 2, 0, 0);
    of_plates[1] = &plates[1];
    of_outs[1] = NULL;
    BAD_RUN(screen, of_plates, of_outs, 2, 0, 0);
    of_outs[1] = &outs[1];
    BAD_MEMBER(plates, struct_size, 0);
    BAD_MEMBER(plates, sample, 3);
    BAD_MEMBER(plates, samples, NULL);
    BAD_MEMBER(plates, bytes, sizeof samples - 1);
    BAD_MEMBER(plates, stride, WIDTH - 1);
    BAD_MEMBER(plates, width, WIDTH - 1);
    BAD_MEMBER(plates, height, HEIGHT - 1);
    BAD_MEMBER(plates, x, 1);
    BAD_MEMBER(plates, y, -1);
    BAD_MEMBER(plates, film_x_per_inch, 600);
    BAD_MEMBER(outs, struct_size, sizeof(dw_film_out) - 1);
    BAD_MEMBER(outs, bits, NULL);
    BAD_MEMBER(outs, bytes, sizeof rows[1] - 1);
    BAD_MEMBER(outs, stride, STRIDE - 1);
    BAD_MEMBER(outs, width, WIDTH - 1);
    BAD_MEMBER(outs, width, WIDTH + 1);
    BAD_MEMBER(outs, height, HEIGHT - 1);
    BAD_MEMBER(outs, height, 0);
}

int main(void)
{
    make_inputs();
    building();
    running();
    DONE(dw_side_by_side_run(screen, of_plates, of_outs, 2, 0, 0));
    dw_side_by_side_free(screen);
    dw_curve_free(curve);
    printf("%d bad calls refused\n", refused);
    return 0;
}
