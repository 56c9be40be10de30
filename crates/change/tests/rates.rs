//! A straight line through visits.

mod shared;

use change::{Residual, Seen, Yard, rate};
use proptest::prelude::*;
use shared::{own, published, reader, seen, yard_of};

/// Four years of 365.25 days.
const FOUR: i64 = 1461;

fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-4 * expected.abs(),
        "found {found}, expected {expected}"
    );
}

/// By hand: 0, 1, 3 at 0, 4, 8 years; slope 0.375, residual sum of squares 1/6, standard error
/// √(1/6 / 32) = 0.072169, t(0.975; 1) = 12.7062.
#[test]
fn three_visits_that_scatter_give_the_textbook_line_with_t_of_one_degree() {
    let visits = [seen(0, 0.0), seen(FOUR, 1.0), seen(2 * FOUR, 3.0)];
    let rate = rate(&visits, &own(14, 1e-3)).expect("three visits");
    near(rate.per_year, 0.375);
    assert!(!rate.known_error_rules);
    assert_eq!(rate.degrees_of_freedom, Some(1.0));
    near(rate.interval_95[1] - rate.per_year, 12.7062 * 0.072_168_8);
}

/// By hand: visits on one line; the own repeats rule: t(0.975; 14) · 0.8 / √32 = 2.14479 · 0.141421.
#[test]
fn visits_that_scatter_less_than_the_known_error_are_judged_by_the_error() {
    let visits = [seen(0, 0.0), seen(FOUR, 1.0), seen(2 * FOUR, 2.0)];
    let rate = rate(&visits, &own(14, 0.8)).expect("three visits");
    assert!(rate.known_error_rules);
    assert_eq!((rate.visit_sd, rate.degrees_of_freedom), (0.0, Some(14.0)));
    near(rate.interval_95[1] - rate.per_year, 2.144_787 * 0.141_421_4);
    assert_eq!(rate.residual, Residual::OwnRepeats { sd: 0.8, films: 14 });
}

#[test]
fn the_readings_own_errors_are_never_undercut() {
    let mut visits = [seen(0, 0.0), seen(FOUR, 1.0), seen(2 * FOUR, 2.0)];
    for v in &mut visits {
        v.estimate.standard_error = 2.0;
    }
    let half = |yard: &Yard| {
        let r = rate(&visits, yard).expect("three visits");
        r.interval_95[1] - r.per_year
    };
    near(half(&Yard::not_known()), 1.959_964 * 2.0 / 32f64.sqrt());
    near(
        half(&yard_of(vec![published("One", 0.1, None)])),
        half(&Yard::not_known()),
    );
}

#[test]
fn enough_repeats_in_the_run_give_their_own_spread() {
    let mut visits: Vec<Seen> = Vec::new();
    for v in 0..4 {
        for (i, e) in [-1.0, 0.5, 1.0, -0.5].into_iter().enumerate() {
            let wave = if v % 2 == 0 { 0.4 } else { -0.4 };
            visits.push(seen(365 * v, -8.0 - v as f64 + wave + e + 0.01 * i as f64));
        }
    }
    let r = rate(&visits, &Yard::not_known()).expect("four visits");
    assert!(
        matches!(r.residual, Residual::Repeats { degrees_of_freedom, .. } if degrees_of_freedom == 12.0),
        "{r:?}"
    );
    assert_eq!((r.visits, r.readings), (4, 16));
    assert!(r.per_year < -0.7 && r.per_year > -1.4, "{r:?}");
}

#[test]
fn a_rate_is_said_with_its_interval_and_its_visits() {
    let visits = [
        seen(0, 0.0),
        seen(FOUR, -4.1),
        seen(2 * FOUR, -8.0),
        seen(3 * FOUR, -12.0),
    ];
    let words = rate(&visits, &own(14, 0.8)).expect("visits").words();
    assert_eq!(
        words,
        "Changes by −1.0° a year (95 %: −1.2° to −0.8°); 4 readings of 4 visits from 10 Jan 2026 to 10 Jan 2038."
    );
    let level = [seen(0, 0.0), seen(400, 0.6), seen(800, 0.1)];
    let r = rate(&level, &own(14, 0.8)).expect("visits");
    assert!(!r.shown());
    assert!(
        r.words().starts_with("No steady change shown: "),
        "{}",
        r.words()
    );
    assert!(r.cautions.iter().any(|c| c.starts_with("Three visits")));
}

