//! Prints of known indices, read back.

mod common;

use common::{middle, misses, one, picture, through, true_values};
use phantom::print::{PaperSpec, PrintOutline, PrintSpec, PrintTruth, sheet};
use print::{Doubt, Index, Medium, Paper, SURE, Scaling};
use terms::Side;

/// A share of the truth. For Clarke's angle that share of 20° where the angle itself is smaller: the angle stands where a
/// round ball touches a straight line, and that place is known to about a third of a millimetre whatever the angle.
fn close(index: Index, miss: f64, truth: &PrintTruth, share: f64) -> bool {
    let least = match index {
        Index::ClarkeAngle => share * (20.0 / truth.clarke_angle_deg).max(1.0),
        _ => share,
    };
    miss.abs() < least
}

/// Half a percent of the truth for every index, on clean prints at any turn, side and size.
#[test]
fn every_index_of_random_prints_is_within_half_a_percent_of_truth() {
    let mut worst: Vec<(f64, u64, Index)> = Vec::new();
    for seed in 0..48 {
        let spec = PrintSpec::random(seed);
        let turn = (seed as f64 * 37.0) % 360.0;
        let paper = PaperSpec {
            width_mm: 300.0,
            height_mm: 300.0,
            mm_per_cell: [0.2, 0.25, 0.17][seed as usize % 3],
            ..PaperSpec::default()
        };
        let (s, c) = turn.to_radians().sin_cos();
        let heel = [150.0 - 95.0 * s, 150.0 + 95.0 * c];
        let made = sheet(&[(spec, heel, turn)], &paper);
        let (_, steps, readings) =
            through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity)
                .unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        assert_eq!(readings.feet.len(), 1, "seed {seed}");
        let told = steps.feet[0].side.is;
        assert_eq!(told.side, spec.side, "seed {seed}: {told:?}");
        assert!(
            steps.feet[0].doubts.is_empty(),
            "seed {seed}: {:?}",
            steps.feet[0].doubts
        );
        let truth = PrintOutline::new(&spec).truth();
        for (index, miss) in misses(&readings.feet[0], &truth) {
            worst.push((miss.abs(), seed, index));
            assert!(
                close(index, miss, &truth, 0.005),
                "seed {seed}: {index:?} off by {:.3} %",
                100.0 * miss
            );
        }
    }
    worst.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!("largest misses: {:?}", &worst[..5]);
}

/// Grain, specks and gaps cost accuracy: one percent of truth.
#[test]
fn grain_specks_and_gaps_move_no_index_by_more_than_one_percent() {
    for seed in 100..112 {
        let spec = PrintSpec::random(seed);
        let paper = PaperSpec {
            noise: 14.0,
            blotches: 12,
            gaps: 8,
            seed,
            ..PaperSpec::default()
        };
        let made = one(&spec, 8.0, &paper);
        let (_, _, readings) = through(&picture(&made), None, &Scaling::FileDensity)
            .unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        let truth = PrintOutline::new(&spec).truth();
        for (index, miss) in misses(&readings.feet[0], &truth) {
            assert!(
                miss.abs() < 0.01,
                "seed {seed}: {index:?} off by {:.3} %",
                100.0 * miss
            );
        }
    }
}

#[test]
fn the_corners_of_the_paper_undo_a_tilted_camera() {
    for seed in 200..208 {
        let spec = PrintSpec::random(seed);
        let paper = PaperSpec {
            tilt: [0.05, 0.22],
            around_cells: 60,
            mm_per_cell: 0.2,
            ..PaperSpec::default()
        };
        let made = one(&spec, -12.0, &paper);
        let mut corners = made.corners;
        corners.swap(0, 2);
        let scaling = Scaling::Corners {
            corners,
            paper: Paper::A4,
        };
        let (_, steps, readings) = through(&picture(&made), Some(Medium::Ink), &scaling)
            .unwrap_or_else(|e| panic!("seed {seed}: {e}"));
        assert_eq!(steps.feet[0].side.is.side, spec.side);
        let truth = PrintOutline::new(&spec).truth();
        for (index, miss) in misses(&readings.feet[0], &truth) {
            assert!(
                close(index, miss, &truth, 0.006),
                "seed {seed}: {index:?} off by {:.3} %",
                100.0 * miss
            );
        }
    }
}

