//! What lies over a film: points, lines, arcs and values. The same drawing is shown live on the film
//! desk and printed in the letter.
//!
//! All coordinates are film pixels (x right, y down). One surprise: `pen` is the size of one drawing
//! unit in film pixels, so that lines stay 1.5 units thick however large the film is shown.

use crate::colour::*;
use crate::ground::{Area, Ground};
use crate::labels::{self, Around, Wanted};
use crate::svg::{Svg, Text, number, polyline};

/// Everything drawn over one film.
#[derive(Debug, Clone, Default)]
pub struct OverlayModel {
    pub width_px: f64,
    pub height_px: f64,
    /// Film pixels per drawing unit (on a screen: per CSS pixel).
    pub pen: f64,
    /// Said to those who listen instead of look.
    pub title: String,
    pub description: String,
    pub points: Vec<OverlayPoint>,
    pub figures: Vec<OverlayFigure>,
}

/// One placed point.
#[derive(Debug, Clone)]
pub struct OverlayPoint {
    pub key: String,
    pub name: String,
    pub at: [f64; 2],
    pub state: PointState,
    /// Write the name beside it.
    pub named: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointState {
    Placed,
    Active,
    Doubtful,
}

/// One reading's lines.
#[derive(Debug, Clone, Default)]
pub struct OverlayFigure {
    pub key: String,
    /// The measure's short name.
    pub name: String,
    /// Value with error.
    pub value: String,
    /// Where name and value belong: at the arc, or at the line where there is none.
    pub label_at: [f64; 2],
    pub lines: Vec<([f64; 2], [f64; 2])>,
    /// Points along the arc, already in film pixels.
    pub arc: Vec<[f64; 2]>,
    /// Drawn strong; the others are drawn thin.
    pub emphasised: bool,
    /// Without a label only the lines are drawn.
    pub labelled: bool,
}

/// Draws the overlay as a complete SVG whose user units are film pixels.
pub fn overlay_svg(model: &OverlayModel) -> String {
    let mut svg = Svg::new(
        model.width_px,
        model.height_px,
        &model.title,
        &model.description,
    );
    draw(&mut svg, model, &Sheet::screen(model));
    svg.finish()
}

/// What the drawing is put on.
pub(crate) struct Sheet<'a> {
    /// The part that is shown: left, top, right, bottom.
    pub area: Area,
    pub pen: f64,
    /// Size of names and values; `None` takes the screen's own.
    pub type_size: Option<f64>,
    pub ground: Option<&'a Ground>,
}

impl Sheet<'_> {
    fn screen(model: &OverlayModel) -> Self {
        Sheet {
            area: [0.0, 0.0, model.width_px, model.height_px],
            pen: model.pen,
            type_size: None,
            ground: None,
        }
    }
}

/// Draws into a drawing that may have the film under it already.
pub(crate) fn draw(svg: &mut Svg, model: &OverlayModel, sheet: &Sheet<'_>) {
    let pen = if sheet.pen.is_finite() && sheet.pen > 0.0 {
        sheet.pen
    } else {
        1.0
    };
    for figure in &model.figures {
        let class = if figure.emphasised {
            "figure strong"
        } else {
            "figure"
        };
        svg.open("g", &[("class", class), ("data-measure", &figure.key)]);
        let width = if figure.emphasised { 1.8 } else { 1.1 };
        for (from, to) in &figure.lines {
            svg.open("g", &[]);
            edged(svg, *from, *to, width * pen, pen);
            svg.close();
        }
        if figure.arc.len() > 1 {
            let d = polyline(&figure.arc);
            svg.path(&d, "none", FILM_EDGE, (width + 1.8) * pen);
            svg.path(&d, "none", FILM_ACTIVE, width * pen);
        }
        svg.close();
    }
    for point in &model.points {
        cross(svg, point, pen);
    }
    write_labels(svg, model, sheet, pen);
}

fn edged(svg: &mut Svg, from: [f64; 2], to: [f64; 2], width: f64, pen: f64) {
    svg.line(from, to, FILM_EDGE, width + 1.8 * pen);
    svg.line(from, to, FILM_LINE, width);
}

