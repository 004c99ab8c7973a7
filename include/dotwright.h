/*
 * Dotwright: halftone screening for screen printing. The C interface.
 *
 * Made from the library's source; do not edit.
 *
 * THE CONTRACT
 *
 * Order      Handles and inputs come first, outputs last. const means that the library only reads.
 * Answers    Every call that can fail returns a dw_status; 0 is done. Outputs are written on success only; a place for a handle
 *            is set to NULL first. The words of a failure: dw_last_error(), per thread.
 * Ownership  A handle is made by a _new, _build or other call that hands it out, and ended by its own _free, once. Ending NULL does
 *            nothing. What a handle was made from may be ended before it. Buffers stay the caller's; nothing is kept of them after
 *            a call, but that a dw_request keeps the function and pointer given to dw_request_spot.
 * NULL       Refused with DW_ERROR_REQUEST unless a parameter says that it may be NULL, or a buffer has no extent.
 * Buffers    A pointer, the bytes that may be used from it on, the bytes from row to row (stride), and width and height.
 * Structures Begin with struct_size, to be set to sizeof by the caller, so that they may grow.
 * Threads    Curves and screens are immutable and may be used by many threads at once. A dw_request and a dw_writer belong to one
 *            thread at a time. No thread is started but by the calls that say so (dw_screen_run_threaded, dw_screen_write).
 * Callbacks  Run on the caller's thread; they must return, neither throw nor jump out, and leave the call's own handles alone.
 * Panics     A bug of the library ends as DW_ERROR_BUG, never in the caller's process ending.
 * Versions   Before 1.0 a new minor version may change the interface: compare DW_VERSION_MAJOR and DW_VERSION_MINOR with
 *            dw_version(). Enumerations are plain integers; unknown values are refused.
 *
 * Tone is ink: 0 none, the highest value solid. x runs right, y runs down. Angles are in degrees, counter-clockwise from the x axis
 * as one looks at the film. Packed rows hold the leftmost pixel in the highest bit; 1 is ink.
 *
 * A film is right and a print need not be: print and measure a test strip before a run.
 */


#ifndef DOTWRIGHT_H
#define DOTWRIGHT_H

#include <stddef.h>
#include <stdint.h>

/*
 Bilevel TIFF, uncompressed.
 */
#define DW_FORMAT_TIFF 0

/*
 Bilevel TIFF, PackBits.
 */
#define DW_FORMAT_TIFF_PACKBITS 1

/*
 Bilevel TIFF, ITU-T T.6 (Group 4).
 */
#define DW_FORMAT_TIFF_T6 2

/*
 PNG of bit depth 1.
 */
#define DW_FORMAT_PNG 3

/*
 PBM (P4); holds no resolution.
 */
#define DW_FORMAT_PBM 4

/*
 Samples of 8 bits, 0…255.
 */
#define DW_SAMPLE_U8 0

/*
 Samples of 16 bits, 0…65535, in the machine's byte order.
 */
#define DW_SAMPLE_U16 1

/*
 Samples of 32-bit floating point, 0…1.
 */
#define DW_SAMPLE_F32 2

/*
 The sample that holds a pixel's centre.
 */
#define DW_SAMPLING_NEAREST 0

/*
 Between the four samples around a pixel's centre.
 */
#define DW_SAMPLING_LINEAR 1

/*
 Circles that grow until they meet and beyond.
 */
#define DW_DOT_ROUND 0

/*
 Circles, a checkerboard at one half, round holes; its own complement.
 */
#define DW_DOT_EUCLIDEAN 1

/*
 Ellipses that link up at 0.40 and 0.60; its own complement. Other tones: dw_request_ellipse.
 */
#define DW_DOT_ELLIPSE 2

/*
 Lines along the screen angle; its own complement.
 */
#define DW_DOT_LINE 3

/*
 Rounded dots with straight flanks, linked up at 0.425 and 0.575.
 */
