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
 *            a call, but that a dw_request keeps the function and pointer given to dw_request_spot. Strings and lists that a
 *            structure points at belong to the handle that filled it in and live as long as that does.
 * NULL       Refused with DW_ERROR_REQUEST unless a parameter says that it may be NULL, or a buffer has no extent.
 * Buffers    A pointer, the bytes that may be used from it on, the bytes from row to row (stride), and width and height.
 * Structures Begin with struct_size, to be set to sizeof by the caller, so that they may grow; also those that a call fills in.
 * Lists      Entries are counted from 0 and handed out one at a time; an index past the last is refused.
 * Strings    Text is UTF-8 and NUL-terminated, in both directions.
 * Threads    What is told something call by call (dw_request, dw_readings, dw_check, dw_writer) belongs to one thread at a time. All
 *            other handles are immutable and may be used by many threads at once. No thread is started but by the calls that say
 *            so (dw_screen_run_threaded, dw_screen_write).
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
 Each plate has compact dots around a seed of its own in every cell: for growing dots, round or euclidean.
 */
#define DW_SHARING_COMPACT 0

/*
 The first plate has the middle of one common dot, each next one a ring around it: for any dots.
 */
#define DW_SHARING_RINGS 1

/*
 Threads for each screen line.
 */
#define DW_ABOUT_THREADS_PER_LINE 0

/*
 The line count itself.
 */
#define DW_ABOUT_LINE_COUNT 1

/*
 Tone steps of a cell.
 */
#define DW_ABOUT_LEVELS 2

/*
 The lightest tint whose dots the mesh holds.
 */
#define DW_ABOUT_LIGHTEST_TINT 3

/*
 Size of index dots.
 */
#define DW_ABOUT_INDEX_DOT 4

/*
 Angle between screen and threads.
 */
#define DW_ABOUT_ANGLE_TO_MESH 5

/*
 Moiré of a screen with its mesh.
 */
#define DW_ABOUT_MESH_MOIRE 6

/*
 Moiré of two screens.
 */
#define DW_ABOUT_SCREEN_MOIRE 7

/*
 Closure of three screens.
 */
#define DW_ABOUT_CLOSURE 8

/*
 Plates of one lattice and mode.
 */
#define DW_ABOUT_ONE_LATTICE 9

/*
 The dot shape of plates that mesh.
 */
#define DW_ABOUT_MESHED_DOT 10

/*
 Overlap of meshed plates when one is shifted.
 */
#define DW_ABOUT_REGISTER 11

/*
 As it should be, or only told.
 */
#define DW_WEIGHT_NOTE 0

/*
 To be looked at before films are made.
 */
#define DW_WEIGHT_CARE 1

/*
 Against the rule by so much that the print will show it.
 */
#define DW_WEIGHT_WRONG 2

/*
 The rule is common practice.
 */
#define DW_SOURCE_COMMON_PRACTICE 0

/*
 The rule is that of a published text.
 */
#define DW_SOURCE_PUBLISHED 1

/*
 The number is computed by a formula or a way that is named.
 */
#define DW_SOURCE_COMPUTED 2

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
 Ink, as dots.
 */
#define DW_PART_INK 0

/*
 What is bare, as holes.
 */
#define DW_PART_BARE 1

/*
 Pixels of ink are one dot where they have a common side (4-connectivity); holes then also where corners touch.
 */
#define DW_TOUCH_SIDES 0

/*
 Pixels of ink are one dot where corners touch (8-connectivity); holes then only across a common side.
 */
#define DW_TOUCH_CORNERS 1

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
 The art's black and white come out as the print's darkest and lightest.
 */
#define DW_INTENT_ADAPTED 0

/*
 They come out as they are, as far as they can be printed.
 */
#define DW_INTENT_ABSOLUTE 1

/*
 Samples in proportion to light.
 */
#define DW_ENCODING_LINEAR 0

/*
 Samples by the curve of sRGB (IEC 61966-2-1), as grey pictures usually have them.
 */
#define DW_ENCODING_SRGB 1

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
 Reflection or transmission densities, -10…10, one for each filter; may be zeroed anywhere.
 */
#define DW_SCALE_DENSITY 0

/*
 Reflectances or transmittances, 0…2 (1 is the white reference), one for each filter or wavelength.
 */
#define DW_SCALE_REFLECTANCE 1

/*
 X, Y, Z of 0…200, Y = 100 for a perfect white.
 */
#define DW_SCALE_XYZ 2

/*
 L* (0…150), a*, b* (±300).
 */
#define DW_SCALE_LAB 3

/*
 Not said.
 */
#define DW_ON_UNSAID 0

/*
 On the bare cloth, paper or film.
 */
#define DW_ON_BARE 1

/*
 On an underbase.
 */
#define DW_ON_UNDERBASE 2

/*
 Not said.
 */
#define DW_STATE_UNSAID 0

/*
 Measured wet.
 */
#define DW_STATE_WET 1

/*
 Measured flash-dried.
 */
#define DW_STATE_FLASH_DRIED 2

/*
 Measured cured.
 */
#define DW_STATE_CURED 3

/*
 The ink is darker than its ground.
 */
#define DW_INK_DARKER 0

/*
 The ink is lighter than its ground.
 */
#define DW_INK_LIGHTER 1

/*
 Art that the library holds. Immutable; may be shared between threads.
 */
typedef struct dw_art_file dw_art_file;

/*
 The beats between two structures, the longest first. Immutable; may be shared between threads.
 */
typedef struct dw_beats dw_beats;

/*
 A job to be checked: made by dw_check_new, told its films by dw_check_film, held against the rules by dw_check_findings. Not to be
 shared between threads while it is told something.
 */
typedef struct dw_check dw_check;

/*
 A monotone map of coverage to coverage, 0 to 0. Immutable; may be shared between threads.
 */
typedef struct dw_curve dw_curve;

/*
 A film read from a file. Immutable; may be shared between threads.
 */
typedef struct dw_film_file dw_film_file;

/*
 What a check found, the heaviest first. Immutable; may be shared between threads.
 */
typedef struct dw_findings dw_findings;

/*
 An ink: a name and how it looks over any ground. Immutable; may be shared between threads.
 */
typedef struct dw_ink dw_ink;

/*
 A picture in light. Immutable; may be shared between threads.
 */
typedef struct dw_picture dw_picture;

/*
 A compiled print. Immutable; may be shared between threads.
 */
typedef struct dw_print dw_print;

/*
 The inks of a print as they are laid down: made by dw_printing_new, told by the other dw_printing_ calls in printing order, and turned
 into any number of prints by dw_print_build. Not to be shared between threads while it is told something.
 */
typedef struct dw_printing dw_printing;

/*
 The readings of one wedge, as an instrument states them: made by dw_readings_new or dw_readings_from_table, told by the other
 dw_readings_ calls, and turned into a curve by dw_readings_measure. The bare ground counts as it was read, so the ink may be
 darker or lighter than it. Not to be shared between threads while they are told something.
 */
typedef struct dw_readings dw_readings;

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
 What a separation is to be: made by dw_separating_new, told by the other dw_separating_ calls, of which the last of each kind counts (every
 pin counts), and turned into any number of separations by dw_separation_build. Plates are counted from 0 in printing order. Values are
 checked when it is built. Not to be shared between threads while it is told something.
 */
typedef struct dw_separating dw_separating;

/*
 A compiled separation. Immutable; may be shared between threads.
 */
typedef struct dw_separation dw_separation;

/*
 A shelf of inks. Immutable; may be shared between threads.
 */
typedef struct dw_shelf dw_shelf;

/*
 A screen of several plates whose dots stand side by side: no pixel takes two plates' ink. Immutable; may be shared between threads
 and used by many at once.
 */
typedef struct dw_side_by_side dw_side_by_side;

/*
 The rings of a film's spectrum, coarse to fine. Immutable; may be shared between threads.
 */
typedef struct dw_spectrum dw_spectrum;

/*
 A wedge to be printed: its patches in reading order, rows from the top, each from the left. Immutable; may be shared between
 threads.
 */
typedef struct dw_strip dw_strip;

/*
 A periodic structure, a screen or a mesh, as beats see it. Immutable; may be shared between threads.
 */
