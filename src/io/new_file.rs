//! A file that appears under its name only when it is complete: it grows beside its target and is renamed over it.

use std::fs::File;
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::error::{Error, Result};

/// A file in the making. Dropped before [`finish`](Self::finish) it leaves nothing behind, and whatever stood under the name before
/// stays.
#[derive(Debug)]
pub(crate) struct NewFile {
    target: PathBuf,
    file: NamedTempFile,
}

impl NewFile {
    /// Begins a file beside `target`, whose folder must exist. A link is followed.
    pub(crate) fn create(target: impl Into<PathBuf>) -> Result<Self> {
        let target = followed(target.into());
        let begin = || {
            if target.is_dir() {
                return Err(std::io::ErrorKind::IsADirectory.into());
            }
            beside(&target)
        };
        let file = begin().map_err(|e| io_error(&target, e))?;
        Ok(Self { target, file })
    }

    /// Where it will stand.
    pub(crate) fn target(&self) -> &Path {
        &self.target
    }

    /// To write to.
    pub(crate) fn handle(&self) -> Result<File> {
        self.file.as_file().try_clone().map_err(|e| self.error(e))
    }

    /// A failure of writing it.
    pub(crate) fn error(&self, source: std::io::Error) -> Error {
        io_error(&self.target, source)
    }

    /// Syncs the file and gives it its name. What is buffered must have been written.
    pub(crate) fn finish(self) -> Result<()> {
        let Self { target, file } = self;
        let end = || -> std::io::Result<()> {
            file.as_file().sync_all()?;
            file.persist(&target)?;
            Ok(())
        };
        end().map_err(|e| io_error(&target, e))?;
        sync_folder(&target);
        Ok(())
    }
}

/// A file in the target's folder that is removed unless it is renamed, with the permissions of any new file.
fn beside(target: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".film-").suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // The system takes the user's mask off, as it does for any file.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder_of(target))
}

/// Where a link leads, so that the file it stands for is replaced and not the link.
fn followed(target: PathBuf) -> PathBuf {
    if target.is_symlink() { target.canonicalize().unwrap_or(target) } else { target }
}

fn folder_of(target: &Path) -> &Path {
    match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// Makes the new name last through a power cut, where folders can be synced. Not all can: some may not be read, some lie on
/// file systems that know no such thing. The film is in its place either way, so that is no failure.
fn sync_folder(target: &Path) {
    if cfg!(unix) {
        let _ = File::open(folder_of(target)).and_then(|folder| folder.sync_all());
    }
}

pub(crate) fn io_error(path: &Path, source: std::io::Error) -> Error {
    Error::Io { path: path.to_owned(), source }
}