#define DW_DOT_DIAMOND 4

/*
 Upright squares.
 */
#define DW_DOT_SQUARE 5

/*
 Dots at the cells' centres.
 */
#define DW_MODE_NORMAL 0

/*
 Dots in the gaps of a normal screen of the same lattice.
 */
#define DW_MODE_INVERTED 1

/*
 Cells take turns, so that flat tints show no waves.
 */
#define DW_GROWTH_EVEN 0

/*
 By the value of the dot alone.
 */
#define DW_GROWTH_STRAIGHT 1

/*
 Version of this header: major.
 */
#define DW_VERSION_MAJOR 0

/*
 Version of this header: minor. Before 1.0 a change here may change the interface.
 */
#define DW_VERSION_MINOR 1

/*
 Version of this header: patch.
 */
#define DW_VERSION_PATCH 0

/*
 A monotone map of coverage to coverage, 0 to 0. Immutable; may be shared between threads.
 */
typedef struct dw_curve dw_curve;

/*
 What a screen is to be: made by dw_request_new, told by the other dw_request_ calls, of which the last of each kind counts, and
 turned into any number of screens by dw_screen_build. Not to be shared between threads while it is told something.
 */
typedef struct dw_request dw_request;

/*
 A compiled screen. Immutable; may be shared between threads and used by many at once.
 */
typedef struct dw_screen dw_screen;

/*
 A film file in the making: made by dw_writer_new, given its rows from the top down, completed by dw_writer_finish. Freed before
 that it leaves nothing behind.
 */
typedef struct dw_writer dw_writer;

/*
 How a call ended: `DW_OK`, or one of the `DW_ERROR_…` values and `DW_CANCELLED`. New values may be added.
 */
typedef int32_t dw_status;

/*
 A packed film in the caller's memory, to read: leftmost pixel in the highest bit, 1 is ink. Set `struct_size` to
 sizeof(dw_film).
 */
typedef struct dw_film {
  /*
   sizeof(dw_film).
   */
  size_t struct_size;
  /*
   The first row; NULL only where width or height is 0.
   */
  const uint8_t *bits;
  /*
   Bytes that may be read from `bits` on.
   */
  size_t bytes;
  /*
   Bytes from one row to the next, at least (width + 7) / 8.
   */
  size_t stride;
  /*
   Pixels in a row.
   */
  size_t width;
  /*
   Rows.
   */
  size_t height;
} dw_film;

/*
 A plate in the caller's memory: one ink's coverage, 0 for none, the highest value for solid.

 Row y begins `stride` · y bytes after `samples`. Set every member; set `struct_size` to sizeof(dw_plate).
 */
typedef struct dw_plate {
  /*
   sizeof(dw_plate).
   */
  size_t struct_size;
  /*
   DW_SAMPLE_….
   */
  uint32_t sample;
  /*
   DW_SAMPLING_…; ignored where plate and film resolution are the same.
   */
  uint32_t sampling;
  /*
   The first row, aligned to its samples; NULL only where width or height is 0.
   */
  const void *samples;
  /*
   Bytes that may be read from `samples` on.
   */
  size_t bytes;
  /*
   Bytes from one row to the next: a multiple of the sample's size, at least a row's.
   */
  size_t stride;
  /*
   Samples in a row.
   */
  size_t width;
  /*
   Rows.
   */
  size_t height;
  /*
   Plate samples per inch along x and y; 0 in all four resolutions takes a sample for each pixel.
   */
  double plate_x_per_inch;
  /*
   See `plate_x_per_inch`.
   */
  double plate_y_per_inch;
  /*
   Film pixels per inch along x.
   */
  double film_x_per_inch;
  /*
   Film pixels per inch along y.
   */
  double film_y_per_inch;
  /*
   The film pixel on which the plate's upper left corner lies.
   */
  int64_t x;
  /*
   See `x`.
   */
  int64_t y;
} dw_plate;

