//! How a call ends: a status, and the words of the thread's last failure.

use std::cell::RefCell;
use std::ffi::{CString, c_char};
use std::panic::{AssertUnwindSafe, catch_unwind};

use crate::error::{Error, Fault, Result};
use crate::ffi::fence::words;

/// How a call ended: `DW_OK`, or one of the `DW_ERROR_…` values and `DW_CANCELLED`. New values may be added.
pub type dw_status = i32;

/// Done; outputs are written.
pub const DW_OK: dw_status = 0;
/// The request is wrong: a value, a size, a pointer, an enumeration. Change the request.
pub const DW_ERROR_REQUEST: dw_status = 1;
/// The data are wrong: a table, a file.
pub const DW_ERROR_DATA: dw_status = 2;
/// A limit is passed: memory, the size of a brick.
pub const DW_ERROR_LIMIT: dw_status = 3;
/// The system failed to read or write.
pub const DW_ERROR_IO: dw_status = 4;
/// The library failed: a bug in it. The handles of the call must not be used again, but for freeing them.
pub const DW_ERROR_BUG: dw_status = 5;
/// The progress function asked to stop.
pub const DW_CANCELLED: dw_status = 6;

thread_local! {
    static MESSAGE: RefCell<CString> = RefCell::default();
}

/// Runs a body so that no panic leaves the library, and remembers the words of a failure.
pub(super) fn guard(body: impl FnOnce() -> Result<()>) -> dw_status {
    match catch_unwind(AssertUnwindSafe(body)) {
        Ok(Ok(())) => DW_OK,
        Ok(Err(error)) => {
            remember(&error.to_string());
            status_of(&error)
        }
        Err(_) => {
            remember("a bug in the library: please report what was called");
            DW_ERROR_BUG
        }
    }
}

fn status_of(error: &Error) -> dw_status {
    match error.fault() {
        Fault::Request => DW_ERROR_REQUEST,
        Fault::Data => DW_ERROR_DATA,
        Fault::Limit => DW_ERROR_LIMIT,
        Fault::Io => DW_ERROR_IO,
        Fault::Cancelled => DW_CANCELLED,
    }
}

fn remember(message: &str) {
    let message = words(message);
    // A thread that is ending has no message any more.
    let _ = MESSAGE.try_with(|last| last.replace(message));
}

/// The words of the last failure on this thread: UTF-8, NUL-terminated, empty before the first. Valid until the next failure on
/// this thread; never freed by the caller. A call that succeeds leaves them as they are.
#[unsafe(no_mangle)]
pub extern "C" fn dw_last_error() -> *const c_char {
    MESSAGE.try_with(|message| message.borrow().as_ptr()).unwrap_or(c"".as_ptr())
}