#[test]
fn a_short_time_is_told() {
    let r = rate(&[seen(0, 0.0), seen(30, 0.5), seen(60, 0.1)], &own(14, 0.8)).expect("visits");
    assert!(
        r.cautions
            .iter()
            .any(|c| c.starts_with("Seen over 60 days only")),
        "{:?}",
        r.cautions
    );
}

#[test]
fn what_gives_no_rate_says_why_in_a_sentence() {
    let yard = own(14, 0.8);
    let why = |seen: &[Seen], yard: &Yard| rate(seen, yard).expect_err("no rate");
    assert_eq!(why(&[], &yard), "No rate: there is no reading.");
    assert_eq!(
        why(&[seen(0, 1.0)], &yard),
        "No rate: it needs three visits, and there is one."
    );
    // Three readings of two days are two visits.
    let two = [seen(0, 1.0), seen(0, 2.0), seen(9, 1.0)];
    assert_eq!(
        why(&two, &yard),
        "No rate: it needs three visits, and there are 2."
    );
    let mut other = seen(9, 1.0);
    other.taken.reader = Some(reader("Other"));
    assert!(why(&[seen(0, 1.0), other], &yard).contains("Read by two readers"));
    let nan = [seen(0, 1.0), seen(5, f64::NAN), seen(9, 1.0)];
    assert_eq!(
        why(&nan, &yard),
        "No rate: a reading or its error is not a number."
    );
    let mut exact = [seen(0, 0.0), seen(FOUR, 1.0), seen(2 * FOUR, 2.0)];
    for s in &mut exact {
        s.estimate.standard_error = 0.0;
    }
    assert_eq!(
        why(&exact, &Yard::not_known()),
        "No rate: the readings have no error to judge a line by."
    );
}

fn visits() -> impl Strategy<Value = Vec<(i64, f64)>> {
    prop::collection::vec((0i64..2000, -20.0..20.0f64), 3..12).prop_filter("three days", |v| {
        let days: std::collections::BTreeSet<i64> = v.iter().map(|x| x.0).collect();
        days.len() >= 3
    })
}

fn of(rows: &[(i64, f64)], f: impl Fn(i64, f64) -> (i64, f64)) -> Vec<Seen> {
    rows.iter()
        .map(|(d, v)| {
            let (d, v) = f(*d, *v);
            seen(d, v)
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn a_shift_of_all_readings_leaves_the_rate_and_a_mirror_turns_it(rows in visits(), shift in -30.0..30.0f64) {
        let yard = own(14, 0.8);
        let plain = rate(&of(&rows, |d, v| (d, v)), &yard).expect("a rate");
        let half = plain.interval_95[1] - plain.per_year;
        for (other, sign) in [
            (rate(&of(&rows, |d, v| (d, v + shift)), &yard), 1.0),
            (rate(&of(&rows, |d, v| (d, -v)), &yard), -1.0),
            (rate(&of(&rows, |d, v| (3000 - d, v)), &yard), -1.0),
        ] {
            let other = other.expect("a rate");
            prop_assert!((other.per_year - sign * plain.per_year).abs() < 1e-6 * half);
            prop_assert!((other.interval_95[1] - other.per_year - half).abs() < 1e-5 * half);
        }
    }

    #[test]
    fn the_interval_is_never_narrower_than_the_known_error_gives(rows in visits(), sd in 0.01..5.0f64) {
        let wide = rate(&of(&rows, |d, v| (d, v)), &own(14, sd)).expect("a rate");
        let n = rows.len() as f64;
        let mean = rows.iter().map(|r| r.0 as f64 / 365.25).sum::<f64>() / n;
        let spread: f64 = rows.iter().map(|r| (r.0 as f64 / 365.25 - mean).powi(2)).sum();
        let known = 2.144_787 * sd / spread.sqrt();
        prop_assert!(wide.interval_95[1] - wide.per_year >= known * (1.0 - 1e-6));
    }

    #[test]
    fn no_number_brings_it_down(rows in prop::collection::vec((0i64..5, prop::num::f64::ANY, prop::num::f64::ANY), 0..9), sd in prop::num::f64::ANY) {
        let readings: Vec<Seen> = rows
            .iter()
            .map(|(d, v, e)| {
                let mut s = seen(*d, *v);
                s.estimate.standard_error = *e;
                s
            })
            .collect();
        match rate(&readings, &own(14, sd)) {
            Ok(r) => prop_assert!(r.interval_95[0] <= r.interval_95[1] && !r.words().is_empty()),
            Err(why) => prop_assert!(why.starts_with("No rate: ") && why.ends_with('.')),
        }
    }
}