/*
 Told between bands how many of `total` rows are done, on the caller's thread; any answer but 0 stops the run, which then returns
 DW_CANCELLED. Must neither throw nor jump out.
 */
typedef int32_t (*dw_progress)(uint64_t done, uint64_t total, void *user);

/*
 A user's own dot: the value at (x, y) in a cell whose corners are ±1; ink comes first where it is highest. Must return finite
 values, the same for the same place, and must neither throw nor jump out. Called on the thread of dw_screen_build only.
 */
typedef double (*dw_spot)(double x, double y, void *user);

/*
 What a built screen tells of itself. Set `struct_size` to sizeof(dw_screen_info) before the call.
 */
typedef struct dw_screen_info {
  /*
   sizeof(dw_screen_info).
   */
  size_t struct_size;
  /*
   True lines per inch; 0 where there is no lattice (upright index dots, the user's own array).
   */
  double lines_per_inch;
  /*
   True angle in degrees, counter-clockwise; 0 where there is no lattice.
   */
  double degrees;
  /*
   Cells in the brick; 0 where there is no lattice.
   */
  uint64_t cells;
  /*
   Columns after which the thresholds repeat, in film pixels.
   */
  size_t brick_width;
  /*
   Rows after which they repeat.
   */
  size_t brick_height;
  /*
   Pixels by which each course of brick_height rows stands to the right of the one above.
   */
  size_t brick_shift;
  /*
   Film pixels to an upright index dot along x; else 1.
   */
  size_t index_width;
  /*
   Film pixels to an upright index dot along y; else 1.
   */
  size_t index_height;
} dw_screen_info;

/*
 A packed film in the caller's memory, to write. Bytes between the rows are left alone, but all of `bytes` belongs to the call
 while it lasts. Set `struct_size` to sizeof(dw_film_out).
 */
typedef struct dw_film_out {
  /*
   sizeof(dw_film_out).
   */
  size_t struct_size;
  /*
   The first row; NULL only where width or height is 0.
   */
  uint8_t *bits;
  /*
   Bytes that may be written from `bits` on.
   */
  size_t bytes;
  /*
   Bytes from one row to the next, at least (width + 7) / 8.
   */
  size_t stride;
  /*
   Pixels in a row.
   */
  size_t width;
  /*
   Rows.
   */
  size_t height;
} dw_film_out;

/*
 Done; outputs are written.
 */
#define DW_OK 0

/*
 The request is wrong: a value, a size, a pointer, an enumeration. Change the request.
 */
#define DW_ERROR_REQUEST 1

/*
 The data are wrong: a table, a file.
 */
#define DW_ERROR_DATA 2

/*
 A limit is passed: memory, the size of a brick.
 */
#define DW_ERROR_LIMIT 3

/*
 The system failed to read or write.
 */
#define DW_ERROR_IO 4

/*
 The library failed: a bug in it. The handles of the call must not be used again, but for freeing them.
 */
#define DW_ERROR_BUG 5

/*
 The progress function asked to stop.
 */
#define DW_CANCELLED 6

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

/*
 The curve through `count` points (inputs[i], outputs[i]), coverages of 0…1: inputs rise to 1, outputs do not fall. The point
 (0, 0) may be left out.

 # Safety
 `inputs` and `outputs` hold `count` numbers each; `curve` can be written.
 */
dw_status dw_curve_through(const double *inputs,
                           const double *outputs,
                           size_t count,
                           struct dw_curve **curve);

/*
 The curve of a press (or a film printer) from `count` patches of a wedge: film[i] was asked for, printed[i] measured, coverages
 of 0…1. Noise is smoothed so that the curve is monotone; bare ground and solid need not be measured.

 # Safety
 `film` and `printed` hold `count` numbers each; `curve` can be written.
 */
dw_status dw_curve_from_wedge(const double *film,
                              const double *printed,
                              size_t count,
                              struct dw_curve **curve);

