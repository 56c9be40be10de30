//! One reading over the visits: values with whiskers on a time axis, the yardstick band behind them
//! and the smallest real change as a bracket at the side.

use crate::agreement::{range, tick_words, ticks};
use crate::colour::*;
use crate::svg::{Svg, Text, number, polyline};

#[derive(Debug, Clone)]
pub struct TrendModel {
    pub title: String,
    pub unit: String,
    /// (days since the first visit, printed date, value, interval)
    pub points: Vec<TrendPoint>,
    pub band: Option<(Option<f64>, Option<f64>)>,
    /// Smallest detectable change in the reading's unit, where known.
    pub smallest_change: Option<f64>,
    pub size: (f64, f64),
}

#[derive(Debug, Clone)]
pub struct TrendPoint {
    pub day: f64,
    pub date: String,
    pub value: f64,
    pub interval_95: (f64, f64),
    /// Films not taken standing are drawn as open rings and joined by no line.
    pub comparable: bool,
}

pub fn trend_svg(m: &TrendModel) -> String {
    let (w, h) = m.size;
    let spoken: Vec<String> = m
        .points
        .iter()
        .map(|p| format!("{}: {:.1}{}", p.date, p.value, m.unit))
        .collect();
    let mut svg = Svg::new(w, h, &m.title, &spoken.join("; "));
    let (left, right, top, bottom) = (44.0, w - 26.0, 26.0, h - 24.0);
    let days = range(m.points.iter().map(|p| p.day));
    let band = m.band.map(|b| [b.0, b.1]).unwrap_or_default();
    let values = range(
        m.points
            .iter()
            .flat_map(|p| [p.interval_95.0, p.interval_95.1])
            .chain(band.into_iter().flatten()),
    );
    let x = |d: f64| left + (d - days.0) / (days.1 - days.0) * (right - left);
    let y = |v: f64| bottom - (v - values.0) / (values.1 - values.0) * (bottom - top);
    svg.text([left, 15.0], &m.title, Text::new(12.5, INK).bold());
    if let Some((lower, upper)) = m.band {
        let (from, to) = (upper.map_or(top, y), lower.map_or(bottom, y));
        svg.element(
            "rect",
            &[
                ("x", &number(left)),
                ("y", &number(from)),
                ("width", &number(right - left)),
                ("height", &number((to - from).max(0.0))),
                ("fill", KELP_PALE),
                ("fill-opacity", "0.6"),
            ],
        );
    }
    for v in ticks(values) {
        svg.line([left, y(v)], [right, y(v)], RULE, 0.7);
        svg.text(
            [left - 6.0, y(v) + 4.0],
            &tick_words(v),
            Text::new(10.5, QUIET).end(),
        );
    }
    let joined: Vec<[f64; 2]> = m
        .points
        .iter()
        .filter(|p| p.comparable)
        .map(|p| [x(p.day), y(p.value)])
        .collect();
    if joined.len() > 1 {
        svg.path(&polyline(&joined), "none", INK, 1.4);
    }
    for p in &m.points {
        svg.line(
            [x(p.day), y(p.interval_95.0)],
            [x(p.day), y(p.interval_95.1)],
            INK,
            1.2,
        );
        svg.circle(
            [x(p.day), y(p.value)],
            4.0,
            if p.comparable { INK } else { PAPER },
            if p.comparable { PAPER } else { INK },
            1.3,
        );
        svg.text(
            [x(p.day), h - 8.0],
            &p.date,
            Text::new(10.5, QUIET).middle(),
        );
    }
    if let (Some(change), Some(last)) = (m.smallest_change, m.points.last()) {
        let (a, b) = (
            y(last.value + change / 2.0).max(top),
            y(last.value - change / 2.0).min(bottom),
        );
        svg.path(
            &format!(
                "M{} {}h5v{}h-5",
                number(right + 4.0),
                number(a),
                number(b - a)
            ),
            "none",
            OCHRE,
            1.4,
        );
    }
    svg.finish()
}
