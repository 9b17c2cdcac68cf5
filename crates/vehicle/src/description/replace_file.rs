//! A file replaced as a whole, or not at all.
//!
//! The bytes go to a new file in the same folder, which then takes the name: whoever reads meanwhile
//! sees the old file or the new one, and a failure (a full disk, an interrupted process) leaves the
//! old one. Permissions of the old file stay; a symbolic link stays, and what it points to is
//! replaced. Pipes and devices are written to.

use std::fs::{self, File, OpenOptions, Permissions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

/// The most symbolic links that are followed one after the other, as on Linux.
const MOST_LINKS: usize = 40;

/// Replaces a file by another with the given bytes.
///
/// # Errors
///
/// A folder that is missing or may not be written, a file that may not be written, a disk that is
/// full.
pub(super) fn replace_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    match fs::metadata(path) {
        Ok(found) if found.is_file() => {
            // Its folder may be writable where the file itself is not: ask the system.
            OpenOptions::new().write(true).open(path)?;
            write_beside(&path.canonicalize()?, bytes, Some(found.permissions()))
        }
        // What is no file keeps its place. Opening a folder fails.
        Ok(_) => OpenOptions::new().write(true).open(path)?.write_all(bytes),
        Err(error) if error.kind() == ErrorKind::NotFound => {
            write_beside(&followed(path)?, bytes, None)
        }
        Err(error) => Err(error),
    }
}

/// The place that a chain of symbolic links to a missing file names.
fn followed(path: &Path) -> io::Result<PathBuf> {
    let mut path = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::symlink_metadata(&path) {
            Ok(found) if found.is_symlink() => {
                let to = fs::read_link(&path)?;
                path = path.parent().unwrap_or(Path::new("")).join(to);
            }
            _ => return Ok(path),
        }
    }
    Err(io::Error::other("too many symbolic links"))
}

/// Writes a file under a name of its own beside `path`, then gives it that name.
fn write_beside(path: &Path, bytes: &[u8], permissions: Option<Permissions>) -> io::Result<()> {
    if path.file_name().is_none() {
        return Err(io::Error::new(
            ErrorKind::InvalidInput,
            "the path names no file",
        ));
    }
    let (beside, file) = new_file(path.parent().unwrap_or(Path::new("")))?;
    let done = filled(file, bytes, permissions).and_then(|()| fs::rename(&beside, path));
    if done.is_err() {
        // The first failure is the one to tell.
        let _ = fs::remove_file(&beside);
    }
    done
}

/// A new file in a folder, with its path.
fn new_file(folder: &Path) -> io::Result<(PathBuf, File)> {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    loop {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!(".axletree-{}-{count}.tmp", std::process::id());
        let path = folder.join(name);
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            // Left by a process that had the same number.
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
            Ok(file) => return Ok((path, file)),
        }
    }
}

/// Writes and closes a file; it is on the disk when its name is.
fn filled(mut file: File, bytes: &[u8], permissions: Option<Permissions>) -> io::Result<()> {
    // Before the bytes: a private file is private from the start.
    if let Some(permissions) = permissions {
        file.set_permissions(permissions)?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}