/*
 The generalised inverse of a curve. Curves within curves have limits: see dw_curve_then.

 # Safety
 `curve` is a live handle; `inverse` can be written.
 */
dw_status dw_curve_inverse(const struct dw_curve *curve, struct dw_curve **inverse);

/*
 First one curve, then the next. Curves are kept within each other, 64 deep at most, and no curve may be so wound up that one
 evaluation takes more than 65 536 (an inverse counts for 48 of what it inverts): else DW_ERROR_LIMIT.

 # Safety
 `first` and `next` are live handles; `chain` can be written.
 */
dw_status dw_curve_then(const struct dw_curve *first,
                        const struct dw_curve *next,
                        struct dw_curve **chain);

/*
 What to ask of a film so that the print holds the plate's tone: undoes the press, then the film printer (`device`, which may be
 NULL).

 # Safety
 `press` is a live handle, `device` one or NULL; `compensation` can be written.
 */
dw_status dw_curve_compensation(const struct dw_curve *press,
                                const struct dw_curve *device,
                                struct dw_curve **compensation);

/*
 The output of a curve for a coverage, which is brought into 0…1 first (NaN to 0).

 # Safety
 `curve` is a live handle; `output` can be written.
 */
dw_status dw_curve_eval(const struct dw_curve *curve, double coverage, double *output);

/*
 Ends a curve. NULL is allowed. Screens built from it live on.

 # Safety
 `curve` is NULL or a handle that is not used again.
 */
void dw_curve_free(struct dw_curve *curve);

/*
 Pixels of a film that are ink.

 # Safety
 `film` and its rows are readable; `count` can be written.
 */
dw_status dw_film_count(const struct dw_film *film, uint64_t *count);

/*
 Ink as a part of a rectangle of a film, 0…1; 0 for an empty one.

 # Safety
 `film` and its rows are readable; `coverage` can be written.
 */
dw_status dw_film_coverage(const struct dw_film *film,
                           size_t x,
                           size_t y,
                           size_t width,
                           size_t height,
                           double *coverage);

/*
 Begins a film file beside `target` (UTF-8), whose folder must exist; `format` is a DW_FORMAT_… value, the resolutions are in
 pixels per inch.

 # Safety
 `target` is a NUL-terminated string; `writer` can be written.
 */
dw_status dw_writer_new(const char *target,
                        uint32_t format,
                        size_t width,
                        size_t height,
                        double x_per_inch,
                        double y_per_inch,
                        struct dw_writer **writer);

/*
 Writes the next rows.

 # Safety
 `writer` is a live handle; `rows` and what it points at are readable.
 */
dw_status dw_writer_rows(struct dw_writer *writer, const struct dw_film *rows);

/*
 Completes the file and gives it its name. All rows must have been written. Whether it succeeds or not, the writer is ended and
 only dw_writer_free is left to call.

 # Safety
 `writer` is a live handle.
 */
dw_status dw_writer_finish(struct dw_writer *writer);

/*
 Ends a writer. NULL is allowed.

 # Safety
 `writer` is NULL or a handle that is not used again.
 */
void dw_writer_free(struct dw_writer *writer);

/*
 Screens a whole plate to a film file in bands: `target` in UTF-8, `format` a DW_FORMAT_… value, the film's resolution in pixels
 per inch; `progress` may be NULL. On failure or cancel whatever stood under the name stays.

 # Safety
 `screen` is a live handle; `plate` and what it points at are readable; `target` is a NUL-terminated string; `progress` may be
 called with `user`.
 */
dw_status dw_screen_write(const struct dw_screen *screen,
                          const struct dw_plate *plate,
                          const char *target,
                          uint32_t format,
                          double x_per_inch,
                          double y_per_inch,
                          dw_progress progress,
                          void *user);

/*
 The size in pixels of the whole film of a plate.

 # Safety
 `plate` and what it points at are readable; `width` and `height` can be written.
 */
