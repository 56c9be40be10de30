//! How do folders and files of our own get to disk, for their owner alone and found again after a power cut?

use std::fs::{self, File};
use std::io::{self, Write};
use std::path::Path;

/// Makes the folder, and those above it that are not there, for their owner alone. One that is there stays as it is.
///
/// # Errors
/// Whatever the system fails with.
pub fn private_folder(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    let new = |f: &&Path| !f.as_os_str().is_empty() && !f.exists();
    let made: Vec<&Path> = folder.ancestors().skip(1).take_while(new).collect();
    builder.create(folder)?;
    flush_folder(folder)?;
    // The folder and those made for it must be found again after a power cut, each in the one above it. The
    // folder itself also where it was there: whoever made it may not have come to this.
    flush_above(folder)?;
    made.into_iter().try_for_each(flush_above)
}

/// Opens a file to be written from its start, for its owner alone. Where `new`, one that is there is left alone.
///
/// # Errors
/// Whatever the system fails with; `AlreadyExists` where it was to be new.
pub fn private_file(path: &Path, new: bool) -> io::Result<File> {
    let mut options = fs::OpenOptions::new();
    options
        .write(true)
        .create(true)
        .create_new(new)
        .truncate(!new);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

/// Writes a new file, for its owner alone; one that is there is never written over.
///
/// # Errors
/// As for [`private_file`].
pub fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = private_file(path, true)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    flush_above(path)
}

/// Writes a small file in one piece: afterwards it is the new one, or still the one before.
///
/// # Errors
/// Whatever the system fails with.
pub fn write_over(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let part = path.with_extension("part");
    let mut file = private_file(&part, false)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    drop(file);
    fs::rename(&part, path)?;
    flush_above(path)
}

/// Flushes the folder that this one's name stands in, unless it may not be read.
///
/// # Errors
/// Whatever the system fails with.
pub fn flush_above(path: &Path) -> io::Result<()> {
    let above = match path.parent() {
        Some(above) if above.as_os_str().is_empty() => Path::new("."),
        Some(above) => above,
        None => return Ok(()),
    };
    match flush_folder(above) {
        Err(e) if e.kind() == io::ErrorKind::PermissionDenied => Ok(()),
        flushed => flushed,
    }
}

/// Makes a new or renamed entry of the folder survive a power cut.
///
/// # Errors
/// Whatever the system fails with.
#[cfg(unix)]
pub fn flush_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

/// Other systems do not let a folder be flushed; they keep the entry with the file.
#[cfg(not(unix))]
pub fn flush_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}
