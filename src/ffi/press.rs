//! The mesh, and what a shifted film does.

use crate::error::{Error, Result};
use crate::ffi::fence::{Out, shared, sized, sized_mut};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::press::Mesh;
use crate::press::register::slips;
use crate::units::{Angle, Length, LineCount};

/// A plain-woven mesh. Set `struct_size` to sizeof(dw_mesh), and members that are not told to 0.
#[repr(C)]
pub struct dw_mesh {
    /// sizeof(dw_mesh).
    pub struct_size: usize,
    /// Threads per inch; 0 where `threads_per_cm` is told. 305 per inch is woven as 120 per cm.
    pub threads_per_inch: f64,
    /// Threads per cm, 1…1000; 0 where `threads_per_inch` is told.
    pub threads_per_cm: f64,
    /// Thickness of a thread in micrometres: above 0, below the pitch.
    pub thread_um: f64,
    /// Degrees counter-clockwise from the print's x axis to a thread, as seen on the print; 0 for a straight mesh.
    pub degrees: f64,
    /// Thickness of the fabric in micrometres as measured, one to three threads; 0 takes 1.5 threads.
    pub fabric_um: f64,
}

/// What a mesh is and holds. Set `struct_size` to sizeof(dw_mesh_info) before the call.
#[repr(C)]
pub struct dw_mesh_info {
    /// sizeof(dw_mesh_info).
    pub struct_size: usize,
    /// From thread to thread, in micrometres.
    pub pitch_um: f64,
    /// Between two threads, in micrometres: pitch less thread.
    pub opening_um: f64,
    /// Open part of the area, 0…1: (opening / pitch)².
    pub open_area: f64,
    /// Thickness of the fabric in micrometres, as told or 1.5 threads.
    pub fabric_um: f64,
    /// Theoretical ink volume in cm³/m², which is micrometres of wet ink: open area · fabric thickness, without emulsion.
    pub ink_volume: f64,
    /// Dots, and holes, in micrometres across: below [0], one pitch, a thread can block a dot altogether; [1], 1.5 pitches, rests on
    /// two threads mostly; [2], 2 pitches, wherever it falls. Common practice.
    pub smallest_dots_um: [f64; 3],
    /// Lines per inch with [0] 5 threads a line: textile, the safest; [1] 4: usual; [2] 3.5: the finest usually quoted; [3] 2.5: flat
    /// stock on a well-kept press. Common practice.
    pub lines_per_inch: [f64; 4],
}

/// What a shift makes of two plates that mesh, in parts of 1 of the area. Set `struct_size` to sizeof(dw_slip) before the call.
#[repr(C)]
pub struct dw_slip {
    /// sizeof(dw_slip).
    pub struct_size: usize,
    /// Ink on ink, the mean over eight directions of the shift.
    pub overlap: f64,
    /// Ink on ink in the worst direction.
    pub worst_overlap: f64,
    /// Bare ground that would be covered in register, the mean over eight directions.
    pub gap: f64,
    /// The same in the worst direction.
    pub worst_gap: f64,
}

/// The mesh as the library takes it.
///
/// # Safety
/// The structure is readable.
pub(super) unsafe fn mesh(mesh: *const dw_mesh) -> Result<Mesh> {
    // SAFETY: the caller's promise.
    let mesh = unsafe { sized("mesh", mesh) }?;
    let (thread, angle) = (Length::um(mesh.thread_um)?, Angle::degrees(mesh.degrees)?);
    let woven = match (mesh.threads_per_inch, mesh.threads_per_cm) {
        (threads, 0.0) => Mesh::per_inch(threads, thread, angle)?,
        (0.0, threads) => Mesh::per_cm(threads, thread, angle)?,
        (inch, cm) => {
            let got = format!("{inch} per inch and {cm} per cm");
            return Err(Error::value("mesh count", got, "one of both, the other 0"));
        }
    };
    if mesh.fabric_um == 0.0 { Ok(woven) } else { woven.fabric(Length::um(mesh.fabric_um)?) }
}

/// What a mesh is and holds.
///
/// # Safety
/// `mesh` is readable; `info` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_mesh_get_info(mesh: *const dw_mesh, info: *mut dw_mesh_info) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let mesh = unsafe { self::mesh(mesh) }?;
        let info = unsafe { sized_mut("info", info) }?;
        *info = dw_mesh_info {
            struct_size: info.struct_size,
            pitch_um: mesh.pitch_um(),
            opening_um: mesh.opening_um(),
            open_area: mesh.open_area(),
            fabric_um: mesh.fabric_um(),
            ink_volume: mesh.ink_volume(),
            smallest_dots_um: mesh.smallest_dots().map(|dot| dot.value),
            lines_per_inch: mesh.line_counts()?.map(|lines| lines.value.to_per_inch()),
        };
        Ok(())
    })
}

/// The tints at which single round dots and round holes of `size_um` micrometres across are reached in cells of a line count: smaller
/// ones lie below `lightest` and above `darkest`. Where no tint holds both, lightest is 1 and darkest 0.
///
/// # Safety
/// `lightest` and `darkest` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_mesh_tints_held(
    size_um: f64,
    lines_per_inch: f64,
    lightest: *mut f64,
    darkest: *mut f64,
) -> dw_status {
    guard(|| {
        let outs = unsafe { (Out::new("lightest", lightest)?, Out::new("darkest", darkest)?) };
        let (size, lines) = (Length::um(size_um)?, LineCount::per_inch(lines_per_inch)?);
        let [least, most] = Mesh::tints_held(size.to_um(), lines).unwrap_or([1.0, 0.0]);
        outs.0.set(least);
        outs.1.set(most);
        Ok(())
    })
}

/// What a shift of one film by `shift_um` micrometres (at most 512 pixels) makes of two tints, 0…1, of plates that mesh: of a normal
/// screen and of an inverted one of the same lattice, from dw_screen_again. Counted on films of the two, some ten milliseconds.
///
/// # Safety
/// `normal` and `inverted` are live handles; `slip` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_register_slip(
    normal: *const dw_screen,
    inverted: *const dw_screen,
    normal_tint: f64,
    inverted_tint: f64,
    shift_um: f64,
    slip: *mut dw_slip,
) -> dw_status {
    guard(|| {
        let (normal, inverted) = unsafe { (shared("normal", normal)?, shared("inverted", inverted)?) };
        let out = unsafe { sized_mut("slip", slip) }?;
        let (tints, shifts) = ([[normal_tint, inverted_tint]], [Length::um(shift_um)?]);
        if let Some(slip) = slips(&normal.screen, &inverted.screen, &tints, &shifts)?.first() {
            *out = dw_slip {
                struct_size: out.struct_size,
                overlap: slip.overlap,
                worst_overlap: slip.worst_overlap,
                gap: slip.gap,
                worst_gap: slip.worst_gap,
            };
        }
        Ok(())
    })
}

crate::ffi::layout!(dw_mesh, 48:
    struct_size 0, threads_per_inch 8, threads_per_cm 16, thread_um 24, degrees 32, fabric_um 40);
crate::ffi::layout!(dw_mesh_info, 104:
    struct_size 0, pitch_um 8, opening_um 16, open_area 24, fabric_um 32, ink_volume 40, smallest_dots_um 48, lines_per_inch 72);
crate::ffi::layout!(dw_slip, 40: struct_size 0, overlap 8, worst_overlap 16, gap 24, worst_gap 32);
