//! Left and right prints that touch. Everything is invented.

mod common;

use common::{misses, picture, through, true_values};
use phantom::print::{PaperSpec, PrintOutline, PrintSheet, PrintSpec, side_by_side};
use print::{
    Divide, Doubt, Index, Medium, PrintError, Scaling, Sheet, Step, Steps, Wish, find, read,
};
use terms::Side;

fn pair(seed: u64) -> [PrintSpec; 2] {
    [Side::Left, Side::Right].map(|side| PrintSpec {
        side,
        ..PrintSpec::random(seed)
    })
}

fn paper() -> PaperSpec {
    PaperSpec {
        width_mm: 300.0,
        height_mm: 300.0,
        mm_per_cell: 0.25,
        noise: 4.0,
        ..PaperSpec::default()
    }
}

fn standing(seed: u64, overlap: f64) -> PrintSheet {
    let toes_out = [0.0, 4.0, -3.0, 8.0][seed as usize % 4];
    let ahead = [0.0, 12.0, -20.0][seed as usize % 3];
    side_by_side(&pair(seed), overlap, toes_out, ahead, &paper())
}

/// What is parted states an error that holds the truth; what is not parted surely is said. Nothing is one foot in
/// silence.
#[test]
fn prints_over_each_other_by_up_to_eight_millimetres_are_parted_or_a_line_is_asked_for() {
    let (mut held, mut all) = (0, 0);
    for overlap in [0.0, 2.0, 4.0, 6.0, 8.0] {
        let (mut parted, mut asked, mut broad) = (0, 0, 0);
        for seed in 0..8 {
            let made = standing(seed, overlap);
            match through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity) {
                Ok((_, steps, readings)) if readings.feet.len() == 2 => {
                    parted += 1;
                    for (foot, spec) in readings.feet.iter().zip(&pair(seed)) {
                        assert_eq!(foot.side, spec.side, "seed {seed}, {overlap} mm");
                        for (index, wanted) in true_values(&PrintOutline::new(spec).truth()) {
                            all += 1;
                            let (low, high) = foot.of(index).unwrap().estimate.interval_95();
                            held += usize::from((low..=high).contains(&wanted));
                        }
                    }
                    let told = |f: &print::FootSteps| f.doubts.contains(&Doubt::PartedByALine);
                    assert!(steps.divide.is_none() || steps.feet.iter().all(told));
                }
                Ok((_, steps, _)) => {
                    broad += 1;
                    let doubts = &steps.feet[0].doubts;
                    assert!(
                        doubts.contains(&Doubt::BroadForOneFoot),
                        "seed {seed}, {overlap} mm: {doubts:?}"
                    );
                }
                Err(error) => {
                    asked += 1;
                    assert_eq!(error, PrintError::FeetTouch, "seed {seed}, {overlap} mm");
                }
            }
        }
        println!("{overlap} mm: {parted} parted, {asked} asked for, {broad} told too broad");
        assert!(
            overlap > 2.0 || parted >= 6,
            "{overlap} mm: only {parted} of 8"
        );
    }
    println!("{held} of {all} held");
    assert!(held as f64 >= 0.93 * f64::from(all), "{held} of {all}");
}

#[test]
fn where_two_balls_lie_over_each_other_the_arch_index_stays_within_two_percent() {
    let feet = [Side::Left, Side::Right].map(PrintSpec::plain);
    for overlap in [0.0, 2.0, 4.0, 6.0, 8.0] {
        let made = side_by_side(&feet, overlap, 6.0, 0.0, &paper());
        let (_, steps, readings) =
            through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity)
                .unwrap_or_else(|e| panic!("{overlap} mm: {e}"));
        let divide = steps.divide.as_ref().unwrap();
        assert!(!divide.is_by_hand());
        for (foot, spec) in readings.feet.iter().zip(&feet) {
            let (_, miss) = misses(foot, &PrintOutline::new(spec).truth())[0];
            assert!(miss.abs() < 0.02, "{overlap} mm: {:.2} %", 100.0 * miss);
            // What the line hides of the ball is lost, and stated.
            let ball = foot.of(Index::BallWidth).unwrap().estimate;
            let (low, high) = ball.interval_95();
            let wanted = PrintOutline::new(spec).truth().ball_width;
            assert!(
                (low..=high).contains(&wanted),
                "{overlap} mm: {ball} for {wanted:.1}"
            );
        }
        let again = Steps::from_json(&steps.to_json()).unwrap();
        assert_eq!(again, steps);
    }
}

