//! Which backups lie in a folder, and what are they called?

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use time::format_description::BorrowedFormatItem;
use time::macros::format_description;
use time::{OffsetDateTime, PrimitiveDateTime, UtcOffset};

const NAME: &[BorrowedFormatItem<'_>] =
    format_description!("tiebeam-[year]-[month]-[day]T[hour][minute][second]Z.backup");

/// A backup that was proved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kept {
    pub path: PathBuf,
    /// When it was begun.
    pub at: OffsetDateTime,
    pub bytes: u64,
}

/// By the moment it was begun, in whole seconds; nothing of the practice stands in it.
pub fn name_of(at: OffsetDateTime) -> String {
    // The format asks for nothing that a moment does not have.
    at.to_offset(UtcOffset::UTC)
        .format(NAME)
        .unwrap_or_default()
}

fn moment_of(name: &str) -> Option<OffsetDateTime> {
    let moment = PrimitiveDateTime::parse(name, NAME).ok()?;
    Some(moment.assume_utc())
}

/// Oldest first. What has another name is not ours and is left alone.
///
/// # Errors
/// The folder cannot be read; one that is not there holds none.
pub fn kept_in(folder: &Path) -> io::Result<Vec<Kept>> {
    let entries = match fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(e) => return Err(e),
    };
    let mut kept = Vec::new();
    for entry in entries {
        let entry = entry?;
        if let Some(at) = entry.file_name().to_str().and_then(moment_of)
            && entry.file_type()?.is_file()
        {
            kept.push(Kept {
                path: entry.path(),
                at,
                bytes: entry.metadata()?.len(),
            });
        }
    }
    kept.sort_by_key(|k| k.at);
    Ok(kept)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    #[test]
    fn a_name_is_its_moment_and_other_names_are_nobodys() {
        let at = datetime!(2026-11-27 22:05:09 +2);
        assert_eq!(name_of(at), "tiebeam-2026-11-27T200509Z.backup");
        assert_eq!(moment_of(&name_of(at)), Some(at));
        for other in [
            "tiebeam-2026-11-27T200509Z.backup.part",
            "tiebeam-.backup",
            "",
        ] {
            assert_eq!(moment_of(other), None);
        }
    }
}
