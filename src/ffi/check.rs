//! The check of a job's films before they are made.

use std::ffi::{CString, c_char};

use crate::ffi::fence::{Out, entry, exclusive, free, shared, sized_mut, text, unless_null, words};
use crate::ffi::press::{dw_mesh, mesh};
use crate::ffi::screen::dw_screen;
use crate::ffi::status::{dw_status, guard};
use crate::press::check::{About, Finding, Planned, Weight, check};
use crate::press::{Mesh, Source};

/// Threads for each screen line.
pub const DW_ABOUT_THREADS_PER_LINE: u32 = 0;
/// The line count itself.
pub const DW_ABOUT_LINE_COUNT: u32 = 1;
/// Tone steps of a cell.
pub const DW_ABOUT_LEVELS: u32 = 2;
/// The lightest tint whose dots the mesh holds.
pub const DW_ABOUT_LIGHTEST_TINT: u32 = 3;
/// Size of index dots.
pub const DW_ABOUT_INDEX_DOT: u32 = 4;
/// Angle between screen and threads.
pub const DW_ABOUT_ANGLE_TO_MESH: u32 = 5;
/// Moiré of a screen with its mesh.
pub const DW_ABOUT_MESH_MOIRE: u32 = 6;
/// Moiré of two screens.
pub const DW_ABOUT_SCREEN_MOIRE: u32 = 7;
/// Closure of three screens.
pub const DW_ABOUT_CLOSURE: u32 = 8;
/// Plates of one lattice and mode.
pub const DW_ABOUT_ONE_LATTICE: u32 = 9;
/// The dot shape of plates that mesh.
pub const DW_ABOUT_MESHED_DOT: u32 = 10;
/// Overlap of meshed plates when one is shifted.
pub const DW_ABOUT_REGISTER: u32 = 11;

/// As it should be, or only told.
pub const DW_WEIGHT_NOTE: u32 = 0;
/// To be looked at before films are made.
pub const DW_WEIGHT_CARE: u32 = 1;
/// Against the rule by so much that the print will show it.
pub const DW_WEIGHT_WRONG: u32 = 2;

/// The rule is common practice.
pub const DW_SOURCE_COMMON_PRACTICE: u32 = 0;
/// The rule is that of a published text.
pub const DW_SOURCE_PUBLISHED: u32 = 1;
/// The number is computed by a formula or a way that is named.
pub const DW_SOURCE_COMPUTED: u32 = 2;

/// A job to be checked: made by dw_check_new, told its films by dw_check_film, held against the rules by dw_check_findings. Not to be
/// shared between threads while it is told something.
pub struct dw_check {
    mesh: Mesh,
    films: Vec<Planned>,
}

/// What a check found, the heaviest first. Immutable; may be shared between threads.
pub struct dw_findings(Vec<Told>);

/// A finding, and its words for C.
struct Told {
    finding: Finding,
    unit: CString,
    text: CString,
    rule: CString,
    source: CString,
    /// What `names` points at.
    _films: Vec<CString>,
    names: Vec<*const c_char>,
}

/// One finding. Its strings belong to the dw_findings. Set `struct_size` to sizeof(dw_finding) before the call.
#[repr(C)]
pub struct dw_finding {
    /// sizeof(dw_finding).
    pub struct_size: usize,
    /// DW_ABOUT_…. New values may be added.
    pub about: u32,
    /// DW_WEIGHT_….
    pub weight: u32,
    /// DW_SOURCE_…: what kind of source. New values may be added.
    pub source_kind: u32,
    /// How many films it concerns.
    pub film_count: u32,
    /// Their names.
    pub films: *const *const c_char,
    /// The number; infinite for a beat that never repeats.
    pub number: f64,
    /// Its unit.
    pub unit: *const c_char,
    /// What it means, in words.
    pub text: *const c_char,
    /// The rule it was held against, in words.
    pub rule: *const c_char,
    /// Where the rule comes from: "common practice", a published text, or a formula.
    pub source: *const c_char,
}

/// A check of films that will be printed through this mesh.
///
/// # Safety
/// `mesh` is readable; `check` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_check_new(mesh: *const dw_mesh, check: *mut *mut dw_check) -> dw_status {
    guard(|| {
        // SAFETY: this function's own contract, here and below.
        let out = unsafe { Out::handle("check", check) }?;
        out.give(dw_check { mesh: unsafe { self::mesh(mesh) }?, films: Vec::new() });
        Ok(())
    })
}

