//! How are days, times, ages and numbers said on a page?
//!
//! One spelling everywhere. A missing value is said in words and never shown as a number.

use crate::error::PageError;
use quantity::{Estimate, Z_975, written};
use record::{ClinicianId, Patient};
use terms::{Sex, Side};
use time::{Date, OffsetDateTime, UtcOffset};

/// `24 November 2026`
pub fn day(date: Date) -> String {
    format!("{} {} {}", date.day(), date.month(), date.year())
}

/// `24 Nov 2026`
pub fn short_day(date: Date) -> String {
    let month = date.month().to_string();
    format!(
        "{} {} {}",
        date.day(),
        month.get(..3).unwrap_or(&month),
        date.year()
    )
}

/// `2026-11-24`, as date inputs take it.
pub fn iso_day(date: Date) -> String {
    date.to_string()
}

/// `15:32`
pub fn clock(at: OffsetDateTime) -> String {
    format!("{:02}:{:02}", at.hour(), at.minute())
}

/// Day and time of day, in this offset.
pub fn moment(at: OffsetDateTime, offset: UtcOffset) -> String {
    let at = at.to_offset(offset);
    format!("{}, {}", short_day(at.date()), clock(at))
}

/// Of a file.
pub fn size(bytes: u64) -> String {
    match bytes {
        0..100_000 => format!("{} kB", bytes.div_ceil(1000)),
        _ => format!("{} MB", written(bytes as f64 / 1e6, 1)),
    }
}

/// A day as a date input or a file writes it.
pub fn parse_day(text: &str) -> Option<Date> {
    Date::parse(
        text.trim(),
        time::macros::format_description!("[year]-[month]-[day]"),
    )
    .ok()
}

/// Nothing of a person happened before their birth, and nothing that is written down lies ahead.
///
/// # Errors
/// One sentence with the day and what was expected; `what` begins it.
pub fn check_day(what: &str, on: Date, patient: &Patient, today: Date) -> Result<(), PageError> {
    if on > today {
        return Err(PageError::input(format!(
            "found {} as {what}, which lies ahead; expected today, {}, or earlier: correct the day",
            day(on),
            day(today)
        )));
    }
    // The day of birth is personal and is not repeated.
    if patient.born_on.is_some_and(|born| on < born) {
        return Err(PageError::input(format!(
            "found {} as {what}, which lies before the patient's birth; expected a later day: correct it, or the birth date in the patient's details",
            day(on)
        )));
    }
    Ok(())
}

/// `Family, Given`
pub fn list_name(patient: &Patient) -> String {
    match (patient.family_name.trim(), patient.given_name.trim()) {
        ("", given) => given.to_owned(),
        (family, "") => family.to_owned(),
        (family, given) => format!("{family}, {given}"),
    }
}

/// `Given Family`
pub fn full_name(patient: &Patient) -> String {
    format!(
        "{} {}",
        patient.given_name.trim(),
        patient.family_name.trim()
    )
    .trim()
    .to_owned()
}

/// Years for adults, years and months below 18, weeks are not said.
pub fn age(patient: &Patient, on: Date) -> String {
    let Some(years) = patient.age_years_on(on) else {
        return "age not known".to_owned();
    };
    let whole = years.floor();
    let months = ((years - whole) * 12.0).floor();
    match (whole, months) {
        (w, _) if w >= 18.0 => format!("{w} years"),
        (w, m) if w < 1.0 => format!("{m} {}", if m == 1.0 { "month" } else { "months" }),
        (w, m) => {
            format!(
                "{w} {} {m} {}",
                if w == 1.0 { "year" } else { "years" },
                if m == 1.0 { "month" } else { "months" }
            )
        }
    }
}

pub fn sex(sex: Option<Sex>) -> &'static str {
    match sex {
        Some(Sex::Female) => "female",
        Some(Sex::Male) => "male",
        None => "sex not given",
    }
}

/// Age and sex in one line: `58 years, female`.
pub fn age_and_sex(patient: &Patient, on: Date) -> String {
    format!("{}, {}", age(patient, on), sex(patient.sex))
}

/// `Left` or `Right`, at the head of a column.
pub fn side_head(side: Side) -> &'static str {
    match side {
        Side::Left => "Left",
        Side::Right => "Right",
    }
}

/// With its first letter large.
pub fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}

