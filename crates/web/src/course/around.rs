//! Before and after a device was given or an operation done: the same readings, side by side.

use super::lines::Ground;
use super::seen::Readings;
use crate::care::log::CareLog;
use crate::care::page::title;
use crate::words;
use care::log::Kind;
use change::{Around, Compared, Yards, before_after};
use quantity::written;

pub struct Event {
    pub head: String,
    pub rows: Vec<EventRow>,
}

pub struct EventRow {
    pub name: String,
    pub meaning: &'static str,
    pub before: String,
    pub first: String,
    pub latest: String,
    pub verdict: String,
}

/// One table for each device and operation, of the foot it was for; the newest first.
pub fn events(ground: &Ground<'_>, readings: &Readings, log: &CareLog) -> Vec<Event> {
    let mut out: Vec<Event> = log
        .kept
        .iter()
        .filter(|k| matches!(k.entry.kind, Kind::Device | Kind::Operation))
        .filter_map(|k| {
            let side = k.entry.side?;
            let worn = match k.entry.kind {
                Kind::Device => change::Worn::InDevice,
                _ => change::Worn::Bare,
            };
            let rows: Vec<EventRow> = readings
                .measures(ground.knowledge)
                .into_iter()
                .flat_map(|m| {
                    let of: Vec<change::Seen> = readings
                        .last
                        .iter()
                        .filter(|s| s.measure == m.key && s.side == side)
                        .cloned()
                        .collect();
                    let yards = Yards::of(ground.knowledge, &m.key, ground.person, ground.own);
                    before_after(&of, k.entry.began, worn, &[yards], None)
                        .into_iter()
                        .filter(|a| a.first.is_some())
                        .map(|a| row(&m.name, &a))
                        .collect::<Vec<_>>()
                })
                .collect();
            (!rows.is_empty()).then(|| Event {
                head: format!("{}, {}", title(&k.entry), words::short_day(k.entry.began)),
                rows,
            })
        })
        .collect();
    out.reverse();
    out
}

fn row(name: &str, around: &Around) -> EventRow {
    let value = |s: &change::Seen| {
        format!(
            "{} ({})",
            words::kept_together(&s.estimate),
            words::short_day(s.day)
        )
    };
    let said = |c: &Option<Compared>| c.as_ref().map_or_else(String::new, |c| value(&c.after));
    let judged = around.latest.as_ref().or(around.first.as_ref());
    EventRow {
        name: name.to_owned(),
        meaning: around.meaning.words(),
        before: around
            .first
            .as_ref()
            .map_or_else(String::new, |c| value(&c.before)),
        first: said(&around.first),
        latest: said(&around.latest),
        verdict: judged.map_or_else(String::new, |c| {
            let by = c.verdict.difference.map_or_else(String::new, |d| {
                let sign = if d > 0.0 { "+" } else { "" };
                format!("{sign}{}{}", written(d, 1), around.unit.suffix())
            });
            match &c.verdict.kind {
                change::Kind::Changed { .. } => format!("{by}: shown"),
                change::Kind::NoChangeShown => format!("{by}: not shown"),
                change::Kind::CannotTell { why } => format!("cannot tell: {}", why.join(" ")),
            }
        }),
    }
}
