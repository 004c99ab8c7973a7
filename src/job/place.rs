//! The target folder: files grow in a hidden folder inside of it and are moved to their names when all are complete.
//!
//! A job that fails or is cancelled leaves the target as it was, and no folder where there was none. Rejected: each file under its own
//! name as soon as it is complete, which leaves a set of films of two jobs after a failure.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::error::{Error, Result};

pub(super) struct Place {
    out: PathBuf,
    /// The topmost folder that was made for it.
    made: Option<PathBuf>,
    apart: Option<TempDir>,
    /// Names, told from the target.
    files: Vec<PathBuf>,
}

impl Place {
    /// Makes the folder if need be, and the hidden one.
    pub(super) fn open(out: &Path) -> Result<Self> {
        let io = |source| Error::Io { path: out.to_owned(), source };
        let made = out.ancestors().take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists());
        let made = made.last().map(Path::to_owned);
        let mut place = Self { out: out.to_owned(), made, apart: None, files: Vec::new() };
        fs::create_dir_all(out).map_err(io)?;
        place.apart =
            Some(tempfile::Builder::new().prefix(".job-").suffix(".part").tempdir_in(out).map_err(io)?);
        Ok(place)
    }

    /// Where to write the file that will be `name` (told from the target; its folder is made).
    pub(super) fn file(&mut self, name: &str) -> Result<PathBuf> {
        let target = self.out.join(name);
        if target.is_dir() {
            return Err(Error::Io { path: target, source: std::io::ErrorKind::IsADirectory.into() });
        }
        let path = self.apart.as_ref().map_or_else(|| self.out.clone(), |apart| apart.path().to_owned());
        let path = path.join(name);
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(|source| Error::Io { path: folder.to_owned(), source })?;
        }
        self.files.push(PathBuf::from(name));
        Ok(path)
    }

    /// Moves all files to their names. Returns them.
    pub(super) fn finish(mut self) -> Result<Vec<PathBuf>> {
        let Some(apart) = self.apart.take() else { return Ok(Vec::new()) };
        let mut files = Vec::new();
        for name in &self.files {
            let target = self.out.join(name);
            let io = |source| Error::Io { path: target.clone(), source };
            if let Some(folder) = target.parent() {
                fs::create_dir_all(folder).map_err(io)?;
            }
            fs::rename(apart.path().join(name), &target).map_err(io)?;
            self.made = None;
            files.push(target);
        }
        Ok(files)
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.apart = None;
        // What was made for nothing goes, from the inside out, while it is empty; a failure here has been told of already.
        if let Some(made) = self.made.take() {
            let folders = self.out.ancestors().take_while(|folder| folder.starts_with(&made));
            for folder in folders {
                let _ = fs::remove_dir(folder);
            }
        }
    }
}

/// Plates, films and sheets in the folder that are none of these files.
pub(super) fn strangers(out: &Path, files: &[PathBuf]) -> Vec<PathBuf> {
    let mut strangers = Vec::new();
    for folder in ["plates", "films", "sheets"].map(|folder| out.join(folder)) {
        let entries = fs::read_dir(&folder).into_iter().flatten().flatten().map(|entry| entry.path());
        strangers.extend(entries.filter(|path| path.is_file() && !files.contains(path)));
    }
    strangers.sort();
    strangers
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_files_appear_or_none() {
        let home = tempfile::tempdir().unwrap();
        let out = home.path().join("a/b");
        let mut place = Place::open(&out).unwrap();
        fs::write(place.file("films/1.tif").unwrap(), "film").unwrap();
        assert!(!out.join("films").exists());
        drop(place);
        assert_eq!(fs::read_dir(home.path()).unwrap().count(), 0);

        let mut place = Place::open(&out).unwrap();
        fs::write(place.file("films/1.tif").unwrap(), "film").unwrap();
        assert_eq!(place.finish().unwrap(), [out.join("films/1.tif")]);
        assert_eq!(fs::read_dir(&out).unwrap().count(), 1);

        let mut place = Place::open(&out).unwrap();
        fs::write(place.file("films/2.tif").unwrap(), "film").unwrap();
        assert!(place.file("films").is_err());
        drop(place);
        assert_eq!(fs::read_dir(out.join("films")).unwrap().count(), 1);
        assert_eq!(strangers(&out, &[]), [out.join("films/1.tif")]);
        assert!(strangers(&out, &[out.join("films/1.tif")]).is_empty());
    }
}