/// `12.3°`
pub fn value(estimate: &Estimate) -> String {
    format!(
        "{}{}",
        written(estimate.value, estimate.unit.decimals()),
        estimate.unit.suffix()
    )
}

/// `± 1.1°`: half the width of the 95 % interval.
pub fn plus_minus(estimate: &Estimate) -> String {
    let half = Z_975 * estimate.standard_error;
    format!(
        "± {}{}",
        written(half, estimate.unit.decimals()),
        estimate.unit.suffix()
    )
}

/// `12.3° ± 1.1°`, never broken over two lines.
pub fn kept_together(estimate: &Estimate) -> String {
    format!("{} {}", value(estimate), plus_minus(estimate)).replace(' ', "\u{a0}")
}

/// `10.1 to 12.4°`
pub fn interval(estimate: &Estimate) -> String {
    let (low, high) = estimate.interval_95();
    let d = estimate.unit.decimals();
    format!(
        "{} to {}{}",
        written(low, d),
        written(high, d),
        estimate.unit.suffix()
    )
}

/// `3 films`, `1 film`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Of an act whose actor is not on the list of people.
pub fn not_on_the_list(who: ClinicianId) -> &'static str {
    match who == ClinicianId::PROGRAM {
        true => ClinicianId::PROGRAM_WORDS,
        false => "not on the list",
    }
}

/// The name that an upload came with, as it may be kept and shown; empty where it has none.
pub fn file_name(sent: Option<&str>) -> String {
    sent.unwrap_or_default()
        .chars()
        .filter(|c| !c.is_control())
        .take(200)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Unit;
    use record::PatientId;
    use time::macros::date;
    use uuid::Uuid;

    fn born(on: Option<Date>) -> Patient {
        Patient {
            id: PatientId::new(Uuid::from_u128(1)),
            chart_number: "1".into(),
            given_name: "Invented".into(),
            family_name: "Person".into(),
            born_on: on,
            sex: None,
            note: String::new(),
        }
    }

    #[test]
    fn ages_are_years_for_adults_and_years_and_months_for_children() {
        let on = date!(2026 - 11 - 24);
        let cases = [
            (Some(date!(1968 - 03 - 02)), "58 years"),
            (Some(date!(2019 - 05 - 17)), "7 years 6 months"),
            (Some(date!(2025 - 11 - 01)), "1 year 0 months"),
            (None, "age not known"),
        ];
        for (day, expected) in cases {
            assert_eq!(age(&born(day), on), expected);
        }
    }

    #[test]
    fn a_negative_number_has_a_true_minus_and_a_rounded_zero_has_none() {
        assert_eq!(written(-3.21, 1), "−3.2");
        assert_eq!(written(-0.01, 1), "0.0");
    }

    #[test]
    fn an_estimate_is_said_with_its_unit_and_half_interval() {
        let e = Estimate::new(-4.0, 1.0, Unit::Degree);
        assert_eq!(
            (value(&e).as_str(), plus_minus(&e).as_str()),
            ("−4.0°", "± 2.0°")
        );
        assert_eq!(interval(&e), "−6.0 to −2.0°");
        assert_eq!(kept_together(&e), "−4.0°\u{a0}±\u{a0}2.0°");
    }

    #[test]
    fn a_day_ahead_and_a_day_before_birth_are_refused_with_a_sentence() {
        let (birth, today) = (date!(1968 - 03 - 02), date!(2026 - 11 - 24));
        let patient = born(Some(birth));
        let said = |on| {
            check_day("the day of the visit", on, &patient, today)
                .map_err(|e| e.to_string())
                .err()
        };
        assert_eq!((said(birth), said(today)), (None, None));
        let ahead = said(date!(2026 - 11 - 25)).unwrap();
        assert!(ahead.contains("25 November 2026") && ahead.contains("lies ahead"));
        let before = said(date!(1968 - 03 - 01)).unwrap();
        assert!(before.contains("before the patient's birth") && !before.contains("2 March"));
    }

    #[test]
    fn a_day_that_is_none_is_refused() {
        assert_eq!(parse_day("2026-02-30"), None);
        assert_eq!(parse_day("24.11.2026"), None);
        assert_eq!(parse_day(" 2026-11-24 "), Some(date!(2026 - 11 - 24)));
    }
}
