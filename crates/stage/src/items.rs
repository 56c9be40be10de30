//! Findings that no scheme asks for, held against what is published for them.
//!
//! They settle no stage. They are told so that a count or a drop does not stand alone: who was measured,
//! what was found there, and where the sources differ.

use crate::facts::Facts;
use crate::report::Cite;
use knowledge::{Person, Yardstick, YardstickKind};
use quantity::{Unit, written_short};
use terms::{Sex, listed};

/// Examination questions that are told against their yardsticks.
const ITEMS: [&str; 12] = [
    "heel_rise_count",
    "navicular_drop_mm",
    "arch_index_standing",
    "arch_index_walking",
    "chippaux_smirak_standing",
    "staheli_index_standing",
    "clarke_angle_standing",
    "excursion_index_walking",
    "navicular_height_mm",
    "navicular_height_truncated",
    "navicular_height_foot",
    "arch_height_index_standing",
];

/// One sentence for each item that was measured and has a yardstick for this person.
pub(crate) fn notes(facts: &Facts<'_>) -> Vec<String> {
    let person = Person {
        age_years: facts.age(),
        sex: match facts.person.choice("sex").value() {
            Some("female") => Some(Sex::Female),
            Some("male") => Some(Sex::Male),
            _ => None,
        },
    };
    ITEMS
        .iter()
        .filter_map(|key| note(facts, key, &person))
        .collect()
}

fn note(facts: &Facts<'_>, key: &str, person: &Person) -> Option<String> {
    let value = facts.exam.number(key).value()?;
    let told = crate::witness::told(facts, key, facts.exam.get(key)?);
    let rows: Vec<&Yardstick> = facts
        .knowledge
        .item_yardsticks(key)
        .into_iter()
        .filter(|y| y.applies_to(person).yes())
        .collect();
    let (firm, recalled): (Vec<&Yardstick>, Vec<&Yardstick>) =
        rows.into_iter().partition(|y| y.may_decide());
    let mut parts: Vec<String> = Vec::new();
    let limits: Vec<(bool, String)> = firm.iter().filter_map(|y| limit(y, value)).collect();
    if !limits.is_empty() {
        let sides: Vec<String> = limits.iter().map(|(_, words)| words.clone()).collect();
        let differ = limits.iter().any(|l| l.0) && limits.iter().any(|l| !l.0);
        let head = if differ { "sources differ: " } else { "" };
        parts.push(format!("{head}{}", listed(&sides)));
    }
    let usual: Vec<String> = firm.iter().filter_map(|y| typical(y)).collect();
    if !usual.is_empty() {
        parts.push(format!("without complaint: {}", listed(&usual)));
    }
    let held: Vec<String> = recalled
        .iter()
        .filter_map(|y| limit(y, value))
        .map(|l| l.1)
        .collect();
    if !held.is_empty() {
        parts.push(format!("shown only, deciding nothing: {}", listed(&held)));
    }
    (!parts.is_empty()).then(|| format!("{told}; {}.", parts.join("; ")))
}

fn cite(y: &Yardstick) -> String {
    let cite = Cite::new(y.source.as_str(), y.provenance.letter());
    format!("({} {})", cite.key, cite.letter)
}

/// One decimal also for counts, whose published means have it.
fn number(value: f64, unit: Unit) -> String {
    let decimals = unit.decimals().max(1);
    format!("{}{}", written_short(value, decimals), unit.suffix())
}

/// Is the value beyond the row's limits, and in which words; `None` for a row that sets none.
fn limit(y: &Yardstick, value: f64) -> Option<(bool, String)> {
    let limits = y.limits()?;
    let (over, words) = match (limits.lower, limits.upper) {
        (_, Some(upper)) if value > upper => (true, format!("more than {}", number(upper, y.unit))),
        (Some(lower), _) if value < lower => (true, format!("less than {}", number(lower, y.unit))),
        (Some(lower), Some(upper)) => (
            false,
            format!(
                "within {} to {}",
                number(lower, y.unit),
                number(upper, y.unit)
            ),
        ),
        (None, Some(upper)) => (false, format!("at most {}", number(upper, y.unit))),
        (Some(lower), None) => (false, format!("at least {}", number(lower, y.unit))),
        (None, None) => return None,
    };
    Some((over, format!("{words} {}", cite(y))))
}

