/*
 * One job, for comparison with the Rust library: job.txt (numbers, in the order in which they are read below) and samples.bin become
 * film.pbm, screened in memory in two tiles; written.pbm, written by the library; thresholds.bin; and on standard output what
 * the screen tells of itself.
 */
#include "check.h"

static FILE *file;

static double number(void)
{
    double value;
    CHECK(fscanf(file, "%lf", &value) == 1);
    return value;
}

static size_t size(void)
{
    return (size_t)number();
}

static FILE *opened(const char *path, const char *how)
{
    FILE *opened = fopen(path, how);
    CHECK(opened != NULL);
    return opened;
}

static double spot(double x, double y, void *user)
{
    return x - *(const double *)user * y * y;
}

static void pattern(dw_request *request)
{
    static double bend = 0.3; /* outlives the request */
    char kind[16];
    CHECK(fscanf(file, "%15s", kind) == 1);
    double a = number(), b = number();
    if (strcmp(kind, "dot") == 0) {
        DONE(dw_request_dot(request, (uint32_t)a));
    } else if (strcmp(kind, "ellipse") == 0) {
        DONE(dw_request_ellipse(request, a, b));
    } else if (strcmp(kind, "spot") == 0) {
        DONE(dw_request_spot(request, spot, &bend));
    } else if (strcmp(kind, "index") == 0) {
        DONE(dw_request_index(request, (size_t)a));
    } else if (strcmp(kind, "pitch") == 0) {
        DONE(dw_request_index_pitch(request, a));
    } else if (strcmp(kind, "cells") == 0) {
        DONE(dw_request_index_cells(request));
    } else {
        CHECK(strcmp(kind, "array") == 0);
        /* Rows three entries longer than what is used of them. */
        size_t width = (size_t)a, height = (size_t)b, row = width + 3;
        uint32_t *entries = calloc(row * height, sizeof *entries);
        CHECK(entries != NULL);
        for (size_t y = 0; y < height; y++)
            for (size_t x = 0; x < width; x++)
                entries[y * row + x] = (uint32_t)((x * 13 + y * 29) % 17);
        DONE(dw_request_array(request, entries, row * height * 4, row * 4, width, height));
        free(entries); /* it was copied */
    }
}

/* 0: none; 1: through points; 2: what undoes a wedge; 3: through points, then its inverse, then through the points again. */
static dw_curve *curve(void)
{
    size_t kind = size(), count = size();
    double x[32], y[32];
    CHECK(count <= 32);
    for (size_t i = 0; i < count; i++) {
        x[i] = number();
        y[i] = number();
    }
    dw_curve *first = NULL, *second = NULL, *third = NULL, *chain = NULL;
    if (kind == 1) {
        DONE(dw_curve_through(x, y, count, &first));
    } else if (kind == 2) {
        DONE(dw_curve_from_wedge(x, y, count, &second));
        DONE(dw_curve_compensation(second, second, &first));
    } else if (kind == 3) {
        DONE(dw_curve_through(x, y, count, &second));
        DONE(dw_curve_inverse(second, &third));
        DONE(dw_curve_then(second, third, &chain));
        DONE(dw_curve_then(chain, second, &first));
    }
    dw_curve_free(second);
    dw_curve_free(third);
    dw_curve_free(chain);
    return first;
}

static void thresholds(const dw_screen *screen, const char *target)
{
    dw_screen_info info;
    info.struct_size = sizeof info;
    DONE(dw_screen_get_info(screen, &info));
    printf("%.17g %.17g %lu %lu %lu %lu %lu %lu\n", info.lines_per_inch, info.degrees, (unsigned long)info.cells,
           (unsigned long)info.brick_width, (unsigned long)info.brick_height, (unsigned long)info.brick_shift,
           (unsigned long)info.index_width, (unsigned long)info.index_height);
    size_t count = info.brick_width * info.brick_height;
    uint16_t *words = malloc(2 * count);
    uint8_t *bytes = malloc(2 * count);
    FILE *out = opened(target, "wb");
    CHECK(words && bytes);
    DONE(dw_screen_thresholds_u8(screen, bytes, count));
    CHECK(fwrite(bytes, 1, count, out) == count);
    DONE(dw_screen_thresholds_u16(screen, words, count));
    CHECK(fwrite(words, 2, count, out) == count);
    DONE(dw_screen_type16(screen, bytes, 2 * count));
    CHECK(fwrite(bytes, 1, 2 * count, out) == 2 * count);
    CHECK(fclose(out) == 0);
    free(words);
    free(bytes);
}

