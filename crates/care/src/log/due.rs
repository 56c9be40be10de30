//! The looks that the ladder asks for, as days: after a week, at six weeks, at each change of a wrap.

use super::entry::{Entry, Kind};
use crate::ladder::Ladder;
use serde::{Deserialize, Serialize};
use time::{Date, Duration};

/// How a look stands today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DueState {
    Overdue,
    Now,
    Later,
    Done,
    /// Overdue, and overtaken: a later look at the same thing is due by now, or the thing has ended.
    Missed,
}

/// One look at one entry.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Due {
    pub entry: String,
    /// When in the ladder's words, and what to look at.
    pub what: String,
    pub on: Date,
    pub state: DueState,
}

/// A check this share of the time early still counts as the look.
const EARLY_SHARE: i64 = 4;
const MOST_EARLY_DAYS: i64 = 7;
/// Days of grace before a look without a span is overdue.
const GRACE_DAYS: i64 = 3;

/// Every look at every entry that has not ended before it, by day.
pub fn due(entries: &[Entry], today: Date) -> Vec<Due> {
    let mut all: Vec<Due> = entries
        .iter()
        .filter(|e| e.kind != Kind::Check)
        .flat_map(|e| of_entry(e, entries, today))
        .collect();
    all.sort_by_key(|d| d.on);
    all
}

/// A look: from which day after the beginning, until which, and at what.
struct Look {
    from: i64,
    until: i64,
    what: String,
}

fn of_entry(entry: &Entry, entries: &[Entry], today: Date) -> Vec<Due> {
    let mut checks: Vec<Date> = entries
        .iter()
        .filter(|c| c.kind == Kind::Check && c.about.as_ref() == Some(&entry.id))
        .map(|c| c.began)
        .collect();
    checks.sort();
    let mut due: Vec<Due> = looks(entry, &checks)
        .into_iter()
        .filter_map(|look| {
            let on = later(entry.began, look.from)?;
            let until = later(entry.began, look.until.max(look.from + GRACE_DAYS))?;
            // What has ended wants no look from its last day on.
            if entry.ended.is_some_and(|end| end <= on) {
                return None;
            }
            let early = (look.from / EARLY_SHARE).min(MOST_EARLY_DAYS);
            let done = later(on, -early).is_some_and(|from| checks.iter().any(|c| *c >= from));
            let state = if done {
                DueState::Done
            } else if today < on {
                DueState::Later
            } else if today <= until {
                DueState::Now
            } else {
                DueState::Overdue
            };
            Some(Due {
                entry: entry.id.clone(),
                what: look.what,
                on,
                state,
            })
        })
        .collect();
    due.sort_by_key(|d| d.on);
    let pressing = |d: &Due| matches!(d.state, DueState::Overdue | DueState::Now);
    let last = due.iter().rposition(pressing);
    let over = entry.ended.is_some_and(|end| end <= today);
    for (place, d) in due.iter_mut().enumerate() {
        if pressing(d) && (Some(place) != last || over) {
            d.state = DueState::Missed;
        }
    }
    due
}

fn later(day: Date, days: i64) -> Option<Date> {
    day.checked_add(Duration::days(days))
}

fn looks(entry: &Entry, checks: &[Date]) -> Vec<Look> {
    let Some(rung) = entry.rung().and_then(|key| Ladder::built_in().rung(key)) else {
        return Vec::new();
    };
    let mut looks: Vec<Look> = rung
        .look
        .iter()
        .filter_map(|l| {
            let [from, until] = l.days?;
            Some(Look {
                from: i64::from(from),
                until: i64::from(until),
                what: format!("{}: {}", l.when, l.what),
            })
        })
        .collect();
    let number = |key: &str| entry.answers.number(key).value();
    // A boot for a planned time is looked at when that time is over.
    if let Some(weeks) = number("boot_weeks")
        && let Some(last) = looks.last_mut()
    {
        let days = (weeks * 7.0).round() as i64;
        last.from = days;
        last.until = days;
        last.what = format!(
            "After the planned {weeks} weeks: {}",
            rung.look.last().map_or("", |l| &l.what)
        );
    }
    // A wrap is changed again and again: the next change counts from the last.
    if entry.kind == Kind::Wrap {
        let every = number("wrap_days").map_or(CHANGE_DAYS, |d| d as i64);
        let since = checks
            .last()
            .map_or(0, |c| (*c - entry.begun()).whole_days());
        looks.retain(|l| l.until < CHANGE_DAYS);
        looks.push(Look {
            from: since + every,
            until: since + every,
            what: format!("After {every} days, sooner when loose or wet: change the wrap; skin, swelling, toes"),
        });
    }
    looks
}

/// # Sources
/// ZincApply (read): change after 7 days.
const CHANGE_DAYS: i64 = 7;

impl Entry {
    fn begun(&self) -> Date {
        self.began
    }
}
