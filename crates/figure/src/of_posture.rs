//! What lies over a photograph of the standing foot or over a frame of a clip: its points and lines.
//!
//! Whole numbers are pixel centres; the drawing counts from the first pixel's edge.

use crate::overlay::{OverlayFigure, OverlayModel, OverlayPoint, PointState};
use motion::posture::BehindReadings;
use motion::steps::{Point, Spot};
use motion::work::{ClipWork, KNOWN_FROM, KNOWN_TO, PhotoReadings, PhotoWork, Spots, point_key};
use terms::Side;

/// On a screen a picture is about so many units high.
const UNITS: f64 = 800.0;

/// The drawing over a photograph.
pub fn over_photo(work: &PhotoWork, readings: &PhotoReadings) -> OverlayModel {
    let mut model = sheet(work.width, work.height, "What was marked on the photograph");
    let mut said = Vec::new();
    for wanted in work.wanted() {
        for (n, at) in work
            .spots
            .get(&wanted.key)
            .into_iter()
            .flatten()
            .enumerate()
        {
            model.points.push(OverlayPoint {
                key: format!("{}-{n}", wanted.key),
                name: wanted.name.to_owned(),
                at: shown(*at),
                state: PointState::Placed,
                named: false,
            });
        }
    }
    let at = |key: String| match work.spots.get(&key)?.as_slice() {
        [one] => Some(*one),
        _ => None,
    };
    for side in [Side::Left, Side::Right] {
        let read = readings.behind.iter().find(|r| r.side == side);
        leg(&mut model, side, &|point| at(point_key(side, point)), read);
        if let Some(read) = read {
            said.push(format!(
                "{} heel {} against the upright",
                side.word(),
                read.heel_to_upright
            ));
        }
        let named = |name: &str| at(format!("{}-{name}", side.word()));
        if let (Some(a), Some(b)) = (named("floor-back"), named("floor-front")) {
            model.figures.push(line("floor", carried(a, b, 0.6)));
            for (name, value) in [
                (
                    "navicular",
                    readings.side.as_ref().and_then(|s| s.navicular_height),
                ),
                (
                    "dorsum",
                    readings.side.as_ref().and_then(|s| s.dorsum_height),
                ),
            ] {
                if let Some(top) = named(name) {
                    let mut height = line(name, (top, foot_of(a, b, top)));
                    height.value = value.map(|v| v.to_string()).unwrap_or_default();
                    height.label_at = shown(top);
                    height.labelled = value.is_some();
                    height.emphasised = true;
                    model.figures.push(height);
                }
            }
        }
    }
    known_length(&mut model, &work.spots);
    model.description = match said.is_empty() {
        true => "The points set so far.".to_owned(),
        false => format!("{}.", said.join("; ")),
    };
    model
}

/// The drawing over a frame of a clip.
pub fn over_frame(work: &ClipWork, frame: usize) -> OverlayModel {
    let mut model = sheet(
        work.width,
        work.height,
        "Points of leg and heel in this frame",
    );
    for side in [Side::Left, Side::Right] {
        let at = |point| work.place(side, point, frame);
        for point in Point::ALL {
            let Some(spot) = at(point) else { continue };
            let by_hand = frame == work.frame
                || work
                    .corrections
                    .iter()
                    .any(|c| (c.side, c.point, c.frame) == (side, point, frame));
            model.points.push(OverlayPoint {
                key: point_key(side, point),
                name: point.words().to_owned(),
                at: shown(spot),
                state: match by_hand {
                    true => PointState::Active,
                    false => PointState::Placed,
                },
                named: false,
            });
        }
        leg(&mut model, side, &at, None);
    }
    if frame == work.frame {
        known_length(&mut model, &work.spots);
    }
    model.description = format!("Frame {}.", frame + 1);
    model
}

fn sheet(width: usize, height: usize, title: &str) -> OverlayModel {
    let (width_px, height_px) = (width as f64, height as f64);
    OverlayModel {
        width_px,
        height_px,
        pen: width_px.max(height_px) / UNITS,
        title: title.to_owned(),
        ..OverlayModel::default()
    }
}

fn shown(spot: Spot) -> [f64; 2] {
    [spot.x + 0.5, spot.y + 0.5]
}

fn line(key: &str, ends: (Spot, Spot)) -> OverlayFigure {
    OverlayFigure {
        key: key.to_owned(),
        lines: vec![(shown(ends.0), shown(ends.1))],
        ..OverlayFigure::default()
    }
}

