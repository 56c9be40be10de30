//! A reading against what is published: places, probabilities, and who may decide.

use knowledge::{Applies, Knowledge, Limits, Yardstick, YardstickKind};
use quantity::{Estimate, Unit};
use reading::against::{Beyond, compare, probability_outside};
use reading::figures::{invented_film, invented_points};
use reading::{Comparison, Person, Place, Reading, Summary, against, read_all};
use terms::{MeasureKey, Sex, View};

/// A reading of `measure` with this value and standard error.
fn reading(measure: &str, value: f64, standard_error: f64) -> Reading {
    let key = MeasureKey::new(measure).expect("a good key");
    let view = Knowledge::built_in().measure(&key).expect("a measure").view;
    let sheet = read_all(
        Knowledge::built_in(),
        &invented_points(view),
        &invented_film(),
    );
    let mut reading = sheet.reading(&key).expect("read").clone();
    reading.estimate = Estimate {
        value,
        standard_error,
        ..reading.estimate
    };
    reading
}

fn adult() -> Person {
    Person {
        age_years: Some(52.0),
        sex: Some(Sex::Female),
    }
}

fn child(age: f64) -> Person {
    Person {
        age_years: Some(age),
        sex: Some(Sex::Male),
    }
}

fn compared(measure: &str, value: f64, error: f64, person: &Person) -> Comparison {
    against(
        Knowledge::built_in(),
        &reading(measure, value, error),
        person,
    )
}

/// A yardstick of the built-in folder with another kind.
fn yardstick(kind: YardstickKind) -> Yardstick {
    let knowledge = Knowledge::built_in();
    let key = MeasureKey::new("calc_pitch").expect("a good key");
    let found = knowledge
        .yardsticks(&key)
        .into_iter()
        .find(|y| y.may_decide() && y.sex.is_none());
    let mut y = found.expect("a yardstick that may decide").clone();
    (y.kind, y.age_min, y.age_max, y.printed_range, y.share) = (kind, None, None, None, None);
    y
}

fn summary(kinds: &[YardstickKind], value: f64, error: f64) -> Summary {
    let rows: Vec<Yardstick> = kinds.iter().cloned().map(yardstick).collect();
    let rows: Vec<&Yardstick> = rows.iter().collect();
    compare(&rows, &reading("calc_pitch", value, error), &adult()).summary
}

#[test]
fn the_summary_is_inside_outside_straddling_or_differing() {
    let band = |lower, upper| YardstickKind::Band { lower, upper };
    let wide = [band(10.0, 30.0)];
    assert_eq!(summary(&wide, 20.0, 1.0), Summary::Inside);
    assert_eq!(summary(&wide, 40.0, 1.0), Summary::Outside(Beyond::Above));
    assert_eq!(summary(&wide, 1.0, 1.0), Summary::Outside(Beyond::Below));
    assert_eq!(summary(&wide, 29.0, 1.0), Summary::Straddles);
    let two = [band(10.0, 18.0), band(20.0, 30.0)];
    assert_eq!(summary(&two, 25.0, 0.5), Summary::SourcesDiffer);
    assert_eq!(summary(&two, 14.0, 0.5), Summary::SourcesDiffer);
    assert_eq!(summary(&two, 40.0, 0.5), Summary::Outside(Beyond::Above));
    assert_eq!(summary(&[], 14.0, 0.5), Summary::NoYardstick);
    let mean = [YardstickKind::MeanOnly { mean: 20.0 }];
    assert_eq!(summary(&mean, 14.0, 0.5), Summary::NoYardstick);
}

/// Normal tails from a table: beyond 1 SD 0.158655, beyond 2 SD 0.022750.
#[test]
fn the_probability_of_lying_outside_is_the_normal_tail() {
    let estimate = Estimate::new(10.0, 2.0, Unit::Degree);
    let upper = Limits {
        lower: None,
        upper: Some(12.0),
    };
    assert!((probability_outside(&estimate, &upper) - 0.158_655).abs() < 1e-6);
    let both = Limits {
        lower: Some(6.0),
        upper: Some(12.0),
    };
    assert!((probability_outside(&estimate, &both) - 0.181_405).abs() < 1e-6);
    let exact = Estimate::new(10.0, 0.0, Unit::Degree);
    assert_eq!(probability_outside(&exact, &both), 0.0);
    assert_eq!(
        probability_outside(&Estimate::new(13.0, 0.0, Unit::Degree), &both),
        1.0
    );
}

