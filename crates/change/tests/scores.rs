//! Scores and stages.

mod shared;

use change::{
    Agreement, Better, ImportantChange, Levels, StepKind, important, important_changes,
    stage_course, tendon_ranks,
};
use knowledge::{Knowledge, Person};
use proptest::prelude::*;
use shared::date;

fn adult() -> Person {
    Person {
        age_years: Some(50.0),
        sex: None,
    }
}

fn pain() -> Vec<ImportantChange> {
    important_changes(Knowledge::built_in(), "pain_level", &adult())
}

/// BackMCID2021 (abstract): 1 point at a start of 1 to 4, 2 at 5 to 7, 3 to 4 at 8 to 10; error 1.77.
/// Salaffi2004 (abstract): 1 point slightly, 2 points much better.
#[test]
fn a_point_less_of_pain_matters_by_where_it_began() {
    let judged = |change, start| important(change, Some(start), &pain()).verdict;
    assert_eq!(judged(-1.0, 3.0), Agreement::All);
    assert_eq!(judged(-1.0, 6.0), Agreement::Some);
    assert_eq!(judged(-2.0, 6.0), Agreement::All);
    assert_eq!(judged(-2.0, 9.0), Agreement::Some);
    assert_eq!(
        judged(-3.0, 9.0),
        Agreement::Some,
        "between 3 and 4 it is a maybe"
    );
    assert_eq!(judged(-4.0, 9.0), Agreement::All);
    assert_eq!(judged(-0.5, 3.0), Agreement::None);
}

#[test]
fn without_the_first_value_the_rows_for_a_start_are_silent() {
    let i = important(-2.0, None, &pain());
    assert_eq!((i.verdict, i.sources), (Agreement::All, 1));
    let silent = i.voices.iter().filter(|v| v.silent.is_some()).count();
    assert_eq!(
        silent, 4,
        "three spans of a first value, and the unconfirmed one"
    );
}

#[test]
fn unconfirmed_rows_are_shown_and_never_decide() {
    let list = important_changes(Knowledge::built_in(), "foot_function_score", &adult());
    assert!(!list.is_empty());
    let i = important(-30.0, Some(60.0), &list);
    assert_eq!(i.verdict, Agreement::NotKnown);
    let words = i.words("Foot function", Better::Less);
    assert!(words.contains("no source that may decide"), "{words}");
    let sizes = i.sizes();
    assert!(
        sizes.starts_with("Shown only: ") && sizes.contains("LandorfRadford2008, unconfirmed"),
        "{sizes}"
    );
}

#[test]
fn a_change_within_the_error_of_asking_again_says_so() {
    let i = important(-1.0, Some(3.0), &pain());
    assert_eq!(i.within_error, Some(true));
    let words = i.words("Pain", Better::Less);
    assert!(words.starts_with("Pain changed by −1.0 points (better): enough to matter by all 2 sources. It does not exceed the error of asking again: 1.77 points"), "{words}");
    assert_eq!(
        important(-2.0, Some(3.0), &pain()).within_error,
        Some(false)
    );
    let worse = important(2.0, Some(3.0), &pain()).words("Pain", Better::Less);
    assert!(worse.contains("+2.0 points (worse)"), "{worse}");
}

#[test]
fn rows_carry_population_and_source() {
    let list = pain();
    assert!(
        list.iter()
            .any(|r| r.of == Levels::BeyondError && r.size == [1.77, 1.77])
    );
    assert!(list.iter().all(|r| !r.population.is_empty()));
    let much = list
        .iter()
        .find(|r| r.calls.as_deref() == Some("much better"))
        .expect("Salaffi's second grade");
    assert_eq!(
        much.words(),
        "2 points much better (Salaffi2004, abstract only, lasting pain of the musculoskeletal system)"
    );
}

#[test]
fn a_child_is_not_judged_by_adults() {
    let child = Person {
        age_years: Some(9.0),
        sex: None,
    };
    let list = important_changes(Knowledge::built_in(), "pain_level", &child);
    assert_eq!(
        important(-4.0, Some(9.0), &list).verdict,
        Agreement::NotKnown
    );
}

fn stage(key: &str) -> Option<String> {
    Some(key.to_owned())
}

#[test]
fn stages_go_on_go_back_stay_or_are_not_known() {
    let course = stage_course(
        vec![
            (date(0), stage("ts_I")),
            (date(100), stage("ts_IIA1")),
            (date(200), stage("ts_IIB")),
            (date(300), None),
            (date(400), stage("ts_I")),
            (date(500), stage("ts_I")),
        ],
        &tendon_ranks(),
    );
    let kinds: Vec<StepKind> = course.steps.iter().map(|s| s.kind).collect();
    assert_eq!(
        kinds,
        [
            StepKind::Progressed,
            StepKind::OtherOfSameRank,
            StepKind::NotKnown,
            StepKind::NotKnown,
            StepKind::Same
        ]
    );
    assert_eq!(
        course.overall.as_ref().map(|s| s.kind),
        Some(StepKind::Same)
    );
    let named = |key: &str| key.trim_start_matches("ts_").to_owned();
    assert_eq!(
        course.words(&named),
        "Stage I at the first and the last visit, from 10 Jan 2026 to 25 May 2027 (not known on 1 of 6 days)."
    );
}

#[test]
fn visits_out_of_order_are_put_in_order() {
    let course = stage_course(
        vec![(date(90), stage("ts_III")), (date(0), stage("ts_II"))],
        &tendon_ranks(),
    );
    assert_eq!(course.steps[0].kind, StepKind::Progressed);
    let back = stage_course(
        vec![(date(0), stage("ts_III")), (date(90), stage("ts_II"))],
        &tendon_ranks(),
    );
    assert_eq!(back.steps[0].kind, StepKind::WentBack);
}

#[test]
fn a_stage_of_no_rank_is_not_placed_and_one_visit_has_no_course() {
    let course = stage_course(
        vec![(date(0), stage("co_A")), (date(90), stage("ts_II"))],
        &tendon_ranks(),
    );
    assert_eq!(course.steps[0].kind, StepKind::NotKnown);
    let one = stage_course(vec![(date(0), stage("ts_I"))], &tendon_ranks());
    assert_eq!((one.steps.len(), one.overall.clone()), (0, None));
    assert!(one.words(&|k| k.into()).contains("not known"));
    assert_eq!(stage_course(vec![], &[]).days, 0);
}

/// Every key of the ranks is a criterion of the folder.
#[test]
fn the_tendon_ranks_are_stages_of_the_folder() {
    for key in tendon_ranks().iter().flatten() {
        assert!(Knowledge::built_in().criterion(key).is_some(), "{key}");
    }
}

proptest! {
    #[test]
    fn no_number_brings_a_score_down(change in prop::num::f64::ANY, start in prop::option::of(prop::num::f64::ANY)) {
        let i = important(change, start, &pain());
        prop_assert!(i.reached <= i.sources);
        prop_assert!(i.words("Pain", Better::Less).starts_with("Pain"));
        if !change.is_finite() {
            prop_assert_eq!(i.verdict, Agreement::NotKnown);
        }
    }
}
