//! A row of visits, parted into runs; and the days around an event.

mod shared;

use change::{Kind, Meaning, Seen, Worn, Yards, before_after, comparable, line};
use proptest::prelude::*;
use shared::{date, measure, own, published, reader, seen};
use terms::{Side, Stance};

fn yards() -> Vec<Yards> {
    vec![Yards {
        measure: measure("meary_lat"),
        own: own(14, 1.0).own.into_iter().collect(),
        published: vec![published("Two", 6.0, Some(knowledge::Raters::Between))],
    }]
}

fn by(reader_key: &str, mut s: Seen) -> Seen {
    s.taken.reader = Some(reader(reader_key));
    s
}

fn wearing(worn: Worn, mut s: Seen) -> Seen {
    s.taken.worn = worn;
    s
}

#[test]
fn comparable_readings_are_one_run_judged_against_the_first_and_the_previous() {
    let runs = line(
        &[seen(0, -10.0), seen(200, -12.0), seen(400, -14.1)],
        &yards(),
        None,
    );
    assert_eq!(runs.len(), 1);
    let run = &runs[0];
    assert_eq!(run.visits(), 3);
    assert!(run.apart.is_empty() && run.across.is_none());
    assert!(run.points[0].against_first.is_none());
    let last = &run.points[2];
    assert!(last.against_first.as_ref().is_some_and(|v| v.changed()));
    assert_eq!(
        last.against_previous.as_ref().map(|v| v.kind.clone()),
        Some(Kind::NoChangeShown)
    );
}

#[test]
fn two_readers_who_take_turns_make_two_runs_and_the_break_says_why() {
    let seen = [
        seen(0, -10.0),
        by("Other", seen(100, -19.0)),
        seen(200, -10.5),
        by("Other", seen(300, -19.5)),
    ];
    let runs = line(&seen, &yards(), None);
    assert_eq!(
        runs.iter().map(|r| r.points.len()).collect::<Vec<_>>(),
        [2, 2]
    );
    assert_eq!(
        runs[1].apart[0].words,
        "Read by two readers: Dr Invented and Dr Other."
    );
    let across = runs[1].across.as_ref().expect("the last before the break");
    assert!(
        across.changed(),
        "a yard between readers judges across the break"
    );
}

#[test]
fn feet_and_measures_are_never_mixed_and_an_unknown_stance_stands_alone() {
    let mut right = seen(100, 3.0);
    right.side = Side::Right;
    let mut pitch = seen(100, 20.0);
    pitch.measure = measure("calc_pitch");
    let mut unsaid = seen(100, -11.0);
    unsaid.taken.stance = Stance::Unknown;
    let runs = line(
        &[seen(0, -10.0), right, pitch, unsaid.clone(), unsaid],
        &yards(),
        None,
    );
    assert_eq!(runs.len(), 5);
    assert!(runs.iter().all(|r| r.points.len() == 1));
}

#[test]
fn readings_of_one_day_are_not_held_against_each_other() {
    let runs = line(
        &[seen(0, -10.0), seen(0, -14.0), seen(90, -10.0)],
        &yards(),
        None,
    );
    let points = &runs[0].points;
    assert!(points[1].against_first.is_none() && points[1].against_previous.is_none());
    let previous = points[2].against_previous.as_ref().expect("an earlier day");
    assert_eq!(previous.difference, Some(4.0));
}

#[test]
fn many_comparisons_with_the_first_carry_a_caution() {
    let visits = |n: i64| -> Vec<Seen> { (0..n).map(|i| seen(90 * i, -10.0)).collect() };
    assert_eq!(line(&visits(3), &yards(), None)[0].caution(), None);
    let caution = line(&visits(6), &yards(), None)[0]
        .caution()
        .expect("a caution");
    assert!(caution.starts_with("5 readings are held against the first"));
}

#[test]
fn nothing_seen_gives_nothing() {
    assert_eq!(line(&[], &yards(), None), []);
    assert_eq!(
        before_after(&[], date(0), Worn::InDevice, &yards(), None),
        []
    );
}