#[test]
fn a_patient_group_never_applies_as_a_norm() {
    let mut groups = 0;
    for measure in ["meary_lat", "calc_pitch", "tnca"] {
        for row in compared(measure, 10.0, 1.0, &adult()).rows {
            if matches!(row.yardstick.kind, YardstickKind::Group { .. }) {
                groups += 1;
                assert!(!row.decides);
                assert!(matches!(&row.applies, Applies::No(why) if why.contains("not a norm")));
            }
        }
    }
    assert!(groups >= 3, "{groups} patient groups met");
}

/// Over all measures, values and people: what is known from memory only, picked by norms, or hard to
/// believe is shown with its reason and decides nothing.
#[test]
fn a_row_from_memory_never_decides() {
    let mut shown_only = 0;
    for view in View::ALL {
        let sheet = read_all(
            Knowledge::built_in(),
            &invented_points(view),
            &invented_film(),
        );
        for reading in &sheet.readings {
            for person in [adult(), child(6.0), child(12.0), Person::default()] {
                let comparison = against(Knowledge::built_in(), reading, &person);
                for row in &comparison.rows {
                    let y = &row.yardstick;
                    if !y.provenance.may_decide_alone()
                        || y.selected_group
                        || y.shown_only.is_some()
                    {
                        assert!(!row.decides, "{}", y.key);
                        shown_only += usize::from(row.shown_only_because.is_some());
                    }
                }
                let decided = comparison.rows.iter().any(|r| r.decides);
                assert_eq!(decided, comparison.summary != Summary::NoYardstick);
                assert_eq!(decided, comparison.band.is_some());
                assert_eq!(decided, !comparison.deciding_sources().is_empty());
            }
        }
    }
    assert!(
        shown_only > 0,
        "the folder holds rows that apply and may not decide"
    );
}

#[test]
fn a_child_is_held_against_the_printed_age_and_not_between_ages() {
    let rows = |age: f64| {
        let comparison = compared("tca_lat", 60.0, 1.0, &child(age));
        let keys: Vec<String> = comparison
            .rows
            .iter()
            .filter(|r| r.decides && r.yardstick.key.as_str().starts_with("tca_lat-age"))
            .map(|r| r.yardstick.key.to_string())
            .collect();
        (keys, comparison.summary)
    };
    // The printed means are for 0, 2, 4, 6 and 9 years; the row's own note names its printed age.
    assert_eq!(rows(3.9).0, ["tca_lat-age-4"]);
    assert_eq!(rows(7.5).0, ["tca_lat-age-6"]);
    assert_eq!(rows(8.0).0, ["tca_lat-age-9"]);
    assert_eq!(rows(15.0).0, Vec::<String>::new());
    assert_eq!(rows(6.0).1, Summary::Outside(Beyond::Above));
}

#[test]
fn without_an_age_the_rows_that_need_it_say_so_and_decide_nothing() {
    let comparison = compared("tca_lat", 60.0, 1.0, &Person::default());
    let cannot: Vec<_> = comparison
        .rows
        .iter()
        .filter(|r| matches!(r.applies, Applies::CannotTell(_)))
        .collect();
    assert!(!cannot.is_empty());
    assert!(cannot.iter().all(|r| !r.decides));
    assert!(
        comparison
            .notes
            .iter()
            .any(|n| n.contains("give the date of birth"))
    );
}

#[test]
fn sources_that_disagree_on_calcaneal_pitch_give_a_band_that_says_so() {
    // Printed cuts for a flat foot lie between 17 and 20°: 18.5° with small error is both.
    let comparison = compared("calc_pitch", 18.5, 0.05, &adult());
    let band = comparison.band.expect("sources that decide");
    assert!(band.sources_differ && band.sources >= 2, "{band:?}");
    assert_eq!(comparison.summary, Summary::SourcesDiffer);
    let places: Vec<Place> = comparison
        .rows
        .iter()
        .filter(|r| r.decides)
        .filter_map(|r| r.place)
        .collect();
    assert!(places.contains(&Place::Inside), "{places:?}");
    assert!(
        places.contains(&Place::Outside(Beyond::Below)),
        "{places:?}"
    );
}

#[test]
fn our_band_agrees_with_the_knowledge_folders_own() {
    let knowledge = Knowledge::built_in();
    for view in View::ALL {
        for measure in knowledge.measures(view) {
            for person in [adult(), child(6.0)] {
                let ours = compared(measure.key.as_str(), 10.0, 1.0, &person).band;
                let theirs = knowledge.band(&measure.key, &person);
                assert_eq!(ours.is_some(), theirs.widest.is_some(), "{}", measure.key);
                if let Some(ours) = ours {
                    assert_eq!(ours.agreed, theirs.agreed, "{}", measure.key);
                    assert_eq!(Some(ours.widest), theirs.widest, "{}", measure.key);
                    assert_eq!(
                        ours.sources_differ, theirs.sources_differ,
                        "{}",
                        measure.key
                    );
                }
            }
        }
    }
}
