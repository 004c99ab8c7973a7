//! Tables in text files.

use std::path::Path;

use dotwright::{Error, Result};

/// What a table in text holds; what is wrong with it is told with the name of its file.
pub fn read<T>(path: &Path, parse: impl FnOnce(&str, &str) -> Result<T>) -> Result<T> {
    let bytes = std::fs::read(path).map_err(|source| Error::Io { path: path.to_owned(), source })?;
    let name = path.display().to_string();
    let bad = |why: String| Error::Data { what: name.clone(), why };
    let text = String::from_utf8(bytes).map_err(|_| bad("not a table in text".to_owned()))?;
    parse(&name, &text).map_err(|error| {
        let told = error.to_string();
        if told.starts_with(&name) { error } else { bad(told) }
    })
}
