//! Differences of two readings against their mean, with bias and limits of agreement and the
//! confidence intervals of all three (Bland and Altman, Lancet 1986;327:307).

use crate::colour::*;
use crate::svg::{Svg, Text};
use quantity::with_minus_signs;

#[derive(Debug, Clone)]
pub struct BlandAltmanModel {
    pub title: String,
    pub unit: String,
    /// (mean of the two, first minus second)
    pub points: Vec<(f64, f64)>,
    pub bias: f64,
    pub bias_ci: (f64, f64),
    pub lower: f64,
    pub lower_ci: (f64, f64),
    pub upper: f64,
    pub upper_ci: (f64, f64),
}

pub fn bland_altman_svg(m: &BlandAltmanModel) -> String {
    let (w, h) = (560.0, 340.0);
    let mut svg = Svg::new(
        w,
        h,
        &m.title,
        &with_minus_signs(&format!(
            "{} pairs, bias {:.2}{u}, limits of agreement {:.2}{u} to {:.2}{u}",
            m.points.len(),
            m.bias,
            m.lower,
            m.upper,
            u = m.unit
        )),
    );
    let (left, right, top, bottom) = (58.0, w - 120.0, 34.0, h - 46.0);
    let xs = range(m.points.iter().map(|p| p.0));
    let ys = range(
        m.points
            .iter()
            .map(|p| p.1)
            .chain([m.lower_ci.0, m.upper_ci.1, 0.0]),
    );
    let x = |v: f64| left + (v - xs.0) / (xs.1 - xs.0) * (right - left);
    let y = |v: f64| bottom - (v - ys.0) / (ys.1 - ys.0) * (bottom - top);
    svg.text([left, 18.0], &m.title, Text::new(14.0, INK).bold());
    for (ci, value, name) in [
        (m.upper_ci, m.upper, "upper limit"),
        (m.bias_ci, m.bias, "bias"),
        (m.lower_ci, m.lower, "lower limit"),
    ] {
        svg.element(
            "rect",
            &[
                ("x", &crate::svg::number(left)),
                ("y", &crate::svg::number(y(ci.1))),
                ("width", &crate::svg::number(right - left)),
                ("height", &crate::svg::number(y(ci.0) - y(ci.1))),
                ("fill", KELP_PALE),
                ("fill-opacity", "0.6"),
            ],
        );
        svg.line([left, y(value)], [right, y(value)], KELP, 1.3);
        svg.text(
            [right + 6.0, y(value) + 4.0],
            &with_minus_signs(&format!("{name} {value:.1}{}", m.unit)),
            Text::new(11.0, INK),
        );
    }
    svg.line([left, y(0.0)], [right, y(0.0)], QUIET, 0.8);
    svg.line([left, top], [left, bottom], INK, 1.0);
    svg.line([left, bottom], [right, bottom], INK, 1.0);
    for v in ticks(xs) {
        svg.line([x(v), bottom], [x(v), bottom + 4.0], INK, 1.0);
        svg.text(
            [x(v), bottom + 17.0],
            &tick_words(v),
            Text::new(11.0, QUIET).middle(),
        );
    }
    for v in ticks(ys) {
        svg.line([left - 4.0, y(v)], [left, y(v)], INK, 1.0);
        svg.text(
            [left - 8.0, y(v) + 4.0],
            &tick_words(v),
            Text::new(11.0, QUIET).end(),
        );
    }
    for (a, d) in &m.points {
        svg.circle([x(*a), y(*d)], 3.6, INK, PAPER, 0.8);
    }
    svg.text(
        [(left + right) / 2.0, h - 10.0],
        &format!("mean of the two readings ({})", m.unit.trim()),
        Text::new(12.0, INK).middle(),
    );
    svg.text([8.0, 30.0], "difference", Text::new(11.0, QUIET));
    svg.finish()
}

/// Lowest and highest with a margin; a single value gets room around it.
pub(crate) fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    let (low, high) = values
        .filter(|v| v.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
            (l.min(v), h.max(v))
        });
    if low > high {
        return (0.0, 1.0);
    }
    let margin = ((high - low) * 0.08).max(0.5);
    (low - margin, high + margin)
}

/// Three to seven round numbers within a range.
pub(crate) fn ticks(range: (f64, f64)) -> Vec<f64> {
    let span = range.1 - range.0;
    if !span.is_finite() || span <= 0.0 {
        return Vec::new();
    }
    let raw = span / 5.0;
    let power = 10f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|s| *s >= raw)
        .unwrap_or(power * 10.0);
    let first = (range.0 / step).ceil() as i64;
    let last = (range.1 / step).floor() as i64;
    (first..=last).map(|i| i as f64 * step).collect()
}

pub(crate) fn tick_words(v: f64) -> String {
    if (v - v.round()).abs() < 1e-9 {
        quantity::written(v, 0)
    } else {
        quantity::written(v, 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(ticks((-1.2, 11.0)), vec![0.0, 5.0, 10.0]);
        assert!(ticks((3.0, 3.0)).is_empty());
    }

    #[test]
    fn one_pair_is_drawn_without_dividing_by_nothing() {
        let m = BlandAltmanModel {
            title: "t".into(),
            unit: "°".into(),
            points: vec![(3.0, 0.0)],
            bias: 0.0,
            bias_ci: (0.0, 0.0),
            lower: 0.0,
            lower_ci: (0.0, 0.0),
            upper: 0.0,
            upper_ci: (0.0, 0.0),
        };
        assert!(bland_altman_svg(&m).contains("<circle"));
    }
}
