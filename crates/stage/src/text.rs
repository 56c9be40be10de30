//! The report in plain sentences, in one fixed order.

use crate::report::{Candidate, Chance, Cite, Missing, RaisedFlag, SchemeReport, StageReport};
use crate::scheme::Scheme;
use crate::truth::Truth;
use std::fmt::Write as _;
use terms::MeasureKey;

/// The trade's name of a measure, or its key.
pub(crate) fn measure_name(key: &str) -> String {
    let found = MeasureKey::new(key).ok();
    let named = found.and_then(|k| {
        knowledge::Knowledge::built_in()
            .measure(&k)
            .map(|m| m.name.clone())
    });
    named.unwrap_or_else(|| key.to_owned())
}

/// The words of a question, or the name of a measure.
fn name_of(key: &str) -> String {
    exam::question(key).map_or_else(|| measure_name(key), |q| q.words.to_owned())
}

pub(crate) fn headline(scheme: Scheme, candidates: &[Candidate]) -> String {
    let keys = |keep: &dyn Fn(&Candidate) -> bool| -> Vec<&str> {
        candidates
            .iter()
            .filter(|c| keep(c))
            .map(|c| c.key.as_str())
            .collect()
    };
    let holding = keys(&|c| c.truth.is_true());
    let possible = keys(&|c| c.would_be.is_none() && c.truth.is_unknown());
    let would = keys(&|c| c.would_be == Some(Truth::True));
    let firm = candidates.iter().any(|c| c.would_be.is_none());
    let said = match (firm, holding.is_empty(), possible.is_empty()) {
        (false, ..) => "Cannot tell from confirmed sources".to_owned(),
        (true, false, _) => holding
            .iter()
            .map(|k| with_words(candidates, k))
            .collect::<Vec<_>>()
            .join(" and "),
        (true, true, false)
            if possible.len() == candidates.iter().filter(|c| c.would_be.is_none()).count() =>
        {
            "Cannot tell yet".to_owned()
        }
        (true, true, false) => format!("Cannot tell yet: {}", possible.join(" or ")),
        (true, true, true) => match scheme {
            Scheme::Tendon => "No stage fits what was found".to_owned(),
            _ => "None fits what was found".to_owned(),
        },
    };
    said + &would_words(&would)
}

/// What would hold by definitions known from memory only, to be put behind an answer.
pub(crate) fn would_words(keys: &[&str]) -> String {
    if keys.is_empty() {
        return String::new();
    }
    format!(
        "; by unconfirmed definitions it would be {}",
        keys.join(", ")
    )
}

fn with_words(candidates: &[Candidate], key: &str) -> String {
    let words = candidates
        .iter()
        .find(|c| c.key == key)
        .map_or("", |c| c.words.as_str());
    // A key of several words says what its words say.
    if key.contains('-') && !words.is_empty() {
        return words.to_owned();
    }
    format!("{key}, {words}")
}

fn cites(list: &[Cite]) -> String {
    list.iter()
        .map(|c| format!("{} {}", c.key, c.letter))
        .collect::<Vec<_>>()
        .join(", ")
}

fn chance(c: Chance) -> String {
    if (c.possible - c.holds).abs() < 0.005 {
        format!("{:.2} from the readings' error only", c.holds)
    } else {
        format!(
            "{:.2} to {:.2} from the readings' error only",
            c.holds, c.possible
        )
    }
}

