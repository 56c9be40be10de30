//! Two readings: changed, no change shown, cannot tell.

mod shared;

use change::{By, Kind, Tier, Towards, Verdict, Yard, Yards, verdict};
use knowledge::{Knowledge, Person, Raters};
use proptest::prelude::*;
use quantity::{Estimate, Unit, Z_975};
use shared::{measure, own, published, reader, seen, yard_of};
use terms::{Side, Stance};

fn why(v: &Verdict) -> String {
    match &v.kind {
        Kind::CannotTell { why } => why.join(" "),
        other => panic!("{other:?}"),
    }
}

fn near(found: f64, expected: f64, within: f64) {
    assert!(
        (found - expected).abs() <= within,
        "found {found}, expected {expected}"
    );
}

/// Quantiles of Student's t as every table prints them: 2.228 at 10, 2.145 at 14, 2.042 at 30.
#[test]
fn own_repeats_are_judged_by_students_t_and_not_by_1_96() {
    for (films, t) in [(10, 2.228), (14, 2.145), (30, 2.042)] {
        let v = verdict(&seen(0, -10.0), &seen(300, -14.1), &own(films, 1.0), None);
        near(
            v.smallest_shown.expect("a yard"),
            t * std::f64::consts::SQRT_2,
            1e-3,
        );
        assert_eq!(v.degrees_of_freedom, Some(f64::from(films)));
    }
}

#[test]
fn a_change_beyond_own_repeats_is_said_with_day_size_and_yard() {
    let v = verdict(&seen(0, -10.0), &seen(300, -14.1), &own(14, 0.99), None);
    assert_eq!(
        v.kind,
        Kind::Changed {
            towards: Towards::Smaller
        }
    );
    assert_eq!(
        v.words(),
        "Changed by −4.1° since 10 Jan 2026, more than the 3.0° that error alone exceeds once in 20 (own repeats of 14 films)."
    );
}

#[test]
fn no_change_shown_says_what_would_not_have_shown_and_what_is_not_ruled_out() {
    let v = verdict(&seen(0, -10.0), &seen(300, -8.8), &own(14, 0.99), Some(2.0));
    assert_eq!(v.kind, Kind::NoChangeShown);
    let p = v.probability_larger.expect("a probability");
    // t with 14: P(T > 0.8/1.4) + P(T < −3.2/1.4), by a table 0.288 + 0.019.
    near(p, 0.307, 0.003);
    assert_eq!(
        v.words(),
        "No change shown: +1.2° since 10 Jan 2026; a change under 3.0° would not show (own repeats of 14 films). A change of more than 2.0° is not ruled out: probability 31 %."
    );
    let out = verdict(&seen(0, -10.0), &seen(300, -9.9), &own(14, 0.99), Some(6.0));
    assert!(
        out.words().contains("is ruled out with 95 %"),
        "{}",
        out.words()
    );
}

#[test]
fn the_readings_own_errors_rule_where_they_are_larger_and_it_is_said() {
    let (mut a, mut b) = (seen(0, -10.0), seen(300, -14.1));
    a.estimate.standard_error = 2.0;
    b.estimate.standard_error = 1.5;
    let v = verdict(&a, &b, &own(14, 0.5), None);
    assert_eq!(v.by, By::OwnErrors);
    near(v.smallest_shown.expect("a yard"), Z_975 * 2.5, 1e-12);
    assert_eq!(v.kind, Kind::NoChangeShown);
    assert!(
        v.cautions[0].contains("larger than the yard of 1.5°"),
        "{:?}",
        v.cautions
    );
}

#[test]
fn of_several_published_changes_the_larger_judges_and_the_band_is_shown() {
    let yard = yard_of(vec![
        published("One", 3.0, Some(Raters::Within)),
        published("Two", 5.0, Some(Raters::Within)),
        published("Three", 9.0, Some(Raters::Between)),
    ]);
    let v = verdict(&seen(0, -10.0), &seen(300, -14.1), &yard, None);
    assert_eq!(v.kind, Kind::NoChangeShown);
    assert_eq!(v.smallest_shown, Some(5.0));
    assert!(
        v.cautions
            .iter()
            .any(|c| c == "Sources differ: 3.0° to 9.0°."),
        "{:?}",
        v.cautions
    );
}

