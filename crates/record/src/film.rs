//! Which picture, of what, and where do its bytes lie?

use crate::{BadRecord, FilmId, Kept, Patient, PatientId, VisitId, check_text, dates};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::{fmt, str::FromStr};
use terms::{Side, Stance, View, Worn};
use time::Date;

/// A film as it lies in the practice: the file's bytes unchanged, what is known of it beside them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilmRecord {
    pub id: FilmId,
    pub patient: PatientId,
    pub visit: VisitId,
    /// `None` until the file or the clinician says so; points wait for it.
    pub view: Option<View>,
    pub side: Option<Side>,
    pub stance: Stance,
    /// A film in a device is a kind of its own; `None` where nobody said.
    #[serde(default)]
    pub worn: Option<Worn>,
    #[serde(with = "dates::iso::option")]
    pub taken_on: Option<Date>,
    /// The name the file came with; shown, never used to find it.
    pub file_name: String,
    pub content: ContentHash,
    pub media_type: String,
    pub width_px: u32,
    pub height_px: u32,
    /// What the clinician asked for as scale, and what the film answered.
    pub scale_wish: Option<Kept>,
    pub scale_answer: Option<Kept>,
    pub turn: DisplayTurn,
    pub note: String,
}

impl FilmRecord {
    /// # Errors
    /// No pixels, or text that is too long.
    pub fn check(&self) -> Result<(), BadRecord> {
        if self.width_px == 0 || self.height_px == 0 {
            return Err(BadRecord::new(
                "the film's size",
                format!("{} × {} px", self.width_px, self.height_px),
                "at least 1 × 1 px",
            ));
        }
        if self.turn.quarter_turns > 3 {
            return Err(BadRecord::new(
                "the film's turn",
                format!("{} quarter turns", self.turn.quarter_turns),
                "0 to 3",
            ));
        }
        check_text("the film's file name", &self.file_name, false, 400)?;
        check_text("the film's media type", &self.media_type, true, 100)?;
        check_text("the film's note", &self.note, false, 20_000)
    }
}

/// A film that nobody has finished points on, or on which a placing is in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct WaitingFilm {
    pub film: FilmRecord,
    pub patient: Patient,
    /// The day of its visit.
    pub visit_on: Date,
    /// A placing is in hand.
    pub begun: bool,
    /// Another placing is finished.
    pub read: bool,
}

/// How the film is shown. Points are stored in the untouched picture, whatever stands here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct DisplayTurn {
    /// Clockwise, 0 to 3, after mirroring.
    pub quarter_turns: u8,
    /// Left and right exchanged.
    pub mirrored: bool,
}

/// SHA-256 of a file's bytes: its name in the store and the proof that it is unchanged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ContentHash([u8; 32]);

impl ContentHash {
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    pub fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

impl fmt::Display for ContentHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&hex::encode(self.0))
    }
}

impl FromStr for ContentHash {
    type Err = BadRecord;
    fn from_str(text: &str) -> Result<Self, BadRecord> {
        let mut bytes = [0; 32];
        hex::decode_to_slice(text, &mut bytes).map_err(|_| {
            BadRecord::new("a content hash", "another text", "64 hexadecimal digits")
        })?;
        Ok(Self(bytes))
    }
}

impl TryFrom<String> for ContentHash {
    type Error = BadRecord;
    fn try_from(text: String) -> Result<Self, BadRecord> {
        text.parse()
    }
}

impl From<ContentHash> for String {
    fn from(hash: ContentHash) -> String {
        hash.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_hash_of_abc_is_the_standard_s_example() {
        // FIPS 180-2, appendix B.1.
        assert_eq!(
            ContentHash::of(b"abc").to_string(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_hash_comes_back_from_its_text_and_a_path_does_not() {
        let hash = ContentHash::of(b"abc");
        assert_eq!(hash.to_string().parse(), Ok(hash));
        assert!("../up".parse::<ContentHash>().is_err());
    }
}