/// What people without complaint have, where only a middle is printed.
fn typical(y: &Yardstick) -> Option<String> {
    let words = match y.kind {
        YardstickKind::MeanOnly { mean } => format!("mean {}", number(mean, y.unit)),
        YardstickKind::Median { median } => format!("median {}", number(median, y.unit)),
        YardstickKind::RangeOfMeans { lower, upper } => format!(
            "means of {} to {}",
            number(lower, y.unit),
            number(upper, y.unit)
        ),
        _ => return None,
    };
    Some(format!("{words} in {} {}", y.population, cite(y)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use exam::{Examination, RedFlags, Story};
    use terms::Side;

    fn notes_of(story: &[(&str, &str)], foot: &[(&str, &str)]) -> Vec<String> {
        let (mut person, mut exam) = (Story::new(), Examination::new());
        story.iter().for_each(|(k, t)| person.set(k, t).unwrap());
        foot.iter().for_each(|(k, t)| exam.set(k, t).unwrap());
        let flags = RedFlags::new();
        notes(&Facts::new(Side::Left, &person, &exam, &flags))
    }

    const WOMAN: &[(&str, &str)] = &[("age_years", "58"), ("sex", "female")];

    /// Brody1982 15 mm, Beckett1992 13 mm, Mueller1993 10 mm.
    #[test]
    fn a_drop_between_three_published_limits_is_told_with_all_three() {
        let told = notes_of(WOMAN, &[("navicular_drop_mm", "12")]);
        assert!(told[0].contains("sources differ"), "{told:?}");
        assert!(
            told[0].contains("more than 10 mm (Mueller1993 r)"),
            "{told:?}"
        );
        assert!(
            told[0].contains("at most 13 mm (Beckett1992 r)"),
            "{told:?}"
        );
        assert!(told[0].contains("at most 15 mm (Brody1982 r)"), "{told:?}");
    }

    /// HebertLosier2017: women of 50 to 59, mean 21.
    #[test]
    fn a_count_is_told_against_the_decade_of_the_person() {
        let told = notes_of(WOMAN, &[("heel_rise_count", "4")]);
        assert!(
            told[0].starts_with("Single heel rises: 4 rises; "),
            "{told:?}"
        );
        assert!(
            told[0].contains("mean 21 in healthy Swedish adults"),
            "{told:?}"
        );
        assert!(told[0].contains("shown only, deciding nothing"), "{told:?}");
    }

    #[test]
    fn a_measured_count_says_so_and_an_overruled_one_that_the_answer_is_used() {
        let (mut person, mut exam) = (Story::new(), Examination::new());
        WOMAN.iter().for_each(|(k, t)| person.set(k, t).unwrap());
        let found = exam::Found::Number {
            number: 4.0,
            standard_error: 0.0,
        };
        let measured = exam::Measured {
            found,
            on: "clip".into(),
            revision: 1,
        };
        exam.measure("heel_rise_count", measured).unwrap();
        let flags = RedFlags::new();
        let told =
            |exam: &Examination| notes(&Facts::new(Side::Left, &person, exam, &flags))[0].clone();
        let as_measured = told(&exam);
        assert!(
            as_measured.starts_with("Single heel rises: 4 rises; measured; "),
            "{as_measured}"
        );
        exam.set("heel_rise_count", "6").unwrap();
        let other = told(&exam);
        let head = "Single heel rises: 6 rises; measured otherwise and the answer given is used; ";
        assert!(other.starts_with(head), "{other}");
    }

    #[test]
    fn what_was_not_measured_is_not_told() {
        assert!(notes_of(WOMAN, &[]).is_empty());
    }

    #[test]
    fn without_age_and_sex_only_rows_that_need_neither_speak() {
        let told = notes_of(&[], &[("heel_rise_count", "4")]);
        assert!(told.iter().all(|t| !t.contains("mean 21")), "{told:?}");
    }
}