#[test]
fn a_line_set_by_hand_parts_what_is_not_parted_surely() {
    let feet = [Side::Left, Side::Right].map(PrintSpec::plain);
    let made = side_by_side(&feet, 22.0, 0.0, 0.0, &paper());
    let picture = picture(&made);
    let sheet = Sheet::of_picture(&picture, Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    let error = find(&sheet, &Wish::default()).unwrap_err();
    assert_eq!(error, PrintError::FeetTouch);
    assert!(
        error
            .to_string()
            .contains("set a line between them by hand")
    );
    let by_hand = |line| Wish {
        divide: Some(line),
        ..Wish::default()
    };
    let steps = find(&sheet, &by_hand([[600.0, 100.0], [600.0, 1100.0]])).unwrap();
    let divide = steps.divide.clone().unwrap();
    assert!(
        divide.is_by_hand() && divide.is.standard_error_cells > 10.0,
        "{divide:?}"
    );
    let readings = read(&sheet, &steps).unwrap();
    let sides: Vec<Side> = readings.feet.iter().map(|f| f.side).collect();
    assert_eq!(sides, [Side::Left, Side::Right]);
    let truth = PrintOutline::new(&feet[0]).truth();
    let ball = readings.feet[0].of(Index::BallWidth).unwrap().estimate;
    let (low, high) = ball.interval_95();
    assert!((low..=high).contains(&truth.ball_width), "{ball}");
    // Moving the line afterwards moves the numbers.
    let mut moved = steps.clone();
    moved.divide = Some(Step::by_hand(Divide {
        line: [[612.0, 100.0], [612.0, 1100.0]],
        ..divide.is
    }));
    let other = read(&sheet, &moved).unwrap();
    let wider = other.feet[0].of(Index::BallWidth).unwrap().estimate.value;
    assert!(
        (wider - ball.value - 3.0).abs() < 0.5,
        "{wider} after {ball}"
    );
}

#[test]
fn a_line_by_hand_that_parts_no_two_feet_is_refused_with_a_sentence() {
    let feet = [Side::Left, Side::Right].map(PrintSpec::plain);
    let made = side_by_side(&feet, 4.0, 0.0, 0.0, &paper());
    let sheet =
        Sheet::of_picture(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    for line in [
        [[5.0, 5.0], [5.0, 5.0]],
        [[f64::NAN, 0.0], [600.0, 900.0]],
        [[1e9, 0.0], [600.0, 900.0]],
        [[0.0, 10.0], [1200.0, 10.0]],
        [[0.0, 1000.0], [1200.0, 1000.0]],
    ] {
        let wish = Wish {
            divide: Some(line),
            ..Wish::default()
        };
        let told = find(&sheet, &wish).unwrap_err().to_string();
        assert!(
            told.contains("; expected") && !told.contains('\n'),
            "{line:?}: {told}"
        );
    }
}

#[test]
fn one_foot_is_never_parted() {
    for seed in 0..24 {
        let spec = PrintSpec::random(seed);
        let made = common::one(
            &spec,
            10.0,
            &PaperSpec {
                mm_per_cell: 0.3,
                ..PaperSpec::default()
            },
        );
        let (_, steps, _) =
            through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
        assert_eq!((steps.feet.len(), &steps.divide), (1, &None), "seed {seed}");
        assert!(
            !steps.feet[0].doubts.contains(&Doubt::BroadForOneFoot),
            "seed {seed}"
        );
    }
}

#[test]
fn two_feet_that_touch_on_a_pressure_grid_share_its_load() {
    let feet = [Side::Left, Side::Right].map(PrintSpec::plain);
    let made = side_by_side(
        &feet,
        4.0,
        5.0,
        0.0,
        &PaperSpec {
            mm_per_cell: 5.0,
            noise: 0.0,
            ..paper()
        },
    );
    let grid = made
        .values
        .iter()
        .map(|v| if *v < 140.0 { 50.0 } else { 0.0 })
        .collect();
    let recording = print::Recording {
        columns: made.width,
        rows: made.height,
        frames_kpa: vec![grid],
        rate_hz: None,
    };
    let sheet = Sheet::of_pressure(recording, print::Pitch::new(5.0, 5.0, 0.0).unwrap()).unwrap();
    let steps = find(&sheet, &Wish::default()).unwrap();
    let readings = read(&sheet, &steps).unwrap();
    assert!(steps.divide.is_some());
    let split = readings.split.expect("two feet");
    assert!((split.left.value - 50.0).abs() < 2.0, "{split:?}");
}
