//! Before and after an event: an operation, a device handed over, a course of exercise.
//!
//! Bare before and bare after tell whether the foot has changed. A reading taken in a device or shoe is of a
//! kind of its own: against the bare foot it tells what wearing it does, and says so.
//!
//! Surprise: a bare reading of the event's own day counts as before it. An effect of wearing is held against
//! the bare reading nearest before or on the day of the worn one, so that a change in between is kept out.

use crate::line::{grouped, yard_for};
use crate::seen::{Seen, WhyKind, Worn, comparable};
use crate::verdict::{Verdict, effect_of_wearing, verdict};
use crate::words::day;
use crate::yard::Yards;
use quantity::Unit;
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, Side};
use time::Date;

/// What a row says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Meaning {
    /// Alike before and after.
    Change,
    /// Bare against worn: the effect of wearing it, not a change of the foot.
    EffectOfWearing,
}

impl Meaning {
    pub fn words(self) -> &'static str {
        match self {
            Meaning::Change => "change of the foot",
            Meaning::EffectOfWearing => "effect of wearing it, not a change of the foot",
        }
    }
}

/// One foot and measure around an event.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Around {
    pub side: Side,
    pub measure: MeasureKey,
    pub unit: Unit,
    pub event_on: Date,
    pub meaning: Meaning,
    /// What the foot wore in the later readings.
    pub worn: Worn,
    /// The first later reading that has a partner.
    pub first: Option<Compared>,
    /// The last such reading, where it is not the first.
    pub latest: Option<Compared>,
    /// Why there is no comparison, or what was left out of it.
    pub notes: Vec<String>,
}

/// Two readings and what became of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Compared {
    pub before: Seen,
    pub after: Seen,
    pub verdict: Verdict,
}

/// For each foot and measure: the last comparable reading before an event against the first and the latest
/// after it, bare; and, where `worn` is a device or a shoe, the effect of wearing it in rows of their own.
pub fn before_after(
    seen: &[Seen],
    event_on: Date,
    worn: Worn,
    yards: &[Yards],
    size: Option<f64>,
) -> Vec<Around> {
    let mut rows = Vec::new();
    for group in grouped(seen) {
        let of = |wanted: Worn| -> Vec<&Seen> {
            group
                .iter()
                .copied()
                .filter(|s| s.taken.worn == wanted)
                .collect()
        };
        let bare = of(Worn::Bare);
        let mut change = empty(group[0], event_on, Meaning::Change, Worn::Bare);
        let (before, after): (Vec<&Seen>, Vec<&Seen>) =
            bare.iter().copied().partition(|s| s.day <= event_on);
        fill(&mut change, &before, &after, &|a, b| {
            verdict(a, b, &yard_for(yards, a, b), size)
        });
        let unsaid = of(Worn::NotSaid).len();
        if unsaid > 0 {
            change.notes.push(format!(
                "Left out, as it is not said whether the foot was bare or worn: {unsaid}."
            ));
        }
        rows.push(change);
        if !matches!(worn, Worn::InDevice | Worn::InShoe) {
            continue;
        }
        let worn_after: Vec<&Seen> = of(worn).into_iter().filter(|s| s.day >= event_on).collect();
        if worn_after.is_empty() {
            continue;
        }
        let mut effect = empty(group[0], event_on, Meaning::EffectOfWearing, worn);
        fill(&mut effect, &bare, &worn_after, &|a, b| {
            effect_of_wearing(a, b, &yard_for(yards, a, b), size)
        });
        rows.push(effect);
    }
    rows
}

fn empty(of: &Seen, event_on: Date, meaning: Meaning, worn: Worn) -> Around {
    Around {
        side: of.side,
        measure: of.measure.clone(),
        unit: of.estimate.unit,
        event_on,
        meaning,
        worn,
        first: None,
        latest: None,
        notes: Vec::new(),
    }
}

fn fill(
    row: &mut Around,
    before: &[&Seen],
    after: &[&Seen],
    judged: &dyn Fn(&Seen, &Seen) -> Verdict,
) {
    let wearing = row.meaning == Meaning::EffectOfWearing;
    let like = |a: &Seen, b: &Seen| {
        let mut taken = a.taken.clone();
        if wearing {
            taken.worn = b.taken.worn;
        }
        comparable(&taken, &b.taken, b.estimate.unit)
    };
    // One reader first; two readers where nothing else stands between, for a yard between readers to judge.
    let partner = |b: &Seen| {
        let earlier = || before.iter().rev().filter(|a| a.day <= b.day);
        let two_readers =
            |a: &Seen| like(a, b).is_err_and(|w| w.iter().all(|w| w.kind == WhyKind::TwoReaders));
        earlier()
            .find(|a| like(a, b).is_ok())
            .or_else(|| earlier().find(|a| two_readers(a)))
            .copied()
    };
    let pairs: Vec<(&Seen, &Seen)> = after
        .iter()
        .filter_map(|b| Some((partner(b)?, *b)))
        .collect();
    let compared = |(a, b): &(&Seen, &Seen)| Compared {
        before: (*a).clone(),
        after: (*b).clone(),
        verdict: judged(a, b),
    };
    row.first = pairs.first().map(compared);
    row.latest = pairs
        .last()
        .filter(|(_, b)| pairs.first().is_some_and(|(_, f)| f.day < b.day))
        .map(compared);
    if pairs.len() < after.len() && !pairs.is_empty() {
        row.notes.push(format!(
            "Later readings without a comparable earlier one: {}.",
            after.len() - pairs.len()
        ));
    }
    if !pairs.is_empty() {
        return;
    }
    let on = day(row.event_on);
    row.notes.push(match (before.last(), after.first()) {
        (None, _) if wearing => "There is no bare reading to hold it against.".into(),
        (None, _) => format!("There is no bare reading up to {on}."),
        (_, None) => format!("There is no bare reading after {on}."),
        (Some(a), Some(b)) => match like(a, b) {
            Err(whys) => {
                let whys: Vec<String> = whys.into_iter().map(|w| w.words).collect();
                format!("No two readings are comparable. {}", whys.join(" "))
            }
            Ok(()) => "No bare reading was taken before the worn one.".into(),
        },
    });
}
