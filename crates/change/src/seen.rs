//! One reading in time, how it was taken, and whether two of them may be held against each other.
//!
//! Surprise: what is unknown of both is not the same of both. Two films of which nobody said whether the
//! person stood are not comparable.

use quantity::{Estimate, Unit};
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, Side, Stance, View};
use time::Date;

/// One reading in time: of a film, or of an examination item (`measure` is then the item's key).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// The day on which the film was taken or the foot examined, not the day of reading.
    pub day: Date,
    pub measure: MeasureKey,
    pub side: Side,
    pub estimate: Estimate,
    pub taken: Taken,
}

/// How a reading was come by.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Taken {
    /// `None`: by hand, without a film.
    pub view: Option<View>,
    pub stance: Stance,
    /// Version of the reading's construction.
    pub method_version: u32,
    /// How millimetres were got on the film; matters for lengths alone. `None`: none, or not known.
    pub scale: Option<Scale>,
    /// Who placed the points; `None`: not known.
    pub reader: Option<Reader>,
    pub worn: Worn,
}

/// A way of getting millimetres on a film: a ball, a known length, the file's own spacing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scale {
    /// What two films are compared by.
    pub key: String,
    /// As said on a page: "a ball beside the foot".
    pub words: String,
}

/// Who read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Reader {
    /// What two readings are compared by.
    pub key: String,
    pub name: String,
}

/// What the foot wore.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Worn {
    Bare,
    InShoe,
    InDevice,
    NotSaid,
}

impl Worn {
    pub fn words(self) -> &'static str {
        match self {
            Worn::Bare => "bare",
            Worn::InShoe => "in a shoe",
            Worn::InDevice => "in a device",
            Worn::NotSaid => "bare or worn: not said",
        }
    }
}

/// What stands between two readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WhyKind {
    View,
    Stance,
    Worn,
    Method,
    Scale,
    /// Two readers, both known: a yard between readers can still judge.
    TwoReaders,
    UnknownReader,
}

/// Why two readings are not comparable, in one sentence.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Why {
    pub kind: WhyKind,
    pub words: String,
}

/// May two readings be held against each other? `unit` is that of the measure: the scale matters for
/// millimetres alone.
///
/// # Errors
/// Everything that stands between them, each in a sentence.
pub fn comparable(a: &Taken, b: &Taken, unit: Unit) -> Result<(), Vec<Why>> {
    let found = [
        (WhyKind::View, view(a, b)),
        (WhyKind::Stance, stance(a.stance, b.stance)),
        (WhyKind::Worn, worn(a.worn, b.worn)),
        (WhyKind::Method, method(a, b)),
        (WhyKind::Scale, scale(a, b, unit)),
    ];
    let mut whys: Vec<Why> = found
        .into_iter()
        .filter_map(|(kind, words)| {
            Some(Why {
                kind,
                words: words?,
            })
        })
        .collect();
    whys.extend(readers(a.reader.as_ref(), b.reader.as_ref()));
    if whys.is_empty() { Ok(()) } else { Err(whys) }
}

fn view(a: &Taken, b: &Taken) -> Option<String> {
    let words = |v: Option<View>| v.map_or("by hand", View::words);
    (a.view != b.view)
        .then(|| format!("The views differ: {} and {}.", words(a.view), words(b.view)))
}

fn stance(a: Stance, b: Stance) -> Option<String> {
    use Stance::{NotStanding, Standing, Unknown};
    let words = match (a, b) {
        (Standing, Standing) | (NotStanding, NotStanding) => return None,
        (Unknown, Unknown) => "Of neither is it known whether it was taken standing.",
        (Unknown, _) | (_, Unknown) => "Of one it is not known whether it was taken standing.",
        (Standing, NotStanding) | (NotStanding, Standing) => "One was not taken standing.",
    };
    Some(words.into())
}

fn worn(a: Worn, b: Worn) -> Option<String> {
    match (a, b) {
        (Worn::NotSaid, Worn::NotSaid) => {
            Some("Of neither is it said whether the foot was bare or worn.".into())
        }
        (Worn::NotSaid, _) | (_, Worn::NotSaid) => {
            Some("Of one it is not said whether the foot was bare or worn.".into())
        }
        _ => (a != b).then(|| {
            format!(
                "One was taken {} and one {}.",
                a.words().replace("bare", "with the foot bare"),
                b.words().replace("bare", "with the foot bare")
            )
        }),
    }
}

fn method(a: &Taken, b: &Taken) -> Option<String> {
    (a.method_version != b.method_version).then(|| {
        format!(
            "The construction differs: version {} and version {}.",
            a.method_version, b.method_version
        )
    })
}

fn scale(a: &Taken, b: &Taken, unit: Unit) -> Option<String> {
    let on_film = a.view.is_some() || b.view.is_some();
    if unit != Unit::Millimetre || !on_film {
        return None;
    }
    match (&a.scale, &b.scale) {
        (Some(x), Some(y)) => (x.key != y.key).then(|| {
            format!(
                "Millimetres were got in two ways: {} and {}.",
                x.words, y.words
            )
        }),
        (None, None) => Some("Of neither film is it known how millimetres were got.".into()),
        _ => Some("Of one film it is not known how millimetres were got.".into()),
    }
}

fn readers(a: Option<&Reader>, b: Option<&Reader>) -> Option<Why> {
    let (kind, words) = match (a, b) {
        (Some(x), Some(y)) if x.key == y.key => return None,
        (Some(x), Some(y)) => (
            WhyKind::TwoReaders,
            format!("Read by two readers: {} and {}.", x.name, y.name),
        ),
        (None, None) => (
            WhyKind::UnknownReader,
            "Of neither is it known who read it.".into(),
        ),
        _ => (
            WhyKind::UnknownReader,
            "Of one it is not known who read it.".into(),
        ),
    };
    Some(Why { kind, words })
}