#[test]
fn a_ruler_gives_the_scale_and_its_pointing_error_goes_into_lengths_and_not_into_ratios() {
    let spec = PrintSpec::plain(Side::Right);
    let made = one(&spec, 0.0, &PaperSpec::default());
    let scaling = Scaling::Ruler {
        from: [50.0, 1400.0],
        to: [550.0, 1400.0],
        mm: 100.0,
    };
    let (_, _, readings) = through(&picture(&made), Some(Medium::Ink), &scaling).unwrap();
    let foot = &readings.feet[0];
    let length = foot.of(Index::TruncatedLength).unwrap();
    assert!(
        (length.estimate.value - 178.0).abs() < 0.4,
        "{}",
        length.estimate
    );
    assert!(length.error_parts.scale > 0.5, "{:?}", length.error_parts);
    assert_eq!(foot.of(Index::ArchIndex).unwrap().error_parts.scale, 0.0);
}

#[test]
fn without_a_scale_ratios_come_and_lengths_say_why_they_do_not() {
    let spec = PrintSpec::plain(Side::Left);
    let made = one(&spec, 0.0, &PaperSpec::default());
    let (_, steps, readings) =
        through(&picture(&made), Some(Medium::Ink), &Scaling::Unknown).unwrap();
    let foot = &readings.feet[0];
    let truth = PrintOutline::new(&spec).truth();
    let arch = foot.of(Index::ArchIndex).unwrap().estimate.value;
    assert!((arch / truth.arch_index - 1.0).abs() < 0.005);
    assert!(foot.of(Index::FootLength).is_none() && foot.of(Index::ContactArea).is_none());
    let why = foot
        .missing
        .iter()
        .find(|m| m.index == Index::FootLength)
        .unwrap();
    assert_eq!(why.why, "the scale is not known");
    assert!(steps.feet[0].doubts.contains(&Doubt::NoScale));
}

#[test]
fn a_scan_of_the_sole_is_bright_and_mirrored() {
    let spec = PrintSpec::plain(Side::Right);
    let paper = PaperSpec {
        ground: 20.0,
        print: 190.0,
        from_below: true,
        noise: 4.0,
        ..PaperSpec::default()
    };
    let made = one(&spec, 0.0, &paper);
    let (sheet, steps, readings) = through(&picture(&made), None, &Scaling::FileDensity).unwrap();
    assert_eq!(sheet.medium, Medium::Scan);
    assert_eq!(steps.feet[0].side.is.side, Side::Right);
    assert!(steps.feet[0].doubts.contains(&Doubt::MediumGuessed));
    let arch = readings.feet[0]
        .of(Index::ArchIndex)
        .unwrap()
        .estimate
        .value;
    assert!((arch / PrintOutline::new(&spec).truth().arch_index - 1.0).abs() < 0.005);
}

#[test]
fn a_wet_print_of_little_contrast_is_told_from_ink() {
    let spec = PrintSpec::plain(Side::Left);
    let paper = PaperSpec {
        ground: 230.0,
        print: 185.0,
        noise: 5.0,
        ..PaperSpec::default()
    };
    let made = one(&spec, 0.0, &paper);
    let (sheet, _, readings) = through(&picture(&made), None, &Scaling::FileDensity).unwrap();
    assert_eq!(sheet.medium, Medium::Wet);
    let arch = readings.feet[0]
        .of(Index::ArchIndex)
        .unwrap()
        .estimate
        .value;
    assert!((arch / PrintOutline::new(&spec).truth().arch_index - 1.0).abs() < 0.01);
}

#[test]
fn two_feet_on_one_sheet_are_split_and_told_left_from_right() {
    let (left, right) = (PrintSpec::random(7), PrintSpec::random(8));
    let (left, right) = (
        PrintSpec {
            side: Side::Left,
            ..left
        },
        PrintSpec {
            side: Side::Right,
            ..right
        },
    );
    let paper = PaperSpec {
        width_mm: 300.0,
        height_mm: 300.0,
        ..PaperSpec::default()
    };
    let made = sheet(
        &[(left, [95.0, 270.0], -8.0), (right, [205.0, 268.0], 9.0)],
        &paper,
    );
    let (_, steps, readings) =
        through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    assert_eq!(steps.feet.len(), 2);
    for (foot, spec) in readings.feet.iter().zip([left, right]) {
        assert_eq!(foot.side, spec.side);
        let truth = PrintOutline::new(&spec).truth();
        for (index, miss) in misses(foot, &truth) {
            assert!(
                close(index, miss, &truth, 0.005),
                "{index:?} off by {:.3} %",
                100.0 * miss
            );
        }
    }
    assert!(steps.feet.iter().all(|f| f.side.is.confidence >= SURE));
}

