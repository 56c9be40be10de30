//! What lies over a print: its outline, the axis, the toe line, and the lines of the readings.
//!
//! The picture is shown with its cells as drawing units; the middle of the first cell is at a half.

use crate::overlay::{OverlayFigure, OverlayModel, OverlayPoint, PointState};
use print::{FootReadings, FootSteps, Index, Place, PrintReadings, Steps};

/// What to show.
pub struct PrintWish<'a> {
    pub title: String,
    /// Cells across and down.
    pub size: (f64, f64),
    /// Cells per drawing unit.
    pub pen: f64,
    /// Drawn strong, with its value.
    pub shown: Option<Index>,
    /// The name of an index, as the page says it.
    pub name: &'a dyn Fn(Index) -> String,
}

/// The drawing over a print.
pub fn over_print(steps: &Steps, readings: &PrintReadings, wish: &PrintWish<'_>) -> OverlayModel {
    let mut model = OverlayModel {
        width_px: wish.size.0,
        height_px: wish.size.1,
        pen: wish.pen,
        title: wish.title.clone(),
        description: described(readings, wish),
        ..OverlayModel::default()
    };
    if let Some(divide) = &steps.divide {
        let [a, b] = divide.is.line.map(shown);
        model
            .figures
            .push(plain("divide".to_owned(), vec![(a, b)], Vec::new()));
    }
    for (at, (foot, read)) in steps.feet.iter().zip(&readings.feet).enumerate() {
        ground(&mut model, at, foot, read);
        for reading in &read.readings {
            if wish.shown != Some(reading.index) {
                continue;
            }
            let lines = reading.drawn.lines.iter();
            model.figures.push(OverlayFigure {
                key: format!("{}-{at}", reading.index.key()),
                name: (wish.name)(reading.index),
                value: reading.estimate.to_string(),
                label_at: label_at(reading.drawn.lines.first(), read),
                lines: lines.map(|[a, b]| (shown(*a), shown(*b))).collect(),
                arc: Vec::new(),
                emphasised: true,
                labelled: true,
            });
        }
        model.points.extend(points(at, foot));
    }
    model
}

/// Whole numbers are cell centres; the drawing counts from the first cell's edge.
fn shown(place: Place) -> [f64; 2] {
    place.map(|c| c + 0.5)
}

fn ground(model: &mut OverlayModel, at: usize, foot: &FootSteps, read: &FootReadings) {
    for (n, ring) in read.outline.iter().enumerate() {
        let mut arc: Vec<[f64; 2]> = ring.iter().copied().map(shown).collect();
        arc.extend(arc.first().copied());
        model
            .figures
            .push(plain(format!("outline-{at}-{n}"), Vec::new(), arc));
    }
    let axis = foot.axis.is;
    let along = vec![(shown(axis.heel_centre), shown(axis.second_toe))];
    model
        .figures
        .push(plain(format!("axis-{at}"), along, Vec::new()));
    let toe_line: Vec<[f64; 2]> = foot.toe_line.is.places.iter().copied().map(shown).collect();
    model
        .figures
        .push(plain(format!("toe-line-{at}"), Vec::new(), toe_line));
}

fn plain(key: String, lines: Vec<([f64; 2], [f64; 2])>, arc: Vec<[f64; 2]>) -> OverlayFigure {
    OverlayFigure {
        key,
        lines,
        arc,
        ..OverlayFigure::default()
    }
}

fn points(at: usize, foot: &FootSteps) -> [OverlayPoint; 2] {
    let axis = foot.axis.is;
    let point = |key: &str, name: &str, place: Place| OverlayPoint {
        key: format!("{key}-{at}"),
        name: name.to_owned(),
        at: shown(place),
        state: match foot.axis.is_by_hand() {
            true => PointState::Active,
            false => PointState::Placed,
        },
        named: false,
    };
    [
        point("heel", "heel centre", axis.heel_centre),
        point("toe", "second toe", axis.second_toe),
    ]
}

/// At the inner end of the first line, or over the print where there is none.
fn label_at(line: Option<&[Place; 2]>, read: &FootReadings) -> [f64; 2] {
    match line {
        Some([_, b]) => shown(*b),
        None => {
            let places: Vec<&Place> = read.outline.iter().flatten().collect();
            let n = places.len().max(1) as f64;
            let mean = |k: usize| places.iter().map(|p| p[k]).sum::<f64>() / n;
            shown([mean(0), mean(1)])
        }
    }
}

fn described(readings: &PrintReadings, wish: &PrintWish<'_>) -> String {
    let values: Vec<String> = readings
        .feet
        .iter()
        .flat_map(|foot| {
            let read = wish.shown.and_then(|index| foot.of(index));
            read.map(|r| {
                let name = (wish.name)(r.index);
                format!("{} foot, {name}: {}", foot.side.word(), r.estimate)
            })
        })
        .collect();
    match values.is_empty() {
        true => "Outline, axis and toe line of the print.".to_owned(),
        false => format!(
            "Outline, axis and toe line of the print. {}.",
            values.join("; ")
        ),
    }
}