#[test]
fn what_is_shown_only_never_judges() {
    let mut row = published("Recalled", 0.5, None);
    row.shown_only = Some("unconfirmed".into());
    let yard = yard_of(vec![row]);
    assert_eq!(yard.tier(), Tier::NotKnown);
    let v = verdict(&seen(0, -10.0), &seen(300, -30.0), &yard, None);
    assert!(
        why(&v).starts_with("No published change may judge"),
        "{}",
        why(&v)
    );
    assert!(yard.words(Unit::Degree).contains("shown only: unconfirmed"));
}

#[test]
fn nine_films_are_too_few_and_ten_are_enough() {
    let judged = |films| verdict(&seen(0, -10.0), &seen(300, -30.0), &own(films, 1.0), None);
    assert!(why(&judged(9)).starts_with("Own repeats of 9 films are too few (10 needed)"));
    assert!(judged(10).changed());
}

#[test]
fn without_a_yard_the_answer_is_cannot_tell() {
    let v = verdict(&seen(0, -10.0), &seen(300, -14.1), &Yard::not_known(), None);
    assert_eq!(
        v.words(),
        "Cannot tell (the numbers differ by −4.1° since 10 Jan 2026): How far two readings of an unchanged foot differ is not known: read 10 films twice. Their own errors alone reach 0.6°."
    );
    assert_eq!((v.interval_95, v.smallest_shown), (None, None));
}

#[test]
fn two_readers_are_judged_by_a_yard_between_readers_alone() {
    let (a, mut b) = (seen(0, -10.0), seen(300, -19.0));
    b.taken.reader = Some(reader("Other"));
    assert!(why(&verdict(&a, &b, &own(30, 0.5), None)).starts_with("Two readers read them"));
    let within = yard_of(vec![published("One", 3.0, Some(Raters::Within))]);
    assert!(why(&verdict(&a, &b, &within, None)).starts_with("Two readers read them"));
    let between = yard_of(vec![
        published("One", 7.0, Some(Raters::Within)),
        published("Two", 4.0, Some(Raters::Between)),
    ]);
    let v = verdict(&a, &b, &between, None);
    assert!(v.changed());
    assert_eq!(
        v.smallest_shown,
        Some(7.0),
        "between readers is never less than within"
    );
}

#[test]
fn what_stands_between_two_readings_is_told_in_full() {
    let (a, mut b) = (seen(0, -10.0), seen(0, f64::NAN));
    b.taken.stance = Stance::NotStanding;
    b.side = Side::Right;
    b.estimate.standard_error = -1.0;
    let v = verdict(&a, &b, &own(14, 1.0), None);
    let why = why(&v);
    for part in [
        "two feet",
        "of one day",
        "not a number",
        "error of one reading is not known",
        "One was not taken standing.",
    ] {
        assert!(why.contains(part), "{part}: {why}");
    }
    assert_eq!(v.difference, None);
    assert!(v.words().starts_with("Cannot tell: "));
}

#[test]
fn a_change_and_a_yard_that_print_alike_get_more_decimals() {
    let yard = yard_of(vec![published("One", 3.0, None)]);
    let v = verdict(&seen(0, 0.0), &seen(300, 3.02), &yard, None);
    assert!(v.words().contains("+3.02° since"), "{}", v.words());
    assert!(v.words().contains("the 3.00° that"), "{}", v.words());
}

/// Hastings2011 (abstract): error within a reader 3°, at most 12° between readers; 8.3° worked out.
#[test]
fn the_folder_gives_hastings2011_within_and_between_readers() {
    let adult = Person {
        age_years: Some(50.0),
        sex: None,
    };
    let yards = Yards::of(Knowledge::built_in(), &measure("meary_lat"), &adult, &[]);
    let (a, b) = (seen(0, -10.0), seen(300, -19.0));
    let same = verdict(&a, &b, &yards.for_pair(&a, &b), None);
    assert_eq!(same.smallest_shown, Some(8.3));
    assert!(same.changed());
    let mut other = b.clone();
    other.taken.reader = Some(reader("Other"));
    let two = verdict(&a, &other, &yards.for_pair(&a, &other), None);
    assert_eq!(two.smallest_shown, Some(12.0));
    assert_eq!(two.kind, Kind::NoChangeShown);
    // The printed change takes the place of the one worked out from the same error.
    assert_eq!(yards.published.len(), 2);
}

#[test]
fn rows_for_adults_do_not_judge_a_child_or_somebody_of_unknown_age() {
    for age_years in [Some(9.0), None] {
        let person = Person {
            age_years,
            sex: None,
        };
        let yards = Yards::of(Knowledge::built_in(), &measure("meary_lat"), &person, &[]);
        assert!(!yards.published.is_empty());
        assert!(yards.published.iter().all(|p| !p.may_judge()));
    }
}

