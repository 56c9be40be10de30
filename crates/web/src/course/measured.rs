//! What was measured on prints, photographs and clips over the visits: each point with its own error.
//!
//! Only what stands as it was measured is held against each other; a value that the clinician wrote over it is shown
//! beside it and judged by nobody.
//!
//! Surprise: a point that a hand set on a photograph has no known reader here, so `change` answers 'cannot tell'.

use super::scores::Asked;
use change::{Reader, Seen, Taken, Verdict, Worn, Yards, line};
use exam::{Examination, Found};
use knowledge::{Knowledge, yardstick::Person};
use quantity::{Estimate, Unit, Z_975, written, written_short};
use terms::{MeasureKey, Side, Stance};

/// An answer does not carry by which version of a construction it was measured. There is one; a second one must not
/// be held against it in silence, so it has to be carried before there is.
const METHOD: u32 = {
    assert!(print::METHOD_VERSION == 1);
    print::METHOD_VERSION
};

/// Read by the program's own rules, whoever takes them over; everything else hangs on points set by a hand.
fn reader(key: &str) -> Option<Reader> {
    let own_rules = key.starts_with("arch_index") || key == "heel_rise_count";
    own_rules.then(|| Reader {
        key: "measured".to_owned(),
        name: "the program".to_owned(),
    })
}

/// The last measurement against the first that it may be compared with; `None` where there are not two days.
pub fn verdict(
    knowledge: &Knowledge,
    asked: &Asked,
    side: Side,
    key: &str,
    person: &Person,
) -> Option<Verdict> {
    let measure = MeasureKey::new(key).ok()?;
    let unit = knowledge.item(key)?.unit;
    let seen: Vec<Seen> = asked
        .exams(side)
        .filter_map(|(day, exam)| {
            Some(Seen {
                day,
                measure: measure.clone(),
                side,
                estimate: standing(exam?, key, unit)?,
                taken: Taken {
                    view: None,
                    stance: match key.ends_with("_walking") {
                        true => Stance::NotStanding,
                        false => Stance::Standing,
                    },
                    method_version: METHOD,
                    scale: None,
                    reader: reader(key),
                    // A print, and marks on the skin of the heel, are of a bare foot.
                    worn: Worn::Bare,
                },
            })
        })
        .collect();
    let first = seen.first()?;
    let last = seen.last().filter(|s| s.day > first.day)?;
    let yards = Yards::of(knowledge, &measure, person, &[]);
    let runs = line(&seen, std::slice::from_ref(&yards), None);
    let judged = match runs.as_slice() {
        [one] => one.points.last()?.against_first.clone(),
        // Not comparable among themselves: `change` says why of the first and the last.
        _ => None,
    };
    judged.or_else(|| {
        Some(change::verdict(
            first,
            last,
            &yards.for_pair(first, last),
            None,
        ))
    })
}

/// What was measured, where the answer is that.
fn standing(exam: &Examination, key: &str, unit: Unit) -> Option<Estimate> {
    match (&exam.measured(key)?.found, exam.overruled(key)) {
        (
            Found::Number {
                number,
                standard_error,
            },
            None,
        ) => Some(Estimate::new(*number, *standard_error, unit)),
        _ => None,
    }
}

pub fn any(asked: &Asked, side: Side, key: &str) -> bool {
    asked
        .exams(side)
        .any(|(_, exam)| exam.is_some_and(|e| e.measured(key).is_some()))
}

/// Day and value of every visit, what was measured with its error; visits that did not ask stand as such.
pub fn said(asked: &Asked, side: Side, key: &str, decimals: usize) -> Vec<(String, String)> {
    asked
        .exams(side)
        .map(|(day, exam)| (crate::words::short_day(day), one(exam, key, decimals)))
        .collect()
}

