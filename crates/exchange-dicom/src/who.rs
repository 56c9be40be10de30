//! Whose film is this? From what a header says to one patient of the practice, or to a reason why it has to wait.
//!
//! Only the chart number decides. Name and birth date can take a match back, never make one: two people share a
//! name more often than a clerk believes. A film that waits is put to a person by a person.

use crate::facts::HeaderFacts;
use record::{Patient, PatientId, fold};
use std::collections::BTreeSet;
use time::Date;

/// What the header leads to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whose {
    Matched(PatientId),
    /// Nobody, or more than one; the sentence says why and what to do.
    Waiting(String),
    /// The number is somebody's, and something else of the header is not.
    Contradicts {
        patient: PatientId,
        what: String,
    },
}

/// Who gives numbers here.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NumberRules {
    /// Names under which the practice's own numbers come back from outside (Issuer of Patient ID). A number that
    /// names another issuer is not the practice's, even where it looks the same.
    pub issuers: Vec<String>,
}

/// The one form in which chart numbers are compared: no blanks around it, capitals as small letters.
pub fn folded_number(text: &str) -> String {
    text.trim().to_lowercase()
}

/// Finds the patient. `with_number` answers everybody whose [`folded_number`] is the one asked for.
pub fn whose(
    facts: &HeaderFacts,
    rules: &NumberRules,
    with_number: impl FnOnce(&str) -> Vec<Patient>,
) -> Whose {
    let wait = |why: &str| Whose::Waiting(why.to_owned());
    let number = facts
        .patient_id
        .as_deref()
        .map(folded_number)
        .filter(|n| !n.is_empty());
    let Some(number) = number else {
        return wait(
            "The film carries no patient number; a name alone never decides: choose the patient by hand.",
        );
    };
    if let Some(issuer) = &facts.issuer
        && !rules
            .issuers
            .iter()
            .any(|ours| folded_number(ours) == folded_number(issuer))
    {
        return wait(
            "The film's patient number was given by another house; choose the patient by hand.",
        );
    }
    // The lookup's word is not taken for what its database holds to be the same.
    let found: Vec<Patient> = with_number(&number)
        .into_iter()
        .filter(|p| folded_number(&p.chart_number) == number)
        .collect();
    let patient = match found.as_slice() {
        [] => {
            return wait(
                "No patient has the number that the film carries; choose or enter the patient by hand.",
            );
        }
        [one] => one,
        _ => {
            return wait(
                "More than one patient has the number that the film carries; choose by hand and mend the numbers.",
            );
        }
    };
    match contradiction(facts, patient) {
        None => Whose::Matched(patient.id),
        Some(what) => Whose::Contradicts {
            patient: patient.id,
            what: what.to_owned(),
        },
    }
}

fn contradiction(facts: &HeaderFacts, patient: &Patient) -> Option<&'static str> {
    let differs = |a: Option<Date>, b: Option<Date>| matches!((a, b), (Some(a), Some(b)) if a != b);
    let birth = differs(facts.birth_date, patient.born_on);
    let name = facts
        .name
        .as_deref()
        .is_some_and(|name| !same_person(name, patient));
    if birth && name {
        return Some(
            "The number is a patient's, but the film carries another name and another birth date; choose by hand.",
        );
    }
    if birth {
        return Some(
            "The number is a patient's, but the film carries another birth date; check both and choose by hand.",
        );
    }
    if name {
        return Some(
            "The number is a patient's, but the film carries another name; check both and choose by hand.",
        );
    }
    if let (Some(taken), Some(born)) = (facts.study_date, patient.born_on)
        && taken < born
    {
        return Some(
            "The film was taken before the patient with its number was born; check both and choose by hand.",
        );
    }
    None
}

