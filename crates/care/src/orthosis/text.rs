//! The proposal in plain sentences.

use super::reason::Reason;
use super::{Draft, OrthosisProposal};
use std::fmt::Write as _;

pub(crate) fn proposal(p: &OrthosisProposal) -> String {
    let mut out = String::new();
    let side = if p.side == terms::Side::Left {
        "Left"
    } else {
        "Right"
    };
    let _ = writeln!(out, "{side} foot. Device: {}.", p.standing.words());
    lines(&mut out, "", &p.because);
    if let Some(draft) = &p.draft {
        values(&mut out, draft);
    }
    if let Some(effect) = &p.effect {
        let _ = writeln!(out, "Expected effect\n  {}", effect.words);
        lines(&mut out, "why: ", &effect.why);
    }
    if !p.unknown.is_empty() {
        out.push_str("Not known\n");
    }
    for u in &p.unknown {
        let ask: Vec<&str> = u
            .ask
            .iter()
            .map(|key| exam::question(key).map_or(key.as_str(), |q| q.words))
            .collect();
        let look = if ask.is_empty() {
            String::new()
        } else {
            format!(" (look at: {})", ask.join("; "))
        };
        let _ = writeln!(out, "  {}: {}{look}", u.what, u.would_change);
    }
    if !p.cautions.is_empty() {
        out.push_str("Cautions\n");
    }
    lines(&mut out, "", &p.cautions);
    out
}

fn lines(out: &mut String, mark: &str, reasons: &[Reason]) {
    for reason in reasons {
        let _ = writeln!(out, "  {mark}{}", reason.line());
    }
}

fn values(out: &mut String, draft: &Draft) {
    out.push_str("Draft\n");
    for line in draft.lines() {
        let _ = writeln!(
            out,
            "  {}: {} [{}]",
            line.name,
            line.value,
            line.footing.words()
        );
        for why in line.why {
            let _ = writeln!(out, "    {}", why.line());
        }
        for caution in line.cautions {
            let _ = writeln!(out, "    care: {}", caution.line());
        }
        for (value, why) in line.alternatives {
            let _ = writeln!(out, "    or {value}: {}", why.line());
        }
    }
}