fn one(exam: Option<&Examination>, key: &str, decimals: usize) -> String {
    let answer = exam.and_then(|e| Some((e, e.number(key).value()?)));
    let Some((exam, value)) = answer else {
        return "not recorded".to_owned();
    };
    let value = written_short(value, decimals);
    let Some(Found::Number {
        number,
        standard_error,
    }) = exam.measured(key).map(|m| &m.found)
    else {
        return value;
    };
    let error = match *standard_error > 0.0 {
        true => format!(" ± {}", written(Z_975 * standard_error, decimals)),
        false => String::new(),
    };
    match exam.overruled(key) {
        None => format!("{value}{error}"),
        Some(_) => format!(
            "{value} (measured {}{error})",
            written_short(*number, decimals)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use exam::Measured;
    use time::macros::date;

    fn measured(key: &str, number: f64, standard_error: f64) -> Examination {
        let mut exam = Examination::new();
        let found = Found::Number {
            number,
            standard_error,
        };
        let measured = Measured {
            found,
            on: "invented".to_owned(),
            revision: 1,
        };
        exam.measure(key, measured).expect("a measurement");
        exam
    }

    fn course(key: &str, points: &[(f64, f64)]) -> Asked {
        let days = [
            date!(2026 - 01 - 10),
            date!(2026 - 05 - 12),
            date!(2026 - 11 - 20),
        ];
        let exams = points.iter().map(|(n, e)| measured(key, *n, *e));
        Asked::of_left_foot(days.into_iter().zip(exams).collect())
    }

    fn judged(key: &str, points: &[(f64, f64)]) -> Verdict {
        let person = Person {
            age_years: Some(50.0),
            sex: None,
        };
        let asked = course(key, points);
        verdict(Knowledge::built_in(), &asked, Side::Left, key, &person).expect("two days")
    }

    #[test]
    fn rises_counted_on_clips_have_changed_only_beyond_what_repeats_differ_by() {
        let key = "heel_rise_count";
        assert!(judged(key, &[(12.0, 0.0), (14.0, 0.0), (21.0, 0.0)]).changed());
        let small = judged(key, &[(12.0, 0.0), (17.0, 0.0)]);
        assert!(small.words().starts_with("No change shown"), "{small:?}");
    }

    #[test]
    fn the_own_error_of_two_points_rules_where_it_is_larger_than_the_published_yard() {
        let key = "heel_rise_count";
        let sure = judged(key, &[(10.0, 0.5), (19.0, 0.5)]);
        let unsure = judged(key, &[(10.0, 4.0), (19.0, 4.0)]);
        assert!(sure.changed() && !unsure.changed(), "{unsure:?}");
        assert_eq!(unsure.by, change::By::OwnErrors);
        assert!(unsure.smallest_shown > sure.smallest_shown);
    }

    #[test]
    fn an_index_without_a_published_yard_cannot_be_told_and_its_own_error_is_said() {
        let said = judged("arch_index_standing", &[(0.21, 0.004), (0.26, 0.004)]).words();
        assert!(
            said.starts_with("Cannot tell") && said.contains("own errors alone reach 0.011"),
            "{said}"
        );
        assert!(!said.contains("films"), "{said}");
    }

    #[test]
    fn a_value_written_over_a_measured_one_is_shown_beside_it_and_not_judged() {
        let key = "arch_index_standing";
        let mut later = measured(key, 0.26, 0.004);
        later.set(key, "0.31").expect("an answer");
        let first = (date!(2026 - 01 - 10), measured(key, 0.21, 0.004));
        let asked = Asked::of_left_foot(vec![first, (date!(2026 - 05 - 12), later)]);
        let person = Person::default();
        assert_eq!(
            verdict(Knowledge::built_in(), &asked, Side::Left, key, &person),
            None
        );
        let values: Vec<String> = said(&asked, Side::Left, key, 3)
            .into_iter()
            .map(|v| v.1)
            .collect();
        assert_eq!(values, ["0.21 ± 0.008", "0.31 (measured 0.26 ± 0.008)"]);
        assert!(any(&asked, Side::Left, key) && !any(&asked, Side::Right, key));
    }
}
