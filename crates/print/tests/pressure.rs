//! Pressure grids: contact, regions, path, excursion, and the split between two feet.

use phantom::print::{PaperSpec, PrintOutline, PrintSpec, load_series, sheet};
use print::{
    Index, Medium, Pitch, PressureUnit, PrintReadings, Recording, Region, Sheet, Wish, find, read,
    recording,
};
use terms::Side;

fn paper() -> PaperSpec {
    PaperSpec {
        mm_per_cell: 5.0,
        ground: 0.0,
        print: 100.0,
        ..PaperSpec::default()
    }
}

fn through(columns: usize, rows: usize, frames_kpa: Vec<Vec<f32>>) -> (Sheet, PrintReadings) {
    let recording = Recording {
        columns,
        rows,
        frames_kpa,
        rate_hz: Some(50.0),
    };
    let sheet = Sheet::of_pressure(recording, Pitch::new(5.0, 5.0, 0.002).unwrap()).unwrap();
    let steps = find(&sheet, &Wish::default()).unwrap_or_else(|e| panic!("{e}"));
    let readings = read(&sheet, &steps).unwrap();
    (sheet, readings)
}

/// A path that bends outwards: heel, outer border, great toe.
fn path() -> Vec<[f64; 2]> {
    (0..40)
        .map(|k| f64::from(k) / 39.0)
        .map(|t| {
            [
                15.0 + 185.0 * t,
                -14.0 * (std::f64::consts::PI * t).sin() + 8.0 * t,
            ]
        })
        .collect()
}

#[test]
fn a_walk_gives_the_path_that_its_frames_hold() {
    let spec = PrintSpec::plain(Side::Right);
    let (cover, frames) = load_series(&spec, [105.0, 250.0], &paper(), &path(), 250.0, 22.0);
    let (_, readings) = through(cover.width, cover.height, frames.clone());
    let foot = &readings.feet[0];
    assert_eq!(foot.side, Side::Right);
    let pressure = foot.pressure.as_ref().unwrap();
    assert_eq!(pressure.path.len(), frames.len());
    for (point, frame) in pressure.path.iter().zip(&frames) {
        let sum: f64 = frame.iter().map(|v| f64::from(*v)).sum();
        let centre = |k: usize| {
            let place = |i: usize| [(i % cover.width) as f64, (i / cover.width) as f64][k];
            let of = frame
                .iter()
                .enumerate()
                .map(|(i, v)| f64::from(*v) * place(i));
            of.sum::<f64>() / sum
        };
        for k in 0..2 {
            assert!(
                (point.at[k] - centre(k)).abs() < 1e-4,
                "frame {}",
                point.frame
            );
        }
        // kPa on 25 mm² is a fortieth of a newton.
        assert!((point.force_n - sum * 0.025).abs() < 1e-6 * point.force_n);
    }
    let shares: f64 = pressure.regions.iter().map(|r| r.load_share.value).sum();
    assert!((shares - 100.0).abs() < 1e-9);
    let excursion = foot.of(Index::ExcursionIndex).unwrap();
    assert!(
        (3.0..25.0).contains(&excursion.estimate.value),
        "{}",
        excursion.estimate
    );
    assert!(excursion.estimate.standard_error > 0.0);
}

#[test]
fn the_excursion_of_a_path_that_bends_more_is_larger_and_mirrors_with_the_foot() {
    let at = |bend: f64, side: Side| {
        let bent: Vec<[f64; 2]> = path().iter().map(|[x, y]| [*x, y * bend]).collect();
        let spec = PrintSpec::plain(side);
        let (cover, frames) = load_series(&spec, [105.0, 250.0], &paper(), &bent, 250.0, 15.0);
        let (_, readings) = through(cover.width, cover.height, frames);
        readings.feet[0]
            .of(Index::ExcursionIndex)
            .unwrap()
            .estimate
            .value
    };
    let (little, much, mirrored) = (
        at(0.4, Side::Right),
        at(1.3, Side::Right),
        at(1.3, Side::Left),
    );
    assert!(much > little + 2.0, "{little} {much}");
    // The grid is not quite the mirror image of itself.
    assert!((much - mirrored).abs() < 1.0, "{much} {mirrored}");
}

