//! Readings come in by their sheets: side, stance and knowledge folder.

mod common;

use common::{Foot, sound};
use knowledge::Knowledge;
use quantity::{Estimate, Unit};
use reading::{Drawing, ErrorParts, Reading, ReadingSheet};
use stage::{StageInput, StageReport, Truth, stage};
use terms::{MeasureKey, Side, Stance, View};

fn tilt(value: f64, side: Option<Side>, stance: Stance) -> ReadingSheet {
    let reading = Reading {
        measure: MeasureKey::new("talar_tilt").unwrap(),
        view: View::AnkleFront,
        side,
        estimate: Estimate::new(value, 0.5, Unit::Degree),
        error_parts: ErrorParts::default(),
        rotation_bias: 0.0,
        points_used: Vec::new(),
        method_version: 1,
        stance,
        notes: Vec::new(),
        drawing: Drawing::default(),
    };
    ReadingSheet {
        view: View::AnkleFront,
        side,
        stance,
        readings: vec![reading],
        refused: Vec::new(),
        warnings: Vec::new(),
        frame: None,
    }
}

fn staged(foot: &Foot, knowledge: &Knowledge, sheets: &[ReadingSheet]) -> StageReport {
    stage(&StageInput {
        knowledge,
        person: &foot.story,
        side: Side::Left,
        exam: &foot.exam,
        sheets,
        flags: &foot.flags,
    })
}

fn without_ankle() -> Foot {
    let mut foot = sound();
    foot.exam.clear("ankle_tilt_seen").unwrap();
    foot
}

#[test]
fn a_standing_film_of_this_foot_decides_and_that_of_the_other_foot_does_not() {
    let ankle = |side, stance| {
        staged(
            &without_ankle(),
            Knowledge::built_in(),
            &[tilt(12.0, side, stance)],
        )
    };
    assert_eq!(
        ankle(Some(Side::Left), Stance::Standing).truth("ankle_valgus"),
        Truth::True
    );
    assert_eq!(
        ankle(Some(Side::Right), Stance::Standing).truth("ankle_valgus"),
        Truth::Unknown
    );
    assert_eq!(
        ankle(Some(Side::Left), Stance::NotStanding).truth("ankle_valgus"),
        Truth::Unknown
    );
    let unsaid = ankle(None, Stance::Standing);
    assert_eq!(unsaid.truth("ankle_valgus"), Truth::Unknown);
    assert!(
        unsaid
            .notes
            .iter()
            .any(|n| n.contains("does not say which foot")),
        "{:?}",
        unsaid.notes
    );
}

#[test]
fn of_two_films_the_later_standing_one_counts() {
    let sheets = [
        tilt(1.0, Some(Side::Left), Stance::Standing),
        tilt(12.0, Some(Side::Left), Stance::Standing),
        tilt(0.0, Some(Side::Left), Stance::NotStanding),
    ];
    assert_eq!(
        staged(&without_ankle(), Knowledge::built_in(), &sheets).truth("ankle_valgus"),
        Truth::True
    );
}

#[test]
fn a_folder_without_the_cut_decides_nothing_says_so_and_still_raises_alarms() {
    let empty = Knowledge::default();
    let foot = without_ankle().and(&[("fever", "yes"), ("hot_red_swollen", "yes")]);
    let report = staged(
        &foot,
        &empty,
        &[tilt(12.0, Some(Side::Left), Stance::Standing)],
    );
    assert_eq!(report.truth("ankle_valgus"), Truth::Unknown);
    // The cut of the ankle's tilt is the criterion `co_E_tilt`, and the class is `co_E`.
    for lost in ["co_E_tilt", "co_E,", "hma-eight-in-ten"] {
        assert!(
            report.notes.iter().any(|n| n.contains(lost)),
            "{lost}: {:?}",
            report.notes
        );
    }
    assert_eq!(report.red_flags[0].key, "septic_joint");
    assert!(!report.red_flags[0].action.is_empty());
}
