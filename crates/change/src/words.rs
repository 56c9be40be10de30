//! How days, changes and probabilities are said, once for page and letter.

use quantity::{Unit, written};
use time::Date;

/// `24 Nov 2026`
pub(crate) fn day(date: Date) -> String {
    let month = date.month().to_string();
    format!(
        "{} {} {}",
        date.day(),
        month.get(..3).unwrap_or(&month),
        date.year()
    )
}

/// Decimals for a change: one more than a reading's own where counts and points are whole.
pub(crate) fn decimals(unit: Unit) -> usize {
    unit.decimals().max(1)
}

/// `3.0°`
pub(crate) fn amount(value: f64, unit: Unit) -> String {
    format!("{}{}", written(value, decimals(unit)), unit.suffix())
}

/// `+4.1°`, `−4.1°`, `0.0°`
pub(crate) fn signed(value: f64, unit: Unit) -> String {
    signed_to(value, unit, decimals(unit))
}

fn signed_to(value: f64, unit: Unit, decimals: usize) -> String {
    let text = written(value, decimals);
    let plain = text.starts_with('−') || text.bytes().all(|b| matches!(b, b'0' | b'.'));
    format!("{}{text}{}", if plain { "" } else { "+" }, unit.suffix())
}

/// A signed change and the amount it is held against, with decimals enough to tell them apart (up to three
/// more): two numbers that print alike would contradict the sentence around them.
pub(crate) fn apart(change: f64, amount: f64, unit: Unit) -> (String, String) {
    let least = decimals(unit);
    let d = (least..least + 3)
        .find(|d| written(change.abs(), *d) != written(amount, *d))
        .unwrap_or(least + 3);
    (
        signed_to(change, unit, d),
        format!("{}{}", written(amount, d), unit.suffix()),
    )
}

/// `88 %`, `under 1 %`, `over 99 %`
pub(crate) fn percent(probability: f64) -> String {
    if probability < 0.01 {
        "under 1 %".into()
    } else if probability > 0.99 {
        "over 99 %".into()
    } else {
        format!("{} %", written(100.0 * probability, 0))
    }
}

/// `−2.0 to −0.4`
pub(crate) fn span(ends: [f64; 2], unit: Unit) -> String {
    format!("{} to {}", signed(ends[0], unit), signed(ends[1], unit))
}

/// "1 film", "14 films"
pub(crate) fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}