#[test]
fn standing_on_one_grid_two_feet_share_the_load_as_it_was_laid_on() {
    let plain = PrintSpec::plain;
    let broad = PaperSpec {
        width_mm: 320.0,
        ..paper()
    };
    let on = |spec: PrintSpec, x: f64| sheet(&[(spec, [x, 250.0], 0.0)], &broad);
    let (left, right) = (on(plain(Side::Left), 100.0), on(plain(Side::Right), 220.0));
    let cell = |v: f32, kpa: f32| if v > 50.0 { kpa } else { 0.0 };
    let both = left
        .values
        .iter()
        .zip(&right.values)
        .map(|(l, r)| cell(*l, 30.0) + cell(*r, 60.0));
    let (_, readings) = through(left.width, left.height, vec![both.collect()]);
    let split = readings.split.expect("two feet");
    assert!((split.left.value - 100.0 / 3.0).abs() < 0.7, "{split:?}");
    assert!((split.left.value + split.right.value - 100.0).abs() < 1e-9);
    for foot in &readings.feet {
        let peak = if foot.side == Side::Left { 30.0 } else { 60.0 };
        let pressure = foot.pressure.as_ref().unwrap();
        assert!(pressure.path.is_empty(), "one grid has no path");
        let heel = pressure
            .regions
            .iter()
            .find(|r| r.region == Region::Heel)
            .unwrap();
        assert_eq!(heel.peak.value, peak);
        assert!(foot.of(Index::ExcursionIndex).is_none());
        assert!(
            foot.missing
                .iter()
                .any(|m| m.index == Index::ExcursionIndex)
        );
    }
}

#[test]
fn contact_on_a_coarse_grid_is_as_many_cells_as_are_loaded_and_its_error_covers_the_truth() {
    for seed in 0..12 {
        let spec = PrintSpec::random(seed);
        let made = sheet(&[(spec, [105.0, 245.0], 0.0)], &paper());
        let grid: Vec<f32> = made
            .values
            .iter()
            .map(|v| if *v > 50.0 { 80.0 } else { 0.0 })
            .collect();
        let cells = grid.iter().filter(|v| **v > 0.0).count();
        let (sheet, readings) = through(made.width, made.height, vec![grid]);
        assert_eq!(sheet.medium, Medium::Pressure);
        let area = readings.feet[0].of(Index::ContactArea).unwrap().estimate;
        assert!(
            (area.value - cells as f64 * 0.25).abs() < 1e-6,
            "seed {seed}: {area}"
        );
        let truth = PrintOutline::new(&spec).truth().area / 100.0;
        let (low, high) = area.interval_95();
        assert!(
            (low..=high).contains(&truth),
            "seed {seed}: {area} against {truth}"
        );
    }
}

#[test]
fn a_text_of_newtons_reads_as_its_kilopascals() {
    let spec = PrintSpec::plain(Side::Left);
    let made = sheet(&[(spec, [105.0, 245.0], 0.0)], &paper());
    let rows: Vec<String> = made
        .values
        .chunks_exact(made.width)
        .map(|r| {
            r.iter()
                .map(|v| if *v > 50.0 { "8,5" } else { "0" })
                .collect::<Vec<_>>()
                .join(";")
        })
        .collect();
    let text = format!("frame 1\n{}\n", rows.join("\n"));
    let recording = recording(&text, PressureUnit::NewtonPerSquareCentimetre, None).unwrap();
    let (_, readings) = through(recording.columns, recording.rows, recording.frames_kpa);
    let pressure = readings.feet[0].pressure.as_ref().unwrap();
    assert!(pressure.regions.iter().all(|r| r.peak.value == 85.0));
}
