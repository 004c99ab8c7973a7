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

SIZE(dw_strip_info, 48);
AT(dw_strip_info, struct_size, 0);
AT(dw_strip_info, patches, 8);
AT(dw_strip_info, columns, 16);
AT(dw_strip_info, rows, 24);
AT(dw_strip_info, width, 32);
AT(dw_strip_info, height, 40);

SIZE(dw_strip_patch, 56);
AT(dw_strip_patch, struct_size, 0);
AT(dw_strip_patch, coverage, 8);
AT(dw_strip_patch, x, 16);
AT(dw_strip_patch, y, 24);
AT(dw_strip_patch, width, 32);
AT(dw_strip_patch, height, 40);
AT(dw_strip_patch, label, 48);

SIZE(dw_scan, 56);
AT(dw_scan, struct_size, 0);
AT(dw_scan, sample, 8);
AT(dw_scan, encoding, 12);
AT(dw_scan, samples, 16);
AT(dw_scan, bytes, 24);
AT(dw_scan, stride, 32);
AT(dw_scan, width, 40);
AT(dw_scan, height, 48);

SIZE(dw_patch_grid, 80);
AT(dw_patch_grid, struct_size, 0);
AT(dw_patch_grid, first_x, 8);
AT(dw_patch_grid, first_y, 16);
AT(dw_patch_grid, along_x, 24);
AT(dw_patch_grid, along_y, 32);
AT(dw_patch_grid, down_x, 40);
AT(dw_patch_grid, down_y, 48);
AT(dw_patch_grid, patch_width, 56);
AT(dw_patch_grid, patch_height, 64);
AT(dw_patch_grid, columns, 72);

SIZE(dw_wedge_info, 72);
AT(dw_wedge_info, struct_size, 0);
AT(dw_wedge_info, patches, 8);
AT(dw_wedge_info, channel, 16);
AT(dw_wedge_info, contrast, 24);
AT(dw_wedge_info, noise, 32);
AT(dw_wedge_info, rms_residual, 40);
AT(dw_wedge_info, worst_residual, 48);
AT(dw_wedge_info, noise_known, 56);
AT(dw_wedge_info, direction, 60);
AT(dw_wedge_info, on, 64);
AT(dw_wedge_info, state, 68);

SIZE(dw_wedge_patch, 48);
AT(dw_wedge_patch, struct_size, 0);
AT(dw_wedge_patch, film, 8);
AT(dw_wedge_patch, printed, 16);
AT(dw_wedge_patch, repeats, 24);
AT(dw_wedge_patch, spread, 32);
AT(dw_wedge_patch, residual, 40);

SIZE(dw_mesh, 48);
AT(dw_mesh, struct_size, 0);
AT(dw_mesh, threads_per_inch, 8);
AT(dw_mesh, threads_per_cm, 16);
AT(dw_mesh, thread_um, 24);
AT(dw_mesh, degrees, 32);
AT(dw_mesh, fabric_um, 40);

SIZE(dw_mesh_info, 104);
AT(dw_mesh_info, struct_size, 0);
AT(dw_mesh_info, pitch_um, 8);
AT(dw_mesh_info, opening_um, 16);
AT(dw_mesh_info, open_area, 24);
AT(dw_mesh_info, fabric_um, 32);
AT(dw_mesh_info, ink_volume, 40);
AT(dw_mesh_info, smallest_dots_um, 48);
AT(dw_mesh_info, lines_per_inch, 72);

SIZE(dw_slip, 40);
AT(dw_slip, struct_size, 0);
AT(dw_slip, overlap, 8);
AT(dw_slip, worst_overlap, 16);
AT(dw_slip, gap, 24);
AT(dw_slip, worst_gap, 32);

SIZE(dw_parts, 48);
AT(dw_parts, struct_size, 0);
AT(dw_parts, whole, 8);
AT(dw_parts, cut, 16);
AT(dw_parts, whole_pixels, 24);
AT(dw_parts, smallest, 32);
AT(dw_parts, largest, 40);

SIZE(dw_details, 56);
AT(dw_details, struct_size, 0);
AT(dw_details, line_um, 8);
AT(dw_details, line_at, 16);
AT(dw_details, gap_um, 32);
AT(dw_details, gap_at, 40);

SIZE(dw_repeat, 80);
AT(dw_repeat, struct_size, 0);
AT(dw_repeat, degrees, 8);
AT(dw_repeat, modulus, 16);
AT(dw_repeat, lines_per_inch, 24);
AT(dw_repeat, first, 32);
AT(dw_repeat, second, 56);