#[test]
fn copies_of_one_film_do_not_judge_two_films() {
    let adult = Person {
        age_years: Some(50.0),
        sex: None,
    };
    let yards = Yards::of(Knowledge::built_in(), &measure("nav_height"), &adult, &[]);
    let row = |key: &str| {
        yards
            .published
            .iter()
            .find(|p| p.key.as_str() == key)
            .expect("a row of the folder")
    };
    assert!(!row("nav_height-copies").may_judge());
    assert!(row("nav_height-exposures").may_judge());
    near(row("nav_height-exposures").change, 2.772 * 1.17, 1e-3);
}

#[test]
fn own_repeats_hold_for_their_reader_and_their_construction_alone() {
    let repeats = own(14, 1.0).own.expect("repeats");
    let yards = Yards {
        measure: measure("meary_lat"),
        own: vec![repeats],
        published: vec![],
    };
    let (a, b) = (seen(0, 0.0), seen(300, 9.0));
    assert_eq!(yards.for_pair(&a, &b).tier(), Tier::OwnRepeats);
    let (mut c, mut d) = (a.clone(), b.clone());
    c.taken.reader = Some(reader("Other"));
    assert_eq!(yards.for_pair(&c, &b).tier(), Tier::NotKnown);
    c = a;
    (c.taken.method_version, d.taken.method_version) = (2, 2);
    assert_eq!(yards.for_pair(&c, &d).tier(), Tier::NotKnown);
}

#[test]
fn a_spread_of_zero_or_no_number_judges_nothing() {
    for sd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(own(20, sd).tier(), Tier::NotKnown);
    }
    for change in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(
            yard_of(vec![published("One", change, None)]).tier(),
            Tier::NotKnown
        );
    }
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -100.0..100.0f64,
        1 => prop::num::f64::ANY,
    ]
}

proptest! {
    #[test]
    fn the_order_of_two_readings_does_not_matter(a in -50.0..50.0f64, b in -50.0..50.0f64, sd in 0.1..5.0f64) {
        let (x, y) = (seen(0, a), seen(90, b));
        prop_assert_eq!(verdict(&x, &y, &own(12, sd), Some(3.0)), verdict(&y, &x, &own(12, sd), Some(3.0)));
    }

    #[test]
    fn mirrored_readings_give_the_mirrored_verdict(a in -50.0..50.0f64, b in -50.0..50.0f64, sd in 0.1..5.0f64) {
        let v = verdict(&seen(0, a), &seen(90, b), &own(12, sd), Some(3.0));
        let m = verdict(&seen(0, -a), &seen(90, -b), &own(12, sd), Some(3.0));
        prop_assert_eq!(v.changed(), m.changed());
        prop_assert_eq!(v.difference.map(|d| -d), m.difference);
        let (p, q) = (v.probability_larger.expect("p"), m.probability_larger.expect("p"));
        prop_assert!((p - q).abs() < 1e-9);
    }

    #[test]
    fn the_interval_leaves_zero_out_where_and_only_where_it_has_changed(
        b in -20.0..20.0f64, sd in 0.05..5.0f64, e in 0.0..5.0f64,
    ) {
        let mut y = seen(90, b);
        y.estimate.standard_error = e;
        let x = seen(0, 0.0);
        let v = verdict(&x, &y, &own(12, sd), None);
        let [low, high] = v.interval_95.expect("an interval");
        prop_assert_eq!(v.changed(), low > 0.0 || high < 0.0);
        let smallest = v.smallest_shown.expect("a yard");
        prop_assert!(smallest >= own(12, sd).own.expect("own").smallest_change());
        prop_assert!(smallest >= Z_975 * 0.2f64.hypot(e) - 1e-12);
    }

    #[test]
    fn no_number_brings_it_down(
        a in any_number(), b in any_number(), e in any_number(), sd in any_number(),
        size in prop::option::of(any_number()), films in 0u32..40, days in 0i64..3,
    ) {
        let (x, mut y) = (seen(0, a), seen(days, b));
        y.estimate = Estimate::new(b, e, Unit::Degree);
        let mut yard = own(films, sd);
        yard.published.push(published("One", size.unwrap_or(1.0), None));
        let v = verdict(&x, &y, &yard, size);
        prop_assert!(!v.words().is_empty());
        if let Some(p) = v.probability_larger {
            prop_assert!((0.0..=1.0).contains(&p));
        }
    }
}