dw_status dw_plate_film_size(const struct dw_plate *plate, size_t *width, size_t *height);

/*
 A request for round dots of 45 lines per inch at 22.5 degrees on films of the given resolution.

 # Safety
 `request` can be written.
 */
dw_status dw_request_new(double x_per_inch, double y_per_inch, struct dw_request **request);

/*
 Screen lines per inch, 0.1…10000.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_lines(struct dw_request *request, double lines_per_inch);

/*
 Degrees counter-clockwise from the x axis as one looks at the film; any finite value.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_angle(struct dw_request *request, double degrees);

/*
 Growing dots of one of the DW_DOT_… shapes.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_dot(struct dw_request *request, uint32_t dot);

/*
 Elliptical dots that link up at the tones 0.2 ≤ first ≤ 0.5 ≤ second ≤ 0.8.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_ellipse(struct dw_request *request, double first, double second);

/*
 Growing dots by the caller's own function, which is kept with `user` and called by dw_screen_build.

 # Safety
 `request` is a live handle; `spot` may be called with `user` as long as the request lives.
 */
dw_status dw_request_spot(struct dw_request *request, dw_spot spot, void *user);

/*
 Upright index dots of `pixels` film pixels (1…256) along the film's coarser axis; others are refused by dw_screen_build.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_index(struct dw_request *request,
                           size_t pixels);

/*
 Upright index dots, so many per inch, snapped to whole film pixels; dw_screen_get_info tells the result. A pitch that is not
 1…256 pixels is refused by dw_screen_build.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_index_pitch(struct dw_request *request,
                                 double dots_per_inch);

/*
 Index dots that are the cells of the lattice of lines and angle.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_index_cells(struct dw_request *request);

/*
 The caller's own array of thresholds, which is copied: `height` rows of `width` entries, `stride` bytes apart, in `bytes` bytes.
 It repeats from film pixel (0, 0) on; the lowest entries take ink first, equal ones together.

 # Safety
 `request` is a live handle; `thresholds` holds `bytes` readable bytes.
 */
dw_status dw_request_array(struct dw_request *request,
                           const uint32_t *thresholds,
                           size_t bytes,
                           size_t stride,
                           size_t width,
                           size_t height);

/*
 DW_MODE_NORMAL or DW_MODE_INVERTED.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_mode(struct dw_request *request, uint32_t mode);

/*
 The curve to screen through; NULL for none. The request keeps a share of it.

 # Safety
 `request` is a live handle, `curve` one or NULL.
 */
dw_status dw_request_curve(struct dw_request *request, const struct dw_curve *curve);

/*
 How near the built angle (degrees, 1e-6…45) and line count (parts of 1, 1e-8…0.5) must be: 0.01 and 0.0002 unless
 told.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_tolerance(struct dw_request *request,
                               double degrees,
                               double relative);

/*
 The order in which growing dots take ink: DW_GROWTH_EVEN unless told.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_growth(struct dw_request *request, uint32_t growth);

/*
 The smallest dot of ink and the smallest hole in ink that the mesh holds, in micrometres: diameters of discs of the same area, of
 lines the widths; 0 for any size. Below them cells do not grow but switch on one by one, each with a whole smallest dot. They hold
 in the request's own mode; where `both_modes` is not 0, also in a screen of the other mode made by dw_screen_again. Negative
 sizes, sizes above 0.4 of a cell and straight growth are refused by dw_screen_build. Growing dots only.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_smallest(struct dw_request *request,
                              double dot_um,
                              double hole_um,
                              int32_t both_modes);

/*
 The largest brick in thresholds: 1…2²⁸, 2 Mi unless told (32 Mi for index dots on a lattice and smallest dots); others are refused by
 dw_screen_build.

 # Safety
 `request` is a live handle.
 */
dw_status dw_request_limit(struct dw_request *request,
                           uint64_t thresholds);

