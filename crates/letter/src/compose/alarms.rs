//! Alarm signs as a colleague reads them: raised ones first, then those that are not cleared, each with its feet.

use super::cites::Cites;
use super::findings::in_order;
use super::{Foot, words};
use crate::document::{Block, Notice};
use crate::words::{Words, say};
use knowledge::Knowledge;
use stage::{RaisedFlag, StageReport};
use terms::Side;

/// A flag with the feet it was raised on.
struct Told<'a> {
    flag: &'a RaisedFlag,
    sides: Vec<Side>,
}

fn gather<'a>(
    feet: &[&'a Foot<'a>],
    pick: impl Fn(&'a StageReport) -> &'a [RaisedFlag],
) -> Vec<Told<'a>> {
    let mut out: Vec<Told<'a>> = Vec::new();
    for foot in feet {
        for flag in foot.stage.map(&pick).unwrap_or_default() {
            match out
                .iter_mut()
                .find(|t| t.flag.key == flag.key && t.flag.reasons == flag.reasons)
            {
                Some(told) => told.sides.push(foot.side),
                None => out.push(Told {
                    flag,
                    sides: vec![foot.side],
                }),
            }
        }
    }
    out
}

/// Alarm signs as notices, most urgent first; empty where none is raised or open.
pub fn alarm(w: &Words, knowledge: &Knowledge, feet: &[Foot<'_>], cites: &mut Cites) -> Vec<Block> {
    let feet = in_order(feet);
    let several = feet.len() > 1;
    let mut out = Vec::new();
    for told in gather(&feet, |r| &r.red_flags) {
        let mut lines: Vec<String> = told.flag.reasons.iter().map(|r| found(w, r)).collect();
        lines.push(format!(
            "{} {}",
            words::sentence(&flag_text(w, told.flag, "action", &told.flag.action)),
            cites.of_stage(&told.flag.sources)
        ));
        out.push(Block::Notice {
            notice: Notice::Alarm,
            title: say!(
                w,
                "alarm-title",
                urgency = w.said(&told.flag.urgency),
                on = on(w, &told, several),
                sign = flag_text(w, told.flag, "words", &told.flag.words)
            ),
            lines,
        });
    }
    let held: Vec<String> = feet
        .iter()
        .filter(|f| f.stage.is_some_and(|s| !s.may_carry_plan))
        .map(|f| words::foot(w, f.side))
        .collect();
    if !held.is_empty() {
        out.push(Block::Paragraph {
            text: say!(w, "alarm-holds-plan", feet = w.listed(&held)),
        });
    }
    for told in gather(&feet, |r| &r.not_cleared) {
        let mut lines: Vec<String> = told.flag.reasons.iter().map(|r| found(w, r)).collect();
        let ask: Vec<String> = told
            .flag
            .ask
            .iter()
            .map(|k| words::asked(w, knowledge, k))
            .collect();
        if !ask.is_empty() {
            lines.push(say!(w, "alarm-still-to-ask", asks = ask.join("; ")));
        }
        let action = flag_text(w, told.flag, "action", &told.flag.action);
        lines.push(say!(
            w,
            "alarm-if-so",
            action = words::sentence(&words::small(&action)),
            marks = cites.of_stage(&told.flag.sources)
        ));
        out.push(Block::Notice {
            notice: Notice::Caution,
            title: say!(
                w,
                "alarm-not-cleared",
                on = on(w, &told, several),
                sign = flag_text(w, told.flag, "words", &told.flag.words)
            ),
            lines,
        });
    }
    out
}

/// Words or action of a flag.
fn flag_text(w: &Words, flag: &RaisedFlag, part: &str, text: &str) -> String {
    w.known(&format!("flag-{}-{part}", flag.key), text)
}

fn on(w: &Words, told: &Told<'_>, several: bool) -> String {
    match told.sides.as_slice() {
        [one] if several => format!(", {}", words::foot(w, *one)),
        _ => String::new(),
    }
}

fn found(w: &Words, reason: &str) -> String {
    say!(w, "found", what = words::sentence(&w.said(reason)))
}