/// A line carried on at both ends by a share of its length.
fn carried(a: Spot, b: Spot, by: f64) -> (Spot, Spot) {
    let (dx, dy) = ((b.x - a.x) * by, (b.y - a.y) * by);
    (Spot::new(a.x - dx, a.y - dy), Spot::new(b.x + dx, b.y + dy))
}

/// The foot of the plumb line from a point to the line through two others.
fn foot_of(a: Spot, b: Spot, p: Spot) -> Spot {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = (dx * dx + dy * dy).max(1e-12);
    let share = ((p.x - a.x) * dx + (p.y - a.y) * dy) / length;
    Spot::new(a.x + share * dx, a.y + share * dy)
}

fn leg(
    model: &mut OverlayModel,
    side: Side,
    at: &dyn Fn(Point) -> Option<Spot>,
    read: Option<&BehindReadings>,
) {
    let two = |upper, lower| Some((at(upper)?, at(lower)?));
    if let Some((upper, lower)) = two(Point::LegUpper, Point::LegLower) {
        let key = format!("{}-leg", side.word());
        model.figures.push(line(&key, carried(upper, lower, 0.3)));
    }
    if let Some((upper, lower)) = two(Point::HeelUpper, Point::HeelLower) {
        let mut heel = line(&format!("{}-heel", side.word()), carried(upper, lower, 0.5));
        heel.emphasised = true;
        if let Some(read) = read {
            heel.name = format!("{} heel", crate::capitalised(side.word()));
            heel.value = read.heel_to_upright.to_string();
            heel.label_at = shown(lower);
            heel.labelled = true;
        }
        model.figures.push(heel);
    }
    for (name, edges) in [
        ("leg", read.and_then(|r| r.leg_edges.as_ref())),
        ("heel", read.and_then(|r| r.heel_edges.as_ref())),
    ] {
        for (n, (left, right)) in edges.into_iter().flatten().enumerate() {
            for (way, edge) in [("l", left), ("r", right)] {
                model.points.push(OverlayPoint {
                    key: format!("{}-{name}-edge-{n}{way}", side.word()),
                    name: "edge of the skin".to_owned(),
                    at: shown(*edge),
                    state: PointState::Doubtful,
                    named: false,
                });
            }
        }
    }
}

fn known_length(model: &mut OverlayModel, spots: &Spots) {
    let end = |key| match spots.get(key).map(Vec::as_slice) {
        Some([one]) => Some(*one),
        _ => None,
    };
    for key in [KNOWN_FROM, KNOWN_TO] {
        if let Some(at) = end(key)
            && !model.points.iter().any(|p| p.key.starts_with(key))
        {
            model.points.push(OverlayPoint {
                key: key.to_owned(),
                name: "end of the known length".to_owned(),
                at: shown(at),
                state: PointState::Placed,
                named: false,
            });
        }
    }
    if let (Some(a), Some(b)) = (end(KNOWN_FROM), end(KNOWN_TO)) {
        model.figures.push(line("known-length", (a, b)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use motion::work::View;

    #[test]
    fn a_heel_with_both_points_is_drawn_and_with_one_it_is_a_point_only() {
        let mut work = PhotoWork::new(View::Behind, 800, 600);
        let mut put = |key: &str, x: f64, y: f64| {
            work.spots.insert(key.into(), vec![Spot::new(x, y)]);
        };
        put("left-heel-upper", 300.0, 400.0);
        let read = work.read(None).unwrap();
        assert!(over_photo(&work, &read).figures.is_empty());
        let mut put = |key: &str, x: f64, y: f64| {
            work.spots.insert(key.into(), vec![Spot::new(x, y)]);
        };
        put("left-heel-lower", 300.0, 480.0);
        put("left-leg-upper", 300.0, 100.0);
        put("left-leg-lower", 300.0, 300.0);
        let read = work.read(None).unwrap();
        let model = over_photo(&work, &read);
        let heel = model.figures.iter().find(|f| f.key == "left-heel").unwrap();
        assert!(
            heel.labelled && heel.value.starts_with("0.0°"),
            "{}",
            heel.value
        );
        assert!(crate::overlay_svg(&model).contains("Left heel"));
    }

    #[test]
    fn a_height_falls_square_on_a_floor_that_is_not_level() {
        let foot = foot_of(
            Spot::new(0.0, 0.0),
            Spot::new(10.0, 10.0),
            Spot::new(0.0, 8.0),
        );
        assert!((foot.x - 4.0).abs() < 1e-9 && (foot.y - 4.0).abs() < 1e-9);
    }
}
