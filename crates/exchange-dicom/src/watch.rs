//! How do films come in through a folder? A file that has stopped growing is read whole, handed to the inbox and
//! moved away: to `taken/`, or to `refused/` beside a sentence that says why.
//!
//! Every step works on the opened folder, not on its path: no link is followed, and a folder that is exchanged
//! under our hands leads nowhere else. A file is never read while it may still grow: size and time of change must
//! be the same in two looks that lie long enough apart, and again after reading.
//!
//! One surprise: where the inbox has no room or fails, the file stays and is tried again at a later look.

use crate::inbox::{Inbox, Origin, Refusal, well_formed};
use crate::tree::Limits;
use rustix::fs::RenameFlags;
use rustix::fs::{AtFlags, Dir, FileType, Mode, OFlags, mkdirat, openat, renameat_with, statat};
use rustix::io::Errno;
use std::collections::HashMap;
use std::ffi::{CString, OsStr};
use std::fs::File;
use std::io::{Read, Write};
use std::os::fd::OwnedFd;
use std::os::unix::ffi::OsStrExt;
use std::path::PathBuf;
use time::{Duration, OffsetDateTime};

const TAKEN: &str = "taken";
const REFUSED: &str = "refused";

/// How much one look may take on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WatchLimits {
    pub file_bytes: u64,
    /// Files looked at in one look; the others wait for the next.
    pub files: usize,
    /// How far two looks that find the same size and time must lie apart.
    pub settle: Duration,
}

impl Default for WatchLimits {
    fn default() -> Self {
        Self {
            file_bytes: 256 * 1024 * 1024,
            files: 500,
            settle: Duration::seconds(5),
        }
    }
}

/// A watched folder and what the last look found in it.
#[derive(Debug)]
pub struct Watch {
    folder: PathBuf,
    limits: WatchLimits,
    seen: HashMap<CString, Seen>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stand {
    inode: u64,
    bytes: u64,
    changed: (i64, u64),
}

#[derive(Debug, Clone, Copy)]
struct Seen {
    stand: Stand,
    since: OffsetDateTime,
}

/// What one look did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Looked {
    pub taken: usize,
    pub refused: usize,
    /// Still growing, too young, or to be tried again.
    pub waiting: usize,
}

enum Outcome {
    Taken,
    Refused(String),
    Later,
}

impl Watch {
    pub fn new(folder: impl Into<PathBuf>, limits: WatchLimits) -> Self {
        Self {
            folder: folder.into(),
            limits,
            seen: HashMap::new(),
        }
    }

    /// Looks once. Call it every few seconds with the time it is.
    ///
    /// # Errors
    /// When the folder itself cannot be read or its two subfolders cannot be made.
    pub async fn look<I: Inbox>(
        &mut self,
        now: OffsetDateTime,
        inbox: &I,
    ) -> std::io::Result<Looked> {
        let folder = rustix::fs::open(
            &self.folder,
            OFlags::RDONLY | OFlags::DIRECTORY | OFlags::CLOEXEC,
            Mode::empty(),
        )?;
        let taken = subfolder(&folder, TAKEN)?;
        let refused = subfolder(&folder, REFUSED)?;
        let mut looked = Looked::default();
        let mut still = HashMap::new();
        for (name, stand) in self.files(&folder)? {
            let since = match self.seen.get(&name) {
                Some(before) if before.stand == stand => before.since,
                _ => now,
            };
            let outcome = if now - since >= self.limits.settle {
                self.one(&folder, &name, stand, inbox).await
            } else {
                Outcome::Later
            };
            let moved = match outcome {
                Outcome::Later => false,
                Outcome::Taken => {
                    looked.taken += 1;
                    moved(&folder, &name, &taken, None)
                }
                Outcome::Refused(why) => {
                    looked.refused += 1;
                    moved(&folder, &name, &refused, Some(&why))
                }
            };
            if !moved {
                looked.waiting += 1;
                still.insert(name, Seen { stand, since });
            }
        }
        self.seen = still;
        Ok(looked)
    }

    /// Plain files of the folder itself, by name; no links, no hidden ones, no subfolders.
    fn files(&self, folder: &OwnedFd) -> std::io::Result<Vec<(CString, Stand)>> {
        let mut files = Vec::new();
        for entry in Dir::read_from(folder)? {
            let name = entry?.file_name().to_owned();
            if name.as_bytes().starts_with(b".") {
                continue;
            }
            let Ok(stat) = statat(folder, &name, AtFlags::SYMLINK_NOFOLLOW) else {
                continue;
            };
            if FileType::from_raw_mode(stat.st_mode) != FileType::RegularFile {
                continue;
            }
            files.push((name, stand(&stat)));
            if files.len() >= self.limits.files {
                break;
            }
        }
        files.sort_by(|a, b| a.0.cmp(&b.0));
        Ok(files)
    }

