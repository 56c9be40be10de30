//! One reading over the visits: values with whiskers on a time axis, the yardstick band behind them
//! and the smallest real change as a bracket at the side. Drawings of one measure share their axes.

use crate::agreement::{range, tick_words, ticks};
use crate::colour::*;
use crate::svg::{Svg, Text, number, polyline};

#[derive(Debug, Clone)]
pub struct TrendModel {
    pub title: String,
    pub unit: String,
    pub points: Vec<TrendPoint>,
    /// What some yardstick accepts, each over its days: a child's changes with age.
    pub bands: Vec<TrendBand>,
    /// Something given or done on a day, in a word.
    pub marks: Vec<(f64, String)>,
    /// The fitted course: two days with their values.
    pub course: Option<[(f64, f64); 2]>,
    /// Smallest detectable change in the reading's unit, where known.
    pub smallest_change: Option<f64>,
    pub size: (f64, f64),
}

#[derive(Debug, Clone)]
pub struct TrendPoint {
    /// Counted from one and the same day in all drawings that share their axes.
    pub day: f64,
    pub date: String,
    pub value: f64,
    pub interval_95: (f64, f64),
    /// Readings of one run may be held against each other and are joined. The others are drawn as open rings
    /// and joined by no line.
    pub run: Option<usize>,
}

/// From a day to a day, open at an end that the yardsticks leave open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrendBand {
    pub days: (f64, f64),
    pub lower: Option<f64>,
    pub upper: Option<f64>,
}

impl TrendModel {
    /// Points whose every number is one; the others have no place in a drawing.
    fn drawn(&self) -> impl Iterator<Item = &TrendPoint> {
        let numbers = |p: &&TrendPoint| {
            [p.day, p.value, p.interval_95.0, p.interval_95.1]
                .iter()
                .all(|v| v.is_finite())
        };
        self.points.iter().filter(numbers)
    }
}

/// What the drawings of one measure share, so that one foot can be held against the other: the same
/// height is the same value, the same place the same day.
#[derive(Debug, Clone, PartialEq)]
pub struct TrendAxes {
    days: (f64, f64),
    values: (f64, f64),
    /// Days with a reading in any of the drawings.
    dates: Vec<(f64, String)>,
}

impl TrendAxes {
    pub fn over(models: &[&TrendModel]) -> Self {
        let points = || models.iter().flat_map(|m| m.drawn());
        let bands = models.iter().flat_map(|m| &m.bands);
        let mut dates: Vec<(f64, String)> = points().map(|p| (p.day, p.date.clone())).collect();
        dates.sort_by(|a, b| a.0.total_cmp(&b.0));
        dates.dedup_by(|a, b| a.0 == b.0);
        Self {
            days: range(points().map(|p| p.day)),
            values: range(
                points()
                    .flat_map(|p| [p.interval_95.0, p.interval_95.1])
                    .chain(bands.flat_map(|b| [b.lower, b.upper]).flatten()),
            ),
            dates,
        }
    }

    /// The first and the last day, and of those between what stands clear of a printed one.
    fn printed_dates(&self, x: impl Fn(f64) -> f64) -> Vec<(f64, &str)> {
        let last = self.dates.len().saturating_sub(1);
        let mut order: Vec<&(f64, String)> = self.dates.iter().collect();
        order.sort_by_key(|d| {
            self.dates
                .iter()
                .position(|e| e.0 == d.0)
                .map_or(1, |i| usize::from(i != 0 && i != last))
        });
        let mut printed: Vec<(f64, &str)> = Vec::new();
        for (day, date) in order {
            let at = x(*day);
            if printed.iter().all(|p| (p.0 - at).abs() >= DATE_WIDTH) {
                printed.push((at, date));
            }
        }
        printed
    }
}

/// Room that a date of the longest form takes, such as `24 Nov 2026`.
const DATE_WIDTH: f64 = 66.0;