int main(int count, char **words)
{
    CHECK(count == 6);
    file = opened(words[1], "r");

    dw_plate plate;
    plate.struct_size = sizeof plate;
    plate.sample = (uint32_t)number();
    plate.sampling = (uint32_t)number();
    plate.width = size();
    plate.height = size();
    plate.stride = size();
    plate.plate_x_per_inch = number();
    plate.plate_y_per_inch = number();
    plate.film_x_per_inch = number();
    plate.film_y_per_inch = number();
    plate.x = (int64_t)number();
    plate.y = (int64_t)number();
    plate.bytes = plate.stride * plate.height;
    void *samples = malloc(plate.bytes);
    FILE *from = opened(words[2], "rb");
    CHECK(samples && fread(samples, 1, plate.bytes, from) == plate.bytes);
    fclose(from);
    plate.samples = samples;

    dw_request *request = NULL;
    dw_screen *screen = NULL;
    double x_per_inch = number(), y_per_inch = number();
    DONE(dw_request_new(x_per_inch, y_per_inch, &request));
    DONE(dw_request_lines(request, number()));
    DONE(dw_request_angle(request, number()));
    DONE(dw_request_mode(request, (uint32_t)number()));
    pattern(request);
    DONE(dw_request_growth(request, (uint32_t)number()));
    double dot = number(), hole = number();
    if (dot > 0) /* 0 and 0: nothing is told */
        DONE(dw_request_smallest(request, dot, hole, (int32_t)number()));
    else
        number();
    dw_curve *through = curve();
    DONE(dw_request_curve(request, through));
    dw_curve_free(through);
    DONE(dw_screen_build(request, &screen));
    dw_request_free(request);

    size_t width, height, gap = size(), cut = size(), threaded = size();
    DONE(dw_plate_film_size(&plate, &width, &height));
    size_t row = (width + 7) / 8, stride = row + gap, bytes = stride * (height - 1) + row;
    uint8_t *bits = malloc(bytes);
    CHECK(bits != NULL);
    memset(bits, 0xa5, bytes);
    cut = cut < height ? cut : height;
    dw_film_out top = {sizeof top, bits, bytes, stride, width, cut};
    DONE(dw_screen_run(screen, &plate, plate.x, plate.y, &top));
    if (cut < height) {
        dw_film_out below = {sizeof below, bits + cut * stride, bytes - cut * stride, stride, width, height - cut};
        DONE((threaded ? dw_screen_run_threaded : dw_screen_run)(screen, &plate, plate.x, plate.y + (int64_t)cut, &below));
    }
    FILE *pbm = opened(words[3], "wb");
    fprintf(pbm, "P4\n%lu %lu\n", (unsigned long)width, (unsigned long)height);
    for (size_t y = 0; y < height; y++) {
        CHECK(fwrite(bits + y * stride, 1, row, pbm) == row);
        for (size_t i = row; y + 1 < height && i < stride; i++)
            CHECK(bits[y * stride + i] == 0xa5); /* what lies between the rows is left alone */
    }
    CHECK(fclose(pbm) == 0);
    DONE(dw_screen_write(screen, &plate, words[4], DW_FORMAT_PBM, x_per_inch, y_per_inch, NULL, NULL));
    thresholds(screen, words[5]);

    fclose(file);
    free(bits);
    free(samples);
    dw_screen_free(screen);
    return 0;
}