    async fn one<I: Inbox>(
        &self,
        folder: &OwnedFd,
        name: &CString,
        stand: Stand,
        inbox: &I,
    ) -> Outcome {
        let limit = self.limits.file_bytes;
        if stand.bytes > limit {
            return Outcome::Refused(format!(
                "The file has {} bytes and at most {limit} are taken; export the film alone.",
                stand.bytes
            ));
        }
        let Some(bytes) = whole(folder, name, stand, limit) else {
            return Outcome::Later;
        };
        let origin = Origin::Folder {
            file_name: String::from_utf8_lossy(name.as_bytes()).into_owned(),
        };
        let limits = Limits {
            inflated_bytes: limit,
            ..Limits::default()
        };
        match well_formed(bytes, origin, &limits) {
            Err(why) => Outcome::Refused(terms::sentence(&why.to_string())),
            Ok(received) => match inbox.keep(received).await {
                Ok(()) => Outcome::Taken,
                Err(why @ Refusal::NotUnderstood(_)) => {
                    Outcome::Refused(terms::sentence(&why.to_string()))
                }
                Err(Refusal::NoRoom(_) | Refusal::Failed(_)) => Outcome::Later,
            },
        }
    }
}

fn stand(stat: &rustix::fs::Stat) -> Stand {
    Stand {
        inode: stat.st_ino,
        bytes: u64::try_from(stat.st_size).unwrap_or(u64::MAX),
        changed: (stat.st_mtime, stat.st_mtime_nsec),
    }
}

/// Opens a subfolder, making it where it is missing; a link in its place is refused.
fn subfolder(folder: &OwnedFd, name: &str) -> std::io::Result<OwnedFd> {
    match mkdirat(folder, name, Mode::RWXU) {
        Ok(()) | Err(Errno::EXIST) => {}
        Err(e) => return Err(e.into()),
    }
    let flags = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::NOFOLLOW | OFlags::CLOEXEC;
    Ok(openat(folder, name, flags, Mode::empty())?)
}

/// The bytes of a file that stood still while it was read; `None` where it did not, or went away.
fn whole(folder: &OwnedFd, name: &CString, before: Stand, limit: u64) -> Option<Vec<u8>> {
    // A pipe put in the file's place must not hold us up.
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::CLOEXEC | OFlags::NONBLOCK;
    let mut file = File::from(openat(folder, name, flags, Mode::empty()).ok()?);
    let still = |file: &File| {
        rustix::fs::fstat(file).is_ok_and(|s| {
            FileType::from_raw_mode(s.st_mode) == FileType::RegularFile && stand(&s) == before
        })
    };
    if !still(&file) {
        return None;
    }
    let mut bytes = Vec::with_capacity(usize::try_from(before.bytes).ok()?);
    (&mut file).take(limit + 1).read_to_end(&mut bytes).ok()?;
    (still(&file) && bytes.len() as u64 == before.bytes).then_some(bytes)
}

/// Moves a file under a name that is free, and writes beside it why it was refused.
fn moved(folder: &OwnedFd, name: &CString, to: &OwnedFd, why: Option<&str>) -> bool {
    for number in 1..1000_u32 {
        let mut free = name.as_bytes().to_vec();
        if number > 1 {
            free.extend(format!("-{number}").bytes());
        }
        match renameat_with(
            folder,
            name,
            to,
            OsStr::from_bytes(&free),
            RenameFlags::NOREPLACE,
        ) {
            Ok(()) => {
                if let Some(why) = why {
                    free.extend(b".why.txt");
                    let flags = OFlags::WRONLY | OFlags::CREATE | OFlags::EXCL | OFlags::CLOEXEC;
                    let mode = Mode::RUSR | Mode::WUSR;
                    if let Ok(note) = openat(to, OsStr::from_bytes(&free), flags, mode) {
                        let _ = File::from(note).write_all(format!("{why}\n").as_bytes());
                    }
                }
                return true;
            }
            Err(Errno::EXIST) => {}
            Err(_) => return false,
        }
    }
    false
}