pub fn trend_svg(m: &TrendModel, axes: &TrendAxes) -> String {
    let (w, h) = m.size;
    let spoken: Vec<String> = m
        .drawn()
        .map(|p| format!("{}: {:.1}{}", p.date, p.value, m.unit))
        .collect();
    let mut svg = Svg::new(w, h, &m.title, &spoken.join("; "));
    // At the left the values with their unit, the longest being points.
    let (left, right, top, bottom) = (62.0, w - 26.0, 26.0, h - 24.0);
    let (days, values) = (axes.days, axes.values);
    let x = |d: f64| left + (d - days.0) / (days.1 - days.0) * (right - left);
    let y = |v: f64| bottom - (v - values.0) / (values.1 - values.0) * (bottom - top);
    svg.text([left, 15.0], &m.title, Text::new(12.5, INK).bold());
    for band in &m.bands {
        let (from, to) = (band.upper.map_or(top, y), band.lower.map_or(bottom, y));
        let [start, end] = [band.days.0, band.days.1].map(|d| x(d).clamp(left, right));
        svg.element(
            "rect",
            &[
                ("x", &number(start)),
                ("y", &number(from)),
                ("width", &number((end - start).max(0.0))),
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
            &format!("{}{}", tick_words(v), m.unit),
            Text::new(10.5, QUIET).end(),
        );
    }
    for (at, date) in axes.printed_dates(x) {
        svg.line([at, bottom], [at, bottom + 4.0], RULE, 0.7);
        svg.text([at, h - 8.0], date, Text::new(10.5, QUIET).middle());
    }
    for (day, words) in m.marks.iter().filter(|m| m.0.is_finite()) {
        let at = x(*day).clamp(left, right);
        svg.element(
            "line",
            &[
                ("x1", &number(at)),
                ("x2", &number(at)),
                ("y1", &number(top)),
                ("y2", &number(bottom)),
                ("stroke", QUIET),
                ("stroke-width", "1"),
                ("stroke-dasharray", "2 3"),
            ],
        );
        let near_end = at > right - 70.0;
        let look = Text::new(9.5, QUIET).halo(PAPER);
        svg.text(
            [if near_end { at - 3.0 } else { at + 3.0 }, top + 8.0],
            words,
            if near_end { look.end() } else { look },
        );
    }
    if let Some(ends) = m.course
        && ends.iter().all(|e| e.0.is_finite() && e.1.is_finite())
    {
        let [a, b] = ends.map(|(day, value)| [x(day), y(value)]);
        svg.element(
            "line",
            &[
                ("x1", &number(a[0])),
                ("y1", &number(a[1])),
                ("x2", &number(b[0])),
                ("y2", &number(b[1])),
                ("stroke", KELP),
                ("stroke-width", "1.4"),
                ("stroke-dasharray", "6 4"),
            ],
        );
    }
    let runs: std::collections::BTreeSet<usize> = m.drawn().filter_map(|p| p.run).collect();
    for run in runs {
        let joined: Vec<[f64; 2]> = m
            .drawn()
            .filter(|p| p.run == Some(run))
            .map(|p| [x(p.day), y(p.value)])
            .collect();
        if joined.len() > 1 {
            svg.path(&polyline(&joined), "none", INK, 1.4);
        }
    }
    for p in m.drawn() {
        svg.line(
            [x(p.day), y(p.interval_95.0)],
            [x(p.day), y(p.interval_95.1)],
            INK,
            1.2,
        );
        svg.circle(
            [x(p.day), y(p.value)],
            4.0,
            if p.run.is_some() { INK } else { PAPER },
            if p.run.is_some() { PAPER } else { INK },
            1.3,
        );
    }
    if let (Some(change), Some(last)) = (m.smallest_change, m.drawn().last()) {
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

#[cfg(test)]
mod tests {
    use super::*;

    fn model(title: &str, unit: &str, points: &[(f64, f64)]) -> TrendModel {
        TrendModel {
            title: title.into(),
            unit: unit.into(),
            points: points
                .iter()
                .map(|(day, value)| TrendPoint {
                    day: *day,
                    date: format!("day {day}"),
                    value: *value,
                    interval_95: (value - 2.0, value + 2.0),
                    run: Some(0),
                })
                .collect(),
            bands: Vec::new(),
            marks: Vec::new(),
            course: None,
            smallest_change: None,
            size: (520.0, 150.0),
        }
    }

    /// Texts with a place, in order: `(x, y, words)`.
    fn texts(svg: &str) -> Vec<(String, String, String)> {
        let of = |tag: &str, key: &str| {
            let tag = format!(" {tag}");
            let from = tag.split_once(&format!(" {key}=\"")).unwrap().1;
            from.split('"').next().unwrap().to_owned()
        };
        svg.split("<text ")
            .skip(1)
            .map(|t| {
                let (tag, rest) = t.split_once('>').unwrap();
                let words = rest.split("</text>").next().unwrap().to_owned();
                (of(tag, "x"), of(tag, "y"), words)
            })
            .collect()
    }

    #[test]
    fn drawings_that_share_their_axes_have_the_same_values_and_days_at_the_same_places() {
        let left = model("left", "°", &[(0.0, 10.0), (400.0, 14.0)]);
        let right = model("right", "°", &[(200.0, 31.0)]);
        let axes = TrendAxes::over(&[&left, &right]);
        let (l, r) = (trend_svg(&left, &axes), trend_svg(&right, &axes));
        assert_eq!(texts(&l)[1..], texts(&r)[1..], "all but the titles");
        let words: Vec<String> = texts(&l).into_iter().skip(1).map(|t| t.2).collect();
        for label in ["10°", "30°", "day 0", "day 200", "day 400"] {
            assert!(words.iter().any(|w| w == label), "{label}: {words:?}");
        }
        // Alone, each would have been drawn on a scale of its own.
        let alone = trend_svg(&right, &TrendAxes::over(&[&right]));
        assert_ne!(texts(&alone)[1..], texts(&r)[1..]);
    }

    #[test]
    fn readings_that_may_not_be_compared_are_joined_by_no_line() {
        let mut m = model(
            "t",
            "°",
            &[(0.0, 1.0), (10.0, 2.0), (20.0, 3.0), (30.0, 4.0)],
        );
        let lines = |m: &TrendModel| {
            trend_svg(m, &TrendAxes::over(&[m]))
                .matches("<path")
                .count()
        };
        assert_eq!(lines(&m), 1);
        m.points[2].run = Some(1);
        m.points[3].run = Some(1);
        assert_eq!(lines(&m), 2, "one for each run");
        m.points[1].run = None;
        m.points[3].run = None;
        assert_eq!(lines(&m), 0);
    }

    #[test]
    fn a_band_covers_its_own_days_only() {
        let mut m = model("t", "°", &[(0.0, 1.0), (100.0, 2.0)]);
        let band = |days| TrendBand {
            days,
            lower: Some(0.0),
            upper: Some(3.0),
        };
        m.bands = vec![band((0.0, 50.0)), band((50.0, 1e9))];
        let svg = trend_svg(&m, &TrendAxes::over(&[&m]));
        let of = |rect: &str, key: &str| -> f64 {
            let from = rect.split_once(&format!("{key}=\"")).unwrap().1;
            from.split('"').next().unwrap().parse().unwrap()
        };
        let rects: Vec<(f64, f64)> = svg
            .split("<rect ")
            .skip(1)
            .map(|r| (of(r, "x"), of(r, "width")))
            .collect();
        let [first, second] = rects.as_slice() else {
            panic!("{rects:?}")
        };
        assert!(
            (first.0 + first.1 - second.0).abs() < 0.02,
            "one ends where the other begins"
        );
        assert!(first.1 > 150.0 && second.1 > 150.0, "{rects:?}");
    }

    #[test]
    fn dates_that_would_run_into_each_other_give_way_to_the_first_and_the_last() {
        let close = model(
            "t",
            " mm",
            &[(0.0, 1.0), (5.0, 1.0), (396.0, 1.0), (400.0, 1.0)],
        );
        let words: Vec<String> = texts(&trend_svg(&close, &TrendAxes::over(&[&close])))
            .into_iter()
            .map(|t| t.2)
            .filter(|w| w.starts_with("day"))
            .collect();
        assert_eq!(words, ["day 0", "day 400"]);
    }

    #[test]
    fn a_trend_without_points_or_with_a_value_that_is_none_is_drawn() {
        let empty = model("t", "", &[]);
        let odd = model("t", "", &[(f64::NAN, f64::INFINITY), (1.0, 2.0)]);
        for m in [&empty, &odd] {
            let svg = trend_svg(m, &TrendAxes::over(&[m]));
            assert!(!svg.contains("NaN") && !svg.contains("inf"), "{svg}");
        }
    }
}