/*
 Builds a screen. The request stays as it is.

 # Safety
 `request` is a live handle; `screen` can be written.
 */
dw_status dw_screen_build(const struct dw_request *request, struct dw_screen **screen);

/*
 Ends a request. NULL is allowed. Screens built from it live on.

 # Safety
 `request` is NULL or a handle that is not used again.
 */
void dw_request_free(struct dw_request *request);

/*
 A screen on the same brick with another mode and curve (NULL for none): for plates that mesh.

 # Safety
 `screen` is a live handle, `curve` one or NULL; `again` can be written.
 */
dw_status dw_screen_again(const struct dw_screen *screen,
                          uint32_t mode,
                          const struct dw_curve *curve,
                          struct dw_screen **again);

/*
 What a screen tells of itself.

 # Safety
 `screen` is a live handle; `info` can be read and written for the struct_size it states.
 */
dw_status dw_screen_get_info(const struct dw_screen *screen, struct dw_screen_info *info);

/*
 The thresholds of 8-bit plates over one brick, row by row without gaps: ink where tone > threshold. `count` must be
 brick_width · brick_height.

 # Safety
 `screen` is a live handle; `thresholds` has room for `count` bytes.
 */
dw_status dw_screen_thresholds_u8(const struct dw_screen *screen,
                                  uint8_t *thresholds,
                                  size_t count);

/*
 The thresholds of 16-bit plates; else as dw_screen_thresholds_u8.

 # Safety
 `screen` is a live handle; `thresholds` has room for `count` entries.
 */
dw_status dw_screen_thresholds_u16(const struct dw_screen *screen, uint16_t *thresholds, size_t count);

/*
 The thresholds as the sampled data of an ISO 32000 halftone of type 16, mode and curve folded in: 16 bits each, high byte first;
 first a rectangle of brick_width - brick_shift columns (the halftone's Width), then, where brick_shift is not 0, one of brick_shift
 columns (its Width2), both of brick_height rows (Height and Height2). `bytes` must be 2 · brick_width · brick_height.

 # Safety
 `screen` is a live handle; `data` has room for `bytes` bytes.
 */
dw_status dw_screen_type16(const struct dw_screen *screen,
                           uint8_t *data,
                           size_t bytes);

/*
 Screens the tile of the film whose upper left pixel is (x, y) in film coordinates and whose size is that of `out`. The tile must
 lie on the plate; an empty one does nothing. Many threads may run one screen at once.

 # Safety
 `screen` is a live handle; `plate` and what it points at are readable; the rows of `out` are writable, belong to nobody else and
 do not overlap with the plate.
 */
dw_status dw_screen_run(const struct dw_screen *screen,
                        const struct dw_plate *plate,
                        int64_t x,
                        int64_t y,
                        const struct dw_film_out *out);

/*
 As dw_screen_run, with the rows shared out among threads of the library's own, one to a processor, which it starts at the first
 such call. The same bits.

 # Safety
 As dw_screen_run.
 */
dw_status dw_screen_run_threaded(const struct dw_screen *screen,
                                 const struct dw_plate *plate,
                                 int64_t x,
                                 int64_t y,
                                 const struct dw_film_out *out);

/*
 Ends a screen. NULL is allowed.

 # Safety
 `screen` is NULL or a handle that is not used again.
 */
void dw_screen_free(struct dw_screen *screen);

/*
 The words of the last failure on this thread: UTF-8, NUL-terminated, empty before the first. Valid until the next failure on
 this thread; never freed by the caller. A call that succeeds leaves them as they are.
 */
const char *dw_last_error(void);

/*
 The version of the loaded library: major · 65536 + minor · 256 + patch. Compare it with the macros of the header.
 */
uint32_t dw_version(void);

/*
 The version of the loaded library in words, such as "0.1.0": static, never freed.
 */
const char *dw_version_text(void);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* DOTWRIGHT_H */