/// Adds a film: its name in UTF-8, the screen it is made with, and a mesh of its own in place of the job's, or NULL. At most 32 films
/// are checked together. The check keeps a share of the screen.
///
/// # Safety
/// `check` and `screen` are live handles; `name` is a NUL-terminated string; `mesh` is readable or NULL.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_check_film(
    check: *mut dw_check,
    name: *const c_char,
    screen: *const dw_screen,
    mesh: *const dw_mesh,
) -> dw_status {
    guard(|| {
        let check = unsafe { exclusive("check", check) }?;
        let name = unsafe { text("name", name) }?;
        let dw_screen { screen, dot, resolution } = unsafe { shared("screen", screen) }?;
        let film = Planned::new(name, screen, dot.as_ref(), *resolution)?;
        let own = unless_null(mesh, || unsafe { self::mesh(mesh) })?;
        check.films.push(own.iter().fold(film, |film, mesh| film.on(mesh)));
        Ok(())
    })
}

/// Checks every film on its mesh, every two and every three films with each other. The heaviest findings come first, otherwise in the
/// films' order; those of no consequence are told too. Some milliseconds a film, tenths of a second for each pair with a moiré.
///
/// # Safety
/// `check` is a live handle; `findings` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_check_findings(
    check: *const dw_check,
    findings: *mut *mut dw_findings,
) -> dw_status {
    guard(|| {
        let out = unsafe { Out::handle("findings", findings) }?;
        let dw_check { mesh, films } = unsafe { shared("check", check) }?;
        out.give(dw_findings(self::check(films, mesh)?.into_iter().map(Told::new).collect()));
        Ok(())
    })
}

/// Ends a check. NULL is allowed. Its findings live on.
///
/// # Safety
/// `check` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_check_free(check: *mut dw_check) {
    unsafe { free(check) }
}

impl Told {
    fn new(finding: Finding) -> Self {
        let films: Vec<CString> = finding.films.iter().map(|name| words(name)).collect();
        Self {
            unit: words(finding.unit),
            text: words(&finding.text),
            rule: words(finding.rule),
            source: words(&finding.source.to_string()),
            names: films.iter().map(|name| name.as_ptr()).collect(),
            _films: films,
            finding,
        }
    }
}

/// How many findings there are.
///
/// # Safety
/// `findings` is a live handle; `count` can be written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_findings_count(findings: *const dw_findings, count: *mut usize) -> dw_status {
    guard(|| {
        let out = unsafe { Out::new("count", count) }?;
        out.set(unsafe { shared("findings", findings) }?.0.len());
        Ok(())
    })
}

/// One finding: `index` counts from 0, the heaviest first.
///
/// # Safety
/// `findings` is a live handle; `finding` can be read and written for the struct_size it states.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_findings_get(
    findings: *const dw_findings,
    index: usize,
    finding: *mut dw_finding,
) -> dw_status {
    guard(|| {
        let out = unsafe { sized_mut("finding", finding) }?;
        let told = entry(&unsafe { shared("findings", findings) }?.0, index)?;
        *out = dw_finding {
            struct_size: out.struct_size,
            about: match told.finding.about {
                About::ThreadsPerLine => DW_ABOUT_THREADS_PER_LINE,
                About::LineCount => DW_ABOUT_LINE_COUNT,
                About::Levels => DW_ABOUT_LEVELS,
                About::LightestTint => DW_ABOUT_LIGHTEST_TINT,
                About::IndexDot => DW_ABOUT_INDEX_DOT,
                About::AngleToMesh => DW_ABOUT_ANGLE_TO_MESH,
                About::MeshMoire => DW_ABOUT_MESH_MOIRE,
                About::ScreenMoire => DW_ABOUT_SCREEN_MOIRE,
                About::Closure => DW_ABOUT_CLOSURE,
                About::OneLattice => DW_ABOUT_ONE_LATTICE,
                About::MeshedDot => DW_ABOUT_MESHED_DOT,
                About::Register => DW_ABOUT_REGISTER,
            },
            weight: match told.finding.weight {
                Weight::Note => DW_WEIGHT_NOTE,
                Weight::Care => DW_WEIGHT_CARE,
                Weight::Wrong => DW_WEIGHT_WRONG,
            },
            source_kind: match told.finding.source {
                Source::CommonPractice => DW_SOURCE_COMMON_PRACTICE,
                Source::Published(_) => DW_SOURCE_PUBLISHED,
                Source::Computed(_) => DW_SOURCE_COMPUTED,
            },
            film_count: told.names.len() as u32,
            films: told.names.as_ptr(),
            number: told.finding.number,
            unit: told.unit.as_ptr(),
            text: told.text.as_ptr(),
            rule: told.rule.as_ptr(),
            source: told.source.as_ptr(),
        };
        Ok(())
    })
}

/// Ends findings. NULL is allowed.
///
/// # Safety
/// `findings` is NULL or a handle that is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn dw_findings_free(findings: *mut dw_findings) {
    unsafe { free(findings) }
}

crate::ffi::layout!(dw_finding, 72:
    struct_size 0, about 8, weight 12, source_kind 16, film_count 20, films 24, number 32, unit 40, text 48, rule 56, source 64);
