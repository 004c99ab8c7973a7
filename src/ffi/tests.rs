//! The Rust side of the fence, called as C calls it: small enough to be run under Miri, which sees every borrow.

use std::ffi::CStr;
use std::ptr::{null, null_mut};

use super::check::*;
use super::curve::*;
use super::film::*;
use super::moire::*;
use super::plate::*;
use super::press::*;
use super::request::*;
use super::screen::*;
use super::status::*;
use super::strip::*;
use super::wedge::*;

/// A structure to be filled in: its size, else nothing. All members may be all zeros.
fn sized<T>() -> T {
    let mut empty = std::mem::MaybeUninit::<T>::zeroed();
    // SAFETY: every structure of the interface begins with its size and holds numbers and pointers alone.
    unsafe {
        empty.as_mut_ptr().cast::<usize>().write(size_of::<T>());
        empty.assume_init()
    }
}

/// A screen of the caller's own array of two by two.
fn small_screen() -> *mut dw_screen {
    let thresholds = [0_u32, 2, 3, 1];
    let (mut request, mut screen) = (null_mut(), null_mut());
    unsafe {
        assert_eq!(dw_request_new(600.0, 600.0, &mut request), DW_OK);
        assert_eq!(dw_request_array(request, thresholds.as_ptr(), 16, 8, 2, 2), DW_OK);
        assert_eq!(dw_screen_build(request, &mut screen), DW_OK);
        dw_request_free(request);
    }
    screen
}

fn plate(samples: &[u16], width: usize, height: usize, stride: usize) -> dw_plate {
    dw_plate {
        struct_size: size_of::<dw_plate>(),
        sample: DW_SAMPLE_U16,
        sampling: DW_SAMPLING_NEAREST,
        samples: samples.as_ptr().cast(),
        bytes: size_of_val(samples),
        stride,
        width,
        height,
        plate_x_per_inch: 0.0,
        plate_y_per_inch: 0.0,
        film_x_per_inch: 0.0,
        film_y_per_inch: 0.0,
        x: -3,
        y: 5,
    }
}

#[test]
fn rows_are_read_and_written_within_what_was_promised() {
    let screen = small_screen();
    // Two rows of three samples, five samples apart, the last without padding behind it.
    let samples = [65_535_u16, 0, 65_535, 9, 9, 20_000, 65_535, 1];
    let plate = plate(&samples, 3, 2, 10);
    let mut bits = [0xaa_u8; 4];
    let out = dw_film_out {
        struct_size: size_of::<dw_film_out>(),
        bits: bits.as_mut_ptr(),
        bytes: 4,
        stride: 3,
        width: 3,
        height: 2,
    };
    assert_eq!(unsafe { dw_screen_run(screen, &plate, -3, 5, &out) }, DW_OK);
    assert_eq!(bits[1..3], [0xaa; 2], "between the rows");
    assert_eq!(bits[0] & 0b1011_1111, 0b1010_0000);
    let film = dw_film {
        struct_size: size_of::<dw_film>(),
        bits: bits.as_ptr(),
        bytes: 4,
        stride: 3,
        width: 3,
        height: 2,
    };
    let mut count = 99;
    assert_eq!(unsafe { dw_film_count(&film, &mut count) }, DW_OK);
    assert_eq!(count, u64::from(bits[0].count_ones() + bits[3].count_ones()));
    let mut again = null_mut();
    assert_eq!(unsafe { dw_screen_again(screen, DW_MODE_INVERTED, null(), &mut again) }, DW_OK);
    unsafe {
        dw_screen_free(screen);
        // What a screen was made from may be gone.
        assert_eq!(dw_screen_run(again, &plate, -3, 5, &out), DW_OK);
        dw_screen_free(again);
        dw_screen_free(null_mut());
    }
}