typedef struct dw_structure dw_structure;

/*
 A wedge as measured. Immutable; may be shared between threads.
 */
typedef struct dw_wedge dw_wedge;

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
 Art in memory: sRGB codes (IEC 61966-2-1), red, green, blue and, with four channels, how opaque the art is, not premultiplied: where it
 is transparent the garment is seen. Set `struct_size` to sizeof(dw_art).
 */
typedef struct dw_art {
  /*
   sizeof(dw_art).
   */
  size_t struct_size;
  /*
   DW_SAMPLE_U8 or DW_SAMPLE_U16.
   */
  uint32_t sample;
  /*
   3 or 4.
   */
  uint32_t channels;
  /*
   The first row, aligned to its samples: pixel by pixel, channel by channel.
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
   Pixels in a row.
   */
  size_t width;
  /*
   Rows.
   */
  size_t height;
  /*
   Pixels per inch along x, filled in by dw_art_file_get; 0 if the file does not say. Not looked at otherwise.
   */
  double x_per_inch;
  /*
   See `x_per_inch`.
   */
  double y_per_inch;
} dw_art;

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
 A plain-woven mesh. Set `struct_size` to sizeof(dw_mesh), and members that are not told to 0.
 */
typedef struct dw_mesh {
  /*
   sizeof(dw_mesh).
   */
  size_t struct_size;
  /*
   Threads per inch; 0 where `threads_per_cm` is told. 305 per inch is woven as 120 per cm.
   */
  double threads_per_inch;
  /*
   Threads per cm, 1…1000; 0 where `threads_per_inch` is told.
   */
  double threads_per_cm;
  /*
   Thickness of a thread in micrometres: above 0, below the pitch.
   */
  double thread_um;
  /*
   Degrees counter-clockwise from the print's x axis to a thread, as seen on the print; 0 for a straight mesh.
   */
  double degrees;
  /*
   Thickness of the fabric in micrometres as measured, one to three threads; 0 takes 1.5 threads.
   */
  double fabric_um;
} dw_mesh;

/*
 One finding. Its strings belong to the dw_findings. Set `struct_size` to sizeof(dw_finding) before the call.
 */
typedef struct dw_finding {
  /*
   sizeof(dw_finding).
   */
  size_t struct_size;
  /*
   DW_ABOUT_…. New values may be added.
   */
  uint32_t about;
  /*
   DW_WEIGHT_….
   */
  uint32_t weight;
  /*
   DW_SOURCE_…: what kind of source. New values may be added.
   */
  uint32_t source_kind;
  /*
   How many films it concerns.
   */
  uint32_t film_count;
  /*
   Their names.
   */
  const char *const *films;
  /*
   The number; infinite for a beat that never repeats.
   */
  double number;
  /*
   Its unit.
   */
  const char *unit;
  /*
   What it means, in words.
   */
  const char *text;
  /*
   The rule it was held against, in words.
   */
  const char *rule;
  /*
   Where the rule comes from: "common practice", a published text, or a formula.
   */
  const char *source;
} dw_finding;

/*
 A colour, filled in by a call; all numbers under D50. Set `struct_size` to sizeof(dw_colour) before the call.
 */
typedef struct dw_colour {
  /*
   sizeof(dw_colour).
   */
  size_t struct_size;
  /*
   X of 0…100 and more; white is 96.42.
   */
  double x;
  /*
   Y; white is 100.
   */
  double y;
  /*
   Z; white is 82.49.
   */
  double z;
  /*
   L* of 0…100.
   */
  double l;
  /*
   a*.
   */
  double a;
  /*
   b*.
   */
  double b;
  /*
   sRGB of 8 bits; what sRGB does not hold is cut off, channel by channel.
   */
  uint8_t red;
  /*
   See `red`.
   */
  uint8_t green;
  /*
   See `red`.
   */
  uint8_t blue;
} dw_colour;

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
 Told between bands how many of `total` rows are done, on the caller's thread; any answer but 0 stops the run, which then returns
 DW_CANCELLED. Must neither throw nor jump out.
 */
typedef int32_t (*dw_progress)(uint64_t done, uint64_t total, void *user);

/*
 The growth that fits a wedge. Set `struct_size` to sizeof(dw_growth) before the call.
 */
typedef struct dw_growth {
  /*
   sizeof(dw_growth).
   */
  size_t struct_size;
  /*
   How far edges moved, in micrometres; negative where ink shrank.
   */
  double growth_um;
  /*
   Its standard error in micrometres; NaN for a single tint.
   */
  double error_um;
  /*
   Root of the mean square of what is left over, in parts of 1 of coverage.
   */
  double rms;
} dw_growth;

/*
 Connected dots or holes. Set `struct_size` to sizeof(dw_parts) before the call.
 */
typedef struct dw_parts {
  /*
   sizeof(dw_parts).
   */
  size_t struct_size;
  /*
   Those that lie whole within the film.
   */
  uint64_t whole;
  /*
   Those that the film's border cuts.
   */
  uint64_t cut;
  /*
   Pixels of all whole ones.
   */
  uint64_t whole_pixels;
  /*
   Pixels of the smallest whole one; 0 where there is none.
   */
  uint64_t smallest;
  /*
   Pixels of the largest whole one.
   */
  uint64_t largest;
} dw_parts;

/*
 The smallest line of ink and the smallest gap. Set `struct_size` to sizeof(dw_details) before the call.
 */
typedef struct dw_details {
  /*
   sizeof(dw_details).
   */
  size_t struct_size;
  /*
   Width of the smallest line, dot or neck in micrometres; NaN where there is none.
   */
  double line_um;
  /*
   Its middle in pixels from the upper left corner, x and y.
   */
  double line_at[2];
  /*
   Width of the smallest gap or hole in micrometres; NaN where there is none.
   */
  double gap_um;
  /*
   Its middle.
   */
  double gap_at[2];
} dw_details;

/*
 Angle and line count that a film shows. Set `struct_size` to sizeof(dw_repeat) before the call.
 */
typedef struct dw_repeat {
  /*
   sizeof(dw_repeat).
   */
  size_t struct_size;
  /*
   The angle in degrees, counter-clockwise, 0 to below `modulus`.
   */
  double degrees;
  /*
   What may be added to the angle: 90 for a dot alike along both axes, else 180.
   */
  double modulus;
  /*
   The line count per inch.
   */
  double lines_per_inch;
  /*
   Direction of the first frequency in degrees, 0 to below 180, its repeats per inch, and the height of its wave in coverage.
   */
  double first[3];
  /*
   The same of the second; NaN for lines, which have none.
   */
  double second[3];
} dw_repeat;

/*
 A ring of a spectrum. Set `struct_size` to sizeof(dw_ring) before the call.
 */
typedef struct dw_ring {
  /*
   sizeof(dw_ring).
   */
  size_t struct_size;
  /*
   Its middle in cycles per pixel, up to 0.5.
   */
  double frequency;
  /*
   Mean power; 1 in every ring of white noise.
   */
  double power;
  /*
   Anisotropy in decibels; 0 without a direction.
   */
  double anisotropy;
  /*
   Samples in it; fewer than eight say little.
   */
  uint64_t samples;
} dw_ring;

/*
 What two films share. Set `struct_size` to sizeof(dw_overlap) before the call.
 */
typedef struct dw_overlap {
  /*
   sizeof(dw_overlap).
   */
  size_t struct_size;
  /*
   Coverage of each film.
   */
  double coverages[2];
  /*
   The part of the whole that both cover.
   */
  double both;
  /*
   The part that their screens let expect: the product; min on one lattice; max(0, a + b - 1) normal and inverted.
   */
  double expected;
} dw_overlap;

/*
 Which beats matter. Set `struct_size` to sizeof(dw_look).

 NULL in its place looks as the trade does (common practice): orders of 5, beats longer than 2 periods, and of an amplitude of 0.01
 between two screens, 0.005 between a screen and a mesh.
 */
typedef struct dw_look {
  /*
   sizeof(dw_look).
   */
  size_t struct_size;
  /*
   Highest order |k1| + |k2| of the first structure, 1…8.
   */
  uint32_t first_orders;
  /*
   Highest order of the second.
   */
  uint32_t second_orders;
  /*
   Least amplitude in coverage, 0…1.
   */
  double amplitude;
  /*
   Beats longer than so many periods of the coarser structure, 0…1000.
   */
  double periods;
} dw_look;

