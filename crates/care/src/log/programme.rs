//! How far has a therapy programme come towards the goals of one published series?

use super::entry::{Entry, Kind};

/// One goal.
#[derive(Debug, Clone, PartialEq)]
pub struct Criterion {
    /// With its source and how far that was read.
    pub words: String,
    /// `None`: not recorded.
    pub met: Option<bool>,
}

/// The goals, judged by the last check of a programme that recorded each.
///
/// # Sources
/// Alvarez2006 (abstract): strength within 10 %, 50 single heel rises, 100 ft (30 m) on the toes.
pub fn progress(entries: &[Entry]) -> Vec<Criterion> {
    let programmes: Vec<&str> = entries
        .iter()
        .filter(|e| e.kind == Kind::Therapy)
        .map(|e| e.id.as_str())
        .collect();
    let mut checks: Vec<&Entry> = entries
        .iter()
        .filter(|e| e.kind == Kind::Check)
        .filter(|e| e.about.as_deref().is_some_and(|a| programmes.contains(&a)))
        .collect();
    checks.sort_by_key(|c| c.began);
    let last = |key: &str| {
        checks
            .iter()
            .rev()
            .find_map(|c| c.answers.number(key).value())
    };
    vec![
        Criterion {
            words: "Strength within 10 % of the other side (Alvarez2006, abstract)".to_owned(),
            met: last("check_deficit").map(|d| d <= 10.0),
        },
        Criterion {
            words: "50 single heel rises with little or no pain (Alvarez2006, abstract)".to_owned(),
            met: last("check_rises").map(|n| n >= 50.0),
        },
        Criterion {
            words: "30 m on the toes (Alvarez2006, abstract)".to_owned(),
            met: last("check_toe_walk").map(|m| m >= 30.0),
        },
    ]
}