#[test]
fn bad_calls_write_nothing_and_leave_words() {
    let screen = small_screen();
    let samples = [7_u16; 6];
    let good = plate(&samples, 3, 2, 6);
    let mut bits = [0x55_u8; 2];
    let out = dw_film_out {
        struct_size: size_of::<dw_film_out>(),
        bits: bits.as_mut_ptr(),
        bytes: 2,
        stride: 1,
        width: 3,
        height: 2,
    };
    let run = |plate: &dw_plate, x, y| unsafe { dw_screen_run(screen, plate, x, y, &out) };
    assert_eq!(run(&good, i64::MAX, i64::MIN), DW_ERROR_REQUEST);
    for spoil in [
        |p: &mut dw_plate| p.struct_size = 8,
        |p: &mut dw_plate| p.samples = null(),
        |p: &mut dw_plate| p.samples = p.samples.cast::<u8>().wrapping_add(1).cast(),
        |p: &mut dw_plate| p.stride = 5,
        |p: &mut dw_plate| p.bytes = 11,
        |p: &mut dw_plate| p.height = usize::MAX,
        |p: &mut dw_plate| p.width = usize::MAX,
        |p: &mut dw_plate| p.sample = 9,
        |p: &mut dw_plate| p.film_x_per_inch = f64::NAN,
    ] {
        let mut bad = plate(&samples, 3, 2, 6);
        spoil(&mut bad);
        assert_eq!(run(&bad, -3, 5), DW_ERROR_REQUEST);
        let words = unsafe { CStr::from_ptr(dw_last_error()) };
        assert!(!words.is_empty());
    }
    assert_eq!(unsafe { dw_screen_run(null(), &good, -3, 5, &out) }, DW_ERROR_REQUEST);
    assert_eq!(bits, [0x55; 2]);
    unsafe { dw_screen_free(screen) };
}

#[test]
fn curves_and_a_spot_function_with_the_callers_pointer() {
    unsafe extern "C" fn spot(x: f64, _: f64, user: *mut core::ffi::c_void) -> f64 {
        // SAFETY: the test hands over a counter that outlives the request.
        unsafe { *user.cast::<u64>() += 1 };
        x
    }
    let (mut curve, mut inverse, mut chain) = (null_mut(), null_mut(), null_mut());
    let (mut request, mut screen) = (null_mut(), null_mut());
    let (inputs, outputs) = ([0.5, 1.0], [0.25, 1.0]);
    let mut calls = 0_u64;
    unsafe {
        assert_eq!(dw_curve_through(inputs.as_ptr(), outputs.as_ptr(), 2, &mut curve), DW_OK);
        assert_eq!(dw_curve_inverse(curve, &mut inverse), DW_OK);
        assert_eq!(dw_curve_then(curve, inverse, &mut chain), DW_OK);
        let mut value = 0.0;
        assert_eq!(dw_curve_eval(chain, 0.5, &mut value), DW_OK);
        assert!((value - 0.5).abs() < 1e-9);
        assert_eq!(dw_request_new(100.0, 100.0, &mut request), DW_OK);
        assert_eq!(dw_request_lines(request, 25.0), DW_OK);
        assert_eq!(dw_request_angle(request, 0.0), DW_OK);
        assert_eq!(dw_request_growth(request, DW_GROWTH_STRAIGHT), DW_OK);
        assert_eq!(dw_request_spot(request, Some(spot), (&raw mut calls).cast()), DW_OK);
        // A clone of a request's curve would take 65 536 evaluations: too many for Miri.
        if !cfg!(miri) {
            assert_eq!(dw_request_curve(request, curve), DW_OK);
        }
        for handle in [curve, inverse, chain] {
            dw_curve_free(handle);
        }
        assert_eq!(dw_screen_build(request, &mut screen), DW_OK);
        assert_eq!(calls, 16);
        dw_request_free(request);
        dw_screen_free(screen);
        assert_eq!(dw_curve_inverse(null(), &mut inverse), DW_ERROR_REQUEST);
        assert!(inverse.is_null());
    }
}