pub(crate) fn report(r: &StageReport) -> String {
    let mut out = String::new();
    for flag in &r.red_flags {
        flag_lines(
            &mut out,
            if flag.holds_plan {
                "ALARM"
            } else {
                "Take care"
            },
            flag,
        );
    }
    if !r.may_carry_plan {
        out.push_str("No plan may rest on a stage until this is dealt with.\n");
    }
    for flag in &r.not_cleared {
        flag_lines(&mut out, "Not cleared", flag);
    }
    let _ = writeln!(
        out,
        "{} foot",
        if r.side == terms::Side::Left {
            "Left"
        } else {
            "Right"
        }
    );
    for scheme in [&r.tendon, &r.three_column, &r.child, &r.traffic_light]
        .into_iter()
        .flatten()
    {
        scheme_lines(&mut out, scheme);
        if scheme.scheme == Scheme::ThreeColumn
            && let Some(consensus) = &r.consensus
        {
            let _ = writeln!(
                out,
                "{}: {}",
                Scheme::Consensus.words(),
                consensus.string.as_ref().unwrap_or(&consensus.so_far)
            );
            for (string, p) in consensus.strings.iter().filter(|(_, p)| **p >= 0.005) {
                let _ = writeln!(out, "  {string}: {p:.2} from the readings' error only");
            }
        }
    }
    out.push_str("Criteria\n");
    for c in r.criteria.iter().filter(|c| !c.reasons.is_empty()) {
        let _ = writeln!(
            out,
            "  {}: {} [{}]",
            c.words,
            c.truth.word(),
            cites(&c.sources)
        );
        for reason in &c.reasons {
            let _ = writeln!(out, "    {reason}");
        }
        if let Some(p) = c.probability {
            let _ = writeln!(out, "    chance {}", chance(p));
        }
    }
    if !r.missing.is_empty() {
        out.push_str("Missing\n");
    }
    for m in &r.missing {
        missing_lines(&mut out, m);
    }
    if !r.not_asked.is_empty() {
        let _ = writeln!(
            out,
            "Alarm signs not asked about: {}",
            r.not_asked
                .iter()
                .map(|w| w.trim_end_matches('.'))
                .collect::<Vec<_>>()
                .join("; ")
        );
    }
    for note in r.notes.iter().chain(&r.told) {
        let _ = writeln!(out, "Note: {note}");
    }
    out
}

fn flag_lines(out: &mut String, heading: &str, flag: &RaisedFlag) {
    let _ = writeln!(
        out,
        "{heading} ({}): {} [{}]",
        flag.urgency,
        flag.words,
        cites(&flag.sources)
    );
    for reason in &flag.reasons {
        let _ = writeln!(out, "  {reason}");
    }
    let _ = writeln!(out, "  {}", flag.action);
    if flag.truth.is_unknown() && !flag.ask.is_empty() {
        let asked: Vec<String> = flag.ask.iter().map(|k| name_of(k)).collect();
        let _ = writeln!(out, "  Look at: {}", asked.join("; "));
    }
}

fn scheme_lines(out: &mut String, scheme: &SchemeReport) {
    let _ = writeln!(out, "{}: {}", scheme.scheme.words(), scheme.headline);
    for c in &scheme.candidates {
        if let Some(p) = c.chance.filter(|p| p.holds > 0.0 && p.possible >= 0.005) {
            let _ = writeln!(out, "  {}: {}", c.key, chance(p));
        }
    }
}

fn missing_lines(out: &mut String, m: &Missing) {
    let asked: Vec<String> = m.ask.iter().map(|k| name_of(k)).collect();
    let ask = if asked.is_empty() {
        String::new()
    } else {
        format!("; look at: {}", asked.join(", "))
    };
    let _ = writeln!(out, "  {} ({}{ask})", m.words, m.why);
    for (answer, outcomes) in [("yes", &m.if_yes), ("no", &m.if_no)] {
        for o in outcomes {
            let change = match (o.scheme, o.candidates.len()) {
                (Scheme::Consensus, _) => o.candidates.join(", "),
                (_, 0) => "no stage is left".to_owned(),
                (_, 1..=4) => format!("leaves {}", o.candidates.join(", ")),
                _ => format!("rules out {}", o.ruled_out.join(", ")),
            };
            let _ = writeln!(out, "    if {answer}: {}: {change}", o.scheme.words());
        }
    }
}
