//! Why a file of the programme or of devices was refused.

use crate::ladder::SourceNote;
use serde::de::DeserializeOwned;

/// One sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileFault {
    #[error(
        "{file}: found {found}; expected a file like the one that is built in; correct the line"
    )]
    Unreadable { file: String, found: String },
    #[error("{file}: found {what} '{found}'; expected {expected}; correct the word")]
    UnknownWord {
        file: String,
        what: &'static str,
        found: String,
        expected: &'static str,
    },
}

impl FileFault {
    pub(crate) fn unknown(
        file: &str,
        what: &'static str,
        found: &str,
        expected: &'static str,
    ) -> FileFault {
        FileFault::UnknownWord {
            file: file.to_owned(),
            what,
            found: found.to_owned(),
            expected,
        }
    }
}

pub(crate) fn read<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, FileFault> {
    toml::from_str(text).map_err(|e| FileFault::Unreadable {
        file: file.to_owned(),
        found: e.message().replace('\n', ", "),
    })
}

/// # Errors
/// A provenance that is none.
pub(crate) fn check_source(file: &str, source: &SourceNote) -> Result<(), FileFault> {
    if "racu".contains(source.letter) {
        return Ok(());
    }
    let found = source.letter.to_string();
    Err(FileFault::unknown(
        file,
        "the provenance",
        &found,
        "r, a, c or u",
    ))
}