#[test]
fn a_wedge_is_drawn_scanned_and_read() {
    let coverages = [0.0, 0.5, 1.0];
    let (mut strip, mut readings, mut wedge, mut curve) = (null_mut(), null_mut(), null_mut(), null_mut());
    let (mut info, mut patch): (dw_strip_info, dw_strip_patch) = (sized(), sized());
    unsafe {
        assert_eq!(dw_strip_new(coverages.as_ptr(), 3, 1, 3, 8, 9, 1, &mut strip), DW_OK);
        assert_eq!(dw_strip_get_info(strip, &mut info), DW_OK);
        assert_eq!((info.width, info.height), (28, 11));
        // Rows of 32 samples, the last without padding behind it.
        let mut samples = vec![0xaaaa_u16; 32 * 10 + 28];
        let bytes = 2 * samples.len();
        let out = samples.as_mut_ptr().cast();
        assert_eq!(dw_strip_plate(strip, DW_SAMPLE_U16, out, bytes, 64, 28, 11), DW_OK);
        assert_eq!((samples[27], samples[28], samples[32 + 10]), (0, 0xaaaa, 32_768));
        assert_eq!(dw_strip_get_patch(strip, 1, &mut patch), DW_OK);
        assert_eq!(CStr::from_ptr(patch.label), c"50");
        dw_strip_free(strip);

        let scan = dw_scan {
            sample: DW_SAMPLE_U16,
            samples: samples.as_ptr().cast(),
            bytes,
            stride: 64,
            width: 28,
            height: 11,
            ..sized()
        };
        let grid = dw_patch_grid {
            first_x: 5.0,
            first_y: 5.5,
            along_x: 9.0,
            patch_width: 8.0,
            patch_height: 9.0,
            columns: 3,
            ..sized()
        };
        let mut lights = [9.0; 3];
        assert_eq!(dw_scan_read(&scan, &grid, 3, lights.as_mut_ptr(), null_mut()), DW_OK);
        assert_eq!(dw_readings_new(DW_SCALE_REFLECTANCE, &mut readings), DW_OK);
        for (film, light) in coverages.iter().zip(&lights) {
            assert_eq!(dw_readings_add(readings, *film, light, 1), DW_OK);
        }
        assert_eq!(dw_readings_told(readings, DW_ON_BARE, 9), DW_ERROR_REQUEST);
        assert_eq!(dw_readings_measure(readings, &mut wedge), DW_OK);
        dw_readings_free(readings);
        let (mut info, mut patch): (dw_wedge_info, dw_wedge_patch) = (sized(), sized());
        assert_eq!(dw_wedge_get_info(wedge, &mut info), DW_OK);
        assert_eq!((info.patches, info.direction, info.on), (3, DW_INK_LIGHTER, DW_ON_UNSAID));
        assert_eq!(dw_wedge_get_patch(wedge, 1, &mut patch), DW_OK);
        assert!((patch.printed - 0.5).abs() < 1e-4);
        assert_eq!(dw_wedge_get_patch(wedge, 3, &mut patch), DW_ERROR_REQUEST);
        assert_eq!(dw_wedge_curve(wedge, &mut curve), DW_OK);
        dw_wedge_free(wedge);
        dw_curve_free(curve);
    }
}

#[test]
fn findings_and_beats_outlive_what_they_were_found_in() {
    let mesh = dw_mesh { threads_per_cm: 90.0, thread_um: 40.0, ..sized() };
    let (mut check, mut findings, mut lines, mut beats) = (null_mut(), null_mut(), null_mut(), null_mut());
    let (mut finding, mut beat): (dw_finding, dw_beat) = (sized(), sized());
    let look = dw_look { first_orders: 1, second_orders: 1, ..sized() };
    let screen = small_screen();
    let mut count = 0;
    unsafe {
        assert_eq!(dw_check_new(&mesh, &mut check), DW_OK);
        let name = std::ffi::CString::new("white").unwrap();
        assert_eq!(dw_check_film(check, name.as_ptr(), screen, null()), DW_OK);
        assert_eq!(dw_check_film(check, name.as_ptr(), null(), null()), DW_ERROR_REQUEST);
        drop(name);
        dw_screen_free(screen);
        assert_eq!(dw_check_findings(check, &mut findings), DW_OK);
        dw_check_free(check);
        assert_eq!(dw_findings_count(findings, &mut count), DW_OK);
        assert_eq!((count, dw_findings_get(findings, 0, &mut finding)), (1, DW_OK));
        assert_eq!((finding.about, finding.film_count), (DW_ABOUT_INDEX_DOT, 1));
        assert_eq!(CStr::from_ptr(*finding.films), c"white");
        assert_eq!(CStr::from_ptr(finding.source), c"common practice");
        dw_findings_free(findings);

        assert_eq!(dw_structure_lines(50.0, 0.0, &mut lines), DW_OK);
        assert_eq!(dw_moire_beats(lines, lines, &look, &mut beats), DW_OK);
        dw_structure_free(lines);
        assert_eq!(dw_beats_get(beats, 0, &mut beat), DW_OK);
        assert_eq!((beat.period_mm, beat.second_orders), (f64::INFINITY, [-1.0, 0.0]));
        dw_beats_free(beats);
    }
}
