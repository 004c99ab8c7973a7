//! Versions: what the header was made from, and what is loaded.

use std::ffi::{CStr, c_char};

/// Version of this header: major.
pub const DW_VERSION_MAJOR: u32 = 0;
/// Version of this header: minor. Before 1.0 a change here may change the interface.
pub const DW_VERSION_MINOR: u32 = 1;
/// Version of this header: patch.
pub const DW_VERSION_PATCH: u32 = 0;

/// The version of the loaded library: major · 65536 + minor · 256 + patch. Compare it with the macros of the header.
#[unsafe(no_mangle)]
pub extern "C" fn dw_version() -> u32 {
    DW_VERSION_MAJOR << 16 | DW_VERSION_MINOR << 8 | DW_VERSION_PATCH
}

/// The version of the loaded library in words, such as "0.1.0": static, never freed.
#[unsafe(no_mangle)]
pub extern "C" fn dw_version_text() -> *const c_char {
    const TEXT: &str = concat!(env!("CARGO_PKG_VERSION"), "\0");
    CStr::from_bytes_with_nul(TEXT.as_bytes()).unwrap_or_default().as_ptr()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_header_and_the_manifest_agree() {
        let stated = format!("{DW_VERSION_MAJOR}.{DW_VERSION_MINOR}.{DW_VERSION_PATCH}");
        assert_eq!(stated, env!("CARGO_PKG_VERSION"));
        assert_eq!(dw_version(), 0x0100);
    }
}
