/*
 * A plate in memory becomes a film in memory and a film file, for a press whose printed wedge was measured, and is checked against
 * the mesh before.
 *
 *     embed film.tif              checks, screens, tells the film's coverage, writes the file and tells how far it is
 *     embed --cancel film.tif     stops half-way and shows that no file is left
 */
#include <dotwright.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 600, HEIGHT = 900 }; /* 2 x 3 inches at 300 samples per inch */

static const double PLATE = 300, FILM = 1200; /* per inch */

/* Every call answers with a status; the words of a failure are kept for this thread. */
static int failed(dw_status status, const char *what)
{
    if (status == DW_OK)
        return 0;
    fprintf(stderr, "%s: %s\n", what, dw_last_error());
    return 1;
}

/* Called between bands on this thread. Any answer but 0 stops the run. */
static int32_t told(uint64_t done, uint64_t total, void *user)
{
    const int *cancel = user;
    printf("%3.0f %%\n", 100.0 * (double)done / (double)total);
    return *cancel && 2 * done >= total;
}

/* A soft gradient to the right; 0 is no ink, 255 solid. */
static uint8_t *draw(void)
{
    uint8_t *samples = malloc((size_t)WIDTH * HEIGHT);
    if (samples)
        for (size_t y = 0; y < HEIGHT; y++)
            for (size_t x = 0; x < WIDTH; x++)
                samples[y * WIDTH + x] = (uint8_t)(255 * x / (WIDTH - 1));
    return samples;
}

/* What the press does to tones, from the densities of a printed wedge: bare ground, tints, solid. */
static int measure(dw_curve **press)
{
    const double film[] = {0, 0.2, 0.4, 0.6, 0.8, 1}, density[] = {0.06, 0.21, 0.40, 0.64, 0.99, 1.46};
    dw_readings *readings = NULL;
    dw_wedge *wedge = NULL;
    double printed = 0;
    int bad = failed(dw_readings_new(DW_SCALE_DENSITY, &readings), "readings");
    for (size_t i = 0; !bad && i < sizeof film / sizeof *film; i++)
        bad = failed(dw_readings_add(readings, film[i], &density[i], 1), "reading");
    bad = bad || failed(dw_readings_measure(readings, &wedge), "wedge") || failed(dw_wedge_curve(wedge, press), "press")
        || failed(dw_curve_eval(*press, 0.5, &printed), "curve");
    if (!bad)
        printf("the press prints 50 %% as %.1f %%\n", 100 * printed);
    dw_wedge_free(wedge);
    dw_readings_free(readings);
    return bad;
}

/* What is fit to print: the plate's tones, with the press's gain undone, in elliptical dots. */
static int build(dw_screen **screen)
{
    dw_curve *press = NULL, *ask = NULL;
    dw_request *request = NULL;
    int bad = measure(&press)
        || failed(dw_curve_compensation(press, NULL, &ask), "compensation")
        || failed(dw_request_new(FILM, FILM, &request), "request")
        || failed(dw_request_lines(request, 45), "lines")
        || failed(dw_request_angle(request, 22.5), "angle")
        || failed(dw_request_ellipse(request, 0.4, 0.6), "dot")
        || failed(dw_request_curve(request, ask), "curve")
        || failed(dw_screen_build(request, screen), "screen");
    /* A screen outlives what it was made from, and ending NULL does nothing. */
    dw_request_free(request);
    dw_curve_free(ask);
    dw_curve_free(press);
    return bad;
}

