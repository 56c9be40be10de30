//! One quantity through a clip: a line over seconds, broken where nothing was seen, with its rises marked.

use crate::agreement::{range, tick_words, ticks};
use crate::colour::*;
use crate::svg::{Svg, Text, number, polyline};

#[derive(Debug, Clone)]
pub struct CurveModel {
    pub title: String,
    pub unit: &'static str,
    /// What the height over the middle line means, such as 'outward'; written at the upper end.
    pub upward: &'static str,
    /// Second and value; `None` where nothing was seen.
    pub values: Vec<(f64, Option<f64>)>,
    /// Moments of the tops with what is written there.
    pub tops: Vec<(f64, String)>,
    pub size: (f64, f64),
}

/// Tops closer than this are not all written.
const TOP_WIDTH: f64 = 16.0;

pub fn curve_svg(m: &CurveModel) -> String {
    let (w, h) = m.size;
    let finite = |v: &(f64, Option<f64>)| {
        v.1.filter(|x| x.is_finite() && v.0.is_finite())
            .map(|x| (v.0, x))
    };
    let seen = || m.values.iter().filter_map(finite);
    let mut svg = Svg::new(w, h, &m.title, &spoken(m));
    let (left, right, top, bottom) = (62.0, w - 12.0, 40.0, h - 24.0);
    let seconds = {
        let all = m.values.iter().map(|v| v.0).filter(|s| s.is_finite());
        let (a, b) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), s| {
            (a.min(s), b.max(s))
        });
        if a < b { (a, b) } else { (0.0, 1.0) }
    };
    let values = range(seen().map(|v| v.1));
    let x = |s: f64| left + (s - seconds.0) / (seconds.1 - seconds.0) * (right - left);
    let y = |v: f64| bottom - (v - values.0) / (values.1 - values.0) * (bottom - top);
    svg.text([left, 15.0], &m.title, Text::new(12.5, INK).bold());
    svg.text([right, 15.0], m.upward, Text::new(10.5, QUIET).end());
    for v in ticks(values) {
        svg.line([left, y(v)], [right, y(v)], RULE, 0.7);
        let words = format!("{}{}", tick_words(v), m.unit);
        svg.text(
            [left - 6.0, y(v) + 4.0],
            &words,
            Text::new(10.5, QUIET).end(),
        );
    }
    for s in ticks(seconds) {
        svg.line([x(s), bottom], [x(s), bottom + 4.0], RULE, 0.7);
        let words = format!("{} s", tick_words(s));
        svg.text([x(s), h - 8.0], &words, Text::new(10.5, QUIET).middle());
    }
    let mut written = f64::NEG_INFINITY;
    for (second, words) in m.tops.iter().filter(|t| t.0.is_finite()) {
        let at = x(*second).clamp(left, right);
        svg.element(
            "line",
            &[
                ("x1", &number(at)),
                ("x2", &number(at)),
                ("y1", &number(top - 6.0)),
                ("y2", &number(bottom)),
                ("stroke", QUIET),
                ("stroke-width", "0.8"),
                ("stroke-dasharray", "2 3"),
            ],
        );
        if at - written >= TOP_WIDTH {
            svg.text([at, top - 9.0], words, Text::new(10.0, QUIET).middle());
            written = at;
        }
    }
    for run in runs(m) {
        let points: Vec<[f64; 2]> = run.iter().map(|(s, v)| [x(*s), y(*v)]).collect();
        match points.as_slice() {
            [one] => {
                svg.circle(*one, 1.2, INK, INK, 0.5);
            }
            _ => {
                svg.path(&polyline(&points), "none", INK, 1.4);
            }
        }
    }
    svg.finish()
}

/// Stretches without a gap.
fn runs(m: &CurveModel) -> Vec<Vec<(f64, f64)>> {
    let mut runs: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for (second, value) in &m.values {
        match value.filter(|v| v.is_finite() && second.is_finite()) {
            Some(v) => {
                if let Some(run) = runs.last_mut() {
                    run.push((*second, v));
                }
            }
            None => runs.push(Vec::new()),
        }
    }
    runs.retain(|r| !r.is_empty());
    runs
}

fn spoken(m: &CurveModel) -> String {
    let seen: Vec<f64> = m.values.iter().filter_map(|v| v.1).collect();
    let low = seen.iter().copied().fold(f64::INFINITY, f64::min);
    let high = seen.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low > high {
        return "Nothing was seen.".to_owned();
    }
    let word = |v: f64| format!("{}{}", quantity::written(v, 1), m.unit);
    format!(
        "From {} to {} over {} rises; the table gives the values.",
        word(low),
        word(high),
        m.tops.len()
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_is_broken_where_nothing_was_seen() {
        let mut m = CurveModel {
            title: "Height".into(),
            unit: " mm",
            upward: "",
            values: (0..20)
                .map(|i| (f64::from(i) / 10.0, Some(f64::from(i))))
                .collect(),
            tops: vec![(0.5, "1".into()), (0.51, "2".into())],
            size: (520.0, 160.0),
        };
        let paths = |m: &CurveModel| curve_svg(m).matches("<path").count();
        assert_eq!(paths(&m), 1);
        m.values[9].1 = None;
        m.values[12].1 = Some(f64::NAN);
        assert_eq!(paths(&m), 3);
        let svg = curve_svg(&m);
        assert!(
            svg.contains(">1<") && !svg.contains(">2<"),
            "written over each other"
        );
        assert!(!svg.contains("NaN"));
        m.values.clear();
        assert!(curve_svg(&m).contains("Nothing was seen"));
    }
}