/*
 A beat between a harmonic of each of two structures. Set `struct_size` to sizeof(dw_beat) before the call.
 */
typedef struct dw_beat {
  /*
   sizeof(dw_beat).
   */
  size_t struct_size;
  /*
   Orders in the first structure; halves are a weave's.
   */
  double first_orders[2];
  /*
   Orders in the second.
   */
  double second_orders[2];
  /*
   Beats per inch.
   */
  double per_inch;
  /*
   Direction in which it repeats, degrees counter-clockwise, -90…90.
   */
  double degrees;
  /*
   Its period in millimetres; infinite where it never repeats: steady as laid, a very long wave as soon as anything moves.
   */
  double period_mm;
  /*
   Its amplitude in coverage, half of what it swings: 2 |c_a| |c_b|.
   */
  double amplitude;
} dw_beat;

/*
 The smallest changes of the first structure that leave no beat that matters. NaN where none helps. Set `struct_size` to
 sizeof(dw_remedies) before the call.
 */
typedef struct dw_remedies {
  /*
   sizeof(dw_remedies).
   */
  size_t struct_size;
  /*
   Degrees to turn it counter-clockwise, alone; 0 where nothing need change.
   */
  double turn;
  /*
   What to multiply its line count by, alone; 1 where nothing need change.
   */
  double lines;
  /*
   Where neither alone helps, both together: degrees to turn it …
   */
  double both_turn;
  /*
   … and what to multiply its line count by.
   */
  double both_lines;
} dw_remedies;

/*
 How nearly three structures close: the first-order frequencies, one of each, that come nearest to adding up to nothing. Set
 `struct_size` to sizeof(dw_closure) before the call.
 */
typedef struct dw_closure {
  /*
   sizeof(dw_closure).
   */
  size_t struct_size;
  /*
   Orders in the first structure.
   */
  double first_orders[2];
  /*
   Orders in the second.
   */
  double second_orders[2];
  /*
   Orders in the third.
   */
  double third_orders[2];
  /*
   What is left over, per inch.
   */
  double per_inch;
  /*
   Its period in millimetres; infinite where the three close.
   */
  double period_mm;
} dw_closure;

/*
 What a mesh is and holds. Set `struct_size` to sizeof(dw_mesh_info) before the call.
 */
typedef struct dw_mesh_info {
  /*
   sizeof(dw_mesh_info).
   */
  size_t struct_size;
  /*
   From thread to thread, in micrometres.
   */
  double pitch_um;
  /*
   Between two threads, in micrometres: pitch less thread.
   */
  double opening_um;
  /*
   Open part of the area, 0…1: (opening / pitch)².
   */
  double open_area;
  /*
   Thickness of the fabric in micrometres, as told or 1.5 threads.
   */
  double fabric_um;
  /*
   Theoretical ink volume in cm³/m², which is micrometres of wet ink: open area · fabric thickness, without emulsion.
   */
  double ink_volume;
  /*
   Dots, and holes, in micrometres across: below [0], one pitch, a thread can block a dot altogether; [1], 1.5 pitches, rests on
   two threads mostly; [2], 2 pitches, wherever it falls. Common practice.
   */
  double smallest_dots_um[3];
  /*
   Lines per inch with [0] 5 threads a line: textile, the safest; [1] 4: usual; [2] 3.5: the finest usually quoted; [3] 2.5: flat
   stock on a well-kept press. Common practice.
   */
  double lines_per_inch[4];
} dw_mesh_info;

/*
 What a shift makes of two plates that mesh, in parts of 1 of the area. Set `struct_size` to sizeof(dw_slip) before the call.
 */
typedef struct dw_slip {
  /*
   sizeof(dw_slip).
   */
  size_t struct_size;
  /*
   Ink on ink, the mean over eight directions of the shift.
   */
  double overlap;
  /*
   Ink on ink in the worst direction.
   */
  double worst_overlap;
  /*
   Bare ground that would be covered in register, the mean over eight directions.
   */
  double gap;
  /*
   The same in the worst direction.
   */
  double worst_gap;
} dw_slip;

/*
 How far two pictures are from each other, in CIEDE2000. Set `struct_size` to sizeof(dw_differences) before the call.
 */
typedef struct dw_differences {
  /*
   sizeof(dw_differences).
   */
  size_t struct_size;
  /*
   Mean over all pixels.
   */
  double mean;
  /*
   What 95 of 100 pixels do not exceed.
   */
  double percentile_95;
  /*
   Mean over the worst square.
   */
  double worst;
  /*
   Its left side in pixels.
   */
  size_t worst_x;
  /*
   Its upper side.
   */
  size_t worst_y;
} dw_differences;

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
 A plate in the caller's memory, to write: DW_SAMPLE_U8 or DW_SAMPLE_U16. Bytes between the rows are left alone, but all of `bytes`
 belongs to the call while it lasts. Set `struct_size` to sizeof(dw_plate_out).
 */
