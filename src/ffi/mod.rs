//! The C interface: thin bodies over the library, behind one pointer fence.
//!
//! The contract stands at the head of the header, which is made from this folder (`cbindgen.toml`): parameter order, ownership,
//! NULL, threads, errors, panics, versions. No function here computes; each checks its pointers in [`fence`], calls the library
//! once and hands its answer out. The feature `capi` is for the C library alone: a crate that depends on this one must not
//! enable it, or its own library would export these names.
#![expect(non_camel_case_types, reason = "the names are those that C sees")]
#![expect(
    unsafe_code,
    reason = "C hands over pointers; what they must be is in each function's Safety section"
)]

/// Holds a structure to the layout that tests/c/layout.c states for C, on machines of 64 bits.
macro_rules! layout {
    ($structure:ty, $size:literal: $($member:ident $at:literal),+) => {
        #[cfg(target_pointer_width = "64")]
        const _: () = {
            assert!(size_of::<$structure>() == $size);
            $(assert!(std::mem::offset_of!($structure, $member) == $at);)+
        };
    };
}
pub(crate) use layout;

/// Tells a handle something: the body of a setter. The value, which may fail with `?`, is made before anything changes.
macro_rules! told {
    ($handle:ident.$member:tt = $value:expr) => {
        $crate::ffi::status::guard(|| {
            // SAFETY: the caller's contract: a live handle that nothing else uses.
            let $handle = unsafe { $crate::ffi::fence::exclusive(stringify!($handle), $handle) }?;
            $handle.$member = $value;
            Ok(())
        })
    };
}

mod art;
mod beside;
mod check;
mod colour;
mod curve;
mod fence;
mod film;
mod gain;
mod measure;
mod moire;
mod plate;
mod press;
mod print;
mod proof;
mod request;
mod screen;
mod separate;
mod sheet;
mod status;
mod strip;
#[cfg(test)]
mod tests;
mod version;
mod wedge;