#[test]
fn before_and_after_take_the_last_before_and_the_first_and_latest_after() {
    let all = [
        seen(0, -10.0),
        seen(50, -11.0),
        seen(120, -6.0),
        seen(400, -5.5),
    ];
    let rows = before_after(&all, date(100), Worn::Bare, &yards(), None);
    assert_eq!(rows.len(), 1);
    let (first, latest) = (
        rows[0].first.as_ref().expect("a pair"),
        rows[0].latest.as_ref().expect("a pair"),
    );
    assert_eq!((first.before.day, first.after.day), (date(50), date(120)));
    assert_eq!(latest.after.day, date(400));
    assert!(first.verdict.changed() && !first.verdict.worn_effect);
}

#[test]
fn a_reading_in_a_device_is_an_effect_of_wearing_and_no_change() {
    let all = [
        seen(0, -10.0),
        wearing(Worn::InDevice, seen(100, -5.0)),
        seen(300, -10.4),
        wearing(Worn::InDevice, seen(300, -6.0)),
    ];
    let rows = before_after(&all, date(100), Worn::InDevice, &yards(), None);
    assert_eq!(
        rows.iter().map(|r| r.meaning).collect::<Vec<_>>(),
        [Meaning::Change, Meaning::EffectOfWearing]
    );
    let bare = rows[0].first.as_ref().expect("bare and bare");
    assert_eq!(bare.verdict.kind, Kind::NoChangeShown);
    let worn = &rows[1];
    let first = worn.first.as_ref().expect("bare and worn");
    assert_eq!(first.before.day, date(0));
    assert!(
        first
            .verdict
            .words()
            .starts_with("Effect of wearing it: +5.0° against 10 Jan 2026"),
        "{}",
        first.verdict.words()
    );
    let latest = worn.latest.as_ref().expect("the later pair");
    assert_eq!(
        latest.before.day,
        date(300),
        "the bare reading of the same day is nearest"
    );
    assert!(latest.verdict.worn_effect);
}

#[test]
fn a_row_without_a_partner_says_why() {
    let mut lying = seen(50, -10.0);
    lying.taken.stance = Stance::NotStanding;
    let rows = before_after(
        &[lying, seen(200, -12.0)],
        date(100),
        Worn::Bare,
        &yards(),
        None,
    );
    assert!(rows[0].first.is_none());
    assert_eq!(
        rows[0].notes,
        ["No two readings are comparable. One was not taken standing."]
    );
    let rows = before_after(&[seen(200, -12.0)], date(100), Worn::Bare, &yards(), None);
    assert_eq!(
        rows[0].notes,
        ["There is no bare reading up to 20 Apr 2026."]
    );
    let unsaid = wearing(Worn::NotSaid, seen(0, 1.0));
    let rows = before_after(&[unsaid], date(100), Worn::Bare, &yards(), None);
    assert!(rows[0].notes[0].starts_with("Left out") || rows[0].notes[1].starts_with("Left out"));
}

proptest! {
    #[test]
    fn every_reading_stands_in_one_run_of_its_like(
        rows in prop::collection::vec((0i64..400, -20.0..20.0f64, 0usize..3, 0usize..4, any::<bool>()), 0..20)
    ) {
        let all: Vec<Seen> = rows
            .iter()
            .map(|(day, v, who, worn, right)| {
                let mut s = by(["A", "B", "C"][*who], seen(*day, *v));
                s.taken.worn = [Worn::Bare, Worn::InShoe, Worn::InDevice, Worn::NotSaid][*worn];
                if *right { s.side = Side::Right }
                s
            })
            .collect();
        let runs = line(&all, &yards(), Some(2.0));
        prop_assert_eq!(runs.iter().map(|r| r.points.len()).sum::<usize>(), all.len());
        for run in &runs {
            let seen = run.seen();
            prop_assert!(seen.windows(2).all(|p| p[0].day <= p[1].day));
            for s in &seen[1..] {
                prop_assert!(comparable(&seen[0].taken, &s.taken, run.unit).is_ok());
            }
        }
        prop_assert!(before_after(&all, date(200), Worn::InDevice, &yards(), None).len() <= 4);
    }
}
