//! How far has a therapy programme come: which load next, which phase next, which goals are met?

use super::entry::{Entry, Kind};
use crate::programme::{GoalOf, Phase, Programme};
use terms::Side;
use time::Date;

/// One goal, judged by the last check that recorded it.
#[derive(Debug, Clone, PartialEq)]
pub struct Criterion {
    pub of: GoalOf,
    /// With its source and how far that was read.
    pub words: String,
    /// `None`: not recorded.
    pub met: Option<bool>,
    /// Recalled, never read: it is shown and decides nothing alone.
    pub unconfirmed: bool,
}

/// What the last check says of the load.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Load {
    More,
    Stay,
    Less,
    /// The check does not hold what the rule asks for.
    NotKnown,
}

/// One foot's programme today.
#[derive(Debug, Clone, PartialEq)]
pub struct Progress {
    pub side: Option<Side>,
    /// The programme that was begun last.
    pub entry: String,
    pub phase: Option<&'static Phase>,
    pub next_phase: Option<&'static Phase>,
    pub load: Load,
    /// Why, in the words of the rule; what is missing where it is not known.
    pub load_words: String,
    /// The day of the check that the load rests on.
    pub checked: Option<Date>,
    /// In the order of the file.
    pub goals: Vec<Criterion>,
}

impl Progress {
    /// Are all goals of discharge met that were read? `None` while one is not recorded. Recalled goals stand
    /// beside it and have no say; running has no others, so nothing is decided about it.
    pub fn ready_for_discharge(&self) -> Option<bool> {
        let decide = self
            .goals
            .iter()
            .filter(|g| g.of == GoalOf::Discharge && !g.unconfirmed)
            .map(|g| g.met);
        if decide.clone().any(|met| met == Some(false)) {
            return Some(false);
        }
        (decide.clone().count() > 0 && decide.clone().all(|met| met == Some(true))).then_some(true)
    }
}

/// Each foot's last programme, by foot. Checks of earlier programmes of the foot count for the goals, newest
/// first: strength that was measured stays measured.
///
/// # Sources
/// As `knowledge/programme/tendon.toml` has them beside each line.
pub fn progress(entries: &[Entry]) -> Vec<Progress> {
    let programme = Programme::built_in();
    let mut sides: Vec<Option<Side>> = entries
        .iter()
        .filter(|e| e.kind == Kind::Therapy)
        .map(|e| e.side)
        .collect();
    sides.sort();
    sides.dedup();
    sides
        .into_iter()
        .filter_map(|side| of_foot(programme, entries, side))
        .collect()
}

fn of_foot(
    programme: &'static Programme,
    entries: &[Entry],
    side: Option<Side>,
) -> Option<Progress> {
    let mut begun: Vec<&Entry> = entries
        .iter()
        .filter(|e| e.kind == Kind::Therapy && e.side == side)
        .collect();
    begun.sort_by_key(|e| e.began);
    let last = *begun.last()?;
    let mut checks: Vec<&Entry> = entries
        .iter()
        .filter(|e| e.kind == Kind::Check)
        .filter(|e| begun.iter().any(|b| Some(&b.id) == e.about.as_ref()))
        .collect();
    checks.sort_by_key(|c| c.began);
    let found = |key: &str| {
        checks
            .iter()
            .rev()
            .find_map(|c| c.answers.number(key).value())
    };
    let of_last = checks
        .iter()
        .rev()
        .find(|c| c.about.as_ref() == Some(&last.id));
    let (load, load_words) = load(programme, last, of_last.copied());
    let phase = last
        .choice("therapy_phase")
        .and_then(|key| programme.phase(key));
    Some(Progress {
        side,
        entry: last.id.clone(),
        phase,
        next_phase: phase.and_then(|p| programme.phase_after(&p.key)),
        load,
        load_words,
        checked: of_last.map(|c| c.began),
        goals: programme
            .goals
            .iter()
            .map(|g| Criterion {
                of: g.of,
                words: format!("{} ({})", g.words, g.source.words()),
                met: found(&g.item).map(|v| g.met_by(v)),
                unconfirmed: g.is_unconfirmed(),
            })
            .collect(),
    })
}

/// The pain that was agreed for this programme rules before the rule's own.
fn load(programme: &Programme, last: &Entry, check: Option<&Entry>) -> (Load, String) {
    let rule = &programme.load;
    let said = |words: &str| format!("{words} ({})", rule.source.words());
    let Some(check) = check else {
        return (
            Load::NotKnown,
            "No check of this programme is recorded.".to_owned(),
        );
    };
    let limit = last
        .answers
        .number("therapy_pain_limit")
        .value()
        .unwrap_or(rule.pain_limit);
    let during = check.answers.number("check_during").value();
    let settled = check.answers.yes("check_settled");
    let easy = check.answers.yes("check_easy");
    if during.is_some_and(|d| d > limit) || settled == Some(false) {
        return (Load::Less, said(&rule.less));
    }
    let missing: Vec<&str> = [
        (during.is_none(), "pain while doing it"),
        (settled.is_none(), "whether it settled by next day"),
        (easy.is_none(), "whether the load is easy"),
    ]
    .into_iter()
    .filter_map(|(is, words)| is.then_some(words))
    .collect();
    match (missing.is_empty(), easy) {
        (false, _) => (
            Load::NotKnown,
            format!("Not recorded at the last check: {}.", missing.join("; ")),
        ),
        (true, Some(true)) => (Load::More, said(&rule.more)),
        (true, _) => (Load::Stay, said(&rule.stay)),
    }
}
