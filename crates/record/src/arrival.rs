//! Which film came in without a person at the page, what does it say of itself, and what became of it?
//!
//! An arrival is the file as it came with what its head says. It belongs to nobody until it is taken into a visit:
//! from then on it names the film that it became. What the head says never changes, also where it is wrong.

use crate::{ArrivalId, BadRecord, ClinicianId, ContentHash, FilmId, check_text, dates};
use serde::{Deserialize, Serialize};
use terms::{Side, View};
use time::{Date, OffsetDateTime};

/// Longest text of a head that is kept; longer ones are cut by whoever reads them.
pub const MOST_LETTERS: usize = 256;

/// By which way a film came in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "way", rename_all = "kebab-case")]
pub enum ArrivalWay {
    Network {
        /// The title that the other side gave of itself.
        title: String,
    },
    Folder,
    Web,
}

impl ArrivalWay {
    pub fn key(&self) -> &'static str {
        match self {
            ArrivalWay::Network { .. } => "network",
            ArrivalWay::Folder => "folder",
            ArrivalWay::Web => "web",
        }
    }
}

/// What a film says of itself, each thing only where it says so.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct FilmSays {
    pub chart_number: Option<String>,
    /// Who gave the number.
    pub issuer: Option<String>,
    /// As written: family^given^middle^prefix^suffix.
    pub name: Option<String>,
    #[serde(with = "dates::iso::option")]
    pub born_on: Option<Date>,
    /// CR, DX, …
    pub modality: Option<String>,
    pub view: Option<View>,
    pub side: Option<Side>,
    /// The day it was taken.
    #[serde(with = "dates::iso::option")]
    pub taken_on: Option<Date>,
}

/// A film that came in by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArrivalRecord {
    pub id: ArrivalId,
    /// The SOP instance UID; of one instance and one content there is one arrival.
    pub instance: String,
    pub content: ContentHash,
    pub came_at: OffsetDateTime,
    pub way: ArrivalWay,
    /// Of a film from a folder: the name of its file; shown, never used to find it.
    pub file_name: String,
    pub says: FilmSays,
    /// The same instance was here before with other bytes.
    pub other_bytes: bool,
    pub state: ArrivalState,
}

/// What became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ArrivalState {
    Waiting,
    /// It is a film of a visit now.
    Taken {
        film: FilmId,
        at: OffsetDateTime,
        by: ClinicianId,
    },
    /// It is nobody's film here; the file stays.
    PutAway {
        reason: String,
        at: OffsetDateTime,
        by: ClinicianId,
    },
}

impl ArrivalState {
    pub fn key(&self) -> &'static str {
        match self {
            ArrivalState::Waiting => "waiting",
            ArrivalState::Taken { .. } => "taken",
            ArrivalState::PutAway { .. } => "put-away",
        }
    }
}

impl ArrivalRecord {
    /// # Errors
    /// No identifier, a text that is too long or not plain, or one that does not wait.
    pub fn check(&self) -> Result<(), BadRecord> {
        let is_uid = (1..=64).contains(&self.instance.len())
            && self
                .instance
                .bytes()
                .all(|b| b.is_ascii_digit() || b == b'.');
        if !is_uid {
            return Err(BadRecord::new(
                "the film's identifier",
                "another text",
                "one to 64 digits and full stops",
            ));
        }
        if let ArrivalWay::Network { title } = &self.way {
            check_text("the sender's title", title, true, 16)?;
        }
        check_text("the film's file name", &self.file_name, false, 400)?;
        let FilmSays {
            chart_number,
            issuer,
            name,
            modality,
            ..
        } = &self.says;
        for text in [chart_number, issuer, name, modality].into_iter().flatten() {
            check_text("what the film says of itself", text, false, MOST_LETTERS)?;
        }
        if self.state != ArrivalState::Waiting {
            return Err(BadRecord::new(
                "a film that comes in",
                "one that does not wait",
                "one that waits",
            ));
        }
        Ok(())
    }
}

/// Why a film is put away.
///
/// # Errors
/// Nothing said, or too much.
pub fn check_reason(reason: &str) -> Result<(), BadRecord> {
    check_text("the reason to put it away", reason, true, 2000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn arrival() -> ArrivalRecord {
        ArrivalRecord {
            id: ArrivalId::new(Uuid::from_u128(3)),
            instance: "2.25.1".into(),
            content: ContentHash::of(b"a film"),
            came_at: OffsetDateTime::UNIX_EPOCH,
            way: ArrivalWay::Folder,
            file_name: String::new(),
            says: FilmSays::default(),
            other_bytes: false,
            state: ArrivalState::Waiting,
        }
    }

    #[test]
    fn a_film_without_an_identifier_or_with_a_text_that_is_none_is_refused() {
        assert!(arrival().check().is_ok());
        for instance in ["", "2.25.1 ", "1/2", &"1".repeat(65)] {
            let bad = ArrivalRecord {
                instance: instance.into(),
                ..arrival()
            };
            assert!(bad.check().is_err(), "{instance}");
        }
        let mut long = arrival();
        long.says.name = Some("x".repeat(MOST_LETTERS + 1));
        assert!(long.check().is_err());
        let mut strange = arrival();
        strange.way = ArrivalWay::Network {
            title: "A TITLE BEYOND SIXTEEN".into(),
        };
        assert!(strange.check().is_err());
    }

    #[test]
    fn what_a_film_says_comes_back_from_its_text() {
        let says = FilmSays {
            chart_number: Some("T-1".into()),
            taken_on: Some(time::macros::date!(2026 - 05 - 17)),
            view: Some(View::Lateral),
            side: Some(Side::Left),
            ..FilmSays::default()
        };
        let text = serde_json::to_string(&says).unwrap();
        assert_eq!(serde_json::from_str::<FilmSays>(&text).unwrap(), says);
    }
}
