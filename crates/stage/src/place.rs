//! Where a number lies, in words that name the limits and who says so.

use crate::thresholds::Threshold;
use crate::truth::Truth;

/// `more than 4° (FlatfootLines r)`, `between the limits: …`, or what an unconfirmed limit would say.
pub(crate) fn place(cuts: &[Threshold], value: f64, truth: Truth, would_be: Truth) -> String {
    let of = |confirmed: bool| -> Vec<&Threshold> {
        cuts.iter().filter(|c| c.confirmed() == confirmed).collect()
    };
    let (firm, recalled) = (of(true), of(false));
    if cuts.is_empty() {
        return "no published limit to hold it against".to_owned();
    }
    if firm.is_empty() {
        return only_recalled(&recalled, would_be);
    }
    let named = |say: &dyn Fn(&Threshold) -> String| {
        let parts: Vec<String> = firm.iter().map(|c| say(c)).collect();
        terms::listed(&parts)
    };
    match truth {
        Truth::True => named(&Threshold::words),
        Truth::False => named(&Threshold::words_not),
        Truth::Unknown => {
            let holding = firm.iter().filter(|c| c.holds(value)).count();
            let limits = named(&Threshold::words);
            match (firm.len(), holding) {
                (1, _) => format!("too close to the limit to tell: {limits}"),
                (n, k) if k == 0 || k == n => {
                    format!("too close to the limits to tell: {limits}")
                }
                _ => {
                    let sides: Vec<String> = firm
                        .iter()
                        .map(|c| {
                            if c.holds(value) {
                                c.words()
                            } else {
                                c.words_not()
                            }
                        })
                        .collect();
                    format!("between the limits: {}", terms::listed(&sides))
                }
            }
        }
    }
}

/// An alarm sign may be raised on an unconfirmed limit; the reader is told that it was.
pub(crate) fn recalled_as_alarm(told: &str, cuts: &[Threshold]) -> Option<String> {
    if cuts.is_empty() || cuts.iter().any(Threshold::confirmed) {
        return None;
    }
    let named: Vec<String> = cuts.iter().map(Threshold::words).collect();
    Some(format!(
        "{told}; {}: unconfirmed, and enough for an alarm sign",
        terms::listed(&named)
    ))
}

fn only_recalled(cuts: &[&Threshold], would_be: Truth) -> String {
    let named: Vec<String> = cuts.iter().map(|c| c.words()).collect();
    let named = terms::listed(&named);
    let would = match would_be {
        Truth::True => "; it would say yes",
        Truth::False => "; it would say no",
        Truth::Unknown => "",
    };
    // A source that was read may still not judge: its people were picked, or it asks another question.
    let recalled = cuts.iter().all(|c| c.cite.letter == 'u');
    let what = if recalled {
        "unconfirmed"
    } else {
        "shown only"
    };
    if cuts.len() == 1 {
        format!("the only yardstick, {named}, is {what} and does not decide{would}")
    } else {
        let would = would.replace("; it", "; they");
        format!("the only yardsticks, {named}, are {what} and do not decide{would}")
    }
}
