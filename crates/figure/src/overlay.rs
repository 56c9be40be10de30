//! What lies over a film: points, lines, arcs and values. The same drawing is shown live on the film
//! desk and printed in the letter.
//!
//! All coordinates are film pixels (x right, y down). One surprise: `pen` is the size of one drawing
//! unit in film pixels, so that lines stay 1.5 units thick however large the film is shown.

use crate::colour::*;
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
    /// Value with error, as printed at the arc.
    pub label: String,
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
    draw(&mut svg, model);
    svg.finish()
}

/// Draws into a drawing that has the film under it already.
pub(crate) fn draw(svg: &mut Svg, model: &OverlayModel) {
    let pen = if model.pen.is_finite() && model.pen > 0.0 {
        model.pen
    } else {
        1.0
    };
    for figure in &model.figures {
        svg.open(
            "g",
            &[
                (
                    "class",
                    if figure.emphasised {
                        "figure strong"
                    } else {
                        "figure"
                    },
                ),
                ("data-measure", &figure.key),
            ],
        );
        let width = if figure.emphasised { 1.8 } else { 1.1 };
        for (from, to) in &figure.lines {
            svg.open("g", &[]);
            svg.line(*from, *to, FILM_EDGE, (width + 1.8) * pen);
            svg.line(*from, *to, FILM_LINE, width * pen);
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
    let mut taken: Vec<[f64; 4]> = Vec::new();
    for figure in model
        .figures
        .iter()
        .filter(|f| f.labelled && !f.label.is_empty())
    {
        let size = if figure.emphasised { 15.0 } else { 12.5 } * pen;
        let at = free_place(
            figure.label_at,
            figure.label.chars().count(),
            size,
            model,
            &mut taken,
        );
        svg.text(
            at,
            &figure.label,
            Text::new(size, FILM_LINE).bold().halo(FILM_EDGE),
        );
    }
}

/// Moves a label down, then up, until it covers no label written before it.
fn free_place(
    wanted: [f64; 2],
    letters: usize,
    size: f64,
    model: &OverlayModel,
    taken: &mut Vec<[f64; 4]>,
) -> [f64; 2] {
    let width = letters as f64 * size * 0.56;
    let inside = |x: f64, low: f64, high: f64| if high > low { x.clamp(low, high) } else { low };
    let x = inside(wanted[0], size * 0.3, model.width_px - width - size * 0.3);
    let mut best = None;
    for step in 0..24 {
        let shift =
            f64::from((step + 1) / 2) * size * 1.15 * if step % 2 == 0 { 1.0 } else { -1.0 };
        let y = inside(wanted[1] + shift, size, model.height_px - size * 0.4);
        let area = [x, y - size, x + width, y + size * 0.25];
        let clear = taken
            .iter()
            .all(|t| area[2] < t[0] || area[0] > t[2] || area[3] < t[1] || area[1] > t[3]);
        if clear {
            best = Some((y, area));
            break;
        }
    }
    let (y, area) = best.unwrap_or((wanted[1], [x, wanted[1] - size, x + width, wanted[1]]));
    taken.push(area);
    [x, y]
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
                    label: "14.2° ± 1.8°".into(),
                    label_at: [300.0, 400.0],
                    lines: vec![([0.0, 0.0], [10.0, 10.0])],
                    arc: vec![[1.0, 1.0], [2.0, 2.0]],
                    emphasised: true,
                    labelled: true,
                },
                OverlayFigure {
                    key: "meary_lat".into(),
                    label: "11.0° ± 2.0°".into(),
                    label_at: [300.0, 402.0],
                    labelled: true,
                    ..Default::default()
                },
            ],
        }
    }

    #[test]
    fn two_labels_wanted_at_one_place_do_not_cover_each_other() {
        let text = overlay_svg(&model());
        let heights: Vec<f64> = text
            .split("<text ")
            .filter(|t| t.contains("±"))
            .filter_map(|t| t.split("y=\"").nth(1)?.split('"').next()?.parse().ok())
            .collect();
        assert_eq!(heights.len(), 2);
        assert!((heights[0] - heights[1]).abs() >= 24.0, "{heights:?}");
    }

    #[test]
    fn a_drawing_has_no_style_attribute_and_no_script() {
        let text = overlay_svg(&model());
        assert!(!text.contains("style=") && !text.contains("<script") && !text.contains("onload"));
    }
}