fn write_labels(svg: &mut Svg, model: &OverlayModel, sheet: &Sheet<'_>, pen: f64) {
    let named = |f: &&OverlayFigure| f.labelled && !(f.name.is_empty() && f.value.is_empty());
    let wanted: Vec<Wanted<'_>> = model
        .figures
        .iter()
        .filter(named)
        .map(|figure| Wanted {
            name: &figure.name,
            value: &figure.value,
            anchor: figure
                .arc
                .get(figure.arc.len() / 2)
                .copied()
                .unwrap_or(figure.label_at),
            size: sheet
                .type_size
                .unwrap_or(if figure.emphasised { 15.0 } else { 12.5 } * pen),
        })
        .collect();
    let around = Around {
        area: sheet.area,
        crosses: model.points.iter().map(|p| p.at).collect(),
        reach: 7.0 * pen,
        lines: model.figures.iter().flat_map(strokes).collect(),
        ground: sheet.ground,
    };
    let placed = labels::place(&wanted, &around);
    for label in &placed {
        if let Some((from, to)) = label.leader {
            svg.open("g", &[("class", "leader")]);
            edged(svg, from, to, 0.7 * pen, pen);
            svg.close();
        }
    }
    for label in &placed {
        for (line, at) in &label.lines {
            let look = Text::new(label.size, FILM_LINE).bold().halo(FILM_EDGE);
            let look = if label.from_right { look.end() } else { look };
            svg.text(*at, line, look);
        }
    }
}

/// Lines and arc of a reading as stretches.
fn strokes(figure: &OverlayFigure) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    let arc = figure.arc.windows(2).map(|w| (w[0], w[1]));
    figure.lines.iter().copied().chain(arc)
}

/// A small cross with a gap in its middle, so that the bone's edge under it stays visible.
fn cross(svg: &mut Svg, point: &OverlayPoint, pen: f64) {
    let (colour, reach) = match point.state {
        PointState::Placed => (FILM_POINT, 7.0),
        PointState::Active => (FILM_ACTIVE, 11.0),
        PointState::Doubtful => (FILM_ACTIVE, 7.0),
    };
    let class = match point.state {
        PointState::Placed => "point placed",
        PointState::Active => "point active",
        PointState::Doubtful => "point doubtful",
    };
    let [x, y] = point.at;
    let (near, far) = (2.0 * pen, reach * pen);
    let d = format!(
        "M{} {}h{n}M{} {}h{n}M{} {}v{n}M{} {}v{n}",
        number(x - far),
        number(y),
        number(x + near),
        number(y),
        number(x),
        number(y - far),
        number(x),
        number(y + near),
        n = number(far - near)
    );
    svg.open("g", &[("class", class), ("data-point", &point.key)]);
    svg.path(&d, "none", FILM_EDGE, 3.6 * pen);
    svg.path(&d, "none", colour, 1.4 * pen);
    if point.state == PointState::Doubtful {
        svg.circle(point.at, 9.0 * pen, "none", colour, 1.2 * pen);
    }
    if point.named {
        svg.text(
            [x + 10.0 * pen, y - 9.0 * pen],
            &point.name,
            Text::new(12.0 * pen, colour).halo(FILM_EDGE),
        );
    }
    svg.close();
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model() -> OverlayModel {
        OverlayModel {
            width_px: 1000.0,
            height_px: 800.0,
            pen: 2.0,
            title: "Lateral film".into(),
            description: String::new(),
            points: vec![OverlayPoint {
                key: "calc_back".into(),
                name: "Back of the heel bone".into(),
                at: [100.0, 200.0],
                state: PointState::Active,
                named: true,
            }],
            figures: vec![
                OverlayFigure {
                    key: "calc_pitch".into(),
                    name: "Calcaneal pitch".into(),
                    value: "14.2° ± 1.8°".into(),
                    label_at: [300.0, 400.0],
                    lines: vec![([0.0, 0.0], [10.0, 10.0])],
                    arc: vec![[1.0, 1.0], [2.0, 2.0]],
                    emphasised: true,
                    labelled: true,
                },
                OverlayFigure {
                    key: "meary_lat".into(),
                    name: "Talo–first-metatarsal".into(),
                    value: "11.0° ± 2.0°".into(),
                    label_at: [300.0, 402.0],
                    labelled: true,
                    ..Default::default()
                },
            ],
        }
    }

    #[test]
    fn a_drawing_names_each_labelled_reading_with_its_value() {
        let text = overlay_svg(&model());
        for words in ["Calcaneal pitch", "14.2° ± 1.8°", "11.0° ± 2.0°"] {
            assert!(text.contains(words), "{words}");
        }
    }

    #[test]
    fn a_drawing_has_no_style_attribute_and_no_script() {
        let text = overlay_svg(&model());
        assert!(!text.contains("style=") && !text.contains("<script") && !text.contains("onload"));
    }
}