#[test]
fn the_stated_interval_holds_the_truth_far_oftener_than_not() {
    let (mut held, mut all) = (0, 0);
    for seed in 300..312 {
        let spec = PrintSpec::random(seed);
        let paper = PaperSpec {
            noise: 10.0,
            gaps: 4,
            seed,
            ..PaperSpec::default()
        };
        let made = one(&spec, 5.0, &paper);
        let (_, _, readings) =
            through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
        for (index, wanted) in true_values(&PrintOutline::new(&spec).truth()) {
            let estimate = readings.feet[0].of(index).unwrap().estimate;
            let (low, high) = estimate.interval_95();
            assert!(
                estimate.standard_error > 0.0 && estimate.standard_error < 0.2 * wanted,
                "{index:?} {estimate}"
            );
            let holds = (low..=high).contains(&wanted);
            if !holds {
                println!("seed {seed}: {index:?} {estimate} against {wanted:.4}");
            }
            held += usize::from(holds);
            all += 1;
        }
    }
    assert!(held as f64 >= 0.95 * all as f64, "{held} of {all}");
}

#[test]
fn the_steps_survive_their_own_text_and_reading_them_again_gives_the_same() {
    let made = one(&PrintSpec::random(3), 20.0, &PaperSpec::default());
    let (sheet, steps, readings) =
        through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    let again = print::Steps::from_json(&steps.to_json()).unwrap();
    assert_eq!(again, steps);
    assert_eq!(print::read(&sheet, &again).unwrap(), readings);
}

#[test]
fn a_hand_that_moves_a_step_moves_the_number_and_is_remembered() {
    let made = one(&PrintSpec::plain(Side::Right), 0.0, &PaperSpec::default());
    let (sheet, steps, readings) =
        through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    let mut moved = steps.clone();
    let places = moved.feet[0].toe_line.is.places.iter();
    let places = places.map(|[x, y]| [*x, y + 150.0]).collect();
    moved.feet[0].toe_line = print::Step::by_hand(print::ToeLine {
        places,
        error_share: 0.006,
    });
    let other = print::read(&sheet, &moved).unwrap();
    let length =
        |r: &print::PrintReadings| r.feet[0].of(Index::TruncatedLength).unwrap().estimate.value;
    assert!(length(&readings) - length(&other) > 20.0);
    let text = moved.to_json();
    assert!(text.contains("\"by-hand\""));
    let tangent = steps.feet[0].inner_tangent.is.unwrap();
    moved.feet[0].inner_tangent =
        print::Step::by_hand(Some([[tangent[0][0] - 40.0, tangent[0][1]], tangent[1]]));
    let turned = print::read(&sheet, &moved).unwrap();
    let angle = |r: &print::PrintReadings| r.feet[0].of(Index::ClarkeAngle).unwrap().estimate.value;
    assert!((angle(&turned) - angle(&other)).abs() > 1.0);
}

#[test]
fn a_broken_print_of_a_high_arch_reads_zero_breadth_and_no_clarke_angle() {
    // The notch is deeper than the print is broad: heel and ball are two parts.
    let spec = PrintSpec {
        arch_depth: 61.0,
        outer_ball: [146.0, -4.0],
        ..PrintSpec::plain(Side::Right)
    };
    let made = one(&spec, 0.0, &PaperSpec::default());
    let (_, steps, readings) =
        through(&picture(&made), Some(Medium::Ink), &Scaling::FileDensity).unwrap();
    // Heel and ball, and toes apart from both.
    let parts = steps.feet[0].parts.is.len();
    assert!(parts >= 6, "{parts} parts");
    let foot = &readings.feet[0];
    assert_eq!(foot.of(Index::ChippauxSmirak).unwrap().estimate.value, 0.0);
    assert!(foot.of(Index::ClarkeAngle).is_none());
    assert!(foot.missing.iter().any(|m| m.index == Index::ClarkeAngle));
    assert_eq!(foot.side, Side::Right);
    let _ = middle(0.0);
}
