//! The fence: the one file in which a pointer from C becomes a reference, after all that can be checked was checked.
//!
//! What cannot be checked is the caller's promise: that a pointer which is not NULL points at what the header says, that a handle
//! was made by this library and not freed, that no other thread writes there meanwhile.

use std::ffi::{CStr, CString, c_char};
use std::path::PathBuf;

use crate::error::{Error, Result};

fn checked<T>(name: &'static str, pointer: *const T) -> Result<()> {
    if pointer.is_null() {
        return Err(Error::value(name, "NULL", "a valid pointer"));
    }
    if !pointer.is_aligned() {
        return Err(Error::value(
            name,
            "misaligned",
            format!("a pointer aligned to {} bytes", align_of::<T>()),
        ));
    }
    Ok(())
}

/// A handle or a structure to read.
///
/// # Safety
/// Not NULL, it points at a live `T` that nothing writes to for `'a`.
pub(super) unsafe fn shared<'a, T>(name: &'static str, pointer: *const T) -> Result<&'a T> {
    checked(name, pointer)?;
    // SAFETY: checked for NULL and alignment; the rest is the caller's promise.
    Ok(unsafe { &*pointer })
}

/// A handle to change.
///
/// # Safety
/// Not NULL, it points at a live `T` that nothing else uses for `'a`.
pub(super) unsafe fn exclusive<'a, T>(name: &'static str, pointer: *mut T) -> Result<&'a mut T> {
    checked(name, pointer)?;
    // SAFETY: as above.
    Ok(unsafe { &mut *pointer })
}

/// A place for an output, of which nothing is read.
pub(super) struct Out<T>(*mut T);

impl<T> Out<T> {
    /// # Safety
    /// Not NULL, it points at memory for a `T` that outlives this value.
    pub(super) unsafe fn new(name: &'static str, pointer: *mut T) -> Result<Self> {
        checked(name, pointer)?;
        Ok(Self(pointer))
    }

    pub(super) fn set(self, value: T) {
        // SAFETY: `new` checked the pointer; the caller promised the memory.
        unsafe { self.0.write(value) }
    }
}

impl<T> Out<*mut T> {
    /// A place for a handle, set to NULL at once.
    ///
    /// # Safety
    /// As [`Out::new`].
    pub(super) unsafe fn handle(name: &'static str, pointer: *mut *mut T) -> Result<Self> {
        checked(name, pointer)?;
        // SAFETY: as above.
        unsafe { pointer.write(std::ptr::null_mut()) };
        Ok(Self(pointer))
    }

    /// Hands a value over to the caller, who ends it with its `_free`.
    pub(super) fn give(self, value: T) {
        self.set(Box::into_raw(Box::new(value)));
    }
}

/// Ends a handle; NULL is allowed.
///
/// # Safety
/// NULL, or from [`Out::give`] and not freed before.
pub(super) unsafe fn free<T>(handle: *mut T) {
    if !handle.is_null() {
        // SAFETY: the caller's promise. A panic in a destructor must not cross into C.
        let value = unsafe { Box::from_raw(handle) };
        let _ = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| drop(value)));
    }
}

fn checked_len<T>(name: &'static str, pointer: *const T, len: usize) -> Result<bool> {
    if len == 0 {
        return Ok(false);
    }
    checked(name, pointer)?;
    let bytes = len.checked_mul(size_of::<T>());
    if bytes.is_none_or(|bytes| bytes > isize::MAX as usize) {
        return Err(Error::value(name, format!("{len} items"), "what memory can hold"));
    }
    Ok(true)
}

/// `len` items to read; NULL only with none.
///
/// # Safety
/// With `len` above 0 they are readable and nothing writes to them for `'a`.
pub(super) unsafe fn items<'a, T>(name: &'static str, pointer: *const T, len: usize) -> Result<&'a [T]> {
    if !checked_len(name, pointer, len)? {
        return Ok(&[]);
    }
    // SAFETY: checked for NULL, alignment and size; the rest is the caller's promise.
    Ok(unsafe { std::slice::from_raw_parts(pointer, len) })
}

/// `len` items to write; NULL only with none.
///
/// # Safety
/// With `len` above 0 they are writable and nothing else uses them for `'a`.
pub(super) unsafe fn items_mut<'a, T>(
    name: &'static str,
    pointer: *mut T,
    len: usize,
) -> Result<&'a mut [T]> {
    if !checked_len(name, pointer, len)? {
        return Ok(&mut []);
    }
    // SAFETY: as above.
    Ok(unsafe { std::slice::from_raw_parts_mut(pointer, len) })
}

/// Text in UTF-8.
///
/// # Safety
/// Not NULL, it is a NUL-terminated string that nothing writes to for `'a`.
pub(super) unsafe fn text<'a>(name: &'static str, pointer: *const c_char) -> Result<&'a str> {
    checked(name, pointer)?;
    // SAFETY: the caller's promise.
    let bytes = unsafe { CStr::from_ptr(pointer) };
    bytes.to_str().map_err(|_| Error::value(name, bytes.to_string_lossy(), "text in UTF-8"))
}

/// A path in UTF-8.
///
/// # Safety
/// As [`text`].
pub(super) unsafe fn path(name: &'static str, pointer: *const c_char) -> Result<PathBuf> {
    // SAFETY: the caller's promise.
    match unsafe { text(name, pointer) }? {
        "" => Err(Error::value(name, "", "a path in UTF-8, not empty")),
        path => Ok(PathBuf::from(path)),
    }
}

/// What a pointer stands for, where it may be NULL.
pub(super) fn unless_null<T, U>(pointer: *const T, read: impl FnOnce() -> Result<U>) -> Result<Option<U>> {
    if pointer.is_null() { Ok(None) } else { read().map(Some) }
}

/// Words for C, to be kept by the handle that hands them out. A NUL byte, which would end them too soon, becomes a blank.
pub(super) fn words(text: &str) -> CString {
    CString::new(text.replace('\0', " ")).unwrap_or_default()
}

/// An entry of a list that a handle holds.
pub(super) fn entry<T>(list: &[T], index: usize) -> Result<&T> {
    list.get(index).ok_or_else(|| Error::value("index", index, format!("below {}", list.len())))
}

/// A structure whose first member is its size, so that it may grow: it must be at least as long as when the library was built.
///
/// # Safety
/// As [`shared`], for as many bytes as the size says.
pub(super) unsafe fn sized<'a, T>(name: &'static str, pointer: *const T) -> Result<&'a T> {
    // SAFETY: the caller's promise, here and below.
    unsafe { check_size(name, pointer) }?;
    Ok(unsafe { &*pointer })
}

/// The same, to be filled in.
///
/// # Safety
/// As [`exclusive`], for as many bytes as the size says.
pub(super) unsafe fn sized_mut<'a, T>(name: &'static str, pointer: *mut T) -> Result<&'a mut T> {
    // SAFETY: the caller's promise, here and below.
    unsafe { check_size(name, pointer) }?;
    Ok(unsafe { &mut *pointer })
}

/// # Safety
/// Not NULL, it begins with a readable `size_t`.
unsafe fn check_size<T>(name: &'static str, pointer: *const T) -> Result<()> {
    checked(name, pointer)?;
    // SAFETY: the caller's promise.
    let size = unsafe { pointer.cast::<usize>().read() };
    if size < size_of::<T>() {
        return Err(Error::value(
            name,
            format!("struct_size {size}"),
            format!("at least {}", size_of::<T>()),
        ));
    }
    Ok(())
}
