/*
 * Sizes and offsets of the public structures on machines of 64 bits, as src/ffi states them for Rust; versions and constants; what
 * a thread is told before it has failed.
 */
#include "check.h"

/* An array of a negative size does not compile. */
#define HOLDS(condition, name) typedef char name[(condition) ? 1 : -1]
#define SIZE(structure, bytes) HOLDS(sizeof(void *) != 8 || sizeof(structure) == (bytes), structure##_size)
#define AT(structure, member, bytes) \
    HOLDS(sizeof(void *) != 8 || offsetof(structure, member) == (bytes), structure##_##member)

SIZE(dw_plate, 104);
AT(dw_plate, struct_size, 0);
AT(dw_plate, sample, 8);
AT(dw_plate, sampling, 12);
AT(dw_plate, samples, 16);
AT(dw_plate, bytes, 24);
AT(dw_plate, stride, 32);
AT(dw_plate, width, 40);
AT(dw_plate, height, 48);
AT(dw_plate, plate_x_per_inch, 56);
AT(dw_plate, plate_y_per_inch, 64);
AT(dw_plate, film_x_per_inch, 72);
AT(dw_plate, film_y_per_inch, 80);
AT(dw_plate, x, 88);
AT(dw_plate, y, 96);

SIZE(dw_film, 48);
AT(dw_film, struct_size, 0);
AT(dw_film, bits, 8);
AT(dw_film, bytes, 16);
AT(dw_film, stride, 24);
AT(dw_film, width, 32);
AT(dw_film, height, 40);

SIZE(dw_film_out, 48);
AT(dw_film_out, struct_size, 0);
AT(dw_film_out, bits, 8);
AT(dw_film_out, bytes, 16);
AT(dw_film_out, stride, 24);
AT(dw_film_out, width, 32);
AT(dw_film_out, height, 40);

SIZE(dw_screen_info, 72);
AT(dw_screen_info, struct_size, 0);
AT(dw_screen_info, lines_per_inch, 8);
AT(dw_screen_info, degrees, 16);
AT(dw_screen_info, cells, 24);
AT(dw_screen_info, brick_width, 32);
AT(dw_screen_info, brick_height, 40);
AT(dw_screen_info, brick_shift, 48);
AT(dw_screen_info, index_width, 56);
AT(dw_screen_info, index_height, 64);

HOLDS(sizeof(dw_status) == 4, status_size);

int main(void)
{
    char text[32];
    CHECK(dw_last_error()[0] == '\0');
    CHECK(dw_version() == (uint32_t)(DW_VERSION_MAJOR << 16 | DW_VERSION_MINOR << 8 | DW_VERSION_PATCH));
    sprintf(text, "%d.%d.%d", DW_VERSION_MAJOR, DW_VERSION_MINOR, DW_VERSION_PATCH);
    CHECK(strcmp(text, dw_version_text()) == 0);

    /* A success leaves the last words as they are. */
    CHECK(dw_film_count(NULL, NULL) == DW_ERROR_REQUEST);
    dw_request *request = NULL;
    DONE(dw_request_new(600, 600, &request));
    CHECK(dw_last_error()[0] != '\0');
    dw_request_free(request);
    return 0;
}