/* The job's films, this one and a black whose dots stand in its gaps, on a mesh of 90 threads of 40 um to the cm. */
static int check(const dw_screen *screen)
{
    static const char *const weights[] = {"note", "CARE", "WRONG"};
    const dw_mesh mesh = {.struct_size = sizeof mesh, .threads_per_cm = 90, .thread_um = 40};
    dw_screen *black = NULL;
    dw_check *job = NULL;
    dw_findings *findings = NULL;
    dw_finding found = {.struct_size = sizeof found};
    size_t count = 0;
    int bad = failed(dw_screen_again(screen, DW_MODE_INVERTED, NULL, &black), "black")
        || failed(dw_check_new(&mesh, &job), "check")
        || failed(dw_check_film(job, "rose", screen, NULL), "rose")
        || failed(dw_check_film(job, "black", black, NULL), "black")
        || failed(dw_check_findings(job, &findings), "findings")
        || failed(dw_findings_count(findings, &count), "count");
    for (size_t i = 0; !bad && i < count; i++) {
        bad = failed(dw_findings_get(findings, i, &found), "finding");
        if (!bad)
            printf("%s %s%s: %s (%s)\n", weights[found.weight], found.films[0], found.film_count > 1 ? " and others" : "", found.text,
                   found.source);
    }
    dw_findings_free(findings);
    dw_check_free(job);
    dw_screen_free(black);
    return bad;
}

static int in_memory(const dw_screen *screen, const dw_plate *plate)
{
    size_t width, height;
    if (failed(dw_plate_film_size(plate, &width, &height), "size"))
        return 1;
    size_t stride = (width + 7) / 8; /* or more, where rows are to be aligned */
    uint8_t *bits = malloc(stride * height);
    if (!bits)
        return 1;
    dw_film_out out = {sizeof out, bits, stride * height, stride, width, height};
    dw_film film = {sizeof film, bits, stride * height, stride, width, height};
    double coverage = 0;
    int bad = failed(dw_screen_run(screen, plate, plate->x, plate->y, &out), "run")
        || failed(dw_film_coverage(&film, 0, 0, width, height, &coverage), "coverage");
    if (!bad)
        printf("%lu x %lu px, %.2f %% ink\n", (unsigned long)width, (unsigned long)height, 100 * coverage);
    free(bits);
    return bad;
}

static int to_disk(const dw_screen *screen, const dw_plate *plate, const char *target, int cancel)
{
    dw_status status = dw_screen_write(screen, plate, target, DW_FORMAT_TIFF_T6, FILM, FILM, told, &cancel);
    if (!cancel)
        return failed(status, target);
    if (status != DW_CANCELLED)
        return 1;
    /* The file was begun under another name, which is gone; what stood under its own before would stand there still. */
    FILE *file = fopen(target, "rb");
    if (file)
        fclose(file);
    printf("cancelled; %s\n", file ? "a file is there" : "no file is left");
    return file != NULL;
}

int main(int count, char **words)
{
    int cancel = count == 3 && strcmp(words[1], "--cancel") == 0;
    if (count != 2 + cancel) {
        fprintf(stderr, "usage: embed [--cancel] film.tif\n");
        return 2;
    }
    /* Before 1.0 a minor version may change the interface. */
    if (dw_version() >> 8 != (DW_VERSION_MAJOR << 8 | DW_VERSION_MINOR)) {
        fprintf(stderr, "made for version %d.%d, found %s\n", DW_VERSION_MAJOR, DW_VERSION_MINOR, dw_version_text());
        return 1;
    }
    dw_screen *screen = NULL;
    uint8_t *samples = draw();
    /* Members that are not named are 0: the plate's corner lies on film pixel (0, 0). */
    dw_plate plate = {
        .struct_size = sizeof plate,
        .sample = DW_SAMPLE_U8,
        .sampling = DW_SAMPLING_LINEAR,
        .samples = samples,
        .bytes = (size_t)WIDTH * HEIGHT,
        .stride = WIDTH,
        .width = WIDTH,
        .height = HEIGHT,
        .plate_x_per_inch = PLATE,
        .plate_y_per_inch = PLATE,
        .film_x_per_inch = FILM,
        .film_y_per_inch = FILM,
    };
    int bad = !samples || build(&screen) || check(screen) || in_memory(screen, &plate)
        || to_disk(screen, &plate, words[count - 1], cancel);
    dw_screen_free(screen);
    free(samples);
    return bad;
}
