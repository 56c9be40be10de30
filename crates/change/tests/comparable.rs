//! What may be held against what.

mod shared;

use change::{Taken, WhyKind, Worn, comparable};
use quantity::Unit;
use shared::{reader, taken};
use terms::{Stance, View};

fn kinds(a: &Taken, b: &Taken, unit: Unit) -> Vec<WhyKind> {
    comparable(a, b, unit)
        .err()
        .unwrap_or_default()
        .into_iter()
        .map(|w| w.kind)
        .collect()
}

fn with(change: impl Fn(&mut Taken)) -> Taken {
    let mut t = taken();
    change(&mut t);
    t
}

#[test]
fn readings_taken_alike_are_comparable() {
    assert_eq!(comparable(&taken(), &taken(), Unit::Millimetre), Ok(()));
}

#[test]
fn each_difference_is_told_and_none_hides_another() {
    let other = with(|t| {
        t.view = Some(View::Dorsoplantar);
        t.stance = Stance::NotStanding;
        t.worn = Worn::InDevice;
        t.method_version = 2;
        t.scale = None;
        t.reader = Some(reader("Other"));
    });
    assert_eq!(
        kinds(&taken(), &other, Unit::Millimetre),
        [
            WhyKind::View,
            WhyKind::Stance,
            WhyKind::Worn,
            WhyKind::Method,
            WhyKind::Scale,
            WhyKind::TwoReaders
        ]
    );
}

#[test]
fn each_reason_is_one_sentence() {
    let other = with(|t| {
        t.stance = Stance::NotStanding;
        t.worn = Worn::InDevice;
        t.reader = Some(reader("Other"));
    });
    let words: Vec<String> = comparable(&taken(), &other, Unit::Degree)
        .expect_err("they differ")
        .into_iter()
        .map(|w| w.words)
        .collect();
    assert_eq!(
        words,
        [
            "One was not taken standing.",
            "One was taken with the foot bare and one in a device.",
            "Read by two readers: Dr Invented and Dr Other."
        ]
    );
}

#[test]
fn what_is_unknown_is_like_nothing_not_even_the_unknown() {
    for unknown in [
        with(|t| t.stance = Stance::Unknown),
        with(|t| t.worn = Worn::NotSaid),
        with(|t| t.reader = None),
        with(|t| t.scale = None),
    ] {
        assert_eq!(kinds(&taken(), &unknown, Unit::Millimetre).len(), 1);
        assert_eq!(kinds(&unknown, &unknown, Unit::Millimetre).len(), 1);
    }
}

#[test]
fn the_scale_matters_for_millimetres_and_for_films_alone() {
    let other = with(|t| t.scale = None);
    assert_eq!(kinds(&taken(), &other, Unit::Degree), []);
    assert_eq!(kinds(&taken(), &other, Unit::Ratio), []);
    let by_hand = with(|t| (t.view, t.scale) = (None, None));
    assert_eq!(kinds(&by_hand, &by_hand, Unit::Millimetre), []);
}