typedef struct dw_plate_out {
  /*
   sizeof(dw_plate_out).
   */
  size_t struct_size;
  /*
   DW_SAMPLE_U8 or DW_SAMPLE_U16.
   */
  uint32_t sample;
  /*
   The first row, aligned to its samples; NULL only where width or height is 0.
   */
  void *samples;
  /*
   Bytes that may be written from `samples` on.
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
} dw_plate_out;

/*
 What a sheet says and how it lies. 0 and NULL stand for what is usual. Set `struct_size` to sizeof(dw_sheet).
 */
typedef struct dw_sheet {
  /*
   sizeof(dw_sheet).
   */
  size_t struct_size;
  /*
   The ink's name; must be there.
   */
  const char *ink;
  /*
   The ink's place in the printing order, from 1 on.
   */
  size_t place;
  /*
   Number of inks.
   */
  size_t inks;
  /*
   The job's name, or NULL.
   */
  const char *job;
  /*
   The date as it is to be read, or NULL. No clock is looked at.
   */
  const char *date;
  /*
   From the film to the sheet's edge in mm: usually 14, at least the mark, at most 500.
   */
  double margin_mm;
  /*
   Across a register mark in mm: usually 9; 3…50.
   */
  double mark_mm;
  /*
   Height of letters in mm: usually 2; 1…20.
   */
  double letters_mm;
  /*
   Other than 0: left for right, seen with the ink side towards you.
   */
  uint32_t mirrored;
  /*
   Other than 0: opaque is what does not print, the margin included.
   */
  uint32_t negative;
  /*
   Other than 0: no step wedge.
   */
  uint32_t no_wedge;
} dw_sheet;

/*
 The extent of a strip. Set `struct_size` to sizeof(dw_strip_info) before the call.
 */
typedef struct dw_strip_info {
  /*
   sizeof(dw_strip_info).
   */
  size_t struct_size;
  /*
   Patches in all.
   */
  size_t patches;
  /*
   Patches to a row.
   */
  size_t columns;
  /*
   Rows of patches; the last may be short.
   */
  size_t rows;
  /*
   Width of the plate in samples.
   */
  size_t width;
  /*
   Height of the plate in samples.
   */
  size_t height;
} dw_strip_info;

/*
 One patch of a strip. Set `struct_size` to sizeof(dw_strip_patch) before the call.
 */
typedef struct dw_strip_patch {
  /*
   sizeof(dw_strip_patch).
   */
  size_t struct_size;
  /*
   Its coverage, 0…1.
   */
  double coverage;
  /*
   Its left side on the plate, in samples.
   */
  size_t x;
  /*
   Its upper side.
   */
  size_t y;
  /*
   Its width.
   */
  size_t width;
  /*
   Its height.
   */
  size_t height;
  /*
   What to write beside it, the coverage in percent: "50" or "2.5". Belongs to the strip.
   */
  const char *label;
} dw_strip_patch;

/*
 A scan in the caller's memory: grey, high is light. Set `struct_size` to sizeof(dw_scan).
 */
typedef struct dw_scan {
  /*
   sizeof(dw_scan).
   */
  size_t struct_size;
  /*
   DW_SAMPLE_U8 or DW_SAMPLE_U16.
   */
  uint32_t sample;
  /*
   DW_ENCODING_….
   */
  uint32_t encoding;
  /*
   The first row, aligned to its samples.
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
} dw_scan;

/*
 Where the patches lie in a scan, in pixels: (0, 0) is the upper left corner of the upper left pixel. Steps are vectors, so that a
 scan that lies a little turned is read as it lies. Set `struct_size` to sizeof(dw_patch_grid).
 */
typedef struct dw_patch_grid {
  /*
   sizeof(dw_patch_grid).
   */
  size_t struct_size;
  /*
   Centre of the first patch.
   */
  double first_x;
  /*
   See `first_x`.
   */
  double first_y;
  /*
   From a patch to the next in its row.
   */
  double along_x;
  /*
   See `along_x`.
   */
  double along_y;
  /*
   From a row to the next.
   */
  double down_x;
  /*
   See `down_x`.
   */
  double down_y;
  /*
   Width of a patch without the gaps, 8 and more.
   */
  double patch_width;
  /*
   Its height, 8 and more.
   */
  double patch_height;
  /*
   Patches in a row.
   */
  size_t columns;
} dw_patch_grid;

/*
 What a wedge tells. Set `struct_size` to sizeof(dw_wedge_info) before the call.
 */
typedef struct dw_wedge_info {
  /*
   sizeof(dw_wedge_info).
   */
  size_t struct_size;
  /*
   Film coverages that were read, ground and solid included.
   */
  size_t patches;
  /*
   The channel used, counted from 0 (for L*a*b* 0, 1, 2 are X, Y, Z); -1 for the spot-colour form.
   */
  int64_t channel;
  /*
   Solid less ground, never negative: light of 0…1 in the channel; for the spot-colour form the length of the way in lightness.
   */
  double contrast;
  /*
   Standard deviation of one reading, in coverage.
   */
  double noise;
  /*
   Root of the mean square residual of the tints, in coverage.
   */
  double rms_residual;
  /*
   Largest residual of a tint, without its sign.
   */
  double worst_residual;
  /*
   1 where repeats or the caller told the noise, and readings were smoothed as far as it allows; 0 where it is assumed.
   */
  uint32_t noise_known;
  /*
   DW_INK_….
   */
  uint32_t direction;
  /*
   DW_ON_…, as told.
   */
  uint32_t on;
  /*
   DW_STATE_…, as told.
   */
  uint32_t state;
} dw_wedge_info;

/*
 One film coverage of a wedge. Set `struct_size` to sizeof(dw_wedge_patch) before the call.
 */
typedef struct dw_wedge_patch {
  /*
   sizeof(dw_wedge_patch).
   */
  size_t struct_size;
  /*
   Coverage on film, 0…1.
   */
  double film;
  /*
   Printed coverage, the mean of its readings: 0 for the ground, 1 for the solid, not clipped.
   */
  double printed;
  /*
   How many readings there were.
   */
  size_t repeats;
  /*
   Their standard deviation; NaN for a single reading.
   */
  double spread;
  /*
   Printed coverage less that of the curve.
   */
  double residual;
} dw_wedge_patch;

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
 Reads a PNG, TIFF or JPEG (UTF-8 path); the kind is told by the first bytes. An embedded profile is followed into sRGB of 16 bits; what
 cannot be told is refused with a word.

 # Safety
 `file` is a NUL-terminated string; `art` can be written.
 */
dw_status dw_art_read(const char *file,
                      struct dw_art_file **art);

/*
 Where the samples lie; they belong to the handle.

 # Safety
 `file` is a live handle; `art` can be read and written for the struct_size it states.
 */
dw_status dw_art_file_get(const struct dw_art_file *file, struct dw_art *art);

/*
 Art freed of its background, which becomes garment from the border in; soft edges are un-mixed in linear light. `background` is a
 colour spelled as for dw_colour_of, or NULL to find it from the border; `tolerance` says how far a channel may be off it, in levels of
 255 (0…64, usually 2), `soft` over how many pixels edges may be soft (0…64, usually 3); with `everywhere` other than 0 areas of that
 colour inside the art go too.

 # Safety
 `art` and its samples are readable; `background` is NULL or a NUL-terminated string; `knocked_out` can be written.
 */
dw_status dw_art_knock_out(const struct dw_art *art,
                           const char *background,
                           double tolerance,
                           uint32_t soft,
                           uint32_t everywhere,
                           struct dw_art_file **knocked_out);

/*
 Ends art that the library holds. NULL is allowed.

 # Safety
 `art` is NULL or a handle that is not used again, and so are the samples that it told of.
 */
void dw_art_free(struct dw_art_file *art);

/*
 Builds a screen of `plates` plates (1…12) side by side, shared by one of DW_SHARING_…. The request, which stays as it is, must be
 one of DW_MODE_NORMAL; its curve, if any, holds for every plate.

 Tone holds to 0.02 of the film for compact dots that touch, to a pixel of the brick else. Where tones add up to more than solid
 the first plates win: a plate gets what those before it leave.

 # Safety
 `request` is a live handle; `screen` can be written.
 */
dw_status dw_side_by_side_build(const struct dw_request *request,
                                size_t plates,
                                uint32_t sharing,
                                struct dw_side_by_side **screen);

/*
 The same with a curve of its own for each of `count` plates, NULL for none.

 # Safety
 `screen` is a live handle; `curves` has `count` entries, each a live handle or NULL; `again` can be written.
 */
dw_status dw_side_by_side_curves(const struct dw_side_by_side *screen,
                                 const struct dw_curve *const *curves,
                                 size_t count,
                                 struct dw_side_by_side **again);

/*
 By how many film pixels the dots of a plate, counted from 0, stand to the right of and below those of the ordinary screen of the
 same request; 0 and 0 for rings.

 # Safety
 `screen` is a live handle; `right` and `down` can be written.
 */
dw_status dw_side_by_side_seed(const struct dw_side_by_side *screen,
                               size_t plate,
                               int64_t *right,
                               int64_t *down);

/*
 Screens the tile of all films whose upper left pixel is (x, y) in film coordinates: plate i to out i, of which there are `count`
 each, as many as the screen is for. The tile must lie on every plate; an empty one does nothing. Many threads may run one screen
 at once.

 # Safety
 `screen` is a live handle; `plates` and `outs` have `count` entries; plates and what they point at are readable; the rows of outs
 are writable, belong to nobody else and overlap neither with each other nor with a plate.
 */
dw_status dw_side_by_side_run(const struct dw_side_by_side *screen,
                              const struct dw_plate *const *plates,
                              const struct dw_film_out *const *outs,
                              size_t count,
                              int64_t x,
                              int64_t y);

/*
 As dw_side_by_side_run, with the rows shared out among threads of the library's own, one to a processor, which it starts at the
 first such call. The same bits.

 # Safety
 As dw_side_by_side_run.
 */
dw_status dw_side_by_side_run_threaded(const struct dw_side_by_side *screen,
                                       const struct dw_plate *const *plates,
                                       const struct dw_film_out *const *outs,
                                       size_t count,
                                       int64_t x,
                                       int64_t y);

/*
 Ends a screen. NULL is allowed.

 # Safety
 `screen` is NULL or a handle that is not used again.
 */
void dw_side_by_side_free(struct dw_side_by_side *screen);

/*
 A check of films that will be printed through this mesh.

 # Safety
 `mesh` is readable; `check` can be written.
 */
dw_status dw_check_new(const struct dw_mesh *mesh, struct dw_check **check);

/*
 Adds a film: its name in UTF-8, the screen it is made with, and a mesh of its own in place of the job's, or NULL. At most 32 films
 are checked together. The check keeps a share of the screen.

 # Safety
 `check` and `screen` are live handles; `name` is a NUL-terminated string; `mesh` is readable or NULL.
 */
dw_status dw_check_film(struct dw_check *check,
                        const char *name,
                        const struct dw_screen *screen,
                        const struct dw_mesh *mesh);

/*
 Checks every film on its mesh, every two and every three films with each other. The heaviest findings come first, otherwise in the
 films' order; those of no consequence are told too. Some milliseconds a film, tenths of a second for each pair with a moiré.

 # Safety
 `check` is a live handle; `findings` can be written.
 */
dw_status dw_check_findings(const struct dw_check *check,
                            struct dw_findings **findings);

/*
 Ends a check. NULL is allowed. Its findings live on.

 # Safety
 `check` is NULL or a handle that is not used again.
 */
void dw_check_free(struct dw_check *check);

/*
 How many findings there are.

 # Safety
 `findings` is a live handle; `count` can be written.
 */
dw_status dw_findings_count(const struct dw_findings *findings, size_t *count);

/*
 One finding: `index` counts from 0, the heaviest first.

 # Safety
 `findings` is a live handle; `finding` can be read and written for the struct_size it states.
 */
dw_status dw_findings_get(const struct dw_findings *findings, size_t index, struct dw_finding *finding);

/*
 Ends findings. NULL is allowed.

 # Safety
 `findings` is NULL or a handle that is not used again.
 */
void dw_findings_free(struct dw_findings *findings);

/*
 A colour by its spelling, as all calls take it: "#e8b04a" (sRGB), "lab(76.2 12 60)" or "xyz(52.1 50.9 12.3)", white having Y 100;
 the last two under D50.

 # Safety
 `spelling` is a NUL-terminated string; `colour` can be read and written for the struct_size it states.
 */
dw_status dw_colour_of(const char *spelling,
                       struct dw_colour *colour);

/*
 How far two colours are from each other: CIEDE2000 (CIE 142, all factors 1).

 # Safety
 Both spellings are NUL-terminated strings; `difference` can be written.
 */
dw_status dw_colour_difference(const char *first, const char *second, double *difference);

/*
 An ink from two drawdowns: its colour over a white ground and over a black one, and the grounds' own colours, all spelled as for
 dw_colour_of. Drawdowns that no layer of ink can show are refused with DW_ERROR_DATA.

 # Safety
 The five texts are NUL-terminated strings; `ink` can be written.
 */
dw_status dw_ink_new(const char *name,
                     const char *white_ground,
                     const char *over_white,
                     const char *black_ground,
                     const char *over_black,
                     struct dw_ink **ink);

/*
 The name of an ink, which belongs to it.

 # Safety
 `ink` is a live handle; `name` can be written.
 */
dw_status dw_ink_name(const struct dw_ink *ink, const char **name);

/*
 The solid of an ink over a ground, at the thickness of its drawdowns.

 # Safety
 `ink` is a live handle; `ground` is a NUL-terminated string; `colour` can be read and written for the struct_size it states.
 */
dw_status dw_ink_over(const struct dw_ink *ink,
                      const char *ground,
                      struct dw_colour *colour);

/*
 Ends an ink. NULL is allowed. Prints made from it live on.

 # Safety
 `ink` is NULL or a handle that is not used again.
 */
void dw_ink_free(struct dw_ink *ink);

/*
 Reads a shelf of inks from a TOML file (UTF-8 path); examples/shelf.toml shows the form. Every mistake in it is told with its line.

 # Safety
 `file` is a NUL-terminated string; `shelf` can be written.
 */
dw_status dw_shelf_read(const char *file,
                        struct dw_shelf **shelf);

/*
 The number of inks on a shelf.

 # Safety
 `shelf` is a live handle; `count` can be written.
 */
dw_status dw_shelf_count(const struct dw_shelf *shelf, size_t *count);

/*
 An ink of a shelf, counted from 0 in the file's order, as a handle of its own.

 # Safety
 `shelf` is a live handle; `ink` can be written.
 */
dw_status dw_shelf_get(const struct dw_shelf *shelf, size_t index, struct dw_ink **ink);

/*
 The ink of a name, as a handle of its own.

 # Safety
 `shelf` is a live handle; `name` is a NUL-terminated string; `ink` can be written.
 */
dw_status dw_shelf_find(const struct dw_shelf *shelf, const char *name, struct dw_ink **ink);

/*
 Ends a shelf. NULL is allowed. Its inks that were handed out live on.

 # Safety
 `shelf` is NULL or a handle that is not used again.
 */
void dw_shelf_free(struct dw_shelf *shelf);

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
 dw_curve_compensation for a print that follows `aim`, plate tone to printed coverage, in place of the plate: such as another press's curve.

 # Safety
 `aim` and `press` are live handles, `device` one or NULL; `compensation` can be written.
 */
dw_status dw_curve_compensation_to(const struct dw_curve *aim,
                                   const struct dw_curve *press,
                                   const struct dw_curve *device,
                                   struct dw_curve **compensation);

/*
 The next round of a compensation: `printed` is what a wedge screened through it printed, plate tone to printed coverage; `aim` what it is to
 print, NULL for the plate's own tones.

 # Safety
 `compensation` and `printed` are live handles, `aim` one or NULL; `refined` can be written.
 */
dw_status dw_curve_refined(const struct dw_curve *compensation,
                           const struct dw_curve *printed,
                           const struct dw_curve *aim,
                           struct dw_curve **refined);

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
 The print curve of a press of which the gain at 0.5 is known, -0.45…0.45: 4 gain a (1 - a) where that stays below solid, and a form that never
 exceeds it beyond.

 # Safety
 `curve` can be written.
 */
dw_status dw_curve_of_gain(double gain_at_half,
                           struct dw_curve **curve);

/*
 What films of a screen print, in its mode and without its curve, where every edge of ink moves outwards by `growth_um` micrometres (inwards, if
 negative): film coverage to printed coverage, to be undone by dw_curve_compensation. About half a second.

 # Safety
 `screen` is a live handle; `curve` can be written.
 */
dw_status dw_curve_of_growth(const struct dw_screen *screen,
                             double growth_um,
                             struct dw_curve **curve);

/*
 The growth of edges that fits a printed wedge best: `count` tints, 0…1 on the film and as printed, on films of `screen` (its curve is left out).

 # Safety
 `screen` is a live handle; `films` and `printed` hold `count` numbers; `growth` can be read and written for the struct_size it states.
 */
dw_status dw_growth_fit(const struct dw_screen *screen,
                        const double *films,
                        const double *printed,
                        size_t count,
                        struct dw_growth *growth);

/*
 How much of each pixel is covered, 0…1, once every edge of ink has moved outwards by `growth_um` micrometres (inwards, if negative). `covered` takes
 width · height numbers, row by row; `count` says how many there is room for. Around the film is bare ground.

 # Safety
 `film` and its rows are readable; `covered` can be written for `count` numbers.
 */
dw_status dw_film_grown(const struct dw_film *film,
                        double x_per_inch,
                        double y_per_inch,
                        double growth_um,
                        float *covered,
                        size_t count);

/*
 A film file: TIFF (uncompressed, PackBits, LZW, Deflate, T.6), PNG of bit depth 1 or PBM (P4), told by its first bytes. Black is ink.

 # Safety
 `path` is a NUL-terminated string; `file` can be written.
 */
dw_status dw_film_read(const char *path,
                       struct dw_film_file **file);

/*
 The rows of a film that was read, which live as long as `file`; and its resolution in pixels per inch, 0 where its file has none.

 # Safety
 `file` is a live handle; `film` can be read and written for the struct_size it states; `x_per_inch` and `y_per_inch` can be written.
 */
dw_status dw_film_file_get(const struct dw_film_file *file,
                           struct dw_film *film,
                           double *x_per_inch,
                           double *y_per_inch);

/*
 Ends a film that was read, and its rows. NULL is allowed.

 # Safety
 `file` is NULL or a handle that is not used again.
 */
void dw_film_file_free(struct dw_film_file *file);

/*
 The length of all outlines of a film's ink in millimetres: what a press spreads.

 # Safety
 `film` and its rows are readable; `mm` can be written.
 */
dw_status dw_film_perimeter(const struct dw_film *film, double x_per_inch, double y_per_inch, double *mm);

/*
 Connected dots (DW_PART_INK) or holes (DW_PART_BARE) of a film, by a DW_TOUCH_… value for the ink.

 # Safety
 `film` and its rows are readable; `parts` can be read and written for the struct_size it states.
 */
dw_status dw_film_parts(const struct dw_film *film, uint32_t part, uint32_t touch, struct dw_parts *parts);

/*
 The smallest line and the smallest gap of a film.

 # Safety
 `film` and its rows are readable; `details` can be read and written for the struct_size it states.
 */
dw_status dw_film_details(const struct dw_film *film,
                          double x_per_inch,
                          double y_per_inch,
                          struct dw_details *details);

/*
 How uneven a flat tint of a screen is to an eye that no longer sees its dots: the standard deviation of coverage after a Gaussian of one screen
 period. The film is at least ten periods wide and high.

 # Safety
 `film` and its rows are readable; `grain` can be written.
 */
dw_status dw_film_grain(const struct dw_film *film,
                        double x_per_inch,
                        double y_per_inch,
                        double lines_per_inch,
                        double *grain);

/*
 Angle and line count, read back from a film alone. DW_ERROR_DATA where it shows no screen.

 # Safety
 `film` and its rows are readable; `repeat` can be read and written for the struct_size it states.
 */
dw_status dw_film_repeat(const struct dw_film *film,
                         double x_per_inch,
                         double y_per_inch,
                         struct dw_repeat *repeat);

/*
 The spectrum of a film's middle, averaged around.

 # Safety
 `film` and its rows are readable; `spectrum` can be written.
 */
dw_status dw_film_spectrum(const struct dw_film *film, struct dw_spectrum **spectrum);

/*
 How many rings a spectrum has.

 # Safety
 `spectrum` is a live handle; `count` can be written.
 */
dw_status dw_spectrum_count(const struct dw_spectrum *spectrum, size_t *count);

/*
 A ring of a spectrum.

 # Safety
 `spectrum` is a live handle; `ring` can be read and written for the struct_size it states.
 */
dw_status dw_spectrum_get(const struct dw_spectrum *spectrum, size_t index, struct dw_ring *ring);

/*
 Ends a spectrum. NULL is allowed.

 # Safety
 `spectrum` is NULL or a handle that is not used again.
 */
void dw_spectrum_free(struct dw_spectrum *spectrum);

/*
 What two films of one size share, beside what their screens let expect.

 # Safety
 Films and their rows are readable; screens are live handles; `overlap` can be read and written for the struct_size it states.
 */
dw_status dw_films_overlap(const struct dw_film *first,
                           const struct dw_screen *first_screen,
                           const struct dw_film *second,
                           const struct dw_screen *second_screen,
                           struct dw_overlap *overlap);

/*
 The tones at which a screen's dots first join to chains, and then across them, in its mode. DW_ERROR_REQUEST for index dots, arrays and dots
 of the caller's own function, whose shape is not kept.

 # Safety
 `screen` is a live handle; `first` and `second` can be written.
 */
dw_status dw_screen_link_ups(const struct dw_screen *screen,
                             double *first,
                             double *second);

/*
 The structure of a screen of growing dots, by its true lattice. Screens of index dots and arrays have none.

 # Safety
 `screen` is a live handle; `structure` can be written.
 */
dw_status dw_structure_screen(const struct dw_screen *screen, struct dw_structure **structure);

/*
 The structure of a screen that is not built: dots on a square lattice.

 # Safety
 `structure` can be written.
 */
dw_status dw_structure_dots(double lines_per_inch, double degrees, struct dw_structure **structure);

/*
 The structure of a grating: lines that run along the angle.

 # Safety
 `structure` can be written.
 */
dw_status dw_structure_lines(double lines_per_inch, double degrees, struct dw_structure **structure);

/*
 The structure of a mesh: threads, and the weave that repeats every two.

 # Safety
 `mesh` is readable; `structure` can be written.
 */
dw_status dw_structure_mesh(const struct dw_mesh *mesh, struct dw_structure **structure);

/*
 Ends a structure. NULL is allowed.

 # Safety
 `structure` is NULL or a handle that is not used again.
 */
void dw_structure_free(struct dw_structure *structure);

/*
 The beats that matter between two structures; `look` may be NULL. Their number: dw_beats_count.

 # Safety
 `first` and `second` are live handles, `look` is readable or NULL; `beats` can be written.
 */
dw_status dw_moire_beats(const struct dw_structure *first,
                         const struct dw_structure *second,
                         const struct dw_look *look,
                         struct dw_beats **beats);

/*
 How many beats there are.

 # Safety
 `beats` is a live handle; `count` can be written.
 */
dw_status dw_beats_count(const struct dw_beats *beats, size_t *count);

/*
 One beat: `index` counts from 0, the longest first.

 # Safety
 `beats` is a live handle; `beat` can be read and written for the struct_size it states.
 */
dw_status dw_beats_get(const struct dw_beats *beats, size_t index, struct dw_beat *beat);

/*
 Ends beats. NULL is allowed.

 # Safety
 `beats` is NULL or a handle that is not used again.
 */
void dw_beats_free(struct dw_beats *beats);

/*
 The smallest changes of the first structure after which no beat that matters is left, wherever the second lies within
 `play_degrees` (0…10) either way and within `play_relative` (0…0.2) of its count either way: 1 and 0.02 for a stretched mesh, 0 and
 0 for a film; `look` may be NULL. Up to some tenths of a second where nothing helps.

 # Safety
 `first` and `second` are live handles, `look` is readable or NULL; `remedies` can be read and written for the struct_size it
 states.
 */
dw_status dw_moire_remedies(const struct dw_structure *first,
                            const struct dw_structure *second,
                            const struct dw_look *look,
                            double play_degrees,
                            double play_relative,
                            struct dw_remedies *remedies);

/*
 How nearly three structures close.

 # Safety
 `first`, `second` and `third` are live handles; `closure` can be read and written for the struct_size it states.
 */
dw_status dw_moire_closure(const struct dw_structure *first,
                           const struct dw_structure *second,
                           const struct dw_structure *third,
                           struct dw_closure *closure);

/*
 The size in pixels of the whole film of a plate.

 # Safety
 `plate` and what it points at are readable; `width` and `height` can be written.
 */
dw_status dw_plate_film_size(const struct dw_plate *plate, size_t *width, size_t *height);

/*
 What a mesh is and holds.

 # Safety
 `mesh` is readable; `info` can be read and written for the struct_size it states.
 */
dw_status dw_mesh_get_info(const struct dw_mesh *mesh, struct dw_mesh_info *info);

/*
 The tints at which single round dots and round holes of `size_um` micrometres across are reached in cells of a line count: smaller
 ones lie below `lightest` and above `darkest`. Where no tint holds both, lightest is 1 and darkest 0.

 # Safety
 `lightest` and `darkest` can be written.
 */
dw_status dw_mesh_tints_held(double size_um,
                             double lines_per_inch,
                             double *lightest,
                             double *darkest);

/*
 What a shift of one film by `shift_um` micrometres (at most 512 pixels) makes of two tints, 0…1, of plates that mesh: of a normal
 screen and of an inverted one of the same lattice, from dw_screen_again. Counted on films of the two, some ten milliseconds.

 # Safety
 `normal` and `inverted` are live handles; `slip` can be read and written for the struct_size it states.
 */
dw_status dw_register_slip(const struct dw_screen *normal,
                           const struct dw_screen *inverted,
                           double normal_tint,
                           double inverted_tint,
                           double shift_um,
                           struct dw_slip *slip);

/*
 A garment of a colour (spelled as for dw_colour_of), with nothing printed on it yet.

 # Safety
 `garment` is a NUL-terminated string; `printing` can be written.
 */
dw_status dw_printing_new(const char *garment, struct dw_printing **printing);

/*
 The next ink; 12 at the most.

 # Safety
 `printing` and `ink` are live handles.
 */
dw_status dw_printing_ink(struct dw_printing *printing, const struct dw_ink *ink);

/*
 A flash: what was printed so far is dry.

 # Safety
 `printing` is a live handle.
 */
dw_status dw_printing_flash(struct dw_printing *printing);

/*
 The part of an ink's thickness, 0…1, that stays where ink below it is still wet; 1 unless told.

 # Safety
 `printing` is a live handle.
 */
dw_status dw_printing_wet(struct dw_printing *printing, double part);

/*
 Yule and Nielsen's n, 1…10; 1 unless told.

 # Safety
 `printing` is a live handle.
 */
dw_status dw_printing_yule_nielsen(struct dw_printing *printing, double n);

/*
 The measured colour of `count` inks in full (counted from 0 in printing order) on the garment, which is taken before any model.

 # Safety
 `printing` is a live handle; `inks` holds `count` numbers; `colour` is a NUL-terminated string.
 */
dw_status dw_printing_overprint(struct dw_printing *printing,
                                const size_t *inks,
                                size_t count,
                                const char *colour);

/*
 The print, for inks that overlap by the law of their `count` screens, one for each ink: those on one lattice nest or keep clear of each
 other, all others overlap by chance. NULL and 0 for `screens` and `count` take all by chance (Demichel).

 # Safety
 `printing` and each of the `count` handles that `screens` holds are live; `print` can be written.
 */
dw_status dw_print_build(const struct dw_printing *printing,
                         const struct dw_screen *const *screens,
                         size_t count,
                         struct dw_print **print);

/*
 Ends the laying down of inks. NULL is allowed. Prints built from it live on.

 # Safety
 `printing` is NULL or a handle that is not used again.
 */
void dw_printing_free(struct dw_printing *printing);

/*
 The colour of printed coverages, 0…1, one for each ink in printing order.

 # Safety
 `print` is a live handle; `coverages` holds `count` numbers; `colour` can be read and written for the struct_size it states.
 */
dw_status dw_print_colour(const struct dw_print *print,
                          const double *coverages,
                          size_t count,
                          struct dw_colour *colour);

/*
 Ends a print. NULL is allowed. Separations made for it live on.

 # Safety
 `print` is NULL or a handle that is not used again.
 */
void dw_print_free(struct dw_print *print);

/*
 The print to expect of `count` plates of one size and type (8 or 16 bits, a sample for each pixel), one for each ink in printing order. What is
 printed is taken to be what the plates say: gain is undone by their curves.

 # Safety
 `print` is a live handle; `plates` holds `count` structures, which are readable with what they point at; `picture` can be written.
 */
dw_status dw_proof_plates(const struct dw_print *print,
                          const struct dw_plate *plates,
                          size_t count,
                          struct dw_picture **picture);

/*
 The same picture as an eye sees it from a distance in millimetres; the resolution is that of the picture.

 # Safety
 `picture` is a live handle; `seen` can be written.
 */
dw_status dw_picture_seen(const struct dw_picture *picture,
                          double x_per_inch,
                          double y_per_inch,
                          double distance_mm,
                          struct dw_picture **seen);

/*
 Width and height of a picture in pixels.

 # Safety
 `picture` is a live handle; `width` and `height` can be written.
 */
dw_status dw_picture_size(const struct dw_picture *picture, size_t *width, size_t *height);

/*
 The picture as sRGB of 8 bits: red, green, blue of each pixel, row by row, without gaps; `bytes` is 3 · width · height or more. What sRGB does
 not hold is cut off, channel by channel.

 # Safety
 `picture` is a live handle; `codes` can be written for `bytes` bytes.
 */
dw_status dw_picture_srgb(const struct dw_picture *picture,
                          uint8_t *codes,
                          size_t bytes);

/*
 How far two pictures of one size are from each other; the worst place is a square of `side` pixels, 1 and more.

 # Safety
 `one` and `other` are live handles; `differences` can be read and written for the struct_size it states.
 */
dw_status dw_picture_differences(const struct dw_picture *one,
                                 const struct dw_picture *other,
                                 size_t side,
                                 struct dw_differences *differences);

/*
 Ends a picture. NULL is allowed.

 # Safety
 `picture` is NULL or a handle that is not used again.
 */
void dw_picture_free(struct dw_picture *picture);

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
 A separation for a print, with everything else as usual.

 # Safety
 `print` is a live handle; `separating` can be written.
 */
dw_status dw_separating_new(const struct dw_print *print, struct dw_separating **separating);

/*
 How the art's black and white come out: a DW_INTENT_… value; adapted unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_intent(struct dw_separating *separating, uint32_t intent);

/*
 The part of the way to the gamut's boundary, 0…0.99, within which colours stay what they are; 0.9 unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_knee(struct dw_separating *separating,
                             double part);

/*
 Price of ink: half of the squared difference (CIEDE2000) that may be lost to save a whole coverage, 0…100; 0.2 unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_ink_price(struct dw_separating *separating,
                                  double price);

/*
 Price, in the same unit, of grey that is carried by colours and not by black, 0…100; 1 unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_grey_price(struct dw_separating *separating, double price);

/*
 Which plate is the black one. Unless told, the darkest ink, if it is dark and grey on the garment.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_black(struct dw_separating *separating, size_t plate);

/*
 How strongly neighbouring colours are drawn to like coverages, 1…10000; 100 unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_smoothness(struct dw_separating *separating, double weight);

/*
 The lightest tone that can be printed, 0…0.2 coverage: tones below are drawn to none or to it. 0, no floor, unless told.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_floor(struct dw_separating *separating,
                              double coverage);

/*
 An art colour (sRGB of 8 bits) that comes out as one ink in full and nothing else.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_pin(struct dw_separating *separating,
                            uint8_t red,
                            uint8_t green,
                            uint8_t blue,
                            size_t plate);

/*
 A plate that is supplied: the others are solved for what it prints.

 # Safety
 `separating` is a live handle.
 */
dw_status dw_separating_hold(struct dw_separating *separating, size_t plate);

/*
 A plate's trim: a curve (NULL for none), then tones below `highlight_cut` become none and tones above `shadow_fill` solid, both 0…1; 0
 and 1 change nothing.

 # Safety
 `separating` is a live handle; `curve` is NULL or a live handle.
 */
dw_status dw_separating_trim(struct dw_separating *separating,
                             size_t plate,
                             const struct dw_curve *curve,
                             double highlight_cut,
                             double shadow_fill);

/*
 Solves a separation: about a second's work of one core for six inks, shared out to all cores.

 # Safety
 `separating` is a live handle; `separation` can be written.
 */
dw_status dw_separation_build(const struct dw_separating *separating, struct dw_separation **separation);

/*
 Ends what a separation is to be. NULL is allowed. Separations built from it live on.

 # Safety
 `separating` is NULL or a handle that is not used again.
 */
void dw_separating_free(struct dw_separating *separating);

/*
 Separates art into `count` plates, one for each ink in printing order, of the art's size and sample type; the work is shared out to all
 cores. `held` is the plate that dw_separating_hold told of, of that size and type and one sample for each pixel, and NULL otherwise.

 # Safety
 `separation` is a live handle; `art` and `held` and what they point at are readable; `plates` holds `count` structures whose rows can
 be written and lie apart from all else.
 */
dw_status dw_separation_run(const struct dw_separation *separation,
                            const struct dw_art *art,
                            const struct dw_plate *held,
                            const struct dw_plate_out *plates,
                            size_t count);

/*
 Ends a separation. NULL is allowed.

 # Safety
 `separation` is NULL or a handle that is not used again.
 */
void dw_separation_free(struct dw_separation *separation);

/*
 Lays out a film's sheet, with register marks, label and step wedge, and writes it to `target` (UTF-8); `format` is a DW_FORMAT_… value. `screen`
 is the film's own, told in the label and seen in the wedge; NULL for line work.

 # Safety
 `film` and its rows, and `sheet` and its texts, are readable; `screen` is NULL or a live handle; `target` is a NUL-terminated string.
 */
dw_status dw_sheet_write(const struct dw_film *film,
                         double x_per_inch,
                         double y_per_inch,
                         const struct dw_screen *screen,
                         const struct dw_sheet *sheet,
                         const char *target,
                         uint32_t format);

/*
 The words of the last failure on this thread: UTF-8, NUL-terminated, empty before the first. Valid until the next failure on
 this thread; never freed by the caller. A call that succeeds leaves them as they are.
 */
const char *dw_last_error(void);

/*
 A strip of `repeats` times the given coverages (0…1), `columns` patches to a row, each patch_width by patch_height samples, with
 `gap` samples of bare ground around and between them; at most 4096 patches. Every second repeat lies in the opposite order.
 NULL and 0 for `coverages` and `count` take those of a usual wedge: 19 from 0 to 1, closer together at both ends.

 A patch should be 10 mm or more: an instrument's opening and twenty cells of the screen.

 # Safety
 `coverages` holds `count` numbers, or is NULL with none; `strip` can be written.
 */
dw_status dw_strip_new(const double *coverages,
                       size_t count,
                       size_t repeats,
                       size_t columns,
                       size_t patch_width,
                       size_t patch_height,
                       size_t gap,
                       struct dw_strip **strip);

/*
 The same wedge with each patch's label above it in letters of the given height, for a plate of the given samples per inch. Rows of
 patches move apart by what the labels take; letters below ten samples cannot be read. A label wider than its patch and one gap is
 refused.

 # Safety
 `strip` is a live handle; `labelled` can be written.
 */
dw_status dw_strip_labelled(const struct dw_strip *strip,
                            double height_mm,
                            double x_per_inch,
                            double y_per_inch,
                            struct dw_strip **labelled);

/*
 The extent of a strip.

 # Safety
 `strip` is a live handle; `info` can be read and written for the struct_size it states.
 */
dw_status dw_strip_get_info(const struct dw_strip *strip, struct dw_strip_info *info);

/*
 One patch of a strip: `index` counts from 0 in reading order.

 # Safety
 `strip` is a live handle; `patch` can be read and written for the struct_size it states.
 */
dw_status dw_strip_get_patch(const struct dw_strip *strip, size_t index, struct dw_strip_patch *patch);

/*
 The plate of a strip, to be screened as any other: coverage in the patches, solid in labels, none elsewhere. `sample` is
 DW_SAMPLE_U8 or DW_SAMPLE_U16, `width` and `height` are those of dw_strip_get_info; rows lie `stride` bytes apart in `bytes` bytes.
 A plate of more than 1048576 samples a side is refused with DW_ERROR_LIMIT.

 # Safety
 `strip` is a live handle; `samples` has room for `bytes` bytes, which belong to nobody else.
 */
dw_status dw_strip_plate(const struct dw_strip *strip,
                         uint32_t sample,
                         void *samples,
                         size_t bytes,
                         size_t stride,
                         size_t width,
                         size_t height);

/*
 Ends a strip. NULL is allowed.

 # Safety
 `strip` is NULL or a handle that is not used again.
 */
void dw_strip_free(struct dw_strip *strip);

/*
 Reads `count` patches of a scan, row by row: the mean light of each, 0…1 of the scan's white, which serves as a reading of
 DW_SCALE_REFLECTANCE; and, unless `spreads` is NULL, how much its four quarters differ (their standard deviation), which tells a
 grid that is off, dust, or an uneven print.

 # Safety
 `scan` and its samples, and `grid`, are readable; `reflectances` has room for `count` numbers, and `spreads`, unless it is NULL,
 elsewhere for as many.
 */
dw_status dw_scan_read(const struct dw_scan *scan,
                       const struct dw_patch_grid *grid,
                       size_t count,
                       double *reflectances,
                       double *spreads);

/*
 The version of the loaded library: major · 65536 + minor · 256 + patch. Compare it with the macros of the header.
 */
uint32_t dw_version(void);

/*
 The version of the loaded library in words, such as "0.1.0": static, never freed.
 */
const char *dw_version_text(void);

/*
 Coverage of a tint from the densities of ground, solid and tint (-10…10) by the form of Yule and Nielsen with n (1…1000); n = 1 is
 that of Murray and Davies. The ink may be darker or lighter than its ground.

 # Safety
 `coverage` can be written.
 */
dw_status dw_density_coverage(double ground,
                              double solid,
                              double tint,
                              double n,
                              double *coverage);

/*
 No readings yet, of an instrument that states `scale` (DW_SCALE_…). Unless told otherwise coverage is that of Murray and Davies,
 which on X, Y, Z and L*a*b* is the colorimetric tone value of ISO 12647-1, along the channel of most contrast.

 # Safety
 `readings` can be written.
 */
dw_status dw_readings_new(uint32_t scale,
                          struct dw_readings **readings);

/*
 Readings from text in UTF-8: a patch a line, film coverage and then the values, separated by a comma, a semicolon, a tab or
 spaces. Empty lines, lines that begin with # and one line of headings are passed over. If any film coverage is above 1 all are in
 percent. `name` stands in the words of a failure.

 # Safety
 `name` and `table` are NUL-terminated strings; `readings` can be written.
 */
dw_status dw_readings_from_table(const char *name,
                                 const char *table,
                                 uint32_t scale,
                                 struct dw_readings **readings);

/*
 Adds one reading of the patch of the given film coverage (0…1): X, Y, Z or L*, a*, b*, or as many densities or reflectances as in
 the first reading. Ground (0), solid (1) and a tint are needed; any patch may come several times.

 # Safety
 `readings` is a live handle; `values` holds `count` numbers.
 */
dw_status dw_readings_add(struct dw_readings *readings,
                          double film,
                          const double *values,
                          size_t count);

/*
 Coverage along one channel by the form of Yule and Nielsen with n of 1…1000.

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_yule_nielsen(struct dw_readings *readings, double n);

/*
 Coverage along all of X, Y, Z or L*a*b*: the spot-colour tone value of ISO 20654 (from memory).

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_spot_colour(struct dw_readings *readings);

/*
 The channel to use, counted from 0, in place of that of most contrast. One that the readings do not have is refused by
 dw_readings_measure.

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_channel(struct dw_readings *readings,
                              size_t channel);

/*
 The white that L*a*b* refers to, 1…200 each with y = 100: D50 (96.42, 100, 82.49) unless told.

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_white(struct dw_readings *readings, double x, double y, double z);

/*
 The standard deviation of one reading in coverage, 0.0001…0.05, where it is known from elsewhere. Without it repeats tell, if
 there are enough of them.

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_noise(struct dw_readings *readings,
                            double coverage);

/*
 The curve of the film printer, where patches are told by what was asked of a film that was made without undoing it.

 # Safety
 `readings` and `device` are live handles.
 */
dw_status dw_readings_asked_of(struct dw_readings *readings,
                               const struct dw_curve *device);

/*
 On what (DW_ON_…) the wedge is printed and in which state (DW_STATE_…) it was measured: kept with the wedge, changing no number.

 # Safety
 `readings` is a live handle.
 */
dw_status dw_readings_told(struct dw_readings *readings,
                           uint32_t on,
                           uint32_t state);

/*
 The wedge of these readings, which stay as they are. Repeats are averaged, known noise is smoothed away, and readings that fall
 are pooled, so that the curve never does.

 Refused as DW_ERROR_DATA: no reading of ground, solid or any tint; too little contrast; a tint beyond ground or solid by more than
 the noise.

 # Safety
 `readings` is a live handle; `wedge` can be written.
 */
dw_status dw_readings_measure(const struct dw_readings *readings,
                              struct dw_wedge **wedge);

/*
 Ends readings. NULL is allowed.

 # Safety
 `readings` is NULL or a handle that is not used again.
 */
void dw_readings_free(struct dw_readings *readings);

/*
 What a wedge tells.

 # Safety
 `wedge` is a live handle; `info` can be read and written for the struct_size it states.
 */
dw_status dw_wedge_get_info(const struct dw_wedge *wedge, struct dw_wedge_info *info);

/*
 One patch of a wedge: `index` counts film coverages from 0 as they rise.

 # Safety
 `wedge` is a live handle; `patch` can be read and written for the struct_size it states.
 */
dw_status dw_wedge_get_patch(const struct dw_wedge *wedge, size_t index, struct dw_wedge_patch *patch);

/*
 The curve of a wedge: film coverage to printed coverage, of a press or, for a film's own wedge, of the film printer. What undoes
 one or both: dw_curve_compensation.

 # Safety
 `wedge` is a live handle; `curve` can be written.
 */
dw_status dw_wedge_curve(const struct dw_wedge *wedge,
                         struct dw_curve **curve);

/*
 Ends a wedge. NULL is allowed. Its curves live on.

 # Safety
 `wedge` is NULL or a handle that is not used again.
 */
void dw_wedge_free(struct dw_wedge *wedge);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* DOTWRIGHT_H */
