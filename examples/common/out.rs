//! Files that appear together, once all of them are complete.
//!
//! They are written into a folder of their own beside their places and then moved. A disk that fills up leaves nothing half-written.

use std::fs;
use std::path::{Path, PathBuf};

use dotwright::{Error, Result};

/// Writes files, name and content, into a folder, which is made if need be.
pub fn write_all(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<()> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| Error::Io { path, source }
    };
    let places: Vec<PathBuf> = files.iter().map(|(name, _)| folder.join(name)).collect();
    // The one thing known beforehand that a move fails at.
    if let Some(taken) = places.iter().find(|place| place.is_dir()) {
        return Err(failed(taken)(std::io::ErrorKind::IsADirectory.into()));
    }
    let made = !folder.exists();
    fs::create_dir_all(folder).map_err(failed(folder))?;
    let write = || {
        let apart = tempfile::tempdir_in(folder).map_err(failed(folder))?;
        for (name, content) in files {
            fs::write(apart.path().join(name), content).map_err(failed(&folder.join(name)))?;
        }
        for ((name, _), place) in files.iter().zip(&places) {
            fs::rename(apart.path().join(name), place).map_err(failed(place))?;
        }
        Ok(())
    };
    let written = write();
    if written.is_err() && made {
        // Only where it is empty; if that fails too, the first error is the one to tell.
        let _ = fs::remove_dir(folder);
    }
    written
}