SIZE(dw_ring, 40);
AT(dw_ring, struct_size, 0);
AT(dw_ring, frequency, 8);
AT(dw_ring, power, 16);
AT(dw_ring, anisotropy, 24);
AT(dw_ring, samples, 32);

SIZE(dw_overlap, 40);
AT(dw_overlap, struct_size, 0);
AT(dw_overlap, coverages, 8);
AT(dw_overlap, both, 24);
AT(dw_overlap, expected, 32);

SIZE(dw_growth, 32);
AT(dw_growth, struct_size, 0);
AT(dw_growth, growth_um, 8);
AT(dw_growth, error_um, 16);
AT(dw_growth, rms, 24);

SIZE(dw_look, 32);
AT(dw_look, struct_size, 0);
AT(dw_look, first_orders, 8);
AT(dw_look, second_orders, 12);
AT(dw_look, amplitude, 16);
AT(dw_look, periods, 24);

SIZE(dw_beat, 72);
AT(dw_beat, struct_size, 0);
AT(dw_beat, first_orders, 8);
AT(dw_beat, second_orders, 24);
AT(dw_beat, per_inch, 40);
AT(dw_beat, degrees, 48);
AT(dw_beat, period_mm, 56);
AT(dw_beat, amplitude, 64);

SIZE(dw_closure, 72);
AT(dw_closure, struct_size, 0);
AT(dw_closure, first_orders, 8);
AT(dw_closure, second_orders, 24);
AT(dw_closure, third_orders, 40);
AT(dw_closure, per_inch, 56);
AT(dw_closure, period_mm, 64);

SIZE(dw_remedies, 40);
AT(dw_remedies, struct_size, 0);
AT(dw_remedies, turn, 8);
AT(dw_remedies, lines, 16);
AT(dw_remedies, both_turn, 24);
AT(dw_remedies, both_lines, 32);

SIZE(dw_finding, 72);
AT(dw_finding, struct_size, 0);
AT(dw_finding, about, 8);
AT(dw_finding, weight, 12);
AT(dw_finding, source_kind, 16);
AT(dw_finding, film_count, 20);
AT(dw_finding, films, 24);
AT(dw_finding, number, 32);
AT(dw_finding, unit, 40);
AT(dw_finding, text, 48);
AT(dw_finding, rule, 56);
AT(dw_finding, source, 64);

SIZE(dw_colour, 64);
AT(dw_colour, struct_size, 0);
AT(dw_colour, x, 8);
AT(dw_colour, y, 16);
AT(dw_colour, z, 24);
AT(dw_colour, l, 32);
AT(dw_colour, a, 40);
AT(dw_colour, b, 48);
AT(dw_colour, red, 56);
AT(dw_colour, green, 57);
AT(dw_colour, blue, 58);

SIZE(dw_art, 72);
AT(dw_art, struct_size, 0);
AT(dw_art, sample, 8);
AT(dw_art, channels, 12);
AT(dw_art, samples, 16);
AT(dw_art, bytes, 24);
AT(dw_art, stride, 32);
AT(dw_art, width, 40);
AT(dw_art, height, 48);
AT(dw_art, x_per_inch, 56);
AT(dw_art, y_per_inch, 64);

SIZE(dw_plate_out, 56);
AT(dw_plate_out, struct_size, 0);
AT(dw_plate_out, sample, 8);
AT(dw_plate_out, samples, 16);
AT(dw_plate_out, bytes, 24);
AT(dw_plate_out, stride, 32);
AT(dw_plate_out, width, 40);
AT(dw_plate_out, height, 48);

SIZE(dw_differences, 48);
AT(dw_differences, struct_size, 0);
AT(dw_differences, mean, 8);
AT(dw_differences, percentile_95, 16);
AT(dw_differences, worst, 24);
AT(dw_differences, worst_x, 32);
AT(dw_differences, worst_y, 40);

SIZE(dw_sheet, 88);
AT(dw_sheet, struct_size, 0);
AT(dw_sheet, ink, 8);
AT(dw_sheet, place, 16);
AT(dw_sheet, inks, 24);
AT(dw_sheet, job, 32);
AT(dw_sheet, date, 40);
AT(dw_sheet, margin_mm, 48);
AT(dw_sheet, mark_mm, 56);
AT(dw_sheet, letters_mm, 64);
AT(dw_sheet, mirrored, 72);
AT(dw_sheet, negative, 76);
AT(dw_sheet, no_wedge, 80);

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
