//! What cannot have happened, and what should not have: each one sentence with what was found, what was
//! expected and what to do.

use super::entry::{Entry, Kind, name};
use time::Date;

/// Something about an entry that a person should read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    pub sentence: String,
    /// It cannot have happened so: nothing is saved. Else it is kept and warned about.
    pub stops: bool,
}

fn stop(sentence: String) -> Fault {
    Fault {
        sentence,
        stops: true,
    }
}

fn warn(sentence: String) -> Fault {
    Fault {
        sentence,
        stops: false,
    }
}

/// Everything about an entry, what stops it first. `others` are the patient's other entries; the day of birth
/// is personal and is never repeated.
pub fn faults(entry: &Entry, others: &[Entry], born: Option<Date>, today: Date) -> Vec<Fault> {
    let what = name(entry);
    let mut found = Vec::new();
    let first = if entry.kind.lasts() {
        "the first day"
    } else {
        "the day"
    };
    for (day, which) in [(Some(entry.began), first), (entry.ended, "the last day")] {
        let Some(day) = day else { continue };
        if day > today {
            found.push(stop(format!(
                "Found {day} as {which} of the {what}, which lies ahead; expected today, {today}, or earlier: correct the day, or write it down when it has happened."
            )));
        }
        if born.is_some_and(|born| day < born) {
            found.push(stop(format!(
                "Found {day} as {which} of the {what}, which lies before the patient's birth; expected a later day: correct it, or the birth date in the patient's details."
            )));
        }
    }
    if let Some(ended) = entry.ended.filter(|end| *end < entry.began) {
        let done = if entry.kind.is_worn() {
            "taken off"
        } else {
            "ended"
        };
        found.push(stop(format!(
            "Found that the {what} was {done} on {ended}, before it was given on {}; expected the last day on or after the first: correct one of the two.",
            entry.began
        )));
    }
    if entry.side.is_none() && !matches!(entry.kind, Kind::Medicine | Kind::Check) {
        found.push(stop(format!(
            "Found no foot for the {what}; expected left or right: choose the foot."
        )));
    }
    if entry.kind == Kind::Check {
        found.extend(check_of(entry, others));
    }
    if entry.kind.is_worn() {
        found.extend(others.iter().filter_map(|o| overlap(entry, o, &what)));
    }
    found
}

fn check_of(entry: &Entry, others: &[Entry]) -> Option<Fault> {
    let about = others.iter().find(|o| Some(&o.id) == entry.about.as_ref());
    let Some(about) = about else {
        return Some(stop(
            "Found a check of nothing; expected what it looks at: begin it from that entry."
                .to_owned(),
        ));
    };
    (entry.began < about.began).then(|| {
        stop(format!(
            "Found a check on {}, before the {} was given on {}; expected that day or a later one: correct the day.",
            entry.began,
            name(about),
            about.began
        ))
    })
}

/// Two things on one foot at once. A wrap under a boot is common practice and no fault; a shoe goes with all.
fn overlap(entry: &Entry, other: &Entry, what: &str) -> Option<Fault> {
    let same_foot = entry.side.is_some() && entry.side == other.side;
    let shoe = |e: &Entry| e.choice("device_kind") == Some("shoe");
    let wrap = |e: &Entry| e.kind == Kind::Wrap;
    let apart = shoe(entry) || shoe(other) || wrap(entry) != wrap(other);
    if !(same_foot && other.kind.is_worn() && entry.overlaps(other)) || apart {
        return None;
    }
    Some(warn(format!(
        "Found the {what} from {} while the {} given on {} has not ended; expected one at a time on a foot: end the earlier one, or leave both where they are worn in turn.",
        entry.began,
        name(other),
        other.began
    )))
}