fn words(text: &str) -> BTreeSet<String> {
    fold(text)
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

/// Family names share all words of the shorter one, and given names share a word or an initial. The two may have
/// been exchanged by whoever typed them.
fn same_person(written: &str, patient: &Patient) -> bool {
    let mut parts = written.split('^');
    let family = words(parts.next().unwrap_or_default());
    let given = words(&parts.take(2).collect::<Vec<_>>().join(" "));
    let (our_family, our_given) = (words(&patient.family_name), words(&patient.given_name));
    if given.is_empty() && our_given.is_empty() {
        return family_fits(&family, &our_family);
    }
    if given.is_empty() || our_given.is_empty() || family.is_empty() || our_family.is_empty() {
        // All in one part, as some consoles write it: every word that we know must stand there, or the reverse.
        let all: BTreeSet<_> = family.union(&given).cloned().collect();
        let ours: BTreeSet<_> = our_family.union(&our_given).cloned().collect();
        return !all.is_empty() && (ours.is_subset(&all) || all.is_subset(&ours));
    }
    (family_fits(&family, &our_family) && given_fits(&given, &our_given))
        || (family_fits(&given, &our_family) && given_fits(&family, &our_given))
}

fn family_fits(a: &BTreeSet<String>, b: &BTreeSet<String>) -> bool {
    !a.is_empty() && !b.is_empty() && (a.is_subset(b) || b.is_subset(a))
}

fn given_fits(a: &BTreeSet<String>, b: &BTreeSet<String>) -> bool {
    let initial = |w: &String| w.chars().count() == 1;
    a.iter().any(|x| {
        b.iter().any(|y| {
            x == y
                || (initial(x) && y.starts_with(x.as_str()))
                || (initial(y) && x.starts_with(y.as_str()))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;
    use uuid::Uuid;

    fn patient() -> Patient {
        Patient {
            id: PatientId::new(Uuid::from_u128(7)),
            chart_number: "T-0042".into(),
            given_name: "Anna Maria".into(),
            family_name: "Müller-Invented".into(),
            born_on: Some(date!(1961 - 03 - 04)),
            sex: None,
            note: String::new(),
        }
    }

    fn facts(number: &str, name: &str) -> HeaderFacts {
        HeaderFacts {
            patient_id: Some(number.into()),
            name: (!name.is_empty()).then(|| name.into()),
            birth_date: Some(date!(1961 - 03 - 04)),
            ..HeaderFacts::default()
        }
    }

    fn asked(facts: &HeaderFacts) -> Whose {
        whose(facts, &NumberRules::default(), |_| vec![patient()])
    }

    #[test]
    fn the_number_decides_and_its_capitals_and_blanks_do_not_matter() {
        for number in ["T-0042", " t-0042 "] {
            let whose = asked(&facts(number, "Muller-Invented^Anna"));
            assert_eq!(whose, Whose::Matched(patient().id), "{number}");
        }
    }

    #[test]
    fn a_number_that_is_nearly_the_same_is_another_number() {
        for number in ["T-042", "T0042", "0042", "T-00420"] {
            assert!(
                matches!(asked(&facts(number, "")), Whose::Waiting(_)),
                "{number}"
            );
        }
    }

    #[test]
    fn a_name_alone_never_matches() {
        let mut nameless = facts("", "Müller-Invented^Anna Maria");
        assert!(matches!(asked(&nameless), Whose::Waiting(_)));
        nameless.patient_id = None;
        assert!(matches!(asked(&nameless), Whose::Waiting(_)));
    }

    #[test]
    fn ways_of_writing_the_same_name_do_not_contradict() {
        for name in [
            "MUELLER-INVENTED^ANNA",
            "MULLER INVENTED^A^M",
            "Müller^Anna",
            "Anna^Müller-Invented",
            "Müller-Invented Anna",
        ] {
            let result = asked(&facts("T-0042", name));
            // An umlaut written out is another word: it waits rather than being guessed at.
            if name.starts_with("MUELLER") {
                assert!(matches!(result, Whose::Contradicts { .. }));
            } else {
                assert_eq!(result, Whose::Matched(patient().id), "{name}");
            }
        }
    }

    #[test]
    fn another_name_or_birth_date_takes_the_match_back_and_says_so_without_repeating_them() {
        let other = asked(&facts("T-0042", "Someone^Else"));
        let Whose::Contradicts { what, .. } = other else {
            panic!("{other:?}");
        };
        assert!(what.contains("another name") && !what.contains("Someone"));
        let mut younger = facts("T-0042", "Müller-Invented^Anna");
        younger.birth_date = Some(date!(1962 - 03 - 04));
        assert!(matches!(asked(&younger), Whose::Contradicts { .. }));
    }

    #[test]
    fn a_number_of_another_house_waits_unless_the_house_is_known() {
        let mut outside = facts("T-0042", "");
        outside.issuer = Some("Elsewhere".into());
        assert!(matches!(asked(&outside), Whose::Waiting(_)));
        let rules = NumberRules {
            issuers: vec!["ELSEWHERE".into()],
        };
        assert_eq!(
            whose(&outside, &rules, |_| vec![patient()]),
            Whose::Matched(patient().id)
        );
    }

    #[test]
    fn two_patients_with_one_number_leave_the_choice_to_a_person() {
        let whose = whose(&facts("T-0042", ""), &NumberRules::default(), |_| {
            vec![patient(), patient()]
        });
        assert!(matches!(whose, Whose::Waiting(_)));
    }

    #[test]
    fn a_film_from_before_the_birth_is_not_the_patients() {
        let mut early = facts("T-0042", "");
        early.birth_date = None;
        early.study_date = Some(date!(1950 - 01 - 01));
        assert!(matches!(asked(&early), Whose::Contradicts { .. }));
    }
}
