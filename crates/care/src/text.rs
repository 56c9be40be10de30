//! The proposal in plain sentences.

use crate::checks::CheckState;
use crate::propose::{Proposal, ProposedRung};
use std::fmt::Write as _;

fn name_of(key: &str) -> &str {
    exam::question(key).map_or(key, |q| q.words)
}

pub(crate) fn proposal(p: &Proposal) -> String {
    let mut out = String::new();
    for line in &p.alarm {
        let _ = writeln!(out, "ALARM {line}");
    }
    let _ = writeln!(
        out,
        "{} foot. {}",
        if p.side == terms::Side::Left {
            "Left"
        } else {
            "Right"
        },
        p.basis
    );
    for line in &p.reasons {
        let _ = writeln!(out, "  {line}");
    }
    for rung in &p.rungs {
        rung_lines(&mut out, rung);
    }
    if !p.not_recorded.is_empty() {
        out.push_str("Not recorded\n");
    }
    for check in &p.not_recorded {
        let ask: Vec<&str> = check.ask.iter().map(|k| name_of(k)).collect();
        let _ = writeln!(out, "  {} (look at: {})", check.words, ask.join("; "));
    }
    for line in &p.cautions {
        let _ = writeln!(out, "{line}");
    }
    out
}

fn rung_lines(out: &mut String, rung: &ProposedRung) {
    let _ = writeln!(out, "{} [{}]", rung.title, rung.standing.words());
    for why in &rung.why {
        let _ = writeln!(out, "  {why}");
    }
    for check in rung.checks.iter().filter(|c| c.state != CheckState::Clear) {
        let mark = match check.state {
            CheckState::Against => "against",
            CheckState::NotRecorded => "check",
            _ => "care",
        };
        let _ = writeln!(out, "  {mark}: {}", check.words);
    }
    let _ = writeln!(out, "  how long: {}", rung.how_long);
    for look in &rung.look {
        let _ = writeln!(out, "  look {}: {}", look.when, look.what);
    }
    for e in &rung.evidence {
        let _ = writeln!(
            out,
            "  evidence ({}): {} [{} {}]",
            e.strength, e.words, e.source.key, e.source.letter
        );
    }
    for c in &rung.cautions {
        let _ = writeln!(
            out,
            "  caution: {} [{} {}]",
            c.words, c.source.key, c.source.letter
        );
    }
}
