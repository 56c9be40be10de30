//! The words of the trade as types, shared by every crate above.
//!
//! This crate answers "what may be named": sides, views, stance, joints, and the keys by which
//! landmarks, measures, yardsticks and sources are found in the knowledge folder.
//! It computes nothing. Keys are checked for their form here and for their existence in `knowledge`.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Which foot. Never told by colour; always by word and position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    Left,
    Right,
}

impl Side {
    pub const BOTH: [Side; 2] = [Side::Left, Side::Right];

    pub fn other(self) -> Side {
        match self {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        }
    }

    pub fn word(self) -> &'static str {
        match self {
            Side::Left => "left",
            Side::Right => "right",
        }
    }
}

/// `a`, `a and b`, `a, b and c`.
pub fn listed(parts: &[String]) -> String {
    match parts {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

/// Capital at the front, full stop at the end.
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    let mut chars = text.chars();
    let mut out: String = chars
        .next()
        .map(|c| c.to_uppercase().collect())
        .unwrap_or_default();
    out.push_str(chars.as_str());
    if !out.ends_with(['.', '?']) {
        out.push('.');
    }
    out
}

/// How the beam met the foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum View {
    /// From the side, beam level.
    Lateral,
    /// From the top of the foot to the sole.
    Dorsoplantar,
    /// From behind, beam 20° to the floor, film square to the beam.
    HindfootAlignment,
    /// Ankle from the front.
    AnkleFront,
}

impl View {
    pub const ALL: [View; 4] = [
        View::Lateral,
        View::Dorsoplantar,
        View::HindfootAlignment,
        View::AnkleFront,
    ];

    /// The key used in files and addresses.
    pub fn key(self) -> &'static str {
        match self {
            View::Lateral => "lateral",
            View::Dorsoplantar => "dorsoplantar",
            View::HindfootAlignment => "hindfoot-alignment",
            View::AnkleFront => "ankle-front",
        }
    }

    pub fn from_key(key: &str) -> Option<View> {
        View::ALL.into_iter().find(|v| v.key() == key)
    }

    /// The words on the page.
    pub fn words(self) -> &'static str {
        match self {
            View::Lateral => "lateral foot",
            View::Dorsoplantar => "dorsoplantar foot",
            View::HindfootAlignment => "hindfoot alignment",
            View::AnkleFront => "ankle from the front",
        }
    }
}

/// Was the person standing when the film was taken? Unknown is its own answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stance {
    Standing,
    NotStanding,
    Unknown,
}

impl Stance {
    pub fn words(self) -> &'static str {
        match self {
            Stance::Standing => "taken standing",
            Stance::NotStanding => "not taken standing",
            Stance::Unknown => "standing or not: unknown",
        }
    }
}

/// What the foot wore while a film was taken; `None` around it where nobody said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Worn {
    Bare,
    /// A shoe without a device.
    Shoe,
    /// An orthosis, brace, boot or cast.
    Device,
}

impl Worn {
    pub const ALL: [Worn; 3] = [Worn::Bare, Worn::Shoe, Worn::Device];

    pub fn key(self) -> &'static str {
        match self {
            Worn::Bare => "bare",
            Worn::Shoe => "shoe",
            Worn::Device => "device",
        }
    }

    pub fn from_key(key: &str) -> Option<Worn> {
        Worn::ALL.into_iter().find(|w| w.key() == key)
    }

    pub fn words(self) -> &'static str {
        match self {
            Worn::Bare => "bare foot",
            Worn::Shoe => "in the shoe",
            Worn::Device => "in a device",
        }
    }
}

/// How much weight stood on the foot while its shape was taken; asked, never guessed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Load {
    /// Foot hanging free or held.
    None,
    /// Sitting, foot on the ground.
    Partial,
    /// Standing.
    Full,
}

impl Load {
    pub fn words(self) -> &'static str {
        match self {
            Load::None => "without weight",
            Load::Partial => "sitting, part of the weight",
            Load::Full => "standing, full weight",
        }
    }
}

/// Sex as the yardsticks print it; `None` around it where not given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Sex {
    Female,
    Male,
}

/// Joints graded for wear 0 to 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Joint {
    Ankle,
    Subtalar,
    Talonavicular,
    Calcaneocuboid,
    Naviculocuneiform,
    FirstTarsometatarsal,
    LesserTarsometatarsal,
}

impl Joint {
    pub const ALL: [Joint; 7] = [
        Joint::Ankle,
        Joint::Subtalar,
        Joint::Talonavicular,
        Joint::Calcaneocuboid,
        Joint::Naviculocuneiform,
        Joint::FirstTarsometatarsal,
        Joint::LesserTarsometatarsal,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Joint::Ankle => "ankle",
            Joint::Subtalar => "subtalar",
            Joint::Talonavicular => "talonavicular",
            Joint::Calcaneocuboid => "calcaneocuboid",
            Joint::Naviculocuneiform => "naviculocuneiform",
            Joint::FirstTarsometatarsal => "first tarsometatarsal",
            Joint::LesserTarsometatarsal => "lesser tarsometatarsal",
        }
    }
}

/// A key was not made of lower-case letters, digits and underscores.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "found the key {found:?}; a key is 1 to 64 letters, digits, '_' or '-', and starts with a letter"
)]
pub struct BadKey {
    pub found: String,
}

macro_rules! keys {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub struct $name(String);

        impl $name {
            /// Checks the form only; whether it exists is the knowledge folder's question.
            pub fn new(key: impl Into<String>) -> Result<Self, BadKey> {
                let key = key.into();
                let good = key.len() <= 64
                    && key.starts_with(|c: char| c.is_ascii_alphabetic())
                    && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
                if good { Ok(Self(key)) } else { Err(BadKey { found: key.chars().take(80).collect() }) }
            }

            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = BadKey;
            fn try_from(key: String) -> Result<Self, BadKey> {
                Self::new(key)
            }
        }

        impl From<$name> for String {
            fn from(key: $name) -> String {
                key.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    )+};
}

keys!(
    /// A point that can be placed on a film, unique over all views.
    LandmarkKey,
    /// A reading that can be taken, unique over all views.
    MeasureKey,
    /// One row of a published norm, threshold or reliability figure.
    YardstickKey,
    /// One publication, page or convention. May hold capitals.
    SourceKey,
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_with_a_path_in_it_is_refused() {
        assert!(LandmarkKey::new("../etc").is_err());
        assert!(LandmarkKey::new("").is_err());
        assert!(LandmarkKey::new("calc_pitch").is_ok());
    }

    #[test]
    fn a_view_comes_back_from_its_key() {
        for view in View::ALL {
            assert_eq!(View::from_key(view.key()), Some(view));
        }
    }
}
