//! Is another process working in the data folder?
//!
//! The lock is the operating system's, on an open file: it goes away with the process, however
//! that ends, so a crash never leaves the folder locked.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::Path;
use store::StoreError;

const NAME: &str = "in-use.lock";

/// Held for as long as the store lives.
#[derive(Debug)]
pub struct FolderLock {
    _file: File,
}

impl FolderLock {
    pub fn take(folder: &Path) -> Result<Self, StoreError> {
        let failed = |e: std::io::Error| {
            crate::fault::of_io(&folder.display().to_string(), "lock the data folder", &e)
        };
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(folder.join(NAME))
            .map_err(failed)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                return Err(StoreError::InUse {
                    folder: folder.display().to_string(),
                    holder: holder(&mut file),
                });
            }
            Err(TryLockError::Error(e)) => return Err(failed(e)),
        }
        // The number only helps to name the other process; the lock holds without it, so a full
        // disk must not stop a start that only wants to read.
        let _ = write_number(&mut file);
        Ok(Self { _file: file })
    }
}

fn write_number(file: &mut File) -> std::io::Result<()> {
    file.set_len(0)?;
    file.rewind()?;
    writeln!(file, "{}", std::process::id())
}

fn holder(file: &mut File) -> String {
    let mut text = String::new();
    let read = file.take(20).read_to_string(&mut text);
    match text.trim().parse::<u32>() {
        Ok(number) if read.is_ok() => format!("another Tiebeam process (number {number})"),
        _ => "another Tiebeam process".into(),
    }
}
